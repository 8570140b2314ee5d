"""Serve an answer as a page that other sites may frame, and describe that page to them (oEmbed)."""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from html import escape
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

from flask import Request, Response, render_template, request

from gearing_api.answer import Question
from gearing_api.fields import Choice
from gearing_api.formats import dumped
from gearing_api.formats.document import Document, answer_as_document
from gearing_api.formats.options import rounded
from gearing_api.formats.words import VERDICTS, digits, field_in_text, shown, stops_and_others
from gearing_api.http import headers
from gearing_api.http.problems import Problem
from gearing_api.http.requests import (
    ParsedRequest,
    parse_request,
    read_query,
    refusal_of,
    wants_errors_as_text,
)
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS, System
from gearing_api.vocabulary import FIELDS, InvalidBuild

PROVIDER = "Drivability of trail vehicles"
PICTURE = "1200x630"
CARD = "/pages/card.png"
WIDTH, HEIGHT = 640, 720
"""Size of the frame in pixels, unless the site that frames it asks for less."""

_FORMAT_OPTIONS = ("pick", "errors", "bom", "chart_size", "chart_theme")
MOST_ROWS = 60
"""Of a table on a page: what somebody may read there."""


def page(question: Question, settings: Settings) -> Callable[[], Response]:
    """Return the view of a question's page."""

    def view() -> Response:
        try:
            asked = parse_request(request, settings)
            make = partial(_answer_page, question, asked, settings)
            tag = headers.weak_tag(question.name, "html", asked.canonical, request.url_root)
            return headers.cacheable(make, tag, request, settings)
        except Problem as problem:
            if problem.status != 422 or wants_errors_as_text(request):
                raise
            response = _make_page(question, None, problem, settings)
            response.headers["Cache-Control"] = "no-store"
            return response

    return view


def _answer_page(question: Question, asked: ParsedRequest, settings: Settings) -> Response:
    try:
        answer = answer_as_document(question, asked.build(), asked.options.pick)
    except (InvalidBuild, DomainError) as error:
        raise refusal_of(error, asked.where) from error
    return _make_page(question, answer, None, settings)


def _make_page(
    question: Question, answer: Document | None, problem: Problem | None, settings: Settings
) -> Response:
    text = render_template("embed.html", **_page_values(question, answer, problem, settings))
    response = Response(text, 200 if problem is None else 422, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.EMBED_POLICY
    return response


def _page_values(
    question: Question, answer: Document | None, problem: Problem | None, settings: Settings
) -> dict[str, Any]:
    """Return the values for the template."""
    query = {name: text for name, text in _query_as_text(settings).items() if name not in _FORMAT_OPTIONS}
    root, path = request.url_root.rstrip("/"), f"/v1/{question.name}"
    whole = f"{path}.html?{urlencode(query)}"
    drawing = f"{path}.svg?{urlencode(query)}" if question.draws else None
    picture = f"{path}.png?{urlencode({**query, 'chart_size': PICTURE})}" if question.draws else CARD
    return {
        "question": question,
        "title": title_of(question, query),
        "summary": answer["summary"] if answer else question.asks,
        "verdict": VERDICTS[answer["verdict"]] if answer else "",
        "answer": answer,
        "problem": problem,
        "query": urlencode(query),
        "drawing": drawing,
        "picture": root + picture,
        "size": PICTURE.split("x"),
        "address": root + whole,
        "oembed": f"{root}/oembed?{urlencode({'url': root + whole, 'format': 'json'})}",
        "form": form(question, query, answer["assumed"] if answer else {}),
        "assumed_units": {name: _unit(name, answer["units"]) for name in answer["assumed"]} if answer else {},
        "provider": PROVIDER,
        "rounded": rounded,
        "most_rows": MOST_ROWS,
        "digits": digits,
        "shown": shown,
        "cautions": stops_and_others(answer) if answer else ([], []),
        "known": known,
        "field_in_text": field_in_text,
        "questions": QUESTIONS,
    }


def _query_as_text(settings: Settings) -> dict[str, str]:
    """The query with the items of each list in one text."""
    query = read_query(request, settings)
    comma = ";" if query.get("decimal") == "comma" else ","
    return {name: comma.join(value) if isinstance(value, list) else value for name, value in query.items()}


def known(answer: Document) -> list[str]:
    """Return the names of the results that have a value."""
    return [name for name, value in answer["result"].items() if value is not None]


def title_of(question: Question, query: Mapping[str, str]) -> str:
    """Return question and build in one line."""
    axle = f"axle ratio {query['axle_ratio']}" if "axle_ratio" in query else ""
    build = ", ".join(part for part in (query.get("tyre", ""), axle) if part)
    return as_words(question.name) + (f": {build}" if build else "")


def as_words(name: str) -> str:
    """Write a name of the service as words."""
    return name.replace("-", " ").replace("_", " ").capitalize()


def form(
    question: Question, query: Mapping[str, str], assumed: Mapping[str, Any], first: Iterable[str] = ()
) -> dict[str, Any]:
    """Return a form that shows some fields, by default those given, and hides the others behind a click."""
    system: System = "metric" if query.get("units") == "metric" else "us"
    rows = [_input(name, query, assumed, system) for name in question.fields]
    in_sight = set(first) or set(question.needs) | set(query)
    return {
        "action": f"/v1/{question.name}.html",
        "first": [row for row in rows if row["name"] in in_sight],
        "more": [row for row in rows if row["name"] not in in_sight],
        "units": SYSTEMS,
        "system": system,
        "comma": query.get("decimal") == "comma",
    }


def _input(name: str, query: Mapping[str, str], assumed: Mapping[str, Any], system: System) -> dict[str, Any]:
    kind = FIELDS[name].kind
    return {
        "name": name,
        "meaning": FIELDS[name].meaning,
        "unit": _unit(name, system),
        "value": query.get(name, ""),
        "options": kind.options if isinstance(kind, Choice) else (),
        "assumed": rounded(assumed[name]) if name in assumed else "",
    }


def _unit(name: str, system: System) -> str:
    """Return the unit of a number of the field without its own, or of each item of its list."""
    kind = FIELDS[name].kind
    quantity = getattr(getattr(kind, "item", kind), "quantity", None)
    return quantity.unit(system) if quantity else ""


def oembed(asking: Request, settings: Settings) -> Response:
    """Return the frame of a page of this service to a site that has its address.

    The address is parsed, never fetched. Unknown parameters are ignored, because sites add their own.

    Raises
    ------
    Problem
        404 if the address is no page of this service, 422 if a size is no whole number, 501 for another
        format than JSON.
    """
    if asking.args.get("format", "json") != "json":
        raise Problem(501, "The only format is json.")
    question, query = _question_of(asking)
    root = asking.url_root.rstrip("/")
    address = f"{root}/v1/{question.name}.html?{urlencode(query)}"
    width = min(WIDTH, _at_most("maxwidth", asking))
    height = min(HEIGHT, _at_most("maxheight", asking))
    title = title_of(question, query)
    frame = (
        f'<iframe src="{escape(address)}" title="{escape(title)}" width="{width}" height="{height}" '
        'loading="lazy" sandbox="allow-forms allow-popups"></iframe>'
    )
    made: Document = {
        "version": "1.0",
        "type": "rich",
        "title": title,
        "provider_name": PROVIDER,
        "provider_url": f"{root}/",
        "cache_age": settings.cache_seconds,
        "html": frame,
        "width": width,
        "height": height,
    }
    return Response(dumped(made | _thumbnail(question, query, root, asking)), content_type="application/json")


def _thumbnail(question: Question, query: Mapping[str, str], root: str, asking: Request) -> Document:
    """Return the preview picture, or nothing if it is larger than the site accepts."""
    width, height = map(int, PICTURE.split("x"))
    if _at_most("maxwidth", asking) < width or _at_most("maxheight", asking) < height:
        return {}
    drawn = f"/v1/{question.name}.png?{urlencode({**query, 'chart_size': PICTURE})}"
    picture = root + (drawn if question.draws else CARD)
    return {"thumbnail_url": picture, "thumbnail_width": width, "thumbnail_height": height}


def _question_of(asking: Request) -> tuple[Question, dict[str, str]]:
    nothing = Problem(404, "The url is no page of this service: it must be /v1/<question>.html?...")
    try:
        parts = urlsplit(asking.args.get("url", ""))
        pairs = parse_qsl(parts.query, errors="strict")
    except ValueError as error:
        raise nothing from error
    name = parts.path.removeprefix("/v1/").removesuffix(".html")
    if parts.netloc != asking.host or parts.path != f"/v1/{name}.html" or name not in QUESTIONS:
        raise nothing
    return QUESTIONS[name], dict(pairs)


def _at_most(name: str, asking: Request) -> float:
    text = asking.args.get(name, "")
    if not text:
        return float("inf")
    if not (text.isascii() and text.isdigit() and 0 < len(text) < 6):
        error = {"location": "query", "pointer": f"/{name}", "detail": f"{name} must be a whole number"}
        raise Problem(422, error["detail"], [error])
    return int(text)
