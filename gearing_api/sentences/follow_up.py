"""Which questions a sentence's build answers, and what to ask back where the likeliest lacks something."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from gearing_api.sentences.candidates import Unused
from gearing_api.sentences.links import looks_like_axle, looks_like_height, looks_like_low
from gearing_api.sentences.tokens import Piece


@dataclass(frozen=True)
class Known:
    """What is known of a sentence: the build, the parts of lists that are settled, values that are one of
    several by field, and what is left over."""

    build: Mapping[str, Any]
    settled: frozenset[str]
    unclear: Mapping[str, Sequence[Any]]
    words: str
    unused: Sequence[Unused]

    def has(self, name: str) -> bool:
        """Whether the field, the gear or the range is known, or something there was before."""
        if name == "before":
            return "original_tyre" in self.build or "original_axle_ratio" in self.build
        if name == "tyres":
            return "tyre" in self.build or "rear_tyre" in self.build
        if name == "axle_ratios":
            return "rear_axle_ratio" in self.build or {"axle_ratio", "rear_tyre"} <= self.build.keys()
        return name in self.build or name in self.settled


@dataclass(frozen=True)
class FollowUp:
    """What to ask back: the question in words, what it asks about, and the places of the numbers it offers.

    `kind` is open, confirm (is the number this?), choose (which of these?) or name (what is this number?).
    """

    question: str
    about: str
    kind: str = "open"
    offers: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class _Likely:
    """A question, the words that ask for it, what it must have, and what it is worth asking for."""

    question: str
    words: re.Pattern[str]
    needs: tuple[str, ...]
    wants: tuple[str, ...] = ()


def _asked_by(words: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{words})", re.IGNORECASE | re.ASCII)


# In the order in which a build suggests them, where no word does.
_LIKELY = (
    _Likely("axle-match", _asked_by("mismatch|wind ?up|bind"), ("axle_ratios", "tyres")),
    _Likely("final-drive", _asked_by("feels? like|restore|back to stock"), ("tyre", "axle_ratio", "before")),
    _Likely("crawl", _asked_by("crawl|creep"), ("tyre", "axle_ratio", "first"), ("low",)),
    _Likely("road-speed", _asked_by("rpms?\\b|revs?\\b|turning"), ("tyre", "axle_ratio", "top")),
    _Likely(
        "regear",
        _asked_by("(?:what|which) (?:axle |gear )?(?:gears|ratios?)"),
        ("tyre", "original_tyre", "axle_ratio", "top"),
    ),
    _Likely("cruise", _asked_by("hold|pull|climb"), ("tyre", "axle_ratio", "top", "vehicle_mass")),
    _Likely("speedometer", _asked_by("speedo|odo"), ("tyre", "original_tyre")),
    _Likely("tyre", _asked_by("how (?:tall|wide|big)"), ("tyre",)),
)


# What the writer asks, the plainest words first; each is one question's name.
_ASKS: tuple[tuple[str, re.Pattern[str]], ...] = (
    (
        "descent",
        _asked_by("(?:holds?|go|goes|going|driv\\w+|comes?) .{0,20}down(?:hill)? |downhill|engine brak"),
    ),
    ("axle-match", _asked_by("bind|wind ?up|mismatch")),
    ("speedometer", _asked_by("speedo|odo(?:meter)?\\b")),
    (
        "axle-loads",
        _asked_by("(?:what|which|how much) (?:tire |tyre )?(?:pressure|air|psi)|tip(?:ping)? over"),
    ),
    (
        "axle-check",
        _asked_by(
            "(?:what|which) .{0,12}break|weakest|strong enough"
            "|will .{0,60}(?:hold up|hold\\b|live|survive|break|snap)"
        ),
    ),
    ("ring-gear-load", _asked_by("ring gear .{0,12}(?:ok|hold|survive|load)")),
    ("acceleration", _asked_by("0 ?(?:-|to) ?60|how quick|accelerat|overtak")),
    ("fuel", _asked_by("mpg|fuel (?:economy|use)|consumption|mileage hit")),
    (
        "final-drive",
        _asked_by(
            "back to stock|feels? (?:like )?stock|restore|need new gears|need to regear"
            "|(?:should|do) i regear"
        ),
    ),
    ("crawl", _asked_by("crawl|creep|how slow")),
    ("cruise", _asked_by("(?:can|will|does) it (?:hold|pull|climb)|(?:hold|pull) \\d+")),
    ("regear", _asked_by("(?:what|which) (?:axle |gear |diff )?(?:gears?|ratios?|one)\\b|better ratio")),
    (
        "road-speed",
        _asked_by("(?:what|whats|what's)(?: are)?(?: my| the)? (?:rpms?|revs)|how fast|rpms? at|what rpm"),
    ),
    (
        "braking",
        _asked_by(
            "(?:what|how|do|does|will|are)\\b.{0,40}\\bbrak(?:es?|ing)\\b|^brak(?:es?|ing)\\b|stopping distance"
        ),
    ),
    (
        "driveline",
        _asked_by(
            "(?:drive ?line|drive ?shaft|prop ?shaft|pinion) (?:angles?|vibrat\\w+|speed)|vibrat\\w+ .{0,20}lift"
        ),
    ),
    ("clearance", _asked_by("clearance|how much lift")),
    ("tyre", _asked_by("how (?:tall|wide|big)")),
)


# One of these stands in whatever asks; most sentences have none.
_MAY_ASK = _asked_by(
    "what|which|how|will|can|does|do i|should|down|engine brak|bind|wind ?up|mismatch|speedo|odo|tip|weakest|"
    "strong|ring gear|0 ?(?:-|to) ?60|accelerat|overtak|mpg|fuel|consum|mileage|back to|feels?|restor|need|"
    "crawl|creep|holds?|pull|better|rpms? at|clearance|brak|stopping|drive ?line|shaft|pinion|vibrat"
)


def question_asked(sentence: str, *, weighs: bool) -> str | None:
    """The question that a writer asks in words, or by weighing ratios; None where no words do."""
    asking = _MAY_ASK.search(sentence)
    found = next((name for name, words in _ASKS if words.search(sentence)), None) if asking else None
    return found or ("regear" if weighs else None)


def follow_up(known: Known) -> tuple[FollowUp | None, tuple[str, ...]]:
    """The one thing to ask back, if any, and the questions that can be answered, the likeliest first."""
    worded = [likely for likely in _LIKELY if likely.words.search(known.words)]
    order = [*worded, *(likely for likely in _LIKELY if likely not in worded)]
    fits = tuple(likely.question for likely in order if all(map(known.has, likely.needs)))
    likeliest = worded[0] if worded else _suggested(known)
    lacking = [name for name in likeliest.needs + likeliest.wants if not known.has(name)]
    return (_in_words(lacking[0], known) if lacking else _leftover(known)), fits


def _suggested(known: Known) -> _Likely:
    """The question that what is there is most of."""
    suggestions = {
        "axle-match": "rear_axle_ratio" in known.build or "rear_tyre" in known.build,
        "final-drive": known.has("before"),
        "crawl": known.has("first") or known.has("low"),
        "road-speed": known.has("top") or known.has("cruise_speed"),
    }
    name = next((name for name, suggested in suggestions.items() if suggested), "final-drive")
    return next(likely for likely in _LIKELY if likely.question == name)


@dataclass(frozen=True)
class _Missing:
    """What may be missing: its name, the open question for it, and how numbers that could be it are offered."""

    about: str
    question: str
    could_be: Callable[[Piece], bool] = lambda _: False
    offer: str = ""
    offer_of_two: str = ""


_BEFORE = _Missing(
    "original_tyre",
    "Which tyre was there before: a size such as 265/70R17, or a height such as 31 in?",
    looks_like_height,
    "the height in inches of the tyre before",
)
_MISSING = {
    "tyre": _Missing(
        "tyre",
        "Which tyre is fitted: a size such as 35x12.50R17LT, or a height such as 35 in?",
        looks_like_height,
        "the height of the tyre in inches",
        "the heights of the tyres in inches",
    ),
    "tyres": _Missing("tyre", "Which tyre is fitted, such as 35x12.50R17LT?"),
    "original_tyre": _BEFORE,
    "before": _BEFORE,
    "axle_ratio": _Missing(
        "axle_ratio",
        "What is the axle ratio, such as 4.10 gears?",
        looks_like_axle,
        "the axle ratio",
        "axle ratios",
    ),
    "axle_ratios": _Missing("axle_ratios", "What are the axle ratios, such as 4.10 front and 4.11 rear?"),
    "first": _Missing("first_gear", "What is first gear, such as 3.83 first?", looks_like_axle, "first gear"),
    "low": _Missing("low_range", "What is the low range, such as 2.72 low?", looks_like_low, "the low range"),
    "top": _Missing("top_gear", "What is top gear, such as 0.83 overdrive?"),
    "vehicle_mass": _Missing("vehicle_mass", "What does the vehicle weigh as driven, such as 5300 lb?"),
}


def _in_words(name: str, known: Known) -> FollowUp:
    """The question for what is missing; what is one of several, or left over and could be it, is offered."""
    missing, key = _MISSING[name], "tyre" if name == "before" else name
    if several := known.unclear.get(key):
        words = f"is one of several for {key.replace('_', ' ')}:"
        places = tuple((left.start, left.end) for left in known.unused if left.reason.startswith(words))
        return FollowUp(
            f"Which is it: {', or '.join(map(_shown, several))}?", missing.about, "choose", places
        )
    offered = [piece for piece in _bare(known) if missing.could_be(piece)]
    places = tuple((piece.start, piece.end) for piece in offered)
    if len(offered) == 1:
        return FollowUp(f"Is {_printed(offered[0])} {missing.offer}?", missing.about, "confirm", places)
    if len(offered) == 2 and missing.offer_of_two:
        before, after = map(_printed, offered)
        asks = f"Are {before} and {after} {missing.offer_of_two}, before and after?"
        return FollowUp(asks, missing.about, "confirm", places)
    return FollowUp(missing.question, missing.about)


def _leftover(known: Known) -> FollowUp | None:
    """The question for the only ratio that is left over, where nothing is lacking."""
    offered = [piece for piece in _bare(known) if looks_like_axle(piece)]
    if len(offered) != 1:
        return None
    asks = f"What is {_printed(offered[0])}: an axle ratio, first gear, or low range?"
    return FollowUp(asks, "ratio", "name", ((offered[0].start, offered[0].end),))


def _bare(known: Known) -> list[Piece]:
    return [left.bare for left in known.unused if left.bare is not None]


def _shown(value: Any) -> str:
    return f"{value:.2f}" if isinstance(value, float) else str(value)


def _printed(piece: Piece) -> str:
    return f"{piece.numbers[0]:.{piece.decimals}f}"
