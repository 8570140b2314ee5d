"""Pages, pictures and files that people and other sites see: read as those read them, without a browser."""

import base64
import gzip
import io
import json
import re
from hashlib import sha384
from html.parser import HTMLParser
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from flask.testing import FlaskClient
from PIL import Image

from gearing_api.http.pages import element
from gearing_api.http.pages.home import demo_query
from gearing_api.questions import QUESTIONS
from gearing_api.vocabulary import FIELDS

EACH_QUESTION = pytest.mark.parametrize("name", QUESTIONS)
BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
CRAWL = f"/v1/crawl.html?{demo_query(QUESTIONS['crawl'])}"
HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(1)>'

RELEASED = {
    "1.0.0": "sha384-FGBAGe/VLx1DT1c2QGvqnqkhmk//ya/Pw4e0tc930R7qmcWVSzqrCUefO0vR6+Aw",
    "2.0.0": "sha384-dEE0KCBDtcZmxfw79LRCWGQhlNL/IzS1191gBmCU0NxV2oGDbHHEAPEQSZRNFMKL",
}
"""A version that was released never changes: for another text make another folder, and keep this one."""


class Head(HTMLParser):
    """What a site that unfurls a link sees: the elements of the page, no script run."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def meta(self) -> dict[str, str]:
        return {
            attrs.get("property") or attrs.get("name") or "": attrs["content"]
            for tag, attrs in self.tags
            if tag == "meta" and "content" in attrs
        }

    def linked(self, rel: str, kind: str | None = None) -> str:
        return next(
            attrs["href"]
            for tag, attrs in self.tags
            if tag == "link" and attrs["rel"] == rel and kind in (None, attrs.get("type"))
        )


def status(client: FlaskClient, path: str) -> int:
    """Of a resource that may be a file, which is closed again."""
    with client.get(path) as response:
        return response.status_code


def local(address: str) -> str:
    assert address.startswith("http://localhost/"), "a site that unfurls needs the whole address"
    return address.removeprefix("http://localhost")


class TestEmbed:
    @EACH_QUESTION
    def test_every_answer_has_its_page_with_its_numbers(self, client: FlaskClient, name: str) -> None:
        query = demo_query(QUESTIONS[name])
        response = client.get(f"/v1/{name}.html?{query}")
        assert response.status_code == 200
        assert response.mimetype == "text/html"
        in_text = client.get(f"/v1/{name}.txt?{query}").text
        figures = re.findall(r"^[a-z0-9 -]+\.{2,} ([^-\s]\S*)", in_text.partition("\n(")[0], re.MULTILINE)
        assert figures
        assert [figure for figure in figures if f"<dd>{figure}" not in response.text] == []

    def test_only_a_page_opened_by_itself_has_the_header(self, client: FlaskClient) -> None:
        """Browsers say where a page goes; from those that do not it may be in a frame."""
        address = f"/v1/crawl.html?{demo_query(QUESTIONS['crawl'])}"
        pages = {to: client.get(address, headers={"Sec-Fetch-Dest": to}) for to in ("document", "iframe")}
        assert {to: '<header class="top">' in page.text for to, page in pages.items()} == {
            "document": True,
            "iframe": False,
        }
        assert '<header class="top">' not in client.get(address).text
        assert all("Sec-Fetch-Dest" in page.headers["Vary"] for page in pages.values())
        assert pages["document"].headers["ETag"] != pages["iframe"].headers["ETag"]

    def test_a_range_is_told_whole_and_what_is_absent_with_its_reason(self, client: FlaskClient) -> None:
        query = demo_query(QUESTIONS["descent"])
        low, high = client.get(f"/v1/descent?{query}").get_json()["ranges"]["settling_speed"]
        page = client.get(f"/v1/descent.html?{query}").text
        assert f"<dd>{low:.2g} to {high:.2g} <small>mph</small>" in page
        shaft = client.get(
            "/v1/driveline.html?tyre=33+in&axle_ratio=4&propshaft_run=48&propshaft_drop=12"
        ).text
        assert "<dd><small>needs vehicle mass</small></dd>" in shaft

    def test_the_verdict_leads_and_a_stop_stands_before_the_figures(self, client: FlaskClient) -> None:
        page = client.get(
            "/v1/driveline.html?tyre=33+in&axle_ratio=4&propshaft_run=48&propshaft_drop=12"
        ).text
        verdict, stop, figures = (
            page.index(text) for text in ("</svg> stop", "<strong>Stop:</strong> A joint", "<dl")
        )
        assert verdict < stop < figures

    @EACH_QUESTION
    def test_anyone_may_frame_it_and_it_can_do_nothing(self, client: FlaskClient, name: str) -> None:
        headers = client.get(f"/v1/{name}.html?{demo_query(QUESTIONS[name])}").headers
        policy = headers["Content-Security-Policy"]
        assert "frame-ancestors *" in policy
        assert "script-src" not in policy
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "X-Frame-Options" not in headers
        assert headers["ETag"]

    @pytest.mark.parametrize("path", ["/", "/docs", "/problems/not-found", "/v1/crawl.json"])
    def test_no_other_page_may_be_framed(self, client: FlaskClient, path: str) -> None:
        response = client.get(path, headers=BROWSER)
        assert "frame-ancestors 'none'" in response.headers["Content-Security-Policy"]

    @EACH_QUESTION
    def test_a_link_to_it_unfurls(self, client: FlaskClient, name: str) -> None:
        head = Head(client.get(f"/v1/{name}.html?{demo_query(QUESTIONS[name])}").text).meta()
        assert str(QUESTIONS[name].example["tyre"]) in head["og:title"]
        assert head["og:type"] == "website"
        assert re.search(r"\d|[a-z]", head["og:description"])
        assert client.get(local(head["og:url"])).status_code == 200
        picture = client.get(local(head["og:image"]))
        assert picture.mimetype == head["og:image:type"] == "image/png"
        size = Image.open(io.BytesIO(picture.data)).size
        assert size == (1200, 630) == (int(head["og:image:width"]), int(head["og:image:height"]))
        assert head["og:image:alt"]

    def test_its_picture_is_the_one_of_its_build(self, client: FlaskClient) -> None:
        page = client.get(f"/v1/cruise.html?{demo_query(QUESTIONS['cruise'])}&units=metric").text
        drawing = page[page.index("<figure") : page.index("</figure>")]
        assert "km/h" in drawing
        assert "mph" not in drawing
        assert client.get(f"/v1/cruise.html?{demo_query(QUESTIONS['cruise'])}").text.count("mph") > 3

    def test_its_links_hold(self, client: FlaskClient) -> None:
        page = Head(client.get(CRAWL).text)
        targets = {attrs["href"] for tag, attrs in page.tags if tag == "a"}
        assert len(targets) > len(QUESTIONS)
        for target in targets:
            assert target.startswith("#") or status(client, target) == 200, target

    def test_the_form_asks_the_same_again(self, client: FlaskClient) -> None:
        page = Head(client.get(CRAWL).text)
        filled = {
            attrs["name"]: attrs["value"] for tag, attrs in page.tags if tag == "input" and attrs.get("value")
        }
        assert filled.pop("typed") == "us"
        again = client.get(f"/v1/crawl?{urlencode(filled)}").get_json()
        asked = client.get(CRAWL.replace(".html", "")).get_json()
        assert again["result"] == asked["result"]
        names = {attrs["name"] for tag, attrs in page.tags if tag in ("input", "select") and "name" in attrs}
        assert names == {*QUESTIONS["crawl"].fields, "typed", "units", "decimal", "bands"}

    def test_a_picked_result_is_all_that_is_shown(self, client: FlaskClient) -> None:
        page = client.get(f"{CRAWL}&pick=crawl_ratio").text
        assert "crawl ratio" in page
        assert "<dt>crawl speed</dt>" not in page

    def test_a_refused_build_gets_a_page_that_says_why(self, client: FlaskClient) -> None:
        response = client.get("/v1/crawl.html?tyre=35x&axle_ratio=4.56")
        assert response.status_code == 422
        assert response.mimetype == "text/html"
        assert response.headers["Cache-Control"] == "no-store"
        assert "tyre is not a tyre size" in response.text
        values = {
            attrs["name"]: attrs.get("value") for tag, attrs in Head(response.text).tags if tag == "input"
        }
        assert values["axle_ratio"] == "4.56"
        assert client.get("/v1/crawl.html").status_code == 422

    def test_errors_in_one_line_come_as_everywhere(self, client: FlaskClient) -> None:
        response = client.get("/v1/crawl.html?tyre=35x&errors=text")
        assert response.status_code == 200
        assert response.text.startswith("#ERR ")

    @pytest.mark.parametrize("place", ["tyre", "axle_ratio", "units", "pick", "unknown", "surface"])
    def test_hostile_text_is_only_text(self, client: FlaskClient, place: str) -> None:
        build = {"tyre": "35x12.50R17LT", "axle_ratio": "4.56", "gear_ratios": "4,1"}
        response = client.get(f"/v1/crawl.html?{urlencode(build | {place: HOSTILE})}")
        page = Head(response.text)
        assert [tag for tag, _ in page.tags if tag == "script"] == []
        assert not any(name.startswith("on") for _, attrs in page.tags for name in attrs)
        assert not any(attrs.get("src", "").startswith("x") for _, attrs in page.tags)

    def test_a_hostile_host_is_only_text(self, client: FlaskClient) -> None:
        page = client.get(CRAWL, headers={"Host": 'a"><script>alert(1)</script>'}).text
        assert "<script" not in page


class TestOEmbed:
    def test_a_site_finds_the_frame_through_the_page(self, client: FlaskClient) -> None:
        text = client.get(CRAWL).text
        found = Head(text[:150_000]).linked("alternate", "application/json+oembed")
        offered = client.get(local(found)).get_json()
        assert offered["version"] == "1.0"
        assert offered["type"] == "rich"
        (frame,) = (attrs for tag, attrs in Head(offered["html"]).tags if tag == "iframe")
        assert frame["title"] == offered["title"]
        assert (int(frame["width"]), int(frame["height"])) == (offered["width"], offered["height"])
        asked = parse_qs(urlsplit(CRAWL).query) | {"units": ["us"]}
        assert parse_qs(urlsplit(frame["src"]).query) == asked
        assert client.get(local(frame["src"])).status_code == 200
        assert client.get(local(offered["thumbnail_url"])).mimetype == "image/png"

    def test_it_keeps_to_the_sizes_it_is_given(self, client: FlaskClient) -> None:
        asked = {"url": f"http://localhost{CRAWL}", "maxwidth": "320", "maxheight": "200", "dnt": "1"}
        offered = client.get("/oembed", query_string=asked).get_json()
        assert (offered["width"], offered["height"]) == (320, 200)
        assert "thumbnail_url" not in offered

    @pytest.mark.parametrize(
        "url",
        [
            "", "nonsense", "http://[::1", "http://elsewhere/v1/crawl.html", "http://localhost/",
            "http://localhost/v1/nothing.html", "http://localhost/v1/crawl", "javascript:alert(1)",
            "http://localhost@elsewhere/v1/crawl.html", "file:///etc/passwd", "http://localhost/v1/../v1/crawl.html",
        ],
    )  # fmt: skip
    def test_other_addresses_are_not_found(self, client: FlaskClient, url: str) -> None:
        response = client.get("/oembed", query_string={"url": url})
        assert response.status_code == 404
        assert response.mimetype == "application/problem+json"

    def test_hostile_text_is_only_text(self, client: FlaskClient) -> None:
        url = f"http://localhost/v1/crawl.html?{urlencode({'tyre': HOSTILE, HOSTILE: '1'})}"
        offered = client.get("/oembed", query_string={"url": url}).get_json()
        assert [tag for tag, _ in Head(offered["html"]).tags] == ["iframe"]

    def test_other_formats_are_not_there(self, client: FlaskClient) -> None:
        assert client.get("/oembed?format=xml").status_code == 501

    @pytest.mark.parametrize("width", ["-1", "1.5", "wide", "999999", "٤"])
    def test_a_size_is_a_whole_number(self, client: FlaskClient, width: str) -> None:
        asked = {"url": f"http://localhost{CRAWL}", "maxwidth": width}
        response = client.get("/oembed", query_string=asked)
        assert response.status_code == 422
        assert response.get_json()["errors"][0]["pointer"] == "/maxwidth"


class TestWidget:
    def test_released_versions_never_change(self) -> None:
        assert {release.version: release.integrity for release in element.releases()} == RELEASED

    def test_the_listing_leads_to_what_it_says(self, client: FlaskClient) -> None:
        listing = client.get("/widget").get_json()
        assert listing["version"] == max(RELEASED)
        for release in listing["releases"]:
            response = client.get(local(release["address"]))
            digest = base64.b64encode(sha384(response.data).digest()).decode()
            assert release["integrity"] == f"sha384-{digest}"
            assert response.mimetype == "text/javascript"
            assert response.headers["Cache-Control"] == "public, max-age=31536000, immutable"
            assert response.headers["Access-Control-Allow-Origin"] == "*"
            (script,) = (attrs for _, attrs in Head(release["tag"]).tags)
            assert script["src"] == release["address"]
            assert script["integrity"] == release["integrity"]

    def test_a_card_holds_its_build_whatever_units_its_readers_choose(self) -> None:
        build = {"tyre": "920", "vehicle_mass": "2404", "wheelbase": "2770", "surface": "ice",
                 "indicated_speeds": "50,100", "torque_curve": "1000:200,2000:300"}  # fmt: skip
        (attrs,) = (attrs for tag, attrs in Head(element.card(build, "metric", "")).tags if tag != "a")
        assert (attrs["tyre"], attrs["vehicle-mass"], attrs["units"]) == ("920", "2404", "metric")
        assert parse_qs(attrs["build"]) == {
            "wheelbase": ["2770 mm"],
            "surface": ["ice"],
            "indicated_speeds": ["50 km/h,100 km/h"],
        }

    def test_a_version_that_is_not_there_is_not_found(self, client: FlaskClient) -> None:
        assert client.get("/widget/9.9.9/gearing-card.js").status_code == 404
        assert client.get("/widget/1.0.0/../../settings.py").status_code == 404

    def test_it_is_small(self) -> None:
        assert len(gzip.compress(element.releases()[0].module, 9)) < 14_000

    def test_its_fields_are_fields_and_its_languages_have_the_same_words(self) -> None:
        module = element.releases()[0].module.decode()
        assert set(element.FIELDS) <= set(FIELDS)
        for name in element.FIELDS:
            assert f'"{name}"' in module
        words = module[module.index("const WORDS") : module.index("/** Fields by the chip")]
        english, german = (re.findall(r"^    (\w+):", text, re.M) for text in words.split("\n  de: {"))
        assert english == german
        assert set(element.FIELDS) < set(english)

    def test_it_writes_no_markup(self) -> None:
        module = element.releases()[0].module.decode()
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|DOMParser|document\.write|eval\(|Function\(|\.style\b",
            module,
        )


class TestExplorer:
    def test_its_files_are_served_and_no_others(self, client: FlaskClient) -> None:
        page = client.get("/docs/explorer")
        assert page.status_code == 200
        assert "unsafe" not in page.headers["Content-Security-Policy"]
        for tag, attrs in Head(page.text).tags:
            for name in ("src", "href"):
                if name in attrs and tag in ("script", "link"):
                    assert status(client, attrs[name]) == 200, attrs[name]
        assert client.get("/docs/oauth2-redirect.html").status_code == 404
        assert client.get("/docs/../__init__.py").status_code == 404

    def test_every_operation_stands_under_a_heading(self, client: FlaskClient) -> None:
        spec = client.get("/openapi.json").get_json()
        for path, operations in spec["paths"].items():
            for operation in operations.values():
                assert len(operation.get("tags", [])) == 1, path


def test_the_card_is_drawn_once_and_alike(client: FlaskClient) -> None:
    first = client.get("/pages/card.png")
    assert first.mimetype == "image/png"
    assert Image.open(io.BytesIO(first.data)).size == (1200, 630)
    assert client.get("/pages/card.png").data == first.data
    assert json.loads(client.get("/widget").text)["element"] == "gearing-card"
