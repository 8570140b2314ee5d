"""A build as the questions see it: SI values, and an account of what was used and what was assumed.

A build is one vehicle, or a column of vehicles that give the same fields: then every number is an array
over the vehicles, lists have the list on their last axis, and words are the same for all.
"""

import math
from collections.abc import Callable, Container, Iterable, Mapping
from copy import copy
from functools import cache
from typing import Any, NamedTuple, Protocol, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from gearing_api.mechanics import gearing, tyres
from gearing_api.mechanics.domain import Array
from gearing_api.tyre_sizes import TyreSize
from gearing_api.units import Quantity, System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    AXLE_RATIO,
    FIELDS,
    ORIGINAL,
    ORIGINAL_GROUPS,
    ORIGINALLY_ABSENT,
    FieldError,
    InvalidBuild,
)

T = TypeVar("T")

DEFAULTS: dict[str, Any] = {
    name: field.kind.read(field.default, "us") for name, field in FIELDS.items() if field.default is not None
}

_DIESEL = {"redline_speed": FIELDS["redline_speed"].kind.read("4000 rpm", "us")}
_BY_ENGINE: dict[str, dict[str, Any]] = {
    "electric": {"idle_speed": np.float64(0.0), "redline_speed": None},
    "diesel": _DIESEL,
    "diesel-turbo": _DIESEL,
}
"""Defaults that go by the kind of engine; None where nothing is assumed. A motor has no idle, given or not."""

_HILL = "descent_grade_percent"
TEETH = ("ring_teeth", "pinion_teeth")
_DROP = "propshaft_drop"
_NOTHING = object()
_NO_ENGINE: dict[str, Any] = {}
_NO_RANGES: Mapping[str, tuple[float, float]] = {}
_LOWEST_MASS_CENTRE = 0.127  # the least mass_centre_height that a build may give [m]
_RATIO_AGREES = 0.011  # a ratio printed to two decimals, rounded or cut off


_ONLY_GIVEN = {
    name for name, field in ALL_FIELDS.items() if field.default is None and field.instead is None
} - {"axle_ratio", _DROP, _HILL, *_DIESEL, *_BY_ENGINE["electric"]}
"""Fields that have no value unless they are given."""


def is_known(name: str, given: Container[str]) -> bool:
    """Whether a field has a value, given or assumed, where these fields are given."""
    instead = ALL_FIELDS[name].instead
    return (
        name in given
        or name in DEFAULTS
        or (instead is not None and is_known(instead, given))
        or (name == "axle_ratio" and all(part in given for part in TEETH))
        or (name == _DROP and ORIGINAL + _DROP in given)
    )


class FittedTyre(NamedTuple):
    """A tyre with the factor that makes a rolling circumference of its diameter."""

    size: TyreSize
    rolling_factor: Array
    rolling_circumference: Array
    rolling_radius: Array


class MixedColumn(ValueError):
    """A column of builds that cannot be answered together; `where` marks those to answer apart."""

    def __init__(self, where: NDArray[np.bool_]) -> None:
        super().__init__("builds of different kinds in one column")
        self.where = where


class Spread(Protocol):
    """What a drawn build makes of values that vary."""

    def vary(self, name: str, value: Any, when: str = "", part: float | None = None) -> Any:
        """The value in each draw."""

    def road_load(self) -> tuple[Array, Array, Array]:
        """Measured rows of road load, one for each draw."""


class Build:
    """The values of one build, or of a column of builds.

    Parameters
    ----------
    values : mapping
        SI values by field name.
    raw : mapping
        The same as received, for the echo.
    system : str
        The units of bare numbers, ``us`` or ``metric``.
    between : mapping, optional
        The two ends of fields that were given as a range, in SI; `values` have its middle.
    draws : Spread, optional
        What varies from draw to draw, of a build that was drawn: a column with a build for each draw.

    Raises
    ------
    InvalidBuild
        If the tooth counts contradict the axle ratio.
    """

    def __init__(
        self,
        values: Mapping[str, Any],
        raw: Mapping[str, object],
        system: System = "us",
        between: Mapping[str, tuple[float, float]] = _NO_RANGES,
        draws: Spread | None = None,
    ) -> None:
        self._values = dict(values)
        self._raw = raw
        self.system = system
        self.between = between
        self.draws = draws
        self._used: set[str] = set()
        self._assumed: dict[str, Any] = {}
        self._read: dict[str, Any] = {}
        self._fitted: dict[str, FittedTyre] = {}
        self._made: dict[str, Any] = {}
        if all(name in self._values for name in TEETH):
            self._take_ratio_from_teeth()
        if all(ORIGINAL + name in self._values for name in TEETH):
            self._values[ORIGINAL + "axle_ratio"] = self.original().number("axle_ratio")
        self._lifted = _DROP not in self._values and ORIGINAL + _DROP in self._values
        if self._lifted:
            self._values[_DROP] = self._values[ORIGINAL + _DROP] + self._values.get("lift_height", 0.0)

    def _take_ratio_from_teeth(self) -> None:
        ratio = gearing.tooth_ratio(*(self._values[name] for name in TEETH))
        written = self._values.get("axle_ratio", ratio)
        self.require(
            np.abs(written - ratio) <= _RATIO_AGREES,
            "axle_ratio",
            "contradicts ring_teeth / pinion_teeth: give one or the other",
        )
        low, high = AXLE_RATIO.bounds(self.system)
        accepted = f"divided by pinion_teeth must be {AXLE_RATIO.accepted(self.system)}"
        self.require((low <= ratio) & (ratio <= high), "ring_teeth", accepted)
        self._values["axle_ratio"] = ratio

    def has(self, name: str) -> bool:
        """Whether the field has a value, given or assumed."""
        if name in self._values:
            return True
        if name in _ONLY_GIVEN or self._by_engine(name) is None:
            return False
        return is_known(name, self._values) or (name == _HILL and self._goes_down())

    def _goes_down(self) -> bool:
        """Whether a grade was given that falls, in one of the builds at least."""
        return bool(np.any(self._values.get("grade_percent", 0.0) < 0.0))

    def _by_engine(self, name: str) -> Any:
        """What is assumed for the kind of engine; None where nothing is, `_NOTHING` for any other field."""
        return _BY_ENGINE.get(self._values.get("engine_kind", ""), _NO_ENGINE).get(name, _NOTHING)

    def given(self, name: str) -> bool:
        """Whether the field was given."""
        return name in self._values

    def missing(self, names: Iterable[str]) -> list[str]:
        """Those of the names that have no value."""
        return [name for name in names if not self.has(name)]

    def _noted(self, name: str) -> Any:
        """The value of a field that is asked for the first time: it is noted as used or assumed."""
        value = self._values.get(name, _NOTHING)
        if value is not _NOTHING and not (name == "idle_speed" and self._by_engine(name) is not _NOTHING):
            self._used.add(name)
            if name == "axle_ratio":
                self._used.update(TEETH)
            if name == _DROP and self._lifted:
                self._used.update((ORIGINAL + _DROP, "lift_height"))
            return value
        if name == _HILL and self._goes_down():
            return self._hill()
        field, by_engine = ALL_FIELDS[name], self._by_engine(name)
        if by_engine is not _NOTHING:
            self._used.add("engine_kind")
        if by_engine is not _NOTHING and by_engine is not None:
            value = self.vary(name, by_engine)
        elif name in DEFAULTS and by_engine is not None:
            value = self.vary(name, DEFAULTS[name])
        elif field.instead is not None:
            value = self.number(field.instead)
        else:
            raise InvalidBuild([FieldError(name, f"is needed: {field.kind.accepted(self.system)}")])
        self._assumed[name] = value
        return value

    def _hill(self) -> Array:
        """The amount of a grade that falls: the hill that a vehicle goes down, where no other is given."""
        grade = self.number("grade_percent")
        falls = np.asarray(grade < 0.0)
        if not falls.all():
            raise MixedColumn(falls)
        self.assume(_HILL, hill := np.asarray(-grade)[()])
        return hill

    def number(self, name: str) -> Array:
        """A number in SI, shape () or (builds,); a list has its items on a further, last axis.

        Raises
        ------
        InvalidBuild
            If it was not given and nothing is assumed for it.
        """
        found: Any = self._read.get(name)
        if found is None:
            found = self._read[name] = self._noted(name)
        value: Array = found
        return value

    def known(self, name: str) -> Array | None:
        """The same, or None where it was not given and nothing is assumed for it."""
        return self.number(name) if name in self._read or self.has(name) else None

    def word(self, name: str) -> str:
        """One of the words of a choice."""
        return str(self.number(name))

    def tyre(self, name: str = "tyre") -> FittedTyre:
        """A tyre with its rolling circumference.

        Raises
        ------
        InvalidBuild
            If no tyre was given.
        """
        if name not in self._fitted:
            size: Any = self.number(name)
            factor = self._rolling_factor(size)
            circumference = tyres.rolling_circumference(size.diameter, factor)
            self._fitted[name] = FittedTyre(size, factor, circumference, tyres.rolling_radius(circumference))
        return self._fitted[name]

    def _rolling_factor(self, size: TyreSize) -> Array:
        if self.given("rolling_factor"):
            return self.number("rolling_factor")
        factor = cast(Array, np.float64(tyres.ROLLING_FACTORS[size.construction]))
        self.assume("rolling_factor", factor)
        return cast(Array, self.vary("rolling_factor", factor, size.construction))

    def vary(self, name: str, value: Any, when: str = "", part: float | None = None) -> Any:
        """A value that was not measured: as it is, or of a drawn build what each draw makes of it.

        `when` is the word of the build that says which spread it has; `part` tells parts apart that vary
        independently.
        """
        return value if self.draws is None else self.draws.vary(name, value, when, part)

    @property
    def values(self) -> Mapping[str, Any]:
        """The SI values of the fields given, and of those that follow from them alone."""
        return self._values

    def with_draws(self, values: Mapping[str, Any], draws: Spread) -> "Build":
        """The column of builds that draws make of it."""
        return Build(values, {}, self.system, draws=draws)

    def say(self, value: Any, quantity: Quantity, digits: int = 3) -> str:
        """A number of one build with its unit, rounded for a sentence."""
        number = float(value) / quantity.factor(self.system)
        places = digits - 1 - math.floor(math.log10(abs(number))) if number else 0
        text = f"{round(number, places):,.{max(places, 0)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
        return f"{text} {quantity.unit(self.system)}".rstrip()

    @staticmethod
    def say_ratio(value: Any) -> str:
        """Return an axle ratio with two decimals as the trade writes it, halves rounded up: 37/8 is 4.63."""
        return f"{float(value) + 1e-9:.2f}"

    def assume(self, name: str, value: Any) -> None:
        """Note an SI value that was filled in by a rule rather than by the glossary."""
        self._assumed.setdefault(name, value)

    def require(self, condition: NDArray[np.bool_] | bool | np.bool_, name: str, detail: str) -> None:
        """Refuse the field unless the condition holds for every build.

        Raises
        ------
        InvalidBuild
            With the rows of the builds that fail; with none where they all do.
        """
        if not (condition.all() if isinstance(condition, np.ndarray) else condition):
            rows = np.flatnonzero(~condition) if np.ndim(condition) else None
            raise InvalidBuild([FieldError(name, detail, self._raw.get(name))], rows)

    def again(self) -> "Build":
        """The same build with an account of its own."""
        other = copy(self)
        other._used, other._assumed, other._read, other._fitted, other._made = set(), {}, {}, {}, {}
        return other

    def once(self, name: str, make: Callable[["Build"], T]) -> T:
        """What `make` gives of this build, made when it is first asked for under this name."""
        if name not in self._made:
            self._made[name] = make(self)
        found: T = self._made[name]
        return found

    def replaced(self, name: str, value: Any) -> "Build":
        """The same build with another value of one field; its account goes into that of this build."""
        return self._with(
            {field: kept for field, kept in self._values.items() if field not in TEETH} | {name: value}
        )

    def without(self, names: Iterable[str]) -> "Build":
        """The same build without some fields; its account goes into that of this build."""
        left = {*names}
        return self._with({field: kept for field, kept in self._values.items() if field not in left})

    def _with(self, values: dict[str, Any]) -> "Build":
        other = copy(self)
        other._values, other._read = values, {}
        return other

    def has_original(self, names: Iterable[str]) -> bool:
        """Whether one of these fields was given for the vehicle before the change."""
        return not self._originals().isdisjoint(names)

    def _originals(self) -> set[str]:
        """The fields of which an original was given."""
        return {
            name.removeprefix(ORIGINAL) for name in self._values if name.startswith(ORIGINAL)
        } & FIELDS.keys()

    def original(self) -> "Build":
        """The vehicle before the change, with an account of its own; the same for all who ask.

        An original replaces its whole group; what it has none of is as it is now, but for hub boxes, lift,
        load and trailer, which it had not. Without the lift its propeller shaft lay flatter.
        """
        return self.once("original", Build._before)

    def _before(self) -> "Build":
        values = {
            name: value
            for name, value in self._values.items()
            if name not in ORIGINALLY_ABSENT and not name.startswith(ORIGINAL)
        }
        if "mass_centre_height" in values:
            before = values["mass_centre_height"] - self._raised()
            values["mass_centre_height"] = np.maximum(before, _LOWEST_MASS_CENTRE)
        if _DROP in values:
            values[_DROP] = values[_DROP] - self._values.get("lift_height", 0.0)
        values |= self._wheel_end_before(values)
        given = {name: self._values[ORIGINAL + name] for name in self._originals()}
        replaced = [group for group in ORIGINAL_GROUPS if not group.isdisjoint(given)]
        for name in frozenset().union(*replaced):
            values.pop(name, None)
        return Build(values | given, {}, self.system, draws=self.draws)

    def _raised(self) -> Array:
        """How much lift and taller tyres have raised the mass centre. [m]"""
        return np.asarray(self._values.get("lift_height", 0.0) + self._tyre_growth())

    def _tyre_growth(self) -> Array:
        """Rolling radius now less that of the original tyre. [m]"""
        if not self.has("tyre"):
            return np.zeros(())
        return np.asarray(self.tyre().rolling_radius - self.tyre("original_tyre").rolling_radius)

    def _wheel_end_before(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """Bearing arm and scrub radius as they were before wheel and tyre were changed. [m]"""
        moved = 0.0
        if "wheel_offset" in self._values and ORIGINAL + "wheel_offset" in self._values:
            moved = self._values["wheel_offset"] - self._values[ORIGINAL + "wheel_offset"]
        found = {"bearing_arm": values["bearing_arm"] + moved} if "bearing_arm" in values else {}
        if "scrub_radius" not in values:
            return found
        lean = np.tan(values.get("kingpin_inclination", 0.0))
        growth = self._tyre_growth()
        return found | {"scrub_radius": values["scrub_radius"] + moved + growth * lean}

    def take_original_account(self, original: "Build") -> None:
        """Note as used the originals that the answer about the vehicle before has read."""
        self._used |= {ORIGINAL + name for name in original._used if ORIGINAL + name in self._values}

    def take_account(self, other: "Build") -> None:
        """Add what the other has used and assumed to this account."""
        self._used |= other._used
        self._assumed = {**other._assumed, **self._assumed}

    def used(self) -> dict[str, object]:
        """The fields that were read, as received."""
        return {name: value for name, value in self._raw.items() if name in self._used}

    def assumed(self) -> dict[str, Any]:
        """The fields that were filled in, in the units of the build."""
        return {
            name: _default_echo(name, self.system)
            if value is DEFAULTS.get(name)
            else FIELDS[name].kind.out(value, self.system)
            for name, value in self._assumed.items()
        }


@cache
def _default_echo(name: str, system: System) -> Any:
    return FIELDS[name].kind.out(DEFAULTS[name], system)


def ordinal(place: int) -> str:
    """1st, 2nd, 3rd, 4th and so on."""
    ending = "th" if 10 < place % 100 < 14 else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{ending}"
