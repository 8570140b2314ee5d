"""Make a reply to a sentence; it repeats only values that the service has read and checked."""

import re
from collections.abc import Callable, Mapping
from typing import Any

from forum_bot.service import Document, Refusal, Silence

Ask = Callable[[str, Mapping[str, object]], Document]
"""Puts fields to a question; returns the answer's document, or raises `Refusal` or `Silence`."""

LONGEST_REPLY = 1900
LONGEST_SENTENCE = 500
MOST_ANSWERS = 3
MOST_UNUSED = 3

_PLAIN_NUMBER = re.compile(r"[0-9.,/:x]{1,16}(?: ?(?:s|in|mm|cm))?")
"""A number that may be repeated: nothing in it can call somebody or be run."""

HELP = (
    "Name tyres and gears in one sentence, for example: going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"
)
TOO_LONG = f"I read at most {LONGEST_SENTENCE} characters: say it in one sentence."
NO_ANSWER = "The service does not answer. Try again in a minute."
ESTIMATES = "These are estimates for comparison. The makers' limits and the law decide."


def reply(text: str, ask: Ask) -> str:
    """Reply to a sentence in plain ASCII: a few lines, at most 1,900 characters.

    Parameters
    ----------
    text : str
        What somebody wrote. May be anything.
    ask : callable
        Puts fields to a question of the service; a `forum_bot.Service`, or a stand-in for it.
    """
    if not text.strip():
        return HELP
    if len(text) > LONGEST_SENTENCE:
        return TOO_LONG
    whole = text.encode("utf-8", "replace").decode()  # half characters cannot be sent
    try:
        lines = _lines(ask("from-text", {"q": whole}), ask)
    except Refusal:
        return HELP
    except (Silence, LookupError, TypeError, ValueError, AttributeError):
        # All but the first: what is at the address is another service.
        return NO_ANSWER
    return _within(lines)


def _lines(read: Document, ask: Ask) -> list[str]:
    result = read["result"]
    if not result["build"]:
        unused = _not_used(result["unused"])
        return [_one_question(result["ask"]), *unused] if unused else [HELP]
    answers = _answers(result, ask)
    return [
        "I read: " + ", ".join(dict.fromkeys(map(_understood, result["understood"]))) + ".",
        *answers,
        *_not_used(result["unused"]),
        *([_one_question(result["ask"])] if result["ask"] else []),
        *(_assumptions(read["assumed"]) if answers else []),
        *([ESTIMATES] if answers else []),
    ]


def _answers(result: Mapping[str, Any], ask: Ask) -> list[str]:
    """Answer the likeliest questions; the tyre alone only where no other can be answered."""
    fits = [name for name in result["fits"] if name in _SENTENCES and name != "tyre"]
    said = []
    for name in fits[:MOST_ANSWERS] or (["tyre"] if "tyre" in result["fits"] else []):
        try:
            said.append(_SENTENCES[name](ask(name, result["build"])))
        except Refusal:
            continue
    return [line for line in said if line]


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


def _assumptions(assumed: Mapping[str, str]) -> list[str]:
    listed = "; ".join(dict.fromkeys(assumed.values()))
    return [f"Assumed: {listed}."] if listed else []


# One line an answer


def _final_drive(answer: Document) -> str:
    fitted = _given(answer, "axle_ratio")
    restores = ""
    if answer["result"]["restoring_ratio"] is not None:
        restores = f"; {_number(answer, 'restoring_ratio', 2)} restores the original engine speed"
    return (
        f"Final drive: {fitted} feels like {_number(answer, 'effective_ratio', 2)} did on the old tyres"
        f"{restores}. Engine speed at equal road speed: "
        f"{_number(answer, 'engine_speed_change_percent', 1, sign='+')} %."
    )


def _speedometer(answer: Document) -> str:
    true = 60 * answer["result"]["true_per_indicated"]
    return f"Speedometer: at an indicated 60 you drive {true:.1f} {_speed_unit(answer)}, if not corrected."


def _crawl(answer: Document) -> str:
    return (
        f"Crawl: {_number(answer, 'crawl_ratio', 1)}:1, {_number(answer, 'crawl_speed', 2, unit=True)} "
        f"at {_given(answer, 'idle_speed', 'rpm')} idle."
    )


def _road_speed(answer: Document) -> str:
    speed = _given(answer, "cruise_speed", _speed_unit(answer))
    return f"Cruise: {_number(answer, 'cruise_engine_speed', 0)} rpm at {speed} in top gear."


def _cruise(answer: Document) -> str:
    if answer["result"]["power_needed"] is None:
        return ""
    return f"Power: {_number(answer, 'power_needed', 0, unit=True)} needed to hold it."


def _regear(answer: Document) -> str:
    if answer["result"]["recommended_ratio"] is None:
        return ""
    return f"Regear: {_number(answer, 'recommended_ratio', 2)} suits best of the common ratios."


def _axle_match(answer: Document) -> str:
    return f"Axles: the front turns {_number(answer, 'mismatch_percent', 2, sign='+')} % against the rear."


def _tyre(answer: Document) -> str:
    turns = _number(answer, "tyre_turns_per_distance", 0, unit=True).replace(" ", " turns ", 1)
    return f"Tyre: {_number(answer, 'diameter', 1, unit=True)} tall, rolls {turns}."


_SENTENCES: Mapping[str, Callable[[Document], str]] = {
    "final-drive": _final_drive,
    "speedometer": _speedometer,
    "crawl": _crawl,
    "road-speed": _road_speed,
    "cruise": _cruise,
    "regear": _regear,
    "axle-match": _axle_match,
    "tyre": _tyre,
}


def _number(answer: Document, name: str, digits: int, *, sign: str = "", unit: bool = False) -> str:
    number = f"{answer['result'][name]:{sign}.{digits}f}"
    return f"{number} {answer['result_units'][name]}" if unit else number


def _given(answer: Document, name: str, unit: str = "") -> str:
    """Return a field as given, else as assumed; bare numbers with the unit."""
    value = answer["given"].get(name, answer["assumed"].get(name))
    return f"{value:.4g} {unit}" if unit and not isinstance(value, str) else _short(value)


def _speed_unit(answer: Document) -> str:
    return "mph" if answer["units"] == "us" else "km/h"


# The length and the characters


def _within(lines: list[str]) -> str:
    """Join the lines that fit, in plain ASCII without marks that call people or end a block of code."""
    said = ""
    for line in lines:
        plain = "".join(mark if " " <= mark <= "~" and mark not in "@`" else "?" for mark in line)
        if len(said) + len(plain) < LONGEST_REPLY:
            said += f"{plain}\n"
    return said.rstrip("\n")
