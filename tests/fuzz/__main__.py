"""A search, guided by coverage, for an input that breaks a reader: ``python -m tests.fuzz READER``.

What is found is written to the folder given by --found; the corpus in the tree is only read.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["gearing_api"]):
    from tests.fuzz.inputs import CORPUS, LONGEST, dictionary
    from tests.fuzz.targets import TARGETS


def main() -> None:
    """Run until the time or the number of inputs is over, or something is found."""
    asked = _arguments()
    with tempfile.TemporaryDirectory() as folder:
        words = Path(folder) / "dictionary"
        words.write_text(dictionary(asked.reader), encoding="ascii")
        found = asked.found or Path(folder) / "found"
        found.mkdir(parents=True, exist_ok=True)
        options = [
            f"-seed={asked.seed}",
            f"-runs={asked.runs}",
            # The greatest size of a process is inherited by the processes that it starts: it says nothing here.
            "-rss_limit_mb=0",
            "-malloc_limit_mb=1024",
            f"-max_total_time={asked.seconds}",
            f"-max_len={LONGEST[asked.reader]}",
            f"-dict={words}",
            f"-artifact_prefix={found}/",
            "-timeout=10",
            "-print_final_stats=1",
            str(found),
            str(CORPUS / asked.reader),
        ]
        atheris.Setup([sys.argv[0], *options], TARGETS[asked.reader])
        atheris.Fuzz()


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("reader", choices=TARGETS)
    parser.add_argument("--seconds", type=int, default=0, help="0: no end (default)")
    parser.add_argument("--runs", type=int, default=-1, help="inputs; -1: no end (default)")
    parser.add_argument("--seed", type=int, default=1, help="the same seed tries the same inputs")
    parser.add_argument("--found", type=Path, help="folder for inputs that reach something new or break it")
    return parser.parse_args()


if __name__ == "__main__":
    main()
