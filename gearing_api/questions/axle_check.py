"""Ring gear, shafts, joint, housing tube: which gives way first, and up to which tyre does the axle hold?"""

import math
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import (
    Absent,
    Answer,
    Caution,
    Column,
    Question,
    Source,
    Value,
    check,
    column,
    needs,
    note,
)
from gearing_api.build import Build
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import (
    AXLE_FIELDS,
    CAPACITY,
    COAST,
    FLANK,
    SAFETY,
    TORQUE,
    AxleTorque,
    axle_torque,
)
from gearing_api.vehicle.axle_basis import basis
from gearing_api.vehicle.axle_changes import TRIED, changes
from gearing_api.vehicle.axle_parts import (
    JOINT,
    LOCKED,
    PARTS,
    TRUSS_FIELDS,
    Axle,
    Part,
    axle_of,
    parts,
    side_by_side,
    trussed,
    tyre_limit,
    wanting,
)
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import SURFACES
from gearing_api.vehicle.tyre import ROLLING, size_cautions

_SPLINES = Source(
    "root diameter of a shaft from tooth count and pitch, 30 degree fillet root",
    "published",
    "Second hand: ANSI B92.1-1970, basic dimensions, as reproduced in two public tables",
)
_SHAFTS = Source(
    "a shaft gives way at the torque of first yield, shear yield 0.577 of the yield in tension (von Mises)",
    "published",
    "Second hand: Beer & Johnston, Mechanics of Materials, ch. 3; yields in /v1/tables/steels. For "
    "carbon-case-hardened the lower of two printed yields, 1090 and 2100 MPa: the core yields first",
)
_JOINTS = Source(
    "a cross joint at an angle swings the torque by 1 / cos of the angle",
    "published",
    "Second hand: Khurmi & Gupta, Theory of Machines, ch. 9",
)
_TUBES = Source(
    "housing tube: half the axle load x (track - spring seats) / 2 x impact factor, against yield",
    "published",
    "Statics; impact factor 2.5 from a 2025 paper on a micro-truck housing",
)
_TUBE_YIELD = Source(
    "yield of a housing tube where none is given, 60 ksi (414 MPa)",
    "from memory",
    "1020 steel, drawn over a mandrel, 60 to 70 ksi: from memory (high)",
)
_OF_TORQUE = (ROLLING, SURFACES, TORQUE, FLANK)
_OF_PARTS = (CAPACITY, COAST, _SPLINES, _SHAFTS, _JOINTS, _TUBES, _TUBE_YIELD, TRIED)

_LEFT_OUT = note(
    "left-out",
    "Left out: shock, fatigue, bent shafts, torsion and welds of the housing. First yield is a lasting "
    "twist, not yet a break.",
)
_LOCKED = note(
    "locked-worst-case",
    "Locked: one wheel is taken to carry all of the axle's load and torque.",
)
_CONSTANT_VELOCITY = note(
    "joint-angle",
    "A constant-velocity joint too bears less at an angle: its maker's figure for the angle decides.",
)
_STEEPEST_CROSS = units.number("37.5 deg", units.ANGLE, "us")
_STEEP = check(
    "joint-too-steep",
    "Cross joints often stop at 37.5 degrees by their geometry: ask the joint's maker.",
    True,
)


class Judged(NamedTuple):
    """What becomes of an axle; its ceiling is infinite where any tyre will do, zero where none will."""

    weakest_part: NDArray[np.str_]
    weakest_margin: Array
    tyre_limit: Array


def answer(build: Build) -> Answer:
    """The weakest part and the tyre ceiling as scalars, every part in the table, single changes beside it."""
    torque = axle_torque(build)
    axle = axle_of(build, torque)
    found = parts(axle, PARTS[build.word("axle_position")])
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    cautions = [SAFETY, *_unjudged(build, found)]
    if torque.engine is None or not found:
        what_if = None
    else:
        judged = _judged(build, list(found), side_by_side(found.values()))
        result |= _shown(judged)
        what_if = partial(_what_if, build, axle, found)
    return Answer(
        result,
        sources=(*_OF_TORQUE, *_OF_PARTS),
        summary=lambda: _summary(build, result),
        absent=dict.fromkeys(QUESTION.results, _absent(torque, found)),
        cautions=(
            *cautions,
            *[_LOCKED] * (build.word("differential") in LOCKED),
            *_of_joint(build, found),
            _LEFT_OUT,
            *torque.cautions,
            *size_cautions(build.tyre().size),
        ),
        table=partial(_table, build, axle, found),
        what_if=what_if,
    )


def _absent(torque: AxleTorque, found: dict[str, Part]) -> Absent:
    engine = () if torque.engine is not None else ("peak_torque",)
    return needs(*engine, *(() if found else ("ring_gear_diameter",)))


def _summary(build: Build, result: dict[str, Value]) -> str:
    part, margin = result["weakest_part"], result["weakest_margin"]
    if part is None or margin is None:
        return "Nothing can be compared yet: give the engine's torque and the axle's parts."
    times = build.say(margin, units.NUMBER, 2)
    where = build.word("axle_position")
    return f"The {part} is the weakest part of the {where} axle: it bears about {times} times its load."


def _judged(build: Build, names: list[str], whole: Part) -> Judged:
    """What becomes of the parts of those names, side by side."""
    margin, ceiling = whole.margin, tyre_limit(whole, build.tyre().size.diameter)
    weakest = np.asarray(np.array(names)[margin.argmin(axis=0)])
    return Judged(weakest, margin.min(axis=0), ceiling)


def _shown(judged: Judged) -> dict[str, NDArray[Any]]:
    """The results by name."""
    named = judged._asdict()
    return named | {"tyre_limit": np.where(judged.tyre_limit > 0.0, judged.tyre_limit, -np.inf)}


def _unjudged(build: Build, found: dict[str, Part]) -> list[Caution]:
    """Which parts are not judged, and what would make them known."""
    unknown = [name for name in PARTS[build.word("axle_position")] if name not in found]
    text = "; ".join(f"{name} without {wanting(build, name)}" for name in unknown)
    half = any(map(build.given, TRUSS_FIELDS)) and not trussed(build)
    return [
        *[note("not-judged", f"Not judged: {text}.")] * bool(unknown),
        *[note("truss-left-out", f"The truss is left out: it takes {', '.join(TRUSS_FIELDS)}.")] * half,
    ]


def _of_joint(build: Build, found: dict[str, Part]) -> list[Caution]:
    if JOINT not in found:
        return []
    if build.word("joint") == "constant-velocity":
        return [_CONSTANT_VELOCITY]
    return [_STEEP._replace(where=build.number("steer_angle") > _STEEPEST_CROSS)]


def _table(build: Build, axle: Axle, found: dict[str, Part]) -> tuple[Column, ...]:
    names = PARTS[build.word("axle_position")]
    each = [found.get(name) for name in names]
    loads = [_known_load(part) for part in each]
    capacities = [math.nan if part is None else float(part.capacity) for part in each]
    return (
        column("part", names),
        column("diameter", [math.nan if part is None else float(part.diameter) for part in each]),
        column("load", loads),
        column("capacity", capacities),
        column("margin", [capacity / load for capacity, load in zip(capacities, loads, strict=True)]),
        column("basis", [basis(build, axle, name, part) for name, part in zip(names, each, strict=True)]),
    )


def _known_load(part: Part | None) -> float:
    """NaN where the part is not known, or the engine that loads it."""
    return math.nan if part is None or math.isinf(part.engine_load) else float(part.load)


def _what_if(build: Build, axle: Axle, found: dict[str, Part]) -> tuple[Column, ...]:
    """What becomes of the axle as it is, and after each single change."""
    made = [("as it is", axle, ()), *changes(build, axle)]
    each = [found | parts(changed, names) for _, changed, names in made]
    whole = np.array([[row[name][1:] for row in each] for name in found])
    shown = _shown(_judged(build, list(found), Part(math.nan, *(whole[..., kind] for kind in range(3)))))
    return (
        column("one_change", [label for label, _, _ in made]),
        *(column(name, shown[name]) for name in shown),
    )


QUESTION = Question(
    name="axle-check",
    asks="Ring gear, inner shaft, stub shaft, joint, housing tube: which gives way first, and up to which "
    "tyre does the axle hold?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass"),
    uses=(
        *AXLE_FIELDS,
        "ring_gear_diameter",
        "differential",
        "bias_ratio",
        "inner_splines",
        "inner_pitch",
        "inner_diameter",
        "inner_steel",
        "inner_length",
        "stub_splines",
        "stub_pitch",
        "stub_diameter",
        "stub_steel",
        "joint",
        "joint_rating",
        "steer_angle",
        "tube_diameter",
        "tube_wall",
        "tube_yield",
        "truss_diameter",
        "truss_wall",
        "truss_height",
        "mounting_width",
        "wheel_offset",
        "spring_seat_spacing",
        "impact_factor",
    ),
    results=("weakest_part", "weakest_margin", "tyre_limit"),
    main="weakest_margin",
    answer=answer,
    example=truck(
        "tyre",
        "axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "peak_torque",
        "vehicle_mass",
        "front_axle_share",
        "ring_gear_diameter",
        "differential",
        "inner_splines",
        "inner_pitch",
        "inner_steel",
        "inner_length",
        "stub_splines",
        "stub_pitch",
        "stub_steel",
        "joint_rating",
        "steer_angle",
        "tube_diameter",
        "tube_wall",
        "spring_seat_spacing",
        "mounting_width",
        "wheel_offset",
    ),
    table=("part", "diameter", "load", "capacity", "margin", "basis"),
    what_if=("one_change", "weakest_part", "weakest_margin", "tyre_limit"),
)
