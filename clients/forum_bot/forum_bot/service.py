"""The drivability service, as the bot asks it."""

import json
import re
from collections.abc import Mapping
from typing import Any, Self

import requests

Document = Mapping[str, Any]

_QUESTION = re.compile(r"[a-z]{1,20}(-[a-z]{1,20}){0,3}")
_NEEDED = re.compile(r"([a-z_]{1,40}) is needed for ")
_LONGEST_ANSWER = 1_000_000


class Refusal(Exception):
    """The service refuses the fields; its words are the reason, `needed` the fields that are missing."""

    def __init__(self, detail: str, needed: tuple[str, ...] = ()) -> None:
        super().__init__(detail)
        self.needed = needed

    @classmethod
    def of(cls, document: Document) -> Self:
        """Return the refusal that a problem document tells."""
        errors = document.get("errors")
        found = [one for one in errors if isinstance(one, dict)] if isinstance(errors, list) else []
        needed = [_NEEDED.match(str(one.get("detail", ""))) for one in found]
        return cls(str(document.get("detail", "")), tuple(one[1] for one in needed if one))


class Silence(Exception):
    """There is no answer: the service cannot be reached, or what it says cannot be read."""


class Service:
    """A callable that puts fields to a question of the service and returns the answer's document.

    Parameters
    ----------
    address : str
        Where the service is, such as ``http://127.0.0.1:8000``.
    units : str
        ``us`` or ``metric``, where the fields do not name the units.
    timeout : float
        Seconds to wait for the service to go on.

    Raises
    ------
    Refusal
        When called, if the service refuses the fields.
    Silence
        When called, if there is no answer.
    """

    def __init__(self, address: str, units: str = "us", timeout: float = 10.0) -> None:
        self._address = address.rstrip("/")
        self._units = units
        self._timeout = timeout

    def __call__(self, question: str, fields: Mapping[str, object]) -> Document:
        """The answer to the question."""
        if not _QUESTION.fullmatch(question):
            raise Silence("the service names a question that is none")
        try:
            with requests.post(
                f"{self._address}/v1/{question}",
                json={"units": self._units, **fields},
                timeout=self._timeout,
                allow_redirects=False,
                stream=True,
            ) as response:
                status, document = response.status_code, _document(response)
        except (requests.RequestException, ValueError, RecursionError) as error:
            raise Silence(f"the service did not answer: {type(error).__name__}") from error
        if 400 <= status < 500 and status != 429:
            raise Refusal.of(document)
        if status != 200:
            raise Silence(f"the service answered with status {status}")
        return document


def _document(response: requests.Response) -> Document:
    """The JSON object of the response, which may have so many bytes."""
    body = b""
    for block in response.iter_content(65_536):
        body += block
        if len(body) > _LONGEST_ANSWER:
            raise ValueError("the answer is too long")
    document = json.loads(body)
    if not isinstance(document, dict):
        raise ValueError("the answer is no object")
    return document
