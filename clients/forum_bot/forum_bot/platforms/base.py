"""What each kind of forum or chat must be able to do, and helpers to read what it sends."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from forum_bot.conversation import Message

LONGEST_ID = 200


@dataclass(frozen=True)
class Incoming:
    """A request: headers with their names in lower case, and the body as it was sent."""

    headers: Mapping[str, str]
    body: bytes


@dataclass(frozen=True)
class Handshake:
    """A request that the platform makes to try the address: what must be answered at once."""

    answer: Mapping[str, Any]


@dataclass(frozen=True)
class Delivery:
    """A request by which the bot posts its reply."""

    address: str
    document: Mapping[str, Any]
    headers: Mapping[str, str] = field(default_factory=dict)
    signs: bool = False


class Platform(Protocol):
    """One kind of forum or chat that sends each message as a request."""

    def check(self, request: Incoming) -> None:
        """Check the signature. Raises `Unsigned`."""

    def read(self, request: Incoming) -> Message | Handshake | None:
        """Return the message; None if the request is about something else. Raises `ValueError` if it is none."""

    def response(self, message: Message, text: str) -> Mapping[str, Any]:
        """Return the reply as the response to the request."""

    def delivery(self, message: Message, text: str) -> Delivery | None:
        """Return the request that posts the reply; None if it is the response."""


def document(body: bytes) -> Mapping[str, Any]:
    """Return the JSON object of a body. Raises `ValueError`."""
    try:
        found = json.loads(body)
    except RecursionError as error:
        raise ValueError("nested too deeply") from error
    if not isinstance(found, dict):
        raise ValueError("no JSON object")
    return found


def member(found: object, path: str) -> Any:
    """Return what stands at a path of names, such as ``post.user.name``; None if there is nothing."""
    for name in path.split("."):
        found = found.get(name) if isinstance(found, dict) else None
    return found


def text(found: object, path: str) -> str:
    """Return the text at a path. Raises `ValueError` if there is none."""
    value = member(found, path)
    if not isinstance(value, str):
        raise ValueError(f"{path} is no text")
    return value


def identity(found: object, path: str) -> str | int:
    """Return the id at a path: text or a whole number. Raises `ValueError` if there is none."""
    value = member(found, path)
    if type(value) not in (int, str) or len(str(value)) > LONGEST_ID:
        raise ValueError(f"{path} is no id")
    return value  # type: ignore[no-any-return]
