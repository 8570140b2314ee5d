"""A thousand well-behaved clients that come at the same moment."""

import resource
import threading
import time
from collections.abc import Iterator, Sequence

import pytest

from tests.benchmarks.service import running
from tests.faults.asks import Ask
from tests.faults.load import ANSWERED, BUSY, RESET_KEPT, Connection, Load

pytestmark = [pytest.mark.slow, pytest.mark.alone]

CLIENTS = 1_000
EACH = 3


@pytest.fixture
def files() -> Iterator[None]:
    """Room for as many connections."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = CLIENTS + 500
    if hard != resource.RLIM_INFINITY and hard < wanted:
        pytest.skip(f"this process may have {hard} open files, and {wanted} are needed")
    resource.setrlimit(resource.RLIMIT_NOFILE, (max(soft, wanted), hard))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.mark.usefixtures("files")
@pytest.mark.parametrize("kept", [False, True])
def test_a_thousand_at_once_are_all_answered_right(asks: Sequence[Ask], kept: bool) -> None:
    """A kept connection that has waited may be closed by the service: the same is then asked again."""
    load = Load()
    ready = threading.Barrier(CLIENTS)

    def ask_some(port: int, place: int) -> None:
        connection = Connection(port, kept=kept)
        ready.wait()
        for step in range(EACH):
            ask, began = asks[(place + step) % len(asks)], time.monotonic()
            became = connection.ask(ask)
            load.count(ask, became, time.monotonic() - began)
            if became == RESET_KEPT:
                load.count(ask, connection.ask(ask), time.monotonic() - began)
        connection.close()

    before = threading.stack_size(512 * 1024)
    try:
        with running(workers=2) as service:
            clients = [
                threading.Thread(target=ask_some, args=(service.port, place)) for place in range(CLIENTS)
            ]
            for client in clients:
                client.start()
            for client in clients:
                client.join()
    finally:
        threading.stack_size(before)
    print(f"\n{CLIENTS} clients at once, {'kept' if kept else 'new'} connections: {load.told()}")
    assert {*load.failed} <= {RESET_KEPT}
    assert load.counts[ANSWERED] + load.counts[BUSY] == CLIENTS * EACH
