"""Stretches of one axis, one below the other: how far each gear goes."""

from gearing_api.answer import Span, Spans
from gearing_api.formats.chart import axis_name, ticks
from gearing_api.formats.drawing import SMALL, Bar, Drawing, Line, Shape, Text, fitted, ruled, text_width
from gearing_api.formats.options import rounded
from gearing_api.units import System

_SIDE, _ROW, _BAR = 14.0, 22.0, 12.0
_BEYOND = 1.02


def spans_drawing(name: str, spans: Spans, system: System, width: float) -> Drawing:
    """Lay the stretches out on a paper of that width: names on the left, words on the right."""
    factor = spans.axis.quantity.factor(system)
    end = _BEYOND * max(spans.line.value, *(span.high for span in spans.spans)) / factor
    left = _SIDE + max(text_width(span.label, SMALL) for span in spans.spans) + 8.0
    right = width - _SIDE - max(text_width(span.words, SMALL) for span in spans.spans) - 10.0
    scale = (right - left) / end / factor
    top = 48.0
    bottom = top + _ROW * len(spans.spans) + 4.0
    shapes: list[Shape] = []
    for place, span in enumerate(spans.spans):
        shapes += _row(span, left, width - _SIDE, scale, top + place * _ROW)
    shapes += _upright(spans, left, right, scale, top, bottom)
    shapes.append(Text("soft", width - _SIDE, 14.0, spans.words, "end", SMALL))
    shapes.append(Line("axis", ((left, top), (left, bottom), (right, bottom))))
    for value, text in ticks(end, (right - left) / 60.0):
        x = left + value * factor * scale
        shapes.append(Line("axis", ((x, bottom), (x, bottom + 4.0))))
        shapes.append(Text("soft", x, bottom + 16.0, text, "middle", SMALL))
    shapes.append(Text("soft", width - _SIDE, bottom + 33.0, axis_name(spans.axis, system), "end", SMALL))
    if any(span.inner for span in spans.spans):
        shapes += [
            Bar("solid", _SIDE, bottom + 43.0, 14.0, 9.0),
            Text("word", _SIDE + 20.0, bottom + 52.0, spans.inner, size=SMALL),
        ]
    return Drawing(name, width, bottom + 60.0, spans.title, _about(spans, system), tuple(shapes))


def _row(span: Span, left: float, right: float, scale: float, top: float) -> list[Shape]:
    """Return a name, its stretch and its words; that of the original is a dashed frame."""
    base, bar = top + 0.5 * _ROW + 4.0, top + 0.5 * (_ROW - _BAR)
    start, end = left + scale * span.low, left + scale * span.high
    kind = "before-bar" if span.before else "bar"
    shapes: list[Shape] = [
        Text("word", left - 8.0, base, span.label, "end", SMALL),
        Bar(kind, start, bar, end - start, _BAR),
    ]
    if span.inner is not None and not span.before:
        low, high = (left + scale * value for value in span.inner)
        shapes.append(Bar("solid", low, bar, high - low, _BAR))
    if span.words:
        shapes.append(Text("strong", right, base, span.words, "end", SMALL))
    return shapes


def _upright(spans: Spans, left: float, right: float, scale: float, top: float, bottom: float) -> list[Shape]:
    """Return the line to read off and the end, with their names above one another."""
    at = left + scale * spans.line.value
    shapes: list[Shape] = [
        *ruled("needed", ((at, top - 2.0), (at, bottom))),
        fitted("mark-word", at, top - 6.0, spans.line.label, left, right, SMALL),
    ]
    if spans.end is not None:
        end = left + scale * spans.end.value
        shapes += [
            Line("end", ((end, top - 2.0), (end, bottom))),
            fitted("word", end, top - 20.0, spans.end.label, _SIDE, right, SMALL),
        ]
    return shapes


def _about(spans: Spans, system: System) -> str:
    factor, unit = spans.axis.quantity.factor(system), spans.axis.quantity.unit(system)
    lines = [
        f"{span.label}: {rounded(span.low / factor, 3)} to {rounded(span.high / factor, 3)} {unit}"
        + (f", {spans.words} {span.words}." if span.words else ".")
        for span in spans.spans
    ]
    return " ".join([*lines, *([] if spans.end is None else [f"The end: {spans.end.label}."])])
