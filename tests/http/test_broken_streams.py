"""A stream that breaks under a real gunicorn: the client can tell, and is told nothing else."""

import http.client
import json
import socket
import subprocess
import sys
import time
from collections.abc import Iterator

import pytest

from tests.ports import free_port

PLAN = {
    "build": {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61]},
    "vary": {"axle_ratio": [3 + place / 100 for place in range(100)], "idle_speed": list(range(600, 1400))},
    "report": ["crawl_ratio", "crawl_speed"],
}
BREAKING = """
import sys
from gearing_api.server import configuration
from gearing_api.batch import comparisons
from gearing_api.settings import Settings

compute = comparisons.block

def breaking(plan, start, stop, cycles=None):
    if start >= 40_000:
        raise {error}("no such block in /secret/place")
    return compute(plan, start, stop, cycles)

comparisons.block = breaking
configuration.run(Settings(), "127.0.0.1", int(sys.argv[1]), 1)
"""


@pytest.fixture(params=["RuntimeError", "OSError", "MemoryError"])
def port(request: pytest.FixtureRequest) -> Iterator[int]:
    """A service whose comparisons break in the third block, each time with another kind of error."""
    port = free_port()
    command = [sys.executable, "-c", BREAKING.format(error=request.param), str(port)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        ends = time.monotonic() + 30.0
        while True:
            try:
                socket.create_connection(("127.0.0.1", port)).close()
                break
            except OSError:
                assert process.poll() is None
                assert time.monotonic() < ends
                time.sleep(0.05)
        yield port
    finally:
        process.terminate()
        process.wait(20)


@pytest.mark.slow
def test_the_client_sees_an_incomplete_answer(port: int) -> None:
    body = json.dumps(PLAN)
    for suffix in ("csv", "ndjson"):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        connection.request("POST", f"/v1/comparison.{suffix}", body, {"Content-Type": "application/json"})
        response = connection.getresponse()
        assert response.status == 200
        assert response.getheader("Transfer-Encoding") == "chunked"
        with pytest.raises(http.client.IncompleteRead) as broken:
            response.read()
        lines = broken.value.partial.split(b"\n")
        assert len(lines) > 40_000, "what was good is there"
        for told in (b"rror(", b"Traceback", b"secret", b"problem", b"HTTP/", b"<html"):
            assert told not in broken.value.partial
        connection.close()
    assert asked(port, b"GET /healthz HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n").startswith(
        b"HTTP/1.1 200"
    )


@pytest.mark.slow
def test_over_http_1_0_it_is_a_problem_and_no_stream(port: int) -> None:
    body = json.dumps(PLAN).encode()
    head = "POST /v1/comparison.csv HTTP/1.0\r\nContent-Type: application/json\r\n"
    head += f"Content-Length: {len(body)}\r\n\r\n"
    answer = asked(port, head.encode() + body)
    assert b" 500 " in answer.partition(b"\r\n")[0]
    assert b"application/problem+json" in answer
    assert b"secret" not in answer


def asked(port: int, request: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port), 20) as connection:
        connection.sendall(request)
        answer = b""
        while piece := connection.recv(65536):
            answer += piece
    return answer
