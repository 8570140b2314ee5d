"""Every value printed in a source, held against our functions.

A case is a row of a ``*.toml`` file here: the function, its inputs, the value printed, the source and the
place in it, and what kind of evidence it is. Inputs and values carry their units as text, read by pint.
"""

import importlib
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pint
import pytest

from gearing_api.tables import KINDS


@cache
def unit_registry() -> pint.UnitRegistry:
    return pint.UnitRegistry()


CASES: dict[str, dict[str, Any]] = {
    f"{path.stem}:{case['case']}": case
    for path in sorted(Path(__file__).parent.glob("*.toml"))
    for case in tomllib.loads(path.read_text(encoding="utf-8"))["check"]
}


def si(value: Any) -> Any:
    """Text with a unit as a number in SI base units (angles in rad); all else as it is."""
    if isinstance(value, list):
        return np.array([si(item) for item in value])
    if isinstance(value, str):
        try:
            return float(unit_registry().Quantity(value).to_base_units().magnitude)
        except (pint.UndefinedUnitError, AttributeError):
            return value
    return value


def outcome(case: dict[str, Any]) -> Any:
    module, _, name = case["function"].rpartition(".")
    function = getattr(importlib.import_module(f"gearing_api.{module}"), name)
    raw = set(case.get("text", []))
    inputs = {key: value if key in raw else si(value) for key, value in case["inputs"].items()}
    value = function(**inputs)
    part = case.get("result")
    if part is None:
        return value
    return value[part] if isinstance(part, int) else getattr(value, part)


@pytest.mark.parametrize("case", CASES.values(), ids=list(CASES))
def test_printed_value(case: dict[str, Any]) -> None:
    value, expected = outcome(case), si(case["expected"])
    tolerance = case.get("tolerance", 0)
    if isinstance(tolerance, str) and tolerance.endswith("%"):
        slack = float(tolerance.rstrip("% ")) / 100 * np.abs(expected)
    else:
        slack = si(tolerance)
    if isinstance(expected, str | bool):
        assert value == expected
    else:
        assert np.all(np.abs(np.asarray(value) - expected) <= slack), (value, expected)


def test_cases_name_their_evidence() -> None:
    for name, case in CASES.items():
        assert case["kind"] in KINDS, name
        assert case["source"].strip(), name
        assert case["kind"] != "common practice" or "no published source" in case["source"], name
        assert case["kind"] != "from memory" or "from memory (" in case["source"], name
