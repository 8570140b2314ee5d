"""What matters most: the share of a result's variance that each input explains, from the draws that are there."""

import numpy as np

from gearing_api.mechanics.domain import Array

LEAST_SHARE = 0.05
"""Of the variance: an input that explains less is not told. Estimates of 512 draws are out by 0.02 or so."""

BINS = 16
"""In which an effect that bends is looked for."""


def shares_of(results: Array, drawn: Array) -> Array:
    """Share of the variance of each result that one input explains.

    The squared correlation with the rank of the input; where the means of 16 bins of the input tell clearly
    more, as of an effect that rises and falls again, what they tell.

    Parameters
    ----------
    results : array
        Draws on the first axis, results on the second; finite.
    drawn : array
        The draws of the input, by rank or any function that rises with it.
    """
    spread = results - results.mean(axis=0)
    variance = np.square(spread).mean(axis=0)
    moves = variance > 0.0
    order = np.argsort(drawn, kind="stable")
    count = len(order)
    ranks = np.empty(count)
    ranks[order] = np.arange(count) - 0.5 * (count - 1)
    per_variance = np.where(moves, 1.0 / np.where(moves, variance, 1.0), 0.0)
    straight = np.square((spread * ranks[:, None]).mean(axis=0)) / np.square(ranks).mean() * per_variance
    return np.asarray(np.maximum(straight, _by_bins(spread[order], per_variance)))


def _by_bins(spread: Array, per_variance: Array) -> Array:
    """The same from the means of bins, less what chance alone makes of them; 0 where it is not clearly more."""
    count = len(spread)
    if count < 4 * BINS:
        return np.zeros(spread.shape[1])
    starts = np.arange(BINS) * count // BINS
    sizes = np.diff(starts, append=count)[:, None]
    means = np.add.reduceat(spread, starts, axis=0) / sizes
    share = (np.square(means) * sizes).sum(axis=0) / count * per_variance
    chance = (BINS - 1.0) / (count - 1.0)
    return np.asarray((share - chance) / (1.0 - chance))
