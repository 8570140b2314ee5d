"""Many builds at once: each distinct value is read once, and builds that are alike are answered together."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.build import Build, alike, drawn, stacked
from gearing_api.kinds import Number
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import ask
from gearing_api.questions.answer import Answer, Question
from gearing_api.units import System
from gearing_api.vocabulary import FIELDS, RESULTS, Fault, Refused

Picks = NDArray[np.intp]


class Pool:
    """The distinct values of one field, and which of them are alike enough to stand in one column.

    A value may also be None, not given, or a Fault. A pool of one value gives it to all builds as it is.
    """

    def __init__(self, name: str, values: Sequence[Any]) -> None:
        self._name = name
        self.size = len(values)
        self.faults = {place: value for place, value in enumerate(values) if isinstance(value, Fault)}
        forms: dict[Hashable, list[int]] = {}
        for place, value in enumerate(values):
            if value is not None and place not in self.faults:
                forms.setdefault(alike({name: value}), []).append(place)
        self.codes = np.full(len(values), -1, dtype=np.intp)
        self._within = np.zeros(len(values), dtype=np.intp)
        self._columns: list[Any] = []
        for code, places in enumerate(forms.values()):
            self.codes[places] = code
            self._within[places] = np.arange(len(places))
            self._columns.append(stacked([{name: values[place]} for place in places])[name])
        self._only = values[0] if len(values) == 1 else None

    def draw(self, picks: Picks) -> dict[str, Any]:
        """The picked values, which must be alike, as a column; nothing where they are not given."""
        code = self.codes[picks[0]]
        if code < 0:
            return {}
        if self._only is not None:
            return {self._name: self._only}
        return {self._name: drawn(self._columns[code], self._within[picks])}


@dataclass
class Rows:
    """What came out for many builds: a column a result, in SI, and what was refused.

    Numbers are NaN and words None where they are not known. `cautions` tell by code and text for which
    rows they hold, `faults` by row why it has no answer.
    """

    count: int
    results: dict[str, NDArray[Any]] = field(default_factory=dict)
    cautions: dict[tuple[str, str], NDArray[np.bool_]] = field(default_factory=dict)
    faults: dict[int, list[Fault]] = field(default_factory=dict)
    answers: list[Answer] = field(default_factory=list)

    def refuse(self, rows: Iterable[int], faults: list[Fault]) -> None:
        """Note why these rows have no answer."""
        for row in rows:
            self.faults.setdefault(int(row), []).extend(faults)
            for values in self.results.values():
                values[row] = None if values.dtype == object else np.nan

    def take(self, answer: Answer, rows: Picks) -> None:
        """Put the answer of a column of builds into its rows."""
        self.answers.append(answer)
        for name, value in answer.result.items():
            column = self._column(name)
            if value is not None:
                column[rows] = value
        for caution in answer.cautions:
            told = (caution.code, caution.text)
            if told not in self.cautions:
                self.cautions[told] = np.zeros(self.count, dtype=np.bool_)
            self.cautions[told][rows] |= caution.where

    def _column(self, name: str) -> NDArray[Any]:
        if name not in self.results:
            words = RESULTS[name].quantity is None
            self.results[name] = np.full(
                self.count, None if words else np.nan, dtype=object if words else float
            )
        return self.results[name]


def answered(
    question: Question, pools: Mapping[str, Pool], picks: Mapping[str, Picks], count: int, system: System
) -> Rows:
    """One question put to many builds; `picks` says for each field which value of its pool a build has."""
    made = Rows(count)
    for name in question.results:
        made._column(name)
    good = np.ones(count, dtype=np.bool_)
    for name, pool in pools.items():
        for place, fault in pool.faults.items():
            rows = np.flatnonzero(picks[name] == place)
            made.refuse(rows, [fault])
            good[rows] = False
    for rows in _alike_rows(pools, picks, np.flatnonzero(good)):
        _answer_alike(question, pools, picks, rows, system, made)
    return made


def _alike_rows(pools: Mapping[str, Pool], picks: Mapping[str, Picks], rows: Picks) -> list[Picks]:
    """The rows in groups that give the same fields in the same forms."""
    codes = [pool.codes[picks[name][rows]] for name, pool in pools.items() if np.ptp(pool.codes)]
    if not codes or not rows.size:
        return [rows] if rows.size else []
    _, group = np.unique(np.stack(codes), axis=1, return_inverse=True)
    order = np.argsort(group, kind="stable")
    return np.split(rows[order], np.flatnonzero(np.diff(group[order])) + 1)


def _answer_alike(
    question: Question,
    pools: Mapping[str, Pool],
    picks: Mapping[str, Picks],
    rows: Picks,
    system: System,
    made: Rows,
) -> None:
    """Answer the rows, without those that are refused on the way."""
    while rows.size:
        values: dict[str, Any] = {}
        for name, pool in pools.items():
            values |= pool.draw(picks[name][rows])
        try:
            made.take(ask(question, Build(values, {}, system)), rows)
            return
        except Refused as refused:
            bad = np.arange(rows.size) if refused.rows is None else refused.rows
            faults = refused.faults
        except DomainError as error:
            bad, faults = np.arange(rows.size), [Fault(error.argument, f"must be {error.accepted}")]
        made.refuse(rows[bad], faults)
        rows = np.delete(rows, bad)


def read_column(name: str, raw: object, count: int, system: System) -> tuple[Pool, Picks]:
    """A field's raw values, one for all builds or a list of one a build, each distinct one read once.

    Raises
    ------
    Refused
        If the name is no field.
    """
    if not isinstance(raw, list):
        return Pool(name, [_read(name, raw, system)]), np.zeros(count, dtype=np.intp)
    kind = FIELDS[name].kind
    if isinstance(kind, Number) and all(type(value) in (int, float) for value in raw):
        return Pool(name, _numbers(name, kind, raw, system)), np.arange(count)
    places: dict[Hashable, int] = {}
    picks = np.array([places.setdefault(_key(value), len(places)) for value in raw], dtype=np.intp)
    firsts = np.unique(picks, return_index=True)[1]
    return Pool(name, [_read(name, raw[first], system) for first in firsts]), picks


def _numbers(name: str, kind: Number, raw: list[Any], system: System) -> list[Any]:
    low, high = kind.bounds(system)
    return [
        value * kind.quantity.factor(system) if low <= value <= high else _read(name, value, system)
        for value in raw
    ]


def _key(value: object) -> Hashable:
    return value if isinstance(value, str) else repr(value)


def _read(name: str, raw: object, system: System) -> Any:
    if raw is None or raw == "":
        return None
    try:
        return FIELDS[name].read(raw, system)
    except Refused as refused:
        return refused.faults[0]


def told_by_row(faults: Mapping[int, list[Fault]]) -> dict[int, str]:
    """A sentence for each row that was refused."""
    return {
        row: "; ".join(f"{fault.field} {fault.detail}" for fault in found) for row, found in faults.items()
    }
