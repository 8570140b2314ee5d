"""The axle ratios that can be bought, and what each would give."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import tables
from gearing_api.answer import Caution, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import gearing
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import AXLE_FIELDS, CAPACITY, SAFETY, TORQUE
from gearing_api.vehicle.by_ratio import BY_RATIO_FIELDS, Figure, fuel_change, one_by_one, overtaking_time
from gearing_api.vehicle.drivetrain import SURFACES
from gearing_api.vehicle.engine import ENGINE_FIELDS, engine_of
from gearing_api.vehicle.gearbox import LOSS_FIELDS, driving_ratios, loss_sources, losses_of
from gearing_api.vehicle.resistance import RESISTANCE_FIELDS, pull_at_cruise, resistance_of
from gearing_api.vehicle.ring_gear import LOAD_INDEX_FIELDS, load_indices

CANDIDATE_FIELDS = (
    "available_ratios",
    "cruise_speed",
    "altitude",
    "vehicle_mass",
    "ring_gear_load_limit",
    *ENGINE_FIELDS,
    *LOSS_FIELDS,
    *RESISTANCE_FIELDS,
    "cruise_reserve_percent",
    *BY_RATIO_FIELDS,
    *AXLE_FIELDS,
    *LOAD_INDEX_FIELDS,
)
"""What the figures are read from, beside tyre and gear ratios."""

_PAIRS = tables.table("ring-pinion-pairs")
_COMMON_PAIRS = Source(
    "common ring and pinion pairs",
    "common practice",
    "Table /v1/tables/ring-pinion-pairs, each row with its source",
)
_PAIRS_TAKEN = note(
    "common-pairs",
    "No ratios on sale (available_ratios) were given: the common tooth pairs are ranked, made for this axle or not.",
)


class Geared(NamedTuple):
    """The build at an axle ratio of one: engine speed and crawl ratio rise with it, crawl speed falls."""

    cruise_engine_speed: Array
    crawl_ratio: Array
    crawl_speed: Array


class Ratios(NamedTuple):
    """Axle ratios on the last axis; teeth NaN and `teeth_hunt` None where only the ratio is known."""

    axle_ratio: Array
    ring_teeth: Array
    pinion_teeth: Array
    teeth_hunt: NDArray[np.object_]


class Figures(NamedTuple):
    """What each axle ratio would give, on the last axis; None where it cannot be known."""

    cruise_engine_speed: Array
    crawl_ratio: Array
    crawl_speed: Array
    grade: Array | None
    ring_gear_load_index: Array | None
    overtaking_time: Array | None
    fuel_change: Array | None
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...]


def geared(build: Build) -> Geared:
    """Top gear in high range at cruise_speed, first gear in the lowest range at idle."""
    gears, transfer, hub = (build.number(name) for name in ("gear_ratios", "transfer_ratios", "hub_ratio"))
    radius = build.tyre().rolling_radius
    lowest = gears[..., 0] * transfer.max(axis=-1) * hub
    return Geared(
        gearing.engine_speed(build.number("cruise_speed"), gears[..., -1] * transfer[..., 0] * hub, radius),
        lowest,
        gearing.road_speed(build.number("idle_speed"), lowest, radius),
    )


def available(build: Build) -> Ratios:
    """The ratios given, else the common pairs."""
    given = build.known("available_ratios")
    return _COMMON if given is None else _ratios(given[..., 0], given[..., 1], given[..., 2])


def _ratios(axle_ratio: Array, ring_teeth: Array, pinion_teeth: Array) -> Ratios:
    paired = np.isfinite(ring_teeth)
    teeth_hunt = gearing.is_hunting(np.where(paired, ring_teeth, 1.0), np.where(paired, pinion_teeth, 1.0))
    return Ratios(axle_ratio, ring_teeth, pinion_teeth, np.where(paired, teeth_hunt, np.array(None)))


def _common() -> Ratios:
    common = np.array(_PAIRS.column("common")) == "yes"
    ring, pinion = (
        np.array(_PAIRS.column(name), dtype=np.float64)[common] for name in ("ring_teeth", "pinion_teeth")
    )
    return _ratios(gearing.tooth_ratio(ring, pinion), ring, pinion)


_COMMON = _common()


ByRatio = Callable[[Build, Array, Figure], Array | None]
"""How a figure is found at each axle ratio: `one_by_one`, or `at_once` for one build."""


def figures(
    build: Build, at_one: Geared, axle_ratio: Array, original: bool, by_ratio: ByRatio = one_by_one
) -> Figures:
    """What each ratio gives; the ring gear is compared where the original is known and fields ask for it."""
    sources: tuple[Source, ...] = ()
    cautions: tuple[Caution, ...] = ()
    if not build.given("available_ratios"):
        sources, cautions = (_COMMON_PAIRS,), (_PAIRS_TAKEN,)
    engine_speed = at_one.cruise_engine_speed[..., None] * axle_ratio
    grade = index = None
    engine = engine_of(build) if build.given("vehicle_mass") else None
    if engine is not None:
        resistance = resistance_of(build)
        gears, transfer = driving_ratios(build), build.number("transfer_ratios")
        lost = losses_of(build, gears[..., -1:], transfer[..., :1])
        pull = pull_at_cruise(build, engine, resistance, engine_speed, lost)
        grade = pull.grade
        sources = (*sources, *resistance.sources, *loss_sources(build), *engine.sources)
        cautions = (*cautions, *resistance.cautions, *engine.cautions, _out(pull.runs))
    if original and (build.given("ring_gear_diameter") or build.given("ring_gear_load_limit")):
        index = load_indices(build, axle_ratio)
    if index is not None:
        sources, cautions = (*sources, TORQUE, SURFACES, CAPACITY), (*cautions, SAFETY)
    time = change = None
    if build.given("target_overtaking_time"):
        time = by_ratio(build, axle_ratio, overtaking_time)
    if original and build.given("target_fuel_change_percent"):
        change = by_ratio(build, axle_ratio, fuel_change)
    return Figures(
        engine_speed,
        at_one.crawl_ratio[..., None] * axle_ratio,
        at_one.crawl_speed[..., None] / axle_ratio,
        grade,
        index,
        time,
        change,
        sources,
        cautions,
    )


def _out(runs: NDArray[np.bool_]) -> Caution:
    return note(
        "top-gear-out",
        "With some ratios top gear at the cruise speed is below idle, above the redline or outside the "
        "engine's curve: the steepest grade is not known with them.",
        ~runs.all(axis=-1),
    )
