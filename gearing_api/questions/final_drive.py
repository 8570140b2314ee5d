"""After a tyre change, what axle ratio does it feel like, and which ratio restores the original?"""

import numpy as np

from gearing_api.build import Build, FittedTyre
from gearing_api.mechanics import gearing
from gearing_api.questions.answer import Answer, Caution, Question, Source
from gearing_api.questions.demo import truck
from gearing_api.questions.tyre import ROLLING, size_cautions

PROPORTION = Source(
    "engine speed at a road speed is proportional to axle ratio / rolling circumference",
    "published",
    "US EPA Test Car List, model years 2004-2023: pairs of test vehicles that differ in axle or tyre",
)


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
            "restoring_ratio": gearing.restoring_axle_ratio(original_ratio, new, old),
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
            unequal_construction(fitted, original),
            Caution(
                "both-axles",
                "On a vehicle driven at both axles, front and rear ratio are changed together.",
                np.abs(ratio - original_ratio) > 1e-9,
            ),
        ),
    )


def unequal_construction(fitted: FittedTyre, original: FittedTyre) -> Caution:
    """What must be said where a radial and a bias tyre are compared."""
    return Caution(
        "unequal-construction",
        "The two tyres differ in construction, each has its own rolling factor.",
        fitted.size.construction != original.size.construction,
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
