"""The forum bot on IRC: against a server that plays its part, and against a real one."""

import asyncio
import os
import re
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st

from forum_bot import Service, Silence, reply
from forum_bot.irc import Bot, Message, Pace, lines, parsed
from forum_bot.markup import without_markup
from forum_bot.replies import NO_ANSWER
from forum_bot.settings import Settings
from tests.clients.bot import DEMO, HOSTILE, PACKAGE, Ask, asked_here
from tests.ports import free_port


@pytest.fixture
def ask(app: Flask) -> Ask:
    return asked_here(app)


# --- IRC, the lines


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("PING :irc.test", Message("", "PING", ["irc.test"])),
        ("PING irc.test", Message("", "PING", ["irc.test"])),
        (":ann!a@h PRIVMSG #t :a :b c", Message("ann", "PRIVMSG", ["#t", "a :b c"])),
        (":srv 433 * gearbot :in use", Message("srv", "433", ["*", "gearbot", "in use"])),
        ("@time=1;x :ann!a@h privmsg #t :x", Message("ann", "PRIVMSG", ["#t", "x"])),
        (":ann!a@h PRIVMSG #t :", Message("ann", "PRIVMSG", ["#t", ""])),
        ("", None),
        (":", None),
        ("@tags", None),
        ("   ", None),
        (":srv ", None),
    ],
)
def test_a_line_is_taken_apart(line: str, expected: Message | None) -> None:
    assert parsed(line) == expected


@given(st.text(max_size=600))
def test_any_line_is_taken_apart_or_passed_over(line: str) -> None:
    found = parsed(line)
    assert found is None or found.command


@given(st.text(max_size=6000))
def test_lines_of_a_reply_fit_and_hold_no_controls(said: str) -> None:
    for line in lines(said):
        assert len(line.encode()) <= 400
        assert re.fullmatch(r"[ -~]*", line)
    assert len(lines(said)) <= 6


# --- IRC, against a server that is told what to do

FAST = Pace(line=0.01, burst=4, asks=3, memory=30.0, silence=10.0, patience=5.0, again=0.05, longest_wait=0.1)


class Peer:
    """The server's end of one connection."""

    def __init__(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self._reader, self._writer = reader, writer
        self.heard: list[str] = []

    def say(self, line: str | bytes) -> None:
        self._writer.write((line if isinstance(line, bytes) else line.encode()) + b"\r\n")

    async def hear(self, start: str) -> str:
        """The next line that begins so; what comes before it is kept in `heard`."""
        while True:
            line = (await asyncio.wait_for(self._reader.readline(), 5)).decode("utf-8", "replace")
            assert line.endswith("\r\n"), f"the connection ended: {self.heard}"
            assert len(line.encode()) <= 512
            self.heard.append(line.rstrip("\r\n"))
            if self.heard[-1].startswith(start):
                return self.heard[-1]

    async def silence(self, seconds: float = 0.15) -> None:
        """Nothing is said for a while."""
        try:
            line = await asyncio.wait_for(self._reader.readline(), seconds)
        except TimeoutError:
            return
        raise AssertionError(f"said: {line!r}")

    async def close(self) -> None:
        self._writer.close()
        with suppress(OSError):
            await self._writer.wait_closed()

    async def welcome(self, nick: str = "gearbot") -> None:
        await self.hear("USER")
        self.say(f":srv 001 {nick} :Welcome")
        await self.hear("JOIN #trucks")


def played(
    ask: Ask, play: Callable[["asyncio.Queue[Peer]", Bot], Any], pace: Pace = FAST, **more: Any
) -> None:
    """Run the bot against a server that plays its part."""

    async def run() -> None:
        peers: asyncio.Queue[Peer] = asyncio.Queue()
        met: list[Peer] = []

        def meet(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            met.append(Peer(reader, writer))
            peers.put_nowait(met[-1])

        server = await asyncio.start_server(meet, "127.0.0.1", 0)
        told = {"irc_port": server.sockets[0].getsockname()[1], "irc_channels": "#trucks"} | more
        bot = Bot(Settings(**told), ask, pace)
        running = asyncio.create_task(bot.run())
        try:
            await asyncio.wait_for(play(peers, bot), 20)
        finally:
            running.cancel()
            await asyncio.gather(running, return_exceptions=True)
            server.close()
            await asyncio.gather(*(peer.close() for peer in met))

    asyncio.run(run())


class TestIrc:
    def test_it_greets_joins_and_answers(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            assert peer.heard == ["PASS sesame", "NICK gearbot", "USER gearbot 0 * :gearbot", "JOIN #trucks"]
            peer.say(f":ann!a@h PRIVMSG #trucks :!gears {DEMO}")
            for line in lines(reply(DEMO, ask)):
                assert await peer.hear("") == f"NOTICE #trucks :{line}"

        played(ask, play, irc_password="sesame")

    def test_it_is_called_by_its_trigger_or_nick_and_hears_no_notice(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            for line in (
                ":ann!a@h PRIVMSG #trucks :nice truck",
                ":ann!a@h NOTICE #trucks :!gears 35s",
                ":ann!a@h PRIVMSG gearbot :\x01VERSION\x01",
                ":ann!a@h PRIVMSG #trucks :\x01ACTION !gears 35s\x01",
                ":gearbot!a@h PRIVMSG #trucks :!gears 35s",
                ":bad\x07nick!a@h PRIVMSG gearbot :35s",
                ":ann!a@h PRIVMSG bad\x07target :!gears 35s",
                ":ann!a@h PRIVMSG",
                ":ann!a@h PRIVMSG #trucks",
                "PRIVMSG #trucks :!gears 35s",
                "\x00\xff :",
            ):
                peer.say(line)
            await peer.silence()
            peer.say(":ann!a@h PRIVMSG #trucks :gearbot: 35s on 4.10s")
            assert "axle ratio 4.10" in await peer.hear("NOTICE #trucks :I read")
            peer.say(":bob!a@h PRIVMSG gearbot :33s on 4.10s")
            assert "tyre 33 in" in await peer.hear("NOTICE bob :I read")

        played(ask, play)

    def test_it_answers_ping_while_the_service_is_slow(self) -> None:
        answered = threading.Event()
        in_time = []

        def slow(question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
            in_time.append(answered.wait(10.0))
            raise Silence("too late")

        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            peer.say(":ann!a@h PRIVMSG #trucks :!gears 35s")
            peer.say("PING :tok en\x00")
            assert await peer.hear("PONG") == "PONG :tok en"
            answered.set()
            assert NO_ANSWER in await peer.hear("NOTICE #trucks")

        played(slow, play)
        assert in_time == [True]

    def test_a_taken_nick_is_changed(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.hear("USER")
            peer.say(":srv 433 * gearbot :Nickname already in use")
            other = (await peer.hear("NICK ")).removeprefix("NICK ")
            assert re.fullmatch(r"gearbo\d{3}", other), "at most nine characters: RFC 2812, 1.2.1"
            peer.say(f":srv 001 {other} :Welcome")
            await peer.hear("JOIN #trucks")
            peer.say(f":ann!a@h PRIVMSG {other} :35s")
            await peer.hear("NOTICE ann :I read")
            peer.say(f":{other}!a@h NICK :gears")
            peer.say(":ann!a@h PRIVMSG gears :33s")
            assert "33 in" in await peer.hear("NOTICE ann :I read")

        played(ask, play)

    def test_a_server_that_takes_no_nick_is_left(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.hear("USER")
            for _ in range(5):
                peer.say(":srv 433 * x :Nickname already in use")
                await peer.hear("NICK")
            peer.say(":srv 433 * x :Nickname already in use")
            again = await peers.get()
            assert await again.hear("NICK") == "NICK gearbot"

        played(ask, play)

    @pytest.mark.parametrize("text", HOSTILE)
    def test_hostile_text_is_harmless(self, ask: Ask, text: str) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            told = f":ann!a@h PRIVMSG #trucks :!gears {text}".replace("\r\n", " ")
            peer.say(told.encode("utf-8", "surrogatepass"))
            expected = lines(reply(without_markup(told.partition("!gears ")[2]), ask))
            assert await peer.hear("NOTICE") == f"NOTICE #trucks :{expected[0]}"
            if len(expected) > 1:
                await peer.hear(f"NOTICE #trucks :{expected[-1]}")
            assert all(line.startswith(("NOTICE #trucks :", "NICK", "USER", "JOIN")) for line in peer.heard)

        played(ask, play)

    def test_a_line_that_is_too_long_is_passed_over_whole(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            for length in (8192, 8193, 100_000, 1_000_000):
                peer.say(b"x" * length + b" :ann!a@h PRIVMSG #trucks :!gears 35s")
            peer.say(b":ann!a@h PRIVMSG #trucks :!gears 33s")
            assert "33 in" in await peer.hear("NOTICE")

        played(ask, play)

    def test_one_nick_is_answered_so_often_and_no_more(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            for _ in range(20):
                peer.say(":ann!a@h PRIVMSG gearbot :hello")
            peer.say(":bob!a@h PRIVMSG gearbot :hello")
            await peer.hear("NOTICE bob")
            assert sum(line.startswith("NOTICE ann") for line in peer.heard) == FAST.asks

        played(ask, play)

    def test_many_nicks_are_forgotten_and_the_queue_is_bounded(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            for place in range(3000):
                peer.say(f":n{place}!a@h PRIVMSG gearbot :hello")
            peer.say("PING :x")
            await peer.hear("PONG")
            assert len(bot._said) <= 1000
            assert sum(line.startswith("NOTICE") for line in peer.heard) < 200

        played(ask, play)

    def test_replies_are_paced(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            started = time.monotonic()
            for nick in ("a", "b", "c", "d", "e", "f"):
                peer.say(f":{nick}!a@h PRIVMSG gearbot :hello")
            await peer.hear("NOTICE f")
            assert time.monotonic() - started >= 3 * 0.1

        played(ask, play, pace=Pace(line=0.1, burst=3, silence=5.0))

    def test_a_silent_server_is_asked_and_then_left(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            peer = await peers.get()
            await peer.welcome()
            await peer.hear("PING :alive")
            peer.say("PONG :alive")
            await peer.hear("PING :alive")
            again = await peers.get()
            await again.hear("NICK gearbot")

        played(ask, play, pace=Pace(silence=0.1, patience=0.4, again=0.05))

    def test_it_comes_back_when_the_connection_ends(self, ask: Ask) -> None:
        async def play(peers: "asyncio.Queue[Peer]", bot: Bot) -> None:
            for _ in range(3):
                peer = await peers.get()
                await peer.welcome()
                await peer.close()
            peer = await peers.get()
            await peer.welcome()
            peer.say(":ann!a@h PRIVMSG #trucks :!gears 35s")
            await peer.hear("NOTICE #trucks :I read")

        played(ask, play)


# --- IRC, against a real server

NGIRCD = "/usr/sbin/ngircd"
CONFIGURATION = """\
[Global]
Name = irc.test.invalid
Info = test
Listen = 127.0.0.1
Ports = {port}
MotdPhrase = hello
[Limits]
MaxConnectionsIP = 0
PingTimeout = 5
[Options]
DNS = no
Ident = no
PAM = no
"""


class IrcServer:
    """ngircd, the IRC server of Debian's package of that name."""

    def __init__(self, folder: Path) -> None:
        assert os.access(NGIRCD, os.X_OK), "this test needs a real IRC server: apt-get install ngircd"
        self.port = free_port()
        self._file = folder / "ngircd.conf"
        self._file.write_text(CONFIGURATION.format(port=self.port), encoding="ascii")
        folder.chmod(0o755)
        self._process: subprocess.Popen[bytes] | None = None
        self._people: list[Peer] = []

    def start(self) -> None:
        self._process = subprocess.Popen(
            [NGIRCD, "-n", "-f", str(self._file)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )

    def stop(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None

    async def person(self, nick: str) -> Peer:
        """Somebody who has joined the channel."""
        person = Peer(*await self._connection())
        self._people.append(person)
        person.say(f"NICK {nick}")
        person.say(f"USER {nick} 0 * :{nick}")
        await person.hear(":irc.test.invalid 001")
        person.say("JOIN #trucks")
        await person.hear(":irc.test.invalid 366")
        return person

    async def _connection(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        for _ in range(100):
            try:
                return await asyncio.open_connection("127.0.0.1", self.port)
            except OSError:
                await asyncio.sleep(0.1)
        raise AssertionError("the IRC server did not start")

    def play(self, part: Callable[["IrcServer"], Any], *bots: Bot) -> None:
        """Play a part while these bots run."""

        async def run() -> None:
            running = [asyncio.create_task(bot.run()) for bot in bots]
            try:
                await asyncio.wait_for(part(self), 60)
            finally:
                for bot in running:
                    bot.cancel()
                await asyncio.gather(*running, return_exceptions=True)
                await asyncio.gather(*(person.close() for person in self._people))

        asyncio.run(run())


@pytest.fixture
def irc_server(tmp_path: Path) -> Iterator[IrcServer]:
    server = IrcServer(tmp_path)
    server.start()
    try:
        yield server
    finally:
        server.stop()


async def joined(person: Peer, pattern: str = "gearbot") -> str:
    """The nick of the bot, as soon as it is in the channel."""
    while True:
        person.say("NAMES #trucks")
        names = (await person.hear(":irc.test.invalid 353")).rpartition(":")[2].split()
        for name in names:
            if re.fullmatch(pattern, name.lstrip("@")):
                return name.lstrip("@")
        await asyncio.sleep(0.1)


@pytest.mark.slow
class TestRealIrcServer:
    def bot(self, server: IrcServer, service: str) -> Bot:
        told = Settings(irc_port=server.port, irc_channels="#trucks,#other,bad name", service=service)
        return Bot(told, Service(service), Pace(line=0.2, again=0.2, longest_wait=0.5))

    def test_it_answers_in_the_channel_and_in_private(self, irc_server: IrcServer, service: str) -> None:
        async def play(server: IrcServer) -> None:
            ann = await server.person("ann")
            await joined(ann)
            ann.say(f"PRIVMSG #trucks :!gears {DEMO}")
            assert "4.63 restores" in await ann.hear(":gearbot!~gearbot@127.0.0.1 NOTICE #trucks :4.10 on")
            assert "42.7 to 1" in await ann.hear(":gearbot!~gearbot@127.0.0.1 NOTICE #trucks :Crawl")
            assert "axle ratio 4.10" in await ann.hear(":gearbot!~gearbot@127.0.0.1 NOTICE #trucks :I read")
            ann.say("PRIVMSG gearbot :35s, 4.10 and 3.07")
            assert "Are 4.10 and 3.07 axle ratios" in await ann.hear(
                ":gearbot!~gearbot@127.0.0.1 NOTICE ann :One question"
            )

        irc_server.play(play, self.bot(irc_server, service))

    def test_a_nick_that_somebody_has_is_changed(self, irc_server: IrcServer, service: str) -> None:
        async def play(server: IrcServer) -> None:
            await server.person("gearbot")
            ann = await server.person("ann")
            running = asyncio.create_task(self.bot(server, service).run())
            try:
                nick = await joined(ann, r"gearbo\d{3}")
                ann.say(f"PRIVMSG #trucks :{nick}: 35s on 4.10s")
                await ann.hear(f":{nick}!~gearbot@127.0.0.1 NOTICE #trucks :I read")
            finally:
                running.cancel()
                await asyncio.gather(running, return_exceptions=True)

        irc_server.play(play)

    def test_it_stays_through_pings_and_comes_back_after_a_restart(
        self, irc_server: IrcServer, service: str
    ) -> None:
        async def play(server: IrcServer) -> None:
            ann = await server.person("ann")
            await joined(ann)
            end = time.monotonic() + 12  # past two of the server's pings
            while time.monotonic() < end:
                ann.say("PING :here")
                await ann.hear(":irc.test.invalid PONG")
                await asyncio.sleep(0.5)
            ann.say("PRIVMSG gearbot :35s")
            await ann.hear(":gearbot!~gearbot@127.0.0.1 NOTICE ann :I read")
            assert not any("QUIT" in line for line in ann.heard)
            server.stop()
            server.start()
            ann = await server.person("ann")
            await joined(ann)
            ann.say("PRIVMSG #trucks :!gears 33s")
            await ann.hear(":gearbot!~gearbot@127.0.0.1 NOTICE #trucks :I read: tyre 33 in")

        irc_server.play(play, self.bot(irc_server, service))

    def test_a_flood_of_hostile_messages_moves_nothing(self, irc_server: IrcServer, service: str) -> None:
        async def play(server: IrcServer) -> None:
            ann = await server.person("ann")
            await joined(ann)
            for text in HOSTILE:
                plain = text.encode("utf-8", "surrogatepass").replace(b"\r\n", b" ")
                ann.say(b"PRIVMSG #trucks :!gears " + plain[:400])
            bob = await server.person("bob")
            bob.say("PRIVMSG gearbot :35s on 4.10s")
            await bob.hear(":gearbot!~gearbot@127.0.0.1 NOTICE bob :I read: tyre 35 in, axle ratio 4.10.")
            bob.say("PING :end")
            await bob.hear(":irc.test.invalid PONG")
            heard = [
                line
                for line in [*ann.heard, *bob.heard]
                if line.startswith(":gearbot!") and "JOIN" not in line
            ]
            assert heard
            assert all(
                re.match(r":gearbot!~gearbot@127.0.0.1 NOTICE (#trucks|ann|bob) :[ -~]+$", line)
                for line in heard
            )
            assert not any("everyone" in line or "QUIT" in line for line in heard)

        irc_server.play(play, self.bot(irc_server, service))

    def test_the_irc_command_joins(self, irc_server: IrcServer, service: str) -> None:
        environment = os.environ | {
            "PYTHONPATH": str(PACKAGE),
            "FORUM_BOT_SERVICE": service,
            "FORUM_BOT_IRC_PORT": str(irc_server.port),
            "FORUM_BOT_IRC_CHANNELS": "#trucks",
        }

        async def play(server: IrcServer) -> None:
            ann = await server.person("ann")
            await joined(ann)
            ann.say("PRIVMSG #trucks :!gears 35s on 4.10s")
            await ann.hear(":gearbot!~gearbot@127.0.0.1 NOTICE #trucks :I read")

        command = [sys.executable, "-m", "forum_bot", "irc"]
        with subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL) as bot:
            try:
                irc_server.play(play)
            finally:
                bot.terminate()
