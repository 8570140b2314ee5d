"""Results as plain numbers and words, in the units of an answer."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from gearing_api.answer import Value
from gearing_api.units import Quantity, System


def plain(value: Value, quantity: Quantity | None, system: System) -> Any:
    """Return one result as a plain number or word, None if it is not finite."""
    if value is None or isinstance(value, str):
        return value
    if quantity is None:
        return value.item()
    number = value.item() / quantity.factor(system)
    return number if math.isfinite(number) else None


def plain_column(
    values: Sequence[Any] | np.ndarray[Any, Any], quantity: Quantity | None, system: System
) -> list[Any]:
    """Return a column as plain numbers or words, None for a number that is not finite."""
    cells: list[Any] = values.tolist() if isinstance(values, np.ndarray) else list(values)
    if quantity is None:
        return cells
    factor = quantity.factor(system)
    if factor != 1.0:
        cells = [cell / factor for cell in cells]
    if math.isfinite(sum(cells)):
        return cells
    return [cell if math.isfinite(cell) else None for cell in cells]
