"""Words and digits that all text formats share."""

from gearing_api.formats.document import Document
from gearing_api.formats.options import rounded
from gearing_api.formats.ranges import ends_or_least
from gearing_api.vocabulary import RESULTS, naming

MOST_CAUTIONS = 5
"""Cautions shown in text; there may be more only where more are of level `stop`."""

VERDICTS = {"stop": "STOP", "unknown": "not known", "check": "check", "clear": "nothing found"}
"""Verdicts as people read them: never a word that permits or rates."""

_TRUSTED = 4


def stops_and_others(document: Document) -> tuple[list[Document], list[Document]]:
    """Part the cautions: those that stand before the figures, and those that may follow them."""
    cautions = document["cautions"]
    stops = [caution for caution in cautions if caution["level"] == "stop"]
    return stops, [caution for caution in cautions if caution["level"] != "stop"]


def digits(name: str) -> int:
    """Return how many digits of a result or column can be trusted."""
    return RESULTS[name].digits if name in RESULTS else _TRUSTED


def trusted(name: str, value: object) -> object:
    """Round a picked value for a cell if fewer digits can be trusted than those of geometry."""
    few = digits(name)
    if few >= _TRUSTED or not isinstance(value, float):
        return value
    return float(f"{value:.{few}g}")


def shown(document: Document, name: str) -> tuple[str, str]:
    """Write a result and its unit for people: as a range where the answer has one, else why it is absent."""
    value, unit = document["result"][name], document["result_units"][name]
    few = digits(name)
    if value is None:
        return absence(document, name), ""
    if name not in document.get("ranges", {}):
        return rounded(value, few), unit
    low, high = document["ranges"][name]
    if "drivers" in document:
        return ends_or_least(value, low, high), unit
    if high is None:
        return f"{rounded(low, few)} or more", unit
    return f"{rounded(low, few)} to {rounded(high, few)}", unit


def in_text(table: Document) -> Document:
    """Leave out the columns of a table that text shows only as a range."""
    places = [
        place
        for place, name in enumerate(table["columns"])
        if name not in RESULTS or not RESULTS[name].only_as_range
    ]
    return {
        "columns": [table["columns"][place] for place in places],
        "units": [table["units"][place] for place in places],
        "rows": [[row[place] for place in places] for row in table["rows"]],
    }


def field_in_text(value: object, separator: str = ",") -> str:
    """Write a field of a build so that a request takes it again."""
    return separator.join(f"{item:.6g}" for item in value) if isinstance(value, list) else str(value)


def absence(document: Document, name: str) -> str:
    """Say why a result is absent, and which fields it needs."""
    absent = document["absent"][name]
    fields = absent.get("fields", ())
    return f"needs {naming(fields)}" if fields else str(absent["why"])
