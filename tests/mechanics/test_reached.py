"""Every name in mechanics/ serves a question, a table or a route, or waits for a question by name.

The source is read, nothing runs. Statements at the top level of the modules outside mechanics/ and the entry
points are reached; so is whatever a reached function, class or constant names. A function that only an
unreached function calls is not reached.
"""

import ast
from collections.abc import Iterable
from functools import cache

from gearing_api.questions import QUESTIONS
from tests.reading import Name, Source, package

MECHANICS = "gearing_api.mechanics."

ENTRY_POINTS = [("gearing_api.__main__", "main"), ("gearing_api.app", "create_app")]

LATER: dict[str, str] = {}
"""Functions and constants that no question uses yet, each with the question that will."""

COMING_QUESTIONS: set[str] = set()


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
