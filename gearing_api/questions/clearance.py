"""Height under the axle housing, track and overall width, unsprung mass: what the swap gains and costs."""

import numpy as np

from gearing_api import units
from gearing_api.answer import (
    DOES_NOT_APPLY,
    Absent,
    Answer,
    Caution,
    Question,
    Source,
    Value,
    needs,
    note,
    stop,
)
from gearing_api.build import Build
from gearing_api.mechanics import housings
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.axle import SAFETY, original_per_fitted, standing_radius
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.loads import TRACK_FIELDS, track_of
from gearing_api.vehicle.tyre import ROLLING, section_width, size_cautions

_HEIGHT = Source(
    "clearance = height of the axle's centre above the ground - drop of the housing",
    "published",
    "Geometry; the sag of a loaded tyre by the stiffness formula of the question tyre",
)
_WIDTHS = Source(
    "track = mounting width + 2 x width of a hub box - 2 x wheel offset; overall width = track + section width",
    "published",
    "Geometry; offset is positive where the wheel's centre plane lies inboard of its mounting face",
)

_SUNK = "is so far below the wheel centre that the axle would lie in the ground"
_PROPORTION = note(
    "original-in-proportion",
    "The original tyre is taken to stand as high, for its size, as the one fitted.",
)
_WIDTH_LAW = note(
    "width-law",
    "The law where the vehicle is registered limits its width, and may ask that the body covers the tyres.",
)
_WHEELS = note(
    "wheels-not-weighed",
    "Tyres and wheels are unsprung too and not counted here: weigh them.",
)


def answer(build: Build) -> Answer:
    """Each figure that the fields allow."""
    result: dict[str, Value] = dict.fromkeys(QUESTION.results)
    heights, of_radius = _heights(build)
    widths, of_width = _widths(build)
    result |= heights | widths | _masses(build)
    return Answer(
        result,
        sources=(ROLLING, _HEIGHT, _WIDTHS),
        cautions=(
            SAFETY,
            *of_radius,
            *of_width,
            *[_WHEELS] * (result["unsprung_mass_change"] is not None),
            *size_cautions(build.tyre().size),
            *_dragging(result),
        ),
        summary=lambda: _summary(build, result),
        absent={name: _absent(build, name) for name in QUESTION.results},
    )


def _dragging(result: dict[str, Value]) -> tuple[Caution, ...]:
    clearance = result["housing_clearance"]
    if clearance is None:
        return ()
    text = (
        "The housing hangs below the ground this tyre stands on: check the housing's depth (housing_drop) "
        "and the tyre."
    )
    return (stop("no-clearance", text, np.asarray(clearance) <= 0.0),)


def _summary(build: Build, result: dict[str, Value]) -> str:
    clearance, change = result["housing_clearance"], result["housing_clearance_change"]
    if clearance is None:
        track = result["track"]
        if track is None:
            return (
                "Give the housing's depth below the axle's centre (housing_drop) to know the height under it."
            )
        return (
            f"The track is {build.say(track, units.LENGTH)}; give the housing's depth below the axle's "
            "centre (housing_drop) for the height under it."
        )
    height = f"{build.say(clearance, units.LENGTH)} under the housing"
    if change is None:
        return f"{height}."
    gained = round(float(np.asarray(change)), 6)
    if not gained:
        return f"{height}, as much as the original had."
    difference = build.say(abs(gained), units.LENGTH, 2)
    return f"{height}, {difference} {'more' if gained > 0.0 else 'less'} than the original had."


def _heights(build: Build) -> tuple[dict[str, Value], tuple[Caution, ...]]:
    drop, original_drop = build.known("housing_drop"), build.known("original_housing_drop")
    if drop is None:
        return {}, ()
    radius, cautions = standing_radius(build)
    raised = _raised(build)
    build.require(radius + raised > 0.0, "hub_offset", _SUNK)
    clearance = housings.housing_clearance(radius + raised, drop)
    if original_drop is None:
        return {"housing_clearance": clearance}, cautions
    raised_before = _raised(build, "original_")
    before = radius * original_per_fitted(build) + raised_before
    build.require(before > 0.0, "original_hub_offset", _SUNK)
    original = housings.housing_clearance(before, original_drop)
    diameter_per_radius = build.tyre().size.diameter / radius
    heights: dict[str, Value] = {
        "housing_clearance": clearance,
        "housing_clearance_change": clearance - original,
        "tyre_growth_used_up": (drop - raised - original_drop + raised_before) * diameter_per_radius,
    }
    return heights, (*cautions, _PROPORTION)


def _raised(build: Build, when: str = "") -> Array:
    """How far hub boxes hold the axle above the wheel centre. [m]"""
    return build.number(f"{when}hub_offset") if build.given(f"{when}hub_offset") else np.zeros(())


def _widths(build: Build) -> tuple[dict[str, Value], tuple[Caution, ...]]:
    track, original = track_of(build), _original_track(build)
    if track is None:
        return {}, ()
    section, cautions = section_width(build, build.tyre().size)
    widths: dict[str, Value] = {
        "track": track,
        "track_change": None if original is None else track - original,
        "overall_width": None if section is None else housings.overall_width(track, section),
    }
    return widths, (_WIDTH_LAW, *cautions)


def _original_track(build: Build) -> Array | None:
    """The track before the change, where it is given or all that it follows from."""
    if build.given("original_track"):
        return build.number("original_track")
    mounting, offset = build.known("original_mounting_width"), build.known("original_wheel_offset")
    if mounting is None or offset is None:
        return None
    boxes = 2.0 * build.number("original_hub_box_width") if build.given("original_hub_box_width") else 0.0
    return housings.track(mounting + boxes, offset)


def _masses(build: Build) -> dict[str, Value]:
    mass, original = build.known("axle_mass"), build.known("original_axle_mass")
    if mass is None or original is None:
        return {}
    vehicle = build.known("vehicle_mass")
    change = mass - original
    return {
        "unsprung_mass_change": change,
        "unsprung_mass_change_percent": None if vehicle is None else change / vehicle,
    }


_WANTED = {
    "housing_clearance": ("housing_drop",),
    "housing_clearance_change": ("housing_drop", "original_housing_drop"),
    "tyre_growth_used_up": ("housing_drop", "original_housing_drop"),
    "track": ("mounting_width", "wheel_offset"),
    "track_change": ("mounting_width", "wheel_offset", "original_mounting_width", "original_wheel_offset"),
    "overall_width": ("mounting_width", "wheel_offset"),
    "unsprung_mass_change": ("axle_mass", "original_axle_mass"),
    "unsprung_mass_change_percent": ("axle_mass", "original_axle_mass", "vehicle_mass"),
}


def _absent(build: Build, name: str) -> Absent:
    lacking = tuple(field for field in _WANTED[name] if not build.given(field))
    return needs(*lacking) if lacking else DOES_NOT_APPLY


QUESTION = Question(
    name="clearance",
    asks="What do height under the axle housing, track, overall width and unsprung mass gain and cost by the "
    "swap?",
    needs=("tyre",),
    uses=(
        "original_tyre",
        "rolling_factor",
        "tyre_pressure",
        "tyre_load",
        "vertical_stiffness",
        "wheel_width",
        "housing_drop",
        "original_housing_drop",
        *TRACK_FIELDS,
        "original_mounting_width",
        "original_wheel_offset",
        "hub_offset",
        "axle_mass",
        "original_axle_mass",
        "vehicle_mass",
    ),
    results=tuple(_WANTED),
    main="housing_clearance",
    answer=answer,
    example=truck(
        "tyre",
        "original_tyre",
        "tyre_pressure",
        "tyre_load",
        "housing_drop",
        "original_housing_drop",
        "mounting_width",
        "original_mounting_width",
        "wheel_offset",
        "original_wheel_offset",
        "axle_mass",
        "original_axle_mass",
        "vehicle_mass",
    ),
)
