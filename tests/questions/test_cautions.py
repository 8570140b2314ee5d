"""Every caution on both sides of its limit. The limits are worked out here, not taken from the service."""

import ast
import re
from collections.abc import Callable
from math import pi
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

import gearing_api
from gearing_api.answer import Caution
from gearing_api.questions import QUESTIONS, answer_before, ask, read_build
from gearing_api.tables import table

HOUSE = Path(gearing_api.__file__).parent
JUST = 1e-6
"""How far from a limit the builds are, in parts of it."""

INCH, POUND_FOOT, RPM = 0.0254, 1.3558179483314004, pi / 30.0


class Row(NamedTuple):
    """The fields changed in the example of the question: so that the caution is absent, and present.

    `without` is None where every answer to the question has the caution.
    """

    code: str
    level: str
    question: str
    without: dict[str, Any] | None
    within: dict[str, Any]


def asked(question: str, changes: dict[str, Any]) -> tuple[dict[str, Any], list[Caution]]:
    """SI results and the cautions of the question's example after the changes; None takes a field away."""
    raw = {
        name: value for name, value in (QUESTIONS[question].example | changes).items() if value is not None
    }
    build = read_build(raw)
    answer, before = ask(QUESTIONS[question], build), answer_before(QUESTIONS[question], build)
    cautions = (*answer.cautions, *([before] if isinstance(before, Caution) else []))
    return dict(answer.result), [caution for caution in cautions if np.any(caution.where)]


def result(question: str, name: str, **changes: Any) -> float:
    """One result of the example after the changes, in SI."""
    return float(asked(question, changes)[0][name])


def around(field: str, limit: float, unit: str = "", **more: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """The field just below and just above a limit."""
    low, high = (f"{limit * (1.0 + side * JUST)!r} {unit}".strip() for side in (-1.0, 1.0))
    return {field: low, **more}, {field: high, **more}


def upwards(
    code: str, level: str, question: str, field: str, limit: float, unit: str = "", **more: Any
) -> Row:
    """The caution is there above the limit."""
    below, above = around(field, limit, unit, **more)
    return Row(code, level, question, below, above)


def from_limit(
    code: str, level: str, question: str, field: str, limit: float, unit: str = "", **more: Any
) -> Row:
    """The caution is there above the limit, and not at it."""
    at = {field: f"{limit!r} {unit}".strip(), **more}
    return Row(code, level, question, at, around(field, limit, unit, **more)[1])


def downwards(
    code: str, level: str, question: str, field: str, limit: float, unit: str = "", **more: Any
) -> Row:
    """The caution is there below the limit."""
    below, above = around(field, limit, unit, **more)
    return Row(code, level, question, above, below)


def crossing(
    question: str, field: str, low: float, high: float, of: Callable[..., float], **more: Any
) -> float:
    """The value of a field at which a function of the results is zero."""

    def at(value: float) -> float:
        return of(asked(question, {**more, field: value})[0])

    rises = at(high) > 0.0
    assert rises != (at(low) > 0.0), "the limit lies between"
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if (at(middle) > 0.0) == rises else (middle, high)
    return 0.5 * (low + high)


RADIAL, BIAS = "LT315/70R17 121/118S", "31x10.50-15"
SIZE_LIMIT, SYMBOL_LIMIT = 1450.0, 160.0
"""Load index 121 in kg, speed symbol Q in km/h."""
RIM = 9.5
"""Measuring rim of the radial size. [in]"""
STANDARD_GEARS, LOW_RANGE = (4.46, 2.61, 1.72, 1.25, 1.0, 0.84), 2.72
IN_TOP = result("road-speed", "cruise_engine_speed") / RPM
IN_THIRD = IN_TOP / STANDARD_GEARS[5] * STANDARD_GEARS[2]
"""Engine speed at cruise speed; in second gear it is above the redline. [rpm]"""
SAME = {"tyre": RADIAL, "original_tyre": RADIAL, "axle_ratio": 4.1, "original_axle_ratio": 4.1}
TWO_RATIOS = {"available_ratios": [4.1, 4.56]}
HIGHEST_CRAWL = 4.56 * STANDARD_GEARS[0] * LOW_RANGE


STRAIGHT = {
    "propshaft_drop": 0,
    "propshaft_side": 0,
    "original_propshaft_drop": None,
    "original_pinion_slope": None,
}
"""A shaft that lies level, so that its joints bend by the slopes of output and pinion."""
TWO_CROSS = STRAIGHT | {"propshaft_joints": "two-cross"}
LONG = STRAIGHT | {"propshaft_run": 60}
SHAFT_SPEED = IN_TOP / STANDARD_GEARS[5]
"""Of the propeller shaft at 65 mph. [rpm]"""
MOST_BENT = max(6.0, 7.0 - (7.0 - 35.0 / 6.0) * (SHAFT_SPEED - 2500.0) / 500.0)
"""The largest angle at that speed in any rule, the power take-off maker's between 2,500 and 3,000 rpm. [deg]"""
WHIRLING = 30 * pi / (60 * INCH) ** 2 * (206e9 * (2.0**2 + 1.76**2) * INCH**2 / 16 / 7850) ** 0.5
"""Critical speed of the tube of 2 in with a wall of 0.12 in, 60 in long. [rpm]"""
WHIRLS = 65.0 * WHIRLING / SHAFT_SPEED
"""Road speed at which that shaft whirls. [mph]"""


def shaken(excitation: str, limit: float) -> float:
    """Road speed at which a pinion joint of 4 degrees shakes so hard: it goes with the square. [rad/s2], [mph]"""
    return 65.0 * (limit / result("driveline", excitation, pinion_slope=4, **STRAIGHT)) ** 0.5


def flat(torque: float, last: float = 6000.0) -> dict[str, Any]:
    """An engine whose torque does not depend on its speed, at sea level. [N m], [rpm]"""
    peaks = ("peak_torque", "peak_torque_speed", "peak_power", "peak_power_speed")
    curve = [[500, torque / POUND_FOOT], [last, torque / POUND_FOOT]]
    return {"altitude": 0, "torque_curve": curve, "driveline_efficiency": 0.9, **dict.fromkeys(peaks)}


def torque_to_hold(engine_speed: float, **more: Any) -> float:
    """Torque that holds cruise_speed on the grade with the reserve of 5 %. [rpm], [N m]"""
    return (
        1.05
        * result("cruise", "power_needed", altitude=0, driveline_efficiency=0.9, **more)
        / (engine_speed * RPM)
    )


def reading(over: float, **more: Any) -> dict[str, Any]:
    """A speedometer that shows so many percent too much."""
    return {**SAME, "original_overreading_percent": over, **more}


def over_at_most(speed: float) -> float:
    """What a speedometer may show too much at an indicated speed, in percent: a tenth and 4 km/h. [km/h]"""
    return 100.0 * (speed / ((speed - 4.0) / 1.1) - 1.0)


STANDING = (result("clearance", "housing_clearance") + 5 * INCH) / INCH
WEAK = {"peak_torque": "60 lb-ft", "rolling_resistance": 0.015}
GRIP = result("crawl", "engine_grade_percent", **WEAK) + 0.015
SLIPS_FROM = (
    260.0
    * result("ring-gear-load", "grip_limited_torque", driveline_efficiency=0.9)
    / result("ring-gear-load", "engine_limited_torque", driveline_efficiency=0.9)
)
SLOWEST = result("crawl", "crawl_speed", idle_speed=1500)
STEEP = {"grade_percent": 40, "idle_speed": 1500}

ON_33 = {"tyre": "33 in", "differential": "open"}


def spare(code: str, level: str, size: float, differential: str, side: float) -> Row:
    """A spare on one rear wheel whose size, in parts of the other tyre's, is on either side of a limit."""
    without, within = (f"{33 * (size + sign * side * JUST)} in" for sign in (-1.0, 1.0))
    more = ON_33 | {"spare_position": "rear", "differential": differential}
    return Row(code, level, "axle-match", more | {"spare_tyre": without}, more | {"spare_tyre": within})


TRUSS = {"truss_diameter": 1.5, "truss_wall": 0.12, "truss_height": 5, "truss_end": 6}
_ORIGINALS = [name for name in QUESTIONS["axle-check"].example if name.startswith("original_")]
PARTS = ("inner_splines", "stub_splines", "joint_rating", "tube_wall")
AS_IT_CAME = {f"original_{name}": QUESTIONS["axle-check"].example[name] for name in (
    "vehicle_mass", "gear_ratios", "transfer_ratios", "peak_torque")}  # fmt: skip
ALONE: dict[str, Any] = dict.fromkeys((*_ORIGINALS, *PARTS)) | {"axle_position": "rear"}
"""A ring gear of which nothing else is known, on its drive flank."""
ALONE_ON_33 = ALONE | {"tyre": "33 in", "original_tyre": "33 in", "original_ring_gear_diameter": 8.5}
YIELD_FOR_A_JUMP = 60.0 * 4.0 / 2.5 / next(
    float(row[4]) for row in zip(*(column.values for column in ask(
        QUESTIONS["axle-check"], read_build(QUESTIONS["axle-check"].example)).table()), strict=True)
    if row[0] == "housing tube")  # fmt: skip


def ring_for(coefficient: float) -> float:
    """Diameter of a ring gear whose capacity (D / K)^3, mm and N m, is the torque it sees. [in]"""
    return float(np.cbrt(result("ring-gear-load", "ring_gear_torque", **ALONE))) * coefficient / 25.4


SIZE_121 = SIZE_LIMIT / 0.45359237
ON_REAR = result("axle-loads", "rear_axle_load") / 0.45359237
"""[lb]"""


def pressure(load: float, rated: float) -> float:
    """At which a light-truck tyre with index 121 at the rated pressure carries a load. [lb], [psi]"""
    return float(rated * np.power(load / SIZE_121, 1.0 / 0.7))


def across() -> float:
    """Load of the lower rear tyre across a slope of 20 %. [lb]"""
    stable = result("axle-loads", "static_stability_factor")
    return ON_REAR * (0.5 + 0.2 / (2.0 * stable)) / float(np.sqrt(1.04))


IN_LOW_FIRST = STANDARD_GEARS[0] * LOW_RANGE * 4.56 / (35 * INCH * 3.05 / (2.0 * pi))
"""Overall ratio / rolling radius. [1/m]"""


def turning(**more: Any) -> float:
    """Engine speed at which the lowest gear settles. [rpm]"""
    return result("descent", "settling_speed", gear_ratios=[4.46], **more) * IN_LOW_FIRST / RPM


def too_high() -> float:
    """Height over which the brakes take the heat of 6 km at 6 %, at 40 %. [m]"""
    rise = result("descent", "brake_temperature_rise", descent_grade_percent=40, descent_height="100 m")
    energy = 5300 * 0.45359237 * 9.80665 * 6000 * 0.06 / float(np.sqrt(1.0 + 0.06 * 0.06))
    return 100.0 * 0.65 * energy / (0.5 * 40.0 * 500.0) / rise


TALLER = 35.0 / (17.0 + 2.0 * 0.75 * 245.0 / 25.4)
ELECTRIC = {"engine_kind": "electric", "peak_torque": "260 lb-ft", "peak_power": "215 hp"}
BARE = dict.fromkeys(("loads", "trailer_mass", "trailer_brakes", "tongue_mass"))
ARM_OF_HALF_LIFE = 3.0 * (2.0**0.3 - 1.0)
"""Bearings 3 in apart, the wheel plane over the outer one before: twice the life at 2^0.3 times the load. [in]"""
STIFF = {"tube_diameter": 4.5, "tube_wall": 0.5}
YIELD_OF_RESERVE = 60.0 * 6.0 / result("axle-check", "static_reserve", **STIFF)
STRONG = {"tube_yield": "240 ksi", "tube_wall": 0.25}


def diameter_of_sag() -> float:
    """Diameter of a tube of that wall at which it sags 1.4 mm per metre of track, by halving. [in]"""
    demo = 2.75**4 - 2.25**4
    wanted = demo * result("axle-check", "sag_per_track") / 0.0014
    low, high = 2.75, 12.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if middle**4 - (middle - 0.5) ** 4 < wanted else (low, middle)
    return low


DIAMETER_OF_SAG = diameter_of_sag()

WEAK_FLAT = flat(150)
FUEL_MOTOR = {"engine_kind": "electric", "engine_displacement": None, "idle_speed": None, "gear_ratios": [2],
              "transfer_ratios": [1], "peak_torque_speed": None, "redline_speed": 12000, "tank_volume": None,
              "original_tyre": None, "original_axle_ratio": None}  # fmt: skip
FUEL_LIMIT = crossing(
    "fuel", "axle_ratio", 4.56, 7.0, lambda made: float(made["fuel_change_percent"]) - 0.035
)
AUTOMATIC = {"gearbox_kind": "automatic", "peak_torque": None, "torque_curve": "500:200, 5000:200"}
READING = {"measured_fuel_economy": 20, "measured_at_speed": 65}
FASTEST = result("road-speed", "top_speed", redline_speed=5500)
"""Speed of top gear at redline. [m/s]"""

TURNED = {"measured_shaft_turns": 45.5625, "measured_wheel_turns": 10}
BY_HAND = {"measured_wheel_turns": 10, "measured_engine_speed": None, "measured_road_speed": None}
TURNS_READ = 0.0361
"""Standard uncertainty of turns read at a mark, a sixteenth either way."""
NOT_WEIGHED = {
    "front_axle_weighed": None,
    "rear_axle_weighed": None,
    "lifted_axle": None,
    "vehicle_mass": 5300,
}
WEIGHED = 5300 * 0.45359237
TOO_HEAVY = (WEIGHED + 2 * (4e-4 * WEIGHED**2 / 4 + (1 - 4e-4) * 2 * 5.77**2) ** 0.5) / (1 - 4e-4)
"""Mass that lies two standard uncertainties above both axles weighed: 1 % of itself, and 5.77 kg of each. [kg]"""

ROWS = [
    # tyre
    Row("construction-assumed", "note", "tyre", {}, {"tyre": "35 in"}),
    Row("range-given", "note", "crawl", {"idle_speed": 750}, {"idle_speed": "700 to 800 rpm"}),
    Row("nominal-diameter", "note", "tyre", {}, {"tyre": "35x12.50R17LT"}),
    upwards("wheel-width", "check", "tyre", "wheel_width", RIM + 2.0, tyre=RADIAL),
    downwards("wheel-width", "check", "tyre", "wheel_width", RIM - 2.0, tyre=RADIAL),
    downwards("stiffness-extrapolated", "note", "tyre", "tyre_pressure", 150.0, "kPa"),
    Row("bias-stiffness", "note", "tyre", {}, {"tyre": BIAS, "wheel_width": None}),
    Row("overloaded", "stop", "tyre", {"tyre_load": f"{SIZE_LIMIT} kg", "tyre_pressure": 60},
        {"tyre_load": f"{SIZE_LIMIT * (1.0 + JUST)} kg", "tyre_pressure": 60}),
    downwards("below-load-tables", "note", "tyre", "tyre_pressure", 35.0, "psi"),
    upwards("underinflated", "stop", "tyre", "tyre_load", SIZE_LIMIT * (32 / 65) ** 0.7, "kg",
            rated_pressure="65 psi"),
    upwards("underinflated", "check", "tyre", "tyre_load", SIZE_LIMIT * (32 / 80) ** 0.7, "kg"),
    upwards("underinflated", "stop", "tyre", "tyre_load", SIZE_LIMIT * (32 / 35) ** 0.7, "kg"),
    # final-drive
    Row("no-original", "note", "final-drive", {}, {"original_tyre": None}),
    Row("unequal-construction", "note", "final-drive", {}, {"original_tyre": BIAS}),
    Row("unequal-construction", "note", "regear", {}, {"original_tyre": BIAS}),
    Row("both-axles", "note", "final-drive", {"axle_ratio": 3.73}, {"axle_ratio": 3.7301}),
    # speedometer
    Row("no-original", "note", "speedometer", {}, {"original_tyre": None}),
    Row("reads-low", "check", "speedometer", reading(-100 / 51 + JUST), reading(-100 / 51 - JUST)),
    Row("outside-r39", "note", "speedometer", reading(0.0), reading(-JUST)),
    Row("outside-r39", "note", "speedometer",
        reading(over_at_most(120) - JUST, indicated_speeds="40 km/h, 120 km/h"),
        reading(over_at_most(120) + JUST, indicated_speeds="40 km/h, 120 km/h")),
    Row("outside-393-82", "note", "speedometer", reading(10.0), reading(10.0 + JUST)),
    Row("outside-393-82", "note", "speedometer", reading(-10.0), reading(-10.0 - JUST)),
    Row("local-law", "note", "speedometer", None, {}),
    # road-speed
    Row("geometry-only", "note", "road-speed", None, {}),
    downwards("cruise-above-redline", "check", "road-speed", "redline_speed", IN_TOP),
    upwards("cruise-above-speed-symbol", "check", "road-speed", "cruise_speed", SYMBOL_LIMIT, "km/h"),
    upwards("speed-symbol", "note", "road-speed", "redline_speed",
            result("road-speed", "cruise_engine_speed", cruise_speed=f"{SYMBOL_LIMIT} km/h") / RPM),
    Row("speed-symbol", "note", "road-speed", {"cruise_speed": "161 km/h"}, {"cruise_speed": "159 km/h"}),
    # cruise
    upwards("cruise-above-speed-symbol", "check", "cruise", "cruise_speed", SYMBOL_LIMIT, "km/h"),
    Row("no-gear", "check", "cruise", flat(torque_to_hold(IN_THIRD) * (1.0 + JUST)),
        flat(torque_to_hold(IN_THIRD) * (1.0 - JUST))),
    upwards("top-gear-out", "note", "cruise", "idle_speed", IN_TOP),
    downwards("top-gear-out", "note", "cruise", "redline_speed", IN_TOP, **flat(400)),
    upwards("shifts-often", "check", "cruise", "hold_grade_percent",
            100.0 * result("cruise", "steepest_grade_percent")),
    Row("no-speed", "check", "cruise",
        STEEP | flat(torque_to_hold(1500, cruise_speed=f"{3.6 * SLOWEST} km/h", **STEEP) * (1.0 + JUST)),
        STEEP | flat(torque_to_hold(1500, cruise_speed=f"{3.6 * SLOWEST} km/h", **STEEP) * (1.0 - JUST))),
    Row("outside-curve", "note", "cruise", flat(400, IN_THIRD * (1.0 + JUST)),
        flat(400, IN_THIRD * (1.0 - JUST))),
    from_limit("above-load-index", "stop", "cruise", "vehicle_mass", 4.0 * SIZE_LIMIT, "kg", front_axle_share=0.5),
    upwards("above-load-index", "stop", "cruise", "vehicle_mass", 2.0 * SIZE_LIMIT / 0.53, "kg"),
    upwards("above-load-index", "stop", "cruise", "vehicle_mass", 2.0 * SIZE_LIMIT / 0.6, "kg",
            front_axle_share=0.4),
    Row("engine-from-peaks", "note", "cruise", flat(400), {}),
    Row("peak-torque-unused", "note", "cruise", {}, {"peak_torque_speed": None}),
    Row("peak-torque-unused", "note", "cruise", {"peak_torque": None, "peak_torque_speed": None},
        {"peak_torque": None}),
    Row("critical-altitude-assumed", "note", "cruise", {"altitude": "1524 m", "engine_kind": "petrol-turbo"},
        {"altitude": "1525 m", "engine_kind": "petrol-turbo"}),
    upwards("critical-altitude-assumed", "note", "cruise", "altitude", 5000.0, "ft", engine_kind="petrol-turbo"),
    Row("critical-altitude-assumed", "note", "cruise",
        {"altitude": 6000, "engine_kind": "diesel-turbo", "critical_altitude": 5000},
        {"altitude": 6000, "engine_kind": "diesel-turbo"}),
    Row("critical-altitude-assumed", "note", "cruise", {"altitude": 6000, "engine_kind": "electric"},
        {"altitude": 6000, "engine_kind": "petrol-turbo"}),
    Row("drag-as-measured", "note", "cruise", {"road_load": [40, 0.5, 0.02], "altitude": 0},
        {"road_load": [40, 0.5, 0.02], "altitude": 1}),
    # crawl
    Row("idle-torque-estimated", "note", "crawl", {"peak_torque": None, "torque_curve": "500:200, 5000:200"}, {}),
    Row("stall-speed-assumed", "note", "crawl",
        AUTOMATIC | {"converter_stall_speed": 2200}, AUTOMATIC),
    Row("open-differential", "note", "crawl", {"differential": "locked"}, {"differential": "open"}),
    Row("adhesion", "note", "crawl", None, {}),
    downwards("grip-limited", "note", "crawl", "adhesion", GRIP, **WEAK),
    Row("no-low-range", "check", "crawl", {"target_crawl_ratio": 50},
        {"target_crawl_ratio": 50, "transfer_ratios": None}),
    upwards("climb-tips-over", "check", "crawl", "mass_centre_height",
            0.85 * 0.55 * 114 / result("crawl", "climbable_grade_percent")),
    Row("idle-torque-estimated", "note", "crawl", {"torque_curve": "700:200,5000:200"}, {}),
    # acceleration
    Row("full-load-without-traffic", "note", "acceleration", None, {}),
    upwards("speed-not-reached", "check", "acceleration", "to_speed", FASTEST, "m/s", **flat(2000)),
    upwards("does-not-overtake", "check", "acceleration", "overtaken_speed", FASTEST * 4.56 / 8, "m/s", **flat(2000),
            axle_ratio=8),
    Row("engine-inertia-assumed", "note", "acceleration", {}, {"engine_displacement": None}),
    # fuel
    Row("fuel-estimate", "note", "fuel", None, {}),
    upwards("speed-not-held", "check", "fuel", "cruise_speed", FASTEST, "m/s", **flat(2000)),
    Row("reading-before", "note", "fuel", READING | dict.fromkeys(("original_tyre", "original_axle_ratio")), READING),
    Row("reading-unused", "note", "fuel", READING, READING | {"engine_kind": "electric"}),
    Row("within-the-error", "note", "fuel", {"axle_ratio": 7}, {"axle_ratio": 4.56}),
    # regear
    *(Row(code, "note", "regear", None, {}) for code in ("both-axles", "carrier", "speedometer")),
    Row("not-judged", "note", "regear", {"ring_gear_diameter": 8.5}, {}),
    Row("common-pairs", "note", "regear", TWO_RATIOS, {}),
    upwards("none-meets", "check", "regear", "target_crawl_ratio", HIGHEST_CRAWL, **TWO_RATIOS),
    downwards("same-with-every-ratio", "check", "regear", "ring_gear_load_limit",
              result("ring-gear-load", "ring_gear_load_index"), front_axle_share=0.53, ring_gear_diameter=8.5,
              original_ring_gear_diameter=7.125, **TWO_RATIOS),
    upwards("top-gear-out", "note", "regear", "idle_speed", IN_TOP / 4.56 * 4.1, **TWO_RATIOS),
    # axle-match
    Row("wear", "note", "axle-match", None, {}),
    downwards("axles-differ", "check", "axle-match", "front_axle_ratio", 3.96, rear_axle_ratio=4.0),
    upwards("axles-differ", "check", "axle-match", "front_axle_ratio", 4.04, rear_axle_ratio=4.0),
    upwards("axles-differ", "check", "axle-match", "front_axle_ratio", 3.92, rear_axle_ratio=4.0),
    downwards("axles-disagree", "stop", "axle-match", "front_axle_ratio", 3.92, rear_axle_ratio=4.0),
    downwards("axles-disagree", "stop", "axle-match", "front_axle_ratio", 3.88, rear_axle_ratio=4.0,
              centre_differential="yes"),
    Row("spare-fitted", "note", "axle-match", ON_33 | {"spare_tyre": "33 in"}, ON_33 | {"spare_tyre": "32 in"}),
    spare("spare-in-locked-axle", "check", 1.01, "locked", 1.0),
    spare("spare-in-locked-axle", "check", 0.99, "spool", -1.0),
    spare("spare-in-locked-axle", "stop", 1.02, "locked", 1.0),
    # ring-gear-load
    Row("estimate", "note", "ring-gear-load", None, {}),
    Row("bevel-geometry", "note", "ring-gear-load", None, {}),
    Row("drive-flank", "note", "ring-gear-load", {"pinion_height": "low"}, {"pinion_height": "high"}),
    Row("coast-flank", "note", "ring-gear-load", {"pinion_height": "high"}, {"pinion_height": "low"}),
    upwards("grip-limited", "note", "ring-gear-load", "peak_torque", SLIPS_FROM, driveline_efficiency=0.9),
    Row("rolling-radius", "note", "ring-gear-load", {"tyre_pressure": 32, "tyre_load": 1325}, {}),
    # axle-check
    Row("left-out", "note", "axle-check", None, {}),
    Row("locked-worst-case", "note", "axle-check", {"differential": "open"}, {"differential": "locked"}),
    Row("joint-angle", "note", "axle-check", {}, {"joint": "constant-velocity"}),
    upwards("joint-too-steep", "check", "axle-check", "steer_angle", 37.5),
    Row("not-judged", "note", "axle-check", {}, {"joint_rating": None}),
    Row("truss-left-out", "note", "axle-check", TRUSS, TRUSS | {"truss_end": None}),
    Row("truss-not-judged", "note", "axle-check",
        TRUSS | {"truss_panel": 8, "truss_web_wall": 0.19, "truss_weld_leg": 0.19}, TRUSS),
    Row("truss-welding", "note", "axle-check", TRUSS | {"truss_end": None}, TRUSS),
    Row("axle-load-assumed", "note", "axle-check", {}, {"front_axle_share": None}),
    Row("mass-centre-estimated", "note", "axle-check", {}, {"grade_percent": 1}),
    Row("original-as-now", "note", "axle-check", AS_IT_CAME, {}),
    downwards("weaker-than-original", "check", "axle-check", "ring_gear_diameter", 8.5, **ALONE_ON_33),
    downwards("weaker-than-original", "stop", "axle-check", "ring_gear_diameter", 8.5 * 0.8 ** (1 / 3), **ALONE_ON_33),
    downwards("weaker-than-original", "check", "ring-gear-load", "ring_gear_diameter", 8.5, **ALONE_ON_33),
    downwards("weaker-than-original", "stop", "ring-gear-load", "ring_gear_diameter", 8.5 * 0.8 ** (1 / 3),
              **ALONE_ON_33),
    downwards("margin-below-1", "check", "axle-check", "ring_gear_diameter", ring_for(10), **ALONE),
    upwards("margin-below-1", "note", "axle-check", "ring_gear_diameter", ring_for(10), **ALONE),
    downwards("margin-below-1", "note", "axle-check", "ring_gear_diameter", ring_for(13), **ALONE),
    downwards("margin-below-1", "check", "ring-gear-load", "ring_gear_diameter", ring_for(10), **ALONE),
    upwards("margin-below-1", "note", "ring-gear-load", "ring_gear_diameter", ring_for(10), **ALONE),
    downwards("margin-below-1", "note", "ring-gear-load", "ring_gear_diameter", ring_for(13), **ALONE),
    downwards("housing-jump", "note", "axle-check", "tube_yield", YIELD_FOR_A_JUMP, "ksi"),
    upwards("housing-jump", "note", "axle-check", "tube_yield", YIELD_FOR_A_JUMP * 2.5 / 4, "ksi"),
    # acceleration
    Row("full-load-without-traffic", "note", "acceleration", None, {}),
    Row("engine-inertia-assumed", "note", "acceleration", {}, {"engine_displacement": None}),
    Row("speed-not-reached", "check", "acceleration", WEAK_FLAT | {"to_speed": 30}, WEAK_FLAT | {"to_speed": 110}),
    Row("does-not-overtake", "check", "acceleration", WEAK_FLAT | {"overtaken_speed": 20},
        WEAK_FLAT | {"overtaken_speed": 100}),
    # fuel
    Row("fuel-estimate", "note", "fuel", None, {}),
    Row("speed-not-held", "check", "fuel", WEAK_FLAT | {"cruise_speed": 35, "fuel_mix": "35:1"},
        WEAK_FLAT | {"cruise_speed": 110, "fuel_mix": "35:1"}),
    Row("reading-before", "note", "fuel", {}, {"measured_fuel_economy": 15}),
    Row("reading-unused", "note", "fuel", FUEL_MOTOR, FUEL_MOTOR | {"measured_fuel_economy": 15}),
    downwards("within-the-error", "note", "fuel", "axle_ratio", FUEL_LIMIT),
    # the vehicle before
    Row("no-answer-before", "note", "road-speed", {"idle_speed": 1500, "original_redline_speed": 1501},
        {"idle_speed": 1500, "original_redline_speed": 1499}),
    Row("semi-floating", "note", "axle-check", {}, {"axle_kind": "semi-floating"}),
    upwards("bearing-life", "check", "axle-check", "bearing_arm", ARM_OF_HALF_LIFE, bearing_span=3,
            original_bearing_arm=0),
    Row("housing-standard", "note", "axle-check",
        STIFF | {"tube_yield": f"{YIELD_OF_RESERVE * (1 + JUST)} ksi"},
        STIFF | {"tube_yield": f"{YIELD_OF_RESERVE * (1 - JUST)} ksi"}),
    Row("housing-standard", "note", "axle-check", STRONG | {"tube_diameter": DIAMETER_OF_SAG * (1 + JUST)},
        STRONG | {"tube_diameter": DIAMETER_OF_SAG * (1 - JUST)}),
    # clearance
    Row("original-in-proportion", "note", "clearance", {"original_housing_drop": None}, {}),
    Row("width-law", "note", "clearance", {"wheel_offset": None}, {}),
    Row("wheels-not-weighed", "note", "clearance", {"original_axle_mass": None}, {}),
    upwards("no-clearance", "stop", "clearance", "housing_drop", STANDING),
    # axle-loads
    upwards("tips-backwards", "stop", "axle-loads", "grade_percent", 85 * result("axle-loads", "tip_up_percent")),
    upwards("tips-forwards", "stop", "axle-loads", "grade_percent", 85 * result("axle-loads", "tip_down_percent")),
    upwards("tips-sideways", "stop", "axle-loads", "side_slope_percent",
            85 * result("axle-loads", "tip_side_percent")),
    upwards("above-load-index", "stop", "axle-loads", "vehicle_mass", 2.0 * SIZE_LIMIT / 0.53, "kg", **BARE),
    from_limit("above-load-index", "stop", "axle-loads", "vehicle_mass", 4.0 * SIZE_LIMIT, "kg", front_axle_share=0.5,
               **BARE),
    downwards("axle-underinflated", "stop", "axle-loads", "tyre_pressure", pressure(0.5 * ON_REAR, 65)),
    downwards("axle-underinflated", "check", "axle-loads", "tyre_pressure", pressure(0.5 * ON_REAR, 80),
              rated_pressure=None),
    downwards("slope-overloads-tyre", "check", "axle-loads", "tyre_pressure", pressure(across() / 1.25, 65)),
    downwards("tongue-light", "stop", "axle-loads", "tongue_mass", 0.07 * 3100),
    upwards("tongue-heavy", "check", "axle-loads", "tongue_mass", 0.15 * 3100),
    downwards("front-axle-light", "check", "axle-loads", "front_axle_share", 0.2, **BARE),
    Row("mass-centre-estimated", "note", "axle-loads", {}, {"mass_centre_height": None}),
    # descent
    upwards("brakes-overheat", "stop", "descent", "descent_height", too_high(), "m", descent_grade_percent=40),
    upwards("brakes-hot", "check", "descent", "descent_height", 0.5 * too_high(), "m", descent_grade_percent=40),
    downwards("brakes-hot", "check", "descent", "descent_height", too_high(), "m", descent_grade_percent=40),
    downwards("no-gear-holds", "check", "descent", "descent_engine_speed", turning(engine_displacement=0.7 * 3.6),
              gear_ratios=[4.46]),
    Row("battery-full", "check", "descent", ELECTRIC, ELECTRIC | {"battery_full": "yes"}),
    upwards("idle-holds", "note", "descent", "idle_speed", turning(descent_grade_percent=20),
            gear_ratios=[4.46], descent_grade_percent=20),
    Row("drag-estimated", "note", "descent", None, {}),
    upwards("slides-downhill", "stop", "descent", "descent_grade_percent", 85 * 0.68 * 5300 / 8400),
    upwards("slides-downhill", "stop", "descent", "descent_grade_percent", 85 * 0.68, trailer_brakes="yes"),
    from_limit("slides-downhill", "stop", "descent", "descent_grade_percent", 50, adhesion=0.5, trailer_brakes="yes"),
    # braking
    upwards("pedal-harder", "check", "braking", "trailer_mass", 5300 * (1.2 / TALLER - 1.0), loads=None,
            trailer_brakes="no"),
    downwards("pedal-harder", "check", "braking", "trailer_mass", 5300 * (1.5 / TALLER - 1.0), loads=None,
              trailer_brakes="no"),
    upwards("pedal-much-harder", "stop", "braking", "trailer_mass", 5300 * (1.5 / TALLER - 1.0), loads=None,
            trailer_brakes="no"),
    from_limit("trailer-without-brakes", "check", "braking", "trailer_mass", 0.5 * 5300, trailer_brakes="no"),
    from_limit("trailer-without-brakes", "check", "braking", "trailer_mass", 3000, vehicle_mass=8000,
               trailer_brakes="no"),
    Row("trailer-without-brakes", "check", "descent", {"trailer_mass": 2000}, {"trailer_mass": 3100}),
    downwards("rear-locks-first", "check", "braking", "brake_front_share", 0.53 + 0.8 * 31 / 109, **BARE),
    Row("brakes-not-known", "note", "braking", None, {}),
    # driveline
    upwards("cross-joint-angle", "check", "driveline", "output_slope", 3, pinion_slope=2.5, **TWO_CROSS),
    downwards("cross-joint-angle", "check", "driveline", "output_slope", MOST_BENT, pinion_slope=5.5, **TWO_CROSS),
    upwards("joint-angle-beyond-limits", "stop", "driveline", "output_slope", MOST_BENT, pinion_slope=5.5, **TWO_CROSS),
    upwards("joint-angle-beyond-limits", "stop", "driveline", "output_slope", 6, cruise_speed=80,
            pinion_slope=5.5, **TWO_CROSS),
    upwards("joint-angle-beyond-limits", "stop", "driveline", "pinion_slope", MOST_BENT, **STRAIGHT),
    upwards("joints-unequal", "check", "driveline", "output_slope", 3, pinion_slope=2, **TWO_CROSS),
    Row("yokes-crossed", "check", "driveline", TWO_CROSS, TWO_CROSS | {"propshaft_phase": "crossed"}),
    downwards("joints-straight", "note", "driveline", "output_slope", 0.5, pinion_slope=0, **TWO_CROSS),
    upwards("double-joint-angle", "check", "driveline", "output_slope", 10, **STRAIGHT),
    upwards("double-joint-binds", "stop", "driveline", "output_slope", 28, **STRAIGHT),
    upwards("pinion-off-shaft", "check", "driveline", "pinion_slope", 1.5, **STRAIGHT),
    downwards("little-caster", "check", "driveline", "caster", 1.5, pinion_slope=0, **STRAIGHT),
    downwards("little-caster", "check", "driveline", "caster", 4, pinion_slope=1, output_slope=0, **TWO_CROSS),
    upwards("vibration", "check", "driveline", "cruise_speed", shaken("driven_excitation", 400), pinion_slope=4,
            **STRAIGHT),
    upwards("shaft-vibration", "check", "driveline", "cruise_speed", shaken("own_excitation", 1000), pinion_slope=4,
            **STRAIGHT),
    upwards("near-critical-speed", "stop", "driveline", "cruise_speed", 0.7 * WHIRLS, **LONG),
    upwards("critical-at-top-speed", "check", "driveline", "redline_speed", 0.7 * 0.84 * WHIRLING, "rpm",
            cruise_speed=40, **LONG),
    downwards("critical-at-top-speed", "check", "driveline", "cruise_speed", 0.7 * WHIRLS, **LONG),
    upwards("near-half-critical", "check", "driveline", "cruise_speed", 0.46 * WHIRLS, **LONG),
    downwards("near-half-critical", "check", "driveline", "cruise_speed", 0.54 * WHIRLS, **LONG),
    downwards("joint-rating", "check", "driveline", "propshaft_joint_rating", result("driveline", "propshaft_torque"),
              "N m"),
    Row("angles-under-load", "note", "driveline", None, {}),
    # from-measurements
    Row("pairs-not-told-apart", "check", "from-measurements", TURNED, {}),
    upwards("no-known-pair", "check", "from-measurements", "measured_shaft_turns", 10 * 41 / 9 + 3 * TURNS_READ,
            **BY_HAND),
    Row("readings-disagree", "check", "from-measurements", TURNED, TURNED | {"measured_shaft_turns": 41}),
    upwards("measurement-contradicts", "check", "from-measurements", "vehicle_mass", TOO_HEAVY, "kg"),
    Row("converter-slips", "note", "from-measurements", {"gearbox_kind": "automatic"},
        {"gearbox_kind": "automatic", "converter_locked": "no"}),
    Row("mass-as-weighed", "note", "from-measurements", NOT_WEIGHED, {}),
    Row("lift-says-little", "check", "from-measurements", {},
        {"lifted_axle_height": "15 in", "other_axle_load": "2885 lb"}),
    Row("lift-unblocked", "note", "from-measurements", {"lifted_axle": None}, {}),
    Row("coasted-one-way", "check", "from-measurements", {}, {"coast_down_back": None}),
    Row("two-term-road-load", "note", "from-measurements", {"coast_down": None, "coast_down_back": None}, {}),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.question} {row.code}")
def test_a_caution_is_there_on_one_side_of_its_limit_alone(row: Row) -> None:
    caution = (row.code, row.level)
    assert caution in {(found.code, found.level) for found in asked(row.question, row.within)[1]}
    if row.without is not None:
        assert caution not in {(found.code, found.level) for found in asked(row.question, row.without)[1]}


def test_every_code_has_a_row_for_each_of_its_levels() -> None:
    table_of_all = table("cautions").keyed("code", "levels").items()
    assert {(row.code, row.level) for row in ROWS} == {
        (code, level) for code, levels in table_of_all for level in str(levels).split()
    }


def codes_written() -> set[str]:
    """The codes of all cautions in the code of the house."""
    made = re.compile(r'\b(?:stop|check|note|Caution)\(\s*"([a-z0-9-]+)"')
    return {code for path in HOUSE.rglob("*.py") for code in made.findall(path.read_text(encoding="utf-8"))}


def texts_written() -> dict[str, list[str]]:
    """The texts of each caution in the code of the house, where they stand there as they are said."""
    found: dict[str, list[str]] = {}
    for path in HOUSE.rglob("*.py"):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and len(call.args) > 1:
                code, text = (
                    part.value if isinstance(part, ast.Constant) else None for part in call.args[:2]
                )
                if (
                    call.func.id in ("stop", "check", "note")
                    and isinstance(code, str)
                    and isinstance(text, str)
                ):
                    found.setdefault(code, []).append(text)
    return found
