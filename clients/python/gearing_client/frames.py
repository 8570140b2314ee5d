"""Many builds in a pandas DataFrame: its rows go to the service as they are, and come back under its index."""

import csv
from collections.abc import Callable, Sequence
from io import StringIO
from math import nan
from typing import TYPE_CHECKING, get_type_hints

from gearing_client.questions import Fields, Questions

if TYPE_CHECKING:
    from pandas import DataFrame

ROWS_AT_ONCE = 10_000
ROWS_WITH_BANDS = 100
_ROW = "_row"
"""A column that the service leaves as it is: with it no line is blank."""


def is_frame(value: object) -> bool:
    """Whether this is a DataFrame, without need of pandas."""
    return hasattr(value, "to_csv") and hasattr(value, "columns")


def answered(
    frame: "DataFrame", question: str, ask: Callable[[str], str], at_once: int = ROWS_AT_ONCE
) -> "DataFrame":
    """The frame with a column a result, `cautions` and `error`; `ask` sends rows of CSV and returns them.

    Columns that are no fields stay as they are, and cells that are missing are not sent.
    """
    import pandas

    sent = [name for name in frame.columns if _is_field(name)]
    results = _results(question)
    pieces = []
    for start in range(0, max(len(frame), 1), at_once):
        part = frame[sent].iloc[start : start + at_once].reset_index(drop=True)
        text = ask(part.to_csv(index_label=_ROW))
        headings, *rows = csv.reader(StringIO(text, newline=""))
        cells = zip(*rows, strict=True) if rows else ((),) * len(headings)
        columns = {name: _column(column) for name, column in zip(headings, cells, strict=True)}
        pieces.append(pandas.DataFrame(columns))
    told = pandas.concat(pieces, ignore_index=True)
    if len(told) != len(frame):
        raise ValueError(f"{len(frame)} rows were sent and {len(told)} came back")
    told.index = frame.index
    names = [name for name in told.columns if name != _ROW and (name not in sent or name in results)]
    kept = frame.drop(columns=[name for name in names if name in frame.columns])
    return pandas.concat([kept, told[names]], axis=1)


def _column(cells: Sequence[str]) -> list[float] | list[str | None]:
    """Numbers to their last digit, NaN where there is none; or words, None where there is none."""
    try:
        return [float(cell) if cell else nan for cell in cells]
    except ValueError:
        return [cell or None for cell in cells]


def _is_field(name: object) -> bool:
    return isinstance(name, str) and (name in Fields.__annotations__ or name.startswith("original_"))


def _results(question: str) -> set[str]:
    """The results of a question that this release of the client knows."""
    method = getattr(Questions, question.replace("-", "_"), None)
    return set(get_type_hints(get_type_hints(method)["return"])) if method else set()
