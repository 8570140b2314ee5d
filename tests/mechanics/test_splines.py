"""What holds of every spline of the standard."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import splines
from gearing_api.mechanics.domain import DomainError

teeth = st.integers(6, 80)
pitches = st.sampled_from([2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 40, 48, 64, 80, 128])


@given(teeth, pitches)
def test_another_tooth_never_thins_the_root(count: int, pitch: float) -> None:
    root = splines.external_minor_diameter([count, count + 1], pitch)
    assert root[1] > root[0]


@pytest.mark.parametrize(("pitch", "root"), [(12, 20 - 1.8), (16, 20 - 2.0), (20, 20 - 2.0)])
def test_the_fillet_root_deepens_at_16_32(pitch: float, root: float) -> None:
    """ANSI B92.1-1970, formulas as reproduced in two public tables."""
    assert splines.external_minor_diameter(20, pitch) / 0.0254 == pytest.approx(root / pitch, rel=1e-12)


def test_one_build_and_many_give_the_same() -> None:
    many = splines.external_minor_diameter([19, 27, 14], [16, 24, 12])
    one = [splines.external_minor_diameter(n, p) for n, p in [(19, 16), (27, 24), (14, 12)]]
    assert many.tolist() == one


def test_what_is_no_spline_is_refused() -> None:
    with pytest.raises(DomainError, match="teeth"):
        splines.external_minor_diameter(1, 24)
    with pytest.raises(DomainError, match="diametral_pitch"):
        splines.external_minor_diameter(20, np.inf)


@pytest.mark.parametrize(("pitch", "lost"), [(24, 2), (12, 1.8)])
def test_teeth_stand_on_a_root(pitch: float, lost: float) -> None:
    assert splines.external_minor_diameter(lost + 0.1, pitch) > 0.0
    with pytest.raises(DomainError, match="teeth must be more than 2"):
        splines.external_minor_diameter(lost, pitch)
