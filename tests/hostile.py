"""Every reader of values, and texts of up to ten kilobytes that would cost a careless one its time.

``python -m tests.hostile`` reads each of them once; before each it calls `os.getppid`, which a profiler that
counts instructions takes as the place to begin a new count.
"""

import os
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from gearing_api import tyre_sizes, units
from gearing_api.fields import LONGEST_CURVE_TEXT, LONGEST_LIST_TEXT, Kind
from gearing_api.formats.strict_json import Unfit, parsed
from gearing_api.sentences import LONGEST, read
from gearing_api.tyre_sizes import SizeError
from gearing_api.units import Unreadable
from gearing_api.vocabulary import FIELDS, InvalidBuild, read_fields

LARGEST = 10_000
Reader = Callable[[str], Any]

PARTS = {
    "digits": "9",
    "one and space": "1 ",
    "spaces": " ",
    "points": "1.",
    "commas": ",",
    "list": "1,",
    "colons": "1:",
    "powers": "9**",
    "exponents": "1e",
    "brackets": "(",
    "arrays": "[",
    "objects": '{"a":',
    "items": "[1,",
    "unit": "5 lb-ft ",
    "joined unit": "ft-",
    "letters": "a",
    "underlines": "_",
    "digits of another script": "٤",
    "combining marks": "é\u0301",
    "quotes": '"',
    "escapes": "\\u0000",
    "tyre": "265/70R17 ",
    "near to a tyre": "35x12.50",
    "nearer to a tyre": "LT265/70R17C/E 121/",
    "plurals": "35s ",
    "falling": "4.46/2.61/1.72/1.25/1.0/0.84 ",
    "gears": "4.10 first ",
    "change": "from 31s to 35s on 4.10s, ",
    "names": "the ",
    "hyphens": "re-gear ",
    "money": "$1",
    "teeth": "41/9,",
}
"""What the texts are made of, over and over."""


def _of_kind(kind: Kind) -> Reader:
    return lambda text: kind.read(text, "us")


def _names(text: str) -> Any:
    """As many fields that are none as a build may have, whose names share the text."""
    many = len(FIELDS)
    size = max(1, len(text) // many)
    return read_fields({f"{place}{text[place * size :][:size]}": 1 for place in range(many)}, "us")


_KINDS = {type(field.kind).__name__: field.kind for field in reversed(FIELDS.values())}
READERS: dict[str, Reader] = {
    "tyre size": tyre_sizes.read,
    "quantity": lambda text: units.number(text, units.TORQUE, "us"),
    **{kind: _of_kind(of) for kind, of in _KINDS.items()},
    "field names": _names,
    "JSON": lambda text: parsed(text.encode()),
    "sentence": read,
}
UNCAPPED = ("Count", "Choice", "field names", "JSON")
"""Readers that look at text of any length: twice the text must cost no more than about twice as much."""

REFUSALS = (SizeError, Unreadable, InvalidBuild, Unfit)
CUT = dict.fromkeys(READERS, units.LONGEST_TEXT) | {
    **dict.fromkeys(("Series", "Grid", "Ratios", "Coefficients", "Loads"), LONGEST_LIST_TEXT),
    "Curve": LONGEST_CURVE_TEXT,
    "sentence": LONGEST,
    "tyre size": tyre_sizes.LONGEST_SIZE,
}
"""The length of the longest text that a reader looks at, where it has one."""


def texts() -> dict[str, str]:
    """Every text at its largest."""
    return {name: (part * LARGEST)[:LARGEST] for name, part in PARTS.items()}


def cases() -> list[tuple[str, str, str]]:
    """Reader, name of the text, and text: whole, halved, and the longest that is not turned away."""
    return [
        (reader, name + told, text[:length])
        for reader in READERS
        for told, length in (("", LARGEST), (", half", LARGEST // 2), (", cut", CUT[reader]))
        for name, text in texts().items()
        if told != ", half" or reader in UNCAPPED
    ]


def read_once(reader: str, text: str) -> None:
    """Read it or see it refused."""
    with suppress(*REFUSALS):
        READERS[reader](text)


def main() -> None:
    """Warm up, so that what is loaded once is counted nowhere; then each case by itself."""
    for reader in READERS:
        for text in ("35", "35 in", "265/70R17", "1,2", "1:2:3", "35s on 4.10s, 2.72 low, 6 % grade", "x_y"):
            read_once(reader, text)
    for reader, _, text in cases():
        tyre_sizes.read.cache_clear()
        os.getppid()
        read_once(reader, text)
    os.getppid()


if __name__ == "__main__":
    main()
