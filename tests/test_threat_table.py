"""The table of threats in tests/THREATS.md: every item is there, and what it names exists."""

import ast
import re
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DOCUMENT = ROOT / "tests" / "THREATS.md"
ITEMS, THREATS = (
    [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines()[2:]]
    for table in re.findall(r"(?:^\|.*\n)+", DOCUMENT.read_text(encoding="utf-8"), re.MULTILINE)
)
EACH_THREAT = pytest.mark.parametrize("row", THREATS, ids=[row[0] for row in THREATS])


def quoted(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


@cache
def proofs_in(path: Path) -> set[str]:
    """The tests of a file and the classes that hold some, as pytest names them after the file."""
    found = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            found.add(node.name)
        elif isinstance(node, ast.ClassDef) and node.name.startswith("Test"):
            within = {child.name for child in node.body if isinstance(child, ast.FunctionDef)}
            tests = {name for name in within if name.startswith("test_")}
            found |= {f"{node.name}::{name}" for name in tests} | ({node.name} if tests else set())
    return found


def test_all_ten_items_are_there_with_what_they_mean_here() -> None:
    assert [row[0].split()[0] for row in ITEMS] == [f"API{place}" for place in range(1, 11)]
    for item, here in ITEMS:
        assert len(item.split()) > 2
        assert len(here.split()) > 5


def test_each_item_has_a_row_or_says_that_it_does_not_apply() -> None:
    in_rows = {item for row in THREATS for item in re.findall(r"API\d+", row[1])}
    for item, here in ITEMS:
        number = item.split()[0]
        assert number in in_rows or here.startswith("does not apply: "), number


@EACH_THREAT
def test_each_threat_has_a_number_of_weakness(row: list[str]) -> None:
    assert len(row) == 4
    assert re.fullmatch(r"(API\d+, )*CWE-\d+(, CWE-\d+)*", row[1])


@EACH_THREAT
def test_each_line_of_defence_is_there(row: list[str]) -> None:
    named = [name for name in quoted(row[2]) if not name.startswith("GEARING_")]
    assert named
    for name in named:
        if (ROOT / name).exists():
            continue
        house = "" if name.startswith(("gearing_client.", "forum_bot.", "gearing_mcp.")) else "gearing_api."
        module, _, member = f"{house}{name}".rpartition(".")
        assert hasattr(import_module(module), member), name


@EACH_THREAT
def test_each_proof_is_there(row: list[str]) -> None:
    named = quoted(row[3])
    assert named
    for name in named:
        path, _, test = name.partition("::")
        assert test in proofs_in(ROOT / path), name
