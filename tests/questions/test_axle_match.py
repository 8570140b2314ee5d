"""Axle match: how far front and rear axle disagree."""

import pytest

from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, codes

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


@pytest.mark.parametrize(
    ("ratio", "centre", "code"),
    [(3.96, "no", "axles-differ"), (3.92, "no", "axles-disagree"), (3.88, "yes", "axles-disagree")],
)
def test_a_mismatch_on_a_limit_lies_within_it(ratio: float, centre: str, code: str) -> None:
    """1, 2 and 3 % of 4.0."""
    made = axle_match(front_axle_ratio=ratio, rear_axle_ratio=4.0, centre_differential=centre)
    assert code not in codes(made)


def test_the_force_of_the_wind_up() -> None:
    """Slip x stiffness x load, both axles in turn; stiffness 15.65, from 7 to 22: tyre files of an open library."""
    made = axle_match(front_axle_ratio=4.0, rear_axle_ratio=4.04, vehicle_mass=5000, front_axle_share=0.5)
    per_stiffness = (1 - 4.0 / 4.04) * 5000 / 4
    assert made["result"]["windup_force"] == pytest.approx(15.65 * per_stiffness)
    assert [round(stiffness * per_stiffness, -1) for stiffness in (7, 22)] == [90, 270]
    assert made["summary"].endswith("the tyres fight each other with about 87 to 270 lbf.")
