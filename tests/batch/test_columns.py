"""Many builds answered together are the builds answered one by one."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any
from unittest import mock

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gearing_api.answer import DOES_NOT_APPLY, NO_LIMIT, NONE_DOES, Answer, Caution, Question, Source, needs
from gearing_api.batch import columns as batch_columns
from gearing_api.batch.columns import (
    CautionKey,
    Given,
    Marks,
    Pool,
    Rows,
    answered,
    codes_by_row,
    errors_by_row,
    form,
    read_column,
    stack,
    take,
)
from gearing_api.build import Build
from gearing_api.fields import Number
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.units import System
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import ALL_FIELDS, FIELDS, RESULTS, Field, FieldError, InvalidBuild, read_fields
from tests.builds import EXAMPLES, many_builds

EACH_QUESTION = pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
QUICK = settings(
    max_examples=5 * EXAMPLES,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)

CRAWL = QUESTIONS["crawl"]
BUILD: dict[str, Any] = {"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "gear_ratios": [4.46, 2.61]}


def together(question: Question, builds: list[dict[str, Any]]) -> Rows:
    names = dict.fromkeys(name for build in builds for name in build)
    columns = {name: read_column(name, [build.get(name) for build in builds], "us") for name in names}
    return answered(question, columns, len(builds), "us")


@EACH_QUESTION
@QUICK
@given(data=st.data())
def test_together_is_one_by_one(question: Question, data: st.DataObject) -> None:
    """Numbers to the last bit, words, cautions, and the reasons of refusals; in parts as well."""
    builds = data.draw(many_builds(question.needs, question.uses))
    as_they_lie, picked = data.draw(st.sampled_from([(10_000, 5_000), (3, 2)]))
    with mock.patch.multiple(batch_columns, _MOST_AT_ONCE=as_they_lie, _PART=picked):
        rows = together(question, builds)
    for place, raw in enumerate(builds):
        try:
            answer = ask(question, read_build(raw))
        except InvalidBuild as refused:
            told = [(fault.field, fault.detail) for fault in refused.faults]
            assert [(fault.field, fault.detail) for fault in rows.faults[place]] == told
            assert all(blank(column[place]) for column in rows.results.values())
            assert not any(marks[place] for marks in rows.cautions.values())
            continue
        assert place not in rows.faults
        for name, value in answer.result.items():
            assert same(rows.results[name][place], value), name
        codes = {caution.code for caution in answer.cautions if np.any(caution.where)}
        assert {code for (code, _, _), marks in rows.cautions.items() if marks[place]} == codes
        assert set(answer.sources) <= set(rows.sources)


def test_what_all_builds_share_is_theirs_in_every_part(monkeypatch: pytest.MonkeyPatch) -> None:
    """A number, words, a tyre and a list, beside a field that differs."""
    build = BUILD | {"idle_speed": 700, "surface": "wet-earth", "vehicle_mass": 5000, "peak_torque": 200}
    builds = [build | {"peak_torque_speed": 2000 + place} for place in range(7)]
    whole = together(CRAWL, builds)
    monkeypatch.setattr(batch_columns, "_MOST_AT_ONCE", 6)
    monkeypatch.setattr(batch_columns, "_PART", 3)
    parts = together(CRAWL, builds)
    assert parts.faults == whole.faults == {}
    for name, column in whole.results.items():
        assert all(map(same, parts.results[name], column)), name


def test_of_builds_with_long_lists_fewer_are_answered_at_once() -> None:
    """20,000 items of those that a question goes through in each other; a curve counts by five points."""
    gears = {"gear_ratios": np.ones(6), "transfer_ratios": np.ones(2)}
    longer = gears | {"torque_curve": np.ones((21, 2))}
    column = {"gear_ratios": np.ones((1, 6)), "torque_curve": np.ones((1, 20, 2))}
    before = {
        "gear_ratios": np.ones(6),
        "original_gear_ratios": np.ones(10),
        "power_curve": np.ones((200, 2)),
    }
    mixed = gears | {"fuel_mix": np.ones((4, 2))}
    wanted = {"crawl": (20_000, 4_000, 5_000, 500, 20_000), "acceleration": (3_333, 666, 833, 50, 3_333),
              "cruise": (1_666, 333, 833, 50, 1_666), "fuel": (1_666, 333, 833, 50, 416)}  # fmt: skip
    for name, most in wanted.items():
        found = tuple(
            QUESTIONS[name].at_once(values.get) for values in (gears, longer, column, before, mixed)
        )
        assert found == most, name
    assert QUESTIONS["build-sheet"].at_once(mixed.get) == 416
    assert QUESTIONS["fuel"].at_once({"fuel_mix": np.ones((20_001, 2))}.get) == 1


def test_parts_are_as_long_as_their_lists_let_them(monkeypatch: pytest.MonkeyPatch) -> None:
    parts: list[int] = []

    def noted(question: Question, build: Build) -> Answer:
        parts.append(np.size(build.values["peak_torque_speed"]))
        return ask(question, build)

    monkeypatch.setattr(batch_columns, "ask", noted)
    build = BUILD | {"transfer_ratios": [1, 2.72], "vehicle_mass": 5000}
    monkeypatch.setattr("gearing_api.answer._MOST_ITEMS", 3 * 2 * 2)
    together(QUESTIONS["cruise"], [build | {"peak_torque_speed": 2000 + place} for place in range(7)])
    assert parts == [3, 3, 1]


@EACH_QUESTION
def test_each_field_may_be_the_only_one_that_differs(question: Question) -> None:
    """Any number that the question reads, within what is accepted; the rest as in its example."""
    for name in question.fields:
        kind = FIELDS[name].kind
        if isinstance(kind, Number):
            raws = {other: raw for other, raw in question.example.items() if other != name}
            given = {other: Given(Pool([ALL_FIELDS[other].read(raw, "us")])) for other, raw in raws.items()}
            low, high = kind.bounds("us")
            given[name] = read_column(name, [low + 0.2 * (high - low), low + 0.25 * (high - low)], "us")
            assert answered(question, given, 2, "us").count == 2


def test_a_column_of_sheets_may_go_down_and_up() -> None:
    """Downhill is no question of cruise; the same build on the level and uphill is answered beside it."""
    rows = together(QUESTIONS["build-sheet"], [TRUCK | {"grade_percent": grade} for grade in (-1, 0, 0.5, 4)])
    assert rows.faults == {}
    assert [blank(cell) for cell in rows.results["power_needed"]] == [True, False, False, False]


def blank(cell: Any) -> bool:
    return cell is None or bool(np.isnan(cell))


def same(cell: Any, value: Any) -> bool:
    if value is None or (not isinstance(value, str) and value.dtype.kind == "f" and np.isnan(value)):
        return blank(cell)
    return bool(cell == (value if isinstance(value, str) else value.item()))


def test_a_bad_build_costs_no_other() -> None:
    builds = [
        BUILD,
        BUILD | {"axle_ratio": 99},
        {"tyre": "35x12.50R17LT", "gear_ratios": [4.46]},
        BUILD | {"ring_teeth": 80, "pinion_teeth": 4, "axle_ratio": 20},
        BUILD | {"ring_teeth": 80, "pinion_teeth": 30, "axle_ratio": 4.56},
        BUILD | {"ring_teeth": 10, "pinion_teeth": 30, "axle_ratio": None},
        BUILD | {"tyre": "no tyre", "gear_ratios": [0.0]},
        BUILD,
    ]
    rows = together(CRAWL, builds)
    assert sorted(rows.faults) == [1, 2, 4, 5, 6]
    assert [fault.field for fault in rows.faults[6]] == ["tyre", "gear_ratios"]
    assert np.isnan(rows.results["crawl_ratio"]).tolist() == [row in rows.faults for row in range(8)]
    assert rows.results["crawl_ratio"][0] == rows.results["crawl_ratio"][7]


def test_sentences_name_the_field() -> None:
    rows = together(CRAWL, [BUILD | {"axle_ratio": 99}])
    assert errors_by_row(rows.faults) == {0: "axle_ratio must be a number from 1 to 20"}


def test_each_distinct_value_is_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[object] = []

    def noting(field: Field, raw: object, system: System) -> Any:
        read.append(raw)
        return field.kind.read(raw, system)

    monkeypatch.setattr(Field, "read", noting)
    column = read_column("tyre", ["33x12.50R15", "35x12.50R17LT"] * 500, "us")
    assert read == ["33x12.50R15", "35x12.50R17LT"]
    assert column.pool.size == 2


@pytest.mark.parametrize(
    ("name", "raw", "distinct"),
    [
        ("gear_ratios", [[4.46, 2.61], "[4.46, 2.61]"], 2),
        ("surface", ["None", None], 2),
        ("axle_ratio", ["1.5", 1.5, True], 3),
        ("tyre", [[], "[]", {}, "{}"], 4),
    ],
)
def test_a_text_is_not_taken_for_the_value_it_spells(name: str, raw: list[Any], distinct: int) -> None:
    assert read_column(name, raw, "us").pool.size == distinct


def test_numbers_at_once_are_the_numbers_read() -> None:
    raw = [8, 8.5, 2**0.5 * 7, 24.0]
    singly = [FIELDS["wheel_width"].read(value, "us") for value in raw]
    assert read_column("wheel_width", raw, "us").draw(slice(None)).tolist() == singly
    assert read_column("wheel_width", [*raw, 99], "us").pool.faults[4].got == 99


def question_of(answer: Callable[[Build], Answer]) -> Question:
    return replace(CRAWL, answer=answer)


def test_a_refusal_by_the_formulas_finds_its_builds() -> None:
    """Whatever a formula refuses in a column of builds is refused for those builds only."""

    def refuses(build: Build) -> Answer:
        masses = np.atleast_1d(build.number("vehicle_mass"))
        if (masses > 4000.0).any():
            raise DomainError("vehicle_mass", "small")
        return Answer(dict.fromkeys(CRAWL.results) | {"crawl_ratio": build.number("vehicle_mass")}, (), str)

    builds = [BUILD | {"vehicle_mass": f"{mass} kg"} for mass in [1000, 5000, 2000, 3000, 4500, 1500]]
    rows = together(question_of(refuses), builds)
    assert sorted(rows.faults) == [1, 4]
    assert rows.faults[1] == [FieldError("vehicle_mass", "must be small")]
    assert np.isnan(rows.results["crawl_ratio"]).tolist() == [False, True, False, False, True, False]


def test_why_a_value_is_absent_is_kept_by_row() -> None:
    def partly(build: Build) -> Answer:
        mass = build.number("vehicle_mass")
        ratio = np.where(
            mass > 1000.0, np.inf, np.where(mass > 400.0, mass, np.where(mass > 300.0, -np.inf, np.nan))
        )
        absent = {"crawl_ratio": needs("peak_torque"), "crawl_speed": DOES_NOT_APPLY}
        return Answer(dict.fromkeys(CRAWL.results) | {"crawl_ratio": ratio}, (), str, absent=absent)

    rows = together(
        question_of(partly), [BUILD | {"vehicle_mass": f"{mass} kg"} for mass in [500, 5000, 350, 250]]
    )
    np.testing.assert_allclose(rows.results["crawl_ratio"], [500.0, np.inf, -np.inf, np.nan])
    reasons = {
        reason: where.tolist() for (name, reason), where in rows.absent.items() if name == "crawl_ratio"
    }
    assert reasons == {
        NO_LIMIT: [False, True, False, False],
        NONE_DOES: [False, False, True, False],
        needs("peak_torque"): [False, False, False, True],
    }
    assert rows.absent["crawl_speed", DOES_NOT_APPLY].all()


def test_cautions_of_one_code_stand_apart_by_text() -> None:
    def cautious(build: Build) -> Answer:
        mass = build.number("vehicle_mass")
        heavy = (
            Caution("mass", "heavy", mass > 1000.0),
            Caution("mass", "any"),
            Caution("mass", "none", False),
        )
        return Answer(dict.fromkeys(CRAWL.results), (Source("a", "published", "b"),), str, heavy)

    builds = [BUILD | {"vehicle_mass": f"{mass} kg"} for mass in [500, 5000]]
    rows = together(question_of(cautious), builds)
    marks = {text: where.tolist() for (_, text, _), where in rows.cautions.items()}
    assert marks == {"heavy": [False, True], "any": [True, True]}
    assert list(rows.sources) == [Source("a", "published", "b")]


def test_no_builds_are_no_rows() -> None:
    rows = answered(CRAWL, {"tyre": read_column("tyre", [], "us")}, 0, "us")
    assert rows.count == 0
    assert all(len(column) == 0 for column in rows.results.values())


def test_one_value_for_all_is_a_value_each() -> None:
    shared = {name: Given(Pool([read_build(BUILD)._values[name]])) for name in BUILD}
    masses = read_column("vehicle_mass", [3000, 4000], "us")
    rows = answered(CRAWL, shared | {"vehicle_mass": masses}, 2, "us")
    assert rows.results["grip_force"][0] < rows.results["grip_force"][1]
    each = together(CRAWL, [BUILD | {"vehicle_mass": mass} for mass in (3000, 4000)])
    for name in CRAWL.results:
        np.testing.assert_array_equal(rows.results[name], each.results[name], err_msg=name)


def test_a_bad_value_for_all_refuses_all() -> None:
    rows = answered(CRAWL, {"tyre": read_column("tyre", "no tyre", "us")}, 3, "us")
    assert sorted(rows.faults) == [0, 1, 2]


def test_many_distinct_bad_values_take_no_longer_than_good_ones() -> None:
    """100,000 different bad values took a second for every thousand when each was looked for in all rows."""
    raw = [f"bad {place}" for place in range(20_000)]
    rows = answered(QUESTIONS["tyre"], {"tyre": read_column("tyre", raw, "us")}, len(raw), "us")
    assert len(rows.faults) == len(raw)
    assert rows.faults[777][0].got == "bad 777"


def test_only_wanted_results_are_kept() -> None:
    columns = {name: read_column(name, [raw], "us") for name, raw in BUILD.items()}
    rows = answered(CRAWL, columns, 1, "us", wanted=["crawl_speed"])
    assert list(rows.results) == ["crawl_speed"]


def test_numbers_are_arrays_and_words_are_words() -> None:
    rows = together(CRAWL, [BUILD | {"peak_torque": 260, "vehicle_mass": 5300}, BUILD])
    for name, column in rows.results.items():
        assert column.dtype == (object if RESULTS[name].quantity is None else float), name
    assert rows.results["crawl_limited_by"].tolist() == ["grip", None]


class TestStacking:
    ROWS = ({"tyre": "33 in", "gear_ratios": "4,1", "surface": "ice", "axle_ratio": 4.1},
            {"tyre": "35 in", "gear_ratios": "5,1", "surface": "ice", "axle_ratio": 4.56})  # fmt: skip

    def stacked(self) -> dict[str, Any]:
        read = [read_fields(row, "us") for row in self.ROWS]
        return {name: stack([row[name] for row in read]) for name in self.ROWS[0]}

    def test_values_of_one_form_stack(self) -> None:
        column = Build(self.stacked(), {})
        np.testing.assert_array_equal(column.number("axle_ratio"), [4.1, 4.56])
        np.testing.assert_array_equal(column.number("gear_ratios"), [[4, 1], [5, 1]])
        np.testing.assert_allclose(column.tyre().size.diameter, [33 * 0.0254, 35 * 0.0254])
        assert column.word("surface") == "ice"
        assert column.number("hub_ratio").shape == ()

    def test_values_of_one_form_are_told_from_others(self) -> None:
        first, second = (read_fields(row, "us") for row in self.ROWS)
        other = read_fields({"surface": "gravel", "gear_ratios": "4,2,1", "tyre": "265/70R17"}, "us")
        assert all(form(first[name]) == form(second[name]) for name in first)
        assert all(form(first[name]) != form(other[name]) for name in other)

    def test_builds_are_taken_from_a_column(self) -> None:
        column = self.stacked()
        picks = np.array([1, 0, 1])
        np.testing.assert_array_equal(take(column["axle_ratio"], picks), [4.56, 4.1, 4.56])
        np.testing.assert_allclose(take(column["tyre"], picks).diameter, np.array([35, 33, 35]) * 0.0254)
        assert take("ice", picks) == "ice"


class TestCodes:
    def test_each_row_has_its_own_in_order(self) -> None:
        on, off = True, False
        cautions: dict[CautionKey, Marks] = {
            ("b", "one text", "note"): np.array([on, off, off, off]),
            ("b", "another", "check"): np.array([off, on, off, off]),
            ("a", "text", "note"): np.array([off, on, on, off]),
        }
        absent = {("tyre_limit", NO_LIMIT): np.array([off, off, on, off])}
        codes = codes_by_row(4, cautions, absent)
        assert codes.tolist() == ["b", "a b", "a no-limit:tyre_limit", ""]

    @pytest.mark.parametrize("count", [0, 3])
    def test_no_cautions(self, count: int) -> None:
        assert codes_by_row(count, {}, {}).tolist() == [""] * count

    @pytest.mark.parametrize("many", [8, 9, 64, 65, 200])
    def test_any_number_of_codes(self, many: int) -> None:
        rows = many + 1
        cautions: dict[CautionKey, Marks] = {
            (f"c{place:03}", "", "note"): np.arange(rows) == place for place in range(many)
        }
        cautions[("every", "", "note")] = np.ones(rows, dtype=np.bool_)
        expected = [f"c{place:03} every" for place in range(many)] + ["every"]
        assert codes_by_row(rows, cautions, {}).tolist() == expected
