"""Many builds in one request: the same answers, row by row; nothing lost, nothing cut off in silence."""

import csv
import io
import json
import re
from collections import Counter
from typing import Any

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from gearing_api.answer import Question
from gearing_api.app import create_app
from gearing_api.batch import comparisons
from gearing_api.batch.columns import MOST_TOLD
from gearing_api.batch.comparison_plans import BLOCK, Plan
from gearing_api.http import bulk
from gearing_api.questions import OWNERS, QUESTIONS
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import FIELDS, RESULTS
from tests.builds import EXAMPLES, builds, many_builds, text, value

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
OWNING = list({question.name: question for question in OWNERS.values()}.values())
QUICK = settings(
    max_examples=3 * EXAMPLES,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.generate),  # to shrink builds of a hundred fields takes minutes
)

BUILD: dict[str, Any] = {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "gear_ratios": [4.46, 2.61]}
HEAD = "tyre,axle_ratio,gear_ratios\r\n"
ROW = '35x12.50R17LT,4.56,"4.46,2.61"\r\n'
MEMBERS = [
    "question", "units", "count", "column_units", "errors", "error_count", "cautions", "absent", "sources",
    "columns",
]  # fmt: skip
PLAN: dict[str, Any] = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61]},
    "vary": {"axle_ratio": [4.1, 4.56], "transfer_ratios": [[1, 2.72], "1,4"]},
    "report": ["crawl_ratio", "crawl_speed"],
}


def post_csv(
    client: FlaskClient, body: str | bytes, query: str = "", path: str = "/v1/crawl"
) -> TestResponse:
    data = body.encode() if isinstance(body, str) else body
    return client.post(f"{path}?{query}", data=data, content_type="text/csv")


def cells(response: TestResponse, delimiter: str = ",") -> list[list[str]]:
    assert response.status_code == 200, response.text
    assert response.mimetype == "text/csv"
    return list(csv.reader(io.StringIO(response.text, newline=""), delimiter=delimiter, strict=True))


def records(response: TestResponse, delimiter: str = ",") -> list[dict[str, str]]:
    heading, *rows = cells(response, delimiter)
    return [dict(zip(heading, row, strict=True)) for row in rows]


def problem(response: TestResponse, status: int) -> Any:
    assert response.status_code == status, response.text
    assert response.mimetype == "application/problem+json"
    return response.get_json()


def assert_tells(sentence: str, details: list[str]) -> None:
    """All the details in any order; of many, so many as are told, and how many more there are."""
    found = re.fullmatch(r"(.*?)(?:; and (\d+) more fields are refused)?", sentence)
    assert found is not None
    told, known = Counter(found[1].split("; ")), Counter("; ".join(details).split("; "))
    assert told <= known
    assert len(details) == MOST_TOLD + int(found[2]) if found[2] else told == known


class TestEveryWayIsTheSame:
    """GET, POST, a CSV row, a row of a batch and a cell of a comparison agree to the last bit."""

    @pytest.fixture(scope="class")
    @classmethod
    def client(cls) -> FlaskClient:
        return create_app(
            Settings(errors_listed=1000, requests_per_minute=0, cpu_seconds_per_minute=0)
        ).test_client()

    @EACH_QUESTION
    @QUICK
    @given(data=st.data())
    def test_rows(self, client: FlaskClient, question: Question, data: st.DataObject) -> None:
        made = data.draw(many_builds(question.needs, question.uses))
        system = data.draw(st.sampled_from(SYSTEMS))
        path, names = f"/v1/{question.name}", list(dict.fromkeys(name for raw in made for name in raw))
        singly = [client.post(path, json=raw | {"units": system}) for raw in made]
        for raw, response in zip(made, singly, strict=True):
            query = {name: text(member) for name, member in raw.items()} | {"units": system}
            by_get = client.get(path, query_string=query)
            if by_get.status_code == 200:
                assert by_get.get_json()["result"] == response.get_json()["result"]
            else:
                assert by_get.status_code in (response.status_code, 414)

        columns: dict[str, Any] = {name: [raw.get(name) for raw in made] for name in names}
        for name in data.draw(st.sets(st.sampled_from(names))):
            first = columns[name][0]
            if columns[name] == [first] * len(made):
                columns[name] = text(first) if isinstance(first, list) else first
        batch = client.post(f"{path}/batch", json={"columns": columns, "units": system}).get_json()
        out = io.StringIO()
        csv.writer(out).writerows(
            [names, *([text(raw[name]) if name in raw else "" for name in names] for raw in made)]
        )
        rows = records(post_csv(client, out.getvalue(), f"units={system}", path))

        count = len(made) if any(isinstance(column, list) for column in columns.values()) else 1
        assert batch["count"] == count
        assert len(rows) == len(made)
        errors: dict[int, list[Any]] = {place: [] for place in range(count)}
        for error in batch["errors"]:
            errors[error["index"]].append(error)
        assert batch["error_count"] == sum(map(bool, errors.values()))
        for place, (raw, response, row) in enumerate(zip(made, singly, rows, strict=True)):
            given_only = raw if response.status_code == 422 else raw.keys() - set(question.results)
            assert {name: row[name] for name in given_only} == {name: text(raw[name]) for name in given_only}
            if response.status_code == 422:
                details = [error["detail"] for error in response.get_json()["errors"]]
                assert_tells(row["error"], details)
                assert not any(row[name] for name in question.results if name not in raw)
                if place < count:
                    assert_tells("; ".join(error["detail"] for error in errors[place]), details)
                    assert all(batch["columns"][name][place] is None for name in question.results)
                continue
            answer = response.get_json()
            assert row["error"] == ""
            # Rows are compared with the vehicle before the change only where a column asks for it.
            codes = {caution["code"] for caution in answer["cautions"]} - {"no-answer-before"}
            codes |= {
                f"{absent['why'].replace(' ', '-')}:{name}" for name, absent in answer["absent"].items()
            }
            assert row["cautions"].split() == sorted(codes)
            for name, member in answer["result"].items():
                if member is None and name in raw:
                    continue
                assert row[name] == ("" if member is None else row[name])
                assert (float(row[name]) if isinstance(member, float) else row[name] or None) == member, name
                if place < count:
                    assert batch["columns"][name][place] == member, name
            if place < count:
                assert not errors[place]

    @pytest.mark.parametrize("question", OWNING, ids=lambda question: question.name)
    @QUICK
    @given(data=st.data())
    def test_cells(self, client: FlaskClient, question: Question, data: st.DataObject) -> None:
        report = [name for name in question.results if OWNERS[name] is question]
        build = data.draw(builds(question.needs, question.uses))
        some = st.sampled_from(sorted(build))
        varied = data.draw(st.lists(some, min_size=1, max_size=2, unique=True))
        vary = {
            name: [build.pop(name), *data.draw(st.lists(value(FIELDS[name].kind), max_size=2))]
            for name in varied
        }
        report = [name for name in report if name not in vary]
        plan = {"build": build, "vary": vary, "report": report}
        answer = client.post("/v1/comparison", json=plan).get_json()
        rows = records(client.post("/v1/comparison.csv", json=plan))
        lines = [
            json.loads(line) for line in client.post("/v1/comparison.ndjson", json=plan).text.splitlines()
        ]
        combinations = [{}]
        for name, values in vary.items():
            combinations = [made | {name: member} for made in combinations for member in values]
        assert answer["count"] == len(rows) == len(lines) - 1 == len(combinations)
        refused = {error["index"] for error in answer["errors"]}
        assert len(refused) == answer["error_count"]
        for place, combination in enumerate(combinations):
            single = client.post(f"/v1/{question.name}", json=build | combination)
            in_line = dict(zip(lines[0]["columns"], lines[place + 1], strict=True))
            assert (place in refused) == (single.status_code == 422) == bool(in_line["error"])
            assert rows[place]["error"] == (in_line["error"] or "")
            result = single.get_json().get("result", {})
            for name in report:
                cell = answer["columns"][name][place]
                assert cell == result.get(name) == in_line[name], name
                assert (
                    float(rows[place][name]) if isinstance(cell, float) else rows[place][name] or None
                ) == cell
            for name, member in combination.items():
                assert answer["columns"][name][place] == member == in_line[name]
                shown = rows[place][name]
                assert shown == text(member) or float(shown) == member


class TestCsv:
    def test_rows_come_back_with_results_added(self, client: FlaskClient) -> None:
        body = (
            "_name,tyre,axle_ratio,gear_ratios,_note\r\n"
            'A,35x12.50R17LT,4.56,"4.46,2.61","say ""hi"",\nthen go"\r\n'
        )
        heading, row = cells(post_csv(client, body))
        assert heading[:5] == ["_name", "tyre", "axle_ratio", "gear_ratios", "_note"]
        assert heading[5:] == [*QUESTIONS["crawl"].results, "cautions", "error"]
        assert row[:5] == ["A", "35x12.50R17LT", "4.56", "4.46,2.61", 'say "hi",\nthen go']
        assert float(row[5]) == 4.46 * 4.56

    @pytest.mark.parametrize("end", ["\r\n", "\n", "\r"])
    @pytest.mark.parametrize("mark", ["", "\ufeff"])
    def test_line_ends_and_mark_of_byte_order(self, client: FlaskClient, end: str, mark: str) -> None:
        body = (mark + HEAD + ROW + ROW).replace("\r\n", end)
        assert post_csv(client, body).data == post_csv(client, HEAD + ROW + ROW).data
        assert post_csv(client, body.removesuffix(end)).data == post_csv(client, HEAD + ROW + ROW).data

    def test_lines_end_as_the_standard_says(self, client: FlaskClient) -> None:
        """RFC 4180: CR LF after each line; UTF-8 without a mark unless asked for."""
        whole = post_csv(client, HEAD + ROW).data
        assert whole.count(b"\r\n") == whole.count(b"\n") == 2
        assert post_csv(client, HEAD + ROW, "bom=1").data == b"\xef\xbb\xbf" + whole

    def test_blank_cells_are_not_given(self, client: FlaskClient) -> None:
        body = "tyre,axle_ratio,gear_ratios,peak_torque,hub_ratio\r\n35x12.50R17LT,4.56,4.46, ,\r\n"
        (row,) = records(post_csv(client, body))
        alone = client.post("/v1/crawl", json=BUILD | {"gear_ratios": [4.46]}).get_json()["result"]
        assert float(row["crawl_ratio"]) == alone["crawl_ratio"]
        assert row["crawl_wheel_torque"] == ""
        assert row["error"] == ""

    def test_short_rows_are_filled_and_long_rows_told(self, client: FlaskClient) -> None:
        body = HEAD + "35x12.50R17LT\r\n" + ROW.strip() + ",extra\r\n" + ROW.strip() + ",,,\r\n" + ROW
        rows = records(post_csv(client, body))
        assert rows[0]["error"].startswith("axle_ratio is needed for crawl")
        assert rows[1]["error"] == "row has 4 cells under 3 headings"
        assert rows[1]["crawl_ratio"] == rows[1]["cautions"] == ""
        assert rows[2]["error"] == rows[3]["error"] == ""
        assert rows[2]["crawl_ratio"] == rows[3]["crawl_ratio"] != ""

    def test_a_blank_line_between_rows_keeps_its_place(self, client: FlaskClient) -> None:
        rows = records(post_csv(client, "\r\n\r\n" + HEAD + ROW + "\r\n" + ",,\r\n" + ROW + "\r\n\r\n"))
        assert [row["tyre"] for row in rows] == ["35x12.50R17LT", "", "", "35x12.50R17LT"]
        assert rows[1]["error"] == rows[2]["error"]
        assert rows[1]["error"].startswith("tyre is needed for crawl")

    def test_one_column(self, client: FlaskClient) -> None:
        body = "tyre\r\n33x12.50R15\r\n\r\n265/70R17\r\n"
        rows = records(post_csv(client, body, "pick=diameter", "/v1/tyre"))
        assert [bool(row["diameter"]) for row in rows] == [True, False, True]

    def test_order_is_kept(self, client: FlaskClient) -> None:
        ratios = [4.1, 3.73, 4.88, 4.56, "no", 3.07] * 20
        body = HEAD + "".join(
            f"35x12.50R17LT,{ratio},{place % 3 + 2}\r\n" for place, ratio in enumerate(ratios)
        )
        rows = records(post_csv(client, body))
        assert [row["axle_ratio"] for row in rows] == list(map(str, ratios))
        for place, row in enumerate(rows):
            expected = "" if ratios[place] == "no" else repr(float(place % 3 + 2) * float(ratios[place]))
            assert row["crawl_ratio"] == expected or float(row["crawl_ratio"]) == pytest.approx(
                float(expected)
            )

    def test_a_bad_row_costs_no_other(self, client: FlaskClient) -> None:
        good = records(post_csv(client, HEAD + ROW * 3))
        bad = '35x12.50R17LT,99,"4.46,0"\r\n'
        rows = records(post_csv(client, HEAD + ROW + bad + ROW + bad.replace("99", "4") + ROW))
        assert [rows[place] for place in (0, 2, 4)] == good
        assert rows[1]["error"] == (
            "axle_ratio must be a number from 1 to 20; gear_ratios item 2 must be a number from 0.2 to 20"
        )
        assert not any(rows[1][name] for name in (*QUESTIONS["crawl"].results, "cautions"))

    def test_units_and_picks(self, client: FlaskClient) -> None:
        query = "units=metric&pick=crawl_speed,crawl_ratio"
        heading, row = cells(post_csv(client, HEAD + ROW, query))
        assert heading == [
            "tyre",
            "axle_ratio",
            "gear_ratios",
            "crawl_speed",
            "crawl_ratio",
            "cautions",
            "error",
        ]
        single = client.post("/v1/crawl", json=BUILD | {"units": "metric"}).get_json()["result"]
        assert float(row[3]) == single["crawl_speed"]

    def test_decimal_comma(self, client: FlaskClient) -> None:
        body = 'tyre;axle_ratio;gear_ratios;vehicle_mass\r\n35x12,50R17LT;4,56;"4,46;2,61";"2400,5 kg"\r\n'
        rows = records(post_csv(client, body, "decimal=comma"), ";")
        plain = client.post("/v1/crawl", json=BUILD | {"vehicle_mass": "2400.5 kg"}).get_json()["result"]
        assert rows[0]["gear_ratios"] == "4,46;2,61"
        assert float(rows[0]["crawl_ratio"].replace(",", ".")) == plain["crawl_ratio"]
        assert float(rows[0]["grip_force"].replace(",", ".")) == plain["grip_force"]

    def test_a_comma_between_cells_with_decimal_comma_is_told(self, client: FlaskClient) -> None:
        told = problem(post_csv(client, HEAD + ROW, "decimal=comma"), 422)
        assert told["errors"][0]["pointer"] == "/tyre,axle_ratio,gear_ratios"
        told = problem(post_csv(client, "tyre;axle_ratio\r\n33x12.50R15;4.1\r\n"), 422)
        assert "with decimal=comma the separator is a semicolon" in told["detail"]

    @pytest.mark.parametrize(
        "formula", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "-A1", "=", "+49 (0)"]
    )
    def test_text_does_not_come_back_as_a_formula(self, client: FlaskClient, formula: str) -> None:
        """CWE-1236: text that a spreadsheet would run comes back with an apostrophe before it."""
        quoted = '"' + formula.replace('"', '""') + '"'
        (row,) = records(post_csv(client, f"_note,tyre\r\n{quoted},{quoted}\r\n", path="/v1/tyre"))
        assert row["_note"] == row["tyre"] == "'" + formula
        assert row["error"].startswith("tyre ")

    @pytest.mark.parametrize("number", ["-5", "+5", "-5.25", "-1e-5", "-5,25"])
    def test_numbers_come_back_as_they_came(self, client: FlaskClient, number: str) -> None:
        (row,) = records(post_csv(client, f'_note,tyre\r\n"{number}",33x12.50R15\r\n', path="/v1/tyre"))
        assert row["_note"] == number

    def test_a_negative_result_is_a_number(self, client: FlaskClient) -> None:
        body = "tyre,original_tyre,axle_ratio\r\n33x12.50R15,35x12.50R15,4.1\r\n"
        (row,) = records(post_csv(client, body, path="/v1/final-drive"))
        assert float(row["circumference_change_percent"]) < 0.0

    def test_only_a_heading_gives_a_heading(self, client: FlaskClient) -> None:
        for body in (HEAD, HEAD.strip(), HEAD + "\r\n\r\n"):
            (heading,) = cells(post_csv(client, body))
            assert heading[:3] == ["tyre", "axle_ratio", "gear_ratios"]

    @pytest.mark.parametrize("body", [b"", b"\r\n\r\n", b"\xef\xbb\xbf", b",,\r\n,,\r\n", b" , \r\n"])
    def test_nothing_is_told(self, client: FlaskClient, body: bytes) -> None:
        assert "first line must name the fields" in problem(post_csv(client, body), 400)["detail"]

    @pytest.mark.parametrize(
        "body",
        [
            b"tyre\r\n\xff\xfe\r\n",
            b'tyre\r\n"33x12.50R15\r\n',
            b'tyre\r\n"33"x12.50R15\r\n',
            "tyre\n".encode("utf-16"),
        ],
    )
    def test_what_is_no_csv_is_told(self, client: FlaskClient, body: bytes) -> None:
        problem(post_csv(client, body), 400)

    def test_headings_are_fields_each_once(self, client: FlaskClient) -> None:
        told = problem(post_csv(client, "tyre,axel_ratio,tyre,,_x,_x\r\na,b,c,d,e,f\r\n"), 422)
        assert [(error["pointer"], error["detail"]) for error in told["errors"]] == [
            ("/axel_ratio", "axel_ratio is no field of a build; the nearest is axle_ratio"),
            ("/tyre", "tyre heads two columns"),
            ("/column 4", "column 4 has no heading"),
            ("/_x", "_x heads two columns"),
        ]

    def test_blank_columns_at_the_end_are_no_columns(self, client: FlaskClient) -> None:
        """Spreadsheets write them where a cell was once touched."""
        padded = HEAD.strip() + ",,\r\n" + ROW.strip() + ",,\r\n"
        assert post_csv(client, padded).data == post_csv(client, HEAD + ROW).data

    def test_fields_do_not_stand_in_the_address(self, client: FlaskClient) -> None:
        told = problem(post_csv(client, HEAD + ROW, "peak_torque=260&foo=1"), 422)
        assert [error["pointer"] for error in told["errors"]] == ["/peak_torque", "/foo"]

    def test_an_unknown_pick_is_told(self, client: FlaskClient) -> None:
        told = problem(post_csv(client, HEAD + ROW, "pick=crawl_rati"), 422)
        assert "the nearest is crawl_ratio" in told["detail"]

    def test_errors_in_a_line_where_asked(self, client: FlaskClient) -> None:
        response = post_csv(client, "tire\r\n33\r\n", "errors=text")
        assert (response.status_code, response.text[:5]) == (200, "#ERR ")

    def test_compressed_rows_are_not_read(self, client: FlaskClient) -> None:
        response = client.post(
            "/v1/crawl", data=b"\x1f\x8b", content_type="text/csv", headers={"Content-Encoding": "gzip"}
        )
        problem(response, 415)

    def test_a_charset_is_no_other_type(self, client: FlaskClient) -> None:
        response = client.post(
            "/v1/crawl.csv", data=HEAD + ROW, content_type="text/csv; charset=utf-8; header=present"
        )
        assert response.data == post_csv(client, HEAD + ROW).data

    def test_rows_are_not_kept_by_others(self, client: FlaskClient) -> None:
        assert post_csv(client, HEAD + ROW).headers["Cache-Control"] == "no-store"

    def test_row_limit(self) -> None:
        with create_app(Settings()).test_client() as client:
            body = "tyre\r\n" + "33x12.50R15\r\n" * 100_000
            assert post_csv(client, body, "pick=diameter", "/v1/tyre").text.count("\r\n") == 100_001
            told = problem(post_csv(client, body + "33x12.50R15\r\n", path="/v1/tyre"), 413)
            assert told["detail"] == "There are more than 100000 rows: at most 100000 are answered at a time."

    def test_body_and_column_limits(self) -> None:
        with create_app(Settings(many_bytes=1000)).test_client() as client:
            assert post_csv(client, HEAD + ROW).status_code == 200
            assert "1000 bytes" in problem(post_csv(client, HEAD + ROW * 40), 413)["detail"]
        with create_app(Settings()).test_client() as client:
            told = problem(post_csv(client, ",".join(f"n{place}" for place in range(501)) + "\r\n"), 422)
            assert told["detail"] == "There are 501 columns: at most 500 are read."

    def test_rows_without_their_length_are_held_to_the_limit(self) -> None:
        environ = {"wsgi.input_terminated": True, "CONTENT_LENGTH": ""}
        with create_app(Settings(many_bytes=1000, body_bytes=1000)).test_client() as client:
            data = (HEAD + ROW * 40).encode()
            response = client.post("/v1/crawl", data=data, content_type="text/csv", environ_overrides=environ)
            problem(response, 413)


class TestBatch:
    def test_a_row_of_many_faults_tells_some_and_counts_the_others(self, client: FlaskClient) -> None:
        """A small row must not make a large account."""
        columns: dict[str, Any] = dict.fromkeys(FIELDS, "?") | {"tyre": ["?", "33x12.50R15"]}
        answer = client.post("/v1/tyre/batch", json={"columns": columns}).get_json()
        told = [[error["detail"] for error in answer["errors"] if error["index"] == row] for row in (0, 1)]
        assert [len(details) for details in told] == [MOST_TOLD, MOST_TOLD]
        for details, refused in zip(told, (len(FIELDS), len(FIELDS) - 1), strict=True):
            assert details[-1].endswith(f"; and {refused - MOST_TOLD} more fields are refused")
        body = ",".join(FIELDS) + "\r\n" + ",".join("?" * len(FIELDS)) + "\r\n"
        (row,) = records(post_csv(client, body, path="/v1/tyre"))
        assert row["error"] == "; ".join(told[0])

    def test_columns_in_columns_out(self, client: FlaskClient) -> None:
        columns = {"tyre": ["35x12.50R17LT", "33x12.50R15"], "axle_ratio": 4.56, "gear_ratios": "4.46,2.61"}
        answer = client.post(
            "/v1/crawl/batch", json={"columns": columns, "pick": "crawl_ratio,crawl_speed"}
        ).get_json()
        single = client.post("/v1/crawl", json=BUILD).get_json()
        assert list(answer) == MEMBERS
        assert answer["columns"]["crawl_ratio"] == [single["result"]["crawl_ratio"]] * 2
        assert answer["column_units"] == {"crawl_ratio": "", "crawl_speed": "mph"}
        assert (answer["count"], answer["error_count"], answer["errors"]) == (2, 0, [])
        counts = {caution["code"]: caution["count"] for caution in answer["cautions"]}
        assert counts["nominal-diameter"] == counts["adhesion"] == 2
        assert [source["what"] for source in answer["sources"]] == [
            source["what"] for source in single["sources"]
        ]

    def test_cautions_are_counted(self, client: FlaskClient) -> None:
        columns = {"tyre": ["35x12.50R17LT", "265/70R17", "bad", None, "33x12.50R15"]}
        answer = client.post("/v1/tyre/batch", json={"columns": columns}).get_json()
        assert {c["code"]: c["count"] for c in answer["cautions"] if c["code"] == "nominal-diameter"} == {
            "nominal-diameter": 2
        }
        assert [(error["index"], error["pointer"]) for error in answer["errors"]] == [
            (2, "/columns/tyre/2"), (3, "/columns/tyre/3"),
        ]  # fmt: skip
        assert answer["errors"][0]["got"] == "bad"

    def test_errors_have_index_pointer_and_reason(self, client: FlaskClient) -> None:
        columns = {
            "tyre": ["35x12.50R17LT", "x", "35x12.50R17LT", "35x12.50R17LT"],
            "axle_ratio": [4.56, 99, None, 4.1],
            "gear_ratios": "4.46",
            "surface": ["ice", "ice", "dry-earth", "dry-earth"],
        }
        answer = client.post("/v1/crawl/batch", json={"columns": columns}).get_json()
        told = {(error["index"], error["pointer"]): error["detail"] for error in answer["errors"]}
        assert (1, "/columns/tyre/1") in told
        assert told[1, "/columns/axle_ratio/1"] == "axle_ratio must be a number from 1 to 20"
        assert told[2, "/columns/axle_ratio/2"].startswith("axle_ratio is needed for crawl")
        assert all(error["location"] == "body" for error in answer["errors"])
        assert answer["columns"]["crawl_ratio"][1] is None

    def test_a_bad_value_for_all_is_told_for_each(self, client: FlaskClient) -> None:
        columns = {"tyre": ["33x12.50R15"] * 3, "tyre_pressure": "12 lb"}
        answer = client.post("/v1/tyre/batch", json={"columns": columns}).get_json()
        assert answer["error_count"] == 3
        assert {error["pointer"] for error in answer["errors"]} == {"/columns/tyre_pressure"}

    def test_errors_above_the_limit_are_counted(self) -> None:
        with create_app(Settings(row_errors_listed=10)).test_client() as client:
            answer = client.post("/v1/tyre/batch", json={"columns": {"tyre": ["x"] * 25}}).get_json()
        assert len(answer["errors"]) == 10
        assert (answer["error_count"], answer["errors_not_listed"]) == (25, 15)

    def test_one_list_for_a_field_that_is_a_list_is_told(self, client: FlaskClient) -> None:
        """It would otherwise read as three builds with one gear each."""
        columns = {"tyre": "33x12.50R15", "axle_ratio": 4.1, "gear_ratios": [4.46, 2.61, 1.72]}
        told = problem(client.post("/v1/crawl/batch", json={"columns": columns}), 422)
        assert told["errors"][0]["pointer"] == "/columns/gear_ratios"
        assert "one list a build" in told["detail"]

    def test_lists_of_one_length(self, client: FlaskClient) -> None:
        columns = {"tyre": ["33x12.50R15"] * 2, "tyre_pressure": [30]}
        told = problem(client.post("/v1/tyre/batch", json={"columns": columns}), 422)
        assert told["errors"][0]["detail"] == (
            "columns must have lists of one length: tyre has 2, tyre_pressure has 1"
        )

    def test_no_rows(self, client: FlaskClient) -> None:
        answer = client.post("/v1/tyre/batch", json={"columns": {"tyre": []}}).get_json()
        assert answer["count"] == 0
        assert set(map(len, answer["columns"].values())) == {0}

    def test_values_for_all_are_one_build(self, client: FlaskClient) -> None:
        answer = client.post("/v1/tyre/batch", json={"columns": {"tyre": "33x12.50R15"}}).get_json()
        assert answer["count"] == 1

    @pytest.mark.parametrize(
        ("body", "query", "pointers"),
        [
            ({}, "", ["/columns"]),
            ({"columns": []}, "", ["/columns"]),
            ({"columns": None}, "", ["/columns"]),
            ({"columns": {"tire": ["33x12.50R15"], "a/b": 1}}, "", ["/columns/tire", "/columns/a~1b"]),
            ({"columns": {}, "tyre": "33x12.50R15"}, "", ["/tyre"]),
            ({"columns": {}, "sort": "x"}, "", ["/sort"]),
            ({"columns": {}, "units": "si"}, "", ["/units"]),
            ({"columns": {}, "pick": "diametre"}, "", ["/pick"]),
            ({"columns": {}}, "tyre=33x12.50R15", ["/tyre"]),
            ({"columns": {}, "units": "us"}, "units=metric", ["/units"]),
        ],
    )  # fmt: skip
    def test_what_does_not_belong_is_told(
        self, client: FlaskClient, body: dict[str, Any], query: str, pointers: list[str]
    ) -> None:
        told = problem(client.post(f"/v1/tyre/batch?{query}", json=body), 422)
        assert [error["pointer"] for error in told["errors"]] == pointers

    def test_options_stand_in_the_address_or_the_body(self, client: FlaskClient) -> None:
        columns = {"tyre": ["33x12.50R15"]}
        in_body = client.post(
            "/v1/tyre/batch", json={"columns": columns, "units": "metric", "pick": ["diameter"]}
        )
        in_address = client.post("/v1/tyre/batch?units=metric&pick=diameter", json={"columns": columns})
        assert in_body.data == in_address.data
        single = client.get("/v1/tyre?tyre=33x12.50R15&units=metric").get_json()["result"]["diameter"]
        assert in_body.get_json()["columns"] == {"diameter": [single]}

    def test_decimal_comma(self, client: FlaskClient) -> None:
        columns = {"tyre": ["33x12,50R15"], "axle_ratio": ["4,56"], "gear_ratios": "4,46;2,61"}
        answer = client.post("/v1/crawl/batch", json={"columns": columns, "decimal": "comma"}).get_json()
        assert answer["errors"] == []
        assert answer["columns"]["crawl_ratio"] == [4.46 * 4.56]

    def test_errors_in_a_line_where_asked(self, client: FlaskClient) -> None:
        for query, body in (("errors=text", {}), ("", {"errors": "text"})):
            assert client.post(f"/v1/tyre/batch?{query}", json=body).text.startswith("#ERR columns must be")

    def test_limits(self) -> None:
        with create_app(Settings(rows=5)).test_client() as client:
            assert client.post("/v1/tyre/batch", json={"columns": {"tyre": ["x"] * 5}}).status_code == 200
            told = problem(client.post("/v1/tyre/batch", json={"columns": {"tyre": ["x"] * 6}}), 413)
            assert "at most 5" in told["detail"]
            names = {f"n{place}": 1 for place in range(1000)}
            assert (
                "1000 columns"
                in problem(client.post("/v1/tyre/batch", json={"columns": names}), 422)["detail"]
            )

    def test_builds_of_too_many_combinations_of_fields_are_refused_before_any_is_answered(self) -> None:
        """Each combination costs as much as a request of its own: 100,000 of them took most of a minute."""
        columns = {
            "tyre": ["265/70R17"] * 6,
            "axle_ratio": [3.73] * 6,
            "gear_ratios": ["3,1", "4,1", "3,2,1", "4,2,1", "4,3,2,1", "5,3,2,1"],
        }
        with create_app(Settings(combinations=2)).test_client() as client:
            told = problem(client.post("/v1/crawl/batch", json={"columns": columns}), 413)
            assert "in 3 different combinations: at most 2" in told["detail"]
            rows = "tyre,axle_ratio,original_tyre\n33 in,4,\n33 in,4,31 in\n33 in,4.1,\n"
            sent = {"content_type": "text/csv"}
            assert client.post("/v1/final-drive", data=rows, **sent).status_code == 200
            more = rows + "33 in,,31 in\n"
            assert "3 different" in problem(client.post("/v1/final-drive", data=more, **sent), 413)["detail"]
        with create_app(Settings(combinations=3)).test_client() as client:
            assert client.post("/v1/crawl/batch", json={"columns": columns}).status_code == 200

    def test_only_post(self, client: FlaskClient) -> None:
        assert problem(client.get("/v1/tyre/batch"), 405)
        problem(client.post("/v1/tyre/batch", data="x", content_type="text/csv"), 415)


def test_no_result_has_the_name_of_a_field() -> None:
    """Rows come back with their columns of fields and those of results under one heading each.

    Those that share a name are one quantity, which is answered as it was given.
    """
    shared = {name for question in QUESTIONS.values() for name in question.results} & set(FIELDS)
    assert shared <= {"vertical_stiffness", "track", "scrub_radius"}
    assert not {bulk.CAUTIONS, "error"} & (set(FIELDS) | set(RESULTS))


def compare(client: FlaskClient, suffix: str = "", query: str = "", **changes: Any) -> TestResponse:
    return client.post(f"/v1/comparison{suffix}?{query}", json=PLAN | changes)


def codes_of(client: FlaskClient, question: str, build: dict[str, Any], *results: str) -> str:
    """The codes of a row, from the answer to its build alone."""
    answer = client.post(f"/v1/{question}", json=build).get_json()
    absent = {
        f"{answer['absent'][name]['why'].replace(' ', '-')}:{name}"
        for name in results
        if name in answer["absent"]
    }
    return " ".join(sorted({caution["code"] for caution in answer["cautions"]} | absent))


class TestComparison:
    def test_each_row_of_csv_has_the_codes_of_its_own_cautions(self, client: FlaskClient) -> None:
        """Of all questions that are asked, and why a result is absent."""
        build = {"gear_ratios": [4.46, 1], "axle_ratio": 4.1, "peak_torque": 260}
        vary = {"tyre": ["33x12.50R15", "265/70R16", "33 in"], "vehicle_mass": ["5000 lb", "900 kg"]}
        report = ["climbable_grade_percent", "engine_grade_percent"]
        rows = records(compare(client, ".csv", build=build, vary=vary, report=report))
        assert len({row["cautions"] for row in rows}) > 1
        for row in rows:
            one = build | {name: row[name] for name in vary}
            assert row["cautions"] == codes_of(client, "crawl", one, *report)
        last = records(compare(client, ".csv", build=build, vary=vary, report=report, sort="-tyre", limit=2))
        assert [row["cautions"] for row in last] == [row["cautions"] for row in rows[:2]]

    def test_json_is_columns(self, client: FlaskClient) -> None:
        answer = compare(client).get_json()
        assert list(answer) == MEMBERS
        assert (answer["question"], answer["units"], answer["count"]) == ("comparison", "us", 4)
        assert answer["column_units"] == {
            "axle_ratio": "", "transfer_ratios": "", "crawl_ratio": "", "crawl_speed": "mph",
        }  # fmt: skip
        assert answer["columns"]["axle_ratio"] == [4.1, 4.1, 4.56, 4.56]
        assert answer["columns"]["transfer_ratios"] == [[1, 2.72], "1,4"] * 2
        single = client.post("/v1/crawl", json=PLAN["build"] | {"axle_ratio": 4.56, "transfer_ratios": "1,4"})
        for name in PLAN["report"]:
            assert answer["columns"][name][3] == single.get_json()["result"][name]
        assert {caution["count"] for caution in answer["cautions"]} == {4}
        assert answer["sources"] == single.get_json()["sources"]

    def test_csv(self, client: FlaskClient) -> None:
        response = compare(client, ".csv", report=["crawl_ratio", "crawl_limited_by"])
        assert response.headers["Content-Type"] == "text/csv; charset=utf-8; header=present"
        codes = codes_of(client, "crawl", PLAN["build"] | {"axle_ratio": 4.1}, "crawl_limited_by")
        assert response.text == (
            "axle_ratio,transfer_ratios,crawl_ratio,crawl_limited_by,cautions,error\r\n"
            f'4.1,"1,2.72",{4.46 * 4.1 * 2.72!r},,{codes},\r\n'
            f'4.1,"1,4",{4.1 * 4 * 4.46!r},,{codes},\r\n'
            f'4.56,"1,2.72",{4.56 * 2.72 * 4.46!r},,{codes},\r\n'
            f'4.56,"1,4",{4.56 * 4 * 4.46!r},,{codes},\r\n'
        )

    def test_ndjson(self, client: FlaskClient) -> None:
        response = compare(
            client, ".ndjson", vary={"axle_ratio": [4.1, "4.56"], "surface": ["ice", "dry-earth"]}
        )
        assert response.headers["Content-Type"] == "application/x-ndjson"
        first, *lines = map(json.loads, response.text.splitlines())
        assert first == {
            "columns": ["axle_ratio", "surface", "crawl_ratio", "crawl_speed", "error"],
            "units": ["", "", "", "mph", ""],
        }
        assert lines[0][:3] == ["4.1", "ice", 4.1 * 4.46] or lines[0][:3] == [4.1, "ice", 4.1 * 4.46]
        assert len(lines) == 4
        assert all(line[4] is None for line in lines)
        assert response.text.endswith("]\n")

    @pytest.mark.parametrize(
        ("accept", "media_type"),
        [
            (None, "application/json"),
            ("*/*", "application/json"),
            ("text/csv", "text/csv"),
            ("application/x-ndjson", "application/x-ndjson"),
            ("text/html,application/xhtml+xml,*/*;q=0.8", "application/json"),
            ("text/csv;q=0.5, application/x-ndjson", "application/x-ndjson"),
            ("text/csv; charset=utf-8", "text/csv"),
        ],
    )
    def test_formats_by_accept(self, client: FlaskClient, accept: str | None, media_type: str) -> None:
        headers = {} if accept is None else {"Accept": accept}
        assert client.post("/v1/comparison", json=PLAN, headers=headers).mimetype == media_type

    def test_a_suffix_wins(self, client: FlaskClient) -> None:
        response = client.post("/v1/comparison.csv", json=PLAN, headers={"Accept": "application/json"})
        assert response.mimetype == "text/csv"

    def test_other_formats_do_not_exist(self, client: FlaskClient) -> None:
        told = problem(client.post("/v1/comparison", json=PLAN, headers={"Accept": "image/png"}), 406)
        assert "application/x-ndjson" in told["detail"]
        problem(client.post("/v1/comparison.txt", json=PLAN), 404)
        problem(client.get("/v1/comparison"), 405)
        problem(client.post("/v1/comparison", data="x", content_type="text/csv"), 415)

    def test_refused_rows(self, client: FlaskClient) -> None:
        changes = {
            "build": PLAN["build"] | {"axle_ratio": 4.1, "idle_speed": 1500},
            "vary": {"redline_speed": [4000, 1200]},
            "report": ["top_speed"],
        }
        answer = compare(client, **changes).get_json()
        assert answer["errors"] == [
            {
                "index": 1,
                "location": "body",
                "pointer": "/vary/redline_speed",
                "detail": "redline_speed must be above idle_speed",
            }
        ]
        assert answer["error_count"] == 1
        assert answer["columns"]["top_speed"][1] is None
        assert [row["error"] for row in records(compare(client, ".csv", **changes))] == [
            "", "redline_speed must be above idle_speed",
        ]  # fmt: skip
        lines = compare(client, ".ndjson", **changes).text.splitlines()
        assert json.loads(lines[2]) == [1200.0, None, "redline_speed must be above idle_speed"]

    def test_sort_and_limit(self, client: FlaskClient) -> None:
        for sort in ("crawl_speed", "-crawl_speed"):
            speeds = compare(client, sort=sort, limit=3).get_json()["columns"]["crawl_speed"]
            assert speeds == sorted(speeds, reverse=sort.startswith("-"))
            assert len(speeds) == 3
            rows = records(compare(client, ".csv", sort=sort, limit=3))
            assert [float(row["crawl_speed"]) for row in rows] == speeds

    def test_units(self, client: FlaskClient) -> None:
        answer = compare(client, units="metric").get_json()
        assert answer["column_units"]["crawl_speed"] == "km/h"
        single = PLAN["build"] | {"axle_ratio": 4.1, "transfer_ratios": [1, 2.72], "units": "metric"}
        expected = client.post("/v1/crawl", json=single).get_json()["result"]["crawl_speed"]
        assert answer["columns"]["crawl_speed"][0] == expected

    def test_decimal_comma(self, client: FlaskClient) -> None:
        vary = {"axle_ratio": ["4,56"], "transfer_ratios": [[1, 2.72], "1;4,5"]}
        response = compare(client, ".csv", "decimal=comma&bom=1", vary=vary, report=["crawl_ratio"])
        assert response.data.startswith(b"\xef\xbb\xbf")
        rows = cells(response, ";")
        assert rows[1] == ["4,56", "1;2,72", repr(4.56 * 2.72 * 4.46).replace(".", ","), rows[1][3], ""]
        assert rows[2][:2] == ["4,56", "1;4,5"]
        answer = compare(client, "", "decimal=comma", vary=vary).get_json()
        assert answer["columns"]["axle_ratio"] == ["4,56", "4,56"]

    def test_text_does_not_come_back_as_a_formula(self, client: FlaskClient) -> None:
        vary = {"axle_ratio": [4.1], "idle_speed": ["+700 rpm", "+700"]}
        rows = records(compare(client, ".csv", vary=vary))
        assert [row["idle_speed"] for row in rows] == ["'+700 rpm", "+700"]

    def test_what_is_refused_is_pointed_to(self, client: FlaskClient) -> None:
        told = problem(compare(client, vary={"axle_ratio": [4.1, 99], "foo": [1]}), 422)
        assert [error["pointer"] for error in told["errors"]] == ["/vary/foo"]
        told = problem(compare(client, vary={"axle_ratio": [4.1, 99, "4 in"]}), 422)
        assert [(error["pointer"], error["got"]) for error in told["errors"]] == [
            ("/vary/axle_ratio/1", 99), ("/vary/axle_ratio/2", "4 in"),
        ]  # fmt: skip
        told = problem(client.post("/v1/comparison", json={}), 422)
        assert [error["pointer"] for error in told["errors"]] == ["/build", "/vary", "/report"]

    @pytest.mark.parametrize(
        ("query", "detail"),
        [
            ("units=metric", "units stands in the body of this request"),
            ("pick=crawl_ratio", "pick stands in the body of this request"),
            ("sort=crawl_ratio", "sort is no option: fields stand in the body"),
            ("tyre=33", "tyre is no option: fields stand in the body"),
        ],
    )
    def test_the_address_has_only_how_to_write(self, client: FlaskClient, query: str, detail: str) -> None:
        assert problem(compare(client, query=query), 422)["errors"][0]["detail"] == detail

    def test_cells_limit(self) -> None:
        with create_app(Settings(cells=36)).test_client() as client:
            assert compare(client).get_json()["count"] == 4
            big = PLAN["vary"] | {"idle_speed": [700, 800]}
            for suffix in ("", ".csv", ".ndjson"):
                told = problem(compare(client, suffix, vary=big), 422)
                assert told["errors"][0]["pointer"] == "/vary"
                assert told["detail"] == (
                    "vary makes 8 rows x 5 columns = 40 cells: at most 36 are computed at a time. Any size "
                    "can be computed offline: gearing-api sweep PLAN.json --out results.csv"
                )
            assert compare(client, vary=big, limit=3).get_json()["count"] == 3
            told = problem(compare(client, vary=big, limit=3, sort="crawl_ratio"), 422)
            assert "8 rows" in told["detail"], "all rows are computed to be sorted"

    def test_the_limit_is_a_million_cells(self) -> None:
        assert Settings().cells == 1_000_000

    def test_the_same_bytes_each_time(self, client: FlaskClient) -> None:
        for suffix in (".json", ".csv", ".ndjson"):
            assert compare(client, suffix).data == compare(client, suffix).data

    def test_answers_are_not_kept_by_others(self, client: FlaskClient) -> None:
        assert compare(client, ".csv").headers["Cache-Control"] == "no-store"


class TestStreams:
    BIG = {  # noqa: RUF012
        "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61], "redline_speed": 5000},
        "vary": {
            "axle_ratio": [3 + place / 100 for place in range(100)],
            "idle_speed": list(range(600, 1400)),
        },
        "report": ["crawl_ratio", "crawl_speed"],
    }

    @pytest.fixture
    def computed(self, monkeypatch: pytest.MonkeyPatch) -> list[int]:
        """The rows at which the blocks begin that were computed so far."""
        starts: list[int] = []
        compute = comparisons.block

        def noting(plan: Plan, start: int, stop: int, *more: Any) -> comparisons.Block:
            starts.append(start)
            return compute(plan, start, stop, *more)

        monkeypatch.setattr(comparisons, "block", noting)
        return starts

    @pytest.mark.parametrize("suffix", ["csv", "ndjson"])
    def test_the_first_bytes_come_before_anything_is_computed(
        self, client: FlaskClient, computed: list[int], suffix: str
    ) -> None:
        response = client.post(f"/v1/comparison.{suffix}", json=self.BIG, buffered=False)
        pieces = iter(response.response)
        assert b"axle_ratio" in next(pieces)
        assert computed == []
        assert next(pieces)
        assert computed == [0]
        rest = list(pieces)
        step = computed[1]
        assert step <= BLOCK
        assert computed == list(range(0, 80_000, step))
        assert len(rest) == len(computed) - 1

    def test_a_client_that_leaves_stops_the_work(self, client: FlaskClient, computed: list[int]) -> None:
        response = client.post("/v1/comparison.csv", json=self.BIG, buffered=False)
        pieces = iter(response.response)
        next(pieces), next(pieces)
        response.close()
        assert computed == [0]

    def test_http_1_0_gets_it_whole(self, client: FlaskClient) -> None:
        """Without chunks an end cannot be told from a break: there the length is told instead."""
        old = {"SERVER_PROTOCOL": "HTTP/1.0"}
        whole = client.post("/v1/comparison.csv", json=self.BIG, environ_overrides=old)
        assert whole.headers["Content-Length"] == str(len(whole.data))
        streamed = client.post("/v1/comparison.csv", json=self.BIG)
        assert "Content-Length" not in streamed.headers
        assert streamed.data == whole.data
