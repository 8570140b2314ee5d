"""The propeller shaft of one axle: its angles, how unevenly it turns, its critical speed and its torque."""

import math
from functools import partial

import numpy as np

from gearing_api import units
from gearing_api.answer import (
    DOES_NOT_APPLY,
    Absent,
    Answer,
    Caution,
    Column,
    Question,
    Role,
    SideView,
    Source,
    Value,
    check,
    column,
    needs,
    note,
    stop,
)
from gearing_api.answer import Line as CurveLine
from gearing_api.build import Build
from gearing_api.mechanics import joints
from gearing_api.mechanics import propeller_shafts as shafts
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle import propeller_shaft
from gearing_api.vehicle.axle import AXLE_FIELDS, SAFETY
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import ADHESION_BAND, SURFACES, engine_torque_known
from gearing_api.vehicle.gearbox import loss_sources
from gearing_api.vehicle.propeller_shaft import DEGREE, Line
from gearing_api.vehicle.resistance import RESISTANCE_FIELDS, Resistance, resistance_of
from gearing_api.vehicle.tyre import ROLLING, size_cautions

_TUBE = ("propshaft_tube_diameter", "propshaft_tube_wall")
_TRAVEL = ("link_length", "link_drop", "bump_travel", "droop_travel")
_LEAST_CASTER = 3.0 * DEGREE
_STUB = 0.22
"""Length of the lines beyond the joints, in parts of the shaft's."""

_UNDER_LOAD = note(
    "angles-under-load",
    "Angles at rest: under load the pinion climbs, by 1 to 2 degrees as the trade has it. Measure at ride height.",
)


def answer(build: Build) -> Answer:
    """Each figure that the fields allow; the published limits at this speed in the table."""
    line = propeller_shaft.line_of(build)
    speed = propeller_shaft.shaft_speed(build, build.number("cruise_speed"))
    resistance = _resistance(build)
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    result |= _angles(build, line, speed) | _whirl(build, line, speed) | _torques(build)
    result["slip_travel"] = _slip(build)
    if resistance is not None:
        result["joint_life_hours"] = propeller_shaft.joint_life(build, line, resistance, speed)
    return Answer(
        result,
        sources=_sources(build, resistance),
        summary=lambda: _summary(build, line, speed),
        cautions=(
            *_of_angles(build, line, speed),
            *_of_caster(build, line),
            *_of_vibration(result),
            *_of_strength(build, result),
            _UNDER_LOAD,
            *size_cautions(build.tyre().size),
            *(() if resistance is None else resistance.cautions),
            SAFETY,
        ),
        absent={name: _absent(build, name) for name in QUESTION.results},
        table=partial(_table, build, line, speed),
        picture=partial(_side_view, build, line),
    )


def _sources(build: Build, resistance: Resistance | None) -> tuple[Source, ...]:
    return (
        ROLLING,
        propeller_shaft.ANGLES,
        propeller_shaft.LIMITS,
        propeller_shaft.ACCELERATION,
        propeller_shaft.BEST_SLOPE,
        propeller_shaft.CRITICAL,
        propeller_shaft.SHAFT_TORQUE,
        SURFACES,
        ADHESION_BAND,
        *loss_sources(build),
        propeller_shaft.LIFE,
        *(() if resistance is None else resistance.sources),
    )


def _resistance(build: Build) -> Resistance | None:
    """What the joints of the shaft must drive, where their life can be known."""
    known = build.given("vehicle_mass") and build.given("propshaft_joint_rating")
    return resistance_of(build) if known else None


def _angles(build: Build, line: Line, speed: Array) -> dict[str, Value]:
    sense = propeller_shaft.towards_axle(build)
    front = build.word("axle_position") == "front"
    return {
        "output_joint_angle": line.output,
        "pinion_joint_angle": line.pinion,
        "propshaft_slope": sense * line.slope,
        "speed_swing_percent": joints.speed_fluctuation(line.driven),
        "driven_excitation": shafts.peak_acceleration(speed, line.driven),
        "own_excitation": shafts.peak_acceleration(speed, line.own),
        "propshaft_speed": speed,
        "best_pinion_slope": sense * line.best_pinion_slope,
        "caster_cost": line.best_pinion_slope - line.pinion_slope if front else None,
    }


def _whirl(build: Build, line: Line, speed: Array) -> dict[str, Value]:
    """Critical speed and its shares, as far as known."""
    if not all(map(build.given, _TUBE)):
        return {}
    diameter, wall = (build.number(name) for name in _TUBE)
    build.require(
        2.0 * wall <= diameter, "propshaft_tube_wall", "must be at most half of propshaft_tube_diameter"
    )
    critical = shafts.critical_speed(diameter, wall, line.length)
    fastest = propeller_shaft.fastest_shaft(build)
    return {
        "critical_speed": critical,
        "critical_speed_share": speed / critical,
        "critical_speed_share_at_top_speed": None if fastest is None else fastest / critical,
    }


def _torques(build: Build) -> dict[str, Value]:
    """Torque by engine and by grip, and the stress of the tube, as far as known."""
    torque = propeller_shaft.engine_torque_on_shaft(build)
    tube = all(map(build.given, _TUBE)) and torque is not None
    return {
        "propshaft_torque": torque,
        "propshaft_grip_torque": propeller_shaft.grip_torque_on_shaft(build),
        "propshaft_stress": shafts.tube_stress(torque, *(build.number(name) for name in _TUBE))
        if tube and torque is not None
        else None,
    }


def _slip(build: Build) -> Array | None:
    if not all(map(build.given, _TRAVEL)):
        return None
    link, drop, bump, droop = (build.number(name) for name in _TRAVEL)
    furthest = np.maximum(np.abs(drop - bump), np.abs(drop + droop))
    build.require(
        np.maximum(furthest, np.abs(drop)) <= link,
        "link_length",
        "must be at least the height between its ends, also at full bump and droop",
    )
    run, height, side = (build.number(f"propshaft_{name}") for name in ("run", "drop", "side"))
    return shafts.slip_travel(run, height, side, link, drop, bump, droop)


def _of_angles(build: Build, line: Line, speed: Array) -> tuple[Caution, ...]:
    highest = propeller_shaft.highest_limit(speed)
    furthest = stop(
        "joint-angle-beyond-limits",
        "A joint bends further than every published limit at this speed allows: lower the vehicle, lengthen the "
        "shaft, or fit a double joint.",
        beyond(line.judged, highest),
    )
    if propeller_shaft.is_double(build):
        return (furthest, *_of_double_joint(line))
    return (
        furthest,
        check(
            "cross-joint-angle",
            "A joint bends further than the 3 degrees of service manuals; others allow more. Its life falls as the "
            "angle rises.",
            beyond(line.judged, propeller_shaft.LEAST_LIMIT) & ~beyond(line.judged, highest),
        ),
        check(
            "joints-unequal",
            "The joints differ by more than 1 degree and do not cancel: set the pinion to its best slope "
            "(best_pinion_slope).",
            beyond(np.abs(line.output - line.pinion), propeller_shaft.EQUAL_WITHIN),
        ),
        check(
            "yokes-crossed",
            "With crossed yokes the joints add up instead of cancelling: turn the slip joint until the yokes are in "
            "line.",
            build.word("propshaft_phase") == "crossed",
        ),
        note(
            "joints-straight",
            "Joints below half a degree do not roll their needles, which then dent the bearing.",
            beyond(propeller_shaft.LEAST_ANGLE, line.judged),
        ),
    )


def _of_double_joint(line: Line) -> tuple[Caution, ...]:
    return (
        stop(
            "double-joint-binds",
            "At ride height the double joint bends further than the 28 degrees at which some bind: it breaks when the "
            "axle droops. Lower the vehicle or lengthen the shaft.",
            beyond(line.output, propeller_shaft.DOUBLE_BINDS),
        ),
        check(
            "double-joint-angle",
            "The double joint bends further than the 10 degrees of service manuals.",
            beyond(line.output, propeller_shaft.DOUBLE_LIMIT),
        ),
        check(
            "pinion-off-shaft",
            "With a double joint the pinion must point along the shaft within 1.5 degrees: turn the axle "
            "to the best slope of its pinion (best_pinion_slope).",
            beyond(line.pinion, propeller_shaft.LONE_LIMIT),
        ),
    )


def _of_caster(build: Build, line: Line) -> tuple[Caution, ...]:
    if build.word("axle_position") == "rear" or not build.given("caster"):
        return ()
    left = build.number("caster") - (line.best_pinion_slope - line.pinion_slope)
    return (
        check(
            "little-caster",
            "Turning the axle to the best slope of its pinion (best_pinion_slope) leaves less than 3 degrees "
            "of caster: the knuckles must be turned back on their tubes.",
            beyond(_LEAST_CASTER, left),
        ),
    )


def _of_vibration(result: dict[str, Value]) -> tuple[Caution, ...]:
    driven, own = (np.asarray(result[f"{which}_excitation"]) for which in ("driven", "own"))
    cautions: tuple[Caution, ...] = (
        check(
            "vibration",
            "The pinion is shaken with more than 400 rad/s2 at the cruise speed: set the pinion to its "
            "best slope (best_pinion_slope).",
            beyond(driven, propeller_shaft.DRIVEN_LIMIT),
        ),
        check(
            "shaft-vibration",
            "The shaft itself is shaken with more than 1000 rad/s2 at the cruise speed, even where the joints cancel: "
            "make the angles smaller.",
            beyond(own, propeller_shaft.OWN_LIMIT),
        ),
    )
    share, at_top = result["critical_speed_share"], result["critical_speed_share_at_top_speed"]
    if share is None:
        return cautions
    at_cruise = np.asarray(share)
    top = np.zeros(()) if at_top is None else np.asarray(at_top)
    return (*cautions, *_of_whirl(at_cruise, top))


def _of_whirl(at_cruise: Array, at_top: Array) -> tuple[Caution, ...]:
    safe, half = propeller_shaft.SAFE_SHARE, propeller_shaft.HALF
    return (
        stop(
            "near-critical-speed",
            "At the cruise speed the shaft turns at more than 0.7 of its critical speed: it may whirl and break. Fit a "
            "larger tube or a shaft in two pieces.",
            beyond(at_cruise, safe),
        ),
        check(
            "critical-at-top-speed",
            "At redline in the highest gear the shaft would turn at more than 0.7 of its critical speed: keep below "
            "it, or fit a larger tube.",
            beyond(at_top, safe) & ~beyond(at_cruise, safe),
        ),
        check(
            "near-half-critical",
            "At the cruise speed the shaft turns within 8 % of half its critical speed, where joints excite it twice a "
            "turn: choose another speed or tube.",
            beyond(propeller_shaft.HALF_BAND * half, np.abs(at_cruise - half)),
        ),
    )


def _of_strength(build: Build, result: dict[str, Value]) -> tuple[Caution, ...]:
    torque = result["propshaft_torque"]
    if torque is None or not build.given("propshaft_joint_rating"):
        return ()
    return (
        check(
            "joint-rating",
            "In the lowest gear the engine can load the joints beyond their maker's rating "
            "(propshaft_joint_rating): fit larger joints.",
            beyond(np.asarray(torque), build.number("propshaft_joint_rating")),
        ),
    )


def _summary(build: Build, line: Line, speed: Array) -> str:
    """Angles against the published limits, and what would be better."""
    output, pinion = line.output, line.pinion
    rpm = build.say(speed, units.ROTATION, 2)
    if propeller_shaft.is_double(build):
        angles = f"The double joint bends {_said(build, output)}, the pinion joint {_said(build, pinion)}."
        return f"{angles} {_turn(build, line)}"
    if abs(output - pinion) < 0.1 * DEGREE:
        first = f"Both joints run at {_said(build, output)} at {rpm}"
    else:
        first = f"The joints run at {_said(build, output)} and {_said(build, pinion)}"
    return f"{first}: {_judged(line, speed)}. {_better(build, line)}".rstrip()


def _judged(line: Line, speed: Array) -> str:
    if beyond(line.judged, propeller_shaft.highest_limit(speed)):
        return "above every published limit for this speed"
    if beyond(line.judged, propeller_shaft.LEAST_LIMIT):
        return "above the strictest published limits, within others"
    unequal = beyond(np.abs(line.output - line.pinion), propeller_shaft.EQUAL_WITHIN)
    return "small enough, but not equal" if unequal else "within every published limit"


def _better(build: Build, line: Line) -> str:
    """What would be better than two cross joints as they lie."""
    if beyond(line.judged, propeller_shaft.LEAST_LIMIT):
        raised = line.slope - propeller_shaft.LONE_LIMIT - line.pinion_slope
        points = f"{_raised(build, raised)}{_as_much(build, raised)}"
        return f"A double joint at the transfer case asks for a pinion {points}."
    if beyond(np.abs(line.best_pinion_slope - line.pinion_slope), propeller_shaft.EQUAL_WITHIN):
        return _turn(build, line)
    return ""


def _turn(build: Build, line: Line) -> str:
    raised = line.best_pinion_slope - line.pinion_slope
    if abs(raised) < 0.1 * DEGREE:
        return "The pinion points the best way."
    return f"The pinion should point {_raised(build, raised)}{_as_much(build, raised)}."


def _raised(build: Build, angle: Array) -> str:
    return f"{_said(build, abs(angle))} {'up' if angle > 0.0 else 'down'}"


def _as_much(build: Build, angle: Array) -> str:
    if build.word("axle_position") == "rear":
        return ""
    return f", which {'costs' if angle > 0.0 else 'gains'} as much caster"


def _said(build: Build, angle: Array) -> str:
    return build.say(angle, units.ANGLE, 2 if angle >= DEGREE else 1)


def _table(build: Build, line: Line, speed: Array) -> tuple[Column, ...]:
    """A row a published rule that fits the kind of shaft: what it limits, and the limit at this speed."""
    rows = [(rule, line.judged, limit) for rule, limit in propeller_shaft.speed_limits(line, speed)]
    if propeller_shaft.is_double(build):
        rows = [
            (
                "light-vehicle service manual, double joint: 10 degrees",
                line.output,
                propeller_shaft.DOUBLE_LIMIT,
            ),
            ("the same, lone pinion joint: 1.5 degrees", line.pinion, propeller_shaft.LONE_LIMIT),
            *rows,
        ]
    else:
        apart = np.abs(line.output - line.pinion)
        rows += [(rule, apart, limit) for rule, limit in propeller_shaft.difference_limits()]
    rows += [(rule, line.driven, limit) for rule, limit in propeller_shaft.together_limits(speed)]
    return (
        column("rule", [rule for rule, _, _ in rows]),
        column("angle_judged", np.array([angle for _, angle, _ in rows])),
        column("angle_limit", np.array([limit for _, _, limit in rows])),
        column("within_rule", [not beyond(angle, limit) for _, angle, limit in rows]),
    )


def _side_view(build: Build, line: Line) -> SideView:
    """The shaft between output and pinion, and as it lay before the change where that is known."""
    axle = build.word("axle_position")
    double = "double joint" if propeller_shaft.is_double(build) else "output joint"
    run, drop = _place(build)
    return SideView(
        f"Propeller shaft of the {axle} axle from its left side, to scale",
        (*_before(build), *_lines(build, line, ("needed", "gear"))),
        (
            (0.0, 0.0, f"{double} {_said(build, line.output)}"),
            (run, -drop, f"pinion joint {_said(build, line.pinion)}"),
        ),
        (
            "left: front of the vehicle",
            f"joint centres {build.say(abs(run), units.LENGTH)} apart, height {build.say(drop, units.LENGTH)}",
        ),
    )


def _place(build: Build) -> tuple[float, float]:
    """Where the pinion's joint lies from the output's: to the rear, and down. [m]"""
    run, drop = (float(build.number(f"propshaft_{name}")) for name in ("run", "drop"))
    return propeller_shaft.towards_axle(build) * run, drop


def _lines(build: Build, line: Line, roles: tuple[Role, Role]) -> tuple[CurveLine, ...]:
    """The shaft, and the centre lines of output and pinion a part of its length beyond their joints."""
    run, drop = _place(build)
    end = _STUB * run
    output = propeller_shaft.towards_axle(build) * float(build.number("output_slope"))
    pinion = float(line.pinion_slope)
    return (
        CurveLine("shaft", roles[0], np.array([0.0, run]), np.array([0.0, -drop])),
        CurveLine(
            "transfer case", roles[1], np.array([-end, 0.0]), np.array([abs(end) * math.tan(output), 0.0])
        ),
        CurveLine(
            "axle",
            roles[1],
            np.array([run, run + end]),
            np.array([-drop, -drop - abs(end) * math.tan(pinion)]),
        ),
    )


def _before(build: Build) -> tuple[CurveLine, ...]:
    original = build.original()
    if not build.has_original(_PLACE) or original.missing((*_PLACE, "tyre")):
        return ()
    return _lines(original, propeller_shaft.line_of(original), ("before", "before"))


_PLACE = ("propshaft_run", "propshaft_drop", "output_slope", "pinion_slope", "propshaft_joints")


_WANTED: dict[str, tuple[str, ...]] = {
    "critical_speed": _TUBE,
    "critical_speed_share": _TUBE,
    "critical_speed_share_at_top_speed": (*_TUBE, "gear_ratios"),
    "propshaft_torque": ("gear_ratios",),
    "propshaft_grip_torque": ("vehicle_mass",),
    "propshaft_stress": ("gear_ratios", *_TUBE),
    "slip_travel": _TRAVEL,
    "joint_life_hours": ("propshaft_joint_rating", "vehicle_mass"),
}
"""What results need beside the fields that are always needed."""


def _absent(build: Build, name: str) -> Absent:
    """Why a result is absent, where it is."""
    lacking = tuple(field for field in _WANTED.get(name, ()) if not build.given(field))
    if name in ("propshaft_torque", "propshaft_stress"):
        lacking += () if engine_torque_known(build) else ("peak_torque",)
    if name == "critical_speed_share_at_top_speed" and not build.has("redline_speed"):
        lacking += ("redline_speed",)
    return needs(*lacking) if lacking else DOES_NOT_APPLY


QUESTION = Question(
    name="driveline",
    asks="At which angles and how evenly does the propeller shaft of this axle run, does it whirl, what does it carry?",
    needs=("tyre", "axle_ratio", "propshaft_run", "propshaft_drop"),
    uses=(
        "propshaft_side",
        "output_slope",
        "pinion_slope",
        "propshaft_joints",
        "propshaft_phase",
        *_TUBE,
        "propshaft_joint_rating",
        *_TRAVEL,
        "caster",
        "gear_ratios",
        "peak_torque",
        "torque_curve",
        "power_curve",
        "redline_speed",
        "front_axle_ratio",
        "rear_axle_ratio",
        "vehicle_mass",
        "cruise_speed",
        "altitude",
        *(name for name in AXLE_FIELDS if name != "pinion_height"),
        *RESISTANCE_FIELDS,
    ),
    results=(
        "output_joint_angle",
        "pinion_joint_angle",
        "propshaft_slope",
        "speed_swing_percent",
        "driven_excitation",
        "own_excitation",
        "propshaft_speed",
        "critical_speed",
        "critical_speed_share",
        "critical_speed_share_at_top_speed",
        "propshaft_torque",
        "propshaft_grip_torque",
        "propshaft_stress",
        "best_pinion_slope",
        "caster_cost",
        "slip_travel",
        "joint_life_hours",
    ),
    main="output_joint_angle",
    row="driveline",
    leads=True,
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "redline_speed",
        "peak_torque",
        "cruise_speed",
        "vehicle_mass",
        "front_axle_share",
        "surface",
        "axle_position",
        "propshaft_joints",
        "propshaft_run",
        "propshaft_drop",
        "original_propshaft_drop",
        "propshaft_side",
        "output_slope",
        "pinion_slope",
        "original_pinion_slope",
        "propshaft_tube_diameter",
        "propshaft_tube_wall",
        "propshaft_joint_rating",
        "link_length",
        "link_drop",
        "bump_travel",
        "droop_travel",
        "caster",
    ),
    table=("rule", "angle_judged", "angle_limit", "within_rule"),
    draws=True,
)
