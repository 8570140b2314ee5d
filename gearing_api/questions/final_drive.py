"""After a tyre change, what axle ratio does it feel like, and which ratio restores the original?"""

import numpy as np

from gearing_api.answer import Answer, Question, needs, note
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.tyre import (
    PROPORTION,
    ROLLING,
    no_original,
    restoring_ratio,
    size_cautions,
    step_up,
    unequal_construction,
)


def answer(build: Build) -> Answer:
    """Effective and restoring ratio, and the change in engine speed."""
    fitted, original = build.tyre(), build.tyre("original_tyre")
    ratio, original_ratio = build.number("axle_ratio"), build.number("original_axle_ratio")
    new, old = fitted.rolling_circumference, original.rolling_circumference
    effective = gearing.effective_axle_ratio(ratio, new, old) * step_up(build)
    restoring = restoring_ratio(build)
    return Answer(
        result={
            "circumference_change_percent": new / old - 1.0,
            "effective_ratio": effective,
            "restoring_ratio": restoring,
            "engine_speed_change_percent": effective / original_ratio - 1.0,
        },
        sources=(ROLLING, PROPORTION),
        summary=lambda: _summary(build, effective, restoring),
        absent={"restoring_ratio": needs("original_tyre")},
        cautions=(
            *size_cautions(fitted.size),
            no_original(build),
            unequal_construction(fitted, original),
            note(
                "both-axles",
                "On a vehicle driven at both axles, front and rear ratio are changed together.",
                np.abs(ratio - original_ratio) > 1e-9,
            ),
        ),
    )


def _summary(build: Build, effective: Array, restoring: Array | None) -> str:
    fitted = build.say_ratio(build.number("axle_ratio"))
    if restoring is None:
        return (
            f"{fitted} is compared on one tyre: give the original tyre (original_tyre) to see what the "
            "change feels like."
        )
    feels, gives_back = build.say_ratio(effective), build.say_ratio(restoring)
    return (
        f"{fitted} on the new tyres feels like {feels} on the old ones; {gives_back} restores the original."
    )


QUESTION = Question(
    name="final-drive",
    asks="After the tyre change, what axle ratio does it feel like, and which ratio restores the original?",
    needs=("tyre", "axle_ratio"),
    uses=(
        "original_tyre",
        "original_axle_ratio",
        "ring_teeth",
        "pinion_teeth",
        "hub_ratio",
        "gear_ratios",
        "transfer_ratios",
        "rolling_factor",
    ),
    results=(
        "circumference_change_percent",
        "effective_ratio",
        "restoring_ratio",
        "engine_speed_change_percent",
    ),
    main="effective_ratio",
    row="feel",
    leads=True,
    spoken="restoring_ratio",
    answer=answer,
    example=truck("tyre", "original_tyre", "axle_ratio", "original_axle_ratio"),
)
