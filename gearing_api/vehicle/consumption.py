"""What a build takes at steady speeds on the level: fuel or electric energy over a distance, by gear."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Source
from gearing_api.build import Build
from gearing_api.mechanics import fuel, gearing, losses
from gearing_api.mechanics.domain import Array
from gearing_api.mechanics.losses import Losses
from gearing_api.vehicle.drivetrain import place_of_highest
from gearing_api.vehicle.engine import ENGINE_FIELDS, Engine, engine_of, in_curve, in_speeds, power_available
from gearing_api.vehicle.gearbox import LOSS_FIELDS, Chain, chain_of, turning
from gearing_api.vehicle.loads import train_mass
from gearing_api.vehicle.resistance import RESISTANCE_FIELDS, Resistance, reserve_factor, resistance_of

CONSUMPTION_FIELDS = (
    *ENGINE_FIELDS,
    *LOSS_FIELDS,
    "engine_displacement",
    "altitude",
    *RESISTANCE_FIELDS,
    "cruise_reserve_percent",
)
"""What the consumption is read from, beside tyre, ratios and mass."""

MEASURED_FIELDS = ("measured_fuel_economy", "measured_fuel_per_distance")

WILLANS = Source(
    "fuel power = (wheel power / 0.9 + mean pressure x displacement x speed / 2) / efficiency; petrol 1.0 bar, 0.385, "
    "diesel 1.5 bar, 0.46; petrol 121.3, diesel 136 MJ per US gallon",
    "published",
    "Fitted to the highway test of the US EPA Test Car List: 3,893 petrol light trucks, -8 to +9 %, 164 diesel, -9 to "
    "+10 % (5 to 95 %); of 88 pairs that differ in the axle alone the change is met within 3.5 points",
)
ELECTRIC = Source(
    "energy at the wall = 1.21 x road load x distance",
    "published",
    "Fitted to the highway test of the US EPA Test Car List: 485 battery vehicles, -9 to +18 % (5 to 95 %)",
)


@dataclass(frozen=True)
class Consumption:
    """Consumption of a build by road speed; speeds stand on the last axis of all that is asked and told."""

    build: Build
    engine: Engine | None
    chain: Chain
    resistance: Resistance
    electric: bool
    diesel: bool

    @property
    def energy(self) -> float:
        """Of the fuel by volume. [J/m3]"""
        return fuel.DIESEL_ENERGY if self.diesel else fuel.PETROL_ENERGY

    def force(self, speed: Array) -> Array:
        """Road load on the level. [N]"""
        weight = self.resistance.weight_force(train_mass(self.build), np.zeros(()))
        parts = (self.resistance.constant, self.resistance.linear, self.resistance.square)
        a, b, c = (part[..., None] for part in parts)
        return np.asarray(a + weight[..., None] + (b + c * speed) * speed)

    def place(self, speed: Array) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
        """Place of the highest gear that holds each speed, high range first, and whether one does.

        Where the engine is not known it is top gear of high range.
        """
        gears = self.chain.gears
        if self.engine is None:
            return np.full(speed.shape, gears - 1), np.ones(speed.shape, np.bool_)
        turns = self._turning(speed)
        flat = turns.reshape(*turns.shape[:-2], -1)
        runs = in_speeds(self.build, flat) & in_curve(self.engine, flat)
        power = np.where(runs, power_available(self.engine, flat), 0.0)
        power = power.reshape(*power.shape[:-1], *turns.shape[-2:])
        road = (np.maximum(self.force(speed), 0.0) * speed)[..., None]
        needed = losses.power_for(_by_speed(self.chain.losses), road, turns)
        return place_of_highest(
            (power > 0.0) & (power >= needed * reserve_factor(self.build)[..., None, None]), gears
        )

    def _turning(self, speed: Array) -> Array:
        """Speed of the gearbox's input of every gear. Shape (..., speeds, gears)."""
        radius = self.build.tyre().rolling_radius[..., None, None]
        return gearing.engine_speed(speed[..., None], self.chain.overall[..., None, :], radius)

    def in_gear(self, speed: Array, place: NDArray[np.intp]) -> tuple[Array, Array]:
        """Engine speed and energy over a distance, each speed in its gear. [rad/s, J/m]"""
        turns, place = self._turning(speed), np.broadcast_arrays(place, speed)[0]
        shape = np.broadcast_shapes(turns.shape[:-1], place.shape)
        turns = np.broadcast_to(turns, (*shape, turns.shape[-1]))
        turns = np.take_along_axis(turns, np.broadcast_to(place, shape)[..., None], axis=-1)[..., 0]
        force = np.maximum(self.force(speed), 0.0)
        if self.electric:
            return turns, fuel.energy_at_the_wall(force)
        given = self.build.known("driveline_efficiency")
        driveline = fuel.CALIBRATED_DRIVELINE * np.ones(()) if given is None else given
        through = Losses(driveline[..., None], np.zeros(()), np.zeros(()))
        made = turning(self.build, self.engine, through, turns, force * speed)
        constants = (fuel.DIESEL_EFFICIENCY, fuel.DIESEL_FRICTION) if self.diesel else (
            fuel.PETROL_EFFICIENCY, fuel.PETROL_FRICTION)  # fmt: skip
        displacement = self.build.number("engine_displacement")[..., None]
        power = fuel.fuel_power(made.needed, displacement, made.engine_speed, *constants)
        return made.engine_speed, power / speed

    def at(self, speed: Array) -> Array:
        """Energy over a distance in the gear that holds each speed, NaN where none does. [J/m]"""
        place, found = self.place(speed)
        return np.where(found, self.in_gear(speed, place)[1], np.nan)

    def mix(self) -> Array:
        """Energy over a distance over the speeds of fuel_mix, by their shares of the distance. [J/m]"""
        points = self.build.number("fuel_mix")
        shares = points[..., 1]
        total = shares.cumsum(axis=-1)[..., -1]
        self.build.require(total > 0.0, "fuel_mix", "has no share above zero")
        used = np.where(shares > 0.0, self.at(points[..., 0]) * shares, 0.0)
        return np.asarray(used.cumsum(axis=-1)[..., -1] / total)

    def reading(self) -> Array:
        """What the model says of the owner's reading: at measured_at_speed, else over fuel_mix. [J/m]"""
        speed = self.build.known("measured_at_speed")
        return self.mix() if speed is None else self.at(speed[..., None])[..., 0]


def _by_speed(lost: Losses) -> Losses:
    return Losses(*(part[..., None, :] if part.ndim else part for part in lost))


def consumption_of(build: Build) -> Consumption | None:
    """The consumption of a build, None where the displacement of its engine is not known."""
    kind = build.word("engine_kind")
    if kind != "electric" and not build.given("engine_displacement"):
        return None
    return Consumption(
        build,
        engine_of(build),
        chain_of(build),
        resistance_of(build),
        kind == "electric",
        kind.startswith("diesel"),
    )


def scale_of(build: Build, made: Consumption) -> Array | None:
    """The owner's reading / what the model says of it, None without a reading of fuel. [-]"""
    economy, volume = (build.known(name) for name in MEASURED_FIELDS)
    if made.electric or (economy is None and volume is None):
        return None
    build.require(
        economy is None or volume is None,
        MEASURED_FIELDS[1],
        f"is told twice: leave out {MEASURED_FIELDS[0]}",
    )
    measured = volume if economy is None else 1.0 / economy
    assert measured is not None
    return np.asarray(measured * made.energy / made.reading())
