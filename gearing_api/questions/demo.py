"""The demo build: a volunteer mountain-rescue team's light truck, invented, before and after a swap."""

TRUCK: dict[str, object] = {
    "tyre": "35x12.50R17LT 121Q",
    "original_tyre": "LT245/75R17 121/118S",
    "tyre_pressure": 32,
    "tyre_load": "1325 lb",
    "axle_ratio": 4.56,
    "original_axle_ratio": 3.73,
    "gear_ratios": [4.46, 2.61, 1.72, 1.25, 1.0, 0.84],
    "reverse_ratio": 4.06,
    "transfer_ratios": [1, 2.72],
    "idle_speed": 750,
    "redline_speed": 5500,
    "peak_torque": "260 lb-ft",
    "peak_torque_speed": 3200,
    "peak_power": "215 hp",
    "peak_power_speed": 5000,
    "cruise_speed": 65,
    "grade_percent": 0,
    "altitude": 1500,
    "vehicle_mass": 5300,
    "front_axle_share": 0.53,
    "wheelbase": 109,
    "mass_centre_height": 31,
    "surface": "dry-earth",
}


def truck(*names: str, **more: object) -> dict[str, object]:
    """Those fields of the demo build, and others."""
    return {name: TRUCK[name] for name in names} | more
