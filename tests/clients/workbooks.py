"""Reads the cells of a workbook file of either kind, and knows a few places in the example workbook."""

import re
import zipfile
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

FOLDER = Path(__file__).parents[2] / "clients/spreadsheet"
FODS, XLSX = FOLDER / "drivability.fods", FOLDER / "drivability.xlsx"
BASE = "http://127.0.0.1:8000"

_OASIS = "{urn:oasis:names:tc:opendocument:xmlns:%s:1.0}"
_TABLE, _OFFICE, _TEXT = (_OASIS % part for part in ("table", "office", "text"))
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


class Shown(NamedTuple):
    """What a cell shows, and the formula it comes from, or nothing."""

    value: str | float
    formula: str


Cells = dict[str, Shown]
"""By place, such as Truck.A1."""


def cells(path: Path) -> Cells:
    """The cells that are not blank."""
    return _fods(path) if path.suffix == ".fods" else _xlsx(path)


def link(path: Path) -> str:
    """The address of the linked table of a .fods file."""
    found = ElementTree.parse(path).find(f".//{_TABLE}cell-range-source")
    assert found is not None
    return found.attrib["{http://www.w3.org/1999/xlink}href"]


def with_service(path: Path, address: str, folder: Path) -> Path:
    """A copy of the file that asks another address."""
    target = folder / path.name
    if path.suffix == ".fods":
        target.write_text(path.read_text("utf-8").replace(BASE, address), "utf-8")
        return target
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(target, "w") as out:
        for name in source.namelist():
            out.writestr(name, source.read(name).replace(BASE.encode(), address.encode()))
    return target


def _fods(path: Path) -> Cells:
    found: Cells = {}
    for table in ElementTree.parse(path).iter(f"{_TABLE}table"):
        for row, line in enumerate(table.findall(f"{_TABLE}table-row")):
            for column, cell in enumerate(line):
                formula = cell.get(f"{_TABLE}formula", "")
                value: str | float = "\n".join("".join(part.itertext()) for part in cell.findall(f"{_TEXT}p"))
                if cell.get(f"{_OFFICE}value-type") == "float":
                    value = float(cell.attrib[f"{_OFFICE}value"])
                if formula or value != "":
                    found[f"{table.attrib[f'{_TABLE}name']}.{_letters(column)}{row + 1}"] = Shown(
                        value, formula
                    )
    return found


def _letters(column: int) -> str:
    return (_letters(column // 26 - 1) if column > 25 else "") + chr(ord("A") + column % 26)


def _xlsx(path: Path) -> Cells:
    found: Cells = {}
    with zipfile.ZipFile(path) as source:
        strings = [
            "".join(text.text or "" for text in item.iter(f"{_MAIN}t"))
            for item in ElementTree.fromstring(source.read("xl/sharedStrings.xml"))
        ]
        names = re.findall(r'<sheet name="(\w+)"', source.read("xl/workbook.xml").decode())
        for number, name in enumerate(names, 1):
            sheet = ElementTree.fromstring(source.read(f"xl/worksheets/sheet{number}.xml"))
            for cell in sheet.iter(f"{_MAIN}c"):
                formula = cell.findtext(f"{_MAIN}f", "")
                value: str | float = cell.findtext(f"{_MAIN}v", "")
                if cell.get("t") == "s":
                    value = strings[int(value)]
                elif cell.get("t") is None and value != "":
                    value = float(value)
                if formula or value != "":
                    found[f"{name}.{cell.attrib['r']}"] = Shown(value, formula)
    return found
