"""The pictures of answers: in pages, and as files of their own.

A picture is drawn by what the answer gives to show (`Answer.picture`), whatever the question: a question that
brings a picture needs no change here.
"""

from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Literal

from gearing_api.answer import Answer, Curve, Limits, Picture, Question, Ruler, SideView, Spans, Varied
from gearing_api.build import Build
from gearing_api.formats import raster
from gearing_api.formats.bars import limits_drawing
from gearing_api.formats.chart import curve_drawing
from gearing_api.formats.document import Document
from gearing_api.formats.drawing import (
    LARGE,
    THEMES,
    Drawing,
    Text,
    as_file,
    as_page_part,
    moved,
    retold,
    wrapped,
)
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.ranges_drawn import Turns, turns_drawing, turns_of, varied_drawing, varied_title
from gearing_api.formats.ruler import MakeLink, ruler_drawing
from gearing_api.formats.ruler import title as ruler_title
from gearing_api.formats.side_view import side_drawing
from gearing_api.formats.spans import spans_drawing
from gearing_api.ranges.pictures import softened_picture
from gearing_api.units import System
from gearing_api.vocabulary import FieldError, InvalidBuild, for_people

WIDE, NARROW = 620.0, 340.0
"""Widths of a picture in a page, in pixels: of a column, and of a phone."""

_SIDE = 14.0
_SMALLEST, _NATURAL = 440.0, 640.0
"""Width of the paper of a file, where its height allows it: words are as large as they can be. A curve takes more."""

SIZES = {"480x320": (480, 320), "800x500": (800, 500), "1200x630": (1200, 630)}
"""Sizes of files in pixels that a request may choose."""

KEPT = 256
"""Pictures in the cache of a worker, each below 100 kB."""

Kind = Literal["svg", "png"]


def pictures(
    question: Question,
    build: Build,
    answer: Answer,
    link: MakeLink,
    width: float = WIDE,
    *,
    bands: bool = False,
) -> dict[str, str]:
    """Return the pictures of an answer as SVG elements of a page, by the question that each belongs to.

    Parameters
    ----------
    question, build, answer
        What was asked, and its answer; of a build sheet, all pictures of its parts.
    link : callable
        Returns the address of this build with some fields changed; a field that is None must be left out.
    width : float
        Width of the paper; the picture fills the space it is given, in proportion. Words keep their size at
        this width, so ask for one as wide as the screen shows it: `WIDE`, `NARROW`.
    bands : bool
        Whether edges are soft, of builds like this one, in pictures that can show it.

    Notes
    -----
    The elements have classes and no style: the page needs `drawing.stylesheet()`. A tick of the ruler is a link
    with `data-ratio` (a tooth pair, `43/10`, or a ratio), the handle is the circle `.p-handle`; a change below
    the limit bars is a link with `data-change`.
    """
    drawn = drawings(question, build, answer, link, width, bands=bands)
    return {drawing.name: as_page_part(drawing) for drawing in drawn}


def drawings(
    question: Question,
    build: Build,
    answer: Answer,
    link: MakeLink | None,
    width: float = WIDE,
    *,
    bands: bool = False,
) -> Iterator[Drawing]:
    """Yield the same before they are written, with their titles and descriptions."""
    if answer.sheet is not None:
        for part in answer.sheet.parts:
            yield from drawings(part.question, part.build, part.answer, link, width, bands=bands)
    elif answer.picture is not None and (picture := answer.picture()) is not None:
        picture = softened_picture(picture, build) if bands else picture
        yield drawing_of(question.name, picture, build.system, width, link=link)


def drawing_of(
    name: str,
    picture: Picture | Turns,
    system: System,
    width: float,
    height: float | None = None,
    link: MakeLink | None = None,
) -> Drawing:
    """Lay a picture out on a paper of that width; one that can fill a height does."""
    match picture:
        case Curve():
            return curve_drawing(name, picture, system, width, height)
        case SideView():
            return side_drawing(name, picture, width)
        case Spans():
            return spans_drawing(name, picture, system, width)
        case Turns():
            return turns_drawing(name, picture, width)
        case Varied():
            return varied_drawing(name, picture, system, width)
        case Ruler():
            return ruler_drawing(name, picture, system, width, link)
        case Limits():
            return limits_drawing(name, picture, width, link)


def as_svg(document: Document, options: OutputOptions) -> bytes:
    """Return the picture of an answer as SVG with real text, a title and a description."""
    return _file(document, options, "svg")


def as_png(document: Document, options: OutputOptions) -> bytes:
    """Return the picture of an answer as PNG."""
    return _file(document, options, "png")


def _file(document: Document, options: OutputOptions, kind: Kind) -> bytes:
    if options.pick and not options.bands:
        detail = "selects results and columns: a picture shows all, and one of them with bands=1"
        raise InvalidBuild([FieldError("pick", detail)])
    size = SIZES[options.chart_size]
    picture = turns_of(document["tornado"]) if options.tornado else document["picture"]
    system, name = document["units"], document["question"]

    def draw(width: float, height: float) -> Drawing:
        return drawing_of(name, picture, system, width, height)

    smallest = _NATURAL if isinstance(picture, Curve) else _SMALLEST
    drawing = on_paper(draw, drawing_title(picture, system), for_people(document["summary"]), size, smallest)
    return written(retold(drawing, options.in_prose), size, options.chart_theme, kind)


def on_paper(
    draw: Callable[[float, float], Drawing],
    title: str,
    summary: str,
    pixels: tuple[int, int],
    smallest: float = _SMALLEST,
) -> Drawing:
    """Return what `draw` makes of a width and a height, with title and summary, on a paper as wide as it needs."""
    width = min(float(pixels[0]), smallest)
    while True:
        height = pixels[1] / pixels[0] * width
        words, top = _heading(title, summary, width)
        drawing = draw(width, height - top)
        if drawing.height + top <= height + 0.5 or width > _WIDEST:
            shapes = (*words, *(moved(shape, 0.0, top) for shape in drawing.shapes))
            return drawing._replace(height=height, shapes=shapes)
        width *= 1.04


_WIDEST = 2000.0


def drawing_title(picture: Picture | Turns, system: System) -> str:
    """Return the title of a picture."""
    match picture:
        case Ruler():
            return ruler_title(picture)
        case Varied():
            return varied_title(picture, system)
    return picture.title


def _heading(title: str, summary: str, width: float) -> tuple[list[Text], float]:
    """Return title and summary, and where the picture may begin."""
    room = width - 2.0 * _SIDE
    lines = wrapped(title, room, LARGE, bold=True)
    words = [Text("heading", _SIDE, 28.0 + 20.0 * row, line, size=LARGE) for row, line in enumerate(lines)]
    top = 28.0 + 20.0 * len(lines)
    below = wrapped(summary, room)
    words += [Text("soft", _SIDE, top + 16.0 * row, line) for row, line in enumerate(below)]
    return words, top + 16.0 * len(below)


@lru_cache(maxsize=KEPT)
def written(drawing: Drawing, pixels: tuple[int, int], theme: str, kind: Kind) -> bytes:
    """Return a drawing as a file of that size in pixels."""
    if kind == "svg":
        return as_file(drawing, THEMES[theme], *pixels).encode()
    return raster.as_png(drawing, THEMES[theme], *pixels)
