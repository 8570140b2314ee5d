"""The shapes a value may have on the wire: lists, grids, curves, ratios, coefficients, words, tyres."""

import itertools
import math
import re
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from jsonschema.protocols import Validator

from gearing_api import fields, units
from gearing_api.fields import (
    AxleRatio,
    Choice,
    Coefficients,
    Count,
    Curve,
    Grid,
    Kind,
    Loads,
    Number,
    Ratios,
    Series,
    Tyre,
)
from gearing_api.tables import table
from gearing_api.units import SYSTEMS, System, Unreadable
from gearing_api.vocabulary import FIELDS, STEELS
from tests.builds import value

RPM = 2 * np.pi / 60
RATIO = Number(units.NUMBER, "0.2", "20")
SPEED = Number(units.ROTATION, "0 rpm", "20000 rpm")
TORQUE = Number(units.TORQUE, "0 N m", "5000 N m")
SERIES = Series(RATIO, (1, 24))
GRID = Grid(SPEED)
CURVE = Curve(SPEED, TORQUE)
RATIOS = Ratios(AxleRatio(units.NUMBER, "1", "20"))
ROAD_LOAD = FIELDS["road_load"].kind

EACH_FIELD = pytest.mark.parametrize("name", FIELDS)


def numbers(kind: Kind) -> list[Number]:
    """The numbers a kind is made of."""
    if isinstance(kind, Number):
        return [kind]
    if isinstance(kind, Series | Ratios):
        return [kind.item]
    if isinstance(kind, Curve):
        return [kind.along, kind.up]
    if isinstance(kind, Loads):
        return [kind.mass, kind.position, kind.height]
    return list(kind.items) if isinstance(kind, Coefficients) else []


NUMBERS = {
    f"{name}{place or ''}": number
    for name, field in FIELDS.items()
    for place, number in enumerate(numbers(field.kind))
}


def refusal(kind: Any, raw: Any, system: System = "us") -> str:
    """The reason why a value is refused, or nothing where it is read."""
    try:
        kind.read(raw, system)
    except Unreadable as refused:
        return str(refused)
    return ""


class TestBounds:
    @pytest.mark.parametrize("system", SYSTEMS)
    def test_both_ends_are_accepted_as_shown_and_nothing_beyond(self, system: System) -> None:
        for name, number in NUMBERS.items():
            low, high = number.bounds(system)
            assert low < high
            room = (high - low) * 1e-6
            for inside in (low, high, repr(low), repr(high), low + room, high - room):
                number.read(inside, system)
            for outside in (low - room, high + room, repr(low - room), repr(high + room)):
                assert refusal(number, outside, system).startswith("must be a number from"), name

    @pytest.mark.parametrize("system", SYSTEMS)
    def test_both_ends_are_accepted_in_their_own_unit(self, system: System) -> None:
        for number in NUMBERS.values():
            number.read(number.lower, system)
            number.read(number.upper, system)

    @pytest.mark.parametrize("system", SYSTEMS)
    def test_what_is_shown_of_the_bounds_is_accepted(self, system: System) -> None:
        for name, number in NUMBERS.items():
            words = number.accepted(system).split()
            assert words[:3] == ["a", "number", "from"], name
            number.read(words[3], system)
            number.read(words[5], system)
            assert " ".join(words[6:]) == number.quantity.unit(system), name

    def test_both_ends_of_a_range_lie_within(self) -> None:
        assert RATIO.ends("0.2 to 20", "us") == (0.2, 20.0)
        assert RATIO.ends("4.1", "us") is None
        for text in ("0.1 to 20", "0.2 to 21"):
            with pytest.raises(Unreadable, match=r"each end must be a number from 0\.2 to 20$"):
                RATIO.ends(text, "us")

    def test_counts_have_both_ends(self) -> None:
        count = Count(10, 80)
        assert [count.read(good, "us") for good in (10, 80, "10", " 80 ", 41.0)] == [10, 80, 10, 80, 41]
        for bad in (9, 81, "9", "81", 41.5, "41.5", "41.0", "-41", True, None, [41], 10**30):
            with pytest.raises(Unreadable, match="a whole number from 10 to 80"):
                count.read(bad, "us")


class TestSeries:
    @pytest.mark.parametrize(
        "raw",
        ["4.46,2.61,1", "4.46, 2.61, 1", " 4.46 ,2.61 , 1.0 ", [4.46, 2.61, 1], ["4.46", 2.61, "1"],
         "+4.46,2.61e0,1.", "4.46;2.61;1", "4.46; 2.61; 1", "4.46/2.61/1", "4.46 / 2.61 / 1.00",
         "4.46 2.61 1",
         "4.46:1, 2.61:1, 1:1"],
    )  # fmt: skip
    def test_a_list_is_read_in_its_order(self, raw: Any) -> None:
        np.testing.assert_array_equal(SERIES.read(raw, "us"), [4.46, 2.61, 1])

    @pytest.mark.parametrize("raw", [4.46, "4.46", [4.46]])
    def test_one_number_is_a_list_of_one(self, raw: Any) -> None:
        np.testing.assert_array_equal(SERIES.read(raw, "us"), [4.46])

    def test_each_item_may_have_its_unit(self) -> None:
        speeds = Series(Number(units.SPEED, "1 mph", "200 mph"))
        np.testing.assert_allclose(speeds.read("36 km/h,10 m/s, 22.369362920544 mph", "us"), [10, 10, 10])

    @pytest.mark.parametrize(
        ("raw", "told"),
        [
            ("4.46,x,1", "item 2 is not a number; accepted: a number from 0.2 to 20"),
            ("4.46,,1", "item 2 is not a number"),
            ("4.46,99", "item 2 must be a number from 0.2 to 20"),
            ([4.46, True], "item 2 is not a number"),
            ([[4.46]], "item 1 is not a number"),
            ([1.0] * 25, "has 25 items: it must be a list of 1 to 24"),
            ("1," * 24, "has 25 items"),
            ([], "has 0 items"),
            ("1," * 2000, "is longer than 2000 characters"),
            ("4.46-2.61", "item 1 is not a number"),
            ("4,46;2,61", "item 1 is not a number: write a decimal point, or ask with decimal=comma"),
            ("1 500 2 500", "has blanks that may part thousands: write a comma between two numbers"),
        ],
    )
    def test_what_is_wrong_is_told_by_its_place(self, raw: Any, told: str) -> None:
        with pytest.raises(Unreadable) as refusal:
            SERIES.read(raw, "us")
        assert told in str(refusal.value)
        assert len(str(refusal.value)) < 200

    def test_a_point_where_numbers_have_a_comma_is_told(self) -> None:
        with pytest.raises(Unreadable, match="has a decimal point, although decimal=comma is asked for"):
            SERIES.read(units.PointedText("4.46"), "us")

    def test_the_longest_text_of_a_list_is_read(self) -> None:
        many = Series(RATIO, (1, 50))
        text = ",".join(["1".rjust(39)] * 49 + ["1".rjust(40)])
        assert len(text) == 2000
        assert many.read(text, "us").tolist() == [1.0] * 50
        with pytest.raises(Unreadable, match="is longer than 2000 characters"):
            many.read(" " + text, "us")

    def test_thousands_are_told_from_items_by_the_blank(self) -> None:
        kind = FIELDS["engine_speeds"].kind
        np.testing.assert_allclose(kind.read("1,500, 2,000, 2,500 rpm", "us") / RPM, [1500, 2000, 2500])
        np.testing.assert_allclose(kind.read("1500 2000", "us") / RPM, [1500, 2000])

    def test_gears_fall_and_ranges_rise(self) -> None:
        for name, good, bad, told in (
            ("gear_ratios", "4.46,2.61", "2.61,4.46", "must fall from each number to the next"),
            ("transfer_ratios", "1,2.72", "2.72,1", "must rise from each number to the next"),
        ):
            kind = FIELDS[name].kind
            kind.read(good, "us")
            with pytest.raises(Unreadable, match=told) as refusal:
                kind.read(bad, "us")
            assert refusal.value.use == good
            with pytest.raises(Unreadable, match=told) as refusal:
                kind.read("2,2", "us")
            assert refusal.value.use is None

    def test_a_range_must_rise(self) -> None:
        kind = FIELDS["cruise_engine_speed_range"].kind
        for raw in ("1800,2400", "1800-2400", "1800 – 2400", "1800 to 2400 rpm", "1800/2400", "1,800, 2,400"):
            np.testing.assert_allclose(kind.read(raw, "us") / RPM, [1800, 2400])
        for raw in ("2400,1800", "1800,1800"):
            with pytest.raises(Unreadable, match="must rise"):
                kind.read(raw, "us")
        for raw in ("1800", "1800,2000,2400"):
            with pytest.raises(Unreadable, match="a list of 2"):
                kind.read(raw, "us")


class TestGrid:
    @pytest.mark.parametrize(
        ("raw", "speeds"),
        [
            ("600:4500:300", [*range(600, 4501, 300)]),
            ("600 : 4500 : 300", [*range(600, 4501, 300)]),
            ("600:1000:300", [600, 900]),
            ("600:600:300", [600]),
            ("600 rpm:1200 rpm:300 rpm", [600, 900, 1200]),
            ("1000,2000,1500", [1000, 2000, 1500]),
            ([1000, 2000], [1000, 2000]),
            (1000, [1000]),
            ("0:2000:500", [0, 500, 1000, 1500, 2000]),
        ],
    )
    def test_a_grid_has_both_ends_where_the_step_meets_them(self, raw: Any, speeds: list[float]) -> None:
        np.testing.assert_allclose(GRID.read(raw, "us") / RPM, speeds, rtol=1e-12, atol=1e-9)

    def test_no_step_is_lost_to_rounding(self) -> None:
        for steps in range(1, 100):
            last = f"{700 + steps * 0.1:.1f}"
            read = GRID.read(f"700:{last}:0.1", "us")
            assert len(read) == steps + 1, last
            assert read[-1] / RPM == pytest.approx(float(last)), last

    @pytest.mark.parametrize(
        "raw", ["600:4500", "600:4500:300:1", "4500:600:300", "600:4500:0", "600:4500:-300", ":::", "a:b:c",
                "600:4500:1", "0:20000:1e-9", "600:4500:1e99", "600::300", "600:99999:300",
                "600:4500:" + "3" * 2000],
    )  # fmt: skip
    def test_what_is_no_grid_is_refused(self, raw: str) -> None:
        with pytest.raises(Unreadable):
            GRID.read(raw, "us")

    def test_the_finest_grid_is_as_long_as_the_longest_list(self) -> None:
        assert len(GRID.read([*map(float, range(700, 800))], "us")) == fields.LONGEST_GRID
        assert len(GRID.read("700:799:1", "us")) == fields.LONGEST_GRID
        for raw in ("700:800:1", [*map(float, range(700, 801))]):
            with pytest.raises(Unreadable):
                GRID.read(raw, "us")


class TestCurve:
    @pytest.mark.parametrize(
        "raw",
        ["1000:210,2000:260", "1000:210, 2000:260", "1000 rpm:210 lb-ft,2000 rpm:260 lb-ft",
         [[1000, 210], [2000, 260]], [["1000", "210 lb-ft"], [2000, 260]], ["1000:210", [2000, 260]]],
    )  # fmt: skip
    def test_points_are_read_as_pairs(self, raw: Any) -> None:
        pound_foot = 1.3558179483314004
        expected = [[1000 * RPM, 210 * pound_foot], [2000 * RPM, 260 * pound_foot]]
        np.testing.assert_allclose(CURVE.read(raw, "us"), expected, rtol=1e-12)

    @pytest.mark.parametrize(
        "raw",
        ["1000,210\n2000,260", "rpm,torque\n1000,210\n2000,260\n",
         "RPM\tTorque (lb-ft)\r\n1000\t210\r\n2000\t260",
         "Engine speed [rpm];Power [kW];Torque [Nm]\n1000;30;284,7\n2000;74;352,5",
         "time,RPM,HP,TQ\n0.1,1000,40,210\n0.2,2000,99,260"],
    )  # fmt: skip
    def test_columns_of_an_export_are_found_by_their_headings(self, raw: str) -> None:
        expected = [[1000, 210], [2000, 260]]
        np.testing.assert_allclose(CURVE.out(CURVE.read(raw, "us"), "us"), expected, rtol=1e-3)

    def test_the_longest_curve_is_read(self) -> None:
        text = ",".join(
            f"{1000 + 20 * place} rpm:{210 + place} lb-ft" for place in range(fields.LONGEST_CURVE)
        )
        assert len(CURVE.read(text, "us")) == fields.LONGEST_CURVE

    def test_the_longest_text_of_an_export_is_read(self) -> None:
        text = "1000,210\n2000,260".ljust(8000, "\n")
        assert len(CURVE.read(text, "us")) == 2
        with pytest.raises(Unreadable, match="is longer than 8000 characters"):
            CURVE.read(text + "\n", "us")

    @pytest.mark.parametrize(
        ("raw", "told"),
        [
            ("1000:210,900:200", "must rise in engine speed"),
            ("1000:210,1000:200", "must rise in engine speed"),
            ("1000:210", "has 1 items"),
            ("1000,2000", "item 1 is no pair"),
            ("1000:210:3,2000:260", "item 1 is no pair"),
            ([[1000, 210], 2000], "item 2 is no pair"),
            ([[1000, 210], {"2000": 260}], "item 2 is no pair"),
            ([[1000, 210], [2000, True]], "item 2 is not a number"),
            ("1000:210,2000:x", "item 2 is not a number"),
            ("1000:-1,2000:260", "item 1 must be a number"),
            (",".join(f"{speed}:9" for speed in range(201)), "has 201 items"),
            ("1000:210," * 1000, "is longer than 8000 characters"),
            ("1000\n2000", "has lines without columns"),
            ("1000,210\n", "has 1 items"),
            ("rpm,hp\n1000,210", "has no column headed torque"),
            ("rpm,torque\n1000,210\n2000", "has a line with fewer columns than its heading"),
            ("rpm,torque\n1000,210\n900,220", "must rise in engine speed"),
            ("rpm,torque\n" + "1000,210\n" * 1000, "is longer than 8000 characters"),
            (None, "has 1 items"),
        ],
    )
    def test_what_is_no_curve_is_refused_with_the_reason(self, raw: Any, told: str) -> None:
        with pytest.raises(Unreadable) as refusal:
            CURVE.read(raw, "us")
        assert told in str(refusal.value)


class TestRatios:
    def test_tooth_pairs_are_kept_as_teeth(self) -> None:
        read = RATIOS.read("4.10,41/9, 43 / 10 ", "us")
        np.testing.assert_allclose(read[:, 0], [4.10, 41 / 9, 4.3])
        np.testing.assert_array_equal(read[:, 1:], [[np.nan, np.nan], [41, 9], [43, 10]])
        assert RATIOS.out(read, "us") == [4.1, "41/9", "43/10"]
        np.testing.assert_array_equal(RATIOS.read([4.10, "41/9", "43/10"], "us"), read)

    @pytest.mark.parametrize(
        "raw", ["41/0", "0/9", "41/", "/9", "41/9/2", "41.5/9", "41/3", "9/41", "81/9", "999/9", "41:9",
                "1e1/9", "80/4,80/3", [41 / 9, None], [True], "4100/900", "٤١/9"],
    )  # fmt: skip
    def test_what_is_no_ratio_is_refused(self, raw: Any) -> None:
        with pytest.raises(Unreadable, match="item"):
            RATIOS.read(raw, "us")


class TestPointsThatFall:
    COAST_DOWN = FIELDS["coast_down"].kind

    @pytest.mark.parametrize("raw", ["60:0,50:8.5,40:18.4", [[60, 0], ["50 mph", "8.5 s"], [40, 18.4]]])
    def test_time_rises_while_speed_falls(self, raw: Any) -> None:
        mph = 0.44704
        np.testing.assert_allclose(
            self.COAST_DOWN.read(raw, "us"), [[60 * mph, 0], [50 * mph, 8.5], [40 * mph, 18.4]]
        )

    @pytest.mark.parametrize(
        ("raw", "told"),
        [
            ("60:0,50:8,50:9", "must fall in road speed from each point to the next"),
            ("60:0,50:8,55:9", "must fall in road speed from each point to the next"),
            ("60:0,50:8,40:8", "must rise in time from each point to the next"),
            ("60:0,50:8,40:7", "must rise in time from each point to the next"),
            ("60:0,50:8", "has 2 items: it must be 3 to 50 points such as 60:0,50:8.5,40:18.4"),
        ],
    )
    def test_what_does_not_is_refused(self, raw: str, told: str) -> None:
        with pytest.raises(Unreadable, match=told):
            self.COAST_DOWN.read(raw, "us")


class TestLoads:
    LOADS = FIELDS["loads"].kind

    @pytest.mark.parametrize("raw", ["220:60,110:120:40", [[220, 60], ["110 lb", 120, "40 in"]]])
    def test_a_load_may_have_a_height(self, raw: Any) -> None:
        pound, inch = 0.45359237, 0.0254
        read = self.LOADS.read(raw, "us")
        np.testing.assert_allclose(
            read, [[220 * pound, 60 * inch, np.nan], [110 * pound, 120 * inch, 40 * inch]]
        )
        assert self.LOADS.out(read, "us") == [[220, 60], [110, 120, 40]]

    @pytest.mark.parametrize(
        ("raw", "told"),
        [
            ("220", "item 1 is no mass:position or mass:position:height: it must be 1 to 20 loads"),
            ("220:60,1:2:3:4", "item 2 is no mass:position"),
            ("220:60:x", "item 1 is not a number or a number with a unit of length"),
            ("220:-999", "item 1 must be a number from"),
            (",".join(["220:60"] * 21), "has 21 items: it must be 1 to 20 loads"),
            ([[220, 60, None]], "item 1 is not a number"),
            ([220, 60], "item 1 is no mass:position"),
        ],
    )
    def test_what_is_wrong_is_told_by_its_place(self, raw: Any, told: str) -> None:
        with pytest.raises(Unreadable) as refusal:
            self.LOADS.read(raw, "us")
        assert told in str(refusal.value)


class TestCoefficients:
    @pytest.mark.parametrize(
        "raw", ["30,0.5,0.02", [30, 0.5, 0.02], ["30 lbf", "0.5 lbf/mph", "0.02 lbf/mph2"]]
    )
    def test_three_numbers_of_three_quantities(self, raw: Any) -> None:
        pound_force, mile_per_hour = 4.4482216152605, 0.44704
        read = ROAD_LOAD.read(raw, "us")
        expected = [
            30 * pound_force,
            0.5 * pound_force / mile_per_hour,
            0.02 * pound_force / mile_per_hour**2,
        ]
        np.testing.assert_allclose(read, expected, rtol=1e-12)

    @pytest.mark.parametrize(
        "raw", ["30,0.5", "30,0.5,0.02,1", "30-0.5-0.02", [30, 0.5, None], {}, 30, "-1,0,0"]
    )
    def test_others_are_refused(self, raw: Any) -> None:
        with pytest.raises(Unreadable):
            ROAD_LOAD.read(raw, "us")

    def test_errors_speak_of_road_load(self) -> None:
        for raw, told in (
            ("30,0.5", "has 2 items: it must be 3 numbers A,B,C in lbf, lbf/mph, lbf/mph2"),
            ("30,x,0.02", "B is not a number or a number with a unit of force over speed"),
            ("30,0.5,9", "C must be a number from 0 to 1 lbf/mph2"),
        ):
            with pytest.raises(Unreadable, match=re.escape(told)):
                ROAD_LOAD.read(raw, "us")


class TestAxleRatio:
    RATIO = FIELDS["axle_ratio"].kind

    @pytest.mark.parametrize(
        ("raw", "ratio"), [("4.10", 4.1), ("4.10:1", 4.1), ("41/9", 41 / 9), (" 41 / 9 ", 41 / 9), (4.1, 4.1)]
    )
    def test_a_tooth_pair_is_a_ratio(self, raw: Any, ratio: float) -> None:
        assert self.RATIO.read(raw, "us") == pytest.approx(ratio)

    @pytest.mark.parametrize(("raw", "ratio"), [("80/4", 20.0), ("60/30", 2.0), ("10/5", 2.0)])
    def test_the_fewest_and_the_most_teeth_are_accepted(self, raw: str, ratio: float) -> None:
        assert self.RATIO.read(raw, "us") == ratio

    @pytest.mark.parametrize("raw", ["51/3", "62/31", "9/4", "81/9"])
    def test_beyond_these_teeth_there_is_no_pair(self, raw: str) -> None:
        with pytest.raises(Unreadable, match="must have 10 to 80 ring teeth and 4 to 30 pinion teeth"):
            self.RATIO.read(raw, "us")

    @pytest.mark.parametrize("raw", ["41/3", "9/41", "41/9/2", "4.1/9", "4,10", "4.10s", "41:9", None, "41/"])
    def test_others_are_refused(self, raw: Any) -> None:
        with pytest.raises(Unreadable):
            self.RATIO.read(raw, "us")


class TestWords:
    def test_case_and_blanks_around_do_not_matter(self) -> None:
        choice = Choice(("front", "rear"))
        assert [choice.read(text, "us") for text in ("front", "FRONT", " Rear ")] == [
            "front",
            "front",
            "rear",
        ]
        for bad in ("", "fro nt", "front\x00", "middle", None, 1, True, ["front"]):
            with pytest.raises(Unreadable, match="must be one of front, rear"):
                choice.read(bad, "us")

    def test_the_choices_are_the_names_of_the_tables(self) -> None:
        assert isinstance(surface := FIELDS["surface"].kind, Choice)
        assert sorted(surface.options) == sorted(map(str, table("surfaces").column("surface")))
        assert set(STEELS.options) <= set(map(str, table("steels").column("name")))


class TestTyre:
    def test_a_measured_diameter_needs_its_unit(self) -> None:
        assert Tyre().read("36.4 in", "metric").diameter == pytest.approx(36.4 * 0.0254)
        assert Tyre().read('36.4"', "us").diameter == pytest.approx(36.4 * 0.0254)
        assert Tyre().read("925 mm", "us").diameter == pytest.approx(0.925)
        for bare in (36.4, "36.4", 36, "36"):
            with pytest.raises(
                Unreadable, match=r'give a measured diameter with its unit, such as "36(\.4)? in"'
            ):
                Tyre().read(bare, "us")
        for bad in ("14 in", "81 in", "36 kg", True, None, [], "36.4 in x"):
            with pytest.raises(Unreadable):
                Tyre().read(bad, "us")

    @pytest.mark.parametrize(
        ("bare", "use"), [("14.9", None), ("15", "15 in"), (80, "80 in"), (80.1, None), ("925", None)]
    )
    def test_a_bare_number_is_likely_inches_where_a_tyre_can_be_as_tall(self, bare: Any, use: Any) -> None:
        with pytest.raises(Unreadable, match="is a bare number") as refusal:
            Tyre().read(bare, "us")
        assert refusal.value.use == use

    def test_both_ends_of_a_diameter_are_accepted(self) -> None:
        assert Tyre().read("15 in", "us").form == Tyre().read("80 in", "us").form == "measured"


class TestSchemas:
    @EACH_FIELD
    @given(data=st.data())
    @settings(max_examples=10, deadline=None)
    def test_what_is_accepted_fits_the_schema(self, name: str, data: st.DataObject) -> None:
        kind = FIELDS[name].kind
        drawn, fitting, fitting_text = _drawn_and_fitting(name)
        raw = data.draw(drawn)
        kind.read(raw, "us")
        fitting.validate(raw)
        text = _as_text(raw)
        assume(not re.search(r"e-\d{3}", text))  # texts of numbers have at most two digits of exponent
        kind.read(text, "us")
        fitting_text.validate(float(text) if kind.text_schema().get("type", "string") != "string" else text)

    def test_defaults_fit_the_schema(self) -> None:
        for field in FIELDS.values():
            if field.default is not None:
                field.read(field.default, "us")
                Draft202012Validator(field.kind.schema()).validate(field.default)

    @pytest.mark.parametrize(
        "raw", [None, True, {}, "", "nan", "1_000", "٣٥", float("1e300"), [[]], [None], "x" * 3000]
    )
    def test_what_no_field_accepts_does_not_fit(self, raw: Any) -> None:
        for name, field in FIELDS.items():
            assert refusal(field.kind, raw), name
            fits = Draft202012Validator(field.kind.schema()).is_valid(raw)
            open_schema = isinstance(raw, str) or isinstance(field.kind, Curve | Coefficients | Loads | Tyre)
            assert not fits or open_schema, name

    def test_what_is_accepted_is_told_in_few_words(self) -> None:
        for name, field in FIELDS.items():
            assert all(0 < len(field.kind.accepted(system)) < 250 for system in SYSTEMS), name


@given(
    raw=st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(),
        st.text(max_size=50),
        st.lists(st.floats() | st.text(max_size=9), max_size=3),
        st.dictionaries(st.text(), st.none()),
    )
)
@settings(max_examples=60, deadline=None)  # fmt: skip
def test_any_value_is_read_or_refused(raw: Any) -> None:
    for field in FIELDS.values():
        for system in SYSTEMS:
            told = refusal(field.kind, raw, system)
            assert told.isprintable() or told.isascii()


@cache
def _drawn_and_fitting(name: str) -> tuple[st.SearchStrategy[Any], Validator, Validator]:
    """Values of a field, and what a value and its text must fit."""
    kind = FIELDS[name].kind
    return value(kind), Draft202012Validator(kind.schema()), Draft202012Validator(kind.text_schema())


def _as_text(raw: Any) -> str:
    if isinstance(raw, list) and raw and isinstance(raw[0], list):
        return ",".join(":".join(map(repr, pair)) for pair in raw)
    if isinstance(raw, list):
        return ",".join(map(repr, raw))
    return raw if isinstance(raw, str) else repr(raw)


def test_every_kind_of_value_is_in_use() -> None:
    used = {type(field.kind) for field in FIELDS.values()}
    assert used == {Number, AxleRatio, Count, Choice, Tyre, Series, Grid, Curve, Ratios, Coefficients, Loads}
    assert list(itertools.chain.from_iterable(numbers(field.kind) for field in FIELDS.values()))


def test_a_bound_that_is_the_same_in_both_systems_is_kept_to_the_last_bit() -> None:
    kind = FIELDS["rear_axle_ratio"].kind
    low, high = kind.bounds("us")
    for system in SYSTEMS:
        assert kind.read(high, system) == high
        assert kind.read(low, system) == low
        for outside in (math.nextafter(high, math.inf), math.nextafter(low, -math.inf)):
            with pytest.raises(Unreadable):
                kind.read(outside, system)


@pytest.mark.parametrize("text", ["41/9 43/10 4.88", "41 / 9  43 / 10 4.88", "41/9,43/10,4.88"])
def test_tooth_pairs_may_be_parted_by_blanks(text: str) -> None:
    read = FIELDS["available_ratios"].kind.read(text, "us")
    assert read[:, 0].tolist() == [41 / 9, 4.3, 4.88]
    np.testing.assert_array_equal(read[:, 1:], [[41, 9], [43, 10], [np.nan, np.nan]])


@pytest.mark.parametrize("text", ["4.46 2.61 1.72", "4.46/2.61/1.72", "4.46, 2.61, 1.72"])
def test_gear_ratios_may_be_parted_by_blanks_or_strokes(text: str) -> None:
    assert FIELDS["gear_ratios"].kind.read(text, "us").tolist() == [4.46, 2.61, 1.72]
