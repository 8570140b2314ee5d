"""The index of the service at /v1: every question with its fields, and where everything else is."""

from functools import cache
from typing import Any

from gearing_api import __version__
from gearing_api.formats import offered
from gearing_api.http import bulk, from_text, shortlist
from gearing_api.http.pages.home import demo_query
from gearing_api.http.requests import CSV, FORM, JSON, OPTIONS
from gearing_api.questions import QUESTIONS

ADDRESS = "/v1"


@cache
def document() -> dict[str, Any]:
    """Return the index as plain data. Addresses are relative to the root of the service."""
    return {
        "service": "Drivability of a trail vehicle after a change of tyre, axle or gears",
        "version": __version__,
        "links": {
            "spec": "/openapi.json",
            "reference": "/docs",
            "tables": "/v1/tables",
            "fields": "/v1/tables/fields",
            "units": "/v1/tables/units",
            "problems": "/problems",
        },
        "questions": [_question(name) for name in QUESTIONS],
        "sentence": {
            "asks": from_text.ASKS,
            "address": from_text.ADDRESS,
            "needs": ["q"],
            "formats": list(from_text.FORMS),
        },
        "comparison": {
            "asks": "Every combination of varied fields: which results does each give?",
            "address": "/v1/comparison",
            "needs": ["build", "vary", "report"],
            "formats": list(bulk.COMPARISON_FORMATS),
        },
        "shortlist": {
            "asks": shortlist.ASKS,
            "address": shortlist.ADDRESS,
            "needs": ["build", "among"],
            "formats": ["json"],
        },
        "options": {
            name: {"about": option.about, "default": option.default, "choices": list(option.choices)}
            for name, option in OPTIONS.items()
        },
    }


def _question(name: str) -> dict[str, Any]:
    question = QUESTIONS[name]
    return {
        "name": name,
        "asks": question.asks,
        "address": f"/v1/{name}",
        "takes": {"GET": ["query"], "POST": [JSON, FORM, CSV]},
        "formats": [*offered(question), "html"],
        "needs": list(question.needs),
        "uses": list(question.uses),
        "results": list(question.results),
        "fields": f"/v1/tables/fields?question={name}",
        "example": f"/v1/{name}?{demo_query(question)}",
        "batch": f"/v1/{name}/batch",
    }
