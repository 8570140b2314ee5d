"""Serve the bench, by default with the demo build, and the known answer that tells whether the service is ready."""

from collections.abc import Mapping, Sequence
from functools import cache
from urllib.parse import urlencode

from flask import Request, Response

from gearing_api import __version__
from gearing_api.answer import Question
from gearing_api.formats import dumped
from gearing_api.formats.document import Document, answer_as_document
from gearing_api.http import headers
from gearing_api.http.negotiation import prefers_html
from gearing_api.http.pages import language, showing
from gearing_api.http.pages.asking import OWN, PageRequest, page_of
from gearing_api.http.pages.build_form import SHEET
from gearing_api.http.pages.conversion import as_text
from gearing_api.http.problems import Problem
from gearing_api.http.requests import OPTION_NAMES, read_query
from gearing_api.questions import QUESTIONS, read_build
from gearing_api.sentences import read
from gearing_api.settings import Settings
from gearing_api.units import System
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import ALL_FIELDS, InvalidBuild

ADDRESS = "/"
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


@cache
def start_values(system: System, comma: bool) -> Mapping[str, str]:
    """Return the demo build as text in these units."""
    if system == "us" and not comma:
        return {name: _text(value) for name, value in TRUCK.items()}
    return {
        name: as_text(ALL_FIELDS[name].kind.out(value, system), comma=comma, digits=4)
        if name != "tyre"
        else str(TRUCK[name])
        for name, value in _DEMO.items()
    }


_DEMO = {name: ALL_FIELDS[name].read(value, "us") for name, value in TRUCK.items()}


def page(request: Request, settings: Settings) -> Response:
    """Answer in HTML to a browser, in JSON to all others."""
    if not prefers_html(request):
        tag = headers.weak_tag("home", False)
        return headers.cacheable(
            lambda: Response(dumped(demo()), content_type="application/json"),
            tag,
            request,
            settings,
            vary="Accept",
        )
    query = read_query(request, settings)
    own = {name: str(query.pop(name)) for name in OWN if name in query}
    said, fields = own.get("q", ""), query.keys() & ALL_FIELDS.keys()
    system, comma = language.suggested(request)
    if not {"units", "decimal"} & query.keys() and not fields:
        query |= {"units": system} | ({"decimal": "comma"} if comma else {})
    if said and not fields:
        return _of_sentence(said, query, request, settings)
    start = not (query.keys() - OPTION_NAMES)
    if start:
        chosen = page_of(query, {}, ADDRESS).asked
        query |= start_values(chosen.system, chosen.comma)
    return _bench_page(page_of(query, own, ADDRESS), request, settings, start=start)


def _of_sentence(said: str, query: Mapping[str, object], request: Request, settings: Settings) -> Response:
    """Lead to the build of the sentence, or say why there is none."""
    try:
        build = {name: _text(value) for name, value in read(said).build.items()}
    except InvalidBuild:
        build = {}
    asking = page_of({**query, **build}, {"q": said}, ADDRESS)
    if "tyre" not in build:
        return _bench_page(asking, request, settings)
    return showing.see_other(f"/?{asking.asked.query()}&{urlencode({'q': said})}")


def _bench_page(
    asking: PageRequest, request: Request, settings: Settings, *, start: bool = False
) -> Response:
    return showing.view(
        QUESTIONS[SHEET], asking, request, settings, "home.html", headers.SCRIPT_POLICY,
        lambda: {"demo": SCENARIO if start else ""}, "Accept, Accept-Language, ",
    )  # fmt: skip


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
