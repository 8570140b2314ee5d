"""In which stretches of axle ratio the targets of one build are met."""

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Window
from gearing_api.mechanics.domain import Array
from gearing_api.vehicle.targets import Target

Stretch = tuple[float, float]
TargetsAt = Callable[[Array], Sequence[Target]]
"""The targets of a build, with their figures at some axle ratios."""

_POINTS = 160
_ROUNDS, _PARTS = 4, 32
"""An edge is found to a millionth of the step between two points."""
_FRACTIONS = np.arange(_PARTS + 1) / _PARTS
_ROOM = 1.04
_LEAST_SPAN = 1.4


def ends_of(ratios: Iterable[float | None]) -> Stretch:
    """Lowest and highest axle ratio to look at, with some room around those known."""
    known = [ratio for ratio in ratios if ratio is not None and np.isfinite(ratio)]
    low, high = min(known) / _ROOM, max(known) * _ROOM
    widen = max(1.0, np.sqrt(_LEAST_SPAN * low / high).item())
    return low / widen, high * widen


def windows_of(
    targets_at: TargetsAt, judged: Sequence[bool], ends: Stretch, exact: Iterable[float | None]
) -> tuple[Window, ...]:
    """Each target with the stretches between two ends in which it is met.

    `exact` are ratios that are looked at besides even steps: candidates, and edges known beforehand. A stretch
    between two neighbours of these that meets the target, while both of them miss it, is not found.
    """
    low, high = ends
    inside = [ratio for ratio in exact if ratio is not None and low < ratio < high]
    grid = np.unique([*_steps(low, high, _POINTS), *inside])
    targets = targets_at(grid)
    if not targets:
        return ()
    changes = [np.flatnonzero(met[1:] != met[:-1]) for met in (target.met() for target in targets)]
    edges = _edges(targets_at, [(grid[places], grid[places + 1]) for places in changes])
    return tuple(
        Window(
            target.name,
            target.quantity,
            None if target.least is None else target.least.item(),
            None if target.most is None else target.most.item(),
            known,
            _stretches(bool(target.met()[0]), found, ends),
        )
        for target, known, found in zip(targets, judged, edges, strict=True)
    )


def _steps(low: float, high: float, count: int) -> Array:
    return np.asarray(np.geomspace(low, high, count))


def _edges(targets_at: TargetsAt, brackets: list[tuple[Array, Array]]) -> list[list[float]]:
    """Where each target begins or ceases to be met, from brackets of one change each; the side that meets it."""
    if not brackets:
        return []
    for _ in range(_ROUNDS):
        parts = [_within(low, high).reshape(-1) for low, high in brackets]
        ratios = np.concatenate(parts)
        if not ratios.size:
            return [[] for _ in brackets]
        starts = np.cumsum([0, *(len(part) for part in parts)])
        brackets = [
            _narrowed(part.reshape(-1, _PARTS + 1), target.met()[start:end].reshape(-1, _PARTS + 1))
            for part, target, (start, end) in zip(parts, targets_at(ratios), pairwise(starts), strict=True)
        ]
    ends = targets_at(np.concatenate([low for low, _ in brackets]))
    places = np.cumsum([0, *(len(low) for low, _ in brackets)])
    return [
        np.where(target.met()[start:end], low, high).tolist()
        for (low, high), target, (start, end) in zip(brackets, ends, pairwise(places), strict=True)
    ]


def _within(low: Array, high: Array) -> Array:
    """Each bracket in even steps; its ends stay as they are."""
    steps = low[:, None] + (high - low)[:, None] * _FRACTIONS
    steps[:, -1] = high
    return np.asarray(steps)


def _narrowed(ratios: Array, met: NDArray[np.bool_]) -> tuple[Array, Array]:
    """The first step of each bracket in which the target changes."""
    first = (met[:, 1:] != met[:, :-1]).argmax(axis=-1)
    rows = np.arange(len(first))
    return ratios[rows, first], ratios[rows, first + 1]


def _stretches(starts_met: bool, edges: list[float], ends: Stretch) -> tuple[Stretch, ...]:
    low, high = ends
    bounds = [*([low] if starts_met else []), *edges]
    if len(bounds) % 2:
        bounds.append(high)
    return tuple(zip(bounds[::2], bounds[1::2], strict=True))


def overlap(windows: Iterable[Window], ends: Stretch) -> tuple[Stretch, ...]:
    """Where every target that is judged is met; nothing where none is."""
    judged = [window.met for window in windows if window.judged]
    found: tuple[Stretch, ...] = (ends,) if judged else ()
    for met in judged:
        both = ((max(a, c), min(b, d)) for a, b in found for c, d in met)
        found = tuple((low, high) for low, high in both if low <= high)
    return found
