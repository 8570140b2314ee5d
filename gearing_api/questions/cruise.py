"""Can it hold this speed, on this grade, at this altitude, in which gear?"""

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import (
    NONE_DOES,
    Answer,
    Axis,
    Caution,
    Column,
    Curve,
    Line,
    Question,
    Source,
    Value,
    check,
    column,
    needs,
    note,
)
from gearing_api.build import Build, ordinal
from gearing_api.mechanics import gearing, losses, road_loads
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.losses import Losses
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import RATIO_FIELDS, require_idle_below_redline
from gearing_api.vehicle.engine import (
    ENGINE_FIELDS,
    Engine,
    engine_needs,
    engine_of,
    in_curve,
    in_speeds,
    power_available,
)
from gearing_api.vehicle.gearbox import (
    LOSS_FIELDS,
    Chain,
    chain_of,
    gear_number,
    gearbox_kind,
    loss_sources,
    turning,
)
from gearing_api.vehicle.loads import above_load_index, level_axle_masses, train_mass
from gearing_api.vehicle.reach import reach_of, speeds_held
from gearing_api.vehicle.resistance import (
    MEASURED_RESISTANCE,
    RESISTANCE_FIELDS,
    ROAD_LOAD_ENDS,
    Pull,
    Resistance,
    pull_at_cruise,
    reserve_factor,
    resistance_of,
)
from gearing_api.vehicle.tyre import ROLLING, size_cautions, speed_symbol

_SPEED = Source(
    "engine speed = road speed x overall ratio / rolling radius; no slip",
    "published",
    "UN GTR 15 (2019), Annex 7, par. 8",
)
_POWER = Source(
    "power needed = road load x road speed + losses, compared with the crankshaft's",
    "published",
    "UN GTR 15 (2019), Annex 2: power available against road-load power",
)
_FREEWAY = Source(
    "3 %: the steepest freeway grade in level terrain at 60 and 70 mph",
    "published",
    "AASHTO, A Policy on Geometric Design of Highways and Streets (1990)",
)

_NOTHING = np.array(None)
_NO_SPEED = {"top_speed_limited_by": NONE_DOES}
_POINTS = 80
_HEADROOM = 1.15
_BEYOND = 1.06
"""Where the picture ends, in parts of the highest speed."""

_OF_AN_ENGINE = (
    "cruise_gear",
    "cruise_transfer_ratio",
    "power_available",
    "steepest_grade_percent",
    "top_speed_on_grade",
    "top_speed_gear",
    "top_speed_limited_by",
)


def answer(build: Build) -> Answer:
    """The gear that holds the grade and the top gear as scalars; every gear and range in the table."""
    tyre = build.tyre()
    _require_uphill(build)
    speed, mass = build.number("cruise_speed"), train_mass(build)
    resistance = resistance_of(build)
    slope = resistance.weight_force(mass, build.number("grade_percent"))
    road = road_loads.road_power(resistance.level_force(speed) + slope, speed)
    chain = chain_of(build)
    input_speed = gearing.engine_speed(speed[..., None], chain.overall, tyre.rolling_radius[..., None])
    engine = engine_of(build)
    turns = turning(build, engine, chain.losses, input_speed, road[..., None])
    needed, engine_speed = turns.needed, turns.engine_speed
    pull = None
    if engine is not None:
        pull = pull_at_cruise(build, engine, resistance, engine_speed, chain.losses, input_speed, turns.share)

    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    result["power_needed"] = needed[..., chain.gears - 1]
    cautions: tuple[Caution, ...] = ()
    sources: tuple[Source, ...] = ()
    if engine is not None and pull is not None:
        held, of_gears = _held(build, pull, needed, chain.gears)
        faster = _may_be_fastest(build, held, chain.overall, tyre.rolling_radius)
        top = _top_speed(build, engine, resistance, slope, chain, tyre.rolling_radius, faster)
        result |= held | top
        cautions = (*of_gears, *_gap(build, engine, engine_speed), *_no_speed(top), *engine.cautions)
        cautions = (*cautions, *speed_symbol(build, tyre.size, np.asarray(top["top_speed_on_grade"])))
        sources = (*engine.sources, _FREEWAY)
    else:
        cautions = speed_symbol(build, tyre.size, speed)
    return Answer(
        result,
        sources=(ROLLING, _SPEED, *resistance.sources, _POWER, *loss_sources(build), *sources),
        summary=lambda: _summary(build, result),
        absent=_NO_SPEED if engine is not None else dict.fromkeys(_OF_AN_ENGINE, needs(*engine_needs(build))),
        cautions=(
            *size_cautions(tyre.size),
            *cautions,
            *resistance.cautions,
            *above_load_index(tyre.size, np.maximum(*level_axle_masses(build))),
        ),
        table=lambda: _table(build, chain, engine_speed, needed, pull),
        picture=lambda: _curve(build, chain, engine, resistance, slope, result),
    )


def _require_uphill(build: Build) -> None:
    require_idle_below_redline(build)
    uphill = build.number("grade_percent") >= 0.0
    build.require(uphill, "grade_percent", "is downhill: ask descent; cruise takes 0 or more")


def _summary(build: Build, result: dict[str, Value]) -> str:
    at = f"{build.say(build.number('cruise_speed'), units.SPEED)} on "
    grade = build.number("grade_percent")
    at += f"a {build.say(grade, units.PERCENT)} grade" if grade > 0.0 else "the level"
    needed = np.asarray(result["power_needed"])
    gear, power = result["cruise_gear"], result["power_available"]
    if gear is None or power is None:
        return f"Holding {at} takes {build.say(needed, units.POWER, 2)}; the engine is not known."
    gear, power = np.asarray(gear), np.asarray(power)
    if not np.isfinite(gear):
        lacking = "" if np.isnan(power) else f": top gear lacks {_said_reserve(build, needed - power)}"
        return f"No gear holds {at}{lacking}."
    which = "The gearbox" if gearbox_kind(build) in ("cvt", "single-speed") else f"{ordinal(int(gear))} gear"
    return f"{which}{_in_range(build, result)} has {_said_reserve(build, power - needed)} in hand at {at}."


def _said_reserve(build: Build, power: Array) -> str:
    return build.say(max(float(power), 0.0), units.POWER, 2)


def _in_range(build: Build, result: dict[str, Value]) -> str:
    """The ratio of the transfer case, nothing where it is the first."""
    transfer = np.asarray(result["cruise_transfer_ratio"])
    return (
        "" if transfer == build.number("transfer_ratios")[0] else f" with {transfer:.3g} in the transfer case"
    )


def _held(
    build: Build, pull: Pull, needed: Array, gears: int
) -> tuple[dict[str, Value], tuple[Caution, ...]]:
    """The highest gear that holds the grade, high range first, and what top gear holds."""
    ranges = build.number("transfer_ratios")
    holds = pull.power >= needed * reserve_factor(build)[..., None]
    runs, power, grade, holds, needed = np.broadcast_arrays(*pull, holds, needed)
    from_top = holds.reshape(*holds.shape[:-1], -1, gears)[..., ::-1].reshape(holds.shape)
    first = np.argmax(from_top, axis=-1)
    place = first - first % gears + (gears - 1 - first % gears)
    found = holds.any(axis=-1)
    shown = np.where(found, place, gears - 1)[..., None]
    in_top = runs[..., gears - 1]
    steepest = grade[..., gears - 1]
    if gearbox_kind(build) == "cvt":
        in_top = np.asarray(runs[..., :gears].any(axis=-1))
        steepest = np.fmax.reduce(grade[..., :gears], axis=-1)
    transfer = np.broadcast_to(ranges, (*holds.shape[:-1], ranges.shape[-1]))
    result: dict[str, Value] = {
        "cruise_gear": np.where(found, gear_number(build, place % gears), -np.inf),
        "cruise_transfer_ratio": np.where(
            found, np.take_along_axis(transfer, place[..., None] // gears, axis=-1)[..., 0], -np.inf
        ),
        "power_needed": np.take_along_axis(needed, shown, axis=-1)[..., 0],
        "power_available": np.take_along_axis(power, shown, axis=-1)[..., 0],
        "steepest_grade_percent": steepest,
    }
    return result, (
        check(
            "no-gear",
            "No gear holds the cruise speed on this grade with the power wanted in reserve "
            "(cruise_reserve_percent); the power available is that of top gear.",
            ~found,
        ),
        note(
            "top-gear-out",
            "At the cruise speed top gear is below idle, above the redline or outside the engine's curve: "
            "the steepest grade is not known, nor is the power available where no gear holds the grade.",
            ~in_top,
        ),
        check(
            "shifts-often",
            "Top gear holds less than the grade wanted (hold_grade_percent) at cruise speed: expect to "
            "shift down on hills.",
            beyond(build.number("hold_grade_percent"), steepest),
        ),
    )


def _may_be_fastest(build: Build, held: dict[str, Value], overall: Array, radius: Array) -> NDArray[np.intp]:
    """Places of the gears that may reach the top speed of one of the builds: where a gear holds cruise_speed, those
    that pass it below the redline."""
    reach = gearing.road_speed(build.number("redline_speed")[..., None], overall, radius[..., None])
    slower = beyond(build.number("cruise_speed")[..., None], reach)
    holds = np.isfinite(np.asarray(held["cruise_gear"]))
    out = (slower & holds[..., None]).reshape(-1, overall.shape[-1]).all(axis=0)
    return np.flatnonzero(~out)


def _top_speed(
    build: Build,
    engine: Engine,
    resistance: Resistance,
    slope: Array,
    chain: Chain,
    radius: Array,
    gears: NDArray[np.intp],
) -> dict[str, Value]:
    """The highest speed held on the grade in any of those gears above idle, its gear, and what limits it there."""
    overall = chain.overall[..., gears]
    lost = Losses(*(part[..., gears] if part.ndim and part.shape[-1] > 1 else part for part in chain.losses))
    redline = build.number("redline_speed")[..., None]
    some = chain._replace(overall=overall, losses=lost)
    speeds = speeds_held(build, engine, resistance, slope, some, radius)
    turns = gearing.engine_speed(speeds, overall, radius[..., None])
    best = np.argmax(speeds, axis=-1)[..., None]
    speed = np.take_along_axis(speeds, best, axis=-1)[..., 0]
    held = speed > 0.0
    last = np.minimum(redline, engine.full_load.ends[..., -1])
    at_end = ~beyond(last, np.broadcast_to(turns, speeds.shape))
    at_last = np.take_along_axis(at_end, best, axis=-1)[..., 0]
    return {
        "top_speed_on_grade": np.where(held, speed, -np.inf),
        "top_speed_gear": np.where(held, gear_number(build, gears[best[..., 0]] % chain.gears), -np.inf),
        "top_speed_limited_by": np.where(held, np.where(at_last, "redline", "power"), _NOTHING),
    }


def _no_speed(top: dict[str, Value]) -> tuple[Caution, ...]:
    stuck = np.isneginf(np.asarray(top["top_speed_on_grade"]))
    return (check("no-speed", "On this grade no gear holds any speed at full load.", stuck),)


def _gap(build: Build, engine: Engine, engine_speed: Array) -> tuple[Caution, ...]:
    gap = in_speeds(build, engine_speed) & ~in_curve(engine, engine_speed)
    return (
        note(
            "outside-curve",
            "In some gears the engine runs between idle and redline at the cruise speed, but outside its "
            "curve: what it gives there is not known and not counted on.",
            gap.any(axis=-1),
        ),
    )


def _table(
    build: Build, chain: Chain, engine_speed: Array, needed: Array, pull: Pull | None
) -> tuple[Column, ...]:
    overall = chain.overall
    places = np.arange(overall.size) % chain.gears
    unknown = np.full(overall.shape, np.nan)
    power, grade = (unknown, unknown) if pull is None else (pull.power, pull.grade)
    return (
        column("transfer_ratio", np.repeat(build.number("transfer_ratios"), chain.gears)),
        column("gear", gear_number(build, places)),
        column("overall_ratio", overall),
        column("cruise_engine_speed", engine_speed),
        column("power_available", power),
        column("power_reserve", power - needed),
        column("steepest_grade_percent", grade),
        column("power_needed", np.full(overall.shape, needed)),
        column("within_engine_speeds", in_speeds(build, engine_speed)),
    )


def _curve(
    build: Build,
    chain: Chain,
    engine: Engine | None,
    resistance: Resistance,
    slope: Array,
    result: dict[str, Value],
) -> Curve:
    """What each gear of high range offers and what the road asks, by road speed, as far as the vehicle can go."""
    needed = np.asarray(result["power_needed"])
    high, top = chain.overall[: chain.gears], chain.gears - 1
    radius, cruise = build.tyre().rolling_radius, build.number("cruise_speed")
    fastest = max(_BEYOND * _farthest(build, result), 1.2 * float(cruise))
    offered = () if engine is None else _offered(build, engine, high, radius, fastest)
    speeds = np.linspace(0.0, fastest, _POINTS)
    in_top = Losses(*(part[..., top] if part.size > 1 else part for part in chain.losses))
    turning = gearing.engine_speed(speeds, high[top], radius)
    level = resistance.weight_force(train_mass(build), np.zeros(()))
    on_the_level = resistance.level_force(speeds) + level

    def power(share: float) -> Array:
        """Power needed where the road resists so many times as much as it does by the answer."""
        road = road_loads.road_power(share * on_the_level + (slope - level), speeds)
        return losses.power_for(in_top, np.maximum(road, 0.0), turning)

    asked = power(1.0)
    most = max([float(needed), *(line.y.max() for line in offered)])
    shown = asked <= _HEADROOM * most
    grade, altitude = build.number("grade_percent"), build.number("altitude")
    height = units.ELEVATION
    return Curve(
        title="Power needed and power available",
        about=f"{build.tyre().size.designation}, grade {100 * grade:.3g} %, altitude "
        f"{altitude / height.factor(build.system):.0f} {height.unit(build.system)}, high range",
        x=Axis("road speed", units.SPEED),
        y=Axis("power at the crankshaft", units.POWER),
        lines=(
            *offered,
            *_speed_limit(build, fastest, most),
            *_band(
                build, speeds[shown], [power(1.0 + end)[shown] for end in ROAD_LOAD_ENDS], _HEADROOM * most
            ),
            Line("needed", "needed", speeds[shown], asked[shown]),
            Line("needed at cruise speed", "mark", np.stack([cruise]), np.stack([needed])),
        ),
    )


def _band(build: Build, speeds: Array, ends: list[Array], most: float) -> tuple[Line, ...]:
    """Between what powers trucks alike need, where this one's road load is assumed."""
    if any(map(build.given, MEASURED_RESISTANCE)):
        return ()
    low, high = (np.minimum(end, most).tolist() for end in ends)
    there = speeds.tolist()
    around = np.array([*there, *reversed(there)]), np.array([*low, *reversed(high)])
    return (Line("needed by 9 in 10 like it", "band", *around),)


def _speed_limit(build: Build, fastest: float, most: float) -> tuple[Line, ...]:
    """The speed of the tyre's symbol, where the picture reaches it."""
    size = build.tyre().size
    if size.speed_capability is None or size.speed_capability > fastest:
        return ()
    at = float(size.speed_capability)
    return (Line(f"speed symbol {size.speed_symbol}", "limit", np.array([at, at]), np.array([0.0, most])),)


def _farthest(build: Build, result: dict[str, Value]) -> float:
    """The road speed that ends the picture: what it holds on the grade, or redline in the fastest gear. [m/s]"""
    held = result["top_speed_on_grade"]
    if held is not None and np.isfinite(np.asarray(held)):
        return float(np.asarray(held))
    return float(reach_of(build).speed[0].max())


def _offered(build: Build, engine: Engine, overall: Array, radius: Array, fastest: float) -> tuple[Line, ...]:
    """Full load of each gear, as far as the engine's curve is known."""
    turning = np.linspace(build.number("idle_speed"), build.number("redline_speed"), _POINTS)
    turning = turning[in_curve(engine, turning)]
    power = power_available(engine, turning)
    lines = []
    for place, ratio in enumerate(overall):
        speeds = gearing.road_speed(turning, ratio, radius)
        shown = speeds <= fastest
        if np.count_nonzero(shown) > 1:
            lines.append(Line(ordinal(place + 1), "gear", speeds[shown], power[shown]))
    return tuple(lines)


QUESTION = Question(
    name="cruise",
    asks="Can it hold this speed, on this grade, at this altitude, in which gear?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass"),
    uses=(
        *RATIO_FIELDS,
        *ENGINE_FIELDS,
        *LOSS_FIELDS,
        "cruise_speed",
        "grade_percent",
        "altitude",
        "hold_grade_percent",
        "front_axle_share",
        "wheelbase",
        "hitch_overhang",
        *RESISTANCE_FIELDS,
        "cruise_reserve_percent",
    ),
    results=(
        "cruise_gear",
        "cruise_transfer_ratio",
        "power_needed",
        "power_available",
        "steepest_grade_percent",
        "top_speed_on_grade",
        "top_speed_gear",
        "top_speed_limited_by",
    ),
    main="cruise_gear",
    row="climb",
    leads=True,
    spoken="power_needed",
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "idle_speed",
        "redline_speed",
        "peak_torque",
        "peak_torque_speed",
        "peak_power",
        "peak_power_speed",
        "cruise_speed",
        "altitude",
        "vehicle_mass",
        "front_axle_share",
        grade_percent=3,
    ),
    table=(
        "transfer_ratio",
        "gear",
        "overall_ratio",
        "cruise_engine_speed",
        "power_available",
        "power_reserve",
        "steepest_grade_percent",
        "power_needed",
        "within_engine_speeds",
    ),
    draws=True,
    crossed=("gear_ratios", "transfer_ratios"),
)
