"""Long work asks here, between its blocks, whether it may go on; it need not know who decides."""

from collections.abc import Callable
from contextvars import ContextVar

_check: ContextVar[Callable[[], None] | None] = ContextVar("check", default=None)


def ask_with(check: Callable[[], None] | None) -> None:
    """Let `check` decide for this thread from now on; None lets all work go on."""
    _check.set(check)


def may_go_on() -> None:
    """Return if the work may go on. Call it between blocks that take some milliseconds.

    Raises
    ------
    Exception
        Whatever the check raises that was set for this thread: a deadline that has passed, for example.
    """
    check = _check.get()
    if check is not None:
        check()
