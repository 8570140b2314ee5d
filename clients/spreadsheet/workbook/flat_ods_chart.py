"""The chart of a flat OpenDocument spreadsheet, which is a document inside the document."""

from xml.etree.ElementTree import Element

from workbook.opendocument import CHART, NAMESPACES, cm, tagged, under
from workbook.sheets import FONT, INK, LINE, SOFT, Chart, Series, Sheet, place

_BESIDE = {"above": "top", "below": "bottom", "right": "right"}
_PAPER = {"draw:stroke": "none", "draw:fill": "solid", "draw:fill-color": "#ffffff"}


def draw_chart(cell: Element, chart: Chart, sheet: Sheet) -> None:
    """The chart, anchored to the cell at its upper left corner."""
    row, column = chart.at
    width = sum(sheet.widths[column : column + chart.across])
    height = sum(sheet.height(line) for line in range(row, row + chart.down))
    frame = under(
        cell,
        "draw:frame",
        draw__name="speeds",
        draw__style_name="Bare",
        svg__width=cm(width),
        svg__height=cm(height),
        svg__x="0cm",
        svg__y="0cm",
        table__end_x="0cm",
        table__end_y="0cm",
        table__end_cell_address=f"{sheet.name}.{place(row + chart.down, column + chart.across)}",
    )
    ranges = [_range(sheet, cells) for line in chart.series for cells in (line.across, line.up)]
    held = under(frame, "draw:object", draw__notify_on_update_of_ranges=" ".join(ranges))
    _document(held, sheet, chart, width, height)
    tagged(frame, "svg:title", chart.title)
    tagged(frame, "svg:desc", chart.told)


def _range(sheet: Sheet, cells: str) -> str:
    """Cells as a chart names them.

    They must be on its own sheet or an earlier one: in a flat file the program reads a chart when it comes to
    it, and then knows of no later sheet.
    """
    return ":".join(f"{sheet.name}.{cell}" for cell in cells.split(":"))


def _document(held: Element, sheet: Sheet, chart: Chart, width: float, height: float) -> None:
    root = under(held, "office:document", office__version="1.3", office__mimetype=CHART)
    root.attrib |= {f"xmlns:{short}": name for short, name in NAMESPACES.items()}
    styles = under(root, "office:automatic-styles")
    body = under(under(root, "office:body"), "office:chart")
    paper = _style(styles, "paper", graphic=_PAPER)
    drawn = under(
        body,
        "chart:chart",
        chart__class="chart:scatter",
        svg__width=cm(width),
        svg__height=cm(height),
        chart__style_name=paper,
    )
    drawn.attrib |= {"xlink:href": "..", "xlink:type": "simple"}
    title = under(
        drawn,
        "chart:title",
        svg__x="0.3cm",
        svg__y="0.25cm",
        chart__style_name=_style(styles, "title", text=_text(11, INK, "bold")),
    )
    tagged(title, "text:p", chart.title)
    area = under(
        drawn,
        "chart:plot-area",
        svg__x="1.0cm",
        svg__y="1.1cm",
        svg__width=cm(width - 1.3),
        svg__height=cm(height - 2.0),
        chart__style_name=_style(styles, "area", chart={"chart:treat-empty-cells": "leave-gap"}),
    )
    for dimension, name in zip("xy", chart.axes, strict=True):
        _axis(area, styles, dimension, name)
    for number, line in enumerate(chart.series):
        _series(area, styles, sheet, line, number)
    under(area, "chart:wall", chart__style_name=_style(styles, "wall", graphic=_PAPER))


def _style(styles: Element, name: str, **parts: dict[str, str]) -> str:
    """A new style of the chart; the parts are chart, graphic and text."""
    style = under(styles, "style:style", style__name=name, style__family="chart")
    parts = {"chart": {}, "graphic": {"draw:stroke": "none", "draw:fill": "none"}} | parts
    for part, told in parts.items():
        under(style, f"style:{part}-properties").attrib |= told
    return name


def _text(size: float, colour: str, weight: str = "normal") -> dict[str, str]:
    return {
        "fo:font-family": FONT,
        "fo:font-size": f"{size:g}pt",
        "fo:color": colour,
        "fo:font-weight": weight,
    }


def _axis(area: Element, styles: Element, dimension: str, name: str) -> None:
    style = _style(
        styles,
        f"axis-{dimension}",
        text=_text(8, SOFT),
        chart={
            "chart:display-label": "true",
            "chart:minimum": "0",
            "chart:link-data-style-to-source": "false",
            "chart:tick-marks-major-outer": "false",
            "chart:axis-position": "0",
        },
        graphic={"draw:stroke": "solid", "svg:stroke-color": SOFT},
    )
    axis = under(
        area,
        "chart:axis",
        chart__dimension=dimension,
        chart__name=f"primary-{dimension}",
        chart__style_name=style,
    )
    turned = {"style:rotation-angle": "90"} if dimension == "y" else {}
    title = under(
        axis,
        "chart:title",
        chart__style_name=_style(styles, f"title-{dimension}", text=_text(8, SOFT), chart=turned),
    )
    tagged(title, "text:p", name)
    under(
        axis,
        "chart:grid",
        chart__class="major",
        chart__style_name=_style(
            styles, f"grid-{dimension}", graphic={"draw:stroke": "solid", "svg:stroke-color": LINE}
        ),
    )


def _series(area: Element, styles: Element, sheet: Sheet, line: Series, number: int) -> None:
    stroke = {"draw:stroke": "none" if line.dot else "dash" if line.dash == "dot" else "solid"}
    if line.dash == "dot":
        stroke["draw:stroke-dash"] = "Dots"
    symbol = {"chart:symbol-type": "none"}
    if line.dot:
        symbol = {
            "chart:symbol-type": "named-symbol",
            "chart:symbol-name": "circle",
            "chart:symbol-width": "0.22cm",
            "chart:symbol-height": "0.22cm",
        }
    graphic = stroke | {
        "svg:stroke-width": f"{line.width:g}pt",
        "svg:stroke-color": line.colour,
        "draw:fill-color": line.colour,
    }
    style = _style(styles, f"line-{number}", chart=symbol, graphic=graphic)
    drawn = under(
        area,
        "chart:series",
        chart__style_name=style,
        chart__class="chart:scatter",
        chart__values_cell_range_address=_range(sheet, line.up),
        chart__label_cell_address=_range(sheet, line.name),
    )
    under(drawn, "chart:domain", table__cell_range_address=_range(sheet, line.across))
    if not line.label:
        return
    if line.points > 1:
        under(drawn, "chart:data-point", chart__repeated=str(line.points - 1))
    told = {
        "chart:data-label-number": "none",
        "chart:data-label-series": "true",
        "chart:label-position": _BESIDE[line.label],
    }
    named = _style(styles, f"name-{number}", chart=symbol | told, graphic=graphic, text=_text(8, line.colour))
    under(drawn, "chart:data-point", chart__style_name=named)
