"""What a tyre's size says, and how far it sags at a pressure under a load."""

import numpy as np

from gearing_api import units
from gearing_api.answer import DOES_NOT_APPLY, Absent, Answer, Question, Source, Value, needs
from gearing_api.build import Build
from gearing_api.mechanics import tyres
from gearing_api.mechanics.domain import Array
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.inflation import (
    INFLATION,
    INFLATION_FIELDS,
    RATED,
    inflation_absent,
    inflation_cautions,
    inflation_figures,
)
from gearing_api.vehicle.tyre import (
    ROLLING,
    loaded_absent,
    loaded_figures,
    optional_array,
    section_width,
    size_cautions,
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

_PRINTED = (
    "section_width",
    "section_height",
    "rim_diameter",
    "measuring_rim_width",
    "load_capacity",
    "dual_load_capacity",
    "speed_capability",
)
_NOT_PRINTED = needs("tyre")

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
        "section_height": optional_array(size.section_height),
        "rim_diameter": optional_array(size.rim_diameter),
        "measuring_rim_width": optional_array(size.measuring_rim_width),
        "construction": size.construction,
        "rolling_circumference": fitted.rolling_circumference,
        "rolling_radius": fitted.rolling_radius,
        "tyre_turns_per_distance": tyres.tyre_turns_per_distance(fitted.rolling_circumference),
        "load_capacity": optional_array(size.load_capacity),
        "dual_load_capacity": optional_array(size.dual_load_capacity),
        "speed_capability": optional_array(size.speed_capability),
        "vertical_stiffness": stiffness,
        "sag": sag,
        "loaded_radius": loaded,
        **inflation_figures(build, size),
    }
    sources = [*_DIAMETER_SOURCES[size.form], ROLLING]
    if size.measuring_rim_width is not None and size.form == "metric":
        sources.append(_WIDTH)
    if size.load_capacity is not None or size.speed_capability is not None:
        sources.append(_INDEX)
    if stiffness is not None and not build.given("vertical_stiffness"):
        sources.append(_STIFFNESS)
    if size.load_capacity is not None:
        sources += [INFLATION, RATED]
    return Answer(
        result,
        tuple(sources),
        summary=lambda: _summary(build, size, fitted.rolling_circumference),
        cautions=(*size_cautions(size), *width_cautions, *sag_cautions, *inflation_cautions(build, size)),
        absent=_absent(build, size),
    )


def _absent(build: Build, size: TyreSize) -> dict[str, Absent]:
    printed = dict.fromkeys(_PRINTED, DOES_NOT_APPLY)
    if size.form != "measured":
        printed |= dict.fromkeys(("load_capacity", "dual_load_capacity", "speed_capability"), _NOT_PRINTED)
    return printed | loaded_absent(build, size) | inflation_absent(build, size)


def _summary(build: Build, size: TyreSize, circumference: Array) -> str:
    diameter = build.say(size.diameter, units.LENGTH, 4)
    turn = build.say(circumference, units.LENGTH, 4)
    load = ""
    if size.load_capacity is not None:
        load = f" Its load index allows {build.say(size.load_capacity, units.MASS, 4)} per tyre."
    return f"{diameter} tall, rolls {turn} in one turn.{load}"


QUESTION = Question(
    name="tyre",
    asks="What does this size mean, and how far does the tyre sag at this pressure?",
    needs=("tyre",),
    uses=("rolling_factor", *INFLATION_FIELDS, "vertical_stiffness", "wheel_width"),
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
        "load_at_pressure",
        "pressure_needed",
    ),
    main="rolling_circumference",
    row="load",
    always=("diameter", "construction", "rolling_circumference", "rolling_radius", "tyre_turns_per_distance"),
    answer=answer,
    example=truck("tyre_pressure", "tyre_load", tyre="LT315/70R17 121/118S", wheel_width="8.5 in"),
)
