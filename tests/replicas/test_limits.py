"""One limit for each client, whichever worker of either instance answers; and nginx's own, against floods."""

import http.client
import select
import socket
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import count

import pytest

from tests.faults.asks import HOST, JSON
from tests.replicas.fleet import HERE, PATIENCE, Answer, Fleet, fleet, fresh_source

pytestmark = [pytest.mark.slow, pytest.mark.alone]

PICKED = "/v1/tyre.txt?tyre=33x12.50R15&pick=diameter"
QUOTA = 600
"""Requests a minute that the system here allows: fewer than by default, so that a test can ask them all."""
BURST = 6000
"""Requests that nginx lets through at once."""
MOST_BETWEEN_EXCHANGES = 60
"""Requests that eight threads get in before the four workers know of each other's counts."""
_numbers, _names = count(), count()


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Fleet]:
    with fleet(tmp_path_factory.mktemp("limited"), {"GEARING_REQUESTS_PER_MINUTE": str(QUOTA)}) as running:
        yield running


def time_left(seconds: int) -> None:
    """Go on when the running minute, which the limit counts in, has so many seconds left."""
    if (left := 60 - time.time() % 60) < seconds:
        time.sleep(left)


def new_question() -> str:
    """One whose answer nobody keeps."""
    return f"{PICKED}&_=limits-{next(_names)}"


def either(service: Fleet, source: str) -> Answer:
    """The answer of the instance that takes questions, and the next time of the one that takes bodies."""
    if next(_numbers) % 2:
        return service.ask(new_question(), source=source)
    return service.ask("/v1/tyre", JSON, method="POST", body=b'{"tyre": "33 in"}', source=source)


def left(service: Fleet, source: str, times: int) -> list[int]:
    """How many requests are left after each of so many, which both instances answer in turn."""
    return [remaining(either(service, source)) for _ in range(times)]


def remaining(answer: Answer) -> int:
    """How many requests are left, as an answer tells."""
    return int(answer.headers["RateLimit"].split("r=")[1].split(";")[0])


def asked(service: Fleet, source: str, times: int) -> list[Answer]:
    """The answers to so many questions from one address to both instances, asked by eight threads."""
    answers: list[Answer] = []

    def some() -> None:
        answers.extend(either(service, source) for _ in range(times // 8))

    together(some)
    return answers


def together(work: Callable[[], None]) -> None:
    """Do it in eight threads."""
    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_the_limit_holds_over_all_workers_of_both_instances(service: Fleet, source: str) -> None:
    time_left(40)
    answers = asked(service, source, QUOTA + 80)
    counted = Counter(answer.status for answer in answers)
    print(f"one address asked {len(answers)} times in one minute: {dict(counted)}")
    # The workers know of each other's counts some hundredths of a second later, and none refuses too early.
    assert set(counted) == {200, 429}
    assert QUOTA <= counted[200] <= QUOTA + MOST_BETWEEN_EXCHANGES
    assert min(remaining(answer) for answer in answers if answer.status == 200) < 10
    refused = next(answer for answer in answers if answer.status == 429)
    assert refused.problem["type"].endswith("/problems/too-many-requests")
    # What a few requests too many have used must be over as well.
    assert 0 < int(refused.headers["Retry-After"]) <= 60 * (1 + MOST_BETWEEN_EXCHANGES / QUOTA)
    answering = {line["instance"] for line in service.passed(source, len(answers)) if line["status"] == 200}
    assert answering == {f"{HERE}:{instance.port}" for instance in service.instances}


def test_another_address_has_its_own_limit_and_cannot_be_pretended(service: Fleet, source: str) -> None:
    time_left(40)
    asked(service, source, QUOTA + MOST_BETWEEN_EXCHANGES + 4)
    forged = {"X-Forwarded-For": "203.0.113.9", "X-Real-IP": "203.0.113.9", "Forwarded": "for=203.0.113.9"}
    another = fresh_source()
    assert service.ask(new_question(), source=source).status == 429
    assert service.ask(new_question(), forged, source=source).status == 429
    assert left(service, another, 1) == [QUOTA - 1]
    kept = new_question()
    assert service.ask(kept, source=another).status == 200
    assert service.ask(kept, source=source).status == 200, "what nginx keeps is not counted"


def test_a_flood_ends_at_nginx(service: Fleet, source: str) -> None:
    """Kept answers cost an instance nothing; still nobody gets more than a burst of them."""
    service.ask(PICKED, source=fresh_source())
    statuses: list[int] = []
    refusals: list[Answer] = []

    def flood() -> None:
        connection = http.client.HTTPConnection(HERE, service.port, PATIENCE, source_address=(source, 0))
        for _ in range(BURST):
            if refusals:
                break
            connection.request("GET", PICKED, headers={"Host": HOST})
            with connection.getresponse() as response:
                answer = Answer(response.status, response.headers, response.read())
            statuses.append(answer.status)
            if answer.status != 200:
                refusals.append(answer)
        connection.close()

    together(flood)
    answered = Counter(statuses)
    print(f"one address asked {len(statuses)} times for what is kept: {dict(answered)}")
    assert set(answered) == {200, 429}
    assert answered[200] > BURST
    refused = refusals[0]
    assert refused.problem["type"].endswith("/problems/too-many-requests")
    assert refused.headers["Retry-After"] == "5"
    assert service.ask(PICKED, source=fresh_source()).status == 200
    probes = Counter(service.ask("/healthz", source=source).status for _ in range(50))
    assert probes == {200: 50}, "whether a process is up is never refused"
    ready = Counter(service.ask("/readyz", source=source).status for _ in range(100))
    assert ready[200] >= 20, "more than anybody needs who asks for himself"
    assert ready[429] > 0, "but no flood"


def test_nobody_has_more_than_some_requests_open(service: Fleet, source: str) -> None:
    lines = [
        "POST /v1/tyre HTTP/1.1",
        f"Host: {HOST}",
        "Content-Type: application/json",
        "Content-Length: 17",
    ]
    head = "\r\n".join([*lines, "", ""])
    with ExitStack() as stack:
        opened = [
            stack.enter_context(socket.create_connection((HERE, service.port), PATIENCE, (source, 0)))
            for _ in range(70)
        ]
        for connection in opened:
            connection.sendall(head.encode() + b'{"tyre": ')
        ready, _, _ = select.select(opened, [], [], PATIENCE)
        assert ready, "one of them is refused"
        assert ready[0].recv(12) == b"HTTP/1.1 429"
        assert service.ask(PICKED, source=fresh_source()).status == 200
        for connection in opened:
            if connection not in ready:
                connection.sendall(b'"33 in"}')
        statuses = Counter(connection.recv(12) for connection in opened if connection is not ready[0])
    print(f"70 requests open at once from one address: {dict(statuses)} and the first refused")
    assert statuses[b"HTTP/1.1 200"] == 64
