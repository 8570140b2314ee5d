"""Many rows as bytes, block by block: CSV, NDJSON, and columns as JSON."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import orjson
from numpy.typing import NDArray

from gearing_api.formats.delimited import rows_as_csv
from gearing_api.formats.wishes import Wishes

Columns = Mapping[str, NDArray[Any]]

ERROR = "error"


def csv_heading(names: Sequence[str], wishes: Wishes) -> bytes:
    """The heading, with the column that tells why a row has no answer."""
    return rows_as_csv([*names, ERROR], [], wishes)


def csv_rows(columns: Columns, errors: Mapping[int, str], wishes: Wishes) -> bytes:
    """The rows under the heading; `errors` are sentences by row."""
    if errors or wishes.decimal_comma or not _all_numbers(columns):
        told = [errors.get(row) for row in range(_length(columns))]
        rows = zip(*(plain(column) for column in columns.values()), told, strict=True)
        return rows_as_csv(None, list(rows), Wishes(decimal_comma=wishes.decimal_comma))
    dumped = _dumped(columns)[2:-2]
    return dumped.replace(b"],[", b",\r\n").replace(b"null", b"") + b",\r\n"


def ndjson_heading(names: Sequence[str], units: Sequence[str]) -> bytes:
    """The first line: what the items of every further line are."""
    return orjson.dumps({"columns": [*names, ERROR], "units": [*units, ""]}) + b"\n"


def ndjson_rows(columns: Columns, errors: Mapping[int, str]) -> bytes:
    """One array a row; null where a number is not known."""
    if not errors and _all_numbers(columns):
        return _dumped(columns)[1:-1].replace(b"],[", b",null]\n[")[:-1] + b",null]\n"
    told = [errors.get(row) for row in range(_length(columns))]
    rows = zip(*(plain(column) for column in columns.values()), told, strict=True)
    return b"".join(orjson.dumps(row) + b"\n" for row in rows)


def columns_as_json(around: Mapping[str, Any], columns: Columns) -> bytes:
    """A document with the columns as arrays; null where a value is not known."""
    return orjson.dumps(
        {**around, "columns": {name: _array(column) for name, column in columns.items()}},
        option=orjson.OPT_SERIALIZE_NUMPY,
    )


def _array(column: NDArray[Any]) -> Any:
    return column.tolist() if column.dtype == object else np.ascontiguousarray(column)


def _all_numbers(columns: Columns) -> bool:
    return all(column.dtype != object for column in columns.values())


def _length(columns: Columns) -> int:
    return len(next(iter(columns.values())))


def _dumped(columns: Columns) -> bytes:
    return orjson.dumps(np.stack(list(columns.values()), axis=1), option=orjson.OPT_SERIALIZE_NUMPY)


def plain(column: NDArray[Any]) -> list[Any]:
    """A column as plain values; None where a number is not known."""
    if column.dtype == object:
        return list(column.tolist())
    if np.isfinite(column).all():
        return list(column.tolist())
    return [value if np.isfinite(value) else None for value in column.tolist()]
