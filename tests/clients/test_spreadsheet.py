"""The example workbook, its recipes and the Apps Script function: as files, and in programs that run them."""

import html
import json
import math
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, quote, unquote, urlsplit

import pytest
import requests
from flask.testing import FlaskClient

from gearing_api.fields import Choice
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import FIELDS
from tests.clients.conftest import wait_until_ready
from tests.clients.workbooks import BASE, FOLDER, ODS, XLSX, Cells, cells, with_service
from tests.kept import same as same_lines
from tests.ports import free_port

LONGEST = 2048
"""Characters of an address that Excel takes."""

BOTH = pytest.mark.parametrize("path", [ODS, XLSX], ids=["ods", "xlsx"])
GUIDE = (FOLDER / "README.md").read_text("utf-8")
CALC_NEEDED = (
    "This test needs LibreOffice Calc and its Python bridge: "
    "apt-get install -y --no-install-recommends libreoffice-calc python3-uno"
)
SYSTEM_PYTHON = "/usr/bin/python3"
LANGUAGES = pytest.mark.parametrize("language", ["en-US", "de-DE"])


def same(one: object, other: object) -> bool:
    """Numbers to nine digits, also those within text, and words to the letter."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-12)
    if not isinstance(one, str) or not isinstance(other, str):
        return one == other
    pieces, others = (re.split("([,\n])", text) for text in (one, other))
    return len(pieces) == len(others) and all(
        piece == another or (_is_number(piece) and _is_number(another) and same(float(piece), float(another)))
        for piece, another in zip(pieces, others, strict=True)
    )


def _is_number(text: str) -> bool:
    return re.fullmatch(r"-?\d+\.?\d*(e-?\d+)?", text) is not None


def addresses(found: Cells) -> list[tuple[str, str]]:
    """Every address in the working sheet, and the reply shown beside it."""
    beside = {"A": "B", "B": "C", "D": "E"}
    return [
        (str(cell.value), str(found[f"Working.{beside[place[8]]}{place[9:]}"].value))
        for place, cell in found.items()
        if place.startswith("Working.") and place[8] in beside and str(cell.value).startswith("http")
    ]


def typed(found: Cells) -> list[dict[str, str]]:
    """Both builds as they are typed on the first sheet, from the cells that the piece of each field refers to."""
    builds: list[dict[str, str]] = [{}, {}]
    for place, cell in found.items():
        refers = re.search(r"Truck[.!]C(\d+)", cell.formula)
        if not refers or not place.startswith("Working.B"):
            continue
        first, second, unit = (_text(found, f"Truck.{column}{refers[1]}") for column in "CDB")
        for build, text in zip(builds, (first, second or first), strict=True):
            build[str(found[place.replace("B", "A")].value)] = f"{text} {unit}".strip()
    return builds


def _text(found: Cells, place: str) -> str:
    value = found[place].value if place in found else ""
    return f"{value:g}" if isinstance(value, float) else value


def for_question(question: str, build: dict[str, str]) -> dict[str, str]:
    """The fields of a build that a question uses."""
    used = QUESTIONS[question].fields
    return {
        name: text for name, text in build.items() if name in used or name.removeprefix("original_") in used
    }


def test_the_file_is_what_the_script_makes(tmp_path: Path) -> None:
    script = [sys.executable, FOLDER / "make_workbook.py", "--out", tmp_path, "--only-xlsx"]
    subprocess.run(script, check=True, env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"})
    old, new = cells(XLSX), cells(tmp_path / XLSX.name)
    assert {place: shown.formula for place, shown in old.items()} == {
        place: shown.formula for place, shown in new.items()
    }
    stale = [place for place in old if not alike(old[place].value, new[place].value)]
    assert stale == [], "the workbook is stale: run make_workbook.py"


def test_both_files_hold_the_same() -> None:
    ods, xlsx = cells(ODS), cells(XLSX)
    assert set(ods) == set(xlsx)
    different = [
        place
        for place, shown in xlsx.items()
        if shown.value != "#N/A" and not alike(_written(shown.value), _written(ods[place].value))
    ]
    assert different == []
    assert len([place for place in ods if ods[place].formula]) > 900


def _written(value: str | float) -> str | float:
    """A value without what a conversion changes: blanks at ends of lines, fifteen digits."""
    return float(f"{value:.12g}") if isinstance(value, float) else " ".join(value.split())


def alike(one: str | float, other: str | float) -> bool:
    """Whether two values are the same, numbers in texts to twelve digits."""
    return same(one, other) or same_lines([str(one)], [str(other)])


@BOTH
def test_every_address_is_answered_with_what_is_shown(path: Path, client: FlaskClient) -> None:
    found = addresses(cells(path))
    assert len(found) == 21
    for address, reply in found:
        answer = client.get(address.removeprefix(BASE))
        text = answer.get_data(as_text=True).replace("\r\n", "\n").rstrip("\n")
        assert answer.status_code == 200
        assert not text.startswith("#ERR"), text
        assert alike(" ".join(reply.split()), " ".join(text.split()))


@BOTH
def test_every_address_has_the_typed_fields_that_its_question_uses(path: Path) -> None:
    found = cells(path)
    builds = typed(found)
    assert len(builds[0]) == 33
    assert builds[0]["vehicle_mass"] == builds[1]["vehicle_mass"] == "5300 lb"
    assert [build["axle_ratio"] for build in builds] == ["4.56", "4.1"]
    asked = []
    for address, _ in addresses(found):
        split = urlsplit(address)
        question, _, suffix = split.path.removeprefix("/v1/").partition(".")
        given = dict(parse_qsl(split.query, strict_parsing=True))
        options = {"units": "us", "errors": "text", "_": "1"} | (
            {"detail": "brief"} if suffix == "json" else {}
        )
        which = [number for number in (0, 1) if given == options | for_question(question, builds[number])]
        assert which, address
        asked.append((question, suffix, which[0]))
    assert len(set(asked)) == len(asked)


@BOTH
def test_no_address_is_too_long_for_excel(path: Path) -> None:
    for address, _ in addresses(cells(path)):
        beginning, _, query = address.partition("?")
        escaped = re.sub(r"[^a-zA-Z0-9]", lambda mark: f"%{ord(mark[0]):02X}", unquote(query))
        two_more_gears_and_a_long_name = (
            "%2C" + quote("0.123456") * 2 + "https://a-rather-long-name.example.org"
        )
        assert len(beginning + escaped + two_more_gears_and_a_long_name) < LONGEST


def test_excel_knows_every_function_by_the_name_it_is_stored_under() -> None:
    old = {"AND", "CHAR", "FIND", "IF", "IFERROR", "ISNUMBER", "LEFT", "LEN", "MID", "MIN", "NA", "OR", "REPT",
           "SUBSTITUTE", "SUMPRODUCT", "TRIM", "TRUE"}  # fmt: skip
    newer = {"_xlfn.WEBSERVICE", "_xlfn.ENCODEURL", "_xlfn.NUMBERVALUE", "_xlfn.TEXTJOIN"}
    formulas = [re.sub(r'"[^"]*"', '""', shown.formula) for shown in cells(XLSX).values()]
    used = set(re.findall(r"[\w.]+(?=\()", " ".join(formulas)))
    assert newer <= used <= newer | old
    assert not any(";" in formula for formula in formulas)


def test_no_text_in_a_formula_is_too_long_for_excel() -> None:
    formulas = [shown.formula for shown in cells(XLSX).values()]
    texts = [text for formula in formulas for text in re.findall(r'"(?:[^"]|"")*"', formula)]
    assert 80 < max(map(len, texts)) <= 255
    assert max(map(len, formulas)) <= 8192
    assert max(len(str(shown.value)) for shown in cells(XLSX).values()) <= 32_767


def first_sheet() -> str:
    with zipfile.ZipFile(XLSX) as file:
        return html.unescape(file.read("xl/worksheets/sheet1.xml").decode())


def test_every_typed_cell_is_tinted_by_its_own_field() -> None:
    """Build B's cell if something stands in it, else build A's."""
    found = cells(XLSX)
    rules = dict(
        re.findall(r'<conditionalFormatting sqref="(\w+)">.*?<formula>(.*?)</formula>', first_sheet())
    )
    for place, cell in found.items():
        refers = re.search(r"Truck[.!]C(\d+)", cell.formula)
        if refers and place.startswith("Working.B"):
            name, row = found[place.replace("B", "A")].value, refers[1]
            assert rules[f"C{row}"] == f'OR(guilty_a="{name}",AND(D{row}="",guilty_b="{name}"))'
            assert rules[f"D{row}"] == f'AND(D{row}<>"",guilty_b="{name}")'


def test_the_choices_are_those_of_the_service() -> None:
    listed = re.findall(r'<formula1>"([^"]*)"</formula1>', first_sheet())
    surfaces = FIELDS["surface"].kind
    assert isinstance(surfaces, Choice)
    assert {tuple(text.split(",")) for text in listed} == {("us", "metric"), surfaces.options}


def test_the_recipes_for_google_and_excel_ask_what_the_service_answers(client: FlaskClient) -> None:
    blocks = "".join(re.findall(r"```(?:sheets|excel)\n(.*?)```", GUIDE, re.DOTALL))
    paths = re.findall(r'"https?://[^/"]+(/v1/[^"]+)"', blocks)
    assert len(paths) == 2
    for path in paths:
        answer = client.get(path + ("33x12.50R17LT" if path.endswith("tyre=") else ""))
        assert answer.status_code == 200, path


def test_power_query_finds_its_address_in_the_workbook() -> None:
    (name,) = re.findall(r'\[Name = "(\w+)"\]', GUIDE)
    with zipfile.ZipFile(XLSX) as file:
        book = file.read("xl/workbook.xml").decode()
    found = re.search(rf'<definedName name="{name}">Working!\$A\$(\d+)</definedName>', book)
    assert found
    assert "/v1/road-speed.csv?" in str(cells(XLSX)[f"Working.A{found[1]}"].value)


# In LibreOffice


def session(
    folder: Path, language: str, load: Path | None, *steps: dict[str, str], pdf: Path | None = None
) -> dict[str, Any]:
    """What LibreOffice shows after loading and after each step."""
    has_bridge = [SYSTEM_PYTHON, "-c", "import uno"]
    if not shutil.which("soffice") or subprocess.run(has_bridge, capture_output=True, check=False).returncode:
        pytest.fail(CALC_NEEDED)
    told = {
        "profile": str(folder / "profile"),
        "locale": language,
        "load": load and str(load),
        "steps": steps,
        "pdf": pdf and str(pdf),
    }
    script = Path(__file__).with_name("calc_session.py")
    environment = {"PATH": "/usr/bin:/bin", "HOME": str(folder)}
    ran = subprocess.run([SYSTEM_PYTHON, script], input=json.dumps(told), env=environment, timeout=300,
                         capture_output=True, text=True, check=False)  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    answer: dict[str, Any] = json.loads(ran.stdout)
    return answer


def asked(service: str, question: str, **build: str) -> dict[str, Any]:
    """The service's own answer as plain data."""
    reply = requests.get(f"{service}/v1/{question}", params=build, timeout=10)
    assert reply.ok, reply.text
    answer: dict[str, Any] = reply.json()
    return answer


def results(found: Cells) -> dict[str, tuple[int, str, str]]:
    """Build, question and result of each answer on the first sheet, by its place."""
    shown = {}
    for place, cell in found.items():
        source = re.search(r"Working[.!]([DF])(\d+)", cell.formula)
        if place.startswith(("Truck.H", "Truck.I")) and source:
            row = source[2]
            texts = (str(found[f"Working.{column}{row}"].value) for column in "AB")
            shown[place] = ("DF".index(source[1]), *texts)
    return shown


def wanted(service: str, builds: list[dict[str, str]], found: Cells, units: str) -> dict[str, object]:
    """What the service answers, by the place that shows it."""
    answers: dict[tuple[int, str], dict[str, Any]] = {}
    told: dict[str, object] = {}
    for place, (number, question, result) in results(found).items():
        if (number, question) not in answers:
            build = for_question(question, builds[number])
            answers[number, question] = asked(service, question, units=units, **build)["result"]
        value = answers[number, question][result]
        told[place] = "-" if value is None else _number(value)
    return told


def row_of(found: Cells, field: str) -> str:
    """The row of the first sheet in which a field is typed."""
    named = [place for place, cell in found.items() if cell.value == field and place.startswith("Working.A")]
    pieces = [found[place.replace("A", "B", 1)].formula for place in named]
    (row,) = (refers[1] for piece in pieces if (refers := re.search(r"Truck[.!]C(\d+)", piece)))
    return row


@pytest.mark.slow
@LANGUAGES
@BOTH
def test_the_workbook_shows_the_answers_of_the_service(
    path: Path, language: str, service: str, tmp_path: Path
) -> None:
    found = cells(path)
    tyre, ratio, before, mass = (
        row_of(found, field) for field in ("tyre", "axle_ratio", "original_tyre", "vehicle_mass")
    )
    swap = {f"Truck.C{tyre}": "37x13.50R17LT", f"Truck.D{tyre}": "", f"Truck.C{before}": "'7,50R16C",
            f"Truck.D{ratio}": "'3,9"}  # fmt: skip
    metric = {"Truck.H5": "metric", f"Truck.B{mass}": "", f"Truck.C{mass}": "2.6 t"}
    told = session(tmp_path, language, with_service(path, service, tmp_path), swap, metric)

    builds = typed(found)
    changes = {"tyre": "37x13.50R17LT", "original_tyre": "7.50R16C"}
    swapped = [builds[0] | changes, builds[1] | changes | {"axle_ratio": "3.9"}]
    heavier = [build | {"vehicle_mass": "2.6 t"} for build in swapped]
    for shown, build, units in zip(
        told["shown"], (builds, swapped, heavier), ("us", "us", "metric"), strict=True
    ):
        answers = wanted(service, build, found, units)
        wrong = {
            place: (shown[place], answer)
            for place, answer in answers.items()
            if not same(_number(shown[place]), answer)
        }
        assert wrong == {}
        table = asked(service, "road-speed", units=units, **for_question("road-speed", build[0]))["table"]
        for row, line in enumerate(table["rows"], 5):
            for letter, value in zip("ABCDEFGHIJKLM", line, strict=True):
                assert same(shown.get(f"Speeds.{letter}{row}"), _number(value)), (letter, row)
        assert shown["Truck.A7"] == "Every question was answered."


def _number(value: object) -> object:
    return float(value) if isinstance(value, int | float) else value


@pytest.mark.slow
@BOTH
def test_what_the_files_show_is_what_the_formulas_give(path: Path, service: str, tmp_path: Path) -> None:
    (shown,) = session(tmp_path, "en-US", with_service(path, service, tmp_path))["shown"]

    def plain(value: object) -> str | float:
        return (
            _written(unquote(value).replace(BASE, service)) if isinstance(value, str) else float(str(value))
        )

    missing = [place for place, cell in cells(XLSX).items() if cell.value == "#N/A"]
    different = {
        place: (cell.value, shown.get(place))
        for place, cell in cells(path).items()
        if place not in missing and not alike(plain(cell.value), plain(shown.get(place, "")))
    }
    assert different == {}
    assert missing
    assert {place for place, value in shown.items() if isinstance(value, dict)} == set(missing)


@pytest.mark.slow
@LANGUAGES
@BOTH
def test_a_wrong_cell_is_named_and_what_does_not_need_it_is_answered(
    path: Path, language: str, service: str, tmp_path: Path
) -> None:
    found = cells(path)
    surface, ratio = row_of(found, "surface"), row_of(found, "axle_ratio")
    steps = {f"Truck.C{surface}": "ice cream", f"Truck.D{ratio}": "400"}
    told = session(
        tmp_path, language, with_service(path, service, tmp_path), steps, {f"Truck.C{surface}": "ice"}
    )
    _, both, one = told["shown"]
    guilty = [place for place, cell in found.items() if str(cell.value).startswith("guilty field of build ")]
    names = [place.replace("A", "B", 1) for place in guilty]
    assert [both.get(name) for name in names] == ["surface", "axle_ratio"]
    assert [one.get(name) for name in names] == [None, "axle_ratio"]
    assert both["Truck.A7"].startswith("Build A: surface must be one of dry-asphalt")
    assert "\nBuild B: axle ratio " in both["Truck.A7"]
    needs = {number: {question for question, one in QUESTIONS.items() if field in one.fields}
             for number, field in ((0, "surface"), (1, "axle_ratio"))}  # fmt: skip
    answered = 0
    for place, (number, question, _) in results(found).items():
        is_spoilt = question in needs[number] or (number == 1 and "surface" in QUESTIONS[question].fields)
        assert (both[place] == "-") or not is_spoilt, place
        answered += both[place] != "-"
    assert answered >= 10
    on_view = [place for place, value in both.items() if isinstance(value, dict)]
    assert all(int(place.removeprefix("Truck.")[1:]) > 80 for place in on_view), on_view


@pytest.mark.slow
def test_cautions_and_limits_stand_on_the_sheet(service: str, tmp_path: Path) -> None:
    """Much heavier than before: cautions; nobody reaches a crawl ratio of 500."""
    found = cells(ODS)
    mass = row_of(found, "vehicle_mass")
    (crawl,) = (place for place, what in results(found).items() if what == (0, "crawl", "crawl_ratio"))
    limit = {f"Truck.D{mass}": "9800", f"Truck.J{crawl[7:]}": "500"}
    before, after = session(tmp_path, "en-US", with_service(ODS, service, tmp_path), limit)["shown"]
    texts = {place: after[place] for place in after if str(after[place]).startswith(("Stop: ", "Check: "))}
    (place,) = (place for place in texts if place.startswith("Truck.F"))
    build = typed(found)[1] | {"vehicle_mass": "9800 lb"}
    for question in dict.fromkeys(question for _, question, _ in results(found).values()):
        graver = [
            (one["level"], one["text"])
            for one in asked(service, question, **for_question(question, build))["cautions"]
            if one["level"] != "note"
        ]
        for level in ("stop", "check"):
            first = next((text for is_level, text in graver if is_level == level), None)
            assert first is None or f"{level.capitalize()}: {first}" in texts[place]
    (missed,) = (place[7:] for place, cell in found.items() if cell.value == "Limits missed")
    assert after[f"Truck.H{missed}"] == before[f"Truck.H{missed}"] + 1


@pytest.mark.slow
@BOTH
def test_a_service_that_is_not_there_is_told_in_words(path: Path, tmp_path: Path) -> None:
    nowhere = f"http://127.0.0.1:{free_port()}"
    (shown,) = session(tmp_path, "en-US", with_service(path, nowhere, tmp_path))["shown"]
    assert {shown[place] for place in results(cells(path))} == {"-"}
    assert shown["Truck.A7"].startswith("Build A: The service does not answer.")


@pytest.mark.slow
@BOTH
def test_the_chart_has_the_lines_of_the_table(path: Path, service: str, tmp_path: Path) -> None:
    told = session(tmp_path, "en-US", with_service(path, service, tmp_path))
    (lines,) = told["charts"]["Truck"]
    assert {sheet: len(charts) for sheet, charts in told["charts"].items() if charts} == {"Truck": 1}
    build = for_question("road-speed", typed(cells(path))[0])
    answer = asked(service, "road-speed", **build)
    high = [dict(zip(answer["table"]["columns"], row, strict=True)) for row in answer["table"]["rows"][:6]]
    drawn = {line["name"]: list(zip(line["values-x"], line["values-y"], strict=True)) for line in lines}
    assert len(drawn) == 11
    for number, gear in enumerate(high, 1):
        top = gear["top_speed"]
        assert _near(drawn[f"gear {number}"], [(top * 750 / 5500, 750), (top, 5500)])
    path_up = [(high[0]["top_speed"] * 750 / 5500, 750)]
    for gear in high:
        path_up += [(gear["top_speed"], 5500), (gear["top_speed"], gear["engine_speed_after_upshift"])]
    assert _near(drawn["upshifts at redline"][:12], path_up[:12])
    before = asked(service, "road-speed", **build | {"tyre": "LT245/75R17", "axle_ratio": "3.73"})
    assert _near(drawn["top gear before"][1:], [(before["result"]["top_speed"], 5500)])
    assert _near(drawn["cruise"], [(65, answer["result"]["cruise_engine_speed"])])


def _near(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> bool:
    return len(one) == len(other) and all(
        math.isclose(a, b, rel_tol=1e-9) for left, right in zip(one, other, strict=True)
        for a, b in zip(left, right, strict=True)
    )  # fmt: skip


@pytest.mark.slow
def test_the_first_sheet_prints_on_one_page(service: str, tmp_path: Path) -> None:
    pdf = tmp_path / "sheets.pdf"
    session(tmp_path, "en-US", with_service(ODS, service, tmp_path), pdf=pdf)
    pages = len(re.findall(rb"/Type ?/Page\b", pdf.read_bytes()))
    assert pages <= 6
    assert '<pageSetUpPr fitToPage="1"/>' in first_sheet()
    assert "fitToHeight" not in first_sheet()  # one page high, as it is one page wide


def recipes(kind: str, service: str) -> dict[str, str]:
    """The formulas of the guide, by the cell they go into."""
    found = re.findall(rf"```{kind} (\w+)\n(.*?)\n```", GUIDE, re.DOTALL)
    return {f"Sheet1.{cell}": formula.replace(BASE, service) for cell, formula in found}


@pytest.mark.slow
@LANGUAGES
def test_the_recipes_work_in_a_new_document(language: str, service: str, tmp_path: Path) -> None:
    given = {"Sheet1.A2": "35x12.50R17LT", "Sheet1.B2": "4.56", "Sheet1.C2": "4.46, 2.61, 1.72, 1"}
    steps = given | recipes("formula", service)
    if language == "de-DE":
        steps |= recipes("formula-comma", service)
    _, shown, refused = session(tmp_path, language, None, steps, {"Sheet1.A2": "round"})["shown"]

    build = {"tyre": "35x12.50R17LT", "axle_ratio": "4.56"}
    effective = asked(service, "final-drive", original_tyre="265/70R16", **build)["result"]["effective_ratio"]
    crawl_ratio = asked(service, "crawl", gear_ratios="4.46,2.61,1.72,1", **build)["result"]["crawl_ratio"]
    assert shown["Sheet1.F2"] == 35.0
    assert shown["Sheet1.F3"] == pytest.approx(effective, rel=1e-12)
    assert shown["Sheet1.F4"] == pytest.approx(crawl_ratio, rel=1e-12)
    assert shown.get("Sheet1.F5") == (pytest.approx(crawl_ratio, rel=1e-12) if language == "de-DE" else None)
    assert refused["Sheet1.F4"].startswith("#ERR tyre is not a tyre size")
    assert isinstance(refused["Sheet1.F2"], dict)


@pytest.fixture(scope="module")
def service_for_many() -> Iterator[str]:
    """A service as its owner starts it, with the limits that it has by default."""
    port = free_port()
    command = [sys.executable, "-m", "gearing_api", "serve", "--port", str(port), "--workers", "1"]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("GEARING_")}
    with subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL) as process:
        try:
            wait_until_ready(f"http://127.0.0.1:{port}", process)
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()


@pytest.mark.slow
@pytest.mark.parametrize(("language", "rows"), [("en-US", 500), ("de-DE", 2000)])
def test_many_rows_are_answered(language: str, rows: int, service_for_many: str, tmp_path: Path) -> None:
    """Each row its own tyre and ratio; one of them is wrong, and says so in its own cell."""
    steps: dict[str, str] = {}
    for row in range(1, rows + 1):
        size, ratio = 28 + row % 12, f"{3 + row / 1000:.3f}"
        steps |= {f"Sheet1.A{row}": f"{size} in" if row != 100 else "round", f"Sheet1.B{row}": ratio}
        steps[f"Sheet1.C{row}"] = (
            f'="{service_for_many}/v1/final-drive.txt?pick=effective_ratio&errors=text&original_tyre=30%20in&tyre="'
            f'&ENCODEURL(A{row})&"&axle_ratio="&SUBSTITUTE(B{row};",";".")'
        )
        steps[f"Sheet1.D{row}"] = f'=IFERROR(NUMBERVALUE(WEBSERVICE(C{row});".");WEBSERVICE(C{row}))'
    _, shown = session(tmp_path, language, None, steps)["shown"]
    for row in range(1, rows + 1):
        answer = shown[f"Sheet1.D{row}"]
        if row == 100:
            assert answer.startswith("#ERR tyre is not a tyre size")
        else:
            assert answer == pytest.approx(float(f"{3 + row / 1000:.3f}") * 30 / (28 + row % 12), rel=1e-9)


# The function for Google Sheets


def gearing(service: str, *arguments: object) -> list[list[object]]:
    """What the function gives, run with node; its requests go to the service, one after another."""
    if not (node := shutil.which("node")):
        pytest.fail("This test needs node: apt-get install -y --no-install-recommends nodejs")
    script = (FOLDER / "apps_script.js").read_text("utf-8")
    assert script.count('"https://gearing.example.org"') == 1
    script = script.replace("https://gearing.example.org", service)
    harness = Path(__file__).with_name("apps_script_harness.cjs")
    ran = subprocess.run([node, harness], input=json.dumps({"script": script, "arguments": arguments}),
                         capture_output=True, text=True, timeout=60, check=False)  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    told = json.loads(ran.stdout)
    assert told["requests"] <= 1
    given: list[list[object]] = told["given"]
    return given


NAMES = ["tyre", "axle_ratio", "gear_ratios", ""]


@pytest.mark.slow
def test_one_request_answers_a_whole_range(service: str) -> None:
    rows = [[f"{size}x12.50R17LT", 3.5 + step / 10, "4.46, 2.61, 1.72", "a note"]
            for size in (33, 35) for step in range(20)]  # fmt: skip
    given = gearing(service, "crawl", "crawl_ratio, crawl_speed", [NAMES, *rows], "metric")
    for row, answer in zip(rows, given, strict=True):
        asks = {"tyre": row[0], "axle_ratio": f"{row[1]}", "gear_ratios": "4.46,2.61,1.72", "units": "metric"}
        result = asked(service, "crawl", **asks)["result"]
        assert answer == pytest.approx([result["crawl_ratio"], result["crawl_speed"]], rel=1e-12)


@pytest.mark.slow
def test_a_row_that_is_refused_says_why_and_an_empty_row_stays_empty(service: str) -> None:
    good = ["33x12.50R17LT", 4.1, "4.46, 2.61", ""]
    rows = [good, ["", "", "", ""], ["round", 41, "4.46", ""], good]
    first, empty, refused, last = gearing(service, "crawl", "crawl_ratio,crawl_limited_by", [NAMES, *rows])
    assert first == last == [pytest.approx(4.46 * 4.1), ""]
    assert empty == ["", ""]
    assert str(refused[0]).startswith("#ERR tyre is not a tyre size")
    assert "axle_ratio must be a number from 1 to 20" in str(refused[0])
    assert refused[1] == ""


@pytest.mark.slow
@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("crawl", "crawl_ratoi", [["tyre"], ["33 in"]]), "the nearest is crawl_ratio"),
        (("craw", "crawl_ratio", [["tyre"], ["33 in"]]), "Nothing is at this address"),
        (("tyre", "diameter", [["tire"], ["33 in"]]), "the nearest is tyre"),
        (("tyre", "diameter", [["tyre"], ["33 in"]], "imperial"), "must be us or metric"),
        (("tyre", "diameter", "33 in"), "The range needs a row of field names"),
    ],
)
def test_a_request_that_is_refused_says_why(arguments: tuple[object, ...], told: str, service: str) -> None:
    ((answer,),) = gearing(service, *arguments)
    assert str(answer).startswith("#ERR ")
    assert told in str(answer)


@pytest.mark.slow
def test_a_service_that_does_not_answer_is_told_in_words() -> None:
    ((answer,),) = gearing(f"http://127.0.0.1:{free_port()}", "tyre", "diameter", [["tyre"], ["33 in"]])
    assert str(answer).startswith("#ERR The service does not answer.")
