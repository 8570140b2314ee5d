"""Units and decimal mark that a browser's language suggests, until somebody chooses others."""

from flask import Request

from gearing_api.units import System

_MILES = {"en", "en-us", "en-gb", "en-pr", "en-lr"}
_COMMA = {
    "be", "bg", "bs", "ca", "cs", "da", "de", "el", "es", "et", "eu", "fi", "fr", "gl", "hr", "hu",
    "id", "is", "it", "lt", "lv", "mk", "nb", "nl", "nn", "no", "pl", "pt", "ro", "ru", "sk", "sl",
    "sq", "sr", "sv", "tr", "uk", "vi",
}  # fmt: skip
_POINT = {"de-ch", "de-li", "it-ch", "es-mx", "es-us", "es-pr", "es-gt", "es-hn", "es-ni", "es-pa", "es-do"}


def suggested(request: Request) -> tuple[System, bool]:
    """Return the system of units, and whether numbers have a decimal comma.

    The United Kingdom has miles; without a language it is as the service's own default.
    """
    for tag in request.accept_languages.values():
        language = tag.casefold()
        if language in ("*", ""):
            continue
        system: System = "us" if language in _MILES else "metric"
        return system, language.partition("-")[0] in _COMMA and language not in _POINT
    return "us", False
