"""Serve the tables as pages, for people who open their addresses."""

from collections.abc import Mapping
from typing import Any, NamedTuple
from urllib.parse import urlencode

from flask import Request, Response, render_template

from gearing_api import units
from gearing_api.formats.document import Document
from gearing_api.http import headers
from gearing_api.http.fixed import compressible
from gearing_api.http.pages.bench import as_words
from gearing_api.http.served_tables import QUESTIONS_COLUMN
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import FIELDS

_ADDRESS = "address"
"""The column of the directory that has the address of each table."""

_LONG = 40
"""Characters from which a cell is prose, and its column wide."""


class Cell(NamedTuple):
    """One cell as the page shows it; `links` are texts and addresses that stand in place of its text."""

    text: str
    kind: str = ""
    links: tuple[tuple[str, str], ...] = ()


class Fold(NamedTuple):
    """One quantity: what bare numbers of it are in, and its units, those that are the same together."""

    title: str
    bare: str
    units: list[tuple[str, str]]


def page(table: Document, request: Request) -> Response:
    """Respond with the page of a table; columns in which every cell is empty are left out."""
    question = request.args.get("question", "")
    named = [_named_cells(table, row) for row in table["rows"]]
    sources = {row["source"].text for row in named if "source" in row}
    left_out = {QUESTIONS_COLUMN} if question else set()
    if len(sources) == 1:
        left_out.add("source")
    columns = [name for name in named[0] if name not in left_out and any(row[name].text for row in named)]
    unit_of = dict(zip(table["columns"], table["units"], strict=True))
    text = render_template(
        "table.html",
        title=as_words(table["table"]),
        table=table,
        question=question,
        source=sources.pop() if len(sources) == 1 else "",
        query=f"?{urlencode({'question': question})}" if question else "",
        headings=[_heading(name, unit_of.get(name, "")) for name in columns],
        rows=[[row[name] for name in columns] for row in named],
        folds=_folds() if table["table"] == "units" else [],
    )
    response = compressible(text.encode(), "text/html; charset=utf-8", request)
    response.headers["Content-Security-Policy"] = headers.PAGE_POLICY
    return response


def _folds() -> list[Fold]:
    """Return the units of each quantity, one line for all spellings of one."""
    folds = []
    for quantity in units.QUANTITIES:
        alike: dict[float, list[str]] = {}
        for spelling, factor in quantity.factors.items():
            alike.setdefault(factor, []).append(spelling)
        bare = " or ".join(dict.fromkeys((quantity.us, quantity.metric)))
        per = quantity.factor("metric")
        lines = [
            (", ".join(spellings), f"{factor / per:.6g} {quantity.metric}")
            for factor, spellings in alike.items()
        ]
        folds.append(Fold(as_words(quantity.name), bare, lines))
    return folds


def _named_cells(table: Document, row: list[Any]) -> Mapping[str, Cell]:
    values = dict(zip(table["columns"], row, strict=True))
    if table["table"] == "fields":
        values = _field_values(values)
    kind = values.pop("kind", None)
    if kind:
        values["source"] = f"{values['source']} ({kind})"
    return {name: _cell(name, value) for name, value in values.items()}


def _field_values(values: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a person reads of a field: its bounds as a sentence in each system of units."""
    in_us, in_metric = (FIELDS[values["name"]].kind.accepted(system) for system in ("us", "metric"))
    return {
        "name": values["name"],
        "meaning": values["meaning"],
        "accepted": in_us,
        "in metric units": in_metric if in_metric != in_us else None,
        "if not given": values["default"] if values["default"] is not None else values["instead"],
        QUESTIONS_COLUMN: values[QUESTIONS_COLUMN],
        "kind": values["kind"],
        "source": values["source"],
    }


def _heading(name: str, unit: str) -> str:
    words = as_words(name).replace("Us ", "US ").replace("Si ", "SI ")
    return f"{words}, {unit}" if unit else words


def _cell(column: str, value: Any) -> Cell:
    if value is None or value == "":
        return Cell("")
    if isinstance(value, bool):
        return Cell("yes" if value else "no")
    if isinstance(value, int | float):
        return Cell(f"{value:.10g}", "number")
    if column == _ADDRESS:
        return Cell(value, links=((value, value),))
    if column == QUESTIONS_COLUMN:
        names = value.split()
        if len(names) == len(QUESTIONS):
            return Cell("all")
        return Cell(value, "prose", tuple((name, f"/docs/{name}") for name in names))
    return Cell(value, "prose" if len(value) > _LONG else "")
