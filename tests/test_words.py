"""Names that people use for fields: the field is found by its meaning, or nothing is suggested."""

import doctest

import pytest

from gearing_api import vocabulary
from gearing_api.tables import table
from gearing_api.vocabulary import FIELDS, meant_field, unknown_field

MEANT = [
    ("weight", "vehicle_mass"), ("gvw", "vehicle_mass"), ("GVWR", "vehicle_mass"),
    ("curb_weight", "vehicle_mass"),
    ("kerb.weight", "vehicle_mass"), ("vehicle-weight", "vehicle_mass"), ("weight_lbs", "vehicle_mass"),
    ("tire", "tyre"), ("tires", "tyre"), ("tire_size", "tyre"), ("tyre_size", "tyre"),
    ("stock_tire", "original_tyre"), ("stock tire", "original_tyre"), ("old_tires", "original_tyre"),
    ("original_tire", "original_tyre"), ("front_tire", "front_tyre"), ("rear_tire_size", "rear_tyre"),
    ("spare", "spare_tyre"), ("diff_ratio", "axle_ratio"), ("final_drive", "axle_ratio"),
    ("ring_and_pinion", "axle_ratio"), ("axel_ratio", "axle_ratio"), ("stock_gears", "original_axle_ratio"),
    ("front_diff_ratio", "front_axle_ratio"), ("rear_gear_ratio", "rear_axle_ratio"),
    ("first_gear", "gear_ratios"), ("1st_gear", "gear_ratios"), ("transmission", "gear_ratios"),
    ("overdrive", "gear_ratios"), ("gearbox_ratios", "gear_ratios"), ("reverse", "reverse_ratio"),
    ("tcase", "transfer_ratios"), ("t-case", "transfer_ratios"), ("transfer_case", "transfer_ratios"),
    ("low_range", "transfer_ratios"), ("portal_ratio", "hub_ratio"), ("hp", "peak_power"),
    ("horsepower", "peak_power"), ("torque", "peak_torque"), ("max_torque_nm", "peak_torque"),
    ("torque_rpm", "peak_torque_speed"), ("rpm", "cruise_engine_speed_range"), ("redline", "redline_speed"),
    ("max_rpm", "redline_speed"), ("idle", "idle_speed"), ("idle_rpm", "idle_speed"),
    ("speed", "cruise_speed"),
    ("cruising_speed", "cruise_speed"), ("highway_speed_mph", "cruise_speed"), ("grade", "grade_percent"),
    ("slope", "grade_percent"), ("hill", "grade_percent"), ("elevation", "altitude"),
    ("tire_pressure", "tyre_pressure"), ("psi", "tyre_pressure"), ("rim_width", "wheel_width"),
    ("wheel_base", "wheelbase"), ("lift", "lift_height"), ("trailer_weight", "trailer_mass"),
    ("tongue_weight", "tongue_mass"), ("payload", "loads"), ("engine_type", "engine_kind"),
    ("engine_size", "engine_displacement"), ("locker", "differential"), ("rear_locker", "rear_differential"),
    ("ring_gear", "ring_gear_diameter"), ("spline_count", "inner_splines"), ("outer_splines", "stub_splines"),
    ("u_joint", "joint"), ("cg_height", "mass_centre_height"), ("cda", "drag_area"),
    ("mpg", "measured_fuel_economy"),
    ("transfer_ratio", "transfer_ratios"), ("vehicle_mas", "vehicle_mass"), ("wheel_offest", "wheel_offset"),
]  # fmt: skip

SILENT = [
    "name", "notes", "price", "colour", "id", "gears", "gear", "diff", "axle", "width", "size", "ratio",
    "height",
    "xyz", "wheel", "foo_bar", "x", "", "_", "model", "year", "front", "rear", "trim",
]  # fmt: skip


def test_there_are_enough_names() -> None:
    assert len([name for name, field in MEANT if field]) >= 60


@pytest.mark.parametrize(("name", "field"), MEANT, ids=[name for name, _ in MEANT])
def test_a_name_is_met_by_meaning_and_never_by_another(name: str, field: str | None) -> None:
    assert meant_field(name) in (field, None)


def test_nearly_all_names_are_met() -> None:
    met = sum(meant_field(name) == field for name, field in MEANT)
    assert met >= 0.9 * len(MEANT)


@pytest.mark.parametrize("name", SILENT)
def test_a_name_of_no_or_several_meanings_is_not_guessed(name: str) -> None:
    assert meant_field(name) is None
    assert unknown_field(name).detail == "is no field of a build"


def test_every_field_is_met_by_itself() -> None:
    assert all(meant_field(name) == name for name in FIELDS)


def test_the_words_stand_for_fields() -> None:
    words = table("words")
    assert set(map(str, filter(None, words.column("field")))) <= set(FIELDS)
    assert len(set(words.column("word"))) == len(words.rows)


def test_examples_in_the_docstrings_hold() -> None:
    outcome = doctest.testmod(vocabulary)
    assert outcome.attempted > 0
    assert outcome.failed == 0
