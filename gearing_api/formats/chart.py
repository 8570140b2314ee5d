"""Draw the curve of an answer as SVG or PNG: the same bytes for the same curve.

One lock guards the drawing, because the library keeps its settings for the whole process; it is imported with
the first chart. Each line has its own stroke and its name beside it, so that colour alone never carries a
meaning.
"""

import io
import re
from dataclasses import dataclass
from functools import lru_cache, partial
from html import escape
from itertools import pairwise
from threading import Lock
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

import orjson

from gearing_api.answer import Curve
from gearing_api.formats.document import Document, plain_column
from gearing_api.formats.options import rounded
from gearing_api.units import System

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KEPT = 256
"""Charts in the cache of a worker, each below 100 kB."""

_LOCK = Lock()


class Size(NamedTuple):
    """Size of the paper in inches, and dots per inch."""

    width: float
    height: float
    dots: int


SIZES = {"480x320": Size(4.8, 3.2, 100), "800x500": Size(8.0, 5.0, 100), "1200x630": Size(8.0, 4.2, 150)}
"""Sizes in pixels that a request may choose."""


@dataclass(frozen=True)
class Theme:
    """Colours of a chart. Lines have a contrast of at least 3 to 1 with the paper, words 4.5 to 1."""

    paper: str
    ink: str
    soft: str
    grid: str
    gears: tuple[str, ...]
    mark: str
    before: str


THEMES = {
    "light": Theme("#fffdf8", "#1c2321", "#5a655f", "#e6dfd0", ("#0b5e73", "#3d7f93"), "#a63c0b", "#1c2321"),
    "dark": Theme("#202625", "#e9e5da", "#a9b3ae", "#3a4442", ("#7cc4d6", "#4f9db2"), "#f2a065", "#e9e5da"),
}

_STROKES: tuple[Any, ...] = ("solid", (0, (7, 2)), (0, (7, 2, 1.5, 2)), (0, (2.5, 1.5)))
_TITLE, _WORDS = 13.0, 9.0

_SETTINGS: dict[Any, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Noto Sans", "sans-serif"],
    "font.size": _WORDS,
    "svg.fonttype": "none",
    "svg.hashsalt": "gearing",
    "text.parse_math": False,
}


@lru_cache(maxsize=1)
def card() -> bytes:
    """Return the preview picture of answers without a curve, as large as the largest chart."""
    with _LOCK:
        return _card(SIZES["1200x630"], THEMES["light"])


def description(curve: Document) -> str:
    """Describe the curve in words, for readers who do not see it."""
    across, up = (axis["unit"] for axis in curve["axes"])
    lines = [f"Across: {curve['axes'][0]['name']}, {across}. Up: {curve['axes'][1]['name']}, {up}."]
    for line in curve["lines"]:
        points = [
            f"{rounded(line['x'][place])} {across}, {rounded(line['y'][place])} {up}"
            for place in ((0,) if line["role"] == "mark" else (0, -1))
        ]
        lines.append(f"{line['label'].capitalize()}: {' to '.join(points)}.")
    return " ".join(lines)


def curve_document(curve: Curve, system: System) -> Document:
    """Return a curve as plain numbers and words, in the units of a system."""
    return {
        "title": curve.title,
        "about": curve.about,
        "axes": [{"name": axis.name, "unit": axis.quantity.unit(system)} for axis in (curve.x, curve.y)],
        "lines": [
            {
                "label": line.label,
                "role": line.role,
                "x": plain_column(line.x, curve.x.quantity, system),
                "y": plain_column(line.y, curve.y.quantity, system),
            }
            for line in curve.lines
        ],
    }


def curve_file(curve: Curve, system: System, size: str, theme: str, kind: Literal["svg", "png"]) -> bytes:
    """Return the curve as a file, SVG with real text."""
    return _render(orjson.dumps(curve_document(curve, system)), size, theme, kind)


@lru_cache(maxsize=KEPT)
def _render(curve_as_json: bytes, size: str, theme: str, kind: Literal["svg", "png"]) -> bytes:
    """Draw a curve; the key of the cache is the curve itself, however the build was written."""
    curve = orjson.loads(curve_as_json)
    with _LOCK:
        return _save(curve, SIZES[size], THEMES[theme], kind)


def _save(curve: Document, size: Size, theme: Theme, kind: Literal["svg", "png"]) -> bytes:
    import matplotlib

    out = io.BytesIO()
    with matplotlib.rc_context(_SETTINGS):
        figure = _figure(curve, size, theme)
        if kind == "png":
            figure.savefig(out, format="png", dpi=size.dots, metadata={"Software": None})
            return out.getvalue()
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        figure.savefig(out, format="svg", metadata=nothing)
    return _with_description(out.getvalue().decode(), curve, size).encode()


_escaped = partial(escape, quote=False)
_IN_POINTS = re.compile(r' width="[^"]*" height="[^"]*"')


def _with_description(svg: str, curve: Document, size: Size) -> str:
    """Set the size in pixels, add title and description, and drop the prolog that only files need."""
    width, height = round(size.width * size.dots), round(size.height * size.dots)
    in_pixels = f' width="{width}" height="{height}" role="img" aria-labelledby="title desc"'
    words = (
        f'<title id="title">{_escaped(curve["title"])}</title>'
        f'<desc id="desc">{_escaped(curve["about"])}. {_escaped(description(curve))}</desc>'
    )
    opening, end, drawing = svg[svg.index("<svg") :].partition(">")
    return _IN_POINTS.sub(in_pixels, opening) + end + words + drawing


def _figure(curve: Document, size: Size, theme: Theme) -> "Figure":
    from matplotlib.figure import Figure

    figure = Figure((size.width, size.height), dpi=100, facecolor=theme.paper)
    left, right, below, above = 0.72, 0.42, 0.58, 1.02
    axes = figure.add_axes(
        (
            left / size.width,
            below / size.height,
            1 - (left + right) / size.width,
            1 - (below + above) / size.height,
        )
    )
    _draw_heading(figure, curve, size, theme)
    _draw_grid(axes, curve, theme)
    for place in range(len(curve["lines"])):
        _draw_line(axes, curve, place, theme)
    _name_lines(axes, curve, size, theme)
    return figure


def _draw_heading(figure: "Figure", curve: Document, size: Size, theme: Theme) -> None:
    left = 0.2 / size.width
    figure.text(left, 1 - 0.32 / size.height, curve["title"], color=theme.ink, size=_TITLE, weight="bold")
    figure.text(left, 1 - 0.53 / size.height, curve["about"], color=theme.soft)


def _draw_grid(axes: "Axes", curve: Document, theme: Theme) -> None:
    """Draw paper, grid and axes."""
    lines = curve["lines"]
    axes.set_xlim(0.0, 1.02 * max(max(line["x"]) for line in lines) or 1.0)
    axes.set_ylim(0.0, 1.02 * max(max(line["y"]) for line in lines) or 1.0)
    axes.set_facecolor(theme.paper)
    axes.grid(color=theme.grid, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.tick_params(colors=theme.soft, length=0, pad=6)
    for side, spine in axes.spines.items():
        spine.set_visible(side in ("left", "bottom"))
        spine.set_color(theme.soft)
    across, up = (f"{axis['name']}, {axis['unit']}" for axis in curve["axes"])
    axes.set_xlabel(across, color=theme.soft)
    axes.set_ylabel(up, color=theme.soft)


def _draw_line(axes: "Axes", curve: Document, place: int, theme: Theme) -> None:
    line = curve["lines"][place]
    x, y = line["x"], line["y"]
    match line["role"]:
        case "gear":
            stroke, colour = _STROKES[place % len(_STROKES)], theme.gears[place % len(theme.gears)]
            axes.plot(x, y, color=colour, linestyle=stroke, linewidth=1.6)
        case "path":
            axes.plot(x, y, color=theme.mark, linewidth=2.6, alpha=0.85, solid_joinstyle="miter")
            axes.text(0.98, 0.06, f"\N{EM DASH} {line['label']}", color=theme.mark, ha="right",
                      transform=axes.transAxes)  # fmt: skip
        case "before":
            axes.plot(x, y, color=theme.before, linewidth=1.4, linestyle=(0, (1, 1.6)))
        case "needed":
            axes.plot(x, y, color=theme.mark, linewidth=2.6)
        case "mark":
            axes.plot([0.0, x[0], x[0]], [y[0], y[0], 0.0], color=theme.ink, linewidth=0.8, alpha=0.6)
            axes.plot(x, y, color=theme.ink, marker="o", markersize=6, markeredgecolor=theme.paper)
            _name_mark(axes, x[0], y[0], curve, theme)


def _name_mark(axes: "Axes", x: float, y: float, curve: Document, theme: Theme) -> None:
    """Write the values at a mark, below it and on the side with more room."""
    across, up = (axis["unit"] for axis in curve["axes"])
    is_left = x < 0.6 * axes.get_xlim()[1]
    axes.annotate(
        f"{rounded(x)} {across}: {rounded(y)} {up}",
        (x, y),
        xytext=(7 if is_left else -7, -13),
        textcoords="offset points",
        ha="left" if is_left else "right",
        color=theme.ink,
        bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 1.0, "alpha": 0.85},
    )


class _Box(NamedTuple):
    """Space that a name takes, in points from the lower left corner."""

    left: float
    bottom: float
    right: float
    top: float

    def overlaps(self, other: "_Box") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.bottom < other.top
            and other.bottom < self.top
        )


def _name_lines(axes: "Axes", curve: Document, size: Size, theme: Theme) -> None:
    """Write each line's name above its highest point, its first or its middle; omit it if no row is free."""
    colours = {"gear": theme.gears[0], "before": theme.before, "needed": theme.mark}
    width, height = 72.0 * size.width, 72.0 * size.height
    to_paper = axes.transData + axes.figure.transFigure.inverted()
    taken: list[_Box] = []
    for line in curve["lines"]:
        if line["role"] not in colours:
            continue
        highest = max(range(len(line["y"])), key=line["y"].__getitem__)
        points = dict.fromkeys((highest, 0, len(line["y"]) // 2))
        above = (to_paper.transform((line["x"][point], line["y"][point])) for point in points)
        boxes = (
            _free_space(taken, line["label"], across * width, up * height + 5.0, width)
            for across, up in above
        )
        box = next(filter(None, boxes), None)
        if box is not None:
            taken.append(box)
            axes.figure.text(
                (box.left + box.right) / 2.0 / width,
                (box.bottom + 2.0) / height,
                line["label"],
                color=colours[line["role"]],
                ha="center",
                bbox={"facecolor": theme.paper, "edgecolor": "none", "pad": 1.0, "alpha": 0.85},
            )


def _free_space(taken: list[_Box], label: str, middle: float, bottom: float, most: float) -> _Box | None:
    """Return the lowest of three rows in which the label overlaps no other."""
    width, height = 0.53 * _WORDS * len(label) + 2.0, 1.3 * _WORDS
    left = min(max(middle - width / 2.0, 2.0), most - width - 2.0)
    for row in range(3):
        box = _Box(left, bottom + row * height, left + width, bottom + (row + 1) * height)
        if not any(box.overlaps(other) for other in taken):
            return box
    return None


def _card(size: Size, theme: Theme) -> bytes:
    """Draw the title above a line that climbs through the gears."""
    import matplotlib
    from matplotlib.figure import Figure

    out = io.BytesIO()
    with matplotlib.rc_context(_SETTINGS):
        figure = Figure((size.width, size.height), facecolor=theme.paper)
        axes = figure.add_axes((0.0, 0.0, 1.0, 0.62))
        axes.set_axis_off()
        axes.set_xlim(0.0, 8.0)
        axes.set_ylim(0.0, 1.0)
        ends = (1.0, 2.0, 3.3, 4.9, 6.7, 9.0)
        teeth = [(x, y) for low, high in pairwise(ends) for x, y in ((low, 0.9), (low, 0.9 * low / high))]
        for place, end in enumerate(ends):
            axes.plot((0.0, end), (0.0, 0.9), color=theme.gears[place % 2], linewidth=1.6,
                      linestyle=_STROKES[place % len(_STROKES)])  # fmt: skip
        axes.plot(*zip((0.0, 0.0), *teeth, (ends[-1], 0.9), strict=True), color=theme.mark, linewidth=3.4)
        figure.text(
            0.06, 0.83, "Which tyre, which axle, which gears?", color=theme.ink, size=23, weight="bold"
        )
        figure.text(
            0.06, 0.72, "Drivability and strength of a trail vehicle after a swap", color=theme.soft, size=13
        )
        figure.savefig(out, format="png", dpi=size.dots, metadata={"Software": None})
    return out.getvalue()
