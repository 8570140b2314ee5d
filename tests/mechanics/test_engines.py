"""Full load between its points, from peaks, and at altitude."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import air, engines
from gearing_api.mechanics.domain import DomainError

SPEEDS = [100.0, 200.0, 350.0, 500.0]
TORQUES = [180.0, 240.0, 260.0, 210.0]
POWERS = [18e3, 48e3, 91e3, 105e3]


def test_curves_pass_through_their_points() -> None:
    by_torque = engines.torque_curve(SPEEDS, TORQUES)
    by_power = engines.power_curve(SPEEDS, POWERS)
    assert engines.full_load_torque(by_torque, SPEEDS) == pytest.approx(TORQUES)
    assert engines.full_load_power(by_power, SPEEDS) == pytest.approx(POWERS)


def test_lines_are_straight_in_what_was_given() -> None:
    between = np.linspace(100.0, 500.0, 33)
    torque = engines.full_load_torque(engines.torque_curve(SPEEDS, TORQUES), between)
    power = engines.full_load_power(engines.power_curve(SPEEDS, POWERS), between)
    assert torque == pytest.approx(np.interp(between, SPEEDS, TORQUES))
    assert power == pytest.approx(np.interp(between, SPEEDS, POWERS))


def test_no_power_outside_the_curve() -> None:
    engine = engines.torque_curve(SPEEDS, TORQUES)
    assert engines.full_load_power(engine, [0.0, 99.9, 500.1, 1000.0]).tolist() == [0.0] * 4


def test_a_column_of_engines_equals_each_alone() -> None:
    torques = np.array([TORQUES, [2.0 * torque for torque in TORQUES], TORQUES[::-1]])
    gears = np.array([[120.0, 300.0], [150.0, 450.0], [200.0, 600.0]])
    together = engines.full_load_torque(engines.torque_curve([SPEEDS], torques[:, None, :]), gears)
    alone = [
        engines.full_load_torque(engines.torque_curve(SPEEDS, row), speeds)
        for row, speeds in zip(torques, gears, strict=True)
    ]
    assert together.tolist() == np.array(alone).tolist()


def test_a_repeated_last_point_changes_nothing() -> None:
    padded = engines.power_curve([*SPEEDS, 500.0, 500.0], [*POWERS, 105e3, 105e3])
    between = np.linspace(50.0, 550.0, 101)
    plain = engines.full_load_power(engines.power_curve(SPEEDS, POWERS), between)
    assert engines.full_load_power(padded, between).tolist() == plain.tolist()


@pytest.mark.parametrize("speeds", [[100.0], [200.0, 100.0], [100.0, 100.0, 200.0], 100.0])
def test_points_that_do_not_rise_are_refused(speeds: object) -> None:
    with pytest.raises(DomainError, match="speeds"):
        engines.torque_curve(speeds, np.ones(np.size(speeds)))  # type: ignore[arg-type]


KINDS = list(engines.SHAPES)


def drawn(kind: str, power: float, power_speed: float, torque: float, torque_speed: float,
          idle: float = 75.0, end: float | None = None) -> engines.FullLoad:  # fmt: skip
    shape = engines.SHAPES[kind]
    low = shape.idle_share * torque
    return engines.curve_from_peaks(
        power, power_speed, torque, torque_speed, idle, low, shape.exponent, shape.fall, end
    )


@pytest.mark.parametrize("kind", KINDS)
def test_the_rise_is_the_form_that_it_says(kind: str) -> None:
    """Within 0.4 % of the highest torque."""
    shape = engines.SHAPES[kind]
    speed = np.linspace(75.0, 250.0, 60)
    x = (speed - 75.0) / (250.0 - 75.0)
    form = 300.0 * (1.0 - (1.0 - shape.idle_share) * np.power(1.0 - x, shape.exponent))
    found = engines.full_load_torque(drawn(kind, 110e3, 450.0, 300.0, 250.0), speed)
    assert found == pytest.approx(form, abs=0.004 * 300.0)
    assert found[[0, -1]] == pytest.approx([shape.idle_share * 300.0, 300.0])


@pytest.mark.parametrize(
    ("kind", "at_idle", "half_way"),
    [
        ("petrol", 0.65, 0.938),
        ("petrol-turbo", 0.45, 0.806),
        ("diesel", 0.65, 0.938),
        ("diesel-turbo", 0.35, 0.770),
    ],
)
def test_torque_of_each_kind_at_idle_and_half_way_to_the_highest(
    kind: str, at_idle: float, half_way: float
) -> None:
    """1 - (1 - s) / 2^p, by hand, in parts of the highest torque."""
    found = engines.full_load_torque(drawn(kind, 110e3, 450.0, 300.0, 250.0), [75.0, 162.5])
    assert found / 300.0 == pytest.approx([at_idle, half_way], abs=0.005)


@pytest.mark.parametrize("kind", KINDS)
def test_beyond_the_highest_power(kind: str) -> None:
    """UN GTR 15 gear-shift validation set: medians at 1.1 times the speed of the highest power."""
    engine = drawn(kind, 110e3, 450.0, 300.0, 250.0)
    left = {"petrol": 0.91, "petrol-turbo": 0.98, "diesel": 0.88, "diesel-turbo": 0.88}[kind]
    assert engines.full_load_power(engine, [450.0, 495.0]) == pytest.approx([110e3, left * 110e3])


def test_a_plateau_is_level() -> None:
    engine = drawn("diesel-turbo", 110e3, 450.0, 330.0, 150.0, end=280.0)
    assert engines.full_load_torque(engine, [150.0, 200.0, 280.0]) == pytest.approx([330.0] * 3)
    assert engines.full_load_torque(engine, 281.0) < 330.0


def test_an_engine_that_idles_above_its_highest_torque_starts_there() -> None:
    engine = drawn("petrol", 110e3, 450.0, 300.0, 250.0, idle=300.0)
    assert engines.full_load_torque(engine, [249.0, 250.0]).tolist() == [0.0, 300.0]


def test_a_motor_gives_level_torque_then_level_power() -> None:
    engine = engines.electric_curve(100e3, 300.0, 1000.0)
    assert engines.full_load_torque(engine, [1.0, 333.0]) == pytest.approx([300.0, 300.0])
    assert engines.full_load_power(engine, [400.0, 1000.0]) == pytest.approx([100e3, 100e3])
    slow = engines.electric_curve(100e3, 300.0, 200.0)
    assert engines.full_load_power(slow, [200.0, 200.1]).tolist() == [60e3, 0.0]


@given(
    kind=st.sampled_from(KINDS),
    power=st.floats(20e3, 500e3),
    power_speed=st.floats(250.0, 900.0),
    place=st.floats(0.1, 0.95),
    how_much=st.floats(0.0, 1.0),
    idle=st.floats(0.0, 0.99),
)
def test_peaks_are_reached_and_never_passed(
    kind: str, power: float, power_speed: float, place: float, how_much: float, idle: float
) -> None:
    z = 1.0 - place
    torque = power / power_speed * (1.0 + 1e-9 + how_much * (z + z * z - 2e-9))
    torque_speed = place * power_speed
    engine = drawn(kind, power, power_speed, torque, torque_speed, idle * torque_speed)
    assert engines.full_load_power(engine, power_speed) == pytest.approx(power)
    assert engines.full_load_torque(engine, torque_speed) == pytest.approx(torque)
    grid = np.linspace(0.01, 1.7, 400) * power_speed
    assert engines.full_load_power(engine, grid).max() <= power * (1.0 + 1e-9)
    assert engines.full_load_torque(engine, grid).max() <= torque * (1.0 + 1e-9)


@pytest.mark.parametrize(
    ("torque", "torque_speed"),
    [(299.0, 300.0), (320.0, 500.0), (320.0, 600.0), (600.0, 300.0)],
    ids=["less torque than at peak power", "same speed", "higher speed", "more power than the peak"],
)
def test_peaks_of_no_engine_are_refused(torque: float, torque_speed: float) -> None:
    assert not engines.peaks_agree(150e3, 500.0, torque, torque_speed)
    with pytest.raises(DomainError, match="peak_torque"):
        drawn("petrol", 150e3, 500.0, torque, torque_speed)


@pytest.mark.parametrize(
    ("torque", "torque_speed", "agree"),
    [(300.0, 300.0, True), (299.9, 300.0, False), (315.0, 300.0, True), (467.9, 300.0, True), (468.1, 300.0, False),
     (525.0, 250.0, True), (300.0, 499.9, True), (300.0, 500.0, False)],
)  # fmt: skip
def test_peaks_of_one_engine(torque: float, torque_speed: float, agree: bool) -> None:
    """150 kW at 500 rad/s are 300 N m; there is room for 1 + 0.4 + 0.16 of them at 300, 1.75 at 250."""
    assert engines.peaks_agree(150e3, 500.0, torque, torque_speed) == agree


def test_altitude_rule_and_the_air_agree() -> None:
    """Two sources that know nothing of each other: the rule of thumb, and SAE J1349 with ISO 2533.

    SAE J1349 (1990), as widely quoted: power observed = standard power / (1.18 (99 kPa / p) sqrt(T / 298) - 0.18).
    """
    altitudes = np.linspace(500.0, 4000.0, 15)
    pressure, temperature = air.air_pressure(altitudes), air.air_temperature(altitudes)
    observed = 1.0 / (1.18 * 99e3 / pressure * np.sqrt(temperature / 298.0) - 0.18)
    assert engines.altitude_power_factor(altitudes) == pytest.approx(observed, abs=0.02)


def test_a_charger_keeps_full_power_to_its_height() -> None:
    factor = engines.altitude_power_factor([1524.0, 1524.0 + 304.8], 1524.0)
    assert factor == pytest.approx([1.0, 0.97])


def test_no_loss_up_to_five_hundred_feet() -> None:
    assert engines.altitude_power_factor([-300.0, 0.0, 152.4]).tolist() == [1.0, 1.0, 1.0]


@given(st.lists(st.floats(-2000.0, 11000.0), min_size=2, max_size=5, unique=True))
def test_air_thins_with_altitude(altitudes: list[float]) -> None:
    ordered = np.sort(altitudes)
    for quantity in (air.air_temperature, air.air_pressure, air.air_density):
        assert (np.diff(quantity(ordered)) <= 0.0).all()
        assert quantity(ordered).tolist() == [float(quantity(altitude)) for altitude in ordered]


def test_air_at_sea_level() -> None:
    """ISO 2533:1975, its sea level; the density is computed from it."""
    assert air.air_temperature(0.0) == air.SEA_LEVEL_TEMPERATURE
    assert air.air_pressure(0.0) == air.SEA_LEVEL_PRESSURE
    assert air.air_density(0.0) == pytest.approx(1.225, abs=5e-5)


def test_height_counts_as_its_work_against_gravity() -> None:
    """ISO 2533:1975: 0.0065 K are lost per metre of work over standard gravity, which falls as 1 / (6356.766 km + z)2.

    So 0.0065 (R / (R + z))2 per metre of height: half a thousandth less at 1600 m.
    """
    at = np.array([0.0, 1600.0, 10999.0])
    lapse = air.air_temperature(at) - air.air_temperature(at + 1.0)
    reach = 6356766.0 / (6356766.0 + at + 0.5)
    assert lapse == pytest.approx(0.0065 * reach * reach, rel=1e-6)


@pytest.mark.parametrize("altitude", [-2001.0, 11001.0, np.nan])
def test_altitudes_beyond_the_standard_are_refused(altitude: float) -> None:
    with pytest.raises(DomainError, match="altitude"):
        air.air_density(altitude)
