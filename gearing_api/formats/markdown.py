"""Write an answer as Markdown with tables, for forums that render them."""

from collections.abc import Iterable, Sequence

from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.ranges import lines_of_ranges, lines_of_tornado
from gearing_api.formats.words import VERDICTS, digits, field_in_text, in_text, shown, stops_and_others
from gearing_api.vocabulary import label_of, naming


def as_markdown(document: Document, options: OutputOptions) -> bytes:
    """Results, table, what was assumed, cautions and sources."""
    results = [[label_of(name), *shown(document, name)] for name in document["result"]]
    parts = [document["summary"], f"**{document['question']}**: {VERDICTS[document['verdict']]}"]
    stops, others = stops_and_others(document)
    parts += ["\n".join(f"- {caution_line(caution)}" for caution in stops)] if stops else []
    if results:
        parts.append(pipes(["result", "value", "unit"], results))
    if said := [*lines_of_ranges(document), *lines_of_tornado(document)]:
        parts.append("\n".join(f"- {line}" for line in said))
    if "build" in document:
        parts += _findings(document, options)
    parts += [_table(in_text(document[name])) for name in ("table", "what_if") if name in document]
    if document["assumed"]:
        parts.append(
            "Assumed: "
            + ", ".join(f"{label_of(name)} {rounded(value)}" for name, value in document["assumed"].items())
        )
    parts += bullets("Cautions", map(caution_line, others))
    parts = [*map(options.in_prose, parts)]
    sources = () if options.brief else document["sources"]
    parts += bullets("Sources", (f"{row['what']} ({row['kind']}): {row['source']}" for row in sources))
    return ("\n\n".join(parts) + "\n").encode("utf-8")


def _findings(document: Document, options: OutputOptions) -> list[str]:
    """Name the fields that measurements add to the build, the readings not used, and what to measure next."""
    added = [[name, field_in_text(value, options.separator)] for name, value in document["build"].items()]
    unused = (f"{label_of(row['field'])}: needs {naming(row['needs'])}" for row in document["unused"])
    asked = [f"Next: {document['ask']}"] if document["ask"] else []
    return [pipes(["add to the build", "value"], added), *bullets("Not used", unused), *asked]


def _table(table: Document) -> str:
    headings = [
        f"{label_of(name)} [{unit}]" if unit else label_of(name)
        for name, unit in zip(table["columns"], table["units"], strict=True)
    ]
    few = [digits(name) for name in table["columns"]]
    rows = ([rounded(cell, count) for cell, count in zip(row, few, strict=True)] for row in table["rows"])
    return pipes(headings, rows)


def pipes(headings: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a table."""
    lines = [headings, ["---"] * len(headings), *([rounded(cell) for cell in row] for row in rows)]
    return "\n".join("| " + " | ".join(map(_in_a_cell, line)) + " |" for line in lines)


def _in_a_cell(text: str) -> str:
    """Put the text on one line, and escape pipes, which would end the cell."""
    return " ".join(text.split()).replace("|", r"\|")


def caution_line(caution: Document) -> str:
    """Write a caution with its level."""
    return f"{caution['level']}: {caution['text']}"


def bullets(title: str, lines: Iterable[str]) -> list[str]:
    """Write a list under its title; nothing where it is empty."""
    listed = [f"- {line}" for line in lines]
    return ["\n".join([f"{title}:", "", *listed])] if listed else []
