"""Read the code of the package without running it: what each name at the top level leads to."""

import ast
import gc
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

import gearing_api
from gearing_api.questions import QUESTIONS

ROOT = Path(gearing_api.__file__).parent

Name = tuple[str, str]
"""A module, and a name defined at its top level; an empty name is the module itself."""


class Source:
    """The modules of a package: what each defines at its top level, and what it imports."""

    def __init__(self, modules: Mapping[str, ast.Module]) -> None:
        self.modules = modules
        self.defined = {module: dict(_definitions(tree)) for module, tree in modules.items()}
        self.imported = {module: dict(self._imports(tree)) for module, tree in modules.items()}
        self._used: dict[Name, list[Name]] = {}

    def _imports(self, tree: ast.Module) -> Iterator[tuple[str, Name]]:
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                yield from ((alias.asname or alias.name, (alias.name, "")) for alias in node.names)
            elif isinstance(node, ast.ImportFrom):
                for alias in node.names:
                    whole = f"{node.module}.{alias.name}"
                    found = (whole, "") if whole in self.modules else (node.module or "", alias.name)
                    yield alias.asname or alias.name, found

    def top_level(self, module: str) -> Iterator[Name]:
        """What a module names while it is imported."""
        for statement in self.modules[module].body:
            if isinstance(statement, ast.FunctionDef):
                arguments = statement.args
                defaults = [*arguments.defaults, *filter(None, arguments.kw_defaults)]
                for part in (*statement.decorator_list, *defaults):
                    yield from self._named(module, part, frozenset())
            elif not isinstance(statement, ast.ImportFrom | ast.Import):
                yield from self.uses(module, statement)

    def uses(self, module: str, node: ast.AST) -> Iterator[Name]:
        """What a statement names, without the local names of functions."""
        if isinstance(node, ast.ClassDef):
            for part in (*node.bases, *node.decorator_list, *node.body):
                yield from self.uses(module, part)
        else:
            function = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            yield from self._named(module, node, frozenset(_local(node)) if function else frozenset())

    def _named(self, module: str, node: ast.AST, local: frozenset[str]) -> Iterator[Name]:
        for part in ast.walk(node):
            if isinstance(part, ast.Name) and isinstance(part.ctx, ast.Load) and part.id not in local:
                yield self.resolve((module, part.id))
            elif isinstance(part, ast.Attribute):
                base, *rest = _dotted(part)
                found = self.imported[module].get(base)
                if found is not None and base not in local and rest:
                    yield self.resolve(self._within(found, rest))

    def _within(self, found: Name, rest: Iterable[str]) -> Name:
        """The name that `a.b.c` stands for, where `a` is an imported module."""
        module, name = found
        for part in () if name else rest:
            if f"{module}.{part}" not in self.modules:
                return module, part
            module = f"{module}.{part}"
        return module, name

    def resolve(self, name: Name) -> Name:
        """A name where it is defined, not where it is imported."""
        module, attribute = name
        if attribute and attribute not in self.defined.get(module, {}):
            imported = self.imported.get(module, {}).get(attribute)
            if imported is not None and imported != name:
                return self.resolve(imported)
        return name

    def reached(self, start: Iterable[Name]) -> set[Name]:
        """All names that follow from these."""
        seen: set[Name] = set()
        waiting = [self.resolve(name) for name in start]
        while waiting:
            module, name = found = waiting.pop()
            if found not in seen and name in self.defined.get(module, {}):
                seen.add(found)
                if found not in self._used:
                    self._used[found] = list(self.uses(module, self.defined[module][name]))
                waiting += self._used[found]
        return seen


def _definitions(tree: ast.Module) -> Iterator[tuple[str, ast.stmt]]:
    for statement in tree.body:
        if isinstance(statement, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield statement.name, statement
        elif isinstance(statement, ast.Assign | ast.AnnAssign):
            targets = statement.targets if isinstance(statement, ast.Assign) else [statement.target]
            for node in (node for target in targets for node in ast.walk(target)):
                if isinstance(node, ast.Name):
                    yield node.id, statement


def _local(function: ast.AST) -> Iterator[str]:
    for node in ast.walk(function):
        if isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id


def _dotted(part: ast.expr) -> list[str]:
    """`a.b.c` as its names; of what starts with no name, no more than an empty one."""
    if isinstance(part, ast.Attribute):
        return [*_dotted(part.value), part.attr]
    return [part.id if isinstance(part, ast.Name) else ""]


@cache
def trees() -> dict[str, ast.Module]:
    """The code of the package, file by file."""
    paths = sorted(ROOT.rglob("*.py"))
    found = {path.relative_to(ROOT).as_posix(): ast.parse(path.read_text(encoding="utf-8")) for path in paths}
    gc.freeze()  # half a million objects that stay: no search for garbage need look through them
    return found


@cache
def package() -> Source:
    """The package itself."""
    modules = {}
    for path, tree in trees().items():
        parts = Path(ROOT.name, path).with_suffix("").parts
        modules[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = tree
    return Source(modules)


_CAUTIONS = ("stop", "check", "note", "Caution")


@cache
def cautions_by_question() -> dict[str, list[str]]:
    """The codes of the cautions that the code of each question leads to; of the build sheet its own alone."""
    source = package()
    before = [("gearing_api.questions", "answer_before")]
    return {
        name: sorted(_codes_written(source, [(question.answer.__module__, "answer"), *before]))
        for name, question in QUESTIONS.items()
    }


def _codes_written(source: Source, start: Iterable[Name]) -> set[str]:
    return {code for module, name in source.reached(start) for code in _codes_of(source, module, name)}


@cache
def _codes_of(source: Source, module: str, name: str) -> set[str]:
    codes = set()
    for node in ast.walk(source.defined[module][name]):
        called = node.func.id if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) else ""
        first = node.args[0] if isinstance(node, ast.Call) and node.args else None
        if called in _CAUTIONS and isinstance(first, ast.Constant):
            codes.add(str(first.value))
    return codes
