"""Published vehicle examples that need several functions in a row. The docstring is the citation."""

import numpy as np
import pytest

from gearing_api.mechanics import engines, gearing, loads, measurements, road_loads, traction

RPM = 2.0 * np.pi / 60.0
KMH = 1.0 / 3.6
LB = 0.45359237
LBF = LB * road_loads.STANDARD_GRAVITY
FOOT = 0.3048
INCH = 0.0254
SLUG = LBF / FOOT

MARGIN = 0.9


def test_car_on_a_grade_at_full_throttle() -> None:
    """Mannering, Washburn and Kilareski, Principles of Highway Engineering, ch. 2, problem 2.6 (A25).

    Computed from its formulas. The book takes weight times grade; the exact tangent is 9.16 %.
    """
    radius, ratio, mass = 14.0 * INCH, 3.2, 3200.0 * LB
    speed = gearing.road_speed(3600.0 * RPM * (1.0 - 0.035), ratio, radius)
    assert speed / FOOT == pytest.approx(132.6, rel=3e-3)
    force = traction.tractive_force(traction.wheel_torque(210.0 * LBF * FOOT, ratio, 0.93), radius)
    assert force / LBF == pytest.approx(535.7, rel=3e-3)
    factor = road_loads.drag_factor(0.35 * 25.0 * FOOT**2, 0.002378 * SLUG / FOOT**3)
    drag = road_loads.road_load(speed, 0.0, 0.0, factor)
    assert drag / LBF == pytest.approx(183.0, rel=3e-3)
    resistance = 0.01 * (1.0 + speed / (147.0 * FOOT))
    rolling = road_loads.rolling_force(mass, resistance)
    assert rolling / LBF == pytest.approx(60.9, rel=3e-3)
    assert (force - drag - rolling) / (3200.0 * LBF) == pytest.approx(0.0912, rel=3e-3)
    assert traction.climbable_grade(force - drag, mass, resistance) == pytest.approx(0.0916, rel=3e-3)


def test_loads_under_the_axles_of_an_accelerating_car() -> None:
    """Meriam and Kraige, Dynamics, problem 6/1, inputs as reproduced in a textbook companion (A27)."""
    mass, grade = 3220.0 * LB, 0.10
    acceleration = 44.0**2 / (2.0 * 200.0)
    assert acceleration == pytest.approx(4.84, rel=2e-3)
    force = road_loads.grade_force(mass, grade) + mass * acceleration * FOOT
    assert force / LBF == pytest.approx(804.0, rel=2e-3)
    at = loads.balance(mass, 0.5, 120.0 * INCH, 24.0 * INCH)
    front, rear = loads.axle_loads(at, grade, acceleration * FOOT)
    assert front / LBF == pytest.approx(1441.0, rel=2e-3)
    assert rear / LBF == pytest.approx(1763.0, rel=2e-3)
    assert force / rear == pytest.approx(0.456, rel=2e-3)


@pytest.mark.parametrize(
    ("rpm_per_kmh", "load", "curve", "printed"),
    [
        pytest.param(
            [107.52, 56.64, 37.08, 26.87, 20.96, 17.95],
            (200.0, 0.35, 0.032),
            {
                3500.0: 108.12, 3750.0: 109.563, 4000.0: 110.0, 4200.0: 107.76,
                4400.0: 104.13, 4600.0: 97.31, 4800.0: 75.4, 5000.0: 54.98,
            },
            210.2,
            id="vehicle 1 (A48)",
        ),
        pytest.param(
            [139.66, 70.32, 43.1, 32.59, 25.26, 21.33],
            (293.3, 0.0, 0.09172),
            {
                1000.0: 26.2, 1500.0: 53.4, 2000.0: 71.2, 2500.0: 89.0,
                3000.0: 97.4, 3500.0: 99.7, 4000.0: 75.4,
            },
            144.0,
            id="vehicle 7 (A49)",
        ),
    ],
)  # fmt: skip
def test_top_speed_of_the_validation_set(
    rpm_per_kmh: list[float], load: tuple[float, ...], curve: dict[float, float], printed: float
) -> None:
    """UN GTR 15 gear-shift validation set, European Commission JRC: official top speed and its gear.

    Power less 10 %, as the regulation takes it. The printed speeds are rounded down to 0.1 km/h.
    """
    engine = engines.power_curve(np.array(list(curve)) * RPM, np.array(list(curve.values())) * 1e3)
    ratio_per_radius = np.array(rpm_per_kmh) * RPM / KMH
    a, b, c = load
    speeds = road_loads.top_speed(
        engine, ratio_per_radius, 1.0, MARGIN, max(curve) * RPM, a, b / KMH, c / KMH**2
    )
    assert speeds.max() / KMH == pytest.approx(printed, abs=0.1)
    assert speeds.argmax() + 1 == 6


def test_road_load_of_a_coasting_truck() -> None:
    """US EPA Test Car List: A 41.5, B 0.5428, C 0.03593 (lbf, mph), 2219.2 kg with its turning parts.

    Times from 65 to 55, 60 to 50 .. 25 to 15 mph and the fit with two terms, 40 CFR 1066.310: computed. Two terms
    make C 18 % larger than three, and the force at 50 mph 0.7 % smaller.
    """
    times = [11.00, 12.43, 14.13, 16.15, 18.56, 21.43, 24.85, 28.87, 33.52]
    mph = 1.609344 * KMH
    middle, force = [], []
    for upper, time in zip(range(65, 20, -5), times, strict=True):
        speed, slowing = measurements.interval_forces(2219.2, [upper * mph, (upper - 10) * mph], [0.0, time])
        middle.append(speed.item())
        force.append(slowing.item())
    line = measurements.fit_line(np.square(middle), force)
    assert line.intercept / LBF == pytest.approx(51.23, rel=5e-3)
    assert line.slope / LBF * mph**2 == pytest.approx(0.04244, rel=5e-3)
    at_50 = (line.intercept + line.slope * (50 * mph) ** 2) / LBF
    assert at_50 / (41.5 + 0.5428 * 50 + 0.03593 * 50**2) - 1.0 == pytest.approx(-0.007, abs=5e-4)
