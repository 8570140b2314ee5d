"""What is wanted of a candidate, which candidates meet it, and the words for it."""

from collections.abc import Sequence
from itertools import compress
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.mechanics.domain import Array
from gearing_api.units import Quantity, System

# A ratio computed from a target meets it in spite of the last bit.
_SLACK = 1e-9
_NONE = 1e-6
"""A bound up to here counts as 0: shortfalls in parts of it would be beyond every other."""


class Target(NamedTuple):
    """A figure of each candidate, on the last axis, and the bounds wanted of it."""

    name: str
    quantity: Quantity
    digits: int
    values: Array
    least: Array | None = None
    most: Array | None = None

    def met(self) -> NDArray[np.bool_]:
        """Which candidates meet it; one whose figure is not known does not."""
        above = self.least is None or self.values >= (self.least * (1.0 - _SLACK))[..., None]
        below = self.most is None or self.values <= (self.most * (1.0 + _SLACK))[..., None]
        return np.asarray(above & below)

    def shortfall(self) -> Array:
        """How far each candidate misses it, in parts of the bound; 0 where it is met, +inf where not known.

        Where the bound is 0 the spread of the candidates' figures takes its place. [-]
        """
        spread = _spread(self.values)
        short = np.zeros(self.values.shape)
        for end, sign in ((self.least, 1.0), (self.most, -1.0)):
            if end is not None:
                part = np.where(np.abs(end) > _NONE, np.abs(end), np.where(spread > 0.0, spread, 1.0))[
                    ..., None
                ]
                short = np.maximum(short, sign * (end[..., None] - self.values) / part)
        unmet = np.where(np.isnan(self.values), np.inf, short)
        return np.asarray(np.where(self.met(), 0.0, unmet))

    def varies(self) -> NDArray[np.bool_]:
        """Whether the candidates of each build differ in it, or there is but one: else no choice changes it."""
        if self.values.shape[-1] == 1:
            return np.ones(self.values.shape[:-1], np.bool_)
        known = np.isfinite(self.values)
        return np.asarray(
            ~known.all(axis=-1) | (_spread(self.values) > _SLACK * np.abs(self.values).max(axis=-1))
        )

    def phrases(self, order: NDArray[np.intp], system: System) -> list[str]:
        """Name, figure and bounds for each candidate of one build, in that order."""
        factor, unit = self.quantity.factor(system), self.quantity.unit(system)
        wanted = " to ".join(
            f"{end.item() / factor:.{self.digits}f}" for end in (self.least, self.most) if end is not None
        )
        if self.most is None or self.least is None:
            wanted += " or less" if self.least is None else " or more"
        phrase = f"{self.name} %.{self.digits}f {unit.replace('%', '%%')}".rstrip() + f" ({wanted})"
        unknown = f"{self.name} not known ({wanted})"
        values = (self.values[order] / factor).tolist()
        return [phrase % value if value == value else unknown for value in values]


def _spread(values: Array) -> Array:
    """Largest less smallest of the finite figures, 0 where there are none."""
    known = np.isfinite(values)
    spread = np.where(known, values, -np.inf).max(axis=-1) - np.where(known, values, np.inf).min(axis=-1)
    return np.asarray(np.where(spread > 0.0, spread, 0.0))


def meets(met: NDArray[Any], judged: NDArray[Any] | int) -> NDArray[np.str_]:
    """Which of the targets judged candidates meet, by how many: all, some or none."""
    return np.where(met == judged, "all", np.where(met > 0, "some", "none"))


def reason(phrases: Sequence[str], met: Sequence[bool], missed: Sequence[bool], nearness: str) -> str:
    """One sentence on a candidate: what it meets, what it misses, how near it is to what is aimed at."""
    reached, short = ", ".join(compress(phrases, met)), ", ".join(compress(phrases, missed))
    if not short:
        return f"Meets {reached}{nearness}." if reached else f"Nothing to judge{nearness}."
    if not reached:
        return f"Misses {short}{nearness}."
    return f"Meets {reached}; misses {short}{nearness}."
