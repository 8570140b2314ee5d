"""The page of the shortlist: what its form says is what the service answers, and hostile text stays text."""

import json
import re
from html import unescape
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from gearing_api.http.pages.shortlist import ADDRESS, EXAMPLE
from gearing_api.http.shortlist import ADDRESS as API
from gearing_api.vocabulary import label_of

PARTS = "part;name;price;tyre;axle_ratio\ntyre;33s;1300;33 in\ntyre;35s;1500;35 in\ngears;4.10;0;;4.1\n"
FORM = {
    "build": "gear_ratios = 4.46 2.61\ntransfer_ratios = 1, 2.72",
    "parts": PARTS,
    "sums": "price",
    "target": ["Crawl ratio", "price", ""],
    "least": ["40", "", ""],
    "most": ["", "1400", ""],
    "aim": ["price", ""],
    "wish": ["low", "low"],
    "units": "us",
    "bands": "0",
}


def page(client: FlaskClient, status: int = 200, **changes: object) -> str:
    response = client.get(f"{ADDRESS}?{urlencode({**FORM, **changes}, doseq=True)}")
    assert response.status_code == status
    return unescape(response.text)


def test_by_default_it_decides_for_the_rescue_team(client: FlaskClient) -> None:
    response = client.get(ADDRESS)
    text = unescape(response.text)
    assert "4 of 36 combinations meet all 5 targets" in text
    assert "35s + gears 4.56 + donor" in text
    assert "Estimates for comparison" in text
    named = [name for member in ("target", "aim") for name in EXAMPLE[member]]
    assert all(f'value="{label_of(name)}"' in text for name in named)
    assert all(value in text for values in EXAMPLE.values() for value in values if value not in named)
    assert "<script" not in response.text
    assert "script-src" not in response.headers["Content-Security-Policy"]


def test_it_draws_what_it_answers_in_two_widths(client: FlaskClient) -> None:
    text = client.get(ADDRESS).text
    assert text.count('class="picture') == 4
    assert "What each choice gives up: price against strength change" in text
    assert "style=" not in text, "the policy of pages lets no style through"
    assert 'class="picture' not in page(client, 422, parts="")


@pytest.mark.parametrize("name", ["steepest_grade_percent", "Steepest grade", " steepest grade percent "])
def test_a_result_is_typed_by_label_or_name(client: FlaskClient, name: str) -> None:
    more = {"build": f"{FORM['build']}\nvehicle_mass = 5000\npeak_torque = 260\npeak_power = 215"}
    text = page(client, target=[name], least=["2"], most=[""], **more)
    assert '{"least": "2"}' in re.sub(r"\s+", " ", text).replace("{ ", "{").replace(" }", "}")
    assert '"steepest_grade_percent":' in text
    assert 'name="target" list="results" value="steepest grade"' in text
    assert "<option>steepest grade</option>" in text


def test_what_it_asks_is_what_it_shows_for_programs(client: FlaskClient) -> None:
    text = page(client)
    plan = json.loads(re.findall(r"<pre>(.*?)</pre>", text, re.DOTALL)[0])
    assert plan["targets"] == {"crawl_ratio": {"least": "40"}, "price": {"most": "1400"}}
    assert plan["among"]["tyre"][1] == {"name": "35s", "price": 1500, "tyre": "35 in"}
    answer = client.post(API, json=plan).get_json()
    assert answer["summary"] in text
    assert [row["label"] for row in answer["rows"]] == ["33s"]


@pytest.mark.parametrize("mark", ["\t", ",", ";"])
def test_tables_of_any_separator(client: FlaskClient, mark: str) -> None:
    assert "1 of 2 combinations meets both targets" in page(client, parts=PARTS.replace(";", mark))


def test_it_has_the_text_for_a_forum(client: FlaskClient) -> None:
    text = unescape(page(client, 200))
    said = text.partition("<summary>Forum text</summary>")[2].partition("</pre>")[0]
    assert "meets all" in said
    assert max(map(len, said.splitlines()[1:])) <= 60


@pytest.mark.parametrize(
    ("changes", "detail"),
    [
        ({"parts": PARTS.replace("axle_ratio", "axel_ratio")}, "the nearest is axle ratio"),
        ({"parts": PARTS.replace("1300", "a lot")}, "price is a sum: it must be a number"),
        ({"parts": ""}, "among must not be empty"),
        ({"parts": "part,name"}, "among must not be empty"),
        ({"target": ["crawl rat"]}, "names no result of any question"),
        ({"wish": ["sideways"]}, "must say low or high"),
        ({"build": "gear_ratios"}, "gearbox ratios"),
        ({"units": "furlongs"}, "must be us or metric"),
    ],
)
def test_what_is_refused_is_named_and_the_form_stays(
    client: FlaskClient, changes: dict[str, object], detail: str
) -> None:
    text = page(client, 422, **changes)
    assert detail in text
    assert '<form class="build"' in text
    assert FORM["build"] in text or "build" in changes


@pytest.mark.parametrize("place", ["build", "parts", "sums", "target", "aim", "units"])
def test_hostile_text_is_only_text(client: FlaskClient, place: str) -> None:
    hostile = "</textarea><img src=x onerror=alert(1)>\" onfocus='x'"
    response = client.get(f"{ADDRESS}?{urlencode({**FORM, place: hostile}, doseq=True)}")
    assert response.status_code in (200, 422)
    assert "<img" not in response.text
    assert "' onfocus" not in response.text


def test_an_address_that_is_too_long_or_cannot_be_read(client: FlaskClient) -> None:
    assert client.get(f"{ADDRESS}?parts={'x' * 9000}").status_code == 414
    assert client.get(f"{ADDRESS}?parts=%ff").status_code == 400
