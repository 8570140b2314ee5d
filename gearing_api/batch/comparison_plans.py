"""What a comparison asks: read from its wire form, and checked before anything is computed."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Question
from gearing_api.batch.columns import (
    Pool,
    read_value,
    reads,
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
from gearing_api.batch.ranges import with_ends
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

BLOCK = 10_000
"""Rows at a time: few enough to stay in the processor's cache, and to keep other requests waiting no longer
than they notice."""

_MOST_REFUSED = 100

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
