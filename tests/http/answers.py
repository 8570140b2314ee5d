"""Whole answers kept as files, one for each question and format; ``python -m tests.regenerate`` writes them.

All values in them were computed by this service, so what compares them is a regression test and proves
nothing of its formulas. `openapi/examples/` has the JSON as pairs of request and answer,
`tests/http/answers/` the other formats, and the demo build itself.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient

from gearing_api.answer import Question
from gearing_api.app import create_app
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS, read_build
from gearing_api.settings import Settings
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import ALL_FIELDS

PAIRS = Path(__file__).parents[2] / "openapi" / "examples"
TEXTS = Path(__file__).parent / "answers"
DEMO_BUILD = TEXTS / "demo-build.json"
SUFFIXES = ("csv", "txt", "md")


def pair(client: FlaskClient, question: Question) -> dict[str, Any]:
    """The question's example as a request, by POST and by GET, and its answer."""
    body, path = dict(question.example), f"/v1/{question.name}"
    return {
        "request": {"method": "POST", "path": path, "body": body},
        "same_by_get": f"{path}?{demo_query(question)}",
        "answer": client.post(path, json=body).get_json(),
    }


def text(client: FlaskClient, question: Question, suffix: str) -> str:
    """The answer to the question's example in that format."""
    return client.get(f"/v1/{question.name}.{suffix}?{demo_query(question)}").data.decode()


def demo_build() -> str:
    """The demo build as it is read, in metric units; some of its fields change no answer that is kept."""
    read = {
        name: ALL_FIELDS[name].kind.out(value, "metric") for name, value in read_build(TRUCK).values.items()
    }
    what = (
        "A regression: the demo build, whose values are invented, as this service reads it in metric units."
    )
    return json.dumps({"what": what, "build": read}, indent=1, ensure_ascii=False) + "\n"


def files() -> Iterator[tuple[Path, str]]:
    """Each file and what belongs into it."""
    client = create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0)).test_client()
    yield DEMO_BUILD, demo_build()
    for name, question in QUESTIONS.items():
        pairs = json.dumps(pair(client, question), indent=1, ensure_ascii=False) + "\n"
        yield PAIRS / f"{name}.json", pairs
        for suffix in SUFFIXES:
            yield TEXTS / f"{name}.{suffix}", text(client, question, suffix)
