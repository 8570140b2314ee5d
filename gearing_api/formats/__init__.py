"""From an answer to text: one renderer a format, chosen by suffix or media type."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import orjson

from gearing_api.answer import Question
from gearing_api.formats.delimited import as_csv
from gearing_api.formats.document import Document
from gearing_api.formats.markdown import as_markdown
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.pictures import as_png, as_svg
from gearing_api.formats.text import as_text


@dataclass(frozen=True)
class Format:
    """A way to write a document down; some draw its picture."""

    suffix: str
    media_type: str
    write: Callable[[Document, OutputOptions], bytes]
    draws: bool = False


BRIEF = ("given", "sources")
"""Members that a brief answer does without."""


def as_json(document: Document, options: OutputOptions) -> bytes:
    """The document as JSON; where asked without details, and with rows of tables as objects."""
    plain = not (options.brief or options.row_objects)
    return orjson.dumps(document if plain else _shaped(document, options))


def _shaped(document: Document, options: OutputOptions) -> Document:
    shaped = {name: part for name, part in document.items() if not (options.brief and name in BRIEF)}
    if options.row_objects:
        shaped |= {name: with_row_objects(shaped[name]) for name in ("table", "what_if") if name in shaped}
    if "parts" in shaped:
        shaped["parts"] = {name: _shaped(part, options) for name, part in shaped["parts"].items()}
    return shaped


def with_row_objects(table: Document) -> Document:
    """The table with each row as an object of its cells by column."""
    return table | {"rows": [dict(zip(table["columns"], row, strict=True)) for row in table["rows"]]}


def dumped(value: Any) -> bytes:
    """Any plain value as JSON."""
    return orjson.dumps(value)


FORMATS: dict[str, Format] = {
    form.suffix: form
    for form in (
        Format("json", "application/json", as_json),
        Format("csv", "text/csv; charset=utf-8; header=present", as_csv),
        Format("txt", "text/plain; charset=utf-8", as_text),
        Format("md", "text/markdown; charset=utf-8", as_markdown),
    )
}
"""Formats of every answer."""

CHARTS: dict[str, Format] = {
    form.suffix: form
    for form in (
        Format("svg", "image/svg+xml", as_svg, draws=True),
        Format("png", "image/png", as_png, draws=True),
    )
}
"""Formats of answers that have a picture."""


def offered(question: Question) -> Mapping[str, Format]:
    """The formats that answers to this question come in, by suffix, the best first."""
    return FORMATS | CHARTS if question.draws else FORMATS
