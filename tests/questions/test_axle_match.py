"""Axle match: how far front and rear axle disagree."""

import pytest

from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about

TRUCK = {"tyre": "33 in", "front_axle_ratio": 4.1, "rear_axle_ratio": 4.56}
axle_match = about("axle-match", TRUCK)
WHEEL_TURNS = 63360 / (33 * 3.05)
"""In a mile."""


def test_turns_by_hand() -> None:
    made = axle_match()["result"]
    front, rear = 4.1 * WHEEL_TURNS, 4.56 * WHEEL_TURNS
    assert made["front_turns_per_distance"] == pytest.approx(front)
    assert made["rear_turns_per_distance"] == pytest.approx(rear)
    assert made["windup_per_distance"] == pytest.approx(rear - front)


def test_front_ahead_is_positive_and_rear_ahead_negative() -> None:
    assert axle_match()["result"]["mismatch_percent"] > 0
    assert axle_match(front_axle_ratio=4.56, rear_axle_ratio=4.1)["result"]["mismatch_percent"] < 0
    assert axle_match(front_axle_ratio=4.56)["result"]["mismatch_percent"] == pytest.approx(0.0, abs=1e-9)


def test_a_tyre_can_make_up_for_a_ratio() -> None:
    made = axle_match(front_tyre="33 in", rear_tyre=f"{33 * 4.56 / 4.1} in")
    assert made["result"]["mismatch_percent"] == pytest.approx(0.0, abs=1e-9)
    assert made["summary"] == "Front and rear axle agree."


def test_one_tyre_stands_for_both_and_one_ratio_too() -> None:
    both = axle_match(front_axle_ratio=None, rear_axle_ratio=None, axle_ratio=4.1)["result"]
    assert both["mismatch_percent"] == 0.0
    assert both["front_turns_per_distance"] == pytest.approx(4.1 * WHEEL_TURNS)


def test_hubs_multiply_the_turns_of_both() -> None:
    assert axle_match(hub_ratio=2)["result"]["windup_per_distance"] == pytest.approx(0.92 * WHEEL_TURNS)


@pytest.mark.parametrize("missing", ["front_tyre", "rear_tyre"])
def test_without_tyres_each_missing_one_is_named(missing: str) -> None:
    with pytest.raises(InvalidBuild) as refused:
        axle_match(tyre=None)
    assert missing in {fault.field for fault in refused.value.faults}
