"""A build: what it knows, what it takes instead, and its account of what was used and assumed."""

from typing import Any

import numpy as np
import pytest

from gearing_api.build import DEFAULTS, Build
from gearing_api.questions import read_build
from gearing_api.units import SYSTEMS, System
from gearing_api.vocabulary import FIELDS, InvalidBuild, read_fields

INCH = 0.0254


def refusal(raw: dict[str, object], read: str = "") -> str:
    """What is said of a build that is refused, when it is read or when that number is asked for."""
    with pytest.raises(InvalidBuild) as refused:
        _number_of(raw, read)
    return str(refused.value)


def _number_of(raw: dict[str, object], name: str) -> Any:
    build = read_build(raw)
    return build.number(name) if name else None


class TestValues:
    def test_what_was_given_is_there(self) -> None:
        build = read_build({"axle_ratio": 4.1})
        assert build.given("axle_ratio")
        assert build.has("axle_ratio")
        assert build.number("axle_ratio") == 4.1
        assert build.number("axle_ratio").shape == ()

    def test_what_has_a_default_is_assumed(self) -> None:
        build = read_build({})
        assert build.has("hub_ratio")
        assert not build.given("hub_ratio")
        assert build.number("hub_ratio") == 1.0
        assert build.assumed() == {"hub_ratio": 1.0}
        assert build.used() == {}

    def test_what_stands_in_for_another_is_assumed_by_its_name(self) -> None:
        build = read_build({"axle_ratio": 4.1})
        assert build.number("original_axle_ratio") == 4.1
        assert build.used() == {"axle_ratio": 4.1}
        assert build.assumed() == {"original_axle_ratio": 4.1}

    def test_what_is_not_there_is_refused_with_what_is_accepted(self) -> None:
        assert refusal({}, "axle_ratio") == "axle_ratio is needed: a number from 1 to 20"
        assert refusal({}, "rear_axle_ratio").startswith("axle_ratio is needed")
        build = read_build({})
        assert build.known("axle_ratio") is None
        assert build.missing(["axle_ratio", "hub_ratio", "rear_axle_ratio"]) == [
            "axle_ratio",
            "rear_axle_ratio",
        ]
        assert build.assumed() == {}, "a look is no use"

    def test_only_what_is_read_is_used(self) -> None:
        build = read_build({"axle_ratio": "4.10", "hub_ratio": 1, "surface": "ice"})
        build.number("axle_ratio")
        assert build.used() == {"axle_ratio": "4.10"}

    def test_lists_have_their_items_last(self) -> None:
        build = read_build({"gear_ratios": "4,2,1", "torque_curve": "1000:200,2000:300"})
        assert build.number("gear_ratios").shape == (3,)
        assert build.number("torque_curve").shape == (2, 2)

    @pytest.mark.parametrize("system", SYSTEMS)
    def test_every_default_is_echoed_so_that_it_reads_back(self, system: System) -> None:
        build = read_build({}, system)
        for name in DEFAULTS:
            build.word(name)
        echoed = build.assumed()
        assert set(echoed) == set(DEFAULTS)
        again = read_fields(echoed, system)
        for name, value in DEFAULTS.items():
            if isinstance(value, str):
                assert again[name] == value
            else:
                np.testing.assert_allclose(again[name], value, rtol=1e-9, atol=1e-12)

    def test_what_stands_in_exists_and_is_of_the_same_kind(self) -> None:
        for field in FIELDS.values():
            assert field.default is None or field.instead is None
            if field.instead is not None:
                assert FIELDS[field.instead].kind == field.kind


class TestTeeth:
    def test_teeth_give_the_exact_ratio(self) -> None:
        build = read_build({"ring_teeth": 41, "pinion_teeth": 9})
        assert build.number("axle_ratio") == 41 / 9
        assert build.given("axle_ratio")
        assert build.used() == {"ring_teeth": 41, "pinion_teeth": 9}

    @pytest.mark.parametrize("printed", [4.56, 4.55, 4.5556, "4.56"])
    def test_teeth_replace_a_ratio_printed_to_two_decimals(self, printed: object) -> None:
        build = read_build({"axle_ratio": printed, "ring_teeth": 41, "pinion_teeth": 9})
        assert build.number("axle_ratio") == 41 / 9

    @pytest.mark.parametrize("printed", [4.54, 4.58, 4.1, 5])
    def test_teeth_that_contradict_the_ratio_are_refused(self, printed: float) -> None:
        told = refusal({"axle_ratio": printed, "ring_teeth": 41, "pinion_teeth": 9})
        assert told == "axle_ratio contradicts ring_teeth / pinion_teeth: give one or the other"

    @pytest.mark.parametrize(("ring", "pinion"), [(10, 30), (80, 4)])
    def test_the_bounds_of_the_ratio_hold_for_teeth(self, ring: int, pinion: int) -> None:
        if 1 <= ring / pinion <= 20:
            assert (
                read_build({"ring_teeth": ring, "pinion_teeth": pinion}).number("axle_ratio") == ring / pinion
            )
        else:
            told = refusal({"ring_teeth": ring, "pinion_teeth": pinion})
            assert told == "ring_teeth divided by pinion_teeth must be a number from 1 to 20"

    def test_one_count_alone_says_nothing(self) -> None:
        assert refusal({"ring_teeth": 41}, "axle_ratio").startswith("axle_ratio is needed")


class TestTyres:
    @pytest.mark.parametrize(
        ("size", "factor"), [("265/70R17", 3.05), ("33x12.50-15", 2.94), ("36.4 in", 3.05)]
    )
    def test_the_rolling_factor_goes_by_construction(self, size: str, factor: float) -> None:
        build = read_build({"tyre": size})
        fitted = build.tyre()
        assert fitted.rolling_circumference == pytest.approx(factor * fitted.size.diameter)
        assert fitted.rolling_radius == pytest.approx(fitted.rolling_circumference / (2 * np.pi))
        assert build.assumed() == {"rolling_factor": factor}

    def test_a_factor_that_was_given_holds_for_all_tyres(self) -> None:
        build = read_build({"tyre": "33 in", "original_tyre": "31x10.50-15", "rolling_factor": "3.1"})
        assert build.tyre().rolling_factor == build.tyre("original_tyre").rolling_factor == 3.1
        assert build.assumed() == {}

    def test_the_tyre_stands_in_for_the_original(self) -> None:
        build = read_build({"tyre": " 33 IN "})
        assert build.tyre("original_tyre").size.diameter == pytest.approx(33 * INCH)
        assert build.assumed() == {"original_tyre": "33 in", "rolling_factor": 3.05}
        assert build.used() == {"tyre": " 33 IN "}


class TestColumns:
    def test_the_rows_that_fail_are_told(self) -> None:
        column = Build({"axle_ratio": np.array([4.1, 5.0, 6.0])}, {})
        with pytest.raises(InvalidBuild) as refused:
            column.require(column.number("axle_ratio") < 4.5, "axle_ratio", "must be below 4.5")
        assert refused.value.rows is not None
        assert refused.value.rows.tolist() == [1, 2]
        column.require(np.array([True, True, True]), "axle_ratio", "holds")

    def test_a_single_build_that_fails_is_told_with_what_came(self) -> None:
        build = read_build({"axle_ratio": "4.1"})
        with pytest.raises(InvalidBuild) as refused:
            build.require(build.number("axle_ratio") > 5, "axle_ratio", "must be above 5")
        assert refused.value.rows is None
        assert refused.value.faults[0].got == "4.1"


def test_an_account_of_its_own_and_back() -> None:
    build = read_build({"axle_ratio": 4.1, "hub_ratio": 2})
    build.number("axle_ratio")
    other = build.again()
    other.number("hub_ratio")
    other.number("cruise_reserve_percent")
    assert build.used() == {"axle_ratio": 4.1}
    assert other.used() == {"hub_ratio": 2}
    build.take_account(other)
    assert build.used() == {"axle_ratio": 4.1, "hub_ratio": 2}
    assert build.assumed() == {"cruise_reserve_percent": 5.0}
