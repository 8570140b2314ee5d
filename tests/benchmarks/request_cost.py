"""CPU of one request on one warm worker, as a ratio to a bare Flask route of the same size.

Run it on demand: ``python -m tests.benchmarks.request_cost``. Both routes live in one gunicorn worker;
the CPU is the worker's own, user and system, read from ``/proc``. Rounds alternate, the median counts.
"""

import http.client
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from flask import Flask, Response

from gearing_api.app import create_app
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.settings import Settings
from tests.ports import free_port

ROUNDS, REQUESTS = 7, 800
ADDRESSES = {name: f"/v1/{name}?{demo_query(question)}" for name, question in QUESTIONS.items()}


def application() -> Any:
    """The service, which counts its clients but refuses none, with a bare Flask application under /bare."""
    service = create_app(Settings(requests_per_minute=1_000_000_000, cpu_seconds_per_minute=1_000_000_000))
    size = len(service.test_client().get(ADDRESSES["crawl"]).data)
    body = b'{"x":"' + b"x" * (size - 8) + b'"}'
    bare = Flask("bare")
    bare.add_url_rule("/bare", view_func=lambda: Response(body, content_type="application/json"))

    def either(environ: Any, start: Any) -> Any:
        return (bare if environ["PATH_INFO"] == "/bare" else service)(environ, start)

    return either


@contextmanager
def worker(worker_class: str) -> Iterator[tuple[int, int]]:
    """A gunicorn with one worker: its port and the worker's process id."""
    port = free_port()
    command = [sys.executable, "-m", "gunicorn", "-k", worker_class, "-w", "1", "-b", f"127.0.0.1:{port}",
               "--no-control-socket", "--log-level", "error",
               "tests.benchmarks.request_cost:application()"]  # fmt: skip
    process = subprocess.Popen(command)
    try:
        for _ in range(200):
            try:
                connection = http.client.HTTPConnection("127.0.0.1", port)
                connection.request("GET", "/bare")
                connection.getresponse().read()
                break
            except OSError:
                time.sleep(0.05)
        yield port, _child(process.pid)
    finally:
        process.terminate()
        process.wait(20)


def _child(parent: int) -> int:
    with open(f"/proc/{parent}/task/{parent}/children") as children:
        return int(children.read().split()[0])


def cpu_seconds(process: int) -> float:
    """CPU time of a process's threads so far, as the scheduler counts it, in nanoseconds and not in ticks."""
    return (
        sum(
            int((thread / "schedstat").read_text().split()[0])
            for thread in Path(f"/proc/{process}/task").iterdir()
        )
        / 1e9
    )


def cost(port: int, process: int, address: str) -> float:
    """CPU of the worker for one request, microseconds."""
    before = cpu_seconds(process)
    connection = http.client.HTTPConnection("127.0.0.1", port)
    for _ in range(REQUESTS):
        connection.request("GET", address)
        response = connection.getresponse()
        assert response.status == 200
        response.read()
    connection.close()
    return (cpu_seconds(process) - before) / REQUESTS * 1e6


def main(names: list[str]) -> None:
    """Print the ratios."""
    addresses = {"bare": "/bare"} | {name: ADDRESSES[name] for name in names or ADDRESSES}
    for worker_class in ("sync", "gthread"):
        with worker(worker_class) as (port, process):
            rounds = [
                {name: cost(port, process, address) for name, address in addresses.items()}
                for _ in range(ROUNDS + 1)
            ][1:]
        bare = statistics.median(figures["bare"] for figures in rounds)
        print(f"{worker_class} worker, a bare Flask route: {bare:.0f} us")
        for name in addresses:
            figure = statistics.median(figures[name] for figures in rounds)
            ratio = statistics.median(figures[name] / figures["bare"] for figures in rounds)
            print(f"  {name:12} {figure:6.0f} us  {ratio:.2f} x bare")


if __name__ == "__main__":
    main(sys.argv[1:])
