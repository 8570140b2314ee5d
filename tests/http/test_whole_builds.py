"""Whole builds, fit and unfit, by every way in: no mistake of the service, and no number that is none."""

import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple
from urllib.parse import urlencode

import numpy as np
import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from werkzeug.test import TestResponse

from gearing_api.answer import Answer, Question
from gearing_api.app import create_app
from gearing_api.fields import Choice, Coefficients, Count, Curve, Kind, Loads, Number, Ratios, Series, Tyre
from gearing_api.formats import offered
from gearing_api.http.problems import PROBLEM_TYPES
from gearing_api.questions import OWNERS, QUESTIONS, ask, read_build
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS, System
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import ALL_FIELDS, FIELDS
from tests.builds import EXAMPLES, text, value
from tests.http.described import named

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
PROBLEM = named("Problem")
NO_NUMBER = re.compile(r"\b(?:nan|inf|infinity)\b", re.IGNORECASE)
LIMITS = Settings(requests_per_minute=0, cpu_seconds_per_minute=0)


def examples(most: int) -> settings:
    return settings(
        max_examples=most,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


# Values of a field: within its bounds, at them, just outside, of a wrong type, and hostile


def inside(kind: Kind, system: System) -> st.SearchStrategy[Any]:
    if isinstance(kind, Tyre):
        return value(kind)
    return value(kind).map(lambda raw: kind.out(kind.read(raw, "us"), system))


EDGE_SIZES = [
    "15 in", "80 in", "381 mm", "100/20R8", "1100/120R54", "12x3.00-8", "80x40.00R54LT", "205/30ZR28 (106Y)",
    "999-2000R800", "LT265/70R17 279/279A1", "265/70R17 0A8",
]  # fmt: skip


def edge(kind: Any, system: System) -> st.SearchStrategy[Any]:
    if isinstance(kind, Number):
        return st.sampled_from(kind.bounds(system))
    if isinstance(kind, Count):
        return st.sampled_from([kind.lower, kind.upper])
    if isinstance(kind, Tyre):
        return st.sampled_from(EDGE_SIZES)
    if isinstance(kind, Choice):
        return st.sampled_from(kind.options)
    if isinstance(kind, Coefficients):
        return st.tuples(*(edge(item, system) for item in kind.items)).map(list)
    if isinstance(kind, Loads):
        each = (edge(item, system) for item in (kind.mass, kind.position, kind.height))
        return st.tuples(*each).map(lambda load: [list(load), list(load[:2])])
    if isinstance(kind, Curve) and kind.falls:
        (slow, fast), (early, late) = kind.along.bounds(system), kind.up.bounds(system)
        return st.just([[fast, early], [(slow + fast) / 2, (early + late) / 2], [slow, late]])
    if isinstance(kind, Curve):
        (slow, fast), ends = kind.along.bounds(system), edge(kind.up, system)
        return st.tuples(ends, ends).map(lambda ups: [[slow, ups[0]], [fast, ups[1]]])
    assert isinstance(kind, Series | Ratios)
    low, high = kind.item.bounds(system)
    lists = [[low, high]] if kind.length == (2, 2) else [[low], [high], [low] * kind.length[1], [high, low]]
    return st.sampled_from([*lists, ["10/10", "80/4"]] if isinstance(kind, Ratios) else lists)


def outside(kind: Any, system: System) -> st.SearchStrategy[Any]:
    """Values that are always refused."""
    if isinstance(kind, Number):
        low, high = kind.bounds(system)
        room = (high - low) * 1e-6
        return st.sampled_from([low - room, high + room])
    if isinstance(kind, Count):
        return st.sampled_from([kind.lower - 1, kind.upper + 1])
    if isinstance(kind, Tyre):
        return st.sampled_from(["14.99 in", "80.01 in", "100/19R8", "265/70R55", "7.51R16", "35x40.01R17"])
    if isinstance(kind, Choice):
        return st.sampled_from(kind.options).map(lambda option: option + "s")
    if isinstance(kind, Coefficients):
        return st.tuples(*(outside(item, system) for item in kind.items)).map(list)
    if isinstance(kind, Loads):
        return outside(kind.mass, system).map(lambda mass: [[mass, 10.0]])
    if isinstance(kind, Curve):
        return outside(kind.along, system).map(lambda end: [[1000.0, 10.0], [end, 10.0]])
    assert isinstance(kind, Series | Ratios)
    return outside(kind.item, system).map(lambda end: [1000.0, end] if kind.length == (2, 2) else [end])


WRONG: list[Any] = [
    None, True, {}, [[]], [None], [True], {"value": 1}, [[1, 2], 3], -1e300, 1e300, 2**63, [[[1]]], "true",
]  # fmt: skip

HOSTILE = [
    "35 1/2 in", "1,5 m", "5 200 lb", "9**9**9", "9^9^9 m", "1e999", "1e99", "nan", "inf", "-0", "0x10",
    "٤", "½", "4.1\u0000", "\u202e4.1", "é́́", "💥", "'; DROP", "<svg onload=alert(1)>", "=1+1", "@x",
    "(" * 60, "9" * 3000, "1," * 900, "1:" * 900, " " * 300, "4.1 " * 10, "{{7*7}}", "%s%n", "..", "\r\nX: 1",
    "265/70R17" * 4, "265/70R17\n115T", "3.5e1 in", "1e-99", "1:2:3", "0:20000:0.001", "1000:1,1000:2",
    "41/0", "1,2,3", "-,-", "null", "a/b~c",
]  # fmt: skip


class Sent(NamedTuple):
    """A build as it is sent, and those of its fields that must be refused."""

    build: dict[str, Any]
    system: System
    unfit: frozenset[str]


@st.composite
def sent(draw: st.DrawFn, question: Question) -> Sent:
    """Any subset of a question's fields, most of them fit, so that many builds are answered."""
    system: System = draw(st.sampled_from(SYSTEMS))
    spared = question.needs and draw(_rarely)
    left_out = draw(st.sets(st.sampled_from(question.needs), max_size=1)) if spared else set()
    taken = draw(st.sets(st.sampled_from(question.uses))) if question.uses else set()
    names = [*(name for name in question.needs if name not in left_out), *sorted(taken)]
    spoilt = (
        draw(st.sets(st.sampled_from(names), min_size=1, max_size=2)) if draw(_often) and names else set()
    )
    build: dict[str, Any] = {}
    unfit = set()
    for name in names:
        kind = FIELDS[name].kind
        if name in spoilt:
            way = draw(st.sampled_from(["outside", "wrong", "hostile"]))
            if way == "outside":
                build[name] = draw(outside(kind, system))
            else:
                build[name] = draw(
                    st.sampled_from(WRONG) if way == "wrong" else st.sampled_from(HOSTILE) | st.text()
                )
            if way == "outside" or (way == "wrong" and build[name] != []):
                unfit.add(name)
        else:
            build[name] = draw(edge(kind, system) if draw(_rarely) else inside(kind, system))
    return Sent(build, system, frozenset(unfit))


_rarely = st.integers(0, 4).map(lambda drawn: drawn == 4)
_often = st.integers(0, 4).map(lambda drawn: drawn > 2)


# What must hold of what comes back


def is_a_problem(
    response: TestResponse, build: Mapping[str, Any], names: Sequence[str], root: str
) -> list[str]:
    """A well-formed problem document, each error of a field that was sent or is missing. Their names."""
    problem = strictly(response)
    PROBLEM.validate(problem)
    assert response.mimetype == "application/problem+json"
    assert response.headers["Cache-Control"] == "no-store"
    assert problem["status"] == response.status_code
    assert problem["type"] == f"http://localhost/problems/{PROBLEM_TYPES[response.status_code].slug}"
    if response.status_code == 422:
        assert problem["errors"]
    return [is_an_error(error, build, names, root) for error in problem["errors"]]


def is_an_error(error: Mapping[str, Any], build: Mapping[str, Any], names: Sequence[str], root: str) -> str:
    """It points at a field that was sent or is asked for, and says what is wrong with it."""
    pointer = error["pointer"]
    assert pointer.startswith(f"{root}/")
    name = str(pointer[len(root) + 1 :].partition("/")[0])
    assert name in build or name in names
    assert error["detail"].startswith(f"{name} ")
    assert len(error["detail"]) < 500
    assert error["detail"].isprintable()
    if "got" in error and name in build and isinstance(build[name], str):
        assert error["got"] == build[name][:80]
    return name


def strictly(response: TestResponse) -> Any:
    """The JSON document, in which NaN and Infinity are no numbers."""

    def refuse(literal: str) -> None:
        raise AssertionError(f"{literal} is no number")

    return json.loads(response.get_data(), parse_constant=refuse)


def is_an_answer(document: Mapping[str, Any]) -> None:
    """Every number is one; what is absent is null, and `absent` says why."""
    for name, known in document["result"].items():
        assert (known is None) == (name in document["absent"]), f"{name} is null and nothing says why"
    assert 0 < len(document["summary"]) <= 200, document["summary"]
    for part in document.get("parts", {}).values():
        is_an_answer(part)
    assert all(math.isfinite(number) for number in numbers_of(document))


def numbers_of(node: Any) -> Iterator[float]:
    if isinstance(node, dict):
        node = list(node.values())
    if isinstance(node, list):
        for child in node:
            yield from numbers_of(child)
    elif isinstance(node, float | int) and not isinstance(node, bool):
        yield node


NO_LIMIT = {"tyre_limit", "engine_grade_percent", "grade_held_back_percent"}
"""Results that may be beyond every number: any tyre, any grade."""
NONE_DOES = {
    *("tyre_limit", "pressure_needed", "front_pressure_needed", "rear_pressure_needed", "settling_speed"),
    *("cruise_gear", "cruise_transfer_ratio", "top_speed_gear", "top_speed_on_grade"),
}
"""Results that may be below every number: no pressure carries the load, no gear holds the grade."""


def has_no_infinity(answer: Answer) -> None:
    """Only results that may have no limit, or that no value may meet, are beyond all bounds."""
    for name, known in answer.result.items():
        if isinstance(known, np.ndarray | np.generic) and known.dtype.kind == "f":
            assert name in NO_LIMIT or not np.isposinf(known).any(), f"{name} is infinite"
            assert name in NONE_DOES or not np.isneginf(known).any(), f"{name} is infinite"
    for part in answer.sheet.parts if answer.sheet else ():
        has_no_infinity(part.answer)


# The ways in

OF_A_MOTOR = ("redline_speed",)  # needed where the engine is electric


def asked_for(question: Question) -> tuple[str, ...]:
    """The fields that a refusal may ask for: those needed; where it measures, all that readings need."""
    return (*(question.fields if question.measures else question.needs), *OF_A_MOTOR)


def is_answered_or_refused(client: FlaskClient, question: Question, one: Sent) -> None:
    """One build, by POST: the answer is whole, or every field that is unfit is named."""
    response = client.post(f"/v1/{question.name}", json=one.build | {"units": one.system})
    if response.status_code == 200:
        assert not one.unfit
        is_an_answer(strictly(response))
        has_no_infinity(ask(question, read_build(one.build, one.system)))
    else:
        refused = is_a_problem(response, one.build, asked_for(question), "")
        assert response.status_code == 422
        assert one.unfit <= set(refused)


def is_alike_in_every_form(client: FlaskClient, question: Question, one: Sent, suffix: str) -> None:
    """By GET and in another format: as text, the same build is answered or refused, and holds no NaN."""
    build = {name: text(raw) for name, raw in one.build.items()}
    query = urlencode(build | {"units": one.system})
    response = client.get(f"/v1/{question.name}.{suffix}", query_string=query)
    if len(query) > LIMITS.query_bytes:
        assert response.status_code == 414
    elif response.status_code == 200:
        assert suffix in ("svg", "png") or not NO_NUMBER.search(response.get_data(as_text=True))
    elif suffix == "html" or (suffix in ("svg", "png") and "nothing to draw" in strictly(response)["detail"]):
        assert response.status_code == 422
    else:
        assert response.status_code == 422
        is_a_problem(response, build, asked_for(question), "")


def is_a_batch(client: FlaskClient, question: Question, rows: Sequence[Sent]) -> None:
    """Columns of builds: a bad row costs no other, and every empty cell has an error or a caution."""
    names = sorted({name for one in rows for name in one.build})
    columns = {name: [one.build.get(name) for one in rows] for name in names}
    response = client.post(f"/v1/{question.name}/batch", json={"columns": columns, "units": rows[0].system})
    if response.status_code != 200:
        assert response.status_code == 422
        is_a_problem(response, columns, asked_for(question), "/columns")
        return
    made = strictly(response)
    assert all(math.isfinite(number) for number in numbers_of(made))
    for error in made["errors"]:
        assert is_an_error(error, {}, [*names, *asked_for(question)], "/columns")
    refused = {error["index"] for error in made["errors"]}
    assert len(refused) == made["error_count"]
    absent = {one["result"] for one in made["absent"]}
    for name, cells in made["columns"].items():
        for row, cell in enumerate(cells):
            assert cell is not None or row in refused or name in absent, f"{name} of row {row} is null"
            assert row not in refused or cell is None


def is_a_comparison(client: FlaskClient, question: Question, one: Sent, varied: Sequence[Sent]) -> None:
    """Every combination: answered, or refused by fields; the three formats have the same cells."""
    vary = {
        name: [other.build[name] for other in varied if name in other.build]
        for name in sorted({name for other in varied for name in other.build})[:2]
    }
    build = {name: raw for name, raw in one.build.items() if name not in vary}
    plan = {
        "build": build, "vary": vary, "report": [name for name in question.results if name not in vary],
        "units": one.system,
    }  # fmt: skip
    needed = {need for name in plan["report"] for need in asked_for(OWNERS[name])}
    response = client.post("/v1/comparison", json=plan)
    lines = client.post("/v1/comparison.ndjson", json=plan)
    assert lines.status_code == response.status_code
    if response.status_code != 200:
        assert response.status_code == 422
        problem = strictly(response)
        PROBLEM.validate(problem)
        for error in problem["errors"]:
            _, member, *_ = error["pointer"].split("/")
            root = f"/{member}" if error["pointer"] != f"/{member}" else ""
            is_an_error(error, {}, [*build, *vary, *needed, *OF_A_MOTOR, *plan], root)
        return
    made = strictly(response)
    assert all(math.isfinite(number) for number in numbers_of(made))
    columns = made["columns"]
    absent = {one["result"] for one in made["absent"]}
    refused = made["error_count"]
    for name in plan["report"]:
        assert name in absent or columns[name].count(None) <= refused
    heading, *rows = (json.loads(line) for line in lines.get_data(as_text=True).splitlines())
    assert [list(row) for row in zip(*columns.values(), strict=True)] == [row[:-1] for row in rows]
    assert heading["columns"] == [*columns, "error"]
    assert sum(row[-1] is not None for row in rows) == refused


# The tests: few examples in the plain run, many in the slow one


@pytest.fixture(scope="module")
def asking() -> FlaskClient:
    return create_app(LIMITS).test_client()


@EACH_QUESTION
@pytest.mark.parametrize("most", [8, pytest.param(60 * EXAMPLES, marks=pytest.mark.slow)])
def test_any_build_is_answered_with_numbers_or_refused_by_field(
    asking: FlaskClient, question: Question, most: int
) -> None:
    @given(one=sent(question), suffix=st.sampled_from([*offered(question), "html"]))
    @examples(most)
    def ask_both_ways(one: Sent, suffix: str) -> None:
        is_answered_or_refused(asking, question, one)
        is_alike_in_every_form(asking, question, one, suffix)

    ask_both_ways()


@EACH_QUESTION
@pytest.mark.parametrize("most", [3, pytest.param(15 * EXAMPLES, marks=pytest.mark.slow)])
def test_any_builds_together_are_answered_with_numbers_or_refused_by_field(
    asking: FlaskClient, question: Question, most: int
) -> None:
    @given(rows=st.lists(sent(question), min_size=1, max_size=4))
    @examples(most)
    def ask_together(rows: list[Sent]) -> None:
        is_a_batch(asking, question, rows)
        is_a_comparison(asking, question, rows[0], rows[1:])

    ask_together()


def changes(question: Question) -> st.SearchStrategy[dict[str, Any]]:
    """A few fields of the question, at any value."""
    some = st.lists(st.sampled_from(question.fields), max_size=8, unique=True)
    return some.flatmap(
        lambda names: st.fixed_dictionaries({name: value(ALL_FIELDS[name].kind) for name in names})
    )


@pytest.mark.slow
@EACH_QUESTION
def test_any_change_of_a_real_build_is_answered_or_refused_in_every_form(
    asking: FlaskClient, question: Question
) -> None:
    """Wholly random builds are mostly refused, or have nothing to draw: these are not."""

    @given(changed=changes(question), suffix=st.sampled_from([*offered(question)]))
    @examples(100 * EXAMPLES)
    def ask(changed: dict[str, Any], suffix: str) -> None:
        response = asking.post(f"/v1/{question.name}.{suffix}", json=TRUCK | changed)
        assert response.status_code in (200, 422)

    ask()
