"""What the trade fits to light trail vehicles, against what the axle check computes.

Every expected value here is common practice, no published source: vehicles of 1.5 to 2 t, the ring gear sizes
7 1/8, 8 1/2 and 10 in, and the largest tyre thought sensible on each. What the trade leaves open is stated
below: the one grip printed for dry earth, half of the mass on the axle; the rest is the service's default, level
ground among it. The limits compared are those of the worst case, of which text shows only the range. The outcome
moves with these inputs, as README.md beside this file shows; no constant of the service was moved for it.
Where the trade and the computation part, a test says by how much, so that a change of either is seen.
"""

from typing import Any

import pytest

from gearing_api.formats.document import Document, document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.tables import table

STEP = 2.0
TRADE = {
    str(name): float(str(value)) for name, value in table("trade-figures").keyed("name", "value").items()
}

VEHICLE: dict[str, Any] = {
    "tyre": "33 in",
    "vehicle_mass": "1750 kg",
    "gear_ratios": [4.0, 2.4, 1.5, 1.0],
    "transfer_ratios": [1, 2.72],
    "axle_ratio": 4.1,
    "pinion_height": "high",
    "differential": "locked",
    "wheel_offset": 0,
    "spring_seat_spacing": 32,
    "tube_wall": 0.25,
    "front_axle_share": 0.5,
    "adhesion": 0.68,
}
SIX = {"peak_torque": "300 N m"}
EIGHT = {"peak_torque": "450 N m"}

PLAIN = {"inner_steel": "carbon-case-hardened", "stub_steel": "carbon-case-hardened"}
ALLOY = {"inner_steel": "alloy-4340", "stub_steel": "alloy-4340"}
TRUSS = {"truss_diameter": 1.5, "truss_wall": 0.12, "truss_height": 5, "truss_end": 6, "truss_web_wall": 0.1875,
         "truss_weld_leg": 0.1875}  # fmt: skip

SMALL = {"ring_gear_diameter": 7.125, "mounting_width": 60.75, "tube_diameter": 2.5,
         "inner_splines": 27, "inner_pitch": 24, "stub_splines": 27, "stub_pitch": 24}  # fmt: skip
MIDDLE = {"ring_gear_diameter": 8.5, "mounting_width": 65, "tube_diameter": 2.75,
          "inner_splines": 30, "inner_pitch": 24, "stub_splines": 19, "stub_pitch": 16}  # fmt: skip
LARGE = {"ring_gear_diameter": 10, "mounting_width": 67, "tube_diameter": 3,
         "inner_splines": 35, "inner_pitch": 24, "stub_splines": 35, "stub_pitch": 24}  # fmt: skip
LARGER_STUB = {"stub_splines": 30, "stub_pitch": 24}

LADDER: dict[str, dict[str, Any]] = {
    "7 1/8 in as built": SMALL | PLAIN,
    "8 1/2 in as built": MIDDLE | PLAIN,
    "7 1/8 in upgraded": SMALL | ALLOY | TRUSS,
    "8 1/2 in upgraded": MIDDLE | LARGER_STUB | ALLOY | TRUSS,
    "10 in": LARGE | PLAIN,
}
"""In the order of the trade: 33, 35, 35 to 37, 40, and more."""


def check(*axle: dict[str, Any], **changes: Any) -> Document:
    raw: dict[str, Any] = VEHICLE | SIX
    for fields in axle:
        raw = raw | fields
    question, build = QUESTIONS["axle-check"], read_build(raw | changes)
    return document(question, build, ask(question, build))


def ceiling(rung: str, **changes: Any) -> float:
    return float(check(LADDER[rung], **changes)["result"]["tyre_limit"])


def test_the_order_is_that_of_the_trade() -> None:
    ceilings = [ceiling(rung) for rung in LADDER]
    assert ceilings == sorted(ceilings)


@pytest.mark.parametrize(
    ("rung", "lowest", "highest"),
    [
        ("7 1/8 in as built", "tyre-7.125-as-built", "tyre-7.125-as-built"),
        ("7 1/8 in upgraded", "tyre-7.125-upgraded-low", "tyre-7.125-upgraded-high"),
        ("8 1/2 in as built", "tyre-8.5-as-built", "tyre-8.5-as-built"),
    ],
)
def test_ceilings_agree_with_the_trade_within_a_tyre_step(rung: str, lowest: str, highest: str) -> None:
    assert TRADE[lowest] - STEP <= ceiling(rung) <= TRADE[highest] + STEP


@pytest.mark.parametrize(
    ("rung", "size"),
    [
        ("7 1/8 in as built", "tyre-7.125-as-built"),
        ("7 1/8 in upgraded", "tyre-7.125-upgraded-low"),
        ("7 1/8 in upgraded", "tyre-7.125-upgraded-high"),
        ("8 1/2 in as built", "tyre-8.5-as-built"),
    ],
)
def test_what_the_trade_fits_lies_in_the_range_from_worst_to_usual(rung: str, size: str) -> None:
    """With what the service takes by itself: 0.55 of the mass in front, the high end of the grip."""
    vehicle = {name: value for name, value in (VEHICLE | SIX).items() if name != "adhesion"}
    build = read_build(vehicle | LADDER[rung] | {"front_axle_share": 0.55})
    question = QUESTIONS["axle-check"]
    low, high = document(question, build, ask(question, build))["ranges"]["tyre_limit"]
    assert low <= TRADE[size] <= high


def test_the_large_axle_holds_all_tyres_that_the_trade_begins_with() -> None:
    assert ceiling("10 in") >= TRADE["tyre-10-from"]


def test_shafts_end_the_axles_as_built_and_the_ring_gear_the_small_one_with_alloy() -> None:
    weakest = {rung: check(axle)["result"]["weakest_part"] for rung, axle in LADDER.items()}
    assert weakest["7 1/8 in as built"] == "inner shaft"
    assert weakest["8 1/2 in as built"] == "stub shaft"
    assert weakest["7 1/8 in upgraded"] == "ring gear"


def test_disagreement_the_upgraded_middle_axle_bears_far_more_than_the_trade_asks_of_it() -> None:
    """40 in by the trade; torque alone would allow some 60. A truck on 40 in tyres is heavier than the
    1.75 t taken here, and what the trade fears there is not torque: weight of the tyre, knuckles, bearings,
    brakes."""
    assert ceiling("8 1/2 in upgraded") > TRADE["tyre-8.5-upgraded"] + 10 * STEP


def test_disagreement_a_low_pinion_front_ends_the_small_axle_below_the_trade() -> None:
    """33 in by the trade, without a word on the pinion; the coast flank's 1.3 takes it two steps lower."""
    low = check(LADDER["7 1/8 in as built"], pinion_height="low")["result"]
    assert low["weakest_part"] == "ring gear"
    assert 2 * STEP < TRADE["tyre-7.125-as-built"] - low["tyre_limit"] < 3 * STEP


@pytest.mark.parametrize("rung", LADDER)
def test_disagreement_an_open_differential_spares_the_shafts(rung: str) -> None:
    """The trade's ladder does not ask for it; half of the torque never decides by a shaft, and the small axle
    as built then bears two steps more than the trade fits."""
    parts = {row[0]: row[4] for row in check(LADDER[rung], differential="open")["table"]["rows"]}
    assert min(parts["inner shaft"], parts["stub shaft"]) > parts["ring gear"]
    assert ceiling("7 1/8 in as built", differential="open") > TRADE["tyre-7.125-as-built"] + 2 * STEP


@pytest.mark.parametrize("rung", LADDER)
def test_disagreement_eight_cylinders_change_nothing_where_the_tyres_slip_first(rung: str) -> None:
    """The trade takes no axle but the 10 in one for eight cylinders. In the lowest gear six and eight both
    pull more than the tyres hold, so a steady torque does not tell them apart."""
    assert ceiling(rung, **EIGHT) == ceiling(rung)
    assert {"grip-limited"} <= {caution["code"] for caution in check(LADDER[rung])["cautions"]}


def test_eight_cylinders_reach_the_grip_in_high_range_with_both_axles_pulling_and_six_do_not() -> None:
    """Where the engine's size does show: computed, by hand from the torque of one axle of two."""
    half = {"transfer_ratios": [1], "driveline_efficiency": 0.9}
    six, eight = (
        document(question, build, ask(question, build))["result"]
        for question in [QUESTIONS["ring-gear-load"]]
        for build in [read_build(VEHICLE | engine | half) for engine in (SIX, EIGHT)]
    )
    assert six["engine_limited_torque"] / 2 < six["grip_limited_torque"] < eight["engine_limited_torque"] / 2


@pytest.mark.parametrize(
    ("teeth", "name"), [(27, "shaft-27-teeth"), (30, "shaft-30-teeth"), (35, "shaft-35-teeth")]
)
def test_the_stress_is_taken_well_below_the_size_that_the_trade_names(teeth: int, name: str) -> None:
    """The trade names a pitch or tip diameter; the root that carries the torque is 8 to 11 % thinner."""
    rows = check(SMALL, inner_splines=teeth)["table"]["rows"]
    root = next(row[1] for row in rows if row[0] == "inner shaft")
    assert 0.88 < root / TRADE[name] < 0.93
