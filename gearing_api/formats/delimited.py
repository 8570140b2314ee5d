"""CSV: the table where the answer has one, else one row of results."""

import re
from collections.abc import Iterable, Sequence

from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions

_NUMBER = re.compile(r"[+-][0-9.,]+(?:[eE][+-]?[0-9]+)?")
_FORMULA = (*"=+-@\t\r\n\0", *"＝＋－＠")  # the wide ones begin a formula in some languages
_SPECIAL = {",": re.compile(r'[",\r\n]'), ";": re.compile(r'[";\r\n]')}


def as_csv(document: Document, options: OutputOptions) -> bytes:
    """Headings are the names of the glossary; lines end in CR LF; numbers are not rounded."""
    table = document.get("table")
    if table:
        return rows_as_csv(table["columns"], table["rows"], options)
    return rows_as_csv(list(document["result"]), [list(document["result"].values())], options)


def rows_as_csv(headings: Sequence[str], rows: Iterable[Sequence[object]], options: OutputOptions) -> bytes:
    """Rows of plain values under their headings."""
    text = "".join(line(row, options) for row in (headings, *rows))
    return text.encode("utf-8-sig" if options.byte_order_mark else "utf-8")


def line(values: Sequence[object], options: OutputOptions) -> str:
    """One line; the only cell of a line is never left blank, which would read as no line."""
    cells = options.separator.join(written(value, options) for value in values)
    return (cells or '""') + "\r\n"


def written(value: object, options: OutputOptions) -> str:
    """A cell; words that a spreadsheet would run as a formula are kept words by an apostrophe."""
    text = options.cell(value)
    if text.startswith(_FORMULA) and not _NUMBER.fullmatch(text):
        text = f"'{text}"
    return '"' + text.replace('"', '""') + '"' if _SPECIAL[options.separator].search(text) else text
