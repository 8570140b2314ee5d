"""The comparison of kept files bites, and regeneration leaves alone what agrees."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.kept import rewrite, same

FIGURE = 3.3536434195725526


@pytest.mark.parametrize(
    ("kept", "made"),
    [
        (FIGURE, FIGURE * (1 + 3e-16)),
        ({"a": [FIGURE, None, "x", True, 3]}, {"a": [FIGURE * (1 + 9e-13), None, "x", True, 3]}),
        ("ratio,3.3536434195725526\r\n", "ratio,3.3536434195725531\r\n"),
        ("at 0.30000000000000004 in", "at 0.3 in"),
        (0.0, 2.2e-16),
    ],
)
def test_last_digits_may_differ(kept: Any, made: Any) -> None:
    assert same(kept, made)
    assert same(made, kept)


@pytest.mark.parametrize(
    ("kept", "made"),
    [
        (FIGURE, FIGURE * (1 + 1e-11)),
        (FIGURE, -FIGURE),
        (3, 3.0),
        (1, True),
        (None, 0.0),
        ({"a": 1, "b": 2}, {"b": 2, "a": 1}),
        ([1.0], [1.0, 1.0]),
        ("3.3536434195725526", "3.3536434196725526"),
        ("7.0 %", "7.00 %"),
        ("2463 rpm", "2464 rpm"),
        ("265/70R17", "265/75R17"),
        ("feels like 3.35", "felt like 3.35"),
        ("3.3536434195725526", "3.3536434195725526 in"),
        ("a\n", "a"),
    ],
)
def test_anything_else_may_not(kept: Any, made: Any) -> None:
    assert not same(kept, made)
    assert not same(made, kept)


def test_a_file_is_written_only_where_it_differs(tmp_path: Path) -> None:
    path = tmp_path / "folder" / "kept.json"
    assert rewrite(path, json.dumps([FIGURE]))
    assert not rewrite(path, json.dumps([FIGURE * (1 + 3e-16)]))
    assert json.loads(path.read_text()) == [FIGURE]
    assert rewrite(path, json.dumps([FIGURE + 1e-6]))
    assert json.loads(path.read_text()) == [FIGURE + 1e-6]
