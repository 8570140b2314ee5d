"""Ten million rows over HTTP from one worker: its memory, and what another client waits meanwhile.

Run it on demand: ``python -m tests.benchmarks.streaming [millions]``. The stream is read by a process of its
own; another client asks for a crawl every 20 ms all the while, on new connections and on a kept one. The
waits of the same client before the stream begins are the ones to compare with.
"""

import http.client
import json
import os
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import Any

from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from tests.benchmarks.service import memory, service

ADDRESS = f"/v1/crawl?{demo_query(QUESTIONS['crawl'])}"
PLAN: dict[str, Any] = {
    "build": {"tyre": "35 in", "gear_ratios": [4.46, 2.61, 1.0], "peak_torque": 260, "vehicle_mass": 5300},
    "vary": {
        "axle_ratio": [3 + place / 1000 for place in range(1000)],
        "idle_speed": list(range(600, 1600)),
    },
    "report": ["crawl_ratio", "crawl_speed", "crawl_tractive_force", "climbable_grade_percent", "top_speed",
               "cruise_engine_speed"],
}  # fmt: skip
READER = """
import http.client, sys, time
connection = http.client.HTTPConnection("127.0.0.1", int(sys.argv[1]))
head = {"Content-Type": "application/json"}
began = time.perf_counter()
connection.request("POST", "/v1/comparison.csv", open(sys.argv[2], "rb"), head)
response = connection.getresponse()
assert response.status == 200, response.read()
response.readline()
first, size = time.perf_counter() - began, 0
while piece := response.read(1 << 20):
    size += len(piece)
print(first, time.perf_counter() - began, size)
"""


def waits(port: int, while_true: Callable[[], bool], *, kept: bool) -> list[float]:
    """How long a crawl takes, ms, asked every 20 ms."""
    found, connection = [], http.client.HTTPConnection("127.0.0.1", port)
    while while_true():
        began = time.perf_counter()
        connection.request("GET", ADDRESS)
        assert connection.getresponse().read()
        found.append((time.perf_counter() - began) * 1e3)
        if not kept:
            connection.close()
        time.sleep(0.02)
    return found


def told(name: str, found: list[float]) -> None:
    """Print the median, the tail and the worst."""
    ordered = sorted(found)
    tail = ordered[int(0.99 * (len(ordered) - 1))]
    middle = statistics.median(found)
    print(f"  {name:18} median {middle:4.1f} ms, 99 % {tail:4.1f} ms, worst {ordered[-1]:4.1f} ms")


def main(millions: int) -> None:
    """Print what the stream and the others saw."""
    plan = PLAN | {"vary": PLAN["vary"] | {"cruise_speed": [50 + place for place in range(millions)]}}
    path = f"/tmp/streaming-plan-{os.getpid()}.json"
    with open(path, "w") as out:
        json.dump(plan, out)
    with service(cells=10**9) as (port, (worker,)):
        ends = time.perf_counter() + 2.0
        before = waits(port, lambda: time.perf_counter() < ends, kept=False)
        start = memory(worker)
        reader = subprocess.Popen(
            [sys.executable, "-c", READER, str(port), path], stdout=subprocess.PIPE, text=True
        )
        time.sleep(0.3)
        found: dict[bool, list[float]] = {}
        clients = [
            threading.Thread(
                target=lambda kept: found.update(
                    {kept: waits(port, lambda: reader.poll() is None, kept=kept)}
                ),
                args=(kept,),
            )
            for kept in (False, True)
        ]
        for client in clients:
            client.start()
        most = start
        while reader.poll() is None:
            most = max(most, memory(worker))
            time.sleep(0.05)
        for client in clients:
            client.join()
        first, whole, size = map(float, reader.communicate()[0].split())
    os.unlink(path)
    print(
        f"{millions} million rows, {size / 1e6:.0f} MB in {whole:.1f} s, the first after {first * 1e3:.0f} ms"
    )
    print(f"  memory of the worker {start:.0f} MB before, {most:.0f} MB at the most")
    print("what another client waits for a crawl")
    told("before", before)
    told("on new connections", found[False])
    told("on a kept one", found[True])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
