"""Sentences as forum users write them, against what a person would fill in.

`own.toml` was written beside the reader and tuned on; `held_out.toml` was written before and not looked at.
"""

import pytest

from gearing_api.sentences import read
from tests.sentences.scoring import Expected, score, sentences, share

OWN = list(sentences("own"))
HELD_OUT = list(sentences("held_out"))
EACH = pytest.mark.parametrize(
    "expected", [row for _, row in OWN + HELD_OUT], ids=[row.text for _, row in OWN + HELD_OUT]
)


def test_there_are_enough_sentences_in_six_styles() -> None:
    assert len({row.text for _, row in OWN}) >= 120
    assert len({style for style, _ in OWN}) == 6
    assert len(HELD_OUT) == 40


@EACH
def test_nothing_is_silently_wrong(expected: Expected) -> None:
    assert score(expected).wrong == []


@pytest.mark.parametrize("rows", [OWN, HELD_OUT], ids=["own", "held out"])
def test_at_least_nine_in_ten_fields_are_filled_in(rows: list[tuple[str, Expected]]) -> None:
    """The held-out list was scored once, when the reader was done: 146 of 156 fields, none wrong."""
    assert share([score(row) for _, row in rows]) >= 0.9


@pytest.mark.parametrize(
    "expected", [row for _, row in OWN if row.asks], ids=[row.text for _, row in OWN if row.asks]
)
def test_the_question_that_is_asked_is_told(expected: Expected) -> None:
    assert read(expected.text).asks == expected.asks
