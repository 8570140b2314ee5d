"""Chats of the Mattermost kind: outgoing webhooks and slash commands, answered in the response."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import parse_qs

from forum_bot.conversation import Message
from forum_bot.platforms.base import Delivery, Incoming, document, member, text
from forum_bot.settings import Settings
from forum_bot.signing import check_same, secret_of


class Mattermost:
    """`FORUM_BOT_SECRET` is the webhook's token, which each request carries."""

    def __init__(self, settings: Settings) -> None:
        self._token = secret_of(settings.secret).decode()

    def check(self, request: Incoming) -> None:
        """Compare the token."""
        try:
            given = member(_sent(request), "token")
        except ValueError:
            given = ""
        check_same(self._token, given if isinstance(given, str) else "")

    def read(self, request: Incoming) -> Message:
        """Return the message without its trigger word."""
        sent = _sent(request)
        said, trigger = sent.get("text") or "", sent.get("trigger_word") or ""
        number = member(sent, "post_id") or member(sent, "trigger_id")
        if not isinstance(said, str) or not isinstance(number, str):
            raise ValueError("no text, or neither post_id nor trigger_id")
        said = said.removeprefix(trigger) if isinstance(trigger, str) else said
        return Message(number, text(sent, "user_name"), text(sent, "channel_id"), said, addressed=True)

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return the reply, as a comment to the post where it came from one."""
        kind = "comment" if "trigger_id" not in message.place else "in_channel"
        return {"text": text, "response_type": kind}

    def delivery(self, message: Message, text: str) -> Delivery | None:
        """Return None: the response is the reply."""
        return None


def _sent(request: Incoming) -> Mapping[str, Any]:
    if request.headers.get("content-type", "").startswith("application/json"):
        return document(request.body)
    return {name: values[-1] for name, values in parse_qs(request.body.decode("utf-8")).items()}
