"""Stress and capacity of axle gear teeth by the textbook axle method.

Every factor is an argument. The method is that of Liu Weixin (axle design) and Wang Wangyu (automobile
design, 4th ed., ch. 5), from memory (high).
"""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, not_negative, positive, require, within

RING_SIZE_COEFFICIENT = 0.013  # m / (N m)^(1/3): the lower, older end of 13 to 16 mm
USUAL_SIZE_COEFFICIENT = 0.010
"""From one figure that the trade quotes as the limit of a ring gear: common practice, no published source.

It lies as far above that of endurance as peak torque does in the tooth strength of the axle method.
[m / (N m)^(1/3)]
"""
COAST_DIVISOR = 1.3
SMALLEST_MODULE = 0.0016


def unit_load(torque: ArrayLike, diameter: ArrayLike, face_width: ArrayLike) -> Array:
    r"""Tangential force per length of tooth.

    .. math:: p = \frac{2 T}{D b}

    Parameters
    ----------
    torque : array_like
        On the member, >= 0. [N m]
    diameter : array_like
        Outer pitch diameter of the same member, > 0. [m]
    face_width : array_like
        Tooth length, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N/m]

    Raises
    ------
    DomainError
        If an argument is not finite, the torque is negative, or a length is not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(unit_load(5000.0, 0.220, 0.034)) / 1000)
    1337
    """
    force = 2.0 * not_negative("torque", torque) / positive("diameter", diameter)
    return force / positive("face_width", face_width)


def ring_gear_capacity(
    diameter: ArrayLike,
    loaded_flank: ArrayLike = 1.0,
    size_coefficient: ArrayLike = RING_SIZE_COEFFICIENT,
    coast_divisor: ArrayLike = COAST_DIVISOR,
) -> Array:
    r"""Peak torque a ring gear of that size is usually fitted for, less on its coast flank.

    .. math:: T = (D / K)^3

    Parameters
    ----------
    diameter : array_like
        Outer diameter of the ring gear, > 0. [m]
    loaded_flank : array_like
        +1 drive, below 0 coast; drive unless given. [-]
    size_coefficient : array_like
        K, > 0; 0.013 unless given. [m/(N m)^(1/3)]
    coast_divisor : array_like
        By how much the coast flank carries less, > 0; 1.3 unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If a length, coefficient or divisor is not finite and positive.

    References
    ----------
    .. [1] Liu Weixin; Wang Wangyu: from memory (high). The coast divisor is common practice, no published
       source.

    Examples
    --------
    >>> round(float(ring_gear_capacity(0.2159)))
    4581
    """
    size = positive("diameter", diameter) / positive("size_coefficient", size_coefficient)
    torque = size * size * size
    return torque / np.where(np.less(loaded_flank, 0.0), positive("coast_divisor", coast_divisor), 1.0)


def size_factor(module: ArrayLike) -> Array:
    r"""Size factor of the bending stress: larger teeth are weaker for their size.

    .. math:: k_s = (m / 25.4\,\text{mm})^{1/4}

    Parameters
    ----------
    module : array_like
        Outer transverse module, diameter / teeth, >= 1.6 mm. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [-]

    Raises
    ------
    DomainError
        If the module is smaller or not finite.

    References
    ----------
    .. [1] Liu Weixin; Wang Wangyu: from memory (high).

    Examples
    --------
    >>> round(float(size_factor(0.0053659)), 3)
    0.678
    """
    tooth = positive("module", module)
    require("module", tooth >= SMALLEST_MODULE, "1.6 mm or more")
    return np.sqrt(np.sqrt(tooth / 0.0254))


def bending_stress(
    torque: ArrayLike,
    teeth: ArrayLike,
    module: ArrayLike,
    face_width: ArrayLike,
    size_factor: ArrayLike,
    geometry_factor: ArrayLike = 0.24,
    overload_factor: ArrayLike = 1.0,
    load_distribution_factor: ArrayLike = 1.1,
    quality_factor: ArrayLike = 1.0,
) -> Array:
    r"""Tooth-root bending stress of one member; the usual limit is 700 MPa at peak torque.

    .. math:: \sigma_w = \frac{2 T k_0 k_s k_m}{k_v\, b\, z\, m^2 J}

    Parameters
    ----------
    torque : array_like
        On the member, >= 0. [N m]
    teeth : array_like
        Of the member, > 0. [-]
    module : array_like
        Outer transverse module, > 0. [m]
    face_width : array_like
        Tooth length, > 0. [m]
    size_factor : array_like
        From `size_factor`, > 0. [-]
    geometry_factor : array_like
        J, > 0; 0.24, that of the textbook's example, unless given. [-]
    overload_factor : array_like
        For shocks, > 0; 1 unless given. [-]
    load_distribution_factor : array_like
        1.0 to 1.1 straddle mounted, 1.1 to 1.25 overhung; 1.1 unless given. [-]
    quality_factor : array_like
        For the accuracy of the teeth, > 0; 1 unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If the torque is negative, another argument not positive, or any is not finite.

    References
    ----------
    .. [1] Liu Weixin; Wang Wangyu: from memory (high).

    Examples
    --------
    >>> round(float(bending_stress(5000.0, 41, 0.0053659, 0.034, 0.678)) / 1e6)
    774
    """
    force = 2.0 * not_negative("torque", torque) / (positive("teeth", teeth) * positive("module", module))
    section = positive("face_width", face_width) * np.asarray(module, dtype=np.float64)
    factors = (
        positive("overload_factor", overload_factor)
        * positive("size_factor", size_factor)
        * positive("load_distribution_factor", load_distribution_factor)
        / positive("quality_factor", quality_factor)
    )
    return force * factors / (section * positive("geometry_factor", geometry_factor))


def contact_geometry_factor(
    mean_to_outer: ArrayLike,
    pinion_pitch_angle: ArrayLike,
    pressure_angle: ArrayLike,
    spiral_angle: ArrayLike,
) -> Array:
    r"""Geometry factor of the contact stress, with one line of contact across the face at the pitch point.

    From the curvatures of the two equivalent cylindrical gears of a pair with axes at right angles. Charts
    that follow the contact up and down the tooth differ by some ten per cent of stress.

    .. math:: J_j = \left(\frac{d_m}{d}\right)^2 \frac{\sin\phi \cos\phi \cos\gamma}{2 \cos^2\psi}

    Parameters
    ----------
    mean_to_outer : array_like
        Mean / outer diameter, > 0. [-]
    pinion_pitch_angle : array_like
        0 to 89 degrees. [rad]
    pressure_angle : array_like
        Normal pressure angle, 1 to 45 degrees. [rad]
    spiral_angle : array_like
        At mid-face, 0 to 89 degrees. [rad]

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
    .. [1] Hertz line contact of equivalent cylindrical gears: derived here.

    Examples
    --------
    >>> angles = np.deg2rad([13.7, 20.0, 35.0])
    >>> round(float(contact_geometry_factor(0.85, *angles)), 3)
    0.168
    """
    ratio = positive("mean_to_outer", mean_to_outer)
    cone = within("pinion_pitch_angle", pinion_pitch_angle, 0.0, np.deg2rad(89.0))
    pressure = within("pressure_angle", pressure_angle, np.deg2rad(1.0), np.deg2rad(45.0))
    spiral = within("spiral_angle", spiral_angle, 0.0, np.deg2rad(89.0))
    lean = np.cos(spiral)
    return ratio * ratio * np.sin(2.0 * pressure) * np.cos(cone) / (4.0 * (lean * lean))


def contact_stress(
    pinion_torque: ArrayLike,
    pinion_diameter: ArrayLike,
    face_width: ArrayLike,
    geometry_factor: ArrayLike,
    elastic_coefficient: ArrayLike = 232.6e3,
    overload_factor: ArrayLike = 1.0,
    size_factor: ArrayLike = 1.0,
    load_distribution_factor: ArrayLike = 1.1,
    finish_factor: ArrayLike = 1.0,
    quality_factor: ArrayLike = 1.0,
) -> Array:
    r"""Contact stress between the teeth; the usual limit is 2800 MPa at peak torque.

    .. math:: \sigma_j = \frac{C_p}{d_1} \sqrt{\frac{2 T_1 k_0 k_s k_m k_f}{k_v\, b J_j}}

    Parameters
    ----------
    pinion_torque : array_like
        >= 0. [N m]
    pinion_diameter : array_like
        Outer pitch diameter of the pinion, > 0. [m]
    face_width : array_like
        Tooth length, > 0. [m]
    geometry_factor : array_like
        From `contact_geometry_factor` or a chart, > 0. [-]
    elastic_coefficient : array_like
        > 0; that of steel with crowned teeth, 232.6 sqrt(N)/mm, unless given. [Pa^(1/2)]
    overload_factor : array_like
        For shocks, > 0; 1 unless given. [-]
    size_factor : array_like
        > 0; 1 unless given. [-]
    load_distribution_factor : array_like
        1.0 to 1.1 straddle mounted, 1.1 to 1.25 overhung; 1.1 unless given. [-]
    finish_factor : array_like
        For the tooth surface, > 0; 1 unless given. [-]
    quality_factor : array_like
        For the accuracy of the teeth, > 0; 1 unless given. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If the torque is negative, another argument not positive, or any is not finite.

    References
    ----------
    .. [1] Liu Weixin; Wang Wangyu: from memory (high).

    Examples
    --------
    >>> round(float(contact_stress(1000.0, 0.0537, 0.034, 0.168)) / 1e6)
    2688
    """
    factors = (
        positive("overload_factor", overload_factor)
        * positive("size_factor", size_factor)
        * positive("load_distribution_factor", load_distribution_factor)
        * positive("finish_factor", finish_factor)
        / positive("quality_factor", quality_factor)
    )
    line = positive("face_width", face_width) * positive("geometry_factor", geometry_factor)
    root = np.sqrt(2.0 * not_negative("pinion_torque", pinion_torque) * factors / line)
    coefficient = positive("elastic_coefficient", elastic_coefficient)
    return coefficient * root / positive("pinion_diameter", pinion_diameter)
