"""Decisions by the axle check: loads on slopes, grip, the original, the truss. Each request is literal."""

from math import sqrt
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.formats.document import Document, document
from gearing_api.formats.markdown import as_markdown
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.text import as_text
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.demo_truck import TRUCK
from tests.questions.test_axle_check import TUBE, rows

QUICK = settings(max_examples=40, deadline=None, derandomize=True)


def ask_demo(question: str = "axle-check", /, **changes: Any) -> Document:
    raw = {name: value for name, value in (TRUCK | changes).items() if value is not None}
    build = read_build(raw)
    return document(QUESTIONS[question], build, ask(QUESTIONS[question], build))


def without_original(**changes: Any) -> Document:
    return ask_demo(**{name: None for name in TRUCK if name.startswith("original_")} | changes)


def level_of(made: Document, code: str) -> str | None:
    return next((caution["level"] for caution in made["cautions"] if caution["code"] == code), None)


class TestSlopes:
    @pytest.mark.parametrize(("grade", "margin"), [(0, 1.32), (30, 1.19), (60, 1.17)])
    def test_a_rear_axle_is_no_stronger_on_a_steeper_slope(self, grade: float, margin: float) -> None:
        """Without wheelbase and height of the mass centre: by moments from 0.69 m and 2.9 m, before the grip band.

        Where the original tyre is known, the mass centre stands 1.7 in higher by the growth of the tyre: 1 % less.
        """
        request = {"axle_position": "rear", "wheelbase": None, "mass_centre_height": None, "adhesion": 0.68}
        plain = without_original(**request, grade_percent=grade)
        assert plain["result"]["weakest_margin"] == pytest.approx(margin, abs=0.006)
        assert plain["assumed"]["mass_centre_height"] == pytest.approx(27)
        assert plain["assumed"]["wheelbase"] == pytest.approx(114)
        assert (level_of(plain, "mass-centre-estimated") == "note") == (grade != 0)
        grown = ask_demo(**request, grade_percent=grade)["result"]["weakest_margin"]
        assert 0.985 * plain["result"]["weakest_margin"] <= grown <= plain["result"]["weakest_margin"]

    def test_an_assumed_share_of_the_front_axle_is_always_said(self) -> None:
        assert level_of(ask_demo(front_axle_share=None), "axle-load-assumed") == "note"
        assert ask_demo(front_axle_share=None)["assumed"]["front_axle_share"] == 0.55
        assert level_of(ask_demo(), "axle-load-assumed") is None

    @QUICK
    @given(
        position=st.sampled_from(["front", "rear"]),
        gentle=st.floats(0, 2),
        steep=st.floats(0, 2),
        signs=st.tuples(st.sampled_from([-0.25, 1]), st.sampled_from([-0.25, 1])),
        share=st.floats(0.1, 0.9),
        height=st.one_of(st.none(), st.floats(5, 120)),
        wheelbase=st.one_of(st.none(), st.floats(50, 400)),
    )
    def test_a_steeper_slope_never_raises_a_margin(
        self,
        position: str,
        gentle: float,
        steep: float,
        signs: tuple[float, float],
        share: float,
        height: float | None,
        wheelbase: float | None,
    ) -> None:
        grades = sorted((100 * gentle * signs[0], 100 * steep * signs[1]), key=abs)
        less, more = (
            ask_demo(
                axle_position=position,
                grade_percent=grade,
                front_axle_share=share,
                mass_centre_height=height,
                wheelbase=wheelbase,
            )["result"]
            for grade in grades
        )
        for name in ("weakest_margin", "weakest_usual_margin"):
            assert more[name] <= less[name] * (1 + 1e-12)


class TestGrip:
    @pytest.mark.parametrize(
        ("surface", "highest"),
        [("dry-asphalt", 0.9), ("wet-asphalt", 0.7), ("gravel", 0.6 * 1.15), ("dry-earth", 0.68 * 1.15)],
    )
    def test_strength_takes_the_high_end_of_the_grip(self, surface: str, highest: float) -> None:
        """Wong, Theory of Ground Vehicles, p. 26: the high end where a range is printed; else 15 %, judgement."""
        loads = [
            rows(ask_demo(**grip))["ring gear"]["load"]
            for grip in ({"surface": surface}, {"surface": surface, "adhesion": highest})
        ]
        assert loads[0] == pytest.approx(loads[1], rel=1e-12)


class TestAgainstTheOriginal:
    def test_the_summary_leads_with_the_relation(self) -> None:
        made = ask_demo()
        assert made["summary"] == (
            "About 1.3 times the margin the original had on its 31 in tyres; the stub shaft is next."
        )
        before = made["original"]["weakest_margin"]
        assert made["result"]["strength_change_percent"] == pytest.approx(
            100 * (made["result"]["weakest_margin"] / before - 1), rel=1e-9
        )
        assert made["verdict"] == "clear"

    def test_the_truck_as_it_came_is_as_strong_as_it_was(self) -> None:
        same = {name: None for name in TRUCK if name.startswith("original_")}
        made = ask_demo(**same | {"original_tyre": TRUCK["tyre"]})
        assert made["result"]["strength_change_percent"] == pytest.approx(0, abs=1e-9)
        assert level_of(made, "weaker-than-original") is None

    @pytest.mark.parametrize(
        ("inches", "level"), [(33.0, None), (33.01, "check"), (41.2, "check"), (41.3, "stop")]
    )
    def test_below_its_margin_check_and_below_four_fifths_stop(
        self, inches: float, level: str | None
    ) -> None:
        """The ring gear of an open axle decides; its load grows with the tyre, 33 / 0.8 = 41.25 in."""
        made = without_original(
            differential="open",
            original_tyre="33 in",
            tyre=f"{inches} in",
            tyre_pressure=None,
            tyre_load=None,
        )
        assert made["result"]["weakest_part"] == "ring gear"
        assert level_of(made, "weaker-than-original") == level
        assert made["verdict"] == (level or "clear")

    def test_both_margins_are_taken_over_the_parts_known_of_both(self) -> None:
        """An original of unknown pitch has no inner shaft to compare with."""
        weak = {"inner_splines": 20, "original_inner_pitch": None}
        made = ask_demo(**weak)
        assert made["result"]["weakest_part"] == "inner shaft"
        assert (
            made["result"]["strength_change_percent"]
            == ask_demo(**weak, inner_diameter=0.5)["result"]["strength_change_percent"]
        )

    def test_what_is_taken_as_unchanged_is_named(self) -> None:
        text = next(c["text"] for c in ask_demo()["cautions"] if c["code"] == "original-as-now")
        assert "peak torque" in text
        assert "splines" not in text
        heavier = ask_demo(original_vehicle_mass=4500)
        assert "vehicle_mass" not in next(
            c["text"] for c in heavier["cautions"] if c["code"] == "original-as-now"
        )
        assert heavier["result"]["strength_change_percent"] < ask_demo()["result"]["strength_change_percent"]

    def test_without_an_original_tyre_it_is_not_known(self) -> None:
        made = without_original()
        assert made["result"]["strength_change_percent"] is None
        assert made["absent"]["strength_change_percent"] == {"why": "needs", "fields": ["original_tyre"]}

    def test_without_the_original_a_weak_axle_is_to_check_and_never_stop(self) -> None:
        """By the usual margin at K 10: both tyres share, the trade's limit of the ring gear."""
        ring = {"axle_position": "rear", "differential": "open", "tube_wall": None, "inner_splines": None}
        usual = without_original(**ring)["result"]["weakest_usual_margin"]
        just, below = (
            without_original(**ring, ring_gear_diameter=8.5 * (factor / usual) ** (1 / 3))
            for factor in (1.001, 0.999)
        )
        assert level_of(just, "margin-below-1") == "note"
        assert level_of(below, "margin-below-1") == "check"
        assert (just["verdict"], below["verdict"]) == ("clear", "check")
        assert without_original(**ring, ring_gear_diameter=4)["verdict"] == "check"

    def test_adhesion_1_loads_a_part_beyond_its_limit_and_says_so(self) -> None:
        made = ask_demo(adhesion=1.0)
        assert made["result"]["weakest_margin"] == pytest.approx(0.59, abs=0.005)
        assert level_of(made, "margin-below-1") == "note"
        sheet = ask_demo("build-sheet", adhesion=1.0)
        assert "weakest_margin" in sheet["head"]


class TestTwoCases:
    def test_the_ring_gear_by_endurance_and_by_what_the_trade_quotes(self) -> None:
        ring = rows(ask_demo())["ring gear"]
        assert ring["usual_margin"] / ring["margin"] == pytest.approx((13 / 10) ** 3)
        load = ask_demo("ring-gear-load")["result"]
        assert load["ring_gear_usual_margin"] / load["ring_gear_margin"] == pytest.approx((13 / 10) ** 3)

    @pytest.mark.parametrize(
        ("kind", "per_worst"), [("open", 1), ("limited-slip", 1), ("locked", 2), ("spool", 2)]
    )
    def test_both_tyres_usually_share_what_one_may_get_at_the_worst(
        self, kind: str, per_worst: float
    ) -> None:
        for part in ("inner shaft", "stub shaft", "joint"):
            row = rows(ask_demo(differential=kind))[part]
            assert row["usual_margin"] == pytest.approx(per_worst * row["margin"])

    def test_each_axle_has_its_own_differential(self) -> None:
        front = rows(ask_demo(front_differential="open"))["inner shaft"]
        assert front == rows(ask_demo(differential="open"))["inner shaft"]
        assert rows(ask_demo(rear_differential="open"))["inner shaft"] != front

    def test_the_size_of_a_tyre_stands_in_text_only_as_a_range(self) -> None:
        made = ask_demo()
        low, high = made["ranges"]["tyre_limit"]
        assert low == made["result"]["tyre_limit"] < high
        for text in (as_text(made, OutputOptions()), as_markdown(made, OutputOptions())):
            said = text.decode()
            assert f"{low:.0f} to {high:.0f}" in said
            assert f"{low:.2g} in\n" not in said
            assert "limit" not in said.partition("one")[2].partition("as it is")[0]

    @pytest.mark.parametrize(
        ("change", "why"), [({"peak_torque": 20}, "no limit"), ({"impact_factor": 4}, "none does")]
    )
    def test_why_there_is_no_tyre_limit(self, change: dict[str, Any], why: str) -> None:
        made = ask_demo(**change)
        assert made["result"]["tyre_limit"] is None
        assert made["absent"]["tyre_limit"] == {"why": why}

    @pytest.mark.parametrize(("factor", "margin"), [(2.5, 1.6), (2.5, 1.59), (3, 4 / 3), (3, 1.33)])
    def test_a_housing_that_bears_the_ground_but_not_a_jump(self, factor: float, margin: float) -> None:
        plain = rows(ask_demo(impact_factor=factor))[TUBE]["margin"]
        made = ask_demo(impact_factor=factor, tube_yield=60 * margin / plain * (1 + 1e-12))
        assert rows(made)[TUBE]["margin"] == pytest.approx(margin)
        assert (level_of(made, "housing-jump") == "note") == (margin * factor < 4)

    def test_the_housing_in_three_named_cases(self) -> None:
        tube = rows(ask_demo())[TUBE]
        said = tube["basis"].partition("margin on ")[2].partition("; braking")[0]
        assert said == ", ".join(
            f"{name} x {times}: {tube['margin'] * 2.5 / times:.2g}"
            for name, times in (("road", 2.5), ("rough ground", 3), ("a jump", 4))
        )


class TestTwist:
    @pytest.mark.parametrize(("use", "told"), [(1.15, True), (1.19, False), (1.32, False), (1.4, False)])
    def test_no_twist_is_told_beyond_one_and_a_half_times_that_at_first_yield(
        self, use: float, told: bool
    ) -> None:
        """Beer & Johnston, ch. 3: core 1 / 1.5 of the radius at 4/3 (1 - 1/27 ...) = 1.235 times the yield torque
        would be 1.5 times the twist of an elastic core; reached at (4 - (1/1.5)^3) / 3 = 1.2346."""
        plain = rows(ask_demo())["inner shaft"]
        load = plain["load"] / plain["capacity"]
        made = rows(ask_demo(adhesion=0.68 * 1.15 * use / load * (1.0346 if told else 1.04)))["inner shaft"]
        assert ("deg" in made["basis"]) == told
        assert ("1.5 times as far as at first yield" in made["basis"]) != told


CHORD = {"truss_diameter": 1.5, "truss_wall": 0.12, "truss_height": 5, "truss_end": 6}
WEB = {"truss_panel": 8, "truss_web_wall": 0.1875, "truss_weld_leg": 0.1875, "truss_weld_share": 0.5}


def bends_at(**changes: Any) -> float:
    return float(rows(ask_demo(**changes))[TUBE]["capacity"])


class TestTruss:
    def test_a_height_alone_adds_nothing(self) -> None:
        made = ask_demo(truss_height=18)
        assert rows(made)[TUBE] == rows(ask_demo())[TUBE]
        assert level_of(made, "truss-left-out") == "note"

    def test_a_tall_truss_counts_by_the_least_of_its_limits(self) -> None:
        """The tube is bare at the ends of the truss, whatever its height: lever / distance of the end."""
        lever = (67 - 34) / 2
        made = ask_demo(**CHORD | {"truss_height": 18}, **WEB | {"truss_weld_share": 1})
        assert rows(made)[TUBE]["capacity"] <= bends_at() * lever / 6 * (1 + 1e-12)
        assert level_of(made, "truss-welding") == "note"

    def test_without_a_web_only_the_second_moments_add(self) -> None:
        made = ask_demo(**CHORD)
        tube = 2.75**4 - 2.25**4
        chord = 1.5**4 - 1.26**4
        assert rows(made)[TUBE]["capacity"] == pytest.approx(bends_at() * (1 + chord / tube), rel=1e-9)
        text = next(c["text"] for c in made["cautions"] if c["code"] == "truss-not-judged")
        assert all(name in text for name in ("truss panel", "truss_web_wall", "truss weld leg"))

    @pytest.mark.parametrize(
        ("change", "first"),
        [
            ({"truss_end": 13}, "the tube at the end of the truss"),
            ({"truss_weld_leg": 0.06, "truss_weld_share": 0.1}, "the welds"),
            ({"truss_web_wall": 0.03, "truss_height": 8}, "the web"),
            ({"truss_wall": 0.04, "truss_height": 3}, "the truss"),
            ({"truss_panel": 40, "truss_diameter": 1, "truss_wall": 0.2}, "the truss"),
        ],
    )
    def test_each_limit_can_be_the_least(self, change: dict[str, Any], first: str) -> None:
        strong = CHORD | WEB | {"truss_end": 1, "truss_weld_leg": 0.5, "truss_weld_share": 1}
        assert f"; {first} gives way first" in rows(ask_demo(**strong | change))[TUBE]["basis"]

    @QUICK
    @given(
        name=st.sampled_from(
            ["truss_web_wall", "truss_weld_leg", "truss_weld_share", "truss_wall", "truss_panel"]
        ),
        low=st.floats(0, 1),
        high=st.floats(0, 1),
        height=st.floats(2.2, 24),
        end=st.floats(0, 33),
    )
    def test_smaller_welds_webs_or_chords_never_raise_what_it_bears(
        self, name: str, low: float, high: float, height: float, end: float
    ) -> None:
        spans = {
            "truss_web_wall": (0.03, 0.5),
            "truss_weld_leg": (0.05, 0.5),
            "truss_weld_share": (0.05, 1),
            "truss_wall": (0.03, 0.7),
            "truss_panel": (40, 1),
        }
        first, last = spans[name]
        truss = CHORD | WEB | {"truss_height": height, "truss_end": end}
        small, large = (bends_at(**truss | {name: first + at * (last - first)}) for at in sorted((low, high)))
        assert small <= large * (1 + 1e-9)

    @QUICK
    @given(height=st.floats(2.2, 24), end=st.floats(0, 33), web=st.booleans())
    def test_a_taller_truss_never_beats_the_bare_tube_at_its_ends(
        self, height: float, end: float, web: bool
    ) -> None:
        lever = (67 - 34) / 2
        bears = bends_at(**CHORD | {"truss_height": height, "truss_end": end} | (WEB if web else {}))
        assert bears <= bends_at() * lever / max(min(end, lever), 1e-9) * (1 + 1e-9)


@QUICK
@given(
    light=st.floats(2000, 12000),
    heavy=st.floats(2000, 12000),
    differential=st.sampled_from(["open", "locked"]),
)
def test_more_mass_never_raises_a_margin(light: float, heavy: float, differential: str) -> None:
    less, more = (
        ask_demo(vehicle_mass=mass, differential=differential)["result"] for mass in sorted((light, heavy))
    )
    for name in ("weakest_margin", "weakest_usual_margin", "strength_change_percent"):
        assert more[name] <= less[name] * (1 + 1e-9) + 1e-9


def test_a_square_root_of_the_greatest_load() -> None:
    """By moments the load of the lower axle is greatest where tan = h / (L s): m g sqrt(s^2 + (h / L)^2)."""
    made = ask_demo(grade_percent=200, adhesion=0.68)
    level = ask_demo(grade_percent=0, adhesion=0.68)
    arm = 31 / 109
    grown = sqrt(0.53 * 0.53 + arm * arm) / 0.53
    assert rows(made)["ring gear"]["load"] / rows(level)["ring gear"]["load"] == pytest.approx(
        grown, rel=1e-9
    )
