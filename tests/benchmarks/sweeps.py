"""A million builds through three questions, as a ratio to bare numpy expressions of the same formulas.

Run it on demand: ``python -m tests.benchmarks.sweeps``. Both sides work in the same blocks, in one process,
turn by turn; the median of the ratios of CPU time counts. The bare side is given its inputs as SI arrays and
checks nothing; this side also draws each build's values from the plan, checks every argument, keeps cautions
and converts units. The results of both are compared first. Then the peak memory of sweeps of one and of ten
million builds, each in a process of its own.
"""

import math
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.batch.comparison_plans import BLOCK, read_plan
from gearing_api.batch.comparisons import blocks
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import RESULTS

Columns = dict[str, NDArray[Any]]

ROUNDS = 7
ASKED = ("road-speed", "crawl", "ring-gear-load")
TYRES = [f"{place / 2} in" for place in range(60, 80)]
GEARS = [4.46, 2.61, 1.72, 1.25, 1.0, 0.84]
VARY: dict[str, list[Any]] = {
    "tyre": TYRES,
    "axle_ratio": [3 + place / 10 for place in range(25)],
    "transfer_ratios": [[1, 2 + place / 5] for place in range(10)],
    "vehicle_mass": list(range(2000, 3000, 100)),
    "peak_torque": list(range(300, 400, 10)),
    "ring_gear_diameter": [200, 220],
}
BUILD = {
    "gear_ratios": GEARS,
    "adhesion": 0.68,
    "rolling_resistance": 0.015,
    "driveline_efficiency": 0.9,
    "front_axle_share": 0.5,
}


def plan(asked: tuple[str, ...], vary: dict[str, list[Any]] = VARY) -> Any:
    """Every result of these questions that the bare side has too, for each combination."""
    report = list(bare(asked, {name: values[:1] for name, values in inputs().items()}))
    return read_plan({"build": BUILD, "vary": vary, "report": report, "units": "metric"})


def inputs() -> Columns:
    """The varied fields of every build, in SI."""
    diameters = np.array([float(size.split()[0]) * 0.0254 for size in TYRES])
    fields = {
        "diameter": diameters,
        "axle": np.array(VARY["axle_ratio"]),
        "transfer": np.array(VARY["transfer_ratios"], dtype=float),
        "mass": np.array(VARY["vehicle_mass"], dtype=float),
        "torque": np.array(VARY["peak_torque"], dtype=float),
        "ring": np.array(VARY["ring_gear_diameter"]) / 1000.0,
    }
    shape = tuple(len(values) for values in fields.values())
    places = np.unravel_index(np.arange(math.prod(shape)), shape)
    return {
        name: np.asfortranarray(values[place])  # as good a layout as on the other side
        for (name, values), place in zip(fields.items(), places, strict=True)
    }


RPM = 2.0 * np.pi / 60.0
IDLE, REDLINE, CRUISE, EFFICIENCY, F, MU, G = 700 * RPM, 5000 * RPM, 65 * 0.44704, 0.9, 0.015, 0.68, 9.80665


def road_speed(b: Columns) -> Columns:
    """The three scalars, SI."""
    radius = 3.05 * b["diameter"] / (2.0 * np.pi)
    top = b["axle"] * b["transfer"][:, 0] * GEARS[-1]
    return {
        "speed_per_1000": 1000.0 * RPM * radius / top,
        "top_speed": REDLINE * radius / top,
        "cruise_engine_speed": CRUISE * top / radius,
    }


def crawl(b: Columns) -> Columns:
    """All results, SI."""
    radius = 3.05 * b["diameter"] / (2.0 * np.pi)
    lowest = b["axle"] * b["transfer"].max(axis=1) * GEARS[0]
    wheel = b["torque"] * lowest * EFFICIENCY
    force = wheel / radius
    sine = np.clip(force / (G * b["mass"] * math.sqrt(1.0 + F * F)), -1.0, 1.0)
    grade = np.minimum(np.tan(np.arcsin(sine) - math.atan(F)), 10.0)
    return {
        "crawl_ratio": lowest,
        "crawl_speed": IDLE * radius / lowest,
        "crawl_wheel_torque": wheel,
        "crawl_tractive_force": force,
        "grip_force": MU * b["mass"] * G,
        "engine_grade_percent": np.where(grade >= 10.0, np.inf, grade),
        "grip_grade_percent": np.full(len(radius), MU - F),
        "climbable_grade_percent": np.minimum(grade, MU - F),
        "crawl_limited_by": np.where(grade < MU - F, "engine", "grip").astype(object),
    }


def ring_gear_load(b: Columns) -> Columns:
    """All results, SI."""
    radius = 3.05 * b["diameter"] / (2.0 * np.pi)
    ratio, ring = b["axle"], b["ring"]
    unit = b["torque"] * b["transfer"].max(axis=1) * GEARS[0] * EFFICIENCY
    engine, grip = unit * ratio, 0.5 * b["mass"] * G * MU * radius
    torque = np.minimum(engine, grip)
    cone, face = np.arctan(1.0 / ratio), 0.155 * ring
    mean = ring - face * np.cos(cone)
    force = 2.0 * torque / mean
    pressure, spiral, flank = math.radians(20.0), math.radians(35.0), FLANK
    sine, cosine = np.sin(cone), np.cos(cone)
    along = force / math.cos(spiral)
    side = 1.3 if flank < 0.0 else 1.0
    size, usual = ring / 0.013, ring / 0.010
    capacity = size * size * size / side
    geometry = (mean / ring) ** 2 * math.sin(2.0 * pressure) * cosine / (4.0 * math.cos(spiral) ** 2)
    return {
        "engine_limited_torque": engine,
        "grip_limited_torque": grip,
        "ring_gear_torque": torque,
        "ring_gear_limited_by": np.where(engine < grip, "engine", "grip").astype(object),
        "pinion_torque": torque / ratio,
        "ring_mean_diameter": mean,
        "tangential_force": force,
        "pinion_axial_force": along * (math.tan(pressure) * sine + flank * math.sin(spiral) * cosine),
        "pinion_radial_force": along * (math.tan(pressure) * cosine - flank * math.sin(spiral) * sine),
        "unit_load": 2.0 * torque / ring / face,
        "contact_stress": 232_600.0
        * np.sqrt(2.0 * torque / ratio * 1.1 / (face * geometry))
        / (ring / ratio),
        "ring_gear_capacity": capacity,
        "ring_gear_margin": capacity / torque,
        "ring_gear_usual_margin": usual * usual * usual / side / torque,
        "ring_gear_load_index": torque / np.minimum(unit * ratio, grip),
    }


FLANK = -1.0
BARE: dict[str, Callable[[Columns], Columns]] = {
    "road-speed": road_speed,
    "crawl": crawl,
    "ring-gear-load": ring_gear_load,
}


def bare(asked: tuple[str, ...], builds: Columns) -> Columns:
    """The same results by expressions alone."""
    made: Columns = {}
    for name in asked:
        made |= BARE[name](builds)
    return made


def compare(asked: tuple[str, ...], builds: Columns) -> None:
    """Both sides give the same."""
    whole = plan(asked)
    for start, block in zip(range(0, whole.count, BLOCK), blocks(whole), strict=True):
        expected = bare(asked, {name: values[start : start + BLOCK] for name, values in builds.items()})
        assert not block.faults
        assert set(expected) == set(block.columns) - set(VARY), set(expected) ^ set(block.columns)
        for name, values in expected.items():
            quantity = RESULTS[name].quantity
            if quantity is None:
                assert values.tolist() == block.columns[name].tolist(), name
            else:
                np.testing.assert_allclose(
                    block.columns[name] * quantity.factor("metric"), values, 1e-9, err_msg=name
                )


def seconds(work: Callable[[], None]) -> float:
    """CPU time."""
    before = time.process_time()
    work()
    return time.process_time() - before


def main() -> None:
    """Print the ratios and the memory."""
    builds = inputs()
    count = len(builds["axle"])
    for asked in (*((name,) for name in ASKED), ASKED):
        compare(asked, builds)
        whole = plan(asked)

        def ours(whole: Any = whole) -> None:
            for _ in blocks(whole):
                pass

        def theirs(asked: tuple[str, ...] = asked) -> None:
            for start in range(0, count, BLOCK):
                bare(asked, {name: values[start : start + BLOCK] for name, values in builds.items()})

        rounds = [(seconds(ours), seconds(theirs)) for _ in range(ROUNDS + 1)][1:]
        ratio = statistics.median(one / other for one, other in rounds)
        one, other = (statistics.median(times) for times in zip(*rounds, strict=True))
        print(f"{' + '.join(asked):36} {one:.3f} s, bare numpy {other:.3f} s: {ratio:.2f} x")
    for times in (1, 10):
        command = [sys.executable, "-m", __spec__.name, str(times)]
        peak = subprocess.run(command, check=True, capture_output=True, text=True).stdout
        print(f"peak memory of a sweep of {times} million builds: {peak.strip()} MB")


def peak_memory(times: int) -> None:
    """Sweep so many million builds and print the most memory this process has had."""
    for _ in blocks(plan(ASKED, VARY | {"idle_speed": list(range(600, 600 + times))})):
        pass
    print(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f}")


if __name__ == "__main__":
    assert set(ASKED) <= set(QUESTIONS)
    peak_memory(int(sys.argv[1])) if len(sys.argv) > 1 else main()
