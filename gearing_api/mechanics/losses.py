"""Losses between crankshaft and wheels that go with torque and engine speed: affine, so that they invert exactly."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api.mechanics.domain import Array, finite, not_negative, positive, within

PER_RPM = 30.0 / np.pi
"""One per rpm in one per rad/s."""

AXLE_CONSTANT, AXLE_LOAD, AXLE_SPEED = 5.0, 0.02, 0.001 * PER_RPM
"""Loss of an axle at its pinion: constant, share of the torque, and by speed. [N m, -, N m s]"""

TRANSFER_HIGH, TRANSFER_LOW = 0.99, 0.97
"""Efficiency of a two-speed transfer case, direct and through its gears. Common practice. [-]"""

HUB = 0.98
"""Efficiency of a gear stage at the wheel. Common practice. [-]"""

_AUTOMATIC = (0.9794, 0.0043233, 0.2982, 2.4526e-6 * PER_RPM, 1.548e-4 * PER_RPM)
_MANUAL = (0.9895, 0.0043233, 0.2982, 2.4526e-6 * PER_RPM, 5.16e-5 * PER_RPM)


class Losses(NamedTuple):
    """What arrives: wheel torque / overall ratio = efficiency x engine torque - constant - linear x engine speed."""

    efficiency: Array
    """[-]"""
    constant: Array
    """At the crankshaft. [N m]"""
    linear: Array
    """[N m s]"""


def gearbox_losses(largest_torque: ArrayLike, automatic: bool) -> Losses:
    r"""Losses of a warm manual or automatic gearbox of a car or light truck.

    .. math:: T_2 i = e T - d, \quad d = a T_m + q_0 + (b T_m + q_1) n

    Parameters
    ----------
    largest_torque : array_like
        Highest torque of its engine, >= 0. [N m]
    automatic : bool
        Whether it shifts by itself. [-]

    Returns
    -------
    Losses
        At its input, in the shape of the argument. [-, N m, N m s]

    Raises
    ------
    DomainError
        If the torque is not finite or negative.

    References
    ----------
    .. [1] European Commission Joint Research Centre, light-duty CO2 model, defaults of 2022, gearbox warm.

    Examples
    --------
    >>> manual = gearbox_losses(350.0, automatic=False)
    >>> round(1.0 - float(lost_torque(manual, 100.0, 2000.0 / PER_RPM)) / 100.0, 4)
    0.9532
    """
    torque = not_negative("largest_torque", largest_torque)
    efficiency, a, q0, b, q1 = _AUTOMATIC if automatic else _MANUAL
    return Losses(np.full_like(torque, efficiency), a * torque + q0, b * torque + q1)


def fallback_gearbox_losses(largest_torque: ArrayLike, load_loss: ArrayLike, drag_loss: ArrayLike) -> Losses:
    r"""Losses of a gearbox without measurements, by regulation: rather too much than too little.

    .. math:: T_l = k\, T_m \left(1 + \frac{n}{1000\,\text{rpm}}\right) + f_T T

    Parameters
    ----------
    largest_torque : array_like
        Rating of the gearbox, >= 0. [N m]
    load_loss : array_like
        0.01 in the direct gear, 0.04 in every other, 0 to 1. [-]
    drag_loss : array_like
        0.005 for manual and dual-clutch gearboxes, 0.015 with more than two friction elements, >= 0. [-]

    Returns
    -------
    Losses
        At its input, in the shape the arguments broadcast to. [-, N m, N m s]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Regulation (EU) 2017/2400, Annex VI, appendix 8.

    Examples
    --------
    >>> round(float(lost_torque(fallback_gearbox_losses(400.0, 0.04, 0.005), 300.0, 2000.0 / PER_RPM)), 2)
    18.0
    """
    drag = not_negative("drag_loss", drag_loss) * not_negative("largest_torque", largest_torque)
    return Losses(1.0 - within("load_loss", load_loss, 0.0, 1.0), drag, drag * (PER_RPM / 1000.0))


def chain_losses(
    gearbox: Losses, gear_ratio: ArrayLike, transfer_ratio: ArrayLike, transfer: ArrayLike, hub: ArrayLike
) -> Losses:
    r"""Losses of gearbox, transfer case, one axle and its hubs in a row, at the crankshaft.

    .. math:: T_w = i\, \eta_h \left((1 - f) \eta_t (e T - d) - \frac{c + s\, \omega_p}{i_g i_t}\right)

    Parameters
    ----------
    gearbox : Losses
        At its input. [-, N m, N m s]
    gear_ratio : array_like
        > 0. [-]
    transfer_ratio : array_like
        > 0. [-]
    transfer : array_like
        Efficiency of the transfer case, 0 to 1. [-]
    hub : array_like
        Efficiency of the hubs, 0 to 1. [-]

    Returns
    -------
    Losses
        In the shape the arguments broadcast to. [-, N m, N m s]

    Raises
    ------
    DomainError
        If an argument is not finite or out of its range.

    References
    ----------
    .. [1] Axle: generic vehicle data of the European Commission heavy-duty CO2 tool, loss map of a light truck's
           axle, 5 + 0.02 T + 0.001 n at the pinion within 0.11 N m to 3,100 rpm; the fit is this project's.

    Examples
    --------
    >>> chain = chain_losses(gearbox_losses(350.0, automatic=False), 3.5, 2.72, TRANSFER_LOW, 1.0)
    >>> round(1.0 - float(lost_torque(chain, 350.0, 1000.0 / PER_RPM)) / 350.0, 4)
    0.9317
    """
    before = positive("gear_ratio", gear_ratio) * positive("transfer_ratio", transfer_ratio)
    after = within("hub", hub, 0.0, 1.0)
    through = after * (1.0 - AXLE_LOAD) * within("transfer", transfer, 0.0, 1.0)
    return Losses(
        gearbox.efficiency * through,
        gearbox.constant * through + AXLE_CONSTANT / before * after,
        gearbox.linear * through + AXLE_SPEED / (before * before) * after,
    )


def lost_torque(losses: Losses, engine_torque: ArrayLike, engine_speed: ArrayLike) -> Array:
    r"""Torque that is lost, as felt at the crankshaft.

    .. math:: T_l = (1 - \eta) T + d_0 + d_1 \omega

    Parameters
    ----------
    losses : Losses
        [-, N m, N m s]
    engine_torque : array_like
        [N m]
    engine_speed : array_like
        >= 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [N m]

    Raises
    ------
    DomainError
        If an argument is not finite, or a speed is negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(lost_torque(Losses(np.float64(0.9), np.float64(2.0), np.float64(0.0)), 100.0, 50.0).round(6))
    12.0
    """
    torque, speed = finite("engine_torque", engine_torque), not_negative("engine_speed", engine_speed)
    return np.asarray((1.0 - losses.efficiency) * torque + losses.constant + losses.linear * speed)


def arriving_power(losses: Losses, engine_power: ArrayLike, engine_speed: ArrayLike) -> Array:
    r"""Power at the wheels.

    .. math:: P_w = \eta P - (d_0 + d_1 \omega) \omega

    Parameters
    ----------
    losses : Losses
        [-, N m, N m s]
    engine_power : array_like
        [W]
    engine_speed : array_like
        >= 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to; negative where the power does not cover the drag. [W]

    Raises
    ------
    DomainError
        If an argument is not finite, or a speed is negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(arriving_power(Losses(np.float64(0.9), np.float64(2.0), np.float64(0.0)), 10e3, 100.0))
    8800.0
    """
    power, speed = finite("engine_power", engine_power), not_negative("engine_speed", engine_speed)
    return np.asarray(losses.efficiency * power - (losses.constant + losses.linear * speed) * speed)


def power_for(losses: Losses, wheel_power: ArrayLike, engine_speed: ArrayLike) -> Array:
    r"""Power at the crankshaft for a power at the wheels: `arriving_power` turned round.

    .. math:: P = \frac{P_w + (d_0 + d_1 \omega) \omega}{\eta}

    Parameters
    ----------
    losses : Losses
        [-, N m, N m s]
    wheel_power : array_like
        [W]
    engine_speed : array_like
        >= 0. [rad/s]

    Returns
    -------
    ndarray
        In the shape the arguments broadcast to. [W]

    Raises
    ------
    DomainError
        If an argument is not finite, or a speed is negative.

    References
    ----------
    By definition.

    Examples
    --------
    >>> float(power_for(Losses(np.float64(0.9), np.float64(2.0), np.float64(0.0)), 8800.0, 100.0))
    10000.0
    """
    power, speed = finite("wheel_power", wheel_power), not_negative("engine_speed", engine_speed)
    return np.asarray((power + (losses.constant + losses.linear * speed) * speed) / losses.efficiency)
