"""The bot for forum software that posts each message to an address: a Flask application.

A message comes as ``{"id": …, "author": …, "text": …}``, signed. The reply goes, signed alike, to the address
that is configured, and to no other; without one it is the answer to the request.
"""

import json
from typing import Any

import requests
from flask import Flask, Response, request
from werkzeug.exceptions import HTTPException, LengthRequired

from forum_bot.replies import Ask, reply
from forum_bot.settings import Settings, sentence
from forum_bot.signing import ConcurrencyLimit, Unsigned, signed

LONGEST_BODY = 65_536
_LONGEST_ID = 200
_TIMEOUT = 10.0


def create_app(settings: Settings, ask: Ask) -> Flask:
    """The application that takes messages at ``/messages``.

    Raises
    ------
    ValueError
        If the secret is too short.
    """
    app = Flask("forum_bot", static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = LONGEST_BODY
    gate = ConcurrencyLimit(settings.secret.encode())

    @app.post("/messages")
    def messages() -> Response:
        body = _body()
        try:
            seen = gate.check(dict(request.headers), body)
        except Unsigned as unsigned:
            return _plain(401, str(unsigned))
        message = _message(body)
        if message is None:
            return _plain(400, "the message must be a JSON object with id, author and text")
        said = None if message["author"] == settings.name else sentence(message["text"], settings.trigger)
        if said is None:
            return Response(status=204)
        answer = json.dumps({"id": message["id"], "text": reply(said, ask)}).encode()
        if not settings.reply_url:
            return Response(answer, content_type="application/json")
        if not _delivered(settings, answer):
            gate.forget(seen)
            return _plain(502, "the reply could not be delivered")
        return Response(status=204)

    @app.errorhandler(HTTPException)
    def refused(error: HTTPException) -> Response:
        response = _plain(error.code or 500, error.name)
        for name, value in error.get_headers():
            if name == "Allow":
                response.headers[name] = value
        return response

    return app


def _body() -> bytes:
    """The whole body. A length is asked for: a body without one could be cut short without a word."""
    if request.content_length is None:
        raise LengthRequired
    return request.get_data(cache=False)


def _message(body: bytes) -> dict[str, Any] | None:
    try:
        message = json.loads(body)
    except (ValueError, RecursionError):
        return None
    if not isinstance(message, dict):
        return None
    number, author, text = (message.get(name) for name in ("id", "author", "text"))
    is_id = type(number) in (int, str) and len(str(number)) <= _LONGEST_ID
    return message if is_id and isinstance(author, str) and isinstance(text, str) else None


def _delivered(settings: Settings, answer: bytes) -> bool:
    headers = {"Content-Type": "application/json", **signed(settings.secret.encode(), answer)}
    try:
        response = requests.post(
            settings.reply_url, data=answer, headers=headers, timeout=_TIMEOUT, allow_redirects=False
        )
    except requests.RequestException:
        return False
    return response.ok and not response.is_redirect


def _plain(status: int, words: str) -> Response:
    return Response(words, status, content_type="text/plain; charset=utf-8")
