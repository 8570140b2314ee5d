"""Lay the lines of an answer out over two axes. Each line has its own stroke and its name beside it."""

import math
from itertools import pairwise
from typing import NamedTuple

from gearing_api.answer import Axis, Curve
from gearing_api.answer import Line as CurveLine
from gearing_api.formats.drawing import SMALL, Area, Box, Dot, Drawing, Line, Point, Shape, Text, text_width
from gearing_api.formats.options import rounded
from gearing_api.formats.placing import Room, simplified
from gearing_api.units import System

_SIDE, _TOP, _KEY = 14.0, 26.0, 18.0
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
_ROOM = 1.03
_ALONG = (1.0, 0.93, 0.85, 0.75, 0.62, 0.5, 0.35, 0.2, 0.0)
"""Where along a line its name may stand, the best first."""

_NAMES = {
    "gear": "accent",
    "before": "word",
    "needed": "mark-word",
    "path": "mark-word",
    "limit": "word",
    "band": "word",
}


_KINDS = {"limit": "end", "band": "needed-band"}
_GEARS = ("gear", "gear-2", "gear-3", "gear-4")


class _Plot(NamedTuple):
    """The space between the axes, and how far they go, in the units shown."""

    box: Box
    x_end: float
    y_end: float
    x_factor: float
    y_factor: float

    def at(self, x: float, y: float) -> Point:
        """Return where a point in SI stands on the paper."""
        box = self.box
        across = x / self.x_factor / self.x_end * (box.right - box.left)
        return box.left + across, box.bottom - y / self.y_factor / self.y_end * (box.bottom - box.top)


class _Role(NamedTuple):
    """What is drawn of a line: its shapes, and the points that its name may stand by."""

    line: CurveLine
    kind: str
    points: tuple[Point, ...]


def curve_drawing(
    name: str, curve: Curve, system: System, width: float, height: float | None = None
) -> Drawing:
    """Lay a curve out on a paper of that width; names that have no room beside their lines stand below."""
    if height is None:
        return _laid_out(name, curve, system, width, max(255.0, 0.45 * width))
    plot_height = height
    for _ in range(4):
        drawing = _laid_out(name, curve, system, width, plot_height)
        if drawing.height <= height:
            break
        plot_height -= drawing.height - height
    return drawing


def _laid_out(name: str, curve: Curve, system: System, width: float, height: float) -> Drawing:
    factors = curve.x.quantity.factor(system), curve.y.quantity.factor(system)
    x_end, y_end = (_end(curve, axis) / factor for axis, factor in zip("xy", factors, strict=True))
    x_ticks, y_ticks = ticks(x_end, (width - 80.0) / 70.0), ticks(y_end, (height - 70.0) / 45.0)
    left = _SIDE + max(text_width(text, SMALL) for _, text in y_ticks) + 8.0
    plot = _Plot(Box(left, _TOP, width - _SIDE - 4.0, height - 40.0), x_end, y_end, *factors)
    roles = [_role(line, place, plot) for place, line in enumerate(curve.lines)]
    drawn = [shape for role in roles for shape in _shapes(role, plot)]
    names, left_over = _names(roles, curve, system, _room(drawn, plot, width))
    key, bottom = _key(left_over, width, height)
    shapes = (*_axes(plot, x_ticks, y_ticks, curve, system, width), *drawn, *names, *key)
    return Drawing(name, width, bottom, curve.title, description(curve, system), shapes)


def _end(curve: Curve, axis: str) -> float:
    """Return how far an axis goes, in SI: a little beyond all lines."""
    return (
        _ROOM * max((float(max(getattr(line, axis))) for line in curve.lines if len(line.x)), default=1.0)
        or 1.0
    )


def _room(drawn: list[Shape], plot: _Plot, width: float) -> Room:
    """Return the space between the axes, and what lines take of it."""
    room = Room(Box(plot.box.left + 2.0, _TOP, width - 4.0, plot.box.bottom - 2.0))
    for shape in drawn:
        if isinstance(shape, Line):
            room.take_line(shape.points)
        elif isinstance(shape, Dot):
            room.take(Box(shape.x - 6.0, shape.y - 6.0, shape.x + 6.0, shape.y + 6.0))
    return room


def _role(line: CurveLine, place: int, plot: _Plot) -> _Role:
    points = simplified([plot.at(float(x), float(y)) for x, y in zip(line.x, line.y, strict=True)])
    kind = _GEARS[place % 4] if line.role == "gear" else _KINDS.get(line.role, line.role)
    return _Role(line, kind, points)


def _shapes(role: _Role, plot: _Plot) -> list[Shape]:
    if not role.points:
        return []
    if role.line.role == "band":
        return [Area("needed-band", role.points)]
    if role.line.role == "mark":
        (x, y) = role.points[0]
        lines = ((plot.box.left, y), (x, y), (x, plot.box.bottom))
        return [Line("mark", lines), Dot("point", x, y, 4.0)]
    return [Line(role.kind, role.points)]


def _names(roles: list[_Role], curve: Curve, system: System, room: Room) -> tuple[list[Shape], list[_Role]]:
    """Return the names that have room beside their lines, and the lines whose names have none: marks first."""
    shapes: list[Shape] = []
    left_over: list[_Role] = []
    for role in sorted(roles, key=lambda role: role.line.role != "mark"):
        if not role.points:
            continue
        is_mark = role.line.role == "mark"
        text = _mark_text(role.line, curve, system) if is_mark else role.line.label
        kind = "strong" if is_mark else _NAMES[role.line.role]
        words = None if role.line.role == "band" else room.place(kind, text, _along(role.points))
        if words is None:
            left_over.append(role)
        else:
            shapes.append(words)
    return shapes, left_over


def _mark_text(line: CurveLine, curve: Curve, system: System) -> str:
    """Write what is read off at a mark, after its name where it has one of its own."""
    x, y = (
        f"{rounded(float(values[0]) / axis.quantity.factor(system), 3)} {axis.quantity.unit(system)}".rstrip()
        for values, axis in ((line.x, curve.x), (line.y, curve.y))
    )
    return f"{line.label}: {y}" if line.label.startswith("before") else f"{x}: {y}"


def _along(points: tuple[Point, ...]) -> list[Point]:
    """Return points along a line by its length, the best for a name first."""
    lengths = [math.dist(one, other) for one, other in pairwise(points)]
    total = sum(lengths)
    if not total:
        return [points[0]]
    return [_at_length(points, lengths, part * total) for part in _ALONG]


def _at_length(points: tuple[Point, ...], lengths: list[float], length: float) -> Point:
    for place, step in enumerate(lengths):
        if length <= step or place == len(lengths) - 1:
            part = min(1.0, length / step) if step else 0.0
            (x, y), (x_end, y_end) = points[place], points[place + 1]
            return x + part * (x_end - x), y + part * (y_end - y)
        length -= step
    return points[-1]


def _key(left_over: list[_Role], width: float, top: float) -> tuple[list[Shape], float]:
    """Return the strokes and names of lines below the axes."""
    shapes: list[Shape] = []
    left, middle = _SIDE, top + 4.0
    for role in left_over:
        wide = 34.0 + text_width(role.line.label, SMALL)
        if left > _SIDE and left + wide > width - _SIDE:
            left, middle = _SIDE, middle + _KEY
        sample: Shape = Line(role.kind, ((left, middle), (left + 22.0, middle)))
        if role.line.role == "band":
            sample = Area(role.kind, ((left, middle - 5.0), (left + 22.0, middle - 5.0), (left + 22.0, middle + 5.0),
                                      (left, middle + 5.0)))  # fmt: skip
        shapes += [sample, Text("word", left + 28.0, middle + 4.0, role.line.label, size=SMALL)]
        left += wide + 10.0
    return shapes, middle + 14.0 if left_over else top


def _axes(
    plot: _Plot,
    x_ticks: list[tuple[float, str]],
    y_ticks: list[tuple[float, str]],
    curve: Curve,
    system: System,
    width: float,
) -> list[Shape]:
    """Return the axes with their ticks and what they measure: of the one upward above it, of the other below."""
    box = plot.box
    shapes: list[Shape] = []
    for value, text in x_ticks:
        x = box.left + value / plot.x_end * (box.right - box.left)
        shapes.append(Line("axis", ((x, box.bottom), (x, box.bottom + 4.0))))
        half = text_width(text, SMALL) / 2.0
        shapes.append(Text("soft", min(x, width - 2.0 - half), box.bottom + 15.0, text, "middle", SMALL))
    for value, text in y_ticks:
        y = box.bottom - value / plot.y_end * (box.bottom - box.top)
        shapes.append(Line("axis", ((box.left - 4.0, y), (box.left, y))))
        if value:
            shapes.append(Text("soft", box.left - 7.0, y + 4.0, text, "end", SMALL))
    return [
        *shapes,
        Line("axis", ((box.left, box.top), (box.left, box.bottom), (box.right, box.bottom))),
        Text("soft", _SIDE, 15.0, axis_name(curve.y, system), size=SMALL),
        Text("soft", box.right, box.bottom + 31.0, axis_name(curve.x, system), "end", SMALL),
    ]


def axis_name(axis: Axis, system: System) -> str:
    """Write what an axis measures, and in what unit."""
    return f"{axis.name}, {axis.quantity.unit(system)}"


def ticks(end: float, most: float) -> list[tuple[float, str]]:
    """Return round numbers from 0 to the end of an axis, about as many as there is room for."""
    rough = end / max(2.0, most)
    power = float(f"1e{math.floor(math.log10(rough))}")
    step = next(power * step for step in _STEPS if power * step >= rough * (1.0 - 1e-9))
    return [(step * place, f"{step * place:,.6g}") for place in range(int(end / step + 1e-9) + 1)]


def description(curve: Curve, system: System) -> str:
    """Describe the curve in words, for readers who do not see it."""
    across, up = (axis.quantity.unit(system) for axis in (curve.x, curve.y))
    x_factor, y_factor = (axis.quantity.factor(system) for axis in (curve.x, curve.y))
    lines = [f"{curve.about}. Across: {curve.x.name}, {across}. Up: {curve.y.name}, {up}."]
    for line in curve.lines:
        if not len(line.x):
            continue
        points = [
            f"{rounded(float(line.x[place]) / x_factor)} {across}, {rounded(float(line.y[place]) / y_factor)} {up}"
            for place in ((0,) if line.role == "mark" else (0, -1))
        ]
        lines.append(f"{line.label[:1].upper()}{line.label[1:]}: {' to '.join(points)}.")
    return " ".join(lines)
