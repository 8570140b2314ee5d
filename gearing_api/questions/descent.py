"""Which gear and range hold the vehicle back downhill, where does it settle, and what must the brakes take?"""

from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import (
    DOES_NOT_APPLY,
    OUT_OF_RANGE,
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
from gearing_api.mechanics import brakes, engine_braking, gearing, road_loads
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.braking import beyond_grip, trailer_without_brakes, vehicle_share
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import (
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

_ROUNDING = 1.0 + 1e-9
_POINTS = 60
_HEADROOM = 2.5


class Hill(NamedTuple):
    """The slope down and what the road itself holds back; each with the gears' axis, here of one, last."""

    grade: Array
    mass: Array
    rolling: Array
    """What the rolling resistance is, by weight. [-]"""
    pull: Array
    """Of the slope. [N]"""
    resistance: Resistance
    constant: Array
    """Road load without the air less the slope: the first coefficient of a balance. [N]"""

    def road(self, speed: Array) -> Array:
        """What rolling and air hold back. [N]"""
        return self.constant + self.pull + self._speed_force(speed)

    def _speed_force(self, speed: Array) -> Array:
        return (self.resistance.linear[..., None] + self.resistance.square[..., None] * speed) * speed


class Down(NamedTuple):
    """What one gear of each build, or each gear of one build, does at its speed."""

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
    at_idle: NDArray[np.bool_]


def answer(build: Build) -> Answer:
    """The gear to choose as scalars; every gear and range in the table."""
    require_idle_below_redline(build)
    hill = _hill(build)
    overall = overall_ratios(build)
    overall = overall.reshape(*overall.shape[:-2], -1)
    brake = engine_brake_of(build, overall, _low(build))
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    result["descent_energy"] = _energy(build, hill)
    cautions: tuple[Caution, ...] = ()
    in_gear: Down | None = None
    if brake is not None:
        place, found = _choose(build, brake, hill)
        in_gear = _down(build, brake.of_gear(place), hill)
        result |= _of_gear(build, in_gear, place)
        cautions = _cautions(build, hill, in_gear, found)
    return Answer(
        result,
        sources=(
            ROLLING,
            _BALANCE,
            *sources_of(build),
            *hill.resistance.sources,
            _HEAT,
            _YARDSTICK,
            SURFACES,
        ),
        summary=lambda: _summary(build, brake, hill, result),
        cautions=(
            *beyond_grip(build, hill.grade[..., 0]),
            *cautions,
            *trailer_without_brakes(build),
            *size_cautions(build.tyre().size),
            *hill.resistance.cautions,
        ),
        absent=_absent(build),
        table=partial(_table, build, brake, hill),
        curve=partial(_curve, build, brake, hill),
    )


def _hill(build: Build) -> Hill:
    grade, mass, resistance = build.number("descent_grade_percent"), train_mass(build), resistance_of(build)
    pull = road_loads.grade_force(mass, grade)
    held = road_loads.rolling_force(mass, resistance.rolling, grade) + resistance.constant
    grade, mass, rolling, pull, constant = (
        np.asarray(part)[..., None] for part in (grade, mass, resistance.rolling, pull, held - pull)
    )
    return Hill(grade, mass, rolling, pull, resistance, constant)


def _low(build: Build) -> NDArray[np.bool_]:
    """Which of the gears, flattened, are of a low range."""
    ranges, gears = build.number("transfer_ratios"), build.number("gear_ratios").shape[-1]
    low = ranges > ranges.min(axis=-1)[..., None] * _ROUNDING
    return np.repeat(low, gears, axis=-1)


def _most_engine_speed(build: Build) -> Array:
    """Engine speed that the driver is willing to hold, with the gears' axis. [rad/s]"""
    speed = build.known("descent_engine_speed")
    if speed is None:
        speed = _TO_HOLD * build.number("redline_speed")
        build.assume("descent_engine_speed", speed)
    return np.minimum(speed, build.number("redline_speed"))[..., None]


def _settling(brake: EngineBrake, hill: Hill) -> Array:
    resistance = hill.resistance
    return brake.settling_speed(hill.constant, resistance.linear[..., None], resistance.square[..., None])


def _choose(build: Build, brake: EngineBrake, hill: Hill) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Place of the gear to choose, and whether it holds by itself; else it is the lowest gear."""
    speed, most = build.number("descent_speed")[..., None], _most_engine_speed(build)
    if brake.motor is not None:
        wanted = np.maximum(hill.pull - hill.road(speed), 0.0)
        enough = brake.motor_force(speed) >= engine_braking.regeneration_share(speed) * wanted
        holds = enough & (brake.turbine_speed(speed) <= most * _ROUNDING)
    else:
        settling = _settling(brake.scaled(engine_braking.DRAG_BAND[0]), hill)
        turning = brake.turbine_speed(np.maximum(settling, 0.0))
        holds = (settling >= 0.0) & (settling <= speed * _ROUNDING) & (turning <= most * _ROUNDING)
    place, found = place_of_highest(holds, build.number("gear_ratios").shape[-1])
    lowest = np.argmax(brake.overall, axis=-1)
    return np.where(found, place, lowest), found


def _down(build: Build, brake: EngineBrake, hill: Hill) -> Down:
    """What gears do at descent_speed, or at descent_engine_speed where that is slower."""
    most = _most_engine_speed(build)
    fastest = gearing.road_speed(most, brake.overall, brake.radius)
    speed = np.minimum(build.number("descent_speed")[..., None], fastest)
    road = hill.road(speed)
    force = brake.force(speed, hill.pull - road)
    left = np.maximum(hill.pull - road - force, 0.0)
    flat = hill.pull <= 0.0
    share = np.where(flat, 0.0, left / np.where(flat, 1.0, hill.pull))
    settling = np.full(np.shape(speed), np.nan) if brake.motor is not None else _settling(brake, hill)
    slowest = gearing.road_speed(brake.idle, brake.overall, brake.radius)
    at_idle = (settling >= 0.0) & (settling <= slowest * _ROUNDING)
    held = _held(brake, hill, fastest)
    return Down(speed, brake.engine_speed(speed), force, left, share, held, settling, at_idle)


def _held(brake: EngineBrake, hill: Hill, speed: Array) -> Array:
    """Grade that engine or motor, rolling resistance and air hold at a speed without brakes."""
    if brake.motor is None:
        force = brake.force(speed, hill.pull)
    else:
        force = engine_braking.regeneration_share(speed) * brake.motor_force(speed)
    beside = hill.road(speed) - road_loads.rolling_force(hill.mass, hill.rolling, hill.grade)
    return engine_braking.held_grade(np.maximum(force + beside, 0.0), hill.mass, hill.rolling)


def _of_gear(build: Build, down: Down, place: NDArray[np.intp]) -> dict[str, Value]:
    """The scalars, of the gear at that place."""
    gears, ranges = build.number("gear_ratios").shape[-1], build.number("transfer_ratios")
    transfer = np.take_along_axis(
        np.broadcast_to(ranges, (*place.shape, ranges.shape[-1])), place[..., None] // gears, axis=-1
    )
    left = down.left[..., 0]
    return {
        "descent_gear": place % gears + 1.0,
        "descent_transfer_ratio": transfer[..., 0],
        "settling_speed": down.settling[..., 0],
        "engine_brake_force": down.force[..., 0],
        "grade_held_back_percent": down.held[..., 0],
        "brake_share_percent": down.share[..., 0],
        "brake_power": road_loads.road_power(left * vehicle_share(build), down.speed[..., 0]),
        "brake_temperature_rise": _temperature_rise(build, left),
    }


def _energy(build: Build, hill: Hill) -> Array | None:
    height = build.known("descent_height")
    return None if height is None else brakes.fall_energy(hill.mass[..., 0], height)


def _heat(build: Build, left: Array) -> Array | None:
    """Energy that goes into the vehicle's brakes over the height, for a force left to all brakes. [J]"""
    height, grade = build.known("descent_height"), build.number("descent_grade_percent")
    if height is None:
        return None
    length = brakes.descent_length(height, np.maximum(grade, _LEAST_GRADE))
    return np.asarray(left * vehicle_share(build) * length)


_LITTLE = 0.01
_LEAST_GRADE = 1e-4
"""On the level no height is lost, and nothing is left to the brakes. [-]"""


def _temperature_rise(build: Build, left: Array) -> Array | None:
    """Of the discs of the hotter axle. [K]"""
    heat = _heat(build, left)
    if heat is None:
        return None
    front = build.number("brake_front_share")
    return brakes.temperature_rise(
        np.maximum(front, 1.0 - front) * heat, 0.5 * build.number("brake_disc_mass")
    )


def _cautions(build: Build, hill: Hill, down: Down, found: NDArray[np.bool_]) -> tuple[Caution, ...]:
    heat, most = _heat(build, down.left[..., 0]), _bearable(build)
    heat = np.zeros(()) if heat is None else heat
    motor = kind_of(build) == "motor"
    return (
        stop("brakes-overheat", _TOO_HOT, heat > most),
        check("brakes-hot", _HOT, (heat > _HALF * most) & (heat <= most)),
        check("no-gear-holds", _NONE_HOLDS, ~found),
        check("battery-full", _FULL, motor and build.word("battery_full") == "yes"),
        note("idle-holds", _AT_IDLE, down.at_idle[..., 0]),
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
    "No gear surely holds the hill at descent_speed without brakes: take the lowest gear and brake in short, firm "
    "spells, or choose another way down."
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


def _summary(build: Build, brake: EngineBrake | None, hill: Hill, result: dict[str, Value]) -> str:
    slope = f"{build.say(hill.grade[..., 0], units.PERCENT)} hill"
    neutral = _in_neutral(build, hill)
    share, gear = result["brake_share_percent"], result["descent_gear"]
    if brake is None or share is None or gear is None:
        return f"What the engine holds on the {slope} is not known: give {why_unknown(build).fields[0]}.{neutral}"
    speed = build.say(build.number("descent_speed"), units.SPEED)
    in_gear = f"{ordinal(int(np.asarray(gear)))} gear{in_range(build, np.asarray(result['descent_transfer_ratio']))}"
    if brake.motor is not None:
        left = build.say(share, units.PERCENT, 2)
        return f"In {in_gear} the brakes must take about {left} of the {slope} at {speed}.{neutral}"
    place, found = _choose(build, brake, hill)
    if found:
        return f"{in_gear} holds the {slope} at {_settles(build, brake.of_gear(place), hill)}.{neutral}"
    none = f"No gear surely holds the {slope} at {speed}"
    if np.asarray(share) < _LITTLE:
        return f"{none}: {in_gear} does by the estimate, with nothing to spare."
    rise = result["brake_temperature_rise"]
    if rise is None:
        return f"{none}: in {in_gear} the brakes must take about {build.say(share, units.PERCENT, 2)}."
    return f"{none}: in {in_gear} the brakes gain about {build.say(rise, units.TEMPERATURE_DIFFERENCE, 2)}."


def _settles(build: Build, brake: EngineBrake, hill: Hill) -> str:
    """The speeds between which a gear settles, by the band of the drag."""
    fast, slow = (float(_settling(brake.scaled(factor), hill)[..., 0]) for factor in engine_braking.DRAG_BAND)
    least, most = (build.say(speed, units.SPEED, 2) for speed in (slow, fast))
    return f"about {most}, idle speed" if least == most else f"about {least.split()[0]} to {most}"


def _in_neutral(build: Build, hill: Hill) -> str:
    """What the brakes would gain with nothing but them."""
    speed = build.number("descent_speed")[..., None]
    left = np.maximum(hill.pull - hill.road(speed), 0.0)[..., 0]
    heat, rise = _heat(build, left), _temperature_rise(build, left)
    if heat is None or rise is None:
        return ""
    if heat > _bearable(build):
        return " In neutral the brakes would overheat."
    return f" In neutral the brakes would gain about {build.say(rise, units.TEMPERATURE_DIFFERENCE, 2)}."


def _bearable(build: Build) -> Array:
    """Heat of the regulation's downhill for the vehicle's own mass, which its brakes are made for. [J]"""
    return brakes.yardstick_energy(build.number("vehicle_mass"))


def _table(build: Build, brake: EngineBrake | None, hill: Hill) -> tuple[Column, ...]:
    columns = gear_columns(build)[:2]
    names = QUESTION.table[2:]
    if brake is None:
        unknown = np.full(len(columns[0].values), np.nan)
        return (*columns, *(column(name, unknown) for name in names))
    down = _down(build, brake, hill)
    values = (down.engine_speed, down.force, down.held, down.settling, down.share)
    return (*columns, *(column(name, each) for name, each in zip(names, values, strict=True)))


def _curve(build: Build, brake: EngineBrake | None, hill: Hill) -> Curve:
    """The grade that each gear holds, by road speed, from idle to redline."""
    grade, speed = hill.grade[..., 0], build.number("descent_speed")
    limit = _HEADROOM * max(float(grade), 0.1)
    lines = () if brake is None else _gear_lines(build, brake, hill, limit)
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
    lines = []
    low = _low(build)
    gears = build.number("gear_ratios").shape[-1]
    for place in range(brake.overall.shape[-1]):
        of_gear = brake.of_gear(np.array(place))
        slow, fast = (
            gearing.road_speed(turning, of_gear.overall, brake.radius)[0]
            for turning in (brake.idle, brake.redline)
        )
        speeds = np.linspace(slow, fast, _POINTS)
        held = _held(of_gear, hill, speeds)
        shown = held <= limit
        if np.count_nonzero(shown) > 1:
            label = f"{'low ' if low[place] else ''}gear {place % gears + 1}"
            lines.append(Line(label, "gear", speeds[shown], held[shown]))
    return tuple(lines)


def _absent(build: Build) -> dict[str, Absent]:
    lacking = why_unknown(build).fields
    height = () if build.given("descent_height") else ("descent_height",)
    of_engine = needs(*lacking) if lacking else OUT_OF_RANGE
    known = dict.fromkeys(QUESTION.results, of_engine)
    if kind_of(build) == "motor":
        known["settling_speed"] = DOES_NOT_APPLY
    return known | {
        "brake_temperature_rise": needs(*lacking, *height),
        "descent_energy": needs(*height),
    }


QUESTION = Question(
    name="descent",
    asks="Which gear and range hold it downhill, where does it settle, and what must the brakes take?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass", "descent_grade_percent"),
    uses=(
        "ring_teeth",
        "pinion_teeth",
        "hub_ratio",
        "transfer_ratios",
        "rolling_factor",
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
        loads=["330:45:40", "440:110:45"],
        trailer_mass=3100,
        descent_grade_percent=14,
        descent_height=2950,
        descent_speed=20,
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
