"""Load held under gunicorn, as ratios to a bare Flask route in the same workers of the same run.

Run it on demand: ``python -m tests.benchmarks.load [seconds] [rounds]``; it needs wrk. All ways of serving
run at once and are asked in turn, so that what else the machine does falls on each alike; medians count.
The load comes from the same machine: ratios tell something, answers a second by themselves do not. The
service counts its clients as always, but refuses none; the log is written, for both routes.
"""

import http.client
import json
import re
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any, NamedTuple

from gearing_api.server.configuration import Service, options
from gearing_api.settings import Settings
from tests.benchmarks.request_cost import ADDRESSES, application
from tests.ports import free_port

CLIENTS = 16
CRAWL, CHART = ADDRESSES["crawl"], ADDRESSES["cruise"].replace("?", ".png?")
COMPARISON = json.dumps({
    "build": {"tyre": "35 in", "gear_ratios": [4.46, 2.61, 1.0]},
    "vary": {"axle_ratio": [3 + place / 1000 for place in range(500)], "idle_speed": [*range(600, 800)]},
    "report": ["crawl_ratio", "crawl_speed"],
})  # fmt: skip
_UNITS = {"us": 1e-3, "ms": 1.0, "s": 1e3, "m": 6e4}


class Way(NamedTuple):
    """A way of serving."""

    worker_class: str
    workers: int
    threads: int = 1
    connections: int = 500

    def __str__(self) -> str:
        if self.worker_class == "sync":
            return f"{self.workers} sync"
        return f"{self.workers} x {self.threads} threads, {self.connections} connections"


class Held(NamedTuple):
    """Answers a second, how long half of them and all but one of a hundred took [ms], and failures."""

    rate: float
    half: float
    most: float
    failed: float


WAYS = (
    Way("sync", 2),
    *(Way("threads", 2, threads) for threads in (2, 4, 8)),
    *(Way("threads", workers, 8) for workers in (1, 3)),
    *(Way("threads", 2, 8, connections) for connections in (20, 100, 1000)),
)


class _Both(Service):
    """The service with the bare route beside it."""

    def load(self) -> Any:
        """Build both in the worker."""
        return application()


def serve(port: int, way: Way) -> None:
    """Serve both in that way, in all else as the command does."""
    settings = Settings()
    chosen = options(settings, "127.0.0.1", port, way.workers)
    if way.worker_class == "sync":
        chosen |= {"worker_class": "sync"}
    _Both(settings, chosen | {"threads": way.threads, "worker_connections": way.connections}).run()


@contextmanager
def served(way: Way) -> Iterator[int]:
    """The service and the bare route, served in that way: the port."""
    port = free_port()
    command = [sys.executable, "-m", __spec__.name, "serve", str(port), *map(str, way)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        ends = time.monotonic() + 60.0
        while not _answers(port):
            assert time.monotonic() < ends
            time.sleep(0.1)
        yield port
    finally:
        process.terminate()
        process.wait(40)


def _answers(port: int) -> bool:
    try:
        return _status(port, "GET", "/readyz") == 200
    except OSError:
        return False


def _status(port: int, method: str, address: str, body: str | None = None) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.request(method, address, body, {"Content-Type": "application/json"} if body else {})
        response = connection.getresponse()
        response.read()
        return response.status
    finally:
        connection.close()


def held(port: int, address: str, seconds: float, *, kept: bool, clients: int = CLIENTS) -> Held:
    """What is held of one address."""
    close = () if kept else ("-H", "Connection: close")
    command = ["wrk", "--latency", "-t1", f"-c{clients}", f"-d{seconds:.0f}s", "--timeout", "30s", *close]
    told = subprocess.run(
        [*command, f"http://127.0.0.1:{port}{address}"], check=True, capture_output=True, text=True
    ).stdout
    rate = re.search(r"Requests/sec: +([\d.]+)", told)
    half, most = (re.search(rf"{share}% +([\d.]+)(us|ms|s|m)", told) for share in (50, 99))
    assert rate, told
    assert half, told
    assert most, told
    failures = re.search(r"connect (\d+), read (\d+), write (\d+), timeout (\d+)", told)
    refused = re.search(r"Non-2xx or 3xx responses: (\d+)", told)
    failed = sum(map(int, failures.groups())) if failures else 0
    return Held(
        float(rate[1]),
        float(half[1]) * _UNITS[half[2]],
        float(most[1]) * _UNITS[most[2]],
        failed + (int(refused[1]) if refused else 0),
    )


@contextmanager
def heavy(port: int) -> Iterator[None]:
    """Meanwhile one client asks for comparisons and one for charts, without pause."""
    ended = threading.Event()

    def ask(method: str, address: str, body: str | None = None) -> None:
        while not ended.is_set():
            assert _status(port, method, address, body) in (200, 503)

    asking = [
        threading.Thread(target=ask, args=("POST", "/v1/comparison.csv", COMPARISON)),
        threading.Thread(target=ask, args=("GET", CHART)),
    ]
    for thread in asking:
        thread.start()
    try:
        yield
    finally:
        ended.set()
        for thread in asking:
            thread.join()


def one_round(port: int, seconds: float) -> dict[str, Held]:
    """Every load once."""
    found = {}
    for name, kept in (("kept", True), ("fresh", False)):
        found[f"bare, {name}"] = held(port, "/bare", seconds, kept=kept)
        found[f"crawl, {name}"] = held(port, CRAWL, seconds, kept=kept)
    with heavy(port):
        found["beside heavy"] = held(port, CRAWL, seconds, kept=False, clients=4)
    return found


def main(seconds: float, rounds: int) -> None:
    """Print rates as ratios to the bare route, and times."""
    with ExitStack() as running:
        ports = {way: running.enter_context(served(way)) for way in WAYS}
        found: dict[Way, list[dict[str, Held]]] = {way: [] for way in WAYS}
        for _ in range(rounds):
            for way, port in ports.items():
                found[way].append(one_round(port, seconds))
    for way, all_rounds in found.items():
        print(way)
        for load in all_rounds[0]:
            told = Held(
                *(statistics.median(part) for part in zip(*(one[load] for one in all_rounds), strict=True))
            )
            rates = [one[load].rate for one in all_rounds]
            noise = (max(rates) - min(rates)) / told.rate
            like = load.replace("crawl", "bare").replace("beside heavy", "bare, fresh")
            ratio = statistics.median(one[load].rate / one[like].rate for one in all_rounds)
            print(
                f"  {load:13} {told.rate:6.0f}/s +-{50 * noise:3.0f} %  {ratio:.2f} x bare  "
                f"p50 {told.half:7.1f} ms  p99 {told.most:7.1f} ms  failed {told.failed:.0f}"
            )


if __name__ == "__main__":
    if sys.argv[1:2] == ["serve"]:
        port, worker_class, *numbers = sys.argv[2:]
        serve(int(port), Way(worker_class, *map(int, numbers)))
    else:
        given = [float(word) for word in sys.argv[1:]]
        main(given[0] if given else 3.0, int(given[1]) if len(given) > 1 else 3)
