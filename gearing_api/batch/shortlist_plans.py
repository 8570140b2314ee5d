"""Read the plan of a shortlist: the parts to choose among, what they cost, the targets and the aims."""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from gearing_api import units
from gearing_api.answer import Question
from gearing_api.batch.columns import Pool, read_value
from gearing_api.batch.comparisons import MOST_COMBINATIONS, MOST_HINTS
from gearing_api.build import is_known
from gearing_api.checkpoint import may_go_on
from gearing_api.formats.options import OutputOptions
from gearing_api.questions import OWNERS, needed
from gearing_api.units import SYSTEMS, Quantity, System, Unreadable
from gearing_api.vehicle import targets
from gearing_api.vocabulary import (
    ALL_FIELDS,
    RESULTS,
    FieldError,
    InvalidBuild,
    hint,
    nearest,
    pointer,
    unknown_field,
    with_originals_named,
)

Aim = Literal["low", "high"]
Convert = Callable[[Any], Any]

AIMS: tuple[Aim, ...] = ("low", "high")
MOST_AIMS = 4
MOST_SUMS = 10
MOST_SHOWN = 1_000
LONGEST_NAME = 60
NAME = "name"
LARGEST_SUM = 1e9
COSTLY = frozenset(("acceleration", "fuel", "regear"))
"""Questions that take so long that fewer combinations are answered at a time."""

_MEMBERS = ("build", "among", "sums", "targets", "aims", "show", "units")
_BOUNDS = ("least", "most")
_SHOWN = 10


@dataclass(frozen=True)
class Key:
    """One part to choose: its choices as they came, the fields they give, and what each of them costs.

    `labels` name the choices, `raw` are their fields before they were read. `lacking` has, by choice, the fields
    that others of the key give and it does not.
    """

    name: str
    choices: Sequence[Any]
    labels: Sequence[str]
    raw: Sequence[Mapping[str, Any]]
    pools: Mapping[str, Pool]
    sums: Mapping[str, NDArray[np.float64]]
    lacking: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Target:
    """Bounds on a result or a sum, in SI."""

    name: str
    least: float | None
    most: float | None

    @property
    def has_bound_of_zero(self) -> bool:
        """Whether it is missed in parts of the spread of the figures."""
        return any(end is not None and targets.is_zero(end) for end in (self.least, self.most))


@dataclass(frozen=True)
class ShortlistPlan:
    """What to choose among, and by what: the targets are limits, the aims are preferences."""

    system: System
    build: Mapping[str, Pool]
    raw_build: Mapping[str, Any]
    keys: tuple[Key, ...]
    sums: tuple[str, ...]
    targets: tuple[Target, ...]
    aims: Mapping[str, Aim]
    show: int

    @property
    def shape(self) -> tuple[int, ...]:
        """How many choices each key has."""
        return tuple(len(key.choices) for key in self.keys)

    @property
    def count(self) -> int:
        """How many combinations there are."""
        return math.prod(self.shape)

    def chosen(self, row: int) -> list[tuple[Key, int]]:
        """Each key with the place of its choice in a combination."""
        places = [int(place) for place in np.unravel_index(row, self.shape)]
        return list(zip(self.keys, places, strict=True))

    def raw(self, row: int) -> dict[str, Any]:
        """The fields of a combination before they were read."""
        fields = dict(self.raw_build)
        for key, place in self.chosen(row):
            fields |= key.raw[place]
        return fields

    @cached_property
    def named(self) -> tuple[str, ...]:
        """The results and sums that have a target or an aim, each once."""
        return tuple(dict.fromkeys((*(target.name for target in self.targets), *self.aims)))

    @property
    def results(self) -> tuple[str, ...]:
        """Those of the names that are results."""
        return tuple(name for name in self.named if name not in self.sums)

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        """The questions that own these results."""
        return tuple({OWNERS[name].name: OWNERS[name] for name in self.results}.values())

    @property
    def costly(self) -> list[str]:
        """Those of the questions that take long."""
        return [question.name for question in self.questions if question.name in COSTLY]

    def quantity(self, name: str) -> Quantity:
        """The quantity of a result; sums are plain numbers."""
        found = None if name in self.sums else RESULTS[name].quantity
        return found or units.NUMBER


def read_shortlist(raw: Mapping[str, Any], as_read: Convert = lambda value: value) -> ShortlistPlan:
    """Read a plan from its wire form; `as_read` turns a value as it came into one that can be read.

    Raises
    ------
    InvalidBuild
        If a member is missing or not known, or a name or bound is refused. A refused value of a choice costs
        only the rows with it, unless no choice of a key is left.
    """
    _refuse(_misshapen(raw))
    build = with_originals_named(raw["build"], "/build")
    among, sums = raw["among"], raw.get("sums", [])
    system: System = raw.get("units", "us")
    _refuse([*_unfit_sums(sums), *_unknown(build)])
    _refuse(_unfit_among(among, sums))
    wanted, aims = raw.get("targets", {}), raw.get("aims", {})
    faults = [*_unnamed("targets", wanted, sums), *_unnamed("aims", aims, sums)]
    faults += [*_unfit_aims(aims), *_unranked(wanted, aims, sums), *_unfit_show(raw.get("show", _SHOWN))]
    _refuse(faults)
    bounds, faults = _targets(as_read(wanted), sums, system)
    pools = {
        name: Pool([read_value(name, as_read(value), system, pointer("build", name))])
        for name, value in build.items()
    }
    faults += [fault for pool in pools.values() for fault in pool.faults.values()]
    keys = tuple(_key(name, choices, sums, pools, system, as_read) for name, choices in among.items())
    faults += [fault for key in keys for fault in _all_refused(key)]
    plan = ShortlistPlan(
        system,
        pools,
        {name: as_read(value) for name, value in build.items()},
        keys,
        tuple(sums),
        bounds,
        aims or dict.fromkeys(sums[:MOST_AIMS], "low"),
        raw.get("show", _SHOWN),
    )
    _refuse([*faults, *_unmet(plan)])
    return plan


def _refuse(faults: Iterable[FieldError]) -> None:
    found = list(faults)
    if found:
        raise InvalidBuild(found)


def _misshapen(raw: Mapping[str, Any]) -> Iterator[FieldError]:
    for name in raw:
        if name not in _MEMBERS:
            known = ", ".join(_MEMBERS)
            yield FieldError(name, f"is no member of a shortlist: these are {known}{hint(name, _MEMBERS)}")
    for name, shape, accepted in (
        ("build", dict, "an object of fields"),
        ("among", dict, "an object of fields or parts, each with a list of choices"),
        ("sums", list, "a list of names of numbers that the choices have, such as price"),
        ("targets", dict, "an object of results, each with least, most or both"),
        ("aims", dict, "an object of results or sums, each low or high"),
    ):
        optional = name not in ("build", "among")
        if name not in raw and optional:
            continue
        if not isinstance(raw.get(name), shape):
            yield FieldError(name, f"must be {accepted}")
        elif not raw[name] and name != "build":
            yield FieldError(name, "must not be empty" + (": leave it out" if optional else ""))
    if raw.get("units", "us") not in SYSTEMS:
        yield FieldError("units", "must be us or metric", raw["units"])


def _unfit_sums(sums: list[Any]) -> Iterator[FieldError]:
    if len(sums) > MOST_SUMS:
        yield FieldError("sums", f"has {len(sums)} names: at most {MOST_SUMS} are added up")
        return
    for place, name in enumerate(sums):
        where = pointer("sums", place)
        if not _is_name(name):
            yield FieldError("sums", f"must be names of 1 to {LONGEST_NAME} characters", name, where)
        elif name in ALL_FIELDS or name in OWNERS or name == NAME:
            yield FieldError(
                "sums", f"names {name}, which has a meaning of its own: choose another name", name, where
            )
        elif name in sums[:place]:
            yield FieldError("sums", f"names {name} twice", name, where)


def _is_name(name: object) -> bool:
    return isinstance(name, str) and name.strip() != "" and len(name) <= LONGEST_NAME and name.isprintable()


def _unknown(build: Mapping[str, Any]) -> Iterator[FieldError]:
    unknown = [name for name in build if name not in ALL_FIELDS]
    for place, name in enumerate(unknown):
        yield replace(unknown_field(name, close=place < MOST_HINTS), pointer=pointer("build", name))


def _unfit_among(among: Mapping[str, Any], sums: Sequence[str]) -> Iterator[FieldError]:
    if len(among) > len(ALL_FIELDS):
        yield FieldError("among", f"has {len(among)} keys: all fields are {len(ALL_FIELDS)}")
        return
    owners: dict[str, str] = {}
    hints = iter(range(MOST_HINTS))
    for key, choices in among.items():
        if not _is_name(key):
            detail = f"must have keys of 1 to {LONGEST_NAME} characters"
            yield FieldError("among", detail, key, pointer("among", key))
        elif not isinstance(choices, list) or not choices:
            yield FieldError(key, "must have a list of choices", pointer=pointer("among", key))
        elif key in sums or (key in OWNERS and key not in ALL_FIELDS):
            detail = "is the name of a sum or a result: choose another name for this part"
            yield FieldError(key, detail, pointer=pointer("among", key))
        elif any(isinstance(choice, dict) for choice in choices):
            yield from _unfit_bundles(key, choices, sums, hints)
        elif key not in ALL_FIELDS:
            detail = unknown_field(key, close=next(hints, None) is not None).detail
            more = f"; a part of any other name has a list of objects, each with its {NAME} and fields"
            yield FieldError(key, detail + more, pointer=pointer("among", key))
        for name in _fields_of(key, choices):
            if owners.setdefault(name, key) != key:
                detail = f"is chosen twice, in {owners[name]} and in {key}: put it into one"
                yield FieldError(name, detail, pointer=pointer("among", key))
    combinations = math.prod(len(choices) for choices in among.values() if isinstance(choices, list))
    if combinations > MOST_COMBINATIONS:
        yield FieldError(
            "among", f"makes {combinations:.3g} combinations: that is more than can be counted off"
        )


def _fields_of(key: str, choices: Any) -> list[str]:
    """The fields that a key gives, each once."""
    if not isinstance(choices, list):
        return []
    bundles = [choice for choice in choices if isinstance(choice, dict)]
    if not bundles:
        return [key] if key in ALL_FIELDS else []
    return list(dict.fromkeys(name for bundle in bundles for name in bundle if name in ALL_FIELDS))


def _unfit_bundles(
    key: str, choices: list[Any], sums: Sequence[str], hints: Iterator[int]
) -> Iterator[FieldError]:
    seen: set[str] = set()
    for place, bundle in enumerate(choices):
        where = pointer("among", key, place)
        if place % 1_000 == 0:
            may_go_on()
        if not isinstance(bundle, dict):
            yield FieldError(
                key, "mixes plain values with objects: give each choice as an object", pointer=where
            )
            continue
        name = bundle.get(NAME)
        if not isinstance(name, str) or not _is_name(name):
            detail = f"must have a {NAME} of 1 to {LONGEST_NAME} characters for each choice"
            yield FieldError(key, detail, name, where)
        elif name in seen:
            yield FieldError(key, f"has two choices of the name {name}", name, f"{where}/{NAME}")
        else:
            seen.add(name)
        for member, value in bundle.items():
            if member in sums:
                if type(value) not in (int, float) or not abs(value) <= LARGEST_SUM:
                    detail = "is a sum: it must be a number without a unit, at most 1,000,000,000"
                    yield FieldError(member, detail, value, where + pointer(member))
            elif member not in ALL_FIELDS and member != NAME:
                yield _unknown_member(member, sums, where, close=next(hints, None) is not None)


def _unknown_member(member: str, sums: Sequence[str], where: str, *, close: bool) -> FieldError:
    fault = unknown_field(member, close=close)
    sum_meant = nearest(member, sums) if close else None
    detail = (
        f"is no field of a build and not one of sums; the nearest is {sum_meant}"
        if sum_meant
        else (fault.detail.replace("is no field of a build", "is no field of a build and not one of sums", 1))
    )
    return FieldError(member, detail, pointer=where + pointer(member))


def _unnamed(member: str, asked: Mapping[str, Any], sums: Sequence[str]) -> Iterator[FieldError]:
    if len(asked) > len(OWNERS):
        yield FieldError(member, f"has {len(asked)} names: all results are {len(OWNERS)}")
        return
    for place, name in enumerate(asked):
        where = pointer(member, name)
        if name in sums:
            continue
        if name not in OWNERS:
            near = hint(name, [*OWNERS, *sums] if place < MOST_HINTS else ())
            yield FieldError(member, f"names no result of any question and none of sums{near}", name, where)
        elif RESULTS[name].quantity is None:
            yield FieldError(
                member, f"names {name}, which is a word: only numbers have {member}", name, where
            )


def _unfit_aims(aims: Mapping[str, Any]) -> Iterator[FieldError]:
    if len(aims) > MOST_AIMS:
        yield FieldError("aims", f"has {len(aims)} names: at most {MOST_AIMS} are weighed against each other")
    for name, aim in aims.items():
        if aim not in AIMS:
            yield FieldError(
                "aims", f"must say low or high of {name[:LONGEST_NAME]}", aim, pointer("aims", name)
            )


def _unranked(*members: Any) -> Iterator[FieldError]:
    if not any(members):
        yield FieldError(
            "targets", "must be given, or aims, or sums: without them no choice is better than another"
        )


def _unfit_show(show: object) -> Iterator[FieldError]:
    if isinstance(show, bool) or not isinstance(show, int) or not 1 <= show <= MOST_SHOWN:
        yield FieldError("show", f"must be a whole number of rows from 1 to {MOST_SHOWN}", show)


def _targets(
    wanted: Mapping[str, Any], sums: Sequence[str], system: System
) -> tuple[tuple[Target, ...], list[FieldError]]:
    """The bounds read, and why others are refused."""
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


def _key(
    name: str,
    choices: list[Any],
    sums: Sequence[str],
    build: Mapping[str, Pool],
    system: System,
    as_read: Convert,
) -> Key:
    """A key with its values read; what a bundle lacks is taken from the build."""
    if not isinstance(choices[0], dict):
        words = [OutputOptions().cell(choice) for choice in choices]
        labels = words if name.endswith("tyre") else [f"{name.replace('_', ' ')} {word}" for word in words]
        values = [
            _read(name, as_read(choice), system, pointer("among", name, place))
            for place, choice in enumerate(choices)
        ]
        none = np.zeros(len(choices))
        raw = [{name: as_read(choice)} for choice in choices]
        return Key(name, choices, labels, raw, {name: Pool(values)}, dict.fromkeys(sums, none), {})
    fields = _fields_of(name, choices)
    pools = {}
    for field in fields:
        otherwise = build[field].draw(None) if field in build and not build[field].faults else None
        pools[field] = Pool(
            [
                _read(field, as_read(bundle[field]), system, pointer("among", name, place, field))
                if field in bundle
                else otherwise
                for place, bundle in enumerate(choices)
            ]
        )
    return Key(
        name,
        [bundle[NAME] for bundle in choices],
        [_label(name, bundle[NAME]) for bundle in choices],
        [{field: as_read(value) for field, value in bundle.items() if field in fields} for bundle in choices],
        pools,
        {member: np.array([float(bundle.get(member, 0.0)) for bundle in choices]) for member in sums},
        {
            bundle[NAME]: tuple(field for field in fields if field not in bundle)
            for bundle in choices
            if any(field not in bundle for field in fields)
        },
    )


def _label(key: str, name: str) -> str:
    """Name a part; one whose name is a mere number by its key too."""
    return name if any(mark.isalpha() for mark in name) else f"{key.replace('_', ' ')} {name}"


def _read(name: str, value: Any, system: System, where: str) -> Any:
    if value is None:
        return FieldError(name, "has no value: leave the field out, or give one", pointer=where)
    return read_value(name, value, system, where)


def _all_refused(key: Key) -> Iterable[FieldError]:
    """Why no choice of a key can be used, where none can."""
    refused: dict[int, FieldError] = {}
    for pool in key.pools.values():
        refused = pool.faults | refused
    return refused.values() if len(refused) == len(key.choices) else ()


def _unmet(plan: ShortlistPlan) -> Iterator[FieldError]:
    given = {*plan.build, *(name for key in plan.keys for name in key.pools)}
    for question in plan.questions:
        for name in question.needs:
            if not is_known(name, given):
                yield replace(needed(name, question, plan.system), pointer=pointer("build", name))
