"""Tyre size designations: text to dimensions."""

import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from re import Match

from gearing_api import tables
from gearing_api.mechanics import tyres
from gearing_api.mechanics.domain import positive
from gearing_api.mechanics.tyres import INCH

LONGEST_SIZE = 40
"""Characters of the longest text that is looked at."""

ACCEPTED = (
    "265/70R17, P265/70R17 115T, LT315/75R16 121/118S or 225/75R16C (metric), 35x12.50R17LT (flotation), "
    "7.50R16C (numeric), 185R14C (no aspect ratio), 205-640R440 (millimetres), LT265/75D16 or 33x12.50-15 "
    '(bias), or a measured diameter with its unit, such as "36.4 in"'
)
"""One example of each form."""


class SizeError(ValueError):
    """A text that is no tyre size, or a size whose dimensions are not known; says what is accepted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TyreSize:
    """What a size says, in SI; None where it says nothing.

    Attributes
    ----------
    designation : str
        The size in its usual print; reads back to the same tyre.
    form : str
        ``metric``, ``flotation``, ``numeric``, ``millimetre`` or ``measured``.
    construction : str
        ``radial`` or ``bias``.
    diameter : float
        Free diameter. [m]
    rim_diameter, nominal_width : float or None
        As the size names them, an inch of rim code being 25.4 mm. [m]
    aspect : float or None
        Section height / nominal width. [-]
    section_height : float or None
        Rim to tread. [m]
    measuring_rim_width : float or None
        Of the rim on which the section width holds, where a rule gives it. [m]
    section_width : float or None
        Design width on the measuring rim; the nominal width of a flotation size. [m]
    load_index, dual_load_index, speed_symbol : int, int, str or None
        The service description. [-]
    load_capacity, dual_load_capacity : float or None
        Of one tyre, fitted single and dual. [kg]
    speed_capability : float or None
        [m/s]
    nominal_diameter : bool
        True where the diameter is a name as well as a size: design diameters run smaller.
    """

    designation: str
    form: str
    construction: str
    diameter: float
    rim_diameter: float | None = None
    nominal_width: float | None = None
    aspect: float | None = None
    section_height: float | None = None
    measuring_rim_width: float | None = None
    section_width: float | None = None
    load_index: int | None = None
    dual_load_index: int | None = None
    speed_symbol: str | None = None
    load_capacity: float | None = None
    dual_load_capacity: float | None = None
    speed_capability: float | None = None
    nominal_diameter: bool = False


def measured(diameter: float) -> TyreSize:
    """A tyre of which a tape measure has told the diameter [m], and nothing else; taken as radial."""
    positive("diameter", diameter)
    return TyreSize(
        designation=f"{diameter / INCH:.6g} in", form="measured", construction="radial", diameter=diameter
    )


@lru_cache(maxsize=4096)
def read(text: str) -> TyreSize:
    """The tyre that a designation names.

    Case and spacing do not matter; a multiplication sign stands for ``x``, any dash for ``-`` and a decimal
    comma for the point.

    Raises
    ------
    SizeError
        If the text is no designation, names implausible dimensions, or is a numeric size without a row in
        the published table.

    Examples
    --------
    >>> tyre = read("lt265/75 r16 123/120Q")
    >>> tyre.designation, round(tyre.diameter, 4), tyre.load_capacity
    ('LT265/75R16 123/120Q', 0.8039, 1550.0)
    """
    if len(text) > LONGEST_SIZE:
        raise SizeError(f"is longer than {LONGEST_SIZE} characters: write a tyre size as {ACCEPTED}")
    plain = " ".join(text.translate(_TYPOGRAPHY).split())
    # Upper case turns some other letters into ASCII ones, so it comes second.
    if plain.isascii():
        plain = _BRACKETED.sub(r" \1(Y)", plain.upper())
        for pattern, dimensions in _FORMS:
            if found := pattern.fullmatch(plain):
                return _described(dimensions(found), found)
        for pattern, radial, bias in _UNBUILT:
            if found := pattern.fullmatch(plain):
                raise SizeError(
                    "does not say how the tyre is built: write "
                    f"{found.expand(radial)} for a radial or {found.expand(bias)} for a bias tyre"
                )
    raise SizeError(f"is not a tyre size: write it as {ACCEPTED}")


def load_capacity(load_index: int) -> float:
    """Largest load on one tyre of that load index [kg].

    Raises
    ------
    SizeError
        If the table has no such index.
    """
    loads = _numbers("load-index", "load_index", "load_capacity")
    if load_index not in loads:
        raise SizeError(f"names the load index {load_index}: there are 0 to {len(loads) - 1}")
    return loads[load_index]


def speed_capability(speed_symbol: str) -> float:
    """Highest speed of that speed symbol [m/s].

    Raises
    ------
    SizeError
        If the table has no such symbol.
    """
    speeds = _numbers("speed-symbols", "speed_symbol", "speed_capability")
    if speed_symbol not in speeds:
        known = ", ".join(str(symbol) for symbol in speeds)
        raise SizeError(f"names the speed symbol {speed_symbol}: there are {known}")
    return speeds[speed_symbol] / 3.6


@cache
def _numbers(table: str, key: str, value: str) -> dict[tables.Cell, float]:
    pairs = tables.table(table).keyed(key, value).items()
    return {cell: float(number) for cell, number in pairs if number is not None}


def _metric(found: Match[str]) -> TyreSize:
    millimetres = _plausible(found, "width", 100, 1100, " mm")
    percent = _plausible(found, "aspect", 20, 120, " %") if found["aspect"] else _UNSTATED_ASPECT
    width, aspect = millimetres / 1e3, percent / 100
    code = _rim_code(found)
    rim = code * INCH
    kind = found["prefix"] or found["suffix"] or ""
    ruled = kind != "T" and _is_light(code, aspect)
    measuring_rim = float(tyres.measuring_rim_width(width, aspect)) if ruled else None
    before, after = ("", kind) if kind.startswith("C") else (kind, "")
    series = f"/{percent:g}" if found["aspect"] else ""
    mark = (found["mark"] or "R").replace("-", "D")
    return TyreSize(
        designation=f"{before}{millimetres:g}{series}{mark}{code:g}{after}",
        form="metric",
        construction=_construction(found),
        diameter=float(tyres.free_diameter(width, aspect, rim)),
        rim_diameter=rim,
        nominal_width=width,
        aspect=aspect,
        section_height=float(tyres.section_height(width, aspect)),
        measuring_rim_width=measuring_rim,
        section_width=measuring_rim and float(tyres.design_section_width(width, measuring_rim)),
    )


def _is_light(rim_code: float, aspect: float) -> bool:
    """Whether the rules of passenger and light-truck sizes give the measuring rim.

    Rim codes in .5 are 15-degree truck rims; high series on rims of 20 and more are truck and
    multipurpose sizes, whose published widths keep to no rule.
    """
    return rim_code.is_integer() and (rim_code < 20 or (rim_code <= 24 and aspect < 0.75))


def _flotation(found: Match[str]) -> TyreSize:
    inches = _plausible(found, "diameter", 12, 80, " in")
    width = _plausible(found, "width", 3, 40, " in")
    code = _rim_code(found)
    return TyreSize(
        designation=f"{inches:g}x{width:.2f}{_mark(found)}{code:g}{found['prefix'] or found['suffix'] or ''}",
        form="flotation",
        construction=_construction(found),
        diameter=inches * INCH,
        rim_diameter=code * INCH,
        nominal_width=width * INCH,
        section_height=_height(inches * INCH, code * INCH),
        section_width=width * INCH,
        nominal_diameter=True,
    )


def _numeric(found: Match[str]) -> TyreSize:
    code = _rim_code(found)
    kind = found["prefix"] or found["suffix"] or ""
    rows = _numeric_sizes().get((float(found["width"]), code))
    if rows is None:
        raise SizeError(
            "is a size without aspect ratio that the table numeric-tyre-sizes does not hold: "
            'give a measured diameter with its unit, such as "36.4 in"'
        )
    # Where the table holds a size with and without C they differ; else the one row stands for both.
    width_text, diameter, section_width = rows.get(kind) or next(iter(rows.values()))
    return TyreSize(
        designation=f"{width_text}{_mark(found)}{code:g}{kind}",
        form="numeric",
        construction=_construction(found),
        diameter=diameter,
        rim_diameter=code * INCH,
        nominal_width=float(found["width"]) * INCH,
        section_height=_height(diameter, code * INCH),
        section_width=section_width,
    )


@cache
def _numeric_sizes() -> dict[tuple[float, float], dict[str, tuple[str, float, float]]]:
    """Width as printed, diameter and section width [m], by width and rim code and then by suffix."""
    sizes: dict[tuple[float, float], dict[str, tuple[str, float, float]]] = {}
    diameters = _numbers("numeric-tyre-sizes", "size", "diameter")
    widths = _numbers("numeric-tyre-sizes", "size", "section_width")
    for size, diameter in diameters.items():
        width, _, rim = str(size).removesuffix("C").partition("R")
        suffix = "C" if str(size).endswith("C") else ""
        row = (width, diameter / 1e3, widths[size] / 1e3)
        sizes.setdefault((float(width), float(rim)), {})[suffix] = row
    return sizes


def _millimetre(found: Match[str]) -> TyreSize:
    millimetres = (
        _plausible(found, "width", 100, 1100, " mm"),
        _plausible(found, "diameter", 300, 2000, " mm"),
        _plausible(found, "rim", 200, 800, " mm"),
    )
    width, diameter, rim = (length / 1e3 for length in millimetres)
    return TyreSize(
        designation="{:g}-{:g}R{:g}".format(*millimetres),
        form="millimetre",
        construction="radial",
        diameter=diameter,
        rim_diameter=rim,
        nominal_width=width,
        section_height=_height(diameter, rim),
    )


def _plausible(found: Match[str], group: str, low: float, high: float, unit: str = "") -> float:
    value = float(found[group])
    if not low <= value <= high:
        raise SizeError(f"names the {group} {value:g}{unit}: {low:g} to {high:g}{unit} is plausible")
    return value


def _rim_code(found: Match[str]) -> float:
    return _plausible(found, "rim", 8, 54)


def _mark(found: Match[str]) -> str:
    return "R" if found["mark"] == "R" else "-"


def _construction(found: Match[str]) -> str:
    return "bias" if found["mark"] in ("D", "-") else "radial"


def _height(diameter: float, rim_diameter: float) -> float:
    height = (diameter - rim_diameter) / 2
    if height < INCH:
        raise SizeError("names a diameter that leaves no room for a tyre on its rim")
    return height


def _described(size: TyreSize, found: Match[str]) -> TyreSize:
    """The size with its load range and service description."""
    marks = found.groupdict()
    designation = size.designation
    if marks.get("load_range"):
        designation += f"/{marks['load_range']}"
    if marks["load"] is None:
        symbol = "Z" if "Z" in (marks["mark"] or "") else None
        index = dual = None
    else:
        symbol, index = marks["speed"], int(marks["load"])
        dual = int(marks["dual"]) if marks["dual"] else None
        designation += f" {index}{'' if dual is None else f'/{dual}'}{symbol}"
    return replace(
        size,
        designation=designation,
        load_index=index,
        dual_load_index=dual,
        speed_symbol=symbol,
        load_capacity=None if index is None else load_capacity(index),
        dual_load_capacity=None if dual is None else load_capacity(dual),
        speed_capability=None if symbol is None else speed_capability(symbol),
    )


# Without an aspect ratio in the size 80 is meant.
_UNSTATED_ASPECT = 80.0

_TYPOGRAPHY = str.maketrans(dict.fromkeys("×✕", "x") | dict.fromkeys("‐‑‒–—−", "-") | {"⁄": "/", ",": "."})

# Above 300 km/h the whole service description may stand in brackets, not only its letter.
_BRACKETED = re.compile(r" ?\( ?(\d{1,3}) ?Y ?\)$")

_INCHES = r"\d{1,2}(?:\.\d{1,2})?"
_RIM = r"(?P<rim>\d{2}(?:\.5(?!\d))?|[89](?!\d))"
_INDEX = r"0|[1-9]\d{0,2}"
_SERVICE = rf"(?: ?(?P<load>{_INDEX})(?: ?/ ?(?P<dual>{_INDEX}))? ?(?P<speed>A[1-8]|[A-Z]|\(Y\)))?"


def _form(prefixes: str, size: str, suffixes: str) -> re.Pattern[str]:
    """A pattern of the whole designation; what it is for stands before the size or behind it, not both."""
    return re.compile(
        rf"(?:(?P<prefix>{prefixes}) ?)?{size} ?{_RIM}(?(prefix)|(?: ?(?P<suffix>{suffixes}))?)"
        rf"(?: ?/? ?(?P<load_range>[B-G]))?{_SERVICE}"
    )


_METRIC_SIZE = r"(?P<width>\d{3,4}) ?(?:/ ?(?P<aspect>\d{2,3}) ?(?P<mark>ZRF|ZR|RF|R|D|-)|R)"
# A stroke may stand for the x where the decimal point keeps the size from being a metric one.
_FLOTATION_SIZE = rf"(?P<diameter>{_INCHES}) ?(?:X|/(?= ?\d{{1,2}}\.)) ?(?P<width>{_INCHES}) ?(?P<mark>R|D|-)"
_NUMERIC_SIZE = rf"(?P<width>{_INCHES}) ?(?P<mark>R|D|-)"
_MILLIMETRE_SIZE = r"(?P<width>\d{3}) ?- ?(?P<diameter>\d{3,4}) ?(?P<mark>R) ?(?P<rim>\d{3})"

# Every quantifier is bounded and none stands in another, so a text costs the same whatever it says.
_FORMS = (
    (_form("P|T|LT|CP|C", _METRIC_SIZE, "LT|CP|C"), _metric),
    (_form("LT", _FLOTATION_SIZE, "LT"), _flotation),
    (_form("LT", _NUMERIC_SIZE, "LT|C"), _numeric),
    (re.compile(_MILLIMETRE_SIZE + _SERVICE), _millimetre),
)

# Sizes with a third separator where the construction belongs, and what to write in their place.
_UNBUILT = (
    (
        re.compile(
            r"(?P<prefix>P|T|LT)? ?(?P<width>\d{3}) ?[-/X ] ?(?P<aspect>\d{2}) ?[-/X ] ?"
            r"(?P<rim>\d{2}(?:\.5)?)(?: .*)?"
        ),
        r"\g<prefix>\g<width>/\g<aspect>R\g<rim>",
        r"\g<prefix>\g<width>/\g<aspect>D\g<rim>",
    ),
    (
        re.compile(
            rf"(?P<diameter>{_INCHES}) ?[-/X ] ?(?P<width>{_INCHES}) ?[/X ] ?"
            r"(?P<rim>\d{2}(?:\.5)?)(?: ?LT)?(?: .*)?"
        ),
        r"\g<diameter>x\g<width>R\g<rim>LT",
        r"\g<diameter>x\g<width>-\g<rim>LT",
    ),
)
