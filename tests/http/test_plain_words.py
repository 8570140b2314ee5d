"""Names of fields: in brackets behind the words in texts of the interface, and nowhere on a page or in the bot."""

import re
from html import unescape
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from forum_bot.follow_ups import Pending
from forum_bot.replies import respond
from gearing_api.answer import Question
from gearing_api.questions import QUESTIONS
from gearing_api.tables import table
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import ALL_FIELDS, FIELDS, LABELS, RESULTS, for_people, label_of, naming
from tests.clients.bot import asked_here

NAME = re.compile(r"\b[a-z]+(?:_[a-z0-9]+)+\b")
QUOTED = re.compile(r"(?s)<(script|style|head|form|pre|code)\b.*?</\1>")
ASKED = ["what mpg do I get?", "what breaks first?", "pinion angle?", "what clearance?", "front and rear bind?",
         "downhill 20 %", "0-60?", "what pressure?", "feels stock?", "what brakes?"]  # fmt: skip


def outside_brackets(text: str) -> list[str]:
    return NAME.findall(re.sub(r" \([a-z0-9_, ]+\)", "", text))


def barest(question: Question) -> dict[str, object]:
    if question.measures:
        return {"measured_shaft_turns": 41, "measured_wheel_turns": 10, "measured_rollout_turns": 2}
    wanted = {*question.needs, "tyre", "axle_ratio"} & {*question.fields}
    return {name: value for name, value in {**TRUCK, **question.example}.items() if name in wanted}


def test_labels_are_of_fields_and_results_and_tell_them_apart() -> None:
    assert set(LABELS) <= {*FIELDS, *RESULTS}
    for names in (FIELDS, RESULTS):
        assert len({label_of(name) for name in names}) == len(names)
    assert not [name for name in {*ALL_FIELDS, *RESULTS} if "_" in label_of(name)]


def test_every_caution_names_fields_in_brackets() -> None:
    assert [text for text in table("cautions").column("meaning") if outside_brackets(str(text))] == []


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=QUESTIONS)
def test_a_build_with_too_little_is_answered_in_words(client: FlaskClient, question: Question) -> None:
    build = barest(question)
    made = client.post(f"/v1/{question.name}", json=build).get_json()
    texts = [made["summary"], *(caution["text"] for caution in made["cautions"])]
    assert [text for text in texts if outside_brackets(text)] == []
    query = urlencode({name: str(value).strip("[]") for name, value in build.items()})
    page = client.get(f"/v1/{question.name}.html?{query}").text
    assert NAME.findall(unescape(re.sub(r"<[^>]+>", "\n", QUOTED.sub("", page)))) == []
    for line in client.get(f"/v1/{question.name}.txt?{query}").text.splitlines():
        assert not line.startswith("assumed") or not NAME.search(line)


@pytest.mark.parametrize("asks", ASKED)
def test_the_bot_asks_back_in_words(client: FlaskClient, asks: str) -> None:
    said = respond(Pending(f"35s on 4.10s, 3.83 first, {asks}", ""), asked_here(client.application))
    assert re.search("One question: |rest|give|estimates", said.text)
    assert "_" not in said.text
    assert "propshaft" not in said.text


def test_brackets_go_and_other_names_become_words() -> None:
    *others, last = map(label_of, FIELDS)
    assert for_people(f"needs {naming(FIELDS)}.") == f"needs {', '.join(others)} and {last}."
    assert for_people("Kept (as it is); gear_ratios (and peak_torque) too") == (
        "Kept (as it is); gearbox ratios (and peak torque) too"
    )
