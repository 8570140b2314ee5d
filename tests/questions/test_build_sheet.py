"""Build sheet: all answers on one sheet, and what the rest need."""

from typing import Any

import numpy as np
import pytest

from gearing_api.answer import Question
from gearing_api.questions import OWNERS, QUESTIONS, ask, read_build
from gearing_api.questions.build_sheet import HEAD, PARTS
from gearing_api.vehicle.demo_truck import TRUCK
from tests.questions.asking import about, codes

sheet = about("build-sheet", TRUCK)


def whole_parts() -> list[Question]:
    """The questions that the demo build answers."""
    build = read_build(TRUCK)
    return [question for question in PARTS if not build.missing(question.needs)]


def test_it_says_what_each_question_says() -> None:
    whole = sheet()
    for question in whole_parts():
        alone = about(
            question.name,
            {name: TRUCK[name] for name in TRUCK if name.removeprefix("original_") in question.fields},
        )()
        owned = {name: value for name, value in alone["result"].items() if OWNERS[name] is question}
        assert {name: whole["result"][name] for name in owned} == owned
        assert codes(alone) <= codes(whole)


def test_every_question_but_itself_is_a_part() -> None:
    assert [question.name for question in PARTS] == [
        name for name, question in QUESTIONS.items() if name != "build-sheet" and not question.measures
    ]


def test_the_head_comes_first() -> None:
    assert tuple(sheet()["result"])[: len(HEAD)] == HEAD


def test_from_a_tyre_alone_the_rest_say_what_they_need() -> None:
    build = read_build({"tyre": "33 in"})
    answer = ask(QUESTIONS["build-sheet"], build)
    assert answer.sheet is not None
    assert [part.question.name for part in answer.sheet.parts] == ["tyre", "speedometer", "clearance"]
    assert answer.sheet.missing["crawl"] == ["axle_ratio", "gear_ratios"]
    assert answer.why("crawl_ratio").fields == ("axle_ratio", "gear_ratios")


@pytest.mark.parametrize("question", PARTS, ids=lambda question: question.name)
def test_a_question_is_a_part_as_soon_as_its_needs_are_there(question: Any) -> None:
    example = TRUCK | question.example
    needed = {name: example[name] for name in question.needs if name in example} | {"tyre": TRUCK["tyre"]}
    found = ask(QUESTIONS["build-sheet"], read_build(needed)).sheet
    assert found is not None
    assert question.name in [part.question.name for part in found.parts]
    for name in set(question.needs) & set(TRUCK) - {"tyre"}:
        less = {field: value for field, value in needed.items() if field != name}
        without = ask(QUESTIONS["build-sheet"], read_build(less)).sheet
        assert without is not None
        assert name in without.missing.get(question.name, [])


def test_a_caution_of_several_parts_stands_once_and_that_of_strength_first() -> None:
    answer = ask(QUESTIONS["build-sheet"], read_build(TRUCK))
    told = [(caution.code, caution.text) for caution in answer.cautions if np.any(caution.where)]
    assert len(set(told)) == len(told)
    assert told[0][0] == "estimate"


def test_a_caution_holds_where_any_part_says_it() -> None:
    assert "cruise-above-speed-symbol" in codes(sheet(cruise_speed=100))
    assert "cruise-above-speed-symbol" not in codes(sheet(cruise_speed=99))
