"""What readings on a vehicle say: axle ratio, road load, height of the mass centre, and how well they say it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require, within

NINE_IN_TEN = 1.6448536269514722
"""Half-width of the range that holds 9 in 10 of a normal distribution / its standard uncertainty. [-]"""


class Joined(NamedTuple):
    """Two figures of one thing joined, and how far they lie apart in standard uncertainties of their difference."""

    value: Array
    uncertainty: Array
    apart: Array


class Line(NamedTuple):
    """A straight line fitted to points, with the variances of its two coefficients."""

    intercept: Array
    slope: Array
    residual: Array
    """Standard deviation of the points about the line, NaN of two points."""
    intercept_variance: Array
    covariance: Array
    slope_variance: Array


def joined(
    value: ArrayLike, uncertainty: ArrayLike, other: ArrayLike, other_uncertainty: ArrayLike
) -> Joined:
    r"""Join two independent figures of one thing, each by the inverse of its variance.

    .. math:: x = \frac{x_1 u_2^2 + x_2 u_1^2}{u_1^2 + u_2^2}, \quad u = \frac{u_1 u_2}{\sqrt{u_1^2 + u_2^2}}, \quad
              z = \frac{|x_1 - x_2|}{\sqrt{u_1^2 + u_2^2}}

    Parameters
    ----------
    value, other : array_like
        The two figures. [any unit]
    uncertainty, other_uncertainty : array_like
        Their standard uncertainties, > 0. [the same unit]

    Returns
    -------
    Joined
        Value and standard uncertainty in that unit, and z; in the shape the arguments broadcast to. [any unit, -]

    Raises
    ------
    DomainError
        If an argument is not finite, or an uncertainty is not positive.

    References
    ----------
    .. [1] Least squares with weights 1 / u^2: C. F. Gauss; computed.

    Examples
    --------
    >>> one = joined(1.35, 0.20, 1.20, 0.10)
    >>> round(float(one.value), 2), round(float(one.uncertainty), 4), round(float(one.apart), 2)
    (1.23, 0.0894, 0.67)
    """
    first, second = finite("value", value), finite("other", other)
    one, two = positive("uncertainty", uncertainty), positive("other_uncertainty", other_uncertainty)
    both = np.hypot(one, two)
    share = (two / both) * (two / both)
    return Joined(second + share * (first - second), one * (two / both), np.abs(first - second) / both)


def ratio_from_road(
    engine_speed: ArrayLike,
    road_speed: ArrayLike,
    rolling_circumference: ArrayLike,
    further_ratio: ArrayLike = 1.0,
    slip: ArrayLike = 0.0,
) -> Array:
    r"""Axle ratio from an engine speed read at a road speed.

    .. math:: i = \frac{\omega C (1 - s)}{2 \pi v\, i_g}

    Parameters
    ----------
    engine_speed : array_like
        > 0. [rad/s]
    road_speed : array_like
        True speed, > 0. [m/s]
    rolling_circumference : array_like
        Of the driven wheels, > 0. [m]
    further_ratio : array_like
        Gearbox x transfer case x hub at the reading, > 0. [-]
    slip : array_like
        Of an open converter: 1 - output speed / input speed, from 0 to 0.9. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(ratio_from_road(2500 * np.pi / 30, 100 / 3.6, 2.543)), 4)
    3.8145
    """
    turned = (
        positive("engine_speed", engine_speed)
        / (2.0 * np.pi)
        * positive("rolling_circumference", rolling_circumference)
    )
    rolled = positive("road_speed", road_speed) * positive("further_ratio", further_ratio)
    return turned * (1.0 - within("slip", slip, 0.0, 0.9)) / rolled


def ratio_from_turns(shaft_turns: ArrayLike, wheel_turns: ArrayLike, wheels_turning: ArrayLike) -> Array:
    r"""Axle ratio from turns of the propeller shaft and of a wheel, counted by hand.

    The ring gear turns by the mean of both wheels.

    .. math:: i = \frac{2 N_s}{k N_w}

    Parameters
    ----------
    shaft_turns, wheel_turns : array_like
        > 0. [turns]
    wheels_turning : array_like
        *k*: 2 where both wheels turn alike, 1 where one is held and the differential is open. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite, not positive, or *k* is neither 1 nor 2.

    References
    ----------
    .. [1] Kinematics of the bevel differential; an owner's count on a 37/10 axle with one side held: 24 turns of the
       shaft for 13.0 of the wheel.

    Examples
    --------
    >>> float(ratio_from_turns(18.0, 10.0, 1))
    3.6
    """
    turning = finite("wheels_turning", wheels_turning)
    require("wheels_turning", (turning == 1.0) | (turning == 2.0), "1 or 2")
    return 2.0 * positive("shaft_turns", shaft_turns) / (turning * positive("wheel_turns", wheel_turns))


def turns_to_separate(
    ratio: ArrayLike, next_ratio: ArrayLike, reading_error: ArrayLike, wheels_turning: ArrayLike
) -> Array:
    r"""Turns of the wheel beyond which a count by hand tells two axle ratios apart.

    .. math:: N_w = \frac{4 d}{k\, |i_1 - i_2|}

    Parameters
    ----------
    ratio, next_ratio : array_like
        Two axle ratios that differ, > 0. [-]
    reading_error : array_like
        *d*: greatest error of the turns read at the shaft, > 0. [turns]
    wheels_turning : array_like
        *k*: 2 where both wheels turn alike, 1 where one is held. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [turns]

    Raises
    ------
    DomainError
        If an argument is not finite and positive, or the ratios are equal.

    References
    ----------
    By definition.

    Examples
    --------
    >>> turns_to_separate(3.70, 3.73, 1 / 16, [2, 1]).round(1)
    array([4.2, 8.3])
    """
    apart = np.abs(positive("ratio", ratio) - positive("next_ratio", next_ratio))
    require("next_ratio", apart > 0.0, "another than ratio")
    return (
        4.0 * positive("reading_error", reading_error) / (positive("wheels_turning", wheels_turning) * apart)
    )


def pair_probabilities(ratio: ArrayLike, uncertainty: ArrayLike, candidates: ArrayLike) -> Array:
    r"""Probability of each candidate ratio, all being as likely as one another before the reading.

    .. math:: p_k \propto \exp\left(-\frac{(i - i_k)^2}{2 u^2}\right)

    Parameters
    ----------
    ratio : array_like
        Read, > 0. [-]
    uncertainty : array_like
        Its standard uncertainty, > 0. [-]
    candidates : array_like
        On the last axis, > 0. [-]

    Returns
    -------
    ndarray
        In the shape of the first two with the candidates on the last axis; they add up to 1. [-]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Bayes' rule with a normal error; computed.

    Examples
    --------
    >>> pair_probabilities(3.73, 0.05, [3.7, 3.73, 4.1]).round(2)
    array([0.46, 0.54, 0.  ])
    """
    known = positive("candidates", candidates)
    away = (positive("ratio", ratio)[..., None] - known) / positive("uncertainty", uncertainty)[..., None]
    half = 0.5 * (away * away)
    weights = np.exp(half.min(axis=-1, keepdims=True) - half)
    shares: Array = weights / np.cumsum(weights, axis=-1)[..., -1:]
    return shares


def interval_forces(
    equivalent_mass: ArrayLike, road_speed: ArrayLike, elapsed_time: ArrayLike
) -> tuple[Array, Array]:
    r"""Force that slows a coasting vehicle, from each reading to the next.

    .. math:: F = M_e \frac{v_1 - v_2}{t_2 - t_1} \quad\text{at}\quad \tfrac{1}{2}(v_1 + v_2)

    Parameters
    ----------
    equivalent_mass : array_like
        Mass with that of its turning parts, > 0. [kg]
    road_speed : array_like
        Read on the last axis, falling, >= 0. [m/s]
    elapsed_time : array_like
        At these speeds, rising, >= 0. [s]

    Returns
    -------
    tuple of ndarray
        Mid speeds and forces, one fewer on the last axis than there are readings. [m/s, N]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range, or the times do not rise while the speeds fall.

    References
    ----------
    .. [1] 40 CFR 1066.310: road load from coast-down.

    Examples
    --------
    >>> speeds, forces = interval_forces(2000.0, [20.0, 15.0, 10.0], [0.0, 25.0, 65.0])
    >>> speeds.tolist(), forces.tolist()
    ([17.5, 12.5], [400.0, 250.0])
    """
    speed, time = not_negative("road_speed", road_speed), not_negative("elapsed_time", elapsed_time)
    lost, taken = speed[..., :-1] - speed[..., 1:], time[..., 1:] - time[..., :-1]
    require("road_speed", lost > 0.0, "falling from each reading to the next")
    require("elapsed_time", taken > 0.0, "rising from each reading to the next")
    mass = positive("equivalent_mass", equivalent_mass)[..., None]
    return 0.5 * (speed[..., :-1] + speed[..., 1:]), mass * (lost / taken)


def fit_line(x: ArrayLike, y: ArrayLike, least_deviation: ArrayLike = 0.0) -> Line:
    r"""Straight line through points by least squares, with the variances of its coefficients.

    .. math:: y = a + b x, \quad s^2 = \frac{\sum (y_i - a - b x_i)^2}{n - 2}, \quad u^2(b) = \frac{s^2}{S_{xx}},
              \quad u^2(a) = s^2 \left(\frac{1}{n} + \frac{\bar x^2}{S_{xx}}\right), \quad
              u(a, b) = -\frac{s^2 \bar x}{S_{xx}}

    Parameters
    ----------
    x : array_like
        Points on the last axis, not all equal. [any unit]
    y : array_like
        As many. [any unit]
    least_deviation : array_like
        Least *s* that the variances count with: what a reading is known to scatter by, >= 0. [unit of y]

    Returns
    -------
    Line
        In the shape of the arguments without their last axis. [units of y, and of y / x]

    Raises
    ------
    DomainError
        If an argument is not finite, the deviation is negative, or all x are equal.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), annex H.3.

    Examples
    --------
    >>> line = fit_line([0.0, 1.0, 2.0], [1.0, 3.1, 4.9])
    >>> round(float(line.intercept), 2), round(float(line.slope), 2)
    (1.05, 1.95)
    """
    along, up = finite("x", x), finite("y", y)
    count = along.shape[-1]
    middle, height = _mean(along), _mean(up)
    off = along - middle[..., None]
    spread = np.cumsum(off * off, axis=-1)[..., -1]
    require("x", spread > 0.0, "not all equal")
    slope = np.cumsum(off * (up - height[..., None]), axis=-1)[..., -1] / spread
    intercept = height - slope * middle
    left = up - intercept[..., None] - slope[..., None] * along
    residual = (
        np.sqrt(np.cumsum(left * left, axis=-1)[..., -1] / (count - 2)) if count > 2 else height * np.nan
    )
    scatter = np.fmax(residual, not_negative("least_deviation", least_deviation))
    variance = scatter * scatter
    of_slope = variance / spread
    return Line(
        intercept,
        slope,
        residual,
        variance / count + middle * middle * of_slope,
        -middle * of_slope,
        of_slope,
    )


def _mean(values: Array) -> Array:
    return np.asarray(np.cumsum(values, axis=-1)[..., -1] / values.shape[-1])


def mass_centre_from_lift(
    wheel_radius: ArrayLike,
    gained_load: ArrayLike,
    vehicle_mass: ArrayLike,
    wheelbase: ArrayLike,
    lift: ArrayLike,
) -> Array:
    r"""Height of the mass centre from one axle lifted while the other stands on a scale.

    Suspension and tyres are taken as blocked.

    .. math:: h = r + \frac{\Delta m\, L}{m \tan\theta}, \quad \sin\theta = H / L

    Parameters
    ----------
    wheel_radius : array_like
        Wheel centre above ground, > 0. [m]
    gained_load : array_like
        What the axle on the scale carries more than on level ground, > 0. [kg]
    vehicle_mass : array_like
        > 0. [kg]
    wheelbase : array_like
        > 0. [m]
    lift : array_like
        How far the other axle is lifted, > 0 and less than the wheelbase. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] ISO 10392:2011, axle lift method (extract); the formula second hand.

    Examples
    --------
    >>> round(float(mass_centre_from_lift(0.39, 96.0, 2300.0, 2.95, 0.8)), 3)
    0.827
    """
    base, raised = positive("wheelbase", wheelbase), positive("lift", lift)
    require("lift", raised < base, "less than the wheelbase")
    tangent = raised / np.sqrt((base - raised) * (base + raised))
    share = positive("gained_load", gained_load) / positive("vehicle_mass", vehicle_mass)
    return positive("wheel_radius", wheel_radius) + share * base / tangent
