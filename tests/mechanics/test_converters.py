"""What always holds for a converter."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import converters


@given(ratio=st.floats(0.0, 1.0), stall=st.floats(1.0, 3.0))
def test_a_converter_multiplies_most_at_stall_and_least_when_coupled(ratio: float, stall: float) -> None:
    converter = converters.generic_converter(0.02, stall)
    assert converters.COUPLED_RATIO - 1e-12 <= converters.torque_ratio_at(converter, ratio) <= stall + 1e-12
    assert converters.torque_ratio_at(converter, 0.0) == pytest.approx(stall)
    assert converters.torque_ratio_at(converter, 0.95) == pytest.approx(converters.COUPLED_RATIO)


@given(ratio=st.floats(0.0, 0.99), more=st.floats(0.0, 0.5))
def test_a_faster_turbine_takes_less_torque_of_the_pump(ratio: float, more: float) -> None:
    converter = converters.generic_converter(0.02, 1.9)
    slow, fast = converters.capacity_at(converter, np.array([ratio, min(ratio + more, 1.0)]))
    assert fast <= slow + 1e-15


def test_the_pump_takes_nothing_from_a_turbine_of_its_own_speed() -> None:
    """Half-way from a speed ratio of 0.9, where it takes half of what it takes stalled, it takes a quarter."""
    converter = converters.generic_converter(0.02, 1.8)
    assert converters.capacity_at(converter, [0.95, 1.0, 1.2]) == pytest.approx([0.005, 0.0, 0.0])


@pytest.mark.parametrize(("resists", "creeps"), [(1.24, True), (1.79, True), (1.81, False)])
def test_it_creeps_where_it_pulls_more_stalled_than_what_resists(resists: float, creeps: bool) -> None:
    """Stall ratio 1.8; at a speed ratio of 0.6 it is 1.2333 and the pump takes 0.8."""
    assert (converters.creep_ratio(converters.generic_converter(0.02, 1.8), resists, 0.0) > 0.0) == creeps
