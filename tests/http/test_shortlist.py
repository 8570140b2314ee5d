"""The shortlist over HTTP: options, limits and refusals; what it computes is tested in ``batch/``."""

import csv
import io
import json
import re
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from gearing_api.app import create_app
from gearing_api.http.shortlist import ADDRESS, EXAMPLE
from gearing_api.settings import Settings
from tests.http.described import named


def ask(client: FlaskClient, query: str = "", **changes: Any) -> TestResponse:
    return client.post(ADDRESS + query, json={**EXAMPLE, **changes})


def refused(response: TestResponse) -> str:
    assert response.status_code == 422
    (error,) = response.get_json()["errors"]
    return f"{error['pointer']} {error['detail']}"


def test_the_example(client: FlaskClient) -> None:
    made = ask(client).get_json()
    assert (made["combinations"], made["meeting"], made["beaten"]) == (4, 2, 1)
    (row,) = made["rows"]
    assert row["choices"] == {"tyre": "33x12.50R17LT", "gears": "4.56"}
    assert row["sums"] == {"price": 1400}
    assert row["results"]["crawl_ratio"] == pytest.approx(4.46 * 2.72 * 4.56)
    assert made["cheapest"] == row
    assert [step["text"][:14] for step in made["steps"]] == ["1. gears 4.56:"]
    assert made["sources"]
    assert "sources" not in ask(client, "?detail=brief").get_json()


def test_units_and_decimal_comma(client: FlaskClient) -> None:
    metric = ask(client, units="metric").get_json()
    assert metric["result_units"]["crawl_speed"] == "km/h"
    among = {"tyre": ["35x12,50R17LT"], "axle_ratio": ["4,10", "4,56"]}
    comma = ask(
        client, "?decimal=comma", among=among, sums=["price"], targets={"crawl_ratio": {"least": "50,5"}}
    )
    assert comma.get_json()["rows"][0]["choices"] == {"tyre": "35x12,50R17LT", "axle_ratio": "4,56"}


def test_errors_are_listed_once_with_their_combinations(client: FlaskClient) -> None:
    made = ask(client, among={**EXAMPLE["among"], "tyre": ["35", "35x12.50R17LT"]}).get_json()
    (error,) = made["errors"]
    assert (error["pointer"], error["count"], error["use"]) == ("/among/tyre/0", 2, "35 in")
    assert error["choices"]["tyre"] == "35"
    assert (made["refused"], made["combinations"]) == (2, 4)


class TestForms:
    def test_a_picture_a_text_and_json(self, client: FlaskClient) -> None:
        plan = {**EXAMPLE, "targets": {"crawl_ratio": {"least": 40}}}
        svg, png, text, plain = (
            client.post(f"{ADDRESS}.{form}", json=plan) for form in ("svg", "png", "txt", "json")
        )
        assert "33x12.50R17LT + gears 4.56" in svg.text
        assert "sandbox" in svg.headers["Content-Security-Policy"]
        assert png.data.startswith(b"\x89PNG")
        assert text.text.replace("\n   ", " ").startswith(plain.get_json()["summary"])
        assert plain.get_json() == ask(client, **plan).get_json()
        drawn = client.post(ADDRESS, json=plan, headers={"Accept": "image/svg+xml"})
        assert drawn.data == svg.data
        assert drawn.headers["Vary"] == "Accept"
        dark = client.post(f"{ADDRESS}.svg?chart_theme=dark&chart_size=480x320", json=plan)
        assert 'width="480" height="320"' in dark.text
        assert client.post(f"{ADDRESS}.svg?chart_size=bigger", json=plan).status_code == 422

    def test_nothing_to_draw(self, client: FlaskClient) -> None:
        plan = {name: EXAMPLE[name] for name in ("build", "among", "sums")}
        response = client.post(f"{ADDRESS}.svg", json=plan)
        assert response.status_code == 422
        assert "nothing to draw" in response.get_json()["detail"]

    def test_text_names_what_is_refused(self, client: FlaskClient) -> None:
        among = {**EXAMPLE["among"], "tyre": ["35", "35x12.50R17LT"]}
        text = client.post(f"{ADDRESS}.txt", json={**EXAMPLE, "among": among}).text
        assert "\n2 refused: tyre is a bare number" in text


class TestLimits:
    def test_combinations(self, client: FlaskClient) -> None:
        among = {"axle_ratio": [4.1] * 400, "tyre": ["35x12.50R17LT"] * 251}
        told = refused(ask(client, among=among))
        assert "makes 100400 combinations: at most 100000 are computed at a time" in told
        assert "gearing-api shortlist PLAN.json" in told

    def test_fewer_where_a_question_takes_long(self, client: FlaskClient) -> None:
        build = {**EXAMPLE["build"], "vehicle_mass": 5300, "peak_torque": 260, "peak_power": 215}
        build |= {"peak_torque_speed": 3200, "peak_power_speed": 5000}
        among = {"axle_ratio": [4.1] * 201, "tyre": ["35x12.50R17LT"] * 100}
        told = refused(ask(client, build=build, among=among, targets={"acceleration_time": {"most": 12}}))
        assert "at most 20000 are computed at a time where acceleration is asked" in told

    def test_forms(self) -> None:
        app = create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0, combinations=3))
        among = {"tyre": ["33x12.50R17LT", "265/70R17"], "axle_ratio": [4.1, 4.56]}
        lists = {**among, "transfer_ratios": [[1, 2], [1, 2, 3]]}
        with app.test_client() as client:
            assert ask(client, among=among).status_code == 200
            assert "in 4 different combinations: at most 3" in refused(ask(client, among=lists))

    def test_cells(self) -> None:
        app = create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0, cells=11))
        with app.test_client() as client:
            assert client.post(ADDRESS, json={"build": {}, "among": {}}).status_code == 422
            response = client.post(ADDRESS, json={"build": {}, "among": {"tyre": ["a"] * 12}})
            assert response.status_code == 413


@pytest.mark.parametrize("body", [b"[]", b"{", b"null", b'{"build": 3, "among": {"tyre": [1]}}'])
def test_no_plan(client: FlaskClient, body: bytes) -> None:
    assert client.post(ADDRESS, data=body, content_type="application/json").status_code in (400, 422)


def test_options_stand_in_the_address_and_units_in_the_body(client: FlaskClient) -> None:
    assert "units stands in the body" in refused(ask(client, "?units=metric"))
    assert client.get(ADDRESS).status_code == 405


def test_answers_are_as_described(client: FlaskClient) -> None:
    for changes in (
        {},
        {"targets": {"crawl_ratio": {"least": 500}}},
        {"among": {"tyre": ["35", "35 in"], "axle_ratio": [4]}},
    ):
        named("ShortlistAnswer").validate(ask(client, **changes).get_json())
    named("ShortlistPlan").validate(EXAMPLE)


WIDE = {"targets": {"crawl_ratio": {"least": 1}}, "aims": {"crawl_speed": "low", "crawl_ratio": "low"}}


class TestFormats:
    """The list for a forum and a spreadsheet, with the same rows as its JSON."""

    def ask(self, client: FlaskClient, suffix: str, query: str = "", **changes: object) -> str:
        response = client.post(f"/v1/shortlist.{suffix}{query}", json={**EXAMPLE, **WIDE, **changes})
        assert response.status_code == 200
        return response.text

    def test_rows_of_csv_are_those_of_json(self, client: FlaskClient) -> None:
        made = json.loads(self.ask(client, "json", "?bands=1"))
        headings, *lines = csv.reader(io.StringIO(self.ask(client, "csv", "?bands=1")))
        assert len(lines) == len(made["rows"]) > 1
        for line, row in zip(lines, made["rows"], strict=True):
            cells = dict(zip(headings, line, strict=True))
            assert (cells["label"], cells["gives_up"]) == (row["label"], row["gives_up"])
            for name, ends in row["ranges"].items():
                told = [cells[name], cells[f"{name}_low"], cells[f"{name}_high"]]
                assert told == ["" if end is None else str(end) for end in (row["results"][name], *ends)]

    def test_markdown_has_a_line_for_each_row(self, client: FlaskClient) -> None:
        made = json.loads(self.ask(client, "json"))
        text = self.ask(client, "md", "?decimal=comma")
        lines = [line for line in text.splitlines() if line.startswith("| ")]
        assert len(lines) == 2 + len(made["rows"])
        assert [line.count(" | ") for line in lines] == [lines[0].count(" | ")] * len(lines)
        assert "crawl ratio" in lines[0]
        assert re.search(r"\d,\d", text)

    def test_text_fits_a_forum_and_calls_nobody(self, client: FlaskClient) -> None:
        gears = [
            {"name": f"@all `{ratio}", "price": 10 * ratio, "axle_ratio": ratio} for ratio in (4, 5, 6, 7, 8)
        ]
        text = self.ask(client, "txt", among={**EXAMPLE["among"], "gears": gears}, show=100)
        assert len(text) <= 1900
        assert max(map(len, text.splitlines())) <= 60
        assert not set("@`") & set(text)
