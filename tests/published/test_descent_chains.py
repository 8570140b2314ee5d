"""Worked cases of load, slope and downhill that need several functions: the docstring is the citation.

Vehicle V: 2500 kg, drag area 1.4 m2, air 1.225 kg/m3, rolling resistance 0.015 (0.02 in low range), a petrol engine
of 3.6 L that idles at 700 rpm, efficiency 0.85 in high and 0.80 in low range. Computed where no source is named: the
formulas are published, the numbers were worked out apart from this project.
"""

import numpy as np
import pytest

from gearing_api.mechanics import brakes, engine_braking, loads, road_loads
from gearing_api.mechanics.converters import generic_capacity
from gearing_api.mechanics.engine_braking import Drag, drag_torque, motoring_drag

RPM, G, KMH = np.pi / 30.0, 9.80665, 1.0 / 3.6
MASS, DRAG_FACTOR = 2500.0, 0.5 * 1.225 * 1.4
ENGINE = motoring_drag(3.6e-3)


def test_a1_barnes_moss_at_3000_rpm() -> None:
    """Barnes-Moss correlation (Heywood, ch. 13), second hand: 1.870 bar, 14.88 N m per litre."""
    torque = drag_torque(motoring_drag(1e-3), 3000 * RPM)
    assert torque == pytest.approx(14.88, rel=1e-3)
    assert torque * 4 * np.pi / 1e-3 / 1e5 == pytest.approx(1.870, rel=1e-3)


DRAG_CURVES = {
    "diesel 3.0 L, European Commission heavy-duty CO2 declaration tool": (
        3.0,
        {800: 22.52, 1506: 27.85, 1974: 33.17, 2468: 38.84, 3147: 51.41, 3987: 65.72},
    ),
    "diesel 6.871 L, European Commission heavy-duty CO2 declaration tool": (
        6.871,
        {600: 35, 1000: 49, 1600: 77, 2000: 88, 2600: 116},
    ),
    "petrol 2.0 L, US EPA benchmark, second hand": (
        2.0,
        {1400: 20.65, 3850: 28.76, 4448: 34.96, 6500: 42.71},
    ),
}
OUTSIDE = {(6.871, 600), (2.0, 6500)}
"""Points that the band does not hold: a large diesel at idle, a small petrol engine near its limit."""


@pytest.mark.parametrize(
    ("litres", "rpm", "torque"),
    [
        pytest.param(litres, rpm, torque, id=f"{litres} L at {rpm} rpm")
        for litres, curve in DRAG_CURVES.values()
        for rpm, torque in curve.items()
    ],
)
def test_published_drag_curves_lie_in_the_band(litres: float, rpm: float, torque: float) -> None:
    """A4, A5, A42 among them: three published curves of whole engines against the estimate and its band."""
    share = torque / float(drag_torque(motoring_drag(litres * 1e-3), rpm * RPM))
    low, high = engine_braking.DRAG_BAND
    assert (low <= share <= high) == ((litres, rpm) not in OUTSIDE)


def test_a4_a5_a42_pressures_of_the_curves() -> None:
    """The same tools: 1.627 bar (estimate 1.645), 1.408 bar, and 1.807 bar (estimate 2.289)."""

    def pressure(torque: float, litres: float) -> float:
        return torque * 4 * np.pi / (litres * 1e-3) / 1e5

    def estimated(rpm: float) -> float:
        return pressure(float(drag_torque(motoring_drag(1e-3), rpm * RPM)), 1.0)

    assert pressure(38.84, 3.0) == pytest.approx(1.627, rel=2e-3)
    assert estimated(2468) == pytest.approx(1.645, rel=2e-3)
    assert pressure(77.0, 6.871) == pytest.approx(1.408, rel=2e-3)
    assert pressure(28.76, 2.0) == pytest.approx(1.807, rel=2e-3)
    assert estimated(3850) == pytest.approx(2.289, rel=2e-3)


def settles(
    grade: float, gear: float, axle: float, radius: float, *, low: bool = False
) -> tuple[float, float]:
    """Speed and engine speed at which V settles. [km/h, rpm]"""
    overall = gear * axle * (2.72 if low else 1.0)
    rolling, efficiency = (0.02, 0.80) if low else (0.015, 0.85)
    constant = road_loads.rolling_force(MASS, rolling, grade) - road_loads.grade_force(MASS, grade)
    speed = engine_braking.settling_speed(ENGINE, overall, efficiency, radius, constant, 0.0, DRAG_FACTOR)
    return float(speed) / KMH, float(speed) * overall / radius / RPM


@pytest.mark.parametrize(
    ("found", "speed", "engine_speed"),
    [
        pytest.param(settles(0.10, 1.72, 3.73, 0.361), 91.3, 4303, id="A7"),
        pytest.param(settles(0.10, 1.72, 3.73, 0.405), 103.3, 4339, id="A8a"),
        pytest.param(settles(0.10, 1.72, 4.56, 0.405), 82.1, 4219, id="A8b"),
        pytest.param(settles(0.25, 1.72, 4.10, 0.405, low=True), 42.0, 5281, id="A9 3rd"),
        pytest.param(settles(0.35, 2.61, 4.10, 0.405, low=True), 26.1, 4969, id="A9 2nd"),
        pytest.param(settles(0.35, 4.46, 4.10, 0.405, low=True), 8.3, 2690, id="A9 1st"),
    ],
)
def test_a7_to_a9_where_it_settles(found: tuple[float, float], speed: float, engine_speed: float) -> None:
    """Computed, A7 to A9 by time stepping too."""
    assert found[0] == pytest.approx(speed, rel=5e-3, abs=0.05)
    assert found[1] == pytest.approx(engine_speed, rel=5e-3)


@pytest.mark.parametrize(
    ("gear", "transfer", "efficiency", "grade"),
    [(4.46, 1.0, 0.85, 18.7), (2.61, 1.0, 0.85, 12.3), (4.46, 2.72, 0.80, 56.3), (2.61, 2.72, 0.80, 30.9)],
)
def test_a10_grade_held_at_4500_rpm(gear: float, transfer: float, efficiency: float, grade: float) -> None:
    """Computed."""
    overall, turning = gear * transfer * 4.10, 4500 * RPM
    speed = turning * 0.405 / overall
    force = engine_braking.overrun_force(drag_torque(ENGINE, turning), overall, efficiency, 0.405)
    held = engine_braking.held_grade(force + DRAG_FACTOR * speed * speed, MASS, 0.015)
    assert 100 * held == pytest.approx(grade, rel=0.01)


def test_a12_open_converter() -> None:
    """The 3.0 L diesel's published drag between 1974 and 2468 rpm, a light converter (0.165): computed."""
    slope = (38.84 - 33.17) / ((2468 - 1974) * RPM)
    drag = Drag(np.asarray(33.17 - slope * 1974 * RPM), np.asarray(slope), np.asarray(0.0))
    found = engine_braking.overrun_match(2500 * RPM, drag, 0.165, 800 * RPM)
    assert 2500 * RPM / found.engine_speed == pytest.approx(1.109, rel=5e-3)
    assert found.engine_speed / RPM == pytest.approx(2254, rel=5e-3)
    assert found.torque == pytest.approx(36.4, rel=5e-3)


def test_the_generic_converter_in_overrun() -> None:
    """European Commission heavy-duty CO2 declaration tool, its points: N m at 1000 rpm by turbine / engine speed.

    Stalled it takes 404.8 N m, which is also what Regulation (EU) 2017/2400 gives for 1200 N m at 2200 rpm (A1 of the
    drivetrain). Half-way between two points it takes the mean of both, beyond the last what the last says.
    """
    ratios = np.array([1.0, 1.1, 1.222, 1.375, 1.571, 1.833, 2.2, 3.0, 4.0, 5.0])
    taken = np.array([0.0, 40.34, 80.34, 136.11, 216.52, 335.19, 528.77, 1122.0, 2326.0, 4242.0])
    per_square = 1.0 / (1000 * RPM) ** 2
    found = engine_braking.overrun_capacity(ratios, 1.0)
    assert found == pytest.approx(taken * per_square, rel=1e-9, abs=1e-12)
    between = engine_braking.overrun_capacity(0.5 * (ratios[1:] + ratios[:-1]), 1.0)
    assert between == pytest.approx(0.5 * (taken[1:] + taken[:-1]) * per_square, rel=1e-9)
    assert engine_braking.overrun_capacity([0.5, 7.0], 1.0) == pytest.approx([0.0, 4242.0 * per_square])
    by_rule = float(generic_capacity(1200.0, 2200 * RPM))
    assert pytest.approx(by_rule, rel=1e-4) == engine_braking.STALLED_CAPACITY


@pytest.mark.parametrize("turbine", [1000, 2000, 3000])
@pytest.mark.parametrize("size", [0.02, 0.165, 1.0])
def test_the_engine_turns_where_converter_and_drag_balance(turbine: float, size: float) -> None:
    """On every piece between the points of the same tool, and where none of them balances: its last, or idle."""
    found = engine_braking.overrun_match(turbine * RPM, ENGINE, size, 600 * RPM)
    speed = float(found.engine_speed)
    assert found.torque == pytest.approx(
        engine_braking.overrun_capacity(turbine * RPM / speed, size) * speed * speed
    )
    surplus = found.torque - drag_torque(ENGINE, speed)
    assert (
        surplus == pytest.approx(0.0, abs=1e-6)
        or (speed == pytest.approx(600 * RPM) and surplus < 0.0)
        or (speed == pytest.approx(turbine * RPM / 5.0) and surplus < 0.0)
    )


@pytest.mark.parametrize(("turbine", "low", "high"), [(900, 5, 9), (1200, 20, 36)])
def test_an_idling_engine_behind_an_open_converter_hardly_brakes(
    turbine: float, low: float, high: float
) -> None:
    """Generic converter of a European Commission tool, sizes 0.165 and 0.3, idle 800 rpm: computed."""
    sizes = np.array([0.165, 0.3])
    drag = Drag(np.asarray(60.0), np.asarray(0.0), np.asarray(0.0))
    held = engine_braking.overrun_match(turbine * RPM, drag, sizes, 800 * RPM)
    assert held.engine_speed / RPM == pytest.approx([800, 800])
    assert held.torque == pytest.approx([low, high], abs=0.5)


def test_a17_heat_of_the_regulations_downhill() -> None:
    """V with drag on 6 km at 6 % at 30 km/h, 40 kg of discs: 312.5 K alone, 132.9 K with 600 N of the engine."""
    grade, speed = brakes.YARDSTICK_GRADE, 30 * KMH
    held = road_loads.rolling_force(MASS, 0.015, grade) + DRAG_FACTOR * speed * speed
    left = road_loads.grade_force(MASS, grade) - held
    alone, helped = (brakes.temperature_rise((left - engine) * 6000.0, 40.0) for engine in (0.0, 600.0))
    assert alone == pytest.approx(312.5, rel=5e-3)
    assert helped == pytest.approx(132.9, rel=5e-3)
    assert brakes.yardstick_energy(1.0) / 6000.0 * speed == pytest.approx(4.89, rel=2e-3)


def test_a21_angles_at_which_a_pickup_tips() -> None:
    """US NCAP rollover sheet, 2004: L 122.6, a 50.5, h 26.33 in, front share 0.588; angles computed."""
    at = loads.balance(MASS, 1 - 50.5 / 122.6, 122.6, 26.33)
    up, down = (np.degrees(np.arctan(grade)) for grade in loads.tip_grades(at))
    assert at.front / MASS == pytest.approx(0.588, abs=5e-4)
    assert (up, down) == pytest.approx((69.9, 62.5), abs=0.1)


def test_a22_front_share_of_a_sport_utility() -> None:
    """US NCAP rollover sheet, 2004: L 109.9, a 50.3 in, front share 0.542."""
    assert loads.balance(1.0, 1 - 50.3 / 109.9, 109.9, 26.68).front == pytest.approx(0.542, abs=5e-4)


def test_a26_axles_on_a_grade() -> None:
    """b 1.357, c 1.593, h 0.72, L 2.95, 20 % up: 0.4816 and 0.4989 of the weight, computed."""
    at = loads.balance(MASS, 1.593 / 2.95, 2.95, 0.72)
    front, rear = loads.axle_loads(at, 0.20)
    assert (front / (MASS * G), rear / (MASS * G)) == pytest.approx((0.4816, 0.4989), abs=2e-4)


def test_a30_all_wheels_pull_a_trailer() -> None:
    """mu 0.55, 2500 + 1500 kg (150 on the hitch), f 0.06: 34.4 %; alone 55 %. Computed."""
    at = loads.balance(MASS, 0.5, 2.95, 0.72, 1500.0, 150.0, 1.2, 0.5)
    assert 100 * loads.grip_grade(at, 0.55, 0.55, 0.0, 1500.0, 150.0, 0.06) == pytest.approx(34.4, abs=0.1)
    alone = loads.balance(MASS, 0.5, 2.95, 0.72)
    assert 100 * loads.grip_grade(alone, 0.55, 0.55, 0.0) == pytest.approx(55.0, abs=0.1)


def test_a31_the_rear_wheels_pull_a_trailer() -> None:
    """mu 0.55, the vehicle of A26, o 1.2, hitch 0.5 m high, f 0.02: alone 28.1, trailer 19.9, no tongue 16.5 %.

    Computed, with the trailer by a separate solution of forces and moments. Driven wheels roll by their torque:
    their rolling resistance does not count against the grip.
    """
    own = (MASS, 1.593 / 2.95, 2.95, 0.72)
    for trailer, tongue, expected in ((0.0, 0.0, 28.1), (1500.0, 150.0, 19.9), (1500.0, 0.0, 16.5)):
        at = loads.balance(*own, trailer, tongue, 1.2, 0.5, 0.02)
        low, high = 0.0, 1.0
        for _ in range(60):
            grade = 0.5 * (low + high)
            front, rear = loads.axle_loads(at, grade)
            pull = road_loads.grade_force(MASS, grade) + loads.hitch_pull(trailer, tongue, 0.02, grade)
            low, high = (grade, high) if 0.55 * rear >= pull + 0.02 * front else (low, grade)
        assert 100 * low == pytest.approx(expected, abs=0.1)


def test_what_little_the_drag_leaves_of_a_slope() -> None:
    """20 N m are 50 N at the wheels, half a newton short of the slope: the air holds it, at 0.77 m/s, by hand."""
    drag = Drag(np.asarray(20.0), np.asarray(0.0), np.asarray(0.0))
    found = engine_braking.settling_speed(drag, 1.0, 1.0, 0.4, -50.5, 0.0, DRAG_FACTOR)
    assert found == pytest.approx(np.sqrt(0.5 / DRAG_FACTOR))
    for slope in (-50.0, -49.5):
        assert engine_braking.settling_speed(drag, 1.0, 1.0, 0.4, slope, 0.0, 0.0) == 0.0, "the drag holds it"


def test_a32_start_on_12_percent() -> None:
    """5000 kg, f 0.015: 6572 N, 2662 N m at 0.405 m, adhesion 0.245 on 2750 kg. Computed."""
    force = road_loads.grade_force(5000.0, 0.12) + road_loads.rolling_force(5000.0, 0.015, 0.12)
    assert force == pytest.approx(6572, rel=2e-3)
    assert force * 0.405 == pytest.approx(2662, rel=2e-3)
    assert force / (2750.0 * G * np.cos(np.arctan(0.12))) == pytest.approx(0.245, rel=3e-3)


def test_a41_drag_at_idle_exceeds_the_slope() -> None:
    """V, 6 %, first gear 4.46, axle 3.73, r 0.361: drag exceeds the slope by 609 N at idle, 5.7 km/h. Computed."""
    overall, grade, idle = 4.46 * 3.73, 0.06, 700 * RPM
    slow = idle * 0.361 / overall
    slope = road_loads.grade_force(MASS, grade) - road_loads.rolling_force(MASS, 0.015, grade)
    force = engine_braking.overrun_force(drag_torque(ENGINE, idle), overall, 0.85, 0.361)
    assert force + DRAG_FACTOR * slow * slow - slope == pytest.approx(609, abs=4)
    assert slow / KMH == pytest.approx(5.7, rel=0.01)
    assert engine_braking.settling_speed(ENGINE, overall, 0.85, 0.361, -slope, 0.0, DRAG_FACTOR) < slow
