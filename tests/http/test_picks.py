"""What is not picked is not computed, and names are checked before anything is."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api.answer import Question
from gearing_api.formats.document import answer_as_document, document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vocabulary import InvalidBuild

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=lambda question: question.name)


def never(*given: Any) -> Any:
    raise AssertionError("this was not asked for")


def with_tables(question: Question, table: Callable[..., Any], what_if: Callable[..., Any]) -> Question:
    """The question with other tables."""

    def answer(build: Any) -> Any:
        made = question.answer(build)
        return made._replace(table=made.table and table, what_if=made.what_if and what_if)

    return replace(question, answer=answer)


@EACH_QUESTION
def test_no_table_is_computed_where_results_are_picked(question: Question) -> None:
    build = read_build(question.example)
    made = answer_as_document(with_tables(question, never, never), build, question.results[:2])
    assert list(made["result"]) == list(question.results[:2])
    assert not {"table", "what_if", "parts", "head"} & made.keys()


@EACH_QUESTION
def test_single_changes_are_not_computed_where_columns_are_picked(question: Question) -> None:
    columns = [name for name in question.table if name not in question.results]
    if not columns:
        assert not question.what_if
        return
    build = read_build(question.example)
    table = ask(question, build).table
    assert table is not None
    made = answer_as_document(with_tables(question, table, never), build, columns[:1])
    assert made["table"]["columns"] == columns[:1]
    assert made["result"] == {}


@EACH_QUESTION
def test_no_table_is_computed_for_a_chart(question: Question) -> None:
    build = read_build(question.example)
    answer = ask(question, build)._replace(table=never, what_if=never)
    assert "table" not in document(question, build, answer, drawn=True)


@EACH_QUESTION
def test_a_name_that_cannot_be_picked_is_refused_before_the_answer(question: Question) -> None:
    with pytest.raises(InvalidBuild, match="pick names no result of"):
        answer_as_document(replace(question, answer=never), read_build(question.example), ["nothing"])


def test_results_and_columns_are_not_mixed_and_nothing_is_computed() -> None:
    question = replace(QUESTIONS["crawl"], answer=never)
    with pytest.raises(InvalidBuild, match="mixes a result, crawl_ratio, with a column of the table, gear"):
        answer_as_document(question, read_build(question.example), ["crawl_ratio", "gear"])


def test_columns_named_after_a_speed_can_be_picked(client: FlaskClient) -> None:
    build = "tyre=265/70R17&axle_ratio=4.1&gear_ratios=3,1&road_speeds=30"
    rows = client.get(f"/v1/road-speed.txt?{build}&pick=engine_speed_at_30_mph").text
    assert len(rows.splitlines()) == 2
    refused = client.get(f"/v1/road-speed?{build}&pick=engine_speed_at_31_mph").get_json()
    assert "the nearest is engine_speed_at_30_mph" in refused["detail"]


@pytest.mark.parametrize("suffix", ["", ".html", ".md", ".csv", ".txt"])
def test_a_sheet_gives_what_is_picked_and_no_parts(client: FlaskClient, suffix: str) -> None:
    response = client.get(f"/v1/build-sheet{suffix}?tyre=265/70R17&pick=diameter")
    assert response.status_code == 200
    assert "rolling_radius" not in response.text
