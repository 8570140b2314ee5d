"""Which pieces of a sentence belong together: number and cue, runs of gears, pairs, and the way of a change.

A cue belongs to the number beside it. Where numbers and cues alternate they are paired from the first on:
"3.83 first 2.72 low" as well as "first 3.83 low 2.72". A number between two cues, with no other number to
share them, could belong to either.
"""

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass

from gearing_api.sentences.tokens import AFTER, BEFORE, CUES, DIRECTIONS, NUMBERS, PLAIN, SIZES, Piece

NUMERIC = SIZES.keys() | NUMBERS.keys() | {"number", "blob"}
"""The kinds of pieces with a number in them."""

GEARS = tuple(cue for cue in CUES if cue.startswith("gear_"))
"""The cues of the gears by number, first gear first."""

LOWEST, TALLEST = 24.0, 54.0
"""Heights in inches that are tyres beyond doubt."""

_BARE = ("number", "ratio")
_ADVERBS = {
    "stock", "original", "originally", "factory", "oem", "now", "currently", "today", "before", "previously",
    "old", "new", "after", "later",
}  # fmt: skip
_ARROWS = {"to", ">", "->", "=>"}
_EQUALS = {"=", "(", "~", "aka"}
_GLUE = {"is", "of", "are", "at", "about", "around", "my", "the", "a", "an", ":", "=", "~", "(", "-"}
_GLUE_BEHIND = {"(", "-"}
# What stands before "for" and "with" goes, where one of these verbs came before.
_EXCHANGES = {"for": ("swap", "trad"), "with": ("replac",)}
_JOINS = {",", "/", "-"}
_STOPS = {",", ";", ".", "!", "?", ")", "and", "but", "or"}
_DRIVEN_IN = {"in", "into", "using"}
_DRIVEN = {*GEARS, "top", "low", "high", "unclear"}


@dataclass(frozen=True)
class Relations:
    """What belongs together, by places in the list of pieces.

    Attributes
    ----------
    cues : mapping
        The cue of each number that has one.
    doubtful : container
        Numbers between two cues.
    gearboxes : mapping
        The places of all ratios of a gearbox, by the first.
    cued_gearboxes : container
        Those which a cue names as such.
    repeated : container
        Heights that say again how tall the tyre size beside them is.
    axle_pairs : container
        Bare numbers that are axle ratios because of where they stand: from 3.73 to 4.56.
    ranks : list
        The direction that holds at each place.
    """

    cues: Mapping[int, Piece]
    doubtful: Container[int]
    gearboxes: Mapping[int, list[int]]
    cued_gearboxes: Container[int]
    repeated: Container[int]
    axle_pairs: Container[int]
    ranks: list[int]


def relations(found: list[Piece]) -> Relations:
    """What belongs together in a sentence."""
    gearboxes, gearbox_cues = _gearboxes(found)
    repeated = _repeated(found)
    in_gearbox = {place for run in gearboxes.values() for place in run}
    cues, doubtful = _cues(found, in_gearbox | repeated | set(gearbox_cues.values()))
    pairs = _axle_pairs(found, cues, in_gearbox | doubtful)
    return Relations(cues, doubtful, gearboxes, gearbox_cues, repeated, pairs, _ranks(found))


def looks_like_axle(piece: Piece) -> bool:
    """Whether a bare number is printed as axle ratios are."""
    return piece.kind in _BARE and piece.decimals == 2 and 2.0 <= piece.numbers[0] <= 8.0


def looks_like_low(piece: Piece) -> bool:
    """Whether a bare number could be the low range of a transfer case."""
    return piece.kind in _BARE and 1.5 <= piece.numbers[0] <= 6.0


def looks_like_height(piece: Piece) -> bool:
    """Whether a bare number could be the height of a trail tyre in inches."""
    return piece.kind == "number" and piece.decimals < 2 and 26.0 <= piece.numbers[0] <= 46.0


def is_axle_plural(piece: Piece) -> bool:
    """4.10s."""
    return piece.kind == "plural" and piece.decimals > 0 and 2.0 <= piece.numbers[0] < 10.0


def is_tyre_plural(piece: Piece) -> bool:
    """35s."""
    return piece.kind == "plural" and LOWEST <= piece.numbers[0] <= TALLEST


# Numbers and cues


def _cues(found: list[Piece], taken: Container[int]) -> tuple[dict[int, Piece], set[int]]:
    cues: dict[int, Piece] = {}
    doubtful: set[int] = set()
    for chain in _chains(found, taken):
        cue_first = found[chain[0]].kind in CUES
        if cue_first and len(chain) % 2 and len({found[place].kind for place in chain[::2]}) > 1:
            doubtful.update(chain[1::2])
            continue
        for one, other in zip(chain[::2], chain[1::2], strict=False):
            number, cue = (other, one) if cue_first else (one, other)
            cues[number] = found[cue]
    return cues, doubtful


def _chains(found: list[Piece], taken: Container[int]) -> Iterator[list[int]]:
    """Places of numbers and cues that alternate with nothing but glue between them."""
    chain: list[int] = []
    glue: list[str] = []
    for place, piece in enumerate(found):
        if place not in taken and (piece.kind in NUMERIC or _names(found, place)):
            if chain and not _belong(found[chain[-1]], glue, piece):
                yield chain
                chain = []
            chain.append(place)
            glue = []
        elif chain and piece.word in _GLUE and len(glue) < 2:
            glue.append(piece.word)
        elif chain:
            yield chain
            chain, glue = [], []
    if chain:
        yield chain


def _names(found: list[Piece], place: int) -> bool:
    """Whether the piece is a cue that may name a number; "in low range" only says where one drives."""
    driven = place > 0 and found[place - 1].word in _DRIVEN_IN and found[place].kind in _DRIVEN
    return found[place].kind in CUES and not driven


def _belong(one: Piece, glue: list[str], other: Piece) -> bool:
    if one.kind in CUES:
        return other.kind not in CUES and _suits(one.kind, other)
    return other.kind in CUES and _suits(other.kind, one) and all(word in _GLUE_BEHIND for word in glue)


def _suits(cue: str, piece: Piece) -> bool:
    """Whether the cue can speak of a number that looks like this."""
    kind = piece.kind
    if cue in ("front", "rear"):
        return kind in SIZES or kind in ("number", "ratio", "plural", "height")
    if cue == "tyre":
        return kind in SIZES or kind in ("number", "height") or is_tyre_plural(piece)
    if cue == "grade":
        return kind == "percent"
    if cue in ("idle", "redline"):
        return kind in ("number", "rotation")
    return kind in _BARE or (cue == "axle" and (kind == "short" or is_axle_plural(piece)))


# Several numbers that are one thing


def _gearboxes(found: list[Piece]) -> tuple[dict[int, list[int]], dict[int, int]]:
    """Runs of falling numbers that are gearboxes, and the places of their cues, by the first number."""
    runs: dict[int, list[int]] = {}
    cues: dict[int, int] = {}
    place = 0
    while place < len(found):
        run = _falling(found, place)
        cue = _gearbox_cue(found, run) if len(run) >= 3 else None
        if cue is not None:
            cues[place] = cue
        if cue is not None or _is_gearbox(found, run):
            runs[place] = run
        place = run[-1] + 1 if run else place + 1
    return runs, cues


def _falling(found: list[Piece], place: int) -> list[int]:
    """Places of bare numbers, each smaller than the one before, with one mark between two."""
    run = [place] if found[place].kind == "number" and found[place].numbers[0] <= 20.0 else []
    while run and len(run) < 12 and run[-1] + 2 < len(found):
        mark, other = found[run[-1] + 1], found[run[-1] + 2]
        falls = other.kind == "number" and 0.2 <= other.numbers[0] < found[run[-1]].numbers[0]
        if mark.word not in _JOINS or not falls:
            break
        run.append(run[-1] + 2)
    return run


def _gearbox_cue(found: list[Piece], run: list[int]) -> int | None:
    before = run[0] - 1
    if before > 0 and found[before].word in _GLUE:
        before -= 1
    for place in (before, run[-1] + 1):
        if 0 <= place < len(found) and (found[place].kind == "gearbox" or found[place].word == "gears"):
            return place
    return None


def _is_gearbox(found: list[Piece], run: list[int]) -> bool:
    """Whether nothing else than a gearbox falls like this."""
    if len(run) < 4 or (len(run) < 5 and found[run[0] + 1].word == ","):
        return False
    return found[run[0]].numbers[0] >= 2.0 and found[run[-1]].numbers[0] <= 1.2


def _repeated(found: list[Piece]) -> set[int]:
    """Heights beside a size: 275/70R16 = 31.2 in, 33s (285/70R17)."""
    repeated: set[int] = set()
    for place in range(1, len(found) - 1):
        if found[place].word in _EQUALS:
            for one, other in ((place - 1, place + 1), (place + 1, place - 1)):
                is_size = found[one].kind in SIZES and found[one].kind != "outline"
                if is_size and (found[other].kind == "height" or is_tyre_plural(found[other])):
                    repeated.add(other)
    return repeated


def _axle_pairs(found: list[Piece], cues: Mapping[int, Piece], taken: Container[int]) -> set[int]:
    pairs: set[int] = set()
    for place, piece in enumerate(found):
        if piece.word not in _ARROWS or not 0 < place < len(found) - 1:
            continue
        left = place - 2 if found[place - 1].kind == "axle" else place - 1
        ends = [end for end in (left, place + 1) if end not in taken and _may_be_axle(found, end, cues)]
        if len(ends) == 2:
            pairs.update(end for end in ends if end not in cues)
    return pairs


def _may_be_axle(found: list[Piece], place: int, cues: Mapping[int, Piece]) -> bool:
    if place < 0 or (place in cues and cues[place].kind != "axle"):
        return False
    return looks_like_axle(found[place]) or is_axle_plural(found[place])


# The way of a change


def _ranks(found: list[Piece]) -> list[int]:
    """The direction at each place: the last that was named, or one that stands right behind."""
    ranks: list[int] = []
    current, said, verb = PLAIN, False, ""
    for place, piece in enumerate(found):
        if verb.startswith(_EXCHANGES.get(piece.word, ("-",))):
            _mark_back(found, ranks, BEFORE)
            current, verb = AFTER, ""
        elif piece.kind in DIRECTIONS:
            rank, _ = DIRECTIONS[piece.kind]
            verb = piece.word
            if _stands_behind(found, place):
                _mark_back(found, ranks, rank)
            elif piece.kind != "have" or not said:
                current, said = rank, True
        elif piece.word in _STOPS:
            said = False
        ranks.append(current)
    return ranks


def _stands_behind(found: list[Piece], place: int) -> bool:
    """Whether the direction speaks of what stands before it: 31s stock, 35s now."""
    if found[place].word not in _ADVERBS or place == 0:
        return False
    ends = place + 1 == len(found) or found[place + 1].word in _STOPS
    return ends and (found[place - 1].kind in NUMERIC or found[place - 1].kind in CUES)


def _mark_back(found: list[Piece], ranks: list[int], rank: int) -> None:
    """Give the rank to the places back to the last stop or direction."""
    for place in range(len(ranks) - 1, -1, -1):
        if found[place].kind in DIRECTIONS or found[place].word in _STOPS:
            break
        ranks[place] = rank
