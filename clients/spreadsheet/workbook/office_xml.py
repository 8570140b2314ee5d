"""A workbook as Office Open XML (.xlsx), written with XlsxWriter."""

import io
from datetime import UTC, datetime
from typing import Any

import xlsxwriter  # type: ignore[import-untyped]  # it has no types

from workbook.sheets import (
    FONT,
    INK,
    LINE,
    LOOKS,
    MARKS,
    SOFT,
    Cell,
    Chart,
    Series,
    Sheet,
    Workbook,
)

_CHARACTERS_PER_CM, _POINTS_PER_CM, _DOTS_PER_CM = 5.1, 28.35, 37.8
_MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)


def as_office_xml(workbook: Workbook) -> bytes:
    """The whole file, the same bytes for the same workbook."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "use_future_functions": True}) as book:
        book.set_properties({"title": workbook.title, "created": _MADE})
        book.set_calc_mode("auto")
        book.formats[0].set_font_name(FONT)
        book.formats[0].set_font_size(10)
        formats = _Formats(book)
        for sheet in workbook.sheets:
            _sheet(book, formats, sheet)
        for name, cell in workbook.names.items():
            book.define_name(name, f"={cell}")
    return out.getvalue()


class _Formats:
    """Each look and number of decimals once."""

    def __init__(self, book: Any) -> None:
        self.book = book
        self.made: dict[tuple[str, int | None], Any] = {}
        self.marks = {name: book.add_format(look) for name, look in MARKS.items()}

    def of(self, cell: Cell) -> Any:
        key = cell.look, cell.decimals
        if key not in self.made:
            self.made[key] = self.book.add_format(_format(*key))
        return self.made[key]


def _format(name: str, decimals: int | None) -> dict[str, Any]:
    look = LOOKS[name]
    told: dict[str, Any] = {"font_name": FONT, "font_size": look.size, "font_color": look.colour}
    told |= {"bold": look.bold, "text_wrap": look.wrap, "valign": "top" if look.wrap else "vcenter"}
    if decimals is not None:
        told["num_format"] = "0." + "0" * decimals if decimals else "0"
    if look.fill:
        told["bg_color"] = look.fill
    if look.align:
        told["align"] = look.align
    if look.under:
        told |= {"bottom": 1, "bottom_color": look.under}
    return told


def _sheet(book: Any, formats: _Formats, sheet: Sheet) -> None:
    page = book.add_worksheet(sheet.name)
    page.hide_gridlines(2)
    page.set_paper(9)
    page.set_margins(0.5, 0.5, 0.5, 0.5)
    page.center_horizontally()
    page.fit_to_pages(1, 0 if sheet.landscape else 1)
    page.print_area(0, 0, sheet.printed_to or sheet.last_row, len(sheet.widths) - 1)
    if sheet.landscape:
        page.set_landscape()
    for column, width in enumerate(sheet.widths):
        page.set_column(column, column, width * _CHARACTERS_PER_CM)
    for row in range(sheet.last_row + 1):
        page.set_row(row, sheet.height(row) * _POINTS_PER_CM)
    for (row, column), cell in sheet.cells.items():
        _cell(page, row, column, cell, formats)
        if (row, column) in sheet.choices:
            page.data_validation(
                row, column, row, column, {"validate": "list", "source": [*sheet.choices[row, column]]}
            )
    if sheet.chart is not None:
        _chart(book, page, sheet, sheet.chart)


def _stored(formula: str) -> str:
    """Return a formula as it is stored: XlsxWriter puts the prefix before newer functions, but for this one."""
    return "=" + formula.replace("ENCODEURL(", "_xlfn.ENCODEURL(")


def _cell(page: Any, row: int, column: int, cell: Cell, formats: _Formats) -> None:
    look = formats.of(cell)
    if cell.across > 1 or cell.down > 1:
        page.merge_range(row, column, row + cell.down - 1, column + cell.across - 1, "", look)
    if cell.formula:
        page.write_formula(row, column, _stored(cell.formula), look, cell.value)
    elif isinstance(cell.value, str):
        page.write_string(row, column, cell.value, look)
    elif cell.value is None:
        page.write_blank(row, column, None, look)
    else:
        page.write_number(row, column, cell.value, look)
    if cell.rule:
        rule = {
            "type": "formula",
            "criteria": f"={cell.rule.condition}",
            "format": formats.marks[cell.rule.mark],
        }
        page.conditional_format(row, column, row, column, rule)


def _chart(book: Any, page: Any, sheet: Sheet, chart: Chart) -> None:
    drawn = book.add_chart({"type": "scatter", "subtype": "straight"})
    for line in chart.series:
        drawn.add_series(_series(sheet.name, line))
    drawn.set_title(
        {"name": chart.title, "layout": {"x": 0.01, "y": 0.02}, "name_font": _font(11, INK, bold=True)}
    )
    across, up = (
        {
            "name": name,
            "min": 0,
            "num_font": _font(8, SOFT),
            "name_font": _font(8, SOFT),
            "line": {"color": SOFT},
            "major_tick_mark": "none",
            "major_gridlines": {"visible": True, "line": {"color": LINE, "width": 0.5}},
        }
        for name in chart.axes
    )
    drawn.set_x_axis(across)
    drawn.set_y_axis(up)
    drawn.set_legend({"none": True})
    drawn.set_chartarea({"border": {"none": True}, "fill": {"none": True}})
    drawn.show_na_as_empty_cell()
    row, column = chart.at
    width = sum(sheet.widths[column : column + chart.across])
    height = sum(sheet.height(line) for line in range(row, row + chart.down))
    drawn.set_size({"width": width * _DOTS_PER_CM, "height": height * _DOTS_PER_CM})
    page.insert_chart(
        row, column, drawn, {"description": f"{chart.title}. {chart.told}", "object_position": 1}
    )


def _font(size: float, colour: str, *, bold: bool = False) -> dict[str, Any]:
    return {"name": FONT, "size": size, "color": colour, "bold": bold}


def _series(sheet: str, line: Series) -> dict[str, Any]:
    told: dict[str, Any] = {
        "name": f"={sheet}!{_fixed(line.name)}",
        "categories": f"={sheet}!{_fixed(line.across)}",
        "values": f"={sheet}!{_fixed(line.up)}",
        "line": {
            "color": line.colour,
            "width": line.width or 1,
            "dash_type": "round_dot" if line.dash == "dot" else "solid",
        },
        "marker": {"type": "none"},
    }
    if line.dot:
        told["line"] = {"none": True}
        told["marker"] = {
            "type": "circle",
            "size": 7,
            "fill": {"color": line.colour},
            "border": {"none": True},
        }
    if line.label:
        others: list[dict[str, Any]] = [{"delete": True}] * (line.points - 1)
        told["data_labels"] = {
            "series_name": True,
            "value": False,
            "position": line.label,
            "font": _font(8, line.colour),
            "custom": [*others, {}],
        }
    return told


def _fixed(cells: str) -> str:
    """A1:B2 as $A$1:$B$2."""
    return ":".join(f"${cell[0]}${cell[1:]}" for cell in cells.split(":"))
