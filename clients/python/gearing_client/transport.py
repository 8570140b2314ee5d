"""The way to the service: one session, time-outs, retries, and every failure as an exception of ours."""

import json
import logging
import random
import time
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import Any
from urllib.parse import urlsplit

import requests
from urllib3.exceptions import HTTPError, ReadTimeoutError

from gearing_client.errors import (
    ConnectionFailed,
    FieldError,
    InvalidBuild,
    RequestTimeout,
    ServiceProblem,
    UnexpectedAnswer,
)
from gearing_client.version import __version__

PASSING = frozenset({429, 502, 503, 504})
FIRST_WAIT = 0.5
LONGEST_WAIT = 60.0

Timeout = float | tuple[float, float]
OnWait = Callable[[float, str], None]
"""What is called before each wait, with its seconds and the reason."""

log = logging.getLogger("gearing_client")


class Transport:
    """Requests to one service. Every one is a pure computation, so each may safely be sent again."""

    def __init__(
        self,
        base_url: str,
        timeout: Timeout,
        retries: int,
        longest_wait: float = LONGEST_WAIT,
        on_wait: OnWait | None = None,
        session: requests.Session | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> None:
        parts = urlsplit(base_url)
        if parts.scheme not in ("http", "https") or not parts.hostname:
            raise ValueError(f"base_url must be like http://127.0.0.1:8000, not {base_url!r}")
        self.base_url = base_url.rstrip("/")
        self._timeout = timeout
        self._retries = retries
        self._longest_wait = longest_wait
        self._on_wait = on_wait
        self._owns_session = session is None
        self._session = session or requests.Session()
        self._headers = {
            "User-Agent": f"gearing-client/{__version__}",
            "Accept": "application/json",
            **(headers or {}),
        }

    def close(self) -> None:
        """Close the connections, unless the session is the caller's."""
        if self._owns_session:
            self._session.close()

    def get(self, path: str) -> dict[str, Any]:
        """The JSON object at the path."""
        return self._object("GET", path, None)

    def post(self, path: str, body: object) -> dict[str, Any]:
        """The JSON object that answers the body.

        Raises
        ------
        TypeError, ValueError
            If the body cannot be written as JSON.
        """
        return self._object("POST", path, _dumped(body))

    def text(self, method: str, path: str, body: bytes | None, content_type: str = "text/csv") -> str:
        """The answer as text, whatever its format."""
        headers = {"Accept": "*/*"} | ({"Content-Type": content_type} if body is not None else {})
        response = self._lasting(method, self.base_url + path, body, headers)
        if response.status_code >= 400:
            raise _problem(response)
        if response.status_code != 200:
            raise UnexpectedAnswer(f"{response.url} {_said(response)}")
        response.encoding = "utf-8"
        return response.text

    def _object(self, method: str, path: str, body: bytes | None) -> dict[str, Any]:
        headers = {"Content-Type": "application/json"} if body is not None else {}
        response = self._lasting(method, self.base_url + path, body, headers)
        if response.status_code >= 400:
            raise _problem(response)
        told = _json(response)
        if response.status_code != 200 or told is None:
            raise UnexpectedAnswer(f"{response.url} {_said(response)}")
        return told

    def _lasting(
        self, method: str, url: str, body: bytes | None, headers: dict[str, str]
    ) -> requests.Response:
        """The first response that does not pass by itself, or the last; all waits together have a limit."""
        attempt, waited = 0, 0.0
        while True:
            response = self._sent(method, url, body, headers)
            wait = _wait(response, attempt)
            too_long = waited + wait > self._longest_wait
            if response.status_code not in PASSING or attempt >= self._retries or too_long:
                return response
            reason = f"{response.status_code} {response.reason}"
            log.warning("%s: %s, waiting for %.1f s", url, reason, wait)
            if self._on_wait is not None:
                self._on_wait(wait, reason)
            time.sleep(wait)
            waited += wait
            attempt += 1

    def _sent(
        self, method: str, url: str, body: bytes | None, headers: dict[str, str], again: bool = True
    ) -> requests.Response:
        try:
            return self._session.request(
                method,
                url,
                data=body,
                headers={**self._headers, **headers},
                timeout=self._timeout,
                allow_redirects=False,
            )
        except (requests.RequestException, HTTPError) as error:
            if isinstance(error, requests.Timeout) or _stalled(error):
                raise RequestTimeout(f"{url} gave no whole answer in time ({self._timeout} s)") from error
            if again:  # a server may close a connection it kept open just when it is used again
                return self._sent(method, url, body, headers, again=False)
            raise ConnectionFailed(f"{url} cannot be reached: {_first_cause(error)}") from error


def _stalled(error: Exception) -> bool:
    """Whether the answer began, and then did not go on."""
    return any(isinstance(part, ReadTimeoutError) for part in error.args)


def _first_cause(error: BaseException) -> BaseException:
    """What the system said, below the layers that passed it on."""
    cause = error.__cause__ or error.__context__
    return _first_cause(cause) if cause else error


def _dumped(body: object) -> bytes:
    try:
        return json.dumps(body, allow_nan=False, default=_plain).encode()
    except ValueError as error:
        where = _no_number(body)
        raise ValueError(f"{where} is no number: give None where a value is not known") from error


def _no_number(body: object, at: str = "") -> str:
    """Where NaN or infinity stands in a body: the field, and the row within a list."""
    plain = _plain(body) if hasattr(body, "tolist") else body
    if isinstance(plain, float):
        return at if plain != plain or plain in (float("inf"), -float("inf")) else ""
    if isinstance(plain, Mapping):
        parts = (
            (f"{name}" if name == "columns" else f"{at.removeprefix('columns')}{name}", child)
            for name, child in plain.items()
        )
    elif isinstance(plain, list | tuple):
        parts = ((f"{at}, row {row}", child) for row, child in enumerate(plain))
    else:
        return ""
    return next((found for place, child in parts if (found := _no_number(child, place))), "")


def _plain(value: object) -> object:
    """Arrays and series as lists, without need of the packages they come from."""
    if hasattr(value, "tolist"):
        return value.tolist()
    raise TypeError(f"{type(value).__name__} cannot be sent: give a number, text or list")


def _json(response: requests.Response) -> dict[str, Any] | None:
    try:
        told = response.json()
    except (ValueError, RecursionError):
        return None
    return told if isinstance(told, dict) else None


def _said(response: requests.Response) -> str:
    if response.is_redirect:
        return f"sends on to {response.headers['Location']}: give that as base_url"
    kind = response.headers.get("Content-Type", "no type")
    return f"answered {response.status_code} with {kind}, not with JSON of the service"


def _wait(response: requests.Response, attempt: int) -> float:
    asked = _retry_after(response)
    if asked is not None:
        return asked
    return min(FIRST_WAIT * 2.0**attempt, LONGEST_WAIT) * random.uniform(0.5, 1.0)


def _retry_after(response: requests.Response) -> float | None:
    """The seconds that the service asks to wait, given as a number or as a date."""
    text = response.headers.get("Retry-After", "").strip()
    if text.isascii() and text.isdigit():
        return float(text)
    try:
        until = parsedate_to_datetime(text)
    except ValueError:
        return None
    return max(0.0, (until.replace(tzinfo=until.tzinfo or UTC) - datetime.now(UTC)).total_seconds())


def _problem(response: requests.Response) -> InvalidBuild | ServiceProblem:
    told = _json(response) or {}
    title = str(told.get("title") or response.reason or "no reason given")
    detail = str(told.get("detail") or "")
    if response.status_code == 422 and "title" in told:
        return InvalidBuild(detail or title, field_errors(told))
    return ServiceProblem(response.status_code, title, detail, _retry_after(response))


def field_errors(told: Mapping[str, Any]) -> tuple[FieldError, ...]:
    """The errors by field that a document of the service lists."""
    errors = told.get("errors")
    return tuple(
        FieldError(
            pointer=error.get("pointer", ""),
            detail=error.get("detail", ""),
            location=error.get("location", ""),
            got=error.get("got"),
            index=error.get("index"),
        )
        for error in (errors if isinstance(errors, list) else ())
        if isinstance(error, dict)
    )
