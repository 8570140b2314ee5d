"""The kinds of forum and chat that send messages by webhook, one small module each."""

from collections.abc import Callable
from importlib import import_module

from forum_bot.platforms.base import Platform
from forum_bot.settings import Settings

KINDS = {
    "generic": "Generic",
    "discourse": "Discourse",
    "slack": "Slack",
    "discord": "Discord",
    "mattermost": "Mattermost",
    "telegram": "Telegram",
}
"""The class of each kind; its module has the kind's name and is imported when used."""


def platform(kind: str, settings: Settings) -> Platform:
    """Return the platform of a kind. Raises `ValueError` if the settings do not suffice."""
    make: Callable[[Settings], Platform] = getattr(import_module(f"forum_bot.platforms.{kind}"), KINDS[kind])
    return make(settings)
