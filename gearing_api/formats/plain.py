"""Results as plain numbers and words, in the units of an answer."""

import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np

from gearing_api.answer import Value
from gearing_api.units import Quantity, System
from gearing_api.vocabulary import RESULTS


def plain(value: Value, quantity: Quantity | None, system: System) -> Any:
    """Return one result as a plain number or word, None if it is not finite."""
    if value is None or isinstance(value, str):
        return value
    if quantity is None:
        return value.item()
    number = value.item() / quantity.factor(system)
    return number if math.isfinite(number) else None


def plain_results(values: Mapping[str, Value], system: System) -> dict[str, Any]:
    """Return results by name as plain numbers or words, None for those that are not finite."""
    made: dict[str, Any] = {}
    for (name, value), factor in zip(values.items(), _factors(tuple(values), system), strict=True):
        if value is None or isinstance(value, str):
            made[name] = value
        elif factor is None:
            made[name] = value.item()
        else:
            number = value.item() / factor
            made[name] = number if math.isfinite(number) else None
    return made


@cache
def _factors(names: tuple[str, ...], system: System) -> tuple[float | None, ...]:
    """SI value of one unit of each result, None for words."""
    quantities = (RESULTS[name].quantity for name in names)
    return tuple(None if quantity is None else quantity.factor(system) for quantity in quantities)


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
