"""Sizes as people find them printed: read with the right diameter, or refused; never another diameter.

`sizes.csv` names where each string stands. Where the source prints a diameter it is the expected one, to
within the rounding of the standards (1.6 mm) or what the source itself allows; else the diameter is worked
out here a second, plainer way. Entries of the product registry are written as its labels print them: size,
load index, speed symbol and load version, or in the fuller form that the entry gives beside them.
"""

import csv
import re
from pathlib import Path

from gearing_api.tyre_sizes import SizeError, read

ROUNDING = 1.6  # mm, as published for design diameters of metric sizes
ALLOWED = {"GOST R 52899-2007": 0.015}  # of the diameter, where the source's own bounds are wider

# Their diameter does not follow from the string: a width names no height, a letter names a load.
WITHOUT_DIAMETER = {
    "12.5 R20", "H78-15", "F78-15", "L60-15", "7.60-15", "12.4-24", "18.4R38", "10-16.5", "6.00-16",
    "6.50R16", "9.00R16", "7.00R15", "650R16C 108/107 M", "7,50R20", "7,50-20",
}  # fmt: skip


def rows() -> list[dict[str, str]]:
    lines = (Path(__file__).parent / "sizes.csv").read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


ROWS = rows()


def diameter_by_hand(text: str) -> float | None:
    """The diameter in mm from the first three numbers, where they name width, aspect and rim, or height."""
    numbers = [float(number) for number in re.findall(r"\d+(?:[.,]\d+)?", text.replace(",", "."))]
    if re.match(r'\s*\d{2}(\.5)?"? ?[xX×/]', text):
        return numbers[0] * 25.4
    if re.match(r"[A-Za-z ]{0,3}\d{3} ?[/ -] ?\d{2,3}\D", text):
        return 25.4 * numbers[2] + 2 * numbers[0] * numbers[1] / 100
    if re.match(r"[1-3]\d5 ?[A-Z]", text):
        return 25.4 * numbers[1] + 2 * numbers[0] * 0.8
    return None


def test_there_are_enough_sizes_each_with_its_source() -> None:
    assert len({row["text"] for row in ROWS}) >= 400
    assert all(row["source"] and row["kind"] for row in ROWS)
    assert len({row["text"] for row in ROWS if "published" in row["kind"]}) >= 400


def test_no_size_is_misread() -> None:
    assert {row["text"]: wrong for row in ROWS if (wrong := misread(row))} == {}


def misread(row: dict[str, str]) -> str:
    """What is wrong with a size as it is read, if anything. A size may be refused."""
    try:
        tyre = read(row["text"])
    except SizeError:
        return ""
    if row["text"] in WITHOUT_DIAMETER:
        return "read, though nobody can know its diameter"
    expected = float(row["diameter [mm]"] or diameter_by_hand(row["text"]) or 0)
    if not expected:
        return "" if tyre.form == "numeric" else "its diameter stands in no published table"
    allowed = ALLOWED.get(row["source"].partition(",")[0], 0) if row["diameter [mm]"] else 0
    near = abs(tyre.diameter * 1e3 - expected) <= max(ROUNDING, allowed * expected)
    return "" if near else f"{tyre.diameter * 1e3:.1f} mm instead of {expected:g} mm"


def test_nearly_all_sizes_with_a_diameter_are_read() -> None:
    with_diameter = [row["text"] for row in ROWS if row["text"] not in WITHOUT_DIAMETER]
    refused = []
    for text in with_diameter:
        try:
            read(text)
        except SizeError:
            refused.append(text)
    assert len(refused) <= 0.03 * len(with_diameter), refused
