"""Fuel and electric energy that a steady speed takes."""

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, not_negative, positive, within

_GALLON = 3.785411784e-3

PETROL_ENERGY = 121.3e6 / _GALLON
"""Energy of petrol: 114,900 Btu per US gallon. [J/m3]"""

DIESEL_ENERGY = 136e6 / _GALLON
"""Energy of diesel fuel. From memory (high). [J/m3]"""

PETROL_EFFICIENCY, PETROL_FRICTION = 0.385, 1.0e5
"""Share of the fuel's energy that works in the cylinder, and mean pressure that the engine itself takes. [-, Pa]"""

DIESEL_EFFICIENCY, DIESEL_FRICTION = 0.46, 1.5e5
"""The same of a diesel. [-, Pa]"""

CALIBRATED_DRIVELINE = 0.90
"""Efficiency of the driveline with which both were fitted. [-]"""

ELECTRIC_FACTOR = 1.21
"""Energy at the wall / work at the wheels, electric light trucks. [-]"""


def fuel_power(
    engine_power: ArrayLike,
    engine_displacement: ArrayLike,
    engine_speed: ArrayLike,
    efficiency: ArrayLike,
    friction: ArrayLike,
) -> Array:
    r"""Power of the fuel that a four-stroke engine burns at a steady power.

    .. math:: \dot Q = \frac{1}{e} \left(P + p_0 V_d \frac{\omega}{4 \pi}\right)

    Parameters
    ----------
    engine_power : array_like
        At the crankshaft, >= 0. [W]
    engine_displacement : array_like
        > 0. [m3]
    engine_speed : array_like
        >= 0. [rad/s]
    efficiency : array_like
        Share of the fuel's energy that works in the cylinder, 0.05 to 1. [-]
    friction : array_like
        Mean pressure that the engine itself takes, >= 0. [Pa]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [W]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Willans line. The constants of this module are fitted to the highway test of the US EPA Test Car List:
           petrol light trucks of 2010 to 2023, 3,893 rows, predicted / measured economy 0.92 to 1.09 (5 to 95 %);
           diesel light trucks, 164 rows, 0.91 to 1.10.

    Examples
    --------
    >>> round(float(fuel_power(30.764e3, 3.6e-3, 1911.0 * np.pi / 30.0, PETROL_EFFICIENCY, PETROL_FRICTION)))
    94797
    """
    swept = positive("engine_displacement", engine_displacement) * not_negative("engine_speed", engine_speed)
    own = not_negative("friction", friction) * swept / (4.0 * np.pi)
    return (not_negative("engine_power", engine_power) + own) / within("efficiency", efficiency, 0.05, 1.0)


def energy_at_the_wall(road_load: ArrayLike) -> Array:
    r"""Electric energy that a battery vehicle takes from the wall over a distance, charging losses included.

    .. math:: E = 1.21\, F

    Parameters
    ----------
    road_load : array_like
        Force that has to be overcome, >= 0. [N]

    Returns
    -------
    ndarray
        In the shape of the argument. [J/m]

    Raises
    ------
    DomainError
        If the force is not finite or negative.

    References
    ----------
    .. [1] Fitted to the highway test of the US EPA Test Car List: 485 battery vehicles, predicted / measured 0.91 to
           1.18 (5 to 95 %); light trucks 1.21.

    Examples
    --------
    >>> float(energy_at_the_wall(1000.0))
    1210.0
    """
    return np.asarray(ELECTRIC_FACTOR * not_negative("road_load", road_load))
