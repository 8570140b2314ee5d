"""Many builds in one request: rows of CSV, columns of JSON, and every combination of varied fields."""

import csv
import io
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
from flask import Request, Response
from numpy.typing import NDArray

from gearing_api.columns import Rows, answered, read_column, told_by_row
from gearing_api.comparisons import Plan, blocks, read_plan, told_in
from gearing_api.formats import FORMATS
from gearing_api.formats.delimited import rows_as_csv
from gearing_api.formats.streams import (
    ERROR,
    columns_as_json,
    csv_heading,
    csv_rows,
    ndjson_heading,
    ndjson_rows,
    plain,
)
from gearing_api.formats.wishes import Wishes
from gearing_api.http.problems import Problem, field_errors
from gearing_api.http.reading import Reading, body_bytes, json_object, query_of, refused, split, with_point
from gearing_api.questions.answer import Question, Source
from gearing_api.settings import Settings
from gearing_api.units import System
from gearing_api.vocabulary import FIELDS, RESULTS, Fault, Refused, nearest, unknown_field

CAUTIONS = "cautions"
UNREAD = "_"
OFFLINE = "gearing-api sweep PLAN.json --out results.csv"

Columns = dict[str, NDArray[Any]]


def _options(request: Request) -> Reading:
    """The options in the address of a request for many builds, which holds nothing else."""
    asked = split(dict(query_of(request)), "query")
    if asked.raw:
        raise refused([Fault(name, "is no option: fields stand in the body") for name in asked.raw], "query")
    return asked


def csv_batch(question: Question, request: Request, settings: Settings) -> Response:
    """The rows of the body as they came, with a column a result, codes of cautions, and what went wrong.

    Raises
    ------
    Problem
        400, 413, 415 or 422 where no row can be answered.
    """
    asked = _options(request)
    headings, cells = _csv_cells(request, settings, asked.wishes)
    width = len(headings)
    columns: dict[str, Any] = {}
    for place, name in enumerate(headings):
        if not name.startswith(UNREAD):
            texts = [row[place].strip() if place < len(row) else "" for row in cells]
            columns[name] = [with_point(text) for text in texts] if asked.wishes.decimal_comma else texts
    rows = _ask(question, columns, len(cells), asked.system)
    for place, row in enumerate(cells):
        if len(row) > width:
            rows.refuse([place], [Fault("row", f"has {len(row)} cells under {width} headings")])
    results = _wanted(_in_units(rows, asked.system), asked.wishes.pick, question)
    told, codes = told_by_row(rows.faults), _codes(rows)
    shown = zip(cells, *(plain(values) for values in results.values()), codes, strict=True)
    made = rows_as_csv(
        [*headings, *results, CAUTIONS, ERROR],
        (
            [*row[:width], *[""] * (width - len(row)), *values, told.get(place)]
            for place, (row, *values) in enumerate(shown)
        ),
        asked.wishes,
    )
    return Response(made, content_type=FORMATS["csv"].media_type)


def _csv_cells(request: Request, settings: Settings, wishes: Wishes) -> tuple[list[str], list[list[str]]]:
    try:
        text = body_bytes(request, settings.many_bytes).decode("utf-8-sig")
        separator = ";" if wishes.decimal_comma else ","
        lines = [
            row for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True) if row
        ]
    except (UnicodeDecodeError, csv.Error) as error:
        raise Problem(400, "The body cannot be read: it is not well-formed CSV in UTF-8.") from error
    if not lines:
        raise Problem(400, "The body cannot be read: its first line must name the fields.")
    headings, cells = [heading.strip() for heading in lines[0]], lines[1:]
    faults = [Fault(name, "heads two columns") for name in {*headings} if headings.count(name) > 1]
    faults += [unknown_field(name) for name in headings if name not in FIELDS and not name.startswith(UNREAD)]
    if faults:
        hint = " (with decimal=comma the separator is a semicolon)" if ";" in lines[0][0] else ""
        raise refused([Fault(fault.field, fault.detail + hint) for fault in faults], "body")
    _check_rows(len(cells), settings)
    return headings, cells


def _check_rows(count: int, settings: Settings) -> None:
    if count > settings.rows:
        raise Problem(413, f"There are {count} rows: at most {settings.rows} are answered at a time.")


def json_batch(question: Question, request: Request, settings: Settings) -> Response:
    """Columns in, columns out: a list is one value a build, anything else is the same for all.

    Raises
    ------
    Problem
        400, 413, 415 or 422 where no row can be answered.
    """
    body = json_object(request, settings.many_bytes)
    columns = body.pop("columns", None)
    asked = split({**query_of(request), **body}, "body")
    faults = [Fault(name, "stands beside columns: put fields into columns") for name in asked.raw]
    if not isinstance(columns, dict):
        faults.append(
            Fault("columns", "must be an object of fields, each one value or a list of one a build")
        )
    if faults:
        raise refused(faults, "body")
    columns = (
        {name: with_point(raw) for name, raw in columns.items()} if asked.wishes.decimal_comma else columns
    )
    count = _common_length(columns, settings)
    rows = _ask(question, columns, count, asked.system)
    results = _wanted(_in_units(rows, asked.system), asked.wishes.pick, question)
    around = {
        "question": question.name,
        "units": asked.system,
        "count": count,
        "column_units": {name: RESULTS[name].unit(asked.system) for name in results},
        **_told_as_json([rows], rows.faults, "/columns", settings),
    }
    return Response(columns_as_json(around, results), content_type="application/json")


def _common_length(columns: Mapping[str, Any], settings: Settings) -> int:
    faults = [unknown_field(name) for name in columns if name not in FIELDS]
    if faults:
        raise refused(faults, "body")
    lengths = {name: len(raw) for name, raw in columns.items() if isinstance(raw, list)}
    if len({*lengths.values()}) > 1:
        told = ", ".join(f"{name} has {length}" for name, length in lengths.items())
        raise refused([Fault("columns", f"must have lists of one length: {told}")], "body")
    count = next(iter(lengths.values()), 1)
    _check_rows(count, settings)
    return count


def _ask(question: Question, columns: Mapping[str, Any], count: int, system: System) -> Rows:
    pools, picks = {}, {}
    for name, raw in columns.items():
        pools[name], picks[name] = read_column(name, raw, count, system)
    return answered(question, pools, picks, count, system)


def _in_units(rows: Rows, system: System) -> Columns:
    return {
        name: values if (quantity := RESULTS[name].quantity) is None else quantity.out(values, system)
        for name, values in rows.results.items()
    }


def _wanted(results: Columns, picks: tuple[str, ...], question: Question) -> Columns:
    for name in picks:
        if name not in results:
            close = nearest(name, results)
            hint = f"; the nearest is {close}" if close else ""
            raise refused([Fault("pick", f"names no result of {question.name}{hint}", name)], "query")
    return {name: results[name] for name in picks} if picks else results


def _codes(rows: Rows) -> list[str]:
    codes: list[dict[str, None]] = [{} for _ in range(rows.count)]
    for (code, _), marks in rows.cautions.items():
        for row in np.flatnonzero(marks).tolist():
            codes[row][code] = None
    return [" ".join(row) for row in codes]


def _told_as_json(
    parts: list[Rows], faults: Mapping[int, list[Fault]], where: str, settings: Settings
) -> dict[str, Any]:
    """Errors by row, cautions with how many builds they hold for, and sources."""
    listed = sorted(faults)[: settings.row_errors_listed]
    told: dict[str, Any] = {
        "errors": [
            {"index": row, **error, "pointer": where + error["pointer"]}
            for row in listed
            for error in field_errors(faults[row], "body")
        ],
        "error_count": len(faults),
    }
    if len(faults) > len(listed):
        told["errors_not_listed"] = len(faults) - len(listed)
    counts: dict[tuple[str, str], int] = {}
    sources: dict[Source, None] = {}
    for part in parts:
        for caution, marks in part.cautions.items():
            counts[caution] = counts.get(caution, 0) + int(marks.sum())
        for answer in part.answers:
            sources |= dict.fromkeys(answer.sources)
    told["cautions"] = [
        {"code": code, "text": text, "count": count} for (code, text), count in counts.items() if count
    ]
    told["sources"] = [source._asdict() for source in sources]
    return told


def comparison(request: Request, suffix: str | None, settings: Settings) -> Response:
    """Every combination of the varied fields, as columns of JSON or streamed as CSV or NDJSON.

    Raises
    ------
    Problem
        400, 406, 413, 415 or 422; 422 also where there are more cells than the limit.
    """
    asked = _options(request)
    try:
        plan = read_plan(json_object(request, settings.body_bytes))
    except Refused as error:
        raise refused(error.faults, "body") from error
    computed = plan.count if plan.sort else plan.rows
    cells = computed * len(plan.columns)
    if cells > settings.cells:
        detail = (
            f"makes {computed} rows x {len(plan.columns)} columns = {cells} cells: at most {settings.cells} "
            f"are computed at a time. Any size can be computed offline: {OFFLINE}"
        )
        raise refused([Fault("vary", detail)], "body")
    form = suffix or _form(request)
    if form == "csv":
        return Response(_csv_stream(plan, asked.wishes), content_type=FORMATS["csv"].media_type)
    if form == "ndjson":
        return Response(_ndjson_stream(plan), content_type="application/x-ndjson")
    return _comparison_json(plan, settings)


COMPARISON_FORMATS = {"json": "application/json", "csv": "text/csv", "ndjson": "application/x-ndjson"}


def _form(request: Request) -> str:
    if not request.accept_mimetypes:
        return "json"
    found = request.accept_mimetypes.best_match(COMPARISON_FORMATS.values())
    if found is None:
        raise Problem(406, "The formats here are " + ", ".join(COMPARISON_FORMATS.values()) + ".")
    return next(form for form, media_type in COMPARISON_FORMATS.items() if media_type == found)


def _csv_stream(plan: Plan, wishes: Wishes) -> Iterator[bytes]:
    yield csv_heading(plan.columns, wishes)
    for block in blocks(plan):
        yield csv_rows(block.columns, told_in(block), wishes)


def _ndjson_stream(plan: Plan) -> Iterator[bytes]:
    yield ndjson_heading(plan.columns, [plan.unit(name) for name in plan.columns])
    for block in blocks(plan):
        yield ndjson_rows(block.columns, told_in(block))


def _comparison_json(plan: Plan, settings: Settings) -> Response:
    parts = list(blocks(plan))
    columns = {name: np.concatenate([part.columns[name] for part in parts]) for name in plan.columns}
    faults = {row: found for part in parts for row, found in part.faults.items()}
    around = {
        "question": "comparison",
        "units": plan.system,
        "count": plan.rows,
        "column_units": {name: plan.unit(name) for name in plan.columns},
        **_told_as_json([rows for part in parts for rows in part.answers], faults, "/rows", settings),
    }
    return Response(columns_as_json(around, columns), content_type="application/json")
