"""Trials in copies of a process, so that none leaves anything behind."""

import json
import os
import resource
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TextIO

import pytest

from tests.mutations import Mutant

_LONGEST_TEST = 20.0
"""Processor time that a test may take. [s]"""
_MOST_MEMORY = 4 << 30
_START = "the start"
SURVIVED, CAUGHT, HUNG = "survived", "caught", "hung"


class Trial:
    """Run some tests until one fails, or the time is over."""

    def __init__(self, seconds: float) -> None:
        self._seconds = seconds
        self._by = ""
        self._ran = 0

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._by = report.nodeid

    def run(self, items: Sequence[pytest.Item]) -> Iterator[dict[str, Any]]:
        """What is known after each test; the last is the result."""
        ends = os.times().user + self._seconds
        for item, following in zip(items, [*items[1:], None], strict=True):
            _end_a_hung_one()
            yield {"outcome": HUNG, "by": item.nodeid}
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            self._ran += 1
            if self._by or os.times().user > ends:
                break
        outcome = CAUGHT if self._by else SURVIVED
        yield {"outcome": outcome, "by": self._by, "ran": self._ran, "of": len(items)}


def _end_a_hung_one() -> None:
    for ending in (signal.SIGALRM, signal.SIGPROF):
        signal.signal(ending, signal.SIG_DFL)
    signal.setitimer(signal.ITIMER_PROF, _LONGEST_TEST)
    signal.setitimer(signal.ITIMER_REAL, 6.0 * _LONGEST_TEST)


class Copies:
    """Answer questions from standard input, one JSON object a line, each in a copy of this process."""

    def __init__(self) -> None:
        self._sound: dict[str, bool] = {}

    def serve(self, answers: TextIO) -> None:
        """Until nothing more is asked."""
        for line in sys.stdin:
            asked = json.loads(line)
            answer = self._answer(Mutant(*asked["mutant"]), asked["tests"], asked["seconds"])
            print(json.dumps(answer), file=answers, flush=True)

    def _answer(self, mutant: Mutant, tests: Sequence[str], seconds: float) -> dict[str, Any]:
        """What the tests say, without those that fail here without any mutant too."""
        while True:
            tests = [name for name in tests if self._sound.get(name, True)]
            answer = self._in_a_copy(mutant, tests, seconds)
            by = answer.get("by")
            if by == _START and self._in_a_copy(None, tests, seconds).get("by") == _START:
                raise RuntimeError("a copy does not start without a mutant either")
            if answer["outcome"] == SURVIVED or by not in tests or by in self._sound:
                return answer
            self._sound[by] = self._in_a_copy(None, [by], seconds)["outcome"] == SURVIVED

    def _in_a_copy(self, mutant: Mutant | None, tests: Sequence[str], seconds: float) -> dict[str, Any]:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            try:
                resource.setrlimit(resource.RLIMIT_DATA, (_MOST_MEMORY, _MOST_MEMORY))
                _end_a_hung_one()
                self._try(mutant, tests, seconds, lambda known: _write(writing, known))
            finally:
                os._exit(0)
        os.close(writing)
        with os.fdopen(reading) as told:
            lines = told.read().splitlines()
        _, status = os.waitpid(child, 0)
        if lines:
            answer: dict[str, Any] = json.loads(lines[-1])
            return answer
        return {"outcome": HUNG if os.WIFSIGNALED(status) else CAUGHT, "by": _START}

    def _try(
        self, mutant: Mutant | None, tests: Sequence[str], seconds: float, tell: Callable[[Any], None]
    ) -> None:
        raise NotImplementedError


def _write(out: int, known: dict[str, Any]) -> None:
    os.write(out, json.dumps(known).encode() + b"\n")


def without_output() -> TextIO:
    """Standard output, which nothing else writes to from now on."""
    answers = os.fdopen(os.dup(1), "w")
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    return answers
