"""Clearance: what an axle swap gains in height and costs in width and mass."""

from math import pi
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearing_api.formats.document import Document, document
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.text import as_text
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.tables import table
from gearing_api.vocabulary import InvalidBuild

QUESTION = QUESTIONS["clearance"]
QUICK = settings(max_examples=60, deadline=None)
TRADE = {
    str(name): float(str(value)) for name, value in table("trade-figures").keyed("name", "value").items()
}

SWAP: dict[str, Any] = {
    "tyre": "37x12.50R17LT", "original_tyre": "31x10.50R15LT",
    "housing_drop": 5, "original_housing_drop": 4.5,
    "mounting_width": 65, "original_mounting_width": 60.75, "wheel_offset": -1, "original_wheel_offset": 0.5,
    "axle_mass": 420, "original_axle_mass": 335, "vehicle_mass": 4250,
}  # fmt: skip


def clearance(**changes: Any) -> Document:
    raw = {name: value for name, value in (SWAP | changes).items() if value is not None}
    build = read_build(raw)
    return document(QUESTION, build, ask(QUESTION, build))


def result(**changes: Any) -> dict[str, Any]:
    return dict(clearance(**changes)["result"])


def codes(made: Document) -> set[str]:
    return {caution["code"] for caution in made["cautions"]}


def test_by_hand() -> None:
    """Geometry on the rolling radius, 3.05 / 2 pi of the free diameter."""
    share = 3.05 / (2 * 3.141592653589793)
    assert result() == pytest.approx(
        {
            "housing_clearance": 37 * share - 5,
            "housing_clearance_change": 6 * share - 0.5,
            "tyre_growth_used_up": 0.5 / share,
            "track": 67,
            "track_change": 67 - 59.75,
            "overall_width": 67 + 12.5,
            "unsprung_mass_change": 85,
            "unsprung_mass_change_percent": 2.0,
        }
    )


def test_a_tyre_larger_by_what_was_eaten_gives_the_height_back() -> None:
    tyre = {"original_tyre": "33 in", "original_housing_drop": TRADE["housing-drop-7.125"],
            "housing_drop": TRADE["housing-drop-10"]}  # fmt: skip
    eaten = result(**tyre, tyre="33 in")
    assert eaten["housing_clearance_change"] == pytest.approx(-1.75)
    back = result(**tyre, tyre=f"{33 + eaten['tyre_growth_used_up']} in")
    assert back["housing_clearance_change"] == pytest.approx(0, abs=1e-9)


def test_two_inches_of_clearance_are_about_a_step_from_36_to_40() -> None:
    """Common practice, no published source: exact on nominal radii, a little less on rolling ones."""
    gained = result(tyre="40 in", original_tyre="36 in", housing_drop=5, original_housing_drop=5)
    assert 1.9 < gained["housing_clearance_change"] < 2.0


def test_the_small_housing_against_the_large_one_costs_almost_two_inches() -> None:
    """Common practice, no published source: drops of 4.5 and 6.25 in, so 1.75 in."""
    drops = {"original_housing_drop": TRADE["housing-drop-7.125"], "housing_drop": TRADE["housing-drop-10"]}
    assert result(**drops, original_tyre="37x12.50R17LT")["housing_clearance_change"] == pytest.approx(-1.75)


def test_the_housing_stands_lower_on_a_loaded_tyre() -> None:
    soft = {"tyre": "LT315/75R16 121/118S", "tyre_pressure": 20}
    loaded, rolling = clearance(**soft, tyre_load=1200), clearance(**soft)
    assert loaded["result"]["housing_clearance"] < rolling["result"]["housing_clearance"]
    assert "rolling-radius" in codes(rolling) - codes(loaded)


def test_width_follows_the_wheel() -> None:
    plain, wide = (result(tyre="LT315/75R16 121/118S", wheel_width=width) for width in (8.5, 10))
    assert wide["overall_width"] == pytest.approx(plain["overall_width"] + 0.4 * 1.5)
    assert wide["track"] == plain["track"]


@pytest.mark.parametrize(
    ("lacking", "null"),
    [
        ("housing_drop", {"housing_clearance", "housing_clearance_change", "tyre_growth_used_up"}),
        ("original_housing_drop", {"housing_clearance_change", "tyre_growth_used_up"}),
        ("wheel_offset", {"track", "track_change", "overall_width"}),
        ("original_mounting_width", {"track_change"}),
        ("original_axle_mass", {"unsprung_mass_change", "unsprung_mass_change_percent"}),
        ("vehicle_mass", {"unsprung_mass_change_percent"}),
    ],
)
def test_what_is_not_known_names_the_field(lacking: str, null: set[str]) -> None:
    made = clearance(**{lacking: None})
    assert {name for name, value in made["result"].items() if value is None} == null
    assert {name: why["fields"] for name, why in made["absent"].items()} == {name: [lacking] for name in null}


def test_a_measured_tyre_has_no_width() -> None:
    made = clearance(tyre="36.4 in")
    assert made["result"]["overall_width"] is None
    assert made["absent"]["overall_width"] == {"why": "does not apply"}


def test_a_tyre_alone_is_told_all_that_is_missing() -> None:
    made = clearance(**(dict.fromkeys(SWAP) | {"tyre": "265/70R17"}))
    assert set(made["result"].values()) == {None}
    told = {field for why in made["absent"].values() for field in why["fields"]}
    assert told == {field for field in SWAP if not field.endswith("tyre")}
    assert made["verdict"] == "unknown"


def test_a_housing_below_the_ground_is_a_stop() -> None:
    made = clearance(tyre="15 in", housing_drop=20)
    assert made["result"]["housing_clearance"] < 0.0
    assert "no-clearance" in codes(made)
    assert made["verdict"] == "stop"
    assert clearance(housing_drop=5)["verdict"] == "clear"


@pytest.mark.parametrize(("drop", "said"), [(7.9, False), (8, True), (8.1, True)])
def test_a_housing_that_touches_the_ground_is_a_stop(drop: float, said: bool) -> None:
    """Rolled out to 3.14159... diameters a tyre of 16 in stands 8 in high."""
    made = clearance(tyre="16 in", rolling_factor=pi, housing_drop=drop)
    assert made["result"]["housing_clearance"] == pytest.approx(8 - drop, abs=1e-9)
    assert ("no-clearance" in codes(made)) is said


@pytest.mark.parametrize("name", ["hub_offset", "original_hub_offset"])
def test_an_axle_in_the_ground_is_refused(name: str) -> None:
    """A wheel centre 8 in high, the axle lower by as much."""
    boxes = {"tyre": "16 in", "original_tyre": "16 in", "rolling_factor": pi}
    assert clearance(**boxes, **{name: -7.999})["result"]["housing_clearance"] is not None
    for offset in (-8, -8.5):
        with pytest.raises(InvalidBuild, match=f"^{name} is so far below the wheel centre"):
            clearance(**boxes, **{name: offset})


@pytest.mark.parametrize(
    ("drop", "said"),
    [(4, "1 in more than"), (5, "as much as"), (6, "1 in less than")],
)
def test_the_summary_tells_what_is_gained(drop: float, said: str) -> None:
    made = clearance(tyre="33 in", original_tyre="33 in", housing_drop=drop, original_housing_drop=5)
    assert made["summary"].endswith(f"under the housing, {said} the original had.")


@QUICK
@given(low=st.floats(25, 45), high=st.floats(25, 45))
def test_a_larger_tyre_never_lowers_the_housing(low: float, high: float) -> None:
    small, large = (result(tyre=f"{size} in")["housing_clearance"] for size in sorted((low, high)))
    assert large >= small


def test_the_sheet_carries_the_caution() -> None:
    sheet = as_text(clearance(), OutputOptions()).decode()
    assert "Estimates for comparison, not a rating." in sheet
    assert max(map(len, sheet.splitlines())) <= 60
