"""How sure a shortlist is: the share of draws in which a row meets all and is best, and what choosing it may cost.

All rows share the draws of what they share, so that a row is compared with another draw by draw.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api.answer import Question
from gearing_api.batch.columns import reads
from gearing_api.batch.shortlist_plans import ShortlistPlan
from gearing_api.checkpoint import may_go_on
from gearing_api.mechanics.domain import Array, DomainError
from gearing_api.questions import OWNERS, read_build
from gearing_api.ranges.draws import COUNT
from gearing_api.ranges.outcomes import Outcomes, outcomes, point
from gearing_api.ranges.shapes import HIGH, LOW
from gearing_api.vocabulary import InvalidBuild

MOST_ROWS = 50
"""Rows of which draws are computed."""

_OFTEN_BEATEN = 0.9
SURE = 0.95
"""Share of draws from which a row is said to meet all; below 1 less this, not to."""


@dataclass(frozen=True)
class Drawn:
    """Some rows with their figures in every draw, in SI: by name, an array of rows x draws.

    A figure is NaN where it is not known, which meets no target and is the worst of all.
    """

    plan: ShortlistPlan
    rows: tuple[int, ...]
    figures: Mapping[str, Array]
    made: tuple[Mapping[str, Outcomes], ...]

    @property
    def met(self) -> NDArray[np.bool_]:
        """Mark the draws in which each row meets all targets."""
        found = np.ones((len(self.rows), COUNT), np.bool_)
        for target in self.plan.targets:
            found &= self.met_of(target.name)
        return found

    def met_of(self, name: str) -> NDArray[np.bool_]:
        """Mark the draws in which each row meets one target."""
        (target,) = (target for target in self.plan.targets if target.name == name)
        return target.met(self.figures[name])

    def best(self) -> NDArray[np.bool_]:
        """Mark the draws in which each row is the best of those that meet all: by the first aim, then the next."""
        found = self.met
        for name in self.plan.aims:
            wish = np.where(found, self._wish(name), np.inf)
            found &= wish <= wish.min(axis=0)
        return found

    def regret(self, name: str) -> Array:
        """Return for each row what its figure of an aim may lack against the best that meets all.

        In nine of ten draws it lacks no more; NaN where in that many draws nothing meets all. Nobody regrets to
        have a better one.
        """
        own = self._wish(name)
        best = np.where(self.met, own, np.inf).min(axis=0)
        with np.errstate(invalid="ignore"):
            lacking = np.where(np.isfinite(best), np.maximum(own - best, 0.0), np.nan)
        return np.array([point(each, _OFTEN_BEATEN) for each in lacking])

    def as_good(self, name: str, row: int, other: int) -> bool:
        """Whether two rows cannot be told apart in an aim: their difference may have either sign."""
        if row not in self.rows or other not in self.rows:
            return False
        one, two = (self.figures[name][self.rows.index(each)] for each in (row, other))
        with np.errstate(invalid="ignore"):
            difference = one - two
        if not np.isfinite(difference).all():
            return False
        return bool(point(difference, LOW) <= 0.0 <= point(difference, HIGH))

    def ends(self, row: int) -> dict[str, tuple[float, float]]:
        """Return the 5 and 95 % points of the results of a row that vary."""
        made = self.made[self.rows.index(row)]
        found = {name: each.ends(name) for name, each in made.items()}
        return {name: ends for name, ends in found.items() if ends[0] != ends[1]}

    def depends_on(self, row: int) -> list[tuple[str, float]]:
        """Return the inputs that decide most about the target that a row misses in most draws."""
        place = self.rows.index(row)
        made = self.made[place]
        met = {name: np.count_nonzero(self.met_of(name)[place]) for name in made if name in self._targets}
        name = min(met, key=lambda each: met[each], default="")
        if not name or met[name] == COUNT:
            return []
        (drivers,) = made[name].drivers_of([made[name].results[name]])
        return drivers

    @property
    def _targets(self) -> set[str]:
        return {target.name for target in self.plan.targets}

    def _wish(self, name: str) -> Array:
        """The figures of an aim, the least the best, the unknown the worst."""
        wish = self.figures[name] * (1.0 if self.plan.aims[name] == "low" else -1.0)
        return np.where(np.isnan(wish), np.inf, wish)


def drawn_rows(plan: ShortlistPlan, rows: Sequence[int]) -> Drawn:
    """Draw the builds of some rows; a question is asked once about rows that are alike in what it reads."""
    known: dict[tuple[object, ...], Outcomes] = {}
    made: list[dict[str, Outcomes]] = []
    figures = {name: np.full((len(rows), COUNT), np.nan) for name in plan.named}
    for place, row in enumerate(rows):
        chosen = plan.chosen(row)
        for name in plan.named:
            if name in plan.sums:
                figures[name][place] = sum(float(key.sums[name][at]) for key, at in chosen)
        raw = plan.raw(row)
        found: dict[str, Outcomes] = {}
        for question in plan.questions:
            alike = (
                question.name,
                *(at for key, at in chosen if any(reads(question, name) for name in key.pools)),
            )
            if alike not in known:
                may_go_on()
                known[alike] = _outcomes(plan, question, raw)
            for name in plan.results:
                if OWNERS[name] is question:
                    found[name] = known[alike]
                    figures[name][place] = known[alike].results[name]
        made.append(found)
    return Drawn(plan, tuple(rows), figures, tuple(made))


def _outcomes(plan: ShortlistPlan, question: Question, raw: Mapping[str, Any]) -> Outcomes:
    wanted = [name for name in plan.results if OWNERS[name] is question]
    try:
        build = read_build({name: value for name, value in raw.items() if reads(question, name)}, plan.system)
        return outcomes(question, build, wanted)
    except (InvalidBuild, DomainError):
        return Outcomes({name: np.full(COUNT, np.nan) for name in wanted})
