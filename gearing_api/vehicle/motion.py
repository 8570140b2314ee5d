"""How a build gains speed at full load: the gears, when they are changed, and runs from speed to speed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import Caution, Source, note
from gearing_api.build import Build
from gearing_api.mechanics import converters, gearing, losses, motion
from gearing_api.mechanics.domain import Array, along, beyond
from gearing_api.mechanics.losses import Losses
from gearing_api.mechanics.motion import Run
from gearing_api.vehicle.engine import ENGINE_FIELDS, Engine, engine_of, power_available
from gearing_api.vehicle.gearbox import (
    LOSS_FIELDS,
    FittedConverter,
    converter_of,
    driving_ratios,
    gearbox_kind,
    is_open,
    losses_of,
)
from gearing_api.vehicle.loads import train_mass
from gearing_api.vehicle.resistance import RESISTANCE_FIELDS, Resistance, resistance_of

MOTION_FIELDS = (
    *ENGINE_FIELDS,
    *LOSS_FIELDS,
    "engine_displacement",
    "shift_time",
    "altitude",
    *RESISTANCE_FIELDS,
)
"""What a run is read from, beside tyre, ratios and mass."""

OVERTAKING_FIELDS = ("overtaken_speed", "overtaken_length")

HEADROOM = 20.0 * units.SPEED.factor("us")
"""How much faster than the other vehicle it becomes in overtaking: 20 mph. [m/s]"""

INERTIA = Source(
    "what turns faster counts as mass: engine by displacement and fuel, four wheels by the tyre's size",
    "published",
    "European Commission JRC, light-duty CO2 model, defaults of 2022; wheels: a national laboratory's vehicle table",
)
SHIFTS = Source(
    "a shift takes 0.95 s without drive, 0.4 s in an automatic gearbox, and what it loses is gained again",
    "published",
    "0.95 s: European Commission JRC, light-duty CO2 model; 0.4 s: common practice, no published source",
)

SHIFT_TIMES = {"manual": 0.95, "automatic": 0.4, "cvt": 0.0, "single-speed": 0.0}
"""Time without drive where it is not given, by kind of gearbox. [s]"""

_USUAL_DISPLACEMENT = 3e-3
"""Where it is not given; it decides only the engine's inertia. [m3]"""

_DISPLACEMENT_ASSUMED = note(
    "engine-inertia-assumed",
    "The engine's inertia is that of 3 litres: give the engine's displacement (engine_displacement) for a better one.",
)

_STEPS = 8
"""Steps of speed in each gear."""

_TRIED = np.arange(12) / 11.0 * 0.45 + 0.55
"""Engine speeds tried for an upshift, in parts of the highest."""

_SLACK = 1e-9
_STILL = 1e-3
_HALVINGS = 5
_MIDDLES = np.arange(_STEPS) + 0.5
_AT_FIRST = (np.arange(_STEPS) == 0).astype(np.float64)
_FIRST = np.zeros(1, np.intp)


@dataclass(frozen=True)
class Motion:
    """A build at full load. Gears are the last axis of what goes by gear; a cvt is one gear of many ratios."""

    engine: Engine
    resistance: Resistance
    overall: Array
    losses: Losses
    mass: Array
    """Of the train. [kg]"""
    rolling: Array
    """Rolling resistance on the level, but for what a coast-down holds. [N]"""
    inertia: tuple[Array, Array]
    """Of the engine and of the wheels. [kg m2]"""
    radius: Array
    lowest: Array
    """Engine speed below which the clutch slips. [rad/s]"""
    highest: Array
    grip: Array
    """Force that the driven tyres hold on the level. [N]"""
    converter: FittedConverter | None
    slipping: int
    """In how many gears, from the first, a converter slips."""
    best: Array | None
    """Engine speed of the highest power, of a cvt alone. [rad/s]"""
    pause: Array
    """Of a shift. [s]"""
    cautions: tuple[Caution, ...] = ()

    @property
    def gears(self) -> int:
        """How many gears it shifts through."""
        return 1 if self.best is not None else self.overall.shape[-1]

    def upshifts(self) -> Array:
        """Road speed up to which each gear is used: to the highest engine speed, or to where the next pulls more."""
        if self.best is not None:
            return gearing.road_speed(self.highest[..., None], self.overall[..., -1:], self.radius[..., None])
        last = gearing.road_speed(self.highest[..., None], self.overall, self.radius[..., None])
        if self.gears == 1:
            return last
        turning = self.highest[..., None, None] * _TRIED
        step = (self.overall[..., 1:] / self.overall[..., :-1])[..., None]
        now, after = self._arriving(turning, 0), self._arriving(turning * step, 1)
        least = now * (1.0 + _SLACK)
        gain, better = after - least, after > least
        place = np.argmax(better, axis=-1)[..., None]
        before = np.maximum(place - 1, 0)
        high, low = along(gain, place)[..., 0], along(gain, before)[..., 0]
        between = place[..., 0] > 0
        part = np.where(between, high / np.where(between, high - low, 1.0), 0.0)
        share = _TRIED[place[..., 0]] - part * (_TRIED[1] - _TRIED[0])
        used = np.where(better.any(axis=-1), share, 1.0) * last[..., :-1]
        fastest = np.broadcast_to(last[..., -1:], (*used.shape[:-1], 1))
        return np.maximum.accumulate(np.concatenate([used, fastest], axis=-1), axis=-1)

    def _arriving(self, turning: Array, first: int) -> Array:
        """Power at the wheels of all gears but one at those engine speeds. Shape (..., gears - 1, speeds)."""
        flat = turning.reshape(*turning.shape[:-2], -1)
        power = power_available(self.engine, flat)
        power = power.reshape(*power.shape[:-1], *turning.shape[-2:])
        end = self.overall.shape[-1] - 1 + first
        lost = (
            part[..., first:end, None] if part.shape[-1:] == self.overall.shape[-1:] else _deep(part)
            for part in self.losses
        )
        return losses.arriving_power(Losses(*lost), power, turning)

    def pull(self, speed: Array, place: NDArray[np.intp]) -> Array:
        """Force at the wheels at speeds on the last axis, each in its gear, whatever the grip. [N]"""
        overall, lost = self._of_places(place) if self.best is None else self._of_ratio(speed)
        turning = gearing.engine_speed(speed, overall, self.radius[..., None])
        running = np.maximum(turning, self.lowest[..., None])
        power = np.where(
            beyond(turning, self.highest[..., None]),
            0.0,
            power_available(self.engine, np.minimum(running, self.highest[..., None])),
        )
        torque = lost.efficiency * power / running - lost.constant - lost.linear * turning
        drive = torque * overall / self.radius[..., None]
        slipping = np.flatnonzero(place < self.slipping)
        if slipping.size:
            turning, overall, *parts = (
                part[..., slipping] if part.shape[-1:] == place.shape else part
                for part in (turning, overall, *lost)
            )
            slips = self._through_converter(turning, overall, Losses(*parts))
            builds = np.broadcast_shapes(drive.shape[:-1], slips.shape[:-1])
            drive = np.array(np.broadcast_to(drive, (*builds, drive.shape[-1])))
            drive[..., slipping] = np.where(power[..., slipping] > 0.0, slips, drive[..., slipping])
        return np.maximum(drive, 0.0)

    def _of_places(self, place: NDArray[np.intp]) -> tuple[Array, Losses]:
        lost = (
            part[..., place] if part.shape[-1:] == self.overall.shape[-1:] else part for part in self.losses
        )
        return self.overall[..., place], Losses(*lost)

    def _of_ratio(self, speed: Array) -> tuple[Array, Losses]:
        """The ratio of a cvt that brings the engine nearest to its highest power."""
        assert self.best is not None
        wanted = self.best[..., None] * self.radius[..., None] / np.maximum(speed, _STILL)
        overall = np.minimum(np.maximum(wanted, self.overall[..., -1:]), self.overall[..., :1])
        efficiency, constant, linear = self.losses
        if constant.shape[-1:] != self.overall.shape[-1:]:
            return overall, self.losses
        # What the axle loses goes with its torque and speed at the pinion: with 1/ratio, and with its square.
        turns, ends = 1.0 / overall, 1.0 / self.overall
        constant, linear = (
            _on_the_line(turns, ends, constant),
            _on_the_line(turns * turns, ends * ends, linear),
        )
        return overall, Losses(efficiency[..., :1], constant, linear)

    def _through_converter(self, turning: Array, overall: Array, lost: Losses) -> Array:
        """Force with the converter slipping: where the engine's torque is the pump's, found by halving and a line."""
        assert self.converter is not None
        made = self.converter.converter
        made = made._replace(
            stalled_capacity=made.stalled_capacity[..., None], torque_ratios=made.torque_ratios[..., None, :]
        )

        def surplus(speed: Array) -> Array:
            taken = converters.capacity_at(made, turning / speed) * (speed * speed * speed)
            return power_available(self.engine, speed) - taken

        low = np.maximum(turning, self.lowest[..., None])
        high = np.broadcast_to(self.highest[..., None], low.shape)
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            above = surplus(middle) >= 0.0
            low, high = np.where(above, middle, low), np.where(above, high, middle)
        left, right = surplus(low), surplus(high)
        part = np.where(left > right, left / np.where(left > right, left - right, 1.0), 1.0)
        low = low + (high - low) * np.minimum(np.maximum(part, 0.0), 1.0)
        ratio = np.minimum(turning / low, 1.0)
        handed = converters.torque_ratio_at(made, ratio) * (converters.capacity_at(made, ratio) * (low * low))
        torque = lost.efficiency * handed - lost.constant - lost.linear * turning
        return np.asarray(torque * overall / self.radius[..., None])

    def runs(self, ends: Sequence[tuple[Array, Array]], upshifts: Array) -> tuple[list[Run], Array]:
        """From speed to speed, shifting on the way, and the pull at the moment of starting, whatever the grip.

        All runs are computed at once.
        """
        nothing = np.zeros((*np.shape(upshifts)[:-1], 1))
        from_shift = np.concatenate([nothing, upshifts[..., :-1]], axis=-1)
        to_shift = np.concatenate([upshifts[..., :-1], nothing + np.inf], axis=-1)
        steps, shifts, points = [], [], []
        for start, end in ends:
            first = np.maximum(start[..., None], from_shift)
            step = np.maximum(np.minimum(end[..., None], to_shift) - first, 0.0) / _STEPS
            steps.append(step)
            shifts.append(first > start[..., None])
            middle = first[..., None] + step[..., None] * _MIDDLES
            points.append(middle.reshape(*middle.shape[:-2], -1))
        place = np.repeat(np.arange(self.gears), _STEPS)
        places = np.concatenate([*[place] * len(points), _FIRST])
        alike = np.broadcast_arrays(*points)
        whole = np.concatenate([*alike, np.zeros((*alike[0].shape[:-1], 1))], axis=-1)
        pull = self.pull(whole, places)
        acceleration, against = self._free(whole, places, pull)
        made, count = [], place.size
        for at, ((start, _), step, shift) in enumerate(zip(ends, steps, shifts, strict=True)):
            part = slice(at * count, (at + 1) * count)
            pause = np.where(shift, self.pause[..., None], 0.0)[..., None] * _AT_FIRST
            made.append(
                motion.run(
                    start,
                    np.repeat(step, _STEPS, axis=-1),
                    acceleration[..., part],
                    pause.reshape(*pause.shape[:-2], -1),
                    against[..., part],
                )
            )
        return made, pull[..., -1]

    def acceleration(self, speed: Array, place: NDArray[np.intp]) -> Array:
        """At full load on the level. [m/s2]"""
        return self._free(speed, place, self.pull(speed, place))[0]

    def _free(self, speed: Array, place: NDArray[np.intp], pull: Array) -> tuple[Array, Array]:
        """Acceleration, and what resists in parts of the force that is left. [m/s2, -]"""
        resists = self.resistance.level_force(speed) + self.rolling[..., None]
        free = np.minimum(pull, self.grip[..., None]) - resists
        rises = free > 0.0
        return free / self._mass(speed, place), np.where(rises, resists / np.where(rises, free, 1.0), 0.0)

    def _mass(self, speed: Array, place: NDArray[np.intp]) -> Array:
        """With what turns: the engine only where it is tied to the wheels."""
        overall, _ = self._of_places(place) if self.best is None else self._of_ratio(speed)
        turning = gearing.engine_speed(speed, overall, self.radius[..., None])
        tied = (turning >= self.lowest[..., None]) & (place >= self.slipping)
        engine, wheels = self.inertia
        return motion.effective_mass(
            self.mass[..., None],
            np.where(tied, engine[..., None], 0.0),
            overall,
            wheels[..., None],
            self.radius[..., None],
        )


def _on_the_line(at: Array, known: Array, values: Array) -> Array:
    """On the line through the first and the last of known places."""
    first, last = known[..., :1], known[..., -1:]
    return values[..., :1] + (values[..., -1:] - values[..., :1]) * ((at - first) / (last - first))


def _deep(part: Array) -> Array:
    return part[..., None] if part.ndim else part


def motion_of(build: Build, grip: Array) -> Motion | None:
    """The build at full load in the first of its ranges, None where its engine is not known; `grip` in N."""
    engine = engine_of(build)
    if engine is None:
        return None
    kind, gears, transfer = (
        gearbox_kind(build),
        driving_ratios(build),
        build.number("transfer_ratios")[..., :1],
    )
    overall = (build.number("axle_ratio") * build.number("hub_ratio"))[..., None] * transfer * gears
    radius = build.tyre().rolling_radius
    converter = converter_of(build, engine)
    inertia, cautions = _inertia(build)
    last = np.minimum(build.number("redline_speed"), engine.full_load.ends[..., 0, -1])
    lowest = np.maximum(build.number("idle_speed"), engine.full_load.starts[..., 0, 0])
    if converter is not None:
        cautions = (*cautions, *converter.cautions)
    resistance = resistance_of(build)
    return Motion(
        engine=engine,
        resistance=_on_points(resistance),
        overall=overall,
        losses=losses_of(build, gears, transfer),
        mass=train_mass(build),
        rolling=resistance.weight_force(train_mass(build), np.zeros(())),
        inertia=(inertia, motion.wheel_inertia(radius)),
        radius=radius,
        lowest=np.minimum(np.maximum(lowest, _STILL * last), last),
        highest=last,
        grip=grip,
        converter=converter,
        slipping=0 if converter is None else gears.shape[-1] if is_open(build) else 1,
        best=_best_speed(build) if kind == "cvt" else None,
        pause=_pause(build, kind),
        cautions=cautions,
    )


def _on_points(resistance: Resistance) -> Resistance:
    """With an axis of one where speeds stand."""
    parts = {name: getattr(resistance, name)[..., None] for name in ("constant", "linear", "square")}
    return resistance._replace(**parts)


def _inertia(build: Build) -> tuple[Array, tuple[Caution, ...]]:
    if build.word("engine_kind") == "electric":
        return motion.engine_inertia(0.0), ()
    diesel = build.word("engine_kind").startswith("diesel")
    displacement = build.known("engine_displacement")
    if displacement is not None:
        return motion.engine_inertia(displacement, diesel), ()
    build.assume("engine_displacement", usual := np.asarray(_USUAL_DISPLACEMENT))
    return motion.engine_inertia(usual, diesel), (_DISPLACEMENT_ASSUMED,)


def _pause(build: Build, kind: str) -> Array:
    pause = build.known("shift_time")
    if pause is None:
        build.assume("shift_time", pause := np.asarray(build.vary("shift_time", SHIFT_TIMES[kind])))
    return pause


def _best_speed(build: Build) -> Array:
    """Engine speed of the highest power. [rad/s]"""
    for name in ("torque_curve", "power_curve"):
        if build.given(name):
            curve = build.number(name)
            power = curve[..., 1] * (curve[..., 0] if name == "torque_curve" else 1.0)
            best = np.argmax(power, axis=-1)[..., None]
            return np.asarray(np.take_along_axis(curve[..., 0], best, axis=-1)[..., 0])
    if build.given("peak_power_speed"):
        return build.number("peak_power_speed")
    return build.number("redline_speed")


def overtaking_ends(build: Build, upshifts: Array) -> tuple[Array, Array]:
    """Speeds from and to which it gains speed in overtaking, no faster than top gear turns. [m/s]"""
    other = build.number("overtaken_speed")
    return other, np.asarray(np.minimum(other + HEADROOM, upshifts[..., -1]))
