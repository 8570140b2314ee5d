"""The tables the answers rest on: one CSV file a table, every row with its source and kind.

Lines that begin with ``#`` say what the table is. A heading is a name, with the unit in brackets where
there is one (``diameter [mm]``). An empty cell is a value that the source does not give.
"""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

Cell = str | float | None

KINDS = ("published", "published, second hand", "computed", "common practice", "from memory")

_FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Table:
    """One table as it stands in its file: `units` has an empty string where a column has none."""

    name: str
    about: str
    columns: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def column(self, name: str) -> list[Cell]:
        """The cells of one column, top to bottom."""
        place = self.columns.index(name)
        return [row[place] for row in self.rows]

    def keyed(self, key: str, value: str) -> dict[Cell, Cell]:
        """One column by another."""
        return dict(zip(self.column(key), self.column(value), strict=True))


def names() -> list[str]:
    """The tables there are."""
    return sorted(path.stem.replace("_", "-") for path in _FOLDER.glob("*.csv"))


@cache
def table(name: str) -> Table:
    """The table of that name.

    Raises
    ------
    KeyError
        If there is none.
    """
    if name not in names():
        raise KeyError(name)
    lines = (_FOLDER / f"{name.replace('-', '_')}.csv").read_text(encoding="utf-8").splitlines()
    about = " ".join(line.lstrip("# ") for line in lines if line.startswith("#"))
    headings, *rows = csv.reader(line for line in lines if line and not line.startswith("#"))
    split = [heading.rstrip("]").partition(" [") for heading in headings]
    return Table(
        name=name,
        about=about,
        columns=tuple(column for column, _, _ in split),
        units=tuple(unit for _, _, unit in split),
        rows=tuple(tuple(_cell(text) for text in row) for row in rows),
    )


def _cell(text: str) -> Cell:
    try:
        return float(text) if text else None
    except ValueError:
        return text
