"""Who may import whom: the table in DEVELOPERS.md, held file by file."""

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1] / "gearing_api"
DOCUMENT = HOUSE.parent / "DEVELOPERS.md"
CLIENT = Path(__file__).parents[1] / "clients" / "python"

# What a part may import of this house, and what from outside; it imports only parts that stand above it.
ALLOWED: dict[str, tuple[set[str], set[str]]] = {
    "mechanics": (set(), {"numpy"}),
    "tables": (set(), set()),
    "units": (set(), {"numpy"}),
    "tyre_sizes": ({"mechanics", "tables"}, set()),
    "fields": ({"units", "tyre_sizes"}, {"numpy"}),
    "vocabulary": ({"tables", "units", "fields"}, {"numpy"}),
    "sentences": ({"tables", "units", "tyre_sizes", "vocabulary"}, set()),
    "build": ({"mechanics", "units", "tyre_sizes", "fields", "vocabulary"}, {"numpy"}),
    "answer": ({"units", "vocabulary", "build"}, {"numpy"}),
    "vehicle": (
        {"mechanics", "tables", "units", "tyre_sizes", "vocabulary", "build", "answer"},
        {"numpy"},
    ),
    "questions": (
        {"mechanics", "tables", "units", "tyre_sizes", "vocabulary", "build", "answer", "vehicle"},
        {"numpy"},
    ),
    "checkpoint": (set(), set()),
    "ranges": (
        {"checkpoint", "mechanics", "tables", "units", "tyre_sizes", "fields", "vocabulary", "build", "answer",
         "questions"},
        {"numpy"},
    ),
    "formats": (
        {"checkpoint", "units", "vocabulary", "build", "answer", "questions", "ranges"},
        {"numpy", "orjson", "matplotlib"},
    ),
    "batch": (
        {"checkpoint", "mechanics", "units", "tyre_sizes", "fields", "vocabulary", "build", "answer", "vehicle",
         "questions", "ranges", "formats"},
        {"numpy", "pyarrow"},
    ),
    "settings": (set(), set()),
    "http": (
        {"mechanics", "tables", "units", "fields", "vocabulary", "sentences", "build", "answer", "vehicle",
         "questions", "ranges", "checkpoint", "batch", "formats", "settings"},
        {"flask", "werkzeug", "marshmallow", "numpy", "_typeshed", "redis", "prometheus_client"},
    ),
    "app": ({"settings", "http"}, {"flask"}),
    "server": ({"settings", "http", "app"}, {"gunicorn", "prometheus_client"}),
    "commands": (
        {"mechanics", "units", "vocabulary", "build", "answer", "questions", "formats", "batch", "settings",
         "app"},
        {"tqdm", "shtab"},
    ),
}  # fmt: skip

# Wanted by few, slow to import: loaded when first used.
HEAVY = {"matplotlib", "pyarrow", "distributed", "redis", "prometheus_client", "tqdm"}
SERVING = {"flask", "werkzeug", "marshmallow", "jinja2", "multiprocessing", "urllib.request", "email"}
"""Not needed to answer on the command line."""

FILES = [
    path
    for path in sorted(HOUSE.rglob("*.py"))
    if path.relative_to(HOUSE).parts[0] not in {"__init__.py", "__main__.py"}
]


@cache
def imported(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            found.add(node.module or "")
            if node.module == "gearing_api":
                found |= {f"gearing_api.{alias.name}" for alias in node.names}
    return found


def part(path: Path) -> str:
    return path.relative_to(HOUSE).parts[0].removesuffix(".py")


def test_imports_stay_within_the_table() -> None:
    for path in FILES:
        house, outside = ALLOWED[part(path)]
        for name in imported(path) - {"gearing_api"}:
            first, *rest = name.split(".")
            if first == "gearing_api":
                assert rest[0] in house | {part(path), "__version__"}, f"{path} imports {name}"
            else:
                assert first in outside or first in sys.stdlib_module_names, f"{path} imports {name}"


def test_a_part_imports_only_parts_above_it() -> None:
    above: set[str] = set()
    for name, (house, _) in ALLOWED.items():
        assert house <= above, f"{name} may import {house - above}, which stand below it"
        above.add(name)


def test_no_package_is_allowed_that_is_not_used() -> None:
    for name, (_, outside) in ALLOWED.items():
        used = {found.partition(".")[0] for path in FILES if part(path) == name for found in imported(path)}
        assert outside <= used, f"{name} no longer needs {outside - used}"


def test_every_part_stands_in_the_table_of_the_document() -> None:
    text = DOCUMENT.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(\w+)/?` \|", text, re.MULTILINE)
    assert rows == [*ALLOWED, "__main__"]


@pytest.mark.parametrize(
    ("module", "waiting"), [("gearing_api.app", HEAVY), ("gearing_api.__main__", HEAVY | SERVING)]
)
def test_heavy_packages_wait_until_they_are_used(module: str, waiting: set[str]) -> None:
    code = f"import {module}, sys; print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert waiting.isdisjoint(loaded.split())


@pytest.mark.parametrize("path", sorted(CLIENT.rglob("*.py")), ids=lambda path: str(path.relative_to(CLIENT)))
def test_the_python_client_needs_nothing_of_the_service(path: Path) -> None:
    first_parts = {name.partition(".")[0] for name in imported(path)}
    assert first_parts <= {"gearing_client", "requests", "urllib3", "pandas"} | sys.stdlib_module_names
