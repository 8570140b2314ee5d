"""What matters most: the share of a result's variance that each input explains, from the draws that are there."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearing_api.mechanics.domain import Array

LEAST_SHARE = 0.05
"""Of the variance: an input that explains less is not told. Estimates of 512 draws are out by 0.02 or so."""

BINS = 16
"""In which an effect that bends is looked for."""


class Ranked(NamedTuple):
    """The draws of an input: their order from the least, and their ranks about the middle, scaled to unit length."""

    order: NDArray[np.intp]
    ranks: Array


def ranked(draws: Array) -> Ranked:
    """Put the draws of an input in order."""
    order = np.argsort(draws, kind="stable")
    ranks = np.empty(draws.size)
    ranks[order] = np.arange(draws.size) - 0.5 * (draws.size - 1)
    return Ranked(order, ranks / np.sqrt(np.square(ranks).sum()))


def shares_of(results: Array, inputs: Sequence[Ranked]) -> Array:
    """Share of the variance of each result that each input explains.

    The squared correlation with the rank of the input; where the means of 16 bins of the input tell more, as of an
    effect that rises and falls again, what they tell.

    Parameters
    ----------
    results : array
        Results on the first axis, draws on the second; finite.
    inputs : sequence
        The inputs, each with as many draws.

    Returns
    -------
    array
        Inputs on the first axis, results on the second; 0 for a result that does not vary.
    """
    spread = results - results.mean(axis=1)[:, None]
    squares = np.square(spread).sum(axis=1)
    moves = squares > 0.0
    per_square = np.where(moves, 1.0 / np.where(moves, squares, 1.0), 0.0)
    straight = np.square(np.einsum("rn,in->ir", spread, np.array([each.ranks for each in inputs])))
    return np.asarray(np.maximum(straight, _by_bins(spread, squares, inputs)) * per_square)


def _by_bins(spread: Array, squares: Array, inputs: Sequence[Ranked]) -> Array:
    """Sum of the squares between the means of 16 bins of each input, less what chance alone makes of it."""
    count = spread.shape[1]
    if count < 4 * BINS:
        return np.zeros((len(inputs), len(spread)))
    starts = np.arange(BINS) * count // BINS
    orders = np.array([each.order for each in inputs])
    sums = np.add.reduceat(spread[:, orders], starts, axis=-1)
    between = (np.square(sums) / np.diff(starts, append=count)).sum(axis=-1).T
    chance = (BINS - 1.0) / (count - 1.0)
    return np.asarray((between - chance * squares) / (1.0 - chance))
