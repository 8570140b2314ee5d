"""A bot that answers forum and chat sentences about tyres and gears, from a drivability service."""

from forum_bot.conversation import Conversation, Message
from forum_bot.replies import reply
from forum_bot.service import Refusal, Service, Silence
from forum_bot.settings import Settings

__all__ = ["Conversation", "Message", "Refusal", "Service", "Settings", "Silence", "reply"]
