"""What stands on the axles and the wheels, level and on slopes, and the slopes at which a wheel lifts."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, within
from gearing_api.mechanics.road_loads import STANDARD_GRAVITY, slope_angle

HEIGHT_PER_ROOF = 0.385
"""Height of the mass centre / height of the roof, both as built.

Means of 93 pickups above 2000 kg (0.385), 500 sport utility vehicles (0.389) and 88 tall ones (0.386): computed
from the NHTSA Light Vehicle Inertia Parameter Database and the NCAP rollover measurements 1971-2021. [-]
"""


_LITTLE = 1e-9


class AxleLoads(NamedTuple):
    """Normal force under each axle. [N]"""

    front: Array
    rear: Array


class Balance(NamedTuple):
    """Normal forces as they turn with the slope, per unit of gravity. [kg]

    On a slope of angle t the front axle carries ``front cos t - transfer sin t`` and the rear axle
    ``rear cos t + transfer sin t``.
    """

    front: Array
    rear: Array
    transfer: Array


def front_mass(
    vehicle_mass: ArrayLike,
    front_axle_share: ArrayLike,
    wheelbase: ArrayLike,
    masses: Sequence[ArrayLike] = (),
    positions: Sequence[ArrayLike] = (),
) -> Array:
    r"""Mass on the front axle on the level, of a vehicle and of things that stand on it; the rest is behind.

    .. math:: m_f = s m + \sum m_i (1 - x_i / L)

    Parameters
    ----------
    vehicle_mass : array_like
        Without the things, > 0. [kg]
    front_axle_share : array_like
        Share of that mass on the front axle, 0 to 1. [-]
    wheelbase : array_like
        > 0. [m]
    masses : sequence of array_like
        Of each thing, >= 0. [kg]
    positions : sequence of array_like
        Of each thing behind the front axle; ahead of it is negative. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; negative where the front axle lifts. [kg]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Moments about the rear axle: by definition.

    Examples
    --------
    >>> round(float(front_mass(2200.0, 0.54, 2.95, [100.0, 300.0, 200.0], [1.40, 3.10, 4.15])))
    1144
    """
    length = positive("wheelbase", wheelbase)
    front = positive("vehicle_mass", vehicle_mass) * within("front_axle_share", front_axle_share, 0.0, 1.0)
    for mass, position in zip(masses, positions, strict=True):
        front = front + not_negative("masses", mass) * (1.0 - finite("positions", position) / length)
    return np.asarray(front)


def common_height(masses: Sequence[ArrayLike], heights: Sequence[ArrayLike]) -> Array:
    r"""Height of the mass centre of several masses together.

    .. math:: h = \sum m_i z_i / \sum m_i

    Parameters
    ----------
    masses : sequence of array_like
        The first > 0, the others >= 0. [kg]
    heights : sequence of array_like
        Above the ground, >= 0. [m]

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
    >>> float(common_height([2000.0, 200.0], [0.7, 1.8]))
    0.8
    """
    whole = positive("masses", masses[0])
    moment = whole * not_negative("heights", heights[0])
    for mass, height in zip(masses[1:], heights[1:], strict=True):
        more = not_negative("masses", mass)
        whole, moment = whole + more, moment + more * not_negative("heights", height)
    return np.asarray(moment / whole)


def height_from_roof(roof_height: ArrayLike) -> Array:
    r"""Height of the mass centre of a vehicle as built, estimated from its roof.

    .. math:: h = 0.385 H

    Parameters
    ----------
    roof_height : array_like
        Roof above the ground, unlifted, > 0. [m]

    Returns
    -------
    ndarray
        In the shape of the argument; real ones lie between 0.36 and 0.41 of the roof. [m]

    Raises
    ------
    DomainError
        If a height is not finite and positive.

    References
    ----------
    .. [1] NHTSA Light Vehicle Inertia Parameter Database and NCAP rollover measurements 1971-2021, as
           plotted in an open study; the mean is computed from its rows.

    Examples
    --------
    >>> round(float(height_from_roof(1.9)), 3)
    0.731
    """
    return HEIGHT_PER_ROOF * positive("roof_height", roof_height)


def balance(
    vehicle_mass: ArrayLike,
    front_axle_share: ArrayLike,
    wheelbase: ArrayLike,
    mass_centre_height: ArrayLike,
    trailer_mass: ArrayLike = 0.0,
    tongue_mass: ArrayLike = 0.0,
    hitch_overhang: ArrayLike = 0.0,
    hitch_height: ArrayLike = 0.0,
    trailer_rolling_resistance: ArrayLike = 0.0,
) -> Balance:
    r"""How the axles share the weight of a vehicle and the forces of its trailer, for any slope.

    The trailer stands on the hitch with its tongue mass and pulls at the hitch's height with the slope's
    share of its weight and, while it rolls, the rolling resistance of its own wheels.

    .. math:: L N_r / g = m (L (1 - s) \cos\theta + h \sin\theta) + m_k (L + o) \cos\theta
              + h_h (m_t \sin\theta + f (m_t - m_k) \cos\theta)

    Parameters
    ----------
    vehicle_mass : array_like
        With what the vehicle carries, without the tongue's, > 0. [kg]
    front_axle_share : array_like
        Of that mass on the level, 0 to 1. [-]
    wheelbase : array_like
        > 0. [m]
    mass_centre_height : array_like
        Of that mass above the ground, >= 0. [m]
    trailer_mass : array_like
        Whole trailer, >= 0. [kg]
    tongue_mass : array_like
        Part of it on the hitch, >= 0. [kg]
    hitch_overhang : array_like
        Hitch behind the rear axle, >= 0. [m]
    hitch_height : array_like
        Hitch above the ground, >= 0. [m]
    trailer_rolling_resistance : array_like
        Rolling force / normal force of the trailer's wheels; 0 at rest, >= 0. [-]

    Returns
    -------
    Balance
        In the shape the arguments broadcast to. [kg]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 1; moments about the front axle.

    Examples
    --------
    >>> level = balance(2500.0, 0.5, 3.0, 0.7, 2500.0, 250.0, 1.2)
    >>> round(float(level.front)), round(float(level.rear))
    (1150, 1600)
    """
    mass, length = positive("vehicle_mass", vehicle_mass), positive("wheelbase", wheelbase)
    share = within("front_axle_share", front_axle_share, 0.0, 1.0)
    trailer, tongue = not_negative("trailer_mass", trailer_mass), not_negative("tongue_mass", tongue_mass)
    hitch = not_negative("hitch_height", hitch_height) / length
    drag = not_negative("trailer_rolling_resistance", trailer_rolling_resistance) * (trailer - tongue)
    moved = tongue * (not_negative("hitch_overhang", hitch_overhang) / length) + drag * hitch
    front = share * mass - moved
    centre = not_negative("mass_centre_height", mass_centre_height) / length
    return Balance(front, mass + tongue - front, mass * centre + trailer * hitch)


def axle_loads(at: Balance, grade: ArrayLike, acceleration: ArrayLike = 0.0) -> AxleLoads:
    r"""Normal force under each axle on a grade, uphill and forward acceleration positive.

    .. math:: N_f = g F \cos\theta - S (g \sin\theta + a), \quad N_f + N_r = g (F + R) \cos\theta

    Parameters
    ----------
    at : Balance
        Of the vehicle. [kg]
    grade : array_like
        Rise / run. [-]
    acceleration : array_like
        Along the slope. [m/s2]

    Returns
    -------
    AxleLoads
        In the shape the arguments broadcast to; a negative force means that the axle has lifted. [N]

    Raises
    ------
    DomainError
        If a grade or an acceleration is not finite.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 1.

    Examples
    --------
    >>> front, rear = axle_loads(balance(2000.0, 0.5, 2.5, 0.75), 0.6)
    >>> round(float(front)), round(float(rear))
    (5382, 11436)
    """
    angle = slope_angle(grade)
    cosine = STANDARD_GRAVITY * np.cos(angle)
    along = STANDARD_GRAVITY * np.sin(angle) + finite("acceleration", acceleration)
    front = at.front * cosine - at.transfer * along
    return AxleLoads(front, (at.front + at.rear) * cosine - front)


def greatest_axle_loads(at: Balance, steepest: ArrayLike) -> AxleLoads:
    r"""Greatest normal force that each axle meets on any grade between a slope down and the same slope up.

    The front axle has it downhill, the rear axle uphill, where the tangent of the slope is the transfer over
    the axle's own share, or at the end of the range if that is less steep. Slopes on which the other axle would
    lift are left out: the vehicle tips over there.

    Parameters
    ----------
    at : Balance
        Of the vehicle. [kg]
    steepest : array_like
        Amount of the steepest grade, rise / run, >= 0. [-]

    Returns
    -------
    AxleLoads
        In the shape the arguments broadcast to; never less for a steeper grade. [N]

    Raises
    ------
    DomainError
        If a grade is not finite or negative.

    References
    ----------
    .. [1] Greatest value of `axle_loads` over the grade: by definition.

    Examples
    --------
    >>> at = balance(2000.0, 0.5, 2.5, 0.75)
    >>> [round(float(greatest_axle_loads(at, grade).front)) for grade in (0.0, 0.3, 1.0)]
    [9807, 11084, 11436]
    """
    grade = not_negative("steepest", steepest)
    front = _greatest(at.front, at.rear, at.transfer, grade)
    return AxleLoads(front, _greatest(at.rear, at.front, at.transfer, grade))


def _greatest(own: Array, other: Array, transfer: Array, grade: Array) -> Array:
    """Force of an axle that gains by the slope, on the grade that loads it most."""
    if grade.ndim == 0 and grade == 0.0:  # the same bits as below, for most of what is asked
        return STANDARD_GRAVITY * own
    turn = transfer / np.maximum(own, _LITTLE)
    lifts = np.maximum(other, 0.0) / np.maximum(transfer, _LITTLE)
    worst = np.minimum(grade, np.minimum(turn, lifts))
    return STANDARD_GRAVITY * (own + transfer * worst) / np.sqrt(1.0 + worst * worst)


def lower_wheel_share(track: ArrayLike, mass_centre_height: ArrayLike, side_slope: ArrayLike) -> Array:
    r"""Share of the level weight on the wheels of the lower side of a vehicle across a slope.

    .. math:: \frac{N}{m g} = \tfrac{1}{2} \cos\theta + \frac{h}{T} \sin\theta

    The upper side carries the rest of the weight's cosine. Both axles are taken to share alike.

    Parameters
    ----------
    track : array_like
        > 0. [m]
    mass_centre_height : array_like
        >= 0. [m]
    side_slope : array_like
        Rise / run across the vehicle, >= 0. [-]

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
    .. [1] Moments about the upper wheels: by definition.

    Examples
    --------
    >>> round(float(lower_wheel_share(1.58, 0.72, 0.30)), 4)
    0.6099
    """
    angle = slope_angle(not_negative("side_slope", side_slope))
    arm = not_negative("mass_centre_height", mass_centre_height) / positive("track", track)
    return 0.5 * np.cos(angle) + arm * np.sin(angle)


def static_stability_factor(
    track: ArrayLike, mass_centre_height: ArrayLike, offset: ArrayLike = 0.0
) -> Array:
    r"""Half the track over the height of the mass centre: the side slope, rise / run, at which it tips.

    .. math:: \mathrm{SSF} = \frac{T / 2 - e}{h}

    Real vehicles tip at 5 to 15 % less, because springs and tyres give (from memory, medium).

    Parameters
    ----------
    track : array_like
        > 0. [m]
    mass_centre_height : array_like
        > 0. [m]
    offset : array_like
        Mass centre out of the middle, towards the lower side; away from it is negative. [m]

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
    .. [1] US NCAP rollover measurements, 2004.

    Examples
    --------
    >>> round(float(static_stability_factor(1.58, 0.69)), 3)
    1.145
    """
    half = 0.5 * positive("track", track) - finite("offset", offset)
    return half / positive("mass_centre_height", mass_centre_height)


def tip_grades(at: Balance) -> tuple[Array, Array]:
    r"""Grades up and down at which the axle that is higher lifts off the ground.

    .. math:: \tan\theta_u = F / S, \quad \tan\theta_d = R / S

    Parameters
    ----------
    at : Balance
        Of the vehicle. [kg]

    Returns
    -------
    up, down : ndarray
        Rise / run, both positive; infinite where nothing moves load. [-]

    Raises
    ------
    DomainError
        If the transfer is negative.

    References
    ----------
    .. [1] Where a normal force of `axle_loads` is nothing: by definition.

    Examples
    --------
    >>> up, down = tip_grades(balance(2000.0, 1 - 50.5 / 122.6, 122.6, 26.33))
    >>> round(float(np.degrees(np.arctan(up))), 1), round(float(np.degrees(np.arctan(down))), 1)
    (69.9, 62.5)
    """
    transfer = not_negative("transfer", at.transfer)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.maximum(at.front, 0.0) / transfer, np.maximum(at.rear, 0.0) / transfer


def hitch_pull(
    trailer_mass: ArrayLike, tongue_mass: ArrayLike, rolling_resistance: ArrayLike, grade: ArrayLike
) -> Array:
    r"""Force along the road with which a trailer pulls at the hitch on a grade at steady speed.

    .. math:: F = g (m_t \sin\theta + f (m_t - m_k) \cos\theta)

    Parameters
    ----------
    trailer_mass : array_like
        Whole trailer, >= 0. [kg]
    tongue_mass : array_like
        Part of it on the hitch, >= 0. [kg]
    rolling_resistance : array_like
        Rolling force / normal force of the trailer's wheels, >= 0. [-]
    grade : array_like
        Rise / run, downhill negative. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; negative where the trailer pushes. [N]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Balance of forces along the slope: by definition.

    Examples
    --------
    >>> round(float(hitch_pull(1500.0, 150.0, 0.06, 0.2)))
    3664
    """
    angle = slope_angle(grade)
    trailer, tongue = not_negative("trailer_mass", trailer_mass), not_negative("tongue_mass", tongue_mass)
    rolling = not_negative("rolling_resistance", rolling_resistance) * (trailer - tongue)
    return STANDARD_GRAVITY * (trailer * np.sin(angle) + rolling * np.cos(angle))


def grip_grade(
    at: Balance,
    front_adhesion: ArrayLike,
    rear_adhesion: ArrayLike,
    rolling_resistance: ArrayLike,
    trailer_mass: ArrayLike = 0.0,
    tongue_mass: ArrayLike = 0.0,
    trailer_rolling_resistance: ArrayLike = 0.0,
) -> Array:
    r"""Steepest grade that the driven wheels of a vehicle can hold, with a trailer that no driven wheel carries.

    .. math:: \mu_f N_f + \mu_r N_r = g (m + m_t) \sin\theta + f (N_f + N_r) + f_t g (m_t - m_k) \cos\theta

    Parameters
    ----------
    at : Balance
        Of the vehicle, with its trailer. [kg]
    front_adhesion, rear_adhesion : array_like
        Friction coefficient of the driven tyres on the ground; 0 for an axle that does not drive, >= 0. [-]
    rolling_resistance : array_like
        Rolling force / normal force of the vehicle, >= 0. [-]
    trailer_mass : array_like
        Whole trailer, >= 0. [kg]
    tongue_mass : array_like
        Part of it on the hitch, >= 0. [kg]
    trailer_rolling_resistance : array_like
        Rolling force / normal force of the trailer's wheels, >= 0. [-]

    Returns
    -------
    ndarray
        Rise / run in the shape the arguments broadcast to; infinite where the slope loads the driven axle faster
        than it pulls, negative where the grip does not cover the rolling resistance. [-]

    Raises
    ------
    DomainError
        If an argument is not finite or negative.

    References
    ----------
    .. [1] Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 1, without the small angle, with the
           hitch's forces.

    Examples
    --------
    >>> at = balance(2500.0, 0.5, 2.95, 0.72, 1500.0, 150.0, 1.2, 0.5)
    >>> round(float(grip_grade(at, 0.55, 0.55, 0.0, 1500.0, 150.0, 0.06)), 3)
    0.344
    """
    f = not_negative("rolling_resistance", rolling_resistance)
    front = not_negative("front_adhesion", front_adhesion) - f
    rear = not_negative("rear_adhesion", rear_adhesion) - f
    trailer, tongue = not_negative("trailer_mass", trailer_mass), not_negative("tongue_mass", tongue_mass)
    drag = not_negative("trailer_rolling_resistance", trailer_rolling_resistance) * (trailer - tongue)
    pull = front * at.front + rear * at.rear - drag
    slope = at.front + at.rear - tongue + trailer + (front - rear) * at.transfer
    return np.asarray(np.where(slope > 0.0, pull / np.where(slope > 0.0, slope, 1.0), np.inf))
