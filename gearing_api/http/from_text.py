"""Serve the address that reads a forum sentence into a build, and describe it in the spec document."""

from collections.abc import Callable
from typing import Any

from flask import Response, request

from gearing_api.formats import FORMATS, Format
from gearing_api.formats.document import Document
from gearing_api.formats.sentence import as_understood
from gearing_api.http import headers
from gearing_api.http.negotiation import chosen
from gearing_api.http.requests import ParsedRequest, parse_request, refusal
from gearing_api.sentences import Sentence, read
from gearing_api.sentences.follow_up import FollowUp
from gearing_api.settings import Settings
from gearing_api.vocabulary import FieldError, InvalidBuild

NAME = "from-text"
ADDRESS = f"/v1/{NAME}"
ASKS = "What build does this forum sentence describe: what was understood, assumed, left unused?"
EXAMPLE = "going from 31s to 35s on 4.10s, 3.83 first, 2.72 low"

FORMS: dict[str, Format] = {
    "json": FORMATS["json"],
    "txt": Format("txt", FORMATS["txt"].media_type, as_understood),
}
"""Formats of the answer to a sentence."""


def view(settings: Settings, suffix: str | None) -> Callable[[], Response]:
    """Return the view of the address with that suffix."""

    def answer() -> Response:
        asked = parse_request(request, settings)
        form = chosen(request, suffix, FORMS)

        def make() -> Response:
            made = _document(_sentence(asked), asked)
            return Response(form.write(made, asked.options), content_type=form.media_type)

        if request.method == "POST":
            response = make()
            if suffix is None:
                response.headers["Vary"] = "Accept"
            return response
        tag = headers.weak_tag(NAME, form.suffix, asked.canonical)
        return headers.cacheable(make, tag, request, settings, vary="" if suffix else "Accept")

    return answer


def _sentence(asked: ParsedRequest) -> Sentence:
    faults = [FieldError(name, f"is no parameter of {NAME}: it takes q") for name in asked.raw if name != "q"]
    if asked.options.pick:
        faults.append(FieldError("pick", f"is no parameter of {NAME}"))
    # As received: a sentence has points and commas of its own, whatever numbers are asked for in the answer.
    text = asked.received.get("q", "")
    if not isinstance(text, str):
        faults.append(FieldError("q", "must be text"))
    if faults:
        raise refusal(faults, asked.where)
    try:
        return read(str(text))
    except InvalidBuild as error:
        raise refusal(error.faults, asked.where) from error


def _document(sentence: Sentence, asked: ParsedRequest) -> Document:
    written = str(asked.received["q"])
    return {
        "question": NAME,
        "units": asked.system,
        "given": {"q": written},
        "assumed": {
            field: "; ".join(text for other, text in sentence.assumed if other == field)
            for field, _ in sentence.assumed
        },
        "result": {
            "build": sentence.build,
            "understood": [
                {"field": one.field, "what": one.what, "value": one.value}
                | _place(written, one.start, one.end)
                for one in sentence.understood
            ],
            "unused": [
                _place(written, one.start, one.end) | {"reason": one.reason} for one in sentence.unused
            ],
            "ask": sentence.ask.question if sentence.ask else None,
            "follow_up": _follow_up(written, sentence.ask) if sentence.ask else None,
            "fits": list(sentence.fits),
            "asks": sentence.asks,
        },
        "result_units": {},
        "cautions": [],
        "sources": [_SHORTHAND],
    }


def _follow_up(written: str, asked: FollowUp) -> dict[str, Any]:
    return {
        "about": asked.about,
        "kind": asked.kind,
        "offers": [_place(written, *place) for place in asked.offers],
    }


def _place(written: str, start: int, end: int) -> dict[str, Any]:
    return {"text": written[start:end], "span": [start, end]}


_SHORTHAND = {
    "what": "what the shorthand of vehicle forums means",
    "kind": "common practice",
    "source": "no published source",
}
