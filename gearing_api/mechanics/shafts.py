"""Round shafts in torsion: stress, the torque at yield and beyond, twist, shock."""

from math import pi, sqrt

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require

STEEL_SHEAR_MODULUS = 79.3e9
VON_MISES = 1.0 / sqrt(3.0)


def polar_moment(diameter: ArrayLike, bore: ArrayLike = 0.0) -> Array:
    r"""Polar second moment of a round section.

    .. math:: J = \frac{\pi}{32} (D^4 - d^4)

    Parameters
    ----------
    diameter : array_like
        Outer diameter, > 0. [m]
    bore : array_like
        Inner diameter, from 0 to below the outer one; solid unless given. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m4]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(polar_moment(0.060, 0.040)) * 1e12)
    1021018
    """
    outer, inner = _section(diameter, bore)
    outer_square, inner_square = outer * outer, inner * inner
    return pi / 32.0 * (outer_square * outer_square - inner_square * inner_square)


def torsional_stress(torque: ArrayLike, radius: ArrayLike, polar_moment: ArrayLike) -> Array:
    r"""Shear stress at a radius while the section is elastic.

    .. math:: \tau = T \rho / J

    Parameters
    ----------
    torque : array_like
        >= 0. [N m]
    radius : array_like
        Distance from the axis, >= 0. [m]
    polar_moment : array_like
        Of the section, > 0. [m4]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Beer & Johnston, Mechanics of Materials, ch. 3.

    Examples
    --------
    >>> round(float(torsional_stress(1000.0, 0.020, polar_moment(0.040))) / 1e6, 1)
    79.6
    """
    moment = not_negative("torque", torque) * not_negative("radius", radius)
    return moment / positive("polar_moment", polar_moment)


def shear_yield(yield_strength: ArrayLike, ratio: ArrayLike = VON_MISES) -> Array:
    r"""Shear stress at which a steel yields.

    Parameters
    ----------
    yield_strength : array_like
        In tension, > 0. [Pa]
    ratio : array_like
        Shear / tension, above 0: 0.577 after von Mises unless given, 0.5 after Tresca. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(shear_yield(1000e6)) / 1e6, 1)
    577.4
    """
    return positive("yield_strength", yield_strength) * positive("ratio", ratio)


def yield_torque(shear_yield: ArrayLike, diameter: ArrayLike, bore: ArrayLike = 0.0) -> Array:
    r"""Torque at which the surface begins to yield.

    .. math:: T_y = \frac{2 \tau_y J}{D}

    Parameters
    ----------
    shear_yield : array_like
        Shear stress at yield, > 0. [Pa]
    diameter : array_like
        Outer diameter, > 0. [m]
    bore : array_like
        Inner diameter, from 0 to below the outer one; solid unless given. [m]

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
    .. [1] Beer & Johnston, Mechanics of Materials, ch. 3.

    Examples
    --------
    >>> round(float(yield_torque(150e6, 0.050)))
    3682
    """
    moment = 2.0 * polar_moment(diameter, bore) / np.asarray(diameter, dtype=np.float64)
    return positive("shear_yield", shear_yield) * moment


def plastic_torque(shear_yield: ArrayLike, diameter: ArrayLike, bore: ArrayLike = 0.0) -> Array:
    r"""Torque at which the whole section has yielded: 4/3 of the yield torque when solid.

    .. math:: T_p = \frac{\pi}{12} \tau_y (D^3 - d^3)

    Parameters
    ----------
    shear_yield : array_like
        Shear stress at yield, > 0. [Pa]
    diameter : array_like
        Outer diameter, > 0. [m]
    bore : array_like
        Inner diameter, from 0 to below the outer one; solid unless given. [m]

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
    .. [1] Beer & Johnston, Mechanics of Materials, ch. 3.

    Examples
    --------
    >>> round(float(plastic_torque(150e6, 0.050)))
    4909
    """
    outer, inner = _section(diameter, bore)
    return pi / 12.0 * positive("shear_yield", shear_yield) * (outer * outer * outer - inner * inner * inner)


def twist_beyond_yield(
    torque: ArrayLike,
    length: ArrayLike,
    shear_yield: ArrayLike,
    diameter: ArrayLike,
    shear_modulus: ArrayLike = STEEL_SHEAR_MODULUS,
) -> Array:
    r"""Twist of a solid shaft, elastic at first, then with a shrinking elastic core.

    .. math:: \theta = \frac{\min(T, T_y)}{T_y} \frac{\tau_y L}{G \rho}

    Parameters
    ----------
    torque : array_like
        From 0 to below the plastic torque, where the twist has no bound. [N m]
    length : array_like
        >= 0. [m]
    shear_yield : array_like
        Shear stress at yield, > 0. [Pa]
    diameter : array_like
        > 0. [m]
    shear_modulus : array_like
        > 0; that of steel, 79.3 GPa (11.5e6 psi), unless given. [Pa]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [rad]

    Raises
    ------
    DomainError
        If an argument lies outside its range.

    References
    ----------
    .. [1] Beer & Johnston, Mechanics of Materials, ch. 3.

    Examples
    --------
    >>> angle = twist_beyond_yield(4600.0, 1.2, 150e6, 0.050, 77e9)
    >>> round(float(np.rad2deg(angle)), 1)
    8.5
    """
    use = not_negative("torque", torque) / yield_torque(shear_yield, diameter)
    core = _core(use)
    require("torque", core > 0.0, "below the plastic torque")
    strain = positive("shear_yield", shear_yield) / positive("shear_modulus", shear_modulus)
    radius = core * np.asarray(diameter, dtype=np.float64) / 2.0
    return np.minimum(1.0, use) * strain * not_negative("length", length) / radius


def largest_shear_stress(shear_stress: ArrayLike, normal_stress: ArrayLike) -> Array:
    r"""Largest shear stress of torsion and bending together.

    .. math:: \tau_\max = \sqrt{\tau^2 + (\sigma / 2)^2}

    Parameters
    ----------
    shear_stress, normal_stress : array_like
        From torsion and from bending. [Pa]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument is not finite.

    References
    ----------
    .. [1] Wentzell, Machine Design, ch. 17.

    Examples
    --------
    >>> round(float(largest_shear_stress(30e6, 80e6)) / 1e6)
    50
    """
    return np.hypot(finite("shear_stress", shear_stress), finite("normal_stress", normal_stress) / 2.0)


def _core(use: Array) -> Array:
    """Radius of the elastic core over that of the shaft; none from the plastic torque on."""
    return np.cbrt(np.maximum(0.0, np.minimum(1.0, 4.0 - 3.0 * use)))


def _section(diameter: ArrayLike, bore: ArrayLike) -> tuple[Array, Array]:
    outer, inner = positive("diameter", diameter), not_negative("bore", bore)
    require("bore", inner < outer, "less than the diameter")
    return outer, inner
