"""512 draws of what varies in a build, as one column of builds.

The draws are a fixed table: scrambled Sobol points, a column for each name of a field. What is systematic takes
the column of its name in every part and every build; parts take that column in an order of their own, which
follows from their size. So two builds share the draws of what they share.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api import tables, units
from gearing_api.build import Build
from gearing_api.mechanics import engines, road_loads
from gearing_api.mechanics.domain import Array
from gearing_api.ranges.drivers import Ranked, ranked
from gearing_api.ranges.shapes import HIGH, LOW, inverse_normal
from gearing_api.ranges.spreads import spread_of
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vocabulary import FIELDS, ORIGINAL

COUNT = 512
"""Draws of one build."""

Drawn = tuple[str, float | None]
"""Name of what is drawn; and of what is drawn by part, the number that tells parts apart."""

Picks = NDArray[np.intp]
ALL: Picks = np.arange(COUNT)

_PRINTED = ("peak_torque", "peak_power")
"""Figures given that stand for an engine that varies; tyres and steels are the others."""

_PREFIXES = (ORIGINAL, "front_", "rear_", "spare_")
_ROAD_LOAD = ("road_load", "drag_area", "rolling_resistance")
_ROOM = 1e-9  # relative: peaks drawn to the limit of what can belong to one engine lie within it


def plain_name(name: str) -> str:
    """The field whose draws a field takes: its own without original, front, rear or spare in front."""
    for prefix in _PREFIXES:
        rest = name.removeprefix(prefix)
        if rest != name and rest in FIELDS:
            return rest
    return name


def unit_draws(name: str) -> Array:
    """The uniform draws of a name, between 0 and 1."""
    return _columns()[name]


@cache
def _columns() -> dict[str, Array]:
    with files("gearing_api.ranges").joinpath("draws.npy").open("rb") as file:
        table = np.load(file)
    return {name: (table[name] + 0.5) / 65536.0 for name in table.dtype.names}


@lru_cache(maxsize=256)
def _order(name: str, part: float) -> Picks:
    """The order of the draws of a part of that size: a shuffle that is the same on every machine."""
    seed = hashlib.blake2b(name.encode() + np.float64(part).tobytes(), digest_size=8).digest()
    keys = np.arange(1, COUNT + 1, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    keys += np.frombuffer(seed, dtype="<u8")[0]
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        keys = (keys ^ (keys >> np.uint64(shift))) * np.uint64(factor)
    return np.argsort(keys ^ (keys >> np.uint64(31)), kind="stable")


@lru_cache(maxsize=256)
def _factors(field: str, when: str, part: float | None) -> Array:
    """What all draws make of the plain value of a field that is spread."""
    spread = spread_of(field, when)
    assert spread is not None
    assert spread.shape is not None
    return np.asarray(1.0 + 0.01 * spread.shape(draws_of((field, part))))


def draws_of(drawn: Drawn) -> Array:
    """All uniform draws of one part, or of what is systematic."""
    name, part = drawn
    return unit_draws(name) if part is None else unit_draws(name)[_order(name, part)]


@lru_cache(maxsize=256)
def ranks_of(drawn: Drawn) -> Ranked:
    """The same in order."""
    return ranked(draws_of(drawn))


class Draws:
    """Some of the 512 draws, and which inputs were drawn."""

    def __init__(self, picks: Picks = ALL) -> None:
        self.picks = picks
        self.drawn: set[Drawn] = set()

    def factors(self, name: str, when: str, part: float | None) -> Array:
        """What these draws make of the plain value of a field that is spread."""
        return _factors(name, when, part)[self.picks]

    def units(self, name: str) -> Array:
        """These uniform draws of a name."""
        return unit_draws(name)[self.picks]

    def vary(self, name: str, value: Any, when: str = "", part: float | None = None) -> Any:
        """The value, times what the draws make of it where the table has a spread for it."""
        spread = spread_of(name, when)
        if spread is None or spread.shape is None:
            return value
        part = part if spread.by_part else None
        self.drawn.add((name, part))
        return value * self.factors(name, when, part)

    def between(self, name: str, low: float, high: float) -> Array:
        """Every value between two ends as likely as any other."""
        self.drawn.add((name, None))
        return np.asarray(low + self.units(name) * (high - low))

    def coefficient(self, drawn: Drawn) -> Array:
        """These uniform draws of a coefficient of the road load."""
        return draws_of(drawn)[self.picks]

    def road_load(self) -> tuple[Array, Array, Array]:
        """Whole rows of measured road load: force over weight, over weight and speed, over speed squared at unit
        density of the air; NaN where the plain road load holds. [-, s/m, m2]"""
        self.drawn.add(("road_load", None))
        units_of_rows, rows = self.units("road_load"), _road_loads()
        known = ~np.isnan(units_of_rows)
        places = (np.where(known, units_of_rows, 0.0) * len(rows)).astype(np.intp)
        a, b, c = np.where(known[:, None], rows[places], np.nan).T
        return a, b, c

    def fitted_road_load(self, fitted: Array, covariance: Array) -> Array:
        """Coefficients A, B, C fitted to a coast-down, which vary together as their covariance says.

        `covariance` has AA, AB, AC, BB, BC, CC. Neither A nor C falls below nothing.
        """
        self.drawn.update(_COEFFICIENTS)
        uneven = [inverse_normal(self.coefficient(one)) for one in _COEFFICIENTS]
        first, to_second, second, to_third, from_second, third = road_loads.covariance_root(
            covariance
        ).tolist()
        a = fitted[0] + first * uneven[0]
        b = fitted[1] + to_second * uneven[0] + second * uneven[1]
        c = fitted[2] + to_third * uneven[0] + from_second * uneven[1] + third * uneven[2]
        return np.stack([np.maximum(a, 0.0), b, np.maximum(c, 0.0)], axis=-1)


_COEFFICIENTS: tuple[Drawn, ...] = (("road_load", None), ("road_load", 3.0), ("road_load", 12.0))
"""Three orders of one column that go together least: their correlations are below 0.003."""

_ENDS = np.array([LOW, HIGH])


class Ends(Draws):
    """Each of some inputs at its 5 and 95 % points, two builds an input, while all others are plain.

    `at` is filled with what each input is there: factors of the plain value, or SI values of a range given.
    """

    def __init__(self, inputs: Sequence[Drawn], at: dict[Drawn, tuple[float, float]], picks: Picks) -> None:
        super().__init__(picks)
        self._at = at
        self._places = {drawn: 2 * place for place, drawn in enumerate(inputs)}

    def factors(self, name: str, when: str, part: float | None) -> Array:
        """The ends of one input over its plain value, 1 where another is at its ends."""
        spread = spread_of(name, when)
        assert spread is not None
        assert spread.shape is not None
        units_of_rows = self._rows((name, part))
        low, high = (float(end) for end in 1.0 + 0.01 * spread.shape(_ENDS))
        self._at[name, part] = low, high
        return np.where(units_of_rows == LOW, low, np.where(units_of_rows == HIGH, high, 1.0))

    def units(self, name: str) -> Array:
        """The two ends in the rows of this input, NaN in all others."""
        return self._rows((name, None))

    def coefficient(self, drawn: Drawn) -> Array:
        """The two ends in the rows of this coefficient, the middle in all others."""
        return np.nan_to_num(self._rows(drawn), nan=0.5)

    def between(self, name: str, low: float, high: float) -> Array:
        """The ends in the rows of this input, the middle in all others."""
        self._at[name, None] = low + LOW * (high - low), low + HIGH * (high - low)
        return np.asarray(low + np.nan_to_num(self.units(name), nan=0.5) * (high - low))

    def _rows(self, drawn: Drawn) -> Array:
        rows = np.full(2 * len(self._places), np.nan)
        if drawn in self._places:
            rows[self._places[drawn] : self._places[drawn] + 2] = LOW, HIGH
        return rows[self.picks]


_MEASURED_AT = 1.167
"""Density of the air that coast-downs are corrected to. [kg/m3]"""

_ORDER_SPEED, _ORDER_WEIGHT = 26.8224, 2400.0 * 9.80665
"""Rows stand in the order of their force at 60 mph on a vehicle of 2400 kg. [m/s, N]"""


@cache
def _road_loads() -> Array:
    """The measured rows as shares of the weight and as area, from the least force to the greatest."""
    table = tables.table("coast-down")
    weight, a, b, c = (
        np.array(table.column(name), dtype=np.float64) * factor
        for name, factor in (
            ("test_weight", units.FORCE.factor("us")),
            ("a", units.FORCE.factor("us")),
            ("b", units.DRAG_LINEAR.factor("us")),
            ("c", units.DRAG_SQUARE.factor("us")),
        )
    )
    force = (a + b * _ORDER_SPEED) * (_ORDER_WEIGHT / weight) + c * (_ORDER_SPEED * _ORDER_SPEED)
    rows = np.stack([a / weight, b / weight, c / _MEASURED_AT], axis=-1)
    return np.asarray(rows[np.argsort(force, kind="stable")])


def drawn(build: Build, draws: Draws | None = None) -> Build:
    """The build as a column of builds, one for each draw; all 512 if these are not given.

    Fields given as a range lie between its ends; printed figures, and what is assumed where the questions ask
    for it, are spread as the table says. Its `draws` tells which inputs were drawn.
    """
    draws = Draws() if draws is None else draws
    values = {name: _drawn_value(build, draws, name, value) for name, value in build.values.items()}
    for before in ("", ORIGINAL):
        _keep_peaks_apart(values, before, build)
    return build.with_draws(values, draws)


def _drawn_value(build: Build, draws: Draws, name: str, value: Any) -> Any:
    plain = plain_name(name)
    if name == "road_load" and "road_load_covariance" in build.values:
        return draws.fitted_road_load(value, build.values["road_load_covariance"])
    if name in build.between:
        return draws.between(plain, *build.between[name])
    if isinstance(value, TyreSize):
        return _drawn_tyre(draws, value)
    return draws.vary(plain, value) if plain in _PRINTED else value


def _drawn_tyre(draws: Draws, size: TyreSize) -> TyreSize:
    """A printed size with the diameter of the tyres that bear it; a measured one as it is."""
    if spread_of("tyre", size.form) is None:
        return size
    diameter: Any = draws.vary("tyre", np.float64(size.diameter), size.form, model_of(size))
    return replace(size, diameter=diameter)


def model_of(size: TyreSize) -> float:
    """One number for each size."""
    return size.diameter + 1e-3 * (size.nominal_width or 0.0) + 1e-6 * (size.rim_diameter or 0.0)


def _keep_peaks_apart(values: dict[str, Any], before: str, build: Build) -> None:
    """Keep the highest torque drawn between the least and the most that can go with the highest power drawn."""
    names = [before + name for name in ("peak_power", "peak_power_speed", "peak_torque", "peak_torque_speed")]
    if build.values.get(before + "engine_kind", build.values.get("engine_kind")) == "electric":
        return
    if not all(name in values for name in names):
        return
    power, power_speed, torque, torque_speed = (values[name] for name in names)
    if not np.all(engines.peaks_agree(*(build.values[name] for name in names))):
        return
    least = power / power_speed * (1.0 + _ROOM)
    z = 1.0 - torque_speed / power_speed
    most = power / power_speed * (1.0 + z + z * z) * (1.0 - _ROOM)
    low = values.get("idle_torque", 0.0)
    values[names[2]] = np.maximum(np.clip(torque, np.minimum(least, most), most), low)
