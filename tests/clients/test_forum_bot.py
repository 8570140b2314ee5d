"""The forum bot: what it says, and what it takes over HTTP."""

import ast
import doctest
import hashlib
import hmac
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Mapping
from typing import Any

import pytest
import requests
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import forum_bot
import forum_bot.certainty
import forum_bot.irc
import forum_bot.markup
import forum_bot.signing
from forum_bot import Refusal, Service, Silence, reply
from forum_bot.__main__ import main
from forum_bot.conversation import Conversation, Message
from forum_bot.markup import without_markup
from forum_bot.platforms import platform
from forum_bot.platforms.base import Incoming
from forum_bot.replies import HELP, LONGEST_REPLY, NO_ANSWER, TOO_LONG
from forum_bot.settings import Settings, sentence
from forum_bot.signing import SIGNATURE, TIME, WINDOW, Once, Unsigned, check_time, signature, signed
from forum_bot.webhook import LONGEST_BODY, create_app
from tests.clients.bot import DEMO, HOSTILE, PACKAGE, Ask, asked_here, refuses
from tests.clients.stub import Stub
from tests.clients.stub import reply as said_by_stub
from tests.ports import free_port

GUIDE = (PACKAGE / "README.md").read_text("utf-8")
SECRET = "a secret of the two sides"


@pytest.fixture
def ask(app: Flask) -> Ask:
    return asked_here(app)


# --- what it says


def test_the_demo_sentence(ask: Ask) -> None:
    assert reply(DEMO, ask).splitlines() == [
        "4.10 on the new tyres feels like 3.63 on the old ones; 4.63 restores the original.",
        "At the same road speed the engine turns 11.4 % slower than before.",
        "Crawls at 1.7 mph at idle, 42.7 to 1.",
        "At 60 mph on the speedometer the truck really does 67.7 mph: it reads 13 % slow.",
        "I read: tyre before 31 in, tyre 35 in, axle ratio 4.10, first gear 3.83, low range 2.72.",
        "Assumed: 35 in is taken as the measured, free diameter; 31 in is taken as the measured, "
        "free diameter; holds only the gears that are named; high range is taken as direct, 1.",
        "These are estimates for comparison. The makers' limits and the law decide.",
    ]


def test_the_figures_by_hand(ask: Ask) -> None:
    """Ratios of diameters: 4.10 x 31/35, 4.10 x 35/31, 1 - 31/35, 60 x 35/31; 3.83 x 2.72 x 4.10."""
    said = reply(DEMO, ask)
    assert f"{4.10 * 31 / 35:.2f}" in said
    assert f"{4.10 * 35 / 31:.2f}" in said
    assert f"{100 * (1 - 31 / 35):.1f} %" in said
    assert f"{60 * 35 / 31:.1f} mph" in said
    assert f"{3.83 * 2.72 * 4.10:.1f} to 1" in said


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            "rpm at 70 mph on 35s, 4.56s and .79 overdrive",
            "Top gear turns the engine 2,490 rpm at 70 mph; redline would be 140 mph, power permitting.",
        ),
        (
            "35s, 4.56s, .79 overdrive",
            "Top gear turns the engine 2,320 rpm at 65 mph; redline would be 140 mph, power permitting.",
        ),
        ("4.10 front 4.11 rear 33s", "The front axle runs 0.24 % ahead of the other."),
        ("285/70R17", "It turns 635 times in a mile."),
        (
            "speedo at 65 with 35s, was 31s",
            "At 65 mph on the speedometer the truck really does 73.4 mph: it reads 13 % slow.",
        ),
        (
            "speedo at 65 with 35s, was 31s, 2.4 t",
            "At 65 km/h on the speedometer the truck really does 73.4 km/h: it reads 13 % slow.",
        ),
        ("rpm at 100 km/h, 285/70R17, 4.1 diffs, 0.8 top", "46.4 km/h per 1,000 rpm in top gear."),
        (
            "crawl ratio of 35s on 4.10s with 3.83 first and 2.72 low",
            "Crawls at 1.7 mph at idle, 42.7 to 1.",
        ),
        ("35s on 4.10", "I read: tyre 35 in, axle ratio 4.10."),
        ("35s, 4.10 and 3.07", "One question: Are 4.10 and 3.07 axle ratios, before and after?"),
        ("35s, 4.10 and 3.07", "Not used: 4.10 (a bare number), 3.07 (a bare number)."),
        ("33s or 35s on 4.10s", "Not used: 33s (one of several for tyre), 35s (one of several for tyre)."),
        ("from 31s to 35s", "One question: What is the axle ratio, such as 4.10 gears?"),
        ("35 and 4.10", "One question: Is 35 the height of the tyre in inches?"),
        ("hello there", HELP),
        ("", HELP),
        (" \n ", HELP),
        ("x" * 501, TOO_LONG),
    ],
)
def test_what_is_said(ask: Ask, text: str, line: str) -> None:
    assert line in reply(text, ask).splitlines()


CRAWLS = "crawl ratio of 35x12.50R17 on 4.10s with 3.83 first and 2.72 low"


@pytest.mark.parametrize(
    "words", ["how sure is that?", "roughly?", "Give or take?", "as a range please", "+-"]
)
def test_ranges_are_told_where_somebody_asks_how_sure_that_is(ask: Ask, words: str) -> None:
    """Those of the service; the summary tells the first of them."""
    first, idle, ranges, *_ = reply(f"{CRAWLS}, {words}", ask).splitlines()
    assert "9 in 10 builds like yours: crawl speed 1.4 to 2.0 mph" in first
    assert idle == "Idle is taken as 700 rpm."
    build = {"tyre": "35x12.50R17", "axle_ratio": 4.1, "gear_ratios": [3.83], "transfer_ratios": [1, 2.72]}
    low, high = ask("crawl", {**build, "bands": "1"})["ranges"]["grip_grade_percent"]
    assert ranges == f"9 in 10 builds like yours: also grip grade from {low:.0f} to {high:.0f} %."


def test_what_is_exact_has_no_range(ask: Ask) -> None:
    told = reply(f"{DEMO}, how accurate is that", ask)
    assert "No range: these figures rest on values that are taken as exact." in told.splitlines()


@pytest.mark.parametrize(
    "text", [CRAWLS, f"{CRAWLS} range, roughly 5300 lb", "35s, 18 mpg at 65 mph, 20 gal: what range do I get"]
)
def test_nobody_else_is_told_ranges(ask: Ask, text: str) -> None:
    def asked(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
        assert "bands" not in fields
        return ask(question, fields)

    assert "9 in 10" not in reply(text, asked)


def test_the_author_may_ask_how_sure_that_is_afterwards(ask: Ask) -> None:
    bot = Conversation(Settings(), ask)
    plain = bot.reply(Message(1, "ann", "t", f"!gears {CRAWLS}"))
    assert plain is not None
    assert "9 in 10" not in plain
    assert bot.reply(Message(2, "bob", "t", "how sure is that?")) is None
    assert bot.reply(Message(3, "ann", "t", "4.56")) is None, "nothing was asked"
    sure = bot.reply(Message(4, "ann", "t", "And how sure is that?"))
    assert sure is not None
    assert sure.count("9 in 10 builds like yours") == 2


def test_the_best_axle_ratio_is_told_where_it_is_asked_for(ask: Ask) -> None:
    gears = "4.46/2.61/1.72/1.25/1/0.84"
    said = reply(f"what gears for 35s, was 31s on 3.73s, {gears}, 70 mph", ask)
    assert re.match(r"\d\.\d+ (?:meets|misses)", said), said


def test_a_question_that_the_service_refuses_is_left_out(ask: Ask) -> None:
    def asked(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
        if question == "crawl":
            raise Refusal("idle_speed is out of bounds")
        return ask(question, fields)

    said = reply(DEMO, asked)
    assert "feels like" in said
    assert "Crawls" not in said


@pytest.mark.parametrize(
    "answer", [Silence("no route"), {}, {"result": None}, {"result": {"build": {"tyre": 1}}}, [], 5]
)
def test_a_service_that_fails_is_told_as_such(answer: Any) -> None:
    def asked(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
        if isinstance(answer, Exception):
            raise answer
        document: Mapping[str, Any] = answer
        return document

    assert reply(DEMO, asked) == NO_ANSWER


def test_a_megabyte_is_not_even_asked_about() -> None:
    assert reply("35s " * 250_000, refuses) == TOO_LONG


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_does_not_come_out_again(ask: Ask, text: str) -> None:
    said = reply(text, ask)
    assert "\nI read: tyre 35 in, axle ratio 4.10.\n" in said
    for word in (
        "everyone",
        "script",
        "QUIT",
        "ACTION",
        "reboot",
        "url",
        "jndi",
        "*",
        "[",
        "<",
        "~",
        "|",
        "{",
    ):
        assert word not in said


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.one_of(
        st.text(max_size=2000),
        st.lists(st.sampled_from([*DEMO.split(), *" ".join(HOSTILE).split(" ")]), max_size=40).map(" ".join),
    )
)
def test_any_text_gets_a_plain_short_reply(ask: Ask, text: str) -> None:
    said = reply(text, ask)
    assert 0 < len(said) <= LONGEST_REPLY
    assert re.fullmatch(r"[ -~\n]+", said)
    assert not set("@`<>[]{}*|") & set(said)


def test_what_the_service_says_is_made_plain_too(ask: Ask) -> None:
    def asked(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
        document = json.loads(json.dumps(ask(question, fields)))
        if question == "from-text":
            document["result"]["ask"] = "@everyone ```\r\nQUIT\x00 é" + "x" * 3000
            document["assumed"] = {"tyre": "`@all`\n"}
        return dict(document)

    said = reply(DEMO, asked)
    assert len(said) <= LONGEST_REPLY
    assert re.fullmatch(r"[ -~\n]+", said)
    assert not set("@`") & set(said)


# --- the service


class TestService:
    def test_it_asks_the_running_service(self, service: str) -> None:
        assert "42.7 to 1" in reply(DEMO, Service(service))
        assert "2.7 km/h" in reply(DEMO, Service(f"{service}/", units="metric"))

    def test_a_refusal_has_the_reason(self, service: str) -> None:
        with pytest.raises(Refusal, match="q is empty"):
            Service(service)("from-text", {"q": " "})

    def test_nobody_there(self) -> None:
        assert reply(DEMO, Service(f"http://127.0.0.1:{free_port()}")) == NO_ANSWER

    @pytest.mark.parametrize(
        "told",
        [
            said_by_stub("200 OK", "no json"),
            said_by_stub("200 OK", "[1]"),
            said_by_stub("200 OK", '"' + "x" * 1_100_000 + '"'),
            said_by_stub("302 Found", "{}", Location="http://127.0.0.1:9/"),
            said_by_stub("429 Too Many Requests", "{}"),
            said_by_stub("500 Internal Server Error", "{}"),
            said_by_stub("200 OK", "[" * 100_000),
        ],
        ids=["no json", "no object", "too long", "elsewhere", "busy", "fault", "deep"],
    )
    def test_what_is_no_answer_is_silence(self, told: Any) -> None:
        with Stub(told) as stub, pytest.raises(Silence):
            Service(stub.address, timeout=5)("from-text", {"q": DEMO})

    @pytest.mark.parametrize("question", ["", "../healthz", "crawl?x=1", "a/b", "Crawl", "crawl\r\n"])
    def test_only_names_of_questions_are_asked(self, question: str) -> None:
        with pytest.raises(Silence, match="none"):
            Service("http://127.0.0.1:9")(question, {})


# --- the webhook


def hook(ask: Ask, **more: Any) -> FlaskClient:
    settings = Settings(secret=SECRET, **more)
    return create_app(settings, platform("generic", settings), ask).test_client()


def posted(
    client: FlaskClient, message: Any, moment: float | None = None, secret: str = SECRET, **headers: str
) -> Any:
    body = message if isinstance(message, bytes) else json.dumps(message).encode()
    made = signed(secret.encode(), body, lambda: time.time() if moment is None else moment)
    return client.post("/messages", data=body, headers=made | headers)


def message(text: str, number: Any = 7, author: str = "ann") -> dict[str, Any]:
    return {"id": number, "author": author, "text": text}


class TestWebhook:
    def test_a_signed_message_is_answered(self, ask: Ask) -> None:
        response = posted(hook(ask), message(f"!gears {DEMO}") | {"thread": 3})
        assert response.status_code == 200
        assert response.get_json() == {"id": 7, "text": reply(DEMO, ask)}

    @pytest.mark.parametrize(
        ("text", "author"),
        [
            ("nice truck", "ann"),
            ("!gearsx 35s", "ann"),
            ("see !gears 35s", "ann"),
            ("!gears 35s on 4.10s", "gearbot"),
        ],
    )
    def test_what_is_not_for_it_is_not_answered(self, text: str, author: str) -> None:
        response = posted(hook(refuses), message(text, author=author))
        assert (response.status_code, response.data) == (204, b"")

    def test_without_a_trigger_everything_is_answered(self, ask: Ask) -> None:
        assert "axle ratio 4.10" in posted(hook(ask, trigger=""), message("35s on 4.10s")).get_json()["text"]

    @pytest.mark.parametrize(
        "change",
        [
            {SIGNATURE: ""},
            {SIGNATURE: "v1="},
            {SIGNATURE: "v1=" + "0" * 64},
            {SIGNATURE: "é"},
            {TIME: ""},
            {TIME: "now"},
            {TIME: "-1"},
            {TIME: "1" * 40},
            {TIME: "1700000000"},
            {TIME: "١٧"},
        ],
    )
    def test_what_is_not_signed_is_refused(self, change: dict[str, str]) -> None:
        response = posted(hook(refuses), message("!gears 35s"), **change)
        assert response.status_code == 401
        assert SECRET not in response.text

    def test_another_secret_is_refused(self) -> None:
        assert posted(hook(refuses), message("!gears 35s"), secret="another secret, long").status_code == 401

    def test_a_changed_body_is_refused(self) -> None:
        body = json.dumps(message("!gears 35s")).encode()
        headers = signed(SECRET.encode(), body)
        response = hook(refuses).post("/messages", data=body.replace(b"35", b"37"), headers=headers)
        assert response.status_code == 401

    @pytest.mark.parametrize("off", [-WINDOW - 5, WINDOW + 5])
    def test_an_old_or_early_request_is_refused(self, off: float) -> None:
        response = posted(hook(refuses), message("!gears 35s"), moment=time.time() + off)
        assert (response.status_code, response.text) == (401, "the request is too old, or a clock is wrong")

    def test_a_message_is_answered_once(self, ask: Ask) -> None:
        client, now = hook(ask), time.time()
        assert posted(client, message("!gears 35s"), now).status_code == 200
        assert posted(client, message("!gears 35s"), now).status_code == 204
        assert posted(client, message("!gears 35s"), now + 1).status_code == 204
        assert posted(client, message("!gears 35s", number=8), now).status_code == 200

    def test_its_question_is_answered_in_the_same_thread_by_the_same_author(self, ask: Ask) -> None:
        client = hook(ask)
        asked = posted(client, message("!gears from 31s to 35s", 1) | {"thread": "a"}).get_json()["text"]
        assert "One question: What is the axle ratio" in asked
        elsewhere = [message("4.10", 2) | {"thread": "b"}, message("4.10", 3, "bob") | {"thread": "a"}]
        assert [posted(client, one).status_code for one in elsewhere] == [204, 204]
        answered = posted(client, message("4.10", 4) | {"thread": "a"}).get_json()["text"]
        assert answered == reply("from 31s to 35s on 4.10s", ask).replace(
            "axle ratio 4.10", "axle ratio 4.10"
        )
        assert posted(client, message("4.10", 5) | {"thread": "a"}).status_code == 204

    def test_members_may_stand_elsewhere(self, ask: Ask) -> None:
        client = hook(ask, members="id=post.number, author=post.by.id, text=post.html")
        sent = {"post": {"number": 5, "by": {"id": 12}, "html": "<p>!gears 35s on 4.10s</p>"}}
        assert posted(client, sent).get_json() == {"id": 5, "text": reply("35s on 4.10s", ask)}
        for members in ("who=a.b", "id=", "id"):
            with pytest.raises(ValueError, match="FORUM_BOT_MEMBERS"):
                hook(ask, members=members)

    @pytest.mark.parametrize(
        "body",
        [
            b" ", b"{", b"[]", b"5", b"null", b"[" * 50_000, b"\xff\xfe", b'{"id": 1, "author": "a"}',
            b'{"id": 1.5, "author": "a", "text": "!gears"}', b'{"id": true, "author": "a", "text": "!gears"}',
            b'{"id": 1, "author": [1], "text": "!gears"}', b'{"id": 1, "author": "a", "text": ["!gears"]}',
            b'{"id": ' + b"9" * 5000 + b', "author": "a", "text": "!gears"}',
            b'{"id": "' + b"9" * 201 + b'", "author": "a", "text": "!gears"}',
        ],
    )  # fmt: skip
    def test_what_is_no_message_is_refused(self, body: bytes) -> None:
        assert posted(hook(refuses), body).status_code == 400

    def test_a_long_body_is_refused_before_it_is_read(self) -> None:
        response = posted(hook(refuses), message("!gears " + "x" * LONGEST_BODY))
        assert response.status_code == 413

    def test_a_long_text_is_told_so(self) -> None:
        assert posted(hook(refuses), message("!gears " + "x" * 5000)).get_json()["text"] == TOO_LONG

    def test_a_body_without_its_length_is_refused(self) -> None:
        body = json.dumps(message("!gears 35s")).encode()
        headers = signed(SECRET.encode(), body) | {"Transfer-Encoding": "chunked"}
        assert hook(refuses).post("/messages", data=body, headers=headers).status_code == 411

    def test_other_addresses_and_methods(self) -> None:
        client = hook(refuses)
        assert client.get("/").status_code == 404
        assert client.get("/messages").status_code == 405
        assert "POST" in client.get("/messages").headers["Allow"]
        assert client.get("/messages").mimetype == "text/plain"

    @pytest.mark.parametrize("secret", ["", "short"])
    def test_it_does_not_start_without_a_secret(self, secret: str) -> None:
        with pytest.raises(ValueError, match="at least 16 bytes"):
            platform("generic", Settings(secret=secret))

    @pytest.mark.parametrize("text", HOSTILE)
    def test_hostile_text_is_harmless(self, ask: Ask, text: str) -> None:
        response = posted(hook(ask), message(f"!gears {text}", number="<b>\r\n"))
        assert response.mimetype == "application/json"
        assert response.get_json() == {"id": "<b>\r\n", "text": reply(without_markup(text), ask)}
        assert b"everyone" not in response.data

    def test_a_reply_is_posted_signed_to_the_address_that_is_set(self, ask: Ask) -> None:
        with Stub(said_by_stub("204 No Content")) as forum:
            client = hook(ask, reply_url=f"{forum.address}/replies")
            response = posted(client, message(f"!gears {DEMO}") | {"reply_url": "http://127.0.0.1:9/"})
            assert (response.status_code, response.data) == (204, b"")
        head, _, body = forum.requests[0].partition(b"\r\n\r\n")
        assert head.startswith(b"POST /replies HTTP/1.1\r\n")
        assert json.loads(body) == {"id": 7, "text": reply(DEMO, ask)}
        headers = dict(line.split(": ", 1) for line in head.decode().split("\r\n")[1:])
        platform("generic", Settings(secret=SECRET)).check(
            Incoming({name.casefold(): value for name, value in headers.items()}, body)
        )

    @pytest.mark.parametrize("status", ["500 Oops", "404 Not Found", "302 Found"])
    def test_a_reply_that_is_not_taken_may_be_asked_for_again(self, ask: Ask, status: str) -> None:
        now = time.time()
        told = said_by_stub(status, Location="http://127.0.0.1:9/")
        with Stub(told, told, said_by_stub("200 OK")) as forum:
            client = hook(ask, reply_url=forum.address)
            assert [posted(client, message("!gears 35s"), now).status_code for _ in range(4)] == [
                502,
                502,
                204,
                204,
            ]
            assert len(forum.requests) == 3

    def test_a_reply_address_where_nobody_is(self, ask: Ask) -> None:
        client = hook(ask, reply_url=f"http://127.0.0.1:{free_port()}")
        assert posted(client, message("!gears 35s")).status_code == 502


class TestSigning:
    def test_what_has_passed_is_forgotten_when_it_is_too_old_to_pass(self) -> None:
        clock = [1_700_000_000.0]
        once = Once(lambda: clock[0])
        for number in range(20):
            assert [once.is_first(str(number)) for _ in range(2)] == [True, False]
            clock[0] += WINDOW
        assert len(once._seen) <= 4

    def test_a_request_from_ahead_cannot_pass_again_later(self) -> None:
        clock = [1_700_000_000.0]
        once = Once(lambda: clock[0])
        moment = str(int(clock[0] + WINDOW))
        check_time(moment, lambda: clock[0])
        assert once.is_first("one")
        for later in (1, WINDOW, 2 * WINDOW - 1, 2 * WINDOW):
            clock[0] = 1_700_000_000.0 + later
            assert not once.is_first("one")
        clock[0] += 1
        with pytest.raises(Unsigned, match="too old"):
            check_time(moment, lambda: clock[0])

    def test_what_it_remembers_is_bounded(self) -> None:
        once = Once(lambda: 1_700_000_000.0)
        once._seen = {str(place): 2e9 for place in range(10_000)}
        assert not once.is_first("new")

    def test_the_signature_is_that_of_rfc_4231(self) -> None:
        """RFC 4231, test case 2; ours has more before the body, so the same tool is held to both."""
        printed = "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
        assert hmac.new(b"Jefe", b"what do ya want for nothing?", hashlib.sha256).hexdigest() == printed
        ours = hmac.new(b"Jefe", b"v1:17:what do ya want for nothing?", hashlib.sha256).hexdigest()
        assert signature(b"Jefe", "17", b"what do ya want for nothing?") == f"v1={ours}"


# --- settings, command line, documents


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("!gears 35s on 4.10s", "35s on 4.10s"),
        ("  !GEARS: 35s", "35s"),
        ("!gears", ""),
        ("!gears,35s", "35s"),
        ("!gears\n35s", "35s"),
        ("!gearshift 35s", None),
        ("35s !gears", None),
        ("", None),
    ],
)
def test_the_trigger(text: str, said: str | None) -> None:
    assert sentence(text, "!gears") == said


def test_settings_come_from_the_environment() -> None:
    told = Settings.from_environment(
        {"FORUM_BOT_UNITS": "metric", "FORUM_BOT_IRC_PORT": "6697", "FORUM_BOT_IRC_TLS": "1", "OTHER": "x"}
    )
    assert told == Settings(units="metric", irc_port=6697, irc_tls=True)
    assert Settings.from_environment({}) == Settings()
    for name, text in (("IRC_PORT", "none"), ("IRC_PORT", "-1"), ("IRC_TLS", "yes")):
        with pytest.raises(ValueError, match=f"FORUM_BOT_{name}"):
            Settings.from_environment({f"FORUM_BOT_{name}": text})


def test_every_setting_stands_in_the_guide() -> None:
    told = set(re.findall(r"FORUM_BOT_\w+", GUIDE))
    assert {f"FORUM_BOT_{name.upper()}" for name in Settings.__dataclass_fields__} == told


def test_one_sentence_on_the_command_line(
    service: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FORUM_BOT_SERVICE", service)
    assert main(["say", DEMO]) == 0
    said = capsys.readouterr().out
    assert said == GUIDE.split("```text\n")[1].split("```")[0]


def test_the_command_line_says_what_is_wrong(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("FORUM_BOT_SECRET", raising=False)
    assert main(["webhook"]) == 2
    assert capsys.readouterr().err == "the secret must have at least 16 bytes\n"
    assert main(["webhook", "--kind", "discord"]) == 2
    assert "public key" in capsys.readouterr().err


def test_the_examples_of_the_guide(service: str) -> None:
    guide = GUIDE.replace("http://127.0.0.1:8000", service)
    example = doctest.DocTestParser().get_doctest(guide, {}, "README.md", "README.md", 0)
    assert len(example.examples) >= 5
    assert doctest.DocTestRunner().run(example).failed == 0


@pytest.mark.parametrize("module", [forum_bot.signing, forum_bot.irc, forum_bot.markup, forum_bot.certainty])
def test_the_examples_of_the_modules(module: Any) -> None:
    found = doctest.testmod(module)
    assert found.attempted
    assert not found.failed


def test_it_imports_nothing_of_the_service() -> None:
    outside = {"requests", "flask", "werkzeug", "gunicorn", "nio", "cryptography"}
    optional = {"serving": {"flask", "gunicorn"}, "webhook": {"flask", "werkzeug"}, "matrix": {"nio"}}
    optional["discord"] = {"cryptography"}
    for path in (PACKAGE / "forum_bot").rglob("*.py"):
        names = set()
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names |= {alias.name for alias in node.names} if isinstance(node, ast.Import) else set()
            names |= {node.module or ""} if isinstance(node, ast.ImportFrom) else set()
        imported = {name.partition(".")[0] for name in names}
        assert imported <= sys.stdlib_module_names | outside | {"forum_bot"}, path.name
        assert imported & outside <= {"requests"} | optional.get(path.stem, set()), path.name


# --- as it is run


@pytest.mark.slow
class TestAsItIsRun:
    """The program as its users start it."""

    def test_the_webhook_takes_what_the_shell_example_signs(self, service: str) -> None:
        port = free_port()
        environment = os.environ | {
            "PYTHONPATH": str(PACKAGE),
            "FORUM_BOT_SERVICE": service,
            "FORUM_BOT_SECRET": SECRET,
        }
        command = [sys.executable, "-m", "forum_bot", "webhook", "--port", str(port)]
        example = next(
            block for block in re.findall(r"```sh\n(.*?)```", GUIDE, re.DOTALL) if "openssl" in block
        )
        with subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL) as bot:
            try:
                self._wait(port)
                shell = ["bash", "-euo", "pipefail", "-c", example.replace(":8001", f":{port}")]
                told = subprocess.run(
                    shell, env=environment, capture_output=True, text=True, check=True, timeout=30
                )
                assert "axle ratio 4.10" in json.loads(told.stdout)["text"]
                forged = requests.post(
                    f"http://127.0.0.1:{port}/messages", json=message("!gears 35s"), timeout=5
                )
                assert forged.status_code == 401
                chunked = requests.post(f"http://127.0.0.1:{port}/messages", data=iter([b"{}"]), timeout=5)
                assert chunked.status_code == 411
            finally:
                bot.terminate()

    def _wait(self, port: int) -> None:
        for _ in range(100):
            try:
                assert requests.get(f"http://127.0.0.1:{port}/messages", timeout=2).status_code == 405
                return
            except requests.ConnectionError:
                time.sleep(0.1)
        raise AssertionError("the webhook did not start")
