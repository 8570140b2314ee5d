"""The service explains itself: from its index to an answer, links, forms, lists, names of media types."""

import gzip
import json
from typing import Any, ClassVar
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from gearing_api import __version__
from gearing_api.app import create_app
from gearing_api.http import headers
from gearing_api.http.fixed import FOREVER
from gearing_api.http.pages import element
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
FORM = "application/x-www-form-urlencoded"


class TestIndex:
    def test_from_the_index_to_a_right_answer_in_four_requests(self, client: FlaskClient) -> None:
        """With nothing but the index and its links, as a person or a program would go."""
        index = client.get("/v1").get_json()
        (question,) = [
            one for one in index["questions"] if "which available axle ratio" in one["asks"].lower()
        ]
        fields = client.get(question["fields"]).get_json()
        columns = {name: place for place, name in enumerate(fields["columns"])}
        meanings = {row[columns["name"]]: row[columns["meaning"]] for row in fields["rows"]}
        assert set(question["needs"]) <= set(meanings)
        build = {name: value for name, value in _example().items() if name in meanings}
        answer = client.get(f"{question['address']}?{urlencode(build)}").get_json()
        problem = client.get(f"{question['address']}?{urlencode(build | {'tyre': '35'})}").get_json()
        assert problem["errors"][0]["pointer"] == "/tyre"
        # 41/10 restores 2 x pi x (rolling radius of 35) x ... : the ratio nearest to 3.73 x 35 / 31
        assert answer["result"]["restoring_ratio"] == pytest.approx(3.73 * 35 / 31)
        assert answer["result"]["recommended_ratio"] == pytest.approx(4.1)

    def test_every_link_leads_somewhere(self, client: FlaskClient) -> None:
        index = client.get("/v1").get_json()
        for address in index["links"].values():
            assert client.get(address).status_code == 200, address
        for question in index["questions"]:
            assert client.get(question["example"]).status_code == 200
            assert client.get(question["fields"]).status_code == 200
            for suffix in question["formats"]:
                whole = question["example"].replace("?", f".{suffix}?")
                assert client.get(whole).status_code == 200, whole
            assert client.post(question["batch"], json={"columns": {}}).status_code in (200, 422)

    def test_it_names_version_fields_and_results(self, client: FlaskClient) -> None:
        response = client.get("/v1")
        index = response.get_json()
        assert index["version"] == __version__
        for entry, question in zip(index["questions"], QUESTIONS.values(), strict=True):
            assert entry["needs"] + entry["uses"] == list(question.fields)
            assert entry["results"] == list(question.results)
        assert response.headers["ETag"].startswith('W/"')

    @pytest.mark.parametrize(
        "path", ["/", "/v1", "/v1/tables", "/v1/tables/fields", "/v1/nothing", "/v1/tyre"]
    )
    def test_the_description_of_the_service_is_linked(self, client: FlaskClient, path: str) -> None:
        """RFC 8631."""
        assert '</openapi.json>; rel="service-desc"' in client.get(path).headers["Link"]


def _example() -> dict[str, str]:
    return {
        "tyre": "35 in",
        "original_tyre": "31 in",
        "original_axle_ratio": "3.73",
        "gear_ratios": "4.46,2.61,1.72,1.25,1",
        "available_ratios": "3.73,4.1,4.56",
    }


class TestFieldsOfAQuestion:
    @EACH_QUESTION
    @pytest.mark.parametrize("suffix", ["", ".csv"])
    def test_they_are_its_own_in_its_order(self, client: FlaskClient, question: Any, suffix: str) -> None:
        response = client.get(f"/v1/tables/fields{suffix}?question={question.name}")
        if suffix:
            names = [line.partition(",")[0] for line in response.text.splitlines()[1:]]
            names = [name for name in names if name in question.fields]
        else:
            names = [row[0] for row in response.get_json()["rows"]]
        assert names == list(question.fields)

    def test_results_are_found_in_the_same_way(self, client: FlaskClient) -> None:
        rows = client.get("/v1/tables/results?question=final-drive").get_json()["rows"]
        assert [row[0] for row in rows] == list(QUESTIONS["final-drive"].results)

    def test_no_such_question(self, client: FlaskClient) -> None:
        problem = client.get("/v1/tables/fields?question=crawll").get_json()
        assert problem["detail"] == "question is no question; the nearest is crawl"
        assert client.get("/v1/tables/units?question=crawl").status_code == 422

    def test_its_validator_is_its_own(self, client: FlaskClient) -> None:
        whole, part = (client.get(f"/v1/tables/fields{end}") for end in ("", "?question=crawl"))
        assert whole.headers["ETag"] != part.headers["ETag"]


class TestProblems:
    def test_the_type_is_a_whole_address(self) -> None:
        client = create_app(Settings(public_address="https://gears.example")).test_client()
        for path in ("/v1/tyre", "/nothing"):
            assert client.get(path).get_json()["type"].startswith("https://gears.example/problems/")

    def test_it_leads_to_its_page(self, client: FlaskClient) -> None:
        kind = client.get("/v1/tyre").get_json()["type"]
        assert kind == "http://localhost/problems/field-refused"
        assert client.get(kind).status_code == 200

    @pytest.mark.parametrize("host", ["localhost", "127.0.0.1:8000", "[::1]:8000"])
    def test_on_this_machine_its_own_name_is_the_root(self, client: FlaskClient, host: str) -> None:
        problem = client.get("/v1/tyre", headers={"Host": host}).get_json()
        assert problem["type"] == f"http://{host}/problems/field-refused"

    @pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "a b", "[", "x" * 300])
    def test_another_host_is_not_sent_back(self, client: FlaskClient, host: str) -> None:
        problem = client.get("/v1/tyre", headers={"Host": host}).get_json()
        assert problem["type"] in ("/problems/field-refused", "/problems/malformed-request")

    def test_another_method_is_told_which_are_taken(self, client: FlaskClient) -> None:
        response = client.delete("/v1/tyre")
        assert response.get_json()["detail"] == (
            "DELETE is not taken at this address: it takes GET, HEAD, OPTIONS, POST."
        )
        assert set(response.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS", "POST"}

    def test_too_many_requests_are_told_when(self) -> None:
        client = create_app(Settings(requests_per_minute=1)).test_client()
        client.get("/v1/tyre?tyre=265/70R17")
        response = client.get("/v1/tyre?tyre=265/70R17")
        assert response.status_code == 429
        wait = response.headers["Retry-After"]
        assert response.get_json()["detail"].endswith(f"ask again in {wait} s.")

    @pytest.mark.parametrize(
        ("path", "kinds"),
        [
            ("/v1/tyre", f"application/json, {FORM}, text/csv"),
            ("/v1/tyre.csv", f"application/json, {FORM}, text/csv"),
            ("/v1/tyre.txt", f"application/json, {FORM}"),
            ("/v1/from-text", f"application/json, {FORM}"),
            ("/v1/tyre/batch", "application/json"),
            ("/v1/comparison", "application/json"),
        ],
    )
    def test_another_media_type_is_told_which_are_taken(
        self, client: FlaskClient, path: str, kinds: str
    ) -> None:
        response = client.post(path, data="<a/>", content_type="application/xml")
        assert response.status_code == 415
        assert response.headers["Accept-Post"] == kinds
        told = kinds.replace(", ", " or ")
        assert response.get_json()["detail"] == (
            f"This address takes {told}, and the body is application/xml: set the header Content-Type."
        )

    def test_a_body_of_no_kind(self, client: FlaskClient) -> None:
        response = client.post("/v1/tyre", data="{}")
        assert "the body is of no kind" in response.get_json()["detail"]

    def test_a_compressed_body_is_told_to_come_plain(self, client: FlaskClient) -> None:
        """RFC 9110, section 15.5.16."""
        body = gzip.compress(b"{}")
        sent = {"Content-Encoding": "gzip", "Content-Type": "application/json"}
        response = client.post("/v1/tyre", data=body, headers=sent)
        assert (response.status_code, response.headers["Accept-Encoding"]) == (415, "identity")


class TestForms:
    @EACH_QUESTION
    def test_a_form_is_answered_as_a_query_is(self, client: FlaskClient, question: Any) -> None:
        by_get = client.get(f"/v1/{question.name}?{demo_query(question)}")
        by_form = client.post(f"/v1/{question.name}", data=demo_query(question), content_type=FORM)
        assert by_form.status_code == 200
        assert by_form.data == by_get.data
        assert "ETag" not in by_form.headers

    def test_options_and_sentences_too(self, client: FlaskClient) -> None:
        body = "tyre=35+in&axle_ratio=4.56&original_tyre=31%20in&pick=effective_ratio&_=1"
        answer = client.post("/v1/final-drive.txt", data=body, content_type=FORM)
        assert float(answer.text) == pytest.approx(4.56 * 31 / 35)
        read = client.post("/v1/from-text", data="q=35s+on+4.10+gears", content_type=FORM)
        assert read.get_json()["result"]["build"]

    @pytest.mark.parametrize(
        ("body", "status", "location"),
        [
            ("tyre=x", 422, "body"),
            ("tyre=35+in&tyre=33+in", 422, "body"),
            ("tyre=%ff", 400, None),
            ("tyr=1", 422, "body"),
            ("", 422, "body"),
            ("a=" + "x" * 1_000_001, 413, None),
        ],
    )
    def test_what_is_wrong_with_it_is_told(
        self, client: FlaskClient, body: str, status: int, location: str | None
    ) -> None:
        response = client.post("/v1/tyre", data=body, content_type=FORM)
        assert response.status_code == status
        assert [error["location"] for error in response.get_json()["errors"]][:1] == [location] * bool(
            location
        )

    def test_errors_as_text(self, client: FlaskClient) -> None:
        response = client.post("/v1/tyre", data="tyre=x&errors=%74ext", content_type=FORM)
        assert response.status_code == 200
        assert response.text.startswith("#ERR tyre")

    def test_batches_and_comparisons_take_none(self, client: FlaskClient) -> None:
        for path in ("/v1/tyre/batch", "/v1/comparison"):
            assert client.post(path, data="a=1", content_type=FORM).status_code == 415


class TestListsItemByItem:
    BUILD = "tyre=35+in&axle_ratio=4.1"

    def test_repeated_parameters_are_the_items(self, client: FlaskClient) -> None:
        repeated = client.get(
            f"/v1/crawl?{self.BUILD}&gear_ratios=4.46&gear_ratios=2.61&transfer_ratios=2.72"
        )
        together = client.get(f"/v1/crawl?{self.BUILD}&gear_ratios=4.46,2.61&transfer_ratios=2.72")
        assert repeated.get_json()["result"] == together.get_json()["result"]
        assert repeated.get_json()["given"]["gear_ratios"] == ["4.46", "2.61"]

    def test_picks_and_decimal_commas(self, client: FlaskClient) -> None:
        query = "tyre=35+in&axle_ratio=4,1&gear_ratios=4,46&gear_ratios=2,61&decimal=comma"
        answer = client.get(f"/v1/crawl?{query}&pick=crawl_ratio&pick=crawl_speed").get_json()
        assert list(answer["result"]) == ["crawl_ratio", "crawl_speed"]
        assert answer["result"]["crawl_ratio"] == pytest.approx(4.1 * 4.46)

    def test_a_page_repeats_them(self, client: FlaskClient) -> None:
        page = client.get(f"/v1/crawl.html?{self.BUILD}&gear_ratios=4.46&gear_ratios=2.61").text
        assert 'value="4.46,2.61"' in page

    @pytest.mark.parametrize("name", ["tyre", "axle_ratio", "units", "errors"])
    def test_what_is_no_list_is_given_once(self, client: FlaskClient, name: str) -> None:
        problem = client.get(f"/v1/crawl?{name}=1&{name}=2").get_json()
        assert problem["detail"] == f"{name} is given more than once"


class TestShapes:
    @EACH_QUESTION
    def test_rows_as_objects(self, client: FlaskClient, question: Any) -> None:
        query = demo_query(question)
        plain = client.get(f"/v1/{question.name}?{query}").get_json()
        shaped = client.get(f"/v1/{question.name}?{query}&rows=objects").get_json()
        for name in ("table", "what_if"):
            if name in plain:
                rows = [dict(zip(plain[name]["columns"], row, strict=True)) for row in plain[name]["rows"]]
                assert shaped[name] == plain[name] | {"rows": rows}
        for name, part in plain.get("parts", {}).items():
            if "table" in part:
                assert all(isinstance(row, dict) for row in shaped["parts"][name]["table"]["rows"])

    def test_rows_of_a_served_table_as_objects(self, client: FlaskClient) -> None:
        rows = client.get("/v1/tables/fields?rows=objects&question=tyre").get_json()["rows"]
        assert [row["name"] for row in rows] == list(QUESTIONS["tyre"].fields)

    @EACH_QUESTION
    def test_a_brief_answer(self, client: FlaskClient, question: Any) -> None:
        query = demo_query(question)
        whole = client.get(f"/v1/{question.name}?{query}").get_json()
        brief = client.get(f"/v1/{question.name}?{query}&detail=brief").get_json()
        assert whole.keys() - brief.keys() == {"given", "sources"}
        for part in brief.get("parts", {}).values():
            assert not {"given", "sources"} & part.keys()
        assert all(brief[name] == whole[name] for name in brief if name != "parts")
        assert "Sources" not in client.get(f"/v1/{question.name}.md?{query}&detail=brief").text

    def test_a_brief_batch_and_comparison(self, client: FlaskClient) -> None:
        columns = {"columns": {"tyre": ["265/70R17"]}}
        assert "sources" in client.post("/v1/tyre/batch", json=columns).get_json()
        assert "sources" not in client.post("/v1/tyre/batch?detail=brief", json=columns).get_json()
        plan = {"build": {"axle_ratio": 4.1}, "vary": {"tyre": ["33 in"]}, "report": ["effective_ratio"]}
        assert "sources" in client.post("/v1/comparison", json=plan).get_json()
        assert "sources" not in client.post("/v1/comparison?detail=brief", json=plan).get_json()

    @pytest.mark.parametrize("option", ["rows=lists", "detail=short"])
    def test_other_words_are_refused(self, client: FlaskClient, option: str) -> None:
        assert client.get(f"/v1/tyre?tyre=265/70R17&{option}").status_code == 422


class TestMediaTypes:
    PLAN: ClassVar = {
        "build": {"axle_ratio": 4.1},
        "vary": {"tyre": ["33 in", "35 in"]},
        "report": ["effective_ratio"],
    }

    @pytest.mark.parametrize("name", ["application/x-ndjson", "application/ndjson", "application/jsonl"])
    def test_lines_of_json_have_several_names(self, client: FlaskClient, name: str) -> None:
        response = client.post("/v1/comparison", json=self.PLAN, headers={"Accept": name})
        assert response.status_code == 200
        assert response.content_type == name
        assert len([json.loads(line) for line in response.text.splitlines()]) == 3

    def test_by_suffix_it_has_the_one_name(self, client: FlaskClient) -> None:
        response = client.post(
            "/v1/comparison.ndjson", json=self.PLAN, headers={"Accept": "application/jsonl"}
        )
        assert response.content_type == "application/x-ndjson"


class TestCompressed:
    PATHS = ("/openapi.json", "/v1", "/v1/tables/fields", "/v1/tables/fields.json", "/docs/swagger-ui.css",
             "/docs/swagger-ui-bundle.js", "/pages/style.css", element.releases()[0].path)  # fmt: skip

    @pytest.mark.parametrize("path", PATHS)
    def test_what_is_fixed_comes_compressed_to_those_who_take_it(
        self, client: FlaskClient, path: str
    ) -> None:
        plain = client.get(path)
        packed = client.get(path, headers={"Accept-Encoding": "br, gzip;q=0.8"})
        assert "Content-Encoding" not in plain.headers
        assert packed.headers["Content-Encoding"] == "gzip"
        assert gzip.decompress(packed.data) == plain.data
        assert len(packed.data) < len(plain.data) / 2
        assert packed.headers["ETag"] == plain.headers["ETag"]
        for response in (plain, packed):
            assert "Accept-Encoding" in response.headers["Vary"]
        refused = client.get(path, headers={"Accept-Encoding": "gzip;q=0"})
        assert refused.data == plain.data
        head = client.head(path, headers={"Accept-Encoding": "gzip"})
        assert head.headers["Content-Length"] == str(len(packed.data))

    def test_a_release_of_the_element_is_kept_for_ever(self, client: FlaskClient) -> None:
        response = client.get(element.releases()[0].path)
        assert response.headers.getlist("Cache-Control") == [FOREVER]

    def test_the_links_name_addresses_that_are_there(self, client: FlaskClient) -> None:
        for part in headers.SERVICE_LINKS.split(", "):
            assert client.get(part[1 : part.index(">")]).status_code == 200


@EACH_QUESTION
def test_a_question_names_each_field_once(question: Any) -> None:
    assert len(set(question.fields)) == len(question.fields)
