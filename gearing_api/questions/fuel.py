"""What does it use at a steady speed and over a week, before and after?"""

from typing import NamedTuple

import numpy as np

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
)
from gearing_api.build import Build, ordinal
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.consumption import (
    CONSUMPTION_FIELDS,
    ELECTRIC,
    MEASURED_FIELDS,
    WILLANS,
    Consumption,
    consumption_of,
    scale_of,
)
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import RATIO_FIELDS, require_idle_below_redline
from gearing_api.vehicle.engine import in_speeds
from gearing_api.vehicle.gearbox import gear_number
from gearing_api.vehicle.loads import CARGO_FIELDS
from gearing_api.vehicle.tyre import ROLLING, size_cautions

SPREADS = {"petrol": (0.92, 1.09), "diesel": (0.91, 1.10), "electric": (0.91, 1.18)}
"""Estimate / measured value of 5 and 95 % of the vehicles that the estimate was fitted to. [-]"""

READING_SPREAD = (0.95, 1.05)
"""The same of a change of tyre or body on one vehicle, where the estimate is scaled to a reading. [-]"""

CHANGE_SPREAD = 0.035
"""Error of a change, either way, of 90 % of pairs of vehicles that differ in the axle alone. [-]"""

_OF_FUEL = ("fuel_economy", "fuel_per_distance", "mix_fuel_economy", "mix_fuel_per_distance")
_ESTIMATE = note(
    "fuel-estimate",
    "Steady speeds on level, paved road, engine warm: stops, hills, wind, soft ground and air conditioning take more.",
)
_READ_BEFORE = note(
    "reading-before",
    "The measured fuel is taken as read before the change: the estimate after it is scaled to it.",
)
_READING_UNUSED = note("reading-unused", "The reading of fuel is not used for an electric vehicle.")
_LITTLE = note(
    "within-the-error",
    "The change is smaller than what the estimate can tell: 3.5 points either way.",
)
_NOT_HELD = (
    "No gear holds the cruise speed, or a speed of the week's driving (fuel_mix), on the level: its "
    "consumption is not known."
)
_STEPS = 41


class _Figures(NamedTuple):
    """Energy over a distance at cruise_speed and over fuel_mix, scaled to a reading. [J/m]"""

    cruise: Array
    mix: Array


def answer(build: Build) -> Answer:
    """Consumption at cruise_speed and over the mix as scalars; every gear and speed in the table."""
    require_idle_below_redline(build)
    made = consumption_of(build)
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    if made is None:
        return _unknown(build, result)
    original = build.original() if build.has_original(QUESTION.fields) else None
    before = None if original is None or original.missing(QUESTION.needs) else consumption_of(original)
    scale = scale_of(build if before is None else before.build, made if before is None else before)
    now = _figures(made, scale)
    result |= _results(build, made, now)
    if before is not None:
        result["fuel_change_percent"] = now.cruise / _figures(before, scale).cruise - 1.0
        build.take_original_account(before.build)
    spread = _spread(made, scale)
    return Answer(
        result,
        sources=(
            ROLLING,
            *made.resistance.sources,
            ELECTRIC if made.electric else WILLANS,
            *_of_engine(made),
        ),
        summary=lambda: _summary(build, made, result),
        cautions=(*size_cautions(build.tyre().size), *_cautions(build, made, result, before is not None)),
        absent=_absent(build, made, before is not None),
        table=lambda: _table(build, made, scale),
        picture=lambda: _curve(build, made, before, scale),
        ranges=_ranges(made, result, spread),
    )


def _unknown(build: Build, result: dict[str, Value]) -> Answer:
    return Answer(
        result,
        sources=(WILLANS,),
        summary=lambda: "What it uses is not known: give the engine's displacement (engine_displacement).",
        cautions=size_cautions(build.tyre().size),
        absent=dict.fromkeys(QUESTION.results, needs("engine_displacement")),
    )


def _figures(made: Consumption, scale: Array | None) -> _Figures:
    cruise, mix = made.at(made.build.number("cruise_speed")[..., None])[..., 0], made.mix()
    return _Figures(cruise, mix) if scale is None else _Figures(cruise * scale, mix * scale)


def _results(build: Build, made: Consumption, now: _Figures) -> dict[str, Value]:
    result: dict[str, Value] = {"energy_per_distance": now.cruise}
    store = build.known("battery_energy" if made.electric else "tank_volume")
    if not made.electric:
        per, mix = now.cruise / made.energy, now.mix / made.energy
        result |= {
            "fuel_economy": 1.0 / per,
            "fuel_per_distance": per,
            "mix_fuel_economy": 1.0 / mix,
            "mix_fuel_per_distance": mix,
        }
    if store is not None:
        result["range_distance"] = (store if made.electric else store * made.energy) / now.mix
    return result


def _spread(made: Consumption, scale: Array | None) -> tuple[float, float]:
    """Estimate / true value, lowest and highest."""
    if scale is not None:
        return READING_SPREAD
    return SPREADS["electric" if made.electric else "diesel" if made.diesel else "petrol"]


def _ranges(
    made: Consumption, result: dict[str, Value], spread: tuple[float, float]
) -> dict[str, tuple[Value, Value]]:
    """The spread is one of distance by fuel, of an electric vehicle of energy by distance."""
    low, high = spread
    ranges: dict[str, tuple[Value, Value]] = {}
    for name, value in result.items():
        if value is None:
            continue
        number = np.asarray(value)
        if name == "fuel_change_percent":
            ranges[name] = (number - CHANGE_SPREAD, number + CHANGE_SPREAD)
        elif ("economy" in name or name == "range_distance") is not made.electric:
            ranges[name] = (number / high, number / low)
        else:
            ranges[name] = (number * low, number * high)
    return ranges


def _of_engine(made: Consumption) -> tuple[Source, ...]:
    return () if made.engine is None else made.engine.sources


def _cautions(
    build: Build, made: Consumption, result: dict[str, Value], changed: bool
) -> tuple[Caution, ...]:
    energy = np.asarray(result["energy_per_distance"])
    mix = np.asarray(made.mix())
    cautions = [_ESTIMATE, check("speed-not-held", _NOT_HELD, np.isnan(energy) | np.isnan(mix))]
    read = any(map(build.given, MEASURED_FIELDS))
    if read and made.electric:
        cautions.append(_READING_UNUSED)
    elif read and changed:
        cautions.append(_READ_BEFORE)
    if changed:
        change = np.abs(np.asarray(result["fuel_change_percent"]))
        cautions.append(_LITTLE._replace(where=change < CHANGE_SPREAD))
    return (*cautions, *made.resistance.cautions)


def _summary(build: Build, made: Consumption, result: dict[str, Value]) -> str:
    name = (
        "energy_per_distance"
        if made.electric
        else "fuel_economy"
        if build.system == "us"
        else "fuel_per_distance"
    )
    quantity = {
        "energy_per_distance": units.ENERGY_PER_DISTANCE,
        "fuel_economy": units.FUEL_ECONOMY,
        "fuel_per_distance": units.FUEL_PER_DISTANCE,
    }[name]
    speed = build.say(build.number("cruise_speed"), units.SPEED)
    value = np.asarray(result[name])
    if not np.isfinite(value):
        return f"No gear holds {speed} on the level."
    text = f"About {build.say(value, quantity, 2)} at a steady {speed} on the level, more in traffic, hills and wind"
    if name == "fuel_economy":
        text = text.replace("more in", "less in")
    change = result["fuel_change_percent"]
    if change is None or not np.isfinite(np.asarray(change)):
        return f"{text}."
    part, what = float(np.asarray(change)), "energy" if made.electric else "fuel"
    if abs(part) < CHANGE_SPREAD:
        return f"{text}; the change in {what} is too small to tell."
    more = "more" if part > 0.0 else "less"
    return f"{text}; about {build.say(abs(part), units.PERCENT, 2)} {more} {what} than before."


def _absent(build: Build, made: Consumption, changed: bool) -> dict[str, Absent]:
    absent = dict.fromkeys(QUESTION.results, OUT_OF_RANGE)
    if made.electric:
        absent |= dict.fromkeys(_OF_FUEL, DOES_NOT_APPLY)
    store = "battery_energy" if made.electric else "tank_volume"
    if not build.given(store):
        absent["range_distance"] = needs(store)
    if not changed:
        absent["fuel_change_percent"] = needs("original_tyre", "original_axle_ratio")
    return absent


def _table(build: Build, made: Consumption, scale: Array | None) -> tuple[Column, ...]:
    """Every gear of high range at cruise_speed and the speeds of fuel_mix, where the engine turns as it may."""
    mix = build.number("fuel_mix")[..., 0]
    speeds = np.unique(np.append(mix, build.number("cruise_speed")))
    gears = np.arange(made.chain.gears)
    speed, place = np.repeat(speeds, gears.size), np.tile(gears, speeds.size)
    turning, energy = made.in_gear(speed, place)
    runs = in_speeds(build, turning)
    place, speed, turning, energy = place[runs], speed[runs], turning[runs], energy[runs]
    energy = energy if scale is None else energy * scale
    volume = np.full(energy.shape, np.nan) if made.electric else energy / made.energy
    return (
        column("gear", gear_number(build, place)),
        column("transfer_ratio", np.full(place.shape, build.number("transfer_ratios")[0])),
        column("road_speed", speed),
        column("engine_speed", turning),
        column("fuel_economy", 1.0 / volume),
        column("fuel_per_distance", volume),
        column("energy_per_distance", energy),
    )


def _curve(build: Build, made: Consumption, before: Consumption | None, scale: Array | None) -> Curve | None:
    """Consumption by road speed in each gear of high range, and before the change in the gear that holds.

    Nothing where the reading it is scaled to was not taken in any gear.
    """
    if scale is not None and not np.isfinite(scale):
        return None
    quantity = units.ENERGY_PER_DISTANCE if made.electric else units.FUEL_PER_DISTANCE
    last = 1.2 * float(build.number("cruise_speed"))
    speed = np.asarray(last * (0.2 + 0.8 * np.arange(_STEPS) / (_STEPS - 1.0)))
    lines = [*filter(None, (_line(made, speed, place, scale) for place in range(made.chain.gears)))]
    if before is not None:
        energy = before.at(speed) * (1.0 if scale is None else scale)
        known = np.isfinite(energy)
        lines.append(Line("before", "before", speed[known], _shown(before, energy[known])))
    return Curve(
        title="Energy by speed" if made.electric else "Fuel by speed",
        about=f"axle {build.say(build.number('axle_ratio'), units.NUMBER)}, steady, level",
        x=Axis("road speed", units.SPEED),
        y=Axis("energy over distance" if made.electric else "fuel over distance", quantity),
        lines=tuple(lines),
    )


def _line(made: Consumption, speed: Array, place: int, scale: Array | None) -> Line | None:
    turning, energy = made.in_gear(speed, np.full(speed.shape, place))
    runs = in_speeds(made.build, turning)
    if not runs.any():
        return None
    energy = energy[runs] * (1.0 if scale is None else scale)
    return Line(ordinal(place + 1), "gear", speed[runs], _shown(made, energy))


def _shown(made: Consumption, energy: Array) -> Array:
    """Energy over a distance, or the fuel that holds it."""
    return energy if made.electric else energy / made.energy


QUESTION = Question(
    name="fuel",
    asks="What does it use at a steady speed and over a week, before and after?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass"),
    uses=(
        "original_tyre",
        "original_axle_ratio",
        *RATIO_FIELDS,
        *CONSUMPTION_FIELDS,
        *CARGO_FIELDS,
        "cruise_speed",
        "fuel_mix",
        *MEASURED_FIELDS,
        "measured_at_speed",
        "tank_volume",
        "battery_energy",
    ),
    results=(
        *_OF_FUEL[:2],
        "energy_per_distance",
        *_OF_FUEL[2:],
        "range_distance",
        "fuel_change_percent",
    ),
    main="energy_per_distance",
    row="road",
    spoken="fuel_economy",
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "original_tyre",
        "original_axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "idle_speed",
        "redline_speed",
        "peak_torque",
        "peak_torque_speed",
        "peak_power",
        "peak_power_speed",
        "engine_displacement",
        "altitude",
        "vehicle_mass",
        "cruise_speed",
        tank_volume=21,
    ),
    table=(
        "gear",
        "transfer_ratio",
        "road_speed",
        "engine_speed",
        "fuel_economy",
        "fuel_per_distance",
        "energy_per_distance",
    ),
    draws=True,
    crossed=("gear_ratios", "transfer_ratios", "fuel_mix"),
)
