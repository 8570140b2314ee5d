"""What descent and braking read in the same way: who brakes what, and what grip allows."""

import numpy as np

from gearing_api.answer import Caution, check, stop
from gearing_api.build import Build
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.drivetrain import adhesion
from gearing_api.vehicle.loads import cargo_of, train_mass, wheel_mass

UNBRAKED_TRAILER = 3000 * 0.45359237
"""Trailer up to which SAE J2807 asks for no brakes of its own, second hand: 3000 lb. [kg]"""

UNBRAKED_SHARE = 0.5
"""Unbraked trailer / vehicle, at most: common practice, no published source. [-]"""


def has_braked_trailer(build: Build) -> bool:
    """Whether a trailer brakes itself."""
    return build.given("trailer_mass") and build.word("trailer_brakes") == "yes"


def vehicle_share(build: Build) -> Array:
    """Share of all braking that the vehicle's own brakes must do. [-]"""
    if not has_braked_trailer(build):
        return np.ones(())
    return np.asarray(wheel_mass(build) / train_mass(build))


def braked_share(build: Build) -> Array:
    """Share of the moving mass that stands on braked wheels, an unbraked trailer adding mass alone. [-]"""
    if has_braked_trailer(build) or not build.given("trailer_mass"):
        return np.ones(())
    cargo, train = cargo_of(build), train_mass(build)
    return np.asarray((train - cargo.trailer) / train)


def beyond_grip(build: Build, grade: Array) -> tuple[Caution, ...]:
    """Return the caution on a hill that is steeper than the braked tyres can hold."""
    return (
        stop(
            "slides-downhill",
            "The hill is steeper than the tyres hold on this ground at the low end of its grip: it may slide whatever "
            "the gear. Do not go down.",
            grade > adhesion(build, "low") * braked_share(build),
        ),
    )


def trailer_without_brakes(build: Build) -> tuple[Caution, ...]:
    """Return the caution on a trailer that is too heavy to go without brakes of its own."""
    if not build.given("trailer_mass") or build.word("trailer_brakes") == "yes":
        return ()
    trailer, own = cargo_of(build).trailer, build.number("vehicle_mass")
    return (
        check(
            "trailer-without-brakes",
            "A trailer this heavy should have brakes of its own: the vehicle's must stop both, and downhill it pushes. "
            "The law where you drive sets the limit.",
            (trailer > UNBRAKED_TRAILER) | (trailer > UNBRAKED_SHARE * own),
        ),
    )
