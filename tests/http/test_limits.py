"""Requests in a minute, heavy work at once, and who counts as one client."""

import logging
import shutil
import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.formats import chart
from gearing_api.http import bulk, rate_limit
from gearing_api.http.problems import Problem
from gearing_api.http.rate_limit import ConcurrencyLimit, InMemory, InRedis, client
from gearing_api.settings import Settings

TYRE = "/v1/tyre?tyre=265/70R17"
ROAD_SPEED = "/v1/road-speed.svg?tyre=35x12.50R17LT&axle_ratio=4.56&gear_ratios=4.46,2.61"
PLAN = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46]},
    "vary": {"axle_ratio": [4.1, 4.56]},
    "report": ["crawl_ratio"],
}


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The time of the day, in the middle of a minute, to be moved by the test."""
    now = [60_000_030.0]
    monkeypatch.setattr(rate_limit, "time", lambda: now[0])
    return now


def asking(**settings: int | str) -> FlaskClient:
    return create_app(Settings(**settings)).test_client()  # type: ignore[arg-type]


def status_from(asked: FlaskClient, address: str, path: str = TYRE) -> int:
    return asked.get(path, environ_base={"REMOTE_ADDR": address}).status_code


class TestRequestsInAMinute:
    def test_so_many_are_answered_and_one_more_is_not(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=3)
        answers = [asked.get(TYRE) for _ in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        assert [answer.headers["RateLimit"] for answer in answers] == [
            f'"default";r={left};t=30' for left in (2, 1, 0, 0)
        ]
        assert {answer.headers["RateLimit-Policy"] for answer in answers} == {'"default";q=3;w=60'}

    def test_the_refusal_says_when_to_come_again(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1)
        asked.get(TYRE)
        refusal = asked.get(TYRE)
        assert refusal.headers["Retry-After"] == "30"
        assert refusal.headers["Content-Type"] == "application/problem+json"
        assert refusal.headers["Cache-Control"] == "no-store"
        assert refusal.json is not None
        assert refusal.json["type"] == "/problems/too-many-requests"
        assert "1 times" in refusal.json["detail"]
        clock[0] += 29
        assert asked.get(TYRE).status_code == 429
        clock[0] += 1
        assert asked.get(TYRE).status_code == 200

    def test_only_a_refusal_says_when_to_come_again(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=10)
        for path in (TYRE, "/", "/nothing", "/v1/tyre"):
            assert "Retry-After" not in asked.get(path).headers

    def test_a_spreadsheet_cell_is_told_in_its_line(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1)
        asked.get(TYRE)
        assert asked.get(f"{TYRE}&errors=text").text.startswith("#ERR This address has asked 1 times")

    def test_refused_requests_count_as_well(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=4)
        for path in ("/nothing", "/v1/tyre", "/v1/tyre?tyre=x", "/problems/nothing"):
            assert asked.get(path).status_code in (404, 422)
        assert asked.get(TYRE).status_code == 429

    def test_probes_and_what_only_looks_are_free(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1, metrics=1)
        for path in ("/healthz", "/readyz", "/metrics"):
            for _ in range(3):
                free = asked.get(path)
                assert free.status_code == 200
                assert "RateLimit" not in free.headers
        for _ in range(3):
            assert asked.head(TYRE).status_code == 200
            assert asked.options(TYRE).status_code == 200
        assert asked.get(TYRE).status_code == 200

    def test_each_address_has_its_own(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1)
        assert [status_from(asked, address) for address in ("192.0.2.1", "192.0.2.2", "192.0.2.1")] == [
            200,
            200,
            429,
        ]

    def test_a_network_of_ipv6_is_one_client(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1)
        assert status_from(asked, "2001:db8:1:2::1") == 200
        assert status_from(asked, "2001:db8:1:2:ffff::9") == 429
        assert status_from(asked, "2001:db8:1:3::1") == 200

    def test_zero_is_no_limit(self) -> None:
        asked = asking(requests_per_minute=0)
        for _ in range(5):
            answer = asked.get(TYRE)
            assert answer.status_code == 200
            assert "RateLimit" not in answer.headers

    def test_it_holds_by_default(self) -> None:
        assert asking().get(TYRE).headers["RateLimit-Policy"] == '"default";q=600;w=60'

    def test_threads_lose_no_count(self) -> None:
        counts = InMemory()
        threads = [
            threading.Thread(target=lambda: [counts.add(1, "here") for _ in range(2000)]) for _ in range(4)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert counts.add(1, "here") == 8001

    def test_counts_of_the_minute_before_are_dropped(self) -> None:
        counts = InMemory()
        for place in range(1000):
            counts.add(1, str(place))
        counts.add(2, "here")
        assert len(counts._counts) == 1

    @pytest.mark.parametrize(
        ("address", "counted"),
        [
            ("192.0.2.7", "192.0.2.7"),
            ("2001:db8::7", "2001:db8::"),
            ("::ffff:192.0.2.7", "192.0.2.7"),
            ("", ""),
            ("not:an:address", "not:an:address"),
        ],
    )
    def test_who_counts_as_one(self, address: str, counted: str) -> None:
        assert client(address) == counted


class TestBehindAProxy:
    def test_nobody_is_believed_by_default(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1)
        for place, expected in enumerate((200, 429, 429)):
            forged = {"X-Forwarded-For": f"192.0.2.{place}", "Forwarded": f"for=192.0.2.{place}"}
            assert asked.get(TYRE, headers=forged).status_code == expected

    def test_the_last_hop_is_believed_and_no_other(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1, trusted_proxies=1)
        assert asked.get(TYRE, headers={"X-Forwarded-For": "192.0.2.1"}).status_code == 200
        assert asked.get(TYRE, headers={"X-Forwarded-For": "198.51.100.9, 192.0.2.1"}).status_code == 429
        assert asked.get(TYRE, headers={"X-Forwarded-For": "192.0.2.2"}).status_code == 200

    def test_two_hops(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1, trusted_proxies=2)
        assert asked.get(TYRE, headers={"X-Forwarded-For": "192.0.2.1, 10.0.0.1"}).status_code == 200
        assert (
            asked.get(TYRE, headers={"X-Forwarded-For": "203.0.113.5, 192.0.2.1, 10.0.0.2"}).status_code
            == 429
        )

    def test_links_name_the_public_address_whatever_the_request_says(self) -> None:
        forged = {"Host": "evil.example", "X-Forwarded-Host": "evil.example", "X-Forwarded-Proto": "gopher"}
        asked = asking(public_address="https://gears.example", trusted_proxies=1)
        for path in ("/v1/tyre.html?tyre=265/70R17", "/widget"):
            text = asked.get(path, headers=forged).text
            assert "https://gears.example/" in text
            assert "evil" not in text
            assert "gopher" not in text

    def test_a_forwarded_host_is_never_used(self) -> None:
        text = asking(trusted_proxies=1).get("/widget", headers={"X-Forwarded-Host": "evil.example"}).text
        assert "evil" not in text


class TestHeavyWork:
    @pytest.fixture
    def held(self, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[threading.Event, threading.Event]]:
        """Charts and comparisons that wait once they have begun: begun, and to be let go."""
        begun, go = threading.Event(), threading.Event()

        def waiting(*given: object) -> bytes:
            begun.set()
            assert go.wait(20)
            return b"done"

        monkeypatch.setattr(chart, "_written", waiting)
        monkeypatch.setattr(bulk, "columns_as_json", waiting)
        chart._render.cache_clear()
        yield begun, go
        go.set()
        chart._render.cache_clear()

    def test_one_chart_too_many_is_asked_to_come_again(
        self, held: tuple[threading.Event, threading.Event]
    ) -> None:
        begun, go = held
        app = create_app(Settings(charts_at_once=1))
        first: list[int] = []
        thread = threading.Thread(target=lambda: first.append(app.test_client().get(ROAD_SPEED).status_code))
        thread.start()
        assert begun.wait(20)
        refusal = app.test_client().get(f"{ROAD_SPEED}&idle_speed=700")
        assert refusal.status_code == 503
        assert int(refusal.headers["Retry-After"]) > 0
        assert refusal.json is not None
        assert refusal.json["detail"] == "This process has 1 charts in work already."
        assert app.test_client().get(TYRE).status_code == 200, "light requests go on"
        go.set()
        thread.join(20)
        assert first == [200]
        assert app.test_client().get(ROAD_SPEED).status_code == 200

    def test_one_request_for_many_too_many(self, held: tuple[threading.Event, threading.Event]) -> None:
        begun, go = held
        app = create_app(Settings(many_at_once=1))
        first: list[int] = []
        thread = threading.Thread(
            target=lambda: first.append(app.test_client().post("/v1/comparison", json=PLAN).status_code)
        )
        thread.start()
        assert begun.wait(20)
        rows = {"data": "tyre\n265/70R17\n", "content_type": "text/csv"}
        for path, body in (
            ("/v1/comparison.csv", {"json": PLAN}),
            ("/v1/tyre/batch", {"json": {"columns": {"tyre": ["265/70R17"]}}}),
            ("/v1/tyre", rows),
        ):
            assert app.test_client().post(path, **body).status_code == 503, path  # type: ignore[arg-type]
        go.set()
        thread.join(20)
        assert first == [200]
        assert app.test_client().post("/v1/tyre", **rows).status_code == 200  # type: ignore[arg-type]

    def test_a_stream_holds_its_place_until_its_end(self) -> None:
        app = create_app(Settings(many_at_once=1))
        stream = app.test_client().post("/v1/comparison.csv", json=PLAN)
        pieces = stream.iter_encoded()
        next(pieces)
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 503
        assert b"".join(pieces).count(b"\n") == 2
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 200

    @pytest.mark.parametrize("taken", [0, 1])
    def test_a_stream_that_is_left_gives_its_place_back(self, taken: int) -> None:
        app = create_app(Settings(many_at_once=1))
        stream = app.test_client().post("/v1/comparison.csv", json=PLAN)
        pieces = stream.iter_encoded()
        for _ in range(taken):
            next(pieces)
        stream.close()
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 200

    def test_what_is_refused_gives_its_place_back(self) -> None:
        app = create_app(Settings(many_at_once=1))
        for _ in range(3):
            assert app.test_client().post("/v1/comparison", json={}).status_code == 422
            assert app.test_client().get(f"{ROAD_SPEED}&pick=speed").status_code == 422
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 200

    def test_a_gate_of_zero_is_open(self) -> None:
        gate = ConcurrencyLimit(0, "things")
        for _ in range(100):
            gate.enter()

    def test_a_place_is_given_back_once(self) -> None:
        gate = ConcurrencyLimit(1, "things")
        leave = gate.enter()
        leave()
        leave()
        gate.enter()
        with pytest.raises(Problem):
            gate.enter()


@dataclass
class Redis:
    """A server of counts on this machine, to be stopped and started by the test."""

    port: int
    folder: Path
    process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        words = ["redis-server", "--port", str(self.port), "--save", "", "--dir", str(self.folder)]
        self.process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
        ends = time.monotonic() + 20
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port)).close()
                return
            except OSError:
                assert time.monotonic() < ends
                time.sleep(0.05)

    def stop(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait(20)
            self.process = None

    @property
    def address(self) -> str:
        return f"redis://127.0.0.1:{self.port}/0"


@pytest.fixture
def redis(tmp_path: Path) -> Iterator[Redis]:
    assert shutil.which("redis-server"), "Debian's redis-server is needed"
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        server = Redis(probe.getsockname()[1], tmp_path)
    yield server
    server.stop()


@pytest.mark.slow
def test_replicas_share_their_counts(redis: Redis, clock: list[float]) -> None:
    redis.start()
    one, other = (asking(requests_per_minute=3, rate_storage=redis.address) for _ in range(2))
    assert [status_from(asked, "192.0.2.1") for asked in (one, other, one, other, one)] == [200] * 3 + [
        429
    ] * 2
    assert status_from(other, "192.0.2.2") == 200
    clock[0] += 60
    assert status_from(one, "192.0.2.1") == 200


@pytest.mark.slow
def test_shared_counts_are_forgotten_after_their_minute(redis: Redis) -> None:
    redis.start()
    InRedis(redis.address).add(7, "192.0.2.1")
    from redis import Redis as Client

    server = Client.from_url(redis.address)
    assert 60 < server.ttl("gearing:7:192.0.2.1") <= 120
    server.close()


def test_without_redis_each_counts_for_itself(
    clock: list[float], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        asked = asking(requests_per_minute=2, rate_storage=f"redis://127.0.0.1:{nobody.getsockname()[1]}/0")
        with caplog.at_level(logging.WARNING):
            assert [status_from(asked, "192.0.2.1") for _ in range(3)] == [200, 200, 429]
    assert [record.message for record in caplog.records] == [
        "the shared counts cannot be reached: this process counts for itself"
    ]


@pytest.mark.slow
def test_counts_are_shared_again_once_redis_is_back(
    redis: Redis, clock: list[float], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rate_limit, "_PAUSE", 0.0)
    redis.start()
    one, other = (asking(requests_per_minute=2, rate_storage=redis.address) for _ in range(2))
    assert [status_from(asked, "192.0.2.1") for asked in (one, other)] == [200, 200]
    redis.stop()
    with caplog.at_level(logging.WARNING):
        assert status_from(one, "192.0.2.3") == 200
        redis.start()
        assert [status_from(asked, "192.0.2.4") for asked in (one, other, one)] == [200, 200, 429]
    assert [record.message for record in caplog.records] == [
        "the shared counts cannot be reached: this process counts for itself",
        "the shared counts are back",
    ]
