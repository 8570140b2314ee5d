"""Every limit of the settings exactly at it and one beyond."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.batch import columns
from gearing_api.settings import Settings

TYRE = "/v1/tyre"
PLAN: dict[str, Any] = {
    "build": {"tyre": "33 in", "gear_ratios": [4]}, "vary": {"axle_ratio": [4, 5]}, "report": ["crawl_ratio"],
}  # fmt: skip


def asking(**settings: int) -> FlaskClient:
    return create_app(Settings(requests_per_minute=0, **settings)).test_client()  # type: ignore[arg-type]


@pytest.mark.parametrize(("size", "status"), [(1000, 200), (1001, 413)])
def test_rows_and_columns_of_so_many_bytes(size: int, status: int) -> None:
    asked = asking(many_bytes=1000)
    row = "33x12.50R15"
    rows = ("tyre\r\n" + row).encode().ljust(size)
    assert asked.post(TYRE, data=rows, content_type="text/csv").status_code == status
    columns = json.dumps({"columns": {"tyre": [row]}}).ljust(size)
    assert asked.post(f"{TYRE}/batch", data=columns, content_type="application/json").status_code == status


@pytest.mark.parametrize(("rows", "status"), [(5, 200), (6, 413)])
def test_so_many_rows(rows: int, status: int) -> None:
    asked = asking(rows=5)
    csv = "tyre\r\n" + "33 in\r\n" * rows
    assert asked.post(TYRE, data=csv, content_type="text/csv").status_code == status
    assert asked.post(f"{TYRE}/batch", json={"columns": {"tyre": ["33 in"] * rows}}).status_code == status


@pytest.mark.parametrize(("cells", "status"), [(36, 200), (35, 422)])
def test_so_many_cells_of_a_comparison(cells: int, status: int) -> None:
    """Each of twelve rows has the two fields that vary and the result."""
    plan = PLAN | {"vary": {"axle_ratio": [3.5, 4, 4.5, 5], "idle_speed": [600, 700, 800]}}
    assert asking(cells=cells).post("/v1/comparison", json=plan).status_code == status


@pytest.mark.parametrize(("values", "status"), [(6, 422), (5, 413)])
def test_a_body_of_so_many_values_is_read(values: int, status: int) -> None:
    body = json.dumps({"tyre": "x", "gear_ratios": [1, 2, 3]})
    asked = asking(cells=values)
    assert asked.post(f"{TYRE}/batch", data=body, content_type="application/json").status_code == status


@pytest.mark.parametrize(("faults", "left"), [(3, 0), (4, 1)])
def test_so_many_errors_are_listed_and_the_rest_counted(faults: int, left: int) -> None:
    build = {"tyre": "33 in"} | {f"n{place}": 1 for place in range(faults)}
    problem = asking(errors_listed=3).post(TYRE, json=build).get_json()
    assert len(problem["errors"]) == 3
    assert problem.get("errors_not_listed", 0) == left


@pytest.mark.parametrize(("rows", "left"), [(3, 0), (4, 1)])
def test_so_many_rows_with_errors_are_listed_and_the_rest_counted(rows: int, left: int) -> None:
    asked = asking(row_errors_listed=3)
    answer = asked.post(f"{TYRE}/batch", json={"columns": {"tyre": ["x"] * rows}}).get_json()
    assert (len(answer["errors"]), answer["error_count"]) == (3, rows)
    assert answer.get("errors_not_listed", 0) == left


@pytest.mark.parametrize(("columns", "status"), [(500, 200), (501, 422)])
def test_five_hundred_columns_are_read(columns: int, status: int) -> None:
    names = ["tyre", *(f"_{place}" for place in range(columns - 1))]
    csv = ",".join(names) + "\r\n33 in" + "," * (columns - 1) + "\r\n"
    assert asking().post(TYRE, data=csv, content_type="text/csv").status_code == status


@pytest.mark.parametrize(("more", "status"), [(0, 200), (1, 422)])
def test_so_many_different_values_may_be_unreadable(
    more: int, status: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Counted over all columns, however often each value stands there."""
    monkeypatch.setattr(columns, "_MOST_REFUSED", 5)
    ratios = ["no", "none", "never"][: 2 + more] * 2
    rows = "\r\n".join(
        f"x{place % 3},{ratio}" for place, ratio in zip(range(len(ratios)), ratios, strict=True)
    )
    answer = asking().post("/v1/road-speed", data=f"tyre,axle_ratio\r\n{rows}\r\n", content_type="text/csv")
    assert answer.status_code == status
    if more:
        told = answer.get_json()["detail"]
        assert told.startswith("axle_ratio ")
        assert "more than 5 different values cannot be read" in told
