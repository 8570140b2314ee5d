"""A drawing of lines, bars, dots and words, and how it is written as SVG: the same bytes for the same drawing.

Layouts place shapes on a paper measured in pixels, and name what each shape is; this module knows how each kind
looks. In a page the shapes are drawn in the colour of the text and take their colours from the stylesheet, so
that print and forced colours work; a drawing that is served by itself carries the colours of its theme.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal, NamedTuple

Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]

SMALL, PLAIN, LARGE = 11.0, 12.0, 16.0
"""Sizes of words in pixels."""


@dataclass(frozen=True)
class Theme:
    """Colours of a drawing. Lines have a contrast of at least 3 to 1 with the paper, words 4.5 to 1."""

    paper: str
    ink: str
    soft: str
    grid: str
    accent: str
    mark: str


THEMES = {
    "light": Theme("#fffdf8", "#1c2321", "#5a655f", "#e6dfd0", "#0b5e73", "#9a3b12"),
    "dark": Theme("#202625", "#e9e5da", "#a9b3ae", "#3a4442", "#7cc4d6", "#f2a065"),
}

_VARIABLES = {
    "paper": "--card",
    "ink": "--ink",
    "soft": "--soft",
    "grid": "--line",
    "accent": "--link",
    "mark": "--mark",
}
"""The page's names for the colours of a theme."""


class Style(NamedTuple):
    """How a kind of shape looks: colours by the names of a theme, `weight` the width of its line in pixels."""

    fill: str | None = None
    stroke: str | None = None
    weight: float = 1.0
    dash: tuple[float, ...] = ()
    fill_opacity: float = 1.0
    bold: bool = False


STYLES: dict[str, Style] = {
    "paper": Style(fill="paper"),
    "heading": Style(fill="ink", bold=True),
    "word": Style(fill="ink"),
    "strong": Style(fill="ink", bold=True),
    "soft": Style(fill="soft"),
    "accent": Style(fill="accent"),
    "mark-word": Style(fill="mark", bold=True),
    "axis": Style(stroke="soft", weight=1.0),
    "tick": Style(stroke="ink", weight=1.2),
    "first": Style(stroke="ink", weight=3.5),
    "bar": Style(fill="accent", stroke="accent", fill_opacity=0.28),
    "before-bar": Style(stroke="ink", weight=1.2, dash=(2, 2)),
    "solid": Style(fill="accent", stroke="accent"),
    "over": Style(fill="mark", stroke="mark"),
    "soft-over": Style(fill="mark", stroke="mark", fill_opacity=0.4),
    "lighter": Style(fill="accent", stroke="accent", fill_opacity=0.16, dash=(3, 2)),
    "lighter-over": Style(fill="mark", stroke="mark", fill_opacity=0.16, dash=(3, 2)),
    "nowhere": Style(stroke="soft", dash=(1, 3), weight=1.5),
    "frame": Style(stroke="ink", weight=1.8),
    "limit": Style(stroke="ink", weight=1.8),
    "halo": Style(stroke="paper", weight=6.0),
    "end": Style(stroke="ink", weight=1.2, dash=(4, 3)),
    "hollow": Style(fill="paper", stroke="ink", weight=1.6),
    "ring": Style(stroke="ink", weight=1.6),
    "handle": Style(fill="mark", stroke="mark", weight=1.0),
    "touch": Style(fill="ink", fill_opacity=0.0),
    "gear": Style(stroke="accent", weight=1.6),
    "gear-2": Style(stroke="accent", weight=1.6, dash=(7, 2)),
    "gear-3": Style(stroke="accent", weight=1.6, dash=(7, 2, 1.5, 2)),
    "gear-4": Style(stroke="accent", weight=1.6, dash=(2.5, 1.5)),
    "path": Style(stroke="mark", weight=2.4),
    "needed": Style(stroke="mark", weight=2.4),
    "before": Style(stroke="ink", weight=1.4, dash=(1.5, 2.5)),
    "needed-band": Style(fill="mark", fill_opacity=0.18),
    "mark": Style(stroke="ink", weight=0.8),
    "point": Style(fill="ink", stroke="paper"),
    "verdict": Style(stroke="ink", weight=1.8),
}  # fmt: skip
"""How each kind of shape looks; the kind is its class in a page."""


class Line(NamedTuple):
    """A line through points."""

    kind: str
    points: tuple[Point, ...]


class Area(NamedTuple):
    """The area within points."""

    kind: str
    points: tuple[Point, ...]


class Bar(NamedTuple):
    """An upright rectangle by its upper left corner."""

    kind: str
    x: float
    y: float
    width: float
    height: float


class Dot(NamedTuple):
    """A circle."""

    kind: str
    x: float
    y: float
    radius: float


class Text(NamedTuple):
    """Words on one line; `y` is where they stand."""

    kind: str
    x: float
    y: float
    text: str
    anchor: Anchor = "start"
    size: float = PLAIN

    @property
    def box(self) -> "Box":
        """Return the space that the words take at most."""
        width = text_width(self.text, self.size, STYLES[self.kind].bold)
        left = self.x - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * width
        return Box(left, self.y - 0.95 * self.size, left + width, self.y + 0.26 * self.size)


class Link(NamedTuple):
    """Shapes that lead to an address, what they say to who cannot see them, and data for a script."""

    href: str
    label: str
    shapes: tuple["Shape", ...]
    data: tuple[tuple[str, str], ...] = ()


Shape = Line | Area | Bar | Dot | Text | Link


class Box(NamedTuple):
    """An upright rectangle by its sides."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: "Box") -> bool:
        """Tell whether the two share any space."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


class Drawing(NamedTuple):
    """Shapes on a paper, with a title and a description for readers who do not see it."""

    name: str
    width: float
    height: float
    title: str
    about: str
    shapes: tuple[Shape, ...]

    @property
    def has_links(self) -> bool:
        """Tell whether something in it can be followed."""
        return any(isinstance(shape, Link) for shape in self.shapes)


_NARROW, _SLIM, _WIDE, _BROAD = "iIjl.,:;'|!", '()[]{} /-frt"', "mMW@%", "wQGODHNU+=<>&"


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return how wide words are at most, in the widest of the fonts they are likely to be set in."""
    ems = sum(
        0.36 if letter in _NARROW else 0.42 if letter in _SLIM else 1.0 if letter in _WIDE
        else 0.86 if letter in _BROAD else 0.7 if letter.isupper() else 0.64
        for letter in text
    )  # fmt: skip
    return size * ems * (1.12 if bold else 1.0)


def cut(text: str, room: float, size: float = PLAIN, bold: bool = False) -> str:
    """Cut words that have no room."""
    if text_width(text, size, bold) <= room:
        return text
    end = next(
        end for end in range(len(text) - 1, -1, -1) if text_width(text[:end], size, bold) <= room - size
    )
    return f"{text[:end].rstrip()}\N{HORIZONTAL ELLIPSIS}"


def wrapped(text: str, room: float, size: float = PLAIN, bold: bool = False) -> list[str]:
    """Break words into lines that fit the room."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size, bold) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def moved(shape: Shape, across: float, down: float, scale: float = 1.0) -> Shape:
    """Return a shape elsewhere on the paper, and in another size."""
    match shape:
        case Link(_, _, shapes, _):
            return shape._replace(shapes=tuple(moved(part, across, down, scale) for part in shapes))
        case Line(_, points) | Area(_, points):
            return shape._replace(points=tuple((scale * x + across, scale * y + down) for x, y in points))
        case Bar(kind, x, y, width, height):
            return Bar(kind, scale * x + across, scale * y + down, scale * width, scale * height)
        case Dot(kind, x, y, radius):
            return Dot(kind, scale * x + across, scale * y + down, scale * radius)
        case Text(_, x, y, _, _, size):
            return shape._replace(x=scale * x + across, y=scale * y + down, size=scale * size)


def retold(drawing: Drawing, told: Callable[[str], str]) -> Drawing:
    """Return the drawing with all that it says told otherwise."""

    def anew(shape: Shape) -> Shape:
        match shape:
            case Link(_, label, shapes, _):
                return shape._replace(label=told(label), shapes=tuple(map(anew, shapes)))
            case Text(_, _, _, text):
                return shape._replace(text=told(text))
        return shape

    title, about = told(drawing.title), told(drawing.about)
    return drawing._replace(title=title, about=about, shapes=tuple(map(anew, drawing.shapes)))


def fitted(
    kind: str, middle: float, y: float, text: str, left: float, right: float, size: float = PLAIN
) -> Text:
    """Return words around a middle, moved so far that they stay between two sides."""
    half = text_width(text, size, STYLES[kind].bold) / 2.0
    return Text(kind, max(left + half, min(right - half, middle)), y, text, "middle", size)


def ruled(kind: str, points: tuple[Point, ...]) -> tuple[Line, Line]:
    """Return a line that can be told from a bar of its own colour that it crosses."""
    return Line("halo", points), Line(kind, points)


def as_page_part(drawing: Drawing) -> str:
    """Return the drawing as an SVG element of a page, which its stylesheet colours."""
    return _written(drawing, None)


def as_file(drawing: Drawing, theme: Theme, width: int, height: int) -> str:
    """Return the drawing as an SVG file of that size in pixels, in the colours of the theme."""
    return _written(drawing, theme, f' width="{width}" height="{height}"')


def _written(drawing: Drawing, theme: Theme | None, size: str = "") -> str:
    # Links inside an image are out of reach for those who do not see it: with links it is a group.
    role = "group" if drawing.has_links else "img"
    font = "" if theme is None else ' font-family="DejaVu Sans, Verdana, Noto Sans, sans-serif"'
    title, about = escape(drawing.title), escape(drawing.about)
    paper = "" if theme is None else f'<rect width="100%" height="100%" fill="{theme.paper}"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="picture p-{drawing.name}" role="{role}" '
        f'aria-label="{title}"{size} viewBox="0 0 {_n(drawing.width)} {_n(drawing.height)}"{font}>'
        f"<title>{title}</title><desc>{about}</desc>{paper}"
        f"{''.join(_shape(shape, theme) for shape in drawing.shapes)}</svg>"
    )


def _shape(shape: Shape, theme: Theme | None) -> str:
    match shape:
        case Link(href, label, shapes, data):
            more = "".join(f' data-{name}="{escape(value)}"' for name, value in data)
            inner = "".join(_shape(part, theme) for part in shapes)
            return f'<a href="{escape(href)}" aria-label="{escape(label)}"{more}>{inner}</a>'
        case Line(kind, points):
            return f'<polyline{_look(kind, theme)} points="{_points(points)}"/>'
        case Area(kind, points):
            return f'<polygon{_look(kind, theme)} points="{_points(points)}"/>'
        case Bar(kind, x, y, width, height):
            corner = f'x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}"'
            return f"<rect{_look(kind, theme)} {corner}/>"
        case Dot(kind, x, y, radius):
            return f'<circle{_look(kind, theme)} cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>'
        case Text(kind, x, y, text, anchor, size):
            anchored = "" if anchor == "start" else f' text-anchor="{anchor}"'
            bold = ' font-weight="bold"' if STYLES[kind].bold else ""
            where = f'x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}"{anchored}{bold}'
            return f"<text{_look(kind, theme)} {where}>{escape(text)}</text>"


def _look(kind: str, theme: Theme | None) -> str:
    """Return class and presentation attributes of a kind."""
    style = STYLES[kind]
    found = [f' class="p-{kind}"' if theme is None else ""]
    for name, colour in (("fill", style.fill), ("stroke", style.stroke)):
        if colour is None:
            found.append(' fill="none"' if name == "fill" else "")
        else:
            found.append(f' {name}="{_in_page(colour) if theme is None else getattr(theme, colour)}"')
    if style.fill_opacity != 1.0:
        found.append(f' fill-opacity="{_n(style.fill_opacity)}"')
    if style.stroke:
        found.append(f' stroke-width="{_n(style.weight)}"')
    if style.dash:
        found.append(f' stroke-dasharray="{" ".join(map(_n, style.dash))}"')
    return "".join(found)


def _in_page(colour: str) -> str:
    """Return the colour of a shape before the stylesheet: that of the text, or of the paper."""
    return "Canvas" if colour == "paper" else "currentColor"


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")


def stylesheet() -> str:
    """Return the colours of the drawings in a page, by the page's own names for its colours.

    Print and forced colours do without: all is drawn in the colour of the text then.
    """
    rules = ["".join(_rules(kind, style)) for kind, style in STYLES.items()]
    return (
        ".picture{display:block;width:100%;height:auto;font-family:inherit}"
        ".picture a{outline-offset:2px}.picture a:hover text{text-decoration:underline}"
        f"@media screen and (forced-colors:none){{{''.join(rules)}}}\n"
    )


def _rules(kind: str, style: Style) -> Sequence[str]:
    pairs: Mapping[str, str | None] = {"fill": style.fill, "stroke": style.stroke}
    inside = ";".join(
        f"{name}:var({_VARIABLES[colour]},currentColor)"
        for name, colour in pairs.items()
        if colour is not None
    )
    return [f".picture .p-{kind}{{{inside}}}"]
