"""Random builds for property tests, drawn from the glossary's own bounds."""

import os
from functools import cache
from typing import Any

from hypothesis import strategies as st

from gearing_api.fields import Choice, Coefficients, Count, Curve, Grid, Loads, Number, Ratios, Series, Tyre
from gearing_api.vocabulary import FIELDS

EXAMPLES = int(os.environ.get("TIMES_EXAMPLES", "1"))
"""How many times the builds of a plain run the property tests over all questions draw."""

SIZES = [
    "265/70R17 115T", "LT315/75R16 121/118S", "35x12.50R17LT", "31x10.50-15", "7.50R16C", "P215/60R15",
    "255/100R16", "33.4 in", "880 mm", "37x13.50R17LT 131Q", "LT235/85R16 120/116Q",
]  # fmt: skip


def number(kind: Number) -> st.SearchStrategy[float]:
    """Within the bounds; as text a number has at most two digits of exponent."""
    low, high = kind.bounds("us")
    return st.floats(low, high, allow_nan=False).map(lambda drawn: drawn if abs(drawn) > 1e-90 else 0.0)


def _apart(number: float) -> float:
    """The number as far as it is told: numbers that differ beyond that are one in other units."""
    return round(number, 6)


def _falling(kind: Curve, many: int) -> st.SearchStrategy[list[list[float]]]:
    """That many points with x falling and y rising."""
    along, up = (
        st.lists(number(end), min_size=many, max_size=many, unique_by=_apart).map(sorted)
        for end in (kind.along, kind.up)
    )
    return st.tuples(along, up).map(
        lambda ends: [[x, y] for x, y in zip(ends[0][::-1], ends[1], strict=True)]
    )


def value(kind: Any) -> st.SearchStrategy[Any]:
    if isinstance(kind, Number):
        return number(kind)
    if isinstance(kind, Count):
        return st.integers(kind.lower, kind.upper)
    if isinstance(kind, Choice):
        return st.sampled_from(kind.options)
    if isinstance(kind, Tyre):
        return st.sampled_from(SIZES)
    if isinstance(kind, Ratios):
        return st.lists(number(kind.item), min_size=1, max_size=6)
    if isinstance(kind, Grid | Series):
        least, most = kind.length
        items = st.lists(number(kind.item), min_size=least, max_size=min(most, 6), unique_by=_apart)
        return items.map(lambda drawn: sorted(drawn, reverse=kind.order == "fall")) if kind.order else items
    if isinstance(kind, Curve):
        pairs = st.tuples(number(kind.along), number(kind.up)).map(list)
        if kind.falls:
            many = st.integers(*kind.length).map(lambda many: min(many, 6))
            return many.flatmap(lambda many: _falling(kind, many))
        return st.lists(pairs, min_size=2, max_size=6, unique_by=lambda pair: _apart(pair[0])).map(sorted)
    if isinstance(kind, Loads):
        short, long = (
            st.tuples(*map(number, items)).map(list)
            for items in ((kind.mass, kind.position), (kind.mass, kind.position, kind.height))
        )
        return st.lists(short | long, min_size=1, max_size=4)
    assert isinstance(kind, Coefficients)
    if kind.names == "AA,AB,AC,BB,BC,CC":
        variances = st.tuples(*(number(kind.items[place]) for place in (0, 3, 5)))
        return variances.map(lambda drawn: [drawn[0], 0.0, 0.0, drawn[1], 0.0, drawn[2]])
    return st.tuples(*(number(item) for item in kind.items)).map(list)


@cache
def builds(needs: tuple[str, ...], uses: tuple[str, ...]) -> st.SearchStrategy[dict[str, Any]]:
    """A raw build in US units that has all that is needed and any of what is used, one field at least."""
    found = st.fixed_dictionaries(
        {name: value(FIELDS[name].kind) for name in needs},
        optional={
            name: value(FIELDS[name].kind) for name in uses if name not in ("ring_teeth", "pinion_teeth")
        },
    )
    return found if needs else found.filter(bool)


@cache
def many_builds(needs: tuple[str, ...], uses: tuple[str, ...]) -> st.SearchStrategy[list[dict[str, Any]]]:
    """A few raw builds that have much in common, yet differ in fields, list lengths, words and tyre forms."""
    changes = st.fixed_dictionaries({}, optional={name: value(FIELDS[name].kind) for name in uses + needs})

    def variants(base: dict[str, Any]) -> st.SearchStrategy[list[dict[str, Any]]]:
        dropped = st.sets(st.sampled_from(sorted(base)), max_size=3) if base else st.just(set[str]())
        row = st.tuples(changes, dropped).map(
            lambda change: {name: raw for name, raw in (base | change[0]).items() if name not in change[1]}
        )
        return st.lists(row, min_size=1, max_size=4).map(lambda rows: [base, *rows])

    return builds(needs, uses).flatmap(variants)


def text(value: Any) -> str:
    """A value as a query or a CSV cell has it."""
    if isinstance(value, list):
        return ",".join(":".join(map(text, item)) if isinstance(item, list) else text(item) for item in value)
    return value if isinstance(value, str) else repr(value)
