"""In words: what the capacity of each part of an axle rests on. For one build."""

import math

from gearing_api import units
from gearing_api.build import Build
from gearing_api.mechanics import shafts
from gearing_api.mechanics.domain import Array
from gearing_api.questions.axle_parts import INNER, JOINT, RING, TUBE, Axle, Part, Shaft, place, wanting
from gearing_api.units import Quantity


def basis(build: Build, axle: Axle, name: str, part: Part | None) -> str:
    """What the capacity of a part rests on, or the field that would make it known."""
    if part is None:
        return f"not known without {wanting(build, name)}"
    if name == RING:
        return "(D / 13)^3" + (" / 1.3: coast flank" if axle.flank < 0.0 else ": drive flank")
    if name == JOINT:
        return _joint(build)
    if name == TUBE:
        return _tube(build, part)
    shaft = axle.inner if name == INNER else axle.stub
    assert shaft is not None
    return "; ".join([_section(build, place(name), shaft), *_torsion(build, shaft, part)])


def said(value: Array | float, quantity: Quantity, build: Build) -> str:
    """A number with its unit, in the units of the build."""
    shown = float(value) / quantity.factor(build.system)
    return (
        f"{shown:.0f} {quantity.unit(build.system)}"
        if shown >= 1000.0
        else (f"{shown:.3g} {quantity.unit(build.system)}")
    )


def _joint(build: Build) -> str:
    if build.word("joint") == "constant-velocity":
        return "joint_rating, straight: at an angle its maker's figure is lower"
    angle = said(build.number("steer_angle"), units.ANGLE, build)
    return f"joint_rating; load at its peak with {angle} of steer"


def _tube(build: Build, part: Part) -> str:
    at_truss = float(part.diameter) != float(build.number("tube_diameter"))
    fibre = "the truss" if at_truss else "the tube"
    return (
        f"bending moment x impact factor {float(build.number('impact_factor')):g}; "
        f"{fibre} yields at {said(build.number('tube_yield'), units.STRESS, build)}"
    )


def _section(build: Build, place: str, shaft: Shaft) -> str:
    steel = build.word(f"{place}_steel")
    strength = said(shaft.strength, units.STRESS, build)
    return f"{_where(build, place, shaft)}, {steel}, first yield at {strength}"


def _where(build: Build, place: str, shaft: Shaft) -> str:
    measured = build.known(f"{place}_diameter")
    if measured is not None and float(measured) == float(shaft.diameter):
        return "measured diameter"
    teeth, pitch = (float(build.number(f"{place}_{what}")) for what in ("splines", "pitch"))
    return f"root of {teeth:g} splines {pitch:g}/{2.0 * pitch:g}"


def _torsion(build: Build, shaft: Shaft, part: Part) -> list[str]:
    """Stress and twist at the load, and the torque at which the whole section yields."""
    shear_yield = shafts.shear_yield(shaft.strength)
    plastic = shafts.plastic_torque(shear_yield, shaft.diameter)
    words = [f"fully plastic at {said(plastic, units.TORQUE, build)}"]
    if math.isinf(part.engine_load):
        return words
    load = part.load
    moment = shafts.polar_moment(shaft.diameter)
    if load <= part.capacity:
        stress = shafts.torsional_stress(load, shaft.diameter / 2.0, moment)
        words.append(f"shear {said(stress, units.STRESS, build)} at load")
    if shaft.length is not None and load < plastic:
        twist = shafts.twist_beyond_yield(load, shaft.length, shear_yield, shaft.diameter)
        words.append(f"twists {said(twist, units.ANGLE, build)}")
    return words
