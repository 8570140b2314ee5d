"""An answer that nobody closes leaves when it is collected, which may be while its own thread holds a lock."""

import threading
from collections.abc import Callable

import pytest

from gearing_api.http.counts import Counts
from gearing_api.http.turns import ConcurrencyLimit, Turns


def turn() -> tuple[object, Callable[[], None]]:
    turns = Turns(2)
    return turns._lock, turns.enter("here").leave


def place() -> tuple[object, Callable[[], None]]:
    gate = ConcurrencyLimit(2, "things")
    return gate._lock, gate.enter("here")


def charge() -> tuple[object, Callable[[], None]]:
    counts = Counts()
    return counts._lock, lambda: counts.charge("here", 1.0)


@pytest.mark.parametrize("held", [turn, place, charge])
def test_it_leaves_even_where_its_thread_holds_the_lock(
    held: Callable[[], tuple[threading.Lock, Callable[[], None]]],
) -> None:
    lock, leave = held()

    def collected() -> None:
        with lock:
            leave()

    thread = threading.Thread(target=collected, daemon=True)
    thread.start()
    thread.join(5)
    assert not thread.is_alive(), "it would wait for itself for ever"


def test_a_client_that_comes_back_while_it_leaves_is_counted() -> None:
    turns = Turns(1)
    for _ in range(3):
        turns.enter("here").leave()
    assert turns._lines == {}
