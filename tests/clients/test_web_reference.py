"""The reference, the tables and the errors in a real Chromium: on a desktop, a phone, and without scripts."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from gearing_api.questions import QUESTIONS
from tests.clients.browser import chromium
from tests.clients.test_web import violations, watched

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page, Playwright

pytestmark = pytest.mark.slow

PAGES = (
    *("/docs", "/docs/crawl", "/docs/axle-check", "/docs/build-sheet", "/v1/tables", "/v1/tables/cautions"),
    *("/v1/tables/fields", "/v1/tables/units", "/v1/tables/fields?question=crawl", "/problems"),
    *("/problems/busy", "/v1/nothing", "/v1/crawl?tyre=35"),
)
EACH_PAGE = pytest.mark.parametrize("path", PAGES)


@pytest.fixture(scope="module")
def playwright() -> "Iterator[Playwright]":
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def desktop(playwright: "Playwright") -> "Iterator[BrowserContext]":
    with chromium(playwright, permissions=["clipboard-read", "clipboard-write"]) as context:
        yield context


@pytest.fixture(scope="module")
def phone(playwright: "Playwright") -> "Iterator[BrowserContext]":
    with chromium(playwright, "dark", viewport={"width": 390, "height": 844}) as context:
        yield context


@pytest.fixture
def page(desktop: "BrowserContext") -> "Iterator[Page]":
    page = desktop.new_page()
    yield page
    page.close()


@pytest.fixture
def small(phone: "BrowserContext") -> "Iterator[Page]":
    page = phone.new_page()
    yield page
    page.close()


@EACH_PAGE
def test_nothing_bars_anyone(page: "Page", service: str, path: str) -> None:
    complaints, asked = watched(page)
    page.goto(service + path)
    assert violations(page) == []
    assert [text for text in complaints if "status of 4" not in text] == []
    assert all(address.startswith(service) for address in asked)


@EACH_PAGE
def test_a_phone_shows_it_whole(small: "Page", service: str, path: str) -> None:
    small.goto(service + path)
    assert violations(small) == []
    assert small.evaluate("document.documentElement.scrollWidth") <= 390
    outside = "node => node.getBoundingClientRect().right > 390 || node.getBoundingClientRect().left < 0"
    assert small.locator("main td, main dt, main dd, main pre, main input").evaluate_all(
        f"nodes => nodes.filter(node => node.getClientRects().length).filter({outside}).length"
    ) == 0  # fmt: skip


def test_a_row_of_a_table_is_a_card_with_named_cells(small: "Page", service: str) -> None:
    small.goto(f"{service}/v1/tables/cautions")
    cells = small.locator("tbody tr").first.locator("td")
    tops = cells.evaluate_all("cells => cells.map(cell => cell.getBoundingClientRect().top)")
    assert tops == sorted(set(tops)), "cells stand below each other"
    named = cells.nth(1).evaluate("cell => getComputedStyle(cell, '::before').content")
    assert named == '"Levels: "'


@pytest.mark.parametrize("name", ["crawl", "axle-check"])
def test_each_example_is_copied_as_it_stands(page: "Page", service: str, name: str) -> None:
    page.goto(f"{service}/docs/{name}")
    figures = page.locator("figure.code")
    assert figures.count() == 4
    for place in range(figures.count()):
        figure = figures.nth(place)
        figure.get_by_role("button", name="Copy").press("Enter")
        figure.get_by_role("button", name="Copied").wait_for()
        assert page.evaluate("navigator.clipboard.readText()") == figure.locator("code").text_content()


def test_where_the_clipboard_is_closed_the_example_is_selected(small: "Page", service: str) -> None:
    small.goto(f"{service}/docs/crawl")
    small.evaluate("() => { navigator.clipboard.writeText = () => Promise.reject(new Error('closed')); }")
    figure = small.locator("figure.code").first
    figure.get_by_role("button", name="Copy").click()
    figure.get_by_role("button", name="Selected").wait_for()
    selected = small.evaluate("getSelection().toString()")
    assert selected == figure.locator("code").inner_text()


def test_the_form_leads_to_the_answer_without_empty_fields(page: "Page", service: str) -> None:
    page.goto(f"{service}/docs/crawl")
    page.locator("form.try input[name=axle_ratio]").fill("4.10")
    page.locator("form.try input[name=reverse_ratio]").fill("")
    page.get_by_role("button", name="Calculate").press("Enter")
    page.wait_for_url("**/v1/crawl.html?*")
    assert "axle_ratio=4.10" in page.url
    assert "reverse_ratio" not in page.url
    page.get_by_text("49.7").first.wait_for()


def test_it_works_without_scripts(playwright: "Playwright", service: str) -> None:
    with chromium(playwright, java_script_enabled=False) as context:
        page = context.new_page()
        page.goto(f"{service}/docs/crawl")
        assert page.get_by_role("button", name="Copy").count() == 0
        assert "curl '" in page.locator("figure.code code").first.inner_text()
        page.get_by_role("button", name="Calculate").click()
        page.wait_for_url("**/v1/crawl.html?*")


def test_the_python_of_each_example_runs(service: str) -> None:
    import html
    import re

    import requests

    for name in QUESTIONS:
        page = requests.get(f"{service}/docs/{name}", timeout=5).text
        code = html.unescape(re.findall(r"<code>(from gearing_client[^<]*)</code>", page)[0])
        shown: list[object] = []
        exec(code, {"print": lambda *words, shown=shown: shown.extend(words)})
        assert shown[0] in html.unescape(page)


def test_borders_hold_where_colours_are_forced(playwright: "Playwright", service: str) -> None:
    with chromium(playwright, forced_colors="active") as context:
        page = context.new_page()
        page.goto(f"{service}/docs/crawl")
        width = page.locator("main pre").first.evaluate("node => getComputedStyle(node).borderTopWidth")
        assert width == "1px"
        button = page.locator("form.try button").evaluate("node => getComputedStyle(node).borderTopWidth")
        assert button == "1px"
