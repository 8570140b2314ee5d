"""Turn what measurements say about a build into plain data: fields to add, figures, what is unused, what to ask."""

import math
from typing import Any

from gearing_api.answer import Between, Findings, Understood
from gearing_api.units import System
from gearing_api.vocabulary import FIELDS

_DIGITS = 2


def findings_as_document(findings: Findings, system: System) -> dict[str, Any]:
    """Return the members `build`, `understood`, `unused` and `ask`.

    `build` has each field as a request takes it: a range as text with its unit.
    """
    return {
        "build": {name: _field(name, value, system) for name, value in findings.build.items()},
        "understood": [_understood(one, system) for one in findings.understood],
        "unused": [{"field": name, "needs": list(fields)} for name, fields in findings.unused],
        "ask": findings.ask,
    }


def _field(name: str, value: object, system: System) -> Any:
    if isinstance(value, Between):
        kind: Any = FIELDS[name].kind
        factor = kind.quantity.factor(system)
        low, high = float(value.low) / factor, float(value.high) / factor
        return f"{' to '.join(_rounded_ends(low, high))} {kind.quantity.unit(system)}".rstrip()
    return value if isinstance(value, str) else FIELDS[name].kind.out(value, system)


def _rounded_ends(low: float, high: float) -> tuple[str, str]:
    """Both ends of a range with so many decimals that its width has two digits."""
    width = high - low
    places = _DIGITS - 1 - math.floor(math.log10(width)) if width > 0.0 else 2 * _DIGITS
    places = max(0, places)
    return f"{low:.{places}f}", f"{high:.{places}f}"


def _understood(one: Understood, system: System) -> dict[str, Any]:
    factor = one.quantity.factor(system)
    value, low, high = (part / factor for part in one.measured)
    found: dict[str, Any] = {
        "field": one.field,
        "what": one.what,
        "readings": list(one.readings),
        "unit": one.quantity.unit(system),
        "value": value,
        "low": low,
        "high": high,
    }
    if one.expected is None:
        return found
    expected, least, most = (part / factor for part in one.expected)
    return found | {"expected": {"value": expected, "low": least, "high": most}, "apart": one.apart}
