"""Ten thousand builds in one request, as a ratio to ten thousand requests on one kept connection.

Run it on demand: ``python -m tests.benchmarks.rows``. One worker; its CPU time counts and, beside it, the
time on the clock. The builds are drawn at random: sizes, gearboxes and ranges from a catalogue, numbers as
they come, so that most rows differ in most numbers.
"""

import csv
import http.client
import io
import json
import random
import statistics
import time
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from tests.benchmarks.request_cost import cpu_seconds
from tests.benchmarks.service import service

COUNT, ROUNDS = 10_000, 3
TYRES = ["35x12.50R17LT", "LT315/75R16 121/118S", "265/70R17 115T", "33.4 in", "37x13.50R17LT", "LT285/70R17",
         "7.50R16C", "255/100R16", "LT235/85R16", "31x10.50R15LT"]  # fmt: skip
GEARBOXES = ["4.46,2.61,1.72,1.25,1,0.84", "3.83,2.33,1.44,1,0.79", "4.71,3.14,2.1,1.67,1.29,1,0.84,0.67"]
RANGES = ["1,2.72", "1,4", "1,2.48", "1,1.96,2.72,5.33"]


def builds() -> list[dict[str, Any]]:
    """A catalogue of builds, the same each time."""
    drawn = random.Random(5)
    return [
        {
            "tyre": drawn.choice(TYRES),
            "axle_ratio": round(drawn.uniform(3.07, 5.38), 2),
            "gear_ratios": drawn.choice(GEARBOXES),
            "transfer_ratios": drawn.choice(RANGES),
            "peak_torque": round(drawn.uniform(180, 420), 1),
            "vehicle_mass": round(drawn.uniform(3500, 7500)),
            "idle_speed": drawn.randrange(600, 900, 5),
        }
        for _ in range(COUNT)
    ]


def main() -> None:
    """Print the ratios."""
    made = builds()
    out = io.StringIO()
    writer = csv.DictWriter(out, list(made[0]))
    writer.writeheader()
    writer.writerows(made)
    rows, columns = out.getvalue().encode(), {name: [one[name] for one in made] for name in made[0]}
    batch = json.dumps({"columns": columns}).encode()
    queries = [f"/v1/crawl?{urlencode(one)}" for one in made]

    with service() as (port, (worker,)):
        connection = http.client.HTTPConnection("127.0.0.1", port)

        def asked(method: str, path: str, body: bytes | None = None, media_type: str = "") -> bytes:
            connection.request(method, path, body, {"Content-Type": media_type} if body else {})
            response = connection.getresponse()
            assert response.status == 200
            return response.read()

        def singly() -> list[float]:
            return [json.loads(asked("GET", query))["result"]["crawl_speed"] for query in queries]

        def as_csv() -> list[float]:
            text = asked("POST", "/v1/crawl", rows, "text/csv").decode()
            return [float(row["crawl_speed"]) for row in csv.DictReader(io.StringIO(text))]

        def as_json() -> list[float]:
            answer = json.loads(asked("POST", "/v1/crawl/batch", batch, "application/json"))
            assert answer["error_count"] == 0
            return list(answer["columns"]["crawl_speed"])

        def timed(work: Callable[[], list[float]]) -> tuple[list[float], float, float]:
            cpu, clock = cpu_seconds(worker), time.perf_counter()
            found = work()
            return found, cpu_seconds(worker) - cpu, time.perf_counter() - clock

        ways = {"single requests": singly, "rows of CSV": as_csv, "columns of JSON": as_json}
        rounds = [{name: timed(work) for name, work in ways.items()} for _ in range(ROUNDS)]
    for name in ways:
        assert all(one[name][0] == rounds[0]["single requests"][0] for one in rounds), (
            "the same to the last bit"
        )
        cpu, clock = (statistics.median(one[name][part] for one in rounds) for part in (1, 2))
        ratio, on_clock = (
            statistics.median(one["single requests"][part] / one[name][part] for one in rounds)
            for part in (1, 2)
        )
        print(
            f"{COUNT} builds as {name:16} {cpu:6.3f} s CPU: 1/{ratio:.0f}; {clock:6.3f} s: 1/{on_clock:.0f}"
        )


if __name__ == "__main__":
    main()
