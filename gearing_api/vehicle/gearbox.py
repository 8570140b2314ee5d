"""Gearbox, converter and losses of a build: what stands between crankshaft and wheels."""

from types import EllipsisType
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Caution, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import converters, engines, losses
from gearing_api.mechanics.converters import Converter
from gearing_api.mechanics.domain import Array
from gearing_api.mechanics.losses import Losses
from gearing_api.vehicle.drivetrain import engine_torque
from gearing_api.vehicle.engine import Engine, power_available

CONVERTER_FIELDS = ("converter_stall_speed", "converter_stall_ratio", "converter_locked")
"""One of these given makes a gearbox automatic."""

GEARBOX_FIELDS = ("gearbox_kind", *CONVERTER_FIELDS)

LOSS_FIELDS = (
    "driveline_efficiency",
    "peak_torque",
    "torque_curve",
    "power_curve",
    "peak_power",
    "peak_power_speed",
    "engine_kind",
    *GEARBOX_FIELDS,
)
"""What the losses are read from, beside gear, transfer and hub ratios."""

LOSSES = (
    Source(
        "losses of the gearbox, warm, by torque, speed and kind; of a cvt the fallback of the regulation",
        "published",
        "European Commission JRC, light-duty CO2 model, defaults of 2022; Regulation (EU) 2017/2400, Annex VI, app. 8",
    ),
    Source(
        "loss of an axle: 5 N m + 2 % of the torque + 0.001 N m per rpm, at its pinion; one axle is counted",
        "published",
        "European Commission heavy-duty CO2 tool, loss map of a light truck's axle; the fit is this service's",
    ),
    Source(
        "transfer case: 1 % lost direct, 3 % through its gears; gears at the hub 2 %",
        "common practice",
        "Common practice, no published source: no measurement of a two-speed transfer case was found",
    ),
)
GIVEN_EFFICIENCY = Source(
    "driveline_efficiency as given, the same in every gear and at every torque",
    "common practice",
    "No published source: the field replaces the losses by gear and torque",
)
CONVERTER = Source(
    "converter: generic shape, torque ratio falling to 0.95 at a speed ratio of 0.9, scaled to its stall speed",
    "published",
    "Regulation (EU) 2017/2400, Annex VI, app. 9, and the generic converter of the heavy-duty CO2 tool",
)

CVT_STEPS = 32
"""Ratios between the two ends of a cvt that are tried, evenly spread by their logarithm."""

_TORQUE_UNKNOWN = 300.0
"""Highest torque by which the drag of the gearbox goes where no engine is known. [N m]"""

_STALL_ASSUMED = note(
    "stall-speed-assumed",
    "The converter's stall speed is assumed: read it from a stall test or the specification and give it "
    "(converter_stall_speed).",
)


def gearbox_kind(build: Build) -> str:
    """Kind of gearbox as given, else automatic where a field of its converter is given, else manual."""
    if build.given("gearbox_kind"):
        return build.word("gearbox_kind")
    kind = "automatic" if any(map(build.given, CONVERTER_FIELDS)) else "manual"
    build.assume("gearbox_kind", kind)
    return kind


def driving_ratios(build: Build) -> Array:
    """Gearbox ratios that can be driven in, lowest gear first: of a cvt a row of them between its two ends."""
    gears, kind = build.number("gear_ratios"), gearbox_kind(build)
    if kind == "single-speed":
        build.require(
            gears.shape[-1] == 1, "gear_ratios", "has more than one ratio for a single-speed gearbox"
        )
    if kind != "cvt":
        return gears
    build.require(gears.shape[-1] > 1, "gear_ratios", "needs the two ends of the range of a cvt")
    first, last = np.log(gears[..., :1]), np.log(gears[..., -1:])
    return np.asarray(np.exp(first + (last - first) * _SHARES))


_SHARES = np.arange(CVT_STEPS) / (CVT_STEPS - 1.0)


def gear_number(build: Build, place: NDArray[np.intp]) -> Array:
    """Number of the gear at that place of the driving ratios, from 0; a cvt counts as one gear."""
    return np.asarray(place * 0.0 + 1.0 if gearbox_kind(build) == "cvt" else place + 1.0)


def losses_of(build: Build, gear_ratio: Array, transfer_ratio: Array) -> Losses:
    """Losses in some gears, which stand on the last axis of both ratios."""
    return _losses(build, gear_ratio, transfer_ratio, (..., None))


def losses_of_gear(build: Build, gear_ratio: Array, transfer_ratio: Array) -> Losses:
    """Losses in one gear of each build."""
    return _losses(build, gear_ratio, transfer_ratio, ())


_Axes = tuple[EllipsisType, None] | tuple[()]
"""What indexes a number of each build: with an axis of one where gears stand, or without."""


def _losses(build: Build, gear_ratio: Array, transfer_ratio: Array, axes: _Axes) -> Losses:
    if build.given("driveline_efficiency"):
        return Losses(build.number("driveline_efficiency")[axes], np.zeros(()), np.zeros(()))
    box = Losses(*(part[axes] for part in build.once("gearbox losses", _box_losses)))
    transfer, hub = _transfer(build, transfer_ratio), build.once("hub losses", _hub)[axes]
    chain = losses.chain_losses(box, gear_ratio, transfer_ratio, transfer, hub)
    return chain if build.draws is None else _varied(build, chain, axes)


def _box_losses(build: Build) -> Losses:
    """Losses of the gearbox alone."""
    largest, kind = _largest_torque(build), gearbox_kind(build)
    if kind == "cvt":
        return losses.fallback_gearbox_losses(largest, 0.04, 0.015)
    return losses.gearbox_losses(largest, automatic=kind == "automatic")


def _varied(build: Build, lost: Losses, axes: _Axes) -> Losses:
    """Losses of a drawn build: all parts of them greater or smaller alike."""
    share = np.asarray(build.vary("driveline_efficiency", np.ones(())))[axes]
    return Losses(1.0 - share * (1.0 - lost.efficiency), share * lost.constant, share * lost.linear)


def loss_sources(build: Build) -> tuple[Source, ...]:
    """What the losses rest on."""
    return (GIVEN_EFFICIENCY,) if build.given("driveline_efficiency") else LOSSES


def _transfer(build: Build, ratio: Array) -> Array:
    """Efficiency of the transfer case; a lone direct ratio is none."""
    direct = 1.0 if build.number("transfer_ratios").shape[-1] == 1 else losses.TRANSFER_HIGH
    return np.where(ratio == 1.0, direct, losses.TRANSFER_LOW)


def _hub(build: Build) -> Array:
    return np.where(build.number("hub_ratio") == 1.0, 1.0, losses.HUB)


def _largest_torque(build: Build) -> Array:
    """Highest torque of the engine as given, else estimated from its power. [N m]"""
    torque = engine_torque(build)
    if torque is not None:
        return torque
    if build.given("peak_power") and build.given("peak_power_speed"):
        kind = build.word("engine_kind")
        rise = 1.0 if kind == "electric" else engines.SHAPES[kind].torque_rise
        return np.asarray(rise * build.number("peak_power") / build.number("peak_power_speed"))
    return np.asarray(_TORQUE_UNKNOWN)


def peak_speed(build: Build) -> Array:
    """Engine speed of the highest torque, as near as it is known. [rad/s]"""
    if build.given("peak_torque_speed") and build.given("peak_torque"):
        return build.number("peak_torque_speed")
    for name in ("torque_curve", "power_curve"):
        if build.given(name) and not build.given("peak_torque"):
            curve = build.number(name)
            value = (
                curve[..., 1] if name == "torque_curve" else curve[..., 1] / np.maximum(curve[..., 0], 1.0)
            )
            best = np.argmax(value, axis=-1)[..., None]
            return np.asarray(np.take_along_axis(curve[..., 0], best, axis=-1)[..., 0])
    return np.asarray(_SPEED_UNKNOWN)


_SPEED_UNKNOWN = 2000.0 * np.pi / 30.0
"""Speed of the highest torque where it is not known: only the small part of the losses that goes with speed
asks for it. [rad/s]"""


def strongest_efficiency(build: Build, torque: Array) -> Array:
    """Crankshaft to ground at the highest torque, in the lowest gear and range. [-]"""
    if build.given("driveline_efficiency"):
        return build.number("driveline_efficiency")
    gear, transfer = build.number("gear_ratios")[..., 0], build.number("transfer_ratios").max(axis=-1)
    lost = losses.lost_torque(losses_of_gear(build, gear, transfer), torque, peak_speed(build))
    return np.asarray(np.maximum(1.0 - lost / torque, 0.0))


class FittedConverter(NamedTuple):
    """The converter of an automatic gearbox; what it does standing."""

    converter: Converter
    stalled_speed: Array
    """Of the engine at full load. [rad/s]"""
    stalled_torque: Array
    """Of the engine, at the converter's input. [N m]"""
    cautions: tuple[Caution, ...]


def stall_ratio(build: Build) -> Array:
    """Torque ratio at stall, as given, else the usual one of an automatic gearbox; 1 for any other. [-]"""
    given = build.known("converter_stall_ratio")
    if given is not None:
        return given
    if gearbox_kind(build) != "automatic":
        return np.ones(())
    build.assume("converter_stall_ratio", ratio := np.asarray(converters.USUAL_STALL_RATIO))
    return ratio


def converter_of(build: Build, engine: Engine) -> FittedConverter | None:
    """The converter of an automatic gearbox, None for any other.

    By its stall speed, at sea level; else for a diesel by the rule of the regulation, else of a usual size.
    """
    if gearbox_kind(build) != "automatic" or build.word("engine_kind") == "electric":
        return None
    ratio, stall = stall_ratio(build), build.known("converter_stall_speed")
    if stall is not None:
        power = power_available(engine, stall[..., None])[..., 0] / engine.power_factor
        build.require(power > 0.0, "converter_stall_speed", "must lie within the engine's full load")
        capacity = power / (stall * stall * stall)
    elif build.word("engine_kind").startswith("diesel") and build.given("peak_power_speed"):
        capacity = converters.generic_capacity(_largest_torque(build), build.number("peak_power_speed"))
    else:
        capacity = np.asarray(1.0 / (converters.USUAL_K * converters.USUAL_K))
    made = converters.generic_converter(capacity, ratio)
    speed = converters.stalled_speed(engine.full_load, engine.power_factor, capacity[..., None])[..., 0]
    cautions = () if stall is not None else (_STALL_ASSUMED,)
    return FittedConverter(made, speed, capacity * speed * speed, cautions)


def is_open(build: Build) -> bool:
    """Whether an automatic gearbox cruises with its converter open."""
    return gearbox_kind(build) == "automatic" and build.word("converter_locked") == "no"


class Chain(NamedTuple):
    """Every gear in every range, high range first, on the last axis."""

    gears: int
    """How many gears a range has."""
    overall: Array
    losses: Losses


def chain_of(build: Build) -> Chain:
    """The gears that can be driven in."""
    gears, transfer = driving_ratios(build), build.number("transfer_ratios")
    after = build.number("axle_ratio") * build.number("hub_ratio")
    gear, ranges = np.broadcast_arrays(gears[..., None, :], transfer[..., :, None])
    gear, ranges = (part.reshape(*part.shape[:-2], -1) for part in (gear, ranges))
    return Chain(gears.shape[-1], after[..., None] * ranges * gear, losses_of(build, gear, ranges))


class Turning(NamedTuple):
    """How engine and gearbox turn while a power is asked at the wheels."""

    engine_speed: Array
    needed: Array
    """Power at the crankshaft. [W]"""
    share: Array
    """Of the engine's power that a converter hands on. [-]"""


def turning(
    build: Build, engine: Engine | None, lost: Losses, input_speed: Array, road_power: Array
) -> Turning:
    """Engine speed and power for a power at the wheels, through the converter where it is open."""
    at_input = losses.power_for(lost, road_power, input_speed)
    fitted = converter_of(build, engine) if engine is not None and is_open(build) else None
    if fitted is None:
        return Turning(input_speed, at_input, np.ones(()))
    converter = fitted.converter._replace(
        stalled_capacity=fitted.converter.stalled_capacity[..., None],
        torque_ratios=fitted.converter.torque_ratios[..., None, :],
    )
    speed = converters.matched_speed(converter, input_speed, np.maximum(at_input, 0.0) / input_speed)
    ratio = input_speed / speed
    needed = converters.capacity_at(converter, ratio) * (speed * speed * speed)
    return Turning(speed, needed, ratio * converters.torque_ratio_at(converter, ratio))
