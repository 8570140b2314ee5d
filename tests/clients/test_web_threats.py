"""Hostile text in everything that the service repeats, in a real Chromium: nothing runs, nothing is fetched.

CWE-79. Two lines of defence, each tried by itself: text stays text, and the policy of each page lets no
script run that is not its own.
"""

from collections.abc import Iterator
from html import escape
from typing import TYPE_CHECKING, Any
from urllib.parse import quote, urlencode

import pytest
import requests

from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from tests.clients.browser import Site, chromium

if TYPE_CHECKING:
    from playwright.sync_api import BrowserContext, Page

pytestmark = pytest.mark.slow

TEXTS = [
    "\"><script>window.ran = 1; fetch('OUT/script')</script>",
    "'\"><img src='OUT/picture' onerror='window.ran = 1'>",
    '"><svg onload="window.ran = 1"></svg>',
    '</title></textarea><meta http-equiv="refresh" content="0;url=OUT/meta">',
    '"><link rel="stylesheet" href="OUT/style"><base href="OUT/">',
    '"><iframe src="OUT/frame"></iframe>',
    '" autofocus onfocus="window.ran = 1" x="',
    "javascript:window.ran=1",
    "{{ 7 * 7 }}",
]
AT_ONCE = 20
"""Fields in one address, which may have 8,000 bytes."""


class Watched:
    """A page of the browser, and what it did: where it went, what it complained of."""

    def __init__(self, page: "Page") -> None:
        self.page = page
        self.asked: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("dialog", lambda dialog: self.complaints.append(f"dialog: {dialog.message}"))
        page.on("console", lambda message: self.complaints.append(message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def is_untouched(self, *origins: str) -> None:
        """Nothing has run, nothing of others was asked for, and no policy had to hinder it."""
        self.page.wait_for_load_state("networkidle")
        assert self.page.evaluate("window.ran === undefined")
        assert [url for url in self.asked if not url.startswith((*origins, "data:", "about:"))] == []
        about_policy = [text for text in self.complaints if "Content Security Policy" in text]
        assert about_policy == []
        assert not [text for text in self.complaints if text.startswith("dialog")]


@pytest.fixture(scope="module")
def browser() -> "Iterator[BrowserContext]":
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started, chromium(started) as context:
        yield context


@pytest.fixture
def watched(browser: "BrowserContext") -> Iterator[Watched]:
    page = browser.new_page()
    yield Watched(page)
    page.close()


@pytest.fixture
def site() -> Iterator[Site]:
    """Where hostile text would have the browser go."""
    with Site() as made:
        yield made


def hostile(site: Site) -> list[str]:
    return [text.replace("OUT", site.address) for text in TEXTS]


@pytest.mark.parametrize("name", QUESTIONS)
def test_no_field_of_a_page_is_more_than_text(watched: Watched, site: Site, service: str, name: str) -> None:
    texts, page = hostile(site), watched.page
    fields = [*QUESTIONS[name].fields, "units", "decimal", "pick", "no_such_name"]
    for start in range(0, len(fields), AT_ONCE):
        for turn in range(3):
            given = {
                field: texts[(place + 3 * turn) % len(texts)]
                for place, field in enumerate(fields[start : start + AT_ONCE])
            }
            page.goto(f"{service}/v1/{name}.html?{urlencode(given)}")
            assert page.locator("script, base, iframe, object, meta[http-equiv]").count() == 0
            watched.is_untouched(service)
            for field, text in given.items():
                if page.locator(f"input[name={field}]").count():
                    assert page.locator(f"input[name={field}]").input_value() == text, "and it is not lost"


def test_no_name_of_a_field_is_more_than_text(watched: Watched, site: Site, service: str) -> None:
    for text in hostile(site):
        query = f"{demo_query(QUESTIONS['crawl'])}&{quote(text)}=1"
        watched.page.goto(f"{service}/v1/crawl.html?{query}")
        watched.page.get_by_role("heading", name="Please check").wait_for()
        watched.is_untouched(service)


@pytest.mark.parametrize(
    "path",
    ["/v1/crawl?tyre={}", "/v1/crawl.json?{}=1", "/v1/crawl.txt?errors=text&tyre={}", "/v1/crawl.csv?tyre={}",
     "/v1/road-speed.svg?tyre={}", "/v1/from-text?q=35s+{}", "/v1/from-text.txt?q=35s+{}",
     "/problems/{}", "/{}", "/oembed?url={}", "/v1/tables/units?{}=1", "/widget/{}"],
)  # fmt: skip
def test_no_other_answer_opened_by_itself_is_more_than_text(
    watched: Watched, site: Site, service: str, path: str
) -> None:
    for text in hostile(site):
        watched.page.goto(service + path.format(quote(text, safe="")))
        watched.is_untouched(service)


def test_the_frame_that_is_offered_holds_no_more_than_the_page(
    watched: Watched, site: Site, service: str
) -> None:
    """On a site without any policy of its own, which puts in what oEmbed gives it."""
    for text in hostile(site):
        address = f"{service}/v1/crawl.html?{urlencode({'tyre': text, text: '1'})}"
        offered: dict[str, Any] = requests.get(f"{service}/oembed", {"url": address}, timeout=5).json()
        shown = f"<!doctype html><title>x</title><p>{escape(offered['title'])}</p>{offered['html']}"
        site.files["/"] = ("text/html; charset=utf-8", shown)
        watched.page.goto(f"{site.address}/")
        watched.page.frame_locator("iframe").locator("h1").wait_for()
        watched.is_untouched(service, f"{site.address}/")
        assert _reached(watched, site) <= {"/", "/favicon.ico"}


def _reached(watched: Watched, site: Site) -> set[str]:
    return {url.removeprefix(site.address) for url in watched.asked if url.startswith(site.address)}


def test_the_element_shows_hostile_attributes_and_answers_as_text(
    watched: Watched, site: Site, service: str
) -> None:
    release = requests.get(f"{service}/widget", timeout=5).json()
    for text in hostile(site):
        named = " ".join(f'{name}="{escape(text)}"' for name in ("tyre", "axle-ratio", "gear-ratios"))
        shown = f"<!doctype html><title>x</title>{release['tag']}<gearing-card {named}></gearing-card>"
        site.files["/"] = ("text/html; charset=utf-8", shown)
        watched.page.goto(f"{site.address}/")
        watched.page.locator("gearing-card [role=alert] p").first.wait_for()
        watched.page.wait_for_load_state("networkidle")
        assert watched.page.evaluate("window.ran === undefined")
        assert _reached(watched, site) <= {"/", "/favicon.ico"}


@pytest.mark.parametrize("path", ["/v1/crawl.html", "/v1/crawl", "/problems/not-found", "/nowhere"])
def test_the_policy_holds_even_if_markup_came_in(
    watched: Watched, site: Site, service: str, path: str
) -> None:
    """The answer as it is sent, with hostile markup put in on the way: its headers alone must stop it."""
    page, added = watched.page, "".join(f"<p>{text}</p>" for text in hostile(site) if "meta" not in text)
    answer = requests.get(service + path, timeout=5)
    headers = {
        name: value
        for name, value in answer.headers.items()
        if name.lower() not in ("content-length", "transfer-encoding")
    }
    headers["Content-Type"] = "text/html; charset=utf-8"
    page.route(
        f"{service}{path}",
        lambda route: route.fulfill(status=answer.status_code, headers=headers, body=f"{answer.text}{added}"),
    )
    reached: list[str] = []
    page.on("requestfinished", lambda request: reached.append(request.url))
    page.goto(service + path)
    page.wait_for_load_state("networkidle")
    assert page.evaluate("window.ran === undefined")
    assert any("Content Security Policy" in text for text in watched.complaints), "it was put in, and stopped"
    assert [url for url in reached if url.startswith(site.address)] == []
