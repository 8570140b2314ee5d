"""Kept files that this service wrote: compared to twelve significant digits, and rewritten only beyond that.

Processors round the last digits of a result differently. A kept file that differs in those alone is right on
both, and stays as it is.
"""

import math
import re
from pathlib import Path
from typing import Any

DIGITS = 12
_TOLERANCE = 10.0**-DIGITS
_NUMBER = re.compile(r"(-?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)")


def same(kept: Any, made: Any) -> bool:
    """Tell whether two texts, or two values as JSON has them, agree but for digits beyond the twelfth.

    Types, the order of members and everything that is no number must be equal. Texts that a person reads are
    rounded: a number of fewer than twelve digits must be equal as it is written.
    """
    if type(kept) is not type(made):
        return False
    if isinstance(kept, float):
        return _close(kept, made)
    if isinstance(kept, str):
        return kept == made or _same_text(kept, made)
    if isinstance(kept, dict):
        return list(kept) == list(made) and all(same(kept[name], made[name]) for name in kept)
    if isinstance(kept, list):
        return len(kept) == len(made) and all(map(same, kept, made))
    return bool(kept == made)


def _close(kept: float, made: float) -> bool:
    """Compare relatively; below 1e-12 both are what is left of a difference that is zero."""
    return kept == made or math.isclose(kept, made, rel_tol=_TOLERANCE, abs_tol=_TOLERANCE)


def _same_text(kept: str, made: str) -> bool:
    old, new = _NUMBER.split(kept), _NUMBER.split(made)
    return len(old) == len(new) and all(map(_same_piece, old, new))


def _same_piece(kept: str, made: str) -> bool:
    if kept == made:
        return True
    if not (_NUMBER.fullmatch(kept) and _NUMBER.fullmatch(made)):
        return False
    if not any(_is_unrounded(text) for text in (kept, made)):
        return False
    return _close(float(kept), float(made))


def _is_unrounded(text: str) -> bool:
    """Tell a number with a fraction and all its digits from a whole or a rounded one."""
    mantissa = re.split("[eE]", text)[0]
    return "." in mantissa and sum(map(str.isdigit, mantissa.lstrip("-0."))) >= DIGITS


def rewrite(path: Path, made: str) -> bool:
    """Write the text to the file where it differs; return whether it did. Line ends are kept as they are."""
    if path.exists() and same(path.read_bytes().decode(), made):
        return False
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(made.encode())
    return True
