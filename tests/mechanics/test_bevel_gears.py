"""What holds of every bevel set, whatever its ratio and angles."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import bevel_gears
from gearing_api.mechanics.domain import DomainError

DEGREE = np.pi / 180

ratios = st.floats(1.0, 8.0)
pressure_angles = st.floats(14 * DEGREE, 30 * DEGREE)
spiral_angles = st.floats(0.0, 55 * DEGREE)
flanks = st.sampled_from([-1.0, 1.0])
signs = st.sampled_from([-1.0, 1.0])


@given(ratios, pressure_angles, spiral_angles)
def test_the_resultant_is_the_same_on_both_flanks(ratio: float, pressure: float, spiral: float) -> None:
    cone = bevel_gears.pinion_pitch_angle(ratio)
    forces = bevel_gears.tooth_forces(1.0, cone, pressure, spiral, [+1, -1])
    resultant = np.sqrt(1.0 + forces.axial**2 + forces.radial**2)
    normal = 1.0 / (np.cos(pressure) * np.cos(spiral))
    assert resultant == pytest.approx([normal] * 2, rel=1e-12)


@given(ratios, pressure_angles, spiral_angles, flanks)
def test_the_ring_thrusts_as_the_pinion_separates(
    ratio: float, pressure: float, spiral: float, flank: float
) -> None:
    """With axes at right angles, one member's axial force is the other's radial one, with its sign."""
    pinion_cone = bevel_gears.pinion_pitch_angle(ratio)
    ring_cone = bevel_gears.RIGHT_ANGLE - pinion_cone
    pinion = bevel_gears.tooth_forces(1.0, pinion_cone, pressure, spiral, flank)
    ring = bevel_gears.tooth_forces(1.0, ring_cone, pressure, spiral, -flank)
    assert ring.axial == pytest.approx(pinion.radial, abs=1e-9)
    assert ring.radial == pytest.approx(pinion.axial, abs=1e-9)


@given(ratios, pressure_angles, flanks)
def test_straight_teeth_know_no_flank(ratio: float, pressure: float, flank: float) -> None:
    cone = bevel_gears.pinion_pitch_angle(ratio)
    forces = bevel_gears.tooth_forces(1.0, cone, pressure, 0.0, flank)
    assert forces.axial == pytest.approx(np.tan(pressure) * np.sin(cone), rel=1e-12)
    assert forces.radial == pytest.approx(np.tan(pressure) * np.cos(cone), rel=1e-12)


@given(signs, signs, signs)
def test_turning_any_one_sign_changes_the_flank(hand: float, rotation: float, torque: float) -> None:
    flank = bevel_gears.loaded_flank(hand, rotation, torque)
    assert bevel_gears.loaded_flank(-hand, rotation, torque) == -flank
    assert bevel_gears.loaded_flank(hand, -rotation, torque) == -flank
    assert bevel_gears.loaded_flank(hand, rotation, -torque) == -flank


@given(ratios, st.floats(0.3, 0.99), st.floats(0.0, 1.0))
def test_mean_diameters_keep_the_ratio(ratio: float, diameter: float, face: float) -> None:
    pinion_cone = bevel_gears.pinion_pitch_angle(ratio)
    ring_cone = bevel_gears.RIGHT_ANGLE - pinion_cone
    face_width = face * diameter / (2.0 * np.sin(ring_cone)) * 0.999
    ring = bevel_gears.mean_diameter(diameter, face_width, ring_cone)
    pinion = bevel_gears.mean_diameter(diameter / ratio, face_width, pinion_cone)
    assert ring / pinion == pytest.approx(ratio, rel=1e-9)


def test_one_build_and_many_give_the_same() -> None:
    ratio = np.array([3.0, 3.73, 4.1, 5.38])
    cones = bevel_gears.pinion_pitch_angle(ratio)
    many = bevel_gears.tooth_forces(1000.0, cones, 20 * DEGREE, 35 * DEGREE, -1.0)
    for place, cone in enumerate(cones):
        one = bevel_gears.tooth_forces(1000.0, cone, 20 * DEGREE, 35 * DEGREE, -1.0)
        assert (one.axial, one.radial) == (many.axial[place], many.radial[place])


@pytest.mark.parametrize(
    ("argument", "arguments"),
    [
        ("tangential_force", {"tangential_force": -1.0}),
        ("pitch_angle", {"pitch_angle": 1.6}),
        ("pressure_angle", {"pressure_angle": np.nan}),
        ("spiral_angle", {"spiral_angle": -0.1}),
        ("loaded_flank", {"loaded_flank": 0.5}),
    ],
)
def test_forces_refuse_what_is_no_tooth(argument: str, arguments: dict[str, float]) -> None:
    sound = {"tangential_force": 1.0, "pitch_angle": 0.2, "pressure_angle": 0.3}
    with pytest.raises(DomainError) as refusal:
        bevel_gears.tooth_forces(**(sound | arguments))
    assert refusal.value.argument == argument


def test_a_face_longer_than_the_cone_is_refused() -> None:
    with pytest.raises(DomainError, match="face_width must be at most the cone distance"):
        bevel_gears.mean_diameter(0.2, 0.15, 76 * DEGREE)


@pytest.mark.parametrize("hand", [0.0, 2.0, np.nan])
def test_a_hand_is_left_or_right(hand: float) -> None:
    with pytest.raises(DomainError, match="hand"):
        bevel_gears.loaded_flank(hand, 1.0)


def test_a_face_may_reach_to_the_apex() -> None:
    """A crown gear: the cone distance is half the diameter."""
    assert bevel_gears.mean_diameter(0.2, 0.1, bevel_gears.RIGHT_ANGLE) == pytest.approx(0.1)
    with pytest.raises(DomainError, match="face_width"):
        bevel_gears.mean_diameter(0.2, 0.1001, bevel_gears.RIGHT_ANGLE)


@pytest.mark.parametrize("name", ["pressure_angle", "spiral_angle"])
def test_teeth_lean_up_to_89_degrees(name: str) -> None:
    sound = {"tangential_force": 1.0, "pitch_angle": 0.2, "pressure_angle": 0.3}
    bevel_gears.tooth_forces(**(sound | {name: 89 * DEGREE}))
    with pytest.raises(DomainError, match=name):
        bevel_gears.tooth_forces(**(sound | {name: 89.1 * DEGREE}))
