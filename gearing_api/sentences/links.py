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

DEEPEST = 7.2
"""Axle ratios that are no ring gear's size in inches: 7.25, 7.5, 8.8 and 9.75 are printed as ratios are."""

_BARE = ("number", "ratio")
FUNCTION_WORDS = {
    "a", "and", "any", "are", "at", "but", "do", "does", "for", "from", "i", "if", "in", "is", "it", "its",
    "my", "on", "or", "so", "thanks", "the", "then", "to", "too", "up", "versus", "vs", "w", "what", "which",
    "will", "with", "worth", "would",
}  # fmt: skip
_ADVERBS = {
    "stock", "original", "originally", "factory", "oem", "now", "currently", "today", "before", "previously",
    "old", "new", "after", "later",
}  # fmt: skip
_ARROWS = {"to", ">", "->", "=>"}
_EQUALS = {"=", "(", "~", "aka"}
_GLUE = {"is", "of", "are", "at", "about", "around", "my", "the", "a", "an", ":", "=", "~", "(", "-"}
_GLUE_BEHIND = {"(", "-"}
# What stands before "for" and "with" goes, where one of these verbs came before.
_EXCHANGES = {"for": ("swap", "trad", "ditch", "chang"), "with": ("replac",), "to": ("chang",)}
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
    options : mapping
        The places of axle ratios that are weighed against each other, by the first: 4.10 or 4.56.
    bare_axles : container
        Bare numbers that are the only ratio of a change beside a tyre: 35s on 3.73.
    ranks : list
        The direction that holds at each place.
    """

    cues: Mapping[int, Piece]
    doubtful: Container[int]
    gearboxes: Mapping[int, list[int]]
    cued_gearboxes: Container[int]
    repeated: Container[int]
    axle_pairs: Container[int]
    options: Mapping[int, list[int]]
    bare_axles: Container[int]
    ranks: list[int]


def relations(found: list[Piece]) -> Relations:
    """What belongs together in a sentence."""
    gearboxes, gearbox_cues = _gearboxes(found)
    repeated = _repeated(found)
    in_gearbox = {place for run in gearboxes.values() for place in run}
    options = _options(found, in_gearbox)
    weighed = {place for run in options.values() for place in run}
    cues, doubtful = _cues(found, in_gearbox | repeated | weighed | set(gearbox_cues.values()))
    taken = in_gearbox | doubtful | weighed
    pairs = _axle_pairs(found, cues, taken)
    ranks = _ranks(found)
    bare = set() if options else _bare_axles(found, cues, taken | pairs, ranks)
    return Relations(cues, doubtful, gearboxes, gearbox_cues, repeated, pairs, options, bare, ranks)


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
    return piece.kind == "plural" and piece.decimals > 0 and 2.0 <= piece.numbers[0] <= DEEPEST


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
    if cue in ("lift", "wheelbase"):
        return kind in ("height", "length", "fraction")
    if cue == "ring":
        return kind in ("height", "length", "number")
    if cue == "axle" and kind == "teeth":
        return True
    if cue == "target_crawl":
        return kind in _BARE
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
    """Places of bare numbers, each smaller than the one before, with one mark or a blank between two."""
    run = [place] if found[place].kind == "number" and found[place].numbers[0] <= 20.0 else []
    while run and len(run) < 12 and run[-1] + 1 < len(found):
        step = 2 if found[run[-1] + 1].word in _JOINS else 1
        other = found[run[-1] + step] if run[-1] + step < len(found) else found[place]
        if not (other.kind == "number" and 0.2 <= other.numbers[0] < found[run[-1]].numbers[0]):
            break
        run.append(run[-1] + step)
    return run


def _gearbox_cue(found: list[Piece], run: list[int]) -> int | None:
    before = run[0] - 1
    if before > 0 and found[before].word in _GLUE:
        before -= 1
    for place in (before, run[-1] + 1):
        if 0 <= place < len(found) and (found[place].kind == "gearbox" or found[place].word in _OF_GEARBOX):
            return place
    return None


_OF_GEARBOX = {"gears", "speed", "spd", "speeds", "tranny", "auto", "automatic", "manual"}


def _is_gearbox(found: list[Piece], run: list[int]) -> bool:
    """Whether nothing else than a gearbox falls like this."""
    if len(run) < 4 or (len(run) < 5 and found[run[0] + 1].word in (",", found[run[1]].word)):
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
        if not 0 < place < len(found) - 1 or not (
            piece.word in _ARROWS or (piece.word in _EXCHANGES and _exchanges(found, place))
        ):
            continue
        left = place - 2 if found[place - 1].kind == "axle" else place - 1
        ends = [end for end in (left, place + 1) if end not in taken and _may_be_axle(found, end, cues)]
        if len(ends) == 2:
            pairs.update(end for end in ends if end not in cues)
    return pairs


def _exchanges(found: list[Piece], place: int) -> bool:
    """Whether "for" or "with" stands between what goes and what comes."""
    verbs = _EXCHANGES.get(found[place].word, ())
    return any(found[other].word.startswith(verbs) for other in range(max(0, place - 5), place) if verbs)


_VERSUS = {"or", "vs", "versus"}
_JOINED = {",", "/", "."}


def _options(found: list[Piece], taken: Container[int]) -> dict[int, list[int]]:
    """Runs of axle ratios with "or" or "vs" between them, a last word for axle gears included."""
    runs: dict[int, list[int]] = {}
    place = 0 if any(piece.word in _VERSUS or piece.kind == "choice" for piece in found) else len(found)
    while place < len(found):
        run, told = [], False
        at = place
        while at < len(found) and at not in taken and _may_be_option(found[at]):
            told |= " or " in found[at].word
            run.append(at)
            at += 2 if at + 1 < len(found) and found[at + 1].kind == "axle" else 1
            while at < len(found) and (found[at].word in _VERSUS or (found[at].word in _JOINED)):
                told |= found[at].word in _VERSUS
                at += 1
        values = {number for one in run for number in found[one].numbers}
        if told and len(values) > 1:
            runs[run[0]] = run
        place = run[-1] + 1 if run else place + 1
    return runs


def _may_be_option(piece: Piece) -> bool:
    if piece.kind == "choice":
        return (
            " or " in piece.word
            and all(2.4 <= number <= 8.0 for number in piece.numbers)
            and piece.decimals > 0
        )
    return looks_like_axle(piece) or is_axle_plural(piece)


def _bare_axles(
    found: list[Piece], cues: Mapping[int, Piece], taken: Container[int], ranks: list[int]
) -> set[int]:
    """Bare ratios that are alone in their direction, in a sentence that names a tyre or gears."""
    bare = [place for place in range(len(found)) if place not in taken and _may_be_bare(found, place, cues)]
    if not bare:
        return set()
    named = any(piece.kind in SIZES or piece.kind == "height" or is_tyre_plural(piece) for piece in found)
    if not (named or any(piece.word == "gears" for piece in found)):
        return set()
    known = [place for place in range(len(found)) if _is_named_axle(found, place, cues)]
    told = [ranks[place] for place in (*known, *bare)]
    return {place for place in bare if told.count(ranks[place]) == 1}


def _is_named_axle(found: list[Piece], place: int, cues: Mapping[int, Piece]) -> bool:
    if place in cues:
        return cues[place].kind in ("axle", "front", "rear") and found[place].kind not in SIZES
    return is_axle_plural(found[place]) or (found[place].kind == "ratio" and looks_like_axle(found[place]))


_OTHER_RATIOS = {"x", "*", "times", "trans", "transmission", "case", "box", "crawl", "reduction"}


def _may_be_bare(found: list[Piece], place: int, cues: Mapping[int, Piece]) -> bool:
    if found[place].kind != "number" or place in cues or not looks_like_axle(found[place]):
        return False
    around = {found[other].word for other in (place - 1, place + 1) if 0 <= other < len(found)}
    behind = found[place + 1] if place + 1 < len(found) else None
    counts = behind is not None and behind.kind == "word" and behind.word not in FUNCTION_WORDS
    return not (around & _OTHER_RATIOS or counts or found[place].numbers[0] < 2.4)


def _may_be_axle(found: list[Piece], place: int, cues: Mapping[int, Piece]) -> bool:
    if place < 0 or (place in cues and cues[place].kind != "axle"):
        return False
    return looks_like_axle(found[place]) or is_axle_plural(found[place])


# The way of a change


def _ranks(found: list[Piece]) -> list[int]:
    """The direction at each place: the last that was named, or one that stands right behind."""
    ranks: list[int] = []
    current, said, verb, exchange, back = PLAIN, False, "", "", -1
    for place, piece in enumerate(found):
        if back >= 0 and place and found[place - 1].kind in NUMERIC:
            # "to 5.13 from 4.56 on 39s": only what stands right behind "from" was before.
            current, back = back, -1
        if verb.startswith(_EXCHANGES.get(piece.word, ("-",))):
            _mark_back(found, ranks, BEFORE)
            current, verb, exchange = AFTER, "", verb
        elif piece.word in _ASKING:
            current = PLAIN
        elif piece.kind in DIRECTIONS and not _is_only_old(found, place):
            rank, _ = DIRECTIONS[piece.kind]
            verb = piece.word
            back = current if verb == "from" and current == AFTER else -1
            if _stands_behind(found, place):
                _mark_back(found, ranks, rank)
            elif piece.kind != "have" or not said:
                current, said = rank, True
        elif piece.word in _STOPS:
            said = False
            # "swap 33s for 35s and 3.73s for 4.56s": the verb holds for both.
            verb = verb or (exchange if piece.word == "and" else "")
        ranks.append(current)
    return ranks


_ASKING = {"what", "which", "how", "whats", "what's"}
_OLD_THINGS = {"setup", "set", "ones", "size", "combo", "stuff", "was", "is", "were"}


def _is_only_old(found: list[Piece], place: int) -> bool:
    """Whether "old" or "new" speaks of the vehicle or its owner: an old farm truck."""
    behind = found[place + 1] if place + 1 < len(found) else None
    if found[place].word not in ("old", "new") or behind is None or behind.kind != "word":
        return False
    return behind.word not in _OLD_THINGS


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
