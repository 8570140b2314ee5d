"""Every field of a build and every result, once: name, kind, bounds, default, meaning.

Validation, the spec document, CSV headings, the served tables of fields and results, and the glossary
are all made from the rows of this module.
"""

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api import tables, units
from gearing_api.fields import (
    LONGEST_LIST,
    AxleRatio,
    Choice,
    Coefficients,
    Count,
    Curve,
    Grid,
    Kind,
    Loads,
    Number,
    Ratios,
    Series,
    Tyre,
)
from gearing_api.units import PointedText, Quantity, System, Unreadable

LONGEST_ECHO = 80
"""Characters of what came that are repeated in an error."""

_MOST_HINTS = 5

_AXLE_METHOD = ("from memory", "The axle method of Liu Weixin and Wang Wangyu: from memory (high)")
_BY_CHOICE = ("common practice", "no published source: this service's choice")


@dataclass(frozen=True)
class Field:
    """One field of a build.

    `default` is wire text, or None where nothing is assumed; `instead` names the field whose value is
    taken where this one is not given. `basis` is what a default that decides something rests on, kind and
    source; empty for plain input. `group` is the group of fields that pages show it in, where it does not
    stand in `GROUPS`.
    """

    name: str
    kind: Kind
    default: str | None
    meaning: str
    instead: str | None = None
    basis: tuple[str, str] = ("", "")
    group: str = ""

    def read(self, value: object, system: System) -> Any:
        """The SI value of what came in.

        Raises
        ------
        InvalidBuild
            If it cannot be read or lies out of bounds.
        """
        try:
            return self.si(value, system)
        except Unreadable as error:
            raise InvalidBuild([refusal(self.name, error, value)]) from error

    def si(self, value: object, system: System) -> Any:
        """The SI value, of a range its middle.

        Raises
        ------
        Unreadable
            If it is refused.
        """
        ends = self.ends(value, system) if units.may_be_range(value) else None
        return self.kind.read(value, system) if ends is None else np.float64(0.5 * (ends[0] + ends[1]))

    def ends(self, value: object, system: System) -> tuple[float, float] | None:
        """The two ends, in SI, where a number is given as a range.

        Raises
        ------
        Unreadable
            If it is a range that is refused.
        """
        return self.kind.ends(value, system) if isinstance(self.kind, Number) else None

    def items(self, value: NDArray[Any]) -> int:
        """How many items a list in SI has, or each of a column of them: numbers, or points of a curve."""
        return int(value.shape[-2 if isinstance(self.kind, Curve) else -1])


_AGAINST_ORIGINAL = frozenset((
    "effective_ratio", "restoring_ratio", "ring_gear_load_index", "tyre_growth_used_up", "true_per_indicated",
    "distance_per_indicated", "correction_factor", "recommended_ratio", "recommended_meets",
    "lowest_ratio_for_cruise", "highest_ratio_for_cruise", "lowest_ratio_for_crawl", "bearing_life_ratio",
))  # fmt: skip


@dataclass(frozen=True)
class Result:
    """One result or table column. `quantity` is None for words.

    `digits` is how many significant digits text shows, by how far the number can be trusted: 4 for geometry,
    3 for road loads, 2 for strength and temperatures. Text never shows one that is `only_as_range` alone.
    """

    name: str
    quantity: Quantity | None
    meaning: str
    digits: int = 4
    only_as_range: bool = False

    @property
    def against_original(self) -> bool:
        """Whether it compares with the original already."""
        return "change" in self.name or self.name in _AGAINST_ORIGINAL

    def unit(self, system: System) -> str:
        """The label of its unit in that system."""
        return self.quantity.unit(system) if self.quantity else ""


@dataclass(frozen=True)
class FieldError:
    """Why a field was refused: the field, the reason with what is accepted, and what came.

    `pointer` is its place in a document where fields do not stand at the top; `use` is the value as it is
    likeliest meant, where there is one.
    """

    field: str
    detail: str
    got: object = None
    pointer: str = ""
    use: object = None


def refusal(name: str, reason: Unreadable, value: object) -> FieldError:
    """The fault of a field whose value cannot be read."""
    got = value.text if isinstance(value, PointedText) else value
    return FieldError(name, str(reason), got, use=reason.use)


def pointer(*parts: object) -> str:
    """A JSON pointer (RFC 6901); parts that are long are cut."""
    escaped = (str(part)[:LONGEST_ECHO].replace("~", "~0").replace("/", "~1") for part in parts)
    return "".join(f"/{part}" for part in escaped)


class InvalidBuild(ValueError):
    """A build that cannot be answered as it stands; in a column of builds, the rows that cannot."""

    def __init__(self, faults: list[FieldError], rows: NDArray[np.intp] | None = None) -> None:
        super().__init__("; ".join(f"{fault.field} {fault.detail}" for fault in faults))
        self.faults = faults
        self.rows = rows


_RATIO = Number(units.NUMBER, "0.2", "20")
AXLE_RATIO = AxleRatio(units.NUMBER, "1", "20")
_TRANSFER = Number(units.NUMBER, "0.5", "20")
_TYRE = Tyre()
_SPEED = Number(units.SPEED, "1 mph", "200 mph")
_ROTATION = Number(units.ROTATION, "0 rpm", "20000 rpm")
_TORQUE = Number(units.TORQUE, "1 N m", "5000 N m")
_POWER = Number(units.POWER, "1 kW", "2000 kW")
_GRADE = Number(units.PERCENT, "-50 %", "200 %")
_SHAFT = Number(units.LENGTH, "0.4 in", "6 in")
_TUBE = Number(units.LENGTH, "1 in", "12 in")
_WALL = Number(units.LENGTH, "0.03 in", "2 in")
_RING = Number(units.LENGTH, "4 in", "24 in")
_WIDTH = Number(units.LENGTH, "30 in", "120 in")
_OFFSET = Number(units.LENGTH, "-12 in", "12 in")
_DROP = Number(units.LENGTH, "1 in", "20 in")
_AXLE_MASS = Number(units.MASS, "20 kg", "3000 kg")
_SPLINES = Count(6, 80)
_PITCH = Number(units.NUMBER, "2.5", "128")
_SHARE = Number(units.NUMBER, "0.1", "0.9")
ENGINE_KINDS = Choice(("petrol", "petrol-turbo", "diesel", "diesel-turbo", "electric"))
_HUB_RATIO = Number(units.NUMBER, "0.5", "10")
_SPEED_FROM_ZERO = Number(units.SPEED, "0 mph", "200 mph")
_YES_NO = Choice(("yes", "no"))
_AXLES = Choice(("front", "rear"))
_DIFFERENTIALS = Choice(("open", "limited-slip", "locked", "spool"))
_PART_RATING = Number(units.TORQUE, "100 N m", "100000 N m")
_AXLE_LOAD = Number(units.MASS, "50 kg", "40000 kg")
_SLOPE = Number(units.ANGLE, "-45 deg", "45 deg")
_TRAVEL = Number(units.LENGTH, "0 in", "30 in")
_TURNS = Number(units.NUMBER, "0.05", "1000")
_DISTANCE = Number(units.ELEVATION, "1 ft", "20000 ft")
_COAST_DOWN = Curve(
    _SPEED_FROM_ZERO, Number(units.TIME, "0 s", "1000 s"), (3, LONGEST_LIST), "time", "road speed",
    "60:0,50:8.5,40:18.4",
)  # fmt: skip
STEELS = Choice((
    "carbon-case-hardened", "carbon-quenched", "carbon-1050-205c", "alloy-4140", "alloy-4330v", "alloy-4340",
    "alloy-300m",
))  # fmt: skip

FIELDS: dict[str, Field] = {field.name: field for field in (
    Field("tyre", _TYRE, None, "Tyre fitted: a size, or a measured diameter with its unit"),
    Field("original_tyre", _TYRE, None, "Tyre before the change", "tyre"),
    Field("rolling_factor", Number(units.NUMBER, "2.7", "3.2"), None,
          "Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given",
          basis=("published", "UN GTR 15 (2019), Annex 7: 3.05; European Commission heavy-duty CO2 "
                 "declaration data, release of 2015: 2.94 for multipurpose diagonal tyres")),
    Field("tyre_pressure", Number(units.PRESSURE, "3 psi", "150 psi"), None, "Inflation pressure, cold"),
    Field("tyre_load", Number(units.MASS, "50 kg", "10000 kg"), None, "Mass carried by one tyre"),
    Field("wheel_width", Number(units.LENGTH, "3 in", "24 in"), None, "Width of the rim between its flanges"),
    Field("axle_ratio", AXLE_RATIO, None, "Axle ratio fitted: ring teeth / pinion teeth"),
    Field("original_axle_ratio", AXLE_RATIO, None, "Axle ratio before the change", "axle_ratio"),
    Field("ring_teeth", Count(10, 80), None, "Ring gear teeth; with pinion_teeth the exact axle ratio"),
    Field("pinion_teeth", Count(4, 30), None, "Pinion teeth"),
    Field("front_axle_ratio", AXLE_RATIO, None, "Front axle ratio", "axle_ratio"),
    Field("rear_axle_ratio", AXLE_RATIO, None, "Rear axle ratio", "axle_ratio"),
    Field("front_tyre", _TYRE, None, "Front tyre", "tyre"),
    Field("rear_tyre", _TYRE, None, "Rear tyre", "tyre"),
    Field("hub_ratio", _HUB_RATIO, "1", "Reduction at the wheel"),
    Field("gear_ratios", Series(_RATIO, (1, 24), "fall"), None, "Gearbox ratios, first gear to top"),
    Field("reverse_ratio", _RATIO, None, "Gearbox ratio in reverse"),
    Field("transfer_ratios", Series(_TRANSFER, (1, 12), "rise"), "1",
          "Every selectable reduction of transfer case and auxiliary boxes, high range first"),
    Field("converter_stall_ratio", Number(units.NUMBER, "1", "5"), None,
          "Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given",
          basis=("published", "European Commission JRC, light-duty CO2 model, defaults of 2022")),
    Field("driveline_efficiency", Number(units.NUMBER, "0.5", "1"), None,
          "Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given",
          basis=("published", "European Commission: JRC light-duty CO2 model, heavy-duty CO2 tool")),
    Field("engine_speeds", Grid(_ROTATION), None,
          "Engine speeds of the road-speed table: a list or first:last:step; idle to redline if not given"),
    Field("road_speeds", Series(_SPEED), None, "Road speeds to calculate engine speeds for"),
    Field("idle_speed", Number(units.ROTATION, "200 rpm", "3000 rpm"), "700 rpm", "Engine speed at idle",
          basis=_BY_CHOICE),
    Field("redline_speed", Number(units.ROTATION, "1000 rpm", "20000 rpm"), "5000 rpm",
          "Highest engine speed allowed", basis=_BY_CHOICE),
    Field("peak_torque", _TORQUE, None, "Highest engine torque"),
    Field("peak_torque_speed", _ROTATION, None, "Engine speed of the highest torque"),
    Field("peak_power", _POWER, None, "Highest engine power"),
    Field("peak_power_speed", Number(units.ROTATION, "500 rpm", "20000 rpm"), None,
          "Engine speed of the highest power"),
    Field("torque_curve", Curve(_ROTATION, Number(units.TORQUE, "0 N m", "5000 N m")), None,
          "Full-load torque by engine speed, straight lines between points"),
    Field("power_curve", Curve(_ROTATION, Number(units.POWER, "0 kW", "2000 kW")), None,
          "Full-load power by engine speed, straight lines between points"),
    Field("engine_kind", ENGINE_KINDS, "petrol", "Kind of engine, with or without a turbocharger"),
    Field("cruise_speed", _SPEED, "65 mph", "Road speed to hold", basis=_BY_CHOICE),
    Field("grade_percent", _GRADE, "0 %",
          "Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing "
          "vehicles averages 6 %, at 40 mph or more (second hand)"),
    Field("altitude", Number(units.ELEVATION, "-1500 ft", "20000 ft"), "0 ft", "Height above sea level"),
    Field("vehicle_mass", Number(units.MASS, "200 kg", "60000 kg"), None, "Mass of the vehicle as driven"),
    Field("front_axle_share", _SHARE, "0.55", "Share of the vehicle mass on the front axle, level",
          basis=("computed", "US NHTSA rollover measurements of model year 2004: 0.57 to 0.60 of four-wheel-drive "
                 "pickups, 0.52 to 0.59 of sport utilities; between them 0.55")),
    Field("wheelbase", Number(units.LENGTH, "50 in", "400 in"), "114 in", "Front axle to rear axle",
          basis=_BY_CHOICE),
    Field("mass_centre_height", Number(units.LENGTH, "5 in", "120 in"), "27 in",
          "Height of the centre of mass above the ground",
          basis=("computed", "Means of 197 pickups and 500 sport utilities, 26.7 and 26.3 in (0.68 and 0.67 m), and of "
                 "93 pickups above 2000 kg, 28.4 in (0.72 m): US NHTSA, light vehicle inertia and rollover data")),
    Field("drag_area", Number(units.AREA, "0.2 m2", "15 m2"), "1.2 m2", "Drag coefficient x frontal area",
          basis=("computed", "With 0.012 of rolling resistance near the middle of 352 coast-downs of "
                 "four-wheel-drive vehicles in the US EPA Test Car List, model years 2010-2023")),
    Field("rolling_resistance", Number(units.NUMBER, "0", "0.5"), None,
          "Rolling resistance force / weight; by tread, in crawl by ground too, if not given",
          basis=("computed", "Table /v1/tables/rolling-resistance, each row with its source")),
    Field("road_load", Coefficients((
        Number(units.FORCE, "0 lbf", "2000 lbf"),
        Number(units.DRAG_LINEAR, "-20 lbf/mph", "20 lbf/mph"),
        Number(units.DRAG_SQUARE, "0 lbf/mph2", "1 lbf/mph2"),
    ), names="A,B,C"), None,
          "Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance"),
    Field("surface", Choice((
        "dry-asphalt", "wet-asphalt", "dry-concrete", "wet-concrete", "gravel", "dry-earth", "wet-earth",
        "hard-snow", "ice",
    )), "dry-earth", "Ground under the tyres; the table of surfaces has its adhesion", basis=_BY_CHOICE),
    Field("adhesion", Number(units.NUMBER, "0.02", "2"), None,
          "Friction coefficient of tyre on ground; overrides the surface"),
    Field("available_ratios", Ratios(AXLE_RATIO), None,
          "Ratios or tooth pairs on sale for this axle; the common pairs if not given"),
    Field("target_crawl_ratio", Number(units.NUMBER, "5", "1000"), None, "Crawl ratio to reach at least"),
    Field("target_crawl_speed", Number(units.SPEED, "0.1 mph", "20 mph"), None,
          "Highest speed wanted at idle in the lowest gear"),
    Field("cruise_engine_speed_range", Series(_ROTATION, (2, 2), "rise"), None,
          "Lowest and highest engine speed wanted at cruise; the original's +-10 % if not given",
          basis=_BY_CHOICE),
    Field("hold_grade_percent", Number(units.PERCENT, "0 %", "50 %"), "3 %",
          "Grade that top gear should hold at cruise speed", basis=_BY_CHOICE),
    Field("ring_gear_load_limit", Number(units.NUMBER, "0.1", "10"), "1",
          "Highest ring-gear load index accepted in a regear", basis=_BY_CHOICE),
    Field("axle_position", _AXLES, "front", "Axle to judge"),
    Field("pinion_height", Choice(("high", "low")), "low",
          "high: reverse-spiral set, pinion above the ring centreline; low: standard set"),
    Field("ring_gear_diameter", _RING, None, "Outer diameter of the ring gear"),
    Field("original_ring_gear_diameter", _RING, None, "Ring gear before the change", "ring_gear_diameter"),
    Field("face_width", Number(units.LENGTH, "0.3 in", "6 in"), None,
          "Face width of the ring gear; 0.155 x its diameter if not given", basis=_BY_CHOICE),
    Field("spiral_angle", Number(units.ANGLE, "0 deg", "55 deg"), "35 deg", "Mean spiral angle",
          basis=_BY_CHOICE),
    Field("pressure_angle", Number(units.ANGLE, "14 deg", "30 deg"), "20 deg",
          "Normal pressure angle of the loaded flank", basis=_BY_CHOICE),
    Field("overload_factor", Number(units.NUMBER, "0.5", "5"), "1",
          "Shock factor on the tooth stresses of the ring gear"),
    Field("load_distribution_factor", Number(units.NUMBER, "1", "2"), "1.1",
          "Uneven load along the teeth: 1.0 to 1.1 with bearings on both sides of the pinion, to 1.25 "
          "overhung",
          basis=_AXLE_METHOD),
    Field("bending_geometry_factor", Number(units.NUMBER, "0.05", "1"), "0.24",
          "Geometry factor of the bending stress, J", basis=_AXLE_METHOD),
    Field("contact_geometry_factor", Number(units.NUMBER, "0.02", "1"), None,
          "Geometry factor of the contact stress, J; from the curvature of the teeth if not given"),
    Field("differential", _DIFFERENTIALS, "open",
          "Differential of the axle, which decides how much torque one shaft can get"),
    Field("inner_splines", _SPLINES, None, "Spline teeth of the inner shaft"),
    Field("inner_pitch", _PITCH, None, "Diametral pitch of the inner spline, per inch"),
    Field("inner_diameter", _SHAFT, None, "Smallest measured diameter of the inner shaft"),
    Field("inner_steel", STEELS, "carbon-case-hardened", "Steel of the inner shaft", basis=_BY_CHOICE),
    Field("inner_length", Number(units.LENGTH, "4 in", "80 in"), None, "Length of the inner shaft"),
    Field("stub_splines", _SPLINES, None, "Spline teeth of the stub (outer) shaft"),
    Field("stub_pitch", _PITCH, None, "Diametral pitch of the stub spline, per inch"),
    Field("stub_diameter", _SHAFT, None, "Smallest measured diameter of the stub shaft"),
    Field("stub_steel", STEELS, "carbon-case-hardened", "Steel of the stub shaft", basis=_BY_CHOICE),
    Field("joint", Choice(("cross", "constant-velocity")), "cross", "Steering joint"),
    Field("joint_rating", _PART_RATING, None,
          "Torque that the joint's maker allows without steering angle"),
    Field("steer_angle", Number(units.ANGLE, "0 deg", "50 deg"), "0 deg", "Angle of the steering joint"),
    Field("tube_diameter", _TUBE, None, "Outer diameter of the housing tube"),
    Field("tube_wall", _WALL, None, "Wall of the housing tube"),
    Field("tube_yield", Number(units.STRESS, "20 ksi", "250 ksi"), "60 ksi",
          "Yield of the housing tube and of its truss",
          basis=("from memory", "1020 steel, drawn over a mandrel, 60 to 70 ksi: from memory (high)")),
    Field("truss_diameter", _TUBE, None, "Outer diameter of the truss tube"),
    Field("truss_wall", _WALL, None, "Wall of the truss tube"),
    Field("truss_height", Number(units.LENGTH, "1 in", "24 in"), None,
          "Centre of the truss tube above the centre of the housing tube"),
    Field("spring_seat_spacing", Number(units.LENGTH, "10 in", "90 in"), None, "Spring seat to spring seat"),
    Field("impact_factor", Number(units.NUMBER, "1", "10"), "2.5", "Dynamic / static load on the housing",
          basis=("published", "A 2025 paper on a micro-truck axle housing")),
    Field("mounting_width", _WIDTH, None, "Wheel mounting face to wheel mounting face"),
    Field("original_mounting_width", _WIDTH, None, "Mounting width before the change"),
    Field("wheel_offset", _OFFSET, None, "Wheel centre to mounting face, positive inboard"),
    Field("original_wheel_offset", _OFFSET, None, "Wheel offset before the change"),
    Field("housing_drop", _DROP, None, "Axle centreline to the lowest point of the housing"),
    Field("original_housing_drop", _DROP, None, "Housing drop before the change"),
    Field("axle_mass", _AXLE_MASS, None, "Mass of the complete axle"),
    Field("original_axle_mass", _AXLE_MASS, None, "Axle mass before the change"),
    Field("speed_sensor", Choice(("gearbox", "wheel")), "gearbox", "Where the speedometer takes its signal"),
    Field("original_overreading_percent", Number(units.PERCENT, "-20 %", "20 %"), "0 %",
          "How much too high the speedometer read before the change, in percent of true speed"),
    Field("indicated_speeds", Series(_SPEED), "20 mph,30 mph,40 mph,50 mph,60 mph,70 mph,80 mph",
          "Speedometer readings to calculate true speeds for"),
    # Fields of the questions to come
    Field("driven_axles", Choice(("both", "front", "rear")), "both", "Which axles pull"),
    Field("centre_differential", _YES_NO, "no",
          "Whether a differential between front and rear axle lets them turn at different speeds"),
    Field("engine_displacement", Number(units.DISPLACEMENT, "0.1 L", "20 L"), None,
          "Swept volume of all cylinders"),
    Field("idle_torque", _TORQUE, None, "Full-load torque at idle; by engine_kind if not given"),
    Field("critical_altitude", Number(units.ELEVATION, "0 ft", "40000 ft"), None,
          "Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if "
          "not given", basis=_BY_CHOICE),
    Field("gearbox_kind", Choice(("manual", "automatic", "cvt", "single-speed")), None,
          "Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first "
          "and last of gear_ratios are its range"),
    Field("converter_stall_speed", Number(units.ROTATION, "500 rpm", "10000 rpm"), None,
          "Engine speed at full load with the converter's output held"),
    Field("converter_locked", _YES_NO, "yes", "Whether the converter is locked up while cruising"),
    Field("shift_time", Number(units.TIME, "0 s", "5 s"), None,
          "Time without drive in a shift; 0.95 s manual, 0.4 s automatic if not given",
          basis=("published", "0.95 s: European Commission, light-duty CO2 model, defaults of 2022; 0.4 s: "
                 "common practice, 0.3 to 0.5 s")),
    Field("roof_height", Number(units.LENGTH, "30 in", "160 in"), None,
          "Roof above ground as built; for mass_centre_height where that is not given"),
    Field("lift_height", Number(units.LENGTH, "-12 in", "30 in"), "0 in",
          "Lift of body and springs, without that of larger tyres"),
    Field("front_hub_ratio", _HUB_RATIO, None, "Reduction at the front wheels", "hub_ratio"),
    Field("rear_hub_ratio", _HUB_RATIO, None, "Reduction at the rear wheels", "hub_ratio"),
    Field("peak_torque_to_speed", _ROTATION, None, "Engine speed at which a torque plateau ends",
          "peak_torque_speed"),
    Field("trailer_brakes", _YES_NO, "no",
          "Whether the trailer has brakes; without them the vehicle's brakes do all the work"),
    Field("hub_reverses", _YES_NO, "no",
          "Whether the hub boxes turn the wheels backwards, as those with two gears do"),
    Field("truss_end", Number(units.LENGTH, "0 in", "60 in"), None, "Wheel plane to the end of the truss"),
    Field("truss_panel", Number(units.LENGTH, "1 in", "40 in"), None, "Distance between webs of the truss"),
    Field("truss_web_wall", _WALL, None, "Thickness of the web plates of the truss"),
    Field("truss_weld_leg", Number(units.LENGTH, "0.05 in", "1 in"), None,
          "Leg of the welds along the truss"),
    Field("truss_weld_share", Number(units.NUMBER, "0.05", "1"), "1",
          "Share of the truss's length that is welded"),
    Field("vertical_stiffness", Number(units.LINE_LOAD, "200 lbf/in", "20000 lbf/in"), None,
          "Measured radial stiffness of the tyre; replaces the formula"),
    Field("road_load_covariance", Coefficients((
        Number(units.ROAD_LOAD_COVARIANCES[0], "0 lbf2", "1e6 lbf2"),
        Number(units.ROAD_LOAD_COVARIANCES[1], "-1e5 lbf2/mph", "1e5 lbf2/mph"),
        Number(units.ROAD_LOAD_COVARIANCES[2], "-1e4 lbf2/mph2", "1e4 lbf2/mph2"),
        Number(units.ROAD_LOAD_COVARIANCES[2], "0 lbf2/mph2", "1e4 lbf2/mph2"),
        Number(units.ROAD_LOAD_COVARIANCES[3], "-1e3 lbf2/mph3", "1e3 lbf2/mph3"),
        Number(units.ROAD_LOAD_COVARIANCES[4], "0 lbf2/mph4", "100 lbf2/mph4"),
    ), names="AA,AB,AC,BB,BC,CC"), None,
          "Covariances of the coefficients of road_load, from a coast-down; they replace the spread"),
    Field("track", _WIDTH, None, "Wheel centre to wheel centre; from mounting_width and wheel_offset if "
          "not given"),
    Field("loads", Loads(Number(units.MASS, "0 kg", "10000 kg"), Number(units.LENGTH, "-200 in", "720 in"),
                         Number(units.LENGTH, "0 in", "200 in")), None,
          "Things carried: mass, position behind the front axle and, if known, height above ground; "
          "vehicle_mass is without them"),
    Field("trailer_mass", Number(units.MASS, "0 kg", "20000 kg"), None, "Mass of the trailer, loaded"),
    Field("tongue_mass", Number(units.MASS, "0 kg", "3000 kg"), None,
          "Part of the trailer's mass on the hitch; 10 % of it if not given",
          basis=("common practice", "10 to 15 % of the trailer's mass; no published source")),
    Field("hitch_overhang", Number(units.ELEVATION, "0 ft", "20 ft"), "4 ft", "Hitch behind the rear axle",
          basis=_BY_CHOICE),
    Field("hitch_height", Number(units.LENGTH, "5 in", "60 in"), "20 in", "Hitch above ground",
          basis=_BY_CHOICE),
    Field("trailer_drag_area", Number(units.AREA, "0 m2", "15 m2"), "0 m2",
          "Drag area that the trailer adds to the vehicle's"),
    Field("side_slope_percent", Number(units.PERCENT, "0 %", "200 %"), "0 %",
          "Slope of the ground across the vehicle: rise / run"),
    Field("tread", Choice(("highway", "all-terrain", "mud")), "all-terrain",
          "Tread of the tyres, for rolling resistance on hard ground", basis=_BY_CHOICE),
    Field("rated_pressure", Number(units.PRESSURE, "5 psi", "150 psi"), None,
          "Pressure at which the tyre carries its load index; from a printed load range if not given"),
    Field("descent_grade_percent", Number(units.PERCENT, "0 %", "100 %"), None,
          "Slope of the hill to go down, as a positive number; if not given, a negative grade_percent "
          "without its sign"),
    Field("descent_height", _DISTANCE, None, "Height lost on the way down"),
    Field("descent_speed", _SPEED, "20 mph", "Road speed wanted downhill"),
    Field("descent_engine_speed", Number(units.ROTATION, "500 rpm", "20000 rpm"), None,
          "Highest engine speed to hold downhill; 0.8 x redline_speed if not given", basis=_BY_CHOICE),
    Field("brake_disc_mass", Number(units.MASS, "4 kg", "400 kg"), "40 kg",
          "Mass of all brake discs together, half of it on each axle", basis=_BY_CHOICE),
    Field("brake_front_share", _SHARE, "0.65", "Share of the braking force at the front axle",
          basis=_BY_CHOICE),
    Field("battery_full", _YES_NO, "no", "Whether the battery is full, so that braking cannot charge it"),
    Field("from_speed", _SPEED_FROM_ZERO, "0 mph", "Road speed at which acceleration starts"),
    Field("to_speed", Number(units.SPEED, "1 mph", "200 mph"), "60 mph",
          "Road speed to accelerate to"),
    Field("overtaken_speed", Number(units.SPEED, "1 mph", "150 mph"), "50 mph",
          "Road speed of the vehicle overtaken"),
    Field("overtaken_length", _DISTANCE, "84 ft",
          "Distance to gain when overtaking: both vehicles and both gaps",
          basis=("published", "University of Idaho, transportation laboratory, example of passing distance: "
                 "two vehicles of 22 ft, two gaps of 20 ft")),
    Field("fuel_mix", Curve(_SPEED, Number(units.NUMBER, "0", "1"), (1, 20), "road speed",
                            example="35:0.4,55:0.4,70:0.2"), "35 mph:0.4,55 mph:0.4,70 mph:0.2",
          "A week's driving: road speeds, each with its share of the distance", basis=_BY_CHOICE),
    Field("measured_fuel_economy", Number(units.FUEL_ECONOMY, "1 mpg", "150 mpg"), None,
          "Owner's reading of fuel economy at measured_at_speed, in US gallons; scales the estimate"),
    Field("measured_fuel_per_distance", Number(units.FUEL_PER_DISTANCE, "0.5 gal/100 mi", "100 gal/100 mi"),
          None, "Owner's reading of fuel over distance, in US gallons; instead of measured_fuel_economy"),
    Field("measured_at_speed", _SPEED, None, "Road speed of the reading of fuel"),
    Field("tank_volume", Number(units.VOLUME, "0.5 gal", "500 gal"), None,
          "Fuel that can be used of a full tank, in US gallons"),
    Field("battery_energy", Number(units.BATTERY_ENERGY, "0.5 kWh", "2000 kWh"), None,
          "Energy that can be used of a full battery"),
    Field("propshaft_run", Number(units.LENGTH, "5 in", "200 in"), None,
          "Level distance between the joint centres of the propeller shaft, as planned after the lift"),
    Field("propshaft_drop", Number(units.LENGTH, "-40 in", "60 in"), None,
          "Height of the transfer case output above the pinion, joint centres, as planned after the lift; where "
          "only that before is given, lift_height is added"),
    Field("propshaft_side", Number(units.LENGTH, "-40 in", "40 in"), "0 in",
          "Side offset between the joint centres"),
    Field("output_slope", _SLOPE, "0 deg", "Slope of the transfer case output, + falling to the rear"),
    Field("pinion_slope", _SLOPE, None, "Slope of the pinion, + falling to the rear", "output_slope"),
    Field("propshaft_joints", Choice(("two-cross", "double-cardan")), "two-cross",
          "Joints of the propeller shaft; the double joint is at the transfer case"),
    Field("propshaft_phase", Choice(("in-phase", "crossed")), "in-phase",
          "Whether the yokes at both ends of the shaft stand in line"),
    Field("propshaft_tube_diameter", Number(units.LENGTH, "1 in", "8 in"), None,
          "Outer diameter of the propeller shaft's tube"),
    Field("propshaft_tube_wall", Number(units.LENGTH, "0.03 in", "1 in"), None,
          "Wall of the propeller shaft's tube"),
    Field("propshaft_joint_rating", _PART_RATING, None,
          "Torque that the maker of the propeller shaft's joints allows; for their life, that for 5,000 hours at 3 "
          "degrees and 100 rpm"),
    Field("link_length", Number(units.LENGTH, "5 in", "80 in"), None,
          "Length of the axle's suspension link"),
    Field("link_drop", Number(units.LENGTH, "-20 in", "40 in"), None,
          "Height of the link's frame end above its axle end"),
    Field("bump_travel", _TRAVEL, None, "Upward travel of the axle from ride height"),
    Field("droop_travel", _TRAVEL, None, "Downward travel of the axle from ride height"),
    Field("caster", Number(units.ANGLE, "-10 deg", "20 deg"), None,
          "Lean of the steering axis to the rear, seen from the side"),
    Field("kingpin_inclination", Number(units.ANGLE, "0 deg", "25 deg"), None,
          "Lean of the steering axis inward, seen from the front"),
    Field("scrub_radius", Number(units.LENGTH, "-8 in", "16 in"), None,
          "Steering axis to wheel centre plane on the ground, + where the wheel is outboard"),
    Field("axle_kind", Choice(("full-floating", "semi-floating")), "full-floating",
          "Whether the shaft also carries the wheel (semi-floating)"),
    Field("bearing_arm", Number(units.LENGTH, "-6 in", "12 in"), None, "Wheel bearing to wheel plane"),
    Field("bearing_span", Number(units.LENGTH, "0.5 in", "20 in"), None, "Inner to outer wheel bearing"),
    Field("half_shaft_end_diameter", _SHAFT, None, "Diameter of the shaft at its wheel bearing"),
    Field("front_differential", _DIFFERENTIALS, None, "Differential of the front axle", "differential"),
    Field("rear_differential", _DIFFERENTIALS, None, "Differential of the rear axle", "differential"),
    Field("bias_ratio", Number(units.NUMBER, "1", "20"), "2.5",
          "Torque of the slower wheel / torque of the faster, for limited-slip",
          basis=("common practice", "2.5 to 3 for helical and clutch types; no published source")),
    Field("hub_offset", _OFFSET, None, "Axle above the wheel centre with portal boxes; below is negative"),
    Field("hub_box_width", Number(units.LENGTH, "0.5 in", "12 in"), None, "Width of a portal box"),
    Field("cruise_reserve_percent", Number(units.PERCENT, "0 %", "50 %"), "5 %",
          "Power reserve that a gear needs to count as holding the grade", basis=_BY_CHOICE),
    Field("spare_tyre", _TYRE, None, "Spare tyre, on one wheel of an axle"),
    Field("spare_position", _AXLES, "rear", "Axle that the spare is on"),
    Field("target_overtaking_time", Number(units.TIME, "0.5 s", "300 s"), None,
          "Longest overtaking time wanted"),
    Field("target_fuel_change_percent", Number(units.PERCENT, "-90 %", "500 %"), None,
          "Highest rise wanted in fuel over distance"),
    Field("measured_shaft_turns", _TURNS, None, "Turns of the propeller shaft counted by hand"),
    Field("measured_wheel_turns", _TURNS, None, "Turns of the wheel counted meanwhile"),
    Field("one_wheel_held", _YES_NO, "no",
          "Whether the other wheel was held while turning, with an open differential"),
    Field("measured_engine_speed", Number(units.ROTATION, "100 rpm", "20000 rpm"), None,
          "Engine speed read on the road"),
    Field("measured_engine_speed_by", Choice(("needle", "scan-tool")), "needle",
          "What it was read from: a needle gauge, or the engine's own figure by a scan tool", basis=_BY_CHOICE),
    Field("measured_road_speed", _SPEED, None, "True road speed at that reading"),
    Field("measured_gear_ratio", _RATIO, "1", "Gearbox ratio at that reading"),
    Field("measured_rollout", Number(units.LENGTH, "10 in", "10000 in"), None,
          "Distance rolled on the ground"),
    Field("measured_rollout_turns", Number(units.NUMBER, "0.25", "100"), "1",
          "Turns of the wheel on that distance"),
    Field("coast_down", _COAST_DOWN, None,
          "Speeds and times while coasting on a level stretch, such as 60:0,50:8.5,40:18.4"),
    Field("coast_down_back", _COAST_DOWN, None, "Speeds and times while coasting back on that stretch"),
    Field("front_axle_weighed", _AXLE_LOAD, None, "Front axle on the weighbridge, level"),
    Field("rear_axle_weighed", _AXLE_LOAD, None, "Rear axle on the weighbridge, level"),
    Field("lifted_axle", _AXLES, None, "Axle lifted while the other stood on the weighbridge"),
    Field("lifted_axle_height", Number(units.LENGTH, "1 in", "80 in"), None, "How far that axle was lifted"),
    Field("other_axle_load", _AXLE_LOAD, None, "The other axle on the weighbridge meanwhile"),
    Field("measured_sag", Number(units.LENGTH, "0.05 in", "12 in"), None,
          "Tyre's deflection at tyre_pressure and tyre_load"),
)}  # fmt: skip

ORIGINAL = "original_"
"""In front of a field's name: the vehicle before the change."""

ORIGINAL_GROUPS: tuple[frozenset[str], ...] = tuple(map(frozenset, (
    ("axle_ratio", "ring_teeth", "pinion_teeth", "front_axle_ratio", "rear_axle_ratio"),
    ("tyre", "front_tyre", "rear_tyre", "rated_pressure", "vertical_stiffness"),
    ("torque_curve", "power_curve", "peak_torque", "peak_torque_speed", "peak_power", "peak_power_speed"),
    ("gearbox_kind", "converter_stall_speed", "converter_stall_ratio"),
    ("road_load", "drag_area", "rolling_resistance", "tread"),
    ("inner_diameter", "inner_splines", "inner_pitch"),
    ("stub_diameter", "stub_splines", "stub_pitch"),
)))  # fmt: skip
"""Fields of which an original replaces all; every other field stands for itself."""

ORIGINALLY_ABSENT = frozenset((
    "hub_ratio", "front_hub_ratio", "rear_hub_ratio", "lift_height", "hub_offset", "hub_box_width", "loads",
    "trailer_mass", "tongue_mass", "hitch_overhang", "hitch_height", "trailer_drag_area", "trailer_brakes",
))  # fmt: skip
"""Fields that the vehicle had not before the change, unless an original is given."""

_CONDITIONS = (
    "cruise_speed", "grade_percent", "side_slope_percent", "altitude", "surface", "adhesion", "road_speeds",
    "engine_speeds", "indicated_speeds", "cruise_engine_speed_range", "hold_grade_percent",
    "cruise_reserve_percent", "from_speed", "to_speed", "overtaken_speed", "overtaken_length", "fuel_mix",
    "axle_position", "available_ratios", "ring_gear_load_limit", "spare_tyre", "spare_position", "coast_down",
    "coast_down_back", "front_axle_weighed", "rear_axle_weighed", "one_wheel_held", "lifted_axle",
    "lifted_axle_height", "other_axle_load", "road_load_covariance",
)  # fmt: skip
_NO_ORIGINAL = (ORIGINAL, "target_", "measured_", "descent_")


ORIGINAL_OBJECT = "original"
"""A member of a JSON document that holds fields of the vehicle before the change, by their plain names."""


def with_originals_named(members: Mapping[str, Any], at: str = "") -> dict[str, Any]:
    """The members of a JSON object with those in its member `original` under names of their own.

    Raises
    ------
    InvalidBuild
        If that member is no object, or gives a field that stands beside it too.
    """
    if ORIGINAL_OBJECT not in members:
        return dict(members)
    inner = members[ORIGINAL_OBJECT]
    place = f"{at}/{ORIGINAL_OBJECT}"
    if not isinstance(inner, dict):
        fault = FieldError(
            ORIGINAL_OBJECT, "must be an object of fields of the vehicle before the change", pointer=place
        )
        raise InvalidBuild([fault])
    named = {ORIGINAL + name: value for name, value in inner.items()}
    if twice := named.keys() & members.keys():
        name = sorted(twice)[0]
        raise InvalidBuild(
            [FieldError(name, f"is given beside {ORIGINAL_OBJECT} too: give it once", pointer=place)]
        )
    return {name: value for name, value in members.items() if name != ORIGINAL_OBJECT} | named


GROUPS: dict[str, tuple[str, ...]] = {
    "tyre": (
        "tyre", "tyre_pressure", "tyre_load", "wheel_width", "tread", "rated_pressure", "front_tyre", "rear_tyre",
        "spare_tyre", "spare_position", "rolling_factor", "vertical_stiffness",
    ),
    "axle": (
        "axle_ratio", "available_ratios", "differential", "hub_ratio", "driven_axles", "front_axle_ratio",
        "rear_axle_ratio", "ring_teeth", "pinion_teeth", "front_differential", "rear_differential",
        "centre_differential", "bias_ratio", "front_hub_ratio", "rear_hub_ratio", "hub_reverses",
    ),
    "gears": (
        "gear_ratios", "reverse_ratio", "gearbox_kind", "converter_stall_ratio", "converter_stall_speed",
        "converter_locked", "shift_time", "driveline_efficiency",
    ),
    "low range": ("transfer_ratios", "target_crawl_ratio", "target_crawl_speed"),
    "engine": (
        "peak_power", "peak_power_speed", "peak_torque", "peak_torque_speed", "idle_speed", "redline_speed",
        "engine_kind", "engine_displacement", "torque_curve", "power_curve", "peak_torque_to_speed", "idle_torque",
        "critical_altitude", "battery_energy", "battery_full",
    ),
    "mass and load": (
        "vehicle_mass", "loads", "trailer_mass", "front_axle_share", "wheelbase", "mass_centre_height",
        "lift_height", "trailer_brakes", "roof_height", "tongue_mass", "hitch_overhang", "hitch_height", "drag_area",
        "trailer_drag_area", "rolling_resistance", "road_load", "road_load_covariance", "brake_disc_mass",
        "brake_front_share",
    ),
    "axle parts": (
        "ring_gear_diameter", "axle_position", "inner_splines", "inner_pitch", "inner_steel", "stub_splines",
        "stub_pitch", "steer_angle", "pinion_height", "inner_diameter", "inner_length", "stub_diameter", "stub_steel",
        "joint", "joint_rating", "axle_kind", "face_width", "spiral_angle", "pressure_angle", "overload_factor",
        "load_distribution_factor", "bending_geometry_factor", "contact_geometry_factor", "half_shaft_end_diameter",
        "ring_gear_load_limit",
    ),
    "place": (
        "cruise_speed", "grade_percent", "altitude", "surface", "descent_grade_percent", "descent_height",
        "hold_grade_percent", "adhesion", "side_slope_percent", "descent_speed", "descent_engine_speed",
        "cruise_engine_speed_range", "cruise_reserve_percent", "road_speeds", "engine_speeds",
    ),
    "housing": (
        "housing_drop", "mounting_width", "wheel_offset", "axle_mass", "tube_diameter", "tube_wall",
        "spring_seat_spacing", "track", "tube_yield", "truss_diameter", "truss_wall", "truss_height", "truss_end",
        "truss_panel", "truss_web_wall", "truss_weld_leg", "truss_weld_share", "impact_factor", "bearing_arm",
        "bearing_span", "hub_offset", "hub_box_width",
    ),
    "propeller shaft": (
        "propshaft_run", "propshaft_drop", "output_slope", "pinion_slope", "propshaft_joints",
        "propshaft_tube_diameter", "propshaft_tube_wall", "propshaft_joint_rating", "propshaft_side",
        "propshaft_phase",
    ),
    "suspension": (
        "link_length", "link_drop", "bump_travel", "droop_travel", "caster", "kingpin_inclination", "scrub_radius",
    ),
    "driving": (
        "from_speed", "to_speed", "overtaken_speed", "overtaken_length", "target_overtaking_time", "tank_volume",
        "fuel_mix", "target_fuel_change_percent", "measured_fuel_economy", "measured_fuel_per_distance",
        "measured_at_speed",
    ),
    "speedometer": ("speed_sensor", "original_overreading_percent", "indicated_speeds"),
    "measurements": (
        "measured_shaft_turns", "measured_wheel_turns", "one_wheel_held", "measured_engine_speed",
        "measured_engine_speed_by",
        "measured_road_speed", "measured_gear_ratio", "measured_rollout", "measured_rollout_turns", "coast_down",
        "coast_down_back", "front_axle_weighed", "rear_axle_weighed", "lifted_axle", "lifted_axle_height",
        "other_axle_load", "measured_sag",
    ),
}  # fmt: skip
"""Fields that belong together on pages, the most asked first; each original stands beside its field."""


def plain_name(name: str) -> str:
    """The field that an original is one of; any other as it is."""
    base = name.removeprefix(ORIGINAL)
    return base if base in FIELDS else name


def group_of(name: str) -> str:
    """The group that pages show a field in."""
    base = plain_name(name)
    listed = next((group for group, names in GROUPS.items() if base in names), "")
    return listed or FIELDS[base].group or "other"


def grouped(names: Iterable[str]) -> dict[str, list[str]]:
    """Plain fields by group, in the order of `GROUPS`; groups that stand only at a field follow."""
    wanted = dict.fromkeys(map(plain_name, names))
    found = {group: [name for name in members if name in wanted] for group, members in GROUPS.items()}
    listed = {name for members in GROUPS.values() for name in members}
    for name in wanted:
        if name in FIELDS and name not in listed:
            found.setdefault(group_of(name), []).append(name)
    return {group: members for group, members in found.items() if members}


LABELS: dict[str, str] = {
    "gear_ratios": "gearbox ratios", "transfer_ratios": "transfer case ratios", "reverse_ratio": "reverse gear ratio",
    "converter_stall_ratio": "converter torque ratio at stall", "tyre_load": "load on the tyre",
    "engine_kind": "kind of engine", "gearbox_kind": "kind of gearbox", "axle_kind": "kind of axle shaft",
    "idle_torque": "torque at idle", "peak_torque_to_speed": "end of the torque plateau",
    "available_ratios": "axle ratios on sale", "target_crawl_ratio": "crawl ratio wanted",
    "target_crawl_speed": "crawl speed wanted", "target_overtaking_time": "overtaking time wanted",
    "target_fuel_change_percent": "rise in fuel use allowed", "hold_grade_percent": "grade to hold",
    "cruise_engine_speed_range": "engine speeds wanted at cruise", "cruise_reserve_percent": "power reserve wanted",
    "descent_grade_percent": "grade downhill", "descent_speed": "speed wanted downhill",
    "descent_engine_speed": "highest engine speed downhill", "descent_height": "height lost downhill",
    "from_speed": "starting speed", "to_speed": "speed to reach", "fuel_mix": "week's driving",
    "overtaken_speed": "speed of the vehicle overtaken", "overtaken_length": "distance to gain when overtaking",
    "original_overreading_percent": "over-reading of the original speedometer",
    "inner_splines": "inner shaft splines", "inner_pitch": "inner shaft spline pitch",
    "inner_diameter": "inner shaft diameter", "inner_steel": "inner shaft steel", "inner_length": "inner shaft length",
    "stub_splines": "stub shaft splines", "stub_pitch": "stub shaft spline pitch",
    "stub_diameter": "stub shaft diameter", "stub_steel": "stub shaft steel", "spare_position": "axle with the spare",
    "tube_diameter": "axle tube diameter", "tube_wall": "axle tube wall", "tube_yield": "axle tube yield strength",
    "truss_web_wall": "truss web thickness", "housing_drop": "housing depth below the axle's centre",
    "propshaft_run": "propeller shaft run", "propshaft_drop": "propeller shaft drop",
    "propshaft_side": "propeller shaft side offset", "propshaft_joints": "propeller shaft joints",
    "propshaft_phase": "propeller shaft phase", "propshaft_tube_diameter": "propeller shaft tube diameter",
    "propshaft_tube_wall": "propeller shaft tube wall", "propshaft_joint_rating": "propeller shaft joint rating",
    "output_slope": "transfer case output slope", "link_length": "suspension link length",
    "link_drop": "suspension link drop", "one_wheel_held": "other wheel held",
    "measured_at_speed": "speed of the fuel reading", "measured_engine_speed_by": "engine speed read from",
    "other_axle_load": "load on the other axle",
    "speed_per_1000": "speed per 1,000 rpm", "engine_grade_percent": "grade by the engine",
    "grip_grade_percent": "grade by the grip", "tip_up_percent": "tips over going up",
    "tip_down_percent": "tips over going down", "tip_side_percent": "tips over sideways",
    "mass_centre_height_used": "mass centre height",
    "unsprung_mass_change_percent": "unsprung mass change in percent",
}  # fmt: skip
"""Fields and results in the words of the trade, where those are not the words of the name."""

_NAME = r"[a-z]+(?:_[a-z0-9]+)+"
_IN_BRACKETS = re.compile(rf" \({_NAME}(?:(?:,|,? and|,? or) {_NAME})*\)")
_BARE = re.compile(rf"\b{_NAME}\b")


def label_of(name: str) -> str:
    """Name a field or a result as people say it."""
    if name in LABELS:
        return LABELS[name]
    if plain_name(name) != name:
        return f"original {label_of(plain_name(name))}"
    return name.removesuffix("_percent").replace("_", " ")


def naming(names: Iterable[str]) -> str:
    """List fields as people say them; a name that is not made of the same words stands in brackets behind.

    Examples
    --------
    >>> naming(["tube_wall", "hub_ratio", "tyre"])
    'axle tube wall (tube_wall), hub ratio and tyre'
    """
    said = {name: label_of(name) for name in names}
    listed = [
        words if words.replace(" ", "_") == name else f"{words} ({name})" for name, words in said.items()
    ]
    return enumerated(listed)


def enumerated(words: Sequence[str]) -> str:
    """Write a list in a sentence.

    Examples
    --------
    >>> enumerated(["tyre", "axle", "gears"])
    'tyre, axle and gears'
    """
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def for_people(text: str) -> str:
    """Write a sentence for somebody who types no names: fields and results as people say them alone.

    Examples
    --------
    >>> for_people("Give the axle tube wall (tube_wall); gear_ratios must fall.")
    'Give the axle tube wall; gearbox ratios must fall.'
    """
    return _BARE.sub(lambda found: label_of(found[0]), _IN_BRACKETS.sub("", text))


def may_have_original(name: str) -> bool:
    """Whether a field may be given for the vehicle before the change too."""
    return name not in _CONDITIONS and not name.startswith(_NO_ORIGINAL)


def _original(field: Field) -> Field:
    meaning = f"{field.name} of the vehicle before the change"
    return replace(field, name=ORIGINAL + field.name, default=None, meaning=meaning, instead=None)


ALL_FIELDS: dict[str, Field] = {
    ORIGINAL + name: _original(field) for name, field in FIELDS.items() if may_have_original(name)
} | FIELDS
"""All that a build may give: the fields, and those of them with `original_` in front."""

RESULTS: dict[str, Result] = {result.name: result for result in (
    Result("diameter", units.LENGTH,
           "Free outer diameter of the tyre; of a part, the diameter at which its stress is calculated"),
    Result("section_width", units.LENGTH, "Design width on the measuring rim, or on wheel_width"),
    Result("section_height", units.LENGTH, "Bead seat to tread"),
    Result("rim_diameter", units.LENGTH, "Nominal rim diameter"),
    Result("measuring_rim_width", units.LENGTH, "Rim width on which the design width is stated"),
    Result("construction", None, "Construction of the tyre: radial or bias"),
    Result("rolling_circumference", units.LENGTH, "Distance rolled in one free turn"),
    Result("rolling_radius", units.LENGTH, "Rolling circumference / 2 pi"),
    Result("tyre_turns_per_distance", units.PER_DISTANCE, "Wheel turns per mile or kilometre"),
    Result("load_capacity", units.MASS, "Load that the load index allows on a single tyre"),
    Result("dual_load_capacity", units.MASS, "Load that the second load index allows on each of dual tyres"),
    Result("speed_capability", units.SPEED, "Speed that the speed symbol allows"),
    Result("vertical_stiffness", units.LINE_LOAD, "Radial stiffness at this pressure", 3),
    Result("sag", units.LENGTH, "Deflection at this pressure and load", 3),
    Result("load_at_pressure", units.MASS, "Load that one tyre carries at tyre_pressure"),
    Result("pressure_needed", units.PRESSURE, "Least inflation pressure for tyre_load"),
    Result("loaded_radius", units.LENGTH, "Axle centre to ground at this pressure and load"),
    Result("circumference_change_percent", units.PERCENT,
           "Change of the rolling circumference against the original tyre"),
    Result("effective_ratio", units.NUMBER, "Axle ratio that would feel the same on the original tyre"),
    Result("restoring_ratio", units.NUMBER, "Axle ratio that restores the original engine speed"),
    Result("engine_speed_change_percent", units.PERCENT, "Change of engine speed at equal road speed"),
    Result("true_per_indicated", units.NUMBER, "True speed / indicated speed"),
    Result("distance_per_indicated", units.NUMBER, "True distance / distance on the odometer"),
    Result("correction_factor", units.NUMBER,
           "Multiply a reading by this for the true value, or the speed signal for a true reading"),
    Result("indicated_speed", units.SPEED, "Speed that the speedometer shows"),
    Result("true_speed", units.SPEED, "Speed over the ground"),
    Result("rule", None, "Rule that the row is judged by"),
    Result("within_rule", None, "Whether the reading satisfies the rule"),
    Result("speed_per_1000", units.SPEED, "Road speed per 1000 rpm of the engine"),
    Result("top_speed", units.SPEED, "Road speed at redline, if the engine has the power for it"),
    Result("cruise_engine_speed", units.ROTATION, "Engine speed at cruise_speed"),
    Result("transfer_ratio", units.NUMBER, "Reduction of the transfer case and auxiliary boxes"),
    Result("gear", units.NUMBER, "Gear, first is 1"),
    Result("gear_ratio", units.NUMBER, "Gearbox ratio"),
    Result("overall_ratio", units.NUMBER, "Engine speed / wheel speed"),
    Result("engine_speed_after_upshift", units.ROTATION,
           "After an upshift at redline into the next gear; null in top gear"),
    Result("crawl_ratio", units.NUMBER, "First gear x largest transfer ratio x axle x hub"),
    Result("reverse_crawl_ratio", units.NUMBER, "Crawl ratio in reverse"),
    Result("crawl_speed", units.SPEED, "Road speed at idle in the lowest gear and range"),
    Result("crawl_wheel_torque", units.TORQUE,
           "Torque at all driven wheels together, at peak engine torque", 3),
    Result("crawl_tractive_force", units.FORCE,
           "Pull in the lowest gear at peak engine torque, a converter not multiplying: wheel torque / rolling radius",
           3),
    Result("idle_tractive_force", units.FORCE,
           "Pull in the lowest gear with the engine at idle: at full load, with a converter standing, without "
           "accelerator", 3),
    Result("stall_tractive_force", units.FORCE,
           "Pull in the lowest gear at full load, standing, which a converter multiplies", 3),
    Result("creep_speed", units.SPEED,
           "Speed to which a converter creeps on the level at idle in the lowest gear", 3),
    Result("grip_force", units.FORCE, "Adhesion x weight on the driven axles, level", 3),
    Result("engine_grade_percent", units.PERCENT, "Steepest grade that the engine can climb", 3),
    Result("grip_grade_percent", units.PERCENT, "Steepest grade that the tyres can grip", 3),
    Result("climbable_grade_percent", units.PERCENT, "Steepest grade that engine and grip both allow", 3),
    Result("crawl_limited_by", None, "What limits the climb: engine or grip"),
    Result("acceleration_time", units.TIME, "Time from from_speed to to_speed at full load on the level", 2),
    Result("acceleration_distance", units.ELEVATION, "Distance covered meanwhile", 2),
    Result("overtaking_time", units.TIME,
           "Time in which it gains overtaken_length on a vehicle at overtaken_speed, starting beside it at that speed "
           "and becoming at most 20 mph faster", 2),
    Result("overtaking_distance", units.ELEVATION, "Distance covered meanwhile", 2),
    Result("launch_grade_percent", units.PERCENT,
           "Steepest grade on which it starts in first gear of high range, the clutch slipping at idle torque or the "
           "converter stalled", 2),
    Result("launch_limited_by", None, "What limits the start on a hill: engine or grip"),
    Result("road_speed", units.SPEED, "Road speed of the row"),
    Result("tractive_force", units.FORCE, "Pull at the wheels at that speed, at full load", 3),
    Result("acceleration", units.ACCELERATION, "Acceleration at that speed", 3),
    Result("elapsed_time", units.TIME, "Time since from_speed", 3),
    Result("covered_distance", units.ELEVATION, "Distance covered since from_speed", 3),
    Result("fuel_economy", units.FUEL_ECONOMY,
           "Distance on a volume of fuel at cruise_speed on the level, in the highest gear that holds it; in a table "
           "in the gear and at the speed of the row", 2),
    Result("fuel_per_distance", units.FUEL_PER_DISTANCE, "Fuel over a distance, likewise", 2),
    Result("energy_per_distance", units.ENERGY_PER_DISTANCE,
           "Energy of that fuel over a distance; of an electric vehicle the energy from the wall", 2),
    Result("mix_fuel_economy", units.FUEL_ECONOMY, "Distance on a volume of fuel over the speeds of fuel_mix", 2),
    Result("mix_fuel_per_distance", units.FUEL_PER_DISTANCE, "Fuel over a distance over the speeds of fuel_mix", 2),
    Result("range_distance", units.LONG_DISTANCE,
           "Distance on tank_volume or battery_energy over the speeds of fuel_mix", 2),
    Result("fuel_change_percent", units.PERCENT,
           "Change of fuel_per_distance, of an electric vehicle of energy_per_distance, against the original", 2),
    Result("cruise_gear", units.NUMBER,
           "Highest gear that holds the grade at cruise_speed, high range first"),
    Result("cruise_transfer_ratio", units.NUMBER, "Transfer ratio of the range of cruise_gear"),
    Result("power_needed", units.POWER,
           "Power at the crankshaft to hold cruise_speed on the grade in cruise_gear, or in top gear if none does: "
           "at the wheels and the losses; in a table in the gear of the row", 3),
    Result("power_available", units.POWER,
           "Full-load power at the crankshaft at this altitude in cruise_gear, or in top gear if none "
           "holds the grade; in a table, in the gear of the row, null outside the engine's speeds", 3),
    Result("power_reserve", units.POWER, "power_available - power_needed", 3),
    Result("steepest_grade_percent", units.PERCENT,
           "Steepest grade held at cruise_speed in top gear of high range, in a table in the gear of the "
           "row; negative if it cannot hold that speed on the level",
           3),
    Result("top_speed_on_grade", units.SPEED,
           "Highest speed held on the grade in any gear up to redline", 3),
    Result("top_speed_gear", units.NUMBER, "Gear of top_speed_on_grade"),
    Result("top_speed_limited_by", None, "What limits top_speed_on_grade: power or redline"),
    Result("within_engine_speeds", None, "Whether cruise_speed keeps the engine between idle and redline"),
    Result("recommended_ratio", units.NUMBER, "Axle ratio that ranks first"),
    Result("lowest_ratio_for_cruise", units.NUMBER,
           "Axle ratio for the lowest engine speed wanted at cruise"),
    Result("highest_ratio_for_cruise", units.NUMBER,
           "Axle ratio for the highest engine speed wanted at cruise"),
    Result("lowest_ratio_for_crawl", units.NUMBER,
           "Lowest axle ratio that reaches the crawl ratio and crawl speed wanted"),
    Result("axle_ratio", units.NUMBER, "Ring teeth / pinion teeth"),
    Result("ring_teeth", units.NUMBER, "Ring gear teeth; null for a bare ratio"),
    Result("pinion_teeth", units.NUMBER, "Pinion teeth; null for a bare ratio"),
    Result("change_percent", units.PERCENT,
           "Change of engine speed at equal road speed against the original"),
    Result("teeth_hunt", None,
           "Whether every pinion tooth meets every ring tooth before a pairing repeats; null for a bare "
           "ratio"),
    Result("meets", None, "How many of the targets the ratio meets: all, some or none"),
    Result("recommended_meets", None,
           "How many of the targets the recommended ratio meets: all, some or none"),
    Result("reason", None, "Targets met and missed, with the numbers"),
    Result("engine_limited_torque", units.TORQUE,
           "Torque at the ring gear from the engine in the lowest gear, if one axle carries all of it", 2),
    Result("grip_limited_torque", units.TORQUE,
           "Torque at the ring gear when both tyres of the axle slip", 2),
    Result("ring_gear_torque", units.TORQUE, "Torque at the ring gear: the smaller of the two limits", 2),
    Result("ring_gear_limited_by", None, "What limits the ring-gear torque: engine or grip"),
    Result("pinion_torque", units.TORQUE, "Ring-gear torque / axle ratio", 2),
    Result("ring_mean_diameter", units.LENGTH, "Pitch diameter of the ring gear at mid-face"),
    Result("tangential_force", units.FORCE, "Tooth force around the ring gear, at mid-face", 2),
    Result("pinion_axial_force", units.FORCE, "Force along the pinion's axis, + away from the ring gear", 2),
    Result("pinion_radial_force", units.FORCE,
           "Force across the pinion's axis, + out of mesh, towards the pinion's axis", 2),
    Result("loaded_flank", None, "Tooth flank loaded in forward drive: drive or coast"),
    Result("unit_load", units.LINE_LOAD, "Force at the outer diameter / face width", 2),
    Result("bending_stress", units.STRESS, "Bending stress at the root of the ring gear's teeth", 2),
    Result("contact_stress", units.STRESS, "Contact stress between the teeth", 2),
    Result("ring_gear_capacity", units.TORQUE,
           "Torque that ring gears of this size are usually chosen for, (D / 13)^3", 2),
    Result("ring_gear_margin", units.NUMBER, "Capacity of the ring gear for endurance, K 13, / its torque", 2),
    Result("ring_gear_usual_margin", units.NUMBER, "The same by the limit that the trade quotes, K 10", 2),
    Result("ring_gear_load_index", units.NUMBER,
           "Torque / capacity of the ring gear, against the original's", 2),
    Result("weakest_part", None, "Part of the axle that fails first"),
    Result("weakest_margin", units.NUMBER, "Capacity / load of the weakest part", 2),
    Result("weakest_usual_margin", units.NUMBER, "Least usual_margin of the parts", 2),
    Result("strength_change_percent", units.PERCENT,
           "Weakest margin against that of the original axle on its own tyres, over the parts known of both", 2),
    Result("tyre_limit", units.LENGTH,
           "Tyre diameter at which the weakest margin reaches 1; in text the range to where the least "
           "usual_margin does", 2, only_as_range=True),
    Result("bearing_life_ratio", units.NUMBER, "Life of the wheel bearings in turns, against the original", 2),
    Result("scrub_radius", units.LENGTH,
           "Steering axis to wheel centre plane on the ground, + where the wheel is outboard"),
    Result("trail", units.LENGTH, "Steering axis ahead of the wheel centre, on the ground"),
    Result("tread_reach", units.LENGTH,
           "How far the tread reaches inboard of the steering axis with the wheel turned by steer_angle"),
    Result("steering_torque_at_rest", units.TORQUE, "Torque that turns both front wheels at rest", 2),
    Result("tube_torque", units.TORQUE,
           "Torque on the housing tube of one side: braking at the limit of grip, or driving through a hub box",
           2),
    Result("sag_per_track", units.PERCENT, "Sag of the housing tube under the level axle load / track", 2),
    Result("static_reserve", units.NUMBER,
           "Bending moment at which the bare tube yields / that of the level axle load", 2),
    Result("part", None, "Part of the axle"),
    Result("load", units.TORQUE, "Torque on the part; of the housing tube, the bending moment", 2),
    Result("capacity", units.TORQUE, "Torque or moment that the part can carry", 2),
    Result("margin", units.NUMBER,
           "Capacity / load at the worst: one wheel carries what the differential lets it, ring gear by K 13", 2),
    Result("usual_margin", units.NUMBER,
           "The same as tyres and differential usually share the torque, ring gear by K 10", 2),
    Result("basis", None, "Basis of the capacity, or the field that it needs"),
    Result("one_change", None, "One change to the build"),
    Result("housing_clearance", units.LENGTH, "Ground to the lowest point of the housing"),
    Result("housing_clearance_change", units.LENGTH, "Change of the housing clearance against the original"),
    Result("tyre_growth_used_up", units.LENGTH,
           "Growth of the tyre's diameter that the lower housing uses up; negative if the housing is higher"),
    Result("track", units.LENGTH, "Wheel centre to wheel centre"),
    Result("track_change", units.LENGTH, "Change of the track against the original"),
    Result("overall_width", units.LENGTH, "Width over the sidewalls of both tyres"),
    Result("unsprung_mass_change", units.MASS, "Change of the axle's mass against the original"),
    Result("unsprung_mass_change_percent", units.PERCENT,
           "Change of the axle's mass, in percent of the vehicle's mass"),
    Result("front_axle_load", units.MASS,
           "Load on the front axle, square to the ground; in a table in the state of the row", 3),
    Result("rear_axle_load", units.MASS,
           "Load on the rear axle, square to the ground; in a table in the state of the row", 3),
    Result("mass_centre_height_used", units.LENGTH,
           "Height of the mass centre of the vehicle with what it carries", 3),
    Result("static_stability_factor", units.NUMBER, "Track / twice the height of the mass centre", 3),
    Result("tip_up_percent", units.PERCENT,
           "Grade at which the front axle lifts, standing uphill; real limits lie 5 to 15 % below", 2),
    Result("tip_down_percent", units.PERCENT,
           "Grade at which the rear axle lifts, standing downhill; real limits lie 5 to 15 % below", 2),
    Result("tip_side_percent", units.PERCENT,
           "Side slope at which the upper wheels lift; real limits lie 5 to 15 % below", 2),
    Result("front_pressure_needed", units.PRESSURE, "Pressure at which the front tyres carry their load, level", 2),
    Result("rear_pressure_needed", units.PRESSURE, "Pressure at which the rear tyres carry their load, level", 2),
    Result("hitch_load", units.FORCE,
           "Pull of the trailer at the hitch, along the road, on a grade of that amount upwards", 3),
    Result("state", None, "How the vehicle stands: level, up, down or side"),
    Result("worst_tyre_load", units.MASS, "Load on the tyre that carries most", 3),
    Result("share_of_capacity_percent", units.PERCENT,
           "worst_tyre_load in percent of what the tyre carries at tyre_pressure, or by its load index if that or "
           "its rated pressure is not known", 3),
    Result("output_joint_angle", units.ANGLE,
           "Angle between transfer case output and propeller shaft; a double joint shares it between its two"),
    Result("pinion_joint_angle", units.ANGLE, "Angle between propeller shaft and pinion"),
    Result("propshaft_slope", units.ANGLE, "Slope of the propeller shaft, + falling to the rear"),
    Result("speed_swing_percent", units.PERCENT,
           "Highest less lowest speed of the pinion in a turn, in percent of its mean, the output turning evenly", 3),
    Result("driven_excitation", units.ANGULAR_ACCELERATION,
           "Highest angular acceleration of the pinion at cruise_speed, the output turning evenly", 3),
    Result("own_excitation", units.ANGULAR_ACCELERATION,
           "Highest angular acceleration of the shaft itself at cruise_speed, either end turning evenly", 3),
    Result("propshaft_speed", units.ROTATION, "Speed of the propeller shaft at cruise_speed"),
    Result("critical_speed", units.ROTATION, "Speed at which the steel tube whirls between its joints", 3),
    Result("critical_speed_share", units.NUMBER, "propshaft_speed / critical_speed", 3),
    Result("critical_speed_share_at_top_speed", units.NUMBER,
           "The same at redline in the highest gear and range, if the engine has the power for it", 3),
    Result("propshaft_torque", units.TORQUE,
           "Torque of the propeller shaft in the lowest gear by the engine alone, one axle carrying all of it", 2),
    Result("propshaft_grip_torque", units.TORQUE,
           "Torque of the propeller shaft at which both tyres of its axle slip", 2),
    Result("propshaft_stress", units.STRESS, "Shear stress in the tube under propshaft_torque", 2),
    Result("best_pinion_slope", units.ANGLE,
           "Pinion slope at which the joints excite least, + falling to the rear: parallel to the output; with a "
           "double joint 1.5 degrees below the shaft"),
    Result("caster_cost", units.ANGLE,
           "Caster lost by turning a front axle to best_pinion_slope; negative if gained"),
    Result("slip_travel", units.LENGTH, "Longest less shortest distance between the joints from bump to droop"),
    Result("joint_life_hours", units.HOURS,
           "Running time after which one joint in ten is worn out, at cruise_speed on the grade with this axle alone "
           "driving; angles below 3 degrees count as 3", 2),
    Result("angle_judged", units.ANGLE, "Angle that the rule of the row limits"),
    Result("angle_limit", units.ANGLE, "Largest angle that the rule of the row allows at propshaft_speed"),
    Result("descent_gear", units.NUMBER,
           "Highest gear that holds the hill at or below descent_speed and descent_engine_speed with engine drag at "
           "0.7 of the estimate, high range first; where none does, the lowest"),
    Result("descent_transfer_ratio", units.NUMBER, "Transfer ratio of the range of descent_gear"),
    Result("settling_speed", units.SPEED,
           "Speed at which the hill, the engine's drag and the road load balance, at the estimate of the drag; idle "
           "speed where the drag is more than the hill", 2, only_as_range=True),
    Result("engine_brake_force", units.FORCE,
           "Force with which engine or motor hold the vehicle back at descent_speed", 2),
    Result("grade_held_back_percent", units.PERCENT,
           "Hill that engine, rolling resistance and air hold without brakes at descent_engine_speed", 2),
    Result("brake_share_percent", units.PERCENT,
           "Share of the hill's pull that is left to the brakes at descent_speed", 2),
    Result("brake_power", units.POWER, "Heat that goes into the vehicle's brakes at descent_speed", 2),
    Result("brake_temperature_rise", units.TEMPERATURE_DIFFERENCE,
           "What the discs of the hotter axle gain over descent_height at descent_speed, nothing cooling them", 2),
    Result("descent_energy", units.ENERGY, "Weight, with the trailer's, x descent_height", 3),
    Result("engine_speed", units.ROTATION,
           "Engine speed in the gear of the row, at its road speed; in descent at descent_speed"),
    Result("brake_force_change_percent", units.PERCENT, "Change of the braking force at equal pedal", 3),
    Result("pedal_force_change_percent", units.PERCENT, "Change of the pedal force for the same deceleration", 3),
    Result("stop_energy", units.ENERGY, "Energy that one stop from cruise_speed puts into the vehicle's brakes", 3),
    Result("stop_energy_change_percent", units.PERCENT, "Change of stop_energy", 3),
    Result("ideal_front_share", units.NUMBER,
           "Front axle's share of the braking at which both axles use their grip alike, at 0.5 g", 3),
    Result("rear_locks_first_above", units.NUMBER,
           "Deceleration, in parts of g, above which the rear axle locks first without a valve or anti-lock", 2),
    Result("grip_stopping_distance", units.ELEVATION,
           "Way to a stop from cruise_speed that grip alone allows, at the low end of grip", 2),
    Result("measured_axle_ratio", units.NUMBER, "Axle ratio by the readings, before a tooth pair is chosen"),
    Result("likeliest_axle_ratio", units.NUMBER, "Ratio of the tooth pair that the readings make likeliest"),
    Result("probability", units.NUMBER,
           "Probability of the tooth pair, those of the table being as likely as one another before", 2),
    Result("measured_circumference", units.LENGTH, "Distance rolled in one turn, measurement and tyre size joined"),
    Result("measured_rolling_radius", units.LENGTH, "The same / 2 pi"),
    Result("measured_road_load", units.FORCE, "Force that holds the vehicle back at measured_road_load_speed", 3),
    Result("measured_road_load_speed", units.SPEED, "Middle of the speeds coasted", 3),
    Result("measured_mass", units.MASS, "Mass of the vehicle, both axles weighed"),
    Result("measured_front_share", units.NUMBER, "Share of it on the front axle", 3),
    Result("measured_mass_centre_height", units.LENGTH,
           "Height of the mass centre, measurement and usual height joined", 3),
    Result("measured_stiffness", units.LINE_LOAD, "Radial stiffness of the tyre, measurement and formula joined", 3),
    Result("measured_loaded_radius", units.LENGTH, "Wheel centre to ground at the measured sag", 3),
    Result("measurements_used", units.NUMBER, "Measurements that were used"),
    Result("front_turns_per_distance", units.PER_DISTANCE, "Turns of the front pinion per mile or kilometre"),
    Result("rear_turns_per_distance", units.PER_DISTANCE, "Turns of the rear pinion per mile or kilometre"),
    Result("mismatch_percent", units.PERCENT,
           "Speed of the front against the rear, + if the front turns faster"),
    Result("windup_force", units.FORCE,
           "Force between the axles when both are joined on hard ground, at the middle of the slip stiffness", 2),
    Result("windup_shaft_torque", units.TORQUE, "Torque of that force in the front propeller shaft", 2),
    Result("windup_per_distance", units.PER_DISTANCE,
           "Turns by which front and rear pinion drift apart per mile or kilometre"),
)}  # fmt: skip


CHANGE = "change_"
"""In front of a result's name: by how much it differs from the original's."""


LOW_END, HIGH_END = "_low", "_high"
"""Behind a result's name: the ends of its range."""


def result_named(name: str) -> Result:
    """A result; with `original_` or `change_` in front the result of the vehicle before, or the difference.

    With `_low` or `_high` behind, an end of its range.
    """
    if name in RESULTS:
        return RESULTS[name]
    plain = name.removeprefix(ORIGINAL).removeprefix(CHANGE)
    return RESULTS.get(plain) or RESULTS[plain.removesuffix(LOW_END).removesuffix(HIGH_END)]


RENAMED: dict[str, str] = {
    "induction": "engine_kind",
    "lawful": "within_rule",
    "tyre_ceiling": "tyre_limit",
    "verdict": "meets, and recommended_meets beside it",
    "hunting": "teeth_hunt",
    "tyre_step_eaten": "tyre_growth_used_up",
    "change": "one_change",
    "limited_by": "crawl_limited_by or ring_gear_limited_by",
}
"""Names of fields, results and columns that have changed: a refusal of the old one tells the new."""


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The known name spelled nearly like one that is not known; None where none is near."""
    close = difflib.get_close_matches(name[:60].casefold().replace("-", "_"), list(names), n=1, cutoff=0.75)
    return close[0] if close else None


def hint(name: str, names: Iterable[str]) -> str:
    """Return what a refusal of an unknown name adds: its new name if it was renamed, else the nearest."""
    if name in RENAMED:
        return f"; its name is now {RENAMED[name]}"
    close = nearest(name, names)
    return f"; the nearest is {close}" if close else ""


def meant_field(name: str) -> str | None:
    """The field that a name means which is none: by the table of words, else by its spelling.

    One letter too many, too few, exchanged or changed is overlooked, but for the first; a unit at the end is
    left out. None where the name means nothing here, or more than one thing.

    Examples
    --------
    >>> [meant_field(name) for name in ("weight_lbs", "tcase", "Stock Tire", "axel_ratio", "colour")]
    ['vehicle_mass', 'transfer_ratios', 'original_tyre', 'axle_ratio', None]
    """
    words = name[:60].casefold().translate(_BLANKS).split()
    by_word = _names_by_word()
    while words:
        plain = " ".join(_BRITISH.get(word, word) for word in words)
        for text in (" ".join(words), plain):
            if text in by_word:
                return by_word[text]
        before = plain.removeprefix("original ").removeprefix("stock ").removeprefix("old ")
        if before != plain and f"{ORIGINAL}{by_word.get(before)}" in ALL_FIELDS:
            return f"{ORIGINAL}{by_word[before]}"
        if words.pop() not in _UNITS_OF_NAMES:
            break
    return _misspelled_field(" ".join(name[:60].casefold().translate(_BLANKS).split()))


def _misspelled_field(plain: str) -> str | None:
    near = _names_by_spelling()
    found = {near[part] for part in _with_a_letter_less(plain) if part in near}
    return found.pop() if len(found) == 1 and len(plain) > 3 else None


_BLANKS = str.maketrans("_-./", "    ")
_BRITISH = {"tire": "tyre", "tires": "tyre", "center": "centre"}
_UNITS_OF_NAMES = {
    "lb", "lbs", "kg", "in", "inch", "inches", "mm", "cm", "m", "ft", "mph", "kph", "kmh", "rpm", "nm", "psi",
    "bar", "kpa", "pct", "deg", "t", "hp", "kw",
}  # fmt: skip


@cache
def _names_by_word() -> dict[str, str | None]:
    """Fields by the words that mean them; None where a word means more than one thing."""
    fields = {name.replace("_", " "): name for name in FIELDS}
    said = tables.table("words").keyed("word", "field")
    return {str(word): None if field is None else str(field) for word, field in said.items()} | fields


@cache
def _names_by_spelling() -> dict[str, str | None]:
    """The same with one letter left out; None where two names are left alike."""
    found: dict[str, str | None] = {}
    for word, name in _names_by_word().items():
        if len(word) > 4:
            for part in _with_a_letter_less(word):
                found[part] = name if found.setdefault(part, name) == name else None
    return found


def _with_a_letter_less(word: str) -> list[str]:
    return [word, *(word[:place] + word[place + 1 :] for place in range(1, len(word)))]


def read_fields(raw: Mapping[str, object], system: System) -> dict[str, Any]:
    """SI values of raw wire values, all faults told together.

    Raises
    ------
    InvalidBuild
        If a name is no field, or a value is refused.
    """
    values: dict[str, Any] = {}
    faults: list[FieldError] = []
    for name, value in raw.items():
        field = ALL_FIELDS.get(name)
        if field is None:
            faults.append(unknown_field(name, close=len(faults) < _MOST_HINTS))
            continue
        try:
            values[name] = field.si(value, system)
        except Unreadable as error:
            faults.append(refusal(name, error, value))
    if faults:
        raise InvalidBuild(faults)
    return values


def read_ranges(raw: Mapping[str, object], system: System) -> dict[str, tuple[float, float]]:
    """The ends of those fields, already read, that are given as a range, in SI."""
    ends = {
        name: ALL_FIELDS[name].ends(value, system) for name, value in raw.items() if units.may_be_range(value)
    }
    return {name: found for name, found in ends.items() if found is not None}


def unknown_field(name: str, *, close: bool = True) -> FieldError:
    """The fault of a name that is no field; a hint at the one that is meant takes time."""
    if name in RENAMED:
        return FieldError(name, f"is no field of a build; its name is now {RENAMED[name]}")
    meant = meant_field(name) if close else None
    return FieldError(name, "is no field of a build" + (f"; the nearest is {meant}" if meant else ""))
