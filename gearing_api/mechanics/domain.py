"""The one way in which the mechanics refuse a value."""

import math
import sys
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


class DomainError(ValueError):
    """An argument lies where the formula does not hold."""

    def __init__(self, argument: str, accepted: str) -> None:
        super().__init__(f"{argument} must be {accepted}")
        self.argument = argument
        self.accepted = accepted


def finite(argument: str, value: ArrayLike) -> Array:
    """`value` as float64, refused unless every element is finite."""
    return _between(argument, value, -_LARGEST, _LARGEST, "finite")


def positive(argument: str, value: ArrayLike) -> Array:
    """`value` as float64, refused unless every element is finite and above zero."""
    return _between(argument, value, _SMALLEST, _LARGEST, "finite and above zero")


def not_negative(argument: str, value: ArrayLike) -> Array:
    """`value` as float64, refused unless every element is finite and zero or above."""
    return _between(argument, value, 0.0, _LARGEST, "finite and zero or above")


def within(argument: str, value: ArrayLike, lower: float, upper: float) -> Array:
    """`value` as float64, refused unless every element lies in the closed range."""
    return _between(argument, value, lower, upper, None)


def require(argument: str, condition: NDArray[np.bool_] | np.bool_, accepted: str) -> None:
    """Refuse an argument unless the condition holds for every element."""
    if not (condition.all() if isinstance(condition, np.ndarray) else condition):
        raise DomainError(argument, accepted)


_LARGEST = sys.float_info.max
_SMALLEST = math.ulp(0.0)


def _between(argument: str, value: ArrayLike, lower: float, upper: float, accepted: str | None) -> Array:
    """The one check. NaN fails every comparison, also as the least of an array; infinity is too large.

    A lone number is compared as a Python float and goes on as a numpy scalar, which takes a fifth of the
    time of arrays without axes: one build is most of what is asked.
    """
    array: Any = np.float64(value) if isinstance(value, float) else np.asarray(value, dtype=np.float64)[()]
    if array.ndim == 0:
        fits = lower <= float(array) <= upper
    else:
        flat = array.ravel("K")  # least and greatest by their places cost a third of what they cost as such
        fits = not flat.size or bool(lower <= flat[flat.argmin()] and flat[flat.argmax()] <= upper)
    if not fits:
        raise DomainError(argument, accepted or f"from {lower:g} to {upper:g}")
    checked: Array = array
    return checked
