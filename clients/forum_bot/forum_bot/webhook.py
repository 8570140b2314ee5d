"""The bot for forums and chats that post each message to an address: a Flask application."""

import json
from collections.abc import Mapping
from typing import Any

import requests
from flask import Flask, Response, request
from werkzeug.exceptions import HTTPException, LengthRequired

from forum_bot.conversation import Conversation, Message
from forum_bot.platforms.base import Delivery, Handshake, Incoming, Platform
from forum_bot.replies import Ask
from forum_bot.settings import Settings
from forum_bot.signing import Once, Unsigned, signed

LONGEST_BODY = 65_536
_TIMEOUT = 10.0


def create_app(settings: Settings, platform: Platform, ask: Ask) -> Flask:
    """Return the application that takes messages of a platform at ``/messages``."""
    app = Flask("forum_bot", static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = LONGEST_BODY
    once = Once()
    conversation = Conversation(settings, ask)

    @app.post("/messages")
    def messages() -> Response:
        incoming = Incoming({name.casefold(): value for name, value in request.headers.items()}, _body())
        try:
            platform.check(incoming)
            message = platform.read(incoming)
        except Unsigned as unsigned:
            return _plain(401, str(unsigned))
        except ValueError as error:
            return _plain(400, f"the message cannot be read: {error}")
        if isinstance(message, Handshake):
            return _json(message.answer)
        if message is None or not once.is_first(str(message.id)):
            return Response(status=204)
        return _replied(message)

    def _replied(message: Message) -> Response:
        text = conversation.reply(message)
        if text is None:
            return Response(status=204)
        delivery = platform.delivery(message, text)
        if delivery is None:
            return _json(platform.response(message, text))
        if not _delivered(delivery, settings.secret.encode()):
            once.forget(str(message.id))
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
    """Return the whole body. A body without its length could be cut short without a word, and is refused."""
    if request.content_length is None:
        raise LengthRequired
    return request.get_data(cache=False, parse_form_data=False)


def _delivered(delivery: Delivery, secret: bytes) -> bool:
    """Post a reply; False if it is not taken, also where the body of a good status says so."""
    body = json.dumps(delivery.document).encode()
    headers = {"Content-Type": "application/json", **delivery.headers}
    if delivery.signs:
        headers |= signed(secret, body)
    try:
        response = requests.post(
            delivery.address, data=body, headers=headers, timeout=_TIMEOUT, allow_redirects=False
        )
        taken = response.ok and not response.is_redirect
        told = response.json() if taken and response.content[:1] == b"{" else {}
    except (requests.RequestException, ValueError):
        return False
    return taken and told.get("ok") is not False


def _json(document: Mapping[str, Any]) -> Response:
    return Response(json.dumps(document), content_type="application/json")


def _plain(status: int, words: str) -> Response:
    return Response(words, status, content_type="text/plain; charset=utf-8")
