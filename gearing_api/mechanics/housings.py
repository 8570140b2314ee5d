"""The axle housing: bending of its tube with or without a truss, clearance and width."""

from math import pi
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require, within

STEEL_MODULUS = 206e9
"""Young's modulus of steel. [Pa]"""

POISSON = 0.3
"""Poisson's ratio of steel. [-]"""

WELD_STRENGTH = 0.30 * 482.6e6
"""Shear stress allowed in a fillet weld: 0.30 x the tensile strength of a 70 ksi electrode. [Pa]"""

FILLET_FATIGUE = 2.7
"""Fatigue factor at the end of a parallel fillet weld. [-]"""

_THROAT = 0.707
_PLATE_IN_SHEAR = 5.35
_MISES = 0.577


class TrussedSection(NamedTuple):
    """Second moment about the joint centroid, section modulus of the lowest and highest fibre.

    `first_moment` is that of the chord about the joint centroid, which the shear between tube and chord goes by.
    """

    second_moment: Array
    bottom_modulus: Array
    top_modulus: Array
    first_moment: Array


def tube_second_moment(tube_diameter: ArrayLike, tube_wall: ArrayLike) -> Array:
    r"""Second moment of a round tube in bending; in torsion it is twice that.

    .. math:: I = \frac{\pi}{64} (D^4 - d^4)

    Parameters
    ----------
    tube_diameter : array_like
        Outer diameter, > 0. [m]
    tube_wall : array_like
        Thickness, above 0, at most half the diameter. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m4]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(tube_second_moment(0.0762, 0.00635)) * 1e12)
    856855
    """
    return _second_moment(*_tube(tube_diameter, tube_wall))


def tube_modulus(tube_diameter: ArrayLike, tube_wall: ArrayLike) -> Array:
    r"""Section modulus of a round tube in bending; in torsion it is twice that.

    .. math:: W = 2 I / D

    Parameters
    ----------
    tube_diameter : array_like
        Outer diameter, > 0. [m]
    tube_wall : array_like
        Thickness, above 0, at most half the diameter. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m3]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(tube_modulus(0.0762, 0.00635)) * 1e9)
    22490
    """
    outer, thickness = _tube(tube_diameter, tube_wall)
    return 2.0 * _second_moment(outer, thickness) / outer


def trussed_section(
    tube_diameter: ArrayLike,
    tube_wall: ArrayLike,
    truss_diameter: ArrayLike,
    truss_wall: ArrayLike,
    truss_height: ArrayLike,
) -> TrussedSection:
    r"""The tube and a round truss chord above it, bending vertically as one section.

    A truss of no diameter, wall and height is no truss. It stiffens vertical bending only, not torsion;
    the higher fibre may be the weaker one.

    .. math:: I = \sum (I_i + A_i y_i^2), \quad W = I / c

    Parameters
    ----------
    tube_diameter : array_like
        Outer diameter of the tube, > 0. [m]
    tube_wall : array_like
        Thickness, above 0, at most half the diameter. [m]
    truss_diameter : array_like
        Outer diameter of the chord, >= 0. [m]
    truss_wall : array_like
        Its thickness, from 0 to half its diameter. [m]
    truss_height : array_like
        From the centre of the tube to that of the chord, >= 0. [m]

    Returns
    -------
    TrussedSection
        All in the shape the arguments broadcast to; moduli and first moment in m3. [m4]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> section = trussed_section(0.0762, 0.00635, 0.0381, 0.00305, 0.120)
    >>> round(float(section.bottom_modulus) * 1e9), round(float(section.top_modulus) * 1e9)
    (78263, 41520)
    """
    tube, tube_thickness = _tube(tube_diameter, tube_wall)
    chord = not_negative("truss_diameter", truss_diameter)
    chord_thickness = not_negative("truss_wall", truss_wall)
    require("truss_wall", 2.0 * chord_thickness <= chord, "at most half the truss's diameter")
    height = not_negative("truss_height", truss_height)

    metal, chord_metal = _area(tube, tube_thickness), _area(chord, chord_thickness)
    area = metal + chord_metal
    centroid = chord_metal * height / area
    second_moment = (
        _second_moment(tube, tube_thickness)
        + _second_moment(chord, chord_thickness)
        + metal * chord_metal / area * (height * height)
    )
    top = np.maximum(tube / 2.0, height + chord / 2.0) - centroid
    return TrussedSection(
        second_moment=second_moment,
        bottom_modulus=second_moment / (centroid + tube / 2.0),
        top_modulus=second_moment / top,
        first_moment=chord_metal * (height - centroid),
    )


def side_by_side_modulus(
    tube_diameter: ArrayLike, tube_wall: ArrayLike, truss_diameter: ArrayLike, truss_wall: ArrayLike
) -> Array:
    r"""Section modulus of tube and chord that bend side by side, with no web to make them one section.

    .. math:: W = 2 \frac{I_1 + I_2}{\max(D_1, D_2)}

    Parameters
    ----------
    tube_diameter : array_like
        Outer diameter of the tube, > 0. [m]
    tube_wall : array_like
        Thickness, above 0, at most half the diameter. [m]
    truss_diameter : array_like
        Outer diameter of the chord, > 0. [m]
    truss_wall : array_like
        Its thickness, above 0, at most half its diameter. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m3]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> gain = side_by_side_modulus(0.0762, 0.00635, 0.0381, 0.00305) / tube_modulus(0.0762, 0.00635)
    >>> round(float(gain), 2)
    1.06
    """
    outer, thickness = _tube(tube_diameter, tube_wall)
    chord = positive("truss_diameter", truss_diameter)
    chord_thickness = positive("truss_wall", truss_wall)
    require("truss_wall", 2.0 * chord_thickness <= chord, "at most half the truss's diameter")
    total = _second_moment(outer, thickness) + _second_moment(chord, chord_thickness)
    return 2.0 * total / np.maximum(outer, chord)


def buckling_stress(
    panel: ArrayLike, diameter: ArrayLike, wall: ArrayLike, yield_strength: ArrayLike
) -> Array:
    r"""Compressive stress at which a round tube gives way between two webs, hinged at both.

    Slender tubes by Euler, stocky ones by Johnson's parabola, which meets it at half the yield.

    .. math:: \lambda = L / r, \quad \sigma = \frac{\pi^2 E}{\lambda^2} \text{ or }
              \sigma_y \left(1 - \frac{\sigma_y \lambda^2}{4 \pi^2 E}\right)

    Parameters
    ----------
    panel : array_like
        Free length between webs, > 0. [m]
    diameter : array_like
        Outer diameter of the tube, > 0. [m]
    wall : array_like
        Thickness, above 0, at most half the diameter. [m]
    yield_strength : array_like
        > 0. [Pa]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Second hand: columns after Euler and Johnson, in any text on strength of materials.

    Examples
    --------
    >>> (buckling_stress([0.1, 1.0, 2.0], 0.0381, 0.00305, 414e6) / 1e6).round().tolist()
    [413.0, 278.0, 79.0]
    """
    outer, thickness = _tube(diameter, wall)
    strength = positive("yield_strength", yield_strength)
    length = positive("panel", panel)
    slender = length * length * _area(outer, thickness) / _second_moment(outer, thickness)
    euler = pi * pi * STEEL_MODULUS / slender
    return np.where(2.0 * euler <= strength, euler, strength * (1.0 - strength / (4.0 * euler)))


def shear_flow(shear_force: ArrayLike, first_moment: ArrayLike, second_moment: ArrayLike) -> Array:
    r"""Shear force per length along a joint of a bent section.

    .. math:: q = V Q / I

    Parameters
    ----------
    shear_force : array_like
        Across the section, >= 0. [N]
    first_moment : array_like
        Of the part beyond the joint, about the centroid of the whole, >= 0. [m3]
    second_moment : array_like
        Of the whole section, > 0. [m4]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N/m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Second hand: Popov, Engineering Mechanics of Solids, ch. 7.

    Examples
    --------
    >>> round(float(shear_flow(3000.0, 625000e-9, 113.54e-6)) / 1e3, 2)
    16.51
    """
    force = not_negative("shear_force", shear_force) * not_negative("first_moment", first_moment)
    return force / positive("second_moment", second_moment)


def weld_shear_flow(
    leg: ArrayLike,
    welded_share: ArrayLike = 1.0,
    welds: ArrayLike = 2.0,
    strength: ArrayLike = WELD_STRENGTH,
    fatigue_factor: ArrayLike = FILLET_FATIGUE,
) -> Array:
    r"""Shear force per length that fillet welds along a joint are allowed to carry.

    .. math:: q = n\, 0.707\, a\, \tau\, s / k_f

    Parameters
    ----------
    leg : array_like
        Of each weld, > 0. [m]
    welded_share : array_like
        Share of the length that is welded, above 0 to 1; 1 unless given. [-]
    welds : array_like
        Welds side by side, > 0; 2, one on each side of a plate, unless given. [-]
    strength : array_like
        Shear stress allowed in the throat, > 0; that of a 70 ksi electrode unless given. [Pa]
    fatigue_factor : array_like
        > 0; 2.7, that of the end of a parallel fillet weld, unless given, 1 for a load that comes once. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N/m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] 0.30 x the tensile strength of the electrode: a welding text on AWS D1.1, clause 2.
    .. [2] Second hand: the factor 2.7, texts on machine elements.

    Examples
    --------
    >>> (weld_shear_flow(0.004, 1 / 3, fatigue_factor=[1.0, 2.7]) / 1e3).round().tolist()
    [273.0, 101.0]
    """
    share = within("welded_share", welded_share, 1e-6, 1.0)
    throat = _THROAT * positive("leg", leg) * positive("welds", welds)
    return throat * positive("strength", strength) * share / positive("fatigue_factor", fatigue_factor)


def web_shear_flow(wall: ArrayLike, height: ArrayLike, yield_strength: ArrayLike) -> Array:
    r"""Shear force per length at which the web plate of a truss yields or buckles, whichever comes first.

    .. math:: q = t \min\left(0.577 \sigma_y,
              \frac{5.35 \pi^2 E}{12 (1 - \nu^2)} \left(\frac{t}{h}\right)^2\right)

    Parameters
    ----------
    wall : array_like
        Thickness of the plate, > 0. [m]
    height : array_like
        Free height between tube and chord, >= 0. [m]
    yield_strength : array_like
        > 0. [Pa]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N/m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A long plate in shear, hinged along its edges, 5.35: from memory (high).

    Examples
    --------
    >>> (web_shear_flow([0.001, 0.005], 0.1, 414e6) / 1e3).round().tolist()
    [100.0, 1194.0]
    """
    thickness, free = positive("wall", wall), not_negative("height", height)
    yields = _MISES * positive("yield_strength", yield_strength)
    plate = _PLATE_IN_SHEAR * pi * pi * STEEL_MODULUS / (12.0 * (1.0 - POISSON * POISSON))
    slender = thickness / np.maximum(free, thickness)
    return thickness * np.minimum(yields, plate * slender * slender)


def bending_moment(
    axle_load: ArrayLike, track: ArrayLike, spring_seat_spacing: ArrayLike, wheel_weight: ArrayLike = 0.0
) -> Array:
    r"""Bending moment of a standing axle at its spring seats.

    .. math:: M = \left(\frac{G}{2} - g_w\right) \frac{B - s}{2}

    Parameters
    ----------
    axle_load : array_like
        Weight on the axle, >= 0. [N]
    track : array_like
        Between the wheel centres, > 0. [m]
    spring_seat_spacing : array_like
        Between the spring seats, from above 0 to the track. [m]
    wheel_weight : array_like
        Of a wheel with its hub, from 0 to half the axle load; 0 unless given. [N]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(bending_moment(14000.0, 1.55, 1.0, 600.0)))
    1760
    """
    lever = positive("track", track) - positive("spring_seat_spacing", spring_seat_spacing)
    require("spring_seat_spacing", lever >= 0.0, "at most the track")
    force = not_negative("axle_load", axle_load) / 2.0 - not_negative("wheel_weight", wheel_weight)
    require("wheel_weight", force >= 0.0, "at most half the axle load")
    return force * lever / 2.0


def housing_sag(
    axle_load: ArrayLike, track: ArrayLike, spring_seat_spacing: ArrayLike, second_moment: ArrayLike
) -> Array:
    r"""Sag of a housing at its middle under its load, as a uniform tube: an upper bound.

    .. math:: w = \frac{F a (3 B^2 - 4 a^2)}{24 E I}, \quad F = \frac{G}{2}, \quad a = \frac{B - s}{2}

    Parameters
    ----------
    axle_load : array_like
        >= 0. [N]
    track : array_like
        Between the wheel centres, > 0. [m]
    spring_seat_spacing : array_like
        Between the spring seats, from above 0 to the track. [m]
    second_moment : array_like
        Of the tube in bending, > 0. [m4]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Beam on two supports under two equal loads, in any text on strength of materials.

    Examples
    --------
    >>> round(float(housing_sag(14000.0, 1.55, 1.0, 856855e-12)) * 1e3, 3)
    3.138
    """
    span = positive("track", track)
    lever = (span - positive("spring_seat_spacing", spring_seat_spacing)) / 2.0
    require("spring_seat_spacing", lever >= 0.0, "at most the track")
    force = not_negative("axle_load", axle_load) / 2.0
    bent = force * lever * (3.0 * span * span - 4.0 * lever * lever)
    return bent / (24.0 * STEEL_MODULUS * positive("second_moment", second_moment))


def hub_tube_torque(wheel_torque: ArrayLike, hub_ratio: ArrayLike, reverses: ArrayLike) -> Array:
    r"""Torque by which a driven hub box twists the tube between it and the centre of the axle.

    .. math:: T = T_w \left|1 \pm \frac{1}{i}\right|

    Parameters
    ----------
    wheel_torque : array_like
        >= 0. [N m]
    hub_ratio : array_like
        Reduction at the wheel, > 0; 1 is no box. [-]
    reverses : array_like of bool
        Whether the box turns the wheel backwards, as one of two gears does. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Balance of moments on the box: by definition.

    Examples
    --------
    >>> hub_tube_torque(2500.0, 1.5, [True, False]).round().tolist()
    [4167.0, 833.0]
    """
    inside = 1.0 / positive("hub_ratio", hub_ratio)
    return not_negative("wheel_torque", wheel_torque) * np.abs(1.0 + np.where(reverses, inside, -inside))


def equivalent_stress(bending_stress: ArrayLike, shear_stress: ArrayLike) -> Array:
    r"""Stress of bending and torsion together, after von Mises.

    .. math:: \sigma = \sqrt{\sigma_b^2 + 3 \tau^2}

    Parameters
    ----------
    bending_stress, shear_stress : array_like
        >= 0. [Pa]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Von Mises: in any text on strength of materials.

    Examples
    --------
    >>> float(equivalent_stress(30.0, 0.0))
    30.0
    """
    bending, shear = (
        not_negative("bending_stress", bending_stress),
        not_negative("shear_stress", shear_stress),
    )
    return np.sqrt(bending * bending + 3.0 * (shear * shear))


def housing_stress(moment: ArrayLike, modulus: ArrayLike, impact_factor: ArrayLike = 2.5) -> Array:
    r"""Bending stress of the housing over bad ground.

    .. math:: \sigma = k_d M / W

    Parameters
    ----------
    moment : array_like
        Bending moment standing still, >= 0. [N m]
    modulus : array_like
        Section modulus, > 0. [m3]
    impact_factor : array_like
        Wheel load over bad ground / standing still, > 0: car 1.75, truck 2.5, off-road 3.0; 2.5 unless
        given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A 2025 paper on a micro-truck housing, for the factor 2.5; the other two are from memory (high).

    Examples
    --------
    >>> round(float(housing_stress(1760.0, 22490e-9, 3.0)) / 1e6, 1)
    234.8
    """
    load = not_negative("moment", moment) * positive("impact_factor", impact_factor)
    return load / positive("modulus", modulus)


def housing_clearance(loaded_radius: ArrayLike, housing_drop: ArrayLike) -> Array:
    r"""Height of the lowest point of the housing above the ground.

    Parameters
    ----------
    loaded_radius : array_like
        Axle centreline to ground, > 0. [m]
    housing_drop : array_like
        Axle centreline to the lowest point of the housing, >= 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; negative where the housing would touch. [m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(housing_clearance(0.420, 0.127)), 3)
    0.293
    """
    return positive("loaded_radius", loaded_radius) - not_negative("housing_drop", housing_drop)


def track(mounting_width: ArrayLike, wheel_offset: ArrayLike) -> Array:
    r"""Distance between the centre planes of the two wheels of an axle.

    .. math:: B = w - 2 e

    Parameters
    ----------
    mounting_width : array_like
        Wheel mount to wheel mount, > 0. [m]
    wheel_offset : array_like
        From the mount to the wheel's centre plane, positive inboard. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite, or the width is not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(track(1.651, -0.025)), 3)
    1.701
    """
    return positive("mounting_width", mounting_width) - 2.0 * finite("wheel_offset", wheel_offset)


def overall_width(track: ArrayLike, section_width: ArrayLike) -> Array:
    r"""Width over the outer sidewalls of the two tyres of an axle.

    Parameters
    ----------
    track : array_like
        Between the centre planes of the wheels, > 0. [m]
    section_width : array_like
        Of the tyre, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(overall_width(1.701, 0.318)), 3)
    2.019
    """
    return positive("track", track) + positive("section_width", section_width)


def _tube(tube_diameter: ArrayLike, tube_wall: ArrayLike) -> tuple[Array, Array]:
    outer, thickness = positive("tube_diameter", tube_diameter), positive("tube_wall", tube_wall)
    require("tube_wall", 2.0 * thickness <= outer, "at most half the tube's diameter")
    return outer, thickness


def _area(diameter: Array, wall: Array) -> Array:
    return pi * wall * (diameter - wall)


def _second_moment(diameter: Array, wall: Array) -> Array:
    inner = diameter - 2.0 * wall
    outer_square, inner_square = diameter * diameter, inner * inner
    return pi / 64.0 * (outer_square * outer_square - inner_square * inner_square)
