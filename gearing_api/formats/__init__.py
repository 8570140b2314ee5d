"""From an answer to text: one renderer a format, chosen by suffix or media type."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import orjson

from gearing_api.answer import Question
from gearing_api.formats.chart import as_png, as_svg
from gearing_api.formats.delimited import as_csv
from gearing_api.formats.document import Document
from gearing_api.formats.markdown import as_markdown
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.text import as_text


@dataclass(frozen=True)
class Format:
    """A way to write a document down; some draw its curve."""

    suffix: str
    media_type: str
    write: Callable[[Document, OutputOptions], bytes]
    draws: bool = False


def as_json(document: Document, options: OutputOptions) -> bytes:
    """The document as JSON."""
    return orjson.dumps(document)


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
"""Formats of answers that have a curve."""


def offered(question: Question) -> Mapping[str, Format]:
    """The formats that answers to this question come in, by suffix, the best first."""
    return FORMATS | CHARTS if question.draws else FORMATS
