"""Posts in six styles, read as a person would read them: `posts.toml` says what must come of each."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from flask import Flask

from forum_bot.conversation import Conversation, Message
from forum_bot.settings import Settings
from tests.clients.bot import Ask, asked_here

POSTS = tomllib.loads(Path(__file__).with_name("posts.toml").read_text(encoding="utf-8"))
LEAST_ANSWERED = 45
MOST_TOO_CAREFUL = 2
"""Posts that are asked back although a person would have answered."""
FIRST_LINES = 2


class Heard:
    """The service, and the questions that it answered since the last post."""

    def __init__(self, ask: Ask) -> None:
        self._ask = ask
        self.answered: list[str] = []

    def __call__(self, question: str, fields: Mapping[str, object]) -> Mapping[str, Any]:
        answer = self._ask(question, fields)
        if question != "from-text" and answer["verdict"] != "unknown":
            self.answered.append(question)
        return answer


def numbers(text: str) -> list[float]:
    return [float(found.replace(",", "")) for found in re.findall(r"\d[\d,]*(?:\.\d+)?", text)]


def holds(text: str, figure: float) -> bool:
    return any(abs(number - figure) <= 0.01 * figure for number in numbers(text))


def rounds(post: Mapping[str, Any]) -> Iterator[Mapping[str, Any]]:
    yield post
    yield from post.get("then", ())


def verdict(bot: Conversation, heard: Heard, post: Mapping[str, Any], thread: str) -> str:
    """What came of one message: answered, asked, or wrong with what was said."""
    heard.answered.clear()
    said = bot.reply(Message(1, "ann", thread, post["post"]))
    pending = bot.memory.recall((thread, "ann"))
    if said is None:
        return "wrong: no reply"
    if "asks" in post:
        asked = pending is not None and pending.about == post["asks"] and "One question: " in said
        return "asked" if asked else f"wrong: {said}"
    first = "\n".join(said.splitlines()[:FIRST_LINES])
    is_asked = heard.answered[:1] == [post["answers"]]
    right = is_asked and all(holds(first, figure) for figure in post.get("figures", ()))
    if not heard.answered and pending:
        return "asked"
    return "answered" if right else f"wrong: {heard.answered} {said}"


def test_posts_are_answered_as_asked_or_asked_back(app: Flask) -> None:
    heard = Heard(asked_here(app))
    bot = Conversation(Settings(), heard)
    posts = [post for style in POSTS.values() for post in style]
    came = {
        (number, one["post"]): verdict(bot, heard, one, f"thread {number}")
        for number, post in enumerate(posts)
        for one in rounds(post)
    }
    wrong = {post: what for (_, post), what in came.items() if what.startswith("wrong")}
    assert wrong == {}, "\n\n".join(f"{post}\n{what}" for post, what in wrong.items())
    assert len(posts) == 60
    firsts = [came[number, post["post"]] for number, post in enumerate(posts)]
    assert firsts.count("answered") >= LEAST_ANSWERED
    assert (
        sum("asks" not in post and one == "asked" for post, one in zip(posts, firsts, strict=True))
        <= MOST_TOO_CAREFUL
    )
