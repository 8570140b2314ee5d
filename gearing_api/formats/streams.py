"""Many rows as bytes, block by block: CSV, NDJSON, and columns as JSON."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from itertools import groupby
from typing import Any

import numpy as np
import orjson
from numpy.typing import NDArray

from gearing_api.formats.delimited import line, written
from gearing_api.formats.wishes import Wishes

Columns = Mapping[str, NDArray[Any]]
Errors = Mapping[int, str]

ERROR = "error"

_WITH_COMMA = bytes.maketrans(b",.", b";,")


def csv_heading(names: Sequence[str], wishes: Wishes) -> bytes:
    """The heading, with the column that tells why a row has no answer."""
    return line([*names, ERROR], wishes).encode("utf-8-sig" if wishes.byte_order_mark else "utf-8")


def csv_rows(columns: Columns, errors: Errors, wishes: Wishes) -> bytes:
    """The rows under the heading; `errors` are sentences by row."""
    cells = _cells(
        columns, errors, partial(_csv_numbers, wishes), lambda word: written(word, wishes).encode()
    )
    body = b"\r\n".join(map(wishes.separator.encode().join, cells))
    return body + b"\r\n" if body else b""


def ndjson_heading(names: Sequence[str], units: Sequence[str]) -> bytes:
    """The first line: what the items of every further line are."""
    return orjson.dumps({"columns": [*names, ERROR], "units": [*units, ""]}) + b"\n"


def ndjson_rows(columns: Columns, errors: Errors) -> bytes:
    """One array a row; null where a value is not known."""
    cells = _cells(columns, errors, lambda block: _dumped(block).split(b"],["), orjson.dumps)
    body = b"]\n[".join(map(b",".join, cells))
    return b"[" + body + b"]\n" if body else b""


def columns_as_json(around: Mapping[str, Any], columns: Columns) -> bytes:
    """A document with the columns as arrays; null where a value is not known."""
    return orjson.dumps(
        {**around, "columns": {name: _array(column) for name, column in columns.items()}},
        option=orjson.OPT_SERIALIZE_NUMPY,
    )


def _array(column: NDArray[Any]) -> Any:
    return column.tolist() if column.dtype == object else np.ascontiguousarray(column)


def _cells(
    columns: Columns,
    errors: Errors,
    numbers: Callable[[NDArray[np.float64]], list[bytes]],
    word: Callable[[Any], bytes],
) -> Iterator[tuple[bytes, ...]]:
    """The cells of each row. Numbers that stand side by side are written as one: most of a row is numbers."""
    count = len(next(iter(columns.values())))
    runs: list[Sequence[bytes]] = []
    for of_words, run in groupby(columns.values(), key=lambda column: column.dtype == object):
        if of_words:
            runs += [_words(column.tolist(), word) for column in run]
        else:
            runs.append(numbers(np.stack(list(run), axis=1)) if count else [])
    runs.append(_words([errors.get(row) for row in range(count)] if errors else [None] * count, word))
    return zip(*runs, strict=True)


def _words(values: Sequence[Any], word: Callable[[Any], bytes]) -> list[bytes]:
    """Each distinct value is written once."""
    made = {value: word(value) for value in set(values)}
    return [made[value] for value in values]


def _dumped(block: NDArray[np.float64]) -> bytes:
    """Rows of numbers, between them ``],[``."""
    return orjson.dumps(block, option=orjson.OPT_SERIALIZE_NUMPY)[2:-2]


def _csv_numbers(wishes: Wishes, block: NDArray[np.float64]) -> list[bytes]:
    dumped = _dumped(block)
    if not np.isfinite(block).all():
        dumped = dumped.replace(b"null", b"")
    return dumped.translate(_WITH_COMMA).split(b"];[") if wishes.decimal_comma else dumped.split(b"],[")
