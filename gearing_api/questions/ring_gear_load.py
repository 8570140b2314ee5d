"""What torque reaches the ring gear, what limits it, what forces and stresses follow?"""

import numpy as np

from gearing_api import units
from gearing_api.answer import Absent, Answer, Caution, Question, Source, Value, check, needs, note
from gearing_api.build import Build
from gearing_api.mechanics import bevel_gears, gear_ratings
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.axle import (
    AXLE_FIELDS,
    CAPACITY,
    COAST,
    FLANK,
    SAFETY,
    TORQUE,
    USUAL_CAPACITY,
    AxleTorque,
    axle_torque,
    loaded_flank,
)
from gearing_api.vehicle.axle_relation import FAR_BELOW, RELATION, weaker
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import ADHESION_BAND, SURFACES
from gearing_api.vehicle.loads import HEIGHT, MOMENTS
from gearing_api.vehicle.ring_gear import LOAD_INDEX_FIELDS, own_load_index, ring_gears_known
from gearing_api.vehicle.tyre import ROLLING, size_cautions

_FACE_SHARE = 0.155

_FORCES = Source(
    "axial and radial force from the tangential force, pressure angle, spiral angle and loaded flank",
    "published",
    "A bearing maker's engineering manual, gear-force pages; mean diameter: second hand, ISO 23509",
)
_STRESSES = Source(
    "bending and contact stress by the textbook axle method; usual limits at peak torque 700 MPa (102 ksi) "
    "bending, 2800 MPa (406 ksi) contact",
    "from memory",
    "Liu Weixin, axle design; Wang Wangyu, automobile design: from memory (high). Size factor from the "
    "module, elastic coefficient 232.6 sqrt(N)/mm, finish and quality factors 1",
)
_CURVATURE = Source(
    "contact geometry factor from the curvature of the teeth at the pitch point, where none is given",
    "published",
    "Hertz line contact of equivalent cylindrical gears; charts differ by some ten per cent of stress",
)

_BEVEL = note(
    "bevel-geometry",
    "Forces and stresses are those of a spiral-bevel set; a hypoid pinion is larger. Reverse gear loads the "
    "other flank.",
)
_DRIVE = note(
    "drive-flank",
    "Driving forward, the pinion works on its drive flank and is pushed away from the ring gear.",
)
_COAST = note(
    "coast-flank",
    "Driving forward, a set on this side of the axle works on the weaker side of its teeth. The trade "
    "reckons 30 % less; nothing published confirms it.",
)


def answer(build: Build) -> Answer:
    """Torque, tooth forces, stresses, and the margin of the ring gear by its size."""
    torque, flank = axle_torque(build), loaded_flank(build)
    ring = build.known("ring_gear_diameter")
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    result |= {
        "engine_limited_torque": torque.engine,
        "grip_limited_torque": torque.grip,
        "ring_gear_torque": torque.governing,
        "loaded_flank": "drive" if flank > 0.0 else "coast",
        "ring_gear_load_index": own_load_index(build, torque),
    }
    if torque.engine is not None and torque.governing is not None:
        result["ring_gear_limited_by"] = np.where(torque.engine < torque.grip, "engine", "grip")
        result["pinion_torque"] = torque.governing / build.number("axle_ratio")
    if ring is not None:
        result |= _of_size(build, ring, flank, torque.governing)
    return Answer(
        result,
        sources=(
            *(
                ROLLING,
                SURFACES,
                ADHESION_BAND,
                MOMENTS,
                HEIGHT,
                TORQUE,
                FLANK,
                _FORCES,
                _STRESSES,
                _CURVATURE,
            ),
            *(CAPACITY, USUAL_CAPACITY, COAST, RELATION),
        ),
        cautions=(
            SAFETY,
            *_of_strength(build, result),
            _DRIVE if flank > 0.0 else _COAST,
            _BEVEL,
            *torque.cautions,
            *size_cautions(build.tyre().size),
        ),
        summary=lambda: _summary(build, result),
        absent=_absent(build, torque),
    )


def _summary(build: Build, result: dict[str, Value]) -> str:
    torque, margin, index = (result[name] for name in ("ring_gear_torque", "ring_gear_margin", _INDEX))
    if torque is None:
        grip = build.say(result["grip_limited_torque"], units.TORQUE, 2)
        return (
            f"The tyres slip at about {grip} at the ring gear; give the engine's peak torque (peak_torque) "
            "for its part."
        )
    sees = f"The ring gear sees about {build.say(torque, units.TORQUE, 2)}"
    if index is not None and build.given("original_tyre"):
        times = build.say(index, units.NUMBER, 2)
        return f"{sees}. For its size that is about {times} times what the original saw on its own tyres."
    if margin is None:
        return f"{sees}; give the ring gear's diameter (ring_gear_diameter) to compare it with its size."
    endures, usual = (
        build.say(value, units.NUMBER, 2) for value in (margin, result["ring_gear_usual_margin"])
    )
    return f"{sees}. Its size endures about {endures} times that; the limit that the trade quotes is {usual} times."


def _of_strength(build: Build, result: dict[str, Value]) -> tuple[Caution, ...]:
    """Against the original where that is known, else by the usual margin, and never `stop` then."""
    index, usual, margin = (result[name] for name in (_INDEX, "ring_gear_usual_margin", "ring_gear_margin"))
    if index is not None and build.given("original_tyre"):
        used = np.asarray(index)
        far = beyond(used, 1.0 / FAR_BELOW)
        return weaker(far, beyond(used, 1.0) & ~far, _FAR_WEAKER, _WEAKER)
    if usual is None or margin is None:
        return ()
    below = np.asarray(usual) < 1.0
    return (
        check("margin-below-1", _BELOW_USUALLY, below),
        note("margin-below-1", _BELOW_AT_WORST, (np.asarray(margin) < 1.0) & ~below),
    )


_FAR_WEAKER = (
    "For its size the ring gear sees more than 1.25 times what the original saw on its own tyres: fit a larger one, or "
    "stay on smaller tyres."
)
_WEAKER = "For its size the ring gear sees more than the original saw on its own tyres: use less throttle in low range."
_BELOW_USUALLY = (
    "The torque is above the limit that the trade quotes for a ring gear of this size: fit a larger one, or use less "
    "throttle in low range."
)
_BELOW_AT_WORST = (
    "The torque is above what a ring gear of this size endures for long, and below the limit that the trade "
    "quotes for it."
)


def _of_size(build: Build, ring: Array, flank: Array, torque: Array | None) -> dict[str, Value]:
    """What follows from the size of the ring gear."""
    ratio, face = build.number("axle_ratio"), _face_width(build, ring)
    cone = bevel_gears.pinion_pitch_angle(ratio)
    ring_cone = bevel_gears.RIGHT_ANGLE - cone
    build.require(
        2.0 * (face * np.sin(ring_cone)) <= ring,
        "face_width",
        "must be at most the ring gear's cone distance",
    )
    mean = bevel_gears.mean_diameter(ring, face, ring_cone)
    capacity = gear_ratings.ring_gear_capacity(ring, flank)
    found: dict[str, Value] = {"ring_mean_diameter": mean, "ring_gear_capacity": capacity}
    if torque is None:
        return found
    force = bevel_gears.tangential_force(torque, mean)
    spiral, pressure = build.number("spiral_angle"), build.number("pressure_angle")
    forces = bevel_gears.tooth_forces(force, cone, pressure, spiral, flank)
    return found | {
        "tangential_force": force,
        "pinion_axial_force": forces.axial,
        "pinion_radial_force": forces.radial,
        "unit_load": gear_ratings.unit_load(torque, ring, face),
        "bending_stress": _bending_stress(build, torque, ring, face),
        "contact_stress": gear_ratings.contact_stress(
            torque / ratio,
            ring / ratio,
            face,
            _contact_geometry(build, mean / ring, cone, pressure, spiral),
            overload_factor=build.number("overload_factor"),
            load_distribution_factor=build.number("load_distribution_factor"),
        ),
        "ring_gear_margin": capacity / torque,
        "ring_gear_usual_margin": gear_ratings.ring_gear_capacity(
            ring, flank, gear_ratings.USUAL_SIZE_COEFFICIENT
        )
        / torque,
    }


def _face_width(build: Build, ring: Array) -> Array:
    given = build.known("face_width")
    if given is not None:
        return given
    build.assume("face_width", face := np.asarray(_FACE_SHARE * ring))
    return face


def _bending_stress(build: Build, torque: Array, ring: Array, face: Array) -> Array | None:
    if not _teeth_given(build):
        return None
    teeth = build.number("ring_teeth")
    module = ring / teeth
    build.require(
        module >= gear_ratings.SMALLEST_MODULE,
        "ring_teeth",
        "are too many for ring_gear_diameter: the bending formula holds from a module of 1.6 mm (a diametral "
        "pitch of 15.9 and coarser)",
    )
    return gear_ratings.bending_stress(
        torque,
        teeth,
        module,
        face,
        gear_ratings.size_factor(module),
        build.number("bending_geometry_factor"),
        build.number("overload_factor"),
        build.number("load_distribution_factor"),
    )


def _contact_geometry(
    build: Build, mean_to_outer: Array, cone: Array, pressure: Array, spiral: Array
) -> Array:
    given = build.known("contact_geometry_factor")
    if given is not None:
        return given
    build.assume(
        "contact_geometry_factor",
        factor := gear_ratings.contact_geometry_factor(mean_to_outer, cone, pressure, spiral),
    )
    return factor


_INDEX = "ring_gear_load_index"
_OF_ENGINE = (
    "engine_limited_torque",
    "ring_gear_torque",
    "ring_gear_limited_by",
    "pinion_torque",
    "ring_gear_load_index",
)
_OF_SIZE = ("ring_mean_diameter", "ring_gear_capacity")
_OF_BOTH = (
    "tangential_force",
    "pinion_axial_force",
    "pinion_radial_force",
    "unit_load",
    "bending_stress",
    "contact_stress",
    "ring_gear_margin",
    "ring_gear_usual_margin",
)


def _absent(build: Build, torque: AxleTorque) -> dict[str, Absent]:
    """Why results are null: by the fields that would make them known."""
    engine = () if torque.engine is not None else ("peak_torque",)
    ring = () if build.given("ring_gear_diameter") else ("ring_gear_diameter",)
    teeth = tuple(name for name in ("ring_teeth", "pinion_teeth") if not build.given(name))
    return {
        **dict.fromkeys(_OF_ENGINE, needs(*engine)),
        **dict.fromkeys(_OF_SIZE, needs(*ring)),
        **dict.fromkeys(_OF_BOTH, needs(*engine, *ring)),
        "bending_stress": needs(*engine, *ring, *teeth),
        _INDEX: needs(*engine, *(() if ring_gears_known(build) else ring)),
    }


def _teeth_given(build: Build) -> bool:
    return build.given("ring_teeth") and build.given("pinion_teeth")


QUESTION = Question(
    name="ring-gear-load",
    asks="What torque reaches the ring gear, what limits it, what forces and stresses follow, compared with "
    "the original?",
    needs=("tyre", "axle_ratio", "gear_ratios", "vehicle_mass"),
    uses=(
        *AXLE_FIELDS,
        *LOAD_INDEX_FIELDS,
        "face_width",
        "spiral_angle",
        "pressure_angle",
        "overload_factor",
        "load_distribution_factor",
        "bending_geometry_factor",
        "contact_geometry_factor",
    ),
    results=(
        "engine_limited_torque",
        "grip_limited_torque",
        "ring_gear_torque",
        "ring_gear_limited_by",
        "pinion_torque",
        "ring_mean_diameter",
        "tangential_force",
        "pinion_axial_force",
        "pinion_radial_force",
        "loaded_flank",
        "unit_load",
        "bending_stress",
        "contact_stress",
        "ring_gear_capacity",
        "ring_gear_margin",
        "ring_gear_usual_margin",
        "ring_gear_load_index",
    ),
    main="ring_gear_torque",
    row="strength",
    answer=answer,
    example=truck(
        "tyre",
        "original_tyre",
        "original_axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "peak_torque",
        "vehicle_mass",
        "front_axle_share",
        "ring_gear_diameter",
        "original_ring_gear_diameter",
        ring_teeth=41,
        pinion_teeth=9,
    ),
)
