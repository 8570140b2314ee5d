"""Shapes of what varies: values at uniform draws, from the points below which 5 and 95 % of them lie."""

from collections.abc import Callable

import numpy as np

from gearing_api.mechanics.domain import Array

LOW, HIGH = 0.05, 0.95
"""The draws that are the ends of a range. [-]"""

Shape = Callable[[Array], Array]
"""From uniform draws between 0 and 1 to values."""


def uniform(low: float, high: float) -> Shape:
    """Every value between two bounds as likely as any other."""
    width = (high - low) / (HIGH - LOW)
    return lambda draws: low + (draws - LOW) * width


def normal(low: float, high: float) -> Shape:
    """The bell curve."""
    middle, deviation = 0.5 * (low + high), (high - low) / (2.0 * _Z_HIGH)
    return lambda draws: middle + deviation * inverse_normal(draws)


def triangular(low: float, mode: float, high: float) -> Shape:
    """Rising to the most frequent value and falling from there, both on straight lines.

    The bounds a and b follow from (low - a)^2 = 0.05 (b - a) (mode - a), and likewise at the other end.
    """
    first, last = low, high
    for _ in range(_ROUNDS):
        first = low - float(np.sqrt(LOW * (last - first) * (mode - first)))
        last = high + float(np.sqrt(LOW * (last - first) * (last - mode)))
    share = (mode - first) / (last - first)

    def values(draws: Array) -> Array:
        rising = first + np.sqrt(draws * ((last - first) * (mode - first)))
        falling = last - np.sqrt((1.0 - draws) * ((last - first) * (last - mode)))
        return np.where(draws < share, rising, falling)

    return values


_ROUNDS = 200


def inverse_normal(probability: Array) -> Array:
    """Value below which that share of the standard normal distribution lies, to about 1 in 10^16.

    References
    ----------
    .. [1] Wichura, M. J., Algorithm AS 241: the percentage points of the normal distribution, Applied Statistics
           37 (1988): PPND16; its third fit, for shares below 1e-11, is left out.
    """
    centred = probability - 0.5
    near = np.abs(centred) <= 0.425
    inside = 0.180625 - centred * centred
    tail = np.sqrt(-np.log(np.minimum(probability, 1.0 - probability))) - 1.6
    outer = np.copysign(_fraction(_C, _D, tail), centred)
    return np.where(near, centred * _fraction(_A, _B, np.where(near, inside, 0.0)), outer)


def _fraction(above: tuple[float, ...], below: tuple[float, ...], x: Array) -> Array:
    return _polynomial(above, x) / _polynomial((1.0, *below), x)


def _polynomial(coefficients: tuple[float, ...], x: Array) -> Array:
    whole = np.full(np.shape(x), coefficients[-1])
    for coefficient in coefficients[-2::-1]:
        whole = whole * x + coefficient
    return whole


_A = (
    3.3871328727963666080, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
    4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3,
)  # fmt: skip
_B = (
    4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3, 2.1213794301586595867e4,
    3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3,
)  # fmt: skip
_C = (
    1.42343711074968357734, 4.63033784615654529590, 5.76949722146069140550, 3.64784832476320460504,
    1.27045825245236838258, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4,
)  # fmt: skip
_D = (
    2.05319162663775882187, 1.67638483018380384940, 6.89767334985100004550e-1, 1.48103976427480074590e-1,
    1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9,
)  # fmt: skip

_Z_HIGH = float(inverse_normal(np.asarray(HIGH)))
