"""The answer to a shortlist: rows best first, the cheapest, and the steps that lead to it."""

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any, Self

from gearing_client.answers import Absent, Caution, Source, Value, read_cautions, read_sources, to_frame
from gearing_client.errors import FieldError
from gearing_client.transport import field_errors

if TYPE_CHECKING:
    from pandas import DataFrame


@dataclass(frozen=True, slots=True)
class Miss:
    """A target that a row misses: by how much, in its unit and in parts of the target; None where unknown."""

    name: str
    bound: str
    by: float | None
    share: float | None


@dataclass(frozen=True, slots=True)
class Choice:
    """One combination: what is chosen of each part, what it costs, and what comes of it.

    `meets` is ``all``, ``some`` or ``none`` of the targets, None where a figure is not known; `gives_up` says
    what other rows do better. `cautions` are those of the levels stop and check.

    With bands, `ranges` hold the figures of 9 in 10 builds like this one; `meets_share` and `best_share` say in
    which share of draws it meets all targets and is the best, `regret` what it lacks at most in 9 of 10 draws
    against the best, by aim; `depends_on` the fields that decide about the target missed most often.
    """

    label: str
    choices: Mapping[str, Any]
    verdict: str
    sums: Mapping[str, float]
    results: Mapping[str, float | None]
    absent: Mapping[str, Absent]
    meets: str | None
    misses: tuple[Miss, ...]
    gives_up: str
    cautions: tuple[Caution, ...]
    ranges: Mapping[str, tuple[float | None, float | None]]
    meets_share: float | None
    best_share: float | None
    regret: Mapping[str, float | None]
    depends_on: Mapping[str, float]

    @classmethod
    def read(cls, row: Mapping[str, Any]) -> Self:
        """The row in a document of the service."""
        return cls(
            label=row["label"],
            choices=row["choices"],
            verdict=row["verdict"],
            sums=row["sums"],
            results=row["results"],
            absent={
                name: Absent(reason["why"], tuple(reason.get("fields", ())))
                for name, reason in row["absent"].items()
            },
            meets=row["meets"],
            misses=tuple(
                Miss(miss["name"], miss["bound"], miss["by"], miss.get("share")) for miss in row["misses"]
            ),
            gives_up=row["gives_up"],
            cautions=read_cautions(row),
            ranges={name: (low, high) for name, (low, high) in row.get("ranges", {}).items()},
            meets_share=row.get("meets_share"),
            best_share=row.get("best_share"),
            regret=row.get("regret", {}),
            depends_on={cause["field"]: cause["share"] for cause in row.get("depends_on", ())},
        )

    def cells(self) -> dict[str, Value]:
        """The row of a table: a result that has the name of a part stands as ``name (result)``."""
        figures = {**self.sums, **self.results}
        named = {
            f"{name} (result)" if name in self.choices else name: value for name, value in figures.items()
        }
        return {
            **self.choices,
            **named,
            "meets": self.meets,
            **({} if self.meets_share is None else {"meets_share": self.meets_share}),
            "verdict": self.verdict,
            "gives_up": self.gives_up,
        }


@dataclass(frozen=True, slots=True)
class Step:
    """One change on the way to the cheapest row: `sums` are what it costs, `adds` what it changes."""

    key: str
    before: Any
    after: Any
    sums: Mapping[str, float]
    adds: Mapping[str, float | None]
    text: str


@dataclass(frozen=True, slots=True, repr=False)
class Shortlist:
    """Which parts together meet the targets, best first: ``for choice in shortlist``.

    `combinations` were computed, `meeting` of them meet all targets, and others beat `beaten` of those, which
    are left out. `cheapest` is None where none meets all, or nothing is added up.
    """

    units: str
    verdict: str
    summary: str
    combinations: int
    meeting: int
    beaten: int
    rows: tuple[Choice, ...]
    cheapest: Choice | None
    steps: tuple[Step, ...]
    result_units: Mapping[str, str]
    cautions: tuple[Caution, ...]
    errors: tuple[FieldError, ...]
    sources: tuple[Source, ...]
    _document: Mapping[str, Any]

    @classmethod
    def read(cls, document: Mapping[str, Any]) -> Self:
        """The answer in a document of the service."""
        cheapest = document["cheapest"]
        return cls(
            units=document["units"],
            verdict=document["verdict"],
            summary=document["summary"],
            combinations=document["combinations"],
            meeting=document["meeting"],
            beaten=document["beaten"],
            rows=tuple(map(Choice.read, document["rows"])),
            cheapest=None if cheapest is None else Choice.read(cheapest),
            steps=tuple(
                Step(step["key"], step["from"], step["to"], step["sums"], step["adds"], step["text"])
                for step in document["steps"]
            ),
            result_units=document["result_units"],
            cautions=read_cautions(document),
            errors=field_errors(document),
            sources=read_sources(document),
            _document=document,
        )

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Choice]:
        return iter(self.rows)

    def __repr__(self) -> str:
        return f"Shortlist({self.summary})"

    def _repr_html_(self) -> str:
        """The summary and the rows, as notebooks show them."""
        if not self.rows:
            return f"<p>{escape(self.summary)}</p>"
        rows = [row.cells() for row in self.rows]
        head = "".join(f"<th>{escape(name)}</th>" for name in rows[0])
        body = "".join(
            "<tr>" + "".join(f"<td>{escape(str(cell))}</td>" for cell in row.values()) + "</tr>"
            for row in rows
        )
        return f"<p>{escape(self.summary)}</p><table><tr>{head}</tr>{body}</table>"

    def to_dict(self) -> dict[str, Any]:
        """The whole answer as the service gave it, as plain data of your own."""
        return deepcopy(dict(self._document))

    def to_frame(self) -> "DataFrame":
        """A pandas DataFrame with a row a choice; units by column stand in ``frame.attrs["units"]``.

        Raises
        ------
        ImportError
            If pandas is not installed.
        """
        rows = [row.cells() for row in self.rows]
        names = dict.fromkeys(name for row in rows for name in row)
        return to_frame({name: [row.get(name) for row in rows] for name in names}, self.result_units)
