"""Every combination of the varied fields of a build, computed block by block."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
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
from gearing_api.batch.parts import (
    MOST_HINTS,
    NAME,
    Target,
    are_bundles,
    chosen_twice,
    fields_of,
    read_targets,
    unfit_bundles,
    unnamed,
)
from gearing_api.batch.ranges import ends_of_rows, interleaved, with_ends
from gearing_api.build import is_known
from gearing_api.checkpoint import may_go_on
from gearing_api.questions import OWNERS, needed
from gearing_api.units import SYSTEMS, System
from gearing_api.vehicle.targets import meets
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
MOST_WANTED = 1_000_000_000
"""Of the rows of a comparison: more than any can have."""
_MEMBERS = (*_SHAPES, "targets", "sort", "limit", "units")

MEETS = "meets"
"""A column that a plan with targets may report: whether a row meets all, some or none of them."""


@dataclass(frozen=True)
class Plan:
    """What is compared: the keys that vary, first slowest, and the results reported.

    A key is a field, or a part whose choices give several `fields`. `labels` are the varied values as they came, or
    the names of the choices, for the table. `sort` has each column to sort by, and whether it is descending. Only
    rows that meet all `targets` are wanted, unless their column `meets` is reported. `limit` is the most rows wanted.
    `build` and `vary` are what was read, for the draws where `bands` are wanted.
    """

    system: System
    pools: Mapping[str, Pool]
    labels: Mapping[str, NDArray[Any]]
    fields: Mapping[str, Sequence[str]]
    report: tuple[str, ...]
    targets: tuple[Target, ...]
    sort: tuple[tuple[str, bool], ...]
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
    def filters(self) -> bool:
        """Whether rows that miss a target are left out."""
        return bool(self.targets) and MEETS not in self.report

    @property
    def at_once(self) -> bool:
        """Whether no part of the rows can be told without the others."""
        return bool(self.sort) or (self.filters and self.limit is not None)

    @property
    def rows(self) -> int:
        """How many rows there may be."""
        return self.count if self.limit is None or self.filters else min(self.count, self.limit)

    @property
    def results(self) -> tuple[str, ...]:
        """The results reported."""
        return tuple(name for name in self.report if name != MEETS)

    @property
    def computed(self) -> tuple[str, ...]:
        """The results reported, and those that have a target."""
        return tuple(dict.fromkeys((*self.results, *(target.name for target in self.targets))))

    @cached_property
    def asked(self) -> list[tuple[Question, list[str], list[str]]]:
        """The questions to ask, each with the fields that it reads and the results wanted of it."""
        return [
            (
                question,
                [name for name in self.pools if reads(question, name)],
                [name for name in self.computed if OWNERS[name] is question],
            )
            for question in _asked(self.computed)
        ]

    @property
    def combinations(self) -> int:
        """In how many groups its builds are computed: of those that differ in form, in each block."""
        forms = math.prod(self._forms(fields) for fields in self.fields.values())
        count = self.count if self.sort else self.rows
        return min(forms * -(-count // BLOCK), count) if forms > 1 else 1

    def _forms(self, fields: Sequence[str]) -> int:
        """In how many forms the choices of a key come."""
        codes = np.array([self.pools[name].codes for name in fields])
        return np.unique(codes, axis=1).shape[1] if fields else 1

    @property
    def columns(self) -> tuple[str, ...]:
        """The keys that vary, then the results, with their ends where they are wanted."""
        results = with_ends(self.results) if self.bands else self.results
        meets = (MEETS,) if MEETS in self.report else ()
        return (*self.labels, *results, *meets) if self.bands else (*self.labels, *self.report)

    def unit(self, name: str) -> str:
        """The unit of a column; the varied fields stand as they came."""
        return "" if name in self.labels or name == MEETS else result_named(name).unit(self.system)

    def raw(self, row: int) -> dict[str, Any]:
        """The fields of one row as they came."""
        fields = dict(self.build)
        for name, place in zip(self.labels, np.unravel_index(row, self.shape), strict=True):
            value = self.vary[name][int(place)]
            if isinstance(value, dict):
                fields |= {field: value[field] for field in self.fields[name] if field in value}
            else:
                fields[name] = value
        return fields


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
    wanted = raw.get("targets", {})
    _refuse([*_misnamed(build, vary), *_not_reported(report, vary, wanted), *unnamed("targets", wanted, ())])
    system: System = raw.get("units", "us")
    sort, limit = raw.get("sort"), raw.get("limit")
    sorts = [] if sort is None else sort if isinstance(sort, list) and sort else [sort]
    columns = {*vary, *report, *wanted}
    rows = math.prod(map(len, vary.values()))
    if not sorts and not wanted and type(limit) is int and limit > 0:
        rows = min(rows, limit)
    if most_cells is not None and rows * len(columns) > most_cells:
        raise TooManyCells(rows, len(columns))
    fields = {name: fields_of(name, values) for name, values in vary.items()}
    given = {*build, *(name for names in fields.values() for name in names)}
    faults = [
        *_unmet([name for name in (*report, *wanted) if name != MEETS], given, system),
        *_unsorted(sorts, {*vary, *report}),
        *_unlimited(limit),
    ]
    bounds, misread = read_targets(wanted, (), system)
    faults += misread
    pools = {name: _pool(name, [(pointer("build", name), value)], system) for name, value in build.items()}
    for key, values in vary.items():
        if not are_bundles(values):
            places = ((pointer("vary", key, place), value) for place, value in enumerate(values))
            pools[key] = _pool(key, places, system)
            continue
        for name in fields[key]:
            otherwise = build.get(name)
            places = (
                (pointer("vary", key, place, name), value.get(name, otherwise))
                for place, value in enumerate(values)
            )
            pools[name] = _pool(name, places, system, lacking=otherwise is None)
    _refuse([*faults, *(fault for pool in pools.values() for fault in pool.faults.values())])
    return Plan(
        system,
        pools,
        labels(vary),
        fields,
        tuple(dict.fromkeys(report)),
        bounds,
        tuple((name.removeprefix("-"), name.startswith("-")) for name in sorts),
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
    if not isinstance(raw.get("targets", {}), dict):
        yield FieldError("targets", "must be an object of results, each with least, most or both")
    if raw.get("units", "us") not in SYSTEMS:
        yield FieldError("units", "must be us or metric", raw["units"])


def _misnamed(build: Mapping[str, Any], vary: Mapping[str, Any]) -> Iterator[FieldError]:
    if len(build) + len(vary) > len(ALL_FIELDS):
        yield FieldError(
            "build", f"and vary have {len(build) + len(vary)} names: all fields are {len(ALL_FIELDS)}"
        )
        return
    plain = [name for name, values in vary.items() if not (isinstance(values, list) and are_bundles(values))]
    for member, names in (("build", list(build)), ("vary", plain)):
        unknown = [name for name in names if name not in ALL_FIELDS]
        for place, name in enumerate(unknown):
            yield replace(unknown_field(name, close=place < MOST_HINTS), pointer=pointer(member, name))
    owners: dict[str, str] = {}
    for name, values in vary.items():
        if isinstance(values, list) and are_bundles(values):
            yield from unfit_bundles("vary", name, values, (), iter(range(MOST_HINTS)))
        elif name in build:
            yield FieldError(
                name, "is both in build and in vary: put it into one", pointer=pointer("vary", name)
            )
        if not isinstance(values, list) or not values:
            yield FieldError(name, "must have a list of values to vary", pointer=pointer("vary", name))
        yield from chosen_twice("vary", name, values, owners)
    combinations = math.prod(len(values) for values in vary.values() if isinstance(values, list))
    if combinations > MOST_COMBINATIONS:
        yield FieldError(
            "vary", f"makes {combinations:.3g} combinations: that is more than can be counted off"
        )


def _not_reported(
    names: list[Any], vary: Mapping[str, Any], targets: Mapping[str, Any]
) -> Iterator[FieldError]:
    if len(names) > len(OWNERS):
        yield FieldError("report", f"has {len(names)} names: all results are {len(OWNERS)}")
        return
    for place, name in enumerate(names):
        if name == MEETS and targets:
            continue
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


def _unsorted(sorts: list[Any], columns: set[str]) -> Iterator[FieldError]:
    for sort in sorts:
        if isinstance(sort, str) and sort.removeprefix("-") in columns:
            continue
        detail = "must be a varied field or a reported result, with - before it for descending order"
        yield FieldError("sort", detail + hint(str(sort).removeprefix("-"), ()), sort)


def _unlimited(limit: object) -> Iterator[FieldError]:
    if limit is not None and (type(limit) is not int or not 1 <= limit <= MOST_WANTED):
        yield FieldError("limit", f"must be a whole number of rows from 1 to {MOST_WANTED:,}", limit)


def _pool(name: str, values: Iterable[tuple[str, Any]], system: System, *, lacking: bool = False) -> Pool:
    """The values read, each of them given with its pointer; no further than to so many that are refused.

    Where some may be `lacking`, None is none.
    """
    read: list[Any] = []
    refused = 0
    for where, value in values:
        if refused > _MOST_REFUSED:
            break
        if len(read) % 1_000 == 0:
            may_go_on()
        read.append(None if lacking and value is None else read_value(name, value, system, where))
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
    if isinstance(value, dict):
        return value[NAME]
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
