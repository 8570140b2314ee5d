"""Ranges as they are asked for: what varies and what does not, ends, what matters most, and what is refused."""

import math
from contextlib import suppress
from typing import Any

import numpy as np
import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings

from gearing_api import tables
from gearing_api.__main__ import main
from gearing_api.answer import Question
from gearing_api.fields import Number
from gearing_api.formats.ranges import two_ends
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS, answer_before, ask, read_build
from gearing_api.ranges import draws
from gearing_api.ranges.bands import LEAST_VALUES, bands_of
from gearing_api.ranges.outcomes import outcomes, point
from gearing_api.ranges.spreads import spread_of
from gearing_api.vehicle.axle_parts import YIELDS
from gearing_api.vocabulary import FIELDS, RESULTS, InvalidBuild, result_named
from tests.builds import EXAMPLES, builds

CRAWL, CRUISE = QUESTIONS["crawl"], QUESTIONS["cruise"]
MEASURED = {
    "tyre": "34.4 in", "axle_ratio": "41/9", "gear_ratios": "4.46,2.61,1.72", "transfer_ratios": "1,2.72",
    "rolling_factor": 3.04, "idle_speed": 750,
}  # fmt: skip
TRUCK = MEASURED | {"tyre": "315/70R17", "vehicle_mass": 5300, "peak_torque": 260}
EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))


def banded(client: FlaskClient, question: Question, **more: object) -> dict[str, Any]:
    response = client.post(f"/v1/{question.name}", json={**question.example, "bands": "1", **more})
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.get_json()
    return answer


@EACH_QUESTION
def test_the_same_request_gives_the_same_bytes(client: FlaskClient, question: Question) -> None:
    address = f"/v1/{question.name}?{demo_query(question)}&bands=1"
    assert client.get(address).data == client.get(address).data


@EACH_QUESTION
def test_only_the_ranges_are_added(client: FlaskClient, question: Question) -> None:
    plain = client.post(f"/v1/{question.name}", json=dict(question.example)).get_json()
    answer = banded(client, question)
    for name in ("verdict", "result", "cautions", "table", "assumed", "original", "change", "absent"):
        assert answer.get(name) == plain.get(name)


@EACH_QUESTION
def test_draws_in_parts_are_those_at_once(question: Question, monkeypatch: pytest.MonkeyPatch) -> None:
    build = read_build(question.example)
    whole = outcomes(question, build.again())
    monkeypatch.setattr("gearing_api.answer._MOST_ITEMS", 300)
    parts = outcomes(question, build.again())
    assert question.at_once(build.values.get) < 512
    assert parts.drawn == whole.drawn
    assert parts.reasons == whole.reasons
    for one, other in ((parts.results, whole.results), (parts.lows, whole.lows), (parts.highs, whole.highs)):
        assert {*one} == {*other}
        for name, column in one.items():
            assert [*map(repr, column)] == [*map(repr, other[name])], name


def test_what_is_measured_has_no_range(client: FlaskClient) -> None:
    answer = client.post("/v1/crawl", json={**MEASURED, "bands": "1"}).get_json()
    assert {*answer["ranges"]} == {"grip_grade_percent"}  # the ground is not measured
    assert answer["shares"] == {}


def test_what_is_printed_or_assumed_has_one(client: FlaskClient) -> None:
    answer = client.post("/v1/crawl", json={**TRUCK, "bands": "1"}).get_json()
    assert "crawl_ratio" not in answer["ranges"]
    low, high = answer["ranges"]["crawl_wheel_torque"]
    assert low < answer["result"]["crawl_wheel_torque"] < high
    assert answer["drivers"]["crawl_wheel_torque"][0]["field"] == "peak_torque"
    assert [driver["field"] for driver in answer["drivers"]["crawl_speed"]] == ["tyre"]


def inside(question: Question, raw: dict[str, object]) -> None:
    """The plain answer lies in its range, but below it where it takes a least value."""
    build = read_build(raw)
    answer = ask(question, build)
    found = bands_of(question, build, answer, answer_before(question, build))
    for name, (low, high) in found.ranges.items():
        value = answer.result.get(name)
        number = math.nan if value is None else float(value)
        assert not low > high, name
        if math.isfinite(number):
            assert not number > high, name
            least = LEAST_VALUES & {field for field, _ in found.drivers[name]}
            assert least or not number < low, name


@EACH_QUESTION
def test_the_plain_answer_lies_in_its_range(question: Question) -> None:
    inside(question, dict(question.example))


@given(builds(QUESTIONS["build-sheet"].needs, QUESTIONS["build-sheet"].uses))
@settings(max_examples=3 * EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_build_has_ranges_or_is_refused(raw: dict[str, object]) -> None:
    with suppress(InvalidBuild):
        inside(QUESTIONS["build-sheet"], raw)


def test_a16_two_builds_share_the_draws_of_what_they_share() -> None:
    """4.10 against 4.56 on one tyre is 0.89912 in every draw; on two tyres it is spread as both of them are."""
    speeds = {
        (ratio, tyre): outcomes(CRAWL, read_build({**MEASURED, "axle_ratio": ratio, "tyre": tyre})).results[
            "crawl_speed"
        ]
        for ratio in (4.10, 4.56)
        for tyre in ("315/70R17", "265/75R16")
    }
    same = speeds[4.56, "315/70R17"] / speeds[4.10, "315/70R17"]
    assert same == pytest.approx(np.full(draws.COUNT, 0.899123), abs=1e-6)
    other = speeds[4.56, "265/75R16"] / speeds[4.10, "315/70R17"]
    assert np.ptp(other) / other.mean() > 0.02
    assert abs(np.corrcoef(speeds[4.56, "265/75R16"], speeds[4.10, "315/70R17"])[0, 1]) < 0.15


def test_a_change_of_what_both_vehicles_share_has_no_range(client: FlaskClient) -> None:
    answer = client.post("/v1/crawl", json={**TRUCK, "original_axle_ratio": 3.73, "bands": "1"}).get_json()
    low, high = answer["ranges"]["change_crawl_speed"]
    assert high - low < 0.03 * abs(low)
    assert low <= answer["change"]["crawl_speed"] <= high


def test_a_range_given_is_drawn_evenly_between_its_ends(client: FlaskClient) -> None:
    answer = client.post(
        "/v1/crawl", json={**MEASURED, "idle_speed": "700 to 800 rpm", "bands": "1"}
    ).get_json()
    plain = client.post("/v1/crawl", json={**MEASURED, "idle_speed": 750}).get_json()
    speed = answer["result"]["crawl_speed"]
    assert speed == plain["result"]["crawl_speed"]
    assert answer["ranges"]["crawl_speed"] == pytest.approx([speed * 705 / 750, speed * 795 / 750], rel=1e-3)
    (driver,) = answer["drivers"]["crawl_speed"]
    assert driver == {"field": "idle_speed", "share": 1.0, "narrower": "read the idle speed"}
    assert [caution["code"] for caution in answer["cautions"] if caution["code"] == "range-given"]
    around = client.post(
        "/v1/crawl", json={**MEASURED, "idle_speed": "750 rpm +- 50", "bands": "1"}
    ).get_json()
    assert around["ranges"] == answer["ranges"]


@pytest.mark.parametrize(
    ("value", "reason"),
    [
        ("5600 to 4900 lb", "has its ends exchanged"),
        ("4900 lb to 2500 kg", "has two units"),
        ("2.4 t +- 100 kg", "has two units"),
        ("100 to 5600 lb", "reaches beyond what is accepted"),
        ("5300 lb +- 200 %", "reaches beyond what is accepted"),
        ("5300 lb +- -5 %", "has less than nothing"),
        ("4900 to heavy lb", "is not a number"),
    ],
)
def test_a_range_that_is_none_is_refused_by_its_field(client: FlaskClient, value: str, reason: str) -> None:
    for address in ("/v1/cruise", "/v1/cruise?bands=1"):
        response = client.post(address, json={**CRUISE.example, "vehicle_mass": value})
        assert response.status_code == 422
        (error,) = response.get_json()["errors"]
        assert error["pointer"] == "/vehicle_mass"
        assert reason in error["detail"]


def test_draws_without_a_value_are_no_end() -> None:
    """Sorting puts NaN last: it is never the high end."""
    column = np.arange(1.0, draws.COUNT + 1.0)
    assert point(column, 0.95) == 487.0
    column[:20] = math.nan
    assert point(column, 0.95) == pytest.approx(488.0, abs=1.0)
    column[:60] = math.nan
    assert math.isnan(point(column, 0.95))
    column[:60] = math.inf
    assert math.isnan(point(column, 0.95))
    assert point(column, 0.05) == 86.0


def test_draws_without_a_value_are_told(client: FlaskClient) -> None:
    answer = banded(client, CRUISE, grade_percent=7.4)
    shares = answer["shares"]["cruise_gear"]
    assert sum(shares.values()) == pytest.approx(1.0, abs=0.005)
    steep = banded(client, CRUISE, grade_percent=18)
    assert "none does" in steep["shares"]["cruise_gear"]
    assert None in steep["ranges"]["cruise_gear"]


def test_whole_rows_are_drawn_only_where_nothing_is_known_of_the_road_load() -> None:
    drivers = {}
    for more in ({}, {"drag_area": "1.2 m2"}, {"rolling_resistance": 0.012}, {"road_load": "40,0.5,0.035"}):
        made = outcomes(CRUISE, read_build({**CRUISE.example, **more}))
        drivers[next(iter(more), "")] = {name for name, _ in made.drawn}
    assert "road_load" in drivers[""]
    assert {"drag_area", "rolling_resistance"}.isdisjoint(drivers[""])
    assert drivers["drag_area"] >= {"rolling_resistance"}
    assert drivers["rolling_resistance"] >= {"drag_area"}
    assert {"road_load", "drag_area", "rolling_resistance"}.isdisjoint(drivers["road_load"])


def test_a18_force_over_weight_of_the_coast_downs() -> None:
    """US EPA Test Car List 2010-2023, four-wheel-drive trucks: 20.4, 25.1, 27.3, 30.0, 33.7 per mille at 50 mph."""
    table = tables.table("coast-down")
    weight, a, b, c = (np.array(table.column(name), float) for name in ("test_weight", "a", "b", "c"))
    force = 1000.0 * (a + 50.0 * b + 2500.0 * c) / weight
    assert len(force) == 352
    assert np.quantile(force, [0.05, 0.25, 0.5, 0.75, 0.95]) == pytest.approx(
        [20.4, 25.1, 27.3, 30.0, 33.7], abs=0.3
    )


def test_every_number_has_draws_of_its_own() -> None:
    """A new field: python -m tests.ranges.make_draws adds its column."""
    columns = {name: draws.unit_draws(name) for name in FIELDS if isinstance(FIELDS[name].kind, Number)}
    columns |= {
        name: draws.unit_draws(name) for name in set(map(str, tables.table("spreads").column("field")))
    }
    for name, column in columns.items():
        assert len(set(np.floor(column * draws.COUNT).tolist())) == draws.COUNT, name
    assert len({column.tobytes() for column in columns.values()}) == len(columns)


def test_every_row_of_the_table_of_spreads_can_hold() -> None:
    words = {str(name) for name in tables.table("surfaces").column("surface")} | set(YIELDS)
    words |= {"", "metric", "flotation", "numeric", "millimetre", "radial", "bias", "roof_height"}
    words |= {"highway", "all-terrain", "mud", "petrol", "petrol-turbo", "diesel", "diesel-turbo"}
    table = tables.table("spreads")
    for field, when, low, mode, high in zip(
        *(table.column(name) for name in ("field", "when", "low", "mode", "high")), strict=True
    ):
        assert str(field) in FIELDS
        assert str(when or "") in words
        assert spread_of(str(field), str(when or "")) is not None
        assert float(str(low)) <= float(str(low if mode is None else mode)) <= float(str(high))


@pytest.mark.parametrize("what", ["tread", "ground"])
def test_spreads_of_rolling_resistance_are_those_of_its_table(what: str) -> None:
    table = tables.table("rolling-resistance")
    rows = zip(
        *(table.column(name) for name in ("what", "name", "rolling_resistance", "low", "high")), strict=True
    )
    spreads = tables.table("spreads")
    told = {
        (field, when): (float(str(low)), float(str(high)))
        for field, when, low, high in zip(
            *(spreads.column(name) for name in ("field", "when", "low", "high")), strict=True
        )
    }
    field = {"tread": "rolling_resistance", "ground": "surface"}[what]
    for kind, name, middle, low, high in rows:
        if kind == what and (field, name) in told:
            ends = [100.0 * (float(str(end)) / float(str(middle)) - 1.0) for end in (low, high)]
            assert told[field, name] == pytest.approx(ends, abs=0.5)


def test_named_cases_are_not_drawn() -> None:
    """The rule of the ring gear, the impact factor, and the end of adhesion taken in strength and climbing."""
    for name in ("ring_gear_diameter", "impact_factor", "joint_rating"):
        assert spread_of(name) is None
    made = outcomes(QUESTIONS["axle-check"], read_build(dict(QUESTIONS["axle-check"].example)))
    assert "adhesion" not in {name for name, _ in made.drawn}
    assert "adhesion" not in {name for name, _ in outcomes(CRAWL, read_build(TRUCK)).drawn}
    match = QUESTIONS["axle-match"]
    made = outcomes(match, read_build({**match.example, "vehicle_mass": 5300}))
    assert "adhesion" in {name for name, _ in made.drawn}


def test_results_that_are_named_are_results(client: FlaskClient) -> None:
    answer = banded(client, QUESTIONS["build-sheet"])
    cruise = answer["parts"]["cruise"]
    assert cruise["ranges"]["power_needed"] == answer["ranges"]["power_needed"]
    assert cruise["ranges"].keys() <= cruise["result"].keys()
    for member in ("ranges", "drivers", "shares"):
        assert {result_named(name).name for name in answer[member]} <= RESULTS.keys()
    shares = [driver["share"] for drivers in answer["drivers"].values() for driver in drivers]
    assert all(0.04 <= share <= 1.05 for share in shares)


def test_a17_each_input_at_its_ends() -> None:
    """Computed: x1 x2 / x3 with 10 +-1, 5 +-0.25 and 2 +-0.3 is 25; 21.74 to 29.41, 22.5 to 27.5, 23.75 to 26.25."""
    inputs = [("idle_speed", None), ("hub_ratio", None), ("axle_ratio", None)]
    ends = draws.Ends(inputs, {}, np.arange(6))
    first, second, third = (
        ends.between(name, middle - half / 0.9, middle + half / 0.9)
        for (name, _), middle, half in zip(inputs, (10.0, 5.0, 2.0), (1.0, 0.25, 0.3), strict=True)
    )
    found = (first * second / third).reshape(3, 2)
    assert sorted(found[2]) == pytest.approx([21.74, 29.41], abs=0.01)
    assert found[0] == pytest.approx([22.5, 27.5], abs=0.01)
    assert found[1] == pytest.approx([23.75, 26.25], abs=0.01)


def test_a_tornado_has_the_longest_bar_first(client: FlaskClient) -> None:
    answer = client.post("/v1/cruise", json={**CRUISE.example, "tornado": "power_needed"}).get_json()
    found = answer["tornado"]
    assert found["plain"] == answer["result"]["power_needed"]
    swings = [abs(high - low) for *_, low, high in found["rows"]]
    assert swings == sorted(swings, reverse=True)
    assert [row[0] for row in found["rows"]][:2] == ["road_load", "driveline_efficiency"]
    assert found["rows"][1][1:3] == ["26 % less", "26 % more"]
    for *_, low, high in found["rows"]:
        assert min(low, high) < found["plain"] < max(low, high)


def test_a_tornado_of_no_number_is_refused(client: FlaskClient) -> None:
    for name in ("power_nedded", "top_speed_limited_by", "crawl_speed"):
        response = client.post("/v1/cruise", json={**CRUISE.example, "tornado": name})
        assert response.status_code == 422
        assert response.get_json()["errors"][0]["pointer"] == "/tornado"


@EACH_QUESTION
def test_a_summary_with_ranges_is_short(client: FlaskClient, question: Question) -> None:
    summary = banded(client, question)["summary"]
    assert len(summary) <= 200
    text = client.get(f"/v1/{question.name}.txt?{demo_query(question)}&bands=1").text
    assert len(text) <= 1900
    assert all(len(line) <= 60 for line in text.splitlines())


def test_words_of_a_range(client: FlaskClient) -> None:
    summary = banded(client, CRUISE)["summary"]
    assert "9 in 10 builds like yours: power needed 62 to 79 hp." in summary
    assert summary.endswith("Time a coast-down both ways: it could halve the range.")
    text = client.get(f"/v1/axle-check.txt?{demo_query(QUESTIONS['axle-check'])}&bands=1").text
    assert "at least 0.75, 0.79 to\n" in text
    assert "weakest part, in 100 builds: ring gear 72, stub shaft 28" in text


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(58.2, 66.4, "58 to 66"), (2461.0, 2540.0, "2460 to 2540"), (4.04, 4.149, "4.04 to 4.15"), (5.0, 6.0, "5 to 6"),
     (-0.003, 0.0041, "-0.0030 to 0.0041"), (None, 3.14159, "up to 3.1"), (12.3, None, "12 or more"), (2.0, 2.0, "2"),
     (None, None, "no ends: too many builds like yours have no value")],
)  # fmt: skip
def test_ends_have_as_many_digits_as_tell_them_apart(
    low: float | None, high: float | None, words: str
) -> None:
    assert two_ends(low, high) == words


def test_before_and_after_may_not_be_told_apart(client: FlaskClient) -> None:
    """Two sizes of nearly one diameter, each spread on its own."""
    build = {
        **TRUCK,
        "tyre": "35x12.50R17LT",
        "original_tyre": "315/70R17",
        "rolling_factor": 3.05,
        "idle_speed": 750,
    }
    answer = client.post("/v1/crawl", json={**build, "bands": "1"}).get_json()
    low, high = answer["ranges"]["change_crawl_speed"]
    assert low < 0.0 < high
    assert "before and after cannot be told apart" in answer["summary"]


def test_targets_are_judged_by_shares_of_the_draws(client: FlaskClient) -> None:
    answer = banded(client, QUESTIONS["regear"], hold_grade_percent=6.5)
    rows = {(ratio, target): (share, judged) for ratio, target, share, judged in answer["targets"]["rows"]}
    assert answer["result"]["recommended_ratio"] == 4.3
    assert (
        answer["verdict"] == banded(client, QUESTIONS["regear"], hold_grade_percent=6.5)["verdict"] == "clear"
    )
    assert rows[4.3, "engine speed"] == (1.0, "met")
    share, judged = rows[4.3, "grade held"]
    assert 0.05 < share < 0.95
    assert judged == "depends on road_load"
    assert rows[4.3, "all targets"][0] <= share
    assert any(judged == "missed" for _, judged in rows.values())
    assert (
        f"meets all targets in {round(100 * rows[4.3, 'all targets'][0])} of 100 builds" in answer["summary"]
    )


def test_the_command_line_has_the_ranges_too(capsys: pytest.CaptureFixture[str]) -> None:
    fields = [f"{name}={value}" for name, value in TRUCK.items()]
    assert main(["answer", "crawl", *fields, "--bands"]) == 0
    assert "in 10 builds like yours" in " ".join(capsys.readouterr().out.split())
    assert main(["answer", "crawl", *fields, "--tornado", "crawl_speed", "--format", "csv"]) == 0
    assert capsys.readouterr().out.startswith("field,low,high,at_low,at_high")
