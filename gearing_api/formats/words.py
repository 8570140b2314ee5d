"""Words and digits that all formats for people share."""

from gearing_api.formats.document import Document
from gearing_api.vocabulary import RESULTS

MOST_CAUTIONS = 5
"""Cautions shown in text; there may be more only where more are of level `stop`."""

VERDICTS = {"stop": "STOP", "unknown": "not known", "check": "check", "clear": "nothing found"}
"""Verdicts as people read them: never a word that permits or rates."""

_TRUSTED = 4


def digits(name: str) -> int:
    """How many digits of a result or column can be trusted."""
    return RESULTS[name].digits if name in RESULTS else _TRUSTED


def trusted(name: str, value: object) -> object:
    """A picked value for a cell: rounded where fewer digits can be trusted than geometry has."""
    few = digits(name)
    if few >= _TRUSTED or not isinstance(value, float):
        return value
    return float(f"{value:.{few}g}")


def absence(document: Document, name: str) -> str:
    """Why a result is absent, and the fields that would make it known."""
    absent = document["absent"][name]
    fields = ", ".join(absent.get("fields", ()))
    return f"needs {fields}" if fields else str(absent["why"])
