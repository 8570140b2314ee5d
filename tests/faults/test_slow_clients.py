"""Clients that are slow, silent, gone, or do not hang up: what they can hold, and for how long."""

import http.client
import json
import socket
import struct
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from tests.benchmarks.service import Running, running
from tests.faults.load import PATIENCE

pytestmark = [pytest.mark.slow, pytest.mark.alone]

SECONDS = 3
"""What a request may take in these tests."""

PROBES = 40
SOON, LATE = 1.0, 15.0
"""What a probe should take at the most, and what none may where nothing holds it up, s."""

HEAD = b"POST /v1/tyre HTTP/1.1\r\nHost: here\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n"
ASKED = b"GET /v1/tyre?tyre=33x12.50R15 HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n"
STREAM: dict[str, Any] = {
    "build": {"tyre": "35 in", "gear_ratios": [4.46, 2.61, 1.0]},
    "vary": {
        "axle_ratio": [3 + place / 1000 for place in range(1000)],
        "idle_speed": list(range(600, 1600)),
        "cruise_speed": list(range(40, 60)),
    },
    "report": ["crawl_ratio", "crawl_speed"],
}
"""Twenty million rows: more than any buffer on the way takes."""


@pytest.fixture(scope="module")
def service() -> Iterator[Running]:
    with running(workers=2, request_seconds=SECONDS, cells=10**9) as started:
        yield started


def connected(port: int, sent: bytes, receive_buffer: int = 0) -> socket.socket:
    connection = socket.socket()
    if receive_buffer:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, receive_buffer)
    connection.settimeout(PATIENCE)
    connection.connect(("127.0.0.1", port))
    connection.sendall(sent)
    return connection


def streaming() -> bytes:
    body = json.dumps(STREAM).encode()
    head = "POST /v1/comparison.csv HTTP/1.1\r\nHost: here\r\nContent-Type: application/json\r\n"
    return f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body


def probed(port: int) -> float:
    """How long a probe takes on a new connection, s."""
    began = time.monotonic()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    connection.request("GET", "/healthz")
    assert connection.getresponse().status == 200
    connection.close()
    return time.monotonic() - began


def probes(port: int) -> list[float]:
    """What probes take that are sent every 50 ms, whether the one before is answered or not."""
    with ThreadPoolExecutor(PROBES) as pool:
        asked = []
        for _ in range(PROBES):
            asked.append(pool.submit(probed, port))
            time.sleep(0.05)
        return [probe.result() for probe in asked]


def show(what: str, waits: list[float]) -> None:
    soon = sum(wait < SOON for wait in waits)
    print(f"\n{what}: {soon} of {len(waits)} probes answered within {SOON} s, all within {max(waits):.2f} s")


class Dripping:
    """Many connections that each send a byte from time to time, so that none is ever idle."""

    def __init__(self, port: int, count: int, sent: bytes, drop: bytes) -> None:
        self.connections = [connected(port, sent) for _ in range(count)]
        self._drop = drop
        self._ended = threading.Event()
        self._thread = threading.Thread(target=self._drip)

    def __enter__(self) -> "Dripping":
        self._thread.start()
        return self

    def _drip(self) -> None:
        while not self._ended.wait(0.5):
            for connection in self.connections:
                try:
                    connection.send(self._drop)
                except OSError:
                    continue

    def __exit__(self, *_: object) -> None:
        self._ended.set()
        self._thread.join()
        for connection in self.connections:
            connection.close()


def silent(port: int, count: int) -> Dripping:
    return Dripping(port, count, b"", b"")


def slow_heads(port: int, count: int) -> Dripping:
    return Dripping(port, count, b"GET / HTTP/1.1\r\nX-Slow: ", b"a")


def slow_bodies(port: int, count: int) -> Dripping:
    return Dripping(port, count, HEAD + b'\r\n{"tyre": ', b" ")


Slow = Callable[[int, int], Dripping]


@pytest.mark.parametrize(("slow", "count"), [(silent, 300), (slow_heads, 6), (slow_bodies, 6)])
def test_silent_connections_and_a_few_slow_ones_hold_up_nobody(
    service: Running, slow: Slow, count: int
) -> None:
    with slow(service.port, count):
        waits = probes(service.port)
    show(f"{count} {slow.__name__}", waits)
    assert max(waits) < LATE


@pytest.mark.parametrize("slow", [slow_heads, slow_bodies])
def test_many_slow_connections_hold_up_the_service_until_their_time_is_over(
    service: Running, slow: Slow
) -> None:
    """What it stands alone: as many as it has threads. A proxy in front keeps them away."""
    with slow(service.port, 60):
        waits = probes(service.port)
    show(f"60 {slow.__name__}, where a request may take {SECONDS} s", waits)
    assert max(waits) < PATIENCE
    assert max(probes(service.port)) < LATE


def test_each_slow_connection_is_shut_when_its_time_is_over(tmp_path: Path) -> None:
    log = tmp_path / "log"
    with running(workers=2, log=log, request_seconds=SECONDS) as service:
        for slow in (slow_heads, slow_bodies):
            with slow(service.port, 5) as dripping:
                for connection in dripping.connections:
                    assert gone(connection)
    assert times_told(log) == 10


def gone(connection: socket.socket) -> bool:
    """Whether the service ends the connection, in good time."""
    try:
        while connection.recv(65_536):
            pass
    except ConnectionResetError:
        pass
    return True


def test_slow_readers_are_ended_and_leave_their_places(tmp_path: Path) -> None:
    """Streams that nobody reads take the places for many builds, until their time is over."""
    log = tmp_path / "log"
    with ExitStack() as held:
        service = held.enter_context(running(log=log, request_seconds=SECONDS, cells=10**9))
        for _ in range(8):
            held.enter_context(connected(service.port, streaming(), receive_buffer=4096))
        refused, ends = 0, time.monotonic() + PATIENCE
        while times_told(log) < 2:
            refused += small_comparison(service.port) == 503
            assert time.monotonic() < ends
        while {small_comparison(service.port) for _ in range(20)} != {200}:
            assert time.monotonic() < ends
    print(f"\n8 slow readers: {refused} comparisons told to come again meanwhile, none afterwards")
    assert refused > 0


def times_told(log: Path) -> int:
    return log.read_text().count(f"more than {SECONDS} s")


def small_comparison(port: int) -> int:
    plan = STREAM | {"vary": {"axle_ratio": [4.1]}}
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
    connection.request("POST", "/v1/comparison.csv", json.dumps(plan), {"Content-Type": "application/json"})
    with connection.getresponse() as response:
        response.read()
        status = response.status
    connection.close()
    return status


@pytest.mark.parametrize("moment", ["connected", "half a head", "half a body", "asked", "in a stream"])
def test_clients_that_are_gone_hold_nothing(service: Running, moment: str) -> None:
    """Their connections are reset at the worst moments, more of them than the service has threads."""
    sent = {
        "connected": b"",
        "half a head": b"GET / HTT",
        "half a body": HEAD + b"\r\n{",
        "asked": ASKED,
        "in a stream": streaming(),
    }[moment]
    for _ in range(60):
        connection = connected(service.port, sent)
        if moment == "in a stream":
            connection.recv(1000)
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
        connection.close()
    assert max(probes(service.port)) < LATE
    assert {small_comparison(service.port) for _ in range(10)} == {200}


def test_clients_that_do_not_hang_up_hold_up_nobody(service: Running) -> None:
    """Each once stopped a whole worker for two seconds: 40 of them would take 40 s."""
    with ExitStack() as held:
        for _ in range(40):
            held.enter_context(connected(service.port, ASKED))
        waits = probes(service.port)
    show("40 clients that did not hang up", waits)
    assert max(waits) < LATE


def test_a_client_that_sends_more_than_is_read_still_gets_its_answer(service: Running) -> None:
    """A refusal comes before the body is read: it must not be lost with it."""
    body = b"x" * 3_000_000
    for _ in range(10):
        head = f"POST /v1/nothing HTTP/1.1\r\nHost: here\r\nContent-Length: {len(body)}\r\n\r\n"
        with connected(service.port, head.encode() + body[:200_000]) as connection:
            answer = connection.makefile("rb").read()
        assert answer.startswith(b"HTTP/1.1 404 ")
        assert answer.endswith(b"}")
