"""What several questions read of the drivetrain in the same way."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearing_api import tables
from gearing_api.answer import Column, Source, column
from gearing_api.build import TEETH, Build
from gearing_api.mechanics.domain import Array

RATIO_FIELDS = (*TEETH, "hub_ratio", "transfer_ratios", "rolling_factor")
"""What questions about engine and road speed use beside tyre, axle and gears."""

SURFACES = Source(
    "adhesion of the surface",
    "published",
    "Second hand: Wong, Theory of Ground Vehicles, 2nd ed., p. 26, after Taborek; see /v1/tables/surfaces",
)

ADHESION_BAND = Source(
    "range of the adhesion of a surface: as printed, else 15 % below and above the one value printed",
    "common practice",
    "Judgement, no published source for the 15 %; climbing takes the low end, strength the high end",
)

End = Literal["low", "middle", "high"]
"""Low for climbing and stopping, high for strength, middle elsewhere."""

_ONE_VALUE: dict[End, float] = {"low": 0.85, "high": 1.15}
"""Of the one value printed."""


def _band(row: dict[str, tables.Cell]) -> dict[End, float]:
    """The ends of the adhesion of a row of the table of surfaces."""
    middle = float(str(row["adhesion"]))
    band: dict[End, float] = {"middle": middle}
    for end, factor in _ONE_VALUE.items():
        printed = row[f"adhesion_{end}"]
        band[end] = middle * factor if printed is None else float(str(printed))
    return band


_SURFACES = tables.table("surfaces")
_ADHESION = {str(row[0]): _band(dict(zip(_SURFACES.columns, row, strict=True))) for row in _SURFACES.rows}


def overall_ratio(build: Build, transfer_ratio: Array, gear_ratio: Array) -> Array:
    """Gearbox x transfer x axle x hub, of one gear in one range."""
    return build.number("axle_ratio") * build.number("hub_ratio") * transfer_ratio * gear_ratio


def overall_ratios(build: Build) -> Array:
    """The same of every gear in every range. Shape (..., ranges, gears)."""
    axle = build.number("axle_ratio") * build.number("hub_ratio")
    transfer, gears = build.number("transfer_ratios"), build.number("gear_ratios")
    return axle[..., None, None] * transfer[..., :, None] * gears[..., None, :]


def require_idle_below_redline(build: Build) -> None:
    """Refuse a build whose engine idles at or above its redline."""
    build.require(
        build.number("idle_speed") < build.number("redline_speed"),
        "redline_speed",
        "must be above idle_speed",
    )


def engine_torque(build: Build) -> Array | None:
    """The highest engine torque: as given, else the top of the curve given. [N m]"""
    if build.given("peak_torque"):
        return build.number("peak_torque")
    if build.given("torque_curve"):
        return np.asarray(build.number("torque_curve")[..., 1].max(axis=-1))
    if build.given("power_curve"):
        curve = build.number("power_curve")
        speed = np.maximum(curve[..., 0], build.number("idle_speed")[..., None])
        turns = speed > 0.0
        torque = np.where(turns, curve[..., 1] / np.where(turns, speed, 1.0), 0.0)
        return np.asarray(torque.max(axis=-1))
    return None


def engine_torque_known(build: Build) -> bool:
    """Whether the highest engine torque can be known."""
    return any(map(build.given, ("peak_torque", "torque_curve", "power_curve")))


def adhesion(build: Build, end: End = "middle") -> Array:
    """Return the friction coefficient of tyre on ground: exactly as given, else that end of the surface's range."""
    known = build.known("adhesion")
    if known is not None:
        return known
    surface = build.word("surface")
    value = _ADHESION[surface][end]
    return np.asarray(build.vary("adhesion", value, surface) if end == "middle" else value)


def gear_columns(build: Build) -> tuple[Column, ...]:
    """The first columns of a table with a row for each gear in each range, high range first."""
    gears, transfer = build.number("gear_ratios").tolist(), build.number("transfer_ratios").tolist()
    return (
        column("transfer_ratio", [ratio for ratio in transfer for _ in gears]),
        column("gear", list(range(1, len(gears) + 1)) * len(transfer)),
        column("gear_ratio", gears * len(transfer)),
    )


def place_of_highest(holds: NDArray[np.bool_], gears: int) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Place of the highest gear that holds, high range first, among all gears flattened, and whether one does."""
    places = np.arange(holds.shape[-1])
    order = places - places % gears + (gears - 1 - places % gears)
    first = np.argmax(holds[..., order], axis=-1)
    return np.asarray(order[first]), np.asarray(holds.any(axis=-1))


def in_range(build: Build, transfer_ratio: Array) -> str:
    """Return the range of a gear in words; nothing in high range."""
    ranges = build.number("transfer_ratios")
    if transfer_ratio == ranges[0]:
        return ""
    return " in low range" if len(ranges) == 2 else f" with {transfer_ratio:.3g} in the transfer case"
