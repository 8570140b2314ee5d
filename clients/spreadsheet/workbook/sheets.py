"""What a sheet is made of, before it is written as a file.

Formulas are kept in their English form, as a spreadsheet user types them with commas. Every formula has the
value it gives, so that a file shows its numbers before anything is fetched.
"""

from dataclasses import dataclass, field

Value = str | float | None

INK, SOFT, LINE, PAPER, MARK, LINK = "#1c2321", "#5f6a64", "#d8d0c0", "#f6f3ec", "#9a3b12", "#1a5d57"
GEARS = ("#0b5e73", "#3d7f93")
FONT = "Arial"
NOT_AVAILABLE = "#N/A"


@dataclass(frozen=True)
class Look:
    """How a cell looks. `align` is left to the program where empty: numbers right, words left."""

    size: float = 10
    colour: str = INK
    bold: bool = False
    fill: str = ""
    under: str = ""
    align: str = ""
    wrap: bool = False


LOOKS = {
    "plain": Look(),
    "over": Look(9, MARK, bold=True),
    "title": Look(20, bold=True),
    "words": Look(colour=SOFT, wrap=True),
    "heading": Look(colour=MARK, bold=True, under=MARK),
    "label": Look(under=LINE),
    "unit": Look(9, SOFT, under=LINE, align="right"),
    "input": Look(colour=LINK, bold=True, fill=PAPER, under=LINE, align="right"),
    "answer": Look(bold=True, under=LINE, align="right"),
    "answer in words": Look(bold=True, under=LINE, align="right"),
    "banner": Look(10, bold=True, fill=PAPER, wrap=True),
    "cautions": Look(9, fill=PAPER, wrap=True),
    "said": Look(9, under=LINE, wrap=True),
    "limit": Look(9, LINK, fill=PAPER, under=LINE, align="right"),
    "build": Look(9, SOFT, bold=True, under=MARK, align="right"),
    "column": Look(9, SOFT, bold=True, under=MARK, align="right", wrap=True),
    "cell": Look(under=LINE),
    "working": Look(9, SOFT),
    "clipped": Look(9, SOFT, wrap=True),
}


MARKS = {"guilty": {"bg_color": "#f6c9b8", "font_color": MARK}, "missed": {"bg_color": "#f6c9b8"}}
"""How a cell looks where its rule holds."""


@dataclass(frozen=True)
class Rule:
    """A condition, and the mark that a cell then has."""

    condition: str
    mark: str


@dataclass(frozen=True)
class Cell:
    """What stands in a cell: `value` is what it shows, and `formula`, if any, what that comes from."""

    value: Value
    formula: str = ""
    look: str = "plain"
    decimals: int | None = None
    across: int = 1
    down: int = 1
    rule: Rule | None = None


@dataclass(frozen=True)
class Series:
    """A line of the chart: where its name and points stand, how it is drawn, where its end is labelled."""

    name: str
    across: str
    up: str
    points: int
    colour: str
    width: float
    dash: str = "solid"
    dot: bool = False
    label: str = ""


@dataclass(frozen=True)
class Chart:
    """A chart over a block of cells from `at`, row and column; `told` is for those who do not see it."""

    at: tuple[int, int]
    across: int
    down: int
    title: str
    told: str
    axes: tuple[str, str]
    series: tuple[Series, ...]


@dataclass
class Sheet:
    """One sheet. Rows and columns count from 0; widths and heights are in centimetres."""

    name: str
    widths: list[float]
    last_row: int = -1
    printed_to: int | None = None
    landscape: bool = False
    row_height: float = 0.52
    heights: dict[int, float] = field(default_factory=dict)
    cells: dict[tuple[int, int], Cell] = field(default_factory=dict)
    choices: dict[tuple[int, int], tuple[str, ...]] = field(default_factory=dict)
    chart: Chart | None = None

    def put(self, row: int, column: int, *cells: Cell) -> None:
        """These cells side by side."""
        for step, cell in enumerate(cells):
            self.cells[row, column + step] = cell
            self.last_row = max(self.last_row, row + cell.down - 1)

    def height(self, row: int) -> float:
        return self.heights.get(row, self.row_height)


@dataclass(frozen=True)
class Workbook:
    """The sheets, and the names of cells that formulas use."""

    title: str
    sheets: list[Sheet]
    names: dict[str, str]


def column_name(column: int) -> str:
    """A for 0, Z for 25, AA for 26."""
    return (column_name(column // 26 - 1) if column > 25 else "") + chr(ord("A") + column % 26)


def place(row: int, column: int, sheet: str = "", fixed: bool = False) -> str:
    """The name of a cell as formulas write it: A1, $A$1 or Sheet!A1."""
    mark = "$" if fixed else ""
    return (f"{sheet}!" if sheet else "") + f"{mark}{column_name(column)}{mark}{row + 1}"
