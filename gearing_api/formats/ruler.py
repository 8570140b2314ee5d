"""The ruler of axle ratios: where each target is met, where all are, and the ratios that can be bought."""

import math
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from gearing_api.answer import Pair, Ruler, Window
from gearing_api.formats.drawing import (
    PLAIN,
    SMALL,
    Area,
    Bar,
    Box,
    Dot,
    Drawing,
    Line,
    Link,
    Shape,
    Text,
    fitted,
    text_width,
)
from gearing_api.units import System

MakeLink = Callable[[Mapping[str, object]], str]
"""Return the address of the build with these fields changed; a field that is None is left out."""

_SIDE = 14.0
_ROW, _BAR_AT, _BAR = 34.0, 18.0, 11.0
_GAP = 7.0


Stretches = Iterable[tuple[float, float]]


class _Scale(NamedTuple):
    """Axle ratios across the paper: equal steps are equal parts of the ratio."""

    low: float
    high: float
    left: float
    right: float

    def __call__(self, ratio: float) -> float:
        part = math.log(ratio / self.low) / math.log(self.high / self.low)
        return self.left + part * (self.right - self.left)


def title(ruler: Ruler) -> str:
    """Say in which stretches of axle ratio every target is met."""
    if not any(window.judged for window in ruler.windows):
        return "Axle ratio: no target to judge"
    if not ruler.all_met:
        return "Axle ratio: none here meets every target"
    return f"Axle ratio: every target met from {_stretches(ruler.all_met, ruler.searched)}"


def ruler_drawing(
    name: str, ruler: Ruler, system: System, width: float, link: MakeLink | None = None
) -> Drawing:
    """Lay the ruler out on a paper of that width."""
    scale = _Scale(*ruler.searched, _SIDE, width - _SIDE)
    shapes: list[Shape] = []
    top = 24.0
    for place, window in enumerate(ruler.windows):
        shapes += _window_row(window, system, scale, top + place * _ROW)
    axis = top + len(ruler.windows) * _ROW + 14.0
    shapes += _frames(ruler, scale, top, axis)
    ticks = _ticks(ruler, scale, axis, link)
    marks, bottom = _marks(ruler, scale, axis)
    if any(window.sure is not None for window in ruler.windows):
        shapes += [
            Bar("lighter", scale.left, bottom + 2.0, 14.0, 9.0),
            Text(
                "word",
                scale.left + 20.0,
                bottom + 11.0,
                "met by 1 to 19 in 20 builds like this one",
                size=SMALL,
            ),
        ]
        bottom += 18.0
    shapes += [Line("axis", ((scale.left, axis), (scale.right, axis))), *ticks, *marks]
    return Drawing(name, width, bottom, title(ruler), _about(ruler, system), tuple(shapes))


def _window_row(window: Window, system: System, scale: _Scale, top: float) -> list[Shape]:
    """Return a target's words, and under them a bar for each stretch that meets it."""
    bar = top + _BAR_AT
    some = window.met or window.possible
    words = wanted(window, system) + (
        "" if window.met else ": met nowhere here" if not some else ": met by few"
    )
    words += "" if window.judged else " (all alike)"
    start = scale(window.met[0][0]) if window.met else scale.left
    words_width = text_width(words, PLAIN)
    size = min(PLAIN, PLAIN * (scale.right - scale.left) / words_width)
    left = max(scale.left, min(start, scale.right - words_width))
    shapes: list[Shape] = [Text("word", left, top + 13.0, words, size=size)]
    if not some:
        middle = bar + _BAR / 2.0
        return [*shapes, Line("nowhere", ((scale.left, middle), (scale.right, middle)))]
    if window.sure is None or window.possible is None:
        return shapes + _bars("bar" if window.judged else "lighter", window.met, scale, bar)
    return shapes + _bars("lighter", window.possible, scale, bar) + _bars("bar", window.sure, scale, bar)


def _bars(kind: str, stretches: Stretches, scale: _Scale, top: float) -> list[Shape]:
    return [Bar(kind, scale(low), top, scale(high) - scale(low), _BAR) for low, high in stretches]


def wanted(window: Window, system: System) -> str:
    """Write a target with its bounds."""
    factor, unit = window.quantity.factor(system), window.quantity.unit(system)
    ends = [_figure(end / factor) for end in (window.least, window.most) if end is not None]
    bounds = f"{' to '.join(ends)} {unit}".rstrip()
    if window.least is None:
        bounds += " or less"
    elif window.most is None:
        bounds += " or more"
    return f"{window.name} {bounds}"


def _figure(value: float) -> str:
    return f"{value:,.0f}" if abs(value) >= 100.0 else f"{value:.3g}"


def _frames(ruler: Ruler, scale: _Scale, top: float, axis: float) -> list[Shape]:
    """Return a frame for each stretch that meets all targets; its sides are dashes that leave the words free."""
    shapes: list[Shape] = []
    for low, high in ruler.all_met:
        left, right = scale(low), scale(high)
        shapes.append(Line("frame", ((left, top), (left, top - 5.0), (right, top - 5.0), (right, top))))
        for side in (left, right):
            for place in range(len(ruler.windows)):
                bar = top + place * _ROW + _BAR_AT
                shapes.append(Line("frame", ((side, bar - 1.0), (side, bar + _BAR + 1.0))))
            shapes.append(Line("frame", ((side, axis - 11.0), (side, axis))))
    if ruler.all_met:
        words = f"all targets: {_stretches(ruler.all_met, ruler.searched)}"
        middle = (scale(ruler.all_met[0][0]) + scale(ruler.all_met[-1][1])) / 2.0
        shapes.append(fitted("strong", middle, top - 11.0, words, scale.left, scale.right))
    elif any(window.judged for window in ruler.windows):
        shapes.append(Text("strong", scale.left, top - 11.0, "no ratio here meets all targets"))
    return shapes


def _ticks(ruler: Ruler, scale: _Scale, axis: float, link: MakeLink | None) -> list[Shape]:
    """Return a tick for each pair, a link where there are links, and words for those that have room."""
    at = [scale(pair.ratio) for pair in ruler.pairs]
    named = _with_room(ruler, at)
    shapes: list[Shape] = []
    for place, (pair, x) in enumerate(zip(ruler.pairs, at, strict=True)):
        first = ruler.recommended is not None and _close(pair.ratio, ruler.recommended)
        tall = 9.0 if first else 6.0
        tick: list[Shape] = [Line("first" if first else "tick", ((x, axis - tall), (x, axis + tall)))]
        if place in named:
            kind = "strong" if first or pair.meets_all else "soft"
            tick.append(Text(kind, x, axis + 22.0, f"{pair.ratio:.2f}", "middle", SMALL))
        if link is None:
            shapes += tick
            continue
        left = scale.left - _SIDE if place == 0 else (at[place - 1] + x) / 2.0
        right = scale.right + _SIDE if place + 1 == len(at) else (x + at[place + 1]) / 2.0
        touch = Bar("touch", left, axis - 16.0, right - left, 44.0)
        fields = {"axle_ratio": pair.name, "ring_teeth": None, "pinion_teeth": None}
        shapes.append(Link(link(fields), _tick_words(pair), (touch, *tick), (("ratio", pair.name),)))
    return shapes


def _tick_words(pair: Pair) -> str:
    return f"axle ratio {pair.ratio:.2f}, {pair.name}" + (", meets every target" if pair.meets_all else "")


def _with_room(ruler: Ruler, at: list[float]) -> set[int]:
    """Return the places of the pairs whose words do not touch others': the recommended one first."""
    names = [f"{pair.ratio:.2f}" for pair in ruler.pairs]

    def weight(place: int) -> tuple[bool, bool, float]:
        pair = ruler.pairs[place]
        is_first = ruler.recommended is not None and _close(pair.ratio, ruler.recommended)
        apart = min(
            (abs(at[place] - at[other]) for other in range(len(at)) if other != place), default=math.inf
        )
        return not is_first, not pair.meets_all, -apart

    taken: list[Box] = []
    kept: set[int] = set()
    for place in sorted(range(len(at)), key=weight):
        half = text_width(names[place], SMALL, bold=True) / 2.0 + 3.0
        box = Box(at[place] - half, 0.0, at[place] + half, 1.0)
        if not any(box.overlaps(other) for other in taken):
            taken.append(box)
            kept.add(place)
    return kept


def _close(one: float, other: float) -> bool:
    return abs(one / other - 1.0) < 1e-9


def _marks(ruler: Ruler, scale: _Scale, axis: float) -> tuple[list[Shape], float]:
    """Return the marks on the axis, the key to them below it, and where the paper ends."""
    marks = sorted(
        (ratio, kind, word)
        for kind, word, ratio in (
            ("hollow", "was", ruler.original),
            ("ring", "restores", ruler.restoring),
            ("handle", "fitted", ruler.fitted),
            ("first", "recommended", ruler.recommended),
        )
        if ratio is not None
    )
    shapes: list[Shape] = [
        _mark(kind, scale(ratio), axis, 7.0) for ratio, kind, _ in marks if kind != "first"
    ]
    left, middle = scale.left, axis + 40.0
    for ratio, kind, word in marks:
        text = f"{word} {ratio:.2f}"
        wide = text_width(text, SMALL) + 18.0
        if left > scale.left and left + wide > scale.right:
            left, middle = scale.left, middle + 19.0
        shapes += [
            _mark(kind, left + 6.0, middle, 5.5),
            Text("word", left + 16.0, middle + 4.0, text, size=SMALL),
        ]
        left += wide + _GAP
    return shapes, middle + 12.0


def _mark(kind: str, x: float, y: float, radius: float) -> Shape:
    """Return a mark of its own form: what was is a hollow diamond, what restores a ring."""
    if kind == "hollow":
        return Area(kind, ((x - radius, y), (x, y - radius), (x + radius, y), (x, y + radius)))
    if kind == "first":
        return Line(kind, ((x, y - radius), (x, y + radius)))
    return Dot(kind, x, y, radius)


def _stretches(stretches: Iterable[tuple[float, float]], searched: tuple[float, float]) -> str:
    """Write stretches of axle ratio; one that reaches an end of what was searched may go on beyond it."""
    return " and ".join(_stretch(low, high, searched) for low, high in stretches)


def _stretch(low: float, high: float, searched: tuple[float, float]) -> str:
    from_start, to_end = low <= searched[0], high >= searched[1]
    if from_start and to_end:
        return f"{low:.2f} to {high:.2f} and beyond"
    # The ends are rounded inwards: a ratio read off the picture must meet the targets.
    inside_low, inside_high = math.ceil(100.0 * low - 1e-6) / 100.0, math.floor(100.0 * high + 1e-6) / 100.0
    if to_end:
        return f"{inside_low:.2f} up"
    if from_start:
        return f"{inside_high:.2f} down"
    if inside_low > inside_high:
        return f"{low:.4f} to {high:.4f}"
    return f"{inside_low:.2f} to {inside_high:.2f}"


def _about(ruler: Ruler, system: System) -> str:
    lines = [
        f"{wanted(window, system)}: "
        + (f"met at {_stretches(window.met, ruler.searched)}." if window.met else "met nowhere here.")
        for window in ruler.windows
    ]
    named = (("Was", ruler.original), ("Restores the original", ruler.restoring), ("Fitted", ruler.fitted),
             ("Recommended", ruler.recommended))  # fmt: skip
    lines += [f"{word}: {ratio:.2f}." for word, ratio in named if ratio is not None]
    good = ", ".join(f"{pair.ratio:.2f}" for pair in ruler.pairs if pair.meets_all)
    lines.append(f"Ratios that meet every target: {good or 'none'}.")
    return " ".join(lines)
