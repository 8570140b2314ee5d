"""The propeller shaft of one axle: how it lies, how unevenly it turns, what it carries; and the published limits."""

from typing import NamedTuple

import numpy as np

from gearing_api.answer import Source
from gearing_api.build import Build
from gearing_api.mechanics import gearing, joints
from gearing_api.mechanics import propeller_shafts as shafts
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.axle import axle_load, engine_unit_torque, grip_torque, hub_ratio, standing_radius
from gearing_api.vehicle.drivetrain import engine_torque_known
from gearing_api.vehicle.loads import train_mass
from gearing_api.vehicle.resistance import Resistance

DEGREE = np.deg2rad(1.0)
LEAST_LIMIT, LEAST_ANGLE = 3.0 * DEGREE, 0.5 * DEGREE
"""Each joint at most, and at least, in light-vehicle service manuals. [rad]"""

FIXED_LIMIT = 6.0 * DEGREE
"""The largest that a published limit without speeds allows. [rad]"""

EQUAL_WITHIN = 1.0 * DEGREE
DOUBLE_LIMIT, LONE_LIMIT = 10.0 * DEGREE, 1.5 * DEGREE
"""Of a double joint, and of the lone joint at the other end of its shaft. [rad]"""

DOUBLE_BINDS = 28.0 * DEGREE
"""Where a double joint may bind: 28 to 32 degrees, common practice, no published source. [rad]"""

DRIVEN_LIMIT, OWN_LIMIT = 400.0, 1000.0
"""Angular acceleration of the driven end, and of the shaft itself. [rad/s2]"""

LINE_SWING = 0.0027
"""Speed swing of a whole line that one maker allows. [-]"""

SAFE_SHARE, HALF, HALF_BAND = 0.7, 0.5, 0.08
"""Of the critical speed: the most on the road; the half, and how near to it in parts of it. [-]"""

_STEEPEST = 60.0 * DEGREE
"""More than any joint bends; two such joints with crossed yokes still add up to one below 85 degrees."""

ANGLES = Source(
    "joint angles from the unit vectors of output, shaft and pinion; two joints together by their ratio of speeds",
    "published",
    "Geometry; the rule of signs: an industrial shaft maker's pages 1 and 3; Khurmi & Gupta, Theory of Machines, ch. 9",
)
LIMITS = Source(
    "joint angles: 3 degrees, equal within 1 (service manuals 1998, 2007), 4 within 0.5 (2006), 5 and 1.5 (truck axle "
    "manual 2021), 6 (body-builder directive 2020), by speed (navy manual; power take-off maker)",
    "published",
    "NAVEDTRA 14050A, p. 8-48; US Army TM 5-3820-256-24-4, p. 23; the manuals named, which do not agree",
)
ACCELERATION = Source(
    "400 rad/s2 at the driven end, 1000 for the shaft itself",
    "published",
    "A published table of two-joint shafts, 26 entries; 1000 computed from a power take-off maker's angles by speed",
)
CRITICAL = Source(
    "critical speed of a steel tube between its joints; at most 0.7 of it on the road, 8 % away from its half",
    "published",
    "Two propeller shaft makers' technical pages; GOST 33669-2015, App. A, has the same form",
)
SHAFT_TORQUE = Source(
    "shaft torque in the lowest gear by the engine alone, one axle carrying all of it: off road the manual sizes by "
    "it; by grip beside it, which on the road would limit it",
    "published",
    "A driveline installation manual, p. 2 and 8",
)
LIFE = Source(
    "bearing life 1.5e6 h / (degrees x rpm) x (rating / torque)^(10/3), 3 degrees at least",
    "published",
    "An industrial joint maker's sizing guide; the 3 degrees: a text on sizing of cardan shafts",
)
BEST_SLOPE = Source(
    "best pinion: parallel to the output; with a double joint 1.5 degrees below the shaft, which load lifts",
    "common practice",
    "No published source for aiming it; the 1.5 degrees: a light-vehicle service manual of 2007",
)


class Line(NamedTuple):
    """A propeller shaft as it lies, slopes falling towards its axle. [rad, m]

    `judged` is the larger angle of a joint that stands alone, `worn` of any joint, of which a double joint holds two
    at half its angle. `driven` is the angle of one joint that would drive as unevenly as both together, `own` that
    of the joint which the shaft itself feels most.
    """

    output: Array
    pinion: Array
    slope: Array
    length: Array
    back: Array
    pinion_slope: Array
    best_pinion_slope: Array
    judged: Array
    worn: Array
    driven: Array
    own: Array


def is_double(build: Build) -> bool:
    """Whether the joint at the transfer case is a double one."""
    return build.word("propshaft_joints") == "double-cardan"


def towards_axle(build: Build) -> float:
    """Sign that makes a slope falling to the rear one that falls towards the axle, and back."""
    return 1.0 if build.word("axle_position") == "rear" else -1.0


def line_of(build: Build) -> Line:
    """How the shaft lies and how unevenly its joints drive."""
    sense = towards_axle(build)
    output_slope, pinion_slope = (sense * build.number(f"{end}_slope") for end in ("output", "pinion"))
    lies = shafts.shaft_line(
        build.number("propshaft_run"),
        build.number("propshaft_drop"),
        build.number("propshaft_side"),
        output_slope,
        pinion_slope,
    )
    bent = np.maximum(lies.output, lies.pinion)
    build.require(
        ~beyond(bent, _STEEPEST),
        "propshaft_drop",
        "bends a joint beyond 60 degrees: check distances and slopes",
    )
    double, crossed = is_double(build), build.word("propshaft_phase") == "crossed"
    if double:
        judged = driven = own = lies.pinion
        worn = np.maximum(lies.output / 2.0, lies.pinion)
        best = lies.slope - LONE_LIMIT
    else:
        judged = worn = own = bent
        driven = shafts.equivalent_joint_angle(lies.output, lies.pinion, lies.turn, crossed)
        best = lies.slope if crossed else output_slope
    return Line(
        lies.output,
        lies.pinion,
        lies.slope,
        lies.length,
        lies.back,
        pinion_slope,
        best,
        judged,
        worn,
        driven,
        own,
    )


def axle_ratio(build: Build) -> Array:
    """Ratio of the axle that the shaft drives. [-]"""
    own = f"{build.word('axle_position')}_axle_ratio"
    return build.number(own if build.given(own) else "axle_ratio")


def shaft_speed(build: Build, road_speed: Array) -> Array:
    """Speed of the shaft, hub boxes counted. [rad/s]"""
    ratio = axle_ratio(build) * hub_ratio(build)
    return gearing.engine_speed(road_speed, ratio, build.tyre().rolling_radius)


def fastest_shaft(build: Build) -> Array | None:
    """Speed of the shaft at redline in the highest gear and range. [rad/s]"""
    redline = build.known("redline_speed")
    if redline is None or not build.given("gear_ratios"):
        return None
    gear = build.number("gear_ratios").min(axis=-1)
    return np.asarray(redline / (gear * build.number("transfer_ratios").min(axis=-1)))


def engine_torque_on_shaft(build: Build) -> Array | None:
    """Torque in the lowest gear, if one axle carries all of it. [N m]"""
    if not build.given("gear_ratios") or not engine_torque_known(build):
        return None
    return engine_unit_torque(build)


def grip_torque_on_shaft(build: Build) -> Array | None:
    """Torque at which both tyres of the axle slip. [N m]"""
    if not build.given("vehicle_mass"):
        return None
    radius, _ = standing_radius(build)
    return grip_torque(build, axle_load(build), radius) / axle_ratio(build)


def joint_life(build: Build, line: Line, resistance: Resistance, speed: Array) -> Array:
    """Life of the joint that wears most, at cruise_speed on the grade with this axle alone driving. [s]"""
    mass, road_speed = train_mass(build), build.number("cruise_speed")
    force = resistance.level_force(road_speed) + resistance.weight_force(mass, build.number("grade_percent"))
    pulls = force > 0.0
    ratio = axle_ratio(build) * hub_ratio(build)
    torque = np.where(pulls, force, 1.0) * build.tyre().rolling_radius / ratio
    angle = np.maximum(line.worn, LEAST_LIMIT)
    life = joints.bearing_life(build.number("propshaft_joint_rating"), torque, angle, speed)
    return np.where(pulls, life, np.inf)


def speed_limits(line: Line, speed: Array) -> tuple[tuple[str, Array], ...]:
    """Largest cross-joint angle by each published rule at this speed of the shaft. [rad]"""
    by_length = line.length / 0.0254 * np.where(line.back > 0.0, 0.2, 0.1) * DEGREE
    return (
        ("light-vehicle service manual, 1998: 3 degrees", np.asarray(LEAST_LIMIT)),
        ("light-vehicle service manual, 2006: 4 degrees", np.asarray(4.0 * DEGREE)),
        ("truck axle maintenance manual, 2021: 5 degrees", np.asarray(5.0 * DEGREE)),
        ("body-builder directive, 2020: 6 degrees", np.asarray(FIXED_LIMIT)),
        ("navy manual, by speed", shafts.printed_angle_limit(speed, shafts.MANUAL_LIMITS)),
        ("power take-off maker, by speed", shafts.printed_angle_limit(speed, shafts.MAKER_LIMITS)),
        ("driveline article, by length", by_length),
    )


def highest_limit(speed: Array) -> Array:
    """The largest angle that a published rule allows at this speed, whatever the shaft's length. [rad]"""
    navy, maker = (
        shafts.printed_angle_limit(speed, limits) for limits in (shafts.MANUAL_LIMITS, shafts.MAKER_LIMITS)
    )
    return np.asarray(np.maximum(np.maximum(navy, maker), FIXED_LIMIT))


def together_limits(speed: Array) -> tuple[tuple[str, Array], ...]:
    """Largest angle of both joints together by each published rule. [rad]"""
    return (
        ("industrial shaft maker: speed swing 0.0027", joints.angle_for_fluctuation(LINE_SWING)),
        ("table of two-joint shafts: 400 rad/s2", joints.steepest_second_joint(DRIVEN_LIMIT, speed)),
    )


def difference_limits() -> tuple[tuple[str, Array], ...]:
    """Largest difference of the two joints by each published rule. [rad]"""
    return (
        ("difference, service manual 2006: 0.5 degrees", np.asarray(0.5 * DEGREE)),
        ("difference, service manual 1998: 1 degree", np.asarray(EQUAL_WITHIN)),
        ("difference, truck axle manual 2021: 1.5 degrees", np.asarray(1.5 * DEGREE)),
        ("difference, army manual: 3 degrees", np.asarray(LEAST_LIMIT)),
    )
