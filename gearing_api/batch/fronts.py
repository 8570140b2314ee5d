"""Find the rows that no other row beats, and the order of the rows that miss a target."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.checkpoint import may_go_on

_BITS = np.uint64(1) << np.arange(64, dtype=np.uint64)


def unbeaten(criteria: Sequence[NDArray[Any]], count: int) -> NDArray[np.bool_]:
    """Mark the rows for which no other row is at least as good in every criterion and better in one.

    Equal rows do not beat each other. The least value of each criterion is the best.

    Parameters
    ----------
    criteria : sequence of (rows,)
        Numbers, none of them NaN; infinities are as good or bad as they say.
    """
    if not criteria or not count:
        return np.ones(count, np.bool_)
    ranks = [_ranks(values) for values in criteria]
    order = np.lexsort(ranks)
    changes = np.any([np.diff(rank[order]) != 0 for rank in ranks], axis=0)
    firsts = order[np.concatenate(([True], changes))]
    found = np.empty(count, np.bool_)
    found[order] = _unbeaten([rank[firsts] for rank in ranks])[np.concatenate(([0], np.cumsum(changes)))]
    return found


def _unbeaten(ranks: Sequence[NDArray[np.int64]]) -> NDArray[np.bool_]:
    """Mark the rows that no other beats; no two are equal.

    Sixty-four rows at a time are held against all that are left, a bit for each: those that are at least as
    good in one criterion are found in a table by the rank of the other row. A row of a greater sum beats none.
    """
    found = np.zeros(ranks[0].size, np.bool_)
    left = np.argsort(np.cumsum(ranks, axis=0)[-1], kind="stable")
    while left.size:
        may_go_on()
        some = left[: _BITS.size]
        bits = _BITS[: some.size]
        beaten_by = np.full(left.size, ~np.uint64(0))
        for rank in ranks:
            table = np.zeros(rank.max() + 1, np.uint64)
            np.bitwise_or.at(table, rank[some], bits)
            beaten_by &= np.bitwise_or.accumulate(table)[rank[left]]
        beaten_by[: some.size] &= ~bits
        fine = beaten_by == 0
        found[some[fine[: some.size]]] = True
        left = left[some.size :][fine[some.size :]]
    return found


def _ranks(values: NDArray[Any]) -> NDArray[np.int64]:
    """Return the place of each value among the distinct ones: ranks can be added, infinities cannot."""
    return np.unique(values, return_inverse=True)[1].reshape(-1).astype(np.int64)


def in_order(keys: Sequence[NDArray[Any]], count: int) -> NDArray[np.intp]:
    """Return the rows with the least first key first, those alike by the next key; otherwise as they came."""
    return np.lexsort([*reversed(keys)]) if keys else np.arange(count)
