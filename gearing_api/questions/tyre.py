"""What a tyre's size says, and how far it sags at a pressure under a load."""

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics import tyres
from gearing_api.mechanics.domain import Array
from gearing_api.questions.answer import Answer, Caution, Question, Source, Value, not_known
from gearing_api.questions.demo import truck
from gearing_api.tyre_sizes import TyreSize

GRAVITY = 9.80665

ROLLING = Source(
    "rolling circumference = rolling_factor x free diameter; 3.05 for radial tyres",
    "published",
    "UN GTR 15 (2019), Annex 7, par. 8; 2.94 for multipurpose diagonal tyres: European Commission "
    "heavy-duty CO2 declaration data, release of 2015",
)
_DIAMETER = Source(
    "free diameter of a metric size = 25.4 x rim code + 2 x width x aspect",
    "published",
    "Second hand: European Commission JRC light-duty CO2 tool, wheel model (2023)",
)
_NUMERIC = Source(
    "dimensions of numeric sizes",
    "published",
    "Second hand: European Commission heavy-duty CO2 declaration data, Wheels table",
)
_FLOTATION = Source(
    "first figure of a flotation size = nominal overall diameter in inches",
    "published",
    "Second hand: Owners' manuals on reading tyre sizes",
)
_DESIGN = Source(
    "design diameters of flotation sizes run about 12 mm below the printed figure",
    "from memory",
    "UN Regulation 54, annex of dimensions (from memory, high)",
)
_WIDTH = Source(
    "measuring rim and design section width by series",
    "published",
    "Fitted to the European Commission heavy-duty CO2 declaration data: 30 of 31 light sizes",
)
_INDEX = Source(
    "load index and speed symbol",
    "published",
    "French order of 24 October 1994 (NOR EQUS9401799A), Annexes I and II; above 200 second hand",
)
_STIFFNESS = Source(
    "vertical stiffness from pressure, width, aspect and diameter",
    "from memory",
    "T. B. Rhyne, Tire Science and Technology 33(3), 2005 (formula from memory, high; 1 to 11 % "
    "stiff of five open data sets)",
)

_DIAMETER_SOURCES: dict[str, tuple[Source, ...]] = {
    "metric": (_DIAMETER,),
    "flotation": (_FLOTATION, _DESIGN),
    "numeric": (_NUMERIC,),
    "measured": (),
    "millimetre": (
        Source(
            "second figure of a millimetre size = overall diameter",
            "published",
            "Second hand: European Commission JRC light-duty CO2 tool, tyre-code tests (2023)",
        ),
    ),
}


def answer(build: Build) -> Answer:
    """Dimensions, rolling figures, ratings and sag of the tyre fitted."""
    fitted = build.tyre()
    size = fitted.size
    width, width_cautions = section_width(build, size)
    stiffness, sag, loaded, sag_cautions = loaded_figures(build, size)
    result: dict[str, Value] = {
        "diameter": np.asarray(size.diameter),
        "section_width": width,
        "section_height": _array(size.section_height),
        "rim_diameter": _array(size.rim_diameter),
        "measuring_rim_width": _array(size.measuring_rim_width),
        "construction": size.construction,
        "rolling_circumference": fitted.rolling_circumference,
        "rolling_radius": fitted.rolling_radius,
        "tyre_turns_per_distance": tyres.tyre_turns_per_distance(fitted.rolling_circumference),
        "load_capacity": _array(size.load_capacity),
        "dual_load_capacity": _array(size.dual_load_capacity),
        "speed_capability": _array(size.speed_capability),
        "vertical_stiffness": stiffness,
        "sag": sag,
        "loaded_radius": loaded,
    }
    sources = [*_DIAMETER_SOURCES[size.form], ROLLING]
    if size.measuring_rim_width is not None and size.form == "metric":
        sources.append(_WIDTH)
    if size.load_capacity is not None or size.speed_capability is not None:
        sources.append(_INDEX)
    if stiffness is not None:
        sources.append(_STIFFNESS)
    return Answer(
        result, tuple(sources), (*size_cautions(size), *width_cautions, *sag_cautions, *_unsaid(size))
    )


def _array(value: float | None) -> Array | None:
    return None if value is None else np.asarray(value)


def size_cautions(size: TyreSize) -> tuple[Caution, ...]:
    """What must be said of the diameter itself."""
    if size.form == "measured":
        return (
            Caution(
                "construction-assumed",
                "A measured tyre is taken as a radial; set rolling_factor to 2.94 for a bias tyre.",
            ),
        )
    if size.nominal_diameter:
        return (
            Caution(
                "nominal-diameter",
                "The printed diameter of a flotation size is nominal: design "
                "diameters run 1 to 2 % smaller. Measure the tyre where it matters.",
            ),
        )
    return ()


def section_width(build: Build, size: TyreSize) -> tuple[Array | None, tuple[Caution, ...]]:
    """Design width, on the wheel where that is given, None where not known, and what must be said of it."""
    design = _array(size.section_width)
    wheel = build.known("wheel_width")
    if wheel is None or design is None:
        return design, ()
    if size.measuring_rim_width is None:
        return None, (
            not_known(
                ["section_width"],
                "a size whose measuring rim is tabled (leave out wheel_width for the design width)",
            ),
        )
    off = np.abs(wheel - size.measuring_rim_width) > 2.0 * tyres.INCH
    caution = Caution(
        "wheel-width",
        "The wheel is more than 2 in (51 mm) off the measuring rim: the tyre maker's "
        "list of approved rims decides whether the tyre may be mounted on it.",
        off,
    )
    return tyres.section_width_on_rim(design, size.measuring_rim_width, wheel), (caution,)


def loaded_figures(
    build: Build, size: TyreSize
) -> tuple[Array | None, Array | None, Array | None, tuple[Caution, ...]]:
    """Stiffness, sag and loaded radius, each None where it cannot be known, and what must be said."""
    pressure, load = build.known("tyre_pressure"), build.known("tyre_load")
    overload = _overload(size, load)
    if pressure is None:
        return (
            None,
            None,
            None,
            (*overload, not_known(["vertical_stiffness", "sag", "loaded_radius"], "tyre_pressure")),
        )
    if size.section_height is None or size.nominal_width is None:
        return (
            None,
            None,
            None,
            (
                *overload,
                not_known(["vertical_stiffness", "sag", "loaded_radius"], "a size that states width and rim"),
            ),
        )
    aspect = size.section_height / size.nominal_width
    stiffness = tyres.vertical_stiffness(pressure, size.nominal_width, aspect, size.diameter)
    cautions = (
        *overload,
        Caution(
            "stiffness-extrapolated",
            "Below about 150 kPa (22 psi) the stiffness formula is an extrapolation: "
            "take sag and loaded radius as a rough figure.",
            pressure < tyres.STIFFNESS_LOWEST_PRESSURE,
        ),
        Caution(
            "bias-stiffness",
            "The stiffness formula is for radial tyres; this one is bias.",
            size.construction == "bias",
        ),
    )
    if load is None:
        return stiffness, None, None, (*cautions, not_known(["sag", "loaded_radius"], "tyre_load"))
    sag = tyres.sag(load * GRAVITY, stiffness)
    flat = sag >= np.asarray(size.section_height)
    build.require(~flat, "tyre_pressure", "is too low for tyre_load: the tyre would stand on its rim")
    return stiffness, sag, tyres.loaded_radius(size.diameter, sag), cautions


def _overload(size: TyreSize, load: Array | None) -> tuple[Caution, ...]:
    if load is None or size.load_capacity is None:
        return ()
    return (
        Caution(
            "overloaded",
            "tyre_load is above the load of the tyre's load index: this tyre must not "
            "carry it. The tyre maker's load and pressure table decides.",
            load > size.load_capacity,
        ),
    )


def _unsaid(size: TyreSize) -> tuple[Caution, ...]:
    names = [
        name
        for name in (
            "section_width",
            "section_height",
            "rim_diameter",
            "measuring_rim_width",
            "load_capacity",
            "dual_load_capacity",
            "speed_capability",
        )
        if getattr(size, name) is None
    ]
    return (not_known(names, "a size string that states it, such as LT265/70R17 121/118S"),) if names else ()


QUESTION = Question(
    name="tyre",
    asks="What does this size string mean, and how far does the tyre sag at this pressure?",
    needs=("tyre",),
    uses=("rolling_factor", "tyre_pressure", "tyre_load", "wheel_width"),
    results=(
        "diameter",
        "section_width",
        "section_height",
        "rim_diameter",
        "measuring_rim_width",
        "construction",
        "rolling_circumference",
        "rolling_radius",
        "tyre_turns_per_distance",
        "load_capacity",
        "dual_load_capacity",
        "speed_capability",
        "vertical_stiffness",
        "sag",
        "loaded_radius",
    ),
    answer=answer,
    example=truck("tyre_pressure", "tyre_load", tyre="LT315/70R17 121/118S", wheel_width="8.5 in"),
)
