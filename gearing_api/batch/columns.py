"""Many builds at once: each distinct value is read once, and builds that are alike are answered together."""

import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property, lru_cache
from typing import Any, TypeGuard

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Absent, Answer, Caution, Level, Question, Source, Value, absences
from gearing_api.build import Build, MixedColumn
from gearing_api.checkpoint import may_go_on
from gearing_api.fields import Kind, Number
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import answer_before, ask
from gearing_api.tyre_sizes import TyreSize
from gearing_api.units import System
from gearing_api.vocabulary import ALL_FIELDS, ORIGINAL, RESULTS, FieldError, InvalidBuild, result_named

Picks = NDArray[np.intp]
Marks = NDArray[np.bool_]
CautionKey = tuple[str, str, Level]
"""Code, text and level of a caution."""
AbsentKey = tuple[str, Absent]
"""Name of a result, and why it is absent."""

CAUTIONS = "cautions"
"""The column of the codes of cautions."""

MOST_TOLD = 10
"""Values of one build that are told as refused; any others are counted."""

_MOST_EXPLAINED = 1_000
_MOST_REFUSED = 20_000
_MOST_AT_ONCE, _PART = 10_000, 5_000
"""Builds that are computed at once; more of them, or some picked out, go in parts of so many."""

_NOT_GIVEN, _REFUSED = -1, -2
_EVERY = slice(None)


def form(value: Any) -> Hashable:
    """What the values of one field must have in common to stand in one column."""
    if isinstance(value, TyreSize):
        return tuple("number" if _is_number(part) else part for part in _parts(value).values())
    if isinstance(value, np.ndarray):
        return tuple(value.shape)
    return value if isinstance(value, str) else ()


def _is_number(part: Any) -> bool:
    return isinstance(part, int | float) and not isinstance(part, bool)


def stack(column: Sequence[Any]) -> Any:
    """Values of one field, of one form, as a column.

    The items of lists lie outermost in memory: what is done to one item of all builds then runs through
    memory without gaps, which takes a tenth of the time.
    """
    first = column[0]
    if isinstance(first, str):
        return first
    if not isinstance(first, TyreSize):
        return np.ascontiguousarray(np.array(column).T).T
    rows = [_parts(size) for size in column]
    arrays: dict[str, Any] = {
        name: np.array([row[name] for row in rows]) for name, part in rows[0].items() if _is_number(part)
    }
    return replace(first, **arrays)


def take(column: Any, picks: Picks | slice | int) -> Any:
    """The picked builds' values of a stacked column: of a slice without a copy, of one build alone."""
    if isinstance(column, TyreSize):
        arrays: dict[str, Any] = {
            name: take(part, picks) for name, part in _parts(column).items() if isinstance(part, np.ndarray)
        }
        return replace(column, **arrays)
    if isinstance(column, str) or column is None:
        return column
    return np.take(column.T, picks, axis=-1).T if isinstance(picks, np.ndarray) else column[picks]


def _parts(size: TyreSize) -> dict[str, Any]:
    """What the questions read of a size: all but its print."""
    return {
        field.name: getattr(size, field.name)
        for field in fields(size)
        if field.name not in ("designation", "speed_symbol")
    }


class Pool:
    """The values of one field, each once, and which of them are alike enough to stand in one column.

    Parameters
    ----------
    values : sequence, or ndarray of float
        SI values; None stands for not given, a FieldError for a value that was refused. A pool of one value
        gives it to all builds as it is.
    """

    def __init__(self, values: Sequence[Any] | NDArray[np.float64]) -> None:
        self.size = len(values)
        self.codes = np.zeros(self.size, dtype=np.intp)
        self.faults: dict[int, FieldError] = {}
        self._only = values[0] if self.size == 1 else None
        self._columns: list[Any] = [values]
        self._within: Picks | None = None
        if not isinstance(values, np.ndarray):
            self._sort_out(values)
        self.mixed = bool((self.codes != self.codes[:1]).any())
        """Whether builds that draw from it may differ in form."""

    def _sort_out(self, values: Sequence[Any]) -> None:
        forms: dict[Hashable, list[int]] = {}
        for place, value in enumerate(values):
            if isinstance(value, FieldError):
                self.faults[place] = value
                self.codes[place] = _REFUSED
            elif value is None:
                self.codes[place] = _NOT_GIVEN
            else:
                forms.setdefault(form(value), []).append(place)
        self._columns = [stack([values[place] for place in places]) for places in forms.values()]
        self._within = np.zeros(self.size, dtype=np.intp)
        for code, places in enumerate(forms.values()):
            self.codes[places] = code
            self._within[places] = np.arange(len(places))

    @property
    def numbers(self) -> NDArray[np.float64] | None:
        """The values, where all of them are single numbers."""
        first = self._columns[0] if len(self._columns) == 1 else None
        alone = isinstance(first, np.ndarray) and first.shape == (self.size,)
        return first if alone else None

    def draw(self, picks: Picks | None) -> Any:
        """The picked values, which must be alike, as a column; None where they are not given."""
        code = self.codes[0 if picks is None else picks[0]]
        if code == _NOT_GIVEN:
            return None
        if picks is None or self.size == 1:
            return self._only
        within = picks if self._within is None else self._within[picks]
        return take(self._columns[code], within)

    def alone(self, place: int) -> "Pool":
        """A pool of one of the values, which is given and was not refused."""
        if self.size == 1:
            return self
        within = place if self._within is None else int(self._within[place])
        return Pool([take(self._columns[self.codes[place]], within)])


@dataclass(frozen=True)
class Given:
    """One field of many builds: its values, and which of them each build has, or None where all have one.

    `column` has the values of all builds where they are there already.
    """

    pool: Pool
    picks: Picks | None = None
    column: Any = None

    def codes(self, rows: Picks | slice) -> Any:
        """The forms of the values of some builds."""
        return self.pool.codes[0 if self.picks is None else self.picks[rows]]

    def draw(self, rows: Picks | slice) -> Any:
        """The values of some builds that are alike."""
        if self.picks is None or rows is _EVERY or self.pool.size == 1:
            return self._of_all
        return take(self._of_all, rows) if isinstance(rows, slice) else self.pool.draw(self.picks[rows])

    @cached_property
    def _of_all(self) -> Any:
        """Several questions draw the same."""
        return self.pool.draw(self.picks) if self.column is None else self.column


@dataclass
class Rows:
    """What came out for many builds: a column per result, in SI, and what was refused.

    Numbers are +inf where there is no limit, -inf where no value does, NaN and words None where they are
    absent for another reason, which `absent` has by result. `cautions` say for which rows they hold, `faults`
    by row why it has no answer.
    """

    count: int
    wanted: tuple[str, ...]
    results: dict[str, NDArray[Any]] = field(default_factory=dict)
    cautions: dict[CautionKey, NDArray[np.bool_]] = field(default_factory=dict)
    faults: dict[int, list[FieldError]] = field(default_factory=dict)
    sources: dict[Source, None] = field(default_factory=dict)
    absent: dict[AbsentKey, Marks] = field(default_factory=dict)

    def refuse(self, rows: Iterable[int], faults: Iterable[FieldError]) -> None:
        """Note why these rows have no answer."""
        for row in rows:
            self.faults.setdefault(row, []).extend(faults)

    def column(self, name: str) -> NDArray[Any]:
        """The column of a result, with nothing known where nothing has been put into it yet."""
        if name not in self.results:
            self.results[name] = _unknown(name, self.count).copy()
        return self.results[name]

    def take(self, answer: Answer, rows: Picks | slice) -> None:
        """Put the answer of a column of builds into its rows."""
        for name in self.wanted:
            if name not in RESULTS:
                continue
            value = answer.result[name]
            if rows is _EVERY and _is_alike(value, _unknown(name, self.count)):
                self.results[name] = value
            elif value is not None:
                self.column(name)[rows] = value
            self._note_absent(name, answer, value, rows)
        for caution in answer.cautions:
            self.note(caution, rows)
        self.sources |= dict.fromkeys(answer.sources)

    def note(self, caution: Caution, rows: Picks | slice) -> None:
        """Note a caution on those of the rows for which it holds."""
        if np.count_nonzero(caution.where):
            key = (caution.code, caution.text, caution.level)
            marks = self.cautions.setdefault(key, np.zeros(self.count, np.bool_))
            marks[rows] |= caution.where

    def _note_absent(self, name: str, answer: Answer, value: Value, rows: Picks | slice) -> None:
        for reason, where in absences(value, answer.why(name)):
            if np.count_nonzero(where):
                marks = self.absent.setdefault((name, reason), np.zeros(self.count, np.bool_))
                marks[rows] |= where


def _is_alike(value: Value, column: NDArray[Any]) -> TypeGuard[NDArray[Any]]:
    """Whether an answer's column can stand where that one stands, as it is."""
    return isinstance(value, np.ndarray) and value.shape == column.shape and value.dtype == column.dtype


def codes_by_row(
    count: int, cautions: Mapping[CautionKey, Marks], absent: Mapping[AbsentKey, Marks]
) -> NDArray[Any]:
    """Write for each row the codes of its cautions, and of its absent results such as ``no-limit:tyre_limit``.

    Most rows have the codes of others, so that each set of codes is written once.
    """
    parts = [np.empty(0, dtype=object)]
    for start in range(0, count, _MOST_AT_ONCE):
        some = slice(start, min(start + _MOST_AT_ONCE, count))
        parts.append(
            _codes_of(
                some.stop - start,
                {key: where[some] for key, where in cautions.items()},
                {key: where[some] for key, where in absent.items()},
            )
        )
    return np.concatenate(parts)


def _codes_of(
    count: int, cautions: Mapping[CautionKey, Marks], absent: Mapping[AbsentKey, Marks]
) -> NDArray[Any]:
    marks: dict[str, Marks] = {}
    for (code, _, _), where in cautions.items():
        marks[code] = marks[code] | where if code in marks else where
    for (name, reason), where in absent.items():
        code = f"{reason.why.replace(' ', '-')}:{name}"
        marks[code] = marks[code] | where if code in marks else where
    codes = sorted(marks)
    if not codes:
        return np.full(count, "", dtype=object)
    bits = np.packbits(np.stack([marks[code] for code in codes]), axis=0)
    wide = np.zeros((count, -(-len(bits) // 8) * 8), dtype=np.uint8)
    wide[:, : len(bits)] = bits.T
    sets = wide.view(np.uint64)
    keys = sets[:, 0] if sets.shape[1] == 1 else sets
    axis = None if keys.ndim == 1 else 0
    _, firsts, which = np.unique(keys, return_index=True, return_inverse=True, axis=axis)
    texts = [" ".join(code for code in codes if marks[code][row]) for row in firsts.tolist()]
    return np.array(texts, dtype=object)[which.reshape(-1)]


def reads(question: Question, name: str) -> bool:
    """Whether a question reads a field, or its counterpart of the vehicle before the change."""
    return name.removeprefix(ORIGINAL) in question.fields or name in question.fields


def _unknown(name: str, count: int) -> NDArray[Any]:
    """A result of which nothing is known: copying one takes a fifth of the time of making one."""
    return _nothing(result_named(name).quantity is None, count)


@lru_cache(maxsize=4)
def _nothing(words: bool, count: int) -> NDArray[Any]:
    return np.full(count, None if words else np.nan)


class TooVaried(ValueError):
    """Builds that give fields in more combinations than may be answered at a time."""

    def __init__(self, combinations: int) -> None:
        super().__init__(f"{combinations} combinations of fields")
        self.combinations = combinations


def answered(
    question: Question,
    given: Mapping[str, Given],
    count: int,
    system: System,
    wanted: Iterable[str] | None = None,
    faults: Mapping[int, list[FieldError]] | None = None,
    most_combinations: int | None = None,
) -> Rows:
    """One question put to many builds; those that give the same fields in the same forms at once.

    Parameters
    ----------
    wanted : iterable of str, optional
        The results to keep; all if not given.
    faults : mapping, optional
        Builds, by row, that are refused beforehand.
    most_combinations : int, optional
        How many different combinations of fields and forms are answered.

    Raises
    ------
    TooVaried
        If there are more. Nothing has been computed then.
    """
    names = question.results if wanted is None else wanted
    made = Rows(count, tuple(names), faults=dict(faults or {}))
    _refuse_unread(given, made)
    rows: Picks | slice = _EVERY
    if made.faults:
        rows = np.delete(np.arange(count), list(made.faults))
    groups = [*_alike(given, rows, count - len(made.faults))]
    if most_combinations is not None and len(groups) > most_combinations:
        raise TooVaried(len(groups))
    for alike in groups:
        for part in _in_parts(alike, count, _at_once(question, given, alike)):
            _answer_alike(question, given, part, system, made)
    made.results = {name: made.column(name) for name in made.wanted}
    return made


def _refuse_unread(given: Mapping[str, Given], made: Rows) -> None:
    """Note which builds hold values that cannot be read. A small row must not make a large account."""
    unread = [one for one in given.values() if one.pool.faults]
    if not unread:
        return
    found = np.zeros(made.count, dtype=np.intp)
    for one in unread:
        refused = np.broadcast_to(one.codes(_EVERY) == _REFUSED, made.count)
        for row in np.flatnonzero(refused & (found < MOST_TOLD)).tolist():
            made.refuse([row], [one.pool.faults[0 if one.picks is None else int(one.picks[row])]])
        found += refused
    for row in np.flatnonzero(found > MOST_TOLD).tolist():
        last = made.faults[row].pop()
        more = f"{last.detail}; and {found[row] - MOST_TOLD} more fields are refused"
        made.refuse([row], [replace(last, detail=more)])


def _alike(given: Mapping[str, Given], rows: Picks | slice, count: int) -> Iterator[Picks | slice]:
    """The rows in groups that give the same fields in the same forms."""
    if not count:
        return
    group: Any = None
    for one in given.values():
        if one.picks is not None and one.pool.mixed:
            codes = one.codes(rows) - _NOT_GIVEN
            whole = codes if group is None else group * (codes.max(initial=0) + 1) + codes
            group = np.unique(whole, return_inverse=True)[1]
    if group is None:
        yield rows
        return
    order = np.argsort(group, kind="stable")
    places = np.arange(count) if isinstance(rows, slice) else rows
    yield from np.split(places[order], np.flatnonzero(np.diff(group[order])) + 1)


def _at_once(question: Question, given: Mapping[str, Given], rows: Picks | slice) -> int:
    """How many builds like the first of the rows are answered at once."""
    first = slice(0, 1) if isinstance(rows, slice) else rows[:1]
    return question.at_once(lambda name: given[name].draw(first) if name in given else None)


def _in_parts(rows: Picks | slice, count: int, at_once: int) -> Iterator[Picks | slice]:
    """The rows, not too many at a time: work asks between the parts whether it may go on."""
    part = min(at_once, _PART)
    if not isinstance(rows, slice):
        yield from (rows[at : at + part] for at in range(0, rows.size, part))
    elif count <= min(at_once, _MOST_AT_ONCE):
        yield rows
    else:
        yield from (slice(at, min(at + part, count)) for at in range(0, count, part))


def _answer_alike(
    question: Question, given: Mapping[str, Given], rows: Picks | slice, system: System, made: Rows
) -> None:
    """Answer builds that are alike, without those that are refused on the way."""
    may_go_on()
    values = {name: one.draw(rows) for name, one in given.items()}
    try:
        build = Build({name: value for name, value in values.items() if value is not None}, {}, system)
        made.take(ask(question, build), rows)
        _compare_with_original(question, build, rows, made)
        return
    except InvalidBuild as error:
        places = np.arange(made.count)[rows]
        bad = np.arange(places.size) if error.rows is None else error.rows
        made.refuse(places[bad].tolist(), error.faults)
        rest = [np.delete(places, bad)]
    except MixedColumn as mixed:
        places = np.arange(made.count)[rows]
        rest = [places[mixed.where], places[~mixed.where]]
    except DomainError as error:
        places = np.arange(made.count)[rows]
        rest = np.array_split(places, 2)  # to find the builds that it is about
        if places.size == 1:
            made.refuse(places.tolist(), [FieldError(error.argument, f"must be {error.accepted}")])
            return
    for part in rest:
        if part.size:
            _answer_alike(question, given, part, system, made)


def _compare_with_original(question: Question, build: Build, rows: Picks | slice, made: Rows) -> None:
    """Put the results of the vehicles before the change, and the differences, into the columns that ask for them."""
    wanted = [name for name in made.wanted if name not in RESULTS]
    before = answer_before(question, build) if wanted else None
    if isinstance(before, Caution):
        made.note(before, rows)
    elif before is not None:
        for name in wanted:
            base = result_named(name).name
            value = before.result[base]
            column = made.column(name)
            if value is not None:
                column[rows] = value if name.startswith(ORIGINAL) else made.column(base)[rows] - value


def read_columns(columns: Iterable[tuple[str, object]], system: System) -> dict[str, Given]:
    """The raw values of all fields, one field after the other.

    Raises
    ------
    InvalidBuild
        If more than 20,000 different values are refused: reading on would cost much and tell little.
    """
    given: dict[str, Given] = {}
    refused = 0
    for name, raw in columns:
        given[name] = read_column(name, raw, system, _MOST_REFUSED - refused)
        refused += len(given[name].pool.faults)
    return given


def read_column(name: str, raw: object, system: System, most_refused: float = math.inf) -> Given:
    """A field's raw values, one for all builds or a list of one a build, each distinct one read once.

    Raises
    ------
    InvalidBuild
        If more than so many different values are refused.
    """
    if not isinstance(raw, list):
        return Given(Pool([_read(name, raw, system)]))
    numbers = _plain_numbers(ALL_FIELDS[name].kind, raw, system)
    if numbers is not None:
        return Given(Pool(numbers), np.arange(len(raw)))
    places: dict[Hashable, int] = {}
    picks = np.array([places.setdefault(_key(value), len(places)) for value in raw], dtype=np.intp)
    firsts = np.unique(picks, return_index=True)[1]
    return Given(Pool([*_read_all(name, (raw[first] for first in firsts), system, most_refused)]), picks)


def _read_all(name: str, values: Iterable[object], system: System, most_refused: float) -> Iterator[Any]:
    """Each value read; those that are refused beyond so many share one error, which is short."""
    refused = 0
    for place, raw in enumerate(values):
        if place % 1_000 == 0:
            may_go_on()
        value = _read(name, raw, system)
        if isinstance(value, FieldError):
            refused += 1
            if refused > most_refused:
                told = f"more than {_MOST_REFUSED:,} different values cannot be read; the last looked at"
                raise InvalidBuild([FieldError(name, f"{value.detail} ({told})", value.got)])
            if refused == _MOST_EXPLAINED:
                more = FieldError(name, "is refused, like many others in its column")
            value = value if refused < _MOST_EXPLAINED else more
        yield value


def _plain_numbers(kind: Kind, raw: list[Any], system: System) -> NDArray[np.float64] | None:
    """The SI values at once, where all are bare numbers within bounds."""
    if not isinstance(kind, Number) or any(type(value) not in (int, float) for value in raw):
        return None
    numbers = np.array(raw, dtype=np.float64)
    low, high = kind.bounds(system)
    if not ((low <= numbers) & (numbers <= high)).all():
        return None
    return numbers * kind.quantity.factor(system)


def _key(value: object) -> Hashable:
    return value if isinstance(value, str) else (type(value), repr(value))


def _read(name: str, raw: object, system: System) -> Any:
    """The value of one build, None where it is not given: null, or an empty cell."""
    return None if raw is None or raw == "" else read_value(name, raw, system)


def read_value(name: str, raw: object, system: System, where: str = "") -> Any:
    """The SI value, or the error why it is refused, which points at `where`."""
    try:
        return ALL_FIELDS[name].read(raw, system)
    except InvalidBuild as refused:
        return replace(refused.faults[0], pointer=where)


def errors_by_row(faults: Mapping[int, list[FieldError]], most: float = math.inf) -> dict[int, str]:
    """A sentence for each row that was refused; one word when there are so many characters of them."""
    sentences = {}
    for row, found in faults.items():
        sentence = "refused"
        if most > 0:
            sentence = "; ".join(f"{fault.field} {fault.detail}" for fault in found)
            most -= len(sentence)
        sentences[row] = sentence
    return sentences
