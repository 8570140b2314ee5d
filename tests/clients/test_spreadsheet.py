"""The example workbook, its recipes and the Apps Script function: as files, and in programs that run them."""

import csv
import io
import json
import math
import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, quote, unquote, urlsplit

import pytest
import requests
from flask.testing import FlaskClient

from gearing_api.fields import Choice
from gearing_api.vocabulary import FIELDS
from tests.clients.conftest import free_port
from tests.clients.workbooks import BASE, FODS, FOLDER, XLSX, Cells, cells, link, with_service

LONGEST = 2048
"""Characters of an address that Excel takes."""

BOTH = pytest.mark.parametrize("path", [FODS, XLSX], ids=["fods", "xlsx"])
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
    beside = {"A": "B", "C": "D"}
    return [
        (str(cell.value), str(found[f"Working.{beside[place[8]]}{place[9:]}"].value))
        for place, cell in found.items()
        if place.startswith(("Working.A", "Working.C")) and str(cell.value).startswith("http")
    ]


def typed(found: Cells) -> dict[str, str]:
    """The build as it is typed on the first sheet, from the cells that the piece of each field refers to."""
    build = {}
    for place, cell in found.items():
        refers = re.search(r"Truck[.!]C(\d+)(?::\.?C(\d+))?", cell.formula)
        if not refers or not place.startswith("Working.B"):
            continue
        rows = range(int(refers[1]), int(refers[2] or refers[1]) + 1)
        texts = [_text(found, f"Truck.C{row}") for row in rows]
        unit = "" if refers[2] else _text(found, f"Truck.B{rows[0]}")
        build[str(found[place.replace("B", "A")].value)] = f"{','.join(filter(None, texts))} {unit}".strip()
    return build


def _text(found: Cells, place: str) -> str:
    value = found[place].value if place in found else ""
    return f"{value:g}" if isinstance(value, float) else value


def test_the_files_are_what_the_script_makes(tmp_path: Path) -> None:
    script = [sys.executable, FOLDER / "make_workbook.py", "--out", tmp_path]
    subprocess.run(script, check=True, env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"})
    for path in (FODS, XLSX):
        old, new = cells(path), cells(tmp_path / path.name)
        assert {place: shown.formula for place, shown in old.items()} == {
            place: shown.formula for place, shown in new.items()
        }
        stale = [place for place in old if not same(old[place].value, new[place].value)]
        assert stale == [], f"{path.name} is stale: run make_workbook.py"


def test_the_parts_of_the_script_do_what_their_examples_say() -> None:
    for module in ("flat_ods", "office_xml"):
        run = [sys.executable, "-m", "doctest", "-o", "FAIL_FAST", f"workbook/{module}.py"]
        told = subprocess.run(run, cwd=FOLDER, env=os.environ | {"PYTHONPATH": str(FOLDER)}, check=False,
                              capture_output=True, text=True)  # fmt: skip
        assert told.returncode == 0, told.stdout + told.stderr


def test_both_files_hold_the_same() -> None:
    fods, xlsx = cells(FODS), cells(XLSX)
    places = {place for place in fods if not place.startswith("Linked.")}
    assert places == set(xlsx)
    assert [place for place in places if not same(fods[place].value, xlsx[place].value)] == []
    assert len([place for place in places if fods[place].formula]) > 500


@BOTH
def test_every_address_is_answered_with_what_is_shown(path: Path, client: FlaskClient) -> None:
    found = addresses(cells(path))
    assert len(found) == 23
    for address, reply in found:
        answer = client.get(address.removeprefix(BASE))
        text = answer.get_data(as_text=True).replace("\r\n", "\n").rstrip("\n")
        assert answer.status_code == 200
        assert not text.startswith("#ERR"), text
        assert same(reply.rstrip("\n"), text)


@BOTH
def test_every_address_is_built_of_the_typed_cells(path: Path) -> None:
    found = cells(path)
    build = typed(found)
    assert len(build) == 19
    assert build["gear_ratios"] == "4.46,2.61,1.72,1.25,1,0.84"
    assert build["vehicle_mass"] == "5300 lb"
    for address, _ in addresses(found):
        given = dict(parse_qsl(urlsplit(address).query, strict_parsing=True))
        given.pop("pick", None)
        assert given == {"units": "us", "errors": "text", "_": "1"} | build


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
    old = {"AND", "CHAR", "COUNTA", "FIND", "IF", "IFERROR", "ISNUMBER", "LEFT", "LEN", "MID", "NA", "REPT",
           "SUBSTITUTE", "TRIM", "TRUE"}  # fmt: skip
    newer = {"_xlfn.WEBSERVICE", "_xlfn.ENCODEURL", "_xlfn.NUMBERVALUE", "_xlfn.TEXTJOIN"}
    formulas = [re.sub(r'"[^"]*"', '""', shown.formula) for shown in cells(XLSX).values()]
    used = set(re.findall(r"[\w.]+(?=\()", " ".join(formulas)))
    assert newer <= used <= newer | old
    assert not any(";" in formula for formula in formulas)


def test_no_text_in_a_formula_is_too_long_for_excel() -> None:
    texts = [text for shown in cells(XLSX).values() for text in re.findall(r'"[^"]*"', shown.formula)]
    assert 80 < max(map(len, texts)) <= 255


def test_the_linked_table_is_the_one_of_the_truck(client: FlaskClient) -> None:
    found = cells(FODS)
    assert link(FODS) == found["Linked.A7"].value
    rows = list(csv.reader(io.StringIO(client.get(link(FODS).removeprefix(BASE)).get_data(as_text=True))))
    for row, line in enumerate(rows, 9):
        for letter, text in zip("ABCDEFGHIJKLM", line, strict=True):
            shown = found[f"Linked.{letter}{row}"].value if text else text
            assert str(shown) == (text if row == 9 or not text else str(float(text)))


def test_the_choices_are_those_of_the_service() -> None:
    listed = re.findall(r"cell-content-is-in-list\(([^)]*)\)", FODS.read_text("utf-8"))
    words = [tuple(re.findall(r"[a-z]+(?:-[a-z]+)?", text.replace("&quot;", " "))) for text in listed]
    surfaces = FIELDS["surface"].kind
    assert isinstance(surfaces, Choice)
    assert words == [("us", "metric"), surfaces.options]


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


def session(folder: Path, language: str, load: Path | None, *steps: dict[str, str]) -> dict[str, Any]:
    """What LibreOffice shows after loading and after each step."""
    has_bridge = [SYSTEM_PYTHON, "-c", "import uno"]
    if not shutil.which("soffice") or subprocess.run(has_bridge, capture_output=True, check=False).returncode:
        pytest.fail(CALC_NEEDED)
    told = {
        "profile": str(folder / "profile"),
        "locale": language,
        "load": load and str(load),
        "steps": steps,
    }
    script = Path(__file__).with_name("calc_session.py")
    environment = {"PATH": "/usr/bin:/bin", "HOME": str(folder)}
    ran = subprocess.run([SYSTEM_PYTHON, script], input=json.dumps(told), env=environment, timeout=180,
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


def bare(service: str, question: str, result: str, **build: str) -> object:
    """One result as the service writes it by itself: a number, with the digits that can be trusted, or a word."""
    reply = requests.get(f"{service}/v1/{question}.txt", params={**build, "pick": result}, timeout=10)
    assert reply.ok, reply.text
    text = reply.text.strip()
    return float(text) if _is_number(text) else text


def results(found: Cells) -> dict[str, tuple[str, str]]:
    """The question and the result of each answer on the first sheet, by its place."""
    shown = {}
    for place, cell in found.items():
        if place.startswith("Truck.G") and (source := re.search(r"Working[.!]D(\d+)", cell.formula)):
            row = source[1]
            shown[place] = (str(found[f"Working.A{row}"].value), str(found[f"Working.B{row}"].value))
    return shown


@pytest.mark.slow
@LANGUAGES
@BOTH
def test_the_workbook_shows_the_answers_of_the_service(
    path: Path, language: str, service: str, tmp_path: Path
) -> None:
    found = cells(path)
    swap = {"Truck.C9": "37x13.50R17LT", "Truck.C11": "4.88", "Truck.C10": "'7,50R16C", "Truck.C23": "'3,9"}
    metric = {"Truck.G5": "metric", "Truck.B36": "", "Truck.C36": "2.6 t"}
    told = session(tmp_path, language, with_service(path, service, tmp_path), swap, metric)

    build = typed(found)
    swapped = build | {"tyre": "37x13.50R17LT", "axle_ratio": "4.88", "original_tyre": "7.50R16C",
                       "reverse_ratio": "3.9"}  # fmt: skip
    heavier = swapped | {"vehicle_mass": "2.6 t", "units": "metric"}
    for shown, asks in zip(told["shown"], (build, swapped, heavier), strict=True):
        answers = {
            place: bare(service, question, result, **asks)
            for place, (question, result) in results(found).items()
        }
        wrong = {
            place: (shown[place], answer)
            for place, answer in answers.items()
            if not same(_number(shown[place]), answer)
        }
        assert wrong == {}
        table = asked(service, "road-speed", **asks)["table"]
        for row, line in enumerate(table["rows"], 5):
            for letter, value in zip("ABCDEFGHIJKLM", line, strict=True):
                assert same(shown.get(f"Speeds.{letter}{row}"), _number(value)), (letter, row)
        assert shown["Truck.E41"] == "Every question was answered."
    assert [told["shown"][number]["Truck.F34"] for number in (0, 2)] == ["mph", "km/h"]


def _number(value: object) -> object:
    return float(value) if isinstance(value, int | float) else value


@pytest.mark.slow
@BOTH
def test_what_the_files_show_is_what_the_formulas_give(path: Path, service: str, tmp_path: Path) -> None:
    (shown,) = session(tmp_path, "en-US", with_service(path, service, tmp_path))["shown"]
    stored = cells(path)

    def plain(value: object) -> object:
        return unquote(value).replace(BASE, service) if isinstance(value, str) else value

    different = {
        place: (cell.value, shown.get(place))
        for place, cell in stored.items()
        if cell.value != "#N/A" and not same(plain(cell.value), plain(shown.get(place, "")))
    }
    assert different == {}
    missing = [place for place, cell in stored.items() if cell.value == "#N/A"]
    assert missing
    assert {place for place, value in shown.items() if isinstance(value, dict)} == set(missing)


@pytest.mark.slow
@LANGUAGES
@BOTH
def test_a_refusal_is_told_in_words(path: Path, language: str, service: str, tmp_path: Path) -> None:
    wrong = {"Truck.C9": "round"}
    unknown = {"Truck.C9": "33x12.50R17LT", "Truck.C23": ""}
    told = session(tmp_path, language, with_service(path, service, tmp_path), wrong, unknown)
    _, refused, partly = told["shown"]
    for place, (_, result) in results(cells(path)).items():
        assert str(refused[place]).startswith("tyre is not a tyre size: write it as "), place
        has_words = result in ("reverse_crawl_ratio", "crawl_limited_by")
        assert isinstance(partly[place], str) == has_words, (place, partly[place])
    assert refused["Truck.E41"] == refused["Truck.G9"]
    assert refused["Speeds.A3"] == refused["Truck.G9"]
    assert "not known here: needs reverse_ratio" in partly["Truck.E41"]
    for shown in (refused, partly):
        on_view = [place for place, value in shown.items() if isinstance(value, dict)]
        assert all(int(place.removeprefix("Truck.")[1:]) > 66 for place in on_view), on_view


@pytest.mark.slow
@BOTH
def test_a_service_that_is_not_there_is_told_in_words(path: Path, tmp_path: Path) -> None:
    nowhere = f"http://127.0.0.1:{free_port()}"
    (shown,) = session(tmp_path, "en-US", with_service(path, nowhere, tmp_path))["shown"]
    for place in results(cells(path)):
        assert str(shown[place]).startswith("The service does not answer."), place


@pytest.mark.slow
@LANGUAGES
def test_the_linked_table_arrives_as_numbers(language: str, service: str, tmp_path: Path) -> None:
    path = with_service(FODS, service, tmp_path)
    stale = path.read_text("utf-8")
    head, middle, tail = stale.partition("<table:cell-range-source")
    rows = re.sub(r'office:value="[^"]*"', 'office:value="99"', tail.partition("</table:table>")[0])
    path.write_text(head + middle + rows + "</table:table>" + tail.partition("</table:table>")[2], "utf-8")
    fresh, changed = session(tmp_path, language, path, {"Truck.C11": "5.13"})["shown"]
    lines = list(csv.reader(io.StringIO(requests.get(link(path), timeout=10).text)))
    assert len(lines) == 13
    for row, line in enumerate(lines, 9):
        for letter, text in zip("ABCDEFGHIJKLM", line, strict=True):
            wanted = text if row == 9 or text == "" else float(text)
            assert same(fresh.get(f"Linked.{letter}{row}", ""), wanted), (letter, row)
    assert fresh["Linked.A4"].startswith("This table is the one ")
    assert changed["Linked.A4"].startswith("This table is not the one ")


@pytest.mark.slow
@BOTH
def test_the_chart_has_the_lines_of_the_table(path: Path, service: str, tmp_path: Path) -> None:
    told = session(tmp_path, "en-US", with_service(path, service, tmp_path))
    (lines,) = told["charts"]["Truck"]
    assert {sheet: len(charts) for sheet, charts in told["charts"].items() if charts} == {"Truck": 1}
    build = typed(cells(path))
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
    before = asked(service, "road-speed", **build | {"tyre": build["original_tyre"], "axle_ratio": "3.73"})
    assert _near(drawn["top gear before"][1:], [(before["result"]["top_speed"], 5500)])
    assert _near(drawn["cruise"], [(65, answer["result"]["cruise_engine_speed"])])


def _near(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> bool:
    return len(one) == len(other) and all(
        math.isclose(a, b, rel_tol=1e-9) for left, right in zip(one, other, strict=True)
        for a, b in zip(left, right, strict=True)
    )  # fmt: skip


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
