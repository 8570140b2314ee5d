"""Choose the format of an answer: by suffix, then by the Accept header; JSON is the default."""

from collections.abc import Mapping
from typing import TypeVar

from flask import Request
from werkzeug.datastructures import MIMEAccept

from gearing_api.formats import FORMATS, Format
from gearing_api.http.problems import Problem

_ANYTHING = ("", "*/*")
_JSON = "application/json"
T = TypeVar("T")


def chosen(request: Request, suffix: str | None, offered: Mapping[str, Format] = FORMATS) -> Format:
    """Return the format of the answer; `offered` has the formats by suffix, the best first.

    Raises
    ------
    Problem
        406 if the Accept header allows none of the formats.
    """
    if suffix is not None:
        return offered[suffix]
    return accepted(request, {form.media_type: form for form in offered.values()})


def accepted(request: Request, offered: Mapping[str, T]) -> T:
    """Return what the Accept header allows of the media types offered; JSON if it allows anything.

    Raises
    ------
    Problem
        406 if it allows none of them.
    """
    accept = request.environ.get("HTTP_ACCEPT", "").strip()
    if accept in _ANYTHING:
        return offered[_JSON]
    forms = {_bare(media_type): form for media_type, form in offered.items()}
    wanted = MIMEAccept([(_bare(kind), quality) for kind, quality in request.accept_mimetypes])
    # Java sends "*/*; q=.2", a quality that is not well-formed and so not read.
    found = wanted.best_match(forms) or (_JSON if "*/*" in accept else None)
    if found is None:
        raise Problem(406, "The formats are " + ", ".join(forms) + ".")
    return forms[found]


def prefers_html(request: Request) -> bool:
    """Tell whether the client prefers a page to data.

    Browsers name HTML and XHTML. Java's own client names HTML before pictures, and means neither.
    """
    named = {kind for kind, _ in request.accept_mimetypes}
    return "text/html" in named and ("application/xhtml+xml" in named or named <= {"text/html", "*/*"})


def _bare(media_type: str) -> str:
    """Return the type without parameters: a client that names a charset gets UTF-8 anyway."""
    return media_type.partition(";")[0].strip()
