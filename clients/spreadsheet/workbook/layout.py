"""The example workbook, cell by cell.

Four sheets: *Truck* has what is typed and what comes back, *Speeds* every gear as a table, *Linked* that
table as linked CSV, *Working* each step from a typed cell to a number.
"""

import math
from collections.abc import Callable
from urllib.parse import quote

from workbook import words
from workbook.gear_chart import Number, put_chart
from workbook.sheets import Cell, Link, Sheet, Value, Workbook, place
from workbook.truck import ANSWERS, INPUTS, SERVICE, SPEED, TABLE_DECIMALS, Input, Wanted

Ask = Callable[[str], str]
"""The text that the service gives for an address."""

MOST_COLUMNS, MOST_ROWS, MOST_GEARS = 16, 16, 8
TABLE_HEADING, LINK_HEADING = 3, 8
_FIRST = 7
_PIECE = 1000
"""Each piece of a line is moved to a multiple of this, which must be more than the length of the line."""


class Layout:
    """Puts the cells into the sheets, from top to bottom, and remembers where the named ones are."""

    def __init__(self, ask: Ask) -> None:
        self.ask = ask
        self.truck = Sheet("Truck", [4.7, 1.3, 4.5, 0.6, 6.3, 1.3, 2.5])
        self.speeds = Sheet("Speeds", [1.75] * MOST_COLUMNS, landscape=True)
        self.working = Sheet("Working", [5.2, 5.2, 9.0, 5.2, 5.2] + [1.6] * 13, landscape=True)
        self.names: dict[str, str] = {}
        self.typed: dict[str, str] = {}
        self.shown: dict[str, Number] = {}
        self.build = ""
        self.lines: list[list[str]] = []

    def workbook(self, with_link: bool) -> Workbook:
        """All sheets; a file of a kind that has no links to CSV goes without that one."""
        self._top()
        self._inputs()
        self._pieces()
        self._answers()
        self._table()
        self._chart()
        linked = [self._linked()] if with_link else []
        return Workbook(words.TITLE, [self.truck, self.speeds, *linked, self.working], self.names)

    def _name(self, name: str, row: int, column: int, sheet: str) -> None:
        self.names[name] = place(row, column, sheet, fixed=True)

    # Truck: what is typed

    def _top(self) -> None:
        truck = self.truck
        _titled(truck, "DRIVABILITY OF A TRAIL VEHICLE", words.TITLE, words.HOW)
        truck.heights |= {3: 0.3, 6: 0.3}
        truck.put(4, 0, Cell("Address of the service", look="label"), Cell(SERVICE, look="input", across=2))
        truck.put(4, 4, Cell("Units of the answers", look="label"), Cell(None, look="unit"))
        truck.put(4, 6, Cell("us", look="input"))
        truck.choices[4, 6] = ("us", "metric")
        truck.put(5, 4, Cell("Ask again: change this number", look="label"), Cell(None, look="unit"))
        truck.put(5, 6, Cell(1.0, look="input"))
        self._name("service", 4, 1, "Truck")
        self._name("units_out", 4, 6, "Truck")
        self._name("ask_again", 5, 6, "Truck")

    def _headed(self, row: int, column: int, heading: str) -> None:
        self.truck.put(row, column, Cell(heading, look="heading"), *[Cell(None, look="heading")] * 2)

    def _inputs(self) -> None:
        row = _FIRST
        for heading, inputs in INPUTS.items():
            self._headed(row, 0, heading)
            row += 1
            for field in inputs:
                last = f":{place(row + len(field.values) - 1, 2)}" if len(field.values) > 1 else ""
                self.typed[field.field] = place(row, 2, "Truck") + last
                for label, value in zip(field.labels, field.values, strict=True):
                    self.truck.put(row, 0, Cell(label, look="label"), Cell(field.unit or None, look="unit"))
                    self.truck.put(row, 2, Cell(value, look="input"))
                    if field.choices:
                        self.truck.choices[row, 2] = field.choices
                    row += 1
            row += 1

    # Working: from typed cells to a piece of an address each

    def _section(self, heading: str, *columns: str) -> None:
        self.working.last_row += 1
        self._work(Cell(heading, look="over"))
        if columns:
            self._work(*(Cell(name, look="heading") for name in columns))

    def _work(self, *cells: Cell) -> int:
        """A new row of the working sheet, and where it is."""
        row = self._next_row()
        self.working.put(row, 0, *cells)
        return row

    def _next_row(self) -> int:
        return self.working.last_row + 1

    def _pieces(self) -> None:
        _titled(self.working, "HOW IT WORKS", "From a cell to an address, and back", words.WORKING)
        self._section("The truck as pieces of an address", "field", "piece")
        first = self._next_row()
        for field in (field for inputs in INPUTS.values() for field in inputs):
            piece = f"&{field.field}={quote(_sent(field), safe='')}"
            self._work(_working(field.field), _working(piece, _piece(field.field, self.typed[field.field])))
            self.build += piece
        joined = f'TEXTJOIN("",TRUE(),{place(first, 1)}:{place(self.working.last_row, 1)})'
        self._name("build", self._work(_working("all"), _working(self.build, joined)), 1, "Working")

    # Working and Truck: the answers

    def _answers(self) -> None:
        self._section("The answers", "question", "result", "address", "reply", "first refusal so far")
        row, before = _FIRST, ""
        for heading, results in ANSWERS.items():
            self._headed(row, 4, heading)
            row += 1
            for wanted in results:
                line = self._fetch(wanted, before)
                self._show(row, wanted, line)
                before = place(line, 4)
                row += 1
            row += 1
        told = f'IF(Working!{before}="","{words.ALL_WELL}",Working!{before})'
        self._headed(row, 4, "What the service says")
        self.truck.put(row + 1, 4, Cell(words.ALL_WELL, told, "reply", across=3, down=4))

    def _fetch(self, wanted: Wanted, before: str) -> int:
        """One result: its address, the reply, and the first refusal in this row and those above."""
        row = self._next_row()
        question, result, address, reply = (place(row, column) for column in range(4))
        fetched, formula = self._address(
            f"{wanted.question}.txt",
            f"&pick={wanted.result}",
            f'{question}&".txt?units="&units_out&"&errors=text&pick="&{result}',
        )
        refusal = f'IF(LEFT({reply},4)="#ERR",MID({reply},6,500),"")'
        return self._work(
            _working(wanted.question),
            _working(wanted.result),
            _working(fetched, formula),
            _working(self.ask(fetched), f'IFERROR(WEBSERVICE({address}),"{words.SILENT}")'),
            _working("", f'IF({before}<>"",{before},{refusal})' if before else refusal),
        )

    def _address(self, question: str, pick: str, beginning: str) -> tuple[str, str]:
        """An address, and the formula that makes it of the cells."""
        address = f"{SERVICE}/v1/{question}?units=us&errors=text{pick}{self.build}&_=1"
        return address, f'service&"/v1/"&{beginning}&build&"&_="&ask_again'

    def _show(self, row: int, wanted: Wanted, line: int) -> None:
        reply, source = self.working.cells[line, 3].value, place(line, 3, "Working")
        value = _read(str(reply))
        shown = f'IFERROR(NUMBERVALUE({source},"."),SUBSTITUTE({source},"#ERR ",""))'
        look = "answer" if wanted.decimals is not None else "answer in words"
        self.truck.put(row, 4, Cell(wanted.label, look="label"), _unit(wanted.units))
        self.truck.put(row, 6, Cell(value, shown, look, wanted.decimals))
        if isinstance(value, float):
            self.shown[wanted.result] = Number(value, place(row, 6, "Truck"))

    # Working and Speeds: the table

    def _table(self) -> None:
        self._section("The table of road speeds", "address", "reply")
        fetched, formula = self._address(
            "road-speed.csv", "", '"road-speed.csv?units="&units_out&"&errors=text"'
        )
        source = place(self._next_row(), 0)
        reply = self.ask(fetched).replace("\r\n", "\n")
        row = self._work(
            _working(fetched, formula),
            Cell(reply, f'SUBSTITUTE(IFERROR(WEBSERVICE({source}),"{words.SILENT}"),CHAR(13),"")', "clipped"),
        )
        self._name("speeds_address", row, 0, "Working")
        self._name("speeds_reply", row, 1, "Working")
        self.lines = [line.split(",") for line in reply.splitlines()]
        self._section("The same, cut into lines and pieces", "begins at", "line", "pieces")
        first = self._next_row()
        begins = 1
        for line in range(MOST_ROWS + 1):
            begins = self._cut(line, begins)
        self._speeds(first)

    def _cell(self, line: int, column: int) -> str:
        """A piece of the table's text, empty beyond its end."""
        return "".join(self.lines[line][column : column + 1]) if line < len(self.lines) else ""

    def _cut(self, line: int, begins: int) -> int:
        """A line of the reply and its pieces; gives where the next line begins."""
        row = self._next_row()
        start, whole = place(row, 0), place(row, 1)
        text = ",".join(self.lines[line]) if line < len(self.lines) else ""
        end = f"FIND(CHAR(10),speeds_reply&CHAR(10),{start})"
        cut = f'IF(LEFT(speeds_reply,1)="#","",IFERROR(MID(speeds_reply,{start},{end}-{start}),""))'
        next_start = f"{place(row - 1, 0)}+LEN({place(row - 1, 1)})+1" if line else ""
        spread = f'SUBSTITUTE({whole},",",REPT(" ",{_PIECE}))'
        pieces = (
            _working(self._cell(line, column), f"TRIM(MID({spread},{column * _PIECE + 1},{_PIECE}))")
            for column in range(MOST_COLUMNS)
        )
        self._work(_working(float(begins), next_start), _working(text, cut), *pieces)
        return begins + len(text) + 1

    def _speeds(self, first: int) -> None:
        """The pieces as headings and numbers."""
        sheet, note = self.speeds, "Engine speeds are in rpm, road speeds in "
        us, metric = SPEED
        refused = 'LEFT(speeds_reply,1)="#"'
        told = f'IF({refused},MID(speeds_reply,6,500),"{note}"&IF(units_out="us","{us}","{metric}")&".")'
        _titled(sheet, "EVERY GEAR AND RANGE", "Road speed and engine speed", f"{note}{us}.", told)
        sheet.heights[TABLE_HEADING] = 1.8
        decimals = [*TABLE_DECIMALS.values()] + [1] * MOST_COLUMNS
        for column in range(MOST_COLUMNS):
            piece = place(first, column + 2, "Working")
            name = self._cell(0, column).replace("_", " ")
            sheet.put(TABLE_HEADING, column, Cell(name, f'SUBSTITUTE({piece},"_"," ")', "column"))
            for line in range(1, MOST_ROWS + 1):
                piece = place(first + line, column + 2, "Working")
                text = self._cell(line, column)
                number = f'IF({piece}="","",NUMBERVALUE({piece},"."))'
                value = float(text) if text else ""
                sheet.put(TABLE_HEADING + line, column, Cell(value, number, "cell", decimals[column]))

    def _linked(self) -> Sheet:
        """The table once more, as a link, and whether it is still the same."""
        sheet = Sheet(
            "Linked", [2.6, 1.4, 2.2, 2.6, 3.0, 2.8, 3.8, 5.2] + [3.6] * (MOST_COLUMNS - 8), landscape=True
        )
        speeds, linked = (
            f"SUM({place(heading + 1, 3, name)}:{place(heading + MOST_ROWS, 6)})"
            for name, heading in (("Speeds", TABLE_HEADING), ("Linked", LINK_HEADING))
        )
        is_fresh = f"IFERROR(ABS({linked}/{speeds}-1)<0.000000001,FALSE())"
        address = self.working.cells[_row(self.names["speeds_address"]), 0].value
        assert isinstance(address, str)
        address = address.removesuffix("&_=1")
        _titled(sheet, "A TABLE THAT IS A LINK", "The same table, as linked CSV", words.LINKED)
        sheet.put(3, 0, Cell(words.FRESH, f'IF({is_fresh},"{words.FRESH}","{words.STALE}")'))
        sheet.put(5, 0, Cell("Address for a link to the table on the sheet Speeds", look="over"))
        sheet.put(6, 0, _working(address, 'SUBSTITUTE(speeds_address,"&_="&ask_again,"")'))
        rows: list[list[Value]] = [list(self.lines[0])]
        rows += [[float(piece) if piece else None for piece in line] for line in self.lines[1:]]
        sheet.link = Link((LINK_HEADING, 0), address, rows)
        sheet.last_row = LINK_HEADING + len(rows) - 1
        return sheet

    # Truck: the chart, and its points below what is printed

    def _of_gear(self, gear: int, name: str) -> Number:
        """A number of a gear in high range, which comes first in the table."""
        row, column = TABLE_HEADING + 1 + gear, [*TABLE_DECIMALS].index(name)
        text = self._cell(gear + 1, column) if self._cell(gear + 1, 1) == str(gear + 1) else ""
        is_gear = f"{place(row, 1, 'Speeds')}={gear + 1}"
        formula = f"IF({is_gear},1*{place(row, column, 'Speeds')},NA())"
        return Number(float(text) if text else math.nan, formula)

    def _chart(self) -> None:
        idle, redline = (
            Number(float(field.values[0] or 0), self.typed[field.field]) for field in INPUTS["Engine"][:2]
        )
        gears = [
            (self._of_gear(gear, "top_speed"), self._of_gear(gear, "engine_speed_after_upshift"))
            for gear in range(MOST_GEARS)
        ]
        put_chart(self.truck, idle, redline, gears, self.shown)


def _titled(sheet: Sheet, over: str, title: str, words: str, formula: str = "") -> None:
    sheet.put(0, 0, Cell(over, look="over"))
    sheet.put(1, 0, Cell(title, look="title"))
    sheet.put(2, 0, Cell(words, formula, "words", across=len(sheet.widths)))
    sheet.heights |= {1: 1.0, 2: 1.0}


def _working(value: Value, formula: str = "") -> Cell:
    return Cell(value, formula, "working")


def _row(cell: str) -> int:
    return int(cell.rpartition("$")[2]) - 1


def _sent(field: Input) -> str:
    """The typed values as the service reads them."""
    typed = [value if isinstance(value, str) else f"{value:g}" for value in field.values if value is not None]
    return f"{','.join(typed)} {field.unit}".strip()


def _piece(field: str, typed: str) -> str:
    """The formula of a piece: decimal commas become points, a unit goes with its number, nothing is left out.

    A range of cells is a list.
    """
    if ":" in typed:
        text = f'SUBSTITUTE(SUBSTITUTE(TEXTJOIN(";",TRUE(),{typed}),",","."),";",",")'
        return f'IF(COUNTA({typed})=0,"","&{field}="&ENCODEURL({text}))'
    unit = typed.replace("!C", "!B")
    text = f'SUBSTITUTE(TRIM({typed}&" "&{unit}),",",".")'
    return f'IF({typed}="","","&{field}="&ENCODEURL({text}))'


def _read(reply: str) -> Value:
    """A reply as it is shown: a number, or words."""
    try:
        return float(reply)
    except ValueError:
        return reply.removeprefix("#ERR ")


def _unit(units: tuple[str, str]) -> Cell:
    us, metric = units
    return Cell(us or None, "" if us == metric else f'IF(units_out="us","{us}","{metric}")', "unit")
