"""What builds with the longest lists hold while they are answered, many at once and as the draws of one.

The questions go through some lists in each other: 24 gears in 12 ranges with a curve of 200 points make 57,600 items.
"""

import tracemalloc
from typing import Any

import numpy as np
import pytest

from gearing_api.answer import Question
from gearing_api.batch.columns import Given, Pool, answered, read_value
from gearing_api.build import Build
from gearing_api.questions import QUESTIONS
from gearing_api.ranges.outcomes import outcomes
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import FIELDS
from tests.faults.costliest import LONG

MOST = 120.0
"""MB, of the 300 that a request may hold."""

ROWS = {"acceleration": 500, "build-sheet": 40, "cruise": 500, "fuel": 40, "regear": 250}
"""Builds of which all at once would hold more, for the questions that take long; 10,000 for the others."""

TARGETS = {"target_overtaking_time": 20, "target_fuel_change_percent": 30, "target_crawl_ratio": 40}
BUILD: dict[str, Any] = TRUCK | LONG | TARGETS
CURVES = [[[speed, torque - place] for speed, torque in LONG["torque_curve"]] for place in range(2)]
RATIOS = [4 + place / 100 for place in range(99)]

pytestmark = pytest.mark.slow


def given(question: Question, rows: int) -> dict[str, Given]:
    """The truck with long lists, each with its own axle ratio and one of two curves."""
    varied: dict[str, list[Any]] = {"torque_curve": CURVES, "axle_ratio": RATIOS, "front_axle_ratio": RATIOS}
    made = {}
    for name in question.fields:
        if name in varied:
            values = [read_value(name, value, "us") for value in varied[name]]
            made[name] = Given(Pool(values), np.arange(rows) % len(values))
        elif name in BUILD:
            made[name] = Given(Pool([read_value(name, BUILD[name], "us")]))
    return made


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=[*QUESTIONS])
def test_many_builds_with_long_lists_hold_no_more_than_they_may(question: Question) -> None:
    rows = ROWS.get(question.name, 10_000)
    asked = given(question, rows)
    tracemalloc.start()
    made = answered(question, asked, rows, "us")
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert question.measures or not made.faults
    assert peak < MOST


@pytest.mark.parametrize("name", ["acceleration", "cruise", "fuel"])
def test_nor_do_the_draws_of_one(name: str) -> None:
    question = QUESTIONS[name]
    values = {field: FIELDS[field].read(BUILD[field], "us") for field in question.fields if field in BUILD}
    tracemalloc.start()
    made = outcomes(question, Build(values, {}, "us"), [question.main])
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    assert np.count_nonzero(np.isfinite(made.results[question.main])) > 400
    assert peak < MOST
