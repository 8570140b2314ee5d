"""What holds for every question and any build."""

from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from gearing_api.answer import Question
from gearing_api.batch.columns import form, stack
from gearing_api.build import Build, MixedColumn
from gearing_api.formats.document import document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vocabulary import FIELDS, RESULTS, InvalidBuild, read_fields
from tests.builds import EXAMPLES, builds, number, value

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
QUICK = settings(max_examples=4 * EXAMPLES, deadline=None,
                 suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])  # fmt: skip


def finite_numbers(value: Any) -> bool:
    if isinstance(value, dict):
        return all(map(finite_numbers, value.values()))
    if isinstance(value, list):
        return all(map(finite_numbers, value))
    return not isinstance(value, float) or bool(np.isfinite(value))


@EACH_QUESTION
@QUICK
@given(data=st.data())
def test_any_build_is_answered_or_refused_by_field(question: Question, data: st.DataObject) -> None:
    raw = data.draw(builds(question.needs, question.uses))
    try:
        build = read_build(raw)
        made = document(question, build, ask(question, build))
    except InvalidBuild as refused:
        faults = refused.faults
    else:
        faults = []
    assert all(fault.field in FIELDS for fault in faults)
    if faults:
        return
    assert finite_numbers(made)
    assert set(made["result"]) == set(question.results)
    assert set(made["given"]) <= set(question.fields)
    assert set(made["assumed"]) <= set(question.fields)
    for name, made_value in made["result"].items():
        assert (made_value is None) == (name in made["absent"]), (
            f"{name}: null where it is absent, and only there"
        )


@EACH_QUESTION
@QUICK
@given(data=st.data())
def test_a_column_of_builds_equals_its_builds(question: Question, data: st.DataObject) -> None:
    first = data.draw(builds(question.needs, question.uses))
    numbers = [name for name in first if isinstance(first[name], float)]
    varied = data.draw(st.sets(st.sampled_from(numbers))) if numbers else set()
    rows = [first]
    for _ in range(2):
        rows.append(first | {name: data.draw(number(FIELDS[name].kind)) for name in sorted(varied)})
    read = [read_fields(row, "us") for row in rows]
    for name in first:
        assert len({form(row[name]) for row in read}) == 1
    try:
        singly = [ask(question, Build(values, {})) for values in read]
    except InvalidBuild:
        assume(False)
    column = {name: stack([row[name] for row in read]) for name in first}
    if data.draw(st.booleans()):
        column = {name: column[name] if name in varied else read[0][name] for name in column}
    try:
        together = ask(question, Build(column, {}))
    except MixedColumn:  # such builds are answered apart: tests/batch/test_columns.py
        assume(False)
    for name, whole in together.result.items():
        for place, answer in enumerate(singly):
            single = answer.result[name]
            if single is None or isinstance(single, str):
                assert whole is single or whole == single
            else:
                cell = np.broadcast_to(np.asarray(whole), (len(rows),))[place]
                np.testing.assert_array_equal(cell, single, err_msg=name)
    for place, answer in enumerate(singly):
        codes = [caution.code for caution in answer.cautions if np.any(caution.where)]
        in_column = [caution.code for caution in together.cautions
                     if np.broadcast_to(caution.where, (len(rows),))[place]]  # fmt: skip
        assert codes == in_column


@EACH_QUESTION
@QUICK
@given(data=st.data())
def test_units_do_not_change_the_answer(question: Question, data: st.DataObject) -> None:
    raw = data.draw(builds(question.needs, question.uses))
    try:
        first = read_build(raw)
        in_us = document(question, first, ask(question, first))
    except InvalidBuild:
        assume(False)
    metric_raw = {name: FIELDS[name].kind.out(si, "metric") if not name.endswith("tyre") else raw[name]
                  for name, si in read_fields(raw, "us").items()}  # fmt: skip
    second = read_build(metric_raw, "metric")
    in_metric = document(question, second, ask(question, second))
    for name, us_value in in_us["result"].items():
        metric_value = in_metric["result"][name]
        if isinstance(us_value, float):
            quantity = RESULTS[name].quantity
            assert quantity is not None
            si = us_value * quantity.factor("us")
            assert metric_value * quantity.factor("metric") == pytest.approx(si, rel=1e-8, abs=1e-9)
        else:
            assert metric_value == us_value


@EACH_QUESTION
def test_example_is_answered_whole(question: Question) -> None:
    build = read_build(dict(question.example))
    made = document(question, build, ask(question, build))
    assert set(made["given"]) == set(question.example)
    assert made["sources"]
    if question.table:
        assert made["table"]["columns"][: len(question.table)] == list(question.table)
        assert made["table"]["rows"]


def test_each_result_name_is_in_the_glossary() -> None:
    for question in QUESTIONS.values():
        assert set(question.results) | set(question.table) <= set(RESULTS)
        assert set(question.fields) <= set(FIELDS)


@given(
    st.sampled_from(sorted(FIELDS)).flatmap(lambda name: st.tuples(st.just(name), value(FIELDS[name].kind)))
)
@settings(max_examples=200 * EXAMPLES, deadline=None)
def test_what_a_field_accepts_reads_back(case: tuple[str, Any]) -> None:
    name, raw = case
    kind = FIELDS[name].kind
    si = kind.read(raw, "us")
    if not name.endswith("tyre"):
        again = kind.read(kind.out(si, "metric"), "metric")
        np.testing.assert_allclose(np.array(again, dtype=float) if not isinstance(si, str) else 0.0,
                                   np.array(si, dtype=float) if not isinstance(si, str) else 0.0,
                                   rtol=1e-9, atol=1e-9)  # fmt: skip
