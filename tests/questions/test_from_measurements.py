"""What measurements say of a build: published and computed cases, ranges, contradictions, refusals."""

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from gearing_api import tables
from gearing_api.answer import verdict
from gearing_api.mechanics import measurements
from gearing_api.mechanics.domain import DomainError
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle import readings
from gearing_api.vehicle.measured_axle import Candidate, Ratio, candidates, named
from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, codes, column

QUESTION = QUESTIONS["from-measurements"]
say = about("from-measurements", {})
example = about("from-measurements", dict(QUESTION.example))

MPH, POUND_FORCE = 0.44704, 4.4482216152605
ROAD = {"measured_engine_speed": 2500, "measured_road_speed": 65}
LIFT = {
    "front_axle_weighed": "1240 kg", "rear_axle_weighed": "1060 kg", "lifted_axle": "rear",
    "lifted_axle_height": "0.6 m", "wheelbase": "2.946 m", "tyre": "0.8 m", "rolling_factor": 3.1415926,
}  # fmt: skip
SPEEDS = [float(speed) for speed in range(70, 15, -5)]
COASTED_MASS = 2070.0 / 1.03


class TestAxleRatio:
    def test_a_scan_tool_reading(self) -> None:
        """2500 rpm (u 5), 65 mph (u 0.1 m/s), 2.662 m (u 0.006): 3.817 with 0.046 either way, computed."""
        made = say(**ROAD, measured_engine_speed_by="scan-tool", measured_rollout="2.662 m")
        assert made["result"]["measured_axle_ratio"] == pytest.approx(3.817, rel=5e-4)
        low, high = made["ranges"]["measured_axle_ratio"]
        relative = np.hypot(np.hypot(5 / 2500, 0.1 / 29.06), 0.006 / 2.662)
        assert (high - low) / 2.0 == pytest.approx(3.817 * 1.645 * relative, rel=0.01)

    def test_neighbours_that_a_reading_cannot_separate_are_all_named(self) -> None:
        """3.70, 3.73 and 3.77, by a needle gauge."""
        made = say(measured_engine_speed=2440, measured_road_speed=65, measured_rollout="2.662 m")
        assert {3.70, 3.73, 3.77} <= {round(ratio, 2) for ratio in column(made, "axle_ratio")}
        low, high = map(float, made["build"]["axle_ratio"].split(" to "))
        assert low <= 3.70
        assert high >= 3.769
        assert all(text in made["summary"] for text in ("3.70", "3.73", "3.77"))
        assert "pairs-not-told-apart" in codes(made)
        assert made["ask"].startswith("Turn the axle")
        assert sum(column(made, "probability")) == pytest.approx(1.0, abs=0.01)

    def test_one_reading_separates_what_lies_apart(self) -> None:
        """A likelihood of 7 to 1 between 3.73 and 3.92; 4.10 and 4.11 are out of the question. Computed."""
        shares = measurements.pair_probabilities(3.817, 0.046 / 1.645, [3.73, 3.92, 4.10, 4.11])
        assert shares[0] / shares[1] == pytest.approx(7.0, rel=0.05)
        assert shares[2:].max() < 1e-20

    def test_an_open_converter_slips(self) -> None:
        locked = say(**ROAD, tyre="34.36 in", gearbox_kind="automatic")
        slips = say(**ROAD, tyre="34.36 in", gearbox_kind="automatic", converter_locked="no")
        ratio = [made["result"]["measured_axle_ratio"] for made in (locked, slips)]
        assert ratio[1] == pytest.approx(0.955 * ratio[0])
        widths = [np.ptp(made["ranges"]["measured_axle_ratio"]) for made in (locked, slips)]
        assert widths[1] > 1.2 * widths[0]
        assert "converter-slips" in codes(slips) - codes(locked)

    def test_one_wheel_held_counts_twice(self) -> None:
        """An owner's count on a known 37/10 axle: 24 turns of the shaft, 13.0 of the wheel."""
        made = say(measured_shaft_turns=24, measured_wheel_turns=13, one_wheel_held="yes")
        assert made["build"] == {"axle_ratio": "37/10"}
        both = say(measured_shaft_turns=37, measured_wheel_turns=10)
        assert both["build"] == {"axle_ratio": "37/10"}

    def test_a_hub_reduction_is_taken_off(self) -> None:
        assert (
            say(measured_shaft_turns=74, measured_wheel_turns=10, hub_ratio=2)["build"]["axle_ratio"]
            == "37/10"
        )

    def test_teeth_settle_it_and_a_reading_that_disagrees_is_said(self) -> None:
        made = say(ring_teeth=41, pinion_teeth=11)
        assert made["build"] == {"axle_ratio": "41/11"}
        assert column(made, "probability") == [1.0]
        assert "readings-disagree" not in codes(say(ring_teeth=37, pinion_teeth=10, measured_shaft_turns=37,
                                                     measured_wheel_turns=10))  # fmt: skip
        assert "readings-disagree" in codes(say(ring_teeth=41, pinion_teeth=11, measured_shaft_turns=41,
                                                measured_wheel_turns=10))  # fmt: skip

    def test_a_ratio_that_the_build_says_is_compared_and_not_joined(self) -> None:
        turns = {"measured_shaft_turns": 41, "measured_wheel_turns": 10}
        agrees, differs = say(**turns, axle_ratio=4.1), say(**turns, axle_ratio=3.73)
        assert "measurement-contradicts" not in codes(agrees)
        assert "measurement-contradicts" in codes(differs)
        assert agrees["build"] == differs["build"] == {"axle_ratio": "41/10"}
        (row,) = differs["understood"]
        assert row["expected"]["value"] == 3.73
        assert row["apart"] > 2.0

    def test_far_from_every_pair_nothing_is_guessed(self) -> None:
        made = say(measured_shaft_turns=77, measured_wheel_turns=10)
        assert "no-known-pair" in codes(made)
        low, high = map(float, made["build"]["axle_ratio"].split(" to "))
        assert low < 7.7 < high

    @pytest.mark.parametrize(("off", "near"), [(2.9, True), (3.1, False)])
    def test_three_uncertainties_from_a_pair_is_far(self, off: float, near: bool) -> None:
        """Beyond 43/6, the highest known; 1/16 turn either way of the shaft is 0.0361 turns (a / sqrt 3)."""
        made = say(measured_shaft_turns=430 / 6 + off * 0.0361, measured_wheel_turns=10)
        assert (made["build"]["axle_ratio"] == "43/6") == near
        assert ("no-known-pair" in codes(made)) != near

    @pytest.mark.parametrize(("axle_ratio", "apart"), [(4.1106, 1.94), (4.1112, 2.05)])
    def test_twice_the_uncertainty_of_the_difference_contradicts(
        self, axle_ratio: float, apart: float
    ) -> None:
        made = say(measured_shaft_turns=41, measured_wheel_turns=10, axle_ratio=axle_ratio)
        assert made["understood"][0]["apart"] == pytest.approx(apart, abs=0.01)
        assert ("measurement-contradicts" in codes(made)) == (apart > 2.0)

    @pytest.mark.parametrize(("shaft", "disagree"), [(40.95, False), (40.85, True)])
    def test_two_readings_are_joined_and_may_disagree(self, shaft: float, disagree: bool) -> None:
        """3.723 or 3.714 by hand, and 3.817 with a standard uncertainty of 0.049 on the road."""
        road = ROAD | {"measured_rollout": "2.662 m"}
        turns = {"measured_shaft_turns": shaft, "measured_wheel_turns": 11}
        made, of_turns = say(**road, **turns), say(**turns)
        assert ("readings-disagree" in codes(made)) == disagree
        assert np.ptp(made["ranges"]["measured_axle_ratio"]) < np.ptp(
            of_turns["ranges"]["measured_axle_ratio"]
        )
        assert made["result"]["measured_axle_ratio"] > of_turns["result"]["measured_axle_ratio"]

    def test_a_ratio_that_the_build_says_is_known_to_a_thousandth(self) -> None:
        """Printed to two decimals; the range holds 9 in 10."""
        (row,) = say(measured_shaft_turns=41, measured_wheel_turns=10, axle_ratio=4)["understood"]
        assert [row["expected"]["low"], row["expected"]["high"]] == pytest.approx(
            [4 - 0.00658, 4 + 0.00658], abs=1e-5
        )

    @pytest.mark.parametrize(("shaft", "ratio"), [(10, 1.0), (200, 20.0)])
    def test_the_lowest_and_the_highest_ratio_of_a_build_are_read(self, shaft: float, ratio: float) -> None:
        made = say(measured_shaft_turns=shaft, measured_wheel_turns=10)
        assert made["result"]["measured_axle_ratio"] == ratio

    @pytest.mark.parametrize(
        ("given", "told", "ask"),
        [
            (
                {"measured_engine_speed": 2440, "measured_road_speed": 65, "measured_rollout": "2.662 m"},
                "cannot tell it from 3.70 or 3.77.",
                "count 5 turns of both wheels, or 10 of one",
            ),
            (
                {"measured_shaft_turns": "60 to 63", "measured_wheel_turns": 10},
                "cannot tell it from 6.17.",
                "count 6 turns of both wheels, or 11 of one",
            ),
            (
                {"measured_shaft_turns": "48.5 to 51.5", "measured_wheel_turns": 10},
                "cannot tell it from 5.13 or 4.78.",
                "count 1 turn of both wheels, or 1 of one",
            ),
            (
                {"measured_shaft_turns": "44.7 to 47.7", "measured_wheel_turns": 10},
                "cannot tell it from 4.56 or 4.70 and 1 more.",
                "count 2 turns of both wheels, or 4 of one",
            ),
        ],
    )
    def test_how_many_turns_would_tell_the_likeliest_two(
        self, given: dict[str, Any], told: str, ask: str
    ) -> None:
        """A mark misread by 1/16 turn either time: 41/11 and 37/10 lie 3/110 apart, 0.125 x 110 / 3 = 4.6 turns."""
        made = say(**given)
        assert made["summary"].endswith(told)
        assert ask in made["ask"]

    def test_pairs_out_of_the_question_are_not_listed(self) -> None:
        """Below one in two thousand."""
        shares = [0.9980, 0.0010, 0.0005, 0.0004]
        teeth = (np.full(4, 41.0), np.array([9.0, 10.0, 11.0, 12.0]))
        figure = readings.Figure(np.float64(4.5), np.float64(0.01))  # type: ignore[arg-type]
        ratio = Ratio(figure, (), teeth, np.array(shares), (), ())
        assert [row.probability for row in candidates(ratio)] == shares[:3]

    @pytest.mark.parametrize(
        ("shares", "count"),
        [([0.95, 0.05], 1), ([0.94, 0.04, 0.02], 2), ([0.5, 0.3], 2), ([], 0)],
    )
    def test_pairs_are_named_until_they_hold_95_percent(self, shares: list[float], count: int) -> None:
        rows = [Candidate(4.1, 41, 10, share) for share in shares]
        assert len(named(rows)) == count


class TestTyreAndMasses:
    def test_rolled_distance_is_joined_with_what_the_size_says(self) -> None:
        made = say(tyre="265/70R17", measured_rollout="97 in", measured_rollout_turns=1)
        factor = 97 / (17 + 2 * 0.7 * 265 / 25.4)
        low, high = map(float, made["build"]["rolling_factor"].split(" to "))
        assert low < factor < high
        assert made["result"]["measured_rolling_radius"] == pytest.approx(
            made["result"]["measured_circumference"] / (2.0 * np.pi)
        )

    def test_without_a_size_it_is_a_tyre_of_its_own(self) -> None:
        made = say(measured_rollout="106.75 in")
        assert made["build"]["tyre"] == "35 in"
        assert say("metric", measured_rollout="2711.45 mm")["build"]["tyre"] == "889 mm"

    def test_a_diameter_and_a_factor_as_measured_are_not_quite_exact(self) -> None:
        """Pressure and load move the distance by a thousandth of the diameter: 0.035 in of 105, held 9 times in 10."""
        (row,) = say(tyre="35 in", rolling_factor=3, measured_rollout="105 in")["understood"]
        expected = row["expected"]
        assert expected["value"] == pytest.approx(105)
        assert [expected["low"], expected["high"]] == pytest.approx([105 - 0.05757, 105 + 0.05757], abs=1e-4)

    def test_a_size_says_a_tyre_worn_by_half_of_what_it_can_lose(self) -> None:
        """The middle of 0 and 3 % of the diameter; new, a metric size is 0.6 % larger in the middle (-0.3 to 1.5 %)."""
        size = 17 + 2 * 0.7 * 265 / 25.4
        by_size, as_measured = (
            say(tyre=tyre, rolling_factor=3, measured_rollout="97 in")["understood"][0]["expected"]["value"]
            for tyre in ("265/70R17", f"{size} in")
        )
        assert by_size / as_measured == pytest.approx(1 + 0.006 - 0.015, abs=1e-6)

    def test_axles_weighed(self) -> None:
        made = say(front_axle_weighed="2810 lb", rear_axle_weighed="2490 lb")
        assert made["result"]["measured_mass"] == pytest.approx(5300)
        assert made["result"]["measured_front_share"] == pytest.approx(2810 / 5300, abs=3e-4)
        assert made["build"]["vehicle_mass"].endswith(" lb")

    def test_one_axle_lifted(self) -> None:
        """0.700 m of 2300 kg, 2.946 m, radius 0.4 m, lift 0.6 m: the front gains 48.72 kg. Computed."""
        made = say("metric", **LIFT, other_axle_load="1288.72 kg")
        (row,) = [row for row in made["understood"] if row["field"] == "mass_centre_height"]
        assert row["value"] == pytest.approx(700, abs=0.1)
        assert (row["high"] - row["low"]) / 2.0 == pytest.approx(1.645 * 50, rel=0.05), (
            "scales 10 kg either way"
        )
        assert "lift-says-little" in codes(made)

    def test_scales_that_are_read_finer(self) -> None:
        """Scales, lift and radius 5 kg and 5 mm either way: 0.658 to 0.742 m. Computed."""
        ranges = {"front_axle_weighed": "1235 to 1245 kg", "rear_axle_weighed": "1055 to 1065 kg",
                  "lifted_axle_height": "0.595 to 0.605 m"}  # fmt: skip
        made = say("metric", **LIFT | ranges, other_axle_load="1283.72 to 1293.72 kg")
        (row,) = [row for row in made["understood"] if row["field"] == "mass_centre_height"]
        assert [row["low"], row["high"]] == pytest.approx([658, 742], rel=0.01)

    def test_the_higher_the_lift_the_narrower(self) -> None:
        high = LIFT | {"lifted_axle_height": "1.2 m"}
        gained = 2300 * 0.3 / 2.946 * np.tan(np.arcsin(1.2 / 2.946))
        made = say("metric", **high, other_axle_load=f"{1240 + gained:.2f} kg")
        (row,) = [row for row in made["understood"] if row["field"] == "mass_centre_height"]
        assert row["value"] == pytest.approx(700, abs=0.1)
        assert "lift-says-little" not in codes(made)

    @pytest.mark.parametrize(("lift", "rough"), [(0.84, True), (0.87, False)])
    def test_five_percent_of_the_height_is_rough(self, lift: float, rough: bool) -> None:
        gained = 2300 * 0.3 / 2.946 * np.tan(np.arcsin(lift / 2.946))
        lifted = LIFT | {"lifted_axle_height": f"{lift} m"}
        made = say("metric", **lifted, other_axle_load=f"{1240 + gained:.2f} kg")
        (row,) = [row for row in made["understood"] if row["field"] == "mass_centre_height"]
        uncertainty = (row["high"] - row["low"]) / 2.0 / 1.645
        assert uncertainty / row["value"] == pytest.approx(0.05, abs=0.0015)
        assert (uncertainty > 0.05 * row["value"]) == rough
        assert ("lift-says-little" in codes(made)) == rough
        assert (made["ask"] or "").startswith("Lift the axle higher") == rough

    def test_the_least_gain_is_read(self) -> None:
        """Half a kilogram: the mass centre lies a little above the wheel's, 400 mm."""
        made = say("metric", **LIFT, other_axle_load="1240.5 kg")
        assert 400 < made["result"]["measured_mass_centre_height"] < 405

    def test_the_heaviest_vehicle_is_read(self) -> None:
        half = {"front_axle_weighed": "30 t", "rear_axle_weighed": "30 t"}
        assert say("metric", **half)["result"]["measured_mass"] == 60000

    def test_what_contradicts_is_not_joined(self) -> None:
        """0.700 m measured where 1.2 m is said: the measurement stands, and both are shown."""
        made = say("metric", **LIFT, other_axle_load="1288.72 kg", mass_centre_height="1.2 m")
        assert "measurement-contradicts" in codes(made)
        assert made["result"]["measured_mass_centre_height"] == pytest.approx(700, abs=0.1)

    def test_sag(self) -> None:
        """1325 lb on 1 in; the formula's estimate pulls it, because 2 mm of a tape are 8 % of it."""
        made = say(tyre="LT315/70R17", tyre_load="1325 lb", tyre_pressure=32, measured_sag="1 in")
        (row,) = made["understood"]
        assert row["value"] == pytest.approx(1325)
        assert made["result"]["measured_loaded_radius"] == pytest.approx(
            (17 + 2 * 0.7 * 315 / 25.4) / 2 - 1, rel=1e-6
        )


def coasted(speeds: list[float], mass: float, f0: float, f2: float, push: float = 0.0) -> str:
    """Times at these speeds in mph, by Gauss's quadrature of mass / force; `push` is a force along the road."""
    times = [0.0]
    points, weights = np.polynomial.legendre.leggauss(12)
    for upper, lower in pairwise(speeds):
        half = 0.5 * (upper - lower) * MPH
        v = half * points + 0.5 * (upper + lower) * MPH
        times.append(times[-1] + half * float(np.sum(weights * mass / (f0 + f2 * v * v - push))))
    return ",".join(f"{speed}:{time:.6f}" for speed, time in zip(speeds, times, strict=True))


class TestRoadLoad:
    def coefficients(self, made: Any) -> list[float]:
        constant, _, square = made["build"]["road_load"]
        return [constant * POUND_FORCE, square * POUND_FORCE / MPH**2]

    def test_two_terms_are_found_again(self) -> None:
        """250 N + 0.80 v2 of 2070 kg with its turning parts."""
        run = coasted(SPEEDS, 2070.0, 250.0, 0.80)
        made = say(coast_down=run, coast_down_back=run, vehicle_mass=f"{COASTED_MASS} kg")
        assert self.coefficients(made) == pytest.approx([250.0, 0.80], rel=0.01)
        assert made["build"]["road_load"][1] == 0.0

    def test_both_ways_cancel_a_slope_that_one_way_hides(self) -> None:
        slope = COASTED_MASS * 9.80665 * 0.005
        out, back = (coasted(SPEEDS, 2070.0, 250.0, 0.80, push) for push in (slope, -slope))
        one = say(coast_down=out, vehicle_mass=f"{COASTED_MASS} kg")
        both = say(coast_down=out, coast_down_back=back, vehicle_mass=f"{COASTED_MASS} kg")
        assert self.coefficients(both) == pytest.approx([250.0, 0.80], rel=0.01)
        assert self.coefficients(one)[0] == pytest.approx(250.0 - slope, rel=0.02)
        assert "coasted-one-way" in codes(one) - codes(both)
        low, high = (end * POUND_FORCE for end in one["ranges"]["measured_road_load"])
        assert high - low > 2.0 * 1.645 * slope / np.sqrt(3.0), "a slope that is not seen counts"
        assert both["ask"] is None
        assert one["ask"] == "Coast back on the same stretch and give that too (coast_down_back)."

    def test_the_covariance_makes_the_force_narrow_though_the_coefficients_are_wide(self) -> None:
        made = example()
        constant, _, square = made["build"]["road_load"]
        aa, _, ac, _, _, cc = made["build"]["road_load_covariance"]
        assert ac < 0.0
        assert ac * ac < aa * cc
        speed = made["result"]["measured_road_load_speed"]
        spread = np.sqrt(aa + 2.0 * ac * speed**2 + cc * speed**4)
        low, high = made["ranges"]["measured_road_load"]
        assert (high - low) / 2.0 == pytest.approx(1.645 * spread, rel=1e-3)
        assert spread / (constant + square * speed**2) < np.sqrt(aa) / constant

    def test_what_it_gives_is_taken_again(self) -> None:
        made = example()
        given = {name: made["build"][name] for name in ("road_load", "road_load_covariance")}
        read_build(given)


NEEDS = [
    ({}, "measured_engine_speed", "or another measurement is needed"),
    ({"measured_engine_speed": 2500}, "measured_road_speed", "is needed to make something of measured_engine_speed"),
    ({"measured_engine_speed": 2500, "measured_road_speed": 65}, "tyre", "is needed to make something of"),
    ({"coast_down": "60:0,50:8.5,40:18.4"}, "vehicle_mass", "is needed to make something of coast_down"),
    ({"coast_down_back": "60:0,50:8.5,40:18.4", "vehicle_mass": 5000}, "coast_down", "is needed to make something"),
    ({"measured_sag": 1}, "tyre_load", "is needed to make something of measured_sag"),
    ({"ring_teeth": 41}, "pinion_teeth", "is needed to make something of ring_teeth"),
    ({"coast_down": "60:0,50:18.5,40:18.4", "vehicle_mass": 5000}, "coast_down", "must rise in time"),
    ({"coast_down": "60:0,50:8.5,55:18.4", "vehicle_mass": 5000}, "coast_down", "must fall in road speed"),
    ({"coast_down": "60:0,50:18.5,40:20.4", "vehicle_mass": 5000}, "coast_down", "says no road load that rises"),
    ({"measured_shaft_turns": 0, "measured_wheel_turns": 10}, "measured_shaft_turns", "must be a number from 0.05"),
    ({"measured_shaft_turns": 37, "measured_wheel_turns": 0}, "measured_wheel_turns", "must be a number from 0.05"),
    ({"measured_shaft_turns": 90, "measured_wheel_turns": 1}, "measured_shaft_turns", "says no axle ratio"),
    ({"measured_shaft_turns": 18, "measured_wheel_turns": 10, "one_wheel_held": "yes", "differential": "locked"},
     "one_wheel_held", "must be no with this differential"),
    ({"measured_rollout": "30 in"}, "measured_rollout", "must be the circumference of a tyre"),
    (LIFT | {"other_axle_load": "1240 kg"}, "other_axle_load", "must be more than that axle weighed"),
    (LIFT | {"other_axle_load": "1300 kg", "lifted_axle_height": 0}, "lifted_axle_height",
     "must be a number from 1"),
    (LIFT | {"other_axle_load": "1300 kg", "wheelbase": 50, "lifted_axle_height": 60},
     "lifted_axle_height", "must be less than wheelbase"),
    (LIFT | {"other_axle_load": "1300 kg", "wheelbase": 60, "lifted_axle_height": 60},
     "lifted_axle_height", "must be less than wheelbase"),
    (LIFT | {"other_axle_load": "1900 kg"}, "other_axle_load", "the mass centre would lie above 120 in (3 m)"),
    ({"front_axle_weighed": "30 t", "rear_axle_weighed": "31 t"}, "front_axle_weighed", "say no mass of a vehicle"),
    ({"front_axle_weighed": 200, "rear_axle_weighed": 9000}, "front_axle_weighed", "must be 0.1 to 0.9"),
    ({"measured_sag": 12, "tyre_load": 500, "tyre_pressure": 30}, "measured_sag", "says no stiffness of a tyre"),
    ({"measured_sag": 7.5, "tyre_load": 2400, "tyre_pressure": 30, "tyre": "15 in"}, "measured_sag",
     "must be less than the height of the tyre's section"),
    ({"measured_sag": 5, "tyre_load": 2400, "tyre_pressure": 30, "tyre": "185/60R15"}, "measured_sag",
     "must be less than the height of the tyre's section"),
    ({"measured_engine_speed": 5000, "measured_road_speed": 5, "measured_rollout": "100 in"},
     "measured_engine_speed", "at measured_road_speed says no axle ratio"),
    ({"coast_down": "100:0,80:5,60:6,5:46", "vehicle_mass": 5000}, "coast_down", "scatters too much to say"),
]  # fmt: skip


@pytest.mark.parametrize(("given", "field", "reason"), NEEDS)
def test_what_says_nothing_is_refused_by_field(given: dict[str, Any], field: str, reason: str) -> None:
    with pytest.raises(InvalidBuild) as refused:
        say(**given)
    (fault,) = [fault for fault in refused.value.faults if fault.field == field]
    assert reason in fault.detail


def test_a_reading_that_lacks_another_is_named_beside_one_that_does_not() -> None:
    made = say(measured_rollout="97 in", measured_sag="1 in")
    assert made["unused"] == [{"field": "measured_sag", "needs": ["tyre_load", "tyre_pressure"]}]
    assert made["ask"] == "Give load on the tyre (tyre_load) and tyre pressure with measured sag."


def test_it_compares_with_no_original_and_is_no_part_of_the_sheet() -> None:
    made = example(original_tyre="33 in")
    assert "original" not in made
    sheet = about("build-sheet", dict(QUESTION.example))()
    assert "from-measurements" not in {*sheet["parts"], *sheet["missing"]}


def plausible(random: np.random.Generator) -> dict[str, Any]:
    """Readings of an invented truck with the errors that they usually have."""
    ratio = float(random.choice([41 / 11, 41 / 10, 41 / 9]))
    raw: dict[str, Any] = {"tyre": "LT265/70R17", "front_axle_weighed": float(random.uniform(2600, 3000)),
                           "rear_axle_weighed": float(random.uniform(2200, 2600))}  # fmt: skip
    if random.random() < 0.5:
        raw |= {
            "measured_shaft_turns": round(ratio * 10 * 16 + random.uniform(-1, 1)) / 16,
            "measured_wheel_turns": 10,
        }
    if random.random() < 0.5:
        raw |= {"measured_engine_speed": 60 * 29.06 * ratio / 2.45 + random.normal(0.0, 5.0),
                "measured_road_speed": 65, "measured_engine_speed_by": "scan-tool"}  # fmt: skip
    if random.random() < 0.5:
        run = coasted([60.0, 50.0, 40.0, 30.0, 20.0], 2450.0, 280.0, float(random.uniform(0.7, 1.0)))
        raw |= {"coast_down": run, "coast_down_back": run}
    return raw


def test_few_enough_sets_of_readings_are_warned() -> None:
    random = np.random.default_rng(20_26)
    found = [verdict(QUESTION, ask(QUESTION, read_build(plausible(random)))) for _ in range(100)]
    assert sum(each in ("check", "stop") for each in found) <= 70


def test_a_reading_given_as_a_range_has_its_own_uncertainty() -> None:
    """A range is uniform between its ends: 60 rpm wide is a standard uncertainty of 17.3 rpm."""
    made = say(measured_engine_speed="2470 to 2530 rpm", measured_road_speed=65, measured_rollout="2.662 m")
    low, high = made["ranges"]["measured_axle_ratio"]
    relative = np.hypot(np.hypot(60 / 12**0.5 / 2500, 0.1 / 29.06), 0.006 / 2.662)
    assert (high - low) / 2.0 == pytest.approx(3.817 * 1.645 * relative, rel=0.01)


@pytest.mark.parametrize("system", ["us", "metric"])
def test_what_it_adds_is_taken_as_ranges(system: Any) -> None:
    made = example(system, wheelbase="109 in", tyre_pressure="32 psi", coast_down=None, coast_down_back=None)
    again = read_build(made["build"], system)
    assert {"axle_ratio", "vehicle_mass", "front_axle_share", "mass_centre_height"} <= set(again.between)
    low, high = again.between["vehicle_mass"]
    ends = made["ranges"]["measured_mass"]
    unit = 0.45359237 if system == "us" else 1.0
    assert [low / unit, high / unit] == pytest.approx(ends, rel=2e-4)


@pytest.mark.parametrize("times", [[0.0, 5.0, 5.0], [0.0, 5.0, 4.0]])
def test_forces_need_times_that_rise(times: list[float]) -> None:
    with pytest.raises(DomainError) as refused:
        measurements.interval_forces(2000.0, [20.0, 15.0, 10.0], times)
    assert refused.value.argument == "elapsed_time"


@pytest.mark.parametrize("speeds", [[20.0, 15.0, 15.0], [20.0, 15.0, 16.0]])
def test_forces_need_speeds_that_fall(speeds: list[float]) -> None:
    with pytest.raises(DomainError) as refused:
        measurements.interval_forces(2000.0, speeds, [0.0, 5.0, 9.0])
    assert refused.value.argument == "road_speed"


def test_forces_of_small_steps() -> None:
    """Half a metre a second lost in half a second, at 2000 kg: 2000 N."""
    speeds, forces = measurements.interval_forces(2000.0, [20.0, 19.5, 19.0], [0.0, 0.5, 1.0])
    assert speeds.tolist() == [19.75, 19.25]
    assert forces.tolist() == [2000.0, 2000.0]


def test_turns_are_of_one_wheel_or_of_both() -> None:
    for wheels in (0.0, 1.5, 3.0):
        with pytest.raises(DomainError, match="wheels_turning must be 1 or 2"):
            measurements.ratio_from_turns(18.0, 10.0, wheels)


def test_equal_ratios_are_told_apart_by_no_count() -> None:
    with pytest.raises(DomainError, match="next_ratio must be another than ratio"):
        measurements.turns_to_separate(3.7, 3.7, 1 / 16, 2.0)


def test_a_line_needs_points_that_differ() -> None:
    with pytest.raises(DomainError, match="x must be not all equal"):
        measurements.fit_line([2.0, 2.0, 2.0], [1.0, 2.0, 3.0])
    near = measurements.fit_line([0.0, 0.25, 0.5], [1.0, 1.5, 2.0])
    assert [float(near.intercept), float(near.slope)] == [1.0, 2.0]


def test_points_scatter_about_a_line_of_three_and_not_of_two() -> None:
    """0, 1 and 0 lie 1/3, 2/3 and 1/3 off their mean: s = sqrt(6/9 / (3 - 2)) (JCGM 100:2008, H.3)."""
    assert float(measurements.fit_line([0.0, 1.0, 2.0], [0.0, 1.0, 0.0]).residual) == pytest.approx(
        (2 / 3) ** 0.5
    )
    assert np.isnan(measurements.fit_line([0.0, 1.0], [0.0, 1.0]).residual)


def test_a_vehicle_is_not_lifted_by_its_wheelbase() -> None:
    with pytest.raises(DomainError, match="lift must be less than the wheelbase"):
        measurements.mass_centre_from_lift(0.39, 96.0, 2300.0, 0.8, 0.8)


SHARES_WITHIN = {
    "normal": lambda times: math.erf(times / 2**0.5),
    "uniform": lambda times: times / 3**0.5,
    "triangular": lambda times: 1.0 - (1.0 - times / 6**0.5) ** 2,
}
"""Share of a distribution within so many standard deviations of its middle (JCGM 100:2008, 4.3.7 and 4.3.9)."""


def test_what_is_usual_reaches_over_nine_in_ten() -> None:
    table = tables.table("spreads")
    seen = set()
    for field, when, shape, low, high in zip(
        *map(table.column, ("field", "when", "shape", "low", "high")), strict=True
    ):
        if shape in SHARES_WITHIN:
            figure = readings.usual(str(field), str(when or ""), np.float64(100.0))  # type: ignore[arg-type]
            times = (float(str(high)) - float(str(low))) / 2.0 / figure.uncertainty
            assert SHARES_WITHIN[str(shape)](float(times)) == pytest.approx(0.9, abs=1e-3), (field, when)
            seen.add(shape)
    assert seen == set(SHARES_WITHIN)


def test_a_lifted_body_is_expected_with_a_higher_mass_centre() -> None:
    def expected(**more: Any) -> float:
        lift = LIFT | {"other_axle_load": "1320 kg", "roof_height": "76 in"}
        found = say(**lift | more)["understood"]
        (height,) = (one for one in found if one["field"] == "mass_centre_height")
        return float(height["expected"]["value"])

    assert expected(lift_height="2 in") > expected() > expected(lift_height="-2 in")
    assert expected(lift_height="2 in") - expected() == pytest.approx(
        expected() - expected(lift_height="-2 in")
    )
