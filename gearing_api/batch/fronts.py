"""Find the rows that no other row beats, and the order of the rows that miss a target."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.checkpoint import may_go_on

_BETWEEN_CHECKS = 50


def unbeaten(criteria: Sequence[NDArray[Any]], count: int) -> NDArray[np.bool_]:
    """Mark the rows for which no other row is at least as good in every criterion and better in one.

    Equal rows do not beat each other. The least value of each criterion is the best.

    Parameters
    ----------
    criteria : sequence of (rows,)
        Numbers, none of them NaN; infinities are as good or bad as they say.
    """
    found = np.zeros(count, np.bool_)
    if not criteria or not count:
        return ~found
    ranks = [_ranks(values) for values in criteria]
    order = np.argsort(np.cumsum(ranks, axis=0)[-1], kind="stable")
    ranks = [rank[order] for rank in ranks]
    checked = 0
    while order.size:
        if checked % _BETWEEN_CHECKS == 0:
            may_go_on()
        checked += 1
        better, twin = np.zeros(order.size, np.bool_), np.ones(order.size, np.bool_)
        for rank in ranks:
            better |= rank < rank[0]
            twin &= rank == rank[0]
        found[order[twin]] = True
        order = order[better]
        ranks = [rank[better] for rank in ranks]
    return found


def _ranks(values: NDArray[Any]) -> NDArray[np.int64]:
    """Return the place of each value among the distinct ones: ranks can be added, infinities cannot."""
    return np.unique(values, return_inverse=True)[1].reshape(-1).astype(np.int64)


def in_order(keys: Sequence[NDArray[Any]], count: int) -> NDArray[np.intp]:
    """Return the rows with the least first key first, those alike by the next key; otherwise as they came."""
    return np.lexsort([*reversed(keys)]) if keys else np.arange(count)
