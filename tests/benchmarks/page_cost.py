"""What charts, pages, the bench and the form for other sites cost: bytes, and milliseconds on this machine.

Run it on demand: ``python -m tests.benchmarks.page_cost``. Charts are measured inside one process, the
least of some rounds; the form in the system's Chromium against a service on loopback, from the start of the
navigation, and from a key pressed, to the first frame that has the answer.
"""

import gzip
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from urllib.parse import urlencode
from urllib.request import urlopen

from gearing_api.app import create_app
from gearing_api.formats import CHARTS, chart
from gearing_api.http.pages import element
from gearing_api.questions import QUESTIONS
from gearing_api.vehicle.demo_truck import TRUCK
from tests.clients.browser import Site, chromium
from tests.ports import free_port

ROUNDS = 15
BROWSER = {"Accept": "text/html"}

# Notes the time of each answer, when the frame that has it is painted.
NOTED = """window.shown = [];
document.addEventListener("gearing-answer", () => requestAnimationFrame(() => setTimeout(
  () => window.shown.push(performance.now()))));"""
ALONE = """<!doctype html><html lang="en"><title>Alone</title><gearing-card tyre="35x12.50R17LT"
original-tyre="LT245/75R17" axle-ratio="4.56" gear-ratios="4.46,2.61,1.72,1.25,1,0.84"></gearing-card>"""
PRESSED = """() => new Promise((done) => {
  const form = document.querySelector("gearing-card").shadowRoot.querySelector("form");
  const before = window.shown.length, start = performance.now();
  form.elements.axle_ratio.value = (3 + Math.random()).toFixed(3);
  form.requestSubmit();
  const look = () => window.shown.length > before ? done(window.shown.at(-1) - start) : setTimeout(look, 5);
  look();
})"""

PAINTED = "performance.getEntriesByName('first-contentful-paint')[0].startTime"
# From a new axle ratio to the answer in the page: with it comes the address of the build.
CHANGED = """() => new Promise((done) => {
  const start = performance.now(), field = document.forms.build.elements.axle_ratio, before = location.href;
  field.value = (3 + Math.random()).toFixed(3);
  document.forms.build.requestSubmit();
  const look = () => location.href !== before ? done(performance.now() - start) : setTimeout(look, 2);
  look();
})"""


def milliseconds(work: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """Least time of the work: what else the machine does only adds to it."""
    times = []
    for _ in range(ROUNDS):
        before()
        start = time.perf_counter()
        work()
        times.append(1e3 * (time.perf_counter() - start))
    return min(times)


def print_charts() -> None:
    """Each chart in each size, drawn anew and kept."""
    client = create_app().test_client()
    print(f"{'chart':32} {'drawn':>8} {'kept':>8} {'bytes':>8}")
    for name, question in QUESTIONS.items():
        if not question.draws:
            continue
        fields = {key: value for key, value in TRUCK.items() if key in question.fields}
        query = urlencode(
            {
                key: ",".join(map(str, value)) if isinstance(value, list) else value
                for key, value in fields.items()
            }
        )
        for form in CHARTS:
            for size in chart.SIZES:
                address = f"/v1/{name}.{form}?{query}&chart_size={size}"
                length = len(client.get(address).data)
                drawn = milliseconds(lambda at=address: client.get(at), chart._render.cache_clear)  # type: ignore[misc]
                kept = milliseconds(lambda at=address: client.get(at))  # type: ignore[misc]
                print(f"{f'{name}.{form} {size}':32} {drawn:5.0f} ms {kept:5.1f} ms {length:8}")


def print_sizes() -> None:
    """Pages and module, plain and compressed."""
    client = create_app().test_client()
    texts = {
        "form for other sites": element.releases()[0].module,
        "home page": client.get("/", headers=BROWSER).data,
    }
    for told, path in (("style of the pages", "style.css"), ("module of the bench", "bench.js")):
        with client.get(f"/pages/{path}") as response:
            texts[told] = response.data
    for name, text in texts.items():
        print(f"{name:24} {len(text):7} bytes {len(gzip.compress(text, 9)):7} gzip")


def print_first_answer() -> None:
    """The form on a page of others, and the bench, in a real browser."""
    from playwright.sync_api import sync_playwright

    service = f"http://127.0.0.1:{free_port()}"
    command = [sys.executable, "-m", "gearing_api", "serve", "--port", service.rpartition(":")[2]]
    with (
        subprocess.Popen(command, stderr=subprocess.DEVNULL) as process,
        sync_playwright() as playwright,
        chromium(playwright) as context,
        Site() as site,
    ):
        try:
            _wait_for(f"{service}/readyz")
            site.files["/"] = ("text/html; charset=utf-8", ALONE + element.releases()[-1].tag(service))
            page = context.new_page()
            page.add_init_script(NOTED)
            print(f"{'answer painted, ms':32} {'median':>8} {'least':>8}")
            opened, pressed = [], []
            for _ in range(ROUNDS):
                page.goto(site.address)
                page.locator("gearing-card dd").first.wait_for()
                page.wait_for_timeout(200)
                opened.append(page.evaluate("window.shown[0]"))
                pressed.append(page.evaluate(PRESSED))
            _print_times("form 1.0.0 of others opened", opened)
            _print_times("form 1.0.0, Enter pressed", pressed)
            opened, pressed = [], []
            for _ in range(ROUNDS):
                page.goto(service)
                page.locator("body.live").wait_for()
                page.wait_for_timeout(200)
                opened.append(page.evaluate(PAINTED))
                pressed.append(page.evaluate(CHANGED))
            _print_times("bench opened", opened)
            _print_times("bench, ratio changed", pressed)
        finally:
            process.terminate()


def _print_times(told: str, times: list[float]) -> None:
    print(f"{told:32} {statistics.median(times):8.0f} {min(times):8.0f}")


def _wait_for(address: str) -> None:
    for _ in range(200):
        try:
            urlopen(address, timeout=1).close()
            return
        except OSError:
            time.sleep(0.1)


if __name__ == "__main__":
    print_charts()
    print_sizes()
    print_first_answer()
