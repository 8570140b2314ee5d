"""Road speed against engine speed in every gear and range."""

import math

import numpy as np

from gearing_api import units
from gearing_api.answer import Answer, Axis, Column, Curve, Line, Question, Source, check, column, note
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import (
    RATIO_FIELDS,
    gear_columns,
    overall_ratio,
    overall_ratios,
    require_idle_below_redline,
)
from gearing_api.vehicle.tyre import ROLLING, size_cautions, speed_symbol

_THOUSAND = units.number("1000 rpm", units.ROTATION, "us")
_STEP = units.number("500 rpm", units.ROTATION, "us")
_MOST_SPEEDS = 100

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
                "top_speed is where the engine reaches redline; whether it has the power "
                "is the question cruise.",
            ),
            check(
                "cruise-above-redline",
                "In top gear cruise_speed needs more than redline_speed.",
                cruise_engine_speed > redline,
            ),
            *speed_symbol(build, tyre.size, top_speed),
        ),
        table=lambda: _table(build),
        picture=lambda: _curve(build, overall_ratios(build)[0]),
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


def _curve(build: Build, overall: Array) -> Curve:
    """The gears of high range, the way up through them at redline, and top gear before the change."""
    tyre, cruise = build.tyre(), build.number("cruise_speed")
    span = np.stack([build.number("idle_speed"), build.number("redline_speed")])
    gears = gearing.road_speed(span, overall[:, None], tyre.rolling_radius)
    turning = gearing.engine_speed(cruise, overall[-1], tyre.rolling_radius)
    return Curve(
        title="Road speed and engine speed, gear by gear",
        about=f"{tyre.size.designation}, axle ratio {build.number('axle_ratio'):.2f}, high range",
        x=Axis("road speed", units.SPEED),
        y=Axis("engine speed", units.ROTATION),
        lines=(
            *(Line(f"gear {place + 1}", "gear", speeds, span) for place, speeds in enumerate(gears)),
            _upshifts(gears, overall, span),
            *_before(build, span),
            Line("cruise in top gear", "mark", np.stack([cruise]), np.stack([turning])),
        ),
    )


def _upshifts(gears: Array, overall: Array, span: Array) -> Line:
    """Each gear to redline, then down to the engine speed of the next at the same road speed."""
    after = gearing.engine_speed_after_shift(span[1], overall[:-1], overall[1:])
    return Line(
        "upshifts at redline",
        "path",
        np.concatenate([gears[:1, 0], np.repeat(gears[:, 1], 2)[:-1]]),
        np.concatenate(
            [span[:1], np.stack([np.full(after.shape, span[1]), after], axis=-1).ravel(), span[1:]]
        ),
    )


def _before(build: Build, span: Array) -> tuple[Line, ...]:
    """Top gear of the original tyre and axle, where either was given."""
    if not (build.given("original_tyre") or build.given("original_axle_ratio")):
        return ()
    axle = build.number("original_axle_ratio") * build.number("hub_ratio")
    overall = axle * build.number("transfer_ratios")[0] * build.number("gear_ratios")[-1]
    speeds = gearing.road_speed(span, overall, build.tyre("original_tyre").rolling_radius)
    return (Line("top gear before", "before", speeds, span),)


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
    build.assume("engine_speeds", grid := np.array([idle, *inner[:_MOST_SPEEDS], redline]))
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
    ),
    results=("speed_per_1000", "top_speed", "cruise_engine_speed"),
    main="cruise_engine_speed",
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
