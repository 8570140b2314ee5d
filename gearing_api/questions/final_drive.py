"""After a tyre change, what axle ratio does it feel like, and which ratio restores the original?"""

import numpy as np

from gearing_api.answer import Answer, Caution, Question, not_known
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.tyre import PROPORTION, ROLLING, restoring_ratio, size_cautions, unequal_construction

_NO_RATIO = (not_known(["restoring_ratio"], "original_tyre"),)


def answer(build: Build) -> Answer:
    """Effective and restoring ratio, and the change in engine speed."""
    fitted, original = build.tyre(), build.tyre("original_tyre")
    ratio, original_ratio = build.number("axle_ratio"), build.number("original_axle_ratio")
    new, old = fitted.rolling_circumference, original.rolling_circumference
    effective = gearing.effective_axle_ratio(ratio, new, old)
    return Answer(
        result={
            "circumference_change_percent": new / old - 1.0,
            "effective_ratio": effective,
            "restoring_ratio": restoring_ratio(build),
            "engine_speed_change_percent": effective / original_ratio - 1.0,
        },
        sources=(ROLLING, PROPORTION),
        cautions=(
            *size_cautions(fitted.size),
            Caution(
                "no-original",
                "No original_tyre was given: the tyre is compared with itself.",
                not build.given("original_tyre"),
            ),
            *_NO_RATIO * (not build.given("original_tyre")),
            unequal_construction(fitted, original),
            Caution(
                "both-axles",
                "On a vehicle driven at both axles, front and rear ratio are changed together.",
                np.abs(ratio - original_ratio) > 1e-9,
            ),
        ),
    )


QUESTION = Question(
    name="final-drive",
    asks="After the tyre change, what axle ratio does it feel like, and which ratio restores the original?",
    needs=("tyre", "axle_ratio"),
    uses=("original_tyre", "original_axle_ratio", "ring_teeth", "pinion_teeth", "rolling_factor"),
    results=(
        "circumference_change_percent",
        "effective_ratio",
        "restoring_ratio",
        "engine_speed_change_percent",
    ),
    answer=answer,
    example=truck("tyre", "original_tyre", "axle_ratio", "original_axle_ratio"),
)
