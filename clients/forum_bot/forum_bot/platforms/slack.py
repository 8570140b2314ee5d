"""Chats of the Slack kind: events (JSON) are answered by a request, slash commands (a form) in the response."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import parse_qs

from forum_bot.conversation import Message
from forum_bot.platforms.base import Delivery, Handshake, Incoming, document, identity, member, text
from forum_bot.settings import Settings
from forum_bot.signing import Unsigned, check_same, check_time, digest, secret_of

_POST = "https://slack.com/api/chat.postMessage"


class Slack:
    """`FORUM_BOT_SECRET` is the signing secret, `FORUM_BOT_TOKEN` the bot's token (for events alone)."""

    def __init__(self, settings: Settings) -> None:
        self._secret = secret_of(settings.secret)
        self._settings = settings

    def check(self, request: Incoming) -> None:
        """Check HMAC and time."""
        moment = request.headers.get("x-slack-request-timestamp", "")
        if not moment.isascii():
            raise Unsigned("the request is not signed")
        expected = "v0=" + digest(self._secret, b"v0:", moment.encode(), b":", request.body)
        check_same(expected, request.headers.get("x-slack-signature", ""))
        check_time(moment)

    def read(self, request: Incoming) -> Message | Handshake | None:
        """Return a command, or a message that somebody wrote."""
        if request.headers.get("content-type", "").startswith("application/x-www-form-urlencoded"):
            return _command(request.body)
        sent = document(request.body)
        if sent.get("type") == "url_verification":
            return Handshake({"challenge": text(sent, "challenge")})
        event = member(sent, "event")
        if member(event, "type") not in ("message", "app_mention") or member(event, "bot_id"):
            return None
        if member(event, "subtype") is not None:
            return None
        thread = member(event, "thread_ts") or text(event, "ts")
        channel = text(event, "channel")
        return Message(
            id=identity(event, "ts"),
            author=text(event, "user"),
            thread=f"{channel} {thread}",
            text=text(event, "text"),
            addressed=event["type"] == "app_mention" or member(event, "channel_type") == "im",
            place={"channel": channel, "thread_ts": str(thread)},
        )

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return the reply to a command."""
        return {"response_type": "in_channel", "text": text}

    def delivery(self, message: Message, text: str) -> Delivery | None:
        """Return the request that posts the reply to an event into its thread."""
        if not message.place:
            return None
        headers = {"Authorization": f"Bearer {self._settings.token}"}
        return Delivery(self._settings.reply_url or _POST, {**message.place, "text": text}, headers)


def _command(body: bytes) -> Message:
    sent = {name: values[-1] for name, values in parse_qs(body.decode("utf-8")).items()}
    trigger = text(sent, "trigger_id")
    return Message(
        trigger, text(sent, "user_id"), text(sent, "channel_id"), sent.get("text", ""), addressed=True
    )
