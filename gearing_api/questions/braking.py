"""What taller tyres, mass or a trailer do to the brakes, and what grip alone allows."""

import numpy as np

from gearing_api import units
from gearing_api.answer import DOES_NOT_APPLY, Answer, Caution, Question, Source, Value, check, note, stop
from gearing_api.build import Build
from gearing_api.mechanics import brakes
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.braking import braked_share, trailer_without_brakes, vehicle_share
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import ADHESION_BAND, SURFACES, adhesion
from gearing_api.vehicle.loads import LOAD_FIELDS, loads_of, train_mass
from gearing_api.vehicle.tyre import ROLLING, size_cautions

_TORQUE = Source(
    "force of a brake = torque / rolling radius; heat and grip do not change with the tyre",
    "published",
    "By definition",
)
_SHARE = Source(
    "ideal front share = front axle share + deceleration x height / wheelbase",
    "published",
    "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 3",
)
_LIFTED = Source(
    "a pickup lifted by 4 in with oversize tyres: 20 to 25 % worse at equal pedal",
    "published",
    "Second hand: US motor-vehicle administrators' study of altered height, 2003 (SAE 2002-01-3062), one vehicle",
)

DECELERATION = 0.5
"""At which the ideal share of the front axle is told. [g]"""

MORE_PEDAL, MUCH_MORE_PEDAL = 0.2, 0.5
"""Rise of the pedal force from which to look after the brakes, by the one published test, and to change the plan, this
service's choice. [-]"""


def answer(build: Build) -> Answer:
    """Changes against the vehicle before, energy of a stop, and how the axles share."""
    before, speed = build.original(), build.number("cruise_speed")
    mass, old_mass = _braked_mass(build), _braked_mass(before)
    radius, old_radius = build.tyre().rolling_radius, before.tyre().rolling_radius
    pedal = brakes.pedal_change(old_radius, radius, mass / old_mass)
    loaded = loads_of(build)
    share, wheelbase, height = loaded.front_share, loaded.wheelbase, loaded.height
    result: dict[str, Value] = {
        "brake_force_change_percent": brakes.force_change(old_radius, radius),
        "pedal_force_change_percent": pedal,
        "stop_energy": brakes.stop_energy(mass, speed),
        "stop_energy_change_percent": mass / old_mass - 1.0,
        "ideal_front_share": brakes.ideal_front_share(share, wheelbase, height, DECELERATION),
        "rear_locks_first_above": brakes.rear_locks_first_above(
            build.number("brake_front_share"), share, wheelbase, height
        ),
        "grip_stopping_distance": brakes.grip_stopping_distance(
            speed, adhesion(build, "low"), braked_share(build)
        ),
    }
    build.take_original_account(before)
    return Answer(
        result,
        sources=(ROLLING, _TORQUE, _SHARE, _LIFTED, *loaded.sources, SURFACES, ADHESION_BAND),
        summary=lambda: _summary(build, result),
        cautions=(
            stop("pedal-much-harder", _MUCH_HARDER, pedal > MUCH_MORE_PEDAL),
            check("pedal-harder", _HARDER, (pedal > MORE_PEDAL) & (pedal <= MUCH_MORE_PEDAL)),
            *_rear_first(build, result),
            *trailer_without_brakes(build),
            note("brakes-not-known", _NOT_KNOWN),
            *loaded.cautions,
            *size_cautions(build.tyre().size),
        ),
        absent=dict.fromkeys(QUESTION.results, DOES_NOT_APPLY),
    )


_HARDER = (
    "The pedal needs over 20 % more force for the same stop: have the brakes checked, and try them on an empty road "
    "before you rely on them."
)
_MUCH_HARDER = (
    "The pedal needs over half as much force again: a full stop may ask more than a leg or the booster gives. Carry "
    "less, give the trailer brakes, or fit larger brakes."
)
_REAR_FIRST = (
    "On this ground the rear wheels lock before the front ones, and the vehicle may spin: have the valve or anti-lock "
    "checked after the change."
)
_NOT_KNOWN = (
    "Pads, fluid, fade and the reach of the booster are not known here. In the one published test a pickup lifted by "
    "4 in on oversize tyres stopped 20 to 25 % worse at equal pedal."
)


def _braked_mass(build: Build) -> Array:
    """Mass that the vehicle's own brakes must stop. [kg]"""
    return np.asarray(train_mass(build) * vehicle_share(build))


def _rear_first(build: Build, result: dict[str, Value]) -> tuple[Caution, ...]:
    """The caution where the rear axle locks first at less than the ground allows, with a share that was measured."""
    if not build.given("brake_front_share"):
        return ()
    early = np.asarray(result["rear_locks_first_above"]) < adhesion(build, "low")
    return (check("rear-locks-first", _REAR_FIRST, early),)


def _summary(build: Build, result: dict[str, Value]) -> str:
    pedal = float(np.asarray(result["pedal_force_change_percent"]))
    amount = build.say(abs(pedal), units.PERCENT, 2)
    same = abs(pedal) < 5e-4
    force = (
        "The pedal needs the same force as before"
        if same
        else f"The pedal needs about {amount} {'more' if pedal > 0.0 else 'less'} force for the same stop"
    )
    speed = build.say(build.number("cruise_speed"), units.SPEED)
    way = build.say(result["grip_stopping_distance"], units.ELEVATION, 2)
    return (
        f"{force}; from {speed} grip alone allows about {way} on {build.word('surface').replace('-', ' ')}."
    )


QUESTION = Question(
    name="braking",
    asks="What do taller tyres, mass or a trailer do to the brakes, and which axle locks first?",
    needs=("tyre", "vehicle_mass"),
    uses=(
        *LOAD_FIELDS,
        "trailer_brakes",
        "rolling_factor",
        "cruise_speed",
        "brake_front_share",
        "surface",
        "adhesion",
    ),
    results=(
        "brake_force_change_percent",
        "pedal_force_change_percent",
        "stop_energy",
        "stop_energy_change_percent",
        "ideal_front_share",
        "rear_locks_first_above",
        "grip_stopping_distance",
    ),
    main="pedal_force_change_percent",
    row="downhill",
    answer=answer,
    example=truck(
        "tyre",
        "original_tyre",
        "cruise_speed",
        "vehicle_mass",
        "front_axle_share",
        "wheelbase",
        "mass_centre_height",
        loads=["330:45:40", "440:110:45"],
        trailer_mass=3100,
        trailer_brakes="yes",
        surface="dry-asphalt",
    ),
)
