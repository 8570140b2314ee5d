"""Many builds in one request: rows of CSV, columns of JSON, and every combination of varied fields."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from flask import Request, Response
from numpy.typing import NDArray

from gearing_api.answer import Question, Source
from gearing_api.batch.columns import CautionKey, Rows, TooVaried, answered, errors_by_row, read_column
from gearing_api.batch.comparisons import BLOCK, Block, Plan, blocks, joined, labels, read_plan
from gearing_api.fields import Coefficients, Curve, Ratios, Series
from gearing_api.formats import FORMATS
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import columns_as_json, csv_heading, csv_rows, ndjson_heading, ndjson_rows
from gearing_api.http.bodies import body_bytes
from gearing_api.http.negotiation import accepted
from gearing_api.http.problems import Problem, field_errors
from gearing_api.http.requests import (
    ParsedRequest,
    in_body,
    misplaced_in_query,
    parse_names,
    read_object,
    read_query,
    refusal,
    with_decimal_point,
)
from gearing_api.settings import Settings
from gearing_api.units import System
from gearing_api.vocabulary import FIELDS, RESULTS, FieldError, InvalidBuild, nearest, pointer, unknown_field

CAUTIONS = "cautions"
UNREAD = "_"
OFFLINE = "gearing-api sweep PLAN.json --out results.csv"

COMPARISON_FORMATS = {"json": "application/json", "csv": "text/csv", "ndjson": "application/x-ndjson"}

_MOST_COLUMNS = 500

Columns = dict[str, NDArray[Any]]
Faults = dict[int, list[FieldError]]


def csv_batch(question: Question, request: Request, settings: Settings) -> Response:
    """The rows of the body as they came, with a column a result, codes of cautions, and what went wrong.

    Raises
    ------
    Problem
        400, 413, 415 or 422 where no row can be answered.
    """
    asked = _options_in_query(request, settings)
    wanted = _wanted(question, asked)
    headings, lines = _csv_lines(request, settings, asked.options)
    width = len(headings)
    faults: Faults = {
        row: [FieldError("row", f"has {len(cells)} cells under {width} headings")]
        for row, cells in enumerate(lines)
        if any(cells[width:])
    }
    lines = [_padded(cells, width) for cells in lines]
    texts = {name: [cells[place] for cells in lines] for place, name in enumerate(headings)}
    columns = {
        name: [_cell(text, asked.options) for text in column]
        for name, column in texts.items()
        if not name.startswith(UNREAD)
    }
    rows = _ask(question, columns, len(lines), asked.system, wanted, faults, settings)
    shown = {name: _words(column) for name, column in texts.items()} | _in_units(rows, asked.system)
    shown[CAUTIONS] = _codes(rows)
    return Response(
        _csv(shown, errors_by_row(rows.faults), asked.options), content_type=FORMATS["csv"].media_type
    )


def _csv(columns: Columns, errors: Mapping[int, str], options: OutputOptions) -> bytes:
    """Heading and rows, a few at a time for the sake of other requests."""
    parts = [csv_heading(list(columns), options)]
    count = len(columns[CAUTIONS])
    for start in range(0, count, BLOCK):
        some = {name: column[start : start + BLOCK] for name, column in columns.items()}
        told = {row - start: errors[row] for row in range(start, min(start + BLOCK, count)) if row in errors}
        parts.append(csv_rows(some, told, options))
    return b"".join(parts)


def _options_in_query(request: Request, settings: Settings, *members: str) -> ParsedRequest:
    """The options in the address of a request whose fields, and `members`, stand in the body."""
    query = read_query(request, settings)
    errors = [FieldError(name, "stands in the body of this request") for name in members if name in query]
    asked = parse_names(query, query, "body")
    errors += [FieldError(name, "is no option: fields stand in the body") for name in asked.raw]
    if errors:
        raise refusal(errors, asked.where)
    return asked


def _csv_lines(
    request: Request, settings: Settings, options: OutputOptions
) -> tuple[list[str], list[list[str]]]:
    """The headings, and the cells of each line below. Blank lines before and after are no rows."""
    if request.mimetype != "text/csv":
        raise Problem(415, "Rows are sent as CSV: set Content-Type: text/csv.")
    try:
        text = body_bytes(request, settings.many_bytes).decode("utf-8-sig").strip("\r\n")
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=options.separator, strict=True)
        headings, *lines = [cells for cells in reader] or [[]]  # noqa: C416  # list() would let no other thread run
    except (UnicodeDecodeError, csv.Error) as error:
        raise Problem(400, "The body cannot be read: it is not well-formed CSV in UTF-8.") from error
    headings = [heading.strip() for heading in headings]
    while headings and not headings[-1]:
        headings.pop()
    if not headings:
        raise Problem(400, "The body cannot be read: its first line must name the fields.")
    if len(headings) > _MOST_COLUMNS:
        raise Problem(422, f"There are {len(headings)} columns: at most {_MOST_COLUMNS} are read.")
    hint = " (with decimal=comma the separator is a semicolon)" if ";" in headings[0] else ""
    faults = list(_misheaded(headings, hint))
    if faults:
        raise refusal(faults, lambda name: "header row")
    _check_rows(len(lines), settings)
    return headings, lines


def _misheaded(headings: list[str], hint: str) -> Iterator[FieldError]:
    for place, name in enumerate(headings):
        if not name:
            yield FieldError(f"column {place + 1}", "has no heading")
        elif name in headings[:place]:
            yield FieldError(name, "heads two columns")
        elif name not in FIELDS and not name.startswith(UNREAD):
            fault = unknown_field(name)
            yield replace(fault, detail=fault.detail + hint)


def _padded(cells: list[str], width: int) -> list[str]:
    return cells if len(cells) == width else (cells + [""] * width)[:width]


def _cell(text: str, options: OutputOptions) -> Any:
    return with_decimal_point(text.strip()) if options.decimal_comma else text.strip()


def _words(values: Iterable[str]) -> NDArray[Any]:
    return np.array([*values], dtype=object)


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
    query, body = read_query(request, settings), read_object(request, settings.many_bytes)
    columns = body.pop("columns", None)
    asked = parse_names({**query, **body}, query, "body")
    errors = [misplaced_in_query(name, body) for name in query if name in body or name in asked.raw]
    errors += [
        FieldError(name, "stands beside columns: put fields into columns")
        for name in body
        if name in asked.raw
    ]
    if errors:
        raise refusal(errors, asked.where)
    if not isinstance(columns, dict):
        detail = "must be an object of fields, each one value or a list of one a build"
        raise refusal([FieldError("columns", detail)], in_body)
    wanted = _wanted(question, asked)
    columns = with_decimal_point(columns) if asked.options.decimal_comma else columns
    rows = _ask(question, columns, _common_length(columns, settings), asked.system, wanted, {}, settings)

    def at(row: int, fault: FieldError) -> str:
        in_list = isinstance(columns.get(fault.field), list)
        return pointer("columns", fault.field, *((row,) if in_list else ()))

    around = {
        "question": question.name,
        "units": asked.system,
        "count": rows.count,
        "column_units": {name: RESULTS[name].unit(asked.system) for name in wanted},
        **_errors(rows.faults, at, settings),
        **_account(rows.cautions, rows.sources),
    }
    made = columns_as_json(around, _in_units(rows, asked.system))
    return Response(made, content_type=COMPARISON_FORMATS["json"])


def _common_length(columns: Mapping[str, Any], settings: Settings) -> int:
    if len(columns) > len(FIELDS):
        raise Problem(422, f"There are {len(columns)} columns: all fields are {len(FIELDS)}.")
    faults = [
        replace(unknown_field(name), pointer=pointer("columns", name))
        for name in columns
        if name not in FIELDS
    ]
    lists = {name: raw for name, raw in columns.items() if isinstance(raw, list) and name in FIELDS}
    faults += [_ambiguous(name) for name, raw in lists.items() if _is_one_list(name, raw)]
    lengths = {name: len(raw) for name, raw in lists.items()}
    if len({*lengths.values()}) > 1:
        told = ", ".join(f"{name} has {length}" for name, length in lengths.items())
        faults.append(FieldError("columns", f"must have lists of one length: {told}"))
    if faults:
        raise refusal(faults, in_body)
    count = next(iter(lengths.values()), 1)
    _check_rows(count, settings)
    return count


def _is_one_list(name: str, raw: list[Any]) -> bool:
    """Whether the numbers of one list stand where a list a build is wanted."""
    is_list = isinstance(FIELDS[name].kind, Series | Curve | Ratios | Coefficients)
    return is_list and any(type(value) in (int, float) for value in raw)


def _ambiguous(name: str) -> FieldError:
    detail = (
        "is a list itself: a column has one list a build, such as [[4.46, 2.61], [3.75, 2.26]]; the same "
        'for all builds is written as text, "4.46,2.61"'
    )
    return FieldError(name, detail, pointer=pointer("columns", name))


def _ask(
    question: Question,
    columns: Mapping[str, Any],
    count: int,
    system: System,
    wanted: Iterable[str],
    faults: Faults,
    settings: Settings,
) -> Rows:
    given = {name: read_column(name, raw, system) for name, raw in columns.items()}
    try:
        return answered(question, given, count, system, wanted, faults, settings.combinations)
    except TooVaried as error:
        raise Problem(
            413,
            f"The builds give their fields in {error.combinations} different combinations: at most "
            f"{settings.combinations} are answered at a time. Send builds that give the same fields "
            "together.",
        ) from error


def _in_units(rows: Rows, system: System) -> Columns:
    return {
        name: values if (quantity := RESULTS[name].quantity) is None else quantity.out(values, system)
        for name, values in rows.results.items()
    }


def _wanted(question: Question, asked: ParsedRequest) -> tuple[str, ...]:
    """The results picked, all where none are."""
    for name in asked.options.pick:
        if name not in question.results:
            close = nearest(name, question.results)
            hint = f"; the nearest is {close}" if close else ""
            error = FieldError("pick", f"names no result of {question.name}{hint}", name)
            raise refusal([error], asked.where)
    return tuple(dict.fromkeys(asked.options.pick)) or question.results


def _codes(rows: Rows) -> NDArray[Any]:
    """The codes of the cautions of each row."""
    codes = np.full(rows.count, "", dtype=object)
    marks: dict[str, NDArray[np.bool_]] = {}
    for (code, _), where in rows.cautions.items():
        marks[code] = marks.get(code, False) | where
    for code in sorted(marks):
        codes[marks[code]] += code + " "
    return _words(text.rstrip() for text in codes)


def _errors(faults: Faults, at: Callable[[int, FieldError], str], settings: Settings) -> dict[str, Any]:
    """The errors by row, those above the limit counted."""
    listed = sorted(faults)[: settings.row_errors_listed]
    told: dict[str, Any] = {
        "errors": [
            {"index": row, **error}
            for row in listed
            for error in field_errors(
                (replace(fault, pointer=at(row, fault)) for fault in faults[row]), in_body
            )
        ],
        "error_count": len(faults),
    }
    if len(faults) > len(listed):
        told["errors_not_listed"] = len(faults) - len(listed)
    return told


def _account(cautions: Mapping[CautionKey, NDArray[np.bool_]], sources: Iterable[Source]) -> dict[str, Any]:
    """The cautions, with the number of builds for which each holds, and the sources."""
    return {
        "cautions": [
            {"code": code, "text": text, "count": int(marks.sum())}
            for (code, text), marks in cautions.items()
        ],
        "sources": [source._asdict() for source in sources],
    }


def comparison(request: Request, suffix: str | None, settings: Settings) -> Response:
    """Every combination of the varied fields, as columns of JSON or streamed as CSV or NDJSON.

    Raises
    ------
    Problem
        400, 406, 413, 415 or 422; 422 also where there are more cells than the limit.
    """
    form = suffix or accepted(request, {kind: form for form, kind in COMPARISON_FORMATS.items()})
    asked = _options_in_query(request, settings, "units", "pick")
    plan = _plan(read_object(request, settings.body_bytes), asked.options)
    computed = plan.count if plan.sort else plan.rows
    cells = computed * len(plan.columns)
    if cells > settings.cells:
        detail = (
            f"makes {computed} rows x {len(plan.columns)} columns = {cells} cells: at most {settings.cells} "
            f"are computed at a time. Any size can be computed offline: {OFFLINE}"
        )
        raise refusal([FieldError("vary", detail)], in_body)
    if form == "csv":
        return _streamed(_csv_stream(plan, asked.options), FORMATS["csv"].media_type, request)
    if form == "ndjson":
        return _streamed(_ndjson_stream(plan), COMPARISON_FORMATS["ndjson"], request)
    return _as_json(plan, joined(blocks(plan)), settings)


def _plan(raw: dict[str, Any], options: OutputOptions) -> Plan:
    try:
        plan = read_plan(with_decimal_point(raw) if options.decimal_comma else raw)
    except InvalidBuild as error:
        raise refusal(error.faults, in_body) from error
    return replace(plan, labels=labels(raw["vary"])) if options.decimal_comma else plan


def _streamed(pieces: Iterator[bytes], media_type: str, request: Request) -> Response:
    """The pieces as they come. HTTP/1.0 cannot tell an end from a break, so there it comes whole."""
    whole = request.environ.get("SERVER_PROTOCOL") == "HTTP/1.0"
    return Response(b"".join(pieces) if whole else pieces, content_type=media_type)


def _csv_stream(plan: Plan, options: OutputOptions) -> Iterator[bytes]:
    yield csv_heading(plan.columns, options)
    for block in blocks(plan):
        yield csv_rows(block.columns, block.told(), options)


def _ndjson_stream(plan: Plan) -> Iterator[bytes]:
    yield ndjson_heading(plan.columns, [plan.unit(name) for name in plan.columns])
    for block in blocks(plan):
        yield ndjson_rows(block.columns, block.told())


def _as_json(plan: Plan, whole: Block, settings: Settings) -> Response:
    around = {
        "question": "comparison",
        "units": plan.system,
        "count": whole.count,
        "column_units": {name: plan.unit(name) for name in plan.columns},
        **_errors(
            whole.faults,
            lambda row, fault: pointer("vary" if fault.field in plan.labels else "build", fault.field),
            settings,
        ),
        **_account(whole.cautions, whole.sources),
    }
    return Response(columns_as_json(around, whole.columns), content_type=COMPARISON_FORMATS["json"])
