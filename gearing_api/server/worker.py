"""The process that answers: no client holds it up for long, and all it says has the one shape."""

import selectors
import socket
import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import Any, cast

from gunicorn import util
from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine, ParseException
from gunicorn.workers.gthread import ThreadWorker

from gearing_api.http.headers import with_security_headers
from gearing_api.http.problems import Problem, as_response

LONGEST_LINE = 8190
MOST_HEADERS = 60
_MOST_AT_ONCE = 65_536


class Worker(ThreadWorker):
    """A worker that no client holds up for long, and whose own refusals are problem documents.

    Threads are for requests: new connections are taken while one is free; those that are silent, and those
    that are done, wait without one. The time of a request runs from its first byte to the last of its answer:
    a head or a body that drips in, or an answer that is not taken, holds one of few threads. Its connection
    is shut; the thread sees that and goes on.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self._began: dict[Any, float] = {}
        self._busy = 0

    def enqueue_req(self, conn: Any) -> None:
        """Give a connection to a thread, a new one when its first byte has come: a silent one holds none."""
        conn.data_ready = conn.data_ready or conn.initialized or _has_sent(conn.sock)
        if not conn.data_ready:
            conn.sock.setblocking(False)
            self._await(conn, self.on_pending_socket_readable)
            return
        self._busy += 1
        super().enqueue_req(conn)
        if self._busy >= self.cfg.threads:
            super().set_accept_enabled(False)

    def _await(self, conn: Any, readable: Callable[[Any, Any], None]) -> None:
        """Wait for a client without a thread, as long as for the next request of one that is known."""
        self.poller.register(conn.sock, selectors.EVENT_READ, partial(readable, conn))
        conn.timeout = time.monotonic() + self.cfg.keepalive
        self.pending_conns.append(conn)

    def handle(self, conn: Any) -> Any:
        """Handle a request on a connection, and know since when."""
        self._began[conn] = time.monotonic()
        try:
            return super().handle(conn)
        finally:
            del self._began[conn]

    def finish_request(self, conn: Any, fs: Any) -> None:
        """Go on with a connection whose request is done, or part from it without waiting for the client."""
        self._busy -= 1
        if fs.cancelled() or fs.exception() or fs.result() is not False:
            super().finish_request(conn, fs)
            return
        try:
            conn.sock.setblocking(False)
            conn.sock.shutdown(socket.SHUT_WR)
            self._await(conn, self._part)
        except (OSError, ValueError):  # gone already
            self._close(conn)

    def _part(self, conn: Any, client: Any) -> None:
        """Read what a client still sends, so that the answer reaches it; close when it closes."""
        with suppress(OSError):
            if client.recv(_MOST_AT_ONCE):
                return
        self.poller.unregister(client)
        self.pending_conns.remove(conn)
        self._close(conn)

    def _close(self, conn: Any) -> None:
        self.nr_conns -= 1
        conn.close()

    def set_accept_enabled(self, enabled: bool | None) -> None:
        """Take new connections while a thread is free: what waits in the system is there for every worker.

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

    def notify(self) -> None:
        """Tell the arbiter, about once a second, that this worker lives; end what takes too long."""
        super().notify()
        most = cast(Any, self.app).settings.request_seconds
        for conn, began in [*self._began.items()]:
            if 0 < most < time.monotonic() - began:
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


def _has_sent(client: socket.socket) -> bool:
    try:
        client.recv(1, socket.MSG_PEEK | socket.MSG_DONTWAIT)
    except OSError:
        return False
    return True


def _refusal(error: BaseException) -> Problem:
    if isinstance(error, LimitRequestLine):
        return Problem(414, f"The request line has more than {LONGEST_LINE} bytes: send the build by POST.")
    if isinstance(error, LimitRequestHeaders):
        return Problem(431, f"There are at most {MOST_HEADERS} headers of at most 8190 bytes each.")
    if isinstance(error, ParseException):
        return Problem(400, "The request is not well-formed HTTP.")
    return Problem(500, "The service made a mistake; the request itself may be fine.")
