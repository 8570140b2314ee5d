"""How hard a ring gear is used, compared with the original."""

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import (
    AxleTorque,
    axle_load,
    engine_unit_torque,
    grip_torque,
    original_per_fitted,
    standing_radius,
)
from gearing_api.vehicle.drivetrain import engine_torque

LOAD_INDEX_FIELDS = (
    "original_tyre",
    "original_axle_ratio",
    "ring_gear_diameter",
    "original_ring_gear_diameter",
)
"""What the load index is read from, beside AXLE_FIELDS, tyre, axle ratio, gear ratios and vehicle mass."""


def load_indices(build: Build, axle_ratios: Array) -> Array | None:
    """Use of the ring gear at some axle ratios, over the use that the original made of its own.

    Everything but tyre, axle ratio and ring gear is taken as it was; so is a ring gear of which nothing is
    given. `axle_ratios` has the ratios on its last axis, shape (k,) or (builds, k), and so has what comes
    back. None where the engine's torque or the vehicle's mass is not given, or only the original ring gear.
    """
    if engine_torque(build) is None or not build.has("vehicle_mass") or not ring_gears_known(build):
        return None
    radius, _ = standing_radius(build)
    return _indices(build, grip_torque(build, axle_load(build), radius), axle_ratios)


def own_load_index(build: Build, torque: AxleTorque) -> Array | None:
    """The same at the fitted axle ratio."""
    if torque.engine is None or not ring_gears_known(build):
        return None
    return _indices(build, torque.grip, build.number("axle_ratio")[..., None])[..., 0]


def _indices(build: Build, grip: Array, axle_ratios: Array) -> Array:
    unit = engine_unit_torque(build)
    assert unit is not None
    original = np.minimum(unit * build.number("original_axle_ratio"), grip * original_per_fitted(build))
    torque = np.minimum(unit[..., None] * axle_ratios, grip[..., None])
    return torque * (_capacity_lost(build) / original)[..., None]


def ring_gears_known(build: Build) -> bool:
    """Whether the fitted ring gear is known wherever the original one is."""
    return build.given("ring_gear_diameter") or not build.given("original_ring_gear_diameter")


def _capacity_lost(build: Build) -> Array:
    """Capacity of the original ring gear over that of the fitted one. [-]"""
    if not build.given("ring_gear_diameter"):
        return np.ones(())
    size = build.number("original_ring_gear_diameter") / build.number("ring_gear_diameter")
    return np.asarray(size * size * size)
