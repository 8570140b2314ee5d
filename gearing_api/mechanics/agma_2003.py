"""Pieces of the AGMA 2003-B97 bevel-gear rating, after Shigley, Mechanical Engineering Design, ch. 15.

The standard fits its factors in inches and feet per minute; they are converted here. The tangential force
is the one at the *outer* pitch diameter.
"""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, not_negative, positive, within

INCH = 0.0254
FOOT_PER_MINUTE = 0.3048 / 60.0
PSI = 6894.757293168361
STEEL_COEFFICIENT = 2290.0 * PSI**0.5


def dynamic_factor(pitch_line_speed: ArrayLike, quality: ArrayLike) -> Array:
    r"""Overload from inaccurate teeth at speed, V in ft/min.

    .. math:: K_v = \left(\frac{A + \sqrt V}{A}\right)^B,\quad
        A = 50 + 56 (1 - B),\quad B = 0.25 (12 - Q_v)^{2/3}

    Parameters
    ----------
    pitch_line_speed : array_like
        At the outer pitch diameter, >= 0. [m/s]
    quality : array_like
        Transmission accuracy number, 5 to 11. [-]

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
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(dynamic_factor(3.99, 7)), 3)
    1.299
    """
    a, b = _accuracy(quality)
    speed = not_negative("pitch_line_speed", pitch_line_speed) / FOOT_PER_MINUTE
    return (1.0 + np.sqrt(speed) / a) ** b


def highest_pitch_line_speed(quality: ArrayLike) -> Array:
    r"""Speed up to which the dynamic factor holds.

    .. math:: V_\max = (A + Q_v - 3)^2

    Parameters
    ----------
    quality : array_like
        Transmission accuracy number, 5 to 11. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [m/s]

    Raises
    ------
    DomainError
        If the number lies outside its range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(highest_pitch_line_speed(7)), 2)
    24.23
    """
    a, _ = _accuracy(quality)
    return (a + np.asarray(quality, dtype=np.float64) - 3.0) ** 2 * FOOT_PER_MINUTE


def size_factor(module: ArrayLike) -> Array:
    r"""Size factor for bending, P the teeth per inch of diameter.

    .. math:: K_s = \max(0.5,\; 0.4867 + 0.2132 / P)

    Parameters
    ----------
    module : array_like
        Outer transverse module, above 0, at most 2 in. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the module lies outside its range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(size_factor(0.0254 / 5)), 3)
    0.529
    """
    tooth = positive("module", within("module", module, 0.0, 2.0 * INCH)) / INCH
    return np.maximum(0.5, 0.4867 + 0.2132 * tooth)


def contact_size_factor(face_width: ArrayLike) -> Array:
    r"""Size factor for pitting, F in inches.

    .. math:: C_s = 0.125 F + 0.4375, \quad 0.5 \le C_s \le 1

    Parameters
    ----------
    face_width : array_like
        Tooth length, > 0. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the width is not finite and positive.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(contact_size_factor(0.02794)), 3)
    0.575
    """
    fitted = 0.125 * positive("face_width", face_width) / INCH + 0.4375
    return np.minimum(np.maximum(fitted, 0.5), 1.0)


def load_distribution_factor(face_width: ArrayLike, mounting: ArrayLike = 1.25) -> Array:
    r"""Overload from teeth that do not bear over their whole length, F in inches.

    .. math:: K_m = K_{mb} + 0.0036 F^2

    Parameters
    ----------
    face_width : array_like
        Tooth length, > 0. [m]
    mounting : array_like
        1.00 with both members straddle mounted, 1.10 with one, 1.25 with none; 1.25 unless given. [-]

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
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(load_distribution_factor(0.02794)), 3)
    1.254
    """
    face = positive("face_width", face_width) / INCH
    return positive("mounting", mounting) + 0.0036 * face**2


def reliability_factor(reliability: ArrayLike) -> Array:
    r"""Reliability factor for bending; its square root is the one for pitting.

    .. math:: K_R = \begin{cases}
        0.70 - 0.15 \log_{10}(1 - R) & 0.9 \le R < 0.99 \\
        0.50 - 0.25 \log_{10}(1 - R) & 0.99 \le R \le 0.999 \end{cases}

    Parameters
    ----------
    reliability : array_like
        Share of gears that survive, 0.9 to 0.999. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the reliability lies outside its range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(reliability_factor(0.995)), 3)
    1.075
    """
    failures = np.log10(1.0 - within("reliability", reliability, 0.9, 0.999))
    # The two lines meet at R = 0.99, and each is the higher on its own side.
    return np.maximum(0.70 - 0.15 * failures, 0.50 - 0.25 * failures)


def bending_life_factor(cycles: ArrayLike, critical: ArrayLike = True) -> Array:
    r"""How much more bending stress a tooth takes for a short life, carburised steel.

    2.7 up to 1000 cycles, :math:`6.1514 N^{-0.1192}` up to three million, and beyond that
    :math:`1.683 N^{-0.0323}` for critical, :math:`1.3558 N^{-0.0178}` for general use.

    Parameters
    ----------
    cycles : array_like
        Tooth loadings, 100 to 1e10. [-]
    critical : array_like of bool
        Whether the use is critical; true unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If the cycles lie outside their range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> bending_life_factor([1e3, 1e9]).round(3).tolist()
    [2.7, 0.862]
    """
    n = within("cycles", cycles, 1e2, 1e10)
    endurance = np.where(critical, 1.683 * n**-0.0323, 1.3558 * n**-0.0178)
    return np.minimum(2.7, np.maximum(6.1514 * n**-0.1192, endurance))


def contact_life_factor(cycles: ArrayLike) -> Array:
    r"""How much more contact stress a tooth takes for a short life, carburised steel.

    .. math:: C_L = \min(2,\; 3.4822 N^{-0.0602})

    Parameters
    ----------
    cycles : array_like
        Tooth loadings, 1e3 to 1e10. [-]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the cycles lie outside their range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(contact_life_factor(1e7)), 2)
    1.32
    """
    return np.minimum(2.0, 3.4822 * within("cycles", cycles, 1e3, 1e10) ** -0.0602)


def bending_strength(hardness: ArrayLike) -> Array:
    r"""Allowable bending stress number of through-hardened steel, grade 1.

    .. math:: s_{at} = 44 H_B + 2100\ \text{psi}

    Parameters
    ----------
    hardness : array_like
        Brinell hardness, 150 to 450. [HB]

    Returns
    -------
    ndarray
        In the shape of the argument. [Pa]

    Raises
    ------
    DomainError
        If the hardness lies outside its range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(bending_strength(180)) / 1e6, 1)
    69.1
    """
    return (44.0 * _brinell(hardness) + 2100.0) * PSI


def contact_strength(hardness: ArrayLike) -> Array:
    r"""Allowable contact stress number of through-hardened steel, grade 1.

    .. math:: s_{ac} = 341 H_B + 23620\ \text{psi}

    Parameters
    ----------
    hardness : array_like
        Brinell hardness, 150 to 450. [HB]

    Returns
    -------
    ndarray
        In the shape of the argument. [Pa]

    Raises
    ------
    DomainError
        If the hardness lies outside its range.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(contact_strength(180)) / 1e6)
    586
    """
    return (341.0 * _brinell(hardness) + 23620.0) * PSI


def allowable_stress(
    strength: ArrayLike,
    life_factor: ArrayLike,
    reliability_factor: ArrayLike = 1.0,
    safety_factor: ArrayLike = 1.0,
    temperature_factor: ArrayLike = 1.0,
) -> Array:
    r"""Stress a tooth may be given, in bending or in contact.

    For pitting the reliability factor is the square root of `reliability_factor`.

    .. math:: s_w = \frac{s_a K_L}{S K_T K_R}

    Parameters
    ----------
    strength : array_like
        Allowable stress number of the steel, > 0. [Pa]
    life_factor : array_like
        As `bending_life_factor` or `contact_life_factor` gives it, > 0. [-]
    reliability_factor, safety_factor, temperature_factor : array_like
        > 0; each 1 unless given, the reliability then being 0.99. [-]

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
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> float(allowable_stress(240e6, 2.7, safety_factor=1.5)) / 1e6
    432.0
    """
    allowances = (
        positive("reliability_factor", reliability_factor)
        * positive("safety_factor", safety_factor)
        * positive("temperature_factor", temperature_factor)
    )
    return positive("strength", strength) * positive("life_factor", life_factor) / allowances


def bending_stress(
    tangential_force: ArrayLike,
    module: ArrayLike,
    face_width: ArrayLike,
    geometry_factor: ArrayLike,
    dynamic_factor: ArrayLike = 1.0,
    size_factor: ArrayLike = 1.0,
    load_distribution_factor: ArrayLike = 1.0,
    overload_factor: ArrayLike = 1.0,
    curvature_factor: ArrayLike = 1.0,
) -> Array:
    r"""Tooth-root bending stress.

    .. math:: s_t = \frac{W_t K_o K_v K_s K_m}{F m K_x J}

    Parameters
    ----------
    tangential_force : array_like
        At the outer pitch diameter, >= 0. [N]
    module : array_like
        Outer transverse module, > 0. [m]
    face_width : array_like
        Tooth length, > 0. [m]
    geometry_factor : array_like
        J of the member, > 0. [-]
    dynamic_factor, size_factor, load_distribution_factor, overload_factor : array_like
        > 0; each 1 unless given. [-]
    curvature_factor : array_like
        Lengthwise, K_x, > 0; that of straight teeth, 1, unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If the force is negative, another argument not positive, or any is not finite.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(bending_stress(1000.0, 0.005, 0.030, 0.25)) / 1e6, 2)
    26.67
    """
    load = (
        not_negative("tangential_force", tangential_force)
        * positive("overload_factor", overload_factor)
        * positive("dynamic_factor", dynamic_factor)
        * positive("size_factor", size_factor)
        * positive("load_distribution_factor", load_distribution_factor)
    )
    section = positive("face_width", face_width) * positive("module", module)
    shape = positive("curvature_factor", curvature_factor) * positive("geometry_factor", geometry_factor)
    return load / (section * shape)


def contact_stress(
    tangential_force: ArrayLike,
    pinion_diameter: ArrayLike,
    face_width: ArrayLike,
    geometry_factor: ArrayLike,
    dynamic_factor: ArrayLike = 1.0,
    size_factor: ArrayLike = 1.0,
    load_distribution_factor: ArrayLike = 1.0,
    overload_factor: ArrayLike = 1.0,
    crowning_factor: ArrayLike = 1.5,
    elastic_coefficient: ArrayLike = STEEL_COEFFICIENT,
) -> Array:
    r"""Contact stress between the teeth.

    .. math:: s_c = C_p \sqrt{\frac{W_t K_o K_v K_m C_s C_{xc}}{F d_P I}}

    Parameters
    ----------
    tangential_force : array_like
        At the outer pitch diameter, >= 0. [N]
    pinion_diameter : array_like
        Outer pitch diameter of the pinion, > 0. [m]
    face_width : array_like
        Tooth length, > 0. [m]
    geometry_factor : array_like
        I of the pair, > 0. [-]
    dynamic_factor, size_factor, load_distribution_factor, overload_factor : array_like
        > 0; each 1 unless given. [-]
    crowning_factor : array_like
        1.5 for crowned, 2.0 for other teeth; 1.5 unless given. [-]
    elastic_coefficient : array_like
        > 0; that of steel on steel, 2290 sqrt(psi), unless given. [Pa^(1/2)]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If the force is negative, another argument not positive, or any is not finite.

    References
    ----------
    .. [1] AGMA 2003-B97, as reproduced by Shigley, Mechanical Engineering Design, ch. 15.

    Examples
    --------
    >>> round(float(contact_stress(20e3, 0.060, 0.030, 0.10)) / 1e6)
    2455
    """
    load = (
        not_negative("tangential_force", tangential_force)
        * positive("overload_factor", overload_factor)
        * positive("dynamic_factor", dynamic_factor)
        * positive("size_factor", size_factor)
        * positive("load_distribution_factor", load_distribution_factor)
        * positive("crowning_factor", crowning_factor)
    )
    area = positive("face_width", face_width) * positive("pinion_diameter", pinion_diameter)
    root = np.sqrt(load / (area * positive("geometry_factor", geometry_factor)))
    return positive("elastic_coefficient", elastic_coefficient) * root


def _accuracy(quality: ArrayLike) -> tuple[Array, Array]:
    b = 0.25 * np.cbrt(12.0 - within("quality", quality, 5.0, 11.0)) ** 2
    return 50.0 + 56.0 * (1.0 - b), b


def _brinell(hardness: ArrayLike) -> Array:
    return within("hardness", hardness, 150.0, 450.0)
