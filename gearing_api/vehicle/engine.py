"""The engine of a build: full load by engine speed, and what the air leaves of it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Caution, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import engines
from gearing_api.mechanics.domain import Array
from gearing_api.mechanics.engines import FullLoad

ENGINE_FIELDS = (
    "torque_curve",
    "power_curve",
    "peak_power",
    "peak_power_speed",
    "peak_torque",
    "peak_torque_speed",
    "peak_torque_to_speed",
    "idle_torque",
    "engine_kind",
    "critical_altitude",
    "idle_speed",
    "redline_speed",
)

ASPIRATED = ("petrol", "diesel")
"""Engine kinds without a charger, which lose power with the air."""

_PEAKS = ("peak_power", "peak_power_speed", "peak_torque", "peak_torque_speed")

_ROUNDING = 1e-9
"""Relative: a speed computed to lie on a bound lies on it in spite of the last bits."""

_LEAST_STEP = 0.1  # just below 1 rpm, in rad/s

_SHAPE = Source(
    "full load from the peaks, by engine_kind: the rise from idle, a parabola between the peaks, the fall beyond",
    "published",
    "Fitted to the full-load curves of the UN GTR 15 gear-shift validation set: from idle to the highest torque it "
    "misses them by 5.2 % of that torque (rms) for diesel, 9 % for petrol-turbo and 8 % for petrol",
)
_MOTOR = Source(
    "full load of a motor: level torque, then level power",
    "published",
    "17 motor maps in the open data of a national laboratory's vehicle simulator (2003): 0 to 4 % (rms) in 7 of them",
)
_DERATING = Source(
    "naturally aspirated engines lose 3 % of their power per 1000 ft above 500 ft",
    "published",
    "Agricultural engineering texts on rating engines",
)
_CHARGED = Source(
    "turbocharged engines keep full power to critical_altitude and lose 3 % per 1000 ft above it",
    "common practice",
    "No published source for the height; UN Regulation No. 85 takes no loss for engines that make up for the air",
)

_FROM_PEAKS = note(
    "engine-from-peaks",
    "Full load is drawn through the peaks by the kind of engine (engine_kind); below the highest torque it "
    "may be out by a tenth of that torque, and by more near idle. Give the torque curve (torque_curve) if you have "
    "one.",
)
_TORQUE_UNUSED = note(
    "peak-torque-unused",
    "The peak torque and its engine speed (peak_torque, peak_torque_speed) shape the full load only when "
    "both are given.",
)
_CRITICAL_ASSUMED = (
    "Above 5,000 ft (1,524 m) it is assumed that the turbocharger no longer makes up for the air: give the "
    "altitude to which it does (critical_altitude) if its maker states one."
)
_PEAKS_DISAGREE = (
    "cannot belong to the same engine as peak_power: it must be at least the torque at peak_power_speed, at "
    "a lower speed, and leave the power room to rise to its peak"
)


def engine_needs(build: Build) -> tuple[str, ...]:
    """The least that makes the full load known, where no torque_curve and no power_curve is given."""
    if build.word("engine_kind") != "electric":
        needed: tuple[str, ...] = ("peak_power", "peak_power_speed")
    else:
        needed = ("peak_power", "peak_power_speed" if build.given("peak_power_speed") else "peak_torque")
    return tuple(name for name in needed if not build.given(name)) or needed


class Engine(NamedTuple):
    """Full load with an axis of one where gears or axle ratios stand, and what must be said of it."""

    full_load: FullLoad
    power_factor: Array
    """Share of the power that is left at the altitude. [-]"""
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...]


def engine_of(build: Build) -> Engine | None:
    """The engine, or None where its full load is not known."""
    return build.once("engine", _engine_of)


def _engine_of(build: Build) -> Engine | None:
    drawn = _drawn(build)
    if drawn is None:
        return None
    full_load, sources, cautions = drawn
    a, b, c, d = (part[..., None, :] if part.ndim else part for part in full_load.coefficients)
    along = FullLoad(full_load.starts[..., None, :], full_load.ends[..., None, :], (a, b, c, d))
    factor, sources_of_air, of_air = air_of(build)
    return Engine(along, factor, (*sources, *sources_of_air), (*cautions, *of_air))


def air_of(build: Build) -> tuple[Array, tuple[Source, ...], tuple[Caution, ...]]:
    """Share of the power that is left at the altitude."""
    return build.once("air", _air_of)


def _air_of(build: Build) -> tuple[Array, tuple[Source, ...], tuple[Caution, ...]]:
    altitude, kind = build.number("altitude"), build.word("engine_kind")
    if kind == "electric":
        return np.ones(()), (), ()
    if kind in ASPIRATED:
        return engines.altitude_power_factor(altitude), (_DERATING,), ()
    height = build.known("critical_altitude")
    if height is not None:
        return engines.altitude_power_factor(altitude, height), (_CHARGED,), ()
    build.assume("critical_altitude", height := np.asarray(engines.CHARGED_HEIGHT))
    thin = note("critical-altitude-assumed", _CRITICAL_ASSUMED, altitude > height)
    return engines.altitude_power_factor(altitude, height), (_CHARGED,), (thin,)


_Drawn = tuple[FullLoad, tuple[Source, ...], tuple[Caution, ...]]


def _drawn(build: Build) -> _Drawn | None:
    """The full load at sea level: from points given, else from the peaks."""
    for name, curve in (("torque_curve", engines.torque_curve), ("power_curve", engines.power_curve)):
        if build.given(name):
            return curve(*_points(build, name)), (), ()
    if not build.given("peak_power"):
        return None
    if build.word("engine_kind") == "electric":
        return _motor(build)
    return _from_peaks(build) if build.given("peak_power_speed") else None


def _motor(build: Build) -> _Drawn | None:
    """A motor, from power and torque, or from power and the speed from which it is held."""
    power, torque = build.number("peak_power"), build.known("peak_torque")
    if torque is None:
        speed = build.known("peak_power_speed")
        if speed is None:
            return None
        torque = power / speed
    return engines.electric_curve(power, torque, build.number("redline_speed")), (_MOTOR,), ()


def _from_peaks(build: Build) -> _Drawn:
    """An engine of which the highest power and its speed are given, and perhaps the highest torque and its."""
    kind = build.word("engine_kind")
    shape = engines.SHAPES[kind]
    peaks = [build.number(name) for name in _PEAKS if build.given(name)]
    power, power_speed = peaks[:2]
    cautions: tuple[Caution, ...] = (_FROM_PEAKS,)
    plateau_end = None
    if len(peaks) < len(_PEAKS):
        cautions = (_FROM_PEAKS, *((_TORQUE_UNUSED,) * (len(peaks) > 2)))
        torque, torque_speed = shape.torque_rise * power / power_speed, shape.torque_place * power_speed
    else:
        torque, torque_speed = peaks[2:]
        build.require(torque_speed > 0.0, "peak_torque_speed", "must be above zero")
        build.require(
            engines.peaks_agree(power, power_speed, torque, torque_speed), "peak_torque", _PEAKS_DISAGREE
        )
        plateau_end = _plateau_end(build, power, power_speed, torque, torque_speed)
    low = build.vary("idle_torque", shape.idle_share, kind) * torque
    if build.given("idle_torque"):
        low = build.number("idle_torque")
        build.require(low <= torque, "idle_torque", "must be at most the highest torque")
    curve = engines.curve_from_peaks(
        power, power_speed, torque, torque_speed, build.number("idle_speed"), low, np.asarray(shape.exponent),
        np.asarray(shape.fall), plateau_end,
    )  # fmt: skip
    return curve, (_SHAPE,), cautions


def _plateau_end(
    build: Build, power: Array, power_speed: Array, torque: Array, torque_speed: Array
) -> Array | None:
    """End of the plateau as given, but no further than the power has room to rise to its peak."""
    if not build.given("peak_torque_to_speed"):
        return None
    end = build.number("peak_torque_to_speed")
    build.require(
        (end >= torque_speed) & (end <= power_speed),
        "peak_torque_to_speed",
        "must lie between peak_torque_speed and peak_power_speed",
    )
    rise = torque * power_speed / power
    z = 0.5 * (np.sqrt(4.0 * rise - 3.0) - 1.0)
    return np.asarray(np.minimum(end, power_speed * (1.0 - np.maximum(z * (1.0 + _ROUNDING), _ROUNDING))))


def _points(build: Build, name: str) -> tuple[Array, Array]:
    """Speeds and values of a curve given."""
    points = build.number(name)
    apart = np.diff(points[..., 0], axis=-1).min(axis=-1) >= _LEAST_STEP
    build.require(apart, name, "must rise by 1 rpm or more from each point to the next")
    return points[..., 0], points[..., 1]


def power_available(engine: Engine, engine_speed: Array) -> Array:
    """Full-load power at the crankshaft and at the altitude, 0 outside the curve. [W]"""
    first, last = _ends(engine)
    held = np.minimum(np.maximum(engine_speed, first), last)
    inside = np.where(_between(first, engine_speed, last), held, engine_speed)
    return engines.full_load_power(engine.full_load, inside) * engine.power_factor[..., None]


def idle_torque_of(build: Build, engine: Engine | None, highest: Array) -> tuple[Array, tuple[Caution, ...]]:
    """Full-load torque at idle and at the altitude, NaN where a curve begins above it or a motor has no idle. [N m]"""
    idle, kind = build.number("idle_speed"), build.word("engine_kind")
    curved = build.given("torque_curve") or build.given("power_curve")
    if kind == "electric":
        return np.full(np.shape(highest), np.nan), ()
    if engine is not None:
        inside = in_curve(engine, idle[..., None])
        torque = engines.full_load_torque(engine.full_load, idle[..., None]) * engine.power_factor[..., None]
        return np.where(inside, torque, np.nan)[..., 0], () if curved else (_IDLE_ESTIMATED,)
    given = build.known("idle_torque")
    if given is not None:
        build.require(given <= highest, "idle_torque", "must be at most the highest torque")
        return np.asarray(given * air_of(build)[0]), ()
    share = build.vary("idle_torque", engines.SHAPES[kind].idle_share, kind)
    return np.asarray(share * highest * air_of(build)[0]), (_IDLE_ESTIMATED,)


_IDLE_ESTIMATED = note(
    "idle-torque-estimated",
    "The torque at idle is estimated by the kind of engine (engine_kind): it may be out by a tenth of the "
    "highest torque, which is much at idle. Give it, or the torque curve (idle_torque, torque_curve), if you know it.",
)


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
