"""What shortlists cost: processor seconds of requests over the whole application in process, and of fronts alone.

python -m tests.benchmarks.shortlists
"""

import resource
import time
from typing import Any

import numpy as np
from flask.testing import FlaskClient

from gearing_api.app import create_app
from gearing_api.batch.fronts import unbeaten
from gearing_api.http.shortlist import ADDRESS
from gearing_api.settings import Settings
from gearing_api.vehicle.demo_truck import TRUCK

CHOSEN = {
    "tyre",
    "axle_ratio",
    "ring_gear_diameter",
    "transfer_ratios",
    "gear_ratios",
    "vehicle_mass",
    "peak_torque",
}
THREE = {
    "crawl_ratio": {"least": 50},
    "cruise_engine_speed": {"least": 2000, "most": 2600},
    "weakest_margin": {"least": 0.6},
}
CONFLICTING = {"price": "low", "weakest_margin": "high", "crawl_ratio": "high", "hours": "low"}
EVERY_PART = {
    "steepest_grade_percent": {"least": 2},
    "weakest_margin": {"least": 0.1},
    "settling_speed": {"most": 40},
    "tip_up_percent": {"least": 1},
    "stop_energy": {"least": 1},
}


def plan(tyres: int, gears: int, axles: int, lows: int, masses: int = 1, **more: Any) -> dict[str, Any]:
    """Choices of five parts with invented prices."""
    build = {name: value for name, value in TRUCK.items() if name not in CHOSEN}
    build |= {"gear_ratios": TRUCK["gear_ratios"], "peak_torque": TRUCK["peak_torque"]}
    among = {
        "tyres": [
            {"name": f"{size:.2f}", "tyre": f"{size:.2f} in", "price": 90 * (size - 30)}
            for size in np.linspace(30, 40, tyres)
        ],
        "gears": [
            {
                "name": f"{ratio:.3f}",
                "axle_ratio": round(float(ratio), 3),
                "price": 1000.0 + 100 * (place % 7),
            }
            for place, ratio in enumerate(np.linspace(3.5, 5.4, gears))
        ],
        "axle": [
            {
                "name": f"axle {place}",
                "ring_gear_diameter": 7 + place / 10,
                "price": 130.0 * place,
                "hours": 3.0 * place,
            }
            for place in range(axles)
        ],
        "low range": [
            {"name": f"low {place}", "transfer_ratios": [1, 2.5 + place / 5], "price": 300.0 * place}
            for place in range(lows)
        ],
        "loaded": [
            {"name": f"load {place}", "vehicle_mass": 5000 + 50 * place, "price": -20.0 * place}
            for place in range(masses)
        ],
    }
    return {"build": build, "among": among, "sums": ["price", "hours"], "aims": CONFLICTING, **more}


def cost(client: FlaskClient, asked: dict[str, Any], query: str = "") -> tuple[float, str]:
    """Return the processor seconds of one request, and its summary."""
    client.post(ADDRESS, json=plan(2, 2, 1, 1, targets=asked["targets"]))
    start = time.process_time()
    response = client.post(ADDRESS + query, json=asked)
    return time.process_time() - start, response.get_json().get("summary") or response.text[:200]


def main() -> None:
    """Print a line for each request."""
    client = create_app(Settings(requests_per_minute=0, cpu_seconds_per_minute=0, cells=10**7)).test_client()
    requests = {
        "5,000 over three questions": (plan(10, 10, 10, 5, targets=THREE), ""),
        "5,000, every part read by each": (plan(10, 5, 2, 5, 10, targets=EVERY_PART), ""),
        "the same with bands": (plan(10, 5, 2, 5, 10, targets=EVERY_PART, show=50), "?bands=1"),
        "100,000 over three questions": (plan(20, 25, 20, 10, targets=THREE), ""),
        "100,000, every part read by each": (plan(20, 10, 5, 10, 10, targets=EVERY_PART), ""),
    }
    for name, (asked, query) in requests.items():
        seconds, summary = cost(client, asked, query)
        print(f"{name:34s} {seconds:6.2f} s  {summary}", flush=True)
    random = np.random.default_rng(1)
    for aims in (2, 3, 4):
        columns = [random.random(100_000) for _ in range(aims - 1)]
        conflicting = [*columns, -np.cumsum(columns, axis=0)[-1]]
        start = time.process_time()
        found = int(unbeaten(conflicting, 100_000).sum())
        print(
            f"{f'{found:,} of 100,000 unbeaten, {aims} aims':34s} {time.process_time() - start:6.2f} s",
            flush=True,
        )
    print(f"memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
