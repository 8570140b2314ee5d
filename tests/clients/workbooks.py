"""Reads the cells of a workbook file of either kind, and knows a few places in the example workbook."""

import re
import zipfile
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree

FOLDER = Path(__file__).parents[2] / "clients/spreadsheet"
ODS, XLSX = FOLDER / "drivability.ods", FOLDER / "drivability.xlsx"
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
    return _ods(path) if path.suffix == ".ods" else _xlsx(path)


def with_service(path: Path, address: str, folder: Path) -> Path:
    """A copy of the file that asks another address."""
    target = folder / path.name
    with zipfile.ZipFile(path) as source, zipfile.ZipFile(target, "w") as out:
        for name in source.namelist():
            out.writestr(name, source.read(name).replace(BASE.encode(), address.encode()))
    return target


def _ods(path: Path) -> Cells:
    found: Cells = {}
    with zipfile.ZipFile(path) as source:
        content = ElementTree.fromstring(source.read("content.xml"))
    for table in content.iter(f"{_TABLE}table"):
        name, row = table.attrib[f"{_TABLE}name"], 0
        for line in table.iter(f"{_TABLE}table-row"):
            column = 0
            for cell in line:
                times = int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
                shown = _shown(cell)
                if shown.formula or shown.value != "":
                    for place in range(column, column + times):
                        found[f"{name}.{_letters(place)}{row + 1}"] = shown
                column += times
            row += int(line.get(f"{_TABLE}number-rows-repeated", "1"))
    return found


def _shown(cell: ElementTree.Element) -> Shown:
    value: str | float = "\n".join("".join(part.itertext()) for part in cell.findall(f"{_TEXT}p"))
    if cell.get(f"{_OFFICE}value-type") == "float":
        value = float(cell.attrib[f"{_OFFICE}value"])
    elif cell.get(f"{_OFFICE}string-value") is not None:
        value = cell.attrib[f"{_OFFICE}string-value"]
    return Shown(value, cell.get(f"{_TABLE}formula", ""))


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
