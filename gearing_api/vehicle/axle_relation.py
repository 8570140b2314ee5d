"""The strength of an axle against that of the original axle on its own tyres."""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from gearing_api.answer import Caution, Source, Where, check, note, stop
from gearing_api.build import Build
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.axle import axle_torque
from gearing_api.vehicle.axle_parts import Part, known_parts, side_by_side
from gearing_api.vocabulary import ORIGINAL, FieldError, InvalidBuild, naming

FAR_BELOW = 0.8
"""Below this share of the original's margin parts that lasted there may break. [-]"""

RELATION = Source(
    "strength against the original: weakest margin now / weakest margin before, each with its own tyre, mass and "
    "gears; below 0.8 of it stop, below 1 check",
    "common practice",
    "The axle as it came lasted on its own tyres; the thresholds are this service's choice",
)

_TAKEN = (
    "vehicle_mass", "axle_ratio", "gear_ratios", "transfer_ratios", "peak_torque", "torque_curve", "power_curve",
    "ring_gear_diameter", "differential", "inner_splines", "inner_diameter", "inner_steel", "stub_splines",
    "stub_diameter", "stub_steel", "joint_rating", "tube_diameter", "truss_diameter",
)  # fmt: skip
"""Fields that decide a margin: a note names those of the original that are taken as unchanged."""


class Relation(NamedTuple):
    """Weakest margin now / weakest margin of the original, over the parts known of both. [-]"""

    share: Array
    cautions: tuple[Caution, ...]


def relation(build: Build, found: Mapping[str, Part]) -> Relation | None:
    """Return how the axle compares with the original, None where that is not known."""
    if not build.given("original_tyre"):
        return None
    original = build.original()
    try:
        torque = axle_torque(original)
        before = known_parts(original)
    except InvalidBuild as error:
        raise InvalidBuild([_of_original(fault, build) for fault in error.faults], error.rows) from error
    build.take_original_account(original)
    both = [name for name in found if name in before]
    if torque.engine is None or not both:
        return None
    share = _least([found[name] for name in both]) / _least([before[name] for name in both])
    return Relation(share, (*_cautions(share), *_unchanged(build, original)))


def _of_original(fault: FieldError, build: Build) -> FieldError:
    name = ORIGINAL + fault.field if build.given(ORIGINAL + fault.field) else fault.field
    return replace(fault, field=name, detail=f"(of the vehicle before the change) {fault.detail}")


def _least(each: list[Part]) -> Array:
    return np.asarray(side_by_side(each).margin.min(axis=0))


def _cautions(share: Array) -> tuple[Caution, ...]:
    far = beyond(FAR_BELOW, share)
    return weaker(
        far,
        beyond(1.0, share) & ~far,
        "The weakest part has less than 0.8 of the margin that the original had on its own tyres: strengthen it, or "
        "stay on smaller tyres.",
        "The weakest part has less margin than the original had on its own tyres: strengthen it before harder use.",
    )


def weaker(far: Where, below: Where, far_text: str, below_text: str) -> tuple[Caution, Caution]:
    """Return the two cautions on an axle weaker than the original."""
    return stop("weaker-than-original", far_text, far), check("weaker-than-original", below_text, below)


def _unchanged(build: Build, original: Build) -> tuple[Caution, ...]:
    names = [name for name in _TAKEN if build.given(name) and not build.given(ORIGINAL + name)]
    same = [name for name in names if original.given(name)]
    text = f"Taken of the original as it is now: {naming(same)}. Give the original's where they differ."
    return (note("original-as-now", text),) * bool(same)
