"""Messages of any forum or chat, and the bot's part in them: one question at a time for each author and thread."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from forum_bot.follow_ups import Memory, Pending, question_for
from forum_bot.markup import without_markup
from forum_bot.replies import Ask, Reply, respond
from forum_bot.settings import Settings, sentence


@dataclass(frozen=True)
class Message:
    """What somebody wrote.

    `thread` is where the reply belongs; `addressed` says that it was said to the bot, without any trigger;
    `place` is what the platform needs to post the reply.
    """

    id: str | int
    author: str
    thread: str
    text: str
    addressed: bool = False
    place: Mapping[str, Any] = field(default_factory=dict)


@dataclass
class Conversation:
    """Answers messages, and remembers its one question to each author in each thread.

    Parameters
    ----------
    settings : Settings
        Name, trigger and units.
    ask : callable
        Puts fields to a question of the service.
    """

    settings: Settings
    ask: Ask
    memory: Memory = field(default_factory=Memory)

    def is_for_me(self, message: Message) -> bool:
        """Return whether the message is said to the bot, or answers its question."""
        said, answered = self._read(message)
        return said is not None or answered is not None

    def reply(self, message: Message) -> str | None:
        """Return the reply; None if the message is not for the bot."""
        said, answered = self._read(message)
        if said is None and answered is None:
            return None
        made = self._go_on(answered) if answered else respond(Pending(said or "", ""), self.ask)
        self.memory.keep((message.thread, message.author), made.pending)
        return made.text

    def _read(self, message: Message) -> tuple[str | None, Pending | None]:
        """Return what is said to the bot, and what its question has become with this as the answer."""
        if message.author == self.settings.name:
            return None, None
        text = without_markup(message.text)
        said = text if message.addressed else self._said_to_me(message.text, text)
        pending = self.memory.recall((message.thread, message.author))
        return said, pending and pending.answered(text if said is None else said, self.settings.units)

    def _go_on(self, answered: Pending) -> Reply:
        """Reply to the sentence with the answer in it; after "no", ask the open question."""
        if answered.about:
            return Reply(f"One question: {question_for(answered.about)}", answered)
        return respond(answered, self.ask)

    def _said_to_me(self, post: str, text: str) -> str | None:
        """Return what stands behind the trigger or the bot's name, at the beginning of a line."""
        lines = text.splitlines() or [""]
        for place, line in enumerate(lines):
            said = sentence(line, self.settings.trigger)
            if said is not None:
                return "\n".join([said, *lines[place + 1 :]]).strip()
        called = re.search(rf"@{re.escape(self.settings.name)}(?![\w-])", post, re.IGNORECASE)
        return text if called else None
