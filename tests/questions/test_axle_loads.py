"""Axle loads: where the mass is, what slopes and a trailer do to it, and when it tips."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.build import Build
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.loads import level_axle_masses, loads_of
from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, codes, column

TRUCK: dict[str, Any] = {
    "tyre": "LT285/75R16 122/119Q", "original_tyre": "LT245/75R16 120/116Q", "vehicle_mass": 2200,
    "front_axle_share": 0.54, "wheelbase": 2950, "mass_centre_height": 720, "track": 1580, "rated_pressure": 550,
}  # fmt: skip
TRAILER = {"trailer_mass": 1500, "tongue_mass": 150, "hitch_overhang": 1.2, "hitch_height": 500}
asked = about("axle-loads", TRUCK)
QUICK = settings(max_examples=60, deadline=None, derandomize=True)
MASSES, SLOPES = st.floats(500, 8000), st.floats(0, 80)


def loads(**changes: Any) -> dict[str, Any]:
    return dict(asked("metric", **changes)["result"])


def test_loads_stand_where_they_sit() -> None:
    """Case of load by moments, worked by hand: 100, 300 and 200 kg at 1.40, 3.10 and 4.15 m."""
    found = loads(loads=["100:1400", "300:3100", "200:4150"])
    assert (found["front_axle_load"], found["rear_axle_load"]) == pytest.approx((1144, 1656), abs=0.5)
    assert found["mass_centre_height_used"] == pytest.approx(720)


def test_a_tongue_takes_off_the_front_axle_what_it_adds_behind() -> None:
    alone, towing = (
        loads(wheelbase=3000),
        loads(wheelbase=3000, trailer_mass=2500, tongue_mass=250, hitch_overhang=1.2),
    )
    assert towing["front_axle_load"] - alone["front_axle_load"] == pytest.approx(-100)
    assert towing["rear_axle_load"] - alone["rear_axle_load"] == pytest.approx(350)
    assert asked("metric", trailer_mass=2500)["assumed"]["tongue_mass"] == pytest.approx(250)


def test_a_high_load_raises_the_mass_centre() -> None:
    found = loads(loads=["220:1400:1820"])
    assert found["mass_centre_height_used"] == pytest.approx(820)
    assert found["static_stability_factor"] == pytest.approx(1580 / 1640)
    assert found["tip_side_percent"] == pytest.approx(100 * 1580 / 1640)


def test_states_by_hand() -> None:
    """b 1.357, L 2.95, h 0.72 on 20 %, and a side slope of 30 % on a track of 1.58 m."""
    made = asked("metric", grade_percent=20, side_slope_percent=30)
    front, rear, worst = (
        column(made, name) for name in ("front_axle_load", "rear_axle_load", "worst_tyre_load")
    )
    assert column(made, "state") == ["level", "up", "down", "side"]
    weight = np.array(front) + np.array(rear)
    assert weight == pytest.approx(2200 / np.sqrt(1 + np.array([0, 0.2, 0.2, 0.3]) ** 2), rel=1e-9)
    assert front[1] / 2200 == pytest.approx(0.54 * 0.98058 - 0.72 / 2.95 * 0.19612, abs=1e-4)
    assert front[2] / 2200 == pytest.approx(0.54 * 0.98058 + 0.72 / 2.95 * 0.19612, abs=1e-4)
    assert worst[3] == pytest.approx(0.54 * 2200 * 0.6099, rel=1e-3)
    assert column(made, "share_of_capacity_percent")[0] == pytest.approx(100 * 594 / 1500)


def test_the_sign_of_the_grade_does_not_matter() -> None:
    up, down = (asked("metric", grade_percent=grade) for grade in (25, -25))
    assert up["table"] == down["table"]
    assert up["result"] == down["result"]


@pytest.mark.parametrize("grade", [0, 10, 60])
def test_what_the_trailer_pulls(grade: float) -> None:
    angle = np.arctan(grade / 100)
    pull = 9.80665 * (1500 * np.sin(angle) + 0.03 * 1350 * np.cos(angle))
    assert loads(**TRAILER, rolling_resistance=0.03, grade_percent=grade)["hitch_load"] == pytest.approx(pull)


def test_height_is_estimated_from_roof_lift_and_tyres() -> None:
    """0.385 x 1.9 m + 50 mm + half of what 2 x 0.75 x 40 mm of diameter add, rolling."""
    growth = 60 * 3.05 / (2 * np.pi)
    found = asked("metric", mass_centre_height=None, roof_height=1900, lift_height=50)
    assert found["result"]["mass_centre_height_used"] == pytest.approx(0.385 * 1900 + 50 + growth)
    assert found["assumed"]["mass_centre_height"] == pytest.approx(found["result"]["mass_centre_height_used"])
    assert found["original"]["mass_centre_height_used"] == pytest.approx(0.385 * 1900)
    assert "mass-centre-estimated" in codes(found)
    assert loads(mass_centre_height=None, original_tyre=None)["mass_centre_height_used"] == pytest.approx(
        27 * 25.4
    )


def test_lift_and_taller_tyres_cost_stability() -> None:
    """Radius grown by 45 mm at 0.69 m: from 1.145 to 1.075."""
    grown = f"{2 * (371.5 + 45 / (3.05 / np.pi))} mm"
    made = asked("metric", tyre=grown, original_tyre="743 mm", mass_centre_height=735, rated_pressure=None)
    assert made["result"]["static_stability_factor"] == pytest.approx(1.075, abs=1e-3)
    assert made["original"]["static_stability_factor"] == pytest.approx(1.145, abs=1e-3)


def test_pressure_by_axle() -> None:
    found = loads(loads=["600:2950"])
    assert found["front_pressure_needed"] == pytest.approx(550 * (594 / 1500) ** (1 / 0.7))
    assert found["rear_pressure_needed"] == pytest.approx(550 * (806 / 1500) ** (1 / 0.7))
    made = asked("metric", loads=["3000:2950"])
    assert made["absent"]["rear_pressure_needed"] == {"why": "none does"}
    assert "above-load-index" in codes(made)


def test_what_is_not_known_names_its_fields() -> None:
    made = asked("metric", track=None, rated_pressure=None, tyre="LT285/75R16")
    assert made["absent"]["static_stability_factor"] == {
        "why": "needs",
        "fields": ["track", "mounting_width", "wheel_offset"],
    }
    assert made["absent"]["front_pressure_needed"]["fields"] == ["tyre", "rated_pressure"]
    assert made["absent"]["hitch_load"] == {"why": "does not apply"}
    assert column(made, "worst_tyre_load")[3] is None


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"loads": ["100:-1500"]}, "loads", "bumpers"),
        ({"loads": ["100:5400"]}, "loads", "bumpers"),
        ({"loads": ["6601:2000"]}, "loads", "3 times vehicle_mass"),
        ({"loads": ["3500:5000"]}, "loads", "lift an axle"),
        ({"trailer_mass": 1000, "tongue_mass": 1001}, "tongue_mass", "at most trailer_mass"),
        ({"trailer_mass": 9000, "tongue_mass": 1300, "hitch_overhang": 6}, "tongue_mass", "front axle"),
    ],
)
def test_bad_input_is_refused_by_field(changes: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(InvalidBuild) as refused:
        loads(**changes)
    assert [fault.field for fault in refused.value.faults] == [field]
    assert words in refused.value.faults[0].detail


def test_edges_of_where_a_load_may_stand_are_accepted() -> None:
    loads(loads=["10:-1475"])
    loads(loads=["10:5310"])
    loads(loads=["6600:2000"])


@QUICK
@given(grade=st.floats(-90, 90), mass=MASSES, share=st.floats(0.3, 0.7), trailer=st.floats(0, 3000))
def test_axles_carry_the_weight_on_every_slope(
    grade: float, mass: float, share: float, trailer: float
) -> None:
    raw = TRUCK | {
        "vehicle_mass": mass,
        "front_axle_share": share,
        "trailer_mass": trailer,
        "tongue_mass": 0.1 * trailer,
    }
    loaded = loads_of(read_build(raw, "metric"))
    front, rear = loaded.on_axles(np.float64(grade / 100))
    weight = 9.80665 * (mass + 0.1 * trailer) * np.cos(np.arctan(grade / 100))
    assert front + rear == pytest.approx(weight, rel=1e-9)


@QUICK
@given(grade=SLOPES, mass=MASSES, share=st.floats(0.3, 0.7), height=st.floats(300, 1500))
def test_up_and_down_mirror(grade: float, mass: float, share: float, height: float) -> None:
    """A vehicle turned round carries in front uphill what it carried behind downhill."""
    one, other = (
        loads_of(
            read_build(
                TRUCK | {"vehicle_mass": mass, "front_axle_share": each, "mass_centre_height": height},
                "metric",
            )
        )
        for each in (share, 1.0 - share)
    )
    up, down = one.on_axles(np.float64(grade / 100)), other.on_axles(np.float64(-grade / 100))
    assert (up.front, up.rear) == pytest.approx((down.rear, down.front), rel=1e-9, abs=1e-6)


@QUICK
@given(height=st.floats(300, 1800), more=st.floats(0, 1500))
def test_a_higher_load_never_stands_better(height: float, more: float) -> None:
    low, high = (loads(loads=[f"300:1500:{z}"]) for z in (height, height + more))
    for name in ("static_stability_factor", "tip_up_percent", "tip_down_percent", "tip_side_percent"):
        assert high[name] <= low[name] * (1 + 1e-12)


@QUICK
@given(mass=MASSES, more=st.floats(0, 3000), grade=SLOPES)
def test_more_mass_never_stands_better_or_asks_less_of_the_tyres(
    mass: float, more: float, grade: float
) -> None:
    light, heavy = (asked("metric", vehicle_mass=each, grade_percent=grade) for each in (mass, mass + more))
    for name in ("static_stability_factor", "tip_up_percent", "tip_down_percent", "tip_side_percent"):
        assert heavy["result"][name] <= light["result"][name] * (1 + 1e-12)
    for one, other in zip(
        *(column(made, "share_of_capacity_percent") for made in (light, heavy)), strict=True
    ):
        assert other >= one * (1 - 1e-12)


@QUICK
@given(grade=SLOPES, steeper=st.floats(0, 40))
def test_a_steeper_slope_never_lowers_the_greatest_load(grade: float, steeper: float) -> None:
    loaded = loads_of(read_build(TRUCK, "metric"))
    less, more = (loaded.greatest_on_axles(np.float64(each / 100)) for each in (grade, grade + steeper))
    assert more.front >= less.front * (1 - 1e-12)
    assert more.rear >= less.rear * (1 - 1e-12)


@pytest.mark.parametrize("name", ["cruise", "crawl", "descent", "braking", "axle-check"])
def test_without_a_trailer_nothing_changes(name: str) -> None:
    question = QUESTIONS[name]
    raw = {
        field: value
        for field, value in question.example.items()
        if field not in ("trailer_mass", "tongue_mass", "trailer_brakes", "loads")
    }
    bare, none = (dict(ask(question, read_build(raw | more)).result) for more in ({}, {"trailer_mass": 0}))
    for result, value in bare.items():
        if isinstance(value, np.ndarray | np.generic) and np.asarray(value).dtype.kind == "f":
            assert np.allclose(np.asarray(none[result], dtype=float), value, rtol=1e-12, equal_nan=True), (
                result
            )
        else:
            assert none[result] == value


def test_summary_leads_with_the_loads() -> None:
    made = asked("metric", loads=["220:1400:1820"])
    assert (
        made["summary"]
        == "The front axle carries 1,300 kg, the rear axle 1,120 kg; it may tip on side slopes from about 82 %."
    )
    bare = asked("metric", track=None)
    assert (
        bare["summary"]
        == "The front axle carries 1,190 kg, the rear axle 1,010 kg: 40 % of what the tyres of the heavier axle carry."
    )


EVEN: dict[str, Any] = {
    "tyre": "743 mm", "vehicle_mass": 1000, "front_axle_share": 0.5, "wheelbase": 2000, "mass_centre_height": 700,
}  # fmt: skip
"""500 kg on each axle: as much again takes all off one of them, 1.5 wheelbases from it."""


@pytest.mark.parametrize(
    ("carried", "field"),
    [
        (lambda mass: {"loads": [f"{mass}:3000"]}, "loads"),
        (lambda mass: {"loads": [f"{mass}:-1000"]}, "loads"),
        (lambda mass: {"trailer_mass": 5000, "tongue_mass": mass, "hitch_overhang": 1}, "tongue_mass"),
        (lambda mass: {"trailer_mass": 10 * mass, "hitch_overhang": 1}, "trailer_mass"),
    ],
)
@pytest.mark.parametrize("read", [level_axle_masses, loads_of])
def test_an_axle_stands_on_the_ground_while_anything_is_left_on_it(
    read: Callable[[Build], object], carried: Callable[[int], dict[str, Any]], field: str
) -> None:
    read(read_build(EVEN | carried(999), "metric"))
    with pytest.raises(InvalidBuild) as refused:
        read(read_build(EVEN | carried(1000), "metric"))
    assert [fault.field for fault in refused.value.faults] == [field]


def test_a_load_beyond_the_bumpers_is_refused_also_where_no_height_is_asked() -> None:
    level_axle_masses(read_build(EVEN | {"loads": ["10:3600"]}, "metric"))
    with pytest.raises(InvalidBuild, match="bumpers"):
        level_axle_masses(read_build(EVEN | {"loads": ["10:3601"]}, "metric"))


def test_a_vehicle_is_lowered_until_its_mass_centre_comes_to_the_ground() -> None:
    """0.385 of a roof at 762 mm is 293.4 mm."""
    low = EVEN | {"mass_centre_height": None, "original_tyre": None, "roof_height": 762}
    assert loads(**low, lift_height=-293)["mass_centre_height_used"] == pytest.approx(0.37)
    with pytest.raises(InvalidBuild, match="below the ground"):
        loads(**low, lift_height=-294)


def test_a_tyre_at_its_index_needs_its_rated_pressure() -> None:
    found = loads(vehicle_mass=6000, front_axle_share=0.5)
    assert found["front_pressure_needed"] == found["rear_pressure_needed"] == pytest.approx(550)


@pytest.mark.parametrize("trailer", [1000, 1300, 3000, 3100])
def test_a_share_that_is_given_as_the_limit_lies_on_it(trailer: int) -> None:
    """7 and 15 % of the trailer on its hitch, a fifth of the mass on the front axle."""
    for percent in (7, 15):
        made = asked("metric", trailer_mass=trailer, tongue_mass=trailer * percent / 100)
        assert not codes(made) & {"tongue-light", "tongue-heavy"}
    assert "front-axle-light" not in codes(asked("metric", vehicle_mass=trailer, front_axle_share=0.2))
