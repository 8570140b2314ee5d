"""The parts of an axle: what each sees at the limit of the engine and of the tyre, and what it bears."""

from collections.abc import Collection, Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gearing_api import tables
from gearing_api.build import Build
from gearing_api.mechanics import axle_torques, gear_ratings, joints, shafts, splines
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import axle_torque, loaded_flank
from gearing_api.vehicle.axle_housing import TUBE_FIELDS, Housing, housing_of, least_limit
from gearing_api.vehicle.axle_wheel_end import (
    END_FIELDS,
    ShaftEnd,
    carries_wheel,
    end_torques,
    shaft_end,
)
from gearing_api.vocabulary import naming

Number = Array | float

RING, INNER, STUB, JOINT, TUBE = "ring gear", "inner shaft", "stub shaft", "joint", "housing tube"
END = "shaft end"
LOCKED = ("locked", "spool")
"""The differentials that let one shaft carry all of the axle's torque."""

PARTS = {"front": (RING, INNER, STUB, JOINT, TUBE), "rear": (RING, INNER, TUBE)}
"""What there is to break, by the position of the axle; a shaft end where it carries the wheel."""

_MEGAPASCAL = 1e6
YIELDS: dict[str, float] = {
    str(name): float(str(stress)) * _MEGAPASCAL
    for name, stress in tables.table("steels").keyed("name", "yield").items()
}
"""Yield in tension of the steels. [Pa]"""


class Shaft(NamedTuple):
    """The diameter its stress is taken at, the yield of its steel, its length if known. [m, Pa, m]"""

    diameter: Array
    strength: Number
    length: Array | None = None


class Axle(NamedTuple):
    """All numbers of an axle that decide what gives way; None where a part is not there or not known.

    Torques are at the ring gear. `shaft_share` of it may go through one shaft at the worst, `usual_share` goes
    through it as tyres and differential usually share, and `swing` is what an angled joint makes of an even
    torque, at most. `ring_size_coefficient` is the case that the ring gear is judged by.
    """

    engine_torque: Number
    grip_torque: Array
    shaft_share: Array
    usual_share: Array
    swing: Number
    flank: Number
    ring_gear_diameter: Number | None
    inner: Shaft | None
    stub: Shaft | None
    joint_rating: Array | None
    housing: Housing | None
    end: ShaftEnd | None = None
    ring_size_coefficient: float = gear_ratings.RING_SIZE_COEFFICIENT


class Part(NamedTuple):
    """The diameter its stress is taken at, what it bears, what engine and tyre can put on it. [m, N m]"""

    diameter: Number
    capacity: Array
    engine_load: Number
    grip_load: Number

    @property
    def load(self) -> Array:
        """The smaller of the two: what it sees. [N m]"""
        return np.minimum(self.engine_load, self.grip_load)

    @property
    def margin(self) -> Array:
        """Capacity / load. [-]"""
        return self.capacity / self.load


def axle_of(build: Build) -> Axle:
    """The axle of a build; an engine that is not known is taken as boundless.

    Open, each of its shafts sees half of the torque. With a locked differential or a spool one wheel may
    stand on all of the axle's load, the other in the air, and its shaft then carries all of it; with a
    limited-slip one it carries what the bias ratio allows.
    """
    return build.once("axle", _axle_of)


def _axle_of(build: Build) -> Axle:
    torque = axle_torque(build)
    front = build.word("axle_position") == "front"
    cross = front and build.word("joint") == "cross"
    return Axle(
        engine_torque=np.inf if torque.engine is None else torque.engine,
        grip_torque=torque.grip,
        shaft_share=_shaft_share(build),
        usual_share=_usual_share(build),
        swing=joints.highest_cardan_ratio(build.number("steer_angle")) if cross else 1.0,
        flank=loaded_flank(build),
        ring_gear_diameter=build.known("ring_gear_diameter"),
        inner=_shaft(build, "inner"),
        stub=_shaft(build, "stub") if front else None,
        joint_rating=build.known("joint_rating") if front else None,
        housing=housing_of(build, torque.axle_load),
        end=shaft_end(build, torque.axle_load, _yield(build, "inner"), differential_of(build) in LOCKED),
    )


def part_names(build: Build) -> tuple[str, ...]:
    """What there is to break of the axle judged."""
    return PARTS[build.word("axle_position")] + (END,) * carries_wheel(build)


def as_usual(axle: Axle) -> Axle:
    """Return the axle as it is usually loaded, its ring gear judged by the limit that the trade quotes."""
    return axle._replace(
        shaft_share=axle.usual_share,
        end=on_both_wheels(axle.end),
        ring_size_coefficient=gear_ratings.USUAL_SIZE_COEFFICIENT,
    )


def on_both_wheels(end: ShaftEnd | None) -> ShaftEnd | None:
    """Return the end of a shaft whose wheel carries its half of the axle's load."""
    return None if end is None else end._replace(wheel_load=end.usual_wheel_load)


def differential_of(build: Build) -> str:
    """Return the differential of the axle judged."""
    own = f"{build.word('axle_position')}_differential"
    return build.word(own if build.given(own) else "differential")


def _usual_share(build: Build) -> Array:
    """Share of the axle's torque that usually goes through one shaft: locked, each tyre by its load. [-]"""
    if differential_of(build) == "limited-slip":
        return _shaft_share(build)
    return axle_torques.shaft_torque(1.0, False)


def _shaft_share(build: Build) -> Array:
    """Largest share of the axle's torque that goes through one shaft. [-]"""
    kind = differential_of(build)
    if kind == "limited-slip":
        return axle_torques.slower_shaft_share(build.number("bias_ratio"))
    return axle_torques.shaft_torque(1.0, kind in LOCKED)


def _shaft(build: Build, name: str) -> Shaft | None:
    """The root of the splines or the measured diameter, the smaller where both are given."""
    measured = build.known(f"{name}_diameter")
    if not (build.given(f"{name}_splines") and build.given(f"{name}_pitch")):
        diameter = measured
    else:
        root = splines.external_minor_diameter(build.number(f"{name}_splines"), build.number(f"{name}_pitch"))
        diameter = root if measured is None else np.minimum(root, measured)
    if diameter is None:
        return None
    length = build.known("inner_length") if name == "inner" else None
    return Shaft(diameter, _yield(build, name), length)


def _yield(build: Build, name: str) -> Number:
    """Yield of the steel of a shaft. [Pa]"""
    steel = build.word(f"{name}_steel")
    strength: Number = build.vary(f"{name}_steel", YIELDS[steel], steel, YIELDS[steel])
    return strength


def part(axle: Axle, name: str) -> Part | None:
    """A part of the axle, None where it is not known.

    All turn inside a hub reduction, so they see the torque at the ring gear. Across an angled cross joint
    an even torque swings by 1 / cos either way: that of the engine in the stub, that of the tyre in the
    inner shaft; the joint sees the peak of both.
    """
    if name == RING:
        return _ring(axle)
    if name == TUBE:
        return None if axle.housing is None else _tube(axle.housing)
    engine, grip = axle.engine_torque * axle.shaft_share, axle.grip_torque * axle.shaft_share
    if name == INNER:
        return _twisted(axle.inner, engine, grip * axle.swing)
    if name == END:
        return _carrying(axle.end, engine, grip)
    if name == STUB:
        return _twisted(axle.stub, engine * axle.swing, grip)
    if axle.joint_rating is None:
        return None
    return Part(np.nan, axle.joint_rating, engine * axle.swing, grip * axle.swing)


def parts(axle: Axle, names: Iterable[str]) -> dict[str, Part]:
    """Those of the parts of which enough is known."""
    each = {name: part(axle, name) for name in names}
    return {name: known for name, known in each.items() if known is not None}


def usual_parts(axle: Axle, worst: dict[str, Part]) -> dict[str, Part]:
    """The same parts as they are usually loaded; the housing tube is always loaded alike."""
    turning = parts(as_usual(axle), [name for name in worst if name != TUBE])
    return {name: turning.get(name, part) for name, part in worst.items()}


def known_parts(build: Build) -> dict[str, Part]:
    """The parts of the axle judged of which enough is known, at their worst."""
    return build.once("parts", lambda build: parts(axle_of(build), part_names(build)))


def side_by_side(found: Collection[Part]) -> Part:
    """Parts as one, on a first axis; their diameters are left behind."""
    rows = [each[1:] for each in found]
    shape = np.broadcast(*(number for row in rows for number in row)).shape
    whole = np.empty((3, len(rows), *shape))
    for place, row in enumerate(rows):
        for kind, number in enumerate(row):
            whole[kind, place] = number
    return Part(np.nan, *whole)


def tyre_limit(whole: Part, tyre_diameter: ArrayLike) -> Array:
    """Largest tyre at which all parts side by side hold: infinite for any tyre, zero for none. [m]"""
    each = axle_torques.tyre_limit(tyre_diameter, whole.engine_load, whole.grip_load, whole.capacity)
    return np.asarray(each.min(axis=0))


def _ring(axle: Axle) -> Part | None:
    diameter = axle.ring_gear_diameter
    if diameter is None:
        return None
    capacity = gear_ratings.ring_gear_capacity(diameter, axle.flank, axle.ring_size_coefficient)
    return Part(diameter, capacity, axle.engine_torque, axle.grip_torque)


def _twisted(shaft: Shaft | None, engine_load: Array, grip_load: Array) -> Part | None:
    """A shaft gives way where its surface begins to yield, after von Mises.

    This, not the fully plastic torque: from here on every pull leaves a twist behind, and a hardened case
    has too little stretch for the whole section to yield with it. The plastic torque is 4/3 of it in any
    steel, so which of the two is taken changes no ranking of shafts.
    """
    if shaft is None:
        return None
    capacity = shafts.yield_torque(shafts.shear_yield(shaft.strength), shaft.diameter)
    return Part(shaft.diameter, capacity, engine_load, grip_load)


def _carrying(end: ShaftEnd | None, engine: Number, grip: Number) -> Part | None:
    """The end of a shaft that carries its wheel: bending and torsion together, at first yield."""
    if end is None:
        return None
    capacity = shafts.yield_torque(shafts.shear_yield(end.strength), end.diameter)
    return Part(end.diameter, capacity, *end_torques(end, engine, grip))


def _tube(housing: Housing) -> Part:
    """The housing in bending; no smaller tyre relieves it."""
    diameter, capacity = least_limit(housing)
    return Part(diameter, capacity, housing.moment, np.inf)


def place(name: str) -> str:
    """How the fields of a shaft begin."""
    return name.partition(" ")[0]


def wanting(build: Build, name: str) -> str:
    """The fields that would make a part known."""
    if name == RING:
        return naming(["ring_gear_diameter"])
    if name == JOINT:
        return naming(["joint_rating"])
    if name == TUBE:
        return naming(field for field in TUBE_FIELDS if not build.given(field))
    if name == END:
        return naming(field for field in END_FIELDS if not build.given(field))
    shaft = place(name)
    fields = [f"{shaft}_{figure}" for figure in ("splines", "pitch")]
    lacking = naming(field for field in fields if not build.given(field))
    return f"{lacking}, or {naming([f'{shaft}_diameter'])}"
