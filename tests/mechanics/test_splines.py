"""What holds of every spline of the standard."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import splines
from gearing_api.mechanics.domain import DomainError

teeth = st.integers(6, 80)
pitches = st.sampled_from([2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 40, 48, 64, 80, 128])
forms = st.sampled_from(sorted(splines.FORMS))


@given(teeth, pitches, forms)
def test_the_shaft_fits_its_hub(count: int, pitch: float, form: str) -> None:
    shaft_root = splines.external_minor_diameter(count, pitch, form)
    hub_tip = splines.internal_minor_diameter(count, pitch, form)
    shaft_tip = splines.external_major_diameter(count, pitch)
    hub_root = splines.internal_major_diameter(count, pitch, form)
    assert shaft_root <= hub_tip < splines.pitch_diameter(count, pitch) < shaft_tip <= hub_root


@given(teeth, pitches, forms)
def test_the_base_circle_lies_within_the_pitch_circle(count: int, pitch: float, form: str) -> None:
    assert splines.base_diameter(count, pitch, form) < splines.pitch_diameter(count, pitch)


@given(teeth, pitches, forms)
def test_another_tooth_never_thins_the_root(count: int, pitch: float, form: str) -> None:
    root = splines.external_minor_diameter([count, count + 1], pitch, form)
    assert root[1] > root[0]


@pytest.mark.parametrize(("pitch", "root"), [(12, 20 - 1.8), (16, 20 - 2.0), (20, 20 - 2.0)])
def test_the_fillet_root_deepens_at_16_32(pitch: float, root: float) -> None:
    """ANSI B92.1-1970, formulas as reproduced in two public tables."""
    assert splines.external_minor_diameter(20, pitch) / 0.0254 == pytest.approx(root / pitch, rel=1e-12)


@pytest.mark.parametrize(
    ("form", "hub_root", "hub_tip", "shaft_root"),
    [
        ("flat-root-side-fit", 21.35, 19.0, 18.65),
        ("flat-root-major-fit", 21.0, 19.0, 18.65),
        ("fillet-root-30", 21.8, 19.0, 18.0),
        ("fillet-root-37.5", 21.6, 19.2, 18.7),
        ("fillet-root-45", 21.4, 19.4, 19.0),
    ],
)
def test_forms_of_the_standard(form: str, hub_root: float, hub_tip: float, shaft_root: float) -> None:
    """ANSI B92.1-1970, formulas as reproduced in two public tables, on 20 teeth of 20/40."""
    inch = 20 / 0.0254
    assert splines.internal_major_diameter(20, 20, form) * inch == pytest.approx(hub_root)
    assert splines.internal_minor_diameter(20, 20, form) * inch == pytest.approx(hub_tip)
    assert splines.external_minor_diameter(20, 20, form) * inch == pytest.approx(shaft_root)


def test_one_build_and_many_give_the_same() -> None:
    many = splines.external_minor_diameter([19, 27, 14], [16, 24, 12])
    one = [splines.external_minor_diameter(n, p) for n, p in [(19, 16), (27, 24), (14, 12)]]
    assert many.tolist() == one


def test_what_is_no_spline_is_refused() -> None:
    with pytest.raises(DomainError, match="form must be one of"):
        splines.external_minor_diameter(20, 24, "square")
    with pytest.raises(DomainError, match="teeth"):
        splines.external_minor_diameter(1, 24)
    with pytest.raises(DomainError, match="diametral_pitch"):
        splines.pitch_diameter(20, np.inf)
