"""Gaining speed: what has to be accelerated, and times and distances from speed to speed."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, along, not_negative, positive

ENGINE_INERTIA, ENGINE_INERTIA_PER_VOLUME = 0.05, 100.0
"""Inertia of a petrol engine's turning parts: constant, and by displacement. [kg m2, kg/m]"""

DIESEL_INERTIA = 2.0
"""Inertia of a diesel / that of a petrol engine. [-]"""

WHEEL_INERTIA, WHEEL_RADIUS = 2.38, 0.3774
"""Inertia of a wheel with its tyre, of a pickup on 265/70R16, and that tyre's rolling radius. [kg m2, m]"""

WHEELS = 4.0


class Run(NamedTuple):
    """States at the ends of small steps of speed, on the last axis; the first is the start."""

    speed: Array
    time: Array
    distance: Array


def engine_inertia(displacement: ArrayLike, diesel: bool = False) -> Array:
    r"""Inertia of the turning parts of an engine.

    .. math:: I = 0.05 + 0.1\, V_d / \text{litre}, \quad \text{diesel twice that}

    Parameters
    ----------
    displacement : array_like
        Swept volume; 0 for an electric motor, >= 0. [m3]
    diesel : bool
        Whether it is a diesel. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [kg m2]

    Raises
    ------
    DomainError
        If the displacement is not finite or negative.

    References
    ----------
    .. [1] European Commission Joint Research Centre, light-duty CO2 model, defaults of 2022.

    Examples
    --------
    >>> float(engine_inertia(3e-3).round(6))
    0.35
    """
    petrol = ENGINE_INERTIA + ENGINE_INERTIA_PER_VOLUME * not_negative("displacement", displacement)
    return np.asarray((DIESEL_INERTIA if diesel else 1.0) * petrol)


def wheel_inertia(rolling_radius: ArrayLike) -> Array:
    r"""Inertia of all four wheels with their tyres, by the size of the tyre.

    .. math:: I = 4 \cdot 2.38 \left(\frac{r}{0.3774\,\text{m}}\right)^4

    Parameters
    ----------
    rolling_radius : array_like
        > 0. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [kg m2]

    Raises
    ------
    DomainError
        If the radius is not finite and positive.

    References
    ----------
    .. [1] US National Renewable Energy Laboratory, vehicle table of a simulator: 2.38 kg m2 a wheel of a pickup on
           265/70R16. That mass grows with the square of the radius is by similarity, at equal width.

    Examples
    --------
    >>> round(float(wheel_inertia(0.3774)), 2)
    9.52
    """
    part = positive("rolling_radius", rolling_radius) / WHEEL_RADIUS
    square = part * part
    return np.asarray(WHEELS * WHEEL_INERTIA * (square * square))


def effective_mass(
    vehicle_mass: ArrayLike,
    engine_inertia: ArrayLike,
    overall_ratio: ArrayLike,
    wheel_inertia: ArrayLike,
    rolling_radius: ArrayLike,
) -> Array:
    r"""Mass that an acceleration has to overcome, with everything that must turn faster.

    .. math:: m_e = m + \frac{I_e i^2 + I_w}{r^2}

    Parameters
    ----------
    vehicle_mass : array_like
        > 0. [kg]
    engine_inertia : array_like
        Of all that turns with the engine, 0 where it does not follow the wheels, >= 0. [kg m2]
    overall_ratio : array_like
        > 0. [-]
    wheel_inertia : array_like
        Of all that turns with the wheels, >= 0. [kg m2]
    rolling_radius : array_like
        > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [kg]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 2.

    Examples
    --------
    >>> float(effective_mass(2000.0, 0.35, 10.0, 9.0, 0.4))
    2275.0
    """
    radius, ratio = positive("rolling_radius", rolling_radius), positive("overall_ratio", overall_ratio)
    turning = not_negative("engine_inertia", engine_inertia) * (ratio * ratio)
    turning = turning + not_negative("wheel_inertia", wheel_inertia)
    return np.asarray(positive("vehicle_mass", vehicle_mass) + turning / (radius * radius))


def run(
    start: ArrayLike, steps: ArrayLike, acceleration: ArrayLike, pause: ArrayLike, regained: ArrayLike
) -> Run:
    r"""Time and distance while speed rises in steps, each at an even acceleration, with pauses without drive before.

    .. math:: t = \sum \frac{\Delta v}{a} + \tau (1 + g), \quad s = \sum \bar v \frac{\Delta v}{a} + v \tau (1 + g)

    Parameters
    ----------
    start : array_like
        Speed at the start, >= 0. [m/s]
    steps : array_like
        Gains of speed in their order on the last axis, >= 0. [m/s]
    acceleration : array_like
        On each; where it is not positive and the step is not 0 no speed beyond is reached. [m/s2]
    pause : array_like
        Time without drive before each step, as in a shift, >= 0. [s]
    regained : array_like
        Deceleration in the pause / acceleration after it: what was lost has to be gained again. [-]

    Returns
    -------
    Run
        The start and the end of each step on the last axis; infinite times and distances where a speed is not
        reached. [m/s, s, m]

    Raises
    ------
    DomainError
        If the start or a step is not finite or negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> run(0.0, [10.0, 10.0], [2.0, 1.0], [0.0, 0.5], [0.0, 0.1]).time
    array([ 0.  ,  5.  , 15.55])
    """
    first, gains = not_negative("start", start)[..., None], not_negative("steps", steps)
    moves = gains > 0.0
    rises = np.asarray(acceleration) > 0.0
    taken = np.where(moves, np.where(rises, gains / np.where(rises, acceleration, 1.0), np.inf), 0.0)
    still = np.asarray(pause, dtype=np.float64)
    rest = np.where(moves, still * (1.0 + np.where(rises, regained, 0.0)), 0.0)
    speed = first + gains.cumsum(axis=-1)
    before = speed - gains
    length = 0.5 * (before + speed) * taken + before * rest
    states = np.zeros((3, *length.shape[:-1], length.shape[-1] + 1))
    states[0, ..., :1] = first
    states[0, ..., 1:] = speed
    states[1, ..., 1:] = (taken + rest).cumsum(axis=-1)
    states[2, ..., 1:] = length.cumsum(axis=-1)
    return Run(*states)


def gaining(made: Run, other_speed: ArrayLike, wanted: ArrayLike) -> tuple[Array, Array]:
    r"""Time and distance until so much has been gained on another vehicle; the last speed is kept from there on.

    .. math:: s - v_o t = d

    Parameters
    ----------
    made : Run
        Of the vehicle that overtakes. [m/s, s, m]
    other_speed : array_like
        Even speed of the other, below the last speed of the run, > 0. [m/s]
    wanted : array_like
        Distance to gain: both lengths and both gaps, > 0. [m]

    Returns
    -------
    tuple of ndarray
        Time and distance in the shape the arguments broadcast to; infinite where the run does not get there.
        [s, m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Relative motion of two vehicles: by definition.

    Examples
    --------
    >>> mph = 0.44704
    >>> time, distance = gaining(run(50 * mph, [20 * mph], [1.2], [0.0], [0.0]), 50 * mph, 60.0)
    >>> round(float(time), 2), round(float(distance), 1)
    (10.44, 293.3)
    """
    other, gap = positive("other_speed", other_speed)[..., None], positive("wanted", wanted)[..., None]
    speed, time, length = made
    reached = np.isfinite(time)
    gained = np.where(reached, length - other * np.where(reached, time, 0.0), np.inf)
    place = np.maximum((gained <= gap).astype(np.intp).cumsum(axis=-1)[..., -1:] - 1, 0)
    here = [along(part, place) for part in (speed, time, length, gained)]
    after = np.minimum(place + 1, speed.shape[-1] - 1)
    next_speed, next_time = along(speed, after), along(time, after)
    span = next_time - here[1]
    rate = (next_speed - here[0]) / np.where(span > 0.0, span, 1.0)
    left, faster = np.maximum(gap - here[3], 0.0), here[0] - other
    root = faster + np.sqrt(faster * faster + 2.0 * rate * left)
    gains = root > 0.0
    more = 2.0 * left / np.where(gains, root, 1.0)
    time = np.where(gains, here[1] + more, np.inf)
    covered = np.where(gains, here[2] + (here[0] + 0.5 * rate * more) * more, np.inf)
    return time[..., 0], covered[..., 0]
