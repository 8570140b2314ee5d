"""The shapes a field's value may have on the wire, each with its reader and its JSON Schema.

Every reader takes what a query string, a JSON document or a CSV cell gives and returns SI values, or
raises `Unreadable` with the reason and what is accepted.
"""

import math
import re
from dataclasses import dataclass
from functools import cached_property
from operator import lt
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from gearing_api import tyre_sizes, units
from gearing_api.tyre_sizes import SizeError, TyreSize
from gearing_api.units import LENGTH, NUMBER, PointedText, Quantity, System, Unreadable

LONGEST_LIST = 50
LONGEST_GRID = 100
LONGEST_LIST_TEXT = 2000
LONGEST_CURVE = 200
LONGEST_CURVE_TEXT = 8000

Schema = dict[str, Any]

_SLACK = 1e-9  # relative: a bound shown in one system and read back must still be accepted
_COUNT = re.compile(r"[0-9]{1,4}")
_PAIR = re.compile(r" ?([0-9]{1,3}) ?/ ?([0-9]{1,3}) ?")
_BETWEEN = re.compile(r"(?<=[0-9]) ?(?:-| to ) ?(?=[0-9])")
_BLANKS = re.compile(r"(?<=[0-9]) (?=[0-9.])")
_STROKES = re.compile(r"[0-9. ]+(?:/[0-9. ]+)+")
_OUTSIDE_PAIRS = re.compile(r"(?<![/ ]) +(?![/ ])")
_THOUSANDS = re.compile(r"(?<![0-9.])[0-9]{1,3} [0-9]{3}(?![0-9.])")
_ONLY_NUMBERS = re.compile(r"[0-9. /]+")
_GROUPS = re.compile(r"[0-9]{1,3},[0-9]{3}(?:[;,] ?[0-9]{1,3},[0-9]{3})*(?: ?[A-Za-z][^,;]*)?")


class Kind(Protocol):
    """What a field needs of its kind."""

    def read(self, value: object, system: System) -> Any:
        """The SI value of what came in."""

    def out(self, value: Any, system: System) -> Any:
        """An SI value as it is echoed in that system."""

    def schema(self) -> Schema:
        """JSON Schema of the value in a JSON document."""

    def text_schema(self) -> Schema:
        """JSON Schema of the value in a query string."""

    def accepted(self, system: System) -> str:
        """What is accepted, in words."""


def _shown(value: float) -> float:
    return float(f"{value:.12g}")


def _rounded(bound: float, *, up: bool) -> str:
    """A bound in three digits, rounded into the range, so that what is shown is accepted."""
    if bound == float(f"{bound:.3g}"):
        return f"{bound:.10g}"
    step = float(np.power(10.0, math.floor(math.log10(abs(bound))) - 2))
    return f"{(math.ceil if up else math.floor)(bound / step) * step:.10g}"


@dataclass(frozen=True)
class Number:
    """A number within closed bounds, which are given as text with their unit."""

    quantity: Quantity
    lower: str
    upper: str

    @cached_property
    def _ends(self) -> tuple[float, float]:
        return units.number(self.lower, self.quantity, "us"), units.number(self.upper, self.quantity, "us")

    @cached_property
    def _si(self) -> tuple[float, float]:
        low, high = self._ends
        factors = {self.quantity.factor(system) for system in units.SYSTEMS}
        slack = _SLACK if len(factors) > 1 else 0.0
        return low - slack * abs(low), high + slack * abs(high)

    def bounds(self, system: System) -> tuple[float, float]:
        """The bounds in the unit of that system."""
        factor = self.quantity.factor(system)
        low, high = self._ends
        return _shown(low / factor), _shown(high / factor)

    def read(self, value: object, system: System) -> np.float64:
        try:
            si = units.number(value, self.quantity, system)
        except Unreadable as error:
            raise Unreadable(f"{error}; accepted: {self.accepted(system)}", error.use) from error
        low, high = self._si
        if not low <= si <= high:
            raise Unreadable(f"must be {self.accepted(system)}")
        return np.float64(si)

    def ends(self, value: object, system: System) -> tuple[float, float] | None:
        """The two ends of a range, in SI; None where the value is none."""
        ends = units.ends(value, self.quantity, system)
        if ends is None:
            return None
        low, high = self._si
        if not (low <= ends[0] and ends[1] <= high):
            raise Unreadable(f"reaches beyond what is accepted: each end must be {self.accepted(system)}")
        return ends

    def out(self, value: Any, system: System) -> Any:
        return _shown(float(value) / self.quantity.factor(system))

    def accepted(self, system: System) -> str:
        low, high = self.bounds(system)
        shown = [_rounded(low, up=True), _rounded(high, up=False)]
        if self.quantity.name in units.COUNTED_BY_THE_THOUSAND:
            shown = [f"{float(end):,.10g}" for end in shown]
        return f"a number from {' to '.join(shown)} {self.quantity.unit(system)}".strip()

    def schema(self) -> Schema:
        return {"anyOf": [self._number(), self._text()]} | self._notes()

    def text_schema(self) -> Schema:
        return (self._number() if self.quantity is NUMBER else self._text()) | self._notes()

    def _number(self) -> Schema:
        (a, b), (c, d) = self.bounds("us"), self.bounds("metric")
        return {"type": "number", "minimum": min(a, c), "maximum": max(b, d)}

    def _text(self) -> Schema:
        pattern = units.NUMBER_PATTERN if self.quantity is NUMBER else units.QUANTITY_PATTERN
        return {"type": "string", "maxLength": units.LONGEST_TEXT, "pattern": pattern}

    def _notes(self) -> Schema:
        if self.quantity is NUMBER:
            return {"x-unit": ""}
        return {"x-unit": {system: self.quantity.unit(system) for system in units.SYSTEMS}}


@dataclass(frozen=True)
class AxleRatio(Number):
    """A ratio, or a tooth pair such as ``41/9``."""

    def read(self, value: object, system: System) -> np.float64:
        pair = _PAIR.fullmatch(value) if isinstance(value, str) and "/" in value else None
        return Number.read(self, value if pair is None else _of_teeth(pair), system)

    def text_schema(self) -> Schema:
        return {"anyOf": [self._number(), self._text()]} | self._notes()

    def _text(self) -> Schema:
        pattern = rf"{units.NUMBER_PATTERN}|^ ?[0-9]{{1,3}} ?/ ?[0-9]{{1,3}} ?$"
        return {"type": "string", "maxLength": units.LONGEST_TEXT, "pattern": pattern}


def _of_teeth(pair: re.Match[str]) -> float:
    """Ring teeth / pinion teeth."""
    ring, pinion = float(pair[1]), float(pair[2])
    if not (4 <= pinion <= 30 and 10 <= ring <= 80):
        raise Unreadable("must have 10 to 80 ring teeth and 4 to 30 pinion teeth")
    return ring / pinion


@dataclass(frozen=True)
class Count:
    """A whole number within closed bounds."""

    lower: int
    upper: int

    def read(self, value: object, system: System) -> np.float64:
        text = f"{value:.0f}" if isinstance(value, float) and value.is_integer() else str(value).strip()
        if isinstance(value, bool) or not _COUNT.fullmatch(text) or not self.lower <= int(text) <= self.upper:
            raise Unreadable(f"must be {self.accepted(system)}")
        return np.float64(text)

    def out(self, value: Any, system: System) -> Any:
        return int(value)

    def accepted(self, system: System) -> str:
        return f"a whole number from {self.lower} to {self.upper}"

    def schema(self) -> Schema:
        return {"anyOf": [self.text_schema(), {"type": "string", "pattern": r"^\s*[0-9]{1,4}\s*$"}]}

    def text_schema(self) -> Schema:
        return {"type": "integer", "minimum": self.lower, "maximum": self.upper, "x-unit": ""}


@dataclass(frozen=True)
class Choice:
    """One of a few words."""

    options: tuple[str, ...]

    def read(self, value: object, system: System) -> str:
        text = value.strip().casefold() if isinstance(value, str) else ""
        if text not in self.options:
            raise Unreadable(f"must be {self.accepted(system)}")
        return text

    def out(self, value: Any, system: System) -> Any:
        return value

    def accepted(self, system: System) -> str:
        return "one of " + ", ".join(self.options)

    def schema(self) -> Schema:
        return {"type": "string", "enum": list(self.options)}

    def text_schema(self) -> Schema:
        return self.schema()


@dataclass(frozen=True)
class Tyre:
    """A size designation, or a measured diameter with its unit."""

    smallest: str = "15 in"
    largest: str = "80 in"

    def read(self, value: object, system: System) -> TyreSize:
        text = str(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
        text = text.text if isinstance(text, PointedText) else text
        if not isinstance(text, str):
            raise Unreadable(f"must be {self.accepted(system)}")
        try:
            return tyre_sizes.read(text)
        except SizeError as error:
            diameter = self._measured(text)
            if diameter is None:
                raise Unreadable(str(error), error.use) from error
            return tyre_sizes.measured(diameter)

    def _measured(self, text: str) -> float | None:
        try:
            diameter = units.number(text, LENGTH, "us")
        except Unreadable:
            return None
        if units.is_bare(text):
            told = f"{units.plain(text)} in"
            likely = told if 15.0 <= diameter / LENGTH.factor("us") <= 80.0 else None
            raise Unreadable(
                f'is a bare number: give a measured diameter with its unit, such as "{told}"', likely
            )
        low, high = self._ends
        if not low <= diameter <= high:
            raise Unreadable(f"must be a diameter from {self.smallest} to {self.largest}")
        return diameter

    @cached_property
    def _ends(self) -> tuple[float, float]:
        return units.number(self.smallest, LENGTH, "us"), units.number(self.largest, LENGTH, "us")

    def out(self, value: Any, system: System) -> Any:
        return value.designation

    def accepted(self, system: System) -> str:
        return 'a size such as 265/70R17, 35x12.50R17LT, 7.50R16C, or a measured diameter such as "36.4 in"'

    def schema(self) -> Schema:
        return {"type": "string", "format": "tyre-size", "minLength": 3, "maxLength": tyre_sizes.LONGEST_SIZE}

    def text_schema(self) -> Schema:
        return self.schema()


@dataclass(frozen=True)
class Series:
    """A list of numbers, each within the bounds of `item`; `length` is the least and the most of them.

    `order` is what each number must do after the one before: ``rise``, ``fall``, or nothing.
    """

    item: Number
    length: tuple[int, int] = (1, LONGEST_LIST)
    order: str = ""

    def read(self, value: object, system: System) -> NDArray[np.float64]:
        parts = _parts(value, self.length, self, system)
        read = self.item.read
        try:
            numbers = [read(part, system) for part in parts]
        except Unreadable:
            numbers = [
                np.float64(_element(self.item, place, part, system)) for place, part in enumerate(parts)
            ]
        series = np.array(numbers)
        if self.order and not self._is_in_order(numbers):
            shown = self.out(np.sort(series)[:: 1 if self.order == "rise" else -1], system)
            use = ",".join(f"{number:.10g}" for number in shown) if len(set(shown)) == len(shown) else None
            raise Unreadable(f"must {self.order} from each number to the next", use)
        return series

    def _is_in_order(self, numbers: list[np.float64]) -> bool:
        lower, higher = (numbers, numbers[1:]) if self.order == "rise" else (numbers[1:], numbers)
        return all(map(lt, lower, higher))

    def out(self, value: Any, system: System) -> Any:
        return [self.item.out(item, system) for item in np.atleast_1d(value)]

    def accepted(self, system: System) -> str:
        least, most = self.length
        many = f"{least}" if least == most else f"{least} to {most}"
        return f"a list of {many}, each {self.item.accepted(system)}"

    def schema(self) -> Schema:
        least, most = self.length
        array = {"type": "array", "items": self.item.schema(), "minItems": least, "maxItems": most}
        return {"anyOf": [array, self._text()]}

    def text_schema(self) -> Schema:
        return self._text() | self.item._notes()

    def _text(self) -> Schema:
        return {"type": "string", "minLength": 1, "maxLength": LONGEST_LIST_TEXT}


@dataclass(frozen=True)
class Grid(Series):
    """A list of numbers, or ``first:last:step``."""

    length: tuple[int, int] = (1, LONGEST_GRID)

    def read(self, value: object, system: System) -> NDArray[np.float64]:
        if not (isinstance(value, str) and ":" in value):
            return super().read(value, system)
        ends = value.split(":")
        if len(ends) != 3:
            raise Unreadable("must be a list, or first:last:step such as 600:4500:300")
        first, last, step = (_element(self.item, place, end, system) for place, end in enumerate(ends))
        count = int((last - first) / step + 1e-6) + 1 if step > 0.0 and last >= first else 0
        if not 1 <= count <= self.length[1]:
            raise Unreadable(f"must rise from first to last in at most {self.length[1]} numbers")
        factor = self.item.quantity.factor(system)
        speeds = [_shown(first / factor) + place * _shown(step / factor) for place in range(count)]
        return np.array(speeds) * factor


@dataclass(frozen=True)
class Curve:
    """Points ``x:y,x:y,...``, joined by straight lines. SI shape (points, 2).

    `rises` says in errors what x is, which rises from each point to the next. Where `falls` says what x is,
    x falls and y, of which `rises` then tells, rises.
    """

    along: Number
    up: Number
    length: tuple[int, int] = (2, LONGEST_CURVE)
    rises: str = "engine speed"
    falls: str = ""
    example: str = "1000:210,2000:260"

    def read(self, value: object, system: System) -> NDArray[np.float64]:
        points = []
        rows = _rows_of_export(value, self, system) if isinstance(value, str) and "\n" in value else value
        for place, part in enumerate(_parts(rows, self.length, self, system, LONGEST_CURVE_TEXT)):
            pair = part.split(":") if isinstance(part, str) else part
            if not isinstance(pair, list) or len(pair) != 2:
                raise Unreadable(f"item {place + 1} is no pair: it must be {self.accepted(system)}")
            points.append(
                [
                    _element(kind, place, end, system)
                    for kind, end in zip((self.along, self.up), pair, strict=True)
                ]
            )
        curve = np.array(points)
        steps = np.diff(curve, axis=0)
        if self.falls and (steps[:, 0] >= 0.0).any():
            raise Unreadable(f"must fall in {self.falls} from each point to the next")
        if (steps[:, 1 if self.falls else 0] <= 0.0).any():
            raise Unreadable(f"must rise in {self.rises} from each point to the next")
        return curve

    def out(self, value: Any, system: System) -> Any:
        return [[self.along.out(x, system), self.up.out(y, system)] for x, y in value]

    def accepted(self, system: System) -> str:
        return (
            f"{self.length[0]} to {self.length[1]} points such as {self.example} with "
            f"{self.along.accepted(system)}, then {self.up.accepted(system)}"
        )

    def schema(self) -> Schema:
        least, most = self.length
        point = {
            "anyOf": [_row(self.along, self.up), {"type": "string", "maxLength": 2 * units.LONGEST_TEXT}]
        }
        array = {"type": "array", "minItems": least, "maxItems": most, "items": point}
        return {"anyOf": [array, self.text_schema()]}

    def text_schema(self) -> Schema:
        return {"type": "string", "minLength": 3, "maxLength": LONGEST_CURVE_TEXT} | _units(
            self.along, self.up
        )


@dataclass(frozen=True)
class Ratios:
    """A list of ratios or tooth pairs such as ``41/9``. SI shape (ratios, 3).

    Each row is the ratio, the ring teeth and the pinion teeth; the teeth are NaN where a bare ratio came.
    """

    item: AxleRatio
    length: tuple[int, int] = (1, LONGEST_LIST)

    def read(self, value: object, system: System) -> NDArray[np.float64]:
        parts = _parts(value, self.length, self, system, strokes=False)
        return np.array([self._row(place, part, system) for place, part in enumerate(parts)])

    def _row(self, place: int, part: object, system: System) -> list[float]:
        pair = _PAIR.fullmatch(part) if isinstance(part, str) else None
        ratio = _element(self.item, place, part, system)
        return [ratio, *(map(float, pair.groups()) if pair else (np.nan, np.nan))]

    def out(self, value: Any, system: System) -> Any:
        return [ratio if np.isnan(ring) else f"{ring:.0f}/{pinion:.0f}" for ratio, ring, pinion in value]

    def accepted(self, system: System) -> str:
        return f"{self.length[0]} to {self.length[1]} ratios or tooth pairs such as 4.10,41/9"

    def schema(self) -> Schema:
        least, most = self.length
        items = {"anyOf": [self.item._number(), {"type": "string", "maxLength": units.LONGEST_TEXT}]}
        array = {"type": "array", "items": items, "minItems": least, "maxItems": most}
        return {"anyOf": [array, self.text_schema()]}

    def text_schema(self) -> Schema:
        return {"type": "string", "minLength": 1, "maxLength": LONGEST_LIST_TEXT, "x-unit": ""}


@dataclass(frozen=True)
class Coefficients:
    """A fixed few numbers of different quantities, ``A,B,C``.

    Where `names` are given, errors tell them, and what is accepted tells them with units, not all bounds.
    """

    items: tuple[Number, ...]
    names: str = ""

    def read(self, value: object, system: System) -> NDArray[np.float64]:
        many = len(self.items)
        parts = _parts(value, (many, many), self, system)
        return np.array(
            [
                _element(item, place, part, system, self._label(place))
                for place, (item, part) in enumerate(zip(self.items, parts, strict=True))
            ]
        )

    def _label(self, place: int) -> str:
        return self.names.split(",")[place] if self.names else ""

    def out(self, value: Any, system: System) -> Any:
        return [item.out(part, system) for item, part in zip(self.items, value, strict=True)]

    def accepted(self, system: System) -> str:
        if self.names:
            units_of_all = ", ".join(item.quantity.unit(system) for item in self.items)
            return f"{len(self.items)} numbers {self.names} in {units_of_all}"
        return f"{len(self.items)} numbers: " + "; ".join(item.accepted(system) for item in self.items)

    def schema(self) -> Schema:
        return {"anyOf": [_row(*self.items), self.text_schema()]}

    def text_schema(self) -> Schema:
        return {"type": "string", "minLength": 5, "maxLength": LONGEST_LIST_TEXT} | _units(*self.items)


def _row(*items: Number) -> Schema:
    """Schema of an array with one number of each kind."""
    # `items` forbids nothing beside `prefixItems`: it is there for programs that know only this word.
    each = {"prefixItems": [item.schema() for item in items], "items": {"type": ["number", "string"]}}
    return {"type": "array", **each, "minItems": len(items), "maxItems": len(items)}


def _units(*items: Number) -> Schema:
    return {"x-unit": {system: [item.quantity.unit(system) for item in items] for system in units.SYSTEMS}}


def _parts(
    value: object,
    length: tuple[int, int],
    kind: Kind,
    system: System,
    longest: int = LONGEST_LIST_TEXT,
    *,
    strokes: bool = True,
) -> list[object]:
    if isinstance(value, str):
        if len(value) > longest:
            raise Unreadable(f"is longer than {longest} characters")
        parts: list[object] = [*_split(value, strokes=strokes)]
        if len(parts) == 1 and length == (2, 2):
            parts = [*_BETWEEN.split(units.plain(value))]
    elif isinstance(value, PointedText):
        value.refuse()
    else:
        parts = value if isinstance(value, list) else [value]
    if not length[0] <= len(parts) <= length[1]:
        raise Unreadable(f"has {len(parts)} items: it must be {kind.accepted(system)}")
    if isinstance(value, str) and " " in value and _THOUSANDS.search(value):
        raise Unreadable("has blanks that may part thousands: write a comma between two numbers")
    return parts


def _split(text: str, *, strokes: bool) -> list[str]:
    """The items of a list: a semicolon parts them, else a comma, else a stroke, else a blank."""
    if ";" in text:
        return text.split(";")
    if "," in text:
        grouped = ", " in text and _GROUPS.fullmatch(text.strip())
        return text.split(", ") if grouped else text.split(",")
    text = text.strip()
    if not _ONLY_NUMBERS.fullmatch(text):
        return [text]
    if strokes and _STROKES.fullmatch(text):
        return text.split("/")
    return [item for item in (text.split(" ") if strokes else _OUTSIDE_PAIRS.split(text)) if item]


def _rows_of_export(text: str, kind: "Curve", system: System) -> list[list[str]]:
    """Points out of the lines of a dynamometer's export: columns under headings that say what they are.

    The first line may head the columns, with units in brackets; the columns are found by their words. Without
    a heading the first column is `along` and the second `up`.

    Raises
    ------
    Unreadable
        If it is too long, a column is missing, or a line is shorter than its heading.
    """
    if len(text) > LONGEST_CURVE_TEXT:
        raise Unreadable(f"is longer than {LONGEST_CURVE_TEXT} characters")
    lines = [line for line in text.splitlines() if line.strip()]
    mark = next((mark for mark in "\t;," if mark in lines[0]), None) if lines else None
    if mark is None:
        raise Unreadable(f"has lines without columns: it must be {kind.accepted(system)}")
    rows = [[cell.strip() for cell in line.split(mark)] for line in lines]
    if mark != ",":
        rows = [[cell.replace(",", ".") for cell in row] for row in rows]
    headings = rows.pop(0) if not rows[0][0][:1].isdigit() else []
    along, up = _column(headings, kind.along, 0), _column(headings, kind.up, 1)
    if any(len(row) <= max(along[0], up[0]) for row in rows):
        raise Unreadable("has a line with fewer columns than its heading")
    return [[f"{row[place]}{unit}" for place, unit in (along, up)] for row in rows]


def _column(headings: list[str], number: Number, otherwise: int) -> tuple[int, str]:
    """The place of the column of that quantity, and its unit where the heading says one."""
    for place, heading in enumerate(headings):
        word, _, unit = heading.replace("(", "[").replace("/", "[", 1).partition("[")
        unit = unit.rstrip("]) ")
        known = unit and units.is_unit(unit, number.quantity)
        if known or any(said in word.casefold() for said in _COLUMN_WORDS[number.quantity.name]):
            return place, f" {unit}" if known else ""
    if headings:
        raise Unreadable(f"has no column headed {_COLUMN_WORDS[number.quantity.name][0]}")
    return otherwise, ""


_COLUMN_WORDS: dict[str, tuple[str, ...]] = {
    "rotational speed": ("engine speed", "rpm", "speed", "rev"),
    "torque": ("torque", "tq", "drehmoment"),
    "power": ("power", "hp", "kw"),
    "road speed": ("road speed", "speed"),
    "time": ("time",),
    "number": ("share",),
}


def _element(item: Number, place: int, part: object, system: System, label: str = "") -> float:
    try:
        return item.read(part, system)
    except Unreadable as error:
        raise Unreadable(f"{label or f'item {place + 1}'} {error}") from error


@dataclass(frozen=True)
class Loads:
    """Things carried, ``mass:position`` or ``mass:position:height``. SI shape (loads, 3).

    The height is NaN where it is not given.
    """

    mass: Number
    position: Number
    height: Number
    length: tuple[int, int] = (1, 20)

    def read(self, value: object, system: System) -> NDArray[np.float64]:
        parts = _parts(value, self.length, self, system)
        return np.array([self._row(place, part, system) for place, part in enumerate(parts)])

    def _row(self, place: int, part: object, system: System) -> list[float]:
        load = part.split(":") if isinstance(part, str) else part
        if not isinstance(load, list) or len(load) not in (2, 3):
            raise Unreadable(
                f"item {place + 1} is no mass:position or mass:position:height: it must be "
                f"{self.accepted(system)}"
            )
        given = [_element(kind, place, end, system) for kind, end in zip(self._items, load, strict=False)]
        return [*given, *[np.nan] * (3 - len(given))]

    @property
    def _items(self) -> tuple[Number, Number, Number]:
        return self.mass, self.position, self.height

    def out(self, value: Any, system: System) -> Any:
        return [
            [kind.out(end, system) for kind, end in zip(self._items, load, strict=True) if not np.isnan(end)]
            for load in value
        ]

    def accepted(self, system: System) -> str:
        mass, position, height = (kind.quantity.unit(system) for kind in self._items)
        return (
            f"{self.length[0]} to {self.length[1]} loads such as 200:60,150:120:40: mass in {mass}, position "
            f"behind the front axle in {position} and, if known, height above ground in {height}"
        )

    def schema(self) -> Schema:
        least, most = self.length
        text = {"type": "string", "maxLength": 3 * units.LONGEST_TEXT}
        load = {"anyOf": [_row(*self._items) | {"minItems": 2}, text]}
        array = {"type": "array", "minItems": least, "maxItems": most, "items": load}
        return {"anyOf": [array, self.text_schema()]}

    def text_schema(self) -> Schema:
        return {"type": "string", "minLength": 3, "maxLength": LONGEST_LIST_TEXT} | _units(*self._items)
