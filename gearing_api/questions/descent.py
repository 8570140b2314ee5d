"""Which gear and range hold the vehicle back downhill, where does it settle, and what must the brakes take?"""

from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import (
    DOES_NOT_APPLY,
    Absent,
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
    stop,
)
from gearing_api.build import Build, ordinal
from gearing_api.mechanics import brakes, engine_braking, road_loads
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.engine_braking import Drag
from gearing_api.vehicle.braking import beyond_grip, trailer_without_brakes, vehicle_share
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import (
    RATIO_FIELDS,
    SURFACES,
    gear_columns,
    in_range,
    overall_ratios,
    place_of_highest,
    require_idle_below_redline,
)
from gearing_api.vehicle.engine_brake import (
    ENGINE_BRAKE_FIELDS,
    EngineBrake,
    engine_brake_of,
    kind_of,
    sources_of,
    why_unknown,
)
from gearing_api.vehicle.loads import train_mass
from gearing_api.vehicle.resistance import RESISTANCE_FIELDS, Resistance, resistance_of
from gearing_api.vehicle.tyre import ROLLING, size_cautions
from gearing_api.vocabulary import label_of

_BALANCE = Source(
    "hill - rolling resistance - air - engine = what the brakes must take",
    "published",
    "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 4, downhill",
)
_HEAT = Source(
    "temperature rise = heat / (mass of the discs x 500 J/kgK), nothing cooling them",
    "from memory",
    "Specific heat of cast iron 460 to 550 J/kgK: from memory (high)",
)
_YARDSTICK = Source(
    "6 km at 6 %: the downhill by which heavy vehicles are tested; light ones need not pass it",
    "published",
    "Directive 71/320/EEC and UN R13, test of type II: second hand, that light vehicles are exempt from memory",
)

_TO_HOLD = 0.8
"""Of the redline, where descent_engine_speed is not given. [-]"""

_LEAST, _MUCH = engine_braking.DRAG_BAND
_POINTS = 60
_HEADROOM = 2.5
_WIDTH = 3.5
"""Of a chart, in descent_speed."""


class Hill(NamedTuple):
    """The slope down and what the road itself holds back; each with the gears' axis, here of one, last."""

    grade: Array
    mass: Array
    rolling: Array
    """Rolling resistance, by weight. [-]"""
    pull: Array
    """Of the slope. [N]"""
    held: Array
    """Rolling resistance and what else does not go with speed. [N]"""
    weight_held: Array
    """Rolling resistance alone. [N]"""
    linear: Array
    square: Array

    def road(self, speed: Array) -> Array:
        """What rolling and air hold back. [N]"""
        return self.held + (self.linear + self.square * speed) * speed

    def settling(self, brake: EngineBrake, factors: Sequence[float]) -> Array:
        """Speeds at which each gear settles with so many times the drag, factors on the first axis. [m/s]"""
        return brake.settling_speeds(factors, self.held - self.pull, self.linear, self.square)


class Wish(NamedTuple):
    """Road speed wanted, and engine speed that the driver is willing to hold; gears' axis last. [m/s, rad/s]"""

    speed: Array
    engine_speed: Array


class Heat(NamedTuple):
    """What a force left to all brakes puts into the vehicle's over the height. [J/N, K/J, J]"""

    energy: Array
    rise: Array
    most: Array
    """Heat of the regulation's downhill for the vehicle's own mass, which its brakes are made for."""


class Down(NamedTuple):
    """What gears do at their speed, gears on the last axis."""

    speed: Array
    """descent_speed, or less where the engine would pass descent_engine_speed. [m/s]"""
    engine_speed: Array
    force: Array
    left: Array
    """To the brakes. [N]"""
    share: Array
    held: Array
    """Grade held at descent_engine_speed. [-]"""
    settling: Array
    slow: Array
    """Where it settles with much drag."""
    fast: Array
    """Where it settles with little drag."""
    idling: Array
    """Speed at idle. [m/s]"""

    def at(self, place: int) -> "Down":
        """One of the gears of one build."""
        return Down(*(part if part.size == 1 else part[place : place + 1] for part in self))


class Chosen(NamedTuple):
    """The gear to choose, its place among all gears, whether it holds by itself, and all gears of one build."""

    place: NDArray[np.intp]
    found: NDArray[np.bool_]
    down: Down
    every: Down | None


def answer(build: Build) -> Answer:
    """The gear to choose as scalars; every gear and range in the table."""
    require_idle_below_redline(build)
    resistance, share = resistance_of(build), vehicle_share(build)
    hill, heat = _hill(build, resistance), _heat(build, share)
    overall = overall_ratios(build)
    brake = engine_brake_of(build, _flattened(overall), _low(build))
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    height = build.known("descent_height")
    result["descent_energy"] = None if height is None else brakes.fall_energy(hill.mass[..., 0], height)
    cautions: tuple[Caution, ...] = ()
    chosen: Chosen | None = None
    if brake is not None:
        chosen = _choose(_wish(build), overall.shape[-1], brake, hill)
        result |= _of_gear(build, chosen, heat)
        result["brake_power"] = chosen.down.left[..., 0] * share * chosen.down.speed[..., 0]
        cautions = _cautions(build, chosen, heat)
    return Answer(
        result,
        sources=(ROLLING, _BALANCE, *sources_of(build), *resistance.sources, _HEAT, _YARDSTICK, SURFACES),
        summary=lambda: _summary(build, hill, heat, result, chosen),
        cautions=(
            *beyond_grip(build, hill.grade[..., 0]),
            *cautions,
            *trailer_without_brakes(build),
            *size_cautions(build.tyre().size),
            *resistance.cautions,
        ),
        absent=_absent(build, brake is not None),
        ranges={} if chosen is None or kind_of(build) == "motor" else _ranges(chosen.down),
        table=partial(_table, build, chosen),
        picture=None if brake is None else partial(_curve, build, brake, hill),
    )


def _flattened(overall: Array) -> Array:
    """Gears of all ranges on the last axis; outermost in memory, which takes a fraction of the time in columns."""
    flat = overall.reshape(*overall.shape[:-2], -1)
    return flat if flat.ndim == 1 else np.ascontiguousarray(flat.T).T


def _hill(build: Build, resistance: Resistance) -> Hill:
    grade, mass = build.number("descent_grade_percent"), train_mass(build)
    rolling = road_loads.rolling_force(mass, resistance.rolling, grade)
    parts = (
        grade,
        mass,
        resistance.rolling,
        road_loads.grade_force(mass, grade),
        rolling + resistance.constant,
        rolling,
        resistance.linear,
        resistance.square,
    )
    return Hill(*(np.asarray(part)[..., None] for part in parts))


def _heat(build: Build, share: Array) -> Heat | None:
    """Over descent_height, where that is given."""
    height, grade = build.known("descent_height"), build.number("descent_grade_percent")
    if height is None:
        return None
    length = brakes.descent_length(height, np.maximum(grade, _LEAST_GRADE))
    front = build.number("brake_front_share")
    hotter = np.maximum(front, 1.0 - front)
    return Heat(
        share * length,
        hotter * brakes.temperature_rise(1.0, 0.5 * build.number("brake_disc_mass")),
        brakes.yardstick_energy(build.number("vehicle_mass")),
    )


_LITTLE = 0.01
_LEAST_GRADE = 1e-4
"""On the level no height is lost, and nothing is left to the brakes. [-]"""


def _low(build: Build) -> NDArray[np.bool_]:
    """Which of the gears, flattened, are of a low range."""
    ranges, gears = build.number("transfer_ratios"), build.number("gear_ratios").shape[-1]
    low = ranges > ranges.min(axis=-1)[..., None]
    return np.repeat(low, gears, axis=-1)


def _wish(build: Build) -> Wish:
    speed, redline = build.known("descent_engine_speed"), build.number("redline_speed")
    if speed is None:
        speed = _TO_HOLD * redline
        build.assume("descent_engine_speed", speed)
    return Wish(build.number("descent_speed")[..., None], np.minimum(speed, redline)[..., None])


def _choose(wish: Wish, gears: int, brake: EngineBrake, hill: Hill) -> Chosen:
    """The gear to choose, worked out for all gears of one build, or for the gear of each of a column of builds."""
    place, found = _place(wish, gears, brake, hill)
    if place.ndim:
        return Chosen(place, found, _down(wish, brake.of_gear(place), hill), None)
    every = _down(wish, brake, hill)
    return Chosen(place, found, every.at(int(place)), every)


def _place(
    wish: Wish, gears: int, brake: EngineBrake, hill: Hill
) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Place of the gear to choose, and whether it holds by itself; else it is the lowest gear.

    What holds back rises with speed: a gear settles below a speed if it holds the hill there.
    """
    speed = np.minimum(wish.speed, wish.engine_speed / brake.gearing)
    wanted = hill.pull - hill.road(speed)
    if brake.drag is None:
        share = engine_braking.regeneration_share(speed) * np.maximum(wanted, 0.0)
        holds = (brake.motor_force(speed) >= share) & (speed >= wish.speed)
    else:
        weak = Drag(*(_LEAST * part for part in brake.drag))
        slowest = brake.idle / brake.gearing
        holds = (brake.drag_force(weak, speed) >= wanted) & ~beyond(slowest, speed)
    place, found = place_of_highest(holds, gears)
    return np.where(found, place, np.argmax(brake.overall, axis=-1)), found


def _down(wish: Wish, brake: EngineBrake, hill: Hill) -> Down:
    """What gears do at descent_speed, or at descent_engine_speed where that is slower."""
    fastest = wish.engine_speed / brake.gearing
    speed = np.minimum(wish.speed, fastest)
    road = hill.road(speed)
    force = brake.force(speed, hill.pull - road)
    left = np.maximum(hill.pull - road - force, 0.0)
    share = left / np.where(hill.pull > 0.0, hill.pull, 1.0)
    held = _held(brake, hill, fastest)
    settling, slow, fast = hill.settling(brake, (1.0, _MUCH, _LEAST))
    idling = brake.idle / brake.gearing
    return Down(speed, brake.engine_speed(speed), force, left, share, held, settling, slow, fast, idling)


def _held(brake: EngineBrake, hill: Hill, speed: Array) -> Array:
    """Grade that engine or motor, rolling resistance and air hold at a speed without brakes."""
    force = brake.most_force(speed) + hill.road(speed) - hill.weight_held
    return engine_braking.held_grade(np.maximum(force, 0.0), hill.mass, hill.rolling)


def _of_gear(build: Build, chosen: Chosen, heat: Heat | None) -> dict[str, Value]:
    """The scalars of the gear to choose."""
    place, down = chosen.place, chosen.down
    gears, ranges = build.number("gear_ratios").shape[-1], build.number("transfer_ratios")
    if place.ndim:
        ranges = np.broadcast_to(ranges, (*place.shape, ranges.shape[-1]))
        transfer = np.take_along_axis(ranges, place[..., None] // gears, axis=-1)[..., 0]
    else:
        transfer = ranges[int(place) // gears]
    left = down.left[..., 0]
    return {
        "descent_gear": np.asarray(place % gears + 1.0),
        "descent_transfer_ratio": transfer,
        "settling_speed": down.settling[..., 0],
        "engine_brake_force": down.force[..., 0],
        "grade_held_back_percent": down.held[..., 0],
        "brake_share_percent": down.share[..., 0],
        "brake_temperature_rise": None if heat is None else left * heat.energy * heat.rise,
    }


def _ranges(down: Down) -> dict[str, tuple[Value, Value]]:
    """A speed that no engine's drag is known well enough to promise."""
    return {"settling_speed": (down.slow[..., 0], down.fast[..., 0])}


def _cautions(build: Build, chosen: Chosen, heat: Heat | None) -> tuple[Caution, ...]:
    down = chosen.down
    motor = kind_of(build) == "motor"
    energy = np.zeros(()) if heat is None else down.left[..., 0] * heat.energy
    most = np.ones(()) if heat is None else heat.most
    at_idle = ~beyond(np.abs(down.settling[..., 0]), down.idling[..., 0])
    too_hot = energy > most
    return (
        stop("brakes-overheat", _TOO_HOT, too_hot),
        check("brakes-hot", _HOT, (energy > _HALF * most) & ~too_hot),
        check("no-gear-holds", _NONE_HOLDS, ~chosen.found),
        check("battery-full", _FULL, motor and build.word("battery_full") == "yes"),
        note("idle-holds", _AT_IDLE, at_idle & (not motor)),
        note("drag-estimated", _MOTOR if motor else _ESTIMATE),
    )


_HALF = 0.5
_TOO_HOT = (
    "The brakes take more heat than the downhill by which heavy vehicles are tested (6 km at 6 %) gives the vehicle "
    "alone: go slower in a lower gear, carry less, and stop to let them cool before they fade."
)
_HOT = (
    "The brakes take over half the heat of the downhill by which heavy vehicles are tested (6 km at 6 %): go slower in "
    "a lower gear, and stop on the way to let them cool."
)
_NONE_HOLDS = (
    "No gear surely holds the hill at the speed wanted (descent_speed) without brakes: take the lowest gear "
    "and brake in short, firm spells, or choose another way down."
)
_FULL = "A full battery takes no energy back: the brakes must do all the work."
_AT_IDLE = (
    "The engine's drag at idle is more than the hill: the vehicle goes down at idle speed, the engine still pushing "
    "a little."
)
_ESTIMATE = (
    "Engine drag is an estimate that may be 30 % off: trust the gear more than the speed, and try it on a short, "
    "safe slope first."
)
_MOTOR = "What motor and battery take back falls with charge and heat: do not count on it."


def _summary(
    build: Build, hill: Hill, heat: Heat | None, result: dict[str, Value], chosen: Chosen | None
) -> str:
    slope = f"{build.say(hill.grade[..., 0], units.PERCENT)} hill"
    neutral = _in_neutral(build, hill, heat)
    if chosen is None:
        lacking = why_unknown(build).fields[0]
        return f"What the engine holds on the {slope} is not known: give the {label_of(lacking)} ({lacking}).{neutral}"
    down = chosen.down
    gear, transfer = (np.asarray(result[name]) for name in ("descent_gear", "descent_transfer_ratio"))
    speed = build.say(build.number("descent_speed"), units.SPEED)
    in_gear, share = f"{ordinal(int(gear))} gear{in_range(build, transfer)}", down.share[..., 0]
    if kind_of(build) == "motor":
        left = build.say(share, units.PERCENT, 2)
        return f"In {in_gear} the brakes must take about {left} of the {slope} at {speed}.{neutral}"
    if chosen.found:
        return f"{in_gear} holds the {slope} at {_settles(build, down)}.{neutral}"
    none = f"No gear surely holds the {slope} at {speed}"
    if share < _LITTLE:
        return f"{none}: {in_gear} does by the estimate, with nothing to spare."
    rise = result["brake_temperature_rise"]
    if rise is None:
        return f"{none}: in {in_gear} the brakes must take about {build.say(share, units.PERCENT, 2)}."
    return f"{none}: in {in_gear} the brakes gain about {build.say(rise, units.TEMPERATURE_DIFFERENCE, 2)}."


def _settles(build: Build, down: Down) -> str:
    """The speeds between which a gear settles, by the band of the drag."""
    least, most = (build.say(speed[..., 0], units.SPEED, 2) for speed in (down.slow, down.fast))
    return f"about {most}, idle speed" if least == most else f"about {least.split()[0]} to {most}"


def _in_neutral(build: Build, hill: Hill, heat: Heat | None) -> str:
    """What the brakes would gain with nothing but them."""
    if heat is None:
        return ""
    speed = build.number("descent_speed")[..., None]
    energy = np.maximum(hill.pull - hill.road(speed), 0.0)[..., 0] * heat.energy
    if energy > heat.most:
        return " In neutral the brakes would overheat."
    rise = build.say(energy * heat.rise, units.TEMPERATURE_DIFFERENCE, 2)
    return f" In neutral the brakes would gain about {rise}."


def _table(build: Build, chosen: Chosen | None) -> tuple[Column, ...]:
    columns = gear_columns(build)[:2]
    names = QUESTION.table[2:]
    every = None if chosen is None else chosen.every
    if every is None:
        unknown = np.full(len(columns[0].values), np.nan)
        return (*columns, *(column(name, unknown) for name in names))
    values = (every.engine_speed, every.force, every.held, every.settling, every.share)
    return (*columns, *(column(name, each) for name, each in zip(names, values, strict=True)))


def _curve(build: Build, brake: EngineBrake, hill: Hill) -> Curve:
    """The grade that each gear holds, by road speed, from idle to redline."""
    grade, speed = hill.grade[..., 0], build.number("descent_speed")
    limit = _HEADROOM * max(float(grade), 0.1)
    lines = _gear_lines(build, brake, hill, limit)
    fastest = max([1.2 * float(speed), *(line.x.max() for line in lines)])
    return Curve(
        title="Grade held without brakes",
        about=f"{build.tyre().size.designation}, {build.say(hill.mass[..., 0], units.MASS)} in all",
        x=Axis("road speed", units.SPEED),
        y=Axis("grade held", units.PERCENT),
        lines=(
            *lines,
            Line("the hill", "needed", np.array([0.0, fastest]), np.stack([grade, grade])),
            Line("speed wanted", "mark", np.stack([speed]), np.stack([grade])),
        ),
    )


def _gear_lines(build: Build, brake: EngineBrake, hill: Hill, limit: float) -> tuple[Line, ...]:
    """The gears of high range, and of others those that gear lower than its first."""
    lines = []
    low, gears = _low(build), build.number("gear_ratios").shape[-1]
    farthest = _WIDTH * float(build.number("descent_speed"))
    for place in np.flatnonzero(~low | (brake.overall > brake.overall[~low].max())):
        of_gear = brake.of_gear(np.asarray(place))
        slow, fast = (float((turning / of_gear.gearing)[0]) for turning in (brake.idle, brake.redline))
        speeds = np.linspace(slow, min(fast, max(farthest, 1.5 * slow)), _POINTS)
        held = _held(of_gear, hill, speeds)
        shown = held <= limit
        if np.count_nonzero(shown) > 1:
            label = f"{'low ' if low[place] else ''}{ordinal(int(place) % gears + 1)}"
            lines.append(Line(label, "gear", speeds[shown], held[shown]))
    return tuple(lines)


def _absent(build: Build, known: bool) -> dict[str, Absent]:
    """Why results are null; `known` is whether it is known what holds back."""
    lacking = () if known else why_unknown(build).fields
    height = () if build.given("descent_height") else ("descent_height",)
    absent = {} if known else dict.fromkeys(QUESTION.results, needs(*lacking))
    if known and kind_of(build) == "motor":
        absent["settling_speed"] = DOES_NOT_APPLY
    if height or lacking:
        absent["brake_temperature_rise"] = needs(*lacking, *height)
    if height:
        absent["descent_energy"] = needs(*height)
    return absent


QUESTION = Question(
    name="descent",
    asks="Which gear and range hold it downhill, where does it settle, and what must the brakes take?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass", "descent_grade_percent"),
    uses=(
        *RATIO_FIELDS,
        *ENGINE_BRAKE_FIELDS,
        "grade_percent",
        "descent_height",
        "descent_speed",
        "descent_engine_speed",
        "altitude",
        *RESISTANCE_FIELDS,
        "trailer_brakes",
        "brake_disc_mass",
        "brake_front_share",
        "surface",
        "adhesion",
    ),
    results=(
        "descent_gear",
        "descent_transfer_ratio",
        "settling_speed",
        "engine_brake_force",
        "grade_held_back_percent",
        "brake_share_percent",
        "brake_power",
        "brake_temperature_rise",
        "descent_energy",
    ),
    main="descent_gear",
    row="downhill",
    leads=True,
    spoken="settling_speed",
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "idle_speed",
        "redline_speed",
        "engine_displacement",
        "altitude",
        "vehicle_mass",
        "descent_grade_percent",
        "descent_height",
        trailer_mass=3100,
    ),
    table=(
        "transfer_ratio",
        "gear",
        "engine_speed",
        "engine_brake_force",
        "grade_held_back_percent",
        "settling_speed",
        "brake_share_percent",
    ),
    draws=True,
)
