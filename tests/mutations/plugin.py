"""What pytest does for the mutations, as ``-p tests.mutations.plugin``; the environment says which of
three things.

``MUTATIONS_CALLS=FOLDER``: an ordinary run that writes down which functions each test calls, and its time.
``MUTATIONS_MUTANT=FILE``: one trial in a process of its own, which imports the mutated file.
Neither: collect once, then read trials from standard input, one JSON object a line; each is run in a copy of
the process whose functions have the mutated code.
"""

import functools
import gc
import importlib.abc
import importlib.machinery
import json
import os
import resource
import signal
import sys
import threading
import time
from collections.abc import Generator, Iterator, Sequence
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import pytest

from tests.mutations import ROOT, Mutant, mutated, original

_HOUSE = f"{ROOT}/gearing_api/"
# These ask a service in a process of its own, which has no mutant.
_ELSEWHERE = {"service", "written", "redis", "port", "running"}
_LONGEST_TEST = 20.0
"""Processor time that a test may take. [s]"""
_MOST_MEMORY = 4 << 30
SURVIVED, CAUGHT, HUNG = "survived", "caught", "hung"


class Calls:
    """Which functions of the house each test calls, and how long it takes."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / f"calls-{os.environ.get('PYTEST_XDIST_WORKER', 'one')}.json"
        self._heard: set[tuple[str, int]] = set()
        self._on_import: list[str] = []
        self._tests: dict[str, tuple[float, list[str]]] = {}
        self._failed: set[str] = set()
        sys.settrace(self._hear)
        threading.settrace(self._hear)

    def _hear(self, frame: FrameType, event: str, argument: Any) -> None:
        code = frame.f_code
        if code.co_filename.startswith(_HOUSE):
            self._heard.add((code.co_filename, code.co_firstlineno))

    def _told(self) -> list[str]:
        told = sorted(f"{Path(file).relative_to(ROOT)}:{line}" for file, line in self._heard)
        self._heard.clear()
        return told

    def pytest_collection_finish(self) -> None:
        self._on_import = self._told()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        sys.settrace(self._hear)
        began = time.perf_counter()
        result = yield
        sys.settrace(None)
        elsewhere = _ELSEWHERE & set(getattr(item, "fixturenames", ()))
        if not elsewhere and item.nodeid not in self._failed:
            self._tests[item.nodeid] = (time.perf_counter() - began, self._told())
        self._heard.clear()
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        sys.settrace(None)
        if self._tests:
            self._path.write_text(json.dumps({"import": self._on_import, "tests": self._tests}))


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
        ends = time.process_time() + self._seconds
        for item, following in zip(items, [*items[1:], None], strict=True):
            signal.setitimer(signal.ITIMER_PROF, _LONGEST_TEST)
            signal.setitimer(signal.ITIMER_REAL, 6.0 * _LONGEST_TEST)
            yield {"outcome": HUNG, "by": item.nodeid}
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            self._ran += 1
            if self._by or time.process_time() > ends:
                break
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        yield {
            "outcome": CAUGHT if self._by else SURVIVED,
            "by": self._by,
            "ran": self._ran,
            "of": len(items),
        }


class Server:
    """Trials in copies of a process that has imported and collected everything."""

    def __init__(self) -> None:
        self._answers = os.fdopen(os.dup(1), "w")
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, 1)
        os.dup2(nothing, 2)
        self._functions: dict[CodeType, list[FunctionType]] = {}
        self._caches: list[Any] = []
        self._sound: dict[str, bool] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self._look_around()
        items = {item.nodeid: item for item in session.items}
        for line in sys.stdin:
            asked = json.loads(line)
            chosen = [items[name] for name in asked["tests"] if name in items]
            answer = self._answer(session, Mutant(*asked["mutant"]), chosen, asked["seconds"])
            print(json.dumps(answer), file=self._answers, flush=True)
        return True

    def _answer(
        self, session: pytest.Session, mutant: Mutant, items: Sequence[pytest.Item], seconds: float
    ) -> dict[str, Any]:
        """What the tests say, without those that fail here without any mutant too."""
        while True:
            items = [item for item in items if self._sound.get(item.nodeid, True)]
            answer = self._in_a_copy(session, mutant, items, seconds)
            by = [item for item in items if item.nodeid == answer.get("by")]
            if not by or by[0].nodeid in self._sound:
                return answer
            self._sound[by[0].nodeid] = self._in_a_copy(session, None, by, seconds)["outcome"] == SURVIVED

    def _look_around(self) -> None:
        """Find the functions whose code can be exchanged, and what remembers their values."""
        gc.unfreeze()
        gc.collect()
        for thing in gc.get_objects():
            if isinstance(thing, FunctionType) and thing.__code__.co_filename.startswith(_HOUSE):
                self._functions.setdefault(thing.__code__, []).append(thing)
            elif isinstance(thing, functools._lru_cache_wrapper):
                self._caches.append(thing)
        gc.freeze()

    def _in_a_copy(
        self, session: pytest.Session, mutant: Mutant | None, items: Sequence[pytest.Item], seconds: float
    ) -> dict[str, Any]:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            try:
                self._tell_of_a_trial(session, mutant, items, seconds, writing)
            finally:
                os._exit(0)
        os.close(writing)
        with os.fdopen(reading) as told:
            lines = told.read().splitlines()
        os.waitpid(child, 0)
        answer: dict[str, Any] = json.loads(lines[-1]) if lines else {"outcome": HUNG, "by": "at the start"}
        return answer

    def _tell_of_a_trial(
        self,
        session: pytest.Session,
        mutant: Mutant | None,
        items: Sequence[pytest.Item],
        seconds: float,
        out: int,
    ) -> None:
        resource.setrlimit(resource.RLIMIT_DATA, (_MOST_MEMORY, _MOST_MEMORY))
        for ending in (signal.SIGALRM, signal.SIGPROF):
            signal.signal(ending, signal.SIG_DFL)
        if mutant is not None and not self._exchange(mutant):
            os.write(out, b'{"outcome": "not exchanged"}\n')
            return
        for cache in self._caches:
            cache.cache_clear()
        trial = Trial(seconds)
        session.config.pluginmanager.register(trial)
        for known in trial.run(items):
            os.write(out, json.dumps(known).encode() + b"\n")

    def _exchange(self, mutant: Mutant) -> bool:
        """Give every function that has the old code the new; whether there was one."""
        found = False
        for old, new in _differing(original(mutant.file), mutated(mutant)):
            for function in self._functions.get(old, ()):
                function.__code__ = new
                found = True
        return found


def _differing(old: CodeType, new: CodeType) -> Iterator[tuple[CodeType, CodeType]]:
    """The outermost functions of a file whose code differs, and those within."""
    if old == new:
        return
    inner_old, inner_new = (
        [one for one in code.co_consts if isinstance(one, CodeType)] for code in (old, new)
    )
    if len(inner_old) == len(inner_new):
        for pair in zip(inner_old, inner_new, strict=True):
            yield from _differing(*pair)
    if old.co_freevars == new.co_freevars:
        yield old, new


class Alone(importlib.abc.MetaPathFinder):
    """One trial of a mutant that is there from the import on."""

    def __init__(self, asked: dict[str, Any]) -> None:
        self._mutant = Mutant(*asked["mutant"])
        self._tests: list[str] = asked["tests"]
        self._seconds: float = asked["seconds"]
        self._module = self._mutant.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        sys.meta_path.insert(0, self)

    def find_spec(self, name: str, path: Any, target: Any = None) -> importlib.machinery.ModuleSpec | None:
        if name != self._module:
            return None
        spec = importlib.machinery.PathFinder.find_spec(name, path)
        assert spec is not None
        spec.loader = _Mutated(name, str(ROOT / self._mutant.file), self._mutant)
        return spec

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        trial = Trial(self._seconds)
        session.config.pluginmanager.register(trial)
        for known in trial.run([items[name] for name in self._tests if name in items]):
            Path(os.environ["MUTATIONS_ANSWER"]).write_text(json.dumps(known))
        return True


class _Mutated(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, path: str, mutant: Mutant) -> None:
        super().__init__(name, path)
        self._mutant = mutant

    def get_code(self, fullname: str) -> CodeType:
        return mutated(self._mutant)


# Before anything of the house is imported.
_PARTS: list[Any] = []
if folder := os.environ.get("MUTATIONS_CALLS"):
    _PARTS.append(Calls(Path(folder)))
elif mutant := os.environ.get("MUTATIONS_MUTANT"):
    _PARTS.append(Alone(json.loads(Path(mutant).read_text())))


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(_PARTS[0] if _PARTS else Server())
