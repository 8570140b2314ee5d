"""Every name in mechanics/ serves a question, a table or a route, or waits for a question by name.

The source is read, nothing runs. Statements at the top level of the modules outside mechanics/ and the entry
points are reached; so is whatever a reached function, class or constant names. A function that only an
unreached function calls is not reached.
"""

import ast
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

import gearing_api
from gearing_api.questions import QUESTIONS

ROOT = Path(gearing_api.__file__).parent
MECHANICS = "gearing_api.mechanics."

Name = tuple[str, str]
"""A module, and a name defined at its top level; an empty name is the module itself."""

ENTRY_POINTS = [("gearing_api.__main__", "main"), ("gearing_api.app", "create_app")]

LATER: dict[str, str] = {}
"""Functions and constants that no question uses yet, each with the question that will."""

COMING_QUESTIONS: set[str] = set()


class Source:
    """The modules of a package: what each defines at its top level, and what it imports."""

    def __init__(self, modules: Mapping[str, ast.Module]) -> None:
        self.modules = modules
        self.defined = {module: dict(_definitions(tree)) for module, tree in modules.items()}
        self.imported = {module: dict(self._imports(tree)) for module, tree in modules.items()}

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
                base, *rest = ast.unparse(part).split(".")
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
                waiting += self.uses(module, self.defined[module][name])
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


@cache
def package() -> Source:
    """The package itself."""
    modules = {}
    for path in sorted(ROOT.rglob("*.py")):
        parts = path.relative_to(ROOT.parent).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        modules[name] = ast.parse(path.read_text(encoding="utf-8"))
    return Source(modules)


@cache
def without_later() -> set[Name]:
    """What is reached without what waits."""
    source = package()
    outside = [module for module in source.modules if not module.startswith(MECHANICS)]
    return source.reached([*ENTRY_POINTS, *(name for module in outside for name in source.top_level(module))])


def formulas() -> set[Name]:
    """Everything that mechanics/ defines."""
    defined = package().defined
    return {(module, name) for module in defined if module.startswith(MECHANICS) for name in defined[module]}


def short(names: Iterable[Name]) -> list[str]:
    return sorted(f"{module.removeprefix(MECHANICS)}.{name}" for module, name in names)


def test_every_name_is_used_or_waits_for_a_question() -> None:
    later = [(MECHANICS + module, name) for module, name in (key.split(".") for key in LATER)]
    unused = formulas() - without_later() - package().reached(later)
    assert short(unused) == [], "use it, list it in LATER or delete it"


def test_what_a_question_uses_no_longer_waits() -> None:
    assert sorted(LATER.keys() & set(short(without_later() & formulas()))) == [], "take it out of LATER"


def test_what_waits_is_there_and_waits_for_a_question() -> None:
    assert LATER.keys() <= set(short(formulas()))
    assert set(LATER.values()) <= QUESTIONS.keys() | COMING_QUESTIONS


def test_a_coming_question_is_not_there_yet() -> None:
    assert COMING_QUESTIONS.isdisjoint(QUESTIONS), "use its functions, then take it out"


def test_the_reading_finds_what_is_used_and_only_that() -> None:
    trees = {
        "p": "",
        "p.formulas": """
SCALE = 2.0
def used(width): return SCALE * helper(width)
def helper(x): return x
def shadowed(x): return x
def only_called_by_unused(x): return x
def unused(x): return only_called_by_unused(x)
def by_name(x): return x
""",
        "p.shapes": "from p.formulas import used, by_name",
        "p.main": """
from p import formulas, shapes
from p.shapes import by_name as other
def run(shadowed): return formulas.used(shadowed) + len("unused") + other(1)
def idle(): return formulas.unused(1)
""",
    }
    source = Source({name: ast.parse(text) for name, text in trees.items()})
    reached = {name for module, name in source.reached([("p.main", "run")]) if module == "p.formulas"}
    assert reached == {"SCALE", "used", "helper", "by_name"}
