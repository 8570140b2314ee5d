"""How long a light request takes alone, and beside one client that asks as much as it may.

Run it on demand: ``python -m tests.faults.fairness``. Both clients have addresses of their own; the light one
asks about a hundred times a second, whether the answer before has come or not. The other sends as much as a
line of 1 Gbit/s carries: within the machine itself it could copy more than any network brings.
"""

import http.client
import json
import os
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from itertools import count
from typing import Any

import numpy as np

from gearing_api.settings import Settings
from tests.benchmarks.service import running
from tests.faults.asks import CSV, HOST, JSON
from tests.faults.costliest import KNOWN

LIGHT = "/v1/crawl.txt?tyre=35x12.50R17LT&axle_ratio=4.56&gear_ratios=4.46,2.61&pick=crawl_ratio&idle_speed="
OTHERS_BULK = ("/v1/comparison", {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61]},
    "vary": {"axle_ratio": [3 + place / 100 for place in range(200)]},
    "report": ["crawl_ratio"],
})  # fmt: skip
LIMITS = {
    name: getattr(Settings(), name) for name in ("requests_per_minute", "cpu_seconds_per_minute", "at_once")
}
"""What one client may have by default, here where the tests have lifted it."""
PATIENCE = 60.0
PAUSE = 0.01
LINE = 125e6
"""Bytes a second that one client can send."""

Request = tuple[str, str, bytes, str]
_places = count(1)


def ask(port: int, source: str, request: Request) -> tuple[int, str | None]:
    """One request on a connection of its own; the status, and how long to wait."""
    method, path, body, media_type = request
    connection = http.client.HTTPConnection("127.0.0.1", port, PATIENCE, source_address=(source, 0))
    try:
        headers = {"Host": HOST, "Connection": "close"} | ({"Content-Type": media_type} if media_type else {})
        connection.request(method, path, body, headers)
        with connection.getresponse() as response:
            response.read()
            return response.status, response.getheader("Retry-After")
    except (OSError, http.client.HTTPException):
        return 0, None
    finally:
        connection.close()


def press(port: int, source: str, name: str, connections: int = 8) -> None:
    """Be one client with so many connections that asks the costliest again and again while it is let.

    It waits when it is told to. When its standard input ends, it prints what it got, and ends. What it computes
    itself, taking the answers, would be computed on another machine: here it comes after all else.
    """
    os.nice(19)
    requests, ended, statuses = costly()[name], threading.Event(), Counter[int]()

    def work(place: int) -> None:
        while not ended.is_set():
            status, wait = ask(port, source, requests[place % len(requests)])
            carried = len(requests[place % len(requests)][2])
            statuses[status] += 1
            place += 1
            ended.wait(float(wait or 1) if status in (429, 503) else carried * connections / LINE)

    threads = [threading.Thread(target=work, args=(place,)) for place in range(connections)]
    for thread in threads:
        thread.start()
    print("begun", flush=True)
    sys.stdin.read()
    ended.set()
    for thread in threads:
        thread.join()
    print(json.dumps(statuses))


@contextmanager
def crowd(port: int, source: str, name: str, connections: int = 8) -> Iterator[Counter[str]]:
    """The same in a process of its own, until the end of the block; then what it got, by status."""
    statuses = Counter[str]()
    words = [sys.executable, "-m", "tests.faults.fairness", str(port), source, name, str(connections)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stdout.readline() == "begun\n"
        try:
            yield statuses
        finally:
            process.stdin.close()
            statuses |= json.loads(process.stdout.readline())


def light(port: int, seconds: float) -> list[float]:
    """What light requests take that are sent one after the other whether those before are answered, ms.

    No two are alike, so that no cache answers.
    """

    def timed() -> float:
        began = time.monotonic()
        request = ("GET", f"{LIGHT}{600 + next(_places) / 1e4}", b"", "")
        assert ask(port, fresh_source(), request)[0] == 200
        return (time.monotonic() - began) * 1e3

    with ThreadPoolExecutor(64) as pool:
        asked, ends = [], time.monotonic() + seconds
        while time.monotonic() < ends:
            asked.append(pool.submit(timed))
            time.sleep(PAUSE)
        return [one.result() for one in asked]


def bulk(port: int, number: int) -> Counter[int]:
    """What becomes of so many bulk requests of others, one after the other."""
    path, plan = OTHERS_BULK
    request = ("POST", path, json.dumps(plan).encode(), JSON["Content-Type"])
    return Counter(ask(port, fresh_source(), request)[0] for _ in range(number))


def p99(waits: Sequence[float]) -> float:
    """The time within which 99 of 100 are answered."""
    return float(np.percentile(waits, 99))


def costly() -> dict[str, list[Request]]:
    """The costliest of each kind that the search has found, and what is asked most often."""
    rows = ("tyre,axle_ratio,gear_ratios,vehicle_mass\n" + '35 in,4.1,"4.46,2.61",5000\n' * 100_000).encode()
    comparison: dict[str, Any] = {
        "build": {
            "tyre": "35x12.50R17LT",
            "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1, 0.84],
            "peak_torque": 260,
        },
        "vary": {"axle_ratio": [3 + place / 400 for place in range(400)], "idle_speed": [*range(600, 1000)]},
        "report": ["crawl_ratio", "crawl_speed", "speed_per_1000"],
    }
    return {
        "light ones": [("GET", f"{LIGHT}700", b"", ""), ("GET", "/v1/crawl?tyre=33", b"", "")],
        "long pages": [KNOWN["a long table on a page"]()],
        "long lists": [KNOWN["curves in every gear"](), KNOWN["ranges of cruise for long lists"]()],
        "whole sheets": [KNOWN["whole sheets as rows"](), KNOWN["whole sheets as JSON"]()],
        "lists of all lengths": [KNOWN["lists of all lengths"]()],
        "refusals": [KNOWN["bad rows"](), KNOWN["as many empty lists as are read"](), KNOWN["empty lines"]()],
        "a long shortlist": [KNOWN["a shortlist in which nothing beats another"]()],
        "bulk": [
            ("POST", "/v1/axle-check", rows, CSV["Content-Type"]),
            ("POST", "/v1/comparison.csv", json.dumps(comparison).encode(), JSON["Content-Type"]),
        ],
    }


def measured(port: int, seconds: float = 15.0) -> dict[str, tuple[float, Counter[int]]]:
    """Beside each crowd: p99 of light requests against that without it, and what became of others' bulk."""
    light(port, 2.0)
    figures = {}
    for name in costly():
        before = light(port, seconds / 2)
        with crowd(port, fresh_source(), name) as statuses:
            time.sleep(0.5)
            beside = p99(light(port, seconds))
            answered = bulk(port, 20)
        alone = p99([*before, *light(port, seconds / 2)])
        figures[name] = (beside / alone, answered)
        print(f"{name}: light p99 {alone:.1f} ms alone, {beside:.1f} beside: {beside / alone:.2f} x;")
        assert "500" not in statuses, statuses
        print(f"  the crowd got {dict(statuses)}, others' bulk requests {dict(answered)}", flush=True)
    return figures


def fresh_source() -> str:
    """An address of this machine that nothing here has asked from before."""
    high, low = divmod(next(_places), 250)
    return f"127.{70 + high // 250}.{high % 250}.{1 + low}"


if __name__ == "__main__":
    if len(sys.argv) > 1:
        press(int(sys.argv[1]), sys.argv[2], sys.argv[3], int(sys.argv[4]))
    else:
        with running(workers=2, **LIMITS) as service:
            measured(service.port)
