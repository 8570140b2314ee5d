"""From a request to the fields and options it gives: each name once, nothing silently dropped."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple
from urllib.parse import unquote_to_bytes

from flask import Request, g
from marshmallow import Schema, validate
from marshmallow import fields as ma_fields

from gearing_api.build import Build
from gearing_api.fields import Coefficients, Curve, Loads, Ratios, Series
from gearing_api.formats.drawing import THEMES
from gearing_api.formats.options import OutputOptions, split_picks
from gearing_api.formats.pictures import SIZES
from gearing_api.formats.strict_json import TooManyValues, Unfit, parsed
from gearing_api.http.bodies import body_bytes
from gearing_api.http.problems import Problem, field_errors
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import read_build
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS, PointedText, System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    LONGEST_ECHO,
    FieldError,
    InvalidBuild,
    unknown_field,
    with_originals_named,
)

Where = Callable[[str], str]
"""The part of the request, such as ``query`` or ``body``, that a name was given in or is missing from."""


@dataclass(frozen=True)
class Option:
    """A parameter about the answer, not about the build; without choices it takes any text."""

    default: str
    about: str
    choices: tuple[str, ...] = ()


JSON, FORM, CSV = "application/json", "application/x-www-form-urlencoded", "text/csv"

LONGEST_PICK = 500
MOST_PICKS = 50

OPTIONS: dict[str, Option] = {
    "units": Option("us", "Units of bare numbers in, and of all numbers out", SYSTEMS),
    "pick": Option("", "Only these results or table columns, comma-separated"),
    "decimal": Option(
        "point",
        "comma: numbers in, and those out in CSV, text, Markdown, pages and pictures, have a decimal comma; "
        "lists and CSV have a semicolon; numbers and sentences in JSON keep the point",
        ("point", "comma"),
    ),
    "bom": Option("0", "1: CSV begins with a byte order mark", ("0", "1")),
    "chart_size": Option(
        OutputOptions.chart_size, "Width and height of a chart in pixels, in .svg and .png", tuple(SIZES)
    ),
    "chart_theme": Option(
        OutputOptions.chart_theme, "Colours of a chart, for a light or a dark page", tuple(THEMES)
    ),
    "rows": Option("arrays", "objects: rows of tables in JSON are objects with names", ("arrays", "objects")),
    "detail": Option(
        "full", "brief: answers do without `given` and `sources`, in JSON and Markdown", ("full", "brief")
    ),
    "bands": Option("0", "1: each result has a range that 9 in 10 builds like this one lie in", ("0", "1")),
    "tornado": Option(
        "", "A number of the answer: what each input alone, at its 5 and 95 % points, makes of it"
    ),
    "windows": Option(
        "0",
        "1: regear says in which stretches of axle ratio each target is met, and all of them, in JSON",
        ("0", "1"),
    ),
    "errors": Option(
        "problem",
        "text: an error comes with status 200 as one line that begins with #ERR",
        ("problem", "text"),
    ),
}
OPTION_NAMES = frozenset(OPTIONS)
IGNORED = "_"
_MAY_BE_EMPTY = OPTION_NAMES | ALL_FIELDS.keys()
MOST_NAMES = len(ALL_FIELDS) + len(OPTION_NAMES)


class ParsedRequest(NamedTuple):
    """What a request asks.

    `received` are the fields as they came, `raw` the same with decimal points. `home` is where fields stand,
    ``query`` or ``body``; options may stand in the query of either.
    """

    received: dict[str, object]
    raw: dict[str, object]
    home: str
    in_query: frozenset[str]
    system: System
    options: OutputOptions

    def where(self, name: str) -> str:
        """The part of the request that this name was given in, or is missing from."""
        return "query" if name in self.in_query else self.home

    def build(self) -> Build:
        """The build of the fields.

        Raises
        ------
        InvalidBuild
            If a field is not known or refused.
        """
        return read_build(self.raw, self.system, self.received)

    @property
    def canonical(self) -> list[object]:
        """What the answer depends on, alike for requests that differ only in order or method."""
        return [sorted(self.received.items()), self.system, self.options]


def in_query(name: str) -> str:
    """The part of a request that has a query alone."""
    return "query"


def in_body(name: str) -> str:
    """The part of a request whose fields stand in the body."""
    return "body"


def refusal(errors: Iterable[FieldError], where: Where) -> Problem:
    """The 422 of these errors."""
    listed = field_errors(errors, where)
    return Problem(422, "; ".join(error["detail"] for error in listed[:3]), listed)


def refusal_of(error: InvalidBuild | DomainError, where: Where) -> Problem:
    """The 422 of a build that was refused on the way to its answer."""
    if isinstance(error, InvalidBuild):
        return refusal(error.faults, where)
    return refusal([FieldError(error.argument, f"must be {error.accepted}")], where)


def wants_errors_as_text(request: Request) -> bool:
    """Whether the address asks for errors in one line, or the body as far as it was read."""
    asked = dict(_pairs(request.query_string, "replace"))
    return "text" in (asked.get("errors"), g.get("errors"))


def parse_request(
    request: Request, settings: Settings, kinds: tuple[str, ...] = (JSON, FORM)
) -> ParsedRequest:
    """Parse the fields and options of a GET's query, or of a POST's body with options in its query.

    `kinds` are the media types that may be sent to this address.

    Raises
    ------
    Problem
        400, 413, 414, 415 or 422, with the reason.
    """
    query = read_query(request, settings)
    if request.method != "POST":
        _limit_names(len(query))
        return parse_names(query, query, "query")
    body = read_names(request, settings, kinds)
    body = name_originals(body)
    _limit_names(len(query) + len(body))
    misplaced = [name for name in query if name not in OPTION_NAMES or name in body]
    if misplaced:
        raise refusal([misplaced_in_query(name, body) for name in misplaced], in_query)
    return parse_names({**query, **body}, query, "body")


def name_originals(members: Mapping[str, Any], at: str = "") -> dict[str, Any]:
    """The members with those of their member `original` under names of their own.

    Raises
    ------
    Problem
        422 if that member is no object, or gives a field twice.
    """
    try:
        return with_originals_named(members, at)
    except InvalidBuild as error:
        raise refusal(error.faults, in_body) from error


def _limit_names(count: int) -> None:
    if count > MOST_NAMES:
        raise Problem(422, f"There are {count} names: all fields together are {MOST_NAMES}.")


def misplaced_in_query(name: str, body: Mapping[str, object]) -> FieldError:
    """Why a name may not stand in the query of a request whose fields stand in the body."""
    if name in body:
        return FieldError(name, "is given both in the address and in the body: give it once")
    if name in ALL_FIELDS:
        return FieldError(name, "stands in the address of a POST: put the build's fields into the body")
    return unknown_field(name)


def read_query(request: Request, settings: Settings) -> dict[str, Any]:
    """The parameters of the address, each once or item by item, without those left empty.

    Raises
    ------
    Problem
        400, 414 or 422 if it cannot be read, is too long, or gives a name twice.
    """
    if len(request.query_string) > settings.query_bytes:
        raise Problem(414, f"The query has more than {settings.query_bytes} bytes: send the build by POST.")
    try:
        pairs = _pairs(request.query_string)
    except UnicodeDecodeError as error:
        raise Problem(400, "The query cannot be read: it must be percent-encoded UTF-8.") from error
    return _each_once(pairs, in_query)


def _each_once(pairs: Iterable[tuple[str, str]], where: Where) -> dict[str, Any]:
    """Values by name; those of a list that is given item by item are together."""
    found: dict[str, Any] = {}
    for name, text in pairs:
        if name not in found:
            found[name] = text
        elif name not in _LISTS:
            raise refusal([FieldError(name, "is given more than once")], where)
        elif isinstance(found[name], list):
            found[name].append(text)
        else:
            found[name] = [found[name], text]
    found.pop(IGNORED, None)
    return {
        name: value
        for name, value in found.items()
        if (value and (isinstance(value, list) or not value.isspace())) or name not in _MAY_BE_EMPTY
    }


_LISTS = {"pick", IGNORED} | {
    name
    for name, field in ALL_FIELDS.items()
    if isinstance(field.kind, Series | Curve | Ratios | Coefficients | Loads)
}
"""What may be given once for each item."""


def _pairs(query: bytes, errors: str = "strict") -> list[tuple[str, str]]:
    """Names and values in order, each of them decoded."""
    text = query.decode(errors=errors).replace("+", " ").replace("%2C", ",")  # most are commas of lists
    parts = [part.partition("=") for part in text.split("&") if part]
    return [
        (
            _unquoted(name, errors) if "%" in name else name,
            _unquoted(value, errors) if "%" in value else value,
        )
        for name, _, value in parts
    ]


def _unquoted(text: str, errors: str) -> str:
    return unquote_to_bytes(text).decode(errors=errors)


def read_names(request: Request, settings: Settings, kinds: tuple[str, ...]) -> dict[str, Any]:
    """The fields and options in a body, which is a JSON object or a form; `kinds` are all that may be sent.

    Raises
    ------
    Problem
        400, 413, 415 or 422 if it cannot be read, or a form gives a name twice.
    """
    if request.mimetype == JSON:
        return read_object(request, settings.body_bytes)
    if request.mimetype != FORM:
        raise _other_media_type(request, kinds)
    try:
        pairs = _pairs(body_bytes(request, settings.body_bytes))
    except UnicodeDecodeError as error:
        raise Problem(400, "The body cannot be read: it must be percent-encoded UTF-8.") from error
    g.errors = dict(pairs).get("errors")
    return _each_once(pairs, in_body)


def _other_media_type(request: Request, kinds: tuple[str, ...]) -> Problem:
    sent = request.mimetype[:LONGEST_ECHO] or "of no kind"
    detail = f"This address takes {' or '.join(kinds)}, and the body is {sent}: set the header Content-Type."
    return Problem(415, detail, headers={"Accept-Post": ", ".join(kinds)})


def read_object(request: Request, most: int, most_values: int | None = None) -> dict[str, Any]:
    """The JSON object of the body, which may have so many bytes, and so many values.

    Raises
    ------
    Problem
        400, 413 or 415 if it cannot be read.
    """
    if request.mimetype != JSON:
        raise _other_media_type(request, (JSON,))
    try:
        value = parsed(body_bytes(request, most), most_values)
    except TooManyValues as error:
        raise Problem(413, f"The body has more than {most_values} values.") from error
    except Unfit as error:
        raise Problem(400, f"The body cannot be read: {error}.") from error
    if not isinstance(value, dict):
        raise Problem(400, "The body cannot be read: it must be one JSON object.")
    g.errors = value.get("errors")
    return {name: member for name, member in value.items() if name != IGNORED}


def parse_names(merged: Mapping[str, Any], query: Mapping[str, object], home: str) -> ParsedRequest:
    """Part the options from the fields; `query` has the names that came in the address.

    Raises
    ------
    Problem
        422 if an option is refused.
    """
    fields = dict(merged)
    chosen = {name: fields.pop(name) for name in merged.keys() & OPTION_NAMES}
    names = frozenset(query)
    if not chosen:
        return ParsedRequest(fields, fields, home, names, "us", _DEFAULTS)
    system, options = _read_options(chosen, lambda name: "query" if name in names else home)
    raw = with_decimal_point(fields) if options.decimal_comma else fields
    return ParsedRequest(fields, raw, home, names, system, options)


_DEFAULTS = OutputOptions()


def _read_options(given: Mapping[str, Any], where: Where) -> tuple[System, OutputOptions]:
    picks = split_picks(given["pick"]) if isinstance(given.get("pick"), list | str) else ()
    errors = [*_unfit_options(given)]
    if len(picks) > MOST_PICKS:
        errors.append(FieldError("pick", f"names more than {MOST_PICKS} results"))
    if errors:
        raise refusal(errors, where)
    asked = {name: given.get(name, option.default) for name, option in OPTIONS.items()}
    options = OutputOptions(
        picks,
        asked["decimal"] == "comma",
        asked["bom"] == "1",
        asked["chart_size"],
        asked["chart_theme"],
        asked["rows"] == "objects",
        asked["detail"] == "brief",
        asked["windows"] == "1",
        asked["bands"] == "1",
        asked["tornado"].strip(),
    )
    return asked["units"], options


def _unfit_options(given: Mapping[str, Any]) -> Iterable[FieldError]:
    pick = given.get("pick")
    texts = {**given, "pick": ",".join(map(str, pick))} if isinstance(pick, list) else given
    for name, messages in _OPTIONS_SCHEMA.validate(texts).items():
        yield FieldError(name, messages[0], given[name])


def _one_of(choices: tuple[str, ...]) -> str:
    return " or ".join(choices) if len(choices) == 2 else f"one of {', '.join(choices)}"


class _Text(ma_fields.String):
    default_error_messages = {"invalid": "must be text", "null": "must be text"}  # noqa: RUF012


def _schema_field(option: Option) -> ma_fields.Field[Any]:
    if option.choices:
        return _Text(validate=validate.OneOf(option.choices, error=f"must be {_one_of(option.choices)}"))
    return _Text(
        validate=validate.Length(max=LONGEST_PICK, error=f"must have at most {LONGEST_PICK} characters")
    )


_OPTIONS_SCHEMA = Schema.from_dict({name: _schema_field(option) for name, option in OPTIONS.items()})()


def with_decimal_point(value: Any) -> Any:
    """Text with a decimal comma as text with a point; its lists are separated by semicolons.

    A point between digits may be meant as either mark, so that such a text is read as no number.
    """
    if isinstance(value, list):
        return [with_decimal_point(item) for item in value]
    if isinstance(value, dict):
        return {name: item if name == "name" else with_decimal_point(item) for name, item in value.items()}
    if not isinstance(value, str):
        return value
    return PointedText(value) if _POINT.search(value) else value.replace(",", ".").replace(";", ",")


_POINT = re.compile(r"[0-9]\.[0-9]")
