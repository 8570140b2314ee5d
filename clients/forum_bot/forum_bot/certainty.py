"""How sure figures are, where somebody asks: the ends between which 9 in 10 builds like the one named lie."""

import math
import re

from forum_bot.service import Document

MOST_RANGES = 4
_EXACT = "No range: these figures rest on values that are taken as exact."
_FUEL = "fuel"

_SURE = r"how (?:sure|certain|accurate|exact|precise|reliable)\b"
_MARGIN = r"\+ ?/? ?-|\xb1"
_OF_THAT = r"(?: (?:is|are) (?:that|this|it|you|those|these|they))?(?: (?:of|about) (?:that|it))?"
_HOW_MUCH = r"(?: ?what| ?how much)?"
_ASKED = re.compile(
    rf"\b{_SURE}|\b(?:roughly|give or take)\b(?! *\d| a )|(?:{_MARGIN})(?! *\d)|\bmargin of error\b",
    re.IGNORECASE,
)
"""Not a number that is itself given so, such as "roughly 5300 lb"."""
_ASKED_RANGE = re.compile(r"\b(?:as|is|in|give me|with|what) (?:a |the )?ranges?\b(?! of \d)", re.IGNORECASE)
"""Not the low range."""
_ASKED_ALONE = re.compile(
    rf"(?:and |but |so )?(?:{_SURE}{_OF_THAT}|roughly|(?:give or take|{_MARGIN}){_HOW_MUCH}"
    r"|(?:what(?:'s| is) the|as a|what) range)[ ?!.]*",
    re.IGNORECASE,
)


def is_asked(sentence: str, question: str | None) -> bool:
    """Return whether the sentence asks how sure the answer is.

    `question` is what it asks besides: where that is fuel, a range is how far the tank lasts.
    """
    return bool(_ASKED.search(sentence) or (question != _FUEL and _ASKED_RANGE.search(sentence)))


def is_asked_alone(text: str) -> bool:
    """Return whether a message asks how sure that is, and nothing else."""
    return bool(_ASKED_ALONE.fullmatch(text))


def ranges(answer: Document) -> str:
    """Return a line with the ranges of the first figures of an answer that its summary does not tell already."""
    told, units = answer["ranges"], answer["result_units"]
    if not told:
        return _EXACT
    known = [name for name in answer["result"] if told.get(name, [None, None]) != [None, None]]
    words = {name: name.removesuffix("_percent").replace("_", " ") for name in known}
    said = [
        f"{words[name]} {_ends(*told[name])} {units.get(name, '')}".rstrip()
        for name in known
        if f"yours: {words[name]} " not in answer["summary"]
    ]
    also = "also " if len(said) < len(known) else ""
    return f"9 in 10 builds like yours: {also}{', '.join(said[:MOST_RANGES])}." if said else ""


def _ends(low: float | None, high: float | None) -> str:
    """Return both ends with two digits, or as many as tell half of the way between them.

    Examples
    --------
    >>> _ends(1.2665, 1.4319), _ends(7641.6, 7879.6), _ends(4.0, 5.0), _ends(0.31, None)
    ('from 1.27 to 1.43', 'from 7,600 to 7,900', 'from 4 to 5', '0.31 or more')
    """
    if low is None or high is None:
        return f"up to {high:,.3g}" if low is None else f"{low:,.3g} or more"
    largest, half = max(abs(low), abs(high)), 0.5 * (high - low)
    if half <= 0.0 or (low == round(low) and high == round(high) and largest < 100.0):
        return f"from {low:,.4g} to {high:,.4g}"
    places = max(1 - math.floor(math.log10(largest)), -math.floor(math.log10(half)))
    return "from " + " to ".join(f"{round(end, places) + 0.0:,.{max(places, 0)}f}" for end in (low, high))
