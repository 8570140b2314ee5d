"""What the wheels of a build carry, level and on slopes: the vehicle, what it carries, and its trailer.

Strength, grip, climbing, going down and stopping take their loads from here.
"""

from typing import NamedTuple

import numpy as np

from gearing_api.answer import Caution, Source, check, note, stop
from gearing_api.build import DEFAULTS, Build
from gearing_api.mechanics import housings, loads
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.loads import AxleLoads, Balance
from gearing_api.tyre_sizes import TyreSize

CARGO_FIELDS = ("loads", "trailer_mass", "tongue_mass")
"""What adds to the mass of the vehicle."""

LOAD_FIELDS = (
    *CARGO_FIELDS,
    "hitch_overhang",
    "hitch_height",
    "front_axle_share",
    "wheelbase",
    "mass_centre_height",
    "roof_height",
    "lift_height",
    "original_tyre",
)
"""What the loads are read from, beside vehicle_mass and tyre."""

REAL_SHARE = 0.85
"""Slope at which a real vehicle may tip / the slope computed for a rigid one. [-]"""

LEAST_POSITION, MOST_POSITION = -0.5, 1.8
"""Where a load may stand, in wheelbases behind the front axle. [-]"""

MOST_CARRIED = 3.0
"""Loads carried / mass of the vehicle without them, at most. [-]"""

TONGUE_SHARE = 0.1

MOMENTS = Source(
    "loads by moments about the axles; on a slope the mass centre moves load to the lower axle",
    "published",
    "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 1",
)
HEIGHT = Source(
    "mass centre at 0.385 of the stock roof height (0.36 to 0.41), plus lift and the tyre's growth",
    "published",
    "NHTSA Light Vehicle Inertia Parameter Database and NCAP rollover measurements 1971-2021: mean of 681 "
    "rows of pickups and sport utility vehicles, computed",
)

_ESTIMATED = note(
    "mass-centre-estimated",
    "The height of the mass centre is estimated: measured ones lie within 7 % of it by the height of the "
    "roof (roof_height), and within 3 in (0.08 m) without. Give it (mass_centre_height) if you have "
    "measured it.",
)


class Cargo(NamedTuple):
    """Masses beside the vehicle's own; each None or nothing where there is none."""

    masses: tuple[Array, ...]
    positions: tuple[Array, ...]
    heights: tuple[Array, ...]
    """Of each thing carried; NaN where the height is not given."""
    trailer: Array
    tongue: Array

    def carried(self) -> Array:
        """Mass of the things carried. [kg]"""
        return np.asarray(sum(self.masses, start=np.float64(0.0)))


_NOTHING = np.zeros(())


def cargo_of(build: Build) -> Cargo:
    """What the vehicle carries and pulls.

    Raises
    ------
    InvalidBuild
        If the tongue is heavier than the trailer, or more is carried than the vehicle could.
    """
    return build.once("cargo", _cargo_of)


def _cargo_of(build: Build) -> Cargo:
    trailer, tongue = _trailer(build)
    things = build.known("loads")
    if things is None:
        return Cargo((), (), (), trailer, tongue)
    places = range(things.shape[-2])
    masses, positions, heights = (
        tuple(things[..., place, part] for place in places) for part in range(things.shape[-1])
    )
    cargo = Cargo(masses, positions, heights, trailer, tongue)
    build.require(
        cargo.carried() <= MOST_CARRIED * build.number("vehicle_mass"),
        "loads",
        f"add up to more than {MOST_CARRIED:g} times vehicle_mass: carry less",
    )
    return cargo


def _trailer(build: Build) -> tuple[Array, Array]:
    trailer = build.known("trailer_mass")
    if trailer is None:
        return _NOTHING, _NOTHING
    tongue = build.known("tongue_mass")
    if tongue is None:
        tongue = TONGUE_SHARE * trailer
        build.assume("tongue_mass", tongue)
    build.require(tongue <= trailer, "tongue_mass", "must be at most trailer_mass")
    return trailer, tongue


def wheel_mass(build: Build) -> Array:
    """Mass on the wheels of the vehicle itself: with what it carries and the trailer's tongue. [kg]"""
    cargo = cargo_of(build)
    return np.asarray(build.number("vehicle_mass") + cargo.carried() + cargo.tongue)


def train_mass(build: Build) -> Array:
    """Mass to move: the vehicle with what it carries, and the whole trailer. [kg]"""
    cargo = cargo_of(build)
    return np.asarray(build.number("vehicle_mass") + cargo.carried() + cargo.trailer)


def level_axle_masses(build: Build) -> tuple[Array, Array]:
    """Mass on front and rear axle on level ground, which needs no height of the mass centre. [kg]"""
    cargo, own = cargo_of(build), build.number("vehicle_mass")
    share = build.number("front_axle_share")
    if not cargo.masses and not build.given("trailer_mass"):
        return share * own, own - share * own
    wheelbase, tongue = build.number("wheelbase"), cargo.tongue
    _require_on_board(build, cargo, wheelbase)
    hitch = wheelbase + build.number("hitch_overhang") if build.given("trailer_mass") else wheelbase
    front = loads.front_mass(own, share, wheelbase, (*cargo.masses, tongue), (*cargo.positions, hitch))
    rear = np.asarray(own + cargo.carried() + tongue - front)
    lifting = _lifting(build) if build.given("trailer_mass") else "loads"
    build.require(front > 0.0, lifting, "lifts the front axle off level ground")
    build.require(rear > 0.0, "loads", "lifts the rear axle off level ground")
    return front, rear


class Loads(NamedTuple):
    """A loaded vehicle: its own mass with what it carries, and what its trailer does to it."""

    mass: Array
    """Of the vehicle with what it carries, without the tongue. [kg]"""
    front_share: Array
    height: Array
    """Of its mass centre above the ground. [m]"""
    wheelbase: Array
    trailer: Array
    tongue: Array
    balance: Balance
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...]

    def on_axles(self, grade: Array) -> AxleLoads:
        """Normal force under each axle on a grade, uphill positive. [N]"""
        return loads.axle_loads(self.balance, grade)

    def greatest_on_axles(self, steepest: Array) -> AxleLoads:
        """The greatest under each axle on any grade from that slope down to that slope up. [N]"""
        return loads.greatest_axle_loads(self.balance, steepest)


def unit_loads(build: Build) -> Loads:
    """An unladen vehicle of unit mass, for what does not depend on it. Its loads are shares of the weight."""
    share, wheelbase = build.number("front_axle_share"), build.number("wheelbase")
    height, cautions = mass_centre_height(build)
    balance = loads.balance(1.0, share, wheelbase, height)
    return Loads(
        np.ones(()), share, height, wheelbase, _NOTHING, _NOTHING, balance, (MOMENTS, HEIGHT), cautions
    )


def loads_of(build: Build, trailer_rolling: Array = _NOTHING) -> Loads:
    """The loaded vehicle of a build that has a vehicle_mass; standing, or with a trailer that rolls.

    Raises
    ------
    InvalidBuild
        If a load stands beyond the bumpers, or load and trailer lift an axle off level ground.
    """
    if trailer_rolling is _NOTHING:
        return build.once("loads", lambda build: _loads(build, _NOTHING))
    return _loads(build, trailer_rolling)


def _loads(build: Build, trailer_rolling: Array) -> Loads:
    cargo, own = cargo_of(build), build.number("vehicle_mass")
    share, wheelbase = build.number("front_axle_share"), build.number("wheelbase")
    _require_on_board(build, cargo, wheelbase)
    mass = np.asarray(own + cargo.carried())
    front = loads.front_mass(own, share, wheelbase, cargo.masses, cargo.positions) / mass
    build.require(
        (front > 0.0) & (front < 1.0), "loads", "lift an axle off level ground: move or lighten them"
    )
    height, cautions = _height(build, own, cargo)
    balance = _balance(build, (mass, front, wheelbase, height), cargo, trailer_rolling)
    return Loads(
        mass, front, height, wheelbase, cargo.trailer, cargo.tongue, balance, (MOMENTS, HEIGHT), cautions
    )


def _require_on_board(build: Build, cargo: Cargo, wheelbase: Array) -> None:
    for position in cargo.positions:
        place = position / wheelbase
        build.require(
            (place >= LEAST_POSITION) & (place <= MOST_POSITION),
            "loads",
            f"stand beyond the bumpers: positions run from {LEAST_POSITION:g} to {MOST_POSITION:g} wheelbases "
            "behind the front axle",
        )


def _balance(build: Build, own: tuple[Array, ...], cargo: Cargo, trailer_rolling: Array) -> Balance:
    mass, front, wheelbase, height = own
    if not build.given("trailer_mass"):
        return loads.balance(mass, front, wheelbase, height)
    balance = loads.balance(
        mass,
        front,
        wheelbase,
        height,
        cargo.trailer,
        cargo.tongue,
        build.number("hitch_overhang"),
        build.number("hitch_height"),
        trailer_rolling,
    )
    build.require(balance.front > 0.0, _lifting(build), "lifts the front axle off level ground")
    return balance


def _lifting(build: Build) -> str:
    """The field of the trailer that lifts the front axle: the tongue's, where it is given."""
    return "tongue_mass" if build.given("tongue_mass") else "trailer_mass"


def _height(build: Build, own: Array, cargo: Cargo) -> tuple[Array, tuple[Caution, ...]]:
    """Height of the mass centre of vehicle and things carried; a thing without height sits at the vehicle's."""
    height, cautions = mass_centre_height(build)
    if not cargo.masses:
        return height, cautions
    heights = [np.where(np.isnan(each), height, each) for each in cargo.heights]
    return loads.common_height([own, *cargo.masses], [height, *heights]), cautions


def mass_centre_height(build: Build) -> tuple[Array, tuple[Caution, ...]]:
    """Height of the vehicle's own mass centre as it stands now: as given, else estimated and lifted. [m]"""
    if build.given("mass_centre_height"):
        return build.number("mass_centre_height"), ()
    roof = build.known("roof_height")
    stock = DEFAULTS["mass_centre_height"] if roof is None else loads.height_from_roof(roof)
    stock = build.vary("mass_centre_height", stock, "" if roof is None else "roof_height")
    height = np.asarray(stock + mass_centre_rise(build))
    build.require(height > 0.0, "lift_height", "puts the mass centre below the ground")
    build.assume("mass_centre_height", height)
    return height, (_ESTIMATED,)


def mass_centre_rise(build: Build) -> Array:
    """What lift and taller tyres add to the height of the mass centre. [m]"""
    rise = build.number("lift_height")
    if not build.given("original_tyre"):
        return rise
    return np.asarray(rise + (build.tyre().rolling_radius - build.tyre("original_tyre").rolling_radius))


def track_of(build: Build) -> Array | None:
    """Track as given, else from mounting width, wheel offset and hub boxes; None where neither is known. [m]"""
    if build.given("track"):
        return build.number("track")
    mounting, offset = build.known("mounting_width"), build.known("wheel_offset")
    if mounting is None or offset is None:
        return None
    box = build.known("hub_box_width")
    return housings.track(mounting if box is None else mounting + 2.0 * box, offset)


TRACK_FIELDS = ("track", "mounting_width", "wheel_offset", "hub_box_width")
"""What the track is read from."""


def above_load_index(size: TyreSize, heavier_axle: Array) -> tuple[Caution, ...]:
    """Return the caution on an axle that puts more on a tyre than its load index allows."""
    if size.load_capacity is None:
        return ()
    text = (
        "The heavier axle puts more on one tyre than its load index allows: carry less, or fit a tyre with a higher "
        "index."
    )
    return (stop("above-load-index", text, 0.5 * heavier_axle > size.load_capacity),)


LEAST_TONGUE, MOST_TONGUE = 0.07, 0.15
"""Tongue mass / trailer mass: advice runs from 7 to 15 %, owner's manuals from 9 to 15 %. [-]"""


def tongue_cautions(build: Build, cargo: Cargo) -> tuple[Caution, ...]:
    """Return the cautions on a trailer whose tongue is too light or too heavy."""
    if not build.given("tongue_mass") or not build.given("trailer_mass"):
        return ()
    return (
        stop(
            "tongue-light",
            "Less than 7 % of the trailer's mass rests on the hitch: it may begin to sway at speed. Move its load "
            "forward.",
            beyond(LEAST_TONGUE * cargo.trailer, cargo.tongue),
        ),
        check(
            "tongue-heavy",
            "More than 15 % of the trailer's mass rests on the hitch, and the front axle loses what the rear axle "
            "gains: move the trailer's load back.",
            beyond(cargo.tongue, MOST_TONGUE * cargo.trailer),
        ),
    )
