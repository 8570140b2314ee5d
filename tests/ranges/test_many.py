"""Ranges of many builds: the ends that each build has alone, beside its results."""

import csv
import io
from typing import Any

import pytest
from flask.testing import FlaskClient

BUILD = {
    "axle_ratio": 4.1,
    "gear_ratios": [4.46, 2.61, 1.72],
    "peak_torque": 260,
    "vehicle_mass": "5000 to 5600 lb",
}
TYRES = ["315/70R17", "34.2 in", "35x12.50R17LT"]
RESULTS = ["crawl_speed", "crawl_wheel_torque", "crawl_limited_by"]
NUMBERS = RESULTS[:2]


def alone(client: FlaskClient, tyre: str, **more: Any) -> dict[str, Any]:
    response = client.post("/v1/crawl", json={**BUILD, **more, "tyre": tyre, "bands": "1"})
    answer: dict[str, Any] = response.get_json()
    return answer


def expected(client: FlaskClient, name: str, **more: Any) -> list[list[float]]:
    answers = [alone(client, tyre, **more) for tyre in TYRES]
    return [answer["ranges"].get(name, [answer["result"][name]] * 2) for answer in answers]


def test_a_batch_has_the_ends_of_each_build(client: FlaskClient) -> None:
    columns = {**BUILD, "gear_ratios": "4.46,2.61,1.72", "tyre": TYRES}
    asked = {"bands": "1", "pick": ",".join(RESULTS), "columns": columns}
    found = client.post("/v1/crawl/batch", json=asked).get_json()
    order = ["crawl_speed", "crawl_speed_low", "crawl_speed_high", "crawl_wheel_torque", "crawl_wheel_torque_low",
             "crawl_wheel_torque_high", "crawl_limited_by"]  # fmt: skip
    assert list(found["columns"]) == list(found["column_units"]) == order
    for name in NUMBERS:
        ends = zip(found["columns"][name + "_low"], found["columns"][name + "_high"], strict=True)
        assert [*map(list, ends)] == expected(client, name)


def test_a_comparison_has_the_ends_of_each_build_in_its_order(client: FlaskClient) -> None:
    plan = {"build": BUILD, "vary": {"tyre": TYRES}, "report": RESULTS, "sort": "-crawl_speed"}
    response = client.post("/v1/comparison.csv?bands=1", json=plan)
    rows = {row["tyre"]: row for row in csv.DictReader(io.StringIO(response.text))}
    assert [*rows] == ["35x12.50R17LT", "315/70R17", "34.2 in"]
    for name in NUMBERS:
        ends = [[float(rows[tyre][f"{name}_{end}"]) for end in ("low", "high")] for tyre in TYRES]
        assert ends == expected(client, name)


def test_rows_of_csv_have_the_ends_of_what_they_had_before_too(client: FlaskClient) -> None:
    lines = [
        "tyre,original_tyre,axle_ratio,gear_ratios",
        '315/70R17,265/70R17,4.1,"4.1,2"',
        '35,265/70R17,4.1,"4.1,2"',
    ]
    response = client.post(
        "/v1/crawl?bands=1&pick=crawl_speed", data="\n".join(lines), content_type="text/csv"
    )
    first, second = csv.DictReader(io.StringIO(response.text))
    answer = client.post("/v1/crawl", json={"tyre": "315/70R17", "original_tyre": "265/70R17", "axle_ratio": 4.1,
                                            "gear_ratios": [4.1, 2], "bands": "1"}).get_json()  # fmt: skip
    for name in ("crawl_speed", "original_crawl_speed", "change_crawl_speed"):
        ends = [float(first[f"{name}_{end}"]) for end in ("low", "high")]
        assert ends == answer["ranges"][name]
    assert second["crawl_speed_low"] == ""
    assert second["error"]


def test_csv_and_picked_text_have_the_ends_behind_each_number(client: FlaskClient) -> None:
    query = {
        **BUILD,
        "tyre": "315/70R17",
        "gear_ratios": "4.46,2.61,1.72",
        "bands": "1",
        "pick": ",".join(RESULTS[:1]),
    }
    (low, high), value = (
        alone(client, "315/70R17")["ranges"]["crawl_speed"],
        alone(client, "315/70R17")["result"],
    )
    row = next(csv.DictReader(io.StringIO(client.get("/v1/crawl.csv", query_string=query).text)))
    assert {name: float(cell) for name, cell in row.items()} == {
        "crawl_speed": value["crawl_speed"], "crawl_speed_low": low, "crawl_speed_high": high,
    }  # fmt: skip
    text = client.get("/v1/crawl.txt", query_string=query).text
    assert [float(cell) for cell in text.split("\t")] == [value["crawl_speed"], low, high]


@pytest.mark.parametrize("address", ["/v1/crawl/batch", "/v1/comparison?bands=1"])
def test_rows_times_draws_count_against_the_limit(client: FlaskClient, address: str) -> None:
    ratios = [3.0 + 0.001 * place for place in range(200)]
    fields = {**BUILD, "gear_ratios": "4.46,2.61", "tyre": "35 in"}
    del fields["axle_ratio"]
    body: dict[str, Any] = {"build": fields, "vary": {"axle_ratio": ratios}, "report": ["crawl_speed"]}
    if address.endswith("batch"):
        body = {"columns": {**fields, "axle_ratio": ratios}, "bands": "1"}
    response = client.post(address, json=body)
    assert response.status_code in (413, 422)
    assert "at most 195" in response.text


def test_a_range_that_is_typed_counts_in_a_row_as_alone(client: FlaskClient) -> None:
    masses = ["3000 to 7500 lb", "5250 lb"]
    lines = ["tyre,axle_ratio,gear_ratios,vehicle_mass", *(f'35 in,4.1,"4.46,1",{mass}' for mass in masses)]
    response = client.post(
        "/v1/cruise.csv?bands=1&pick=power_needed", data="\n".join(lines), content_type="text/csv"
    )
    for row, mass in zip(csv.DictReader(io.StringIO(response.text)), masses, strict=True):
        build = {
            "tyre": "35 in",
            "axle_ratio": 4.1,
            "gear_ratios": [4.46, 1],
            "vehicle_mass": mass,
            "bands": "1",
        }
        ends = client.post("/v1/cruise", json=build).get_json()["ranges"]["power_needed"]
        assert [float(row[f"power_needed_{end}"]) for end in ("low", "high")] == ends
