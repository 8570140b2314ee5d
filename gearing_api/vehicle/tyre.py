"""What several questions read of a tyre: rolling, width on a wheel, sag, and the cautions on its size."""

import numpy as np

from gearing_api.answer import DOES_NOT_APPLY, Absent, Caution, Source, check, needs, note, stop
from gearing_api.build import Build, FittedTyre
from gearing_api.mechanics import gearing, tyres
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vocabulary import ORIGINAL

GRAVITY = 9.80665

ROLLING = Source(
    "rolling circumference = rolling_factor x free diameter; 3.05 for radial tyres",
    "published",
    "UN GTR 15 (2019), Annex 7, par. 8; 2.94 for multipurpose diagonal tyres: European Commission "
    "heavy-duty CO2 declaration data, release of 2015",
)
PROPORTION = Source(
    "engine speed at a road speed is proportional to axle ratio / rolling circumference",
    "published",
    "US EPA Test Car List, model years 2004-2023: pairs of test vehicles that differ in axle or tyre",
)


def optional_array(value: float | None) -> Array | None:
    """A figure of a size as an array, None where the size does not state it."""
    return None if value is None else np.asarray(value)


def size_cautions(size: TyreSize) -> tuple[Caution, ...]:
    """What must be said of the diameter itself."""
    if size.form == "measured":
        return (
            note(
                "construction-assumed",
                "A measured tyre is taken as a radial; set the rolling factor (rolling_factor) to 2.94 for "
                "a bias tyre.",
            ),
        )
    cautions: list[Caution] = []
    if not size.construction_printed:
        built = "a bias tyre" if size.construction == "bias" else "a radial"
        cautions.append(
            note(
                "construction-assumed",
                f"The size does not say how the tyre is built: it is taken as {built}.",
            )
        )
    if size.nominal_diameter:
        cautions.append(
            note(
                "nominal-diameter",
                "The printed diameter of a flotation size is nominal: design "
                "diameters run 1 to 2 % smaller. Measure the tyre where it matters.",
            )
        )
    return tuple(cautions)


def section_width(build: Build, size: TyreSize) -> tuple[Array | None, tuple[Caution, ...]]:
    """Design width, on the wheel where that is given, None where not known, and the cautions on it."""
    design = optional_array(size.section_width)
    wheel = build.known("wheel_width")
    if wheel is None or design is None:
        return design, ()
    if size.measuring_rim_width is None:
        return None, ()
    off = beyond(np.abs(wheel - size.measuring_rim_width), 2.0 * tyres.INCH)
    caution = check(
        "wheel-width",
        "The wheel is more than 2 in (51 mm) off the measuring rim: the tyre maker's "
        "list of approved rims decides whether the tyre may be mounted on it.",
        off,
    )
    return tyres.section_width_on_rim(design, size.measuring_rim_width, wheel), (caution,)


def loaded_figures(
    build: Build, size: TyreSize
) -> tuple[Array | None, Array | None, Array | None, tuple[Caution, ...]]:
    """Stiffness, sag and loaded radius, each None where it cannot be known, and the cautions on them."""
    load = build.known("tyre_load")
    overload = _overload(size, load)
    measured = build.known("vertical_stiffness")
    if measured is not None:
        return _loaded(build, size, measured, load, overload)
    pressure = build.known("tyre_pressure")
    if pressure is None or size.section_height is None or size.nominal_width is None:
        return None, None, None, overload
    aspect = size.section_height / size.nominal_width
    stiffness = tyres.vertical_stiffness(pressure, size.nominal_width, aspect, size.diameter)
    stiffness = build.vary("vertical_stiffness", stiffness, part=size.nominal_width)
    cautions = (
        *overload,
        note(
            "stiffness-extrapolated",
            "Below about 150 kPa (22 psi) the stiffness formula is an extrapolation: "
            "take sag and loaded radius as a rough figure.",
            pressure < tyres.STIFFNESS_LOWEST_PRESSURE,
        ),
        note(
            "bias-stiffness",
            "The stiffness formula is for radial tyres; this one is bias.",
            size.construction == "bias",
        ),
    )
    return _loaded(build, size, stiffness, load, cautions)


def _loaded(
    build: Build, size: TyreSize, stiffness: Array, load: Array | None, cautions: tuple[Caution, ...]
) -> tuple[Array, Array | None, Array | None, tuple[Caution, ...]]:
    """Sag and loaded radius at a stiffness, where the load is known."""
    if load is None:
        return stiffness, None, None, cautions
    sag = tyres.sag(load * GRAVITY, stiffness)
    tallest = size.diameter / 2.0 if size.section_height is None else size.section_height
    low = "vertical_stiffness" if build.given("vertical_stiffness") else "tyre_pressure"
    build.require(sag < tallest, low, "is too low for tyre_load: the tyre would stand on its rim")
    return stiffness, sag, tyres.loaded_radius(size.diameter, sag), cautions


def loaded_absent(build: Build, size: TyreSize) -> dict[str, Absent]:
    """Why stiffness, sag and loaded radius are absent, where they are."""
    if build.given("vertical_stiffness"):
        return {"sag": needs("tyre_load"), "loaded_radius": needs("tyre_load")}
    if size.section_height is None or size.nominal_width is None:
        return dict.fromkeys(("vertical_stiffness", "sag", "loaded_radius"), DOES_NOT_APPLY)
    lacking = tuple(name for name in ("tyre_pressure", "tyre_load") if not build.given(name))
    of_stiffness = needs("tyre_pressure")
    return {"vertical_stiffness": of_stiffness, "sag": needs(*lacking), "loaded_radius": needs(*lacking)}


def _overload(size: TyreSize, load: Array | None) -> tuple[Caution, ...]:
    if load is None or size.load_capacity is None:
        return ()
    return (
        stop(
            "overloaded",
            "The load on the tyre is above that of its load index: this tyre must not "
            "carry it. The tyre maker's load and pressure table decides.",
            load > size.load_capacity,
        ),
    )


def restoring_ratio(build: Build) -> Array | None:
    """Return the axle ratio that restores the original engine speed, None without an original tyre. [-]"""
    if not (build.given("original_tyre") and build.has("original_axle_ratio")):
        return None
    new, old = (build.tyre(name).rolling_circumference for name in ("tyre", "original_tyre"))
    return gearing.restoring_axle_ratio(build.number("original_axle_ratio"), new, old) / step_up(build)


def step_up(build: Build) -> Array:
    """Hub x top gear x high range now over the same before the change: what the axle ratio need not do. [-]"""
    before = build.original()
    step = build.number("hub_ratio") / before.number("hub_ratio")
    for name, place in (("gear_ratios", -1), ("transfer_ratios", 0)):
        if build.given(name) and build.given(ORIGINAL + name):
            step = step * build.number(name)[..., place] / before.number(name)[..., place]
    build.take_original_account(before)
    return np.asarray(step)


def unequal_construction(fitted: FittedTyre, original: FittedTyre) -> Caution:
    """What must be said where a radial and a bias tyre are compared."""
    return note(
        "unequal-construction",
        "The two tyres differ in construction, each has its own rolling factor.",
        fitted.size.construction != original.size.construction,
    )


def no_original(build: Build) -> Caution:
    """The caution that nothing is compared where no original tyre was given."""
    return note(
        "no-original",
        "No original tyre (original_tyre) was given: the tyre is compared with itself.",
        not build.given("original_tyre"),
    )


def speed_symbol(build: Build, size: TyreSize, reached: Array) -> tuple[Caution, ...]:
    """Cautions where the speed symbol lies below cruise_speed, or below a speed that can be reached."""
    limit = size.speed_capability
    if limit is None:
        return ()
    above = beyond(build.number("cruise_speed"), limit)
    return (
        check(
            "cruise-above-speed-symbol",
            "The cruise speed is above the tyre's speed symbol: stay below the tyre's speed.",
            above,
        ),
        note(
            "speed-symbol",
            "The vehicle can go faster than the tyre may: the tyre's speed symbol is the limit.",
            ~above & beyond(reached, limit),
        ),
    )
