"""The propeller shaft: joint angles from distances and slopes, two joints together, critical speed, slip.

Everything is seen from the transfer case: x runs level from there to the axle, slopes fall towards the axle.
"""

from itertools import pairwise
from math import pi
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics import joints
from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require, within

STEEL_MODULUS = 206e9
"""Young's modulus of a steel tube. [Pa]"""

STEEL_DENSITY = 7850.0
"""[kg/m3]"""

MANUAL_LIMITS = (
    (1000.0, 12.0), (1500.0, 11.0), (2000.0, 8.0), (2500.0, 7.0), (3000.0, 5.0), (3500.0, 5.0),
)  # fmt: skip
"""Largest joint angle by shaft speed in a navy's manual. [rpm, degrees]"""

MAKER_LIMITS = ((1500.0, 11.5), (2000.0, 26.0 / 3.0), (2500.0, 7.0), (3000.0, 35.0 / 6.0))
"""The same by a maker of power take-off shafts. [rpm, degrees]"""

_STEEPEST = np.deg2rad(60.0)
Vector = tuple[Array, Array, Array]


class ShaftLine(NamedTuple):
    """A shaft between two joints. [rad, rad, -, -, rad, m]

    `turn` is the sine of the angle between the planes of the two joints, 0 where output, shaft and pinion lie in
    one plane. `back` is 1 where the second joint bends back what the first has bent, as between a parallel output
    and pinion, else -1.
    """

    output: Array
    pinion: Array
    turn: Array
    back: Array
    slope: Array
    length: Array


def shaft_line(
    run: ArrayLike, drop: ArrayLike, side: ArrayLike, output_slope: ArrayLike, pinion_slope: ArrayLike
) -> ShaftLine:
    r"""Joint angles, slope and length of a shaft from tape-measure distances and slopes.

    .. math:: \cos\beta_1 = o \cdot p, \quad \cos\beta_2 = p \cdot q

    with the unit vectors of output, shaft and pinion.

    Parameters
    ----------
    run : array_like
        Level distance between the joint centres, > 0. [m]
    drop : array_like
        Height of the output above the pinion. [m]
    side : array_like
        Offset between the joint centres to the side. [m]
    output_slope, pinion_slope : array_like
        Falling towards the axle, -60 to 60 degrees. [rad]

    Returns
    -------
    ShaftLine
        In the shape the arguments broadcast to. [rad, rad, -, -, rad, m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Geometry. For one plane at a time a driveline installation manual (p. 10) adds the squares.

    Examples
    --------
    >>> line = shaft_line(1.1, 0.17, 0.06, np.deg2rad(2), np.deg2rad(2))
    >>> round(float(np.rad2deg(line.output)), 3), round(float(np.rad2deg(line.slope)), 3)
    (7.451, 8.785)
    """
    along, down, beside = positive("run", run), finite("drop", drop), finite("side", side)
    length = np.sqrt(along * along + down * down + beside * beside)
    shaft = (along / length, beside / length, -down / length)
    first, last = _pointing("output_slope", output_slope), _pointing("pinion_slope", pinion_slope)
    before, after = _across(first, shaft), _across(shaft, last)
    sizes = _long(before) * _long(after)
    turn = _long(_across(before, after)) / np.where(sizes > 0.0, sizes, 1.0)
    return ShaftLine(
        _between(first, shaft, before),
        _between(shaft, last, after),
        np.minimum(turn, 1.0)[()],
        np.where(_along(before, after) <= 0.0, 1.0, -1.0)[()],
        np.arctan(down / along),
        length,
    )


def equivalent_joint_angle(
    first_angle: ArrayLike, second_angle: ArrayLike, turn: ArrayLike = 0.0, crossed: ArrayLike = False
) -> Array:
    r"""Angle of the one joint that would drive as unevenly as two joints of a shaft together.

    .. math:: m + \frac1m = \left(r + \frac1r\right) (1 - t^2) + \left(p + \frac1p\right) t^2, \quad
        r = \frac{\cos\beta_1}{\cos\beta_2},\ p = \cos\beta_1 \cos\beta_2

    with m the highest ratio of speeds and t the `turn`; in a shaft with crossed yokes t^2 and 1 - t^2 change
    places. At small angles in one plane it is the square root of the difference of the squares.

    Parameters
    ----------
    first_angle, second_angle : array_like
        Of the joints, 0 to 85 degrees. [rad]
    turn : array_like
        Sine of the angle between their planes, 0 to 1; both in one plane unless given. [-]
    crossed : array_like
        Whether the yokes at the ends of the shaft stand square to each other; in line unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] The rule of signs of an industrial shaft maker, for one plane; two joints after one another with
       their planes turned, computed.

    Examples
    --------
    >>> round(float(np.rad2deg(equivalent_joint_angle(np.deg2rad(18), np.deg2rad(15)))), 2)
    10.07
    """
    first, second = (1.0 / joints.highest_cardan_ratio(angle) for angle in (first_angle, second_angle))
    turned = within("turn", turn, 0.0, 1.0)
    square = turned * turned
    share = np.where(np.asarray(crossed), 1.0 - square, square)
    both = first * second
    apart, together = first - second, 1.0 - both
    above = (apart * apart * (1.0 - share) + together * together * share) / both
    return joints.angle_for_fluctuation(np.sqrt(above * (above + 4.0)))


def peak_acceleration(speed: ArrayLike, joint_angle: ArrayLike) -> Array:
    r"""Highest angular acceleration that one joint gives a shaft, or two by their equivalent angle.

    Near :math:`\omega^2 \beta^2` at small angles.

    Parameters
    ----------
    speed : array_like
        Of the shaft, >= 0. [rad/s]
    joint_angle : array_like
        0 to 85 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad/s2]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Khurmi & Gupta, Theory of Machines, ch. 9, at the rotation where it is highest.

    Examples
    --------
    >>> round(float(peak_acceleration(2500 * np.pi / 30, np.deg2rad(7))))
    1026
    """
    turned = joints.rotation_of_peak_acceleration(joint_angle)
    return np.abs(joints.cardan_acceleration(speed, joint_angle, turned))


def printed_angle_limit(speed: ArrayLike, limits: tuple[tuple[float, float], ...]) -> Array:
    r"""Largest joint angle that a printed table allows at a speed.

    Straight between the printed speeds, as at the lowest below them; above them speed x angle stays as in the
    last row.

    Parameters
    ----------
    speed : array_like
        Of the shaft, >= 0. [rad/s]
    limits : tuple
        Speeds, rising, and angles. [rpm, degrees]

    Returns
    -------
    ndarray
        In the shape of the speed. [rad]

    Raises
    ------
    DomainError
        If the speed lies outside its range.

    References
    ----------
    .. [1] The tables are NAVEDTRA 14050A, p. 8-48, and a power take-off maker's owner manual, p. 5.

    Examples
    --------
    >>> round(float(np.rad2deg(printed_angle_limit(2250 * np.pi / 30, MANUAL_LIMITS))), 2)
    7.5
    """
    turning = not_negative("speed", speed) * (30.0 / pi)
    angle = np.full(np.shape(turning), limits[0][1])
    for (slow, at_slow), (fast, at_fast) in pairwise(limits):
        share = np.minimum(np.maximum((turning - slow) / (fast - slow), 0.0), 1.0)
        angle = angle + (at_fast - at_slow) * share
    last = limits[-1][0]
    return np.deg2rad(angle * (last / np.maximum(turning, last)))


def critical_speed(
    tube_diameter: ArrayLike,
    tube_wall: ArrayLike,
    length: ArrayLike,
    modulus: ArrayLike = STEEL_MODULUS,
    density: ArrayLike = STEEL_DENSITY,
) -> Array:
    r"""Speed at which a tube between two joints whirls.

    .. math:: \omega = \frac{\pi^2}{L^2} \sqrt{\frac{E (D^2 + d^2)}{16 \rho}}

    Parameters
    ----------
    tube_diameter : array_like
        Outer, > 0. [m]
    tube_wall : array_like
        Above 0, at most half of the diameter. [m]
    length : array_like
        Joint to joint, > 0. [m]
    modulus : array_like
        Young's, > 0; that of steel unless given. [Pa]
    density : array_like
        > 0; that of steel unless given. [kg/m3]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad/s]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A propeller shaft maker's technical page; GOST 33669-2015, App. A, has the same form.

    Examples
    --------
    >>> round(float(critical_speed(0.0762, 0.00211, 1.3)) * 30 / np.pi)
    7486
    """
    outer, bore = _tube(tube_diameter, tube_wall)
    span = positive("length", length)
    stiff = (
        positive("modulus", modulus) * (outer * outer + bore * bore) / (16.0 * positive("density", density))
    )
    return pi * pi * np.sqrt(stiff) / (span * span)


def tube_stress(torque: ArrayLike, tube_diameter: ArrayLike, tube_wall: ArrayLike) -> Array:
    r"""Shear stress at the outside of a tube that carries a torque.

    .. math:: \tau = \frac{16 T D}{\pi (D^4 - d^4)}

    Parameters
    ----------
    torque : array_like
        >= 0. [N m]
    tube_diameter : array_like
        Outer, > 0. [m]
    tube_wall : array_like
        Above 0, at most half of the diameter. [m]

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
    .. [1] Beer & Johnston, Mechanics of Materials, ch. 3.

    Examples
    --------
    >>> round(1.0 / float(tube_stress(1.0, 0.0762, 0.00211)) * 1e9)
    17704
    """
    outer, bore = _tube(tube_diameter, tube_wall)
    out, within_it = outer * outer, bore * bore
    return 16.0 * not_negative("torque", torque) * outer / (pi * (out * out - within_it * within_it))


def length_change(
    run: ArrayLike,
    drop: ArrayLike,
    side: ArrayLike,
    link_length: ArrayLike,
    link_drop: ArrayLike,
    travel: ArrayLike,
) -> Array:
    r"""How much further apart the joints stand after the axle has moved on the arc of its link.

    .. math:: \Delta L = \sqrt{(X + e)^2 + (H + s)^2 + Y^2} - \sqrt{X^2 + H^2 + Y^2}, \quad
        e = \sqrt{R^2 - (h + s)^2} - \sqrt{R^2 - h^2}

    The link runs from the frame to the axle on the side of the transfer case.

    Parameters
    ----------
    run : array_like
        Level distance between the joint centres, > 0. [m]
    drop : array_like
        Height of the output above the pinion. [m]
    side : array_like
        Offset between the joint centres to the side. [m]
    link_length : array_like
        > 0. [m]
    link_drop : array_like
        Height of its frame end above its axle end; with and without travel at most its length. [m]
    travel : array_like
        Of the axle downwards, + in droop. [m]

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
    .. [1] Geometry.

    Examples
    --------
    >>> round(float(length_change(1.1, 0.2, 0.0, 0.7, 0.1, -0.1)) * 1000, 2)
    -6.35
    """
    along, down, beside = positive("run", run), finite("drop", drop), finite("side", side)
    link, height, moved = (
        positive("link_length", link_length),
        finite("link_drop", link_drop),
        finite("travel", travel),
    )
    shift = _level_reach(link, height + moved) - _level_reach(link, height)
    reach, fall = along + shift, down + moved
    across = beside * beside
    return np.sqrt(reach * reach + fall * fall + across) - np.sqrt(along * along + down * down + across)


def slip_travel(
    run: ArrayLike,
    drop: ArrayLike,
    side: ArrayLike,
    link_length: ArrayLike,
    link_drop: ArrayLike,
    bump: ArrayLike,
    droop: ArrayLike,
) -> Array:
    r"""Longest less shortest distance between the joints from full bump to full droop.

    The shaft is longest where it points along the line through the link's centre, if the travel reaches it.

    Parameters
    ----------
    run, drop, side : array_like
        Between the joint centres, as in `length_change`. [m]
    link_length, link_drop : array_like
        Of the axle's link, as in `length_change`. [m]
    bump, droop : array_like
        Travel up and down from ride height, >= 0. [m]

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
    .. [1] Geometry.

    Examples
    --------
    >>> round(float(slip_travel(1.1, 0.2, 0.0, 0.7, 0.1, 0.1, 0.0)) * 1000, 2)
    6.35
    """
    up, down = -not_negative("bump", bump), not_negative("droop", droop)
    link, height = positive("link_length", link_length), finite("link_drop", link_drop)
    ahead, above = positive("run", run) - _level_reach(link, height), finite("drop", drop) - height
    apart = np.hypot(ahead, above)
    least = apart > 0.0
    sense = np.where(ahead < 0.0, -1.0, 1.0)
    turning = sense * link * np.where(least, above, 0.0) / np.where(least, apart, 1.0) - height
    stops = (up, down, np.minimum(np.maximum(turning, up), down))
    lengths = [length_change(run, drop, side, link, height, stop) for stop in stops]
    longest = np.maximum(np.maximum(lengths[0], lengths[1]), lengths[2])
    return longest - np.minimum(np.minimum(lengths[0], lengths[1]), lengths[2])


def _level_reach(link: Array, height: Array) -> Array:
    require("link_length", np.asarray(np.abs(height) <= link), "at least link_drop, also after the travel")
    return np.sqrt(link * link - height * height)


def _tube(tube_diameter: ArrayLike, tube_wall: ArrayLike) -> tuple[Array, Array]:
    """Outer diameter and bore."""
    outer, wall = positive("tube_diameter", tube_diameter), positive("tube_wall", tube_wall)
    require("tube_wall", np.asarray(2.0 * wall <= outer), "at most half of tube_diameter")
    return outer, outer - 2.0 * wall


def _pointing(argument: str, slope: ArrayLike) -> Vector:
    """Unit vector that falls by a slope."""
    angle = within(argument, slope, -_STEEPEST, _STEEPEST)
    return np.cos(angle), np.zeros(()), -np.sin(angle)


def _across(a: Vector, b: Vector) -> Vector:
    return a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]


def _along(a: Vector, b: Vector) -> Array:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _long(a: Vector) -> Array:
    return np.sqrt(_along(a, a))


def _between(a: Vector, b: Vector, across: Vector) -> Array:
    """Angle between two unit vectors, exact for small ones too; `across` is their vector product."""
    return 2.0 * np.arctan(_long(across) / (1.0 + _along(a, b)))
