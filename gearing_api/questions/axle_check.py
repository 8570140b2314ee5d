"""Ring gear, shafts, joint, housing tube: which gives way first, and on which tyre does it reach its limit?"""

import math
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import (
    Absent,
    AfterChange,
    Answer,
    Caution,
    Column,
    Limit,
    Limits,
    Question,
    Source,
    Value,
    check,
    column,
    needs,
    note,
)
from gearing_api.build import Build
from gearing_api.mechanics import wheel_ends
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import (
    AXLE_FIELDS,
    CAPACITY,
    COAST,
    FLANK,
    SAFETY,
    TORQUE,
    USUAL_CAPACITY,
    AxleTorque,
    axle_load,
    axle_torque,
)
from gearing_api.vehicle.axle_basis import basis
from gearing_api.vehicle.axle_changes import TRIED, Change, changes
from gearing_api.vehicle.axle_housing import GROUND, MORE_TRUSS_FIELDS, TRUSS_FIELDS, truss_cautions
from gearing_api.vehicle.axle_housing_standard import (
    OF_HOUSING,
    STANDARD,
    housing_cautions,
    lacking_tube,
    of_housing,
)
from gearing_api.vehicle.axle_parts import (
    JOINT,
    LOCKED,
    TUBE,
    Axle,
    Part,
    axle_of,
    differential_of,
    known_parts,
    part_names,
    parts,
    side_by_side,
    tyre_limit,
    usual_parts,
    wanting,
)
from gearing_api.vehicle.axle_relation import RELATION, Relation, relation
from gearing_api.vehicle.axle_wheel_end import (
    BEARINGS,
    OF_STEERING,
    STEERING,
    WHEEL_END_FIELDS,
    WHEEL_ENDS,
    bearing_life_absent,
    bearing_load,
    steering,
    steering_absent,
    wheel_end_cautions,
)
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import ADHESION_BAND, SURFACES
from gearing_api.vehicle.loads import HEIGHT, MOMENTS
from gearing_api.vehicle.ring_gear import LOAD_INDEX_FIELDS
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
    "Statics; impact factor 2.5 from a 2025 paper on a micro-truck housing. Named cases, from lecture texts: "
    "road 2.5 to 3, off road 4",
)
_TRUSSES = Source(
    "a truss counts by the least of its limits: bare tube at its ends, both fibres, buckling chord, weld, web",
    "published",
    "Second hand: Popov, Engineering Mechanics of Solids, ch. 7 (shear flow); welds: a text on AWS D1.1, clause 2; "
    "fatigue factor 2.7: texts on machine elements; buckling of the web: from memory (high)",
)
_TUBE_YIELD = Source(
    "yield of a housing tube where none is given, 60 ksi (414 MPa)",
    "from memory",
    "1020 steel, drawn over a mandrel, 60 to 70 ksi: from memory (high)",
)
_OF_TORQUE = (ROLLING, SURFACES, ADHESION_BAND, MOMENTS, HEIGHT, TORQUE, FLANK)
_OF_PARTS = (
    CAPACITY,
    USUAL_CAPACITY,
    COAST,
    _SPLINES,
    _SHAFTS,
    _JOINTS,
    _TUBES,
    _TUBE_YIELD,
    _TRUSSES,
    RELATION,
    TRIED,
)

_LEFT_OUT = note(
    "left-out",
    "Left out: shock, fatigue, bent shafts, torsion and welds of the housing. First yield is a lasting "
    "twist, not yet a break.",
)
_LOCKED = note(
    "locked-worst-case",
    "Locked: at the worst one wheel carries all of the axle's load and torque; usually both share it.",
)
_CONSTANT_VELOCITY = note(
    "joint-angle",
    "A constant-velocity joint too bears less at an angle: its maker's figure for the angle decides.",
)
_STEEPEST_CROSS = units.number("37.5 deg", units.ANGLE, "us")


class Judged(NamedTuple):
    """What becomes of an axle; its limits are infinite where any tyre will do, zero where none will."""

    weakest_part: NDArray[np.str_]
    weakest_margin: Array
    weakest_usual_margin: Array
    tyre_limit: Array
    usual_tyre_limit: Array


def answer(build: Build) -> Answer:
    """The weakest part, its margin and how it compares with the original; every part in the table."""
    torque = axle_torque(build)
    axle = axle_of(build)
    worst = known_parts(build)
    usual = usual_parts(axle, worst)
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    judged, compared = None, None
    if torque.engine is not None and worst:
        judged, compared = _judged(build, worst, usual), relation(build, worst)
        result |= _shown(judged)
        result["strength_change_percent"] = None if compared is None else compared.share - 1.0
    result |= steering(build) | of_housing(build, axle.housing, torque) | {"bearing_life_ratio": _life(build)}
    return Answer(
        result,
        sources=(*_OF_TORQUE, *_OF_PARTS, WHEEL_ENDS, STEERING, BEARINGS, STANDARD),
        summary=lambda: _summary(build, result, compared),
        absent=_absent(build, torque, worst),
        ranges={} if judged is None else {"tyre_limit": (result["tyre_limit"], judged.usual_tyre_limit)},
        cautions=(
            SAFETY,
            *_of_strength(judged, compared),
            *_unjudged(build, worst),
            *truss_cautions(build, axle.housing),
            *_of_jump(build, worst),
            *wheel_end_cautions(build, result["bearing_life_ratio"]),
            *housing_cautions(result),
            *[_LOCKED] * (differential_of(build) in LOCKED),
            *_of_joint(build, worst),
            _LEFT_OUT,
            *torque.cautions,
            *size_cautions(build.tyre().size),
        ),
        table=partial(_table, build, axle, worst, usual),
        what_if=None if judged is None else partial(_what_if, build, axle, worst, usual),
        picture=None if judged is None else partial(_limits, build, axle, worst, usual),
    )


def _absent(build: Build, torque: AxleTorque, found: dict[str, Part]) -> dict[str, Absent]:
    engine = () if torque.engine is not None else ("peak_torque",)
    lacking = (*engine, *(() if found else ("ring_gear_diameter",)))
    before = () if build.given("original_tyre") else ("original_tyre",)
    of_original = (*lacking, *before) or ("original_peak_torque",)
    return (
        dict.fromkeys(QUESTION.results, needs(*lacking))
        | {"strength_change_percent": needs(*of_original), "bearing_life_ratio": bearing_life_absent(build)}
        | dict.fromkeys(OF_HOUSING, needs(*lacking_tube(build)))
        | steering_absent(build)
    )


def _life(build: Build) -> Array | None:
    """Life of the wheel bearings against before, None where either is not known. [-]"""
    if not build.given("original_tyre"):
        return None
    original = build.original()
    now, before = (bearing_load(each, axle_load(each, level=True)) for each in (build, original))
    build.take_original_account(original)
    return None if now is None or before is None else wheel_ends.bearing_life_ratio(now, before)


def _summary(build: Build, result: dict[str, Value], compared: Relation | None) -> str:
    part, margin, usual = (
        result[name] for name in ("weakest_part", "weakest_margin", "weakest_usual_margin")
    )
    if part is None or margin is None:
        return "Nothing can be compared yet: give the engine's torque and the axle's parts."
    if compared is not None:
        times = build.say(compared.share, units.NUMBER, 2)
        size = build.say(build.tyre("original_tyre").size.diameter, units.LENGTH, 2)
        return f"About {times} times the margin the original had on its {size} tyres; the {part} is next."
    worst, shared = (build.say(value, units.NUMBER, 2) for value in (margin, usual))
    return (
        f"The {part} of the {build.word('axle_position')} axle is next: about {worst} times its load at the worst, "
        f"{shared} as torque is usually shared. Give the original tyre (original_tyre) to compare."
    )


def _judged(build: Build, worst: dict[str, Part], usual: dict[str, Part]) -> Judged:
    return _side_by_side(build, list(worst), side_by_side(worst.values()), side_by_side(usual.values()))


def _side_by_side(build: Build, names: list[str], worst: Part, usual: Part) -> Judged:
    """What becomes of the parts of those names, side by side."""
    margin, diameter = worst.margin, build.tyre().size.diameter
    return Judged(
        np.asarray(np.array(names)[margin.argmin(axis=0)]),
        margin.min(axis=0),
        usual.margin.min(axis=0),
        tyre_limit(worst, diameter),
        tyre_limit(usual, diameter),
    )


def _shown(judged: Judged) -> dict[str, NDArray[Any]]:
    """The results by name."""
    named = judged._asdict()
    del named["usual_tyre_limit"]
    return named | {"tyre_limit": np.where(judged.tyre_limit > 0.0, judged.tyre_limit, -np.inf)}


def _of_strength(judged: Judged | None, compared: Relation | None) -> tuple[Caution, ...]:
    """Against the original where that is known, else by the usual margin, and never `stop` then."""
    if judged is None:
        return ()
    usually, at_worst = judged.weakest_usual_margin < 1.0, judged.weakest_margin < 1.0
    if compared is not None:
        return (
            *compared.cautions,
            note("margin-below-1", _BELOW_USUALLY, usually),
            note("margin-below-1", _BELOW_AT_WORST, at_worst & ~usually),
        )
    return (
        check("margin-below-1", _BELOW_USUALLY, usually),
        note("margin-below-1", _BELOW_AT_WORST, at_worst & ~usually),
    )


_BELOW_USUALLY = (
    "The weakest part is loaded beyond its limit even as torque is usually shared: compare with the original axle, "
    "strengthen that part, or use less throttle in low range."
)
_BELOW_AT_WORST = (
    "The weakest part is loaded beyond its limit at the worst, where the torque goes to one wheel or lasts: use little "
    "throttle with one wheel in the air."
)


def _of_jump(build: Build, found: dict[str, Part]) -> list[Caution]:
    """Note a housing that bears bad ground, yet not a jump."""
    if TUBE not in found:
        return []
    margin, factor = found[TUBE].margin, build.number("impact_factor")
    bends = (margin >= 1.0) & (margin * factor < GROUND["a jump"])
    return [
        note(
            "housing-jump",
            "The housing bends where the vehicle lands from a jump at four times its weight.",
            bends,
        )
    ]


def _unjudged(build: Build, found: dict[str, Part]) -> list[Caution]:
    """Which parts are not judged, and what would make them known."""
    unknown = [name for name in part_names(build) if name not in found]
    text = "; ".join(f"{name} without {wanting(build, name)}" for name in unknown)
    return [note("not-judged", f"Not judged: {text}.")] * bool(unknown)


def _of_joint(build: Build, found: dict[str, Part]) -> list[Caution]:
    if JOINT not in found:
        return []
    if build.word("joint") == "constant-velocity":
        return [_CONSTANT_VELOCITY]
    return [
        check(
            "joint-too-steep",
            "Cross joints often stop at 37.5 degrees by their geometry: ask the joint's maker.",
            build.number("steer_angle") > _STEEPEST_CROSS,
        )
    ]


def _table(build: Build, axle: Axle, worst: dict[str, Part], usual: dict[str, Part]) -> tuple[Column, ...]:
    names = part_names(build)
    each = [worst.get(name) for name in names]
    return (
        column("part", names),
        column("diameter", [math.nan if part is None else float(part.diameter) for part in each]),
        column("load", [_known_load(part) for part in each]),
        column("capacity", [math.nan if part is None else float(part.capacity) for part in each]),
        column("margin", [_known_margin(part) for part in each]),
        column("usual_margin", [_known_margin(usual.get(name)) for name in names]),
        column("basis", [basis(build, axle, name, part) for name, part in zip(names, each, strict=True)]),
    )


def _known_load(part: Part | None) -> float:
    """NaN where the part is not known, or the engine that loads it."""
    return math.nan if part is None or math.isinf(part.engine_load) else float(part.load)


def _known_margin(part: Part | None) -> float:
    return math.nan if part is None else float(part.capacity) / _known_load(part)


def _what_if(build: Build, axle: Axle, worst: dict[str, Part], usual: dict[str, Part]) -> tuple[Column, ...]:
    """What becomes of the axle as it is, and after each single change."""
    made, judged = _after_changes(build, axle, worst, usual)
    shown = _shown(judged)
    return (
        column("one_change", [change.name for change in made]),
        *(column(name, shown[name]) for name in shown),
    )


def _after_changes(
    build: Build, axle: Axle, worst: dict[str, Part], usual: dict[str, Part]
) -> tuple[list[Change], Judged]:
    """Every change, first none, and what becomes of the axle with each."""
    made = [Change("as it is", axle, ()), *changes(build, axle)]
    changed = [parts(change.axle, change.parts) for change in made]
    at_worst = _stacked([worst | each for each in changed])
    usually = _stacked(
        [usual | usual_parts(change.axle, each) for change, each in zip(made, changed, strict=True)]
    )
    return made, _side_by_side(build, list(worst), at_worst, usually)


def margins_over(build: Build) -> dict[str, Array]:
    """The margins at the worst of the parts known, of a build or of a column of builds."""
    return {name: part.margin for name, part in known_parts(build).items()}


def _limits(build: Build, axle: Axle, worst: dict[str, Part], usual: dict[str, Part]) -> Limits:
    """The parts, the weakest first, and those changes that the weakest margin gains by, the best first."""
    made, judged = _after_changes(build, axle, worst, usual)
    each = [
        Limit(str(name), float(margin), float(usually))
        for name, margin, usually in zip(
            judged.weakest_part.tolist(),
            judged.weakest_margin.tolist(),
            judged.weakest_usual_margin.tolist(),
            strict=True,
        )
    ]
    after = [
        AfterChange(change.name, weakest, change.fields) for change, weakest in zip(made, each, strict=True)
    ]
    known = [Limit(name, float(part.margin), float(usual[name].margin)) for name, part in worst.items()]
    return Limits(
        f"Strength of the {build.word('axle_position')} axle against load, estimated",
        tuple(sorted(known, key=lambda part: part.margin)),
        tuple(name for name in part_names(build) if name not in worst),
        tuple(
            sorted(
                (change for change in after[1:] if change.weakest.margin > after[0].weakest.margin),
                key=lambda change: -change.weakest.margin,
            )
        ),
    )


def _stacked(rows: list[dict[str, Part]]) -> Part:
    """Several axles as one part, the parts on the first axis and the axles on the last."""
    whole = np.array([[row[name][1:] for row in rows] for name in rows[0]])
    return Part(math.nan, *(whole[..., kind] for kind in range(3)))


QUESTION = Question(
    name="axle-check",
    asks="Ring gear, inner shaft, stub shaft, joint, housing tube: which gives way first, and on which "
    "tyre does it reach its limit?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass"),
    uses=(
        *AXLE_FIELDS,
        *LOAD_INDEX_FIELDS,
        "differential",
        "front_differential",
        "rear_differential",
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
        *TRUSS_FIELDS,
        *MORE_TRUSS_FIELDS,
        *WHEEL_END_FIELDS,
        "hub_reverses",
        "track",
        "hub_box_width",
        "mounting_width",
        "original_mounting_width",
        "wheel_offset",
        "original_wheel_offset",
        "spring_seat_spacing",
        "impact_factor",
    ),
    results=(
        "weakest_part",
        "weakest_margin",
        "weakest_usual_margin",
        "strength_change_percent",
        "tyre_limit",
        "bearing_life_ratio",
        *OF_STEERING,
        "tube_torque",
        *OF_HOUSING,
    ),
    main="weakest_margin",
    row="strength",
    leads=True,
    spoken="strength_change_percent",
    answer=answer,
    example=truck(
        "tyre",
        "original_tyre",
        "axle_ratio",
        "original_axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "peak_torque",
        "vehicle_mass",
        "front_axle_share",
        "ring_gear_diameter",
        "original_ring_gear_diameter",
        "differential",
        "inner_splines",
        "inner_pitch",
        "inner_steel",
        "inner_length",
        "original_inner_splines",
        "original_inner_pitch",
        "original_inner_steel",
        "stub_splines",
        "stub_pitch",
        "stub_steel",
        "original_stub_splines",
        "original_stub_pitch",
        "original_stub_steel",
        "joint_rating",
        "original_joint_rating",
        "original_differential",
        "steer_angle",
        "tube_diameter",
        "original_tube_diameter",
        "tube_wall",
        "spring_seat_spacing",
        "mounting_width",
        "original_mounting_width",
        "wheel_offset",
        "original_wheel_offset",
    ),
    table=("part", "diameter", "load", "capacity", "margin", "usual_margin", "basis"),
    what_if=("one_change", "weakest_part", "weakest_margin", "weakest_usual_margin", "tyre_limit"),
    draws=True,
)
