"""What holds the vehicle of a build back, and what the engine holds against it at cruise speed."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import tables
from gearing_api.answer import Caution, Source, note
from gearing_api.build import DEFAULTS, Build
from gearing_api.mechanics import air, losses, road_loads, traction
from gearing_api.mechanics.domain import Array
from gearing_api.mechanics.losses import Losses
from gearing_api.mechanics.road_loads import STANDARD_GRAVITY as GRAVITY
from gearing_api.vehicle.engine import Engine, in_curve, in_speeds, power_available
from gearing_api.vehicle.loads import CARGO_FIELDS, cargo_of, train_mass

RESISTANCE_FIELDS = (
    "road_load",
    "road_load_covariance",
    "drag_area",
    "rolling_resistance",
    "tread",
    *CARGO_FIELDS,
    "trailer_drag_area",
)
"""What the resistance and the mass that it acts on are read from, beside vehicle_mass."""

_ZERO = np.zeros(())

_TABLE = tables.table("rolling-resistance")


def _rolling(what: str) -> dict[str, float]:
    rows = zip(*(_TABLE.column(name) for name in ("what", "name", "rolling_resistance")), strict=True)
    return {str(name): float(str(value)) for kind, name, value in rows if kind == what}


_TREADS, _GROUNDS = _rolling("tread"), _rolling("ground")

ROLLING_TABLE = Source(
    "rolling resistance of the tread on hard ground, and what the ground adds",
    "common practice",
    "Table /v1/tables/rolling-resistance, each row with its source",
)

_FORMULA = (
    Source(
        "road load = f m g cos + air density x drag area x v2 / 2 + m g sin, exact on the slope",
        "published",
        "Second hand: Gillespie, Fundamentals of Vehicle Dynamics (SAE 1992), ch. 4",
    ),
    Source("air density at the altitude", "published", "ISO 2533:1975, Standard atmosphere"),
)
_COAST_DOWN = (
    Source(
        "road load = A + B v + C v2 + m g sin",
        "published",
        "UN GTR 15 (2019), Annex 2; US EPA Test Car List: target coefficients",
    ),
)

_NOT_THINNED = (
    "The road load (road_load) is taken as measured: its air drag is not less for the thinner air of the "
    "altitude."
)


MEASURED_RESISTANCE = ("road_load", "drag_area", "rolling_resistance")
"""Fields of which one is enough to know the road load better than from like vehicles."""

_SPREADS = tables.table("spreads")
ROAD_LOAD_ENDS = tuple(
    float(str(_SPREADS.keyed("field", end)["road_load"])) / 100.0 for end in ("low", "high")
)
"""Between which ends the measured road load of 9 in 10 like vehicles lies, over the one assumed, less 1. [-]"""


class Resistance(NamedTuple):
    """Force on the level: `rolling` x weight + `constant` + `linear` v + `square` v2; and what backs it."""

    rolling: Array
    constant: Array
    linear: Array
    square: Array
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...]

    def level_force(self, road_speed: Array) -> Array:
        """All but what goes with the weight. [N]"""
        return road_loads.road_load(road_speed, self.constant, self.linear, self.square)

    def weight_force(self, mass: Array, grade: Array) -> Array:
        """What goes with the weight: rolling resistance and the slope. [N]"""
        return road_loads.rolling_force(mass, self.rolling, grade) + road_loads.grade_force(mass, grade)


class Pull(NamedTuple):
    """What the engine gives at cruise speed, at full load."""

    runs: NDArray[np.bool_]
    """Whether the engine speed lies within idle, redline and curve."""
    power: Array
    """At the crankshaft, NaN where the engine does not run. [W]"""
    grade: Array
    """Steepest grade held with cruise_reserve_percent in hand: negative where the power falls short on the
    level, +inf where there is no limit, NaN where the engine does not run. [-]"""


def resistance_of(build: Build) -> Resistance:
    """From coast-down coefficients where they are given, else from drag area and rolling resistance.

    What rolls is the whole train: the vehicle with what it carries, and its trailer.
    """
    return build.once("resistance", _resistance_of)


def _resistance_of(build: Build) -> Resistance:
    density = air.air_density(build.number("altitude"))
    trailer = build.number("trailer_drag_area") if build.given("trailer_mass") else _ZERO
    coast_down = build.known("road_load")
    if coast_down is not None:
        _require_covariance(build)
        a, b, c = coast_down[..., 0], coast_down[..., 1], coast_down[..., 2]
        thin = note("drag-as-measured", _NOT_THINNED, build.number("altitude") > 0.0)
        if build.given("trailer_mass"):
            cargo = cargo_of(build)
            a = a + GRAVITY * rolling_resistance(build) * (cargo.trailer - cargo.tongue)
            c = c + road_loads.drag_factor(trailer, density)
        return Resistance(_ZERO, a, b, c, _COAST_DOWN, (thin,))
    if build.draws is not None and not any(map(build.given, _MEASURED)):
        return _measured(build, trailer, density)
    square = road_loads.drag_factor(build.number("drag_area") + trailer, density)
    return Resistance(rolling_resistance(build), _ZERO, _ZERO, square, (*_FORMULA, ROLLING_TABLE), ())


_MEASURED = ("road_load", "drag_area", "rolling_resistance")
"""Fields of the road load: where one of them is given, no whole rows are drawn."""


def _measured(build: Build, trailer: Array, density: Array) -> Resistance:
    """Rows measured on other vehicles, one a draw: by weight and density of the air, the first by the tread too."""
    assert build.draws is not None
    a, b, c = build.draws.road_load()
    tread = _TREADS[build.word("tread")]
    plain = np.isnan(a)
    rolling = np.where(plain, tread, a * (tread / _TREADS["all-terrain"]))
    linear = np.where(plain, 0.0, b * (GRAVITY * build.number("vehicle_mass")))
    square = np.where(plain, road_loads.drag_factor(DEFAULTS["drag_area"], density), c * density)
    return Resistance(rolling, _ZERO, linear, square + road_loads.drag_factor(trailer, density), (), ())


def _require_covariance(build: Build) -> None:
    """Refuse a covariance that no coefficients of the road load can have; only ranges draw from it."""
    if build.given("road_load_covariance"):
        build.require(
            road_loads.is_covariance(build.number("road_load_covariance")),
            "road_load_covariance",
            "is none that three coefficients can have: give all digits, as from-measurements gives them",
        )


def rolling_resistance(build: Build, *, off_road: bool = False) -> Array:
    """Rolling resistance force / weight: as given, else of the tread, off the road with what the ground adds."""
    given = build.known("rolling_resistance")
    if given is not None:
        return given
    tread = build.word("tread")
    found = np.asarray(build.vary("rolling_resistance", _TREADS[tread], tread))
    if off_road:
        ground = build.word("surface")
        found = np.asarray(found + build.vary("surface", _GROUNDS[ground], ground))
    build.assume("rolling_resistance", found)
    return found


def pull_at_cruise(
    build: Build,
    engine: Engine,
    resistance: Resistance,
    engine_speed: Array,
    lost: Losses,
    input_speed: Array | None = None,
    share: Array | float = 1.0,
) -> Pull:
    """Power and grade held at cruise_speed at each engine speed, gears or axle ratios on the last axis.

    Where an open converter slips, the gearbox turns at `input_speed` and gets that share of the power.
    """
    speed = build.number("cruise_speed")
    runs = in_speeds(build, engine_speed) & in_curve(engine, engine_speed)
    power = power_available(engine, engine_speed)
    handed = share * power / reserve_factor(build)[..., None]
    arriving = losses.arriving_power(lost, handed, engine_speed if input_speed is None else input_speed)
    grade = traction.climbable_grade(
        arriving / speed[..., None] - resistance.level_force(speed)[..., None],
        train_mass(build)[..., None],
        resistance.rolling[..., None],
    )
    grade = np.where(grade >= traction.STEEPEST_GRADE, np.inf, grade)
    return Pull(runs, np.where(runs, power, np.nan), np.where(runs, grade, np.nan))


def reserve_factor(build: Build) -> Array:
    """Power that a gear must give, over what the road asks, to count as holding. [-]"""
    return np.asarray(1.0 + build.number("cruise_reserve_percent"))
