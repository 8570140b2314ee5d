"""Answers of the service, shortened to what an assistant needs to answer a person."""

import math
from collections.abc import Iterable, Mapping
from typing import Any

from gearing_mcp.service import Document

MOST_ROWS = 20
_DIGITS = 3


def answer(document: Document, results: list[str]) -> dict[str, Any]:
    """Return summary, verdict, results with their units, grave cautions, what was assumed and what is not known.

    With `results`, only those; ``table`` among them adds the rows of the question's table. An answer with ranges
    tells those of the results shown.
    """
    names = [name for name in results if name != "table"]
    found, units = document["result"], document["result_units"]
    shown = {name: found[name] for name in (names or found) if names or found[name] is not None}
    unknown = {name: why for name, why in _unknown(document).items() if not names or name in names}
    made = {
        "summary": document["summary"],
        "verdict": _verdict(document),
        "results": {name: with_unit(value, units.get(name, "")) for name, value in shown.items()},
        "ranges": _ranges(document, shown),
        "build": document.get("build"),
        "ask_the_user": document.get("ask"),
        "cautions": cautions(document),
        "assumed": {name: plain(value) for name, value in document["assumed"].items()},
        "not_known": unknown,
    }
    if "table" in results and document.get("table"):
        made["table"] = _table(document["table"])
    return {name: value for name, value in made.items() if value not in ({}, [], None)}


def _ranges(document: Document, names: Iterable[str]) -> dict[str, str]:
    """Return the two ends of each number as text; a result that is exact has none."""
    ranges, units = document.get("ranges") or {}, document["result_units"]
    return {
        name: f"{_end(ranges[name][0])} to {_end(ranges[name][1])} {units.get(name, '')}".rstrip()
        for name in names
        if name in ranges
    }


def _end(value: float | None) -> str:
    return "no value" if value is None else str(plain(value))


def sentence(document: Document) -> dict[str, Any]:
    """Return the build that a sentence describes, and what is unclear in it."""
    result = document["result"]
    made = {
        "build": result["build"],
        "asks": result["asks"],
        "can_answer": result["fits"],
        "assumed": document["assumed"],
        "not_used": {one["text"]: one["reason"] for one in result["unused"]},
        "ask_the_user": result["ask"],
    }
    return {name: value for name, value in made.items() if value not in ({}, [], None)}


def shortlist(document: Document) -> dict[str, Any]:
    """Return the best combinations, what each gives up, the cheapest, and the order of the changes."""
    units = document["result_units"]
    cheapest = document.get("cheapest")
    made = {
        "summary": document["summary"],
        "rows": [_row(row, units) for row in document["rows"]],
        "cheapest": cheapest["label"] if cheapest else None,
        "steps": [step["text"] for step in document.get("steps") or []],
        "cautions": cautions(document),
        "refused": document.get("refused"),
        "errors": [one.get("detail", "") for one in (document.get("errors") or [])[:3]],
    }
    return {name: value for name, value in made.items() if value not in ({}, [], None, 0)}


def _row(row: Document, units: Mapping[str, str]) -> dict[str, Any]:
    misses = [f"{one['result']} by {plain(one.get('by'))}" for one in row["misses"]]
    made = {
        "choice": row["label"],
        "meets": row["meets"],
        "sums": {name: plain(value) for name, value in row["sums"].items()},
        "results": {name: with_unit(value, units.get(name, "")) for name, value in row["results"].items()},
        "misses": misses,
        "gives_up": row["gives_up"],
        "cautions": [one for one in row.get("cautions") or [] if not isinstance(one, dict) or _is_grave(one)],
    }
    return {name: value for name, value in made.items() if value not in ({}, [])}


def cautions(document: Document) -> list[str]:
    """Return the cautions of level stop and check, graver first."""
    return [f"{one['level']}: {one['text']}" for one in document["cautions"] if _is_grave(one)]


def _is_grave(caution: Mapping[str, Any]) -> bool:
    return caution.get("level") in ("stop", "check")


def with_unit(value: Any, unit: str) -> Any:
    """Return a number with its unit as text; a bare number or a word as it is."""
    rounded = plain(value)
    return f"{rounded} {unit}" if unit and isinstance(rounded, int | float) else rounded


def plain(value: Any) -> Any:
    """Return numbers with at most three digits before they are rounded, and whole ones whole.

    Examples
    --------
    >>> plain([55.318272, 2462.938, 0.0301234, 6.0, "grip", None])
    [55.3, 2460, 0.0301, 6, 'grip', None]
    """
    if isinstance(value, Mapping):
        return {name: plain(one) for name, one in value.items()}
    if isinstance(value, list):
        return [plain(one) for one in value]
    if not isinstance(value, float) or not math.isfinite(value) or value == 0.0:
        return 0 if value == 0.0 and isinstance(value, float) else value
    rounded = round(value, _DIGITS - 1 - math.floor(math.log10(abs(value))))
    return int(rounded) if rounded == int(rounded) else rounded


def _verdict(document: Document) -> str:
    verdict = str(document["verdict"])
    return "nothing found" if verdict == "clear" else verdict


def _unknown(document: Document) -> dict[str, str]:
    """Return why results are absent: what they need, or the reason."""
    absent: Mapping[str, Mapping[str, Any]] = document.get("absent") or {}
    return {
        name: f"needs {', '.join(one['fields'])}" if one.get("fields") else str(one["why"])
        for name, one in absent.items()
    }


def _table(table: Mapping[str, Any]) -> dict[str, Any]:
    units: Iterable[str] = table["units"]
    columns = [
        f"{name} [{unit}]" if unit else name for name, unit in zip(table["columns"], units, strict=True)
    ]
    return {"columns": columns, "rows": plain(table["rows"][:MOST_ROWS])}
