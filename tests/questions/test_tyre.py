"""Tyre: what a size string says and how far the tyre sags."""

from math import pi
from typing import Any

import pytest

from gearing_api.tyre_sizes import read as read_size
from gearing_api.vocabulary import InvalidBuild
from tests.questions.asking import about, codes

tyre = about("tyre", {"tyre": "265/70R17 115T"})
UNKNOWN = (
    "dual_load_capacity",
    "vertical_stiffness",
    "sag",
    "loaded_radius",
    "load_at_pressure",
    "pressure_needed",
)
INCH, POUND, MILE = 25.4, 0.45359237, 63360.0


def test_by_hand() -> None:
    """A metric size is geometry: rim code in inches, width in mm, aspect in percent; 3.05 is published."""
    diameter = 17 + 2 * 265 * 0.70 / INCH
    made = tyre()["result"]
    assert made == pytest.approx(
        {
            "diameter": diameter,
            "section_height": 265 * 0.70 / INCH,
            "rim_diameter": 17.0,
            "rolling_circumference": 3.05 * diameter,
            "rolling_radius": 3.05 * diameter / (2 * pi),
            "tyre_turns_per_distance": MILE / (3.05 * diameter),
            "load_capacity": 1215 / POUND,
            "speed_capability": 190 / 1.609344,
            "measuring_rim_width": 8.0,
        }
        | {name: made[name] for name in ("section_width", "construction")}
        | dict.fromkeys(UNKNOWN)
    )
    assert made["construction"] == "radial"
    assert made["section_width"] == pytest.approx(265 / INCH, rel=0.03)


def test_what_is_absent_says_which_field_would_make_it_known() -> None:
    absent = tyre()["absent"]
    assert absent["vertical_stiffness"] == {"why": "needs", "fields": ["tyre_pressure"]}
    assert absent["sag"] == {"why": "needs", "fields": ["tyre_pressure", "tyre_load"]}
    assert absent["dual_load_capacity"] == {"why": "needs", "fields": ["tyre"]}
    measured = tyre(tyre="33 in", tyre_pressure=30)["absent"]
    assert {
        name: measured[name]["why"] for name in ("section_width", "load_capacity", "sag")
    } == dict.fromkeys(("section_width", "load_capacity", "sag"), "does not apply")


def test_sag_is_load_over_stiffness_and_lowers_the_loaded_radius() -> None:
    made = tyre(tyre_pressure="35 psi", tyre_load="1200 lb")["result"]
    assert made["sag"] == pytest.approx(1200 / made["vertical_stiffness"], rel=1e-6)
    assert made["loaded_radius"] == pytest.approx(made["diameter"] / 2 - made["sag"])


def test_without_a_load_the_stiffness_alone_is_known() -> None:
    made = tyre(tyre_pressure="35 psi")
    assert made["result"]["vertical_stiffness"] > 0
    assert "tyre_load" in made["absent"]["sag"]["fields"]


def test_a_tyre_that_would_stand_on_its_rim_is_refused_and_one_that_just_does_not_is_answered() -> None:
    stiffness = tyre(tyre_pressure="10 psi")["result"]["vertical_stiffness"]
    flat = stiffness * 265 * 0.70 / INCH
    assert tyre(tyre_pressure="10 psi", tyre_load=flat * (1 - 1e-6))["result"]["sag"] > 0
    with pytest.raises(InvalidBuild) as refused:
        tyre(tyre_pressure="10 psi", tyre_load=flat * (1 + 1e-6))
    assert [fault.field for fault in refused.value.faults] == ["tyre_pressure"]


@pytest.mark.parametrize(("off", "wider"), [(1.0, 0.4), (-1.0, -0.4)])
def test_a_wheel_wider_by_an_inch_widens_the_tyre_by_four_tenths(off: float, wider: float) -> None:
    """Common practice, no published source: 0.2 in for each half inch of rim."""
    design = tyre()["result"]["section_width"]
    assert tyre(wheel_width=8.0 + off)["result"]["section_width"] - design == pytest.approx(wider, abs=0.05)


def test_summary() -> None:
    assert tyre()["summary"] == (
        "31.61 in tall, rolls 96.4 in in one turn. Its load index allows 2,679 lb per tyre."
    )
    assert tyre(tyre="265/70R17")["summary"] == "31.61 in tall, rolls 96.4 in in one turn."


def test_load_and_pressure_follow_the_power_law_of_the_tables() -> None:
    """For light-truck tyres with exponent 0.70."""
    known = {"tyre": "LT315/70R17 121/118S", "rated_pressure": "65 psi", "tyre_pressure": "32 psi"}
    made = tyre(**known, tyre_load="2000 lb")["result"]
    assert made["load_at_pressure"] == pytest.approx(1450 / POUND * (32 / 65) ** 0.7)
    assert made["pressure_needed"] == pytest.approx(65 * (2000 * POUND / 1450) ** (1 / 0.7))
    assert tyre(**known, tyre_load=made["load_at_pressure"])["result"]["pressure_needed"] == pytest.approx(32)


def test_more_than_the_rated_pressure_carries_no_more() -> None:
    known = {"tyre": "LT315/70R17 121/118S", "rated_pressure": "65 psi"}
    assert tyre(**known, tyre_pressure="70 psi")["result"]["load_at_pressure"] == pytest.approx(1450 / POUND)


def test_no_pressure_carries_more_than_the_index() -> None:
    known = {"tyre": "LT315/70R17 121/118S", "rated_pressure": "65 psi"}
    assert tyre(**known, tyre_load="1450 kg")["result"]["pressure_needed"] == pytest.approx(65)
    assert tyre(**known, tyre_load="1450.01 kg")["absent"]["pressure_needed"] == {"why": "none does"}


RATED = [
    ("LT265/75R16 123/120Q", 35, 80, "psi", 0.7),
    ("LT245/75R16 B 104Q", 35, 35, "psi", 0.7),
    ("LT265/75R16 C 112/109Q", 35, 50, "psi", 0.7),
    ("LT245/75R16 D 116Q", 50, 65, "psi", 0.7),
    ("LT265/75R16 E 123/120Q", 65, 80, "psi", 0.7),
    ("LT245/75R17 F 124Q", 80, 95, "psi", 0.7),
    ("P235/75R15 105S", 35, 41, "psi", 0.5),
    ("P235/75R15 XL 108S", 41, 41, "psi", 0.5),
    ("205/65R16C 107/105T", 300, 575, "kPa", 0.8),
    ("265/70R17 115T", 250, 290, "kPa", 0.8),
    ("265/70R17 XL 118T", 290, 290, "kPa", 0.8),
]
"""Size, lowest and highest pressure that its index may be rated at, exponent of load over pressure.

TRA and ETRTO rated pressures by load range, from memory (high). The exponents: the TRA light-truck table and the older
TRA passenger form, second hand; D. A. Crolla (ed.), Automotive Engineering, 2009, p. 290.
"""


def underinflated(size: str, pressure: str, load: float) -> str | None:
    """Level of the caution on a pressure too low. [kg]"""
    made = tyre(tyre=size, tyre_pressure=pressure, tyre_load=f"{load!r} kg", vertical_stiffness="500 N/mm")
    return next((each["level"] for each in made["cautions"] if each["code"] == "underinflated"), None)


@pytest.mark.parametrize(("size", "lowest", "highest", "unit", "exponent"), RATED)
def test_inflation_is_too_low_by_the_lowest_or_by_the_highest_rated_pressure(
    size: str, lowest: float, highest: float, unit: str, exponent: float
) -> None:
    index = read_size(size).load_capacity
    assert index is not None
    soft = f"{0.6 * lowest} {unit}"
    doubtful, carried = (index * (0.6 * lowest / rated) ** exponent for rated in (highest, lowest))
    between = "check" if lowest < highest else None
    found = [
        underinflated(size, soft, load * side)
        for load in (doubtful, carried)
        for side in (1.0 - 1e-6, 1.0 + 1e-6)
    ]
    assert found == ([None, "check", "check", "stop"] if between else [None, "stop", None, "stop"])
    assert underinflated(size, f"{highest} {unit}", index) is None
    assert underinflated(size, f"{lowest} {unit}", index) == between
    assert underinflated(size, f"{0.9 * lowest} {unit}", index) == "stop"


@pytest.mark.parametrize(
    ("size", "lowest", "unit"),
    [
        ("LT265/75R16 123/120Q", 35, "psi"),
        ("P235/75R15 105S", 26, "psi"),
        ("205/65R16C 107/105T", 150, "kPa"),
        ("265/70R17 115T", 150, "kPa"),
    ],
)
def test_the_lowest_inflation_of_the_tables_lies_in_them(size: str, lowest: float, unit: str) -> None:
    at, below = (tyre(tyre=size, tyre_pressure=f"{each} {unit}") for each in (lowest, lowest * (1.0 - 1e-6)))
    assert "below-load-tables" in codes(below) - codes(at)
    if unit == "kPa":
        assert "stiffness-extrapolated" in codes(below) - codes(at)


@pytest.mark.parametrize(("just", "off"), [(10, 10.001), (6, 5.999)])
def test_two_inches_off_the_measuring_rim_are_not_more_than_two(just: float, off: float) -> None:
    assert "wheel-width" in codes(tyre(wheel_width=off)) - codes(tyre(wheel_width=just))


@pytest.mark.parametrize(("size", "built"), [("265/70 17", "a radial"), ("7.50-16", "a bias tyre")])
def test_a_construction_that_no_letter_says_is_told(size: str, built: str) -> None:
    (told,) = (each["text"] for each in tyre(tyre=size)["cautions"] if each["code"] == "construction-assumed")
    assert built in told
    assert "construction-assumed" not in codes(tyre())


@pytest.mark.parametrize(
    ("changes", "rests_on"),
    [
        ({}, {"width", "index"}),
        ({"tyre": "265/70R17"}, {"width"}),
        ({"tyre": "37x12.50R17LT 124Q"}, {"index"}),
        ({"tyre_pressure": 30}, {"width", "index", "stiffness"}),
        ({"tyre_pressure": 30, "vertical_stiffness": 1500}, {"width", "index"}),
        ({"tyre": "33 in"}, set()),
    ],
)
def test_sources_are_those_of_the_figures_told(changes: dict[str, Any], rests_on: set[str]) -> None:
    whats = {
        "width": "measuring rim and design section width by series",
        "index": "load index and speed symbol",
        "stiffness": "vertical stiffness from pressure, width, aspect and diameter",
    }
    told = str(tyre(**changes)["sources"])
    assert {name for name, what in whats.items() if what in told} == rests_on
