"""Road load of a coasting vehicle, with the covariance of its coefficients."""

from typing import NamedTuple

import numpy as np

from gearing_api.answer import Caution, Source, check, note
from gearing_api.build import Build
from gearing_api.mechanics import air, measurements, road_loads
from gearing_api.mechanics.domain import Array
from gearing_api.mechanics.measurements import Line
from gearing_api.vehicle.readings import BACK, COAST, Figure, Finding, accepted, uncertainty, usual
from gearing_api.vehicle.resistance import rolling_resistance

COAST_FIELDS = (
    "coast_down",
    "coast_down_back",
    "drag_area",
    "rolling_resistance",
    "tread",
    "altitude",
)

TURNING_PARTS = 0.03
"""Mass that wheels and shafts add to a vehicle that coasts in neutral / its mass. [-]"""

COASTING = Source(
    "force = 1.03 x mass x loss of speed / time, from each reading to the next; A + C v2 fitted by least squares, the "
    "two directions averaged",
    "published",
    "40 CFR 1066.310: two terms, B = 0. Variances of the fit: JCGM 100:2008, annex H.3. 1.03: UN GTR 15, from memory "
    "(high)",
)

_ONE_WAY = check(
    "coasted-one-way",
    "Coasted in one direction only: a slope of 0.5 % or a light wind changes the force by a sixth. Coast back as well.",
    False,
)
_TWO_TERMS = note(
    "two-term-road-load",
    "A and C are fitted with B = 0: trust the force, not the single coefficients. Give their covariances "
    "(road_load_covariance) with them.",
)


class RoadLoad(NamedTuple):
    """Coefficients of the road load with their covariance, and the force amid the speeds coasted."""

    coefficients: Array
    """A, B, C on the last axis, B = 0. [N, N s/m, kg/m]"""
    covariance: Array
    """AA, AB, AC, BB, BC, CC on the last axis."""
    speed: Array
    finding: Finding
    cautions: tuple[Caution, ...]


def road_load_of(build: Build, mass: Figure) -> RoadLoad | None:
    """What coasting says, None where the vehicle did not coast."""
    if not COAST.is_whole(build):
        return None
    equivalent = (1.0 + TURNING_PARTS) * mass.value
    back = BACK.is_whole(build)
    runs = [_fit(equivalent, build.number(name)) for name in ("coast_down", "coast_down_back")[: 1 + back]]
    share = 1.0 / len(runs)
    constant, square, aa, ac, cc = (
        sum(parts[1:], start=parts[0]) * (share if place < 2 else share * share)
        for place, parts in enumerate(zip(*map(_parts, runs), strict=True))
    )
    readings = np.asarray(build.number("coast_down")[..., 0])
    speed = 0.5 * (readings[..., 0] + readings[..., -1])
    of_mass = np.hypot(uncertainty("turning-parts") / (1.0 + TURNING_PARTS), mass.uncertainty / mass.value)
    scale = of_mass * of_mass
    slope = 0.0 if back else mass.value * road_loads.STANDARD_GRAVITY * uncertainty("unseen-grade")
    variances = (
        aa + scale * constant * constant + slope * slope,
        ac + scale * constant * square,
        cc + scale * square * square,
    )
    _require_plausible(build, (constant, square), variances)
    force = Figure(road_loads.road_load(speed, constant, 0.0, square), _at(speed, *variances))
    none = np.zeros(np.shape(constant))
    aa, ac, cc = variances
    return RoadLoad(
        np.stack([constant, none, square], axis=-1),
        np.stack([aa, none, ac, none, none, cc], axis=-1),
        speed,
        Finding(
            "road_load",
            "coasting both ways" if back else "coasting one way",
            ("coast_down", "coast_down_back")[: 1 + back],
            force,
            _by_formula(build, mass.value, speed),
            force,
        ),
        (_TWO_TERMS, _ONE_WAY._replace(where=not back)),
    )


def _fit(equivalent_mass: Array, readings: Array) -> Line:
    """Force over speed squared of one run; it scatters at least as much as stopwatch and speed reading do."""
    speeds, times = np.asarray(readings[..., 0]), np.asarray(readings[..., 1])
    middle, forces = measurements.interval_forces(equivalent_mass, speeds, times)
    of_time = uncertainty("elapsed-time") / (times[..., 1:] - times[..., :-1])
    of_speed = uncertainty("road-speed") / (speeds[..., :-1] - speeds[..., 1:])
    scatter = forces * np.hypot(of_time, of_speed)
    mean_square = 2.0 * np.cumsum(scatter * scatter, axis=-1)[..., -1] / scatter.shape[-1]
    return measurements.fit_line(middle * middle, forces, np.sqrt(mean_square))


def _parts(line: Line) -> tuple[Array, ...]:
    return line.intercept, line.slope, line.intercept_variance, line.covariance, line.slope_variance


def _at(speed: Array, aa: Array, ac: Array, cc: Array) -> Array:
    """Standard uncertainty of the force at a speed. [N]"""
    square = speed * speed
    return np.sqrt(np.maximum(aa + square * (2.0 * ac + square * cc), 0.0))


def _require_plausible(build: Build, coefficients: tuple[Array, Array], variances: tuple[Array, ...]) -> None:
    constant, square = coefficients
    build.require(
        accepted("road_load", constant, 0) & accepted("road_load", square, 2),
        "coast_down",
        "says no road load that rises with speed from a positive force: coast in neutral on the level, from a high "
        "speed to a low one, and read it every 10 mph (15 km/h)",
    )
    known = np.ones(np.shape(constant), dtype=np.bool_)
    for place, variance in zip((0, 2, 5), variances, strict=True):
        known = known & accepted("road_load_covariance", variance, place)
    build.require(
        known, "coast_down", "scatters too much to say a road load: repeat it with readings further apart"
    )


def _by_formula(build: Build, mass: Array, speed: Array) -> Figure:
    """The force that drag area and rolling resistance give, as other questions would take it."""
    square = road_loads.drag_factor(build.number("drag_area"), air.air_density(build.number("altitude")))
    rolling = road_loads.rolling_force(mass, rolling_resistance(build))
    force = np.asarray(rolling + road_loads.road_load(speed, 0.0, 0.0, square))
    return Figure(force, usual("road_load", "", force).uncertainty)
