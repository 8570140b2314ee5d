"""Many at once: slow ones, ordinary ones, and as many as there can be."""

import asyncio
import os
import re
import shutil
import subprocess
import threading
import time
from collections import Counter
from pathlib import Path
from typing import NamedTuple

import pytest

from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from tests.faults.asks import HOST
from tests.faults.fairness import measured
from tests.faults.test_fairness import FENCE
from tests.replicas.fleet import HERE, Fleet, fleet, fresh_source

pytestmark = [pytest.mark.slow, pytest.mark.alone]

CROWD = 1000
ADDRESS = "/v1/crawl.txt?tyre=33+in&gear_ratios=1&transfer_ratios=1&pick=crawl_ratio&axle_ratio="


class SlowCrowd:
    """Clients that never finish their headers, and come again when they are sent away."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._ends = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._all()))
        self.open, self.most_open, self.sent_away = 0, 0, 0

    async def _all(self) -> None:
        await asyncio.gather(*(self._one() for _ in range(CROWD)))

    async def _one(self) -> None:
        while not self._ends.is_set():
            reader, writer = await asyncio.open_connection(HERE, self._port)
            self.open += 1
            self.most_open = max(self.open, self.most_open)
            try:
                writer.write(f"GET / HTTP/1.1\r\nHost: {HOST}\r\nX: ".encode())
                while not self._ends.is_set() and not reader.at_eof():
                    writer.write(b"y")
                    await writer.drain()
                    await asyncio.sleep(0.5)
            except ConnectionError:
                self.sent_away += 1
            finally:
                self.open -= 1
                writer.transport.abort()

    def __enter__(self) -> "SlowCrowd":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._ends.set()
        self._thread.join()


def test_a_thousand_slow_clients_disturb_nobody(service: Fleet) -> None:
    probes: Counter[str] = Counter()
    longest = 0.0
    with SlowCrowd(service.port) as crowd:
        while crowd.most_open < CROWD or sum(probes.values()) < 160:
            began = time.monotonic()
            ratio = 3 + sum(probes.values()) / 1000
            answer = service.ask(f"{ADDRESS}{ratio}", source=fresh_source())
            right = answer.status == 200 and float(answer.body) == ratio
            probes["right" if right else f"{answer.status}"] += 1
            longest = max(longest, time.monotonic() - began)
            time.sleep(0.05)
    print(
        f"{crowd.most_open} slow clients at once, {crowd.sent_away} sent away meanwhile; "
        f"probes: {dict(probes)}, the longest {longest:.2f} s"
    )
    assert set(probes) == {"right"}
    assert crowd.sent_away > CROWD / 2


async def at_once(port: int) -> list[tuple[float, bytes]]:
    """So many open connections, and then a question on each."""
    opened = [await asyncio.open_connection(HERE, port, local_addr=(fresh_source(), 0)) for _ in range(CROWD)]

    async def asked(place: int) -> tuple[float, bytes]:
        reader, writer = opened[place]
        ratio = 5 + place / 10_000
        head = f"GET {ADDRESS}{ratio} HTTP/1.1\r\nHost: {HOST}\r\nConnection: close\r\n\r\n"
        writer.write(head.encode())
        received = await reader.read()
        writer.close()
        await writer.wait_closed()
        return ratio, received

    return await asyncio.gather(*(asked(place) for place in range(CROWD)))


def test_a_thousand_ordinary_clients_at_once_are_all_answered(service: Fleet) -> None:
    answers = asyncio.run(at_once(service.port))
    right = sum(
        received.startswith(b"HTTP/1.1 200 ") and float(received.rpartition(b"\r\n\r\n")[2]) == ratio
        for ratio, received in answers
    )
    print(f"{CROWD} connections at once: {right} answered right, {CROWD - right} failed")
    assert right == CROWD


ALWAYS_NEW = """
local number = 0
function setup(thread) number = number + 1; thread:set("from", number * 1000000000) end
function request()
    from = from + 1
    return wrk.format("GET", "%s&_=" .. from, {["Host"] = "%s"})
end
"""


class Run(NamedTuple):
    """What came of some seconds of as many questions as can be: answers in a second, and what one cost."""

    rate: float
    cpu_seconds: float


def run(service: Fleet, path: str, folder: Path, *, new: bool) -> Run:
    """As many questions as can be; `new` asks each time for an answer that is not kept."""
    program = shutil.which("wrk")
    assert program, "wrk is not installed"
    command = [program, "-t2", "-c32", "-d3s", "-H", f"Host: {HOST}"]
    if new:
        script = folder / "new.lua"
        script.write_text(ALWAYS_NEW % (path, HOST))
        command += ["-s", str(script)]
    before = cpu_seconds(service)
    printed = subprocess.run(
        [*command, f"http://{HERE}:{service.port}{path}"], capture_output=True, text=True, check=True
    ).stdout
    spent = cpu_seconds(service) - before
    assert "Non-2xx" not in printed, printed
    assert "Socket errors" not in printed, printed
    answers = re.search(r"(\d+) requests in ([\d.]+)s", printed)
    assert answers, printed
    return Run(int(answers[1]) / float(answers[2]), spent / int(answers[1]))


def cpu_seconds(service: Fleet) -> float:
    """What all processes of nginx and of the instances have used."""
    programs = [service.nginx, *service.instances]
    ticks = 0
    for process in {worker for program in programs for worker in program.workers()}:
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def test_beside_one_client_the_others_are_answered(tmp_path: Path) -> None:
    """The fence is that of the service alone; measured with nothing beside it is one to two times."""
    with fleet(tmp_path) as service:
        figures = measured(service.port, seconds=10.0)
    assert {name: dict(others) for name, (_, others) in figures.items() if set(others) != {200}} == {}
    assert {name: grown for name, (grown, _) in figures.items() if grown > FENCE} == {}


def test_kept_answers_cost_a_fifteenth(tmp_path: Path) -> None:
    """In CPU time, which others on this machine do not change; all from one address, so without limits."""
    no_limit = {"rate=200r/s": "rate=900000r/s", "burst=6000": "burst=900000"}
    unlimited = {"GEARING_REQUESTS_PER_MINUTE": "0", "GEARING_AT_ONCE": "0"}
    with fleet(tmp_path, unlimited, no_limit) as service:
        path = f"/v1/crawl?{demo_query(QUESTIONS['crawl'])}"
        new = run(service, path, tmp_path, new=True)
        kept = run(service, path, tmp_path, new=False)
    print(
        f"a kept answer costs 1/{new.cpu_seconds / kept.cpu_seconds:.1f} of a new one "
        f"and comes {kept.rate / new.rate:.1f} times as fast ({kept.rate:.0f} and {new.rate:.0f} a second)"
    )
    assert new.cpu_seconds > 15 * kept.cpu_seconds
    assert kept.rate > 4 * new.rate
