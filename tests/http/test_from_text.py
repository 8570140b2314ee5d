"""The address that reads a forum sentence: its answers in each form, and its refusals."""

from typing import Any

import pytest
from flask.testing import FlaskClient

from gearing_api.http.from_text import EXAMPLE
from gearing_api.http.spec import spec
from tests.http.described import named

ADDRESS = "/v1/from-text"


def told(field: str, what: str, value: Any, text: str, start: int) -> dict[str, Any]:
    return {"field": field, "what": what, "value": value, "text": text, "span": [start, start + len(text)]}


def test_the_demo_sentence_is_answered_whole(client: FlaskClient) -> None:
    assert client.get(ADDRESS, query_string={"q": EXAMPLE}).get_json() == {
        "question": "from-text",
        "units": "us",
        "given": {"q": "going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"},
        "assumed": {
            "tyre": "35 in is taken as the measured, free diameter",
            "original_tyre": "31 in is taken as the measured, free diameter",
            "gear_ratios": "holds only the gears that are named",
            "transfer_ratios": "high range is taken as direct, 1",
        },
        "result": {
            "build": {
                "tyre": "35 in",
                "original_tyre": "31 in",
                "axle_ratio": 4.1,
                "gear_ratios": [3.83],
                "transfer_ratios": [1, 2.72],
            },
            "understood": [
                told("original_tyre", "tyre before", "31 in", "31s", 11),
                told("tyre", "tyre", "35 in", "35s", 18),
                told("axle_ratio", "axle ratio", 4.1, "4.10s", 25),
                told("gear_ratios", "first gear", 3.83, "3.83 first", 32),
                told("transfer_ratios", "low range", 2.72, "2.72 low", 44),
            ],
            "unused": [],
            "ask": None,
            "follow_up": None,
            "fits": ["final-drive", "crawl", "speedometer", "tyre"],
            "asks": None,
        },
        "result_units": {},
        "cautions": [],
        "sources": [
            {
                "what": "what the shorthand of vehicle forums means",
                "kind": "common practice",
                "source": "no published source",
            }
        ],
    }


def test_a_doubtful_number_is_left_over_and_asked_about(client: FlaskClient) -> None:
    result = client.get(ADDRESS, query_string={"q": "35s, was on 33"}).get_json()["result"]
    assert result["build"] == {"tyre": "35 in"}
    assert result["unused"] == [
        {
            "text": "33",
            "span": [12, 14],
            "reason": "is a bare number: nothing beside it says what it is",
        }
    ]
    assert result["ask"] == "What is the axle ratio, such as 4.10 gears?"
    assert result["follow_up"] == {"about": "axle_ratio", "kind": "open", "offers": []}


@pytest.mark.parametrize(
    ("sentence", "about", "kind", "offers"),
    [
        ("35 and 4.10", "tyre", "confirm", ["35"]),
        ("35s, 4.10 and 3.07", "axle_ratio", "confirm", ["4.10", "3.07"]),
        ("33s or 35s on 4.10s", "tyre", "choose", ["33s", "35s"]),
        ("35s on 4.10s, 3.83 first", "low_range", "open", []),
        ("from 31s to 35s on 4.10s, 2.72", "ratio", "name", ["2.72"]),
    ],
)
def test_what_is_asked_back_is_told_to_a_program(
    client: FlaskClient, sentence: str, about: str, kind: str, offers: list[str]
) -> None:
    asked = client.get(ADDRESS, query_string={"q": sentence}).get_json()["result"]["follow_up"]
    assert (asked["about"], asked["kind"]) == (about, kind)
    assert [offer["text"] for offer in asked["offers"]] == offers
    assert all(sentence[slice(*offer["span"])] == offer["text"] for offer in asked["offers"])


@pytest.mark.parametrize(
    ("sentence", "asks"),
    [
        ("4.56 or 4.88 for 35s?", "regear"),
        ("how far off is my speedo with 35s", "speedometer"),
        ("35s", None),
    ],
)
def test_the_question_that_the_writer_asks_is_told(
    client: FlaskClient, sentence: str, asks: str | None
) -> None:
    assert client.get(ADDRESS, query_string={"q": sentence}).get_json()["result"]["asks"] == asks


def test_the_text_form_is_a_sheet_for_a_forum_post(client: FlaskClient) -> None:
    response = client.get(f"{ADDRESS}.txt", query_string={"q": "from 31s to 35s, 4.10 and 3.83"})
    assert response.content_type == "text/plain; charset=utf-8"
    assert response.text == (
        "from-text\n"
        "tyre.............................. 35 in\n"
        "original tyre..................... 31 in\n"
        "not used: 4.10 is a bare number: nothing beside it says what\n"
        "  it is; 3.83 is a bare number: nothing beside it says what\n"
        "  it is\n"
        "assumed: 35 in is taken as the measured, free diameter; 31\n"
        "  in is taken as the measured, free diameter\n"
        "fits: speedometer, tyre\n"
        "? Are 4.10 and 3.83 axle ratios, before and after?"
    )


def test_get_and_post_give_the_same(client: FlaskClient) -> None:
    got = client.get(ADDRESS, query_string={"q": EXAMPLE})
    posted = client.post(ADDRESS, json={"q": EXAMPLE})
    assert got.data == posted.data
    assert got.data == client.get(f"{ADDRESS}.json", query_string={"q": EXAMPLE}).data
    assert client.get(f"{ADDRESS}.txt", query_string={"q": EXAMPLE}).data == (
        client.post(f"{ADDRESS}.txt", json={"q": EXAMPLE}).data
    )


def test_the_build_can_be_put_to_the_questions_that_fit(client: FlaskClient) -> None:
    result = client.get(ADDRESS, query_string={"q": EXAMPLE}).get_json()["result"]
    for name in result["fits"]:
        assert client.post(f"/v1/{name}", json=result["build"]).status_code == 200
        assert client.post(f"/v1/{name}", json=result["build"] | {"units": "metric"}).status_code == 200


def test_the_build_means_the_same_in_both_systems(client: FlaskClient) -> None:
    sentence = {"q": "35s, 4.10s, 5300 lb, 110 km/h, 260 lb-ft @ 3200, at 8000 ft"}
    us = client.get(ADDRESS, query_string=sentence).get_json()
    metric = client.get(ADDRESS, query_string=sentence | {"units": "metric"}).get_json()
    assert us["result"] == metric["result"]
    assert (us["units"], metric["units"]) == ("us", "metric")


def test_a_decimal_comma_is_read_where_asked_for(client: FlaskClient) -> None:
    asked = {"q": "von 31s auf 35s, 4,10s, 3,83 first", "decimal": "comma"}
    result = client.get(ADDRESS, query_string=asked).get_json()["result"]
    assert result["build"]["axle_ratio"] == 4.1
    assert result["build"]["gear_ratios"] == [3.83]
    assert [one["text"] for one in result["understood"]][-2:] == ["4,10s", "3,83 first"]
    assert "4,10s" in client.get(ADDRESS, query_string={"q": asked["q"]}).text


def test_spans_count_characters_not_bytes(client: FlaskClient) -> None:
    sentence = "🚙 größer: 35″ → 37″ …"
    result = client.post(ADDRESS, json={"q": sentence}).get_json()["result"]
    for one in result["understood"] + result["unused"]:
        start, end = one["span"]
        assert sentence[start:end] == one["text"]
    assert result["build"] == {"tyre": "37 in", "original_tyre": "35 in"}


def test_an_answer_may_be_kept(client: FlaskClient) -> None:
    response = client.get(ADDRESS, query_string={"q": EXAMPLE})
    assert "max-age" in response.headers["Cache-Control"]
    tag = response.headers["ETag"]
    again = client.get(ADDRESS, query_string={"q": EXAMPLE}, headers={"If-None-Match": tag})
    assert again.status_code == 304
    assert "ETag" not in client.post(ADDRESS, json={"q": EXAMPLE}).headers


def test_an_accept_header_chooses_the_form(client: FlaskClient) -> None:
    asked = {"q": EXAMPLE}
    text = client.get(ADDRESS, query_string=asked, headers={"Accept": "text/plain"})
    assert text.mimetype == "text/plain"
    assert text.headers["Vary"] == "Accept"
    assert client.get(ADDRESS, query_string=asked, headers={"Accept": "*/*"}).mimetype == "application/json"
    assert client.get(ADDRESS, query_string=asked, headers={"Accept": "image/png"}).status_code == 406


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "nothing": ({}, "q is empty: write one sentence of at most 500 characters"),
    "empty": ({"q": ""}, "q is empty: write one sentence of at most 500 characters"),
    "blank": ({"q": " \n "}, "q is empty: write one sentence of at most 500 characters"),
    "long": ({"q": "x" * 501}, "q is longer than 500 characters"),
    "very long": ({"q": "35s " * 1500}, "q is longer than 500 characters"),
    "field of a build": ({"q": "35s", "tyre": "35 in"}, "tyre is no parameter of from-text: it takes q"),
    "another name": ({"q": "35s", "query": "35s"}, "query is no parameter of from-text: it takes q"),
    "pick": ({"q": "35s", "pick": "build"}, "pick is no parameter of from-text"),
}


@pytest.mark.parametrize("method", ["GET", "POST"])
@pytest.mark.parametrize(("asked", "detail"), REFUSED.values(), ids=list(REFUSED))
def test_what_is_refused(client: FlaskClient, method: str, asked: dict[str, Any], detail: str) -> None:
    sent = {"json": asked} if method == "POST" else {"query_string": asked}
    response = client.open(ADDRESS, method=method, **sent)
    assert response.status_code == 422
    assert response.mimetype == "application/problem+json"
    problem = response.get_json()
    assert problem["type"].endswith("/problems/field-refused")
    assert problem["detail"] == detail
    assert problem["errors"][0]["location"] == ("body" if method == "POST" else "query")
    assert len(response.data) < 1000
    line = client.open(
        ADDRESS, method=method, **{name: value | {"errors": "text"} for name, value in sent.items()}
    )
    assert line.status_code == 200
    assert line.text == f"#ERR {detail}"


@pytest.mark.parametrize("value", [35, None, True, ["35s"], {"q": "35s"}])
def test_only_text_is_read(client: FlaskClient, value: Any) -> None:
    response = client.post(ADDRESS, json={"q": value})
    assert response.status_code == 422
    assert response.get_json()["detail"] == "q must be text"


def test_other_requests_are_refused_like_everywhere(client: FlaskClient) -> None:
    assert client.put(ADDRESS).status_code == 405
    assert client.get(f"{ADDRESS}.csv?q=35s").status_code == 404
    assert client.post(ADDRESS, data="q=35s", content_type="text/plain").status_code == 415
    assert client.post(ADDRESS, data=b"[", content_type="application/json").status_code == 400
    assert client.get(f"{ADDRESS}?q=35s&q=37s").status_code == 422
    assert client.get(f"{ADDRESS}?q=%ff").status_code == 400
    assert client.post(f"{ADDRESS}?q=35s", json={}).status_code == 422
    assert "the nearest is /v1/from-text" in client.get("/v1/from-txt").get_json()["detail"]


HOSTILE = [
    "@everyone 35s ``` [url=x] <script>alert(1)</script> 4.10 gears",
    "35s\r\nSet-Cookie: a=1\r\n\r\n4.10s",
    "=cmd|' /C calc'!A0 35s 4.10s",
    "35s \u202e 4.10s \ud7ff \u0000 \u001b[31m 12`@",
    "{{7*7}} ${jndi:x} %s%n 35s on 4.10s",
]


@pytest.mark.parametrize("sentence", HOSTILE)
def test_hostile_text_is_harmless(client: FlaskClient, sentence: str) -> None:
    response = client.post(f"{ADDRESS}.txt", json={"q": sentence})
    assert response.status_code == 200
    assert response.text.isascii()
    assert not set("`@<[\r\0\x1b") & set(response.text)
    assert len(response.text) <= 1900
    result = client.post(ADDRESS, json={"q": sentence}).get_json()["result"]
    assert result["build"] == {"tyre": "35 in", "axle_ratio": 4.1}


class TestSpec:
    def test_the_answer_is_as_described(self, client: FlaskClient) -> None:
        validator = named("FromTextAnswer")
        for sentence in (EXAMPLE, "35s on 4.10", "hello", "2200-2500 rpm, 4.46/2.61/1.72/1.25/1/0.84"):
            validator.validate(client.get(ADDRESS, query_string={"q": sentence}).get_json())

    def test_its_parameters_are_described(self) -> None:
        for path in (ADDRESS, f"{ADDRESS}.{{format}}"):
            described = spec()["paths"][path]
            assert {"get", "post"} <= described.keys()
            q = next(each for each in described["get"]["parameters"] if each.get("name") == "q")
            assert q["required"]
            assert q["schema"]["maxLength"] == 500
            body = described["post"]["requestBody"]["content"]["application/json"]["schema"]
            assert body == {"$ref": "#/components/schemas/Sentence"}
        assert spec()["components"]["schemas"]["Sentence"]["required"] == ["q"]

    def test_its_example_is_the_one_in_the_documents(self) -> None:
        operation = spec()["paths"][ADDRESS]["post"]
        assert operation["requestBody"]["content"]["application/json"]["example"] == {"q": EXAMPLE}
