"""The served tables: each as JSON and CSV, every row with its source, equal to what the code rests on."""

import csv
import io
import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api import tables
from gearing_api.fields import Choice, Number
from gearing_api.http import served_tables
from gearing_api.questions import QUESTIONS
from gearing_api.units import QUANTITIES, SYSTEMS, number
from gearing_api.vocabulary import FIELDS, RESULTS

EACH_TABLE = pytest.mark.parametrize("name", served_tables.NAMES)
KINDS = {*tables.KINDS, "computed"}


def table(client: FlaskClient, name: str) -> list[dict[str, Any]]:
    """The rows of a table by their headings."""
    served = client.get(f"/v1/tables/{name}").get_json()
    return [dict(zip(served["columns"], row, strict=True)) for row in served["rows"]]


def test_the_directory_lists_every_table(client: FlaskClient) -> None:
    listed = client.get("/v1/tables").get_json()
    rows = [dict(zip(listed["columns"], row, strict=True)) for row in listed["rows"]]
    assert [row["name"] for row in rows] == list(served_tables.NAMES)
    assert set(tables.names()) | {"units", "fields", "results"} <= set(served_tables.NAMES)
    for row in rows:
        served = client.get(row["address"]).get_json()
        assert served["about"] == row["about"]
        assert len(served["rows"]) == row["rows"]


@EACH_TABLE
def test_a_table_is_whole_and_every_row_has_its_source(client: FlaskClient, name: str) -> None:
    served = client.get(f"/v1/tables/{name}.json").get_json()
    assert served["table"] == name
    assert served["about"].strip()
    assert len(served["columns"]) == len(set(served["columns"])) == len(served["units"])
    assert served["rows"]
    kind, source = served["columns"].index("kind"), served["columns"].index("source")
    for row in served["rows"]:
        assert len(row) == len(served["columns"])
        if name == "fields" and not row[kind]:
            assert not row[source], "plain input needs no source"
            continue
        assert row[kind] in KINDS, row
        assert row[source].strip(), row


@EACH_TABLE
def test_csv_has_the_same_cells(client: FlaskClient, name: str) -> None:
    response = client.get(f"/v1/tables/{name}.csv")
    assert response.content_type == "text/csv; charset=utf-8; header=present"
    assert client.get(f"/v1/tables/{name}", headers={"Accept": "text/csv"}).data == response.data
    served = client.get(f"/v1/tables/{name}").get_json()
    headings, *rows = csv.reader(io.StringIO(response.text, newline=""))
    assert headings == served["columns"]
    assert len(rows) == len(served["rows"])
    for cells, row in zip(rows, served["rows"], strict=True):
        for cell, value in zip(cells, row, strict=True):
            if isinstance(value, bool):
                assert cell == str(value).upper()
            elif isinstance(value, int | float):
                assert float(cell) == value
            else:
                assert cell in ((value or ""), f"'{value}")


@EACH_TABLE
def test_a_table_suits_a_spreadsheet_of_another_locale(client: FlaskClient, name: str) -> None:
    plain = list(csv.reader(io.StringIO(client.get(f"/v1/tables/{name}.csv").text, newline="")))
    text = client.get(f"/v1/tables/{name}.csv?decimal=comma&bom=1&_=1").data.decode("utf-8-sig")
    with_comma = list(csv.reader(io.StringIO(text, newline=""), delimiter=";"))
    assert len(with_comma) == len(plain)
    for ours, theirs in zip(plain, with_comma, strict=True):
        for cell, other in zip(ours, theirs, strict=True):
            assert other.replace(",", ".") == cell.replace(",", ".")


@EACH_TABLE
def test_a_table_is_kept_and_validated(client: FlaskClient, name: str) -> None:
    for suffix in ("", ".json", ".csv"):
        first = client.get(f"/v1/tables/{name}{suffix}")
        assert first.headers["Cache-Control"].startswith("public, max-age=")
        again = client.get(f"/v1/tables/{name}{suffix}", headers={"If-None-Match": first.headers["ETag"]})
        assert again.status_code == 304


@EACH_TABLE
def test_no_number_is_lost_on_the_way_out_of_its_file(client: FlaskClient, name: str) -> None:
    if name not in tables.names():
        return
    read, served = tables.table(name), table(client, name)
    for place, row in enumerate(read.rows):
        for column, cell in zip(read.columns, row, strict=True):
            assert served[place][column] == cell


def test_units_are_those_the_reader_takes(client: FlaskClient) -> None:
    rows = table(client, "units")
    assert {row["quantity"] for row in rows} == {quantity.name for quantity in QUANTITIES}
    for quantity in QUANTITIES:
        mine = {row["spelling"]: row for row in rows if row["quantity"] == quantity.name}
        assert {spelling: row["si_value"] for spelling, row in mine.items()} == dict(quantity.factors)
        for spelling, row in mine.items():
            assert number(f"1 {spelling}", quantity, "us") == row["si_value"]
            assert (row["us_unit"], row["metric_unit"]) == (quantity.us, quantity.metric)


def test_fields_are_those_of_the_glossary(client: FlaskClient) -> None:
    rows = table(client, "fields")
    assert [row["name"] for row in rows] == list(FIELDS)
    for row in rows:
        field = FIELDS[row["name"]]
        assert row["meaning"] == field.meaning
        assert row["default"] == field.default
        assert row["instead"] == field.instead
        assert (row["kind"], row["source"]) == field.basis
        users = set(row["questions"].split())
        assert users == {name for name, question in QUESTIONS.items() if field.name in question.fields}
        if isinstance(field.kind, Number):
            for system in SYSTEMS:
                bounds = (row[f"{system}_lowest"], row[f"{system}_highest"])
                assert bounds == field.kind.bounds(system)
                assert row[f"{system}_unit"] == field.kind.quantity.unit(system)
                for end in bounds:
                    field.read(end, system)


def test_results_are_those_of_the_glossary(client: FlaskClient) -> None:
    rows = table(client, "results")
    assert [row["name"] for row in rows] == list(RESULTS)
    for row in rows:
        result = RESULTS[row["name"]]
        assert (row["us_unit"], row["metric_unit"]) == (result.unit("us"), result.unit("metric"))
        assert row["meaning"] == result.meaning


def test_every_result_belongs_to_a_question(client: FlaskClient) -> None:
    for row in table(client, "results"):
        assert row["questions"], f"{row['name']} is in no answer"


def test_surfaces_are_the_choices_of_the_field(client: FlaskClient) -> None:
    assert isinstance(kind := FIELDS["surface"].kind, Choice)
    assert {row["surface"] for row in table(client, "surfaces")} == set(kind.options)


def test_steels_have_the_choices_of_the_fields(client: FlaskClient) -> None:
    names = {row["name"] for row in table(client, "steels")}
    for field in ("inner_steel", "stub_steel"):
        assert isinstance(kind := FIELDS[field].kind, Choice)
        assert set(kind.options) <= names


def test_pairs_have_the_ratio_of_their_teeth(client: FlaskClient) -> None:
    for row in table(client, "ring-pinion-pairs"):
        assert row["axle_ratio"] == pytest.approx(row["ring_teeth"] / row["pinion_teeth"])
        common = any(row["ring_teeth"] % d == 0 == row["pinion_teeth"] % d for d in range(2, 31))
        assert row["teeth_hunt"] is not common


def test_load_indices_and_speed_symbols_are_served_whole(client: FlaskClient) -> None:
    """Load index 0 to 279; 121 is 1450 kg and Q 160 km/h in every published table."""
    loads = {row["load_index"]: row["load_capacity"] for row in table(client, "load-index")}
    assert set(loads) == set(range(280))
    assert loads[121] == 1450
    speeds = {row["speed_symbol"]: row["speed_capability"] for row in table(client, "speed-symbols")}
    assert speeds["Q"] == 160


def test_json_is_plain(client: FlaskClient) -> None:
    for name in served_tables.NAMES:
        assert json.loads(client.get(f"/v1/tables/{name}").data, parse_constant=pytest.fail)
