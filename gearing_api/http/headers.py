"""Add the headers of every response, and the validators of those that caches may keep."""

from collections.abc import Callable, Iterable
from functools import cache
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

from flask import Request, Response
from werkzeug.http import parse_etags

from gearing_api import __version__
from gearing_api.formats import dumped
from gearing_api.http.proxy import REQUEST_ID
from gearing_api.settings import Settings

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

EXPOSED = "ETag, Link, Retry-After, RateLimit, RateLimit-Policy, X-Request-Id"
ALLOWED = "Content-Type, Accept, If-None-Match"
METHODS = "GET, HEAD, POST, OPTIONS"

OWN = "gearing.headers"
"""Where the headers stand that the response to this request has, whatever it is."""

_POLICY = "Content-Security-Policy"
NO_ACTIVE_CONTENT = "default-src 'none'; frame-ancestors 'none'"
DRAWING_POLICY = "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'"
"""Policy of a drawing, which is a document if opened by itself; its strokes are inline styles."""
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


SERVICE_LINKS = '</openapi.json>; rel="service-desc", </docs>; rel="service-doc"'
"""Where the service is described (RFC 8631): stands on indexes, tables and errors."""

_PREFLIGHT = [
    ("Access-Control-Allow-Methods", METHODS),
    ("Access-Control-Allow-Headers", ALLOWED),
    ("Access-Control-Max-Age", "7200"),
]


def with_security_headers(application: "WSGIApplication") -> "WSGIApplication":
    """Wrap the application to add CORS and security headers to every response, errors too, and the request's own."""

    def outer(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
        def start(status: str, headers: list[tuple[str, str]], *error: Any) -> Any:
            # A 304 has no policy of its own: browsers would put it in place of the page's.
            if status[:3] != "304" and _POLICY not in dict(headers):
                headers.append((_POLICY, NO_ACTIVE_CONTENT))
            headers += _ALWAYS
            headers += environ.get(OWN, ())
            if environ["REQUEST_METHOD"] == "OPTIONS":
                headers += _PREFLIGHT
            if status[0] in "45" and REQUEST_ID in environ:
                headers.append(("X-Request-Id", environ[REQUEST_ID]))
            return start_response(status, headers, *error)

        return application(environ, start)

    return outer


def weak_tag(*parts: object) -> str:
    """Make the validator (ETag) of what this version answers to a request that these parts describe.

    It takes no answer to make, and is the same in every replica. It is weak, because the last digit of a
    number may differ between processors. The version stands for code, tables and words: whoever changes what
    is answered changes the version.
    """
    return f'W/"{blake2b(dumped([__version__, *parts]), digest_size=16).hexdigest()}"'


def cacheable(
    make: Callable[[], Response], tag: str, request: Request, settings: Settings, *, vary: str = ""
) -> Response:
    """Return the response of `make` with validator and lifetime, or 304 if the client has it already.

    `make` is not called where the client sends this very validator. `vary` names the header
    that has chosen the format.
    """
    held = request.environ.get("HTTP_IF_NONE_MATCH")
    if held is None:
        response = make()
    else:
        tags = parse_etags(held)
        any_tag = tags.star_tag and make()  # "*" is of an answer that there is, which a refused build has not
        response = Response(status=304) if any_tag or tags.contains_weak(tag[3:-1]) else make()
    lifetime = _cache_control(settings.cache_seconds, settings.stale_seconds)
    response.headers.extend(
        [*lifetime, ("ETag", tag), ("Vary", vary)] if vary else [*lifetime, ("ETag", tag)]
    )
    return response


@cache
def _cache_control(seconds: int, stale: int) -> list[tuple[str, str]]:
    """Return the lifetime, and how long after it a cache may use the answer while it fetches a new one."""
    late = f", stale-while-revalidate={stale}, stale-if-error={stale}" if stale else ""
    return [("Cache-Control", f"public, max-age={seconds}{late}")]
