"""The pictures of answers: in pages, and as files of their own.

A picture is drawn by what the answer gives to show (`Answer.picture`), whatever the question: a question that
brings a picture needs no change here.
"""

from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Literal

from gearing_api.answer import Answer, Curve, Limits, Picture, Question, Ruler
from gearing_api.build import Build
from gearing_api.formats import raster
from gearing_api.formats.bars import limits_drawing
from gearing_api.formats.chart import SIZES, curve_file
from gearing_api.formats.document import Document
from gearing_api.formats.drawing import (
    LARGE,
    THEMES,
    Drawing,
    Text,
    as_file,
    as_page_part,
    moved,
    wrapped,
)
from gearing_api.formats.options import OutputOptions
from gearing_api.formats.ruler import MakeLink, ruler_drawing
from gearing_api.units import System
from gearing_api.vocabulary import FieldError, InvalidBuild

WIDE, NARROW = 620.0, 340.0
"""Widths of a picture in a page, in pixels: of a column, and of a phone."""

_SIDE = 14.0
_SMALLEST = 55.0
"""Pixels of the paper to an inch of a file, where its height allows it: words are as large as they can be."""

KEPT = 256
"""Pictures in the cache of a worker, each below 100 kB."""


def pictures(
    question: Question, build: Build, answer: Answer, link: MakeLink, width: float = WIDE
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

    Notes
    -----
    The elements have classes and no style: the page needs `drawing.stylesheet()`. A tick of the ruler is a link
    with `data-ratio` (a tooth pair, `43/10`, or a ratio), the handle is the circle `.p-handle`; a change below
    the limit bars is a link with `data-change`.
    """
    return {drawing.name: as_page_part(drawing) for drawing in drawings(question, build, answer, link, width)}


def drawings(
    question: Question, build: Build, answer: Answer, link: MakeLink | None, width: float = WIDE
) -> Iterator[Drawing]:
    """Yield the same before they are written, with their titles and descriptions."""
    if answer.sheet is not None:
        for part in answer.sheet.parts:
            yield from drawings(part.question, part.build, part.answer, link, width)
    elif answer.picture is not None:
        drawn = _drawing(question, answer.picture(), build, link, width)
        if drawn is not None:
            yield drawn


def _drawing(
    question: Question, picture: Picture, build: Build, link: MakeLink | None, width: float
) -> Drawing | None:
    return (
        None if isinstance(picture, Curve) else _drawing_of(question.name, picture, build.system, link, width)
    )


def _drawing_of(
    name: str, picture: Ruler | Limits, system: System, link: MakeLink | None, width: float
) -> Drawing:
    match picture:
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


Kind = Literal["svg", "png"]


def _file(document: Document, options: OutputOptions, kind: Kind) -> bytes:
    if options.pick:
        raise InvalidBuild([FieldError("pick", "selects results and columns: a picture shows all")])
    picture, system = document["picture"], document["units"]
    if isinstance(picture, Curve):
        return curve_file(picture, system, options.chart_size, options.chart_theme, kind)
    size = SIZES[options.chart_size]
    drawing = _fitted(
        lambda width: _headed(
            _drawing_of(document["question"], picture, system, None, width), document["summary"]
        ),
        _SMALLEST * size.width,
        size.height / size.width,
    )
    pixels = round(size.width * size.dots), round(size.height * size.dots)
    return _written(drawing, pixels, options.chart_theme, kind)


def _headed(drawing: Drawing, summary: str) -> Drawing:
    """Return the drawing with its title and the summary of the answer above it."""
    room = drawing.width - 2.0 * _SIDE
    title = wrapped(drawing.title, room, LARGE, bold=True)
    lines = wrapped(summary, room)
    words = [Text("heading", _SIDE, 28.0 + 20.0 * row, line, size=LARGE) for row, line in enumerate(title)]
    top = 28.0 + 20.0 * len(title)
    words += [Text("soft", _SIDE, top + 16.0 * row, line) for row, line in enumerate(lines)]
    top += 16.0 * len(lines)
    shapes = (*words, *(moved(shape, 0.0, top) for shape in drawing.shapes))
    return drawing._replace(height=drawing.height + top, shapes=shapes)


def _fitted(draw: Callable[[float], Drawing], width: float, shape: float) -> Drawing:
    """Return a drawing on a paper of a given height over width, as wide as it must be to hold it."""
    drawing = draw(width)
    while drawing.height > shape * drawing.width:
        drawing = draw(1.04 * drawing.width)
    return drawing._replace(height=shape * drawing.width)


@lru_cache(maxsize=KEPT)
def _written(drawing: Drawing, pixels: tuple[int, int], theme: str, kind: Kind) -> bytes:
    if kind == "svg":
        return as_file(drawing, THEMES[theme], *pixels).encode()
    return raster.as_png(drawing, THEMES[theme], *pixels)
