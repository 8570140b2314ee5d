"""Compute the combinations of a shortlist, rank them, and find the way from the first choices to the cheapest."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Question, Source
from gearing_api.batch.columns import CautionKey, Given, Picks, Rows, answered, reads
from gearing_api.batch.fronts import in_order, unbeaten
from gearing_api.batch.shortlist_plans import Key, ShortlistPlan
from gearing_api.checkpoint import may_go_on
from gearing_api.mechanics.domain import Array
from gearing_api.vocabulary import FieldError

_WORST = 1e6
"""What a shortfall counts for at the most among steps: one that is not known must not hide the others."""

_SLACK = 1e-14
"""Two ways that differ by so little are equally good: sums round by their order."""

Spreads = Mapping[str, float]
Faults = dict[tuple[str, str, str], tuple[FieldError, int, int]]
"""Reasons for a refusal, by field, detail and pointer: with the number of combinations, and the first."""

_MOST_FAULTS = 1_000


class Part(NamedTuple):
    """The answers of one question to the combinations that differ for it, and which of them each row has."""

    question: Question
    rows: Rows
    where: Picks


@dataclass
class Found:
    """Some combinations computed: their places in the plan, and each named figure in SI.

    Figures are +inf where there is no limit, -inf where no value does, NaN where they are not known.
    """

    plan: ShortlistPlan
    rows: Picks
    figures: dict[str, Array]
    parts: list[Part] = field(default_factory=list)
    refused: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, np.bool_))
    choices: dict[str, Picks] = field(default_factory=dict)
    """Which choice of each key each combination has."""

    @property
    def judged(self) -> NDArray[np.bool_]:
        """Mark the combinations whose named figures are all known."""
        known = ~self.refused
        for figures in self.figures.values():
            known &= ~np.isnan(figures)
        return known

    def spreads(self) -> dict[str, float]:
        """Return the spread of the finite figures of each target."""
        return {name: max(0.0, high - low) for name, (low, high) in self.ends().items()}

    def ends(self) -> dict[str, tuple[float, float]]:
        """Return the least and the greatest finite figure of each target; the other way round where there is none."""
        found = {}
        for target in self.plan.targets:
            known = self.figures[target.name][np.isfinite(self.figures[target.name])]
            found[target.name] = float(known.min(initial=np.inf)), float(known.max(initial=-np.inf))
        return found

    def met(self) -> NDArray[np.bool_]:
        """Mark which targets each combination meets, by target and row."""
        return np.array([target.met(self.figures[target.name]) for target in self.plan.targets]).reshape(
            len(self.plan.targets), self.rows.size
        )

    def shortfalls(self, spreads: Spreads) -> Array:
        """Return by how much each combination misses each target, in parts of it, by target and row."""
        return np.array(
            [
                target.shortfall(self.figures[target.name], spreads[target.name])
                for target in self.plan.targets
            ]
        ).reshape(len(self.plan.targets), self.rows.size)

    def wishes(self, rows: Picks) -> list[Array]:
        """Return the figures of the aims of some rows, the least the best."""
        return [
            self.figures[name][rows] * (1.0 if aim == "low" else -1.0) for name, aim in self.plan.aims.items()
        ]

    def cautions(self) -> dict[CautionKey, int]:
        """Return all cautions with the number of combinations that have them."""
        found: dict[CautionKey, NDArray[np.bool_]] = {}
        for part in self.parts:
            for key, marks in part.rows.cautions.items():
                found[key] = found.get(key, False) | marks[part.where]
        return {key: int(np.count_nonzero(marks)) for key, marks in found.items()}

    def unread(self) -> Iterator[tuple[FieldError, NDArray[np.bool_]]]:
        """Yield the refused values of choices, of use to a question or not, with the combinations that have them."""
        for key in self.plan.keys:
            for pool in key.pools.values():
                for place, fault in pool.faults.items():
                    yield fault, self.choices[key.name] == place

    def faults(self) -> Faults:
        """Return each reason why combinations were refused, with their number and the first of them."""
        reasons: dict[tuple[str, str, str], tuple[FieldError, NDArray[np.bool_]]] = {}
        for part in self.parts:
            told: dict[tuple[str, str, str], NDArray[np.bool_]] = {}
            for place, faults in part.rows.faults.items():
                for fault in faults:
                    key = fault.field, fault.detail, fault.pointer
                    if key not in told and len(reasons) < _MOST_FAULTS:
                        told[key] = np.zeros(part.rows.count, np.bool_)
                        reasons.setdefault(key, (fault, np.zeros(self.rows.size, np.bool_)))
                    if key in told:
                        told[key][place] = True
            for key, marks in told.items():
                reasons[key][1][:] |= marks[part.where]
        for fault, rows in self.unread():
            if len(reasons) < _MOST_FAULTS:
                key = fault.field, fault.detail, fault.pointer
                reasons.setdefault(key, (fault, np.zeros(self.rows.size, np.bool_)))[1][:] |= rows
        return {
            key: (fault, int(np.count_nonzero(marks)), int(self.rows[np.argmax(marks)]))
            for key, (fault, marks) in reasons.items()
        }


def evaluate(plan: ShortlistPlan, rows: Picks, most_combinations: int | None = None) -> Found:
    """Compute some combinations, which are counted with the last key the fastest.

    A question is asked only once about combinations that are alike in what it reads.

    Raises
    ------
    TooVaried
        If they give their fields in more combinations than `most_combinations`.
    """
    choices = dict(zip((key.name for key in plan.keys), np.unravel_index(rows, plan.shape), strict=True))
    found = Found(plan, rows, {}, refused=np.zeros(rows.size, np.bool_), choices=choices)
    for _, refused in found.unread():
        found.refused |= refused
    for name in plan.sums:
        found.figures[name] = _added([key.sums[name][choices[key.name]] for key in plan.keys])
    for question in plan.questions:
        read = [key for key in plan.keys if any(reads(question, name) for name in key.pools)]
        part = _ask(plan, question, read, [choices[key.name] for key in read], rows.size, most_combinations)
        found.parts.append(part)
        found.figures |= {name: column[part.where] for name, column in part.rows.results.items()}
        if part.rows.faults:
            bad = np.zeros(part.rows.count, np.bool_)
            bad[[*part.rows.faults]] = True
            found.refused |= bad[part.where]
    return found


def _added(parts: list[Array]) -> Array:
    return np.asarray(np.cumsum(np.array(parts), axis=0)[-1])


def _ask(
    plan: ShortlistPlan,
    question: Question,
    keys: list[Key],
    choices: list[Picks],
    count: int,
    most_combinations: int | None,
) -> Part:
    """Ask one question about each distinct combination of the keys that it reads."""
    shape = tuple(len(key.choices) for key in keys)
    if keys:
        distinct, where = np.unique(np.ravel_multi_index(choices, shape), return_inverse=True)
        places = np.unravel_index(distinct, shape)
    else:
        distinct, where, places = np.zeros(1, np.intp), np.zeros(count, np.intp), ()
    given = {name: Given(pool) for name, pool in plan.build.items() if reads(question, name)}
    for key, picks in zip(keys, places, strict=True):
        given |= {name: Given(pool, picks) for name, pool in key.pools.items() if reads(question, name)}
    wanted = [name for name in plan.results if name in question.results]
    made = answered(question, given, distinct.size, plan.system, wanted, None, most_combinations)
    return Part(question, made, where.reshape(-1))


@dataclass
class Ranking:
    """What is known of some combinations: the counts, and the rows that may be shown.

    `kept` are rows that meet all targets and that no other of these rows beats, `nearest` those that miss by
    least where none meets all, `others` those that lack a figure; all are numbers of combinations. `keys` are
    what they are ordered by, one array for each, the least first: those of `kept` are the aims.
    """

    plan: ShortlistPlan
    count: int
    refused: int
    unjudged: int
    meeting: int
    kept: Picks
    kept_keys: list[Array]
    nearest: Picks
    nearest_keys: list[Array]
    others: Picks
    cheapest: Picks
    cheapest_keys: list[Array]
    ends: dict[str, tuple[float, float]]
    cautions: dict[CautionKey, int]
    faults: Faults
    sources: dict[Source, None]

    @property
    def beaten(self) -> int:
        """How many of the rows that meet all targets are beaten by others."""
        return self.meeting - self.kept.size

    @property
    def spreads(self) -> dict[str, float]:
        """The spread of the finite figures of each target."""
        return {name: max(0.0, high - low) for name, (low, high) in self.ends.items()}

    @property
    def missing(self) -> bool:
        """Whether no row meets all targets."""
        return self.meeting == 0

    @property
    def rows(self) -> Picks:
        """The rows in order, as many as are to be shown."""
        best = self.nearest if self.missing else self.kept
        return np.concatenate([best, self.others])[: self.plan.show]

    @property
    def rivals(self) -> list[int]:
        """The best row in each aim among those that are kept, or shown where none meets all."""
        if self.missing:
            rows, keys = self.nearest, self.nearest_keys[_MISSES:]
        else:
            rows, keys = self.kept, self.kept_keys
        return [int(rows[np.argmin(key)]) for key in keys] if rows.size else []


def ranking(
    plan: ShortlistPlan,
    start: int,
    stop: int,
    most_combinations: int | None = None,
    spreads: Spreads | None = None,
) -> Ranking:
    """Compute and order the combinations from `start` to before `stop`.

    Those that meet all targets stand by their aims, the first aim first, without those that others beat. Where
    none meets all, those come first that miss the fewest, then by the largest shortfall, then by the sum of the
    shortfalls, then by the aims. `spreads` are those of all combinations, where these are not all.

    Raises
    ------
    TooVaried
        If they give their fields in more combinations than `most_combinations`.
    """
    found = evaluate(plan, np.arange(start, stop), most_combinations)
    all_judged = found.judged
    judged = np.flatnonzero(all_judged)
    others = np.flatnonzero(~all_judged & ~found.refused)
    meeting = judged[found.met()[:, judged].all(axis=0)]
    kept = meeting[unbeaten(found.wishes(meeting), meeting.size)]
    kept = kept[in_order(found.wishes(kept), kept.size)]
    near = judged[:0] if meeting.size else judged
    near_keys = _distances(found, near, found.spreads() if spreads is None else spreads)
    first = in_order(near_keys, near.size)[: plan.show]
    cheapest = meeting if plan.sums else meeting[:0]
    cheapest_keys = _costs(found, cheapest)
    least = in_order(cheapest_keys, cheapest.size)[:1]
    return Ranking(
        plan,
        stop - start,
        int(np.count_nonzero(found.refused)),
        others.size,
        meeting.size,
        start + kept,
        found.wishes(kept),
        start + near[first],
        [key[first] for key in near_keys],
        start + others[: plan.show],
        start + cheapest[least],
        [key[least] for key in cheapest_keys],
        found.ends(),
        found.cautions(),
        found.faults(),
        dict.fromkeys(source for part in found.parts for source in part.rows.sources),
    )


def _costs(found: Found, rows: Picks) -> list[Array]:
    """Return what the cheapest row is found by: the first sum, then the aims, then the other sums."""
    sums = [found.figures[name][rows] for name in found.plan.sums]
    return [*sums[:1], *found.wishes(rows), *sums[1:]]


_MISSES = 3
"""Keys that say how far a row is from the targets; those after them are the aims."""


def _distances(found: Found, rows: Picks, spreads: Spreads) -> list[Array]:
    """Return what rows that miss targets are ordered by."""
    short = found.shortfalls(spreads)[:, rows]
    if not short.size:
        none = np.zeros(rows.size)
        return [none, none, none, *found.wishes(rows)]
    total = np.cumsum(short, axis=0)[-1]
    return [np.count_nonzero(short > 0.0, axis=0), short.max(axis=0), total, *found.wishes(rows)]


def joined(one: Ranking, other: Ranking) -> Ranking:
    """Return what is known of the combinations of both; it does not matter which come first."""
    plan = one.plan
    kept = np.concatenate([one.kept, other.kept])
    kept_keys = _end_to_end(one.kept_keys, other.kept_keys)
    places = np.flatnonzero(unbeaten(kept_keys, kept.size))
    order = places[in_order([key[places] for key in (*kept_keys, kept)], places.size)]
    nearest = np.concatenate([one.nearest, other.nearest])
    near_keys = _end_to_end(one.nearest_keys, other.nearest_keys)
    near = in_order([*near_keys, nearest], nearest.size)[
        : plan.show if not one.meeting + other.meeting else 0
    ]
    cheapest = np.concatenate([one.cheapest, other.cheapest])
    cost_keys = _end_to_end(one.cheapest_keys, other.cheapest_keys)
    least = in_order([*cost_keys, cheapest], cheapest.size)[:1]
    return Ranking(
        plan,
        one.count + other.count,
        one.refused + other.refused,
        one.unjudged + other.unjudged,
        one.meeting + other.meeting,
        kept[order],
        [key[order] for key in kept_keys],
        nearest[near],
        [key[near] for key in near_keys],
        np.sort(np.concatenate([one.others, other.others]))[: plan.show],
        cheapest[least],
        [key[least] for key in cost_keys],
        {name: _wider(ends, other.ends[name]) for name, ends in one.ends.items()},
        {
            key: one.cautions.get(key, 0) + other.cautions.get(key, 0)
            for key in {**one.cautions, **other.cautions}
        },
        _faults_of_both(one.faults, other.faults),
        one.sources | other.sources,
    )


def _end_to_end(one: list[Array], other: list[Array]) -> list[Array]:
    return [np.concatenate(pair) for pair in zip(one, other, strict=True)]


def _wider(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    return min(one[0], other[0]), max(one[1], other[1])


def _faults_of_both(one: Faults, other: Faults) -> Faults:
    found = dict(one)
    for key, (fault, count, first) in other.items():
        before = found.get(key)
        if before is not None:
            found[key] = fault, before[1] + count, min(before[2], first)
        elif len(found) < _MOST_FAULTS:
            found[key] = fault, count, first
    return found


class Step(NamedTuple):
    """One change on the way: the key that changes, and the combination after it."""

    key: Key
    row: int


def steps(plan: ShortlistPlan, end: int, spreads: Spreads) -> list[Step]:
    """Return the order of single changes from the first choice of each key to the combination `end`.

    It is the order in which the largest shortfalls after each step add up to the least, then the one in which
    the cheapest changes come first.
    """
    keys = [(key, place) for key, place in plan.chosen(end) if place]
    strides = {
        key.name: int(np.cumprod((1, *plan.shape[place + 1 :]))[-1]) for place, key in enumerate(plan.keys)
    }
    moves = np.array([place * strides[key.name] for key, place in keys], dtype=np.int64)
    sets = np.arange(1 << len(keys))
    inside = [(sets >> place) & 1 == 1 for place in range(len(keys))]
    rows = np.zeros(sets.size, np.int64)
    for place, move in enumerate(moves.tolist()):
        rows += np.where(inside[place], move, 0)
    short = evaluate(plan, rows).shortfalls(spreads)
    largest = np.minimum(short.max(axis=0), _WORST) if short.size else np.zeros(sets.size)
    prices = [float(_price(plan, key, place)) for key, place in keys]
    return [Step(keys[place][0], int(rows[after])) for place, after in _order(largest, prices)]


def _price(plan: ShortlistPlan, key: Key, place: int) -> float:
    return float(key.sums[plan.sums[0]][place] - key.sums[plan.sums[0]][0]) if plan.sums else 0.0


def _order(largest: Array, prices: list[float]) -> Iterator[tuple[int, int]]:
    """Yield each change with the set of changes made after it, by the least sum of what stands at each set.

    Sets of changes are numbers whose bits are the changes made. Among the best orders the one goes on that has
    the least price next; of several such, all go on.
    """
    every = largest.size - 1
    to_go = np.zeros(largest.size)
    by_size = np.array([int(number).bit_count() for number in range(largest.size)])
    for size in range(len(prices) - 1, -1, -1):
        may_go_on()
        for made in np.flatnonzero(by_size == size).tolist():
            to_go[made] = min(largest[then] + to_go[then] for _, then in _next(made, len(prices)))
    came: dict[int, tuple[int, int]] = {}
    front = [0]
    while front != [every]:
        best = [
            (prices[place], place, made, then)
            for made in front
            for place, then in _next(made, len(prices))
            if largest[then] + to_go[then] <= to_go[made] * (1.0 + _SLACK) + _SLACK
        ]
        least = min(price for price, *_ in best)
        front = []
        for price, place, made, then in sorted(best):
            if price == least and then not in front:
                came[then] = place, made
                front.append(then)
    taken: list[tuple[int, int]] = []
    made = every
    while made:
        place, before = came[made]
        taken.append((place, made))
        made = before
    yield from reversed(taken)


def _next(made: int, count: int) -> Iterable[tuple[int, int]]:
    return ((place, made | 1 << place) for place in range(count) if not made >> place & 1)
