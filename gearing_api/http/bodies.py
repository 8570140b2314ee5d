"""The body of a request: read before any work begins, and never more of it than may be sent."""

from flask import Request, g
from werkzeug.exceptions import HTTPException

from gearing_api.http.problems import Problem


def body_bytes(request: Request, most: int) -> bytes:
    """Read the whole body; then the request's work begins, for which there may be no place.

    Raises
    ------
    Problem
        400, 413 or 415 if it is broken, longer than the limit or compressed; 503 if there is no place.
    """
    if request.headers.get("Content-Encoding", "identity") != "identity":
        raise Problem(415, "A compressed body is not read here: send it plain.")
    announced = request.content_length or 0
    body = b"" if announced > most else _received(request)
    if max(announced, len(body)) > most:
        raise Problem(413, f"The body has more than {most} bytes.")
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
