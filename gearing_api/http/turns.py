"""Who may work now: the requests of one client take turns, and heavy work has so many places."""

import fcntl
import os
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from threading import Condition, Lock, RLock
from time import monotonic, sleep
from zlib import crc32

from gearing_api.http.problems import Problem

_BUSY_SECONDS = 2
_GLANCE = 0.002
"""Seconds after which a process looks again whether the processor is free for a client."""
_PATIENCE = 0.25
"""Seconds for which one request too many waits: light ones that come at once are done by then."""


class _Line:
    """The requests of one client in this process: how many there are, and those that wait for their turn."""

    __slots__ = ("busy", "present", "waiting")

    def __init__(self) -> None:
        self.present = 0
        self.busy = False
        self.waiting: deque[Lock] = deque()


def open_shared(path: str) -> int:
    """Open the file in which processes take turns, made if there is none.

    Raises
    ------
    OSError
        If it cannot be opened.
    """
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_NOFOLLOW, 0o600)


class OneProcessor:
    """Lets one process of the service at a time work for a client, so that the others are there for others.

    The processes lock bytes of a file that they share: two for each client. Whoever has the first is the
    next to have the second. The locks of a process that ends are gone with it.
    """

    def __init__(self, shared: str) -> None:
        self._file = open_shared(shared)

    def take(self, client: str, ends: float) -> bool:
        """Wait for the processor until a moment of the monotonic clock; whether it came."""
        next_one = 2 * crc32(client.encode())
        if not self._locked(next_one, ends):
            return False
        try:
            return self._locked(next_one + 1, ends)
        finally:
            self._unlock(next_one)

    def give(self, client: str) -> None:
        """Let another process work for this client."""
        self._unlock(2 * crc32(client.encode()) + 1)

    def _locked(self, byte: int, ends: float) -> bool:
        while not self._lock(byte):
            if monotonic() > ends:
                return False
            sleep(_GLANCE)
        return True

    def _lock(self, byte: int) -> bool:
        """Whether no other process has it. Where files cannot be locked nobody waits."""
        try:
            fcntl.lockf(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, byte)
        except (BlockingIOError, PermissionError):
            return False
        except OSError:
            return True
        return True

    def _unlock(self, byte: int) -> None:
        with suppress(OSError):
            fcntl.lockf(self._file, fcntl.LOCK_UN, 1, byte)


class Turns:
    """Lets the requests of each client compute one after the other, first come, first served.

    Python runs one thread of a process at a time: eight threads of one client would leave a light request of
    another a ninth of the time, and one leaves it half.
    """

    def __init__(self, most: int, shared: str = "") -> None:
        self._most = most
        self.processor = OneProcessor(shared) if shared else None
        # An answer that is dropped may be collected, and leave, while its own thread holds the lock.
        self._lock = RLock()
        self._left = Condition(self._lock)
        self._lines: dict[str, _Line] = {}

    def enter(self, client: str) -> "Turn":
        """Take one more request of this client on.

        Raises
        ------
        Problem
            429 if there are too many of it in this process already.
        """
        with self._lock:
            line = self._lines.get(client)
            if line is None:
                line = _Line()
            if self._most and not (line.present < self._most or self._place_in(line)):
                detail = f"This address has {self._most} requests in work in this process already."
                raise Problem(429, detail, retry_after=_BUSY_SECONDS)
            line.present += 1
            self._lines[client] = line  # which may have been left while this one waited
        return Turn(self, client, line)

    def _place_in(self, line: _Line) -> bool:
        """Wait until one of them is done; whether it is in time."""
        return self._left.wait_for(lambda: line.present < self._most, _PATIENCE)

    def leave(self, client: str, line: _Line) -> None:
        """One request of this client is done."""
        with self._lock:
            line.present -= 1
            if not line.present and self._lines.get(client) is line:
                del self._lines[client]
            if self._most and line.present == self._most - 1:
                self._left.notify_all()

    def take(self, line: _Line, patience: float) -> bool:
        """Wait for the turn; whether it came in so many seconds."""
        with self._lock:
            if not line.busy:
                line.busy = True
                return True
            mine = Lock()
            mine.acquire()
            line.waiting.append(mine)
        if mine.acquire(timeout=max(patience, 0.0)):
            return True
        with self._lock:
            if mine in line.waiting:
                line.waiting.remove(mine)
                return False
        return True  # it came in the last moment

    def give(self, line: _Line) -> None:
        """Let the next of this client work."""
        with self._lock:
            if line.waiting:
                line.waiting.popleft().release()
            else:
                line.busy = False


class Turn:
    """One request's place in the line of its client."""

    __slots__ = ("_client", "_line", "_processor", "_turns", "held")

    def __init__(self, turns: Turns, client: str, line: _Line) -> None:
        self._turns, self._client, self._line = turns, client, line
        self._processor: OneProcessor | None = None
        self.held = False

    def take(self, ends: float, alone: bool = False) -> bool:
        """Wait for the turn until a moment of the monotonic clock; whether it came.

        `alone`, no other process of the service works for this client meanwhile.
        """
        if not self.held:
            self.held = self._turns.take(self._line, min(ends - monotonic(), 1e6))
        processor = self._turns.processor
        if self.held and alone and processor and not self._processor:
            if processor.take(self._client, ends):
                self._processor = processor
            else:
                self.give()
        return self.held

    def give(self) -> None:
        """Let others of the client work, if it is this one's turn."""
        if self._processor:
            self._processor.give(self._client)
            self._processor = None
        if self.held:
            self.held = False
            self._turns.give(self._line)

    def pass_on(self, ends: float, alone: bool = False) -> bool:
        """Let those who wait work first; whether the turn came back."""
        if not self.held:
            return True
        if self._line.waiting or self._processor:
            self.give()
        return self.take(ends, alone)

    def leave(self) -> None:
        """The request is done."""
        self.give()
        self._turns.leave(self._client, self._line)


class ConcurrencyLimit:
    """Lets so many through at once, half of them of one client; one more is asked to come again."""

    def __init__(self, most: int, what: str) -> None:
        self._most, self._what = most, what
        self._each = -(-most // 2)
        self._lock = RLock()
        self._held: dict[str, int] = {}

    def enter(self, client: str) -> Callable[[], None]:
        """Take a place; return what gives it back, once however often it is called.

        Raises
        ------
        Problem
            503 if there is none, or the client has half of them.
        """
        if not self._most:
            return lambda: None
        with self._lock:
            own = self._held.get(client, 0)
            if own >= self._each or sum(self._held.values()) >= self._most:
                who = f"This address has {own}" if own >= self._each else f"This process has {self._most}"
                raise Problem(503, f"{who} {self._what} in work already.", retry_after=_BUSY_SECONDS)
            self._held[client] = own + 1
        taken = [client]

        def leave() -> None:
            with self._lock:
                if taken:
                    taken.clear()
                    self._held[client] -= 1
                    if not self._held[client]:
                        del self._held[client]

        return leave
