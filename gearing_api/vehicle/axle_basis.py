"""In words: what the capacity of each part of an axle rests on. For one build."""

import math

from gearing_api import units
from gearing_api.build import Build
from gearing_api.mechanics import shafts
from gearing_api.mechanics.domain import Array
from gearing_api.units import Quantity
from gearing_api.vehicle.axle_housing import GROUND, Housing, first_to_yield
from gearing_api.vehicle.axle_housing_standard import braking_margin
from gearing_api.vehicle.axle_parts import (
    END,
    INNER,
    JOINT,
    RING,
    TUBE,
    Axle,
    Part,
    Shaft,
    place,
    wanting,
)

_LARGEST_TWIST = 1.5
_HIGHEST_USE = 1.3
"""Load / torque of first yield below the 4/3 at which the whole section yields; the twist is 2.2 times that at
first yield here."""


def basis(build: Build, axle: Axle, name: str, part: Part | None) -> str:
    """What the capacity of a part rests on, or the field that would make it known."""
    if part is None:
        return f"not known without {wanting(build, name)}"
    if name == RING:
        flank = " / 1.3, coast flank" if axle.flank < 0.0 else ", drive flank"
        return f"(D / 13)^3{flank}; usual (D / 10)^3"
    if name == JOINT:
        return _joint(build)
    if name == END:
        return (
            "shaft at its wheel bearing, bending and torsion of driving, skid and bump, "
            f"{build.word('inner_steel')}"
        )
    if name == TUBE:
        assert axle.housing is not None
        return _tube(build, axle.housing, part)
    shaft = axle.inner if name == INNER else axle.stub
    assert shaft is not None
    return "; ".join([_section(build, place(name), shaft), *_torsion(build, shaft, part)])


def said(value: Array | float, quantity: Quantity, build: Build) -> str:
    """A number with its unit, in the units of the build."""
    shown = float(value) / quantity.factor(build.system)
    digits = f"{shown:.0f}" if shown >= 999.5 else f"{shown:.3g}"
    return f"{digits} {quantity.unit(build.system)}"


def _joint(build: Build) -> str:
    if build.word("joint") == "constant-velocity":
        return "its maker's rating, straight: at an angle it is lower"
    angle = said(build.number("steer_angle"), units.ANGLE, build)
    return f"its maker's rating; load at its peak with {angle} of steer"


def _tube(build: Build, housing: Housing, part: Part) -> str:
    factor = float(build.number("impact_factor"))
    cases = ", ".join(
        f"{case} x {times:g}: {float(part.margin) * factor / times:.2g}" for case, times in GROUND.items()
    )
    return (
        f"bending moment x impact factor {factor:g}; {first_to_yield(housing)} gives way first, "
        f"yield at {said(housing.strength, units.STRESS, build)}; margin on {cases}; "
        f"braking {float(braking_margin(build, housing)):.2g}"
    )


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
    if shaft.length is not None:
        words.append(_twist(build, shaft, shaft.length, shear_yield, load / part.capacity))
    return words


def _twist(build: Build, shaft: Shaft, length: Array, shear_yield: Array, use: Array) -> str:
    """The twist at the load; none near full plasticity, where it grows without bound."""
    yields = shafts.yield_torque(shear_yield, shaft.diameter)
    first, at_load = (
        shafts.twist_beyond_yield(yields * times, length, shear_yield, shaft.diameter)
        for times in (1.0, min(float(use), _HIGHEST_USE))
    )
    if at_load > _LARGEST_TWIST * first:
        return f"twists more than {_LARGEST_TWIST:g} times as far as at first yield"
    return f"twists {said(at_load, units.ANGLE, build)}"
