"""Braking: what tyres, mass and a trailer do to the brakes, and which axle locks first."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.questions.asking import about, codes

TRUCK: dict[str, Any] = {
    "tyre": "34.4 in", "original_tyre": "30.5 in", "vehicle_mass": 2500, "front_axle_share": 155 / 295,
    "wheelbase": 2950, "mass_centre_height": 700, "cruise_speed": 100, "surface": "dry-asphalt",
    "brake_front_share": 0.65,
}  # fmt: skip
asked = about("braking", TRUCK)
QUICK = settings(max_examples=60, deadline=None, derandomize=True)


def result(**changes: Any) -> dict[str, Any]:
    return dict(asked("metric", **changes)["result"])


def test_taller_tyres_by_the_ratio_of_radii() -> None:
    """30.5 to 34.4 in: force -11.34 %, pedal +12.79 %; the energy of a stop does not change."""
    found = result()
    assert found["brake_force_change_percent"] == pytest.approx(-11.34, abs=0.01)
    assert found["pedal_force_change_percent"] == pytest.approx(12.79, abs=0.01)
    assert found["stop_energy"] == pytest.approx(0.5 * 2.5 * (100 / 3.6) ** 2)
    assert found["stop_energy_change_percent"] == 0


@pytest.mark.parametrize(("height", "share", "locks"), [(700, 0.6441, 0.525), (800, 0.6610, 0.459)])
def test_the_ideal_share_and_when_the_rear_locks(height: float, share: float, locks: float) -> None:
    """L 2.95, c 1.55, z 0.5, phi 0.65."""
    found = result(mass_centre_height=height)
    assert found["ideal_front_share"] == pytest.approx(share, abs=1e-3)
    assert found["rear_locks_first_above"] == pytest.approx(locks, abs=1e-3)


def test_before_and_after_a_lift() -> None:
    made = asked("metric", lift_height=100)
    grown = 99.06 / 2 * 3.05 / 3.141592653589793
    assert made["original"]["ideal_front_share"] == pytest.approx(
        155 / 295 + 0.5 * (700 - 100 - grown) / 2950
    )
    assert made["change"]["rear_locks_first_above"] < 0


def test_a_load_and_a_trailer_without_brakes_are_stopped_by_the_vehicle() -> None:
    found = result(loads=["300:2000"], trailer_mass=1400)
    assert found["stop_energy_change_percent"] == pytest.approx(100 * 1700 / 2500)
    assert found["pedal_force_change_percent"] == pytest.approx(100 * (34.4 / 30.5 * 4200 / 2500 - 1))
    alone = result(loads=["300:2000"])
    assert found["grip_stopping_distance"] == pytest.approx(alone["grip_stopping_distance"] * 4200 / 2800)


def test_a_trailer_with_brakes_leaves_its_tongue() -> None:
    found = result(trailer_mass=1400, tongue_mass=140, trailer_brakes="yes")
    assert found["stop_energy_change_percent"] == pytest.approx(100 * 140 / 2500)
    assert found["grip_stopping_distance"] == pytest.approx(result()["grip_stopping_distance"])


def test_grip_alone() -> None:
    """Low end of dry asphalt, 0.8: v2 / (2 mu g); a given adhesion is exact."""
    assert result()["grip_stopping_distance"] == pytest.approx((100 / 3.6) ** 2 / (2 * 0.8 * 9.80665))
    assert result(adhesion=0.5)["grip_stopping_distance"] == pytest.approx(
        (100 / 3.6) ** 2 / (2 * 0.5 * 9.80665)
    )


def test_summary() -> None:
    assert asked("metric")["summary"] == (
        "The pedal needs about 13 % more force for the same stop; from 100 km/h grip alone allows about 49 m on dry "
        "asphalt."
    )
    assert asked("metric", original_tyre=None)["summary"].startswith(
        "The pedal needs the same force as before"
    )
    assert "less force" in asked("metric", tyre="29 in")["summary"]


def test_the_one_published_test_and_what_is_not_known_are_told() -> None:
    made = asked("metric")
    told = next(caution["text"] for caution in made["cautions"] if caution["code"] == "brakes-not-known")
    assert "20 to 25 %" in told
    assert "fluid" in told
    assert "rear-locks-first" in codes(made)
    assert "rear-locks-first" not in codes(asked("metric", brake_front_share=None))


@QUICK
@given(mass=st.floats(500, 8000), more=st.floats(0, 3000), size=st.floats(25, 45), taller=st.floats(0, 8))
def test_more_mass_or_height_never_brakes_better(
    mass: float, more: float, size: float, taller: float
) -> None:
    base = {"vehicle_mass": mass, "original_vehicle_mass": 500, "tyre": f"{size} in"}
    one, other = (
        result(**base),
        result(**(base | {"vehicle_mass": mass + more, "tyre": f"{size + taller} in"})),
    )
    for name in (
        "pedal_force_change_percent",
        "stop_energy",
        "stop_energy_change_percent",
        "grip_stopping_distance",
    ):
        assert other[name] >= one[name] * (1 - 1e-12) - 1e-9
    assert other["brake_force_change_percent"] <= one["brake_force_change_percent"] + 1e-9


def test_half_as_much_force_again_is_not_yet_more_than_that() -> None:
    """Half as much mass again, on the same tyres."""
    same = {"tyre": "30.5 in", "original_vehicle_mass": 2000}
    at, above = (codes(asked("metric", **same, vehicle_mass=mass)) for mass in (3000, 3000.01))
    assert "pedal-harder" in at - above
    assert "pedal-much-harder" in above - at


@pytest.mark.parametrize(
    ("mass", "said"),
    [(2500 * 1.00049, "the same force as before"), (2500 * 1.00051, "about 0.051 % more force")],
)
def test_half_a_thousandth_of_the_pedal_force_is_none(mass: float, said: str) -> None:
    made = asked("metric", tyre="30.5 in", vehicle_mass=mass, original_vehicle_mass=2500)
    assert made["summary"].startswith(f"The pedal needs {said}")
