"""Headers that every response carries, and the validators of those that may be kept."""

from flask import Request, Response

EXPOSED = "ETag, Link, Retry-After, RateLimit, RateLimit-Policy"
ALLOWED = "Content-Type, Accept, If-None-Match"
METHODS = "GET, HEAD, POST, OPTIONS"

NO_ACTIVE_CONTENT = "default-src 'none'; frame-ancestors 'none'"
PAGE_POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)

_ALWAYS = (
    ("Access-Control-Allow-Origin", "*"),
    ("Access-Control-Expose-Headers", EXPOSED),
    ("Cross-Origin-Resource-Policy", "cross-origin"),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
)


def dressed(response: Response, request: Request) -> Response:
    """The response with the headers for other origins and for safety."""
    headers = response.headers
    headers.extend(_ALWAYS)
    headers.setdefault("Content-Security-Policy", NO_ACTIVE_CONTENT)
    if request.method == "OPTIONS":
        headers["Access-Control-Allow-Methods"] = METHODS
        headers["Access-Control-Allow-Headers"] = ALLOWED
        headers["Access-Control-Max-Age"] = "7200"
    return response


def keepable(response: Response, request: Request, seconds: int) -> Response:
    """The response with a strong validator: 304 where the client has it already."""
    response.headers["Cache-Control"] = f"public, max-age={seconds}"
    response.add_etag()
    if "HTTP_IF_NONE_MATCH" not in request.environ:
        return response
    return response.make_conditional(request)  # type: ignore[return-value]  # werkzeug gives the same object
