"""Soft edges of the windows of axle ratio: where most builds like this one meet a target, and where a few do."""

import numpy as np

from gearing_api.answer import Ruler, Window
from gearing_api.build import Build, MixedColumn
from gearing_api.mechanics.domain import Array, DomainError
from gearing_api.questions.regear import targets_over
from gearing_api.ranges.draws import drawn
from gearing_api.vocabulary import InvalidBuild

_POINTS = 96
_MOST, _FEW = 0.95, 0.05
_TAKE_LONG = ("target_overtaking_time", "target_fuel_change_percent")
"""Targets whose figures take too long to find for every draw: they keep their plain edges."""


def softened(ruler: Ruler, build: Build) -> Ruler:
    """The ruler with `sure` and `possible` of each target that can be judged by draws; as it is if none can."""
    ratios = np.geomspace(*ruler.searched, _POINTS)
    try:
        targets = targets_over(drawn(build.again().without(_TAKE_LONG)), ratios)
    except (InvalidBuild, DomainError, MixedColumn):
        return ruler
    met = {
        target.name: np.count_nonzero(np.atleast_2d(target.met()), axis=0) / len(np.atleast_2d(target.met()))
        for target in targets
    }
    return ruler._replace(
        windows=tuple(_soft(window, ratios, met.get(window.name)) for window in ruler.windows)
    )


def _soft(window: Window, ratios: Array, share: Array | None) -> Window:
    if share is None:
        return window
    plain = [edge for stretch in window.met for edge in stretch]
    sure, possible = (_above(ratios, share, least, plain) for least in (_MOST, _FEW))
    return window._replace(sure=sure, possible=possible)


def _above(ratios: Array, share: Array, least: float, plain: list[float]) -> tuple[tuple[float, float], ...]:
    """The stretches in which the share is at least so much; between two ratios it changes evenly.

    Where none becomes all between two ratios, the plain edge holds for all draws.
    """
    holds = share >= least
    edges = [] if not holds[0] else [float(ratios[0])]
    for place in np.flatnonzero(holds[1:] != holds[:-1]).tolist():
        low, high = float(ratios[place]), float(ratios[place + 1])
        rise = float(share[place + 1] - share[place])
        sharp = [edge for edge in plain if abs(rise) == 1.0 and low <= edge <= high]
        edges.append(sharp[0] if sharp else low + float(least - share[place]) / rise * (high - low))
    if holds[-1]:
        edges.append(float(ratios[-1]))
    return tuple(zip(edges[::2], edges[1::2], strict=True))
