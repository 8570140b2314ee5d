"""Serve the home page with the demo build, and the known answer that tells whether the service is ready."""

from collections.abc import Sequence
from functools import cache
from typing import Any
from urllib.parse import urlencode

from flask import Request, Response, render_template

from gearing_api import __version__
from gearing_api.answer import Question
from gearing_api.formats import dumped
from gearing_api.formats.document import Document, answer_as_document
from gearing_api.formats.options import rounded
from gearing_api.formats.words import VERDICTS, digits, shown
from gearing_api.http import headers
from gearing_api.http.negotiation import prefers_html
from gearing_api.http.pages import element, embed
from gearing_api.http.problems import Problem
from gearing_api.questions import QUESTIONS, read_build
from gearing_api.settings import Settings
from gearing_api.vehicle.demo_truck import TRUCK

SCENARIO = (
    "A volunteer mountain-rescue team's light truck, invented: from its first tyres and gears to taller ones."
)

_KNOWN_BUILD: dict[str, object] = {
    "tyre": "7.50R16C",
    "rolling_factor": 3.05,
    "axle_ratio": 4.10,
    "gear_ratios": [1],
}
_KNOWN_SPEED = (
    35.7965  # km/h per 1000 rpm: 0.06 x 1000 x 2.4461 m / 4.10, the law of the order of 27 March 1979
)


def asked(question: Question, raw: dict[str, object], picks: Sequence[str] = ()) -> Document:
    """The answer to one question about wire values in US units, or the results picked."""
    return answer_as_document(question, read_build(raw), picks)


def demo_query(question: Question) -> str:
    """Return the query string of the question's example."""
    return urlencode({name: _text(value) for name, value in question.example.items()})


def _text(value: object) -> str:
    return ",".join(map(str, value)) if isinstance(value, list) else str(value)


@cache
def demo() -> Document:
    """Return the demo build with the answer to every question."""
    return {
        "service": "Drivability of a trail vehicle after a change of tyre, axle or gears",
        "version": __version__,
        "documents": {
            "spec": "/openapi.json",
            "reference": "/docs",
            "tables": "/v1/tables",
            "widget": "/widget",
            "problems": "/problems",
        },
        "questions": {
            name: {"asks": question.asks, "example": f"/v1/{name}?{demo_query(question)}"}
            for name, question in QUESTIONS.items()
        },
        "scenario": SCENARIO,
        "build": TRUCK,
        "answers": {
            name: asked(question, dict(question.example))["result"] for name, question in QUESTIONS.items()
        },
    }


_MOST_FIGURES = 4
"""Results on a card; its page has all."""


@cache
def _cards() -> list[dict[str, Any]]:
    """Return a card for each question but the build sheet."""
    cards = []
    for name, question in QUESTIONS.items():
        made = asked(question, dict(question.example))
        if "parts" not in made:
            cards.append(
                {
                    "name": name,
                    "title": embed.as_words(name),
                    "asks": question.asks,
                    "answer": made,
                    "names": embed.known(made)[:_MOST_FIGURES],
                    "summary": made["summary"],
                    "verdict": VERDICTS[made["verdict"]].capitalize(),
                    "query": demo_query(question),
                }
            )
    return cards


def _page_values(root: str) -> dict[str, Any]:
    """Return the values for the template."""
    sheet, drawn, release = QUESTIONS["build-sheet"], QUESTIONS["cruise"], element.releases()[0]
    build = {name: _text(value) for name, value in TRUCK.items()}
    return {
        "scenario": SCENARIO,
        "cards": _cards(),
        "query": urlencode(build),
        "form": embed.form(sheet, build, {}, element.FIELDS),
        "drawn": drawn,
        "drawn_query": urlencode({name: text for name, text in build.items() if name in drawn.fields}),
        "widget": {name.replace("_", "-"): build[name] for name in element.FIELDS},
        "release": release,
        "tag": release.tag(root),
        "root": root.rstrip("/"),
        "rounded": rounded,
        "digits": digits,
        "shown": shown,
    }


def page(request: Request, settings: Settings) -> Response:
    """Answer in HTML to a browser, in JSON to all others."""
    in_html = prefers_html(request)

    def make() -> Response:
        if not in_html:
            return Response(dumped(demo()), content_type="application/json")
        text = render_template("home.html", **_page_values(request.url_root))
        response = Response(text, content_type="text/html; charset=utf-8")
        response.headers["Content-Security-Policy"] = headers.SCRIPT_POLICY
        return response

    tag = headers.weak_tag("home", in_html, request.url_root)
    return headers.cacheable(make, tag, request, settings, vary="Accept")


def known_answer() -> str:
    """Compute the known answer through the whole chain.

    Raises
    ------
    Problem
        503 if it is wrong.
    """
    build = read_build(_KNOWN_BUILD, "metric")
    question = QUESTIONS["road-speed"]
    speed = answer_as_document(question, build)["result"]["speed_per_1000"]
    if abs(speed - _KNOWN_SPEED) > 1e-3:
        raise Problem(503, "The known answer is wrong.", retry_after=10)
    return f"7.50R16C, axle 4.10, direct: {speed:.3f} km/h per 1000 rpm"
