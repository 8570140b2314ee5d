"""Which available axle ratio suits this build, ranked, with the reason for each."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import Answer, Caution, Column, Question, Source, column, not_known
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.candidates import (
    CANDIDATE_FIELDS,
    Figures,
    Geared,
    Ratios,
    available,
    figures,
    geared,
)
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.drivetrain import require_idle_below_redline
from gearing_api.vehicle.engine import ENGINE
from gearing_api.vehicle.targets import Target, meets, reason
from gearing_api.vehicle.tyre import PROPORTION, ROLLING, restoring_ratio, size_cautions, unequal_construction

_ORIGINAL = "original_tyre and original_axle_ratio"
_NEAR_ORIGINAL = np.array([0.9, 1.1])

_ORDER = Source(
    "ranked by the number of targets met, then by nearness to the restoring ratio; where the original is not "
    "known, to the middle of cruise_engine_speed_range; without either the smallest ratio first",
    "common practice",
    "Common practice, no published source: the order is this service's choice",
)
_LACKING = {
    "cruise": not_known(
        ["lowest_ratio_for_cruise", "highest_ratio_for_cruise"], f"cruise_engine_speed_range, or {_ORIGINAL}"
    ),
    "grade": not_known(["steepest_grade_percent"], f"vehicle_mass and {ENGINE}"),
    "crawl": not_known(["lowest_ratio_for_crawl"], "target_crawl_ratio or target_crawl_speed"),
    "ring gear": not_known(
        ["ring_gear_load_index"],
        f"ring_gear_diameter (or ring_gear_load_limit), peak_torque, vehicle_mass, {_ORIGINAL}",
    ),
}
_NOTHING_JUDGED = not_known(
    ["recommended_ratio", "recommended_meets", "meets", "reason"], "something to judge by"
)
_NO_ORIGINAL = not_known(["restoring_ratio", "effective_ratio", "change_percent"], _ORIGINAL)
_ALWAYS = (
    Caution("both-axles", "Front and rear axle are changed together."),
    Caution("carrier", "Some axles need another carrier beyond a certain ratio: ask the gear's maker."),
    Caution("speedometer", "Have the speedometer corrected after the change: see the question speedometer."),
)
_NONE_FITS = "No candidate meets every target: the first comes nearest."


class _Ranking(NamedTuple):
    """Which candidates meet each target, and the order, best first."""

    met: list[NDArray[np.bool_]]
    targets_met: NDArray[np.intp]
    order: NDArray[np.intp]
    best_ratio: Array


def answer(build: Build) -> Answer:
    """The ratio that ranks first and the bounds on it as scalars; every candidate in the table."""
    require_idle_below_redline(build)
    at_one, restoring = geared(build), restoring_ratio(build)
    wanted = _cruise_range(build, at_one, restoring)
    ratios = available(build)
    found = figures(build, at_one, ratios.axle_ratio, restoring is not None)
    targets, unjudged = _targets(build, found, wanted)
    lowest, highest = (
        (None, None) if wanted is None else _ends(wanted / at_one.cruise_engine_speed[..., None])
    )
    aim = restoring
    if aim is None and lowest is not None and highest is not None:
        aim = 0.5 * (lowest + highest)
    ranking = _ranking(ratios.axle_ratio, targets, aim)
    most_met = ranking.targets_met.max(axis=-1)
    return Answer(
        result={
            "restoring_ratio": restoring,
            "recommended_ratio": ranking.best_ratio if targets else None,
            "recommended_meets": meets(most_met, len(targets)) if targets else None,
            "lowest_ratio_for_cruise": lowest,
            "highest_ratio_for_cruise": highest,
            "lowest_ratio_for_crawl": _lowest_for_crawl(build, at_one),
        },
        sources=(ROLLING, PROPORTION, *found.sources, _ORDER),
        cautions=(
            *size_cautions(build.tyre().size),
            Caution("none-fits", _NONE_FITS, most_met < len(targets)),
            _NO_ORIGINAL
            if restoring is None
            else unequal_construction(build.tyre(), build.tyre("original_tyre")),
            *unjudged,
            *found.cautions,
            *_ALWAYS,
        ),
        table=lambda: _table(build, ratios, found, targets, ranking, restoring, aim),
    )


def _ends(pair: Array) -> tuple[Array, Array]:
    return pair[..., 0], pair[..., 1]


def _cruise_range(build: Build, at_one: Geared, restoring: Array | None) -> Array | None:
    """Lowest and highest engine speed wanted at cruise, on the last axis."""
    if build.given("cruise_engine_speed_range") or restoring is None:
        return build.known("cruise_engine_speed_range")
    near_original: Array = (at_one.cruise_engine_speed * restoring)[..., None] * _NEAR_ORIGINAL
    build.assume("cruise_engine_speed_range", near_original)
    return near_original


def _targets(
    build: Build, found: Figures, wanted: Array | None
) -> tuple[tuple[Target, ...], tuple[Caution, ...]]:
    """What the fields given allow to judge; what else could be is named."""
    ratio, speed = build.known("target_crawl_ratio"), build.known("target_crawl_speed")
    targets: list[Target] = []
    lacking: list[str] = []
    if wanted is None:
        lacking.append("cruise")
    else:
        targets.append(Target("engine speed", units.ROTATION, 0, found.cruise_engine_speed, *_ends(wanted)))
    if found.grade is None:
        lacking.append("grade")
    else:
        least = build.number("hold_grade_percent")
        targets.append(Target("grade held", units.PERCENT, 1, found.grade, least=least))
    if ratio is not None:
        targets.append(Target("crawl ratio", units.NUMBER, 1, found.crawl_ratio, least=ratio))
    if speed is not None:
        targets.append(Target("crawl speed", units.SPEED, 2, found.crawl_speed, most=speed))
    if ratio is None and speed is None:
        lacking.append("crawl")
    if found.ring_gear_load_index is None:
        lacking.append("ring gear")
    else:
        most = build.number("ring_gear_load_limit")
        targets.append(Target("ring-gear load index", units.NUMBER, 2, found.ring_gear_load_index, most=most))
    unjudged = Caution("not-judged", f"Not judged, for lack of fields: {', '.join(lacking)}.", bool(lacking))
    nothing = (_NOTHING_JUDGED,) * (not targets)
    return tuple(targets), (unjudged, *(_LACKING[name] for name in lacking), *nothing)


def _lowest_for_crawl(build: Build, at_one: Geared) -> Array | None:
    """The least axle ratio that reaches the crawl targets given."""
    ratio, speed = build.known("target_crawl_ratio"), build.known("target_crawl_speed")
    by_ratio = None if ratio is None else ratio / at_one.crawl_ratio
    by_speed = None if speed is None else at_one.crawl_speed / speed
    if by_ratio is None or by_speed is None:
        return by_speed if by_ratio is None else by_ratio
    return np.maximum(by_ratio, by_speed)


def _ranking(axle_ratio: Array, targets: tuple[Target, ...], aim: Array | None) -> _Ranking:
    """By the number of targets met, then by nearness to the ratio aimed at, else the smallest ratio first."""
    met = [target.met() for target in targets]
    far = axle_ratio if aim is None else np.abs(axle_ratio / aim[..., None] - 1.0)
    targets_met, far, ratio = np.broadcast_arrays(sum(met), far, axle_ratio)
    order = np.lexsort((far, -targets_met), axis=-1)
    return _Ranking(met, targets_met, order, np.take_along_axis(ratio, order[..., :1], axis=-1)[..., 0])


def _table(
    build: Build,
    ratios: Ratios,
    found: Figures,
    targets: tuple[Target, ...],
    ranking: _Ranking,
    restoring: Array | None,
    aim: Array | None,
) -> tuple[Column, ...]:
    order = ranking.order
    ratio = ratios.axle_ratio[order]
    unknown = np.full(ratio.shape, np.nan)
    felt = _effective_ratio_of_one(build)
    grade, index = (
        unknown if part is None else part[order] for part in (found.grade, found.ring_gear_load_index)
    )
    return (
        column("axle_ratio", ratio),
        column("ring_teeth", ratios.ring_teeth[order]),
        column("pinion_teeth", ratios.pinion_teeth[order]),
        column("effective_ratio", unknown if felt is None else ratio * felt),
        column("change_percent", unknown if restoring is None else ratio / restoring - 1.0),
        column("cruise_engine_speed", found.cruise_engine_speed[order]),
        column("steepest_grade_percent", grade),
        column("crawl_ratio", found.crawl_ratio[order]),
        column("crawl_speed", found.crawl_speed[order]),
        column("ring_gear_load_index", index),
        column("teeth_hunt", ratios.teeth_hunt[order]),
        *_judgement(build, targets, ranking, _nearness(ratio, restoring, aim)),
    )


def _judgement(
    build: Build, targets: tuple[Target, ...], ranking: _Ranking, nearness: list[str]
) -> tuple[Column, Column]:
    """How many targets each candidate meets, in words, and why it ranks there, in order."""
    order = ranking.order
    if not targets:
        return column("meets", [None] * len(order)), column("reason", [None] * len(order))
    phrases = zip(*(target.phrases(order, build.system) for target in targets), strict=True)
    met = zip(*(met[order].tolist() for met in ranking.met), strict=True)
    missed = zip(*((~met[order]).tolist() for met in ranking.met), strict=True)
    return (
        column("meets", meets(ranking.targets_met[order], len(targets)).tolist()),
        column("reason", list(map(reason, phrases, met, missed, nearness))),
    )


def _effective_ratio_of_one(build: Build) -> Array | None:
    if not build.given("original_tyre"):
        return None
    new, old = (build.tyre(name).rolling_circumference for name in ("tyre", "original_tyre"))
    return gearing.effective_axle_ratio(1.0, new, old)


def _nearness(ratio: Array, restoring: Array | None, aim: Array | None) -> list[str]:
    """How fast the engine turns against what is aimed at, in words."""
    if aim is None:
        return [""] * len(ratio)
    other = "the middle of cruise_engine_speed_range" if restoring is None else "the original"
    return [
        f"; engine {off:.1f} % faster than {other}"
        if off > 0.0
        else f"; engine {-off:.1f} % slower than {other}"
        for off in (100.0 * (ratio / aim - 1.0)).tolist()
    ]


QUESTION = Question(
    name="regear",
    asks="Which available axle ratio suits this build, ranked, with the reason for each?",
    needs=("tyre", "gear_ratios"),
    uses=tuple(
        dict.fromkeys(
            (
                "original_tyre",
                "original_axle_ratio",
                "axle_ratio",
                "cruise_engine_speed_range",
                "target_crawl_ratio",
                "target_crawl_speed",
                "hold_grade_percent",
                *CANDIDATE_FIELDS,
            )
        )
    ),
    results=(
        "restoring_ratio",
        "recommended_ratio",
        "recommended_meets",
        "lowest_ratio_for_cruise",
        "highest_ratio_for_cruise",
        "lowest_ratio_for_crawl",
    ),
    answer=answer,
    example=truck(
        "tyre",
        "original_tyre",
        "original_axle_ratio",
        "gear_ratios",
        "transfer_ratios",
        "idle_speed",
        "peak_torque",
        "peak_torque_speed",
        "peak_power",
        "peak_power_speed",
        "altitude",
        "vehicle_mass",
        target_crawl_ratio=50,
    ),
    table=(
        "axle_ratio",
        "ring_teeth",
        "pinion_teeth",
        "effective_ratio",
        "change_percent",
        "cruise_engine_speed",
        "steepest_grade_percent",
        "crawl_ratio",
        "crawl_speed",
        "ring_gear_load_index",
        "teeth_hunt",
        "meets",
        "reason",
    ),
)
