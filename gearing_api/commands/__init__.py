"""What the commands of the command line do, and what they share: files that are not overwritten unasked."""

import sys
from pathlib import Path


class Refused(Exception):
    """A command that cannot be carried out, with the reason, a line each."""


def check_overwrite(out: Path, overwrite: bool) -> None:
    """Ask whether a file that exists may be overwritten, where there is somebody to ask.

    Raises
    ------
    Refused
        If it exists and may not be overwritten.
    """
    if overwrite or not out.exists():
        return
    if not sys.stdin.isatty():
        raise Refused(f"{out} exists: choose another name, or add --overwrite")
    print(f"{out} exists. Overwrite it? [y/N] ", end="", file=sys.stderr, flush=True)
    if sys.stdin.readline().strip().lower() not in ("y", "yes"):
        raise Refused(f"{out} was left as it is")
