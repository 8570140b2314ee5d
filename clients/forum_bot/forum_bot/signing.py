"""Signatures of requests: HMAC-SHA256 over the time and the body, with a secret that both sides keep."""

import hashlib
import hmac
import re
import time
from collections.abc import Callable, Mapping

TIME = "X-Forum-Bot-Time"
SIGNATURE = "X-Forum-Bot-Signature"
SHORTEST_SECRET = 16
WINDOW = 300.0
"""Seconds by which a request's time may be off."""

_TIME = re.compile(r"[0-9]{1,12}")
_MOST_KEPT = 10_000


def signature(secret: bytes, moment: str, body: bytes) -> str:
    """The signature of a body that is sent at a moment, in whole seconds since 1970, as text.

    Examples
    --------
    >>> signature(b"a secret of the two sides", "1700000000", b"{}")
    'v1=5222fbfae2b01a7a10fc153fb80e59cb0b6802372cf26768e05c52d3629aa203'
    """
    return "v1=" + hmac.new(secret, b"v1:" + moment.encode("ascii") + b":" + body, hashlib.sha256).hexdigest()


def signed(secret: bytes, body: bytes, now: Callable[[], float] = time.time) -> dict[str, str]:
    """The headers that sign a body sent now."""
    moment = str(int(now()))
    return {TIME: moment, SIGNATURE: signature(secret, moment, body)}


class Unsigned(Exception):
    """A request that is not signed, not by the other side, not now, or not for the first time."""


class ConcurrencyLimit:
    """Lets every request of the other side through once.

    Parameters
    ----------
    secret : bytes
        What both sides know, at least 16 bytes.
    now : callable
        The time in seconds since 1970.
    """

    def __init__(self, secret: bytes, now: Callable[[], float] = time.time) -> None:
        if len(secret) < SHORTEST_SECRET:
            raise ValueError(f"the secret must have at least {SHORTEST_SECRET} bytes")
        self._secret = secret
        self._now = now
        self._seen: dict[str, float] = {}

    def check(self, headers: Mapping[str, str], body: bytes) -> str:
        """The signature of a request that may pass; it is kept, so that the request passes once.

        Raises
        ------
        Unsigned
            With the reason.
        """
        folded = {name.casefold(): value for name, value in headers.items()}
        moment, given = folded.get(TIME.casefold(), ""), folded.get(SIGNATURE.casefold(), "")
        if not _TIME.fullmatch(moment) or not given.isascii():
            raise Unsigned("the request is not signed")
        expected = signature(self._secret, moment, body)
        if not hmac.compare_digest(expected, given):
            raise Unsigned("the signature is wrong")
        now = self._now()
        if abs(now - int(moment)) > WINDOW:
            raise Unsigned("the request is too old, or a clock is wrong")
        self._forget_old(now)
        if expected in self._seen or len(self._seen) >= _MOST_KEPT:
            raise Unsigned("the request was made before, or there are too many")
        self._seen[expected] = now + 2 * WINDOW
        return expected

    def forget(self, seen: str) -> None:
        """Let the same request pass again, after a failure that was not its own."""
        self._seen.pop(seen, None)

    def _forget_old(self, now: float) -> None:
        for old in [one for one, until in self._seen.items() if until < now]:
            self._seen.pop(old, None)
