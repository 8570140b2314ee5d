"""What must hold of any input of a reader: one function each, which raises where it does not hold.

The readers' values are told again by a second, plainer way, so that a number read silently wrong is seen.
"""

import json
import math
import re
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from gearing_api import tyre_sizes, units
from gearing_api.answer import Question
from gearing_api.batch.columns import read_column
from gearing_api.build import Build
from gearing_api.fields import Coefficients, Curve, Grid, Loads, Number, Ratios, Series
from gearing_api.formats.strict_json import Unfit, parsed
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.sentences import LONGEST, Sentence, read
from gearing_api.sentences.tokens import CUES, pieces
from gearing_api.tyre_sizes import SizeError, TyreSize
from gearing_api.units import SYSTEMS, Quantity, System, Unreadable
from gearing_api.vocabulary import FIELDS, InvalidBuild

LONGEST_REASON = 400

_FIGURES = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")


def close(one: Any, other: Any, relative: float = 1e-11) -> bool:
    """Whether numbers, or all those of two arrays, are the same but for rounding."""
    if np.ndim(one):
        return bool(np.allclose(one, other, rtol=relative, atol=1e-300, equal_nan=True))
    return math.isclose(one, other, rel_tol=relative, abs_tol=1e-300)


def system_of(content: bytes) -> System:
    """One system of units for an input, since both for each would be twice the work."""
    return SYSTEMS[len(content) % 2]


def figures(text: str) -> list[float]:
    """The unsigned numbers of a text in plain digits, in reading order."""
    return [float(found) for found in _FIGURES.findall(text)]


def is_fit_reason(reason: str) -> None:
    """A reason is told in one line of bounded length, whatever came."""
    assert 0 < len(reason) <= LONGEST_REASON
    assert reason.isprintable()


def names_its_field(refused: InvalidBuild, field: str) -> None:
    """One fault, of that field, with its reason."""
    assert [fault.field for fault in refused.faults] == [field]
    is_fit_reason(refused.faults[0].detail)


def text_of(content: bytes) -> str:
    """The content as the text of a request: UTF-8, which holds no halves of characters."""
    return content.decode("utf-8", "replace")


def wire_values(content: bytes) -> Iterator[Any]:
    """What the content is in a query and, where it is JSON, in a document."""
    text = text_of(content)
    yield text
    try:
        value = parsed(text.encode())
    except Unfit:
        return
    if not isinstance(value, str):
        yield value


# Tyre sizes

_SIZE_MARKS = str.maketrans(dict.fromkeys("×✕", "x") | dict.fromkeys("‐‑‒–—−", "-") | {"⁄": "/", ",": "."})
_SNOW = re.compile("3PMSF", re.IGNORECASE)


def of_tyre_sizes(content: bytes) -> None:
    """A size keeps all its numbers and is printed so that it reads back; anything else is refused."""
    text = text_of(content)
    tyre_sizes.read.cache_clear()
    try:
        size = tyre_sizes.read(text)
    except SizeError as error:
        is_fit_reason(str(error))
    else:
        is_a_tyre(size)
        assert digits_of(size.designation) == digits_of(_SNOW.sub("", text.translate(_SIZE_MARKS)))
        assert tyre_sizes.read(size.designation) == size
        assert tyre_sizes.read(text.swapcase()) == size
    for value in wire_values(content):
        tyre_field_reads_or_refuses(value)


def digits_of(text: str) -> list[str]:
    """The digits of a size without its points and noughts, whatever is printed first: 750 is 7.50."""
    return sorted(re.sub("[^1-9]", "", text))


def is_a_tyre(size: TyreSize) -> None:
    """Every dimension is finite, and a rim goes into its tyre."""
    lengths = (
        size.diameter, size.rim_diameter, size.nominal_width, size.aspect, size.section_height,
        size.measuring_rim_width, size.section_width, size.load_capacity, size.speed_capability,
    )  # fmt: skip
    assert all(length is None or (math.isfinite(length) and length > 0.0) for length in lengths)
    assert size.construction in ("radial", "bias")
    assert size.designation.isascii()
    if size.rim_diameter is not None and size.section_height is not None:
        assert close(size.diameter, size.rim_diameter + 2 * size.section_height, 1e-9)


def tyre_field_reads_or_refuses(value: Any) -> None:
    """The field takes a size, or a diameter that is measured in a unit of length and is a tyre's."""
    try:
        size = FIELDS["tyre"].read(value, "us")
    except InvalidBuild as refused:
        names_its_field(refused, "tyre")
        return
    assert isinstance(value, str)
    if size.form == "measured":
        told = by_hand(value, units.LENGTH, "us")
        assert told is not None
        assert close(size.diameter, told)
        assert not units.is_bare(value)
        assert 15 * 0.0254 <= size.diameter <= 80 * 0.0254
        assert close(FIELDS["tyre"].read(size.designation, "us").diameter, size.diameter, 1e-5)


# Numbers with units

_UNIT_MARKS = str.maketrans({
    "·": "*", "⋅": "*", "∙": "*", "×": "x", "″": '"', "”": '"', "“": '"', "’": "'", "′": "'",
    "−": "-", "–": "-", "º": "°", "²": "2", "³": "3",
})  # fmt: skip
_LEADING = re.compile(r"[+-]?[0-9]*\.?[0-9]*(?:e[+-]?[0-9]+)?", re.IGNORECASE)


def by_hand(text: str, quantity: Quantity, system: System) -> float | None:
    """The number that a text begins with, if all that follows it is one unit of the quantity."""
    text = text.translate(_HALVES)
    if quantity is units.LENGTH and (parts := _FRACTION.fullmatch(text.translate(_UNIT_MARKS).strip())):
        whole, above, below, rest = parts.groups(default="")
        return (int(whole or 0) + int(above) / int(below)) * _factor(rest, quantity, system)
    if quantity.name in _BY_THOUSANDS and _GROUPS.match(text.translate(_UNIT_MARKS).strip()):
        text = text.replace(",", "")
    if quantity is units.NUMBER:
        text = re.sub(r"\s*:\s*1\s*$", "", text)
    plain = "".join(text.translate(_UNIT_MARKS).split()) if _one_number(text) else ""
    leading = _LEADING.match(plain)
    try:
        number = float(leading[0] if leading else "")
    except ValueError:
        return None
    return number * _factor(plain[leading.end() if leading else 0 :], quantity, system)


_HALVES = str.maketrans({"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⁄": "/"})
_FRACTION = re.compile(r"(?:([0-9]+)[\s-])?\s*([0-9]+)/([0-9]+)(.*)")
_GROUPS = re.compile(r"[+-]?[0-9]{1,3}(,[0-9]{3})+(?![0-9,])")
_BY_THOUSANDS = ("mass", "rotational speed", "height or distance", "torque", "power")


def _factor(rest: str, quantity: Quantity, system: System) -> float:
    """SI value of the unit that is left of a text, NaN where it is none."""
    rest = "".join(rest.split()).casefold()
    spellings = {"".join(spelling.casefold().split()): si for spelling, si in quantity.factors.items()}
    return spellings.get(rest, math.nan) if rest else quantity.factor(system)


def _one_number(text: str) -> bool:
    """Whether no space stands within what would be the number without it: 5 200 lb is not 5200 lb."""
    return not re.search(r"[0-9.,+-]\s+[0-9.,+-]", text.translate(_UNIT_MARKS).strip())


def numbers() -> dict[str, Number]:
    """One field of each quantity."""
    found: dict[str, tuple[str, Number]] = {}
    for name, field in FIELDS.items():
        if isinstance(field.kind, Number):
            found.setdefault(field.kind.quantity.name, (name, field.kind))
    return dict(found.values())


NUMBERS = numbers()


def of_quantities(content: bytes) -> None:
    """A number is what is written, in the unit that is written; anything else is refused."""
    text, system = text_of(content), system_of(content)
    for quantity in (units.NUMBER, *units.QUANTITIES):
        try:
            si = units.number(text, quantity, system)
        except Unreadable as error:
            is_fit_reason(str(error))
        else:
            told = by_hand(text, quantity, system)
            assert math.isfinite(si)
            assert told is not None
            assert close(si, told)
    for value in wire_values(content):
        for name in NUMBERS:
            number_field_reads_or_refuses(name, value, system)


def number_field_reads_or_refuses(name: str, value: Any, system: System) -> None:
    """A number lies within its bounds, reads back as written, and is the same in a column of builds."""
    kind = NUMBERS[name]
    try:
        si = FIELDS[name].read(value, system)
    except InvalidBuild as refused:
        names_its_field(refused, name)
        return
    is_within(kind, si)
    written = kind.out(si, system)
    assert close(kind.read(written, system), si)
    if written == 0.0 or abs(written) > 1e-90:  # text has at most two digits of exponent
        assert close(kind.read(repr(written), system), si)
    assert close(read_column(name, [value], system).pool.draw(None), si)


def is_within(kind: Number, si: Any) -> None:
    """The SI value keeps the bounds that are told, but for rounding."""
    assert np.isfinite(si).all()
    low, high = kind.bounds("metric")
    shown = si / kind.quantity.factor("metric")
    assert (low - abs(low) * 1e-8 <= shown).all()
    assert (shown <= high + abs(high) * 1e-8).all()


# Lists

LISTS = {
    name: field.kind
    for name, field in FIELDS.items()
    if isinstance(field.kind, Series | Curve | Ratios | Coefficients | Loads)
}
_TEETH = re.compile(r"\s*([0-9]+)\s*/\s*([0-9]+)\s*")


def of_lists(content: bytes) -> None:
    """A list has as many numbers as are written, each what is written; anything else is refused."""
    for value in wire_values(content):
        for name in LISTS:
            list_field_reads_or_refuses(name, value, system_of(content))


def list_field_reads_or_refuses(name: str, value: Any, system: System) -> None:
    """Every item is the one that is written, within its bounds, and the list reads back as written."""
    kind: Any = LISTS[name]
    try:
        made = FIELDS[name].read(value, system)
    except InvalidBuild as refused:
        names_its_field(refused, name)
        return
    if isinstance(kind, Grid) and isinstance(value, str) and ":" in value:
        is_the_grid(kind, made, value, system)
    elif not isinstance(value, str):
        is_the_list(kind, made, value if isinstance(value, list) else [value], system)
    elif not ("\n" in value and isinstance(kind, Curve)):
        assert any(is_a_list(kind, made, parts, system) for parts in ways_to_part(value))
    if not are_twins(kind, made):
        assert close(kind.read(kind.out(made, system), system), made)


def ways_to_part(text: str) -> Iterator[list[str]]:
    """What the items may be, by what stands between them."""
    for mark in (";", ", ", ",", "/", r"(?<![/ ])\s+(?![/ ])", r"(?<=[0-9])\s*(?:-|–|−|to)\s*(?=[0-9])"):
        yield re.split(mark, text.strip())
        if mark == ";" and ";" in text:
            return


def is_a_list(kind: Any, made: Any, parts: list[Any], system: System) -> bool:
    """Whether a list is what these parts say."""
    try:
        is_the_list(kind, made, parts, system)
    except AssertionError:
        return False
    return True


def is_the_list(kind: Any, made: Any, parts: list[Any], system: System) -> None:
    """A list has as many numbers as parts, each what its part says."""
    assert len(made) == len(parts)
    for place, (si, part) in enumerate(zip(made, parts, strict=True)):
        is_the_item(kind, place, si, part, system)


def is_the_item(kind: Any, place: int, si: Any, part: Any, system: System) -> None:
    """One item of a list is what its part of the raw list says."""
    if isinstance(kind, Curve):
        ends = part.split(":") if isinstance(part, str) else part
        assert len(ends) == 2
        for number, told, end in zip((kind.along, kind.up), si, ends, strict=True):
            is_the_number(number, told, end, system)
    elif isinstance(kind, Loads):
        ends = part.split(":") if isinstance(part, str) else part
        assert len(ends) in (2, 3)
        for number, told, end in zip((kind.mass, kind.position, kind.height), si, ends, strict=False):
            is_the_number(number, told, end, system)
        assert np.isnan(si[len(ends) :]).all()
    elif isinstance(kind, Ratios):
        teeth = _TEETH.fullmatch(part) if isinstance(part, str) else None
        if teeth is None:
            is_the_number(kind.item, si[0], part, system)
            assert np.isnan(si[1:]).all()
        else:
            assert list(si[1:]) == [float(teeth[1]), float(teeth[2])]
            assert close(si[0], int(teeth[1]) / int(teeth[2]))
            is_within(kind.item, si[0])
    else:
        is_the_number(kind.items[place] if isinstance(kind, Coefficients) else kind.item, si, part, system)


def is_the_number(kind: Number, si: Any, part: Any, system: System) -> None:
    """The SI value is what is written, and within bounds."""
    assert isinstance(part, str | int | float)
    assert not isinstance(part, bool)
    told = (
        by_hand(part, kind.quantity, system) if isinstance(part, str) else part * kind.quantity.factor(system)
    )
    assert told is not None
    assert close(si, told)
    is_within(kind, si)


def is_the_grid(kind: Grid, made: Any, value: str, system: System) -> None:
    """It rises by the step from the first to at most the last, and stops where no further step fits."""
    first, last, step = (by_hand(end, kind.item.quantity, system) for end in value.split(":"))
    assert first is not None
    assert last is not None
    assert step is not None
    assert close(made[0], first, 1e-9)
    assert made[-1] <= last + step * 1e-5
    assert made[-1] + step > last - step * 1e-5
    assert np.allclose(np.diff(made), step, rtol=1e-6, atol=1e-9 * last)
    is_within(kind.item, made)


def are_twins(kind: Any, made: Any) -> bool:
    """Whether numbers that must rise differ by less than is written of them."""
    must_rise = isinstance(kind, Curve) or (isinstance(kind, Series) and bool(kind.order))
    ends = [made] if not isinstance(kind, Curve) else [made[:, 0], made[:, 1]] if kind.falls else [made[:, 0]]
    return must_rise and any(bool((abs(np.diff(end)) <= 1e-9 * abs(end[1:])).any()) for end in ends)


# Sentences


def of_sentences(content: bytes) -> None:
    """What is understood lies where it is said to, every number is accounted for, and the build is one."""
    text = text_of(content)
    try:
        found = read(text)
    except InvalidBuild as refused:
        names_its_field(refused, "q")
        assert len(text) > LONGEST or not text.strip()
        return
    every_place_is_in_the_text(found, text)
    every_number_is_told(found, text)
    for one in found.understood:
        says_it_there(one.field, one.value, text[one.start : one.end], found)
    for reason in (*(one.reason for one in found.unused), *(words for _, words in found.assumed)):
        is_fit_reason(reason)
    assert {one.field for one in found.understood} == set(found.build)
    if found.ask:
        assert found.ask.question.isascii()
        assert len(found.ask.question) <= LONGEST_REASON
        assert all(0 <= start < end <= len(text) for start, end in found.ask.offers)
    what_fits_lacks_nothing(found, system_of(content))


def of_two_readers(content: bytes) -> None:
    """A print that the field reads is the same tyre in a sentence, or is left over there."""
    text = text_of(content)
    if not text.strip() or len(text) > LONGEST:
        return
    said = read(text).build.get("tyre")
    try:
        size = FIELDS["tyre"].read(text, "us")
    except InvalidBuild:
        is_read_alone(text, said)
        return
    if said is not None:
        other = FIELDS["tyre"].read(said, "us")
        assert close(other.diameter, size.diameter, 1e-4)
        assert other.form == "measured" or other.construction == size.construction


def is_read_alone(text: str, said: Any) -> None:
    """What a sentence takes for a tyre size, the field takes too: the piece that says it, or its plural."""
    for one in read(text).understood if said is not None else ():
        place = text[one.start : one.end]
        if one.field == "tyre" and re.search(r"[0-9] ?(?:R|D) ?[0-9]{2}", place, re.IGNORECASE):
            alone = re.sub(
                r"'?s$", "", place.translate(_SENTENCE_MARKS).replace("’", "'"), flags=re.IGNORECASE
            )
            sizes = [size for size in (place, alone) if reads_as_size(size)]
            assert sizes or "tire" in place.casefold() or "tyre" in place.casefold() or one.what != "tyre"


def reads_as_size(text: str) -> bool:
    try:
        tyre_sizes.read(text)
    except SizeError:
        return False
    return True


def every_place_is_in_the_text(found: Sentence, text: str) -> None:
    """Each place is one, and places that are left over overlap with none that is understood."""
    understood = [(one.start, one.end) for one in found.understood]
    unused = [(one.start, one.end) for one in found.unused]
    assert all(0 <= start < end <= len(text) for start, end in understood + unused)


def every_number_is_told(found: Sentence, text: str) -> None:
    """Each digit is understood or left over, but for those of words such as 1st."""
    told = {place for one in (*found.understood, *found.unused) for place in range(one.start, one.end)}
    for piece in pieces(text):
        if piece.kind not in CUES:
            digits = {piece.start + at for at, mark in enumerate(piece.text) if mark in "0123456789"}
            assert digits <= told


def says_it_there(field: str, value: Any, place: str, found: Sentence) -> None:
    """Every number of a value stands in its place in the sentence, or a hundred times it."""
    written = figures(re.sub(r"(?<=[0-9]),(?=[0-9]{3}(?![0-9]))", "", place.translate(_SENTENCE_MARKS)))
    written += figures(place.translate(_SENTENCE_MARKS).replace(",", " "))
    written += figures(place.translate(_SENTENCE_MARKS).replace(",", "."))
    values = value if isinstance(value, list) else [value]
    for number in (number for one in values for number in figures(str(one))):
        assert any(close(number, other, 1e-9) or close(100 * number, other, 1e-9) for other in written)


_SENTENCE_MARKS = str.maketrans(
    dict.fromkeys("×✕", "x") | dict.fromkeys("‐‑‒–—−", "-") | {"⁄": "/", "\u00a0": " ", "\u202f": " "}
)


def what_fits_lacks_nothing(found: Sentence, system: System) -> None:
    """The build is accepted whatever the units of bare numbers, and no question that fits asks for more."""
    build = read_build(found.build, system)
    for name in found.fits:
        # Values may contradict each other, such as idle and redline, but none may be missing.
        assert set(refused_fields(QUESTIONS[name], build)) <= set(found.build)


def refused_fields(question: Question, build: Build) -> list[str]:
    """The fields for which the question gets no answer."""
    try:
        ask(question, build)
    except InvalidBuild as refused:
        return [fault.field for fault in refused.faults]
    return []


# JSON


def of_json(content: bytes) -> None:
    """What is accepted is what any reader of JSON reads, with each name once and no number that is none."""
    try:
        value = parsed(content)
    except Unfit as error:
        is_fit_reason(str(error))
        return
    assert value == json.loads(content.decode("utf-8-sig"))
    for part in parts_of(value):
        assert part == part, "NaN is no number"
        assert not isinstance(part, int) or -(2**63) <= part < 2**64


def parts_of(value: Any) -> Iterator[Any]:
    """The plain values within."""
    if isinstance(value, dict):
        for child in value.values():
            yield from parts_of(child)
    elif isinstance(value, list):
        for child in value:
            yield from parts_of(child)
    else:
        yield value


TARGETS: dict[str, Callable[[bytes], None]] = {
    "tyre-sizes": of_tyre_sizes,
    "quantities": of_quantities,
    "lists": of_lists,
    "sentences": of_sentences,
    "two-readers": of_two_readers,
    "json": of_json,
}
