"""What the bot is told by ``FORUM_BOT_*`` environment variables."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Self


@dataclass(frozen=True)
class Settings:
    """The bot's settings; the variable of each is its name in capitals after ``FORUM_BOT_``.

    Attributes
    ----------
    service, units : str
        Address of the drivability service, and the units of its answers, us or metric.
    name : str
        The bot's own name: what it writes itself is never answered. Its nick on IRC.
    trigger : str
        What a message must begin with to be answered. Empty: every message.
    secret, token, reply_url, members : str
        Of the webhook: the secret of the signatures, what allows the bot to post, where it posts, and where
        the members of a generic message stand.
    matrix_host, matrix_user, matrix_token, matrix_rooms : str
        Of Matrix: the server, the bot's user and its access token, and the rooms it may answer in,
        comma-separated; empty: every room it is in.
    irc_host, irc_port, irc_tls, irc_password, irc_channels
        Of IRC: the server, and the channels to join, comma-separated.
    """

    service: str = "http://127.0.0.1:8000"
    units: str = "us"
    name: str = "gearbot"
    trigger: str = "!gears"
    secret: str = ""
    token: str = ""
    reply_url: str = ""
    members: str = ""
    matrix_host: str = ""
    matrix_user: str = ""
    matrix_token: str = ""
    matrix_rooms: str = ""
    irc_host: str = "127.0.0.1"
    irc_port: int = 6667
    irc_tls: bool = False
    irc_password: str = ""
    irc_channels: str = ""

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> Self:
        """The defaults, changed by the environment.

        Raises
        ------
        ValueError
            If a variable cannot be read. Names it, not its value.
        """
        told: dict[str, str | int | bool] = {}
        for field in fields(cls):
            variable = f"FORUM_BOT_{field.name.upper()}"
            text = environment.get(variable)
            if text is None:
                continue
            if field.type is int and not (text.isascii() and text.isdigit()):
                raise ValueError(f"{variable} must be a whole number")
            if field.type is bool and text not in ("0", "1"):
                raise ValueError(f"{variable} must be 0 or 1")
            told[field.name] = int(text) if field.type is int else text == "1" if field.type is bool else text
        return cls(**told)  # type: ignore[arg-type]  # each was read by the type of its field


def sentence(text: str, trigger: str) -> str | None:
    """What is said to the bot: the text behind the trigger, None where it is not there."""
    said = text.strip()
    if said[: len(trigger)].casefold() != trigger.casefold():
        return None
    rest = said[len(trigger) :]
    apart = not trigger or not rest or rest[0].isspace() or rest[0] in ":,"
    return rest.lstrip(" :,\t\r\n") if apart else None
