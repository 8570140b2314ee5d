"""The chart of the gears: its lines as cells below what is printed of a sheet, and how they are drawn."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from workbook import words
from workbook.sheets import GEARS, INK, MARK, NOT_AVAILABLE, Cell, Chart, Series, Sheet, place

_ROWS = 22


@dataclass(frozen=True)
class Number:
    """A number of the chart and the formula for it; NaN where the table has none."""

    value: float
    formula: str

    def __mul__(self, other: "Number") -> "Number":
        return Number(self.value * other.value, f"{self.formula}*{other.formula}")

    def __truediv__(self, other: "Number") -> "Number":
        return Number(self.value / other.value, f"{self.formula}/{other.formula}")


Points = Sequence[tuple[Number, Number]]
"""Across and up."""


def put_chart(
    sheet: Sheet, idle: Number, redline: Number, gears: Points, shown: Mapping[str, Number]
) -> None:
    """The chart below all that is on the sheet.

    Of each gear: the road speed at redline, and the engine speed after the shift.
    """
    top = sheet.last_row + 2
    _below(sheet, top + _ROWS + 1)

    def whole(speed: Number) -> Points:
        """From idle to redline, where the road speed is this."""
        return [(speed * idle / redline, idle), (speed, redline)]

    percent, turning = shown["engine_speed_change_percent"], shown["cruise_engine_speed"]
    more = Number(1 + percent.value / 100, f"(1+{percent.formula}/100)")
    cruise = turning * shown["speed_per_1000"] / Number(1000, "1000")
    start = whole(gears[0][0])[0]
    shifts = [point for speed, after in gears for point in ((speed, redline), (speed, after))]
    lines = (
        _line(sheet, "upshifts at redline", [start, *shifts], MARK, width=2.8),
        *(
            _line(sheet, f"gear {number + 1}", whole(speed), GEARS[number % 2], width=1.5, label="above")
            for number, (speed, _) in enumerate(gears)
        ),
        _line(sheet, "top gear before", whole(shown["top_speed"] * more), INK, dash="dot", label="right"),
        _line(sheet, "cruise", [(cruise, turning)], INK, dot=True, label="below"),
    )
    sheet.chart = Chart(
        (top, 0), len(sheet.widths), _ROWS, words.CHART, words.CHART_TOLD, words.CHART_AXES, lines
    )


def _below(sheet: Sheet, row: int) -> None:
    """The last words of the printed page, and the heading of the points."""
    sheet.put(row, 0, Cell(words.CAREFUL, look="words", across=len(sheet.widths)))
    sheet.heights[row] = 1.4
    sheet.printed_to = row
    sheet.put(row + 2, 0, Cell(words.POINTS, look="over"))


def _line(
    sheet: Sheet,
    name: str,
    points: Points,
    colour: str,
    *,
    width: float = 1.4,
    dash: str = "solid",
    dot: bool = False,
    label: str = "",
) -> Series:
    """The points of a line in new rows of the sheet: name, across, up."""
    first = sheet.last_row + 1
    for row, (across, up) in enumerate(points, first):
        sheet.put(row, 0, Cell(name, look="working"))
        sheet.put(row, 2, _point(across))
        is_known = f"ISNUMBER({place(row, 2)})"
        value = math.nan if math.isnan(across.value) else up.value
        sheet.put(row, 4, _point(Number(value, f"IF({is_known},{up.formula},NA())")))
    across_cells, up_cells = (f"{place(first, c)}:{place(sheet.last_row, c)}" for c in (2, 4))
    return Series(place(first, 0), across_cells, up_cells, len(points), colour, width, dash, dot, label)


def _point(number: Number) -> Cell:
    value = NOT_AVAILABLE if math.isnan(number.value) else number.value
    return Cell(value, f"IFERROR({number.formula},NA())", "working")
