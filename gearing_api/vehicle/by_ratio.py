"""What a build would do with other axle ratios: overtaking, and fuel against before."""

from collections.abc import Callable

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics import motion
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.consumption import CONSUMPTION_FIELDS, consumption_of
from gearing_api.vehicle.drivetrain import adhesion
from gearing_api.vehicle.grip import GRIP_FIELDS, grip_force_of
from gearing_api.vehicle.motion import MOTION_FIELDS, OVERTAKING_FIELDS, motion_of, overtaking_ends

BY_RATIO_FIELDS = tuple(
    dict.fromkeys((*MOTION_FIELDS, *CONSUMPTION_FIELDS, *GRIP_FIELDS, *OVERTAKING_FIELDS, "cruise_speed"))
)
"""What both are read from, beside tyre, ratios and mass."""

Figure = Callable[[Build], Array | None]


def one_by_one(build: Build, axle_ratio: Array, figure: Figure) -> Array | None:
    """A figure at each axle ratio, which are the last axis, for one build or a column of builds."""
    found = [
        figure(build.replaced("axle_ratio", axle_ratio[..., place])) for place in range(axle_ratio.shape[-1])
    ]
    known = [each for each in found if each is not None]
    return np.stack(np.broadcast_arrays(*known), axis=-1) if len(known) == len(found) else None


def at_once(build: Build, axle_ratio: Array, figure: Figure) -> Array | None:
    """The same for one build, whose ratios then are a column of builds."""
    return figure(build.replaced("axle_ratio", axle_ratio))


def overtaking_time(build: Build) -> Array | None:
    """Time until overtaken_length is gained, NaN where it is not; None where it is not known. [s]"""
    if not build.given("vehicle_mass"):
        return None
    made = motion_of(build, grip_force_of(build, adhesion(build, "low")))
    if made is None:
        return None
    upshifts = made.upshifts()
    (past,), _ = made.runs([overtaking_ends(build, upshifts)], upshifts)
    time, _ = motion.gaining(past, build.number("overtaken_speed"), build.number("overtaken_length"))
    return np.where(np.isfinite(time), time, np.nan)


def fuel_change(build: Build) -> Array | None:
    """Change of the consumption at cruise_speed against the vehicle before, NaN where a gear is missing. [-]"""
    original = build.original()
    needed = ("tyre", "axle_ratio", "gear_ratios", "vehicle_mass")
    if build.missing(needed) or original.missing(needed):
        return None
    now, before = consumption_of(build), consumption_of(original)
    if now is None or before is None:
        return None
    build.take_original_account(original)
    speed = build.number("cruise_speed")[..., None]
    return np.asarray(now.at(speed)[..., 0] / before.at(speed)[..., 0] - 1.0)
