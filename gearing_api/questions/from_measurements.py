"""What readings, weights and lengths taken on a vehicle say about the build, each figure with its range."""

from collections.abc import Iterator
from functools import partial

import numpy as np

from gearing_api import units
from gearing_api.answer import (
    Absent,
    Answer,
    Between,
    Caution,
    Column,
    Findings,
    Question,
    Source,
    Understood,
    Value,
    check,
    needs,
)
from gearing_api.build import Build
from gearing_api.mechanics import measurements, tyres
from gearing_api.units import Quantity
from gearing_api.vehicle.demo_truck import truck
from gearing_api.vehicle.measured_axle import (
    AXLE_FIELDS,
    ROLLED,
    SHAFT_READ_TO,
    Candidate,
    Ratio,
    candidates,
    circumference_of,
    likeliest,
    named,
    ratio_of,
)
from gearing_api.vehicle.measured_masses import MASS_FIELDS, ROUGH_HEIGHT, Masses, mass_to_move, masses_of
from gearing_api.vehicle.measured_road_load import COAST_FIELDS, COASTING, RoadLoad, road_load_of
from gearing_api.vehicle.readings import (
    BACK,
    COAST,
    JOIN,
    LIFT,
    MEASUREMENTS,
    READINGS,
    ROAD,
    ROLLOUT,
    SAG,
    TURNS,
    WEIGHED,
    Figure,
    Finding,
    Measurement,
    accepted,
    unfinished,
    within_bounds,
)
from gearing_api.vocabulary import FIELDS, FieldError, InvalidBuild, naming

_CONTRADICTS = check(
    "measurement-contradicts",
    "A measurement and what the build says lie more than twice their uncertainty apart; understood has both. Measure "
    "again, or correct the build.",
    False,
)

_BY: dict[str, Measurement] = {
    "measured_axle_ratio": ROAD,
    "likeliest_axle_ratio": ROAD,
    "measured_circumference": ROLLOUT,
    "measured_rolling_radius": ROLLOUT,
    "measured_road_load": COAST,
    "measured_road_load_speed": COAST,
    "measured_mass": WEIGHED,
    "measured_front_share": WEIGHED,
    "measured_mass_centre_height": LIFT,
    "measured_stiffness": SAG,
    "measured_loaded_radius": SAG,
}
"""The measurement that each result needs; for the axle ratio it is one of three."""

_WAYS = "; ".join(
    f"{' with '.join(one.readings)} for the {what}"
    for one, what in (
        (ROAD, "axle ratio"),
        (TURNS, "axle ratio"),
        (ROLLOUT, "tyre"),
        (COAST, "road load"),
        (WEIGHED, "mass"),
        (SAG, "stiffness of the tyres"),
    )
)

_QUANTITIES: dict[str, Quantity] = {
    "axle_ratio": units.NUMBER,
    "rolling_factor": units.LENGTH,
    "road_load": units.FORCE,
    "vehicle_mass": units.MASS,
    "front_axle_share": units.NUMBER,
    "mass_centre_height": units.LENGTH,
    "vertical_stiffness": units.LINE_LOAD,
}
"""What is measured of each field: of rolling_factor the circumference, of road_load the force."""


def answer(build: Build) -> Answer:
    """Whatever the measurements say, each by itself; they are joined with what the build says.

    Raises
    ------
    InvalidBuild
        If no measurement is whole, or one says what no vehicle can be.
    """
    whole = [one for one in MEASUREMENTS if one.is_whole(build)]
    if not whole:
        raise InvalidBuild([*_wanted(build)])
    rolled = circumference_of(build)
    ratio = ratio_of(build, rolled)
    masses = masses_of(build)
    coasted = road_load_of(build, mass_to_move(build, masses.mass)) if COAST.is_whole(build) else None
    found = [*_findings(rolled, ratio, masses, coasted)]
    figures = _figures(rolled, ratio, masses, coasted)
    result: dict[str, Value] = {name: figure.value for name, figure in figures.items()}
    if ratio is not None:
        result["likeliest_axle_ratio"] = likeliest(ratio)
    if coasted is not None:
        result["measured_road_load_speed"] = coasted.speed
    result["measurements_used"] = np.float64(len(whole))
    return Answer(
        {name: result.get(name) for name in QUESTION.results},
        sources=(*_sources(rolled, ratio, masses, coasted), READINGS, JOIN),
        summary=lambda: _summary(build, ratio, figures, coasted),
        cautions=(*_contradictions(found), *_cautions(ratio, masses, coasted)),
        absent={name: _absent(build, measurement) for name, measurement in _BY.items()},
        table=None if ratio is None else partial(_table, ratio),
        ranges={name: figure.ends() for name, figure in figures.items()},
        findings=lambda: Findings(
            _build_fields(build, rolled, ratio, masses, coasted),
            tuple(map(_understood, found)),
            tuple(unfinished(build)),
            _ask(build, ratio, masses),
        ),
    )


def _wanted(build: Build) -> Iterator[FieldError]:
    """What is needed beside the readings given; where there are none, what may be given."""
    lacked = {field: name for name, lacking in unfinished(build) for field in lacking}
    for field, name in lacked.items():
        detail = f"is needed to make something of {name}: {FIELDS[field].kind.accepted(build.system)}"
        yield FieldError(field, detail)
    if not lacked:
        yield FieldError("measured_engine_speed", f"or another measurement is needed: {_WAYS}")


def _findings(
    rolled: Finding | None, ratio: Ratio | None, masses: Masses, coasted: RoadLoad | None
) -> Iterator[Finding]:
    if ratio is not None:
        yield from ratio.findings
    if rolled is not None:
        yield rolled
    yield from masses.findings()
    if coasted is not None:
        yield coasted.finding


def _figures(
    rolled: Finding | None, ratio: Ratio | None, masses: Masses, coasted: RoadLoad | None
) -> dict[str, Figure]:
    """The results that have a range."""
    found = {
        "measured_axle_ratio": None if ratio is None else ratio.best,
        "measured_circumference": None if rolled is None else rolled.best,
        "measured_rolling_radius": None
        if rolled is None
        else Figure(*map(tyres.rolling_radius, rolled.best)),
        "measured_road_load": None if coasted is None else coasted.finding.best,
        "measured_loaded_radius": masses.loaded_radius,
    }
    names = ("measured_mass", "measured_front_share", "measured_mass_centre_height", "measured_stiffness")
    for name, finding in zip(
        names, (masses.mass, masses.share, masses.height, masses.stiffness), strict=True
    ):
        found[name] = None if finding is None else finding.best
    return {name: figure for name, figure in found.items() if figure is not None}


def _contradictions(found: list[Finding]) -> Iterator[Caution]:
    where = np.zeros((), dtype=np.bool_)
    for one in found:
        where = np.asarray(where | one.contradicts())
    yield _CONTRADICTS._replace(where=where)


def _cautions(ratio: Ratio | None, masses: Masses, coasted: RoadLoad | None) -> Iterator[Caution]:
    if ratio is not None:
        yield from ratio.cautions
    yield from masses.cautions
    if coasted is not None:
        yield from coasted.cautions


def _sources(
    rolled: Finding | None, ratio: Ratio | None, masses: Masses, coasted: RoadLoad | None
) -> Iterator[Source]:
    if ratio is not None:
        yield from ratio.sources
    if rolled is not None:
        yield ROLLED
    yield from masses.sources
    if coasted is not None:
        yield COASTING


def _absent(build: Build, measurement: Measurement) -> Absent:
    return needs(*(measurement.lacks(build) or ("tyre",)))


def _table(ratio: Ratio) -> tuple[Column, ...]:
    rows = candidates(ratio)
    return (
        Column("axle_ratio", units.NUMBER, [row.ratio for row in rows]),
        Column("ring_teeth", units.NUMBER, [float(row.ring) for row in rows]),
        Column("pinion_teeth", units.NUMBER, [float(row.pinion) for row in rows]),
        Column("probability", units.NUMBER, [row.probability for row in rows]),
    )


def _summary(build: Build, ratio: Ratio | None, figures: dict[str, Figure], coasted: RoadLoad | None) -> str:
    if ratio is not None:
        return _of_ratio(build, ratio)
    if coasted is not None:
        low, high = (build.say(end, units.FORCE) for end in coasted.finding.best.ends())
        return f"Road load at {build.say(coasted.speed, units.SPEED, 2)}: {low} to {high}."
    name, what, quantity = next(said for said in _SAID if said[0] in figures)
    low, high = (build.say(end, quantity) for end in figures[name].ends())
    return f"{what}: {low} to {high}."


_SAID = (
    ("measured_mass_centre_height", "Height of the mass centre", units.LENGTH),
    ("measured_mass", "Mass of the vehicle", units.MASS),
    ("measured_stiffness", "Stiffness of the tyre", units.LINE_LOAD),
    ("measured_circumference", "Distance rolled in one turn", units.LENGTH),
)


def _of_ratio(build: Build, ratio: Ratio) -> str:
    rows = named(candidates(ratio))
    if any(caution.code == "no-known-pair" and caution.where for caution in ratio.cautions):
        read = build.say_ratio(ratio.best.value)
        return f"The readings say an axle ratio of {read}, near which no known tooth pair lies."
    first, *others = dict.fromkeys(build.say_ratio(row.ratio) for row in rows)
    if not others:
        return f"The axle ratio is {first}, by {rows[0].ring} teeth on {rows[0].pinion}."
    more = f" and {len(others) - 2} more" if len(others) > 2 else ""
    return f"The axle ratio is most likely {first}; the readings cannot tell it from {' or '.join(others[:2])}{more}."


def _understood(one: Finding) -> Understood:
    low, high = one.measured.ends()
    said = None if one.expected is None else tuple(map(float, one.expected.ends()))
    return Understood(
        one.field,
        one.what,
        one.readings,
        _QUANTITIES[one.field],
        (float(one.measured.value), float(low), float(high)),
        None if one.expected is None or said is None else (float(one.expected.value), said[0], said[1]),
        None if one.expected is None else float(one.measured.apart(one.expected)),
    )


def _build_fields(
    build: Build, rolled: Finding | None, ratio: Ratio | None, masses: Masses, coasted: RoadLoad | None
) -> dict[str, object]:
    """The fields to add to the build: ranges, or what is exact, as a request takes it."""
    fields: dict[str, object] = {}
    if ratio is not None:
        fields["axle_ratio"] = _ratio_field(ratio)
    if rolled is not None:
        fields |= _rolling_fields(build, rolled.best)
    for one in masses.findings():
        fields[one.field] = within_bounds(one.field, *one.best.ends())
    if coasted is not None:
        fields |= {"road_load": coasted.coefficients, "road_load_covariance": coasted.covariance}
    return fields


def _ratio_field(ratio: Ratio) -> object:
    """A tooth pair, or the range of those that cannot be told apart; where no pair is near, that of the readings."""
    if any(caution.code == "no-known-pair" and caution.where for caution in ratio.cautions):
        return within_bounds("axle_ratio", *ratio.best.ends())
    rows = named(candidates(ratio))
    if len(rows) == 1:
        return f"{rows[0].ring}/{rows[0].pinion}"
    ratios = [row.ratio for row in rows]
    return Between(np.asarray(min(ratios)), np.asarray(max(ratios)))


def _rolling_fields(build: Build, circumference: Figure) -> dict[str, object]:
    """The rolling factor of the tyre given; without one, or where it does not go with it, a tyre as measured."""
    if build.given("tyre"):
        diameter = build.tyre().size.diameter
        factor = Figure(circumference.value / diameter, circumference.uncertainty / diameter)
        if accepted("rolling_factor", factor.value):
            return {"rolling_factor": within_bounds("rolling_factor", *factor.ends())}
    diameter = float(circumference.value) / tyres.RADIAL_ROLLING_FACTOR
    low, high = (np.asarray(end / diameter) for end in circumference.ends())
    return {
        "tyre": f"{diameter / units.LENGTH.factor(build.system):.4g} {units.LENGTH.unit(build.system)}",
        "rolling_factor": within_bounds("rolling_factor", low, high),
    }


def _ask(build: Build, ratio: Ratio | None, masses: Masses) -> str | None:
    """What to read next: what would tell the candidates apart, else what an unfinished measurement lacks."""
    if ratio is not None:
        rows = named(candidates(ratio))
        if len({row.ratio for row in rows}) > 1:
            return _turns_to_tell(build, rows)
    for name, lacking in unfinished(build):
        return f"Give {naming(lacking)} with {naming([name])}."
    if COAST.is_whole(build) and not BACK.is_whole(build):
        return "Coast back on the same stretch and give that too (coast_down_back)."
    if masses.height is not None:
        measured = masses.height.measured
        if measured.uncertainty > ROUGH_HEIGHT * measured.value:
            return "Lift the axle higher, or read a scale with finer steps, and repeat it from the other end."
    return None


def _turns_to_tell(build: Build, rows: list[Candidate]) -> str:
    """How many turns by hand would tell the likeliest two candidates apart."""
    first, other = rows[0], next(row for row in rows if row.ratio != rows[0].ratio)
    turns = measurements.turns_to_separate(first.ratio, other.ratio, SHAFT_READ_TO, [2.0, 1.0])
    both, held = (int(np.ceil(count)) for count in turns)
    return (
        f"Turn the axle by its shaft and count {both} turn{'s' * (both > 1)} of both wheels, or {held} of one with the "
        f"other held: that would tell {build.say_ratio(first.ratio)} from {build.say_ratio(other.ratio)}. "
        "Counting the teeth settles it."
    )


QUESTION = Question(
    name="from-measurements",
    asks="What do my measurements say about the build: axle ratio, tyre, road load, mass and its centre?",
    needs=(),
    uses=tuple(dict.fromkeys((*AXLE_FIELDS, *MASS_FIELDS, *COAST_FIELDS))),
    results=(
        "measured_axle_ratio",
        "likeliest_axle_ratio",
        "measured_circumference",
        "measured_rolling_radius",
        "measured_road_load",
        "measured_road_load_speed",
        "measured_mass",
        "measured_front_share",
        "measured_mass_centre_height",
        "measured_stiffness",
        "measured_loaded_radius",
        "measurements_used",
    ),
    main="measurements_used",
    always=("measurements_used",),
    answer=answer,
    table=("axle_ratio", "ring_teeth", "pinion_teeth", "probability"),
    measures=True,
    example=truck(
        "tyre_pressure",
        "tyre_load",
        "wheelbase",
        tyre="35x12.50R17LT 121Q",
        measured_engine_speed="2500 rpm",
        measured_road_speed="65 mph",
        measured_gear_ratio=0.84,
        measured_rollout="104.8 in",
        coast_down="65:0,55:10.5,45:23.8,35:40.7,25:61.9",
        coast_down_back="65:0,55:10.9,45:24.8,35:42.6,25:65.2",
        front_axle_weighed="2810 lb",
        rear_axle_weighed="2490 lb",
        lifted_axle="rear",
        lifted_axle_height="30 in",
        other_axle_load="2960 lb",
        measured_sag="0.85 in",
    ),
)
