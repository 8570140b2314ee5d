"""Builds of other kinds than the demo build, all invented: their whole answers are kept too.

Each is meant to lead the questions through other branches than the demo build does: other engines, gearboxes,
axles, loads and units, and values at which many cautions come. As in `answers.py`, what compares them is a
regression test and proves nothing of the formulas.
"""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np

from gearing_api.formats.document import document
from gearing_api.questions import QUESTIONS, ask, read_build
from gearing_api.units import Quantity, System
from gearing_api.vocabulary import InvalidBuild

FOLDER = Path(__file__).parent / "other_builds"
_CHASSIS = {
    "vehicle_mass": 5100, "front_axle_share": 0.55, "wheelbase": 106, "mass_centre_height": 29,
}  # fmt: skip

_US: dict[str, dict[str, Any]] = {
    "electric, one gear, portal hubs": {
        "tyre": "37x12.50R17LT 124Q", "original_tyre": "LT265/70R17 121/118S", "axle_ratio": 4.1,
        "original_axle_ratio": 4.1, "hub_ratio": 1.43, "hub_reverses": "yes", "gear_ratios": [2.1],
        "gearbox_kind": "single-speed", "engine_kind": "electric", "redline_speed": 13500,
        "torque_curve": "0:290,4200:290,6000:203,9000:130,13500:70", "battery_energy": 118, "battery_full": "yes",
        "cruise_speed": 58, "grade_percent": 4, "hold_grade_percent": 6,
        "descent_grade_percent": 11, "descent_height": 1800, "altitude": 5200, **_CHASSIS, "vehicle_mass": 6900,
        "surface": "gravel", "driven_axles": "both", "centre_differential": "yes", "tread": "all-terrain",
        "axle_position": "rear", "ring_gear_diameter": 9.25, "differential": "limited-slip", "bias_ratio": 2.8,
        "inner_splines": 35, "inner_pitch": 24, "inner_steel": "alloy-300m", "inner_length": 30,
        "axle_kind": "full-floating", "bearing_arm": 1.8, "bearing_span": 4.2, "tube_diameter": 3.5,
        "tube_wall": 0.375, "hub_box_width": 4.5, "hub_offset": 4, "mounting_width": 68, "wheel_offset": -1.5,
        "original_mounting_width": 63, "original_wheel_offset": 0, "housing_drop": 5.5,
        "original_housing_drop": 5, "spring_seat_spacing": 38, "tyre_pressure": 22, "tyre_load": 1750,
        "rated_pressure": 65, "wheel_width": 9, "axle_mass": 610, "original_axle_mass": 480,
        "target_crawl_speed": 1.2, "available_ratios": [3.7, 4.1, 4.56], "to_speed": 65, "overtaken_speed": 45,
        "front_axle_ratio": 4.1, "rear_axle_ratio": 4.1, "front_hub_ratio": 1.43, "rear_hub_ratio": 1.43,
        "propshaft_run": 41, "propshaft_drop": 4, "propshaft_joints": "two-cross", "output_slope": -1,
        "pinion_slope": -1.5, "propshaft_tube_diameter": 3, "propshaft_tube_wall": 0.083,
        "propshaft_joint_rating": 1800, "speed_sensor": "wheel",
    },
    "turbo diesel, open converter, braked trailer": {
        "tyre": "LT285/75R16 126/123R", "original_tyre": "LT245/75R16 120/116S", "axle_ratio": 4.3,
        "original_axle_ratio": 3.73, "gear_ratios": [3.5, 2.1, 1.4, 1.0, 0.72], "reverse_ratio": 3.1,
        "transfer_ratios": [1, 2.6, 3.9], "gearbox_kind": "automatic", "converter_stall_speed": 2100,
        "converter_stall_ratio": 1.95, "converter_locked": "no", "engine_kind": "diesel-turbo",
        "engine_displacement": 4.2, "idle_speed": 700, "redline_speed": 4000, "peak_torque": 380,
        "peak_torque_speed": 1700, "peak_torque_to_speed": 2500, "peak_power": 215, "peak_power_speed": 3500,
        "idle_torque": 150, "critical_altitude": 6500, "altitude": 9200, "driveline_efficiency": 0.87,
        **_CHASSIS, "trailer_mass": 4200, "tongue_mass": 480, "hitch_overhang": 4.2, "hitch_height": 21,
        "trailer_drag_area": 18, "trailer_brakes": "yes", "tread": "mud", "cruise_speed": 55,
        "grade_percent": 6, "hold_grade_percent": 7, "descent_grade_percent": 8, "descent_height": 3600,
        "brake_disc_mass": 92, "brake_front_share": 0.62, "surface": "wet-asphalt", "fuel_mix": "30:0.2,50:0.3,65:0.5",
        "measured_fuel_economy": 17, "measured_at_speed": 60, "tank_volume": 25, "shift_time": 0.3,
        "to_speed": 55, "overtaken_speed": 40, "overtaken_length": 90, "axle_position": "rear",
        "ring_gear_diameter": 10.5, "original_ring_gear_diameter": 9.5, "pinion_height": "high",
        "face_width": 1.6, "spiral_angle": 33, "pressure_angle": 22.5, "overload_factor": 1.25,
        "load_distribution_factor": 1.2, "bending_geometry_factor": 0.24, "contact_geometry_factor": 0.11,
        "differential": "open", "inner_diameter": 1.5, "inner_steel": "carbon-1050-205c", "inner_length": 34,
        "axle_kind": "semi-floating", "bearing_arm": 2.4, "half_shaft_end_diameter": 1.4, "tube_diameter": 3,
        "tube_wall": 0.25, "tube_yield": 50, "spring_seat_spacing": 40, "mounting_width": 62, "track": 61,
        "impact_factor": 2.5, "truss_diameter": 1.25, "truss_wall": 0.12, "truss_height": 4.5, "truss_end": 10,
        "truss_panel": 6, "truss_web_wall": 0.12, "truss_weld_leg": 0.15, "truss_weld_share": 0.6,
        "target_crawl_ratio": 45, "target_overtaking_time": 14, "target_fuel_change_percent": 4,
        "available_ratios": [3.9, 4.1, 4.3, 4.56], "cruise_engine_speed_range": [1700, 2400],
        "ring_gear_load_limit": 1.1, "tyre_pressure": 50, "tyre_load": 1900, "rated_pressure": 80,
        "loads": [[160, 30, 40], [220, -18]], "roof_height": 78, "lift_height": 3, "propshaft_run": 52,
        "propshaft_drop": 9, "propshaft_side": 2, "output_slope": -3, "pinion_slope": -5,
        "propshaft_joints": "two-cross", "propshaft_phase": "crossed", "link_length": 44, "link_drop": 7,
        "bump_travel": 5, "droop_travel": 6,
    },
    "continuously variable, coast-down known": {
        "tyre": "P235/65R17 104T", "original_tyre": "P225/65R17 102T", "axle_ratio": 5.4,
        "original_axle_ratio": 5.1, "gear_ratios": [2.43, 0.41], "transfer_ratios": [1], "gearbox_kind": "cvt",
        "converter_stall_speed": 2300, "engine_kind": "petrol-turbo", "engine_displacement": 1.8,
        "idle_speed": 800, "redline_speed": 6200, "power_curve": "1000:30,2000:80,3000:128,4500:168,5200:172,6200:150",
        "road_load": "30,0.4,0.028", "road_load_covariance": "4,0,0,0.001,0,0.0000009", **_CHASSIS,
        "vehicle_mass": 3700, "cruise_speed": 70, "grade_percent": 3, "altitude": 2400,
        "descent_grade_percent": 7, "descent_height": 900, "descent_speed": 45, "surface": "wet-concrete",
        "driven_axles": "front", "centre_differential": "no", "measured_fuel_per_distance": 7.9,
        "tank_volume": 15, "to_speed": 70, "from_speed": 20, "overtaken_speed": 55, "target_crawl_speed": 4,
        "available_ratios": [5.1, 5.4], "original_overreading_percent": 2.5, "speed_sensor": "gearbox",
        "indicated_speeds": [20, 45, 70], "tyre_pressure": 33, "tyre_load": 1080, "wheel_width": 7,
    },
    "crawler on spools, three ranges, trussed": {
        "tyre": "42x14.50-17", "original_tyre": "31x10.50R15", "axle_ratio": "43/8",
        "original_axle_ratio": 3.55, "gear_ratios": [6.32, 3.09, 1.69, 1.0], "reverse_ratio": 6.9,
        "transfer_ratios": [1, 2.03, 4.7], "idle_speed": 650, "redline_speed": 4800,
        "torque_curve": "600:240,1500:300,2500:330,3600:315,4800:260", "vehicle_mass": 4700,
        "front_axle_share": 0.6, "wheelbase": 112, "mass_centre_height": 35, "surface": "dry-concrete",
        "rolling_resistance": 0.03, "adhesion": 1.05, "grade_percent": 60, "side_slope_percent": 40, "track": 66,
        "cruise_speed": 35, "descent_grade_percent": 55, "descent_height": 60, "target_crawl_ratio": 120,
        "axle_position": "front", "pinion_height": "high", "ring_gear_diameter": 8.9,
        "original_ring_gear_diameter": 8.0, "differential": "spool", "inner_splines": 40, "inner_pitch": 24,
        "inner_steel": "alloy-4330v", "inner_length": 38, "stub_splines": 36, "stub_pitch": 22,
        "stub_steel": "alloy-300m", "joint": "constant-velocity", "joint_rating": 6800, "steer_angle": 40,
        "tube_diameter": 3.25, "tube_wall": 0.5, "tube_yield": 75, "truss_diameter": 1.5, "truss_wall": 0.188,
        "truss_height": 6, "truss_end": 8, "truss_panel": 7, "truss_web_wall": 0.188, "truss_weld_leg": 0.19,
        "spring_seat_spacing": 36, "mounting_width": 67, "wheel_offset": -2.5, "scrub_radius": 4.6,
        "kingpin_inclination": 9, "caster": 7, "impact_factor": 4, "tyre_pressure": 8, "tyre_load": 1500,
        "vertical_stiffness": 1400, "axle_mass": 700, "original_axle_mass": 400, "housing_drop": 6,
        "front_axle_ratio": 5.38, "rear_axle_ratio": 5.13, "front_tyre": "42x14.50-17", "rear_tyre": "40 in",
        "spare_tyre": "39 in", "spare_position": "rear", "front_differential": "spool",
        "rear_differential": "locked", "available_ratios": [4.88, 5.38, 6.17], "propshaft_run": 24,
        "propshaft_drop": 16, "propshaft_side": 3, "output_slope": 0, "pinion_slope": -24,
        "propshaft_joints": "double-cardan", "propshaft_tube_diameter": 1.75, "propshaft_tube_wall": 0.188,
        "propshaft_joint_rating": 900, "link_length": 36, "link_drop": 9, "bump_travel": 8, "droop_travel": 12,
    },
    "old petrol truck on bias-ply tyres": {
        "tyre": "7.50-16C", "original_tyre": "7.00-16C", "axle_ratio": 4.7, "original_axle_ratio": 4.7,
        "gear_ratios": [3.6, 2.2, 1.5, 1.0], "reverse_ratio": 3.0, "transfer_ratios": [1.15, 2.35],
        "idle_speed": 600, "redline_speed": 4200, "peak_torque": 125, "peak_torque_speed": 2000,
        "peak_power": 77, "peak_power_speed": 4000, "engine_displacement": 2.3, "vehicle_mass": 4000,
        "front_axle_share": 0.48, "wheelbase": 88, "cruise_speed": 50, "grade_percent": 9,
        "hold_grade_percent": 5, "altitude": 7000, "descent_grade_percent": 22, "descent_height": 2500,
        "surface": "wet-earth", "driven_axles": "rear", "tyre_pressure": 18, "tyre_load": 1150,
        "rated_pressure": 36, "trailer_mass": 1500, "trailer_brakes": "no", "hitch_overhang": 3,
        "fuel_mix": "35:0.5,50:0.5", "tank_volume": 12, "axle_position": "rear", "ring_gear_diameter": 8.1,
        "differential": "limited-slip", "inner_splines": 10, "inner_diameter": 1.25,
        "inner_steel": "carbon-quenched", "inner_length": 27, "tube_diameter": 2.6, "tube_wall": 0.2,
        "mounting_width": 52, "spring_seat_spacing": 33, "axle_kind": "full-floating", "bearing_arm": 1,
        "from_speed": 0, "to_speed": 50, "overtaken_speed": 30, "available_ratios": [4.3, 4.7, 5.1],
        "propshaft_run": 30, "propshaft_drop": 3, "propshaft_joints": "two-cross", "output_slope": -3,
        "pinion_slope": 3,
    },
    "taller tyre and little else": {
        "tyre": "33x10.50R15LT", "original_tyre": "30x9.50R15LT", "axle_ratio": 3.73,
        "gear_ratios": [4.0, 2.4, 1.5, 1.0], "vehicle_mass": 4100, "descent_grade_percent": 10,
        "propshaft_run": 28, "propshaft_drop": 7, "front_axle_ratio": 3.73, "rear_axle_ratio": 3.73,
        "front_tyre": "33x10.50R15LT", "rear_tyre": "33x10.50R15LT",
    },
    "overloaded van on ice": {
        "tyre": "LT225/75R16 115/112Q", "original_tyre": "LT235/85R16 120/116R", "axle_ratio": 3.21,
        "original_axle_ratio": 4.88, "gear_ratios": [4.7, 2.9, 1.9, 1.3, 1.0, 0.8, 0.68], "reverse_ratio": 3.3,
        "transfer_ratios": [1, 2.1], "gearbox_kind": "automatic", "converter_stall_ratio": 2.2,
        "engine_kind": "petrol", "engine_displacement": 5.4, "idle_speed": 550, "redline_speed": 5200,
        "peak_torque": 350, "peak_torque_speed": 2500, "peak_power": 255, "peak_power_speed": 4500,
        "vehicle_mass": 9800, "front_axle_share": 0.38, "wheelbase": 138, "mass_centre_height": 44,
        "roof_height": 108, "lift_height": 5, "loads": [[900, 20, 70], [700, -30, 30]], "track": 60,
        "side_slope_percent": 35, "grade_percent": 12, "trailer_mass": 7600, "trailer_brakes": "no",
        "hitch_overhang": 5, "hitch_height": 19, "surface": "ice", "cruise_speed": 80, "altitude": 12500,
        "descent_grade_percent": 16, "descent_height": 7000, "tyre_pressure": 40, "tyre_load": 2900,
        "rated_pressure": 65, "wheel_width": 5, "axle_position": "rear", "ring_gear_diameter": 8.6,
        "original_ring_gear_diameter": 10.25, "differential": "locked", "inner_splines": 31,
        "inner_pitch": 24, "inner_steel": "carbon-case-hardened", "inner_length": 31,
        "axle_kind": "semi-floating", "bearing_arm": 3.2, "half_shaft_end_diameter": 1.3,
        "tube_diameter": 2.8, "tube_wall": 0.19, "mounting_width": 70, "original_mounting_width": 61,
        "wheel_offset": -3, "original_wheel_offset": 2, "spring_seat_spacing": 32, "impact_factor": 3,
        "to_speed": 80, "overtaken_speed": 60, "target_overtaking_time": 8, "target_crawl_ratio": 60,
        "hold_grade_percent": 6, "target_fuel_change_percent": -5, "cruise_engine_speed_range": [2300, 2600],
        "ring_gear_load_limit": 0.9, "available_ratios": [3.21, 4.1, 5.13], "measured_fuel_economy": 10.5,
        "fuel_mix": "45:0.2,80:0.8", "tank_volume": 44, "propshaft_run": 74, "propshaft_drop": 12,
        "propshaft_side": 6, "output_slope": -6, "pinion_slope": 1, "propshaft_joints": "two-cross",
        "propshaft_tube_diameter": 2.5, "propshaft_tube_wall": 0.065, "propshaft_joint_rating": 700,
        "link_length": 48, "link_drop": -6, "bump_travel": 6, "droop_travel": 9, "caster": 1,
        "original_overreading_percent": -3, "indicated_speeds": [30, 60, 90],
        "front_axle_ratio": 3.21, "rear_axle_ratio": 3.55, "spare_tyre": "29.5 in", "spare_position": "front",
        "centre_differential": "yes",
    },
    "measured on the drive": {
        "measured_engine_speed": 2350, "measured_engine_speed_by": "needle", "measured_road_speed": 55,
        "measured_gear_ratio": 0.84, "measured_rollout": 327, "measured_rollout_turns": 3,
        "measured_shaft_turns": 37, "measured_wheel_turns": 20, "one_wheel_held": "yes", "tyre": "35x12.50R17LT",
        "transfer_ratios": [1, 2.72], "gearbox_kind": "automatic", "converter_locked": "yes",
        "front_axle_weighed": 2790, "rear_axle_weighed": 2480, "lifted_axle": "rear", "lifted_axle_height": 22,
        "other_axle_load": 3010, "wheelbase": 109, "measured_sag": 0.9, "tyre_load": 1325, "tyre_pressure": 26,
        "coast_down": "65:0,60:6.1,55:12.8,50:20.3,45:28.6,40:38,35:48.6,30:60.7,25:74.6,20:90.5,15:108.9",
        "coast_down_back": "65:0,60:6.8,55:14.2,50:22.5,45:31.7,40:42,35:53.7,30:67,25:82.2,20:99.7,15:119.8",
        "altitude": 3100, "roof_height": 76, "differential": "open", "hub_ratio": 1.2,
    },
    "tall and narrow, on steep slopes": {
        "tyre": "285/70R17 117P", "original_tyre": "235/75R17 108S", "axle_ratio": 4.56,
        "original_axle_ratio": 3.92, "gear_ratios": [4.2, 2.5, 1.5, 1.0, 0.8], "transfer_ratios": [1, 4],
        "idle_speed": 800, "redline_speed": 5800, "torque_curve": "1500:180,2500:230,4200:240,5600:190",
        "engine_displacement": 3.0, "vehicle_mass": 5600, "front_axle_share": 0.46, "wheelbase": 84,
        "mass_centre_height": 55, "track": 50, "roof_height": 90, "side_slope_percent": 110,
        "grade_percent": 85, "adhesion": 1.3, "trailer_mass": 2000, "tongue_mass": 520, "hitch_overhang": 4,
        "hitch_height": 30, "surface": "dry-concrete", "cruise_speed": 99, "descent_grade_percent": 3,
        "descent_height": 500, "axle_position": "front", "ring_gear_diameter": 7.5,
        "original_ring_gear_diameter": 7.5, "differential": "limited-slip", "joint": "cross",
        "joint_rating": 2100, "steer_angle": 44, "inner_splines": 28, "inner_pitch": 24,
        "inner_steel": "carbon-quenched", "stub_diameter": 1.2, "stub_steel": "carbon-quenched",
        "tube_diameter": 2.5, "tube_wall": 0.25, "truss_diameter": 1, "truss_wall": 0.1, "truss_height": 2,
        "truss_end": 16, "spring_seat_spacing": 30, "mounting_width": 58, "wheel_offset": -4,
        "original_wheel_offset": 1, "housing_drop": 17, "original_housing_drop": 4, "wheel_width": 6,
        "tyre_pressure": 12, "tyre_load": 1400, "to_speed": 180, "overtaken_speed": 100,
        "available_ratios": [3.92, 4.56], "target_overtaking_time": 5, "front_axle_ratio": 4.56,
        "rear_axle_ratio": 4.5, "spare_tyre": "31 in", "spare_position": "front", "centre_differential": "no",
        "measured_fuel_economy": 14, "measured_at_speed": 40, "propshaft_run": 33, "propshaft_drop": 1,
        "propshaft_joints": "two-cross", "output_slope": -1.7, "pinion_slope": -1.7, "link_length": 30,
        "link_drop": 3, "bump_travel": 4, "droop_travel": 5, "propshaft_tube_diameter": 1.5,
        "propshaft_tube_wall": 0.065,
    },
    "turbo diesel by its peaks alone, fast": {
        "tyre": "LT265/70R17 121/118Q", "original_tyre": "LT265/70R17 121/118Q", "axle_ratio": 3.73,
        "original_axle_ratio": 3.42, "gear_ratios": [4.17, 2.34, 1.52, 1.14, 0.87, 0.69],
        "gearbox_kind": "automatic", "converter_locked": "yes", "converter_stall_speed": 1900,
        "transfer_ratios": [1, 2.64], "engine_kind": "diesel-turbo", "engine_displacement": 3.0,
        "idle_speed": 720, "redline_speed": 2600, "peak_torque": 460, "peak_torque_speed": 1600,
        "peak_power": 170, "peak_power_speed": 2500, "altitude": 8000, "vehicle_mass": 6200,
        "driven_axles": "rear", "surface": "gravel", "cruise_speed": 105, "grade_percent": 1,
        "hold_grade_percent": 3, "descent_grade_percent": 4, "descent_height": 1500, "descent_speed": 60,
        "differential": "locked", "axle_position": "rear", "pinion_height": "low", "ring_gear_diameter": 9.75,
        "tyre_pressure": 60, "tyre_load": 1900, "rated_pressure": 80, "trailer_mass": 2500,
        "tongue_mass": 80, "hitch_overhang": 4.5, "trailer_brakes": "yes", "tank_volume": 26,
        "measured_fuel_economy": 21, "fuel_mix": "50:0.6,70:0.4", "to_speed": 70, "from_speed": 30,
        "overtaken_speed": 62, "available_ratios": [3.42, 3.73, 4.1], "target_overtaking_time": 12,
        "target_fuel_change_percent": 3, "cruise_engine_speed_range": [1500, 2500], "inner_diameter": 1.37,
        "inner_steel": "alloy-4340", "bearing_arm": 0.5, "axle_kind": "full-floating", "tube_diameter": 3.5,
        "tube_wall": 0.3, "mounting_width": 66, "spring_seat_spacing": 42,
    },
    "underpowered, its curve too short": {
        "tyre": "31x10.50R15LT 109Q", "axle_ratio": 3.07, "original_tyre": "P205/75R15 97S",
        "original_axle_ratio": 3.07, "gear_ratios": [3.93, 2.33, 1.45, 1.0, 0.85], "transfer_ratios": [1, 2.6],
        "idle_speed": 600, "redline_speed": 5000, "torque_curve": "1600:95,2400:118,3200:120,4000:104",
        "engine_displacement": 2.5, "vehicle_mass": 4700, "surface": "dry-earth", "tread": "mud",
        "cruise_speed": 45, "grade_percent": 3, "hold_grade_percent": 4, "altitude": 6000,
        "descent_grade_percent": 9, "descent_height": 800, "descent_engine_speed": 3500, "to_speed": 90,
        "overtaken_speed": 70, "available_ratios": [3.07, 3.55, 4.1, 4.56], "target_crawl_speed": 1.5,
        "cruise_engine_speed_range": [2200, 2800], "wheelbase": 101, "axle_position": "rear",
        "ring_gear_diameter": 7.6, "differential": "open", "inner_splines": 27, "inner_pitch": 24,
        "inner_steel": "carbon-1050-205c", "inner_length": 30, "rolling_factor": 2.98,
        "driveline_efficiency": 0.8, "propshaft_run": 38, "propshaft_drop": 6, "output_slope": -3,
        "pinion_slope": -3, "propshaft_joints": "two-cross", "propshaft_tube_diameter": 2.5,
        "propshaft_tube_wall": 0.083,
    },
    "teeth counted, coasted one way": {
        "measured_engine_speed": 3100, "measured_engine_speed_by": "scan-tool", "measured_road_speed": 63,
        "measured_gear_ratio": 1.0, "measured_rollout": 98.4, "ring_teeth": 41, "pinion_teeth": 10,
        "measured_shaft_turns": 8.2, "measured_wheel_turns": 4, "tyre": "LT265/75R16 123/120R",
        "gearbox_kind": "automatic", "converter_stall_speed": 2200, "front_axle_weighed": 2600,
        "rear_axle_weighed": 2350, "lifted_axle": "front", "lifted_axle_height": 4, "other_axle_load": 2390,
        "wheelbase": 104, "measured_sag": 1.3, "tyre_load": 1250, "tyre_pressure": 35,
        "coast_down": "70:0,60:10.5,50:23.6,40:40.1,30:61.6,20:90.3,15:108", "drag_area": 13,
        "rolling_resistance": 0.014, "axle_ratio": 4.1, "vehicle_mass": 5000,
    },
}  # fmt: skip

_METRIC: dict[str, dict[str, Any]] = {
    "diesel with a selectable front axle": {
        "tyre": "255/85R16 119N",
        "original_tyre": "235/85R16 120S",
        "front_axle_ratio": 4.3,
        "rear_axle_ratio": 4.11,
        "axle_ratio": 4.3,
        "original_axle_ratio": 4.1,
        "front_tyre": "255/85R16",
        "rear_tyre": "265/75R16",
        "gear_ratios": [4.31, 2.33, 1.44, 1.0, 0.88],
        "reverse_ratio": 4.22,
        "transfer_ratios": [1, 2.49],
        "engine_kind": "diesel",
        "engine_displacement": 4.2,
        "idle_speed": 680,
        "redline_speed": 4000,
        "peak_torque": 285,
        "peak_torque_speed": 2200,
        "peak_power": 96,
        "peak_power_speed": 3800,
        "altitude": 3400,
        "vehicle_mass": 2850,
        "front_axle_share": 0.44,
        "wheelbase": 2850,
        "mass_centre_height": 850,
        "surface": "hard-snow",
        "tread": "mud",
        "cruise_speed": 90,
        "grade_percent": 5,
        "descent_grade_percent": 18,
        "descent_height": 1200,
        "driven_axles": "both",
        "centre_differential": "no",
        "trailer_mass": 750,
        "tongue_mass": 60,
        "hitch_overhang": 1.1,
        "measured_fuel_per_distance": 13.8,
        "measured_at_speed": 85,
        "tank_volume": 90,
        "fuel_mix": "40:0.25,80:0.5,100:0.25",
        "axle_position": "front",
        "ring_gear_diameter": 220,
        "original_ring_gear_diameter": 230,
        "differential": "open",
        "front_differential": "locked",
        "inner_splines": 30,
        "inner_pitch": 24,
        "inner_steel": "alloy-4140",
        "inner_length": 600,
        "stub_splines": 27,
        "stub_pitch": 24,
        "stub_steel": "alloy-4140",
        "joint": "constant-velocity",
        "joint_rating": 3900,
        "steer_angle": 32,
        "tube_diameter": 73,
        "tube_wall": 6.5,
        "spring_seat_spacing": 880,
        "mounting_width": 1520,
        "wheel_offset": 15,
        "scrub_radius": 35,
        "kingpin_inclination": 11,
        "caster": 3,
        "impact_factor": 2,
        "tyre_pressure": 160,
        "tyre_load": 640,
        "rated_pressure": 550,
        "axle_mass": 180,
        "housing_drop": 130,
        "from_speed": 40,
        "to_speed": 100,
        "overtaken_speed": 80,
        "overtaken_length": 16,
        "available_ratios": [3.9, 4.1, 4.3, 4.56],
        "target_crawl_ratio": 50,
        "hold_grade_percent": 4,
        "cruise_engine_speed_range": [1900, 2600],
        "road_speeds": [30, 60, 90],
        "engine_speeds": [1000, 3500, 500],
        "speed_sensor": "gearbox",
        "propshaft_run": 700,
        "propshaft_drop": 150,
        "propshaft_side": 20,
        "output_slope": -4,
        "pinion_slope": -8,
        "propshaft_joints": "double-cardan",
        "propshaft_tube_diameter": 60,
        "propshaft_tube_wall": 3,
        "propshaft_joint_rating": 1900,
        "link_length": 800,
        "link_drop": 120,
        "bump_travel": 90,
        "droop_travel": 130,
    },
    "hubs geared up, narrow wheels": {
        "tyre": "215/75R15 100S",
        "original_tyre": "195/80R15 96S",
        "axle_ratio": 5.38,
        "original_axle_ratio": 5.38,
        "hub_ratio": 0.8,
        "gear_ratios": [3.5, 1.9, 1.3, 1.0],
        "transfer_ratios": [1.6, 2.9],
        "peak_torque": 105,
        "peak_torque_speed": 3000,
        "peak_power": 58,
        "peak_power_speed": 5500,
        "redline_speed": 6500,
        "engine_displacement": 1.3,
        "vehicle_mass": 1180,
        "front_axle_share": 0.53,
        "wheelbase": 2250,
        "cruise_speed": 85,
        "grade_percent": -4,
        "descent_grade_percent": 25,
        "descent_height": 300,
        "descent_engine_speed": 4200,
        "surface": "dry-asphalt",
        "tyre_pressure": 140,
        "tyre_load": 310,
        "wheel_width": 140,
        "axle_position": "rear",
        "ring_gear_diameter": 168,
        "differential": "open",
        "inner_splines": 26,
        "inner_diameter": 27,
        "inner_steel": "carbon-quenched",
        "inner_length": 640,
        "tube_diameter": 57,
        "tube_wall": 4,
        "mounting_width": 1320,
        "spring_seat_spacing": 820,
        "to_speed": 100,
        "available_ratios": [4.88, 5.38, 5.86],
        "propshaft_run": 620,
        "propshaft_drop": 90,
        "output_slope": 2,
        "pinion_slope": 6,
        "brake_disc_mass": 18,
        "loads": [[90, 300]],
    },
}
"""Bare numbers in metric units."""

BUILDS: dict[str, tuple[System, dict[str, Any]]] = {
    **{name: ("us", raw) for name, raw in _US.items()},
    **{name: ("metric", raw) for name, raw in _METRIC.items()},
}
_LEFT_OUT = ("question", "version", "units", "given", "result_units", "cautions", "sources")


def path(name: str) -> Path:
    """The file of a build."""
    return FOLDER / f"{name.replace(',', '').replace(' ', '-')}.json"


def answers(name: str) -> dict[str, Any]:
    """What each question that the build can ask answers, or why it refuses."""
    system, raw = BUILDS[name]
    return {
        question: _answer(question, system, raw)
        for question, asked in QUESTIONS.items()
        if question != "build-sheet" and {*asked.needs} <= {*raw}
    }


def _answer(name: str, system: System, raw: dict[str, Any]) -> dict[str, Any]:
    question = QUESTIONS[name]
    try:
        build = read_build({field: raw[field] for field in raw if field in question.fields}, system)
        answer = ask(question, build)
        made = json.loads(json.dumps(document(question, build, answer, windows=True)))
    except InvalidBuild as refusal:
        return {"refused": str(refusal)}
    kept = {member: value for member, value in made.items() if member not in _LEFT_OUT and value}
    kept["cautions"] = [[one["level"], one["code"], one["text"]] for one in made["cautions"]]
    if answer.picture is not None:
        kept["picture"] = _shown(answer.picture())
    return kept


def _shown(part: Any) -> Any:
    """What a picture shows; of points how many there are, the first, the last and their sum."""
    if isinstance(part, Quantity):
        return part.name
    if isinstance(part, np.ndarray):
        flat = part.ravel().astype(np.float64)
        return [flat.size, *(float(flat[at]) for at in (0, -1) if flat.size), float(flat.sum())]
    if hasattr(part, "_asdict"):
        return {name: _shown(value) for name, value in part._asdict().items()}
    if isinstance(part, Mapping):
        return {str(name): _shown(value) for name, value in part.items()}
    if isinstance(part, tuple | list):
        return [_shown(one) for one in part]
    return part.item() if isinstance(part, np.generic) else part


def files() -> Iterator[tuple[Path, str]]:
    """Each file and what belongs into it: one line for each member of an answer, and for each row."""
    for name in BUILDS:
        yield path(name), _lines(answers(name)) + "\n"


def _lines(made: Any, depth: int = 0) -> str:
    if isinstance(made, dict) and depth < 2:
        pairs = (f"{json.dumps(name)}: {_lines(value, depth + 1)}" for name, value in made.items())
        return "{\n" + ",\n".join(pairs) + "\n}"
    return json.dumps(made, ensure_ascii=False)
