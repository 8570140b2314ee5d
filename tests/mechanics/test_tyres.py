"""Tyre mechanics: against the European dimension tables, measured sag, and their own properties."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import tyres
from gearing_api.mechanics.domain import DomainError
from gearing_api.mechanics.tyres import INCH

WIDTHS = st.floats(0.125, 0.455)
ASPECTS = st.floats(0.25, 1.0)
RIMS = st.integers(12, 24).map(lambda code: code * INCH)

# Width [mm], series, rim code, diameter [mm], section width [mm]. Published, second hand: European
# Commission, heavy-duty CO2 declaration data, Wheels table (release with Q4/2022 entries).
LIGHT_ROWS = [
    (205, 70, 15, 669, 209),
    (215, 70, 15, 683, 221),
    (215, 65, 15, 661, 221),
    (195, 65, 16, 660, 201),
    (195, 75, 16, 698, 196),
    (205, 65, 16, 672, 209),
    (205, 75, 16, 714, 203),
    (215, 65, 16, 686, 221),
    (225, 65, 16, 698, 228),
    (225, 75, 16, 744, 223),
    (235, 65, 16, 712, 240),
    (215, 60, 17, 690, 221),
    (235, 60, 17, 714, 240),
    (225, 55, 17, 680, 233),
    (205, 80, 15, 709, 203),
    (265, 75, 16, 804, 267),
    (245, 70, 17, 776, 248),
    (255, 55, 18, 737, 265),
]
TRUCK_ROWS = [
    (255, 100, 16, 916),
    (275, 80, 20, 948),
    (335, 80, 20, 1044),
    (365, 80, 20, 1092),
    (365, 85, 20, 1128),
    (395, 85, 20, 1180),
    (245, 70, 19.5, 839),
    (285, 70, 19.5, 895),
    (295, 80, 22.5, 1044),
    (315, 70, 22.5, 1014),
    (315, 80, 22.5, 1076),
    (385, 65, 22.5, 1072),
]


@pytest.mark.parametrize("row", [*(row[:4] for row in LIGHT_ROWS), *TRUCK_ROWS])
def test_diameter_is_that_of_the_european_table(row: tuple[float, ...]) -> None:
    """The table rounds rim diameter and section height to whole millimetres: 1.5 mm in all."""
    width, series, code, diameter = row
    assert float(tyres.free_diameter(width / 1e3, series / 100, code * INCH)) * 1e3 == pytest.approx(
        diameter, abs=1.5
    )


@pytest.mark.parametrize("row", LIGHT_ROWS)
def test_design_width_on_the_measuring_rim_gives_the_european_table(row: tuple[float, ...]) -> None:
    width, series, _, _, section_width = row
    rim = tyres.measuring_rim_width(width / 1e3, series / 100)
    assert round(float(tyres.design_section_width(width / 1e3, rim)) * 1e3) == section_width


@pytest.mark.parametrize(("width", "section_width"), [(295, 298), (315, 312)])
def test_design_width_on_fifteen_degree_rims_gives_the_european_table(
    width: float, section_width: float
) -> None:
    """The same Wheels table: 295/80R22.5 and 315/80R22.5, on rims 9.00 wide."""
    found = tyres.design_section_width(width / 1e3, 9 * INCH, 0.75)
    assert round(float(found) * 1e3) == section_width


@pytest.mark.parametrize(
    ("pressure_psi", "deflection_mm", "force"),
    [
        (40, 50.0, 17876),
        (60, 33.0, 17963),
        (60, 51.33, 30151),  # case A47
        (70, 28.69, 17714),
        (70, 44.64, 30091),
        (95, 25.03, 17402),
        (95, 39.22, 30094),
    ],
)
def test_sag_is_near_the_measured_deflection(pressure_psi: float, deflection_mm: float, force: float) -> None:
    """Published: Project Chrono, open multibody dynamics library, 335/65R22.5 tyre test data.

    The formula is from memory (high), and a constant stiffness misses how a tyre stiffens: hence -30/+10 %.
    """
    stiffness = tyres.vertical_stiffness(pressure_psi * 6894.757, 0.335, 0.65, 0.5715 + 2 * 0.65 * 0.335)
    assert 0.70 <= float(tyres.sag(force, stiffness)) * 1e3 / deflection_mm <= 1.10


def test_measuring_rim_follows_the_series() -> None:
    """ISO 4000-1, from memory (high)."""
    rims = tyres.measuring_rim_width(0.245, [0.75, 0.70, 0.60, 0.55, 0.50, 0.45, 0.40, 0.30, 0.25])
    np.testing.assert_allclose(rims / INCH, [7.0, 7.0, 7.0, 7.5, 7.5, 8.0, 8.5, 8.5, 9.0])


def test_rolling_factors_are_the_constants() -> None:
    """Published: European Commission, heavy-duty CO2 declaration data, Wheels and Rims tables."""
    assert tyres.ROLLING_FACTORS == {"radial": 3.05, "bias": 2.94}


@given(WIDTHS, ASPECTS, RIMS, st.floats(1.001, 1.5))
def test_diameter_grows_with_width_series_and_rim(
    width: float, aspect: float, rim: float, growth: float
) -> None:
    diameter = tyres.free_diameter(width, aspect, rim)
    assert tyres.free_diameter(growth * width, aspect, rim) > diameter
    assert tyres.free_diameter(width, growth * aspect, rim) > diameter
    assert tyres.free_diameter(width, aspect, growth * rim) > diameter


@given(WIDTHS, ASPECTS, st.floats(1.0, 1.5))
def test_measuring_rim_is_in_half_inches_and_never_narrows_as_the_tyre_widens(
    width: float, aspect: float, growth: float
) -> None:
    halves = tyres.measuring_rim_width(width, aspect) / INCH * 2
    assert abs(halves - np.round(halves)) < 1e-9
    assert tyres.measuring_rim_width(growth * width, aspect) >= tyres.measuring_rim_width(width, aspect)


@given(st.floats(0.4, 1.5), st.floats(0.0, 0.3))
def test_contact_is_the_chord_of_the_loaded_tyre(diameter: float, share: float) -> None:
    loaded = tyres.loaded_radius(diameter, share * diameter / 2)
    half = tyres.contact_half_length(diameter, loaded)
    np.testing.assert_allclose(np.hypot(half, loaded), diameter / 2)


@given(st.floats(50e3, 900e3), WIDTHS, ASPECTS, st.floats(1.01, 3.0))
def test_more_pressure_stiffens_and_more_load_sags(
    pressure: float, width: float, aspect: float, growth: float
) -> None:
    stiffness = tyres.vertical_stiffness(pressure, width, aspect, 0.8)
    assert tyres.vertical_stiffness(growth * pressure, width, aspect, 0.8) > stiffness
    assert tyres.sag(growth * 5000.0, stiffness) > tyres.sag(5000.0, stiffness)


@given(st.floats(300.0, 3000.0), st.floats(100e3, 250e3), st.sampled_from([0.7, 0.8]))
def test_pressure_for_load_undoes_load_at_pressure(capacity: float, pressure: float, exponent: float) -> None:
    load = tyres.load_at_pressure(capacity, pressure, 250e3, exponent)
    np.testing.assert_allclose(tyres.pressure_for_load(capacity, load, 250e3, exponent), pressure)


@given(st.lists(st.tuples(WIDTHS, ASPECTS, RIMS), min_size=1, max_size=5))
def test_columns_give_what_single_tyres_give(rows: list[tuple[float, float, float]]) -> None:
    width, aspect, rim = np.array(rows).T
    diameters = [tyres.free_diameter(*row) for row in rows]
    np.testing.assert_array_equal(tyres.free_diameter(width, aspect, rim), diameters)
    for function in (tyres.measuring_rim_width, tyres.section_height):
        np.testing.assert_array_equal(function(width, aspect), [function(w, a) for w, a, _ in rows])
    stiffness = tyres.vertical_stiffness(250e3, width, aspect, rim + 0.3)
    np.testing.assert_allclose(
        stiffness, [tyres.vertical_stiffness(250e3, w, a, r + 0.3) for w, a, r in rows], rtol=1e-15
    )


def test_arguments_broadcast() -> None:
    assert tyres.free_diameter(np.full((3, 1), 0.265), np.full(2, 0.7), 17 * INCH).shape == (3, 2)
    assert tyres.sag(np.full((4, 1), 5000.0), np.full(3, 3e5)).shape == (4, 3)


@pytest.mark.parametrize("value", [0.0, -1.0, np.nan, np.inf])
def test_impossible_arguments_are_refused_by_name(value: float) -> None:
    with pytest.raises(DomainError, match="aspect"):
        tyres.free_diameter(0.265, value, 0.4318)
    with pytest.raises(DomainError, match="rolling_circumference"):
        tyres.rolling_radius([2.5, value])
    with pytest.raises(DomainError, match="vertical_stiffness"):
        tyres.sag(5000.0, value)


def test_a_loaded_radius_above_the_free_radius_is_refused() -> None:
    with pytest.raises(DomainError, match="loaded_radius"):
        tyres.contact_half_length(0.8, 0.41)


def test_a_series_beyond_the_stiffness_formula_is_refused() -> None:
    with pytest.raises(DomainError, match="aspect"):
        tyres.vertical_stiffness(250e3, 0.2, 2.6, 1.2)


def test_the_stiffness_formula_ends_below_a_series_of_250() -> None:
    assert tyres.vertical_stiffness(250e3, 0.2, 2.499, 1.2) > 0.0
    with pytest.raises(DomainError, match="aspect"):
        tyres.vertical_stiffness(250e3, 0.2, 2.5, 1.2)


def test_a_tyre_without_sag_touches_in_a_line() -> None:
    assert tyres.contact_half_length(0.8, 0.4) == 0.0
