"""Validators (ETag): made from the version and the request, without an answer, alike in every replica."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from gearing_api.answer import Question
from gearing_api.app import create_app
from gearing_api.formats import offered
from gearing_api.http import from_text, headers
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
SENTENCE = f"/v1/from-text?{urlencode({'q': from_text.EXAMPLE})}"
OTHERS = ("/", "/openapi.json", "/problems", "/problems/not-found", "/v1/tables", "/v1/tables/fields.csv",
          "/widget", "/docs", "/docs/swagger-ui.css", "/pages/card.png", SENTENCE,
          "/oembed?url=http://localhost/v1/tyre.html?tyre=265/70R17")  # fmt: skip


def addresses(question: Question) -> list[str]:
    """The question's example in each format, without a suffix, and as a page."""
    suffixes = ["", ".html", *(f".{suffix}" for suffix in offered(question))]
    return [f"/v1/{question.name}{suffix}?{demo_query(question)}" for suffix in suffixes]


def tag(client: FlaskClient, address: str, **head: str) -> str:
    response = client.get(address, headers=head)
    assert response.status_code == 200, address
    return response.headers["ETag"]


@pytest.fixture
def calls() -> Iterator[list[str]]:
    """The questions whose answer was computed."""
    counted: list[str] = []
    answers = {name: question.answer for name, question in QUESTIONS.items()}
    for name, question in QUESTIONS.items():

        def counting(build: Any, name: str = name) -> Any:
            counted.append(name)
            return answers[name](build)

        object.__setattr__(question, "answer", counting)
    yield counted
    for name, question in QUESTIONS.items():
        object.__setattr__(question, "answer", answers[name])


class TestCost:
    @EACH_QUESTION
    def test_a_304_never_asks_the_question(
        self, client: FlaskClient, calls: list[str], question: Question
    ) -> None:
        for address in addresses(question):
            known = tag(client, address)
            assert calls, "it was asked the first time"
            calls.clear()
            for method in ("GET", "HEAD"):
                again = client.open(address, method=method, headers={"If-None-Match": known})
                assert (again.status_code, again.data) == (304, b"")
                assert again.headers["ETag"] == known
            assert calls == [], address

    def test_a_304_does_not_read_the_sentence(
        self, client: FlaskClient, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        known = tag(client, SENTENCE)
        monkeypatch.setattr(from_text, "read", None)
        assert client.get(SENTENCE, headers={"If-None-Match": known}).status_code == 304

    @pytest.mark.parametrize("address", OTHERS)
    def test_what_is_no_question_is_validated_too(self, client: FlaskClient, address: str) -> None:
        known = tag(client, address)
        again = client.get(address, headers={"If-None-Match": f'"other", {known}'})
        assert (again.status_code, again.data) == (304, b"")
        assert client.get(address, headers={"If-None-Match": '"other"'}).status_code == 200

    def test_a_304_leaves_the_policy_of_a_page_as_it_is(self, client: FlaskClient) -> None:
        """A browser puts the headers of a 304 in place of those it has (RFC 9111, section 3.2)."""
        address = "/v1/tyre.html?tyre=265/70R17"
        again = client.get(address, headers={"If-None-Match": tag(client, address)})
        assert again.status_code == 304
        assert "Content-Security-Policy" not in again.headers


class TestRefused:
    @pytest.mark.parametrize("suffix", ["", ".csv", ".html"])
    def test_any_tag_is_not_of_a_build_that_is_refused(self, client: FlaskClient, suffix: str) -> None:
        refused = client.get(f"/v1/tyre{suffix}?tyre=nothing", headers={"If-None-Match": "*"})
        assert refused.status_code == 422
        assert "ETag" not in refused.headers
        assert refused.headers["Cache-Control"] == "no-store"
        known = client.get(f"/v1/tyre{suffix}?tyre=265/70R17", headers={"If-None-Match": "*"})
        assert known.status_code == 304

    def test_an_answer_to_post_has_none(self, client: FlaskClient) -> None:
        body = dict(QUESTIONS["tyre"].example)
        known = tag(client, f"/v1/tyre?{demo_query(QUESTIONS['tyre'])}")
        posted = client.post("/v1/tyre", json=body, headers={"If-None-Match": known})
        assert posted.status_code == 200
        assert "ETag" not in posted.headers


class TestWhatItDependsOn:
    BUILD = "tyre=265/70R17&original_tyre=245/75R16&axle_ratio=4.1"

    def test_order_method_and_what_is_ignored_do_not_matter(self, client: FlaskClient) -> None:
        known = tag(client, f"/v1/final-drive?{self.BUILD}")
        for query in (
            "axle_ratio=4.1&original_tyre=245/75R16&tyre=265/70R17",
            f"_=7&{self.BUILD}&units=us&hub_ratio=",
            self.BUILD.replace("/", "%2F"),
        ):
            assert tag(client, f"/v1/final-drive?{query}") == known
            assert client.head(f"/v1/final-drive?{query}").headers["ETag"] == known

    def test_everything_else_does(self, client: FlaskClient) -> None:
        found = [
            tag(client, address)
            for address in (
                f"/v1/final-drive?{self.BUILD}",
                f"/v1/final-drive.csv?{self.BUILD}",
                f"/v1/final-drive.html?{self.BUILD}",
                f"/v1/speedometer?{self.BUILD}",
                f"/v1/final-drive?{self.BUILD}0",
                f"/v1/final-drive?{self.BUILD}&hub_ratio=1",
                f"/v1/final-drive?{self.BUILD}&units=metric",
                f"/v1/final-drive?{self.BUILD}&pick=effective_ratio",
                f"/v1/final-drive?{self.BUILD}&pick=effective_ratio,restoring_ratio",
                f"/v1/final-drive?{self.BUILD}&pick=restoring_ratio,effective_ratio",
                f"/v1/final-drive?{self.BUILD}&bom=1",
                f"/v1/final-drive?{self.BUILD.replace('.', ',')}&decimal=comma",
                f"/v1/final-drive?{self.BUILD}&chart_size=1200x630",
                f"/v1/final-drive?{self.BUILD}&chart_theme=dark",
            )
        ]
        assert len(set(found)) == len(found)

    def test_a_format_has_one_tag_however_it_is_asked_for(self, client: FlaskClient) -> None:
        by_suffix = tag(client, f"/v1/final-drive.csv?{self.BUILD}")
        assert tag(client, f"/v1/final-drive?{self.BUILD}", Accept="text/csv") == by_suffix

    def test_pages_with_links_depend_on_the_address_of_the_service(self) -> None:
        for path in ("/", "/widget", "/v1/tyre.html?tyre=265/70R17"):
            found = {
                create_app(Settings(public_address=root)).test_client().get(path).headers["ETag"]
                for root in ("https://one.example", "https://other.example")
            }
            assert (len(found) == 2) or path == "/", path
        browser = {"Accept": "text/html"}
        apps = [create_app(Settings(public_address=f"https://{name}.example")).test_client() for name in "ab"]
        assert tag(apps[0], "/", **browser) != tag(apps[1], "/", **browser)

    def test_a_new_version_makes_new_ones(self, client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
        address = f"/v1/final-drive?{self.BUILD}"
        known = tag(client, address)
        monkeypatch.setattr(headers, "__version__", "999.0.0")
        assert tag(client, address) != known


ASKED = [addresses(question)[0] for question in QUESTIONS.values()] + [
    address for address in OTHERS if "card" not in address
]
IN_A_PROCESS = """\
import json, sys
from gearing_api.app import create_app
client = create_app().test_client()
print(json.dumps([client.get(address).headers["ETag"] for address in json.load(sys.stdin)]))
"""


def test_two_replicas_agree(client: FlaskClient) -> None:
    """This process and another, whose hashes of text differ."""
    made = subprocess.run(
        [sys.executable, "-c", IN_A_PROCESS],
        input=json.dumps(ASKED),
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONHASHSEED": "1"},
    )
    here = [tag(client, address) for address in ASKED]
    assert json.loads(made.stdout) == here
    assert len(set(here)) == len(ASKED)
