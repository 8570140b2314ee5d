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
from gearing_api.batch.comparison_plans import MOST_COMBINATIONS
from gearing_api.batch.parts import (
    LONGEST_NAME,
    MOST_HINTS,
    NAME,
    Target,
    are_bundles,
    chosen_twice,
    fields_of,
    is_name,
    read_targets,
    unfit_bundles,
    unnamed,
)
from gearing_api.build import is_known
from gearing_api.formats.options import OutputOptions
from gearing_api.questions import OWNERS, needed
from gearing_api.units import SYSTEMS, Quantity, System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    RESULTS,
    FieldError,
    InvalidBuild,
    hint,
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
COSTLY = frozenset(("acceleration", "fuel", "regear"))
"""Questions that take so long that fewer combinations are answered at a time."""

_MEMBERS = ("build", "among", "sums", "targets", "aims", "show", "units")
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
    faults = [*unnamed("targets", wanted, sums), *unnamed("aims", aims, sums)]
    faults += [*_unfit_aims(aims), *_unranked(wanted, aims, sums), *_unfit_show(raw.get("show", _SHOWN))]
    _refuse(faults)
    bounds, faults = read_targets(as_read(wanted), sums, system)
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
        if not is_name(name):
            yield FieldError("sums", f"must be names of 1 to {LONGEST_NAME} characters", name, where)
        elif name in ALL_FIELDS or name in OWNERS or name == NAME:
            yield FieldError(
                "sums", f"names {name}, which has a meaning of its own: choose another name", name, where
            )
        elif name in sums[:place]:
            yield FieldError("sums", f"names {name} twice", name, where)


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
        if not is_name(key):
            detail = f"must have keys of 1 to {LONGEST_NAME} characters"
            yield FieldError("among", detail, key, pointer("among", key))
        elif not isinstance(choices, list) or not choices:
            yield FieldError(key, "must have a list of choices", pointer=pointer("among", key))
        elif key in sums or (key in OWNERS and key not in ALL_FIELDS):
            detail = "is the name of a sum or a result: choose another name for this part"
            yield FieldError(key, detail, pointer=pointer("among", key))
        elif are_bundles(choices):
            yield from unfit_bundles("among", key, choices, sums, hints)
        elif key not in ALL_FIELDS:
            detail = unknown_field(key, close=next(hints, None) is not None).detail
            more = f"; a part of any other name has a list of objects, each with its {NAME} and fields"
            yield FieldError(key, detail + more, pointer=pointer("among", key))
        yield from chosen_twice("among", key, choices, owners)
    combinations = math.prod(len(choices) for choices in among.values() if isinstance(choices, list))
    if combinations > MOST_COMBINATIONS:
        yield FieldError(
            "among", f"makes {combinations:.3g} combinations: that is more than can be counted off"
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
    fields = fields_of(name, choices)
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
