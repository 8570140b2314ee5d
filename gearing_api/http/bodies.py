"""The body of a request: read before any work begins, and never more of it than may be sent."""

from collections.abc import Iterable, Iterator
from typing import TypeVar

from flask import Request, g
from werkzeug.exceptions import HTTPException

from gearing_api.http.problems import Problem

MOST_ERROR_TEXT = 20
"""Bytes of text about errors for each byte of the request."""

_T = TypeVar("_T")


def error_budget(request: Request) -> int:
    """How many bytes of text about its errors a request may get: so many times its own."""
    head = sum(len(name) + len(str(value)) for name, value in request.headers)
    own = len(request.environ.get("RAW_URI", request.full_path)) + head + g.get("body_bytes", 0)
    return int(MOST_ERROR_TEXT * own)


def within(budget: int, texts: Iterable[tuple[int, _T]]) -> Iterator[_T]:
    """The first of these that have so many bytes together, each given with its own; one in any case."""
    for place, (size, item) in enumerate(texts):
        budget -= size
        if budget < 0 and place:
            return
        yield item


def body_bytes(request: Request, most: int) -> bytes:
    """Read the whole body; then the request's work begins, for which there may be no place.

    Raises
    ------
    Problem
        400, 413 or 415 if it is broken, longer than the limit or compressed; 503 if there is no place.
    """
    if request.headers.get("Content-Encoding", "identity") != "identity":
        plain = {"Accept-Encoding": "identity"}
        raise Problem(415, "A compressed body is not read here: send it plain.", headers=plain)
    announced = request.content_length or 0
    body = b"" if announced > most else _received(request)
    if max(announced, len(body)) > most:
        raise Problem(413, f"The body has more than {most} bytes.")
    g.body_bytes = len(body)
    if "work" in g:
        g.work.start()
    return body


def _received(request: Request) -> bytes:
    try:
        return request.get_data(cache=False)
    except HTTPException:
        raise
    except Exception as error:  # a class of the server's own, for a chunk that is not well-formed
        raise Problem(400, "The body ended early or its chunks are not well-formed.") from error
