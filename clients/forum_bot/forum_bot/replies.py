"""Make a reply to a sentence; it repeats only values that the service has read and checked."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from forum_bot import certainty
from forum_bot.facts import at_speed, engine_speeds, facts
from forum_bot.follow_ups import Offer, Pending, question_for, words_for
from forum_bot.service import Document, Refusal, Silence

Ask = Callable[[str, Mapping[str, object]], Document]
"""Puts fields to a question; returns the answer's document, or raises `Refusal` or `Silence`."""

LONGEST_REPLY = 1900
LONGEST_SENTENCE = 500
MOST_FURTHER = 2
MOST_UNUSED = 3
MOST_CAUTIONS = 2

_PLAIN_NUMBER = re.compile(r"[0-9.,/:x-]{1,16}(?: ?(?:s|in|mm|cm))?")
"""A number that may be repeated: nothing in it can call somebody or be run."""
_NAMES_IN_BRACKETS = re.compile(r" \((?:(?:, |,? and |,? or )?[a-z]+(?:_[a-z0-9]+)+)+\)")
_SPEED = re.compile(r"(?:\bat|\bhold|\bholds|\bdoing|\brun|\bpull|@)\s*$", re.IGNORECASE)
_METRIC = re.compile(r"\d (?:km/h|kg|t|mm|cm|m|kW|N m|bar|kPa)\b")
_US = re.compile(r"\d (?:mph|lb|ft|hp|lb-ft|psi)\b")
_OF_A_SPEED = ("speedometer", "road-speed", "cruise", "regear", "fuel")

HELP = (
    "Name tyres and gears in one sentence, for example: going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"
)
TOO_LONG = f"I read at most {LONGEST_SENTENCE} characters: say it in one sentence."
NO_ANSWER = "The service does not answer. Try again in a minute."
ESTIMATES = "These are estimates for comparison. The makers' limits and the law decide."


class Reply(NamedTuple):
    """What the bot says, and the question in it that waits for an answer."""

    text: str
    pending: Pending | None = None


def reply(text: str, ask: Ask) -> str:
    """Reply to a sentence in plain ASCII: a few lines, at most 1,900 characters.

    Parameters
    ----------
    text : str
        What somebody wrote. May be anything.
    ask : callable
        Puts fields to a question of the service; a `forum_bot.Service`, or a stand-in for it.
    """
    return respond(Pending(text, ""), ask).text


def respond(said: Pending, ask: Ask) -> Reply:
    """Reply to what was said, with earlier answers in it."""
    if not said.sentence.strip():
        return Reply(HELP)
    if len(said.sentence) > LONGEST_SENTENCE:
        return Reply(TOO_LONG)
    whole = said.sentence.encode("utf-8", "replace").decode()  # half characters cannot be sent
    try:
        lines, pending = _read(whole, said, ask)
    except Refusal:
        return Reply(HELP)
    except (Silence, LookupError, TypeError, ValueError, AttributeError):
        # All but the first: what is at the address is another service.
        return Reply(NO_ANSWER)
    return Reply(_within(lines), pending)


def _read(sentence: str, said: Pending, ask: Ask) -> tuple[list[str], Pending | None]:
    """Return the lines of the reply, and the question in it that waits for an answer."""
    read = ask("from-text", {"q": sentence})
    speed, unit = _bare_speed(sentence, read["result"]), ""
    if speed is not None:
        metric = read["units"] == "metric" or _units(read["result"]["build"])
        unit = "km/h" if metric else "mph"
        sentence = f"{sentence[:speed]} {unit}{sentence[speed:]}"
        read = ask("from-text", {"q": sentence})
    result = read["result"]
    said = replace(said, sentence=sentence)
    if not result["build"]:
        unused = _not_used(result["unused"])
        return (
            ([_one_question(result["ask"]), *unused], _asked_back(said, result)) if unused else ([HELP], None)
        )
    with_ranges = certainty.is_asked(sentence, result["asks"])
    answers = _Answers(ask, {**result["build"], **said.fields, **_units(result["build"])}, with_ranges)
    answers.give(result)
    question, pending = _next_question(said, result, answers)
    figures = answers.lines
    assumed = [*read["assumed"].values(), *([f"the speed is in {unit}"] if speed is not None else [])]
    lines = [
        *figures,
        "I read: " + ", ".join(dict.fromkeys(map(_understood, result["understood"]))) + _earlier(said) + ".",
        *_not_used(result["unused"]),
        *answers.needs(),
        _one_question(question),
        *(_assumptions(assumed) if figures else []),
        *([ESTIMATES] if figures else []),
    ]
    return [line for line in lines if line], pending or (said.without_question() if figures else None)


def _next_question(
    said: Pending, result: Mapping[str, Any], answers: "_Answers"
) -> tuple[str | None, Pending | None]:
    """Return what to ask next: what the question asked lacks, else what the service would ask."""
    if not result["asks"]:
        return result["ask"], _asked_back(said, result)
    if not answers.lacking:
        return None, None
    about = answers.lacking[0]
    return question_for(about), replace(said, about=about, kind="open", offers=())


def _units(build: Mapping[str, Any]) -> dict[str, str]:
    """Return metric units for the answer where the sentence has only such; else nothing: the bot's own."""
    values = "; ".join(value for value in build.values() if isinstance(value, str))
    return {"units": "metric"} if _METRIC.search(values) and not _US.search(values) else {}


def _bare_speed(sentence: str, result: Mapping[str, Any]) -> int | None:
    """Return the end of a bare number that can only be the road speed that is asked about."""
    if result["asks"] not in _OF_A_SPEED or "cruise_speed" in result["build"]:
        return None
    places: list[tuple[int, int]] = [tuple(one["span"]) for one in result["unused"] if _is_speed(one["text"])]
    places = [place for place in places if _SPEED.search(sentence[max(0, place[0] - 12) : place[0]])]
    return places[0][1] if len(places) == 1 else None


def _is_speed(text: str) -> bool:
    return bool(re.fullmatch(r"\d{2,3}", text)) and 20 <= int(text) <= 120


def _asked_back(said: Pending, result: Mapping[str, Any]) -> Pending | None:
    """Return the service's own question to the sentence as one that waits for an answer."""
    asked = result["follow_up"]
    if not asked:
        return None
    offers = tuple(Offer(one["text"], *one["span"]) for one in asked["offers"])
    return replace(said, about=asked["about"], kind=asked["kind"], offers=offers)


class _Answers:
    """The lines of figures: what was asked for, else what the build answers; and what that lacks."""

    def __init__(self, ask: Ask, build: Mapping[str, Any], with_ranges: bool) -> None:
        self._ask = ask
        self._build = dict(build)
        self._with_ranges = with_ranges
        self.lines: list[str] = []
        self.lacking: tuple[str, ...] = ()

    def give(self, result: Mapping[str, Any]) -> None:
        """Answer the question asked; without one, the likeliest, and the tyre alone only where no other fits."""
        asked = result["asks"]
        if asked == "speedometer" and "cruise_speed" in self._build:
            self._build["indicated_speeds"] = [self._build["cruise_speed"]]
        if asked == "regear" and self._lacks_gears_alone():
            self._compare_in_direct_gear()
        elif asked:
            self._add(asked)
        else:
            fits = [name for name in result["fits"] if name != "tyre"] or list(result["fits"])
            for name in fits[: 1 + MOST_FURTHER]:
                self._add(name)

    def needs(self) -> list[str]:
        """Say what the question asked needs, where that is more than one thing."""
        if len(self.lacking) < 2:
            return []
        return [f"To answer that I need: {', '.join(map(words_for, self.lacking))}."]

    def _lacks_gears_alone(self) -> bool:
        return {"available_ratios", "tyre"} <= self._build.keys() and "gear_ratios" not in self._build

    def _compare_in_direct_gear(self) -> None:
        """Compare ratios where no gearbox is named: in a gear of 1 to 1, which most have."""
        speeds: dict[float, float] = {}
        for ratio in self._build["available_ratios"]:
            answer = self._ask("road-speed", {**self._build, "axle_ratio": ratio, "gear_ratios": [1]})
            speeds[float(ratio)] = answer["result"]["cruise_engine_speed"]
        self.lines.append(f"At {at_speed(answer)} in a gear of 1:1: {engine_speeds(speeds)}.")
        self.lacking = ("gear_ratios",)

    def _add(self, name: str) -> None:
        try:
            answer = self._ask(name, self._build | ({"bands": "1"} if self._with_ranges else {}))
        except Refusal as refusal:
            self.lacking = self.lacking or refusal.needed
            return
        if answer["verdict"] == "unknown":
            self.lacking = self.lacking or _needed(answer)
        if answer["verdict"] != "unknown" or not self.lacking:
            stops, checks = _cautions(answer, "stop"), _cautions(answer, "check")
            sure = certainty.ranges(answer) if self._with_ranges else ""
            further = [] if self.lines else [*stops, facts(answer), sure, *checks]
            self.lines += [_in_words(answer["summary"]), *filter(None, further)]


def _needed(answer: Document) -> tuple[str, ...]:
    """Return the fields that an answer without its main result lacks."""
    lacking = (one["fields"] for one in answer["absent"].values() if one["why"] == "needs")
    return tuple(next(lacking, ()))


def _in_words(text: str) -> str:
    """Return text without the names of fields in brackets; any other name as words."""
    return _NAMES_IN_BRACKETS.sub("", text).replace("_", " ")


def _cautions(answer: Document, level: str) -> list[str]:
    """Return the cautions of a level, each as a line."""
    found = [one["text"] for one in answer["cautions"] if one["level"] == level]
    return [f"{level.capitalize()}: {_in_words(text)}" for text in found[:MOST_CAUTIONS]]


def _earlier(said: Pending) -> str:
    return "".join(f", {words_for(name)} {value}" for name, value in said.fields.items())


def _understood(one: Mapping[str, Any]) -> str:
    value = one["value"]
    if isinstance(value, list):
        value = "/".join(map(_short, value))
    return f"{one['what']} {_short(value)}"


def _short(value: object) -> str:
    return f"{value:.2f}" if isinstance(value, float) and value == round(value, 2) else str(value)


def _not_used(unused: list[Mapping[str, Any]]) -> list[str]:
    """Name the numbers that were not used, each with its reason; count what is more than a plain number."""
    unused = [one for one in unused if any(map(str.isdigit, one["text"]))]
    plain = [one for one in unused if _PLAIN_NUMBER.fullmatch(one["text"])]
    named = [f"{one['text']} ({_brief(one['reason'])})" for one in plain[:MOST_UNUSED]]
    others = len(unused) - len(named)
    if others:
        named.append(f"{others} more")
    return [f"Not used: {', '.join(named)}."] if named else []


def _brief(reason: str) -> str:
    return reason.removeprefix("is ").partition(":")[0]


def _one_question(question: str | None) -> str:
    return f"One question: {question}" if question else ""


def _assumptions(assumed: Iterable[str]) -> list[str]:
    listed = "; ".join(dict.fromkeys(assumed))
    return [f"Assumed: {listed}."] if listed else []


# The length and the characters


_MARKUP = set("@`<>[]{}*|~\\#")


def _within(lines: list[str]) -> str:
    """Join the lines that fit, in plain ASCII without marks that call people or that markup gives a meaning."""
    said = ""
    for line in lines:
        plain = "".join(mark if " " <= mark <= "~" and mark not in _MARKUP else "?" for mark in line)
        if len(said) + len(plain) < LONGEST_REPLY:
            said += f"{plain}\n"
    return said.rstrip("\n")
