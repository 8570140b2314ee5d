"""The fields of a build, the answers, and a method for each question. Made from the service's spec document:
do not edit. The program that makes it is `tests/clients/generate_client.py` of the service.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, TypedDict, TypeVar, Unpack

from gearing_client.answers import Answer
from gearing_client.awaiting import awaited

AnAnswer = TypeVar("AnAnswer", bound=Answer)
Number = float | str
Count = int | str
Numbers = Sequence[float | str] | str
Points = Sequence[Sequence[float | str] | str] | str
Surface = Literal[
    "dry-asphalt",
    "wet-asphalt",
    "dry-concrete",
    "wet-concrete",
    "gravel",
    "dry-earth",
    "wet-earth",
    "hard-snow",
    "ice",
]
AxlePosition = Literal["front", "rear"]
Differential = Literal["open", "limited-slip", "locked", "spool"]
InnerSteel = Literal[
    "carbon-case-hardened",
    "carbon-quenched",
    "carbon-1050-205c",
    "alloy-4140",
    "alloy-4330v",
    "alloy-4340",
    "alloy-300m",
]
YesNo = Literal["yes", "no"]


class Fields(TypedDict, total=False):
    """Every field of a build. Those that are not given, or None, are not sent.

    Bare numbers are in the client's units, which stand in brackets, US before metric; any number may be text with
    its own unit, ``"65 mph"``. A field of the vehicle before the change has ``original_`` in front; all but those
    named here go in `original`.
    """

    tyre: str | None
    """Tyre fitted: a size, or a measured diameter with its unit"""
    original_tyre: str | None
    """Tyre before the change"""
    rolling_factor: Number | None
    """Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given"""
    tyre_pressure: Number | None
    """Inflation pressure, cold [psi; kPa]"""
    tyre_load: Number | None
    """Mass carried by one tyre [lb; kg]"""
    wheel_width: Number | None
    """Width of the rim between its flanges [in; mm]"""
    axle_ratio: Number | None
    """Axle ratio fitted: ring teeth / pinion teeth"""
    original_axle_ratio: Number | None
    """Axle ratio before the change"""
    ring_teeth: Count | None
    """Ring gear teeth; with pinion_teeth the exact axle ratio"""
    pinion_teeth: Count | None
    """Pinion teeth"""
    front_axle_ratio: Number | None
    """Front axle ratio"""
    rear_axle_ratio: Number | None
    """Rear axle ratio"""
    front_tyre: str | None
    """Front tyre"""
    rear_tyre: str | None
    """Rear tyre"""
    hub_ratio: Number | None
    """Reduction at the wheel"""
    gear_ratios: Numbers | None
    """Gearbox ratios, first gear to top"""
    reverse_ratio: Number | None
    """Gearbox ratio in reverse"""
    transfer_ratios: Numbers | None
    """Every selectable reduction of transfer case and auxiliary boxes, high range first"""
    converter_stall_ratio: Number | None
    """Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given"""
    driveline_efficiency: Number | None
    """Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given"""
    engine_speeds: Numbers | None
    """Engine speeds of the road-speed table: a list or first:last:step; idle to redline if not given [rpm]"""
    road_speeds: Numbers | None
    """Road speeds to calculate engine speeds for [mph; km/h]"""
    idle_speed: Number | None
    """Engine speed at idle [rpm]"""
    redline_speed: Number | None
    """Highest engine speed allowed [rpm]"""
    peak_torque: Number | None
    """Highest engine torque [lb-ft; N m]"""
    peak_torque_speed: Number | None
    """Engine speed of the highest torque [rpm]"""
    peak_power: Number | None
    """Highest engine power [hp; kW]"""
    peak_power_speed: Number | None
    """Engine speed of the highest power [rpm]"""
    torque_curve: Points | None
    """Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]"""
    power_curve: Points | None
    """Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]"""
    engine_kind: Literal["petrol", "petrol-turbo", "diesel", "diesel-turbo", "electric"] | None
    """Kind of engine, with or without a turbocharger"""
    cruise_speed: Number | None
    """Road speed to hold [mph; km/h]"""
    grade_percent: Number | None
    """Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing vehicles
    averages 6 %, at 40 mph or more (second hand) [%]"""
    altitude: Number | None
    """Height above sea level [ft; m]"""
    vehicle_mass: Number | None
    """Mass of the vehicle as driven [lb; kg]"""
    front_axle_share: Number | None
    """Share of the vehicle mass on the front axle, level"""
    wheelbase: Number | None
    """Front axle to rear axle [in; mm]"""
    mass_centre_height: Number | None
    """Height of the centre of mass above the ground [in; mm]"""
    drag_area: Number | None
    """Drag coefficient x frontal area [ft2; m2]"""
    rolling_resistance: Number | None
    """Rolling resistance force / weight; by tread, in crawl by ground too, if not given"""
    road_load: Numbers | None
    """Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf, lbf/mph, lbf/mph2;
    N, N/(km/h), N/(km/h)2]"""
    surface: Surface | None
    """Ground under the tyres; the table of surfaces has its adhesion"""
    adhesion: Number | None
    """Friction coefficient of tyre on ground; overrides the surface"""
    available_ratios: Numbers | None
    """Ratios or tooth pairs on sale for this axle; the common pairs if not given"""
    target_crawl_ratio: Number | None
    """Crawl ratio to reach at least"""
    target_crawl_speed: Number | None
    """Highest speed wanted at idle in the lowest gear [mph; km/h]"""
    cruise_engine_speed_range: Numbers | None
    """Lowest and highest engine speed wanted at cruise; the original's +-10 % if not given [rpm]"""
    hold_grade_percent: Number | None
    """Grade that top gear should hold at cruise speed [%]"""
    ring_gear_load_limit: Number | None
    """Highest ring-gear load index accepted in a regear"""
    axle_position: AxlePosition | None
    """Axle to judge"""
    pinion_height: Literal["high", "low"] | None
    """high: reverse-spiral set, pinion above the ring centreline; low: standard set"""
    ring_gear_diameter: Number | None
    """Outer diameter of the ring gear [in; mm]"""
    original_ring_gear_diameter: Number | None
    """Ring gear before the change [in; mm]"""
    face_width: Number | None
    """Face width of the ring gear; 0.155 x its diameter if not given [in; mm]"""
    spiral_angle: Number | None
    """Mean spiral angle [deg]"""
    pressure_angle: Number | None
    """Normal pressure angle of the loaded flank [deg]"""
    overload_factor: Number | None
    """Shock factor on the tooth stresses of the ring gear"""
    load_distribution_factor: Number | None
    """Uneven load along the teeth: 1.0 to 1.1 with bearings on both sides of the pinion, to 1.25 overhung"""
    bending_geometry_factor: Number | None
    """Geometry factor of the bending stress, J"""
    contact_geometry_factor: Number | None
    """Geometry factor of the contact stress, J; from the curvature of the teeth if not given"""
    differential: Differential | None
    """Differential of the axle, which decides how much torque one shaft can get"""
    inner_splines: Count | None
    """Spline teeth of the inner shaft"""
    inner_pitch: Number | None
    """Diametral pitch of the inner spline, per inch"""
    inner_diameter: Number | None
    """Smallest measured diameter of the inner shaft [in; mm]"""
    inner_steel: InnerSteel | None
    """Steel of the inner shaft"""
    inner_length: Number | None
    """Length of the inner shaft [in; mm]"""
    stub_splines: Count | None
    """Spline teeth of the stub (outer) shaft"""
    stub_pitch: Number | None
    """Diametral pitch of the stub spline, per inch"""
    stub_diameter: Number | None
    """Smallest measured diameter of the stub shaft [in; mm]"""
    stub_steel: InnerSteel | None
    """Steel of the stub shaft"""
    joint: Literal["cross", "constant-velocity"] | None
    """Steering joint"""
    joint_rating: Number | None
    """Torque that the joint's maker allows without steering angle [lb-ft; N m]"""
    steer_angle: Number | None
    """Angle of the steering joint [deg]"""
    tube_diameter: Number | None
    """Outer diameter of the housing tube [in; mm]"""
    tube_wall: Number | None
    """Wall of the housing tube [in; mm]"""
    tube_yield: Number | None
    """Yield of the housing tube and of its truss [ksi; MPa]"""
    truss_diameter: Number | None
    """Outer diameter of the truss tube [in; mm]"""
    truss_wall: Number | None
    """Wall of the truss tube [in; mm]"""
    truss_height: Number | None
    """Centre of the truss tube above the centre of the housing tube [in; mm]"""
    spring_seat_spacing: Number | None
    """Spring seat to spring seat [in; mm]"""
    impact_factor: Number | None
    """Dynamic / static load on the housing"""
    mounting_width: Number | None
    """Wheel mounting face to wheel mounting face [in; mm]"""
    original_mounting_width: Number | None
    """Mounting width before the change [in; mm]"""
    wheel_offset: Number | None
    """Wheel centre to mounting face, positive inboard [in; mm]"""
    original_wheel_offset: Number | None
    """Wheel offset before the change [in; mm]"""
    housing_drop: Number | None
    """Axle centreline to the lowest point of the housing [in; mm]"""
    original_housing_drop: Number | None
    """Housing drop before the change [in; mm]"""
    axle_mass: Number | None
    """Mass of the complete axle [lb; kg]"""
    original_axle_mass: Number | None
    """Axle mass before the change [lb; kg]"""
    speed_sensor: Literal["gearbox", "wheel"] | None
    """Where the speedometer takes its signal"""
    original_overreading_percent: Number | None
    """How much too high the speedometer read before the change, in percent of true speed [%]"""
    indicated_speeds: Numbers | None
    """Speedometer readings to calculate true speeds for [mph; km/h]"""
    driven_axles: Literal["both", "front", "rear"] | None
    """Which axles pull"""
    centre_differential: YesNo | None
    """Whether a differential between front and rear axle lets them turn at different speeds"""
    engine_displacement: Number | None
    """Swept volume of all cylinders [L]"""
    idle_torque: Number | None
    """Full-load torque at idle; by engine_kind if not given [lb-ft; N m]"""
    critical_altitude: Number | None
    """Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not given [ft;
    m]"""
    gearbox_kind: Literal["manual", "automatic", "cvt", "single-speed"] | None
    """Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first and last of
    gear_ratios are its range"""
    converter_stall_speed: Number | None
    """Engine speed at full load with the converter's output held [rpm]"""
    converter_locked: YesNo | None
    """Whether the converter is locked up while cruising"""
    shift_time: Number | None
    """Time without drive in a shift; 0.95 s manual, 0.4 s automatic if not given [s]"""
    roof_height: Number | None
    """Roof above ground as built; for mass_centre_height where that is not given [in; mm]"""
    lift_height: Number | None
    """Lift of body and springs, without that of larger tyres [in; mm]"""
    front_hub_ratio: Number | None
    """Reduction at the front wheels"""
    rear_hub_ratio: Number | None
    """Reduction at the rear wheels"""
    peak_torque_to_speed: Number | None
    """Engine speed at which a torque plateau ends [rpm]"""
    trailer_brakes: YesNo | None
    """Whether the trailer has brakes; without them the vehicle's brakes do all the work"""
    hub_reverses: YesNo | None
    """Whether the hub boxes turn the wheels backwards, as those with two gears do"""
    truss_end: Number | None
    """Wheel plane to the end of the truss [in; mm]"""
    truss_panel: Number | None
    """Distance between webs of the truss [in; mm]"""
    truss_web_wall: Number | None
    """Thickness of the web plates of the truss [in; mm]"""
    truss_weld_leg: Number | None
    """Leg of the welds along the truss [in; mm]"""
    truss_weld_share: Number | None
    """Share of the truss's length that is welded"""
    vertical_stiffness: Number | None
    """Measured radial stiffness of the tyre; replaces the formula [lbf/in; N/mm]"""
    road_load_covariance: Numbers | None
    """Covariances of the coefficients of road_load, from a coast-down; they replace the spread [lbf2, lbf2/mph,
    lbf2/mph2, lbf2/mph2, lbf2/mph3, lbf2/mph4; N2, N2/(km/h), N2/(km/h)2, N2/(km/h)2, N2/(km/h)3, N2/(km/h)4]"""
    track: Number | None
    """Wheel centre to wheel centre; from mounting_width and wheel_offset if not given [in; mm]"""
    loads: Points | None
    """Things carried: mass, position behind the front axle and, if known, height above ground; vehicle_mass is
    without them [lb, in, in; kg, mm, mm]"""
    trailer_mass: Number | None
    """Mass of the trailer, loaded [lb; kg]"""
    tongue_mass: Number | None
    """Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]"""
    hitch_overhang: Number | None
    """Hitch behind the rear axle [ft; m]"""
    hitch_height: Number | None
    """Hitch above ground [in; mm]"""
    trailer_drag_area: Number | None
    """Drag area that the trailer adds to the vehicle's [ft2; m2]"""
    side_slope_percent: Number | None
    """Slope of the ground across the vehicle: rise / run [%]"""
    tread: Literal["highway", "all-terrain", "mud"] | None
    """Tread of the tyres, for rolling resistance on hard ground"""
    rated_pressure: Number | None
    """Pressure at which the tyre carries its load index; from a printed load range if not given [psi; kPa]"""
    descent_grade_percent: Number | None
    """Slope of the hill to go down, as a positive number; if not given, a negative grade_percent without its sign
    [%]"""
    descent_height: Number | None
    """Height lost on the way down [ft; m]"""
    descent_speed: Number | None
    """Road speed wanted downhill [mph; km/h]"""
    descent_engine_speed: Number | None
    """Highest engine speed to hold downhill; 0.8 x redline_speed if not given [rpm]"""
    brake_disc_mass: Number | None
    """Mass of all brake discs together, half of it on each axle [lb; kg]"""
    brake_front_share: Number | None
    """Share of the braking force at the front axle"""
    battery_full: YesNo | None
    """Whether the battery is full, so that braking cannot charge it"""
    from_speed: Number | None
    """Road speed at which acceleration starts [mph; km/h]"""
    to_speed: Number | None
    """Road speed to accelerate to [mph; km/h]"""
    overtaken_speed: Number | None
    """Road speed of the vehicle overtaken [mph; km/h]"""
    overtaken_length: Number | None
    """Distance to gain when overtaking: both vehicles and both gaps [ft; m]"""
    fuel_mix: Points | None
    """A week's driving: road speeds, each with its share of the distance [mph, ; km/h, ]"""
    measured_fuel_economy: Number | None
    """Owner's reading of fuel economy at measured_at_speed, in US gallons; scales the estimate [mpg; km/L]"""
    measured_fuel_per_distance: Number | None
    """Owner's reading of fuel over distance, in US gallons; instead of measured_fuel_economy [gal/100 mi; L/100
    km]"""
    measured_at_speed: Number | None
    """Road speed of the reading of fuel [mph; km/h]"""
    tank_volume: Number | None
    """Fuel that can be used of a full tank, in US gallons [gal; L]"""
    battery_energy: Number | None
    """Energy that can be used of a full battery [kWh]"""
    propshaft_run: Number | None
    """Level distance between the joint centres of the propeller shaft, as planned after the lift [in; mm]"""
    propshaft_drop: Number | None
    """Height of the transfer case output above the pinion, joint centres, as planned after the lift; where only that
    before is given, lift_height is added [in; mm]"""
    propshaft_side: Number | None
    """Side offset between the joint centres [in; mm]"""
    output_slope: Number | None
    """Slope of the transfer case output, + falling to the rear [deg]"""
    pinion_slope: Number | None
    """Slope of the pinion, + falling to the rear [deg]"""
    propshaft_joints: Literal["two-cross", "double-cardan"] | None
    """Joints of the propeller shaft; the double joint is at the transfer case"""
    propshaft_phase: Literal["in-phase", "crossed"] | None
    """Whether the yokes at both ends of the shaft stand in line"""
    propshaft_tube_diameter: Number | None
    """Outer diameter of the propeller shaft's tube [in; mm]"""
    propshaft_tube_wall: Number | None
    """Wall of the propeller shaft's tube [in; mm]"""
    propshaft_joint_rating: Number | None
    """Torque that the maker of the propeller shaft's joints allows; for their life, that for 5,000 hours at 3 degrees
    and 100 rpm [lb-ft; N m]"""
    link_length: Number | None
    """Length of the axle's suspension link [in; mm]"""
    link_drop: Number | None
    """Height of the link's frame end above its axle end [in; mm]"""
    bump_travel: Number | None
    """Upward travel of the axle from ride height [in; mm]"""
    droop_travel: Number | None
    """Downward travel of the axle from ride height [in; mm]"""
    caster: Number | None
    """Lean of the steering axis to the rear, seen from the side [deg]"""
    kingpin_inclination: Number | None
    """Lean of the steering axis inward, seen from the front [deg]"""
    scrub_radius: Number | None
    """Steering axis to wheel centre plane on the ground, + where the wheel is outboard [in; mm]"""
    axle_kind: Literal["full-floating", "semi-floating"] | None
    """Whether the shaft also carries the wheel (semi-floating)"""
    bearing_arm: Number | None
    """Wheel bearing to wheel plane [in; mm]"""
    bearing_span: Number | None
    """Inner to outer wheel bearing [in; mm]"""
    half_shaft_end_diameter: Number | None
    """Diameter of the shaft at its wheel bearing [in; mm]"""
    front_differential: Differential | None
    """Differential of the front axle"""
    rear_differential: Differential | None
    """Differential of the rear axle"""
    bias_ratio: Number | None
    """Torque of the slower wheel / torque of the faster, for limited-slip"""
    hub_offset: Number | None
    """Axle above the wheel centre with portal boxes; below is negative [in; mm]"""
    hub_box_width: Number | None
    """Width of a portal box [in; mm]"""
    cruise_reserve_percent: Number | None
    """Power reserve that a gear needs to count as holding the grade [%]"""
    spare_tyre: str | None
    """Spare tyre, on one wheel of an axle"""
    spare_position: AxlePosition | None
    """Axle that the spare is on"""
    target_overtaking_time: Number | None
    """Longest overtaking time wanted [s]"""
    target_fuel_change_percent: Number | None
    """Highest rise wanted in fuel over distance [%]"""
    measured_shaft_turns: Number | None
    """Turns of the propeller shaft counted by hand"""
    measured_wheel_turns: Number | None
    """Turns of the wheel counted meanwhile"""
    one_wheel_held: YesNo | None
    """Whether the other wheel was held while turning, with an open differential"""
    measured_engine_speed: Number | None
    """Engine speed read on the road [rpm]"""
    measured_engine_speed_by: Literal["needle", "scan-tool"] | None
    """What it was read from: a needle gauge, or the engine's own figure by a scan tool"""
    measured_road_speed: Number | None
    """True road speed at that reading [mph; km/h]"""
    measured_gear_ratio: Number | None
    """Gearbox ratio at that reading"""
    measured_rollout: Number | None
    """Distance rolled on the ground [in; mm]"""
    measured_rollout_turns: Number | None
    """Turns of the wheel on that distance"""
    coast_down: Points | None
    """Speeds and times while coasting on a level stretch, such as 60:0,50:8.5,40:18.4 [mph, s; km/h, s]"""
    coast_down_back: Points | None
    """Speeds and times while coasting back on that stretch [mph, s; km/h, s]"""
    front_axle_weighed: Number | None
    """Front axle on the weighbridge, level [lb; kg]"""
    rear_axle_weighed: Number | None
    """Rear axle on the weighbridge, level [lb; kg]"""
    lifted_axle: AxlePosition | None
    """Axle lifted while the other stood on the weighbridge"""
    lifted_axle_height: Number | None
    """How far that axle was lifted [in; mm]"""
    other_axle_load: Number | None
    """The other axle on the weighbridge meanwhile [lb; kg]"""
    measured_sag: Number | None
    """Tyre's deflection at tyre_pressure and tyre_load [in; mm]"""
    original: "Fields | None"
    """The vehicle before the change, by plain names of fields"""


class TyreAnswer(Answer):
    """The answer to tyre; units stand behind the results."""

    __slots__ = ()
    diameter: float  # in; mm
    section_width: float | None  # in; mm
    section_height: float | None  # in; mm
    rim_diameter: float | None  # in; mm
    measuring_rim_width: float | None  # in; mm
    construction: str
    rolling_circumference: float  # in; mm
    rolling_radius: float  # in; mm
    tyre_turns_per_distance: float  # per mile; per km
    load_capacity: float | None  # lb; kg
    dual_load_capacity: float | None  # lb; kg
    speed_capability: float | None  # mph; km/h
    vertical_stiffness: float | None  # lbf/in; N/mm
    sag: float | None  # in; mm
    loaded_radius: float | None  # in; mm
    load_at_pressure: float | None  # lb; kg
    pressure_needed: float | None  # psi; kPa


class FinalDriveAnswer(Answer):
    """The answer to final-drive; units stand behind the results."""

    __slots__ = ()
    circumference_change_percent: float | None  # %
    effective_ratio: float | None
    restoring_ratio: float | None
    engine_speed_change_percent: float | None  # %


class SpeedometerAnswer(Answer):
    """The answer to speedometer; units stand behind the results."""

    __slots__ = ()
    true_per_indicated: float | None
    distance_per_indicated: float | None
    correction_factor: float | None


class RoadSpeedAnswer(Answer):
    """The answer to road-speed; units stand behind the results."""

    __slots__ = ()
    speed_per_1000: float | None  # mph; km/h
    top_speed: float | None  # mph; km/h
    cruise_engine_speed: float | None  # rpm


class CruiseAnswer(Answer):
    """The answer to cruise; units stand behind the results."""

    __slots__ = ()
    cruise_gear: float | None
    cruise_transfer_ratio: float | None
    power_needed: float | None  # hp; kW
    power_available: float | None  # hp; kW
    steepest_grade_percent: float | None  # %
    top_speed_on_grade: float | None  # mph; km/h
    top_speed_gear: float | None
    top_speed_limited_by: str | None


class CrawlAnswer(Answer):
    """The answer to crawl; units stand behind the results."""

    __slots__ = ()
    crawl_ratio: float | None
    reverse_crawl_ratio: float | None
    crawl_speed: float | None  # mph; km/h
    crawl_wheel_torque: float | None  # lb-ft; N m
    crawl_tractive_force: float | None  # lbf; N
    idle_tractive_force: float | None  # lbf; N
    stall_tractive_force: float | None  # lbf; N
    creep_speed: float | None  # mph; km/h
    grip_force: float | None  # lbf; N
    engine_grade_percent: float | None  # %
    grip_grade_percent: float | None  # %
    climbable_grade_percent: float | None  # %
    crawl_limited_by: str | None


class RegearAnswer(Answer):
    """The answer to regear; units stand behind the results."""

    __slots__ = ()
    restoring_ratio: float | None
    recommended_ratio: float | None
    recommended_meets: str | None
    lowest_ratio_for_cruise: float | None
    highest_ratio_for_cruise: float | None
    lowest_ratio_for_crawl: float | None


class AxleMatchAnswer(Answer):
    """The answer to axle-match; units stand behind the results."""

    __slots__ = ()
    front_turns_per_distance: float | None  # per mile; per km
    rear_turns_per_distance: float | None  # per mile; per km
    mismatch_percent: float | None  # %
    windup_per_distance: float | None  # per mile; per km
    windup_force: float | None  # lbf; N
    windup_shaft_torque: float | None  # lb-ft; N m


class RingGearLoadAnswer(Answer):
    """The answer to ring-gear-load; units stand behind the results."""

    __slots__ = ()
    engine_limited_torque: float | None  # lb-ft; N m
    grip_limited_torque: float | None  # lb-ft; N m
    ring_gear_torque: float | None  # lb-ft; N m
    ring_gear_limited_by: str | None
    pinion_torque: float | None  # lb-ft; N m
    ring_mean_diameter: float | None  # in; mm
    tangential_force: float | None  # lbf; N
    pinion_axial_force: float | None  # lbf; N
    pinion_radial_force: float | None  # lbf; N
    loaded_flank: str | None
    unit_load: float | None  # lbf/in; N/mm
    bending_stress: float | None  # ksi; MPa
    contact_stress: float | None  # ksi; MPa
    ring_gear_capacity: float | None  # lb-ft; N m
    ring_gear_margin: float | None
    ring_gear_usual_margin: float | None
    ring_gear_load_index: float | None


class AxleCheckAnswer(Answer):
    """The answer to axle-check; units stand behind the results."""

    __slots__ = ()
    weakest_part: str | None
    weakest_margin: float | None
    weakest_usual_margin: float | None
    strength_change_percent: float | None  # %
    tyre_limit: float | None  # in; mm
    bearing_life_ratio: float | None
    scrub_radius: float | None  # in; mm
    trail: float | None  # in; mm
    tread_reach: float | None  # in; mm
    steering_torque_at_rest: float | None  # lb-ft; N m
    tube_torque: float | None  # lb-ft; N m
    sag_per_track: float | None  # %
    static_reserve: float | None


class ClearanceAnswer(Answer):
    """The answer to clearance; units stand behind the results."""

    __slots__ = ()
    housing_clearance: float | None  # in; mm
    housing_clearance_change: float | None  # in; mm
    tyre_growth_used_up: float | None  # in; mm
    track: float | None  # in; mm
    track_change: float | None  # in; mm
    overall_width: float | None  # in; mm
    unsprung_mass_change: float | None  # lb; kg
    unsprung_mass_change_percent: float | None  # %


class AxleLoadsAnswer(Answer):
    """The answer to axle-loads; units stand behind the results."""

    __slots__ = ()
    front_axle_load: float | None  # lb; kg
    rear_axle_load: float | None  # lb; kg
    mass_centre_height_used: float | None  # in; mm
    static_stability_factor: float | None
    tip_up_percent: float | None  # %
    tip_down_percent: float | None  # %
    tip_side_percent: float | None  # %
    front_pressure_needed: float | None  # psi; kPa
    rear_pressure_needed: float | None  # psi; kPa
    hitch_load: float | None  # lbf; N


class DescentAnswer(Answer):
    """The answer to descent; units stand behind the results."""

    __slots__ = ()
    descent_gear: float | None
    descent_transfer_ratio: float | None
    settling_speed: float | None  # mph; km/h
    engine_brake_force: float | None  # lbf; N
    grade_held_back_percent: float | None  # %
    brake_share_percent: float | None  # %
    brake_power: float | None  # hp; kW
    brake_temperature_rise: float | None  # F; K
    descent_energy: float | None  # kJ


class BrakingAnswer(Answer):
    """The answer to braking; units stand behind the results."""

    __slots__ = ()
    brake_force_change_percent: float | None  # %
    pedal_force_change_percent: float | None  # %
    stop_energy: float | None  # kJ
    stop_energy_change_percent: float | None  # %
    ideal_front_share: float | None
    rear_locks_first_above: float | None
    grip_stopping_distance: float | None  # ft; m


class AccelerationAnswer(Answer):
    """The answer to acceleration; units stand behind the results."""

    __slots__ = ()
    acceleration_time: float | None  # s
    acceleration_distance: float | None  # ft; m
    overtaking_time: float | None  # s
    overtaking_distance: float | None  # ft; m
    launch_grade_percent: float | None  # %
    launch_limited_by: str | None


class FuelAnswer(Answer):
    """The answer to fuel; units stand behind the results."""

    __slots__ = ()
    fuel_economy: float | None  # mpg; km/L
    fuel_per_distance: float | None  # gal/100 mi; L/100 km
    energy_per_distance: float | None  # kWh/100 mi; kWh/100 km
    mix_fuel_economy: float | None  # mpg; km/L
    mix_fuel_per_distance: float | None  # gal/100 mi; L/100 km
    range_distance: float | None  # mi; km
    fuel_change_percent: float | None  # %


class DrivelineAnswer(Answer):
    """The answer to driveline; units stand behind the results."""

    __slots__ = ()
    output_joint_angle: float | None  # deg
    pinion_joint_angle: float | None  # deg
    propshaft_slope: float | None  # deg
    speed_swing_percent: float | None  # %
    driven_excitation: float | None  # rad/s2
    own_excitation: float | None  # rad/s2
    propshaft_speed: float | None  # rpm
    critical_speed: float | None  # rpm
    critical_speed_share: float | None
    critical_speed_share_at_top_speed: float | None
    propshaft_torque: float | None  # lb-ft; N m
    propshaft_grip_torque: float | None  # lb-ft; N m
    propshaft_stress: float | None  # ksi; MPa
    best_pinion_slope: float | None  # deg
    caster_cost: float | None  # deg
    slip_travel: float | None  # in; mm
    joint_life_hours: float | None  # h


class FromMeasurementsAnswer(Answer):
    """The answer to from-measurements; units stand behind the results."""

    __slots__ = ()
    measured_axle_ratio: float | None
    likeliest_axle_ratio: float | None
    measured_circumference: float | None  # in; mm
    measured_rolling_radius: float | None  # in; mm
    measured_road_load: float | None  # lbf; N
    measured_road_load_speed: float | None  # mph; km/h
    measured_mass: float | None  # lb; kg
    measured_front_share: float | None
    measured_mass_centre_height: float | None  # in; mm
    measured_stiffness: float | None  # lbf/in; N/mm
    measured_loaded_radius: float | None  # in; mm
    measurements_used: float
    build: Mapping[str, object]
    understood: Sequence[Mapping[str, object]]
    unused: Sequence[Mapping[str, object]]
    ask: str | None


class BuildSheetAnswer(
    TyreAnswer,
    FinalDriveAnswer,
    SpeedometerAnswer,
    RoadSpeedAnswer,
    CruiseAnswer,
    CrawlAnswer,
    RegearAnswer,
    AxleMatchAnswer,
    RingGearLoadAnswer,
    AxleCheckAnswer,
    ClearanceAnswer,
    AxleLoadsAnswer,
    DescentAnswer,
    BrakingAnswer,
    AccelerationAnswer,
    FuelAnswer,
    DrivelineAnswer,
):
    """The answer to build-sheet; units stand behind the results."""

    __slots__ = ()


class FromTextAnswer(Answer):
    """The answer to from-text; units stand behind the results."""

    __slots__ = ()
    build: Mapping[str, object]
    understood: object
    unused: object
    ask: str | None
    follow_up: object
    fits: object
    asks: object


class Questions:
    """A method a question. It takes the fields of a build as keywords, and ignores those it does not need.

    With `bands` the answer has `ranges`, `drivers` and `shares`. Every method raises `GearingError` in one of its
    kinds: `InvalidBuild` where a field is missing or refused.
    """

    def _answer(
        self, kind: type[AnAnswer], question: str, build: Mapping[str, object], bands: bool = False
    ) -> AnAnswer:
        raise NotImplementedError

    def tyre(self, *, bands: bool = False, **build: Unpack[Fields]) -> TyreAnswer:
        """What does this size mean, and how far does the tyre sag at this pressure? Needs tyre."""
        return self._answer(TyreAnswer, "tyre", build, bands)

    def final_drive(self, *, bands: bool = False, **build: Unpack[Fields]) -> FinalDriveAnswer:
        """After the tyre change, what axle ratio does it feel like, and which ratio restores the original? Needs
        tyre, axle_ratio."""
        return self._answer(FinalDriveAnswer, "final-drive", build, bands)

    def speedometer(self, *, bands: bool = False, **build: Unpack[Fields]) -> SpeedometerAnswer:
        """What does the speedometer now show, how far is the odometer out, and is it within the rule? Needs tyre."""
        return self._answer(SpeedometerAnswer, "speedometer", build, bands)

    def road_speed(self, *, bands: bool = False, **build: Unpack[Fields]) -> RoadSpeedAnswer:
        """How do road speed and engine speed go together in every gear and range? Needs tyre, axle_ratio,
        gear_ratios."""
        return self._answer(RoadSpeedAnswer, "road-speed", build, bands)

    def cruise(self, *, bands: bool = False, **build: Unpack[Fields]) -> CruiseAnswer:
        """Can it hold this speed, on this grade, at this altitude, in which gear? Needs tyre, axle_ratio,
        gear_ratios, vehicle_mass."""
        return self._answer(CruiseAnswer, "cruise", build, bands)

    def crawl(self, *, bands: bool = False, **build: Unpack[Fields]) -> CrawlAnswer:
        """How slowly does it crawl, how hard does it pull there, what grade does it climb, and is engine or grip the
        limit? Needs tyre, axle_ratio, gear_ratios."""
        return self._answer(CrawlAnswer, "crawl", build, bands)

    def regear(self, *, bands: bool = False, **build: Unpack[Fields]) -> RegearAnswer:
        """Which available axle ratio suits this build, ranked, with the reason for each? Needs tyre, gear_ratios."""
        return self._answer(RegearAnswer, "regear", build, bands)

    def axle_match(self, *, bands: bool = False, **build: Unpack[Fields]) -> AxleMatchAnswer:
        """Do front and rear axle ratios and tyres agree closely enough to lock the two axles together? Needs
        front_axle_ratio, rear_axle_ratio, front_tyre, rear_tyre."""
        return self._answer(AxleMatchAnswer, "axle-match", build, bands)

    def ring_gear_load(self, *, bands: bool = False, **build: Unpack[Fields]) -> RingGearLoadAnswer:
        """What torque reaches the ring gear, what limits it, what forces and stresses follow, compared with the
        original? Needs tyre, axle_ratio, gear_ratios, vehicle_mass."""
        return self._answer(RingGearLoadAnswer, "ring-gear-load", build, bands)

    def axle_check(self, *, bands: bool = False, **build: Unpack[Fields]) -> AxleCheckAnswer:
        """Ring gear, inner shaft, stub shaft, joint, housing tube: which gives way first, and on which tyre does it
        reach its limit? Needs tyre, axle_ratio, gear_ratios, vehicle_mass."""
        return self._answer(AxleCheckAnswer, "axle-check", build, bands)

    def clearance(self, *, bands: bool = False, **build: Unpack[Fields]) -> ClearanceAnswer:
        """What do height under the axle housing, track, overall width and unsprung mass gain and cost by the swap?
        Needs tyre."""
        return self._answer(ClearanceAnswer, "clearance", build, bands)

    def axle_loads(self, *, bands: bool = False, **build: Unpack[Fields]) -> AxleLoadsAnswer:
        """What does each axle and tyre carry, level and on slopes; how near is it to tipping; what pressure do the
        tyres need? Needs tyre, vehicle_mass."""
        return self._answer(AxleLoadsAnswer, "axle-loads", build, bands)

    def descent(self, *, bands: bool = False, **build: Unpack[Fields]) -> DescentAnswer:
        """Which gear and range hold it downhill, where does it settle, and what must the brakes take? Needs tyre,
        axle_ratio, gear_ratios, vehicle_mass, descent_grade_percent."""
        return self._answer(DescentAnswer, "descent", build, bands)

    def braking(self, *, bands: bool = False, **build: Unpack[Fields]) -> BrakingAnswer:
        """What do taller tyres, mass or a trailer do to the brakes, and which axle locks first? Needs tyre,
        vehicle_mass."""
        return self._answer(BrakingAnswer, "braking", build, bands)

    def acceleration(self, *, bands: bool = False, **build: Unpack[Fields]) -> AccelerationAnswer:
        """How quickly does it gain speed, overtake and start on a hill? Needs tyre, axle_ratio, gear_ratios,
        vehicle_mass."""
        return self._answer(AccelerationAnswer, "acceleration", build, bands)

    def fuel(self, *, bands: bool = False, **build: Unpack[Fields]) -> FuelAnswer:
        """What does it use at a steady speed and over a week, before and after? Needs tyre, axle_ratio, gear_ratios,
        vehicle_mass."""
        return self._answer(FuelAnswer, "fuel", build, bands)

    def driveline(self, *, bands: bool = False, **build: Unpack[Fields]) -> DrivelineAnswer:
        """At which angles and how evenly does the propeller shaft of this axle run, does it whirl, what does it
        carry? Needs tyre, axle_ratio, propshaft_run, propshaft_drop."""
        return self._answer(DrivelineAnswer, "driveline", build, bands)

    def from_measurements(self, *, bands: bool = False, **build: Unpack[Fields]) -> FromMeasurementsAnswer:
        """What do my measurements say about the build: axle ratio, tyre, road load, mass and its centre? Needs one
        measurement."""
        return self._answer(FromMeasurementsAnswer, "from-measurements", build, bands)

    def build_sheet(self, *, bands: bool = False, **build: Unpack[Fields]) -> BuildSheetAnswer:
        """What does this build answer to every question it has fields for, and what do the rest need? Needs tyre."""
        return self._answer(BuildSheetAnswer, "build-sheet", build, bands)

    def from_text(self, q: str) -> FromTextAnswer:
        """What build does this forum sentence describe: what was understood, assumed, left unused?"""
        return self._answer(FromTextAnswer, "from-text", {"q": q})


class AsyncQuestions:
    """The same, each to be awaited."""

    tyre = awaited(Questions.tyre)
    final_drive = awaited(Questions.final_drive)
    speedometer = awaited(Questions.speedometer)
    road_speed = awaited(Questions.road_speed)
    cruise = awaited(Questions.cruise)
    crawl = awaited(Questions.crawl)
    regear = awaited(Questions.regear)
    axle_match = awaited(Questions.axle_match)
    ring_gear_load = awaited(Questions.ring_gear_load)
    axle_check = awaited(Questions.axle_check)
    clearance = awaited(Questions.clearance)
    axle_loads = awaited(Questions.axle_loads)
    descent = awaited(Questions.descent)
    braking = awaited(Questions.braking)
    acceleration = awaited(Questions.acceleration)
    fuel = awaited(Questions.fuel)
    driveline = awaited(Questions.driveline)
    from_measurements = awaited(Questions.from_measurements)
    build_sheet = awaited(Questions.build_sheet)
    from_text = awaited(Questions.from_text)
