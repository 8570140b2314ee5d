"""Write an answer as CSV: its table, or one row of results if it has none."""

import re
from collections.abc import Iterable, Iterator, Sequence

from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions
from gearing_api.vocabulary import HIGH_END, LOW_END, RESULTS

_NUMBER = re.compile(r"[+-][0-9.,]+(?:[eE][+-]?[0-9]+)?")
_FORMULA = (*"=+-@\t\r\n\0", *"＝＋－＠")  # the wide ones begin a formula in some languages
_SPECIAL = {",": re.compile(r'[",\r\n]'), ";": re.compile(r'[";\r\n]')}


def as_csv(document: Document, options: OutputOptions) -> bytes:
    """Write names as headings, CR LF after each line, and numbers without rounding.

    It is what each input alone does where that was asked for. With ranges it is the row of results, each number with
    its two ends behind it: those of the table have none.
    """
    if "tornado" in document:
        return rows_as_csv(document["tornado"]["columns"], document["tornado"]["rows"], options)
    if options.bands and document["result"]:
        row = dict(_with_ends(document))
        return rows_as_csv(list(row), [list(row.values())], options)
    table = document.get("table")
    if table:
        return rows_as_csv(table["columns"], table["rows"], options)
    return rows_as_csv(list(document["result"]), [list(document["result"].values())], options)


def _with_ends(document: Document) -> Iterator[tuple[str, object]]:
    for name, value in document["result"].items():
        yield name, value
        if RESULTS[name].quantity is not None:
            low, high = document["ranges"].get(name, (value, value))
            yield name + LOW_END, low
            yield name + HIGH_END, high


def rows_as_csv(headings: Sequence[str], rows: Iterable[Sequence[object]], options: OutputOptions) -> bytes:
    """Write rows of plain values under their headings."""
    text = "".join(line(row, options) for row in (headings, *rows))
    return text.encode("utf-8-sig" if options.byte_order_mark else "utf-8")


def line(values: Sequence[object], options: OutputOptions) -> str:
    """Write one line; the only cell of a line is never blank, because readers skip a blank line."""
    cells = options.separator.join(cell_text(value, options) for value in values)
    return (cells or '""') + "\r\n"


def cell_text(value: object, options: OutputOptions) -> str:
    """Write a cell; an apostrophe keeps a spreadsheet from running words as a formula."""
    text = options.cell(value)
    if text.startswith(_FORMULA) and not _NUMBER.fullmatch(text):
        text = f"'{text}"
    return '"' + text.replace('"', '""') + '"' if _SPECIAL[options.separator].search(text) else text
