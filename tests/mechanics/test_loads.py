"""What holds of the loads of every vehicle, also where a slope loads an axle faster than it pulls."""

import numpy as np
import pytest

from gearing_api.mechanics import loads

SQUARE = loads.balance(1.0, 0.5, 2.0, 1.0)
"""The mass centre stands half a wheelbase high over the middle: a slope moves half of its rise between the axles."""


@pytest.mark.parametrize(("adhesion", "grade"), [(1.0, 1.0), (1.9, 19.0), (2.0, np.inf), (2.5, np.inf)])
def test_no_grade_is_too_steep_where_the_slope_loads_the_driven_axle_as_fast_as_it_pulls(
    adhesion: float, grade: float
) -> None:
    """Moments about the front axle: with the rear axle driving, grade (1 - adhesion / 2) = adhesion / 2."""
    assert loads.grip_grade(SQUARE, 0.0, adhesion, 0.0) == pytest.approx(grade, rel=1e-9)


def test_one_grade_and_many_give_the_same() -> None:
    grades = [0.0, 0.3, 1.0]
    many = loads.greatest_axle_loads(SQUARE, grades)
    assert many.front.tolist() == [loads.greatest_axle_loads(SQUARE, grade).front for grade in grades]
    assert many.front[2] > many.front[1] > many.front[0]
