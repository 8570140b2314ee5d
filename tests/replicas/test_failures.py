"""What is lost when a part of the system is: nothing that was not being sent at that moment."""

import http.client
import json
import signal
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import closing
from itertools import pairwise
from typing import Any

import pytest

from tests.faults.asks import COMPARISON, HOST, JSON, Ask, mixed
from tests.faults.load import CUT_SHORT
from tests.replicas.fleet import HERE, PATIENCE, Fleet, fleet, fresh_source, json_lines, wait_until
from tests.replicas.load import loaded
from tests.replicas.test_limits import QUOTA, left, time_left

pytestmark = [pytest.mark.slow, pytest.mark.alone]

THREADS = 8
PICKED = "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter"
KEPT_SECONDS = 2
LONGEST_PAUSE = 6
"""A worker tries Redis again after 5 s."""


@pytest.fixture(scope="module")
def asks() -> list[Ask]:
    return mixed(f"http://{HOST}")


@pytest.fixture(scope="module")
def to_break(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Fleet]:
    """A system where what is kept grows old soon, and streams last."""
    settings = {
        "GEARING_CACHE_SECONDS": str(KEPT_SECONDS),
        "GEARING_CELLS": "100000000",
        "GEARING_REQUESTS_PER_MINUTE": str(QUOTA),
    }
    with fleet(tmp_path_factory.mktemp("broken"), settings) as running:
        yield running


@pytest.fixture
def service(to_break: Fleet) -> Fleet:
    """All of it, whatever another test has left."""
    to_break.mend()
    return to_break


def lines_of(service: Fleet, place: int, after: int) -> list[dict[str, Any]]:
    """What nginx has logged about requests that one instance answered, from that line on."""
    port = service.instances[place].port
    return [line for line in json_lines(service.access_log)[after:] if line["instance"] == f"{HERE}:{port}"]


@pytest.mark.parametrize("way", ["SIGKILL", "SIGTERM"])
def test_an_instance_may_go_and_come_back_under_load(way: str, service: Fleet, asks: list[Ask]) -> None:
    """An answer that a killed instance was sending is lost, and seen to be; nothing else is."""
    instance = service.instances[0]
    begun = len(json_lines(service.access_log))
    with loaded(service.port, asks, THREADS) as load:
        load.wait_for(150)
        instance.kill() if way == "SIGKILL" else instance.stop()
        load.wait_for(150)
        instance.start()
        back = len(json_lines(service.access_log))
        load.wait_for(150)
        wait_until(lambda: len(lines_of(service, 0, back)) > 20, "the instance takes part again")
    print(f"{way}: {load.told()}")
    lost = load.failed
    assert lost.pop(CUT_SHORT, 0) <= (THREADS if way == "SIGKILL" else 0), load.told()
    assert lost == {}, load.told()
    assert not refused_by_nginx(service, begun)


def test_all_workers_may_be_renewed_at_once_under_load(service: Fleet, asks: list[Ask]) -> None:
    begun = len(json_lines(service.access_log))

    def workers() -> set[int]:
        return {worker for instance in service.instances for worker in instance.workers()}

    before = workers()
    with loaded(service.port, asks, THREADS) as load:
        load.wait_for(150)
        for instance in service.instances:
            instance.signal(signal.SIGHUP)
        wait_until(lambda: len(workers()) == 4 and not workers() & before, "four new workers run")
        load.wait_for(150)
    print(f"SIGHUP of both: {load.told()}")
    assert load.failed == {}, load.told()
    assert not refused_by_nginx(service, begun)


def refused_by_nginx(service: Fleet, after: int) -> list[dict[str, Any]]:
    """The requests, from that line of its log on, for which nginx had no instance."""
    lines = json_lines(service.access_log)[after:]
    return [line for line in lines if line["status"] == 503 and not line["instance_status"].endswith("503")]


def test_redis_may_go_and_come_back_under_load(service: Fleet, asks: list[Ask]) -> None:
    """Meanwhile each worker counts for itself, and says so once."""
    assert shared_count(service)
    with loaded(service.port, asks, THREADS) as load:
        load.wait_for(100)
        service.redis.kill()
        wait_until(lambda: who_says(service, "cannot be reached") == 2, "workers of both instances say so")
        assert not shared_count(service)
        service.redis.start()
        wait_until(lambda: who_says(service, "are back") == 2, "workers of both instances say so")
        time.sleep(LONGEST_PAUSE)
        wait_until(lambda: shared_count(service), "counts are shared again")
    print(f"Redis gone and back: {load.told()}")
    assert load.failed == {}, load.told()
    for instance in service.instances:
        for said in by_worker(instance.lines()):
            assert said, "every worker has something to say of it"
            assert all(one != next for one, next in pairwise(said)), "and nothing twice"
            assert "are back" in said[-1]


def by_worker(lines: Iterable[dict[str, Any]]) -> list[list[str]]:
    """What each worker said of the shared counts, in order."""
    told: dict[int, list[str]] = {}
    for line in lines:
        if "shared counts" in line.get("message", ""):
            told.setdefault(line["process"], []).append(line["message"])
    return [*told.values()]


def shared_count(service: Fleet) -> bool:
    """Whether both instances know more of forty requests than their own half. Counts are exchanged a little later."""
    time_left(20)
    told = left(service, fresh_source(), 40)
    return min(told) < QUOTA - 25


def who_says(service: Fleet, phrase: str) -> int:
    """How many instances have a worker that says so."""
    return sum(
        any(phrase in line.get("message", "") for line in instance.lines()) for instance in service.instances
    )


def test_what_is_kept_is_given_out_while_no_instance_runs(service: Fleet) -> None:
    source, lasting = fresh_source(), "/widget/1.0.0/gearing-card.js"
    module = service.ask(lasting, source=source).body
    assert service.ask(PICKED, source=source).body == b"33.0"
    time.sleep(KEPT_SECONDS + 1)
    for instance in service.instances:
        instance.kill()
    assert service.ask(lasting, source=source).body == module
    old = service.ask(PICKED, source=source)
    assert (old.status, old.body) == (200, b"33.0")
    new = service.ask(f"{PICKED}&_=new", source=source)
    secret = service.ask("/v1/from-text?q=a+secret+sentence", source=source)
    posted = service.ask("/v1/tyre", JSON, method="POST", body=b'{"tyre": "33 in"}', source=source)
    probed = service.ask("/readyz", source=source)
    for refused in (new, secret, posted, probed):
        assert refused.status == 503
        assert refused.problem["type"].endswith("/problems/busy")
        assert refused.headers["Retry-After"] == "10"
        assert refused.headers["Cache-Control"] == "no-store"
    kept = Counter(line["cache"] for line in service.passed(source, 8))
    assert kept == {"MISS": 4, "HIT": 1, "STALE": 1, "": 2}
    assert "secret" not in service.error_log.read_text() + service.access_log.read_text()
    print("both instances down: an old answer 200, a new question 503")
    service.mend()
    wait_until(lambda: service.ask(f"{PICKED}&_=again", source=source).status == 200, "it answers again")


@pytest.mark.parametrize("coding", ["identity", "gzip"])
def test_a_stream_that_breaks_is_seen_as_broken(coding: str, service: Fleet) -> None:
    steps, speeds = [3 + place / 1000 for place in range(7000)], [*range(600, 950)]
    plan = json.dumps({**COMPARISON, "vary": {"axle_ratio": steps, "idle_speed": speeds}})
    connection = http.client.HTTPConnection(HERE, service.port, PATIENCE, source_address=(fresh_source(), 0))
    with closing(connection):
        connection.request(
            "POST", "/v1/comparison.csv", plan, {"Host": HOST, "Accept-Encoding": coding, **JSON}
        )
        with connection.getresponse() as answer:
            assert (answer.status, answer.headers.get("Content-Encoding", "identity")) == (200, coding)
            assert len(answer.read(10_000)) == 10_000
            for instance in service.instances:
                instance.kill()
            with pytest.raises((http.client.IncompleteRead, ConnectionResetError)) as broken:
                answer.read()
    print(f"a stream cut off, {coding}: {broken.value!r}")
