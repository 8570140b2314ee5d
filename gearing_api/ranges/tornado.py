"""What each input alone does to a result: at its 5 and 95 % points, all others plain; the longest bar first."""

from typing import NamedTuple

import numpy as np

from gearing_api.answer import Question
from gearing_api.build import Build
from gearing_api.fields import Number
from gearing_api.ranges.draws import Drawn, model_of, plain_name
from gearing_api.ranges.outcomes import outcomes, outcomes_at_ends
from gearing_api.tyre_sizes import TyreSize
from gearing_api.vocabulary import ALL_FIELDS


class Bar(NamedTuple):
    """One input: what it is at its two ends, in words; the result there, in SI, NaN where it has none."""

    field: str
    at: tuple[str, str]
    result: tuple[float, float]

    @property
    def swing(self) -> float:
        """How far the result moves; infinite where it has no value at an end."""
        return abs(self.result[1] - self.result[0]) if np.isfinite(self.result).all() else np.inf


def tornado(question: Question, build: Build, name: str) -> list[Bar]:
    """The bars of a number of the answer, also with original_ or change_ in front; only of inputs that move it."""
    inputs = sorted(outcomes(question, build, [name]).drawn, key=str)
    if not inputs:
        return []
    made, at = outcomes_at_ends(question, build, inputs, [name])
    low, high = made.results[name].reshape(-1, 2).T.tolist()
    bars = [
        Bar(_field(build, drawn), _words(build, drawn, at.get(drawn)), ends)
        for drawn, ends in zip(inputs, zip(low, high, strict=True), strict=True)
    ]
    moving = [bar for bar in bars if bar.swing > _ROUNDING * max(map(abs, bar.result))]
    return sorted(moving, key=lambda bar: (-bar.swing, bar.field))


_ROUNDING = 1e-9


def _field(build: Build, drawn: Drawn) -> str:
    """The field that an input stands for; of tyres that of this size."""
    name, part = drawn
    for field, value in build.values.items():
        if part is not None and isinstance(value, TyreSize) and model_of(value) == part and name == "tyre":
            return field
    return name


def _words(build: Build, drawn: Drawn, at: tuple[float, float] | None) -> tuple[str, str]:
    """The ends in words: in units of a range given, else in percent of the plain value."""
    name = drawn[0]
    if at is None:
        return "low", "high"
    if any(plain_name(field) == name for field in build.between):
        kind = ALL_FIELDS[name].kind
        assert isinstance(kind, Number)
        low, high = (build.say(end, kind.quantity, 3) for end in at)
        return low, high
    low, high = map(_percent, at)
    return low, high


def _percent(factor: float) -> str:
    percent = 100.0 * (factor - 1.0)
    return f"{abs(percent):.3g} % {'more' if percent > 0.0 else 'less'}" if round(percent, 6) else "plain"
