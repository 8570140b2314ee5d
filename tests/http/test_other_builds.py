"""Whole answers to builds of other kinds than the demo build: regressions, see tests/http/other_builds.py."""

import json

import pytest

from tests.http.other_builds import BUILDS, FOLDER, answers, path
from tests.kept import same

WRITE_ANEW = "run `python -m tests.regenerate` and read the difference"


@pytest.mark.parametrize("name", BUILDS)
def test_answers_hold(name: str) -> None:
    kept, made = json.loads(path(name).read_text(encoding="utf-8")), answers(name)
    assert list(kept) == list(made), WRITE_ANEW
    differ = [question for question in made if not same(kept[question], made[question])]
    assert not differ, WRITE_ANEW


def test_no_file_is_left_over() -> None:
    assert set(FOLDER.iterdir()) == set(map(path, BUILDS)), WRITE_ANEW
