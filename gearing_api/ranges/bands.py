"""The ranges of an answer: between which ends each result lies, what matters most, and how the draws are shared."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Answer, Caution, Question, Value
from gearing_api.build import Build
from gearing_api.ranges.outcomes import Driver, Outcomes, outcomes
from gearing_api.vocabulary import CHANGE, ORIGINAL, RESULTS, result_named

LEAST_VALUES = frozenset(("inner_steel", "stub_steel"))
"""Inputs of which the plain answer takes a least value: it may lie below the range."""


_ROUNDING = 1e-9


class Met(NamedTuple):
    """In which share of the draws an axle ratio meets a target, or all of them; what decides it, most first."""

    ratio: float
    target: str
    share: float
    drivers: list[Driver]

    @property
    def judged(self) -> str:
        """met, missed, or on what it depends most."""
        if self.share >= SURE:
            return "met"
        if self.share <= 1.0 - SURE:
            return "missed"
        return f"depends on {self.drivers[0][0]}" if self.drivers else "depends"


ALL_TARGETS = "all targets"
SURE = 0.95
"""Share of the draws from which on a target counts as met, and up to whose rest as missed: judgement."""


class Bands(NamedTuple):
    """What the draws say, in SI, of the results that vary; results that are not named are exact.

    `drivers` are fields with the share of the variance that each explains, most first. `shares` are shares of the
    draws: of words and of a few numbers by what comes out, of others those without a value, by reason. `targets` are
    there where the question compares axle ratios.
    """

    ranges: Mapping[str, tuple[float, float]]
    drivers: Mapping[str, list[Driver]]
    shares: Mapping[str, dict[str, float]]
    outcomes: Outcomes
    targets: Sequence["Met"] = ()


def bands_of(
    question: Question,
    build: Build,
    answer: Answer,
    before: Answer | Caution | None = None,
    wanted: Iterable[str] | None = None,
) -> Bands:
    """The ranges of the plain answer to one build, and of the changes where there is an answer before.

    An answer that measures has ranges of its own, which say how well it was measured: nothing is drawn.
    """
    if question.measures:
        own = {name: (_number(low), _number(high)) for name, (low, high) in answer.ranges.items()}
        return Bands(own, {name: [] for name in own}, {}, Outcomes({}))
    made = outcomes(question, build, wanted)
    numbers = [name for name in made.results if result_named(name).quantity is not None]
    columns = {name: made.results[name] for name in numbers}
    moving = [name for name, column in columns.items() if _moves(column) or name in made.lows]
    drivers = dict(zip(moving, made.drivers_of(columns[name] for name in moving), strict=True))
    then = before if isinstance(before, Answer) else None
    ranges = {name: _around(made.ends(name), _plain(name, answer, then), drivers[name]) for name in moving}
    shares = {name: shares for name in made.results if (shares := made.shares(name))}
    return Bands(ranges, drivers, shares, made, _targets(made))


def _targets(made: Outcomes) -> list[Met]:
    """Each axle ratio against each target, and against all of them together."""
    if made.ratios is None or not made.met:
        return []
    met = made.met | {ALL_TARGETS: np.logical_and.reduce([*made.met.values()])}
    columns = [
        (ratio, name, whole[:, place])
        for place, ratio in enumerate(made.ratios.tolist())
        for name, whole in met.items()
    ]
    drivers = made.drivers_of([column.astype(np.float64) for _, _, column in columns])
    return [
        Met(ratio, name, float(column.mean()), found)
        for (ratio, name, column), found in zip(columns, drivers, strict=True)
    ]


def _moves(column: NDArray[np.float64]) -> bool:
    """Whether the draws differ; infinite ones too, but for those that are absent."""
    known = column[~np.isnan(column)]
    finite = known[np.isfinite(known)]
    if not finite.size:
        return False
    return finite.size < known.size or bool(np.ptp(finite) > _ROUNDING * np.abs(finite).max())


def _plain(name: str, answer: Answer, before: Answer | None) -> tuple[float, float]:
    """The ends that the plain answer tells: twice its value where it tells no range. NaN where it has none."""
    base = result_named(name).name
    if name in RESULTS:
        low, high = answer.ranges.get(name, (answer.result[name],) * 2)
        return _number(low), _number(high)
    then = np.nan if before is None else _number(before.result[base])
    value = then if name.startswith(ORIGINAL) else _number(answer.result[base]) - then
    assert name.startswith((ORIGINAL, CHANGE))
    return value, value


def _number(value: Value) -> float:
    return np.nan if value is None or isinstance(value, str) else float(value.item())


def _around(
    ends: tuple[float, float], plain: tuple[float, float], drivers: list[Driver]
) -> tuple[float, float]:
    """The ends, moved out to the plain answer where it lies beyond; not below, where it takes a least value."""
    low, high = ends
    if plain[0] < low and LEAST_VALUES.isdisjoint(name for name, _ in drivers):
        low = plain[0]
    return low, max(high, plain[1]) if np.isfinite(plain[1]) else high
