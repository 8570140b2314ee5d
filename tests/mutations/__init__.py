"""Small changes of behaviour, made on purpose: does the plain run notice them?

``python -m tests.mutations --sample 600 --seed 1 --thresholds`` says which share it catches.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from types import CodeType
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
SUBJECTS = ("questions", "vehicle", "mechanics", "fields.py", "units.py")
"""What is mutated, in `gearing_api/`."""

_BOUNDARIES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt,
}  # fmt: skip
_OPPOSITES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip
_CALLS = {
    "min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum", "any": "all", "all": "any",
    "argmin": "argmax", "argmax": "argmin", "floor": "ceil", "ceil": "floor", "sin": "cos", "cos": "sin",
}  # fmt: skip
_AMOUNT = re.compile(r"(\d+(?:\.\d+)?)( (?:in|mm|rpm|deg|psi|kPa|mph|km/h|lb|kg|ft|m|%|hp|kW|lb-ft))")


class Mutant(NamedTuple):
    """One change: the `number`-th that can be made in a file, and where it stands.

    `home` is the first line of the innermost function that it changes, None where it is outside of any;
    `name` is what the statement at the top level of the file defines; `first` and `last` are the lines of the
    innermost statement, without those of the statements within.
    """

    file: str
    number: int
    line: int
    operator: str
    before: str
    after: str
    threshold: bool
    home: int | None
    name: str
    first: int
    last: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line} {self.operator}: {self.before} -> {self.after}"


class _Slot(NamedTuple):
    """A place in the tree that holds a node."""

    parent: ast.AST
    field: str
    place: int | None = None

    @property
    def node(self) -> ast.AST:
        value = getattr(self.parent, self.field)
        node: ast.AST = value if self.place is None else value[self.place]
        return node

    def put(self, node: ast.AST) -> None:
        if self.place is None:
            setattr(self.parent, self.field, node)
        else:
            getattr(self.parent, self.field)[self.place] = node


class _Within(NamedTuple):
    """Where the walk is: the function, the statement at the top level, in a comparison or a named limit."""

    home: int | None = None
    name: str = ""
    compared: bool = False
    limit: bool = False
    lines: tuple[int, int] = (0, 0)


class _Site(NamedTuple):
    slot: _Slot
    new: ast.AST
    operator: str
    threshold: bool
    within: _Within


def subjects() -> list[Path]:
    """The files that are mutated."""
    found = [ROOT / "gearing_api" / name for name in SUBJECTS]
    return sorted(file for path in found for file in ([path] if path.suffix else path.rglob("*.py")))


def mutants_of(path: Path) -> list[Mutant]:
    """Every change that can be made in a file."""
    made = []
    for number, site in enumerate(_sites(ast.parse(path.read_text(encoding="utf-8")))):
        old, within = site.slot.node, site.within
        line = getattr(old, "lineno", getattr(site.slot.parent, "lineno", 0))
        made.append(
            Mutant(
                str(path.relative_to(ROOT)),
                number,
                line,
                site.operator,
                _shown(old),
                _shown(site.new),
                site.threshold,
                within.home,
                within.name,
                *within.lines,
            )
        )
    return made


def mutated(mutant: Mutant) -> CodeType:
    """The code of the file with that one change."""
    path = ROOT / mutant.file
    tree = ast.parse(path.read_text(encoding="utf-8"))
    site = next(site for number, site in enumerate(_sites(tree)) if number == mutant.number)
    old = site.slot.node
    site.slot.put(ast.copy_location(site.new, old) if hasattr(old, "lineno") else site.new)
    return compile(ast.fix_missing_locations(tree), str(path), "exec", dont_inherit=True)


def original(file: str) -> CodeType:
    """The code of the file as it is."""
    path = ROOT / file
    return compile(path.read_text(encoding="utf-8"), str(path), "exec", dont_inherit=True)


def lines_of(statement: ast.stmt) -> tuple[int, int]:
    """First and last line of a statement, without those of the statements within."""
    body = getattr(statement, "body", None)
    last = body[0].lineno - 1 if body else statement.end_lineno or statement.lineno
    return statement.lineno, max(last, statement.lineno)


def _shown(node: ast.AST) -> str:
    if isinstance(node, ast.cmpop | ast.operator | ast.boolop):
        return type(node).__name__
    text = " ".join(ast.unparse(node).split())
    return text if len(text) <= 70 else f"{text[:66]} ..."


def _sites(tree: ast.Module) -> Iterator[_Site]:
    for place, statement in enumerate(tree.body):
        name = defined(statement)
        within = _Within(name=name, limit=name.isupper())
        yield from _visit(_Slot(tree, "body", place), within)


def defined(statement: ast.stmt) -> str:
    """The name that a statement gives to something, or nothing."""
    if isinstance(statement, ast.FunctionDef | ast.ClassDef):
        return statement.name
    targets = statement.targets if isinstance(statement, ast.Assign) else [getattr(statement, "target", None)]
    names = [
        node.id for target in targets if target for node in ast.walk(target) if isinstance(node, ast.Name)
    ]
    return names[0] if names else ""


def _visit(slot: _Slot, within: _Within) -> Iterator[_Site]:
    """The changes of a node, then those of what it is made of."""
    node = slot.node
    if _does_nothing(slot):
        return
    if isinstance(node, ast.stmt):
        within = within._replace(lines=lines_of(node))
    yield from _changes(slot, within)
    inside = within
    if isinstance(node, ast.Compare):
        inside = within._replace(compared=True)
    elif isinstance(node, ast.FunctionDef | ast.Lambda):
        first = [*getattr(node, "decorator_list", []), node][0]
        inside = _Within(first.lineno, within.name, lines=within.lines)
    for name, value in ast.iter_fields(node):
        here = within if isinstance(node, ast.FunctionDef | ast.Lambda) and name != "body" else inside
        if isinstance(value, ast.AST):
            yield from _visit(_Slot(node, name), here)
        elif isinstance(value, list):
            for place, child in enumerate(value):
                if isinstance(child, ast.AST):
                    yield from _visit(_Slot(node, name, place), here)


def _does_nothing(slot: _Slot) -> bool:
    """Words, types and what a type checker reads: no behaviour."""
    node = slot.node
    if isinstance(node, ast.Import | ast.ImportFrom | ast.Assert | ast.JoinedStr):
        return True
    if slot.field in ("annotation", "returns", "decorator_list", "exc"):
        return True
    if isinstance(node, ast.keyword):
        return node.arg == "strict"
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id in ("Source", "TypeVar", "cast")
    return isinstance(node, ast.Subscript) and isinstance(node.value, ast.Name) and node.value.id == "Literal"


def _changes(slot: _Slot, within: _Within) -> Iterator[_Site]:
    node = slot.node

    def site(new: ast.AST, operator: str, threshold: bool = False, at: _Slot = slot) -> _Site:
        return _Site(at, new, operator, threshold, within)

    match node:
        case ast.Compare(ops=ops):
            for place, op in enumerate(ops):
                at = _Slot(node, "ops", place)
                if type(op) in _BOUNDARIES:
                    yield site(_BOUNDARIES[type(op)](), "boundary", True, at)
                yield site(_OPPOSITES[type(op)](), "comparison", False, at)
        case ast.BinOp(op=op) if type(op) in _ARITHMETIC:
            yield site(_ARITHMETIC[type(op)](), "arithmetic", False, _Slot(node, "op"))
        case ast.BoolOp(op=op):
            yield site(ast.Or() if isinstance(op, ast.And) else ast.And(), "and or", False, _Slot(node, "op"))
        case ast.UnaryOp(op=ast.Not() | ast.Invert() | ast.USub(), operand=operand):
            if not isinstance(operand, ast.Constant):
                yield site(operand, "sign")
        case ast.IfExp(test=test) | ast.If(test=test) | ast.While(test=test):
            if not isinstance(test, ast.Compare | ast.UnaryOp):
                yield site(ast.UnaryOp(ast.Not(), test), "condition", False, _Slot(node, "test"))
        case ast.Return(value=value) if value is not None and not isinstance(value, ast.Constant):
            yield site(ast.Constant(None), "return", False, _Slot(node, "value"))
        case ast.Raise():
            yield site(ast.Pass(), "no refusal", True)
        case ast.Expr(value=ast.Call()):
            yield site(ast.Pass(), "no call", True)
        case ast.Call(func=ast.Name(id=name)) if name in _CALLS:
            yield site(ast.Name(_CALLS[name], ast.Load()), "function", False, _Slot(node, "func"))
        case ast.Call(func=ast.Attribute(value=owner, attr=name)) if name in _CALLS:
            yield site(ast.Attribute(owner, _CALLS[name], ast.Load()), "function", False, _Slot(node, "func"))
        case ast.Constant(value=value) if (other := _other(value, slot)) is not None:
            yield site(ast.Constant(other), "constant", within.compared or within.limit)


def _other(value: object, slot: _Slot) -> bool | int | float | str | None:
    """A value near to a constant, None where it is left alone: words, and the numbers of documentation."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return value * 1.1 if value else 1.0
    amount = _AMOUNT.fullmatch(value) if isinstance(value, str) else None
    if amount is None or isinstance(slot.parent, ast.Expr):
        return None
    return f"{float(amount[1]) * 1.1:g}{amount[2]}"
