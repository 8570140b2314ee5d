"""Every question that a build has fields for, on one sheet; for the rest, which fields are missing."""

import pkgutil
from collections.abc import Iterable, Iterator
from importlib import import_module
from pathlib import Path

import numpy as np

from gearing_api.answer import (
    DOES_NOT_APPLY,
    Absent,
    Answer,
    Caution,
    Part,
    Question,
    Sheet,
    Value,
    needs,
    verdict,
)
from gearing_api.build import Build, MixedColumn
from gearing_api.vehicle.axle import SAFETY
from gearing_api.vehicle.demo_truck import TRUCK

_ORDER = (
    "tyre",
    "final_drive",
    "speedometer",
    "road_speed",
    "cruise",
    "crawl",
    "regear",
    "axle_match",
    "ring_gear_load",
    "axle_check",
    "clearance",
    "axle_loads",
    "descent",
    "braking",
    "acceleration",
    "fuel",
)
"""Modules in the order of the sheet; any other in this folder follows by name."""


def _other_questions() -> Iterator[Question]:
    """Find the question of each module beside this one."""
    modules = {module.name for module in pkgutil.iter_modules([str(Path(__file__).parent)])}
    found = sorted(modules - {*_ORDER, Path(__file__).stem})
    for module in (*_ORDER, *found):
        yield import_module(f"gearing_api.questions.{module}").QUESTION


_FOUND = tuple(_other_questions())
PARTS = tuple(question for question in _FOUND if not question.measures)
"""The questions of the sheet, in its order."""

APART = tuple(question for question in _FOUND if question.measures)
"""Those that find out what the build is."""

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
    "weakest_margin",
    "housing_clearance",
)
"""The figures that a builder looks at first."""


def answer(build: Build) -> Answer:
    """The results of all questions that can be answered, each of them also as a part of its own."""
    parts: list[Part] = []
    missing: dict[str, list[str]] = {}
    downhill = _is_downhill(build)
    for question in PARTS:
        own = build.again()
        if downhill and question.name == "cruise":
            continue
        if lacking := own.missing(question.needs):
            missing[question.name] = lacking
            continue
        parts.append(Part(question, own, question.answer(own)))
        build.take_account(own)
    found: dict[str, Value] = {}
    absent: dict[str, Absent] = {}
    for part in reversed(parts):
        found |= part.answer.result
        absent |= {name: part.answer.why(name) for name in part.question.results}
    if downhill:
        absent |= {name: DOES_NOT_APPLY for name in _CRUISE.results if name not in found}
    for question in PARTS:
        if question.name in missing:
            absent |= {name: needs(*missing[question.name]) for name in question.results if name not in found}
    return Answer(
        result={name: found.get(name) for name in QUESTION.results},
        sources=tuple(dict.fromkeys(source for part in parts for source in part.answer.sources)),
        summary=lambda: _speaking(parts).answer.summary(),
        absent=absent,
        cautions=tuple(_merged(caution for part in parts for caution in part.answer.cautions)),
        sheet=Sheet(HEAD, tuple(parts), missing, lambda: _speaking(parts)),
        ranges={name: ends for part in reversed(parts) for name, ends in part.answer.ranges.items()},
    )


_CRUISE = next(question for question in PARTS if question.name == "cruise")


def _is_downhill(build: Build) -> bool:
    """Whether the slope goes down, which is no question of cruise; a column that does both is answered apart."""
    if not build.given("grade_percent"):
        return False
    where = np.asarray(build.number("grade_percent") < 0.0)
    if where.any() and not where.all():
        raise MixedColumn(where)
    return bool(where.any())


_DECISIVE = ("stop", "check")


def _speaking(parts: list[Part]) -> Part:
    """The part with the gravest verdict; of equals the last, which is about strength."""
    grave = [
        part
        for level in _DECISIVE
        for part in reversed(parts)
        if verdict(part.question, part.answer) == level
    ]
    return grave[0] if grave else parts[min(1, len(parts) - 1)]


def _merged(cautions: Iterable[Caution]) -> list[Caution]:
    """Each caution once, that of strength first; it holds for the builds for which any part says it."""
    merged: dict[tuple[str, str], Caution] = {}
    for caution in cautions:
        told = (caution.code, caution.text)
        where = np.logical_or(merged[told].where, caution.where) if told in merged else caution.where
        merged[told] = caution._replace(where=where)
    return sorted(merged.values(), key=lambda caution: caution.code != SAFETY.code)


QUESTION = Question(
    name="build-sheet",
    asks="What does this build answer to every question it has fields for, and what do the rest need?",
    needs=("tyre",),
    uses=tuple(name for part in PARTS for name in part.fields),
    results=tuple(dict.fromkeys((*HEAD, *(name for part in PARTS for name in part.results)))),
    main="effective_ratio",
    answer=answer,
    example=TRUCK,
    always=next(question.always for question in PARTS if question.name == "tyre"),
    crossed=tuple(dict.fromkeys(name for part in PARTS for name in part.crossed)),
)
