"""The build as a page shows it: a chip for each group of fields, and the form behind the chips."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple
from urllib.parse import urlencode

from gearing_api.answer import Question
from gearing_api.fields import Choice, Count, Number, Tyre
from gearing_api.http.pages.conversion import as_text
from gearing_api.tables import table
from gearing_api.units import System
from gearing_api.vocabulary import (
    ALL_FIELDS,
    FIELDS,
    GROUPS,
    ORIGINAL,
    for_people,
    group_of,
    grouped,
    label_of,
    may_have_original,
    plain_name,
)

SHEET = "build-sheet"
CORE = ("tyre", "axle", "gears", "low range", "engine", "mass and load", "axle parts", "place")
"""Groups whose chips are always there; those of others are there if one of their fields is given."""

MEASURED = "measurements"
"""The group that comes first where a question finds out what the build is."""

MOST_FIELDS = 8
"""Fields that a group shows; the others that are given are a click away."""

_SIZES = ("245/75R17", "265/70R17", "285/70R17", "315/70R17", "35x12.50R17LT", "37x12.50R17LT", "7.50R16C")


@dataclass(frozen=True)
class Asked:
    """A build as a page was asked about it: text by field, units of its bare numbers, and the page's own wishes.

    `address` is that of the page, which a form and every change of the build lead back to; `kept` is the query
    of another build to compare with, and `opened` the group of which all fields are shown.
    """

    address: str
    values: Mapping[str, str]
    system: System
    comma: bool = False
    kept: str = ""
    opened: str = ""
    bands: bool = False

    @cached_property
    def _written(self) -> dict[str, str]:
        """Each value as a query has it: a page has many links with all of them."""
        return {name: _pair(name, text) for name, text in self.values.items()}

    def query(self, names: Iterable[str] | None = None, **changes: str) -> str:
        """The query of this build, or of some of its fields, with some values changed; empty ones go.

        It means the same for everybody: it always says its units.
        """
        wanted = self._written.keys() if names is None else set(names)
        pairs = {name: pair for name, pair in self._written.items() if name in wanted}
        options = {"units": self.system} | ({"decimal": "comma"} if self.comma else {})
        pairs |= {name: _pair(name, text) for name, text in (changes | options).items()}
        return "&".join(filter(None, pairs.values())) + ("&bands=1" if self.bands else "")

    def link(self, fields: Mapping[str, object]) -> str:
        """The address of this page with some fields changed; one that is None goes."""
        changes = {
            name: "" if value is None else as_text(value, comma=self.comma) for name, value in fields.items()
        }
        return f"{self.address}?{self.query(**changes)}{self.and_kept}"

    @property
    def and_kept(self) -> str:
        """The part of a query that carries the other build."""
        return f"&{urlencode({'a': self.kept})}" if self.kept else ""


def _pair(name: str, text: str) -> str:
    return urlencode({name: text}, safe=",/:;") if text else ""


Errors = Mapping[str, Mapping[str, object]]
"""Errors by field, as a problem document lists them."""


class Chip(NamedTuple):
    """A group of fields in the strip: what it was and is."""

    group: str
    anchor: str
    was: str
    now: str
    assumed: bool
    refused: bool


class Input(NamedTuple):
    """One field of the form, with the same of the vehicle before the change beside it."""

    name: str
    label: str
    unit: str
    hint: str
    value: str
    assumed: str
    options: tuple[str, ...]
    mode: str
    suggestions: str
    error: str
    repair: str
    before: "Input | None"


class Fieldset(NamedTuple):
    """The fields of a chip; `more` are given too, `hidden` is how many others there are."""

    group: str
    anchor: str
    first: list[Input]
    more: list[Input]
    hidden: int
    refused: bool


@dataclass(frozen=True)
class Form:
    """The form of one question: the build as asked, what was assumed of it, and what is wrong with it."""

    question: Question
    asked: Asked
    assumed: Mapping[str, Any] = field(default_factory=dict)
    errors: Errors = field(default_factory=dict)

    def chips(self) -> list[Chip]:
        """A chip for each group that belongs in the strip."""
        given = {group_of(name) for name in (*self.asked.values, *self.errors) if name in ALL_FIELDS}
        return [
            self._chip(group, names)
            for group, names in grouped(self.question.fields).items()
            if group in CORE or group in given or group not in GROUPS
        ]

    def _chip(self, group: str, names: list[str]) -> Chip:
        values, assumed = self.asked.values, self.assumed
        refused = any(plain_name(name) in names for name in self.errors)
        known = [name for name in names if values.get(name) or values.get(ORIGINAL + name)]
        told = known or [name for name in names[:1] if name in assumed]
        if not told:
            return Chip(group, anchor_of(group), "", "add", False, refused)
        name = told[0]
        now = self._in_short(name, values.get(name, "")) or self._assumed(name)
        was = self._in_short(name, values.get(ORIGINAL + name, ""))
        return Chip(group, anchor_of(group), "" if now in ("", was) else was, now or was, not known, refused)

    def fieldsets(self) -> list[Fieldset]:
        """Of each group the fields that are asked most, and all that are given."""
        groups = grouped(self.question.fields)
        measured = [MEASURED] if self.question.measures and MEASURED in groups else []
        return [self._fieldset(group, groups[group]) for group in dict.fromkeys((*measured, *groups))]

    def _fieldset(self, group: str, names: list[str]) -> Fieldset:
        given = {plain_name(name) for name in (*self.asked.values, *self.errors)}
        first, rest = names[:MOST_FIELDS], names[MOST_FIELDS:]
        whole = self.question.name != SHEET or self.asked.opened == group
        if not whole and group not in CORE and not given & set(names):
            first, rest = [], names
        more = [name for name in rest if whole or name in given]
        refused = any(plain_name(name) in names for name in self.errors)
        return Fieldset(
            group,
            anchor_of(group),
            [self._input(name) for name in first],
            [self._input(name) for name in more],
            len(rest) - len(more),
            refused,
        )

    def _input(self, name: str, *, before: bool = False) -> Input:
        full = ORIGINAL + name if before else name
        kind = ALL_FIELDS[full].kind
        error = self.errors.get(full, {})
        use = error.get("use")
        return Input(
            name=full,
            label=label_of(name),
            unit=unit_of(name, self.asked.system),
            hint=for_people(FIELDS[name].meaning),
            value=self.asked.values.get(full, ""),
            assumed=self._assumed(full),
            options=kind.options if isinstance(kind, Choice) else (),
            mode="decimal" if isinstance(kind, Number | Count) else "text",
            suggestions=_suggestions(name),
            error=for_people(str(error.get("detail", ""))),
            repair="" if use is None else str(use),
            before=self._input(name, before=True) if not before and self._has_before(name) else None,
        )

    def _has_before(self, name: str) -> bool:
        """Whether the form asks for the vehicle before the change too: always for what people swap."""
        full = ORIGINAL + name
        whole = self.asked.opened == group_of(name) and may_have_original(name)
        return full in self.question.fields or full in self.asked.values or full in self.errors or whole

    def _assumed(self, name: str) -> str:
        if name not in self.assumed:
            return ""
        return self._in_short(name, as_text(self.assumed[name], comma=self.asked.comma))

    def _in_short(self, name: str, text: str) -> str:
        """A value with its unit, of a long list both ends and how many."""
        separator = ";" if self.asked.comma else ","
        items = text.split(separator)
        long = len(items) > 3
        short = f"{items[0]} … {items[-1]} ({len(items)})" if long else f"{separator} ".join(items)
        return f"{short} {unit_of(name, self.asked.system)}".rstrip() if text[-1:].isdigit() else short


def anchor_of(group: str) -> str:
    """The id of a fieldset."""
    return f"set-{group.replace(' ', '-')}"


def unit_of(name: str, system: System) -> str:
    """The unit of a number of the field without its own, or of each item of its list."""
    kind = ALL_FIELDS[name].kind
    quantity = getattr(getattr(kind, "item", kind), "quantity", None)
    return quantity.unit(system) if quantity else ""


def _suggestions(name: str) -> str:
    """The list of values to choose from, by the kind of the field."""
    if isinstance(FIELDS[name].kind, Tyre):
        return "sizes"
    return "pairs" if name in ("axle_ratio", "front_axle_ratio", "rear_axle_ratio") else ""


def suggested_values() -> dict[str, list[str]]:
    """The lists that inputs suggest values from: common sizes, and tooth pairs that are made."""
    pairs = table("ring-pinion-pairs")
    teeth = zip(pairs.column("ring_teeth"), pairs.column("pinion_teeth"), strict=True)
    return {"sizes": list(_SIZES), "pairs": [f"{ring:.0f}/{pinion:.0f}" for ring, pinion in teeth]}
