"""Six tyres, eight ratios, three transfer cases, two gearboxes and three axles: 864 combinations of parts.csv.

Run it beside a running service:  python shortlist_study.py [http://127.0.0.1:8000]. All prices are invented.
"""

import csv
import sys
from pathlib import Path

from gearing_client import Client

TRUCK = {"original_tyre": "LT245/75R17", "original_axle_ratio": 3.73, "original_ring_gear_diameter": 7.125}
ENGINE = {"peak_torque": 260, "peak_torque_speed": 3200, "peak_power": 215, "peak_power_speed": 5000}
BOUNDS = {"crawl_ratio": (70, 90), "cruise_engine_speed": (2000, 2600), "steepest_grade_percent": (6, 100)}
BOUNDS |= {"housing_clearance": (11, 15), "strength_change_percent": (0, 900)}
AIMS = {"price": "low", "strength_change_percent": "high", "housing_clearance": "high"}

among: dict[str, list[dict[str, object]]] = {}
for row in csv.DictReader(Path(__file__).with_name("parts.csv").read_text("utf-8").splitlines()):
    part = {name: cell for name, cell in row.items() if cell and name != "part"}
    among.setdefault(row["part"], []).append({**part, "price": float(row["price"])})
build = {**TRUCK, **ENGINE, "vehicle_mass": 5300, "altitude": 1500}
targets = {name: {"least": least, "most": most} for name, (least, most) in BOUNDS.items()}
with Client(sys.argv[1] if sys.argv[1:] else None) as client:
    found = client.shortlist(build, among, sums=["price"], targets=targets, aims=AIMS)
lines = [f"{choice.sums['price']:.0f}: {choice.label}. {choice.gives_up}" for choice in found]
print(found.summary, *lines, *(step.text for step in found.steps), sep="\n")
