"""Regear: axle ratios ranked. Whole answers here are regressions, our own values."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api import tables, units
from gearing_api.formats.document import Document, document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.units import System
from gearing_api.vehicle import demo_truck
from gearing_api.vehicle.targets import Target, is_zero, shortfall
from gearing_api.vocabulary import InvalidBuild
from tests.builds import EXAMPLES

QUESTION = QUESTIONS["regear"]
TRUCK: dict[str, Any] = {
    "tyre": "35 in", "original_tyre": "31.5 in", "original_axle_ratio": 3.6, "transfer_ratios": [1, 2.5],
    "gear_ratios": [4, 2.3, 1.5, 1, 0.8], "vehicle_mass": 5000, "peak_power": "180 hp",
    "peak_power_speed": 4500, "available_ratios": [3.5, "41/10", 4.3, "45/9"], "target_crawl_ratio": 42,
    "drag_area": "1.4 m2", "rolling_resistance": 0.015, "cruise_reserve_percent": 0,
    "driveline_efficiency": 0.9, "front_axle_share": 0.5,
}  # fmt: skip
QUICK = settings(max_examples=60, deadline=None)
OTHERS = ("final-drive", "road-speed", "cruise", "crawl", "ring-gear-load")
NO_ORIGINAL = {"original_tyre": None, "original_axle_ratio": None}


def regear(system: System = "us", /, **changes: Any) -> Document:
    raw = {name: value for name, value in (TRUCK | changes).items() if value is not None}
    build = read_build(raw, system)
    return document(QUESTION, build, ask(QUESTION, build))


def codes(made: Document) -> set[str]:
    return {caution["code"] for caution in made["cautions"]}


def column(made: Document, name: str) -> list[Any]:
    place = made["table"]["columns"].index(name)
    return [row[place] for row in made["table"]["rows"]]


def test_whole_answer() -> None:
    """Ratios and speeds follow by plain proportion; the grades are our own values."""
    made = regear()
    assert made["result"].pop("recommended_meets") == "all"
    assert made["result"] == pytest.approx(
        {
            "restoring_ratio": 4.0,
            "recommended_ratio": 4.3,
            "lowest_ratio_for_cruise": 3.6,
            "highest_ratio_for_cruise": 4.4,
            "lowest_ratio_for_crawl": 4.2,
        }
    )
    assert made["result_units"] == dict.fromkeys(QUESTION.results, "")
    assert made["table"]["columns"] == list(QUESTION.table)
    assert made["table"]["units"] == ["", "", "", "", "%", "rpm", "%", "", "mph", "", "s", "%", "", "", ""]
    rows = made["table"]["rows"]
    assert [[None if cell is None else round(cell, 2) for cell in row[:10]] for row in rows] == [
        [4.3, None, None, 3.87, 7.5, 2211.91, 4.99, 43.0, 1.65, None],
        [4.1, 41, 10, 3.69, 2.5, 2109.03, 4.52, 41.0, 1.73, None],
        [5.0, 45, 9, 4.5, 25.0, 2571.99, 6.57, 50.0, 1.42, None],
        [3.5, None, None, 3.15, -12.5, 1800.39, 3.06, 35.0, 2.02, None],
    ]
    assert [row[12:] for row in rows] == [
        [
            None,
            "all",
            "Meets engine speed 2212 rpm (1852 to 2263), grade held 5.0 % (3.0 or more), crawl ratio 43.0 "
            "(42.0 or more); engine 7.5 % faster than the original.",
        ],
        [
            True,
            "some",
            "Meets engine speed 2109 rpm (1852 to 2263), grade held 4.5 % (3.0 or more); misses crawl ratio "
            "41.0 (42.0 or more); engine 2.5 % faster than the original.",
        ],
        [
            False,
            "some",
            "Meets grade held 6.6 % (3.0 or more), crawl ratio 50.0 (42.0 or more); misses engine speed 2572 "
            "rpm (1852 to 2263); engine 25.0 % faster than the original.",
        ],
        [
            None,
            "some",
            "Meets grade held 3.1 % (3.0 or more); misses engine speed 1800 rpm (1852 to 2263), crawl ratio "
            "35.0 (42.0 or more); engine 12.5 % slower than the original.",
        ],
    ]
    assert made["assumed"]["cruise_engine_speed_range"] == pytest.approx([1851.83, 2263.35], rel=1e-5)
    assert codes(made) == {
        "construction-assumed", "not-judged", "engine-from-peaks", "both-axles", "carrier",
        "speedometer",
    }  # fmt: skip


def test_figures_are_those_of_the_other_questions() -> None:
    build = {
        name: value for name, value in TRUCK.items() if name not in ("available_ratios", "target_crawl_ratio")
    }
    strength = {"ring_gear_diameter": 9, "original_ring_gear_diameter": 8, "peak_torque": 250,
                "peak_torque_speed": 2400, "peak_power": "190 hp", "axle_ratio": 3.6}  # fmt: skip
    made = regear(**strength)
    for ratio, row in zip(column(made, "axle_ratio"), made["table"]["rows"], strict=True):
        fitted = read_build(build | strength | {"axle_ratio": ratio})
        known = {
            name: value
            for other in OTHERS
            for name, value in document(QUESTIONS[other], fitted, ask(QUESTIONS[other], fitted))[
                "result"
            ].items()
        }
        cells = dict(zip(made["table"]["columns"], row, strict=True))
        for name in (
            "effective_ratio",
            "steepest_grade_percent",
            "crawl_ratio",
            "crawl_speed",
            "ring_gear_load_index",
        ):
            assert cells[name] == pytest.approx(known[name], rel=1e-12), name
        assert cells["change_percent"] == pytest.approx(known["engine_speed_change_percent"], abs=1e-9)
        assert made["result"]["restoring_ratio"] == known["restoring_ratio"]


def test_common_pairs_are_taken_where_none_are_given() -> None:
    made = regear(available_ratios=None)
    pairs = tables.table("ring-pinion-pairs")
    rows = zip(column(made, "ring_teeth"), column(made, "pinion_teeth"), strict=True)
    columns = (pairs.column(name) for name in ("ring_teeth", "pinion_teeth", "common"))
    common = [(ring, pinion) for ring, pinion, common in zip(*columns, strict=True) if common == "yes"]
    assert sorted(rows) == sorted(common)
    assert column(made, "teeth_hunt") == [True] * 18
    assert "common-pairs" in codes(made)


def test_equal_candidates_are_ordered_by_nearness() -> None:
    made = regear(available_ratios=[4.4, 3.7, 4.2, 3.9], target_crawl_ratio=None)
    assert column(made, "meets") == ["all"] * 4
    assert column(made, "axle_ratio") == [3.9, 4.2, 3.7, 4.4]


def test_targets_come_before_nearness() -> None:
    made = regear(available_ratios=[4.0, 4.4])
    assert column(made, "axle_ratio") == [4.4, 4.0]
    assert column(made, "meets") == ["all", "some"]
    assert made["result"]["recommended_meets"] == "all"
    assert regear(available_ratios=[4.0])["result"]["recommended_meets"] == "some"


def test_a_miss_of_all_targets_is_said() -> None:
    made = regear(available_ratios=[2.0], hold_grade_percent=20)
    assert column(made, "meets") == ["none"]
    assert made["result"]["recommended_meets"] == "none"
    assert column(made, "reason")[0].startswith("Misses engine speed 1029 rpm (1852 to 2263), grade held -1.")
    assert made["result"]["recommended_ratio"] == 2.0
    assert "none-meets" in codes(made)
    assert made["verdict"] == "check"


def test_of_ratios_that_miss_the_one_with_the_least_shortfall_comes_first() -> None:
    """The build of the start page, of which 4.56 is nearer to a crawl ratio of 70 than 4.1."""
    build = read_build(demo_truck.TRUCK | {"target_crawl_ratio": 70, "available_ratios": "4.1,4.56"})
    made = document(QUESTION, build, ask(QUESTION, build))
    assert made["result"]["recommended_ratio"] == 4.56


@settings(max_examples=250 * EXAMPLES, deadline=None)
@given(st.data())
def test_no_ratio_beats_the_first_in_its_shortfalls(data: st.DataObject) -> None:
    """Nowhere worse and somewhere better: then it would stand first."""
    draw = data.draw
    made = regear(
        available_ratios=draw(st.lists(st.floats(2, 8), min_size=2, max_size=5, unique=True)),
        target_crawl_ratio=draw(st.floats(5, 300)),
        target_crawl_speed=draw(st.floats(0.2, 6)),
        cruise_engine_speed_range=sorted(draw(st.tuples(st.floats(900, 2900), st.floats(3000, 4000)))),
        hold_grade_percent=draw(st.floats(0, 30)),
        vehicle_mass=draw(st.floats(2000, 12000)),
    )
    wanted = made["given"] | made["assumed"]
    least, most = wanted["cruise_engine_speed_range"]

    def shortfalls(row: dict[str, Any]) -> list[float]:
        engine, grade = row["cruise_engine_speed"], row["steepest_grade_percent"]
        hold = wanted["hold_grade_percent"]
        part = hold if hold > 1e-4 else spread([other["steepest_grade_percent"] for other in rows])
        return [
            max(0.0, (least - engine) / least, (engine - most) / most),
            max(0.0, (hold - grade) / part) if grade is not None else float("inf"),
            max(0.0, 1.0 - row["crawl_ratio"] / wanted["target_crawl_ratio"]),
            max(0.0, row["crawl_speed"] / wanted["target_crawl_speed"] - 1.0),
        ]

    rows = [dict(zip(made["table"]["columns"], row, strict=True)) for row in made["table"]["rows"]]
    first, *others = map(shortfalls, rows)
    for other in others:
        no_worse = all(theirs <= ours for theirs, ours in zip(other, first, strict=True))
        better = any(theirs < ours - 1e-9 for theirs, ours in zip(other, first, strict=True))
        assert not (no_worse and better), (first, other)


def spread(values: list[float | None]) -> float:
    known = [value for value in values if value is not None]
    return (max(known) - min(known) if known else 0.0) or 1.0


def test_a_hub_reduction_turns_the_engine_faster() -> None:
    """The build of the start page with hub boxes of 1.5: half as fast again, less the taller tyre."""
    build = read_build(demo_truck.TRUCK | {"hub_ratio": 1.5, "available_ratios": "4.1,4.56"})
    made = document(QUESTION, build, ask(QUESTION, build))
    changes = dict(zip(column(made, "axle_ratio"), column(made, "change_percent"), strict=True))
    assert changes[4.1] == pytest.approx(48.2, abs=0.1)


def test_without_the_original_the_middle_of_the_range_is_aimed_at() -> None:
    made = regear(**NO_ORIGINAL, cruise_engine_speed_range="1800,2200", target_crawl_ratio=None)
    result = made["result"]
    middle = 0.5 * (result["lowest_ratio_for_cruise"] + result["highest_ratio_for_cruise"])
    off = [abs(ratio - middle) for ratio in column(made, "axle_ratio")[:2]]
    assert off == sorted(off)
    assert "the middle of the engine speeds wanted" in column(made, "reason")[0]
    assert result["restoring_ratio"] is None
    assert column(made, "effective_ratio") == column(made, "change_percent") == [None] * 4


def test_without_anything_to_aim_at_the_smallest_ratio_comes_first() -> None:
    made = regear(**NO_ORIGINAL)
    assert column(made, "axle_ratio") == [4.3, 5.0, 4.1, 3.5]
    assert (
        column(made, "reason")[0] == "Meets grade held 5.0 % (3.0 or more), crawl ratio 43.0 (42.0 or more)."
    )


def test_without_anything_to_judge_by_nothing_is_recommended() -> None:
    made = regear(**NO_ORIGINAL, target_crawl_ratio=None, vehicle_mass=None)
    assert made["result"] == dict.fromkeys(QUESTION.results)
    assert column(made, "meets") == column(made, "reason") == [None] * 4
    assert column(made, "axle_ratio") == [3.5, 4.1, 4.3, 5.0]
    said = " ".join(caution["text"] for caution in made["cautions"])
    assert "Not judged, for lack of fields: cruise, grade, crawl, ring gear." in said


def test_only_the_original_tyre_is_enough_for_the_effective_ratio() -> None:
    made = regear(original_axle_ratio=None)
    assert made["result"]["restoring_ratio"] is None
    assert column(made, "effective_ratio")[0] == pytest.approx(0.9 * column(made, "axle_ratio")[0])


def test_final_drive_gives_the_restoring_ratio_under_the_same_condition() -> None:
    question = QUESTIONS["final-drive"]
    for original, known in (({}, None), ({"original_tyre": "33 in"}, 4.1 * 35 / 33)):
        build = read_build({"tyre": "35 in", "axle_ratio": 4.1, "gear_ratios": "4,2,1", **original})
        ratios = [
            document(asked, build, ask(asked, build))["result"]["restoring_ratio"]
            for asked in (question, QUESTION)
        ]
        assert ratios == [known, known] if known is None else ratios == pytest.approx([known, known])


def test_the_fitted_ratio_stands_for_the_original() -> None:
    made = regear(original_axle_ratio=None, axle_ratio=3.6)
    assert made["result"] == regear()["result"]
    assert made["assumed"]["original_axle_ratio"] == 3.6


def test_crawl_speed_is_a_target_too() -> None:
    made = regear(target_crawl_ratio=None, target_crawl_speed="1.6 mph")
    lowest = made["result"]["lowest_ratio_for_crawl"]
    slow = [speed <= 1.6 for speed in column(made, "crawl_speed")]
    assert slow == [ratio >= lowest for ratio in column(made, "axle_ratio")]
    assert any(slow)
    both = regear(target_crawl_speed="1.6 mph")["result"]["lowest_ratio_for_crawl"]
    assert both == max(lowest, regear()["result"]["lowest_ratio_for_crawl"])


def test_ring_gear_is_judged_when_its_fields_are_there() -> None:
    strength = {"peak_torque": 250, "peak_torque_speed": 2400, "peak_power": "190 hp"}
    assert column(regear(**strength), "ring_gear_load_index") == [None] * 4
    same = regear(**strength, ring_gear_load_limit=1)
    larger = regear(**strength, ring_gear_diameter=10, original_ring_gear_diameter=8)
    for made in (same, larger):
        assert len({round(index, 9) for index in column(made, "ring_gear_load_index")}) == 1, "grip limits it"
        assert not any("ring-gear load index" in reason for reason in column(made, "reason"))
        assert "estimate" in codes(made)
    assert "same-with-every-ratio" in codes(same) - codes(larger)
    weak = regear(peak_torque=60, peak_torque_speed=None, ring_gear_load_limit=1.05)
    for index, reason in zip(column(weak, "ring_gear_load_index"), column(weak, "reason"), strict=True):
        met, _, missed = reason.partition("isses ")
        assert ("ring-gear load index" in met) == (index <= 1.05)
        assert ("ring-gear load index" in missed) == (index > 1.05)
    assert max(column(larger, "ring_gear_load_index")) < min(column(same, "ring_gear_load_index"))


def test_overtaking_and_fuel_are_judged_where_they_are_asked_for() -> None:
    asked = {"target_overtaking_time": 6, "target_fuel_change_percent": 1}
    for target, told in zip(asked, ("overtaking time", "fuel change"), strict=True):
        build = read_build(demo_truck.TRUCK | {target: asked[target]})
        made = document(QUESTION, build, ask(QUESTION, build))
        assert all(told in reason for reason in column(made, "reason"))
        value = column(made, target.removeprefix("target_"))
        met = [f"{told} " in reason.partition("isses ")[0] for reason in column(made, "reason")]
        assert met == [each <= asked[target] for each in value]
        assert {*met} == {True, False}


def test_a_ratio_that_takes_the_engine_out_of_its_speeds_holds_no_grade() -> None:
    made = regear(available_ratios=[4.0, 12.0])
    assert column(made, "steepest_grade_percent")[1] is None
    assert "grade held not known (3.0 or more)" in column(made, "reason")[1]
    assert "top-gear-out" in codes(made)


@QUICK
@given(st.floats(200, 5000), st.floats(1.01, 3), st.floats(5, 200), st.floats(25, 45))
def test_ratios_computed_from_a_target_meet_it(low: float, wide: float, crawl: float, tyre: float) -> None:
    wanted = {"tyre": f"{tyre:.6f} in", "cruise_engine_speed_range": [low, low * wide],
              "target_crawl_ratio": crawl, "target_crawl_speed": 1.5}  # fmt: skip
    result = regear(**wanted)["result"]
    cruise = [result["lowest_ratio_for_cruise"], result["highest_ratio_for_cruise"]]
    if all(1 <= ratio <= 20 for ratio in cruise):
        reasons = column(regear(**wanted, available_ratios=cruise), "reason")
        assert all("engine speed" not in reason.partition("isses ")[2] for reason in reasons)
    if 1 <= result["lowest_ratio_for_crawl"] <= 20:
        (reason,) = column(regear(**wanted, available_ratios=[result["lowest_ratio_for_crawl"]]), "reason")
        assert "crawl" not in reason.partition("isses ")[2]


@QUICK
@given(
    st.lists(st.floats(2, 8), min_size=2, max_size=8),
    st.floats(20, 70),
    st.floats(0, 12),
    st.floats(28, 40),
    st.booleans(),
)
def test_the_recommended_ratio_is_never_beaten_on_every_column(
    ratios: list[float], crawl: float, grade: float, tyre: float, original: bool
) -> None:
    """By no other candidate: nearer to what is aimed at, and nearer to every target at once."""
    made = regear(
        available_ratios=ratios,
        target_crawl_ratio=crawl,
        hold_grade_percent=grade,
        tyre=f"{tyre:.6f} in",
        cruise_engine_speed_range=None if original else [1500, 2500],
        **({} if original else NO_ORIGINAL),
    )
    result = made["result"]
    low, high = result["lowest_ratio_for_cruise"], result["highest_ratio_for_cruise"]
    aim = result["restoring_ratio"] if original else 0.5 * (low + high)

    def off(place: int) -> tuple[float, ...]:
        ratio = column(made, "axle_ratio")[place]
        held = column(made, "steepest_grade_percent")[place]
        return (
            abs(ratio - aim),
            max(low - ratio, ratio - high, 0.0),
            max(crawl - column(made, "crawl_ratio")[place], 0.0),
            100.0 if held is None else max(grade - held, 0.0),
        )

    assert result["recommended_ratio"] == column(made, "axle_ratio")[0]
    best = off(0)
    for place in range(1, len(ratios)):
        assert not all(other < own for other, own in zip(off(place), best, strict=True))


@QUICK
@given(st.lists(st.floats(2, 8), min_size=2, max_size=8, unique=True))
def test_a_deeper_ratio_never_lowers_engine_speed_or_crawl_ratio(ratios: list[float]) -> None:
    made = regear(available_ratios=ratios)
    rows = sorted(zip(*(column(made, name) for name in ("axle_ratio", "cruise_engine_speed", "crawl_ratio")),
                      strict=True))  # fmt: skip
    for name in (1, 2):
        assert [row[name] for row in rows] == sorted(row[name] for row in rows)


@pytest.mark.parametrize(
    ("ratio", "told"),
    [
        (4.0 * 1.00048, "; same engine speed as the original."),
        (4.0 * 1.00052, "; engine 0.1 % faster than the original."),
        (4.0 / 1.00052, "; engine 0.1 % slower than the original."),
    ],
)
def test_a_change_that_one_decimal_does_not_show_is_none(ratio: float, told: str) -> None:
    assert column(regear(available_ratios=[ratio]), "reason")[0].endswith(told)


class TestTargets:
    """The rule of the order, on figures made up: nothing of a vehicle."""

    @staticmethod
    def target(*values: float, **bounds: float) -> Target:
        ends: Any = {name: np.float64(bound) for name, bound in bounds.items()}
        return Target("made up", units.NUMBER, 1, np.array(values), **ends)

    def test_a_figure_at_its_bound_meets_it(self) -> None:
        assert self.target(-0.1, 0.0, 0.1, least=0.0).met().tolist() == [False, True, True]
        assert self.target(-0.1, 0.0, 0.1, most=0.0).met().tolist() == [True, True, False]
        assert self.target(41.0, 42.0, 43.0, least=42.0).met().tolist() == [False, True, True]
        assert self.target(1.9, 2.0, 2.1, most=2.0).met().tolist() == [True, True, False]

    def test_what_is_the_same_with_every_candidate_is_not_judged(self) -> None:
        assert not self.target(0.0, 0.0, least=1.0).judge().varies
        assert not self.target(3.0, 3.0, least=4.0).judge().varies
        assert self.target(0.0, 1e-6, least=1.0).judge().varies
        assert self.target(0.0, least=1.0).judge().varies, "there is no other"

    @pytest.mark.parametrize(
        ("spread", "short"), [(0.0, 3.0), (0.5, 6.0), (6.0, 0.5)], ids=["all alike", "small", "large"]
    )
    def test_a_miss_of_a_bound_of_zero_counts_in_parts_of_the_spread(
        self, spread: float, short: float
    ) -> None:
        assert shortfall(np.array([-3.0, 0.0]), np.float64(0.0), None, np.float64(spread)).tolist() == [
            short,
            0.0,
        ]  # type: ignore[arg-type]

    def test_a_bound_up_to_a_millionth_counts_as_zero(self) -> None:
        for bound, zero in ((0.0, True), (1e-6, True), (-1e-6, True), (1.05e-6, False)):
            assert is_zero(bound) == zero
            (short,) = shortfall(np.array([-1.0]), np.float64(bound), None, np.float64(2.0))  # type: ignore[arg-type]
            assert (short < 1.0) == zero, "in parts of the bound it is beyond every other"


def test_metric_reasons() -> None:
    made = regear("metric", vehicle_mass="5000 lb", cruise_speed="65 mph", target_crawl_speed="2.6 km/h")
    assert "crawl speed 2.65 km/h (2.60 or less)" in column(made, "reason")[0]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"redline_speed": 1000, "idle_speed": 1000}, "redline_speed"),
        ({"cruise_engine_speed_range": "2500,2000"}, "cruise_engine_speed_range"),
        ({"available_ratios": "4.1,41-10"}, "available_ratios"),
        ({"peak_torque": 100, "peak_torque_speed": 2500}, "peak_torque"),
        ({"gear_ratios": None}, "gear_ratios"),
        ({"tyre": None, "original_tyre": None}, "tyre"),
        ({"loads": "200:380", "wheelbase": 109}, "loads"),
    ],
)
def test_refused_by_field(changes: dict[str, Any], field: str) -> None:
    raw = {name: value for name, value in (TRUCK | changes).items() if value is not None}
    with pytest.raises(InvalidBuild) as refused:
        ask(QUESTION, read_build(raw))
    assert [fault.field for fault in refused.value.faults] == [field]


def test_what_the_fuel_before_is_read_from_is_told_as_read() -> None:
    """And only where fuel can be compared."""
    for displacement, read in (("3.6 L", True), (None, False)):
        made = regear(original_drag_area="1 m2", engine_displacement=displacement)
        assert ("original_drag_area" in made["given"]) is read
