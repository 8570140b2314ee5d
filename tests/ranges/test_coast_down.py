"""Road load from a coast-down: drawn by the covariance of its coefficients."""

from typing import Any

import numpy as np
import pytest

from gearing_api.formats.document import document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.ranges.draws import drawn
from gearing_api.vocabulary import InvalidBuild

MPH, POUND_FORCE = 0.44704, 4.4482216152605
GIVEN: dict[str, Any] = {"road_load": [73.47, 0.0, 0.04408]}
COVARIANCE = [26.96, 0.0, -0.01008, 0.0, 0.0, 4.811e-06]
"""In pounds force and miles per hour, as from-measurements gives it."""


@pytest.mark.parametrize("speed", [20.0, 45.0, 65.0])
def test_the_force_has_the_spread_of_the_covariance(speed: float) -> None:
    """Each coefficient is wide, and the force narrow, because they vary together."""
    build = read_build(GIVEN | {"road_load_covariance": COVARIANCE})
    a, b, c = drawn(build).number("road_load").T
    force = (a + (b + c * speed * MPH) * speed * MPH) / POUND_FORCE
    aa, _, ac, _, _, cc = COVARIANCE
    assert np.mean(force) == pytest.approx(73.47 + 0.04408 * speed**2, rel=2e-3)
    assert np.std(force) == pytest.approx(np.sqrt(aa + 2 * ac * speed**2 + cc * speed**4), rel=0.03)


def test_three_coefficients_vary_as_told() -> None:
    covariance = np.array([20.0, -1.0, 0.01, 0.09, -0.001, 2e-5])
    build = read_build({"road_load": [100, 0.5, 0.04], "road_load_covariance": covariance.tolist()})
    scale = POUND_FORCE / MPH ** np.arange(3)
    found = np.cov(drawn(build).number("road_load").T / scale[:, None])
    told = np.array([[20.0, -1.0, 0.01], [-1.0, 0.09, -0.001], [0.01, -0.001, 2e-5]])
    size = np.sqrt(np.outer(np.diag(told), np.diag(told)))
    np.testing.assert_allclose(found / size, told / size, atol=0.06)


def test_without_it_the_coefficients_are_exact() -> None:
    assert drawn(read_build(GIVEN)).number("road_load").ndim == 1


def test_one_that_no_coefficients_can_have_is_refused() -> None:
    cruise = QUESTIONS["cruise"]
    raw = dict(cruise.example) | GIVEN | {"road_load_covariance": [1, 0, 2, 0, 0, 1]}
    with pytest.raises(InvalidBuild, match="road_load_covariance is none that three coefficients can have"):
        ask(cruise, read_build(raw))


def test_nobody_is_told_to_do_what_was_done() -> None:
    cruise = QUESTIONS["cruise"]
    build = read_build(dict(cruise.example) | GIVEN | {"road_load_covariance": COVARIANCE})
    drivers = document(cruise, build, ask(cruise, build), bands=True)["drivers"]["power_needed"]
    (of_road_load,) = [driver for driver in drivers if driver["field"] == "road_load"]
    assert "narrower" not in of_road_load
