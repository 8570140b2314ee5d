"""The drivability service, as the tools ask it."""

import json
import re
from collections.abc import Mapping
from typing import Any

import requests

Document = Mapping[str, Any]
_LONGEST_ANSWER = 4_000_000
_QUESTION = re.compile(r"[a-z]{1,20}(-[a-z]{1,20}){0,3}")


class Refusal(Exception):
    """The service gives no answer; the text says why, and what to do, in a sentence."""


class Service:
    """Puts fields to an address of the service and returns the answer's document.

    Parameters
    ----------
    address : str
        Where the service is, such as ``http://127.0.0.1:8000``.
    timeout : float
        Seconds to wait for the service to go on.
    """

    def __init__(self, address: str, timeout: float = 30.0) -> None:
        self._address = address.rstrip("/")
        self._timeout = timeout

    def ask(self, question: str, fields: Mapping[str, object]) -> Document:
        """Return the answer to a question. Raises `Refusal`."""
        if not _QUESTION.fullmatch(question):
            raise Refusal(f"There is no question {question[:40]!r}: see the list of questions.")
        return self._requested("POST", f"/v1/{question}", json=dict(fields))

    def table(self, name: str, **query: str) -> Document:
        """Return a table of the service. Raises `Refusal`."""
        return self._requested("GET", f"/v1/tables/{name}", params=query)

    def _requested(self, method: str, path: str, **more: Any) -> Document:
        try:
            with requests.request(
                method,
                self._address + path,
                timeout=self._timeout,
                allow_redirects=False,
                stream=True,
                **more,
            ) as response:
                body = response.raw.read(_LONGEST_ANSWER + 1, decode_content=True)
                if len(body) > _LONGEST_ANSWER:
                    raise Refusal("The answer is too long: ask for fewer combinations or results.")
                document = _document(body)
        except requests.RequestException as error:
            raise Refusal(
                f"The drivability service at {self._address} cannot be reached: start it with gearing-api serve."
            ) from error
        if response.status_code == 429:
            raise Refusal(f"Too many requests: wait {response.headers.get('Retry-After', 'some')} seconds.")
        if response.status_code != 200 or document is None:
            raise Refusal(_reason(document, response.status_code))
        return document


def _document(body: bytes) -> Document | None:
    try:
        found = json.loads(body)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def _reason(document: Document | None, status: int) -> str:
    """Return what a problem document says; each field with what may be sent instead."""
    detail = document.get("detail") if document else None
    if not isinstance(detail, str):
        return f"The address answers with status {status} and is no drivability service."
    errors = document.get("errors") if document else None
    use = [one["use"] for one in errors if isinstance(one, dict) and one.get("use")] if errors else []
    return detail.rstrip(".") + (f". Send instead: {'; '.join(map(str, use))}." if use else ".")
