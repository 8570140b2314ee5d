"""Methods of a client as coroutines."""

from collections.abc import Awaitable, Callable
from functools import update_wrapper
from typing import Any, Concatenate, ParamSpec, TypeVar

Given = ParamSpec("Given")
Made = TypeVar("Made")


def awaited(
    method: Callable[Concatenate[Any, Given], Made],
) -> Callable[Concatenate[Any, Given], Awaitable[Made]]:
    """Return the method as a coroutine that takes and gives the same; `_run` of its object carries it out."""

    async def run(self: Any, /, *values: Given.args, **named: Given.kwargs) -> Made:
        made: Made = await self._run(method, *values, **named)
        return made

    update_wrapper(run, method)
    return run
