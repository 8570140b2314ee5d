"""How slowly does it crawl, how hard does it pull there, what grade does it climb, and what is the limit?"""

from collections.abc import Iterator
from functools import partial
from typing import NamedTuple

import numpy as np

from gearing_api import units
from gearing_api.answer import (
    DOES_NOT_APPLY,
    OUT_OF_RANGE,
    Absent,
    Answer,
    Caution,
    Column,
    Question,
    Source,
    Value,
    check,
    column,
    needs,
    note,
)
from gearing_api.build import Build
from gearing_api.mechanics import converters, gearing, loads, losses, road_loads, traction
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.losses import Losses
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import (
    SURFACES,
    adhesion,
    engine_torque,
    engine_torque_known,
    gear_columns,
    overall_ratio,
    overall_ratios,
)
from gearing_api.vehicle.engine import ENGINE_FIELDS, air_of, engine_needs, engine_of, idle_torque_of
from gearing_api.vehicle.gearbox import (
    CONVERTER,
    LOSS_FIELDS,
    FittedConverter,
    converter_of,
    gearbox_kind,
    loss_sources,
    losses_of,
    losses_of_gear,
    peak_speed,
)
from gearing_api.vehicle.grip import grip_force_of, grip_grade_of
from gearing_api.vehicle.loads import (
    LOAD_FIELDS,
    REAL_SHARE,
    loads_of,
    train_mass,
)
from gearing_api.vehicle.resistance import ROLLING_TABLE, rolling_resistance
from gearing_api.vehicle.tyre import ROLLING, size_cautions

_SPEED = Source(
    "crawl speed = idle speed x rolling radius / overall ratio; with a converter see creep_speed",
    "published",
    "UN GTR 15 (2019), Annex 7, par. 8",
)
_FORCE = Source(
    "tractive force = (engine torque - losses) x overall ratio / rolling radius; standing, a converter multiplies it",
    "published",
    "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 2",
)
_GRADE = Source(
    "grade from weight x (sin + f cos) = force, solved exactly",
    "published",
    "Balance of forces along the slope; grade in percent is 100 x rise / run: US Army TB 9-2350-292-10",
)


class Pull(NamedTuple):
    """Speed and pull at some overall ratios, None where torque or mass is not known."""

    speed: Array
    wheel_torque: Array | None
    force: Array | None
    grade: Array | None


def pull(build: Build, overall: Array, lost: Losses) -> Pull:
    """Idle speed on the road and pull at peak engine torque, one ratio a build or one build at many."""
    radius = build.tyre().rolling_radius
    idle = build.number("idle_speed")
    speed = gearing.road_speed(idle, overall, radius) if idle.all() else _none(overall)
    torque = engine_torque(build)
    if torque is None:
        return Pull(speed, None, None, None)
    wheel_torque = _arriving(torque * air_of(build)[0], peak_speed(build), overall, lost)
    force = traction.tractive_force(wheel_torque, radius)
    return Pull(speed, wheel_torque, force, _grade(build, force))


def _none(overall: Array) -> Array:
    """A motor has no idle speed."""
    return np.full(np.shape(overall), np.nan)


def _arriving(torque: Array, engine_speed: Array, overall: Array, lost: Losses) -> Array:
    """Torque at the wheels. [N m]"""
    return np.maximum(overall * (torque - losses.lost_torque(lost, torque, engine_speed)), 0.0)


def _grade(build: Build, force: Array) -> Array | None:
    """Steepest grade that a force climbs, +inf where there is no limit. [-]"""
    if not build.given("vehicle_mass"):
        return None
    grade = traction.climbable_grade(force, train_mass(build), rolling_resistance(build, off_road=True))
    return np.where(grade >= traction.STEEPEST_GRADE, np.inf, grade)


class Slow(NamedTuple):
    """What the lowest gear does at idle and standing; None where it cannot be known, NaN where it does not apply."""

    idle_force: Array | None
    stall_force: Array | None
    creep: Array | None
    cautions: tuple[Caution, ...]


def slow(build: Build, overall: Array, lost: Losses) -> Slow:
    """Pull at idle, pull of a stalled converter, and the speed at which it creeps."""
    highest = engine_torque(build)
    if highest is None:
        return Slow(None, None, None, ())
    engine, radius, still = engine_of(build), build.tyre().rolling_radius, np.zeros(())
    if gearbox_kind(build) != "automatic" or build.word("engine_kind") == "electric":
        torque, cautions = idle_torque_of(build, engine, highest)
        known = np.where(np.isnan(torque), 0.0, torque)
        force = _arriving(known, build.number("idle_speed"), overall, lost) / radius
        return Slow(
            np.where(np.isnan(torque), np.nan, force), np.full(np.shape(force), np.nan), None, cautions
        )
    fitted = None if engine is None else converter_of(build, engine)
    if fitted is None:
        return Slow(None, None, None, ())
    converter, idle = fitted.converter, build.number("idle_speed")
    ratio = converter.torque_ratios[..., 0]
    pumped = converter.stalled_capacity * idle * idle
    idle_force = _arriving(ratio * pumped, still, overall, lost) / radius
    stalled = _arriving(ratio * fitted.stalled_torque, still, overall, lost) / radius
    return Slow(idle_force, stalled, _creep(build, fitted, overall, lost), fitted.cautions)


def _creep(build: Build, fitted: FittedConverter, overall: Array, lost: Losses) -> Array | None:
    """Speed at which the idling engine and the rolling resistance balance; -inf where it stands. [m/s]"""
    if not build.given("vehicle_mass"):
        return None
    radius, idle = build.tyre().rolling_radius, build.number("idle_speed")
    rolling = road_loads.rolling_force(train_mass(build), rolling_resistance(build, off_road=True))
    unit = lost.efficiency * fitted.converter.stalled_capacity * idle * idle
    constant = (rolling * radius / overall + lost.constant) / unit
    ratio = converters.creep_ratio(fitted.converter, constant, lost.linear * idle / unit)
    speed = gearing.road_speed(ratio * idle, overall, radius)
    return np.where(ratio > 0.0, speed, -np.inf)


def answer(build: Build) -> Answer:
    """The lowest gear as scalars; every gear and range in the table."""
    low_range = build.number("transfer_ratios").max(axis=-1)
    lowest = overall_ratio(build, low_range, build.number("gear_ratios")[..., 0])
    lost = losses_of_gear(build, build.number("gear_ratios")[..., 0], low_range)
    low, standing = pull(build, lowest, lost), slow(build, lowest, lost)
    climbs = low.grade if not _multiplies(standing) else _grade(build, np.asarray(standing.stall_force))
    friction, mass = adhesion(build, "low"), build.known("vehicle_mass")
    grip_grade = grip_grade_of(build, friction)
    result: dict[str, Value] = {
        "crawl_ratio": lowest,
        "reverse_crawl_ratio": _reverse(build, low_range),
        "crawl_speed": low.speed,
        "crawl_wheel_torque": low.wheel_torque,
        "crawl_tractive_force": low.force,
        "idle_tractive_force": standing.idle_force,
        "stall_tractive_force": standing.stall_force,
        "creep_speed": standing.creep,
        "grip_force": None if mass is None else grip_force_of(build, friction),
        "engine_grade_percent": None,
        "grip_grade_percent": grip_grade,
        "climbable_grade_percent": None,
        "crawl_limited_by": None,
    }
    cautions = [*size_cautions(build.tyre().size), *_no_low_range(build)]
    if climbs is not None:
        engine_limits = climbs < grip_grade
        result |= {
            "engine_grade_percent": climbs,
            "climbable_grade_percent": np.minimum(climbs, grip_grade),
            "crawl_limited_by": np.where(engine_limits, "engine", "grip"),
        }
        cautions.append(note("grip-limited", _GRIP_LIMITED, ~engine_limits))
        cautions += _tips(build, np.minimum(climbs, grip_grade))
    cautions += [*standing.cautions, note("adhesion", _ADHESION), *_open(build)]
    return Answer(
        result,
        sources=_sources(build),
        summary=lambda: _summary(build, result),
        cautions=tuple(cautions),
        absent=_absent(build),
        table=partial(_table, build),
    )


def _sources(build: Build) -> tuple[Source, ...]:
    of_converter = (CONVERTER,) if gearbox_kind(build) == "automatic" else ()
    own = (ROLLING, _SPEED, _FORCE, *loss_sources(build), *of_converter)
    return (*own, _GRADE, SURFACES, ROLLING_TABLE)


def _multiplies(standing: Slow) -> bool:
    """Whether a converter is known."""
    return standing.stall_force is not None and standing.creep is not None


def _summary(build: Build, result: dict[str, Value]) -> str:
    ratio = f"{build.say(result['crawl_ratio'], units.NUMBER)} to 1"
    idles = result["creep_speed"] if result["creep_speed"] is not None else result["crawl_speed"]
    crawls = f"{_crawls(build, float(np.asarray(idles)))}, {ratio}"
    grade, limit = result["climbable_grade_percent"], result["crawl_limited_by"]
    if grade is None or limit is None:
        return f"{crawls}."
    climbs = build.say(grade, units.PERCENT, 2)
    by = "the engine" if str(limit) == "engine" else "grip"
    return f"{crawls}; {by} ends the climb at about {climbs} on {build.word('surface').replace('-', ' ')}."


def _crawls(build: Build, speed: float) -> str:
    if np.isfinite(speed):
        return f"Crawls at {build.say(speed, units.SPEED, 2)} at idle"
    return "Does not creep at idle" if np.isneginf(speed) else "Pulls from standstill"


def _open(build: Build) -> Iterator[Caution]:
    """With an open differential the wheel with the least grip decides."""
    if build.word("differential") == "open":
        yield note(
            "open-differential",
            "The grip is that of wheels which all stand on this ground: with an open differential one wheel "
            "that spins ends the climb.",
        )


def _tips(build: Build, climbed: Array) -> Iterator[Caution]:
    """The caution on a climb that ends with the front axle in the air, where the mass centre is known."""
    if any(map(build.given, ("mass_centre_height", "roof_height", "loads"))):
        up, _ = loads.tip_grades(loads_of(build).balance)
        yield check(
            "climb-tips-over",
            "Engine and grip climb a grade on which it may tip over backwards: real limits lie 5 to 15 % below the "
            "computed one. Ask axle-loads, and stay below the grade at which it tips (tip_up_percent).",
            beyond(climbed, REAL_SHARE * up),
        )


def _no_low_range(build: Build) -> Iterator[Caution]:
    """A crawl target without a low range is most often a transfer case that was left out."""
    targets = [name for name in ("target_crawl_ratio", "target_crawl_speed") if build.given(name)]
    if targets and not build.given("transfer_ratios"):
        yield check(
            "no-low-range",
            "A crawl target is given without ratios of the transfer case (transfer_ratios): without a low "
            "range only first gear counts.",
            True,
        )


_GRIP_LIMITED = "The engine pulls more than the tyres can hold: grip decides the grade."
_ADHESION = (
    "Adhesion is the low end of a table's range for loose or made ground. No published adhesion for bare rock "
    "exists: measure it and give adhesion. A grade that can be climbed can still tip the vehicle over."
)


def _absent(build: Build) -> dict[str, Absent]:
    """Why results are null: by the fields that would make them known."""
    torque = () if engine_torque_known(build) else ("peak_torque",)
    mass = () if build.given("vehicle_mass") else ("vehicle_mass",)
    of_both = needs(*torque, *mass)
    automatic = gearbox_kind(build) == "automatic" and build.word("engine_kind") != "electric"
    curve = () if build.given("torque_curve") or build.given("power_curve") else engine_needs(build)
    engine = needs(*torque, *(name for name in curve if not build.given(name)))
    known = DOES_NOT_APPLY if build.word("engine_kind") == "electric" else OUT_OF_RANGE
    return {
        "crawl_speed": DOES_NOT_APPLY,
        "idle_tractive_force": (engine if automatic else needs(*torque)) if torque or automatic else known,
        "stall_tractive_force": engine if automatic else DOES_NOT_APPLY,
        "creep_speed": needs(*engine.fields, *mass) if automatic else DOES_NOT_APPLY,
        "crawl_wheel_torque": needs(*torque),
        "crawl_tractive_force": needs(*torque),
        "grip_force": needs(*mass),
        "engine_grade_percent": of_both,
        "climbable_grade_percent": of_both,
        "crawl_limited_by": of_both,
        "reverse_crawl_ratio": needs("reverse_ratio"),
    }


def _reverse(build: Build, low_range: Array) -> Array | None:
    reverse = build.known("reverse_ratio")
    if reverse is None:
        return None
    axle = build.number("axle_ratio") * build.number("hub_ratio")
    return np.asarray(reverse * low_range * axle)


def _table(build: Build) -> tuple[Column, ...]:
    overall = overall_ratios(build).ravel()
    gears, transfer = build.number("gear_ratios"), build.number("transfer_ratios")
    lost = losses_of(build, np.tile(gears, transfer.size), np.repeat(transfer, gears.size))
    every = pull(build, overall, lost)
    unknown = np.full(overall.size, np.nan)
    grade = unknown if every.grade is None else every.grade
    return (
        *gear_columns(build),
        column("overall_ratio", overall),
        column("crawl_speed", every.speed),
        column("crawl_wheel_torque", unknown if every.wheel_torque is None else every.wheel_torque),
        column("crawl_tractive_force", unknown if every.force is None else every.force),
        column("engine_grade_percent", grade),
    )


QUESTION = Question(
    name="crawl",
    asks="How slowly does it crawl, how hard does it pull there, what grade does it climb, and is engine or "
    "grip the limit?",
    needs=("tyre", "axle_ratio", "gear_ratios"),
    uses=(
        "ring_teeth",
        "pinion_teeth",
        "hub_ratio",
        "transfer_ratios",
        "reverse_ratio",
        "rolling_factor",
        "idle_speed",
        "peak_torque",
        "torque_curve",
        "power_curve",
        "altitude",
        *LOSS_FIELDS,
        *ENGINE_FIELDS,
        "vehicle_mass",
        "rolling_resistance",
        "tread",
        "driven_axles",
        "centre_differential",
        *LOAD_FIELDS,
        "differential",
        "surface",
        "adhesion",
        "target_crawl_ratio",
        "target_crawl_speed",
    ),
    results=(
        "crawl_ratio",
        "reverse_crawl_ratio",
        "crawl_speed",
        "crawl_wheel_torque",
        "crawl_tractive_force",
        "idle_tractive_force",
        "stall_tractive_force",
        "creep_speed",
        "grip_force",
        "engine_grade_percent",
        "grip_grade_percent",
        "climbable_grade_percent",
        "crawl_limited_by",
    ),
    main="crawl_ratio",
    row="crawl",
    leads=True,
    spoken="crawl_speed",
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "reverse_ratio",
        "idle_speed",
        "peak_torque",
        "vehicle_mass",
        "surface",
    ),
    table=(
        "transfer_ratio",
        "gear",
        "gear_ratio",
        "overall_ratio",
        "crawl_speed",
        "crawl_wheel_torque",
        "crawl_tractive_force",
        "engine_grade_percent",
    ),
)
