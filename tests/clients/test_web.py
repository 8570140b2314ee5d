"""The element, the embeddable page, the home page and the reference, in a real Chromium on two origins."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

import pytest
import requests

from gearing_api.vehicle.demo_truck import TRUCK
from tests.clients.browser import Site, chromium

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, Playwright

pytestmark = pytest.mark.slow

GUIDE = Path(__file__).parents[2] / "clients" / "web"
CARD = """<gearing-card tyre="35x12.50R17LT" original-tyre="LT245/75R17" axle-ratio="4.56"
original-axle-ratio="3.73" gear-ratios="4.46,2.61,1.72,1.25,1,0.84" transfer-ratios="1,2.72"{more}>
<a href="{service}/">What the swap does</a></gearing-card>"""
PAGE = """<!doctype html><html lang="{lang}"><head><meta charset="utf-8"><title>A page of others</title>
<meta name="color-scheme" content="light dark"><link rel="stylesheet" href="/page.css">{head}</head>
<body><main><h1>A page of others</h1>{body}</main></body></html>"""
BUILD = urlencode(
    {
        name: ",".join(map(str, value)) if isinstance(value, list) else str(value)
        for name, value in TRUCK.items()
    }
)


@pytest.fixture(scope="module")
def playwright() -> "Iterator[Playwright]":
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: "Playwright") -> "Iterator[BrowserContext]":
    with chromium(playwright) as context:
        yield context


@pytest.fixture(scope="module")
def dark(playwright: "Playwright") -> "Iterator[BrowserContext]":
    with chromium(playwright, "dark", viewport={"width": 390, "height": 800}) as context:
        yield context


@pytest.fixture
def page(browser: "BrowserContext") -> "Iterator[Page]":
    page = browser.new_page()
    yield page
    page.close()


@pytest.fixture
def site(service: str) -> Iterator[Site]:
    """A site of others, as strict as the guide says it may be."""
    with Site() as made:
        made.files["/page.css"] = ("text/css", "body { margin: 1rem; }")
        made.policy = (
            f"default-src 'none'; script-src {service}; connect-src {service}; style-src 'self'; "
            f"img-src {service}; base-uri 'none'"
        )
        yield made


def tag(service: str) -> str:
    """The first release, which pages of others still hold; test_web_element.py tries the newest."""
    listing = requests.get(f"{service}/widget", timeout=5).json()
    return str(next(release["tag"] for release in listing["releases"] if release["version"] == "1.0.0"))


def put(site: Site, service: str, *, head: str | None = None, lang: str = "en", more: str = "") -> str:
    """A page with the element; its address."""
    body = CARD.format(service=service, more=more)
    text = PAGE.format(lang=lang, head=tag(service) if head is None else head, body=body)
    site.files["/"] = ("text/html; charset=utf-8", text)
    return site.address + "/"


def figures(page: "Page") -> dict[str, str]:
    """The answers shown, once they are there."""
    page.locator("gearing-card dd").first.wait_for()
    names = page.locator("gearing-card dt").all_inner_texts()
    return dict(zip(names, page.locator("gearing-card dd").all_inner_texts(), strict=True))


def watched(page: "Page") -> tuple[list[str], list[str]]:
    """What the page complains of and what it asks for, as it happens."""
    complaints: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    return complaints, asked


def violations(page: "Page") -> list[str]:
    from axe_playwright_python.sync_playwright import Axe

    found: list[dict[str, Any]] = Axe().run(page).response["violations"]
    return [f"{rule['id']}: {node['html']}" for rule in found for node in rule["nodes"]]


class TestElement:
    def test_it_answers_on_another_origin_under_a_strict_policy(
        self, page: "Page", site: Site, service: str
    ) -> None:
        complaints, asked = watched(page)
        page.goto(put(site, service))
        shown = figures(page)
        query = {"tyre": "35x12.50R17LT", "original_tyre": "LT245/75R17", "axle_ratio": 4.56,
                 "original_axle_ratio": 3.73}  # fmt: skip
        result = requests.get(f"{service}/v1/final-drive", query, timeout=5).json()["result"]
        assert shown["Axle ratio it feels like"] == f"{result['effective_ratio']:.4g}"
        assert shown["Axle ratio that gives the original back"] == f"{result['restoring_ratio']:.4g}"
        assert shown["Crawl ratio"] == "55.32"
        assert len(shown) == 7
        page.locator("gearing-card svg[role=img]").wait_for()
        assert complaints == []
        origins = {re.match(r"https?://[^/]+", address)[0] for address in asked}  # type: ignore[index]
        assert origins == {site.address, service}
        assert not [address for address in asked if address.startswith(service) and "favicon" in address]

    def test_a_preflight_is_never_needed(self, page: "Page", site: Site, service: str) -> None:
        methods: list[str] = []
        page.on("request", lambda request: methods.append(request.method))
        page.goto(put(site, service))
        figures(page)
        assert set(methods) == {"GET"}

    def test_its_chart_is_told_in_words(self, page: "Page", site: Site, service: str) -> None:
        page.goto(put(site, service))
        page.locator("gearing-card svg[role=img]").wait_for()
        told = page.locator("gearing-card svg desc").text_content() or ""
        assert "gear 1: to 23.98 mph" in told or "gear 1: to " in told
        assert told.count("gear ") == 7
        assert "top gear before: to " in told

    def test_the_wrong_hash_leaves_the_link(self, page: "Page", site: Site, service: str) -> None:
        wrong = re.sub("sha384-.{6}", "sha384-AAAAAA", tag(service))
        complaints, _ = watched(page)
        page.goto(put(site, service, head=wrong))
        link = page.get_by_role("link", name="What the swap does")
        link.wait_for()
        assert link.is_visible()
        assert page.evaluate("customElements.get('gearing-card') === undefined")
        assert any("integrity" in complaint for complaint in complaints)

    def test_it_is_worked_by_keyboard_alone(self, page: "Page", site: Site, service: str) -> None:
        page.goto(put(site, service))
        before = figures(page)["Axle ratio it feels like"]
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        focused = "document.querySelector('gearing-card').shadowRoot.activeElement.name"
        assert page.evaluate(focused) == "axle_ratio"
        outline = (
            "getComputedStyle(document.querySelector('gearing-card').shadowRoot.activeElement).outlineStyle"
        )
        assert page.evaluate(outline) == "solid"
        page.keyboard.press("Control+A")
        page.keyboard.type("4.88")
        page.keyboard.press("Enter")
        told = page.locator("gearing-card dd", has_text="4.388")
        told.wait_for()
        assert figures(page)["Axle ratio it feels like"] != before
        assert page.locator("gearing-card [role=status]").text_content() == "7 figures"

    def test_what_is_typed_is_answered_without_a_click(self, page: "Page", site: Site, service: str) -> None:
        page.goto(put(site, service))
        figures(page)
        page.locator("gearing-card input[name=tyre]").fill("37x12.50R17LT")
        page.locator("gearing-card dd", has_text="+17.6").wait_for()

    def test_a_refused_field_is_told_beside_the_answers_that_hold(
        self, page: "Page", site: Site, service: str
    ) -> None:
        page.goto(put(site, service))
        figures(page)
        heard = "() => { window.heard = []; for (const name of ['gearing-error', 'gearing-answer']) "
        heard += "document.addEventListener(name, ({ detail }) => window.heard.push([name, detail])); }"
        page.evaluate(heard)
        page.locator("gearing-card input[name=gear_ratios]").fill("4.46,oops")
        alert = page.locator("gearing-card [role=alert]", has_text="gear_ratios")
        alert.wait_for()
        field = page.locator("gearing-card input[name=gear_ratios]")
        assert field.get_attribute("aria-invalid") == "true"
        assert field.get_attribute("aria-describedby") == "alert"
        assert alert.locator("[lang=en]").count() == 1
        assert "Crawl ratio" not in figures(page)
        assert "Axle ratio it feels like" in figures(page)
        names = page.evaluate("() => window.heard.map(([name]) => name)")
        assert names == ["gearing-error", "gearing-answer"]
        assert page.evaluate("() => window.heard[0][1].problems[0].status") == 422
        page.locator("gearing-card input[name=gear_ratios]").fill("4.46,2.61")
        page.locator("gearing-card dt", has_text="Crawl ratio").wait_for()
        assert field.get_attribute("aria-invalid") is None
        assert page.locator("gearing-card [role=alert]").text_content() == ""

    def test_a_service_out_of_reach_is_told(self, page: "Page", site: Site, service: str) -> None:
        page.route("**/v1/**", lambda route: route.abort())
        page.goto(put(site, service))
        page.locator("gearing-card [role=alert]", has_text="does not answer").wait_for()

    def test_only_the_last_of_several_questions_is_shown(
        self, page: "Page", site: Site, service: str
    ) -> None:
        page.goto(put(site, service))
        figures(page)

        def slow_for_the_first(route: Any) -> None:
            if "axle_ratio=5" in route.request.url:
                page.wait_for_timeout(300)
            route.continue_()

        page.route("**/v1/**", slow_for_the_first)
        field = page.locator("gearing-card input[name=axle_ratio]")
        field.fill("5")
        field.press("Enter")
        field.fill("4.1")
        field.press("Enter")
        page.locator("gearing-card dd", has_text="3.686").wait_for()
        page.wait_for_timeout(800)
        assert figures(page)["Axle ratio it feels like"] == "3.686"

    def test_a_german_page_gets_german_words_and_numbers(
        self, page: "Page", site: Site, service: str
    ) -> None:
        page.goto(put(site, service, lang="de-AT"))
        shown = figures(page)
        assert shown["Kriechübersetzung"] == "55,32"
        assert "km/h" in shown["Kriechgeschwindigkeit im Leerlauf"]
        field = page.locator("gearing-card input[name=gear_ratios]")
        assert field.input_value() == "4,46;2,61;1,72;1,25;1;0,84"
        page.locator("gearing-card input[name=axle_ratio]").fill("4,10")
        page.locator("gearing-card dd", has_text="49,74").wait_for()
        assert page.locator("gearing-card [role=alert]").text_content() == ""

    def test_a_language_without_words_still_has_its_numbers(
        self, page: "Page", site: Site, service: str
    ) -> None:
        page.goto(put(site, service, lang="fr"))
        assert figures(page)["Crawl ratio"] == "55,32"

    def test_units_follow_the_form_and_the_page(self, page: "Page", site: Site, service: str) -> None:
        page.goto(put(site, service, more=' units="metric"'))
        assert "km/h" in figures(page)["Crawl speed at idle"]
        page.locator("gearing-card select").select_option("us")
        page.locator("gearing-card dd", has_text="mph").first.wait_for()
        page.evaluate("document.querySelector('gearing-card').setAttribute('axle-ratio', '5.38')")
        page.locator("gearing-card dd", has_text="65.27").wait_for()

    def test_the_page_decides_on_its_looks(self, page: "Page", site: Site, service: str) -> None:
        looks = "gearing-card { --gearing-mark: rgb(1, 2, 3); }"
        looks += "gearing-card::part(button) { border-radius: 13px; }"
        site.files["/page.css"] = ("text/css", looks)
        page.goto(put(site, service))
        figures(page)
        button = "getComputedStyle(document.querySelector('gearing-card').shadowRoot.querySelector('button'))"
        assert page.evaluate(f"{button}.borderRadius") == "13px"
        assert page.evaluate(f"{button}.backgroundColor") == "rgb(1, 2, 3)"

    def test_it_follows_a_dark_page(self, dark: "BrowserContext", site: Site, service: str) -> None:
        page = dark.new_page()
        page.goto(put(site, service))
        figures(page)
        card = "getComputedStyle(document.querySelector('gearing-card').shadowRoot.querySelector('section'))"
        assert page.evaluate(f"{card}.backgroundColor") == "rgb(32, 38, 37)"
        site.policy = ""
        site.files["/"] = (
            "text/html",
            site.files["/"][1].replace('content="light dark"', 'content="light"'),
        )
        page.reload()
        figures(page)
        assert page.evaluate(f"{card}.backgroundColor") == "rgb(255, 253, 248)", "a light page stays light"
        page.close()

    @pytest.mark.parametrize("lang", ["en", "de"])
    def test_nothing_bars_anyone(self, page: "Page", site: Site, service: str, lang: str) -> None:
        page.goto(put(site, service, lang=lang))
        figures(page)
        assert violations(page) == []
        page.locator("gearing-card input[name=tyre]").fill("nonsense")
        page.locator("gearing-card [role=alert] li").first.wait_for()
        assert violations(page) == []

    def test_nothing_bars_anyone_in_the_dark_on_a_phone(
        self, dark: "BrowserContext", site: Site, service: str
    ) -> None:
        page = dark.new_page()
        page.goto(put(site, service))
        figures(page)
        assert violations(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.close()


class TestEmbed:
    @pytest.mark.parametrize("name", ["road-speed", "crawl", "build-sheet", "axle-check"])
    def test_anyone_may_frame_an_answer(self, page: "Page", site: Site, service: str, name: str) -> None:
        site.policy = f"default-src 'none'; frame-src {service}"
        address = f"{service}/v1/{name}.html?{BUILD}".replace("&", "&amp;")
        frame = f'<iframe src="{address}" title="An answer"></iframe>'
        site.files["/"] = ("text/html", PAGE.format(lang="en", head="", body=frame))
        page.goto(site.address)
        framed = page.frame_locator("iframe")
        framed.locator("h1").wait_for()
        assert framed.locator("dl.ledger dd, .says").first.inner_text()

    def test_the_frame_that_is_offered_shows_its_chart_and_takes_another_build(
        self, page: "Page", site: Site, service: str
    ) -> None:
        asked = {"url": f"{service}/v1/road-speed.html?tyre=33x12.50R15&axle_ratio=4.1&gear_ratios=4,2,1"}
        offered = requests.get(f"{service}/oembed", asked, timeout=5).json()["html"]
        site.policy = f"default-src 'none'; frame-src {service}"
        site.files["/"] = ("text/html", PAGE.format(lang="en", head="", body=offered))
        page.goto(site.address)
        framed = page.frame_locator("iframe")
        framed.locator(".strip", has_text="33x12.50R15").wait_for()
        drawing = framed.locator("figure .for-wide svg").first
        drawing.scroll_into_view_if_needed()
        before = drawing.inner_html()
        framed.locator("input[name=axle_ratio]").fill("4.88")
        framed.get_by_role("button", name="Calculate").click()
        framed.locator(".strip", has_text="4.88").wait_for()
        assert framed.locator("figure .for-wide svg").first.inner_html() != before

    @pytest.mark.parametrize("path", ["/", "/docs", "/problems/not-found", "/v1/road-speed.svg?" + BUILD])
    def test_nothing_else_may_be_framed(self, page: "Page", site: Site, service: str, path: str) -> None:
        site.policy = f"default-src 'none'; frame-src {service}"
        address = (service + path).replace("&", "&amp;")
        site.files["/"] = (
            "text/html",
            PAGE.format(lang="en", head="", body=f'<iframe src="{address}"></iframe>'),
        )
        complaints, _ = watched(page)
        page.goto(site.address)
        page.wait_for_timeout(700)
        assert any("frame-ancestors" in complaint for complaint in complaints), complaints

    @pytest.mark.parametrize("name", ["road-speed", "cruise", "crawl", "regear", "axle-check", "build-sheet"])
    def test_nothing_bars_anyone(self, page: "Page", service: str, name: str) -> None:
        complaints, _ = watched(page)
        page.goto(f"{service}/v1/{name}.html?{BUILD}")
        assert violations(page) == []
        assert complaints == []

    def test_nothing_bars_anyone_in_the_dark_on_a_phone(self, dark: "BrowserContext", service: str) -> None:
        page = dark.new_page()
        for name in ("road-speed", "crawl"):
            page.goto(f"{service}/v1/{name}.html?{BUILD}")
            assert violations(page) == []
            assert page.evaluate("document.documentElement.scrollWidth") <= 390
        page.close()

    def test_a_refused_build_can_be_put_right(self, page: "Page", service: str) -> None:
        page.goto(f"{service}/v1/crawl.html?tyre=35x&axle_ratio=4.56")
        page.get_by_role("heading", name="Please check").wait_for()
        assert violations(page) == []
        page.locator("input[name=tyre]").fill("35x12.50R17LT")
        page.locator("input[name=gear_ratios]").fill("4.46,2.61")
        page.get_by_role("button", name="Calculate").click()
        page.locator("dl.ledger dd", has_text="20.34").first.wait_for()
        assert page.locator("[aria-invalid]").count() == 0


class TestExplorer:
    def test_it_is_drawn_with_the_network_shut_and_asks_no_one_else(self, page: "Page", service: str) -> None:
        complaints, asked = watched(page)
        page.route(
            "**/*",
            lambda route: route.continue_() if route.request.url.startswith(service) else route.abort(),
        )
        page.goto(f"{service}/docs/explorer")
        page.locator(".opblock").first.wait_for()
        page.wait_for_load_state("networkidle")
        assert complaints == []
        outside = [address for address in asked if not address.startswith((service, "data:"))]
        assert outside == []

    def test_trying_it_out_gives_an_answer(self, page: "Page", service: str) -> None:
        page.goto(f"{service}/docs/explorer")
        block = page.locator("#operations-Questions-final-drive")
        block.locator(".opblock-summary-control").click()
        for name, value in (("tyre", "315/70R17"), ("axle_ratio", "4.10")):
            block.locator(f"tr[data-param-name={name}] input").fill(value)
        page.wait_for_timeout(900)  # its inputs wait before they count
        with page.expect_response(re.compile("/v1/final-drive[?]")) as response:
            block.get_by_role("button", name="Execute").click()
        assert response.value.status == 200
        block.locator(".responses-table.live-responses-table .response-col_status", has_text="200").wait_for()
