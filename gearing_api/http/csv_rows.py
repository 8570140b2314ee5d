"""The rows of a CSV body, read line by line, so that what is too much is refused before it is read."""

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TextIO

from flask import Request

from gearing_api.checkpoint import may_go_on
from gearing_api.formats.options import OutputOptions
from gearing_api.http.bodies import body_bytes
from gearing_api.http.problems import Problem
from gearing_api.settings import Settings

MOST_COLUMNS = 500
LONGEST_LINE = 100_000

_ROWS_AT_ONCE = 1_000
_MOST_SEEN = 5_000


@dataclass
class CsvRows:
    """The cells under each heading, and the rows that have more cells than there are headings."""

    headings: list[str]
    columns: list[list[str]] = field(default_factory=list)
    too_wide: dict[int, int] = field(default_factory=dict)
    count: int = 0


def read_rows(request: Request, settings: Settings, options: OutputOptions) -> CsvRows:
    """Read the headings, and the cells of each line below. Blank lines before and after are no rows.

    Raises
    ------
    Problem
        400, 413, 415 or 422 if it is no CSV, or too much of it.
    """
    if request.mimetype != "text/csv":
        raise Problem(415, "Rows are sent as CSV: set Content-Type: text/csv.")
    body = io.BytesIO(body_bytes(request, settings.many_bytes))
    lines = _lines(io.TextIOWrapper(body, "utf-8-sig", newline=""))
    reader = csv.reader(lines, delimiter=options.separator, strict=True)
    try:
        rows = CsvRows(_headings(reader))
        rows.columns = [[] for _ in rows.headings]
        seen: list[dict[str, str]] = [{} for _ in rows.headings]
        for block in _blocks(reader, rows, settings):
            may_go_on()
            for column, cells, known in zip(rows.columns, zip(*block, strict=True), seen, strict=True):
                # What stands in a column again and again is kept once.
                column.extend(map(known.setdefault, cells, cells))
                if len(known) > _MOST_SEEN:
                    known.clear()
    except (UnicodeDecodeError, csv.Error) as error:
        raise Problem(400, "The body cannot be read: it is not well-formed CSV in UTF-8.") from error
    return rows


def _lines(text: TextIO) -> Iterator[str]:
    while line := text.readline(LONGEST_LINE + 1):
        if len(line) > LONGEST_LINE:
            raise Problem(413, f"A line of the body has more than {LONGEST_LINE} characters.")
        yield line


def _headings(reader: Iterator[list[str]]) -> list[str]:
    headings = [heading.strip() for heading in next((cells for cells in reader if cells), [])]
    while headings and not headings[-1]:
        headings.pop()
    if not headings:
        raise Problem(400, "The body cannot be read: its first line must name the fields.")
    if len(headings) > MOST_COLUMNS:
        raise Problem(422, f"There are {len(headings)} columns: at most {MOST_COLUMNS} are read.")
    return headings


def _blocks(reader: Iterator[list[str]], rows: CsvRows, settings: Settings) -> Iterator[list[list[str]]]:
    """The rows in blocks, each as wide as the headings."""
    width, blank = len(rows.headings), 0
    most = min(settings.rows, settings.cells // width)
    block: list[list[str]] = []
    for cells in reader:
        if not cells:
            blank += 1  # rows, if others follow
            if rows.count + blank > 2 * most:
                raise _too_many(most, settings)
            continue
        if rows.count + blank + 1 > most:
            raise _too_many(most, settings)
        block += [[""] * width for _ in range(blank)]
        rows.count += blank + 1
        blank = 0
        if len(cells) != width:
            if any(cells[width:]):
                rows.too_wide[rows.count - 1] = len(cells)
            cells = (cells + [""] * width)[:width]
        block.append(cells)
        if len(block) >= _ROWS_AT_ONCE:
            yield block
            block = []
    if block:
        yield block


def _too_many(most: int, settings: Settings) -> Problem:
    what = f"at most {settings.rows} are answered at a time"
    if most < settings.rows:
        what = f"with so many columns at most {most}, or {settings.cells} cells, are answered at a time"
    return Problem(413, f"There are more than {most} rows: {what}.")
