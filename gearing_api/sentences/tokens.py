"""A forum sentence cut into pieces: tyre sizes, numbers with their marks and units, cues, directions.

One alternation of bounded expressions, chosen by the sign that stands there, is tried from place to place, so
the cost grows with the length alone. Typographic marks are made plain one for one: a place in the plain text
is a place in the sentence.
"""

import re
import string
from collections.abc import Collection
from functools import cache

from gearing_api import tables, units
from gearing_api.units import Quantity


class Piece:
    """A part of the sentence: `kind` is the name of the expression that found it, `text` has plain marks.

    `word` is the text, whatever its case.
    """

    __slots__ = ("_numbers", "end", "kind", "start", "text", "word")

    def __init__(self, kind: str, start: int, end: int, text: str) -> None:
        self.kind, self.start, self.end, self.text = kind, start, end, text
        self.word = text.casefold()
        self._numbers: tuple[float, ...] | None = None

    @property
    def numbers(self) -> tuple[float, ...]:
        """Every number in it."""
        if self._numbers is None:
            self._numbers = tuple(float(found.replace(",", "")) for found in _NUMBERS.findall(self.text))
        return self._numbers

    @property
    def decimals(self) -> int:
        """How many digits its first number has behind the point."""
        return len(_NUMBERS.findall(self.text)[0].partition(".")[2])

    @property
    def unit(self) -> str:
        """What stands behind its last number."""
        return _NUMBERS.split(self.text)[-1].strip(" -")


_THOUSANDS = r"\d{1,3},\d{3}(?![\d,.])"
_NUMBER = r"(?:\d{1,5}(?:\.\d{1,4})?|\.\d{1,4})"
_NUMBERS = re.compile(rf"{_THOUSANDS}|\d*\.\d+|\d+", re.ASCII)
_AMOUNT = rf"(?:{_THOUSANDS}|{_NUMBER})"

_MARKS = str.maketrans(
    dict.fromkeys("’‘′´`", "'")
    | dict.fromkeys("“”″", '"')
    | dict.fromkeys("‐‑‒–—−", "-")
    | dict.fromkeys("×✕", "x")
    | dict.fromkeys("→⇒➔", ">")
    | dict.fromkeys("\u00a0\u2009\u202f\t\r\n", " ")
    | {"⁄": "/", "·": "*"}
)

# Tyre sizes. Load range, load index and speed symbol are capitals: the next word is not taken for one.
_RIM = r"(?:1[2-9]|2\d)(?:\.5)?"
_SERVICE = (
    r"(?:(?: ?/| )?(?-i:[B-G])(?![\w'/]))?"
    r"(?: ?(?:(?-i:(?:[6-9]\d|1\d\d)(?:[/-]\d{2,3})?[A-Z])(?![\w'])|(?-i:XL)(?!\w)"
    r"|(?:load range |(?-i:LR) ?)(?-i:[A-Ha-h])(?!\w)|\d{1,2}[ -]?(?:ply|PR)(?!\w))){0,3}"
)
_PLURAL = r"(?:'?s)?(?!\w)"
_WHOLE = rf"(?!\.?\d){_SERVICE}{_PLURAL}"
_WIDE = r"[2-5]\d(?:\.\d{1,2})? ?[x/] ?(?:\d{1,2}(?:\.\d{1,2})?|[89]50|1\d[05]0)"

SIZES: dict[str, str] = {
    "metric": r"(?:(?:LT|P|T|ST) ?)?\d{3} ?[/x-] ?(?:100|\d{2})(?: ?(?:[HSTVZ]?RF?|D) ?| ?[/x-] ?| )"
    rf"{_RIM}(?:LT|CP?)?{_WHOLE}",
    "flotation": rf"{_WIDE}(?: ?[RD] ?| ?[-/x ] ?){_RIM}(?:LT)?{_WHOLE}",
    "numeric": rf"(?:\d{{1,2}}\.\d{{2}} ?[RD-]|(?:[5-9]\d|1[0-4]0)0 ?R|(?:1[2-9]|2[0-3])5 ?[HS]?R) ?{_RIM}"
    rf"(?:LT|C)?{_WHOLE}",
    "outline": r"[2-5]\d(?:\.\d{1,2})? ?x ?\d{1,2}(?:\.\d{1,2})?(?:\"|'?s)?(?![\w.x/-]*\d|\w)",
}
"""Tyre sizes; an outline is a height and a width without a rim."""

# A torque is written with its two units in either order, joined in many ways.
_TORQUE = (
    r"(?:lbf?s?|pounds?)[-. */]{0,2}(?:ft|feet|foot)|(?:ft|foot)[-. */]{0,2}(?:lbf?s?|pounds?)|k?N[-. *]?m"
)


def _spelled(quantity: Quantity) -> str:
    """Every spelling of its units, the longest first; spaces do not matter."""
    return "|".join(
        re.escape(spelling).replace(r"\ ", " ?")
        for spelling in sorted(quantity.factors, key=len, reverse=True)
    )


AMOUNTS: dict[str, tuple[Quantity, str]] = {
    "torque": (units.TORQUE, _TORQUE),
    "power": (units.POWER, "b?hp|kw|ps"),
    "speed": (units.SPEED, _spelled(units.SPEED)),
    "rotation": (units.ROTATION, "rpm"),
    "mass": (units.MASS, _spelled(units.MASS)),
    "pressure": (units.PRESSURE, "psi|bar|kpa"),
    "displacement": (units.DISPLACEMENT, r"l|litres?|liters?|cc|ci|cid"),
    "length": (units.LENGTH, "mm|cm"),
    "elevation": (units.ELEVATION, "feet|ft|metres|meters|m"),
    "percent": (units.PERCENT, _spelled(units.PERCENT)),
}
"""Numbers with a unit: its quantity, and how it is spelled in a sentence."""

_UNIT_END = r"(?![\w-]| ?case)"

# Between number and tyre "in" is the unit; elsewhere it may be the preposition.
_INCH = (
    r"(?:''|\"|[ -]?inch(?:es)?(?!\w)|[ -]?in\.|-?in(?!\w)"
    r"| in(?= ?[,;.:)!?/]| ?$| (?:tires?|tyres?|tall|rubber|muds?|on|with|to|and|or|vs)(?!\w)))"
)

NUMBERS: dict[str, str] = {
    "money": r"[$€£] ?\d[\d.,]{0,12}k?",
    "partial": rf"\d{{3}}/\d{{2}}{_PLURAL}(?![.x/-]?\d)",
    "short": r"\d{3}'?s(?!\w)",
    "splines": r"\d{2}[ -]?splined?s?(?!\w)",
    "teeth": r"[2-6]\d/(?:[5-9]|1\d)(?![\w\"'.,/]?\d|[\w\"']| ?(?:mph|km|psi|lb|%|in))",
    "fraction": r"(?:\d{1,2}[ -])?\d/\d{1,2}(?![/.]?\d|\w)(?: ?\"| ?in(?:ch)?(?!\w))?",
    "span": rf"{_AMOUNT} ?(?:-|to|and) ?{_AMOUNT} ?rpm(?!\w)",
    "choice": rf"(?<![/-]){_NUMBER}(?:[-/]| or ){_NUMBER}(?![/-]\d|[.,]?\d)"
    rf"(?: ?(?:{_spelled(units.SPEED)}|%|inch|in|lbs?|hp)(?!\w)|'?s(?!\w)|\"|(?!\w))"
    rf"|{_NUMBER} to {_NUMBER} ?(?:{_spelled(units.SPEED)})(?!\w)",
    "ratio": rf"{_NUMBER}(?: ?: ?1| to 1)(?![.,:]?\d|\w)",
    **{name: rf"{_AMOUNT} ?(?:{spelled}){_UNIT_END}" for name, (_, spelled) in AMOUNTS.items()},
    "height": rf"{_NUMBER}{_INCH}",
    "plural": rf"{_NUMBER}'?s(?!\w)",
}
"""Numbers with a mark or a unit."""

_ORDINALS = (
    "1st|first|granny(?: low)?", "2nd|second", "3rd|third", "4th|fourth", "5th|fifth", "6th|sixth",
    "7th|seventh", "8th|eighth", "9th|ninth", "10th|tenth",
)  # fmt: skip
_BEFORE_AXLE = r"(?:(?:gears?|axles?) )?(?:(?:in|on|up) )?(?:the )?"
_OF_AXLE = r"(?: (?:axle|diff(?:erential)?|end|gears?|tires?|tyres?)(?: ratio)?)?"

CUES: dict[str, str] = {
    "front": rf"{_BEFORE_AXLE}fronts?{_OF_AXLE}",
    "rear": rf"{_BEFORE_AXLE}rears?{_OF_AXLE}",
    "target_crawl": r"(?:target|goal|desired)(?: for)?(?: an?)? crawl(?: ratio)?(?: of)?|crawl ratio of",
    "reverse": r"reverse(?:[ -]gear)?(?: ratio)?",
    "wheelbase": r"wheel ?base",
    "lift": r"(?:suspension |body |spring )?lift(?:ed)?(?: kit)?",
    "ring": r"ring(?:[ -]gears?)?(?! ?(?:and|&))|crown wheel",
    "unclear": r"(?:low|high|bottom) gears?|gear ratio|crawl(?:er)?(?: ratio| gear| box)?|reduction|doubler"
    r"|overall(?: ratio)?",
    "low": r"(?:transfer[ -]case|t[ -]?case|transfer|case)(?:[ -]low)?(?:[ -]range)?(?: ratio)?"
    r"|(?:4[ -]?)?low(?:[ -]range)?(?: ratio)?(?![ -](?:pinion|profile|mile|end|budget|key))",
    "high": r"(?:4[ -]?)?high[ -]range(?: ratio)?|4[ -]?high|high(?= (?:is |of |= ?)?\d)",
    "hub": r"portals?(?: box(?:es)?| axles?| hubs?)?(?: ratio| reduction)?|hub (?:ratio|reduction)",
    **{f"gear_{place}": rf"(?:{words})(?:[ -]gear)?(?: ratio)?" for place, words in enumerate(_ORDINALS, 1)},
    "top": r"top(?:[ -]gear)?(?: ratio)?(?![ -](?:speed|end|loader))|over[ -]?drive|od(?: gear)?",
    "gearbox": r"gear ?box|transmission|trans|gear ratios|ratios",
    "axle": r"axle(?: gear(?:s|ing)?| ratio)?s?|gear ?sets?|diff(?:erential)?s?(?: ratio)?|r ?& ?p"
    r"|final[ -]drives?(?: ratio)?|ring (?:and|&) pinions?|(?:re-?)?gear(?:s|ed|ing)?"
    r"(?: (?:to|at|with|for))?",
    "idle": r"idl(?:es?|ing)(?: speed)?",
    "redline": r"red ?lines?(?: speed)?",
    "grade": r"(?:grade|gradient|incline|hill|slope|climb)s?|climbing",
    "tyre": r"(?:mud )?(?:tires?|tyres?)|muds?|rubber|meats",
}


def _with_table(cue: str, pattern: str) -> str:
    """A cue's pattern and the words for it in the table, longest first; a blank may be a dash."""
    known = re.compile(pattern)
    words = (word for word in words_of(cue) if len(word) > 2 and not known.fullmatch(word))
    longest_first = sorted(words, key=len, reverse=True)
    return "|".join([pattern, *(re.escape(word).replace(r"\ ", "[ -]?") for word in longest_first)])


@cache
def words_of(cue: str) -> frozenset[str]:
    """The words of the table that are that cue."""
    table = tables.table("words")
    pairs = zip(table.column("word"), table.column("cue"), strict=True)
    return frozenset(str(word) for word, of in pairs if of == cue)


CUES = {cue: _with_table(cue, pattern) for cue, pattern in CUES.items()}
"""Words that say what the number beside them is."""

# What was there before, what comes after: of two numbers the one of the higher rank is the later.
BEFORE, STAYS, PLAIN, NOW, AFTER = range(5)
DIRECTIONS: dict[str, tuple[int, str]] = {
    "before": (
        BEFORE,
        r"in place of|in lieu of|from|was|were|had|used to(?: have| run)?|came|previous(?:ly)?|before|old"
        r"|replac(?:es?|ed|ing)"
        r"|instead of|rather than|compared (?:to|with)",
    ),
    "stays": (STAYS, "stock|original(?:ly)?|factory|oem"),
    "now": (NOW, "now|current(?:ly)?|today"),
    "after": (
        AFTER,
        r"to|into|new|after|later|want(?:ed|s|ing)?|wanna|going|go|goes|thinking|upgrad(?:e|es|ed|ing)"
        r"|mov(?:e|es|ed|ing)|trad(?:e|es|ed|ing)|swap(?:s|ped|ping)?|switch(?:es|ed|ing)?"
        r"|ditch(?:es|ed|ing)?|chang(?:e|es|ed|ing)|consider(?:s|ed|ing)?|looking|regear(?:ed|ing)?"
        r"|put(?:s|ting)?|plan(?:s|ned|ning)?"
        r"|install(?:s|ed|ing)?|fit(?:s|ted|ting)?|-?>|=>",
    ),
    "have": (NOW, r"have|has|got|i've"),
}
"""Words that say which of two is meant; "have" does so only where its clause has said nothing else."""


def _word(pattern: str) -> str:
    return rf"(?:{pattern})(?!\w|'\w)"


_REST: dict[str, str] = {
    # Commas between numbers with a point are no decimal commas.
    "number": rf"\d{{1,3}},\d{{3}}(?!\w|[.,]\d)|{_NUMBER}(?![.,]?\d|\w|:\d)"
    rf"|\d{{1,2}}\.\d{{1,3}}(?=,\d)|(?<=\d,)\d(?=,\d)",
    "blob": r"\d(?:[\w.,/:'\"-]*\w)?",
    "word": r"[a-z][a-z']*",
    "mark": r"[^\s\w]",
}

_KINDS = (
    SIZES
    | NUMBERS
    | {kind: _word(pattern) for kind, pattern in CUES.items()}
    | {kind: rf"(?:{pattern})(?!\w)" for kind, (_, pattern) in DIRECTIONS.items()}
    | _REST
)


def _piece(kinds: Collection[str]) -> re.Pattern[str]:
    """One of these kinds, in the order of all."""
    named = (f"(?P<{kind}>{pattern})" for kind, pattern in _KINDS.items() if kind in kinds)
    return re.compile("|".join(named), re.ASCII | re.IGNORECASE)


_DECIMAL_COMMA = re.compile(r"(?<![\d.,])(1?\d),(\d{1,3})(?!\d|[.,]\d)(?! ?(?:lbs?|rpm|ft|hp|miles)(?!\w))")
_METRIC_COMMA = re.compile(
    r"(?<![\d.,])\d{1,2},\d{1,2} ?(?=(?:t|tonnes?|kg|nm|kw|bar|l|litres?)(?!\w))", re.IGNORECASE
)
_POINT = re.compile(r"(?<![\dx/])\d{1,2}\.\d{1,2}(?![\d]|[.,]\d| ?[RDx-] ?\d)", re.IGNORECASE)
_POINTED_THOUSANDS = re.compile(r"(?<![\d.,])(\d{1,3})\.(\d{3})(?![\d.,])")


def _with_points(plain: str) -> str:
    """The sentence with decimal points, of the same length, where all its decimals have commas."""
    if "," not in plain:
        return plain
    metric = _METRIC_COMMA.sub(lambda found: found[0].replace(",", "."), plain)
    if _POINT.search(plain):
        return metric
    decimals = _DECIMAL_COMMA.findall(plain)
    if not any(len(behind) < 3 for _, behind in decimals):
        return metric
    with_points = _DECIMAL_COMMA.sub(r"\1.\2", metric)
    for place in (found.start(2) - 1 for found in _POINTED_THOUSANDS.finditer(plain)):
        with_points = with_points[:place] + "," + with_points[place + 1 :]
    return with_points


# What can begin with a digit, a letter, a mark of numbers, and any other mark: most kinds are never tried.
_BY_DIGIT = _piece(
    [*SIZES, *NUMBERS, *(cue for cue in CUES if cue.startswith("gear_")), "low", "high", *_REST]
)
_BY_LETTER = _piece(["metric", *CUES, *DIRECTIONS, "word"])
_BY_NUMBER_MARK = _piece([*NUMBERS, "number", "mark"])
_BY_MARK = _piece(["after", "mark"])
_BEGINNINGS = (
    dict.fromkeys("0123456789", _BY_DIGIT)
    | dict.fromkeys(string.ascii_letters, _BY_LETTER)
    | dict.fromkeys(".$€£", _BY_NUMBER_MARK)
)


def pieces(sentence: str) -> list[Piece]:
    """The sentence in pieces, in reading order; spaces are left out."""
    plain = _with_points(sentence.translate(_MARKS))
    found: list[Piece] = []
    place = 0
    while place < len(plain):
        if plain[place] == " ":
            place += 1
            continue
        piece = _BEGINNINGS.get(plain[place], _BY_MARK).match(plain, place)
        if piece:
            found.append(Piece(str(piece.lastgroup), place, piece.end(), piece[0]))
        place = piece.end() if piece else place + 1
    return found
