"""No text of up to ten kilobytes costs a reader more than a moment, counted in steps: no clock is asked.

Ten milliseconds stand for ten million instructions, at a billion in a second. A sentence alone may take forty
million, as it may hold some two hundred and fifty numbers: at the four to eight billion that processors of
2020 and later were seen to reach in this code, that too is below ten milliseconds.
"""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from gearing_api import tyre_sizes
from tests.hostile import LARGEST, PARTS, READERS, UNCAPPED, cases, read_once

HOUSE = Path(__file__).parents[1]
MOST_INSTRUCTIONS = {"sentence": 40_000_000}
ORDINARY = 10_000_000
MOST_LINES = {"sentence": 150_000, "field names": 60_000}
FEW_LINES = 15_000
COST_OF_TWICE = 2.5


def lines_run(reader: str, text: str) -> int:
    """Lines of Python and calls of C that are run to read it, whatever the machine."""
    count = 0

    def tick(frame: Any, event: str, argument: Any) -> Any:
        nonlocal count
        count += 1
        return tick

    before = sys.gettrace(), sys.getprofile()
    tyre_sizes.read.cache_clear()
    sys.settrace(tick)
    sys.setprofile(tick)
    try:
        read_once(reader, text)
    finally:
        sys.setprofile(before[1])
        sys.settrace(before[0])
    return count


@pytest.mark.parametrize("reader", READERS)
def test_any_text_is_read_or_refused_in_few_lines(reader: str) -> None:
    read_once(reader, "35 in")
    costs = {name: lines_run(reader, text) for one, name, text in cases() if one == reader}
    assert max(costs.values()) < MOST_LINES.get(reader, FEW_LINES)
    for name, cost in costs.items():
        assert cost <= COST_OF_TWICE * costs.get(f"{name}, half", cost) + 100


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("valgrind") is None, reason="instructions are counted by valgrind")
def test_any_text_is_read_or_refused_in_ten_million_instructions(tmp_path: Path) -> None:
    counter = [
        "valgrind",
        "--tool=callgrind",
        "--dump-before=getppid",
        f"--callgrind-out-file={tmp_path}/count",
    ]
    subprocess.run(
        [*counter, sys.executable, "-m", "tests.hostile"],
        cwd=HOUSE,
        env=os.environ | {"PYTHONHASHSEED": "0"},
        capture_output=True,
        check=True,
        timeout=1800,
    )
    # The first count is of all that comes before the first text, the last of what comes behind the last.
    costs = {
        (reader, name): instructions(tmp_path / f"count.{place}")
        for place, (reader, name, _) in enumerate(cases(), 2)
    }
    assert not (tmp_path / f"count.{len(costs) + 3}").exists()
    assert min(costs.values()) > 1_000, "each was read"
    too_dear = {case: cost for case, cost in costs.items() if cost > MOST_INSTRUCTIONS.get(case[0], ORDINARY)}
    assert not too_dear
    for reader in UNCAPPED:
        for name in PARTS:
            half = costs[reader, f"{name}, half"]
            assert costs[reader, name] <= COST_OF_TWICE * half + LARGEST, f"{reader}: {name}"


def instructions(dump: Path) -> int:
    """All that were run since the dump before."""
    counted = re.search(r"^(?:summary|totals): (\d+)$", dump.read_text(encoding="utf-8"), re.MULTILINE)
    assert counted is not None
    return int(counted[1])
