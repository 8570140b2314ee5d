"""The command `sweep` with one and with two worker processes, as a ratio of the times on the clock.

Run it on demand: ``python -m tests.benchmarks.workers [millions]``, on a machine with two processors.
All counts: starting the processes, writing the blocks, joining them. What the processors did for others
meanwhile is told too: where that is not next to nothing, the ratio means little.
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

from tests.benchmarks.streaming import PLAN

ROUNDS = 3


def timed(plan: Path, out: Path, workers: int) -> tuple[float, float, float]:
    """Time on the clock, CPU time of all processes of the command, and CPU time of all others."""
    began, cpu, all_cpu = time.perf_counter(), _cpu(), _busy()
    words = ["-m", "gearing_api", "sweep", str(plan), "--out", str(out), "--workers", str(workers)]
    subprocess.run([sys.executable, *words], check=True, stderr=subprocess.DEVNULL)
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
    varied = PLAN["vary"] | {"cruise_speed": [50 + place for place in range(millions)]}
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / "plan.json"
        plan.write_text(json.dumps(PLAN | {"vary": varied}))
        for form in ("csv", "parquet"):
            rounds = [
                [timed(plan, Path(folder) / f"out.{form}", workers) for workers in (1, 2)]
                for _ in range(ROUNDS)
            ]
            for workers, found in zip((1, 2), zip(*rounds, strict=True), strict=True):
                clock, cpu, others = (statistics.median(part) for part in zip(*found, strict=True))
                told = f"{clock:.1f} s, CPU {cpu:.1f} s, of others {others:.1f} s"
                print(f"{millions} million rows to {form}, {workers} workers: {told}")
            print(f"  {statistics.median(one[0] / two[0] for one, two in rounds):.2f} x")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10)
