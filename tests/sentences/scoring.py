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


def contradicts(field: str, one: Any, other: Any) -> bool:
    """Whether the first value says what the second does not; a tyre may say less of its print."""
    first, second = (FIELDS[field].read(value, "us") for value in (one, other))
    if not isinstance(first, TyreSize):
        return not is_the_same(field, one, other)
    facts = ("diameter", "construction", "nominal_width", "load_index", "speed_symbol", "load_range")
    return any(getattr(first, fact) not in (None, getattr(second, fact)) for fact in facts)


class Score(NamedTuple):
    """Fields that are right, those that are not, and values that say what nobody means."""

    right: list[str]
    missed: list[str]
    wrong: list[str]


def score(expected: Expected) -> Score:
    """What came of one sentence."""
    found: Sentence = read(expected.text)
    wanted = {
        field: [of[field] for of in (expected.build, expected.may) if field in of] for field in found.build
    }
    wrong = [
        f"{field}={value!r}"
        for field, value in found.build.items()
        if all(contradicts(field, value, other) for other in wanted[field])
    ]
    right = [
        field
        for field in expected.build
        if any(is_the_same(field, found.build[field], other) for other in wanted.get(field, []))
    ]
    return Score(right, [field for field in expected.build if field not in right], wrong)


def share(scores: list[Score]) -> float:
    """Fields that are right, of all that a person would fill in."""
    right = sum(len(one.right) for one in scores)
    asked = sum(len(one.right) + len(one.missed) for one in scores)
    return right / asked if asked else math.nan
