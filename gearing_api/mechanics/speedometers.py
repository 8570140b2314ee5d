"""Speedometer and odometer after a change of tyre or axle, and the rules for them.

A reading is proportional to the count of a sensor. What a change does to it depends on where the sensor
counts: at the gearbox output, before the axle, or at the wheel, behind it.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gearing_api.mechanics.domain import Array, beyond, not_negative, positive

KILOMETRE_PER_HOUR = 1.0 / 3.6
"""[m/s]"""

MILE_PER_HOUR = 0.44704
"""[m/s]"""

R39_SHARE, R39_MARGIN = 0.1, 4.0 * KILOMETRE_PER_HOUR
"""Over-reading that UN Regulation 39 allows: a share of the true speed, and a margin. [-], [m/s]"""

CFR_393_82_TEST_SPEED, CFR_393_82_TOLERANCE = 50.0 * MILE_PER_HOUR, 5.0 * MILE_PER_HOUR
"""The one speed at which 49 CFR 393.82 judges a speedometer, and how far it may be out there. [m/s]"""


def distance_per_indicated_at_gearbox(
    rolling_circumference: ArrayLike,
    original_circumference: ArrayLike,
    axle_ratio: ArrayLike,
    original_axle_ratio: ArrayLike,
) -> Array:
    r"""Distance driven for each unit the odometer counts, sensor at the gearbox output.

    The sensor counts turns of the output shaft: both the tyre and the axle ratio matter. The odometer is
    assumed to be exact before the change.

    .. math:: q = \frac{C}{C_0} \frac{i_0}{i}

    Parameters
    ----------
    rolling_circumference, original_circumference : array_like
        Of the tyre fitted and of the original tyre, > 0. [m]
    axle_ratio, original_axle_ratio : array_like
        Fitted and original, each with its hub reduction, > 0. [-]

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
    By definition.

    Examples
    --------
    >>> round(float(distance_per_indicated_at_gearbox(2.75, 2.5, 4.4, 4.0)), 6)
    1.0
    """
    travel = distance_per_indicated_at_wheel(rolling_circumference, original_circumference)
    return travel * (
        positive("original_axle_ratio", original_axle_ratio) / positive("axle_ratio", axle_ratio)
    )


def distance_per_indicated_at_wheel(
    rolling_circumference: ArrayLike, original_circumference: ArrayLike
) -> Array:
    r"""Distance driven for each unit the odometer counts, sensor at the wheel.

    The sensor counts turns of the wheel: only the tyre matters. The odometer is assumed to be exact before
    the change.

    .. math:: q = C / C_0

    Parameters
    ----------
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
    By definition.

    Examples
    --------
    >>> round(float(distance_per_indicated_at_wheel(2.75, 2.5)), 6)
    1.1
    """
    circumference = positive("rolling_circumference", rolling_circumference)
    return circumference / positive("original_circumference", original_circumference)


def true_per_indicated(distance_per_indicated: ArrayLike, original_overreading: ArrayLike) -> Array:
    r"""True speed for each unit of speed indicated.

    .. math:: k = q / (1 + e)

    Parameters
    ----------
    distance_per_indicated : array_like
        Distance driven for each unit counted, > 0. [-]
    original_overreading : array_like
        Indicated / true speed before the change, less one, > -1. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite, or lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(true_per_indicated(1.10, 0.02)), 4)
    1.0784
    """
    reading = positive("1 + original_overreading", 1.0 + np.asarray(original_overreading, dtype=np.float64))
    return positive("distance_per_indicated", distance_per_indicated) / reading


def correction_factor(indicated_speed: ArrayLike, true_speed: ArrayLike) -> Array:
    r"""Factor on the sensor's count with which the speedometer shows the true speed.

    It removes the original over-reading and the effect of the change. It corrects the odometer too where the
    original speedometer was exact; otherwise the factor of the odometer is the distance driven for each unit
    it counts.

    .. math:: f = v / v_\text{ind}

    Parameters
    ----------
    indicated_speed : array_like
        As the speedometer shows it, > 0. [m/s]
    true_speed : array_like
        At that reading, > 0. [m/s]

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
    By definition.

    Examples
    --------
    >>> round(float(correction_factor(25.0, 27.0)), 2)
    1.08
    """
    return positive("true_speed", true_speed) / positive("indicated_speed", indicated_speed)


def indicated_speed_limits_r39(true_speed: ArrayLike) -> tuple[Array, Array]:
    r"""Least and greatest reading that UN Regulation 39 allows at a true speed.

    .. math:: v \le v_\text{ind} \le 1.1 v + 4\ \text{km/h}

    Parameters
    ----------
    true_speed : array_like
        >= 0. [m/s]

    Returns
    -------
    tuple of ndarray
        Least and greatest, in the shape of the argument. [m/s]

    Raises
    ------
    DomainError
        If the argument is not finite, or negative.

    References
    ----------
    .. [1] UN Regulation 39, Revision 1 with Supplement 5 (OJ L 120, 13 May 2010), par. 5.3, as quoted.

    Examples
    --------
    >>> [round(float(limit) * 3.6, 6) for limit in indicated_speed_limits_r39(100 / 3.6)]
    [100.0, 114.0]
    """
    speed = not_negative("true_speed", true_speed)
    return speed, (1.0 + R39_SHARE) * speed + R39_MARGIN


def is_within_r39(indicated_speed: ArrayLike, true_speed: ArrayLike) -> NDArray[np.bool_]:
    r"""Whether a reading satisfies UN Regulation 39: never low, and at most a tenth and 4 km/h high.

    The regulation tests at 40, 80 and 120 km/h; the inequality is applied here at any speed.

    Parameters
    ----------
    indicated_speed : array_like
        As the speedometer shows it, >= 0. [m/s]
    true_speed : array_like
        At that reading, >= 0. [m/s]

    Returns
    -------
    ndarray of bool
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite, or negative.

    References
    ----------
    .. [1] UN Regulation 39, Revision 1 with Supplement 5 (OJ L 120, 13 May 2010), par. 5.3, as quoted.

    Examples
    --------
    >>> bool(is_within_r39(30.0, 29.0)), bool(is_within_r39(29.0, 30.0))
    (True, False)
    """
    return _is_between(
        not_negative("indicated_speed", indicated_speed), *indicated_speed_limits_r39(true_speed)
    )


def is_within_393_82(true_per_indicated: ArrayLike) -> NDArray[np.bool_]:
    r"""Whether a proportional speedometer satisfies 49 CFR 393.82: within 5 mph at 50 mph.

    The rule, for commercial buses, trucks and truck tractors, applies at one true speed only. A
    speedometer that is off by a constant share is checked there.

    Parameters
    ----------
    true_per_indicated : array_like
        True speed for each unit of speed indicated, > 0. [-]

    Returns
    -------
    ndarray of bool
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the argument is not finite and positive.

    References
    ----------
    .. [1] 49 CFR 393.82.

    Examples
    --------
    >>> bool(is_within_393_82(1.10)), bool(is_within_393_82(1.12))
    (True, False)
    """
    reading = CFR_393_82_TEST_SPEED / positive("true_per_indicated", true_per_indicated)
    return _is_between(
        reading, CFR_393_82_TEST_SPEED - CFR_393_82_TOLERANCE, CFR_393_82_TEST_SPEED + CFR_393_82_TOLERANCE
    )


def _is_between(reading: Array, lowest: Array | float, highest: Array | float) -> NDArray[np.bool_]:
    return ~beyond(lowest, reading) & ~beyond(reading, highest)
