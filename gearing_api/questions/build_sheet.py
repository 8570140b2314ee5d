"""Every question that a build has fields for, on one sheet; for the rest, which fields are missing."""

from collections.abc import Iterable

import numpy as np

from gearing_api.answer import Answer, Caution, Part, Question, Sheet, Value
from gearing_api.build import Build
from gearing_api.questions import (
    axle_check,
    axle_match,
    clearance,
    crawl,
    cruise,
    final_drive,
    regear,
    ring_gear_load,
    road_speed,
    speedometer,
    tyre,
)
from gearing_api.vehicle.axle import SAFETY
from gearing_api.vehicle.demo_truck import TRUCK

PARTS: tuple[Question, ...] = tuple(
    module.QUESTION
    for module in (
        tyre,
        final_drive,
        speedometer,
        road_speed,
        cruise,
        crawl,
        regear,
        axle_match,
        ring_gear_load,
        axle_check,
        clearance,
    )
)
"""The questions of the sheet, in its order."""

HEAD = (
    "effective_ratio",
    "restoring_ratio",
    "true_per_indicated",
    "cruise_engine_speed",
    "steepest_grade_percent",
    "crawl_ratio",
    "crawl_speed",
    "climbable_grade_percent",
    "weakest_part",
    "housing_clearance",
)
"""The ten figures that a builder looks at first."""


def answer(build: Build) -> Answer:
    """The results of all questions that can be answered, each of them also as a part of its own."""
    parts: list[Part] = []
    missing: dict[str, list[str]] = {}
    for question in PARTS:
        own = build.again()
        if lacking := own.missing(question.needs):
            missing[question.name] = lacking
            continue
        parts.append(Part(question, own, question.answer(own)))
        build.take_account(own)
    found: dict[str, Value] = {}
    for part in reversed(parts):
        found |= part.answer.result
    return Answer(
        result={name: found.get(name) for name in QUESTION.results},
        sources=tuple(dict.fromkeys(source for part in parts for source in part.answer.sources)),
        cautions=(
            *_merged(caution for part in parts for caution in part.answer.cautions),
            *(
                _unanswered(question, missing[question.name])
                for question in PARTS
                if question.name in missing
            ),
        ),
        sheet=Sheet(HEAD, tuple(parts), missing),
    )


def _merged(cautions: Iterable[Caution]) -> list[Caution]:
    """Each caution once, that of strength first; it holds for the builds for which any part says it."""
    merged: dict[tuple[str, str], Caution] = {}
    for caution in cautions:
        told = (caution.code, caution.text)
        where = np.logical_or(merged[told].where, caution.where) if told in merged else caution.where
        merged[told] = caution._replace(where=where)
    return sorted(merged.values(), key=lambda caution: caution.code != SAFETY.code)


def _unanswered(question: Question, missing: list[str]) -> Caution:
    return Caution(
        "not-answered",
        f"{question.name} is not answered without {', '.join(missing)}: {', '.join(question.results)}.",
    )


QUESTION = Question(
    name="build-sheet",
    asks="What does this build answer to every question it has fields for, and what do the rest need?",
    needs=("tyre",),
    uses=tuple(dict.fromkeys(name for part in PARTS for name in part.fields if name != "tyre")),
    results=tuple(dict.fromkeys((*HEAD, *(name for part in PARTS for name in part.results)))),
    answer=answer,
    example=TRUCK,
)
