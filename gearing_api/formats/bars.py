"""Bars against a limit: the parts of an axle, the weakest first, and what single changes would do."""

from gearing_api.answer import Limit, Limits
from gearing_api.formats.drawing import (
    SMALL,
    Bar,
    Drawing,
    Line,
    Link,
    Shape,
    Text,
    fitted,
    ruled,
    text_width,
)
from gearing_api.formats.ruler import MakeLink

_SIDE = 14.0
_ROW, _BAR_AT = 34.0, 18.0
_MOST_SHOWN = 3.0
"""Bars end here: what is beyond three times the load needs no measuring."""
_MOST_CHANGES = 4


def limits_drawing(name: str, limits: Limits, width: float, link: MakeLink | None = None) -> Drawing:
    """Lay the bars out on a paper of that width."""
    changes = limits.changes[:_MOST_CHANGES]
    margins = [(part.margin, part.usual) for part in (*limits.parts, *(change.weakest for change in changes))]
    most = min(_MOST_SHOWN, max(1.35, 1.03 * max(max(pair) for pair in margins)))
    scale = (width - 2.0 * _SIDE) / most
    shapes: list[Shape] = []
    top = 2.0
    for part in limits.parts:
        shapes += _row(part.name, _margins(part), part, top, width, scale, 11.0)
        top += _ROW
    one = _SIDE + scale
    shapes.append(Line("axis", ((_SIDE, top + 3.0), (width - _SIDE, top + 3.0))))
    shapes.append(Line("limit", ((one, top - 1.0), (one, top + 7.0))))
    shapes.append(fitted("word", one, top + 22.0, "1 = load equals strength", _SIDE, width - _SIDE, SMALL))
    top += 30.0
    shapes += _key(width, top)
    top += 20.0
    if any(part.ends for part in limits.parts):
        shapes += [
            Bar("bar", _SIDE, top + 2.0, 14.0, 9.0),
            Text("word", _SIDE + 20.0, top + 11.0, "9 in 10 builds like this one, at the worst", size=SMALL),
        ]
        top += 18.0
    for name_ in limits.unknown:
        shapes.append(Text("soft", _SIDE, top + 14.0, f"{name_}: not known", size=SMALL))
        top += 18.0
    if changes:
        shapes.append(Text("strong", _SIDE, top + 18.0, "After one change, weakest part"))
        top += 26.0
    for change in changes:
        after = f"{change.weakest.name} {_margins(change.weakest)}"
        row = _row(change.name, after, change.weakest, top, width, scale, 7.0)
        if link is None:
            shapes += row
        else:
            touch = Bar("touch", 0.0, top - 2.0, width, _ROW)
            label = f"{change.name}: then the weakest part is the {after}"
            shapes.append(Link(link(change.fields), label, (touch, *row), (("change", change.name),)))
        top += _ROW
    return Drawing(name, width, top + 4.0, limits.title, _about(limits), tuple(shapes))


def _margins(part: Limit) -> str:
    worst, usual = figure(part.margin), figure(part.usual)
    if part.ends is not None:
        low, high = (figure(end) for end in part.ends)
        return f"{worst} ({low} to {high})" if low != high else worst
    return worst if worst == usual else f"{worst} (usually {usual})"


def figure(margin: float) -> str:
    """Write a margin with the two digits that can be trusted."""
    return f"{margin:.2f}" if margin < 0.995 else f"{margin:.1f}" if margin < 9.95 else f"{margin:.0f}"


def _row(
    name: str, value: str, part: Limit, top: float, width: float, scale: float, height: float
) -> list[Shape]:
    """Return words over a bar: solid to the worst case, lighter to the usual one."""
    bar = top + _BAR_AT
    one, end = _SIDE + scale, width - _SIDE
    worst, usual = (min(end, _SIDE + scale * margin) for margin in (part.margin, part.usual))
    over = part.margin < 1.0
    sure = worst
    if part.ends is not None:
        low, worst = (min(end, _SIDE + scale * margin) for margin in part.ends)
        sure = min(sure, low)
    shapes: list[Shape] = [
        Text("word", _SIDE, top + 13.0, name),
        Text("mark-word" if over else "strong", end, top + 13.0, value, "end"),
        Bar("over" if over else "solid", _SIDE, bar, sure - _SIDE, height),
    ]
    if worst > sure:
        shapes.append(Bar("soft-over" if over else "bar", sure, bar, worst - sure, height))
    if usual > worst + 1.0:
        shapes.append(
            Bar("lighter-over" if part.usual < 1.0 else "lighter", worst, bar, usual - worst, height)
        )
    return [*shapes, *ruled("limit", ((one, bar - 1.0), (one, bar + height + 2.0)))]


def _key(width: float, top: float) -> list[Shape]:
    """Return what the two ends of a bar are."""
    second = _SIDE + 20.0 + text_width("at the worst", SMALL) + 16.0
    return [
        Bar("solid", _SIDE, top + 2.0, 14.0, 9.0),
        Text("word", _SIDE + 20.0, top + 11.0, "at the worst", size=SMALL),
        Bar("lighter", second, top + 2.0, 14.0, 9.0),
        Text("word", second + 20.0, top + 11.0, "as usually shared", size=SMALL),
    ]


def _about(limits: Limits) -> str:
    parts = " ".join(f"{part.name.capitalize()}: {_margins(part)}." for part in limits.parts)
    unknown = "".join(f" {name.capitalize()}: not known." for name in limits.unknown)
    changes = "".join(
        f" After {change.name}: {change.weakest.name} {_margins(change.weakest)}."
        for change in limits.changes
    )
    return f"Strength over load; at 1 the load equals the strength. {parts}{unknown}{changes}"
