"""Check that a request comes from the other side, now, and for the first time."""

import hashlib
import hmac
import re
import threading
import time
from collections.abc import Callable

TIME = "X-Forum-Bot-Time"
SIGNATURE = "X-Forum-Bot-Signature"
SHORTEST_SECRET = 16
WINDOW = 300.0
"""Seconds by which a request's time may be off."""

_TIME = re.compile(r"[0-9]{1,12}")
_MOST_KEPT = 10_000


class Unsigned(Exception):
    """A request that is not signed, not by the other side, or not now."""


def digest(secret: bytes, *parts: bytes) -> str:
    """Return the HMAC-SHA256 of the parts in hexadecimal."""
    return hmac.new(secret, b"".join(parts), hashlib.sha256).hexdigest()


def signature(secret: bytes, moment: str, body: bytes) -> str:
    """Return the signature of a body that is sent at a moment, in whole seconds since 1970, as text.

    Examples
    --------
    >>> signature(b"a secret of the two sides", "1700000000", b"{}")
    'v1=5222fbfae2b01a7a10fc153fb80e59cb0b6802372cf26768e05c52d3629aa203'
    """
    return "v1=" + digest(secret, b"v1:", moment.encode("ascii"), b":", body)


def signed(secret: bytes, body: bytes, now: Callable[[], float] = time.time) -> dict[str, str]:
    """Return the headers that sign a body sent now."""
    moment = str(int(now()))
    return {TIME: moment, SIGNATURE: signature(secret, moment, body)}


def check_same(expected: str, given: str) -> None:
    """Compare a signature or a token, in a time that does not depend on where they differ.

    Raises
    ------
    Unsigned
        If they differ.
    """
    if not given.isascii() or not hmac.compare_digest(expected, given):
        raise Unsigned("the signature is wrong")


def check_time(moment: str, now: Callable[[], float] = time.time) -> None:
    """Check that a time in whole seconds since 1970 is now.

    Raises
    ------
    Unsigned
        If it is no time, or more than `WINDOW` off.
    """
    if not _TIME.fullmatch(moment):
        raise Unsigned("the request is not signed")
    if abs(now() - int(moment)) > WINDOW:
        raise Unsigned("the request is too old, or a clock is wrong")


def secret_of(text: str) -> bytes:
    """Return a shared secret as bytes.

    Raises
    ------
    ValueError
        If it is too short.
    """
    if len(text.encode()) < SHORTEST_SECRET:
        raise ValueError(f"the secret must have at least {SHORTEST_SECRET} bytes")
    return text.encode()


class Once:
    """Lets each request through once, by what marks it, for twice the time in which it is valid."""

    def __init__(self, now: Callable[[], float] = time.time) -> None:
        self._now = now
        self._seen: dict[str, float] = {}
        self._lock = threading.Lock()

    def is_first(self, mark: str) -> bool:
        """Return whether this request has not passed before; False too if there are too many to remember."""
        now = self._now()
        with self._lock:
            for old in [one for one, until in self._seen.items() if until < now]:
                del self._seen[old]
            if mark in self._seen or len(self._seen) >= _MOST_KEPT:
                return False
            self._seen[mark] = now + 2 * WINDOW
            return True

    def forget(self, mark: str) -> None:
        """Let the same request pass again, after a failure that was not its own."""
        with self._lock:
            self._seen.pop(mark, None)
