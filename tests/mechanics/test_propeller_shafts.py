"""Propeller shafts: what holds for any distances, and the ends of every range."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import joints
from gearing_api.mechanics import propeller_shafts as shafts
from gearing_api.mechanics.domain import DomainError

RUN, DROP, SIDE = st.floats(0.5, 3.0), st.floats(-0.5, 0.6), st.floats(-0.3, 0.3)
SLOPE = st.floats(-0.3, 0.3)
ANGLE = st.floats(0.0, 0.6)
DEGREE = np.deg2rad(1.0)


@given(RUN, DROP, SIDE, SLOPE)
def test_equal_parallel_ends_cancel(run: float, drop: float, side: float, slope: float) -> None:
    line = shafts.shaft_line(run, drop, side, slope, slope)
    assert line.output == pytest.approx(line.pinion, abs=1e-12)
    assert shafts.equivalent_joint_angle(line.output, line.pinion, line.turn) == pytest.approx(0.0, abs=1e-6)


@given(RUN, DROP, SIDE, SLOPE, SLOPE)
def test_left_and_right_are_alike(run: float, drop: float, side: float, first: float, last: float) -> None:
    left, right = (shafts.shaft_line(run, drop, to, first, last) for to in (side, -side))
    np.testing.assert_array_equal(left, right)


@given(ANGLE, ANGLE, st.floats(0.0, 1.0))
def test_two_joints_are_at_worst_both_together(first: float, second: float, turn: float) -> None:
    """Crossed yokes in one plane add up; in line they take from each other."""
    least, most = (
        float(shafts.equivalent_joint_angle(first, second, 0.0, crossed)) for crossed in (False, True)
    )
    for crossed in (False, True):
        angle = float(shafts.equivalent_joint_angle(first, second, turn, crossed))
        assert least - 1e-7 <= angle <= most + 1e-7
    assert np.cos(most) == pytest.approx(np.cos(first) * np.cos(second))


def turned_through(first: float, second: float, turn: float, crossed: bool) -> float:
    """Highest speed ratio of two joints by following the fork through a turn, step by step."""
    steps = np.linspace(0.0, np.pi, 20001)
    middle = np.arctan2(np.sin(steps) * np.cos(first), np.cos(steps))
    turned = np.unwrap(middle) + np.arcsin(turn) + (0.0 if crossed else np.pi / 2.0)
    last = np.unwrap(np.arctan2(np.sin(turned) * np.cos(second), np.cos(turned)))
    return float(np.gradient(last, steps).max())


@pytest.mark.parametrize("crossed", [False, True])
@pytest.mark.parametrize(
    ("first", "second", "turn"), [(0.3, 0.2, 0), (0.3, 0.3, 0), (0.4, 0.25, 0.8), (0.2, 0.5, 1)]
)
def test_the_equivalent_angle_is_that_of_a_shaft_turned_by_hand(
    first: float, second: float, turn: float, crossed: bool
) -> None:
    angle = shafts.equivalent_joint_angle(first, second, turn, crossed)
    assert 1.0 / np.cos(angle) == pytest.approx(turned_through(first, second, turn, crossed), abs=2e-4)


@given(ANGLE, st.floats(1.0, 600.0))
def test_no_rotation_accelerates_more_than_the_peak(angle: float, speed: float) -> None:
    peak = shafts.peak_acceleration(speed, angle)
    rotations = np.linspace(0.0, np.pi, 721)
    assert np.abs(joints.cardan_acceleration(speed, angle, rotations)).max() <= peak * (1 + 1e-9)


@given(RUN, DROP, SIDE, st.floats(0.4, 1.2), st.floats(-0.1, 0.1), st.floats(0.0, 0.25), st.floats(0.0, 0.25))
def test_no_travel_in_between_slips_further(
    run: float, drop: float, side: float, link: float, height: float, bump: float, droop: float
) -> None:
    between = np.linspace(-bump, droop, 201)
    lengths = shafts.length_change(run, drop, side, link, height, between)
    slip = float(shafts.slip_travel(run, drop, side, link, height, bump, droop))
    assert float(np.ptp(lengths)) <= slip + 1e-12
    assert slip <= float(np.ptp(lengths)) + 1e-4


PRINTED_BY_A_NAVY = {500: 12, 1000: 12, 1250: 11.5, 1500: 11, 2000: 8, 2500: 7, 3000: 5, 3500: 5, 7000: 2.5}
"""NAVEDTRA 14050A, p. 8-48, from 1,000 to 3,500 rpm; straight between, speed x angle stays above. [deg]"""
PRINTED_BY_A_MAKER = {
    500: 11.5,
    1500: 11.5,
    1750: 10 + 5 / 60,
    2000: 8 + 40 / 60,
    2500: 7,
    3000: 5 + 50 / 60,
    6000: 2 + 55 / 60,
}
"""A power take-off maker's owner manual, p. 5: up to 3,000 rpm, in degrees and minutes; between and above as there."""


@pytest.mark.parametrize(
    ("limits", "printed"),
    [(shafts.MANUAL_LIMITS, PRINTED_BY_A_NAVY), (shafts.MAKER_LIMITS, PRINTED_BY_A_MAKER)],
)
def test_printed_limits_fall_with_speed_and_stand_at_their_rows(
    limits: tuple[tuple[float, float], ...], printed: dict[int, float]
) -> None:
    for speed, angle in printed.items():
        assert shafts.printed_angle_limit(speed * np.pi / 30, limits) == pytest.approx(angle * DEGREE)
    falling = shafts.printed_angle_limit(np.linspace(0.0, 700.0, 500), limits)
    assert np.all(np.diff(falling) <= 1e-12)


def test_a_joint_that_does_not_bend_bends_back_what_the_other_bends() -> None:
    """Its side cannot be told: it counts as parallel ends do, and so does a shaft that is straight throughout."""
    for first, last in ((0.1, 0.0), (0.0, 0.1), (0.0, 0.0)):
        line = shafts.shaft_line(1.0, 0.0, 0.0, first, last)
        assert (line.back, line.turn) == (1.0, 0.0)


def test_joints_whose_planes_stand_square() -> None:
    """Aside by 3 in 5, ends that slope up and down by atan 0.6: the vectors of both bends are square to each other."""
    slope = np.arctan(0.6)
    line = shafts.shaft_line(4.0, 0.0, 3.0, slope, -slope)
    assert line.turn == pytest.approx(1.0)
    assert line.output == pytest.approx(line.pinion)
    assert shafts.shaft_line(4.0, 0.0, 3.0, slope, slope).turn == pytest.approx(0.0, abs=1e-12)


def test_a_shaft_about_the_centre_of_the_link_does_not_slip() -> None:
    assert shafts.slip_travel(0.5, 0.0, 0.0, 0.5, 0.0, 0.1, 0.2) == pytest.approx(0.0, abs=1e-15)


def test_a_solid_shaft_with_a_weight_in_its_middle() -> None:
    """Second hand: Sarkar, Theory of Machines, 11.10: 39.43 Hz, by its own mass and by the weight, after Dunkerley."""
    stiffness = 200e9 * np.pi / 64 * 0.03 * 0.03 * 0.03 * 0.03
    own = shafts.critical_speed(0.03, 0.015, 0.8, 200e9, 40000.0)
    loaded = np.sqrt(48 * stiffness / (10 / 9.81 * 0.8 * 0.8 * 0.8))
    assert 1 / np.hypot(1 / own, 1 / loaded) / (2 * np.pi) == pytest.approx(39.43, rel=0.002)


def test_refusals() -> None:
    with pytest.raises(DomainError, match="tube_wall must be at most half"):
        shafts.critical_speed(0.05, 0.0251, 1.0)
    with pytest.raises(DomainError, match="link_length must be at least link_drop"):
        shafts.length_change(1.0, 0.2, 0.0, 0.5, 0.3, 0.21)
    with pytest.raises(DomainError, match="turn must be from 0 to 1"):
        shafts.equivalent_joint_angle(0.1, 0.1, 1.01)
    with pytest.raises(DomainError, match="output_slope"):
        shafts.shaft_line(1.0, 0.1, 0.0, np.deg2rad(60.1), 0.0)
