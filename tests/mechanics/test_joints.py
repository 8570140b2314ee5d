"""A cross joint over a turn."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import joints
from gearing_api.mechanics.domain import Array, DomainError

angles = st.floats(0.0, np.deg2rad(60))
bent = st.floats(np.deg2rad(1), np.deg2rad(60))
rotations = st.floats(-10.0, 10.0)


@given(angles)
def test_fluctuation_and_angle_are_inverse(angle: float) -> None:
    assert joints.angle_for_fluctuation(joints.speed_fluctuation(angle)) == pytest.approx(angle, abs=1e-7)


def speed_ratio(angle: float, turn: Array) -> Array:
    """Khurmi & Gupta, Theory of Machines, ch. 9: output over input speed of a joint."""
    return np.cos(angle) / (1.0 - (np.sin(angle) * np.cos(turn)) ** 2)


@given(angles)
def test_highest_ratio_is_the_highest_of_the_turn(angle: float) -> None:
    turn = np.linspace(0.0, np.pi, 721)
    assert joints.highest_cardan_ratio(angle) == pytest.approx(speed_ratio(angle, turn).max(), rel=1e-9)


@given(bent, rotations)
def test_acceleration_is_the_slope_of_the_speed(angle: float, rotation: float) -> None:
    step = 1e-5
    before, after = speed_ratio(angle, rotation + np.array([-step, step]))
    assert joints.cardan_acceleration(1.0, angle, rotation) == pytest.approx(
        (after - before) / (2 * step), abs=1e-6
    )


@given(bent)
def test_no_place_accelerates_harder_than_the_peak(angle: float) -> None:
    turn = np.linspace(0.0, np.pi, 2001)
    peak = joints.cardan_acceleration(1.0, angle, joints.rotation_of_peak_acceleration(angle))
    assert np.abs(joints.cardan_acceleration(1.0, angle, turn)).max() <= abs(peak) * (1 + 1e-12)


@given(bent, st.floats(1.0, 2.0))
def test_more_torque_angle_or_speed_never_lasts_longer(angle: float, factor: float) -> None:
    life = joints.bearing_life(1000.0, 500.0, angle, 20.0)
    assert joints.bearing_life(1000.0, 500.0 * factor, angle, 20.0) <= life
    assert joints.bearing_life(1000.0, 500.0, min(angle * factor, 1.4), 20.0) <= life
    assert joints.bearing_life(1000.0, 500.0, angle, 20.0 * factor) <= life


def test_one_build_and_many_give_the_same() -> None:
    bends = np.deg2rad([0.0, 12.0, 37.5])
    many = joints.highest_cardan_ratio(bends)
    assert many.tolist() == [joints.highest_cardan_ratio(bend) for bend in bends]


@pytest.mark.parametrize("angle", [-0.1, 1.5, np.nan])
def test_a_joint_has_an_end_of_travel(angle: float) -> None:
    with pytest.raises(DomainError, match="joint_angle must be from 0 to 85 degrees"):
        joints.highest_cardan_ratio(angle)


def test_a_joint_may_stand_straight_and_at_its_end() -> None:
    """1 / cos 85 degrees."""
    highest = joints.highest_cardan_ratio(np.deg2rad([0.0, 85.0]))
    assert highest.tolist() == pytest.approx([1.0, 11.4737], rel=1e-5)
