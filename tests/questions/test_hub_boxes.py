"""Hub boxes (portal axles): height, track, and torque inside them."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.formats.document import Document, document
from gearing_api.questions import QUESTIONS, ask, read_build
from tests.questions.test_axle_strength import ask_demo


def clearance(**changes: Any) -> Document:
    raw = {"tyre": f"{400 * 6.283185307179586 / 3.05} mm", "housing_drop": 127, **changes}
    build = read_build(raw, "metric")
    return document(QUESTIONS["clearance"], build, ask(QUESTIONS["clearance"], build))


def test_an_axle_above_the_wheel_centre_gains_its_height() -> None:
    """A wheel centre 400 mm high, box 101.6 mm up, housing 127 mm down: 374.6 mm, computed."""
    assert clearance(hub_offset=101.6)["result"]["housing_clearance"] == pytest.approx(374.6, abs=0.01)
    below = clearance(hub_offset=-50)["result"]["housing_clearance"]
    assert below == pytest.approx(400 - 50 - 127, abs=0.01)


def test_the_vehicle_before_had_no_boxes_unless_given() -> None:
    made = clearance(hub_offset=101.6, original_housing_drop=127)["result"]
    assert made["housing_clearance_change"] == pytest.approx(101.6)
    assert made["tyre_growth_used_up"] < 0
    same = clearance(hub_offset=101.6, original_hub_offset=101.6, original_housing_drop=127)["result"]
    assert same["housing_clearance_change"] == pytest.approx(0, abs=1e-9)


def test_boxes_widen_the_track() -> None:
    wide = {
        "mounting_width": 1500,
        "wheel_offset": 20,
        "original_mounting_width": 1500,
        "original_wheel_offset": 20,
    }
    made = clearance(**wide, hub_box_width=90)["result"]
    assert made["track"] == pytest.approx(1460 + 180)
    assert made["track_change"] == pytest.approx(180)
    assert clearance(**wide, hub_box_width=90, original_hub_box_width=90)["result"]["track_change"] == 0
    assert clearance(**wide, track=1700)["result"]["track_change"] == pytest.approx(240)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(ratio=st.floats(0.5, 10), own=st.sampled_from(["hub_ratio", "front_hub_ratio"]))
def test_a_hub_divides_the_torque_inside_it_by_its_ratio(ratio: float, own: str) -> None:
    """The engine limit of the ring gear ends before the hub; a given efficiency has no loss of the hub in it."""
    plain, portal = (
        ask_demo("ring-gear-load", driveline_efficiency=0.9, **hub)["result"] for hub in ({}, {own: ratio})
    )
    assert portal["grip_limited_torque"] == pytest.approx(plain["grip_limited_torque"] / ratio)
    assert portal["engine_limited_torque"] == plain["engine_limited_torque"]


def test_the_other_axle_has_hubs_of_its_own() -> None:
    plain = ask_demo("ring-gear-load")["result"]["grip_limited_torque"]
    assert ask_demo("ring-gear-load", rear_hub_ratio=1.5)["result"]["grip_limited_torque"] == plain
