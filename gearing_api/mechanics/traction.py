"""Force at the ground from engine torque, grip of the tyres, and the grade that follows."""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require, within
from gearing_api.mechanics.road_loads import STANDARD_GRAVITY, slope_angle

STEEPEST_GRADE = 10.0
"""Steepest grade that is computed, up or down (84.3 degrees); steeper ones are shown as this. [-]"""


def wheel_torque(
    engine_torque: ArrayLike,
    overall_ratio: ArrayLike,
    driveline_efficiency: ArrayLike,
    converter_stall_ratio: ArrayLike = 1.0,
) -> Array:
    r"""Torque at the driven wheels, all of them together, steady speed.

    .. math:: T_w = T_e\, k\, i\, \eta

    Parameters
    ----------
    engine_torque : array_like
        >= 0. [N m]
    overall_ratio : array_like
        Gearbox x transfer case x axle x hub, > 0. [-]
    driveline_efficiency : array_like
        Crankshaft to ground, 0 to 1. [-]
    converter_stall_ratio : array_like
        Torque multiplication of the converter at stall; 1 for a clutch, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 2.

    Examples
    --------
    >>> float(wheel_torque(300.0, 40.0, 0.9))
    10800.0
    """
    torque = not_negative("engine_torque", engine_torque) * positive("overall_ratio", overall_ratio)
    efficiency = within("driveline_efficiency", driveline_efficiency, 0.0, 1.0)
    return torque * positive("converter_stall_ratio", converter_stall_ratio) * efficiency


def tractive_force(wheel_torque: ArrayLike, rolling_radius: ArrayLike) -> Array:
    r"""Force of the driven wheels on the ground.

    .. math:: F = T_w / r

    Parameters
    ----------
    wheel_torque : array_like
        Of all driven wheels together, >= 0. [N m]
    rolling_radius : array_like
        Rolling circumference / 2 pi, > 0. [m]

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
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 2.

    Examples
    --------
    >>> float(tractive_force(10800.0, 0.4))
    27000.0
    """
    return not_negative("wheel_torque", wheel_torque) / positive("rolling_radius", rolling_radius)


def climbable_grade(
    tractive_force: ArrayLike, vehicle_mass: ArrayLike, rolling_resistance: ArrayLike
) -> Array:
    r"""Grade on which a force balances weight and rolling resistance, exactly.

    .. math:: m g (\sin\theta + f \cos\theta) = F, \quad
              \tan\theta = \tan\left(\arcsin\frac{F}{m g \sqrt{1 + f^2}} - \arctan f\right)

    Negative where the force does not even cover the rolling resistance: the slope, downhill, on which
    the vehicle keeps rolling. Limited to `STEEPEST_GRADE`, which also means any grade at all: in a
    low range the force usually exceeds the weight, and then only the grip counts.

    Parameters
    ----------
    tractive_force : array_like
        Force left for the climb; subtract the drag where it matters. [N]
    vehicle_mass : array_like
        > 0. [kg]
    rolling_resistance : array_like
        Rolling force / normal force, >= 0. [-]

    Returns
    -------
    ndarray
        Rise / run in the shape the arguments broadcast to, -10 to 10. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] The balance of forces along the slope, solved for the angle: by definition.

    Examples
    --------
    >>> round(float(climbable_grade(0.5 * 2000.0 * 9.80665, 2000.0, 0.05)), 4)
    0.5116
    """
    f = not_negative("rolling_resistance", rolling_resistance)
    weight = STANDARD_GRAVITY * positive("vehicle_mass", vehicle_mass)
    sine = finite("tractive_force", tractive_force) / (weight * np.sqrt(1.0 + f * f))
    angle = np.arcsin(np.minimum(np.maximum(sine, -1.0), 1.0)) - np.arctan(f)
    return _held(np.tan(np.maximum(angle, -0.5 * np.pi)))


def grip_force(
    vehicle_mass: ArrayLike,
    adhesion: ArrayLike,
    grade: ArrayLike = 0.0,
    rolling_resistance: ArrayLike = 0.0,
    load_share: ArrayLike = 1.0,
    load_transfer: ArrayLike = 0.0,
) -> Array:
    r"""Largest force at the ground before the driven wheels slip, differentials locked.

    .. math:: F = \mu m g \cos\theta\, \frac{s - f k}{1 - \mu k}

    By default both axles drive and share the force as they share the weight. For one driven axle set
    `load_share` and `load_transfer`; the force then moves weight from or to it.

    Parameters
    ----------
    vehicle_mass : array_like
        > 0. [kg]
    adhesion : array_like
        Friction coefficient of tyre on ground, >= 0. [-]
    grade : array_like
        Rise / run. [-]
    rolling_resistance : array_like
        Rolling force / normal force, >= 0. [-]
    load_share : array_like
        Share of the mass on the driven axles on the level, 0 to 1. [-]
    load_transfer : array_like
        Mass-centre height / wheelbase: positive for a driven rear axle, negative for a driven front
        axle, 0 for both. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range, or the vehicle tips over before it slips.

    References
    ----------
    .. [1] Mannering, Washburn and Kilareski, Principles of Highway Engineering and Traffic Analysis,
           ch. 2, eq. 2.15.

    Examples
    --------
    >>> round(float(grip_force(2000.0, 0.68, grade=0.25)))
    12939
    """
    normal = STANDARD_GRAVITY * positive("vehicle_mass", vehicle_mass) * np.cos(slope_angle(grade))
    share = within("load_share", load_share, 0.0, 1.0)
    f = not_negative("rolling_resistance", rolling_resistance)
    mu, k = not_negative("adhesion", adhesion), finite("load_transfer", load_transfer)
    return mu * normal * (share - f * k) / _room(mu, k)


def grip_grade(
    adhesion: ArrayLike,
    rolling_resistance: ArrayLike = 0.0,
    load_share: ArrayLike = 1.0,
    load_transfer: ArrayLike = 0.0,
) -> Array:
    r"""Steepest grade on which the driven wheels grip, differentials locked.

    .. math:: \tan\theta = \frac{\mu s - f}{1 - \mu k}

    By default both axles drive: the grade is adhesion less rolling resistance. Limited to
    `STEEPEST_GRADE` like every grade; negative where the grip does not cover the rolling resistance.

    Parameters
    ----------
    adhesion : array_like
        Friction coefficient of tyre on ground, >= 0. [-]
    rolling_resistance : array_like
        Rolling force / normal force, >= 0. [-]
    load_share : array_like
        Share of the mass on the driven axles on the level, 0 to 1. [-]
    load_transfer : array_like
        Mass-centre height / wheelbase: positive for a driven rear axle, negative for a driven front
        axle, 0 for both. [-]

    Returns
    -------
    ndarray
        Rise / run in the shape the arguments broadcast to, -10 to 10. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range, or the vehicle tips over before it slips.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 1, without the small angle.

    Examples
    --------
    >>> round(float(grip_grade(0.68, 0.05)), 2)
    0.63
    """
    share = within("load_share", load_share, 0.0, 1.0)
    f = not_negative("rolling_resistance", rolling_resistance)
    mu, k = not_negative("adhesion", adhesion), finite("load_transfer", load_transfer)
    return _held((mu * share - f) / _room(mu, k))


def _held(grade: Array) -> Array:
    return np.minimum(np.maximum(grade, -STEEPEST_GRADE), STEEPEST_GRADE)


def _room(mu: Array, k: Array) -> Array:
    """Return 1 - mu k, refused where it is not positive: the vehicle would tip over before it slips."""
    room = 1.0 - mu * k
    require("load_transfer", room > 0.0, "less than 1 / adhesion")
    return room


def grip_torque(axle_load: ArrayLike, adhesion: ArrayLike, loaded_radius: ArrayLike) -> Array:
    r"""Torque at which both wheels of an axle slip.

    .. math:: T = \mu N r

    Parameters
    ----------
    axle_load : array_like
        Normal force under the axle, >= 0. [N]
    adhesion : array_like
        Friction coefficient of tyre on ground, >= 0. [-]
    loaded_radius : array_like
        Axle centre to ground; the rolling radius where it is not known, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(grip_torque(10000.0, 0.5, 0.4))
    2000.0
    """
    force = not_negative("axle_load", axle_load) * not_negative("adhesion", adhesion)
    return force * positive("loaded_radius", loaded_radius)
