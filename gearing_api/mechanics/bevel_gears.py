"""Pitch cones and tooth forces of bevel and spiral-bevel axle gears.

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


def pinion_pitch_angle(ratio: ArrayLike) -> Array:
    r"""Half the angle of the pinion's pitch cone, the two axes at a right angle.

    .. math:: \tan\gamma = 1 / u

    Parameters
    ----------
    ratio : array_like
        Ring teeth / pinion teeth, > 0. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [rad]

    Raises
    ------
    DomainError
        If the ratio is not finite and positive.

    References
    ----------
    .. [1] Shigley, Mechanical Engineering Design, ch. 13.

    Examples
    --------
    >>> round(float(np.rad2deg(pinion_pitch_angle(3.0))), 2)
    18.43
    """
    return np.arctan(1.0 / positive("ratio", ratio))


def mean_diameter(outer_diameter: ArrayLike, face_width: ArrayLike, pitch_angle: ArrayLike) -> Array:
    r"""Pitch diameter at mid-face, where the tooth force is assumed to act.

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


def tangential_force(torque: ArrayLike, diameter: ArrayLike) -> Array:
    r"""Force at the pitch circle that carries a torque.

    Bearing loads follow from the force at the mean diameter; at the outer diameter it is some 15 % less.

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
    coast flank (concave) it pulls the pinion in.

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
    r"""Axial and radial force that follow from a tangential force at mid-face.

    The upper signs are for `loaded_flank` = +1. The mating member has the opposite sign; with axes at right
    angles its axial force is the radial force of this member.

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
        +1 drive, -1 coast, from `loaded_flank`; drive unless given. [-]

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


def _pitch_angle(angle: ArrayLike) -> Array:
    return within("pitch_angle", angle, 0.0, RIGHT_ANGLE)


def _lean_angle(argument: str, angle: ArrayLike) -> Array:
    return within(argument, angle, 0.0, STEEPEST)


def _sign(argument: str, value: ArrayLike) -> Array:
    sign = finite(argument, value)
    require(argument, np.abs(sign) == 1.0, "+1 or -1")
    return sign
