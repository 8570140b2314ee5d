"""Chats of the Telegram kind: each update is a request, and the response may call a method."""

from collections.abc import Mapping
from typing import Any

from forum_bot.conversation import Message
from forum_bot.platforms.base import Delivery, Incoming, document, member, text
from forum_bot.settings import Settings
from forum_bot.signing import check_same, secret_of


class Telegram:
    """`FORUM_BOT_SECRET` is the ``secret_token`` that was given when the webhook was set."""

    def __init__(self, settings: Settings) -> None:
        self._token = secret_of(settings.secret).decode()
        self._name = settings.name

    def check(self, request: Incoming) -> None:
        """Compare the token."""
        check_same(self._token, request.headers.get("x-telegram-bot-api-secret-token", ""))

    def read(self, request: Incoming) -> Message | None:
        """Return a message that a person wrote; a command to the bot is addressed to it."""
        sent = document(request.body)
        if member(sent, "message.from.is_bot") is not False or not isinstance(
            member(sent, "message.text"), str
        ):
            return None
        said, addressed = self._without_command(text(sent, "message.text"))
        chat, number = member(sent, "message.chat.id"), member(sent, "message.message_id")
        update, author = member(sent, "update_id"), member(sent, "message.from.id")
        if not all(type(one) is int for one in (chat, number, update, author)):
            raise ValueError("an id is no whole number")
        topic = member(sent, "message.message_thread_id")
        place = {"chat_id": chat, "reply_parameters": {"message_id": number}}
        if type(topic) is int:
            place["message_thread_id"] = topic
        private = member(sent, "message.chat.type") == "private"
        return Message(
            update, str(author), f"{chat} {topic}", said, addressed=addressed or private, place=place
        )

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return the call of the method that sends the reply, as plain text."""
        return {"method": "sendMessage", **message.place, "text": text}

    def delivery(self, message: Message, text: str) -> Delivery | None:
        """Return None: the response is the reply."""
        return None

    def _without_command(self, said: str) -> tuple[str, bool]:
        """Return the text without a command such as ``/gears`` or ``/gears@gearbot``."""
        if not said.startswith("/"):
            return said, False
        command, _, rest = said.partition(" ")
        _, _, name = command.partition("@")
        return rest, not name or name.casefold() == self._name.casefold()
