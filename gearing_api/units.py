"""Units at the edge: a closed table of spellings and factors, and the one reader of numbers with units.

The factors follow from the definitions of the units; ``tests/test_units.py`` compares them to pint. Text from
a request is matched by one bounded expression and looked up in a dictionary.
"""

import math
import re
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Literal, NoReturn, TypeGuard

import numpy as np
from numpy.typing import NDArray

System = Literal["us", "metric"]
SYSTEMS: tuple[System, ...] = ("us", "metric")

LONGEST_TEXT = 40

_MARKS = str.maketrans(
    {
        "·": "*", "⋅": "*", "∙": "*", "×": "x", "″": '"', "”": '"', "“": '"', "’": "'", "′": "'",
        "\u00a0": " ", "\u202f": " ", "\u2009": " ", "−": "-", "–": "-", "º": "°",
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⁄": "/",
    }
)  # fmt: skip
_NUMBER = r"[+-]?(?:[0-9]{1,12}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][+-]?[0-9]{1,2})?"
_BARE = re.compile(_NUMBER)
_UNIT = r"[^0-9\s.,_+-][^\s]{0,11}(?: [^\s]{1,11})?"
_PATTERN = re.compile(rf"({_NUMBER}) ?({_UNIT})?")
_THOUSANDS = r"[+-]?[0-9]{1,3}(?:,[0-9]{3}){1,3}(?:\.[0-9]{1,12})?"
_FRACTION = r"(?:[0-9]{1,3}[ -])?[0-9]{1,2}/[1-9][0-9]?"
_GROUPED = re.compile(rf"({_THOUSANDS}) ?({_UNIT})?")
_FRACTIONAL = re.compile(rf"(?:([0-9]{{1,3}})[ -])?([0-9]{{1,2}})/([1-9][0-9]?) ?({_UNIT})?")
_TO_ONE = re.compile(rf"({_NUMBER}) ?: ?1")
_COMMA = re.compile(r"[+-]?[0-9]{1,6},[0-9]{1,6}")
_LARGEST = 1e100

NUMBER_PATTERN = rf"^\s*{_NUMBER}\s*(?::\s?1\s*|(?:to|\+-|\+/-|±)\s*{_NUMBER}\s*%?\s*)?$"
QUANTITY_PATTERN = rf"^\s*(?:{_THOUSANDS}|{_FRACTION}|{_NUMBER})\s*(?:[^0-9\s.,_+*\-].{{0,23}})?$"


class Unreadable(ValueError):
    """A text that is no number, or names no unit of the quantity asked for.

    Attributes
    ----------
    use : object
        The value as it is likeliest meant, None where there is no such.
    """

    def __init__(self, reason: str, use: object = None) -> None:
        super().__init__(reason)
        self.use = use


@dataclass(frozen=True)
class PointedText:
    """A text with a decimal point where numbers have a decimal comma: a tyre size perhaps, but no number."""

    text: str

    def refuse(self) -> NoReturn:
        """Raise the reason, with the comma to use."""
        raise Unreadable(
            "has a decimal point, although decimal=comma is asked for: write a comma",
            self.text.replace(".", ","),
        )


@dataclass(frozen=True)
class Quantity:
    """A kind of quantity: the unit it wears in each system, and every unit it may come in.

    `factors` maps each accepted spelling to the SI value of one such unit; case and spaces do not matter.
    """

    name: str
    us: str
    metric: str
    factors: MappingProxyType[str, float]

    def unit(self, system: System) -> str:
        """The label of bare numbers in that system."""
        return self.us if system == "us" else self.metric

    def factor(self, system: System) -> float:
        """SI value of one unit of that system."""
        return self._factors[system]

    @cached_property
    def _factors(self) -> dict[System, float]:
        return {"us": self.by_spelling[_folded(self.us)], "metric": self.by_spelling[_folded(self.metric)]}

    @cached_property
    def by_spelling(self) -> dict[str, float]:
        """SI values by folded spelling."""
        return {_folded(spelling): factor for spelling, factor in self.factors.items()}

    def out(self, value: NDArray[np.float64], system: System) -> NDArray[np.float64]:
        """SI to the unit of that system."""
        factor = self.factor(system)
        return value if factor == 1.0 else value / factor


def _folded(unit: str) -> str:
    return unit.translate(_MARKS).replace("²", "2").replace("³", "3").casefold().replace(" ", "")


# Exact by definition: the international yard and pound agreement of 1959; standard gravity, 3rd CGPM, 1901; the
# US gallon, NIST Handbook 44, Appendix C; the imperial gallon, NIST SP 811, Appendix B.
_INCH, _FOOT, _MILE = 0.0254, 0.3048, 1609.344
_POUND, _GRAVITY = 0.45359237, 9.80665
_POUND_FORCE = _POUND * _GRAVITY
_GALLON, _IMPERIAL_GALLON = 0.003785411784, 0.00454609
_MPH, _KMH = _MILE / 3600, 1 / 3.6
_PSI = _POUND_FORCE / (_INCH * _INCH)


def _quantity(name: str, us: str, metric: str, units: dict[str, float]) -> Quantity:
    """`units` maps the spellings people type for a unit, comma-separated, to its SI value."""
    factors = {
        spelling: float(f"{factor:.15g}")  # the sixteenth digit would depend on how the definition is written
        for spellings, factor in units.items()
        for spelling in spellings.split(",")
    }
    return Quantity(name, us, metric, MappingProxyType(factors))


_LENGTHS = {
    "in,in.,inch,inches,\",''": _INCH,
    "ft,ft.,foot,feet,'": _FOOT,
    "mm": 1e-3,
    "cm": 1e-2,
    "m,metre,metres,meter,meters": 1.0,
}

NUMBER = Quantity("number", "", "", MappingProxyType({"": 1.0}))
LENGTH = _quantity("length", "in", "mm", _LENGTHS)
ELEVATION = _quantity("height or distance", "ft", "m", _LENGTHS)
MASS = _quantity("mass", "lb", "kg", {
    "lb,lb.,lbs,lbs.,pound,pounds": _POUND,
    "kg,kgs,kilogram,kilograms": 1.0,
    "t,tonne,tonnes": 1e3,
})  # fmt: skip
SPEED = _quantity("road speed", "mph", "km/h", {
    "mph,mi/h,m.p.h.": _MPH,
    "km/h,kph,kmh,kmph,km/hr": _KMH,
    "m/s": 1.0,
})  # fmt: skip
ROTATION = _quantity("rotational speed", "rpm", "rpm", {
    "rpm,r/min,rev/min,/min,min-1,U/min": math.tau / 60,
    "rad/s": 1.0,
})  # fmt: skip
TORQUE = _quantity("torque", "lb-ft", "N m", {
    "lb-ft,lb*ft,lb.ft,lbft,lbs-ft,lbs.ft,lbsft,ft-lb,ft*lb,ft.lb,ftlb,ft-lbs,ft.lbs,"
    "ft. lbs,ftlbs,lbf-ft,lbf*ft,lbfft,ft-lbf,ft*lbf,ftlbf,pound-feet,pound feet,"
    "foot-pounds,foot pounds": _POUND_FORCE * _FOOT,
    "lb-in,in-lb,lbf-in,in-lbf,inlb,lbin,in-lbs,in.lbs": _POUND_FORCE * _INCH,
    "Nm,N*m,N.m,N-m,newton metres,newton meters": 1.0,
    "kNm,kN*m,kN-m": 1e3,
    "kgfm,kgf*m,kgf-m,kgm,kg*m,kg-m": _GRAVITY,
})  # fmt: skip
POWER = _quantity("power", "hp", "kW", {
    "hp,bhp": 550 * _POUND_FORCE * _FOOT,
    "kW": 1e3,
    "PS,CV": 75 * _GRAVITY,
    "W": 1.0,
})  # fmt: skip
PRESSURE = _quantity("pressure", "psi", "kPa", {
    "psi,lb/in2,lbf/in2": _PSI,
    "kPa": 1e3,
    "bar": 1e5,
    "MPa": 1e6,
    "Pa": 1.0,
})  # fmt: skip
STRESS = _quantity("stress", "ksi", "MPa", {
    "ksi": 1e3 * _PSI,
    "psi,lb/in2,lbf/in2": _PSI,
    "MPa,N/mm2": 1e6,
    "kPa": 1e3,
})  # fmt: skip
FORCE = _quantity("force", "lbf", "N", {
    "lbf,lb,lbs": _POUND_FORCE,
    "N": 1.0,
    "kN": 1e3,
    "kgf": _GRAVITY,
})  # fmt: skip
ANGLE = _quantity("angle", "deg", "deg", {
    "deg,degree,degrees,°": math.pi / 180,
    "rad": 1.0,
})  # fmt: skip
AREA = _quantity("area", "ft2", "m2", {
    "ft2,ft^2,sq ft,sq. ft": _FOOT * _FOOT,
    "m2,m^2,sq m": 1.0,
})  # fmt: skip
PERCENT = _quantity("percentage", "%", "%", {"%,percent": 1e-2})
PER_DISTANCE = _quantity("turns over a distance", "per mile", "per km", {
    "per mile": 1 / _MILE,
    "per km": 1e-3,
})  # fmt: skip
LINE_LOAD = _quantity("force over a length", "lbf/in", "N/mm", {
    "lbf/in,lb/in": _POUND_FORCE / _INCH,
    "N/mm": 1e3,
})  # fmt: skip
DRAG_LINEAR = _quantity("force over speed", "lbf/mph", "N/(km/h)", {
    "lbf/mph": _POUND_FORCE / _MPH,
    "N/(km/h)": 1 / _KMH,
})  # fmt: skip
DRAG_SQUARE = _quantity("force over speed squared", "lbf/mph2", "N/(km/h)2", {
    "lbf/mph2": _POUND_FORCE / (_MPH * _MPH),
    "N/(km/h)2": 1 / (_KMH * _KMH),
})  # fmt: skip

TIME = _quantity("time", "s", "s", {
    "s,sec,secs,second,seconds": 1.0,
    "min,mins,minute,minutes": 60.0,
})  # fmt: skip
HOURS = _quantity("hours", "h", "h", {
    "h,hr,hrs,hour,hours": 3600.0,
    "min,mins,minute,minutes": 60.0,
})  # fmt: skip
ACCELERATION = _quantity("acceleration", "ft/s2", "m/s2", {
    "ft/s2,ft/s^2": _FOOT,
    "m/s2,m/s^2": 1.0,
    "g": _GRAVITY,
})  # fmt: skip
ANGULAR_ACCELERATION = _quantity("angular acceleration", "rad/s2", "rad/s2", {"rad/s2,rad/s^2": 1.0})
_ENERGIES = {
    "kJ": 1e3,
    "MJ": 1e6,
    "kWh": 3.6e6,
    "Wh": 3.6e3,
}
ENERGY = _quantity("energy", "kJ", "kJ", {**_ENERGIES, "J": 1.0})
BATTERY_ENERGY = _quantity("battery energy", "kWh", "kWh", _ENERGIES)
TEMPERATURE_DIFFERENCE = _quantity("temperature difference", "F", "K", {
    "F,°F,degF,deg F": 5 / 9,
    "K,kelvin,C,°C,degC,deg C": 1.0,
})  # fmt: skip
VOLUME = _quantity("volume", "gal", "L", {
    "gal,gal.,gals,gallon,gallons,US gal": _GALLON,
    "L,litre,litres,liter,liters": 1e-3,
    "imp gal,UK gal": _IMPERIAL_GALLON,
    "qt,quart,quarts": _GALLON / 4,
})  # fmt: skip
DISPLACEMENT = _quantity("engine displacement", "L", "L", {
    "L,litre,litres,liter,liters": 1e-3,
    "cc,ccm,cm3,cm^3": 1e-6,
    "in3,in^3,ci,cid,cu in,cu. in,cubic inches": _INCH * _INCH * _INCH,
})  # fmt: skip
LONG_DISTANCE = _quantity("long distance", "mi", "km", {
    "mi,mi.,mile,miles": _MILE,
    "km,kilometre,kilometres,kilometer,kilometers": 1e3,
})  # fmt: skip
FUEL_ECONOMY = _quantity("fuel economy", "mpg", "km/L", {
    "mpg,mi/gal,mpg US,mpg (US)": _MILE / _GALLON,
    "km/L,kpl,kmpl": 1e6,
    "mpg UK,mpg imp,imp mpg": _MILE / _IMPERIAL_GALLON,
})  # fmt: skip
FUEL_PER_DISTANCE = _quantity("fuel over distance", "gal/100 mi", "L/100 km", {
    "gal/100 mi,gal/100 miles": _GALLON / (100 * _MILE),
    "L/100 km,litres/100 km,liters/100 km": 1e-8,
})  # fmt: skip
ENERGY_PER_DISTANCE = _quantity("energy over distance", "kWh/100 mi", "kWh/100 km", {
    "kWh/100 mi,kWh/100 miles": 3.6e6 / (100 * _MILE),
    "kWh/100 km": 36.0,
    "Wh/mi,Wh/mile": 3.6e3 / _MILE,
    "Wh/km": 3.6,
})  # fmt: skip


def _force_squared(power: int) -> Quantity:
    """Unit of a covariance of two road-load coefficients: force squared over a power of speed."""
    us, metric = (f"/{speed}{power if power > 1 else ''}" if power else "" for speed in ("mph", "(km/h)"))
    return _quantity(
        f"force squared over speed to the power {power}" if power else "force squared",
        f"lbf2{us}",
        f"N2{metric}",
        {
            f"lbf2{us}": _POUND_FORCE * _POUND_FORCE / math.prod([_MPH] * power),
            f"N2{metric}": 1 / math.prod([_KMH] * power),
        },
    )


ROAD_LOAD_COVARIANCES = tuple(map(_force_squared, range(5)))
"""Quantities of the covariances of the road-load coefficients, by the power of speed in them."""

QUANTITIES: tuple[Quantity, ...] = (
    LENGTH, ELEVATION, MASS, SPEED, ROTATION, TORQUE, POWER, PRESSURE, STRESS, FORCE, ANGLE, AREA, PERCENT,
    PER_DISTANCE, LINE_LOAD, DRAG_LINEAR, DRAG_SQUARE, TIME, HOURS, ACCELERATION, ANGULAR_ACCELERATION,
    ENERGY, BATTERY_ENERGY, TEMPERATURE_DIFFERENCE, VOLUME, DISPLACEMENT, LONG_DISTANCE, FUEL_ECONOMY,
    FUEL_PER_DISTANCE, ENERGY_PER_DISTANCE, *ROAD_LOAD_COVARIANCES,
)  # fmt: skip


COUNTED_BY_THE_THOUSAND = {quantity.name for quantity in (MASS, ROTATION, ELEVATION, TORQUE, POWER)}
"""Quantities of which nobody writes three decimals, so that the comma of 5,300 parts thousands."""


def plain(text: str) -> str:
    """The text with typographic marks and spaces made plain."""
    return " ".join(text.translate(_MARKS).split())


def number(value: object, quantity: Quantity, system: System) -> float:
    """A number, bare or with its unit, in SI.

    Parameters
    ----------
    value : int, float or str
        A bare number is in the unit of `system`.
    quantity : Quantity
        What it should be.
    system : str
        ``us`` or ``metric``.

    Raises
    ------
    Unreadable
        If it is no number, or its unit is none of the quantity's. Says what is accepted.
    """
    if not isinstance(value, str):
        if isinstance(value, PointedText):
            value.refuse()
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise Unreadable(f"is not a number{_or_unit(quantity)}")
        if abs(value) > _LARGEST:
            raise Unreadable("is too large a number")
        return float(value) * quantity.factor(system)
    if len(value) > LONGEST_TEXT:
        raise Unreadable(f"is longer than {LONGEST_TEXT} characters")
    if _BARE.fullmatch(value):
        return float(value) * quantity.factor(system)
    text = plain(value)
    found = _PATTERN.fullmatch(text)
    factor = quantity.by_spelling.get(_folded(found[2])) if found and found[2] else None
    if found and factor is not None:
        return float(found[1]) * factor
    digits, unit = _amount(text, quantity)
    if not unit:
        return digits * quantity.factor(system)
    factor = quantity.by_spelling.get(_folded(unit))
    if factor is None:
        raise Unreadable(_other_unit(quantity))
    return digits * factor


def _amount(text: str, quantity: Quantity) -> tuple[float, str | None]:
    """The number and the unit of a text in plain marks."""
    if quantity is LENGTH and "/" in text and (found := _FRACTIONAL.fullmatch(text)):
        whole, above, below, unit = found.groups()
        return float(whole or 0) + float(above) / float(below), unit
    if found := _PATTERN.fullmatch(text):
        digits, unit = found.groups()
        if unit is None or quantity is not NUMBER or not (to_one := _TO_ONE.fullmatch(text)):
            return float(digits), unit
        return float(to_one[1]), None
    if quantity.name in COUNTED_BY_THE_THOUSAND and (found := _GROUPED.fullmatch(text)):
        return float(found[1].replace(",", "")), found[2]
    if _COMMA.match(text):
        raise Unreadable(
            f"is not a number{_or_unit(quantity)}: write a decimal point, or ask with decimal=comma",
            text.replace(",", ".", 1) if text.count(",") == 1 else None,
        )
    hint = ": write a decimal point, or ask with decimal=comma" if "," in text else ""
    raise Unreadable(f"is not a number{_or_unit(quantity)}{hint}")


_BETWEEN = re.compile(r"(.*[0-9].*?) to (.*[0-9].*)")
_AROUND = re.compile(r"(.*[0-9].*?) ?(?:\+-|\+/-|±) ?(.*[0-9].*)")


def may_be_range(value: object) -> TypeGuard[str]:
    """Whether a value has the mark of a range."""
    return isinstance(value, str) and (" to " in value or "+-" in value or "+/-" in value or "±" in value)


def ends(value: object, quantity: Quantity, system: System) -> tuple[float, float] | None:
    """The two ends of a range such as ``4900 to 5600 lb`` or ``260 lb-ft +- 5 %``, in SI; None of any other value.

    A per cent sign after the mark tells a part of the middle, but with a quantity in per cent, where it is its unit.

    Raises
    ------
    Unreadable
        If an end is no number, the ends have two units, or stand in the wrong order.
    """
    if not may_be_range(value):
        return None
    if len(value) > LONGEST_TEXT:
        raise Unreadable(f"is longer than {LONGEST_TEXT} characters")
    text = plain(value)
    if found := _BETWEEN.fullmatch(text):
        return _between(found[1], found[2], quantity, system)
    if found := _AROUND.fullmatch(text):
        return _around(found[1], found[2], quantity, system)
    return None


def _between(first: str, last: str, quantity: Quantity, system: System) -> tuple[float, float]:
    units_of_both = [_unit_of(end, quantity) for end in (first, last)]
    if all(units_of_both) and _folded(str(units_of_both[0])) != _folded(str(units_of_both[1])):
        raise Unreadable("has two units: give both ends of a range in one")
    unit = next((unit for unit in units_of_both if unit), "")
    low, high = (
        number(end if own else f"{end} {unit}".strip(), quantity, system)
        for end, own in zip((first, last), units_of_both, strict=True)
    )
    if low > high:
        use = f"{last.removesuffix(unit).strip()} to {first.removesuffix(unit).strip()} {unit}".strip()
        raise Unreadable("has its ends exchanged: the lower one comes first", use)
    return low, high


def _around(middle: str, half: str, quantity: Quantity, system: System) -> tuple[float, float]:
    about = number(middle, quantity, system)
    if half.endswith("%") and quantity is not PERCENT:
        off = abs(about) * 0.01 * number(half.removesuffix("%").strip(), NUMBER, system)
    else:
        own, other = _unit_of(middle, quantity), _unit_of(half, quantity)
        if own and other and _folded(own) != _folded(other):
            raise Unreadable("has two units: give the middle and what is more or less in one")
        off = number(half if other else f"{half} {own or ''}".strip(), quantity, system)
    if off < 0.0:
        raise Unreadable("has less than nothing after +-: write a positive number")
    return about - off, about + off


def _unit_of(text: str, quantity: Quantity) -> str | None:
    return _amount(text, quantity)[1]


def is_unit(unit: str, quantity: Quantity) -> bool:
    """Whether a text is a unit of the quantity."""
    return _folded(unit) in quantity.by_spelling


def is_bare(text: str) -> bool:
    """Whether a number that could be read came without a unit."""
    found = _PATTERN.fullmatch(plain(text))
    return found is not None and found[2] is None


def _or_unit(quantity: Quantity) -> str:
    return f" or a number with a unit of {quantity.name}" if quantity is not NUMBER else ""


def _other_unit(quantity: Quantity) -> str:
    if quantity is NUMBER:
        return "takes no unit"
    firsts: dict[float, str] = {}
    for spelling, factor in quantity.factors.items():
        firsts.setdefault(factor, spelling)
    return f"has a unit that is none of {quantity.name}: use " + ", ".join(firsts.values())
