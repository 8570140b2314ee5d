"""What a sentence was read as, against what a person would fill in."""

import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from gearing_api.sentences import Sentence, read
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vocabulary import FIELDS

FOLDER = Path(__file__).parent


class Expected(NamedTuple):
    """A sentence, the fields that must be filled in, those that may be, and the question that it asks."""

    text: str
    build: dict[str, Any]
    may: dict[str, Any]
    asks: str | None


def sentences(name: str) -> Iterator[tuple[str, Expected]]:
    """The sentences of a file with their styles."""
    styles = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    for style, rows in styles.items():
        for row in rows:
            yield style, Expected(row["text"], row["build"], row.get("may", {}), row.get("asks"))


def is_the_same(field: str, one: Any, other: Any) -> bool:
    """Whether two wire values mean the same."""
    first, second = (FIELDS[field].read(value, "us") for value in (one, other))
    if isinstance(first, TyreSize):
        return first == second
    if isinstance(first, str):
        return bool(first == second)
    return bool(np.shape(first) == np.shape(second) and np.allclose(first, second, rtol=1e-4, equal_nan=True))


class Score(NamedTuple):
    """Fields that are right, missed, and wrong."""

    right: list[str]
    missed: list[str]
    wrong: list[str]


def score(expected: Expected) -> Score:
    """What came of one sentence."""
    found: Sentence = read(expected.text)
    wanted = expected.may | expected.build
    wrong = [
        f"{field}={value!r}"
        for field, value in found.build.items()
        if field not in wanted or not is_the_same(field, value, wanted[field])
    ]
    right = [
        field
        for field, value in expected.build.items()
        if field in found.build and is_the_same(field, found.build[field], value)
    ]
    return Score(right, [field for field in expected.build if field not in found.build], wrong)


def share(scores: list[Score]) -> float:
    """Fields that are right, of all that a person would fill in."""
    right = sum(len(one.right) for one in scores)
    asked = sum(len(one.right) + len(one.missed) + len(one.wrong) for one in scores)
    return right / asked if asked else math.nan
