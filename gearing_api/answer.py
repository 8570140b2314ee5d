"""What a question gives back: SI values with their quantities, cautions and sources."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.build import Build
from gearing_api.units import Quantity
from gearing_api.vocabulary import RESULTS

Value = NDArray[Any] | np.generic | str | None
Basis = Literal["published", "common practice", "from memory"]
Role = Literal["gear", "path", "before", "needed", "mark"]


class Source(NamedTuple):
    """What a number rests on. `kind` is how good the evidence is."""

    what: str
    kind: Basis
    source: str


class Caution(NamedTuple):
    """A sentence that must be read with the numbers; `where` tells for which builds."""

    code: str
    text: str
    where: NDArray[np.bool_] | np.bool_ | bool = True


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
    """One line of a curve, in SI; `role` is what it tells, not how it is drawn.

    A `gear` is what one gear does, a `path` is driven through several of them, `before` is the set-up before
    the change, `needed` is what must be met, and a `mark` is one point to read off.
    """

    label: str
    role: Role
    x: NDArray[Any]
    y: NDArray[Any]


class Curve(NamedTuple):
    """What a chart of the answer shows, for one build."""

    title: str
    about: str
    x: Axis
    y: Axis
    lines: tuple[Line, ...]


class Answer(NamedTuple):
    """The answer for one build or a column of builds.

    A result is an array of shape () or (builds,), a word, or None where it cannot be known. `table`,
    `what_if`, the results after single changes to the build, and `curve` are made when asked for, and only
    for one build. `sheet` is there where the answer is made of the answers to other questions.
    """

    result: Mapping[str, Value]
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...] = ()
    table: Callable[[], tuple[Column, ...]] | None = None
    what_if: Callable[[], tuple[Column, ...]] | None = None
    sheet: "Sheet | None" = None
    curve: Callable[[], Curve] | None = None


@dataclass(frozen=True)
class Question:
    """A question: what it needs and uses of a build, what it gives, and how it is answered.

    `needs` are the fields without which there is no answer. `table` and `what_if` name the columns
    that always come. `draws` says that the answer has a curve. `example` is a build that shows it off, in
    wire values.
    """

    name: str
    asks: str
    needs: tuple[str, ...]
    uses: tuple[str, ...]
    results: tuple[str, ...]
    answer: Callable[[Build], Answer]
    example: Mapping[str, object]
    table: tuple[str, ...] = ()
    what_if: tuple[str, ...] = ()
    draws: bool = False

    @property
    def fields(self) -> tuple[str, ...]:
        """All fields it may read."""
        return self.needs + self.uses


class Part(NamedTuple):
    """The answer to one question as a part of another's, with its own account of the build."""

    question: Question
    build: Build
    answer: Answer


class Sheet(NamedTuple):
    """What an answer made of others adds: its first figures, its parts, and the fields others lack."""

    head: tuple[str, ...]
    parts: tuple[Part, ...]
    missing: Mapping[str, Sequence[str]]


def column(name: str, values: Sequence[Any] | NDArray[Any]) -> Column:
    """A table column of a result in the glossary."""
    return Column(name, RESULTS[name].quantity, values)


def not_known(results: Sequence[str], without: str) -> Caution:
    """The caution that these results are null, and what would make them known."""
    verb = "is" if len(results) == 1 else "are"
    return Caution("not-known", f"{', '.join(results)} {verb} not known without {without}.")
