"""How formulas refuse their arguments: both ends belong to a range, and one number is checked as an array is."""

import math
import sys
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pytest

from gearing_api.mechanics import domain
from gearing_api.mechanics.domain import DomainError

LARGEST, SMALLEST = sys.float_info.max, math.ulp(0.0)
CHECKS: list[tuple[Callable[[str, Any], Any], list[float], list[float], str]] = [
    (domain.finite, [-LARGEST, 0.0, LARGEST], [], "finite"),
    (domain.positive, [SMALLEST, 1.0, LARGEST], [-1.0, -SMALLEST, -0.0, 0.0], "finite and above zero"),
    (domain.not_negative, [0.0, SMALLEST, LARGEST], [-1.0, -SMALLEST], "finite and zero or above"),
    (
        partial(domain.within, lower=0.25, upper=0.5),
        [0.25, 0.3, 0.5],
        [math.nextafter(0.25, 0.0), math.nextafter(0.5, 1.0)],
        "from 0.25 to 0.5",
    ),
]
NEVER = [math.nan, math.inf, -math.inf]
SHAPES = [np.float64, float, lambda value: [value, value], lambda value: np.array([[value]])]


@pytest.mark.parametrize(("check", "inside", "outside", "accepted"), CHECKS, ids=[each[3] for each in CHECKS])
def test_both_ends_are_accepted_and_nothing_beyond(
    check: Callable[[str, Any], Any], inside: list[float], outside: list[float], accepted: str
) -> None:
    for shape in SHAPES:
        for value in inside:
            np.testing.assert_array_equal(check("load", shape(value)), shape(value))
        for value in [*outside, *NEVER]:
            with pytest.raises(DomainError) as refused:
                check("load", shape(value))
            assert str(refused.value) == f"load must be {accepted}"


@pytest.mark.parametrize("wrong", [-1.0, math.nan, math.inf])
def test_one_wrong_element_is_enough(wrong: float) -> None:
    for place in range(3):
        loads = np.ones(3)
        loads[place] = wrong
        with pytest.raises(DomainError):
            domain.not_negative("load", loads)
    domain.not_negative("load", np.empty((0, 3)))


def test_a_condition_must_hold_everywhere() -> None:
    domain.require("lift", np.array([True, True]), "less than the wheelbase")
    for condition in (np.array([True, False]), np.False_):
        with pytest.raises(DomainError, match="lift must be less than the wheelbase"):
            domain.require("lift", condition, "less than the wheelbase")


@pytest.mark.parametrize("shape", [(4,), (3, 4), (2, 3, 4)])
def test_items_are_taken_along_the_last_axis(shape: tuple[int, ...]) -> None:
    values = np.arange(math.prod(shape), dtype=np.float64).reshape(shape)
    place = np.argsort(-values, axis=-1)[..., :2]
    np.testing.assert_array_equal(domain.along(values, place), np.take_along_axis(values, place, axis=-1))


def test_a_value_computed_to_lie_on_a_limit_is_not_beyond_it() -> None:
    """3 times 0.1 is a last digit above 0.3; a millionth more is beyond."""
    assert 3 * 0.1 > 0.3
    assert not domain.beyond(3 * 0.1, 0.3)
    assert domain.beyond(np.array([0.3 * (1 + 1e-6), 0.3, -0.3]), 0.3).tolist() == [True, False, False]
    assert not domain.beyond(0.0, 0.0)
