"""The memory of each worker while it answers hundreds of thousands of requests about builds that all differ.

Run it on demand: ``python -m tests.faults.memory [requests]`` (200,000 if not given; needs wrk). After a
warm-up that fills what is kept, the memory must not grow: the slope of a line through it, by least squares.
"""

import signal
import subprocess
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gearing_api.formats.pictures import KEPT
from tests.benchmarks.service import Running, memory, running

STEP = 20_000
MOST_PER_10_000 = 1.0
"""MB that a worker may grow in 10,000 requests."""

WITHOUT_RENEWAL = """
import sys
from gearing_api.server import configuration
from gearing_api.__main__ import main
chosen = configuration.options
configuration.options = lambda *given: chosen(*given) | {"max_requests": 0}
sys.exit(main(sys.argv[sys.argv.index("serve"):]))
"""
"""Workers are renewed after a hundred thousand requests, which would hide what this looks for."""

ASKING = """
local answered, wanted = {}, 0
function init(arguments)
  wanted = tonumber(arguments[1])
  math.randomseed(tonumber(arguments[2]))
  charts = tonumber(arguments[3])
end
local left, asked = 0, 0
local json = {["Content-Type"] = "application/json"}
local csv = {["Content-Type"] = "text/csv"}
local function build()
  return string.format("tyre=%.4f+in&axle_ratio=%.6f&gear_ratios=%.5f,%.5f,1&transfer_ratios=1,%.4f",
    28 + 14 * math.random(), 3 + 3 * math.random(), 3.5 + 2 * math.random(), 2 + math.random(),
    2 + 2 * math.random())
end
local questions = {"crawl", "road-speed", "final-drive", "tyre", "build-sheet", "speedometer", "clearance"}
local forms = {"json", "csv", "txt", "md"}
local function pick(some) return some[math.random(#some)] end
function request()
  asked = asked + 1
  local dice = math.random()
  if math.random(1000) <= charts then
    return wrk.format("GET", "/v1/road-speed.svg?" .. build())
  elseif dice < 0.70 then
    return wrk.format("GET", "/v1/" .. pick(questions) .. "." .. pick(forms) .. "?" .. build())
  elseif dice < 0.78 then
    return wrk.format("GET", "/v1/from-text.json?q=" .. math.random(28, 44) .. "s+on+" ..
      string.format("%.4f", 3 + 2 * math.random()) .. "+gears")
  elseif dice < 0.86 then
    return wrk.format("GET", "/v1/crawl?tyre=" .. math.random(1, 99) .. "&nothing" .. asked .. "=1")
  elseif dice < 0.90 then
    return wrk.format("GET", "/v1/crawl.html?" .. build())
  elseif dice < 0.94 then
    return wrk.format("GET", pick({"/", "/v1/tables/units", "/nothing/" .. asked, "/docs", "/readyz"}))
  elseif dice < 0.96 then
    return wrk.format("POST", "/v1/tyre", json, string.format('{"tyre": "%.4f in"}', 28 + 14 * math.random()))
  elseif dice < 0.98 then
    return wrk.format("POST", "/v1/final-drive", csv,
      string.format("tyre,axle_ratio\\n%.4f in,4.1\\n33 in,%.5f\\n", 28 + math.random(), 3 + math.random()))
  end
  return wrk.format("POST", "/v1/comparison.csv", json, string.format(
    '{"build": {"tyre": "35 in", "gear_ratios": [4]}, "vary": {"axle_ratio": [%.6f, 4.1]}, ' ..
    '"report": ["crawl_ratio"]}',
    3 + math.random()))
end
function response(status)
  left = left + 1
  answered[status] = (answered[status] or 0) + 1
  if left == wanted then
    for code, count in pairs(answered) do io.stderr:write(code, " ", count, "\\n") end
    io.stderr:write("done\\n")
    wrk.thread:stop()
  end
end
"""  # fmt: skip


@dataclass
class Asker:
    """Asks with wrk, of which one thread is less work for the machine than the answers."""

    service: Running
    script: Path
    seed: int = 0

    def ask(self, count: int, charts_per_mille: int) -> Counter[int]:
        """So many requests; the statuses of the answers."""
        self.seed += 1
        words = ["wrk", "-t1", "-c8", "-d3600", "-s", str(self.script), "--timeout", "60s"]
        address = f"http://127.0.0.1:{self.service.port}"
        asked = [str(count), str(self.seed), str(charts_per_mille)]
        command = [*words, address, "--", *asked]
        with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
            assert process.stderr is not None
            found = Counter[int]()
            while (line := process.stderr.readline()) != "done\n":
                assert line, "wrk ended before all was answered"
                code, many = map(int, line.split())
                found[code] = many
            process.send_signal(signal.SIGINT)
            summary, _ = process.communicate()
        assert "Socket errors" not in summary, summary
        return found


def slope(counts: list[int], memories: list[float]) -> float:
    """MB in 10,000 requests."""
    return float(np.polyfit(np.array(counts) / 10_000, memories, 1)[0])


def grown(requests: int, step: int = STEP, workers: int = 2) -> list[float]:
    """The slope of each worker, and all the figures printed."""
    before = [sys.executable, "-c", WITHOUT_RENEWAL]
    off = "requests_per_minute", "cpu_seconds_per_minute", "at_once", "charts_at_once", "many_at_once"
    limits = dict.fromkeys((*off, "access_log"), 0)
    with tempfile.TemporaryDirectory() as folder, running(workers, before, **limits) as service:
        script = Path(folder) / "ask.lua"
        script.write_text(ASKING)
        asker = Asker(service, script)
        statuses = Counter[int]()
        for _ in range(
            4 * workers
        ):  # each round shares its connections out anew: all workers get their charts
            statuses += asker.ask(KEPT, 1000)
        statuses += asker.ask(step, 2)
        found = service.workers()
        asked, counts, memories = 0, [0], [[memory(worker) for worker in found]]
        print(f"after the warm-up of {statuses.total()}: {told(memories[-1])}", flush=True)
        while asked < requests:
            statuses += asker.ask(step, 2)
            asked += step
            counts.append(asked)
            memories.append([memory(worker) for worker in found])
            print(f"{asked:7}: {told(memories[-1])}", flush=True)
        assert service.workers() == found, "the same workers as in the beginning"
    slopes = [slope(counts, list(of_one)) for of_one in zip(*memories, strict=True)]
    print("answers:", ", ".join(f"{count} x {code}" for code, count in sorted(statuses.items())))
    print("growth in 10,000 requests:", ", ".join(f"{each:+.3f} MB" for each in slopes))
    assert {*statuses} <= {200, 404, 422}, statuses
    return slopes


def told(memories: list[float]) -> str:
    return ", ".join(f"{each:.1f} MB" for each in memories)


if __name__ == "__main__":
    slopes = grown(int(sys.argv[1]) if len(sys.argv) > 1 else 200_000)
    sys.exit(max(slopes) >= MOST_PER_10_000)
