"""How slowly does it creep, how hard does it pull there, what grade does it climb, and what is the limit?"""

from functools import partial

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics import gearing, traction
from gearing_api.mechanics.domain import Array
from gearing_api.questions.answer import Answer, Caution, Column, Question, Source, Value, column, not_known
from gearing_api.questions.demo import truck
from gearing_api.questions.drivetrain import (
    SURFACES,
    adhesion,
    engine_torque,
    gear_columns,
    overall_ratios,
    require_idle_below_redline,
)
from gearing_api.questions.tyre import ROLLING, size_cautions

_SPEED = Source(
    "crawl speed = idle speed x rolling radius / overall ratio; the converter's slip is left out",
    "published",
    "UN GTR 15 (2019), Annex 7, par. 8",
)
_FORCE = Source(
    "tractive force = engine torque x stall ratio x overall ratio x efficiency / rolling radius",
    "published",
    "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 2",
)
_GRADE = Source(
    "grade from weight x (sin + f cos) = force, solved exactly",
    "published",
    "Balance of forces along the slope; grade in percent is 100 x rise / run: US Army TB 9-2350-292-10",
)


def answer(build: Build) -> Answer:
    """The lowest gear as scalars; every gear and range in the table."""
    tyre = build.tyre()
    require_idle_below_redline(build)
    overall = overall_ratios(build)
    lowest = overall[..., 0].max(axis=-1)
    torque, mass = engine_torque(build), build.known("vehicle_mass")
    wheel_torque, force, engine_grade, grip, grip_grade = (None,) * 5
    cautions: list[Caution] = []
    if torque is None:
        cautions.append(
            not_known(
                ["crawl_wheel_torque", "crawl_tractive_force", "engine_grade_percent"],
                "peak_torque (or torque_curve)",
            )
        )
    else:
        wheel_torque = _wheel_torque(build, torque, lowest)
        force = traction.tractive_force(wheel_torque, tyre.rolling_radius)
    if mass is None:
        cautions.append(not_known(["grip_force", "engine_grade_percent"], "vehicle_mass"))
    else:
        grip = traction.grip_force(mass, adhesion(build))
    grip_grade = traction.grip_grade(adhesion(build), build.number("rolling_resistance"))
    limited_by: Value = None
    climbable = None
    if force is not None and mass is not None:
        engine_grade = traction.climbable_grade(force, mass, build.number("rolling_resistance"))
        engine_limits = engine_grade < grip_grade
        climbable = np.minimum(engine_grade, grip_grade)
        limited_by = np.where(engine_limits, "engine", "grip")
        any_grade = engine_grade >= traction.STEEPEST_GRADE
        engine_grade = np.where(any_grade, np.nan, engine_grade)
        cautions += [
            Caution(
                "grip-limited",
                "The engine pulls more than the tyres can hold: grip decides the grade.",
                ~engine_limits,
            ),
            Caution(
                "engine-any-grade",
                "In the lowest gear the engine pulls more than the vehicle weighs: "
                "engine_grade_percent has no limit.",
                any_grade,
            ),
        ]
    else:
        cautions.append(not_known(["climbable_grade_percent", "limited_by"], "peak_torque and vehicle_mass"))
    return Answer(
        result={
            "crawl_ratio": lowest,
            "reverse_crawl_ratio": _reverse(build),
            "crawl_speed": gearing.road_speed(build.number("idle_speed"), lowest, tyre.rolling_radius),
            "crawl_wheel_torque": wheel_torque,
            "crawl_tractive_force": force,
            "grip_force": grip,
            "engine_grade_percent": engine_grade,
            "grip_grade_percent": grip_grade,
            "climbable_grade_percent": climbable,
            "limited_by": limited_by,
        },
        sources=(ROLLING, _SPEED, _FORCE, _GRADE, SURFACES),
        cautions=(
            *size_cautions(tyre.size),
            *cautions,
            *((not_known(["reverse_crawl_ratio"], "reverse_ratio"),) * (not build.given("reverse_ratio"))),
            Caution(
                "adhesion",
                "Adhesion is a table value for loose or made ground, both axles driven and "
                "locked. No published adhesion for bare rock exists: measure it and give adhesion. A grade "
                "that can be climbed can still tip the vehicle over.",
            ),
        ),
        table=partial(_table, build, overall, torque, mass),
    )


def _reverse(build: Build) -> Array | None:
    reverse = build.known("reverse_ratio")
    if reverse is None:
        return None
    axle = build.number("axle_ratio") * build.number("hub_ratio")
    return np.asarray(reverse * build.number("transfer_ratios").max(axis=-1) * axle)


def _wheel_torque(build: Build, torque: Array, overall: Array) -> Array:
    return traction.wheel_torque(
        torque, overall, build.number("driveline_efficiency"), build.number("converter_stall_ratio")
    )


def _table(build: Build, overall: Array, torque: Array | None, mass: Array | None) -> tuple[Column, ...]:
    radius = build.tyre().rolling_radius
    flat = overall.ravel()
    wheel_torque = force = grade = np.full(flat.shape, np.nan)
    if torque is not None:
        wheel_torque = _wheel_torque(build, torque, flat)
        force = traction.tractive_force(wheel_torque, radius)
        if mass is not None:
            grade = traction.climbable_grade(force, mass, build.number("rolling_resistance"))
            grade = np.where(grade >= traction.STEEPEST_GRADE, np.nan, grade)
    return (
        *gear_columns(build),
        column("overall_ratio", flat),
        column("crawl_speed", gearing.road_speed(build.number("idle_speed"), flat, radius)),
        column("crawl_wheel_torque", wheel_torque),
        column("crawl_tractive_force", force),
        column("engine_grade_percent", grade),
    )


QUESTION = Question(
    name="crawl",
    asks="How slowly does it creep, how hard does it pull there, what grade does it climb, and is engine or "
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
        "redline_speed",
        "peak_torque",
        "torque_curve",
        "power_curve",
        "converter_stall_ratio",
        "driveline_efficiency",
        "vehicle_mass",
        "rolling_resistance",
        "surface",
        "adhesion",
    ),
    results=(
        "crawl_ratio",
        "reverse_crawl_ratio",
        "crawl_speed",
        "crawl_wheel_torque",
        "crawl_tractive_force",
        "grip_force",
        "engine_grade_percent",
        "grip_grade_percent",
        "climbable_grade_percent",
        "limited_by",
    ),
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
