"""The engine of draws against published Monte-Carlo and sensitivity examples: its 512 draws, shapes, ends and shares.

Sources by key: GUM is JCGM 100:2008 with its annex H, S1 is JCGM 101:2008 clause 9, S2 is JCGM 102, TN is NIST
Technical Note 1900, NPL is report DEM-ES-011; their values second hand, from open test suites of two national
laboratories. SA are the test functions of sensitivity analysis (after Saltelli 2002, 2010), as in two open libraries.
What is printed holds for a great many draws; with 512 an end may be out by 3 % of the width of its range.
"""

import math

import numpy as np
import pytest

from gearing_api.mechanics.domain import Array
from gearing_api.ranges.draws import COUNT, unit_draws
from gearing_api.ranges.drivers import ranked, shares_of
from gearing_api.ranges.outcomes import point
from gearing_api.ranges.shapes import inverse_normal, normal, triangular, uniform

NAMES = ("tyre", "rolling_factor", "road_load", "peak_torque", "peak_power", "driveline_efficiency",
         "rolling_resistance", "inner_steel", "stub_steel", "mass_centre_height")  # fmt: skip
Z = 1.6448536269514722
SLACK = 0.03


def gauss(place: int, mean: float, deviation: float) -> Array:
    return normal(mean - Z * deviation, mean + Z * deviation)(unit_draws(NAMES[place]))


def even(place: int, low: float, high: float) -> Array:
    span = high - low
    return uniform(low + 0.05 * span, high - 0.05 * span)(unit_draws(NAMES[place]))


def t_draws(place: int, mean: float, deviation: float, freedom: int) -> Array:
    """Student's t of that standard deviation, by its expansion about the normal (Abramowitz and Stegun 26.7.5)."""
    z = gauss(place, 0.0, 1.0)
    tail = (z * z * z + z) / (4.0 * freedom) + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / (96.0 * freedom**2)
    return mean + deviation * math.sqrt((freedom - 2.0) / freedom) * (z + tail)


def holds(column: Array, low: float, high: float, share: float = 0.95) -> None:
    """The interval that holds that share lies where it is printed."""
    off = SLACK * (high - low)
    tail = 0.5 * (1.0 - share)
    assert point(column, tail) == pytest.approx(low, abs=off)
    assert point(column, 1.0 - tail) == pytest.approx(high, abs=off)


def test_a1_sum_of_four_normals() -> None:
    """S1 table 2: mean 0, u 2.0, 95 % from -3.92 to 3.92."""
    total = sum(gauss(place, 0.0, 1.0) for place in range(4))
    assert np.mean(total) == pytest.approx(0.0, abs=0.02)
    assert np.std(total) == pytest.approx(2.0, abs=0.02)
    holds(np.asarray(total), -3.92, 3.92)


def test_a2_sum_of_four_uniforms() -> None:
    """S1 table 3: u 2.0, 95 % from -3.88 to 3.88."""
    root = math.sqrt(3.0)
    total = sum(even(place, -root, root) for place in range(4))
    assert np.std(total) == pytest.approx(2.0, abs=0.02)
    holds(np.asarray(total), -3.88, 3.88)


def test_a3_calibration_of_a_mass() -> None:
    """S1 9.3: 1.234, u 0.0755, 95 % from 1.084 to 1.384; the first order would be 0.0539."""
    mass, extra = gauss(0, 1e5, 0.05), gauss(1, 1.234, 0.02)
    air, weight, reference = even(2, 1.1, 1.3), even(3, 7000.0, 9000.0), even(4, 7950.0, 8050.0)
    found = (mass + extra) * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / reference)) - 1e5
    assert np.mean(found) == pytest.approx(1.234, abs=0.002)
    assert np.std(found) == pytest.approx(0.0755, abs=0.002)
    holds(found, 1.084, 1.384)


def test_a4_end_gauge() -> None:
    """GUM H.1: 50 000 838 nm, u 32 to first order, 34 with the second order and by Monte Carlo."""
    standard = 50_000_623.0 + t_draws(0, 0.0, 25.0, 18)
    difference = 215.0 + t_draws(1, 0.0, 5.8, 24) + t_draws(2, 0.0, 3.9, 5) + t_draws(3, 0.0, 6.7, 8)
    alpha, d_alpha = even(4, 9.5e-6, 13.5e-6), even(5, -1e-6, 1e-6)
    cycle = 0.5 * np.sin(np.pi * (unit_draws(NAMES[7]) - 0.5))
    theta, d_theta = gauss(6, -0.1, 0.2) + cycle, even(8, -0.05, 0.05)
    length = (standard * (1.0 + (alpha - d_alpha) * (theta - d_theta)) + difference) / (1.0 + alpha * theta)
    assert np.mean(length) == pytest.approx(50_000_838.0, abs=1.0)
    assert np.std(length) == pytest.approx(34.0, abs=1.0)


def test_a5_logarithm_of_a_uniform() -> None:
    """NPL 9.2: mean -0.665, u 0.606; the first order would be -0.511 and 0.481. Exact 90 % by the logarithm."""
    found = np.log(even(0, 0.1, 1.1))
    assert np.mean(found) == pytest.approx(-0.665, abs=0.003)
    assert np.std(found) == pytest.approx(0.606, abs=0.003)
    holds(found, math.log(0.15), math.log(1.05), 0.9)


def test_a6_viscosity_is_skewed() -> None:
    """TN E3: 5.69 at the centre, mean 5.82, u 1.11, 95 % from 4.05 to 8.39: the centre is not the mean."""
    time, standard, density = gauss(0, 61.0, 6.1), gauss(1, 36.6, 5.49), gauss(2, 4.63, 0.0463)
    ball, measured, other = gauss(3, 2217.0, 0.5), gauss(4, 1180.0, 0.5), gauss(5, 810.0, 0.5)
    found = density * time * (ball - measured) / (standard * (ball - other))
    assert np.mean(found) == pytest.approx(5.82, abs=0.02)
    assert np.std(found) == pytest.approx(1.11, abs=0.03)
    holds(found, 4.05, 8.39)
    assert point(found, 0.5) == pytest.approx(5.69, abs=SLACK * 4.34)


def test_a7_correlated_voltage_and_current() -> None:
    """GUM H.2: R 127.732 u 0.071, X 219.847 u 0.295, Z 254.260 u 0.236 ohm; r -0.588, -0.485, 0.993."""
    volts = [5.007, 4.994, 5.005, 4.990, 4.999]
    amperes = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]
    phases = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]
    read = np.array([volts, amperes, phases])
    root = np.linalg.cholesky(np.cov(read) / 5.0)
    volt, ampere, phase = read.mean(axis=1)[:, None] + root @ np.array(
        [gauss(place, 0.0, 1.0) for place in range(3)]
    )
    whole = volt / ampere
    found = np.array([whole * np.cos(phase), whole * np.sin(phase), whole])
    assert found.mean(axis=1) == pytest.approx([127.732, 219.847, 254.260], abs=0.005)
    assert found.std(axis=1) == pytest.approx([0.071, 0.295, 0.236], rel=0.03)
    r = np.corrcoef(found)
    assert [r[0, 1], r[0, 2], r[1, 2]] == pytest.approx([-0.588, -0.485, 0.993], abs=0.03)


def test_a8_magnitude_and_phase() -> None:
    """S2 table 6: magnitude 0.0126 u 0.0066, phase u 1.744."""
    real, imaginary = gauss(0, 0.001, 0.01), gauss(1, 0.0, 0.01)
    size = np.hypot(real, imaginary)
    assert np.mean(size) == pytest.approx(0.0126, abs=0.0002)
    assert np.std(size) == pytest.approx(0.0066, abs=0.0002)
    assert np.std(np.arctan2(imaginary, real)) == pytest.approx(1.744, abs=0.03)


def test_a10_shapes() -> None:
    """Exact: u and half the 90 % band of uniform, triangular and normal of half-width 1."""
    draws = (np.arange(100_000) + 0.5) / 100_000
    flat, peaked, bell = (
        uniform(-0.9, 0.9),
        triangular(-0.683772234, 0.0, 0.683772234),
        normal(-1.645, 1.645),
    )
    assert flat(np.array([0.0, 0.05, 1.0])) == pytest.approx([-1.0, -0.9, 1.0], abs=1e-12)
    assert peaked(np.array([0.0, 0.05, 1.0])) == pytest.approx([-1.0, -0.684, 1.0], abs=1e-3)
    assert np.std(flat(draws)) == pytest.approx(0.5774, abs=1e-4)
    assert np.std(peaked(draws)) == pytest.approx(0.4082, abs=1e-4)
    assert np.std(bell(draws)) == pytest.approx(1.0, abs=1e-3)


def test_a11_inverse_normal() -> None:
    """Wichura, AS 241: of 0.25 and 0.001, and of 0.95."""
    found = inverse_normal(np.array([0.25, 0.001, 0.95]))
    assert found == pytest.approx([-0.6744897501960817, -3.090232306167814, 1.6448536269514722], abs=1e-14)


def ishigami() -> tuple[Array, list[Array]]:
    inputs = [even(place, -math.pi, math.pi) for place in range(3)]
    first, second, third = inputs
    return np.sin(first) + 7.0 * np.sin(second) ** 2 + 0.1 * third**4 * np.sin(first), inputs


def test_a13_shares_of_the_ishigami_function() -> None:
    """SA: first-order shares 0.3139, 0.4424 and 0; the second, which bends, is invisible to a correlation."""
    found, inputs = ishigami()
    assert np.var(found) == pytest.approx(13.84, rel=0.03)
    shares = [float(shares_of(found[None, :], [ranked(each)])[0, 0]) for each in inputs]
    assert shares == pytest.approx([0.3139, 0.4424, 0.0], abs=0.05)
    assert np.corrcoef(found, inputs[1])[0, 1] ** 2 < 0.01


def test_a14_shares_of_the_g_function() -> None:
    """SA: first-order shares 0.7162, 0.1791, 0.0237, 0.0072 and four times 0.0001."""
    weights = (0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0)
    inputs = [unit_draws(NAMES[place]) for place in range(8)]
    found = np.ones(COUNT)
    for weight, each in zip(weights, inputs, strict=True):
        found = found * (np.abs(4.0 * each - 2.0) + weight) / (1.0 + weight)
    shares = [float(shares_of(found[None, :], [ranked(each)])[0, 0]) for each in inputs]
    assert shares == pytest.approx([0.7162, 0.1791, 0.0237, 0.0072, *[0.0001] * 4], abs=0.05)


def test_a15_ten_factors_are_no_corner() -> None:
    """Exact by logarithms and computed: ten factors of +-10 % make 0.712 to 1.346, where the corner is 2.594."""
    found = np.prod([gauss(place, 1.0, 0.1 / Z) for place in range(10)], axis=0)
    holds(found, 0.712, 1.346, 0.9)


def test_a33_share_of_draws_below_a_limit() -> None:
    """JCGM 106, idea: 2.6 with u 0.35 lies below 3.0 in 0.873 of all cases."""
    assert np.mean(gauss(0, 2.6, 0.35) <= 3.0) == pytest.approx(0.873, abs=0.002)


def test_a34_exceeded_nine_times_in_ten() -> None:
    """Trade text on yields: with P50 of 100 and s of 10 %, P75 is 93.26 and P90 87.18."""
    column = gauss(0, 100.0, 10.0)
    assert point(column, 0.25) == pytest.approx(93.26, abs=0.1)
    assert point(column, 0.10) == pytest.approx(87.18, abs=0.1)
    exact = normal(100.0 - 10.0 * Z, 100.0 + 10.0 * Z)(np.array([0.25, 0.10, 0.01]))
    assert exact == pytest.approx([93.26, 87.18, 76.74], abs=0.01)
