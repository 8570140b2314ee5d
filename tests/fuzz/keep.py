"""The fewest inputs of a folder that run all that the folder runs, into the corpus of the tree.

``python -m tests.fuzz.keep READER FOLDER`` after a search with ``--found FOLDER``.
"""

import argparse
import hashlib
import sys
from pathlib import Path
from types import FrameType
from typing import Any

from tests.fuzz.inputs import CORPUS, MOST_KEPT, kept
from tests.fuzz.targets import TARGETS

Steps = frozenset[tuple[str, int, int]]


def steps(reader: str, content: bytes) -> Steps:
    """Every step from one line of the service to the next that an input takes."""
    taken: set[tuple[str, int, int]] = set()
    last: dict[FrameType, int] = {}

    def trace(frame: FrameType, event: str, _: Any) -> Any:
        if "gearing_api" not in frame.f_code.co_filename:
            return None
        taken.add((frame.f_code.co_filename, last.get(frame, 0), frame.f_lineno))
        last[frame] = frame.f_lineno
        return trace

    sys.settrace(trace)
    try:
        TARGETS[reader](content)
    finally:
        sys.settrace(None)
    return frozenset(taken)


def fewest(ways: dict[bytes, Steps]) -> list[bytes]:
    """Inputs that take all steps together: each time the one that adds most, of several the shortest."""
    chosen: list[bytes] = []
    lacking = set().union(*ways.values())
    while lacking and len(chosen) < MOST_KEPT:
        best = max(ways, key=lambda content: (len(ways[content] & lacking), -len(content), content))
        chosen.append(best)
        lacking -= ways[best]
    return chosen


def main() -> None:
    """Replace the unnamed inputs of a reader's corpus; named cases stay."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz.keep", description=__doc__)
    parser.add_argument("reader", choices=TARGETS)
    parser.add_argument("folder", type=Path)
    asked = parser.parse_args()
    found = [path.read_bytes() for path in sorted(asked.folder.iterdir())]
    TARGETS[asked.reader](b"")  # what is loaded once is no input's merit
    unnamed = {name: content for name, content in kept(asked.reader).items() if "-" not in name}
    chosen = fewest({content: steps(asked.reader, content) for content in [*found, *unnamed.values()]})
    for name in unnamed:
        (CORPUS / asked.reader / name).unlink()
    for content in chosen:
        (CORPUS / asked.reader / hashlib.sha256(content).hexdigest()[:12]).write_bytes(content)


if __name__ == "__main__":
    main()
