"""The newest element on a site of others, in a real Chromium under that site's strict policy."""

import html
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs, urlsplit

import pytest
import requests

from tests.clients.browser import Site, chromium
from tests.clients.test_web import BUILD, GUIDE, PAGE, violations, watched

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, Playwright, Route

pytestmark = pytest.mark.slow

CARD = """<gearing-card tyre="35x12.50R17LT" original-tyre="LT245/75R17" axle-ratio="4.56" original-axle-ratio="3.73"
gear-ratios="4.46,2.61,1.72,1.25,1,0.84" transfer-ratios="1,2.72" vehicle-mass="5300" peak-torque="260"
peak-power="215" peak-power-speed="5000" target-crawl-ratio="50"{more}>
<a href="{service}/">What the swap does</a></gearing-card>"""


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
    with chromium(playwright, "dark", viewport={"width": 390, "height": 844}) as context:
        yield context


@pytest.fixture
def page(browser: "BrowserContext") -> "Iterator[Page]":
    page = browser.new_page()
    yield page
    page.close()


@pytest.fixture
def site(service: str) -> Iterator[Site]:
    """A site of others, stricter than the guide asks: no text may become markup."""
    with Site() as made:
        made.policy = (
            f"default-src 'none'; script-src {service}; connect-src {service}; style-src 'self'; base-uri 'none'; "
            "require-trusted-types-for 'script'; trusted-types 'none'"
        )
        yield made


def newest(service: str) -> dict[str, Any]:
    release: dict[str, Any] = requests.get(f"{service}/widget", timeout=5).json()
    return release


def put(site: Site, service: str, *, head: str | None = None, lang: str = "en", more: str = "") -> str:
    """A page with the element; its address."""
    body = CARD.format(service=service, more=more)
    text = PAGE.format(lang=lang, head=newest(service)["tag"] if head is None else head, body=body)
    site.files["/"] = ("text/html; charset=utf-8", text)
    site.files["/page.css"] = ("text/css", "body { margin: 1rem; }")
    return site.address + "/"


def headline(page: "Page") -> str:
    """The sentence on top, once the answer is there."""
    page.locator("gearing-card .body:not(.stale) .row").first.wait_for()
    return page.locator("gearing-card [part=headline]").inner_text()


def row(page: "Page", name: str) -> str:
    headline(page)
    return page.locator("gearing-card .row", has=page.get_by_text(name, exact=True)).inner_text()


def openchip(page: "Page", name: str) -> None:
    page.locator("gearing-card [part=chip]", has_text=name).first.click()


def sheets(page: "Page") -> list[dict[str, list[str]]]:
    """The queries for build sheets, as the page asks."""
    asked: list[dict[str, list[str]]] = []
    page.on(
        "request",
        lambda request: (
            asked.append(parse_qs(urlsplit(request.url).query)) if "/v1/" in request.url else None
        ),
    )
    return asked


def settled(page: "Page") -> None:
    page.wait_for_timeout(900)
    headline(page)


def test_it_answers_on_another_origin_under_a_strict_policy(page: "Page", site: Site, service: str) -> None:
    complaints, asked = watched(page)
    page.goto(put(site, service))
    told = headline(page)
    query = parse_qs(urlsplit(asked[-1]).query)
    sheet = requests.get(
        f"{service}/v1/build-sheet", {name: text[0] for name, text in query.items()}, timeout=5
    )
    assert told == sheet.json()["summary"]
    for name, question in (("Feel", "final-drive"), ("Crawl", "crawl"), ("Speedometer", "speedometer")):
        assert sheet.json()["parts"][question]["summary"] in row(page, name)
    assert complaints == []
    assert {re.match(r"https?://[^/]+", address)[0] for address in asked} == {site.address, service}  # type: ignore[index]
    assert len([address for address in asked if "/v1/" in address]) == 1
    assert violations(page) == []


def test_the_wrong_hash_leaves_the_link(page: "Page", site: Site, service: str) -> None:
    wrong = re.sub("sha384-.{6}", "sha384-AAAAAA", newest(service)["tag"])
    page.goto(put(site, service, head=wrong))
    page.get_by_role("link", name="What the swap does").wait_for()
    assert page.evaluate("customElements.get('gearing-card') === undefined")


def test_only_whole_values_are_asked_and_the_last_answer_stays_greyed(
    page: "Page", site: Site, service: str
) -> None:
    asked = sheets(page)
    page.goto(put(site, service))
    before = headline(page)
    openchip(page, "Tyre")
    field = page.locator("gearing-card input[name=tyre]")
    for text in ("37x", "37x12.50", "37x12.50R1"):
        field.fill(text)
        page.wait_for_timeout(700)
        assert page.locator("gearing-card .body.stale").count() == 1
        assert page.locator("gearing-card [part=headline]").inner_text() == before
        assert page.locator("gearing-card [role=alert]").text_content() == ""
    assert len(asked) == 1
    field.fill("37x12.50R17LT")
    settled(page)
    assert asked[-1]["tyre"] == ["37x12.50R17LT"]
    assert len(asked) == 2, "one request for one change"
    openchip(page, "Gears")
    gears = page.locator("gearing-card input[name=gear_ratios]")
    gears.fill("4.46,2.61,")
    page.wait_for_timeout(700)
    assert len(asked) == 2


def test_a_refused_field_is_told_and_repaired_while_the_last_answer_stays(
    page: "Page", site: Site, service: str
) -> None:
    page.goto(put(site, service))
    before = headline(page)
    openchip(page, "Tyre")
    page.locator("gearing-card input[name=tyre]").fill("35")
    page.keyboard.press("Enter")
    alert = page.locator("gearing-card [role=alert]", has_text="bare number")
    alert.wait_for()
    field = page.locator("gearing-card input[name=tyre]")
    assert (field.get_attribute("aria-invalid"), field.get_attribute("aria-describedby")) == ("true", "alert")
    assert page.locator("gearing-card [part=headline]").inner_text() == before
    assert page.locator("gearing-card .body.stale").count() == 1
    assert violations(page) == []
    alert.get_by_role("button", name="use 35 in").click()
    settled(page)
    assert field.get_attribute("aria-invalid") is None
    assert page.locator("gearing-card [role=alert]").text_content() == ""


def test_a_service_out_of_reach_is_told(page: "Page", site: Site, service: str) -> None:
    page.route("**/v1/**", lambda route: route.abort())
    page.goto(put(site, service))
    page.locator("gearing-card [role=alert]", has_text="does not answer").wait_for()


def test_only_the_last_of_several_answers_is_shown(page: "Page", site: Site, service: str) -> None:
    page.goto(put(site, service))
    headline(page)

    def slow_for_the_first(route: "Route") -> None:
        if "axle_ratio=5.38" in route.request.url:
            page.wait_for_timeout(400)
        route.continue_()

    page.route("**/v1/**", slow_for_the_first)
    openchip(page, "Axle")
    field = page.locator("gearing-card input[name=axle_ratio]")
    for text in ("5.38", "4.1"):
        field.fill(text)
        field.press("Enter")
    page.wait_for_timeout(1200)
    assert "4.10 on the new tyres" in row(page, "Feel")


@pytest.mark.parametrize("move", ["document.querySelector('main').append(card)",
                                  "document.querySelector('main').moveBefore?.(card, null)"])  # fmt: skip
def test_it_survives_being_moved(page: "Page", site: Site, service: str, move: str) -> None:
    asked = sheets(page)
    page.goto(put(site, service))
    headline(page)
    openchip(page, "Axle")
    page.locator("gearing-card input[name=axle_ratio]").fill("4.88")
    settled(page)
    before, count = row(page, "Feel"), len(asked)
    page.evaluate(f"() => {{ const card = document.querySelector('gearing-card'); {move}; }}")
    page.wait_for_timeout(300)
    assert row(page, "Feel") == before
    assert page.locator("gearing-card input[name=axle_ratio]").input_value() == "4.88"
    assert len(asked) == count, "what is known is not asked again"
    page.locator("gearing-card input[name=axle_ratio]").fill("4.10")
    page.evaluate(f"() => {{ const card = document.querySelector('gearing-card'); {move}; }}")
    settled(page)
    assert "4.10 on the new tyres" in row(page, "Feel"), "what was being asked is asked again"


class TestRuler:
    def test_keys_move_from_pair_to_pair_and_everything_follows(
        self, page: "Page", site: Site, service: str
    ) -> None:
        page.goto(put(site, service))
        headline(page)
        ruler = page.locator("gearing-card [role=slider]")
        assert ruler.get_attribute("aria-valuenow") == "4.56"
        assert "4.12 to 4.56" in (ruler.get_attribute("aria-valuetext") or "")
        ruler.focus()
        page.keyboard.press("ArrowRight")
        settled(page)
        assert "4.88 on the new tyres" in row(page, "Feel")
        assert page.locator("gearing-card [part=chip]", has_text="4.88").count() == 1
        focused = "document.querySelector('gearing-card').shadowRoot.activeElement.getAttribute('role')"
        assert page.evaluate(focused) == "slider"
        page.keyboard.press("ArrowLeft")
        page.keyboard.press("ArrowLeft")
        settled(page)
        assert "4.30 on the new tyres" in row(page, "Feel")
        page.keyboard.press("Home")
        settled(page)
        assert page.locator("gearing-card [role=slider]").get_attribute("aria-valuenow") == "3.07"

    def test_it_is_dragged(self, page: "Page", site: Site, service: str) -> None:
        page.goto(put(site, service))
        headline(page)
        handle = page.locator("gearing-card .handle").bounding_box()
        assert handle
        x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
        page.mouse.move(x, y)
        page.mouse.down()
        for step in range(1, 9):
            page.mouse.move(x + 12 * step, y)
            page.wait_for_timeout(60)
        page.mouse.up()
        settled(page)
        assert float(page.locator("gearing-card [role=slider]").get_attribute("aria-valuenow") or "0") > 4.6

    def test_no_label_lies_on_another_or_beyond_the_edge(
        self, dark: "BrowserContext", site: Site, service: str
    ) -> None:
        page = dark.new_page()
        page.goto(put(site, service))
        headline(page)
        boxes = page.locator("gearing-card .ruler text").evaluate_all(
            "nodes => nodes.map(node => { const { left, right, top, bottom } = node.getBoundingClientRect();"
            "return [left, right, top, bottom]; })"
        )
        frame = page.locator("gearing-card .ruler").bounding_box()
        assert frame
        assert all(left >= frame["x"] and right <= frame["x"] + frame["width"] for left, right, _, _ in boxes)
        for place, (left, right, top, bottom) in enumerate(boxes):
            for other in boxes[place + 1 :]:
                apart = right <= other[0] or other[1] <= left or bottom <= other[2] + 1 or other[3] <= top + 1
                assert apart, (boxes[place], other)
        page.close()


class TestUnitsAndLanguages:
    @pytest.mark.parametrize(
        ("lang", "unit"),
        [
            ("en", "mph"),
            ("en-US", "mph"),
            ("en-GB", "mph"),
            ("en-AU", "km/h"),
            ("de-AT", "km/h"),
            ("fr", "km/h"),
        ],
    )
    def test_units_follow_the_language(
        self, page: "Page", site: Site, service: str, lang: str, unit: str
    ) -> None:
        page.goto(put(site, service, lang=lang))
        headline(page)
        assert f" {unit}" in page.locator("gearing-card [part=rows]").inner_text()

    @pytest.mark.parametrize(
        "lang", ["", "x", "en_GB", "english", "de-DE-", "'><b>", "-", "a" * 5000, "zz-ZZ", "i-klingon"]
    )
    def test_any_language_is_safe(self, page: "Page", site: Site, service: str, lang: str) -> None:
        complaints, _ = watched(page)
        page.goto(put(site, service))
        headline(page)
        page.evaluate("lang => document.querySelector('gearing-card').setAttribute('lang', lang)", lang)
        settled(page)
        assert complaints == []

    def test_a_german_page_gets_german_words_and_marks(self, page: "Page", site: Site, service: str) -> None:
        asked = sheets(page)
        page.goto(put(site, service, lang="de-AT"))
        assert "nichts\ngefunden" in row(page, "Gefühl") or "nichts gefunden" in row(page, "Gefühl")
        openchip(page, "Gänge")
        field = page.locator("gearing-card input[name=gear_ratios]")
        assert field.input_value() == "4,46;2,61;1,72;1,25;1;0,84"
        openchip(page, "Masse")
        assert page.locator("gearing-card input[name=vehicle_mass]").input_value() == "2404", "5,300 lb"
        openchip(page, "Achse")
        page.locator("gearing-card input[name=axle_ratio]").fill("4,10")
        settled(page)
        assert asked[-1]["decimal"] == ["comma"]
        assert "4.10 on the new tyres" in row(page, "Gefühl")
        assert violations(page) == []

    def test_units_convert_what_was_typed(self, page: "Page", site: Site, service: str) -> None:
        page.goto(put(site, service))
        before = row(page, "Load")
        openchip(page, "Units")
        page.locator("gearing-card select").select_option("metric")
        settled(page)
        assert "kg" in row(page, "Load")
        assert page.locator("gearing-card [part=chip]", has_text="2404 kg").count() == 1
        page.locator("gearing-card select").select_option("us")
        settled(page)
        assert row(page, "Load") == before
        assert page.locator("gearing-card [part=chip]", has_text="5300 lb").count() == 1


def test_keyboard_alone_opens_a_chip_and_a_row(page: "Page", site: Site, service: str) -> None:
    page.goto(put(site, service))
    headline(page)
    active = "document.querySelector('gearing-card').shadowRoot.activeElement"
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate(f"{active}.name") == "axle_ratio"
    page.keyboard.press("Control+A")
    page.keyboard.type("4.88")
    page.keyboard.press("Enter")
    settled(page)
    assert "4.88 on the new tyres" in row(page, "Feel")
    page.keyboard.press("Escape")
    assert page.evaluate(f"{active}.dataset.group") == "axle"
    for _ in range(7):
        page.keyboard.press("Tab")
    assert page.evaluate(f"{active}.tagName") == "SUMMARY"
    page.keyboard.press("Enter")
    assert page.locator("gearing-card details[open]").count() == 1
    assert violations(page) == []


def test_what_a_row_needs_opens_its_chip(page: "Page", site: Site, service: str) -> None:
    page.goto(put(site, service))
    headline(page)
    page.evaluate("document.querySelector('gearing-card').removeAttribute('vehicle-mass')")
    settled(page)
    page.locator("gearing-card button", has_text="Add: Mass as driven").first.click()
    active = "document.querySelector('gearing-card').shadowRoot.activeElement.name"
    assert page.evaluate(active) == "vehicle_mass"


def test_attributes_events_and_other_fields_reach_the_service(page: "Page", site: Site, service: str) -> None:
    asked = sheets(page)
    page.goto(put(site, service, more=' build="surface=ice&amp;wheelbase=109"'))
    headline(page)
    assert (asked[0]["surface"], asked[0]["wheelbase"]) == (["ice"], ["109"])
    page.evaluate(
        "() => { window.heard = []; for (const name of ['gearing-error', 'gearing-answer'])"
        "document.addEventListener(name, ({ detail }) => window.heard.push([name, detail])); }"
    )
    page.evaluate("document.querySelector('gearing-card').setAttribute('axle-ratio', '5.38')")
    settled(page)
    name, detail = page.evaluate("window.heard.at(-1)")
    assert (name, detail["build"]["axle_ratio"]) == ("gearing-answer", "5.38")
    assert detail["answers"]["crawl"]["result"]["crawl_ratio"] > 60
    page.evaluate("document.querySelector('gearing-card').setAttribute('axle-ratio', 'oops')")
    page.locator("gearing-card [role=alert] p").wait_for()
    name, detail = page.evaluate("window.heard.at(-1)")
    assert (name, detail["problems"][0]["status"]) == ("gearing-error", 422)


def test_without_a_tyre_it_asks_for_one(page: "Page", site: Site, service: str) -> None:
    asked = sheets(page)
    put(site, service)
    kind, text = site.files["/"]
    site.files["/"] = (kind, re.sub("<gearing-card.*?>", "<gearing-card>", text, flags=re.DOTALL))
    page.goto(site.address + "/")
    page.locator("gearing-card [part=headline]", has_text="needs: Tyre").wait_for()
    assert asked == []
    assert violations(page) == []


def test_the_tag_that_the_bench_offers_answers_about_its_build_in_the_units_of_any_reader(
    page: "Page", site: Site, service: str
) -> None:
    address = f"{service}/v1/build-sheet.html?{BUILD}&units=us"
    bench = requests.get(address, headers={"Accept": "text/html"}, timeout=5).text
    (offered,) = re.findall(r"<pre[^>]*>(&lt;script.*?)</pre>", bench, re.DOTALL)
    script, card = html.unescape(offered).split("\n")
    parts = requests.get(f"{service}/v1/build-sheet?{BUILD}", timeout=5).json()["parts"]
    verdicts = []
    for lang in ("en", "de"):
        put(site, service, head=script, lang=lang)
        kind, text = site.files["/"]
        site.files["/"] = (
            kind,
            re.sub("<gearing-card.*</gearing-card>", lambda _: card, text, flags=re.DOTALL),
        )
        page.goto(site.address + "/")
        headline(page)
        rows = page.locator("gearing-card [part=rows] > li")
        verdicts.append(rows.evaluate_all("rows => rows.map(row => row.className)"))
        if lang == "en":
            assert parts["axle-loads"]["summary"] in page.locator("gearing-card [part=rows]").inner_text()
    assert verdicts[0] == verdicts[1]
    assert "needs" not in verdicts[0]


def test_a_phone_shows_it_whole(dark: "BrowserContext", site: Site, service: str) -> None:
    page = dark.new_page()
    page.goto(put(site, service))
    headline(page)
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    first = page.locator("gearing-card .row").first.bounding_box()
    assert first
    assert first["y"] + first["height"] <= 844
    small = page.locator("gearing-card :is(button, summary, input)").evaluate_all(
        "nodes => nodes.filter(node => node.getClientRects().length)"
        ".filter(node => node.getBoundingClientRect().height < 43.9).length"
    )
    assert small == 0
    page.close()


def test_the_demonstration_page_works(page: "Page", site: Site, service: str) -> None:
    release = newest(service)
    for name, kind in (("demo.html", "text/html"), ("demo.css", "text/css"), ("demo.js", "text/javascript")):
        text = (GUIDE / name).read_text(encoding="utf-8")
        text = text.replace("SERVICE", service).replace("INTEGRITY", release["integrity"])
        site.files[f"/{name}"] = (f"{kind}; charset=utf-8", text)
    assert f"/widget/{release['version']}/" in site.files["/demo.html"][1]
    site.policy = site.policy.replace("script-src", "script-src 'self'")
    complaints, _ = watched(page)
    page.goto(f"{site.address}/demo.html")
    headline(page)
    page.locator("output", has_text="4.15").wait_for()
    assert [text for text in complaints if "favicon" not in text and "404" not in text] == []
    assert violations(page) == []
