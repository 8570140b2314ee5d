"""Compute the combinations of a shortlist, rank them, and find the way from the first choices to the cheapest."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Question
from gearing_api.batch.columns import Given, Picks, Rows, answered, reads
from gearing_api.batch.fronts import in_order, unbeaten
from gearing_api.batch.shortlist_plans import Key, ShortlistPlan
from gearing_api.checkpoint import may_go_on
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle import targets
from gearing_api.vocabulary import FieldError

_WORST = 1e6
"""What a shortfall counts for at the most among steps: one that is not known must not hide the others."""

_SLACK = 1e-14
"""Two ways that differ by so little are equally good: sums round by their order."""

Spreads = Mapping[str, float]


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

    @property
    def judged(self) -> NDArray[np.bool_]:
        """Mark the combinations whose named figures are all known."""
        known = ~self.refused
        for figures in self.figures.values():
            known &= ~np.isnan(figures)
        return known

    def spreads(self) -> dict[str, float]:
        """Return the spread of the finite figures of each target."""
        return {target.name: float(targets.spread(self.figures[target.name])) for target in self.plan.targets}

    def met(self) -> NDArray[np.bool_]:
        """Mark which targets each combination meets, by target and row."""
        return np.array(
            [
                targets.met(self.figures[target.name], *_ends(target.least, target.most))
                for target in self.plan.targets
            ]
        ).reshape(len(self.plan.targets), self.rows.size)

    def shortfalls(self, spreads: Spreads) -> Array:
        """Return by how much each combination misses each target, in parts of it, by target and row."""
        return np.array(
            [
                targets.shortfall(
                    self.figures[target.name],
                    *_ends(target.least, target.most),
                    np.array(spreads[target.name]),
                )
                for target in self.plan.targets
            ]
        ).reshape(len(self.plan.targets), self.rows.size)

    def wishes(self, rows: Picks) -> list[Array]:
        """Return the figures of the aims of some rows, the least the best."""
        return [
            self.figures[name][rows] * (1.0 if aim == "low" else -1.0) for name, aim in self.plan.aims.items()
        ]

    def faults(self) -> Iterator[tuple[FieldError, Picks]]:
        """Yield each reason why combinations were refused, with these."""
        reasons: dict[tuple[str, str, str], tuple[FieldError, list[Picks]]] = {}
        for part in self.parts:
            for place, faults in part.rows.faults.items():
                rows = np.flatnonzero(part.where == place)
                for fault in faults:
                    key = fault.field, fault.detail, fault.pointer
                    reasons.setdefault(key, (fault, []))[1].append(rows)
        for fault, places in reasons.values():
            yield fault, np.unique(np.concatenate(places))


def _ends(least: float | None, most: float | None) -> tuple[Array | None, Array | None]:
    return None if least is None else np.array(least), None if most is None else np.array(most)


def evaluate(plan: ShortlistPlan, rows: Picks, most_combinations: int | None = None) -> Found:
    """Compute some combinations, which are counted with the last key the fastest.

    A question is asked only once about combinations that are alike in what it reads.

    Raises
    ------
    TooVaried
        If they give their fields in more combinations than `most_combinations`.
    """
    choices = dict(zip((key.name for key in plan.keys), np.unravel_index(rows, plan.shape), strict=True))
    found = Found(plan, rows, {}, refused=np.zeros(rows.size, np.bool_))
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


@dataclass(frozen=True)
class Ranked:
    """Which rows stand in the list, best first, and how many others there are.

    `rows` are places in `Found`; the last of them, `unjudged` in number, lack a figure. `meeting` counts the
    rows that meet all targets, `beaten` those of them that others beat. `cheapest` is the place of the row
    with the lowest first sum that meets all.
    """

    rows: Picks
    meeting: int
    beaten: int
    missing: bool
    cheapest: int | None


def rank(found: Found, spreads: Spreads) -> Ranked:
    """Order the combinations.

    Those that meet all targets stand by their aims, the first aim first, without those that others beat. Where
    none meets all, those come first that miss the fewest, then by the largest shortfall, then by the sum of the
    shortfalls, then by the aims.
    """
    judged = np.flatnonzero(found.judged)
    others = np.flatnonzero(~found.judged & ~found.refused)
    meeting = judged[found.met()[:, judged].all(axis=0)]
    if not meeting.size:
        nearest = judged[_by_nearness(found, judged, spreads)]
        return Ranked(np.concatenate([nearest, others]), 0, 0, True, None)
    kept = meeting[unbeaten(found.wishes(meeting), meeting.size)]
    best = kept[in_order(found.wishes(kept), kept.size)]
    cheapest = _cheapest(found, meeting) if found.plan.sums else None
    rows = np.concatenate([best, others])
    return Ranked(rows, meeting.size, meeting.size - kept.size, False, cheapest)


def _by_nearness(found: Found, rows: Picks, spreads: Spreads) -> Picks:
    short = found.shortfalls(spreads)[:, rows]
    if not short.size:
        return np.arange(rows.size)
    keys = [np.count_nonzero(short > 0.0, axis=0), short.max(axis=0), np.cumsum(short, axis=0)[-1]]
    return in_order([*keys, *found.wishes(rows)], rows.size)


def _cheapest(found: Found, meeting: Picks) -> int:
    """Return the row with the least first sum, then by the aims, then by the other sums."""
    sums = [found.figures[name][meeting] for name in found.plan.sums]
    return int(meeting[in_order([sums[0], *found.wishes(meeting), *sums[1:]], meeting.size)[0]])


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
