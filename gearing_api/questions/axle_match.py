"""Do front and rear agree closely enough to lock the two axles together?"""

import numpy as np

from gearing_api import units
from gearing_api.answer import Answer, Question, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.tyre import ROLLING, size_cautions

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


_SAME = 1e-9


def answer(build: Build) -> Answer:
    """Pinion turns of both axles, their mismatch, and the wind-up between them."""
    front_tyre, rear_tyre = build.tyre("front_tyre"), build.tyre("rear_tyre")
    hub = build.number("hub_ratio")
    front = gearing.pinion_turns(
        build.number("front_axle_ratio") * hub, front_tyre.rolling_circumference, 1.0
    )
    rear = gearing.pinion_turns(build.number("rear_axle_ratio") * hub, rear_tyre.rolling_circumference, 1.0)
    mismatch = gearing.lead(front, rear)
    return Answer(
        result={
            "front_turns_per_distance": front,
            "rear_turns_per_distance": rear,
            "mismatch_percent": mismatch,
            "windup_per_distance": np.abs(front - rear),
        },
        sources=(ROLLING, _TRACTORS, _LOCKED),
        summary=lambda: _summary(build, mismatch),
        cautions=(
            *size_cautions(front_tyre.size),
            note(
                "no-tolerance",
                "No published tolerance was found for vehicles with equal tyres, so none is "
                "judged here. The published figure for tractors, front 1 to 5 % ahead, is for unequal tyres "
                "on soft ground. The makers of transfer case and axles decide.",
            ),
            note(
                "wind-up",
                "Front and rear differ: with both axles locked together on hard ground the "
                "driveline winds up. Engage the front axle on loose ground only.",
                np.abs(mismatch) > 1e-9,
            ),
            note(
                "wear",
                "Tyre wear and unequal pressure change the rolling circumference too, and with it the "
                "mismatch.",
            ),
        ),
    )


def _summary(build: Build, mismatch: Array) -> str:
    if abs(float(mismatch)) < _SAME:
        return "Front and rear axle agree."
    off = build.say(abs(float(mismatch)), units.PERCENT, 2)
    return f"The {'front' if mismatch > 0.0 else 'rear'} axle runs {off} ahead of the other."


QUESTION = Question(
    name="axle-match",
    asks="Do front and rear axle ratios and tyres agree closely enough to lock the two axles together?",
    needs=("front_axle_ratio", "rear_axle_ratio", "front_tyre", "rear_tyre"),
    uses=("tyre", "axle_ratio", "ring_teeth", "pinion_teeth", "hub_ratio", "rolling_factor"),
    results=(
        "front_turns_per_distance",
        "rear_turns_per_distance",
        "mismatch_percent",
        "windup_per_distance",
    ),
    main="mismatch_percent",
    answer=answer,
    example=truck("tyre", front_axle_ratio=4.1, rear_axle_ratio=4.11),
)
