"""What every measurement has in common: how far readings are out, what belongs together, and what is concluded."""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from gearing_api import tables
from gearing_api.answer import Between, Source
from gearing_api.build import Build
from gearing_api.mechanics import measurements
from gearing_api.mechanics.domain import Array
from gearing_api.vocabulary import FIELDS

TOO_FAR = 2.0
"""Standard uncertainties of their difference beyond which two figures contradict each other. [-]"""

READINGS = Source(
    "how far readings are out, and how well a build is known without them",
    "common practice",
    "Tables /v1/tables/readings and /v1/tables/spreads, each row with its source",
)
JOIN = Source(
    "a measurement and what the build says are joined, each by the inverse of its variance",
    "published",
    "Least squares with weights 1 / u^2; ranges hold 9 in 10, normal errors taken",
)

_UNCERTAINTIES = {
    str(name): float(str(value))
    for name, value in tables.table("readings").keyed("reading", "uncertainty").items()
}


def uncertainty(reading: str) -> float:
    """Standard uncertainty of a reading, by its name in the table. [SI; of engine speeds rpm]"""
    return _UNCERTAINTIES[reading]


def read_within(build: Build, field: str, usual: Array | float) -> Array | float:
    """Standard uncertainty of a reading: of one given as a range half its width / sqrt 3, else the usual one. [SI]"""
    low, high = build.between.get(field, (0.0, 0.0))
    return (high - low) / (2.0 * math.sqrt(3.0)) if high > low else usual


class Figure(NamedTuple):
    """A value with its standard uncertainty, in SI."""

    value: Array
    uncertainty: Array

    def ends(self) -> tuple[Array, Array]:
        """The range that holds 9 in 10."""
        reach = measurements.NINE_IN_TEN * self.uncertainty
        return np.asarray(self.value - reach), np.asarray(self.value + reach)

    def joined(self, other: "Figure") -> "Figure":
        """Both joined, each by the inverse of its variance."""
        both = measurements.joined(*self, *other)
        return Figure(both.value, both.uncertainty)

    def apart(self, other: "Figure") -> Array:
        """How far the two lie apart, in standard uncertainties of their difference. [-]"""
        return measurements.joined(*self, *other).apart

    def contradicts(self, other: "Figure") -> NDArray[np.bool_]:
        """Where the two lie too far apart to be of one thing."""
        return np.asarray(self.apart(other) > TOO_FAR)


def usual(field: str, when: str, value: Array) -> Figure:
    """What is taken of a field without measuring it, with its spread; the middle of that need not be the value."""
    middle, deviation = _SPREADS[field, when]
    return Figure(np.asarray(value * (1.0 + middle)), np.asarray(value * deviation))


def _spreads() -> dict[tuple[str, str], tuple[float, float]]:
    """Middle and standard deviation of each spread in the table, in parts of the value."""
    table = tables.table("spreads")
    columns = (table.column(name) for name in ("field", "when", "shape", "low", "high"))
    return {
        (str(field), str(when or "")): (
            0.005 * (float(str(high)) + float(str(low))),
            0.005 * (float(str(high)) - float(str(low))) / _REACH[str(shape)],
        )
        for field, when, shape, low, high in zip(*columns, strict=True)
    }


_REACH = {
    "normal": measurements.NINE_IN_TEN,
    "rows": measurements.NINE_IN_TEN,
    "uniform": 0.9 * math.sqrt(3.0),
    "triangular": 0.684 * math.sqrt(6.0),
}
"""Half of the range that holds 9 in 10 / standard deviation, by shape; a triangle is taken as even-sided. [-]"""

_SPREADS = _spreads()


def figure(build: Build, field: str, usual: Array | float) -> Figure:
    """A field with the uncertainty that it was given with, else the usual one. [SI]"""
    value = build.number(field)
    return Figure(value, np.asarray(value * 0.0 + read_within(build, field, usual)))


class Finding(NamedTuple):
    """What a measurement says of a field, and what the build said of it before.

    `best` joins the two; where they contradict each other it is the measurement.
    """

    field: str
    what: str
    readings: tuple[str, ...]
    measured: Figure
    expected: Figure | None
    best: Figure

    def contradicts(self) -> NDArray[np.bool_]:
        """Where the measurement contradicts the build."""
        if self.expected is None:
            return np.zeros((), dtype=np.bool_)
        return self.measured.contradicts(self.expected)


def finding(
    field: str, what: str, readings: tuple[str, ...], measured: Figure, expected: Figure | None
) -> Finding:
    """The measurement joined with what the build says, where that says something and does not contradict it."""
    if expected is None:
        return Finding(field, what, readings, measured, None, measured)
    apart, both = measured.contradicts(expected), measured.joined(expected)
    best = Figure(*(np.where(apart, *parts)[()] for parts in zip(measured, both, strict=True)))
    return Finding(field, what, readings, measured, expected, best)


class Measurement(NamedTuple):
    """Readings that belong together, and the other fields without which they say nothing.

    Each of `needs` is a field, or several of which one is enough.
    """

    readings: tuple[str, ...]
    needs: tuple[tuple[str, ...], ...] = ()

    def is_begun(self, build: Build) -> bool:
        """Whether one of its readings was given."""
        return any(map(build.given, self.readings))

    def lacks(self, build: Build) -> tuple[str, ...]:
        """The fields that it lacks; of several of which one is enough, the first."""
        groups = [*((name,) for name in self.readings), *self.needs]
        return tuple(group[0] for group in groups if not any(map(build.given, group)))

    def is_whole(self, build: Build) -> bool:
        """Whether its readings were given, and all that they need."""
        return self.is_begun(build) and not self.lacks(build)


_WEIGHED = ("front_axle_weighed", "rear_axle_weighed")

TEETH = Measurement(("ring_teeth", "pinion_teeth"))
TURNS = Measurement(("measured_shaft_turns", "measured_wheel_turns"))
ROAD = Measurement(("measured_engine_speed", "measured_road_speed"), (("tyre", "measured_rollout"),))
ROLLOUT = Measurement(("measured_rollout",))
WEIGHED = Measurement(_WEIGHED)
LIFT = Measurement(
    ("lifted_axle", "lifted_axle_height", "other_axle_load"),
    (("front_axle_weighed",), ("rear_axle_weighed",), ("wheelbase",), ("tyre",)),
)
COAST = Measurement(("coast_down",), (("vehicle_mass", "front_axle_weighed"),))
BACK = Measurement(("coast_down_back",), (("coast_down",), ("vehicle_mass", "front_axle_weighed")))
SAG = Measurement(("measured_sag",), (("tyre_load",), ("tyre_pressure",)))

MEASUREMENTS: tuple[Measurement, ...] = (TEETH, TURNS, ROAD, ROLLOUT, WEIGHED, LIFT, COAST, BACK, SAG)
"""All measurements, those that say most of an axle first."""


def unfinished(build: Build) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each reading that says nothing, with the fields that it lacks."""
    for measurement in MEASUREMENTS:
        lacking = measurement.lacks(build)
        if lacking:
            yield from ((name, lacking) for name in measurement.readings if build.given(name))


def accepted(name: str, value: Array, item: int | None = None) -> NDArray[np.bool_]:
    """Where a value in SI lies within the bounds of a field, or of that item of its coefficients."""
    low, high = _bounds(name, item)
    return np.asarray((low <= value) & (value <= high))


def within_bounds(name: str, low: Array, high: Array) -> Between:
    """The range as far as it lies within the bounds of a field."""
    least, most = _bounds(name)
    return Between(np.asarray(np.maximum(low, least)), np.asarray(np.minimum(high, most)))


def _bounds(name: str, item: int | None = None) -> tuple[float, float]:
    """The bounds of a field, or of that item of its coefficients, in SI; of a tyre those of its diameter."""
    kind = cast(Any, FIELDS[name].kind)
    if name == "tyre":
        low, high = kind._ends
        return low, high
    number = kind if item is None else kind.items[item]
    factor = number.quantity.factor("us")
    low, high = number.bounds("us")
    return low * factor, high * factor
