"""Many builds in one request: rows of CSV, columns of JSON, and every combination of varied fields."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from flask import Request, Response
from numpy.typing import NDArray

from gearing_api.answer import Question
from gearing_api.batch.columns import (
    CAUTIONS,
    Rows,
    TooVaried,
    answered,
    codes_by_row,
    errors_by_row,
    read_columns,
)
from gearing_api.batch.comparison_plans import BLOCK, Plan, TooManyCells, labels, read_plan
from gearing_api.batch.comparisons import Block, blocks, joined
from gearing_api.batch.parts import MOST_HINTS
from gearing_api.batch.ranges import ends_of_rows, interleaved
from gearing_api.fields import Coefficients, Curve, Loads, Ratios, Series
from gearing_api.formats import FORMATS, dumped
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import columns_as_json, csv_heading, csv_rows, ndjson_heading, ndjson_rows
from gearing_api.http.bodies import error_budget
from gearing_api.http.csv_rows import read_rows
from gearing_api.http.negotiation import accepted
from gearing_api.http.problems import Problem, field_errors
from gearing_api.http.requests import (
    ParsedRequest,
    in_body,
    misplaced_in_query,
    name_originals,
    parse_names,
    read_object,
    read_query,
    refusal,
    with_decimal_point,
)
from gearing_api.ranges.draws import COUNT
from gearing_api.settings import Settings
from gearing_api.units import System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    CHANGE,
    ORIGINAL,
    RESULTS,
    FieldError,
    InvalidBuild,
    hint,
    pointer,
    result_named,
    unknown_field,
)

UNREAD = "_"
ANY_SIZE = "Any size can be computed offline: gearing-api sweep PLAN.json --out results.csv"

COMPARISON_FORMATS = {"json": "application/json", "csv": "text/csv", "ndjson": "application/x-ndjson"}

_MEDIA_TYPES = {kind: (form, kind) for form, kind in COMPARISON_FORMATS.items()} | {
    kind: ("ndjson", kind) for kind in ("application/ndjson", "application/jsonl")
}
"""Formats by media type; lines of JSON have no registered name, and several in use."""
_CELLS_AT_ONCE = 20_000

Columns = dict[str, NDArray[Any]]
Faults = dict[int, list[FieldError]]


def csv_batch(question: Question, request: Request, settings: Settings) -> Response:
    """The rows of the body as they came, with a column a result, codes of cautions, and what went wrong.

    Raises
    ------
    Problem
        400, 413, 415 or 422 where no row can be answered.
    """
    asked = options_in_query(request, settings)
    wanted = _wanted(question, asked)
    table = read_rows(request, settings, asked.options)
    wanted = _with_comparison(question, wanted, asked, table.headings)
    hint = " (with decimal=comma the separator is a semicolon)" if ";" in table.headings[0] else ""
    misheaded = list(_misheaded(table.headings, hint))
    if misheaded:
        raise refusal(misheaded, lambda name: "header row")
    faults: Faults = {
        row: [FieldError("row", f"has {cells} cells under {len(table.headings)} headings")]
        for row, cells in table.too_wide.items()
    }
    texts = dict(zip(table.headings, table.columns, strict=True))
    table.columns.clear()

    def cells() -> Iterator[tuple[str, list[Any]]]:
        for name, column in texts.items():
            if not name.startswith(UNREAD):
                yield name, [_cell(text, asked.options) for text in column]

    _check_draws(table.count, asked, settings)
    try:
        rows = _ask(question, cells(), table.count, asked.system, wanted, faults, settings)
        if asked.options.bands:
            _add_ranges(question, dict(cells()), rows, asked.system)
    except Problem:
        _forget(texts)
        raise
    pieces = _csv(texts, rows, asked, error_budget(request))
    return _sent(pieces, table.count > BLOCK, FORMATS["csv"].media_type, request)


def _csv(texts: dict[str, list[str]], rows: Rows, asked: ParsedRequest, budget: int) -> Iterator[bytes]:
    """Heading and rows, block by block."""
    codes = codes_by_row(rows.count, rows.cautions, rows.absent)
    yield csv_heading([*dict.fromkeys((*texts, *rows.results, CAUTIONS))], asked.options)
    size = _rows_at_once(len(texts) + len(rows.results))
    for start in range(0, rows.count, size):
        stop = min(start + size, rows.count)
        some = {name: _words(column[start:stop]) for name, column in texts.items()}
        some |= {
            name: _or_given(_in_units(name, values[start:stop], asked.system), some.get(name))
            for name, values in rows.results.items()
        }
        some[CAUTIONS] = codes[start:stop]
        faults = {row - start: rows.faults.pop(row) for row in range(start, stop) if row in rows.faults}
        told = errors_by_row(faults, budget)
        budget -= sum(map(len, told.values()))
        yield csv_rows(some, told, asked.options)
    _forget(texts)
    _forget(rows.results)


def _forget(columns: dict[str, Any]) -> None:
    """Let the memory of columns go, one after the other: all at once would keep other requests waiting."""
    while columns:
        columns.popitem()


def _or_given(values: NDArray[Any], given: NDArray[Any] | None) -> NDArray[Any]:
    """The results, and where a field has the name of a result and the row has none, the cell as it came."""
    if given is None:
        return values
    return np.where(np.isfinite(values), values.astype(object), given)


def _rows_at_once(columns: int) -> int:
    """How many rows are written at a time: a piece of text is some megabytes at the most."""
    return max(1, min(BLOCK, _CELLS_AT_ONCE // columns))


def options_in_query(request: Request, settings: Settings, *members: str) -> ParsedRequest:
    """The options in the address of a request whose fields, and `members`, stand in the body."""
    query = read_query(request, settings)
    errors = [FieldError(name, "stands in the body of this request") for name in members if name in query]
    asked = parse_names(query, query, "body")
    errors += [FieldError(name, "is no option: fields stand in the body") for name in asked.raw]
    if errors:
        raise refusal(errors, asked.where)
    return asked


def _misheaded(headings: list[str], hint: str) -> Iterator[FieldError]:
    unknown = 0
    for place, name in enumerate(headings):
        if not name:
            yield FieldError(f"column {place + 1}", "has no heading")
        elif headings.index(name) < place:
            yield FieldError(name, "heads two columns")
        elif name not in ALL_FIELDS and not name.startswith(UNREAD):
            unknown += 1
            fault = unknown_field(name, close=unknown <= MOST_HINTS)
            yield replace(fault, detail=fault.detail + hint)


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
    query, body = read_query(request, settings), read_object(request, settings.many_bytes, settings.cells)
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
    columns = name_originals(columns, "/columns")
    wanted = _with_comparison(question, _wanted(question, asked), asked, columns)
    columns = with_decimal_point(columns) if asked.options.decimal_comma else columns
    count = _common_length(columns, settings)
    _check_draws(count, asked, settings)
    rows = _ask(question, columns.items(), count, asked.system, wanted, {}, settings)
    if asked.options.bands:
        _add_ranges(question, columns, rows, asked.system)

    def at(row: int, fault: FieldError) -> str:
        in_list = isinstance(columns.get(fault.field), list)
        return pointer("columns", fault.field, *((row,) if in_list else ()))

    around = {
        "question": question.name,
        "units": asked.system,
        "count": rows.count,
        "column_units": {name: result_named(name).unit(asked.system) for name in rows.results},
        **_errors(rows.faults, at, settings, error_budget(request)),
        **_account(rows, asked.options),
    }
    shown = ((name, _in_units(name, rows.results.pop(name), asked.system)) for name in [*rows.results])
    pieces = columns_as_json(around, shown)
    return _sent(pieces, rows.count > BLOCK, COMPARISON_FORMATS["json"], request)


def _common_length(columns: Mapping[str, Any], settings: Settings) -> int:
    if len(columns) > len(ALL_FIELDS):
        raise Problem(422, f"There are {len(columns)} columns: all fields are {len(ALL_FIELDS)}.")
    faults = [
        replace(unknown_field(name, close=place < MOST_HINTS), pointer=pointer("columns", name))
        for place, name in enumerate(name for name in columns if name not in ALL_FIELDS)
    ]
    lists = {name: raw for name, raw in columns.items() if isinstance(raw, list) and name in ALL_FIELDS}
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
    is_list = isinstance(ALL_FIELDS[name].kind, Series | Curve | Ratios | Coefficients | Loads)
    return is_list and any(type(value) in (int, float) for value in raw)


def _ambiguous(name: str) -> FieldError:
    detail = (
        "is a list itself: a column has one list a build, such as [[4.46, 2.61], [3.75, 2.26]]; the same "
        'for all builds is written as text, "4.46,2.61"'
    )
    return FieldError(name, detail, pointer=pointer("columns", name))


def _ask(
    question: Question,
    columns: Iterable[tuple[str, Any]],
    count: int,
    system: System,
    wanted: Iterable[str],
    faults: Faults,
    settings: Settings,
) -> Rows:
    try:
        given = read_columns(columns, system)
        return answered(question, given, count, system, wanted, faults, settings.combinations)
    except InvalidBuild as error:
        raise refusal(error.faults, in_body) from error
    except TooVaried as error:
        raise Problem(
            413,
            f"The builds give their fields in {error.combinations} different combinations: at most "
            f"{settings.combinations} are answered at a time. Send builds that give the same fields "
            "together.",
        ) from error


def _check_draws(count: int, asked: ParsedRequest, settings: Settings) -> None:
    most = settings.rows // COUNT
    if asked.options.bands and count > most:
        raise Problem(413, f"There are {count} rows: with bands=1 at most {most} are answered at a time.")


def _add_ranges(question: Question, columns: Mapping[str, Any], rows: Rows, system: System) -> None:
    """Put the two ends of each number behind it."""
    raws = [
        {}
        if row in rows.faults
        else {name: raw[row] if isinstance(raw, list) else raw for name, raw in columns.items()}
        for row in range(rows.count)
    ]
    ends = ends_of_rows(question, raws, system, rows.results)
    rows.results = interleaved(rows.results, ends)


def _in_units(name: str, values: NDArray[Any], system: System) -> NDArray[Any]:
    quantity = result_named(name).quantity
    return values if quantity is None else quantity.out(values, system)


def _wanted(question: Question, asked: ParsedRequest) -> tuple[str, ...]:
    """The results picked, all where none are."""
    for name in asked.options.pick:
        if name not in question.results:
            detail = f"names no result of {question.name}{hint(name, question.results)}"
            raise refusal([FieldError("pick", detail, name)], asked.where)
    return tuple(dict.fromkeys(asked.options.pick)) or question.results


def _with_comparison(
    question: Question, wanted: tuple[str, ...], asked: ParsedRequest, given: Collection[str]
) -> tuple[str, ...]:
    """The results picked, each with its original and its change where the builds have originals."""
    if not asked.options.pick or not any(ORIGINAL + name in given for name in question.fields):
        return wanted
    names: list[str] = []
    for name in wanted:
        names.append(name)
        if not RESULTS[name].against_original:
            names += [ORIGINAL + name, *([CHANGE + name] if RESULTS[name].quantity else [])]
    return tuple(names)


def _errors(
    faults: Faults, at: Callable[[int, FieldError], str], settings: Settings, budget: int
) -> dict[str, Any]:
    """The errors by row, those above the limit, or above so many bytes, counted."""
    listed: list[dict[str, Any]] = []
    rows = 0
    for row in sorted(faults)[: settings.row_errors_listed]:
        found = (replace(fault, pointer=at(row, fault)) for fault in faults[row])
        errors = [{"index": row, **error} for error in field_errors(found, in_body)]
        budget -= len(dumped(errors))
        if budget < 0 and rows:
            break
        listed += errors
        rows += 1
    account: dict[str, Any] = {"errors": listed, "error_count": len(faults)}
    return account | ({"errors_not_listed": len(faults) - rows} if rows < len(faults) else {})


def _account(made: Rows | Block, options: OutputOptions) -> dict[str, Any]:
    """Cautions and reasons of absence, each with its number of builds, and the sources, unless it is brief."""
    counted = [
        {"level": level, "code": code, "text": text, "count": int(marks.sum())}
        for (code, text, level), marks in made.cautions.items()
    ]
    absent = [
        {"result": name, "why": reason.why, "fields": list(reason.fields), "count": int(marks.sum())}
        for (name, reason), marks in made.absent.items()
    ]
    listed = {} if options.brief else {"sources": [source._asdict() for source in made.sources]}
    return {"cautions": counted, "absent": absent, **listed}


def comparison(request: Request, suffix: str | None, settings: Settings) -> Response:
    """Every combination of the varied fields, as columns of JSON or streamed as CSV or NDJSON.

    Raises
    ------
    Problem
        400, 406, 413, 415 or 422; 422 also where there are more cells than the limit.
    """
    asked = options_in_query(request, settings, "units", "pick")
    raw = read_object(request, settings.body_bytes, settings.cells)
    form, media_type = (suffix, COMPARISON_FORMATS[suffix]) if suffix else accepted(request, _MEDIA_TYPES)
    plan = _plan(raw, asked.options, settings)
    if form == "csv":
        pieces = _csv_stream(plan, asked.options, error_budget(request))
        return _sent(pieces, True, FORMATS["csv"].media_type, request)
    if form == "ndjson":
        pieces = _ndjson_stream(plan, error_budget(request))
        return _sent(pieces, True, media_type, request)
    return _as_json(plan, joined(blocks(plan)), asked.options, request, settings)


def _plan(raw: dict[str, Any], options: OutputOptions, settings: Settings) -> Plan:
    try:
        plan = read_plan(with_decimal_point(raw) if options.decimal_comma else raw, settings.cells)
    except InvalidBuild as error:
        raise refusal(error.faults, in_body) from error
    except TooManyCells as error:
        detail = f"makes {error}: at most {settings.cells} are computed at a time"
        raise refusal([FieldError("vary", f"{detail}. {ANY_SIZE}")], in_body) from error
    if plan.combinations > settings.combinations:
        detail = (
            f"makes {plan.combinations} groups of builds that differ in the form of their fields: at most "
            f"{settings.combinations} are computed at a time. Vary lists of one length, tyres of one kind"
        )
        raise refusal([FieldError("vary", f"{detail}. {ANY_SIZE}")], in_body)
    most = settings.rows // COUNT
    if options.bands and (plan.count if plan.sort else plan.rows) > most:
        detail = f"makes {plan.count} rows: with bands=1 at most {most} are computed at a time"
        raise refusal([FieldError("vary", detail)], in_body)
    plan = replace(plan, bands=options.bands)
    return replace(plan, labels=labels(raw["vary"])) if options.decimal_comma else plan


def _sent(pieces: Iterator[bytes], streamed: bool, media_type: str, request: Request) -> Response:
    """The pieces, as they come where that is wanted. HTTP/1.0 cannot tell an end from a break."""
    whole = not streamed or request.environ.get("SERVER_PROTOCOL") == "HTTP/1.0"
    return Response(b"".join(pieces) if whole else pieces, content_type=media_type)


def _csv_stream(plan: Plan, options: OutputOptions, budget: int) -> Iterator[bytes]:
    yield csv_heading([*plan.columns, CAUTIONS], options)
    for block in blocks(plan, _rows_at_once(len(plan.columns))):
        errors = errors_by_row(block.faults, budget)
        budget -= sum(map(len, errors.values()))
        yield csv_rows(block.with_codes(), errors, options)


def _ndjson_stream(plan: Plan, budget: int) -> Iterator[bytes]:
    yield ndjson_heading(plan.columns, [plan.unit(name) for name in plan.columns])
    for block in blocks(plan, _rows_at_once(len(plan.columns))):
        errors = errors_by_row(block.faults, budget)
        budget -= sum(map(len, errors.values()))
        yield ndjson_rows(block.columns, errors)


def _as_json(
    plan: Plan, whole: Block, options: OutputOptions, request: Request, settings: Settings
) -> Response:
    around = {
        "question": "comparison",
        "units": plan.system,
        "count": whole.count,
        "column_units": {name: plan.unit(name) for name in plan.columns},
        **_errors(
            whole.faults,
            lambda row, fault: pointer("vary" if fault.field in plan.labels else "build", fault.field),
            settings,
            error_budget(request),
        ),
        **_account(whole, options),
    }
    pieces = columns_as_json(around, whole.columns.items())
    return _sent(pieces, whole.count > BLOCK, COMPARISON_FORMATS["json"], request)
