"""Who asks, by which address and under which name: what a proxy tells is believed only where configured."""

import re
import secrets
from collections.abc import Iterable
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from werkzeug.middleware.proxy_fix import ProxyFix

from gearing_api.settings import Settings

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

REQUEST_ID = "gearing.request_id"
_ANOTHERS_ID = re.compile(r"[A-Za-z0-9._-]{8,64}")


def behind_proxy(application: "WSGIApplication", settings: Settings) -> "WSGIApplication":
    """The application, told the client's address, the service's own public one, and the request's name.

    With trusted proxies the last so many entries of ``X-Forwarded-For`` and ``X-Forwarded-Proto`` count, and
    a well-formed ``X-Request-ID`` is kept; without, all three are ignored. A public address takes the place
    of the Host header in every link that is made.
    """
    inner = _as_public(application, settings.public_address) if settings.public_address else application
    hops = settings.trusted_proxies
    proxied = ProxyFix(inner, x_for=hops, x_proto=hops, x_host=0, x_prefix=0) if hops else inner

    def named(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
        given = environ.get("HTTP_X_REQUEST_ID", "") if hops else ""
        environ[REQUEST_ID] = given if _ANOTHERS_ID.fullmatch(given) else secrets.token_hex(8)
        return proxied(environ, start_response)

    return named


def lacks_host(environ: "WSGIEnvironment") -> bool:
    """Whether it names no host, as HTTP/1.1 demands (RFC 9112, section 3.2)."""
    return environ.get("SERVER_PROTOCOL") == "HTTP/1.1" and not environ.get("HTTP_HOST")


def _as_public(application: "WSGIApplication", address: str) -> "WSGIApplication":
    parts = urlsplit(address)

    def public(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
        if not lacks_host(environ):
            environ["wsgi.url_scheme"], environ["HTTP_HOST"] = parts.scheme, parts.netloc
        return application(environ, start_response)

    return public
