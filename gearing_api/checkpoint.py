"""Long work asks here, between its blocks, whether it may go on; it need not know who decides."""

from collections.abc import Callable
from threading import local


class _Thread(local):
    """What decides in each thread. An answer may be left while memory is tidied: no place for a context variable."""

    check: Callable[[], None] | None = None


_here = _Thread()


def ask_with(check: Callable[[], None] | None) -> None:
    """Let `check` decide for this thread from now on; None lets all work go on."""
    _here.check = check


def no_longer_ask_with(check: Callable[[], None]) -> None:
    """Let all work of this thread go on, if it is `check` that decides."""
    if _here.check == check:
        _here.check = None


def may_go_on() -> None:
    """Return if the work may go on. Call it between blocks that take some milliseconds.

    Raises
    ------
    Exception
        Whatever the check raises that was set for this thread: a deadline that has passed, for example.
    """
    if _here.check is not None:
        _here.check()
