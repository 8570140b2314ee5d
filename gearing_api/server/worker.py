"""The process that answers: each request has its time, and all that the server itself says has one shape."""

import socket
import time
from collections import Counter
from contextlib import suppress
from typing import Any, cast

from gunicorn import util
from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine, ParseException
from gunicorn.workers import gthread
from gunicorn.workers.gthread import ThreadWorker

from gearing_api.http.headers import with_security_headers
from gearing_api.http.problems import Problem, as_response

LONGEST_LINE = 8190
MOST_HEADERS = 60

# Seconds for which a thread waits for a connection's first byte, or for the rest of a body that nobody read.
setattr(gthread, "DEFAULT_WORKER_DATA_TIMEOUT", 0.1)  # noqa: B010  # which types-gunicorn calls final

_LONGEST_PARTING = 2.0
_MOST_WAITS = 10
_LONGEST_SILENCE = 0.05
_MOST_AT_ONCE = 65_536


class Worker(ThreadWorker):
    """gunicorn's threaded worker, with a clock for each request and the one shape of errors.

    The time of a request runs from the moment a thread takes its connection to the last byte of its answer: a
    head or a body that drips in, or an answer that is not taken, holds a thread for so long, and no longer.
    Then its connection is shut; the thread sees that and goes on.

    Threads are for requests: a connection that is silent is soon given back to gunicorn to wait without one,
    and new ones are taken while a thread is free, so that those that wait are there for every worker, and
    none is lost with a worker that is killed. Alone the service handles as many slow clients as it has
    threads. A proxy gathers heads and bodies before it asks, so behind one slow clients hold nothing here.

    No name that begins with an underscore is used, and each method goes on working if gunicorn should no
    longer call another: then what it adds is missing, and the tests say so.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._began: dict[Any, float] = {}
        self._busy = 0
        self._waited = Counter[Any]()

    def enqueue_req(self, conn: Any) -> None:
        """Give a connection to a thread; take no new ones while all have work."""
        self._busy += 1
        super().enqueue_req(conn)
        if self._busy >= self.cfg.threads:
            super().set_accept_enabled(False)

    def finish_request(self, conn: Any, fs: Any) -> None:
        """Go on with a connection whose request is done.

        One whose first byte has not come yet is waited for a little longer where the worker stops.
        """
        self._busy -= 1
        silent = not (fs.cancelled() or fs.exception() or isinstance(fs.result(), bool))
        if silent and not self.alive and self._waited[conn] < _MOST_WAITS:
            self._waited[conn] += 1
            self.enqueue_req(conn)
            return
        self._waited.pop(conn, None)
        super().finish_request(conn, fs)

    def set_accept_enabled(self, enabled: bool | None) -> None:
        """Take new connections while a thread is free.

        A worker that stops takes those that wait first, because all of them may stop.
        """
        free = bool(enabled) and self._busy < self.cfg.threads
        super().set_accept_enabled(free)
        if not free and not self.alive:
            while self.sockets:
                self._take_all(self.sockets.pop())

    def _take_all(self, listener: Any) -> None:
        taken = -1
        while taken < self.nr_conns:
            taken = self.nr_conns
            self.accept(listener)
        listener.close()

    def handle(self, conn: Any) -> Any:
        """Handle a request on a connection, and know since when; part from the client if it was the last."""
        self._began[conn] = time.monotonic()
        try:
            kept = super().handle(conn)
            if kept is False:
                _part(conn.sock)
            return kept
        finally:
            self._began.pop(conn, None)

    def notify(self) -> None:
        """Tell the arbiter, about once a second, that this worker lives; end what takes too long."""
        super().notify()
        most = cast(Any, self.app).settings.request_seconds
        for conn, began in [*self._began.items()]:
            if 0 < most < time.monotonic() - began:
                self._began.pop(conn, None)  # its thread may see the end only after the next look
                self.log.warning("A request took more than %s s: its connection is shut.", most)
                with suppress(OSError):
                    conn.sock.shutdown(socket.SHUT_RDWR)

    def handle_error(self, req: Any, client: Any, addr: Any, exc: BaseException) -> None:
        """Tell the client, in the one shape of all errors."""
        problem = _refusal(exc)
        if problem.status == 500:
            self.log.exception("unforeseen error")
        head: list[str] = []

        def start(status: str, headers: list[tuple[str, str]], *_: Any) -> Any:
            lines = [f"HTTP/1.1 {status}", *(f"{name}: {value}" for name, value in headers)]
            head.extend([*lines, "Connection: close", "", ""])

        body = b"".join(with_security_headers(as_response(problem, 0))({"REQUEST_METHOD": "GET"}, start))
        with suppress(OSError):
            util.write_nonblock(client, "\r\n".join(head).encode("latin-1") + body)


def _part(client: socket.socket) -> None:
    """Read what a client still sends, so that the answer reaches it, but do not wait for one that is silent.

    The server would wait two seconds for the client to hang up, and take no other connection meanwhile.
    """
    ends = time.monotonic() + _LONGEST_PARTING
    with suppress(OSError):
        client.shutdown(socket.SHUT_WR)
        client.settimeout(_LONGEST_SILENCE)
        while client.recv(_MOST_AT_ONCE) and time.monotonic() < ends:
            pass
    with suppress(OSError):
        client.shutdown(socket.SHUT_RDWR)


def _refusal(error: BaseException) -> Problem:
    if isinstance(error, LimitRequestLine):
        return Problem(414, f"The request line has more than {LONGEST_LINE} bytes: send the build by POST.")
    if isinstance(error, LimitRequestHeaders):
        return Problem(431, f"There are at most {MOST_HEADERS} headers of at most 8190 bytes each.")
    if isinstance(error, ParseException):
        return Problem(400, "The request is not well-formed HTTP.")
    return Problem(500, "The service made a mistake; the request itself may be fine.")
