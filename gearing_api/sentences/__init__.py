"""A forum sentence read into a build: what was understood and where, what convention filled in, what is left.

A number counts only where something beside it says what it is: a mark, a unit or a cue. Any other is left
over, with a reason. Where two tyres or two axle ratios are named, words of direction tell which was there
before; where they do not tell, neither is taken and the sentence is asked back.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from gearing_api.sentences.candidates import Claim, Named, Unused, outcomes
from gearing_api.sentences.follow_up import FollowUp, Known, follow_up, question_asked
from gearing_api.sentences.links import GEARS, NUMERIC
from gearing_api.sentences.statements import statements
from gearing_api.sentences.tokens import BEFORE, STAYS, pieces
from gearing_api.vocabulary import FIELDS, FieldError, InvalidBuild, label_of

LONGEST = 500
"""Characters of the longest sentence that is read."""


@dataclass(frozen=True, slots=True)
class Understood:
    """A value of a field, what it is in words, and the place in the sentence that says so."""

    field: str
    what: str
    value: Any
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Sentence:
    """What a sentence says.

    Attributes
    ----------
    build : dict
        Wire values that mean the same in either system of units.
    understood, unused : tuple
        In reading order.
    assumed : tuple of (str, str)
        Field, and what was taken for granted.
    ask : FollowUp or None
        What to ask back where the likeliest question lacks something.
    fits : tuple of str
        The questions that this build answers, the likeliest first.
    asks : str or None
        The question that the writer asks in words.
    """

    build: dict[str, Any]
    understood: tuple[Understood, ...]
    assumed: tuple[tuple[str, str], ...]
    unused: tuple[Unused, ...]
    ask: FollowUp | None
    fits: tuple[str, ...]
    asks: str | None = None


def read(sentence: str) -> Sentence:
    """The build that a sentence describes.

    Raises
    ------
    InvalidBuild
        If it is empty or too long.

    Examples
    --------
    >>> read("from 31s to 35s on 4.10s").build
    {'tyre': '35 in', 'original_tyre': '31 in', 'axle_ratio': 4.1}
    """
    if len(sentence) > LONGEST:
        raise InvalidBuild([FieldError("q", f"is longer than {LONGEST} characters", sentence)])
    if not sentence.strip():
        raise InvalidBuild([FieldError("q", f"is empty: write one sentence of at most {LONGEST} characters")])
    found = pieces(sentence)
    draft = _Draft()
    named: list[Named] = []
    for outcome in outcomes(found):
        if isinstance(outcome, Named):
            named.append(outcome)
        elif isinstance(outcome, Unused):
            draft.unused.append(outcome)
        else:
            draft.claims.setdefault(outcome.slot, []).append(outcome)
    for claim in statements(sentence):
        draft.claims.setdefault(claim.slot, []).append(claim)
    draft.settle()
    draft.leave_words(named)
    words = " ".join(piece.text for piece in found if piece.kind not in NUMERIC)
    ask, fits = follow_up(Known(draft.build, frozenset(draft.settled), draft.unclear, words, draft.unused))
    return Sentence(
        dict(sorted(draft.build.items(), key=lambda said: _PLACES[said[0]])),
        tuple(sorted(draft.understood, key=lambda one: one.start)),
        tuple(dict.fromkeys(draft.assumed)),
        tuple(sorted(draft.unused, key=lambda one: one.start)),
        ask,
        fits,
        question_asked(sentence, weighs="available_ratios" in draft.build),
    )


_PLACES = {name: place for place, name in enumerate(FIELDS)}
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
_WORDS = {slot: f"{ordinal} gear" for slot, ordinal in zip(GEARS, _ORDINALS, strict=True)} | {
    "top": "top gear",
    "low": "low range",
    "high": "high range",
}


_SAID_IN_WORDS = {"differential", "front_differential", "rear_differential", "engine_kind", "gearbox_kind"}


class _Draft:
    """The build while it is put together from claims by slot."""

    def __init__(self) -> None:
        self.claims: dict[str, list[Claim]] = {}
        self.build: dict[str, Any] = {}
        self.understood: list[Understood] = []
        self.assumed: list[tuple[str, str]] = []
        self.unused: list[Unused] = []
        self.unclear: dict[str, list[Any]] = {}
        self.settled: set[str] = set()

    def leave_words(self, named: Iterable[Named]) -> None:
        """Leave over the words for fields that nothing fills in."""
        known = {
            name.removeprefix("front_").removeprefix("rear_").removeprefix("original_") for name in self.build
        }
        spans = [(one.start, one.end) for one in self.understood]
        spans += [(left.start, left.end) for left in self.unused]
        told = {place for start, end in spans for place in range(start, end)}
        self.unused += [
            Unused(one.start, one.end, "is named without a number beside it")
            for one in named
            if one.field not in known and one.start not in told
        ]

    def settle(self) -> None:
        """Take from the claims what is clear."""
        for slot in ("tyre", "axle_ratio"):
            self._both_sides(slot, self.claims.pop(slot, []))
        gears = {slot: claim for slot in (*GEARS, "top") if (claim := self._one(slot))}
        ranges = {slot: claim for slot in ("high", "low") if (claim := self._one(slot))}
        for slot in list(self.claims):
            if claim := self._one(slot):
                self._take(slot, claim)
        self._gearbox(gears)
        self._ranges(ranges)

    def _take(self, field: str, claim: Claim, what: str = "") -> None:
        self.build[field] = claim.value
        self._tell(field, claim, what or label_of(field))

    def _tell(self, field: str, claim: Claim, what: str) -> None:
        self.understood += [Understood(field, what, claim.value, *place) for place in claim.places]
        if claim.convention:
            self.assumed.append((field, claim.convention))

    def _leave(self, claims: Iterable[Claim], reason: str) -> None:
        self.unused += [Unused(*place, reason) for claim in claims for place in claim.places]

    def _one(self, slot: str) -> Claim | None:
        """The claim on a slot that comes last; None where there is none or more than one."""
        claims = self.claims.pop(slot, [])
        if not claims:
            return None
        last, others = _latest(claims)
        if last[0].rank == BEFORE and last[0].slot in _SAID_IN_WORDS:
            last, others = [], last
        self._leave(others, "tells what was before, which is not asked")
        if len(last) > 1:
            self.unclear[slot] = [claim.value for claim in last]
            self._leave(last, f"is one of several for {_WORDS.get(slot, slot.replace('_', ' '))}: say which")
        return last[0] if len(last) == 1 else None

    def _both_sides(self, slot: str, claims: list[Claim]) -> None:
        """Front and rear apart where both are named, else as one."""
        if len({str(claim.value) for claim in claims}) == 1 and len({claim.rank for claim in claims}) == 1:
            claims = [replace(claim, side="") for claim in claims if len(claims) > 1] or claims
        sides = {claim.side for claim in claims}
        if {"front", "rear"} <= sides:
            for side in ("front", "rear"):
                self._before_and_after(slot, f"{side}_", [claim for claim in claims if claim.side == side])
            claims = [claim for claim in claims if not claim.side]
            self._leave(
                (claim for claim in claims if claim.rank > STAYS), f"is a third {slot.replace('_', ' ')}"
            )
            claims = [claim for claim in claims if claim.rank <= STAYS]
        elif side := "".join(sides):
            self.assumed.append((slot, f"only the {side} is named: front and rear are taken as alike"))
        self._before_and_after(slot, "", claims)

    def _before_and_after(self, slot: str, side: str, claims: list[Claim]) -> None:
        """The claims on one thing that may have changed."""
        words = f"{side}{slot}".replace("_", " ")
        last, others = _latest(claims)
        if len(last) == 1:
            alone = not others and last[0].rank == BEFORE and not side
            if alone and slot == "tyre":
                last, others = [], last
            else:
                self._take(f"{side}{slot}", last[0], words)
                if alone:
                    self.assumed.append((slot, "no other axle ratio is named: it is taken as still fitted"))
        elif last:
            self.unclear[f"{side}{slot}"] = [claim.value for claim in last]
            self._leave(last, f"is one of several for {words}: say which is fitted")
        if len(others) == 1 and not side:
            self._take(f"original_{slot}", others[0], f"{words} before")
        else:
            self._leave(others, f"is one of several for {words} before: say which")

    def _gearbox(self, gears: dict[str, Claim]) -> None:
        """The gears that are named as a list, first to top."""
        if "gear_ratios" in self.build:
            self.settled |= {"first", "top"}
            self._leave(gears.values(), "is in the gearbox already")
            return
        ratios = [claim.value for claim in gears.values()]
        if any(later >= earlier for earlier, later in pairwise(ratios)):
            self._leave(gears.values(), "contradicts another gear: ratios fall from first to top")
            return
        if not gears:
            return
        self.build["gear_ratios"] = ratios
        for slot, claim in gears.items():
            self._tell("gear_ratios", claim, _WORDS[slot])
        if GEARS[0] in gears:
            self.settled.add("first")
        if "top" in gears:
            self.settled.add("top")
        elif ratios[-1] <= 1.0:
            self.settled.add("top")
            self.assumed.append(("gear_ratios", "the last gear that is named is taken as top gear"))
        if list(gears)[:4] != list(GEARS[:4]):
            self.assumed.append(("gear_ratios", "holds only the gears that are named"))

    def _ranges(self, ranges: dict[str, Claim]) -> None:
        """High and low range; high is direct where it is not named."""
        if "low" not in ranges:
            self._leave(ranges.values(), "is the high range, with no low range named")
            return
        high = ranges["high"].value if "high" in ranges else 1
        if high >= ranges["low"].value:
            self._leave(ranges.values(), "contradicts the other range: low is the larger ratio")
            return
        self.build["transfer_ratios"] = [high, ranges["low"].value]
        self.settled.add("low")
        for slot, claim in ranges.items():
            self._tell("transfer_ratios", claim, _WORDS[slot])
        if "high" not in ranges:
            self.assumed.append(("transfer_ratios", "high range is taken as direct, 1"))


def _latest(claims: list[Claim]) -> tuple[list[Claim], list[Claim]]:
    """The claims of the highest rank, and the others; what is said twice is one claim."""
    alike: dict[tuple[int, str], list[Claim]] = {}
    for claim in claims:
        alike.setdefault((claim.rank, str(claim.value)), []).append(claim)
    once = [
        replace(first, again=tuple((claim.start, claim.end) for claim in more))
        for first, *more in alike.values()
    ]
    highest = max((claim.rank for claim in once), default=BEFORE)
    return (
        [claim for claim in once if claim.rank == highest],
        [claim for claim in once if claim.rank != highest],
    )
