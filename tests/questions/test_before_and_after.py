"""The vehicle before the change: any field with `original_` in front, and what the answer says of both."""

import csv
import io
import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vocabulary import FIELDS, RESULTS, may_have_original

BUILD: dict[str, Any] = {
    "tyre": "35 in", "axle_ratio": 4.56, "gear_ratios": [4, 2.3, 1.5, 1], "transfer_ratios": [1, 2.7],
    "vehicle_mass": 5300, "peak_torque": 260,
}  # fmt: skip
BEFORE: dict[str, Any] = {
    "tyre": "31 in",
    "axle_ratio": 3.73,
    "transfer_ratios": [1, 2.5],
    "vehicle_mass": 4900,
}


def named(before: dict[str, Any]) -> dict[str, Any]:
    return {f"original_{name}": value for name, value in before.items()}


def test_original_and_change_are_those_of_two_answers(client: FlaskClient) -> None:
    both = client.post("/v1/crawl", json=BUILD | named(BEFORE)).get_json()
    now, before = (client.post("/v1/crawl", json=raw).get_json()["result"] for raw in (BUILD, BUILD | BEFORE))
    assert both["result"] == now
    assert both["original"] == before
    for name, value in now.items():
        if isinstance(value, float) and isinstance(before[name], float):
            assert both["change"][name] == pytest.approx(value - before[name], rel=1e-9)
        else:
            assert name not in both["change"]
    assert named(BEFORE).items() <= both["given"].items()


def test_an_object_of_originals_is_the_same(client: FlaskClient) -> None:
    flat = client.post("/v1/crawl", json=BUILD | named(BEFORE)).get_json()
    assert client.post("/v1/crawl", json=BUILD | {"original": BEFORE}).get_json() == flat
    twice = client.post("/v1/crawl", json=BUILD | {"original": BEFORE, "original_tyre": "31 in"})
    assert twice.status_code == 422
    assert "give it once" in twice.get_json()["detail"]
    assert client.post("/v1/crawl", json=BUILD | {"original": 3}).status_code == 422


def test_without_an_original_there_is_nothing_to_compare(client: FlaskClient) -> None:
    answer = client.post("/v1/crawl", json=BUILD).get_json()
    assert "original" not in answer
    assert "change" not in answer


def test_results_that_compare_already_have_no_original(client: FlaskClient) -> None:
    answer = client.post("/v1/final-drive", json=BUILD | named(BEFORE)).get_json()
    assert answer["result"]["restoring_ratio"] is not None
    assert answer.keys().isdisjoint({"original", "change"})


def test_an_original_replaces_its_whole_group() -> None:
    """Teeth with the ratio, every peak with one of them; all else is as it is now."""
    build = read_build(BUILD | {"ring_teeth": 41, "pinion_teeth": 9, "axle_ratio": 4.56}
                       | {"peak_torque_speed": 3000, "peak_power": 200, "peak_power_speed": 5000}
                       | {"original_axle_ratio": 3.73, "original_peak_torque": 200})  # fmt: skip
    before = build.original()
    assert float(before.number("axle_ratio")) == 3.73
    assert not before.given("ring_teeth")
    assert not before.given("peak_power")
    assert before.given("vehicle_mass")


def test_hubs_lift_load_and_trailer_came_with_the_change() -> None:
    before = read_build(BUILD | {"hub_ratio": 1.5, "lift_height": 4, "trailer_mass": 2000}).original()
    assert float(before.number("hub_ratio")) == 1.0
    assert not before.given("trailer_mass")
    kept = read_build(BUILD | {"hub_ratio": 1.5, "original_hub_ratio": 1.5}).original()
    assert float(kept.number("hub_ratio")) == 1.5


def test_teeth_of_the_original_are_its_ratio() -> None:
    build = read_build(BUILD | {"original_ring_teeth": 41, "original_pinion_teeth": 11})
    assert float(build.number("original_axle_ratio")) == 41 / 11


@pytest.mark.parametrize(
    "name", ["cruise_speed", "surface", "target_crawl_ratio", "available_ratios", "original_tyre"]
)
def test_conditions_and_targets_have_no_original(client: FlaskClient, name: str) -> None:
    assert not may_have_original(name)
    response = client.post("/v1/crawl", json=BUILD | {f"original_{name}": 1})
    assert response.status_code == 422
    assert "is no field of a build" in response.get_json()["detail"]


def test_each_question_answers_about_the_demo_before_and_after(client: FlaskClient) -> None:
    for question in QUESTIONS.values():
        raw = dict(question.example) | {"original_vehicle_mass": 4000}
        answer = client.post(f"/v1/{question.name}", json=raw).get_json()
        before = set(answer.get("original", ()))
        assert all(not RESULTS[name].against_original for name in before)
        assert set(answer.get("change", ())) <= before
        if "vehicle_mass" in question.fields and not question.measures:
            assert before or question.name in ("regear",), question.name


def test_a_vehicle_before_that_cannot_be_answered_is_said(client: FlaskClient) -> None:
    raw = BUILD | {
        "idle_speed": 800,
        "redline_speed": 5000,
        "original_redline_speed": 1000,
        "original_idle_speed": 1500,
    }
    answer = client.post("/v1/road-speed", json=raw).get_json()
    (caution,) = [one for one in answer["cautions"] if one["code"] == "no-answer-before"]
    assert "original_redline_speed" in caution["text"]
    assert "original" not in answer


def test_rows_have_the_original_and_the_change_of_what_is_picked(client: FlaskClient) -> None:
    body = 'tyre,axle_ratio,gear_ratios,original_tyre,original_axle_ratio\n35 in,4.56,"4,2,1",31 in,3.73\n'
    text = client.post("/v1/crawl?pick=crawl_speed", data=body, content_type="text/csv").text
    (row,) = csv.DictReader(io.StringIO(text))
    one = client.post(
        "/v1/crawl",
        json={"tyre": "35 in", "axle_ratio": 4.56, "gear_ratios": [4, 2, 1], "original_tyre": "31 in",
              "original_axle_ratio": 3.73},
    ).get_json()  # fmt: skip
    assert float(row["crawl_speed"]) == one["result"]["crawl_speed"]
    assert float(row["original_crawl_speed"]) == one["original"]["crawl_speed"]
    assert float(row["change_crawl_speed"]) == one["change"]["crawl_speed"]


def test_a_batch_has_them_too_with_their_units(client: FlaskClient) -> None:
    columns = {
        "tyre": ["35 in", "37 in"],
        "axle_ratio": 4.56,
        "gear_ratios": "4,2,1",
        "original": {"tyre": "31 in"},
    }
    made = client.post("/v1/crawl/batch", json={"columns": columns, "pick": "crawl_speed"}).get_json()
    assert made["column_units"] == dict.fromkeys(
        ("crawl_speed", "original_crawl_speed", "change_crawl_speed"), "mph"
    )
    now, before, change = (made["columns"][name] for name in made["column_units"])
    assert before[0] == before[1]
    assert change == pytest.approx([one - other for one, other in zip(now, before, strict=True)], rel=1e-9)
    json.dumps(made, allow_nan=False)


def test_no_field_begins_with_the_prefix_twice() -> None:
    assert not any(name.startswith("original_original_") for name in FIELDS)


@pytest.mark.parametrize(
    ("question", "field", "value", "more"),
    [
        ("braking", "vehicle_mass", "4000 to 4200 lb", {}),
        (
            "axle-check",
            "bearing_arm",
            "0.9 to 1.1 in",
            {"bearing_arm": 1.2, "bearing_span": 3, "peak_torque": None},
        ),
        ("ring-gear-load", "peak_torque", "200 to 220 lb-ft", {}),
        ("final-drive", "hub_ratio", "1.1 to 1.2", {}),
    ],
)
def test_a_range_of_the_vehicle_before_is_said(
    question: str, field: str, value: str, more: dict[str, Any]
) -> None:
    asked = QUESTIONS[question]
    raw = dict(asked.example) | more | {f"original_{field}": value}
    answer = ask(asked, read_build({name: each for name, each in raw.items() if each is not None}))
    told = [caution.text for caution in answer.cautions if caution.code == "range-given"]
    assert [f"(original_{field})" in text for text in told] == [True]
