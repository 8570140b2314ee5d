"""Workers and the service stopped, killed and reloaded while many ask: who loses what."""

import http.client
import json
import os
import signal
import threading
import time
from collections.abc import Iterator, Sequence

import pytest

from gearing_api.app import create_app
from gearing_api.server.configuration import options
from gearing_api.settings import Settings
from tests.benchmarks.service import Running, running
from tests.faults.asks import HOST, JSON, Ask
from tests.faults.load import (
    ANSWERED,
    CUT_SHORT,
    NO_ANSWER,
    PATIENCE,
    REFUSED,
    RESET_FRESH,
    WRONG,
    Connection,
    Load,
    loaded,
)

pytestmark = [pytest.mark.slow, pytest.mark.alone]


@pytest.fixture(scope="module")
def service() -> Iterator[Running]:
    with running(workers=2) as started:
        yield started


def other_workers(service: Running, than: set[int], count: int = 2) -> list[int]:
    """The workers, once there are so many that were not there before."""
    ends = time.monotonic() + PATIENCE
    while len(found := [worker for worker in service.workers() if worker not in than]) < count:
        assert time.monotonic() < ends, (than, service.workers())
        time.sleep(0.02)
    return found


def show(what: str, load: Load) -> None:
    print(f"\n{what}: {load.told()}")


def test_without_faults_all_is_answered_right(service: Running, asks: Sequence[Ask]) -> None:
    with loaded(service.port, asks) as load:
        load.wait_for(10 * len(asks))
    show("no fault", load)
    assert load.failed == {}
    assert set(load.answered_by_kind) == {ask.kind for ask in asks}


def test_a_killed_worker_loses_only_the_requests_that_were_in_it(
    service: Running, asks: Sequence[Ask]
) -> None:
    threads = options(Settings(), "", 0, 2)["threads"]
    before = service.workers()
    with loaded(service.port, asks, threads=60) as load:
        load.wait_for(300)
        os.kill(before[0], signal.SIGKILL)
        other_workers(service, {*before}, 1)
        load.wait_for(500)
        with_the_new = load.counts.total()
        load.wait_for(500)
    show("a worker killed", load)
    assert before[1] in service.workers()
    assert load.failed.get(CUT_SHORT, 0) + load.failed.get(RESET_FRESH, 0) <= 2 * threads
    assert not {WRONG, REFUSED, NO_ANSWER} & {*load.failed}
    assert load.last_failure < with_the_new, "nothing is lost once there is a new worker"


def test_a_worker_that_is_asked_to_stop_loses_nothing(service: Running, asks: Sequence[Ask]) -> None:
    with loaded(service.port, asks) as load:
        for _ in range(2):
            before = service.workers()
            load.wait_for(200)
            os.kill(before[0], signal.SIGTERM)
            other_workers(service, {*before}, 1)
        load.wait_for(500)
    show("two workers stopped", load)
    assert load.failed == {}


def test_reloads_lose_nothing(service: Running, asks: Sequence[Ask]) -> None:
    with loaded(service.port, asks) as load:
        for _ in range(3):
            before = service.workers()
            load.wait_for(200)
            service.process.send_signal(signal.SIGHUP)
            other_workers(service, {*before})
        load.wait_for(500)
    show("three reloads", load)
    assert load.failed == {}


def test_a_service_that_stops_answers_all_that_it_has_accepted(asks: Sequence[Ask]) -> None:
    """A connection that comes after the last look at the queue, and before it is closed, the kernel resets.

    Nobody has accepted it, nothing of it was read, and whoever asks may ask elsewhere, as after a refusal.
    """
    with running(workers=2) as service, loaded(service.port, asks, threads=16) as load:
        load.wait_for(300)
        service.process.send_signal(signal.SIGTERM)
        assert service.process.wait(PATIENCE) == 0
        time.sleep(0.2)
    show("the service stopped", load)
    assert {*load.failed} - {RESET_FRESH} == {REFUSED}
    assert load.failed.get(RESET_FRESH, 0) <= 4


def test_connections_that_wait_when_the_service_stops_are_answered(asks: Sequence[Ask]) -> None:
    """The workers stand still, so all wait in the kernel's queue when the service is told to stop."""
    some = [ask for ask in asks if ask.method == "GET" and not ask.heavy][:60]
    became: list[str] = []
    with running(workers=2) as service:
        workers = service.workers()
        for worker in workers:
            os.kill(worker, signal.SIGSTOP)
        asking = [
            threading.Thread(
                target=lambda ask=ask: became.append(Connection(service.port, kept=False).ask(ask))
            )
            for ask in some
        ]
        for thread in asking:
            thread.start()
        until_waiting(service.port, len(some))
        service.process.send_signal(signal.SIGTERM)
        time.sleep(0.5)
        for worker in workers:
            os.kill(worker, signal.SIGCONT)
        for thread in asking:
            thread.join()
        assert service.process.wait(PATIENCE) == 0
    print(f"\n{became.count(ANSWERED)} of {len(some)} that waited were answered")
    assert became == [ANSWERED] * len(some)


def until_waiting(port: int, count: int) -> None:
    """Until so many connections wait to be accepted, as the kernel tells it."""
    listening = f"0100007F:{port:04X} 00000000:0000 0A "
    ends = time.monotonic() + PATIENCE
    while True:
        with open("/proc/net/tcp") as sockets:
            line = next(line for line in sockets if listening in line)
        if int(line.partition(listening)[2].split()[0].split(":")[1], 16) >= count:
            return
        assert time.monotonic() < ends, line
        time.sleep(0.02)


def test_a_stream_that_has_begun_is_ended_in_full_when_the_service_stops() -> None:
    plan = {
        "build": {"tyre": "35 in", "gear_ratios": [4.46, 2.61, 1]},
        "vary": {"axle_ratio": [3 + place / 1000 for place in range(1000)], "idle_speed": [*range(600, 800)]},
        "report": ["crawl_ratio", "crawl_speed"],
    }
    client = create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0)).test_client()
    expected = client.post("/v1/comparison.csv", json=plan, base_url=f"http://{HOST}").data
    with running(workers=1) as service:
        connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=PATIENCE)
        connection.request("POST", "/v1/comparison.csv", json.dumps(plan), JSON)
        with connection.getresponse() as response:
            received = response.read(1000)
            service.process.send_signal(signal.SIGTERM)
            time.sleep(0.5)
            received += response.read()
        connection.close()
        assert service.process.wait(PATIENCE) == 0
    assert received == expected
