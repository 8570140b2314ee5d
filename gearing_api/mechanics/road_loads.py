"""Rolling resistance, air drag and slope, and the highest speed at which the engine overcomes them."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gearing_api.mechanics.domain import Array, along, finite, not_negative, positive, within
from gearing_api.mechanics.engines import FullLoad

STANDARD_GRAVITY = 9.80665
"""By definition. [m/s2]"""

# Halvings of a bracket no wider than its own upper end: to one part in 10^12.
_HALVINGS = 40


def slope_angle(grade: ArrayLike) -> Array:
    r"""Angle of a slope; 100 % is 45 degrees.

    .. math:: \theta = \arctan G

    Parameters
    ----------
    grade : array_like
        Rise / run. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [rad]

    Raises
    ------
    DomainError
        If a grade is not finite.

    References
    ----------
    .. [1] US Army TB 9-2350-292-10: percent grade is rise over run.

    Examples
    --------
    >>> round(float(np.degrees(slope_angle(0.6))), 3)
    30.964
    """
    return np.arctan(finite("grade", grade))


def grade_force(vehicle_mass: ArrayLike, grade: ArrayLike) -> Array:
    r"""Pull of the weight down the slope, negative downhill.

    .. math:: F = m g \sin\theta

    Parameters
    ----------
    vehicle_mass : array_like
        > 0. [kg]
    grade : array_like
        Rise / run. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument is not finite, or the mass is not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(grade_force(2000.0, 0.12)), 1)
    2336.8
    """
    return positive("vehicle_mass", vehicle_mass) * STANDARD_GRAVITY * np.sin(slope_angle(grade))


def rolling_force(vehicle_mass: ArrayLike, rolling_resistance: ArrayLike, grade: ArrayLike = 0.0) -> Array:
    r"""Rolling resistance of all wheels.

    .. math:: F = f m g \cos\theta

    Parameters
    ----------
    vehicle_mass : array_like
        > 0. [kg]
    rolling_resistance : array_like
        Rolling force / normal force, >= 0. [-]
    grade : array_like
        Rise / run. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 4.

    Examples
    --------
    >>> round(float(rolling_force(2000.0, 0.015)), 1)
    294.2
    """
    weight = positive("vehicle_mass", vehicle_mass) * STANDARD_GRAVITY
    return not_negative("rolling_resistance", rolling_resistance) * weight * np.cos(slope_angle(grade))


def drag_factor(drag_area: ArrayLike, air_density: ArrayLike) -> Array:
    r"""Air drag / road speed squared.

    .. math:: C = \tfrac{1}{2} \rho\, C_D A

    Parameters
    ----------
    drag_area : array_like
        Drag coefficient x frontal area, >= 0. [m2]
    air_density : array_like
        >= 0. [kg/m3]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [kg/m]

    Raises
    ------
    DomainError
        If an argument is not finite or negative.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 4.

    Examples
    --------
    >>> float(drag_factor(2.0, 1.25))
    1.25
    """
    return 0.5 * not_negative("drag_area", drag_area) * not_negative("air_density", air_density)


def road_load(road_speed: ArrayLike, constant: ArrayLike, linear: ArrayLike, quadratic: ArrayLike) -> Array:
    r"""Resistance to motion, from its three coefficients.

    .. math:: F = A + B v + C v^2

    The coefficients come from a coast-down, or are rolling resistance, zero and `drag_factor`. For a slope
    add its `grade_force` to the first.

    Parameters
    ----------
    road_speed : array_like
        >= 0. [m/s]
    constant : array_like
        Negative where a downhill outweighs the rest. [N]
    linear : array_like
        Fits to measurements come out negative too. [N s/m]
    quadratic : array_like
        >= 0. [kg/m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] UN GTR 15 (2019), Annex 2.
    .. [2] US EPA Test Car List: target coefficients.

    Examples
    --------
    >>> float(road_load(30.0, 200.0, 2.0, 0.9))
    1070.0
    """
    speed = not_negative("road_speed", road_speed)
    square = not_negative("quadratic", quadratic)
    return finite("constant", constant) + (finite("linear", linear) + square * speed) * speed


def covariance_root(covariance: ArrayLike) -> Array:
    r"""Lower triangular root of the covariance of three coefficients, by which independent draws vary together.

    .. math:: L L^T = \begin{pmatrix} AA & AB & AC \\ AB & BB & BC \\ AC & BC & CC \end{pmatrix}

    A coefficient that does not vary, or varies wholly with those before it, has nothing on the diagonal. Where no
    coefficients vary so, the root is that of the nearest that do: see `is_covariance`.

    Parameters
    ----------
    covariance : array_like
        AA, AB, AC, BB, BC, CC on the last axis. [units of the coefficients, one times the other]

    Returns
    -------
    ndarray
        L11, L21, L22, L31, L32, L33 on the last axis. [units of the coefficients]

    Raises
    ------
    DomainError
        If a number is not finite.

    References
    ----------
    .. [1] A. L. Cholesky's method, as in textbooks.

    Examples
    --------
    >>> covariance_root([4.0, 0.0, -1.0, 0.0, 0.0, 0.5]).tolist()
    [2.0, 0.0, 0.0, -0.5, 0.0, 0.5]
    """
    given = finite("covariance", covariance)
    aa, ab, ac, bb, bc, cc = (given[..., place] for place in range(6))
    first = np.sqrt(np.maximum(aa, 0.0))
    to_second, to_third = _divided(ab, first), _divided(ac, first)
    second = _rest(bb - to_second * to_second, bb)
    from_second = _divided(bc - to_third * to_second, second)
    third = _rest(cc - to_third * to_third - from_second * from_second, cc)
    return np.stack([first, to_second, second, to_third, from_second, third], axis=-1)


_ROUNDING = 1e-6
"""Parts of a variance that rounded text may lose. [-]"""


def _divided(above: Array, below: Array) -> Array:
    return np.where(below > 0.0, above / np.where(below > 0.0, below, 1.0), 0.0)


def _rest(variance: Array, whole: Array) -> Array:
    return np.where(variance > _ROUNDING * whole, np.sqrt(np.maximum(variance, 0.0)), 0.0)


def is_covariance(covariance: ArrayLike) -> NDArray[np.bool_]:
    r"""Tell whether three coefficients can vary together so.

    .. math:: |L L^T - V| \le 2 \cdot 10^{-6} \sqrt{V_{ii} V_{jj}}

    Parameters
    ----------
    covariance : array_like
        AA, AB, AC, BB, BC, CC on the last axis. [units of the coefficients, one times the other]

    Returns
    -------
    ndarray
        In the shape of the argument without its last axis. [truth]

    Raises
    ------
    DomainError
        If a number is not finite.

    References
    ----------
    .. [1] A matrix is a covariance where it has a real root: textbooks of linear algebra.

    Examples
    --------
    >>> bool(is_covariance([4.0, 0.0, -1.0, 0.0, 0.0, 0.5])), bool(is_covariance([1.0, 2.0, 0.0, 1.0, 0.0, 1.0]))
    (True, False)
    """
    given = finite("covariance", covariance)
    first, to_second, second, to_third, from_second, third = (
        covariance_root(given)[..., k] for k in range(6)
    )
    made = (
        first * first,
        first * to_second,
        first * to_third,
        to_second * to_second + second * second,
        to_second * to_third + second * from_second,
        to_third * to_third + from_second * from_second + third * third,
    )
    sizes = [np.sqrt(np.maximum(given[..., place], 0.0)) for place in (0, 3, 5)]
    pairs = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))
    close = [
        np.abs(one - given[..., place]) <= 2.0 * _ROUNDING * sizes[row] * sizes[column]
        for place, (one, (row, column)) in enumerate(zip(made, pairs, strict=True))
    ]
    return np.asarray(np.stack(close, axis=-1).all(axis=-1))


def road_power(force: ArrayLike, road_speed: ArrayLike) -> Array:
    r"""Power of a force at the road.

    .. math:: P = F v

    Parameters
    ----------
    force : array_like
        Along the road. [N]
    road_speed : array_like
        >= 0. [m/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [W]

    Raises
    ------
    DomainError
        If an argument is not finite, or a speed is negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(road_power(1070.0, 30.0))
    32100.0
    """
    return finite("force", force) * not_negative("road_speed", road_speed)


def top_speed(
    full_load: FullLoad,
    overall_ratio: ArrayLike,
    rolling_radius: ArrayLike,
    driveline_efficiency: ArrayLike,
    redline_speed: ArrayLike,
    constant: ArrayLike,
    linear: ArrayLike,
    quadratic: ArrayLike,
    drag_constant: ArrayLike = 0.0,
    drag_linear: ArrayLike = 0.0,
) -> Array:
    r"""Highest speed in each gear at which full-load power still covers the road load.

    .. math:: \eta P(\omega) - (d_0 + d_1 \omega)\, \omega = (A + B v + C v^2)\, v, \quad v = \omega r / i

    The engine runs between the first point of its curve and the lower of the last point and the redline. 0
    where it cannot sustain any such speed in that gear.

    On each piece of the curve the surplus of power is a cubic in engine speed. Between the ends of the
    piece and its turning points it only rises or only falls, so that there is one crossing between the
    last of these points where it is not negative and the next point. Halving finds it.

    Parameters
    ----------
    full_load : FullLoad
        The engine; its leading axes broadcast with the other arguments. [W over rad/s]
    overall_ratio : array_like
        Gearbox x transfer case x axle x hub, gears on the last axis, > 0. [-]
    rolling_radius : array_like
        Rolling circumference / 2 pi, > 0. [m]
    driveline_efficiency : array_like
        Crankshaft to ground, times the power factor of the altitude, 0 to 1. [-]
    redline_speed : array_like
        Highest engine speed allowed, > 0. [rad/s]
    constant, linear, quadratic : array_like
        Coefficients of `road_load`, the slope included. [N, N s/m, kg/m]
    drag_constant, drag_linear : array_like
        Torque that the driveline takes at the crankshaft whatever it carries, and by engine speed. [N m, N m s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m/s]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] UN GTR 15 (2019), Annex 2: power available against road-load power.

    Examples
    --------
    >>> from gearing_api.mechanics.engines import power_curve
    >>> engine = power_curve([100.0, 400.0, 500.0], [20e3, 90e3, 80e3])
    >>> top_speed(engine, [8.0, 4.0], 0.4, 0.9, 480.0, 300.0, 0.0, 0.9).round(2)
    array([24.  , 41.99])
    """
    distance = positive("rolling_radius", rolling_radius) / positive("overall_ratio", overall_ratio)
    reach = distance[..., None]
    square = reach * reach
    efficiency = within("driveline_efficiency", driveline_efficiency, 0.0, 1.0)[..., None]
    redline = positive("redline_speed", redline_speed)[..., None]
    p0, p1, p2, p3 = full_load.coefficients
    starts, ends, *surplus = np.broadcast_arrays(
        full_load.starts,
        np.minimum(full_load.ends, redline),
        efficiency * p0,
        efficiency * p1
        - finite("constant", constant)[..., None] * reach
        - finite("drag", drag_constant)[..., None],
        efficiency * p2
        - finite("linear", linear)[..., None] * square
        - finite("drag", drag_linear)[..., None],
        efficiency * p3 - not_negative("quadratic", quadratic)[..., None] * (square * reach),
    )
    speed = last_not_negative(surplus, starts, ends)
    return speed * distance


def last_not_negative(cubics: Sequence[Array], starts: Array, ends: Array) -> Array:
    r"""Find the greatest x at which a function of cubic pieces is not negative.

    .. math:: \max \{x : c_0 + c_1 x + c_2 x^2 + c_3 x^3 \ge 0\}

    Parameters
    ----------
    cubics : sequence of ndarray
        The four coefficients, rising, in one shape with the pieces on its last axis. [-]
    starts, ends : ndarray
        Of the pieces, in that shape; one that ends before it starts is left out. [-]

    Returns
    -------
    ndarray
        In that shape without its last axis; 0 where there is no such x. [-]

    Raises
    ------
    ValueError
        If the shapes differ.

    References
    ----------
    By definition.

    Examples
    --------
    >>> piece = [np.array([part]) for part in (4.0, -1.0, 0.0, 0.0)]
    >>> round(float(last_not_negative(piece, np.array([0.0]), np.array([9.0]))), 6)
    4.0
    """
    lows = np.minimum(starts, ends)
    points = np.stack([lows, *_turning_points(cubics, lows, ends), ends], axis=-1)
    values = _cubic(points, [coefficient[..., None] for coefficient in cubics])
    held = ((values >= 0.0) & (points >= starts[..., None])).reshape(*starts.shape[:-1], -1)
    points = points.reshape(held.shape)

    final = held.shape[-1] - 1
    place = final - np.argmax(held[..., ::-1], axis=-1, keepdims=True)
    low, high = along(points, place), along(points, np.minimum(place + 1, final))
    piece = [along(coefficient, place // 4) for coefficient in cubics]
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        above = _cubic(middle, piece) >= 0.0
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.where(held.any(axis=-1), low[..., 0], 0.0)


def _turning_points(cubics: Sequence[Array], lows: Array, highs: Array) -> tuple[Array, Array]:
    """Where each cubic turns between its ends, in rising order; an end where it does not turn."""
    _, c1, c2, c3 = cubics
    q = -(c2 + np.copysign(np.sqrt(np.maximum(c2 * c2 - 3.0 * c3 * c1, 0.0)), c2))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        turns = q / (3.0 * c3), c1 / q
    one, other = (np.fmin(np.fmax(turn, lows), highs) for turn in turns)
    return np.minimum(one, other), np.maximum(one, other)


def _cubic(x: Array, coefficients: Sequence[Array]) -> Array:
    c0, c1, c2, c3 = coefficients
    return c0 + x * (c1 + x * (c2 + x * c3))
