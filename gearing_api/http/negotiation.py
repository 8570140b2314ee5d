"""Which format an answer is written in: by suffix, else by the Accept header, else JSON."""

from collections.abc import Iterable

from flask import Request
from werkzeug.datastructures import MIMEAccept

from gearing_api.formats import FORMATS, Format
from gearing_api.http.problems import Problem

_ANYTHING = ("", "*/*")


def chosen(request: Request, suffix: str | None, offered: Iterable[str] = FORMATS) -> Format:
    """The format of the answer; `offered` are the suffixes of the formats there are, the best first.

    Raises
    ------
    Problem
        406 if the Accept header admits none of the formats.
    """
    if suffix is not None:
        return FORMATS[suffix]
    accept = request.environ.get("HTTP_ACCEPT", "").strip()
    if accept in _ANYTHING:
        return FORMATS["json"]
    forms = {_bare(FORMATS[suffix].media_type): FORMATS[suffix] for suffix in offered}
    wanted = MIMEAccept([(_bare(kind), quality) for kind, quality in request.accept_mimetypes])
    # Java sends "*/*; q=.2", a quality that is not well-formed and so not read.
    found = wanted.best_match(forms) or ("application/json" if "*/*" in accept else None)
    if found is None:
        raise Problem(406, "The formats here are " + ", ".join(forms) + ".")
    return forms[found]


def _bare(media_type: str) -> str:
    """The type without parameters: a client that names a charset gets UTF-8 all the same."""
    return media_type.partition(";")[0].strip()
