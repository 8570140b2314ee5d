"""Every combination of the varied fields of a build, computed block by block."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Source
from gearing_api.batch.columns import (
    CAUTIONS,
    AbsentKey,
    CautionKey,
    Given,
    Marks,
    Picks,
    Pool,
    answered,
    codes_by_row,
    errors_by_row,
    take,
)
from gearing_api.batch.comparison_plans import BLOCK, MEETS, Plan
from gearing_api.batch.parts import are_bundles
from gearing_api.batch.ranges import ends_of_rows, interleaved
from gearing_api.vehicle.targets import meets
from gearing_api.vocabulary import FieldError, result_named

_Key = TypeVar("_Key")

_LAID_OUT = 8
"""Blocks after which a varied field must come round for its values to be laid out once."""


@dataclass
class Block:
    """Some rows of a comparison, in the units of the plan, and why some of them were refused."""

    columns: dict[str, NDArray[Any]]
    cautions: dict[CautionKey, NDArray[np.bool_]] = field(default_factory=dict)
    faults: dict[int, list[FieldError]] = field(default_factory=dict)
    sources: dict[Source, None] = field(default_factory=dict)
    absent: dict[AbsentKey, Marks] = field(default_factory=dict)
    numbers: Picks = field(default_factory=lambda: np.zeros(0, np.intp))
    """Which combinations the rows are."""

    def with_codes(self) -> dict[str, NDArray[Any]]:
        """Return the columns and, after them, that of the codes of cautions."""
        return {**self.columns, CAUTIONS: codes_by_row(self.count, self.cautions, self.absent)}

    @property
    def count(self) -> int:
        """How many rows it has."""
        return len(next(iter(self.columns.values())))

    def told(self) -> dict[int, str]:
        """Sentences for the rows that were refused."""
        return errors_by_row(self.faults)

    def taken(self, order: Picks) -> "Block":
        """These of its rows, in this order."""
        return Block(
            {name: column[order] for name, column in self.columns.items()},
            {told: marks[order] for told, marks in self.cautions.items()},
            {new: self.faults[old] for new, old in enumerate(order.tolist()) if old in self.faults},
            self.sources,
            {key: marks[order] for key, marks in self.absent.items()},
            self.numbers[order],
        )


class _Cycle:
    """A varied field, row by row: each value for `stride` rows, all of them again after `period` rows.

    A block with one value computes with that value alone. Where the values come round soon they are laid out
    once, for a turn and a block, and a block is a slice of that.
    """

    def __init__(self, pool: Pool, label: NDArray[Any], stride: int, rows: range) -> None:
        self._pool, self._label, self._stride = pool, label, stride
        self._start, self._period = rows.start, stride * len(label)
        self._alone: tuple[int, Given] | None = None
        self._laid_out: tuple[Picks, NDArray[Any], Any] | None = None
        if len(label) > 1 and self._period <= _LAID_OUT * BLOCK < rows.stop - rows.start:
            picks = self._picks(rows.start, rows.start + self._period + BLOCK)
            self._laid_out = picks, label.take(picks), None if pool.mixed else pool.draw(picks)

    def rows(self, start: int, stop: int) -> tuple[Given, NDArray[Any]]:
        """The values of some rows, and what labels them."""
        first, count = (start - self._start) % self._period, stop - start
        turn, last = start // self._stride, (stop - 1) // self._stride
        if turn == last or len(self._label) == 1:
            place = turn % len(self._label)
            if self._pool.codes[place % self._pool.size] < 0:
                return Given(self._pool, np.full(count, place)), np.broadcast_to(
                    self._label[place : place + 1], count
                )
            if self._alone is None or self._alone[0] != place:
                self._alone = place, Given(self._pool.alone(place))
            return self._alone[1], np.broadcast_to(self._label[place : place + 1], count)
        if self._laid_out is None or count > BLOCK:
            picks = self._picks(start, stop)
            return Given(self._pool, picks), self._label.take(picks)
        picks, labels, column = self._laid_out
        rows = slice(first, first + count)
        return Given(self._pool, picks[rows], take(column, rows)), labels[rows]

    def _picks(self, start: int, stop: int) -> Picks:
        turns = np.arange(start // self._stride, (stop - 1) // self._stride + 1)
        firsts = np.maximum(turns * self._stride, start)
        return np.repeat(turns % len(self._label), np.diff(firsts, append=stop))


def _cycles(plan: Plan, rows: range) -> dict[str, dict[str, _Cycle]]:
    """The varied fields of a plan by key, the last the fastest; a key without fields has its labels alone."""
    cycles: dict[str, dict[str, _Cycle]] = {}
    stride = 1
    for key, label in reversed([*plan.labels.items()]):
        pools = {name: plan.pools[name] for name in plan.fields[key]} or {key: Pool(np.zeros(len(label)))}
        cycles[key] = {name: _Cycle(pool, label, stride, rows) for name, pool in pools.items()}
        stride *= len(label)
    return cycles


def block(
    plan: Plan, start: int, stop: int, cycles: Mapping[str, Mapping[str, _Cycle]] | None = None
) -> Block:
    """The combinations from `start` to before `stop`, in order; of those that miss a target none where it filters."""
    made = Block({}, numbers=np.arange(start, stop))
    varied: dict[str, Given] = {}
    by_key = _cycles(plan, range(start, stop)) if cycles is None else cycles
    for key in plan.labels:
        for name, cycle in by_key[key].items():
            varied[name], made.columns[key] = cycle.rows(start, stop)
    given = {name: varied.get(name) or Given(pool) for name, pool in plan.pools.items()}
    aims = {target.name for target in plan.targets}
    figures: dict[str, NDArray[Any]] = {}
    for question, names, wanted in plan.asked:
        used = {name: given[name] for name in names}
        rows = answered(question, used, stop - start, plan.system, wanted)
        results = rows.results
        figures |= {name: results[name] for name in wanted if name in aims}
        if plan.bands:
            raws = [{} if row - start in rows.faults else plan.raw(row) for row in range(start, stop)]
            results = interleaved(results, ends_of_rows(question, raws, plan.system, results))
        for name in [*results]:
            quantity, values = result_named(name).quantity, results.pop(name)  # the next has its memory
            made.columns[name] = values if quantity is None else quantity.out(values, plan.system)
        for told, marks in rows.cautions.items():
            made.cautions[told] = made.cautions[told] | marks if told in made.cautions else marks
        for row, faults in rows.faults.items():
            made.faults.setdefault(row, []).extend(faults)
        made.sources |= rows.sources
        made.absent |= rows.absent
    if not plan.targets:
        made.columns = {name: made.columns[name] for name in plan.columns}
        return made
    refused = np.isin(np.arange(stop - start), [*made.faults])
    met = np.array([target.met(figures[target.name]) for target in plan.targets])
    known = ~np.array([np.isnan(figures[target.name]) for target in plan.targets]).any(axis=0)
    words = meets(np.count_nonzero(met, axis=0), len(plan.targets)).astype(object)
    words[refused | ~known] = None
    made.columns[MEETS] = words
    made.columns = {name: made.columns[name] for name in plan.columns}
    return made.taken(np.flatnonzero(met.all(axis=0) | refused)) if plan.filters else made


def blocks(plan: Plan, size: int = BLOCK, start: int = 0, stop: int | None = None) -> Iterator[Block]:
    """The wanted rows from `start` to before `stop`, block by block; sorted where the plan says so."""
    end = plan.rows if stop is None else min(stop, plan.rows)
    left = plan.limit if plan.filters and plan.limit is not None else plan.count
    if not plan.sort:
        cycles = _cycles(plan, range(start, end))
        for first in range(start, end, size):
            made = block(plan, first, min(first + size, end), cycles)
            yield made if made.count <= left else made.taken(np.arange(left))
            left -= made.count
            if left <= 0:
                return
        return
    cycles = _cycles(plan, range(plan.count))
    whole = joined(
        block(plan, first, min(first + size, plan.count), cycles) for first in range(0, plan.count, size)
    )
    order = _order([(_keys(plan, whole, name), descending) for name, descending in plan.sort])
    end = min(end, left, order.size)
    for first in range(start, max(end, start + 1), size):
        yield whole.taken(order[first : min(first + size, end)])


def joined(parts: Iterable[Block]) -> Block:
    """Blocks that follow each other, as one."""
    found = list(parts)
    starts = np.cumsum([0, *(part.count for part in found)]).tolist()
    return Block(
        {name: np.concatenate([part.columns[name] for part in found]) for name in found[0].columns},
        _joined_marks([part.cautions for part in found], starts),
        {
            start + row: faults
            for start, part in zip(starts, found, strict=False)
            for row, faults in part.faults.items()
        },
        {source: None for part in found for source in part.sources},
        _joined_marks([part.absent for part in found], starts),
        np.concatenate([part.numbers for part in found]),
    )


def _joined_marks(parts: Sequence[Mapping[_Key, Marks]], starts: Sequence[int]) -> dict[_Key, Marks]:
    """The marks of blocks that follow each other, whose first rows are `starts`, with the end as the last."""
    found: dict[_Key, Marks] = {}
    for start, stop, part in zip(starts, starts[1:], parts, strict=False):
        for key, marks in part.items():
            found.setdefault(key, np.zeros(starts[-1], dtype=np.bool_))[start:stop] = marks
    return found


def _keys(plan: Plan, whole: Block, name: str) -> NDArray[Any]:
    """What the rows are sorted by: numbers of a varied field by their size, in whatever unit they came."""
    numbers = plan.pools[name].numbers if plan.fields.get(name) == [name] else None
    if numbers is None or are_bundles(plan.vary[name]):
        return whole.columns[name]
    axis = list(plan.labels).index(name)
    return numbers[np.unravel_index(whole.numbers, plan.shape)[axis]]


def _order(columns: Sequence[tuple[NDArray[Any], bool]]) -> Picks:
    """A stable order by the first column, then the next, each ascending or descending.

    What is not known comes last either way.
    """
    return np.lexsort([_ranks(*column) for column in reversed(columns)])


def _ranks(keys: NDArray[Any], descending: bool) -> NDArray[np.float64]:
    """Numbers in the order wanted, NaN for what is not known; words by letter."""
    if keys.dtype == object:
        unknown = np.array([key is None for key in keys], dtype=np.bool_)
        ranks = np.unique(np.array(["" if key is None else str(key) for key in keys]), return_inverse=True)[1]
        keys = np.where(unknown, np.nan, ranks.reshape(-1).astype(np.float64))
    return -keys if descending else keys
