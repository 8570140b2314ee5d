"""How fast each gear can go: by engine speed, by power on the level, and by what the tyre is made for."""

from typing import NamedTuple

import numpy as np

from gearing_api.build import Build
from gearing_api.mechanics import gearing, road_loads
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.vehicle.drivetrain import overall_ratios
from gearing_api.vehicle.engine import Engine, engine_of
from gearing_api.vehicle.gearbox import Chain, chain_of
from gearing_api.vehicle.loads import train_mass
from gearing_api.vehicle.resistance import Resistance, reserve_factor, resistance_of


class Reach(NamedTuple):
    """The highest road speed in each gear, shape (ranges, gears), and what ends it. [m/s]

    `power` is the highest that any gear holds on the level, None where power or road load is not known; `tyre`
    the speed of its symbol, None where it has none.
    """

    speed: Array
    overall: Array
    power: float | None
    tyre: float | None


def speeds_held(
    build: Build, engine: Engine, resistance: Resistance, slope: Array, chain: Chain, radius: Array
) -> Array:
    """The highest speed that each gear holds above idle, at its best, against a slope; 0 where it holds none. [m/s]"""
    overall, lost = chain.overall, chain.losses
    efficiency = lost.efficiency * (engine.power_factor / reserve_factor(build))[..., None]
    speeds = road_loads.top_speed(
        engine.full_load,
        overall,
        radius[..., None],
        efficiency,
        build.number("redline_speed")[..., None],
        (resistance.constant + slope)[..., None],
        resistance.linear[..., None],
        resistance.square[..., None],
        lost.constant,
        lost.linear,
    )
    turns = gearing.engine_speed(speeds, overall, radius[..., None])
    return np.where(beyond(build.number("idle_speed")[..., None], turns), 0.0, speeds)


def reach_of(build: Build) -> Reach:
    """How far each gear goes, for one build; its account of the build is left alone."""
    other = build.again()
    overall, radius = overall_ratios(other), other.tyre().rolling_radius
    speed = gearing.road_speed(other.number("redline_speed"), overall, radius)
    tyre, power = other.tyre().size.speed_capability, None
    held = _held(other)
    if held is not None and held.size == speed.size:
        power = float(held.max())
        speed = np.minimum(speed, held.reshape(speed.shape))
    if tyre is not None:
        speed = np.minimum(speed, tyre)
    return Reach(speed, overall, power, None if tyre is None else float(tyre))


def _held(build: Build) -> Array | None:
    engine = engine_of(build) if build.given("vehicle_mass") else None
    if engine is None:
        return None
    resistance = resistance_of(build)
    level = resistance.weight_force(train_mass(build), np.zeros(()))
    return speeds_held(build, engine, resistance, level, chain_of(build), build.tyre().rolling_radius)
