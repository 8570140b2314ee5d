"""Forums that send the webhook event ``post_created``, and take posts at ``/posts.json``."""

from collections.abc import Mapping
from typing import Any

from forum_bot.conversation import Message
from forum_bot.platforms.base import Delivery, Incoming, document, identity, member, text
from forum_bot.settings import Settings
from forum_bot.signing import check_same, digest, secret_of


class Discourse:
    """`FORUM_BOT_REPLY_URL` is the forum's address, `FORUM_BOT_TOKEN` an API key that may write posts."""

    def __init__(self, settings: Settings) -> None:
        self._secret = secret_of(settings.secret)
        self._settings = settings
        if not (settings.reply_url and settings.token):
            raise ValueError(
                "set FORUM_BOT_REPLY_URL to the forum's address and FORUM_BOT_TOKEN to an API key"
            )

    def check(self, request: Incoming) -> None:
        """Check the HMAC of the body; the platform signs no time."""
        given = request.headers.get("x-discourse-event-signature", "")
        check_same("sha256=" + digest(self._secret, request.body), given)

    def read(self, request: Incoming) -> Message | None:
        """Return a new post; its source if that is sent, else its HTML."""
        if request.headers.get("x-discourse-event") != "post_created":
            return None
        sent = document(request.body)
        source = "post.raw" if isinstance(member(sent, "post.raw"), str) else "post.cooked"
        topic, number = member(sent, "post.topic_id"), member(sent, "post.post_number")
        if not (isinstance(topic, int) and isinstance(number, int)):
            raise ValueError("post.topic_id and post.post_number must be whole numbers")
        return Message(
            id=identity(sent, "post.id"),
            author=text(sent, "post.username"),
            thread=str(topic),
            text=text(sent, source),
            place={"topic_id": topic, "reply_to_post_number": number},
        )

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return the new post."""
        return {"raw": text, **message.place}

    def delivery(self, message: Message, text: str) -> Delivery:
        """Return the request that makes the post."""
        headers = {"Api-Key": self._settings.token, "Api-Username": self._settings.name}
        address = f"{self._settings.reply_url.rstrip('/')}/posts.json"
        return Delivery(address, self.response(message, text), headers)
