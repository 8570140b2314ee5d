"""The engine of a build: full load by engine speed, and what the air leaves of it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Caution, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import engines
from gearing_api.mechanics.domain import Array
from gearing_api.mechanics.engines import FullLoad

ENGINE_NEEDS = ("peak_power", "peak_power_speed")
"""The least that makes the full load known, where no torque_curve and no power_curve is given."""

ENGINE_FIELDS = (
    "torque_curve",
    "power_curve",
    "peak_power",
    "peak_power_speed",
    "peak_torque",
    "peak_torque_speed",
    "engine_kind",
    "idle_speed",
    "redline_speed",
)

ASPIRATED = ("petrol", "diesel")
"""Engine kinds without a charger, which lose power with the air."""

_PEAKS = ("peak_power", "peak_power_speed", "peak_torque", "peak_torque_speed")

_ROUNDING = 1e-9
"""Relative: a speed computed to lie on a bound lies on it in spite of the last bits."""

_LEAST_STEP = 0.1  # just below 1 rpm, in rad/s

_CUBIC = Source(
    "full load from the peaks: the petrol cubic P = Pm (x + x2 - x3), x = engine speed / its speed at peak "
    "power",
    "from memory",
    "Form as in Jazar, Vehicle Dynamics, ch. 4, and Genta (from memory, high); between the peaks of torque "
    "and power a parabola of this service's own",
)
_DERATING = Source(
    "naturally aspirated engines lose 3 % of their power per 1000 ft above 500 ft",
    "published",
    "Agricultural engineering texts on rating engines",
)

_FROM_PEAKS = note(
    "engine-from-peaks",
    "Full load is drawn through the peaks in the form of a petrol engine: give torque_curve for any other.",
)
_TORQUE_UNUSED = note(
    "peak-torque-unused", "peak_torque and peak_torque_speed shape the full load only when both are given."
)
_NOT_DERATED = (
    "For a turbocharged engine no power is taken off for the altitude: what is lost depends on the charger."
)
_PEAKS_DISAGREE = (
    "cannot belong to the same engine as peak_power: it must be at least the torque at peak_power_speed, at "
    "a lower speed, and leave the power room to rise to its peak"
)


class Engine(NamedTuple):
    """Full load with an axis of one where gears or axle ratios stand, and what must be said of it."""

    full_load: FullLoad
    power_factor: Array
    """Share of the power that is left at the altitude. [-]"""
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...]


def engine_of(build: Build) -> Engine | None:
    """The engine, or None where its full load is not known."""
    drawn = _drawn(build)
    if drawn is None:
        return None
    full_load, sources, cautions = drawn
    a, b, c, d = (part[..., None, :] if part.ndim else part for part in full_load.coefficients)
    along = FullLoad(full_load.starts[..., None, :], full_load.ends[..., None, :], (a, b, c, d))
    altitude = build.number("altitude")
    kind = build.word("engine_kind")
    if kind in ASPIRATED:
        return Engine(along, engines.altitude_power_factor(altitude), (*sources, _DERATING), cautions)
    charged = note("not-derated", _NOT_DERATED, (altitude > engines.ALTITUDE_FREE) & (kind != "electric"))
    return Engine(along, np.ones(()), sources, (*cautions, charged))


def _drawn(build: Build) -> tuple[FullLoad, tuple[Source, ...], tuple[Caution, ...]] | None:
    """The full load at sea level: from points given, else from the peaks."""
    for name, curve in (("torque_curve", engines.torque_curve), ("power_curve", engines.power_curve)):
        if build.given(name):
            return curve(*_points(build, name)), (), ()
    if not (build.given("peak_power") and build.given("peak_power_speed")):
        return None
    peaks = [build.number(name) for name in _PEAKS if build.given(name)]
    if len(peaks) < len(_PEAKS):
        unused = (_TORQUE_UNUSED,) * (len(peaks) > 2)
        return engines.petrol_curve(*peaks[:2]), (_CUBIC,), (_FROM_PEAKS, *unused)
    build.require(peaks[3] > 0.0, "peak_torque_speed", "must be above zero")
    build.require(engines.peaks_agree(*peaks), "peak_torque", _PEAKS_DISAGREE)
    return engines.curve_from_peaks(*peaks), (_CUBIC,), (_FROM_PEAKS,)


def _points(build: Build, name: str) -> tuple[Array, Array]:
    """Speeds and values of a curve given."""
    points = build.number(name)
    apart = np.diff(points[..., 0], axis=-1).min(axis=-1) >= _LEAST_STEP
    build.require(apart, name, "must rise by 1 rpm or more from each point to the next")
    return points[..., 0], points[..., 1]


def power_available(engine: Engine, engine_speed: Array) -> Array:
    """Full-load power at the crankshaft and at the altitude, 0 outside the curve. [W]"""
    first, last = _ends(engine)
    inside = np.where(_between(first, engine_speed, last), np.clip(engine_speed, first, last), engine_speed)
    return engines.full_load_power(engine.full_load, inside) * engine.power_factor[..., None]


def in_curve(engine: Engine, engine_speed: Array) -> NDArray[np.bool_]:
    """Whether an engine speed lies between the first and the last point of the full load, or on them."""
    first, last = _ends(engine)
    return _between(first, engine_speed, last)


def in_speeds(build: Build, engine_speed: Array) -> NDArray[np.bool_]:
    """Whether an engine speed lies between idle and redline, or on them."""
    idle, redline = build.number("idle_speed"), build.number("redline_speed")
    return _between(idle[..., None], engine_speed, redline[..., None])


def _ends(engine: Engine) -> tuple[Array, Array]:
    return engine.full_load.starts[..., 0], engine.full_load.ends[..., -1]


def _between(low: Array, engine_speed: Array, high: Array) -> NDArray[np.bool_]:
    return (low * (1.0 - _ROUNDING) <= engine_speed) & (engine_speed <= high * (1.0 + _ROUNDING))
