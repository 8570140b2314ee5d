"""The bench without a browser: rows equal their pages, links hold, units convert, a question brings its own row."""

import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from typing import Any
from urllib.parse import parse_qs, parse_qsl, urlencode, urlsplit

import pytest
from flask.testing import FlaskClient

from gearing_api import vocabulary
from gearing_api.fields import Choice, Tyre
from gearing_api.formats.options import OutputOptions, rounded
from gearing_api.formats.ranges import two_ends
from gearing_api.http.pages import bench, build_form, conversion, home
from gearing_api.http.pages.asking import page_of
from gearing_api.questions import QUESTIONS, build_sheet, read_build
from gearing_api.vehicle.demo_truck import TRUCK
from gearing_api.vocabulary import FIELDS, GROUPS, Field

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
DEMO = urlencode(dict(home.start_values("us", False)))
SPARSE = [
    "tyre=33+in", "tyre=33+in&axle_ratio=4", "tyre=33+in&vehicle_mass=5000",
    "tyre=33+in&units=metric&vehicle_mass=2000",
    "tyre=33+in&axle_ratio=4&gear_ratios=4,1&grade_percent=-8&vehicle_mass=5000",
]  # fmt: skip


class Page(HTMLParser):
    """The links, headings with their ledgers, and inputs of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.inputs: dict[str, str] = {}
        self.figures: dict[str, list[tuple[str, str]]] = {}
        self._heading = self._part = self._name = ""
        self._text: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "a":
            self.links.append(found["href"])
            self._heading = found["href"] if self._heading == "h2" else self._heading
        if tag == "input":
            self.inputs[found["name"]] = found.get("value", "")
        if tag == "h2":
            self._heading = "h2"
        if tag in ("dt", "dd"):
            self._text = []

    def handle_endtag(self, tag: str) -> None:
        if tag == "h2" and self._heading.startswith("/"):
            self._part, self._heading = self._heading, ""
            self.figures[self._part] = []
        if tag == "dt":
            self._name = "".join(self._text).strip()
        if tag == "dd" and self._part:
            self.figures[self._part].append((self._name, " ".join("".join(self._text).split())))

    def handle_data(self, data: str) -> None:
        self._text.append(data)


def opened(client: FlaskClient, path: str) -> str:
    response = client.get(path, headers=BROWSER)
    assert response.status_code == 200, path
    return response.text


def refused(client: FlaskClient, page: str) -> list[str]:
    """The links of a page that lead nowhere."""
    targets = {link for link in Page(page).links if not link.startswith("#")}
    found = []
    for target in targets:
        with client.get(target, headers=BROWSER) as response:
            if response.status_code not in (200, 303):
                found.append(f"{response.status_code} {target}")
    return found


@pytest.mark.parametrize("query", [DEMO, *SPARSE])
def test_every_figure_of_a_row_is_that_of_the_page_it_links_to(client: FlaskClient, query: str) -> None:
    figures = Page(opened(client, f"/?{query}")).figures
    assert figures
    assert any(figures.values())
    sheet = client.get(f"/v1/build-sheet?{query}").get_json()["parts"]
    for link, told in figures.items():
        page = opened(client, link)
        for name, figure in told:
            value = figure.partition(" ")[0]
            assert re.search(rf"<dt>{name}</dt><dd>{re.escape(value)}", page), (link, name, figure)
        summary = client.get(link.replace(".html", ".json")).get_json()["summary"]
        name = urlsplit(link).path.removeprefix("/v1/").removesuffix(".html")
        assert sheet[name]["summary"] == summary


@pytest.mark.parametrize("query", ["", *SPARSE, "a=tyre%3D33%2Bin&tyre=35+in"])
def test_no_link_leads_to_a_refusal(client: FlaskClient, query: str) -> None:
    assert refused(client, opened(client, f"/?{query}")) == []


FEW = ("tyre", "regear", "axle-check", "build-sheet")


@pytest.mark.parametrize(
    "name", [name if name in FEW else pytest.param(name, marks=pytest.mark.slow) for name in QUESTIONS]
)
def test_no_link_of_a_question_leads_to_a_refusal(client: FlaskClient, name: str) -> None:
    assert refused(client, opened(client, f"/v1/{name}.html?{home.demo_query(QUESTIONS[name])}")) == []


@pytest.mark.parametrize("address", ["/", "/v1/build-sheet.html"])
def test_units_convert_what_was_typed(client: FlaskClient, address: str) -> None:
    there = client.get(f"{address}?{DEMO}&typed=us&units=metric", headers=BROWSER)
    assert there.status_code == 303
    metric = urlsplit(there.headers["Location"]).query
    assert parse_qs(metric)["vehicle_mass"] == ["2404.04"]
    back = client.get(f"{address}?{metric.replace('units=metric', 'units=us')}&typed=metric", headers=BROWSER)
    us = urlsplit(back.headers["Location"]).query
    first, last = (
        client.get(f"/v1/build-sheet?{query}").get_json()["result"] for query in (f"{DEMO}&units=us", us)
    )
    for name, value in first.items():
        same = isinstance(value, str) or value is None or isinstance(value, bool)
        assert last[name] == (value if same else pytest.approx(value, rel=5e-4, abs=5e-4)), name
    assert client.get(f"/v1/build-sheet?{metric}").get_json()["units"] == "metric"


@pytest.mark.parametrize("comma", [False, True])
def test_each_field_means_the_same_after_conversion(comma: bool) -> None:
    kinds = {name: vocabulary.ALL_FIELDS[name].kind for name in TRUCK}
    typed = {
        name: text
        for name, text in home.start_values("us", comma).items()
        if not isinstance(kinds[name], Choice)
    }
    assert len(typed) > len(TRUCK) / 2
    metric = conversion.converted(typed, "us", "metric", comma=comma)
    back = conversion.converted(metric, "metric", "us", comma=comma)
    read = {
        name: [
            kinds[name].read(conversion.with_decimal_point(text) if comma else text, "us")
            for text in (typed[name], back[name])
        ]
        for name in typed
    }
    wrong = {
        name: (typed[name], metric[name], back[name])
        for name, (first, again) in read.items()
        if again != (first if isinstance(kinds[name], Tyre) else pytest.approx(first, rel=1e-5))
    }
    assert wrong == {}


def test_a_refused_build_has_its_error_and_its_repair_at_the_field(client: FlaskClient) -> None:
    response = client.get("/?tyre=35&axle_ratio=4.56", headers=BROWSER)
    assert response.status_code == 422
    field = re.search(r'<input name="tyre"[^>]*>', response.text)
    assert field
    assert 'aria-invalid="true"' in field[0]
    assert "e-tyre" in field[0]
    assert 'id="e-tyre"' in response.text
    repair = next(link for link in Page(response.text).links if "35+in" in link or "35%20in" in link)
    assert opened(client, repair)


def test_a_sentence_leads_to_its_build_and_says_what_was_left(client: FlaskClient) -> None:
    response = client.get("/?q=from+31s+to+35s+on+4.10s,+blue+4.88", headers=BROWSER)
    assert response.status_code == 303
    address = response.headers["Location"]
    assert parse_qs(urlsplit(address).query)["tyre"] == ["35 in"]
    page = opened(client, address)
    assert "One question:" in page
    nothing = client.get("/?q=hello", headers=BROWSER)
    assert nothing.status_code == 422
    assert "One question:" in nothing.text


def test_the_address_is_the_build(client: FlaskClient) -> None:
    parts = client.get(f"/v1/build-sheet.json?{DEMO}&page=1&open=tyre&side_slope_percent=").get_json()
    query = dict(parse_qsl(urlsplit(parts["address"]).query))
    assert query == {**dict(parse_qsl(DEMO)), "units": "us"}
    assert parts["summary"] == client.get(f"/v1/build-sheet?{DEMO}").get_json()["summary"]


def test_a_kept_build_stands_beside_the_other(client: FlaskClient) -> None:
    kept = urlencode({"a": "tyre=33 in&axle_ratio=4.1&gear_ratios=4,1"})
    query = f"tyre=35x12.50R17LT&axle_ratio=4.56&gear_ratios=4,1&{kept}"
    page = opened(client, f"/?{query}")
    assert page.count('<span class="a">A: ') >= 3
    assert "A to B: crawl ratio +" in page
    assert "tyre%3D33" in next(link for link in Page(page).links if "a=" in link)


@pytest.mark.parametrize(
    ("wanted", "units"),
    [("", ("us", False)), ("en-US,en;q=0.9", ("us", False)), ("en-GB", ("us", False)),
     ("de-AT,de;q=0.9,en;q=0.8", ("metric", True)),
     ("en-AU", ("metric", False)), ("de-CH", ("metric", False)), ("ja", ("metric", False)), ("fr", ("metric", True))],
)  # fmt: skip
def test_start_values_follow_the_language(client: FlaskClient, wanted: str, units: tuple[str, bool]) -> None:
    response = client.get("/", headers=BROWSER | ({"Accept-Language": wanted} if wanted else {}))
    assert "Accept-Language" in response.headers["Vary"]
    page = Page(response.text)
    assert page.inputs["typed"] == units[0]
    assert page.inputs["axle_ratio"] == ("4,56" if units[1] else "4.56")


@pytest.mark.slow
@pytest.mark.parametrize("wanted", ["en-AU", "fr"])
def test_no_link_leads_to_a_refusal_in_metric_units_or_with_a_comma(client: FlaskClient, wanted: str) -> None:
    page = client.get("/", headers=BROWSER | {"Accept-Language": wanted}).text
    assert refused(client, page) == []


@pytest.mark.parametrize("path", ["/", "/v1/regear.html", "/v1/regear.svg"])
def test_with_a_decimal_comma_all_that_is_said_has_one(client: FlaskClient, path: str) -> None:
    """And no comma between thousands: 1,270 kg would be read as little more than one."""
    point, comma = (
        _SAID.findall(client.get(f"{path}?{_metric(comma)}", headers=BROWSER).text) for comma in (False, True)
    )
    assert len(point) > 10
    assert any(re.search(r"[0-9],[0-9]{3}", text) for text in point)
    assert any(re.search(r"[0-9]\.[0-9]", text) for text in point)
    assert comma == [OutputOptions(decimal_comma=True).in_prose(text) for text in point]


_SAID = re.compile(r'<(?:h1|dd|figcaption|li|text [^>]*|td [^>]*|span class="says")>(.*?)</', re.DOTALL)


def _metric(comma: bool) -> str:
    options = {"units": "metric", "decimal": "comma" if comma else "point"}
    return urlencode(options | dict(home.start_values("metric", comma)))


def test_a_choice_that_was_made_stands_above_the_language(client: FlaskClient) -> None:
    page = client.get("/?units=us", headers=BROWSER | {"Accept-Language": "de"}).text
    assert Page(page).inputs["typed"] == "us"


def test_ranges_have_a_switch_that_the_address_keeps_and_soft_edges_in_pictures(client: FlaskClient) -> None:
    shown, alone = (opened(client, f"/?{DEMO}{ranges}") for ranges in ("&bands=1", ""))
    for page, on in ((shown, True), (alone, False)):
        (switch,) = re.findall(r'<select name="bands".*?</select>', page)
        assert ('<option value="1" selected>' in switch) == on
        assert ("met by 1 to 19 in 20 builds like this one" in page) == on
        assert ("9 in 10 builds like this one, at the worst" in page) == on
        ticks = re.findall(r'<a href="([^"]*)"[^>]*data-ratio', page)
        assert ticks
        assert all(("bands=1" in tick) == on for tick in ticks)
    (off,) = re.findall(r'<a href="([^"]*)" data-change>One figure each', shown)
    assert re.findall(r"<svg.*?</svg>", opened(client, unescape(off)), re.DOTALL) == re.findall(
        r"<svg.*?</svg>", alone, re.DOTALL
    )


def test_a_figure_says_what_it_was_before_the_change(client: FlaskClient) -> None:
    answer = client.get(f"/v1/build-sheet?{DEMO}").get_json()
    was, step = (answer[member]["crawl_ratio"] for member in ("original", "change"))
    assert f"before {rounded(was)}, change +{rounded(step, 3)}</small>" in opened(client, f"/?{DEMO}")
    ends = client.get(f"/v1/build-sheet?{DEMO}&bands=1").get_json()["ranges"]["change_crawl_speed"]
    assert f", change {two_ends(*ends)}</small>" in opened(client, f"/?{DEMO}&bands=1")
    same = "tyre=33+in&original_tyre=33+in&axle_ratio=4&gear_ratios=4,1&original_gear_ratios=4,1"
    assert ">before " not in opened(client, f"/?{same}").partition("<form")[0]


@pytest.mark.parametrize("comma", [False, True])
def test_what_measurements_found_leads_on_to_the_bench(client: FlaskClient, comma: bool) -> None:
    query = dict(QUESTIONS["from-measurements"].example)
    page = opened(client, f"/v1/from-measurements.html?{home.demo_query(QUESTIONS['from-measurements'])}")
    if comma:
        query = {
            "tyre": "33 in",
            "front_axle_weighed": "2810,5",
            "rear_axle_weighed": 2490,
            "decimal": "comma",
        }
        page = opened(client, f"/v1/from-measurements.html?{urlencode(query)}")
    (link,) = re.findall(r'<a href="([^"]*)">Use on the bench', page)
    found = client.get("/v1/from-measurements", query_string=query).get_json()["build"]["vehicle_mass"]
    bench_shown = Page(opened(client, unescape(link)))
    assert bench_shown.inputs["vehicle_mass"] == (found.replace(".", ",") if comma else found)
    assert "bands=1" in link


class TestAQuestionBringsItsOwn:
    """Chip, row and words of a question come from it and its fields alone."""

    FIELD = Field("winch_pull", FIELDS["vehicle_mass"].kind, None, "Pull of the winch", group="recovery")

    def test_taken_out_its_row_goes(self, monkeypatch: pytest.MonkeyPatch) -> None:
        assert "downhill" in self.rows()
        left = tuple(one for one in build_sheet.PARTS if one.row != "downhill")
        monkeypatch.setattr(build_sheet, "PARTS", left)
        assert "downhill" not in self.rows()

    def test_put_in_it_has_a_chip_and_a_row(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setitem(FIELDS, "winch_pull", self.FIELD)
        monkeypatch.setitem(vocabulary.ALL_FIELDS, "winch_pull", self.FIELD)
        question = replace(QUESTIONS["clearance"], name="recovery", row="", uses=("winch_pull",), leads=False)
        monkeypatch.setitem(QUESTIONS, "recovery", question)
        monkeypatch.setattr(build_sheet, "PARTS", (*build_sheet.PARTS, question))
        sheet = replace(QUESTIONS["build-sheet"], uses=(*QUESTIONS["build-sheet"].uses, "winch_pull"))
        asked = page_of({**home.start_values("us", False), "winch_pull": "9000"}, {}, "/").asked
        made = bench.bench(sheet, read_build(dict(asked.values)), asked)
        assert made.rows[-1].name == "recovery"
        (chip,) = [chip for chip in made.chips if chip.group == "recovery"]
        assert chip.now == "9000 lb"
        (fields,) = [part for part in made.fieldsets if part.group == "recovery"]
        assert fields.first[0].hint == "Pull of the winch"

    def rows(self) -> list[str]:
        asked = page_of(home.start_values("us", False), {}, "/").asked
        made = bench.bench(QUESTIONS["build-sheet"], read_build(dict(TRUCK)), asked)
        return [row.name for row in made.rows]


def test_every_field_stands_in_one_group() -> None:
    listed = [name for names in GROUPS.values() for name in names]
    assert len(listed) == len(set(listed))
    assert {vocabulary.plain_name(name) for name in FIELDS} == set(listed)
    assert all(2 <= len(names[: build_form.MOST_FIELDS]) <= 8 for names in GROUPS.values())


def test_rows_are_those_of_the_questions() -> None:
    assert {question.row for question in build_sheet.PARTS} >= set(bench.ROWS)
    for row in bench.ROWS:
        assert sum(question.leads for question in build_sheet.PARTS if question.row == row) == 1, row


@pytest.mark.parametrize(
    ("question", "text", "number"),
    [("crawl", "Crawls at 1.4 mph at idle, 55.3 to 1.", "55.3"), ("final-drive", "4.56 on 35s feels like 4.1.", "4.1"),
     ("cruise", "5th gear has 14 hp in hand.", "14"), ("clearance", "Nothing is known.", "")],
)  # fmt: skip
def test_the_deciding_number_is_that_of_the_main_result(question: str, text: str, number: str) -> None:
    results: dict[str, Any] = {"crawl_ratio": 55.318, "effective_ratio": 4.0997, "cruise_gear": 5}
    answer = {"question": question, "summary": text, "result": results}
    found = bench.sentence(answer)
    assert found.number == number
    assert "".join(found) == text


@pytest.mark.parametrize("address", ["/v1/axle-check.html", "/v1/build-sheet.html", "/"])
def test_no_page_shows_a_picture_that_cannot_be_drawn(client: FlaskClient, address: str) -> None:
    build = "tyre=37x12.50R17LT&axle_ratio=4.56&gear_ratios=4.46,1&vehicle_mass=5300"
    page = client.get(f"{address}?{build}").text
    for picture in re.findall(r'<img src="([^"]+)"', page):
        assert client.get(unescape(picture)).status_code == 200, picture


def test_with_ranges_each_row_says_that_of_what_it_is_about(client: FlaskClient) -> None:
    sheet = client.get(f"/v1/build-sheet?{DEMO}&bands=1").get_json()
    page = unescape(re.sub(r"<[^>]+>", "", opened(client, f"/?{DEMO}&bands=1")))
    low, high = sheet["ranges"]["crawl_speed"]
    assert f"9 in 10: crawl speed {two_ends(low, high)} mph." in page
    assert "9 in 10: " not in unescape(opened(client, f"/?{DEMO}"))
    assert "effective ratio" not in sheet["summary"], "the range is about what the sentence is about"
