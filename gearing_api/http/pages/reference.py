"""Serve the reference: an index, a page for each question, and the explorer of the spec document."""

import json
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from flask import Response, render_template, request

from gearing_api.answer import LEVELS, Question, Why
from gearing_api.formats import offered
from gearing_api.formats.document import Document
from gearing_api.formats.words import VERDICTS, shown
from gearing_api.http import from_text, headers, shortlist
from gearing_api.http.pages.bench import as_words, known
from gearing_api.http.pages.home import asked, demo_query
from gearing_api.http.pages.snippets import programs
from gearing_api.http.requests import OPTIONS
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.tables import table
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import ALL_FIELDS, FIELDS, RESULTS, InvalidBuild, may_have_original

FILES = {
    "swagger-ui.css": "text/css; charset=utf-8",
    "swagger-ui-bundle.js": "text/javascript; charset=utf-8",
}
"""Files of the package that draws the explorer."""

NULLS: dict[Why, str] = {
    "needs": "The build lacks the fields that the answer names. Give them, and ask again.",
    "no limit": "Nothing limits this value. A caution says so where it matters.",
    "none does": "No value does what was asked, such as a gear that holds a hill which no gear holds.",
    "out of range": "The build lies outside the range of the formula or table, so that any number would mislead.",
    "does not apply": "The vehicle has no such part, such as the idle speed of an electric motor.",
}
"""What it means that a result is null, by the reason in the answer's member `absent`."""

LEVEL_MEANINGS = {
    "stop": "Somebody may be hurt, something may break, or the answer would mislead.",
    "check": "Measure or decide before you spend.",
    "note": "All else that must be read with the numbers.",
}

VERDICT_MEANINGS = {
    "stop": "At least one caution is a stop.",
    "unknown": "The result that the question is about cannot be calculated from this build.",
    "check": "At least one caution is a check, none a stop.",
    "clear": "Nothing was found. That is no approval: what was not asked was not looked at.",
}


class Term(NamedTuple):
    """A name that the reference explains."""

    name: str
    meaning: str
    more: str = ""


def index_page(settings: Settings) -> Response:
    """Respond with the index of the reference."""
    tag = headers.weak_tag("docs", request.url_root)
    return headers.cacheable(lambda: _page("docs.html", _index_values()), tag, request, settings)


def question_view(question: Question, settings: Settings) -> Callable[[], Response]:
    """Return the view of the question's page."""

    def view() -> Response:
        tag = headers.weak_tag("docs", question.name, request.url_root)
        return headers.cacheable(
            lambda: _page("docs_question.html", _question_values(question.name)), tag, request, settings
        )

    return view


def _page(template: str, values: Mapping[str, Any]) -> Response:
    root = request.url_root.rstrip("/")
    text = render_template(
        template, root=root, questions=QUESTIONS, as_words=as_words, programs=programs, **values
    )
    response = Response(text, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.SCRIPT_POLICY
    return response


def explorer() -> Response:
    """Respond with the explorer; what it shows is made by its script from the spec document."""
    response = Response(render_template("explorer.html"), content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.REFERENCE_POLICY
    return response


@cache
def content(name: str) -> bytes:
    """Return one of the static files of the explorer."""
    return files("flask_swagger_ui").joinpath("dist", name).read_bytes()


@cache
def _index_values() -> dict[str, Any]:
    options = [Term(name, option.about, " or ".join(option.choices)) for name, option in OPTIONS.items()]
    return {
        "options": options,
        "formats": list(offered(QUESTIONS["cruise"])),
        "nulls": NULLS,
        "levels": {level: LEVEL_MEANINGS[level] for level in LEVELS},
        "verdicts": [Term(name, VERDICT_MEANINGS[name], text.lower()) for name, text in VERDICTS.items()],
        "sentence": from_text,
        "shortlist": shortlist,
        "plan": json.dumps(shortlist.EXAMPLE),
    }


@cache
def _question_values(name: str) -> dict[str, Any]:
    """Return what the page of a question says, whoever asks."""
    question = QUESTIONS[name]
    answer, barest = asked(question, dict(question.example)), _barest_answer(question)
    useful = _useful(question, barest)
    form = _form(question)
    whole = "parts" in answer
    return {
        "question": question,
        "answer": answer,
        "verdict": VERDICTS[answer["verdict"]],
        "shown": shown,
        "figures": answer.get("head") or known(answer),
        "query": demo_query(question),
        "form": form,
        "hidden": not all(row["visible"] for row in form),
        "needed": [_field_term(name) for name in question.needs],
        "useful": [] if whole else [_field_term(name) for name in useful],
        "rest": [] if whole else _rest(question, useful),
        "before": next((name for name in question.needs if may_have_original(name)), None),
        "results": [] if whole else [_result_term(name, question, barest) for name in question.results],
        "columns": [_column_term(name) for name in dict.fromkeys((*question.table, *question.what_if))],
        "nulls": NULLS,
        "cautions": _caution_terms(question),
        "formats": list(offered(question)),
    }


def _useful(question: Question, barest: Document) -> list[str]:
    """Return the fields that the question does not need, but the example gives or a result lacks."""
    lacking = [field for absent in barest["absent"].values() for field in absent.get("fields", ())]
    return [name for name in question.uses if name in {*question.example, *lacking}]


def _rest(question: Question, useful: list[str]) -> list[Term]:
    """Return all other fields, without bounds."""
    return [Term(name, FIELDS[name].meaning) for name in question.uses if name not in useful]


def _barest_answer(question: Question) -> Document:
    """Answer the example without what the question does not need: its nulls show what other fields are for."""
    needed = {*question.needs, *filter(None, (FIELDS[name].instead for name in question.needs))}
    bare = {name: value for name, value in question.example.items() if name in needed}
    try:
        return asked(question, bare)
    except InvalidBuild:  # the example gives what it needs in another way, such as teeth for a ratio
        return asked(question, dict(question.example))


_MOST_IN_SIGHT = 8
"""Fields of the form that are needed or of the example; its others are sent as they are."""


def _form(question: Question) -> list[dict[str, Any]]:
    """Return the fields of the example as rows of a form, those that are needed in sight first."""
    rest = [name for name in question.example if name not in question.needs]
    names = [name for name in question.needs if name in question.example] + rest
    return [
        {
            "name": name,
            "value": _as_text(question.example[name]),
            "options": getattr(ALL_FIELDS[name].kind, "options", ()),
            "visible": place < _MOST_IN_SIGHT,
        }
        for place, name in enumerate(names)
    ]


def _as_text(value: object) -> str:
    return ",".join(map(str, value)) if isinstance(value, list) else str(value)


@cache
def _field_term(name: str) -> Term:
    field = ALL_FIELDS[name]
    assumed = f"; {field.default} if not given" if field.default is not None else ""
    assumed = f"; {field.instead} if not given" if field.instead else assumed
    return Term(name, field.meaning, field.kind.accepted("us") + assumed)


def _result_term(name: str, question: Question, barest: Document) -> Term:
    if name in barest["absent"]:
        absent = barest["absent"][name]
        more = f"null: {absent['why']} {', '.join(absent.get('fields', ()))}".rstrip()
    else:
        more = "never null" if name in question.always else ""
    return Term(name, RESULTS[name].meaning, "; ".join(filter(None, (_units(name), more))))


def _column_term(name: str) -> Term:
    return Term(name, RESULTS[name].meaning, _units(name))


def _units(name: str) -> str:
    """Return the unit in both systems."""
    return " or ".join(dict.fromkeys(filter(None, (RESULTS[name].unit(system) for system in SYSTEMS))))


def _caution_terms(question: Question) -> list[Term]:
    """Return each caution that the question may give, the gravest first."""
    levels = table("cautions").keyed("code", "levels")
    meanings = table("cautions").keyed("code", "meaning")
    terms = [Term(code, str(meanings[code]), str(levels[code])) for code in _cautions()[question.name]]
    return sorted(terms, key=lambda term: LEVELS.index(term.more.split()[0]))


@cache
def _cautions() -> dict[str, list[str]]:
    """Return the codes of cautions by question, as ``python -m tests.regenerate`` writes them."""
    text = files("gearing_api").joinpath("http", "pages", "cautions.json").read_text(encoding="utf-8")
    return dict(json.loads(text))
