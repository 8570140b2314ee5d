"""What an engine, a converter and a motor hold back when the vehicle pushes them."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, within
from gearing_api.mechanics.road_loads import STANDARD_GRAVITY

_PER_1000_RPM = 30.0 / (1000.0 * np.pi)

STALLED_CAPACITY = 404.8 * _PER_1000_RPM * _PER_1000_RPM
"""Torque / square of the speed of the generic truck converter of `OVERRUN_CAPACITIES` when it is stalled. [N m s2]"""

DRAG_BAND = (0.7, 1.3)
"""Measured drag / `motoring_drag`: published curves lie between. [-]"""

OVERRUN_SPEED_RATIOS = (1.0, 1.1, 1.222, 1.375, 1.571, 1.833, 2.2, 3.0, 4.0, 5.0)
"""Turbine speed / engine speed of `OVERRUN_CAPACITIES`. [-]"""

OVERRUN_CAPACITIES = (0.0, 40.34, 80.34, 136.11, 216.52, 335.19, 528.77, 1122.0, 2326.0, 4242.0)
"""Torque at 1000 rpm of the engine with which a generic truck converter turns it in overrun.

European Commission heavy-duty CO2 declaration tool, generic converter. [N m]
"""

_FRICTION = (0.97e5, 0.15e5 * _PER_1000_RPM, 0.05e5 * _PER_1000_RPM * _PER_1000_RPM)
_MPH = 1609.344 / 3600.0


class Drag(NamedTuple):
    """Torque of an engine that is pushed: constant + linear w + square w2. [N m, N m s, N m s2]"""

    constant: Array
    linear: Array
    square: Array


class Overrun(NamedTuple):
    """A converter whose turbine pushes the engine. [rad/s, N m]"""

    engine_speed: Array
    torque: Array


def motoring_drag(engine_displacement: ArrayLike) -> Drag:
    r"""Torque that friction and pumping take from a pushed four-stroke engine, petrol or diesel, by its speed.

    .. math:: T = \frac{p V}{4 \pi}, \quad p = 0.97 + 0.15 N + 0.05 N^2\ \text{bar}, \quad N \text{ in 1000 rpm}

    Published curves of single engines lie at 0.7 to 1.3 of it, at the idle speed of a large diesel below.

    Parameters
    ----------
    engine_displacement : array_like
        Swept volume of all cylinders, > 0. [m3]

    Returns
    -------
    Drag
        In the shape of the argument. [N m over rad/s]

    Raises
    ------
    DomainError
        If a displacement is not finite and positive.

    References
    ----------
    .. [1] Barnes-Moss correlation (Heywood, Internal Combustion Engine Fundamentals, ch. 13), as reproduced in
           two open engine models.

    Examples
    --------
    >>> round(float(drag_torque(motoring_drag(3.6e-3), 3000 * np.pi / 30)), 2)
    53.57
    """
    volume = positive("engine_displacement", engine_displacement) / (4.0 * np.pi)
    return Drag(_FRICTION[0] * volume, _FRICTION[1] * volume, _FRICTION[2] * volume)


def drag_torque(drag: Drag, engine_speed: ArrayLike) -> Array:
    r"""Torque of a pushed engine at a speed.

    .. math:: T = a + b \omega + c \omega^2

    Parameters
    ----------
    drag : Drag
        Of the engine. [N m over rad/s]
    engine_speed : array_like
        >= 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If a speed is not finite or negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(drag_torque(Drag(20.0, 0.1, 0.0), 100.0))
    30.0
    """
    speed = not_negative("engine_speed", engine_speed)
    return drag.constant + (drag.linear + drag.square * speed) * speed


def overrun_force(
    drag_torque: ArrayLike,
    overall_ratio: ArrayLike,
    driveline_efficiency: ArrayLike,
    rolling_radius: ArrayLike,
) -> Array:
    r"""Force with which a pushed engine holds the vehicle back.

    The wheels drive the engine, so that the losses between them help.

    .. math:: F = \frac{T i}{\eta r}

    Parameters
    ----------
    drag_torque : array_like
        At the crankshaft, >= 0. [N m]
    overall_ratio : array_like
        Gearbox x transfer case x axle x hub, > 0. [-]
    driveline_efficiency : array_like
        Wheels to crankshaft, 0.1 to 1. [-]
    rolling_radius : array_like
        > 0. [m]

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
    .. [1] Balance of power from the wheels to the engine: by definition.

    Examples
    --------
    >>> round(float(overrun_force(53.57, 2.61 * 4.10, 0.85, 0.405)))
    1665
    """
    torque = not_negative("drag_torque", drag_torque) * positive("overall_ratio", overall_ratio)
    efficiency = within("driveline_efficiency", driveline_efficiency, 0.1, 1.0)
    return torque / (efficiency * positive("rolling_radius", rolling_radius))


def settling_speed(
    drag: Drag,
    overall_ratio: ArrayLike,
    driveline_efficiency: ArrayLike,
    rolling_radius: ArrayLike,
    constant: ArrayLike,
    linear: ArrayLike,
    quadratic: ArrayLike,
) -> Array:
    r"""Speed at which a pushed engine and the road load balance the pull of a slope.

    .. math:: \frac{i}{\eta r} T\left(\frac{i v}{r}\right) + A + B v + C v^2 = 0

    With the constant of the road load negative, as it is where the slope outweighs the rolling resistance.

    Parameters
    ----------
    drag : Drag
        Of the engine. [N m over rad/s]
    overall_ratio : array_like
        Gearbox x transfer case x axle x hub, > 0. [-]
    driveline_efficiency : array_like
        Wheels to crankshaft, 0.1 to 1. [-]
    rolling_radius : array_like
        > 0. [m]
    constant, linear, quadratic : array_like
        Coefficients of `road_load`, the slope included. [N, N s/m, kg/m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to: 0 where the engine holds the vehicle from standstill on, so that
        it turns at idle; infinite where no speed balances. [m/s]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Balance of forces along the slope, a quadratic in speed: by definition.

    Examples
    --------
    >>> slope = -2500.0 * 9.80665 * np.sin(np.arctan(0.10)) + 0.015 * 2500.0 * 9.80665 * np.cos(np.arctan(0.10))
    >>> v = settling_speed(motoring_drag(3.6e-3), 1.72 * 3.73, 0.85, 0.361, slope, 0.0, 0.5 * 1.225 * 1.4)
    >>> round(float(v) * 3.6, 1)
    91.3
    """
    gearing = positive("overall_ratio", overall_ratio) / positive("rolling_radius", rolling_radius)
    lever = gearing / within("driveline_efficiency", driveline_efficiency, 0.1, 1.0)
    c0 = drag.constant * lever + finite("constant", constant)
    c1 = drag.linear * (lever * gearing) + finite("linear", linear)
    c2 = drag.square * (lever * gearing * gearing) + not_negative("quadratic", quadratic)
    surplus = np.maximum(-c0, 0.0)
    # Nothing over nothing where the engine holds already; something over nothing where no speed balances.
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = 2.0 * surplus / (c1 + np.sqrt(c1 * c1 + 4.0 * c2 * surplus))
    return np.asarray(np.where(c0 < 0.0, speed, 0.0))


def held_grade(force: ArrayLike, vehicle_mass: ArrayLike, rolling_resistance: ArrayLike) -> Array:
    r"""Steepest slope down which a force holds the vehicle back.

    .. math:: m g (\sin\theta - f \cos\theta) = F, \quad
              \tan\theta = \tan\left(\arcsin\frac{F}{m g \sqrt{1 + f^2}} + \arctan f\right)

    Parameters
    ----------
    force : array_like
        That holds it back, without the rolling resistance, >= 0. [N]
    vehicle_mass : array_like
        > 0. [kg]
    rolling_resistance : array_like
        Rolling force / normal force, >= 0. [-]

    Returns
    -------
    ndarray
        Fall / run in the shape the arguments broadcast to; infinite where the force holds any slope. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Balance of forces along the slope, solved for the angle: by definition.

    Examples
    --------
    >>> round(float(held_grade(3000.0, 2500.0, 0.015)), 4)
    0.1385
    """
    f = not_negative("rolling_resistance", rolling_resistance)
    weight = STANDARD_GRAVITY * positive("vehicle_mass", vehicle_mass)
    sine = not_negative("force", force) / (weight * np.sqrt(1.0 + f * f))
    angle = np.arcsin(np.minimum(sine, 1.0)) + np.arctan(f)
    held = angle < 0.5 * np.pi - 1e-9
    return np.asarray(np.where(held, np.tan(np.where(held, angle, 0.0)), np.inf))


def overrun_capacity(speed_ratio: ArrayLike, size: ArrayLike) -> Array:
    r"""Torque of a converter in overrun / square of the engine's speed; straight lines between the points.

    .. math:: \lambda = T / \omega^2

    Parameters
    ----------
    speed_ratio : array_like
        Turbine speed / engine speed; below 1 nothing is held back, above 5 the last value is kept. [-]
    size : array_like
        Of the converter: its stalled torque at 1000 rpm / that of the generic one, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m s2]

    Raises
    ------
    DomainError
        If an argument is not finite, or the size is not positive.

    References
    ----------
    .. [1] European Commission heavy-duty CO2 declaration tool, generic converter in overrun.

    Examples
    --------
    >>> round(float(overrun_capacity(1.375, 1.0) * (1500 * np.pi / 30) * (1500 * np.pi / 30)), 1)
    306.2
    """
    ratio = np.minimum(np.maximum(finite("speed_ratio", speed_ratio), _RATIOS[0]), _RATIOS[-1])
    piece = np.minimum(np.searchsorted(_RATIOS, ratio, side="right"), _RATIOS.size - 1) - 1
    capacity: Array = positive("size", size) * (_OFFSETS[piece] + _SLOPES[piece] * ratio)
    return capacity


_RATIOS = np.array(OVERRUN_SPEED_RATIOS)
_LAMBDAS = np.array(OVERRUN_CAPACITIES) * _PER_1000_RPM * _PER_1000_RPM
_SLOPES = (_LAMBDAS[1:] - _LAMBDAS[:-1]) / (_RATIOS[1:] - _RATIOS[:-1])
_OFFSETS = _LAMBDAS[:-1] - _SLOPES * _RATIOS[:-1]


def overrun_match(turbine_speed: ArrayLike, drag: Drag, size: ArrayLike, idle_speed: ArrayLike) -> Overrun:
    r"""Speed to which an open converter turns a pushed engine, and the torque that it holds back with.

    .. math:: \lambda(\nu)\, \omega^2 = T(\omega), \quad \nu = \omega_t / \omega

    Below idle speed the engine keeps itself turning, and the converter holds back what little it takes there.

    Parameters
    ----------
    turbine_speed : array_like
        Of the converter's output, > 0. [rad/s]
    drag : Drag
        Of the engine, positive. [N m over rad/s]
    size : array_like
        Of the converter, see `overrun_capacity`, > 0. [-]
    idle_speed : array_like
        Of the engine, > 0. [rad/s]

    Returns
    -------
    Overrun
        In the shape the arguments broadcast to. [rad/s, N m]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] European Commission heavy-duty CO2 declaration tool, generic converter in overrun: torque ratio 1.

    Examples
    --------
    >>> found = overrun_match(2500 * np.pi / 30, Drag(10.51, 0.1096, 0.0), 0.165, 73.0)
    >>> round(float(found.engine_speed) * 30 / np.pi), round(float(found.torque), 1)
    (2254, 36.4)
    """
    turbine, k = positive("turbine_speed", turbine_speed), positive("size", size)
    idle = positive("idle_speed", idle_speed)
    a, b, c = drag.constant, drag.linear * turbine, (drag.square * turbine) * turbine
    scale = k * turbine * turbine
    ends = scale[..., None] * _LAMBDAS[1:] - (
        np.asarray(a)[..., None] * (_RATIOS[1:] * _RATIOS[1:]) + b[..., None] * _RATIOS[1:] + c[..., None]
    )
    found = ends >= 0.0
    piece = np.where(found.any(axis=-1), np.argmax(found, axis=-1), _RATIOS.size - 2)
    linear, constant = scale * _SLOPES[piece] - b, scale * _OFFSETS[piece] - c
    # a x2 - linear x - constant = 0: the root at which the converter's torque overtakes the engine's.
    root = np.sqrt(np.maximum(linear * linear + 4.0 * a * constant, 0.0))
    ratio = np.minimum(np.maximum(-2.0 * constant / (linear + root), _RATIOS[0]), _RATIOS[-1])
    engine = np.maximum(turbine / ratio, idle)
    pushed = turbine / engine
    return Overrun(engine, overrun_capacity(pushed, k) * engine * engine)


def regeneration_share(road_speed: ArrayLike) -> Array:
    r"""Share of the braking that an electric driveline takes back, with battery and motor not at their limits.

    Nothing at standstill, half at 10 mph, 0.8 from 60 mph on, in straight lines between.

    Parameters
    ----------
    road_speed : array_like
        >= 0. [m/s]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If a speed is not finite or negative.

    References
    ----------
    .. [1] US national-laboratory vehicle simulator, data files: default of its regeneration.

    Examples
    --------
    >>> round(float(regeneration_share(35 * 0.44704)), 2)
    0.65
    """
    speed = not_negative("road_speed", road_speed) / _MPH
    return np.minimum(np.minimum(0.05 * speed, 0.5 + 0.006 * (speed - 10.0)), 0.8)
