"""Speedometers after a change: what must hold whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import gearing, speedometers
from gearing_api.mechanics.domain import DomainError

CIRCUMFERENCES = st.floats(1.5, 5.0)
RATIOS = st.floats(2.0, 12.0)
SPEEDS = st.floats(5.0, 50.0)


@given(CIRCUMFERENCES, RATIOS)
def test_nothing_changed_leaves_the_reading_exact_and_lawful(circumference: float, ratio: float) -> None:
    distance = speedometers.distance_per_indicated_at_gearbox(circumference, circumference, ratio, ratio)
    true = speedometers.true_per_indicated(distance, 0.0)
    assert distance == 1.0
    assert true == 1.0
    assert speedometers.is_within_r39(20.0, 20.0 * true)
    assert speedometers.is_within_393_82(true)


@given(CIRCUMFERENCES, CIRCUMFERENCES, RATIOS)
def test_restoring_the_axle_ratio_restores_a_gearbox_sensor(
    circumference: float, original: float, ratio: float
) -> None:
    restored = gearing.restoring_axle_ratio(ratio, circumference, original)
    distance = speedometers.distance_per_indicated_at_gearbox(circumference, original, restored, ratio)
    np.testing.assert_allclose(distance, 1.0)


@given(CIRCUMFERENCES, CIRCUMFERENCES, RATIOS)
def test_both_sensors_agree_while_the_axle_stays(circumference: float, original: float, ratio: float) -> None:
    at_gearbox = speedometers.distance_per_indicated_at_gearbox(circumference, original, ratio, ratio)
    assert at_gearbox == speedometers.distance_per_indicated_at_wheel(circumference, original)


@given(CIRCUMFERENCES, RATIOS, st.floats(1.001, 1.5))
def test_a_shorter_axle_makes_a_gearbox_sensor_read_high(
    circumference: float, ratio: float, growth: float
) -> None:
    distance = speedometers.distance_per_indicated_at_gearbox(
        circumference, circumference, growth * ratio, ratio
    )
    assert distance < 1.0


@given(SPEEDS, st.floats(1.0001, 1.5))
def test_any_taller_tyre_makes_an_exact_speedometer_unlawful_under_r39(speed: float, growth: float) -> None:
    true = speedometers.true_per_indicated(growth, 0.0)
    assert not speedometers.is_within_r39(speed, speed * true)


@given(SPEEDS, st.floats(0.0, 0.1), st.floats(0.0, 1.0))
def test_an_over_reading_is_room_for_a_taller_tyre(speed: float, overreading: float, share: float) -> None:
    true = speedometers.true_per_indicated(1.0 + share * overreading, overreading)
    assert speedometers.is_within_r39(speed, speed * true)


def test_r39_lets_a_standing_vehicle_show_four_kilometres_per_hour() -> None:
    assert speedometers.is_within_r39(4 / 3.6, 0.0)
    assert not speedometers.is_within_r39(4.1 / 3.6, 0.0)
    assert speedometers.is_within_r39(0.0, 0.0)


@given(SPEEDS, st.floats(0.7, 1.2))
def test_r39_holds_between_its_limits(indicated: float, share: float) -> None:
    true = share * indicated
    least, most = speedometers.indicated_speed_limits_r39(true)
    if min(abs(indicated - least), abs(indicated - most)) > 1e-6:
        assert (least <= indicated <= most) == bool(speedometers.is_within_r39(indicated, true))


@given(SPEEDS, st.floats(0.8, 1.3), st.floats(-0.1, 0.1))
def test_correction_factor_makes_the_reading_true(
    indicated: float, distance: float, overreading: float
) -> None:
    true = indicated * speedometers.true_per_indicated(distance, overreading)
    np.testing.assert_allclose(indicated * speedometers.correction_factor(indicated, true), true)


@given(st.lists(st.tuples(SPEEDS, SPEEDS), min_size=1, max_size=5))
def test_columns_give_what_single_readings_give(rows: list[tuple[float, float]]) -> None:
    indicated, true = np.array(rows).T
    rule = speedometers.is_within_r39
    assert rule(indicated, true).tolist() == [bool(rule(*row)) for row in rows]
    shares = true / indicated
    assert speedometers.is_within_393_82(shares).tolist() == [
        bool(speedometers.is_within_393_82(share)) for share in shares
    ]


def test_impossible_arguments_are_refused_by_name() -> None:
    with pytest.raises(DomainError, match="original_overreading"):
        speedometers.true_per_indicated(1.0, -1.0)
    with pytest.raises(DomainError, match="original_overreading"):
        speedometers.true_per_indicated(1.0, np.nan)
    with pytest.raises(DomainError, match="indicated_speed"):
        speedometers.is_within_r39(-1.0, 1.0)
    with pytest.raises(DomainError, match="original_axle_ratio"):
        speedometers.distance_per_indicated_at_gearbox(2.5, 2.5, 4.1, 0.0)
