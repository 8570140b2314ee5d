"""What a sentence says in words alone: differentials, the kind of engine, the kind of gearbox."""

import re
from collections.abc import Iterator

from gearing_api.sentences.candidates import Claim
from gearing_api.sentences.tokens import BEFORE, PLAIN

_KINDS = {
    "lock": "locked",
    "spool": "spool",
    "open": "open",
    "limited": "limited-slip",
    "lsd": "limited-slip",
}
_KIND = r"locked|lockers?|spool(?:ed|s)?|open|limited[ -]slip|lsd"
_PART = r"(?: (?:axle|end|diff(?:erential)?))?"

_NO_AXLE = r"(?! (?:window|door|hatch|seat|bumper|gate|tires?|tyres?|wheels?|hubs?|box))"

_DIFFERENTIALS = re.compile(
    rf"\b(?:(?P<both>{_KIND})(?: in| at)?(?: the)? (?:front (?:and|&|n|/) (?:the )?rear|both (?:ends|axles))"
    rf"|front (?:and|&) rear (?P<both_behind>{_KIND})"
    rf"|(?P<before>{_KIND})(?: in| up)?(?: the)? (?P<side>front|rear)(?!\w){_NO_AXLE}"
    rf"|(?P<side_before>front|rear){_PART}(?: \d\.\d{{1,3}})?(?: is| has)?(?: an?)? (?P<behind>{_KIND})(?!\w)"
    rf"|(?P<alike>{_KIND}) (?:diff(?:erential)?s?|axles)(?!\w))",
    re.ASCII | re.IGNORECASE,
)
_ENGINES = re.compile(
    r"\b(?:(?P<diesel_turbo>turbo[ -]?diesels?|diesel turbo|tdi?(?!\w))|"
    r"(?P<diesel>diesel(?! (?:tank|pump|price|swap)))"
    r"|(?P<petrol_turbo>turbo(?:charged)?[ -](?:petrol|gasoline|gas)|petrol turbo)"
    r"|(?P<petrol>petrol(?! tank)|gasoline|gas (?:engine|motor|v ?\d))"
    r"|(?P<electric>electric (?:motor|drive|conversion|truck|vehicle)))(?!\w)",
    re.ASCII | re.IGNORECASE,
)
_ENDS = r" ?(?:[,;:.!?)/]|$)| (?:and|with|on|w|behind|in|is|so|but|tows|tow|\d)"
_GEARBOXES = re.compile(
    rf"\b(?:(?P<automatic>automatic(?![ -](?:lock|hub))|auto(?=[ -]?trans| ?gear ?box| ?box|{_ENDS}))"
    rf"|(?P<manual>(?<!owners )(?<!owner's )(?<!shop )(?<!service )"
    rf"manual(?=[ -]?trans| ?gear ?box| ?box| shift|{_ENDS})"
    rf"|stick shift)"
    rf"|(?P<cvt>cvt)|(?P<single_speed>single[ -]speed))(?!\w)",
    re.ASCII | re.IGNORECASE,
)


_ANY = re.compile(
    r"lock|spool|open|limited|lsd|diesel|td|petrol|gas|electric|auto|manual|stick|cvt|single",
    re.ASCII | re.IGNORECASE,
)


_WAS = re.compile(r"\b(?:from|was|had|old|stock|came with|instead of|replac\w+|swapp?\w*)\b", re.IGNORECASE)
_IS_NOW = re.compile(r"\b(?:to|now|with|for|has|have|is)\b|[.;,](?!\d)", re.IGNORECASE)


def _rank(plain: str, start: int) -> int:
    """Whether the words before it say that it was there before."""
    before = plain[max(0, start - 30) : start]
    was = [found.end() for found in _WAS.finditer(before)]
    return BEFORE if was and not _IS_NOW.search(before, was[-1]) else PLAIN


def statements(plain: str) -> Iterator[Claim]:
    """The claims that the words of a sentence make without a number."""
    if not _ANY.search(plain):
        return
    for found in _DIFFERENTIALS.finditer(plain):
        yield from _differentials(found)
    for slot, pattern in (("engine_kind", _ENGINES), ("gearbox_kind", _GEARBOXES)):
        for found in pattern.finditer(plain):
            yield Claim(
                slot, str(found.lastgroup).replace("_", "-"), *found.span(), _rank(plain, found.start())
            )


def _differentials(found: re.Match[str]) -> Iterator[Claim]:
    said = found.groupdict()
    word = next(said[name] for name in ("both", "both_behind", "before", "behind", "alike") if said[name])
    kind = next(kind for start, kind in _KINDS.items() if word.casefold().startswith(start))
    side = said["side"] or said["side_before"]
    sides = (
        ["front_", "rear_"]
        if said["both"] or said["both_behind"]
        else [f"{side.casefold()}_" if side else ""]
    )
    for one in sides:
        yield Claim(f"{one}differential", kind, *found.span(), _rank(found.string, found.start()))
