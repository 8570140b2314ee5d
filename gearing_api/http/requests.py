"""From a request to raw fields and options: each name once, nothing silently dropped."""

import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple
from urllib.parse import unquote_to_bytes

from flask import Request, g
from marshmallow import EXCLUDE, Schema, ValidationError, fields, validate
from werkzeug.exceptions import HTTPException

from gearing_api.formats.chart import SIZES, THEMES
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.strict_json import Unfit, parsed
from gearing_api.http.problems import Problem, field_errors
from gearing_api.mechanics.domain import DomainError
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS, PointedText, System
from gearing_api.vocabulary import FIELDS, FieldError, InvalidBuild, unknown_field


class _Text(fields.String):
    default_error_messages = {"invalid": "must be text", "null": "must be text"}  # noqa: RUF012


class OptionsSchema(Schema):
    """The parameters that are about the answer, not about the build."""

    class Meta:
        unknown = EXCLUDE

    units = _Text(
        load_default="us",
        validate=validate.OneOf(SYSTEMS, error="must be us or metric"),
        metadata={"description": "Units of bare numbers in, and of all numbers out"},
    )
    pick = _Text(
        load_default="",
        validate=validate.Length(max=500, error="must have at most 500 characters"),
        metadata={"description": "Only these results or table columns, comma-separated"},
    )
    decimal = _Text(
        load_default="point",
        validate=validate.OneOf(("point", "comma"), error="must be point or comma"),
        metadata={
            "description": "comma: numbers in, and those out in CSV and in picked text, have a decimal "
            "comma; lists and CSV have a semicolon"
        },
    )
    bom = _Text(
        load_default="0",
        validate=validate.OneOf(("0", "1"), error="must be 0 or 1"),
        metadata={"description": "1: CSV begins with a byte order mark"},
    )
    chart_size = _Text(
        load_default=OutputOptions.chart_size,
        validate=validate.OneOf(SIZES, error=f"must be one of {', '.join(SIZES)}"),
        metadata={"description": "Width and height of a chart in pixels, in .svg and .png"},
    )
    chart_theme = _Text(
        load_default=OutputOptions.chart_theme,
        validate=validate.OneOf(THEMES, error=f"must be {' or '.join(THEMES)}"),
        metadata={"description": "Colours of a chart, for a light or a dark page"},
    )
    errors = _Text(
        load_default="problem",
        validate=validate.OneOf(("problem", "text"), error="must be problem or text"),
        metadata={"description": "text: an error comes with status 200 as one line that begins with #ERR"},
    )


OPTIONS = OptionsSchema()
OPTION_NAMES = frozenset(OPTIONS.fields)
IGNORED = "_"
MOST_PICKS = 50
_MAY_BE_EMPTY = OPTION_NAMES | FIELDS.keys()
MOST_NAMES = len(FIELDS) + len(OPTION_NAMES)


class ParsedRequest(NamedTuple):
    """What a request asks: fields of a build as received and as they are read, units, and how to write."""

    received: dict[str, object]
    raw: dict[str, object]
    location: str
    system: System
    options: OutputOptions


def refused(faults: Iterable[FieldError], location: str) -> Problem:
    """The 422 of these faults."""
    errors = field_errors(faults, location)
    return Problem(422, "; ".join(error["detail"] for error in errors[:3]), errors)


@contextmanager
def field_errors_as_problem(location: str) -> Iterator[None]:
    """Refusals of a build, on the way to its answer, as the 422 that tells them."""
    try:
        yield
    except InvalidBuild as error:
        raise refused(error.faults, location) from error
    except DomainError as error:
        raise refused([FieldError(error.argument, f"must be {error.accepted}")], location) from error


def reading(request: Request, settings: Settings) -> ParsedRequest:
    """The question's build and options from a GET's query or a POST's JSON object.

    Raises
    ------
    Problem
        400, 413, 414, 415 or 422, with the reason.
    """
    if len(request.query_string) > settings.query_bytes:
        raise Problem(414, f"The query has more than {settings.query_bytes} bytes: send the build by POST.")
    query = query_of(request)
    body = json_object(request, settings.body_bytes) if request.method == "POST" else {}
    if len(query) + len(body) > MOST_NAMES:
        raise Problem(422, f"There are {len(query) + len(body)} names: all fields together are {MOST_NAMES}.")
    if request.method == "POST":
        g.errors = body.get("errors")
        unfit = [name for name in query if name not in OPTION_NAMES or name in body]
        if unfit:
            raise refused([misplaced(name, body) for name in unfit], "query")
        return split({**query, **body}, "body")
    return split(dict(query), "query")


def misplaced(name: str, body: dict[str, object]) -> FieldError:
    if name in body:
        return FieldError(name, "is given both in the address and in the body: give it once")
    if name in FIELDS:
        return FieldError(name, "stands in the address of a POST: put the build's fields into the body")
    return unknown_field(name)


def query_of(request: Request) -> dict[str, str]:
    """The parameters of the address, each once, those left empty left out."""
    found: dict[str, str] = {}
    for name, text in _pairs(request.query_string):
        if name == IGNORED:
            continue
        if name in found:
            raise refused(
                [FieldError(name, "is given more than once: give a list as one value, 1,2,3")], "query"
            )
        found[name] = text
    return {name: text for name, text in found.items() if text.strip() or name not in _MAY_BE_EMPTY}


def _pairs(query: bytes) -> list[tuple[str, str]]:
    try:
        parts = [part.partition("=") for part in query.decode().replace("+", " ").split("&") if part]
        return [(_unquoted(name), _unquoted(text)) for name, _, text in parts]
    except UnicodeDecodeError as error:
        raise Problem(400, "The query cannot be read: it must be percent-encoded UTF-8.") from error


def _unquoted(text: str) -> str:
    return unquote_to_bytes(text).decode() if "%" in text else text


def json_object(request: Request, most: int) -> dict[str, Any]:
    """The JSON object of the body, which may have so many bytes."""
    if request.mimetype != "application/json":
        raise Problem(415, "A build is sent as JSON: set Content-Type: application/json.")
    try:
        value = parsed(body_bytes(request, most))
    except Unfit as error:
        raise Problem(400, f"The body cannot be read: {error}.") from error
    if not isinstance(value, dict):
        raise Problem(400, "The body cannot be read: it must be one JSON object.")
    return {name: member for name, member in value.items() if name != IGNORED}


def body_bytes(request: Request, most: int) -> bytes:
    """The whole body, refused when it is compressed or longer than the limit."""
    if request.headers.get("Content-Encoding", "identity") != "identity":
        raise Problem(415, "A compressed body is not read here: send it plain.")
    announced = request.content_length or 0
    body = b"" if announced > most else _received(request)
    if max(announced, len(body)) > most:
        raise Problem(413, f"The body has more than {most} bytes.")
    return body


def _received(request: Request) -> bytes:
    try:
        return request.get_data(cache=False)
    except HTTPException:
        raise
    except Exception as error:  # a class of the server's own, for a chunk that is not well-formed
        raise Problem(400, "The body ended early or its chunks are not well-formed.") from error


def split(merged: dict[str, Any], location: str) -> ParsedRequest:
    """The options apart from the fields.

    Raises
    ------
    Problem
        422 if an option is refused.
    """
    chosen = {name: merged.pop(name) for name in OPTION_NAMES if name in merged}
    if isinstance(picked := chosen.get("pick"), list):
        chosen["pick"] = ",".join(map(str, picked))
    system, options = _loaded(chosen, location) if chosen else _UNASKED
    raw = (
        {name: with_decimal_point(value) for name, value in merged.items()}
        if options.decimal_comma
        else merged
    )
    return ParsedRequest(merged, raw, location, system, options)


def _loaded(options: dict[str, Any], location: str) -> tuple[System, OutputOptions]:
    try:
        loaded = OPTIONS.load(options)
    except ValidationError as error:
        faults = [
            FieldError(name, lines[0], options.get(name)) for name, lines in dict(error.messages_dict).items()
        ]
        raise refused(faults, location) from error
    picks = tuple(name.strip() for name in re.split("[,;]", loaded["pick"]) if name.strip())
    if len(picks) > MOST_PICKS:
        raise refused([FieldError("pick", f"names more than {MOST_PICKS} results")], location)
    comma, mark = loaded["decimal"] == "comma", loaded["bom"] == "1"
    return loaded["units"], OutputOptions(picks, comma, mark, loaded["chart_size"], loaded["chart_theme"])


_UNASKED = _loaded({}, "query")


def with_decimal_point(value: Any) -> Any:
    """Text with a decimal comma as text with a point; its lists are separated by semicolons.

    A point between digits may be meant as either mark, so that such a text is read as no number.
    """
    if isinstance(value, list):
        return [with_decimal_point(item) for item in value]
    if isinstance(value, dict):
        return {name: with_decimal_point(item) for name, item in value.items()}
    if not isinstance(value, str):
        return value
    return PointedText(value) if _POINT.search(value) else value.replace(",", ".").replace(";", ",")


_POINT = re.compile(r"[0-9]\.[0-9]")
