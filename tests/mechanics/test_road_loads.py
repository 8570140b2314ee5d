"""Resistances, and the top speed they leave."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import engines, road_loads
from gearing_api.mechanics.domain import Array, DomainError

GEARS = np.array([40.0, 22.0, 14.0, 10.0, 8.0])
RADIUS = 0.4
REDLINE = 480.0
LOAD = (400.0, 0.0, 0.9)

ENGINES = {
    "torque lines": engines.torque_curve([80.0, 200.0, 350.0, 500.0], [180.0, 240.0, 260.0, 210.0]),
    "power lines": engines.power_curve([80.0, 200.0, 350.0, 500.0], [14e3, 48e3, 91e3, 105e3]),
    "electric": engines.electric_curve(110e3, 300.0, 900.0),
    "peaks": engines.curve_from_peaks(110e3, 450.0, 280.0, 260.0, 80.0, 182.0, 2.5, 9.0),
}

curves = st.sampled_from(list(ENGINES.values()))
slopes = st.floats(-500.0, 12000.0)


def top_speed(engine: engines.FullLoad, constant: float, **changes: float) -> Array:
    arguments = {"rolling_radius": RADIUS, "driveline_efficiency": 0.9, "redline_speed": REDLINE,
                 "linear": LOAD[1], "quadratic": LOAD[2]} | changes  # fmt: skip
    return road_loads.top_speed(engine, GEARS, constant=constant, **arguments)


def searched_top_speed(engine: engines.FullLoad, constant: float) -> Array:
    """The same by looking everywhere: the last of very many engine speeds that holds."""
    speeds = np.linspace(80.0, REDLINE, 40001)
    road = speeds[:, None] * RADIUS / GEARS
    power = 0.9 * engines.full_load_power(engine, speeds)[:, None]
    needed = road_loads.road_power(road_loads.road_load(road, constant, *LOAD[1:]), road)
    return np.where(power >= needed, road, 0.0).max(axis=0)


@pytest.mark.parametrize("engine", ENGINES.values(), ids=ENGINES)
@pytest.mark.parametrize("constant", [-200.0, 400.0, 1500.0, 4000.0, 9000.0, 30000.0])
def test_top_speed_is_the_last_that_holds(engine: engines.FullLoad, constant: float) -> None:
    found = top_speed(engine, constant)
    step = 2.0 * (REDLINE - 80.0) / 40000 * RADIUS / GEARS
    lowest = 80.0 * RADIUS / GEARS
    searched = searched_top_speed(engine, constant)
    compared = (found > lowest) | (searched > lowest)
    assert np.abs(found - searched)[compared] == pytest.approx(0.0, abs=step.max())


@given(engine=curves, constant=slopes)
def test_power_balances_load_below_the_redline(engine: engines.FullLoad, constant: float) -> None:
    speed = top_speed(engine, constant)
    turning = speed * GEARS / RADIUS
    inner = (speed > 0.0) & (turning < min(REDLINE, float(engine.ends.max())) * (1.0 - 1e-9))
    power = 0.9 * engines.full_load_power(engine, turning)
    needed = road_loads.road_power(road_loads.road_load(speed, constant, *LOAD[1:]), speed)
    assert power[inner] == pytest.approx(needed[inner], rel=1e-9, abs=1e-3)


@given(engine=curves, constant=slopes, more=st.floats(0.0, 3000.0))
def test_more_load_never_raises_the_top_speed(engine: engines.FullLoad, constant: float, more: float) -> None:
    lighter, heavier = top_speed(engine, constant), top_speed(engine, constant + more)
    assert (heavier <= lighter * (1.0 + 1e-9)).all()


@given(engine=curves, constant=slopes, more=st.floats(1.0, 2.0))
def test_a_higher_redline_never_lowers_the_top_speed(
    engine: engines.FullLoad, constant: float, more: float
) -> None:
    higher = top_speed(engine, constant, redline_speed=more * REDLINE)
    assert (higher >= top_speed(engine, constant) * (1.0 - 1e-9)).all()


def test_a_hump_between_two_points_is_seen() -> None:
    """Both points fall short of the load, the line between them does not."""
    engine = engines.power_curve([100.0, 500.0], [10.7e3, 149.9e3])
    force, drag = 100.0, 8e-4
    short = engines.full_load_power(engine, [100.0, 500.0]) - [10.8e3, 150e3]
    assert (short < 0.0).all()
    found = float(road_loads.top_speed(engine, 1.0, 1.0, 1.0, 500.0, force, 0.0, drag))
    assert 100.0 < found < 500.0
    assert engines.full_load_power(engine, found) == pytest.approx(force * found + drag * found**3)


def test_the_redline_ends_every_gear() -> None:
    assert top_speed(ENGINES["torque lines"], -50e3) == pytest.approx(REDLINE * RADIUS / GEARS)


def test_the_curve_ends_every_gear() -> None:
    speed = top_speed(ENGINES["torque lines"], -50e3, redline_speed=900.0)
    assert speed == pytest.approx(500.0 * RADIUS / GEARS)


def test_a_redline_below_the_curve_leaves_nothing() -> None:
    assert top_speed(ENGINES["torque lines"], 400.0, redline_speed=79.0).tolist() == [0.0] * 5


def test_too_steep_for_every_gear_is_no_speed() -> None:
    assert top_speed(ENGINES["power lines"], 1e6).tolist() == [0.0] * 5


def test_a_column_of_builds_equals_each_alone() -> None:
    torques = np.array([[180.0, 240.0, 260.0, 210.0], [90.0, 150.0, 160.0, 140.0]])
    speeds = [80.0, 200.0, 350.0, 500.0]
    constants = np.array([300.0, 900.0])
    engine = engines.torque_curve([speeds], torques[:, None, :])
    together = road_loads.top_speed(engine, GEARS, RADIUS, 0.9, REDLINE, constants[:, None], 1.0, 0.8)
    alone = [
        road_loads.top_speed(engines.torque_curve(speeds, row), GEARS, RADIUS, 0.9, REDLINE, a, 1.0, 0.8)
        for row, a in zip(torques, constants, strict=True)
    ]
    assert together.shape == (2, 5)
    assert together.tolist() == np.array(alone).tolist()


def test_road_load_is_the_sum_of_its_parts() -> None:
    mass, f, grade, area, density, speed = 2200.0, 0.015, 0.06, 1.4, 1.1, 25.0
    parts = (
        road_loads.rolling_force(mass, f, grade)
        + road_loads.grade_force(mass, grade)
        + 0.5 * density * area * speed * speed
    )
    constant = road_loads.rolling_force(mass, f, grade) + road_loads.grade_force(mass, grade)
    whole = road_loads.road_load(speed, constant, 0.0, road_loads.drag_factor(area, density))
    assert whole == pytest.approx(parts)


@given(grade=st.floats(-2.0, 2.0), mass=st.floats(200.0, 60000.0))
def test_uphill_and_downhill_are_opposite(grade: float, mass: float) -> None:
    assert road_loads.grade_force(mass, -grade) == -road_loads.grade_force(mass, grade)


@pytest.mark.parametrize(
    ("argument", "value"),
    [("rolling_radius", 0.0), ("redline_speed", -1.0), ("driveline_efficiency", 1.1), ("quadratic", -1.0)],
)
def test_top_speed_refuses_nonsense(argument: str, value: float) -> None:
    with pytest.raises(DomainError, match=argument):
        top_speed(ENGINES["peaks"], 400.0, **{argument: value})


@pytest.mark.parametrize(("out", "possible"), [(0.0, True), (0.99, True), (1.04, False), (2.0, False)])
@pytest.mark.parametrize("scale", [1e-4, 1.0, 1e4])
def test_a_covariance_may_be_out_by_a_part_in_a_million(out: float, possible: bool, scale: float) -> None:
    """Two coefficients that vary wholly together, by one part more than wholly."""
    both = scale * (1.0 + out * 1e-6)
    assert road_loads.is_covariance([scale, both, 0.0, scale, 0.0, scale]) == possible


@pytest.mark.parametrize(("part", "own"), [(0.97, False), (1.05, True), (4.0, True)])
def test_what_rounding_may_have_made_is_no_variance_of_its_own(part: float, own: bool) -> None:
    """The second varies by itself where more than a millionth of its variance is left by the first."""
    left = part * 1e-6
    root = road_loads.covariance_root([1.0, np.sqrt(1.0 - left), 0.0, 1.0, 0.0, 1.0])
    assert root[2] == pytest.approx(np.sqrt(left) if own else 0.0, rel=1e-6)


def test_coefficients_may_be_exact() -> None:
    """One that does not vary passes nothing on to the others."""
    assert road_loads.is_covariance([[0.0] * 6, [4.0, 0.0, 0.0, 0.0, 0.0, 0.0]]).all()
    assert not road_loads.is_covariance([0.0, 1.0, 0.0, 1.0, 0.0, 1.0])
    assert road_loads.covariance_root([0.0, 1.0, 0.0, 1.0, 0.0, 1.0]).tolist() == [
        0.0,
        0.0,
        1.0,
        0.0,
        0.0,
        1.0,
    ]


@pytest.mark.parametrize("scale", [1e-6, 1e-2, 1.0, 1e3])
def test_the_root_of_a_covariance_goes_with_its_size(scale: float) -> None:
    covariance = np.array([20.0, -1.0, 0.01, 0.09, -0.001, 2e-5])
    root = road_loads.covariance_root(covariance)
    assert road_loads.covariance_root(scale * scale * covariance) == pytest.approx(scale * root)
    assert root[0] * root[1] == pytest.approx(-1.0)
    assert root[1] * root[3] + root[2] * root[4] == pytest.approx(-0.001)


@pytest.mark.parametrize("scale", [1e-3, 1.0, 1e3])
def test_the_last_that_holds_goes_with_no_unit(scale: float) -> None:
    """4 - x and (x - 1)(4 - x), by hand; nothing where all lies below."""
    ends = (np.array([0.0]), np.array([9.0]))

    def last(*coefficients: float) -> float:
        return float(road_loads.last_not_negative([np.array([scale * part]) for part in coefficients], *ends))

    assert last(4.0, -1.0, 0.0, 0.0) == pytest.approx(4.0)
    assert last(-4.0, 5.0, -1.0, 0.0) == pytest.approx(4.0)
    assert last(-4.0, 3.0, -1.0, 0.0) == 0.0
    assert last(-9.0, 1.0, 0.0, 0.0) == 9.0, "at its very end"
