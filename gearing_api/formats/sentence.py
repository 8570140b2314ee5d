"""Write the build that a forum sentence describes as plain text, without the sentence itself."""

import textwrap
from collections.abc import Iterable

from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.text import WIDTH, harmless, within
from gearing_api.vocabulary import label_of


def as_understood(document: Document, options: OutputOptions) -> bytes:
    """Write the build, what was not used or was assumed, the questions it fits, and what to ask back."""
    result = document["result"]
    lines = [
        document["question"],
        *(f"{label_of(name):.<34} {rounded(value)}" for name, value in result["build"].items()),
        *_list("not used:", (f"{left['text']} {left['reason']}" for left in result["unused"])),
        *_list("assumed:", document["assumed"].values()),
        *_wrap(f"fits: {', '.join(result['fits'])}" if result["fits"] else ""),
        *_wrap(f"? {result['ask']}" if result["ask"] else ""),
    ]
    return within(options.in_prose("\n".join(map(harmless, lines)))).encode()


def _list(title: str, items: Iterable[str]) -> list[str]:
    text = "; ".join(items)
    return _wrap(f"{title} {text}" if text else "")


def _wrap(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ")
