"""What the running service writes down, whatever is sent to it."""

import json
import logging
import re
import socket
import sys
from pathlib import Path
from typing import Any

import pytest

from gearing_api.app import create_app
from gearing_api.server.logs import JsonLines
from gearing_api.settings import Settings
from tests.benchmarks.service import running

SENT = [
    b"GET /v1/tyre.txt?tyre=33x12.50R15 HTTP/1.1",
    b"GET /v1/tyre?tyre=33x12.50R15&note=secret%20sentence HTTP/1.1",
    b"GET /v1/tyre?tyre=%0d%0a{%22level%22:%22forged%22} HTTP/1.1",
    b"GET /forged%0a{%22level%22:%22x%22}%1b[31m HTTP/1.1",
    b"GET /" + b"x" * 3000 + b" HTTP/1.1",
    b"BREW / HTTP/1.1",
]
NAMED = b"X-Request-ID: forged-or-not-1234"
CAUGHT = re.compile(r"[0-9a-f]{16}")


@pytest.fixture
def record() -> logging.LogRecord:
    return logging.LogRecord("gearing_api", logging.ERROR, __file__, 1, "it broke", None, None)


def test_a_record_is_one_line_whatever_it_says(record: logging.LogRecord) -> None:
    record.msg = 'it \n\r\x1b[31m says {"level":"info"}'
    record.request_id = "abc"
    text = JsonLines().format(record)
    assert text.isprintable()
    line = json.loads(text)
    assert line["message"] == record.msg
    assert (line["level"], line["request_id"]) == ("error", "abc")


def test_half_characters_do_not_keep_a_record_from_being_written(record: logging.LogRecord) -> None:
    record.msg = "it \ud800 says"
    assert r"it \ud800 says" in JsonLines().format(record)


def test_an_exception_stands_in_its_line(record: logging.LogRecord) -> None:
    try:
        raise ValueError("of\ntwo lines")
    except ValueError:
        record.exc_info = sys.exc_info()
    text = JsonLines().format(record)
    assert text.isprintable()
    assert "ValueError: of\ntwo lines" in json.loads(text)["exception"]


def test_a_fault_of_the_service_is_written_with_the_name_that_its_answer_bears(
    caplog: pytest.LogCaptureFixture,
) -> None:
    app = create_app(Settings())
    app.add_url_rule("/fault", view_func=lambda: 1 // 0)
    answer = app.test_client().get("/fault")
    assert answer.status_code == 500
    assert caplog.records[-1].__dict__["request_id"] == answer.headers["X-Request-Id"]


class TestTheNameOfARequest:
    def test_an_answer_that_is_kept_bears_none(self) -> None:
        assert "X-Request-Id" not in create_app(Settings()).test_client().get("/healthz").headers

    @pytest.mark.parametrize(
        ("hops", "given", "kept"),
        [
            (0, "abcdefgh12", False),
            (1, "abcdefgh12", True),
            (1, "short", False),
            (1, "x" * 65, False),
            (1, "ab cd efgh", False),
            (1, "<script>alert</script>", False),
        ],
    )
    def test_it_is_taken_over_from_a_trusted_proxy_alone(self, hops: int, given: str, kept: bool) -> None:
        client = create_app(Settings(trusted_proxies=hops)).test_client()
        name = client.get("/nothing", headers={"X-Request-ID": given}).headers["X-Request-Id"]
        assert (name == given) is kept
        assert kept or CAUGHT.fullmatch(name)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """All lines of a service that was sent what stands above, and was then stopped."""
    log = tmp_path_factory.mktemp("logs") / "log"
    with running(log=log) as service:
        for line in SENT:
            asked(service.port, line, NAMED)
    return log.read_text(encoding="utf-8").splitlines()


@pytest.fixture(scope="module")
def requests(written: list[str]) -> list[dict[str, Any]]:
    return [line for line in map(json.loads, json_lines(written)) if "method" in line]


def test_only_the_greeting_is_no_json(written: list[str]) -> None:
    others = [line for line in written if not line.startswith("{")]
    assert len(others) == 2
    assert others[0].startswith("Serving on ")
    for line in json_lines(written):
        assert line.isprintable()
        assert {"time", "level", "process", "message"} <= {*json.loads(line)} or "method" in line


def test_each_request_has_its_line(requests: list[dict[str, Any]]) -> None:
    told = [(line["method"], line["status"]) for line in requests if line["path"] != "/readyz"]
    assert told == [("GET", 200), *[("GET", 422)] * 2, *[("GET", 404)] * 2, ("BREW", 405)]
    for line in requests:
        assert list(line) == ["time", "request_id", "address", "method", "path", "status", "bytes", "ms"]
        assert line["address"] == "127.0.0.1"
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT[\d:.]{12}\+00:00", line["time"])
        assert len(line["path"]) <= 200


def test_nothing_of_a_query_is_kept(written: list[str]) -> None:
    for line in json_lines(written):
        assert not any(part in line for part in ("33x12", "secret", "tyre=", "?"))


def test_every_request_has_a_name_of_its_own(requests: list[dict[str, Any]]) -> None:
    names = [line["request_id"] for line in requests]
    assert all(CAUGHT.fullmatch(name) for name in names)
    assert len({*names}) == len(names)


def test_the_lines_of_requests_can_be_turned_off(tmp_path: Path) -> None:
    log = tmp_path / "log"
    with running(log=log, access_log=0) as service:
        asked(service.port, SENT[0])
    assert "Serving on" in log.read_text()
    assert "/v1/tyre" not in log.read_text().replace("/v1/crawl", "")


def json_lines(written: list[str]) -> list[str]:
    return [line for line in written if line.startswith("{")]


def asked(port: int, line: bytes, *headers: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port), 20) as connection:
        connection.sendall(b"\r\n".join([line, b"Host: here", b"Connection: close", *headers, b"", b""]))
        return connection.makefile("rb").read()
