"""A spreadsheet program without a screen, told what to do on stdin and telling what it shows on stdout.

Run by the system's own python3, which has ``uno``; both sides of the pipe are JSON::

    {"profile": folder, "locale": "de-DE", "load": file or null, "steps": [{"Sheet.A1": "=1+1"}, ...],
     "pdf": file or null}

After loading and after every step it tells every cell that shows something, as {"Sheet.A1": value}; an error
of the program itself is {"error": number}. A new document has one sheet named Sheet1. Cells of a step are
read as typed in English.
"""

import contextlib
import json
import os
import pathlib
import signal
import subprocess
import sys
import time
import uuid
from typing import Any

LONGEST_START = 60.0
CONFIGURATION = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>{locale}</value></prop></item>
<item oor:path="/org.openoffice.Office.Common/Security/Scripting"><prop oor:name="SecureURL" oor:op="fuse">
<value><it>{trusted}</it></value></prop></item>
</oor:items>"""
UPDATE_LINKS = 3
ERROR = 4  # com.sun.star.sheet.FormulaResult.ERROR


def main() -> None:
    told = json.load(sys.stdin)
    profile = pathlib.Path(told["profile"]).resolve()
    load = pathlib.Path(told["load"]).resolve() if told["load"] else None
    (profile / "user").mkdir(parents=True)
    trusted = load.parent.as_uri() if load else ""
    configuration = CONFIGURATION.format(locale=told["locale"], trusted=trusted)
    (profile / "user/registrymodifications.xcu").write_text(configuration)
    pipe = f"p{uuid.uuid4().hex}"
    own = [f"-env:UserInstallation={profile.as_uri()}", f"--accept=pipe,name={pipe};urp;"]
    command = ["soffice", "--headless", "--norestore", "--nologo", *own]
    silent = {"stderr": subprocess.DEVNULL, "stdout": subprocess.DEVNULL}
    with subprocess.Popen(command, start_new_session=True, **silent) as office:
        try:
            desktop = _desktop(pipe)
            json.dump(_session(desktop, load, told), sys.stdout)
            _end(desktop)
            office.wait(20)
        finally:
            with contextlib.suppress(ProcessLookupError):  # the command is a script: end what it started too
                os.killpg(office.pid, signal.SIGKILL)


def _desktop(pipe: str) -> Any:
    import uno

    here = uno.getComponentContext()
    resolver = here.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", here)
    end = time.monotonic() + LONGEST_START
    while True:
        try:
            there = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            return there.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", there)
        except Exception:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


def _end(desktop: Any) -> None:
    from com.sun.star.lang import DisposedException

    with contextlib.suppress(DisposedException):
        desktop.terminate()


def _property(name: str, value: object) -> Any:
    from com.sun.star.beans import PropertyValue

    made = PropertyValue()
    made.Name, made.Value = name, value
    return made


def _session(desktop: Any, load: pathlib.Path | None, told: dict[str, Any]) -> dict[str, Any]:
    import uno

    how = [_property("Hidden", True)]
    if load:
        how.append(_property("UpdateDocMode", uno.Any("short", UPDATE_LINKS)))
    address = load.as_uri() if load else "private:factory/scalc"
    book = desktop.loadComponentFromURL(address, "_blank", 0, tuple(how))
    book.calculateAll()  # files from elsewhere may show what is stored in them
    shown = [_cells(book)]
    for step in told["steps"]:
        for place, typed in step.items():
            sheet, _, cell = place.partition(".")
            book.Sheets.getByName(sheet).getCellRangeByName(cell).setFormula(typed)
        shown.append(_cells(book))
    charts = {sheet.Name: [_chart(sheet.Charts.getByIndex(n)) for n in range(sheet.Charts.Count)]
              for sheet in _sheets(book)}  # fmt: skip
    if told.get("pdf"):
        target = pathlib.Path(told["pdf"]).resolve().as_uri()
        book.storeToURL(target, (_property("FilterName", "calc_pdf_Export"),))
    book.close(True)
    return {"shown": shown, "charts": charts}


def _sheets(book: Any) -> list[Any]:
    return [book.Sheets.getByIndex(number) for number in range(book.Sheets.Count)]


def _cells(book: Any) -> dict[str, object]:
    """What every cell that is not blank shows."""
    cells: dict[str, object] = {}
    for sheet in _sheets(book):
        cursor = sheet.createCursor()
        cursor.gotoEndOfUsedArea(True)
        for row, line in enumerate(cursor.getDataArray()):
            for column, value in enumerate(line):
                if value != "":
                    cells[f"{sheet.Name}.{_column(column)}{row + 1}"] = value
        for found in sheet.queryFormulaCells(ERROR).getCells():
            cells[found.AbsoluteName.replace("$", "")] = {"error": found.getError()}
    return cells


def _column(number: int) -> str:
    return (_column(number // 26 - 1) if number > 25 else "") + chr(ord("A") + number % 26)


def _chart(chart: Any) -> list[dict[str, object]]:
    """Its series: the name, and the numbers across and up."""
    told: list[dict[str, object]] = []
    for system in chart.EmbeddedObject.getFirstDiagram().getCoordinateSystems():
        for kind in system.getChartTypes():
            told += [_line(series.getDataSequences()) for series in kind.getDataSeries()]
    return told


def _line(sequences: Any) -> dict[str, object]:
    labels = [sequence.Label.Data[0] for sequence in sequences if sequence.Label]
    return {"name": "".join(labels)} | {
        sequence.Values.Role: list(sequence.Values.Data) for sequence in sequences if sequence.Values
    }


if __name__ == "__main__":
    main()
