"""Pictures in a real browser: words as wide as it sets them stand clear of lines, of each other and of the edges.

The light and the dark page, forced colours and print keep every picture readable; links can be reached by keyboard.
"""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import pytest

from gearing_api.formats.drawing import stylesheet
from gearing_api.formats.pictures import NARROW, WIDE, pictures
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.vehicle.demo_truck import TRUCK
from tests.clients.browser import chromium

if TYPE_CHECKING:
    from playwright.sync_api import Playwright

pytestmark = pytest.mark.slow

PAGE = """<!doctype html><html lang="en"><title>t</title><style>
:root {{ --ink: #1c2321; --card: #fffdf8; --line: #cfc5b1; --soft: #5a655f; --mark: #9a3b12;
  --link: #0b5e73; color-scheme: light dark; }}
body {{ font-family: system-ui, sans-serif; color: CanvasText; background: Canvas; }} div {{ width: {width}px }}
{sheet}</style><body>{bodies}</body></html>"""

CLASHES = """() => {
  const found = [], over = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
  for (const svg of document.querySelectorAll('svg')) {
    const name = svg.getAttribute('class'), paper = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll('text')].map(text => [text.textContent, text.getBoundingClientRect()]);
    // The box of a line of type has room above its letters and below: what letters cover is less.
    const letters = box => ({left: box.left, right: box.right, top: box.top + .2 * box.height,
      bottom: box.bottom - .12 * box.height});
    const lines = [...svg.querySelectorAll('polyline')].flatMap(line => {
      const matrix = line.getScreenCTM(), length = line.getTotalLength(), points = [];
      for (let at = 0; at <= length; at += 1) {
        const point = line.getPointAtLength(at).matrixTransform(matrix);
        points.push({left: point.x, right: point.x, top: point.y, bottom: point.y});
      }
      return points;
    });
    const bars = [...svg.querySelectorAll('rect:not(.p-touch), circle, polygon:not(.p-needed-band)')]
      .map(bar => bar.getBoundingClientRect());
    texts.forEach(([words, box], place) => {
      const own = letters(box);
      if (box.left < paper.left - .5 || box.right > paper.right + .5) found.push(`${name}: ${words} leaves the paper`);
      if (lines.some(point => over(own, point))) found.push(`${name}: ${words} on a line`);
      if (bars.some(bar => over(own, bar))) found.push(`${name}: ${words} on a bar`);
      for (const [other, theirs] of texts.slice(0, place))
        if (over(own, letters(theirs))) found.push(`${name}: ${words} on ${other}`);
    });
  }
  return found;
}"""


def link(changes: Mapping[str, object]) -> str:
    return "#" + urlencode({name: value for name, value in changes.items() if value is not None})


def page_of(width: float) -> str:
    sheet = QUESTIONS["build-sheet"]
    build = read_build(TRUCK | {"target_crawl_ratio": 50, "target_overtaking_time": 6})
    drawn = pictures(sheet, build, ask(sheet, build), link, width)
    bodies = "".join(f"<div>{svg}</div>" for svg in drawn.values())
    return PAGE.format(width=width, sheet=stylesheet(), bodies=bodies)


@pytest.fixture(scope="module")
def playwright() -> "Iterator[Playwright]":
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_words_stand_clear(playwright: "Playwright", width: float) -> None:
    with chromium(playwright, viewport={"width": int(width) + 40, "height": 844}) as context:
        page = context.new_page()
        page.set_content(page_of(width))
        assert page.evaluate("document.querySelectorAll('svg').length") == sum(
            q.draws for q in QUESTIONS.values()
        )
        assert page.evaluate(CLASHES) == []


COLOURS = """() => [...document.querySelectorAll('svg [class]')].map(shape => {
  const style = getComputedStyle(shape);
  return [shape.getAttribute('class'), style.fill, style.stroke];
})"""


@pytest.mark.parametrize("forced", ["none", "active"])
def test_colours_come_from_the_page_and_give_way_to_those_of_the_reader(
    playwright: "Playwright", forced: str
) -> None:
    """With forced colours, and on paper, all is drawn in the colour of the text, open marks in that of the paper."""
    with chromium(playwright, "dark", forced_colors=forced) as context:
        page = context.new_page()
        page.set_content(page_of(WIDE))
        if forced == "none":
            coloured = {tuple(found[1:]) for found in page.evaluate(COLOURS) if found[0] == "p-bar"}
            assert coloured == {("rgb(11, 94, 115)", "rgb(11, 94, 115)")}
            page.emulate_media(media="print")
        ink = page.evaluate("getComputedStyle(document.body).color")
        for kind, fill, stroke in page.evaluate(COLOURS):
            if kind not in ("p-hollow", "p-halo", "p-point"):
                assert {fill, stroke} <= {ink, "none"}, kind


def test_every_link_is_reached_by_keyboard_and_has_a_name(playwright: "Playwright") -> None:
    with chromium(playwright) as context:
        page = context.new_page()
        page.set_content(page_of(NARROW))
        count = page.evaluate("document.querySelectorAll('svg a').length")
        names = []
        for _ in range(count):
            page.keyboard.press("Tab")
            names.append(page.evaluate("document.activeElement.getAttribute('aria-label')"))
        assert len(names) == count > 18
        assert "axle ratio 4.30, 43/10, meets every target" in names
        assert all(names)
