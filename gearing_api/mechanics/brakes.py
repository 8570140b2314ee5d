"""Brakes: energy and heat, how the axles share, and what grip alone allows."""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, not_negative, positive, within
from gearing_api.mechanics.road_loads import STANDARD_GRAVITY, slope_angle

DISC_HEAT = 500.0
"""Specific heat of cast iron: 460 to 550 by temperature, from memory (high). [J/(kg K)]"""

YARDSTICK_LENGTH = 6000.0
"""Length of the downhill by which heavy vehicles are tested, UN R13 and Directive 71/320/EEC, type II. [m]"""

YARDSTICK_GRADE = 0.06
"""Its slope. [-]"""


def fall_energy(mass: ArrayLike, height: ArrayLike) -> Array:
    r"""Energy that a descent sets free.

    .. math:: E = m g H

    Parameters
    ----------
    mass : array_like
        > 0. [kg]
    height : array_like
        Height lost, >= 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [J]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(fall_energy(3000.0, 900.0)) / 1e6, 1)
    26.5
    """
    return positive("mass", mass) * STANDARD_GRAVITY * not_negative("height", height)


def descent_length(height: ArrayLike, grade: ArrayLike) -> Array:
    r"""Length of a road that loses a height at a steady slope.

    .. math:: L = H / \sin\theta

    Parameters
    ----------
    height : array_like
        Height lost, >= 0. [m]
    grade : array_like
        Fall / run, > 0. [-]

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
    By definition.

    Examples
    --------
    >>> round(float(descent_length(900.0, 0.14)))
    6491
    """
    return not_negative("height", height) / np.sin(slope_angle(positive("grade", grade)))


def yardstick_energy(mass: ArrayLike) -> Array:
    r"""Energy of the regulation's downhill: 6 km at 6 %, with nothing taken off for engine and rolling.

    .. math:: E = m g \cdot 6\,\text{km} \cdot \sin\arctan 0.06

    Parameters
    ----------
    mass : array_like
        > 0. [kg]

    Returns
    -------
    ndarray
        In the shape of the argument. [J]

    Raises
    ------
    DomainError
        If a mass is not finite and positive.

    References
    ----------
    .. [1] Directive 71/320/EEC and UN R13, test of type II; cars and light trucks need not pass it.

    Examples
    --------
    >>> round(float(yardstick_energy(1.0)))
    3524
    """
    return fall_energy(mass, YARDSTICK_LENGTH * np.sin(slope_angle(YARDSTICK_GRADE)))


def temperature_rise(energy: ArrayLike, disc_mass: ArrayLike, specific_heat: ArrayLike = DISC_HEAT) -> Array:
    r"""Temperature that brake discs gain if they keep all the heat.

    .. math:: \Delta T = \frac{E}{m c}

    Over ten minutes and more the air takes part of it away: an upper bound.

    Parameters
    ----------
    energy : array_like
        Heat that goes into the discs, >= 0. [J]
    disc_mass : array_like
        Of those discs, > 0. [kg]
    specific_heat : array_like
        > 0. [J/(kg K)]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [K]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(temperature_rise(6.25e6, 40.0))
    312.5
    """
    stored = positive("disc_mass", disc_mass) * positive("specific_heat", specific_heat)
    return not_negative("energy", energy) / stored


def stop_energy(mass: ArrayLike, road_speed: ArrayLike) -> Array:
    r"""Energy that one stop puts into the brakes.

    .. math:: E = \tfrac{1}{2} m v^2

    Parameters
    ----------
    mass : array_like
        That the brakes stop, > 0. [kg]
    road_speed : array_like
        >= 0. [m/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [J]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(stop_energy(2000.0, 30.0))
    900000.0
    """
    speed = not_negative("road_speed", road_speed)
    return 0.5 * positive("mass", mass) * (speed * speed)


def ideal_front_share(
    front_axle_share: ArrayLike, wheelbase: ArrayLike, mass_centre_height: ArrayLike, deceleration: ArrayLike
) -> Array:
    r"""Share of the braking at the front axle at which both axles use their grip alike.

    .. math:: \phi = s + z \frac{h}{L}

    Parameters
    ----------
    front_axle_share : array_like
        Share of the mass on the front axle, level, 0 to 1. [-]
    wheelbase : array_like
        > 0. [m]
    mass_centre_height : array_like
        >= 0. [m]
    deceleration : array_like
        Parts of g, >= 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; above 1 the rear axle lifts first. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Load transfer under braking: by definition.

    Examples
    --------
    >>> round(float(ideal_front_share(1.55 / 2.95, 2.95, 0.70, 0.5)), 4)
    0.6441
    """
    share = within("front_axle_share", front_axle_share, 0.0, 1.0)
    arm = not_negative("mass_centre_height", mass_centre_height) / positive("wheelbase", wheelbase)
    return share + not_negative("deceleration", deceleration) * arm


def rear_locks_first_above(
    brake_front_share: ArrayLike,
    front_axle_share: ArrayLike,
    wheelbase: ArrayLike,
    mass_centre_height: ArrayLike,
) -> Array:
    r"""Deceleration from which the rear axle locks before the front one, without any valve or control.

    .. math:: z = \frac{(\phi - s) L}{h}

    Parameters
    ----------
    brake_front_share : array_like
        Share of the braking force at the front axle, 0 to 1. [-]
    front_axle_share : array_like
        Share of the mass on the front axle, level, 0 to 1. [-]
    wheelbase : array_like
        > 0. [m]
    mass_centre_height : array_like
        > 0. [m]

    Returns
    -------
    ndarray
        Parts of g, in the shape the arguments broadcast to; 0 where the rear axle always locks first. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Equal use of grip on both axles: by definition.

    Examples
    --------
    >>> rear_locks_first_above(0.65, 1.55 / 2.95, 2.95, [0.70, 0.80]).round(3)
    array([0.525, 0.459])
    """
    spare = within("brake_front_share", brake_front_share, 0.0, 1.0) - within(
        "front_axle_share", front_axle_share, 0.0, 1.0
    )
    arm = positive("mass_centre_height", mass_centre_height) / positive("wheelbase", wheelbase)
    return np.maximum(spare / arm, 0.0)


def grip_stopping_distance(
    road_speed: ArrayLike, adhesion: ArrayLike, braked_share: ArrayLike = 1.0
) -> Array:
    r"""Way to a stop on the level if every braked tyre uses all of its grip, without the driver's reaction.

    .. math:: s = \frac{v^2}{2 \mu g b}

    Parameters
    ----------
    road_speed : array_like
        >= 0. [m/s]
    adhesion : array_like
        Friction coefficient of tyre on ground, > 0. [-]
    braked_share : array_like
        Share of the moving mass that stands on braked wheels, above 0 to 1. [-]

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
    By definition.

    Examples
    --------
    >>> round(float(grip_stopping_distance(27.78, 0.8)), 1)
    49.2
    """
    speed = not_negative("road_speed", road_speed)
    share = within("braked_share", braked_share, 1e-6, 1.0)
    grip = positive("adhesion", adhesion) * share
    return speed * speed / (2.0 * STANDARD_GRAVITY * grip)


def force_change(old_radius: ArrayLike, new_radius: ArrayLike) -> Array:
    r"""Change of the braking force at equal pedal by tyres of another size.

    .. math:: \frac{r_0}{r} - 1

    Parameters
    ----------
    old_radius, new_radius : array_like
        Rolling radius before and now, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If a radius is not finite and positive.

    References
    ----------
    .. [1] Torque of the brake = force x radius: by definition.

    Examples
    --------
    >>> round(100 * float(force_change(30.5, 34.4)), 2)
    -11.34
    """
    return positive("old_radius", old_radius) / positive("new_radius", new_radius) - 1.0


def pedal_change(old_radius: ArrayLike, new_radius: ArrayLike, mass_ratio: ArrayLike = 1.0) -> Array:
    r"""Change of the pedal force for the same deceleration by tyres of another size and another mass.

    .. math:: \frac{m r}{m_0 r_0} - 1

    Parameters
    ----------
    old_radius, new_radius : array_like
        Rolling radius before and now, > 0. [m]
    mass_ratio : array_like
        Mass to brake now / before, > 0. [-]

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
    .. [1] Torque of the brake = force x radius: by definition.

    Examples
    --------
    >>> round(100 * float(pedal_change(30.5, 34.4)), 2)
    12.79
    """
    radii = positive("new_radius", new_radius) / positive("old_radius", old_radius)
    return radii * positive("mass_ratio", mass_ratio) - 1.0
