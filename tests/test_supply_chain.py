"""What the packages ask for: bounded, declared where it is imported, and nothing that is not used.

Known vulnerabilities are looked up by .ci/run, which has a network.
"""

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
OUTER = ROOT / "pyproject.toml"
PYTHON_CLIENT = ROOT / "clients/python/pyproject.toml"
FORUM_BOT = ROOT / "clients/forum_bot/pyproject.toml"
MCP = ROOT / "clients/mcp/pyproject.toml"
GENERATORS = ROOT / "tests/spec/requirements.txt"
PROJECTS = (OUTER, PYTHON_CLIENT, FORUM_BOT, MCP)
EACH_PROJECT = pytest.mark.parametrize("project", PROJECTS, ids=lambda path: path.parent.name)

# Without an upper bound, and why.
UNBOUNDED = {
    "distributed": "its versions are dates, which say nothing about what still works",
    "pyarrow": "it counts a new major version each quarter; three of its oldest calls are used",
    "types-gunicorn": "types for the checker alone, numbered after the package they describe",
    "types-requests": "types for the checker alone, numbered after the package they describe",
    "types-tqdm": "types for the checker alone, numbered after the package they describe",
}
# Imported, but not from the registry: part of another program, or of the checker.
ELSEWHERE = {"uno", "com", "_typeshed"}
# Packages of extras that need not be installed, whose import has another name.
NAMED_OTHERWISE = {"nio": "matrix-nio"}
# Asked for, and run as programs or by one as its plugin.
PROGRAMS = {"mypy", "ruff", "pytest-xdist"}

_REQUIREMENT = re.compile(r"(?P<name>[\w.-]+)(?:\[(?P<extras>[\w,]+)\])?(?P<bounds>[^;]*)(?:;.*)?")


def requirements(project: Path) -> dict[str, dict[str, str]]:
    """The bounds by name of what a package asks for, by extra; "" is what it always asks for."""
    told = tomllib.loads(project.read_text(encoding="utf-8"))["project"]
    asked = {"": told["dependencies"], **told.get("optional-dependencies", {})}
    found: dict[str, dict[str, str]] = {}
    for extra, lines in asked.items():
        matched = [_REQUIREMENT.fullmatch(line) for line in lines]
        assert all(matched), lines
        found[extra] = {
            normal(match["name"]): match["bounds"] for match in matched if match and not match["extras"]
        }
    return found


def normal(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def names(project: Path, *extras: str) -> set[str]:
    """What is asked for, always or with these extras."""
    asked = requirements(project)
    return {name for extra in ("", *extras) for name in asked[extra]}


def sources(*folders: str) -> Iterator[Path]:
    for folder in folders:
        yield from sorted((ROOT / folder).rglob("*.py"))


def imported(files: Iterable[Path]) -> set[str]:
    """The packages that the files import from outside the house; a name in a text may be one loaded late."""
    own = {"gearing_api", "gearing_client", "forum_bot", "gearing_mcp", "workbook", "tests"}
    found: set[str] = set()
    for path in files:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module.partition(".")[0])
            elif isinstance(node, ast.Call):
                found |= {argument.value for argument in node.args if _names_a_package(argument)}
    made_by = packages_distributions()
    outside = found - own - ELSEWHERE - set(sys.stdlib_module_names)
    return {normal(made_by.get(name, [NAMED_OTHERWISE.get(name, name)])[0]) for name in outside}


def _names_a_package(node: ast.expr) -> bool:
    """An argument such as that of ``files("flask_swagger_ui")``."""
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and normal(node.value) in declared()


@cache
def declared() -> set[str]:
    return {name for project in PROJECTS for name in names(project, *requirements(project))}


@EACH_PROJECT
def test_each_requirement_has_bounds_on_both_sides(project: Path) -> None:
    for asked in requirements(project).values():
        for name, bounds in asked.items():
            if name not in UNBOUNDED:
                assert re.fullmatch(r">=[\d.]+,<\d+(\.\d+)?", bounds), f"{name}{bounds}"


def test_what_has_no_upper_bound_is_asked_for_and_has_a_lower_one_or_is_types() -> None:
    asked = {name: bounds for extra in requirements(OUTER).values() for name, bounds in extra.items()}
    for name in UNBOUNDED:
        assert name.startswith("types-") or re.fullmatch(r">=[\d.]+", asked[name]), name


def test_the_service_imports_what_it_asks_for_and_asks_for_nothing_else() -> None:
    extras = ("completion", "metrics", "replicas", "parquet", "dask")
    assert imported(sources("gearing_api")) == names(OUTER, *extras)


def test_what_is_always_there_does_without_the_extras() -> None:
    """Extras are loaded where they are used: see also tests/test_layers.py."""
    asked = requirements(OUTER)
    for extra in ("metrics", "replicas", "parquet", "dask"):
        assert asked[""].keys().isdisjoint(asked[extra])


def test_the_clients_import_what_they_ask_for_and_ask_for_nothing_else() -> None:
    assert imported(sources("clients/python/gearing_client")) == names(PYTHON_CLIENT, "pandas")
    # With mcp comes pydantic, whose Field describes the arguments of a tool.
    assert imported(sources("clients/mcp/gearing_mcp")) == names(MCP) | {"pydantic"}
    assert imported(sources("clients/forum_bot/forum_bot")) == names(
        FORUM_BOT, "webhook", "discord", "matrix"
    )


def test_the_tests_import_what_is_asked_for_and_all_of_it_is_used() -> None:
    everything = names(OUTER, *requirements(OUTER))
    apart = {line.partition("==")[0] for line in GENERATORS.read_text().splitlines()}
    used = imported(sources("tests", "clients/spreadsheet", "clients/python/examples")) - apart
    assert used <= everything, used - everything
    asked = requirements(OUTER)
    for_tests = asked["test"].keys() | asked["dev"].keys() | asked["browser"].keys() | asked["clients"].keys()
    idle = {name for name in for_tests - used - PROGRAMS if not name.startswith("types-")}
    assert idle == set()


def test_what_is_asked_for_in_several_places_has_the_same_upper_bound() -> None:
    """So that one environment can hold service and clients."""
    seen: dict[str, set[str]] = {}
    for project in PROJECTS:
        for asked in requirements(project).values():
            for name, bounds in asked.items():
                seen.setdefault(name, set()).add(bounds.partition("<")[2])
    assert {name: uppers for name, uppers in seen.items() if len(uppers) > 1} == {}


def test_what_is_installed_fits_together() -> None:
    checked = subprocess.run(
        [sys.executable, "-m", "pip", "check"], capture_output=True, text=True, check=False, timeout=120
    )
    assert checked.returncode == 0, checked.stdout
