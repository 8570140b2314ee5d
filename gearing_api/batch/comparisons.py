"""Every combination of the varied fields of a build, computed block by block."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Question, Source
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
    read_value,
    reads,
    take,
)
from gearing_api.batch.ranges import ends_of_rows, interleaved, with_ends
from gearing_api.build import is_known
from gearing_api.checkpoint import may_go_on
from gearing_api.questions import OWNERS, needed
from gearing_api.units import SYSTEMS, System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    FieldError,
    InvalidBuild,
    hint,
    pointer,
    result_named,
    unknown_field,
    with_originals_named,
)

_Key = TypeVar("_Key")

BLOCK = 10_000
"""Rows at a time: few enough to stay in the processor's cache, and to keep other requests waiting no longer
than they notice."""

MOST_HINTS = 5
"""Names for which the nearest known one is looked for, which takes time."""

_MOST_REFUSED = 100

_LAID_OUT = 8
"""Blocks after which a varied field must come round for its values to be laid out once."""

MOST_COMBINATIONS = 1 << 62
"""Combinations that can still be counted off."""

_SHAPES: dict[str, tuple[type, str]] = {
    "build": (dict, "an object of fields"),
    "vary": (dict, "an object of fields, each with a list of values"),
    "report": (list, "a list of result names"),
}
_MEMBERS = (*_SHAPES, "sort", "limit", "units")


@dataclass(frozen=True)
class Plan:
    """What is compared: the fields that vary, first slowest, and the results reported.

    `labels` are the varied values as they came, for the table. `limit` is the most rows wanted. `build` and `vary`
    are what was read, for the draws where `bands` are wanted.
    """

    system: System
    pools: Mapping[str, Pool]
    labels: Mapping[str, NDArray[Any]]
    report: tuple[str, ...]
    sort: str | None
    descending: bool
    limit: int | None
    build: Mapping[str, Any]
    vary: Mapping[str, Sequence[Any]]
    bands: bool = False

    @property
    def shape(self) -> tuple[int, ...]:
        """How many values each varied field has."""
        return tuple(len(values) for values in self.labels.values())

    @property
    def count(self) -> int:
        """How many combinations there are."""
        return math.prod(self.shape)

    @property
    def rows(self) -> int:
        """How many rows are wanted."""
        return self.count if self.limit is None else min(self.count, self.limit)

    @property
    def combinations(self) -> int:
        """In how many groups its builds are computed: of those that differ in form, in each block."""
        forms = math.prod(np.unique(self.pools[name].codes).size for name in self.labels)
        count = self.rows if self.sort is None else self.count
        return min(forms * -(-count // BLOCK), count) if forms > 1 else 1

    @property
    def columns(self) -> tuple[str, ...]:
        """The varied fields, then the results, with their ends where they are wanted."""
        return (*self.labels, *(with_ends(self.report) if self.bands else self.report))

    def unit(self, name: str) -> str:
        """The unit of a column; the varied fields stand as they came."""
        return "" if name in self.labels else result_named(name).unit(self.system)

    def raw(self, row: int) -> dict[str, Any]:
        """The fields of one row as they came."""
        places = zip(self.labels, np.unravel_index(row, self.shape), strict=True)
        return {**self.build, **{name: self.vary[name][int(place)] for name, place in places}}


@dataclass
class Block:
    """Some rows of a comparison, in the units of the plan, and why some of them were refused."""

    columns: dict[str, NDArray[Any]]
    cautions: dict[CautionKey, NDArray[np.bool_]] = field(default_factory=dict)
    faults: dict[int, list[FieldError]] = field(default_factory=dict)
    sources: dict[Source, None] = field(default_factory=dict)
    absent: dict[AbsentKey, Marks] = field(default_factory=dict)

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
        )


class TooManyCells(ValueError):
    """A plan that makes more cells than may be computed."""

    def __init__(self, rows: int, columns: int) -> None:
        self.rows, self.columns, self.cells = rows, columns, rows * columns
        super().__init__(f"{rows} rows x {columns} columns = {self.cells} cells")


def read_plan(raw: Mapping[str, Any], most_cells: int | None = None) -> Plan:
    """A plan from its wire form.

    Raises
    ------
    InvalidBuild
        If a member is missing or not known, or a value is refused.
    TooManyCells
        If it makes more of them. No value has been read then.
    """
    _refuse(_misshapen(raw))
    build, vary, report = with_originals_named(raw["build"], "/build"), raw["vary"], raw["report"]
    _refuse([*_misnamed(build, vary), *_not_reported(report, vary)])
    system: System = raw.get("units", "us")
    sort, limit = raw.get("sort"), raw.get("limit")
    columns = {*vary, *report}
    rows = math.prod(map(len, vary.values()))
    if sort is None and type(limit) is int and limit > 0:
        rows = min(rows, limit)
    if most_cells is not None and rows * len(columns) > most_cells:
        raise TooManyCells(rows, len(columns))
    faults = [*_unmet(report, {*build, *vary}, system), *_unsorted(sort, columns), *_unlimited(limit)]
    pools = {name: _pool(name, [(pointer("build", name), value)], system) for name, value in build.items()}
    for name, values in vary.items():
        places = ((pointer("vary", name, place), value) for place, value in enumerate(values))
        pools[name] = _pool(name, places, system)
    _refuse([*faults, *(fault for pool in pools.values() for fault in pool.faults.values())])
    return Plan(
        system,
        pools,
        labels(vary),
        tuple(dict.fromkeys(report)),
        None if sort is None else sort.removeprefix("-"),
        sort is not None and sort.startswith("-"),
        limit,
        build,
        vary,
    )


def _refuse(faults: Iterable[FieldError]) -> None:
    found = list(faults)
    if found:
        raise InvalidBuild(found)


def _misshapen(raw: Mapping[str, Any]) -> Iterator[FieldError]:
    if not isinstance(raw, dict):
        yield FieldError("plan", "must be an object with " + ", ".join(_SHAPES))
        return
    for name in raw:
        if name not in _MEMBERS:
            yield FieldError(name, "is no member of a comparison: these are " + ", ".join(_MEMBERS))
    for name, (shape, accepted) in _SHAPES.items():
        if not isinstance(raw.get(name), shape):
            yield FieldError(name, f"must be {accepted}")
        elif not raw[name] and name != "build":
            yield FieldError(name, "must not be empty")
    if raw.get("units", "us") not in SYSTEMS:
        yield FieldError("units", "must be us or metric", raw["units"])


def _misnamed(build: Mapping[str, Any], vary: Mapping[str, Any]) -> Iterator[FieldError]:
    if len(build) + len(vary) > len(ALL_FIELDS):
        yield FieldError(
            "build", f"and vary have {len(build) + len(vary)} names: all fields are {len(ALL_FIELDS)}"
        )
        return
    for member, names in (("build", build), ("vary", vary)):
        unknown = [name for name in names if name not in ALL_FIELDS]
        for place, name in enumerate(unknown):
            yield replace(unknown_field(name, close=place < MOST_HINTS), pointer=pointer(member, name))
    for name, values in vary.items():
        if name in build:
            yield FieldError(
                name, "is both in build and in vary: put it into one", pointer=pointer("vary", name)
            )
        if not isinstance(values, list) or not values:
            yield FieldError(name, "must have a list of values to vary", pointer=pointer("vary", name))
    combinations = math.prod(len(values) for values in vary.values() if isinstance(values, list))
    if combinations > MOST_COMBINATIONS:
        yield FieldError(
            "vary", f"makes {combinations:.3g} combinations: that is more than can be counted off"
        )


def _not_reported(names: list[Any], vary: Mapping[str, Any]) -> Iterator[FieldError]:
    if len(names) > len(OWNERS):
        yield FieldError("report", f"has {len(names)} names: all results are {len(OWNERS)}")
        return
    for place, name in enumerate(names):
        if not isinstance(name, str) or name not in OWNERS:
            near = hint(str(name), OWNERS if place < MOST_HINTS else ())
            detail = f"names no result of any question{near}"
            yield FieldError("report", detail, str(name), pointer("report", place))
        elif name in vary:
            yield FieldError(
                "report", f"names {name}, which is varied: leave it out", name, pointer("report", place)
            )


def _unmet(report: list[str], given: set[str], system: System) -> Iterator[FieldError]:
    for question in _asked(report):
        for name in question.needs:
            if not is_known(name, given):
                yield replace(needed(name, question, system), pointer=pointer("build", name))


def _unsorted(sort: object, columns: set[str]) -> Iterator[FieldError]:
    if sort is not None and not (isinstance(sort, str) and sort.removeprefix("-") in columns):
        detail = "must be a varied field or a reported result, with - before it for descending order"
        yield FieldError("sort", detail + hint(str(sort).removeprefix("-"), ()), sort)


def _unlimited(limit: object) -> Iterator[FieldError]:
    if limit is not None and (isinstance(limit, bool) or not isinstance(limit, int) or limit < 1):
        yield FieldError("limit", "must be a whole number of rows, 1 or more", limit)


def _pool(name: str, values: Iterable[tuple[str, Any]], system: System) -> Pool:
    """The values read, each of them given with its pointer; no further than to so many that are refused."""
    read: list[Any] = []
    refused = 0
    for where, value in values:
        if refused > _MOST_REFUSED:
            break
        if len(read) % 1_000 == 0:
            may_go_on()
        read.append(read_value(name, value, system, where))
        refused += isinstance(read[-1], FieldError)
    return Pool(read)


def labels(vary: Mapping[str, list[Any]]) -> dict[str, NDArray[Any]]:
    """The varied values as they came: columns of numbers, or of whatever they are."""
    return {name: _label(values) for name, values in vary.items()}


def _label(values: list[Any]) -> NDArray[Any]:
    if all(type(value) in (int, float) for value in values):
        return np.array(values, dtype=np.float64)
    label = np.empty(len(values), dtype=object)
    label[:] = [_frozen(value) for value in values]
    return label


def _frozen(value: Any) -> Any:
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def _asked(report: Iterable[str]) -> list[Question]:
    """The questions that own these results."""
    return list({OWNERS[name].name: OWNERS[name] for name in report}.values())


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


def _cycles(plan: Plan, rows: range) -> dict[str, _Cycle]:
    """The varied fields of a plan, the last the fastest."""
    cycles: dict[str, _Cycle] = {}
    stride = 1
    for name, label in reversed([*plan.labels.items()]):
        cycles[name] = _Cycle(plan.pools[name], label, stride, rows)
        stride *= len(label)
    return cycles


def block(plan: Plan, start: int, stop: int, cycles: Mapping[str, _Cycle] | None = None) -> Block:
    """The combinations from `start` to before `stop`, in order."""
    now = {
        name: cycle.rows(start, stop)
        for name, cycle in (_cycles(plan, range(start, stop)) if cycles is None else cycles).items()
    }
    made = Block({name: now[name][1] for name in plan.labels})
    given = {name: now[name][0] if name in now else Given(pool) for name, pool in plan.pools.items()}
    for question in _asked(plan.report):
        used = {name: one for name, one in given.items() if reads(question, name)}
        wanted = [name for name in plan.report if OWNERS[name] is question]
        rows = answered(question, used, stop - start, plan.system, wanted)
        results = rows.results
        if plan.bands:
            raws = [{} if row - start in rows.faults else plan.raw(row) for row in range(start, stop)]
            results = interleaved(results, ends_of_rows(question, raws, plan.system, results))
        for name, values in results.items():
            quantity = result_named(name).quantity
            made.columns[name] = values if quantity is None else quantity.out(values, plan.system)
        for told, marks in rows.cautions.items():
            made.cautions[told] = made.cautions[told] | marks if told in made.cautions else marks
        for row, faults in rows.faults.items():
            made.faults.setdefault(row, []).extend(faults)
        made.sources |= rows.sources
        made.absent |= rows.absent
    made.columns = {name: made.columns[name] for name in plan.columns}
    return made


def blocks(plan: Plan, size: int = BLOCK, start: int = 0, stop: int | None = None) -> Iterator[Block]:
    """The wanted rows from `start` to before `stop`, block by block; sorted where the plan says so."""
    end = plan.rows if stop is None else min(stop, plan.rows)
    if plan.sort is None:
        cycles = _cycles(plan, range(start, end))
        for first in range(start, end, size):
            yield block(plan, first, min(first + size, end), cycles)
        return
    cycles = _cycles(plan, range(plan.count))
    whole = joined(
        block(plan, first, min(first + size, plan.count), cycles) for first in range(0, plan.count, size)
    )
    order = _order(_keys(plan, whole), plan.descending)
    for first in range(start, end, size):
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
    )


def _joined_marks(parts: Sequence[Mapping[_Key, Marks]], starts: Sequence[int]) -> dict[_Key, Marks]:
    """The marks of blocks that follow each other, whose first rows are `starts`, with the end as the last."""
    found: dict[_Key, Marks] = {}
    for start, stop, part in zip(starts, starts[1:], parts, strict=False):
        for key, marks in part.items():
            found.setdefault(key, np.zeros(starts[-1], dtype=np.bool_))[start:stop] = marks
    return found


def _keys(plan: Plan, whole: Block) -> NDArray[Any]:
    """What the rows are sorted by: numbers of a varied field by their size, in whatever unit they came."""
    assert plan.sort is not None
    numbers = plan.pools[plan.sort].numbers if plan.sort in plan.labels else None
    if numbers is None:
        return whole.columns[plan.sort]
    axis = list(plan.labels).index(plan.sort)
    return numbers[np.unravel_index(np.arange(plan.count), plan.shape)[axis]]


def _order(keys: NDArray[Any], descending: bool) -> Picks:
    """A stable order; what is not known comes last either way."""
    if keys.dtype == object:
        unknown = np.array([key is None for key in keys])
        ranks = np.unique(np.array(["" if key is None else str(key) for key in keys]), return_inverse=True)[1]
        keys = np.where(unknown, np.nan, ranks.astype(np.float64))
    return np.argsort(-keys if descending else keys, kind="stable")
