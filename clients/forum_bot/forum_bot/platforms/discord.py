"""Chats of the Discord kind: interactions, signed with Ed25519 and answered in the response."""

from collections.abc import Mapping
from typing import Any

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from forum_bot.conversation import Message
from forum_bot.platforms.base import Delivery, Handshake, Incoming, document, identity, member, text
from forum_bot.settings import Settings
from forum_bot.signing import Unsigned, check_time

_PING, _COMMAND = 1, 2
_PONG, _MESSAGE = 1, 4


class Discord:
    """`FORUM_BOT_SECRET` is the application's public key in hexadecimal; the command has one text option."""

    def __init__(self, settings: Settings) -> None:
        try:
            self._key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(settings.secret))
        except ValueError as error:
            raise ValueError("FORUM_BOT_SECRET must be the public key: 64 hexadecimal digits") from error

    def check(self, request: Incoming) -> None:
        """Check signature and time."""
        moment = request.headers.get("x-signature-timestamp", "")
        try:
            given = bytes.fromhex(request.headers.get("x-signature-ed25519", ""))
            self._key.verify(given, moment.encode() + request.body)
        except (InvalidSignature, ValueError) as error:
            raise Unsigned("the signature is wrong") from error
        check_time(moment)

    def read(self, request: Incoming) -> Message | Handshake | None:
        """Return the text of a command."""
        sent = document(request.body)
        if sent.get("type") == _PING:
            return Handshake({"type": _PONG})
        if sent.get("type") != _COMMAND:
            return None
        options = member(sent, "data.options")
        texts = [member(one, "value") for one in options] if isinstance(options, list) else []
        said = next((one for one in texts if isinstance(one, str)), "")
        user = "member.user.id" if member(sent, "member") else "user.id"
        return Message(identity(sent, "id"), text(sent, user), text(sent, "channel_id"), said, addressed=True)

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return the message, which may call nobody."""
        return {"type": _MESSAGE, "data": {"content": text, "allowed_mentions": {"parse": []}}}

    def delivery(self, message: Message, text: str) -> Delivery | None:
        """Return None: the response is the reply."""
        return None
