"""The kept inputs hold, a reader that is broken is seen by them, and a bounded search finds nothing more."""

import json
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from gearing_api import sentences, tyre_sizes, units
from gearing_api.fields import Series
from gearing_api.sentences import Sentence
from gearing_api.tyre_sizes import TyreSize
from tests.fuzz import targets
from tests.fuzz.inputs import LONGEST, MOST_KEPT, kept
from tests.fuzz.targets import TARGETS

EACH_READER = pytest.mark.parametrize("reader", TARGETS)
HOUSE = Path(__file__).parents[2]


@pytest.mark.parametrize(("reader", "name"), [(reader, name) for reader in TARGETS for name in kept(reader)])
def test_what_is_kept_holds(reader: str, name: str) -> None:
    TARGETS[reader](kept(reader)[name])


@EACH_READER
def test_the_corpus_is_small(reader: str) -> None:
    inputs = kept(reader)
    assert 5 <= len(inputs) <= MOST_KEPT + 10
    assert all(len(content) <= LONGEST[reader] for content in inputs.values())


@lru_cache
def size_of_another_tyre(text: str, read: Any = tyre_sizes.read) -> TyreSize:
    size: TyreSize = read(text)
    return replace(size, designation="265/70R17")


def number_without_its_tail(value: Any, quantity: Any, system: Any, read: Any = units.number) -> Any:
    """As a reader that stops at the first thing it does not know."""
    head = re.match(r"\s*[0-9.]+", value) if isinstance(value, str) else None
    return read(head[0] if head else value, quantity, system)


def list_backwards(self: Any, value: Any, system: Any, read: Any = Series.read) -> Any:
    return np.flip(read(self, value, system))


def sentence_beside_its_places(sentence: str) -> Sentence:
    found = sentences.read(sentence)
    moved = tuple(replace(one, start=one.start + 3, end=one.end + 3) for one in found.understood)
    return replace(found, understood=moved)


def sentence_of_another_tyre(sentence: str) -> Sentence:
    found = sentences.read(sentence)
    return replace(found, build=found.build | ({"tyre": "265/70R17"} if "tyre" in found.build else {}))


BROKEN: dict[str, tuple[Any, str, Callable[..., Any]]] = {
    "tyre-sizes": (targets.tyre_sizes, "read", size_of_another_tyre),
    "quantities": (targets.units, "number", number_without_its_tail),
    "lists": (Series, "read", list_backwards),
    "sentences": (targets, "read", sentence_beside_its_places),
    "two-readers": (targets, "read", sentence_of_another_tyre),
    "json": (targets, "parsed", json.loads),
}


@EACH_READER
def test_a_broken_reader_is_seen(reader: str, monkeypatch: pytest.MonkeyPatch) -> None:
    place, name, broken = BROKEN[reader]
    monkeypatch.setattr(place, name, broken)
    seen = 0
    for content in kept(reader).values():
        try:
            TARGETS[reader](content)
        except (AssertionError, ValueError):
            seen += 1
    assert seen > 0


# Inputs of a bounded search: about ten seconds each where nothing else runs. .ci/long searches longer.
RUNS = {
    "tyre-sizes": 15_000,
    "quantities": 4_000,
    "lists": 4_000,
    "sentences": 1_500,
    "two-readers": 5_000,
    "json": 50_000,
}


@pytest.mark.slow
@EACH_READER
def test_a_search_finds_nothing(reader: str, tmp_path: Path) -> None:
    pytest.importorskip("atheris")
    command = [
        sys.executable,
        "-m",
        "tests.fuzz",
        reader,
        "--runs",
        str(RUNS[reader]),
        "--found",
        str(tmp_path),
    ]
    ended = subprocess.run(command, cwd=HOUSE, capture_output=True, text=True, timeout=900, check=False)
    assert ended.returncode == 0, ended.stderr[-3000:]
    executed = re.search(r"number_of_executed_units: (\d+)", ended.stderr)
    assert executed is not None
    assert int(executed[1]) >= RUNS[reader]
    assert not [path.name for path in tmp_path.iterdir() if path.name.startswith(("crash", "timeout", "oom"))]
