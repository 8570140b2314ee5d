"""Choices of a part: plain values of a field, or objects with a name, fields and sums. And the targets for them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.checkpoint import may_go_on
from gearing_api.mechanics.domain import Array
from gearing_api.questions import OWNERS
from gearing_api.units import System, Unreadable
from gearing_api.vehicle import targets
from gearing_api.vocabulary import ALL_FIELDS, RESULTS, FieldError, hint, nearest, pointer, unknown_field

MOST_HINTS = 5
"""Names for which the nearest known one is looked for, which takes time."""

LONGEST_NAME = 60
NAME = "name"
LARGEST_SUM = 1e9

_BOUNDS = ("least", "most")


@dataclass(frozen=True)
class Target:
    """Bounds on a result or a sum, in SI."""

    name: str
    least: float | None
    most: float | None

    def met(self, values: Array) -> NDArray[np.bool_]:
        """Mark the figures within the bounds; one that is not known is not."""
        return targets.met(values, *self.ends)

    def shortfall(self, values: Array, spread: float) -> Array:
        """Return by how much each figure misses the bounds, in parts of them. [-]"""
        return targets.shortfall(values, *self.ends, np.array(spread))

    @property
    def ends(self) -> tuple[Array | None, Array | None]:
        """The bounds as arrays."""
        return (
            None if self.least is None else np.array(self.least),
            None if self.most is None else np.array(self.most),
        )

    @property
    def has_bound_of_zero(self) -> bool:
        """Whether it is missed in parts of the spread of the figures."""
        return any(end is not None and targets.is_zero(end) for end in (self.least, self.most))


def is_name(name: object) -> bool:
    """Whether a part or a choice may be called so."""
    return isinstance(name, str) and name.strip() != "" and len(name) <= LONGEST_NAME and name.isprintable()


def are_bundles(choices: Sequence[Any]) -> bool:
    """Whether choices are objects with a name."""
    return any(isinstance(choice, dict) for choice in choices)


def fields_of(key: str, choices: Any) -> list[str]:
    """Return the fields that the choices of a key give, each once."""
    if not isinstance(choices, list):
        return []
    bundles = [choice for choice in choices if isinstance(choice, dict)]
    if not bundles:
        return [key] if key in ALL_FIELDS else []
    return list(dict.fromkeys(name for bundle in bundles for name in bundle if name in ALL_FIELDS))


def unfit_bundles(
    member: str, key: str, choices: list[Any], sums: Sequence[str], hints: Iterator[int]
) -> Iterator[FieldError]:
    """Yield why choices that are objects are refused."""
    seen: set[str] = set()
    for place, bundle in enumerate(choices):
        where = pointer(member, key, place)
        if place % 1_000 == 0:
            may_go_on()
        if not isinstance(bundle, dict):
            yield FieldError(
                key, "mixes plain values with objects: give each choice as an object", pointer=where
            )
            continue
        name = bundle.get(NAME)
        if not isinstance(name, str) or not is_name(name):
            detail = f"must have a {NAME} of 1 to {LONGEST_NAME} characters for each choice"
            yield FieldError(key, detail, name, where)
        elif name in seen:
            yield FieldError(key, f"has two choices of the name {name}", name, f"{where}/{NAME}")
        else:
            seen.add(name)
        for part, value in bundle.items():
            if part in sums:
                if type(value) not in (int, float) or not abs(value) <= LARGEST_SUM:
                    detail = "is a sum: it must be a number without a unit, at most 1,000,000,000"
                    yield FieldError(part, detail, value, where + pointer(part))
            elif part not in ALL_FIELDS and part != NAME:
                yield _unknown_part(part, sums, where, close=next(hints, None) is not None)


def _unknown_part(part: str, sums: Sequence[str], where: str, *, close: bool) -> FieldError:
    fault = unknown_field(part, close=close)
    sum_meant = nearest(part, sums) if close and sums else None
    neither = "is no field of a build and not one of sums"
    if sum_meant:
        detail = f"{neither}; the nearest is {sum_meant}"
    else:
        detail = fault.detail.replace("is no field of a build", neither, 1) if sums else fault.detail
    return FieldError(part, detail, pointer=where + pointer(part))


def chosen_twice(member: str, key: str, choices: Any, owners: dict[str, str]) -> Iterator[FieldError]:
    """Yield which fields of a key another one gives too; `owners` has the keys of the fields seen so far."""
    for name in fields_of(key, choices):
        if owners.setdefault(name, key) != key:
            detail = f"is chosen twice, in {owners[name]} and in {key}: put it into one"
            yield FieldError(name, detail, pointer=pointer(member, key))


def unnamed(member: str, asked: Mapping[str, Any], sums: Sequence[str]) -> Iterator[FieldError]:
    """Yield which names are no results that can be compared with a number."""
    if len(asked) > len(OWNERS):
        yield FieldError(member, f"has {len(asked)} names: all results are {len(OWNERS)}")
        return
    for place, name in enumerate(asked):
        where = pointer(member, name)
        if name in sums:
            continue
        if name not in OWNERS:
            near = hint(name, [*OWNERS, *sums] if place < MOST_HINTS else ())
            more = " and none of sums" if sums else ""
            yield FieldError(member, f"names no result of any question{more}{near}", name, where)
        elif RESULTS[name].quantity is None:
            yield FieldError(
                member, f"names {name}, which is a word: only numbers have {member}", name, where
            )


def read_targets(
    wanted: Mapping[str, Any], sums: Sequence[str], system: System
) -> tuple[tuple[Target, ...], list[FieldError]]:
    """Return the bounds read, and why others are refused."""
    found: list[Target] = []
    faults: list[FieldError] = []
    for name, bounds in wanted.items():
        if not isinstance(bounds, dict) or not bounds or bounds.keys() - set(_BOUNDS):
            detail = f"must have least, most or both for {name}, and nothing else"
            faults.append(FieldError("targets", detail, pointer=pointer("targets", name)))
            continue
        quantity = (None if name in sums else RESULTS[name].quantity) or units.NUMBER
        ends: dict[str, float] = {}
        for bound, value in bounds.items():
            try:
                ends[bound] = units.number(value, quantity, system)
            except Unreadable as error:
                got, where = str(value)[:LONGEST_NAME], pointer("targets", name, bound)
                faults.append(FieldError(name, f"{bound} {error}", got, where, error.use))
        least, most = (ends.get(bound) for bound in _BOUNDS)
        if least is not None and most is not None and least > most:
            faults.append(
                FieldError(name, "has a least that is above its most", pointer=pointer("targets", name))
            )
        found.append(Target(name, least, most))
    return tuple(found), faults
