"""What should the rescue team buy? Three tyres, four ratios and two donor axles, 5,000 to spend.

Run it beside a running service:  python rescue_decision.py [http://127.0.0.1:8000]

The truck and all prices are invented. It has to climb better in low range, clear ruts an inch deeper, still
hold a 6 % grade in some gear at the cruising speed, and no part of the axle may have less in hand than before.
"""

import sys

from gearing_client import Client, GearingError, Shortlist

TRUCK: dict[str, object] = {
    "original_tyre": "LT245/75R17 121/118S",
    "original_axle_ratio": 3.73,
    "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84],
    "transfer_ratios": [1, 2.72],
    "vehicle_mass": 5300,
    "front_axle_share": 0.53,
    "altitude": 1500,
    "peak_torque": 260,
    "peak_torque_speed": 3200,
    "peak_power": 215,
    "peak_power_speed": 5000,
    "surface": "dry-earth",
    "pinion_height": "low",
    "inner_pitch": 24,
    "stub_pitch": 24,
    "stub_splines": 27,
}
AXLE: dict[str, object] = {
    "ring_gear_diameter": 7.125,
    "inner_splines": 27,
    "inner_steel": "carbon-case-hardened",
    "stub_steel": "carbon-case-hardened",
    "joint_rating": "2300 lb-ft",
    "housing_drop": 4.5,
}
DONOR: dict[str, object] = {
    "ring_gear_diameter": 8.5,
    "inner_splines": 30,
    "inner_steel": "alloy-4340",
    "stub_steel": "alloy-4340",
    "joint_rating": "3400 lb-ft",
    "housing_drop": 5,
}
LARGE_DONOR: dict[str, object] = {
    "ring_gear_diameter": 9.75,
    "inner_splines": 35,
    "inner_steel": "alloy-4340",
    "stub_steel": "alloy-4340",
    "stub_splines": 32,
    "joint_rating": "4700 lb-ft",
    "housing_drop": 5.5,
}
AMONG: dict[str, list[dict[str, object]]] = {
    "tyres": [
        {"name": "tyres as they are", "tyre": "LT245/75R17 121/118S"},
        {"name": "33s", "tyre": "33x12.50R17LT 120Q", "price": 1300},
        {"name": "35s", "tyre": "35x12.50R17LT 121Q", "price": 1500},
    ],
    "gears": [
        {"name": "3.73", "axle_ratio": 3.73},
        {"name": "4.10", "axle_ratio": "41/10", "price": 1250, "hours": 16},
        {"name": "4.56", "axle_ratio": "41/9", "price": 1250, "hours": 16},
        {"name": "4.88", "axle_ratio": "39/8", "price": 1350, "hours": 16},
    ],
    "axle": [
        {"name": "axle as it is", **AXLE},
        {"name": "donor", "price": 1600, "hours": 30, **DONOR},
        {"name": "large donor", "price": 2600, "hours": 45, **LARGE_DONOR},
    ],
}
TARGETS = {
    "price": {"most": 5000},
    "crawl_ratio": {"least": 50},
    "housing_clearance": {"least": 11},
    "steepest_grade_percent": {"least": 6},
    "strength_change_percent": {"least": 0},
}


def decide(base_url: str) -> Shortlist:
    """Ask for the parts that together meet all targets."""
    original = {f"original_{name}": value for name, value in AXLE.items()}
    with Client(base_url) as client:
        return client.shortlist(
            {**TRUCK, **original},
            AMONG,
            sums=["price", "hours"],
            targets=TARGETS,
            aims={"price": "low", "strength_change_percent": "high", "housing_clearance": "high"},
            bands=True,
        )


def main(base_url: str) -> None:
    """Print what is left, what each gives up, and in which order to buy the cheapest."""
    try:
        found = decide(base_url)
    except GearingError as error:
        sys.exit(f"rescue_decision: {error}")
    print(found.summary)
    for row in found:
        print(f"\n{row.label}: {row.sums['price']:.0f}, {row.sums['hours']:.0f} h. {row.gives_up}")
        print(f"  meets all in {row.meets_share:.0%} of the draws, is best in {row.best_share:.0%}")
        if row.depends_on:
            print(f"  depends on {', '.join(row.depends_on)}")
        for caution in row.cautions:
            print(f"  {caution.level}: {caution.text}")
    print("\nIn this order:")
    for step in found.steps:
        print(step.text)


if __name__ == "__main__":
    main(*sys.argv[1:2] or ["http://127.0.0.1:8000"])
