"""Write errors as RFC 9457 problem documents: one shape for every status, and a page for every type."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from flask import Response

from gearing_api.formats import dumped
from gearing_api.formats.text import harmless
from gearing_api.vocabulary import LONGEST_ECHO, FieldError, pointer

MEDIA_TYPE = "application/problem+json"


@dataclass(frozen=True)
class ProblemType:
    """A kind of problem: the last part of its address, its status, its title, and what to do."""

    slug: str
    status: int
    title: str
    advice: str


PROBLEM_TYPES: dict[int, ProblemType] = {
    problem.status: problem
    for problem in (
        ProblemType(
            "malformed-request",
            400,
            "The request cannot be read",
            "Send one JSON object in UTF-8: each name once, no NaN or Infinity, "
            "moderate nesting and numbers of ordinary length.",
        ),
        ProblemType(
            "not-found",
            404,
            "Nothing is at this address",
            "The home page and /openapi.json list the questions. Formats are suffixes such as .csv or .txt.",
        ),
        ProblemType(
            "method-not-allowed",
            405,
            "This address does not accept this method",
            "The Allow header lists the methods that it accepts.",
        ),
        ProblemType(
            "not-acceptable",
            406,
            "None of the requested formats is available",
            "Request a format by suffix, or send an Accept header that allows one of those listed.",
        ),
        ProblemType("body-too-large", 413, "The body is too large", "Send less at a time."),
        ProblemType("address-too-long", 414, "The address is too long", "Send the build as JSON by POST."),
        ProblemType(
            "media-type",
            415,
            "The media type of the body is not supported",
            "Send Content-Type: application/json, without compression.",
        ),
        ProblemType(
            "field-refused",
            422,
            "A field is missing or invalid",
            "Each error names the field, the reason and what is accepted. "
            "/v1/tables/fields lists all fields, /v1/tables/units all units.",
        ),
        ProblemType(
            "too-many-requests", 429, "Too many requests", "Wait for the time in the Retry-After header."
        ),
        ProblemType(
            "headers-too-large", 431, "The request headers are too large", "Send fewer or shorter headers."
        ),
        ProblemType(
            "fault",
            500,
            "The service failed",
            "The fault is in the service, not in your request. Please report the request to whoever runs it.",
        ),
        ProblemType(
            "not-implemented", 501, "Not supported", "Request one of the formats that the service lists."
        ),
        ProblemType(
            "busy", 503, "The service is busy", "Try again after the time in the Retry-After header."
        ),
    )
}


class Problem(Exception):
    """A request that ends in a problem document."""

    def __init__(
        self,
        status: int,
        detail: str,
        errors: Iterable[Mapping[str, Any]] = (),
        retry_after: int | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.errors = list(errors)
        self.headers = dict(headers or {})
        if retry_after is not None:
            self.headers["Retry-After"] = str(retry_after)


def field_errors(errors: Iterable[FieldError], where: Callable[[str], str]) -> list[dict[str, Any]]:
    """The errors as members of a problem document; `where` gives the part of the request by field."""
    listed = []
    for fault in errors:
        error: dict[str, Any] = {
            "location": where(fault.field),
            "pointer": fault.pointer or pointer(fault.field),
            "detail": f"{fault.field[:LONGEST_ECHO]} {fault.detail}",
        }
        if isinstance(fault.got, str):
            error["got"] = fault.got[:LONGEST_ECHO]
        elif isinstance(fault.got, int | float) and abs(fault.got) < 1e15:
            error["got"] = fault.got
        if fault.use is not None:
            error["use"] = fault.use
        listed.append(error)
    return listed


def kind_of(problem: Problem) -> ProblemType:
    """Return the type of the problem's status, or the general one of its class."""
    return PROBLEM_TYPES.get(problem.status, PROBLEM_TYPES[400 if problem.status < 500 else 500])


def document(problem: Problem, most_errors: int, root: str = "") -> dict[str, Any]:
    """Return the problem as plain data; errors above the limit are counted, not listed.

    `root` is the address of the service, without which the type is a path.
    """
    kind = kind_of(problem)
    made: dict[str, Any] = {
        "type": f"{root}/problems/{kind.slug}",
        "title": kind.title,
        "status": problem.status,
        "detail": problem.detail,
        "errors": problem.errors[:most_errors],
    }
    if len(problem.errors) > most_errors:
        made["errors_not_listed"] = len(problem.errors) - most_errors
    return made


def index() -> dict[str, Any]:
    """All types of problem as plain data."""
    kinds = [{"type": f"/problems/{kind.slug}", **asdict(kind)} for kind in PROBLEM_TYPES.values()]
    return {"problems": kinds}


def as_response(problem: Problem, most_errors: int, root: str = "") -> Response:
    """Return the problem document as a response that no cache stores."""
    response = Response(dumped(document(problem, most_errors, root)), problem.status, mimetype=MEDIA_TYPE)
    response.headers["Cache-Control"] = "no-store"
    response.headers.update(problem.headers)
    return response


def as_line(problem: Problem) -> Response:
    """Return the problem as one line with status 200, for spreadsheets that hide every other status."""
    sentence = problem.errors[0]["detail"] if problem.errors else problem.detail
    line = "#ERR " + harmless(" ".join(str(sentence).split()))
    response = Response(line, 200, content_type="text/plain; charset=utf-8")
    response.headers["Cache-Control"] = "no-store"
    return response
