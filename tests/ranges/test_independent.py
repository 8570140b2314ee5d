"""The ranges of the demo build beside a draw of another kind: 20,000 builds by numpy's random generator.

Sampling, bounds of the triangles and ends are done here on their own; the table of spreads and the questions are
those of the service.
"""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from gearing_api import tables
from gearing_api.build import Build
from gearing_api.mechanics.domain import Array
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.ranges.bands import bands_of
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vehicle.demo_truck import TRUCK

COUNT = 20_000
LBF, MPH = 4.4482216152605, 0.44704


class RandomDraws:
    """What varies, by pseudo-random numbers: one row of numbers for each name, or each name and part."""

    def __init__(self) -> None:
        self._random = np.random.default_rng(7)
        self._known: dict[object, Array] = {}
        table = tables.table("spreads")
        rows = (dict(zip(table.columns, row, strict=True)) for row in table.rows)
        self._rows = {(row["field"], row["when"]): row for row in rows}

    def vary(self, name: str, value: Any, when: str = "", part: float | None = None) -> Any:
        row = self._rows.get((name, when)) or self._rows.get((name, None))
        if row is None or row["shape"] == "rows":
            return value
        key = (name, when, part if row["draws"] == "part" else None)
        if key not in self._known:
            self._known[key] = 1.0 + 0.01 * self._sample(row)
        return value * self._known[key]

    def _sample(self, row: dict[str, Any]) -> Array:
        low, high = float(row["low"]), float(row["high"])
        if row["shape"] == "uniform":
            more = (high - low) / 18.0
            return self._random.uniform(low - more, high + more, COUNT)
        if row["shape"] == "normal":
            return self._random.normal(0.5 * (low + high), (high - low) / 3.289707, COUNT)
        first, last = bounds(low, float(row["mode"]), high)
        return self._random.triangular(first, float(row["mode"]), last, COUNT)

    def road_load(self) -> tuple[Array, Array, Array]:
        if "rows" not in self._known:
            table = tables.table("coast-down")
            weight, a, b, c = (np.array(table.column(name), float) for name in ("test_weight", "a", "b", "c"))
            rows = np.stack([a / weight, b / weight / MPH, c * LBF / MPH**2 / 1.167])
            self._known["rows"] = rows[:, self._random.integers(0, weight.size, COUNT)]
        first, second, third = self._known["rows"]
        return first, second, third

    def fitted_road_load(self, fitted: Array, covariance: Array) -> Array:
        raise AssertionError("the demo build has no coast-down of its own")


def bounds(low: float, mode: float, high: float) -> tuple[float, float]:
    """Ends of the triangle of which 5 % lie below `low` and 5 % above `high`, by halving on its width."""
    least, most = high - low, 20.0 * (high - low)
    for _ in range(100):
        width = 0.5 * (least + most)
        # below low: (low - a)^2 = 0.05 width (mode - a), with x = low - a
        first, last = (
            0.5 * (0.05 * width + math.sqrt((0.05 * width) ** 2 + 0.2 * width * gap))
            for gap in (mode - low, high - mode)
        )
        least, most = (width, most) if first + last + high - low > width else (least, width)
    return low - first, high + last


def drawn(build: Build) -> Build:
    """The demo build with its printed figures drawn, as 20,000 builds."""
    draws = RandomDraws()
    values: dict[str, Any] = dict(build.values)
    for name, value in values.items():
        if isinstance(value, TyreSize):
            diameter: Any = draws.vary(
                "tyre", np.float64(value.diameter), value.form, hash(value.designation)
            )
            values[name] = replace(value, diameter=diameter)
        if name in ("peak_torque", "peak_power"):
            values[name] = draws.vary(name, value)
    return build.with_draws(values, draws)


@pytest.mark.parametrize(
    ("question", "result"),
    [("axle-check", "weakest_margin"), ("axle-check", "weakest_usual_margin"), ("axle-check", "tyre_limit"),
     ("axle-check", "strength_change_percent"), ("cruise", "power_needed"), ("cruise", "top_speed_on_grade"),
     ("crawl", "crawl_tractive_force")],
)  # fmt: skip
def test_ranges_are_those_of_random_draws(question: str, result: str) -> None:
    """Within 3 % of the width of the range, as 512 draws are good for; the hull with the plain answer left out."""
    asked = QUESTIONS[question]
    fields = {name: value for name, value in TRUCK.items() if name in asked.fields}
    build = read_build(fields | ({"grade_percent": 3} if question == "cruise" else {}))
    found = bands_of(asked, build, ask(asked, build)).outcomes.ends(result)
    answer = ask(asked, drawn(read_build(fields | ({"grade_percent": 3} if question == "cruise" else {}))))
    columns = answer.ranges.get(result, (answer.result[result],) * 2)
    low, high = (
        float(np.quantile(np.asarray(column), share))
        for column, share in zip(columns, (0.05, 0.95), strict=True)
    )
    print(f"{question} {result}: {found[0]:.5g} to {found[1]:.5g}, random {low:.5g} to {high:.5g}")
    assert found == pytest.approx((low, high), abs=0.03 * (high - low))
