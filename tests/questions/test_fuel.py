"""Fuel: steady consumption, a mix of speeds, range, the change against before, the owner's reading."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.answer import Curve
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, codes, column

TRUCK: dict[str, Any] = {
    "tyre": "33 in", "axle_ratio": 4.1, "gear_ratios": [4, 2.3, 1.5, 1, 0.8], "vehicle_mass": 4800,
    "peak_power": "200 hp", "peak_power_speed": 4800, "engine_displacement": 3.5, "drag_area": "1.2 m2",
    "rolling_resistance": 0.012,
}  # fmt: skip
fuel = about("fuel", TRUCK)
ORIGINAL = {"original_axle_ratio": 3.55, "original_tyre": "30 in"}
QUICK = settings(max_examples=25, deadline=None)


def result(**changes: Any) -> dict[str, Any]:
    return dict(fuel("us", **changes)["result"])


def test_economy_and_fuel_over_distance_are_one_figure() -> None:
    made = result()
    assert made["fuel_economy"] * made["fuel_per_distance"] == pytest.approx(100.0)
    assert made["mix_fuel_economy"] * made["mix_fuel_per_distance"] == pytest.approx(100.0)
    assert made["energy_per_distance"] * 3.6e6 == pytest.approx(121.3e6 * made["fuel_per_distance"])


def test_a_mix_weighs_by_distance() -> None:
    """Fuel over distance adds by the shares of the distance; economy does not."""
    slow, fast = (result(cruise_speed=speed)["fuel_per_distance"] for speed in (35, 70))
    assert result(fuel_mix="35:0.25,70:0.75")["mix_fuel_per_distance"] == pytest.approx(
        0.25 * slow + 0.75 * fast
    )
    assert result(fuel_mix="35:0.1,70:0.3")["mix_fuel_per_distance"] == pytest.approx(
        0.25 * slow + 0.75 * fast
    )


def test_range_is_the_tank_over_the_mix() -> None:
    made = result(tank_volume=20)
    assert made["range_distance"] == pytest.approx(20 * made["mix_fuel_economy"])
    assert fuel()["absent"]["range_distance"] == {"why": "needs", "fields": ["tank_volume"]}


def test_a_reading_scales_the_estimate() -> None:
    read = result(measured_fuel_economy=15, measured_at_speed=65)
    assert read["fuel_economy"] == pytest.approx(15.0)
    assert read["mix_fuel_economy"] / result()["mix_fuel_economy"] == pytest.approx(
        15.0 / result()["fuel_economy"]
    )
    assert result(measured_fuel_per_distance=5)["mix_fuel_per_distance"] == pytest.approx(5.0)


def test_a_reading_is_that_of_the_vehicle_before() -> None:
    """It does not change the change, and the estimate now is the reading times the change."""
    plain, read = result(**ORIGINAL), fuel(**ORIGINAL, measured_fuel_economy=15, measured_at_speed=65)
    assert read["result"]["fuel_change_percent"] == pytest.approx(plain["fuel_change_percent"])
    assert read["original"]["fuel_economy"] == pytest.approx(15.0)
    now = 15.0 / (1.0 + plain["fuel_change_percent"] / 100.0)
    assert read["result"]["fuel_economy"] == pytest.approx(now)
    assert "reading-before" in codes(read)


def test_a_reading_is_given_once() -> None:
    with pytest.raises(ValueError, match="measured_fuel_per_distance is told twice"):
        fuel(measured_fuel_economy=15, measured_fuel_per_distance=5)


def test_the_change_is_against_before() -> None:
    made = fuel(**ORIGINAL)
    before = made["original"]["fuel_per_distance"]
    assert made["result"]["fuel_change_percent"] == pytest.approx(
        100 * (made["result"]["fuel_per_distance"] / before - 1)
    )
    assert fuel()["absent"]["fuel_change_percent"]["why"] == "needs"


def test_what_was_read_of_the_vehicle_before_is_told() -> None:
    build = read_build(TRUCK | ORIGINAL)
    ask(QUESTIONS["fuel"], build)
    assert set(ORIGINAL) <= set(build.used())


def test_the_change_is_told_with_its_error() -> None:
    made = fuel(**ORIGINAL)
    low, high = made["ranges"]["fuel_change_percent"]
    assert (low, high) == pytest.approx((made["result"]["fuel_change_percent"] - 3.5,
                                         made["result"]["fuel_change_percent"] + 3.5))  # fmt: skip


def test_estimates_come_with_the_residuals_of_the_fit() -> None:
    made = fuel()
    economy = made["result"]["fuel_economy"]
    assert made["ranges"]["fuel_economy"] == pytest.approx([economy / 1.09, economy / 0.92])
    volume = made["result"]["fuel_per_distance"]
    assert made["ranges"]["fuel_per_distance"] == pytest.approx([volume * 0.92, volume * 1.09])


def test_a_reading_narrows_the_estimate() -> None:
    """To 5 % either way: pairs of test rows that differ in tyre or body, see the vehicle's README."""
    made = fuel(measured_fuel_economy=15, measured_at_speed=65)
    assert made["ranges"]["fuel_economy"] == pytest.approx([15 / 1.05, 15 / 0.95])
    volume = made["result"]["fuel_per_distance"]
    assert made["ranges"]["fuel_per_distance"] == pytest.approx([0.95 * volume, 1.05 * volume])


MOTOR = {"engine_kind": "electric", "peak_power_speed": None, "peak_torque": "250 lb-ft", "redline_speed": 12000,
         "gear_ratios": [2], "battery_energy": 100, "engine_displacement": None}  # fmt: skip


def test_the_spread_of_a_motor_is_one_of_energy() -> None:
    """Estimate / measured 0.91 to 1.18: 485 battery vehicles of the US EPA Test Car List."""
    made = fuel(**MOTOR)
    energy, distance = (made["result"][name] for name in ("energy_per_distance", "range_distance"))
    assert made["ranges"]["energy_per_distance"] == pytest.approx([energy / 1.18, energy / 0.91])
    assert made["ranges"]["range_distance"] == pytest.approx([0.91 * distance, 1.18 * distance])


@pytest.mark.parametrize(
    ("axle", "said"),
    [(4.56, "% more fuel than before."), (2.6, "% less fuel than before."),
     (3.6, "; the change in fuel is too small to tell.")],
)  # fmt: skip
def test_the_summary_tells_a_change_beyond_its_error(axle: float, said: str) -> None:
    made = fuel(axle_ratio=axle, original_axle_ratio=3.55)
    assert made["summary"].endswith(said)
    assert ("within-the-error" in codes(made)) == ("too small" in said)
    assert (abs(made["result"]["fuel_change_percent"]) < 3.5) == ("too small" in said)


def test_a_reading_of_fuel_says_nothing_of_a_motor() -> None:
    made = fuel(**MOTOR, measured_fuel_economy=15)
    assert "reading-unused" in codes(made)
    assert made["result"] == fuel(**MOTOR)["result"]


def test_an_engine_that_idles_at_its_redline_is_refused() -> None:
    with pytest.raises(InvalidBuild, match="redline_speed must be above idle_speed"):
        fuel(idle_speed=2000, redline_speed=2000)


def test_a_mix_without_any_share_is_refused() -> None:
    with pytest.raises(InvalidBuild, match="fuel_mix has no share above zero"):
        fuel(fuel_mix="35:0,70:0")


def test_a_speed_without_a_share_does_not_count() -> None:
    """Though no gear holds it."""
    assert result(fuel_mix="35:0.5,160:0") == result(fuel_mix="35:0.5")


def test_a_free_road_is_driven_in_a_gear_that_runs() -> None:
    """Nothing resists and nothing is lost, and yet the engine turns no slower than idle."""
    free = {"road_load": [0, 0, 0], "drag_area": None, "rolling_resistance": None, "driveline_efficiency": 0.9,
            "cruise_speed": 12, "fuel_mix": "12:1"}  # fmt: skip
    assert result(**free) == pytest.approx(result(**free, gear_ratios=[4, 2.3, 1.5]))


def test_the_results_stand_in_their_order() -> None:
    assert list(result()) == [
        "fuel_economy", "fuel_per_distance", "energy_per_distance", "mix_fuel_economy", "mix_fuel_per_distance",
        "range_distance", "fuel_change_percent",
    ]  # fmt: skip


def test_the_chart_has_the_vehicle_before() -> None:
    """41 speeds to 1.2 times the cruise speed from a fifth of that on; a gear where it turns as it may."""
    build = read_build({**TRUCK, "original_axle_ratio": 3.55, "cruise_speed": 50})
    picture = ask(QUESTIONS["fuel"], build).picture
    assert picture is not None
    curve = picture()
    assert isinstance(curve, Curve)
    drawn = {line.label: line for line in curve.lines}
    assert list(drawn) == ["1st", "2nd", "3rd", "4th", "5th", "before"]
    top = 60 * 0.44704
    assert drawn["before"].x == pytest.approx(top * np.linspace(0.2, 1.0, 41))
    assert drawn["1st"].x[0] == pytest.approx(0.2 * top)
    assert drawn["5th"].x[-1] == pytest.approx(top)


def test_electric_by_hand() -> None:
    """1.21 x the force on the level, at the wall."""
    made = fuel(**MOTOR)
    speed = 65 * 0.44704
    force = 0.012 * 4800 * 0.45359237 * 9.80665 + 0.5 * 1.225 * 1.2 * speed**2
    assert made["result"]["energy_per_distance"] == pytest.approx(1.21 * force * 160934.4 / 3.6e6, rel=1e-4)
    assert made["absent"]["fuel_economy"] == {"why": "does not apply"}
    assert made["result"]["range_distance"] > 100
    assert made["verdict"] == "clear"


def test_an_open_converter_takes_more() -> None:
    box = {"gearbox_kind": "automatic", "converter_stall_speed": 2200, "peak_torque": "245 lb-ft",
           "peak_torque_speed": 3000}  # fmt: skip
    assert (
        result(**box, converter_locked="no")["fuel_per_distance"] > 1.03 * result(**box)["fuel_per_distance"]
    )


def test_without_displacement_nothing_is_known() -> None:
    made = fuel(engine_displacement=None)
    assert set(made["result"].values()) == {None}
    assert made["absent"]["fuel_economy"] == {"why": "needs", "fields": ["engine_displacement"]}


def test_a_speed_that_no_gear_holds() -> None:
    made = fuel(cruise_speed=160)
    assert made["result"]["fuel_economy"] is None
    assert "speed-not-held" in codes(made)


def test_table_has_the_gears_that_turn_as_they_may() -> None:
    made = fuel()
    assert all(700 <= turning <= 5000 for turning in column(made, "engine_speed"))
    assert {round(speed, 9) for speed in column(made, "road_speed")} <= {35, 55, 65, 70}


@QUICK
@given(more=st.floats(1.01, 1.6), heavier=st.floats(1.01, 2))
def test_more_axle_ratio_and_more_mass_take_more(more: float, heavier: float) -> None:
    only_top = {"gear_ratios": [0.8], "redline_speed": 8000, "peak_power_speed": 7000}
    plain = result(**only_top)["fuel_per_distance"]
    assert result(**only_top, axle_ratio=4.1 * more)["fuel_per_distance"] > plain
    assert result(**only_top, vehicle_mass=4800 * heavier)["fuel_per_distance"] > plain


@pytest.mark.parametrize(("kind", "low", "high"), [("diesel", 0.91, 1.10), ("diesel-turbo", 0.91, 1.10)])
def test_the_spread_is_that_of_its_kind_of_engine(kind: str, low: float, high: float) -> None:
    """Of 5 and 95 % of the vehicles that the estimate was fitted to: vehicle/README.md."""
    made = fuel(engine_kind=kind, peak_power_speed=3600, redline_speed=4200)
    volume = made["result"]["fuel_per_distance"]
    assert made["ranges"]["fuel_per_distance"] == pytest.approx([volume * low, volume * high])
