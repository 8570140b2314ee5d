"""The addresses of the service, all built once at start."""

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import NamedTuple, cast

from flask import Blueprint, Flask, Request, Response, g, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.local import LocalProxy

from gearing_api.answer import Question
from gearing_api.build import Build
from gearing_api.formats import FORMATS, Format, dumped, offered
from gearing_api.formats.chart import card
from gearing_api.formats.delimited import rows_as_csv
from gearing_api.formats.document import Document, answer_as_document
from gearing_api.formats.options import OutputOptions
from gearing_api.http import bulk, from_text, headers, metrics, problems, served_tables
from gearing_api.http.negotiation import chosen
from gearing_api.http.pages import element, embed, home, reference
from gearing_api.http.problems import PROBLEM_TYPES, Problem
from gearing_api.http.proxy import REQUEST_ID, behind_proxy
from gearing_api.http.rate_limit import ConcurrencyLimit, limit_rate
from gearing_api.http.requests import field_errors_as_problem, reading, refused
from gearing_api.http.spec import spec
from gearing_api.questions import QUESTIONS, require_needs
from gearing_api.settings import Settings
from gearing_api.vocabulary import FieldError, nearest, read_fields

View = Callable[[], Response]


def register(app: Flask, settings: Settings) -> None:
    """Give the app every route, limit, error handler and header."""
    gates = _Gates(
        ConcurrencyLimit(settings.charts_at_once, "charts"),
        ConcurrencyLimit(settings.many_at_once, "requests for many builds"),
    )
    routes = Blueprint(
        "service",
        __name__,
        template_folder="pages/templates",
        static_folder="pages/static",
        static_url_path="/pages",
    )
    for question in QUESTIONS.values():
        view = partial(_question_view, question, settings, gates)
        _both(routes, f"/v1/{question.name}", offered(question), view, ("GET", "POST"))
        page = f"/v1/{question.name}.html"
        routes.add_url_rule(page, endpoint=page.replace(".", ":"), view_func=embed.page(question, settings))
        batch = partial(bulk.json_batch, question)
        routes.add_url_rule(
            f"/v1/{question.name}/batch",
            endpoint=f"{question.name}/batch",
            view_func=partial(_many_view, batch, settings, gates.many),
            methods=["POST"],
        )
    read_sentence = partial(from_text.view, settings)
    _both(routes, from_text.ADDRESS, from_text.FORMS, read_sentence, ("GET", "POST"))
    for suffix in (None, *bulk.COMPARISON_FORMATS):
        whole = "/v1/comparison" + (f".{suffix}" if suffix else "")
        routes.add_url_rule(
            whole,
            endpoint=whole.replace(".", ":"),
            view_func=partial(_many_view, partial(bulk.comparison, suffix=suffix), settings, gates.many),
            methods=["POST"],
        )
    for name in served_tables.NAMES:
        view = partial(_table_view, served_tables.served(name), settings)
        _both(routes, f"/v1/tables/{name}", _TABLE_FORMATS, view)
    _both(routes, "/v1/tables", _TABLE_FORMATS, partial(_table_view, served_tables.directory(), settings))
    _plain_routes(routes, settings)
    _page_routes(routes, settings)
    if settings.metrics:
        metrics.measure(app, routes)
    limit_rate(app, settings)
    app.register_blueprint(routes)
    _handle_errors(app, settings)
    served = behind_proxy(headers.with_security_headers(app.wsgi_app), settings)
    app.wsgi_app = served  # type: ignore[assignment, method-assign]  # as Flask documents it


_TABLE_FORMATS = {suffix: FORMATS[suffix] for suffix in ("json", "csv")}


def _both(
    routes: Blueprint,
    address: str,
    suffixes: Iterable[str],
    made: Callable[[str | None], View],
    methods: tuple[str, ...] = ("GET",),
) -> None:
    """The address without a suffix, and with each suffix it has."""
    for suffix in (None, *suffixes):
        whole = address if suffix is None else f"{address}.{suffix}"
        routes.add_url_rule(whole, endpoint=whole.replace(".", ":"), view_func=made(suffix), methods=methods)


class _Gates(NamedTuple):
    charts: ConcurrencyLimit
    many: ConcurrencyLimit


def _many_view(answer: Callable[..., Response], settings: Settings, gate: ConcurrencyLimit) -> Response:
    leave = gate.enter()
    try:
        response = answer(request, settings=settings)
    except BaseException:
        leave()
        raise
    if response.is_streamed:
        response.response = _until_left(response.iter_encoded(), leave)
        response.call_on_close(leave)  # for a stream that was never begun
    else:
        leave()
    response.headers["Cache-Control"] = "no-store"
    return response


def _until_left(pieces: Iterable[bytes], leave: Callable[[], None]) -> Iterator[bytes]:
    try:
        yield from pieces
    finally:
        leave()


def _question_view(question: Question, settings: Settings, gates: _Gates, suffix: str | None) -> View:
    forms = offered(question)

    def view() -> Response:
        asking = incoming()
        if asking.method == "POST" and asking.mimetype == "text/csv" and suffix in (None, "csv"):
            return _many_view(partial(bulk.csv_batch, question), settings, gates.many)
        form = chosen(asking, suffix, forms)
        asked = reading(asking, settings)
        with field_errors_as_problem(asked.location):
            build = Build(read_fields(asked.raw, asked.system), asked.received, asked.system)
            if asking.method == "HEAD":
                require_needs(question, build)
                return _response(iter(()), form, suffix)
            made = answer_as_document(question, build, asked.options.pick, drawn=form.draws)
            body = (
                _drawn(form, made, asked.options, gates.charts)
                if form.draws
                else form.write(made, asked.options)
            )
        response = _response(body, form, suffix)
        if asking.method == "POST":
            return response
        return headers.cacheable(response, asking, settings.cache_seconds)

    return view


def _drawn(form: Format, made: Document, options: OutputOptions, gate: ConcurrencyLimit) -> bytes:
    leave = gate.enter()
    try:
        return form.write(made, options)
    finally:
        leave()


def _table_view(table: Document, settings: Settings, suffix: str | None) -> View:
    in_json = dumped(table)

    def view() -> Response:
        form = chosen(request, suffix, _TABLE_FORMATS)
        asked = reading(request, settings)
        misplaced = [*asked.raw, *(name for name in ("units", "pick") if name in request.args)]
        if misplaced:
            raise refused([FieldError(name, "is no parameter of a table") for name in misplaced], "query")
        in_csv = form.suffix == "csv"
        body = rows_as_csv(table["columns"], table["rows"], asked.options) if in_csv else in_json
        return _kept(_response(body, form, suffix), settings)

    return view


def _response(body: bytes | Iterator[bytes], form: Format, suffix: str | None) -> Response:
    response = Response(body, content_type=form.media_type)
    if suffix is None:
        response.headers.add("Vary", "Accept")
    if form.suffix == "svg":
        response.headers["Content-Security-Policy"] = headers.DRAWING_POLICY
    return response


def incoming() -> Request:
    """The request itself: cheaper to ask many things of than the proxy that stands for it."""
    return cast(LocalProxy[Request], request)._get_current_object()


def _kept(response: Response, settings: Settings) -> Response:
    return headers.cacheable(response, request, settings.cache_seconds)


def _plain_routes(routes: Blueprint, settings: Settings) -> None:
    whole_spec = dumped(spec())

    @routes.get("/openapi.json")
    def openapi() -> Response:
        return _kept(Response(whole_spec, content_type="application/json"), settings)

    @routes.get("/healthz")
    def healthz() -> Response:
        return _probe({"status": "up"})

    @routes.get("/readyz")
    def readyz() -> Response:
        return _probe({"status": "ready", "checked": home.known_answer()})

    @routes.get("/")
    def start() -> Response:
        return _kept(home.page(request), settings)

    @routes.get("/problems/<slug>")
    def problem_page(slug: str) -> Response:
        kind = next((kind for kind in PROBLEM_TYPES.values() if kind.slug == slug), None)
        if kind is None:
            raise Problem(404, "There is no such type of problem.")
        response = Response(render_template("problem.html", kind=kind), mimetype="text/html")
        response.headers["Content-Security-Policy"] = headers.PAGE_POLICY
        return _kept(response, settings)


def _page_routes(routes: Blueprint, settings: Settings) -> None:
    """What people and other sites see: reference, element, picture and frame."""

    @routes.get("/docs")
    def reference_page() -> Response:
        return _kept(reference.page(), settings)

    for name in reference.FILES:
        made = partial(reference.part, name)
        routes.add_url_rule(
            f"/docs/{name}", f"docs:{name.replace('.', ':')}", lambda made=made: _kept(made(), settings)
        )

    @routes.get("/widget")
    def widget_listing() -> Response:
        listed = element.listing(request.url_root)
        return _kept(Response(listed, content_type="application/json"), settings)

    for release in element.releases():
        routes.add_url_rule(
            release.path, f"widget:{release.version.replace('.', ':')}", view_func=release.response
        )

    @routes.get(embed.CARD)
    def picture() -> Response:
        return _kept(Response(card(), content_type="image/png"), settings)

    @routes.get("/oembed")
    def oembed() -> Response:
        return _kept(embed.oembed(request), settings)


def _probe(state: Document) -> Response:
    response = Response(dumped(state), content_type="application/json")
    response.headers["Cache-Control"] = "no-store"
    return response


def _handle_errors(app: Flask, settings: Settings) -> None:
    @app.errorhandler(Problem)
    def own(problem: Problem) -> Response:
        if b"errors=text" in request.query_string.split(b"&") or g.get("errors") == "text":
            return problems.as_line(problem)
        return problems.as_response(problem, settings.errors_listed)

    @app.errorhandler(HTTPException)
    def of_the_server(error: HTTPException) -> Response:
        response = own(Problem(error.code or 500, _detail(error)))
        for name, value in error.get_headers():
            if name in ("Allow", "Retry-After"):
                response.headers[name] = value
        return response

    @app.errorhandler(Exception)
    def unforeseen(error: Exception) -> Response:
        app.logger.exception("unforeseen error", extra={"request_id": request.environ.get(REQUEST_ID)})
        return own(Problem(500, "The service made a mistake; the request itself may be fine."))


def _detail(error: HTTPException) -> str:
    if error.code == 404:
        addresses = [str(rule) for rule in QUESTION_ADDRESSES]
        close = nearest(request.path, addresses)
        return f"Nothing is at this address{f'; the nearest is {close}' if close else ''}."
    if error.code == 405:
        return f"{request.method} is not taken at this address."
    return error.description or error.name


QUESTION_ADDRESSES = [*(f"/v1/{name}" for name in QUESTIONS), from_text.ADDRESS]
