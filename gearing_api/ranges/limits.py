"""Soft ends of the margins of an axle's parts: between what 9 in 10 builds like this one lie."""

from gearing_api.answer import Limit, Limits
from gearing_api.build import Build, MixedColumn
from gearing_api.mechanics.domain import Array, DomainError
from gearing_api.questions.axle_check import margins_over
from gearing_api.ranges.draws import drawn
from gearing_api.ranges.outcomes import point
from gearing_api.ranges.shapes import HIGH, LOW
from gearing_api.vocabulary import InvalidBuild


def softened_limits(limits: Limits, build: Build) -> Limits:
    """The same with the ends of each part's margin at the worst; as they are if draws cannot be judged."""
    try:
        margins = margins_over(drawn(build.again()))
    except (InvalidBuild, DomainError, MixedColumn):
        return limits
    return limits._replace(parts=tuple(_soft(part, margins.get(part.name)) for part in limits.parts))


def _soft(part: Limit, margins: Array | None) -> Limit:
    if margins is None or margins.ndim == 0:
        return part
    low, high = point(margins, LOW), point(margins, HIGH)
    return part._replace(ends=(low, high)) if low < high else part
