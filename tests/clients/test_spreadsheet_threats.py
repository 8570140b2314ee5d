"""Hostile cells sent to the service and taken back into spreadsheets (CWE-1236): nothing of them is run."""

import csv
import io
from pathlib import Path

import pytest
import requests

from tests.clients.test_spreadsheet import LANGUAGES, gearing, session

pytestmark = pytest.mark.slow

FORMULAS = [
    "=1+1", "+1+1", "-1+1", "@SUM(1;1)", '=WEBSERVICE("http://127.0.0.1:9/")', '=HYPERLINK("x")', "\t=1+1",
]  # fmt: skip


def written(rows: list[list[str]]) -> str:
    sheet = io.StringIO()
    csv.writer(sheet).writerows(rows)
    return sheet.getvalue()


@LANGUAGES
def test_rows_that_come_back_open_as_words(language: str, service: str, tmp_path: Path) -> None:
    sent = written([["_note", "tyre"], *([formula, formula] for formula in FORMULAS)])
    given = requests.post(
        f"{service}/v1/tyre.csv", sent.encode(), headers={"Content-Type": "text/csv"}, timeout=10
    ).content
    shown = {}
    for name, content in (("sent", sent.encode()), ("given", given)):
        (folder := tmp_path / name).mkdir()
        (folder / f"{name}.csv").write_bytes(content)
        shown[name] = session(folder, language, folder / f"{name}.csv")["shown"][0]
    for row, formula in enumerate(FORMULAS, 2):
        for column in "AB":
            assert str(shown["given"][f"given.{column}{row}"]).endswith(formula.strip()), formula
    assert shown["sent"]["sent.A2"] == 2.0, "unchanged, the first would have been run"


def test_the_function_for_google_gives_words_that_are_no_formulas(service: str) -> None:
    """And a function's value is never read as a formula there (from memory)."""
    rows = [[formula, 4.1, "4.46, 2.61", formula] for formula in FORMULAS]
    given = gearing(
        service, "crawl", "crawl_ratio,crawl_limited_by", [["tyre", "axle_ratio", "gear_ratios", ""], *rows]
    )
    assert [str(line[0])[:30] for line in given] == ["#ERR tyre is not a tyre size: "[:30]] * len(rows)
