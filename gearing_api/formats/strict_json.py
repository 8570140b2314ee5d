"""JSON as it may be sent: each name once, no NaN, and nothing that could not be written again."""

import json
from typing import Any

import orjson


class Unfit(ValueError):
    """JSON that is not well-formed, or not what may be sent. Says why."""


def parsed(content: bytes) -> Any:
    """The plain values of a JSON text in UTF-8; a mark of byte order before it is no error.

    Raises
    ------
    Unfit
        If it cannot be read, or is not what may be sent.
    """
    try:
        value = json.loads(content.decode("utf-8-sig"), object_pairs_hook=_unique, parse_constant=_refuse)
        orjson.dumps(value)  # fails for half characters ("\ud800"), integers of many digits and deep nesting
    except Unfit:
        raise
    except (TypeError, ValueError, RecursionError) as error:
        raise Unfit("it is not plain, well-formed JSON in UTF-8") from error
    return value


def _unique(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        raise Unfit("a name stands in it twice")
    return made


def _refuse(text: str) -> None:
    raise Unfit("NaN and Infinity are no numbers")
