"""How programs ask for one build: curl, Python, a spreadsheet, and the tag that puts its page into another."""

from collections.abc import Mapping
from html import escape
from urllib.parse import urlencode

from gearing_api.answer import Question
from gearing_api.http.pages import element
from gearing_api.http.requests import with_decimal_point
from gearing_api.units import System

_LONGEST_STRING = 200
"""Characters of a text within a formula: spreadsheets take at most 255."""


def of(
    question: Question, values: Mapping[str, str], system: System, comma: bool, root: str
) -> dict[str, str]:
    """The same question about the same build, by what asks it."""
    plain = {name: str(_pointed(text)) if comma else text for name, text in values.items()}
    query = urlencode(plain | {"units": system}, safe=",/:")
    return {
        "In a terminal": f"curl '{root}/v1/{question.name}?{query}'",
        "In Python": _python(question, plain, system, root),
        "In a spreadsheet": _formula(f"{root}/v1/{question.name}.txt?pick={question.main}&{query}"),
        "On a page, with scripts": element.releases()[0].tag(root)
        + "\n"
        + element.card({name: text for name, text in plain.items() if name in element.FIELDS}, root),
        "On a page, without": (
            f'<iframe src="{escape(f"{root}/v1/{question.name}.html?{query}")}" title="{question.name}" '
            'width="640" height="720" loading="lazy"></iframe>'
        ),
    }


def _pointed(text: str) -> object:
    """The text with decimal points; one that has a point already is a tyre size, or text with a unit."""
    pointed = with_decimal_point(text)
    return pointed if isinstance(pointed, str) else text


def _python(question: Question, values: Mapping[str, str], system: System, root: str) -> str:
    arguments = "".join(f"    {name}={text!r},\n" for name, text in values.items())
    units = ', units="metric"' if system == "metric" else ""
    method = question.name.replace("-", "_")
    return (
        "from gearing_client import Client\n\n"
        f'client = Client("{root}"{units})\n'
        f"answer = client.{method}(\n{arguments})\nprint(answer.summary)"
    )


def _formula(address: str) -> str:
    """A formula that gives the main result as a number."""
    parts = [address[start : start + _LONGEST_STRING] for start in range(0, len(address), _LONGEST_STRING)]
    text = " & ".join(f'"{part}"' for part in parts)
    return f'=NUMBERVALUE(WEBSERVICE({text}); ".")'
