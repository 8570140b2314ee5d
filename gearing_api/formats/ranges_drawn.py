"""Pictures of what is not known exactly: ranges with their middle, dots, and what an answer turns on.

They are drawn from plain numbers in the units shown, so that a question, a comparison and a client can use them.
"""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from gearing_api.answer import Varied
from gearing_api.formats.chart import ticks
from gearing_api.formats.drawing import (
    PLAIN,
    SMALL,
    Bar,
    Dot,
    Drawing,
    Line,
    Shape,
    Text,
    fitted,
    moved,
    text_width,
    wrapped,
)
from gearing_api.formats.options import rounded
from gearing_api.units import System
from gearing_api.vocabulary import FieldError, InvalidBuild, label_of, result_named

_SIDE, _ROW, _BAR_AT, _BAR = 14.0, 34.0, 18.0, 10.0
_DIGITS = 2
MOST_DOTS = 50
_FEW = 12
_COLUMNS = 14
"""Columns of dots across a picture, at most."""


class Interval(NamedTuple):
    """A figure with the ends that 9 in 10 lie between; an end that is None has no limit."""

    name: str
    value: float
    low: float | None
    high: float | None


class Swing(NamedTuple):
    """What becomes of a result when one input goes to its ends; the ends in words."""

    name: str
    at_low: float
    at_high: float
    low_word: str
    high_word: str


class Turns(NamedTuple):
    """What each input alone does to a result, in the units shown; `lost` are inputs that leave it without a value."""

    title: str
    base: float
    swings: tuple[Swing, ...]
    unit: str
    lost: tuple[str, ...]


class _Scale(NamedTuple):
    low: float
    high: float
    left: float
    right: float

    def __call__(self, value: float) -> float:
        return self.left + (value - self.low) / (self.high - self.low) * (self.right - self.left)


def _scale(values: Sequence[float], width: float) -> _Scale:
    """Return a scale over all values with some room; from 0 where they lie near it."""
    low, high = min(values), max(values)
    room = 0.06 * (high - low) or 0.05 * abs(high) or 1.0
    low, high = low - room, high + room
    if 0.0 <= min(values) < 0.4 * max(values):
        low = 0.0
    return _Scale(low, high, _SIDE, width - _SIDE)


def intervals_drawing(
    name: str, title: str, rows: Sequence[Interval], unit: str, width: float, least: float | None = None
) -> Drawing:
    """Draw each figure as a bar between its ends with a mark in it; `least` is a limit to compare with."""
    known = [end for row in rows for end in (row.value, row.low, row.high) if end is not None]
    scale = _scale([*known, *([] if least is None else [least])], width)
    shapes: list[Shape] = []
    top = 2.0
    for row in rows:
        bar = top + _BAR_AT
        low, high = (
            scale(scale.low if row.low is None else row.low),
            scale(scale.high if row.high is None else row.high),
        )
        shapes += [
            Text("word", _SIDE, top + 13.0, row.name),
            Text("strong", width - _SIDE, top + 13.0, f"{range_text(row)} {unit}".rstrip(), "end"),
            Bar("bar", low, bar, max(high - low, 1.0), _BAR),
            Line("first", ((scale(row.value), bar - 1.0), (scale(row.value), bar + _BAR + 2.0))),
        ]
        if least is not None:
            shapes.append(Line("end", ((scale(least), bar - 1.0), (scale(least), bar + _BAR + 4.0))))
        top += _ROW
    shapes += _axis(scale, top + 4.0, unit, width)
    bottom = top + 40.0
    words = "bar: 9 in 10 builds like this one; mark: the plain answer"
    lines = [words] if text_width(words, SMALL) < width - 2 * _SIDE else words.split("; ")
    for line in lines:
        shapes.append(Text("soft", _SIDE, bottom + 8.0, line, size=SMALL))
        bottom += 16.0
    about = " ".join(f"{row.name}: {range_text(row)} {unit}.".replace(" .", ".") for row in rows)
    return Drawing(name, width, bottom + 2.0, title, f"{about} Between the ends lie 9 in 10.", tuple(shapes))


def range_text(row: Interval) -> str:
    """Write a figure with its ends, with the digits that can be trusted."""
    value, low, high = (
        None if end is None else rounded(end, _DIGITS) for end in (row.value, row.low, row.high)
    )
    if low is None and high is None:
        return str(value)
    if high is None:
        return f"{value} ({low} or more)"
    return f"{value} ({high} or less)" if low is None else f"{value} ({low} to {high})"


def _axis(scale: _Scale, y: float, unit: str, width: float) -> list[Shape]:
    """Return a line with round numbers on it."""
    shapes: list[Shape] = [Line("axis", ((scale.left, y), (scale.right, y)))]
    for value, text in _round_numbers(scale):
        x = scale(value)
        shapes.append(Line("axis", ((x, y), (x, y + 4.0))))
        shapes.append(fitted("soft", x, y + 16.0, text, 2.0, width - 2.0, SMALL))
    if unit:
        shapes.append(Text("soft", width - _SIDE, y + 30.0, unit, "end", SMALL))
    return shapes


def _round_numbers(scale: _Scale) -> list[tuple[float, str]]:
    span = scale.high - scale.low
    steps = ticks(span, (scale.right - scale.left) / 70.0)
    step = steps[1][0] - steps[0][0]
    first = -int(-scale.low // step) if scale.low > 0 else int(scale.low // step) + 1
    values = [step * place for place in range(first, first + len(steps) + 1)]
    return [(value, f"{value:,.6g}") for value in values if scale.low <= value <= scale.high]


def dots_drawing(
    name: str,
    title: str,
    quantiles: Sequence[float],
    unit: str,
    width: float,
    least: float | None = None,
    without: int = 0,
) -> Drawing:
    """Draw 20 to 50 builds like this one as dots, stacked where they lie close together.

    The dots are quantiles in order: each stands for an equal share of the builds. So many more are `without` a value.
    """
    count = len(quantiles) + without
    if not without < count <= MOST_DOTS:
        raise ValueError(f"from 1 to {MOST_DOTS} dots")
    scale = _scale([*quantiles, *([] if least is None else [least])], width)
    step = (scale.right - scale.left) / (_COLUMNS if width < 500.0 else 2 * _COLUMNS)
    columns: dict[int, list[float]] = {}
    for value in quantiles:
        columns.setdefault(int((scale(value) - scale.left) / step), []).append(value)
    tallest = max(map(len, columns.values()))
    base = 24.0 + tallest * step
    shapes: list[Shape] = [
        Dot("solid", scale.left + (column + 0.5) * step, base - (place + 0.5) * step, 0.42 * step)
        for column, values in columns.items()
        for place in range(len(values))
    ]
    if least is not None:
        x = scale(least)
        shapes.append(Line("end", ((x, 20.0), (x, base))))
        met = sum(value >= least for value in quantiles)
        shapes.append(
            fitted(
                "strong", x, 13.0, f"{met} of {count} at {rounded(least, 3)} or more", _SIDE, width - _SIDE
            )
        )
    shapes += _axis(scale, base + 2.0, unit, width)
    bottom = base + 46.0
    shapes.append(Text("soft", _SIDE, bottom, f"each dot: 1 of {count} builds like this one", size=SMALL))
    if without:
        bottom += 16.0
        shapes.append(Text("soft", _SIDE, bottom, f"{without} of {count} have no value", size=SMALL))
    ends = f"{rounded(quantiles[0], _DIGITS)} to {rounded(quantiles[-1], _DIGITS)} {unit}".rstrip()
    return Drawing(
        name, width, bottom + 8.0, title, f"{count} builds like this one, from {ends}.", tuple(shapes)
    )


def tornado_drawing(
    name: str, title: str, base: float, swings: Sequence[Swing], unit: str, width: float
) -> Drawing:
    """Draw what becomes of a result when each input goes to its ends, the input that moves it most on top."""
    swings = sorted(swings, key=lambda swing: -abs(swing.at_high - swing.at_low))
    scale = _scale([base, *(end for swing in swings for end in (swing.at_low, swing.at_high))], width)
    shapes: list[Shape] = []
    top, middle = 2.0, scale(base)
    for swing in swings:
        bar = top + _BAR_AT
        words = f"{swing.name}: {swing.low_word} to {swing.high_word}"
        size = min(PLAIN, PLAIN * (width - 2.0 * _SIDE) / text_width(words, PLAIN))
        shapes.append(Text("word", _SIDE, top + 13.0, words, size=size))
        for end, kind in ((swing.at_low, "lighter"), (swing.at_high, "solid")):
            left, right = sorted((middle, scale(end)))
            shapes.append(Bar(kind, left, bar, max(right - left, 0.5), _BAR))
        shapes.append(Line("limit", ((middle, bar - 1.0), (middle, bar + _BAR + 4.0))))
        top += _ROW
    shapes += _axis(scale, top + 4.0, unit, width)
    key = top + 42.0
    second = _SIDE + 20.0 + text_width("input at its low end", SMALL) + 14.0
    shapes += [
        Bar("lighter", _SIDE, key, 14.0, 9.0),
        Text("word", _SIDE + 20.0, key + 9.0, "input at its low end", size=SMALL),
        Bar("solid", second, key, 14.0, 9.0),
        Text("word", second + 20.0, key + 9.0, "at its high end", size=SMALL),
    ]
    about = " ".join(
        f"{swing.name} {word}: {rounded(end, 3)}."
        for swing in swings
        for word, end in ((swing.low_word, swing.at_low), (swing.high_word, swing.at_high))
    )
    return Drawing(name, width, key + 18.0, title, f"Now {rounded(base, 3)} {unit}. {about}", tuple(shapes))


def shares_drawing(name: str, title: str, shares: Sequence[tuple[str, float]], width: float) -> Drawing:
    """Draw how much of a range each input explains."""
    scale = (width - 2.0 * _SIDE) / max(1.0, sum(share for _, share in shares))
    shapes: list[Shape] = []
    top = 2.0
    for word, share in shares:
        shapes += [
            Text("word", _SIDE, top + 13.0, word),
            Text("strong", width - _SIDE, top + 13.0, f"{100.0 * share:.0f} %", "end"),
            Bar("bar", _SIDE, top + _BAR_AT, scale * share, _BAR),
        ]
        top += _ROW
    about = " ".join(f"{word}: {100.0 * share:.0f} %." for word, share in shares)
    return Drawing(name, width, top + 4.0, title, about, tuple(shapes))


def _are_few_whole(values: Sequence[float]) -> bool:
    """Tell whether values are a few whole numbers, such as gears, which would stand in tall stacks."""
    return len(set(values)) <= _FEW and all(value == round(value) for value in values)


def varied_title(varied: Varied, system: System) -> str:
    """Say between which ends 9 in 10 builds like this one lie."""
    result = result_named(varied.name)
    factor, count = result.quantity.factor(system) if result.quantity else 1.0, len(varied.quantiles)
    ends = [varied.quantiles[place] / factor for place in (int(0.05 * count), int(0.95 * count - 1e-9))]
    low, high = (rounded(end, _DIGITS) for end in ends)
    words = label_of(varied.name).capitalize()
    said = low if low == high else f"{low} to {high}"
    return f"{words}: 9 in 10 builds like this one, {said} {result.unit(system)}".rstrip()


def varied_drawing(name: str, varied: Varied, system: System, width: float) -> Drawing:
    """Draw a result of builds like this one as dots, and below what its range turns on."""
    result = result_named(varied.name)
    factor = result.quantity.factor(system) if result.quantity else 1.0
    quantiles = [value / factor for value in varied.quantiles]
    title = varied_title(varied, system)
    if _are_few_whole(quantiles):
        counts = [(f"{value:g}", quantiles.count(value)) for value in sorted(set(quantiles))]
        counts += [("no value", varied.without)] * bool(varied.without)
        every = sum(count for _, count in counts)
        dots = shares_drawing(name, title, [(word, count / every) for word, count in counts], width)
    else:
        dots = dots_drawing(name, title, quantiles, result.unit(system), width, without=varied.without)
    if not varied.drivers:
        return dots
    top = dots.height + 24.0
    shares = shares_drawing(name, title, varied.drivers, width)
    heading = Text("strong", _SIDE, top - 6.0, "What the range turns on")
    shapes = (*dots.shapes, heading, *(moved(shape, 0.0, top) for shape in shares.shapes))
    about = f"{dots.about} What the range turns on: {shares.about}"
    return dots._replace(height=top + shares.height, about=about, shapes=shapes)


def turns_of(table: Mapping[str, Any]) -> Turns:
    """Return what an answer tells of its inputs, ready to be drawn.

    Raises
    ------
    InvalidBuild
        If no input moves the result.
    """
    rows = [(label_of(field), low, high, *ends) for field, low, high, *ends in table["rows"]]
    swings = tuple(
        Swing(field, at_low, at_high, low, high)
        for field, low, high, at_low, at_high in rows
        if at_low is not None and at_high is not None
    )
    if not swings or table["plain"] is None:
        detail = "names a number that nothing moves: there is nothing to draw"
        raise InvalidBuild([FieldError("tornado", detail, table["result"])])
    lost = tuple(field for field, _, _, at_low, at_high in rows if at_low is None or at_high is None)
    title = f"{label_of(table['result']).capitalize()}: what each input alone does to it"
    return Turns(title, table["plain"], swings, table["unit"], lost)


def turns_drawing(name: str, turns: Turns, width: float) -> Drawing:
    """Draw what each input alone does to a result."""
    drawing = tornado_drawing(name, turns.title, turns.base, turns.swings, turns.unit, width)
    if not turns.lost:
        return drawing
    words = f"without a value at an end: {', '.join(turns.lost)}"
    lines = wrapped(words, width - 2.0 * _SIDE, SMALL)
    top = drawing.height + 12.0
    texts = (Text("soft", _SIDE, top + 15.0 * row, line, size=SMALL) for row, line in enumerate(lines))
    height = drawing.height + 15.0 * len(lines) + 6.0
    return drawing._replace(
        height=height, about=f"{drawing.about} {words}.", shapes=(*drawing.shapes, *texts)
    )
