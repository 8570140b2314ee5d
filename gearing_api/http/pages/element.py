"""Serve the releases of the element for other sites: files that never change, each with its hash."""

import base64
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha384
from html import escape
from importlib.resources import files
from urllib.parse import quote, urlencode

from gearing_api.fields import Choice, Tyre
from gearing_api.formats import dumped
from gearing_api.formats.document import Document
from gearing_api.units import System
from gearing_api.vocabulary import ALL_FIELDS

ELEMENT = "gearing-card"
FIELDS = (
    "tyre",
    "original_tyre",
    "axle_ratio",
    "original_axle_ratio",
    "gear_ratios",
    "transfer_ratios",
    "peak_power",
    "peak_power_speed",
    "peak_torque",
    "idle_speed",
    "redline_speed",
    "vehicle_mass",
    "altitude",
    "cruise_speed",
    "target_crawl_ratio",
    "hold_grade_percent",
)
"""Fields of a build that the newest element has as attributes, with dashes; `build` takes all others."""

MEDIA_TYPE = "text/javascript; charset=utf-8"


@dataclass(frozen=True)
class Release:
    """One version of the module; a new version gets a new folder, and old ones stay."""

    version: str
    module: bytes

    @property
    def path(self) -> str:
        """Its address on this service."""
        return f"/widget/{self.version}/{ELEMENT}.js"

    @property
    def integrity(self) -> str:
        """Hash that a page states, so that browsers run nothing else in its place."""
        return "sha384-" + base64.b64encode(sha384(self.module).digest()).decode()

    def tag(self, root: str) -> str:
        """Return the script element for a page on another origin."""
        address = escape(root.rstrip("/") + self.path)
        return (
            f'<script type="module" src="{address}" integrity="{self.integrity}" '
            'crossorigin="anonymous"></script>'
        )


@cache
def releases() -> tuple[Release, ...]:
    """Return all versions, the newest first."""
    folders = files("gearing_api").joinpath("http", "pages", "widget").iterdir()
    found = {folder.name: folder.joinpath(f"{ELEMENT}.js").read_bytes() for folder in folders}
    newest_first = sorted(found, key=lambda version: [int(part) for part in version.split(".")], reverse=True)
    return tuple(Release(version, found[version]) for version in newest_first)


def card(build: Mapping[str, str], system: System, root: str) -> str:
    """Return the element with a build, and what stands there until it runs.

    Fields without an attribute of their own come with their units, because the reader chooses others.
    """
    given = {name.replace("_", "-"): text for name, text in build.items() if name in FIELDS}
    others = {name: _with_unit(name, text, system) for name, text in build.items() if name not in FIELDS}
    more = urlencode({name: text for name, text in others.items() if text}, safe=",/: ", quote_via=quote)
    options = {"build": more} | ({"units": system} if system == "metric" else {})
    attributes = "".join(f' {name}="{escape(text)}"' for name, text in (given | options).items() if text)
    return f'<{ELEMENT}{attributes}><a href="{escape(root)}/">What the swap does</a></{ELEMENT}>'


_BARE = re.compile(r"-?[0-9.]+")


def _with_unit(name: str, text: str, system: System) -> str:
    """The value with a unit at each bare number; empty where its items are no plain numbers."""
    kind = ALL_FIELDS[name].kind
    if isinstance(kind, Choice | Tyre):
        return text
    quantity = getattr(getattr(kind, "item", kind), "quantity", None)
    if quantity is None:
        return text if _BARE.fullmatch(text) else ""
    unit = quantity.unit(system)
    items = [item.strip() for item in text.split(",")]
    return ",".join(f"{item} {unit}".strip() if _BARE.fullmatch(item) else item for item in items)


def listing(root: str) -> bytes:
    """Return address and hash of the newest version and of all others."""
    listed: list[Document] = [
        {
            "version": release.version,
            "address": root.rstrip("/") + release.path,
            "integrity": release.integrity,
            "bytes": len(release.module),
            "tag": release.tag(root),
        }
        for release in releases()
    ]
    return dumped({"element": ELEMENT, **listed[0], "releases": listed})
