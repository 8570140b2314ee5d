"""Every way to an error, and the one shape all of them have."""

import json
import logging
import re
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from gearing_api.app import create_app
from gearing_api.http.pages import home
from gearing_api.http.problems import PROBLEM_TYPES, Problem
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.vocabulary import FIELDS
from tests.http.described import named

BUILD: dict[str, Any] = {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "gear_ratios": [4.46, 2.61]}
QUERY = "tyre=35x12.50R17LT&axle_ratio=4.56&gear_ratios=4.46,2.61"
CRAWL = "/v1/crawl"
JSON = "application/json"

PROBLEM = named("Problem")
PAGES: dict[str, str] = {}
"""The page of each type of problem, once it was asked for."""

# What would tell a stranger how the service is built.
LEAKS = re.compile(
    r"traceback|site-packages|\.py\b|/srv|/home|/usr|0x[0-9a-f]{6}|errno|exception|werkzeug|flask|marshmallow|"
    r"orjson|numpy|pint|gunicorn|python|jinja|line \d",
    re.IGNORECASE,
)


def get(query: str, path: str = CRAWL, **more: Any) -> dict[str, Any]:
    return {"method": "GET", "path": path, "query_string": query, **more}


def post(body: Any, content_type: str | None = JSON, path: str = CRAWL, **more: Any) -> dict[str, Any]:
    data = body if isinstance(body, bytes | str) else json.dumps(body)
    return {"method": "POST", "path": path, "data": data, "content_type": content_type, **more}


def with_member(text: str, name: str = "axle_ratio") -> dict[str, Any]:
    """A POST whose body holds that JSON text as the value of a field."""
    rest = {key: value for key, value in BUILD.items() if key != name}
    return post(f'{json.dumps(rest)[:-1]}, "{name}": {text}}}')


ELSEWHERE = {
    "no such address": (get("", "/v1/nothing"), 404),
    "no such suffix": (get(QUERY, "/v1/crawl.xml"), 404),
    "no such table": (get("", "/v1/tables/nothing"), 404),
    "no such format of a table": (get("", "/v1/tables/units.md"), 404),
    "no such type of problem": (get("", "/problems/nothing"), 404),
    "sources of pages": (get("", "/pages/home.html"), 404),
    "out of the pages": (get("", "/pages/../settings.py"), 404),
    "doubled strokes": (get(QUERY, "/v1//crawl"), 404),
    "NUL in the address": (get("", "/v1/cra%00wl"), 404),
    "PUT": (post(BUILD) | {"method": "PUT"}, 405),
    "DELETE": (get(QUERY) | {"method": "DELETE"}, 405),
    "POST to a table": (post(BUILD, path="/v1/tables/units"), 405),
    "POST to the home page": (post(BUILD, path="/"), 405),
    "picture": (get(QUERY, headers={"Accept": "image/png"}), 406),
    "nothing acceptable": (get(QUERY, headers={"Accept": "application/json;q=0"}), 406),
    "Markdown of a table": (get("", "/v1/tables/units", headers={"Accept": "text/markdown"}), 406),
    "field of a build at a table": (get("tyre=33", "/v1/tables/units"), 422),
    "units of a table": (get("units=metric", "/v1/tables/units"), 422),
    "long address": (get("tyre=" + "9" * 8000), 414),
    "query that is not UTF-8": (get("tyre=%ff%fe"), 400),
    "name that is not UTF-8": (get(QUERY + "&%c3%28=1"), 400),
}

MEDIA = {
    "no media type": post(BUILD, content_type=None),
    "text": post(BUILD, content_type="text/plain"),
    "XML": post("<tyre/>", content_type="application/xml"),
    "multipart": post("--x\r\n", content_type="multipart/form-data; boundary=x"),
    "gzip": post(b"\x1f\x8b\x08\x00\x00", headers={"Content-Encoding": "gzip"}),
    "br": post(b"\x0b\x02\x80{}\x03", headers={"Content-Encoding": "br"}),
}

MALFORMED = {
    "empty body": post(b""),
    "no JSON": post("tyre=33"),
    "half an object": post('{"tyre": "33x12.50R15"'),
    "two objects": post("{}{}"),
    "comment": post('{"tyre": 1 /* tyre */}'),
    "single quotes": post("{'tyre': 1}"),
    "NaN": with_member("NaN"),
    "Infinity": with_member("Infinity"),
    "minus Infinity": with_member("-Infinity"),
    "NaN in a list": with_member("[1, NaN]", "gear_ratios"),
    "5,000 digits": with_member("9" * 5000),
    "4,300 digits": with_member("9" * 4300),
    "400 digits": with_member("9" * 400),
    "20 digits": with_member("9" * 20),
    "leading zero": with_member("04.56"),
    "leading plus": with_member("+4.56"),
    "hexadecimal": with_member("0x10"),
    "100,000 brackets": with_member("[" * 100_000 + "]" * 100_000),
    "100,000 open brackets": with_member("[" * 100_000),
    "1,000 brackets": with_member("[" * 1000 + "]" * 1000),
    "1,000 objects": with_member('{"a":' * 1000 + "1" + "}" * 1000),
    "duplicate names": post('{"tyre": "33x12.50R15", "tyre": "35x12.50R15"}'),
    "duplicate names deeper": with_member('{"a": 1, "a": 2}'),
    "invalid UTF-8": post(b'{"tyre": "\xff"}'),
    "Latin-1": post('{"tyre": "é"}'.encode("latin-1")),
    "UTF-16": post(json.dumps(BUILD).encode("utf-16")),
    "half a surrogate pair in a value": with_member('"\\ud800"', "tyre"),
    "half a surrogate pair in a name": post('{"\\udfff": 1}'),
    "raw control character": post(b'{"tyre": "33\x00x12.50R15"}'),
    "array": post([BUILD]),
    "text": post('"35x12.50R17LT"'),
    "number": post("35"),
    "null": post("null"),
    "true": post("true"),
}

# Values of a number that must not pass for one, and of others that must not pass for what they are not.
REFUSED_VALUES = {
    "axle_ratio": [
        None, True, False, {}, [], [4.56], "", " ", "1_000", "4,56", "٤٫٥٦", "٤", "４", "४", "½", "²",
        "４．５", "4.5.6", "4..5", "--4", "4-", "1e999", "0x4", "4e", "inf", "nan", "NaN", "Infinity", "-inf",
        "4 in", "1/2", "4\u0000", "4\n5", "four", "9" * 41, 1e308, -4.56, 0, 5e-324,
    ],
    "ring_teeth": [
        None, True, 40.5, "40.5", "4_1", "٤١", "41.0", "0x29", "-41", "+41", 1e308, [41], "41 teeth",
    ],
    "tyre": [
        None, True, 35, "35", 35.5, [], {}, "", "35x", "tyre", "35 1/ in", "1,5 m", "5 200 mm", "35 kg",
        "3 in", "999 in", "265/70R17" * 5, "265/70R17\u0000", "٢٦٥/70R17", "'; DROP TABLE", "=1+1",
    ],
    "gear_ratios": [
        None, True, [], {}, "", ",", "4.46,,2.61", "4.46 -2.61", "4,46;2,61", "2.61,4.46", "1," * 2000,
        [4.46, None],
        [4.46, True], [4.46, "nan"], [[4.46]], [1] * 25, {"0": 4.46},
    ],
    "vehicle_mass": [
        "5 200 lb", "5,20 lb", "5_200", "1e999 kg", "5 stone", "5 lb lb", "5 l b s", "5lb5", "kg 5",
        "5" * 13, "5² t", "10**10**10", "9^9^9 kg", "(" * 30, "5 kg # a comment",
    ],
    "surface": [None, True, 1, [], "", "mud", "dry-earth\u0000", "dry earth"],
    "torque_curve": [
        None, "1000:210", "1000", "1000:210,900:200", "1000:210,1000:200", "a:b,c:d", "1000:210:5,2000:260",
        [[1000, 210]], [[1000], [2000]], [1000, 2000], [[1000, 210], [2000, True]],
    ],
}  # fmt: skip

VALUES = {
    f"{name}={value!r:.30}": post({key: other for key, other in BUILD.items() if key != name} | {name: value})
    for name, values in REFUSED_VALUES.items()
    for value in values
}

FIELD_BY_FIELD = {
    "nothing": get(""),
    "empty build": post({}),
    "all empty": get("tyre=&axle_ratio=&gear_ratios="),
    "unknown name": get(QUERY + "&axel_ratio=4.1"),
    "unknown name without a value": get(QUERY + "&axel_ratio="),
    "unknown name in a body": post(BUILD | {"axel_ratio": 4.1}),
    "name without a name": get(QUERY + "&=4.1"),
    "name of 4,000 characters": get(QUERY + "&" + "n" * 4000 + "=1"),
    "control characters in a name": get(QUERY + "&%00%1b%5b31m%0d%0aSet-Cookie:%20a=1"),
    "control characters in a value": get(QUERY + "&surface=%00%07%1b%0d%0a"),
    "repeated": get(QUERY + "&axle_ratio=4.56"),
    "repeated option": get(QUERY + "&units=us&units=metric"),
    "array in a query": get(QUERY + "&gear_ratios[]=4"),
    "many unknown names": post({f"axle_ratio{place}": 1 for place in range(60)}),
    "more names than there are": post({f"axle_ratio{place}": 1 for place in range(20_000)}),
    "more names than there are in a query": get("&".join(f"a{place}=" for place in range(1000))),
    "wrong units": get(QUERY + "&units=imperial"),
    "wrong decimal": get(QUERY + "&decimal=dot"),
    "option that is no text": post(BUILD | {"units": 5}),
    "option that is null": post(BUILD | {"units": None}),
    "pick of nothing known": get(QUERY + "&pick=crawl_ratoi"),
    "pick of a result and a column": get(QUERY + "&pick=crawl_ratio,gear"),
    "long pick": get(QUERY + "&pick=" + "a" * 501),
    "pick of a list in a list": post(BUILD | {"pick": [["crawl_ratio"]]}),
    "bare number of what is not known": get(QUERY + "&pick=grip_force", "/v1/crawl.txt"),
    "fields in the address of a POST": post(BUILD, query_string="hub_ratio=2"),
    "unknown in the address of a POST": post(BUILD, query_string="foo=2"),
    "given in both places": post(BUILD, query_string="axle_ratio=4.56"),
    "option in both places": post(BUILD | {"units": "us"}, query_string="units=us"),
    "contradiction": get(QUERY + "&ring_teeth=41&pinion_teeth=10"),
    "out of bounds": get(QUERY + "&vehicle_mass=1e9"),
    "idle above redline": get(QUERY + "&idle_speed=3000&redline_speed=2000", "/v1/road-speed"),
}

CASES: dict[str, tuple[dict[str, Any], int]] = (
    ELSEWHERE
    | {f"media type: {name}": (case, 415) for name, case in MEDIA.items()}
    | {f"malformed: {name}": (case, 400) for name, case in MALFORMED.items()}
    | {f"field: {name}": (case, 422) for name, case in FIELD_BY_FIELD.items()}
    | {name: (case, 422) for name, case in VALUES.items()}
    | {f"nothing asked of {name}": (get("", f"/v1/{name}"), 422) for name in QUESTIONS}
)
EACH_CASE = pytest.mark.parametrize(("case", "status"), CASES.values(), ids=list(CASES))


def assert_problem(client: FlaskClient, response: TestResponse, status: int) -> dict[str, Any]:
    assert response.status_code == status, response.text[:300]
    assert response.mimetype == "application/problem+json"
    problem: dict[str, Any] = json.loads(response.data)
    assert list(problem)[:5] == ["type", "title", "status", "detail", "errors"]
    assert set(problem) <= {"type", "title", "status", "detail", "errors", "errors_not_listed"}
    PROBLEM.validate(problem)
    assert problem["status"] == status
    assert problem["detail"]
    assert len(problem["errors"]) <= Settings().errors_listed
    for error in problem["errors"]:
        assert set(error) <= {"location", "pointer", "detail", "got", "use"}
        assert error["location"] in ("query", "body", "header row")
        assert error["pointer"].startswith("/")
    assert len(response.data) < 20_000, "an error is no way to make a small request a large answer"
    assert not LEAKS.search(response.text.replace("application/json", "")), response.text
    assert_headers(response)
    assert response.headers["Cache-Control"] == "no-store"
    assert "ETag" not in response.headers
    if problem["type"] not in PAGES:
        page = client.get(problem["type"])
        assert page.status_code == 200
        PAGES[problem["type"]] = page.text
    assert problem["title"] in PAGES[problem["type"]]
    return problem


def assert_headers(response: TestResponse) -> None:
    headers = response.headers
    assert headers["Access-Control-Allow-Origin"] == "*"
    assert "Access-Control-Allow-Credentials" not in headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["Referrer-Policy"] == "no-referrer"
    assert "Set-Cookie" not in headers
    assert not LEAKS.search(str(headers).replace("application/json", "")), headers


def in_one_line(case: Mapping[str, Any]) -> dict[str, Any]:
    query = case.get("query_string", "")
    return {**case, "query_string": f"{query}&errors=text".lstrip("&")}


@EACH_CASE
def test_every_error_has_the_one_shape(client: FlaskClient, case: dict[str, Any], status: int) -> None:
    assert_problem(client, client.open(**case), status)


@EACH_CASE
def test_every_error_comes_as_one_line_where_asked(
    client: FlaskClient, case: dict[str, Any], status: int
) -> None:
    response = client.open(**in_one_line(case))
    assert response.status_code == 200
    assert response.content_type == "text/plain; charset=utf-8"
    assert re.fullmatch(r"#ERR [ -?A-_a-~]+", response.text), response.text
    assert response.text.isascii()
    assert response.headers["Cache-Control"] == "no-store"
    assert_headers(response)


def test_every_address_that_takes_a_body_refuses_what_cannot_be_read(app: Flask, client: FlaskClient) -> None:
    """CSV is read where rows are taken, so that text of that kind is left out here."""
    addresses = {
        rule.rule
        for rule in app.url_map.iter_rules()
        if "POST" in (rule.methods or ()) and "." not in rule.rule
    }
    assert {f"/v1/{name}" for name in QUESTIONS} <= addresses
    for address in sorted(addresses):
        for case in MEDIA.values():
            assert_problem(client, client.open(**case | {"path": address}), 415)
        for case in MALFORMED.values():
            assert_problem(client, client.open(**case | {"path": address}), 400)
        assert_problem(client, client.post(address, json={}), 422)
        assert_problem(client, client.post(address, json={"no_such_name": 1}), 422)
        assert_problem(client, client.post(f"{address}?no_such_name=1", json={}), 422)


def test_every_address_refuses_methods_it_does_not_take(app: Flask, client: FlaskClient) -> None:
    for rule in app.url_map.iter_rules():
        if not rule.arguments:
            response = client.patch(rule.rule)
            assert_problem(client, response, 405)
            assert set(response.headers["Allow"].split(", ")) == rule.methods


def test_an_error_in_one_line_may_be_asked_for_in_the_body(client: FlaskClient) -> None:
    response = client.post(CRAWL, json={"errors": "text", "tyre": "x"})
    assert response.status_code == 200
    assert response.text.startswith("#ERR tyre is not a tyre size")


def test_405_lists_the_methods(client: FlaskClient) -> None:
    response = client.put(CRAWL)
    assert set(response.headers["Allow"].split(", ")) == {"GET", "HEAD", "POST", "OPTIONS"}
    assert set(client.post("/v1/tables").headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS"}


@pytest.mark.parametrize(
    ("wrong", "right"),
    [("axel_ratio", "axle_ratio"), ("tire", "tyre"), ("gear-ratios", "gear_ratios"),
     ("Vehicle_Mass", "vehicle_mass"), ("grade", "grade_percent")],
)  # fmt: skip
def test_an_unknown_name_is_told_the_nearest(client: FlaskClient, wrong: str, right: str) -> None:
    problem = client.get(f"{CRAWL}?{QUERY}&{wrong}=1").get_json()
    assert problem["detail"] == f"{wrong} is no field of a build; the nearest is {right}"
    assert problem["errors"] == [{"location": "query", "pointer": f"/{wrong}", "detail": problem["detail"]}]


def test_an_unknown_address_is_told_the_nearest(client: FlaskClient) -> None:
    assert "the nearest is /v1/final-drive" in client.get("/v1/final-drives").get_json()["detail"]


def test_a_missing_field_says_what_is_accepted(client: FlaskClient) -> None:
    for name, question in QUESTIONS.items():
        problem = client.get(f"/v1/{name}").get_json()
        told = {error["pointer"].removeprefix("/"): error["detail"] for error in problem["errors"]}
        assert set(told) <= set(FIELDS), name
        for field in told:
            assert field in question.fields, f"{name} asks for {field}, which it does not list"
        assert set(told) & set(question.fields if question.measures else question.needs), name


def test_a_refused_number_says_the_bounds_and_what_came(client: FlaskClient) -> None:
    problem = client.post(CRAWL, json=BUILD | {"vehicle_mass": 1e9, "units": "metric"}).get_json()
    assert problem["errors"] == [
        {"location": "body", "pointer": "/vehicle_mass", "got": 1e9,
         "detail": "vehicle_mass must be a number from 200 to 60,000 kg"}
    ]  # fmt: skip


def test_a_text_that_is_no_number_says_what_is_accepted(client: FlaskClient) -> None:
    told = client.post(CRAWL, json=BUILD | {"axle_ratio": "1_000"}).get_json()["detail"]
    assert told == "axle_ratio is not a number; accepted: a number from 1 to 20"
    told = client.post(CRAWL, json=BUILD | {"peak_torque": "240 lbft2"}).get_json()["detail"]
    assert "use lb-ft, lb-in, Nm" in told


def test_a_decimal_comma_is_told_of_the_option(client: FlaskClient) -> None:
    assert "decimal=comma" in client.get(f"{CRAWL}?{QUERY}&wheelbase=1,5 m").get_json()["detail"]
    assert "decimal=comma" in client.post(CRAWL, json=BUILD | {"vehicle_mass": "1,9 t"}).get_json()["detail"]


def test_all_faults_are_told_together(client: FlaskClient) -> None:
    problem = client.post(CRAWL, json={"tyre": "x", "axle_ratio": 99, "gear_ratios": [], "foo": 1}).get_json()
    assert [error["pointer"] for error in problem["errors"]] == [
        "/tyre",
        "/axle_ratio",
        "/gear_ratios",
        "/foo",
    ]


def test_errors_above_the_cap_are_counted(client: FlaskClient) -> None:
    problem = client.post(CRAWL, json={f"no_field_{place}": 1 for place in range(60)}).get_json()
    assert len(problem["errors"]) == 20
    assert problem["errors_not_listed"] == 40
    assert problem["detail"].count("is no field of a build") == 3


def test_the_pointer_is_escaped(client: FlaskClient) -> None:
    """RFC 6901: ~ is ~0 and / is ~1."""
    problem = client.post(CRAWL, json=BUILD | {"a/b~c": 1}).get_json()
    assert problem["errors"][0]["pointer"] == "/a~1b~0c"


def test_what_came_is_echoed_only_in_part(client: FlaskClient) -> None:
    problem = client.post(CRAWL, json=BUILD | {"surface": "x" * 5000, "n" * 5000: 1}).get_json()
    assert all(len(error.get("got", "")) <= 80 for error in problem["errors"])
    assert all(len(error["pointer"]) <= 81 for error in problem["errors"])


def test_the_underscore_is_ignored(client: FlaskClient) -> None:
    plain = client.get(f"{CRAWL}?{QUERY}").data
    assert client.get(f"{CRAWL}?{QUERY}&_=1700000000").data == plain
    assert client.get(f"{CRAWL}?_=1&{QUERY}&_=2").data == plain
    assert client.post(CRAWL, json=BUILD | {"_": "anything"}).status_code == 200


def test_an_empty_value_is_not_given(client: FlaskClient) -> None:
    """A spreadsheet joins the text of an empty cell into the address."""
    assert client.get(f"{CRAWL}?{QUERY}&peak_torque=&units=%20").data == client.get(f"{CRAWL}?{QUERY}").data


def test_a_mark_of_byte_order_before_the_body_is_no_error(client: FlaskClient) -> None:
    """A common slip of scripts on some systems; what follows is UTF-8 all the same."""
    assert (
        client.post(CRAWL, data=b"\xef\xbb\xbf" + json.dumps(BUILD).encode(), content_type=JSON).status_code
        == 200
    )


class TestLimits:
    @pytest.fixture
    def small(self) -> Iterator[FlaskClient]:
        with create_app(Settings(body_bytes=200, query_bytes=100)).test_client() as client:
            yield client

    def test_a_body_is_read_up_to_the_limit(self, small: FlaskClient) -> None:
        body = json.dumps(BUILD)
        assert small.post(CRAWL, data=body.ljust(200), content_type=JSON).status_code == 200
        problem = assert_problem(small, small.post(CRAWL, data=body.ljust(201), content_type=JSON), 413)
        assert "200" in problem["detail"]

    def test_a_body_without_its_length_is_held_to_the_limit(self, small: FlaskClient) -> None:
        body = json.dumps(BUILD).ljust(5000).encode()
        environ = {"wsgi.input_terminated": True, "CONTENT_LENGTH": ""}
        response = small.post(CRAWL, data=body, content_type=JSON, environ_overrides=environ)
        assert_problem(small, response, 413)

    def test_a_query_is_read_up_to_the_limit(self, small: FlaskClient) -> None:
        query = QUERY + "&_="
        assert small.get(f"{CRAWL}?{query.ljust(100, '0')}").status_code == 200
        problem = assert_problem(small, small.get(f"{CRAWL}?{query.ljust(101, '0')}"), 414)
        assert "POST" in problem["detail"]

    def test_errors_listed_is_a_setting(self) -> None:
        with create_app(Settings(errors_listed=1)).test_client() as client:
            problem = client.post(CRAWL, json={"a": 1, "b": 1, "c": 1}).get_json()
        assert len(problem["errors"]) == 1
        assert problem["errors_not_listed"] == 2


class TestFaults:
    @pytest.fixture
    def broken(self) -> Flask:
        app = create_app(Settings())

        def fault() -> str:
            raise RuntimeError("secret of /srv/place")

        def nothing_to_write() -> str:
            raise Problem(422, "\ud800")

        app.add_url_rule("/fault", view_func=fault)
        app.add_url_rule("/worse", view_func=nothing_to_write)
        return app

    @pytest.mark.parametrize("path", ["/fault", "/worse"])
    def test_a_fault_of_ours_is_told_as_such_and_tells_nothing(
        self, broken: Flask, path: str, caplog: pytest.LogCaptureFixture
    ) -> None:
        with broken.test_client() as client, caplog.at_level(logging.ERROR):
            problem = assert_problem(client, client.get(path), 500)
        assert problem["type"] == "http://localhost/problems/fault"
        assert problem["errors"] == []
        assert caplog.records, "and is logged"

    def test_a_fault_comes_as_one_line_where_asked(self, broken: Flask) -> None:
        with broken.test_client() as client:
            line = client.get("/fault?errors=text").text
        assert line == "#ERR The service made a mistake; the request itself may be fine."

    def test_not_ready_is_503_with_a_time_to_wait(
        self, client: FlaskClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(home, "_KNOWN_SPEED", 36.0)
        response = client.get("/readyz")
        assert_problem(client, response, 503)
        assert int(response.headers["Retry-After"]) > 0


def test_every_type_of_problem_has_its_page(client: FlaskClient) -> None:
    for kind in PROBLEM_TYPES.values():
        page = client.get(f"/problems/{kind.slug}")
        assert page.status_code == 200
        assert page.mimetype == "text/html"
        assert kind.title in page.text.replace("&#39;", "'")
        assert_headers(page)


@pytest.mark.parametrize(
    ("field", "raw", "told", "use"),
    [
        ("axle_ratio", "4,10", "write a decimal point, or ask with decimal=comma", "4.10"),
        ("tyre", "35", "give a measured diameter with its unit", "35 in"),
        ("tyre", "265/70-17", "does not say how the tyre is built", "265/70R17"),
        ("gear_ratios", "2.61,4.46", "must fall from each number to the next", "4.46,2.61"),
        ("transfer_ratios", "2.72,1", "must rise from each number to the next", "1,2.72"),
    ],
)
def test_an_error_offers_a_value_that_is_accepted(
    client: FlaskClient, field: str, raw: str, told: str, use: str
) -> None:
    (error,) = client.post(CRAWL, json=BUILD | {field: raw}).get_json()["errors"]
    assert (error["pointer"], error["use"]) == (f"/{field}", use)
    assert told in error["detail"]
    assert client.post(CRAWL, json=BUILD | {field: use}).status_code == 200


def test_a_point_is_refused_where_numbers_have_commas(client: FlaskClient) -> None:
    """It may be meant as either mark; a tyre size has its point all the same."""
    build = BUILD | {"decimal": "comma", "tyre": "7.50R16C"}
    assert (
        client.post(CRAWL, json=build | {"axle_ratio": "4,56", "gear_ratios": "4,46;2,61"}).status_code == 200
    )
    for field, raw, use in (("axle_ratio", "4.56", "4,56"), ("gear_ratios", "4.46;2.61", "4,46;2,61")):
        (error,) = client.post(CRAWL, json=build | {field: raw}).get_json()["errors"]
        assert error["pointer"] == f"/{field}"
        assert "has a decimal point, although decimal=comma is asked for" in error["detail"]
        assert (error["got"], error["use"]) == (raw, use)


def test_a_point_is_refused_in_rows_and_columns_too(client: FlaskClient) -> None:
    rows = "tyre;axle_ratio;gear_ratios\n7.50R16C;4,56;4,46\n7.50R16C;4.56;4,46\n"
    lines = client.post(f"{CRAWL}.csv?decimal=comma", data=rows, content_type="text/csv").text.splitlines()
    assert "although decimal=comma" not in lines[1]
    assert "although decimal=comma is asked for" in lines[2]
