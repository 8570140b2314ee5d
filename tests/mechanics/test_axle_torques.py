"""What holds of the torque at an axle."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import axle_torques
from gearing_api.mechanics.domain import DomainError

loads = st.floats(0.0, 1e5)
more = st.floats(1.0, 3.0)


@given(loads, st.floats(0.0, 2.0), st.floats(0.2, 1.0), more)
def test_more_load_grip_or_tyre_never_lowers_the_torque(
    load: float, adhesion: float, radius: float, factor: float
) -> None:
    torque = axle_torques.grip_limited_torque(load, adhesion, radius)
    assert axle_torques.grip_limited_torque(load * factor, adhesion, radius) >= torque
    assert axle_torques.grip_limited_torque(load, adhesion * factor, radius) >= torque
    assert axle_torques.grip_limited_torque(load, adhesion, radius * factor) >= torque


@given(loads, st.floats(1.0, 6.0))
def test_a_hub_reduction_spares_the_ring_gear(load: float, hub_ratio: float) -> None:
    plain = axle_torques.grip_limited_torque(load, 0.8, 0.4)
    assert axle_torques.grip_limited_torque(load, 0.8, 0.4, hub_ratio) == pytest.approx(plain / hub_ratio)


@given(st.floats(0.0, 2e4))
def test_a_locked_differential_gives_one_shaft_all(torque: float) -> None:
    open_torque, locked_torque = axle_torques.shaft_torque(torque, [False, True])
    assert (open_torque, locked_torque) == (torque / 2, torque)


@given(st.floats(1.0, 20.0))
def test_a_limited_slip_differential_lies_between_open_and_locked(bias_ratio: float) -> None:
    share = float(axle_torques.slower_shaft_share(bias_ratio))
    assert 0.5 <= share < 1.0
    assert share / (1.0 - share) == pytest.approx(bias_ratio)


def test_one_build_and_many_give_the_same() -> None:
    engine = axle_torques.engine_limited_torque(np.array([300.0, 400.0]), 50.0, 0.9, [1.0, 2.0])
    assert engine[0] == axle_torques.engine_limited_torque(300.0, 50.0, 0.9, 1.0)
    assert engine[1] == axle_torques.engine_limited_torque(400.0, 50.0, 0.9, 2.0)


@pytest.mark.parametrize("efficiency", [0.0, 1.1, np.nan])
def test_an_efficiency_lies_between_nothing_and_one(efficiency: float) -> None:
    with pytest.raises(DomainError, match="hub_efficiency"):
        axle_torques.grip_limited_torque(1e4, 0.8, 0.4, hub_efficiency=efficiency)


def test_any_tyre_will_do_for_a_part_that_just_bears_the_engine() -> None:
    assert axle_torques.tyre_limit(0.8, [2500.0, 2500.1], 2000.0, 2500.0).tolist() == [np.inf, 1.0]


def test_grip_loads_a_part_however_little() -> None:
    assert axle_torques.tyre_limit(0.8, 4000.0, 0.5, 2500.0) == pytest.approx(4000.0)
    with pytest.raises(DomainError, match="grip_load must be above zero"):
        axle_torques.tyre_limit(0.8, 4000.0, 0.0, 2500.0)


def test_a_hub_may_lose_nothing_and_give_no_more_than_it_gets() -> None:
    assert axle_torques.grip_limited_torque(1e4, 0.8, 0.4, hub_efficiency=1.0) == pytest.approx(3200.0)
    with pytest.raises(DomainError, match="hub_efficiency"):
        axle_torques.grip_limited_torque(1e4, 0.8, 0.4, hub_efficiency=1.01)
