"""Tyres: dimensions, rolling, sag, and load by pressure."""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, require

INCH = 0.0254
"""The inch of rim codes and flotation sizes. [m]"""

RADIAL_ROLLING_FACTOR = 3.05
"""Rolling circumference / diameter of a radial tyre: UN GTR 15 (2019), Annex 7, par. 8. [-]"""

BIAS_ROLLING_FACTOR = 2.94
"""Rolling circumference / diameter of a bias tyre for road and soft ground.

European Commission heavy-duty CO2 declaration data, Rims table (release 3.0.1.315). [-]
"""

ROLLING_FACTORS = {"radial": RADIAL_ROLLING_FACTOR, "bias": BIAS_ROLLING_FACTOR}
"""The same by construction. [-]"""

FIVE_DEGREE_RIM_SHARE = 0.70
"""Rim width / nominal width at which a tyre on a 5-degree (drop centre) rim is as wide as its name. [-]"""

PASSENGER_LOAD_EXPONENT = 0.8
"""Exponent of load over pressure, European passenger tyres (Crolla 2009, p. 290). [-]"""

LIGHT_TRUCK_LOAD_EXPONENT = 0.7
"""Exponent of load over pressure, US light-truck tyres (fitted to the reprinted TRA table). [-]"""

STIFFNESS_LOWEST_PRESSURE = 150e3
"""Inflation below which the stiffness formula extrapolates, and reads too soft. [Pa]"""

# One millimetre of rim moves the section width by this much.
_WIDTH_PER_RIM_WIDTH = 0.4

# Measuring rim width / nominal width from the low series to the high. Aspect ratios come in steps of
# 0.05, so limits half a step below the first of each series keep clear of rounding.
_SERIES_LIMITS = np.array([0.275, 0.425, 0.475, 0.575, 0.725])
_SERIES_RIM_SHARES = np.array([0.92, 0.90, 0.85, 0.80, 0.75, 0.70])

_KILOGRAM_FORCE = 9.80665


def section_height(nominal_width: ArrayLike, aspect: ArrayLike) -> Array:
    r"""Height of the tyre section, rim seat to tread.

    .. math:: H = A S

    Parameters
    ----------
    nominal_width : array_like
        Width as the size names it, > 0. [m]
    aspect : array_like
        Section height / nominal width, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(section_height(0.215, 0.60)), 3)
    0.129
    """
    return positive("nominal_width", nominal_width) * positive("aspect", aspect)


def free_diameter(nominal_width: ArrayLike, aspect: ArrayLike, rim_diameter: ArrayLike) -> Array:
    r"""Overall diameter of an unloaded tyre of a metric size, not rounded.

    .. math:: D = d + 2 A S

    Parameters
    ----------
    nominal_width : array_like
        Width as the size names it, > 0. [m]
    aspect : array_like
        Section height / nominal width, > 0. [-]
    rim_diameter : array_like
        25.4 mm x rim code, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] UN GTR 15 (2019), Annex 7, par. 8.
    .. [2] European Commission Joint Research Centre, light-duty CO2 tool (2023), wheel model.

    Examples
    --------
    >>> round(float(free_diameter(0.265, 0.75, 15 * INCH)), 4)
    0.7785
    """
    return positive("rim_diameter", rim_diameter) + 2.0 * section_height(nominal_width, aspect)


def measuring_rim_width(nominal_width: ArrayLike, aspect: ArrayLike) -> Array:
    r"""Width of the rim on which a metric tyre is measured, to the half inch.

    For passenger and light-truck tyres on 5-degree rims.

    .. math:: R_m = [2 K S] / 2

    with *K* from 0.70 for the series 75 and higher to 0.92 for the series 25 and lower.

    Parameters
    ----------
    nominal_width : array_like
        Width as the size names it, > 0. [m]
    aspect : array_like
        Section height / nominal width, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Series 50 and higher: computed, with the width rule gives 30 of the 31 light rows of European
       Commission heavy-duty CO2 declaration data, Wheels table.
    .. [2] Series 45 and lower: ISO 4000-1, from memory (high).

    Examples
    --------
    >>> round(float(measuring_rim_width(0.265, 0.75) / INCH), 1)
    7.5
    """
    series = np.searchsorted(_SERIES_LIMITS, positive("aspect", aspect))
    inches = _SERIES_RIM_SHARES[series] * positive("nominal_width", nominal_width) / INCH
    return np.floor(2.0 * inches + 0.5) / 2.0 * INCH


def design_section_width(
    nominal_width: ArrayLike, measuring_rim_width: ArrayLike, rim_share: ArrayLike = FIVE_DEGREE_RIM_SHARE
) -> Array:
    r"""Width of a new metric tyre on its measuring rim.

    .. math:: S_D = S + 0.4 (R_m - k S)

    Parameters
    ----------
    nominal_width : array_like
        Width as the size names it, > 0. [m]
    measuring_rim_width : array_like
        > 0. [m]
    rim_share : array_like
        Rim width / nominal width at which both widths are one: 0.70 on 5-degree rims, 0.75 on
        15-degree rims, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; standards print the nearest mm. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Computed: gives 30 of the 31 rows of rim codes 15 to 18, and the rows of rim code 22.5 on 9.00
       rims, of European Commission heavy-duty CO2 declaration data, Wheels table.

    Examples
    --------
    >>> round(float(design_section_width(0.265, 7.5 * INCH)), 3)
    0.267
    """
    width = positive("nominal_width", nominal_width)
    level_rim = positive("rim_share", rim_share) * width
    return section_width_on_rim(width, level_rim, measuring_rim_width)


def section_width_on_rim(
    section_width: ArrayLike, measuring_rim_width: ArrayLike, wheel_width: ArrayLike
) -> Array:
    r"""Width of a tyre on a wheel of another width.

    .. math:: S = S_D + 0.4 (w - R_m)

    Parameters
    ----------
    section_width : array_like
        On the measuring rim, > 0. [m]
    measuring_rim_width, wheel_width : array_like
        Between the flanges, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] Two public pages of tyre data: 0.2 in a half inch of rim.

    Examples
    --------
    >>> round(float(section_width_on_rim(0.209, 6 * INCH, 7 * INCH)), 4)
    0.2192
    """
    excess = positive("wheel_width", wheel_width) - positive("measuring_rim_width", measuring_rim_width)
    return positive("section_width", section_width) + _WIDTH_PER_RIM_WIDTH * excess


def rolling_circumference(diameter: ArrayLike, rolling_factor: ArrayLike) -> Array:
    r"""Distance rolled in one free turn.

    .. math:: C = F D

    Parameters
    ----------
    diameter : array_like
        Free diameter, > 0. [m]
    rolling_factor : array_like
        3.05 for radial and 2.94 for bias tyres; pi for a tyre that does not sag, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] UN GTR 15 (2019), Annex 7, par. 8: 3.05.
    .. [2] European Commission, heavy-duty CO2 declaration data, Wheels and Rims tables (releases of 2015
       and 2022): 3.05 for most radial, 2.94 for multipurpose diagonal tyres.

    Examples
    --------
    >>> round(float(rolling_circumference(0.802, RADIAL_ROLLING_FACTOR)), 4)
    2.4461
    """
    return positive("rolling_factor", rolling_factor) * positive("diameter", diameter)


def rolling_radius(rolling_circumference: ArrayLike) -> Array:
    r"""Road speed / wheel speed of a freely rolling wheel.

    .. math:: r = C / 2 \pi

    Parameters
    ----------
    rolling_circumference : array_like
        Distance covered in one turn, > 0. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [m]

    Raises
    ------
    DomainError
        If the argument is not finite and positive.

    References
    ----------
    .. [1] D. A. Crolla (ed.), Automotive Engineering, Butterworth-Heinemann 2009, p. 296.

    Examples
    --------
    >>> round(float(rolling_radius(2.4461)), 4)
    0.3893
    """
    return positive("rolling_circumference", rolling_circumference) / (2.0 * np.pi)


def tyre_turns_per_distance(rolling_circumference: ArrayLike) -> Array:
    r"""Turns of a freely rolling wheel over a distance.

    .. math:: n = 1 / C

    Parameters
    ----------
    rolling_circumference : array_like
        Distance covered in one turn, > 0. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [turns/m]

    Raises
    ------
    DomainError
        If the argument is not finite and positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(tyre_turns_per_distance(2.5))
    0.4
    """
    return 1.0 / positive("rolling_circumference", rolling_circumference)


def vertical_stiffness(
    tyre_pressure: ArrayLike, nominal_width: ArrayLike, aspect: ArrayLike, diameter: ArrayLike
) -> Array:
    r"""Load per sag of a belted radial tyre.

    .. math:: K = g \left( 0.00028\, p \sqrt{(1.03 - 0.004 A) S D} + 3.45 \right)

    with *p* in kPa, *A* in percent, *S* and *D* in mm, *K* in N/mm. A tyre stiffens as it sags, so that a
    constant stiffness is an estimate: against published tyre data the formula is 1 to 11 % high.

    Parameters
    ----------
    tyre_pressure : array_like
        Inflation above the atmosphere, >= 0; below 150 kPa the formula extrapolates. [Pa]
    nominal_width : array_like
        Width as the size names it, > 0. [m]
    aspect : array_like
        Section height / nominal width, > 0 and below 2.5. [-]
    diameter : array_like
        Free diameter, > 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N/m]

    Raises
    ------
    DomainError
        If an argument is not finite or lies outside its range.

    References
    ----------
    .. [1] T. B. Rhyne, Tire Science and Technology 33(3), 2005, pp. 136-155; the formula itself from
       memory (high).

    Examples
    --------
    >>> round(float(vertical_stiffness(270e3, 0.335, 0.65, 1.007)) / 1e3, 1)
    411.7
    """
    series = positive("aspect", aspect)
    require("aspect", series < 2.5, "below 2.5")
    pressure = not_negative("tyre_pressure", tyre_pressure) / 1e3
    area = positive("nominal_width", nominal_width) * positive("diameter", diameter) * 1e6
    kilograms_per_millimetre = 0.00028 * pressure * np.sqrt((1.03 - 0.4 * series) * area) + 3.45
    return kilograms_per_millimetre * (_KILOGRAM_FORCE * 1e3)


def sag(tyre_force: ArrayLike, vertical_stiffness: ArrayLike) -> Array:
    r"""Drop of the wheel centre under a load.

    .. math:: \delta = F / K

    Parameters
    ----------
    tyre_force : array_like
        Weight on the tyre, >= 0. [N]
    vertical_stiffness : array_like
        > 0. [N/m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite, a force is negative, or a stiffness is not positive.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(sag(8000.0, 320e3))
    0.025
    """
    force = not_negative("tyre_force", tyre_force)
    return force / positive("vertical_stiffness", vertical_stiffness)


def loaded_radius(diameter: ArrayLike, sag: ArrayLike) -> Array:
    r"""Height of the wheel centre above the ground.

    Meaningless where the sag exceeds the section height: the tyre is flat.

    .. math:: r_l = D / 2 - \delta

    Parameters
    ----------
    diameter : array_like
        Free diameter, > 0. [m]
    sag : array_like
        >= 0. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite, a diameter is not positive, or a sag is negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> round(float(loaded_radius(0.80, 0.03)), 2)
    0.37
    """
    return positive("diameter", diameter) / 2.0 - not_negative("sag", sag)


def contact_half_length(diameter: ArrayLike, loaded_radius: ArrayLike) -> Array:
    r"""Half the length of the contact patch of a loaded tyre.

    .. math:: a = \sqrt{r_0^2 - r_l^2}

    Parameters
    ----------
    diameter : array_like
        Free diameter, > 0. [m]
    loaded_radius : array_like
        Wheel centre to ground, > 0 and at most half the diameter. [m]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [m]

    Raises
    ------
    DomainError
        If an argument is not finite and positive, or a loaded radius exceeds the free radius.

    References
    ----------
    .. [1] R. N. Jazar, Vehicle Dynamics, ch. 3, as derived on a university teaching page.

    Examples
    --------
    >>> round(float(contact_half_length(0.80, 0.37)), 5)
    0.15199
    """
    free = positive("diameter", diameter) / 2.0
    loaded = positive("loaded_radius", loaded_radius)
    require("loaded_radius", loaded <= free, "at most half the diameter")
    return np.sqrt((free - loaded) * (free + loaded))


def load_at_pressure(
    load_capacity: ArrayLike, tyre_pressure: ArrayLike, reference_pressure: ArrayLike, exponent: ArrayLike
) -> Array:
    r"""Load capacity at another inflation.

    For pressures up to the reference. Tables print the result rounded, to 5 kg for passenger tyres.

    .. math:: Q = Q_\text{ref} (p / p_\text{ref})^n

    Parameters
    ----------
    load_capacity : array_like
        Load at the reference pressure, >= 0. [kg]
    tyre_pressure : array_like
        Inflation above the atmosphere, >= 0. [Pa]
    reference_pressure : array_like
        Inflation that belongs to the load capacity, > 0; 250 kPa for European passenger tyres. [Pa]
    exponent : array_like
        0.8 for passenger tyres, 0.7 for US light-truck tyres. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [kg]

    Raises
    ------
    DomainError
        If an argument is not finite, a load or pressure is negative, or the reference is not positive.

    References
    ----------
    .. [1] D. A. Crolla (ed.), Automotive Engineering, Butterworth-Heinemann 2009, p. 290: the exponent
       0.8 gives all 190 cells of its table.
    .. [2] TRA light-truck table as reprinted in a motor-home manual: the exponent 0.7 within 0.8 %.

    Examples
    --------
    >>> round(float(load_at_pressure(515.0, 200e3, 250e3, PASSENGER_LOAD_EXPONENT)) / 5) * 5
    430
    """
    pressure = not_negative("tyre_pressure", tyre_pressure)
    share = pressure / positive("reference_pressure", reference_pressure)
    return not_negative("load_capacity", load_capacity) * np.power(share, finite("exponent", exponent))


def pressure_for_load(
    load_capacity: ArrayLike, tyre_load: ArrayLike, reference_pressure: ArrayLike, exponent: ArrayLike
) -> Array:
    r"""Least inflation for a load.

    .. math:: p = p_\text{ref} (Q / Q_\text{ref})^{1/n}

    Parameters
    ----------
    load_capacity : array_like
        Load at the reference pressure, > 0. [kg]
    tyre_load : array_like
        Load to carry, >= 0. [kg]
    reference_pressure : array_like
        Inflation that belongs to the load capacity, > 0. [Pa]
    exponent : array_like
        0.8 for passenger tyres, 0.7 for US light-truck tyres, > 0. [-]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [Pa]

    Raises
    ------
    DomainError
        If an argument is not finite, a load is negative, or a capacity, reference or exponent is not
        positive.

    References
    ----------
    .. [1] D. A. Crolla (ed.), Automotive Engineering, Butterworth-Heinemann 2009, p. 290.

    Examples
    --------
    >>> round(float(pressure_for_load(500.0, 400.0, 250e3, PASSENGER_LOAD_EXPONENT)) / 1e3)
    189
    """
    share = not_negative("tyre_load", tyre_load) / positive("load_capacity", load_capacity)
    reference = positive("reference_pressure", reference_pressure)
    return reference * np.power(share, 1.0 / positive("exponent", exponent))
