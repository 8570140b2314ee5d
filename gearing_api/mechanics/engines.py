"""Engines: full load by engine speed, and its loss at altitude."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gearing_api.mechanics import air
from gearing_api.mechanics.domain import Array, DomainError, not_negative, positive, within

ALTITUDE_FREE = 152.4
"""Height up to which an engine is not derated: 500 ft. [m]"""

ALTITUDE_LOSS = 0.03 / 304.8
"""Share of power lost per metre above it: 3 % per 1000 ft. [1/m]"""

# Where x + x^2 - x^3 has fallen to zero.
_PETROL_END = (1.0 + np.sqrt(5.0)) / 2.0


class FullLoad(NamedTuple):
    """Full-load power by engine speed, in pieces: on each a cubic in engine speed.

    Pieces are the last axis, builds the leading ones. Where engine speeds have gears on their last axis, give
    the curve an axis of length one there.
    """

    starts: Array
    """First engine speed of each piece. [rad/s]"""
    ends: Array
    """Last engine speed of each piece. [rad/s]"""
    coefficients: tuple[Array, Array, Array, Array]
    """Of the engine speed to the power 0, 1, 2, 3. [W, W s, W s2, W s3]"""


def torque_curve(speeds: ArrayLike, torques: ArrayLike) -> FullLoad:
    r"""Full load from points of torque, joined by straight lines.

    Parameters
    ----------
    speeds : array_like
        Engine speeds, two or more, rising along the last axis; the last may be repeated to bring
        curves to one length, >= 0. [rad/s]
    torques : array_like
        At those speeds, >= 0. [N m]

    Returns
    -------
    FullLoad
        A piece between each two points. [W over rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite or negative, or the speeds do not rise.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(full_load_power(torque_curve([100.0, 300.0], [200.0, 240.0]), 200.0))
    44000.0
    """
    starts, ends, offset, slope = _lines(speeds, not_negative("torques", torques))
    return FullLoad(starts, ends, (np.zeros(()), offset, slope, np.zeros(())))


def power_curve(speeds: ArrayLike, powers: ArrayLike) -> FullLoad:
    r"""Full load from points of power, joined by straight lines.

    Parameters
    ----------
    speeds : array_like
        Engine speeds, two or more, rising along the last axis; the last may be repeated to bring
        curves to one length, >= 0. [rad/s]
    powers : array_like
        At those speeds, >= 0. [W]

    Returns
    -------
    FullLoad
        A piece between each two points. [W over rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite or negative, or the speeds do not rise.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(full_load_power(power_curve([100.0, 300.0], [20e3, 72e3]), 200.0))
    46000.0
    """
    starts, ends, offset, slope = _lines(speeds, not_negative("powers", powers))
    return FullLoad(starts, ends, (offset, slope, np.zeros(()), np.zeros(())))


def _lines(speeds: ArrayLike, values: Array) -> tuple[Array, Array, Array, Array]:
    """Start, end, value at zero and slope of the line between each two points."""
    along = not_negative("speeds", speeds)
    if along.ndim == 0 or along.shape[-1] < 2:
        raise DomainError("speeds", "two or more points")
    starts, ends = along[..., :-1], along[..., 1:]
    if (ends < starts).any() or (ends == starts)[..., 0].any():
        raise DomainError("speeds", "rising from point to point")
    length = np.where(ends > starts, ends - starts, np.inf)
    slope = (values[..., 1:] - values[..., :-1]) / length
    return starts, ends, values[..., :-1] - slope * starts, slope


def petrol_curve(peak_power: ArrayLike, peak_power_speed: ArrayLike) -> FullLoad:
    r"""Full load of a petrol engine of which only the highest power is known.

    .. math:: P = P_m (x + x^2 - x^3), \quad x = \omega / \omega_m

    Its highest torque is 1.25 times the torque at peak power, at half that speed. Diesel engines
    follow other coefficients: use their curve, or `curve_from_peaks` with their peaks.

    Parameters
    ----------
    peak_power : array_like
        > 0. [W]
    peak_power_speed : array_like
        Engine speed of it, > 0. [rad/s]

    Returns
    -------
    FullLoad
        One piece, from standstill to where the power has fallen to zero. [W over rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] No print at hand: from memory (high), the form with these coefficients in Jazar, Vehicle
           Dynamics, ch. 4, and Genta. The European Commission JRC light-duty CO2 tool has the factor
           1.25 too.

    Examples
    --------
    >>> round(float(full_load_power(petrol_curve(100e3, 500.0), 400.0)))
    92800
    """
    power = positive("peak_power", peak_power)[..., None]
    speed = positive("peak_power_speed", peak_power_speed)[..., None]
    ends = _PETROL_END * speed
    square = speed * speed
    coefficients = (np.zeros(()), power / speed, power / square, -power / (square * speed))
    return FullLoad(np.zeros_like(ends), ends, coefficients)


def curve_from_peaks(
    peak_power: ArrayLike, peak_power_speed: ArrayLike, peak_torque: ArrayLike, peak_torque_speed: ArrayLike
) -> FullLoad:
    r"""Full load through the highest torque and the highest power, neither exceeded anywhere.

    Up to the speed of highest torque it is the petrol cubic scaled to that point, beyond the speed of
    highest power the petrol cubic scaled to that one. Between them the torque is a parabola through
    both: level at the highest torque, or, where its power would pass the peak on the way, the power
    level at the highest power. With peaks in the proportions of `petrol_curve` it is that curve.

    .. math:: T = T_p + p u + (T_m - T_p - p) u^2, \quad
              u = \frac{\omega_p - \omega}{\omega_p - \omega_m}, \quad
              p = \min\left(2 (T_m - T_p),\ T_p \frac{\omega_p - \omega_m}{\omega_p}\right)

    Parameters
    ----------
    peak_power : array_like
        > 0. [W]
    peak_power_speed : array_like
        Engine speed of it, > 0. [rad/s]
    peak_torque : array_like
        > 0. [N m]
    peak_torque_speed : array_like
        Engine speed of it, > 0. [rad/s]

    Returns
    -------
    FullLoad
        Three pieces, from standstill to where the power has fallen to zero. [W over rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite and positive, or `peaks_agree` is not true.

    References
    ----------
    .. [1] The petrol cubic from memory (high), see `petrol_curve`; the parabola between the peaks is
           this project's own, fixed by the peaks alone.

    Examples
    --------
    >>> engine = curve_from_peaks(150e3, 480.0, 330.0, 300.0)
    >>> full_load_torque(engine, [300.0, 400.0, 480.0]).round(2)
    array([330. , 324.6, 312.5])
    """
    if not peaks_agree(peak_power, peak_power_speed, peak_torque, peak_torque_speed).all():
        raise DomainError("peak_torque", "at least peak power / its speed, at a lower speed, with less power")
    power, power_speed, torque, torque_speed = (
        peak[()] for peak in np.broadcast_arrays(peak_power, peak_power_speed, peak_torque, peak_torque_speed)
    )
    edge = power / power_speed
    span = power_speed - torque_speed
    rise = torque - edge
    p = np.minimum(2.0 * rise, edge * span / power_speed) / span
    q = (rise - p * span) / (span * span)
    power_square, torque_square = power_speed * power_speed, torque_speed * torque_speed
    pieces = np.array(
        [
            [0.0 * power, torque_speed, power_speed],
            [torque_speed, power_speed, _PETROL_END * power_speed],
            [0.8 * torque, edge + p * power_speed + q * power_square, edge],
            [0.4 * torque / torque_speed, -p - 2.0 * q * power_speed, edge / power_speed],
            [-0.2 * torque / torque_square, q, -edge / power_square],
        ]
    )
    starts, ends, first, second, third = pieces.transpose(0, *range(2, pieces.ndim), 1)
    return FullLoad(starts, ends, (np.zeros(()), first, second, third))


def peaks_agree(
    peak_power: ArrayLike, peak_power_speed: ArrayLike, peak_torque: ArrayLike, peak_torque_speed: ArrayLike
) -> NDArray[np.bool_]:
    r"""Whether the four peaks can be those of one engine.

    The highest torque must not be less than the torque at peak power, must come at a lower speed, and
    must leave the power room to rise to its peak:

    .. math:: 1 \le \frac{T_m}{T_p} \le 1 + z + z^2, \quad z = 1 - \frac{\omega_m}{\omega_p} > 0

    Parameters
    ----------
    peak_power : array_like
        > 0. [W]
    peak_power_speed : array_like
        Engine speed of it, > 0. [rad/s]
    peak_torque : array_like
        > 0. [N m]
    peak_torque_speed : array_like
        Engine speed of it, > 0. [rad/s]

    Returns
    -------
    ndarray of bool
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
    >>> peaks_agree(150e3, 480.0, [330.0, 300.0], 300.0)
    array([ True, False])
    """
    speed = positive("peak_power_speed", peak_power_speed)
    rise = positive("peak_torque", peak_torque) * speed / positive("peak_power", peak_power)
    z = 1.0 - positive("peak_torque_speed", peak_torque_speed) / speed
    return (z > 0.0) & (rise >= 1.0) & (rise <= 1.0 + z + z * z)


def full_load_power(full_load: FullLoad, engine_speed: ArrayLike) -> Array:
    r"""Power at full load.

    Zero outside the curve, where the power is not known.

    Parameters
    ----------
    full_load : FullLoad
        The engine; its leading axes broadcast with the engine speed. [W over rad/s]
    engine_speed : array_like
        >= 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape that engine speed and curve broadcast to. [W]

    Raises
    ------
    DomainError
        If an engine speed is not finite or negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> engine = power_curve([100.0, 300.0], [20e3, 72e3])
    >>> full_load_power(engine, [50.0, 100.0, 200.0, 300.0, 301.0])
    array([    0., 20000., 46000., 72000.,     0.])
    """
    speed = not_negative("engine_speed", engine_speed)[..., None]
    c0, c1, c2, c3 = full_load.coefficients
    power = c0 + speed * (c1 + speed * (c2 + speed * c3))
    inside = (full_load.starts <= speed) & (speed <= full_load.ends)
    best: Array = np.where(inside, power, 0.0).max(axis=-1)
    return best


def full_load_torque(full_load: FullLoad, engine_speed: ArrayLike) -> Array:
    r"""Torque at full load, zero outside the curve.

    .. math:: T = P / \omega

    Parameters
    ----------
    full_load : FullLoad
        The engine; its leading axes broadcast with the engine speed. [W over rad/s]
    engine_speed : array_like
        > 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape that engine speed and curve broadcast to. [N m]

    Raises
    ------
    DomainError
        If an engine speed is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(full_load_torque(torque_curve([100.0, 300.0], [200.0, 240.0]), 200.0))
    220.0
    """
    speed = positive("engine_speed", engine_speed)
    return full_load_power(full_load, speed) / speed


def altitude_power_factor(altitude: ArrayLike) -> Array:
    r"""Power of a naturally aspirated engine at an altitude / its rated power.

    Three per cent are lost per 1000 ft above 500 ft. `j1349_correction` with the standard atmosphere,
    far outside its own range, agrees within two hundredths from 500 to 4000 m.

    Parameters
    ----------
    altitude : array_like
        Above sea level, -2000 to 9000. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If an altitude lies outside the range.

    References
    ----------
    .. [1] Agricultural engineering texts on rating engines, as a rule for naturally aspirated engines.

    Examples
    --------
    >>> round(float(altitude_power_factor(1500.0)), 4)
    0.8674
    """
    height = within("altitude", altitude, air.LOWEST_ALTITUDE, 9000.0)
    return 1.0 - ALTITUDE_LOSS * np.maximum(height - ALTITUDE_FREE, 0.0)


def j1349_correction(dry_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    r"""Power under the standard's conditions / power observed, petrol engines.

    .. math:: k = 1.18 \frac{99\,\text{kPa}}{p} \sqrt{\frac{T}{298\,\text{K}}} - 0.18

    Parameters
    ----------
    dry_pressure : array_like
        Air pressure less that of the water vapour, > 0. [Pa]
    temperature : array_like
        Of the intake air; the source counts 0 degrees Celsius as 273 K, > 0. [K]

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
    .. [1] SAE J1349 (1990), as widely quoted.

    Examples
    --------
    >>> round(float(j1349_correction(84300.0, 298.0)), 4)
    1.2058
    """
    pressure = 99000.0 / positive("dry_pressure", dry_pressure)
    return 1.18 * pressure * np.sqrt(positive("temperature", temperature) / 298.0) - 0.18


def iso1585_correction(dry_pressure: ArrayLike, temperature: ArrayLike) -> Array:
    r"""Power under the standard's conditions / power observed, petrol engines.

    .. math:: \alpha = \left(\frac{99\,\text{kPa}}{p}\right)^{1.2} \left(\frac{T}{298\,\text{K}}\right)^{0.6}

    Parameters
    ----------
    dry_pressure : array_like
        Air pressure less that of the water vapour, > 0. [Pa]
    temperature : array_like
        Of the intake air, > 0. [K]

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
    .. [1] ISO 1585 and UN Regulation No. 85, as widely quoted.

    Examples
    --------
    >>> round(float(iso1585_correction(84300.0, 298.0)), 4)
    1.2127
    """
    pressure = 99000.0 / positive("dry_pressure", dry_pressure)
    return np.power(pressure, 1.2) * np.power(positive("temperature", temperature) / 298.0, 0.6)
