"""Mass, axle loads, height of the mass centre and stiffness of the tyres, from scales and a tape."""

from typing import NamedTuple

import numpy as np

from gearing_api.answer import Caution, Source, check, note
from gearing_api.build import DEFAULTS, Build
from gearing_api.mechanics import loads, measurements, tyres
from gearing_api.vehicle.loads import mass_centre_rise
from gearing_api.vehicle.readings import (
    LIFT,
    SAG,
    WEIGHED,
    Figure,
    Finding,
    accepted,
    figure,
    finding,
    read_within,
    uncertainty,
    usual,
)
from gearing_api.vehicle.tyre import GRAVITY

MASS_FIELDS = (
    "front_axle_weighed",
    "rear_axle_weighed",
    "vehicle_mass",
    "front_axle_share",
    "lifted_axle",
    "lifted_axle_height",
    "other_axle_load",
    "wheelbase",
    "mass_centre_height",
    "roof_height",
    "lift_height",
    "original_tyre",
    "measured_sag",
    "tyre_load",
    "tyre_pressure",
    "vertical_stiffness",
)

SCALES = Source(
    "mass = sum of both axle loads; front share = front axle load / mass",
    "published",
    "By definition, on level ground",
)
LIFTING = Source(
    "mass centre = wheel radius + gained load x wheelbase / (mass x tan of the lift's angle)",
    "published",
    "ISO 10392:2011, axle lift (extract): blocked suspension, three lifts, both axles; the formula second hand",
)
STIFFNESS = Source(
    "vertical stiffness = load / deflection, at the pressure of the measurement",
    "published",
    "By definition; the tyre stiffens a little as it sags",
)

ROUGH_HEIGHT = 0.05
"""Uncertainty of a height by lifting / height, above which the lift says little. [-]"""

_AS_WEIGHED = note(
    "mass-as-weighed",
    "The mass is that on the scales, with all that was aboard: do not give the same things again in loads.",
)
_ROUGH = check(
    "lift-says-little",
    "The scale gained so little that its steps decide: lift higher, read a finer scale, and repeat from the other end.",
    False,
)
_UNBLOCKED = note(
    "lift-unblocked",
    "Springs and tyres that give way falsify it by a few percent: block the suspension, and use three lifts or more.",
)


class Masses(NamedTuple):
    """What scales and tape say."""

    mass: Finding | None
    share: Finding | None
    height: Finding | None
    stiffness: Finding | None
    loaded_radius: Figure | None
    cautions: tuple[Caution, ...]
    sources: tuple[Source, ...]

    def findings(self) -> tuple[Finding, ...]:
        """Those there are."""
        return tuple(one for one in (self.mass, self.share, self.height, self.stiffness) if one is not None)


def masses_of(build: Build) -> Masses:
    """What scales and tape say, each None where it was not measured."""
    mass, share = _weighed(build)
    stiffness, radius = _stiffness(build)
    height, of_height = _height(build, radius)
    return Masses(
        mass,
        share,
        height,
        stiffness,
        radius,
        (*[_AS_WEIGHED] * (mass is not None), *of_height),
        (
            *[SCALES] * (mass is not None),
            *[LIFTING] * (height is not None),
            *[STIFFNESS] * (stiffness is not None),
        ),
    )


def _weighed(build: Build) -> tuple[Finding | None, Finding | None]:
    if not WEIGHED.is_whole(build):
        return None, None
    front, rear = build.number("front_axle_weighed"), build.number("rear_axle_weighed")
    total, share = front + rear, front / (front + rear)
    build.require(
        accepted("vehicle_mass", total),
        "front_axle_weighed",
        "and rear_axle_weighed say no mass of a vehicle",
    )
    build.require(
        accepted("front_axle_share", share),
        "front_axle_weighed",
        "must be 0.1 to 0.9 of both axles together: check that each axle was weighed by itself",
    )
    of_front, of_rear = (
        figure(build, name, uncertainty("axle-weighed")).uncertainty for name in WEIGHED.readings
    )
    mass = Figure(total, np.asarray(np.hypot(of_front, of_rear)))
    of_share = Figure(share, np.asarray(np.hypot(rear * of_front, front * of_rear) / (total * total)))
    if build.given("front_axle_share"):
        said = figure(build, "front_axle_share", uncertainty("mass-as-given"))
    else:
        said = usual("front_axle_share", "", build.number("front_axle_share"))
    return (
        finding("vehicle_mass", "both axles weighed", WEIGHED.readings, mass, _given_mass(build)),
        finding("front_axle_share", "both axles weighed", WEIGHED.readings, of_share, said),
    )


def _given_mass(build: Build) -> Figure | None:
    if not build.given("vehicle_mass"):
        return None
    return figure(build, "vehicle_mass", build.number("vehicle_mass") * uncertainty("mass-as-given"))


def mass_to_move(build: Build, weighed: Finding | None) -> Figure:
    """The mass of the vehicle: as weighed, else as given."""
    if weighed is not None:
        return weighed.best
    return figure(build, "vehicle_mass", build.number("vehicle_mass") * uncertainty("mass-as-given"))


def _height(build: Build, loaded_radius: Figure | None) -> tuple[Finding | None, tuple[Caution, ...]]:
    if not LIFT.is_whole(build):
        return None, ()
    front, rear = (figure(build, name, uncertainty("axle-weighed")) for name in WEIGHED.readings)
    level = rear if build.word("lifted_axle") == "front" else front
    other = figure(build, "other_axle_load", uncertainty("axle-weighed"))
    gained = other.value - level.value
    base, lift = build.number("wheelbase"), build.number("lifted_axle_height")
    build.require(lift < base, "lifted_axle_height", "must be less than wheelbase")
    build.require(
        gained > 0.0,
        "other_axle_load",
        "must be more than that axle weighed on level ground: lifting one axle loads the other",
    )
    mass, radius = front.value + rear.value, loaded_radius or _wheel_radius(build)
    height = measurements.mass_centre_from_lift(radius.value, gained, mass, base, lift)
    build.require(
        accepted("mass_centre_height", height),
        "other_axle_load",
        "gains so much that the mass centre would lie above 120 in (3 m): check lift, loads and wheelbase",
    )
    above = height - radius.value
    two_scales = np.hypot(other.uncertainty, level.uncertainty) / gained
    of_height = read_within(build, "lifted_axle_height", uncertainty("lift")) / lift
    of_lift = np.hypot(of_height, read_within(build, "wheelbase", uncertainty("wheelbase")) / base)
    measured = Figure(height, np.asarray(np.hypot(radius.uncertainty, above * np.hypot(two_scales, of_lift))))
    found = finding("mass_centre_height", "one axle lifted", LIFT.readings, measured, _usual_height(build))
    return found, (_ROUGH._replace(where=measured.uncertainty > ROUGH_HEIGHT * height), _UNBLOCKED)


def _wheel_radius(build: Build) -> Figure:
    radius = build.tyre().rolling_radius
    return Figure(radius, np.asarray(radius * 0.0 + uncertainty("wheel-radius")))


def _usual_height(build: Build) -> Figure:
    """Height of the mass centre as given, else by roof height or kind of vehicle, plus lift and taller tyres."""
    default = np.asarray(DEFAULTS["mass_centre_height"])
    if build.given("mass_centre_height"):
        return figure(build, "mass_centre_height", usual("mass_centre_height", "", default).uncertainty)
    roof = build.known("roof_height")
    if roof is None:
        stock = usual("mass_centre_height", "", default)
    else:
        stock = usual("mass_centre_height", "roof_height", loads.height_from_roof(roof))
    return Figure(np.asarray(stock.value + mass_centre_rise(build)), stock.uncertainty)


def _stiffness(build: Build) -> tuple[Finding | None, Figure | None]:
    """Stiffness of a tyre and its loaded radius, from how far it sags."""
    if not SAG.is_whole(build):
        return None, None
    sag, load = build.number("measured_sag"), build.number("tyre_load")
    stiffness = load * GRAVITY / sag
    build.require(
        accepted("vertical_stiffness", stiffness),
        "measured_sag",
        "under tyre_load says no stiffness of a tyre, 200 to 20,000 lbf/in (35 to 3,500 N/mm): check both",
    )
    size = build.tyre().size if build.given("tyre") else None
    if size is not None:
        tallest = 0.5 * size.diameter if size.section_height is None else size.section_height
        build.require(
            sag < np.asarray(tallest), "measured_sag", "must be less than the height of the tyre's section"
        )
    of_sag = read_within(build, "measured_sag", uncertainty("sag")) / sag
    of_load = read_within(build, "tyre_load", 0.0) / load
    measured = Figure(stiffness, np.asarray(stiffness * np.hypot(of_sag, of_load)))
    found = finding(
        "vertical_stiffness", "deflection of a tyre", SAG.readings, measured, _usual_stiffness(build)
    )
    if size is None:
        return found, None
    radius = tyres.loaded_radius(size.diameter, sag)
    return found, Figure(radius, np.asarray(radius * 0.0 + uncertainty("wheel-radius")))


def _usual_stiffness(build: Build) -> Figure | None:
    """Stiffness as given, else by the formula, taken at the middle of what it was against measurements."""
    pressure = build.number("tyre_pressure")
    if build.given("vertical_stiffness"):
        given = build.number("vertical_stiffness")
        return figure(build, "vertical_stiffness", usual("vertical_stiffness", "", given).uncertainty)
    size = build.tyre().size if build.given("tyre") else None
    if (
        size is None
        or size.section_height is None
        or size.nominal_width is None
        or size.construction == "bias"
    ):
        return None
    aspect = size.section_height / size.nominal_width
    formula = tyres.vertical_stiffness(pressure, size.nominal_width, aspect, size.diameter)
    return usual("vertical_stiffness", "", formula)
