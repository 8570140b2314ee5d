"""Make the bench of a request, as a whole page or in parts for a page that is open already."""

import gzip
from collections.abc import Callable
from typing import Any
from urllib.parse import parse_qsl, urlencode

from flask import Request, Response, get_template_attribute, render_template

from gearing_api.answer import Question
from gearing_api.formats import dumped
from gearing_api.http import headers
from gearing_api.http.pages import bench
from gearing_api.http.pages.asking import PageRequest, page_of, read_page, refused_fields
from gearing_api.http.pages.bench import Bench, Heard
from gearing_api.http.pages.build_form import SHEET
from gearing_api.http.problems import Problem
from gearing_api.http.requests import parse_names, refusal_of, wants_errors_as_text
from gearing_api.mechanics.domain import DomainError
from gearing_api.sentences import read
from gearing_api.settings import Settings
from gearing_api.vocabulary import InvalidBuild, for_people

PROVIDER = "Drivability of trail vehicles"
PICTURE = "1200x630"
CARD = "/pages/card.png"
PARTS = ("strip", "headline", "rows", "figures", "form", "foot")
"""Macros of the template, each a part of the page that follows the build."""

_HTML = "text/html; charset=utf-8"


def bench_of(question: Question, asking: PageRequest, root: str) -> Bench:
    """The bench of a request.

    Raises
    ------
    Problem
        422 if the build is refused.
    """
    asked = asking.asked
    if asking.problem:
        raise asking.problem
    try:
        picks = asking.parsed.options.pick
        return bench.bench(question, asking.parsed.build(), asked, root, picks, _kept(question, asking, root))
    except (InvalidBuild, DomainError) as error:
        raise refusal_of(error, asking.parsed.where) from error


def _kept(question: Question, asking: PageRequest, root: str) -> Bench | None:
    """The bench of the build to compare with; none if it cannot be answered."""
    if not asking.asked.kept:
        return None
    try:
        query = dict(parse_qsl(asking.asked.kept))
        units = {"units": asking.asked.system} | ({"decimal": "comma"} if asking.asked.comma else {})
        units["bands"] = "0"
        other = parse_names(query, query, "query")
        return bench_of(question, page_of(query | units, {"typed": other.system}, asking.asked.address), root)
    except Problem:
        return None


def heard(sentence: str) -> Heard | None:
    """What was made of a sentence."""
    if not sentence:
        return None
    try:
        found = read(sentence)
    except InvalidBuild as error:
        return Heard(sentence, (), [], f"The sentence {error.faults[0].detail}.")
    left = [f"{sentence[one.start : one.end]} ({one.reason})" for one in found.unused]
    return Heard(sentence, found.assumed, left, found.ask.question if found.ask else "")


def view(
    question: Question,
    asking: PageRequest,
    request: Request,
    settings: Settings,
    template: str,
    policy: str,
    more: Callable[[], dict[str, Any]] = dict,
    vary: str = "",
) -> Response:
    """Respond with the page, or with one that names the fields at fault."""
    if asking.converted:
        return see_other(f"{asking.asked.link({})}")
    asked = asking.asked

    def make() -> Response:
        shown = bench_of(question, asking, request.url_root.rstrip("/"))
        return rendered(template, policy, b=shown, heard=heard(asking.sentence), problem=None,
                        **page_values(shown, request), **more())  # fmt: skip

    try:
        tag = headers.weak_tag(
            question.name,
            template,
            asking.parsed.canonical,
            request.url_root,
            asked.kept,
            asked.opened,
            asking.sentence,
        )
        return compressed(
            headers.cacheable(make, tag, request, settings, vary=f"{vary}Accept-Encoding"), request
        )
    except Problem as problem:
        if problem.status != 422 or wants_errors_as_text(request):
            raise
        shown = bench.refused(question, asked, refused_fields(problem), request.url_root.rstrip("/"))
        response = rendered(template, policy, b=shown, heard=heard(asking.sentence), problem=problem,
                            **page_values(shown, request), **more())  # fmt: skip
        response.status_code = 422
        response.headers["Cache-Control"] = "no-store"
        return response


def compressed(response: Response, request: Request) -> Response:
    """Compress a page where the client takes that: fast rather than small, because each is made anew."""
    if response.status_code == 200 and request.accept_encodings.quality("gzip"):
        response.data = gzip.compress(response.data, 4, mtime=0)
        response.headers["Content-Encoding"] = "gzip"
    return response


def see_other(address: str) -> Response:
    """Lead to the address of the build as it is meant."""
    return Response(status=303, headers={"Location": address, "Cache-Control": "no-store"})


def rendered(template: str, policy: str, **values: Any) -> Response:
    """A page under its policy."""
    response = Response(render_template(template, **values), content_type=_HTML)
    response.headers["Content-Security-Policy"] = policy
    return response


def page_values(shown: Bench, request: Request) -> dict[str, Any]:
    """What the head of a page says of it, for sites that preview links."""
    question, query, root = shown.question, shown.query, request.url_root.rstrip("/")
    path = f"{shown.asked.address}?{query}"
    picture = f"/pages/preview/{question.name}.png?{query}" if shown.answer else CARD
    whole = f"{root}/v1/{question.name}.html?{query}"
    return {
        "question": question,
        "title": title_of(question, shown.asked.values),
        "summary": for_people(shown.answer["summary"]) if shown.answer else question.asks,
        "picture": root + picture,
        "size": PICTURE.split("x"),
        "address": root + path,
        "oembed": f"{root}/oembed?{urlencode({'url': whole, 'format': 'json'})}",
        "provider": PROVIDER,
    }


def title_of(question: Question, values: Any) -> str:
    """Return question and build in one line."""
    axle = f"axle ratio {values['axle_ratio']}" if values.get("axle_ratio") else ""
    build = ", ".join(part for part in (values.get("tyre", ""), axle) if part)
    return bench.as_words(question.name) + (f": {build}" if build else "")


def parts(question: Question, request: Request, settings: Settings) -> Response:
    """The parts of a question's page as HTML in one JSON object, for a page that is open already.

    Raises
    ------
    Problem
        422 if the build is refused.
    """
    address = "/" if question.name == SHEET else f"/v1/{question.name}.html"
    asking = read_page(request, settings, address)

    def make() -> Response:
        shown = bench_of(question, asking, request.url_root.rstrip("/"))
        made = {
            "question": question.name,
            "verdict": shown.level,
            "summary": for_people(shown.answer["summary"]),
            "title": title_of(question, asking.asked.values),
            "address": shown.asked.link({}),
            "parts": {name: get_template_attribute("bench.html", name)(shown) for name in PARTS},
        }
        return compressed(Response(dumped(made), content_type="application/json"), request)

    asked = asking.asked
    tag = headers.weak_tag(
        "parts", question.name, asking.parsed.canonical, request.url_root, asked.kept, asked.opened
    )
    return headers.cacheable(make, tag, request, settings, vary="Accept-Encoding")
