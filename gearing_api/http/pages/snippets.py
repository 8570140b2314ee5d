"""How programs ask for one build: curl, Python, a spreadsheet, and the tag that puts its page into another."""

import json
from collections.abc import Mapping
from html import escape
from urllib.parse import urlencode

from gearing_api.answer import Question
from gearing_api.http.pages import element
from gearing_api.http.pages.conversion import as_text
from gearing_api.http.requests import with_decimal_point
from gearing_api.units import System
from gearing_api.vocabulary import RESULTS

_LONGEST_STRING = 200
"""Characters of a text within a formula: spreadsheets take at most 255."""


def of(
    question: Question, values: Mapping[str, str], system: System, comma: bool, root: str
) -> dict[str, str]:
    """The same question about the same build, by what asks it."""
    plain = {name: str(_pointed(text)) if comma else text for name, text in values.items()}
    query = _query(plain, system)
    return programs(question, plain, system, root) | {
        "On a page, with scripts": element.releases()[0].tag(root) + "\n" + element.card(plain, system, root),
        "On a page, without": (
            f'<iframe src="{escape(f"{root}/v1/{question.name}.html?{query}")}" title="{question.name}" '
            'width="640" height="720" loading="lazy"></iframe>'
        ),
    }


def programs(question: Question, values: Mapping[str, object], system: System, root: str) -> dict[str, str]:
    """The same for programs alone; values are those of a request, with decimal points."""
    query = _query(values, system)
    in_cell = f"{root}/v1/{question.name}.txt?pick={question.main}&{query}"
    return {
        "In a terminal": f"curl '{root}/v1/{question.name}?{query}'",
        "In Python": _python(question, values, system, root),
        "In JavaScript": _script(question, values, system, root),
        "In a spreadsheet": _formula(in_cell, in_words=RESULTS[question.main].quantity is None),
    }


def _query(values: Mapping[str, object], system: System) -> str:
    texts = {name: as_text(value) for name, value in values.items()}
    return urlencode(texts | {"units": system}, safe=",/:")


def _pointed(text: str) -> object:
    """The text with decimal points; one that has a point already is a tyre size, or text with a unit."""
    pointed = with_decimal_point(text)
    return pointed if isinstance(pointed, str) else text


def _python(question: Question, values: Mapping[str, object], system: System, root: str) -> str:
    arguments = "".join(f"    {name}={value!r},\n" for name, value in values.items())
    units = ', units="metric"' if system == "metric" else ""
    method = question.name.replace("-", "_")
    return (
        "from gearing_client import Client\n\n"
        f'client = Client("{root}"{units})\n'
        f"answer = client.{method}(\n{arguments})\nprint(answer.summary)"
    )


def _script(question: Question, values: Mapping[str, object], system: System, root: str) -> str:
    members = "".join(
        f"  {name}: {json.dumps(value)},\n" for name, value in {**values, "units": system}.items()
    )
    return (
        f"const build = {{\n{members}}};\n"
        f'const response = await fetch("{root}/v1/{question.name}?" + new URLSearchParams(build));\n'
        "const answer = await response.json();\n"
        "if (!response.ok) throw new Error(answer.detail);\n"
        "console.log(answer.summary);"
    )


def _formula(address: str, *, in_words: bool) -> str:
    """A formula that gives the main result, as a number where it is one."""
    parts = [address[start : start + _LONGEST_STRING] for start in range(0, len(address), _LONGEST_STRING)]
    asked = "WEBSERVICE(" + " & ".join(f'"{part}"' for part in parts) + ")"
    return f"={asked}" if in_words else f'=NUMBERVALUE({asked}; ".")'
