"""What the draws of a build make of the results of a question: ends, what matters most, and shares."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Answer, Question, Value, absences
from gearing_api.build import Build, MixedColumn
from gearing_api.checkpoint import may_go_on
from gearing_api.mechanics.domain import Array, DomainError
from gearing_api.questions import answer_before, ask
from gearing_api.ranges.draws import COUNT, Drawn, Draws, Ends, Picks, drawn, draws_of, ranks_of
from gearing_api.ranges.drivers import LEAST_SHARE, Ranked, ranked, shares_of
from gearing_api.ranges.shapes import HIGH, LOW
from gearing_api.vocabulary import CHANGE, ORIGINAL, RESULTS, InvalidBuild, result_named

_MOST_VALUES = 12
_GLANCE = 20
_ROUNDING = 1e-9

Column = NDArray[Any]
Driver = tuple[str, float]
"""A field, and the share of the variance that it explains."""


@dataclass
class Outcomes:
    """The results of all draws: columns of 512, in SI.

    Numbers are +inf where there is no limit, -inf where no value does, NaN and words None where a draw has none
    for another reason. `lows` and `highs` differ where an answer tells a range already. `drawn` names the inputs
    that were drawn; one that stands in several parts has several.
    """

    results: dict[str, Column]
    lows: dict[str, Column] = field(default_factory=dict)
    highs: dict[str, Column] = field(default_factory=dict)
    drawn: set[Drawn] = field(default_factory=set)
    reasons: dict[str, dict[str, int]] = field(default_factory=dict)
    """By result, for how many draws it has no value, and why."""
    ratios: Array | None = None
    """Axle ratios that the question compares, if it does."""
    met: dict[str, NDArray[np.bool_]] = field(default_factory=dict)
    """By target, in which draws each of them meets it: draws, then ratios, on the axes."""

    def shares(self, name: str) -> dict[str, float]:
        """Share of the draws by what comes out, of words and of a few numbers; and without a value, by reason."""
        column = self.results[name]
        counts: dict[str, int] = {}
        if column.dtype == object:
            counts = dict(sorted((word, times) for word, times in Counter(column.tolist()).items() if word))
        elif _is_one_of_few(column):
            values, times = np.unique(column[np.isfinite(column)], return_counts=True)
            counts = {f"{value:.4g}": int(many) for value, many in zip(values, times, strict=True)}
        counts |= self.reasons.get(name, {})
        return {} if len(counts) < 2 else {told: count / COUNT for told, count in counts.items()}

    def ends(self, name: str) -> tuple[float, float]:
        """The 5 and 95 % points of a number, in SI; NaN where that end has no value."""
        low, high = (end.get(name, self.results[name]) for end in (self.lows, self.highs))
        return point(low, LOW), point(high, HIGH)

    def drivers_of(self, columns: Iterable[Column]) -> list[list[Driver]]:
        """The inputs that explain at least 5 % of the variance of each column, most first.

        Of the draws only those that have a number count, and none where less than half of them have.
        """
        rows = np.array([*columns], dtype=np.float64).reshape(-1, COUNT)
        known = np.isfinite(rows)
        whole = known.all(axis=1)
        found: list[list[Driver]] = [[] for _ in rows]
        names = sorted(self.drawn, key=str)
        _note(found, np.flatnonzero(whole), rows[whole], names, [*map(ranks_of, names)])
        for place in np.flatnonzero(~whole & (2 * np.count_nonzero(known, axis=1) > COUNT)):
            picks = np.flatnonzero(known[place])
            inputs = [ranked(draws_of(name)[picks]) for name in names]
            _note(found, np.array([place]), rows[place, picks][None, :], names, inputs)
        return found


def _note(
    found: list[list[Driver]], places: Picks, rows: Array, names: list[Drawn], inputs: list[Ranked]
) -> None:
    """Put the drivers of these rows into their places."""
    if not rows.size or not names:
        return
    moves = np.ptp(rows, axis=1) > _ROUNDING * np.abs(rows).max(axis=1)
    totals: dict[str, Array] = {}
    for (name, _), share in zip(names, shares_of(rows, inputs), strict=True):
        totals[name] = totals[name] + share if name in totals else share
    for row, place in enumerate(places.tolist()):
        told = [(name, float(share[row])) for name, share in totals.items() if share[row] >= LEAST_SHARE]
        found[place] = sorted(told, key=_most_first) if moves[row] else []


def _most_first(driver: Driver) -> tuple[float, str]:
    return -driver[1], driver[0]


def _is_one_of_few(column: Column) -> bool:
    """Whether the draws make a few numbers, such as gears or ratios on sale."""
    few = len(set(column[:_GLANCE].tolist())) <= _MOST_VALUES
    return few and np.unique(column[np.isfinite(column)]).size <= _MOST_VALUES


def point(column: Column, share: float) -> float:
    """The value below which that share of the draws lies, by one sort; NaN where the draws there have none.

    No limit counts as beyond every number and none does as below every number, so that they may be an end, which
    then has no value. Draws without a value for other reasons count at neither end: where they are more than an end
    holds, that end cannot be told.
    """
    ordered = np.sort(column)  # those that are NaN come last
    known = int(np.count_nonzero(~np.isnan(column)))
    if column.size - known > min(share, 1.0 - share) * column.size:
        return np.nan
    value = float(ordered[round(share * known - 0.5)])
    return value if np.isfinite(value) else np.nan


def outcomes(question: Question, build: Build, wanted: Iterable[str] | None = None) -> Outcomes:
    """What a question answers to each draw of a build.

    `wanted` are results, also with original_ or change_ in front; all results if not given, and these of the
    vehicle before the change where the build has one. A draw that the question refuses has no values.
    """
    names = [*question.results] if wanted is None else [*wanted]
    made = _blank_outcomes(names, COUNT)
    compared = wanted is None or any(name not in RESULTS for name in names)
    _answer_in_parts(question, build, Draws, COUNT, made, compared=compared)
    return made


Ats = dict[Drawn, tuple[float, float]]


def outcomes_at_ends(
    question: Question, build: Build, inputs: Sequence[Drawn], wanted: Iterable[str]
) -> tuple[Outcomes, Ats]:
    """The same where each input in turn stands at its 5 and 95 % points, two rows an input; and what it is there."""
    count = 2 * len(inputs)
    at: Ats = {}
    names = [*wanted]
    made = _blank_outcomes(names, count)
    compared = any(name not in RESULTS for name in names)
    _answer_in_parts(question, build, partial(Ends, inputs, at), count, made, compared=compared)
    return made, at


def _blank_outcomes(names: Iterable[str], count: int) -> Outcomes:
    plain = dict.fromkeys(result_named(name).name for name in names)
    numbers = {name: RESULTS[name].quantity is not None for name in plain}
    return Outcomes({name: np.full(count, np.nan if number else None) for name, number in numbers.items()})


def _answer_in_parts(
    question: Question,
    build: Build,
    draw: Callable[[Picks], Draws],
    count: int,
    made: Outcomes,
    *,
    compared: bool,
) -> None:
    """All draws, not too many at a time: work asks between the parts whether it may go on."""
    at_once = question.at_once(build.values.get)
    for start in range(0, count, at_once):
        may_go_on()
        _answer(question, build, draw, np.arange(start, min(start + at_once, count)), made, compared=compared)


def _answer(
    question: Question,
    build: Build,
    draw: Callable[[Picks], Draws],
    picks: Picks,
    made: Outcomes,
    *,
    compared: bool,
) -> None:
    draws = draw(picks)
    try:
        column = drawn(build, draws)
        answer = ask(question, column)
        before = answer_before(question, column) if compared else None
    except InvalidBuild as error:
        bad = np.arange(picks.size) if error.rows is None else error.rows
        _refuse(picks[bad], made)
        rest = [np.delete(picks, bad)]
    except MixedColumn as mixed:
        rest = [picks[mixed.where], picks[~mixed.where]]
    except DomainError:
        if picks.size == 1:
            _refuse(picks, made)
            return
        rest = np.array_split(picks, 2)  # to find the draws that it is about
    else:
        _take(answer, picks, made)
        if isinstance(before, Answer):
            _take_before(question, before, picks, made)
        made.drawn |= draws.drawn
        return
    for part in rest:
        if part.size:
            _answer(question, build, draw, part, made, compared=compared)


def _refuse(picks: Picks, made: Outcomes) -> None:
    for name in made.results:
        _count(made, name, "out of range", picks.size)


def _count(made: Outcomes, name: str, why: str, count: int) -> None:
    if count:
        reasons = made.reasons.setdefault(name, {})
        reasons[why] = reasons.get(why, 0) + count


def _take(answer: Answer, picks: Picks, made: Outcomes) -> None:
    for name, column in made.results.items():
        if name not in answer.result:
            continue
        value = answer.result[name]
        if value is not None:
            column[picks] = value
        for reason, where in absences(value, answer.why(name)):
            _count(made, name, reason.why, int(np.count_nonzero(np.broadcast_to(where, picks.shape))))
    _take_judged(answer, picks, made)
    for name, ends in answer.ranges.items():
        if name in made.results:
            for kept, end in zip((made.lows, made.highs), ends, strict=True):
                kept.setdefault(name, made.results[name].copy())[picks] = end


def _take_judged(answer: Answer, picks: Picks, made: Outcomes) -> None:
    """Which candidates meet each target, draw by draw; where all builds compare the same."""
    judged = None if answer.judged is None else answer.judged()
    if judged is None or judged.ratios.ndim > 1:
        return
    made.ratios = judged.ratios
    for name, met in judged.met.items():
        whole = made.met.setdefault(name, np.zeros((COUNT, judged.ratios.size), np.bool_))
        whole[picks] = met


def _take_before(question: Question, before: Answer, picks: Picks, made: Outcomes) -> None:
    """Results of the vehicle before the change, and by how much they differ, draw by draw."""
    for name in question.results:
        if RESULTS[name].against_original or RESULTS[name].quantity is None or name not in made.results:
            continue
        value: Value = before.result[name]
        column = made.results.setdefault(ORIGINAL + name, np.full(made.results[name].size, np.nan))
        column[picks] = np.nan if value is None else value
        change = made.results.setdefault(CHANGE + name, np.full(made.results[name].size, np.nan))
        with np.errstate(invalid="ignore"):
            change[picks] = made.results[name][picks] - column[picks]
