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

CHARGED_HEIGHT = 1524.0
"""Height to which a charger is taken to keep full power: 5000 ft. Common practice, no published source. [m]"""


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


class Shape(NamedTuple):
    """How the full load of one kind of engine runs outside its peaks."""

    idle_share: float
    """Torque at idle / highest torque. [-]"""
    exponent: float
    """Of the rise from idle to the highest torque. [-]"""
    fall: float
    """Share of the power lost beyond its peak / square of the relative speed above it. [-]"""
    torque_rise: float
    """Highest torque / torque at peak power, where it is not known. [-]"""
    torque_place: float
    """Speed of the highest torque / speed of peak power, where it is not known. [-]"""


SHAPES = {
    "petrol": Shape(0.65, 2.5, 9.0, 1.06, 0.5),
    "petrol-turbo": Shape(0.45, 1.5, 2.0, 1.0 / 0.86, 0.35),
    "diesel": Shape(0.65, 2.5, 12.0, 1.0 / 0.76, 0.45),
    "diesel-turbo": Shape(0.35, 1.5, 12.0, 1.0 / 0.76, 0.45),
}
"""By kind of engine.

Fitted to the full-load curves of the UN GTR 15 gear-shift validation set, 81 distinct ones: from idle to the
highest torque the error is 5.2 % of that torque (rms) for diesels, 9 % for turbocharged and 8 % for other petrol
engines; natural diesels by three curves in open data of vehicle simulators. The power at 1.1 times its speed is
0.88 for diesels, 0.88 to 0.95 for petrol and 1.00 for turbocharged petrol engines (medians). The torque at peak power
is 0.76, 0.91 to 0.97 and 0.86 of the highest. At which speed petrol engines have their highest torque varies most; half
the speed of peak power is our choice.
"""

_KNOT = 0.25
"""Where the two parabolas meet that draw the rise, as a share of the way down from the highest torque."""


def curve_from_peaks(
    peak_power: ArrayLike,
    peak_power_speed: ArrayLike,
    peak_torque: ArrayLike,
    peak_torque_speed: ArrayLike,
    idle_speed: ArrayLike,
    idle_torque: ArrayLike,
    exponent: ArrayLike,
    fall: ArrayLike,
    plateau_end: ArrayLike | None = None,
) -> FullLoad:
    r"""Full load through idle, the highest torque and the highest power, neither exceeded anywhere.

    From idle to the highest torque, from there level to the end of the plateau, then a parabola of torque to the
    highest power: level at the highest torque, or, where its power would pass the peak on the way, the power
    level at the highest power. Beyond it the power falls with the square of the speed above.

    .. math:: T = T_m - (T_m - T_0) \left(\frac{\omega_m - \omega}{\omega_m - \omega_0}\right)^p, \quad
              T = T_p + q u + (T_m - T_p - q) u^2, \quad
              u = \frac{\omega_p - \omega}{\omega_p - \omega_e}, \quad
              q = \min\left(2 (T_m - T_p),\ T_p \frac{\omega_p - \omega_e}{\omega_p}\right), \quad
              P = P_m \left(1 - k (\omega / \omega_p - 1)^2\right)

    The power of the first is drawn by two parabolas, which leave it by 0.4 % of the highest torque at most.

    Parameters
    ----------
    peak_power : array_like
        > 0. [W]
    peak_power_speed : array_like
        Engine speed of it, > 0. [rad/s]
    peak_torque : array_like
        > 0. [N m]
    peak_torque_speed : array_like
        Engine speed at which it is reached, > 0. [rad/s]
    idle_speed : array_like
        Where the curve begins; from the speed of the highest torque on there is no rise, >= 0. [rad/s]
    idle_torque : array_like
        Full-load torque there, 0 to the highest. [N m]
    exponent : array_like
        Of the rise, see `SHAPES`, > 0. [-]
    fall : array_like
        Of the power, see `SHAPES`, > 0. [-]
    plateau_end : array_like, optional
        Engine speed to which the highest torque is held; no plateau if not given. [rad/s]

    Returns
    -------
    FullLoad
        Four pieces, or five with a plateau, from idle to where the power has fallen to zero. [W over rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range, or `peaks_agree` is not true at the plateau's end.

    References
    ----------
    .. [1] The forms are this project's own; their constants are fitted to the UN GTR 15 gear-shift validation
           set, see `SHAPES`. The parabola leaves the curves of that set by 0.6 to 2.6 % of the peak (rms).

    Examples
    --------
    >>> engine = curve_from_peaks(150e3, 480.0, 330.0, 300.0, 80.0, 214.5, 2.5, 9.0)
    >>> full_load_torque(engine, [80.0, 200.0, 300.0, 400.0, 480.0]).round(1)
    array([214.5, 314.8, 330. , 324.6, 312.5])
    """
    end = np.asarray(peak_torque_speed if plateau_end is None else plateau_end, dtype=np.float64)
    if not peaks_agree(peak_power, peak_power_speed, peak_torque, end).all():
        raise DomainError("peak_torque", "at least peak power / its speed, at a lower speed, with less power")
    power, rated, torque, top, idle, low, p, k, end = (part[()] for part in np.broadcast_arrays(
        peak_power, peak_power_speed, positive("peak_torque", peak_torque),
        positive("peak_torque_speed", peak_torque_speed), not_negative("idle_speed", idle_speed),
        not_negative("idle_torque", idle_torque), positive("exponent", exponent), positive("fall", fall), end,
    ))  # fmt: skip
    none = 0.0 * torque
    pieces = np.array([
        *_rise(torque, top, idle, torque - low, p, none),
        *([] if plateau_end is None else [(top, end, none, torque, none, none)]),
        *_from_plateau(power, rated, torque, end, k, none),
    ])  # fmt: skip
    starts, ends, c0, c1, c2, c3 = pieces.transpose(1, *range(2, pieces.ndim), 0)
    return FullLoad(starts, ends, (c0, c1, c2, c3))


_ZERO = np.zeros(())

_Piece = tuple[Array, Array, Array, Array, Array, Array]
"""First and last engine speed, and the coefficients of the power."""


def _rise(torque: Array, top: Array, idle: Array, depth: Array, exponent: Array, none: Array) -> list[_Piece]:
    """From idle to the highest torque: a parabola on each side of the knot. No rise where idle is nearly there."""
    rises = top - idle > 1e-3 * top
    length = np.where(rises, top - idle, np.inf)
    start = np.where(rises, idle, top)
    knot = np.where(rises, top - _KNOT * (top - idle), top)
    c = top / length
    pieces: list[_Piece] = []
    for first, last, near, far in ((start, knot, _KNOT, 1.0), (knot, top, 0.0, _KNOT)):
        g0, g1, g2 = _parabola(near, far, exponent)
        pieces.append((
            first, last, none,
            torque - depth * (g0 + (g1 + g2 * c) * c),
            depth * (g1 + 2.0 * g2 * c) / length,
            -depth * g2 / (length * length),
        ))  # fmt: skip
    return pieces


def _parabola(near: float, far: float, exponent: Array) -> tuple[Array, Array, Array]:
    """Through u to the power of the exponent at both ends and, as far as it does not fall below 0, in the middle."""
    middle = 0.5 * (near + far)
    a, b, c = (np.power(u, exponent) for u in (near, middle, far))
    first, second = (b - a) / (middle - near), (c - b) / (far - middle)
    g2 = (second - first) / (far - near)
    g1 = first - g2 * (near + middle)
    if near == 0.0:  # else steep exponents would pass the highest torque
        g1 = np.maximum(g1, 0.0)
        g2 = (c - g1 * far) / (far * far)
    return a - (g1 + g2 * near) * near, g1, g2


def _from_plateau(
    power: Array, power_speed: Array, torque: Array, end: Array, k: Array, none: Array
) -> list[_Piece]:
    """From the end of the highest torque to the highest power, and beyond."""
    edge = power / power_speed
    span = power_speed - end
    rise = torque - edge
    p = np.minimum(2.0 * rise, edge * span / power_speed) / span
    q = (rise - p * span) / (span * span)
    last = power_speed * (1.0 + 1.0 / np.sqrt(k))
    middle = edge + p * power_speed + q * (power_speed * power_speed), -p - 2.0 * q * power_speed, q
    return [
        (end, power_speed, none, *middle),
        (power_speed, last, power * (1.0 - k), 2.0 * k * edge, -k * edge / power_speed, none),
    ]


def electric_curve(peak_power: ArrayLike, peak_torque: ArrayLike, last_speed: ArrayLike) -> FullLoad:
    r"""Full load of an electric motor: level torque, then level power, to its highest speed.

    .. math:: T = \min(T_m, P_m / \omega)

    Parameters
    ----------
    peak_power : array_like
        > 0. [W]
    peak_torque : array_like
        > 0. [N m]
    last_speed : array_like
        Highest speed of the motor, > 0. [rad/s]

    Returns
    -------
    FullLoad
        Two pieces, from standstill to the highest speed. [W over rad/s]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] National Renewable Energy Laboratory, vehicle simulator's open data files of 2003: 17 motor maps, from
           which it differs by 0 to 4 % (rms) in 7, and by up to 28 % where a map ends in a cut-off.

    Examples
    --------
    >>> full_load_torque(electric_curve(100e3, 300.0, 1000.0), [0.1, 300.0, 500.0, 1001.0])
    array([300., 300., 200.,   0.])
    """
    power, torque = positive("peak_power", peak_power), positive("peak_torque", peak_torque)
    last = positive("last_speed", last_speed)
    base = np.minimum(power / torque, last)
    pieces = ((_ZERO, base, _ZERO, torque), (base, last, np.minimum(power, torque * last), _ZERO))
    starts, ends, c0, c1 = (
        np.stack(np.broadcast_arrays(*column, base), axis=-1)[..., :2] for column in zip(*pieces, strict=True)
    )
    return FullLoad(starts, ends, (c0, c1, _ZERO, _ZERO))


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
    speed = not_negative("engine_speed", engine_speed)
    starts, ends, c0, c1, c2, c3 = (
        _pieces_first(part, speed.ndim)
        for part in (full_load.starts, full_load.ends, *full_load.coefficients)
    )
    power = c0 + speed * (c1 + speed * (c2 + speed * c3))
    inside = (starts <= speed) & (speed <= ends)
    best: Array = np.where(inside, power, 0.0).max(axis=0)
    return best


def _pieces_first(part: Array, axes: int) -> Array:
    """With its pieces before the axes of the engine speeds, which are many: numpy is fast along the last axis."""
    if part.ndim == 0:
        return part
    first = part.transpose(-1, *range(part.ndim - 1))
    return first if axes < part.ndim else first[:, *(None,) * (axes - part.ndim + 1)]


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


def altitude_power_factor(altitude: ArrayLike, full_power_height: ArrayLike = ALTITUDE_FREE) -> Array:
    r"""Power of an engine at an altitude / its rated power.

    Three per cent are lost per 1000 ft above the height to which it keeps full power: 500 ft where it is naturally
    aspirated, the critical altitude of its charger where it has one.

    Parameters
    ----------
    altitude : array_like
        Above sea level, -2000 to 9000. [m]
    full_power_height : array_like
        Height to which it keeps full power, >= 0. [m]

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
    .. [1] Agricultural engineering texts on rating engines, as a rule for naturally aspirated engines; they and
           UN Regulation No. 85 take no loss for engines whose charger makes up for the air. That these lose like the
           others above the critical altitude is common practice, no published source.

    Examples
    --------
    >>> altitude_power_factor([1500.0, 3000.0], [152.4, 1524.0]).round(4)
    array([0.8674, 0.8547])
    """
    height = within("altitude", altitude, air.LOWEST_ALTITUDE, 9000.0)
    free = not_negative("full_power_height", full_power_height)
    return 1.0 - ALTITUDE_LOSS * np.maximum(height - free, 0.0)
