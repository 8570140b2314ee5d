"""Rows as bytes: the shortest text of each number, one way of writing for all of them."""

import csv
import io
import json
from typing import Any

import numpy as np
import orjson
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from gearing_api.formats.options import OutputOptions
from gearing_api.formats.streams import columns_as_json, csv_heading, csv_rows, ndjson_heading, ndjson_rows
from gearing_api.formats.strict_json import Unfit, parsed

PLAIN, COMMA = OutputOptions(), OutputOptions(decimal_comma=True)
AWKWARD = [
    0.0,
    -0.0,
    1.0,
    -5.0,
    0.1,
    1e16,
    1e22,
    1.5e300,
    5e-324,
    1e-5,
    -1e-7,
    123456789.123,
    2**53 + 1.0,
    np.nan,
    np.inf,
]


def words(*values: Any) -> NDArray[Any]:
    column = np.empty(len(values), dtype=object)
    column[:] = values
    return column


def read(written: bytes, delimiter: str = ",") -> list[list[str]]:
    text = written.decode()
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True))


@given(st.lists(st.floats(width=64), min_size=1, max_size=20), st.booleans(), st.booleans())
@settings(max_examples=200, deadline=None)
def test_each_number_reads_back_to_the_last_bit(values: list[float], comma: bool, failed: bool) -> None:
    options = COMMA if comma else PLAIN
    columns = {"a": np.array(values), "b": np.array(values[::-1]), "c": words(*["x"] * len(values))}
    errors = {0: "why"} if failed else {}
    rows = read(csv_rows(columns, errors, options), options.separator)
    lines = [json.loads(line) for line in ndjson_rows(columns, errors).splitlines()]
    in_json = orjson.loads(b"".join(columns_as_json({}, columns.items())))["columns"]
    assert len(rows) == len(lines) == len(values)
    for place, value in enumerate(values):
        cell = rows[place][0].replace(",", ".") if comma else rows[place][0]
        if np.isfinite(value):
            assert float(cell).hex() == lines[place][0].hex() == in_json["a"][place].hex() == value.hex()
        else:
            assert (cell, lines[place][0], in_json["a"][place]) == ("", None, None)
        assert rows[place][3] == (errors.get(place) or "")
        assert lines[place][3] == errors.get(place)


def test_a_row_is_written_alike_with_errors_beside_it_and_without() -> None:
    columns = {"a": np.array(AWKWARD), "b": np.array(AWKWARD), "c": words(*map(str, AWKWARD))}
    for options in (PLAIN, COMMA):
        alone = csv_rows(columns, {}, options).split(b"\r\n")
        beside = csv_rows(columns, {3: "why"}, options).split(b"\r\n")
        assert [row for place, row in enumerate(alone) if place != 3] == [
            row for place, row in enumerate(beside) if place != 3
        ]
    alone, beside = ndjson_rows(columns, {}).splitlines(), ndjson_rows(columns, {3: "why"}).splitlines()
    assert alone[:3] + alone[4:] == beside[:3] + beside[4:]


def test_blocks_follow_each_other_without_a_seam() -> None:
    columns = {"a": np.array(AWKWARD), "b": words(*AWKWARD)}
    for write in (lambda part: csv_rows(part, {}, PLAIN), lambda part: ndjson_rows(part, {})):
        parts = [
            {name: column[start : start + 4] for name, column in columns.items()} for start in range(0, 15, 4)
        ]
        assert b"".join(map(write, parts)) == write(columns)


def test_columns_stay_in_order() -> None:
    columns = {
        "w": words("x"),
        "a": np.array([1.0]),
        "b": np.array([2.0]),
        "v": words("y"),
        "c": np.array([3.0]),
    }
    assert csv_rows(columns, {}, PLAIN) == b"x,1.0,2.0,y,3.0,\r\n"
    assert ndjson_rows(columns, {}) == b'["x",1.0,2.0,"y",3.0,null]\n'


@pytest.mark.parametrize(
    ("value", "plain", "comma"),
    [
        (None, "", ""),
        ("grip", "grip", "grip"),
        ('say "hi"', '"say ""hi"""', '"say ""hi"""'),
        ("a,b", '"a,b"', "a,b"),
        ("a;b", "a;b", '"a;b"'),
        ("two\nlines", '"two\nlines"', '"two\nlines"'),
        ("=1+1", "'=1+1", "'=1+1"),
        (4.5, "4.5", "4,5"),
        (4, "4", "4"),
        ((1, 2.72), '"1,2.72"', '"1;2,72"'),
        (((1000, 210.5), (2000, 260)), '"1000:210.5,2000:260"', '"1000:210,5;2000:260"'),
    ],
)
def test_words_and_lists(value: Any, plain: str, comma: str) -> None:
    column = {"a": words(value)}
    assert csv_rows(column, {}, PLAIN).decode() == f"{plain},\r\n"
    assert csv_rows(column, {}, COMMA).decode() == f"{comma};\r\n"
    assert json.loads(ndjson_rows(column, {}))[0] == json.loads(json.dumps(value))


def test_no_rows() -> None:
    for columns in ({"a": np.array([])}, {"a": words()}, {"a": np.array([]), "b": words()}):
        assert csv_rows(columns, {}, PLAIN) == ndjson_rows(columns, {}) == b""


def test_headings() -> None:
    assert csv_heading(["a", "b"], PLAIN) == b"a,b,error\r\n"
    assert csv_heading(["a", "b"], COMMA) == b"a;b;error\r\n"
    assert csv_heading(["a"], OutputOptions(byte_order_mark=True)) == b"\xef\xbb\xbfa,error\r\n"
    assert json.loads(ndjson_heading(["a"], ["mph"])) == {"columns": ["a", "error"], "units": ["mph", ""]}


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        (b'{"a": 1, "a": 2}', "twice"),
        (b'[{"b": {"a": 1, "a": 1}}]', "twice"),
        (b"NaN", "NaN"),
        (b"[-Infinity]", "NaN"),
        (b"", "well-formed"),
        (b"{'a': 1}", "well-formed"),
        (b"\xff", "well-formed"),
        (b"[" * 100_000, "well-formed"),
        (b"9" * 5000, "well-formed"),
        (b'"\\ud800"', "well-formed"),
    ],
)
def test_json_that_may_not_be_sent(text: bytes, reason: str) -> None:
    with pytest.raises(Unfit, match=reason):
        parsed(text)


def test_json_that_may() -> None:
    assert parsed(b'\xef\xbb\xbf{"a": [1, 2.5, "x", null, true]}') == {"a": [1, 2.5, "x", None, True]}


@pytest.mark.parametrize("options", [PLAIN, COMMA])
def test_a_last_column_of_one_word_is_written_as_any_other(options: OutputOptions) -> None:
    numbers, words = np.array([1.5, 2.5]), np.array(["a,b;c", "a,b;c"], dtype=object)
    quick = csv_rows({"x": numbers, "word": words}, {}, options)
    slow = csv_rows({"x": numbers, "word": words, "y": numbers}, {}, options)
    assert [row[:2] for row in read(slow, options.separator)] == [
        row[:2] for row in read(quick, options.separator)
    ]
    assert [row[2:] for row in read(quick, options.separator)] == [[""], [""]]
    alone = csv_rows({"word": words}, {}, options)
    assert [row[0] for row in read(alone, options.separator)] == ["a,b;c", "a,b;c"]
