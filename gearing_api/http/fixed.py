"""Serve what is the same for everybody, such as files and the spec document, compressed once."""

import gzip
from collections.abc import Callable
from functools import cache, partial
from hashlib import sha256

from flask import Request, Response, request

from gearing_api.http import headers
from gearing_api.settings import Settings

FOREVER = "public, max-age=31536000, immutable"

_LEAST = 1_000  # bytes: a smaller body is one packet either way


def fixed_view(
    body: bytes, media_type: str, settings: Settings, *, lifetime: str | None = None
) -> Callable[[], Response]:
    """Make the view of a body that never changes; `lifetime` is for files whose address has their version."""
    tag = headers.weak_tag(sha256(body).hexdigest())

    def view() -> Response:
        make = partial(compressible, body, media_type, request)
        response = headers.cacheable(make, tag, request, settings, vary="Accept-Encoding")
        if lifetime is not None:
            response.headers["Cache-Control"] = lifetime
        return response

    return view


def compressible(body: bytes, media_type: str, request: Request) -> Response:
    """Respond with the body, compressed where the client takes that."""
    if len(body) < _LEAST or not request.accept_encodings.quality("gzip"):
        return Response(body, content_type=media_type)
    return Response(_compressed(body), content_type=media_type, headers={"Content-Encoding": "gzip"})


@cache
def _compressed(body: bytes) -> bytes:
    return gzip.compress(body, mtime=0)
