"""Road speed against engine speed in every gear and range."""

import math
from collections.abc import Iterator

import numpy as np

from gearing_api import units
from gearing_api.answer import Answer, At, Axis, Column, Question, Source, Span, Spans, check, column, note
from gearing_api.build import Build, ordinal
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.engines import full_load_torque
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import (
    RATIO_FIELDS,
    gear_columns,
    overall_ratio,
    overall_ratios,
    require_idle_below_redline,
)
from gearing_api.vehicle.engine import ENGINE_FIELDS, engine_of
from gearing_api.vehicle.gearbox import LOSS_FIELDS
from gearing_api.vehicle.reach import Reach, reach_of
from gearing_api.vehicle.resistance import RESISTANCE_FIELDS
from gearing_api.vehicle.tyre import ROLLING, size_cautions, speed_symbol

_THOUSAND = units.number("1000 rpm", units.ROTATION, "us")
_STEP = units.number("500 rpm", units.ROTATION, "us")
_STEPS = 200
_NEAR_PEAK = 0.9
"""Share of the peak torque above which a picture shows it as near its peak. [-]"""

_SPEED = Source(
    "road speed = engine speed x rolling circumference / overall ratio, no slip",
    "published",
    "UN GTR 15 (2019), Annex 7, par. 8",
)


def answer(build: Build) -> Answer:
    """Top gear in high range as scalars; every gear and range in the table."""
    tyre = build.tyre()
    redline, cruise = build.number("redline_speed"), build.number("cruise_speed")
    require_idle_below_redline(build)
    top = overall_ratio(build, build.number("transfer_ratios")[..., 0], build.number("gear_ratios")[..., -1])
    top_speed = gearing.road_speed(redline, top, tyre.rolling_radius)
    cruise_engine_speed = gearing.engine_speed(cruise, top, tyre.rolling_radius)
    return Answer(
        result={
            "speed_per_1000": gearing.road_speed(_THOUSAND, top, tyre.rolling_radius),
            "top_speed": top_speed,
            "cruise_engine_speed": cruise_engine_speed,
        },
        sources=(ROLLING, _SPEED),
        summary=lambda: _summary(build, cruise_engine_speed, top_speed),
        cautions=(
            *size_cautions(tyre.size),
            note(
                "geometry-only",
                "Top speed is where the engine reaches redline; whether it has the power is the question cruise.",
            ),
            check(
                "cruise-above-redline",
                "In top gear the cruise speed needs more than the redline (redline_speed).",
                beyond(cruise_engine_speed, redline),
            ),
            *speed_symbol(build, tyre.size, top_speed),
        ),
        table=lambda: _table(build),
        picture=lambda: _spans(build),
    )


def _summary(build: Build, engine_speed: Array, top_speed: Array) -> str:
    cruise = build.say(build.number("cruise_speed"), units.SPEED)
    turns, most = build.say(engine_speed, units.ROTATION), build.say(top_speed, units.SPEED)
    return f"Top gear turns the engine {turns} at {cruise}; redline would be {most}, power permitting."


def _table(build: Build) -> tuple[Column, ...]:
    overall, radius = overall_ratios(build), build.tyre().rolling_radius
    gears, transfer = build.number("gear_ratios"), build.number("transfer_ratios")
    redline = build.number("redline_speed")
    shape = (len(transfer), len(gears))
    after = np.full(shape, math.nan)
    after[:, :-1] = gearing.engine_speed_after_shift(redline, gears[:-1], gears[1:])
    return (
        *gear_columns(build),
        column("overall_ratio", overall.ravel()),
        column("speed_per_1000", gearing.road_speed(_THOUSAND, overall, radius).ravel()),
        column("top_speed", gearing.road_speed(redline, overall, radius).ravel()),
        column(
            "cruise_engine_speed", gearing.engine_speed(build.number("cruise_speed"), overall, radius).ravel()
        ),
        column("engine_speed_after_upshift", after.ravel()),
        *(
            Column(
                f"engine_speed_at_{_label(speed, units.SPEED, build)}",
                units.ROTATION,
                gearing.engine_speed(speed, overall, radius).ravel(),
            )
            for speed in np.atleast_1d(_given(build, "road_speeds"))
        ),
        *(
            Column(
                f"speed_at_{_label(speed, units.ROTATION, build)}",
                units.SPEED,
                gearing.road_speed(speed, overall, radius).ravel(),
            )
            for speed in _engine_speeds(build)
        ),
    )


def _spans(build: Build) -> Spans | None:
    """Every gear from idle to where it ends, and top gear before the change, with the engine speed at cruise.

    Nothing where no gear turns.
    """
    reach, cruise = reach_of(build), float(build.number("cruise_speed"))
    spans = list(_gears(build, reach, cruise))
    if build.given("original_tyre") or build.given("original_axle_ratio"):
        original = build.original()
        for top in list(_gears(original, reach_of(original), cruise, high_alone=True))[-1:]:
            spans.append(top._replace(label=f"{top.label} before", before=True))
    if not spans:
        return None
    return Spans(
        "Road speed of each gear, idle to its end",
        Axis("road speed", units.SPEED),
        tuple(spans),
        f"{100.0 * _NEAR_PEAK:.0f} % of peak torque or more",
        f"engine at {build.say(cruise, units.SPEED)}",
        At(cruise, build.say(cruise, units.SPEED)),
        _end(build, reach),
    )


def _gears(build: Build, reach: Reach, cruise: float, *, high_alone: bool = False) -> Iterator[Span]:
    """The gears, low range first, that turn at all between idle and their end."""
    radius, idle = build.tyre().rolling_radius, float(build.number("idle_speed"))
    strong, ranges = _strong_speeds(build), len(reach.speed)
    for place in (0,) if high_alone else (*range(1, ranges), 0):
        for number, (overall, fastest) in enumerate(
            zip(reach.overall[place], reach.speed[place].tolist(), strict=True)
        ):
            slowest = float(gearing.road_speed(idle, overall, radius))
            turning = float(gearing.engine_speed(cruise, overall, radius))
            if beyond(fastest, slowest):
                yield Span(
                    f"{_range_name(place, ranges)}{ordinal(number + 1)}",
                    slowest,
                    fastest,
                    None
                    if strong is None
                    else _within(gearing.road_speed(strong, overall, radius), slowest, fastest),
                    build.say(turning, units.ROTATION)
                    if not beyond(slowest, cruise) and not beyond(cruise, fastest)
                    else "",
                )


def _within(stretch: Array, low: float, high: float) -> tuple[float, float] | None:
    start, end = max(low, float(stretch[0])), min(high, float(stretch[1]))
    return (start, end) if start < end else None


def _range_name(place: int, ranges: int) -> str:
    return "" if place == 0 else "low " if ranges == 2 else f"low {place} "


def _end(build: Build, reach: Reach) -> At | None:
    """What ends the fastest gear before redline does: the power on the level, or the tyre's speed symbol."""
    power = np.inf if reach.power is None else reach.power
    tyre = np.inf if reach.tyre is None else reach.tyre
    at = min(power, tyre)
    if beyond(at, reach.speed.max()):
        return None
    name = "power ends" if power < tyre else f"speed symbol {build.tyre().size.speed_symbol}"
    return At(at, f"{name}, {build.say(at, units.SPEED)}")


def _strong_speeds(build: Build) -> Array | None:
    """The engine speeds between which torque is near its peak, None where the engine is not known. [rad/s]"""
    engine = engine_of(build.again())
    if engine is None:
        return None
    idle, redline = (float(build.number(name)) for name in ("idle_speed", "redline_speed"))
    above_rest = 1e-9
    turning = np.maximum(idle + (redline - idle) * np.arange(_STEPS + 1) / _STEPS, above_rest)
    torque = full_load_torque(engine.full_load, turning)
    strong = turning[~beyond(_NEAR_PEAK * torque.max(), torque)]
    return np.stack([strong[0], strong[-1]])


def _given(build: Build, name: str) -> Array:
    known = build.known(name)
    return np.array([]) if known is None else known


def _label(value: float, quantity: units.Quantity, build: Build) -> str:
    return f"{value / quantity.factor(build.system):.6g}_{quantity.unit(build.system).replace('/', '')}"


def _engine_speeds(build: Build) -> Array:
    """The grid given, else every 500 rpm between idle and redline, with both."""
    given = build.known("engine_speeds")
    if given is not None:
        return given
    idle, redline = float(build.number("idle_speed")), float(build.number("redline_speed"))
    inner = _STEP * np.arange(math.ceil(idle / _STEP * 1.02), math.floor(redline / _STEP * 0.98) + 1)
    build.assume("engine_speeds", grid := np.array([idle, *inner, redline]))
    return grid


QUESTION = Question(
    name="road-speed",
    asks="How do road speed and engine speed go together in every gear and range?",
    needs=("tyre", "axle_ratio", "gear_ratios"),
    uses=(
        *RATIO_FIELDS,
        "idle_speed",
        "redline_speed",
        "cruise_speed",
        "engine_speeds",
        "road_speeds",
        "original_tyre",
        "original_axle_ratio",
        "vehicle_mass",
        "altitude",
        "cruise_reserve_percent",
        *ENGINE_FIELDS,
        *LOSS_FIELDS,
        *RESISTANCE_FIELDS,
    ),
    results=("speed_per_1000", "top_speed", "cruise_engine_speed"),
    main="cruise_engine_speed",
    row="road",
    leads=True,
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "idle_speed",
        "redline_speed",
        engine_speeds="1000:5000:1000",
    ),
    table=(
        "transfer_ratio",
        "gear",
        "gear_ratio",
        "overall_ratio",
        "speed_per_1000",
        "top_speed",
        "cruise_engine_speed",
        "engine_speed_after_upshift",
    ),
    draws=True,
)
