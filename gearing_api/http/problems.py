"""Errors as RFC 9457 problem documents: one shape for every status, and a page for every type."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
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
            "The body must be one JSON object in UTF-8: each name once, no NaN or Infinity, "
            "moderate nesting and numbers of ordinary length.",
        ),
        ProblemType(
            "not-found",
            404,
            "There is nothing at this address",
            "The questions are listed on the home page and in /openapi.json; formats are suffixes "
            "such as .csv or .txt.",
        ),
        ProblemType(
            "method-not-allowed",
            405,
            "This address does not take this method",
            "The Allow header lists the methods it takes.",
        ),
        ProblemType(
            "not-acceptable",
            406,
            "None of the formats asked for exists here",
            "Ask for a format by suffix, or send an Accept header that admits one of those listed.",
        ),
        ProblemType("body-too-large", 413, "The body is too large", "Send less at a time."),
        ProblemType("address-too-long", 414, "The address is too long", "Send the build as JSON by POST."),
        ProblemType(
            "media-type",
            415,
            "The body is of a kind that is not read here",
            "Send Content-Type: application/json, not compressed.",
        ),
        ProblemType(
            "field-refused",
            422,
            "A field is missing or was refused",
            "Each error names the field, the reason and what is accepted. All fields stand in "
            "/v1/tables/fields, the units in /v1/tables/units.",
        ),
        ProblemType(
            "too-many-requests", 429, "Too many requests", "Wait as long as the Retry-After header says."
        ),
        ProblemType(
            "headers-too-large", 431, "The request's headers are too large", "Send fewer or shorter."
        ),
        ProblemType(
            "fault",
            500,
            "The service made a mistake",
            "It is not your fault. Please report the request to whoever runs this service.",
        ),
        ProblemType(
            "not-implemented", 501, "This service cannot do that", "Ask for one of the forms that it lists."
        ),
        ProblemType("busy", 503, "The service is busy", "Try again after the Retry-After header's time."),
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
    ) -> None:
        super().__init__(detail)
        self.status = status
        self.detail = detail
        self.errors = list(errors)
        self.retry_after = retry_after


def field_errors(faults: Iterable[FieldError], location: str) -> list[dict[str, Any]]:
    """The faults as members of a problem document."""
    errors = []
    for fault in faults:
        error: dict[str, Any] = {
            "location": location,
            "pointer": fault.pointer or pointer(fault.field),
            "detail": f"{fault.field[:LONGEST_ECHO]} {fault.detail}",
        }
        if isinstance(fault.got, str):
            error["got"] = fault.got[:LONGEST_ECHO]
        elif isinstance(fault.got, int | float) and abs(fault.got) < 1e15:
            error["got"] = fault.got
        if fault.use is not None:
            error["use"] = fault.use
        errors.append(error)
    return errors


def document(problem: Problem, most_errors: int) -> dict[str, Any]:
    """The problem as plain data; errors above the limit are counted, not listed."""
    kind = PROBLEM_TYPES.get(problem.status, PROBLEM_TYPES[400 if problem.status < 500 else 500])
    made: dict[str, Any] = {
        "type": f"/problems/{kind.slug}",
        "title": kind.title,
        "status": problem.status,
        "detail": problem.detail,
        "errors": problem.errors[:most_errors],
    }
    if len(problem.errors) > most_errors:
        made["errors_not_listed"] = len(problem.errors) - most_errors
    return made


def as_response(problem: Problem, most_errors: int) -> Response:
    """The problem document as a response that is never stored."""
    response = Response(dumped(document(problem, most_errors)), problem.status, mimetype=MEDIA_TYPE)
    response.headers["Cache-Control"] = "no-store"
    if problem.retry_after is not None:
        response.headers["Retry-After"] = str(problem.retry_after)
    return response


def as_line(problem: Problem) -> Response:
    """The problem in one line with status 200, for spreadsheets that hide every other status."""
    sentence = problem.errors[0]["detail"] if problem.errors else problem.detail
    line = "#ERR " + harmless(" ".join(str(sentence).split()))
    response = Response(line, 200, content_type="text/plain; charset=utf-8")
    response.headers["Cache-Control"] = "no-store"
    return response
