"""Write a shortlist for those who paste it: text and Markdown for forums, CSV for spreadsheets."""

import textwrap
from collections.abc import Iterator

from gearing_api.batch.shortlist_answers import Document, as_text
from gearing_api.formats.delimited import rows_as_csv
from gearing_api.formats.markdown import bullets, caution_line, pipes
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.ranges import two_ends
from gearing_api.formats.text import WIDTH, harmless, within
from gearing_api.formats.words import MOST_CAUTIONS, digits
from gearing_api.vocabulary import HIGH_END, LOW_END, RESULTS, label_of

_SUM_DIGITS = 6


def as_forum_text(document: Document, options: OutputOptions) -> bytes:
    """Write what the command prints in at most 60 columns and 1,900 characters of plain ASCII."""
    lines = [
        part
        for line in [*as_text(document).split("\n"), *_refused(document)]
        for part in textwrap.wrap(harmless(line), WIDTH, subsequent_indent="   ") or [""]
    ]
    return within(options.in_prose("\n".join(lines))).encode()


def as_markdown(document: Document, options: OutputOptions) -> bytes:
    """Write the rows as a table, then the steps to the cheapest, and what must be said."""
    units, names = document["result_units"], _figures_of(document)
    headings = [f"{label_of(name)} [{units[name]}]" if units.get(name) else label_of(name) for name in names]
    rows = (
        [row["label"], *(_in_text(row, name) for name in names), row["meets"], row["gives_up"]]
        for row in document["rows"]
    )
    steps = [step["text"] for step in document["steps"]]
    cautions = [
        f"{row['label']}: {caution_line(caution)}" for row in document["rows"] for caution in row["cautions"]
    ]
    notes = [caution_line(caution) for caution in document["cautions"] if caution["level"] == "note"]
    parts = [
        document["summary"],
        pipes(["combination", *headings, "meets", "gives up"], rows),
        *(["The cheapest, in this order:\n\n" + "\n".join(steps)] if steps else []),
        *bullets("Cautions", [*cautions, *notes[:MOST_CAUTIONS]]),
        *bullets("Refused", _refused(document)),
    ]
    return ("\n\n".join(map(options.in_prose, parts)) + "\n").encode()


def as_csv(document: Document, options: OutputOptions) -> bytes:
    """Write one line a row, numbers without rounding; with ranges each number with its two ends behind it."""
    drawn = any("ranges" in row for row in document["rows"])
    headings = ["label"]
    for name in _figures_of(document):
        headings += [name, name + LOW_END, name + HIGH_END] if drawn and name in RESULTS else [name]
    rows = (
        [row["label"], *_cells(row, _figures_of(document), drawn=drawn), row["meets"], row["gives_up"]]
        for row in document["rows"]
    )
    return rows_as_csv([*headings, "meets", "gives_up"], rows, options)


def _figures_of(document: Document) -> list[str]:
    first = document["rows"][0] if document["rows"] else {"sums": {}, "results": {}}
    return [*first["sums"], *first["results"]]


def _cells(row: Document, names: list[str], *, drawn: bool) -> Iterator[object]:
    for name in names:
        value = row["sums"].get(name, row["results"].get(name))
        yield value
        if drawn and name in RESULTS:
            yield from row.get("ranges", {}).get(name, (value, value))


def _in_text(row: Document, name: str) -> str:
    """Write a figure as a range where it has one; alone only where text may show it so."""
    if name in row["sums"]:
        return rounded(row["sums"][name], _SUM_DIGITS)
    if name in row.get("ranges", {}):
        return two_ends(*row["ranges"][name])
    return "-" if RESULTS[name].only_as_range else rounded(row["results"][name], digits(name))


def _refused(document: Document) -> list[str]:
    return [f"{error['count']} refused: {error['detail']}" for error in document["errors"]]
