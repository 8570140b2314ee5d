"""What holds of every shaft: thicker is never weaker, and the alloy does not stiffen."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import shafts
from gearing_api.mechanics.domain import DomainError

diameters = st.floats(0.010, 0.150)
stresses = st.floats(50e6, 2e9)
bores = st.floats(0.0, 0.95)


@given(stresses, diameters, st.floats(1.0, 3.0), bores)
def test_a_thicker_shaft_never_carries_less(
    stress: float, diameter: float, thicker: float, bore: float
) -> None:
    size = np.array([1.0, thicker]) * diameter
    for capacity in (shafts.yield_torque, shafts.plastic_torque):
        torque = capacity(stress, size, bore * diameter)
        assert torque[1] >= torque[0]


@given(stresses, diameters, bores)
def test_a_bore_never_adds(stress: float, diameter: float, bore: float) -> None:
    for capacity in (shafts.yield_torque, shafts.plastic_torque):
        solid, hollow = capacity(stress, diameter, [0.0, bore * diameter])
        assert hollow <= solid


@given(stresses, diameters, bores)
def test_the_plastic_torque_is_at_most_a_third_above_yield(
    stress: float, diameter: float, bore: float
) -> None:
    bore *= diameter
    elastic = shafts.yield_torque(stress, diameter, bore)
    plastic = shafts.plastic_torque(stress, diameter, bore)
    assert 1.0 - 1e-9 <= plastic / elastic <= 4.0 / 3.0 + 1e-9


@given(stresses, diameters)
def test_the_yield_torque_brings_the_surface_to_yield(stress: float, diameter: float) -> None:
    torque = shafts.yield_torque(stress, diameter)
    at_surface = shafts.torsional_stress(torque, diameter / 2, shafts.polar_moment(diameter))
    assert at_surface == pytest.approx(stress, rel=1e-12)


def elastic_twist(torque: float, length: float, diameter: float) -> float:
    """Gere, Mechanics of Materials, ch. 3."""
    return torque * length / (shafts.STEEL_SHEAR_MODULUS * float(shafts.polar_moment(diameter)))


@given(stresses, diameters, st.floats(0.0, 1.0))
def test_up_to_yield_the_twist_is_elastic(stress: float, diameter: float, share: float) -> None:
    torque = share * shafts.yield_torque(stress, diameter)
    beyond = shafts.twist_beyond_yield(torque, 1.0, stress, diameter)
    assert beyond == pytest.approx(elastic_twist(torque, 1.0, diameter), rel=1e-9)


@given(stresses, diameters, st.floats(1.0, 1.32))
def test_past_yield_the_twist_runs_ahead(stress: float, diameter: float, share: float) -> None:
    torque = share * shafts.yield_torque(stress, diameter)
    beyond = shafts.twist_beyond_yield(torque, 1.0, stress, diameter)
    assert beyond >= elastic_twist(torque, 1.0, diameter) * (1.0 - 1e-9)


@given(st.floats(1.0, 300.0), st.floats(0.5, 5.0), st.floats(0.1, 1000.0))
def test_the_margin_does_not_depend_on_the_units(strength: float, diameter: float, torque: float) -> None:
    """ksi, in and kip-in against Pa, m and N m."""
    ksi, inch = 6894757.293168361, 0.0254
    us = shafts.yield_torque(strength, diameter) / torque
    si = shafts.yield_torque(strength * ksi, diameter * inch) / (torque * ksi * inch**3)
    assert us == pytest.approx(si, rel=1e-9)


@given(stresses, stresses)
def test_combined_stress_is_at_least_each_part(shear: float, normal: float) -> None:
    assert shafts.largest_shear_stress(shear, normal) >= max(shear, normal / 2)


def test_one_build_and_many_give_the_same() -> None:
    diameter, torque = np.array([0.030, 0.035]), np.array([2e3, 5e3])
    many = shafts.twist_beyond_yield(torque, 0.7, 700e6, diameter)
    assert many[0] == shafts.twist_beyond_yield(2e3, 0.7, 700e6, 0.030)
    assert many[1] == shafts.twist_beyond_yield(5e3, 0.7, 700e6, 0.035)


def test_beyond_the_plastic_torque_there_is_no_answer() -> None:
    plastic = shafts.plastic_torque(700e6, 0.030)
    with pytest.raises(DomainError, match="torque"):
        shafts.twist_beyond_yield(plastic * 1.001, 0.7, 700e6, 0.030)


@pytest.mark.parametrize(("diameter", "bore"), [(0.03, 0.03), (0.03, 0.04), (0.0, 0.0), (0.03, -0.01)])
def test_a_section_has_metal(diameter: float, bore: float) -> None:
    with pytest.raises(DomainError):
        shafts.polar_moment(diameter, bore)


def test_the_twist_grows_without_bound_up_to_the_plastic_torque() -> None:
    plastic = shafts.plastic_torque(700e6, 0.0625)
    assert shafts.twist_beyond_yield(plastic * (1 - 1e-12), 0.7, 700e6, 0.0625) > 1e3 * elastic_twist(
        plastic, 0.7, 0.0625
    )
    for torque in (plastic, plastic * 1.05, plastic * 2):
        with pytest.raises(DomainError, match="torque must be below the plastic torque"):
            shafts.twist_beyond_yield(torque, 0.7, 700e6, 0.0625)


def test_steel_twists_by_its_own_modulus_unless_another_is_given() -> None:
    """Gere, Mechanics of Materials, Ex. 3-1, as reproduced in public course code: 1.62 degrees."""
    twist = shafts.twist_beyond_yield(250 * 1.3558179, 54 * 0.0254, 41.4e6, 1.5 * 0.0254)
    assert np.rad2deg(twist) == pytest.approx(1.62, abs=0.005)
