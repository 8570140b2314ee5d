"""The reader of numbers with units: what people type is read right or refused, never read wrong."""

import contextlib
import math
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import gearing_api
from gearing_api import units
from gearing_api.units import QUANTITIES, SYSTEMS, PointedText, Quantity, Unreadable, number

EACH_QUANTITY = pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda quantity: quantity.name)

# SI values by definition: the inch is 25.4 mm, the pound 0.45359237 kg, standard gravity 9.80665 m/s2
# (international yard and pound agreement of 1959; 3rd CGPM, 1901; BIPM, The International System of Units).
INCH, POUND, GRAVITY = 0.0254, 0.45359237, 9.80665
FOOT, MILE, POUND_FORCE = 12 * INCH, 63360 * INCH, POUND * GRAVITY
MECHANICAL_HORSEPOWER = 550 * FOOT * POUND_FORCE
GALLON = 231 * INCH**3  # NIST Handbook 44, Appendix C: the US gallon; the imperial gallon is 4.54609 L

SPELLINGS: list[tuple[str, Quantity, float]] = [
    *((text, units.TORQUE, 240 * POUND_FORCE * FOOT) for text in (
        "240 lb-ft", "240 ft-lb", "240 ftlb", "240 lbft", "240 ft-lbs", "240 lb·ft", "240 lb⋅ft",
        "240 ft lb", "240 lb ft", "240lb-ft", "240 LB-FT", "240 lbf-ft", "240 lbf·ft",
        "240 ft.lbs", "240 ft. lbs", "240 pound-feet", "240 pound feet", "240 foot-pounds",
        "240.0 ft-lbf", "2.4e2 lb-ft", "+240 lb-ft",
    )),
    *((text, units.TORQUE, 325.0) for text in (
        "325 Nm", "325 nm", "325 N m", "325 N·m", "325 N⋅m", "325 N*m", "325 N.m", "325 N-m",
        "325Nm", "0.325 kNm", "325 newton metres",
    )),
    *((text, units.SPEED, 65 * MILE / 3600) for text in (
        "65 mph", "65mph", "65 MPH", "65 mi/h", "65 m.p.h.",
    )),
    *((text, units.SPEED, 100 / 3.6) for text in (
        "100 km/h", "100 kph", "100 KPH", "100 kmh", "100 km/hr", "100\u00a0km/h", "100\u202fkm/h",
    )),
    *((text, units.LENGTH, 35 * INCH) for text in (
        '35"', '35 "', "35″", "35”", "35 in", "35 in.", "35in", "35 inch", "35 inches", "35 IN",
        "35''", "889 mm", "88.9 cm", "0.889 m", "35.in", "  35   in  ",
    )),
    *((text, units.LENGTH, 3 * FOOT) for text in (
        "3 ft", "3'", "3′", "3’", "3 feet", "3 ft.",
    )),
    *((text, units.MASS, 5000 * POUND) for text in (
        "5000 lb", "5000 lbs", "5000lbs.", "5000 pounds", "5000 LBS",
    )),
    *((text, units.MASS, 1900.0) for text in (
        "1900 kg", "1.9 t", "1.9t", "1900 KG", "1900 kgs", "1.9 tonnes",
    )),
    *((text, units.PRESSURE, 35 * POUND_FORCE / INCH**2) for text in (
        "35 psi", "35 PSI", "35 lb/in2", "35 lb/in²",
    )),
    *((text, units.PRESSURE, 2.4e5) for text in (
        "2.4 bar", "240 kPa", "240 kpa", "0.24 MPa", "240000 Pa",
    )),
    *((text, units.ROTATION, 3000 * math.tau / 60) for text in (
        "3000 rpm", "3000RPM", "3000 r/min", "3000 min-1", "3000 U/min", "3000/min", "3000 min−1",
    )),
    *((text, units.POWER, 285 * MECHANICAL_HORSEPOWER) for text in (
        "285 hp", "285 HP", "285hp", "285 bhp",
    )),
    *((text, units.POWER, 212e3) for text in (
        "212 kW", "212 kw", "212KW", "212000 W",
    )),
    *((text, units.POWER, 288 * 75 * GRAVITY) for text in (
        "288 PS", "288 ps", "288 CV",
    )),
    *((text, units.ANGLE, math.radians(35)) for text in (
        "35 deg", "35°", "35 °", "35º", "35 degrees",
    )),
    *((text, units.AREA, 1.4) for text in (
        "1.4 m2", "1.4 m²", "1.4 m^2", "1.4 sq m",
    )),
    *((text, units.AREA, 15 * FOOT**2) for text in (
        "15 ft2", "15 ft²", "15 ft^2", "15 sq ft", "15 sq. ft",
    )),
    *((text, units.PERCENT, 0.06) for text in (
        "6 %", "6%", "6 percent",
    )),
    ("6000 ft", units.ELEVATION, 6000 * FOOT),
    ("1800 m", units.ELEVATION, 1800.0),
    ("3000 lbf", units.FORCE, 3000 * POUND_FORCE),
    ("3000 lb", units.FORCE, 3000 * POUND_FORCE),
    ("13 kN", units.FORCE, 13e3),
    ("100 ksi", units.STRESS, 1e5 * POUND_FORCE / INCH**2),
    ("690 N/mm2", units.STRESS, 690e6),
    ("500 lbf/in", units.LINE_LOAD, 500 * POUND_FORCE / INCH),
    ("0.5 lbf/mph", units.DRAG_LINEAR, 0.5 * POUND_FORCE / (MILE / 3600)),
    ("0.03 lbf/mph2", units.DRAG_SQUARE, 0.03 * POUND_FORCE / (MILE / 3600) ** 2),
    ("0.03 lbf/mph²", units.DRAG_SQUARE, 0.03 * POUND_FORCE / (MILE / 3600) ** 2),
    ("0.05 N/(km/h)2", units.DRAG_SQUARE, 0.05 * 3.6**2),
    *((text, units.TIME, 90.0) for text in (
        "90 s", "90 sec", "90 seconds", "1.5 min",
    )),
    ("2000 h", units.HOURS, 7.2e6),
    ("2000 hours", units.HOURS, 7.2e6),
    ("8 ft/s2", units.ACCELERATION, 8 * FOOT),
    ("2.5 m/s²", units.ACCELERATION, 2.5),
    ("0.25 g", units.ACCELERATION, 0.25 * GRAVITY),
    ("400 rad/s^2", units.ANGULAR_ACCELERATION, 400.0),
    ("750 kJ", units.ENERGY, 750e3),
    ("0.75 MJ", units.ENERGY, 750e3),
    *((text, units.BATTERY_ENERGY, 80 * 3.6e6) for text in (
        "80 kWh", "80 kwh", "80000 Wh", "288 MJ",
    )),
    *((text, units.TEMPERATURE_DIFFERENCE, 100.0) for text in (
        "180 F", "180 °F", "180 deg F", "100 K", "100 °C", "100 C",
    )),
    *((text, units.VOLUME, 20 * GALLON) for text in (
        "20 gal", "20 gallons", "20 US gal", "80 qt",
    )),
    *((text, units.VOLUME, 0.075) for text in (
        "75 L", "75 l", "75 litres", "75 liters",
    )),
    ("10 imp gal", units.VOLUME, 0.0454609),
    *((text, units.DISPLACEMENT, 0.003) for text in (
        "3 L", "3.0 L", "3 l", "3 litres", "3000 cc", "3000 cm3",
    )),
    *((text, units.DISPLACEMENT, 300 * INCH**3) for text in (
        "300 ci", "300 in3", "300 in³", "300 cid", "300 cu. in", "300 cubic inches",
    )),
    *((text, units.LENGTH, 35.5 * INCH) for text in (
        "35 1/2 in", "35-1/2 in", "35½ in", '35 1/2"',
    )),
    *((text, units.MASS, 5300 * 0.45359237) for text in ("5,300 lbs", "5,300.0 lb")),
    ("3,200 rpm", units.ROTATION, 3200 * 2 * math.pi / 60),
    ("8,000 ft", units.ELEVATION, 8000 * 0.3048),
    ("300 mi", units.LONG_DISTANCE, 300 * MILE),
    ("480 km", units.LONG_DISTANCE, 480e3),
    *((text, units.FUEL_ECONOMY, 18 * MILE / GALLON) for text in (
        "18 mpg", "18 MPG", "18 mi/gal", "18 mpg (US)",
    )),
    ("18 mpg UK", units.FUEL_ECONOMY, 18 * MILE / 0.00454609),
    ("8 km/L", units.FUEL_ECONOMY, 8e6),
    ("5 gal/100 mi", units.FUEL_PER_DISTANCE, 5 * GALLON / (100 * MILE)),
    *((text, units.FUEL_PER_DISTANCE, 12e-8) for text in (
        "12 L/100 km", "12 l/100km", "12 litres/100 km",
    )),
    ("60 kWh/100 mi", units.ENERGY_PER_DISTANCE, 60 * 3.6e6 / (100 * MILE)),
    ("40 kWh/100 km", units.ENERGY_PER_DISTANCE, 40 * 36.0),
    ("400 Wh/km", units.ENERGY_PER_DISTANCE, 40 * 36.0),
    *((f"2 lbf2{unit}", units.ROAD_LOAD_COVARIANCES[power], 2 * POUND_FORCE**2 / (MILE / 3600) ** power)
      for power, unit in enumerate(("", "/mph", "/mph2", "/mph3", "/mph4"))),
    *((f"2 N2{unit}", units.ROAD_LOAD_COVARIANCES[power], 2 * 3.6**power)
      for power, unit in enumerate(("", "/(km/h)", "/(km/h)2", "/(km/h)3", "/(km/h)4"))),
]  # fmt: skip

# Read wrong, or never, by a general reader of units; and whatever else is no number with a unit.
HOSTILE = [
    "1,5 m", "5 200 lb", "5,20 lb", "5,2000 lb", ",200 lb", "5,,200 lb", "5_200 lb", "35 1/ in", "1/0 in",
    "5'200 kg", "1.5.2 m", "1..5 m",
    "--5 m", "+-5 m", "5 -m", "5 ft 2 in", "5'2\"", "10**10**10", "9**9**9 m", "9^9^9 m",
    "6^8000000", "(" * 40, ")" * 40, "((((5 m", "1e999 m", "1e-999 m", "1e100", "0x10 m", "5e m",
    "e5 m", "inf", "inf m", "-inf", "nan", "NaN m", "Infinity", "", " ", "m", "in", "-", "+", ".",
    ". m", "e", "5m5", "m 5", "5 m/", "5 m;", "5 m # x", "5 m\n6 m", "5\nm x", "5 m\x00",
    "\x005 m", "5 m\u200b", "5\u200b m", "٣٥ m", "३५ m", "３５ m", "5² m", "²", "Ⅷ m",
    "5 meter * 3", "5 m + 3 m", "__import__('os')", "5 {m}", "5 %s", "5 µm", "5 furlong",
    "5 quectometer", "5 kilo-mile", "9" * 13 + " m", "0." + "1" * 21 + " m", "5" + " " * 60 + "m",
    "9" * 41, "5 " + "m" * 39,
]  # fmt: skip


@pytest.mark.parametrize(("text", "quantity", "si"), SPELLINGS, ids=[text for text, _, _ in SPELLINGS])
def test_what_people_type_is_read(text: str, quantity: Quantity, si: float) -> None:
    for system in SYSTEMS:
        assert number(text, quantity, system) == pytest.approx(si, rel=1e-12)


@EACH_QUANTITY
def test_every_spelling_of_the_table_is_read(quantity: Quantity) -> None:
    for spelling, factor in quantity.factors.items():
        for text in (
            f"2 {spelling}",
            f"2{spelling}",
            f" 2  {spelling.upper()} ",
            f"2 {spelling.replace(' ', '')}",
        ):
            for system in SYSTEMS:
                assert number(text, quantity, system) == 2 * factor, text


@EACH_QUANTITY
def test_no_spelling_means_two_things(quantity: Quantity) -> None:
    assert len(quantity.by_spelling) <= len(quantity.factors)
    for spelling, factor in quantity.factors.items():
        assert number(f"1 {spelling}", quantity, "us") == factor


@EACH_QUANTITY
def test_a_bare_number_is_in_the_unit_of_the_system(quantity: Quantity) -> None:
    for system in SYSTEMS:
        with_unit = number(f"7.25 {quantity.unit(system)}", quantity, system)
        for bare in (7.25, "7.25", " 7.25 ", "+7.25", "725e-2"):
            assert number(bare, quantity, system) == pytest.approx(with_unit, rel=1e-15)


@pytest.mark.parametrize("text", HOSTILE)
def test_what_is_no_number_with_a_unit_is_refused(text: str) -> None:
    for quantity in (units.LENGTH, units.MASS, units.TORQUE, units.NUMBER):
        with pytest.raises(Unreadable) as refusal:
            number(text, quantity, "us")
        assert len(str(refusal.value)) < 200


@pytest.mark.parametrize(
    "value",
    [None, True, False, [], [1], {}, (1,), b"1", 1j, object(), 10**400, -(10**400), math.inf, -math.inf],
)
def test_what_is_no_number_at_all_is_refused(value: Any) -> None:
    for quantity in (units.LENGTH, units.NUMBER):
        with pytest.raises(Unreadable):
            number(value, quantity, "us")


def test_the_longest_text_and_the_largest_number_are_read() -> None:
    assert number("5".rjust(40), units.NUMBER, "us") == 5.0
    assert number(1e100, units.NUMBER, "us") == -number(-1e100, units.NUMBER, "us") == 1e100
    for beyond, told in (
        ("5".rjust(41), "is longer than 40 characters"),
        (1.05e100, "is too large a number"),
        (-1.05e100, "is too large a number"),
    ):
        with pytest.raises(Unreadable, match=told):
            number(beyond, units.NUMBER, "us")


def test_a_point_where_numbers_have_a_comma_is_told() -> None:
    with pytest.raises(Unreadable, match="has a decimal point, although decimal=comma is asked for"):
        number(PointedText("4.1"), units.NUMBER, "us")


def test_each_unit_is_offered_once_by_its_first_spelling() -> None:
    with pytest.raises(Unreadable, match=r"has a unit that is none of mass: use lb, kg, t$"):
        number("5 mm", units.MASS, "us")


@EACH_QUANTITY
def test_a_unit_of_another_quantity_is_refused_with_what_is_accepted(quantity: Quantity) -> None:
    others = {spelling for other in QUANTITIES for spelling in other.factors}
    for spelling in sorted(others):
        if spelling.casefold().replace(" ", "") in quantity.by_spelling:
            continue
        with pytest.raises(Unreadable, match=re.escape(f"none of {quantity.name}: use ")):
            number(f"5 {spelling}", quantity, "us")


def test_the_labels_of_both_systems_are_linear_in_each_other() -> None:
    """Zero is zero in both: no offset, so differences of temperature only."""
    for quantity in QUANTITIES:
        assert number(0, quantity, "us") == number(0, quantity, "metric") == 0.0
    fahrenheit = units.TEMPERATURE_DIFFERENCE.factor("us")
    assert 1.8 * fahrenheit == pytest.approx(units.TEMPERATURE_DIFFERENCE.factor("metric"), rel=1e-15)


def test_a_pure_number_takes_no_unit() -> None:
    for text in ("4.1 m", "4.1:2", "4.1x", "4.1 %", "4:1:1"):
        with pytest.raises(Unreadable, match=r"takes no unit|is not a number"):
            number(text, units.NUMBER, "us")


@pytest.mark.parametrize("text", ["4.1:1", "4.1 : 1", " 4.10:1 "])
def test_a_ratio_may_be_printed_against_one(text: str) -> None:
    assert number(text, units.NUMBER, "us") == 4.1


@pytest.mark.parametrize(
    ("text", "quantity", "use"),
    [
        ("4,10", units.NUMBER, "4.10"),
        ("1,250 in", units.LENGTH, "1.250 in"),
        ("5,2 lb", units.MASS, "5.2 lb"),
    ],
)
def test_a_decimal_comma_is_refused_with_the_point_to_use(text: str, quantity: Quantity, use: str) -> None:
    with pytest.raises(Unreadable, match="write a decimal point, or ask with decimal=comma") as refusal:
        number(text, quantity, "us")
    assert refusal.value.use == use
    assert str(refusal.value).startswith("is not a number")


@given(st.text(max_size=60), st.sampled_from(QUANTITIES))
@settings(max_examples=500, deadline=None)
def test_any_text_is_read_as_finite_or_refused(text: str, quantity: Quantity) -> None:
    with contextlib.suppress(Unreadable):
        assert math.isfinite(number(text, quantity, "us"))


@given(
    st.text(alphabet="0123456789.,eE+-*/^() \"'mftlbkgNincpsh·×²−", max_size=42), st.sampled_from(QUANTITIES)
)
@settings(max_examples=1000, deadline=None)
def test_texts_near_to_numbers_are_read_as_finite_or_refused(text: str, quantity: Quantity) -> None:
    try:
        read = number(text, quantity, "us")
    except Unreadable:
        return
    assert math.isfinite(read)
    digits = re.match(r"\s*[-+−]?[0-9.]+(e[-+]?[0-9]+)?", text, re.IGNORECASE)
    assert digits, "a number stands first"
    factors = {1.0, quantity.factor("us"), *quantity.factors.values()}
    leading = float(digits[0].replace("−", "-").strip())
    assert any(read == pytest.approx(leading * factor) for factor in factors) or "e" in text.lower()


@given(
    st.floats(1e-90, 1e11) | st.floats(-1e11, -1e-90) | st.just(0.0),
    st.sampled_from(QUANTITIES),
)
@settings(max_examples=200, deadline=None)
def test_a_number_goes_out_as_it_came_in(value: float, quantity: Quantity) -> None:
    for system in SYSTEMS:
        si = number(value, quantity, system)
        assert quantity.out(si, system) == pytest.approx(value, rel=1e-15)  # type: ignore[arg-type]
        assert number(repr(value), quantity, system) == si, "what one answer holds can be asked again"


def steps(call: Callable[[], Any]) -> int:
    """How many lines of Python and calls of C a call takes: a cost that no busy machine disturbs."""
    count = 0

    def tick(frame: Any, event: str, argument: Any) -> Any:
        nonlocal count
        count += 1
        return tick

    sys.settrace(tick)
    sys.setprofile(tick)
    try:
        call()
    finally:
        sys.setprofile(None)
        sys.settrace(None)
    return count


@pytest.mark.parametrize("part", ["9", "1.", "e1", " ", "(", "-", "m ", "9 ", "·", "1e", "ft-"])
def test_the_cost_of_a_text_is_bounded(part: str) -> None:
    """Texts above the cap cost the same however long they are."""

    def reading(text: str) -> Callable[[], None]:
        def read() -> None:
            with pytest.raises(Unreadable):
                number(text, units.LENGTH, "us")

        return read

    lengths = [len(part) * 50, len(part) * 5000, len(part) * 500_000]
    texts = [(part * length)[: max(length, 41)] for length in lengths]
    costs = [min(steps(reading(text)) for _ in range(3)) for text in texts]  # a collector may walk in on one
    assert costs[0] == costs[1] == costs[2]


# The units of each quantity in the order of its table, in the words of pint.
PINT = {
    "length": "inch foot millimeter centimeter meter",
    "height or distance": "inch foot millimeter centimeter meter",
    "mass": "pound kilogram metric_ton",
    "road speed": "mile/hour kilometer/hour meter/second",
    "rotational speed": "revolution/minute radian/second",
    "torque": "force_pound*foot force_pound*inch newton*meter kilonewton*meter force_kilogram*meter",
    "power": "horsepower kilowatt metric_horsepower watt",
    "pressure": "psi kilopascal bar megapascal pascal",
    "stress": "ksi psi megapascal kilopascal",
    "force": "force_pound newton kilonewton force_kilogram",
    "angle": "degree radian",
    "area": "foot^2 meter^2",
    "percentage": "percent",
    "turns over a distance": "1/mile 1/kilometer",
    "force over a length": "force_pound/inch newton/millimeter",
    "force over speed": "force_pound/(mile/hour) newton/(kilometer/hour)",
    "force over speed squared": "force_pound/(mile/hour)^2 newton/(kilometer/hour)^2",
    "time": "second minute",
    "hours": "hour minute",
    "acceleration": "foot/second^2 meter/second^2 standard_gravity",
    "angular acceleration": "radian/second^2",
    "energy": "kilojoule megajoule kilowatt_hour watt_hour joule",
    "battery energy": "kilojoule megajoule kilowatt_hour watt_hour",
    "temperature difference": "delta_degree_Fahrenheit kelvin",
    "volume": "gallon liter imperial_gallon quart",
    "engine displacement": "liter centimeter^3 inch^3",
    "long distance": "mile kilometer",
    "fuel economy": "mile/gallon kilometer/liter mile/imperial_gallon",
    "fuel over distance": "gallon/(100*mile) liter/(100*kilometer)",
    "energy over distance": "kilowatt_hour/(100*mile) kilowatt_hour/(100*kilometer) watt_hour/mile "
        "watt_hour/kilometer",
} | {
    units.ROAD_LOAD_COVARIANCES[power].name: f"force_pound^2/(mile/hour)^{power} newton^2/(kilometer/hour)^{power}"
    for power in range(5)
}  # fmt: skip


def test_factors_are_those_of_pint() -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(cache_folder=None)
    assert PINT.keys() == {quantity.name for quantity in QUANTITIES}
    for quantity in QUANTITIES:
        known = [registry.Quantity(unit).to_base_units().magnitude for unit in PINT[quantity.name].split()]
        factors = dict.fromkeys(quantity.factors.values())
        assert list(factors) == pytest.approx(known, rel=1e-14), quantity.name


def test_no_text_reaches_a_general_reader_of_units() -> None:
    """Some texts never come back from one: the service has none."""
    (folder,) = gearing_api.__path__
    using = re.compile(r"^\s*(import|from) pint", re.M)
    assert [path.name for path in Path(folder).rglob("*.py") if using.search(path.read_text())] == []
    for text in HOSTILE:
        with pytest.raises(Unreadable):
            number(text, units.MASS, "us")


def test_a_range_has_one_unit() -> None:
    pounds = units.ends("4900 to 5600 lb", units.MASS, "metric")
    assert pounds == pytest.approx((4900 * POUND, 5600 * POUND))
    assert units.ends("4900 LB to 5600 lb", units.MASS, "metric") == pounds
    with pytest.raises(Unreadable, match="has two units"):
        units.ends("4900 lb to 5600 kg", units.MASS, "metric")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("4900 lb +- 50 kg", "has two units: give the middle and what is more or less in one"),
        ("4900 lb +- -50", "has less than nothing after +-"),
        ("4900 +- -0.1 %", "has less than nothing after +-"),
        ("5600 to 4900 lb", "has its ends exchanged: the lower one comes first"),
        ("4900 to 5600 lb".rjust(41), "is longer than 40 characters"),
    ],
)
def test_what_is_no_range_is_refused_with_the_reason(text: str, told: str) -> None:
    with pytest.raises(Unreadable, match=re.escape(told)):
        units.ends(text, units.MASS, "us")


def test_what_is_more_or_less_may_be_less_than_one() -> None:
    assert units.ends("4 +- 0.5", units.NUMBER, "us") == (3.5, 4.5)
    assert units.ends("4 to 4.5".rjust(40), units.NUMBER, "us") == (4.0, 4.5)


@pytest.mark.parametrize("text", ["4.1 to 4.1", "4.1 +- 0", "4.1 +- 0 %"])
def test_a_range_may_be_one_number(text: str) -> None:
    assert units.ends(text, units.NUMBER, "us") == (4.1, 4.1)
