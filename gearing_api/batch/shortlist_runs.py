"""Rank a shortlist of any size, block by block, on this machine or on a Dask cluster."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from gearing_api import __version__
from gearing_api.batch.shortlist_plans import ShortlistPlan, read_shortlist
from gearing_api.batch.shortlists import Ranking, Spreads, joined, ranking
from gearing_api.batch.workers import WorkError, in_processes, on_cluster

BLOCK = 100_000
"""Combinations of a block."""


@dataclass(frozen=True)
class ShortlistRun:
    """A plan as JSON, and how many combinations are computed at a time.

    Raises
    ------
    InvalidBuild
        When the plan is read, if it is refused.
    """

    text: str
    size: int = BLOCK
    spreads: Spreads | None = None
    version: str = __version__

    @property
    def plan(self) -> ShortlistPlan:
        """The plan, read."""
        return _plan(self.text)

    @property
    def blocks(self) -> range:
        """The numbers of the blocks."""
        return range(-(-self.plan.count // self.size))

    def rows(self, block: int) -> int:
        """Return how many combinations a block has."""
        return min(self.size, self.plan.count - block * self.size)

    def compute(self, block: int) -> Ranking:
        """Rank the combinations of one block: a pure function, so that any worker may repeat it.

        Raises
        ------
        WorkError
            If the worker has another version, whose numbers may differ.
        """
        if self.version != __version__:
            raise WorkError(
                f"a worker has version {__version__}, this is {self.version}: install one version"
            )
        start = block * self.size
        return ranking(self.plan, start, start + self.rows(block), spreads=self.spreads)

    def run(self, workers: int = 1, scheduler: str | None = None) -> Iterator[tuple[int, Ranking]]:
        """Rank all combinations; yield after each block how many it had, and what is known so far.

        Where none meets all targets and a bound is 0, a second pass is needed: shortfalls are then in parts of
        the spread of all combinations, which only the first has found.

        Raises
        ------
        WorkError
            If the run lost its workers.
        """
        whole: Ranking | None = None
        for rows, whole in self._pass(workers, scheduler):
            yield rows, whole
        if whole is not None and self.spreads is None and _needs_spreads(whole) and len(self.blocks) > 1:
            again = ShortlistRun(self.text, self.size, whole.spreads)
            yield from ((0, found) for _, found in again._pass(workers, scheduler))

    def _pass(self, workers: int, scheduler: str | None) -> Iterator[tuple[int, Ranking]]:
        if scheduler is None:
            finished = in_processes(self.compute, self.blocks, workers)
        else:
            finished = on_cluster(self.compute, self.blocks, scheduler)
        whole: Ranking | None = None
        for block, found in finished:
            whole = found if whole is None else joined(whole, found)
            yield self.rows(block), whole


def _needs_spreads(ranked: Ranking) -> bool:
    return ranked.missing and any(target.has_bound_of_zero for target in ranked.plan.targets)


@lru_cache(maxsize=4)
def _plan(text: str) -> ShortlistPlan:
    return read_shortlist(json.loads(text))
