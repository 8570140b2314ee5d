"""What each axle and tyre carries, level and on slopes, how near it is to tipping, and the pressure needed."""

from functools import partial
from typing import NamedTuple

import numpy as np

from gearing_api import units
from gearing_api.answer import (
    DOES_NOT_APPLY,
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
    stop,
)
from gearing_api.build import Build
from gearing_api.mechanics import loads, tyres
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.inflation import INFLATION, inflation_of
from gearing_api.vehicle.loads import (
    LOAD_FIELDS,
    REAL_SHARE,
    TRACK_FIELDS,
    Loads,
    above_load_index,
    cargo_of,
    loads_of,
    tongue_cautions,
    track_of,
)
from gearing_api.vehicle.resistance import rolling_resistance
from gearing_api.vehicle.tyre import GRAVITY, size_cautions

_STABILITY = Source(
    "static stability factor = track / (2 x height of the mass centre): the side slope at which it tips",
    "published",
    "US NHTSA, NCAP rollover resistance, 2004; the grades fore and aft by the same moments",
)
_REAL = Source(
    "real vehicles tip at slopes 5 to 15 % below: springs and tyres give",
    "from memory",
    "Tilt tables against static stability factors: from memory (medium)",
)

SLOW_BONUS = 1.25
"""What a tyre may carry up to 25 mph (40 km/h) / its load: UN R54, annex 8, from memory (medium). [-]"""

LIGHTEST_FRONT = 0.2
"""Share of its mass that a vehicle should leave on the steered axle, from memory (medium). [-]"""


class _State(NamedTuple):
    """One way to stand: masses square to the ground. [kg]"""

    name: str
    front: Array
    rear: Array
    worst_tyre: Array | None


def answer(build: Build) -> Answer:
    """Axle loads, tipping limits and pressures as scalars; a row for each way to stand in the table."""
    size, loaded, track = build.tyre().size, loads_of(build), track_of(build)
    up, down = loads.tip_grades(loaded.balance)
    side = None if track is None else loads.static_stability_factor(track, loaded.height)
    level = _state("level", loaded, np.zeros(()))
    needed = _pressures_needed(build, size, level)
    result: dict[str, Value] = {
        "front_axle_load": level.front,
        "rear_axle_load": level.rear,
        "mass_centre_height_used": loaded.height,
        "static_stability_factor": side,
        "tip_up_percent": up,
        "tip_down_percent": down,
        "tip_side_percent": side,
        "front_pressure_needed": None if needed is None else needed[0],
        "rear_pressure_needed": None if needed is None else needed[1],
        "hitch_load": _hitch_load(build, loaded),
    }
    return Answer(
        result,
        sources=(*loaded.sources, _STABILITY, _REAL, INFLATION),
        summary=lambda: _summary(build, size, level, result),
        cautions=(
            *size_cautions(size),
            *_tipping(build, up, down, side),
            *above_load_index(size, np.maximum(level.front, level.rear)),
            *_underinflated(build, size, level),
            *_on_slopes(build, size, loaded, track),
            *tongue_cautions(build, cargo_of(build)),
            _light_front(level),
            *loaded.cautions,
        ),
        absent=_absent(build, size),
        table=partial(_table, build, size, loaded, track),
    )


def _state(name: str, loaded: Loads, grade: Array) -> _State:
    front, rear = (force / GRAVITY for force in loaded.on_axles(grade))
    return _State(name, front, rear, 0.5 * np.maximum(front, rear))


def _across(build: Build, loaded: Loads, track: Array | None) -> _State:
    """Across the slope: both axles lose its cosine, and the lower wheels of the heavier one carry most."""
    level, slope = _state("side", loaded, np.zeros(())), build.number("side_slope_percent")
    cosine = 1.0 / np.sqrt(1.0 + slope * slope)
    worst = None
    if track is not None:
        lower = loads.lower_wheel_share(track, loaded.height, slope)
        worst = np.maximum(level.front, level.rear) * lower
    return _State("side", level.front * cosine, level.rear * cosine, worst)


def _hitch_load(build: Build, loaded: Loads) -> Array | None:
    if not build.given("trailer_mass"):
        return None
    grade = np.abs(build.number("grade_percent"))
    return loads.hitch_pull(loaded.trailer, loaded.tongue, rolling_resistance(build, off_road=True), grade)


def _pressures_needed(build: Build, size: TyreSize, level: _State) -> tuple[Array, Array] | None:
    """Pressure for each axle; -inf where the tyre does not carry it at its rated pressure. [Pa]"""
    inflation = inflation_of(build, size)
    if size.load_capacity is None or inflation.rated is None:
        return None
    capacity, rated, exponent = size.load_capacity, inflation.rated, inflation.exponent

    def pressure(axle: Array) -> Array:
        load = np.maximum(0.5 * axle, 0.0)
        needed = tyres.pressure_for_load(capacity, load, rated, exponent)
        return np.asarray(np.where(load <= capacity, needed, -np.inf))

    return pressure(level.front), pressure(level.rear)


def _capacity(build: Build, size: TyreSize) -> Array | None:
    """What one tyre carries: at its pressure where that and its rated pressure are known, else by its index."""
    if size.load_capacity is None:
        return None
    pressure, rated = build.known("tyre_pressure"), inflation_of(build, size).rated
    if pressure is None or rated is None:
        return np.asarray(size.load_capacity)
    return inflation_of(build, size).capacity(size, pressure, rated)


def _underinflated(build: Build, size: TyreSize, level: _State) -> tuple[Caution, ...]:
    pressure = build.known("tyre_pressure")
    if pressure is None or size.load_capacity is None:
        return ()
    load = 0.5 * np.maximum(level.front, level.rear)
    certain, possible = inflation_of(build, size).too_little(size, pressure, load)
    return (
        stop(
            "axle-underinflated",
            "At this pressure the tyres of the heavier axle do not carry it: raise the pressure, or carry less.",
            certain,
        ),
        check(
            "axle-underinflated",
            "At this pressure the tyres of the heavier axle may not carry it: find the rated pressure on "
            "their sidewall and give it (rated_pressure).",
            possible,
        ),
    )


def _states(build: Build, loaded: Loads, track: Array | None) -> tuple[_State, ...]:
    grade = np.abs(build.number("grade_percent"))
    return _state("up", loaded, grade), _state("down", loaded, -grade), _across(build, loaded, track)


def _on_slopes(build: Build, size: TyreSize, loaded: Loads, track: Array | None) -> tuple[Caution, ...]:
    """The caution on a tyre that the slopes given overload more than tyres bear at a walking pace."""
    capacity = _capacity(build, size)
    if capacity is None:
        return ()
    worst = np.zeros(())
    for state in _states(build, loaded, track):
        worst = worst if state.worst_tyre is None else np.maximum(worst, state.worst_tyre)
    text = (
        "On the slopes given one tyre carries over 25 % more than it may at its pressure: raise the pressure or "
        "carry less."
    )
    return (check("slope-overloads-tyre", text, worst > SLOW_BONUS * capacity),)


def _tipping(build: Build, up: Array, down: Array, side: Array | None) -> tuple[Caution, ...]:
    """The cautions on slopes near those at which it tips."""
    grade, slope = np.abs(build.number("grade_percent")), build.number("side_slope_percent")
    return (
        stop("tips-backwards", _tips("going up this grade", "backwards"), grade > REAL_SHARE * up),
        stop("tips-forwards", _tips("going down this grade", "forwards"), grade > REAL_SHARE * down),
        stop(
            "tips-sideways",
            _tips("across this slope", "sideways"),
            False if side is None else slope > REAL_SHARE * side,
        ),
    )


def _tips(slope: str, how: str) -> str:
    return f"It may tip over {how} {slope}: real limits lie 5 to 15 % below the computed one. Choose another way."


def _light_front(level: _State) -> Caution:
    return check(
        "front-axle-light",
        "Less than a fifth of the mass is left on the front axle: steering and front brakes lose their grip. Move "
        "load forward.",
        beyond(LIGHTEST_FRONT * (level.front + level.rear), level.front),
    )


def _summary(build: Build, size: TyreSize, level: _State, result: dict[str, Value]) -> str:
    front, rear = (build.say(load, units.MASS) for load in (level.front, level.rear))
    carried = f"The front axle carries {front}, the rear axle {rear}"
    side = result["tip_side_percent"]
    if side is not None:
        limit = build.say(REAL_SHARE * np.asarray(side), units.PERCENT, 2)
        return f"{carried}; it may tip on side slopes from about {limit}."
    capacity = _capacity(build, size)
    if capacity is None or level.worst_tyre is None:
        return f"{carried}."
    share = build.say(level.worst_tyre / capacity, units.PERCENT, 2)
    return f"{carried}: {share} of what the tyres of the heavier axle carry."


def _table(build: Build, size: TyreSize, loaded: Loads, track: Array | None) -> tuple[Column, ...]:
    states = (_state("level", loaded, np.zeros(())), *_states(build, loaded, track))
    worst = np.array([np.nan if state.worst_tyre is None else state.worst_tyre for state in states])
    capacity = _capacity(build, size)
    return (
        column("state", [state.name for state in states]),
        column("front_axle_load", np.array([state.front for state in states])),
        column("rear_axle_load", np.array([state.rear for state in states])),
        column("worst_tyre_load", worst),
        column("share_of_capacity_percent", worst / (np.nan if capacity is None else capacity)),
    )


def _absent(build: Build, size: TyreSize) -> dict[str, Absent]:
    lacking = needs(*(name for name in TRACK_FIELDS[1:3] if not build.given(name)))
    track = dict.fromkeys(("static_stability_factor", "tip_side_percent"), needs("track", *lacking.fields))
    index = () if size.load_capacity is not None else ("tyre",)
    rated = () if inflation_of(build, size).rated is not None else ("rated_pressure",)
    pressures = DOES_NOT_APPLY if size.form == "measured" else needs(*index, *rated)
    return {
        **track,
        **dict.fromkeys(("front_pressure_needed", "rear_pressure_needed"), pressures),
        "hitch_load": DOES_NOT_APPLY,
    }


QUESTION = Question(
    name="axle-loads",
    asks="What does each axle and tyre carry, level and on slopes; how near is it to tipping; what pressure do "
    "the tyres need?",
    needs=("tyre", "vehicle_mass"),
    uses=(
        *LOAD_FIELDS,
        *TRACK_FIELDS,
        "rolling_factor",
        "tyre_pressure",
        "rated_pressure",
        "grade_percent",
        "side_slope_percent",
        "rolling_resistance",
        "tread",
        "surface",
    ),
    results=(
        "front_axle_load",
        "rear_axle_load",
        "mass_centre_height_used",
        "static_stability_factor",
        "tip_up_percent",
        "tip_down_percent",
        "tip_side_percent",
        "front_pressure_needed",
        "rear_pressure_needed",
        "hitch_load",
    ),
    main="front_axle_load",
    row="load",
    leads=True,
    answer=answer,
    example=truck(
        "tyre",
        "original_tyre",
        "tyre_pressure",
        "vehicle_mass",
        "front_axle_share",
        "wheelbase",
        "mass_centre_height",
        "mounting_width",
        "wheel_offset",
        rated_pressure=65,
        loads=["330:45:40", "440:110:45"],
        trailer_mass=3100,
        tongue_mass=340,
        grade_percent=30,
        side_slope_percent=20,
        surface="dry-earth",
    ),
    table=("state", "front_axle_load", "rear_axle_load", "worst_tyre_load", "share_of_capacity_percent"),
)
