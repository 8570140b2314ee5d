"""Forces between two axles that are locked together and do not agree."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive


class WindUp(NamedTuple):
    """What a mismatch puts between two axles. [N, N m, N m]"""

    force: Array
    axle_torque: Array
    shaft_torque: Array


def mismatch(front_turns: ArrayLike, rear_turns: ArrayLike) -> Array:
    r"""How far the front axle runs ahead of the rear one, both propeller shafts turning as one.

    .. math:: \epsilon = 1 - N_f / N_r

    Parameters
    ----------
    front_turns, rear_turns : array_like
        Pinion turns over the same distance, > 0. [turns]

    Returns
    -------
    ndarray
        Positive where the front axle pulls, in the shape the arguments broadcast to. [-]

    Raises
    ------
    DomainError
        If an argument is not finite and positive.

    References
    ----------
    .. [1] A commercial transfer-case service manual, p. 37: (LR_f R_r - LR_r R_f) / (LR_f R_r).

    Examples
    --------
    >>> round(float(mismatch(4.1 / 2.5, 4.56 / 2.5)), 4)
    0.1009
    """
    return 1.0 - positive("front_turns", front_turns) / positive("rear_turns", rear_turns)


def wind_up(
    mismatch: ArrayLike,
    front_load: ArrayLike,
    rear_load: ArrayLike,
    slip_stiffness: ArrayLike,
    adhesion: ArrayLike,
    rolling_radius: ArrayLike,
    axle_ratio: ArrayLike,
) -> WindUp:
    r"""Force between two locked axles whose tyres take up a mismatch as slip, capped by the grip.

    .. math:: F = \min\left(|\epsilon| \frac{C_f C_r}{C_f + C_r}, \mu \min(N_f, N_r)\right), \quad C = K N,
              \quad T = F r, \quad T_s = F r / i

    Parameters
    ----------
    mismatch : array_like
        Of front against rear, of either sign. [-]
    front_load, rear_load : array_like
        Normal force under each axle, > 0. [N]
    slip_stiffness : array_like
        Force along the ground / normal force per unit of slip, K, > 0. [-]
    adhesion : array_like
        Friction coefficient of tyre on ground, >= 0. [-]
    rolling_radius : array_like
        > 0. [m]
    axle_ratio : array_like
        Axle ratio with the hub reduction, > 0. [-]

    Returns
    -------
    WindUp
        In the shape the arguments broadcast to. [N, N m, N m]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Tyres in series: by definition. K of 7 to 22, 15.65 in the middle, from tyre files of an open multibody
       library and a US national-laboratory vehicle simulator.

    Examples
    --------
    >>> found = wind_up(0.02, 11500.0, 12500.0, 15.65, 0.85, 0.4, 4.1)
    >>> [round(float(part)) for part in found]
    [1875, 750, 183]
    """
    front = positive("front_load", front_load)
    rear = positive("rear_load", rear_load)
    stiffness = positive("slip_stiffness", slip_stiffness) * front * rear / (front + rear)
    grip = not_negative("adhesion", adhesion) * np.minimum(front, rear)
    force = np.minimum(np.abs(finite("mismatch", mismatch)) * stiffness, grip)
    torque = force * positive("rolling_radius", rolling_radius)
    return WindUp(force, torque, torque / positive("axle_ratio", axle_ratio))
