"""One reading of options and places of errors, by whichever door a request comes."""

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api import __version__
from gearing_api.app import create_app
from gearing_api.http.problems import PROBLEM_TYPES
from gearing_api.settings import Settings

PLAN = {"build": {"tyre": "x"}, "vary": {"axle_ratio": [4.1]}, "report": ["effective_ratio"]}
CSV = {"data": "tyre,axel_ratio\n265/70R17,4.1\n", "content_type": "text/csv"}

REFUSED: dict[str, Callable[[FlaskClient, str], Any]] = {
    "query": lambda client, option: client.get(f"/v1/tyre?{option}&tyre=x"),
    "head": lambda client, option: client.head(f"/v1/tyre?{option}&tyre=x"),
    "page": lambda client, option: client.get(f"/v1/tyre.html?tyre=x&{option}"),
    "query of a post": lambda client, option: client.post(f"/v1/tyre?{option}", json={"tyre": "x"}),
    "body that is no json": lambda client, option: client.post(f"/v1/tyre?{option}", data="{"),
    "rows": lambda client, option: client.post(f"/v1/tyre?{option}", **CSV),
    "batch": lambda client, option: client.post(f"/v1/tyre/batch?{option}", json={"columns": 1}),
    "comparison": lambda client, option: client.post(f"/v1/comparison?{option}", json=PLAN),
    "sentence": lambda client, option: client.get(f"/v1/from-text?{option}"),
    "table": lambda client, option: client.get(f"/v1/tables/units?{option}&x=1"),
    "no such address": lambda client, option: client.get(f"/v1/nothing?{option}"),
    "no such method": lambda client, option: client.delete(f"/v1/tyre?{option}"),
    "no such format": lambda client, option: client.get(
        f"/v1/tyre?tyre=265/70R17&{option}", headers={"Accept": "image/gif"}
    ),
    "twice": lambda client, option: client.get(f"/v1/tyre?tyre=x&{option}&tyre=y"),
    "not utf-8": lambda client, option: client.get(f"/v1/tyre?tyre=%ff&{option}"),
    "unknown option": lambda client, option: client.get(f"/v1/tyre?{option}&units=furlongs"),
}


@pytest.mark.parametrize("option", ["errors=text", "errors=%74ext", "%65rrors=tex%74"])
@pytest.mark.parametrize("door", REFUSED)
def test_errors_as_text_in_the_address_however_it_is_escaped(
    client: FlaskClient, door: str, option: str
) -> None:
    response = REFUSED[door](client, option)
    assert response.status_code == 200
    assert response.content_type == "text/plain; charset=utf-8"
    assert response.text.startswith("#ERR ") or door == "head"
    assert REFUSED[door](client, "errors=problem").status_code >= 400


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/tyre", {"tyre": "x"}),
        ("/v1/tyre.csv", {"tyre": "x"}),
        ("/v1/tyre/batch", {"columns": {"x": 1}}),
        ("/v1/from-text", {"q": ""}),
        ("/v1/comparison", PLAN),
    ],
)
def test_errors_as_text_in_the_body(client: FlaskClient, path: str, body: dict[str, Any]) -> None:
    response = client.post(path, json=body | {"errors": "text"})
    assert response.status_code == 200
    assert response.text.startswith("#ERR ")


def test_a_format_is_chosen_after_the_body_is_read(client: FlaskClient) -> None:
    response = client.post(
        "/v1/tyre", json={"tyre": "265/70R17", "errors": "text"}, headers={"Accept": "image/gif"}
    )
    assert response.text == "#ERR The formats are application/json, text/csv, text/plain, text/markdown."


def test_too_many_requests_as_text() -> None:
    client = create_app(Settings(requests_per_minute=1)).test_client()
    assert client.get("/v1/tyre?tyre=265/70R17&errors=%74ext").status_code == 200
    assert client.get("/v1/tyre?tyre=265/70R17&errors=%74ext").text.startswith("#ERR This address")


LOCATED: dict[str, tuple[Callable[[FlaskClient], Any], list[tuple[str, str]]]] = {
    "field in the query": (lambda client: client.get("/v1/tyre?tyre=x"), [("query", "/tyre")]),
    "field missing from the query": (lambda client: client.get("/v1/tyre"), [("query", "/tyre")]),
    "option in the query of a post": (
        lambda client: client.post("/v1/tyre?pick=x", json={"tyre": "265/70R17"}),
        [("query", "/pick")],
    ),
    "unfit option in the query of a post": (
        lambda client: client.post("/v1/tyre?units=x&bom=2", json={"tyre": "265/70R17", "decimal": "x"}),
        [("query", "/units"), ("query", "/bom"), ("body", "/decimal")],
    ),
    "option in the body": (
        lambda client: client.post("/v1/tyre", json={"tyre": "265/70R17", "pick": ["x"]}),
        [("body", "/pick")],
    ),
    "field missing from the body": (
        lambda client: client.post("/v1/tyre?bom=1", json={}),
        [("body", "/tyre")],
    ),
    "field in the query of a post": (
        lambda client: client.post("/v1/tyre?tyre=265/70R17", json={}),
        [("query", "/tyre")],
    ),
    "heading of rows": (
        lambda client: client.post("/v1/tyre", data="tyre,x\n1,2", content_type="text/csv"),
        [("header row", "/x")],
    ),
    "option of rows": (
        lambda client: client.post("/v1/tyre?pick=x", data="tyre\n1", content_type="text/csv"),
        [("query", "/pick")],
    ),
    "pick in the body of a batch": (
        lambda client: client.post("/v1/tyre/batch", json={"columns": {"tyre": ["265/70R17"]}, "pick": "x"}),
        [("body", "/pick")],
    ),
    "pick in the query of a batch": (
        lambda client: client.post("/v1/tyre/batch?pick=x", json={"columns": {"tyre": ["265/70R17"]}}),
        [("query", "/pick")],
    ),
    "column of a batch": (
        lambda client: client.post("/v1/tyre/batch", json={"columns": {"x": ["265/70R17"]}}),
        [("body", "/columns/x")],
    ),
    "field beside columns": (
        lambda client: client.post("/v1/tyre/batch", json={"columns": {}, "tyre": "265/70R17"}),
        [("body", "/tyre")],
    ),
    "value in a comparison": (
        lambda client: client.post("/v1/comparison", json=PLAN | {"vary": {"axle_ratio": [4.1, "x"]}}),
        [("body", "/build/tyre"), ("body", "/vary/axle_ratio/1")],
    ),
    "member in the query of a comparison": (
        lambda client: client.post("/v1/comparison?units=us", json=PLAN),
        [("query", "/units")],
    ),
    "parameter of a table": (lambda client: client.get("/v1/tables/units?pick=a"), [("query", "/pick")]),
}


@pytest.mark.parametrize("case", LOCATED)
def test_an_error_names_where_in_the_request_it_is(client: FlaskClient, case: str) -> None:
    send, expected = LOCATED[case]
    problem = send(client).get_json()
    found = [(error["location"], error["pointer"]) for error in problem["errors"]]
    assert sorted(found) == sorted(expected)


class TestVersion:
    @pytest.mark.parametrize("path", ["/", "/healthz"])
    def test_it_stands_there(self, client: FlaskClient, path: str) -> None:
        assert client.get(path).get_json()["version"] == __version__

    def test_the_spec_has_it(self, client: FlaskClient) -> None:
        assert client.get("/openapi.json").get_json()["info"]["version"] == __version__


class TestProblemTypes:
    def test_all_are_listed(self, client: FlaskClient) -> None:
        response = client.get("/problems")
        listed = response.get_json()["problems"]
        assert [kind["status"] for kind in listed] == list(PROBLEM_TYPES)
        for kind in listed:
            assert set(kind) == {"type", "slug", "status", "title", "advice"}
            assert client.get(kind["type"]).status_code == 200

    def test_a_browser_gets_a_page(self, client: FlaskClient) -> None:
        response = client.get("/problems", headers={"Accept": "text/html,*/*;q=0.8"})
        assert response.content_type == "text/html; charset=utf-8"
        assert response.headers["Vary"] == "Accept"
        for kind in PROBLEM_TYPES.values():
            assert f'href="/problems/{kind.slug}"' in response.text


@pytest.mark.parametrize(
    ("question", "field", "text", "use"),
    [
        ("crawl", "gear_ratios", "4.46", "4,46"),
        ("crawl", "transfer_ratios", "1;2.72", "1;2,72"),
        ("crawl", "torque_curve", "1000:210.5;2000:260", "1000:210,5;2000:260"),
        ("crawl", "loads", "90.5:30", "90,5:30"),
        ("road-speed", "engine_speeds", "1000;3500.5;500", "1000;3500,5;500"),
        ("regear", "available_ratios", "4.10", "4,10"),
        ("regear", "cruise_engine_speed_range", "1800.5-2200", "1800,5-2200"),
    ],
)
def test_a_list_with_a_decimal_point_is_refused_where_a_comma_was_asked_for(
    client: FlaskClient, question: str, field: str, text: str, use: str
) -> None:
    build = {"tyre": "33 in", "axle_ratio": "4,1", "gear_ratios": "4;2", "decimal": "comma"} | {field: text}
    for made in (
        client.get(f"/v1/{question}", query_string=build),
        client.post(f"/v1/{question}", json=build),
    ):
        assert made.status_code == 422
        (error,) = made.get_json()["errors"]
        assert error["pointer"] == f"/{field}"
        assert error["detail"].startswith(f"{field} has a decimal point")
        assert (error["got"], error["use"]) == (text, use)
