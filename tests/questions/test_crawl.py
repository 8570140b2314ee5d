"""Crawl: speed and pull in the lowest gear, and what ends the climb."""

from math import asin, atan, cos, pi, sin, sqrt, tan

import pytest

from gearing_api.questions import read_build
from gearing_api.tables import table
from gearing_api.vehicle.drivetrain import adhesion
from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, column

TRUCK = {"tyre": "33 in", "axle_ratio": 4, "gear_ratios": [4, 1], "transfer_ratios": [1, 2.5],
         "idle_speed": 800, "peak_torque": "200 lb-ft", "vehicle_mass": 5000, "adhesion": 0.6,
         "reverse_ratio": 3.5, "driveline_efficiency": 0.9, "rolling_resistance": 0.02}  # fmt: skip
crawl = about("crawl", TRUCK)
SURFACES = table("surfaces")
RADIUS = 33 * 3.05 / (2 * pi) / 12
"""[ft]"""
OF_GRADE = {"engine_grade_percent", "climbable_grade_percent", "crawl_limited_by"}


def grade_of(force: float, weight: float, rolling: float) -> float:
    """Where weight x (sin + rolling cos) is the force: R sin(angle + atan rolling). In percent."""
    return 100 * tan(asin(force / weight / sqrt(1 + rolling**2)) - atan(rolling))


def test_by_hand() -> None:
    made = crawl(peak_torque="60 lb-ft")["result"]
    force = 60 * 40 * 0.9 / RADIUS
    assert made == pytest.approx(
        {
            "crawl_ratio": 40.0,
            "reverse_crawl_ratio": 35.0,
            "crawl_speed": 800 / 40 * 2 * pi * RADIUS * 60 / 5280,
            "crawl_wheel_torque": 60 * 40 * 0.9,
            "crawl_tractive_force": force,
            "idle_tractive_force": 0.65 * force,
            "stall_tractive_force": None,
            "creep_speed": None,
            "grip_force": 0.6 * 5000,
            "engine_grade_percent": grade_of(force, 5000, 0.02),
            "grip_grade_percent": 58.0,
            "climbable_grade_percent": grade_of(force, 5000, 0.02),
            "crawl_limited_by": "engine",
        }
    )


def test_the_engine_climbs_exactly_the_grade_that_its_force_balances() -> None:
    made = crawl(peak_torque="60 lb-ft")["result"]
    angle = atan(made["engine_grade_percent"] / 100)
    assert 5000 * (sin(angle) + 0.02 * cos(angle)) == pytest.approx(made["crawl_tractive_force"])


def test_grip_ends_the_climb_where_it_is_less() -> None:
    made = crawl()
    assert made["result"]["crawl_limited_by"] == "grip"
    assert made["result"]["climbable_grade_percent"] == made["result"]["grip_grade_percent"]
    assert made["absent"]["engine_grade_percent"] == {"why": "no limit"}


def test_an_engine_that_pulls_more_than_the_weight_has_no_limit() -> None:
    """The steepest grade that is told is 1000 %: force / weight = (10 + f) / sqrt 101."""
    force = crawl()["result"]["crawl_tractive_force"]
    weight = force * 101**0.5 / 10.02
    assert crawl(vehicle_mass=weight * (1 + 1e-6))["result"]["engine_grade_percent"] == pytest.approx(
        1000, rel=1e-3
    )
    assert crawl(vehicle_mass=weight * (1 - 1e-6))["absent"]["engine_grade_percent"] == {"why": "no limit"}


@pytest.mark.parametrize(
    ("without", "absent"),
    [
        ("peak_torque", {"crawl_wheel_torque", "crawl_tractive_force", "idle_tractive_force", *OF_GRADE}),
        ("vehicle_mass", {"grip_force", *OF_GRADE}),
        ("reverse_ratio", {"reverse_crawl_ratio"}),
    ],
)  # fmt: skip
def test_what_is_absent_needs_the_field_left_out(without: str, absent: set[str]) -> None:
    made = crawl(**{"peak_torque": "60 lb-ft", without: None})
    needed = {name for name, why in made["absent"].items() if without in why.get("fields", ())}
    assert needed == absent
    assert set(made["absent"]) - needed == {"stall_tractive_force", "creep_speed"}, "without a converter"


def test_the_lowest_range_and_gear_count_wherever_they_stand() -> None:
    assert column(crawl(), "overall_ratio") == [16, 4, 40, 10]
    assert crawl(transfer_ratios=[1])["result"]["crawl_ratio"] == 16
    assert crawl(hub_ratio=2)["result"]["crawl_ratio"] == 80
    assert crawl(hub_ratio=2)["result"]["reverse_crawl_ratio"] == 70


AUTOMATIC = {"gearbox_kind": "automatic", "converter_stall_speed": 2200, "torque_curve": "600:200,5000:200",
             "driveline_efficiency": 0.9}  # fmt: skip


def test_an_automatic_pulls_three_ways() -> None:
    """At idle by the converter's match, at the highest torque, and stalled by the stall ratio."""
    made = crawl(**AUTOMATIC, converter_stall_ratio=1.8)["result"]
    plain = 200 * 40 * 0.9 / RADIUS
    assert made["crawl_tractive_force"] == pytest.approx(plain)
    assert made["stall_tractive_force"] == pytest.approx(1.8 * plain)
    assert made["idle_tractive_force"] == pytest.approx(1.8 * plain * (800 / 2200) ** 2)


def test_it_creeps_slower_than_idle_speed_over_the_ratio() -> None:
    made = crawl(**AUTOMATIC)["result"]
    assert 0.6 * made["crawl_speed"] < made["creep_speed"] < made["crawl_speed"]
    heavy = crawl(**AUTOMATIC, vehicle_mass=60000, gear_ratios=[1], transfer_ratios=[1])
    assert heavy["absent"]["creep_speed"] == {"why": "none does"}
    assert heavy["summary"].startswith("Does not creep at idle, 4 to 1;")


def test_the_stall_ratio_of_an_automatic_is_assumed() -> None:
    assert crawl(**AUTOMATIC)["assumed"]["converter_stall_ratio"] == 1.9
    assert crawl(gearbox_kind="automatic")["absent"]["stall_tractive_force"]["why"] == "needs"


def test_torque_at_idle_is_at_most_the_highest() -> None:
    """Where nothing but the highest torque is known of the engine, too."""
    made = crawl(idle_torque="200 lb-ft")["result"]
    assert made["idle_tractive_force"] == pytest.approx(made["crawl_tractive_force"])
    with pytest.raises(InvalidBuild, match="idle_torque must be at most the highest torque"):
        crawl(idle_torque="200.1 lb-ft")


def test_losses_in_the_lowest_gear_by_hand() -> None:
    """Gearbox at 300 N m and 2000 rpm, transfer case, hubs and one axle; formulas as in tests/published.

    Common practice, no published source: 0.97 through the gears of a transfer case, 0.99 direct, 0.98 at a hub.
    """
    build = {"driveline_efficiency": None, "peak_torque": "300 N m", "peak_torque_speed": None}
    box = 0.9895 * 300 - (0.0043233 * 300 + 0.2982 + (2.4526e-6 * 300 + 5.16e-5) * 2000)
    for ranges, case in (([1], 1.0), ([1, 2.5], 0.97)):
        for hub, wheel in ((1.0, 1.0), (2.0, 0.98)):
            made = crawl(**build, transfer_ratios=ranges, hub_ratio=hub)["result"]
            turned = 4.0 * max(ranges)
            at_hub = 0.98 * case * box - (5 + 0.001 * 2000 / turned) / turned
            force = wheel * at_hub * turned * 4 * hub / (RADIUS * 0.3048) / 4.4482216152605
            assert made["crawl_tractive_force"] == pytest.approx(force, rel=1e-6)


@pytest.mark.parametrize(("stall", "refused"), [(590, True), (600, False), (5000, False), (5010, True)])
def test_a_converter_stalls_within_the_full_load(stall: float, refused: bool) -> None:
    box = AUTOMATIC | {"converter_stall_speed": stall}
    if refused:
        with pytest.raises(
            InvalidBuild, match="converter_stall_speed must lie within the engine's full load"
        ):
            crawl(**box)
    else:
        assert crawl(**box)["result"]["stall_tractive_force"] > 0.0


def test_a_motor_has_no_idle() -> None:
    made = crawl(engine_kind="electric", idle_speed=None)
    for name in ("crawl_speed", "idle_tractive_force", "creep_speed"):
        assert made["absent"][name] == {"why": "does not apply"}
    assert made["verdict"] != "unknown"
    assert made["summary"].startswith("Pulls from standstill, 40 to 1;")


def test_the_highest_torque_of_a_curve_of_power() -> None:
    """A motor's from standstill: 50 hp at 1000 rpm are the most, 262.6 lb-ft."""
    motor = {"engine_kind": "electric", "idle_speed": None, "peak_torque": None, "redline_speed": 6000}
    made = crawl(**motor, power_curve="0:0,1000:50,3000:100,6000:100")["result"]
    assert made["crawl_tractive_force"] == pytest.approx(50 * 33000 / (2 * pi * 1000) * 40 * 0.9 / RADIUS)


def test_one_printed_adhesion_counts_15_per_cent_less_and_more() -> None:
    """Judgement, no published source; climbing takes the low end, strength the high end."""
    rows = [dict(zip(SURFACES.columns, row, strict=True)) for row in SURFACES.rows]
    alone = [row for row in rows if row["adhesion_low"] is None]
    assert alone
    for row in rows:
        build = read_build({"surface": str(row["surface"])})
        low, middle, high = (float(adhesion(build, end)) for end in ("low", "middle", "high"))
        assert middle == row["adhesion"]
        if row in alone:
            assert (low, high) == pytest.approx((0.85 * middle, 1.15 * middle))
        else:
            assert (low, high) == (row["adhesion_low"], row["adhesion_high"])


def test_thin_air_takes_pull_but_not_from_a_motor() -> None:
    low, high = crawl(), crawl(altitude=4500)
    assert high["result"]["crawl_tractive_force"] == pytest.approx(
        0.88 * low["result"]["crawl_tractive_force"]
    )
    motor = {"engine_kind": "electric", "idle_speed": None}
    assert crawl(**motor, altitude=4500)["result"] == crawl(**motor)["result"]
