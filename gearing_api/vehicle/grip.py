"""What the driven tyres of a build hold, on the level and on a hill."""

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics import loads, traction
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.loads import LOAD_FIELDS, Loads, level_axle_masses, loads_of, unit_loads, wheel_mass
from gearing_api.vehicle.resistance import rolling_resistance

GRIP_FIELDS = (
    "driven_axles",
    "centre_differential",
    *LOAD_FIELDS,
    "rolling_resistance",
    "tread",
    "surface",
    "adhesion",
)
"""What the grip is read from, beside tyre and mass."""


def grip_force_of(build: Build, friction: Array) -> Array:
    """Adhesion x weight on the driven axles, level; behind a centre differential twice that of the lighter axle."""
    driven, mass = build.word("driven_axles"), wheel_mass(build)
    if driven != "both" or build.word("centre_differential") == "yes":
        front, rear = level_axle_masses(build)
        mass = {"both": 2.0 * np.minimum(front, rear), "front": front, "rear": rear}[driven]
    return traction.grip_force(mass, friction)


def grip_grade_of(build: Build, friction: Array) -> Array:
    """Steepest grade that the driven tyres hold, with what the slope and a trailer do to their load."""
    rolling = rolling_resistance(build, off_road=True)
    alike = build.word("driven_axles") == "both" and build.word("centre_differential") == "no"
    if alike and not build.given("trailer_mass"):
        return traction.grip_grade(friction, rolling)
    if not build.given("vehicle_mass"):
        return _grip_grade(build, friction, rolling, unit_loads(build))
    return _grip_grade(build, friction, rolling, loads_of(build, rolling))


def _grip_grade(build: Build, friction: Array, rolling: Array, loaded: Loads) -> Array:
    def held(front: Array, rear: Array) -> Array:
        grade = loads.grip_grade(loaded.balance, front, rear, rolling, loaded.trailer, loaded.tongue, rolling)
        return np.minimum(np.maximum(grade, -traction.STEEPEST_GRADE), traction.STEEPEST_GRADE)

    none = np.zeros(())
    driven = build.word("driven_axles")
    if driven != "both":
        return held(friction, none) if driven == "front" else held(none, friction)
    locked = held(friction, friction)
    if build.word("centre_differential") == "no":
        return locked
    # Both axles pull alike: twice what the lighter one holds.
    return np.minimum(locked, np.minimum(held(2.0 * friction, none), held(none, 2.0 * friction)))
