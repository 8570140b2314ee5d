"""The reference, the tables and the errors as people read them in a browser, without a browser."""

import html
import json
import re
from typing import get_args
from urllib.parse import urlsplit

import pytest
from flask.testing import FlaskClient

from gearing_api import units
from gearing_api.answer import LEVELS, Why
from gearing_api.app import create_app
from gearing_api.http import served_tables
from gearing_api.http.pages import reference
from gearing_api.http.pages.home import demo_query
from gearing_api.http.problems import PROBLEM_TYPES
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.tables import table
from tests.http.test_pages import BROWSER, HOSTILE, Head, status
from tests.questions.test_cautions import ROWS
from tests.reading import cautions_by_question

EACH_QUESTION = pytest.mark.parametrize("name", QUESTIONS)
HEADER = '<header class="top">'


def text_of(page: str) -> str:
    """What a reader sees, without elements."""
    return html.unescape(re.sub(r"<[^>]+>", "", page))


def terms(page: str) -> list[str]:
    """The names that the page explains."""
    return re.findall(r"<dt>([a-z0-9_-]+)</dt>", page)


class TestQuestionPages:
    @EACH_QUESTION
    def test_it_is_small_and_explains_every_field_and_result(self, client: FlaskClient, name: str) -> None:
        question, response = QUESTIONS[name], client.get(f"/docs/{name}")
        assert response.status_code == 200
        assert len(response.data) < 40_000
        policy = response.headers["Content-Security-Policy"]
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        explained = terms(response.text)
        assert set(question.needs) <= set(explained)
        if name != "build-sheet":
            assert {*question.fields, *question.results, *question.table, *question.what_if} <= set(explained)

    @EACH_QUESTION
    def test_the_example_shows_what_the_service_answers(self, client: FlaskClient, name: str) -> None:
        answer = client.get(f"/v1/{name}?{demo_query(QUESTIONS[name])}").get_json()
        page = text_of(client.get(f"/docs/{name}").text)
        assert answer["summary"] in page
        assert name == "build-sheet" or all(source["what"] in page for source in answer["sources"])

    @EACH_QUESTION
    def test_the_forms_of_the_example_ask_for_it(self, client: FlaskClient, name: str) -> None:
        page = client.get(f"/docs/{name}").text
        codes = [html.unescape(code) for code in re.findall(r"<code>([^<]*)</code></pre>", page)]
        curl, python, script, formula = codes
        example = dict(QUESTIONS[name].example)
        result = client.get(f"/v1/{name}", query_string=demo_query(QUESTIONS[name])).get_json()["result"]
        asked = re.fullmatch(r"curl '([^']+)'", curl)
        assert asked
        assert client.get(_local(asked[1])).get_json()["result"] == result
        given: dict[str, object] = {}
        call = python[python.index("client =") : python.index("print")]
        exec(call, {"Client": lambda root: _Recorder(given)})
        assert given == example
        members = re.findall(r"^  (\w+): (.*),$", script, re.MULTILINE)
        assert {member: json.loads(value) for member, value in members} == {**example, "units": "us"}
        in_cell = client.get(_local("".join(re.findall(r'"([^"]{2,})"', formula)))).text
        main = result[QUESTIONS[name].main]
        assert in_cell == main if isinstance(main, str) else float(in_cell) == pytest.approx(main, rel=0.05)

    @EACH_QUESTION
    def test_its_form_and_links_lead_to_answers(self, client: FlaskClient, name: str) -> None:
        head = Head(client.get(f"/docs/{name}").text)
        for _, attrs in head.tags:
            for link in ("href", "src"):
                if link in attrs and not attrs[link].startswith("#"):
                    assert status(client, attrs[link]) == 200, attrs[link]
        anchors = {attrs["id"] for _, attrs in head.tags if "id" in attrs}
        asked = {attrs["href"][1:] for _, attrs in head.tags if attrs.get("href", "").startswith("#")}
        assert asked <= anchors
        (form,) = (attrs for tag, attrs in head.tags if tag == "form")
        values = {attrs["name"]: attrs["value"] for tag, attrs in head.tags if tag == "input"}
        page = client.get(form["action"], query_string=values)
        assert page.status_code == 200

    def test_each_caution_stands_on_the_pages_of_the_questions_that_give_it(self) -> None:
        by_question = {name: set(codes) for name, codes in reference._cautions().items()}
        assert by_question == {name: set(codes) for name, codes in cautions_by_question().items()}
        assert set().union(*by_question.values()) == set(table("cautions").column("code"))
        asked = {(row.question, row.code) for row in ROWS if row.question != "build-sheet"}
        assert {(question, code) for question, code in asked if code not in by_question[question]} == set()

    def test_a_null_says_which_fields_would_end_it(self, client: FlaskClient) -> None:
        page = text_of(client.get("/docs/crawl").text)
        assert "null: needs peak_torque" in page
        assert "Crawl ratio in reverse null: needs reverse_ratio" in page
        assert set(reference.NULLS) == set(get_args(Why))
        assert set(reference.LEVEL_MEANINGS) == set(LEVELS)

    def test_a_hostile_host_is_only_text(self, client: FlaskClient) -> None:
        page = client.get("/docs/crawl", headers={"Host": 'a"><script>alert(1)</script>'})
        assert "<script>" not in page.text


class _Recorder:
    """Takes the keywords of any call in place of the client."""

    def __init__(self, given: dict[str, object]) -> None:
        self.given = given

    def __getattr__(self, name: str) -> object:
        return lambda **fields: self.given.update(fields)


def _local(address: str) -> str:
    parts = urlsplit(address)
    return f"{parts.path}?{parts.query}"


def test_the_index_leads_to_every_question_and_works_as_written(client: FlaskClient) -> None:
    page = client.get("/docs")
    assert len(page.data) < 40_000
    for name, question in QUESTIONS.items():
        assert f'href="/docs/{name}"' in page.text
        assert question.asks in html.unescape(page.text)
    for _, attrs in Head(page.text).tags:
        if attrs.get("href", "").startswith("/"):
            assert status(client, attrs["href"]) == 200, attrs["href"]
    codes = [html.unescape(code) for code in re.findall(r"<code>(curl [^<]*)</code></pre>", page.text)]
    by_get = re.match(r"curl 'http://localhost([^']+)'", codes[0])
    assert by_get
    built = json.loads(codes[1].split("-d '")[1].rstrip("'"))
    result = client.post("/v1/final-drive", json=built).get_json()["result"]
    assert client.get(by_get[1]).get_json()["result"] == result
    for code in codes[-2:]:
        address, plan = re.findall(r"http://localhost([^']+)'.*-d '(.*)'$", code, re.DOTALL)[0]
        assert client.post(address, json=json.loads(plan)).status_code == 200


class TestTables:
    @pytest.mark.parametrize("name", ["", *(f"/{name}" for name in served_tables.NAMES if name != "units")])
    def test_a_browser_gets_a_page_with_the_header_and_every_row(
        self, client: FlaskClient, name: str
    ) -> None:
        page = client.get(f"/v1/tables{name}", headers=BROWSER)
        assert page.mimetype == "text/html"
        assert "Accept" in page.headers["Vary"]
        assert HEADER in page.text
        rows = client.get(f"/v1/tables{name}").get_json()["rows"]
        assert len(re.findall(r"<tr><td", page.text)) == len(rows)
        cells = re.findall(r"<tr><td[^>]*>(.*?)</td>", page.text)
        first = [row[0] if isinstance(row[0], str) else f"{row[0]:.10g}" for row in rows]
        assert [html.unescape(cell) for cell in cells] == first
        assert client.get(f"/v1/tables{name}.html").text == page.text

    def test_the_units_fold_into_one_line_a_quantity(self, client: FlaskClient) -> None:
        page = html.unescape(client.get("/v1/tables/units", headers=BROWSER).text)
        assert page.count("<details>") == len(units.QUANTITIES)
        listed = [re.split(", ", line) for line in re.findall(r"<li>(.*?) <small>", page)]
        rows = client.get("/v1/tables/units").get_json()["rows"]
        assert sorted(word for line in listed for word in line) == sorted(row[1] for row in rows)
        assert "<li>lb, lb., lbs, lbs., pound, pounds <small>1 = 0.453592 kg</small></li>" in page

    @pytest.mark.parametrize("accept", [None, "*/*", "text/html, image/gif, image/jpeg, *; q=.2, */*; q=.2"])
    def test_a_program_gets_json(self, client: FlaskClient, accept: str | None) -> None:
        assert client.get("/v1/tables/units", headers={"Accept": accept} if accept else {}).is_json

    def test_the_rows_of_one_question(self, client: FlaskClient) -> None:
        page = client.get("/v1/tables/fields?question=crawl", headers=BROWSER).text
        assert len(re.findall(r"<tr><td", page)) == len(QUESTIONS["crawl"].fields)
        assert 'href="/v1/tables/fields.csv?question=crawl"' in page


class TestErrors:
    @pytest.mark.parametrize(
        ("path", "code"),
        [
            ("/nothing", 404), ("/v1/nothing", 404), ("/v1/crawl.xml", 404), ("/docs/nothing", 404),
            ("/problems/nothing", 404), ("/widget/9.9.9/gearing-card.js", 404), ("/v1/crawl/batch", 405),
            ("/v1/crawl", 422), ("/v1/crawl.csv?tyre=35x", 422), ("/v1/tables/units?tyre=33", 422),
            ("/v1/crawl?tyre=%ff", 400), ("/oembed?format=xml", 501),
        ],
    )  # fmt: skip
    def test_a_browser_gets_a_page_that_leads_on(self, client: FlaskClient, path: str, code: int) -> None:
        page = client.get(path, headers=BROWSER)
        assert (page.status_code, page.mimetype) == (code, "text/html")
        assert page.headers["Cache-Control"] == "no-store"
        assert "unsafe" not in page.headers["Content-Security-Policy"]
        assert HEADER in page.text
        assert PROBLEM_TYPES[code].title in html.unescape(page.text)
        links = {attrs["href"] for tag, attrs in Head(page.text).tags if tag == "a"}
        assert {"/", "/docs"} <= links
        for link in links:
            assert status(client, link) == 200, link
        in_json = client.get(path)
        assert in_json.mimetype == "application/problem+json"
        assert in_json.status_code == code

    def test_a_limit_says_when_to_come_again(self) -> None:
        asked = create_app(Settings(requests_per_minute=1, cpu_seconds_per_minute=0)).test_client()
        pages = [asked.get("/docs/crawl", headers=BROWSER) for _ in range(2)]
        assert [page.status_code for page in pages] == [200, 429]
        assert f"Try again in {pages[1].headers['Retry-After']} seconds" in pages[1].text

    def test_a_mistake_of_the_service_is_a_page_without_its_insides(
        self, client: FlaskClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
    ) -> None:
        monkeypatch.setattr(reference, "_index_values", lambda: 1 / 0)
        page = client.get("/docs", headers=BROWSER)
        assert (page.status_code, page.mimetype) == (500, "text/html")
        assert "ZeroDivision" not in page.text
        assert "ZeroDivision" in caplog.text

    def test_it_offers_the_values_likeliest_meant(self, client: FlaskClient) -> None:
        page = client.get("/v1/crawl?tyre=35&axle_ratio=4.1&gear_ratios=4,1", headers=BROWSER).text
        (repaired,) = (attrs["href"] for _, attrs in Head(page).tags if "tyre=" in attrs.get("href", ""))
        assert client.get(repaired).get_json()["given"]["tyre"] == "35 in"

    def test_it_offers_the_nearest_address(self, client: FlaskClient) -> None:
        assert 'href="/docs/crawl"' in client.get("/docs/crawll", headers=BROWSER).text
        assert 'href="/v1/tables/units"' in client.get("/v1/tables/unit", headers=BROWSER).text

    def test_programs_and_spreadsheets_get_what_they_got(self, client: FlaskClient) -> None:
        java = {"Accept": "text/html, image/gif, image/jpeg, *; q=.2, */*; q=.2"}
        assert client.get("/v1/crawl", headers=java).mimetype == "application/problem+json"
        assert client.get("/v1/crawl?errors=text", headers=BROWSER).text.startswith("#ERR ")
        posted = client.post("/v1/crawl", json={}, headers=BROWSER)
        assert posted.mimetype == "application/problem+json"

    @pytest.mark.parametrize("path", ["/v1/crawl?tyre={}", "/v1/{}", "/docs/{}", "/v1/tables/units?{}=1"])
    def test_hostile_text_is_only_text(self, client: FlaskClient, path: str) -> None:
        page = Head(client.get(path.format(HOSTILE), headers=BROWSER).text)
        assert [tag for tag, _ in page.tags if tag in ("script", "img")] == []
        assert not any(name.startswith("on") for _, attrs in page.tags for name in attrs)
