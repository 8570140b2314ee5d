"""Every combination of varied fields: in order, block by block, sorted and cut as asked."""

import math
from typing import Any, ClassVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.batch import comparisons
from gearing_api.batch.comparison_plans import BLOCK, Plan, labels, read_plan
from gearing_api.batch.comparisons import Block, block, blocks, joined
from gearing_api.questions import OWNERS, ask, read_build
from gearing_api.vocabulary import FIELDS, RESULTS, InvalidBuild

BUILD: dict[str, Any] = {"tyre": "35x12.50R17LT", "gear_ratios": [4.46, 2.61, 1.0]}
VARY: dict[str, Any] = {
    "axle_ratio": [4.1, 4.56, 4.88],
    "transfer_ratios": [[1, 2.72], "1,4", 2],
    "surface": ["ice", "dry-earth"],
    "original_tyre": ["265/70R16", "33.4 in", "7.50R16C", "31x10.50R15"],
}
REPORT = ["crawl_ratio", "grip_grade_percent", "restoring_ratio"]


def plan(**changes: Any) -> Plan:
    raw = {"build": BUILD, "vary": VARY, "report": REPORT} | changes
    return read_plan({name: member for name, member in raw.items() if member is not None})


def refusals(**changes: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidBuild) as refused:
        plan(**changes)
    return [(fault.pointer or f"/{fault.field}", fault.detail) for fault in refused.value.faults]


def whole(of: Plan, size: int = BLOCK) -> Block:
    return joined(blocks(of, size))


def rows(made: Block) -> list[tuple[Any, ...]]:
    columns = [column.tolist() for column in made.columns.values()]
    return list(zip(*columns, strict=True))


def assert_same(one: Block, other: Block) -> None:
    assert list(one.columns) == list(other.columns)
    for name, column in one.columns.items():
        np.testing.assert_array_equal(column, other.columns[name], err_msg=name)
    assert one.faults == other.faults
    assert {told: marks.tolist() for told, marks in one.cautions.items() if marks.any()} == {
        told: marks.tolist() for told, marks in other.cautions.items() if marks.any()
    }
    assert list(one.sources) == list(other.sources)


class TestRows:
    def test_the_first_field_is_slowest(self) -> None:
        made = whole(plan(vary={"axle_ratio": [4.1, 4.56], "idle_speed": [600, 700, 800]}))
        assert [row[:2] for row in rows(made)] == [
            (ratio, idle) for ratio in (4.1, 4.56) for idle in (600, 700, 800)
        ]

    def test_each_row_is_its_build(self) -> None:
        made = whole(plan())
        place = 0
        for axle in VARY["axle_ratio"]:
            for transfer in VARY["transfer_ratios"]:
                for surface in VARY["surface"]:
                    for tyre in VARY["original_tyre"]:
                        raw = BUILD | {
                            "axle_ratio": axle,
                            "transfer_ratios": transfer,
                            "surface": surface,
                            "original_tyre": tyre,
                        }
                        for name in REPORT:
                            single: Any = ask(OWNERS[name], read_build(raw)).result[name]
                            factor = RESULTS[name].quantity.factor("us")  # type: ignore[union-attr]
                            assert made.columns[name][place] == single / factor
                        place += 1
        assert place == made.count == plan().count == 72

    def test_labels_are_the_values_as_they_came(self) -> None:
        made = whole(plan(vary={"transfer_ratios": [[1, 2.72], "1,4", 2], "axle_ratio": [4, 4.56]}))
        assert made.columns["transfer_ratios"].tolist() == [(1, 2.72)] * 2 + ["1,4"] * 2 + [2] * 2
        assert made.columns["axle_ratio"].tolist() == [4.0, 4.56] * 3
        assert labels({"torque_curve": [[[1000, 210], [2000, 260]]]})["torque_curve"].tolist() == [
            ((1000, 210), (2000, 260))
        ]

    def test_columns_are_the_varied_fields_then_the_results_each_once(self) -> None:
        made = plan(report=["crawl_speed", "crawl_ratio", "crawl_speed"], units="metric")
        assert made.columns == (*VARY, "crawl_speed", "crawl_ratio")
        assert list(whole(made).columns) == list(made.columns)
        assert [made.unit(name) for name in made.columns] == ["", "", "", "", "km/h", ""]

    @given(st.integers(1, 80), st.integers(0, 71), st.integers(1, 72))
    @settings(max_examples=40, deadline=None)
    def test_blocks_of_any_size_are_the_whole(self, size: int, start: int, count: int) -> None:
        made = whole(plan())
        assert_same(whole(plan(), size), made)
        stop = min(start + count, 72)
        part = block(plan(), start, stop)
        for name, column in part.columns.items():
            np.testing.assert_array_equal(column, made.columns[name][start:stop])

    def test_refused_rows_cost_no_other(self) -> None:
        vary = {"redline_speed": [5000, 1000], "idle_speed": [700, 1500]}
        build = BUILD | {"axle_ratio": 4.1}
        made = whole(plan(build=build, vary=vary, report=["top_speed", "crawl_ratio"]), 3)
        assert {row: [fault.field for fault in faults] for row, faults in made.faults.items()} == {
            3: ["redline_speed"]
        }
        assert made.told() == {3: "redline_speed must be above idle_speed"}
        assert np.isnan(made.columns["top_speed"]).tolist() == [False, False, False, True]
        assert not np.isnan(made.columns["crawl_ratio"]).any(), "another question still answers"

    def test_cautions_tell_their_rows(self) -> None:
        build = BUILD | {"axle_ratio": 4.1, "redline_speed": 5000}
        made = whole(plan(build=build, vary={"cruise_speed": [50, 190, 200]}, report=["cruise_engine_speed"]))
        marks = {code: where.tolist() for (code, _, _), where in made.cautions.items()}
        assert marks["cruise-above-redline"] == [False, True, True]
        assert marks["geometry-only"] == [True] * 3

    def test_only_the_rows_wanted_are_computed(self, monkeypatch: pytest.MonkeyPatch) -> None:
        computed = []
        monkeypatch.setattr(
            comparisons, "block", lambda *arguments: computed.append(arguments[1:3]) or block(*arguments)
        )
        assert whole(plan(limit=25), 10).count == 25
        assert computed == [(0, 10), (10, 20), (20, 25)]
        assert whole(plan(limit=1000)).count == 72

    @pytest.mark.parametrize("size", [1, 7, 10])
    @pytest.mark.parametrize("start", [0, 3, 100])
    @pytest.mark.parametrize("others", [["35 in"], ["36 in", "37 in"]], ids=["two forms", "one form"])
    def test_values_laid_out_once_are_those_of_each_row(
        self, monkeypatch: pytest.MonkeyPatch, size: int, start: int, others: list[str]
    ) -> None:
        """Fields of one form and of several, of one value, slow ones and fast ones."""
        vary: dict[str, list[Any]] = {
            "tyre": ["LT255/85R16" if len(others) == 1 else "34 in", *others],
            "axle_ratio": [3.5, 4.1, 4.56, 5.13],
            "differential": ["locked"],
            "surface": ["ice", "gravel", "hard-snow"],
            "vehicle_mass": [4000, 5000],
            "transfer_ratios": [[1, 2.7], [1] if len(others) == 1 else [1, 2], [1, 4]],
        }
        build = {"gear_ratios": BUILD["gear_ratios"]}
        every = plan(build=build, vary=vary, report=["crawl_ratio", "crawl_speed", "grip_force"])
        expected = block(every, start, every.count)
        monkeypatch.setattr(comparisons, "BLOCK", 10)
        assert_same(joined(blocks(every, size, start)), expected)
        places = np.unravel_index(np.arange(start, every.count), every.shape)
        for name, place in zip(vary, places, strict=True):
            assert expected.columns[name].tolist() == every.labels[name][place].tolist()

    def test_more_combinations_than_fit_anywhere_are_cut_by_a_limit(self) -> None:
        names = ("axle_ratio", "hub_ratio", "converter_stall_ratio", "impact_factor")
        many = {name: [1 + place / 1000 for place in range(1000)] for name in names}
        made = whole(plan(vary=many, limit=3))
        assert made.columns["impact_factor"].tolist() == [1.0, 1.001, 1.002]


class TestSorted:
    VARY = {"vehicle_mass": [3000, 9000], "peak_torque": ["400 N m", "50 lb-ft", "300 lb-ft"]}  # noqa: RUF012
    REPORT = ["crawl_limited_by", "engine_grade_percent"]  # noqa: RUF012

    def made(self, sort: str | None, limit: int | None = None, size: int = 4) -> list[tuple[Any, ...]]:
        build = BUILD | {"axle_ratio": 3.07, "gear_ratios": [1.0]}
        return rows(
            whole(plan(build=build, vary=self.VARY, report=self.REPORT, sort=sort, limit=limit), size)
        )

    def test_by_a_result(self) -> None:
        up = self.made("engine_grade_percent")
        grades = [row[3] for row in up]
        assert grades == sorted(grades)
        assert self.made("-engine_grade_percent") == up[::-1]

    def test_the_order_of_equals_is_kept(self) -> None:
        masses = [row[0] for row in self.made("vehicle_mass")]
        assert masses == [3000.0] * 3 + [9000.0] * 3
        assert [row[1] for row in self.made("-vehicle_mass")[:3]] == self.VARY["peak_torque"]

    def test_numbers_with_units_by_size(self) -> None:
        assert [row[1] for row in self.made("peak_torque")][::2] == ["50 lb-ft", "400 N m", "300 lb-ft"]

    def test_words(self) -> None:
        build = BUILD | {"axle_ratio": 3.07, "gear_ratios": [1.0], "peak_torque": 600, "vehicle_mass": 9000}
        vary = {"surface": ["dry-earth", "ice", "dry-earth"]}
        made = whole(plan(build=build, vary=vary, report=["crawl_limited_by"], sort="-crawl_limited_by"))
        assert made.columns["crawl_limited_by"].tolist() == ["grip", "engine", "engine"]

    @pytest.mark.parametrize(
        ("sort", "masses"), [("", [9000.0, 7000.0, 1000.0, 2000.0]), ("-", [1000.0, 2000.0, 7000.0, 9000.0])]
    )
    def test_no_limit_is_beyond_every_number(self, sort: str, masses: list[float]) -> None:
        """An engine that pulls more than the vehicle weighs has no steepest grade."""
        build = BUILD | {"axle_ratio": 4.1, "transfer_ratios": [2], "peak_torque": 260}
        vary, grade = {"vehicle_mass": [1000, 9000, 7000, 2000]}, "engine_grade_percent"
        made = whole(plan(build=build, vary=vary, report=[grade], sort=sort + grade))
        assert made.columns["vehicle_mass"].tolist() == masses

    def test_unknown_comes_last_either_way(self) -> None:
        keys = np.array([2.0, np.nan, -np.inf, np.inf])
        assert comparisons._order([(keys, False)]).tolist() == [2, 0, 3, 1]
        assert comparisons._order([(keys, True)]).tolist() == [3, 0, 2, 1]

    def test_refused_rows_come_last_with_their_reason(self) -> None:
        build = BUILD | {"axle_ratio": 4.1, "idle_speed": 1500}
        for sort in ("top_speed", "-top_speed"):
            made = whole(
                plan(
                    build=build, vary={"redline_speed": [4000, 1200, 3000]}, report=["top_speed"], sort=sort
                ),
                2,
            )
            assert made.columns["redline_speed"][2] == 1200.0
            assert list(made.faults) == [2]

    def test_unknown_words_come_last(self) -> None:
        words = np.array(["grip", None, "engine"], dtype=object)
        order = comparisons._order([(words, False)])
        assert order.tolist() == [2, 0, 1]
        order = comparisons._order([(words, True)])
        assert order.tolist() == [0, 2, 1]

    def test_by_several_columns(self) -> None:
        vary = {"axle_ratio": [4.1, 4.56], "idle_speed": [700, 600, 800]}
        made = whole(
            plan(vary=vary, report=["crawl_ratio", "crawl_speed"], sort=["-crawl_ratio", "idle_speed"])
        )
        assert made.columns["axle_ratio"].tolist() == [4.56] * 3 + [4.1] * 3
        assert made.columns["idle_speed"].tolist() == [600, 700, 800] * 2

    def test_the_limit_keeps_the_first(self) -> None:
        for sort in ("engine_grade_percent", "-engine_grade_percent"):
            assert self.made(sort, limit=4) == self.made(sort)[:4]

    def test_blocks_of_any_size_are_the_whole(self) -> None:
        for size in (1, 2, 5, 100):
            assert self.made("crawl_limited_by", size=size) == self.made("crawl_limited_by")


class TestRefused:
    def test_members(self) -> None:
        assert [pointer for pointer, _ in refusals(build=None, vary=None, report=None)] == [
            "/build",
            "/vary",
            "/report",
        ]
        assert refusals(build=[], vary=[], report="crawl_ratio") == [
            ("/build", "must be an object of fields"),
            ("/vary", "must be an object of fields, each with a list of values"),
            ("/report", "must be a list of result names"),
        ]
        assert [pointer for pointer, _ in refusals(vary={}, report=[])] == ["/vary", "/report"]
        assert refusals(columns={})[0][0] == "/columns"
        with pytest.raises(InvalidBuild):
            read_plan([])  # type: ignore[arg-type]

    @pytest.mark.parametrize("units", ["si", 1, ["us"], {}])
    def test_units(self, units: object) -> None:
        assert refusals(units=units) == [("/units", "must be us or metric")]

    def test_names(self) -> None:
        vary = {"a/b": [1], "tyre": ["33x12.50R15"], "hub_ratio": 2, "idle_speed": []}
        assert refusals(build=BUILD | {"axel_ratio": 4}, vary=vary) == [
            ("/build/axel_ratio", "is no field of a build; the nearest is axle_ratio"),
            ("/vary/a~1b", "is no field of a build"),
            ("/vary/tyre", "is both in build and in vary: put it into one"),
            ("/vary/hub_ratio", "must have a list of values to vary"),
            ("/vary/idle_speed", "must have a list of values to vary"),
        ]
        assert refusals(report=["crawl_ratio", "crawl_rati", 5]) == [
            ("/report/1", "names no result of any question; the nearest is crawl_ratio"),
            ("/report/2", "names no result of any question"),
        ]

    def test_more_names_than_there_are(self) -> None:
        """Each unknown name is compared with all known ones: thousands would take minutes."""
        assert "all fields are" in refusals(build={f"n{place}": 1 for place in range(5000)})[0][1]
        assert "all results are" in refusals(report=["crawl_ratio"] * 5000)[0][1]

    def test_values(self) -> None:
        found = refusals(
            build=BUILD | {"tyre": "no"}, vary={"axle_ratio": [4.1, 99, None], "gear_ratio": [1]}
        )
        assert [pointer for pointer, _ in found] == ["/vary/gear_ratio"]
        found = refusals(
            build=BUILD | {"tyre": "no"}, vary={"axle_ratio": [4.1, 99, None, ""], "surface": ["sand", "ice"]}
        )
        pointers = ["/build/tyre", *(f"/vary/axle_ratio/{place}" for place in (1, 2, 3)), "/vary/surface/0"]
        assert [pointer for pointer, _ in found] == pointers

    def test_needs(self) -> None:
        """CautionKey at once, not for a million rows."""
        found = refusals(build={"tyre": "33x12.50R15"}, vary={"idle_speed": [700, 800]})
        assert [pointer for pointer, _ in found] == [
            "/build/axle_ratio",
            "/build/gear_ratios",
            "/build/axle_ratio",
        ]
        assert found[0][1].startswith("is needed for crawl")
        by_teeth = plan(vary={"ring_teeth": [41, 43], "pinion_teeth": [10, 9]})
        assert whole(by_teeth).columns["crawl_ratio"][0] == 4.46 * 4.1

    def test_fields_that_stand_in(self) -> None:
        vary = {"front_axle_ratio": [4.1, 4.11]}
        found = refusals(build={"tyre": "33x12.50R15"}, vary=vary, report=["mismatch_percent"])
        assert [pointer for pointer, _ in found] == ["/build/rear_axle_ratio"]
        assert plan(build={"tyre": "33x12.50R15", "axle_ratio": 4.1}, vary=vary, report=["mismatch_percent"])

    @pytest.mark.parametrize(
        "sort", ["tyre", "", "-", "--crawl_ratio", "crawl_speed", 5, True, [["crawl_ratio"]], []]
    )
    def test_sort(self, sort: object) -> None:
        assert [pointer for pointer, _ in refusals(sort=sort)] == ["/sort"]

    @pytest.mark.parametrize("limit", [0, -1, 1.5, "5", True, [5], 1_000_000_001])
    def test_limit(self, limit: object) -> None:
        assert refusals(limit=limit) == [("/limit", "must be a whole number of rows from 1 to 1,000,000,000")]

    def test_more_combinations_than_can_be_counted(self) -> None:
        numbers = [name for name, field in FIELDS.items() if type(field.kind).__name__ == "Number"]
        many = {name: [1] * 1000 for name in numbers[:7]}
        assert "1e+21 combinations" in refusals(build={}, vary=many, limit=1)[0][1]


def test_the_same_plan_gives_the_same_rows() -> None:
    assert_same(whole(plan()), whole(plan()))


def test_a_million_combinations_are_counted_not_made() -> None:
    many = plan(vary={"axle_ratio": [4.1] * 1000, "idle_speed": [700] * 1000, "hub_ratio": [1] * 1000})
    assert many.count == many.rows == 10**9
    assert math.prod(many.shape) == 10**9
    assert next(blocks(many, 100)).count == 100


class TestTargets:
    VARY: ClassVar[dict[str, list[Any]]] = {
        "redline_speed": [5000, 1000],
        "axle_ratio": [3.73, 4.1, 4.56, 4.88],
        "transfer_ratios": [[1, 2.72], [1, 4]],
    }
    REPORT: ClassVar[list[str]] = ["crawl_ratio"]

    def made(self, size: int = 3, **changes: Any) -> comparisons.Block:
        raw = {
            "vary": self.VARY,
            "report": self.REPORT,
            "targets": {"crawl_ratio": {"least": 49, "most": 60}},
        }
        return whole(plan(**(raw | changes)), size)

    def test_rows_that_miss_one_are_left_out(self) -> None:
        every = whole(plan(vary=self.VARY, report=self.REPORT)).columns
        kept = [ratio for ratio in every["crawl_ratio"].tolist() if 49 <= ratio <= 60]
        made = self.made()
        assert made.columns["crawl_ratio"].tolist() == kept
        assert list(made.columns) == ["redline_speed", "axle_ratio", "transfer_ratios", "crawl_ratio"]
        assert self.made(limit=2).columns["crawl_ratio"].tolist() == kept[:2]
        assert self.made(sort="-crawl_ratio").columns["crawl_ratio"].tolist() == sorted(kept, reverse=True)
        assert self.made(sort="-crawl_ratio", limit=1).columns["crawl_ratio"].tolist() == [max(kept)]
        assert self.made(targets={"crawl_ratio": {"least": 900}}).count == 0
        assert self.made(targets={"crawl_ratio": {"least": 900}}, sort="axle_ratio").count == 0

    def test_with_the_column_meets_all_rows_stay(self) -> None:
        targets = {"crawl_ratio": {"least": 49, "most": 60}, "crawl_speed": {"most": "1.5 mph"}}
        made = self.made(
            targets=targets, report=["meets", "crawl_ratio", "crawl_limited_by"], sort=["meets", "axle_ratio"]
        )
        words, ratios = made.columns["meets"].tolist(), made.columns["crawl_ratio"].tolist()
        assert words == sorted(words)
        assert set(words) == {"all", "some", "none"}
        assert all((49 <= ratio <= 60) == (word == "all") for word, ratio in zip(words, ratios, strict=True))

    def test_refused_rows_stay_with_their_reason(self) -> None:
        build = {**BUILD, "idle_speed": 1200, "vehicle_mass": 5000, "peak_torque": 260, "peak_power": 215}
        build |= {"peak_torque_speed": 3200, "peak_power_speed": 5000}
        targets = {"steepest_grade_percent": {"least": 1}}
        made = self.made(build=build, targets=targets)
        assert made.count - len(made.faults) == 8
        assert {made.columns["redline_speed"][row] for row in made.faults} == {1000}

    def test_what_is_not_known_meets_nothing(self) -> None:
        made = self.made(targets={"reverse_crawl_ratio": {"least": 0}}, report=["meets"])
        assert made.columns["meets"].tolist() == [None] * 16

    @pytest.mark.parametrize(
        "targets", [{"crawl_ratio": 3}, {"crawl_limited_by": {"least": 1}}, {"nothing": {}}]
    )
    def test_bad_ones_are_named(self, targets: dict[str, Any]) -> None:
        ((pointer, _),) = refusals(targets=targets)
        assert pointer == f"/targets/{next(iter(targets))}"

    def test_meets_needs_targets(self) -> None:
        assert refusals(report=["meets"])[0][0] == "/report/0"


class TestParts:
    VARY: ClassVar[dict[str, list[Any]]] = {
        "low range": [
            {"name": "as it is"},
            {"name": "crawler", "transfer_ratios": [1, 4]},
            {"name": "both", "transfer_ratios": [1, 2.72, 4], "hub_ratio": 1.2},
        ],
        "axle_ratio": [4.1, 4.56],
    }

    @pytest.mark.parametrize("size", [1, 2, 100])
    def test_each_choice_has_a_name_and_gives_its_fields(self, size: int) -> None:
        build = {**BUILD, "transfer_ratios": [1, 2.72]}
        compared = plan(
            build=build, vary=self.VARY, report=["crawl_ratio"], sort=["low range", "-axle_ratio"]
        )
        made = whole(compared, size)
        assert made.columns["low range"].tolist() == ["as it is"] * 2 + ["both"] * 2 + ["crawler"] * 2
        first = BUILD["gear_ratios"][0]
        expected = [first * low * ratio for low in (2.72, 4 * 1.2, 4) for ratio in (4.56, 4.1)]
        assert made.columns["crawl_ratio"].tolist() == pytest.approx(expected)

    def test_bad_ones_are_named(self) -> None:
        vary = {"low range": [{"name": "a", "transfer_ratio": [1, 2]}, {"hub_ratio": 1}], "hub_ratio": [1, 2]}
        assert [pointer for pointer, _ in refusals(vary=vary)] == [
            "/vary/low range/0/transfer_ratio", "/vary/low range/1", "/vary/hub_ratio",
        ]  # fmt: skip
        vary = {**self.VARY, "low range": [{"name": "a", "transfer_ratios": "one"}]}
        assert [pointer for pointer, _ in refusals(vary=vary)] == ["/vary/low range/0/transfer_ratios"]
