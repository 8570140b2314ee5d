"""Road speed: speed and engine speed in every gear and range."""

import pytest

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
