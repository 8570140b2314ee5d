"""A bot that answers forum and chat sentences about tyres and gears, from a drivability service."""

from forum_bot.replies import reply
from forum_bot.service import Refusal, Service, Silence

__all__ = ["Refusal", "Service", "Silence", "reply"]
