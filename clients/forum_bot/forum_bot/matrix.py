"""The bot on Matrix: a user with an access token, in the rooms that it was told to join.

It answers with notices and hears no notices, so two bots cannot answer each other in a loop. Encrypted rooms
are not read.
"""

import asyncio
import logging
from typing import Any

from nio import AsyncClient, MatrixRoom, RoomMessageText, SyncError

from forum_bot.conversation import Conversation, Message
from forum_bot.replies import Ask
from forum_bot.settings import Settings

_log = logging.getLogger("forum_bot.matrix")
_PATIENCE = 30_000
_PAUSE = 5.0


class MatrixBot:
    """One user on one server.

    Parameters
    ----------
    settings : Settings
        Server, user, token and rooms.
    ask : callable
        Puts fields to a question of the service.
    """

    def __init__(self, settings: Settings, ask: Ask) -> None:
        if not (settings.matrix_host and settings.matrix_user and settings.matrix_token):
            raise ValueError("set FORUM_BOT_MATRIX_HOST, FORUM_BOT_MATRIX_USER and FORUM_BOT_MATRIX_TOKEN")
        self._rooms = [room.strip() for room in settings.matrix_rooms.split(",") if room.strip()]
        self._client = AsyncClient(settings.matrix_host, settings.matrix_user)
        self._client.access_token = settings.matrix_token
        self._client.user_id = settings.matrix_user
        self._conversation = Conversation(settings, ask)

    async def run(self) -> None:
        """Join the rooms, pass over what was said before, and answer until cancelled."""
        try:
            for room in self._rooms:
                await self._client.join(room)
            while isinstance(await self._client.sync(timeout=0), SyncError):
                _log.warning("the server refuses to synchronise")
                await asyncio.sleep(_PAUSE)
            self._client.add_event_callback(self.heard, RoomMessageText)
            _log.info("listening")
            await self._client.sync_forever(timeout=_PATIENCE)
        finally:
            await self._client.close()

    async def heard(self, room: MatrixRoom, event: RoomMessageText) -> None:
        """Answer a message, in its thread if it is in one."""
        if event.sender == self._client.user_id:
            return
        message = message_of(room.room_id, event, is_direct=room.member_count == 2)
        text = await asyncio.to_thread(self._conversation.reply, message)
        if text is not None:
            content = {"msgtype": "m.notice", "body": text, "m.relates_to": dict(message.place)}
            await self._client.room_send(room.room_id, "m.room.message", content)


def message_of(room: str, event: RoomMessageText, *, is_direct: bool) -> Message:
    """Return the message of an event, with the relation that its reply shall have."""
    relates = event.source.get("content", {}).get("m.relates_to")
    relates = relates if isinstance(relates, dict) else {}
    to_this: dict[str, Any] = {"m.in_reply_to": {"event_id": event.event_id}}
    root = relates.get("event_id") if relates.get("rel_type") == "m.thread" else None
    if isinstance(root, str):
        to_this |= {"rel_type": "m.thread", "event_id": root, "is_falling_back": True}
    return Message(
        event.event_id, event.sender, f"{room} {root or ''}", event.body, addressed=is_direct, place=to_this
    )
