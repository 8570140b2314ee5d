"""The wheel end and the housing in axle-check: bending of a shaft end, bearings, scrub, steering, standard."""

from math import cos, hypot, pi, radians, sin, sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.formats.document import Document
from gearing_api.mechanics import wheel_ends
from gearing_api.mechanics.domain import DomainError
from tests.questions.test_axle_check import POUND_FOOT, check, rows
from tests.questions.test_axle_strength import ask_demo, level_of

QUICK = settings(max_examples=25, deadline=None, derandomize=True)
END = "shaft end"
INCH = 0.0254
SEMI: dict[str, Any] = {
    "axle_position": "rear", "axle_kind": "semi-floating", "bearing_arm": 3.5, "half_shaft_end_diameter": 1.5,
    "differential": "open",
}  # fmt: skip


def end(**changes: Any) -> dict[str, Any]:
    return rows(check("us", **SEMI | changes))[END]


class TestShaftEnd:
    def test_a_full_floating_shaft_only_turns(self) -> None:
        assert END not in rows(check(axle_position="rear"))
        assert level_of(check(axle_position="rear"), "semi-floating") is None
        assert level_of(check("us", **SEMI), "semi-floating") == "note"

    def test_driving_bends_and_twists_it(self) -> None:
        """A university text after the textbook axle method: b sqrt(Rz^2 + Rx^2), with the torque by Tresca."""
        radius = 34 * INCH * 3.05 / (2 * pi)
        wheel = 0.5 * 4400 * 0.45359237 * 9.80665 / 2
        found = end(impact_factor=1, mounting_width=None, adhesion=0.8)
        expected = hypot(3.5 * INCH * hypot(wheel, 0.8 * wheel), 0.8 * wheel * radius)
        assert found["load"] * POUND_FOOT == pytest.approx(expected)
        assert found["capacity"] * POUND_FOOT == pytest.approx(
            1090e6 / sqrt(3) * pi * (1.5 * INCH) ** 3 / 16, rel=3e-4
        )

    def test_a_bump_bends_it_alone(self) -> None:
        wheel = 0.5 * 4400 * 0.45359237 * 9.80665 / 2
        found = end(impact_factor=10, mounting_width=None, adhesion=0.1)
        assert found["load"] * POUND_FOOT == pytest.approx(10 * 3.5 * INCH * wheel)

    def test_a_skid_bends_the_shaft_of_the_outer_wheel(self) -> None:
        radius, track = 34 * INCH * 3.05 / (2 * pi), 63 * INCH
        whole = 0.5 * 4400 * 0.45359237 * 9.80665
        outer = whole / 2 * (1 + 2 * 27 * INCH * 0.8 / track)
        found = end(impact_factor=1, adhesion=0.8)
        assert found["load"] * POUND_FOOT == pytest.approx(outer * (0.8 * radius - 3.5 * INCH))

    def test_a_locked_axle_may_stand_on_one_wheel(self) -> None:
        free = {"mounting_width": None, "impact_factor": 1}
        opened, locked = end(**free), end(**free, differential="locked")
        assert locked["load"] == pytest.approx(2 * opened["load"])
        assert locked["usual_margin"] == pytest.approx(opened["usual_margin"])

    def test_without_its_fields_it_is_not_judged(self) -> None:
        made = check("us", **SEMI | {"bearing_arm": None})
        assert rows(made)[END]["margin"] is None
        assert rows(made)[END]["basis"] == "not known without bearing arm"

    @QUICK
    @given(
        name=st.sampled_from(["bearing_arm", "impact_factor", "adhesion"]),
        low=st.floats(0, 1),
        high=st.floats(0, 1),
    )
    def test_a_longer_arm_or_harder_ground_never_relieves_it(
        self, name: str, low: float, high: float
    ) -> None:
        spans = {"bearing_arm": (0, 6), "impact_factor": (1, 10), "adhesion": (0.1, 1.5)}
        first, last = spans[name]
        plain = {"mounting_width": None} if name == "bearing_arm" else {}
        less, more = (end(**plain, **{name: first + at * (last - first)}) for at in sorted((low, high)))
        assert more["margin"] <= less["margin"] * (1 + 1e-12)


FULL: dict[str, Any] = {"bearing_arm": 0.3, "bearing_span": 2.4}


class TestBearings:
    def test_a_wheel_further_out_wears_the_outer_bearing(self) -> None:
        """Bearings 60 mm apart, wheel plane 68 mm from the inner one: 6800 of 6000 N; before 30 mm: 3000 N."""
        made = ask_demo(
            **{"bearing_span": "60 mm", "bearing_arm": "8 mm", "wheel_offset": "-38 mm"},
            **{"original_wheel_offset": "0 mm", "original_vehicle_mass": 5300},
        )
        before = max(68 - 38, 60 - 30)
        assert made["result"]["bearing_life_ratio"] == pytest.approx((before / 68) ** (10 / 3))
        assert level_of(made, "bearing-life") == "check"

    def test_the_arm_follows_from_the_original_and_the_offset(self) -> None:
        """A more negative offset by 1.5 in puts the wheel plane 1.5 in further out."""
        given_now = ask_demo(bearing_span=2.4, bearing_arm=0.3)["result"]["bearing_life_ratio"]
        from_before = ask_demo(bearing_span=2.4, original_bearing_arm=0.3 - 1.5)["result"][
            "bearing_life_ratio"
        ]
        assert given_now == pytest.approx(from_before)

    def test_as_it_came_it_lasts_as_long(self) -> None:
        same = ask_demo(**FULL, original_wheel_offset=-1)
        assert same["result"]["bearing_life_ratio"] == pytest.approx(1)
        assert level_of(same, "bearing-life") is None

    @pytest.mark.parametrize(("arm", "share"), [(-4.9, 0.02), (-4.97, 0.01), (-5, 0.01)])
    def test_a_bearing_under_the_other_bearing_still_bears(self, arm: float, share: float) -> None:
        """An arm of the shaft's 5 in inboard leaves no load: a hundredth of the wheel's is taken."""
        bare = {
            "axle_kind": "semi-floating",
            "inner_length": 5,
            "original_bearing_arm": 0,
            "original_axle_kind": None,
        }
        made = ask_demo(**bare, bearing_arm=arm, original_vehicle_mass=5300)
        assert made["result"]["bearing_life_ratio"] == pytest.approx((1 / share) ** (10 / 3))

    @pytest.mark.parametrize(
        ("changes", "fields"),
        [
            ({}, ["bearing_arm", "bearing_span"]),
            ({"bearing_arm": 1, "axle_kind": "semi-floating", "inner_length": None}, ["inner_length"]),
            ({"bearing_arm": 1, "bearing_span": 2, "original_tyre": None}, ["original_tyre"]),
        ],
    )
    def test_what_it_needs(self, changes: dict[str, Any], fields: list[str]) -> None:
        assert ask_demo(**changes)["absent"]["bearing_life_ratio"] == {"why": "needs", "fields": fields}


class TestSteering:
    def test_scrub_radius_grows_with_offset_and_radius(self) -> None:
        """40 mm, offset 38 mm further out, radius 50 mm larger, inclination 8.5 degrees: 70.5 mm, computed."""
        per_radius = 2 * pi / 3.05
        made = ask_demo(
            tyre=f"{450 * per_radius} mm",
            original_tyre=f"{400 * per_radius} mm",
            original_scrub_radius="40 mm",
            kingpin_inclination=8.5,
            wheel_offset="-38 mm",
            original_wheel_offset="0 mm",
            tyre_pressure=None,
            tyre_load=None,
        )
        assert made["result"]["scrub_radius"] == pytest.approx(70.5 / 25.4, abs=2e-3)
        assert made["original"]["scrub_radius"] == pytest.approx(40 / 25.4)
        back = ask_demo(
            tyre=f"{450 * per_radius} mm",
            original_tyre=f"{400 * per_radius} mm",
            scrub_radius=f"{made['result']['scrub_radius']} in",
            kingpin_inclination=8.5,
            wheel_offset="-38 mm",
            original_wheel_offset="0 mm",
            tyre_pressure=None,
            tyre_load=None,
        )
        assert back["original"]["scrub_radius"] == pytest.approx(40 / 25.4)

    def test_trail(self) -> None:
        """420 mm x tan of 6 degrees: 44.1 mm, by definition."""
        made = check("metric", **METRIC | {"tyre": f"{420 * 2 * pi / 3.05} mm"}, caster=6)
        assert made["result"]["trail"] == pytest.approx(44.1, abs=0.05)

    def test_reach_of_the_tread_at_full_lock(self) -> None:
        """Radius 444.5 mm, width 318 mm, scrub 50 mm, 32 degrees: 328 mm inboard, geometry."""
        made = ask_demo(scrub_radius="50 mm", steer_angle=32)
        free, width = 35 / 2 * 25.4, 12.5 * 25.4
        expected = free * sin(radians(32)) - (50 - width / 2) * cos(radians(32))
        assert made["result"]["tread_reach"] * 25.4 == pytest.approx(expected)
        assert expected == pytest.approx(328, abs=0.7)

    def test_steering_at_rest_by_patch_and_scrub(self) -> None:
        """Automotive Chassis Engineering, p. 82: 0.58 W sqrt(d^2 + (a / 3)^2) a wheel, and the lift at steer_angle."""
        sag = ask_demo("tyre")["result"]["sag"] * INCH
        free = 35 / 2 * INCH
        patch = 2 * sqrt(free**2 - (free - sag) ** 2)
        wheel = 0.53 * 5300 * 0.45359237 * 9.80665 / 2
        scrub = 2 * INCH
        turning = 0.58 * wheel * hypot(scrub, patch / 3)
        lift = wheel * scrub * sin(radians(12)) * cos(radians(12)) * sin(radians(25))
        made = ask_demo(scrub_radius=2, kingpin_inclination=12)
        assert made["result"]["steering_torque_at_rest"] * POUND_FOOT == pytest.approx(2 * (turning + lift))
        assert made["original"]["steering_torque_at_rest"] < made["result"]["steering_torque_at_rest"]

    def test_a_rear_axle_is_not_steered(self) -> None:
        absent = ask_demo(axle_position="rear", scrub_radius=2, caster=5)["absent"]
        for name in ("scrub_radius", "trail", "tread_reach", "steering_torque_at_rest"):
            assert absent[name] == {"why": "does not apply"}

    def test_what_is_missing_is_named(self) -> None:
        absent = ask_demo(steer_angle=None, tyre_pressure=None, caster=None)["absent"]
        assert absent["tread_reach"]["fields"] == ["scrub_radius", "steer_angle"]
        assert absent["steering_torque_at_rest"]["fields"] == ["scrub_radius", "tyre_pressure"]
        assert absent["trail"]["fields"] == ["caster"]
        half = ask_demo(original_scrub_radius=1)["absent"]["scrub_radius"]
        assert half == {"why": "needs", "fields": ["kingpin_inclination"]}


METRIC: dict[str, Any] = {
    "inner_length": 760, "ring_gear_diameter": 216, "joint_rating": 3000, "tube_diameter": 76.2, "tube_wall": 6.35,
    "mounting_width": 1550, "wheel_offset": 0, "spring_seat_spacing": 1000, "vehicle_mass": 2 * 14000 / 9.80665,
    "tyre": "864 mm",
}  # fmt: skip


class TestHousing:
    def test_sag_against_the_standard_of_drive_axles(self) -> None:
        """Tube 76.2 x 6.35 mm, 14000 N, track 1.55 m, seats 1.0 m: 2.02 mm/m, computed; at most 1.4: QC/T 533-2020."""
        made = check("metric", **METRIC)
        assert made["result"]["sag_per_track"] == pytest.approx(0.202, abs=5e-4)
        assert level_of(made, "housing-standard") == "note"

    def test_reserve_is_yield_over_the_level_load(self) -> None:
        made = check("metric", **METRIC, tube_yield=400, grade_percent=60, impact_factor=4)
        moment = 14000 / 2 * 0.275
        assert made["result"]["static_reserve"] == pytest.approx(22490e-9 * 400e6 / moment, rel=1e-4)

    def test_braking_twists_the_tube(self) -> None:
        """Half of the axle load x grip x radius: 2499 N m at 0.85 and 0.42 m: computed."""
        made = check("metric", **METRIC | {"tyre": f"{420 * 2 * pi / 3.05} mm"}, adhesion=0.85)
        assert made["result"]["tube_torque"] == pytest.approx(2499, abs=1)

    @pytest.mark.parametrize(("reverses", "per_wheel"), [("yes", 1 + 1 / 1.5), ("no", 1.0)])
    def test_a_hub_box_of_two_gears_twists_it_more(self, reverses: str, per_wheel: float) -> None:
        """T (1 + 1 / i) where the box reverses, T (1 - 1 / i) where not, and then braking is more: computed."""
        made = check("metric", **METRIC, adhesion=0.85, hub_ratio=1.5, hub_reverses=reverses)
        plain = check("metric", **METRIC, adhesion=0.85)
        assert made["result"]["tube_torque"] == pytest.approx(per_wheel * plain["result"]["tube_torque"])

    def test_without_a_tube_what_it_needs_is_named(self) -> None:
        absent = check(tube_wall=None)["absent"]
        assert absent["static_reserve"] == {"why": "needs", "fields": ["tube_wall"]}


def test_given_track_stands_for_width_and_offset() -> None:
    plain = rows(check())["housing tube"]["margin"]
    given_track = check(mounting_width=None, wheel_offset=None, track=63)
    assert rows(given_track)["housing tube"]["margin"] == pytest.approx(plain)


def test_summary_stays_short() -> None:
    made: Document = check("us", **SEMI)
    assert len(made["summary"]) <= 200


def test_steering_is_reckoned_up_to_sixty_degrees() -> None:
    steep, steeper = radians(60), radians(60.1)
    lift = wheel_ends.jacking_torque(1000.0, 0.1, steep, steep)
    assert lift == pytest.approx(100 * sin(steep) * cos(steep) * sin(steep))
    for inclination, steer, name in (
        (steeper, steep, "kingpin_inclination"),
        (steep, steeper, "steer_angle"),
    ):
        with pytest.raises(DomainError, match=name):
            wheel_ends.jacking_torque(1000.0, 0.1, inclination, steer)
