"""Describe the responses that all addresses have alike."""

from typing import Any

from gearing_api.http.problems import MEDIA_TYPE

Response = dict[str, Any]


def _header(about: str, kind: str = "string") -> Response:
    return {"description": about, "schema": {"type": kind}}


_WAIT = {"Retry-After": _header("Seconds to wait", "integer")}


def _problem(about: str, headers: Response | None = None) -> Response:
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {"description": about, "content": content} | ({"headers": headers} if headers else {})


CACHED = {
    "ETag": _header("Send it back in If-None-Match"),
    "Cache-Control": _header("How long the answer may be kept"),
}
"""Headers of answers that caches may keep."""

RESPONSES: dict[str, Response] = {
    "NotModified": {"description": "The answer is the one that the ETag sent names.", "headers": CACHED},
    "NotFound": _problem("Nothing is at this address; the detail names the nearest."),
    "NotAcceptable": _problem("None of the formats in Accept is offered; the detail lists those that are."),
    "TooLarge": _problem("The body is too large, or makes too many builds."),
    "OtherMediaType": _problem(
        "The media type of the body is not read here.", {"Accept-Post": _header("Those that are")}
    ),
    "Refused": _problem("A field is missing or refused: each error names it and what is accepted."),
    "TooMany": _problem("Too many requests: wait as long as Retry-After says.", _WAIT),
    "Busy": _problem("The service is busy: try again after Retry-After.", _WAIT),
    "Problem": _problem("Any other refusal or fault; RFC 9457."),
}

_READ = {"304": "NotModified", "422": "Refused", "429": "TooMany", "503": "Busy", "default": "Problem"}
_SENT = {
    "413": "TooLarge",
    "415": "OtherMediaType",
    "422": "Refused",
    "429": "TooMany",
    "503": "Busy",
    "default": "Problem",
}


def responses(method: str, ok: Response, *, suffixed: bool = False, found: bool = True) -> Response:
    """Return the responses of an operation; with a suffix no Accept header is read, and not all may be found."""
    named = dict(_READ if method == "get" else _SENT)
    if not suffixed:
        named["406"] = "NotAcceptable"
    if not found:
        named["404"] = "NotFound"
    headed = ok | ({"headers": CACHED} if method == "get" and "$ref" not in ok else {})
    others = {status: {"$ref": f"#/components/responses/{name}"} for status, name in sorted(named.items())}
    return {"200": headed, **others}
