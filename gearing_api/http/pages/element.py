"""Serve the releases of the element for other sites: files that never change, each with its hash."""

import base64
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from hashlib import sha384
from html import escape
from importlib.resources import files

from gearing_api.formats import dumped
from gearing_api.formats.document import Document

ELEMENT = "gearing-card"
FIELDS = (
    "tyre",
    "original_tyre",
    "axle_ratio",
    "original_axle_ratio",
    "gear_ratios",
    "transfer_ratios",
    "idle_speed",
    "redline_speed",
)
"""Fields of a build that the element has as attributes, with dashes."""

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


def card(build: Mapping[str, str], root: str) -> str:
    """Return the element with a build, and what stands there until it runs."""
    attributes = "".join(f' {name.replace("_", "-")}="{escape(text)}"' for name, text in build.items())
    return f'<{ELEMENT}{attributes}><a href="{escape(root)}/">What the swap does</a></{ELEMENT}>'


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
