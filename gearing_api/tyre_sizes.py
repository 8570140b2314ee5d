"""Tyre size designations: text to dimensions."""

import re
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from re import Match
from typing import Any, NamedTuple

from gearing_api import tables
from gearing_api.mechanics import tyres
from gearing_api.mechanics.domain import positive
from gearing_api.mechanics.tyres import INCH

LONGEST_SIZE = 60
"""Characters of the longest text that is looked at."""

ACCEPTED = (
    "265/70R17, P265/70R17 115T, LT315/75R16 121/118S or 225/75R16C (metric), 35x12.50R17LT (flotation), "
    "7.50R16C (numeric), 185R14C (no aspect ratio), 205-640R440 (millimetres), LT265/75D16 or 33x12.50-15 "
    '(bias), or a measured diameter with its unit, such as "36.4 in"'
)
"""One example of each form."""

_COMMON = '265/70R17, 35x12.50R17LT, 7.50R16C, or a measured diameter with its unit, such as "36.4 in"'
_MEASURE = 'give a measured diameter with its unit, such as "36.4 in"'


class SizeError(ValueError):
    """A text that is no tyre size, or a size whose dimensions are not known; says what is accepted.

    Attributes
    ----------
    use : str or None
        The size as it is likeliest meant, where there is one.
    """

    def __init__(self, reason: str, use: str | None = None) -> None:
        super().__init__(reason)
        self.use = use


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
    construction_printed : bool
        False where the print leaves it to a convention: a dash is read as bias; a stroke, a cross or a blank
        before the rim, and a measured diameter, as radial.
    extra_load : bool
        Marked XL, RF, reinforced or extra load: the load index is that of a higher pressure.
    load_range : str or None
        The letter of a light-truck tyre's strength, such as E.
    ply_rating : int or None
        The same as a number of plies, as printed.
    load_class : str
        ``light-truck``, ``us-passenger``, ``commercial`` or ``passenger``: the tables its loads follow.
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
    construction_printed: bool = field(default=True, compare=False)
    extra_load: bool = False
    load_range: str | None = None
    ply_rating: int | None = None
    load_class: str = "passenger"


def measured(diameter: float) -> TyreSize:
    """A tyre of which a tape measure has told the diameter [m], and nothing else; taken as radial."""
    positive("diameter", diameter)
    return TyreSize(
        designation=f"{diameter / INCH:.6g} in",
        form="measured",
        construction="radial",
        diameter=diameter,
        construction_printed=False,
    )


@lru_cache(maxsize=4096)
def read(text: str) -> TyreSize:
    """The tyre that a designation names.

    Case and spacing do not matter; a multiplication sign stands for ``x``, any dash for ``-``, a decimal
    comma for the point, and a Cyrillic letter for the Latin one that it looks like. Marks of load, ply and
    service are facts of the size; marks of sidewall, tread and season are passed over.

    Raises
    ------
    SizeError
        If the text is no designation, names implausible dimensions, leaves a choice that changes the answer,
        or is a numeric size without a row in the published table.

    Examples
    --------
    >>> tyre = read("lt265/75 r16 123/120Q LRE")
    >>> tyre.designation, round(tyre.diameter, 4), tyre.load_capacity, tyre.load_range
    ('LT265/75R16/E 123/120Q', 0.8039, 1550.0, 'E')
    """
    if len(text) > LONGEST_SIZE:
        raise SizeError(f"is longer than {LONGEST_SIZE} characters: write a tyre size as {_COMMON}")
    plain = _in_plain_letters(text)
    for pattern, dimensions in _FORMS if plain else ():
        found = pattern.match(plain)
        marks = found and (_Marks.read(plain[found.end() :]) if found.end() < len(plain) else _NO_MARKS)
        if found and marks is not None:
            return _plausible_whole(_described(dimensions(found), found, marks))
    for pattern, reason, use in _REFUSED if plain else ():
        if found := pattern.fullmatch(plain):
            raise SizeError(found.expand(reason), use and found.expand(use))
    raise SizeError(f"is not a tyre size: write it as {ACCEPTED}")


def _in_plain_letters(text: str) -> str:
    """Upper case in ASCII with single spaces; empty where other letters remain."""
    if not text.isascii():
        text = _R_BETWEEN_DIGITS.sub("R", text.translate(_TYPOGRAPHY)).translate(_LOOKALIKES)
        # Upper case turns some other letters into ASCII ones, so it comes second.
        if not text.isascii():
            return ""
    plain = " ".join(text.replace(",", ".").upper().split())
    if "(" in plain:
        plain = _BRACKETED.sub(r" \1(Y) ", plain).strip()
    return _INCH_MARK.sub("", plain) if '"' in plain or "''" in plain else plain


def _plausible_whole(size: TyreSize) -> TyreSize:
    if not _SMALLEST <= size.diameter / INCH <= _LARGEST:
        raise SizeError(
            f"would be {size.diameter / INCH:.3g} in tall: {_SMALLEST:g} to {_LARGEST:g} in is plausible"
        )
    return size


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
    if not found["aspect"]:
        if float(found["width"]) > _WIDEST_WITHOUT_ASPECT and found["mark"] in ("R", "-"):
            return _numeric(found)
        if "R" not in found["mark"]:
            what = "a tyre size without its rim" if found["mark"] == "/" else "not a tyre size"
            raise SizeError(f"is {what}: write it as {_COMMON}")
    millimetres = _plausible(found, "width", 100, 1100, " mm")
    percent = _plausible(found, "aspect", 20, 120, " %") if found["aspect"] else _UNSTATED_ASPECT
    width, aspect = millimetres / 1e3, percent / 100
    code = _rim_code(found)
    _refuse_doubtful_dash(found, percent, code)
    rim = code * INCH
    kind = found["prefix"] or found["suffix"] or ""
    ruled = kind != "T" and _is_light(code, aspect)
    measuring_rim = float(tyres.measuring_rim_width(width, aspect)) if ruled else None
    before, after = ("", kind) if kind.startswith("C") else (kind, "")
    series = f"/{percent:g}" if found["aspect"] else ""
    mark = "D" if _construction(found) == "bias" else _radial_mark(found)
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
        construction_printed=_is_printed(found),
    )


def _refuse_doubtful_dash(found: Match[str], percent: float, code: float) -> None:
    """Refuse a dash in low series and on large rims: they are radial nearly always, bias hardly ever."""
    if _construction(found) == "bias" and found["mark"] == "-" and (percent <= 75.0 or code >= 17.0):
        size = "{}{:g}/{:g}".format(found["prefix"] or "", float(found["width"]), percent)
        rest = f"{code:g}{found['suffix'] or ''}"
        raise SizeError(
            f"does not say how the tyre is built: write {size}R{rest} for a radial or {size}D{rest} for a "
            "bias tyre",
            f"{size}R{rest}",
        )


def _is_light(rim_code: float, aspect: float) -> bool:
    """Whether the rules of passenger and light-truck sizes give the measuring rim.

    Rim codes in .5 are 15-degree truck rims; high series on rims of 20 and more are truck and
    multipurpose sizes, whose published widths keep to no rule.
    """
    return rim_code.is_integer() and (rim_code < 20 or (rim_code <= 24 and aspect < 0.75))


def _flotation(found: Match[str]) -> TyreSize:
    inches = _plausible(found, "diameter", _SMALLEST, _LARGEST, " in")
    width = _inches_wide(found)
    if not 3.0 <= width <= 40.0:
        raise SizeError(f"names the width {width:g} in: 3 to 40 in is plausible")
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
        construction_printed=_is_printed(found),
    )


def _inches_wide(found: Match[str]) -> float:
    """The width in inches; three or four digits without a point are hundredths: 35x1250R17, 750R16."""
    width = float(found["width"])
    return width / 100.0 if "." not in found["width"] and width >= 300.0 else width


def _numeric(found: Match[str]) -> TyreSize:
    code = _rim_code(found)
    kind = found["prefix"] or found["suffix"] or ""
    if kind not in ("", "LT", "C"):
        raise SizeError(f"is not a tyre size: write it as {_COMMON}")
    width = _inches_wide(found)
    sizes = _numeric_sizes()
    # A radial's diameter stands for the bias tyre without a row of its own; not the other way round.
    rows = sizes.get((width, code, _construction(found))) or sizes.get((width, code, "radial"))
    if rows is None:
        raise SizeError(
            "is a size without aspect ratio that the table numeric-tyre-sizes does not hold: " + _MEASURE
        )
    # Where the table holds a size with and without C they differ; else the one row stands for both.
    width_text, diameter, section_width = rows.get(kind) or next(iter(rows.values()))
    return TyreSize(
        designation=f"{width_text}{_mark(found)}{code:g}{kind}",
        form="numeric",
        construction=_construction(found),
        diameter=diameter,
        rim_diameter=code * INCH,
        nominal_width=width * INCH,
        section_height=_height(diameter, code * INCH),
        section_width=section_width,
        construction_printed=_is_printed(found),
    )


@cache
def _numeric_sizes() -> dict[tuple[float, float, str], dict[str, tuple[str, float, float | None]]]:
    """Width as printed, diameter and section width [m], by width, rim code, construction, then suffix."""
    sizes: dict[tuple[float, float, str], dict[str, tuple[str, float, float | None]]] = {}
    diameters = _numbers("numeric-tyre-sizes", "size", "diameter")
    widths = _numbers("numeric-tyre-sizes", "size", "section_width")
    for size, diameter in diameters.items():
        construction, mark = ("bias", "-") if "-" in str(size) else ("radial", "R")
        width, _, rim = str(size).removesuffix("C").partition(mark)
        suffix = "C" if str(size).endswith("C") else ""
        row = (width, diameter / 1e3, widths[size] / 1e3 if size in widths else None)
        sizes.setdefault((float(width), float(rim), construction), {})[suffix] = row
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
    return "-" if _construction(found) == "bias" else "R"


def _radial_mark(found: Match[str]) -> str:
    """What stands before the rim of a radial: R, with Z and F or a speed symbol where they are printed."""
    mark = found["mark"]
    return mark if mark and "R" in mark else "R"


def _construction(found: Match[str]) -> str:
    if found["mark"] == "-":
        # Two dashes only part three numbers: 255-85-16.
        return "radial" if found.groupdict().get("parted") == "-" else "bias"
    return "bias" if found["mark"] in ("D", "B") else "radial"


def _is_printed(found: Match[str]) -> bool:
    return found["mark"] in ("D", "B") or "R" in found["mark"]


def _height(diameter: float, rim_diameter: float) -> float:
    height = (diameter - rim_diameter) / 2
    if height < INCH:
        raise SizeError("names a diameter that leaves no room for a tyre on its rim")
    return height


class _Marks(NamedTuple):
    """What stands behind the size: facts, in the order they are printed."""

    load: int | None = None
    dual: int | None = None
    speed: str | None = None
    load_range: str | None = None
    ply_rating: int | None = None
    extra_load: bool = False
    second: tuple[int, int, str] | None = None

    @classmethod
    def read(cls, rest: str) -> "_Marks | None":
        """The marks behind a size; None where something there is none, or is said twice.

        Tyres of commercial vehicles may state a second load at another speed; the first one holds.
        """
        facts: dict[str, Any] = {}
        place = 0
        while place < len(rest):
            found = _TAIL.match(rest, place)
            if found is None:
                return None
            said: dict[str, Any] = {
                name: text for name, text in found.groupdict().items() if text is not None
            }
            place = found.end()
            if _is_another_service(facts, said):
                said = {"second": (int(said["load"]), int(said["dual"]), said["speed"])}
            if facts.keys() & said.keys():
                return None
            facts |= said
        numbers = {name: int(facts[name]) for name in ("load", "dual", "ply_rating") if name in facts}
        return cls(
            **numbers,
            speed=facts.get("speed"),
            load_range=facts.get("load_range") or facts.get("letter"),
            extra_load="extra_load" in facts,
            second=facts.get("second"),
        )


_NO_MARKS = _Marks()


def _is_another_service(facts: dict[str, Any], said: dict[str, Any]) -> bool:
    """Whether this repeats the loads and speed before it, or states loads at another speed."""
    names = ("load", "dual", "speed")
    if any(name not in facts or name not in said for name in names):
        return False
    return facts["speed"] != said["speed"] or all(facts[name] == said[name] for name in names)


def _described(size: TyreSize, found: Match[str], marks: _Marks) -> TyreSize:
    """The size with its load range, ply rating and service description."""
    designation = size.designation
    if marks.load_range:
        designation += f"/{marks.load_range}"
    in_mark = found["mark"]
    symbol = marks.speed or (in_mark[0] if in_mark[1:2] == "R" else None)
    if marks.load is not None:
        designation += f" {marks.load}{'' if marks.dual is None else f'/{marks.dual}'}{marks.speed}"
    if marks.second:
        designation += " ({}/{}{})".format(*marks.second)
        for index in marks.second[:2]:
            load_capacity(index)
    if marks.extra_load:
        designation += " XL"
    if marks.ply_rating:
        designation += f" {marks.ply_rating}PR"
    return replace(
        size,
        designation=designation,
        load_index=marks.load,
        dual_load_index=marks.dual,
        speed_symbol=symbol,
        load_capacity=None if marks.load is None else load_capacity(marks.load),
        dual_load_capacity=None if marks.dual is None else load_capacity(marks.dual),
        speed_capability=None if symbol is None else speed_capability(symbol),
        extra_load=marks.extra_load,
        load_range=marks.load_range,
        ply_rating=marks.ply_rating,
        load_class=_load_class(size, marks),
    )


def _load_class(size: TyreSize, marks: _Marks) -> str:
    """The tables that the loads of a size follow, by its letters and form."""
    if size.form in ("flotation", "numeric") or "LT" in size.designation:
        return "light-truck"
    if size.designation.startswith("P"):
        return "us-passenger"
    return "commercial" if size.designation.endswith("C") or marks.dual is not None else "passenger"


# Without an aspect ratio in the size 80 is meant.
_UNSTATED_ASPECT = 80.0
_WIDEST_WITHOUT_ASPECT = 400.0
_SMALLEST, _LARGEST = 15.0, 80.0  # in

_TYPOGRAPHY = str.maketrans(
    dict.fromkeys("×✕хХ", "x")
    | dict.fromkeys("‐‑‒–—−", "-")
    | dict.fromkeys("“”″", '"')
    | {"⁄": "/", ",": "."}
)
_LOOKALIKES = str.maketrans("АВСЕНКМОРТавсенкморт", "ABCEHKMOPTABCEHKMOPT")
# Russian R looks like a Latin P, which is never found between two numbers.
_R_BETWEEN_DIGITS = re.compile(r"(?<=\d)(?P<blank> ?)[Рр](?= ?\d)")
_INCH_MARK = re.compile(r"(?<=\d) ?(?:\"|'')(?= ?[XR/-]| ?$)")

_INCHES = r"\d{1,2}(?:\.\d{1,2})?"
_RIM = r"(?P<rim>\d{2}(?:\.5(?!\d))?|[89](?!\d))"
_INDEX = r"0|[1-9]\d{0,2}"
_SPEED = r"A[1-8]|[A-Z]|\(Y\)"

_SIDEWALL = (
    r"[RO]{0,2}WL|[RO]?BL|[BW]SW|BLK|VSB|RBL|SBL|ORWL|M[+&/ ]?S|3PMSF|TL|TT|TUBELESS|TUBE TYPE|POR|MPT|"
    r"[AMRHX]/T|RFT|ROF|SSR|FR|MFS|NHS|FRT|STD|SL|DOT"
)
_TAIL = re.compile(
    rf"(?:[ /,;]{{1,2}})?\(?(?:"
    rf"(?P<load>{_INDEX})(?: ?[/-] ?(?P<dual>{_INDEX}))? ?(?P<speed>{_SPEED})(?![A-Z0-9.])"
    rf"|(?P<extra_load>XL|EXTRA LOAD|RF|REINF(?:ORCED)?)(?![A-Z])"
    rf"|(?:LOAD RANGE |LR ?)(?P<load_range>[A-HJLMN])(?![A-Z0-9])|(?P<letter>[B-G])(?![A-Z0-9&+/])"
    rf"|(?P<ply_rating>[1-9]\d?)[ -]?(?:PR|P\.R\.?|PLY(?: RATING)?)(?![A-Z0-9])"
    rf"|(?:{_SIDEWALL})(?![A-Z0-9])"
    r")\)?"
)
_BRACKETED = re.compile(r" ?\( ?(\d{1,3}) ?Y ?\) ?")


def _form(prefixes: str, size: str, suffixes: str) -> re.Pattern[str]:
    """A pattern of size and rim; what it is for stands before the size or behind the rim, not both."""
    return re.compile(
        rf"(?:(?P<prefix>{prefixes}) ?)?{size} ?{_RIM}"
        rf"(?(prefix)|(?: ?(?P<suffix>{suffixes})(?![A-Z0-9]))?)"
    )


# A dash, a stroke, a cross or a blank where the construction belongs leaves it to a convention.
_BUILT = r" ?(?:[./-] ?)?(?P<mark>{}|[DB]|[-/X. ])"
_METRIC_SIZE = r"(?P<width>\d{3,4})(?: ?(?P<parted>[/X. -]) ?(?P<aspect>\d{2,3}))?"
_METRIC_SIZE += _BUILT.format("[HNPQSTUVZ]?RF?")
_HUNDREDTHS = r"[3-9]\d{2}|[12]\d{3}"
_FLOTATION_SIZE = (
    rf"(?P<diameter>{_INCHES}) ?(?P<parted>[X/]|-(?= ?\d{{1,2}}\.)) ?(?P<width>{_INCHES}|{_HUNDREDTHS})"
    + _BUILT.format("R")
)
_NUMERIC_SIZE = rf"(?P<width>{_INCHES}) ?(?:[./] ?)?(?P<mark>R|D|-)"
_MILLIMETRE_SIZE = r"(?P<width>\d{3}) ?- ?(?P<diameter>\d{3,4}) ?(?P<mark>R) ?(?P<rim>\d{3})"

# Every quantifier is bounded and none stands in another, so a text costs the same whatever it says.
_FORMS = (
    (re.compile(_MILLIMETRE_SIZE), _millimetre),
    (_form("P|T|LT|ST|HL|CP|C", _METRIC_SIZE, "LT|CP|C"), _metric),
    (_form("LT", _FLOTATION_SIZE, "LT"), _flotation),
    (_form("LT", _NUMERIC_SIZE, "LT|C"), _numeric),
)

_REFUSED: tuple[tuple[re.Pattern[str], str, str | None], ...] = (
    (
        re.compile(r"([A-N]R?)(\d{2})[ -]{0,3}(\d{2})(?: .*)?"),
        f"is a lettered size, whose letter names a load and no width: {_MEASURE}",
        None,
    ),
    (
        re.compile(r"(\d{1,2}\.\d{1,2}) ?[X/ ] ?(\d{2})(?: ?(LT|C))?"),
        r"does not say how the tyre is built: write \1R\2\3 for a radial or \1-\2\3 for a bias tyre",
        r"\1R\2\3",
    ),
    (
        re.compile(r"(?:P|LT)?\d{3}/\d{2}(?:S|'S)?"),
        f"is a tyre size without its rim: write it as {_COMMON}",
        None,
    ),
)
