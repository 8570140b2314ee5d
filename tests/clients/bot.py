"""What the tests of the forum bot share."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from flask import Flask

from forum_bot import Refusal

PACKAGE = Path(__file__).parents[2] / "clients/forum_bot"
DEMO = "going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"

HOSTILE = [
    "@everyone @here <@123> 35s on 4.10s",
    "``` 35s on 4.10s ``` [url=javascript:alert(1)]x[/url] <script>alert(1)</script>",
    "35s on 4.10s\r\nQUIT :bye\r\nPRIVMSG #other :hi",
    "35s on 4.10s \x01ACTION dances\x01 \x02\x03 4,5 \x1b[31m",
    "35s on 4.10s \u202e\u2066 \ud83d\ude99 \udcff",
    "{{7*7}} ${jndi:ldap://x} %s %n $(reboot) `reboot` 35s on 4.10s",
    "**35s** _on_ ~~4.10s~~ | a | b |",
]

Ask = Callable[[str, Mapping[str, object]], Mapping[str, Any]]


def asked_here(app: Flask) -> Ask:
    """The service, asked without a network."""

    def asked(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
        response = app.test_client().post(f"/v1/{question}", json={"units": "us", **fields})
        document: Mapping[str, Any] = response.get_json()
        if response.status_code != 200:
            raise Refusal.of(document)
        return document

    return asked


def refuses(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
    raise AssertionError(f"{question} was asked")
