"""The service under a real gunicorn: what it prints, answers and refuses, and how it stops."""

import http.client
import json
import re
import shlex
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

import pytest

from gearing_api.app import create_app
from gearing_api.server.configuration import options
from gearing_api.settings import Settings
from tests.ports import free_port

PATIENCE = 20.0
JSON = "Content-Type: application/json"
BUILD = b'{"tyre": "265/70R17"}'


@dataclass
class Service:
    """A running service: its process, its port, and what it has printed."""

    process: subprocess.Popen[str]
    port: int
    printed: list[str] = field(default_factory=list)

    def wait_for(self, pattern: str) -> re.Match[str]:
        """The first printed text that matches."""
        ends = time.monotonic() + PATIENCE
        while time.monotonic() < ends:
            if found := re.search(pattern, "".join(self.printed)):
                return found
            assert self.process.poll() is None, "".join(self.printed)
            time.sleep(0.02)
        raise AssertionError("".join(self.printed))

    def raw(self, *parts: bytes) -> tuple[int, dict[str, str], bytes]:
        """Send these bytes as they are; the status, headers and body of the answer."""
        with socket.create_connection(("127.0.0.1", self.port), PATIENCE) as connection:
            for part in parts:
                connection.sendall(part)
            response = http.client.HTTPResponse(connection)
            response.begin()
            return response.status, dict(response.getheaders()), response.read()

    def get(self, path: str) -> tuple[int, dict[str, str], bytes]:
        return self.raw(f"GET {path} HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n".encode())


def post(*headers: str, path: str = "/v1/tyre") -> bytes:
    lines = [f"POST {path} HTTP/1.1", "Host: here", "Connection: close", *headers, "", ""]
    return "\r\n".join(lines).encode()


@contextmanager
def started() -> Iterator[Service]:
    """A service of one worker on a free port, until the end of the block."""
    port = free_port()
    command = [sys.executable, "-m", "gearing_api", "serve", "--port", str(port), "--workers", "1"]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    running = Service(process, port)
    reader = threading.Thread(target=lambda stream: running.printed.extend(stream), args=(process.stderr,))
    reader.start()
    try:
        running.wait_for("Serving on")
        yield running
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(PATIENCE)
        reader.join(PATIENCE)
        process.stderr.close()


@pytest.fixture(scope="module")
def service() -> Iterator[Service]:
    with started() as running:
        yield running


def assert_problem(answer: tuple[int, dict[str, str], bytes], status: int) -> dict[str, Any]:
    assert answer[0] == status, answer
    assert answer[1]["Content-Type"] == "application/problem+json"
    assert answer[1]["Access-Control-Allow-Origin"] == "*"
    assert answer[1]["X-Content-Type-Options"] == "nosniff"
    problem: dict[str, Any] = json.loads(answer[2])
    assert list(problem) == ["type", "title", "status", "detail", "errors"]
    assert problem["status"] == status
    return problem


def test_it_prints_its_address_and_a_line_to_paste_that_works(service: Service) -> None:
    address = service.wait_for(r"Serving on (\S+)")[1]
    assert address == f"http://127.0.0.1:{service.port}"
    line = service.wait_for(r"curl [^\n]+\n")[0]
    program, pasted = shlex.split(line)
    assert program == "curl"
    parts = urlsplit(pasted)
    status, headers, body = service.get(f"{parts.path}?{parts.query}")
    assert (status, headers["Content-Type"]) == (200, "text/plain; charset=utf-8")
    assert b"crawl ratio" in body


def test_it_answers_as_the_application_does(service: Service) -> None:
    path = "/v1/tyre?tyre=265/70R17&units=metric"
    assert service.get(path)[2] == create_app(Settings()).test_client().get(path).data
    for probe in ("/healthz", "/readyz", "/openapi.json", "/"):
        assert service.get(probe)[0] == 200


def test_a_body_in_chunks_is_read(service: Service) -> None:
    chunks = b"%x\r\n%s\r\n0\r\n\r\n" % (len(BUILD), BUILD)
    status, _, body = service.raw(post(JSON, "Transfer-Encoding: chunked"), chunks)
    assert status == 200
    assert json.loads(body)["given"] == {"tyre": "265/70R17"}


def test_a_body_above_the_limit_is_refused_with_and_without_its_length(service: Service) -> None:
    """A server that finds the end itself once cut such a body and answered the part."""
    limit = Settings().body_bytes
    body = BUILD.ljust(limit + 1)
    with_length = service.raw(post(JSON, f"Content-Length: {len(body)}"), body)
    in_chunks = service.raw(
        post(JSON, "Transfer-Encoding: chunked"), b"%x\r\n%s\r\n0\r\n\r\n" % (len(body), body)
    )
    for answer in (with_length, in_chunks):
        assert str(limit) in assert_problem(answer, 413)["detail"]
    fitting = BUILD.ljust(limit)
    assert service.raw(post(JSON, f"Content-Length: {limit}"), fitting)[0] == 200
    announced = service.raw(post(JSON, "Content-Length: 99999999999"))
    assert_problem(announced, 413)


def test_what_the_server_itself_refuses_has_the_same_shape(service: Service) -> None:
    head = b"Host: here\r\nConnection: close\r\n"
    assert_problem(service.raw(b"GET /v1/tyre?tyre=" + b"9" * 9000 + b" HTTP/1.1\r\n" + head + b"\r\n"), 414)
    many = b"".join(b"X-%d: 1\r\n" % place for place in range(100))
    assert_problem(service.raw(b"GET / HTTP/1.1\r\n" + head + many + b"\r\n"), 431)
    assert_problem(service.raw(b"GET / HTTP/1.1\r\n" + head + b"X: " + b"y" * 9000 + b"\r\n\r\n"), 431)
    for broken in (
        b"\x00\x01\x02\r\n\r\n",
        b"GET / HTTP/9.1\r\n\r\n",
        b"get / HTTP/1.1\r\n" + head + b"\r\n",
        b"GET / HTTP/1.1\r\nHost here\r\n\r\n",
        post(JSON, "Content-Length: -5"),
        post(JSON, "Content-Length: 5", "Transfer-Encoding: chunked"),
    ):
        assert_problem(service.raw(broken), 400)


def test_broken_chunks_are_the_sender_s_fault(service: Service) -> None:
    for chunks in (b"ZZ\r\n{}\r\n0\r\n\r\n", b"5\r\n{}"):
        with socket.create_connection(("127.0.0.1", service.port), PATIENCE) as connection:
            connection.sendall(post(JSON, "Transfer-Encoding: chunked") + chunks)
            connection.shutdown(socket.SHUT_WR)
            received = connection.makefile("rb").read()
        assert received == b"" or received.startswith(b"HTTP/1.1 400 ")


def test_unusual_methods_and_hosts_get_an_answer(service: Service) -> None:
    head = b"Host: evil.example\r\nConnection: close\r\n\r\n"
    assert_problem(service.raw(b"BREW / HTTP/1.1\r\n" + head), 405)
    for target in (b"//v1//tyre?tyre=33", b"http://evil.example/nothing"):
        status, headers, body = service.raw(b"GET " + target + b" HTTP/1.1\r\n" + head)
        assert status == 404
        assert "evil.example" not in str(headers) + body.decode()


def test_connections_are_kept(service: Service) -> None:
    connection = http.client.HTTPConnection("127.0.0.1", service.port, PATIENCE)
    try:
        for _ in range(3):
            connection.request("GET", "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter")
            assert connection.getresponse().read() == b"33.0"
            sock = connection.sock
            connection.request("HEAD", "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter")
            assert connection.getresponse().read() == b""
            assert connection.sock is sock
    finally:
        connection.close()


def test_it_stops_when_asked() -> None:
    with started() as service:
        began = time.monotonic()
        service.process.send_signal(signal.SIGTERM)
        assert service.process.wait(PATIENCE) == 0
        assert time.monotonic() - began < 10
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", service.port), 1).close()


@pytest.mark.parametrize(
    ("host", "bound", "shown"),
    [("127.0.0.1", "127.0.0.1:8000", "http://127.0.0.1:8000"), ("::1", "[::1]:8000", "http://[::1]:8000"),
     ("localhost", "localhost:8000", "http://localhost:8000")],
)  # fmt: skip
def test_an_address_of_either_family(
    host: str, bound: str, shown: str, capsys: pytest.CaptureFixture[str]
) -> None:
    chosen = options(Settings(), host, 8000, 1)
    assert chosen["bind"] == bound
    chosen["when_ready"](None)
    assert f"Serving on {shown} " in capsys.readouterr().err


def test_the_server_is_told_only_what_it_knows() -> None:
    """A newer or older gunicorn may lack one; the limits below must be there in all."""
    chosen = options(Settings(), "127.0.0.1", 8000, 3)
    assert {"bind", "workers", "worker_class", "worker_connections", "timeout", "limit_request_line"} <= set(
        chosen
    )
    assert chosen["workers"] == 3
    assert chosen["limit_request_line"] > Settings().query_bytes
