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
        return met(self.values, *self._ends())

    def judge(self) -> "Judgement":
        """Which candidates meet it, whether they differ in it, and how far each misses it."""
        met, across = self.met(), spread(self.values)
        varies = self._varies(across)
        missed = _missed(self.values, *self._ends(), across[..., None])
        return Judgement(met, varies, np.where(varies[..., None] & ~met, missed, 0.0))

    def _ends(self) -> tuple[Array | None, Array | None]:
        """The bounds of each build, beside the candidates."""
        return (
            None if self.least is None else self.least[..., None],
            None if self.most is None else self.most[..., None],
        )

    def _varies(self, across: Array) -> NDArray[np.bool_]:
        if self.values.shape[-1] == 1:
            return np.ones(self.values.shape[:-1], np.bool_)
        known = np.isfinite(self.values)
        return np.asarray(~known.all(axis=-1) | (across > _SLACK * np.abs(self.values).max(axis=-1)))

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


class Judgement(NamedTuple):
    """Which candidates meet a target, on the last axis, and how far each misses it, in parts of the bound.

    `varies` tells whether the candidates of each build differ in it, or there is but one: else no choice changes
    it, and none counts as missing it.
    """

    met: NDArray[np.bool_]
    varies: NDArray[np.bool_]
    shortfall: Array


def met(values: Array, least: Array | None, most: Array | None) -> NDArray[np.bool_]:
    """Which of the figures lie within the bounds; one that is not known does not."""
    above = least is None or values >= least * (1.0 - np.copysign(_SLACK, least))
    below = most is None or values <= most * (1.0 + np.copysign(_SLACK, most))
    return np.asarray(above & below & ~np.isnan(values))


def shortfall(values: Array, least: Array | None, most: Array | None, spread: Array) -> Array:
    """How far each figure misses its bounds, in parts of the bound; 0 where met, +inf where not known.

    Where the bound is 0 the spread of all figures takes its place. [-]
    """
    return np.where(met(values, least, most), 0.0, _missed(values, least, most, spread))


def _missed(values: Array, least: Array | None, most: Array | None, spread: Array) -> Array:
    """The same for figures that are not met."""
    short = np.zeros(values.shape)
    for end, sign in ((least, 1.0), (most, -1.0)):
        if end is not None:
            part = np.where(np.abs(end) > _NONE, np.abs(end), np.where(spread > 0.0, spread, 1.0))
            short = np.maximum(short, sign * (end - values) / part)
    return np.where(np.isnan(values), np.inf, short)


def is_zero(bound: float) -> bool:
    """Whether a bound counts as 0."""
    return abs(bound) <= _NONE


def spread(values: Array) -> Array:
    """Largest less smallest of the finite figures on the last axis, 0 where there are none."""
    known = np.isfinite(values)
    found = np.where(known, values, -np.inf).max(axis=-1) - np.where(known, values, np.inf).min(axis=-1)
    return np.asarray(np.maximum(found, 0.0))


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
