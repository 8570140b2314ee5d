"""Headers that every response carries, and the validators of those that may be kept."""

from collections.abc import Iterable
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from flask import Request, Response

from gearing_api.http.proxy import REQUEST_ID

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

EXPOSED = "ETag, Link, Retry-After, RateLimit, RateLimit-Policy, X-Request-Id"
ALLOWED = "Content-Type, Accept, If-None-Match"
METHODS = "GET, HEAD, POST, OPTIONS"

_POLICY = "Content-Security-Policy"
NO_ACTIVE_CONTENT = "default-src 'none'; frame-ancestors 'none'"
DRAWING_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'"
"""Of a drawing, which is a document where it is opened by itself; its strokes are inline styles."""
_PAGE = "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; form-action 'self'"
PAGE_POLICY = f"{_PAGE}; frame-ancestors 'none'"
EMBED_POLICY = f"{_PAGE}; frame-ancestors *"
SCRIPT_POLICY = f"{PAGE_POLICY}; script-src 'self'; connect-src 'self'"
REFERENCE_POLICY = SCRIPT_POLICY.replace("img-src 'self'", "img-src 'self' data:")

_ALWAYS = [
    ("Access-Control-Allow-Origin", "*"),
    ("Access-Control-Expose-Headers", EXPOSED),
    ("Cross-Origin-Resource-Policy", "cross-origin"),
    ("X-Content-Type-Options", "nosniff"),
    ("Referrer-Policy", "no-referrer"),
]


_PREFLIGHT = [
    ("Access-Control-Allow-Methods", METHODS),
    ("Access-Control-Allow-Headers", ALLOWED),
    ("Access-Control-Max-Age", "7200"),
]


def with_security_headers(application: "WSGIApplication") -> "WSGIApplication":
    """The application with the headers for other origins and for safety on every response, errors too."""

    def outer(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
        def start(status: str, headers: list[tuple[str, str]], *error: Any) -> Any:
            headers += _ALWAYS
            if all(name != _POLICY for name, _ in headers):
                headers.append((_POLICY, NO_ACTIVE_CONTENT))
            if environ["REQUEST_METHOD"] == "OPTIONS":
                headers += _PREFLIGHT
            if status[0] in "45" and REQUEST_ID in environ:
                headers.append(("X-Request-Id", environ[REQUEST_ID]))
            return start_response(status, headers, *error)

        return application(environ, start)

    return outer


def cacheable(response: Response, request: Request, seconds: int) -> Response:
    """The response with a strong validator: 304 where the client has it already."""
    response.headers.add("Cache-Control", f"public, max-age={seconds}")
    response.headers.add("ETag", f'"{sha256(response.get_data()).hexdigest()[:32]}"')
    if "HTTP_IF_NONE_MATCH" not in request.environ:
        return response
    return response.make_conditional(request)  # type: ignore[return-value]  # werkzeug gives the same object
