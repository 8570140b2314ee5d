"""The table of what varies, read once: by field, and by the word for which a row holds."""

from dataclasses import dataclass
from functools import cache

from gearing_api import tables
from gearing_api.ranges.shapes import Shape, normal, triangular, uniform


@dataclass(frozen=True)
class Spread:
    """One row of the table. `shape` gives percent of the plain value at uniform draws; None draws whole rows."""

    field: str
    varies: str
    shape: Shape | None
    by_part: bool
    narrower: str
    """What would make the range narrower; empty where nothing is at hand."""


def spread_of(field: str, when: str = "") -> Spread | None:
    """The row of a field for that word, else the one for any word; None where the field is exact."""
    rows = _rows()
    return rows.get((field, when)) or rows.get((field, ""))


def narrower(field: str) -> str:
    """What would make the range of a field narrower, of whichever word."""
    return next((row.narrower for (name, _), row in _rows().items() if name == field), "")


@cache
def _rows() -> dict[tuple[str, str], Spread]:
    table = tables.table("spreads")
    cells = (dict(zip(table.columns, row, strict=True)) for row in table.rows)
    return {(str(row["field"]), str(row["when"] or "")): _spread(row) for row in cells}


def _spread(row: dict[str, tables.Cell]) -> Spread:
    return Spread(
        str(row["field"]), str(row["varies"]), _shape(row), row["draws"] == "part", str(row["narrower"] or "")
    )


def _shape(row: dict[str, tables.Cell]) -> Shape | None:
    if row["shape"] == "rows":
        return None
    low, high = float(str(row["low"])), float(str(row["high"]))
    if row["shape"] == "triangular":
        return triangular(low, float(str(row["mode"])), high)
    return uniform(low, high) if row["shape"] == "uniform" else normal(low, high)
