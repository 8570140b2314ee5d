"""The cross (Cardan) joint at an angle: uneven speed and torque, and the life of its bearings."""

from math import pi

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require, within

STEEPEST = np.deg2rad(85.0)
LIFE_COEFFICIENT = 1.5e6 * 3600.0 * (pi / 180.0) * (pi / 30.0)  # 1.5e6 h x degree x rpm


def highest_cardan_ratio(joint_angle: ArrayLike) -> Array:
    r"""Highest output speed / input speed in a turn; the lowest is its inverse.

    The torque of an evenly driven joint swings between the same two, so this is also the peak of the
    torque in the joint for a steady load behind it.

    .. math:: i_\max = 1 / \cos\beta

    Parameters
    ----------
    joint_angle : array_like
        Between the shafts, 0 to 85 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the angle lies outside its range.

    References
    ----------
    .. [1] Khurmi & Gupta, Theory of Machines, ch. 9.

    Examples
    --------
    >>> round(float(highest_cardan_ratio(np.deg2rad(30))), 4)
    1.1547
    """
    return 1.0 / np.cos(_joint_angle("joint_angle", joint_angle))


def speed_fluctuation(joint_angle: ArrayLike) -> Array:
    r"""Highest less lowest output speed, over the input speed.

    .. math:: q = \frac{1}{\cos\beta} - \cos\beta

    Parameters
    ----------
    joint_angle : array_like
        Between the shafts, 0 to 85 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the angle lies outside its range.

    References
    ----------
    .. [1] Khurmi & Gupta, Theory of Machines, ch. 9.

    Examples
    --------
    >>> round(float(speed_fluctuation(np.deg2rad(20))), 4)
    0.1245
    """
    cosine = np.cos(_joint_angle("joint_angle", joint_angle))
    return 1.0 / cosine - cosine


def angle_for_fluctuation(speed_fluctuation: ArrayLike) -> Array:
    r"""Joint angle that causes a fluctuation of speed.

    .. math:: \cos\beta = \frac{\sqrt{q^2 + 4} - q}{2}

    Parameters
    ----------
    speed_fluctuation : array_like
        Highest less lowest output speed, over the input speed, 0 to 10. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [rad]

    Raises
    ------
    DomainError
        If the fluctuation lies outside its range.

    References
    ----------
    .. [1] Khurmi & Gupta, Theory of Machines, ch. 9.

    Examples
    --------
    >>> round(float(np.rad2deg(angle_for_fluctuation(0.12))), 2)
    19.64
    """
    q = within("speed_fluctuation", speed_fluctuation, 0.0, 10.0)
    root = np.sqrt(q * q + 4.0)
    below_one = q * (1.0 - q / (root + 2.0)) / 2.0  # 1 - cos, exact for small angles
    return 2.0 * np.arctan(np.sqrt(below_one / (2.0 - below_one)))


def cardan_acceleration(speed: ArrayLike, joint_angle: ArrayLike, rotation: ArrayLike) -> Array:
    r"""Angular acceleration of the output shaft of an evenly driven joint.

    .. math:: \alpha = -\frac{\omega^2 \cos\beta \sin^2\beta \sin 2\theta}
        {(1 - \sin^2\beta \cos^2\theta)^2}

    Parameters
    ----------
    speed : array_like
        Input speed, >= 0. [rad/s]
    joint_angle : array_like
        Between the shafts, 0 to 85 degrees. [rad]
    rotation : array_like
        Of the driving fork, from the plane of the two shafts. [rad]

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
    .. [1] Khurmi & Gupta, Theory of Machines, ch. 9; Bevan, The Theory of Machines, ch. 4.

    Examples
    --------
    >>> round(float(cardan_acceleration(104.72, np.deg2rad(20), np.deg2rad(41.43))))
    -1370
    """
    angle = _joint_angle("joint_angle", joint_angle)
    turn = finite("rotation", rotation)
    turning = not_negative("speed", speed)
    sine, cosine = np.sin(angle), np.cos(turn)
    tilt = sine * sine
    rest = 1.0 - tilt * (cosine * cosine)
    swing: Array = np.cos(angle) * tilt * np.sin(2.0 * turn) / (rest * rest)
    return -(turning * turning) * swing


def rotation_of_peak_acceleration(joint_angle: ArrayLike) -> Array:
    r"""First rotation of the driving fork at which the output shaft slows down hardest.

    .. math:: \cos 2\theta = \frac{4 s}{2 - s + \sqrt{(2 - s)^2 + 8 s^2}}, \quad s = \sin^2\beta

    Parameters
    ----------
    joint_angle : array_like
        Between the shafts, 0 to 85 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape of the argument. [rad]

    Raises
    ------
    DomainError
        If the angle lies outside its range.

    References
    ----------
    .. [1] The zero of the derivative of `cardan_acceleration`; Khurmi & Gupta, Theory of Machines, ch. 9,
       give 2 s / (2 - s), which is near it at small angles.

    Examples
    --------
    >>> round(float(np.rad2deg(rotation_of_peak_acceleration(np.deg2rad(20)))), 3)
    41.459
    """
    sine = np.sin(_joint_angle("joint_angle", joint_angle))
    tilt = sine * sine
    rest = 2.0 - tilt
    twice: Array = np.arccos(4.0 * tilt / (rest + np.sqrt(rest * rest + 8.0 * (tilt * tilt))))
    return twice / 2.0


def steepest_second_joint(
    acceleration: ArrayLike, speed: ArrayLike, first_joint_angle: ArrayLike = 0.0
) -> Array:
    r"""Largest angle of the second of two joints in phase within a limit of angular acceleration.

    .. math:: \beta_2 = \sqrt{\alpha / \omega^2 + \beta_1^2}

    Parameters
    ----------
    acceleration : array_like
        Limit of the angular acceleration, >= 0. [rad/s2]
    speed : array_like
        Of the shaft, > 0. [rad/s]
    first_joint_angle : array_like
        0 to 85 degrees; none unless given. [rad]

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
    .. [1] A published table of two-joint shafts, 26 entries, which this form reproduces.

    Examples
    --------
    >>> round(float(np.rad2deg(steepest_second_joint(400.0, 157.08))), 1)
    7.3
    """
    turning = positive("speed", speed)
    first = _joint_angle("first_joint_angle", first_joint_angle)
    return np.sqrt(not_negative("acceleration", acceleration) / (turning * turning) + first * first)


def bearing_life(rating: ArrayLike, torque: ArrayLike, joint_angle: ArrayLike, speed: ArrayLike) -> Array:
    r"""Time after which one joint in ten has worn out its needle bearings.

    .. math:: L = \frac{1.5 \times 10^6}{A N} \left(\frac{T_c}{T_a}\right)^{10/3}
        \text{ hours},\quad A\ \text{in degrees},\ N\ \text{in rpm}

    Parameters
    ----------
    rating : array_like
        The maker's torque for 5000 h at 3 degrees and 100 rpm, > 0. [N m]
    torque : array_like
        > 0. [N m]
    joint_angle : array_like
        Above 0, at most 85 degrees. [rad]
    speed : array_like
        > 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [s]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] An industrial joint maker's sizing guide.

    Examples
    --------
    >>> round(float(bearing_life(1000.0, 1000.0, np.deg2rad(3), 100 * np.pi / 30)) / 3600)
    5000
    """
    swept = positive("joint_angle", _joint_angle("joint_angle", joint_angle)) * positive("speed", speed)
    wear = np.power(positive("torque", torque) / positive("rating", rating), 10.0 / 3.0)
    return LIFE_COEFFICIENT / (swept * wear)


def _joint_angle(argument: str, angle: ArrayLike) -> Array:
    value: Array = np.asarray(angle, dtype=np.float64)[()]
    require(argument, (value >= 0.0) & (value <= STEEPEST), "from 0 to 85 degrees")
    return value
