"""Tell the share of mutants that the plain run catches: ``--sample 600 --seed 1 --thresholds``.

The first run writes down which functions each test calls. What was tried is kept, so that a run that was
ended goes on; a change of the code or of a test begins anew.
"""

import argparse
import ast
import hashlib
import json
import math
import os
import random
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from tests.mutations import ROOT, Mutant, mutants_of, subjects
from tests.mutations.plugin import CAUGHT, HUNG, SURVIVED

_PYTEST = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-p", "tests.mutations.plugin"]
_ONE_PROCESS = [*_PYTEST, "-n", "0", "-s"]


def main() -> None:
    """Try mutants and tell the shares caught and what survived."""
    options = _options()
    state = options.state / _digest()
    state.mkdir(parents=True, exist_ok=True)
    calls = Calls.of(state, options.processes)
    every = [mutant for path in subjects() for mutant in mutants_of(path)]
    sample = random.Random(options.seed).sample(every, min(options.sample, len(every)))
    thresholds = [mutant for mutant in every if mutant.threshold] if options.thresholds else []
    tried = _tried(state / "tried.jsonl")
    wanted = [mutant for mutant in dict.fromkeys([*sample, *thresholds]) if str(mutant[:2]) not in tried]
    ends = time.monotonic() + options.minutes * 60.0
    with (state / "tried.jsonl").open("a") as out:
        for mutant, answer in Trials(calls, options.seconds, state).of(wanted, options.processes, ends):
            tried[str(mutant[:2])] = answer
            print(json.dumps([str(mutant[:2]), answer]), file=out, flush=True)
            if sys.stderr.isatty():
                print(f"\r{len(tried)} tried", end="", file=sys.stderr)
    _tell(f"a sample of {len(sample)} of {len(every)}, seed {options.seed}", sample, tried)
    if thresholds:
        _tell("all thresholds", thresholds, tried)
    survivors = [one for one in dict.fromkeys([*sample, *thresholds]) if not _is_caught(tried, one, True)]
    for mutant in sorted(survivors):
        answer = tried[str(mutant[:2])]
        print(f"{mutant} ({answer.get('ran', 0)} of {answer.get('of', 0)} tests)")


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutations", description=__doc__)
    parser.add_argument("--sample", type=int, default=600, help="mutants drawn from all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--thresholds", action="store_true", help="and all mutants of thresholds and refusals"
    )
    parser.add_argument("--seconds", type=float, default=15.0, help="of tests for one mutant")
    parser.add_argument("--minutes", type=float, default=60.0, help="for all; what is left is not counted")
    parser.add_argument("--processes", type=int, choices=(1, 2), default=2)
    parser.add_argument("--state", type=Path, default=Path(tempfile.gettempdir()) / "gearing-mutations")
    return parser.parse_args()


def _digest() -> str:
    found = hashlib.sha256()
    for folder in ("gearing_api", "tests"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            found.update(path.read_bytes())
    return found.hexdigest()[:16]


def _tried(path: Path) -> dict[str, dict[str, Any]]:
    return dict(map(json.loads, path.read_text().splitlines())) if path.exists() else {}


def _is_caught(tried: dict[str, dict[str, Any]], mutant: Mutant, untried: bool = False) -> bool:
    answer = tried.get(str(mutant[:2]))
    return untried if answer is None else answer["outcome"] in (CAUGHT, HUNG)


def _tell(what: str, mutants: Sequence[Mutant], tried: dict[str, dict[str, Any]]) -> None:
    known = [mutant for mutant in mutants if str(mutant[:2]) in tried]
    caught = sum(_is_caught(tried, mutant) for mutant in known)
    low, high = wilson(caught, len(known))
    print(f"{what}: {len(known)} tried, {caught} caught, "
          f"{caught / max(len(known), 1):.1%} (95 %: {low:.1%} to {high:.1%})")  # fmt: skip


def wilson(caught: int, tried: int) -> tuple[float, float]:
    """The 95 % score interval of a share.

    References
    ----------
    .. [1] E. B. Wilson, Journal of the American Statistical Association 22 (1927), 209-212.
    """
    if not tried:
        return 0.0, 1.0
    z, share = 1.959964, caught / tried
    middle = share + z * z / (2 * tried)
    spread = z * math.sqrt(share * (1 - share) / tried + z * z / (4 * tried * tried))
    return tuple((middle + sign * spread) / (1 + z * z / tried) for sign in (-1, 1))  # type: ignore[return-value]


class Calls:
    """Which tests call a function, the quickest files first."""

    def __init__(self, tests: dict[str, tuple[float, list[str]]], on_import: Iterable[str]) -> None:
        self.on_import = set(on_import)
        self._times = {name: seconds for name, (seconds, _) in tests.items()}
        self._by_function: dict[str, list[str]] = {}
        for name, (_, functions) in tests.items():
            for function in functions:
                self._by_function.setdefault(function, []).append(name)

    @classmethod
    def of(cls, state: Path, processes: int) -> "Calls":
        """From a run that is kept, or is made now."""
        if not [*state.glob("calls-*.json")]:
            print("which functions does each test call? A whole run, more slowly", file=sys.stderr)
            command = [*_PYTEST, "-n", str(processes)]
            environment = os.environ | {"MUTATIONS_CALLS": str(state)}
            ended = subprocess.run(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)
            if ended.returncode:
                print(f"{ended.stdout[-2000:]}\nthe plain run fails: tests that fail count for nothing")
        told = [json.loads(path.read_text()) for path in state.glob("calls-*.json")]
        tests = {name: call for one in told for name, call in one["tests"].items()}
        return cls(tests, [function for one in told for function in one["import"]])

    def tests_of(self, mutant: Mutant) -> list[str]:
        """Those that call the function; for what is outside of any, those of the functions that name it."""
        if mutant.home is not None and f"{mutant.file}:{mutant.home}" in self._by_function:
            functions = [f"{mutant.file}:{mutant.home}"]
        else:
            named = [] if mutant.name == "QUESTION" else _functions_that_name(mutant.name)
            functions = named or [
                function for function in self._by_function if function.startswith(f"{mutant.file}:")
            ]
        names = {name for function in functions for name in self._by_function.get(function, ())}
        of_files: dict[str, list[str]] = {}
        for name in self._times:
            if name in names:
                of_files.setdefault(name.partition("::")[0], []).append(name)
        in_order = sorted(of_files.values(), key=lambda file: sum(map(self._times.__getitem__, file)))
        return [name for file in in_order for name in file]


def _functions_that_name(name: str) -> list[str]:
    return _named().get(name, [])


@cache
def _named() -> dict[str, list[str]]:
    """The functions of the house by the names that stand in them."""
    found: dict[str, list[str]] = {}
    for path in sorted((ROOT / "gearing_api").rglob("*.py")):
        for function in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(function, ast.FunctionDef):
                first = [*function.decorator_list, function][0].lineno
                for name in {name for node in ast.walk(function) for name in _names(node)}:
                    found.setdefault(name, []).append(f"{path.relative_to(ROOT)}:{first}")
    return found


def _names(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Name):
        yield node.id
    elif isinstance(node, ast.Attribute):
        yield node.attr


class Trials:
    """Servers try the mutants; one that matters on import alone is tried in a process of its own."""

    def __init__(self, calls: Calls, seconds: float, state: Path) -> None:
        self._calls, self._seconds, self._state = calls, seconds, state
        self._caught_by: dict[str, list[str]] = {}
        self._lock = threading.Condition()

    def of(
        self, mutants: Sequence[Mutant], processes: int, ends: float
    ) -> Iterator[tuple[Mutant, dict[str, Any]]]:
        """Each mutant with its answer, as they come."""
        waiting, done = list(reversed(mutants)), list[tuple[Mutant, dict[str, Any]]]()

        def work(place: int) -> None:
            server = _server() if waiting else None
            while waiting and time.monotonic() < ends:
                mutant = waiting.pop()
                answer = self._answer(mutant, server, place)
                with self._lock:
                    done.append((mutant, answer))
                    self._lock.notify()
            if server is not None:
                server.communicate()
            with self._lock:
                alive.discard(place)
                self._lock.notify()

        alive = set(range(processes))
        for place in range(processes):
            threading.Thread(target=work, args=(place,)).start()
        while True:
            with self._lock:
                self._lock.wait_for(lambda: done or not alive)
                found, done[:] = list(done), []
            yield from found
            if not found:
                return

    def _answer(self, mutant: Mutant, server: Any, place: int) -> dict[str, Any]:
        tests = self._calls.tests_of(mutant)
        first = [name for name in self._caught_by.get(mutant.file, ()) if name in set(tests)][-3:]
        asked = {"mutant": mutant, "tests": list(dict.fromkeys([*first, *tests])), "seconds": self._seconds}
        answer: dict[str, Any] = {"outcome": "not exchanged"}
        if not tests:
            answer = {"outcome": SURVIVED, "ran": 0, "of": 0}
        elif mutant.home is not None:
            print(json.dumps(asked), file=server.stdin, flush=True)
            answer = json.loads(server.stdout.readline())
        on_import = f"{mutant.file}:{mutant.home}" in self._calls.on_import
        if answer["outcome"] == "not exchanged" or (answer["outcome"] == SURVIVED and on_import and tests):
            answer = self._alone(asked, place)
        if answer["outcome"] == CAUGHT:
            self._caught_by.setdefault(mutant.file, []).append(answer["by"])
        return answer

    def _alone(self, asked: dict[str, Any], place: int) -> dict[str, Any]:
        question, told = self._state / f"ask-{place}.json", self._state / f"answer-{place}.json"
        question.write_text(json.dumps(asked))
        told.unlink(missing_ok=True)
        files = sorted({name.partition("::")[0] for name in asked["tests"]})
        environment = os.environ | {"MUTATIONS_MUTANT": str(question), "MUTATIONS_ANSWER": str(told)}
        try:
            subprocess.run([*_ONE_PROCESS, *files], cwd=ROOT, env=environment, capture_output=True,
                           timeout=self._seconds + 60.0)  # fmt: skip
        except subprocess.TimeoutExpired:
            return {"outcome": HUNG, "by": "on import"}
        if not told.exists():
            return {"outcome": CAUGHT, "by": "the import"}
        answer: dict[str, Any] = json.loads(told.read_text())
        return answer


def _server() -> Any:
    environment = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
    pipe = subprocess.PIPE
    return subprocess.Popen(_ONE_PROCESS, cwd=ROOT, env=environment, stdin=pipe, stdout=pipe, text=True)


if __name__ == "__main__":
    main()
