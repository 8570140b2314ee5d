"""Who may import whom: the table in DEVELOPERS.md, held file by file."""

import ast
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1] / "gearing_api"
CLIENT = Path(__file__).parents[1] / "clients" / "python"

QUESTIONS = {"build", "vocabulary", "units", "mechanics", "tables", "tyre_sizes"}

# part: what it may import of the house, what from outside
ALLOWED: dict[str, tuple[set[str], set[str]]] = {
    "mechanics": ({"mechanics"}, {"numpy"}),
    "units": (set(), {"numpy", "pint"}),
    "tables": (set(), {"numpy"}),
    "tyre_sizes": ({"tables", "mechanics"}, {"numpy"}),
    "vocabulary": ({"units"}, {"numpy"}),
    "build": ({"vocabulary", "units", "mechanics", "tyre_sizes"}, {"numpy"}),
    "questions": (QUESTIONS | {"questions"}, {"numpy"}),
    "sweeps": (QUESTIONS | {"questions"}, {"numpy", "dask", "distributed", "pyarrow", "tqdm"}),
    "formats": ({"questions", "units", "vocabulary"}, {"numpy", "orjson", "matplotlib"}),
    "settings": (set(), set()),
    "serving": ({"settings"}, {"gunicorn"}),
    "http": (
        QUESTIONS | {"questions", "formats", "sweeps", "settings", "pages", ""},
        {"apispec", "flask", "flask_swagger_ui", "marshmallow", "numpy", "orjson", "werkzeug"},
    ),
    "app": ({"http", "settings"}, {"flask"}),
    "pages": (set(), set()),
}

FILES = [
    path
    for path in sorted(HOUSE.rglob("*.py"))
    if path.relative_to(HOUSE).parts[0] not in {"__init__.py", "__main__.py"}
]


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


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(HOUSE)))
def test_imports_stay_within_the_table(path: Path) -> None:
    house, outside = ALLOWED[part(path)]
    for name in imported(path) - {"gearing_api"}:
        first, *rest = name.split(".")
        if first == "gearing_api":
            assert rest[0] in house | {part(path), "__version__"}, f"{path} imports {name}"
        else:
            assert first in outside or first in sys.stdlib_module_names, f"{path} imports {name}"


@pytest.mark.parametrize("path", sorted(CLIENT.rglob("*.py")), ids=lambda path: str(path.relative_to(CLIENT)))
def test_the_python_client_needs_nothing_of_the_service(path: Path) -> None:
    first_parts = {name.partition(".")[0] for name in imported(path)}
    assert first_parts <= {"gearing_client", "requests", "urllib3", "pandas"} | sys.stdlib_module_names
