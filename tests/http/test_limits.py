"""Requests in a minute, heavy work at once, and who counts as one client."""

import errno
import io
import logging
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import inf
from pathlib import Path
from time import monotonic
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import EnvironBuilder

from gearing_api import checkpoint
from gearing_api.app import create_app
from gearing_api.batch import columns
from gearing_api.formats import pictures
from gearing_api.http import bulk, counts, rate_limit, routes, turns
from gearing_api.http.counts import Counts, Quota, SharedCounts
from gearing_api.http.problems import Problem
from gearing_api.http.rate_limit import client
from gearing_api.http.turns import ConcurrencyLimit, Turns
from gearing_api.settings import Settings
from tests.ports import free_port

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
    monkeypatch.setattr(counts, "time", lambda: now[0])
    return now


def asking(**settings: int | str) -> FlaskClient:
    chosen: dict[str, Any] = {"cpu_seconds_per_minute": 0, **settings}
    return create_app(Settings(**chosen)).test_client()


def status_from(asked: FlaskClient, address: str, path: str = TYRE) -> int:
    return asked.get(path, environ_base={"REMOTE_ADDR": address}).status_code


class TestRequestsInAMinute:
    def test_so_many_are_answered_and_one_more_is_not(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=3)
        answers = [asked.get(TYRE) for _ in range(4)]
        assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
        assert [answer.headers["RateLimit"] for answer in answers] == [
            f'"default";r={left};t={wait}' for left, wait in ((2, 60), (1, 60), (0, 60), (0, 50))
        ]
        assert {answer.headers["RateLimit-Policy"] for answer in answers} == {'"default";q=3;w=60'}

    def test_the_refusal_says_when_to_come_again(self, clock: list[float]) -> None:
        """Exactly when: a second before is too early."""
        asked = asking(requests_per_minute=3)
        for _ in range(3):
            asked.get(TYRE)
        refusal = asked.get(TYRE)
        assert refusal.headers["Retry-After"] == "50"
        assert refusal.headers["Content-Type"] == "application/problem+json"
        assert refusal.headers["Cache-Control"] == "no-store"
        assert refusal.json is not None
        assert refusal.json["type"].endswith("/problems/too-many-requests")
        assert refusal.json["detail"].startswith("This address has asked 3 times within a minute")
        clock[0] += 49
        assert asked.get(TYRE).status_code == 429
        clock[0] += 1
        assert [asked.get(TYRE).status_code for _ in range(2)] == [200, 429]

    def test_two_minutes_worth_cannot_be_asked_where_one_ends(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=10)
        clock[0] += 29.5
        assert [asked.get(TYRE).status_code for _ in range(11)] == [200] * 10 + [429]
        clock[0] += 1
        assert asked.get(TYRE).status_code == 429, "the next minute has begun"
        clock[0] += 30
        assert [asked.get(TYRE).status_code for _ in range(6)] == [200] * 5 + [429], "half of it is over"

    def test_only_a_refusal_says_when_to_come_again(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=10)
        for path in (TYRE, "/", "/nothing", "/v1/tyre"):
            assert "Retry-After" not in asked.get(path).headers

    def test_a_spreadsheet_cell_is_told_in_its_line(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1)
        asked.get(TYRE)
        assert asked.get(f"{TYRE}&errors=text").text.startswith(
            "#ERR This address has asked 1 times within a minute"
        )

    def test_refused_requests_count_as_well(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=4)
        for path in ("/nothing", "/v1/tyre", "/v1/tyre?tyre=x", "/problems/nothing"):
            assert asked.get(path).status_code in (404, 422)
        assert asked.get(TYRE).status_code == 429

    def test_what_is_refused_for_its_number_does_not_count(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=2)
        assert [asked.get(TYRE).status_code for _ in range(20)] == [200] * 2 + [429] * 18
        clock[0] += 75
        assert asked.get(TYRE).status_code == 200

    def test_a_head_counts_like_a_get(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=2)
        page = TYRE.replace("tyre?", "tyre.html?")
        assert [asked.head(page).status_code for _ in range(3)] == [200, 200, 429]

    def test_probes_and_preflights_are_free(self, clock: list[float]) -> None:
        asked = asking(requests_per_minute=1, metrics=1)
        for path in ("/healthz", "/readyz", "/metrics"):
            for _ in range(3):
                free = asked.get(path)
                assert free.status_code == 200
                assert "RateLimit" not in free.headers
        for _ in range(3):
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
        policy = Settings(cpu_seconds_per_minute=20)
        answer = create_app(policy).test_client().get(TYRE)
        assert answer.headers["RateLimit-Policy"] == '"default";q=6000;w=60, "cpu-ms";q=20000;w=60'
        assert Settings().cpu_seconds_per_minute == 20

    def test_threads_lose_no_count(self) -> None:
        counts, quota = Counts(), Quota(1e6, 1e6)
        threads = [
            threading.Thread(target=lambda: [counts.admit("here", quota) for _ in range(2000)])
            for _ in range(4)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert counts.admit("here", quota).requests == 1e6 - 8001

    def test_counts_of_two_minutes_before_are_dropped(self, clock: list[float]) -> None:
        counts = Counts()
        for place in range(1000):
            counts.admit(str(place), Quota(10, 10))
        clock[0] += 60
        counts.admit("here", Quota(10, 10))
        assert (len(counts._before), len(counts._now)) == (1000, 1)
        clock[0] += 60
        counts.admit("here", Quota(10, 10))
        assert (len(counts._before), len(counts._now)) == (1, 1)
        clock[0] += 500
        counts.admit("here", Quota(10, 10))
        assert (len(counts._before), len(counts._now)) == (0, 1)

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


class TestComputing:
    """The time of the thread on a processor, beside the number of requests."""

    @pytest.fixture
    def work(self, monkeypatch: pytest.MonkeyPatch) -> list[float]:
        """The thread's time, which the test moves."""
        now = [0.0]
        monkeypatch.setattr(rate_limit, "thread_time", lambda: now[0])
        return now

    @pytest.fixture
    def asked(self, work: list[float], monkeypatch: pytest.MonkeyPatch, clock: list[float]) -> FlaskClient:
        """Each request of a tyre takes three seconds."""
        answer = routes.answer_as_document

        def slow(*given: Any, **more: Any) -> Any:
            work[0] += 3.0
            return answer(*given, **more)

        monkeypatch.setattr(routes, "answer_as_document", slow)
        return asking(requests_per_minute=0, cpu_seconds_per_minute=10)

    def test_a_client_that_has_had_its_share_waits(self, asked: FlaskClient, clock: list[float]) -> None:
        answers = []
        for _ in range(5):
            answers.append(asked.get(TYRE))
            answers[-1].close()
        assert [answer.status_code for answer in answers] == [200] * 4 + [429]
        assert [answer.headers["RateLimit"] for answer in answers] == [
            f'"cpu-ms";r={left};t={wait}'
            for left, wait in ((10000, 60), (7000, 60), (4000, 60), (1000, 60), (0, 40))
        ]
        assert answers[-1].headers["Retry-After"] == "40"
        assert answers[-1].json is not None
        assert (
            answers[-1].json["detail"].startswith("This address has used 10 s of computing within a minute")
        )
        assert status_from(asked, "192.0.2.9") == 200, "another"
        clock[0] += 39
        assert asked.get(TYRE).status_code == 429
        clock[0] += 1.01
        assert asked.get(TYRE).status_code == 200

    def test_whatever_is_answered_is_charged(self, asked: FlaskClient) -> None:
        bad = "/v1/tyre?tyre=265/70R17&pick=nothing"
        statuses = [asked.get(bad).status_code for _ in range(5)]
        assert statuses == [422] * 4 + [429]

    def test_a_stream_is_charged_when_it_is_over(self, work: list[float], clock: list[float]) -> None:
        asked = asking(requests_per_minute=0, cpu_seconds_per_minute=10)
        stream = asked.post("/v1/comparison.csv", json=PLAN, buffered=False)
        pieces = stream.iter_encoded()
        next(pieces)
        work[0] += 9.5
        assert b"".join(pieces)
        assert asked.get(TYRE).headers["RateLimit"] == '"cpu-ms";r=500;t=60'

    def test_no_request_may_have_more_than_a_minute_s_worth(
        self, work: list[float], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        read = columns.read_columns

        def slow(*given: Any) -> Any:
            work[0] += 11.0
            return read(*given)

        monkeypatch.setattr(bulk, "read_columns", slow)
        asked = asking(requests_per_minute=0, cpu_seconds_per_minute=10)
        refusal = asked.post("/v1/tyre/batch", json={"columns": {"tyre": ["265/70R17"]}})
        assert refusal.status_code == 413
        assert refusal.json is not None
        assert refusal.json["detail"].startswith("This request computes for more than 10 s")


class TestDeadline:
    @pytest.fixture
    def late(self, monkeypatch: pytest.MonkeyPatch) -> list[float]:
        """A clock that the test moves."""
        now = [0.0]
        monkeypatch.setattr(rate_limit, "monotonic", lambda: now[0])
        return now

    def test_work_ends_with_its_time(self, late: list[float], monkeypatch: pytest.MonkeyPatch) -> None:
        read = columns.read_columns

        def slow(*given: Any) -> Any:
            late[0] += 61.0
            return read(*given)

        monkeypatch.setattr(bulk, "read_columns", slow)
        refusal = asking().post("/v1/tyre/batch", json={"columns": {"tyre": ["265/70R17"]}})
        assert refusal.status_code == 503
        assert refusal.json is not None
        assert refusal.json["detail"] == "This request was not answered within 60 s: it is stopped."

    def test_a_stream_breaks_off(self, late: list[float], caplog: pytest.LogCaptureFixture) -> None:
        plan = PLAN | {"vary": {"axle_ratio": [3 + place / 10_000 for place in range(20_000)]}}
        pieces = asking().post("/v1/comparison.csv", json=plan, buffered=False).iter_encoded()
        next(pieces)
        next(pieces)
        late[0] += 61.0
        with pytest.raises(BrokenPipeError):
            b"".join(pieces)
        assert [record.message for record in caplog.records] == [
            "An answer breaks off: This request was not answered within 60 s: it is stopped."
        ]

    def test_without_a_request_nothing_ends(self) -> None:
        checkpoint.may_go_on()


class TestTurns:
    """The requests of one client compute one after the other."""

    def test_so_many_of_one_client_are_taken_on(self) -> None:
        turns = Turns(2)
        first, _ = turns.enter("here"), turns.enter("here")
        with pytest.raises(Problem, match="2 requests in work") as refused:
            turns.enter("here")
        assert refused.value.status == 429
        turns.enter("there")
        first.leave()
        turns.enter("here")

    def test_the_next_works_when_one_leaves(self) -> None:
        turns = Turns(0)
        first, second, third = (turns.enter("here") for _ in range(3))
        ends = time.monotonic() + 20
        assert first.take(ends)
        order: list[str] = []
        threads = []
        for name, turn in (("second", second), ("third", third)):
            threads.append(
                threading.Thread(target=lambda n=name, t=turn: (t.take(ends), order.append(n), t.leave()))
            )
            threads[-1].start()
            while len(first._line.waiting) < len(threads):
                time.sleep(0.001)
        assert turns.enter("there").take(ends), "another client does not wait"
        assert not turns.enter("here").take(time.monotonic() + 0.01), "its time is over"
        first.leave()
        for thread in threads:
            thread.join(20)
        assert order == ["second", "third"]

    def test_work_lets_those_who_wait_go_first(self) -> None:
        turns = Turns(0)
        long, short = turns.enter("here"), turns.enter("here")
        ends = time.monotonic() + 20
        assert long.take(ends)
        assert long.pass_on(ends), "nobody waits"
        thread = threading.Thread(target=lambda: (short.take(ends), short.leave()))
        thread.start()
        while not long._line.waiting:
            time.sleep(0.001)
        assert long.pass_on(ends)
        assert not short.held
        thread.join(20)

    def test_nothing_is_kept_of_a_client_that_is_gone(self) -> None:
        turns = Turns(0)
        for place in range(100):
            turns.enter(str(place)).leave()
        assert not turns._lines


HOLDS = """
import sys, time
from gearing_api.http.turns import OneProcessor

processor = OneProcessor(sys.argv[1])
assert processor.take("127.0.0.1", time.monotonic() + 60)
print("taken", flush=True)
sys.stdin.read()
"""


@contextmanager
def another_process(file: Path) -> Iterator["subprocess.Popen[str]"]:
    """A process that wants to work for this machine's own address, until its input ends."""
    command = [sys.executable, "-c", HOLDS, str(file)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        try:
            yield process
        finally:
            process.kill()


class TestOneProcessor:
    """What the processes of a machine let one client have between them."""

    def test_a_client_that_computes_much_waits_for_the_other_process(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        asked = asking(turns_file=str(tmp_path / "turns"), cpu_seconds_per_minute=10)
        with another_process(tmp_path / "turns") as other:
            assert other.stdout is not None
            assert other.stdout.readline() == "taken\n"
            assert asked.get(TYRE).status_code == 200, "little is computed for it yet"
            with monkeypatch.context() as patched:
                patched.setattr(rate_limit, "_MUCH", 0.0)
                patched.setattr(turns, "monotonic", lambda: inf)
                assert asked.get(TYRE).status_code == 503
                assert status_from(asked, "127.0.0.2") == 200
            other.kill()
            other.wait()
        monkeypatch.setattr(rate_limit, "_MUCH", 0.0)
        assert asked.get(TYRE).status_code == 200, "what ends lets go"

    def test_where_files_cannot_be_locked_nobody_waits(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def refuse(*_: object) -> None:
            raise OSError(errno.ENOLCK, "No locks available")

        monkeypatch.setattr(turns.fcntl, "lockf", refuse)
        turn = Turns(2, str(tmp_path / "turns")).enter("127.0.0.1")
        assert turn.take(monotonic(), alone=True)
        turn.leave()

    def test_work_lets_the_other_process_go_first(self, tmp_path: Path) -> None:
        turn = Turns(2, str(tmp_path / "turns")).enter("127.0.0.1")
        ends = monotonic() + 60
        assert turn.take(ends, alone=True)
        with another_process(tmp_path / "turns") as other:
            assert other.stdin is not None
            other.stdin.close()
            while other.poll() is None:
                assert turn.pass_on(ends, alone=True)
            assert other.returncode == 0
        turn.leave()


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

        def waiting_pieces(*given: object) -> Iterator[bytes]:
            yield waiting()

        monkeypatch.setattr(pictures, "written", waiting)
        monkeypatch.setattr(bulk, "columns_as_json", waiting_pieces)
        yield begun, go
        go.set()

    def test_one_chart_too_many_is_asked_to_come_again(
        self, held: tuple[threading.Event, threading.Event]
    ) -> None:
        begun, go = held
        app = create_app(Settings(charts_at_once=1))
        first: list[int] = []
        thread = threading.Thread(target=lambda: first.append(app.test_client().get(ROAD_SPEED).status_code))
        thread.start()
        assert begun.wait(20)
        another = {"REMOTE_ADDR": "192.0.2.1"}
        refusal = app.test_client().get(f"{ROAD_SPEED}&idle_speed=700", environ_base=another)
        assert refusal.status_code == 503
        assert int(refusal.headers["Retry-After"]) > 0
        assert refusal.json is not None
        assert refusal.json["detail"] == "This process has 1 charts in work already."
        assert app.test_client().get(TYRE, environ_base=another).status_code == 200, "light requests go on"
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
            refused = app.test_client().post(path, **body, environ_base={"REMOTE_ADDR": "192.0.2.1"})  # type: ignore[arg-type]
            assert refused.status_code == 503, path
        go.set()
        thread.join(20)
        assert first == [200]
        assert app.test_client().post("/v1/tyre", **rows).status_code == 200  # type: ignore[arg-type]

    def test_a_stream_holds_its_place_until_its_end(self) -> None:
        app = create_app(Settings(many_at_once=1))
        stream = app.test_client().post("/v1/comparison.csv", json=PLAN, buffered=False)
        pieces = stream.iter_encoded()
        next(pieces)
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 503
        assert b"".join(pieces).count(b"\n") == 2
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 200

    @pytest.mark.parametrize("taken", [0, 1])
    def test_a_stream_that_is_left_gives_its_place_back(self, taken: int) -> None:
        app = create_app(Settings(many_at_once=1))
        stream = app.test_client().post("/v1/comparison.csv", json=PLAN, buffered=False)
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
            gate.enter("here")

    def test_one_client_has_half_of_the_places(self) -> None:
        gate = ConcurrencyLimit(4, "things")
        leave, _ = gate.enter("here"), gate.enter("here")
        with pytest.raises(Problem, match="This address has 2 things in work already"):
            gate.enter("here")
        gate.enter("there")
        gate.enter("there")
        with pytest.raises(Problem, match="This process has 4 things in work already"):
            gate.enter("elsewhere")
        leave()
        gate.enter("elsewhere")

    def test_a_place_is_given_back_once(self) -> None:
        gate = ConcurrencyLimit(1, "things")
        leave = gate.enter("here")
        leave()
        leave()
        gate.enter("here")
        with pytest.raises(Problem):
            gate.enter("there")

    def test_a_body_that_does_not_come_holds_no_place(self) -> None:
        """The place is taken when the body has been read."""
        app = create_app(Settings(many_at_once=1))
        begun, go = threading.Event(), threading.Event()

        class Slow(io.RawIOBase):
            def readinto(self, into: Any) -> int:
                begun.set()
                assert go.wait(20)
                return 0

        def upload() -> None:
            environ = EnvironBuilder(path="/v1/tyre", method="POST", content_type="text/csv").get_environ()
            environ |= {"wsgi.input": Slow(), "CONTENT_LENGTH": "9"}
            b"".join(app(environ, lambda *_: lambda _: None))

        thread = threading.Thread(target=upload)
        thread.start()
        assert begun.wait(20)
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 200
        go.set()
        thread.join(20)

    def test_an_answer_that_nobody_takes_holds_its_place(self) -> None:
        """Also one that is not streamed: the place is left when it has been sent, or dropped."""
        app = create_app(Settings(many_at_once=1))
        environ = EnvironBuilder(path="/v1/comparison", method="POST", json=PLAN).get_environ()
        sent = app(environ, lambda *_: lambda _: None)
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 503
        b"".join(sent)
        assert app.test_client().post("/v1/comparison", json=PLAN).status_code == 200


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
    server = Redis(free_port(), tmp_path)
    yield server
    server.stop()


@pytest.mark.slow
@pytest.mark.alone
def test_replicas_share_their_counts(redis: Redis, clock: list[float]) -> None:
    redis.start()
    one, other = (asking(requests_per_minute=3, rate_storage=redis.address) for _ in range(2))
    statuses = []
    for asked in (one, other, one, other, one):
        statuses.append(status_from(asked, "192.0.2.1"))
        time.sleep(0.3)  # some exchanges
    assert statuses == [200] * 3 + [429] * 2
    assert status_from(other, "192.0.2.2") == 200
    clock[0] += 75
    assert status_from(one, "192.0.2.1") == 200


@pytest.mark.slow
def test_shared_counts_are_forgotten_after_their_minute(redis: Redis) -> None:
    redis.start()
    assert SharedCounts(redis.address)._add(7, [("192.0.2.1", 2, 0.5)]) == [(2, 0.5)]
    from redis import Redis as Client

    server = Client.from_url(redis.address)
    assert 120 < server.ttl("gearing:7:192.0.2.1") <= 180
    server.close()


def test_without_redis_each_counts_for_itself(
    clock: list[float], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        asked = asking(requests_per_minute=2, rate_storage=f"redis://127.0.0.1:{nobody.getsockname()[1]}/0")
        with caplog.at_level(logging.WARNING):
            assert [status_from(asked, "192.0.2.1") for _ in range(3)] == [200, 200, 429]
            wait_for(caplog, 1)
    assert [record.message for record in caplog.records] == [
        "the shared counts cannot be reached: this process counts for itself"
    ]


def wait_for(caplog: pytest.LogCaptureFixture, records: int) -> None:
    """Until so much has been logged."""
    ends = time.monotonic() + 20
    while len(caplog.records) < records:
        assert time.monotonic() < ends
        time.sleep(0.01)


@pytest.mark.slow
@pytest.mark.alone
def test_counts_are_shared_again_once_redis_is_back(
    redis: Redis, clock: list[float], caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(counts, "_PAUSE_AFTER_FAILURE", 0.05)
    redis.start()
    one, other = (asking(requests_per_minute=2, rate_storage=redis.address) for _ in range(2))
    assert [status_from(asked, "192.0.2.1") for asked in (one, other)] == [200, 200]
    redis.stop()
    with caplog.at_level(logging.WARNING):
        assert status_from(one, "192.0.2.3") == 200
        wait_for(caplog, 2)
        redis.start()
        wait_for(caplog, 4)
        statuses = []
        for asked in (one, other, one):
            statuses.append(status_from(asked, "192.0.2.3" if asked is other else "192.0.2.4"))
            time.sleep(1.0)
        assert statuses == [200] * 3
        assert status_from(other, "192.0.2.3") == 429, "what was counted alone is known to all"
    messages = [record.message for record in caplog.records]
    lost = "the shared counts cannot be reached: this process counts for itself"
    assert messages[0] == lost
    assert "the shared counts are back" in messages


@pytest.mark.parametrize("public", ["", "https://gears.example"])
def test_a_request_without_a_host_is_refused(public: str) -> None:
    """Which HTTP/1.1 demands; HTTP/1.0 knows of none."""
    app = create_app(Settings(public_address=public))
    cases = [("1.1", "", "400"), ("1.1", None, "400"), ("1.1", "here", "200"), ("1.0", None, "200")]
    for protocol, host, expected in cases:
        environ = EnvironBuilder(path="/healthz").get_environ()
        environ |= {"SERVER_PROTOCOL": f"HTTP/{protocol}", "HTTP_HOST": host}
        if host is None:
            del environ["HTTP_HOST"]
        statuses: list[str] = []
        b"".join(app(environ, lambda status, headers: statuses.append(status)))  # noqa: B023
        assert statuses[0][:3] == expected, (protocol, host)
