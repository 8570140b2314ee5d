"""Pitch cones and tooth forces of bevel, spiral-bevel and hypoid axle gears.

Signs: an axial force is positive away from the cone apex, out of mesh; a radial force is positive towards
the member's own axis; hand and rotation are judged looking towards the apex, +1 left hand, +1 clockwise.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require, within

RIGHT_ANGLE = np.pi / 2
STEEPEST = np.deg2rad(89.0)


class ToothForces(NamedTuple):
    """Axial force, positive away from the apex, and radial force, positive towards the axis."""

    axial: Array
    radial: Array


def pinion_pitch_angle(ratio: ArrayLike, shaft_angle: ArrayLike = RIGHT_ANGLE) -> Array:
    r"""Half the angle of the pinion's pitch cone.

    .. math:: \tan\gamma = \frac{\sin\Sigma}{u + \cos\Sigma}

    Parameters
    ----------
    ratio : array_like
        Ring teeth / pinion teeth, > 0. [-]
    shaft_angle : array_like
        Between the two axes, 0 to pi; a right angle unless given. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad]

    Raises
    ------
    DomainError
        If the ratio is not positive or the shaft angle lies outside its range.

    References
    ----------
    .. [1] Shigley, Mechanical Engineering Design, ch. 13, for a right angle; the general form is from
       memory (high).

    Examples
    --------
    >>> round(float(np.rad2deg(pinion_pitch_angle(3.0))), 2)
    18.43
    """
    u = positive("ratio", ratio)
    shafts = within("shaft_angle", shaft_angle, 0.0, np.pi)
    return np.arctan2(np.sin(shafts), u + np.cos(shafts))


def ring_pitch_angle(ratio: ArrayLike, shaft_angle: ArrayLike = RIGHT_ANGLE) -> Array:
    r"""Half the angle of the ring gear's pitch cone.

    .. math:: \Gamma = \Sigma - \gamma

    Parameters
    ----------
    ratio : array_like
        Ring teeth / pinion teeth, > 0. [-]
    shaft_angle : array_like
        Between the two axes, 0 to pi; a right angle unless given. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad]

    Raises
    ------
    DomainError
        If the ratio is not positive or the shaft angle lies outside its range.

    References
    ----------
    .. [1] Shigley, Mechanical Engineering Design, ch. 13, for a right angle; the general form is from
       memory (high).

    Examples
    --------
    >>> round(float(np.rad2deg(ring_pitch_angle(4.1))), 3)
    76.293
    """
    return np.asarray(shaft_angle) - pinion_pitch_angle(ratio, shaft_angle)


def mean_diameter(outer_diameter: ArrayLike, face_width: ArrayLike, pitch_angle: ArrayLike) -> Array:
    r"""Pitch diameter at mid-face, where the tooth force is taken to act.

    .. math:: d_m = D - F \sin\Gamma

    Parameters
    ----------
    outer_diameter : array_like
        Pitch diameter at the heel, > 0. [m]
    face_width : array_like
        Tooth length along the cone, from 0 to the cone distance. [m]
    pitch_angle : array_like
        Of the same member, 0 to pi/2. [rad]

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
    .. [1] ISO 23509, sample pair, as reproduced second hand.

    Examples
    --------
    >>> round(float(mean_diameter(0.220, 0.034, np.deg2rad(76.293))), 5)
    0.18697
    """
    diameter = positive("outer_diameter", outer_diameter)
    shortening = not_negative("face_width", face_width) * np.sin(_pitch_angle(pitch_angle))
    require("face_width", 2.0 * shortening <= diameter, "at most the cone distance")
    return diameter - shortening


def cone_distance(diameter: ArrayLike, pitch_angle: ArrayLike) -> Array:
    r"""Length of the pitch cone from its apex to the circle of that diameter.

    .. math:: R = \frac{d}{2 \sin\gamma}

    Parameters
    ----------
    diameter : array_like
        Pitch diameter, outer or mean, > 0. [m]
    pitch_angle : array_like
        Of the same member, > 0. [rad]

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
    >>> round(float(cone_distance(0.152987, np.deg2rad(70.2532))), 6)
    0.081273
    """
    slope = np.sin(positive("pitch_angle", pitch_angle))
    return positive("diameter", diameter) / (2.0 * slope)


def virtual_teeth(teeth: ArrayLike, pitch_angle: ArrayLike, spiral_angle: ArrayLike = 0.0) -> Array:
    r"""Teeth of the cylindrical gear with the same tooth form.

    .. math:: z_v = \frac{z}{\cos\delta \cos^3\psi}

    Parameters
    ----------
    teeth : array_like
        Tooth count, > 0. [-]
    pitch_angle : array_like
        Of the same member, 0 to 89 degrees. [rad]
    spiral_angle : array_like
        At mid-face, 0 to 89 degrees; straight teeth unless given. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Jindal, Machine Design, ch. 27, for straight teeth.

    Examples
    --------
    >>> round(float(virtual_teeth(20, np.arctan(20 / 36))), 2)
    22.88
    """
    cone = within("pitch_angle", pitch_angle, 0.0, STEEPEST)
    lean: Array = np.cos(cone) * np.cos(_lean_angle("spiral_angle", spiral_angle)) ** 3
    return positive("teeth", teeth) / lean


def tangential_force(torque: ArrayLike, diameter: ArrayLike) -> Array:
    r"""Force at the pitch circle that carries a torque.

    Bearing loads follow from the force at the mean diameter; the AGMA bevel rating takes the one at the
    outer diameter, some 15 % less.

    .. math:: W_t = 2 T / d

    Parameters
    ----------
    torque : array_like
        On the member, >= 0. [N m]
    diameter : array_like
        Pitch diameter of the same member, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument is not finite, the torque is negative, or the diameter is not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(tangential_force(5000.0, 0.18697)))
    53485
    """
    return 2.0 * not_negative("torque", torque) / positive("diameter", diameter)


def loaded_flank(hand: ArrayLike, rotation: ArrayLike, torque_sense: ArrayLike = 1.0) -> Array:
    r"""Which flank a spiral-bevel or hypoid member loads: +1 drive, -1 coast.

    On the drive flank (convex on the ring gear) the spiral pushes the pinion away from the ring; on the
    coast flank (concave) it draws the pinion in.

    Parameters
    ----------
    hand : array_like
        Hand of spiral: +1 left, -1 right. [-]
    rotation : array_like
        Looking towards the apex: +1 clockwise, -1 counterclockwise. [-]
    torque_sense : array_like
        +1 where the member drives, -1 where it is driven or overrun; drives unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not +1 or -1.

    References
    ----------
    .. [1] Vector algebra of the tooth force in all cases of hand and rotation; the drive flank as the
       convex one: a 1992 light-truck service manual, gear-tooth nomenclature.

    Examples
    --------
    A left-hand pinion turning counterclockwise, as a rear set turned round into a front axle:

    >>> float(loaded_flank(+1, -1))
    -1.0
    """
    return _sign("hand", hand) * _sign("rotation", rotation) * _sign("torque_sense", torque_sense)


def tooth_forces(
    tangential_force: ArrayLike,
    pitch_angle: ArrayLike,
    pressure_angle: ArrayLike,
    spiral_angle: ArrayLike = 0.0,
    loaded_flank: ArrayLike = 1.0,
) -> ToothForces:
    r"""Axial and radial force that go with a tangential force at mid-face.

    The upper signs hold for `loaded_flank` = +1. The mating member takes the opposite sign, and with axes
    at right angles its axial force is this member's radial one.

    .. math::
        W_a &= \frac{W_t}{\cos\psi} (\tan\phi \sin\gamma \pm \sin\psi \cos\gamma) \\
        W_r &= \frac{W_t}{\cos\psi} (\tan\phi \cos\gamma \mp \sin\psi \sin\gamma)

    Parameters
    ----------
    tangential_force : array_like
        At the mean diameter, >= 0. [N]
    pitch_angle : array_like
        Of this member, 0 to pi/2. [rad]
    pressure_angle : array_like
        Normal pressure angle of the loaded flank, 0 to 89 degrees. [rad]
    spiral_angle : array_like
        At mid-face, 0 to 89 degrees; straight teeth unless given. [rad]
    loaded_flank : array_like
        +1 drive, -1 coast, as `loaded_flank` gives it; drive unless given. [-]

    Returns
    -------
    ToothForces
        Both in the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A bearing maker's engineering manual, gear-force pages; Shigley, Mechanical Engineering Design,
       ch. 13, for straight teeth.

    Examples
    --------
    >>> cone = pinion_pitch_angle(4.1)
    >>> drive = tooth_forces(1.0, cone, np.deg2rad(20), np.deg2rad(35), +1)
    >>> coast = tooth_forces(1.0, cone, np.deg2rad(20), np.deg2rad(35), -1)
    >>> round(float(drive.axial), 4), round(float(coast.axial), 4)
    (0.7856, -0.575)
    """
    cone = _pitch_angle(pitch_angle)
    spiral = _lean_angle("spiral_angle", spiral_angle)
    sine, cosine = np.sin(cone), np.cos(cone)
    slope = np.tan(_lean_angle("pressure_angle", pressure_angle))
    lean = np.sin(spiral) * _sign("loaded_flank", loaded_flank)
    force = not_negative("tangential_force", tangential_force) / np.cos(spiral)
    return ToothForces(
        axial=force * (slope * sine + lean * cosine), radial=force * (slope * cosine - lean * sine)
    )


def resultant_force(
    tangential_force: ArrayLike, pressure_angle: ArrayLike, spiral_angle: ArrayLike = 0.0
) -> Array:
    r"""Force normal to the tooth, the same on either flank.

    .. math:: W = \frac{W_t}{\cos\phi \cos\psi}

    Parameters
    ----------
    tangential_force : array_like
        At the mean diameter, >= 0. [N]
    pressure_angle : array_like
        Normal pressure angle, 0 to 89 degrees. [rad]
    spiral_angle : array_like
        At mid-face, 0 to 89 degrees; straight teeth unless given. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(resultant_force(53485.0, np.deg2rad(20), np.deg2rad(35))))
    69483
    """
    pressure = _lean_angle("pressure_angle", pressure_angle)
    lean: Array = np.cos(pressure) * np.cos(_lean_angle("spiral_angle", spiral_angle))
    return not_negative("tangential_force", tangential_force) / lean


def hypoid_pinion_force(
    ring_force: ArrayLike, pinion_spiral_angle: ArrayLike, ring_spiral_angle: ArrayLike
) -> Array:
    r"""Tangential force at the pinion of a hypoid pair, from the ring gear's.

    .. math:: W_{tP} = W_{tG} \frac{\cos\psi_P}{\cos\psi_G}

    Parameters
    ----------
    ring_force : array_like
        Tangential force at the ring gear's mean diameter, >= 0. [N]
    pinion_spiral_angle, ring_spiral_angle : array_like
        At mid-face, 0 to 89 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A bearing maker's engineering manual, gear-force pages.

    Examples
    --------
    >>> round(float(hypoid_pinion_force(1000.0, np.deg2rad(50), np.deg2rad(30))), 1)
    742.2
    """
    force = not_negative("ring_force", ring_force)
    return force / _hypoid_size(pinion_spiral_angle, ring_spiral_angle)


def hypoid_pinion_diameter(
    ring_diameter: ArrayLike,
    ratio: ArrayLike,
    pinion_spiral_angle: ArrayLike,
    ring_spiral_angle: ArrayLike,
) -> Array:
    r"""Mean diameter of a hypoid pinion, larger than that of the bevel pinion of the same ratio.

    .. math:: d_{mP} = \frac{d_{mG}}{u} \frac{\cos\psi_G}{\cos\psi_P}

    Parameters
    ----------
    ring_diameter : array_like
        Mean diameter of the ring gear, > 0. [m]
    ratio : array_like
        Ring teeth / pinion teeth, > 0. [-]
    pinion_spiral_angle, ring_spiral_angle : array_like
        At mid-face, 0 to 89 degrees. [rad]

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
    .. [1] A bearing maker's engineering manual, gear-force pages.

    Examples
    --------
    >>> round(float(hypoid_pinion_diameter(0.190, 4.1, np.deg2rad(50), np.deg2rad(30))), 5)
    0.06244
    """
    bevel_diameter = positive("ring_diameter", ring_diameter) / positive("ratio", ratio)
    return bevel_diameter * _hypoid_size(pinion_spiral_angle, ring_spiral_angle)


def _hypoid_size(pinion_spiral_angle: ArrayLike, ring_spiral_angle: ArrayLike) -> Array:
    pinion = _lean_angle("pinion_spiral_angle", pinion_spiral_angle)
    return np.cos(_lean_angle("ring_spiral_angle", ring_spiral_angle)) / np.cos(pinion)


def _pitch_angle(angle: ArrayLike) -> Array:
    return within("pitch_angle", angle, 0.0, RIGHT_ANGLE)


def _lean_angle(argument: str, angle: ArrayLike) -> Array:
    return within(argument, angle, 0.0, STEEPEST)


def _sign(argument: str, value: ArrayLike) -> Array:
    sign = finite(argument, value)
    require(argument, np.abs(sign) == 1.0, "+1 or -1")
    return sign
