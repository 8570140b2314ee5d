"""How quickly does it gain speed, overtake and start on a hill?"""

import numpy as np

from gearing_api import units
from gearing_api.answer import (
    OUT_OF_RANGE,
    Absent,
    Answer,
    Axis,
    Caution,
    Column,
    Curve,
    Line,
    Question,
    Role,
    Source,
    Value,
    check,
    column,
    needs,
    note,
)
from gearing_api.build import Build
from gearing_api.mechanics import motion, traction
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.motion import Run
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import RATIO_FIELDS, SURFACES, adhesion, require_idle_below_redline
from gearing_api.vehicle.engine import engine_needs
from gearing_api.vehicle.gearbox import CONVERTER, loss_sources
from gearing_api.vehicle.grip import GRIP_FIELDS, grip_force_of, grip_grade_of
from gearing_api.vehicle.loads import train_mass
from gearing_api.vehicle.motion import (
    INERTIA,
    MOTION_FIELDS,
    OVERTAKING_FIELDS,
    SHIFTS,
    Motion,
    motion_of,
    overtaking_ends,
)
from gearing_api.vehicle.resistance import rolling_resistance
from gearing_api.vehicle.tyre import ROLLING, size_cautions

_RUN = Source(
    "acceleration = (drive - road load) / mass with what turns; each gear to its highest engine speed, or to where "
    "the next pulls more; below idle speed the clutch slips at the torque of idle",
    "published",
    "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 2",
)
_OVERTAKING = Source(
    "overtaking: from the speed of the other vehicle, up to 20 mph faster, until overtaken_length is gained; nothing "
    "for the driver's reaction or for oncoming traffic",
    "published",
    "University of Idaho, transportation laboratory, example of passing distance: lengths and gaps; relative motion",
)
_NOT_A_RACE = note(
    "full-load-without-traffic",
    "Times are at full load on a level, dry road, without reaction time: leave far more room to overtake. Similar "
    "formulas miss measured times by a fifth either way.",
)

_ROWS = 13


def answer(build: Build) -> Answer:
    """Times and distances as scalars; the run in the table."""
    require_idle_below_redline(build)
    start, end = build.number("from_speed"), build.number("to_speed")
    if build.given("to_speed"):
        build.require(start < end, "to_speed", "must be above from_speed")
    else:
        build.require(
            start < end, "from_speed", "must be below to_speed, 60 mph (97 km/h) if that is not given"
        )
    friction = adhesion(build, "low")
    made = motion_of(build, grip_force_of(build, friction))
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    cautions: tuple[Caution, ...] = (*size_cautions(build.tyre().size), _NOT_A_RACE)
    sources: tuple[Source, ...] = ()
    if made is not None:
        upshifts = made.upshifts()
        run, found = _runs(build, made, upshifts, start, end, friction)
        result |= found
        cautions = (*cautions, *_cautions(result), *made.cautions, *made.engine.cautions)
        cautions = (*cautions, *made.resistance.cautions)
        sources = (*made.resistance.sources, *made.engine.sources, *([CONVERTER] if made.converter else []))
    return Answer(
        result,
        sources=(ROLLING, _RUN, INERTIA, SHIFTS, _OVERTAKING, SURFACES, *loss_sources(build), *sources),
        summary=lambda: _summary(build, result),
        cautions=cautions,
        absent=_absent(build, made),
        table=None if made is None else lambda: _table(made, upshifts, run, start, end),
        picture=None if made is None else lambda: _curve(build, run),
    )


def _runs(
    build: Build, made: Motion, upshifts: Array, start: Array, end: Array, friction: Array
) -> tuple[Run, dict[str, Value]]:
    other = build.number("overtaken_speed")
    (run, past), standing = made.runs([(start, end), overtaking_ends(build, upshifts)], upshifts)
    time, distance = motion.gaining(past, other, build.number("overtaken_length"))
    reached, gained = np.isfinite(run.time[..., -1]), np.isfinite(time)
    reached &= ~beyond(end, upshifts[..., -1])
    return run, {
        "acceleration_time": np.where(reached, run.time[..., -1], np.nan),
        "acceleration_distance": np.where(reached, run.distance[..., -1], np.nan),
        "overtaking_time": np.where(gained, time, np.nan),
        "overtaking_distance": np.where(gained, distance, np.nan),
        **_launch(build, standing, friction),
    }


def _launch(build: Build, standing: Array, friction: Array) -> dict[str, Value]:
    """Steepest grade on which it starts in high range, and what ends it."""
    rolling = rolling_resistance(build, off_road=True)
    engine = traction.climbable_grade(standing, train_mass(build), rolling)
    grip = grip_grade_of(build, friction)
    grade = np.minimum(engine, grip)
    return {
        "launch_grade_percent": np.where(grade >= traction.STEEPEST_GRADE, np.inf, grade),
        "launch_limited_by": np.where(engine < grip, "engine", "grip"),
    }


def _cautions(result: dict[str, Value]) -> tuple[Caution, ...]:
    time, other = np.asarray(result["acceleration_time"]), np.asarray(result["overtaking_time"])
    return (
        check(
            "speed-not-reached",
            "At full load on the level it does not reach the speed wanted (to_speed).",
            np.isnan(time),
        ),
        check(
            "does-not-overtake",
            "It does not gain the distance wanted (overtaken_length) on the vehicle ahead: do not plan to overtake.",
            np.isnan(other),
        ),
    )


def _summary(build: Build, result: dict[str, Value]) -> str:
    time, grade = result["acceleration_time"], result["launch_grade_percent"]
    if time is None or grade is None:
        return "How quickly it gains speed is not known without the engine."
    start, end = (
        build.number(name) / units.SPEED.factor(build.system) for name in ("from_speed", "to_speed")
    )
    unit = units.SPEED.unit(build.system)
    text = f"Does not reach {end:.3g} {unit}."
    if np.isfinite(np.asarray(time)):
        text = f"{start:.3g} to {end:.3g} {unit} takes about {build.say(time, units.TIME, 2)}."
    other = np.asarray(result["overtaking_time"])
    if np.isfinite(other):
        return (
            f"{text} Overtaking at {build.say(build.number('overtaken_speed'), units.SPEED)} takes about "
            + (f"{build.say(other, units.TIME, 2)} without reaction time.")
        )
    return f"{text} It does not overtake at {build.say(build.number('overtaken_speed'), units.SPEED)}."


def _absent(build: Build, made: Motion | None) -> dict[str, Absent]:
    if made is None:
        return dict.fromkeys(QUESTION.results, needs(*engine_needs(build)))
    return dict.fromkeys(QUESTION.results, OUT_OF_RANGE)


def _rows(made: Motion, upshifts: Array, run: Run, start: Array, end: Array) -> list[Array]:
    """Speed, time, distance, place of the gear, force and acceleration at even steps of speed, of one build."""
    speed = start + (end - start) * (np.arange(_ROWS) / (_ROWS - 1.0))
    after = np.minimum(np.searchsorted(run.speed, speed, side="left"), run.speed.size - 1)
    before = np.maximum(after - 1, 0)
    span = run.speed[after] - run.speed[before]
    part = np.where(span > 0.0, (speed - run.speed[before]) / np.where(span > 0.0, span, 1.0), 0.0)
    known = []
    for state in (run.time, run.distance):
        finite = np.where(np.isfinite(state), state, np.nan)
        known.append(finite[before] + part * (finite[after] - finite[before]))
    place = np.minimum(np.searchsorted(upshifts, speed, side="right"), made.gears - 1)
    force = np.minimum(made.pull(speed, place), made.grip)
    return [speed, *known, place, force, made.acceleration(speed, place)]


def _table(made: Motion, upshifts: Array, run: Run, start: Array, end: Array) -> tuple[Column, ...]:
    speed, time, distance, place, force, acceleration = _rows(made, upshifts, run, start, end)
    return (
        column("road_speed", speed),
        column("gear", place + 1.0),
        column("tractive_force", force),
        column("acceleration", acceleration),
        column("elapsed_time", time),
        column("covered_distance", distance),
    )


def _curve(build: Build, run: Run) -> Curve:
    """Road speed by time, now and before the change."""
    return Curve(
        title="Speed gained",
        about=f"axle {build.say(build.number('axle_ratio'), units.NUMBER)}, full load, level",
        x=Axis("time", units.TIME),
        y=Axis("road speed", units.SPEED),
        lines=(*_before(build), _line("now", "path", run)),
    )


def _before(build: Build) -> tuple[Line, ...]:
    if not build.has_original(QUESTION.fields):
        return ()
    original = build.original()
    if original.missing(QUESTION.needs):
        return ()
    made = motion_of(original, grip_force_of(original, adhesion(original, "low")))
    if made is None:
        return ()
    (run,), _ = made.runs([(build.number("from_speed"), build.number("to_speed"))], made.upshifts())
    return (_line("before", "before", run),)


def _line(label: str, role: Role, run: Run) -> Line:
    known = np.isfinite(run.time)
    return Line(label, role, run.time[known], run.speed[known])


QUESTION = Question(
    name="acceleration",
    asks="How quickly does it gain speed, overtake and start on a hill?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass"),
    uses=(
        *RATIO_FIELDS,
        *MOTION_FIELDS,
        "from_speed",
        "to_speed",
        *OVERTAKING_FIELDS,
        *GRIP_FIELDS,
    ),
    results=(
        "acceleration_time",
        "acceleration_distance",
        "overtaking_time",
        "overtaking_distance",
        "launch_grade_percent",
        "launch_limited_by",
    ),
    main="acceleration_time",
    row="road",
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
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
    ),
    table=(
        "road_speed",
        "gear",
        "tractive_force",
        "acceleration",
        "elapsed_time",
        "covered_distance",
    ),
    draws=True,
    crossed=("gear_ratios",),
)
