"""Write an answer as plain ASCII for forums and terminals: at most 60 columns and 1,900 characters."""

import textwrap
from collections.abc import Iterator, Sequence

from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.ranges import lines_of_ranges, lines_of_tornado
from gearing_api.formats.words import (
    MOST_CAUTIONS,
    VERDICTS,
    absence,
    digits,
    field_in_text,
    in_text,
    shown,
    stops_and_others,
    trusted,
)
from gearing_api.vocabulary import RESULTS, FieldError, InvalidBuild, label_of, naming

WIDTH = 60
LENGTH = 1900
_NOTE = 40  # room for the line that counts what is left out
_CUT = "(cut here; all in .json)"


def as_text(document: Document, options: OutputOptions) -> bytes:
    """Write the bare numbers that were picked, or a sheet of results, cautions and table."""
    if options.pick:
        return _bare(document, options).encode("utf-8")
    results = [*_results(document), *_needed(document)]
    results += _findings(document, options)
    above = [
        *_summary(document),
        *_stops(document),
        *results,
        *_missing(document),
        *_best(document),
        *_ranges(document),
    ]
    assumed = _assumed(document)
    room = LENGTH - len("\n".join([*above, *assumed])) - 2
    below = [*_cautions(document, room), *assumed]
    room = LENGTH - len("\n".join([*above, *below])) - 2
    table = _table(document.get("table"), room, ".csv")
    room -= len("\n".join(table)) + 1
    what_if = _table(document.get("what_if"), room, ".json")
    text = "\n".join(map(harmless, [*above, *table, *what_if, *below]))
    return within(options.in_prose(text)).encode()


def within(text: str) -> str:
    """Cut a text that is too long between two lines."""
    if len(text) <= LENGTH:
        return text
    return text[: text.rindex("\n", 0, LENGTH - len(_CUT)) + 1] + _CUT


def harmless(line: str) -> str:
    """Return the line in plain ASCII, without marks that call people or end a code block in a chat."""
    return "".join(mark if " " <= mark <= "~" and mark not in "`@" else "?" for mark in line)


def _bare(document: Document, options: OutputOptions) -> str:
    if "table" in document:
        return "\n".join("\t".join(options.cell(cell) for cell in row) for row in document["table"]["rows"])
    for name in document["absent"]:
        raise InvalidBuild([FieldError("pick", f"{name} is not known here: {absence(document, name)}", name)])
    return "\t".join(options.cell(trusted(name, value)) for name, value in _picked(document, options))


def _picked(document: Document, options: OutputOptions) -> Iterator[tuple[str, object]]:
    """The results picked; with ranges each number with its two ends behind it."""
    for name, value in document["result"].items():
        yield name, value
        if options.bands and RESULTS[name].quantity is not None:
            for end in document["ranges"].get(name, (value, value)):
                yield name, end


def _summary(document: Document) -> list[str]:
    verdict = f"{document['question']}: {VERDICTS[document['verdict']]}"
    return [*textwrap.wrap(document["summary"], WIDTH), verdict]


def _results(document: Document) -> list[str]:
    return [
        line
        for name, value in document["result"].items()
        if name in (document.get("head") or document["result"]) and not _lacks_fields(document, name)
        for line in _result(document, name, value)
    ]


def _lacks_fields(document: Document, name: str) -> bool:
    return name in document["absent"] and document["absent"][name]["why"] == "needs"


def _needed(document: Document) -> list[str]:
    """Name the results that lack fields, those together that lack the same."""
    lacking: dict[str, list[str]] = {}
    for name in document.get("head") or document["result"]:
        if _lacks_fields(document, name):
            lacking.setdefault(absence(document, name), []).append(label_of(name))
    lines: list[str] = []
    for reason, names in lacking.items():
        lines += textwrap.wrap(f"{', '.join(names)}: {reason}", WIDTH, subsequent_indent="  ")
    return lines


def _result(document: Document, name: str, value: object) -> list[str]:
    figure = ("- " if value is None else "") + " ".join(shown(document, name))
    return textwrap.wrap(f"{label_of(name):.<34} {figure}", WIDTH, subsequent_indent=" " * 35)


def _findings(document: Document, options: OutputOptions) -> list[str]:
    """Name the fields that measurements add to the build, the readings not used, and what to measure next."""
    if "build" not in document:
        return []
    lines = ["add to the build:"]
    for name, value in document["build"].items():
        lines += textwrap.wrap(
            f"  {name} {field_in_text(value, options.separator)}", WIDTH, subsequent_indent="    "
        )
    for unused in document["unused"]:
        said = f"not used: {label_of(unused['field'])}, needs {naming(unused['needs'])}"
        lines += textwrap.wrap(said, WIDTH, subsequent_indent="  ")
    return lines + textwrap.wrap(
        f"next: {document['ask']}" if document["ask"] else "", WIDTH, subsequent_indent="  "
    )


def _missing(document: Document) -> list[str]:
    """Name the questions of a sheet that are not answered, with the fields they need."""
    lines: list[str] = []
    for name, fields in document.get("missing", {}).items():
        lines += textwrap.wrap(f"{name} needs {naming(fields)}", WIDTH, subsequent_indent="  ")
    return lines


def _best(document: Document) -> list[str]:
    """Say why the first row of a ranked table is the first."""
    table = document.get("table")
    if not table or "reason" not in table["columns"] or not table["rows"]:
        return []
    row = dict(zip(table["columns"], table["rows"][0], strict=True))
    sentence = f"{rounded(table['rows'][0][0])}: {row['reason']}"
    return textwrap.wrap(sentence, WIDTH, subsequent_indent="  ")


def _ranges(document: Document) -> list[str]:
    """What must be said of ranges, where results have them; and what each input alone does."""
    lines = [*lines_of_ranges(document), *lines_of_tornado(document)]
    return [line for text in lines for line in textwrap.wrap(text, WIDTH, subsequent_indent="  ")]


def _stops(document: Document) -> list[str]:
    """Every caution of the level `stop`, whole."""
    stops, _ = stops_and_others(document)
    return [line for caution in stops for line in _caution(caution)]


def _cautions(document: Document, room: int) -> list[str]:
    """The gravest of the other cautions, to five with the stops, each whole as far as there is room."""
    stops, found = stops_and_others(document)
    most = max(0, MOST_CAUTIONS - len(stops))
    lines: list[str] = []
    shown = 0
    for caution in found[:most]:
        more = _caution(caution)
        if len("\n".join([*lines, *more])) + _NOTE > room:
            break
        lines += more
        shown += 1
    left = len(found) - shown
    return [*lines, f"({left} more caution{'s' if left > 1 else ''} in .json)"] if left else lines


def _caution(caution: Document) -> list[str]:
    return textwrap.wrap(f"{caution['level']}: {caution['text']}", WIDTH, subsequent_indent="  ")


def _assumed(document: Document) -> list[str]:
    if not document["assumed"]:
        return []
    words = ", ".join(f"{label_of(name)} {rounded(value)}" for name, value in document["assumed"].items())
    return textwrap.wrap(f"assumed: {words}", WIDTH, subsequent_indent="  ")


def _table(table: Document | None, room: int, whole_in: str) -> list[str]:
    """Write a table with its headings stacked word by word, and count what does not fit."""
    if not table or not table["rows"]:
        return []
    columns = [_column(*column) for column in _turned(in_text(table))]
    widths = [max(len(line) for line in column) for column in columns]
    fitting = _fitting(widths)
    lines = [
        " ".join(column[place].rjust(width) for column, width in zip(columns[:fitting], widths, strict=False))
        for place in range(len(columns[0]))
    ]
    header = len(columns[0]) - len(table["rows"])
    left_out = f"; all in {whole_in}"
    most = max(0, (room - len(left_out) - 40) // (max(len(line) for line in lines) + 1))
    missing_rows, missing_columns = len(lines) - most, len(columns) - fitting
    if most <= header:
        return [f"({len(table['rows'])} rows{left_out})"]
    notes = [f"{missing_rows} more rows"] * (missing_rows > 0) + [f"{missing_columns} more columns"] * (
        missing_columns > 0
    )
    return [
        *(line.rstrip() for line in lines[:most]),
        *([f"({', '.join(notes)}{left_out})"] if notes else []),
    ]


def _turned(table: Document) -> list[tuple[str, str, list[object], int]]:
    tallest = max(
        len(_stack(name, unit)) for name, unit in zip(table["columns"], table["units"], strict=True)
    )
    return [
        (name, unit, [row[place] for row in table["rows"]], tallest)
        for place, (name, unit) in enumerate(zip(table["columns"], table["units"], strict=True))
    ]


def _stack(name: str, unit: str) -> list[str]:
    return [*label_of(name).split(" "), *([unit] if unit else [])]


def _column(name: str, unit: str, values: Sequence[object], tallest: int) -> list[str]:
    stack = _stack(name, unit)
    return [*[""] * (tallest - len(stack)), *stack, *(rounded(value, digits(name)) for value in values)]


def _fitting(widths: Sequence[int]) -> int:
    total, fitting = -1, 0
    for width in widths:
        total += width + 1
        if total > WIDTH:
            break
        fitting += 1
    return fitting
