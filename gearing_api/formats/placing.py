"""Find room for words in a drawing: on no line, on no other words, within a frame."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gearing_api.formats.drawing import SMALL, Box, Point, Text

_CLEAR = 1.5
"""Pixels between words and lines."""
_GAPS = (5.0, 11.0, 20.0)

_Numbers = NDArray[np.float64]
_Truths = NDArray[np.bool_]


class Room:
    """What is taken of a drawing: segments of lines, and boxes of words."""

    def __init__(self, frame: Box) -> None:
        self._frame = frame
        self._segments: list[tuple[float, float, float, float]] = []
        self._boxes: list[Box] = []

    def take_line(self, points: Sequence[Point]) -> None:
        """Note that a line runs through these points."""
        self._segments += [(*one, *other) for one, other in pairwise(points)]

    def take(self, box: Box) -> None:
        """Note that this space is taken."""
        self._boxes.append(box)

    def place(self, kind: str, text: str, points: Iterable[Point], size: float = SMALL) -> Text | None:
        """Return words beside the first of some points that has room, which then is taken; None where none has."""
        for x, y in points:
            tried = [*_around(kind, text, x, y, size)]
            boxes = np.array([words.box for words in tried])
            free = self._within(boxes) & ~self._on_words(boxes)
            free[free] = ~self._on_lines(boxes[free])
            if free.any():
                words = tried[int(free.argmax())]
                self.take(words.box)
                return words
        return None

    def _within(self, boxes: _Numbers) -> _Truths:
        left, top, right, bottom = boxes.T
        frame = self._frame
        return np.asarray(
            (left >= frame.left) & (right <= frame.right) & (top >= frame.top) & (bottom <= frame.bottom)
        )

    def _on_words(self, boxes: _Numbers) -> _Truths:
        left, top, right, bottom = boxes.T[:, :, None]
        a, b, c, d = np.array(self._boxes).reshape(-1, 4).T
        return np.asarray(((left < c) & (a < right) & (top < d) & (b < bottom)).any(axis=-1))

    def _on_lines(self, boxes: _Numbers) -> _Truths:
        """Tell which boxes a segment enters: the part of it between all four sides is not empty."""
        x, y, x_end, y_end = np.array(self._segments).reshape(-1, 4).T
        left, top, right, bottom = boxes.T[:, :, None]
        shape = (len(boxes), len(self._segments))
        enters, leaves, outside = np.zeros(shape), np.ones(shape), np.zeros(shape, np.bool_)
        for start, step, low, high in (
            (x, x_end - x, left - _CLEAR, right + _CLEAR),
            (y, y_end - y, top - _CLEAR, bottom + _CLEAR),
        ):
            still = step == 0.0
            outside = outside | (still & ((start < low) | (start > high)))
            divisor = np.where(still, 1.0, step)
            first, last = (low - start) / divisor, (high - start) / divisor
            enters = np.where(still, enters, np.maximum(enters, np.minimum(first, last)))
            leaves = np.where(still, leaves, np.minimum(leaves, np.maximum(first, last)))
        return np.asarray((~outside & (enters <= leaves)).any(axis=-1))


def _around(kind: str, text: str, x: float, y: float, size: float) -> Iterator[Text]:
    """Yield words above, to the right, to the left, and below a point."""
    for gap in _GAPS:
        yield Text(kind, x, y - gap, text, "middle", size)
        yield Text(kind, x + gap, y + 0.35 * size, text, "start", size)
        yield Text(kind, x + gap, y + size + gap, text, "start", size)
        yield Text(kind, x - gap, y - gap, text, "end", size)
        yield Text(kind, x - gap, y + 0.35 * size, text, "end", size)
        yield Text(kind, x, y + size + gap, text, "middle", size)
        yield Text(kind, x - gap, y + size + gap, text, "end", size)


def simplified(points: Sequence[Point], within: float = 0.25) -> tuple[Point, ...]:
    """Leave out the points of a line that no eye misses."""
    if len(points) < 3:
        return tuple(points)
    (x, y), (x_end, y_end) = points[0], points[-1]
    across, down = x_end - x, y_end - y
    length = float(np.hypot(across, down))
    farthest, most = 0, within
    for place in range(1, len(points) - 1):
        dx, dy = points[place][0] - x, points[place][1] - y
        off = abs(across * dy - down * dx) / length if length else float(np.hypot(dx, dy))
        if off > most:
            farthest, most = place, off
    if not farthest:
        return (points[0], points[-1])
    return simplified(points[: farthest + 1], within)[:-1] + simplified(points[farthest:], within)
