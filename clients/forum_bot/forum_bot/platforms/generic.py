"""Any forum software that can post JSON and sign it: where the members stand is a setting."""

from collections.abc import Mapping
from typing import Any

from forum_bot.conversation import Message
from forum_bot.platforms.base import Delivery, Incoming, document, identity, member, text
from forum_bot.settings import Settings
from forum_bot.signing import SIGNATURE, TIME, Unsigned, check_same, check_time, secret_of, signature

MEMBERS = ("id", "author", "text", "thread")


class Generic:
    """Reads ``{"id", "author", "text", "thread"}``, or what `FORUM_BOT_MEMBERS` names instead."""

    def __init__(self, settings: Settings) -> None:
        self._secret = secret_of(settings.secret)
        self._reply_url = settings.reply_url
        self._paths = {name: name for name in MEMBERS} | _paths(settings.members)

    def check(self, request: Incoming) -> None:
        """Check signature and time, see the README."""
        moment, given = (request.headers.get(name.casefold(), "") for name in (TIME, SIGNATURE))
        if not moment.isascii() or not moment or not given:
            raise Unsigned("the request is not signed")
        check_same(signature(self._secret, moment, request.body), given)
        check_time(moment)

    def read(self, request: Incoming) -> Message:
        """Return the message; without a thread all of an author's messages are one."""
        sent = document(request.body)
        thread = member(sent, self._paths["thread"])
        return Message(
            id=identity(sent, self._paths["id"]),
            author=str(identity(sent, self._paths["author"])),
            thread=str(thread)[:200] if isinstance(thread, str | int) else "",
            text=text(sent, self._paths["text"]),
        )

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return id and text."""
        return {"id": message.id, "text": text}

    def delivery(self, message: Message, text: str) -> Delivery | None:
        """Return the request to the reply address, signed, if there is one."""
        if not self._reply_url:
            return None
        return Delivery(self._reply_url, self.response(message, text), signs=True)


def _paths(told: str) -> dict[str, str]:
    """Return where members stand, from ``author=post.user,text=post.body``. Raises `ValueError`."""
    pairs = [pair.partition("=") for pair in told.split(",") if pair.strip()]
    paths = {name.strip(): path.strip() for name, _, path in pairs}
    if not paths.keys() <= set(MEMBERS) or not all(paths.values()):
        raise ValueError(f"FORUM_BOT_MEMBERS must be name=path pairs, names of {', '.join(MEMBERS)}")
    return paths
