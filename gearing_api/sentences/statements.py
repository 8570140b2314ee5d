"""What a sentence says in words alone: differentials, the kind of engine, the kind of gearbox."""

import re
from collections.abc import Iterator

from gearing_api.sentences.candidates import Claim

_KINDS = {
    "lock": "locked",
    "spool": "spool",
    "open": "open",
    "limited": "limited-slip",
    "lsd": "limited-slip",
}
_KIND = r"locked|lockers?|spool(?:ed|s)?|open|limited[ -]slip|lsd"
_PART = r"(?: (?:axle|end|diff(?:erential)?))?"

_DIFFERENTIALS = re.compile(
    rf"\b(?:(?P<both>{_KIND})(?: in| at)?(?: the)? (?:front (?:and|&|n|/) (?:the )?rear|both (?:ends|axles))"
    rf"|front (?:and|&) rear (?P<both_behind>{_KIND})"
    rf"|(?P<before>{_KIND})(?: in| up)?(?: the)? (?P<side>front|rear)(?!\w)"
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
_GEARBOXES = re.compile(
    r"\b(?:(?P<automatic>auto(?:matic)?(?![ -](?:lock|hub|part|store|body|magazine)))"
    r"|(?P<manual>manual(?![ -](?:lock|hub|steer|says|wind))|stick shift)"
    r"|(?P<cvt>cvt)|(?P<single_speed>single[ -]speed))(?!\w)",
    re.ASCII | re.IGNORECASE,
)


_ANY = re.compile(
    r"lock|spool|open|limited|lsd|diesel|td|petrol|gas|electric|auto|manual|stick|cvt|single",
    re.ASCII | re.IGNORECASE,
)


def statements(plain: str) -> Iterator[Claim]:
    """The claims that the words of a sentence make without a number."""
    if not _ANY.search(plain):
        return
    for found in _DIFFERENTIALS.finditer(plain):
        yield from _differentials(found)
    for slot, pattern in (("engine_kind", _ENGINES), ("gearbox_kind", _GEARBOXES)):
        for found in pattern.finditer(plain):
            yield Claim(slot, str(found.lastgroup).replace("_", "-"), *found.span())


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
        yield Claim(f"{one}differential", kind, *found.span())
