"""Which available axle ratio suits this build, ranked, with the reason for each."""

from collections.abc import Iterable, Mapping
from functools import partial, reduce
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import (
    Absent,
    Answer,
    Caution,
    Column,
    Judged,
    Pair,
    Question,
    Ruler,
    Source,
    Value,
    check,
    column,
    needs,
    note,
)
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array, along
from gearing_api.vehicle.by_ratio import at_once, fuel_change, overtaking_time
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
from gearing_api.vehicle.loads import loads_of
from gearing_api.vehicle.targets import Target, meets, reason
from gearing_api.vehicle.tyre import (
    PROPORTION,
    ROLLING,
    restoring_ratio,
    size_cautions,
    step_up,
    unequal_construction,
)
from gearing_api.vehicle.windows import ends_of, overlap, windows_of

_NO_CHANGE = 0.05
"""Percent that one decimal shows as none."""

_NEAR_ORIGINAL = np.array([0.9, 1.1])

_ORDER = Source(
    "ranked by the number of targets missed, then by the largest shortfall, the sum of shortfalls, and "
    "nearness to the restoring ratio; where the original is not known, to the middle of "
    "cruise_engine_speed_range; without either the smallest first. A shortfall is in parts of the target",
    "common practice",
    "Common practice, no published source: the order is this service's choice",
)
_ALWAYS = (
    note("both-axles", "Change front and rear axle together."),
    note("carrier", "Some axles need another carrier beyond a certain ratio: ask the gear's maker."),
    note("speedometer", "Have the speedometer corrected after the change: see the question speedometer."),
)
_NONE_MEETS = "No listed ratio meets every target. The first misses by least."


class _Ranking(NamedTuple):
    """Which candidates meet each target, how many are judged, and the order, best first."""

    met: list[NDArray[np.bool_]]
    judged: list[NDArray[np.bool_]]
    judged_count: NDArray[np.intp]
    targets_met: NDArray[np.intp]
    first_met: NDArray[np.intp]
    """How many of them the first candidate meets."""
    order: NDArray[np.intp]
    best_ratio: Array


def answer(build: Build) -> Answer:
    """The ratio that ranks first and the bounds on it as scalars; every candidate in the table."""
    require_idle_below_redline(build)
    if build.given("vehicle_mass"):
        loads_of(build)  # refuses loads beyond the bumpers here, not only where the table is made
    at_one, restoring = geared(build), restoring_ratio(build)
    wanted = _cruise_range(build, at_one, restoring)
    ratios = available(build)
    found = figures(build, at_one, ratios.axle_ratio, restoring is not None)
    targets, lacking = _targets(build, found, wanted)
    lowest, highest = (
        (None, None) if wanted is None else _ends(wanted / at_one.cruise_engine_speed[..., None])
    )
    aim = restoring
    if aim is None and lowest is not None and highest is not None:
        aim = 0.5 * (lowest + highest)
    ranking = _ranking(ratios.axle_ratio, targets, aim)
    recommended = ranking.best_ratio if targets else None
    result = {
        "restoring_ratio": restoring,
        "recommended_ratio": recommended,
        "recommended_meets": meets(ranking.first_met, ranking.judged_count) if targets else None,
        "lowest_ratio_for_cruise": lowest,
        "highest_ratio_for_cruise": highest,
        "lowest_ratio_for_crawl": _lowest_for_crawl(build, at_one),
    }
    ruler = partial(_ruler, build, at_one, ratios, wanted, ranking, result)
    return Answer(
        result,
        sources=(ROLLING, PROPORTION, *found.sources, _ORDER),
        summary=lambda: _summary(build, targets, ranking, restoring),
        absent=_absent(build, lacking),
        cautions=(
            *size_cautions(build.tyre().size),
            *_of_targets(targets, ranking),
            *([] if restoring is None else [unequal_construction(build.tyre(), build.tyre("original_tyre"))]),
            note("not-judged", f"Not judged, for lack of fields: {', '.join(lacking)}.", bool(lacking)),
            *found.cautions,
            *_ALWAYS,
        ),
        table=lambda: _table(build, ratios, found, targets, ranking, restoring, aim),
        picture=ruler,
        windows=ruler,
        judged=lambda: Judged(
            ratios.axle_ratio, {target.name: met for target, met in zip(targets, ranking.met, strict=True)}
        ),
    )


def targets_over(build: Build, axle_ratio: Array) -> tuple[Target, ...]:
    """The targets of a build or of a column of builds, with their figures at some axle ratios."""
    at_one, restoring = geared(build), restoring_ratio(build)
    wanted = _cruise_range(build, at_one, restoring)
    return _targets(build, figures(build, at_one, axle_ratio, restoring is not None), wanted)[0]


def _ruler(
    build: Build,
    at_one: Geared,
    ratios: Ratios,
    wanted: Array | None,
    ranking: _Ranking,
    result: Mapping[str, Value],
) -> Ruler:
    """Where each target is met, for one build: with the same figures as those of the candidates."""
    other = build.again()
    restoring, recommended = result["restoring_ratio"], result["recommended_ratio"]
    fitted = other.known("axle_ratio")
    original = other.number("original_axle_ratio") if build.given("original_axle_ratio") else None
    named = [None if each is None else float(each) for each in (recommended, fitted, original, restoring)]
    candidates: list[float] = ratios.axle_ratio.tolist()

    def targets_at(axle_ratio: Array) -> tuple[Target, ...]:
        found = figures(other, at_one, axle_ratio, restoring is not None, at_once)
        return _targets(other, found, wanted)[0]

    ends = ends_of([*candidates, *named])
    edges = [None if each is None else float(each) for name, each in result.items() if name in _EDGES]
    windows = windows_of(targets_at, _tell_all(ranking.judged), ends, [*candidates, *named, *edges])
    every = int(ranking.judged_count)
    pairs = (
        Pair(ratio, _pair_name(ratio, ring, pinion), 0 < every == met)
        for ratio, ring, pinion, met in zip(
            candidates,
            ratios.ring_teeth.tolist(),
            ratios.pinion_teeth.tolist(),
            ranking.targets_met.tolist(),
            strict=True,
        )
    )
    return Ruler(ends, windows, overlap(windows, ends), tuple(sorted(pairs)), *named)


_EDGES = ("lowest_ratio_for_cruise", "highest_ratio_for_cruise", "lowest_ratio_for_crawl")


def _tell_all(judged: list[NDArray[np.bool_]]) -> list[bool]:
    return [bool(each) for each in judged]


def _pair_name(ratio: float, ring: float, pinion: float) -> str:
    return f"{ratio:g}" if ring != ring else f"{ring:.0f}/{pinion:.0f}"


def _of_targets(targets: tuple[Target, ...], ranking: _Ranking) -> tuple[Caution, ...]:
    if not targets:
        return ()
    return (
        check("none-meets", _NONE_MEETS, ranking.first_met < ranking.judged_count),
        *(
            check(
                "same-with-every-ratio",
                f"The {target.name} is outside what is wanted with every listed ratio alike.",
                ~judged & ~met.all(axis=-1),
            )
            for target, judged, met in zip(targets, ranking.judged, ranking.met, strict=True)
        ),
    )


def _summary(build: Build, targets: tuple[Target, ...], ranking: _Ranking, restoring: Array | None) -> str:
    if not targets:
        return "No target can be judged: give an original, a range of cruise engine speeds or a crawl target."
    ratio = build.say_ratio(ranking.best_ratio)
    count, met = int(ranking.judged_count), int(ranking.first_met)
    against = "" if restoring is None else f"; {build.say_ratio(restoring)} would restore the original"
    if met == count:
        which = "the one target" if count == 1 else f"all {count} targets"
        return f"{ratio} meets {which}{against}."
    missed = [
        target.name
        for target, judged, meets_it in zip(targets, ranking.judged, ranking.met, strict=True)
        if judged and not meets_it[ranking.order[0]]
    ]
    short = " and ".join(missed)
    return f"No listed ratio meets every target; {ratio} comes nearest and misses {short}{against}."


def _absent(build: Build, lacking: dict[str, tuple[str, ...]]) -> dict[str, Absent]:
    original = tuple(name for name in ("original_tyre", "original_axle_ratio") if not build.has(name))
    of_original = needs(*(original or ("original_tyre",)))
    crawl = needs("target_crawl_ratio")
    return {
        "restoring_ratio": of_original,
        "lowest_ratio_for_cruise": needs("cruise_engine_speed_range"),
        "highest_ratio_for_cruise": needs("cruise_engine_speed_range"),
        "lowest_ratio_for_crawl": crawl,
        "recommended_ratio": needs("cruise_engine_speed_range"),
        "recommended_meets": needs("cruise_engine_speed_range"),
    }


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
) -> tuple[tuple[Target, ...], dict[str, tuple[str, ...]]]:
    """What the fields given allow to judge; what else could be, with a field that it lacks."""
    ratio, speed = build.known("target_crawl_ratio"), build.known("target_crawl_speed")
    targets: list[Target] = []
    lacking: dict[str, tuple[str, ...]] = {}
    if wanted is None:
        lacking["cruise"] = ("original_tyre", "cruise_engine_speed_range")
    else:
        targets.append(Target("engine speed", units.ROTATION, 0, found.cruise_engine_speed, *_ends(wanted)))
    if found.grade is None:
        lacking["grade"] = ("vehicle_mass", "peak_power")
    else:
        least = build.number("hold_grade_percent")
        targets.append(Target("grade held", units.PERCENT, 1, found.grade, least=least))
    if ratio is not None:
        targets.append(Target("crawl ratio", units.NUMBER, 1, found.crawl_ratio, least=ratio))
    if speed is not None:
        targets.append(Target("crawl speed", units.SPEED, 2, found.crawl_speed, most=speed))
    if ratio is None and speed is None:
        lacking["crawl"] = ("target_crawl_ratio",)
    if found.ring_gear_load_index is None:
        lacking["ring gear"] = ("ring_gear_diameter", "peak_torque")
    else:
        most = build.number("ring_gear_load_limit")
        targets.append(Target("ring-gear load index", units.NUMBER, 2, found.ring_gear_load_index, most=most))
    _further_targets(build, found, targets, lacking)
    return tuple(targets), lacking


def _further_targets(
    build: Build, found: Figures, targets: list[Target], lacking: dict[str, tuple[str, ...]]
) -> None:
    """Overtaking and fuel, where they are asked for."""
    wanted = build.known("target_overtaking_time"), build.known("target_fuel_change_percent")
    if wanted[0] is not None:
        if found.overtaking_time is None:
            lacking["overtaking"] = ("vehicle_mass", "peak_power")
        else:
            targets.append(Target("overtaking time", units.TIME, 1, found.overtaking_time, most=wanted[0]))
    if wanted[1] is not None:
        if found.fuel_change is None:
            lacking["fuel"] = ("engine_displacement", "original_axle_ratio", "vehicle_mass")
        else:
            targets.append(Target("fuel change", units.PERCENT, 1, found.fuel_change, most=wanted[1]))


def _lowest_for_crawl(build: Build, at_one: Geared) -> Array | None:
    """The least axle ratio that reaches the crawl targets given."""
    ratio, speed = build.known("target_crawl_ratio"), build.known("target_crawl_speed")
    by_ratio = None if ratio is None else ratio / at_one.crawl_ratio
    by_speed = None if speed is None else at_one.crawl_speed / speed
    if by_ratio is None or by_speed is None:
        return by_speed if by_ratio is None else by_ratio
    return np.maximum(by_ratio, by_speed)


def _ranking(axle_ratio: Array, targets: tuple[Target, ...], aim: Array | None) -> _Ranking:
    """Fewest targets missed, least largest shortfall, least sum of them, then nearest to what is aimed at.

    A target in which the candidates of a build do not differ is not judged.
    """
    each = [target.judge() for target in targets]
    judged = [one.varies for one in each]
    shortfalls = [one.shortfall for one in each]
    far = axle_ratio if aim is None else np.abs(axle_ratio / aim[..., None] - 1.0)
    targets_met, largest, total, far, ratio = np.broadcast_arrays(
        _count([one.varies[..., None] & one.met for one in each]),
        reduce(np.maximum, shortfalls, np.zeros(())),
        sum(shortfalls),
        far,
        axle_ratio,
    )
    order = np.lexsort((far, total, largest, -targets_met), axis=-1)
    first = order[..., :1]
    return _Ranking(
        [one.met for one in each],
        judged,
        _count(judged),
        targets_met,
        along(targets_met, first)[..., 0],
        order,
        along(ratio, first)[..., 0],
    )


def _count(marks: Iterable[NDArray[np.bool_]]) -> NDArray[np.intp]:
    return np.asarray(sum(each.astype(np.intp) for each in marks))


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
        *_driven(build, ratio, restoring is not None),
        column("teeth_hunt", ratios.teeth_hunt[order]),
        *_judgement(build, targets, ranking, _nearness(ratio, restoring, aim)),
    )


def _driven(build: Build, ratio: Array, original: bool) -> tuple[Column, Column]:
    """How each candidate overtakes, and what fuel it takes against before."""
    unknown = np.full(ratio.shape, np.nan)
    time, change = at_once(build, ratio, overtaking_time), None
    if original:
        change = at_once(build, ratio, fuel_change)
    return (
        column("overtaking_time", unknown if time is None else time),
        column("fuel_change_percent", unknown if change is None else np.broadcast_to(change, ratio.shape)),
    )


def _judgement(
    build: Build, targets: tuple[Target, ...], ranking: _Ranking, nearness: list[str]
) -> tuple[Column, Column]:
    """How many targets each candidate meets, in words, and why it ranks there, in order."""
    order = ranking.order
    if not targets:
        return column("meets", [None] * len(order)), column("reason", [None] * len(order))
    phrases = zip(*(target.phrases(order, build.system) for target in targets), strict=True)
    pairs = list(zip(ranking.judged, ranking.met, strict=True))
    met = zip(*((judged & met)[order].tolist() for judged, met in pairs), strict=True)
    missed = zip(*((judged & ~met)[order].tolist() for judged, met in pairs), strict=True)
    return (
        column("meets", meets(ranking.targets_met[order], ranking.judged_count).tolist()),
        column("reason", list(map(reason, phrases, met, missed, nearness))),
    )


def _effective_ratio_of_one(build: Build) -> Array | None:
    if not build.given("original_tyre"):
        return None
    new, old = (build.tyre(name).rolling_circumference for name in ("tyre", "original_tyre"))
    return gearing.effective_axle_ratio(1.0, new, old) * step_up(build)


def _nearness(ratio: Array, restoring: Array | None, aim: Array | None) -> list[str]:
    """How fast the engine turns against what is aimed at, in words."""
    if aim is None:
        return [""] * len(ratio)
    other = "the middle of the engine speeds wanted" if restoring is None else "the original"
    return [_turns(off, other) for off in (100.0 * (ratio / aim - 1.0)).tolist()]


def _turns(percent: float, other: str) -> str:
    if abs(percent) < _NO_CHANGE:
        return f"; same engine speed as {other}"
    return f"; engine {abs(percent):.1f} % {'faster' if percent > 0.0 else 'slower'} than {other}"


QUESTION = Question(
    name="regear",
    asks="Which available axle ratio suits this build, ranked, with the reason for each?",
    needs=("tyre", "gear_ratios"),
    uses=(
        "original_tyre",
        "original_axle_ratio",
        "axle_ratio",
        "cruise_engine_speed_range",
        "target_crawl_ratio",
        "target_crawl_speed",
        "target_overtaking_time",
        "target_fuel_change_percent",
        "hold_grade_percent",
        *CANDIDATE_FIELDS,
    ),
    results=(
        "restoring_ratio",
        "recommended_ratio",
        "recommended_meets",
        "lowest_ratio_for_cruise",
        "highest_ratio_for_cruise",
        "lowest_ratio_for_crawl",
    ),
    main="recommended_ratio",
    row="feel",
    spoken="restoring_ratio",
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
        "overtaking_time",
        "fuel_change_percent",
        "teeth_hunt",
        "meets",
        "reason",
    ),
    draws=True,
    crossed=("gear_ratios", "transfer_ratios", "fuel_mix"),
)
