"""What each client has used in the last minute: requests, and seconds of computing."""

import logging
from threading import Event, RLock, Thread
from time import monotonic, sleep, time
from typing import Any, NamedTuple

WINDOW = 60
"""Seconds over which the use of a client is limited."""

_PAUSE = 0.025
"""Seconds from one exchange with Redis to the next: how far behind the shared counts may be."""
_REFRESH = 0.25
"""Seconds after which the counts of clients that have asked lately are looked up, news or not."""
_LATELY = 5.0
_PATIENCE = 1.0
_PAUSE_AFTER_FAILURE = 2.0
_LONGEST_KEPT = 3 * WINDOW

_log = logging.getLogger(__name__)


class Quota(NamedTuple):
    """What one client may have in a minute; infinite where nothing is limited."""

    requests: float
    seconds: float


class Standing(NamedTuple):
    """What a client has left, and how long to wait where it has used up one of both."""

    requests: float
    seconds: float
    wait: float


class _Use:
    """Requests and seconds in one window: as all processes know them, and what is new in this one."""

    __slots__ = ("new_requests", "new_seconds", "shared_requests", "shared_seconds")

    def __init__(self) -> None:
        self.shared_requests = self.new_requests = 0
        self.shared_seconds = self.new_seconds = 0.0

    @property
    def requests(self) -> int:
        return self.shared_requests + self.new_requests

    @property
    def seconds(self) -> float:
        return self.shared_seconds + self.new_seconds


_NOTHING = _Use()


class Counts:
    """The use of each client over a sliding minute, in this process.

    The minute slides over two windows: what was used in the one before counts by the part of it that is
    still within the last minute. So nobody can use two minutes' worth where one window ends.
    """

    def __init__(self) -> None:
        self._lock = RLock()  # a dropped answer may be collected, and charged, while it is held
        self._window = -1
        self._now: dict[str, _Use] = {}
        self._before: dict[str, _Use] = {}

    def admit(self, client: str, quota: Quota) -> Standing:
        """Count one more request of this client, unless it has used up its quota; what it has left."""
        with self._lock:
            gone = self._moved_on()
            before, now = self._before.get(client, _NOTHING), self._now.get(client, _NOTHING)
            rest = 1.0 - gone / WINDOW
            requests = quota.requests - before.requests * rest - now.requests
            seconds = quota.seconds - before.seconds * rest - now.seconds
            wait = max(
                _wait(before.requests, now.requests, quota.requests - 1, gone) if requests < 1 else 0.0,
                _wait(before.seconds, now.seconds, quota.seconds, gone) if seconds <= 0 else 0.0,
            )
            if wait:
                return Standing(max(requests, 0), max(seconds, 0), wait)
            self._use(client).new_requests += 1
        self._changed(client)
        return Standing(requests - 1, seconds, 0.0)

    def charge(self, client: str, seconds: float) -> None:
        """Add computing to the account of a client."""
        with self._lock:
            self._moved_on()
            self._use(client).new_seconds += seconds
        self._changed(client)

    def _use(self, client: str) -> _Use:
        use = self._now.get(client)
        if use is None:
            use = self._now[client] = _Use()
        return use

    def _moved_on(self) -> float:
        """Start a new window where it is time to; the seconds gone of the running one."""
        moment = time()
        window = int(moment // WINDOW)
        if window != self._window:
            self._before = self._now if window == self._window + 1 else {}
            self._now, self._window = {}, window
        return moment - window * WINDOW

    def _changed(self, client: str) -> None:
        """Notice that a client has used something."""


def _wait(before: float, now: float, most: float, gone: float) -> float:
    """Seconds until at most so much is used, if nothing more is; above zero."""
    if now <= most:
        return max(WINDOW * (1.0 - (most - now) / before) - gone, 1e-3)
    return WINDOW - gone + WINDOW * (1.0 - most / now)


class SharedCounts(Counts):
    """Counts that processes and machines share by way of Redis. No request waits for it.

    Each process counts by itself; a thread of its own adds what is new to the sums in Redis, and takes those
    over. So the counts of others are some hundredths of a second old, and a client that asks several
    processes at once may get as many requests more as it has sent meanwhile. While Redis is gone, hangs, or
    is no Redis, each process goes on by itself.
    """

    def __init__(self, address: str) -> None:
        super().__init__()
        from redis import Redis
        from redis.backoff import NoBackoff
        from redis.retry import Retry

        self._server = Redis.from_url(
            address, socket_timeout=_PATIENCE, socket_connect_timeout=_PATIENCE, retry=Retry(NoBackoff(), 1)
        )
        self._new: set[str] = set()
        self._lately: dict[str, float] = {}
        self._refreshed = 0.0
        self._wake = Event()
        self._thread: Thread | None = None
        self._lost = False

    def _changed(self, client: str) -> None:
        with self._lock:
            self._new.add(client)
            if self._thread is None:
                self._thread = Thread(target=self._exchange_always, name="shared counts", daemon=True)
                self._thread.start()
        if not self._wake.is_set():
            self._wake.set()

    def _exchange_always(self) -> None:
        while True:
            self._wake.wait(_REFRESH if self._lately else None)
            self._wake.clear()
            sleep(_PAUSE if self._exchange() else _PAUSE_AFTER_FAILURE)

    def _exchange(self) -> bool:
        """Add what is new to the shared sums and take those over; whether it could be done."""
        with self._lock:
            window, clients = self._window, self._due()
            uses = [(client, self._use(client)) for client in clients]
            new = [(client, use.new_requests, use.new_seconds) for client, use in uses]
        try:
            sums = self._add(window, new)
        except Exception:  # whatever answers there, or does not: counting must not fail a request
            with self._lock:
                self._new |= clients
            self._wake.set()
            self._report(True, "the shared counts cannot be reached: this process counts for itself")
            return False
        with self._lock:
            for (_, use), (_, requests, seconds), of_all in zip(uses, new, sums, strict=True):
                use.shared_requests, use.shared_seconds = of_all
                use.new_requests -= requests
                use.new_seconds -= seconds
        self._report(False, "the shared counts are back")
        return True

    def _due(self) -> set[str]:
        """The clients to exchange: those with news; from time to time all that have asked lately."""
        moment = monotonic()
        clients, self._new = self._new, set()
        self._lately |= dict.fromkeys(clients, moment)
        if moment - self._refreshed > _REFRESH:
            self._refreshed = moment
            self._lately = {client: seen for client, seen in self._lately.items() if moment - seen < _LATELY}
            clients = {*clients, *self._lately}
        return clients

    def _add(self, window: int, new: list[tuple[str, int, float]]) -> list[tuple[int, float]]:
        with self._server.pipeline(transaction=False) as commands:
            for client, requests, seconds in new:
                key = f"gearing:{window}:{client}"
                commands.hincrby(key, "asked", requests)
                commands.hincrby(key, "microseconds", round(seconds * 1e6))
                commands.expire(key, _LONGEST_KEPT)
            sums: list[Any] = commands.execute()
        return [(int(sums[at]), int(sums[at + 1]) / 1e6) for at in range(0, len(sums), 3)]

    def _report(self, lost: bool, sentence: str) -> None:
        if lost != self._lost:
            self._lost = lost
            _log.warning(sentence)
