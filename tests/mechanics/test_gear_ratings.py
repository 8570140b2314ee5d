"""What holds of every rating: more load, more stress; more gear, less."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import gear_ratings
from gearing_api.mechanics.domain import DomainError

diameters = st.floats(0.1, 0.6)
torques = st.floats(100.0, 50e3)


@given(diameters, st.floats(1.0, 2.0), st.sampled_from([-1.0, 1.0]))
def test_a_larger_ring_gear_never_carries_less(diameter: float, larger: float, flank: float) -> None:
    small = gear_ratings.ring_gear_capacity(diameter, flank)
    assert gear_ratings.ring_gear_capacity(diameter * larger, flank) >= small


@given(diameters, st.floats(1.0, 3.0))
def test_the_coast_flank_never_carries_more(diameter: float, divisor: float) -> None:
    drive, coast = gear_ratings.ring_gear_capacity(diameter, [1.0, -1.0], coast_divisor=divisor)
    assert coast == pytest.approx(drive / divisor)


@given(torques, torques, diameters)
def test_stress_grows_with_torque(torque: float, other: float, diameter: float) -> None:
    """Bending in proportion, contact with the square root."""
    bending = gear_ratings.bending_stress([torque, other], 41, diameter / 41, 0.155 * diameter, 0.68)
    contact = gear_ratings.contact_stress([torque, other], diameter / 4, 0.155 * diameter, 0.17)
    assert bending[1] / bending[0] == pytest.approx(other / torque)
    assert contact[1] / contact[0] == pytest.approx(np.sqrt(other / torque))


@given(torques, diameters)
def test_bending_stress_is_the_unit_load_over_the_tooth(torque: float, diameter: float) -> None:
    module, face = diameter / 41, 0.155 * diameter
    axle_method = gear_ratings.bending_stress(torque, 41, module, face, 1.0, 0.25, 1.0, 1.0)
    unit_load = gear_ratings.unit_load(torque, diameter, face)
    assert axle_method == pytest.approx(unit_load / (module * 0.25), rel=1e-9)


@given(st.floats(14.0, 30.0), st.floats(0.0, 50.0))
def test_more_spiral_lowers_the_contact_stress(pressure: float, spiral: float) -> None:
    angles = np.deg2rad([13.7, pressure])
    straight, spiralled = gear_ratings.contact_geometry_factor(0.85, *angles, np.deg2rad([0.0, spiral]))
    assert spiralled >= straight


def test_one_build_and_many_give_the_same() -> None:
    many = gear_ratings.bending_stress([1e3, 5e3], [41, 39], 0.0054, 0.034, 0.68)
    assert many[0] == gear_ratings.bending_stress(1e3, 41, 0.0054, 0.034, 0.68)
    assert many[1] == gear_ratings.bending_stress(5e3, 39, 0.0054, 0.034, 0.68)


def test_the_size_factor_is_not_carried_below_its_range() -> None:
    with pytest.raises(DomainError, match=r"module must be 1\.6 mm or more"):
        gear_ratings.size_factor(0.001)


def test_the_size_factor_begins_at_a_module_of_1_6_mm() -> None:
    assert gear_ratings.size_factor(0.0016) == pytest.approx((1.6 / 25.4) ** 0.25)
    with pytest.raises(DomainError, match="module"):
        gear_ratings.size_factor(0.00159)
