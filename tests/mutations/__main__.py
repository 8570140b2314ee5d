"""Tell the share of mutants that the plain run catches: ``--sample 600 --seed 1 --thresholds``.

The first run writes down which lines each test runs. A mutant is tried with the tests that run its lines:
first those that caught others in the same file, and those about that file. What was tried is kept, so that a
run that was ended goes on; a change of the code or of a test begins anew.
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
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from tests.mutations import ROOT, Mutant, defined, lines_of, mutants_of, subjects
from tests.mutations.copies import CAUGHT, HUNG, SURVIVED

_PYTEST = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "-p", "tests.mutations.plugin"]
_COLLECTED = [*_PYTEST, "-n", "0", "-s"]
_FIRST, _MOST = 25, 500
_FRESH = [sys.executable, "-m", "tests.mutations.fresh"]


def main() -> None:
    """Try mutants and tell the shares caught and what survived."""
    options = _options()
    state = options.state / _digest()
    state.mkdir(parents=True, exist_ok=True)
    lines = Lines.of(state, options.processes)
    every = [mutant for path in subjects() for mutant in mutants_of(path)]
    sample = random.Random(options.seed).sample(every, min(options.sample, len(every)))
    thresholds = [mutant for mutant in every if mutant.threshold] if options.thresholds else []
    random.Random(options.seed).shuffle(thresholds)
    tried = _tried(state / "tried.jsonl")
    wanted = [mutant for mutant in dict.fromkeys([*sample, *thresholds]) if str(mutant[:2]) not in tried]
    ends = time.monotonic() + options.minutes * 60.0
    with (state / "tried.jsonl").open("a") as out:
        for mutant, answer in Trials(lines, options.seconds).of(wanted, options.processes, ends):
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


class Lines:
    """Which tests run a line, those that are likely to notice and quick first."""

    def __init__(self, told: Sequence[dict[str, Any]], caught_by: dict[str, Counter[str]]) -> None:
        self._on_import = _bits(one["import"] for one in told)
        self._named, self._standing = _named(self._on_import)
        self._tests: dict[str, tuple[float, dict[str, int]]] = {}
        for one in told:
            for name, (seconds, files) in one["tests"].items():
                self._tests[name] = seconds, _bits([files])
        self._caught_by = caught_by

    @classmethod
    def of(cls, state: Path, processes: int) -> "Lines":
        """From a run that is kept, or is made now."""
        if not [*state.glob("lines-*.json")]:
            print("which lines does each test run? A whole run, more slowly", file=sys.stderr)
            command = [*_PYTEST, "-n", str(processes)]
            environment = os.environ | {"MUTATIONS_LINES": str(state)}
            ended = subprocess.run(command, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True)
            if ended.returncode:
                print(f"{ended.stdout[-2000:]}\nthe plain run fails: tests that fail count for nothing")
        caught_by: dict[str, Counter[str]] = {}
        for path in state.parent.glob("*/tried.jsonl"):
            for key, answer in _tried(path).items():
                if answer["outcome"] == CAUGHT:
                    caught_by.setdefault(ast.literal_eval(key)[0], Counter())[answer["by"]] += 1
        return cls([json.loads(path.read_text()) for path in state.glob("lines-*.json")], caught_by)

    def is_run_on_import(self, mutant: Mutant) -> bool:
        """Whether the import of the house runs the lines that the mutant changes."""
        return bool(self._on_import.get(mutant.file, 0) & _between(mutant.first, mutant.last))

    def note(self, mutant: Mutant, by: str) -> None:
        """A test that caught a mutant is likely to catch another one of the same file."""
        self._caught_by.setdefault(mutant.file, Counter())[by] += 1

    def tests_of(self, mutant: Mutant) -> list[str]:
        """Those that run its lines; for what is outside of any function, the lines that name it, themselves first."""
        wanted, nearest = {mutant.file: _between(mutant.first, mutant.last)}, set[str]()
        if mutant.home is None:
            named = self._named.get(mutant.name) if mutant.name not in ("", "QUESTION") else None
            wanted = _bits([named]) if named else {mutant.file: -1}
            nearest.update(self._running(self._standing.get(mutant.name, {})))
        found = self._running(wanted)
        if mutant.home is None and not found:
            found = self._running({mutant.file: -1})
        if mutant.home is None:  # a table may be read whole, without its name
            own = f"/test_{Path(mutant.file).stem}.py::"
            found += [name for name in self._tests if own in name and name not in found]
        return sorted(found, key=lambda name: (name not in nearest, self._costs(mutant.file, name)))

    def _running(self, wanted: dict[str, int]) -> list[str]:
        return [
            name
            for name, (_, files) in self._tests.items()
            if any(files.get(file, 0) & bits for file, bits in wanted.items())
        ]

    def _costs(self, file: str, name: str) -> float:
        """Seconds of the test for each chance that it notices, roughly."""
        where, own = name.partition("::")[0], Path(file).stem
        chance = 1.0 + 20.0 * self._caught_by.get(file, Counter())[name]
        if own in where or own.replace("_", "-") in name:
            chance += 4.0
        if where.startswith(("tests/published/", "tests/questions/test_cautions.py")):
            chance += 4.0
        if "::TestKept::" in name or where == "tests/http/test_other_builds.py":
            chance += 40.0
        return (self._tests[name][0] + 0.01) / chance


def _between(first: int, last: int) -> int:
    return (1 << last + 1) - (1 << first)


def _bits(told: Iterable[dict[str, str]]) -> dict[str, int]:
    found: dict[str, int] = {}
    for files in told:
        for file, bits in files.items():
            found[file] = found.get(file, 0) | int(bits, 16)
    return found


def _named(on_import: dict[str, int]) -> tuple[dict[str, dict[str, str]], dict[str, dict[str, int]]]:
    """The lines of the house by the names that stand in them and by those made of these; and by the first alone."""
    found: dict[str, dict[str, int]] = {}
    made: dict[str, set[str]] = {}
    for path in subjects():
        file = str(path.relative_to(ROOT))
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for statement in ast.walk(tree):
            if not isinstance(statement, ast.stmt):
                continue
            bits = _between(*lines_of(statement))
            for name in {name for node in ast.walk(statement) for name in _names(node)}:
                files = found.setdefault(name, {})
                files[file] = files.get(file, 0) | bits
        for statement in tree.body:
            inner = [] if isinstance(statement, ast.ClassDef) else _statements(statement)
            if isinstance(statement, ast.FunctionDef):
                inner = [one for one in inner if on_import.get(file, 0) & _between(*lines_of(one))]
            of = defined(statement)
            if of == "QUESTION":
                of = f"{file} {of}"
                found[of] = {file: _between(0, statement.end_lineno or 0)}
            for name in {name for one in inner for node in ast.walk(one) for name in _names(node)}:
                made.setdefault(name, set()).add(of)
    return {name: _lines_of_all(_reached(name, made), found) for name in found}, found


def _statements(statement: ast.stmt) -> list[ast.stmt]:
    return list(statement.body) if isinstance(statement, ast.FunctionDef) else [statement]


def _reached(name: str, made: dict[str, set[str]]) -> set[str]:
    reached, waiting = {name}, [name]
    while waiting:
        new = made.get(waiting.pop(), set()) - reached - {""}
        reached |= new
        waiting += new
    return reached


def _lines_of_all(names: Iterable[str], found: dict[str, dict[str, int]]) -> dict[str, str]:
    bits: dict[str, int] = {}
    for name in names:
        for file, lines in found.get(name, {}).items():
            bits[file] = bits.get(file, 0) | lines
    return {file: f"{lines:x}" for file, lines in bits.items()}


def _names(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Name):
        yield node.id
    elif isinstance(node, ast.Attribute):
        yield node.attr


class Trials:
    """Servers try the mutants; one that matters on import goes to a server of fresh imports."""

    def __init__(self, lines: Lines, seconds: float) -> None:
        self._lines, self._seconds = lines, seconds
        self._lock = threading.Condition()

    def of(
        self, mutants: Sequence[Mutant], processes: int, ends: float
    ) -> Iterator[tuple[Mutant, dict[str, Any]]]:
        """Each mutant with its answer, as they come."""
        waiting, done = list(reversed(mutants)), list[tuple[Mutant, dict[str, Any]]]()

        def work() -> None:
            servers = [_server(*command) for command in (_COLLECTED, _FRESH)] if waiting else []
            while waiting and time.monotonic() < ends:
                mutant = waiting.pop()
                answer = self._answer(mutant, *servers)
                with self._lock:
                    done.append((mutant, answer))
                    self._lock.notify()
            for server in servers:
                server.communicate()
            with self._lock:
                alive.remove(threading.current_thread())
                self._lock.notify()

        alive = [threading.Thread(target=work) for _ in range(processes)]
        for thread in list(alive):
            thread.start()
        while True:
            with self._lock:
                self._lock.wait_for(lambda: done or not alive)
                found, done[:] = list(done), []
            yield from found
            if not found:
                return

    def _answer(self, mutant: Mutant, collected: Any, fresh: Any) -> dict[str, Any]:
        tests = self._lines.tests_of(mutant)
        answer: dict[str, Any] = {"outcome": "not exchanged"}
        if not tests:
            answer = {"outcome": SURVIVED, "ran": 0, "of": 0}
        elif mutant.home is not None:
            answer = self._ask(collected, mutant, tests)
        on_import = answer["outcome"] == SURVIVED and self._lines.is_run_on_import(mutant)
        if answer["outcome"] == "not exchanged" or (on_import and tests):
            # Few files are quick to import; most mutants are caught by their tests.
            answer = self._ask(fresh, mutant, tests[:_FIRST])
            if answer["outcome"] == SURVIVED and tests[_FIRST:]:
                answer = self._ask(fresh, mutant, tests[_FIRST:_MOST])
        if answer["outcome"] == CAUGHT:
            self._lines.note(mutant, answer["by"])
        return answer

    def _ask(self, server: Any, mutant: Mutant, tests: Sequence[str]) -> dict[str, Any]:
        asked = {"mutant": mutant, "tests": tests, "seconds": self._seconds}
        print(json.dumps(asked), file=server.stdin, flush=True)
        answer: dict[str, Any] = json.loads(server.stdout.readline())
        return answer


def _server(*command: str) -> Any:
    environment = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
    pipe = subprocess.PIPE
    return subprocess.Popen(command, cwd=ROOT, env=environment, stdin=pipe, stdout=pipe, text=True)


if __name__ == "__main__":
    main()
