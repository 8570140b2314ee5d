"""From pieces to claims: which number says what, and which is left over."""

import re
from dataclasses import dataclass
from typing import Any

from gearing_api import units
from gearing_api.sentences.links import (
    DEEPEST,
    FUNCTION_WORDS,
    GEARS,
    LOWEST,
    NUMERIC,
    TALLEST,
    Relations,
    is_axle_plural,
    is_tyre_plural,
    looks_like_axle,
    relations,
)
from gearing_api.sentences.tokens import AMOUNTS, PLAIN, SIZES, Piece, words_of
from gearing_api.units import Quantity, number
from gearing_api.vocabulary import FIELDS, InvalidBuild


@dataclass(frozen=True, slots=True)
class Claim:
    """A value that a place in the sentence gives to a slot: a field, or a part of a list.

    `rank` tells whether it was there before or comes after; `side` is front or rear where that is said;
    `convention` is what was taken for granted; `again` are further places that say the same.
    """

    slot: str
    value: Any
    start: int
    end: int
    rank: int = PLAIN
    side: str = ""
    convention: str = ""
    again: tuple[tuple[int, int], ...] = ()

    @property
    def places(self) -> tuple[tuple[int, int], ...]:
        """Where it begins and ends, each time it is said."""
        return ((self.start, self.end), *self.again)


@dataclass(frozen=True, slots=True)
class Unused:
    """A place in the sentence with a number that was not taken, and why.

    `bare` is the number where nothing beside it says what it is.
    """

    start: int
    end: int
    reason: str
    bare: Piece | None = None


_NAMED = {
    "axle": "axle_ratio", "low": "transfer_ratios", "high": "transfer_ratios", "gearbox": "gear_ratios",
    "top": "gear_ratios", "hub": "hub_ratio", "idle": "idle_speed", "redline": "redline_speed",
    "grade": "grade_percent", "tyre": "tyre", "lift": "lift_height", "wheelbase": "wheelbase",
    "ring": "ring_gear_diameter", "reverse": "reverse_ratio", "target_crawl": "target_crawl_ratio",
    **dict.fromkeys(GEARS, "gear_ratios"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Named:
    """A word for a field, with no number that goes with it."""

    field: str
    start: int
    end: int


_LISTS = dict.fromkeys((*GEARS, "top"), "gear_ratios") | dict.fromkeys(("low", "high"), "transfer_ratios")


def field_of(slot: str) -> str:
    """The field that a slot is, or is a part of."""
    return _LISTS.get(slot, slot)


def outcomes(found: list[Piece]) -> list[Claim | Unused | Named]:
    """What becomes of every number of the sentence, and of every word for a field, in reading order."""
    related = relations(found)
    runs = {**related.gearboxes, **related.options}
    within = {place for run in runs.values() for place in run}
    attached = {cue.start for cue in related.cues.values()}
    made: list[Claim | Unused | Named] = []
    for place, piece in enumerate(found):
        if piece.kind in _NAMED and piece.start not in attached:
            made.append(Named(_NAMED[piece.kind], piece.start, piece.end))
        elif place in related.gearboxes:
            ratios = [found[other] for other in related.gearboxes[place]]
            made.append(_gearbox(ratios, told=place in related.cued_gearboxes))
        elif place in related.options:
            made.append(_weighed([found[other] for other in related.options[place]]))
        elif piece.kind in NUMERIC and place not in within:
            made += _outcome(found, place, related)
    return made


def _weighed(ratios: list[Piece]) -> Claim:
    values = [number for piece in ratios for number in piece.numbers]
    return Claim("available_ratios", values, ratios[0].start, ratios[-1].end)


def _gearbox(ratios: list[Piece], *, told: bool) -> Claim:
    return Claim(
        "gear_ratios",
        [piece.numbers[0] for piece in ratios],
        ratios[0].start,
        ratios[-1].end,
        convention="" if told else "falling numbers in a row are taken as the gearbox",
    )


Said = tuple[str, Any, str]
"""Slot, value and convention."""


def _outcome(found: list[Piece], place: int, related: Relations) -> list[Claim | Unused]:
    """What becomes of one number, or of a tooth pair."""
    piece, cue = found[place], related.cues.get(place)
    said = _said(found, place, related)
    if isinstance(said, str):
        bare = cue is None and piece.kind in ("number", "ratio") and not _counts(found, place)
        return [Unused(piece.start, piece.end, said, piece if bare else None)]
    named = cue or piece
    made: list[Claim | Unused] = []
    for slot, value, convention in said if isinstance(said, list) else [said]:
        try:
            FIELDS[field_of(slot)].read([value] if slot in _LISTS else value, "us")
        except InvalidBuild as refused:
            return [Unused(piece.start, piece.end, refused.faults[0].detail)]
        made.append(
            Claim(
                slot,
                value,
                min(piece.start, named.start),
                max(piece.end, named.end),
                related.ranks[place],
                named.kind if named.kind in ("front", "rear") else "",
                convention,
            )
        )
    return made


def _counts(found: list[Piece], place: int) -> bool:
    """Whether a number counts what the word behind it names: 30 spline, 15 mpg."""
    behind = found[place + 1] if place + 1 < len(found) else None
    return behind is not None and behind.kind == "word" and behind.word not in FUNCTION_WORDS


_REASONS = {
    "money": "is an amount of money",
    "teeth": "may be the teeth of ring gear and pinion: say gears",
    "partial": "is a tyre size without its rim",
    "short": "may be a tyre width or an axle ratio",
    "fraction": "is a fraction: write a decimal point",
    "choice": "names two numbers: say which",
    "blob": "is no number with a unit that is known here",
}


def _said(found: list[Piece], place: int, related: Relations) -> Said | list[Said] | str:
    """What a number says, or why it says nothing."""
    piece = found[place]
    cue = related.cues[place].kind if place in related.cues else ""
    if place in related.repeated:
        return "says again how tall the tyre size beside it is"
    if place in related.doubtful and piece.kind in ("number", "ratio"):
        return "stands between two words that it could belong to"
    if piece.kind in SIZES:
        return _tyre_size(piece)
    if piece.kind == "splines":
        return _splines(found, place)
    if piece.kind == "teeth":
        ring, pinion = map(int, piece.numbers)
        return (
            [("ring_teeth", ring, ""), ("pinion_teeth", pinion, "")] if cue == "axle" else _REASONS["teeth"]
        )
    if cue in _LENGTHS and piece.kind in ("height", "length", "fraction", "number"):
        return _length(piece, cue)
    if is_tyre_plural(piece) and _is_a_decade(found, place):
        return "may be no tyre: it stands where degrees and years do"
    if piece.kind == "height" or is_tyre_plural(piece) or (cue == "tyre" and piece.kind == "number"):
        return _NO_TYRE if _measures_else(found, place) else _tyre_height(piece)
    if piece.kind == "short" and (cue == "axle" or _is_no_width(piece)):
        return _hundredfold(piece)
    if piece.kind in AMOUNTS or piece.kind == "span":
        return _amount(found, place, cue)
    if piece.kind in ("number", "ratio"):
        if place in related.bare_axles:
            value = piece.numbers[0]
            return "axle_ratio", value, f"{value:.2f}, with no word beside it, is taken as the axle ratio"
        if cue in ("axle", "front", "rear") and _may_be_ring(piece, related.cues[place]):
            return "may be an axle ratio or the size of a ring gear: write it as 9.75:1 or with its unit"
        return _bare(found, place, cue, in_pair=place in related.axle_pairs)
    if is_axle_plural(piece):
        return "axle_ratio", piece.numbers[0], ""
    return _REASONS.get(piece.kind, "fits neither a tyre nor an axle ratio")


_PLURAL = re.compile(r"'?s$", re.IGNORECASE)


def _tyre_size(piece: Piece) -> Said | str:
    """A size as the field reads it, where need be without the s of a plural."""
    if piece.kind == "outline":
        height = f"{piece.numbers[0]:g} in"
        return "tyre", height, f"a size without its rim is taken by its height, {height}"
    try:
        size = _one_size(piece.text)
    except InvalidBuild as refused:
        return refused.faults[0].detail
    built = "a bias tyre" if size.construction == "bias" else "radial"
    unsaid = f"a size that does not say how it is built is taken as {built}, {size.designation}"
    return "tyre", size.designation, "" if size.construction_printed or "-" in piece.text else unsaid


def _one_size(text: str) -> Any:
    try:
        return FIELDS["tyre"].read(text, "us")
    except InvalidBuild as refused:
        singular = _PLURAL.sub("", text)
        if singular == text:
            raise
        try:
            return FIELDS["tyre"].read(singular, "us")
        except InvalidBuild:
            raise refused from None


_INNER, _STUB = {"inner", "inners"}, {"stub", "stubs", "outer", "outers"}


def _splines(found: list[Piece], place: int) -> Said | str:
    near = _beside(found, place)
    if near & _OTHER_SPLINES:
        return "is not of an axle shaft"
    count = int(found[place].numbers[0])
    if near & _STUB:
        return "may be either shaft: say which" if near & _INNER else ("stub_splines", count, "")
    return "inner_splines", count, "" if near & _INNER else "splines are taken as those of the inner shaft"


_LENGTHS = {"lift": "lift_height", "wheelbase": "wheelbase", "ring": "ring_gear_diameter"}


def _length(piece: Piece, cue: str) -> Said | str:
    if piece.kind == "length":
        return _LENGTHS[cue], _spelled_as(piece, units.LENGTH), ""
    if piece.kind == "fraction":
        return _REASONS["fraction"]
    return _LENGTHS[cue], f"{piece.numbers[0]:g} in", ""


_NO_TYRE = f"is no height of a tyre: {LOWEST:g} to {TALLEST:g} in"
_OTHER_LENGTHS = {
    "rim", "rims", "wheel", "wheels", "lift", "lifts", "travel", "wide", "width", "long", "length", "bed",
    "wheelbase", "bar", "brakes", "rotors", "spacers",
}  # fmt: skip


def _measures_else(found: list[Piece], place: int) -> bool:
    return place + 1 < len(found) and found[place + 1].word in _OTHER_LENGTHS


def _tyre_height(piece: Piece) -> Said | str:
    height = piece.numbers[0]
    if not LOWEST <= height <= TALLEST:
        return _NO_TYRE
    return "tyre", f"{height:g} in", f"{height:g} in is taken as the measured, free diameter"


def _is_a_decade(found: list[Piece], place: int) -> bool:
    """In the 30s, mid 30s, low 40s."""
    before = [piece.word for piece in found[max(0, place - 2) : place]]
    return before == ["in", "the"] or before[-1:] in (["mid"], ["upper"], ["low"], ["high"], ["lower"])


def _is_no_width(piece: Piece) -> bool:
    """Whether three digits are an axle ratio for sure: widths of tyres end in 5 and stay below 400 mm."""
    return piece.numbers[0] % 5.0 != 0.0 or piece.numbers[0] > 400.0


def _hundredfold(piece: Piece) -> Said | str:
    ratio = piece.numbers[0] / 100.0
    if not 2.0 <= ratio <= 8.0:
        return "is no axle ratio, nor a hundred times one"
    return "axle_ratio", ratio, f"three digits before gears are taken as hundredths, {ratio:.2f}"


def _bare(found: list[Piece], place: int, cue: str, *, in_pair: bool) -> Said | str:
    """A number with neither mark nor unit, or with :1."""
    piece = found[place]
    value, printed_as_ratio = piece.numbers[0], piece.kind == "ratio" or piece.decimals > 0
    if cue == "target_crawl":
        return "target_crawl_ratio", value, ""
    if cue == "reverse":
        return ("reverse_ratio", value, "") if printed_as_ratio else "does not look like a ratio"
    if cue in _LENGTHS:
        return "has no unit"
    if cue == "unclear":
        return "stands beside a word that may mean several things"
    if cue in ("idle", "redline"):
        return f"{cue}_speed", f"{value:g} rpm", ""
    if cue == "axle" and not printed_as_ratio:
        return _hundredfold(piece)
    if cue in ("axle", "front", "rear"):
        return ("axle_ratio", value, "") if printed_as_ratio else "does not look like a ratio"
    if cue in GEARS and _counts_steps(found, place):
        return "may be a gear or the first of several things"
    if cue == "gearbox":
        return "is one ratio of a gearbox: say of which gear"
    if cue:
        slot = "hub_ratio" if cue == "hub" else cue
        return (slot, value, "") if printed_as_ratio or value == 1.0 else "does not look like a ratio"
    if in_pair:
        return "axle_ratio", value, "two bare numbers with to between them are taken as axle ratios"
    if engine := _speed_of_engine(found, place):
        return engine, f"{value:g} rpm", f"{value:g} behind torque or power is taken as rpm"
    if piece.kind == "ratio" and looks_like_axle(piece):
        return "axle_ratio", value, ""
    return "is a bare number: nothing beside it says what it is"


def _counts_steps(found: list[Piece], place: int) -> bool:
    """Whether "first" counts steps rather than gears: first 4.10, then 4.88."""
    return any(piece.word == "then" for piece in found[place : place + 4])


def _may_be_ring(piece: Piece, cue: Piece) -> bool:
    """Whether a number beside an axle may be the size of its ring gear in inches: 9.75 axle."""
    return piece.kind == "number" and DEEPEST < piece.numbers[0] <= 14.0 and "ratio" not in cue.word


def _speed_of_engine(found: list[Piece], place: int) -> str:
    """The field of an engine speed that stands behind torque or power: 260 lb-ft at 3200."""
    if place < 2 or found[place - 1].word not in ("at", "@") or found[place].numbers[0] < 1000.0:
        return ""
    return {"torque": "peak_torque_speed", "power": "peak_power_speed"}.get(found[place - 2].kind, "")


_TRAILERS = {*words_of("trailer"), "camper", "towing", "tow", "tows", "towed", "pulling", "trailers"} - {
    "boat"
}
_NO_TRAILERS = {"capacity", "rated", "rating", "tongue", "hitch", "max", "maximum", "limit", "up"}
_VEHICLES = {
    *words_of("weight"), "truck", "vehicle", "rig", "car", "ute", "van", "suv", "pickup", "tug", "buggy", "it",
    "4x4", "tow vehicle",
}  # fmt: skip
_OTHER_POWERS = {
    "lost", "lose", "losing", "gain", "gained", "gains", "extra", "more", "less", "wheels", "wheel", "nitrous",
    "outboard", "added", "adds", "plus", "over", "under",
}  # fmt: skip
_OTHER_SPLINES = {
    "output", "input", "pinion", "yoke", "case", "tcase", "t-case", "trans", "transmission", "driveshaft", "clutch",
}  # fmt: skip
_OTHER_MASSES = {
    *words_of("payload"), *words_of("tongue"), "winch", "load", "capacity", "rated", "rating", "per", "bumper",
    "engine", "rope", "tongue", "hitch", "bed", "hauling", "carrying", "gravel", "boat", "spring", "springs",
    "limit", "of",
    "gcwr", "gcw", "gcm", "gtw",
}  # fmt: skip
_OTHER_PRESSURES = {"boost", "oil", "fuel", "compression", "air"}
_OTHER_SPEEDS = {"top", "max", "maximum", "crawl", "crawls", "crawling", "creep", "creeps"}
_SLOWEST_CRUISE, _LIGHTEST, _HIGHLAND = 11.0, 600.0, 300.0  # m/s, kg, m


def _amount(found: list[Piece], place: int, cue: str) -> Said | str:
    """A number with a unit."""
    piece = found[place]
    beside = _beside(found, place)
    if piece.kind == "span":
        low, high = piece.numbers
        return "cruise_engine_speed_range", [f"{low:g} rpm", f"{high:g} rpm"], ""
    quantity, _ = AMOUNTS[piece.kind]
    spelled = _spelled_as(piece, quantity)
    value = number(spelled, quantity, "us")
    if piece.kind == "rotation":
        field = f"{cue}_speed" if cue else _speed_of_engine(found, place)
        return (field, spelled, "") if field else "may be any engine speed: say idle, redline, or a range"
    if piece.kind == "speed":
        if value < _SLOWEST_CRUISE or beside & _OTHER_SPEEDS:
            return "is no speed to cruise at"
        return "cruise_speed", spelled, ""
    if piece.kind == "mass":
        if beside & _TRAILERS and not beside & _NO_TRAILERS:
            return "trailer_mass", spelled, ""
        if value < _LIGHTEST or beside & _OTHER_MASSES or _counts_gear(found, place):
            return "is not the mass of the vehicle"
        if not beside & _VEHICLES and any(piece.word in _TRAILERS for piece in found):
            return "may be the mass of the vehicle or of the trailer: say which"
        return "vehicle_mass", spelled, ""
    if piece.kind == "displacement":
        other = beside & {"tank", "fuel", "water", "cooler", "fridge"}
        return (
            "is no engine's size"
            if other or not 0.5e-3 <= value <= 12e-3
            else ("engine_displacement", spelled, "")
        )
    if piece.kind == "length":
        return "is a length: of what?"
    if piece.kind == "pressure":
        return (
            "is not the pressure of a tyre" if beside & _OTHER_PRESSURES else ("tyre_pressure", spelled, "")
        )
    if piece.kind == "elevation":
        return ("altitude", spelled, "") if value >= _HIGHLAND else "is no altitude that matters"
    if piece.kind == "percent":
        return _grade(found, place, spelled, cue)
    if beside & _OTHER_POWERS:
        return f"is not the whole {piece.kind} of the engine"
    return f"peak_{piece.kind}", spelled, ""


_STOPPED = {",", ";", ".", "!", "?", "and"}
_DOWN = {"down", "downhill", "descending", "descent", "descend"}
_CLIMBS = {"up", "uphill", "climb", "climbs", "climbing"}


def _counts_gear(found: list[Piece], place: int) -> bool:
    """Whether a mass is that of gear or of an axle: 300 lb of gear, 400 lb axle."""
    behind = found[place + 1 : place + 2]
    return any(piece.word in ("gear", "gears", "axle", "axles") for piece in behind)


def _beside(found: list[Piece], place: int) -> set[str]:
    """Words near a number, up to three before and four behind, not beyond a stop."""
    words: set[str] = set()
    for places in (range(place - 1, max(-1, place - 4), -1), range(place + 1, min(len(found), place + 5))):
        for other in places:
            if found[other].word in _STOPPED or found[other].kind in NUMERIC:
                break
            words.update(found[other].word.split())
    return words


def _grade(found: list[Piece], place: int, spelled: str, cue: str) -> Said | str:
    """A slope, negative where it is driven down."""
    beside = _beside(found, place)
    if not cue and not beside & (_CLIMBS | _DOWN):
        return "is a percentage: of what?"
    if beside & _DOWN and beside & _CLIMBS:
        return "may be uphill or downhill: say which"
    if not beside & _DOWN:
        return "grade_percent", spelled, ""
    steep = found[place].numbers[0]
    return ("grade_percent", f"-{spelled}", "") if steep <= 50.0 else ("descent_grade_percent", spelled, "")


def _spelled_as(piece: Piece, quantity: Quantity) -> str:
    """The number with the usual label of its unit."""
    spelled = _JOINERS.sub("", piece.unit) if piece.kind == "torque" else piece.unit
    factor = number(f"1 {spelled}", quantity, "us")
    labels = (quantity.us, quantity.metric, *quantity.factors)
    label = next(label for label in labels if number(f"1 {label}", quantity, "us") == factor)
    return f"{piece.numbers[0]:.12g} {label}"


_JOINERS = re.compile(r"[-. */]")
