"""Read JSON strictly: each name once, no NaN, and nothing that could not be written again."""

import json
from typing import Any

import orjson


class Unfit(ValueError):
    """JSON that is malformed or not accepted, with the reason."""


def parsed(content: bytes) -> Any:
    """Read a JSON text in UTF-8, with or without a byte order mark.

    Raises
    ------
    Unfit
        If it is malformed or not accepted.
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
