"""Makes the table of draws, `gearing_api/ranges/draws.npy`: scrambled Sobol points, a column a name.

    python -m pip install scipy==1.17.0
    python -m tests.ranges.make_draws

The tests do not run it, and the service has no need of scipy. A name keeps its column for ever: new
ones are added at the end. Far dimensions of a Sobol sequence go together in pairs as long as the points are few: such a
column is shuffled. Each number is kept to 16 bits; the draw is the middle of its step.
"""

from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

import gearing_api.ranges
from gearing_api.fields import Number
from gearing_api.ranges.drivers import ranked, shares_of
from gearing_api.vocabulary import FIELDS

SEED = 20260801
COUNT = 512
STEPS = 65536.0
MOST_ALIKE = 0.04
"""Largest share of the variance of one column that another may seem to explain, straight or by 16 bins."""

FIRST = (
    "tyre", "rolling_factor", "road_load", "peak_torque", "peak_power", "driveline_efficiency", "rolling_resistance",
    "inner_steel", "stub_steel", "mass_centre_height", "front_axle_share", "vehicle_mass", "surface", "drag_area",
    "idle_torque", "idle_speed", "redline_speed", "tube_yield", "vertical_stiffness", "adhesion",
)  # fmt: skip
"""Names that vary most often, or most: the first columns of the sequence are the most even."""

NAMES = [
    *FIRST,
    *(name for name, field in FIELDS.items() if isinstance(field.kind, Number) and name not in FIRST),
]


def _columns(names: list[str], kept: NDArray[Any] | None) -> NDArray[np.float64]:
    """Columns of the sequence, but for those kept; one that goes with any before it is shuffled until it does not.

    What is measured is what finds that which matters most: so no input seems to matter by the draws of another.
    """
    qmc = import_module("scipy.stats").qmc
    random = np.random.default_rng(SEED)
    points = qmc.Sobol(len(names), scramble=True, rng=random).random(COUNT)
    old = () if kept is None else kept.dtype.names
    for place, name in enumerate(names):
        column = points[:, place] if kept is None or name not in old else kept[name] / STEPS
        while place >= len(old) and place and _most_alike(points[:, :place], column) > MOST_ALIKE:
            column = random.permutation(column)
        points[:, place] = column
    return points


def _most_alike(earlier: NDArray[np.float64], column: NDArray[np.float64]) -> float:
    back = shares_of(column[None, :], [ranked(one) for one in earlier.T])
    return float(max(shares_of(earlier.T, [ranked(column)]).max(), back.max()))


def main() -> None:
    path = Path(gearing_api.ranges.__file__).with_name("draws.npy")
    kept = np.load(path) if path.exists() else None
    names = [*dict.fromkeys([*(kept.dtype.names if kept is not None else ()), *NAMES])]
    table = np.zeros(COUNT, dtype=[(name, "<u2") for name in names])
    for name, column in zip(names, _columns(names, kept).T, strict=True):
        table[name] = np.floor(column * STEPS).astype(np.uint16)
    np.save(path, table)


if __name__ == "__main__":
    main()
