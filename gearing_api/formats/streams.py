"""Write many rows as bytes, block by block: CSV, NDJSON, and columns as JSON."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import chain, groupby
from typing import Any

import numpy as np
import orjson
from numpy.typing import NDArray

from gearing_api.checkpoint import may_go_on
from gearing_api.formats.delimited import cell_text, line
from gearing_api.formats.options import OutputOptions

Columns = Mapping[str, NDArray[Any]]
Errors = Mapping[int, str]

ERROR = "error"

_WITH_COMMA = bytes.maketrans(b",.", b";,")


def csv_heading(names: Sequence[str], options: OutputOptions) -> bytes:
    """Write the heading, with a last column for the error of a row."""
    return line([*names, ERROR], options).encode("utf-8-sig" if options.byte_order_mark else "utf-8")


def csv_rows(columns: Columns, errors: Errors, options: OutputOptions) -> bytes:
    """Write the rows under the heading; `errors` has a sentence for each row that failed."""
    separator, end = options.separator.encode(), b"\r\n"
    *others, last = columns
    if errors or not others or columns[last].dtype != object:
        return _lines(_csv_runs(columns, errors, options), separator, end if errors else separator + end)
    rows = _lines_of(_csv_runs({name: columns[name] for name in others}, {}, options), separator)
    ends = _words(
        columns[last].tolist(), lambda word: separator + cell_text(word, options).encode() + separator + end
    )
    return b"".join(chain.from_iterable(zip(rows, ends, strict=True)))


def _csv_runs(columns: Columns, errors: Errors, options: OutputOptions) -> list[list[bytes]]:
    return _runs(
        columns, errors, partial(_csv_numbers, options), lambda word: cell_text(word, options).encode()
    )


def ndjson_heading(names: Sequence[str], units: Sequence[str]) -> bytes:
    """Write the first line, which names the items of all further lines."""
    return orjson.dumps({"columns": [*names, ERROR], "units": [*units, ""]}) + b"\n"


def ndjson_rows(columns: Columns, errors: Errors) -> bytes:
    """Write one array per row; null for a value that is absent."""
    runs = _runs(columns, errors, lambda block: _dump(block).split(b"],["), orjson.dumps)
    lines = _lines(runs, b",", b"]\n[" if errors else b",null]\n[")
    return b"[" + lines[:-1] if lines else b""


def columns_as_json(
    around: Mapping[str, Any], columns: Iterable[tuple[str, NDArray[Any]]], size: int = 5_000
) -> Iterator[bytes]:
    """Write a document with the columns as arrays, piece by piece; null for a value that is absent."""
    yield orjson.dumps(around)[:-1] + (b',"columns":{' if around else b'"columns":{')
    between = b""
    for name, column in columns:
        yield between + orjson.dumps(name) + b":["
        for start in range(0, len(column), size):
            may_go_on()
            piece = orjson.dumps(_array(column[start : start + size]), option=orjson.OPT_SERIALIZE_NUMPY)[
                1:-1
            ]
            yield b"," + piece if start else piece
        between = b"],"
    yield b"]}}" if between else b"}}"


def _array(column: NDArray[Any]) -> Any:
    return column.tolist() if column.dtype == object else np.ascontiguousarray(column)


def _runs(
    columns: Columns,
    errors: Errors,
    numbers: Callable[[NDArray[np.float64]], list[bytes]],
    word: Callable[[Any], bytes],
) -> list[list[bytes]]:
    """Write the columns, neighbouring columns of numbers together, because most of a row is numbers.

    If there are errors, their column comes last.
    """
    count = len(next(iter(columns.values())))
    runs: list[list[bytes]] = []
    for of_words, run in groupby(columns.values(), key=lambda column: column.dtype == object):
        if of_words:
            runs += [_words(column.tolist(), word) for column in run]
        else:
            runs.append(numbers(np.stack(list(run), axis=1)) if count else [])
    return [*runs, _words([errors.get(row) for row in range(count)], word)] if errors else runs


def _lines(runs: list[list[bytes]], separator: bytes, end: bytes) -> bytes:
    rows = _lines_of(runs, separator)
    return end.join(rows) + end if rows else b""


def _lines_of(runs: list[list[bytes]], separator: bytes) -> list[bytes]:
    return runs[0] if len(runs) == 1 else list(map(separator.join, zip(*runs, strict=True)))


def _words(values: Sequence[Any], word: Callable[[Any], bytes]) -> list[bytes]:
    """Write words, each distinct value once."""
    made = {value: word(value) for value in set(values)}
    return [made[value] for value in values]


def _dump(block: NDArray[np.float64]) -> bytes:
    """Write rows of numbers with ``],[`` between them."""
    return orjson.dumps(block, option=orjson.OPT_SERIALIZE_NUMPY)[2:-2]


def _csv_numbers(options: OutputOptions, block: NDArray[np.float64]) -> list[bytes]:
    dumped = _dump(block)
    if not np.isfinite(block).all():
        dumped = dumped.replace(b"null", b"")
    return dumped.translate(_WITH_COMMA).split(b"];[") if options.decimal_comma else dumped.split(b"],[")
