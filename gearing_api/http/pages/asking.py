"""From a request for a page to the build it asks about: as a program's, and with the wishes of a page."""

from collections.abc import Mapping
from typing import NamedTuple

from flask import Request

from gearing_api.http.pages.build_form import Asked
from gearing_api.http.pages.conversion import converted
from gearing_api.http.problems import Problem
from gearing_api.http.requests import OPTION_NAMES, ParsedRequest, parse_names, read_query
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import ALL_FIELDS, GROUPS

KEPT, OPENED, SENTENCE, TYPED, PARTS = "a", "open", "q", "typed", "page"
OWN = (KEPT, OPENED, SENTENCE, TYPED, PARTS)
"""Parameters of pages alone: another build to compare with, the group shown whole, a sentence, the system that
the numbers were typed in, and whether only the parts of the page are asked for."""


class PageRequest(NamedTuple):
    """What a page was asked: as `ParsedRequest`, as `Asked`, the sentence, whether units were converted, and
    what is wrong with its options."""

    parsed: ParsedRequest
    asked: Asked
    sentence: str
    converted: bool
    problem: Problem | None


def read_page(request: Request, settings: Settings, address: str) -> PageRequest:
    """Read the query of a page, numbers converted where they were typed in other units than are asked for.

    Raises
    ------
    Problem
        400, 414 or 422 if it cannot be read as names and values.
    """
    query = read_query(request, settings)
    own = {name: str(query.pop(name)) for name in OWN if name in query}
    return page_of(query, own, address)


def page_of(query: Mapping[str, object], own: Mapping[str, str], address: str) -> PageRequest:
    """The same from a query without a page's own parameters, and these."""
    problem = None
    try:
        parsed = parse_names(query, query, "query")
    except Problem as refused:
        problem = refused
        query = {name: value for name, value in query.items() if name not in OPTION_NAMES}
        parsed = parse_names(query, query, "query")
    values = texts(query)
    typed = own.get(TYPED, "")
    was = next((system for system in SYSTEMS if system == typed), parsed.system)
    if was != parsed.system:
        values = converted(values, was, parsed.system, comma=parsed.options.decimal_comma)
        options = {name: value for name, value in query.items() if name in OPTION_NAMES}
        parsed = parse_names(values | options, query, "query")
    asked = Asked(
        address=address,
        values={name: text for name, text in values.items() if name in ALL_FIELDS},
        system=parsed.system,
        comma=parsed.options.decimal_comma,
        bands=parsed.options.bands,
        kept=own.get(KEPT, ""),
        opened=own.get(OPENED, "") if own.get(OPENED) in GROUPS else "",
    )
    return PageRequest(parsed, asked, own.get(SENTENCE, ""), was != parsed.system, problem)


def texts(query: Mapping[str, object]) -> dict[str, str]:
    """The fields of a query with the items of each list in one text."""
    comma = ";" if query.get("decimal") == "comma" else ","
    return {
        name: comma.join(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in query.items()
        if name not in OPTION_NAMES
    }


def refused_fields(problem: Problem) -> dict[str, Mapping[str, object]]:
    """The first error of each field, as the problem document lists it."""
    found: dict[str, Mapping[str, object]] = {}
    for error in problem.errors:
        name = str(error["pointer"]).removeprefix("/")
        if name in ALL_FIELDS:
            found.setdefault(name, error)
    return found
