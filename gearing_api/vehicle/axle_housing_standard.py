"""A housing against the published standard of drive axles: sag, static reserve, torque on its tube."""

import numpy as np

from gearing_api.answer import Caution, Source, Value, note
from gearing_api.build import Build
from gearing_api.mechanics import housings
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import AxleTorque, axle_load, grip_torque, hub_ratio, standing_radius
from gearing_api.vehicle.axle_housing import TUBE_FIELDS, Housing
from gearing_api.vehicle.drivetrain import adhesion
from gearing_api.vehicle.loads import track_of

OF_HOUSING = ("sag_per_track", "static_reserve")
MOST_SAG, LEAST_RESERVE = 0.0014, 6.0
"""Of the standard: 1.4 mm per metre of track, six times the load. [-]"""

STANDARD = Source(
    "housing against the standard of drive axles: sag at most 1.4 mm per metre of track at full axle load, static "
    "reserve above 6; sag as of a uniform bare tube, an upper bound; reserve to first yield, a lower bound",
    "published",
    "QC/T 533-2020, drive axles of motor vehicles",
)


def of_housing(build: Build, housing: Housing | None, torque: AxleTorque) -> dict[str, Value]:
    """Return the torque on the tube, and sag and reserve where the tube is known."""
    found: dict[str, Value] = {"tube_torque": tube_torque(build, torque)}
    track = track_of(build)
    if housing is None or track is None:
        return found
    level, seats = axle_load(build, level=True), build.number("spring_seat_spacing")
    tube = housing.tube_diameter, housing.tube_wall
    sag = housings.housing_sag(level, track, seats, housings.tube_second_moment(*tube))
    standing = housings.bending_moment(level, track, seats)
    bears = housings.tube_modulus(*tube) * housing.strength
    return found | {"sag_per_track": sag / track, "static_reserve": bears / standing}


def tube_torque(build: Build, torque: AxleTorque) -> Array:
    """Greater torque on the tube of one side: braking at the limit of grip, or driving through a hub box. [N m]"""
    radius, _ = standing_radius(build)
    hub = hub_ratio(build)
    braking = grip_torque(build, torque.axle_load, radius) * hub / 2.0
    driving = torque.grip if torque.governing is None else torque.governing
    reverses = build.word("hub_reverses") == "yes" and _has_boxes(build)
    through_box = housings.hub_tube_torque(driving * hub / 2.0, hub, reverses)
    return np.maximum(braking, through_box)


def _has_boxes(build: Build) -> bool:
    own = f"{build.word('axle_position')}_hub_ratio"
    return build.given(own) or build.given("hub_ratio")


def braking_margin(build: Build, housing: Housing) -> Array:
    """Yield over the stress of the bare tube while both wheels brake at the limit of grip. [-]"""
    radius, _ = standing_radius(build)
    grip = adhesion(build, "high")
    down = housing.moment / build.number("impact_factor")
    modulus = housings.tube_modulus(housing.tube_diameter, housing.tube_wall)
    bending = housings.housing_stress(np.hypot(down, grip * down), modulus, 1.0)
    twisting = grip * (down / housing.lever) * radius / (2.0 * modulus)
    return housing.strength / housings.equivalent_stress(bending, twisting)


def lacking_tube(build: Build) -> tuple[str, ...]:
    """The fields that would make sag and reserve known."""
    names = TUBE_FIELDS[:3] if track_of(build) is not None else TUBE_FIELDS
    return tuple(name for name in names if not build.given(name))


def housing_cautions(result: dict[str, Value]) -> list[Caution]:
    """Return the note on a housing that the standard of drive axles would not pass."""
    sag, reserve = result["sag_per_track"], result["static_reserve"]
    if sag is None or reserve is None:
        return []
    text = (
        "As a bare tube the housing sags more, or has less in reserve, than a standard for drive axles of trucks asks: "
        "1.4 mm per metre of track, six times the load."
    )
    return [
        note("housing-standard", text, (np.asarray(sag) > MOST_SAG) | (np.asarray(reserve) < LEAST_RESERVE))
    ]
