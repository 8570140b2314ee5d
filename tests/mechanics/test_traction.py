"""Force at the ground, grip, and the grades that follow."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearing_api.mechanics import gearing, loads, road_loads, traction
from gearing_api.mechanics.domain import DomainError
from gearing_api.tables import KINDS, table

G = road_loads.STANDARD_GRAVITY

masses = st.floats(200.0, 60000.0)
resistances = st.floats(0.0, 0.5)
adhesions = st.floats(0.02, 1.5)
grades = st.floats(-1.0, 1.0)


@given(grade=st.floats(-5.0, 5.0), mass=masses, f=st.floats(0.0, 0.15))
def test_climbable_grade_undoes_the_forces_on_a_grade(grade: float, mass: float, f: float) -> None:
    force = road_loads.grade_force(mass, grade) + road_loads.rolling_force(mass, f, grade)
    assert traction.climbable_grade(force, mass, f) == pytest.approx(grade, rel=1e-6, abs=1e-9)


@given(force=st.floats(-1e6, 1e6), mass=masses, f=resistances, more=st.floats(1.0, 3.0))
def test_more_mass_never_raises_the_climbable_grade(force: float, mass: float, f: float, more: float) -> None:
    lighter = traction.climbable_grade(abs(force), mass, f)
    heavier = traction.climbable_grade(abs(force), more * mass, f)
    assert heavier <= lighter + 1e-9


@given(force=st.floats(-1e9, 1e9), mass=masses, f=resistances)
def test_climbable_grade_is_always_a_grade(force: float, mass: float, f: float) -> None:
    assert abs(traction.climbable_grade(force, mass, f)) <= traction.STEEPEST_GRADE


def test_force_above_the_weight_climbs_or_holds_anything() -> None:
    assert traction.climbable_grade(2.0 * 1000.0 * G, 1000.0, 0.02) == traction.STEEPEST_GRADE
    assert traction.climbable_grade(-2.0 * 1000.0 * G, 1000.0, 0.02) == -traction.STEEPEST_GRADE


def test_force_below_the_rolling_resistance_needs_a_downhill() -> None:
    assert traction.climbable_grade(0.0, 1000.0, 0.05) == pytest.approx(-0.05)


def test_deeper_gears_pull_harder_and_roll_slower() -> None:
    ratios = np.array([4.0, 10.0, 40.0, 80.0])
    force = traction.tractive_force(traction.wheel_torque(300.0, ratios, 0.9), 0.4)
    assert (np.diff(force) > 0.0).all()
    assert (np.diff(gearing.road_speed(100.0, ratios, 0.4)) < 0.0).all()


@given(mass=masses, mu=adhesions, f=st.floats(0.0, 0.1))
def test_both_axles_hold_where_grip_equals_pull(mass: float, mu: float, f: float) -> None:
    grade = traction.grip_grade(mu, f)
    pull = road_loads.grade_force(mass, grade) + road_loads.rolling_force(mass, f, grade)
    assert traction.grip_force(mass, mu, grade, f) == pytest.approx(pull)
    assert grade == pytest.approx(mu - f)


@pytest.mark.parametrize(("axle", "sign"), [("front", -1.0), ("rear", 1.0)])
@given(mu=st.floats(0.02, 1.2), f=st.floats(0.0, 0.05), front_share=st.floats(0.3, 0.7))
def test_one_axle_holds_where_its_load_says(
    axle: str, sign: float, mu: float, f: float, front_share: float
) -> None:
    """The closed form against the load under that axle on that grade."""
    share = front_share if axle == "front" else 1.0 - front_share
    transfer = sign * 0.8 / 2.5
    grade = traction.grip_grade(mu, f, share, transfer)
    load = getattr(loads.axle_loads(loads.balance(2000.0, front_share, 2.5, 0.8), grade), axle)
    pull = road_loads.grade_force(2000.0, grade) + road_loads.rolling_force(2000.0, f, grade)
    assert mu * load == pytest.approx(pull, abs=1e-6)
    assert traction.grip_force(2000.0, mu, grade, f, share, transfer) == pytest.approx(pull, abs=1e-6)


def test_an_axle_that_tips_before_it_slips_is_refused() -> None:
    with pytest.raises(DomainError, match="load_transfer"):
        traction.grip_grade(1.2, 0.0, 0.5, 0.9)
    with pytest.raises(DomainError, match="load_transfer"):
        traction.grip_grade(1.25, 0.0, 0.5, 0.8)
    assert traction.grip_grade(1.25, 0.0, 0.5, 0.79) == traction.STEEPEST_GRADE


def test_grip_torque_is_grip_at_the_radius() -> None:
    front, rear = loads.axle_loads(loads.balance(2000.0, 0.5, 2.5, 0.8), 0.0)
    torque = traction.grip_torque(front, 0.7, 0.4) + traction.grip_torque(rear, 0.7, 0.4)
    assert torque / 0.4 == pytest.approx(traction.grip_force(2000.0, 0.7))


def test_columns_equal_each_alone() -> None:
    force, mass, f = np.array([5e3, 20e3, 60e3]), np.array([2e3, 2.5e3, 3e3]), np.array([0.01, 0.05, 0.1])
    together = traction.climbable_grade(force, mass, f)
    alone = [float(traction.climbable_grade(*row)) for row in zip(force, mass, f, strict=True)]
    assert together.tolist() == alone


def test_design_adhesion_is_the_middle_of_a_printed_range() -> None:
    surfaces = table("surfaces")
    columns = (surfaces.column(name) for name in ("adhesion", "adhesion_low", "adhesion_high"))
    for value, low, high in zip(*columns, strict=True):
        assert isinstance(value, float)
        if isinstance(low, float) and isinstance(high, float):
            assert value == pytest.approx((low + high) / 2.0)


def test_every_surface_has_its_evidence_and_slides_easier_than_it_grips() -> None:
    surfaces = table("surfaces")
    assert set(surfaces.column("kind")) <= set(KINDS)
    assert all(surfaces.column("source"))
    for grip, slide in zip(surfaces.column("adhesion"), surfaces.column("sliding_adhesion"), strict=True):
        assert slide is None or (isinstance(grip, float) and isinstance(slide, float) and slide < grip)
