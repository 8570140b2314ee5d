"""From an answer to text: one renderer a format, chosen by suffix or media type."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import orjson

from gearing_api.formats.delimited import as_csv
from gearing_api.formats.document import Document
from gearing_api.formats.markdown import as_markdown
from gearing_api.formats.text import as_text
from gearing_api.formats.wishes import Wishes


@dataclass(frozen=True)
class Format:
    """A way to write a document down."""

    suffix: str
    media_type: str
    write: Callable[[Document, Wishes], bytes]


def as_json(document: Document, wishes: Wishes) -> bytes:
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
