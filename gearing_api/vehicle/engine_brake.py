"""What the engine, a converter or the electric motor of a build hold back downhill, in any gear."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Absent, Source, needs
from gearing_api.build import Build
from gearing_api.mechanics import engine_braking
from gearing_api.mechanics.domain import Array, beyond
from gearing_api.mechanics.engine_braking import Drag
from gearing_api.vehicle.drivetrain import engine_torque, engine_torque_known
from gearing_api.vehicle.engine import ENGINE_FIELDS, engine_needs, engine_of
from gearing_api.vehicle.gearbox import GEARBOX_FIELDS, converter_of, is_open

ENGINE_BRAKE_FIELDS = (
    *ENGINE_FIELDS,
    *GEARBOX_FIELDS,
    "engine_displacement",
    "driveline_efficiency",
    "battery_full",
)

HIGH_RANGE_EFFICIENCY, LOW_RANGE_EFFICIENCY = 0.85, 0.80
"""Wheels to crankshaft where driveline_efficiency is not given: common practice, no published source. [-]"""

DRAG = Source(
    "drag of a pushed petrol or diesel engine: 0.97 + 0.15 N + 0.05 N2 bar, N in 1000 rpm, 0.7 to 1.3 of it",
    "published",
    "Second hand: Barnes-Moss correlation (Heywood, ch. 13); the band from drag curves of a European Commission "
    "heavy-duty CO2 declaration tool and of an engine benchmarked by US EPA",
)
OVERRUN = Source(
    "in overrun the wheels drive the engine: force = drag x overall ratio / (efficiency x radius); efficiency 0.85, "
    "in low range 0.80, where it is not given",
    "common practice",
    "Balance of power; the efficiencies are common practice, no published source",
)
CONVERTER = Source(
    "open converter in overrun: generic characteristic, scaled by its stall speed and torque",
    "published",
    "European Commission heavy-duty CO2 declaration tool, generic converter of trucks",
)
REGENERATION = Source(
    "electric: share of the braking taken back, 0 at standstill, 0.5 at 10 mph, 0.8 from 60 mph",
    "published",
    "US national-laboratory vehicle simulator, data files: default",
)

_HALVINGS = 40


@dataclass(frozen=True)
class EngineBrake:
    """How one or all gears hold back; every array has its gears, or an axis of one, last.

    `gearing` is overall ratio / rolling radius, `drag` that of a combustion engine, `converter` the size of an open
    converter, None where it is locked or there is none, `motor` torque and power of an electric motor.
    """

    overall: Array
    gearing: Array
    efficiency: Array
    radius: Array
    idle: Array
    redline: Array
    drag: Drag | None = None
    converter: Array | None = None
    motor: tuple[Array, Array] | None = None

    def of_gear(self, place: NDArray[np.intp]) -> "EngineBrake":
        """The gear at that place alone, on an axis of one."""
        overall, efficiency, gearing = (
            np.take_along_axis(
                np.broadcast_to(part, (*np.shape(place), part.shape[-1])), place[..., None], axis=-1
            )
            for part in np.broadcast_arrays(self.overall, self.efficiency, self.gearing)
        )
        return replace(self, overall=overall, efficiency=efficiency, gearing=gearing)

    def engine_speed(self, road_speed: Array) -> Array:
        """Speed at which the engine turns. [rad/s]"""
        turning = road_speed * self.gearing
        if self.drag is None or self.converter is None:
            return turning
        turning = np.maximum(turning, _SLOWEST)
        return engine_braking.overrun_match(turning, self.drag, self.converter, self.idle).engine_speed

    def drag_force(self, drag: Drag, road_speed: Array) -> Array:
        """Force of a pushed engine at the wheels: nothing where the engine idles and pushes. [N]"""
        turning = road_speed * self.gearing
        if self.converter is None:
            pushed = ~beyond(self.idle, turning)
            torque = np.where(pushed, engine_braking.drag_torque(drag, turning), 0.0)
        else:
            turning = np.maximum(turning, _SLOWEST)
            torque = engine_braking.overrun_match(turning, drag, self.converter, self.idle).torque
        return engine_braking.overrun_force(torque, self.overall, self.efficiency, self.radius)

    def force(self, road_speed: Array, wanted: Array) -> Array:
        """Force that holds the vehicle back; a motor takes its share of the force wanted. [N]"""
        if self.drag is not None:
            return self.drag_force(self.drag, road_speed)
        share = engine_braking.regeneration_share(road_speed)
        return np.minimum(share * np.maximum(wanted, 0.0), self.motor_force(road_speed))

    def most_force(self, road_speed: Array) -> Array:
        """The same where as much is wanted as can be had. [N]"""
        if self.drag is not None:
            return self.drag_force(self.drag, road_speed)
        return engine_braking.regeneration_share(road_speed) * self.motor_force(road_speed)

    def motor_force(self, road_speed: Array) -> Array:
        """The most that the motor can hold back, by its torque and power. [N]"""
        assert self.motor is not None
        peak_torque, peak_power = self.motor
        torque = np.minimum(peak_torque, peak_power / np.maximum(road_speed * self.gearing, _SLOWEST))
        return engine_braking.overrun_force(torque, self.overall, self.efficiency, self.radius)

    def settling_speeds(
        self, factors: Sequence[float], constant: Array, linear: Array, square: Array
    ) -> Array:
        """Speeds at which slope, road load and so many times the drag balance, factors on the first axis. [m/s]

        At idle speed at least, -inf beyond the redline, NaN for a motor.
        """
        if self.drag is None:
            shape = np.broadcast_shapes(self.gearing.shape, constant.shape)
            return np.full((len(factors), *shape), np.nan)
        shape = np.broadcast_shapes(self.gearing.shape, constant.shape, self.drag.constant.shape)
        times = np.array(factors).reshape(-1, *(1 for _ in shape))
        drag = Drag(*(times * part for part in self.drag))
        slowest, fastest = self.idle / self.gearing, self.redline / self.gearing
        if self.converter is None:
            speed = engine_braking.settling_speed(
                drag, self.overall, self.efficiency, self.radius, constant, linear, square
            )
        else:
            speed = self._settling_open(drag, (slowest, fastest), (constant, linear, square))
        return np.where(beyond(speed, fastest), -np.inf, np.maximum(speed, slowest))

    def _settling_open(self, drag: Drag, ends: tuple[Array, Array], road: tuple[Array, ...]) -> Array:
        """The same through an open converter, found by halving; infinite where the redline does not hold it."""
        constant, linear, square = road

        def holds(speed: Array) -> NDArray[np.bool_]:
            force = self.drag_force(drag, speed) + constant + (linear + square * speed) * speed
            return np.asarray(force >= 0.0)

        low, high = np.broadcast_arrays(*ends, drag.constant, constant, square)[:2]
        held = holds(high)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            above = holds(middle)
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        return np.where(held, high, np.inf)


_SLOWEST = 1e-3
"""A turbine that stands still passes nothing; its speed ratio is kept finite. [rad/s]"""


def engine_brake_of(build: Build, overall: Array, low: NDArray[np.bool_]) -> EngineBrake | None:
    """How the build holds back in gears of these ratios, `low` where they are of a low range; None if not known."""
    efficiency = np.where(low, LOW_RANGE_EFFICIENCY, HIGH_RANGE_EFFICIENCY)
    if build.given("driveline_efficiency"):
        efficiency = build.number("driveline_efficiency")[..., None]
    if lacking(build):
        return None
    radius = build.tyre().rolling_radius[..., None]
    idle, redline = (build.number(name)[..., None] for name in ("idle_speed", "redline_speed"))
    brake = EngineBrake(overall, overall / radius, np.asarray(efficiency), radius, idle, redline)
    if build.word("engine_kind") == "electric":
        return replace(brake, motor=_motor(build))
    drag = Drag(
        *(part[..., None] for part in engine_braking.motoring_drag(build.number("engine_displacement")))
    )
    return replace(brake, drag=drag, converter=_open_converter(build))


def lacking(build: Build) -> tuple[str, ...]:
    """Fields without which it is not known what holds back."""
    if build.word("engine_kind") == "electric":
        torque = () if engine_torque_known(build) else ("peak_torque",)
        power = () if build.given("peak_power") else ("peak_power",)
        return () if build.word("battery_full") == "yes" else (*torque, *power)
    size = () if build.given("engine_displacement") else ("engine_displacement",)
    if not is_open(build) or engine_of(build) is not None:
        return size
    return (*size, *engine_needs(build))


def why_unknown(build: Build) -> Absent:
    """Why it is not known what holds back."""
    return needs(*lacking(build))


def _open_converter(build: Build) -> Array | None:
    """Size of an open converter: its torque when stalled against that of the generic one. [-]"""
    engine = engine_of(build) if is_open(build) else None
    fitted = None if engine is None else converter_of(build, engine)
    if fitted is None:
        return None
    return (fitted.converter.stalled_capacity / engine_braking.STALLED_CAPACITY)[..., None]


def _motor(build: Build) -> tuple[Array, Array]:
    """Torque and power with which the motor may hold back; none with a full battery."""
    if build.word("battery_full") == "yes":
        return np.zeros((1,)), np.zeros((1,))
    torque = engine_torque(build)
    assert torque is not None
    return torque[..., None], build.number("peak_power")[..., None]


Kind = Literal["engine", "motor"]


def kind_of(build: Build) -> Kind:
    """What holds back: a combustion engine or an electric motor."""
    return "motor" if build.word("engine_kind") == "electric" else "engine"


def sources_of(build: Build) -> tuple[Source, ...]:
    """What the model rests on."""
    if kind_of(build) == "motor":
        return (REGENERATION, OVERRUN)
    return (DRAG, OVERRUN, CONVERTER) if is_open(build) else (DRAG, OVERRUN)
