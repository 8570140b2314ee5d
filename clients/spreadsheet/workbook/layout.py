"""The example workbook, cell by cell.

Four sheets: *Truck* has two builds as they are typed, and what comes back; *In words* the summaries; *Speeds*
every gear of build A as a table; *Working* each step from a typed cell to a number.
"""

import json
import math
from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from workbook import words
from workbook.gear_chart import Number, put_chart
from workbook.sheets import Cell, Rule, Sheet, Value, Workbook, place
from workbook.truck import ANSWERS, INPUTS, SERVICE, SPEED, TABLE_DECIMALS, Input, Wanted

Ask = Callable[[str], str]
"""The text that the service gives for an address."""
Uses = Callable[[str], Collection[str]]
"""The fields that a question uses."""

MOST_COLUMNS, MOST_ROWS, MOST_GEARS = 16, 16, 8
TABLE_HEADING = 3
_FIRST = 8
_TYPED, _SHOWN = (2, 3), (7, 8)
"""The columns of build A and build B: what is typed, and what is shown."""
_LEAST, _MOST = 9, 10
_BANNER, _CAUTIONS = 6, 6
_PIECE = 1000
"""Each piece of a line is moved to a multiple of this, which must be more than the length of the line."""
BUILDS = ("A", "B")
NONE = "-"


@dataclass
class _Replies:
    """The replies to one question: where they stand for each build, and what they say."""

    cells: list[str] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)


class Layout:
    """Puts the cells into the sheets, from top to bottom, and remembers where the named ones are."""

    def __init__(self, ask: Ask, uses: Uses) -> None:
        self.ask, self.uses = ask, uses
        self.truck = Sheet("Truck", [4.2, 1.0, 4.0, 4.0, 0.3, 5.9, 1.0, 1.7, 1.7, 1.3, 1.3], row_height=0.5)
        self.speeds = Sheet("Speeds", [1.75] * MOST_COLUMNS, landscape=True)
        self.in_words = Sheet("Words", [3.0, 11.0, 11.0], landscape=True)
        self.working = Sheet("Working", [5.2, 5.2, 9.0, 5.2, 5.2, 5.2] + [2.6] * 12, landscape=True)
        self.names: dict[str, str] = {}
        self.typed: dict[str, str] = {}
        self.pieces: dict[str, tuple[list[str], list[str]]] = {}
        self.replies: dict[str, _Replies] = {}
        self.shown: dict[str, Number] = {}
        self.lines: list[list[str]] = []

    def workbook(self) -> Workbook:
        """Return all sheets."""
        self._top()
        self._inputs()
        self._pieces()
        self._questions()
        self._answers()
        self._banner()
        self._table()
        self._chart()
        return Workbook(words.TITLE, [self.truck, self.in_words, self.speeds, self.working], self.names)

    def _name(self, name: str, row: int, column: int, sheet: str) -> None:
        self.names[name] = place(row, column, sheet, fixed=True)

    # Truck: what is typed

    def _top(self) -> None:
        truck = self.truck
        _titled(truck, "DRIVABILITY OF A TRAIL VEHICLE", words.TITLE, words.HOW)
        truck.heights |= {3: 0.3, 5: 0.3, 7: 0.3, _BANNER: 0.9}
        truck.put(4, 0, Cell("Address of the service", look="label"), Cell(None, look="unit"))
        truck.put(4, 2, Cell(SERVICE, look="input", across=2))
        truck.put(4, 5, Cell("Units; change the number to ask again", look="label", across=2))
        truck.put(4, 7, Cell("us", look="input"), Cell(1.0, look="input"))
        truck.choices[4, 7] = ("us", "metric")
        self._name("service", 4, 2, "Truck")
        self._name("units_out", 4, 7, "Truck")
        self._name("ask_again", 4, 8, "Truck")

    def _inputs(self) -> None:
        row = _FIRST
        for heading, inputs in INPUTS.items():
            builds = BUILDS if row == _FIRST else (None, None)
            self.truck.put(row, 0, Cell(heading, look="heading"), Cell(None, look="heading"))
            self.truck.put(row, 2, *(Cell(build and f"Build {build}", look="build") for build in builds))
            row += 1
            for one in inputs:
                self.typed[one.field] = place(row, _TYPED[0], "Truck")
                self.truck.put(row, 0, Cell(one.label, look="label"), Cell(one.unit or None, look="unit"))
                for number, value in enumerate((one.value, one.other)):
                    self._typed_cell(row, number, one, value)
                row += 1

    def _typed_cell(self, row: int, number: int, one: Input, value: Value) -> None:
        """A cell to type into, tinted where the service refuses what stands in it."""
        column, other = _TYPED[number], place(row, _TYPED[1])
        mine = f'{_guilty_name(number)}="{one.field}"'
        if number == 0:
            blamed = f'OR({mine},AND({other}="",{_guilty_name(1)}="{one.field}"))'
        else:
            blamed = f'AND({other}<>"",{mine})'
        self.truck.put(row, column, Cell(value, look="input", rule=Rule(blamed, "guilty")))
        if one.choices:
            self.truck.choices[row, column] = one.choices

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
        self._section("The builds as pieces of an address", "field", "build A", "build B")
        for one in (one for inputs in INPUTS.values() for one in inputs):
            row = self._next_row()
            texts = [
                _sent(one, value) for value in (one.value, one.value if one.other is None else one.other)
            ]
            pieces = [f"&{one.field}={quote(text, safe='')}" if text else "" for text in texts]
            formulas = [_piece(one.field, self.typed[one.field], number) for number in (0, 1)]
            self._work(_working(one.field), *map(_working, pieces, formulas))
            self.pieces[one.field] = (pieces, [place(row, column) for column in (1, 2)])

    # Working: one address for each question and build

    def _questions(self) -> None:
        """Addresses and replies; refusals and cautions gather from row to row."""
        self._section(
            "The questions", "question", "address A", "reply A", "address B", "reply B",
            "first refusal so far A", "B", "stops so far A", "B", "checks so far A", "B", "summary A", "B",
        )  # fmt: skip
        asked = dict.fromkeys(wanted.question for group in ANSWERS.values() for wanted in group)
        _titled(self.in_words, "IN WORDS", "What the service says", words.IN_WORDS)
        self.in_words.put(3, 0, *(Cell(text, look="heading") for text in ("Question", "Build A", "Build B")))
        before: list[Cell] = []
        for line, question in enumerate(asked, 4):
            before = self._question(question, before, line)

    def _question(self, question: str, before: list[Cell], line: int) -> list[Cell]:
        row = self._next_row()
        replies = self.replies[question] = _Replies()
        cells = [_working(question)]
        for number in (0, 1):
            address, formula = self._address(question, number)
            reply = self.ask(address)
            source = place(row, 1 + 2 * number)
            cells += [
                _working(address, formula),
                Cell(reply, f'IFERROR(WEBSERVICE({source}),"{words.SILENT}")', "clipped"),
            ]
            replies.cells.append(place(row, 2 + 2 * number, "Working", fixed=True))
            replies.texts.append(reply)
        gathered = [self._gathered(row, number, before, _REFUSAL, "") for number in (0, 1)]
        for level in ("stop", "check"):
            gathered += [self._gathered(row, number, before, _CAUTION, level) for number in (0, 1)]
        said = [
            _working(
                _summary_of(replies.texts[number]), _behind(place(row, 2 + 2 * number), '"summary":"', '"')
            )
            for number in (0, 1)
        ]
        self.working.put(row, 0, *cells, *gathered, *said)
        shown = [
            Cell(one.value, f"Working!{place(row, 11 + number)}", "cautions")
            for number, one in enumerate(said)
        ]
        self.in_words.put(line, 0, Cell(question, look="label"), *shown)
        self.in_words.heights[line] = 1.2
        return gathered

    def _gathered(self, row: int, number: int, before: list[Cell], how: "_Gathering", level: str) -> Cell:
        """What was gathered so far, with what this reply adds."""
        column = 5 + 2 * ("", "stop", "check").index(level) + number
        reply = place(row, 2 + 2 * number)
        above = place(row - 1, column) if before else '""'
        text = str(before[column - 5].value) if before else ""
        found = how.find(self.replies_at(row, number), level)
        value = how.joined(text, found)
        return _working(value, how.formula(reply, above, level))

    def replies_at(self, row: int, number: int) -> str:
        """The reply that was last asked for, in this row."""
        return list(self.replies.values())[-1].texts[number]

    def _address(self, question: str, number: int) -> tuple[str, str]:
        """An address with the fields that a question uses, and the formula that makes it of the cells."""
        used = self.uses(question)
        fields = [name for name in self.pieces if name in used or name.removeprefix("original_") in used]
        pieces = "".join(self.pieces[name][0][number] for name in fields)
        cells = "&".join(self.pieces[name][1][number] for name in fields)
        address = f"{SERVICE}/v1/{question}.json?units=us&errors=text&detail=brief{pieces}&_=1"
        beginning = f'service&"/v1/{question}.json?units="&units_out&"&errors=text&detail=brief"'
        return address, f'{beginning}&{cells}&"&_="&ask_again'

    # Working and Truck: the answers

    def _answers(self) -> None:
        self._section("The answers", "question", "result", "begins at A", "piece A", "begins at B", "piece B")
        row = _FIRST
        for heading, results in ANSWERS.items():
            self.truck.put(row, 5, Cell(heading, look="heading"), Cell(None, look="heading"))
            builds = ("A", "B", "least", "most") if row == _FIRST else (None,) * 4
            self.truck.put(row, 7, *(Cell(build, look="build") for build in builds))
            row += 1
            for wanted in results:
                self._show(row, wanted)
                row += 1
        self._missed(row)

    def _show(self, row: int, wanted: Wanted) -> None:
        replies = self.replies[wanted.question]
        line = self._next_row()
        cells = [_working(wanted.question), _working(wanted.result)]
        look = "answer" if wanted.decimals is not None else "answer in words"
        shown = []
        for number in (0, 1):
            begin = place(line, 2 + 2 * number)
            text = _result_of(replies.texts[number], wanted.result)
            source = replies.cells[number].removeprefix("Working!")
            cells += [
                _working(
                    float(_begins(replies.texts[number], wanted.result)), _begins_at(source, wanted.result)
                ),
                _working(text, _piece_of(source, begin)),
            ]
            piece = place(line, 3 + 2 * number, "Working")
            value = _read(text)
            limits = Rule(_is_missed(row, _SHOWN[number]), "missed") if wanted.decimals is not None else None
            shown.append(
                Cell(value, f'IFERROR(NUMBERVALUE({piece},"."),{piece})', look, wanted.decimals, rule=limits)
            )
            if number == 0 and isinstance(value, float):
                self.shown[wanted.result] = Number(value, place(row, _SHOWN[0], "Truck"))
        self._work(*cells)
        self.truck.put(row, 5, Cell(wanted.label, look="label"), _unit(wanted.units), *shown)
        if wanted.decimals is not None:
            self.truck.put(row, _LEAST, *(Cell(limit, look="limit") for limit in (wanted.least, wanted.most)))

    def _missed(self, row: int) -> None:
        """How many of the limits each build misses: colour is not the only sign."""
        self.truck.put(row, 5, Cell("Limits missed", look="heading"), Cell(None, look="heading"))
        for column in _SHOWN:
            values, least, most = (
                f"{place(_FIRST + 1, other)}:{place(row - 1, other)}" for other in (column, _LEAST, _MOST)
            )
            told = f'SUMPRODUCT(ISNUMBER({values})*(({least}<>"")*({values}<{least})+({most}<>"")*({values}>{most})))'
            missed = sum(
                self._misses(line, column)
                for line in range(_FIRST + 1, row)
                if (line, _LEAST) in self.truck.cells
            )
            self.truck.put(row, column, Cell(float(missed), told, "answer", 0))

    def _misses(self, row: int, column: int) -> int:
        value, least, most = (self.truck.cells[row, other].value for other in (column, _LEAST, _MOST))
        if not isinstance(value, float):
            return 0
        return (isinstance(least, float) and value < least) + (isinstance(most, float) and value > most)

    # Truck: what is wrong, and what to be careful of

    def _banner(self) -> None:
        rows = [
            row
            for (row, column), cell in self.working.cells.items()
            if column == 2 and cell.look == "clipped"
        ]
        end = max(rows)
        for number, build in enumerate(BUILDS):
            refusal = place(end, 5 + number, "Working")
            guilty = f'IFERROR(LEFT({refusal},FIND(" ",{refusal})-1),"")'
            row = self._work(_working(f"guilty field of build {build}"), _working("", guilty))
            self._name(_guilty_name(number), row, 1, "Working")
        refused = [place(end, 5 + number, "Working") for number in (0, 1)]
        lines = [
            f'IF({one}="","","Build {build}: "&{one})' for build, one in zip(BUILDS, refused, strict=True)
        ]
        told = (
            f'IF({refused[0]}&{refused[1]}="","{words.ALL_WELL}",'
            f'SUBSTITUTE(TEXTJOIN(CHAR(10),TRUE(),{lines[0]},{lines[1]}),"_"," "))'
        )
        wrong = Rule(f'{place(_BANNER, 0, fixed=True)}<>"{words.ALL_WELL}"', "guilty")
        self.truck.put(
            _BANNER, 0, Cell(words.ALL_WELL, told, "banner", across=len(self.truck.widths), rule=wrong)
        )
        top = self.truck.last_row + 1
        self.truck.heights[top] = 0.3
        self._cautions(top + 1, end)

    def _cautions(self, row: int, end: int) -> None:
        """The stops of each build, then its checks, side by side."""
        for number, (column, across) in enumerate(((0, 4), (5, 6))):
            found = [self.working.cells[end, 7 + 2 * level + number] for level in (0, 1)]
            texts = [str(cell.value) for cell in found if cell.value]
            stops, checks = (place(end, 7 + 2 * level + number, "Working") for level in (0, 1))
            told = f'IF({stops}&{checks}="","{words.NOTHING}",TEXTJOIN(CHAR(10),TRUE(),{stops},{checks}))'
            headings = [Cell(f"Cautions for build {BUILDS[number]}", look="heading")]
            headings += [Cell(None, look="heading")] * (across - 1)
            self.truck.put(row, column, *headings)
            value = "\n".join(texts) or words.NOTHING
            self.truck.put(row + 1, column, Cell(value, told, "cautions", across=across, down=5))

    # Working and Speeds: the table

    def _table(self) -> None:
        self._section("The table of road speeds", "address", "reply")
        address, formula = self._address("road-speed", 0)
        fetched = address.replace(".json?", ".csv?").replace("&detail=brief", "")
        formula = formula.replace(".json?", ".csv?").replace("&detail=brief", "")
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
        sheet, note = self.speeds, "Build A. Engine speeds are in rpm, road speeds in "
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

    # Truck: the chart, and its points below what is printed

    def _of_gear(self, gear: int, name: str) -> Number:
        """A number of a gear in high range, which comes first in the table."""
        row, column = TABLE_HEADING + 1 + gear, [*TABLE_DECIMALS].index(name)
        text = self._cell(gear + 1, column) if self._cell(gear + 1, 1) == str(gear + 1) else ""
        is_gear = f"{place(row, 1, 'Speeds')}={gear + 1}"
        formula = f"IF({is_gear},1*{place(row, column, 'Speeds')},NA())"
        return Number(float(text) if text else math.nan, formula)

    def _chart(self) -> None:
        idle, redline = (Number(float(one.value or 0), self.typed[one.field]) for one in INPUTS["Engine"][:2])
        gears = [
            (self._of_gear(gear, "top_speed"), self._of_gear(gear, "engine_speed_after_upshift"))
            for gear in range(MOST_GEARS)
        ]
        put_chart(self.truck, idle, redline, gears, self.shown)


class _Gathering:
    """How the texts of one kind gather from row to row: the first one, or all of them once."""

    def find(self, reply: str, level: str) -> str:
        """Return what a reply says, empty if nothing."""
        raise NotImplementedError

    def joined(self, before: str, found: str) -> str:
        """Return what was gathered so far with what is found."""
        raise NotImplementedError

    def formula(self, reply: str, above: str, level: str) -> str:
        """Return the same as a formula."""
        raise NotImplementedError


class _Refusals(_Gathering):
    def find(self, reply: str, level: str) -> str:
        return reply[5:505] if reply.startswith("#ERR") else ""

    def joined(self, before: str, found: str) -> str:
        return before or found

    def formula(self, reply: str, above: str, level: str) -> str:
        return f'IF({above}<>"",{above},IF(LEFT({reply},4)="#ERR",MID({reply},6,500),""))'


class _Cautions(_Gathering):
    def find(self, reply: str, level: str) -> str:
        if reply.startswith("#"):
            return ""
        texts = [one["text"] for one in json.loads(reply)["cautions"] if one["level"] == level]
        return f"{level.capitalize()}: {texts[0]}" if texts else ""

    def joined(self, before: str, found: str) -> str:
        return before if found in before else f"{before}\n{found}".strip()

    def formula(self, reply: str, above: str, level: str) -> str:
        opens = f'FIND("""text"":""",{reply},FIND("""level"":""{level}""",{reply}))+8'
        found = f'"{level.capitalize()}: "&MID({reply},{opens},FIND("""}}",{reply},{opens})-({opens}))'
        joined = f'IF(ISNUMBER(FIND({found},{above})),{above},{above}&IF({above}="","",CHAR(10))&{found})'
        return f"IFERROR({joined},{above})"


_REFUSAL, _CAUTION = _Refusals(), _Cautions()


def _guilty_name(number: int) -> str:
    return f"guilty_{BUILDS[number].lower()}"


def _is_missed(row: int, column: int) -> str:
    value, least, most = (place(row, other) for other in (column, _LEAST, _MOST))
    return f'AND(ISNUMBER({value}),OR(AND({least}<>"",{value}<{least}),AND({most}<>"",{value}>{most})))'


def _titled(sheet: Sheet, over: str, title: str, words: str, formula: str = "") -> None:
    sheet.put(0, 0, Cell(over, look="over"))
    sheet.put(1, 0, Cell(title, look="title"))
    sheet.put(2, 0, Cell(words, formula, "words", across=len(sheet.widths)))
    sheet.heights |= {1: 1.0, 2: 1.0}


def _working(value: Value, formula: str = "") -> Cell:
    return Cell(value, formula, "working")


def _sent(one: Input, value: Value) -> str:
    """A typed value as the service reads it."""
    text = value if isinstance(value, str) else "" if value is None else f"{value:g}"
    return f"{text.replace(', ', ';')} {one.unit}".strip()


def _piece(field: str, typed: str, number: int) -> str:
    """The formula of a piece: decimal commas become points, a unit goes with its number, nothing is left out."""
    other, unit = (typed.replace("!C", f"!{letter}") for letter in "DB")
    value = f'IF({other}="",{typed},{other})' if number else typed
    text = f'SUBSTITUTE(SUBSTITUTE(TRIM({value}&" "&{unit}),", ",";"),",",".")'
    return f'IF({value}="","","&{field}="&ENCODEURL({text}))'


# A reply in JSON: what stands behind a name


def _mark(name: str) -> str:
    return f'"{name}":'


def _begins(reply: str, name: str) -> int:
    """Where a result begins, counted from 1; 0 where the reply is none."""
    start = reply.find('"result":{')
    found = reply.find(_mark(name), start) if start >= 0 else -1
    return found + len(_mark(name)) + 1 if found >= 0 else 0


def _begins_at(reply: str, name: str) -> str:
    """The same as a formula."""
    mark = _quoted(_mark(name))
    result = _quoted('"result":{')
    return f"IFERROR(FIND({mark},{reply},FIND({result},{reply}))+{len(_mark(name))},0)"


def _piece_of(reply: str, begin: str) -> str:
    """The formula of the text of a result; a dash where there is none."""
    end = f'MIN(FIND(",",{reply}&",",{begin}),FIND("}}",{reply}&"}}",{begin}))'
    text = f'SUBSTITUTE(SUBSTITUTE(MID({reply},{begin},{end}-{begin}),"""",""),"null","{NONE}")'
    return f'IF({begin}=0,"{NONE}",{text})'


def _result_of(reply: str, name: str) -> str:
    """The text of a result; a dash where there is none."""
    if reply.startswith("#"):
        return NONE
    value: Any = json.loads(reply)["result"][name]
    return NONE if value is None else value if isinstance(value, str) else json.dumps(value)


def _summary_of(reply: str) -> str:
    return "" if reply.startswith("#") else str(json.loads(reply)["summary"])


def _behind(reply: str, mark: str, end: str) -> str:
    """The formula of the text between a mark and the next end."""
    begin = f"FIND({_quoted(mark)},{reply})+{len(mark)}"
    return f'IFERROR(MID({reply},{begin},FIND({_quoted(end)},{reply},{begin})-({begin})),"")'


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


def _read(text: str) -> Value:
    """A piece as it is shown: a number, or words."""
    try:
        return float(text)
    except ValueError:
        return text


def _unit(units: tuple[str, str]) -> Cell:
    us, metric = units
    return Cell(us or None, "" if us == metric else f'IF(units_out="us","{us}","{metric}")', "unit")
