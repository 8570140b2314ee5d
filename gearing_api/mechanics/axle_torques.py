"""Torque at an axle, limited by the engine or by the grip of the tyres."""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, not_negative, positive, require, within
from gearing_api.mechanics.traction import grip_torque, wheel_torque


def engine_limited_torque(
    engine_torque: ArrayLike,
    ratio: ArrayLike,
    driveline_efficiency: ArrayLike = 0.9,
    converter_stall_ratio: ArrayLike = 1.0,
    driven_axles: ArrayLike = 1.0,
    dynamic_factor: ArrayLike = 1.0,
) -> Array:
    r"""Ring-gear torque that the engine can put through one axle.

    .. math:: T_{je} = k_d\, k\, T_e\, i\, \eta / n

    Parameters
    ----------
    engine_torque : array_like
        Largest crankshaft torque, >= 0. [N m]
    ratio : array_like
        Gearbox x transfer case x axle, without a hub reduction, > 0. [-]
    driveline_efficiency : array_like
        Crankshaft to ring gear, 0 to 1; 0.9 unless given. [-]
    converter_stall_ratio : array_like
        Torque multiplication of the converter, > 0; 1, as with a clutch, unless given. [-]
    driven_axles : array_like
        Axles that share the torque evenly, 1 to 10; 1 unless given. [-]
    dynamic_factor : array_like
        For a dropped clutch, > 0; 1 unless given. [-]

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
    .. [1] An article on axle load spectra and two axle-design theses, the efficiency of 0.9 included.

    Examples
    --------
    >>> round(float(engine_limited_torque(350.0, 4.17 * 3.73)))
    4900
    """
    torque = wheel_torque(engine_torque, ratio, driveline_efficiency, converter_stall_ratio)
    return torque * positive("dynamic_factor", dynamic_factor) / _driven_axles(driven_axles)


def grip_limited_torque(
    axle_load: ArrayLike,
    adhesion: ArrayLike,
    loaded_radius: ArrayLike,
    hub_ratio: ArrayLike = 1.0,
    hub_efficiency: ArrayLike = 1.0,
) -> Array:
    r"""Ring-gear torque at which both tyres of an axle slip.

    .. math:: T_{j\phi} = \frac{G\, \phi\, r}{\eta_h i_h}

    Parameters
    ----------
    axle_load : array_like
        Normal force under the axle, on the grade where there is one, >= 0. [N]
    adhesion : array_like
        Friction coefficient of tyre on ground, >= 0. [-]
    loaded_radius : array_like
        Axle centre to ground; the rolling radius where it is not known, > 0. [m]
    hub_ratio : array_like
        Reduction at the wheel, > 0; 1 unless given. [-]
    hub_efficiency : array_like
        Ring gear to wheel, above 0, at most 1; 1 unless given. [-]

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
    .. [1] Two axle-design theses, after the textbook axle method.

    Examples
    --------
    >>> round(float(grip_limited_torque(160000.0, 0.85, 0.47, hub_efficiency=0.9)))
    71022
    """
    torque = grip_torque(axle_load, adhesion, loaded_radius)
    return torque / (positive("hub_ratio", hub_ratio) * _efficiency(hub_efficiency))


def shaft_torque(ring_gear_torque: ArrayLike, locked: ArrayLike) -> Array:
    r"""Largest torque on one of the two shafts of an axle.

    An open differential halves the torque between its sides; a locked one passes all of it to the side
    that has grip.

    Parameters
    ----------
    ring_gear_torque : array_like
        >= 0. [N m]
    locked : array_like of bool
        Whether the differential is locked. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If the torque is not finite or is negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> shaft_torque(5000.0, [False, True]).tolist()
    [2500.0, 5000.0]
    """
    torque = not_negative("ring_gear_torque", ring_gear_torque)
    return np.where(locked, torque, torque / 2.0)


def slower_shaft_share(bias_ratio: ArrayLike) -> Array:
    r"""Largest share of an axle's torque on one shaft of a limited-slip differential.

    .. math:: s = b / (1 + b)

    Parameters
    ----------
    bias_ratio : array_like
        Torque of the slower wheel / torque of the faster, at least 1. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the ratio lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(slower_shaft_share(3.0))
    0.75
    """
    bias = within("bias_ratio", bias_ratio, 1.0, 100.0)
    return bias / (1.0 + bias)


def tyre_limit(
    tyre_diameter: ArrayLike, engine_load: ArrayLike, grip_load: ArrayLike, capacity: ArrayLike
) -> Array:
    r"""Largest tyre at which neither the engine nor the grip of the tyre loads a part beyond its capacity.

    The load that grip allows is in proportion to the diameter of the tyre; the load that the engine allows
    does not depend on it. The weight of the larger tyre itself is left out.

    .. math:: D_\max = D\, C / L_\phi

    Parameters
    ----------
    tyre_diameter : array_like
        Of the tyre fitted, > 0. [m]
    engine_load : array_like
        On the part at the engine's limit, >= 0. [N m]
    grip_load : array_like
        On the part when that tyre slips, > 0; infinite where a smaller tyre would not lower it. [N m]
    capacity : array_like
        Largest load on the part, > 0. [N m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; infinite where the engine cannot overload the part, 0
        where it does so on any tyre. [m]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> tyre_limit(0.8, [4000.0, 2500.0], 2000.0, 2500.0).tolist()
    [1.0, inf]
    """
    largest, grip = positive("capacity", capacity), np.asarray(grip_load, dtype=np.float64)
    require("grip_load", grip > 0.0, "above zero")
    never = not_negative("engine_load", engine_load) <= largest
    return np.where(never, np.inf, positive("tyre_diameter", tyre_diameter) * largest / grip)


def _efficiency(value: ArrayLike) -> Array:
    efficiency = positive("hub_efficiency", value)
    require("hub_efficiency", efficiency <= 1.0, "above 0 and at most 1")
    return efficiency


def _driven_axles(value: ArrayLike) -> Array:
    return within("driven_axles", value, 1.0, 10.0)
