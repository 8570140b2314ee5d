"""The bot's adapters: a request of each kind as its documentation prints it, with people of our own."""

import asyncio
import hashlib
import hmac
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from flask import Flask
from flask.testing import FlaskClient

from forum_bot import reply
from forum_bot.conversation import Conversation, Message
from forum_bot.follow_ups import ASKED, MINUTES, Memory, Pending
from forum_bot.markup import LONGEST_POST, without_markup
from forum_bot.platforms import platform
from forum_bot.platforms.base import Incoming
from forum_bot.settings import Settings
from forum_bot.signing import Unsigned
from forum_bot.webhook import create_app
from tests.clients.bot import PACKAGE, Ask, asked_here, refuses
from tests.clients.stub import Stub
from tests.clients.stub import reply as said_by_stub

REQUESTS = json.loads(Path(__file__).with_name("platform_requests.json").read_text(encoding="utf-8"))
SECRET = "a secret of the two sides"
KEY = Ed25519PrivateKey.from_private_bytes(bytes(range(32)))
SENTENCE = "35s on 4.10s"
MATRIX = Path(os.environ.get("MATRIX_PYTHON", "/nowhere")) / "bin"
"""Of an environment with a Matrix server (matrix-synapse)."""


@pytest.fixture
def ask(app: Flask) -> Ask:
    return asked_here(app)


def hook(kind: str, ask: Ask, **more: Any) -> FlaskClient:
    settings = Settings(**{"secret": SECRET} | more)
    return create_app(settings, platform(kind, settings), ask).test_client()


def digest(body: bytes, before: bytes = b"") -> str:
    return hmac.new(SECRET.encode(), before + body, hashlib.sha256).hexdigest()


def posted(client: FlaskClient, headers: Mapping[str, str], body: bytes) -> Any:
    return client.post("/messages", headers=dict(headers), data=body)


def changed(kind: str, **members: Any) -> bytes:
    """The printed request of a kind with other members, by their paths with __ for the point."""
    document = json.loads(json.dumps(REQUESTS[kind]))
    for path, value in members.items():
        *above, last = path.split("__")
        place = document
        for name in above:
            place = place[int(name)] if isinstance(place, list) else place[name]
        place[last] = value
    return json.dumps(document).encode()


# --- Discourse


def of_discourse(body: bytes, event: str = "post_created") -> dict[str, str]:
    return {
        "Content-Type": "application/json",
        "X-Discourse-Event": event,
        "X-Discourse-Event-Id": "1",
        "X-Discourse-Event-Signature": f"sha256={digest(body)}",
    }


class TestDiscourse:
    def test_a_post_is_answered_by_a_post(self, ask: Ask) -> None:
        body = changed("discourse", post__raw=f'[quote="bob, post:1"]\n40s\n[/quote]\n\n!gears {SENTENCE}')
        with Stub(said_by_stub("200 OK", "{}")) as forum:
            client = hook("discourse", ask, reply_url=f"{forum.address}/", token="a key")
            assert posted(client, of_discourse(body), body).status_code == 204
            assert posted(client, of_discourse(body), body).status_code == 204
        (came,) = forum.requests
        head, _, sent = came.decode().partition("\r\n\r\n")
        assert head.startswith("POST /posts.json HTTP/1.1\r\n")
        assert "Api-Key: a key\r\n" in head
        assert "Api-Username: gearbot\r\n" in head
        assert json.loads(sent) == {"raw": reply(SENTENCE, ask), "topic_id": 31, "reply_to_post_number": 4}

    def test_its_html_is_read_where_the_source_is_not_sent(self, ask: Ask) -> None:
        body = changed("discourse", post__raw=None, post__cooked=f"<p>!gears {SENTENCE}</p>")
        with Stub(said_by_stub("200 OK", "{}")) as forum:
            client = hook("discourse", ask, reply_url=forum.address, token="a key")
            posted(client, of_discourse(body), body)
        assert json.loads(forum.requests[0].partition(b"\r\n\r\n")[2])["raw"] == reply(SENTENCE, ask)

    def test_what_is_not_for_it(self) -> None:
        client = hook("discourse", refuses, reply_url="http://127.0.0.1:9", token="a key")
        own = changed("discourse", post__raw=f"!gears {SENTENCE}", post__username="gearbot")
        other = changed("discourse", post__raw="nice truck")
        body = changed("discourse")
        assert posted(client, of_discourse(own), own).status_code == 204
        assert posted(client, of_discourse(other), other).status_code == 204
        assert posted(client, of_discourse(body, "topic_created"), body).status_code == 204
        assert posted(client, of_discourse(b"x"), body).status_code == 401
        assert posted(client, of_discourse(b"[]"), b"[]").status_code == 400

    def test_it_does_not_start_without_key_and_address(self) -> None:
        with pytest.raises(ValueError, match="FORUM_BOT_TOKEN"):
            platform("discourse", Settings(secret=SECRET))


# --- Slack


def of_slack(body: bytes, moment: str = "", kind: str = "application/json") -> dict[str, str]:
    moment = moment or str(int(time.time()))
    signature = "v0=" + digest(body, f"v0:{moment}:".encode())
    return {"Content-Type": kind, "X-Slack-Request-Timestamp": moment, "X-Slack-Signature": signature}


FORM = "application/x-www-form-urlencoded"


class TestSlack:
    def test_the_signature_is_the_one_its_documentation_prints(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """docs.slack.dev, "Verifying requests from Slack", the worked example."""
        printed = REQUESTS["slack signature"]
        request = Incoming(
            {"x-slack-request-timestamp": "1531420618", "x-slack-signature": printed["signature"]},
            printed["body"].encode(),
        )
        made = platform("slack", Settings(secret=printed["secret"]))
        with pytest.raises(Unsigned, match="too old"):
            made.check(request)
        with pytest.raises(Unsigned, match="wrong"):
            made.check(Incoming(request.headers, request.body + b"x"))

    def test_an_event_is_answered_in_its_thread(self, ask: Ask) -> None:
        body = changed("slack", event__text=f"<@U0LAN0Z89> {SENTENCE}")
        with Stub(said_by_stub("200 OK", '{"ok": true}')) as chat:
            client = hook("slack", ask, reply_url=f"{chat.address}/api/chat.postMessage", token="xoxb")
            assert posted(client, of_slack(body), body).status_code == 204
            assert posted(client, of_slack(body), body).status_code == 204
        (came,) = chat.requests
        head, _, sent = came.decode().partition("\r\n\r\n")
        assert "Authorization: Bearer xoxb\r\n" in head
        expected = {"channel": "C0LAN2Q65", "thread_ts": "1515449522.000016", "text": reply(SENTENCE, ask)}
        assert json.loads(sent) == expected

    def test_a_refusal_in_a_good_status_is_a_failure(self, ask: Ask) -> None:
        body = changed("slack", event__text=SENTENCE)
        with Stub(said_by_stub("200 OK", '{"ok": false, "error": "not_in_channel"}')) as chat:
            client = hook("slack", ask, reply_url=chat.address, token="xoxb")
            assert posted(client, of_slack(body), body).status_code == 502

    def test_a_command_is_answered_in_the_response(self, ask: Ask) -> None:
        body = urlencode(REQUESTS["slack command"] | {"text": SENTENCE}).encode()
        answer = posted(hook("slack", ask), of_slack(body, kind=FORM), body).get_json()
        assert answer == {"response_type": "in_channel", "text": reply(SENTENCE, ask)}

    def test_the_address_is_tried(self) -> None:
        body = json.dumps({"type": "url_verification", "challenge": "3eZbrw1aBm"}).encode()
        assert posted(hook("slack", refuses), of_slack(body), body).get_json() == {"challenge": "3eZbrw1aBm"}

    @pytest.mark.parametrize("member", ["bot_id", "subtype"])
    def test_bots_and_changes_of_messages_are_not_answered(self, member: str) -> None:
        body = changed("slack", **{f"event__{member}": "B1", "event__text": SENTENCE})
        assert posted(hook("slack", refuses), of_slack(body), body).status_code == 204

    @pytest.mark.parametrize("moment", ["1531420618", "x", "é"])
    def test_an_old_request_is_refused(self, moment: str) -> None:
        body = changed("slack")
        headers = of_slack(body) if moment == "é" else of_slack(body, moment)
        headers |= {"X-Slack-Request-Timestamp": moment}
        assert posted(hook("slack", refuses), headers, body).status_code == 401


# --- Discord


def of_discord(body: bytes) -> dict[str, str]:
    moment = str(int(time.time()))
    return {"X-Signature-Timestamp": moment, "X-Signature-Ed25519": KEY.sign(moment.encode() + body).hex()}


PUBLIC = KEY.public_key().public_bytes_raw().hex()


class TestDiscord:
    def test_a_command_is_answered_and_calls_nobody(self, ask: Ask) -> None:
        body = changed("discord", data__options__0__value=SENTENCE)
        answer = posted(hook("discord", ask, secret=PUBLIC), of_discord(body), body).get_json()
        assert answer["type"] == 4
        assert answer["data"] == {"content": reply(SENTENCE, ask), "allowed_mentions": {"parse": []}}

    def test_a_command_in_a_private_channel_has_the_user_elsewhere(self, ask: Ask) -> None:
        private = {name: value for name, value in REQUESTS["discord"].items() if name != "member"}
        body = json.dumps(private | {"user": REQUESTS["discord"]["member"]["user"]}).encode()
        assert posted(hook("discord", ask, secret=PUBLIC), of_discord(body), body).status_code == 200

    def test_a_ping_is_answered_only_if_it_is_signed(self) -> None:
        client = hook("discord", refuses, secret=PUBLIC)
        body = json.dumps({"id": "1", "type": 1}).encode()
        assert posted(client, of_discord(body), body).get_json() == {"type": 1}
        assert posted(client, of_discord(b"{}"), body).status_code == 401
        assert posted(client, {}, body).status_code == 401
        assert posted(client, of_discord(body) | {"X-Signature-Ed25519": "zz"}, body).status_code == 401

    def test_other_interactions_are_passed_over(self) -> None:
        body = changed("discord", type=3)
        assert posted(hook("discord", refuses, secret=PUBLIC), of_discord(body), body).status_code == 204


# --- Mattermost


class TestMattermost:
    @pytest.mark.parametrize("form", [False, True])
    def test_a_post_is_answered_by_a_comment(self, ask: Ask, form: bool) -> None:
        sent = REQUESTS["mattermost"] | {"token": SECRET, "text": f"!gears {SENTENCE}"}
        body = urlencode(sent).encode() if form else json.dumps(sent).encode()
        headers = {"Content-Type": FORM if form else "application/json"}
        answer = posted(hook("mattermost", ask), headers, body).get_json()
        assert answer == {"text": reply(SENTENCE, ask), "response_type": "comment"}

    def test_another_token_is_refused(self) -> None:
        headers = {"Content-Type": "application/json"}
        for token in ("another secret, long", None, 5, "é"):
            assert (
                posted(hook("mattermost", refuses), headers, changed("mattermost", token=token)).status_code
                == 401
            )
        assert posted(hook("mattermost", refuses), headers, b"[").status_code == 401


# --- Telegram

OF_TELEGRAM = {"X-Telegram-Bot-Api-Secret-Token": SECRET, "Content-Type": "application/json"}


class TestTelegram:
    @pytest.mark.parametrize(
        "text", [f"!gears {SENTENCE}", f"/gears {SENTENCE}", f"/gears@gearbot {SENTENCE}"]
    )
    def test_a_message_is_answered_by_a_method(self, ask: Ask, text: str) -> None:
        body = changed("telegram", message__text=text)
        assert posted(hook("telegram", ask), OF_TELEGRAM, body).get_json() == {
            "method": "sendMessage",
            "chat_id": -1001234567890,
            "reply_parameters": {"message_id": 1365},
            "text": reply(SENTENCE, ask),
        }

    def test_what_is_not_for_it(self) -> None:
        client = hook("telegram", refuses)
        for members in (
            {"message__text": "nice truck"},
            {"message__text": f"/gears@otherbot {SENTENCE}"},
            {"message__text": f"!gears {SENTENCE}", "message__from": {"id": 5, "is_bot": True}},
            {"message": None},
        ):
            assert posted(client, OF_TELEGRAM, changed("telegram", **members)).status_code == 204
        assert posted(client, {}, changed("telegram")).status_code == 401
        body = changed("telegram", message__text="!gears 35s", update_id="x")
        assert posted(client, OF_TELEGRAM, body).status_code == 400

    def test_in_private_everything_is_answered(self, ask: Ask) -> None:
        body = changed("telegram", message__text=SENTENCE, message__chat__type="private")
        assert posted(hook("telegram", ask), OF_TELEGRAM, body).get_json()["text"] == reply(SENTENCE, ask)


# --- any text of any kind


@pytest.mark.parametrize("kind", ["generic", "discourse", "slack", "discord", "mattermost", "telegram"])
def test_a_body_that_is_none_is_refused(kind: str) -> None:
    settings = Settings(
        secret=PUBLIC if kind == "discord" else SECRET, token="x", reply_url="http://127.0.0.1:9"
    )
    made = platform(kind, settings)
    headers = {"x-discourse-event": "post_created"}
    for body in (b"", b"[", b"[]", b"5", b"[" * 30_000, b"\xff"):
        with pytest.raises(ValueError, match=r"."):
            made.read(Incoming(headers | {"content-type": "application/json"}, body))


# --- one question, remembered


class TestMemory:
    def test_it_is_kept_for_ten_minutes(self, ask: Ask) -> None:
        clock = [0.0]
        bot = Conversation(Settings(), ask, Memory(lambda: clock[0]))
        for later, answered in ((60.0 * MINUTES - 1, True), (60.0 * MINUTES + 1, False)):
            bot.reply(Message(1, "ann", "t", "!gears from 31s to 35s"))
            clock[0] += later
            assert (bot.reply(Message(2, "ann", "t", "4.10")) is not None) == answered

    def test_it_is_bounded(self, ask: Ask) -> None:
        memory = Memory()
        bot = Conversation(Settings(), ask, memory)
        bot.reply(Message(1, "ann", "t", "!gears from 31s to 35s"))
        pending = memory.recall(("t", "ann"))
        for number in range(10_000):
            memory.keep((str(number),), pending)
        assert memory.recall(("t", "ann")) is None

    @pytest.mark.parametrize(
        ("post", "answers", "line"),
        [
            ("35 and 4.10", ["no"], "One question: Which tyre is fitted: a size such as"),
            ("35 and 4.10", ["yes", "31s"], "feels like 3.63"),
            ("35s, was 31s, 4.10 and 3.07", ["yep"], "axle ratio before 4.10"),
            ("from 31s to 35s on 4.10s, 2.72", ["low range"], "low range 2.72"),
            ("33s or 35s on 4.10s", ["the 35s", "it was 31"], "feels like 3.63"),
            ("mpg hit from 31s to 35s?", ["4.10", "3.83, 2.33, 1.44, 1, 0.79", "5300 lb", "3.6 L"], " mpg at "),
            ("driveline angles, 35s on 4.10s", ["48 in", "9 in"], "joint"),
        ],
    )  # fmt: skip
    def test_answers_are_put_where_they_belong(
        self, ask: Ask, post: str, answers: list[str], line: str
    ) -> None:
        bot = Conversation(Settings(), ask)
        said = bot.reply(Message(1, "ann", "t", f"!gears {post}"))
        for answer in answers:
            assert said
            assert "One question: " in said
            said = bot.reply(Message(2, "ann", "t", answer))
        assert said
        assert line in said

    @pytest.mark.parametrize(
        "chatter", ["nice truck", "yes, I love it, had 33s before and 4.56", "lol no idea"]
    )
    def test_chatter_is_no_answer(self, ask: Ask, chatter: str) -> None:
        bot = Conversation(Settings(), ask)
        bot.reply(Message(1, "ann", "t", "!gears from 31s to 35s"))
        assert bot.reply(Message(2, "ann", "t", chatter)) is None


# --- markup


@pytest.mark.parametrize(
    ("post", "plain"),
    [
        ("<p>35s &amp; 4.10s<br>cheers</p>", "35s & 4.10s\ncheers"),
        ("[quote][quote]40s[/quote]38s[/quote]35s", "35s"),
        ("[code]4.56[/code] 35s [img]https://example.org/40s.png[/img]", "35s"),
        ("see [my build](https://example.org/37s) and https://example.org/38s", "see my build and"),
        ("<https://example.org/40s|my 35s> <@U1> <#C1|trucks>", "my 35s"),
        ("@ann:example.org @bob **35s** 33\" x 12.5 @ 20 psi", '35s 33" x 12.5 @ 20 psi'),
        ("a < b and 35s > 33s", "a < b and 35s > 33s"),
        ("<blockquote>40s<blockquote>38s</blockquote></blockquote>35s</blockquote>", "35s"),
    ],
)  # fmt: skip
def test_markup_quotes_and_mentions_are_left_out(post: str, plain: str) -> None:
    assert without_markup(post) == plain


def test_a_long_post_is_cut() -> None:
    assert without_markup("x" * 2 * LONGEST_POST) == "x" * LONGEST_POST


def _cost(work: Callable[[], object]) -> float:
    costs = []
    for _ in range(9):
        began = time.process_time()
        work()
        costs.append(time.process_time() - began)
    return min(costs)


@pytest.mark.slow
@pytest.mark.alone
@pytest.mark.parametrize(
    "mark", ["<", "[quote]", "```", "<blockquote>", "[a=", "&", "@a.", "> ", "![", "<a ", "<!--", "[a]("]
)
def test_markup_that_never_ends_costs_as_its_length(mark: str) -> None:
    """Four times the text takes no more than ten times as long; in squares it would be sixteen."""
    long, short = (mark * (size // len(mark)) for size in (LONGEST_POST, LONGEST_POST // 4))
    assert _cost(lambda: without_markup(long)) < 10 * _cost(lambda: without_markup(short)) + 0.002


@pytest.mark.slow
@pytest.mark.alone
@pytest.mark.parametrize("about", [*ASKED, "engine_displacement"])
def test_an_answer_that_never_ends_costs_no_more_than_a_plain_one(about: str) -> None:
    pending = Pending("from 31s to 35s", about)
    plain = _cost(lambda: [pending.answered("no idea, what do you think it is") for _ in range(50)])
    for part in ("1,", "1 ", "1.", "4.1/", "35x", "1", "-1"):
        text = (part * 60)[:58] + "x!"
        assert _cost(lambda text=text: [pending.answered(text) for _ in range(50)]) < 40 * plain, text


# --- Matrix


@pytest.mark.slow
class TestMatrix:
    """An event as the specification prints it (Client-Server API, m.room.message, m.thread)."""

    def test_the_reply_goes_where_the_message_is(self) -> None:
        from nio import RoomMessageText

        from forum_bot.matrix import message_of

        event = RoomMessageText.parse_event(REQUESTS["matrix"])
        message = message_of("!room:example.org", event, is_direct=False)
        assert (message.author, message.text) == ("@ann:example.org", f"!gears {SENTENCE}")
        assert message.place == {
            "rel_type": "m.thread",
            "event_id": "$root",
            "is_falling_back": True,
            "m.in_reply_to": {"event_id": "$143273582443PhrSn:example.org"},
        }

    def test_it_does_not_start_without_a_token(self) -> None:
        from forum_bot.matrix import MatrixBot

        with pytest.raises(ValueError, match="FORUM_BOT_MATRIX_TOKEN"):
            MatrixBot(Settings(matrix_host="http://127.0.0.1:9"), refuses)

    def test_it_joins_listens_and_answers(self, ask: Ask) -> None:
        """Against a stand-in for the server that tells what the specification prints."""
        from forum_bot.matrix import MatrixBot
        from tests.clients.matrix_server import MatrixServer

        async def session() -> dict[str, Any]:
            async with MatrixServer("!room:example.org", REQUESTS["matrix"]) as server:
                settings = Settings(
                    matrix_host=server.address,
                    matrix_user="@gearbot:example.org",
                    matrix_token="token",
                    matrix_rooms="!room:example.org",
                )
                task = asyncio.create_task(MatrixBot(settings, ask).run())
                try:
                    return await asyncio.wait_for(server.sent.get(), 20)
                finally:
                    task.cancel()
                    await asyncio.gather(task, return_exceptions=True)

        sent = asyncio.run(session())
        assert sent["msgtype"] == "m.notice"
        assert sent["body"] == reply(SENTENCE, ask)
        assert sent["m.relates_to"]["event_id"] == "$root"

    @pytest.mark.skipif(not MATRIX.exists(), reason="MATRIX_PYTHON names no environment")
    def test_a_real_server(self, service: str, tmp_path: Path) -> None:
        """The bot as it is run: it asks back, takes the answer, and stays in the thread."""
        from tests.clients.matrix_server import RealMatrixServer

        with RealMatrixServer(MATRIX / "python", tmp_path) as server:
            bot, ann = server.user("gearbot"), server.user("ann")
            token, room = ann["access_token"], server.room(ann["access_token"])
            environment = os.environ | {
                "PYTHONPATH": str(PACKAGE),
                "FORUM_BOT_SERVICE": service,
                "FORUM_BOT_MATRIX_HOST": server.address,
                "FORUM_BOT_MATRIX_USER": bot["user_id"],
                "FORUM_BOT_MATRIX_TOKEN": bot["access_token"],
                "FORUM_BOT_MATRIX_ROOMS": room,
            }
            server.say(token, room, "!gears 40s before the bot came", 1)
            command = [sys.executable, "-m", "forum_bot", "matrix"]
            with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
                try:
                    assert process.stderr
                    next(line for line in process.stderr if "listening" in line)
                    root = server.say(token, room, "!gears from 31s to 35s", 2)
                    server.say(token, room, "!gears 4.10s and 33s", 3, thread=root)
                    notices = self._heard(server, token, room, 2)
                    server.say(token, room, "4.10", 4)
                    notices = self._heard(server, token, room, 3)
                finally:
                    process.terminate()
        assert "One question: What is the axle ratio" in notices[0]["body"]
        assert notices[1]["m.relates_to"]["event_id"] == root
        assert notices[2]["body"].startswith("4.10 on the new tyres feels like 3.63")
        assert not any("40 in" in notice["body"] for notice in notices)

    def _heard(self, server: Any, token: str, room: str, count: int) -> list[dict[str, Any]]:
        for _ in range(100):
            notices: list[dict[str, Any]] = server.notices(token, room)
            if len(notices) >= count:
                return notices
            time.sleep(0.2)
        raise AssertionError(f"the bot said {len(notices)} times something, not {count} times")
