"""Serve the shortlist as a page with a form: parts as a table pasted from a spreadsheet, targets, aims."""

import csv
import json
from collections.abc import Iterable, Iterator
from itertools import zip_longest
from typing import NamedTuple

from flask import Request, Response, render_template
from werkzeug.datastructures import MultiDict

from gearing_api.batch.shortlist_answers import shortlist_document
from gearing_api.batch.shortlist_plans import AIMS, MOST_AIMS
from gearing_api.batch.shortlist_tables import as_forum_text
from gearing_api.formats.document import Document
from gearing_api.formats.drawing import as_page_part
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.pictures import NARROW, WIDE
from gearing_api.formats.shortlist_drawn import shortlist_drawings
from gearing_api.formats.words import digits
from gearing_api.http import headers, shortlist
from gearing_api.http.problems import Problem
from gearing_api.http.requests import read_query
from gearing_api.questions import OWNERS
from gearing_api.settings import Settings
from gearing_api.units import SYSTEMS
from gearing_api.vocabulary import RESULTS, label_of

ADDRESS = "/shortlist"
_PART = "part"
_MOST_SHOWN = 30
_MORE_LINES = 2
_SUM_DIGITS = 6

EXAMPLE: dict[str, list[str]] = {
    "build": [
        "original_tyre = LT245/75R17 121/118S\noriginal_axle_ratio = 3.73\noriginal_ring_gear_diameter = 7.125\n"
        "original_housing_drop = 4.5\ngear_ratios = 4.46 2.61 1.72 1.25 1 0.84\ntransfer_ratios = 1 2.72\n"
        "vehicle_mass = 5300 lb\naltitude = 1500 ft\npeak_torque = 260\npeak_torque_speed = 3200\npeak_power = 215\n"
        "peak_power_speed = 5000\n"
    ],
    "parts": [
        "part,name,price,hours,tyre,axle_ratio,ring_gear_diameter,housing_drop\n"
        "tyres,as they are,0,0,LT245/75R17 121/118S,,,\ntyres,33s,1300,0,33x12.50R17LT 120Q,,,\n"
        "tyres,35s,1500,0,35x12.50R17LT 121Q,,,\ngears,3.73,0,0,,3.73,,\ngears,4.10,1250,16,,41/10,,\n"
        "gears,4.56,1250,16,,41/9,,\ngears,4.88,1350,16,,39/8,,\naxle,axle as it is,0,0,,,7.125,4.5\n"
        "axle,donor,1600,30,,,8.5,5\naxle,large donor,2600,45,,,9.75,5.5\n"
    ],
    "sums": ["price, hours"],
    "target": [
        "price",
        "crawl_ratio",
        "housing_clearance",
        "steepest_grade_percent",
        "strength_change_percent",
    ],
    "least": ["", "50", "11", "6", "0"],
    "most": ["5000", "", "", "", ""],
    "aim": ["price", "strength_change_percent", "housing_clearance"],
    "wish": ["low", "high", "high"],
    "units": ["us"],
    "bands": ["1"],
}
"""The rescue team's decision."""


class Line(NamedTuple):
    """One target or aim as typed."""

    name: str
    least: str = ""
    most: str = ""
    wish: str = ""


def view(asking: Request, settings: Settings) -> Response:
    """Return the page: the answer to what the form says, by default the rescue team's decision.

    Raises
    ------
    Problem
        400 or 414 if the address cannot be read.
    """
    _require_readable(asking, settings)
    given: MultiDict[str, str] = asking.args or MultiDict(
        [(name, value) for name, values in EXAMPLE.items() for value in values]
    )
    tag = headers.weak_tag("shortlist", sorted(asking.args.items(multi=True)))
    return headers.cacheable(lambda: _page(given, settings), tag, asking, settings)


def _require_readable(asking: Request, settings: Settings) -> None:
    try:
        read_query(asking, settings)
    except Problem as problem:
        if problem.status != 422:  # a name may stand here more than once
            raise


def _page(given: MultiDict[str, str], settings: Settings) -> Response:
    plan, answer, problem, forum = None, None, None, ""
    try:
        plan = _plan(given)
        read = shortlist.read_plan(plan, OutputOptions(), settings)
        ranked = shortlist.ranked(read, settings)
        answer = shortlist_document(ranked, bands=given.get("bands") == "1")
        forum = as_forum_text(answer | {"errors": []}, OutputOptions()).decode()
    except Problem as refused:
        problem = refused
    targets, aims = list(_targets(given)), list(_aims(given))
    body = render_template(
        "shortlist.html",
        asks=shortlist.ASKS,
        given=given,
        answer=answer,
        shown=[] if answer is None else [_shown(answer, row) for row in answer["rows"]],
        columns=[] if answer is None else [*(plan or {}).get("sums", ()), *answer["result_units"]],
        drawn=[] if answer is None else _pictures(answer),
        rounded=rounded,
        plan=None if plan is None else json.dumps(plan, indent=1, ensure_ascii=False),
        problem=problem,
        forum=forum,
        targets=[*targets, *[Line("")] * _MORE_LINES],
        aims=[*aims, *[Line("")] * (MOST_AIMS - len(aims))],
        results=OWNERS,
        wishes=AIMS,
        systems=SYSTEMS,
    )
    response = Response(body, 422 if problem else 200, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.PAGE_POLICY
    return response


def _pictures(answer: Document) -> list[tuple[str, str, str]]:
    """Return each picture with its title, as wide as a column and as a phone."""
    wide, narrow = (shortlist_drawings(answer, width) for width in (WIDE, NARROW))
    return [
        (one.title, as_page_part(one), as_page_part(other)) for one, other in zip(wide, narrow, strict=True)
    ]


def _plan(given: MultiDict[str, str]) -> Document:
    """Return the plan that the form says, in the form of the API's."""
    sums = [name.strip() for name in given.get("sums", "").split(",") if name.strip()]
    build = dict(_fields(given.get("build", "")))
    plan: Document = {"build": build, "among": _among(given.get("parts", ""), sums), "show": _MOST_SHOWN}
    plan["units"] = given.get("units", "us")
    targets = {line.name: _bounds(line) for line in _targets(given)}
    members = {"sums": sums, "targets": targets, "aims": {line.name: line.wish for line in _aims(given)}}
    return plan | {name: member for name, member in members.items() if member}


def _fields(text: str) -> Iterator[tuple[str, str]]:
    for line in text.splitlines():
        name, _, value = line.partition("=")
        if line.strip():
            yield name.strip(), value.strip()


def _among(text: str, sums: Iterable[str]) -> dict[str, list[Document]]:
    """Return the parts of a table with a heading: each row a part, a name, fields and sums."""
    lines = [line for line in text.splitlines() if line.strip()]
    among: dict[str, list[Document]] = {}
    for row in csv.DictReader(lines, delimiter=_separator(lines[0] if lines else "")):
        cells = {str(name).strip(): str(cell).strip() for name, cell in row.items() if name and cell}
        part = cells.pop(_PART, "")
        choice: Document = {name: cell for name, cell in cells.items() if cell}
        choice |= {name: _number(choice[name]) for name in sums if name in choice}
        among.setdefault(part, []).append(choice)
    return among


def _separator(heading: str) -> str:
    return next((mark for mark in "\t;" if mark in heading), ",")


def _number(cell: str) -> object:
    try:
        return float(cell)
    except ValueError:
        return cell


def _targets(given: MultiDict[str, str]) -> Iterator[Line]:
    lists = (given.getlist(name) for name in ("target", "least", "most"))
    for name, least, most in zip_longest(*lists, fillvalue=""):
        if name.strip():
            yield Line(_named(name), least.strip(), most.strip())


def _aims(given: MultiDict[str, str]) -> Iterator[Line]:
    for name, wish in zip_longest(given.getlist("aim"), given.getlist("wish"), fillvalue=""):
        if name.strip():
            yield Line(_named(name), wish=wish)


def _named(text: str) -> str:
    """A result by its label, or by its name with blanks between its words; anything else as it is typed."""
    typed = text.strip()
    named = _BY_LABEL.get(typed.casefold(), typed.casefold().replace(" ", "_"))
    return named if named in OWNERS else typed


_BY_LABEL = {label_of(name).casefold(): name for name in OWNERS}


def _bounds(line: Line) -> dict[str, str]:
    return {name: end for name, end in (("least", line.least), ("most", line.most)) if end}


def _shown(answer: Document, row: Document) -> Document:
    """Return what a line of the table shows."""
    return {
        "figures": [
            *(rounded(value, _SUM_DIGITS) for value in row["sums"].values()),
            *(_figure(answer, row, name) for name in answer["result_units"]),
        ],
        "shares": [f"{100.0 * row[name]:.0f} %" for name in ("meets_share", "best_share") if name in row],
    }


def _figure(answer: Document, row: Document, name: str) -> str:
    """Write a result with its unit; as a range where there is one, else why it is absent."""
    unit, few = answer["result_units"][name], digits(name)
    if row["results"][name] is None:
        return str(row["absent"].get(name, {}).get("why", "not known"))
    if name in row.get("ranges", {}):
        low, high = (rounded(end, few) for end in row["ranges"][name])
        return f"{low} to {high} {unit}".rstrip()
    if RESULTS[name].only_as_range:
        return "as a range only"
    return f"{rounded(row['results'][name], few)} {unit}".rstrip()
