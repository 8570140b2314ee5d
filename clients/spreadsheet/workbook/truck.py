"""What the example workbook asks: an invented mountain-rescue truck, and the results worth showing."""

from dataclasses import dataclass

from workbook.sheets import Value

SERVICE = "http://127.0.0.1:8000"


@dataclass(frozen=True)
class Input:
    """A field of the build and the cells it is typed into, one a label."""

    field: str
    labels: tuple[str, ...]
    values: tuple[Value, ...]
    unit: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class Wanted:
    """A result to show; `units` are its labels in US and in metric units, no decimals are for words."""

    question: str
    result: str
    label: str
    units: tuple[str, str] = ("", "")
    decimals: int | None = 2


def _one(field: str, label: str, value: Value, unit: str = "", choices: tuple[str, ...] = ()) -> Input:
    return Input(field, (label,), (value,), unit, choices)


_GEARS = ("First gear", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth")
_SURFACES = (
    "dry-asphalt", "wet-asphalt", "dry-concrete", "wet-concrete", "gravel", "dry-earth", "wet-earth",
    "hard-snow", "ice",
)  # fmt: skip
SPEED, _POWER, _FORCE, _PERCENT = ("mph", "km/h"), ("hp", "kW"), ("lbf", "N"), ("%", "%")

INPUTS = {
    "Tyres and axles": (
        _one("tyre", "Tyre now", "35x12.50R17LT 121Q"),
        _one("original_tyre", "Tyre before", "LT245/75R17 121/118S"),
        _one("axle_ratio", "Axle ratio now", 4.56),
        _one("original_axle_ratio", "Axle ratio before", 3.73),
    ),
    "Gears": (
        Input("gear_ratios", _GEARS, (4.46, 2.61, 1.72, 1.25, 1.0, 0.84, None, None)),
        _one("reverse_ratio", "Reverse", 4.06),
        Input("transfer_ratios", ("High range", "Low range"), (1.0, 2.72)),
    ),
    "Engine": (
        _one("idle_speed", "Idles at", 750.0, "rpm"),
        _one("redline_speed", "Redline", 5500.0, "rpm"),
        _one("peak_torque", "Most torque", 260.0, "lb-ft"),
        _one("peak_torque_speed", "Most torque at", 3200.0, "rpm"),
        _one("peak_power", "Most power", 215.0, "hp"),
        _one("peak_power_speed", "Most power at", 5000.0, "rpm"),
    ),
    "Road and ground": (
        _one("vehicle_mass", "Mass as driven", 5300.0, "lb"),
        _one("cruise_speed", "Cruising speed", 65.0, "mph"),
        _one("grade_percent", "Slope of the road", 0.0, "%"),
        _one("altitude", "Height above the sea", 1500.0, "ft"),
        _one("surface", "Ground under the tyres", "dry-earth", choices=_SURFACES),
        _one("engine_speeds", "Engine speeds of the table", "1000:5000:1000", "rpm"),
    ),
}

ANSWERS = {
    "Tyre": (
        Wanted("tyre", "diameter", "Outer diameter", ("in", "mm"), 1),
        Wanted("final-drive", "circumference_change_percent", "Rolls further per turn, by", _PERCENT, 1),
    ),
    "Axle ratio": (
        Wanted("final-drive", "effective_ratio", "Feels, on the tyre before, like"),
        Wanted("final-drive", "restoring_ratio", "Ratio that restores the old feel"),
        Wanted("regear", "recommended_ratio", "Ratio on the market that suits best"),
        Wanted("final-drive", "engine_speed_change_percent", "Engine faster at equal speed, by", _PERCENT, 1),
    ),
    "Speedometer": (Wanted("speedometer", "correction_factor", "True speed: the reading times", decimals=3),),
    "On the road": (
        Wanted("road-speed", "cruise_engine_speed", "Engine speed at cruise, top gear", ("rpm", "rpm"), 0),
        Wanted("road-speed", "speed_per_1000", "Top gear, per 1000 rpm", SPEED, 1),
        Wanted("road-speed", "top_speed", "Top gear, at redline", SPEED, 0),
        Wanted("cruise", "cruise_gear", "Highest gear that holds the cruise", decimals=0),
        Wanted("cruise", "power_needed", "Power it needs for that", _POWER, 0),
        Wanted("cruise", "power_available", "Power it has for that", _POWER, 0),
        Wanted("cruise", "steepest_grade_percent", "Steepest slope held in top gear", _PERCENT, 1),
        Wanted("cruise", "top_speed_on_grade", "Highest speed it can hold", SPEED, 0),
    ),
    "On the trail, first gear in low range": (
        Wanted("crawl", "crawl_ratio", "Crawl ratio", decimals=1),
        Wanted("crawl", "reverse_crawl_ratio", "Crawl ratio in reverse", decimals=1),
        Wanted("crawl", "crawl_speed", "Speed at idle", SPEED),
        Wanted("crawl", "crawl_tractive_force", "Pull of the engine at the wheels", _FORCE, 0),
        Wanted("crawl", "grip_force", "Grip of all four tyres", _FORCE, 0),
        Wanted("crawl", "climbable_grade_percent", "Steepest slope it can climb", _PERCENT, 1),
        Wanted("crawl", "crawl_limited_by", "What sets that limit", decimals=None),
    ),
}

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
