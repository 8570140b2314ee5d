"""What the strength questions read of an axle in the same way: its torque, its load, its loaded flank."""

from functools import cache
from typing import NamedTuple

import numpy as np

from gearing_api.answer import Caution, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import axle_torques, bevel_gears
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.drivetrain import adhesion, engine_torque
from gearing_api.vehicle.gearbox import LOSS_FIELDS, stall_ratio, strongest_efficiency
from gearing_api.vehicle.loads import LOAD_FIELDS, loads_of
from gearing_api.vehicle.tyre import loaded_figures

SAFETY = note(
    "estimate",
    "Estimates for comparison, not a rating. The axle maker's limits, local vehicle law and a licensed "
    "engineer or inspector decide. After such a change have steering, brakes and driveline re-checked.",
)
"""What every strength answer says."""

AXLE_FIELDS = (
    "ring_teeth",
    "pinion_teeth",
    "hub_ratio",
    "front_hub_ratio",
    "rear_hub_ratio",
    "transfer_ratios",
    "rolling_factor",
    "tyre_pressure",
    "tyre_load",
    "vertical_stiffness",
    "idle_speed",
    *LOSS_FIELDS,
    "peak_torque_speed",
    *LOAD_FIELDS,
    "grade_percent",
    "surface",
    "adhesion",
    "axle_position",
    "pinion_height",
)
"""What the torque and the flank are read from, beside the fields that are needed."""

TORQUE = Source(
    "ring-gear torque: the smaller of engine torque x lowest gear x axle ratio x efficiency, one axle "
    "carrying all of it, and adhesion x axle load x radius / hub ratio",
    "published",
    "An article on axle load spectra and two axle-design theses, after the textbook axle method",
)
CAPACITY = Source(
    "ring gear capacity for endurance (D / 13)^3, mm and N m",
    "from memory",
    "Liu Weixin, axle design; Wang Wangyu, automobile design: K from 13 to 16, from memory (high)",
)
USUAL_CAPACITY = Source(
    "usual limit of a ring gear (D / 10)^3, mm and N m: the second named case beside endurance",
    "common practice",
    "The trade quotes 1930 lbf.ft at the pinion of an 8 1/2 in set: K 9.8. Common practice, one figure, no published "
    "source; the step to K 13 is that from endurance to peak torque in tooth strength",
)
COAST = Source(
    "a ring gear loaded on its coast flank carries 1.3 times less",
    "common practice",
    "Common practice, no published source; the tooth force itself is the same on both flanks",
)
FLANK = Source(
    "the loaded flank follows from the pinion's hand of spiral and sense of rotation",
    "published",
    "Vector algebra of the tooth force; the drive flank of a ring gear as its convex one: a 1992 light-truck "
    "service manual",
)

_SLIP = note(
    "grip-limited",
    "The tyres spin before the engine can give more. The shock when a spinning tyre suddenly grips is not "
    "included.",
)
_ROLLING_RADIUS = note(
    "rolling-radius",
    "The rolling radius is taken; the tyre's pressure and load (tyre_pressure, tyre_load), with a tyre "
    "size, give the loaded one.",
)


_ASSUMED_SHARE = note(
    "axle-load-assumed",
    "The load of the axle rests on an assumed front share of 0.55: weigh both axles and give the front's "
    "share (front_axle_share).",
)


class AxleTorque(NamedTuple):
    """Normal force under the axle, and torque at its ring gear. [N, N m]

    What the engine allows, and so what governs, is None where no engine torque is given.
    """

    axle_load: Array
    engine: Array | None
    grip: Array
    governing: Array | None
    cautions: tuple[Caution, ...]


def axle_torque(build: Build) -> AxleTorque:
    """What engine and grip allow on the ring gear of the axle judged."""
    return build.once("axle torque", _axle_torque)


def _axle_torque(build: Build) -> AxleTorque:
    radius, cautions = standing_radius(build)
    load = axle_load(build)
    cautions = (*cautions, *_of_load(build))
    grip = grip_torque(build, load, radius)
    unit = engine_unit_torque(build)
    if unit is None:
        return AxleTorque(load, None, grip, None, cautions)
    engine = unit * build.number("axle_ratio")
    slips = _SLIP._replace(where=engine > grip)
    return AxleTorque(load, engine, grip, np.minimum(engine, grip), (slips, *cautions))


def grip_torque(build: Build, load: Array, radius: Array) -> Array:
    """Ring-gear torque at which the tyres of the axle judged slip. [N m]"""
    return axle_torques.grip_limited_torque(load, adhesion(build, "high"), radius, hub_ratio(build))


def hub_ratio(build: Build) -> Array:
    """Reduction at the wheels of the axle judged. [-]"""
    own = f"{build.word('axle_position')}_hub_ratio"
    return build.number(own if build.given(own) else "hub_ratio")


def engine_unit_torque(build: Build) -> Array | None:
    """Ring-gear torque that the engine gives in the lowest gear, per unit of axle ratio, if known. [N m]"""
    torque = engine_torque(build)
    if torque is None:
        return None
    curve = "torque_curve" if build.given("torque_curve") else "power_curve"
    build.require(torque > 0.0, curve, "must rise above zero")
    unit = axle_torques.engine_limited_torque(
        torque,
        build.number("gear_ratios")[..., 0] * build.number("transfer_ratios").max(axis=-1),
        strongest_efficiency(build, torque),
        stall_ratio(build),
    )
    given = "peak_torque" if build.given("peak_torque") else curve
    build.require(unit > 0.0, given, "is less than the driveline loses in the lowest gear")
    return unit


def axle_load(build: Build, *, level: bool = False) -> Array:
    """Greatest load of the axle judged on any slope up to the grade given, up or down, or that on the level. [N]"""
    steepest = np.zeros(()) if level else np.abs(build.number("grade_percent"))
    on_axles = loads_of(build).greatest_on_axles(steepest)
    return on_axles.front if build.word("axle_position") == "front" else on_axles.rear


def _of_load(build: Build) -> tuple[Caution, ...]:
    """The cautions that the load rests on what was assumed, where that decides it."""
    slope = build.number("grade_percent") != 0.0
    height = tuple(caution._replace(where=slope & caution.where) for caution in loads_of(build).cautions)
    return (*height, *[_ASSUMED_SHARE] * (not build.given("front_axle_share")))


def standing_radius(build: Build) -> tuple[Array, tuple[Caution, ...]]:
    """Axle centre to ground: loaded where pressure and load are given and the size allows, else rolling."""
    fitted = build.tyre()
    if build.given("tyre_pressure") and build.given("tyre_load"):
        _, _, loaded, cautions = loaded_figures(build, fitted.size)
        if loaded is not None:
            return loaded, cautions
    return fitted.rolling_radius, (_ROLLING_RADIUS,)


def original_per_fitted(build: Build) -> Array:
    """Radius of the original tyre over that of the fitted one, both sagging in proportion. [-]"""
    return np.asarray(build.tyre("original_tyre").rolling_radius / build.tyre().rolling_radius)


def loaded_flank(build: Build) -> Array:
    """+1 where forward drive loads the drive flank, -1 where it loads the coast flank."""
    return _flank(build.word("pinion_height") == "low", build.word("axle_position") == "rear")


@cache
def _flank(low: bool, rear: bool) -> Array:
    """A low pinion is left-hand; seen towards the apex it turns clockwise in a rear axle."""
    return bevel_gears.loaded_flank(1.0 if low else -1.0, 1.0 if rear else -1.0)
