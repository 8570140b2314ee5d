"""The end of an axle: bending of a shaft that carries its wheel, bearing loads, steering geometry and effort."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, within

ROLLER_EXPONENT = 10.0 / 3.0
"""Exponent of the life of roller bearings; 3 of ball bearings. [-]"""

SCRUB_FRICTION = 0.58
"""Friction coefficient of a tyre turned at rest, read for a kingpin offset of a tenth of the patch. [-]"""

_MOST_ANGLE = np.deg2rad(60.0)


class WheelPair(NamedTuple):
    """Of the wheel outside in the turn, and of the one inside."""

    outer: Array
    inner: Array


def drive_moment(arm: ArrayLike, wheel_load: ArrayLike, drive_force: ArrayLike) -> Array:
    r"""Bending moment of a shaft that carries its wheel, while it drives.

    .. math:: M = b \sqrt{R_z^2 + R_x^2}

    Parameters
    ----------
    arm : array_like
        Wheel bearing to wheel plane; its sign does not matter. [m]
    wheel_load : array_like
        >= 0. [N]
    drive_force : array_like
        At the ground, >= 0. [N]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A university text that reproduces the textbook axle method: semi-floating shafts, load case of driving.

    Examples
    --------
    >>> round(float(drive_moment(0.090, 6000.0, 5100.0)), 1)
    708.7
    """
    force = np.hypot(not_negative("wheel_load", wheel_load), not_negative("drive_force", drive_force))
    return np.abs(finite("arm", arm)) * force


def skid_wheel_loads(
    axle_load: ArrayLike, adhesion: ArrayLike, mass_centre_height: ArrayLike, track: ArrayLike
) -> WheelPair:
    r"""Loads of the two wheels of an axle in a sideways skid; the inner one never below zero.

    .. math:: R_z = \frac{G}{2} \left(1 \pm \frac{2 h \varphi}{B}\right)

    Parameters
    ----------
    axle_load : array_like
        >= 0. [N]
    adhesion : array_like
        Sideways, >= 0. [-]
    mass_centre_height : array_like
        >= 0. [m]
    track : array_like
        > 0. [m]

    Returns
    -------
    WheelPair
        In the shape the arguments broadcast to; together the axle load. [N]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A university text that reproduces the textbook axle method: semi-floating shafts, load case of skidding.

    Examples
    --------
    >>> [round(float(load)) for load in skid_wheel_loads(12000.0, 0.8, 0.75, 1.55)]
    [10645, 1355]
    """
    moved = not_negative("mass_centre_height", mass_centre_height) * not_negative("adhesion", adhesion)
    whole = not_negative("axle_load", axle_load)
    outer = np.minimum(whole / 2.0 * (1.0 + 2.0 * moved / positive("track", track)), whole)
    return WheelPair(outer, whole - outer)


def skid_moments(arm: ArrayLike, loads: WheelPair, adhesion: ArrayLike, radius: ArrayLike) -> WheelPair:
    r"""Bending moments of the two shafts of an axle that carry their wheels, in a sideways skid.

    .. math:: M_o = |R_y r - R_z b|, \quad M_i = R_y r + R_z b

    Parameters
    ----------
    arm : array_like
        Wheel bearing to wheel plane. [m]
    loads : WheelPair
        Of the wheels. [N]
    adhesion : array_like
        Sideways, >= 0. [-]
    radius : array_like
        Of the tyre, > 0. [m]

    Returns
    -------
    WheelPair
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] A university text that reproduces the textbook axle method: semi-floating shafts, load case of skidding.

    Examples
    --------
    >>> moments = skid_moments(0.090, WheelPair(np.float64(10645.0), np.float64(1355.0)), 0.8, 0.420)
    >>> [round(float(moment)) for moment in moments]
    [2619, 577]
    """
    lever = not_negative("adhesion", adhesion) * positive("radius", radius)
    out = finite("arm", arm)
    return WheelPair(np.abs(loads.outer * (lever - out)), np.abs(loads.inner * (lever + out)))


def bearing_loads(wheel_load: ArrayLike, from_inner: ArrayLike, bearing_span: ArrayLike) -> WheelPair:
    r"""Radial loads of the two wheel bearings of a full-floating hub, driving straight.

    .. math:: F_o = R_z e / a, \quad F_i = R_z - F_o

    Parameters
    ----------
    wheel_load : array_like
        >= 0. [N]
    from_inner : array_like
        Inner bearing to wheel plane, positive outboard. [m]
    bearing_span : array_like
        Inner to outer bearing, > 0. [m]

    Returns
    -------
    WheelPair
        Of the outer and the inner bearing, in the shape the arguments broadcast to. [N]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Statics: by definition.

    Examples
    --------
    >>> [round(float(load)) for load in bearing_loads(6000.0, 0.068, 0.060)]
    [6800, -800]
    """
    whole = not_negative("wheel_load", wheel_load)
    outer = whole * finite("from_inner", from_inner) / positive("bearing_span", bearing_span)
    return WheelPair(outer, whole - outer)


def bearing_life_ratio(
    load: ArrayLike, original_load: ArrayLike, exponent: ArrayLike = ROLLER_EXPONENT
) -> Array:
    r"""Life of a rolling bearing in turns, against that under another load.

    .. math:: L / L_0 = (P_0 / P)^p

    Parameters
    ----------
    load, original_load : array_like
        > 0. [N]
    exponent : array_like
        3 ball, 10/3 roller; roller unless given, 1 to 5. [-]

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
    .. [1] ISO 281, as reproduced in textbooks on machine elements.

    Examples
    --------
    >>> bearing_life_ratio(1.2, 1.0, [3.0, 10.0 / 3.0]).round(3).tolist()
    [0.579, 0.545]
    """
    ratio = positive("original_load", original_load) / positive("load", load)
    return np.power(ratio, within("exponent", exponent, 1.0, 5.0))


def scrub_radius(
    original_scrub_radius: ArrayLike,
    offset_change: ArrayLike,
    radius_change: ArrayLike,
    kingpin_inclination: ArrayLike,
) -> Array:
    r"""Scrub radius after a change of wheel offset and tyre radius.

    .. math:: d = d_0 - \Delta e - \Delta r \tan k

    Parameters
    ----------
    original_scrub_radius : array_like
        Steering axis to wheel plane on the ground, positive where the wheel is outboard. [m]
    offset_change : array_like
        Of the wheel, positive inboard. [m]
    radius_change : array_like
        Of the tyre. [m]
    kingpin_inclination : array_like
        -60 to 60 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Geometry: by definition.

    Examples
    --------
    >>> round(float(scrub_radius(0.040, -0.038, 0.050, np.deg2rad(8.5))) * 1e3, 1)
    70.5
    """
    lean = within("kingpin_inclination", kingpin_inclination, -_MOST_ANGLE, _MOST_ANGLE)
    moved = finite("offset_change", offset_change) + finite("radius_change", radius_change) * np.tan(lean)
    return finite("original_scrub_radius", original_scrub_radius) - moved


def trail(radius: ArrayLike, caster: ArrayLike) -> Array:
    r"""How far the steering axis meets the ground ahead of the wheel centre.

    .. math:: n = r \tan c

    Parameters
    ----------
    radius : array_like
        Wheel centre to ground, > 0. [m]
    caster : array_like
        -60 to 60 degrees, positive where the axis leans to the rear. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> (trail(0.420, np.deg2rad([3.0, 6.0])) * 1e3).round(1).tolist()
    [22.0, 44.1]
    """
    return positive("radius", radius) * np.tan(within("caster", caster, -_MOST_ANGLE, _MOST_ANGLE))


def tread_reach(
    radius: ArrayLike, width: ArrayLike, scrub_radius: ArrayLike, steer_angle: ArrayLike
) -> Array:
    r"""How far the inner edge of the tread reaches inboard of the steering axis, with the wheel turned.

    .. math:: x = r \sin s - \left(d - \frac{w}{2}\right) \cos s

    Parameters
    ----------
    radius : array_like
        Free radius of the tyre, > 0. [m]
    width : array_like
        > 0. [m]
    scrub_radius : array_like
        Steering axis to wheel plane, positive where the wheel is outboard. [m]
    steer_angle : array_like
        0 to 60 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Geometry: by definition.

    Examples
    --------
    >>> round(float(tread_reach(0.4445, 0.318, 0.050, np.deg2rad(32.0))) * 1e3)
    328
    """
    turn = within("steer_angle", steer_angle, 0.0, _MOST_ANGLE)
    edge = finite("scrub_radius", scrub_radius) - positive("width", width) / 2.0
    return positive("radius", radius) * np.sin(turn) - edge * np.cos(turn)


def turning_torque_at_rest(
    wheel_load: ArrayLike,
    scrub_radius: ArrayLike,
    patch_size: ArrayLike,
    friction: ArrayLike = SCRUB_FRICTION,
) -> Array:
    r"""Torque about the steering axis that turns one wheel at rest.

    .. math:: M = \mu_e W \sqrt{d^2 + (a / 3)^2}

    Parameters
    ----------
    wheel_load : array_like
        >= 0. [N]
    scrub_radius : array_like
        Its sign does not matter. [m]
    patch_size : array_like
        Length of the contact patch, >= 0. [m]
    friction : array_like
        >= 0; 0.58 unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Automotive Chassis Engineering (Springer), p. 82: formula, and friction for an offset of a tenth.

    Examples
    --------
    >>> round(float(turning_torque_at_rest(1200 * 9.80665, 0.025, 0.250)))
    594
    """
    lever = np.hypot(finite("scrub_radius", scrub_radius), not_negative("patch_size", patch_size) / 3.0)
    return not_negative("friction", friction) * not_negative("wheel_load", wheel_load) * lever


def jacking_torque(
    wheel_load: ArrayLike, scrub_radius: ArrayLike, kingpin_inclination: ArrayLike, steer_angle: ArrayLike
) -> Array:
    r"""Torque about the steering axis of one wheel that lifts the vehicle as it turns.

    .. math:: M = W d \sin k \cos k \sin s

    Parameters
    ----------
    wheel_load : array_like
        >= 0. [N]
    scrub_radius : array_like
        Its sign does not matter. [m]
    kingpin_inclination : array_like
        0 to 60 degrees. [rad]
    steer_angle : array_like
        0 to 60 degrees. [rad]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Automotive Chassis Engineering (Springer), p. 84.

    Examples
    --------
    >>> angles = np.deg2rad([28.0, 45.0])
    >>> jacking_torque(1200 * 9.80665, 0.025, np.deg2rad(12.0), angles).round(1).tolist()
    [28.1, 42.3]
    """
    lean = within("kingpin_inclination", kingpin_inclination, 0.0, _MOST_ANGLE)
    turn = within("steer_angle", steer_angle, 0.0, _MOST_ANGLE)
    lift = np.abs(finite("scrub_radius", scrub_radius)) * np.sin(lean) * np.cos(lean) * np.sin(turn)
    return np.asarray(not_negative("wheel_load", wheel_load) * lift)
