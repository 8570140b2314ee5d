"""Regear: axle ratios ranked. Whole answers here are regressions, our own values."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api import tables
from gearing_api.formats.document import Document, document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.units import System
from gearing_api.vocabulary import InvalidBuild

QUESTION = QUESTIONS["regear"]
TRUCK: dict[str, Any] = {
    "tyre": "35 in", "original_tyre": "31.5 in", "original_axle_ratio": 3.6, "transfer_ratios": [1, 2.5],
    "gear_ratios": [4, 2.3, 1.5, 1, 0.8], "vehicle_mass": 5000, "peak_power": "180 hp",
    "peak_power_speed": 4500, "available_ratios": [3.5, "41/10", 4.3, "45/9"], "target_crawl_ratio": 42,
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
    assert made["table"]["units"] == ["", "", "", "", "%", "rpm", "%", "", "mph", "", "", "", ""]
    rows = made["table"]["rows"]
    assert [[None if cell is None else round(cell, 2) for cell in row[:10]] for row in rows] == [
        [4.3, None, None, 3.87, 7.5, 2211.91, 6.75, 43.0, 1.65, None],
        [4.1, 41, 10, 3.69, 2.5, 2109.03, 6.2, 41.0, 1.73, None],
        [5.0, 45, 9, 4.5, 25.0, 2571.99, 8.58, 50.0, 1.42, None],
        [3.5, None, None, 3.15, -12.5, 1800.39, 4.52, 35.0, 2.02, None],
    ]
    assert [row[10:] for row in rows] == [
        [
            None,
            "all",
            "Meets engine speed 2212 rpm (1852 to 2263), grade held 6.7 % (3.0 or more), crawl ratio 43.0 "
            "(42.0 or more); engine 7.5 % faster than the original.",
        ],
        [
            True,
            "some",
            "Meets engine speed 2109 rpm (1852 to 2263), grade held 6.2 % (3.0 or more); misses crawl ratio "
            "41.0 (42.0 or more); engine 2.5 % faster than the original.",
        ],
        [
            False,
            "some",
            "Meets grade held 8.6 % (3.0 or more), crawl ratio 50.0 (42.0 or more); misses engine speed 2572 "
            "rpm (1852 to 2263); engine 25.0 % faster than the original.",
        ],
        [
            None,
            "some",
            "Meets grade held 4.5 % (3.0 or more); misses engine speed 1800 rpm (1852 to 2263), crawl ratio "
            "35.0 (42.0 or more); engine 12.5 % slower than the original.",
        ],
    ]
    assert made["assumed"]["cruise_engine_speed_range"] == pytest.approx([1851.83, 2263.35], rel=1e-5)
    assert codes(made) == {
        "construction-assumed", "not-judged", "not-known", "engine-from-peaks", "both-axles", "carrier",
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
    assert sorted(rows) == sorted(zip(pairs.column("ring_teeth"), pairs.column("pinion_teeth"), strict=True))
    assert column(made, "teeth_hunt") == [True] * len(pairs.rows)
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
    assert column(made, "reason")[0].startswith("Misses engine speed 1029 rpm (1852 to 2263), grade held 0.")
    assert made["result"]["recommended_ratio"] == 2.0
    assert "none-fits" in codes(made)


def test_without_the_original_the_middle_of_the_range_is_aimed_at() -> None:
    made = regear(**NO_ORIGINAL, cruise_engine_speed_range="1800,2200", target_crawl_ratio=None)
    result = made["result"]
    middle = 0.5 * (result["lowest_ratio_for_cruise"] + result["highest_ratio_for_cruise"])
    off = [abs(ratio - middle) for ratio in column(made, "axle_ratio")[:2]]
    assert off == sorted(off)
    assert "the middle of cruise_engine_speed_range" in column(made, "reason")[0]
    assert result["restoring_ratio"] is None
    assert column(made, "effective_ratio") == column(made, "change_percent") == [None] * 4


def test_without_anything_to_aim_at_the_smallest_ratio_comes_first() -> None:
    made = regear(**NO_ORIGINAL)
    assert column(made, "axle_ratio") == [4.3, 5.0, 3.5, 4.1]
    assert (
        column(made, "reason")[0] == "Meets grade held 6.7 % (3.0 or more), crawl ratio 43.0 (42.0 or more)."
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
    for made, most in ((same, 1.0), (larger, 1.0)):
        for index, reason in zip(column(made, "ring_gear_load_index"), column(made, "reason"), strict=True):
            met, _, missed = reason.partition("isses ")
            assert ("ring-gear load index" in met) == (index <= most)
            assert ("ring-gear load index" in missed) == (index > most)
        assert "estimate" in codes(made)
    assert max(column(larger, "ring_gear_load_index")) < min(column(same, "ring_gear_load_index"))


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
    ],
)
def test_refused_by_field(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InvalidBuild) as refused:
        regear(**changes)
    assert [fault.field for fault in refused.value.faults] == [field]
