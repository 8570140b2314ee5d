"""Ranges of many builds: two more columns beside each number, the 5 and the 95 % point of 512 draws of its build."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Question
from gearing_api.checkpoint import may_go_on
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import answer_before, ask, read_build
from gearing_api.ranges.bands import bands_of
from gearing_api.units import System
from gearing_api.vocabulary import HIGH_END, LOW_END, RESULTS, InvalidBuild, result_named

Columns = dict[str, NDArray[Any]]


def with_ends(names: Iterable[str]) -> list[str]:
    """The names of columns, each of a number with those of its two ends behind it."""
    found: list[str] = []
    for name in names:
        found.append(name)
        if is_number(name):
            found += [name + LOW_END, name + HIGH_END]
    return found


def is_number(name: str) -> bool:
    """Whether a result is a number."""
    return result_named(name).quantity is not None


def ends_of_rows(
    question: Question, raws: Sequence[Mapping[str, Any]], system: System, results: Mapping[str, NDArray[Any]]
) -> Columns:
    """Both ends of each number of these rows, in SI; of what is exact twice the number, NaN where there is none.

    `results` are the plain results, as columns. A row without an answer has no ends.
    """
    names = [name for name in results if is_number(name)]
    ends = {name: np.stack([results[name]] * 2).astype(np.float64) for name in names}
    wanted = [name for name in names if name in RESULTS]
    compared = len(wanted) < len(names)
    for row, raw in enumerate(raws):
        may_go_on()
        try:
            build = read_build(
                {name: value for name, value in raw.items() if value not in (None, "")}, system
            )
            answer = ask(question, build)
            before = answer_before(question, build) if compared else None
            found = bands_of(question, build, answer, before, names)
        except (InvalidBuild, DomainError):
            continue
        for name, both in found.ranges.items():
            if name in ends:
                ends[name][:, row] = both
    return {name + end: ends[name][place] for name in names for place, end in enumerate((LOW_END, HIGH_END))}


def interleaved(results: Columns, ends: Columns) -> Columns:
    """The results with their ends behind them."""
    every = results | ends
    return {name: every[name] for name in with_ends(results)}
