"""Words and digits that all text formats share."""

from gearing_api.formats.document import Document
from gearing_api.vocabulary import RESULTS

MOST_CAUTIONS = 5
"""Cautions shown in text; there may be more only where more are of level `stop`."""

VERDICTS = {"stop": "STOP", "unknown": "not known", "check": "check", "clear": "nothing found"}
"""Verdicts as people read them: never a word that permits or rates."""

_TRUSTED = 4


def digits(name: str) -> int:
    """Return how many digits of a result or column can be trusted."""
    return RESULTS[name].digits if name in RESULTS else _TRUSTED


def trusted(name: str, value: object) -> object:
    """Round a picked value for a cell if fewer digits can be trusted than those of geometry."""
    few = digits(name)
    if few >= _TRUSTED or not isinstance(value, float):
        return value
    return float(f"{value:.{few}g}")


def absence(document: Document, name: str) -> str:
    """Say why a result is absent, and which fields it needs."""
    absent = document["absent"][name]
    fields = ", ".join(absent.get("fields", ()))
    return f"needs {fields}" if fields else str(absent["why"])
