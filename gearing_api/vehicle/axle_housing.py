"""The housing of an axle in bending: the bare tube, or the least of the limits of a truss on it."""

from functools import reduce
from typing import NamedTuple

import numpy as np

from gearing_api.answer import Caution, note
from gearing_api.build import Build
from gearing_api.mechanics import housings
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.loads import track_of
from gearing_api.vocabulary import naming

Number = Array | float

TUBE_FIELDS = ("tube_diameter", "tube_wall", "spring_seat_spacing", "mounting_width", "wheel_offset")
TRUSS_FIELDS = ("truss_diameter", "truss_wall", "truss_height", "truss_end")
"""Without one of these a truss adds nothing."""

MORE_TRUSS_FIELDS = ("truss_panel", "truss_web_wall", "truss_weld_leg", "truss_weld_share")

GROUND = {"road": 2.5, "rough ground": 3.0, "a jump": 4.0}
"""Dynamic / static load of a housing in three named cases. [-]"""

WELDING = note(
    "truss-welding",
    "Welding warps the tubes and softens cold-drawn ones: clamp the housing, weld short runs from side to side, "
    "and have it measured and straightened. A truss stiffens neither torsion nor the knuckle ends.",
)


_AT_THE_WHEEL = 0.001
"""A truss that ends nearer to the wheel plane ends there. [m]"""


class Truss(NamedTuple):
    """A chord above the tube, joined to it by a web; None where a limit cannot be judged. [m]"""

    diameter: Number
    wall: Number
    height: Number
    end: Number
    panel: Number | None = None
    web_wall: Number | None = None
    weld_leg: Number | None = None
    weld_share: Number = 1.0


class Housing(NamedTuple):
    """Bending moment over bad ground, its lever arm, yield, and section. [N m, m, Pa, m]"""

    moment: Array
    lever: Array
    strength: Array
    tube_diameter: Array
    tube_wall: Array
    truss: Truss | None = None


def housing_of(build: Build, axle_load: Array) -> Housing | None:
    """Return the housing of a build, None where a field of its tube is missing."""
    track = track_of(build)
    if track is None or not all(map(build.given, TUBE_FIELDS[:3])):
        return None
    diameter, wall, seats = map(build.number, TUBE_FIELDS[:3])
    build.require(2.0 * wall <= diameter, "tube_wall", "must be at most half of tube_diameter")
    build.require(seats < track, "spring_seat_spacing", "must be less than the track")
    moment = housings.bending_moment(axle_load, track, seats) * build.number("impact_factor")
    lever = (track - seats) / 2.0
    return Housing(moment, lever, build.number("tube_yield"), diameter, wall, _truss(build, diameter))


def _truss(build: Build, tube_diameter: Array) -> Truss | None:
    _require_truss(build, tube_diameter)
    if not all(map(build.given, TRUSS_FIELDS)):
        return None
    diameter, wall, height, end = map(build.number, TRUSS_FIELDS)
    panel, web, leg = map(build.known, MORE_TRUSS_FIELDS[:3])
    share = 1.0 if leg is None else build.number("truss_weld_share")
    return Truss(diameter, wall, height, end, panel, web, leg, share)


def _require_truss(build: Build, tube_diameter: Array) -> None:
    """Refuse what cannot be of the fields that are given, also where they do not make a whole truss."""
    diameter, wall, height = (build.number(name) if build.given(name) else None for name in TRUSS_FIELDS[:3])
    if diameter is not None and wall is not None:
        build.require(2.0 * wall <= diameter, "truss_wall", "must be at most half of truss_diameter")
    if diameter is not None and height is not None:
        clear = ~beyond(diameter + tube_diameter, 2.0 * height)
        build.require(clear, "truss_height", "must keep the truss tube clear of the housing tube")


def bending_limits(housing: Housing) -> dict[str, Array]:
    """Return the moment at the spring seats at which each limit of the housing is reached. [N m]

    A truss carries nothing beyond its ends, so the bare tube there is always a limit. Without a web, tube and
    chord bend side by side. Welds and web carry the shear between wheel and spring seat.
    """
    tube, wall, truss = housing.tube_diameter, housing.tube_wall, housing.truss
    bare = housings.tube_modulus(tube, wall) * housing.strength
    if truss is None:
        return {"the tube": bare}
    bent = np.maximum(np.minimum(truss.end, housing.lever), _AT_THE_WHEEL)
    limits = {"the tube at the end of the truss": bare * housing.lever / bent}
    if truss.web_wall is None:
        modulus = housings.side_by_side_modulus(tube, wall, truss.diameter, truss.wall)
        return limits | {"tube and truss without a web": modulus * housing.strength}
    section = housings.trussed_section(tube, wall, truss.diameter, truss.wall, truss.height)
    limits |= {
        "the tube under the truss": section.bottom_modulus * housing.strength,
        "the truss": section.top_modulus * _chord_strength(housing, truss),
    }
    per_flow = housing.lever / housings.shear_flow(1.0, section.first_moment, section.second_moment)
    free = np.maximum(truss.height - (tube + truss.diameter) / 2.0, 0.0)
    limits["the web"] = housings.web_shear_flow(truss.web_wall, free, housing.strength) * per_flow
    if truss.weld_leg is not None:
        limits["the welds"] = housings.weld_shear_flow(truss.weld_leg, truss.weld_share) * per_flow
    return limits


def _chord_strength(housing: Housing, truss: Truss) -> Array:
    """Stress at which the chord yields, or buckles between two webs. [Pa]"""
    if truss.panel is None:
        return housing.strength
    return housings.buckling_stress(truss.panel, truss.diameter, truss.wall, housing.strength)


def least_limit(housing: Housing) -> tuple[Number, Array]:
    """Return the diameter of the part that gives way, and the moment at which it does. [m, N m]"""
    limits = bending_limits(housing)
    least = reduce(np.minimum, limits.values())
    chord = limits.get("the truss")
    if chord is None or housing.truss is None:
        return housing.tube_diameter, least
    return np.where(chord <= least, housing.truss.diameter, housing.tube_diameter), least


def first_to_yield(housing: Housing) -> str:
    """Name what gives way first, for one build."""
    limits = bending_limits(housing)
    return min(limits, key=lambda name: float(limits[name]))


def truss_cautions(build: Build, housing: Housing | None) -> list[Caution]:
    """Return what must be said of a truss: left out, partly judged, and its welding."""
    if not any(map(build.given, TRUSS_FIELDS[:3])):
        return []
    lacking = [name for name in TRUSS_FIELDS if not build.given(name)]
    if lacking:
        return [note("truss-left-out", f"The truss adds nothing here without {naming(lacking)}.")]
    if housing is None:
        return []
    unjudged = [name for name in MORE_TRUSS_FIELDS[:3] if not build.given(name)]
    text = f"Limits of the truss not judged for want of {naming(unjudged)}."
    if "truss_web_wall" in unjudged:
        text += " Without a web, tube and truss bend side by side."
    return [*[note("truss-not-judged", text)] * bool(unjudged), WELDING]
