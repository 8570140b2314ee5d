"""Verdicts over 1,000 plausible builds, the first 200 in the plain run: a warning that nearly all get warns nobody."""

from collections import Counter
from typing import Any

import numpy as np
import pytest

from gearing_api.answer import verdict
from gearing_api.questions import QUESTIONS, ask, read_build

BUILDS = (200, pytest.param(1_000, marks=pytest.mark.slow))
MOST_WARNED = 0.70

TYRES = ("31x10.50R15LT 109Q", "LT265/75R16 123/120Q", "33x12.50R15LT 108Q", "LT285/70R17 121/118Q",
         "35x12.50R17LT 121Q", "LT315/70R17 121/118Q", "37x12.50R17LT 124Q")  # fmt: skip
ORIGINAL_TYRES = ("P235/75R15 105S", "LT245/75R16 120/116S", "LT245/75R17 121/118S", "255/70R16 111S")
GEARBOXES = (
    [4.46, 2.61, 1.72, 1.25, 1, 0.84],
    [3.83, 2.33, 1.44, 1, 0.79],
    [4.7, 3.13, 2.1, 1.67, 1.29, 1, 0.84, 0.67],
)
STANDARD = {
    "tyre": "LT245/75R17 121/118S", "original_tyre": "LT245/75R17 121/118S", "axle_ratio": 3.73, "tyre_pressure": 38,
    "tyre_load": "1240 lb", "gear_ratios": GEARBOXES[0], "reverse_ratio": 4.06, "transfer_ratios": [1, 2.72],
    "peak_torque": "260 lb-ft", "peak_torque_speed": 3200, "peak_power": "215 hp", "peak_power_speed": 5000,
    "redline_speed": 5500, "vehicle_mass": 4700, "front_axle_share": 0.53, "wheelbase": 109, "grade_percent": 0,
    "front_axle_ratio": 3.73, "rear_axle_ratio": 3.73, "ring_gear_diameter": 7.6, "differential": "open",
    "inner_splines": 28, "inner_pitch": 24, "stub_splines": 27, "stub_pitch": 24, "joint_rating": "3000 lb-ft",
    "housing_drop": 4.5, "mounting_width": 60.75, "wheel_offset": 0.5, "axle_mass": 335,
    "engine_displacement": 3.6, "descent_grade_percent": 8, "descent_height": 1000,
}  # fmt: skip
"""A light truck as it is sold, on the tyres it is sold on."""


def plausible(random: np.random.Generator) -> dict[str, Any]:
    """A build as somebody plans it: larger tyres on a light truck, usually with other gears, sometimes a locker."""
    power = float(random.uniform(130, 320))
    share = float(random.uniform(0.48, 0.58))
    mass = float(random.uniform(3600, 6800))
    original = float(random.choice([3.07, 3.42, 3.55, 3.73, 4.1]))
    fitted = float(random.choice([original, 3.73, 4.1, 4.56, 4.88]))
    splines = int(random.choice([27, 28, 30, 35]))
    return {
        "tyre": str(random.choice(TYRES)), "original_tyre": str(random.choice(ORIGINAL_TYRES)),
        "axle_ratio": fitted, "original_axle_ratio": original, "front_axle_ratio": fitted,
        "rear_axle_ratio": fitted if random.random() < 0.8 else round(fitted * float(random.uniform(0.97, 1.03)), 2),
        "gear_ratios": GEARBOXES[int(random.integers(len(GEARBOXES)))], "reverse_ratio": 3.9,
        "transfer_ratios": [1, float(random.choice([2.0, 2.72, 4.0]))],
        "peak_power": power, "peak_power_speed": 5000, "peak_torque": power * 1.2, "peak_torque_speed": 3000,
        "redline_speed": 5600, "vehicle_mass": mass, "front_axle_share": share,
        "wheelbase": float(random.uniform(95, 130)), "tyre_pressure": float(random.uniform(24, 45)),
        "tyre_load": 0.5 * mass * max(share, 1 - share), "cruise_speed": float(random.uniform(55, 70)),
        "grade_percent": float(random.choice([0, 3, 6, 20])), "altitude": float(random.uniform(0, 6000)),
        "target_crawl_ratio": float(random.choice([40, 50, 60])),
        "engine_displacement": float(random.uniform(2.0, 5.7)),
        "descent_grade_percent": float(random.choice([6, 10, 14, 20, 30])),
        "descent_height": float(random.uniform(300, 3000)),
        "descent_speed": float(random.choice([5, 10, 20, 30])), "side_slope_percent": float(random.uniform(0, 30)),
        "loads": [[float(random.uniform(50, 600)), float(random.uniform(40, 120)), float(random.uniform(25, 60))]],
        **({"trailer_mass": float(random.uniform(500, 4000))} if random.random() < 0.3 else {}),
        "ring_gear_diameter": float(random.choice([7.6, 8.5, 8.8, 9.75])), "original_ring_gear_diameter": 7.6,
        "differential": str(random.choice(["open", "locked", "limited-slip"])), "original_differential": "open",
        "inner_splines": splines, "inner_pitch": 24, "original_inner_splines": 28, "original_inner_pitch": 24,
        "stub_splines": splines, "stub_pitch": 24, "original_stub_splines": 27, "original_stub_pitch": 24,
        "joint_rating": "3400 lb-ft", "surface": str(random.choice(["dry-earth", "gravel", "dry-asphalt"])),
        "housing_drop": float(random.uniform(4.5, 6)), "original_housing_drop": 4.5, "mounting_width": 65,
        "original_mounting_width": 60.75, "wheel_offset": -0.5, "original_wheel_offset": 0.5,
        "axle_mass": 400, "original_axle_mass": 335,
    }  # fmt: skip


def verdicts(name: str, builds: int) -> Counter[str]:
    random = np.random.default_rng(20_26)
    question = QUESTIONS[name]
    found: Counter[str] = Counter()
    for _ in range(builds):
        raw = {field: value for field, value in plausible(random).items() if field.removeprefix("original_") in
               question.fields or field in question.fields}  # fmt: skip
        build = read_build(raw)
        if not build.missing(question.needs):
            found[verdict(question, ask(question, build))] += 1
    return found


OF_A_BUILD = [name for name, question in QUESTIONS.items() if not question.measures]


@pytest.mark.parametrize("builds", BUILDS)
@pytest.mark.parametrize("name", [name for name in OF_A_BUILD if name != "build-sheet"])
def test_few_enough_builds_are_warned(name: str, builds: int) -> None:
    found = verdicts(name, builds)
    asked = sum(found.values())
    assert (found["check"] + found["stop"]) <= MOST_WARNED * asked, found


@pytest.mark.parametrize("name", OF_A_BUILD)
def test_a_standard_truck_on_standard_tyres_gets_no_stop(name: str) -> None:
    question = QUESTIONS[name]
    build = read_build({field: value for field, value in STANDARD.items() if field in question.fields})
    if not build.missing(question.needs):
        assert verdict(question, ask(question, build)) != "stop"
