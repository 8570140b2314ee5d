"""What a tyre carries at a pressure: by the tables' power law, between the rated pressures of its class."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import DOES_NOT_APPLY, Absent, Caution, Source, Value, check, needs, note, stop
from gearing_api.build import Build
from gearing_api.mechanics import tyres
from gearing_api.mechanics.domain import Array
from gearing_api.tyre_sizes import TyreSize

Truths = NDArray[np.bool_]

INFLATION_FIELDS = ("tyre_pressure", "tyre_load", "rated_pressure")

INFLATION = Source(
    "load at a pressure = load of the index x (pressure / rated pressure)^n; n 0.70 for US light-truck tyres, 0.5 "
    "for US passenger tyres, 0.8 for others",
    "published",
    "Second hand: TRA light-truck table in a motor-home manual (0.70 within 0.8 %) and the older TRA passenger "
    "form; D. A. Crolla (ed.), Automotive Engineering, 2009, p. 290 (0.8)",
)
RATED = Source(
    "rated pressures of a class of tyres where rated_pressure is not given; a load range means less pressure on big "
    "sizes",
    "from memory",
    "TRA and ETRTO rated pressures by load range (from memory, high); the sidewall of the tyre states its own",
)


def _psi(pressure: float) -> float:
    return units.number(f"{pressure} psi", units.PRESSURE, "us")


class _Class(NamedTuple):
    """Exponent, lowest and highest rated pressure, and the pressure below which no table goes. [-, Pa]"""

    exponent: float
    lowest: float
    highest: float
    floor: float


_CLASSES = {
    "light-truck": _Class(tyres.LIGHT_TRUCK_LOAD_EXPONENT, _psi(35), _psi(80), _psi(35)),
    "us-passenger": _Class(0.5, _psi(35), _psi(41), _psi(26)),
    "commercial": _Class(tyres.PASSENGER_LOAD_EXPONENT, 300e3, 575e3, 150e3),
    "passenger": _Class(tyres.PASSENGER_LOAD_EXPONENT, 250e3, 290e3, 150e3),
}
_LETTERS = {"B": (35, 35), "C": (35, 50), "D": (50, 65), "E": (65, 80), "F": (80, 95)}
"""Rated pressures by load range, of big sizes and of others. [psi]"""


class Inflation(NamedTuple):
    """How the load of a tyre depends on its pressure; `rated` is None where it is not known. [-, Pa]"""

    exponent: float
    lowest: Array
    highest: Array
    floor: float
    rated: Array | None

    def capacity(self, size: TyreSize, pressure: Array, rated: Array) -> Array:
        """Load carried at a pressure by a tyre that carries its index at the rated one. [kg]"""
        assert size.load_capacity is not None
        return tyres.load_at_pressure(size.load_capacity, np.minimum(pressure, rated), rated, self.exponent)

    def too_little(self, size: TyreSize, pressure: Array, load: Array) -> tuple[Truths, Truths]:
        """Where the pressure does not carry a load that the index does: at any rated pressure, and at some."""
        assert size.load_capacity is not None
        most, least = (self.capacity(size, pressure, rated) for rated in (self.lowest, self.highest))
        fits = load <= size.load_capacity
        return fits & (load > most), fits & (load > least) & (load <= most)


def inflation_of(build: Build, size: TyreSize) -> Inflation:
    """By what is given or printed: the rated pressure, else the load range, else the class of the tyre."""
    kind = _CLASSES[size.load_class]
    given = build.known("rated_pressure")
    if given is not None:
        return Inflation(kind.exponent, given, given, kind.floor, given)
    if size.load_range in _LETTERS and size.load_class == "light-truck":
        low, high = (np.asarray(_psi(psi)) for psi in _LETTERS[size.load_range])
        return Inflation(kind.exponent, low, high, kind.floor, high)
    lowest = kind.highest if size.extra_load else kind.lowest
    return Inflation(kind.exponent, np.asarray(lowest), np.asarray(kind.highest), kind.floor, None)


def inflation_figures(build: Build, size: TyreSize) -> dict[str, Value]:
    """Load at the pressure given, and pressure needed for the load given, where they can be known."""
    figures: dict[str, Value] = {"load_at_pressure": None, "pressure_needed": None}
    inflation = inflation_of(build, size)
    if size.load_capacity is None or inflation.rated is None:
        return figures
    pressure, load = build.known("tyre_pressure"), build.known("tyre_load")
    if pressure is not None:
        figures["load_at_pressure"] = inflation.capacity(size, pressure, inflation.rated)
    if load is not None:
        needed = tyres.pressure_for_load(size.load_capacity, load, inflation.rated, inflation.exponent)
        figures["pressure_needed"] = np.where(load <= size.load_capacity, needed, -np.inf)
    return figures


def inflation_absent(build: Build, size: TyreSize) -> dict[str, Absent]:
    """Why load at the pressure and pressure needed are absent, where they are."""
    if size.form == "measured":
        return dict.fromkeys(("load_at_pressure", "pressure_needed"), DOES_NOT_APPLY)
    printed = () if size.load_capacity is not None else ("tyre",)
    rated = () if inflation_of(build, size).rated is not None else ("rated_pressure",)
    lacking = {name: () if build.given(name) else (name,) for name in ("tyre_pressure", "tyre_load")}
    return {
        "load_at_pressure": needs(*printed, *rated, *lacking["tyre_pressure"]),
        "pressure_needed": needs(*printed, *rated, *lacking["tyre_load"]),
    }


def inflation_cautions(build: Build, size: TyreSize) -> tuple[Caution, ...]:
    """The cautions on a load that the pressure does not carry, and on pressures below every table."""
    pressure, load = build.known("tyre_pressure"), build.known("tyre_load")
    if pressure is None or size.load_capacity is None:
        return ()
    inflation = inflation_of(build, size)
    extrapolated = note(
        "below-load-tables",
        "No table of loads goes down to this pressure. Bead and heat are in no load formula: drive slowly, and air "
        "up before the road.",
        pressure < inflation.floor,
    )
    if load is None:
        return (extrapolated,)
    certain, possible = inflation.too_little(size, pressure, load)
    return (
        stop(
            "underinflated",
            "At this pressure the tyre does not carry its load: raise the pressure, or carry less.",
            certain,
        ),
        check(
            "underinflated",
            "At this pressure the tyre may not carry its load: find the rated pressure on its sidewall and "
            "give it (rated_pressure).",
            possible,
        ),
        extrapolated,
    )
