"""How hard a ring gear is used, compared with the original."""

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics import gear_ratings
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import (
    AxleTorque,
    axle_load,
    engine_unit_torque,
    grip_torque,
    loaded_flank,
    standing_radius,
)
from gearing_api.vehicle.drivetrain import engine_torque_known

LOAD_INDEX_FIELDS = (
    "original_axle_ratio",
    "ring_gear_diameter",
    "original_ring_gear_diameter",
)
"""What the load index is read from, beside AXLE_FIELDS, tyre, axle ratio, gear ratios and vehicle mass."""


def load_indices(build: Build, axle_ratios: Array) -> Array | None:
    """Use of the ring gear at some axle ratios, over the use that the original made of its own.

    What no original is given of is taken as it was; so is a ring gear of which nothing is given.
    `axle_ratios` has the ratios on its last axis, shape (k,) or (builds, k), and so has what comes back. None
    where the engine's torque or the vehicle's mass is not given, or only the original ring gear.
    """
    if not (_engines_known(build) and build.has("vehicle_mass") and ring_gears_known(build)):
        return None
    radius, _ = standing_radius(build)
    return _indices(build, grip_torque(build, axle_load(build), radius), axle_ratios)


def own_load_index(build: Build, torque: AxleTorque) -> Array | None:
    """The same at the fitted axle ratio."""
    if not (_engines_known(build) and ring_gears_known(build)):
        return None
    return _indices(build, torque.grip, build.number("axle_ratio")[..., None])[..., 0]


def _indices(build: Build, grip: Array, axle_ratios: Array) -> Array:
    original = build.original()
    radius, _ = standing_radius(original)
    unit, unit_before = engine_unit_torque(build), engine_unit_torque(original)
    assert unit is not None
    assert unit_before is not None
    before = np.minimum(
        unit_before * build.number("original_axle_ratio"),
        grip_torque(original, axle_load(original), radius),
    )
    torque = np.minimum(unit[..., None] * axle_ratios, grip[..., None])
    lost = _capacity_lost(build, original)
    build.take_original_account(original)
    return torque * (lost / before)[..., None]


def _engines_known(build: Build) -> bool:
    """Whether the engine's torque is known, now and before."""
    return all(engine_torque_known(each) for each in (build, build.original()))


def ring_gears_known(build: Build) -> bool:
    """Whether the fitted ring gear is known wherever the original one is."""
    return build.given("ring_gear_diameter") or not build.given("original_ring_gear_diameter")


def _capacity_lost(build: Build, original: Build) -> Array:
    """Capacity of the original ring gear over that of the fitted one. [-]"""
    if not build.given("ring_gear_diameter"):
        return np.ones(())
    before = build.number("original_ring_gear_diameter"), loaded_flank(original)
    now = build.number("ring_gear_diameter"), loaded_flank(build)
    return np.asarray(gear_ratings.ring_gear_capacity(*before) / gear_ratings.ring_gear_capacity(*now))
