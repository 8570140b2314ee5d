"""In words: what the capacity of each part of an axle rests on. For one build."""

import math

from gearing_api import units
from gearing_api.build import Build
from gearing_api.mechanics import housings, shafts
from gearing_api.mechanics.domain import Array
from gearing_api.units import Quantity
from gearing_api.vehicle.axle_parts import (
    INNER,
    JOINT,
    RING,
    TUBE,
    Axle,
    Housing,
    Part,
    Shaft,
    place,
    wanting,
)


def basis(build: Build, axle: Axle, name: str, part: Part | None) -> str:
    """What the capacity of a part rests on, or the field that would make it known."""
    if part is None:
        return f"not known without {wanting(build, name)}"
    if name == RING:
        return "(D / 13)^3" + (" / 1.3: coast flank" if axle.flank < 0.0 else ": drive flank")
    if name == JOINT:
        return _joint(build)
    if name == TUBE:
        assert axle.housing is not None
        return _tube(build, axle.housing)
    shaft = axle.inner if name == INNER else axle.stub
    assert shaft is not None
    return "; ".join([_section(build, place(name), shaft), *_torsion(build, shaft, part)])


def said(value: Array | float, quantity: Quantity, build: Build) -> str:
    """A number with its unit, in the units of the build."""
    shown = float(value) / quantity.factor(build.system)
    digits = f"{shown:.0f}" if shown >= 1000.0 else f"{shown:.3g}"
    return f"{digits} {quantity.unit(build.system)}"


def _joint(build: Build) -> str:
    if build.word("joint") == "constant-velocity":
        return "joint_rating, straight: at an angle its maker's figure is lower"
    angle = said(build.number("steer_angle"), units.ANGLE, build)
    return f"joint_rating; load at its peak with {angle} of steer"


def _tube(build: Build, housing: Housing) -> str:
    fibre = "the truss" if _truss_yields_first(housing) else "the tube"
    return (
        f"bending moment x impact factor {float(build.number('impact_factor')):g}; "
        f"{fibre} yields at {said(housing.strength, units.STRESS, build)}"
    )


def _truss_yields_first(housing: Housing) -> bool:
    if housing.truss_diameter == 0.0:
        return False
    _, bottom, top = housings.trussed_section(*housing[2:])
    return bool(top < bottom)


def _section(build: Build, fields: str, shaft: Shaft) -> str:
    steel, strength = build.word(f"{fields}_steel"), said(shaft.strength, units.STRESS, build)
    return f"{_where(build, fields, shaft)}, {steel}, first yield at {strength}"


def _where(build: Build, fields: str, shaft: Shaft) -> str:
    measured = build.known(f"{fields}_diameter")
    if measured is not None and measured == shaft.diameter:
        return "measured diameter"
    teeth, pitch = (float(build.number(f"{fields}_{figure}")) for figure in ("splines", "pitch"))
    return f"root of {teeth:g} splines {pitch:g}/{2.0 * pitch:g}"


def _torsion(build: Build, shaft: Shaft, part: Part) -> list[str]:
    """The torque at which the whole section yields; stress and twist at the load."""
    shear_yield = shafts.shear_yield(shaft.strength)
    plastic = shafts.plastic_torque(shear_yield, shaft.diameter)
    words = [f"fully plastic at {said(plastic, units.TORQUE, build)}"]
    if math.isinf(part.engine_load):
        return words
    load = part.load
    if load <= part.capacity:
        moment = shafts.polar_moment(shaft.diameter)
        stress = shafts.torsional_stress(load, shaft.diameter / 2.0, moment)
        words.append(f"shear {said(stress, units.STRESS, build)} at load")
    if shaft.length is not None and load < plastic:
        twist = shafts.twist_beyond_yield(load, shaft.length, shear_yield, shaft.diameter)
        words.append(f"twists {said(twist, units.ANGLE, build)}")
    return words
