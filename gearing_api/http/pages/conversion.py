"""Convert what was typed in one system of units into text that means the same in another."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from gearing_api.fields import Choice, Kind, Tyre
from gearing_api.http.requests import with_decimal_point
from gearing_api.units import System, Unreadable
from gearing_api.vocabulary import ALL_FIELDS

_SAME = 5e-6  # relative: what a number may lose when it is written short


def converted(
    values: Mapping[str, str], typed: System, system: System, *, comma: bool = False
) -> dict[str, str]:
    """Values of fields, typed in one system, as text in the other.

    A value that brings its own unit stays as it is, as does one that cannot be read.
    """
    if typed == system:
        return dict(values)
    return {name: _converted(name, text, typed, system, comma) for name, text in values.items()}


def _converted(name: str, text: str, typed: System, system: System, comma: bool) -> str:
    kind = ALL_FIELDS[name].kind if name in ALL_FIELDS else None
    if kind is None or isinstance(kind, Tyre | Choice):
        return text
    raw = with_decimal_point(text) if comma else text
    value = _read(kind, raw, typed)
    if value is None or _is_same(value, _read(kind, raw, system)):
        return text
    return as_text(kind.out(value, system), comma=comma)


def _read(kind: Kind, text: object, system: System) -> Any:
    try:
        return kind.read(text, system)
    except Unreadable:
        return None


def _is_same(one: Any, other: Any) -> bool:
    return other is not None and np.array_equal(one, other, equal_nan=True)


def as_text(value: Any, *, comma: bool = False, digits: int = 9) -> str:
    """Write a value of a field as somebody would type it, with few digits, and at most so many."""
    separator = ";" if comma else ","
    if isinstance(value, list):
        return separator.join(
            ":".join(_item(part, comma, digits) for part in item)
            if isinstance(item, list)
            else _item(item, comma, digits)
            for item in value
        )
    return _item(value, comma, digits)


def _item(value: Any, comma: bool, digits: int) -> str:
    if isinstance(value, str):
        return value
    text = f"{_short(float(value), digits):.10g}"
    return text.replace(".", ",") if comma else text


def _short(value: float, most: int) -> float:
    """The number with the fewest digits that still means the same, or with the most that are wanted."""
    short = value
    for digits in range(1, most + 1):
        short = float(f"{value:.{digits}g}")
        if abs(short - value) <= _SAME * abs(value):
            return short
    return short
