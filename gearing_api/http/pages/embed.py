"""Serve an answer as a page that other sites may frame, and describe that page to them (oEmbed)."""

from collections.abc import Callable, Mapping
from html import escape
from urllib.parse import parse_qsl, urlencode, urlsplit

from flask import Request, Response, request

from gearing_api.answer import Question
from gearing_api.formats import dumped
from gearing_api.formats.document import Document
from gearing_api.formats.options import rounded
from gearing_api.formats.words import digits, field_in_text
from gearing_api.http import headers
from gearing_api.http.pages import showing
from gearing_api.http.pages.asking import read_page
from gearing_api.http.pages.showing import PICTURE, PROVIDER, title_of
from gearing_api.http.problems import Problem
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings

WIDTH, HEIGHT = 640, 720
"""Size of the frame in pixels, unless the site that frames it asks for less."""

MOST_ROWS = 60
"""Of a table on a page: what somebody may read there."""


def page(question: Question, settings: Settings) -> Callable[[], Response]:
    """Return the view of a question's page: the bench reduced to its part, which runs no script.

    A page that a browser opens by itself, and not in a frame, begins with the header of the service.
    """
    address = f"/v1/{question.name}.html"
    charts = {
        "rounded": rounded,
        "most_rows": MOST_ROWS,
        "digits": digits,
        "field_in_text": field_in_text,
    }

    def view() -> Response:
        asking = read_page(request, settings, address)
        alone = request.headers.get("Sec-Fetch-Dest") == "document"
        return showing.view(
            question, asking, request, settings, "page.html" if alone else "embed.html", headers.EMBED_POLICY,
            lambda: {**charts, "query": asking.asked.query()}, "Sec-Fetch-Dest, ",
        )  # fmt: skip

    return view


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
    picture = f"{root}/pages/preview/{question.name}.png?{urlencode(query)}"
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
