"""What pytest does for the mutations, as ``-p tests.mutations.plugin``; the environment says which of two.

``MUTATIONS_LINES=FOLDER``: an ordinary run that writes down which lines each test runs, and its time.
Otherwise: collect once, then read trials from standard input; each is run in a copy of the process whose
functions have the mutated code.
"""

import functools
import gc
import json
import os
import sys
import threading
import time
from collections.abc import Callable, Generator, Iterator, Sequence
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

import pytest

from tests.mutations import ROOT, Mutant, mutated, original, subjects
from tests.mutations.copies import Copies, Trial, without_output

_HOUSE = f"{ROOT}/gearing_api/"
# These ask a service in a process of its own, which has no mutant.
_ELSEWHERE = {"service", "written", "redis", "port", "running"}


class Lines:
    """Which lines of the house each test runs, as bits of a number for each file, and how long it takes."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / f"lines-{os.environ.get('PYTEST_XDIST_WORKER', 'one')}.json"
        self._heard: set[tuple[str, int]] = set()
        self._of_file = {str(path): self._hear_lines_of(str(path)) for path in subjects()}
        self._on_import: dict[str, str] = {}
        self._tests: dict[str, tuple[float, dict[str, str]]] = {}
        self._failed: set[str] = set()
        sys.settrace(self._hear)
        threading.settrace(self._hear)

    def _hear(self, frame: FrameType, event: str, argument: Any) -> Callable[..., Any] | None:
        hear_line = self._of_file.get(frame.f_code.co_filename)
        return hear_line and hear_line(frame, event, argument)

    def _hear_lines_of(self, file: str) -> Callable[..., Any]:
        heard = self._heard

        def hear_line(frame: FrameType, event: str, argument: Any) -> Any:
            heard.add((file, frame.f_lineno))
            return hear_line

        return hear_line

    def _told(self) -> dict[str, str]:
        bits: dict[str, int] = {}
        for file, line in self._heard:
            bits[file] = bits.get(file, 0) | 1 << line
        self._heard.clear()
        return {str(Path(file).relative_to(ROOT)): f"{number:x}" for file, number in bits.items()}

    def pytest_collection_finish(self) -> None:
        self._on_import = self._told()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, Any, Any]:
        sys.settrace(self._hear)
        began = time.process_time()
        result = yield
        sys.settrace(None)
        told = self._told()
        elsewhere = _ELSEWHERE & set(getattr(item, "fixturenames", ()))
        if not elsewhere and item.nodeid not in self._failed:
            self._tests[item.nodeid] = (time.process_time() - began, told)
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._failed.add(report.nodeid)

    def pytest_sessionfinish(self) -> None:
        sys.settrace(None)
        if self._tests:
            self._path.write_text(json.dumps({"import": self._on_import, "tests": self._tests}))


class Server(Copies):
    """Copies of a process that has imported and collected everything."""

    def __init__(self) -> None:
        super().__init__()
        self._answers = without_output()
        self._functions: dict[CodeType, list[FunctionType]] = {}
        self._caches: list[Any] = []
        self._items: dict[str, pytest.Item] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self._look_around()
        self._items = {item.nodeid: item for item in session.items}
        self.serve(self._answers)
        return True

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

    def _try(
        self, mutant: Mutant | None, tests: Sequence[str], seconds: float, tell: Callable[[Any], None]
    ) -> None:
        if mutant is not None and not self._exchange(mutant):
            tell({"outcome": "not exchanged"})
            return
        for cache in self._caches:
            cache.cache_clear()
        items = [self._items[name] for name in tests if name in self._items]
        trial = Trial(seconds)
        items[0].config.pluginmanager.register(trial)
        for known in trial.run(items):
            tell(known)

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


# Before anything of the house is imported.
_LINES = [Lines(Path(folder))] if (folder := os.environ.get("MUTATIONS_LINES")) else []


def pytest_configure(config: pytest.Config) -> None:
    config.pluginmanager.register(_LINES[0] if _LINES else Server())
