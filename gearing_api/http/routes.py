"""The addresses of the service, all built once at start."""

import re
from collections.abc import Callable, Iterable
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple, cast

from flask import Blueprint, Flask, Request, Response, g, render_template, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed
from werkzeug.local import LocalProxy

from gearing_api import __version__
from gearing_api.answer import Question
from gearing_api.formats import FORMATS, Format, dumped, offered, with_row_objects
from gearing_api.formats.delimited import rows_as_csv
from gearing_api.formats.document import Document, answer_as_document
from gearing_api.formats.drawing import stylesheet
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.preview import card, preview
from gearing_api.http import bulk, from_text, headers, index, metrics, problems, served_tables, shortlist
from gearing_api.http.bodies import error_budget, within
from gearing_api.http.fixed import FOREVER, compressible, fixed_view
from gearing_api.http.negotiation import chosen, prefers_html
from gearing_api.http.pages import element, embed, home, reference, showing
from gearing_api.http.pages import errors as error_pages
from gearing_api.http.pages import shortlist as shortlist_page
from gearing_api.http.pages import tables as table_pages
from gearing_api.http.problems import PROBLEM_TYPES, Problem
from gearing_api.http.proxy import REQUEST_ID, behind_proxy, lacks_host
from gearing_api.http.rate_limit import limit_rate
from gearing_api.http.requests import (
    CSV,
    FORM,
    JSON,
    ParsedRequest,
    parse_request,
    refusal,
    refusal_of,
    wants_errors_as_text,
)
from gearing_api.http.spec import spec
from gearing_api.http.turns import ConcurrencyLimit
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from gearing_api.vocabulary import FieldError, InvalidBuild, for_people, label_of, nearest

View = Callable[[], Response]


def register(app: Flask, settings: Settings) -> None:
    """Give the app every route, limit, error handler and header."""
    limits = _Limits(
        ConcurrencyLimit(settings.charts_at_once, "charts"),
        ConcurrencyLimit(settings.many_at_once, "requests for many builds"),
    )
    routes = Blueprint(
        "service",
        __name__,
        template_folder="pages/templates",
    )
    routes.add_app_template_filter(label_of, "label")
    routes.add_app_template_filter(for_people)
    for question in QUESTIONS.values():
        view = partial(_question_view, question, settings, limits)
        _add_with_suffixes(routes, f"/v1/{question.name}", offered(question), view, ("GET", "POST"))
        page = f"/v1/{question.name}.html"
        routes.add_url_rule(page, endpoint=page.replace(".", ":"), view_func=embed.page(question, settings))
        routes.add_url_rule(
            f"/pages/preview/{question.name}.png",
            endpoint=f"pages:preview:{question.name}",
            view_func=_preview_view(question, settings, limits.charts),
        )
        batch = partial(bulk.json_batch, question)
        routes.add_url_rule(
            f"/v1/{question.name}/batch",
            endpoint=f"{question.name}/batch",
            view_func=partial(_answer_many, batch, settings, limits.many),
            methods=["POST"],
        )
    read_sentence = partial(from_text.view, settings)
    _add_with_suffixes(routes, from_text.ADDRESS, from_text.FORMS, read_sentence, ("GET", "POST"))
    for suffix in (None, *bulk.COMPARISON_FORMATS):
        whole = "/v1/comparison" + (f".{suffix}" if suffix else "")
        routes.add_url_rule(
            whole,
            endpoint=whole.replace(".", ":"),
            view_func=partial(_answer_many, partial(bulk.comparison, suffix=suffix), settings, limits.many),
            methods=["POST"],
        )

    def listed(suffix: str | None) -> View:
        return partial(_answer_many, partial(shortlist.answer, suffix=suffix), settings, limits.many)

    _add_with_suffixes(routes, shortlist.ADDRESS, shortlist.FORMS, listed, ("POST",))
    for name in served_tables.NAMES:
        view = partial(_table_view, served_tables.served(name), settings)
        _add_with_suffixes(routes, f"/v1/tables/{name}", (*_TABLE_FORMATS, _HTML), view)
    view = partial(_table_view, served_tables.directory(), settings)
    _add_with_suffixes(routes, "/v1/tables", (*_TABLE_FORMATS, _HTML), view)
    _plain_routes(routes, settings)
    _page_routes(routes, settings)
    if settings.metrics:
        metrics.measure(app, routes)
    limit_rate(app, settings)
    app.before_request(_require_host)
    app.register_blueprint(routes)
    _handle_errors(app, settings)
    served = behind_proxy(headers.with_security_headers(app.wsgi_app), settings)
    app.wsgi_app = served  # type: ignore[assignment, method-assign]  # as Flask documents it


_HTML = "html"
_TABLE_FORMATS = {suffix: FORMATS[suffix] for suffix in ("json", "csv")}


def _add_with_suffixes(
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


class _Limits(NamedTuple):
    charts: ConcurrencyLimit
    many: ConcurrencyLimit


def _answer_many(answer: Callable[..., Response], settings: Settings, limit: ConcurrencyLimit) -> Response:
    """Answer once the body is read and there is a place, which is held until the answer has been sent."""
    if "work" in g:
        g.work.gate = limit
    response = answer(request, settings=settings)
    response.headers["Cache-Control"] = "no-store"
    return response


def _question_view(question: Question, settings: Settings, limits: _Limits, suffix: str | None) -> View:
    formats = offered(question)
    kinds = (JSON, FORM, CSV) if suffix in (None, "csv") else (JSON, FORM)

    def view() -> Response:
        asking = current_request()
        if asking.method == "POST" and asking.mimetype == CSV and CSV in kinds:
            return _answer_many(partial(bulk.csv_batch, question), settings, limits.many)
        if suffix == "json" and asking.method == "GET" and asking.args.get("page") == "1":
            return showing.parts(question, asking, settings)
        asked = parse_request(asking, settings, kinds)
        form = chosen(asking, suffix, formats)
        make = partial(_answer_question, question, asked, form, limits.charts)
        if asking.method == "POST":
            response = make()
            if suffix is None:
                response.headers["Vary"] = "Accept"
            return response
        tag = headers.weak_tag(question.name, form.suffix, asked.canonical)
        return headers.cacheable(make, tag, asking, settings, vary="" if suffix else "Accept")

    return view


def _answer_question(
    question: Question, asked: ParsedRequest, form: Format, charts: ConcurrencyLimit
) -> Response:
    try:
        options = asked.options
        document = answer_as_document(
            question,
            asked.build(),
            options.pick,
            drawn=form.draws,
            windows=options.windows,
            bands=options.bands,
            tornado=options.tornado,
        )
        body = (
            _draw(form, document, asked.options, charts)
            if form.draws
            else form.write(document, asked.options)
        )
    except (InvalidBuild, DomainError) as error:
        raise refusal_of(error, asked.where) from error
    response = Response(body, content_type=form.media_type)
    if form.suffix == "svg":
        response.headers["Content-Security-Policy"] = headers.DRAWING_POLICY
    return response


def _preview_view(question: Question, settings: Settings, charts: ConcurrencyLimit) -> View:
    """Return the view of the preview picture of a link to an answer."""

    def view() -> Response:
        asked = parse_request(current_request(), settings)

        def make() -> Response:
            try:
                document = answer_as_document(question, asked.build(), drawn=question.draws)
            except (InvalidBuild, DomainError) as error:
                raise refusal_of(error, asked.where) from error
            title = showing.title_of(question, request.args)
            body = _in_turn(partial(preview, document, title, question.asks), charts)
            return Response(body, content_type="image/png")

        tag = headers.weak_tag(question.name, "preview", asked.canonical)
        return headers.cacheable(make, tag, current_request(), settings)

    return view


def _draw(form: Format, document: Document, options: OutputOptions, limit: ConcurrencyLimit) -> bytes:
    if "picture" not in document:
        raise Problem(422, f"There is nothing to draw of this build: {document['summary']}")
    return _in_turn(partial(form.write, document, options), limit)


def _in_turn(draw: Callable[[], bytes], limit: ConcurrencyLimit) -> bytes:
    leave = limit.enter(g.work.client if "work" in g else "")
    try:
        return draw()
    finally:
        leave()


def _table_view(table: Document, settings: Settings, suffix: str | None) -> View:
    in_json = dumped(table)
    content = sha256(in_json).hexdigest()
    parameters = {"question"} if served_tables.QUESTIONS_COLUMN in table["columns"] else set()

    def view() -> Response:
        asked = parse_request(request, settings)
        as_page = suffix == _HTML or (suffix is None and prefers_html(request))
        form = None if as_page else chosen(request, suffix, _TABLE_FORMATS)
        names = [*(asked.raw.keys() - parameters), *({"units", "pick"} & asked.in_query)]
        if names:
            errors = [FieldError(name, "is no parameter of this table") for name in sorted(names)]
            raise refusal(errors, asked.where)

        def make() -> Response:
            part = _part_of_table(table, asked)
            if form is None:
                return table_pages.page(part, request)
            if form.suffix == "csv":
                body = rows_as_csv(part["columns"], part["rows"], asked.options)
                return Response(body, content_type=form.media_type)
            if asked.options.row_objects:
                return Response(dumped(with_row_objects(part)), content_type=form.media_type)
            return compressible(in_json if part is table else dumped(part), form.media_type, request)

        tag = headers.weak_tag(content, form.suffix if form else _HTML, asked.canonical)
        vary = "Accept-Encoding" if suffix else "Accept, Accept-Encoding"
        response = headers.cacheable(make, tag, request, settings, vary=vary)
        response.headers["Link"] = headers.SERVICE_LINKS
        return response

    return view


def _part_of_table(table: Document, asked: ParsedRequest) -> Document:
    if "question" not in asked.raw:
        return table
    try:
        return served_tables.of_question(table, asked.raw["question"])
    except InvalidBuild as error:
        raise refusal_of(error, asked.where) from error


def current_request() -> Request:
    """The request itself: cheaper to ask many things of than the proxy that stands for it."""
    return cast(LocalProxy[Request], request)._get_current_object()


def _plain_routes(routes: Blueprint, settings: Settings) -> None:
    whole_spec = fixed_view(dumped(spec(settings.public_address)), "application/json", settings)
    routes.add_url_rule("/openapi.json", "openapi", whole_spec)

    links = [("Link", headers.SERVICE_LINKS)]

    @routes.get(index.ADDRESS)
    def questions() -> Response:
        body = partial(compressible, dumped(index.document()), JSON, request)
        tag = headers.weak_tag("index")
        response = headers.cacheable(body, tag, request, settings, vary="Accept-Encoding")
        response.headers.extend(links)
        return response

    @routes.get("/healthz")
    def healthz() -> Response:
        return _probe({"status": "up", "version": __version__})

    @routes.get("/readyz")
    def readyz() -> Response:
        return _probe({"status": "ready", "checked": home.known_answer()})

    @routes.get("/")
    def start() -> Response:
        response = home.page(request, settings)
        response.headers.extend(links)
        return response

    @routes.get("/problems")
    def problem_index() -> Response:
        in_html = prefers_html(request)

        def make() -> Response:
            if not in_html:
                return Response(dumped(problems.index()), content_type="application/json")
            return _page("problems.html", kinds=PROBLEM_TYPES.values())

        tag = headers.weak_tag("problems", in_html)
        return headers.cacheable(make, tag, request, settings, vary="Accept")

    @routes.get("/problems/<slug>")
    def problem_page(slug: str) -> Response:
        kind = next((kind for kind in PROBLEM_TYPES.values() if kind.slug == slug), None)
        if kind is None:
            raise Problem(404, "There is no such type of problem.")
        make = partial(_page, "problem.html", kind=kind)
        return headers.cacheable(make, headers.weak_tag("problems", slug), request, settings)


def _page(template: str, **values: object) -> Response:
    response = Response(render_template(template, **values), content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = headers.PAGE_POLICY
    return response


_STATIC = Path(__file__).parent / "pages" / "static"
_STATIC_KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}


def _page_routes(routes: Blueprint, settings: Settings) -> None:
    """What people and other sites see: reference, element, picture and frame."""

    @routes.get(shortlist_page.ADDRESS)
    def shortlist_form() -> Response:
        return shortlist_page.view(current_request(), settings)

    routes.add_url_rule("/docs", "docs", partial(reference.index_page, settings))
    for question in QUESTIONS.values():
        view = reference.question_view(question, settings)
        routes.add_url_rule(f"/docs/{question.name}", f"docs/{question.name}", view)

    @routes.get("/docs/explorer")
    def explorer() -> Response:
        return headers.cacheable(reference.explorer, headers.weak_tag("explorer"), request, settings)

    for name, media_type in reference.FILES.items():
        view = fixed_view(reference.content(name), media_type, settings)
        routes.add_url_rule(f"/docs/{name}", f"docs:{name.replace('.', ':')}", view)

    @routes.get("/widget")
    def widget_listing() -> Response:
        def make() -> Response:
            return Response(element.listing(request.url_root), content_type="application/json")

        tag = headers.weak_tag("widget", request.url_root)
        return headers.cacheable(make, tag, request, settings)

    for release in element.releases():
        view = fixed_view(release.module, element.MEDIA_TYPE, settings, lifetime=FOREVER)
        routes.add_url_rule(release.path, f"widget:{release.version.replace('.', ':')}", view_func=view)

    colours = fixed_view(stylesheet().encode(), _STATIC_KINDS[".css"], settings)
    routes.add_url_rule("/pages/pictures.css", "pages:pictures:css", colours)

    for path in sorted(_STATIC.iterdir()):
        kind = _STATIC_KINDS[path.suffix]
        view = fixed_view(path.read_bytes(), kind, settings)
        routes.add_url_rule(f"/pages/{path.name}", f"pages:{path.name.replace('.', ':')}", view)

    @routes.get(showing.CARD)
    def picture() -> Response:
        def make() -> Response:
            return Response(card(), content_type="image/png")

        return headers.cacheable(make, headers.weak_tag("card"), request, settings)

    @routes.get("/oembed")
    def oembed() -> Response:
        make = partial(embed.oembed, request, settings)
        tag = headers.weak_tag("oembed", sorted(request.args.items(multi=True)), request.url_root)
        return headers.cacheable(make, tag, request, settings)


def _require_host() -> None:
    if lacks_host(request.environ):
        raise Problem(400, "The request has no Host header.")


def _probe(state: Document) -> Response:
    response = Response(dumped(state), content_type="application/json")
    response.headers["Cache-Control"] = "no-store"
    return response


def _handle_errors(app: Flask, settings: Settings) -> None:
    @app.errorhandler(Problem)
    def own(problem: Problem) -> Response:
        if wants_errors_as_text(request):
            return problems.as_line(problem)
        errors = ((len(dumped(error)), error) for error in problem.errors[: settings.errors_listed])
        listed = len(list(within(error_budget(request), errors)))
        if prefers_html(request) and request.mimetype != JSON:
            response = error_pages.page(problem, listed, request, _nearest(problem))
        else:
            response = problems.as_response(problem, listed, _root(settings))
        response.headers["Link"] = headers.SERVICE_LINKS
        return response

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


_OWN_HOST = re.compile(r"(localhost|127\.0\.0\.1|\[::1\])(:[0-9]{1,5})?")


def _root(settings: Settings) -> str:
    """The root of the types of problems: the public address, or this machine's own; else none.

    Another Host may be anybody's, and is not sent back.
    """
    if settings.public_address:
        return settings.public_address
    host = request.environ.get("HTTP_HOST", "")
    return f"{request.scheme}://{host}" if _OWN_HOST.fullmatch(host) else ""


def _nearest(problem: Problem) -> str | None:
    """Return the page whose address is spelled nearly like one that is not there."""
    return nearest(request.path.removesuffix(".html"), _PAGES) if problem.status == 404 else None


def _detail(error: HTTPException) -> str:
    if error.code == 404:
        close = nearest(request.path, QUESTION_ADDRESSES)
        return f"Nothing is at this address{f'; the nearest is {close}' if close else ''}."
    if isinstance(error, MethodNotAllowed):
        taken = ", ".join(sorted(error.valid_methods or ()))
        return f"{request.method} is not taken at this address: it takes {taken}."
    return error.description or error.name


QUESTION_ADDRESSES = [*(f"/v1/{name}" for name in QUESTIONS), from_text.ADDRESS, shortlist.ADDRESS]
_PAGES = [
    *(f"/docs/{name}" for name in QUESTIONS),
    *(f"/v1/tables/{name}" for name in served_tables.NAMES),
    *(shortlist_page.ADDRESS, "/docs", "/docs/explorer", "/v1/tables", "/problems"),
]
