"""The one way in which the mechanics refuse a value."""

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
    array = np.asarray(value, dtype=np.float64)
    if not np.isfinite(array).all():
        raise DomainError(argument, "finite")
    return array


def positive(argument: str, value: ArrayLike) -> Array:
    """`value` as float64, refused unless every element is finite and above zero."""
    array = np.asarray(value, dtype=np.float64)
    if not ((array > 0.0) & (array < np.inf)).all():
        raise DomainError(argument, "finite and above zero")
    return array


def not_negative(argument: str, value: ArrayLike) -> Array:
    """`value` as float64, refused unless every element is finite and zero or above."""
    array = np.asarray(value, dtype=np.float64)
    if not ((array >= 0.0) & (array < np.inf)).all():
        raise DomainError(argument, "finite and zero or above")
    return array


def within(argument: str, value: ArrayLike, lower: float, upper: float) -> Array:
    """`value` as float64, refused unless every element lies in the closed range."""
    array = np.asarray(value, dtype=np.float64)
    if not ((array >= lower) & (array <= upper)).all():
        raise DomainError(argument, f"from {lower:g} to {upper:g}")
    return array
