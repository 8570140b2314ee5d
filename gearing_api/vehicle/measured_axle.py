"""Circumference and axle ratio from readings: rolled distance, engine speed on the road, turns by hand, teeth."""

from typing import NamedTuple

import numpy as np

from gearing_api import tables
from gearing_api.answer import Caution, Source, check, note
from gearing_api.build import Build
from gearing_api.mechanics import gearing, measurements, tyres
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.gearbox import CONVERTER_FIELDS, is_open
from gearing_api.vehicle.readings import (
    ROAD,
    ROLLOUT,
    TEETH,
    TOO_FAR,
    TURNS,
    Figure,
    Finding,
    accepted,
    figure,
    finding,
    read_within,
    uncertainty,
    usual,
)

AXLE_FIELDS = (
    "measured_engine_speed",
    "measured_engine_speed_by",
    "measured_road_speed",
    "measured_gear_ratio",
    "measured_rollout",
    "measured_rollout_turns",
    "measured_shaft_turns",
    "measured_wheel_turns",
    "one_wheel_held",
    "ring_teeth",
    "pinion_teeth",
    "axle_ratio",
    "tyre",
    "rolling_factor",
    "transfer_ratios",
    "hub_ratio",
    "gearbox_kind",
    *CONVERTER_FIELDS,
    "differential",
)

OPEN_SLIP = 0.045
"""Slip of an open converter at steady speed, the middle of 2 to 7 %. [-]"""

SHAFT_READ_TO = 1.0 / 16.0
"""How far a reading of the turns of a shaft at a mark is out at most. [turns]"""

_RPM = np.pi / 30.0
_NAMED = 0.95  # the pairs named hold this share of the probability together
_NO_PAIR = 3.0  # standard uncertainties beyond which no known pair lies near
_SHARE_SHOWN = 0.0005

RATIO = Source(
    "axle ratio = engine speed x rolling circumference / (road speed x gear x transfer x hub ratio); by hand turns of "
    "the shaft / turns of the wheel, twice that with one wheel held",
    "published",
    "Kinematics; an owner's count on a 37/10 axle with one side held: 24 turns of the shaft, 13.0 of the wheel",
)
PAIRS = Source(
    "tooth pairs that the readings are compared with, each as likely as the others beforehand",
    "common practice",
    "Table /v1/tables/ring-pinion-pairs, each row with its source; no whole list of real sets was found",
)
ROLLED = Source(
    "rolling circumference = distance rolled / turns",
    "published",
    "By definition",
)

_ALIKE = check(
    "pairs-not-told-apart",
    "The readings cannot tell the first tooth pairs apart: count teeth, or turns by hand, before you buy gears.",
    False,
)
_NONE_NEAR = check(
    "no-known-pair",
    "No known tooth pair lies near what the readings say: check gear, tyre and units of the readings.",
    False,
)
_DISAGREE = check(
    "readings-disagree",
    "Two readings of the axle ratio lie more than twice their uncertainty apart: one is wrong, or the axles differ.",
    False,
)
_OPEN = note(
    "converter-slips",
    "An open converter is taken to slip 2 to 7 %; in overdrive or uphill it slips more. Read again with it locked.",
)


class Ratio(NamedTuple):
    """The axle ratio by all readings, each of them, and the tooth pairs with their probabilities on the last axis."""

    best: Figure
    findings: tuple[Finding, ...]
    pairs: tuple[Array, Array]
    probability: Array
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]


def circumference_of(build: Build) -> Finding | None:
    """Distance rolled in one turn, by measurement, joined with what the tyre's size says."""
    if not ROLLOUT.is_whole(build):
        return None
    turns = build.number("measured_rollout_turns")
    rolled = build.number("measured_rollout") / turns
    diameter = rolled / tyres.RADIAL_ROLLING_FACTOR
    build.require(
        accepted("tyre", diameter),
        "measured_rollout",
        "divided by measured_rollout_turns must be the circumference of a tyre of 15 to 80 in (381 to 2032 mm)",
    )
    measured = Figure(rolled, read_within(build, "measured_rollout", uncertainty("rollout")) / turns)
    expected = _by_size(build) if build.given("tyre") else None
    return finding("rolling_factor", "distance rolled in one turn", ROLLOUT.readings, measured, expected)


def _by_size(build: Build) -> Figure:
    """Distance rolled in one turn by the tyre's size, new or worn."""
    fitted = build.tyre()
    size = fitted.size
    diameter = np.asarray(size.diameter)
    if size.form == "measured":
        tall = Figure(diameter, diameter * 0.0)
    else:
        new = usual("tyre", size.form, diameter)
        worn = np.hypot(new.uncertainty, diameter * uncertainty("wear"))
        tall = Figure(new.value - WORN * diameter, np.asarray(worn))
    if build.given("rolling_factor"):
        factor = figure(build, "rolling_factor", 0.0)
    else:
        factor = usual("rolling_factor", size.construction, fitted.rolling_factor)
    spread = np.hypot(tall.value * factor.uncertainty, tall.uncertainty * factor.value)
    return Figure(np.asarray(tall.value * factor.value), np.asarray(np.fmax(spread, LEAST_SPREAD * diameter)))


WORN = 0.015
"""What a tyre of unknown wear has lost of its diameter, the middle of 0 to 3 %. [-]"""

LEAST_SPREAD = 1e-3
"""Uncertainty of a circumference / diameter, at least: pressure and load move it by as much. [-]"""


def ratio_of(build: Build, rolled: Finding | None) -> Ratio | None:
    """The axle ratio by the readings there are, or None; teeth that were counted are exact."""
    found = [*_by_turns(build), *_on_the_road(build, rolled)]
    if TEETH.is_whole(build):
        return _of_teeth(build, found)
    if not found:
        return None
    best = found[0].measured
    disagree = np.zeros((), dtype=np.bool_)
    if len(found) > 1:
        disagree = best.contradicts(found[1].measured)
        best = best.joined(found[1].measured)
    ring, pinion, ratios = _PAIRS
    probability = measurements.pair_probabilities(*best, ratios)
    nearest = np.abs(best.value[..., None] - ratios).min(axis=-1) / best.uncertainty
    cautions = (
        _DISAGREE._replace(where=disagree),
        _NONE_NEAR._replace(where=nearest > _NO_PAIR),
        _ALIKE._replace(where=(probability.max(axis=-1) < _NAMED) & (nearest <= _NO_PAIR)),
        *[_OPEN] * (ROAD.is_whole(build) and is_open(build)),
    )
    return Ratio(best, tuple(found), (ring, pinion), probability, cautions, (RATIO, PAIRS))


def _of_teeth(build: Build, found: list[Finding]) -> Ratio:
    ring, pinion = build.number("ring_teeth"), build.number("pinion_teeth")
    exact = build.number("axle_ratio")
    away = [np.abs(other.measured.value - exact) > TOO_FAR * other.measured.uncertainty for other in found]
    disagree = np.zeros((), dtype=np.bool_)
    for far in away:
        disagree = np.asarray(disagree | far)
    counted = Figure(exact, np.asarray(exact * 0.0))
    by_count = Finding("axle_ratio", "teeth counted", TEETH.readings, counted, None, counted)
    return Ratio(
        counted,
        (by_count, *found),
        (ring[..., None], pinion[..., None]),
        np.ones((*np.shape(exact), 1)),
        (_DISAGREE._replace(where=disagree),),
        (RATIO,),
    )


def _by_turns(build: Build) -> list[Finding]:
    if not TURNS.is_whole(build):
        return []
    held = build.word("one_wheel_held") == "yes"
    if held:
        build.require(
            build.word("differential") not in ("locked", "spool", "limited-slip"),
            "one_wheel_held",
            "must be no with this differential, which turns both wheels alike: turn both, or free one shaft",
        )
    shaft, wheel = build.number("measured_shaft_turns"), build.number("measured_wheel_turns")
    ratio = measurements.ratio_from_turns(shaft, wheel, 1.0 if held else 2.0) / build.number("hub_ratio")
    _require_ratio(build, ratio, "measured_shaft_turns", "with measured_wheel_turns")
    of_shaft = read_within(build, "measured_shaft_turns", uncertainty("shaft-turns")) / shaft
    of_wheel = read_within(build, "measured_wheel_turns", 0.0) / wheel
    measured = Figure(ratio, np.asarray(ratio * np.hypot(of_shaft, of_wheel)))
    what = "turns by hand, one wheel held" if held else "turns by hand, both wheels turning"
    return [_of_ratio(build, what, TURNS.readings, measured)]


def _on_the_road(build: Build, rolled: Finding | None) -> list[Finding]:
    if not ROAD.is_whole(build):
        return []
    speed, road = build.number("measured_engine_speed"), build.number("measured_road_speed")
    circumference = _by_size(build) if rolled is None else rolled.best
    gauge = build.word("measured_engine_speed_by")
    slips = is_open(build)
    further = (
        build.number("measured_gear_ratio")
        * build.number("transfer_ratios")[..., 0]
        * build.number("hub_ratio")
    )
    ratio = measurements.ratio_from_road(
        speed, road, circumference.value, further, OPEN_SLIP if slips else 0.0
    )
    _require_ratio(build, ratio, "measured_engine_speed", "at measured_road_speed")
    of_gauge = uncertainty(f"engine-speed-{gauge}") * _RPM
    of_speed = read_within(build, "measured_engine_speed", of_gauge) / speed
    of_slip = uncertainty("open-converter-slip") / (1.0 - OPEN_SLIP) if slips else 0.0
    of_road = read_within(build, "measured_road_speed", uncertainty("road-speed")) / road
    of_tyre = circumference.uncertainty / circumference.value
    relative = np.hypot(np.hypot(of_speed, of_slip), np.hypot(of_road, of_tyre))
    what = (
        "engine speed at a road speed, the open converter's slip taken off"
        if slips
        else "engine speed at a road speed"
    )
    return [_of_ratio(build, what, ROAD.readings, Figure(ratio, np.asarray(ratio * relative)))]


def _require_ratio(build: Build, ratio: Array, field: str, beside: str) -> None:
    detail = (
        f"{beside} says no axle ratio from 1 to 20: check the readings, measured_gear_ratio and hub_ratio"
    )
    build.require(accepted("axle_ratio", ratio), field, detail)


def _of_ratio(build: Build, what: str, readings: tuple[str, ...], measured: Figure) -> Finding:
    """The ratio measured; one that the build gives is exact, so that the two are compared and not joined."""
    expected = None
    if build.given("axle_ratio") and not TEETH.is_whole(build):
        given = build.number("axle_ratio")
        expected = Figure(given, np.asarray(given * _ROUNDED))
    return Finding("axle_ratio", what, readings, measured, expected, measured)


_ROUNDED = 1e-3
"""A ratio printed to two decimals may be out by this. [-]"""


def _all_pairs() -> tuple[Array, Array, Array]:
    table = tables.table("ring-pinion-pairs")
    ring, pinion = (np.array(table.column(name), dtype=np.float64) for name in ("ring_teeth", "pinion_teeth"))
    return ring, pinion, gearing.tooth_ratio(ring, pinion)


_PAIRS = _all_pairs()


class Candidate(NamedTuple):
    """A tooth pair and how probable it is, of one build."""

    ratio: float
    ring: int
    pinion: int
    probability: float


def candidates(ratio: Ratio) -> list[Candidate]:
    """The tooth pairs of one build, the likeliest first; those that are out of the question are left out."""
    ring, pinion = ratio.pairs
    rows = [
        Candidate(ring_teeth / pinion_teeth, int(ring_teeth), int(pinion_teeth), share)
        for ring_teeth, pinion_teeth, share in zip(
            ring.tolist(), pinion.tolist(), ratio.probability.tolist(), strict=True
        )
    ]
    likely = [row for row in rows if row.probability >= _SHARE_SHOWN]
    return sorted(likely, key=lambda row: -row.probability)


def named(rows: list[Candidate]) -> list[Candidate]:
    """The fewest candidates that hold 95 % of the probability: those that the readings cannot tell apart."""
    total, place = 0.0, 0
    while place < len(rows) and total < _NAMED:
        total += rows[place].probability
        place += 1
    return rows[:place]


def likeliest(ratio: Ratio) -> Array:
    """Axle ratio of the likeliest pair. [-]"""
    ring, pinion = ratio.pairs
    place = np.argmax(ratio.probability, axis=-1)[..., None]
    return np.asarray(
        np.take_along_axis(np.broadcast_to(ring / pinion, ratio.probability.shape), place, axis=-1)[..., 0]
    )
