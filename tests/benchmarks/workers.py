"""The command `sweep` with one and with two worker processes, as a ratio of the times on the clock.

Run it on demand: ``python -m tests.benchmarks.workers [millions]``, two or more, on a machine with two
processors and nothing else to do. All counts: starting the processes, writing the blocks, joining them. What
the machine itself gives is told by two separate commands side by side, each with half of the plan, and what
its processors did for others meanwhile: where that is not next to nothing, the ratios mean little.
"""

import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.benchmarks.streaming import PLAN

ROUNDS = 3


def sweeps(*runs: tuple[Path, Path, int]) -> tuple[float, float, float]:
    """Some commands at once: time on the clock, their CPU time, and the CPU time of all else."""
    began, cpu, all_cpu = time.perf_counter(), _cpu(), _busy()
    running = []
    for plan, out, workers in runs:
        words = ["-m", "gearing_api", "sweep", str(plan), "--out", str(out), "--workers", str(workers)]
        running.append(subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL))
    assert [process.wait() for process in running] == [0] * len(runs)
    own = _cpu() - cpu
    return time.perf_counter() - began, own, _busy() - all_cpu - own


def _cpu() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _busy() -> float:
    """CPU time of the whole machine that was not idle."""
    with open("/proc/stat") as stat:
        ticks = list(map(int, stat.readline().split()[1:]))
    return (sum(ticks[:8]) - ticks[3] - ticks[4]) / os.sysconf("SC_CLK_TCK")


def main(millions: int) -> None:
    """Print the ratios."""
    speeds = [50 + place for place in range(millions)]
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)

        def planned(name: str, values: list[Any]) -> Path:
            plan = folder / f"{name}.json"
            plan.write_text(json.dumps(PLAN | {"vary": PLAN["vary"] | {"cruise_speed": values}}))
            return plan

        whole = planned("whole", speeds)
        halves = [planned("first", speeds[: millions // 2]), planned("second", speeds[millions // 2 :])]
        for form in ("csv", "parquet"):
            ways: dict[str, list[tuple[Path, Path, int]]] = {
                "one worker": [(whole, folder / f"out.{form}", 1)],
                "two workers": [(whole, folder / f"out.{form}", 2)],
                "two commands": [(half, folder / f"{half.stem}.{form}", 1) for half in halves],
            }
            rounds = [{name: sweeps(*runs) for name, runs in ways.items()} for _ in range(ROUNDS)]
            print(f"{millions} million rows to {form}")
            for name in ways:
                clock, cpu, others = (
                    statistics.median(one[name][part] for one in rounds) for part in range(3)
                )
                ratio = statistics.median(one["one worker"][0] / one[name][0] for one in rounds)
                print(
                    f"  {name:12} {clock:5.1f} s, CPU {cpu:5.1f} s, of others {others:4.1f} s: {ratio:.2f} x"
                )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
