"""What a monitoring system collects: right over all workers, bounded, and off unless it is wanted."""

import os
import signal
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests
from flask import Flask
from prometheus_client.parser import text_string_to_metric_families

from gearing_api.app import create_app
from gearing_api.settings import Settings
from tests.benchmarks.service import Running, running
from tests.server.test_logs import asked

TYRE = "/v1/tyre?tyre=265/70R17"
FOLDERS = "gearing-*"


@pytest.fixture
def measured() -> Flask:
    return create_app(Settings(metrics=1, requests_per_minute=0, cpu_seconds_per_minute=0))


def collected(text: str) -> dict[tuple[str, ...], float]:
    """The value of every sample, by its name and the values of its labels, in this order."""
    order = ("route", "method", "status", "le", "pid")
    return {
        (sample.name, *(sample.labels[label] for label in order if label in sample.labels)): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_it_is_off_unless_it_is_wanted() -> None:
    app = create_app(Settings())
    assert app.test_client().get("/metrics").status_code == 404
    assert Settings().metrics == 0


def test_requests_are_counted_by_route_method_and_status(measured: Flask) -> None:
    client = measured.test_client()
    for path in (TYRE, TYRE, "/v1/tyre?tyre=x", "/v1/crawl.txt"):
        client.get(path)
    client.head(TYRE)
    client.post("/v1/comparison", json={})
    found = collected(client.get("/metrics").text)
    assert found["gearing_requests_total", "/v1/tyre", "GET", "200"] == 2
    assert found["gearing_requests_total", "/v1/tyre", "GET", "422"] == 1
    assert found["gearing_requests_total", "/v1/crawl.txt", "GET", "422"] == 1
    assert found["gearing_requests_total", "/v1/tyre", "HEAD", "200"] == 1
    assert found["gearing_requests_total", "/v1/comparison", "POST", "422"] == 1
    assert found["gearing_request_seconds_count", "/v1/tyre"] == 4
    assert found["gearing_request_seconds_bucket", "/v1/tyre", "+Inf"] == 4
    assert 0 < found["gearing_request_seconds_sum", "/v1/tyre"] < 60


def test_only_the_one_that_asks_is_in_work(measured: Flask) -> None:
    client = measured.test_client()
    client.get(TYRE)
    client.get("/nothing")
    assert collected(client.get("/metrics").text)["gearing_requests_in_work",] == 1


def test_strangers_cannot_add_to_the_number_of_series(measured: Flask) -> None:
    client = measured.test_client()
    client.get("/nothing", buffered=True)
    client.open("/nothing", method="BREW", buffered=True)
    before = len(collected(client.get("/metrics").text))
    for place in range(200):
        client.get(f"/nothing/{place}", buffered=True)
        client.open(f"/{place}", method=f"BREW{place}", buffered=True)
        client.get(f"/problems/{place}", buffered=True)
        client.get(f"/v1/tyre?tyre={place}", buffered=True)
    after = collected(client.get("/metrics").text)
    assert after["gearing_requests_total", "none", "GET", "404"] == 201
    routes = {key[1] for key in after if key[0] == "gearing_requests_total"}
    assert routes == {"none", "/problems/<slug>", "/v1/tyre", "/metrics"}
    assert len(after) - before <= 3 * 20


def test_two_applications_in_one_process_do_not_disturb_each_other(measured: Flask) -> None:
    other = create_app(Settings(metrics=1))
    measured.test_client().get(TYRE)
    found = collected(other.test_client().get("/metrics").text)
    assert ("gearing_requests_total", "/v1/tyre", "GET", "200") not in found


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Running]:
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr(tempfile, "tempdir", None)
    with running(2, environment=os.environ, metrics=1, access_log=0) as started:
        yield started
    assert not [*tmp_path.glob(FOLDERS)], "the service has tidied up"


def total(service: Running) -> float:
    text = requests.get(f"http://127.0.0.1:{service.port}/metrics", timeout=20).text
    return collected(text)["gearing_requests_total", "/v1/tyre", "GET", "200"]


def test_all_workers_count_together_and_what_one_counted_outlives_it(
    service: Running, tmp_path: Path
) -> None:
    line = f"GET {TYRE} HTTP/1.1".encode()
    for silent in service.workers():
        os.kill(silent, signal.SIGSTOP)
        for _ in range(20):
            asked(service.port, line)
        os.kill(silent, signal.SIGCONT)
    assert len([*tmp_path.glob(f"{FOLDERS}/counter_*")]) == 2, "each has answered while the other could not"
    assert {total(service) for _ in range(8)} == {40}
    first, _ = service.workers()
    os.kill(first, signal.SIGKILL)
    ends = time.monotonic() + 30
    while first in service.workers() or len(service.workers()) < 2:
        assert time.monotonic() < ends
        time.sleep(0.05)
    for _ in range(10):
        asked(service.port, line)
    assert {total(service) for _ in range(8)} == {50}
