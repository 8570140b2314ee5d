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
