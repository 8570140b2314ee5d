"""Axle ratios for each truck of a catalogue on bigger tyres, and what they do to crawl and cruise.

Run it beside a running service:  python regear_catalogue.py [http://127.0.0.1:8000]

The catalogue is invented: the light trucks of a volunteer mountain-rescue team.
"""

import sys

from gearing_client import Client, GearingError

CATALOGUE: dict[str, dict[str, object]] = {
    "ambulance": {
        "original_tyre": "LT245/75R17 121/118S",
        "original_axle_ratio": 3.73,
        "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84],
        "transfer_ratios": [1, 2.72],
        "vehicle_mass": 6100,
        "peak_torque": 260,
        "peak_torque_speed": 3200,
        "peak_power": 215,
        "peak_power_speed": 5000,
    },
    "winch truck": {
        "original_tyre": "265/70R17",
        "original_axle_ratio": 3.42,
        "gear_ratios": [5.79, 3.31, 2.1, 1.31, 1.0, 0.72],
        "transfer_ratios": [1, 4],
        "vehicle_mass": 7200,
        "peak_torque": 385,
        "peak_torque_speed": 1600,
        "peak_power": 240,
        "peak_power_speed": 3400,
        "redline_speed": 4000,
        "engine_kind": "diesel-turbo",
    },
    "scout": {
        "original_tyre": "235/75R15",
        "original_axle_ratio": 4.1,
        "gear_ratios": [3.83, 2.33, 1.44, 1.0, 0.79],
        "transfer_ratios": [1, 2.62],
        "vehicle_mass": 3900,
        "peak_torque": 220,
        "peak_torque_speed": 3500,
        "peak_power": 180,
        "peak_power_speed": 4800,
    },
}
TYRES = ["33x10.50R17LT", "35x12.50R17LT"]
REPORT = ["effective_ratio", "cruise_engine_speed", "steepest_grade_percent", "crawl_ratio", "crawl_speed"]
HEADING = ("tyre", "axle", "feels like", "cruise rpm", "grade %", "crawl", "creeps mph", "")


def main(base_url: str) -> None:
    """Print what suits each truck on each tyre, beside what it has."""
    try:
        with Client(base_url) as client:
            recommended = recommendations(client)
            for name, truck in CATALOGUE.items():
                print(f"\n{name}: {truck['original_axle_ratio']} on {truck['original_tyre']} until now")
                print_comparison(client, truck, recommended[name])
    except GearingError as error:
        sys.exit(f"regear_catalogue: {error}")


def recommendations(client: Client) -> dict[str, dict[str, float]]:
    """The ratio that ranks first, by truck and tyre; all are asked in one request."""
    places = [(name, tyre) for name in CATALOGUE for tyre in TYRES]
    builds = [{**CATALOGUE[name], "tyre": tyre} for name, tyre in places]
    ratios = [
        ratio
        for _, answers in client.iter_batches("regear", builds)
        for ratio in answers["recommended_ratio"]
    ]
    found: dict[str, dict[str, float]] = {name: {} for name in CATALOGUE}
    for (name, tyre), ratio in zip(places, ratios, strict=True):
        if isinstance(ratio, float):
            found[name][tyre] = ratio
    return found


def print_comparison(client: Client, truck: dict[str, object], recommended: dict[str, float]) -> None:
    """The truck on each tyre with the ratio it has and with those that suit; a star at the one that does."""
    ratios = [truck["original_axle_ratio"], *sorted(set(recommended.values()))]
    table = client.compare(truck, {"tyre": TYRES, "axle_ratio": ratios}, REPORT)
    print("{:<15}{:>6}{:>12}{:>12}{:>9}{:>8}{:>12}{:>3}".format(*HEADING))
    for row in table:
        star = "*" if recommended.get(str(row["tyre"])) == row["axle_ratio"] else ""
        print(
            f"{row['tyre']:<15}{row['axle_ratio']:>6.2f}{row['effective_ratio']:>12.2f}"
            f"{row['cruise_engine_speed']:>12.0f}{row['steepest_grade_percent']:>9.1f}"
            f"{row['crawl_ratio']:>8.1f}{row['crawl_speed']:>12.2f}{star:>3}"
        )


if __name__ == "__main__":
    main(*sys.argv[1:2] or ["http://127.0.0.1:8000"])
