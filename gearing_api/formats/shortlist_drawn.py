"""Pictures of a shortlist, from plain numbers: what each choice gives up, and its figures against the targets."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from gearing_api.formats.chart import ticks
from gearing_api.formats.drawing import SMALL, Bar, Box, Dot, Drawing, Line, Shape, Text, cut, text_width
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.pictures import SIZES, Kind, on_paper, written
from gearing_api.formats.placing import Room
from gearing_api.formats.words import digits
from gearing_api.vocabulary import RESULTS, for_people, label_of

_SIDE, _TOP = 14.0, 26.0
_MOST_CHOICES, _MOST_AGAINST = 30, 6
_DIGITS = 6
_LEAST_BAR = 0.35
"""Where the longest bar has a smaller share of the width, bars stand below their words."""


class Choice(NamedTuple):
    """A combination by its two figures; `kept` where nothing beats it."""

    name: str
    x: float
    y: float
    kept: bool


class Against(NamedTuple):
    """A figure against what is wanted of it, with the ends of its range where that is known."""

    name: str
    value: float
    least: float | None
    most: float | None
    digits: int = 3
    ends: tuple[float, float] | None = None

    @property
    def misses(self) -> bool:
        """Whether it is below what is wanted, or above it."""
        return _is_below(self) or (self.most is not None and self.value > self.most)


def front_drawing(
    name: str,
    title: str,
    choices: Sequence[Choice],
    across: str,
    up: str,
    width: float,
    height: float | None = None,
) -> Drawing:
    """Draw all combinations over two aims, with the names of those that nothing beats.

    Names that have no room beside their points are numbered, and stand below.
    """
    tall = max(280.0, 0.62 * width) if height is None else height
    made = _front(name, title, choices, across, up, width, tall)
    if height is None or made.height <= height:
        return made
    return _front(name, title, choices, across, up, width, max(200.0, tall + height - made.height))


def _front(
    name: str, title: str, choices: Sequence[Choice], across: str, up: str, width: float, height: float
) -> Drawing:
    choices = [choice._replace(name=cut(choice.name, 0.6 * width, SMALL, bold=True)) for choice in choices]
    across, up = (cut(words, width - 2.0 * _SIDE, SMALL) for words in (across, up))
    low_x, high_x = _ends([choice.x for choice in choices])
    low_y, high_y = _ends([choice.y for choice in choices])
    left = _SIDE + max(text_width(text, SMALL) for _, text in _numbers(low_y, high_y, 5.0)) + 8.0
    box = Box(left, _TOP, width - _SIDE - 4.0, height - 40.0)

    def at(choice: Choice) -> tuple[float, float]:
        x = box.left + (choice.x - low_x) / (high_x - low_x) * (box.right - box.left)
        return x, box.bottom - (choice.y - low_y) / (high_y - low_y) * (box.bottom - box.top)

    shapes: list[Shape] = [
        Line("axis", ((box.left, box.top), (box.left, box.bottom), (box.right, box.bottom)))
    ]
    for value, text in _numbers(low_x, high_x, (box.right - box.left) / 70.0):
        x = box.left + (value - low_x) / (high_x - low_x) * (box.right - box.left)
        shapes += [Line("axis", ((x, box.bottom), (x, box.bottom + 4.0))),
                   Text("soft", x, box.bottom + 15.0, text, "middle", SMALL)]  # fmt: skip
    for value, text in _numbers(low_y, high_y, 5.0):
        y = box.bottom - (value - low_y) / (high_y - low_y) * (box.bottom - box.top)
        shapes += [
            Line("axis", ((box.left - 4.0, y), (box.left, y))),
            Text("soft", box.left - 7.0, y + 4.0, text, "end", SMALL),
        ]
    shapes += [
        Text("soft", _SIDE, 15.0, up, size=SMALL),
        Text("soft", box.right, box.bottom + 31.0, across, "end", SMALL),
    ]
    room = Room(Box(box.left + 2.0, _TOP, width - 2.0, box.bottom - 2.0))
    kept = sorted((choice for choice in choices if choice.kept), key=lambda choice: choice.x)
    if len(kept) > 1:
        line = tuple(map(at, kept))
        shapes.append(Line("before", line))
        room.take_line(line)
    for choice in choices:
        x, y = at(choice)
        radius = 5.0 if choice.kept else 3.5
        shapes.append(Dot("handle" if choice.kept else "hollow", x, y, radius))
        near = radius + 2.0
        room.take(Box(x - near, y - near, x + near, y + near))
    bottom = height
    for number, choice in enumerate(kept, 1):
        words = room.place("strong", choice.name, [at(choice)])
        if words is None:
            words = room.place("strong", str(number), [at(choice)])
            bottom += 17.0
            shapes.append(Text("word", _SIDE, bottom - 6.0, f"{number}: {choice.name}", size=SMALL))
        if words is not None:
            shapes.append(words)
    figures = ((choice.name, rounded(choice.x, _DIGITS), rounded(choice.y)) for choice in kept)
    about = " ".join(f"{words}: {x}, {y}." for words, x, y in figures)
    beaten = len(choices) - len(kept)
    return Drawing(
        name,
        width,
        bottom,
        title,
        f"Across: {across}. Up: {up}. {about}" + (f" {beaten} more are beaten." if beaten else ""),
        tuple(shapes),
    )


def _ends(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = 0.12 * (high - low) or 0.1 * abs(high) or 1.0
    return low - room, high + room


def _numbers(low: float, high: float, most: float) -> list[tuple[float, str]]:
    """Return round numbers between two ends."""
    steps = ticks(high - low, most)
    step = steps[1][0]
    first = int(low // step) + 1
    return [
        (step * place, f"{step * place:,.6g}")
        for place in range(first, first + len(steps) + 1)
        if step * place <= high
    ]


def targets_drawing(
    name: str, title: str, rows: Sequence[tuple[str, Sequence[Against]]], width: float
) -> Drawing:
    """Draw the figures of each choice as small bars against their targets; a mark stands at each target.

    A bar is as long as its figure is to the largest shown of that result; one that misses is hatched by its frame.
    The end of a bar is soft as far as the range goes.
    """
    results = list(dict.fromkeys(one.name for _, figures in rows for one in figures))
    shown = {result: cut(result, 0.47 * width, SMALL) for result in results}
    ends = {result: _ends_with_zero(result, rows) for result in results}
    labels = max(text_width(words, SMALL) for words in shown.values())
    values = max(
        text_width(_value(one, one.misses), SMALL, bold=True) for _, figures in rows for one in figures
    )
    left, right = _SIDE + labels + 8.0, width - _SIDE - max(62.0, values + 8.0)
    beside = right - left > _LEAST_BAR * width
    if not beside:
        left, right = _SIDE, width - _SIDE
    below, rise, step = (3.0, 3.0, 18.0) if beside else (16.5, 1.5, 33.0)
    shapes: list[Shape] = []
    top = 0.0
    for choice, figures in rows:
        shapes.append(Text("strong", _SIDE, top + 15.0, cut(choice, width - 2.0 * _SIDE, bold=True)))
        top += 22.0
        for one in figures:
            low, high = ends[one.name]
            scale = (right - left) / (high - low)
            zero = left - scale * low
            low, high = one.ends or (one.value, one.value)
            near, far = sorted((low, high), key=abs)
            near = near if low * high > 0.0 else 0.0
            start = min(zero, zero + scale * near)
            kind, figure = ("lighter-over", "mark-word") if one.misses else ("bar", "strong")
            shapes += [
                Text("word", left - 8.0, top + 11.0, shown[one.name], "end", SMALL)
                if beside
                else Text("word", _SIDE, top + 11.0, shown[one.name], size=SMALL),
                Bar(kind, start, top + below, max(scale * abs(near), 0.5), 9.0),
                Text(figure, width - _SIDE, top + 11.0, _value(one, one.misses), "end", SMALL),
            ]
            if one.ends is not None:
                kind = "lighter-over" if one.misses else "lighter"
                first = low if low * high <= 0.0 else min(near, far)
                shapes.append(
                    Bar(kind, zero + scale * first, top + below, scale * (max(low, high) - first), 9.0)
                )
            for end in (one.least, one.most):
                if end is not None:
                    x = zero + scale * end
                    shapes.append(Line("limit", ((x, top + below - rise), (x, top + below + 12.0))))
            top += step
        top += 6.0
    told = (
        (choice, ", ".join(f"{one.name} {_value(one, False)}" for one in figures)) for choice, figures in rows
    )
    about = " ".join(f"{choice}: {words}." for choice, words in told)
    return Drawing(name, width, top + 4.0, title, about, tuple(shapes))


def _ends_with_zero(result: str, rows: Sequence[tuple[str, Sequence[Against]]]) -> tuple[float, float]:
    shown = [
        value
        for _, figures in rows
        for one in figures
        if one.name == result
        for value in (one.value, one.least, one.most, *(one.ends or ()))
        if value is not None
    ]
    low, high = 1.08 * min(0.0, *shown), 1.08 * max(0.0, *shown)
    return low, (high if high > low else 1.0)


def _is_below(one: Against) -> bool:
    return one.least is not None and one.value < one.least


def _value(one: Against, misses: bool) -> str:
    """Write a figure, with a sign where it misses: below what is wanted, or above it."""
    sign = "" if not misses else " \N{DOWNWARDS ARROW}" if _is_below(one) else " \N{UPWARDS ARROW}"
    return " to ".join(rounded(value, one.digits) for value in one.ends or (one.value,)) + sign


def shortlist_drawings(
    answer: Mapping[str, Any], width: float, height: float | None = None
) -> Iterator[Drawing]:
    """Yield the pictures of a shortlist's answer: its first rows over two aims, and against the targets.

    Rows that meet all targets are drawn over the first two aims whose figures may stand alone.
    """
    rows = answer["rows"]
    aims = [name for name in answer["aims"] if _stands_alone(name)][:2]
    if len(aims) == 2:
        figures = ((row, _figure(row, aims[0]), _figure(row, aims[1])) for row in rows[:_MOST_CHOICES])
        choices = [
            Choice(row["label"], x, y, kept=True)
            for row, x, y in figures
            if row["meets"] == "all" and x is not None and y is not None
        ]
        if len(choices) > 1:
            across, up = (_axis_name(answer, aim) for aim in aims)
            title = f"What each choice gives up: {label_of(aims[0])} against {label_of(aims[1])}"
            title += _first(_MOST_CHOICES, rows)
            yield front_drawing("shortlist", title, choices, across, up, width, height)
    against = [(row["label"], [*_against(answer, row)]) for row in rows[:_MOST_AGAINST]]
    if any(figures for _, figures in against):
        title = f"The choices against the targets{_first(_MOST_AGAINST, rows)}"
        yield targets_drawing("shortlist-targets", title, against, width)


def shortlist_file(answer: Mapping[str, Any], options: OutputOptions, kind: Kind) -> bytes | None:
    """Return the first picture of an answer as a file, with the summary; None where there is nothing to draw."""
    size = SIZES[options.chart_size]
    first = next(shortlist_drawings(answer, size[0]), None)
    if first is None:
        return None

    def draw(width: float, height: float) -> Drawing:
        return next(shortlist_drawings(answer, width, height))

    return written(
        on_paper(draw, first.title, for_people(answer["summary"]), size), size, options.chart_theme, kind
    )


def _first(most: int, rows: Sequence[Any]) -> str:
    return f" (the first {most} of {len(rows)} rows)" if len(rows) > most else ""


def _stands_alone(name: str) -> bool:
    """Whether a figure may be shown without its range; sums may."""
    return name not in RESULTS or not RESULTS[name].only_as_range


def _figure(row: Mapping[str, Any], name: str) -> float | None:
    found: float | None = row["sums"].get(name, row["results"].get(name))
    return found


def _axis_name(answer: Mapping[str, Any], aim: str) -> str:
    """Write what an axis measures, its unit, and which end is wanted."""
    unit = answer["result_units"].get(aim, "")
    return f"{label_of(aim)}{f', {unit}' if unit else ''} ({answer['aims'][aim]} is wanted)"


def _against(answer: Mapping[str, Any], row: Mapping[str, Any]) -> Iterator[Against]:
    for name, bounds in answer["targets"].items():
        value = _figure(row, name)
        ends = row.get("ranges", {}).get(name)
        known = None if ends is None or None in ends else (ends[0], ends[1])
        if value is not None and (known or _stands_alone(name)):
            few = _DIGITS if name in row["sums"] else digits(name)
            yield Against(label_of(name), value, bounds.get("least"), bounds.get("most"), few, known)
