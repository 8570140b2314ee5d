"""The end of an axle: the shaft that carries its wheel, bearings, scrub radius and steering, against before."""

from typing import NamedTuple

import numpy as np

from gearing_api.answer import DOES_NOT_APPLY, Absent, Caution, Source, Value, check, needs, note
from gearing_api.build import Build
from gearing_api.mechanics import shafts, tyres, wheel_ends
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.axle import standing_radius
from gearing_api.vehicle.drivetrain import adhesion
from gearing_api.vehicle.loads import loads_of, track_of
from gearing_api.vehicle.tyre import loaded_figures, optional_array

Number = Array | float

END_FIELDS = ("bearing_arm", "half_shaft_end_diameter")
"""What a shaft end is known by, beside the steel of the inner shaft."""

WHEEL_END_FIELDS = (
    "axle_kind",
    *END_FIELDS,
    "bearing_span",
    "scrub_radius",
    "kingpin_inclination",
    "caster",
)

OF_STEERING = ("scrub_radius", "trail", "tread_reach", "steering_torque_at_rest")

WHEEL_ENDS = Source(
    "shaft that carries its wheel, by three cases: driving, sideways skid, bump x impact factor; bending and torsion "
    "together by the largest shear stress",
    "published",
    "A university text that reproduces the textbook axle method; second hand: Wentzell, Machine Design, ch. 17",
)
STEERING = Source(
    "steering torque at rest, both wheels: 0.58 x load x sqrt(scrub radius^2 + (contact length / 3)^2), and the lift "
    "by the kingpin's inclination at steer_angle",
    "published",
    "Automotive Chassis Engineering (Springer), p. 82-84; 0.58 is read there for an offset of a tenth of the patch",
)
BEARINGS = Source(
    "bearing life as (load before / load now)^(10/3), driving straight, in turns of the wheel",
    "published",
    "Second hand: ISO 281, as reproduced in textbooks on machine elements",
)

_CARRIES = note(
    "semi-floating",
    "A semi-floating shaft carries its wheel: when it breaks, the wheel leaves the vehicle.",
)
_HALF_LIFE = 0.5
_LEAST_LEVER = 0.01


class ShaftEnd(NamedTuple):
    """A shaft at the bearing of the wheel that it carries, and what bends it. [m, Pa, N, N m]

    `skid` and `bump` are the equivalent torques of these cases, which no engine drives.
    """

    diameter: Array
    strength: Number
    arm: Array
    wheel_load: Array
    usual_wheel_load: Array
    radius: Array
    skid: Array
    bump: Array


def carries_wheel(build: Build) -> bool:
    """Whether the shafts of the axle carry its wheels."""
    return build.word("axle_kind") == "semi-floating"


def shaft_end(build: Build, axle_load: Array, strength: Array | float, whole_load: bool) -> ShaftEnd | None:
    """Return the end of a semi-floating shaft; at the worst a locked axle stands on one wheel."""
    arm = bearing_arm(build)
    if arm is None or not carries_wheel(build) or not build.given("half_shaft_end_diameter"):
        return None
    radius, _ = standing_radius(build)
    half = axle_load / 2.0
    bump = np.abs(arm) * half * build.number("impact_factor")
    return ShaftEnd(
        build.number("half_shaft_end_diameter"),
        strength,
        arm,
        axle_load if whole_load else half,
        half,
        radius,
        _skid(build, axle_load, arm, radius),
        np.asarray(bump),
    )


def _skid(build: Build, axle_load: Array, arm: Array, radius: Array) -> Array:
    """The larger moment of both shafts in a sideways skid; without a track it is left out. [N m]"""
    track = track_of(build)
    if track is None:
        return np.zeros(())
    grip = adhesion(build, "high")
    loads = wheel_ends.skid_wheel_loads(axle_load, grip, loads_of(build).height, track)
    moments = wheel_ends.skid_moments(arm, loads, grip, radius)
    return np.maximum(moments.outer, moments.inner)


def end_torques(end: ShaftEnd, engine: Number, grip: Number) -> tuple[Array, Array]:
    """Return the equivalent torque on a shaft end at the limit of the engine and at that of the tyre. [N m]"""
    others = np.maximum(end.skid, end.bump)
    at_engine, at_grip = (np.maximum(_driving(end, torque), others) for torque in (engine, grip))
    return at_engine, at_grip


def _driving(end: ShaftEnd, torque: Number) -> Array:
    """Equivalent torque of bending and torsion together; boundless where the torque is. [N m]"""
    bounded = np.where(np.isinf(torque), 0.0, torque)
    moment = wheel_ends.drive_moment(end.arm, end.wheel_load, bounded / end.radius)
    together = shafts.largest_shear_stress(bounded, 2.0 * moment)
    return np.where(np.isinf(torque), np.inf, together)


def bearing_arm(build: Build) -> Array | None:
    """Wheel bearing to wheel plane: as given, else the original's less the change of the wheel's offset. [m]"""
    if build.given("bearing_arm"):
        return build.number("bearing_arm")
    if not build.given("original_bearing_arm"):
        return None
    return np.asarray(build.number("original_bearing_arm") - offset_change(build))


def offset_change(build: Build) -> Array:
    """How much further inboard the wheel stands than before. [m]"""
    if not (build.given("wheel_offset") and build.given("original_wheel_offset")):
        return np.zeros(())
    return np.asarray(build.number("wheel_offset") - build.number("original_wheel_offset"))


def _scrub_radius(build: Build) -> Array | None:
    """As given, else the original's with the change of offset and radius. [m]"""
    if build.given("scrub_radius"):
        return build.number("scrub_radius")
    if not (build.given("original_scrub_radius") and build.given("kingpin_inclination")):
        return None
    before, now = (build.tyre(name).rolling_radius for name in ("original_tyre", "tyre"))
    return wheel_ends.scrub_radius(
        build.number("original_scrub_radius"),
        offset_change(build),
        now - before,
        build.number("kingpin_inclination"),
    )


def steering(build: Build) -> dict[str, Value]:
    """Return scrub radius, trail, reach of the tread and steering torque of a front axle, as far as known."""
    if build.word("axle_position") == "rear":
        return {}
    scrub, size = _scrub_radius(build), build.tyre().size
    found: dict[str, Value] = {"scrub_radius": scrub}
    if build.given("caster"):
        found["trail"] = wheel_ends.trail(standing_radius(build)[0], build.number("caster"))
    if scrub is None:
        return found
    width = optional_array(size.section_width)
    if width is not None and build.given("steer_angle"):
        found["tread_reach"] = wheel_ends.tread_reach(
            size.diameter / 2.0, width, scrub, build.number("steer_angle")
        )
    return found | {"steering_torque_at_rest": _at_rest(build, scrub)}


def _at_rest(build: Build, scrub: Array) -> Array | None:
    """Torque that turns both wheels at rest, None without the length of the contact patch. [N m]"""
    size = build.tyre().size
    _, _, loaded, _ = loaded_figures(build, size)
    if loaded is None:
        return None
    load = loads_of(build).on_axles(np.zeros(())).front / 2.0
    patch = 2.0 * tyres.contact_half_length(size.diameter, loaded)
    torque = wheel_ends.turning_torque_at_rest(load, scrub, patch)
    if build.given("kingpin_inclination"):
        torque = torque + wheel_ends.jacking_torque(
            load, scrub, build.number("kingpin_inclination"), build.number("steer_angle")
        )
    return np.asarray(2.0 * torque)


def steering_absent(build: Build) -> dict[str, Absent]:
    """Why a result of the steering is absent, where it is."""
    if build.word("axle_position") == "rear":
        return dict.fromkeys(OF_STEERING, DOES_NOT_APPLY)
    scrub = _lacking_scrub(build)
    size = build.tyre().size
    squeezed = tuple(name for name in ("tyre_pressure", "tyre_load") if not build.given(name))
    turned = () if build.given("steer_angle") else ("steer_angle",)
    of_shape = needs(*scrub, *squeezed) if size.section_height is not None else DOES_NOT_APPLY
    return {
        "scrub_radius": needs(*scrub),
        "trail": needs("caster"),
        "tread_reach": needs(*scrub, *turned) if size.section_width is not None else DOES_NOT_APPLY,
        "steering_torque_at_rest": of_shape,
    }


def _lacking_scrub(build: Build) -> tuple[str, ...]:
    if build.given("original_scrub_radius"):
        return () if build.given("kingpin_inclination") else ("kingpin_inclination",)
    return () if build.given("scrub_radius") else ("scrub_radius",)


def bearing_load(build: Build, axle_load: Array) -> Array | None:
    """Load of the harder worked wheel bearing driving straight, None where it cannot be known. [N]"""
    arm, load = bearing_arm(build), axle_load / 2.0
    if arm is None:
        return None
    if carries_wheel(build):
        length = build.known("inner_length")
        return None if length is None else load * np.maximum(np.abs(1.0 + arm / length), _LEAST_LEVER)
    span = build.known("bearing_span")
    if span is None:
        return None
    pair = wheel_ends.bearing_loads(load, span + arm, span)
    return np.maximum(np.abs(pair.outer), np.abs(pair.inner))


def bearing_life_absent(build: Build) -> Absent:
    """Why the life of the bearings is absent, where it is."""
    apart = "inner_length" if carries_wheel(build) else "bearing_span"
    fields = ("original_tyre", "bearing_arm", apart)
    return needs(*(name for name in fields if not build.given(name)))


def wheel_end_cautions(build: Build, life: Value) -> list[Caution]:
    """Return what must be said of the wheel end."""
    made = [_CARRIES] * carries_wheel(build)
    if life is None:
        return made
    text = "The wheel bearings last less than half as long as before: choose a wheel with more offset."
    return [*made, check("bearing-life", text, beyond(_HALF_LIFE, np.asarray(life)))]
