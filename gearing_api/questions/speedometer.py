"""What does the speedometer show after the change, how far is the odometer out, is it within the rule?"""

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import Answer, Column, Question, Source, check, column, note
from gearing_api.build import Build
from gearing_api.mechanics import speedometers
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.tyre import ROLLING, no_original, size_cautions

_R39 = Source(
    "0 <= indicated - true <= true / 10 + 4 km/h",
    "published",
    "UN Regulation 39, par. 5.3, second hand (Revision 1 with Supplement 5, OJ L 120, 13 May 2010), for "
    "vehicles of categories L, M and N at type approval",
)
_CFR = Source(
    "within 5 mph at 50 mph",
    "published",
    "49 CFR 393.82, United States: buses, trucks and truck tractors in commerce",
)


READS_LOW_FROM = 1.02
"""True / indicated speed above which to have it recalibrated: 1 mph at 50. Common practice, no source. [-]"""
_SAME = 0.0005
_SPOKEN = units.number("60 mph", units.SPEED, "us")


def answer(build: Build) -> Answer:
    """Factors between reading and truth, and each reading judged by two rules."""
    distance = _distance_per_indicated(build)
    true = speedometers.true_per_indicated(distance, build.number("original_overreading_percent"))
    indicated = build.number("indicated_speeds")
    within_rule = speedometers.is_within_r39(indicated, indicated * true[..., None])
    commercial = speedometers.is_within_393_82(true)
    return Answer(
        result={
            "true_per_indicated": true,
            "distance_per_indicated": distance,
            "correction_factor": speedometers.correction_factor(1.0, true),
        },
        sources=(ROLLING, _R39, _CFR),
        summary=lambda: _summary(build, true),
        cautions=(
            *size_cautions(build.tyre().size),
            check(
                "reads-low",
                "You drive faster than the speedometer shows. Have it recalibrated before you rely on it.",
                beyond(true, READS_LOW_FROM),
            ),
            note(
                "outside-r39",
                "At some of these speeds the reading is outside UN R39, which allows no under-reading.",
                ~within_rule.all(axis=-1),
            ),
            note("outside-393-82", "At 50 mph the reading is outside 49 CFR 393.82.", ~commercial),
            note(
                "local-law",
                "UN R39 judges a vehicle at type approval and 49 CFR 393.82 commercial vehicles "
                "in the United States: the law where the vehicle is registered decides, and so does its "
                "inspector.",
            ),
            no_original(build),
        ),
        table=lambda: _table(indicated, true, within_rule, commercial),
    )


def _summary(build: Build, true: Array) -> str:
    spoken = float(build.number("indicated_speeds")[0]) if build.given("indicated_speeds") else _SPOKEN
    shown = build.say(spoken, units.SPEED)
    really = build.say(spoken * true, units.SPEED)
    if abs(float(true) - 1.0) < _SAME:
        return f"At {shown} on the speedometer the truck does {really}: it reads true."
    low = "slow" if true > 1.0 else "fast"
    off = build.say(abs(float(true) - 1.0), units.PERCENT, 2)
    return f"At {shown} on the speedometer the truck really does {really}: it reads {off} {low}."


def _distance_per_indicated(build: Build) -> Array:
    new, old = build.tyre().rolling_circumference, build.tyre("original_tyre").rolling_circumference
    sensor = build.word("speed_sensor")
    if sensor == "wheel" or not build.has("axle_ratio"):
        return speedometers.distance_per_indicated_at_wheel(new, old)
    original = build.original()
    now = build.number("axle_ratio") * build.number("hub_ratio")
    before = build.number("original_axle_ratio") * original.number("hub_ratio")
    build.take_original_account(original)
    return speedometers.distance_per_indicated_at_gearbox(new, old, now, before)


def _table(
    indicated: Array, true: Array, within_rule: NDArray[np.bool_], commercial: NDArray[np.bool_]
) -> tuple[Column, ...]:
    test_speed = speedometers.CFR_393_82_TEST_SPEED
    shown = [*indicated, test_speed / true]
    return (
        column("indicated_speed", np.array(shown)),
        column("true_speed", np.array([*(indicated * true), test_speed])),
        column("rule", ["UN R39"] * len(indicated) + ["49 CFR 393.82"]),
        column("within_rule", [*within_rule.tolist(), bool(commercial)]),
    )


QUESTION = Question(
    name="speedometer",
    asks="What does the speedometer now show, how far is the odometer out, and is it within the rule?",
    needs=("tyre",),
    uses=(
        "original_tyre",
        "axle_ratio",
        "original_axle_ratio",
        "hub_ratio",
        "ring_teeth",
        "pinion_teeth",
        "rolling_factor",
        "speed_sensor",
        "original_overreading_percent",
        "indicated_speeds",
    ),
    results=("true_per_indicated", "distance_per_indicated", "correction_factor"),
    main="true_per_indicated",
    row="speedometer",
    leads=True,
    answer=answer,
    example=truck(
        "tyre", "original_tyre", "axle_ratio", "original_axle_ratio", original_overreading_percent=3
    ),
    table=("indicated_speed", "true_speed", "rule", "within_rule"),
)
