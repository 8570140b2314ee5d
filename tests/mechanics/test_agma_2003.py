"""What holds of the AGMA factors over their ranges."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import agma_2003
from gearing_api.mechanics.domain import DomainError

lives = st.floats(1e3, 1e10)


@given(lives, st.floats(1.0, 100.0), st.booleans())
def test_a_longer_life_allows_no_more(cycles: float, longer: float, critical: bool) -> None:
    more = min(cycles * longer, 1e10)
    assert agma_2003.bending_life_factor(more, critical) <= agma_2003.bending_life_factor(cycles, critical)
    assert agma_2003.contact_life_factor(more) <= agma_2003.contact_life_factor(cycles)


@pytest.mark.parametrize("knee", [1e3, 3e6])
def test_the_lines_of_bending_life_meet(knee: float) -> None:
    before, after = agma_2003.bending_life_factor([knee * 0.999, knee * 1.001])
    assert before == pytest.approx(after, rel=1e-3)


@given(st.floats(0.9, 0.999), st.floats(0.9, 0.999))
def test_more_reliability_costs_more(one: float, other: float) -> None:
    low, high = agma_2003.reliability_factor(np.sort([one, other]))
    assert low <= high


def test_the_lines_of_reliability_meet() -> None:
    expected = [0.70 + 0.15, 1.0, 0.50 + 0.75]
    assert agma_2003.reliability_factor([0.9, 0.99, 0.999]) == pytest.approx(expected)


@given(st.floats(0.0, 30.0), st.floats(5.0, 11.0))
def test_speed_and_poor_teeth_raise_the_load(speed: float, quality: float) -> None:
    factor = agma_2003.dynamic_factor(speed, quality)
    assert factor >= 1.0
    assert agma_2003.dynamic_factor(speed + 1.0, quality) > factor


@pytest.mark.parametrize(("inches", "factor"), [(0.25, 0.5), (0.5, 0.5), (4.5, 1.0), (6.0, 1.0)])
def test_contact_size_factor_stays_in_its_range(inches: float, factor: float) -> None:
    assert agma_2003.contact_size_factor(inches * 0.0254) == pytest.approx(factor)


@pytest.mark.parametrize("quality", [4.0, 12.0, np.nan])
def test_accuracy_numbers_have_a_range(quality: float) -> None:
    with pytest.raises(DomainError, match="quality must be from 5 to 11"):
        agma_2003.dynamic_factor(1.0, quality)
