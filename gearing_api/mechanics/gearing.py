"""Ratios, and the speeds they relate."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gearing_api.mechanics.domain import Array, not_negative, positive


def tooth_ratio(ring_teeth: ArrayLike, pinion_teeth: ArrayLike) -> Array:
    r"""Reduction of a ring gear and its pinion.

    .. math:: i = z_2 / z_1

    Parameters
    ----------
    ring_teeth, pinion_teeth : array_like
        Tooth counts, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If a count is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(tooth_ratio(41, 10))
    4.1
    """
    return positive("ring_teeth", ring_teeth) / positive("pinion_teeth", pinion_teeth)


def is_hunting(ring_teeth: ArrayLike, pinion_teeth: ArrayLike) -> NDArray[np.bool_]:
    r"""Whether every pinion tooth meets every ring tooth before a pairing repeats.

    True where the two counts have no common factor.

    Parameters
    ----------
    ring_teeth, pinion_teeth : array_like
        Whole tooth counts, > 0. [-]

    Returns
    -------
    ndarray of bool
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If a count is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> bool(is_hunting(41, 10)), bool(is_hunting(40, 10))
    (True, False)
    """
    return np.equal(np.gcd(*_whole_teeth(ring_teeth, pinion_teeth)), 1)


def _whole_teeth(
    ring_teeth: ArrayLike, pinion_teeth: ArrayLike
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    ring = positive("ring_teeth", ring_teeth).astype(np.int64)
    pinion = positive("pinion_teeth", pinion_teeth).astype(np.int64)
    return ring, pinion


def road_speed(engine_speed: ArrayLike, overall_ratio: ArrayLike, rolling_radius: ArrayLike) -> Array:
    r"""Road speed of wheels that roll without slip.

    .. math:: v = \omega r / i

    Parameters
    ----------
    engine_speed : array_like
        Crankshaft speed, >= 0. [rad/s]
    overall_ratio : array_like
        Gearbox x transfer case x axle x hub, > 0. [-]
    rolling_radius : array_like
        Rolling circumference / 2 pi, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m/s]

    Raises
    ------
    DomainError
        If an argument is not finite, a speed is negative, or a ratio or radius is not positive.

    References
    ----------
    .. [1] UN GTR 15 (2019), Annex 7, par. 8.

    Examples
    --------
    >>> round(float(road_speed(209.44, 4.10, 0.3893)), 3)
    19.887
    """
    speed = not_negative("engine_speed", engine_speed)
    return speed * positive("rolling_radius", rolling_radius) / positive("overall_ratio", overall_ratio)


def engine_speed(road_speed: ArrayLike, overall_ratio: ArrayLike, rolling_radius: ArrayLike) -> Array:
    r"""Crankshaft speed at a road speed, wheels rolling without slip.

    .. math:: \omega = v i / r

    Parameters
    ----------
    road_speed : array_like
        >= 0. [m/s]
    overall_ratio : array_like
        Gearbox x transfer case x axle x hub, > 0. [-]
    rolling_radius : array_like
        Rolling circumference / 2 pi, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite, a speed is negative, or a ratio or radius is not positive.

    References
    ----------
    .. [1] UN GTR 15 (2019), Annex 7, par. 8.

    Examples
    --------
    >>> round(float(engine_speed(19.887, 4.10, 0.3893)), 2)
    209.44
    """
    speed = not_negative("road_speed", road_speed)
    return speed * positive("overall_ratio", overall_ratio) / positive("rolling_radius", rolling_radius)


def engine_speed_after_shift(engine_speed: ArrayLike, ratio: ArrayLike, next_ratio: ArrayLike) -> Array:
    r"""Crankshaft speed right after a gear change at constant road speed.

    .. math:: \omega' = \omega i' / i

    Parameters
    ----------
    engine_speed : array_like
        Crankshaft speed before the change, >= 0. [rad/s]
    ratio, next_ratio : array_like
        Ratio engaged before and after, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite, the speed is negative, or a ratio is not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(engine_speed_after_shift(400.0, 2.0, 1.5))
    300.0
    """
    speed = not_negative("engine_speed", engine_speed)
    return speed * positive("next_ratio", next_ratio) / positive("ratio", ratio)


def effective_axle_ratio(
    axle_ratio: ArrayLike, rolling_circumference: ArrayLike, original_circumference: ArrayLike
) -> Array:
    r"""Axle ratio with the same engine speed at a road speed on the original tyre.

    .. math:: i_\text{eff} = i\, C_0 / C

    Parameters
    ----------
    axle_ratio : array_like
        Ratio fitted, > 0. [-]
    rolling_circumference, original_circumference : array_like
        Of the tyre fitted and of the original tyre, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] US EPA Test Car List, model years 2004-2023: pairs of rows that differ in the tyre.

    Examples
    --------
    >>> round(float(effective_axle_ratio(4.10, 2.8, 2.5)), 4)
    3.6607
    """
    ratio = positive("axle_ratio", axle_ratio)
    original = positive("original_circumference", original_circumference)
    return ratio * original / positive("rolling_circumference", rolling_circumference)


def restoring_axle_ratio(
    original_axle_ratio: ArrayLike, rolling_circumference: ArrayLike, original_circumference: ArrayLike
) -> Array:
    r"""Axle ratio that restores the original engine speed on the new tyre.

    .. math:: i = i_0\, C / C_0

    Parameters
    ----------
    original_axle_ratio : array_like
        Ratio before the change, > 0. [-]
    rolling_circumference, original_circumference : array_like
        Of the tyre fitted and of the original tyre, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] US EPA Test Car List, model years 2004-2023: pairs of rows that differ in the tyre.

    Examples
    --------
    >>> round(float(restoring_axle_ratio(4.10, 2.8, 2.5)), 3)
    4.592
    """
    ratio = positive("original_axle_ratio", original_axle_ratio)
    circumference = positive("rolling_circumference", rolling_circumference)
    return ratio * circumference / positive("original_circumference", original_circumference)


def pinion_turns(axle_ratio: ArrayLike, rolling_circumference: ArrayLike, distance: ArrayLike) -> Array:
    r"""Turns of the pinion (and prop shaft) over a distance.

    .. math:: N = s\, i / C

    Parameters
    ----------
    axle_ratio : array_like
        Axle ratio, with the hub reduction where there is one, > 0. [-]
    rolling_circumference : array_like
        > 0. [m]
    distance : array_like
        >= 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [turns]

    Raises
    ------
    DomainError
        If an argument is not finite, a distance is negative, or a ratio or circumference not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(pinion_turns(4.0, 2.5, 1000.0))
    1600.0
    """
    length = not_negative("distance", distance)
    circumference = positive("rolling_circumference", rolling_circumference)
    return length * positive("axle_ratio", axle_ratio) / circumference
