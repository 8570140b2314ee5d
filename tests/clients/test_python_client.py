"""The Python client against the real service, the spec document, and servers that fail in every way."""

import asyncio
import copy
import csv
import inspect
import io
import json
import pickle
import re
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from types import SimpleNamespace
from typing import Any, get_type_hints

import numpy as np
import pytest
import requests

from gearing_api.http.requests import OPTION_NAMES
from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS
from gearing_api.ranges.draws import COUNT
from gearing_api.settings import Settings
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import FIELDS
from gearing_client import (
    Answer,
    AsyncClient,
    Client,
    ConnectionFailed,
    FieldError,
    GearingError,
    InvalidBuild,
    RequestTimeout,
    ServiceProblem,
    UnexpectedAnswer,
    __version__,
    frames,
    transport,
)
from gearing_client.questions import Fields, Questions
from tests.clients.generate_client import MODULE, generated
from tests.clients.stub import Reply, Stub, reply
from tests.ports import free_port

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS)
BUILD: dict[str, Any] = {
    "tyre": "35x12.50R17LT",
    "axle_ratio": 4.56,
    "gear_ratios": [4.46, 2.61, 1],
    "transfer_ratios": [1, 2.72],
}
ANSWER = json.dumps(
    {
        "question": "final-drive",
        "units": "us",
        "given": {},
        "assumed": {},
        "result": {"effective_ratio": 3.5},
        "result_units": {"effective_ratio": ""},
        "cautions": [],
        "sources": [],
        "added_later": 1,
    }
)
PROBLEM = json.dumps(
    {"type": "/problems/x", "title": "Busy", "status": 503, "detail": "Later.", "errors": []}
)


@pytest.fixture
def client(service: str) -> Iterator[Client]:
    with Client(service) as client:
        yield client


@pytest.fixture
def waits(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The waits between retries, which are not waited."""
    waited: list[float] = []
    monkeypatch.setattr(transport, "time", SimpleNamespace(sleep=waited.append))
    return waited


def method(holder: Any, question: str) -> Any:
    return getattr(holder, question.replace("-", "_"))


# --- the spec document


def test_the_module_of_questions_is_what_the_generator_makes() -> None:
    assert MODULE.read_text("utf-8") == generated(), "run: python -m tests.regenerate"


def test_methods_are_the_questions_of_the_spec_document() -> None:
    paths = [path for path, item in spec()["paths"].items() if {"get", "post"} <= item.keys()]
    asked = {path.removeprefix("/v1/").replace("-", "_") for path in paths if "{" not in path}
    assert {name for name in vars(Questions) if not name.startswith("_")} == asked


def test_keywords_are_the_fields_of_the_spec_document() -> None:
    properties = spec()["components"]["schemas"]["Build"]["properties"]
    assert [*Fields.__annotations__] == [name for name in properties if name not in OPTION_NAMES]
    for question in QUESTIONS:
        bands, build = inspect.signature(method(Questions(), question)).parameters.values()
        assert (bands.name, bands.default) == ("bands", False)
        assert build.kind is inspect.Parameter.VAR_KEYWORD


@EACH_QUESTION
def test_attributes_are_the_results_of_the_spec_document(question: str) -> None:
    kind = get_type_hints(method(Questions, question))["return"]
    name = question.title().replace("-", "")
    schemas = spec()["components"]["schemas"]
    parts = [part["$ref"].rpartition("/")[2] for part in schemas[f"{name}Result"].get("allOf", ())]
    described = {result for part in parts or [f"{name}Result"] for result in schemas[part]["properties"]}
    assert kind.__name__ == f"{name}Answer"
    assert described <= set(get_type_hints(kind))


def test_every_field_and_its_unit_is_told() -> None:
    told = MODULE.read_text("utf-8")
    assert "Inflation pressure, cold [psi; kPa]" in told
    for name, field in FIELDS.items():
        about = re.search(rf'\n    {name}: [^\n]+\n    """(.*?)"""', told, re.DOTALL)
        assert about is not None
        assert field.meaning in " ".join(about[1].split())


def test_the_generated_part_is_short_enough_to_read() -> None:
    assert len(MODULE.read_text("utf-8").splitlines()) < 900


# --- answers


@EACH_QUESTION
@pytest.mark.parametrize("units", ["us", "metric"])
def test_an_answer_is_the_services_own(service: str, question: str, units: Any) -> None:
    build = dict(QUESTIONS[question].example)
    if units == "metric":
        build = {name: value for name, value in build.items() if not isinstance(value, int | float)}
        build |= {"axle_ratio": 4.56, "front_axle_ratio": 4.1, "rear_axle_ratio": 4.11, "vehicle_mass": 2400}
        build |= {"descent_grade_percent": 20}
        build |= {"descent_grade_percent": 20}
        build = {name: value for name, value in build.items() if name in QUESTIONS[question].fields}
    raw = requests.post(f"{service}/v1/{question}", json={**build, "units": units}, timeout=10).json()
    with Client(service, units=units) as client:
        answer = method(client, question)(**build)
    assert answer.to_dict() == raw
    assert (answer.question, answer.units) == (question, units)
    assert (answer.given, answer.assumed, answer.result) == (raw["given"], raw["assumed"], raw["result"])
    assert {name: getattr(answer, name) for name in raw["result"]} == raw["result"]
    assert [caution.code for caution in answer.cautions] == [each["code"] for each in raw["cautions"]]
    assert [source.source for source in answer.sources] == [each["source"] for each in raw["sources"]]
    for table in ("table", "what_if"):
        made = getattr(answer, table)
        assert (made and made.to_dict()) == raw.get(table)


def test_a_table_gives_columns_and_rows(client: Client) -> None:
    table = client.crawl(**BUILD).table
    assert table is not None
    assert len(table) == 6
    assert table["gear"] == (1, 2, 3, 1, 2, 3)
    assert table.units[table.columns.index("crawl_speed")] == "mph"
    with pytest.raises(KeyError, match="gear_ratio"):
        table["gears"]


def test_a_build_sheet_holds_each_answer_and_what_is_missing(client: Client) -> None:
    sheet = client.build_sheet(**{name: value for name, value in BUILD.items() if name != "axle_ratio"})
    assert sheet.diameter == sheet.parts["tyre"].diameter == 35.0
    assert sheet.missing["crawl"] == ("axle_ratio",)
    whole = client.build_sheet(**BUILD)
    assert whole.parts["crawl"].result == client.crawl(**BUILD).result
    assert whole.parts["crawl"].table == client.crawl(**BUILD).table


def test_answers_are_frozen_and_travel(client: Client) -> None:
    answer = client.final_drive(tyre="315/70R17", original_tyre="265/70R16", axle_ratio=3.73)
    with pytest.raises(AttributeError):
        answer.units = "metric"
    with pytest.raises(AttributeError):
        answer.effective_ratio = 4.0
    assert not hasattr(answer, "__dict__")
    assert pickle.loads(pickle.dumps(answer)) == copy.deepcopy(answer) == answer
    answer.to_dict()["result"].clear()
    assert answer.effective_ratio == pytest.approx(3.73 / answer.result["restoring_ratio"] * 3.73)


def test_an_answer_shows_its_results(client: Client) -> None:
    answer = client.final_drive(tyre="315/70R17", axle_ratio=3.73)
    assert "effective_ratio" in dir(answer)
    assert repr(answer).startswith(
        "FinalDriveAnswer(circumference_change_percent=0.0 %, effective_ratio=3.73,"
    )
    with pytest.raises(AttributeError, match="final-drive has no result crawl_ratio"):
        answer.crawl_ratio  # noqa: B018


def test_a_whole_build_can_be_put_to_any_question(client: Client) -> None:
    assert (
        client.ask("final-drive", TRUCK).result
        == client.final_drive(
            **{name: value for name, value in TRUCK.items() if name in QUESTIONS["final-drive"].fields}
        ).result
    )


def test_units_in_the_build_are_those_of_the_answer(client: Client) -> None:
    assert client.ask("tyre", {"tyre": "315/70R17", "units": "metric"}).units == "metric"


# --- many builds


def test_a_batch_equals_its_single_answers(client: Client) -> None:
    ratios = [3.73, 4.1, 4.56]
    rest = {name: value for name, value in BUILD.items() if name not in ("axle_ratio", "gear_ratios")}
    answers = client.batch(
        "crawl", {**rest, "transfer_ratios": "1,2.72", "gear_ratios": "4.46,2.61,1", "axle_ratio": ratios}
    )
    singles = [client.crawl(**{**BUILD, "axle_ratio": ratio}) for ratio in ratios]
    assert len(answers) == 3
    assert answers["crawl_speed"] == [single.crawl_speed for single in singles]
    assert answers.column_units["crawl_speed"] == "mph"
    assert [row["crawl_ratio"] for row in answers] == [single.crawl_ratio for single in singles]
    with pytest.raises(KeyError, match="crawl_speed"):
        answers["speed"]


def test_a_refused_row_costs_no_other_row(client: Client) -> None:
    answers = client.batch("tyre", {"tyre": ["315/70R17", "round", "265/70R16"]})
    assert answers["diameter"][1] is None
    assert None not in (answers["diameter"][0], answers["diameter"][2])
    assert answers.error_count == 1
    (error,) = answers.errors
    assert (error.index, error.field, error.got) == (1, "tyre", "round")


def test_arrays_go_as_lists(client: Client) -> None:
    columns = {"tyre": "315/70R17", "axle_ratio": np.array([3.73, 4.1])}
    assert client.batch("final-drive", columns)["effective_ratio"] == [3.73, 4.1]
    assert client.final_drive(tyre="315/70R17", axle_ratio=np.float64(4.1)).effective_ratio == 4.1
    assert client.ask("axle-match", {"tyre": "33 in", "ring_teeth": np.int64(41), "pinion_teeth": 10}).result


@pytest.mark.parametrize(
    ("value", "error"), [(float("nan"), ValueError), (object(), TypeError), ({1j}, TypeError)]
)
def test_what_json_cannot_say_is_not_sent(client: Client, value: Any, error: type[Exception]) -> None:
    with pytest.raises(error):
        client.final_drive(tyre="315/70R17", axle_ratio=value)


def test_rows_go_in_batches_and_come_back_beside_their_answers(client: Client) -> None:
    text = "tyre,axle_ratio\n" + "315/70R17,3.73\n265/70R16,4.1\nround,4.1\n" * 4
    seen = []
    for builds, answers in client.iter_batches("final-drive", csv.DictReader(io.StringIO(text)), size=5):
        assert len(builds) == len(answers)
        refused = {error.index for error in answers.errors}
        seen += [
            (build["tyre"], place in refused, ratio)
            for place, (build, ratio) in enumerate(zip(builds, answers["effective_ratio"], strict=True))
        ]
    assert seen == [("315/70R17", False, 3.73), ("265/70R16", False, 4.1), ("round", True, None)] * 4


def test_rows_may_give_different_fields(client: Client) -> None:
    rows: list[dict[str, object]] = [
        {"tyre": "315/70R17", "axle_ratio": 4.1},
        {"tyre": "315/70R17", "axle_ratio": 4.1, "original_tyre": "265/70R16"},
    ]
    ((_, answers),) = client.iter_batches("final-drive", rows)
    assert answers["effective_ratio"] == [client.final_drive(**row).effective_ratio for row in rows]
    assert list(client.iter_batches("final-drive", [])) == []


def test_a_comparison_has_every_combination(client: Client) -> None:
    rest = {name: value for name, value in BUILD.items() if name not in ("tyre", "axle_ratio")}
    vary = {"tyre": ["33x12.50R17LT", "35x12.50R17LT"], "axle_ratio": [4.1, 4.56]}
    answers = client.compare(rest, vary, ["crawl_ratio", "diameter"])
    assert answers["tyre"] == ["33x12.50R17LT"] * 2 + ["35x12.50R17LT"] * 2
    assert answers["axle_ratio"] == [4.1, 4.56] * 2
    first = client.crawl(**rest, tyre="33x12.50R17LT", axle_ratio=4.1)
    assert answers["crawl_ratio"][0] == first.crawl_ratio
    best = client.compare(rest, vary, ["crawl_ratio"], sort="-crawl_ratio", limit=1)
    assert (len(best), best["axle_ratio"]) == (1, [4.56])


def test_a_comparison_of_parts_that_meet_targets(client: Client) -> None:
    low = [{"name": "low 2.72", "transfer_ratios": [1, 2.72]}, {"name": "low 4", "transfer_ratios": [1, 4]}]
    table = client.compare(
        {"gear_ratios": [4.46], "tyre": "33 in"},
        {"axle_ratio": [3.73, 4.1], "low range": low},
        ["crawl_ratio"],
        sort=["low range", "-axle_ratio"],
        targets={"crawl_ratio": {"least": 49}},
    )
    assert [(row["low range"], row["axle_ratio"]) for row in table] == [
        ("low 2.72", 4.1), ("low 4", 4.1), ("low 4", 3.73),
    ]  # fmt: skip


def test_ranges_are_those_of_the_service_however_they_are_asked_for(client: Client, service: str) -> None:
    """One build by method, batch, comparison and frame, and from the client to be awaited: the same two ends."""
    pandas = pytest.importorskip("pandas")
    build = {"tyre": "35x12.50R17LT", "gear_ratios": "4.46,2.61", "transfer_ratios": "1,2.72"}
    asked = client.crawl(**build, axle_ratio=4.56, bands=True)
    ends = asked.ranges["crawl_speed"]
    assert ends[0] < asked.crawl_speed < ends[1]
    assert client.crawl(**build, axle_ratio=4.56).ranges == {}

    async def awaited() -> tuple[Any, Any]:
        async with AsyncClient(service) as waiting:
            answer = await waiting.crawl(**build, axle_ratio=4.56, bands=True)
            return answer, await waiting.batch("crawl", {**build, "axle_ratio": [4.56]}, bands=True)

    answer, batch = asyncio.run(awaited())
    assert answer.ranges["crawl_speed"] == ends
    frame = client.batch("crawl", pandas.DataFrame([{**build, "axle_ratio": 4.56}]), bands=True)
    table = client.compare(build, {"axle_ratio": [4.56]}, ["crawl_speed"], bands=True)
    for many in (batch, frame, table):
        assert (many["crawl_speed_low"][0], many["crawl_speed_high"][0]) == ends
    assert "crawl_speed_low" not in client.batch("crawl", {**build, "axle_ratio": [4.56]}).columns


def test_a_frame_with_ranges_goes_in_parts_that_the_service_takes() -> None:
    pandas = pytest.importorskip("pandas")
    sent: list[str] = []

    def ask(rows: str) -> str:
        sent.append(rows)
        return rows.replace("tyre", "diameter")

    made = frames.answered(pandas.DataFrame({"tyre": ["33"] * 5}), "tyre", ask, 2)
    assert [rows.count("33") for rows in sent] == [2, 2, 1]
    assert len(made) == 5
    assert Settings().rows >= frames.ROWS_WITH_BANDS * COUNT


def test_the_client_to_be_awaited_gives_the_same(client: Client, service: str) -> None:
    ratios = [3.73, 4.1, 4.56, 4.88, 5.13]

    async def asked() -> tuple[list[Any], Any]:
        async with AsyncClient(service, at_once=3) as waiting:
            answers = [waiting.final_drive(tyre="33 in", axle_ratio=ratio) for ratio in ratios]
            table = waiting.compare({"tyre": "33 in"}, {"axle_ratio": ratios}, ["effective_ratio"])
            with pytest.raises(InvalidBuild):
                await waiting.final_drive(tyre="33", axle_ratio=4.1)
            return await asyncio.gather(*answers), await table

    answers, table = asyncio.run(asked())
    expected = [client.final_drive(tyre="33 in", axle_ratio=ratio) for ratio in ratios]
    assert [answer.effective_ratio for answer in answers] == [answer.effective_ratio for answer in expected]
    assert table["effective_ratio"] == [answer.effective_ratio for answer in expected]
    with pytest.raises(ValueError, match="base_url must be like"):
        AsyncClient("ftp://127.0.0.1")


def test_the_client_to_be_awaited_has_the_same_methods() -> None:
    plain = {name for name in dir(Client) if not name.startswith("_")} - {"iter_batches", "link"}
    assert plain == {name for name in dir(AsyncClient) if not name.startswith("_")}


def test_a_shortlist(client: Client) -> None:
    gears = [
        {"name": "4.10", "axle_ratio": 4.1, "price": 10},
        {"name": "4.56", "axle_ratio": 4.56, "price": 12},
        {"name": "none", "axle_ratio": 99, "price": 0},
    ]
    found = client.shortlist(
        {"gear_ratios": [4.46, 2.61]},
        {
            "tyre": ("33x12.50R17LT",),
            "gears": gears,
            "track": [{"name": "wide", "transfer_ratios": [1, 2.72]}],
        },
        sums=["price"],
        targets={"crawl_ratio": {"least": 52}},
        aims={"price": "low"},
    )
    (row,) = found
    assert found.cheapest == row
    assert (row.choices["gears"], row.sums, row.meets, row.misses) == ("4.56", {"price": 12}, "all", ())
    assert [(step.before, step.after, step.sums) for step in found.steps] == [("4.10", "4.56", {"price": 2})]
    assert found.errors[0].field == "axle_ratio"
    frame = found.to_frame()
    assert frame["gears"].to_list() == ["4.56"]
    assert frame.attrs["units"] == {"crawl_ratio": ""}
    assert pickle.loads(pickle.dumps(found)) == found
    assert "4.56" in found._repr_html_()
    nearest = client.shortlist({}, {"tyre": ["33 in", "35 in"]}, targets={"diameter": {"least": 36}})
    assert (nearest.cheapest, nearest.steps, nearest.rows[0].misses[0].by) == (None, (), pytest.approx(1))
    assert nearest.to_dict()["units"] == "us"
    tyres = {"tyre": ["33x12.50R17LT", "33 in"]}
    drawn = client.shortlist(
        {}, tyres, targets={"diameter": {"least": 32.9}}, aims={"diameter": "high"}, bands=True
    )
    printed, measured = drawn
    assert 0 < printed.meets_share < 0.5 < measured.meets_share == 1
    assert printed.ranges["diameter"][0] < 32.9 < printed.ranges["diameter"][1]
    assert printed.depends_on == {"tyre": pytest.approx(1, abs=0.1)}
    assert drawn.to_frame()["meets_share"].to_list() == [printed.meets_share, 1]


def test_a_served_table(client: Client) -> None:
    assert "ice" in client.table("surfaces")["surface"]


# --- frames


def fleet(rows: int = 4) -> Any:
    """Trucks in an order of their own, one of them refused, one without a ratio."""
    pandas = pytest.importorskip("pandas")
    frame = pandas.DataFrame(
        {
            "truck": [f"truck {place}" for place in range(rows)],
            "tyre": ["33x12.50R17LT", "round", "37x13.50R17LT", "35x12.50R17LT"] * (rows // 4),
            "axle_ratio": [4.1, 4.56, np.nan, 3.73] * (rows // 4),
            "hours": range(rows),
        },
        index=[f"{place:04}" for place in range(rows)],
    )
    return frame[::-1]


def test_a_frame_comes_back_with_its_index_and_each_row_with_its_own_results(client: Client) -> None:
    frame = fleet()[["truck", "tyre", "axle_ratio", "hours"]]
    some = frame[frame.hours != 3]
    made = client.batch("final-drive", some)
    assert [*made.index] == ["0002", "0001", "0000"]
    assert [*made.columns[:4]] == [*frame.columns]
    assert {"effective_ratio", "cautions", "error"} <= {*made.columns}
    assert made.loc["0000", "effective_ratio"] == 4.1
    assert made.loc["0001", "error"].startswith("tyre ")
    assert made.loc["0002", "error"].startswith("axle_ratio ")
    assert made.loc[["0001", "0002"], "effective_ratio"].isna().all()
    assert some.equals(frame[frame.hours != 3]), "the frame itself is left as it was"


def test_a_row_of_nothing_is_a_row(client: Client) -> None:
    pandas = pytest.importorskip("pandas")
    frame = pandas.DataFrame({"tyre": [None, "33x12.50R17LT", None]}, index=[5, 3, 1])
    made = client.batch("tyre", frame)
    assert [*made.index] == [5, 3, 1]
    assert made.loc[3, "diameter"] == 33.0
    assert made.error.notna().tolist() == [True, False, True]


def test_five_thousand_rows_cost_little_beside_what_pandas_needs() -> None:
    """To write them as CSV, and to read the answers."""
    pandas = pytest.importorskip("pandas")
    frame = fleet(5_000)
    lines = ["effective_ratio,cautions,error\r\n"]
    asked: list[str] = []

    def ask(rows: str) -> str:
        asked.append(rows)
        return "".join(lines + [f"{place}.5,a b,\r\n" for place in range(5_000)])

    def bare() -> object:
        text = io.StringIO(frame.to_csv(index_label="_row"))
        return text, pandas.read_csv(
            io.StringIO(ask("")), keep_default_na=False, na_values=[""], low_memory=False
        )

    def least(work: Callable[[], object]) -> float:
        times = []
        for _ in range(5):
            start = time.process_time()
            work()
            times.append(time.process_time() - start)
        return min(times)

    made = frames.answered(frame, "final-drive", ask)
    assert len(asked) == 1
    assert least(lambda: frames.answered(frame, "final-drive", ask)) < 4 * least(bare)
    assert made.effective_ratio.iloc[4_999] == 4_999.5
    assert asked[0].startswith("_row,tyre,axle_ratio")


def test_rows_of_answers_and_tables_are_alike(client: Client) -> None:
    answers = client.batch("tyre", {"tyre": ["33x12.50R17LT", "37x13.50R17LT"]})
    table = client.crawl(**BUILD).table
    assert table is not None
    for each in (answers, table):
        assert [*each] == each.rows
        assert len(each.rows) == len(each)
        assert {*each.rows[0]} == {*each.columns}


def test_no_number_is_named_by_field_and_row(client: Client) -> None:
    with pytest.raises(ValueError, match=r"axle_ratio, row 1 is no number"):
        client.batch("final-drive", {"tyre": "315/70R17", "axle_ratio": [4.1, float("nan")]})
    with pytest.raises(ValueError, match=r"^axle_ratio is no number"):
        client.final_drive(tyre="315/70R17", axle_ratio=float("nan"))


# --- the answer in other forms


def test_an_answer_says_what_it_comes_to(client: Client) -> None:
    answer = client.final_drive(**BUILD, original={"tyre": "31x10.50R15"})
    raw = answer.to_dict()
    assert (answer.summary, answer.verdict) == (raw["summary"], raw["verdict"])
    assert answer.summary in answer._repr_html_()
    crawl = client.crawl(**BUILD, original_axle_ratio=4.1)
    assert crawl.absent["reverse_crawl_ratio"].fields == ("reverse_ratio",)
    assert crawl.change["crawl_ratio"] == pytest.approx(crawl.crawl_ratio - crawl.original["crawl_ratio"])
    assert {caution.level for caution in crawl.cautions} <= {"stop", "check", "note"}


def test_markup_in_an_answer_is_shown_as_text(client: Client) -> None:
    document = client.final_drive(**BUILD).to_dict() | {"summary": "<b>1 & 2</b>"}
    assert "&lt;b&gt;1 &amp; 2&lt;/b&gt;" in Answer.read(document)._repr_html_()


def test_charts_text_and_links(client: Client, service: str) -> None:
    build = dict(QUESTIONS["road-speed"].example)
    assert client.svg("road-speed", build).startswith("<svg ")
    assert client.text("tyre", {"tyre": "33x12.50R17LT"}).splitlines()
    link = client.link("road-speed", build)
    assert link.startswith(f"{service}/v1/road-speed.html?units=us&")
    assert requests.get(link, timeout=10).status_code == 200
    with pytest.raises(ServiceProblem, match="404"):
        client.svg("tyre", {"tyre": "33x12.50R17LT"})


# --- what can go wrong


def test_a_refusal_names_the_fields(client: Client) -> None:
    with pytest.raises(InvalidBuild, match="axle_ratio is needed for crawl") as caught:
        client.crawl(tyre="35x12.50R17LT")
    assert [error.field for error in caught.value.errors] == ["axle_ratio", "gear_ratios"]


@pytest.mark.parametrize(
    ("pointer", "field"),
    [
        ("/tyre", "tyre"),
        ("/columns/tyre/7", "tyre"),
        ("/vary/gear_ratios/0/2", "gear_ratios"),
        ("", ""),
        ("/a~1b~0", "a/b~"),
    ],
)
def test_the_field_of_an_error_is_in_its_pointer(pointer: str, field: str) -> None:
    assert FieldError(pointer, "is refused").field == field


def test_a_refusal_of_a_value(client: Client) -> None:
    with pytest.raises(InvalidBuild) as caught:
        client.final_drive(tyre="315/70R17", axle_ratio=400)
    (error,) = caught.value.errors
    assert (error.field, error.got, error.location) == ("axle_ratio", 400, "body")
    assert "from 1 to 20" in str(caught.value)


def test_an_unknown_question_or_table_is_a_problem_of_status_404(client: Client) -> None:
    for asked in (lambda: client.ask("craw", BUILD), lambda: client.table("../openapi.json")):
        with pytest.raises(ServiceProblem, match="404 Nothing is at this address") as caught:
            asked()
        assert caught.value.status == 404


def drive(stub: Stub, **options: Any) -> Answer:
    with Client(stub.address, **({"timeout": 5} | options)) as client:
        return client.final_drive(tyre="315/70R17", axle_ratio=3.73)


def test_the_client_says_who_it_is_and_what_it_reads() -> None:
    with Stub(reply("200 OK", ANSWER)) as stub:
        assert drive(stub).effective_ratio == 3.5
    head, _, body = stub.requests[0].partition(b"\r\n\r\n")
    assert head.startswith(b"POST /v1/final-drive HTTP/1.1")
    assert f"User-Agent: gearing-client/{__version__}".encode() in head
    assert b"Accept: application/json" in head
    assert json.loads(body) == {"units": "us", "tyre": "315/70R17", "axle_ratio": 3.73}


def test_after_429_it_waits_as_long_as_asked(waits: list[float]) -> None:
    with Stub(reply("429 Too Many Requests", PROBLEM, Retry_After="1"), reply("200 OK", ANSWER)) as stub:
        assert drive(stub).result == {"effective_ratio": 3.5}
    assert waits == [1.0]
    assert len(stub.requests) == 2
    assert stub.requests[0] == stub.requests[1]


def test_each_wait_is_logged_and_told(waits: list[float], caplog: pytest.LogCaptureFixture) -> None:
    told: list[tuple[float, str]] = []
    replies = [reply("429 Too Many", PROBLEM, Retry_After="7")] * 2 + [reply("200 OK", ANSWER)]
    with Stub(*replies) as stub:
        drive(stub, on_wait=lambda seconds, reason: told.append((seconds, reason)))
    assert told == [(7.0, "429 Too Many")] * 2
    assert waits == [7.0, 7.0]
    assert [record.levelname for record in caplog.records if record.name == "gearing_client"] == [
        "WARNING"
    ] * 2


def test_all_waits_together_have_a_limit(waits: list[float]) -> None:
    with (
        Stub(reply("429 Too Many", PROBLEM, Retry_After="7")) as stub,
        pytest.raises(ServiceProblem),
    ):
        drive(stub, longest_wait=20)
    assert waits == [7.0, 7.0]


def test_session_headers_and_address_are_the_callers(monkeypatch: pytest.MonkeyPatch) -> None:
    with Stub(reply("200 OK", ANSWER)) as stub, requests.Session() as session:
        monkeypatch.setenv("GEARING_SERVICE", stub.address)
        with Client(session=session, headers={"X-Team": "rescue"}, timeout=5) as client:
            client.ask("final-drive", {})
        assert b"X-Team: rescue" in stub.requests[0]
        assert session.adapters, "it stays open"


def test_it_waits_until_the_date_asked(waits: list[float]) -> None:
    until = format_datetime(datetime.now(UTC) + timedelta(seconds=20), usegmt=True)
    with Stub(reply("503 Unavailable", PROBLEM, Retry_After=until), reply("200 OK", ANSWER)) as stub:
        drive(stub)
    assert 15 < waits[0] <= 20


@pytest.mark.parametrize(
    "status", ["429 Too Many Requests", "502 Bad Gateway", "503 Unavailable", "504 Timeout"]
)
def test_waits_double_where_nothing_is_asked(status: str, waits: list[float]) -> None:
    with Stub(reply(status, PROBLEM)) as stub, pytest.raises(ServiceProblem) as caught:
        drive(stub, retries=3)
    assert len(stub.requests) == 4
    assert caught.value.status == int(status[:3])
    assert [0.25 <= wait / 2**place <= 0.5 for place, wait in enumerate(waits)] == [True] * 3


def test_a_get_is_tried_again_too(waits: list[float]) -> None:
    table = json.dumps({"columns": ["a"], "units": [""], "rows": [[1]]})
    with Stub(reply("502 Bad Gateway"), reply("200 OK", table)) as stub, Client(stub.address) as client:
        assert client.table("surfaces").rows == [{"a": 1}]
    assert len(waits) == 1


def test_it_does_not_wait_for_longer_than_a_minute(waits: list[float]) -> None:
    with (
        Stub(reply("503 Unavailable", PROBLEM, Retry_After="3600")) as stub,
        pytest.raises(ServiceProblem, match=r"503 Busy: Later\.") as caught,
    ):
        drive(stub)
    assert (waits, caught.value.retry_after) == ([], 3600)


@pytest.mark.parametrize(
    "status", ["400 Bad Request", "404 Not Found", "413 Too Large", "500 Error", "501 No"]
)
def test_other_problems_are_not_tried_again(status: str, waits: list[float]) -> None:
    with Stub(reply(status, PROBLEM)) as stub, pytest.raises(ServiceProblem):
        drive(stub)
    assert (len(stub.requests), waits) == (1, [])


HTML = reply("200 OK", "<!doctype html><title>Hello</title>", Content_Type="text/html")
WHOLE = reply("200 OK", ANSWER).said
FAILURES = {
    "hangs before the answer": (Reply(b"", hangs=True), RequestTimeout),
    "hangs within the head": (Reply(b"HTTP/1.1 200 OK\r\nContent-", hangs=True), RequestTimeout),
    "hangs within the body": (Reply(WHOLE[:-20], hangs=True), RequestTimeout),
    "closes at once": (Reply(b""), ConnectionFailed),
    "closes within the head": (Reply(b"HTTP/1.1 200 OK\r\nContent-"), UnexpectedAnswer),  # read as no body
    "closes within the body": (Reply(WHOLE[:-20]), ConnectionFailed),
    "closes within a chunk": (
        Reply(b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nff\r\n{"),
        ConnectionFailed,
    ),
    "speaks no HTTP": (Reply(b"220 mail ready\r\n"), ConnectionFailed),
    "lies about compression": (reply("200 OK", "{}", Content_Encoding="gzip"), ConnectionFailed),
    "HTML": (HTML, UnexpectedAnswer),
    "empty body": (reply("200 OK"), UnexpectedAnswer),
    "no content": (reply("204 No Content"), UnexpectedAnswer),
    "JSON array": (reply("200 OK", "[]"), UnexpectedAnswer),
    "JSON of another service": (reply("200 OK", '{"hello": "world"}'), UnexpectedAnswer),
    "members of other types": (reply("200 OK", ANSWER.replace("[]", "7")), UnexpectedAnswer),
    "brackets without end": (reply("200 OK", "[" * 100_000), UnexpectedAnswer),
    "sends elsewhere": (reply("301 Moved", Location="https://127.0.0.1/x"), UnexpectedAnswer),
    "503 in HTML": (reply("503 Busy", "<p>", Content_Type="text/html", Retry_After="0"), ServiceProblem),
    "422 of another service": (reply("422 Unprocessable", '{"detail": [{"loc": 1}]}'), ServiceProblem),
    "422, strange errors": (reply("422 Unprocessable", '{"title": "x", "errors": [1, {}]}'), InvalidBuild),
    "no such status": (reply("999 ?", "{}"), ServiceProblem),
}  # fmt: skip


@pytest.mark.parametrize("case", FAILURES)
def test_every_failure_is_an_exception_of_the_package(case: str) -> None:
    said, kind = FAILURES[case]
    with Stub(said) as stub, pytest.raises(GearingError) as caught:
        drive(stub, timeout=0.4 if said.hangs else 5)
    assert type(caught.value) is kind
    assert str(caught.value)
    copied = pickle.loads(pickle.dumps(caught.value))
    assert (type(copied), str(copied)) == (kind, str(caught.value))


def test_nobody_listens() -> None:
    with (
        Client(f"http://127.0.0.1:{free_port()}") as client,
        pytest.raises(ConnectionFailed, match=r"cannot be reached: \[Errno \d+\] Connection refused$"),
    ):
        client.tyre(tyre="315/70R17")


def test_a_connection_that_breaks_once_is_tried_again() -> None:
    with Stub(Reply(b""), reply("200 OK", ANSWER)) as stub:
        assert drive(stub).result == {"effective_ratio": 3.5}


def test_a_hanging_service_is_given_up_at_the_time_out() -> None:
    start = time.monotonic()
    with Stub(Reply(b"", hangs=True)) as stub, pytest.raises(RequestTimeout, match=r"0\.4 s"):
        drive(stub, timeout=0.4)
    assert 0.4 <= time.monotonic() - start < 3
    assert len(stub.requests) == 1


def test_the_address_it_sends_on_to_is_told() -> None:
    moved = reply("308 Moved", Location="https://gears.example/v1/final-drive")
    with Stub(moved) as stub, pytest.raises(UnexpectedAnswer, match=r"https://gears\.example"):
        drive(stub)


@pytest.mark.parametrize("address", ["", "127.0.0.1:8000", "ftp://127.0.0.1", "http://", "http://[::1"])
def test_an_address_of_another_kind_is_refused_at_once(address: str) -> None:
    with pytest.raises(ValueError, match=r"base_url|IPv6"):
        Client(address)


@pytest.mark.parametrize(
    "address", ["http://127.0.0.1:99999", "http://a b", "http://" + "a" * 70 + ".example"]
)
def test_an_address_that_cannot_be_is_no_connection(address: str) -> None:
    with Client(address) as client, pytest.raises(ConnectionFailed):
        client.tyre(tyre="315/70R17")


def test_the_service_may_stand_below_a_path() -> None:
    with Stub(reply("200 OK", ANSWER)) as stub, Client(f"{stub.address}/gears/") as client:
        client.ask("final-drive", {})
    assert stub.requests[0].startswith(b"POST /gears/v1/final-drive HTTP")


def test_without_pandas_a_frame_says_what_is_missing(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pandas", None)
    table = client.crawl(**BUILD).table
    assert table is not None
    with pytest.raises(ImportError, match="pip install pandas"):
        table.to_frame()
