"""What a question gives back: SI values with their quantities, why values are absent, cautions, sources."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import prod
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.build import Build
from gearing_api.units import Quantity
from gearing_api.vocabulary import FIELDS, ORIGINAL, RESULTS

Value = NDArray[Any] | np.generic | str | None
Where = NDArray[np.bool_] | np.bool_ | bool
Basis = Literal["published", "common practice", "from memory"]
Role = Literal["gear", "path", "before", "needed", "mark", "limit", "band"]
Level = Literal["stop", "check", "note"]
Verdict = Literal["stop", "unknown", "check", "clear"]
Why = Literal["needs", "no limit", "none does", "out of range", "does not apply"]

LEVELS: tuple[Level, ...] = ("stop", "check", "note")
"""Levels of a caution, the gravest first."""


class Source(NamedTuple):
    """What a number rests on. `kind` is how good the evidence is."""

    what: str
    kind: Basis
    source: str


class Caution(NamedTuple):
    """A sentence that must be read with the numbers; `where` says for which builds.

    `stop`: somebody may be hurt, something may break, or the answer would mislead. `check`: measure or decide
    before spending. `note`: all else. Use the functions `stop`, `check` and `note`.
    """

    code: str
    text: str
    where: Where = True
    level: Level = "note"


def stop(code: str, text: str, where: Where) -> Caution:
    """Caution of the gravest level; it compares with a figure of this build."""
    return Caution(code, text, where, "stop")


def check(code: str, text: str, where: Where) -> Caution:
    """Caution to measure or decide before spending; it compares with a figure of this build."""
    return Caution(code, text, where, "check")


def note(code: str, text: str, where: Where = True) -> Caution:
    """Caution that informs."""
    return Caution(code, text, where, "note")


class Absent(NamedTuple):
    """Why a result has no value; `fields` are those that would make it known."""

    why: Why
    fields: tuple[str, ...] = ()


_ENGINE_CURVES = ("torque_curve", "power_curve")
_MOST_ITEMS = 20_000
"""Items of crossed lists that are answered at once: each takes up to 2.6 kB."""
_POINTS_OF_PEAKS = 5
"""Pieces of a full load that is made of peaks."""

OUT_OF_RANGE = Absent("out of range")
DOES_NOT_APPLY = Absent("does not apply")
NO_LIMIT = Absent("no limit")
"""Of a value of +inf."""
NONE_DOES = Absent("none does")
"""Of a value of -inf."""


@cache
def needs(*fields: str) -> Absent:
    """Absent for want of these fields."""
    return Absent("needs", fields)


def why_absent(value: float, reason: Absent) -> Absent:
    """Why a number that is not finite has no value; `reason` holds where it is NaN."""
    return reason if value != value else NO_LIMIT if value > 0.0 else NONE_DOES


def absences(value: Value, reason: Absent) -> Iterable[tuple[Absent, Where]]:
    """Each reason why a result of one build or a column of builds is absent, with where it holds."""
    if value is None:
        return ((reason, True),)
    found = np.asarray(value)
    if found.dtype.kind != "f":
        return ((reason, found == np.array(None)),) if found.dtype == object else ()
    if np.isfinite(found).all() if found.ndim == 0 else _all_finite(found):
        return ()
    return ((reason, np.isnan(found)), (NO_LIMIT, np.isposinf(found)), (NONE_DOES, np.isneginf(found)))


def _all_finite(found: NDArray[Any]) -> bool:
    """NaN and infinity are the least or the greatest: to look for these takes a third of the time."""
    return not found.size or bool(np.isfinite(found[found.argmin()]) and np.isfinite(found[found.argmax()]))


class Column(NamedTuple):
    """One column of a table, in SI; `quantity` is None for words."""

    name: str
    quantity: Quantity | None
    values: Sequence[Any] | NDArray[Any]


class Axis(NamedTuple):
    """One axis of a curve: what it measures, and in what quantity."""

    name: str
    quantity: Quantity


class Line(NamedTuple):
    """One line of a curve, in SI; `role` is what it shows, not how it is drawn.

    A `gear` is what one gear does, a `path` is driven through several of them, `before` is the set-up before
    the change, `needed` is what must be met, a `mark` is one point to read off, a `limit` is not passed, and a
    `band` is the area within its points.
    """

    label: str
    role: Role
    x: NDArray[Any]
    y: NDArray[Any]


class Judged(NamedTuple):
    """Which axle ratios meet each target of a question that compares some: builds, then ratios, on the axes."""

    ratios: NDArray[np.float64]
    met: Mapping[str, NDArray[np.bool_]]


class Curve(NamedTuple):
    """Lines of an answer over one another, for one build."""

    title: str
    about: str
    x: Axis
    y: Axis
    lines: tuple[Line, ...]


class SideView(NamedTuple):
    """Parts of the vehicle seen from its left, to scale, in metres: x to the rear, y up; points have a name each."""

    title: str
    lines: tuple[Line, ...]
    points: tuple[tuple[float, float, str], ...]
    notes: tuple[str, ...]


class Span(NamedTuple):
    """A stretch of an axis in SI, a stretch within it that stands out, and words on it; `before` of the original."""

    label: str
    low: float
    high: float
    inner: tuple[float, float] | None
    words: str
    before: bool = False


class At(NamedTuple):
    """A place on an axis in SI, and what it is."""

    value: float
    label: str


class Spans(NamedTuple):
    """Stretches of one axis, one below the other; `line` is read off, `end` is not passed.

    `inner` and `words` say what the inner stretches and the words are.
    """

    title: str
    axis: Axis
    spans: tuple[Span, ...]
    inner: str
    words: str
    line: At
    end: At | None


class Between(NamedTuple):
    """A range of one build, in SI."""

    low: NDArray[Any]
    high: NDArray[Any]


class Understood(NamedTuple):
    """What a measurement says of a field: value and the ends of 9 in 10, in SI, and the same as the build says it.

    `readings` are the fields it rests on. `apart` is how far the two lie apart, in standard uncertainties.
    """

    field: str
    what: str
    readings: tuple[str, ...]
    quantity: Quantity
    measured: tuple[float, float, float]
    expected: tuple[float, float, float] | None
    apart: float | None


class Findings(NamedTuple):
    """What measurements say about a build: fields to add to it, as ranges or as a request takes them.

    `unused` are readings that say nothing, each with the fields it lacks; `ask` is what to measure next.
    """

    build: Mapping[str, object]
    understood: tuple[Understood, ...]
    unused: tuple[tuple[str, tuple[str, ...]], ...]
    ask: str | None


class Window(NamedTuple):
    """In which stretches of axle ratio a target is met; `judged` where the candidates differ in it.

    Of builds like this one, 19 in 20 meet it where it is `sure`, 1 in 20 where it is `possible`; both are None where
    that is not known.
    """

    name: str
    quantity: Quantity
    least: float | None
    most: float | None
    judged: bool
    met: tuple[tuple[float, float], ...]
    sure: tuple[tuple[float, float], ...] | None = None
    possible: tuple[tuple[float, float], ...] | None = None


class Pair(NamedTuple):
    """An axle ratio that can be bought, as `43/10` where its teeth are known."""

    ratio: float
    name: str
    meets_all: bool


class Ruler(NamedTuple):
    """Axle ratios side by side: where each target is met, and all of them, between the two ends searched."""

    searched: tuple[float, float]
    windows: tuple[Window, ...]
    all_met: tuple[tuple[float, float], ...]
    pairs: tuple[Pair, ...]
    recommended: float | None
    fitted: float | None
    original: float | None
    restoring: float | None


class Limit(NamedTuple):
    """What a part bears over its load: at the worst, and as it is usually loaded. [-]

    The margin at the worst of 9 in 10 builds like this one lies between the `ends`, where these are known.
    """

    name: str
    margin: float
    usual: float
    ends: tuple[float, float] | None = None


class AfterChange(NamedTuple):
    """The weakest part after one change, and the fields that make it, in wire values."""

    name: str
    weakest: Limit
    fields: Mapping[str, object]


class Limits(NamedTuple):
    """Parts with their margins, the weakest first, those not judged, and what single changes would do."""

    title: str
    parts: tuple[Limit, ...]
    unknown: tuple[str, ...]
    changes: tuple[AfterChange, ...]


class Varied(NamedTuple):
    """A result of builds like this one: quantiles in SI, how many more have no value, and what it turns on."""

    name: str
    quantiles: tuple[float, ...]
    without: int
    drivers: tuple[tuple[str, float], ...]


Picture = Curve | Spans | SideView | Ruler | Limits | Varied
"""What an answer shows besides its figures."""


class Answer(NamedTuple):
    """The answer for one build or a column of builds.

    A result is an array of shape () or (builds,), a word, or None where it cannot be known. A number is +inf
    where there is no limit, -inf where no value does, NaN where it is absent for the reason in `absent`;
    there stands also the reason of each None. `summary` is one or two plain sentences, `table`, `what_if`,
    the results after single changes to the build, and `picture` are more: all four are made when asked for,
    and only for one build. `sheet` is there where the answer is made of the answers to other questions.
    `windows` says in which stretches of axle ratio each target is met, of one build too, where it is wanted.
    `ranges` are the two ends between which a result lies, in SI; text shows them in its stead. `findings` are
    there where the answer is about the build itself; `judged` where it compares candidates.
    """

    result: Mapping[str, Value]
    sources: tuple[Source, ...]
    summary: Callable[[], str]
    cautions: tuple[Caution, ...] = ()
    absent: Mapping[str, Absent] = {}
    table: Callable[[], tuple[Column, ...]] | None = None
    what_if: Callable[[], tuple[Column, ...]] | None = None
    sheet: "Sheet | None" = None
    picture: Callable[[], Picture | None] | None = None
    windows: Callable[[], Ruler] | None = None
    ranges: Mapping[str, tuple[Value, Value]] = {}
    findings: Callable[[], Findings] | None = None
    judged: Callable[[], Judged] | None = None

    def why(self, name: str) -> Absent:
        """Why a result that is None or NaN is absent."""
        return self.absent.get(name, OUT_OF_RANGE)


@dataclass(frozen=True)
class Question:
    """A question: what it needs and uses of a build, what it gives, and how it is answered.

    `needs` are the fields without which there is no answer. `main` is the result that the question is
    about: where it is not known, nor is the verdict. `table` and `what_if` name the columns that always
    come. `always` are the results that no answer lacks. `draws` says that the answer has a picture. `measures`
    says that it finds out what the build is: then it is no part of the build sheet, and compares with no
    original. `example` is a build that shows it off, in wire values. `row` is the row of the pages that its
    verdict stands in, by default one of its own; of several questions in a row, the one that `leads` says the
    sentence. `crossed` are the lists, beside the curves of the engine, of which it takes each item with each of
    the others: what one build needs of memory grows with the product of their lengths.
    """

    name: str
    asks: str
    needs: tuple[str, ...]
    uses: tuple[str, ...]
    results: tuple[str, ...]
    main: str
    answer: Callable[[Build], Answer]
    example: Mapping[str, object]
    table: tuple[str, ...] = ()
    what_if: tuple[str, ...] = ()
    draws: bool = False
    always: tuple[str, ...] = ()
    spoken: str = ""
    measures: bool = False
    row: str = ""
    leads: bool = False
    crossed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Keep each field that it uses once, though several groups of fields may have it."""
        others = dict.fromkeys(name for name in self.uses if name not in self.needs)
        object.__setattr__(self, "uses", tuple(others))

    @property
    def fields(self) -> tuple[str, ...]:
        """All fields it may read."""
        return self.needs + self.uses

    def at_once(self, value: Callable[[str], Any]) -> int:
        """How many builds with such lists, of one or a column, None if not given, are answered within some 50 MB."""
        points = -(-_longest(_ENGINE_CURVES, value) // _POINTS_OF_PEAKS)
        return max(1, _MOST_ITEMS // prod((points, *(_longest((name,), value) for name in self.crossed))))


def _longest(names: Iterable[str], value: Callable[[str], Any]) -> int:
    """Items of the longest of some lists, also of the vehicle before the change; 1 if there are none."""
    lists = ((name, value(one)) for name in names for one in (name, ORIGINAL + name))
    return max((FIELDS[name].items(given) for name, given in lists if given is not None), default=1)


class Part(NamedTuple):
    """The answer to one question as a part of another's, with its own account of the build."""

    question: Question
    build: Build
    answer: Answer


class Sheet(NamedTuple):
    """What an answer made of others adds: its first figures, its parts, and the fields others lack.

    `speaking` finds the part whose summary stands for all.
    """

    head: tuple[str, ...]
    parts: tuple[Part, ...]
    missing: Mapping[str, Sequence[str]]
    speaking: Callable[[], Part]


def column(name: str, values: Sequence[Any] | NDArray[Any]) -> Column:
    """A table column of a result in the glossary."""
    return Column(name, RESULTS[name].quantity, values)


def by_level(cautions: Iterable[Caution]) -> list[Caution]:
    """Cautions with the gravest first, otherwise in their order."""
    each = tuple(cautions)
    return [caution for level in LEVELS for caution in each if caution.level == level]


def verdict(question: Question, answer: Answer) -> Verdict:
    """The verdict on one build.

    `unknown` stands where the main result cannot be known; that there is no limit, or that no value does, is
    known.
    """
    found = {caution.level for caution in answer.cautions if caution.where}
    if "stop" in found:
        return "stop"
    main = answer.result[question.main]
    if main is None or (
        isinstance(main, np.ndarray | np.generic) and main.dtype.kind == "f" and np.isnan(main)
    ):
        return "unknown"
    return "check" if "check" in found else "clear"
