"""What the example workbook asks: an invented mountain-rescue truck, and the results worth showing."""

from dataclasses import dataclass

from workbook.sheets import Value

SERVICE = "http://127.0.0.1:8000"


@dataclass(frozen=True)
class Input:
    """A field of the build and what is typed for build A and for build B; B empty is as A."""

    field: str
    label: str
    value: Value
    other: Value = None
    unit: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Wanted:
    """A result to show; `units` are its labels in US and in metric units, no decimals are for words.

    `least` and `most` are the limits that the workbook starts with.
    """

    question: str
    result: str
    label: str
    units: tuple[str, str] = ("", "")
    decimals: int | None = 2
    least: float | None = None
    most: float | None = None


_SURFACES = (
    "dry-asphalt", "wet-asphalt", "dry-concrete", "wet-concrete", "gravel", "dry-earth", "wet-earth",
    "hard-snow", "ice",
)  # fmt: skip
SPEED, _POWER, _FORCE, _PERCENT = ("mph", "km/h"), ("hp", "kW"), ("lbf", "N"), ("%", "%")
_MASS, _PRESSURE, _LENGTH = ("lb", "kg"), ("psi", "kPa"), ("in", "mm")

INPUTS = {
    "Tyres and axles": (
        Input("tyre", "Tyre", "35x12.50R17LT 121Q", "33x12.50R17LT 114Q"),
        Input("original_tyre", "Tyre before", "LT245/75R17 121/118S"),
        Input("axle_ratio", "Axle ratio", 4.56, 4.10),
        Input("original_axle_ratio", "Axle ratio before", 3.73),
    ),
    "Gears": (
        Input("gear_ratios", "Gears, first to top", "4.46; 2.61; 1.72; 1.25; 1; 0.84"),
        Input("reverse_ratio", "Reverse", 4.06),
        Input("transfer_ratios", "High and low range", "1; 2.72"),
    ),
    "Engine": (
        Input("idle_speed", "Idles at", 750.0, unit="rpm"),
        Input("redline_speed", "Redline", 5500.0, unit="rpm"),
        Input("peak_torque", "Most torque", 260.0, unit="lb-ft"),
        Input("peak_torque_speed", "Most torque at", 3200.0, unit="rpm"),
        Input("peak_power", "Most power", 215.0, unit="hp"),
        Input("peak_power_speed", "Most power at", 5000.0, unit="rpm"),
        Input("engine_displacement", "Displacement", 3.6, unit="L"),
    ),
    "Road and ground": (
        Input("cruise_speed", "Cruising speed", 65.0, unit="mph"),
        Input("grade_percent", "Slope of the road", 0.0, unit="%"),
        Input("altitude", "Height above the sea", 1500.0, unit="ft"),
        Input("surface", "Ground under the tyres", "dry-earth", choices=_SURFACES),
        Input("descent_grade_percent", "Hill to go down", 20.0, unit="%"),
        Input("descent_speed", "Speed down the hill", 10.0, unit="mph"),
        Input("engine_speeds", "Engine speeds of the table", "1000:5000:1000", unit="rpm"),
    ),
    "Load": (
        Input("vehicle_mass", "Mass as driven", 5300.0, unit="lb"),
        Input("original_vehicle_mass", "Mass before", 4900.0, unit="lb"),
        Input("wheelbase", "Wheelbase", 116.0, unit="in"),
        Input("track", "Track", 63.0, unit="in"),
        Input("front_axle_share", "Share of the front axle", 0.53),
        Input("rated_pressure", "Tyres' rated pressure", 65.0, unit="psi"),
    ),
    "Front axle": (
        Input("ring_gear_diameter", "Ring gear", 8.5, unit="in"),
        Input("inner_splines", "Splines of the inner shaft", 30.0),
        Input("inner_pitch", "Their diametral pitch", 24.0),
        Input("original_ring_gear_diameter", "Ring gear before", 7.125, unit="in"),
        Input("original_inner_splines", "Splines before", 27.0),
        Input("original_inner_pitch", "Their pitch before", 24.0),
    ),
}

ANSWERS = {
    "Tyre": (
        Wanted("tyre", "diameter", "Outer diameter", _LENGTH, 1),
        Wanted("final-drive", "circumference_change_percent", "Rolls further per turn, by", _PERCENT, 1),
        Wanted("speedometer", "correction_factor", "True speed: the reading times", decimals=3),
    ),
    "Axle ratio": (
        Wanted("final-drive", "effective_ratio", "Feels, on the tyre before, like"),
        Wanted("final-drive", "restoring_ratio", "Ratio that restores the old feel"),
        Wanted("final-drive", "engine_speed_change_percent", "Engine faster at equal speed, by", _PERCENT, 1),
    ),
    "On the road": (
        Wanted("road-speed", "cruise_engine_speed", "Engine speed at cruise, top gear", ("rpm", "rpm"), 0,
               least=2000.0, most=2600.0),
        Wanted("road-speed", "speed_per_1000", "Top gear, per 1000 rpm", SPEED, 1),
        Wanted("road-speed", "top_speed", "Top gear, at redline", SPEED, 0),
        Wanted("cruise", "cruise_gear", "Highest gear that holds the cruise", decimals=0),
        Wanted("cruise", "power_needed", "Power it needs for that, about", _POWER, 0),
        Wanted("cruise", "power_available", "Power it has for that", _POWER, 0),
        Wanted("cruise", "steepest_grade_percent", "Steepest slope held in that gear", _PERCENT, 1, least=3.0),
    ),
    "On the trail, first gear in low range": (
        Wanted("crawl", "crawl_ratio", "Crawl ratio", decimals=1, least=50.0),
        Wanted("crawl", "reverse_crawl_ratio", "Crawl ratio in reverse", decimals=1),
        Wanted("crawl", "crawl_speed", "Speed at idle", SPEED),
        Wanted("crawl", "climbable_grade_percent", "Steepest slope it can climb", _PERCENT, 0),
        Wanted("crawl", "crawl_limited_by", "What sets that limit", decimals=None),
    ),
    "Down the hill": (
        Wanted("descent", "descent_gear", "Gear that holds it", decimals=0),
        Wanted("descent", "descent_transfer_ratio", "in this range"),
        Wanted("descent", "grade_held_back_percent", "The engine holds back, about", _PERCENT, 0),
        Wanted("descent", "brake_share_percent", "The brakes take about", _PERCENT, 0),
        Wanted("braking", "pedal_force_change_percent", "Pedal force for the same stop, up by", _PERCENT, 0),
    ),
    "Load": (
        Wanted("axle-loads", "front_axle_load", "On the front axle", _MASS, 0),
        Wanted("axle-loads", "rear_axle_load", "On the rear axle", _MASS, 0),
        Wanted("axle-loads", "front_pressure_needed", "Front tyres need", _PRESSURE, 0),
        Wanted("axle-loads", "rear_pressure_needed", "Rear tyres need", _PRESSURE, 0),
        Wanted("axle-loads", "tip_side_percent", "Reckoned to tip on a side slope of", _PERCENT, 0),
    ),
    "Strength of the front axle, an estimate": (
        Wanted("axle-check", "weakest_part", "First to give way", decimals=None),
        Wanted("axle-check", "strength_change_percent", "Against the axle before, stronger by", _PERCENT, 0,
               least=0.0),
    ),
}  # fmt: skip

TABLE_DECIMALS = {
    "transfer_ratio": 2,
    "gear": 0,
    "gear_ratio": 2,
    "overall_ratio": 2,
    "speed_per_1000": 1,
    "top_speed": 1,
    "cruise_engine_speed": 0,
    "engine_speed_after_upshift": 0,
}
"""The columns of the table of road speeds, in their order; those of single engine speeds follow."""
