"""What a forum sentence was read as, in plain text: values as they are used, never the sentence itself."""

import textwrap
from collections.abc import Iterable

from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.text import WIDTH, harmless, within


def as_understood(document: Document, options: OutputOptions) -> bytes:
    """Each value of the build, what was left over, what may be asked of it, and what to ask back."""
    result = document["result"]
    lines = [
        document["question"],
        *(f"{name.replace('_', ' '):.<34} {rounded(value)}" for name, value in result["build"].items()),
        *_listed("left over:", (f"{left['text']} {left['reason']}" for left in result["unused"])),
        *_listed("assumed:", document["assumed"].values()),
        *_wrapped(f"fits: {', '.join(result['fits'])}" if result["fits"] else ""),
        *_wrapped(f"? {result['ask']}" if result["ask"] else ""),
    ]
    return within("\n".join(map(harmless, lines))).encode()


def _listed(title: str, items: Iterable[str]) -> list[str]:
    told = "; ".join(items)
    return _wrapped(f"{title} {told}" if told else "")


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ")
