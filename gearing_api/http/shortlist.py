"""Which parts together meet the targets: the shortlist over HTTP."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from flask import Request, Response

from gearing_api.batch.columns import TooVaried
from gearing_api.batch.shortlist_answers import errors_of, shortlist_document
from gearing_api.batch.shortlist_plans import ShortlistPlan, read_shortlist
from gearing_api.batch.shortlist_tables import as_csv, as_forum_text, as_markdown
from gearing_api.batch.shortlists import Ranking, ranking
from gearing_api.formats import CHARTS, FORMATS, Format, dumped
from gearing_api.formats.document import Document
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.pictures import Kind
from gearing_api.formats.shortlist_drawn import shortlist_file
from gearing_api.http import headers
from gearing_api.http.bodies import error_budget, within
from gearing_api.http.bulk import options_in_query
from gearing_api.http.negotiation import chosen
from gearing_api.http.problems import Problem, field_errors
from gearing_api.http.requests import JSON, in_body, read_object, refusal, with_decimal_point
from gearing_api.settings import Settings
from gearing_api.vocabulary import FieldError, InvalidBuild

ADDRESS = "/v1/shortlist"
ASKS = "Which of these parts together meet my targets, and what does each give up?"
ANY_SIZE = "Any number can be computed offline: gearing-api shortlist PLAN.json"

_COSTLY_SHARE = 5
"""Questions that take long are answered for one in so many combinations."""

EXAMPLE = {
    "build": {"gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84], "transfer_ratios": [1, 2.72]},
    "among": {
        "tyre": ["33x12.50R17LT", "35x12.50R17LT"],
        "gears": [
            {"name": "as it is", "price": 0, "axle_ratio": 3.73},
            {"name": "4.56", "price": 1400, "axle_ratio": 4.56},
        ],
    },
    "sums": ["price"],
    "targets": {"crawl_ratio": {"least": 50}},
    "aims": {"price": "low", "crawl_speed": "low"},
}


def _draw(kind: Kind) -> Callable[[Document, OutputOptions], bytes]:
    def draw(document: Document, options: OutputOptions) -> bytes:
        drawn = shortlist_file(document, options, kind)
        if drawn is None:
            raise Problem(422, f"There is nothing to draw of this shortlist: {document['summary']}")
        return drawn

    return draw


FORMS: dict[str, Format] = {
    "json": Format("json", JSON, lambda document, options: dumped(document)),
    "csv": Format("csv", FORMATS["csv"].media_type, as_csv),
    "txt": Format("txt", FORMATS["txt"].media_type, as_forum_text),
    "md": Format("md", FORMATS["md"].media_type, as_markdown),
    "svg": Format("svg", CHARTS["svg"].media_type, _draw("svg"), draws=True),
    "png": Format("png", CHARTS["png"].media_type, _draw("png"), draws=True),
}
"""Formats of a shortlist."""


def answer(request: Request, suffix: str | None, settings: Settings) -> Response:
    """Rank the combinations of a plan.

    Raises
    ------
    Problem
        400, 406, 413, 415 or 422; 422 also where there are more combinations than the limit.
    """
    asked = options_in_query(request, settings, "units", "pick")
    raw = read_object(request, settings.body_bytes, settings.cells)
    form = chosen(request, suffix, FORMS)
    plan = read_plan(raw, asked.options, settings)
    found = ranked(plan, settings)
    made = shortlist_document(found, bands=asked.options.bands)
    made |= _errors(found, settings, error_budget(request))
    if not asked.options.brief:
        made["sources"] = [source._asdict() for source in found.sources]
    response = Response(form.write(made, asked.options), content_type=form.media_type)
    if form.suffix == "svg":
        response.headers["Content-Security-Policy"] = headers.DRAWING_POLICY
    if suffix is None:
        response.headers["Vary"] = "Accept"
    return response


def read_plan(raw: dict[str, Any], options: OutputOptions, settings: Settings) -> ShortlistPlan:
    """Read a plan that keeps to the limits.

    Raises
    ------
    Problem
        422 if it is refused.
    """
    try:
        plan = read_shortlist(raw, with_decimal_point if options.decimal_comma else lambda value: value)
    except InvalidBuild as error:
        raise refusal(error.faults, in_body) from error
    most, why = settings.rows, ""
    if plan.costly:
        most, why = most // _COSTLY_SHARE, f" where {' or '.join(plan.costly)} is asked"
    if plan.count > most:
        detail = f"makes {plan.count} combinations: at most {most} are computed at a time{why}. {ANY_SIZE}"
        raise refusal([FieldError("among", detail)], in_body)
    cells = plan.count * len(plan.named)
    if cells > settings.cells:
        detail = (
            f"makes {plan.count} combinations x {len(plan.named)} results = {cells}: at most {settings.cells} "
            f"are computed at a time. {ANY_SIZE}"
        )
        raise refusal([FieldError("among", detail)], in_body)
    return plan


def ranked(plan: ShortlistPlan, settings: Settings) -> Ranking:
    """Compute and rank all combinations of a plan.

    Raises
    ------
    Problem
        422 if they give their fields in too many ways.
    """
    try:
        return ranking(plan, 0, plan.count, settings.combinations)
    except TooVaried as error:
        detail = (
            f"gives the fields in {error.combinations} different combinations: at most {settings.combinations} "
            "are answered at a time. Choose among lists of one length, tyres of one kind, and parts that give "
            f"the same fields. {ANY_SIZE}"
        )
        raise refusal([FieldError("among", detail)], in_body) from error


def _errors(ranked: Ranking, settings: Settings, budget: int) -> dict[str, Any]:
    """Why combinations were refused: each reason once, as far as so many bytes go."""

    def listed() -> Iterator[tuple[int, dict[str, Any]]]:
        for fault, more in errors_of(ranked):
            at = fault if fault.pointer else replace(fault, pointer=f"/build/{fault.field}")
            (error,) = field_errors([at], in_body)
            error |= more
            yield len(dumped(error)), error

    errors = list(within(budget, listed()))[: settings.errors_listed]
    return {"errors": errors}
