"""Pictures of a shortlist, from plain numbers: what each choice gives up, and its figures against the targets."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from gearing_api.formats.chart import ticks
from gearing_api.formats.drawing import SMALL, Bar, Box, Dot, Drawing, Line, Shape, Text, text_width
from gearing_api.formats.options import rounded
from gearing_api.formats.placing import Room

_SIDE, _TOP = 14.0, 26.0


class Choice(NamedTuple):
    """A combination by its two figures; `kept` where nothing beats it."""

    name: str
    x: float
    y: float
    kept: bool


class Against(NamedTuple):
    """A figure against what is wanted of it."""

    name: str
    value: float
    least: float | None
    most: float | None


def front_drawing(
    name: str, title: str, choices: Sequence[Choice], across: str, up: str, width: float
) -> Drawing:
    """Draw all combinations over two aims, with the names of those that nothing beats.

    Names that have no room beside their points are numbered, and stand below.
    """
    height = max(280.0, 0.62 * width)
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
        room.take(Box(x - radius, y - radius, x + radius, y + radius))
    bottom = height
    for number, choice in enumerate(kept, 1):
        words = room.place("strong", choice.name, [at(choice)])
        if words is None:
            words = room.place("strong", str(number), [at(choice)])
            bottom += 17.0
            shapes.append(Text("word", _SIDE, bottom - 6.0, f"{number}: {choice.name}", size=SMALL))
        if words is not None:
            shapes.append(words)
    about = " ".join(f"{choice.name}: {rounded(choice.x)}, {rounded(choice.y)}." for choice in kept)
    beaten = len(choices) - len(kept)
    return Drawing(
        name,
        width,
        bottom,
        title,
        f"Across: {across}. Up: {up}. {about} {beaten} more are beaten.",
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
    """
    results = list(dict.fromkeys(one.name for _, figures in rows for one in figures))
    most = {
        result: 1.08 * max(
            abs(value)
            for _, figures in rows
            for one in figures
            if one.name == result
            for value in (one.value, one.least, one.most)
            if value is not None
        ) or 1.0
        for result in results
    }  # fmt: skip
    labels = max(text_width(result, SMALL) for result in results)
    left, right = _SIDE + labels + 8.0, width - _SIDE - 62.0
    shapes: list[Shape] = []
    top = 0.0
    for choice, figures in rows:
        shapes.append(Text("strong", _SIDE, top + 15.0, choice))
        top += 22.0
        for one in figures:
            scale = (right - left) / most[one.name]
            misses = (one.least is not None and one.value < one.least) or (
                one.most is not None and one.value > one.most
            )
            shapes += [
                Text("word", left - 8.0, top + 11.0, one.name, "end", SMALL),
                Bar("lighter-over" if misses else "bar", left, top + 3.0, max(scale * one.value, 0.5), 9.0),
                Text(
                    "mark-word" if misses else "strong",
                    width - _SIDE,
                    top + 11.0,
                    _value(one, misses),
                    "end",
                    SMALL,
                ),
            ]
            for end in (one.least, one.most):
                if end is not None:
                    shapes.append(
                        Line("limit", ((left + scale * end, top), (left + scale * end, top + 15.0)))
                    )
            top += 18.0
        top += 6.0
    told = (
        (choice, ", ".join(f"{one.name} {_value(one, False)}" for one in figures)) for choice, figures in rows
    )
    about = " ".join(f"{choice}: {words}." for choice, words in told)
    return Drawing(name, width, top + 4.0, title, about, tuple(shapes))


def _is_below(one: Against) -> bool:
    return one.least is not None and one.value < one.least


def _value(one: Against, misses: bool) -> str:
    """Write a figure, with a sign where it misses: below what is wanted, or above it."""
    sign = "" if not misses else " \N{DOWNWARDS ARROW}" if _is_below(one) else " \N{UPWARDS ARROW}"
    return rounded(one.value, 3) + sign


def shortlist_drawings(answer: Mapping[str, Any], width: float) -> Iterator[Drawing]:
    """Yield the pictures of a shortlist's answer: its rows over the first two aims, and against the targets."""
    rows = answer["rows"]
    aims = list(answer["aims"])[:2]
    if len(aims) == 2:
        figures = ((row, _figure(row, aims[0]), _figure(row, aims[1])) for row in rows)
        choices = [
            Choice(row["label"], x, y, kept=row["meets"] == "all")
            for row, x, y in figures
            if x is not None and y is not None
        ]
        if choices:
            across, up = (_axis_name(answer, aim) for aim in aims)
            yield front_drawing("shortlist", f"What each choice gives up: {_words(aims[0])} against {_words(aims[1])}",
                                choices, across, up, width)  # fmt: skip
    against = [(row["label"], [*_against(answer, row)]) for row in rows]
    if any(figures for _, figures in against):
        yield targets_drawing("shortlist-targets", "The choices against the targets", against, width)


def _figure(row: Mapping[str, Any], name: str) -> float | None:
    found: float | None = row["sums"].get(name, row["results"].get(name))
    return found


def _words(name: str) -> str:
    return name.replace("_", " ")


def _axis_name(answer: Mapping[str, Any], aim: str) -> str:
    """Write what an axis measures, its unit, and which end is wanted."""
    unit = answer["result_units"].get(aim, "")
    return f"{_words(aim)}{f', {unit}' if unit else ''} ({answer['aims'][aim]} is wanted)"


def _against(answer: Mapping[str, Any], row: Mapping[str, Any]) -> Iterator[Against]:
    for name, bounds in answer["targets"].items():
        value = _figure(row, name)
        if value is not None:
            yield Against(_words(name), value, bounds.get("least"), bounds.get("most"))
