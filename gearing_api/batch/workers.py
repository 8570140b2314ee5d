"""Compute blocks of offline work in processes of this machine or on a Dask cluster."""

import os
import signal
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Future,
    ProcessPoolExecutor,
    wait,
)
from itertools import islice
from multiprocessing import get_context, parent_process
from threading import Thread
from typing import Any, TypeVar

_Made = TypeVar("_Made")

_IN_FLIGHT = 2  # blocks handed out for each worker: the next is there when one is finished
_RETRIES = 5


class WorkError(RuntimeError):
    """Offline work that cannot run, or was interrupted, with what to do."""


def library(name: str, extra: str) -> Any:
    """Return a library of an extra.

    Raises
    ------
    WorkError
        If it is not installed.
    """
    try:
        return __import__(name)
    except ImportError as error:
        raise WorkError(f"{name} is not installed: pip install 'gearing-api[{extra}]'") from error


def in_processes(
    compute: Callable[[int], _Made], blocks: Iterable[int], workers: int
) -> Iterator[tuple[int, _Made]]:
    """Compute blocks in other processes and in this one, which begins while the others start.

    Yields
    ------
    tuple
        The number of each block and what was computed, as they are finished.

    Raises
    ------
    WorkError
        If a process died.
    """
    left = list(blocks)
    others = min(workers, len(left)) - 1
    if others < 1:
        for block in left:
            yield block, compute(block)
        return
    with ProcessPoolExecutor(others, get_context("spawn"), initializer=_follow_parent) as pool:
        waiting = iter(left)
        running: dict[Future[_Made], int] = {}
        try:
            while True:
                for block in islice(waiting, others * _IN_FLIGHT - len(running)):
                    running[pool.submit(compute, block)] = block
                own = next(waiting, None)
                if own is not None:
                    yield own, compute(own)
                elif not running:
                    return
                done, _ = wait(running, 0.0 if own is not None else None, FIRST_COMPLETED)
                for future in done:
                    yield running.pop(future), future.result()
        except BrokenExecutor as error:
            raise WorkError("a worker process died; start it again to continue") from error


def _follow_parent() -> None:
    """End with the parent, however it ends; the parent handles interrupts."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    parent = parent_process()
    assert parent is not None
    parent.join()
    os._exit(1)


def on_cluster(
    compute: Callable[[int], _Made], blocks: Iterable[int], scheduler: str
) -> Iterator[tuple[int, _Made]]:
    """Compute blocks on a cluster, whose workers send what they computed to this machine.

    Raises
    ------
    WorkError
        If Dask is not installed, or the cluster lost its workers.
    """
    dask = library("distributed", "dask")
    with dask.Client(scheduler) as client:
        waiting = iter(blocks)
        numbers: dict[str, int] = {}
        running = dask.as_completed()

        def hand_out() -> None:
            most = max(1, sum(client.nthreads().values())) * _IN_FLIGHT
            for block in islice(waiting, max(0, most - len(numbers))):
                future = client.submit(compute, block, pure=False, retries=_RETRIES)
                numbers[future.key] = block
                running.add(future)

        hand_out()
        try:
            for future in running:
                block, made = numbers.pop(future.key), future.result()
                future.release()
                hand_out()
                yield block, made
        except (dask.KilledWorker, CancelledError) as error:
            raise WorkError("the cluster lost its workers; start it again to continue") from error
