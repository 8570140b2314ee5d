"""Serve the tables under /v1/tables: those in files, and those made from vocabulary and units."""

from collections.abc import Callable
from functools import cache
from typing import Any

from gearing_api import tables, units, vocabulary
from gearing_api.fields import Number
from gearing_api.formats.document import Document
from gearing_api.mechanics import gearing
from gearing_api.questions import QUESTIONS

_UNIT_SOURCE = (
    "computed",
    "Definition of the unit: yard and pound agreement (1959), NIST Handbook 44, SI Brochure",
)


def _units() -> Document:
    rows = [
        [quantity.name, spelling, factor, quantity.us, quantity.metric, *_UNIT_SOURCE]
        for quantity in units.QUANTITIES
        for spelling, factor in quantity.factors.items()
    ]
    return _made(
        "units",
        "Every unit a field may come in, with its value in SI. Case and spaces do not matter.",
        ["quantity", "spelling", "si_value", "us_unit", "metric_unit", "kind", "source"],
        rows,
    )


def _fields() -> Document:
    rows = [_field_row(field) for field in vocabulary.FIELDS.values()]
    return _made(
        "fields",
        "Every field of a build: its units and bounds in both systems, what is taken where it is not given, "
        "its meaning, and the questions that use it.",
        [
            "name",
            "us_unit",
            "us_lowest",
            "us_highest",
            "metric_unit",
            "metric_lowest",
            "metric_highest",
            "accepted",
            "default",
            "instead",
            "meaning",
            "questions",
            "kind",
            "source",
        ],
        rows,
    )


def _field_row(field: vocabulary.Field) -> list[Any]:
    number = getattr(field.kind, "item", field.kind)
    cells: list[Any] = []
    for system in units.SYSTEMS:
        if isinstance(number, Number):
            cells += [number.quantity.unit(system), *number.bounds(system)]
        else:
            cells += [None, None, None]
    users = " ".join(name for name, question in QUESTIONS.items() if field.name in question.fields)
    return [
        field.name,
        *cells,
        field.kind.accepted("us"),
        field.default,
        field.instead,
        field.meaning,
        users,
        *field.basis,
    ]


def _results() -> Document:
    rows = [
        [
            result.name,
            result.unit("us"),
            result.unit("metric"),
            result.meaning,
            " ".join(
                name
                for name, question in QUESTIONS.items()
                if result.name in question.results + question.table + question.what_if
            ),
            "computed",
            "This service; the sources stand in each answer",
        ]
        for result in vocabulary.RESULTS.values()
    ]
    return _made(
        "results",
        "Every result and table column, with its unit in both systems.",
        ["name", "us_unit", "metric_unit", "meaning", "questions", "kind", "source"],
        rows,
    )


def _ring_pinion_pairs() -> Document:
    made = _from_file("ring-pinion-pairs")
    place = {name: made["columns"].index(name) for name in ("ring_teeth", "pinion_teeth")}
    for row in made["rows"]:
        ring, pinion = row[place["ring_teeth"]], row[place["pinion_teeth"]]
        row[0:0] = [float(gearing.tooth_ratio(ring, pinion)), bool(gearing.is_hunting(ring, pinion))]
    made["columns"][0:0] = ["axle_ratio", "teeth_hunt"]
    made["units"][0:0] = ["", ""]
    return made


def _from_file(name: str) -> Document:
    table = tables.table(name)
    return {
        "table": name,
        "about": table.about,
        "columns": list(table.columns),
        "units": list(table.units),
        "rows": [list(row) for row in table.rows],
    }


def _made(name: str, about: str, columns: list[str], rows: list[list[Any]]) -> Document:
    return {"table": name, "about": about, "columns": columns, "units": [""] * len(columns), "rows": rows}


_MADE: dict[str, Callable[[], Document]] = {
    "units": _units,
    "fields": _fields,
    "results": _results,
    "ring-pinion-pairs": _ring_pinion_pairs,
}

NAMES: tuple[str, ...] = tuple(sorted({*tables.names(), *_MADE}))


@cache
def served(name: str) -> Document:
    """Return the table of that name as a document."""
    return _MADE[name]() if name in _MADE else _from_file(name)


QUESTIONS_COLUMN = "questions"


def of_question(table: Document, name: object) -> Document:
    """Return the rows of a table of fields or results that one question has, in its order.

    Raises
    ------
    InvalidBuild
        If there is no such question.
    """
    question = QUESTIONS.get(str(name))
    if question is None:
        detail = f"is no question{vocabulary.hint(str(name), QUESTIONS)}"
        raise vocabulary.InvalidBuild([vocabulary.FieldError("question", detail, name)])
    place = table["columns"].index(QUESTIONS_COLUMN)
    order = [*question.fields, *question.results, *question.table, *question.what_if]
    rows = [row for row in table["rows"] if question.name in row[place].split()]
    return table | {"rows": sorted(rows, key=lambda row: order.index(row[0]))}


@cache
def directory() -> Document:
    """Return the list of the tables."""
    rows = [[name, f"/v1/tables/{name}", len(served(name)["rows"]), served(name)["about"]] for name in NAMES]
    return _made("tables", "The tables the answers rest on.", ["name", "address", "rows", "about"], rows)
