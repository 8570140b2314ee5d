"""Draw a drawing as PNG. The library is imported with the first one.

One lock guards it, because the library keeps its settings for the whole process.
"""

import io
from threading import Lock
from typing import TYPE_CHECKING, Any

from gearing_api.formats.drawing import STYLES, Area, Bar, Dot, Drawing, Line, Link, Shape, Style, Text, Theme

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_LOCK = Lock()
_INCH = 72.0
_SETTINGS: dict[Any, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans", "Verdana", "Noto Sans", "sans-serif"],
    "text.parse_math": False,
    "lines.solid_capstyle": "butt",
    "patch.force_edgecolor": True,
}


def as_png(drawing: Drawing, theme: Theme, width: int, height: int) -> bytes:
    """Return the drawing as PNG of that size in pixels."""
    import matplotlib

    out = io.BytesIO()
    with _LOCK, matplotlib.rc_context(_SETTINGS):
        figure_of(drawing, theme, width, height).savefig(out, format="png", metadata={"Software": None})
    return out.getvalue()


def figure_of(drawing: Drawing, theme: Theme, width: int, height: int) -> "Figure":
    """Return the drawing as a figure of the library, one of its inches to 72 pixels of the paper."""
    from matplotlib.figure import Figure

    dots = _INCH * width / drawing.width
    figure = Figure((width / dots, height / dots), dpi=dots, facecolor=theme.paper)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, drawing.width)
    axes.set_ylim(drawing.height, 0.0)
    for order, artist in enumerate(_artists(drawing.shapes, theme)):
        artist.set_zorder(order)
        axes.add_artist(artist)
    return figure


def _artists(shapes: tuple[Shape, ...], theme: Theme) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Circle, Polygon, Rectangle
    from matplotlib.text import Text as Words

    made: list[Any] = []
    for shape in shapes:
        match shape:
            case Link(_, _, inner, _):
                made += _artists(inner, theme)
            case Line(kind, points):
                style = STYLES[kind]
                across, down = zip(*points, strict=True)
                colour = getattr(theme, style.stroke or "ink")
                made.append(
                    Line2D(across, down, color=colour, linewidth=style.weight, linestyle=_dash(style))
                )
            case Area(kind, points):
                made.append(Polygon(points, **_look(kind, theme)))
            case Bar(kind, x, y, width, height):
                made.append(Rectangle((x, y), width, height, **_look(kind, theme)))
            case Dot(kind, x, y, radius):
                made.append(Circle((x, y), radius, **_look(kind, theme)))
            case Text(kind, x, y, text, anchor, size):
                aligned = {"start": "left", "middle": "center", "end": "right"}[anchor]
                weight = "bold" if STYLES[kind].bold else "normal"
                colour = getattr(theme, STYLES[kind].fill or "ink")
                made.append(
                    Words(x, y, text, color=colour, size=size, ha=aligned, va="baseline", weight=weight)
                )
    return made


def _look(kind: str, theme: Theme) -> dict[str, Any]:
    from matplotlib.colors import to_rgba

    style = STYLES[kind]
    fill = "none" if style.fill is None else to_rgba(getattr(theme, style.fill), style.fill_opacity)
    edge = "none" if style.stroke is None else getattr(theme, style.stroke)
    return {"facecolor": fill, "edgecolor": edge, "linewidth": style.weight, "linestyle": _dash(style)}


def _dash(style: Style) -> Any:
    """Return the dashes of a line as the library counts them, in widths of the line."""
    return (0, [part / style.weight for part in style.dash]) if style.dash else "solid"
