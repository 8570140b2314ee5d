"""How much of the service one client may have: requests in a minute, and heavy work at once."""

import logging
from collections.abc import Callable
from threading import BoundedSemaphore, Lock
from time import monotonic, time
from typing import Protocol

from flask import Flask, Response, g, request

from gearing_api.http.problems import Problem
from gearing_api.settings import Settings

UNCOUNTED = frozenset({"/healthz", "/readyz", "/metrics"})
_FREE_METHODS = frozenset({"HEAD", "OPTIONS"})
_WINDOW = 60
_PATIENCE = 0.2
_PAUSE = 5.0
_BUSY_SECONDS = 2

_log = logging.getLogger(__name__)


class Counts(Protocol):
    """Where the requests of clients are counted."""

    def add(self, window: int, client: str) -> int:
        """Count one more of this client in this window; how many there are."""


class InMemory:
    """The counts of the running minute, in this process."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._window = 0
        self._counts: dict[str, int] = {}

    def add(self, window: int, client: str) -> int:
        """Count one more of this client in this window; how many there are."""
        with self._lock:
            if window != self._window:
                self._window, self._counts = window, {}
            count = self._counts[client] = self._counts.get(client, 0) + 1
            return count


class InRedis:
    """Counts that processes and machines share. While Redis is gone each process counts for itself."""

    def __init__(self, address: str) -> None:
        from redis import Redis, RedisError
        from redis.backoff import NoBackoff
        from redis.retry import Retry

        self._server = Redis.from_url(
            address, socket_timeout=_PATIENCE, socket_connect_timeout=_PATIENCE, retry=Retry(NoBackoff(), 1)
        )
        self._gone: type[Exception] = RedisError
        self._alone = InMemory()
        self._tried_again = 0.0
        self._lost = False

    def add(self, window: int, client: str) -> int:
        """Count one more of this client in this window; how many there are."""
        alone = self._alone.add(window, client)
        if monotonic() < self._tried_again:
            return alone
        try:
            count = self._shared(window, client)
        except self._gone:
            self._tried_again = monotonic() + _PAUSE
            self._tell(True, "the shared counts cannot be reached: this process counts for itself")
            return alone
        self._tell(False, "the shared counts are back")
        return count

    def _shared(self, window: int, client: str) -> int:
        key = f"gearing:{window}:{client}"
        with self._server.pipeline(transaction=False) as commands:
            commands.incr(key)
            commands.expire(key, 2 * _WINDOW)
            count, _ = commands.execute()
        return int(count)

    def _tell(self, lost: bool, sentence: str) -> None:
        if lost != self._lost:
            self._lost = lost
            _log.warning(sentence)


def limit_rate(app: Flask, settings: Settings) -> None:
    """Let each client ask so many times in a minute, and tell it how many are left.

    HEAD and OPTIONS are free, as are the probes of those who run the service.
    """
    quota = settings.requests_per_minute
    if not quota:
        return
    counts: Counts = InRedis(settings.rate_storage) if settings.rate_storage else InMemory()
    policy = f'"default";q={quota};w={_WINDOW}'

    @app.before_request
    def count() -> None:
        environ = request.environ
        if environ["REQUEST_METHOD"] in _FREE_METHODS or environ["PATH_INFO"] in UNCOUNTED:
            return
        window, gone = divmod(int(time()), _WINDOW)
        asked = counts.add(window, client(environ.get("REMOTE_ADDR", "")))
        g.rate = f'"default";r={max(quota - asked, 0)};t={_WINDOW - gone}'
        if asked > quota:
            detail = f"This address has asked {quota} times in this minute, which is what one may."
            raise Problem(429, detail, retry_after=_WINDOW - gone)

    @app.after_request
    def tell(response: Response) -> Response:
        if "rate" in g:
            response.headers.add("RateLimit-Policy", policy)
            response.headers.add("RateLimit", g.rate)
        return response


def client(address: str) -> str:
    """Who counts as one: an IPv4 address, or the 64 bits that a network of IPv6 has."""
    if ":" not in address:
        return address
    from ipaddress import IPv6Address

    try:
        known = IPv6Address(address)
    except ValueError:
        return address
    return str(known.ipv4_mapped or IPv6Address(int(known) >> 64 << 64))


class ConcurrencyLimit:
    """Lets so many through at once; one more is asked to come again."""

    def __init__(self, most: int, what: str) -> None:
        self._places = BoundedSemaphore(most) if most else None
        self._refusal = f"This process has {most} {what} in work already."

    def enter(self) -> Callable[[], None]:
        """Take a place; what gives it back, once however often it is called.

        Raises
        ------
        Problem
            503 if there is none.
        """
        if self._places is None:
            return lambda: None
        if not self._places.acquire(blocking=False):
            raise Problem(503, self._refusal, retry_after=_BUSY_SECONDS)
        held = [self._places]

        def leave() -> None:
            if held:
                held.pop().release()

        return leave
