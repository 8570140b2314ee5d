"""Preview pictures of links: what was asked, the verdict in words, and the answer itself, in large type."""

from functools import lru_cache

from gearing_api.formats.document import Document
from gearing_api.formats.drawing import THEMES, Bar, Drawing, Line, Shape, Text, moved, text_width, wrapped
from gearing_api.formats.pictures import NARROW, SIZES, drawing_of, written
from gearing_api.formats.raster import as_png
from gearing_api.formats.words import VERDICTS, absence
from gearing_api.vocabulary import for_people

SIZE = SIZES["1200x630"]
_WIDTH, _HEIGHT = 600.0, 315.0
_SIDE = 28.0
_SMALL, _MIDDLE = 13.0, 15.0
_LARGEST, _LEAST = 34.0, 15.0
_COLUMN = 260.0
"""Width of the words where a picture stands beside them."""
_TITLE = "Which tyre, which axle, which gears?"
_ABOUT = "Drivability and strength of a trail vehicle after a swap"


def preview(document: Document, title: str, asks: str) -> bytes:
    """Return the preview of an answer as PNG, with its picture if it has one."""
    verdict = VERDICTS[document["verdict"]]
    if document["verdict"] == "unknown":
        verdict = _needs(document)
    shapes: list[Shape] = [
        Text("soft", _SIDE, 36.0, _short(title, _WIDTH - 2.0 * _SIDE, _MIDDLE), size=_MIDDLE),
        *_verdict(verdict),
    ]
    picture = document.get("picture")
    width = _WIDTH - 2.0 * _SIDE if picture is None else _COLUMN
    summary = for_people(document["summary"])
    size, lines = _as_large_as_fits(summary, width)
    top = 88.0
    for line in lines:
        top += 1.25 * size
        shapes.append(Text("heading", _SIDE, top, line, size=size))
    if picture is not None:
        shapes += _beside(document)
    drawing = Drawing("preview", _WIDTH, _HEIGHT, asks, summary, tuple(shapes))
    return written(drawing, SIZE, "light", "png")


@lru_cache(maxsize=1)
def card() -> bytes:
    """Return the preview picture of the service itself."""
    ends = (150.0, 270.0, 420.0, 570.0)
    tops = (150.0, 140.0, 115.0, 80.0)
    falls = zip(ends[:-1], (200.0, 180.0, 150.0), strict=True)
    climb = [(30.0, 250.0)]
    for end, top, fall in zip(ends, tops, [*falls, None], strict=True):
        climb += [(end, top), *([] if fall is None else [fall])]
    shapes: list[Shape] = [
        Text("heading", _SIDE, 64.0, _TITLE, size=24.0),
        Text("soft", _SIDE, 92.0, _ABOUT, size=14.0),
        Line("axis", ((_SIDE, 270.0), (_WIDTH - _SIDE, 270.0))),
        Line("path", tuple(climb)),
    ]
    return as_png(Drawing("card", _WIDTH, _HEIGHT, _TITLE, _ABOUT, tuple(shapes)), THEMES["light"], *SIZE)


def _needs(document: Document) -> str:
    """Say which fields the main result needs."""
    reasons = (absence(document, name) for name in document["absent"])
    return next((reason for reason in reasons if reason.startswith("needs")), VERDICTS["unknown"])


def _verdict(word: str) -> list[Shape]:
    """Return the verdict in a frame of its own."""
    text = _short(word, _WIDTH - 2.0 * _SIDE - 24.0, _MIDDLE)
    wide = text_width(text, _MIDDLE, bold=True) + 24.0
    return [Bar("verdict", _SIDE, 50.0, wide, 30.0), Text("strong", _SIDE + 12.0, 70.5, text, size=_MIDDLE)]


def _short(text: str, room: float, size: float) -> str:
    """Cut words that have no room."""
    lines = wrapped(text, room, size, bold=True)
    return (
        lines[0]
        if len(lines) == 1
        else f"{wrapped(text, room - 12.0, size, bold=True)[0]} \N{HORIZONTAL ELLIPSIS}"
    )


def _as_large_as_fits(text: str, width: float) -> tuple[float, list[str]]:
    size = _LARGEST
    while True:
        lines = wrapped(text, width, size, bold=True)
        if 1.25 * size * len(lines) <= _HEIGHT - 104.0 or size <= _LEAST:
            return size, lines
        size -= 1.0


def _beside(document: Document) -> list[Shape]:
    """Return the picture as on a phone, in the space on the right."""
    left, top = _SIDE + _COLUMN + 16.0, 88.0
    wide, high = _WIDTH - left - 6.0, _HEIGHT - top - 6.0
    drawing = drawing_of(
        document["question"], document["picture"], document["units"], NARROW, NARROW * high / wide
    )
    scale = min(wide / drawing.width, high / drawing.height)
    return [moved(shape, left, top, scale) for shape in drawing.shapes]
