"""Worked examples that need several functions: the docstring is the citation.

A quantity from a source keeps its unit there: ``1.5 * INCH``.
"""

import numpy as np
import pytest

from gearing_api.mechanics import (
    axle_torques,
    bevel_gears,
    gear_ratings,
    housings,
    joints,
    shafts,
    splines,
    wheel_ends,
)
from gearing_api.tables import table

INCH = 0.0254
FOOT = 0.3048
LBF = 4.4482216152605
PSI = LBF / INCH**2
HORSEPOWER = 550 * FOOT * LBF
RPM = np.pi / 30
DEGREE = np.pi / 180


def test_a3_forces_act_at_the_mean_diameter() -> None:
    """Shigley, Mechanical Engineering Design, Ex. 13-7: data second hand, the rest from memory (high)."""
    torque = 5 * HORSEPOWER / (600 * RPM)
    cone = bevel_gears.pinion_pitch_angle(45 / 15)
    mean = bevel_gears.tangential_force(torque, 2 * 1.293 * INCH)
    radial_and_axial = bevel_gears.tooth_forces(mean, cone, 20 * DEGREE)
    assert mean / LBF == pytest.approx(406, rel=0.005)
    assert radial_and_axial.radial / LBF == pytest.approx(140, rel=0.005)
    assert radial_and_axial.axial / LBF == pytest.approx(46.7, rel=0.005)
    assert mean * 3 * 1.293 * INCH / (LBF * INCH) == pytest.approx(1576, rel=0.005)


def test_a4_the_outer_diameter_would_be_wrong_for_bearing_loads() -> None:
    """Shigley, Mechanical Engineering Design, Ex. 13-7: outer radius 1.5 in, 350 lbf, computed."""
    torque = 5 * HORSEPOWER / (600 * RPM)
    outer = bevel_gears.tangential_force(torque, 2 * 1.5 * INCH)
    mean = bevel_gears.tangential_force(torque, 2 * 1.293 * INCH)
    assert outer / LBF == pytest.approx(350, rel=0.005)
    assert mean / outer == pytest.approx(1.16, abs=0.005)


def test_a5_the_gear_has_the_pinion_forces_swapped() -> None:
    """Wentzell, Machine Design, Ex. 13.3, as reproduced in public course code."""
    force = bevel_gears.tangential_force(63000 * 8 / 2200 * LBF * INCH, 3 * INCH)
    pinion = bevel_gears.tooth_forces(force, bevel_gears.pinion_pitch_angle(36 / 24), 14.5 * DEGREE)
    ring_cone = bevel_gears.RIGHT_ANGLE - bevel_gears.pinion_pitch_angle(36 / 24)
    gear = bevel_gears.tooth_forces(force, ring_cone, 14.5 * DEGREE)
    assert force / LBF == pytest.approx(152.73, rel=0.001)
    assert np.array(pinion) / LBF == pytest.approx([21.92, 32.86], rel=0.001)
    assert np.array(gear) / LBF == pytest.approx([32.86, 21.92], rel=0.001)


# ratio, then axial and radial on the drive flank, axial and radial on the coast flank
UNIT_FORCES = [
    (1.0, 0.8093, -0.1809, -0.1809, 0.8093),
    (3.0, 0.8048, 0.2001, -0.5238, 0.6429),
    (3.727, 0.7914, 0.2477, -0.5611, 0.6106),
    (4.10, 0.7856, 0.2658, -0.5750, 0.5976),
    (4.556, 0.7792, 0.2839, -0.5887, 0.5841),
    (5.375, 0.7697, 0.3088, -0.6071, 0.5649),
]


@pytest.mark.parametrize(("ratio", "axial", "radial", "coast_axial", "coast_radial"), UNIT_FORCES)
def test_a7_a8_forces_on_either_flank(
    ratio: float, axial: float, radial: float, coast_axial: float, coast_radial: float
) -> None:
    """A bearing maker's manual's spiral-bevel formula at phi 20, psi 35 degrees: computed."""
    cone = bevel_gears.pinion_pitch_angle(ratio)
    forces = bevel_gears.tooth_forces(1.0, cone, 20 * DEGREE, 35 * DEGREE, [+1, -1])
    assert forces.axial == pytest.approx([axial, coast_axial], abs=1e-4)
    assert forces.radial == pytest.approx([radial, coast_radial], abs=1e-4)


def test_a9_a_220_mm_ring_gear() -> None:
    """A bearing maker's manual's formulas, 5000 N m on a 41/10 set of 220 mm, face 34 mm: computed."""
    cone = bevel_gears.pinion_pitch_angle(4.1)
    mean = bevel_gears.mean_diameter(0.220, 0.034, bevel_gears.RIGHT_ANGLE - cone)
    force = bevel_gears.tangential_force(5000.0, mean)
    forces = bevel_gears.tooth_forces(force, cone, 20 * DEGREE, 35 * DEGREE, [+1, -1])
    assert force == pytest.approx(53485, rel=0.001)
    assert forces.axial == pytest.approx([42015, -30753], rel=0.001)
    assert forces.radial == pytest.approx([14214, 31962], rel=0.001)
    assert np.sqrt(force**2 + forces.axial**2 + forces.radial**2) == pytest.approx(69483, rel=0.001)


@pytest.mark.parametrize(("hand", "rotation", "flank"), [(1, 1, 1), (-1, -1, 1), (1, -1, -1), (-1, 1, -1)])
def test_a11_hand_and_rotation_decide_the_flank(hand: int, rotation: int, flank: int) -> None:
    """Vector algebra of a driving pinion, left hand and clockwise +1: computed."""
    assert bevel_gears.loaded_flank(hand, rotation) == flank
    cone = bevel_gears.pinion_pitch_angle(4.1)
    forces = bevel_gears.tooth_forces(1.0, cone, 20 * DEGREE, 35 * DEGREE, flank)
    assert np.sign(forces.axial) == flank


def test_a14_force_from_power() -> None:
    """A bearing maker's manual, 1.91e7 kW / (mm rpm) and 1.26e5 hp / (in rpm): computed."""
    metric = bevel_gears.tangential_force(100e3 / (1000 * RPM), 0.200)
    us = bevel_gears.tangential_force(100 * HORSEPOWER / (1000 * RPM), 8 * INCH)
    assert metric == pytest.approx(1.91e7 * 100 / (200 * 1000), rel=0.001)
    assert metric == pytest.approx(9550, rel=0.001)
    assert us / LBF == pytest.approx(1575, rel=0.001)


def test_a18_speed_and_force() -> None:
    """Shigley, Mechanical Engineering Design, Ex. 15-2, as reproduced in public course code."""
    diameter = 20 / 8 * INCH
    speed = np.pi * diameter * 900 / 60
    force = bevel_gears.tangential_force(6.85 * HORSEPOWER / (900 * RPM), diameter)
    assert speed / (FOOT / 60) == pytest.approx(589, rel=0.001)
    assert force / LBF == pytest.approx(383.8, rel=0.001)


def test_a19_the_elastic_coefficient_in_both_systems() -> None:
    """The axle method's 2800 sqrt(psi): computed."""
    root_psi = np.sqrt(PSI)
    assert 2800 * root_psi / 1e3 == pytest.approx(232.50, rel=0.0002)
    default = gear_ratings.contact_stress(1.0, 1.0, 1.0, 1.0, load_distribution_factor=0.5)
    assert default == pytest.approx(2800 * root_psi, rel=0.001)


def test_the_derived_contact_factor_is_near_the_chart() -> None:
    """Shigley, Mechanical Engineering Design, Ex. 15-1: I = 0.065 read from the chart of AGMA 2003-B97."""
    cone = bevel_gears.pinion_pitch_angle(1.0)
    mean_to_outer = bevel_gears.mean_diameter(5.0, 1.1, cone) / 5.0
    derived = gear_ratings.contact_geometry_factor(mean_to_outer, cone, 20 * DEGREE, 0.0)
    assert np.sqrt(derived / 0.065) == pytest.approx(1.0, abs=0.15)


def test_a23_grip_limit_stands_above_the_engine_limit() -> None:
    """A thesis on a heavy truck's axle: inputs and the engine's 33250 N m published, grip side computed."""
    grip = axle_torques.grip_limited_torque(160000.0, 0.85, 0.47, hub_efficiency=0.9)
    assert grip == pytest.approx(71022, rel=1e-4)
    assert grip > 33250


def test_a26_a28_one_ring_gear_through_the_axle_method() -> None:
    """Liu Weixin and Wang Wangyu, from memory (high): near the limits together, 5000 N m on 220 mm."""
    module = 0.220 / 41
    stress = gear_ratings.bending_stress(5000.0, 41, module, 0.034, gear_ratings.size_factor(module))
    assert module * 1e3 == pytest.approx(5.3659, abs=1e-4)
    assert stress / 1e6 == pytest.approx(774, rel=0.002)
    assert gear_ratings.unit_load(5000.0, 0.220, 0.034) / 1e3 == pytest.approx(1337, rel=0.001)
    assert stress / 700e6 == pytest.approx(1.11, abs=0.01)


def test_ring_gear_sizes_of_the_trade() -> None:
    """7 1/8, 8 1/2, 10 in ring gears are common practice, no published source; K = 13 from memory (high)."""
    torque = gear_ratings.ring_gear_capacity(np.array([7.125, 8.5, 10.0]) * INCH)
    assert torque == pytest.approx([2698, 4581, 7459], rel=0.001)
    assert torque / torque[0] == pytest.approx([1, 1.70, 2.77], abs=0.01)


def test_the_coast_flank_carries_less() -> None:
    """Reverse-spiral front sets about 30 % stronger: common practice, no published source."""
    drive, coast = gear_ratings.ring_gear_capacity(0.2159, [+1, -1])
    assert drive / coast == pytest.approx(1.3, abs=1e-12)


def test_a33_a_coarse_stub_is_about_as_thick() -> None:
    """19 teeth of 16/32 about as thick as 27 of 24/48: common practice, no published source.

    The roots of ANSI B92.1-1970: 6 % more torque. Computed.
    """
    coarse, fine = splines.external_minor_diameter([19, 27], [16, 24])
    assert coarse / fine == pytest.approx(1.02, abs=0.005)
    assert shafts.yield_torque(1.0, coarse) / shafts.yield_torque(1.0, fine) == pytest.approx(1.061, abs=5e-4)


def test_a34_thirty_five_teeth_against_thirty() -> None:
    """Roots of ANSI B92.1-1970, 24/48: computed."""
    torque = shafts.yield_torque(1.0, splines.external_minor_diameter([35, 30], 24))
    assert torque[0] / torque[1] == pytest.approx(1.637, abs=5e-4)


def test_a35_stress_twist_and_allowed_torque() -> None:
    """Gere, Mechanics of Materials, Ex. 3-1, as reproduced in public course code."""
    modulus = 11.5e6 * PSI
    torque = 250 * LBF * FOOT
    stress = shafts.torsional_stress(torque, 0.75 * INCH, shafts.polar_moment(1.5 * INCH))
    per_torque = shafts.twist_beyond_yield(1.0, 54 * INCH, 6000 * PSI, 1.5 * INCH, modulus)
    allowed = min(shafts.yield_torque(6000 * PSI, 1.5 * INCH), 2.5 * DEGREE / per_torque)
    assert stress / PSI == pytest.approx(4527, rel=2e-4)
    assert torque * per_torque / DEGREE == pytest.approx(1.62, abs=0.005)
    assert allowed / (LBF * FOOT) == pytest.approx(331, rel=0.002)


def test_a36_inner_stress_of_a_hollow_shaft() -> None:
    """Beer & Johnston, Mechanics of Materials, Ex. 3.01, as reproduced in public course code."""
    torque = shafts.yield_torque(120e6, 0.060, 0.040)
    inner = shafts.torsional_stress(torque, 0.020, shafts.polar_moment(0.060, 0.040))
    assert torque / 1e3 == pytest.approx(4.08, abs=0.005)
    assert inner / 1e6 == pytest.approx(80, rel=1e-6)


def test_a37_hollow_middle() -> None:
    """Beer & Johnston, Mechanics of Materials, sample problem 3.1, as reproduced in public course code."""
    section = shafts.polar_moment(0.120, 0.090)
    stress = shafts.torsional_stress(20e3, [0.060, 0.045], section)
    assert stress / 1e6 == pytest.approx([86.2, 64.7], abs=0.05)


def test_a38_permanent_twist() -> None:
    """Beer & Johnston, Mechanics of Materials, Ex. 3.08, as reproduced in public course code."""
    wound = shafts.twist_beyond_yield(4.60e3, 1.2, 150e6, 0.050, 77e9)
    sprung_back = 4.60e3 * 1.2 / (77e9 * shafts.polar_moment(0.050))
    assert (wound - sprung_back) / DEGREE == pytest.approx(1.8, abs=0.05)


def test_a40_hollow_against_solid() -> None:
    """Gere, Mechanics of Materials, ch. 3.3, as reproduced in public course code."""
    solid, hollow = shafts.torsional_stress(1.0, 0.5, shafts.polar_moment(1.0, [0.0, 0.6]))
    assert hollow / solid == pytest.approx(1.149, abs=5e-4)


def test_a41_shear_strength_of_the_table() -> None:
    """MMPDS-01, table 2.3.1.0(g2): shear ultimate 0.60 of the tensile in every row printed there."""
    steels = table("steels")
    tensile, shear = steels.column("tensile"), steels.column("shear_ultimate")
    ratios = [b / a for a, b in zip(tensile, shear, strict=True) if b is not None]
    assert len(ratios) == 7
    assert ratios == pytest.approx([0.60] * 7, abs=1e-4)


def test_a42_torques_of_4340_shafts() -> None:
    """AMS 6414 minimum yield of 4340, MMPDS-01, in the table of steels x 0.577: computed."""
    strength = table("steels").keyed("name", "yield")["alloy-4340"]
    assert isinstance(strength, float)
    stress = shafts.shear_yield(strength * 1e6)
    diameter = np.array([1.31, 1.50]) * INCH
    assert strength * 1e6 / (1000 * PSI) == pytest.approx(217, rel=1e-5)
    elastic, plastic = shafts.yield_torque(stress, diameter), shafts.plastic_torque(stress, diameter)
    assert elastic / (LBF * FOOT) == pytest.approx([4606, 6914], rel=0.002)
    assert plastic / (LBF * FOOT) == pytest.approx([6141, 9219], rel=0.002)


def test_a45_speeds_and_acceleration() -> None:
    """Bevan, The Theory of Machines, ch. 4, as reproduced in public course code."""
    speed = 1000 * RPM
    highest = joints.highest_cardan_ratio(20 * DEGREE)
    peak = joints.cardan_acceleration(speed, 20 * DEGREE, joints.rotation_of_peak_acceleration(20 * DEGREE))
    assert [speed, speed * highest, speed / highest] == pytest.approx([104.7, 111.4, 98.4], abs=0.05)
    assert abs(peak) == pytest.approx(1370, rel=0.001)


def test_a49_peak_torque() -> None:
    """The published form of the joint's ratio at 30 degrees: computed."""
    assert 1000 * joints.highest_cardan_ratio(30 * DEGREE) == pytest.approx(1154.7, abs=0.05)


@pytest.mark.parametrize(("angle", "torque"), [(10, 0.697), (30, 0.501)])
def test_a50_torque_for_equal_life(angle: float, torque: float) -> None:
    """An industrial joint maker's sizing guide, life at 3 degrees as the measure: computed."""
    reference = joints.bearing_life(1.0, 1.0, 3 * DEGREE, 100 * RPM)
    life = joints.bearing_life(1.0, torque, angle * DEGREE, 100 * RPM)
    assert life / reference == pytest.approx(1.0, abs=0.005)


def test_a51_angles_for_a_limit_of_acceleration() -> None:
    """A published table, 400 rad/s2 at 1500 rpm, prints 8.9 and 11.6: computed to two places."""
    second = joints.steepest_second_joint(400.0, 1500 * RPM, np.array([5.0, 9.0]) * DEGREE)
    assert second / DEGREE == pytest.approx([8.84, 11.59], abs=0.005)


def test_a52_a53_torsion_takes_twice_the_section() -> None:
    """A 2025 paper on an axle housing; Mott, Machine Elements in Mechanical Design, table A16-6."""
    assert 2 * housings.tube_modulus(0.080, 0.010) * 1e9 == pytest.approx(68722, abs=1)
    assert 2 * housings.tube_modulus(3.5 * INCH, 0.216 * INCH) / INCH**3 == pytest.approx(3.448, abs=6e-4)


def test_a54_housing_of_an_axle_standing_and_off_road() -> None:
    """Statics: computed; the factor of 3 is from memory (high)."""
    moment = housings.bending_moment(14000.0, 1.55, 1.0, 600.0)
    stress = housings.housing_stress(moment, housings.tube_modulus(0.0762, 0.00635), [1.0, 3.0])
    assert moment == pytest.approx(1760, abs=0.5)
    assert stress / 1e6 == pytest.approx([78.3, 234.8], abs=0.05)


def test_a55_the_far_fibre_of_a_truss_may_be_the_weaker() -> None:
    """Parallel-axis theorem: computed."""
    bare = housings.tube_modulus(0.0762, 0.00635)
    section = housings.trussed_section(0.0762, 0.00635, 0.0381, 0.00305, 0.120)
    assert bare * 1e9 == pytest.approx(22490, abs=1)
    assert section.top_modulus < section.bottom_modulus


def test_clearance_of_the_trade() -> None:
    """36 to 40 in tyres give two inches, a 10 in axle costs 1.75: common practice, no published source."""
    drop = table("trade-figures").keyed("name", "value")
    small, large = drop["housing-drop-7.125"], drop["housing-drop-10"]
    assert isinstance(small, float)
    assert isinstance(large, float)
    before, after, swapped = housings.housing_clearance(
        np.array([18.0, 20.0, 20.0]) * INCH, np.array([small, small, large]) * INCH
    )
    assert (after - before) / INCH == pytest.approx(2.0, abs=1e-9)
    assert (after - swapped) / INCH == pytest.approx(1.75, abs=1e-9)


def test_grip_torque_grows_with_the_tyre() -> None:
    """35 to 40 in tyres raise the grip torque by 14 %: computed."""
    small, large = axle_torques.grip_limited_torque(9000.0, 1.0, np.array([17.5, 20.0]) * INCH)
    assert large / small == pytest.approx(1.14, abs=0.005)


def test_a37_a_taller_truss_grows_without_bound() -> None:
    """Parallel-axis theorem, chord 120 and 360 mm above the tube, 17.5 kN across: computed. A trap: see A40."""
    section = housings.trussed_section(0.0762, 0.00635, 0.0381, 0.00305, [0.120, 0.360])
    flow = housings.shear_flow(17.5e3, section.first_moment, section.second_moment)
    assert section.top_modulus * 1e9 == pytest.approx([41520, 116393], rel=1e-4)
    assert section.bottom_modulus * 1e9 == pytest.approx([78263, 333112], rel=1e-4)
    assert flow / 1e3 == pytest.approx([118.3, 47.4], abs=0.05)


def test_a38_without_a_web_the_gain_is_small() -> None:
    """Sum of the second moments: computed."""
    together = housings.side_by_side_modulus(0.0762, 0.00635, 0.0381, 0.00305)
    assert together / housings.tube_modulus(0.0762, 0.00635) == pytest.approx(1.06, abs=0.005)


def test_a39_shear_that_the_welds_of_a_truss_carry() -> None:
    """Chord 180 mm above the tube, two 4 mm legs on a third of its length: AWS, fatigue factor second hand."""
    section = housings.trussed_section(0.0762, 0.00635, 0.0381, 0.00305, 0.180)
    per_force = housings.shear_flow(1.0, section.first_moment, section.second_moment)
    once, often = housings.weld_shear_flow(0.004, 1 / 3, fatigue_factor=[1.0, 2.7]) / per_force
    assert once / 1e3 == pytest.approx(54.2, abs=0.1)
    assert often / 1e3 == pytest.approx(20.1, abs=0.1)


def test_a40_the_bare_tube_at_the_end_of_a_truss() -> None:
    """Wheel load 6400 N x 2.5, truss ending 275, 200, 150 mm inboard of the wheel: statics, computed."""
    moment = 2.5 * 6400.0 * np.array([0.275, 0.200, 0.150])
    stress = housings.housing_stress(moment, housings.tube_modulus(0.0762, 0.00635), 1.0)
    assert stress / 1e6 == pytest.approx([195.6, 142.3, 106.7], abs=0.05)


def test_a42_fillet_welds_in_shear() -> None:
    """Jindal, Machine Design, Ex. 12-1 and 12-3, as reproduced in public course code."""
    per_stress = housings.weld_shear_flow(0.008, welds=1, strength=1.0, fatigue_factor=1) * 4 * 0.060
    assert 100e3 / per_stress / 1e6 == pytest.approx(73.7, abs=0.05)
    pair = housings.weld_shear_flow(0.012, strength=80e6, fatigue_factor=1) * 0.060
    assert pair / 1e3 == pytest.approx(81.45, abs=0.01)


def test_a43_length_of_welds_once_and_in_fatigue() -> None:
    """Sarkar, Strength of Materials, Ex. 17.3: 12.5 mm are lost at start and stop; second hand."""
    lengths = 50e3 / housings.weld_shear_flow(0.010, strength=60e6, fatigue_factor=[1.0, 2.7]) * 1e3 + 12.5
    assert lengths == pytest.approx([71.43, 171.6], abs=0.05)


def test_a46_the_step_from_endurance_to_the_limit_of_the_trade() -> None:
    """AGMA 2003-B97 life factors, second hand: peak to endurance 2.60 by bending, 2.30 by contact; K 10 to 13: 2.2."""
    both = gear_ratings.ring_gear_capacity(0.2159, 1.0, [gear_ratings.USUAL_SIZE_COEFFICIENT, 0.013])
    assert both[0] / both[1] == pytest.approx(2.197, abs=0.001)


def test_a21_a_semi_floating_shaft_bends_and_twists() -> None:
    """A university text after the textbook axle method, shaft 38.1 mm, radius 420 mm, 6000 N, 0.85: computed."""
    moment = wheel_ends.drive_moment([0.090, 0.128], 6000.0, 5100.0)
    torque = 5100.0 * 0.420
    section = shafts.polar_moment(0.0381) / (0.0381 / 2)
    bending, shear = 2.0 * moment / section, torque / section
    assert shafts.largest_shear_stress(torque, 2.0 * moment[0]) == pytest.approx(2256, rel=1e-3)
    assert bending[0] / 1e6 == pytest.approx(130.5, rel=1e-3)
    assert shear / 1e6 == pytest.approx(197.2, rel=1e-3)
    assert 2.0 * shafts.largest_shear_stress(shear, bending) / 1e6 == pytest.approx([415.5, 436.0], rel=1e-3)


def test_a22_a_skid_loads_the_outer_wheel() -> None:
    """A university text after the textbook axle method: 12000 N, 0.75 m high, track 1.55 m, 0.8; computed."""
    loads = wheel_ends.skid_wheel_loads(12000.0, 0.8, 0.75, 1.55)
    assert loads == pytest.approx((10645, 1355), abs=0.5)
    assert wheel_ends.skid_moments(0.090, loads, 0.8, 0.420) == pytest.approx((2619, 577), abs=1)


def test_a24_bearings_of_a_full_floating_hub() -> None:
    """Statics: 60 mm apart, wheel plane 30 and 68 mm from the inner bearing: computed."""
    loads = wheel_ends.bearing_loads(6000.0, np.array([0.030, 0.068]), 0.060)
    assert loads.outer == pytest.approx([3000, 6800])
    assert loads.inner == pytest.approx([3000, -800])


def test_a36_braking_bends_and_twists_the_housing() -> None:
    """1760 N m down, 7000 N x 0.85 back at 0.275 m and 0.42 m of radius, W 22490 mm3: von Mises, computed."""
    torque, back = 0.85 * 7000.0 * 0.42, 0.85 * 7000.0 * 0.275
    modulus = housings.tube_modulus(0.0762, 0.00635)
    bending = housings.housing_stress(np.hypot(1760.0, back), modulus, 1.0)
    assert torque == pytest.approx(2499)
    assert back == pytest.approx(1636, abs=0.5)
    assert housings.equivalent_stress(bending, torque / (2.0 * modulus)) / 1e6 == pytest.approx(
        143.8, abs=0.1
    )
