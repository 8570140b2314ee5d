"""An answer as one plain document in the units of the build: what every format is made from."""

import math
from collections.abc import Sequence
from functools import cache
from typing import Any

import numpy as np

from gearing_api.answer import Answer, Column, Curve, Question, Sheet, Source, Value
from gearing_api.build import Build
from gearing_api.units import Quantity, System
from gearing_api.vocabulary import RESULTS, FieldError, InvalidBuild, hint

Document = dict[str, Any]


def document(question: Question, build: Build, answer: Answer, *, drawn: bool = False) -> Document:
    """The answer to one build, with plain numbers, words, lists and dicts only; its curve if `drawn`."""
    system = build.system
    curve = {"curve": _curve(answer.curve(), system)} if drawn and answer.curve else {}
    tables = {
        name: _table(columns(), system)
        for name, columns in (("table", answer.table), ("what_if", answer.what_if))
        if columns
    }
    made: Document = {
        "question": question.name,
        "units": system,
        "given": build.used(),
        "assumed": build.assumed(),
        "result": {
            name: plain(value, RESULTS[name].quantity, system) for name, value in answer.result.items()
        },
        "result_units": _result_units(tuple(answer.result), system),
    }
    made |= tables | curve
    if answer.sheet is not None:
        made |= _sheet(answer.sheet)
    made["cautions"] = [
        {"code": caution.code, "text": caution.text} for caution in answer.cautions if caution.where
    ]
    made["sources"] = [_source(source) for source in answer.sources]
    return made


def _sheet(sheet: Sheet) -> Document:
    return {
        "head": list(sheet.head),
        "parts": {part.question.name: document(*part) for part in sheet.parts},
        "missing": {name: list(fields) for name, fields in sheet.missing.items()},
    }


@cache
def _result_units(names: tuple[str, ...], system: System) -> dict[str, str]:
    return {name: RESULTS[name].unit(system) for name in names}


@cache
def _source(source: Source) -> dict[str, str]:
    return {"what": source.what, "kind": source.kind, "source": source.source}


def plain(value: Value, quantity: Quantity | None, system: System) -> Any:
    """One result as a plain number or word; None where it is not finite."""
    if value is None or isinstance(value, str):
        return value
    if quantity is None:
        return value.item()
    number = value.item() / quantity.factor(system)
    return number if math.isfinite(number) else None


def plain_column(
    values: Sequence[Any] | np.ndarray[Any, Any], quantity: Quantity | None, system: System
) -> list[Any]:
    """A column as plain numbers or words; None where a number is not finite."""
    cells: list[Any] = values.tolist() if isinstance(values, np.ndarray) else list(values)
    if quantity is None:
        return cells
    factor = quantity.factor(system)
    if factor != 1.0:
        cells = [cell / factor for cell in cells]
    if math.isfinite(sum(cells)):
        return cells
    return [cell if math.isfinite(cell) else None for cell in cells]


def _curve(curve: Curve, system: System) -> Document:
    return {
        "title": curve.title,
        "about": curve.about,
        "axes": [{"name": axis.name, "unit": axis.quantity.unit(system)} for axis in (curve.x, curve.y)],
        "lines": [
            {
                "label": line.label,
                "role": line.role,
                "x": plain_column(line.x, curve.x.quantity, system),
                "y": plain_column(line.y, curve.y.quantity, system),
            }
            for line in curve.lines
        ],
    }


def _table(columns: tuple[Column, ...], system: System) -> Document:
    values = [plain_column(column.values, column.quantity, system) for column in columns]
    return {
        "columns": [column.name for column in columns],
        "units": [column.quantity.unit(system) if column.quantity else "" for column in columns],
        "rows": list(map(list, zip(*values, strict=True))),
    }


def picked(whole: Document, names: Sequence[str]) -> Document:
    """The document with only the results and table columns of those names.

    Raises
    ------
    InvalidBuild
        If a name is neither a result nor a column of this answer.
    """
    results, table = whole["result"], whole.get("table")
    columns: list[str] = table["columns"] if table else []
    for name in names:
        if name not in results and name not in columns:
            detail = f"names no result of {whole['question']}{hint(name, [*results, *columns])}"
            raise InvalidBuild([FieldError("pick", detail, name)])
    only_results = [name for name in names if name not in columns]
    only_columns = [name for name in names if name not in results]
    if only_results and only_columns:
        mixed = f"mixes a result, {only_results[0]}, with a column of the table, {only_columns[0]}"
        raise InvalidBuild([FieldError("pick", f"{mixed}: pick one kind at a time")])
    kept = whole | {
        "result": {name: results[name] for name in names if name in results},
        "result_units": {name: whole["result_units"][name] for name in names if name in results},
    }
    for name in ("table", "what_if"):
        kept.pop(name, None)
    if table and only_columns:
        places = [columns.index(name) for name in names if name in columns]
        kept["table"] = {
            "columns": [columns[place] for place in places],
            "units": [table["units"][place] for place in places],
            "rows": [[row[place] for place in places] for row in table["rows"]],
        }
    return kept
