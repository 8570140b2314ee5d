"""Remember the one question that was asked back, and fit the answer to it into what was said before."""

import re
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from forum_bot import certainty

MINUTES = 10
_MOST_KEPT = 10_000
_LONGEST_ANSWER = 60

YES = re.compile(r"(?:yes|yep|yeah|yup|y|correct|right|both|they are|it is|exactly)\b[\s!.,]*", re.IGNORECASE)
NO = re.compile(r"(?:no|nope|nah|n|neither)\b[\s!.,]*", re.IGNORECASE)
_BEGINS = re.compile(
    r"(?:it's|its|it is|it was|they're|they are|i have|i've got|about|was|were|with)\s+", re.IGNORECASE
)

_SIZE = r"(?:LT|P)?\d{1,3}[\d.,xX*/ -]{1,9}(?:Z?R|-|x|/)? ?\d{2}(?:\.5)?(?:LT|C)?"
_HEIGHT = r"(?:2[4-9]|[34]\d|5[0-4])(?:[.,]\d{1,2})?"
_RATIO = r"\d{1,2}[.,]\d{1,3}|\d{1,2}/\d{1,2}|\d(?=\s*(?::\s*1|to 1)?$)"
_NUMBER = r"\d{1,3}(?:[ ,]?\d{3})*(?:[.,]\d{1,3})?"


@dataclass(frozen=True)
class Asked:
    """A thing that can be asked for: the open question, what an answer looks like, and how it is put into words.

    `said` takes the number of the answer; a thing without `said` is a field and is sent as it stands.
    """

    question: str
    looks: re.Pattern[str]
    said: str = ""


def _looks(number: str, behind: str) -> re.Pattern[str]:
    return re.compile(rf"(?P<number>{number})\s*(?:{behind})?[\s!.?]*", re.IGNORECASE)


_TYRE = rf"(?P<size>{_SIZE})|(?P<number>{_HEIGHT})\s*(?:'?s|in(?:ch(?:es)?)?|\")?"
_OF_GEAR = r":\s*1|to 1|first(?: gear)?|1st(?: gear)?|low(?: range)?|top(?: gear)?|od|overdrive|gears?|'?s"

ASKED: Mapping[str, Asked] = {
    "tyre": Asked(
        "Which tyre is fitted: a size such as 35x12.50R17LT, or a height such as 35 in?",
        re.compile(rf"(?:{_TYRE})(?:\s*(?:tires?|tyres?))?[\s!.?]*", re.IGNORECASE),
        "{} tires",
    ),
    "original_tyre": Asked(
        "Which tyre was there before: a size such as 265/70R17, or a height such as 31 in?",
        re.compile(rf"(?:{_TYRE})(?:\s*(?:tires?|tyres?))?[\s!.?]*", re.IGNORECASE),
        "stock tires were {}",
    ),
    "axle_ratio": Asked(
        "What is the axle ratio, such as 4.10 gears?",
        _looks(_RATIO, r"'?s|gears?|axles?|diffs?|:\s*1|(?:axle |final drive )?ratio"),
        "{} axle ratio",
    ),
    "first_gear": Asked("What is first gear, such as 3.83 first?", _looks(_RATIO, _OF_GEAR), "{} first gear"),
    "low_range": Asked("What is the low range, such as 2.72 low?", _looks(_RATIO, _OF_GEAR), "{} low range"),
    "top_gear": Asked("What is top gear, such as 0.83 overdrive?", _looks(r"\d?[.,]?\d{1,3}", _OF_GEAR), "{} top gear"),
    "vehicle_mass": Asked(
        "What does the vehicle weigh as driven, such as 5300 lb?",
        re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>lbs?|pounds|kg|t|tons?|tonnes?)?[\s!.?]*", re.IGNORECASE),
        "weighs {}",
    ),
    "gear_ratios": Asked(
        "Which gears has the gearbox, first to top, such as 3.83, 2.33, 1.44, 1, 0.79?",
        re.compile(r"(?P<number>\d[\d.,;/\s-]*)[!?]*"),
        "gearbox {}",
    ),
}  # fmt: skip

_FIELD = re.compile(r"(?P<number>-?\d[\d.,]{0,8}) ?(?P<unit>[A-Za-z][A-Za-z0-9/ -]{0,11})?[\s!.?]*")
_OF_A_FIELD = {
    "engine_displacement": "How large is the engine, such as 3.6 L?",
    "peak_power": "What is the engine's peak power, such as 215 hp?",
    "peak_power_speed": "At which engine speed is peak power, such as 5000 rpm?",
    "peak_torque": "What is the engine's peak torque, such as 260 lb-ft?",
    "peak_torque_speed": "At which engine speed is peak torque, such as 3200 rpm?",
    "descent_grade_percent": "How steep is the hill in percent, such as 20 %?",
    "propshaft_run": "How far apart are the joints of the propeller shaft, measured level, such as 48 in?",
    "propshaft_drop": "How much higher is its front joint than its rear joint, such as 9 in?",
    "housing_drop": "How far below the axle's centre does its housing reach, such as 5 in?",
    "ring_gear_diameter": "How large is the ring gear across, such as 8.5 in?",
    "original_axle_ratio": "Which axle ratio was there before, such as 3.73?",
    "front_tyre": "Which tyre is on the front axle, such as 35 in?",
    "rear_tyre": "Which tyre is on the rear axle, such as 35 in?",
    "front_axle_ratio": "What is the ratio of the front axle, such as 4.10?",
    "rear_axle_ratio": "What is the ratio of the rear axle, such as 4.10?",
}

KINDS_OF_RATIO = {
    "axle": "axle_ratio", "diff": "axle_ratio", "final": "axle_ratio", "first": "first_gear", "1st": "first_gear",
    "low": "low_range", "transfer": "low_range", "case": "low_range",
}  # fmt: skip

_WORDS = {
    "gear_ratios": "gearbox ratios", "descent_grade_percent": "grade of the hill",
    "housing_drop": "depth of the axle housing", "propshaft_run": "run of the propeller shaft",
    "propshaft_drop": "drop of the propeller shaft",
}  # fmt: skip


def words_for(name: str) -> str:
    """Return the name of a field as people say it."""
    return _WORDS.get(name, name.removesuffix("_percent").replace("_", " "))


def question_for(about: str) -> str:
    """Return the open question for a slot of the sentence or a field of the build."""
    if about in ASKED:
        return ASKED[about].question
    return _OF_A_FIELD.get(about, f"What is the {words_for(about)}?")


@dataclass(frozen=True)
class Offer:
    """A number of the sentence that the question named, and where it stands."""

    text: str
    start: int
    end: int


@dataclass(frozen=True)
class Pending:
    """What was said so far, and the one question that waits for an answer.

    `about` is what is asked for, `kind` how (open, confirm, choose, name, or none: no question waits), `fields` what
    earlier answers gave.
    """

    sentence: str
    about: str
    kind: str = "open"
    offers: tuple[Offer, ...] = ()
    fields: Mapping[str, str] = field(default_factory=dict)

    def answered(self, text: str, units: str = "us") -> "Pending | None":
        """Return what is said now that the question is answered; None if the text does not answer it.

        After "no" the open question takes the place of the one that offered numbers. Anybody may ask how sure that
        is instead of an answer.
        """
        said = _BEGINS.sub("", " ".join(text.split()), count=1)
        if len(said) > _LONGEST_ANSWER:
            return None
        if certainty.is_asked_alone(said):
            asked = f"{self.sentence.rstrip(' .?!')}. How sure is that?"
            return replace(self, sentence=asked, about="", kind="open", offers=())
        if self.kind == "none":
            return None
        if self.kind == "confirm" and YES.fullmatch(said):
            return self._confirmed(units)
        if self.kind == "confirm" and NO.fullmatch(said):
            return replace(self, kind="open", offers=())
        if self.kind == "choose":
            return self._chosen(said)
        if self.kind == "name":
            return self._named(said)
        return self._filled(said, units)

    def without_question(self) -> "Pending":
        """Return what was said, where nothing is left to ask: somebody may still ask how sure that is."""
        return replace(self, about="", kind="none", offers=())

    def _confirmed(self, units: str) -> "Pending":
        asked = ASKED[self.about]
        words = [asked.said.format(_with_unit(self.about, offer.text, units)) for offer in self.offers]
        if len(words) == 2:
            words = [f"from {words[0]}", f"to {words[1]}"]
        return self._with(dict(zip(self.offers, words, strict=True)))

    def _chosen(self, said: str) -> "Pending | None":
        wanted = re.match(r"[^\d]{0,12}(\d[\d.,/xR]*)", said)
        matching = [offer for offer in self.offers if wanted and offer.text.startswith(wanted[1])]
        if len(matching) != 1:
            return None
        return self._with({offer: "" for offer in self.offers if offer != matching[0]})

    def _named(self, said: str) -> "Pending | None":
        about = next((name for word, name in KINDS_OF_RATIO.items() if word in said.casefold()), None)
        if about is None:
            return None
        return self._with({offer: ASKED[about].said.format(offer.text) for offer in self.offers})

    def _filled(self, said: str, units: str) -> "Pending | None":
        asked = ASKED.get(self.about)
        found = (asked.looks if asked else _FIELD).fullmatch(said)
        if not found:
            return None
        value = (found.groupdict().get("size") or found["number"]).strip(" ,.")
        if asked:
            unit = found.groupdict().get("unit")
            words = asked.said.format(f"{value} {unit}" if unit else _with_unit(self.about, value, units))
            return replace(self, sentence=f"{self.sentence.rstrip(' .?!')}. {words}", about="", offers=())
        value = f"{value} {found['unit'].strip()}" if found["unit"] else value
        return replace(self, fields={**self.fields, self.about: value}, about="", offers=())

    def _with(self, instead: Mapping[Offer, str]) -> "Pending":
        """Return the sentence with other words for some of the numbers, from the last to the first."""
        sentence = self.sentence
        for offer in sorted(instead, key=lambda one: -one.start):
            sentence = f"{sentence[: offer.start]} {instead[offer]} {sentence[offer.end :]}"
        return replace(self, sentence=sentence, about="", kind="open", offers=())


def _with_unit(about: str, value: str, units: str) -> str:
    """Return a bare height in inches, and a bare mass in the unit that the bot answers in."""
    if about in ("tyre", "original_tyre") and re.fullmatch(r"[\d.,]+", value):
        return f"{value} in"
    mass = "lb" if units == "us" else "kg"
    return f"{value} {mass}" if about == "vehicle_mass" else value


class Memory:
    """Keeps what waits for an answer by its key for ten minutes; the oldest go first where there are too many."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self._now = now
        self._kept: OrderedDict[tuple[str, ...], tuple[float, Pending]] = OrderedDict()
        self._lock = threading.Lock()

    def recall(self, key: tuple[str, ...]) -> Pending | None:
        """Return what waits for an answer."""
        with self._lock:
            until, pending = self._kept.get(key, (0.0, None))
            return pending if self._now() < until else None

    def keep(self, key: tuple[str, ...], pending: Pending | None) -> None:
        """Keep what now waits for an answer, or forget what did."""
        with self._lock:
            self._kept.pop(key, None)
            if pending:
                self._kept[key] = (self._now() + 60.0 * MINUTES, pending)
            if len(self._kept) > _MOST_KEPT:
                self._kept.popitem(last=False)
