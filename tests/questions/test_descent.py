"""Descent: which gear holds, where it settles, what is left to the brakes."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.answer import Curve, Line
from gearing_api.batch.columns import stack
from gearing_api.build import Build
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vocabulary import InvalidBuild, read_fields
from tests.questions.asking import about, codes, column

V: dict[str, Any] = {
    "tyre": "834.3 mm", "axle_ratio": 4.10, "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84],
    "transfer_ratios": [1, 2.72], "vehicle_mass": 2500, "drag_area": 1.4, "rolling_resistance": 0.015,
    "engine_displacement": 3.6, "idle_speed": 700, "redline_speed": 5500, "descent_grade_percent": 14,
    "descent_speed": 32,
}  # fmt: skip
"""Vehicle V of the evidence: the tyre rolls on 0.405 m."""
ELECTRIC = {"engine_kind": "electric", "engine_displacement": None, "peak_torque": 350, "peak_power": 160,
            "gear_ratios": [9.0], "transfer_ratios": None, "axle_ratio": 1.0, "redline_speed": 12000}  # fmt: skip
RESCUE = {"vehicle_mass": 2750, "trailer_mass": 1400, "descent_height": 900, "descent_speed": 30}
FLAT = [[500, 300], [5500, 300]]
"""Full load of 300 N m at any speed."""
asked = about("descent", V)
QUICK = settings(max_examples=50, deadline=None, derandomize=True)
GRADES, MASSES = st.floats(1, 60), st.floats(1000, 6000)


def result(**changes: Any) -> dict[str, Any]:
    return dict(asked("metric", **changes)["result"])


def row(made: dict[str, Any], place: int) -> dict[str, Any]:
    return dict(zip(made["table"]["columns"], made["table"]["rows"][place], strict=True))


def test_where_each_gear_settles() -> None:
    """Low range on 25 % and 35 %, worked apart: 3rd 42.0 km/h, 2nd 26.1, 1st 8.3; rolling resistance 0.02 there."""
    made = asked("metric", rolling_resistance=0.02, descent_grade_percent=25)
    assert row(made, 8)["settling_speed"] == pytest.approx(42.0, rel=5e-3)
    made = asked("metric", rolling_resistance=0.02, descent_grade_percent=35)
    assert row(made, 7)["settling_speed"] == pytest.approx(26.1, rel=5e-3)
    assert row(made, 6)["settling_speed"] == pytest.approx(8.3, rel=6e-3)


def test_grade_held_at_4500_rpm() -> None:
    """18.7 and 12.3 % in high range, 56.3 and 30.9 % in low, worked apart."""
    held = column(asked("metric", descent_engine_speed=4500), "grade_held_back_percent")
    assert [held[place] for place in (0, 1, 6, 7)] == pytest.approx([18.7, 12.3, 56.3, 30.9], rel=0.01)


def test_idle_speed_where_drag_at_idle_exceeds_the_hill() -> None:
    """6 %, first gear 4.46, axle 3.73, r 0.361: 5.7 km/h, not standstill."""
    made = asked("metric", tyre="743.7 mm", axle_ratio=3.73, transfer_ratios=None, gear_ratios=[4.46],
                 descent_grade_percent=6)  # fmt: skip
    assert made["result"]["settling_speed"] == pytest.approx(5.7, rel=0.01)
    assert "idle-holds" in codes(made)
    assert "idle speed" in made["summary"]


def test_the_highest_gear_that_holds_with_little_drag_is_chosen() -> None:
    """Read off the table of an engine with 0.7 of the drag: high range first, the highest gear in it."""
    made = asked("metric", descent_grade_percent=5)
    weak = asked("metric", descent_grade_percent=5, engine_displacement=0.7 * 3.6)
    holds = [
        place
        for place, speed in enumerate(column(weak, "settling_speed"))
        if speed is not None
        and speed <= 32
        and speed / 3.6 * column(weak, "transfer_ratio")[place] * V["gear_ratios"][place % 6] * 4.1 / 0.405
        <= 0.8 * 5500 * np.pi / 30
    ]
    best = max(place for place in holds if place < 6) if min(holds) < 6 else max(holds)
    assert (made["result"]["descent_transfer_ratio"], made["result"]["descent_gear"]) == (
        column(made, "transfer_ratio")[best],
        column(made, "gear")[best],
    )
    assert made["result"]["brake_share_percent"] == 0


def test_where_none_holds_the_lowest_gear_is_told_and_what_is_left() -> None:
    made = asked("metric", descent_grade_percent=60)
    assert (made["result"]["descent_gear"], made["result"]["descent_transfer_ratio"]) == (1, 2.72)
    assert "no-gear-holds" in codes(made)
    assert made["summary"].startswith("No gear surely holds")
    lost = 2500 * 9.80665 * np.sin(np.arctan(0.6))
    found = made["result"]
    speed = 4400 * np.pi / 30 * 0.405 / (4.46 * 2.72 * 4.1)
    road = 0.015 * 2500 * 9.80665 * np.cos(np.arctan(0.6)) + 0.5 * 1.225 * 1.4 * speed * speed
    left = lost - road - found["engine_brake_force"]
    assert found["brake_share_percent"] == pytest.approx(100 * left / lost, rel=1e-4)
    assert found["brake_power"] == pytest.approx(left * speed / 1000, rel=1e-4)


def test_heat_over_the_height() -> None:
    """What is left after rolling, air and engine, over the length of the road, in the front discs."""
    far = asked("metric", descent_grade_percent=40, descent_height=200)["result"]
    angle = np.arctan(0.4)
    speed = 4400 * np.pi / 30 * 0.405 / (4.46 * 2.72 * 4.1)
    road = 0.015 * 2500 * 9.80665 * np.cos(angle) + 0.5 * 1.225 * 1.4 * speed * speed
    left = max(2500 * 9.80665 * np.sin(angle) - road - far["engine_brake_force"], 0.0)
    assert far["descent_energy"] == pytest.approx(2500 * 9.80665 * 200 / 1000)
    assert far["brake_temperature_rise"] == pytest.approx(
        0.65 * left * 200 / np.sin(angle) / (20 * 500), rel=1e-4
    )
    twice = asked("metric", descent_grade_percent=40, descent_height=200, brake_disc_mass=80)["result"]
    assert 2 * twice["brake_temperature_rise"] == pytest.approx(far["brake_temperature_rise"])


def test_trailer_brakes_take_their_share_of_the_heat() -> None:
    one, other = (
        result(descent_grade_percent=40, descent_height=200, trailer_mass=1400, trailer_brakes=brakes)
        for brakes in ("no", "yes")
    )
    share = (2500 + 140) / 3900
    assert other["brake_power"] == pytest.approx(share * one["brake_power"])
    assert other["brake_temperature_rise"] == pytest.approx(share * one["brake_temperature_rise"])
    assert other["brake_share_percent"] == pytest.approx(one["brake_share_percent"])


def test_a_negative_grade_is_the_hill() -> None:
    made = asked("metric", descent_grade_percent=None, grade_percent=-14)
    assert made["result"] == asked("metric")["result"]
    assert made["assumed"]["descent_grade_percent"] == 14


def test_without_a_hill_it_is_refused() -> None:
    for changes in ({}, {"grade_percent": 14}, {"grade_percent": 0}):
        with pytest.raises(InvalidBuild) as refused:
            asked("metric", descent_grade_percent=None, **changes)
        assert [fault.field for fault in refused.value.faults] == ["descent_grade_percent"]


def test_what_is_not_known_names_its_fields() -> None:
    made = asked("metric", engine_displacement=None, descent_height=900)
    assert made["verdict"] == "unknown"
    assert made["absent"]["descent_gear"] == {"why": "needs", "fields": ["engine_displacement"]}
    assert "give the engine displacement (engine_displacement)" in made["summary"]
    assert asked("metric")["absent"]["brake_temperature_rise"]["fields"] == ["descent_height"]
    still = asked("metric", converter_locked="no", converter_stall_ratio=1.9)
    assert still["absent"]["descent_gear"]["fields"] == ["peak_power", "peak_power_speed"]


def test_an_open_converter_brakes_less_than_a_locked_one() -> None:
    """The engine turns slower than the turbine; C x 0.165 is a converter of 300 N m at 2120 rpm."""
    automatic = {"gearbox_kind": "automatic", "converter_stall_speed": 2120, "torque_curve": FLAT}
    locked, opened = (asked("metric", **automatic, converter_locked=word) for word in ("yes", "no"))
    assert locked["result"] == asked("metric")["result"]
    for one, other in zip(locked["table"]["rows"], opened["table"]["rows"], strict=True):
        names = locked["table"]["columns"]
        held, less = dict(zip(names, one, strict=True)), dict(zip(names, other, strict=True))
        assert less["grade_held_back_percent"] <= held["grade_held_back_percent"]
        assert less["engine_speed"] <= held["engine_speed"] * (1 + 1e-9) or less[
            "engine_speed"
        ] == pytest.approx(700)
        assert less["settling_speed"] is None or less["settling_speed"] >= held["settling_speed"] * (1 - 1e-9)


def test_settling_through_an_open_converter_balances() -> None:
    made = asked("metric", gearbox_kind="automatic", converter_stall_speed=2120, torque_curve=FLAT,
                 converter_locked="no", transfer_ratios=[2.72], gear_ratios=[2.61])  # fmt: skip
    speed = made["result"]["settling_speed"]
    there = asked("metric", gearbox_kind="automatic", converter_stall_speed=2120, torque_curve=FLAT,
                  converter_locked="no", transfer_ratios=[2.72], gear_ratios=[2.61], descent_speed=speed,
                  descent_engine_speed=5500)["result"]  # fmt: skip
    assert there["brake_share_percent"] == pytest.approx(0, abs=1e-6)
    slower = asked("metric", gearbox_kind="automatic", converter_stall_speed=2120, torque_curve=FLAT,
                   converter_locked="no", transfer_ratios=[2.72], gear_ratios=[2.61], descent_speed=0.95 * speed,
                   descent_engine_speed=5500)["result"]  # fmt: skip
    assert slower["brake_share_percent"] > 0


class TestElectric:
    def test_the_motor_takes_its_share(self) -> None:
        """0.65 of the braking at 35 mph."""
        found = result(**ELECTRIC, descent_speed=35 * 1.609344)
        speed, angle = 35 * 0.44704, np.arctan(0.14)
        road = 0.015 * 2500 * 9.80665 * np.cos(angle) + 0.5 * 1.225 * 1.4 * speed * speed
        pull = 2500 * 9.80665 * np.sin(angle)
        assert found["engine_brake_force"] == pytest.approx(0.65 * (pull - road), rel=1e-4)
        assert found["brake_share_percent"] == pytest.approx(35 * (pull - road) / pull, rel=1e-4)

    def test_the_motor_is_the_limit(self) -> None:
        found = result(**(ELECTRIC | {"peak_torque": 20}), descent_speed=56)
        assert found["engine_brake_force"] == pytest.approx(20 * 9 / (0.85 * 0.405), rel=1e-4)
        weak = result(**(ELECTRIC | {"peak_power": 5}), descent_speed=56)
        assert weak["engine_brake_force"] == pytest.approx(5000 / 0.85 / (56 / 3.6), rel=1e-4)

    def test_a_full_battery_takes_nothing(self) -> None:
        made = asked("metric", **ELECTRIC, battery_full="yes")
        assert made["result"]["engine_brake_force"] == 0
        assert "battery-full" in codes(made)
        assert asked("metric", **(ELECTRIC | {"peak_torque": None, "peak_power": None}), battery_full="yes")

    def test_a_motor_holds_the_hill_where_it_is_strong_enough_and_not_too_fast(self) -> None:
        """It takes its share of what is wanted; the brakes take the rest in any case."""
        assert "no-gear-holds" not in codes(asked("metric", **ELECTRIC))
        share = result(**ELECTRIC)["engine_brake_force"] * 0.85 * RADIUS / 9.0
        weak, enough = (
            asked("metric", **(ELECTRIC | {"peak_torque": part * share})) for part in (0.999, 1.001)
        )
        assert "no-gear-holds" in codes(weak)
        assert "no-gear-holds" not in codes(enough)
        turning = 32 / 3.6 * 9.0 / RADIUS * 30 / np.pi
        for part, holds in ((0.999, False), (1.001, True)):
            made = asked("metric", **ELECTRIC, descent_engine_speed=part * turning)
            assert ("no-gear-holds" not in codes(made)) == holds

    def test_the_highest_gear_of_a_motor_that_holds_is_chosen(self) -> None:
        two = ELECTRIC | {"gear_ratios": [18, 9]}
        assert result(**two)["descent_gear"] == 2
        assert result(**(two | {"peak_torque": 25}))["descent_gear"] == 1

    def test_it_settles_nowhere_by_itself(self) -> None:
        made = asked("metric", **ELECTRIC)
        assert made["absent"]["settling_speed"] == {"why": "does not apply"}
        lacking = asked("metric", **(ELECTRIC | {"peak_torque": None}))
        assert lacking["absent"]["descent_gear"]["fields"] == ["peak_torque"]


@QUICK
@given(mass=MASSES, more=st.floats(0, 3000), grade=GRADES)
def test_more_mass_never_comes_down_better(mass: float, more: float, grade: float) -> None:
    light, heavy = (
        asked("metric", vehicle_mass=each, descent_grade_percent=grade, descent_height=500)
        for each in (mass, mass + more)
    )
    never_worse(light, heavy)
    for one, other in zip(*(column(made, "grade_held_back_percent") for made in (light, heavy)), strict=True):
        assert (other or 1e9) <= (one or 1e9) * (1 + 1e-9)


@QUICK
@given(grade=GRADES, steeper=st.floats(0, 30))
def test_a_steeper_hill_never_heats_less(grade: float, steeper: float) -> None:
    """Per height lost, which a steeper road loses in less way."""
    never_worse(
        *(
            asked("metric", descent_grade_percent=each, descent_height=500)
            for each in (grade, grade + steeper)
        )
    )


def never_worse(light: dict[str, Any], heavy: dict[str, Any]) -> None:
    for name in ("brake_share_percent", "brake_power", "brake_temperature_rise"):
        assert heavy["result"][name] >= light["result"][name] * (1 - 1e-9) - 1e-9, name


@QUICK
@given(litres=st.floats(1, 6), more=st.floats(0, 3), grade=GRADES)
def test_a_larger_engine_never_holds_less(litres: float, more: float, grade: float) -> None:
    small, large = (
        asked("metric", engine_displacement=each, descent_grade_percent=grade)
        for each in (litres, litres + more)
    )
    for one, other in zip(*(column(made, "grade_held_back_percent") for made in (small, large)), strict=True):
        assert (other or 1e9) >= (one or 1e9) * (1 - 1e-9)


def test_ups_and_downs_in_one_column_are_each_answered() -> None:
    question = QUESTIONS["descent"]
    raws = [V | {"descent_grade_percent": grade, "descent_height": 300} for grade in (3, 8, 14, 40, 70)]
    read = [read_fields(raw, "metric") for raw in raws]
    together = ask(question, Build({name: stack([each[name] for each in read]) for name in read[0]}, {}))
    for place, values in enumerate(read):
        single = ask(question, Build(values, {})).result
        for name in question.results:
            assert np.asarray(together.result[name])[place] == np.asarray(single[name]), name


IDLE, REDLINE = 700 * np.pi / 30, 5500 * np.pi / 30
FIRST = {"gear_ratios": [4.46], "transfer_ratios": None}
RADIUS = 0.8343 * 3.05 / (2 * np.pi)
IDLING = IDLE * RADIUS / (4.46 * 4.1) * 3.6
"""Road speed at idle in first gear of high range. [km/h]"""


def test_four_fifths_of_the_redline_are_held_where_nothing_is_said() -> None:
    made = asked("metric")
    assert made["assumed"]["descent_engine_speed"] == pytest.approx(4400)
    given = asked("metric", descent_engine_speed=4400)
    assert "descent_engine_speed" not in given["assumed"]
    assert given["result"] == pytest.approx(made["result"])


def test_an_engine_that_idles_at_its_redline_is_refused() -> None:
    with pytest.raises(InvalidBuild) as refused:
        asked("metric", idle_speed=2000, redline_speed=2000)
    assert [fault.field for fault in refused.value.faults] == ["redline_speed"]


def test_where_it_settles_is_told_by_the_band_of_published_drag_curves() -> None:
    """With 1.3 and with 0.7 of the estimate, as an engine of so much displacement would: it is in proportion."""
    made = asked("metric", **FIRST)
    much, little = (
        result(**FIRST, engine_displacement=share * 3.6)["settling_speed"] for share in (1.3, 0.7)
    )
    assert made["ranges"]["settling_speed"] == pytest.approx([much, little])


@pytest.mark.parametrize(("part", "holds"), [(0.99, False), (1.0 + 1e-6, True), (1.1, True), (1.19, True)])
def test_a_gear_holds_from_its_idle_speed_on(part: float, holds: bool) -> None:
    """Below it the engine pushes; on 3 % the drag is enough."""
    made = asked("metric", **FIRST, descent_grade_percent=3, descent_speed=part * IDLING)
    assert (made["result"]["engine_brake_force"] > 0) == holds
    assert ("no-gear-holds" in codes(made)) != holds


@pytest.mark.parametrize("beyond", [1.001, 1.05])
def test_it_settles_nowhere_beyond_the_redline(beyond: float) -> None:
    free = result(**FIRST)["settling_speed"]
    turning = free / 3.6 * 4.46 * 4.1 / RADIUS * 30 / np.pi
    assert result(**FIRST, redline_speed=turning * 1.001)["settling_speed"] == pytest.approx(free)
    assert result(**FIRST, redline_speed=turning / beyond)["settling_speed"] is None


def test_the_engine_holds_at_idle_in_the_lowest_gear() -> None:
    """Slower than walking: 2.1 km/h."""
    made = asked("metric", descent_grade_percent=8, gear_ratios=[4.46], transfer_ratios=[2.72])
    assert made["result"]["settling_speed"] == pytest.approx(IDLING / 2.72)
    assert "idle-holds" in codes(made)


def test_the_second_of_two_gears_is_told_as_the_table_has_it() -> None:
    made = asked("metric", gear_ratios=[4.46, 2.61], transfer_ratios=None, descent_grade_percent=5)
    assert made["result"]["descent_gear"] == 2
    for name in ("settling_speed", "grade_held_back_percent", "brake_share_percent"):
        assert made["result"][name] == row(made, 1)[name]


def grade_that_leaves(share: float, force: float, speed: float) -> float:
    """Grade at which so much of its pull is left when a force holds back: sin (1 - share) - f cos. [N, m/s], [%]"""
    held = (force + 0.5 * 1.225 * 1.4 * speed * speed) / (2500 * 9.80665)
    angle = np.arcsin(held / np.hypot(1 - share, 0.015)) + np.arctan(0.015 / (1 - share))
    return float(100 * np.tan(angle))


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.0, "with nothing to spare."), (0.0099, "with nothing to spare."), (0.0105, "must take about 1 %.")],
)
def test_less_than_a_hundredth_is_nothing_to_spare(share: float, said: str) -> None:
    speed = 20 / 3.6
    force = result(**FIRST, descent_speed=20)["engine_brake_force"]
    made = asked(
        "metric", **FIRST, descent_speed=20, descent_grade_percent=grade_that_leaves(share, force, speed)
    )
    assert made["result"]["brake_share_percent"] == pytest.approx(100 * share, abs=1e-6)
    assert made["summary"].endswith(said)


def lines(**changes: Any) -> dict[str, Line]:
    """Those of its chart, by label."""
    build = read_build({name: value for name, value in (V | changes).items() if value is not None}, "metric")
    picture = ask(QUESTIONS["descent"], build).picture
    assert picture is not None
    curve = picture()
    assert isinstance(curve, Curve)
    return {line.label: line for line in curve.lines}


def test_the_chart_shows_what_lies_near_the_hill_and_the_speed_wanted() -> None:
    """60 points a gear, to 3.5 times the speed wanted or the redline; nothing steeper than 2.5 times the hill."""
    drawn = lines()
    assert list(drawn)[:9] == ["1st", "2nd", "3rd", "4th", "5th", "6th", "low 1st", "low 2nd", "low 3rd"]
    assert len(drawn["6th"].x) == 60
    assert drawn["6th"].x[-1] == pytest.approx(3.5 * 32 / 3.6)
    assert drawn["2nd"].x[-1] == pytest.approx(REDLINE * RADIUS / (2.61 * 4.1))
    assert drawn["low 1st"].x[0] == pytest.approx(IDLING / 2.72 / 3.6)
    steepest = max(line.y.max() for line in drawn.values())
    assert 0.34 < steepest <= 2.5 * 0.14
    assert 0.24 < max(line.y.max() for line in lines(descent_grade_percent=2).values()) <= 0.25


def test_on_the_level_nothing_is_left_to_the_brakes() -> None:
    made = result(descent_grade_percent=0, descent_height=100)
    for name in ("brake_share_percent", "brake_power", "brake_temperature_rise"):
        assert made[name] == 0.0


def test_a_gear_that_is_too_strong_at_every_speed_is_not_drawn() -> None:
    """One point is no line, two are."""
    held = lines(descent_grade_percent=60, vehicle_mass=1500)["low 1st"].y
    for place, drawn in ((0, False), (1, True)):
        grade = 100 * (held[place] + held[place + 1]) / 2 / 2.5
        assert ("low 1st" in lines(descent_grade_percent=grade, vehicle_mass=1500)) == drawn


def test_a_low_gear_of_the_same_ratio_as_first_is_drawn_once() -> None:
    drawn = list(lines(gear_ratios=[4, 2, 1], transfer_ratios=[1, 2]))
    assert drawn[:4] == ["1st", "2nd", "3rd", "low 1st"]
    assert not [label for label in drawn[4:] if label.startswith("low")]


class TestTheRescueTeamsTruck:
    """Loaded, with a trailer of 1,400 kg, down 900 m of height at 14 %."""

    def test_which_gear(self) -> None:
        made = asked("metric", **RESCUE)
        assert made["summary"] == (
            "1st gear in low range holds the 14 % hill at about 2.1 to 7.5 km/h. In neutral the brakes would overheat."
        )
        assert {"trailer-without-brakes", "drag-estimated"} <= codes(made)

    def test_what_the_trailer_changes(self) -> None:
        alone = asked("metric", **(RESCUE | {"trailer_mass": None}))
        assert alone["result"]["descent_gear"] == 2
        assert alone["result"]["descent_transfer_ratio"] == 2.72

    def test_how_hot_in_high_range(self) -> None:
        made = asked("metric", **RESCUE, transfer_ratios=None)
        assert made["summary"] == (
            "No gear surely holds the 14 % hill at 30 km/h: in 1st gear the brakes gain about 720 K."
        )
        assert "brakes-overheat" in codes(made)
        assert made["verdict"] == "stop"

    def test_a_gear_that_only_just_holds(self) -> None:
        made = asked("metric", **(RESCUE | {"trailer_mass": None}), transfer_ratios=None)
        assert made["summary"].endswith("1st gear does by the estimate, with nothing to spare.")

    def test_it_never_says_that_it_may(self) -> None:
        made = asked("metric", **RESCUE)
        told = " ".join([made["summary"], *(caution["text"] for caution in made["cautions"])]).lower()
        for word in ("safe to", "allowed", "you can", "may go", "fits", "ok"):
            assert f" {word} " not in f" {told} "
