"""The standard atmosphere: temperature, pressure and density by altitude."""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, within

SEA_LEVEL_TEMPERATURE = 288.15
"""ISO 2533. [K]"""

SEA_LEVEL_PRESSURE = 101325.0
"""ISO 2533. [Pa]"""

LOWEST_ALTITUDE = -2000.0
"""Lowest height that is accepted. [m]"""

HIGHEST_ALTITUDE = 11000.0
"""Where the temperature stops falling, ISO 2533. [m]"""

_EARTH_RADIUS = 6356766.0
_LAPSE_RATE = 0.0065
_PRESSURE_EXPONENT = 5.25588
_GAS_CONSTANT = 287.05287


def air_temperature(altitude: ArrayLike) -> Array:
    r"""Temperature of the standard atmosphere.

    .. math:: T = T_0 - 0.0065 H, \quad H = \frac{R z}{R + z}

    Parameters
    ----------
    altitude : array_like
        Geometric height above sea level, -2000 to 11000. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [K]

    Raises
    ------
    DomainError
        If an altitude lies outside the range.

    References
    ----------
    .. [1] ISO 2533:1975, Standard atmosphere.

    Examples
    --------
    >>> round(float(air_temperature(1500.0)), 2)
    278.4
    """
    height = within("altitude", altitude, LOWEST_ALTITUDE, HIGHEST_ALTITUDE)
    geopotential = _EARTH_RADIUS * height / (_EARTH_RADIUS + height)
    return SEA_LEVEL_TEMPERATURE - _LAPSE_RATE * geopotential


def air_pressure(altitude: ArrayLike) -> Array:
    r"""Pressure of the standard atmosphere, which is dry.

    .. math:: p = p_0 (T / T_0)^{5.25588}

    Parameters
    ----------
    altitude : array_like
        Geometric height above sea level, -2000 to 11000. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [Pa]

    Raises
    ------
    DomainError
        If an altitude lies outside the range.

    References
    ----------
    .. [1] ISO 2533:1975, Standard atmosphere.

    Examples
    --------
    >>> round(float(air_pressure(1500.0)))
    84560
    """
    relative = air_temperature(altitude) / SEA_LEVEL_TEMPERATURE
    return SEA_LEVEL_PRESSURE * np.power(relative, _PRESSURE_EXPONENT)


def air_density(altitude: ArrayLike) -> Array:
    r"""Density of the standard atmosphere.

    .. math:: \rho = \frac{p}{287.05287\, T}

    Parameters
    ----------
    altitude : array_like
        Geometric height above sea level, -2000 to 11000. [m]

    Returns
    -------
    ndarray
        In the shape of the argument. [kg/m3]

    Raises
    ------
    DomainError
        If an altitude lies outside the range.

    References
    ----------
    .. [1] ISO 2533:1975, Standard atmosphere.

    Examples
    --------
    >>> round(float(air_density(1500.0)), 4)
    1.0581
    """
    return air_pressure(altitude) / (_GAS_CONSTANT * air_temperature(altitude))
