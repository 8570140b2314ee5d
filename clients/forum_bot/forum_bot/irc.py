"""The bot on IRC (RFC 2812): joins channels, answers its trigger there and anything said to it alone.

It answers with NOTICE and hears no NOTICE, so two bots cannot talk each other into a loop. What it sends is
paced, what it holds is bounded, and when the connection ends it comes back after a while.
"""

import asyncio
import logging
import random
import re
import ssl
import textwrap
import time
from collections import OrderedDict
from contextlib import suppress
from dataclasses import dataclass, field
from typing import NamedTuple

from forum_bot.conversation import Conversation
from forum_bot.conversation import Message as Said
from forum_bot.replies import Ask
from forum_bot.settings import Settings, sentence

LONGEST_TEXT = 400
"""Bytes of text on one line: with prefix and target it stays below the 512 of the protocol."""
MOST_LINES = 6

_log = logging.getLogger("forum_bot.irc")
_LONGEST_LINE = 8192
_MOST_NICKS = 5
_NICK = re.compile(r"[A-Za-z\[\]\\`_^{|}][A-Za-z0-9\[\]\\`_^{|}-]{0,29}")
_CHANNEL = re.compile(r"[#&][^\x00-\x20\x7f,:]{1,49}")
_NOT_TEXT = re.compile(r"[\x00-\x1f\x7f]")
_TAKEN = ("432", "433", "436", "437")


class Message(NamedTuple):
    """One line of the server: who sent it, the command, and its parameters."""

    nick: str
    command: str
    parameters: list[str]


def parsed(line: str) -> Message | None:
    """The message that a line holds; None where there is none.

    Examples
    --------
    >>> parsed(":ann!a@host PRIVMSG #trucks :!gears 35s on 4.10s")
    Message(nick='ann', command='PRIVMSG', parameters=['#trucks', '!gears 35s on 4.10s'])
    """
    if line.startswith("@"):
        _, _, line = line.partition(" ")
    source = ""
    if line.startswith(":"):
        source, _, line = line[1:].partition(" ")
    start, colon, last = line.lstrip(" ").partition(" :")
    words = start.split()
    if not words:
        return None
    return Message(source.partition("!")[0], words[0].upper(), words[1:] + ([last] if colon else []))


def lines(said: str) -> list[str]:
    """A reply as lines for IRC, each of at most 400 bytes."""
    cut = [part for line in said.splitlines() for part in textwrap.wrap(_plain(line), LONGEST_TEXT)]
    return cut[:MOST_LINES]


def _plain(text: str) -> str:
    return _NOT_TEXT.sub(" ", text).encode("ascii", "replace").decode()


@dataclass(frozen=True)
class Pace:
    """How fast the bot talks and how long it waits, in seconds.

    `burst` lines may go at once, then one every `line`; somebody is answered `asks` times in `memory`.
    """

    line: float = 2.0
    burst: int = 4
    asks: int = 4
    memory: float = 30.0
    silence: float = 180.0
    patience: float = 60.0
    again: float = 2.0
    longest_wait: float = 300.0


@dataclass
class Bot:
    """One bot on one server.

    Parameters
    ----------
    settings : Settings
        Server, channels, nick and trigger.
    ask : callable
        Puts fields to a question of the service.
    pace : Pace
        How fast it talks.
    """

    settings: Settings
    ask: Ask
    pace: Pace = Pace()
    nick: str = field(default="", init=False)
    conversation: Conversation = field(init=False)
    _refused: int = field(default=0, init=False)
    _said: "OrderedDict[str, list[float]]" = field(default_factory=OrderedDict, init=False)

    def __post_init__(self) -> None:
        self.conversation = Conversation(self.settings, self.ask)

    async def run(self) -> None:
        """Stay connected until cancelled."""
        wait = self.pace.again
        while True:
            since = time.monotonic()
            try:
                await self._connection()
            except (OSError, asyncio.IncompleteReadError, TimeoutError, ssl.SSLError) as error:
                _log.warning("the connection ended: %s", type(error).__name__)
            lasted = time.monotonic() - since
            wait = self.pace.again if lasted > self.pace.patience else min(2 * wait, self.pace.longest_wait)
            await asyncio.sleep(wait * random.uniform(0.5, 1.0))

    async def _connection(self) -> None:
        """One connection, from the greeting to its end."""
        secure = ssl.create_default_context() if self.settings.irc_tls else None
        reader, writer = await asyncio.wait_for(
            asyncio.open_connection(
                self.settings.irc_host, self.settings.irc_port, ssl=secure, limit=_LONGEST_LINE
            ),
            self.pace.patience,
        )
        talk = _Talk(writer, self.pace)
        answers: asyncio.Queue[tuple[str, Said]] = asyncio.Queue(maxsize=20)
        work = (self._listen(reader, talk, answers), talk.send(), self._answer(answers, talk))
        tasks = [asyncio.create_task(each) for each in work]
        try:
            await asyncio.gather(*tasks)
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            writer.close()
            with suppress(OSError, ssl.SSLError):
                await writer.wait_closed()

    async def _listen(
        self, reader: asyncio.StreamReader, talk: "_Talk", answers: "asyncio.Queue[tuple[str, Said]]"
    ) -> None:
        self.nick, self._refused = self.settings.name, 0
        if self.settings.irc_password:
            talk.now(f"PASS {self.settings.irc_password}")
        talk.now(f"NICK {self.nick}")
        talk.now(f"USER {self.settings.name} 0 * :{self.settings.name}")
        asked_alive = False
        while True:
            try:
                line = await asyncio.wait_for(
                    _line(reader), self.pace.patience if asked_alive else self.pace.silence
                )
            except TimeoutError:
                if asked_alive:
                    raise
                talk.now("PING :alive")
                asked_alive = True
                continue
            asked_alive = False
            if message := parsed(line):
                self._hear(message, talk, answers)

    def _hear(self, message: Message, talk: "_Talk", answers: "asyncio.Queue[tuple[str, Said]]") -> None:
        command, parameters = message.command, message.parameters
        if command == "PING":
            talk.now(f"PONG :{parameters[-1] if parameters else ''}")
        elif command in _TAKEN:
            self._other_nick(talk)
        elif command == "001":
            self.nick = parameters[0] if parameters else self.nick
            for channel in self.settings.irc_channels.split(","):
                if _CHANNEL.fullmatch(channel.strip()):
                    talk.now(f"JOIN {channel.strip()}")
        elif command == "NICK" and message.nick == self.nick and parameters:
            self.nick = parameters[-1]
        elif command == "PRIVMSG" and len(parameters) == 2:
            self._spoken_to(message, answers)

    def _other_nick(self, talk: "_Talk") -> None:
        self._refused += 1
        if self._refused > _MOST_NICKS:
            raise ConnectionError("the server takes none of the nicks")
        self.nick = f"{self.settings.name[:6]}{random.randrange(1000):03}"
        talk.now(f"NICK {self.nick}")

    def _spoken_to(self, message: Message, answers: "asyncio.Queue[tuple[str, Said]]") -> None:
        target, text = message.parameters
        if text.startswith("\x01") or not _NICK.fullmatch(message.nick) or message.nick == self.nick:
            return
        alone = target.casefold() == self.nick.casefold()
        called = sentence(text, self.nick) if self.nick else None
        said = text.strip() if alone or called is None else called
        to = message.nick if alone else target
        message_said = Said(0, message.nick, to, said, addressed=alone or called is not None)
        if not (alone or _CHANNEL.fullmatch(target)) or not self.conversation.is_for_me(message_said):
            return
        if self._may_ask(message.nick):
            with suppress(asyncio.QueueFull):
                answers.put_nowait((to, message_said))

    def _may_ask(self, nick: str) -> bool:
        """Whether this nick has asked less often than is answered; old ones are forgotten."""
        now = time.monotonic()
        recent = [moment for moment in self._said.pop(nick, []) if now - moment < self.pace.memory]
        may = len(recent) < self.pace.asks
        self._said[nick] = [*recent, now] if may else recent
        if len(self._said) > 1000:
            self._said.popitem(last=False)
        return may

    async def _answer(self, answers: "asyncio.Queue[tuple[str, Said]]", talk: "_Talk") -> None:
        """Answer one after the other, without holding up the connection."""
        while True:
            to, said = await answers.get()
            answer = await asyncio.to_thread(self.conversation.reply, said)
            for line in lines(answer or ""):
                talk.soon(f"NOTICE {to} :{line}")


class _Talk:
    """What goes out: the protocol's own lines at once, replies paced."""

    def __init__(self, writer: asyncio.StreamWriter, pace: Pace) -> None:
        self._writer = writer
        self._pace = pace
        self._waiting: asyncio.Queue[str] = asyncio.Queue(maxsize=30)

    def now(self, line: str) -> None:
        self._writer.write(_NOT_TEXT.sub("", line).encode("utf-8", "replace")[:510] + b"\r\n")

    def soon(self, line: str) -> None:
        with suppress(asyncio.QueueFull):
            self._waiting.put_nowait(line)

    async def send(self) -> None:
        allowed, since = float(self._pace.burst), time.monotonic()
        while True:
            line = await self._waiting.get()
            now = time.monotonic()
            allowed = min(allowed + (now - since) / self._pace.line, self._pace.burst)
            since = now
            if allowed < 1.0:
                await asyncio.sleep((1.0 - allowed) * self._pace.line)
                allowed, since = 1.0, time.monotonic()
            allowed -= 1.0
            self.now(line)
            await self._writer.drain()


async def _line(reader: asyncio.StreamReader) -> str:
    """The next line; one that is too long is passed over.

    Raises
    ------
    asyncio.IncompleteReadError
        When the connection ends.
    """
    passed_over = False
    while True:
        try:
            line = await reader.readuntil(b"\n")
        except asyncio.LimitOverrunError as error:
            await reader.readexactly(error.consumed)
            passed_over = True
            continue
        if not passed_over:
            return line.decode("utf-8", "replace").rstrip("\r\n")
        passed_over = False
