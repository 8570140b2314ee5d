"""Shared counts that hang, are slow, or are no Redis at all: no request fails, and none waits."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import numpy as np
import pytest

from tests.benchmarks.service import running
from tests.faults.fairness import LIGHT, ask

pytestmark = pytest.mark.slow

REQUESTS = 5_000
MOST_SLOWER = 1.3
_THREADS = 4
_ROUND = 200

ANSWERS: dict[str, tuple[bytes | None, float]] = {
    "hung": (None, 0.0),
    "slow": (b":1\r\n:1\r\n:1\r\n", 0.15),
    "no Redis": (b"HTTP/1.1 400 Bad Request\r\n\r\n" + b"+OK\r\n:x\r\n" * 50, 0.0),
}


@contextmanager
def answering(answer: bytes | None, after: float) -> Iterator[int]:
    """A server that says this to whatever comes, or nothing; its port."""
    with ExitStack() as stack:
        listener = stack.enter_context(socket.create_server(("127.0.0.1", 0)))

        def talk(connection: socket.socket) -> None:
            with connection:
                try:
                    while connection.recv(65_536):
                        time.sleep(after)
                        if answer is not None:
                            connection.sendall(answer)
                except OSError:
                    return

        def listen() -> None:
            while True:
                try:
                    connection, _ = listener.accept()
                except OSError:
                    return
                threading.Thread(target=talk, args=(connection,), daemon=True).start()

        threading.Thread(target=listen, daemon=True).start()
        yield listener.getsockname()[1]
        listener.shutdown(socket.SHUT_RDWR)


def asked(port: int, count: int) -> tuple[list[float], int]:
    """What so many requests take, s, and how many of them fail."""
    waits: list[float] = []
    failed: list[int] = []

    def some() -> None:
        for _ in range(count // _THREADS):
            began = time.monotonic()
            status, _ = ask(port, "127.0.0.1", ("GET", LIGHT, b"", ""))
            waits.append(time.monotonic() - began)
            failed.extend([status] * (status != 200))

    threads = [threading.Thread(target=some) for _ in range(_THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return waits, len(failed)


@pytest.mark.parametrize("kind", ANSWERS)
def test_no_request_fails_or_waits_for_the_counts(kind: str) -> None:
    """In turns with a service that counts alone, because the machine may be busy."""
    limits = {"requests_per_minute": 1_000_000, "cpu_seconds_per_minute": 10_000}
    alone_waits: list[float] = []
    waits: list[float] = []
    failed = 0
    with answering(*ANSWERS[kind]) as counts, ExitStack() as stack:
        storage = f"redis://127.0.0.1:{counts}/0"
        alone = stack.enter_context(running(workers=2, **limits))
        shared = stack.enter_context(running(workers=2, rate_storage=storage, **limits))
        for _ in range(REQUESTS // _ROUND):
            alone_waits += asked(alone.port, _ROUND)[0]
            some, bad = asked(shared.port, _ROUND)
            waits += some
            failed += bad
    slower = float(np.percentile(waits, 90) / np.percentile(alone_waits, 90))
    print(f"\n{kind}: {failed} of {len(waits)} failed; p90 {slower:.2f} times that of counts alone")
    assert failed == 0
    assert slower < MOST_SLOWER
