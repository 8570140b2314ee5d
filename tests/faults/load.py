"""A client that asks without pause, checks every byte, and counts what became of each request."""

import http.client
import random
import threading
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from tests.faults.asks import HOST, Ask

PATIENCE = 60.0

ANSWERED = "answered right"
BUSY = "told to come again"
WRONG = "answered wrong"
CUT_SHORT = "cut short"
RESET_FRESH = "reset on a fresh connection"
RESET_KEPT = "reset on a kept connection"
REFUSED = "connection refused"
NO_ANSWER = "no answer in time"


class Connection:
    """Asks over HTTP, on a new connection each time or on one that is kept."""

    def __init__(self, port: int, *, kept: bool) -> None:
        self.kept = kept
        self._connection = http.client.HTTPConnection("127.0.0.1", port, PATIENCE)

    def ask(self, ask: Ask) -> str:
        """What became of the request."""
        fresh = self._connection.sock is None
        begun = False
        try:
            if fresh:
                self._connection.connect()
            self._connection.request(ask.method, ask.path, ask.body, self._headers(ask))
            with self._connection.getresponse() as response:
                begun = True
                body = response.read()
            return judged(ask, response.status, body, response.getheader("Retry-After"))
        except ConnectionRefusedError:
            return REFUSED
        except TimeoutError:
            self.close()
            return NO_ANSWER
        except (OSError, http.client.HTTPException):
            self.close()
            return CUT_SHORT if begun else RESET_FRESH if fresh else RESET_KEPT
        finally:
            if not self.kept:
                self.close()

    def _headers(self, ask: Ask) -> dict[str, str]:
        return {"Host": HOST} | ask.headers | ({} if self.kept else {"Connection": "close"})

    def close(self) -> None:
        """Hang up."""
        self._connection.close()


def judged(ask: Ask, status: int, body: bytes, retry_after: str | None) -> str:
    """Whether an answer is the right one, to the last byte."""
    if (status, body) == (ask.status, ask.answer):
        return ANSWERED
    return BUSY if status == 503 and ask.heavy and retry_after else WRONG


@dataclass
class Load:
    """What became of the requests so far."""

    counts: Counter[str] = field(default_factory=Counter)
    answered_by_kind: Counter[str] = field(default_factory=Counter)
    failures: list[str] = field(default_factory=list)
    longest: float = 0.0
    last_failure: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _ended: threading.Event = field(default_factory=threading.Event)

    def count(self, ask: Ask, became: str, seconds: float) -> None:
        """One request more."""
        with self._lock:
            self.counts[became] += 1
            self.longest = max(self.longest, seconds)
            if became == ANSWERED:
                self.answered_by_kind[ask.kind] += 1
                return
            if became == BUSY:
                return
            self.last_failure = self.counts.total()
            if became != REFUSED and len(self.failures) < 20:
                self.failures.append(f"{became}: {ask.method} {ask.path[:60]} after {seconds:.3f} s")

    def wait_for(self, more: int) -> None:
        """Until so many more are answered."""
        enough, ends = self.counts[ANSWERED] + more, time.monotonic() + PATIENCE
        while self.counts[ANSWERED] < enough:
            assert time.monotonic() < ends, self.told()
            time.sleep(0.02)

    @property
    def failed(self) -> dict[str, int]:
        """All that was neither answered right nor told to come again."""
        return {name: count for name, count in self.counts.items() if name not in (ANSWERED, BUSY)}

    def told(self) -> str:
        """The figures, to be read."""
        counts = ", ".join(f"{count} {name}" for name, count in self.counts.most_common())
        kinds = ", ".join(f"{count} {name}" for name, count in self.answered_by_kind.most_common())
        return "\n  ".join([f"{counts}; longest {self.longest:.2f} s", kinds, *self.failures])

    def ask_until_ended(self, connection: Connection, asks: Sequence[Ask], seed: int) -> None:
        """One thread's work: all of them in an order of its own, again and again, until it is refused."""
        order = random.Random(seed)
        while not self._ended.is_set():
            for ask in order.sample(asks, len(asks)):
                began = time.monotonic()
                became = connection.ask(ask)
                self.count(ask, became, time.monotonic() - began)
                if became == REFUSED:
                    time.sleep(0.05)
                if self._ended.is_set():
                    break
        connection.close()

    def end(self) -> None:
        """No further request."""
        self._ended.set()


@contextmanager
def loaded(
    port: int, asks: Sequence[Ask], threads: int = 8, client: type[Connection] = Connection
) -> Iterator[Load]:
    """A service under load: half of the threads keep their connections, half make new ones.

    The counts are complete after the block.
    """
    load = Load()
    asking = [
        threading.Thread(target=load.ask_until_ended, args=(client(port, kept=place % 2 == 0), asks, place))
        for place in range(threads)
    ]
    for thread in asking:
        thread.start()
    try:
        yield load
    finally:
        load.end()
        for thread in asking:
            thread.join()
