"""Hydrodynamic torque converters: where engine and gearbox meet, at stall, creeping and under way."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gearing_api.mechanics.domain import Array, finite, not_negative, positive
from gearing_api.mechanics.engines import FullLoad
from gearing_api.mechanics.road_loads import last_not_negative

SPEED_RATIOS = (0.0, 0.6, 0.9, 1.0)
"""Turbine speed / pump speed at the corners of the generic converter. [-]"""

CAPACITIES = (1.0, 0.8, 0.5, 0.0)
"""Pump torque at equal pump speed / that at stall, at these corners. [-]"""

COUPLED_RATIO = 0.95
"""Torque ratio of the generic converter from a speed ratio of 0.9 on. [-]"""

STALL_SHARE, STALL_TORQUE = 0.7, 0.8
"""The generic converter is stalled at 0.7 of the rated speed by 0.8 of the highest torque. [-]"""

USUAL_STALL_RATIO = 1.9
"""Torque ratio at stall where it is not known: European Commission light-duty CO2 model, defaults of 2022. [-]"""

USUAL_K = 135.0 * np.pi / 30.0
"""Stalled speed / root of torque, where nothing else is known: published converters of light trucks and cars lie
between 118 and 144 rpm per root of a newton metre. [rad/s / sqrt(N m)]"""


class Converter(NamedTuple):
    """A converter: torque of the stalled pump / square of its speed, torque ratios at the corners, the corners.

    The corners are the last axis of `torque_ratios`; both other lists have one for each.
    """

    stalled_capacity: Array
    """[N m s2]"""
    torque_ratios: Array
    speed_ratios: tuple[float, ...] = SPEED_RATIOS
    capacities: tuple[float, ...] = CAPACITIES


def generic_converter(stalled_capacity: ArrayLike, stall_ratio: ArrayLike) -> Converter:
    r"""Make a converter of generic shape: torque ratio falls along a line to 0.95 at a speed ratio of 0.9.

    Parameters
    ----------
    stalled_capacity : array_like
        Torque of the stalled pump / square of its speed, > 0. [N m s2]
    stall_ratio : array_like
        Torque ratio at stall; 1.8 in the source, > 0. [-]

    Returns
    -------
    Converter
        In the shape the arguments broadcast to. [N m s2, -]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Regulation (EU) 2017/2400, Annex VI, appendix 9, and the generic converter file of the European
           Commission heavy-duty CO2 tool.

    Examples
    --------
    >>> generic_converter(0.02, 1.8).torque_ratios.round(4)
    array([1.8   , 1.2333, 0.95  , 0.95  ])
    """
    ratio = positive("stall_ratio", stall_ratio)
    middle = ratio + (COUPLED_RATIO - ratio) * (SPEED_RATIOS[1] / SPEED_RATIOS[2])
    coupled = np.full_like(ratio, COUPLED_RATIO)
    return Converter(
        positive("stalled_capacity", stalled_capacity), np.stack([ratio, middle, coupled, coupled], axis=-1)
    )


def generic_capacity(largest_torque: ArrayLike, rated_speed: ArrayLike) -> Array:
    r"""Capacity of a stalled converter chosen for an engine, by regulation.

    .. math:: \lambda = \frac{0.8\, T_m}{(0.7\, \omega_r)^2}

    Made for diesels: for a petrol engine it gives a stall speed that no truck's converter has.

    Parameters
    ----------
    largest_torque : array_like
        Of the engine, > 0. [N m]
    rated_speed : array_like
        Engine speed of the highest power, > 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m s2]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Regulation (EU) 2017/2400, Annex VI, appendix 9.

    Examples
    --------
    >>> rpm = np.pi / 30.0
    >>> round(float(generic_capacity(1200.0, 2200.0 * rpm)) * (1000.0 * rpm) * (1000.0 * rpm), 2)
    404.79
    """
    speed = STALL_SHARE * positive("rated_speed", rated_speed)
    return np.asarray(STALL_TORQUE * positive("largest_torque", largest_torque) / (speed * speed))


def capacity_at(converter: Converter, speed_ratio: ArrayLike) -> Array:
    r"""Pump torque / square of pump speed.

    Parameters
    ----------
    converter : Converter
        [N m s2, -]
    speed_ratio : array_like
        Turbine speed / pump speed; beyond the corners that of the next corner. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m s2]

    Raises
    ------
    DomainError
        If a speed ratio is not finite.

    References
    ----------
    .. [1] Regulation (EU) 2017/2400, Annex VI, appendix 9.

    Examples
    --------
    >>> capacity_at(generic_converter(0.02, 1.8), [0.0, 0.6, 0.9, 1.0])
    array([0.02 , 0.016, 0.01 , 0.   ])
    """
    place, inside = _place(converter, speed_ratio)
    low, slope = _capacity_lines(converter)
    shape: Array = low[place] + slope[place] * inside
    return converter.stalled_capacity * shape


def torque_ratio_at(converter: Converter, speed_ratio: ArrayLike) -> Array:
    r"""Turbine torque / pump torque.

    Parameters
    ----------
    converter : Converter
        [N m s2, -]
    speed_ratio : array_like
        Turbine speed / pump speed; beyond the corners that of the next corner. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If a speed ratio is not finite.

    References
    ----------
    .. [1] Generic converter file of the European Commission heavy-duty CO2 tool.

    Examples
    --------
    >>> round(float(torque_ratio_at(generic_converter(0.02, 1.8), 0.2)), 4)
    1.6111
    """
    place, inside = _place(converter, speed_ratio)
    low, slope = _ratio_lines(converter)
    return _of_place(low, place) + _of_place(slope, place) * inside


def matched_speed(converter: Converter, turbine_speed: ArrayLike, turbine_torque: ArrayLike) -> Array:
    r"""Engine speed at which an open converter hands on a torque at a speed of its turbine.

    .. math:: \mu(\nu)\, \lambda(\nu) \left(\frac{\omega_t}{\nu}\right)^2 = T_t

    Between two corners it is a quadratic in the speed ratio.

    Parameters
    ----------
    converter : Converter
        [N m s2, -]
    turbine_speed : array_like
        > 0. [rad/s]
    turbine_torque : array_like
        Without torque nothing slips, >= 0. [N m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Balance of torque at the turbine: by definition; SAE J643 for speed ratio, torque ratio and capacity.

    Examples
    --------
    >>> rpm = np.pi / 30.0
    >>> size = generic_converter(1.0 / (124.0 * rpm) / (124.0 * rpm), 1.8)
    >>> round(float(matched_speed(size, 1470.0 * rpm, 102.7)) / rpm)
    1714
    """
    turning, torque = positive("turbine_speed", turbine_speed), not_negative("turbine_torque", turbine_torque)
    scale = converter.stalled_capacity * turning * turning
    return turning / _speed_ratio(converter, -torque / scale, np.zeros(()), np.zeros(()))


def creep_ratio(converter: Converter, constant: ArrayLike, linear: ArrayLike) -> Array:
    r"""Speed ratio at which the torque of an idling engine balances what resists.

    .. math:: \mu(\nu)\, \lambda(\nu)\, \omega_0^2 = a + b \nu

    Parameters
    ----------
    converter : Converter
        [N m s2, -]
    constant : array_like
        Resisting torque at the turbine / (stalled capacity x square of the idle speed). [-]
    linear : array_like
        What it gains up to a speed ratio of one, in the same parts, >= 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; 0 where the vehicle stands still. [-]

    Raises
    ------
    DomainError
        If an argument is not finite, or the second is negative.

    References
    ----------
    .. [1] Balance of torque at the turbine: by definition.

    Examples
    --------
    >>> round(float(creep_ratio(generic_converter(0.02, 1.8), 0.8, 0.0)), 3)
    0.698
    """
    a, b = finite("constant", constant), not_negative("linear", linear)
    ratio = _speed_ratio(converter, np.zeros(()), -b, -a)
    return np.asarray(np.where(converter.torque_ratios[..., 0] > a, ratio, 0.0))


def _speed_ratio(converter: Converter, second: Array, first: Array, constant: Array) -> Array:
    """Where capacity x torque ratio + c + b x + a x2 = 0: what is added only falls, as both of the converter do."""
    corners = np.array(converter.speed_ratios)
    shape = np.array(converter.capacities) * converter.torque_ratios
    c, b, a = (np.asarray(part)[..., None] for part in (constant, first, second))
    left = shape + c + (b + a * corners) * corners
    place = np.clip((left > 0.0).astype(np.intp).cumsum(axis=-1)[..., -1] - 1, 0, corners.size - 2)
    c0, c1 = (part[place] for part in _capacity_lines(converter))
    t0, t1 = (_of_place(part, place) for part in _ratio_lines(converter))
    qa, qb, qc = c1 * t1 + second, c0 * t1 + c1 * t0 + first, c0 * t0 + constant
    root = np.sqrt(np.maximum(qb * qb - 4.0 * qa * qc, 0.0))
    found = 2.0 * qc / (root - qb)
    return np.asarray(np.clip(found, corners[place], corners[place + 1]))


def _place(converter: Converter, speed_ratio: ArrayLike) -> tuple[NDArray[np.intp], Array]:
    corners = np.array(converter.speed_ratios)
    inside = np.clip(finite("speed_ratio", speed_ratio), corners[0], corners[-1])
    place = np.minimum(np.searchsorted(corners, inside, side="right"), corners.size - 1) - 1
    return np.asarray(place), inside


def _capacity_lines(converter: Converter) -> tuple[Array, Array]:
    return _lines(np.array(converter.speed_ratios), np.array(converter.capacities))


def _ratio_lines(converter: Converter) -> tuple[Array, Array]:
    return _lines(np.array(converter.speed_ratios), converter.torque_ratios)


def _lines(corners: Array, values: Array) -> tuple[Array, Array]:
    """Value at zero and slope of the line between each two corners."""
    slope = (values[..., 1:] - values[..., :-1]) / (corners[1:] - corners[:-1])
    return values[..., :-1] - slope * corners[:-1], slope


def _of_place(values: Array, place: NDArray[np.intp]) -> Array:
    """The value of each place, of which there is one a build and gear; corners are the last axis of the values."""
    if values.ndim == 1:
        return np.asarray(values[place])
    shape = np.broadcast_shapes(values.shape[:-1], place.shape)
    whole = np.broadcast_to(values, (*shape, values.shape[-1]))
    picks = np.broadcast_to(place, shape)[..., None]
    return np.asarray(np.take_along_axis(whole, picks, axis=-1)[..., 0])


def stalled_speed(full_load: FullLoad, power_factor: ArrayLike, stalled_capacity: ArrayLike) -> Array:
    r"""Engine speed at full load with the turbine held.

    .. math:: P(\omega) = \lambda\, \omega^3

    Parameters
    ----------
    full_load : FullLoad
        The engine. [W over rad/s]
    power_factor : array_like
        Share of the power that is left at the altitude, with an axis of one less than the engine, > 0. [-]
    stalled_capacity : array_like
        Torque of the stalled pump / square of its speed, > 0. [N m s2]

    Returns
    -------
    ndarray
        In the shape of the capacity; the first speed of the curve where its torque is too little there. [rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Balance of torque at the pump: by definition.

    Examples
    --------
    >>> from gearing_api.mechanics.engines import torque_curve
    >>> k = 144.4 * np.pi / 30.0
    >>> round(float(stalled_speed(torque_curve([50.0, 500.0], [300.0, 300.0]), 1.0, 1.0 / k / k)[0]) * 30.0 / np.pi)
    2501
    """
    c0, c1, c2, c3 = full_load.coefficients
    factor = positive("power_factor", power_factor)[..., None, None]
    starts, ends, *surplus = np.broadcast_arrays(
        full_load.starts,
        full_load.ends,
        factor * c0,
        factor * c1,
        factor * c2,
        factor * c3 - positive("stalled_capacity", stalled_capacity)[..., None],
    )
    found = last_not_negative(surplus, starts, ends)
    return np.asarray(np.maximum(found, starts[..., 0]))
