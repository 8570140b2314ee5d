"""What comes back: small frozen objects that hold an answer as the service gave it."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, Self

from gearing_client.errors import FieldError
from gearing_client.transport import field_errors

if TYPE_CHECKING:
    from pandas import DataFrame

Value = float | str | bool | None

_FINDINGS = ("build", "understood", "unused", "ask")
"""What answers about measurements have besides, each an attribute: fields to add to the build, and more."""


@dataclass(frozen=True, slots=True)
class Caution:
    """A sentence to read with the numbers; `level` is ``stop``, ``check`` or ``note``.

    `count` is for how many builds it holds, where many were sent.
    """

    code: str
    text: str
    count: int | None = None
    level: str = ""


@dataclass(frozen=True, slots=True)
class Absent:
    """Why a result has no value; `fields` are those that would make it known."""

    why: str
    fields: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Driver:
    """A field that explains a part of a range; `narrower` is what would make the range narrower, if anything."""

    field: str
    share: float
    narrower: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """What a number rests on; `kind` is how good the evidence is."""

    what: str
    kind: str
    source: str


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under named columns, each with the unit of its numbers.

    `table["gear"]` is a column, `table.rows[0]` a row by name of column; so it iterates.
    """

    columns: tuple[str, ...]
    units: tuple[str, ...]
    cells: tuple[tuple[Value, ...], ...]

    @classmethod
    def read(cls, document: Mapping[str, Any]) -> Self:
        """The table in a document of the service."""
        return cls(
            tuple(document["columns"]),
            tuple(document["units"]),
            tuple(tuple(row) for row in document["rows"]),
        )

    def __getitem__(self, column: str) -> tuple[Value, ...]:
        if column not in self.columns:
            raise KeyError(f"{column}: the columns are {', '.join(self.columns)}")
        place = self.columns.index(column)
        return tuple(row[place] for row in self.cells)

    def __len__(self) -> int:
        return len(self.cells)

    def __iter__(self) -> Iterator[dict[str, Value]]:
        return (dict(zip(self.columns, row, strict=True)) for row in self.cells)

    @property
    def rows(self) -> list[dict[str, Value]]:
        """The rows in order, each by name of column."""
        return list(self)

    def to_dict(self) -> dict[str, Any]:
        """Columns, units and rows as plain lists."""
        return {
            "columns": list(self.columns),
            "units": list(self.units),
            "rows": [list(row) for row in self.cells],
        }

    def to_frame(self) -> "DataFrame":
        """A pandas DataFrame; units by column stand in ``frame.attrs["units"]``.

        Raises
        ------
        ImportError
            If pandas is not installed.
        """
        return to_frame(
            {name: self[name] for name in self.columns}, dict(zip(self.columns, self.units, strict=True))
        )


@dataclass(frozen=True, repr=False)
class Answer:
    """The answer to one question about one build.

    Every result is an attribute, ``answer.crawl_ratio``, and stands in `result` under its name; it is None
    where it cannot be known, and `absent` says why. `summary` is the answer in a sentence or two, `verdict` is
    ``stop``, ``unknown``, ``check`` or ``clear``. `original` are the results of the vehicle before the change,
    `change` by how much they differ. `given` are the fields used, as received; `assumed` is what was filled in
    for others. `what_if` are the results after single changes. With bands, `ranges` are the ends between which 9 in
    10 builds like this one lie, `drivers` what explains them, `shares` what comes out in which share of them.
    A build sheet has each question's own answer in `parts`, and in `missing` the fields that the others lack.
    """

    __slots__ = (  # by hand: in Python 3.11 subclasses of classes made with slots=True cannot be frozen
        "_document",
        "absent",
        "assumed",
        "cautions",
        "change",
        "drivers",
        "given",
        "missing",
        "original",
        "parts",
        "question",
        "ranges",
        "result",
        "result_units",
        "shares",
        "sources",
        "summary",
        "table",
        "units",
        "verdict",
        "what_if",
    )

    question: str
    units: str
    verdict: str
    summary: str
    given: Mapping[str, Any]
    assumed: Mapping[str, Any]
    result: Mapping[str, Any]
    result_units: Mapping[str, str]
    absent: Mapping[str, Absent]
    original: Mapping[str, Any]
    change: Mapping[str, float]
    table: Table | None
    what_if: Table | None
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
    parts: Mapping[str, "Answer"]
    missing: Mapping[str, tuple[str, ...]]
    ranges: Mapping[str, tuple[float | None, float | None]]
    drivers: Mapping[str, tuple[Driver, ...]]
    shares: Mapping[str, Mapping[str, float]]
    _document: Mapping[str, Any]

    @classmethod
    def read(cls, document: Mapping[str, Any]) -> Self:
        """The answer in a document of the service."""
        return cls(
            question=document["question"],
            units=document["units"],
            verdict=document.get("verdict", ""),
            summary=document.get("summary", ""),
            given=document["given"],
            assumed=document["assumed"],
            result=document["result"],
            result_units=document["result_units"],
            absent={
                name: Absent(reason["why"], tuple(reason.get("fields", ())))
                for name, reason in document.get("absent", {}).items()
            },
            original=document.get("original", {}),
            change=document.get("change", {}),
            table=Table.read(document["table"]) if "table" in document else None,
            what_if=Table.read(document["what_if"]) if "what_if" in document else None,
            cautions=read_cautions(document),
            sources=read_sources(document),
            parts={name: Answer.read(part) for name, part in document.get("parts", {}).items()},
            missing={name: tuple(fields) for name, fields in document.get("missing", {}).items()},
            ranges={name: (low, high) for name, (low, high) in document.get("ranges", {}).items()},
            drivers={
                name: tuple(Driver(**driver) for driver in drivers)
                for name, drivers in document.get("drivers", {}).items()
            },
            shares=document.get("shares", {}),
            _document=document,
        )

    if not TYPE_CHECKING:  # the classes of the questions tell a type checker which results they have

        def __getattr__(self, name: str) -> Value:
            if name in _FINDINGS and name in self._document:
                return self._document[name]
            if name not in self.result:
                raise AttributeError(f"{self.question} has no result {name}", name=name, obj=self)
            return self.result[name]

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self).read, (self._document,)

    def __dir__(self) -> list[str]:
        return [*object.__dir__(self), *self.result]

    def __repr__(self) -> str:
        shown = (f"{name}={value!r} {self.result_units.get(name, '')}" for name, value in self.result.items())
        return f"{type(self).__name__}({', '.join(map(str.rstrip, shown))})"

    def _repr_html_(self) -> str:
        """The summary and the results, as notebooks show them."""
        shown = "".join(
            f"<tr><td>{escape(name)}</td><td>{escape(str(value))}</td>"
            f"<td>{escape(self.result_units.get(name, ''))}</td></tr>"
            for name, value in self.result.items()
            if value is not None
        )
        told = "".join(
            f"<li>{escape(caution.text)}</li>" for caution in self.cautions if caution.level != "note"
        )
        return f"<p>{escape(self.summary)}</p><ul>{told}</ul><table>{shown}</table>"

    def to_dict(self) -> dict[str, Any]:
        """The whole answer as the service gave it, as plain data of your own."""
        return deepcopy(dict(self._document))


@dataclass(frozen=True, slots=True, repr=False)
class Answers:
    """The answers about many builds, as columns: ``answers["crawl_ratio"]`` has one value a build.

    A build that was refused has None in its row, and an entry in `errors` with its `index`; `error_count` is
    exact even where not all are listed.
    """

    question: str
    units: str
    columns: Mapping[str, list[Value]]
    column_units: Mapping[str, str]
    errors: tuple[FieldError, ...]
    error_count: int
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]
    _document: Mapping[str, Any]

    @classmethod
    def read(cls, document: Mapping[str, Any]) -> Self:
        """The answers in a document of the service."""
        return cls(
            question=document["question"],
            units=document["units"],
            columns=document["columns"],
            column_units=document["column_units"],
            errors=field_errors(document),
            error_count=document["error_count"],
            cautions=read_cautions(document),
            sources=read_sources(document),
            _document=document,
        )

    def __getitem__(self, column: str) -> list[Value]:
        if column not in self.columns:
            raise KeyError(f"{column}: the columns are {', '.join(self.columns)}")
        return self.columns[column]

    def __len__(self) -> int:
        return len(next(iter(self.columns.values()), []))

    def __repr__(self) -> str:
        return f"Answers({self.question}: {len(self)} rows of {', '.join(self.columns)})"

    def __iter__(self) -> Iterator[dict[str, Value]]:
        for row in zip(*self.columns.values(), strict=True):
            yield dict(zip(self.columns, row, strict=True))

    @property
    def rows(self) -> list[dict[str, Value]]:
        """The rows in order, each by name of column."""
        return list(self)

    def to_dict(self) -> dict[str, Any]:
        """The whole document as the service gave it, as plain data of your own."""
        return deepcopy(dict(self._document))

    def to_frame(self) -> "DataFrame":
        """A pandas DataFrame; units by column stand in ``frame.attrs["units"]``.

        Raises
        ------
        ImportError
            If pandas is not installed.
        """
        return to_frame(self.columns, self.column_units)


def read_cautions(document: Mapping[str, Any]) -> tuple[Caution, ...]:
    """The cautions in a document of the service."""
    return tuple(
        Caution(caution["code"], caution["text"], caution.get("count"), caution.get("level", ""))
        for caution in document["cautions"]
    )


def read_sources(document: Mapping[str, Any]) -> tuple[Source, ...]:
    """The sources in a document of the service."""
    return tuple(Source(source["what"], source["kind"], source["source"]) for source in document["sources"])


def to_frame(columns: Mapping[str, Any], units: Mapping[str, str]) -> "DataFrame":
    try:
        from pandas import DataFrame
    except ImportError as error:
        raise ImportError("to_frame needs pandas: pip install pandas") from error
    frame = DataFrame({name: list(values) for name, values in columns.items()})
    frame.attrs["units"] = dict(units)
    return frame
