"""Which format an answer is written in: by suffix, else by the Accept header, else JSON."""

from flask import Request

from gearing_api.formats import FORMATS, Format
from gearing_api.http.problems import Problem

_BY_MEDIA_TYPE = {form.media_type.partition(";")[0]: form for form in FORMATS.values()}


def chosen(request: Request, suffix: str | None) -> Format:
    """The format of the answer.

    Raises
    ------
    Problem
        406 if the Accept header admits none of the formats.
    """
    if suffix is not None:
        return FORMATS[suffix]
    if "HTTP_ACCEPT" not in request.environ:
        return FORMATS["json"]
    if not request.accept_mimetypes or "*/*" in request.accept_mimetypes.values():
        best = request.accept_mimetypes.best_match(_BY_MEDIA_TYPE, "application/json")
        explicit = best in request.accept_mimetypes.values()
        return _BY_MEDIA_TYPE[best] if explicit else FORMATS["json"]
    found = request.accept_mimetypes.best_match(_BY_MEDIA_TYPE)
    if found is None:
        raise Problem(406, "The formats here are " + ", ".join(_BY_MEDIA_TYPE) + ".")
    return _BY_MEDIA_TYPE[found]
