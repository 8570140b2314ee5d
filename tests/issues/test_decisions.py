"""Requests that once got right arithmetic and a wrong decision, each as it was sent."""

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.vehicle.demo_truck import TRUCK
from tests.builds import EXAMPLES

QUICK = settings(max_examples=12 * EXAMPLES, deadline=None)


def asked(client: FlaskClient, question: str, **changes: Any) -> Any:
    raw = {name: value for name, value in (TRUCK | changes).items() if value is not None}
    return client.post(f"/v1/{question}", json=raw).get_json()


def codes(answer: Any) -> dict[str, str]:
    return {caution["code"]: caution["level"] for caution in answer["cautions"]}


def test_axles_a_tenth_apart_are_not_told_to_engage(client: FlaskClient) -> None:
    """4.10 in front, 4.56 behind: 10.1 % by the manual's form."""
    apart = asked(client, "axle-match", front_axle_ratio=4.10, rear_axle_ratio=4.56)
    assert apart["result"]["mismatch_percent"] == pytest.approx(10.09, abs=0.01)
    assert apart["verdict"] == "stop"
    assert apart["result"]["windup_force"] > 0.0
    assert apart["result"]["windup_shaft_torque"] > 0.0
    assert any("Do not use four-wheel drive on any ground" in one["text"] for one in apart["cautions"])
    assert asked(client, "axle-match", front_axle_ratio=4.10, rear_axle_ratio=4.11)["verdict"] == "clear"


@pytest.mark.parametrize(
    ("front", "rear", "centre", "verdict"),
    [(1.000, 1.0099, "no", "clear"), (1.000, 1.0102, "no", "check"), (1.000, 1.0203, "no", "check"),
     (1.000, 1.0205, "no", "stop"), (1.000, 1.0308, "yes", "check"), (1.000, 1.0311, "yes", "stop")],
)  # fmt: skip
def test_mismatches_are_judged_by_a_truck_makers_limits(
    client: FlaskClient, front: float, rear: float, centre: str, verdict: str
) -> None:
    """1.0, 2.0 and with a centre differential 3.0 %: a commercial transfer-case service manual, p. 37."""
    answer = asked(
        client, "axle-match", front_axle_ratio=4 * front, rear_axle_ratio=4 * rear, centre_differential=centre
    )
    assert answer["verdict"] == verdict


def test_the_tyres_speed_is_said_beside_the_top_speed(client: FlaskClient) -> None:
    """A tyre of speed symbol Q, 99 mph, under a truck that reaches 118."""
    answer = asked(client, "cruise")
    assert answer["result"]["top_speed_on_grade"] > 99.5
    assert codes(answer)["speed-symbol"] == "note"
    assert answer["result"]["top_speed_limited_by"] == "power"
    fast = asked(client, "cruise", cruise_speed=105)
    assert codes(fast)["cruise-above-speed-symbol"] == "check"


def test_rolling_resistance_depends_on_the_ground_and_the_tread(client: FlaskClient) -> None:
    """It was 0.015 on gravel, on earth and on mud tyres alike."""
    rolling = {
        (surface, tread): asked(client, "crawl", surface=surface, tread=tread)["assumed"][
            "rolling_resistance"
        ]
        for surface in ("dry-asphalt", "gravel", "dry-earth")
        for tread in ("all-terrain", "mud")
    }
    assert rolling == pytest.approx({
        ("dry-asphalt", "all-terrain"): 0.012, ("dry-asphalt", "mud"): 0.017, ("gravel", "all-terrain"): 0.019,
        ("gravel", "mud"): 0.024, ("dry-earth", "all-terrain"): 0.049, ("dry-earth", "mud"): 0.054,
    })  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"gear_ratios": [0.84, 1, 1.25, 4.46]}, "gear_ratios"),
        ({"transfer_ratios": [2.72, 1]}, "transfer_ratios"),
    ],
)
def test_lists_in_the_wrong_order_are_refused(
    client: FlaskClient, changes: dict[str, Any], field: str
) -> None:
    problem = asked(client, "crawl", **changes)
    assert problem["status"] == 422
    assert problem["errors"][0]["pointer"] == f"/{field}"


def test_a_crawl_target_without_a_low_range_is_asked_about(client: FlaskClient) -> None:
    assert (
        codes(asked(client, "crawl", target_crawl_ratio=50, transfer_ratios=None))["no-low-range"] == "check"
    )
    assert "no-low-range" not in codes(asked(client, "crawl", target_crawl_ratio=50))


def test_a_tyre_that_does_not_carry_its_load_at_that_pressure_is_a_stop(client: FlaskClient) -> None:
    """LT315/75R16 121 at 15 psi under 2,800 lb: a third of a load table's figure was called rough."""
    tyre = {"tyre": "LT315/75R16 121/118S", "tyre_load": "2800 lb"}
    flat = asked(client, "tyre", **tyre, tyre_pressure="15 psi", wheel_width=None)
    assert codes(flat)["underinflated"] == "stop"
    between = asked(client, "tyre", **tyre, tyre_pressure="50 psi", wheel_width=None)
    assert codes(between)["underinflated"] == "check"
    assert "underinflated" not in codes(
        asked(client, "tyre", **tyre, tyre_pressure="70 psi", wheel_width=None)
    )


def test_a_rated_pressure_gives_load_and_pressure(client: FlaskClient) -> None:
    """LT235/85R16: 3042 lb at 80 psi, and 2205 at 50 and 1700 at 35 lb by the tables (second hand)."""
    for pressure, load in ((50, 2205), (35, 1700)):
        answer = asked(
            client, "tyre", tyre="LT235/85R16 120/116Q", rated_pressure=80, tyre_pressure=pressure,
            tyre_load=f"{load} lb", wheel_width=None,
        )["result"]  # fmt: skip
        printed = 3042 / 3086.47
        assert answer["load_at_pressure"] * printed == pytest.approx(load, rel=0.015)
        assert answer["pressure_needed"] == pytest.approx(pressure, rel=0.03)
    over = asked(
        client, "tyre", tyre="LT235/85R16 120/116Q", rated_pressure=80, tyre_load="3200 lb", wheel_width=None
    )
    assert over["absent"]["pressure_needed"] == {"why": "none does"}
    assert over["verdict"] == "stop"


def test_restoring_needs_an_original_in_both_questions(client: FlaskClient) -> None:
    alone = {"original_tyre": None}
    for question in ("final-drive", "regear"):
        answer = asked(client, question, **alone)
        assert answer["result"]["restoring_ratio"] is None
        assert answer["absent"]["restoring_ratio"]["fields"] == ["original_tyre"]


def test_the_tyres_of_a_sentence_are_not_exchanged(client: FlaskClient) -> None:
    sentence = "from 3.55 gears, what do i need with 35s to feel stock? stock tire 245/75R17"
    build = client.get("/v1/from-text", query_string={"q": sentence}).get_json()["result"]["build"]
    assert build["original_tyre"] == "245/75R17"
    assert build["tyre"] == "35 in"


def test_the_sign_of_a_hill_is_kept(client: FlaskClient) -> None:
    build = client.get("/v1/from-text", query_string={"q": "35s, 4.56 gears, down a 20 % hill"}).get_json()
    found = build["result"]["build"]
    assert found.get("descent_grade_percent") in (20, "20 %") or str(found.get("grade_percent")).startswith(
        "-20"
    )


def test_a_sheet_goes_downhill_without_cruise(client: FlaskClient) -> None:
    sheet = asked(client, "build-sheet", grade_percent=-15)
    assert sheet["absent"]["cruise_gear"] == {"why": "does not apply"}
    assert sheet["result"]["crawl_ratio"] is not None


@QUICK
@given(mass=st.floats(2500, 12000), more=st.floats(1.0, 2.0))
def test_more_mass_never_raises_a_margin_or_a_speed_held(app: Flask, mass: float, more: float) -> None:
    client = app.test_client()
    light, heavy = (
        {
            question: asked(client, question, vehicle_mass=pounds)["result"]
            for question in ("cruise", "axle-check")
        }
        for pounds in (mass, mass * more)
    )
    assert heavy["axle-check"]["weakest_margin"] <= light["axle-check"]["weakest_margin"] * (1 + 1e-9)
    slow, fast = (one["cruise"]["top_speed_on_grade"] or 0.0 for one in (heavy, light))
    assert slow <= fast * (1 + 1e-9)


@QUICK
@given(load=st.floats(300, 2500), more=st.floats(1.0, 2.0))
def test_more_load_never_raises_a_clearance(app: Flask, load: float, more: float) -> None:
    client = app.test_client()
    heights = [
        asked(client, "clearance", tyre_load=pounds, tyre_pressure=40)
        .get("result", {})
        .get("housing_clearance")
        for pounds in (load, load * more)
    ]
    if None not in heights:
        assert heights[1] <= heights[0] + 1e-9
