"""What holds of every housing: more metal is never weaker in bending, except at a far fibre."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gearing_api.mechanics import housings
from gearing_api.mechanics.domain import DomainError

diameters = st.floats(0.050, 0.150)
walls = st.floats(0.03, 0.5)
heights = st.floats(0.0, 0.3)


@given(diameters, walls, st.floats(1.0, 2.0))
@example(diameter=0.15, wall=0.03125, larger=1.0000000000000002)
def test_a_larger_tube_never_bends_more(diameter: float, wall: float, larger: float) -> None:
    wall *= diameter
    size = np.array([1.0, larger]) * diameter
    small, large = housings.tube_modulus(size, wall)
    assert large >= small * (1 - 1e-15), "but for the last digit"


@given(diameters, walls)
def test_no_truss_is_the_bare_tube(diameter: float, wall: float) -> None:
    wall *= diameter
    section = housings.trussed_section(diameter, wall, 0.0, 0.0, 0.0)
    bare = housings.tube_modulus(diameter, wall)
    assert section.second_moment == pytest.approx(housings.tube_second_moment(diameter, wall), rel=1e-12)
    assert section.bottom_modulus == pytest.approx(bare, rel=1e-12)
    assert section.top_modulus == pytest.approx(bare, rel=1e-12)


@given(diameters, walls, st.floats(0.02, 0.06), walls, heights)
def test_a_truss_never_softens_the_housing(
    diameter: float, wall: float, chord: float, chord_wall: float, height: float
) -> None:
    section = housings.trussed_section(diameter, wall * diameter, chord, chord_wall * chord, height)
    assert section.second_moment >= housings.tube_second_moment(diameter, wall * diameter)
    higher = housings.trussed_section(diameter, wall * diameter, chord, chord_wall * chord, height + 0.01)
    assert higher.second_moment > section.second_moment


@given(st.floats(1e3, 1e5), st.floats(1.2, 2.2), st.floats(0.3, 1.1), st.floats(1.0, 3.0))
def test_the_margin_does_not_depend_on_the_units(
    load: float, track: float, spacing: float, impact: float
) -> None:
    """N and m against lbf and in."""
    lbf, inch = 4.4482216152605, 0.0254
    si = housings.housing_stress(
        housings.bending_moment(load, track, spacing), housings.tube_modulus(0.0762, 0.00635), impact
    )
    us = housings.housing_stress(
        housings.bending_moment(load / lbf, track / inch, spacing / inch),
        housings.tube_modulus(0.0762 / inch, 0.00635 / inch),
        impact,
    )
    assert us * lbf / inch**2 == pytest.approx(si, rel=1e-9)


@given(st.floats(1.0, 2.0), st.floats(-0.2, 0.2), st.floats(0.15, 0.5))
def test_less_offset_widens_both_track_and_vehicle(width: float, offset: float, section: float) -> None:
    track = housings.track(width, [offset, offset - 0.010])
    assert np.diff(track) == pytest.approx(0.020)
    assert np.diff(housings.overall_width(track, section)) == pytest.approx(0.020)


def test_one_build_and_many_give_the_same() -> None:
    many = housings.trussed_section(0.0762, 0.00635, [0.0, 0.0381], [0.0, 0.00305], [0.0, 0.120])
    trussed = housings.trussed_section(0.0762, 0.00635, 0.0381, 0.00305, 0.120)
    assert [part[1] for part in many] == list(trussed)


@pytest.mark.parametrize(
    ("argument", "arguments"),
    [
        ("tube_wall", {"tube_wall": 0.05}),
        ("tube_wall", {"tube_wall": 0.0}),
        ("truss_wall", {"truss_wall": 0.03}),
        ("truss_height", {"truss_height": -0.1}),
    ],
)
def test_what_is_no_section_is_refused(argument: str, arguments: dict[str, float]) -> None:
    sound = {
        "tube_diameter": 0.08,
        "tube_wall": 0.006,
        "truss_diameter": 0.04,
        "truss_wall": 0.003,
        "truss_height": 0.1,
    }
    with pytest.raises(DomainError) as refusal:
        housings.trussed_section(**(sound | arguments))
    assert refusal.value.argument == argument


def test_seats_stand_within_the_track_and_wheels_weigh_less_than_the_axle_carries() -> None:
    with pytest.raises(DomainError, match="spring_seat_spacing must be at most the track"):
        housings.bending_moment(1e4, 1.5, 1.6)
    with pytest.raises(DomainError, match="wheel_weight must be at most half the axle load"):
        housings.bending_moment(1e4, 1.5, 1.0, 6e3)


def test_a_truss_may_be_a_solid_bar_and_no_thicker() -> None:
    solid = housings.side_by_side_modulus(0.08, 0.006, 0.04, 0.02)
    assert solid >= housings.side_by_side_modulus(0.08, 0.006, 0.04, 0.019)
    with pytest.raises(DomainError, match="truss_wall must be at most half"):
        housings.side_by_side_modulus(0.08, 0.006, 0.04, 0.0200001)


def test_a_tube_and_the_chord_above_it_may_be_solid_bars_and_no_thicker() -> None:
    solid = housings.trussed_section(0.08, 0.04, 0.04, 0.02, 0.1)
    assert solid.second_moment > housings.trussed_section(0.08, 0.04, 0.04, 0.019, 0.1).second_moment
    with pytest.raises(DomainError, match="truss_wall"):
        housings.trussed_section(0.08, 0.04, 0.04, 0.0201, 0.1)
    with pytest.raises(DomainError, match="tube_wall"):
        housings.tube_modulus(0.08, 0.0401)


def test_seats_in_the_wheel_planes_or_wheels_that_carry_all_leave_nothing_to_bend() -> None:
    assert housings.bending_moment(1e4, 1.5, 1.5) == 0.0
    assert housings.bending_moment(1e4, 1.5, 1.0, 5e3) == 0.0
    assert housings.housing_sag(1e4, 1.5, 1.5, 1e-6) == 0.0
    with pytest.raises(DomainError, match="spring_seat_spacing"):
        housings.housing_sag(1e4, 1.5, 1.501, 1e-6)


def test_a_column_buckles_by_euler_from_half_the_yield_down() -> None:
    """Columns after Euler and Johnson, any text on strength of materials: the parabola meets the curve there."""
    yields = 414e6
    for per_euler in (2.05, 3.0):
        slender = np.sqrt(np.pi**2 * housings.STEEL_MODULUS * per_euler / yields)
        outer, inner = 0.0381, 0.0381 - 2 * 0.00305
        radius = np.sqrt(outer**2 + inner**2) / 4
        found = housings.buckling_stress(slender * radius, outer, 0.00305, yields)
        assert found == pytest.approx(yields / per_euler, rel=1e-9)


def test_a_thin_web_buckles_before_it_yields() -> None:
    """A long plate with hinged edges in shear, coefficient 5.35: from memory (high). Yield by von Mises."""
    flow = housings.web_shear_flow(0.001, 0.2, 414e6)
    stress = 5.35 * np.pi**2 * 206e9 / (12 * (1 - 0.3**2)) * (0.001 / 0.2) ** 2
    assert flow == pytest.approx(0.001 * stress, rel=1e-3)
    assert housings.web_shear_flow(0.02, 0.1, 414e6) == pytest.approx(0.02 * 414e6 / 3**0.5, rel=1e-3)
