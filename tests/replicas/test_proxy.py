"""What comes through nginx is what an instance answers; what nginx refuses itself looks the same."""

import gzip
import http.client
import json
import re
import socket
import time

import pytest

from gearing_api.http.problems import PROBLEM_TYPES
from gearing_api.settings import Settings
from tests.faults.asks import COMPARISON, HOST, JSON, mixed
from tests.http.described import named
from tests.replicas.fleet import HERE, PATIENCE, Fleet, ask, block, wait_until

pytestmark = [pytest.mark.slow, pytest.mark.alone]

QUESTION = "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter"
OF_THE_MOMENT = {
    "date",
    "server",
    "connection",
    "ratelimit",
    "x-request-id",
    "transfer-encoding",
    "content-length",
}
PROBLEM = named("Problem")


def raw(service: Fleet, source: str, *parts: bytes) -> tuple[int, dict[str, str], bytes]:
    """Send these bytes as they are; the status, headers and body of the answer."""
    with socket.create_connection((HERE, service.port), PATIENCE, (source, 0)) as connection:
        for part in parts:
            connection.sendall(part)
        response = http.client.HTTPResponse(connection)
        response.begin()
        return response.status, dict(response.getheaders()), response.read()


def head(method: str, target: str, *lines: str, host: str = HOST) -> bytes:
    return "\r\n".join([f"{method} {target} HTTP/1.1", f"Host: {host}", *lines, "", ""]).encode()


def lasting(headers: http.client.HTTPMessage) -> set[tuple[str, str]]:
    """The headers that are the same each time."""
    pairs = {(name.lower(), value) for name, value in headers.items() if name.lower() not in OF_THE_MOMENT}
    return pairs - {("vary", "Accept-Encoding")}


def test_answers_are_those_of_an_instance_to_the_last_byte(service: Fleet, source: str) -> None:
    asks = mixed(f"http://{HOST}")
    for asked in asks:
        through = service.ask(asked.path, asked.headers, method=asked.method, body=asked.body, source=source)
        assert (through.status, through.body) == (asked.status, asked.answer), asked.path
        direct = ask(
            service.instances[0].port, asked.path, asked.headers, method=asked.method, body=asked.body
        )
        assert lasting(through.headers) == lasting(direct.headers), asked.path
    print(f"{len(asks)} answers through nginx equal those of an instance")
    assert len(asks) > 100
    assert {line["instance"] for line in service.passed(source, len(asks))} >= {
        f"{HERE}:{instance.port}" for instance in service.instances
    }


REFUSED = {
    "no HTTP": (400, b"\x00\x01\x02\r\n\r\n"),
    "a version that is none": (400, b"GET / HTTP/9.1\r\nHost: gears.example\r\n\r\n"),
    "no Host": (400, b"GET / HTTP/1.1\r\n\r\n"),
    "two Hosts": (400, head("GET", "/", "Host: evil.example")),
    "a coding that nobody reads": (400, head("POST", "/v1/tyre", "Transfer-Encoding: gzip")),
    "another Host": (404, head("GET", "/", host="evil.example")),
    "an address in place of the Host": (404, head("GET", "/", host=HERE)),
    "another Host in the request line": (404, head("GET", "http://evil.example/")),
    "metrics": (404, head("GET", "/metrics")),
    "metrics below": (404, head("GET", "/metrics/")),
    "metrics escaped": (404, head("GET", "/%6Detrics?a=1")),
    "metrics with two slashes": (404, head("GET", "//metrics")),
    "metrics with dots": (404, head("GET", "/v1/../metrics")),
    "the page of nginx's own errors": (404, head("GET", "/problem")),
    "TRACE": (405, head("TRACE", "/")),
    "a body announced too long": (413, head("POST", "/v1/tyre", "Content-Length: 20000001")),
    "a line too long": (414, head("GET", "/v1/tyre?tyre=" + 8190 * "9")),
    "a header too long": (431, head("GET", "/", "X: " + 9000 * "y")),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_nginx_refuses_is_a_problem_document_like_any_other(
    case: str, service: Fleet, source: str
) -> None:
    status, request = REFUSED[case]
    got, headers, body = raw(service, source, request)
    problem = json.loads(body)
    assert (got, problem["status"]) == (status, status)
    PROBLEM.validate(problem)
    known = PROBLEM_TYPES[status]
    assert (problem["type"], problem["title"]) == (f"/problems/{known.slug}", known.title)
    own = service.ask("/nothing", source=source)
    assert own.status == 404
    for name, value in own.headers.items():
        if name.lower() not in OF_THE_MOMENT | {"ratelimit-policy", "link"}:
            assert headers.get(name) == value, name
    assert headers["X-Request-Id"]


def test_each_instance_has_the_figures_that_nginx_hides(service: Fleet) -> None:
    for instance in service.instances:
        assert b"gearing_request_seconds" in ask(instance.port, "/metrics").body


def test_every_problem_of_nginx_is_asked_for() -> None:
    """Here, or where the limits (429) and the failures (503) are."""
    told = re.findall(r"^ +(\d+) '\{\"type\"", block("gearing.conf"), re.MULTILINE)
    assert {int(status) for status in told} == {status for status, _ in REFUSED.values()} | {429, 503}


def padded_query(length: int) -> str:
    start = QUESTION.partition("?")[2] + "&_="
    return start + "x" * (length - len(start))


def test_a_query_may_be_as_long_behind_nginx_as_before_it(service: Fleet, source: str) -> None:
    most = Settings().query_bytes
    longest_line = 8190
    path = QUESTION.partition("?")[0]
    assert raw(service, source, head("GET", f"{path}?{padded_query(most)}"))[2] == b"33.0"
    above = raw(service, source, head("GET", f"{path}?{padded_query(most + 1)}"))
    around = len(f"GET {path}? HTTP/1.1")
    at_the_line = raw(service, source, head("GET", f"{path}?{padded_query(longest_line - around)}"))
    beyond = raw(service, source, head("GET", f"{path}?{padded_query(longest_line - around + 1)}"))
    details = [json.loads(body)["detail"] for _, _, body in (above, at_the_line, beyond)]
    assert [answer[0] for answer in (above, at_the_line, beyond)] == [414, 414, 414]
    assert [str(most) in details[0], str(most) in details[1], str(longest_line) in details[2]] == [True] * 3


def test_headers_may_be_as_long_behind_nginx_as_before_it(service: Fleet, source: str) -> None:
    """A header of 8188 bytes is one of 8190 with the end of its line."""
    for longest, status in ((8188, 200), (8195, 431)):
        long = {"X": (longest - len("X: ")) * "y"}
        assert service.ask(QUESTION, long, source=source).status == status
        assert ask(service.instances[0].port, QUESTION, long).status == status


@pytest.mark.parametrize("in_chunks", [False, True])
def test_a_body_may_be_as_long_behind_nginx_as_before_it(
    in_chunks: bool, service: Fleet, source: str
) -> None:
    most = Settings().many_bytes
    body = b'{"columns": {"tyre": ["33 in"]}}'.ljust(most)
    statuses = []
    for sent in (body, body + b" "):
        connection = http.client.HTTPConnection(HERE, service.port, PATIENCE, source_address=(source, 0))
        pieces = (sent[at : at + 1_000_000] for at in range(0, len(sent), 1_000_000)) if in_chunks else sent
        try:
            connection.request(
                "POST", "/v1/tyre/batch", pieces, {"Host": HOST, **JSON}, encode_chunked=in_chunks
            )  # fmt: skip
        except (BrokenPipeError, ConnectionResetError):
            assert sent is not body, "the server hung up on a body that is short enough"
        answer = connection.getresponse()
        statuses.append(answer.status)
        told = answer.read()
        connection.close()
    assert statuses == [200, 413]
    assert str(most) in json.loads(told)["detail"]


def test_an_instance_is_told_who_asks_and_strangers_cannot_tell_it(service: Fleet, source: str) -> None:
    forged = {
        "X-Forwarded-For": "203.0.113.7",
        "X-Forwarded-Proto": "gopher",
        "X-Forwarded-Host": "evil.example",
        "Forwarded": "for=203.0.113.7;host=evil.example",
        "X-Request-ID": "forged-by-a-stranger",
    }
    secret = "/v1/from-text.txt?q=a+secret+sentence"
    assert service.ask(secret, forged, source=source).status == 200
    (line,) = service.passed(source, 1)
    assert list(line) == ["time", "request_id", "address", "method", "path", "status", "bytes", "seconds",
                          "cache", "instance", "instance_status"]  # fmt: skip
    assert (line["address"], line["method"], line["path"], line["status"], line["cache"]) == (
        source, "GET", "/v1/from-text.txt", 200, "MISS",
    )  # fmt: skip
    (instance,) = [
        instance for instance in service.instances if line["instance"] == f"{HERE}:{instance.port}"
    ]

    def told() -> list[dict[str, object]]:
        return [said for said in instance.lines() if said.get("request_id") == line["request_id"]]

    wait_until(lambda: len(told()) == 1, "the instance has logged the request by the name that nginx gave it")
    (said,) = told()
    assert list(said) == ["time", "request_id", "address", "method", "path", "status", "bytes", "ms"]
    assert (said["address"], said["path"]) == (source, "/v1/from-text.txt")
    for log in (service.access_log, instance.log):
        assert "secret" not in log.read_text()
        assert "203.0.113.7" not in log.read_text()


def test_an_error_carries_the_name_by_which_both_logs_have_it(service: Fleet, source: str) -> None:
    answers = [service.ask("/v1/tyre?tyre=35", source=source), service.ask("/metrics", source=source)]
    assert [answer.status for answer in answers] == [422, 404]
    logged = {line["request_id"] for line in service.passed(source, 2)}
    assert {answer.headers["X-Request-Id"] for answer in answers} == logged


def test_a_stream_comes_in_pieces(service: Fleet, source: str) -> None:
    """Most of it is still to be computed when the first of it is here, also where it comes compressed."""
    steps, speeds = [3 + place / 1000 for place in range(700)], [*range(600, 950)]
    plan = json.dumps({**COMPARISON, "vary": {"axle_ratio": steps, "idle_speed": speeds}})
    for coding in ("identity", "gzip"):
        connection = http.client.HTTPConnection(HERE, service.port, PATIENCE, source_address=(source, 0))
        connection.request(
            "POST", "/v1/comparison.csv", plan, {"Host": HOST, "Accept-Encoding": coding, **JSON}
        )
        asked_at = time.monotonic()
        with connection.getresponse() as answer:
            assert answer.status == 200
            assert answer.headers.get("Content-Encoding", "identity") == coding
            first = answer.read1(1000)
            began = time.monotonic() - asked_at
            pieces = [first]
            while piece := answer.read1(100_000):
                pieces.append(piece)
            whole = time.monotonic() - asked_at
        connection.close()
        received = b"".join(pieces)
        table = gzip.decompress(received) if coding == "gzip" else received
        assert table.count(b"\r\n") == 245_001
        print(f"{coding}: first piece after {began / whole:.2f} of the time, {len(pieces)} pieces")
        assert began < whole / 2


def test_answers_are_compressed_where_the_client_asks_for_it(service: Fleet, source: str) -> None:
    path = "/v1/build-sheet?tyre=265/70R17"
    plain = service.ask(path, source=source)
    packed = service.ask(path, {"Accept-Encoding": "gzip", "Via": "1.1 another"}, source=source)
    assert packed.headers["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed.headers.get_all("Vary", [])
    assert gzip.decompress(packed.body) == plain.body
    assert len(packed.body) < len(plain.body) / 2
    again = service.ask(
        path, {"Accept-Encoding": "gzip", "If-None-Match": packed.headers["ETag"]}, source=source
    )
    assert (again.status, again.body) == (304, b"")
