"""What is wanted of a candidate, which candidates meet it, and the words for it."""

from collections.abc import Sequence
from itertools import compress
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.mechanics.domain import Array
from gearing_api.units import Quantity, System

# A ratio computed from a target meets it in spite of the last bit.
_SLACK = 1e-9


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


def meets(met: NDArray[np.intp], judged: int) -> NDArray[np.str_]:
    """Which of the targets judged candidates meet, by how many: all, some or none."""
    return np.where(met == judged, "all", np.where(met > 0, "some", "none"))


def reason(phrases: Sequence[str], met: Sequence[bool], missed: Sequence[bool], nearness: str) -> str:
    """One sentence on a candidate: what it meets, what it misses, how near it is to what is aimed at."""
    reached, short = ", ".join(compress(phrases, met)), ", ".join(compress(phrases, missed))
    if not short:
        return f"Meets {reached}{nearness}."
    if not reached:
        return f"Misses {short}{nearness}."
    return f"Meets {reached}; misses {short}{nearness}."
