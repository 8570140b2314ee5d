"""CSV: the table where the answer has one, else one row of results."""

import csv
import io
import re
from collections.abc import Iterable, Sequence

from gearing_api.formats.document import Document
from gearing_api.formats.wishes import Wishes

_NUMBER = re.compile(r"[+-][0-9.,]+(?:[eE][+-]?[0-9]+)?")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def as_csv(document: Document, wishes: Wishes) -> bytes:
    """Headings are the names of the glossary; lines end in CR LF; numbers are not rounded."""
    table = document.get("table")
    if table:
        return rows_as_csv(table["columns"], table["rows"], wishes)
    return rows_as_csv(list(document["result"]), [list(document["result"].values())], wishes)


def rows_as_csv(headings: Sequence[str] | None, rows: Iterable[Sequence[object]], wishes: Wishes) -> bytes:
    """Rows of plain values, under headings unless these are already written."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if wishes.decimal_comma else ",", lineterminator="\r\n")
    if headings is not None:
        writer.writerow([_cell(heading, wishes) for heading in headings])
    writer.writerows([_cell(value, wishes) for value in row] for row in rows)
    return out.getvalue().encode("utf-8-sig" if wishes.byte_order_mark else "utf-8")


def _cell(value: object, wishes: Wishes) -> str:
    """A cell; words that a spreadsheet would run as a formula are kept words by an apostrophe."""
    text = wishes.cell(value)
    return f"'{text}" if text.startswith(_FORMULA) and not _NUMBER.fullmatch(text) else text
