"""A workbook as a flat OpenDocument spreadsheet (.fods), which is one XML file."""

from xml.etree.ElementTree import Element, SubElement, indent, tostring

from workbook.flat_ods_chart import draw_chart
from workbook.opendocument import NAMESPACES, SPREADSHEET, cm, tagged, under
from workbook.sheets import FONT, LOOKS, MARK, NOT_AVAILABLE, TOKEN, Cell, Link, Look, Sheet, Workbook, place

_FOREIGN = {"WEBSERVICE", "ENCODEURL", "TEXTJOIN"}
_FILTER = "Text - txt - csv (StarCalc)"
_FILTER_OPTIONS = "44,34,76,1,,1033,false,false"
"""Comma, quotation mark, UTF-8, from the first line, English (US), no quoted text, no special numbers."""

_BIGGEST = 1048576


def as_flat_ods(workbook: Workbook) -> bytes:
    """The whole file, the same bytes for the same workbook."""
    root = Element("office:document", {f"xmlns:{short}": name for short, name in NAMESPACES.items()})
    root.attrib |= {"office:version": "1.3", "office:mimetype": SPREADSHEET}
    tagged(under(root, "office:meta"), "dc:title", workbook.title)
    _settings(root)
    _styles(root)
    _automatic_styles(root, workbook)
    _masters(root)
    body = under(under(root, "office:body"), "office:spreadsheet")
    under(body, "table:calculation-settings", table__use_regular_expressions="false")
    _choices(body, workbook)
    for sheet in workbook.sheets:
        _sheet(body, sheet)
    names = under(body, "table:named-expressions")
    for name, cell in workbook.names.items():
        under(
            names,
            "table:named-range",
            table__name=name,
            table__base_cell_address="$Truck.$A$1",
            table__cell_range_address="$" + cell.replace("!", "."),
        )
    indent(root, " ")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{tostring(root, "unicode")}\n'.encode()


def formula(english: str) -> str:
    """An English formula in the form of OpenDocument.

    >>> formula('IF(A1="a,b",Truck!$B$2:C3,WEBSERVICE(service))')
    'of:=IF([.A1]="a,b";[Truck.$B$2:.C3];COM.MICROSOFT.WEBSERVICE(service))'
    """
    pieces = []
    for found in TOKEN.finditer(english):
        if function := found["function"]:
            pieces.append(f"COM.MICROSOFT.{function}" if function in _FOREIGN else function)
        elif first := found["first"]:
            last = f":.{found['last']}" if found["last"] else ""
            pieces.append(f"[{found['sheet'] or ''}.{first}{last}]")
        else:
            pieces.append(";" if found["comma"] else found[0])
    return "of:=" + "".join(pieces)


def _settings(root: Element) -> None:
    """No grid behind the cells."""
    settings = under(root, "office:settings")
    told = under(settings, "config:config-item-set", config__name="ooo:configuration-settings")
    tagged(told, "config:config-item", "false", config__name="ShowGrid", config__type="boolean")


def _styles(root: Element) -> None:
    styles = under(root, "office:styles")
    default = under(styles, "style:default-style", style__family="table-cell")
    under(default, "style:text-properties", fo__font_family=FONT, fo__font_size="10pt")
    under(styles, "style:style", style__name="Default", style__family="table-cell")
    refused = under(
        styles,
        "style:style",
        style__name="Refused",
        style__family="table-cell",
        style__parent_style_name="Default",
    )
    under(refused, "style:text-properties", fo__color=MARK, fo__font_weight="normal")
    under(
        styles,
        "draw:stroke-dash",
        draw__name="Dots",
        draw__style="rect",
        draw__dots1="1",
        draw__dots1_length="0.05cm",
        draw__distance="0.08cm",
    )


def _automatic_styles(root: Element, workbook: Workbook) -> None:
    automatic = under(root, "office:automatic-styles")
    bare = under(automatic, "style:style", style__name="Bare", style__family="graphic")
    under(bare, "style:graphic-properties", draw__stroke="none", draw__fill="none")
    for places in map(str, range(4)):
        style = under(automatic, "number:number-style", style__name=f"N{places}")
        number = under(style, "number:number", number__decimal_places=places, number__min_integer_digits="1")
        number.set("number:min-decimal-places", places)
    used = {(cell.look, cell.decimals) for sheet in workbook.sheets for cell in sheet.cells.values()}
    for look, decimals in sorted(used, key=str):
        _cell_style(automatic, look, decimals)
    for sheet in workbook.sheets:
        _sheet_styles(automatic, sheet)
    _page(automatic, "Tall", 21.0, 29.7, "1")
    _page(automatic, "Wide", 29.7, 21.0, "0")


def _sheet_styles(automatic: Element, sheet: Sheet) -> None:
    """Columns, rows, and the page they are printed on."""
    for number, width in enumerate(sheet.widths):
        column = under(automatic, "style:style", style__name=f"{sheet.name}-c{number}")
        column.set("style:family", "table-column")
        under(column, "style:table-column-properties", style__column_width=cm(width))
    for height in sorted({sheet.row_height, *sheet.heights.values()}):
        row = under(automatic, "style:style", style__name=_row_style(sheet, height))
        row.set("style:family", "table-row")
        fixed = under(row, "style:table-row-properties", style__row_height=cm(height))
        fixed.set("style:use-optimal-row-height", "false")
    table = under(automatic, "style:style", style__name=sheet.name, style__family="table")
    table.set("style:master-page-name", "Wide" if sheet.landscape else "Tall")
    under(table, "style:table-properties", table__display="true")


def _page(automatic: Element, name: str, width: float, height: float, pages_down: str) -> None:
    """A4, one page across."""
    page = under(automatic, "style:page-layout", style__name=name)
    told = under(page, "style:page-layout-properties", fo__page_width=cm(width), fo__page_height=cm(height))
    told.attrib |= {
        "style:print-orientation": "landscape" if width > height else "portrait",
        "style:scale-to-X": "1",
        "style:scale-to-Y": pages_down,
        "fo:margin": "1.2cm",
        "style:table-centering": "horizontal",
        "style:print": "objects charts drawings zero-values",
    }


def _row_style(sheet: Sheet, height: float) -> str:
    return f"{sheet.name}-r{height:.2f}"


def _style_name(look: str, decimals: int | None) -> str:
    return look.replace(" ", "-") + ("" if decimals is None else str(decimals))


def _cell_style(automatic: Element, name: str, decimals: int | None) -> None:
    look: Look = LOOKS[name]
    style = under(
        automatic,
        "style:style",
        style__name=_style_name(name, decimals),
        style__family="table-cell",
        style__parent_style_name="Default",
    )
    if decimals is not None:
        style.set("style:data-style-name", f"N{decimals}")
    cell = {"style:vertical-align": "top" if look.wrap else "middle"}
    if look.fill:
        cell["fo:background-color"] = look.fill
    if look.under:
        cell["fo:border-bottom"] = f"0.5pt solid {look.under}"
    if look.wrap:
        cell["fo:wrap-option"] = "wrap"
    if look.align:
        cell["style:text-align-source"] = "fix"
    SubElement(style, "style:table-cell-properties", cell)
    if look.align:
        under(style, "style:paragraph-properties", fo__text_align="end" if look.align == "right" else "start")
    under(
        style,
        "style:text-properties",
        fo__font_family=FONT,
        fo__font_size=f"{look.size:g}pt",
        fo__color=look.colour,
        fo__font_weight="bold" if look.bold else "normal",
    )


def _masters(root: Element) -> None:
    masters = under(root, "office:master-styles")
    for name in ("Tall", "Wide"):
        page = under(masters, "style:master-page", style__name=name, style__page_layout_name=name)
        for part in ("style:header", "style:footer"):
            under(page, part, style__display="false")


def _choices(body: Element, workbook: Workbook) -> None:
    validations = under(body, "table:content-validations")
    for sheet in workbook.sheets:
        for (row, column), words in sheet.choices.items():
            listed = ";".join(f'"{word}"' for word in words)
            under(
                validations,
                "table:content-validation",
                table__name=_choice_name(sheet, row, column),
                table__condition=f"of:cell-content-is-in-list({listed})",
                table__allow_empty_cell="true",
                table__base_cell_address=place(row, column, sheet.name).replace("!", "."),
            )


def _choice_name(sheet: Sheet, row: int, column: int) -> str:
    return f"{sheet.name}{place(row, column)}"


def _sheet(body: Element, sheet: Sheet) -> None:
    corner = place(sheet.printed_to or sheet.last_row, len(sheet.widths) - 1)
    table = under(
        body,
        "table:table",
        table__name=sheet.name,
        table__style_name=sheet.name,
        table__print_ranges=f"{sheet.name}.A1:{sheet.name}.{corner}",
    )
    for column in range(len(sheet.widths)):
        under(
            table,
            "table:table-column",
            table__style_name=f"{sheet.name}-c{column}",
            table__default_cell_style_name="Default",
        )
    covered = _covered(sheet)
    for row in range(sheet.last_row + 1):
        style = _row_style(sheet, sheet.height(row))
        line = under(table, "table:table-row", table__style_name=style)
        for column in range(len(sheet.widths)):
            _cell(line, sheet, row, column, (row, column) in covered)
    rest = under(
        table,
        "table:table-row",
        table__style_name=_row_style(sheet, sheet.row_height),
        table__number_rows_repeated=str(_BIGGEST - sheet.last_row - 1),
    )
    under(rest, "table:table-cell")
    _warn(table, sheet)


def _covered(sheet: Sheet) -> set[tuple[int, int]]:
    """The cells that lie under one that reaches across others."""
    return {
        (row + down, column + across)
        for (row, column), cell in sheet.cells.items()
        for down in range(cell.down)
        for across in range(cell.across)
        if down or across
    }


def _cell(line: Element, sheet: Sheet, row: int, column: int, is_covered: bool) -> None:
    cell = sheet.cells.get((row, column), _linked_cell(sheet.link, row, column))
    element = under(line, "table:covered-table-cell" if is_covered else "table:table-cell")
    if cell is not None:
        _fill(element, cell)
    if (row, column) in sheet.choices:
        element.set("table:content-validation-name", _choice_name(sheet, row, column))
    if sheet.link is not None and sheet.link.at == (row, column):
        element.insert(0, _source(sheet.link))
    if sheet.chart is not None and sheet.chart.at == (row, column):
        draw_chart(element, sheet.chart, sheet)


def _fill(element: Element, cell: Cell) -> None:
    element.set("table:style-name", _style_name(cell.look, cell.decimals))
    if cell.formula:
        element.set("table:formula", formula(cell.formula))
    if cell.across > 1 or cell.down > 1:
        element.set("table:number-columns-spanned", str(cell.across))
        element.set("table:number-rows-spanned", str(cell.down))
    if cell.value == NOT_AVAILABLE:
        element.attrib |= {
            "office:value-type": "string",
            "office:string-value": "",
            "calcext:value-type": "error",
        }
        tagged(element, "text:p", NOT_AVAILABLE)
    elif isinstance(cell.value, float):
        element.attrib |= {"office:value-type": "float", "office:value": repr(cell.value)}
    elif cell.value is not None:
        element.attrib |= {"office:value-type": "string"}
        for text in cell.value.split("\n"):
            tagged(element, "text:p", text)


def _linked_cell(link: Link | None, row: int, column: int) -> Cell | None:
    if link is None:
        return None
    line = link.rows[row - link.at[0]] if 0 <= row - link.at[0] < len(link.rows) else []
    return Cell(line[column], look="cell") if column < len(line) else None


def _source(link: Link) -> Element:
    told = {
        "table:name": "CSV_all",
        "xlink:href": link.address,
        "xlink:type": "simple",
        "table:filter-name": _FILTER,
        "table:filter-options": _FILTER_OPTIONS,
        "table:last-column-spanned": str(len(link.rows[0])),
        "table:last-row-spanned": str(len(link.rows)),
    }
    return Element("table:cell-range-source", told)


def _warn(table: Element, sheet: Sheet) -> None:
    """Words among the numbers are a refusal: they have another colour."""
    cells = [place(*where) for where, cell in sheet.cells.items() if cell.look == "answer"]
    if not cells:
        return
    conditions = under(
        under(table, "calcext:conditional-formats"),
        "calcext:conditional-format",
        calcext__target_range_address=" ".join(f"{sheet.name}.{cell}:{sheet.name}.{cell}" for cell in cells),
    )
    under(
        conditions,
        "calcext:condition",
        calcext__apply_style_name="Refused",
        calcext__value=f"formula-is(ISTEXT([.{cells[0]}]))",
        calcext__base_cell_address=f"{sheet.name}.{cells[0]}",
    )
