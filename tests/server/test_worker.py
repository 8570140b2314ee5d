"""The rules of the worker, each on both sides; under load, for real: tests/faults."""

import http.client
import socket
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from gunicorn.workers.gthread import ThreadWorker

from gearing_api.server import worker
from gearing_api.server.configuration import options
from gearing_api.server.worker import Worker
from gearing_api.settings import Settings
from tests.benchmarks.service import Running, running

PATIENCE = 20.0
THREADS = options(Settings(), "127.0.0.1", 8000, 1)["threads"]


class Shut:
    """A connection that says whether it was shut."""

    def __init__(self) -> None:
        self.shut = False
        self.sock = self
        self.data_ready = self.initialized = True

    def shutdown(self, how: int) -> None:
        self.shut = True


@pytest.fixture
def accepting(monkeypatch: pytest.MonkeyPatch) -> list[bool]:
    """What gunicorn's worker is told about new connections, and nothing more of it."""
    told: list[bool] = []
    monkeypatch.setattr(ThreadWorker, "set_accept_enabled", lambda self, enabled: told.append(enabled))
    monkeypatch.setattr(ThreadWorker, "enqueue_req", lambda self, conn: None)
    monkeypatch.setattr(ThreadWorker, "notify", lambda self: None)
    return told


def a_worker(busy: int = 0, request_seconds: int = 5) -> Any:
    made: Any = Worker.__new__(Worker)
    made._began, made._busy, made._waited = {}, busy, Counter()
    made.cfg = SimpleNamespace(threads=2, keepalive=1)
    made.app = SimpleNamespace(settings=Settings(request_seconds=request_seconds))
    made.log = SimpleNamespace(warning=lambda *words: None)
    made.alive, made.sockets, made.nr_conns = True, [], 0
    return made


@pytest.mark.parametrize(
    ("most", "took", "shut"), [(5, 5.0, False), (5, 5.001, True), (0, 1e6, False), (1, 0.999, False)]
)
def test_a_request_is_ended_when_it_takes_longer_than_it_may(
    accepting: list[bool], monkeypatch: pytest.MonkeyPatch, most: int, took: float, shut: bool
) -> None:
    monkeypatch.setattr(worker.time, "monotonic", lambda: 1000.0 + took)
    one, conn = a_worker(request_seconds=most), Shut()
    one._began[conn] = 1000.0
    one.notify()
    assert conn.shut is shut


@pytest.mark.parametrize(("busy", "taken"), [(1, True), (2, False)])
def test_new_connections_are_taken_while_a_thread_is_free(
    accepting: list[bool], busy: int, taken: bool
) -> None:
    a_worker(busy).set_accept_enabled(True)
    a_worker(busy).set_accept_enabled(False)
    assert accepting == [taken, False]


@pytest.mark.parametrize(("busy", "told"), [(0, []), (1, [False])])
def test_no_more_are_taken_once_every_thread_has_work(
    accepting: list[bool], busy: int, told: list[bool]
) -> None:
    a_worker(busy).enqueue_req(Shut())
    assert accepting == told


def test_a_worker_that_stops_takes_those_that_wait(accepting: list[bool]) -> None:
    one, closed = a_worker(), []
    waiting = SimpleNamespace(left=3, close=lambda: closed.append(True))

    def accept(listener: Any) -> None:
        if listener.left:
            listener.left -= 1
            one.nr_conns += 1

    one.accept, one.sockets = accept, [waiting]
    one.set_accept_enabled(False)
    assert (waiting.left, closed) == (3, [])
    one.alive = False
    one.set_accept_enabled(False)
    assert (waiting.left, one.nr_conns, closed, one.sockets) == (0, 3, [True], [])


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("worker") / "log"


@pytest.fixture(scope="module")
def service(log: Path) -> Iterator[Running]:
    """One worker, whose requests may take a second."""
    with running(log=log, request_seconds=1) as started:
        yield started


def connected(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), PATIENCE)


def test_a_head_that_drips_in_is_ended_and_the_log_says_so(service: Running, log: Path) -> None:
    with connected(service.port) as slow:
        began = time.monotonic()
        slow.sendall(b"GET /healthz HTTP/1.1\r\nHost: ")
        assert not slow.recv(100).startswith(b"HTTP/1.1 200")
        assert 1.0 <= time.monotonic() - began < 5.0
    assert "more than 1 s" in log.read_text()


def test_silent_connections_hold_no_thread(service: Running) -> None:
    with ExitStack() as held:
        for _ in range(THREADS + 4):
            held.enter_context(connected(service.port))
        time.sleep(0.2)
        connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=PATIENCE)
        began = time.monotonic()
        connection.request("GET", "/healthz")
        assert connection.getresponse().status == 200
        assert time.monotonic() - began < 5.0
        connection.close()
