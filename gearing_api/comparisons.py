"""Every combination of the varied fields of a build, computed block by block."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.columns import Pool, Rows, answered, told_by_row
from gearing_api.questions import OWNERS
from gearing_api.questions.answer import Question
from gearing_api.units import SYSTEMS, System
from gearing_api.vocabulary import FIELDS, RESULTS, Fault, Refused, nearest, unknown_field

BLOCK = 20_000
"""Rows computed at a time: few enough to stay in the processor's cache, and other requests quick."""

MEMBERS = ("build", "vary", "report", "sort", "limit", "units")


@dataclass(frozen=True)
class Plan:
    """What is compared: the fields that vary, first slowest, and the results reported.

    `labels` are the varied values as they came, for the table. `limit` is the most rows wanted.
    """

    system: System
    pools: Mapping[str, Pool]
    labels: Mapping[str, NDArray[Any]]
    report: tuple[str, ...]
    sort: str | None
    descending: bool
    limit: int | None

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
    def columns(self) -> tuple[str, ...]:
        """The varied fields, then the results."""
        return (*self.labels, *self.report)

    @property
    def questions(self) -> list[Question]:
        """The questions that own the results reported."""
        return list({OWNERS[name].name: OWNERS[name] for name in self.report}.values())

    def unit(self, name: str) -> str:
        """The unit of a column; the varied fields stand as they came."""
        return RESULTS[name].unit(self.system) if name in self.report else ""


@dataclass
class Block:
    """Some rows of a comparison, in the units of the plan; a fault for each row that was refused."""

    start: int
    columns: dict[str, NDArray[Any]]
    faults: dict[int, list[Fault]] = field(default_factory=dict)
    answers: list[Rows] = field(default_factory=list)


def read_plan(raw: Mapping[str, Any]) -> Plan:
    """A plan from its wire form.

    Raises
    ------
    Refused
        If a member is missing or not known, or a value is refused.
    """
    faults = [
        Fault(name, "is no member of a comparison: " + ", ".join(MEMBERS))
        for name in raw
        if name not in MEMBERS
    ]
    faults += [Fault(name, "is needed") for name in ("build", "vary", "report") if name not in raw]
    faults += [
        Fault(name, f"must be {accepted}")
        for name, kind, accepted in (
            ("build", dict, "an object of fields"),
            ("vary", dict, "an object of fields, each with a list of values"),
            ("report", list, "a list of result names"),
        )
        if name in raw and not isinstance(raw[name], kind)
    ]
    if raw.get("units", "us") not in SYSTEMS:
        faults.append(Fault("units", "must be us or metric", raw.get("units")))
    if faults:
        raise Refused(faults)
    system: System = raw.get("units", "us")
    pools, labels, faults = _pools(raw["build"], raw["vary"], system)
    report, report_faults = _report(raw["report"])
    sort, descending = _sort(raw.get("sort"))
    faults += report_faults
    if sort is not None and sort not in (*labels, *report):
        faults.append(
            Fault(
                "sort",
                "must be a varied field or a reported result, with - before it for descending order",
                raw.get("sort"),
            )
        )
    limit = raw.get("limit")
    if limit is not None and (isinstance(limit, bool) or not isinstance(limit, int) or limit < 1):
        faults.append(Fault("limit", "must be a whole number of rows, 1 or more", limit))
    if faults:
        raise Refused(faults)
    return Plan(system, pools, labels, report, sort, descending, limit)


def _pools(
    build: Mapping[str, Any], vary: Mapping[str, Any], system: System
) -> tuple[dict[str, Pool], dict[str, NDArray[Any]], list[Fault]]:
    pools: dict[str, Pool] = {}
    labels: dict[str, NDArray[Any]] = {}
    faults = [unknown_field(name) for name in (*build, *vary) if name not in FIELDS]
    faults += [Fault(name, "is both in build and in vary: put it into one") for name in vary if name in build]
    if not vary:
        faults.append(Fault("vary", "must name at least one field"))
    for name, values in vary.items():
        if not isinstance(values, list) or not values:
            faults.append(Fault(name, "must have a list of values to vary"))
    if faults:
        return pools, labels, faults
    for name, values in {**{name: [value] for name, value in build.items()}, **vary}.items():
        read = []
        for value in values:
            try:
                read.append(FIELDS[name].read(value, system))
            except Refused as refused:
                faults += refused.faults
        pools[name] = Pool(name, read or [None])
    for name, values in vary.items():
        labels[name] = _label(values)
    return pools, labels, faults


def _label(values: list[Any]) -> NDArray[Any]:
    if all(type(value) in (int, float) for value in values):
        return np.array(values, dtype=np.float64)
    label = np.empty(len(values), dtype=object)
    label[:] = [",".join(map(str, value)) if isinstance(value, list) else str(value) for value in values]
    return label


def _report(names: list[Any]) -> tuple[tuple[str, ...], list[Fault]]:
    faults = []
    if not names:
        faults.append(Fault("report", "must name at least one result"))
    for name in names:
        if not isinstance(name, str) or name not in OWNERS:
            close = nearest(str(name), OWNERS)
            faults.append(
                Fault(
                    "report",
                    "names no result of any question" + (f"; the nearest is {close}" if close else ""),
                    str(name),
                )
            )
    return tuple(dict.fromkeys(str(name) for name in names)), faults


def _sort(raw: object) -> tuple[str | None, bool]:
    if raw is None:
        return None, False
    text = str(raw)
    return text.removeprefix("-"), text.startswith("-")


def block(plan: Plan, start: int, stop: int) -> Block:
    """The combinations from `start` to before `stop`, in order."""
    count = stop - start
    places = np.unravel_index(np.arange(start, stop), plan.shape)
    picks = dict(zip(plan.labels, places, strict=True))
    first = np.zeros(count, dtype=np.intp)
    made = Block(start, {name: plan.labels[name][picks[name]] for name in plan.labels})
    for question in plan.questions:
        used = {name: pool for name, pool in plan.pools.items() if name in question.fields}
        rows = answered(question, used, {name: picks.get(name, first) for name in used}, count, plan.system)
        for row, faults in rows.faults.items():
            made.faults.setdefault(start + row, []).extend(faults)
        for name in plan.report:
            if OWNERS[name] is question:
                quantity = RESULTS[name].quantity
                values = rows.results[name]
                made.columns[name] = values if quantity is None else quantity.out(values, plan.system)
        made.answers.append(rows)
    made.columns = {name: made.columns[name] for name in plan.columns}
    return made


def blocks(plan: Plan, size: int = BLOCK) -> Iterator[Block]:
    """All wanted rows, block by block in order; sorted where the plan says so."""
    if plan.sort is None:
        for start in range(0, plan.rows, size):
            yield block(plan, start, min(start + size, plan.rows))
        return
    yield _sorted_whole(plan, size)


def _sorted_whole(plan: Plan, size: int) -> Block:
    parts = [block(plan, start, min(start + size, plan.count)) for start in range(0, plan.count, size)]
    columns = {name: np.concatenate([part.columns[name] for part in parts]) for name in plan.columns}
    assert plan.sort is not None
    order = _order(columns[plan.sort], plan.descending)[: plan.rows]
    whole = Block(0, {name: column[order] for name, column in columns.items()})
    faults = {row: found for part in parts for row, found in part.faults.items()}
    whole.faults = {place: faults[row] for place, row in enumerate(order.tolist()) if row in faults}
    whole.answers = [rows for part in parts for rows in part.answers]
    return whole


def _order(keys: NDArray[Any], descending: bool) -> NDArray[np.intp]:
    """A stable order; what is not known comes last either way."""
    if keys.dtype == object:
        unknown = np.array([key is None for key in keys])
        ranks = np.unique(np.array(["" if key is None else str(key) for key in keys]), return_inverse=True)[1]
        keys = np.where(unknown, np.nan, ranks.astype(np.float64))
    return np.argsort(-keys if descending else keys, kind="stable")


def told_in(made: Block) -> dict[int, str]:
    """Sentences for the refused rows of a block, by their place in it."""
    return told_by_row({row - made.start: faults for row, faults in made.faults.items()})
