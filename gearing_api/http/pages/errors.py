"""Show an error to people who opened an address: what is wrong, and what they can do next."""

from urllib.parse import parse_qsl, urlencode

from flask import Request, Response, render_template

from gearing_api.http import headers
from gearing_api.http.problems import Problem, document, kind_of
from gearing_api.questions import QUESTIONS


def page(problem: Problem, most_errors: int, request: Request, nearest: str | None) -> Response:
    """Respond with the page of a problem; no cache stores it."""
    text = render_template(
        "error.html",
        problem=document(problem, most_errors),
        kind=kind_of(problem),
        question=_question_of(request),
        repaired=_repaired(problem, request),
        wait=problem.headers.get("Retry-After"),
        nearest=nearest,
    )
    response = Response(text, problem.status, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.PAGE_POLICY
    response.headers["Cache-Control"] = "no-store"
    response.headers.update(problem.headers)
    return response


def _question_of(request: Request) -> str | None:
    """Return the question that the address asks, whatever its format."""
    name = request.path.removeprefix("/v1/").partition(".")[0]
    return name if name in QUESTIONS else None


def _repaired(problem: Problem, request: Request) -> str | None:
    """Return the address with each refused value as it is likeliest meant, if all of them are clear."""
    uses = {error["pointer"]: str(error["use"]) for error in problem.errors if "use" in error}
    if request.method != "GET" or not uses or len(uses) < len(problem.errors):
        return None
    pairs = parse_qsl(request.query_string.decode("utf-8", "replace"), keep_blank_values=True)
    return f"{request.path}?{urlencode([(name, uses.get(f'/{name}', text)) for name, text in pairs])}"
