"""What comes back: the same answer by every way in, in the format and form asked for, with its headers."""

import csv
import io
import json
import re
from typing import Any
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gearing_api.__main__ import main
from gearing_api.answer import Question
from gearing_api.app import create_app
from gearing_api.formats import FORMATS, offered
from gearing_api.formats.delimited import rows_as_csv
from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import RESULTS, label_of
from tests.builds import EXAMPLES, builds
from tests.http import answers
from tests.kept import same

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
EACH_SUFFIX = pytest.mark.parametrize("suffix", ["json", "csv", "txt", "md"])
WRITE_ANEW = "run `python -m tests.regenerate` and read the difference"
CRAWL = f"/v1/crawl?{demo_query(QUESTIONS['crawl'])}"

QUICK = settings(
    max_examples=4 * EXAMPLES,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.function_scoped_fixture,
        HealthCheck.data_too_large,
    ],
)


def address(question: Question, suffix: str = "json", **more: str) -> str:
    return f"/v1/{question.name}.{suffix}?{demo_query(question)}" + (f"&{urlencode(more)}" if more else "")


def as_texts(question: Question) -> dict[str, str]:
    """The example as a query string or a command line has it."""
    return {
        name: ",".join(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in question.example.items()
    }


def without_echo(answer: dict[str, Any]) -> dict[str, Any]:
    return {name: member for name, member in answer.items() if name not in ("given", "parts")}


def cells(text: str, delimiter: str = ",") -> list[list[str]]:
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))


class TestWaysIn:
    @EACH_QUESTION
    def test_get_post_and_command_line_give_the_same(
        self, client: FlaskClient, capsys: pytest.CaptureFixture[str], question: Question
    ) -> None:
        texts = as_texts(question)
        by_get = client.get(f"/v1/{question.name}", query_string=texts)
        by_post = client.post(f"/v1/{question.name}", json=texts)
        assert main(["answer", question.name, "--format", "json", *map("=".join, texts.items())]) == 0
        assert by_get.get_json() == by_post.get_json() == json.loads(capsys.readouterr().out)

    @EACH_QUESTION
    def test_numbers_and_lists_give_the_same_as_their_texts(
        self, client: FlaskClient, question: Question
    ) -> None:
        by_get = client.get(address(question)).get_json()
        by_post = client.post(f"/v1/{question.name}", json=dict(question.example)).get_json()
        assert without_echo(by_get) == without_echo(by_post)
        assert by_post["given"] == {name: question.example[name] for name in by_post["given"]}

    @EACH_QUESTION
    def test_options_may_stand_in_the_address_of_a_post(
        self, client: FlaskClient, question: Question
    ) -> None:
        texts = as_texts(question)
        beside = client.post(f"/v1/{question.name}?units=metric", json=texts)
        within = client.post(f"/v1/{question.name}", json=texts | {"units": "metric"})
        assert beside.status_code == within.status_code
        assert beside.data == within.data

    @EACH_QUESTION
    def test_what_is_not_needed_is_left_unused(self, client: FlaskClient, question: Question) -> None:
        plain = client.get(address(question)).get_json()
        others = {
            "axle_mass": "200 kg",
            "wheel_offset": "1 in",
            "target_crawl_ratio": "50",
            "stub_pitch": "24",
        }
        unused = {name: text for name, text in others.items() if name not in question.fields}
        assert client.get(address(question, **unused)).get_json() == plain

    def test_fields_survive_full_percent_encoding(self, client: FlaskClient) -> None:
        """As a spreadsheet's ENCODEURL has it: the point, the stroke and the blank too, in lower case."""
        plain = client.get("/v1/tyre", query_string={"tyre": "265/70R17 115T"}).get_json()
        assert client.get("/v1/tyre?tyre=265%2f70%52%31%37%20115T").get_json() == plain
        assert client.get("/v1/tyre?tyre=265/70R17+115T").get_json() == plain
        flotation = client.get("/v1/tyre?tyre=35x12%2e50R17LT").get_json()
        assert without_echo(client.get("/v1/tyre?tyre=35%c3%9712%2e50R17LT").get_json()) == without_echo(
            flotation
        )

    def test_inputs_are_echoed_as_received(self, client: FlaskClient) -> None:
        asked = {"tyre": " 35X12.50r17lt ", "axle_ratio": 4.560, "original_axle_ratio": "3.730",
                 "decimal": "point"}  # fmt: skip
        given = client.post("/v1/final-drive", json=asked).get_json()["given"]
        assert given == {name: asked[name] for name in ("tyre", "axle_ratio", "original_axle_ratio")}
        query = {"tyre": "36,4 in", "axle_ratio": "4,56", "decimal": "comma"}
        given = client.get("/v1/final-drive", query_string=query).get_json()["given"]
        assert given == {"tyre": "36,4 in", "axle_ratio": "4,56"}


class TestKept:
    """Against files that this service wrote: regressions, see tests/http/answers.py."""

    @EACH_QUESTION
    def test_request_and_answer_pairs_hold(self, client: FlaskClient, question: Question) -> None:
        file = answers.PAIRS / f"{question.name}.json"
        assert file.exists(), WRITE_ANEW
        kept = json.loads(file.read_text(encoding="utf-8"))
        request = kept["request"]
        response = client.open(request["path"], method=request["method"], json=request["body"])
        assert same(kept["answer"], response.get_json()), WRITE_ANEW
        by_get = client.get(kept["same_by_get"]).get_json()
        assert same(without_echo(kept["answer"]), without_echo(by_get))

    @EACH_QUESTION
    @pytest.mark.parametrize("suffix", answers.SUFFIXES)
    def test_whole_answers_hold(self, client: FlaskClient, question: Question, suffix: str) -> None:
        file = answers.TEXTS / f"{question.name}.{suffix}"
        assert file.exists(), WRITE_ANEW
        assert same(file.read_bytes().decode(), answers.text(client, question, suffix)), WRITE_ANEW

    def test_the_demo_build_holds(self) -> None:
        assert same(answers.DEMO_BUILD.read_text(encoding="utf-8"), answers.demo_build()), WRITE_ANEW

    def test_no_file_is_left_over(self) -> None:
        assert {file.stem for file in answers.PAIRS.iterdir()} == set(QUESTIONS), WRITE_ANEW
        texts = {f"{name}.{suffix}" for name in QUESTIONS for suffix in answers.SUFFIXES}
        texts.add(answers.DEMO_BUILD.name)
        assert {file.name for file in answers.TEXTS.iterdir()} == texts, WRITE_ANEW


class TestPick:
    @EACH_QUESTION
    @pytest.mark.parametrize("most", [20, pytest.param(1_000, marks=pytest.mark.slow)])
    def test_one_result_as_text_is_the_bare_number(
        self, client: FlaskClient, question: Question, most: int
    ) -> None:
        """A newline or a byte order mark would break VALUE() of a spreadsheet."""
        result = client.get(address(question)).get_json()["result"]
        for name, value in [*result.items()][:: 1 + len(result) // most]:
            response = client.get(address(question, "txt", pick=name))
            if value is None:
                assert response.status_code == 422
                assert name in response.get_json()["detail"]
            else:
                assert response.content_type == "text/plain; charset=utf-8"
                assert response.text == as_cell(name, value)

    @EACH_QUESTION
    def test_several_results_are_one_line_in_the_order_asked(
        self, client: FlaskClient, question: Question
    ) -> None:
        result = client.get(address(question)).get_json()["result"]
        known = [name for name, value in result.items() if value is not None][:8][::-1]
        texts = [as_cell(name, result[name]) for name in known]
        assert client.get(address(question, "txt", pick=",".join(known))).text == "\t".join(texts)
        assert client.get(address(question, "txt", pick=" , ".join(known))).text == "\t".join(texts)
        picked = client.get(address(question, pick=",".join(known))).get_json()
        assert picked["result"] == {name: result[name] for name in known}
        assert list(picked["result_units"]) == known
        assert "table" not in picked
        if known:
            rows = cells(client.get(address(question, "csv", pick=",".join(known))).text)
            assert rows[0] == known
            assert rows[1] == [str(result[name]) for name in known]
            in_md = client.get(address(question, "md", pick=",".join(known))).text
            lines = in_md.splitlines()[6 : 6 + len(known)]
            assert [line.split(" | ")[0] for line in lines] == [f"| {label_of(name)}" for name in known]

    @EACH_QUESTION
    def test_columns_of_the_table_can_be_picked(self, client: FlaskClient, question: Question) -> None:
        whole = client.get(address(question)).get_json()
        columns = [name for name in question.table if name not in whole["result"]][::-1][:2]
        if not columns:
            return
        places = [whole["table"]["columns"].index(name) for name in columns]
        wanted = [[row[place] for place in places] for row in whole["table"]["rows"]]
        pick = ",".join(columns)
        table = client.get(address(question, pick=pick)).get_json()["table"]
        assert table["columns"] == columns
        assert table["rows"] == wanted
        in_csv = cells(client.get(address(question, "csv", pick=pick)).text)
        assert in_csv[0] == columns
        bare = client.get(address(question, "txt", pick=pick)).text
        assert [line.split("\t") for line in bare.split("\n")] == in_csv[1:]

    def test_a_list_of_names_picks_in_json(self, client: FlaskClient) -> None:
        body = dict(QUESTIONS["crawl"].example)
        names = ["crawl_speed", "crawl_ratio"]
        as_list = client.post("/v1/crawl", json=body | {"pick": names})
        assert as_list.data == client.post("/v1/crawl", json=body | {"pick": ",".join(names)}).data
        assert list(as_list.get_json()["result"]) == names


class TestForms:
    @EACH_QUESTION
    def test_decimal_comma_goes_in_and_out(self, client: FlaskClient, question: Question) -> None:
        texts = {name: text.replace(",", ";").replace(".", ",") for name, text in as_texts(question).items()}
        query = texts | {"decimal": "comma"}
        plain = client.get(address(question)).get_json()
        assert without_echo(
            client.get(f"/v1/{question.name}", query_string=query).get_json()
        ) == without_echo(plain)
        with_decimal_point = cells(client.get(address(question, "csv")).text)
        response = client.get(f"/v1/{question.name}.csv", query_string=query)
        rows = cells(response.text, ";")
        assert [[cell.replace(",", ".") for cell in row] for row in rows[1:]] == [
            [cell.replace(",", ".") for cell in row] for row in with_decimal_point[1:]
        ]
        assert rows[0] == with_decimal_point[0]

    def test_decimal_comma_in_json_lists_and_curves(self, client: FlaskClient) -> None:
        body = {"tyre": "35x12,50R17LT", "axle_ratio": "4,56", "gear_ratios": ["4,46", "2,61"],
                "transfer_ratios": "1;2,72", "torque_curve": "1000:210,5;2000:260", "decimal": "comma",
                "pick": "crawl_ratio;crawl_wheel_torque"}  # fmt: skip
        picked = client.post("/v1/crawl", json=body).get_json()["result"]
        plain = {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "gear_ratios": [4.46, 2.61],
                 "transfer_ratios": [1, 2.72], "torque_curve": [[1000, 210.5], [2000, 260]],
                 "pick": "crawl_ratio,crawl_wheel_torque"}  # fmt: skip
        assert picked == client.post("/v1/crawl", json=plain).get_json()["result"]
        as_text = client.post("/v1/crawl.txt", json=body).text
        assert as_text.replace(",", ".") == "\t".join(as_cell(*item) for item in picked.items())
        assert "." not in as_text

    @EACH_QUESTION
    def test_a_byte_order_mark_comes_in_csv_where_asked(
        self, client: FlaskClient, question: Question
    ) -> None:
        plain = client.get(address(question, "csv")).data
        assert not plain.startswith(b"\xef\xbb\xbf")
        assert client.get(address(question, "csv", bom="1")).data == b"\xef\xbb\xbf" + plain
        for suffix in ("json", "txt", "md"):
            assert (
                client.get(address(question, suffix, bom="1")).data
                == client.get(address(question, suffix)).data
            )

    @EACH_QUESTION
    @EACH_SUFFIX
    def test_errors_as_text_leave_good_answers_alone(
        self, client: FlaskClient, question: Question, suffix: str
    ) -> None:
        with_text = client.get(address(question, suffix, errors="text"))
        assert with_text.data == client.get(address(question, suffix)).data
        assert with_text.content_type == FORMATS[suffix].media_type

    @EACH_QUESTION
    @pytest.mark.parametrize("system", SYSTEMS)
    def test_units_are_named_beside_every_number(
        self, client: FlaskClient, question: Question, system: str
    ) -> None:
        texts = {name: text for name, text in as_texts(question).items() if name in question.needs}
        made = client.get(f"/v1/{question.name}", query_string=texts | {"units": system}).get_json()
        if "result" not in made:
            assert made["status"] == 422, "some needs have no unit and other bounds"
            return
        assert made["units"] == system
        assert list(made["result_units"]) == list(made["result"])
        if "table" in made:
            assert len(made["table"]["units"]) == len(made["table"]["columns"])

    def test_bare_numbers_are_in_the_units_asked_for(self, client: FlaskClient) -> None:
        us = {
            "tyre": "33 in",
            "vehicle_mass": 5300,
            "axle_ratio": 4.1,
            "gear_ratios": "4",
            "pick": "grip_force",
        }
        metric = us | {"vehicle_mass": 5300 * 0.45359237, "units": "metric"}
        in_us = client.get("/v1/crawl", query_string=us).get_json()
        in_metric = client.get("/v1/crawl", query_string=metric).get_json()
        assert in_us["result_units"]["grip_force"] == "lbf"
        assert in_metric["result_units"]["grip_force"] == "N"
        pound_force = 4.4482216152605
        assert in_metric["result"]["grip_force"] == pytest.approx(in_us["result"]["grip_force"] * pound_force)


class TestNegotiation:
    @EACH_SUFFIX
    def test_a_suffix_beats_the_accept_header(self, client: FlaskClient, suffix: str) -> None:
        plain = client.get(CRAWL.replace("?", f".{suffix}?"))
        for accept in ("application/json", "text/csv", "image/png", "*/*", "text/html"):
            response = client.get(CRAWL.replace("?", f".{suffix}?"), headers={"Accept": accept})
            assert response.data == plain.data
            assert response.content_type == FORMATS[suffix].media_type
            assert "Vary" not in response.headers

    @pytest.mark.parametrize(
        ("accept", "suffix"),
        [
            (None, "json"),
            ("", "json"),
            ("*/*", "json"),
            ("application/*", "json"),
            ("application/json", "json"),
            ("application/json; charset=utf-8", "json"),
            ("text/csv", "csv"),
            ("TEXT/CSV", "csv"),
            ("text/csv; header=present", "csv"),
            ("text/plain; charset=utf-8", "txt"),
            ("text/plain;q=0.5, text/markdown", "md"),
            ("text/csv, */*;q=0.1", "csv"),
            ("text/csv;q=0.5, */*", "json"),
            ("application/json;q=0.2, text/csv;q=0.9", "csv"),
            ("text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8", "json"),
            ("text/html, image/gif, image/jpeg, *; q=.2, */*; q=.2", "json"),
        ],
    )
    def test_the_accept_header_chooses(self, client: FlaskClient, accept: str | None, suffix: str) -> None:
        response = client.get(CRAWL, headers={} if accept is None else {"Accept": accept})
        assert response.status_code == 200
        assert response.content_type == FORMATS[suffix].media_type
        assert response.headers["Vary"] == "Accept"
        assert response.data == client.get(CRAWL.replace("?", f".{suffix}?")).data

    def test_csv_says_that_it_has_headings_in_utf_8(self, client: FlaskClient) -> None:
        """RFC 4180."""
        response = client.get(CRAWL.replace("?", ".csv?"))
        assert response.content_type == "text/csv; charset=utf-8; header=present"
        assert response.data.count(b"\n") == response.data.count(b"\r\n") > 1


class TestHead:
    @EACH_QUESTION
    def test_head_is_get_without_the_body(self, client: FlaskClient, question: Question) -> None:
        for suffix in offered(question):
            get, head = client.get(address(question, suffix)), client.head(address(question, suffix))
            assert head.status_code == get.status_code == 200
            assert head.data == b""
            assert head.headers == get.headers
            assert int(head.headers["Content-Length"]) == len(get.data)

    @EACH_QUESTION
    def test_head_refuses_what_get_refuses(self, client: FlaskClient, question: Question) -> None:
        assert client.head(f"/v1/{question.name}").status_code == 422
        assert client.head(address(question, axel_ratio="4")).status_code == 422
        assert client.head("/v1/nothing").status_code == 404

    def test_head_of_a_table_has_the_headers_of_get(self, client: FlaskClient) -> None:
        get, head = client.get("/v1/tables/units"), client.head("/v1/tables/units")
        assert head.data == b""
        assert head.headers == get.headers


class TestCaching:
    @EACH_QUESTION
    @EACH_SUFFIX
    def test_an_answer_is_kept_and_validated(
        self, client: FlaskClient, question: Question, suffix: str
    ) -> None:
        first = client.get(address(question, suffix))
        assert first.headers["Cache-Control"] == (
            "public, max-age=300, stale-while-revalidate=86400, stale-if-error=86400"
        )
        tag = first.headers["ETag"]
        assert re.fullmatch(r'W/"[0-9a-f]{32}"', tag)
        assert client.get(address(question, suffix)).headers["ETag"] == tag
        for validator in (tag, tag.removeprefix("W/"), f'"other", {tag}', "*"):
            again = client.get(address(question, suffix), headers={"If-None-Match": validator})
            assert again.status_code == 304
            assert again.data == b""
            assert again.headers["ETag"] == tag
            assert again.headers["Cache-Control"] == first.headers["Cache-Control"]
            assert again.headers["Access-Control-Allow-Origin"] == "*"
        changed = client.get(address(question, suffix), headers={"If-None-Match": '"other"'})
        assert changed.status_code == 200
        assert changed.data == first.data

    def test_each_format_has_its_own_tag(self, client: FlaskClient) -> None:
        tags = {client.get(CRAWL.replace("?", f".{suffix}?")).headers["ETag"] for suffix in FORMATS}
        assert len(tags) == len(FORMATS)

    def test_a_304_says_what_it_varies_by(self, client: FlaskClient) -> None:
        tag = client.get(CRAWL).headers["ETag"]
        assert client.get(CRAWL, headers={"If-None-Match": tag}).headers["Vary"] == "Accept"

    def test_what_was_posted_and_probes_are_not_kept(self, client: FlaskClient) -> None:
        posted = client.post("/v1/crawl", json=dict(QUESTIONS["crawl"].example))
        assert "max-age" not in posted.headers.get("Cache-Control", "")
        for probe in ("/healthz", "/readyz"):
            response = client.get(probe)
            assert response.status_code == 200
            assert response.headers["Cache-Control"] == "no-store"


class TestOtherOrigins:
    ADDRESSES = (CRAWL, "/v1/tables", "/v1/tables/units.csv", "/", "/openapi.json", "/healthz", "/readyz",
                 "/problems/not-found", "/pages/style.css")  # fmt: skip

    @pytest.mark.parametrize("path", ADDRESSES)
    def test_any_origin_may_read_without_credentials(self, client: FlaskClient, path: str) -> None:
        with client.get(path, headers={"Origin": "https://builder.example"}) as response:
            headers = response.headers
        assert headers.getlist("Access-Control-Allow-Origin") == ["*"]
        assert "Access-Control-Allow-Credentials" not in headers
        assert "ETag" in headers["Access-Control-Expose-Headers"]
        assert headers["Cross-Origin-Resource-Policy"] == "cross-origin"
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
        assert "unsafe" not in headers["Content-Security-Policy"]

    def test_a_preflight_is_answered(self, client: FlaskClient) -> None:
        asked = {
            "Origin": "https://builder.example",
            "Access-Control-Request-Method": "POST",
            "Access-Control-Request-Headers": "content-type",
        }
        response = client.options("/v1/crawl", headers=asked)
        assert response.status_code == 200
        assert response.data == b""
        headers = response.headers
        assert headers["Access-Control-Allow-Origin"] == "*"
        assert {"GET", "POST"} <= set(headers["Access-Control-Allow-Methods"].split(", "))
        assert "content-type" in headers["Access-Control-Allow-Headers"].lower()
        assert int(headers["Access-Control-Max-Age"]) > 0

    def test_a_foreign_host_name_is_not_sent_back(self, client: FlaskClient) -> None:
        for path in (CRAWL, "//v1//crawl", "/v1/crawl/", "/v1/tables/", "/nothing"):
            response = client.get(path, headers={"Host": "evil.example", "X-Forwarded-Host": "evil.example"})
            assert "evil.example" not in str(response.headers) + response.text

    def test_nowhere_where_the_service_knows_its_own(self) -> None:
        client = create_app(Settings(public_address="https://gears.example")).test_client()
        for path in (CRAWL, "//v1//crawl", "/v1/tables/", "/nothing", "/v1/tyre"):
            response = client.get(path, headers={"Host": "evil.example"})
            assert "evil.example" not in str(response.headers) + response.text


class TestHomePage:
    def test_a_browser_gets_a_page_with_numbers(self, client: FlaskClient) -> None:
        response = client.get("/", headers={"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"})
        assert response.mimetype == "text/html"
        assert response.headers["Vary"] == "Accept, Accept-Language, Accept-Encoding"
        ratio = client.get(CRAWL).get_json()["result"]["crawl_ratio"]
        assert f"{ratio:.4g}" in response.text
        assert response.text.count("<script") == 1, "the module, without which all works too"
        assert " style=" not in response.text

    def test_a_script_gets_the_demo_build_answered(self, client: FlaskClient) -> None:
        made = client.get("/").get_json()
        assert set(made["questions"]) == set(QUESTIONS)
        for name, entry in made["questions"].items():
            assert client.get(entry["example"]).status_code == 200, name
        for document in made["documents"].values():
            assert client.get(document).status_code == 200


class TestTexts:
    @pytest.mark.parametrize("suffix", ["txt", "md"])
    def test_a_decimal_comma_is_in_every_number_but_not_in_sizes_and_rules(
        self, client: FlaskClient, suffix: str
    ) -> None:
        asked = {"tyre": "7.50-16", "original_tyre": "31x10.50R15LT", "decimal": "comma", "detail": "brief"}
        loads = {"tyre": "33x12.50R15", "vehicle_mass": "5300,5", "decimal": "comma", "detail": "brief"}
        speeds = client.get(f"/v1/speedometer.{suffix}", query_string=asked).text
        masses = client.get(f"/v1/axle-loads.{suffix}", query_string=loads).text
        assert "393.82" in speeds
        assert re.search(r"\b2920 lb", masses)
        assert not re.search(r"\d\.\d", speeds.replace("393.82", "") + masses)
        assert re.search(r"\d,\d", speeds)

    @EACH_QUESTION
    @QUICK
    @given(data=st.data())
    def test_a_sheet_fits_a_forum_for_any_build(
        self, client: FlaskClient, question: Question, data: st.DataObject
    ) -> None:
        raw = data.draw(builds(question.needs, question.uses))
        raw["tyre" if "tyre" in question.fields else question.needs[0]] = data.draw(
            st.sampled_from(
                ["35x12.50R17LT", " 35 × 12.50 r17 lt ", "265⁄70R17 115T", "36.4″", "7.50-16", "33''"]
            )
        )
        units = data.draw(st.sampled_from(SYSTEMS))
        response = client.post(f"/v1/{question.name}.txt", json=raw)
        assert response.status_code in (200, 422)
        if response.status_code == 200:
            assert_fits(response.data)
        in_markdown = client.post(f"/v1/{question.name}.md", json=raw | {"units": units})
        if in_markdown.status_code == 200:
            assert_tables(in_markdown.text)

    @EACH_QUESTION
    @QUICK
    @given(data=st.data())
    def test_hostile_texts_come_out_harmless(
        self, client: FlaskClient, question: Question, data: st.DataObject
    ) -> None:
        raw: dict[str, Any] = dict(question.example)
        hostile = st.text(max_size=60) | st.sampled_from(
            [
                "@everyone",
                "```",
                "[url=x]",
                "=HYPERLINK(1)",
                "|x|",
                "<script>",
                "\x1b[31m",
                "\r\n\r\nx",
                "#ERR",
            ]
        )
        names = data.draw(st.lists(st.sampled_from(question.fields), min_size=1, max_size=3))
        raw |= {name: data.draw(hostile) for name in names} | data.draw(
            st.dictionaries(hostile, hostile, max_size=1)
        )
        response = client.post(f"/v1/{question.name}.txt", json=raw | {"errors": "text"})
        assert response.status_code == 200 or not _is_text(raw)
        if response.status_code == 200:
            assert_harmless(response.text)
            if response.text.startswith("#ERR"):
                assert "\n" not in response.text
        plain = client.post(f"/v1/{question.name}", json=raw)
        assert plain.status_code in (200, 400, 422)

    def test_words_are_made_harmless_wherever_they_stand(self) -> None:
        text = FORMATS["txt"].write(hostile_document(), OutputOptions()).decode()
        assert_harmless(text)
        in_markdown = FORMATS["md"].write(hostile_document(), OutputOptions()).decode()
        assert_tables(in_markdown)

    def test_cautions_that_do_not_fit_are_counted(self) -> None:
        cautions = [{"level": "note", "code": "long", "text": "Word after word. " * 40}] * 10
        text = FORMATS["txt"].write(plain_document() | {"cautions": cautions}, OutputOptions()).decode()
        assert_fits(text.encode())
        assert "(8 more cautions in .json)" in text

    def test_five_cautions_are_shown_and_every_stop(self) -> None:
        for level, shown in (("note", 5), ("stop", 7)):
            cautions = [{"level": level, "code": "short", "text": "Word."}] * 7
            text = FORMATS["txt"].write(plain_document() | {"cautions": cautions}, OutputOptions()).decode()
            assert text.count(f"{level}: Word.") == shown
            assert ("(2 more cautions in .json)" in text) == (shown == 5)

    def test_a_stop_stands_before_the_figures_however_many_they_are(self, client: FlaskClient) -> None:
        """A shaft of which little is known: half of its results lack fields."""
        build = {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "propshaft_run": 48, "propshaft_drop": 12}
        text = " ".join(client.post("/v1/driveline.txt", json=build).text.split())
        (stop,) = (
            each["text"]
            for each in client.post("/v1/driveline", json=build).get_json()["cautions"]
            if each["level"] == "stop"
        )
        assert 0 < text.index(f"driveline: STOP stop: {stop}") < text.index("output joint angle")
        assert (
            "critical speed, critical speed share: needs propeller shaft tube diameter (propshaft_tube_diameter)"
            in text
        )

    def test_a_sheet_that_is_still_too_long_is_cut_between_lines_and_says_so(self) -> None:
        assumed = {f"field_{place}": "word" for place in range(200)}
        text = FORMATS["txt"].write(plain_document() | {"assumed": assumed}, OutputOptions()).decode()
        assert_fits(text.encode())
        assert text.splitlines()[-1] == "(cut here; all in .json)"

    def test_cells_that_would_run_as_formulas_stay_words(self) -> None:
        """CWE-1236."""
        words = ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "=cmd|' /C calc'!A0"]
        written = rows_as_csv(["word"], [[word] for word in words], OutputOptions())
        assert [row[0] for row in cells(written.decode())[1:]] == [f"'{word}" for word in words]
        for numbers_kept in ([-1.5], [-1e-12], [1e22], [-3]):
            for options in (OutputOptions(), OutputOptions(decimal_comma=True)):
                row = cells(rows_as_csv(["x"], [numbers_kept], options).decode(), ";")[1]
                assert [float(cell.replace(",", ".")) for cell in row] == numbers_kept


def as_cell(name: str, value: object) -> str:
    """A picked value in text: as it is, rounded where fewer than four digits can be trusted."""
    few = RESULTS[name].digits
    if isinstance(value, str) or few >= 4:
        return value if isinstance(value, str) else repr(value)
    return repr(float(f"{value:.{few}g}"))


def plain_document() -> Document:
    return hostile_document() | {"result": {}, "result_units": {}, "table": None, "assumed": {}}


def hostile_document() -> Document:
    word = "@all `a` | b\nc \x1b[31m é ```"
    return {
        "question": "crawl",
        "units": "us",
        "given": {},
        "assumed": {"surface": word},
        "result": {"crawl_limited_by": word, "crawl_ratio": 1.0},
        "result_units": {"crawl_limited_by": word, "crawl_ratio": ""},
        "table": {"columns": ["gear", "rule"], "units": ["", word], "rows": [[1, word], [None, True]]},
        "verdict": "check",
        "summary": word,
        "absent": {},
        "cautions": [{"level": "check", "code": "x", "text": word}],
        "sources": [],
    }


def _is_text(raw: dict[str, Any]) -> bool:
    """Whether JSON can carry it: half a surrogate pair cannot be read."""
    return not any(0xD800 <= ord(mark) < 0xE000 for mark in json.dumps(raw, ensure_ascii=False))


def assert_harmless(text: str) -> None:
    assert text.isascii()
    assert "`" not in text
    assert "@" not in text
    assert all(mark == "\n" or mark.isprintable() for mark in text)


def assert_fits(sheet: bytes) -> None:
    text = sheet.decode("ascii")
    assert_harmless(text)
    assert len(text) <= 1900
    assert max(map(len, text.split("\n"))) <= 60


def assert_tables(text: str) -> None:
    """Every line of a pipe table has as many unescaped pipes as its headings."""
    wide = 0
    for line in text.splitlines():
        if line.startswith("|"):
            bars = line.replace(r"\|", "").count("|")
            wide = wide or bars
            assert bars == wide
        else:
            wide = 0
