"""Units at the edge: a closed table of spellings and factors, and the one reader of numbers with units.

The factors come from pint, once, when this module is imported. Text from a request never reaches pint:
it is matched by one bounded expression and looked up in a dictionary.
"""

import re
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Literal, NoReturn

import numpy as np
import pint
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


_REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)


def _quantity(name: str, si: str, us: str, metric: str, units: dict[str, str]) -> Quantity:
    """`units` maps a pint expression to the spellings people type for it, comma-separated."""
    factors: dict[str, float] = {}
    for expression, spellings in units.items():
        factor = float(f"{_REGISTRY.Quantity(expression).to(si).magnitude:.15g}")
        for spelling in spellings.split(","):
            factors[spelling] = factor
    return Quantity(name, us, metric, MappingProxyType(factors))


_LENGTHS = {
    "inch": "in,in.,inch,inches,\",''",
    "foot": "ft,ft.,foot,feet,'",
    "millimeter": "mm",
    "centimeter": "cm",
    "meter": "m,metre,metres,meter,meters",
}

NUMBER = Quantity("number", "", "", MappingProxyType({"": 1.0}))
LENGTH = _quantity("length", "m", "in", "mm", _LENGTHS)
ELEVATION = _quantity("height or distance", "m", "ft", "m", _LENGTHS)
MASS = _quantity("mass", "kg", "lb", "kg", {
    "pound": "lb,lb.,lbs,lbs.,pound,pounds",
    "kilogram": "kg,kgs,kilogram,kilograms",
    "metric_ton": "t,tonne,tonnes",
})  # fmt: skip
SPEED = _quantity("road speed", "m/s", "mph", "km/h", {
    "mile/hour": "mph,mi/h,m.p.h.",
    "kilometer/hour": "km/h,kph,kmh,kmph,km/hr",
    "meter/second": "m/s",
})  # fmt: skip
ROTATION = _quantity("rotational speed", "rad/s", "rpm", "rpm", {
    "revolution/minute": "rpm,r/min,rev/min,/min,min-1,U/min",
    "radian/second": "rad/s",
})  # fmt: skip
TORQUE = _quantity("torque", "N*m", "lb-ft", "N m", {
    "force_pound*foot": "lb-ft,lb*ft,lb.ft,lbft,lbs-ft,lbs.ft,lbsft,ft-lb,ft*lb,ft.lb,ftlb,ft-lbs,ft.lbs,"
                        "ft. lbs,ftlbs,lbf-ft,lbf*ft,lbfft,ft-lbf,ft*lbf,ftlbf,pound-feet,pound feet,"
                        "foot-pounds,foot pounds",
    "force_pound*inch": "lb-in,in-lb,lbf-in,in-lbf,inlb,lbin,in-lbs,in.lbs",
    "newton*meter": "Nm,N*m,N.m,N-m,newton metres,newton meters",
    "kilonewton*meter": "kNm,kN*m,kN-m",
    "force_kilogram*meter": "kgfm,kgf*m,kgf-m,kgm,kg*m,kg-m",
})  # fmt: skip
POWER = _quantity("power", "W", "hp", "kW", {
    "horsepower": "hp,bhp",
    "kilowatt": "kW",
    "metric_horsepower": "PS,CV",
    "watt": "W",
})  # fmt: skip
PRESSURE = _quantity("pressure", "Pa", "psi", "kPa", {
    "psi": "psi,lb/in2,lbf/in2",
    "kilopascal": "kPa",
    "bar": "bar",
    "megapascal": "MPa",
    "pascal": "Pa",
})  # fmt: skip
STRESS = _quantity("stress", "Pa", "ksi", "MPa", {
    "ksi": "ksi",
    "psi": "psi,lb/in2,lbf/in2",
    "megapascal": "MPa,N/mm2",
    "kilopascal": "kPa",
})  # fmt: skip
FORCE = _quantity("force", "N", "lbf", "N", {
    "force_pound": "lbf,lb,lbs",
    "newton": "N",
    "kilonewton": "kN",
    "force_kilogram": "kgf",
})  # fmt: skip
ANGLE = _quantity("angle", "rad", "deg", "deg", {
    "degree": "deg,degree,degrees,°",
    "radian": "rad",
})  # fmt: skip
AREA = _quantity("area", "m^2", "ft2", "m2", {
    "foot^2": "ft2,ft^2,sq ft,sq. ft",
    "meter^2": "m2,m^2,sq m",
})  # fmt: skip
PERCENT = _quantity("percentage", "dimensionless", "%", "%", {"percent": "%,percent"})
PER_DISTANCE = _quantity("turns over a distance", "1/m", "per mile", "per km", {
    "1/mile": "per mile",
    "1/kilometer": "per km",
})  # fmt: skip
LINE_LOAD = _quantity("force over a length", "N/m", "lbf/in", "N/mm", {
    "force_pound/inch": "lbf/in,lb/in",
    "newton/millimeter": "N/mm",
})  # fmt: skip
DRAG_LINEAR = _quantity("force over speed", "N*s/m", "lbf/mph", "N/(km/h)", {
    "force_pound/(mile/hour)": "lbf/mph",
    "newton/(kilometer/hour)": "N/(km/h)",
})  # fmt: skip
DRAG_SQUARE = _quantity("force over speed squared", "N*s^2/m^2", "lbf/mph2", "N/(km/h)2", {
    "force_pound/(mile/hour)^2": "lbf/mph2",
    "newton/(kilometer/hour)^2": "N/(km/h)2",
})  # fmt: skip

TIME = _quantity("time", "s", "s", "s", {
    "second": "s,sec,secs,second,seconds",
    "minute": "min,mins,minute,minutes",
})  # fmt: skip
HOURS = _quantity("hours", "s", "h", "h", {
    "hour": "h,hr,hrs,hour,hours",
    "minute": "min,mins,minute,minutes",
})  # fmt: skip
ACCELERATION = _quantity("acceleration", "m/s^2", "ft/s2", "m/s2", {
    "foot/second^2": "ft/s2,ft/s^2",
    "meter/second^2": "m/s2,m/s^2",
    "standard_gravity": "g",
})  # fmt: skip
ANGULAR_ACCELERATION = _quantity("angular acceleration", "rad/s^2", "rad/s2", "rad/s2", {
    "radian/second^2": "rad/s2,rad/s^2",
})  # fmt: skip
_ENERGIES = {
    "kilojoule": "kJ",
    "megajoule": "MJ",
    "kilowatt_hour": "kWh",
    "watt_hour": "Wh",
}
ENERGY = _quantity("energy", "J", "kJ", "kJ", {**_ENERGIES, "joule": "J"})
BATTERY_ENERGY = _quantity("battery energy", "J", "kWh", "kWh", _ENERGIES)
TEMPERATURE_DIFFERENCE = _quantity("temperature difference", "K", "F", "K", {
    "delta_degree_Fahrenheit": "F,°F,degF,deg F",
    "kelvin": "K,kelvin,C,°C,degC,deg C",
})  # fmt: skip
VOLUME = _quantity("volume", "m^3", "gal", "L", {
    "gallon": "gal,gal.,gals,gallon,gallons,US gal",
    "liter": "L,litre,litres,liter,liters",
    "imperial_gallon": "imp gal,UK gal",
    "quart": "qt,quart,quarts",
})  # fmt: skip
DISPLACEMENT = _quantity("engine displacement", "m^3", "L", "L", {
    "liter": "L,litre,litres,liter,liters",
    "centimeter^3": "cc,ccm,cm3,cm^3",
    "inch^3": "in3,in^3,ci,cid,cu in,cu. in,cubic inches",
})  # fmt: skip
LONG_DISTANCE = _quantity("long distance", "m", "mi", "km", {
    "mile": "mi,mi.,mile,miles",
    "kilometer": "km,kilometre,kilometres,kilometer,kilometers",
})  # fmt: skip
FUEL_ECONOMY = _quantity("fuel economy", "1/m^2", "mpg", "km/L", {
    "mile/gallon": "mpg,mi/gal,mpg US,mpg (US)",
    "kilometer/liter": "km/L,kpl,kmpl",
    "mile/imperial_gallon": "mpg UK,mpg imp,imp mpg",
})  # fmt: skip
FUEL_PER_DISTANCE = _quantity("fuel over distance", "m^2", "gal/100 mi", "L/100 km", {
    "gallon/(100*mile)": "gal/100 mi,gal/100 miles",
    "liter/(100*kilometer)": "L/100 km,litres/100 km,liters/100 km",
})  # fmt: skip
ENERGY_PER_DISTANCE = _quantity("energy over distance", "J/m", "kWh/100 mi", "kWh/100 km", {
    "kilowatt_hour/(100*mile)": "kWh/100 mi,kWh/100 miles",
    "kilowatt_hour/(100*kilometer)": "kWh/100 km",
    "watt_hour/mile": "Wh/mi,Wh/mile",
    "watt_hour/kilometer": "Wh/km",
})  # fmt: skip


def _force_squared(power: int) -> Quantity:
    """Unit of a covariance of two road-load coefficients: force squared over a power of speed."""
    us, metric = (f"/{speed}{power if power > 1 else ''}" if power else "" for speed in ("mph", "(km/h)"))
    return _quantity(
        f"force squared over speed to the power {power}" if power else "force squared",
        f"N^2*s^{power}/m^{power}",
        f"lbf2{us}",
        f"N2{metric}",
        {
            f"force_pound^2/(mile/hour)^{power}": f"lbf2{us}",
            f"newton^2/(kilometer/hour)^{power}": f"N2{metric}",
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


def ends(value: object, quantity: Quantity, system: System) -> tuple[float, float] | None:
    """The two ends of a range such as ``4900 to 5600 lb`` or ``260 lb-ft +- 5 %``, in SI; None of any other value.

    A per cent sign after the mark tells a part of the middle, but with a quantity in per cent, where it is its unit.

    Raises
    ------
    Unreadable
        If an end is no number, the ends have two units, or stand in the wrong order.
    """
    if not isinstance(value, str) or not (" to " in value or "+-" in value or "+/-" in value or "±" in value):
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
