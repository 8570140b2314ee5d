"""Ranges of an answer in its document, and in words: what most builds like it do, and what would tell more."""

import math
from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Any

import numpy as np

from gearing_api.answer import Answer, Question
from gearing_api.build import Build
from gearing_api.formats.options import rounded
from gearing_api.formats.plain import plain
from gearing_api.ranges.bands import ALL_TARGETS, Bands
from gearing_api.ranges.spreads import narrower
from gearing_api.ranges.tornado import tornado
from gearing_api.units import System
from gearing_api.vocabulary import CHANGE, FieldError, InvalidBuild, hint, label_of, result_named

LONGEST_SUMMARY = 200
_HALVES = 0.75
"""Share of the variance without which a range is half as wide."""
Document = dict[str, Any]


def bands_as_document(found: Bands, system: System, given: Container[str] = ()) -> Document:
    """The ranges in the units of the answer; shares in steps that 512 draws can tell."""
    measured = {"road_load"} if "road_load_covariance" in given else set()
    return {
        "ranges": {name: _ends(name, ends, system) for name, ends in found.ranges.items()},
        "drivers": {
            name: [_driver(field, share, field in measured) for field, share in drivers]
            for name, drivers in found.drivers.items()
        },
        "shares": {
            name: {told: round(share, 3) for told, share in shares.items()}
            for name, shares in found.shares.items()
        },
        **_targets(found),
    }


def _targets(found: Bands) -> Document:
    if not found.targets:
        return {}
    columns = ["axle_ratio", "target", "share", "judged"]
    rows = [[each.ratio, each.target, round(each.share, 3), each.judged] for each in found.targets]
    return {"targets": {"columns": columns, "units": [""] * len(columns), "rows": rows}}


def share_out_ranges(sheet: Document) -> None:
    """Give each part of a build sheet the ranges of its own results."""
    for part in sheet["parts"].values():
        for member in ("ranges", "drivers", "shares"):
            part[member] = {name: found for name, found in sheet[member].items() if name in part["result"]}


def _ends(name: str, ends: Iterable[float], system: System) -> list[Any]:
    return [plain(np.float64(end), result_named(name).quantity, system) for end in ends]


def _driver(field: str, share: float, measured: bool) -> Document:
    """A field with its share, and what would make the range narrower, where that is at hand and was not done."""
    advice = "" if measured else narrower(field)
    return {"field": field, "share": round(share, 2)} | ({"narrower": advice} if advice else {})


def tornado_as_document(question: Question, build: Build, name: str, answer: Answer) -> Document:
    """What each input alone does to one number of the answer, the longest bar first.

    Raises
    ------
    InvalidBuild
        If it is no number of the question.
    """
    numbers = [each for each in question.results if result_named(each).quantity is not None]
    if name not in numbers:
        detail = f"names no number of {question.name}{hint(name, numbers)}"
        raise InvalidBuild([FieldError("tornado", detail, name)])
    unit = result_named(name).unit(build.system)
    return {
        "result": name,
        "unit": unit,
        "plain": plain(answer.result[name], result_named(name).quantity, build.system),
        "columns": ["field", "low", "high", "at_low", "at_high"],
        "units": ["", "", "", unit, unit],
        "rows": [
            [bar.field, *bar.at, *_ends(name, bar.result, build.system)]
            for bar in tornado(question, build, name)
        ],
    }


def two_ends(low: float | None, high: float | None) -> str:
    """Both ends with two digits, or as many as it takes to tell half of the way between them."""
    if low is None and high is None:
        return "no ends: too many builds like yours have no value"
    if low is None or high is None:
        return f"up to {rounded(high, 2)}" if low is None else f"{rounded(low, 2)} or more"
    largest = max(abs(low), abs(high))
    if high - low <= _ROUNDING * largest:
        return rounded(high, 4)
    if low == round(low) and high == round(high) and largest < 100.0:
        return f"{low:.0f} to {high:.0f}"
    places = max(1 - math.floor(math.log10(largest)), -math.floor(math.log10(0.5 * (high - low))))
    return f"{_to_places(low, places)} to {_to_places(high, places)}"


def ends_or_least(value: float | None, low: float | None, high: float | None) -> str:
    """The same, after the plain answer where that lies below, because it takes a least value."""
    if value is None or low is None or value >= low:
        return two_ends(low, high)
    return f"at least {rounded(value, 2)}, {two_ends(low, high)}"


def _to_places(number: float, places: int) -> str:
    return f"{round(number, places) + 0.0:.{max(places, 0)}f}"


_ROUNDING = 1e-9


def summary_with_range(question: Question, document: Mapping[str, Any]) -> str:
    """The plain summary, and between which ends 9 in 10 builds like this one lie in what the question tells first."""
    said = [*_said(question, document)]
    first = str(document["summary"])
    for beginning in (first, first.partition(". ")[0].rstrip(".") + "."):
        for many in range(len(said), 0, -1):
            whole = " ".join([beginning, *said[:many]])
            if len(whole) <= LONGEST_SUMMARY:
                return whole
    return first


def _said(question: Question, document: Mapping[str, Any]) -> Iterator[str]:
    for _, target, share, judged in _of_recommended(document):
        if target == ALL_TARGETS:
            why = f"; it {judged.replace('_', ' ')}" if judged.startswith("depends") else ""
            yield f"It meets all targets in {round(100.0 * share)} of 100 builds like yours{why}."
    ranges = document["ranges"]
    name = next((name for name in (question.spoken, question.main) if name in ranges), None)
    if name is None or ranges[name] == [None, None]:
        return
    unit = result_named(name).unit(document["units"])
    what = label_of(name)
    ends = ends_or_least(document["result"][name], *ranges[name])
    yield f"9 in 10 builds like yours: {what} {ends} {unit}".rstrip() + "."
    low, high = ranges.get(CHANGE + name, (None, None))
    if low is not None and high is not None and low <= 0.0 <= high:
        yield "By it before and after cannot be told apart."
    for first in document["drivers"][name][:1]:
        if "narrower" not in first:
            return
        gain = "it could halve the range" if first["share"] >= _HALVES else "it would tell more"
        yield f"{first['narrower'].capitalize()}: {gain}."


def _of_recommended(document: Mapping[str, Any]) -> list[list[Any]]:
    """The rows of targets of the axle ratio that the plain answer recommends."""
    rows = document.get("targets", {"rows": []})["rows"]
    return [row for row in rows if row[0] == document["result"].get("recommended_ratio")]


def lines_of_ranges(document: Mapping[str, Any]) -> Iterator[str]:
    """What must be said of all ranges together, and of words and gears that not all builds like this one share."""
    if not document.get("ranges") or "drivers" not in document:
        return
    yield "ranges: 9 in 10 builds like yours lie between the ends"
    for name, shares in document["shares"].items():
        told = [(word, round(100.0 * share)) for word, share in _most_first(shares)]
        some = [f"{word} {many}" for word, many in told if many]
        if name in document["result"] and len(some) > 1:
            yield f"{label_of(name)}, in 100 builds: {', '.join(some)}"
    for ratio, target, share, judged in _of_recommended(document):
        told = judged.replace("_", " ")
        yield f"{rounded(ratio)}, {target}: {told}, in {round(100.0 * share)} of 100 builds"
    advice: dict[str, list[str]] = {}
    for name in document.get("head") or document["result"]:
        for driver in document["drivers"].get(name, [])[:1]:
            if "narrower" in driver:
                advice.setdefault(driver["narrower"], []).append(label_of(name))
    for what, names in advice.items():
        yield f"{what} to know better: {', '.join(names)}"


def _most_first(shares: Mapping[str, float]) -> list[tuple[str, float]]:
    return sorted(shares.items(), key=lambda told: -told[1])


def lines_of_tornado(document: Mapping[str, Any]) -> Iterator[str]:
    """What each input alone does to one number, a line an input."""
    bars = document.get("tornado")
    if not bars:
        return
    yield f"{label_of(bars['result'])}, with each input alone at its ends:"
    for field, low, high, at_low, at_high in bars["rows"]:
        step = f"{rounded(at_low, 3)} to {rounded(at_high, 3)} {bars['unit']}".rstrip()
        yield f"{label_of(field)} {low} to {high}: {step}"
