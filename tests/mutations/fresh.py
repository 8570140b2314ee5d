"""Trials of mutants that are there from the import on: ``python -m tests.mutations.fresh``.

Packages of others are imported once; each copy imports the house, with the mutated file, and the test files.
"""

import importlib.abc
import importlib.machinery
import sys
from collections.abc import Callable, Sequence
from typing import Any

import flask  # noqa: F401
import hypothesis  # noqa: F401
import matplotlib.figure  # noqa: F401
import numpy  # noqa: F401
import pint  # noqa: F401
import pytest
import schemathesis  # noqa: F401

from tests.mutations import ROOT, Mutant, mutated
from tests.mutations.copies import Copies, Trial, without_output

_OPTIONS = ["-p", "no:cacheprovider", "-n", "0", "-s", "-W", "ignore::pytest.PytestAssertRewriteWarning"]


class Fresh(Copies):
    """Copies that import everything of the house."""

    def _try(
        self, mutant: Mutant | None, tests: Sequence[str], seconds: float, tell: Callable[[Any], None]
    ) -> None:
        finders = [] if mutant is None else [_Finder(mutant)]
        sys.meta_path[:0] = finders
        files = dict.fromkeys(name.partition("::")[0] for name in tests)
        pytest.main([*_OPTIONS, *files], [_Chosen(tests, seconds, tell, finders)])


class _Chosen:
    def __init__(
        self, tests: Sequence[str], seconds: float, tell: Callable[[Any], None], finders: Sequence["_Finder"]
    ) -> None:
        self._tests, self._seconds, self._tell, self._finders = tests, seconds, tell, finders

    def pytest_collection(self) -> None:
        """Come before the finder of pytest, which reads a file with examples to be run by itself."""
        sys.meta_path[:0] = self._finders

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        if session.testsfailed:
            return True
        items = {item.nodeid: item for item in session.items}
        trial = Trial(self._seconds)
        session.config.pluginmanager.register(trial)
        for known in trial.run([items[name] for name in self._tests if name in items]):
            self._tell(known)
        return True


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, mutant: Mutant) -> None:
        self._mutant = mutant
        self._module = mutant.file.removesuffix(".py").removesuffix("/__init__").replace("/", ".")

    def find_spec(self, name: str, path: Any, target: Any = None) -> importlib.machinery.ModuleSpec | None:
        if name != self._module:
            return None
        spec = importlib.machinery.PathFinder.find_spec(name, path)
        assert spec is not None
        spec.loader = _Mutated(name, str(ROOT / self._mutant.file), self._mutant)
        return spec


class _Mutated(importlib.machinery.SourceFileLoader):
    def __init__(self, name: str, path: str, mutant: Mutant) -> None:
        super().__init__(name, path)
        self._mutant = mutant

    def get_code(self, fullname: str) -> Any:
        return mutated(self._mutant)


if __name__ == "__main__":
    Fresh().serve(without_output())
