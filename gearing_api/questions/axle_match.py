"""Do front and rear agree closely enough to lock the two axles together?"""

from typing import NamedTuple

import numpy as np

from gearing_api import units
from gearing_api.answer import Absent, Answer, Caution, Question, Source, Value, check, needs, note, stop
from gearing_api.build import Build
from gearing_api.mechanics import gearing, wind_up
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import SURFACES, adhesion
from gearing_api.vehicle.tyre import GRAVITY, ROLLING, size_cautions

_MAKERS = Source(
    "mismatch = 1 - front turns / rear turns; up to 1.0 % where the shafts are always joined, 2.0 % where the "
    "front axle can be taken out, 3.0 % with a centre differential",
    "published",
    "A commercial transfer-case service manual, p. 37: limits of a truck maker; for light vehicles no source",
)
_TRACTORS = Source(
    "front axles of tractors should run 1 to 5 % ahead, 0 to 6 % is accepted",
    "published",
    "Agricultural tyre-trade texts on front-wheel lead; made for unequal tyres on soft ground",
)
_LOCKED = Source(
    "a transfer case without a centre differential must let the driver take out the front axle",
    "published",
    "MIL-T-62320C, par. 3.4.5.1.2",
)
_SLIP = Source(
    "force of a slipping tyre = slip x stiffness x load, in both axles in turn, capped by the grip; stiffness 15.65, "
    "from 7 to 22",
    "published",
    "Tyre files of an open multibody library and of a US national-laboratory vehicle simulator; not measured on "
    "this tyre",
)

CLEAR, DECLUTCHED, CENTRE = 0.010, 0.020, 0.030
"""The maker's limits of the amount of the mismatch. [-]"""

_STIFFNESS, _SOFT, _STIFF = 15.65, 7.0, 22.0
_SAME = 1e-9


class _Axle(NamedTuple):
    """Pinion turns over a metre, and how far the wheels of one axle differ. [turns, -]"""

    turns: Array
    side_by_side: Array


def answer(build: Build) -> Answer:
    """Pinion turns of both axles, their mismatch, and what it puts between them."""
    front, rear = _axle(build, "front"), _axle(build, "rear")
    mismatch = wind_up.mismatch(front.turns, rear.turns)
    result: dict[str, Value] = {
        "front_turns_per_distance": front.turns,
        "rear_turns_per_distance": rear.turns,
        "mismatch_percent": mismatch,
        "windup_per_distance": np.abs(front.turns - rear.turns),
        "windup_force": None,
        "windup_shaft_torque": None,
    }
    if build.given("vehicle_mass"):
        bound = _wind_up(build, mismatch, _STIFFNESS)
        result |= {"windup_force": bound.force, "windup_shaft_torque": bound.shaft_torque}
    return Answer(
        result,
        sources=(ROLLING, _MAKERS, _SLIP, SURFACES, _TRACTORS, _LOCKED),
        summary=lambda: _summary(build, mismatch),
        absent=dict.fromkeys(("windup_force", "windup_shaft_torque"), _NO_MASS),
        cautions=(
            *size_cautions(build.tyre("front_tyre").size),
            *_mismatched(build, np.abs(mismatch)),
            *_spare(build, front, rear),
            note(
                "wear",
                "Tyre wear and unequal pressure change the rolling circumference too: measure both axles' rolled "
                "distance before you decide.",
            ),
        ),
    )


_NO_MASS: Absent = needs("vehicle_mass")


def _axle(build: Build, position: str) -> _Axle:
    """An axle by its ratio, hub and tyres; with the spare on one wheel it turns as the mean of both."""
    circumference = build.tyre(f"{position}_tyre").rolling_circumference
    differ = np.zeros(())
    if build.given("spare_tyre") and build.word("spare_position") == position:
        spare = build.tyre("spare_tyre").rolling_circumference
        differ = np.asarray(np.abs(spare / circumference - 1.0))
        circumference = 0.5 * (circumference + spare)
    ratio = build.number(f"{position}_axle_ratio") * build.number(f"{position}_hub_ratio")
    return _Axle(gearing.pinion_turns(ratio, circumference, 1.0), differ)


def _wind_up(build: Build, mismatch: Array, stiffness: float) -> wind_up.WindUp:
    weight, share = build.number("vehicle_mass") * GRAVITY, build.number("front_axle_share")
    ratio = build.number("front_axle_ratio") * build.number("front_hub_ratio")
    radius = build.tyre("front_tyre").rolling_radius
    return wind_up.wind_up(
        mismatch, weight * share, weight * (1.0 - share), stiffness, adhesion(build), radius, ratio
    )


def _mismatched(build: Build, amount: Array) -> tuple[Caution, ...]:
    """The maker's limits, by the size of the mismatch."""
    most = CENTRE if build.word("centre_differential") == "yes" else DECLUTCHED
    return (
        check(
            "axles-differ",
            "Do not use four-wheel drive on hard ground: above 1 % a truck maker lets the axles be joined on loose "
            "ground alone. The makers of your transfer case and axles decide.",
            beyond(amount, CLEAR) & ~beyond(amount, most),
        ),
        stop(
            "axles-disagree",
            "Do not use four-wheel drive on hard ground: the mismatch is above every limit a truck maker gives.",
            beyond(amount, most) & ~beyond(amount, CENTRE),
        ),
        stop(
            "axles-disagree",
            "Do not use four-wheel drive on any ground until both axles agree.",
            beyond(amount, CENTRE),
        ),
    )


def _spare(build: Build, front: _Axle, rear: _Axle) -> tuple[Caution, ...]:
    if not build.given("spare_tyre"):
        return ()
    position = build.word("spare_position")
    differ = front.side_by_side if position == "front" else rear.side_by_side
    locked = build.word(f"{position}_differential") in ("locked", "spool")
    if not locked:
        return (
            note(
                "spare-fitted",
                "With the spare on one wheel the axle turns as the mean of both.",
                differ > _SAME,
            ),
        )
    return (
        check(
            "spare-in-locked-axle",
            "The two wheels of a locked axle differ: unlock it, or drive slowly on loose ground to the next tyre.",
            beyond(differ, CLEAR) & ~beyond(differ, DECLUTCHED),
        ),
        stop(
            "spare-in-locked-axle",
            "The two wheels of a locked axle differ by more than 2 %: unlock the axle before you drive on.",
            beyond(differ, DECLUTCHED),
        ),
    )


def _summary(build: Build, mismatch: Array) -> str:
    if abs(float(mismatch)) < _SAME:
        return "Front and rear axle agree."
    off = build.say(abs(float(mismatch)), units.PERCENT, 2)
    ahead = f"The {'front' if mismatch > 0.0 else 'rear'} axle runs {off} ahead"
    if not build.given("vehicle_mass"):
        return f"{ahead} of the other."
    low, high = (_wind_up(build, mismatch, stiffness).force for stiffness in (_SOFT, _STIFF))
    least, most = (build.say(force, units.FORCE, 2) for force in (low, high))
    force = f"about {most}" if least == most else f"about {least.split()[0]} to {most}"
    return f"{ahead}; joined on hard ground the tyres fight each other with {force}."


QUESTION = Question(
    name="axle-match",
    asks="Do front and rear axle ratios and tyres agree closely enough to lock the two axles together?",
    needs=("front_axle_ratio", "rear_axle_ratio", "front_tyre", "rear_tyre"),
    uses=(
        "tyre",
        "axle_ratio",
        "ring_teeth",
        "pinion_teeth",
        "hub_ratio",
        "front_hub_ratio",
        "rear_hub_ratio",
        "rolling_factor",
        "vehicle_mass",
        "front_axle_share",
        "surface",
        "adhesion",
        "centre_differential",
        "spare_tyre",
        "spare_position",
        "differential",
        "front_differential",
        "rear_differential",
    ),
    results=(
        "front_turns_per_distance",
        "rear_turns_per_distance",
        "mismatch_percent",
        "windup_per_distance",
        "windup_force",
        "windup_shaft_torque",
    ),
    main="mismatch_percent",
    row="driveline",
    answer=answer,
    example=truck("tyre", "vehicle_mass", "front_axle_share", front_axle_ratio=4.1, rear_axle_ratio=4.11),
)
