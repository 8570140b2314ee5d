"""Parts of the vehicle from its left side, as far apart as they are."""

from gearing_api.answer import SideView
from gearing_api.formats.drawing import SMALL, Box, Dot, Drawing, Line, Point, Shape, Text, text_width
from gearing_api.formats.placing import Room

_SIDE, _TOP = 14.0, 40.0
_FLATTEST = 0.3
"""Height over width of the space that is drawn in, at least: room for names."""


def side_drawing(name: str, view: SideView, width: float) -> Drawing:
    """Lay a side view out on a paper of that width, one scale both ways."""
    across = [float(x) for line in view.lines for x in line.x]
    up = [float(y) for line in view.lines for y in line.y]
    scale = (width - 2.0 * _SIDE) / max(max(across) - min(across), 1e-9)
    drawn = scale * (max(up) - min(up))
    height = max(drawn + 50.0, _FLATTEST * width)
    left, top = min(across), max(up) + (height - drawn) / 2.0 / scale

    def at(x: float, y: float) -> Point:
        return _SIDE + (x - left) * scale, _TOP - 30.0 + (top - y) * scale

    room = Room(Box(4.0, 4.0, width - 4.0, height + 20.0))
    shapes: list[Shape] = []
    for line in view.lines:
        points = tuple(at(float(x), float(y)) for x, y in zip(line.x, line.y, strict=True))
        shapes.append(Line(line.role, points))
        room.take_line(points)
    for x, y, _ in view.points:
        place = at(x, y)
        shapes.append(Dot("hollow", *place, 5.0))
        room.take(Box(place[0] - 6.0, place[1] - 6.0, place[0] + 6.0, place[1] + 6.0))
    for x, y, words in view.points:
        text = room.place("strong", words, [at(x, y)], 12.0)
        if text is not None:
            shapes.append(text)
    for line in view.lines:
        if line.role == "gear":
            ends = [at(float(line.x[place]), float(line.y[place])) for place in (0, -1)]
            text = room.place(
                "soft", line.label, sorted(ends, key=lambda end: abs(end[0] - width / 2.0), reverse=True)
            )
            shapes += [] if text is None else [text]
    bottom = height + 26.0
    if any(line.role == "before" for line in view.lines):
        shapes += [Line("before", ((_SIDE, bottom), (_SIDE + 24.0, bottom))),
                   Text("word", _SIDE + 30.0, bottom + 4.0, "before", size=SMALL)]  # fmt: skip
        bottom += 18.0
    for note in view.notes:
        size = min(SMALL, SMALL * (width - 2.0 * _SIDE) / text_width(note, SMALL))
        shapes.append(Text("soft", _SIDE, bottom + 4.0, note, size=size))
        bottom += 16.0
    about = ". ".join((*(words for _, _, words in view.points), *view.notes))
    return Drawing(name, width, bottom, view.title, f"{about[:1].upper()}{about[1:]}.", tuple(shapes))
