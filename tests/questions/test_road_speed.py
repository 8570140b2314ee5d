"""Road speed: speed and engine speed in every gear and range."""

from typing import Any

import pytest

from gearing_api.answer import Spans
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.units import System
from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, column

TRUCK = {"tyre": "33 in", "axle_ratio": 4, "gear_ratios": [2, 1], "transfer_ratios": [1, 2],
         "idle_speed": 1000, "redline_speed": 5000}  # fmt: skip
road_speed = about("road-speed", TRUCK)
PER_TURN = 33 * 3.05 / 63360 * 60
"""Miles an hour at one turn of the wheel a minute."""


def test_by_hand() -> None:
    assert road_speed(cruise_speed=60)["result"] == pytest.approx(
        {
            "speed_per_1000": 1000 / 4 * PER_TURN,
            "top_speed": 5000 / 4 * PER_TURN,
            "cruise_engine_speed": 60 / PER_TURN * 4,
        }
    )


def test_each_gear_in_each_range_has_a_row() -> None:
    made = road_speed()
    assert column(made, "transfer_ratio") == [1, 1, 2, 2]
    assert column(made, "gear") == [1, 2, 1, 2]
    assert column(made, "overall_ratio") == pytest.approx([8, 4, 16, 8])
    assert column(made, "top_speed") == pytest.approx([5000 / ratio * PER_TURN for ratio in (8, 4, 16, 8)])
    assert column(made, "engine_speed_after_upshift") == [2500, None, 2500, None]


def test_hubs_gear_down_too() -> None:
    assert road_speed(hub_ratio=1.5)["result"]["top_speed"] == pytest.approx(5000 / 6 * PER_TURN)


def test_columns_for_the_speeds_asked() -> None:
    made = road_speed(engine_speeds="1000:3000:1000", road_speeds="30,60")
    assert [name for name in made["table"]["columns"] if "_at_" in name] == [
        "engine_speed_at_30_mph", "engine_speed_at_60_mph", "speed_at_1000_rpm", "speed_at_2000_rpm",
        "speed_at_3000_rpm",
    ]  # fmt: skip
    assert column(made, "engine_speed_at_60_mph")[1] == pytest.approx(60 / PER_TURN * 4)
    assert column(made, "speed_at_2000_rpm")[1] == pytest.approx(2000 / 4 * PER_TURN)


def grid(idle: float, redline: float) -> list[int]:
    made = road_speed(idle_speed=idle, redline_speed=redline)
    names = [name for name in made["table"]["columns"] if name.startswith("speed_at_")]
    return [round(float(name.removeprefix("speed_at_").removesuffix("_rpm"))) for name in names]


def test_the_grid_has_every_500_between_idle_and_redline_and_both() -> None:
    assert grid(750, 5200) == [750, 1000, 1500, 2000, 2500, 3000, 3500, 4000, 4500, 5000, 5200]
    assert grid(1000, 2500) == [1000, 1500, 2000, 2500]
    assert len(grid(500, 10000)) == 20


def test_a_step_too_near_to_an_end_is_left_out() -> None:
    """Nearer than 2 %."""
    assert grid(985, 5090) == [985, 1500, 2000, 2500, 3000, 3500, 4000, 4500, 5090]
    assert grid(975, 5110)[:2] == [975, 1000]
    assert grid(975, 5110)[-2:] == [5000, 5110]


@pytest.mark.parametrize(("redline", "answered"), [(1000.001, True), (1000, False)])
def test_the_redline_must_be_above_idle(redline: float, answered: bool) -> None:
    if answered:
        assert road_speed(redline_speed=redline)["result"]["top_speed"] > 0
    else:
        with pytest.raises(InvalidBuild, match="redline_speed"):
            road_speed(redline_speed=redline)


def test_summary() -> None:
    assert road_speed()["summary"] == (
        "Top gear turns the engine 2,730 rpm at 65 mph; redline would be 119 mph, power permitting."
    )


def spans(system: System = "us", /, **changes: Any) -> Spans:
    """The picture."""
    raw = {name: value for name, value in (TRUCK | changes).items() if value is not None}
    picture = ask(QUESTIONS["road-speed"], read_build(raw, system)).picture
    made = picture() if picture is not None else None
    assert isinstance(made, Spans)
    return made


@pytest.mark.parametrize(
    ("curve", "low", "high"),
    [
        ("1000:50,2605:90,3000:100,3395:90,5000:50", 2620, 3380),
        ("1000:90,3000:90,3020:100,5000:90", 1000, 5000),
        ("1000:80,3995:90,4015:100,5000:100", 4000, 5000),
    ],
)
def test_the_picture_shows_nine_tenths_of_the_peak_torque(curve: str, low: float, high: float) -> None:
    """As far as steps of a 200th between idle and redline tell; nine tenths themselves count."""
    top = spans("metric", torque_curve=curve, idle_speed=1000, redline_speed=5000).spans[-1]
    assert top.inner is not None
    assert [speed / top.low * 1000 for speed in top.inner] == pytest.approx([low, high])


def test_a_cruise_speed_at_an_end_of_a_gear_is_told_in_it() -> None:
    """At its redline, and at its idle, as the table and its own arithmetic give these speeds."""
    for place, top in zip((2, 3, 0, 1), column(road_speed(), "top_speed"), strict=True):
        for speed in (top, top / 5):
            assert spans(cruise_speed=speed).spans[place].words, (place, speed)
        for speed in (top * 1.001, top / 5.005):
            assert not spans(cruise_speed=speed).spans[place].words, (place, speed)


def test_a_peak_at_the_redline_alone_is_no_stretch() -> None:
    assert [span.inner for span in spans(torque_curve="1000:10,4990:80,5000:100").spans] == [None] * 4


def test_ranges_are_told_apart_by_number_where_there_are_three() -> None:
    assert [span.label for span in spans().spans] == ["low 1st", "low 2nd", "1st", "2nd"]
    assert [span.label for span in spans(transfer_ratios=[1, 2, 3]).spans] == [
        "low 1 1st", "low 1 2nd", "low 2 1st", "low 2 2nd", "1st", "2nd",
    ]  # fmt: skip


def test_the_gear_before_the_change_comes_last() -> None:
    *now, before = spans(original_tyre="30 in").spans
    assert (before.label, before.before) == ("2nd before", True)
    assert before.high == pytest.approx(now[-1].high * 30 / 33)
    assert not any(span.before for span in now)


@pytest.mark.parametrize(("share", "ends"), [(0.99, True), (1.01, False), (1.09, False)])
def test_the_speed_symbol_ends_the_picture_where_redline_is_faster(share: float, ends: bool) -> None:
    """Speed symbol S, 180 km/h, at so much of the speed at redline."""
    sized = {"tyre": "LT315/75R16 121/118S"}
    redline = 180 / 1.609344 / share / road_speed(**sized)["result"]["speed_per_1000"] * 1000
    end = spans(**sized, redline_speed=redline).end
    assert (end is not None) is ends
    assert end is None or end.label == "speed symbol S, 112 mph"


def test_power_ends_the_picture_where_it_is_used_up_first() -> None:
    strong = {"tyre": "LT315/75R16 121/118S", "vehicle_mass": 5000, "peak_power": "100 hp",
              "peak_power_speed": 4500, "redline_speed": 6000}  # fmt: skip
    end = spans(**strong).end
    assert end is not None
    assert end.label.startswith("power ends, ")


def test_the_grid_is_told_as_assumed() -> None:
    made = road_speed(idle_speed=800, redline_speed=1700)
    assert made["assumed"]["engine_speeds"] == pytest.approx([800, 1000, 1500, 1700])
    assert "engine_speeds" not in road_speed(engine_speeds=[2000])["assumed"]
