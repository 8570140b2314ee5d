"""Every public function of the mechanics says what it takes, in which unit, and where it is from."""

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import pytest

from gearing_api import mechanics

FUNCTIONS = [
    pytest.param(function, id=f"{module}.{name}")
    for module in sorted(info.name for info in pkgutil.iter_modules(mechanics.__path__))
    if module != "domain"
    for name, function in inspect.getmembers(
        importlib.import_module(f"gearing_api.mechanics.{module}"), inspect.isfunction
    )
    if not name.startswith("_") and function.__module__ == f"gearing_api.mechanics.{module}"
]


def sections(function: Callable[..., Any]) -> dict[str, str]:
    parts = re.split(r"^(\w[\w ]*)\n-{3,}$", inspect.getdoc(function) or "", flags=re.MULTILINE)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


@pytest.mark.parametrize("function", FUNCTIONS)
def test_docstring_is_whole(function: Callable[..., Any]) -> None:
    parts = sections(function)
    assert {"Parameters", "Returns", "Raises", "References", "Examples"} <= parts.keys()
    documented: set[str] = set()
    for entry in re.split(r"\n(?=\S)", parts["Parameters"].strip()):
        names, _, rest = entry.partition(" : ")
        assert re.search(r"\[[^\]]+\]", rest), f"{names} names no unit in brackets"
        documented.update(name.strip() for name in names.split(","))
    assert documented == set(inspect.signature(function).parameters)
    assert re.search(r"\[[^\]]+\]", parts["Returns"]), "the return value names no unit in brackets"
    assert ".. [1]" in parts["References"] or "By definition." in parts["References"]
    assert ">>>" in parts["Examples"]
