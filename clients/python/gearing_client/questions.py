"""The questions, a method each, and their answers. Made from the service's spec document: do not edit.

The program that makes it is `tests/clients/generate_client.py` of the service.
"""

from collections.abc import Mapping, Sequence
from typing import Literal, TypeVar

from gearing_client.answers import Answer

AnAnswer = TypeVar("AnAnswer", bound=Answer)

Number = float | str
Count = int | str
Numbers = Sequence[float | str] | str
Points = Sequence[Sequence[float | str]] | str
SpeedSensor = Literal["gearbox", "wheel"]
EngineKind = Literal["petrol", "petrol-turbo", "diesel", "diesel-turbo", "electric"]
GearboxKind = Literal["manual", "automatic", "cvt", "single-speed"]
ConverterLocked = Literal["yes", "no"]
Tread = Literal["highway", "all-terrain", "mud"]
DrivenAxles = Literal["both", "front", "rear"]
CentreDifferential = Literal["yes", "no"]
Differential = Literal["open", "limited-slip", "locked", "spool"]
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
PinionHeight = Literal["high", "low"]
SparePosition = Literal["front", "rear"]
FrontDifferential = Literal["open", "limited-slip", "locked", "spool"]
RearDifferential = Literal["open", "limited-slip", "locked", "spool"]
InnerSteel = Literal[
    "carbon-case-hardened",
    "carbon-quenched",
    "carbon-1050-205c",
    "alloy-4140",
    "alloy-4330v",
    "alloy-4340",
    "alloy-300m",
]
StubSteel = Literal[
    "carbon-case-hardened",
    "carbon-quenched",
    "carbon-1050-205c",
    "alloy-4140",
    "alloy-4330v",
    "alloy-4340",
    "alloy-300m",
]
Joint = Literal["cross", "constant-velocity"]
AxleKind = Literal["full-floating", "semi-floating"]
HubReverses = Literal["yes", "no"]
BatteryFull = Literal["yes", "no"]
TrailerBrakes = Literal["yes", "no"]
PropshaftJoints = Literal["two-cross", "double-cardan"]
PropshaftPhase = Literal["in-phase", "crossed"]


class TyreAnswer(Answer):
    """The answer to tyre."""

    __slots__ = ()

    diameter: float | None
    """Free outer diameter of the tyre; of a part, the diameter at which its stress is calculated [in; mm].
    [in, mm]"""

    section_width: float | None
    """Design width on the measuring rim, or on wheel_width [in; mm]. [in, mm]"""

    section_height: float | None
    """Bead seat to tread [in; mm]. [in, mm]"""

    rim_diameter: float | None
    """Nominal rim diameter [in; mm]. [in, mm]"""

    measuring_rim_width: float | None
    """Rim width on which the design width is stated [in; mm]. [in, mm]"""

    construction: str | None
    """Construction of the tyre: radial or bias."""

    rolling_circumference: float | None
    """Distance rolled in one free turn [in; mm]. [in, mm]"""

    rolling_radius: float | None
    """Rolling circumference / 2 pi [in; mm]. [in, mm]"""

    tyre_turns_per_distance: float | None
    """Wheel turns per mile or kilometre [per mile; per km]. [per mile, per km]"""

    load_capacity: float | None
    """Load that the load index allows on a single tyre [lb; kg]. [lb, kg]"""

    dual_load_capacity: float | None
    """Load that the second load index allows on each of dual tyres [lb; kg]. [lb, kg]"""

    speed_capability: float | None
    """Speed that the speed symbol allows [mph; km/h]. [mph, km/h]"""

    vertical_stiffness: float | None
    """Radial stiffness at this pressure [lbf/in; N/mm]. [lbf/in, N/mm]"""

    sag: float | None
    """Deflection at this pressure and load [in; mm]. [in, mm]"""

    loaded_radius: float | None
    """Axle centre to ground at this pressure and load [in; mm]. [in, mm]"""

    load_at_pressure: float | None
    """Load that one tyre carries at tyre_pressure [lb; kg]. [lb, kg]"""

    pressure_needed: float | None
    """Least inflation pressure for tyre_load [psi; kPa]. [psi, kPa]"""


class FinalDriveAnswer(Answer):
    """The answer to final-drive."""

    __slots__ = ()

    circumference_change_percent: float | None
    """Change of the rolling circumference against the original tyre [%]. [%]"""

    effective_ratio: float | None
    """Axle ratio that would feel the same on the original tyre."""

    restoring_ratio: float | None
    """Axle ratio that restores the original engine speed."""

    engine_speed_change_percent: float | None
    """Change of engine speed at equal road speed [%]. [%]"""


class SpeedometerAnswer(Answer):
    """The answer to speedometer."""

    __slots__ = ()

    true_per_indicated: float | None
    """True speed / indicated speed."""

    distance_per_indicated: float | None
    """True distance / distance on the odometer."""

    correction_factor: float | None
    """Multiply a reading by this for the true value, or the speed signal for a true reading."""


class RoadSpeedAnswer(Answer):
    """The answer to road-speed."""

    __slots__ = ()

    speed_per_1000: float | None
    """Road speed per 1000 rpm of the engine [mph; km/h]. [mph, km/h]"""

    top_speed: float | None
    """Road speed at redline, if the engine has the power for it [mph; km/h]. [mph, km/h]"""

    cruise_engine_speed: float | None
    """Engine speed at cruise_speed [rpm]. [rpm]"""


class CruiseAnswer(Answer):
    """The answer to cruise."""

    __slots__ = ()

    cruise_gear: float | None
    """Highest gear that holds the grade at cruise_speed, high range first."""

    cruise_transfer_ratio: float | None
    """Transfer ratio of the range of cruise_gear."""

    power_needed: float | None
    """Power at the crankshaft to hold cruise_speed on the grade in cruise_gear, or in top gear if none does:
    at the wheels and the losses; in a table in the gear of the row [hp; kW]. [hp, kW]"""

    power_available: float | None
    """Full-load power at the crankshaft at this altitude in cruise_gear, or in top gear if none holds the
    grade; in a table, in the gear of the row, null outside the engine's speeds [hp; kW]. [hp, kW]"""

    steepest_grade_percent: float | None
    """Steepest grade held at cruise_speed in top gear of high range, in a table in the gear of the row;
    negative if it cannot hold that speed on the level [%]. [%]"""

    top_speed_on_grade: float | None
    """Highest speed held on the grade in any gear up to redline [mph; km/h]. [mph, km/h]"""

    top_speed_gear: float | None
    """Gear of top_speed_on_grade."""

    top_speed_limited_by: str | None
    """What limits top_speed_on_grade: power or redline."""


class CrawlAnswer(Answer):
    """The answer to crawl."""

    __slots__ = ()

    crawl_ratio: float | None
    """First gear x largest transfer ratio x axle x hub."""

    reverse_crawl_ratio: float | None
    """Crawl ratio in reverse."""

    crawl_speed: float | None
    """Road speed at idle in the lowest gear and range [mph; km/h]. [mph, km/h]"""

    crawl_wheel_torque: float | None
    """Torque at all driven wheels together, at peak engine torque [lb-ft; N m]. [lb-ft, N m]"""

    crawl_tractive_force: float | None
    """Pull in the lowest gear at peak engine torque, a converter not multiplying: wheel torque / rolling
    radius [lbf; N]. [lbf, N]"""

    idle_tractive_force: float | None
    """Pull in the lowest gear with the engine at idle: at full load, with a converter standing, without
    accelerator [lbf; N]. [lbf, N]"""

    stall_tractive_force: float | None
    """Pull in the lowest gear at full load, standing, which a converter multiplies [lbf; N]. [lbf, N]"""

    creep_speed: float | None
    """Speed to which a converter creeps on the level at idle in the lowest gear [mph; km/h]. [mph, km/h]"""

    grip_force: float | None
    """Adhesion x weight on the driven axles, level [lbf; N]. [lbf, N]"""

    engine_grade_percent: float | None
    """Steepest grade that the engine can climb [%]. [%]"""

    grip_grade_percent: float | None
    """Steepest grade that the tyres can grip [%]. [%]"""

    climbable_grade_percent: float | None
    """Steepest grade that engine and grip both allow [%]. [%]"""

    crawl_limited_by: str | None
    """What limits the climb: engine or grip."""


class RegearAnswer(Answer):
    """The answer to regear."""

    __slots__ = ()

    restoring_ratio: float | None
    """Axle ratio that restores the original engine speed."""

    recommended_ratio: float | None
    """Axle ratio that ranks first."""

    recommended_meets: str | None
    """How many of the targets the recommended ratio meets: all, some or none."""

    lowest_ratio_for_cruise: float | None
    """Axle ratio for the lowest engine speed wanted at cruise."""

    highest_ratio_for_cruise: float | None
    """Axle ratio for the highest engine speed wanted at cruise."""

    lowest_ratio_for_crawl: float | None
    """Lowest axle ratio that reaches the crawl ratio and crawl speed wanted."""


class AxleMatchAnswer(Answer):
    """The answer to axle-match."""

    __slots__ = ()

    front_turns_per_distance: float | None
    """Turns of the front pinion per mile or kilometre [per mile; per km]. [per mile, per km]"""

    rear_turns_per_distance: float | None
    """Turns of the rear pinion per mile or kilometre [per mile; per km]. [per mile, per km]"""

    mismatch_percent: float | None
    """Speed of the front against the rear, + if the front turns faster [%]. [%]"""

    windup_per_distance: float | None
    """Turns by which front and rear pinion drift apart per mile or kilometre [per mile; per km]. [per mile,
    per km]"""

    windup_force: float | None
    """Force between the axles when both are joined on hard ground, at the middle of the slip stiffness [lbf;
    N]. [lbf, N]"""

    windup_shaft_torque: float | None
    """Torque of that force in the front propeller shaft [lb-ft; N m]. [lb-ft, N m]"""


class RingGearLoadAnswer(Answer):
    """The answer to ring-gear-load."""

    __slots__ = ()

    engine_limited_torque: float | None
    """Torque at the ring gear from the engine in the lowest gear, if one axle carries all of it [lb-ft; N m].
    [lb-ft, N m]"""

    grip_limited_torque: float | None
    """Torque at the ring gear when both tyres of the axle slip [lb-ft; N m]. [lb-ft, N m]"""

    ring_gear_torque: float | None
    """Torque at the ring gear: the smaller of the two limits [lb-ft; N m]. [lb-ft, N m]"""

    ring_gear_limited_by: str | None
    """What limits the ring-gear torque: engine or grip."""

    pinion_torque: float | None
    """Ring-gear torque / axle ratio [lb-ft; N m]. [lb-ft, N m]"""

    ring_mean_diameter: float | None
    """Pitch diameter of the ring gear at mid-face [in; mm]. [in, mm]"""

    tangential_force: float | None
    """Tooth force around the ring gear, at mid-face [lbf; N]. [lbf, N]"""

    pinion_axial_force: float | None
    """Force along the pinion's axis, + away from the ring gear [lbf; N]. [lbf, N]"""

    pinion_radial_force: float | None
    """Force across the pinion's axis, + out of mesh, towards the pinion's axis [lbf; N]. [lbf, N]"""

    loaded_flank: str | None
    """Tooth flank loaded in forward drive: drive or coast."""

    unit_load: float | None
    """Force at the outer diameter / face width [lbf/in; N/mm]. [lbf/in, N/mm]"""

    bending_stress: float | None
    """Bending stress at the root of the ring gear's teeth [ksi; MPa]. [ksi, MPa]"""

    contact_stress: float | None
    """Contact stress between the teeth [ksi; MPa]. [ksi, MPa]"""

    ring_gear_capacity: float | None
    """Torque that ring gears of this size are usually chosen for, (D / 13)^3 [lb-ft; N m]. [lb-ft, N m]"""

    ring_gear_margin: float | None
    """Capacity of the ring gear for endurance, K 13, / its torque."""

    ring_gear_usual_margin: float | None
    """The same by the limit that the trade quotes, K 10."""

    ring_gear_load_index: float | None
    """Torque / capacity of the ring gear, against the original's."""


class AxleCheckAnswer(Answer):
    """The answer to axle-check."""

    __slots__ = ()

    weakest_part: str | None
    """Part of the axle that fails first."""

    weakest_margin: float | None
    """Capacity / load of the weakest part."""

    weakest_usual_margin: float | None
    """Least usual_margin of the parts."""

    strength_change_percent: float | None
    """Weakest margin against that of the original axle on its own tyres, over the parts known of both [%].
    [%]"""

    tyre_limit: float | None
    """Tyre diameter at which the weakest margin reaches 1; in text the range to where the least usual_margin
    does [in; mm]. [in, mm]"""

    bearing_life_ratio: float | None
    """Life of the wheel bearings in turns, against the original."""

    scrub_radius: float | None
    """Steering axis to wheel centre plane on the ground, + where the wheel is outboard [in; mm]. [in, mm]"""

    trail: float | None
    """Steering axis ahead of the wheel centre, on the ground [in; mm]. [in, mm]"""

    tread_reach: float | None
    """How far the tread reaches inboard of the steering axis with the wheel turned by steer_angle [in; mm].
    [in, mm]"""

    steering_torque_at_rest: float | None
    """Torque that turns both front wheels at rest [lb-ft; N m]. [lb-ft, N m]"""

    tube_torque: float | None
    """Torque on the housing tube of one side: braking at the limit of grip, or driving through a hub box
    [lb-ft; N m]. [lb-ft, N m]"""

    sag_per_track: float | None
    """Sag of the housing tube under the level axle load / track [%]. [%]"""

    static_reserve: float | None
    """Bending moment at which the bare tube yields / that of the level axle load."""


class ClearanceAnswer(Answer):
    """The answer to clearance."""

    __slots__ = ()

    housing_clearance: float | None
    """Ground to the lowest point of the housing [in; mm]. [in, mm]"""

    housing_clearance_change: float | None
    """Change of the housing clearance against the original [in; mm]. [in, mm]"""

    tyre_growth_used_up: float | None
    """Growth of the tyre's diameter that the lower housing uses up; negative if the housing is higher [in;
    mm]. [in, mm]"""

    track: float | None
    """Wheel centre to wheel centre [in; mm]. [in, mm]"""

    track_change: float | None
    """Change of the track against the original [in; mm]. [in, mm]"""

    overall_width: float | None
    """Width over the sidewalls of both tyres [in; mm]. [in, mm]"""

    unsprung_mass_change: float | None
    """Change of the axle's mass against the original [lb; kg]. [lb, kg]"""

    unsprung_mass_change_percent: float | None
    """Change of the axle's mass, in percent of the vehicle's mass [%]. [%]"""


class AxleLoadsAnswer(Answer):
    """The answer to axle-loads."""

    __slots__ = ()

    front_axle_load: float | None
    """Load on the front axle, square to the ground; in a table in the state of the row [lb; kg]. [lb, kg]"""

    rear_axle_load: float | None
    """Load on the rear axle, square to the ground; in a table in the state of the row [lb; kg]. [lb, kg]"""

    mass_centre_height_used: float | None
    """Height of the mass centre of the vehicle with what it carries [in; mm]. [in, mm]"""

    static_stability_factor: float | None
    """Track / twice the height of the mass centre."""

    tip_up_percent: float | None
    """Grade at which the front axle lifts, standing uphill; real limits lie 5 to 15 % below [%]. [%]"""

    tip_down_percent: float | None
    """Grade at which the rear axle lifts, standing downhill; real limits lie 5 to 15 % below [%]. [%]"""

    tip_side_percent: float | None
    """Side slope at which the upper wheels lift; real limits lie 5 to 15 % below [%]. [%]"""

    front_pressure_needed: float | None
    """Pressure at which the front tyres carry their load, level [psi; kPa]. [psi, kPa]"""

    rear_pressure_needed: float | None
    """Pressure at which the rear tyres carry their load, level [psi; kPa]. [psi, kPa]"""

    hitch_load: float | None
    """Pull of the trailer at the hitch, along the road, on a grade of that amount upwards [lbf; N]. [lbf,
    N]"""


class DescentAnswer(Answer):
    """The answer to descent."""

    __slots__ = ()

    descent_gear: float | None
    """Highest gear that holds the hill at or below descent_speed and descent_engine_speed with engine drag at
    0.7 of the estimate, high range first; where none does, the lowest."""

    descent_transfer_ratio: float | None
    """Transfer ratio of the range of descent_gear."""

    settling_speed: float | None
    """Speed at which the hill, the engine's drag and the road load balance, at the estimate of the drag; idle
    speed where the drag is more than the hill [mph; km/h]. [mph, km/h]"""

    engine_brake_force: float | None
    """Force with which engine or motor hold the vehicle back at descent_speed [lbf; N]. [lbf, N]"""

    grade_held_back_percent: float | None
    """Hill that engine, rolling resistance and air hold without brakes at descent_engine_speed [%]. [%]"""

    brake_share_percent: float | None
    """Share of the hill's pull that is left to the brakes at descent_speed [%]. [%]"""

    brake_power: float | None
    """Heat that goes into the vehicle's brakes at descent_speed [hp; kW]. [hp, kW]"""

    brake_temperature_rise: float | None
    """What the discs of the hotter axle gain over descent_height at descent_speed, nothing cooling them [F;
    K]. [F, K]"""

    descent_energy: float | None
    """Weight, with the trailer's, x descent_height [kJ]. [kJ]"""


class BrakingAnswer(Answer):
    """The answer to braking."""

    __slots__ = ()

    brake_force_change_percent: float | None
    """Change of the braking force at equal pedal [%]. [%]"""

    pedal_force_change_percent: float | None
    """Change of the pedal force for the same deceleration [%]. [%]"""

    stop_energy: float | None
    """Energy that one stop from cruise_speed puts into the vehicle's brakes [kJ]. [kJ]"""

    stop_energy_change_percent: float | None
    """Change of stop_energy [%]. [%]"""

    ideal_front_share: float | None
    """Front axle's share of the braking at which both axles use their grip alike, at 0.5 g."""

    rear_locks_first_above: float | None
    """Deceleration, in parts of g, above which the rear axle locks first without a valve or anti-lock."""

    grip_stopping_distance: float | None
    """Way to a stop from cruise_speed that grip alone allows, at the low end of grip [ft; m]. [ft, m]"""


class AccelerationAnswer(Answer):
    """The answer to acceleration."""

    __slots__ = ()

    acceleration_time: float | None
    """Time from from_speed to to_speed at full load on the level [s]. [s]"""

    acceleration_distance: float | None
    """Distance covered meanwhile [ft; m]. [ft, m]"""

    overtaking_time: float | None
    """Time in which it gains overtaken_length on a vehicle at overtaken_speed, starting beside it at that
    speed and becoming at most 20 mph faster [s]. [s]"""

    overtaking_distance: float | None
    """Distance covered meanwhile [ft; m]. [ft, m]"""

    launch_grade_percent: float | None
    """Steepest grade on which it starts in first gear of high range, the clutch slipping at idle torque or
    the converter stalled [%]. [%]"""

    launch_limited_by: str | None
    """What limits the start on a hill: engine or grip."""


class FuelAnswer(Answer):
    """The answer to fuel."""

    __slots__ = ()

    fuel_economy: float | None
    """Distance on a volume of fuel at cruise_speed on the level, in the highest gear that holds it; in a
    table in the gear and at the speed of the row [mpg; km/L]. [mpg, km/L]"""

    fuel_per_distance: float | None
    """Fuel over a distance, likewise [gal/100 mi; L/100 km]. [gal/100 mi, L/100 km]"""

    energy_per_distance: float | None
    """Energy of that fuel over a distance; of an electric vehicle the energy from the wall [kWh/100 mi;
    kWh/100 km]. [kWh/100 mi, kWh/100 km]"""

    mix_fuel_economy: float | None
    """Distance on a volume of fuel over the speeds of fuel_mix [mpg; km/L]. [mpg, km/L]"""

    mix_fuel_per_distance: float | None
    """Fuel over a distance over the speeds of fuel_mix [gal/100 mi; L/100 km]. [gal/100 mi, L/100 km]"""

    range_distance: float | None
    """Distance on tank_volume or battery_energy over the speeds of fuel_mix [mi; km]. [mi, km]"""

    fuel_change_percent: float | None
    """Change of fuel_per_distance, of an electric vehicle of energy_per_distance, against the original [%].
    [%]"""


class DrivelineAnswer(Answer):
    """The answer to driveline."""

    __slots__ = ()

    output_joint_angle: float | None
    """Angle between transfer case output and propeller shaft; a double joint shares it between its two [deg].
    [deg]"""

    pinion_joint_angle: float | None
    """Angle between propeller shaft and pinion [deg]. [deg]"""

    propshaft_slope: float | None
    """Slope of the propeller shaft, + falling to the rear [deg]. [deg]"""

    speed_swing_percent: float | None
    """Highest less lowest speed of the pinion in a turn, in percent of its mean, the output turning evenly
    [%]. [%]"""

    driven_excitation: float | None
    """Highest angular acceleration of the pinion at cruise_speed, the output turning evenly [rad/s2].
    [rad/s2]"""

    own_excitation: float | None
    """Highest angular acceleration of the shaft itself at cruise_speed, either end turning evenly [rad/s2].
    [rad/s2]"""

    propshaft_speed: float | None
    """Speed of the propeller shaft at cruise_speed [rpm]. [rpm]"""

    critical_speed: float | None
    """Speed at which the steel tube whirls between its joints [rpm]. [rpm]"""

    critical_speed_share: float | None
    """propshaft_speed / critical_speed."""

    critical_speed_share_at_top_speed: float | None
    """The same at redline in the highest gear and range, if the engine has the power for it."""

    propshaft_torque: float | None
    """Torque of the propeller shaft in the lowest gear by the engine alone, one axle carrying all of it
    [lb-ft; N m]. [lb-ft, N m]"""

    propshaft_grip_torque: float | None
    """Torque of the propeller shaft at which both tyres of its axle slip [lb-ft; N m]. [lb-ft, N m]"""

    propshaft_stress: float | None
    """Shear stress in the tube under propshaft_torque [ksi; MPa]. [ksi, MPa]"""

    best_pinion_slope: float | None
    """Pinion slope at which the joints excite least, + falling to the rear: parallel to the output; with a
    double joint 1.5 degrees below the shaft [deg]. [deg]"""

    caster_cost: float | None
    """Caster lost by turning a front axle to best_pinion_slope; negative if gained [deg]. [deg]"""

    slip_travel: float | None
    """Longest less shortest distance between the joints from bump to droop [in; mm]. [in, mm]"""

    joint_life_hours: float | None
    """Running time after which one joint in ten is worn out, at cruise_speed on the grade with this axle
    alone driving; angles below 3 degrees count as 3 [h]. [h]"""


class BuildSheetAnswer(Answer):
    """The answer to build-sheet."""

    __slots__ = ()

    effective_ratio: float | None
    """Axle ratio that would feel the same on the original tyre."""

    restoring_ratio: float | None
    """Axle ratio that restores the original engine speed."""

    true_per_indicated: float | None
    """True speed / indicated speed."""

    cruise_engine_speed: float | None
    """Engine speed at cruise_speed [rpm]. [rpm]"""

    steepest_grade_percent: float | None
    """Steepest grade held at cruise_speed in top gear of high range, in a table in the gear of the row;
    negative if it cannot hold that speed on the level [%]. [%]"""

    crawl_ratio: float | None
    """First gear x largest transfer ratio x axle x hub."""

    crawl_speed: float | None
    """Road speed at idle in the lowest gear and range [mph; km/h]. [mph, km/h]"""

    climbable_grade_percent: float | None
    """Steepest grade that engine and grip both allow [%]. [%]"""

    weakest_part: str | None
    """Part of the axle that fails first."""

    weakest_margin: float | None
    """Capacity / load of the weakest part."""

    housing_clearance: float | None
    """Ground to the lowest point of the housing [in; mm]. [in, mm]"""

    diameter: float | None
    """Free outer diameter of the tyre; of a part, the diameter at which its stress is calculated [in; mm].
    [in, mm]"""

    section_width: float | None
    """Design width on the measuring rim, or on wheel_width [in; mm]. [in, mm]"""

    section_height: float | None
    """Bead seat to tread [in; mm]. [in, mm]"""

    rim_diameter: float | None
    """Nominal rim diameter [in; mm]. [in, mm]"""

    measuring_rim_width: float | None
    """Rim width on which the design width is stated [in; mm]. [in, mm]"""

    construction: str | None
    """Construction of the tyre: radial or bias."""

    rolling_circumference: float | None
    """Distance rolled in one free turn [in; mm]. [in, mm]"""

    rolling_radius: float | None
    """Rolling circumference / 2 pi [in; mm]. [in, mm]"""

    tyre_turns_per_distance: float | None
    """Wheel turns per mile or kilometre [per mile; per km]. [per mile, per km]"""

    load_capacity: float | None
    """Load that the load index allows on a single tyre [lb; kg]. [lb, kg]"""

    dual_load_capacity: float | None
    """Load that the second load index allows on each of dual tyres [lb; kg]. [lb, kg]"""

    speed_capability: float | None
    """Speed that the speed symbol allows [mph; km/h]. [mph, km/h]"""

    vertical_stiffness: float | None
    """Radial stiffness at this pressure [lbf/in; N/mm]. [lbf/in, N/mm]"""

    sag: float | None
    """Deflection at this pressure and load [in; mm]. [in, mm]"""

    loaded_radius: float | None
    """Axle centre to ground at this pressure and load [in; mm]. [in, mm]"""

    load_at_pressure: float | None
    """Load that one tyre carries at tyre_pressure [lb; kg]. [lb, kg]"""

    pressure_needed: float | None
    """Least inflation pressure for tyre_load [psi; kPa]. [psi, kPa]"""

    circumference_change_percent: float | None
    """Change of the rolling circumference against the original tyre [%]. [%]"""

    engine_speed_change_percent: float | None
    """Change of engine speed at equal road speed [%]. [%]"""

    distance_per_indicated: float | None
    """True distance / distance on the odometer."""

    correction_factor: float | None
    """Multiply a reading by this for the true value, or the speed signal for a true reading."""

    speed_per_1000: float | None
    """Road speed per 1000 rpm of the engine [mph; km/h]. [mph, km/h]"""

    top_speed: float | None
    """Road speed at redline, if the engine has the power for it [mph; km/h]. [mph, km/h]"""

    cruise_gear: float | None
    """Highest gear that holds the grade at cruise_speed, high range first."""

    cruise_transfer_ratio: float | None
    """Transfer ratio of the range of cruise_gear."""

    power_needed: float | None
    """Power at the crankshaft to hold cruise_speed on the grade in cruise_gear, or in top gear if none does:
    at the wheels and the losses; in a table in the gear of the row [hp; kW]. [hp, kW]"""

    power_available: float | None
    """Full-load power at the crankshaft at this altitude in cruise_gear, or in top gear if none holds the
    grade; in a table, in the gear of the row, null outside the engine's speeds [hp; kW]. [hp, kW]"""

    top_speed_on_grade: float | None
    """Highest speed held on the grade in any gear up to redline [mph; km/h]. [mph, km/h]"""

    top_speed_gear: float | None
    """Gear of top_speed_on_grade."""

    top_speed_limited_by: str | None
    """What limits top_speed_on_grade: power or redline."""

    reverse_crawl_ratio: float | None
    """Crawl ratio in reverse."""

    crawl_wheel_torque: float | None
    """Torque at all driven wheels together, at peak engine torque [lb-ft; N m]. [lb-ft, N m]"""

    crawl_tractive_force: float | None
    """Pull in the lowest gear at peak engine torque, a converter not multiplying: wheel torque / rolling
    radius [lbf; N]. [lbf, N]"""

    idle_tractive_force: float | None
    """Pull in the lowest gear with the engine at idle: at full load, with a converter standing, without
    accelerator [lbf; N]. [lbf, N]"""

    stall_tractive_force: float | None
    """Pull in the lowest gear at full load, standing, which a converter multiplies [lbf; N]. [lbf, N]"""

    creep_speed: float | None
    """Speed to which a converter creeps on the level at idle in the lowest gear [mph; km/h]. [mph, km/h]"""

    grip_force: float | None
    """Adhesion x weight on the driven axles, level [lbf; N]. [lbf, N]"""

    engine_grade_percent: float | None
    """Steepest grade that the engine can climb [%]. [%]"""

    grip_grade_percent: float | None
    """Steepest grade that the tyres can grip [%]. [%]"""

    crawl_limited_by: str | None
    """What limits the climb: engine or grip."""

    recommended_ratio: float | None
    """Axle ratio that ranks first."""

    recommended_meets: str | None
    """How many of the targets the recommended ratio meets: all, some or none."""

    lowest_ratio_for_cruise: float | None
    """Axle ratio for the lowest engine speed wanted at cruise."""

    highest_ratio_for_cruise: float | None
    """Axle ratio for the highest engine speed wanted at cruise."""

    lowest_ratio_for_crawl: float | None
    """Lowest axle ratio that reaches the crawl ratio and crawl speed wanted."""

    front_turns_per_distance: float | None
    """Turns of the front pinion per mile or kilometre [per mile; per km]. [per mile, per km]"""

    rear_turns_per_distance: float | None
    """Turns of the rear pinion per mile or kilometre [per mile; per km]. [per mile, per km]"""

    mismatch_percent: float | None
    """Speed of the front against the rear, + if the front turns faster [%]. [%]"""

    windup_per_distance: float | None
    """Turns by which front and rear pinion drift apart per mile or kilometre [per mile; per km]. [per mile,
    per km]"""

    windup_force: float | None
    """Force between the axles when both are joined on hard ground, at the middle of the slip stiffness [lbf;
    N]. [lbf, N]"""

    windup_shaft_torque: float | None
    """Torque of that force in the front propeller shaft [lb-ft; N m]. [lb-ft, N m]"""

    engine_limited_torque: float | None
    """Torque at the ring gear from the engine in the lowest gear, if one axle carries all of it [lb-ft; N m].
    [lb-ft, N m]"""

    grip_limited_torque: float | None
    """Torque at the ring gear when both tyres of the axle slip [lb-ft; N m]. [lb-ft, N m]"""

    ring_gear_torque: float | None
    """Torque at the ring gear: the smaller of the two limits [lb-ft; N m]. [lb-ft, N m]"""

    ring_gear_limited_by: str | None
    """What limits the ring-gear torque: engine or grip."""

    pinion_torque: float | None
    """Ring-gear torque / axle ratio [lb-ft; N m]. [lb-ft, N m]"""

    ring_mean_diameter: float | None
    """Pitch diameter of the ring gear at mid-face [in; mm]. [in, mm]"""

    tangential_force: float | None
    """Tooth force around the ring gear, at mid-face [lbf; N]. [lbf, N]"""

    pinion_axial_force: float | None
    """Force along the pinion's axis, + away from the ring gear [lbf; N]. [lbf, N]"""

    pinion_radial_force: float | None
    """Force across the pinion's axis, + out of mesh, towards the pinion's axis [lbf; N]. [lbf, N]"""

    loaded_flank: str | None
    """Tooth flank loaded in forward drive: drive or coast."""

    unit_load: float | None
    """Force at the outer diameter / face width [lbf/in; N/mm]. [lbf/in, N/mm]"""

    bending_stress: float | None
    """Bending stress at the root of the ring gear's teeth [ksi; MPa]. [ksi, MPa]"""

    contact_stress: float | None
    """Contact stress between the teeth [ksi; MPa]. [ksi, MPa]"""

    ring_gear_capacity: float | None
    """Torque that ring gears of this size are usually chosen for, (D / 13)^3 [lb-ft; N m]. [lb-ft, N m]"""

    ring_gear_margin: float | None
    """Capacity of the ring gear for endurance, K 13, / its torque."""

    ring_gear_usual_margin: float | None
    """The same by the limit that the trade quotes, K 10."""

    ring_gear_load_index: float | None
    """Torque / capacity of the ring gear, against the original's."""

    weakest_usual_margin: float | None
    """Least usual_margin of the parts."""

    strength_change_percent: float | None
    """Weakest margin against that of the original axle on its own tyres, over the parts known of both [%].
    [%]"""

    tyre_limit: float | None
    """Tyre diameter at which the weakest margin reaches 1; in text the range to where the least usual_margin
    does [in; mm]. [in, mm]"""

    bearing_life_ratio: float | None
    """Life of the wheel bearings in turns, against the original."""

    scrub_radius: float | None
    """Steering axis to wheel centre plane on the ground, + where the wheel is outboard [in; mm]. [in, mm]"""

    trail: float | None
    """Steering axis ahead of the wheel centre, on the ground [in; mm]. [in, mm]"""

    tread_reach: float | None
    """How far the tread reaches inboard of the steering axis with the wheel turned by steer_angle [in; mm].
    [in, mm]"""

    steering_torque_at_rest: float | None
    """Torque that turns both front wheels at rest [lb-ft; N m]. [lb-ft, N m]"""

    tube_torque: float | None
    """Torque on the housing tube of one side: braking at the limit of grip, or driving through a hub box
    [lb-ft; N m]. [lb-ft, N m]"""

    sag_per_track: float | None
    """Sag of the housing tube under the level axle load / track [%]. [%]"""

    static_reserve: float | None
    """Bending moment at which the bare tube yields / that of the level axle load."""

    housing_clearance_change: float | None
    """Change of the housing clearance against the original [in; mm]. [in, mm]"""

    tyre_growth_used_up: float | None
    """Growth of the tyre's diameter that the lower housing uses up; negative if the housing is higher [in;
    mm]. [in, mm]"""

    track: float | None
    """Wheel centre to wheel centre [in; mm]. [in, mm]"""

    track_change: float | None
    """Change of the track against the original [in; mm]. [in, mm]"""

    overall_width: float | None
    """Width over the sidewalls of both tyres [in; mm]. [in, mm]"""

    unsprung_mass_change: float | None
    """Change of the axle's mass against the original [lb; kg]. [lb, kg]"""

    unsprung_mass_change_percent: float | None
    """Change of the axle's mass, in percent of the vehicle's mass [%]. [%]"""

    front_axle_load: float | None
    """Load on the front axle, square to the ground; in a table in the state of the row [lb; kg]. [lb, kg]"""

    rear_axle_load: float | None
    """Load on the rear axle, square to the ground; in a table in the state of the row [lb; kg]. [lb, kg]"""

    mass_centre_height_used: float | None
    """Height of the mass centre of the vehicle with what it carries [in; mm]. [in, mm]"""

    static_stability_factor: float | None
    """Track / twice the height of the mass centre."""

    tip_up_percent: float | None
    """Grade at which the front axle lifts, standing uphill; real limits lie 5 to 15 % below [%]. [%]"""

    tip_down_percent: float | None
    """Grade at which the rear axle lifts, standing downhill; real limits lie 5 to 15 % below [%]. [%]"""

    tip_side_percent: float | None
    """Side slope at which the upper wheels lift; real limits lie 5 to 15 % below [%]. [%]"""

    front_pressure_needed: float | None
    """Pressure at which the front tyres carry their load, level [psi; kPa]. [psi, kPa]"""

    rear_pressure_needed: float | None
    """Pressure at which the rear tyres carry their load, level [psi; kPa]. [psi, kPa]"""

    hitch_load: float | None
    """Pull of the trailer at the hitch, along the road, on a grade of that amount upwards [lbf; N]. [lbf,
    N]"""

    descent_gear: float | None
    """Highest gear that holds the hill at or below descent_speed and descent_engine_speed with engine drag at
    0.7 of the estimate, high range first; where none does, the lowest."""

    descent_transfer_ratio: float | None
    """Transfer ratio of the range of descent_gear."""

    settling_speed: float | None
    """Speed at which the hill, the engine's drag and the road load balance, at the estimate of the drag; idle
    speed where the drag is more than the hill [mph; km/h]. [mph, km/h]"""

    engine_brake_force: float | None
    """Force with which engine or motor hold the vehicle back at descent_speed [lbf; N]. [lbf, N]"""

    grade_held_back_percent: float | None
    """Hill that engine, rolling resistance and air hold without brakes at descent_engine_speed [%]. [%]"""

    brake_share_percent: float | None
    """Share of the hill's pull that is left to the brakes at descent_speed [%]. [%]"""

    brake_power: float | None
    """Heat that goes into the vehicle's brakes at descent_speed [hp; kW]. [hp, kW]"""

    brake_temperature_rise: float | None
    """What the discs of the hotter axle gain over descent_height at descent_speed, nothing cooling them [F;
    K]. [F, K]"""

    descent_energy: float | None
    """Weight, with the trailer's, x descent_height [kJ]. [kJ]"""

    brake_force_change_percent: float | None
    """Change of the braking force at equal pedal [%]. [%]"""

    pedal_force_change_percent: float | None
    """Change of the pedal force for the same deceleration [%]. [%]"""

    stop_energy: float | None
    """Energy that one stop from cruise_speed puts into the vehicle's brakes [kJ]. [kJ]"""

    stop_energy_change_percent: float | None
    """Change of stop_energy [%]. [%]"""

    ideal_front_share: float | None
    """Front axle's share of the braking at which both axles use their grip alike, at 0.5 g."""

    rear_locks_first_above: float | None
    """Deceleration, in parts of g, above which the rear axle locks first without a valve or anti-lock."""

    grip_stopping_distance: float | None
    """Way to a stop from cruise_speed that grip alone allows, at the low end of grip [ft; m]. [ft, m]"""

    acceleration_time: float | None
    """Time from from_speed to to_speed at full load on the level [s]. [s]"""

    acceleration_distance: float | None
    """Distance covered meanwhile [ft; m]. [ft, m]"""

    overtaking_time: float | None
    """Time in which it gains overtaken_length on a vehicle at overtaken_speed, starting beside it at that
    speed and becoming at most 20 mph faster [s]. [s]"""

    overtaking_distance: float | None
    """Distance covered meanwhile [ft; m]. [ft, m]"""

    launch_grade_percent: float | None
    """Steepest grade on which it starts in first gear of high range, the clutch slipping at idle torque or
    the converter stalled [%]. [%]"""

    launch_limited_by: str | None
    """What limits the start on a hill: engine or grip."""

    fuel_economy: float | None
    """Distance on a volume of fuel at cruise_speed on the level, in the highest gear that holds it; in a
    table in the gear and at the speed of the row [mpg; km/L]. [mpg, km/L]"""

    fuel_per_distance: float | None
    """Fuel over a distance, likewise [gal/100 mi; L/100 km]. [gal/100 mi, L/100 km]"""

    energy_per_distance: float | None
    """Energy of that fuel over a distance; of an electric vehicle the energy from the wall [kWh/100 mi;
    kWh/100 km]. [kWh/100 mi, kWh/100 km]"""

    mix_fuel_economy: float | None
    """Distance on a volume of fuel over the speeds of fuel_mix [mpg; km/L]. [mpg, km/L]"""

    mix_fuel_per_distance: float | None
    """Fuel over a distance over the speeds of fuel_mix [gal/100 mi; L/100 km]. [gal/100 mi, L/100 km]"""

    range_distance: float | None
    """Distance on tank_volume or battery_energy over the speeds of fuel_mix [mi; km]. [mi, km]"""

    fuel_change_percent: float | None
    """Change of fuel_per_distance, of an electric vehicle of energy_per_distance, against the original [%].
    [%]"""

    output_joint_angle: float | None
    """Angle between transfer case output and propeller shaft; a double joint shares it between its two [deg].
    [deg]"""

    pinion_joint_angle: float | None
    """Angle between propeller shaft and pinion [deg]. [deg]"""

    propshaft_slope: float | None
    """Slope of the propeller shaft, + falling to the rear [deg]. [deg]"""

    speed_swing_percent: float | None
    """Highest less lowest speed of the pinion in a turn, in percent of its mean, the output turning evenly
    [%]. [%]"""

    driven_excitation: float | None
    """Highest angular acceleration of the pinion at cruise_speed, the output turning evenly [rad/s2].
    [rad/s2]"""

    own_excitation: float | None
    """Highest angular acceleration of the shaft itself at cruise_speed, either end turning evenly [rad/s2].
    [rad/s2]"""

    propshaft_speed: float | None
    """Speed of the propeller shaft at cruise_speed [rpm]. [rpm]"""

    critical_speed: float | None
    """Speed at which the steel tube whirls between its joints [rpm]. [rpm]"""

    critical_speed_share: float | None
    """propshaft_speed / critical_speed."""

    critical_speed_share_at_top_speed: float | None
    """The same at redline in the highest gear and range, if the engine has the power for it."""

    propshaft_torque: float | None
    """Torque of the propeller shaft in the lowest gear by the engine alone, one axle carrying all of it
    [lb-ft; N m]. [lb-ft, N m]"""

    propshaft_grip_torque: float | None
    """Torque of the propeller shaft at which both tyres of its axle slip [lb-ft; N m]. [lb-ft, N m]"""

    propshaft_stress: float | None
    """Shear stress in the tube under propshaft_torque [ksi; MPa]. [ksi, MPa]"""

    best_pinion_slope: float | None
    """Pinion slope at which the joints excite least, + falling to the rear: parallel to the output; with a
    double joint 1.5 degrees below the shaft [deg]. [deg]"""

    caster_cost: float | None
    """Caster lost by turning a front axle to best_pinion_slope; negative if gained [deg]. [deg]"""

    slip_travel: float | None
    """Longest less shortest distance between the joints from bump to droop [in; mm]. [in, mm]"""

    joint_life_hours: float | None
    """Running time after which one joint in ten is worn out, at cruise_speed on the grade with this axle
    alone driving; angles below 3 degrees count as 3 [h]. [h]"""


class FromTextAnswer(Answer):
    """The answer to from-text."""

    __slots__ = ()

    build: Mapping[str, object]
    """Values by field."""

    understood: Sequence[Mapping[str, object]]
    """Each value with the piece that says it."""

    unused: Sequence[Mapping[str, object]]
    """Numbers left over, and why."""

    ask: str | None
    """What to ask back, where the likeliest question lacks something."""

    fits: Sequence[str]
    """The questions this build answers, the likeliest first."""

    asks: (
        Literal[
            "tyre",
            "final-drive",
            "speedometer",
            "road-speed",
            "cruise",
            "crawl",
            "regear",
            "axle-match",
            "ring-gear-load",
            "axle-check",
            "clearance",
            "axle-loads",
            "descent",
            "braking",
            "acceleration",
            "fuel",
            "driveline",
            "build-sheet",
        ]
        | None
    )
    """The question that the writer asks."""


class Questions:
    """A method a question. Fields are keywords; those that are not given, or None, are not sent.

    Bare numbers are in the client's units, which stand in brackets, US before metric; bounds are told in US
    units. Any number may instead be text with its own unit, ``"65 mph"``. Every method raises `GearingError`
    in one of its kinds: `InvalidBuild` where a field is missing or refused.
    """

    def _answer(self, kind: type[AnAnswer], question: str, build: Mapping[str, object]) -> AnAnswer:
        raise NotImplementedError

    def tyre(
        self,
        *,
        tyre: str | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        rated_pressure: Number | None = None,
        wheel_width: Number | None = None,
    ) -> TyreAnswer:
        """What does this size string mean, and how far does the tyre sag at this pressure?

        Needs tyre.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        rated_pressure [psi, kPa]
            Pressure at which the tyre carries its load index; from a printed load range if not given [psi;
            kPa]
        wheel_width [in, mm]
            Width of the rim between its flanges [in; mm]
        """
        return self._answer(
            TyreAnswer,
            "tyre",
            {
                "tyre": tyre,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "rated_pressure": rated_pressure,
                "wheel_width": wheel_width,
            },
        )

    def final_drive(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        original_tyre: str | None = None,
        original_axle_ratio: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
    ) -> FinalDriveAnswer:
        """After the tyre change, what axle ratio does it feel like, and which ratio restores the original?

        Needs tyre, axle_ratio.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        original_tyre
            Tyre before the change
        original_axle_ratio
            Axle ratio before the change
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        gear_ratios
            Gearbox ratios, first gear to top
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        """
        return self._answer(
            FinalDriveAnswer,
            "final-drive",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "original_tyre": original_tyre,
                "original_axle_ratio": original_axle_ratio,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "gear_ratios": gear_ratios,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
            },
        )

    def speedometer(
        self,
        *,
        tyre: str | None = None,
        original_tyre: str | None = None,
        axle_ratio: Number | None = None,
        original_axle_ratio: Number | None = None,
        hub_ratio: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        rolling_factor: Number | None = None,
        speed_sensor: SpeedSensor | None = None,
        original_overreading_percent: Number | None = None,
        indicated_speeds: Numbers | None = None,
    ) -> SpeedometerAnswer:
        """What does the speedometer now show, by how much is the odometer out, and is that still lawful?

        Needs tyre.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        original_tyre
            Tyre before the change
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        original_axle_ratio
            Axle ratio before the change
        hub_ratio
            Reduction at the wheel Default 1.
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        speed_sensor
            Where the speedometer takes its signal Default gearbox.
        original_overreading_percent [%]
            How much too high the speedometer read before the change, in percent of true speed [%] Default 0
            %.
        indicated_speeds [mph, km/h]
            Speedometer readings to calculate true speeds for [mph; km/h] Default 20 mph,30 mph,40 mph,50
            mph,60 mph,70 mph,80 mph.
        """
        return self._answer(
            SpeedometerAnswer,
            "speedometer",
            {
                "tyre": tyre,
                "original_tyre": original_tyre,
                "axle_ratio": axle_ratio,
                "original_axle_ratio": original_axle_ratio,
                "hub_ratio": hub_ratio,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "rolling_factor": rolling_factor,
                "speed_sensor": speed_sensor,
                "original_overreading_percent": original_overreading_percent,
                "indicated_speeds": indicated_speeds,
            },
        )

    def road_speed(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        cruise_speed: Number | None = None,
        engine_speeds: Numbers | None = None,
        road_speeds: Numbers | None = None,
        original_tyre: str | None = None,
        original_axle_ratio: Number | None = None,
    ) -> RoadSpeedAnswer:
        """How do road speed and engine speed go together in every gear and range?

        Needs tyre, axle_ratio, gear_ratios.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        engine_speeds [rpm]
            Engine speeds of the road-speed table: a list or first:last:step; idle to redline if not given
            [rpm]
        road_speeds [mph, km/h]
            Road speeds to calculate engine speeds for [mph; km/h]
        original_tyre
            Tyre before the change
        original_axle_ratio
            Axle ratio before the change
        """
        return self._answer(
            RoadSpeedAnswer,
            "road-speed",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "cruise_speed": cruise_speed,
                "engine_speeds": engine_speeds,
                "road_speeds": road_speeds,
                "original_tyre": original_tyre,
                "original_axle_ratio": original_axle_ratio,
            },
        )

    def cruise(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        vehicle_mass: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        peak_torque: Number | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        engine_kind: EngineKind | None = None,
        critical_altitude: Number | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        cruise_speed: Number | None = None,
        grade_percent: Number | None = None,
        altitude: Number | None = None,
        hold_grade_percent: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        hitch_overhang: Number | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        trailer_drag_area: Number | None = None,
        cruise_reserve_percent: Number | None = None,
    ) -> CruiseAnswer:
        """Can it hold this speed, on this grade, at this altitude, in which gear?

        Needs tyre, axle_ratio, gear_ratios, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        hold_grade_percent [%]
            Grade that top gear should hold at cruise speed [%] Default 3 %.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        cruise_reserve_percent [%]
            Power reserve that a gear needs to count as holding the grade [%] Default 5 %.
        """
        return self._answer(
            CruiseAnswer,
            "cruise",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "vehicle_mass": vehicle_mass,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "peak_torque": peak_torque,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "engine_kind": engine_kind,
                "critical_altitude": critical_altitude,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "driveline_efficiency": driveline_efficiency,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "cruise_speed": cruise_speed,
                "grade_percent": grade_percent,
                "altitude": altitude,
                "hold_grade_percent": hold_grade_percent,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "hitch_overhang": hitch_overhang,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "trailer_drag_area": trailer_drag_area,
                "cruise_reserve_percent": cruise_reserve_percent,
            },
        )

    def crawl(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        reverse_ratio: Number | None = None,
        rolling_factor: Number | None = None,
        idle_speed: Number | None = None,
        peak_torque: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        altitude: Number | None = None,
        driveline_efficiency: Number | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        engine_kind: EngineKind | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        critical_altitude: Number | None = None,
        redline_speed: Number | None = None,
        vehicle_mass: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        driven_axles: DrivenAxles | None = None,
        centre_differential: CentreDifferential | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        differential: Differential | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        target_crawl_ratio: Number | None = None,
        target_crawl_speed: Number | None = None,
    ) -> CrawlAnswer:
        """How slowly does it creep, how hard does it pull there, what grade does it climb, and is engine or
        grip the limit?

        Needs tyre, axle_ratio, gear_ratios.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        reverse_ratio
            Gearbox ratio in reverse
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        driven_axles
            Which axles pull Default both.
        centre_differential
            Whether a differential between front and rear axle lets them turn at different speeds Default no.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        differential
            Differential of the axle, which decides how much torque one shaft can get Default open.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        target_crawl_ratio
            Crawl ratio to reach at least
        target_crawl_speed [mph, km/h]
            Highest speed wanted at idle in the lowest gear [mph; km/h]
        """
        return self._answer(
            CrawlAnswer,
            "crawl",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "transfer_ratios": transfer_ratios,
                "reverse_ratio": reverse_ratio,
                "rolling_factor": rolling_factor,
                "idle_speed": idle_speed,
                "peak_torque": peak_torque,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "altitude": altitude,
                "driveline_efficiency": driveline_efficiency,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "engine_kind": engine_kind,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "critical_altitude": critical_altitude,
                "redline_speed": redline_speed,
                "vehicle_mass": vehicle_mass,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "driven_axles": driven_axles,
                "centre_differential": centre_differential,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "differential": differential,
                "surface": surface,
                "adhesion": adhesion,
                "target_crawl_ratio": target_crawl_ratio,
                "target_crawl_speed": target_crawl_speed,
            },
        )

    def regear(
        self,
        *,
        tyre: str | None = None,
        gear_ratios: Numbers | None = None,
        original_tyre: str | None = None,
        original_axle_ratio: Number | None = None,
        axle_ratio: Number | None = None,
        cruise_engine_speed_range: Numbers | None = None,
        target_crawl_ratio: Number | None = None,
        target_crawl_speed: Number | None = None,
        target_overtaking_time: Number | None = None,
        target_fuel_change_percent: Number | None = None,
        hold_grade_percent: Number | None = None,
        available_ratios: Numbers | None = None,
        cruise_speed: Number | None = None,
        altitude: Number | None = None,
        vehicle_mass: Number | None = None,
        ring_gear_load_limit: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        peak_torque: Number | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        engine_kind: EngineKind | None = None,
        critical_altitude: Number | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        trailer_drag_area: Number | None = None,
        cruise_reserve_percent: Number | None = None,
        engine_displacement: Number | None = None,
        shift_time: Number | None = None,
        driven_axles: DrivenAxles | None = None,
        centre_differential: CentreDifferential | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        overtaken_speed: Number | None = None,
        overtaken_length: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        front_hub_ratio: Number | None = None,
        rear_hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        grade_percent: Number | None = None,
        axle_position: AxlePosition | None = None,
        pinion_height: PinionHeight | None = None,
        ring_gear_diameter: Number | None = None,
        original_ring_gear_diameter: Number | None = None,
    ) -> RegearAnswer:
        """Which available axle ratio suits this build, ranked, with the reason for each?

        Needs tyre, gear_ratios.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        gear_ratios
            Gearbox ratios, first gear to top
        original_tyre
            Tyre before the change
        original_axle_ratio
            Axle ratio before the change
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        cruise_engine_speed_range [rpm]
            Lowest and highest engine speed wanted at cruise; the original's +-10 % if not given [rpm]
        target_crawl_ratio
            Crawl ratio to reach at least
        target_crawl_speed [mph, km/h]
            Highest speed wanted at idle in the lowest gear [mph; km/h]
        target_overtaking_time [s]
            Longest overtaking time wanted [s]
        target_fuel_change_percent [%]
            Highest rise wanted in fuel over distance [%]
        hold_grade_percent [%]
            Grade that top gear should hold at cruise speed [%] Default 3 %.
        available_ratios
            Ratios or tooth pairs on sale for this axle; the common pairs if not given
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        ring_gear_load_limit
            Highest ring-gear load index accepted in a regear Default 1.
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        cruise_reserve_percent [%]
            Power reserve that a gear needs to count as holding the grade [%] Default 5 %.
        engine_displacement [L]
            Swept volume of all cylinders [L]
        shift_time [s]
            Time without drive in a shift; 0.95 s manual, 0.4 s automatic if not given [s]
        driven_axles
            Which axles pull Default both.
        centre_differential
            Whether a differential between front and rear axle lets them turn at different speeds Default no.
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        overtaken_speed [mph, km/h]
            Road speed of the vehicle overtaken [mph; km/h] Default 50 mph.
        overtaken_length [ft, m]
            Distance to gain when overtaking: both vehicles and both gaps [ft; m] Default 84 ft.
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        front_hub_ratio
            Reduction at the front wheels
        rear_hub_ratio
            Reduction at the rear wheels
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        axle_position
            Axle to judge Default front.
        pinion_height
            high: reverse-spiral set, pinion above the ring centreline; low: standard set Default low.
        ring_gear_diameter [in, mm]
            Outer diameter of the ring gear [in; mm]
        original_ring_gear_diameter [in, mm]
            Ring gear before the change [in; mm]
        """
        return self._answer(
            RegearAnswer,
            "regear",
            {
                "tyre": tyre,
                "gear_ratios": gear_ratios,
                "original_tyre": original_tyre,
                "original_axle_ratio": original_axle_ratio,
                "axle_ratio": axle_ratio,
                "cruise_engine_speed_range": cruise_engine_speed_range,
                "target_crawl_ratio": target_crawl_ratio,
                "target_crawl_speed": target_crawl_speed,
                "target_overtaking_time": target_overtaking_time,
                "target_fuel_change_percent": target_fuel_change_percent,
                "hold_grade_percent": hold_grade_percent,
                "available_ratios": available_ratios,
                "cruise_speed": cruise_speed,
                "altitude": altitude,
                "vehicle_mass": vehicle_mass,
                "ring_gear_load_limit": ring_gear_load_limit,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "peak_torque": peak_torque,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "engine_kind": engine_kind,
                "critical_altitude": critical_altitude,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "driveline_efficiency": driveline_efficiency,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "trailer_drag_area": trailer_drag_area,
                "cruise_reserve_percent": cruise_reserve_percent,
                "engine_displacement": engine_displacement,
                "shift_time": shift_time,
                "driven_axles": driven_axles,
                "centre_differential": centre_differential,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "surface": surface,
                "adhesion": adhesion,
                "overtaken_speed": overtaken_speed,
                "overtaken_length": overtaken_length,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "front_hub_ratio": front_hub_ratio,
                "rear_hub_ratio": rear_hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "grade_percent": grade_percent,
                "axle_position": axle_position,
                "pinion_height": pinion_height,
                "ring_gear_diameter": ring_gear_diameter,
                "original_ring_gear_diameter": original_ring_gear_diameter,
            },
        )

    def axle_match(
        self,
        *,
        front_axle_ratio: Number | None = None,
        rear_axle_ratio: Number | None = None,
        front_tyre: str | None = None,
        rear_tyre: str | None = None,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        front_hub_ratio: Number | None = None,
        rear_hub_ratio: Number | None = None,
        rolling_factor: Number | None = None,
        vehicle_mass: Number | None = None,
        front_axle_share: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        centre_differential: CentreDifferential | None = None,
        spare_tyre: str | None = None,
        spare_position: SparePosition | None = None,
        differential: Differential | None = None,
        front_differential: FrontDifferential | None = None,
        rear_differential: RearDifferential | None = None,
    ) -> AxleMatchAnswer:
        """Do front and rear axle ratios and tyres agree closely enough to lock the two axles together?

        Needs front_axle_ratio, rear_axle_ratio, front_tyre, rear_tyre.

        Parameters
        ----------
        front_axle_ratio
            Front axle ratio
        rear_axle_ratio
            Rear axle ratio
        front_tyre
            Front tyre
        rear_tyre
            Rear tyre
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        front_hub_ratio
            Reduction at the front wheels
        rear_hub_ratio
            Reduction at the rear wheels
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        centre_differential
            Whether a differential between front and rear axle lets them turn at different speeds Default no.
        spare_tyre
            Spare tyre, on one wheel of an axle
        spare_position
            Axle that the spare is on Default rear.
        differential
            Differential of the axle, which decides how much torque one shaft can get Default open.
        front_differential
            Differential of the front axle
        rear_differential
            Differential of the rear axle
        """
        return self._answer(
            AxleMatchAnswer,
            "axle-match",
            {
                "front_axle_ratio": front_axle_ratio,
                "rear_axle_ratio": rear_axle_ratio,
                "front_tyre": front_tyre,
                "rear_tyre": rear_tyre,
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "front_hub_ratio": front_hub_ratio,
                "rear_hub_ratio": rear_hub_ratio,
                "rolling_factor": rolling_factor,
                "vehicle_mass": vehicle_mass,
                "front_axle_share": front_axle_share,
                "surface": surface,
                "adhesion": adhesion,
                "centre_differential": centre_differential,
                "spare_tyre": spare_tyre,
                "spare_position": spare_position,
                "differential": differential,
                "front_differential": front_differential,
                "rear_differential": rear_differential,
            },
        )

    def ring_gear_load(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        vehicle_mass: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        front_hub_ratio: Number | None = None,
        rear_hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        idle_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        peak_torque: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        engine_kind: EngineKind | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        peak_torque_speed: Number | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        grade_percent: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        axle_position: AxlePosition | None = None,
        pinion_height: PinionHeight | None = None,
        original_axle_ratio: Number | None = None,
        ring_gear_diameter: Number | None = None,
        original_ring_gear_diameter: Number | None = None,
        face_width: Number | None = None,
        spiral_angle: Number | None = None,
        pressure_angle: Number | None = None,
        overload_factor: Number | None = None,
        load_distribution_factor: Number | None = None,
        bending_geometry_factor: Number | None = None,
        contact_geometry_factor: Number | None = None,
    ) -> RingGearLoadAnswer:
        """What torque reaches the ring gear, what limits it, what forces and stresses follow, compared with
        the original?

        Needs tyre, axle_ratio, gear_ratios, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        front_hub_ratio
            Reduction at the front wheels
        rear_hub_ratio
            Reduction at the rear wheels
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        axle_position
            Axle to judge Default front.
        pinion_height
            high: reverse-spiral set, pinion above the ring centreline; low: standard set Default low.
        original_axle_ratio
            Axle ratio before the change
        ring_gear_diameter [in, mm]
            Outer diameter of the ring gear [in; mm]
        original_ring_gear_diameter [in, mm]
            Ring gear before the change [in; mm]
        face_width [in, mm]
            Face width of the ring gear; 0.155 x its diameter if not given [in; mm]
        spiral_angle [deg]
            Mean spiral angle [deg] Default 35 deg.
        pressure_angle [deg]
            Normal pressure angle of the loaded flank [deg] Default 20 deg.
        overload_factor
            Shock factor on the tooth stresses of the ring gear Default 1.
        load_distribution_factor
            Uneven load along the teeth: 1.0 to 1.1 with bearings on both sides of the pinion, to 1.25
            overhung Default 1.1.
        bending_geometry_factor
            Geometry factor of the bending stress, J Default 0.24.
        contact_geometry_factor
            Geometry factor of the contact stress, J; from the curvature of the teeth if not given
        """
        return self._answer(
            RingGearLoadAnswer,
            "ring-gear-load",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "vehicle_mass": vehicle_mass,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "front_hub_ratio": front_hub_ratio,
                "rear_hub_ratio": rear_hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "idle_speed": idle_speed,
                "driveline_efficiency": driveline_efficiency,
                "peak_torque": peak_torque,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "engine_kind": engine_kind,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "peak_torque_speed": peak_torque_speed,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "grade_percent": grade_percent,
                "surface": surface,
                "adhesion": adhesion,
                "axle_position": axle_position,
                "pinion_height": pinion_height,
                "original_axle_ratio": original_axle_ratio,
                "ring_gear_diameter": ring_gear_diameter,
                "original_ring_gear_diameter": original_ring_gear_diameter,
                "face_width": face_width,
                "spiral_angle": spiral_angle,
                "pressure_angle": pressure_angle,
                "overload_factor": overload_factor,
                "load_distribution_factor": load_distribution_factor,
                "bending_geometry_factor": bending_geometry_factor,
                "contact_geometry_factor": contact_geometry_factor,
            },
        )

    def axle_check(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        vehicle_mass: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        front_hub_ratio: Number | None = None,
        rear_hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        idle_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        peak_torque: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        engine_kind: EngineKind | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        peak_torque_speed: Number | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        grade_percent: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        axle_position: AxlePosition | None = None,
        pinion_height: PinionHeight | None = None,
        original_axle_ratio: Number | None = None,
        ring_gear_diameter: Number | None = None,
        original_ring_gear_diameter: Number | None = None,
        differential: Differential | None = None,
        front_differential: FrontDifferential | None = None,
        rear_differential: RearDifferential | None = None,
        bias_ratio: Number | None = None,
        inner_splines: Count | None = None,
        inner_pitch: Number | None = None,
        inner_diameter: Number | None = None,
        inner_steel: InnerSteel | None = None,
        inner_length: Number | None = None,
        stub_splines: Count | None = None,
        stub_pitch: Number | None = None,
        stub_diameter: Number | None = None,
        stub_steel: StubSteel | None = None,
        joint: Joint | None = None,
        joint_rating: Number | None = None,
        steer_angle: Number | None = None,
        tube_diameter: Number | None = None,
        tube_wall: Number | None = None,
        tube_yield: Number | None = None,
        truss_diameter: Number | None = None,
        truss_wall: Number | None = None,
        truss_height: Number | None = None,
        truss_end: Number | None = None,
        truss_panel: Number | None = None,
        truss_web_wall: Number | None = None,
        truss_weld_leg: Number | None = None,
        truss_weld_share: Number | None = None,
        axle_kind: AxleKind | None = None,
        bearing_arm: Number | None = None,
        half_shaft_end_diameter: Number | None = None,
        bearing_span: Number | None = None,
        scrub_radius: Number | None = None,
        kingpin_inclination: Number | None = None,
        caster: Number | None = None,
        hub_reverses: HubReverses | None = None,
        track: Number | None = None,
        hub_box_width: Number | None = None,
        mounting_width: Number | None = None,
        original_mounting_width: Number | None = None,
        wheel_offset: Number | None = None,
        original_wheel_offset: Number | None = None,
        spring_seat_spacing: Number | None = None,
        impact_factor: Number | None = None,
    ) -> AxleCheckAnswer:
        """Ring gear, inner shaft, stub shaft, joint, housing tube: which gives way first, and up to which
        tyre does the axle hold?

        Needs tyre, axle_ratio, gear_ratios, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        front_hub_ratio
            Reduction at the front wheels
        rear_hub_ratio
            Reduction at the rear wheels
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        axle_position
            Axle to judge Default front.
        pinion_height
            high: reverse-spiral set, pinion above the ring centreline; low: standard set Default low.
        original_axle_ratio
            Axle ratio before the change
        ring_gear_diameter [in, mm]
            Outer diameter of the ring gear [in; mm]
        original_ring_gear_diameter [in, mm]
            Ring gear before the change [in; mm]
        differential
            Differential of the axle, which decides how much torque one shaft can get Default open.
        front_differential
            Differential of the front axle
        rear_differential
            Differential of the rear axle
        bias_ratio
            Torque of the slower wheel / torque of the faster, for limited-slip Default 2.5.
        inner_splines
            Spline teeth of the inner shaft
        inner_pitch
            Diametral pitch of the inner spline, per inch
        inner_diameter [in, mm]
            Smallest measured diameter of the inner shaft [in; mm]
        inner_steel
            Steel of the inner shaft Default carbon-case-hardened.
        inner_length [in, mm]
            Length of the inner shaft [in; mm]
        stub_splines
            Spline teeth of the stub (outer) shaft
        stub_pitch
            Diametral pitch of the stub spline, per inch
        stub_diameter [in, mm]
            Smallest measured diameter of the stub shaft [in; mm]
        stub_steel
            Steel of the stub shaft Default carbon-case-hardened.
        joint
            Steering joint Default cross.
        joint_rating [lb-ft, N m]
            Torque that the joint's maker allows without steering angle [lb-ft; N m]
        steer_angle [deg]
            Angle of the steering joint [deg] Default 0 deg.
        tube_diameter [in, mm]
            Outer diameter of the housing tube [in; mm]
        tube_wall [in, mm]
            Wall of the housing tube [in; mm]
        tube_yield [ksi, MPa]
            Yield of the housing tube and of its truss [ksi; MPa] Default 60 ksi.
        truss_diameter [in, mm]
            Outer diameter of the truss tube [in; mm]
        truss_wall [in, mm]
            Wall of the truss tube [in; mm]
        truss_height [in, mm]
            Centre of the truss tube above the centre of the housing tube [in; mm]
        truss_end [in, mm]
            Wheel plane to the end of the truss [in; mm]
        truss_panel [in, mm]
            Distance between webs of the truss [in; mm]
        truss_web_wall [in, mm]
            Thickness of the web plates of the truss [in; mm]
        truss_weld_leg [in, mm]
            Leg of the welds along the truss [in; mm]
        truss_weld_share
            Share of the truss's length that is welded Default 1.
        axle_kind
            Whether the shaft also carries the wheel (semi-floating) Default full-floating.
        bearing_arm [in, mm]
            Wheel bearing to wheel plane [in; mm]
        half_shaft_end_diameter [in, mm]
            Diameter of the shaft at its wheel bearing [in; mm]
        bearing_span [in, mm]
            Inner to outer wheel bearing [in; mm]
        scrub_radius [in, mm]
            Steering axis to wheel centre plane on the ground, + where the wheel is outboard [in; mm]
        kingpin_inclination [deg]
            Lean of the steering axis inward, seen from the front [deg]
        caster [deg]
            Lean of the steering axis to the rear, seen from the side [deg]
        hub_reverses
            Whether the hub boxes turn the wheels backwards, as those with two gears do Default no.
        track [in, mm]
            Wheel centre to wheel centre; from mounting_width and wheel_offset if not given [in; mm]
        hub_box_width [in, mm]
            Width of a portal box [in; mm]
        mounting_width [in, mm]
            Wheel mounting face to wheel mounting face [in; mm]
        original_mounting_width [in, mm]
            Mounting width before the change [in; mm]
        wheel_offset [in, mm]
            Wheel centre to mounting face, positive inboard [in; mm]
        original_wheel_offset [in, mm]
            Wheel offset before the change [in; mm]
        spring_seat_spacing [in, mm]
            Spring seat to spring seat [in; mm]
        impact_factor
            Dynamic / static load on the housing Default 2.5.
        """
        return self._answer(
            AxleCheckAnswer,
            "axle-check",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "vehicle_mass": vehicle_mass,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "front_hub_ratio": front_hub_ratio,
                "rear_hub_ratio": rear_hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "idle_speed": idle_speed,
                "driveline_efficiency": driveline_efficiency,
                "peak_torque": peak_torque,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "engine_kind": engine_kind,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "peak_torque_speed": peak_torque_speed,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "grade_percent": grade_percent,
                "surface": surface,
                "adhesion": adhesion,
                "axle_position": axle_position,
                "pinion_height": pinion_height,
                "original_axle_ratio": original_axle_ratio,
                "ring_gear_diameter": ring_gear_diameter,
                "original_ring_gear_diameter": original_ring_gear_diameter,
                "differential": differential,
                "front_differential": front_differential,
                "rear_differential": rear_differential,
                "bias_ratio": bias_ratio,
                "inner_splines": inner_splines,
                "inner_pitch": inner_pitch,
                "inner_diameter": inner_diameter,
                "inner_steel": inner_steel,
                "inner_length": inner_length,
                "stub_splines": stub_splines,
                "stub_pitch": stub_pitch,
                "stub_diameter": stub_diameter,
                "stub_steel": stub_steel,
                "joint": joint,
                "joint_rating": joint_rating,
                "steer_angle": steer_angle,
                "tube_diameter": tube_diameter,
                "tube_wall": tube_wall,
                "tube_yield": tube_yield,
                "truss_diameter": truss_diameter,
                "truss_wall": truss_wall,
                "truss_height": truss_height,
                "truss_end": truss_end,
                "truss_panel": truss_panel,
                "truss_web_wall": truss_web_wall,
                "truss_weld_leg": truss_weld_leg,
                "truss_weld_share": truss_weld_share,
                "axle_kind": axle_kind,
                "bearing_arm": bearing_arm,
                "half_shaft_end_diameter": half_shaft_end_diameter,
                "bearing_span": bearing_span,
                "scrub_radius": scrub_radius,
                "kingpin_inclination": kingpin_inclination,
                "caster": caster,
                "hub_reverses": hub_reverses,
                "track": track,
                "hub_box_width": hub_box_width,
                "mounting_width": mounting_width,
                "original_mounting_width": original_mounting_width,
                "wheel_offset": wheel_offset,
                "original_wheel_offset": original_wheel_offset,
                "spring_seat_spacing": spring_seat_spacing,
                "impact_factor": impact_factor,
            },
        )

    def clearance(
        self,
        *,
        tyre: str | None = None,
        original_tyre: str | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        wheel_width: Number | None = None,
        housing_drop: Number | None = None,
        original_housing_drop: Number | None = None,
        track: Number | None = None,
        mounting_width: Number | None = None,
        wheel_offset: Number | None = None,
        hub_box_width: Number | None = None,
        original_mounting_width: Number | None = None,
        original_wheel_offset: Number | None = None,
        hub_offset: Number | None = None,
        axle_mass: Number | None = None,
        original_axle_mass: Number | None = None,
        vehicle_mass: Number | None = None,
    ) -> ClearanceAnswer:
        """What do height under the axle housing, track, overall width and unsprung mass gain and cost by the
        swap?

        Needs tyre.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        original_tyre
            Tyre before the change
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        wheel_width [in, mm]
            Width of the rim between its flanges [in; mm]
        housing_drop [in, mm]
            Axle centreline to the lowest point of the housing [in; mm]
        original_housing_drop [in, mm]
            Housing drop before the change [in; mm]
        track [in, mm]
            Wheel centre to wheel centre; from mounting_width and wheel_offset if not given [in; mm]
        mounting_width [in, mm]
            Wheel mounting face to wheel mounting face [in; mm]
        wheel_offset [in, mm]
            Wheel centre to mounting face, positive inboard [in; mm]
        hub_box_width [in, mm]
            Width of a portal box [in; mm]
        original_mounting_width [in, mm]
            Mounting width before the change [in; mm]
        original_wheel_offset [in, mm]
            Wheel offset before the change [in; mm]
        hub_offset [in, mm]
            Axle above the wheel centre with portal boxes; below is negative [in; mm]
        axle_mass [lb, kg]
            Mass of the complete axle [lb; kg]
        original_axle_mass [lb, kg]
            Axle mass before the change [lb; kg]
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        """
        return self._answer(
            ClearanceAnswer,
            "clearance",
            {
                "tyre": tyre,
                "original_tyre": original_tyre,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "wheel_width": wheel_width,
                "housing_drop": housing_drop,
                "original_housing_drop": original_housing_drop,
                "track": track,
                "mounting_width": mounting_width,
                "wheel_offset": wheel_offset,
                "hub_box_width": hub_box_width,
                "original_mounting_width": original_mounting_width,
                "original_wheel_offset": original_wheel_offset,
                "hub_offset": hub_offset,
                "axle_mass": axle_mass,
                "original_axle_mass": original_axle_mass,
                "vehicle_mass": vehicle_mass,
            },
        )

    def axle_loads(
        self,
        *,
        tyre: str | None = None,
        vehicle_mass: Number | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        track: Number | None = None,
        mounting_width: Number | None = None,
        wheel_offset: Number | None = None,
        hub_box_width: Number | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        rated_pressure: Number | None = None,
        grade_percent: Number | None = None,
        side_slope_percent: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        surface: Surface | None = None,
    ) -> AxleLoadsAnswer:
        """What does each axle and tyre carry, level and on slopes; how near is it to tipping; what pressure
        do the tyres need?

        Needs tyre, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        track [in, mm]
            Wheel centre to wheel centre; from mounting_width and wheel_offset if not given [in; mm]
        mounting_width [in, mm]
            Wheel mounting face to wheel mounting face [in; mm]
        wheel_offset [in, mm]
            Wheel centre to mounting face, positive inboard [in; mm]
        hub_box_width [in, mm]
            Width of a portal box [in; mm]
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        rated_pressure [psi, kPa]
            Pressure at which the tyre carries its load index; from a printed load range if not given [psi;
            kPa]
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        side_slope_percent [%]
            Slope of the ground across the vehicle: rise / run [%] Default 0 %.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        """
        return self._answer(
            AxleLoadsAnswer,
            "axle-loads",
            {
                "tyre": tyre,
                "vehicle_mass": vehicle_mass,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "track": track,
                "mounting_width": mounting_width,
                "wheel_offset": wheel_offset,
                "hub_box_width": hub_box_width,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "rated_pressure": rated_pressure,
                "grade_percent": grade_percent,
                "side_slope_percent": side_slope_percent,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "surface": surface,
            },
        )

    def descent(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        vehicle_mass: Number | None = None,
        descent_grade_percent: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        peak_torque: Number | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        engine_kind: EngineKind | None = None,
        critical_altitude: Number | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        engine_displacement: Number | None = None,
        driveline_efficiency: Number | None = None,
        battery_full: BatteryFull | None = None,
        grade_percent: Number | None = None,
        descent_height: Number | None = None,
        descent_speed: Number | None = None,
        descent_engine_speed: Number | None = None,
        altitude: Number | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        trailer_drag_area: Number | None = None,
        trailer_brakes: TrailerBrakes | None = None,
        brake_disc_mass: Number | None = None,
        brake_front_share: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
    ) -> DescentAnswer:
        """Which gear and range hold it downhill, where does it settle, and what must the brakes take?

        Needs tyre, axle_ratio, gear_ratios, vehicle_mass, descent_grade_percent.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        descent_grade_percent [%]
            Slope of the hill to go down, as a positive number; if not given, a negative grade_percent without
            its sign [%]
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        engine_displacement [L]
            Swept volume of all cylinders [L]
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        battery_full
            Whether the battery is full, so that braking cannot charge it Default no.
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        descent_height [ft, m]
            Height lost on the way down [ft; m]
        descent_speed [mph, km/h]
            Road speed wanted downhill [mph; km/h] Default 20 mph.
        descent_engine_speed [rpm]
            Highest engine speed to hold downhill; 0.8 x redline_speed if not given [rpm]
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        trailer_brakes
            Whether the trailer has brakes; without them the vehicle's brakes do all the work Default no.
        brake_disc_mass [lb, kg]
            Mass of all brake discs together, half of it on each axle [lb; kg] Default 40 kg.
        brake_front_share
            Share of the braking force at the front axle Default 0.65.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        """
        return self._answer(
            DescentAnswer,
            "descent",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "vehicle_mass": vehicle_mass,
                "descent_grade_percent": descent_grade_percent,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "peak_torque": peak_torque,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "engine_kind": engine_kind,
                "critical_altitude": critical_altitude,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "engine_displacement": engine_displacement,
                "driveline_efficiency": driveline_efficiency,
                "battery_full": battery_full,
                "grade_percent": grade_percent,
                "descent_height": descent_height,
                "descent_speed": descent_speed,
                "descent_engine_speed": descent_engine_speed,
                "altitude": altitude,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "trailer_drag_area": trailer_drag_area,
                "trailer_brakes": trailer_brakes,
                "brake_disc_mass": brake_disc_mass,
                "brake_front_share": brake_front_share,
                "surface": surface,
                "adhesion": adhesion,
            },
        )

    def braking(
        self,
        *,
        tyre: str | None = None,
        vehicle_mass: Number | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        trailer_brakes: TrailerBrakes | None = None,
        rolling_factor: Number | None = None,
        cruise_speed: Number | None = None,
        brake_front_share: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
    ) -> BrakingAnswer:
        """What do taller tyres, mass or a trailer do to the brakes, and which axle locks first?

        Needs tyre, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        trailer_brakes
            Whether the trailer has brakes; without them the vehicle's brakes do all the work Default no.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        brake_front_share
            Share of the braking force at the front axle Default 0.65.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        """
        return self._answer(
            BrakingAnswer,
            "braking",
            {
                "tyre": tyre,
                "vehicle_mass": vehicle_mass,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "trailer_brakes": trailer_brakes,
                "rolling_factor": rolling_factor,
                "cruise_speed": cruise_speed,
                "brake_front_share": brake_front_share,
                "surface": surface,
                "adhesion": adhesion,
            },
        )

    def acceleration(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        vehicle_mass: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        peak_torque: Number | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        engine_kind: EngineKind | None = None,
        critical_altitude: Number | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        engine_displacement: Number | None = None,
        shift_time: Number | None = None,
        altitude: Number | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        trailer_drag_area: Number | None = None,
        from_speed: Number | None = None,
        to_speed: Number | None = None,
        overtaken_speed: Number | None = None,
        overtaken_length: Number | None = None,
        driven_axles: DrivenAxles | None = None,
        centre_differential: CentreDifferential | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
    ) -> AccelerationAnswer:
        """How quickly does it gain speed, overtake and start on a hill?

        Needs tyre, axle_ratio, gear_ratios, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        engine_displacement [L]
            Swept volume of all cylinders [L]
        shift_time [s]
            Time without drive in a shift; 0.95 s manual, 0.4 s automatic if not given [s]
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        from_speed [mph, km/h]
            Road speed at which acceleration starts [mph; km/h] Default 0 mph.
        to_speed [mph, km/h]
            Road speed to accelerate to [mph; km/h] Default 60 mph.
        overtaken_speed [mph, km/h]
            Road speed of the vehicle overtaken [mph; km/h] Default 50 mph.
        overtaken_length [ft, m]
            Distance to gain when overtaking: both vehicles and both gaps [ft; m] Default 84 ft.
        driven_axles
            Which axles pull Default both.
        centre_differential
            Whether a differential between front and rear axle lets them turn at different speeds Default no.
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        """
        return self._answer(
            AccelerationAnswer,
            "acceleration",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "vehicle_mass": vehicle_mass,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "peak_torque": peak_torque,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "engine_kind": engine_kind,
                "critical_altitude": critical_altitude,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "driveline_efficiency": driveline_efficiency,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "engine_displacement": engine_displacement,
                "shift_time": shift_time,
                "altitude": altitude,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "trailer_drag_area": trailer_drag_area,
                "from_speed": from_speed,
                "to_speed": to_speed,
                "overtaken_speed": overtaken_speed,
                "overtaken_length": overtaken_length,
                "driven_axles": driven_axles,
                "centre_differential": centre_differential,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "surface": surface,
                "adhesion": adhesion,
            },
        )

    def fuel(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        vehicle_mass: Number | None = None,
        original_tyre: str | None = None,
        original_axle_ratio: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        peak_torque: Number | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        engine_kind: EngineKind | None = None,
        critical_altitude: Number | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        engine_displacement: Number | None = None,
        altitude: Number | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        trailer_drag_area: Number | None = None,
        cruise_reserve_percent: Number | None = None,
        cruise_speed: Number | None = None,
        fuel_mix: Sequence[Sequence[float | str] | str] | str | None = None,
        measured_fuel_economy: Number | None = None,
        measured_fuel_per_distance: Number | None = None,
        measured_at_speed: Number | None = None,
        tank_volume: Number | None = None,
        battery_energy: Number | None = None,
    ) -> FuelAnswer:
        """What does it use at a steady speed and over a week, before and after?

        Needs tyre, axle_ratio, gear_ratios, vehicle_mass.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        gear_ratios
            Gearbox ratios, first gear to top
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        original_tyre
            Tyre before the change
        original_axle_ratio
            Axle ratio before the change
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        engine_displacement [L]
            Swept volume of all cylinders [L]
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        cruise_reserve_percent [%]
            Power reserve that a gear needs to count as holding the grade [%] Default 5 %.
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        fuel_mix [mph and , km/h and ]
            A week's driving: road speeds, each with its share of the distance [mph, ; km/h, ]
        measured_fuel_economy [mpg, km/L]
            Owner's reading of fuel economy at measured_at_speed, in US gallons; scales the estimate [mpg;
            km/L]
        measured_fuel_per_distance [gal/100 mi, L/100 km]
            Owner's reading of fuel over distance, in US gallons; instead of measured_fuel_economy [gal/100
            mi; L/100 km]
        measured_at_speed [mph, km/h]
            Road speed of the reading of fuel [mph; km/h]
        tank_volume [gal, L]
            Fuel that can be used of a full tank, in US gallons [gal; L]
        battery_energy [kWh]
            Energy that can be used of a full battery [kWh]
        """
        return self._answer(
            FuelAnswer,
            "fuel",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "gear_ratios": gear_ratios,
                "vehicle_mass": vehicle_mass,
                "original_tyre": original_tyre,
                "original_axle_ratio": original_axle_ratio,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "peak_torque": peak_torque,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "engine_kind": engine_kind,
                "critical_altitude": critical_altitude,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "driveline_efficiency": driveline_efficiency,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "engine_displacement": engine_displacement,
                "altitude": altitude,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "trailer_drag_area": trailer_drag_area,
                "cruise_reserve_percent": cruise_reserve_percent,
                "cruise_speed": cruise_speed,
                "fuel_mix": fuel_mix,
                "measured_fuel_economy": measured_fuel_economy,
                "measured_fuel_per_distance": measured_fuel_per_distance,
                "measured_at_speed": measured_at_speed,
                "tank_volume": tank_volume,
                "battery_energy": battery_energy,
            },
        )

    def driveline(
        self,
        *,
        tyre: str | None = None,
        axle_ratio: Number | None = None,
        propshaft_run: Number | None = None,
        propshaft_drop: Number | None = None,
        propshaft_side: Number | None = None,
        output_slope: Number | None = None,
        pinion_slope: Number | None = None,
        propshaft_joints: PropshaftJoints | None = None,
        propshaft_phase: PropshaftPhase | None = None,
        propshaft_tube_diameter: Number | None = None,
        propshaft_tube_wall: Number | None = None,
        propshaft_joint_rating: Number | None = None,
        link_length: Number | None = None,
        link_drop: Number | None = None,
        bump_travel: Number | None = None,
        droop_travel: Number | None = None,
        caster: Number | None = None,
        gear_ratios: Numbers | None = None,
        peak_torque: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        redline_speed: Number | None = None,
        front_axle_ratio: Number | None = None,
        rear_axle_ratio: Number | None = None,
        vehicle_mass: Number | None = None,
        cruise_speed: Number | None = None,
        altitude: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        front_hub_ratio: Number | None = None,
        rear_hub_ratio: Number | None = None,
        transfer_ratios: Numbers | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        idle_speed: Number | None = None,
        driveline_efficiency: Number | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        engine_kind: EngineKind | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        peak_torque_speed: Number | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        hitch_overhang: Number | None = None,
        hitch_height: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        original_tyre: str | None = None,
        grade_percent: Number | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        axle_position: AxlePosition | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        trailer_drag_area: Number | None = None,
    ) -> DrivelineAnswer:
        """At which angles and how evenly does the propeller shaft of this axle run, does it whirl, what does
        it carry?

        Needs tyre, axle_ratio, propshaft_run, propshaft_drop.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        propshaft_run [in, mm]
            Level distance between the joint centres of the propeller shaft, as planned after the lift [in;
            mm]
        propshaft_drop [in, mm]
            Height of the transfer case output above the pinion, joint centres, as planned after the lift;
            where only that before is given, lift_height is added [in; mm]
        propshaft_side [in, mm]
            Side offset between the joint centres [in; mm] Default 0 in.
        output_slope [deg]
            Slope of the transfer case output, + falling to the rear [deg] Default 0 deg.
        pinion_slope [deg]
            Slope of the pinion, + falling to the rear [deg]
        propshaft_joints
            Joints of the propeller shaft; the double joint is at the transfer case Default two-cross.
        propshaft_phase
            Whether the yokes at both ends of the shaft stand in line Default in-phase.
        propshaft_tube_diameter [in, mm]
            Outer diameter of the propeller shaft's tube [in; mm]
        propshaft_tube_wall [in, mm]
            Wall of the propeller shaft's tube [in; mm]
        propshaft_joint_rating [lb-ft, N m]
            Torque that the maker of the propeller shaft's joints allows; for their life, that for 5,000 hours
            at 3 degrees and 100 rpm [lb-ft; N m]
        link_length [in, mm]
            Length of the axle's suspension link [in; mm]
        link_drop [in, mm]
            Height of the link's frame end above its axle end [in; mm]
        bump_travel [in, mm]
            Upward travel of the axle from ride height [in; mm]
        droop_travel [in, mm]
            Downward travel of the axle from ride height [in; mm]
        caster [deg]
            Lean of the steering axis to the rear, seen from the side [deg]
        gear_ratios
            Gearbox ratios, first gear to top
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        front_axle_ratio
            Front axle ratio
        rear_axle_ratio
            Rear axle ratio
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        front_hub_ratio
            Reduction at the front wheels
        rear_hub_ratio
            Reduction at the rear wheels
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        original_tyre
            Tyre before the change
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        axle_position
            Axle to judge Default front.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        """
        return self._answer(
            DrivelineAnswer,
            "driveline",
            {
                "tyre": tyre,
                "axle_ratio": axle_ratio,
                "propshaft_run": propshaft_run,
                "propshaft_drop": propshaft_drop,
                "propshaft_side": propshaft_side,
                "output_slope": output_slope,
                "pinion_slope": pinion_slope,
                "propshaft_joints": propshaft_joints,
                "propshaft_phase": propshaft_phase,
                "propshaft_tube_diameter": propshaft_tube_diameter,
                "propshaft_tube_wall": propshaft_tube_wall,
                "propshaft_joint_rating": propshaft_joint_rating,
                "link_length": link_length,
                "link_drop": link_drop,
                "bump_travel": bump_travel,
                "droop_travel": droop_travel,
                "caster": caster,
                "gear_ratios": gear_ratios,
                "peak_torque": peak_torque,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "redline_speed": redline_speed,
                "front_axle_ratio": front_axle_ratio,
                "rear_axle_ratio": rear_axle_ratio,
                "vehicle_mass": vehicle_mass,
                "cruise_speed": cruise_speed,
                "altitude": altitude,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "front_hub_ratio": front_hub_ratio,
                "rear_hub_ratio": rear_hub_ratio,
                "transfer_ratios": transfer_ratios,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "idle_speed": idle_speed,
                "driveline_efficiency": driveline_efficiency,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "engine_kind": engine_kind,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "peak_torque_speed": peak_torque_speed,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "hitch_overhang": hitch_overhang,
                "hitch_height": hitch_height,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "original_tyre": original_tyre,
                "grade_percent": grade_percent,
                "surface": surface,
                "adhesion": adhesion,
                "axle_position": axle_position,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "trailer_drag_area": trailer_drag_area,
            },
        )

    def build_sheet(
        self,
        *,
        tyre: str | None = None,
        rolling_factor: Number | None = None,
        tyre_pressure: Number | None = None,
        tyre_load: Number | None = None,
        rated_pressure: Number | None = None,
        wheel_width: Number | None = None,
        axle_ratio: Number | None = None,
        original_tyre: str | None = None,
        original_axle_ratio: Number | None = None,
        ring_teeth: Count | None = None,
        pinion_teeth: Count | None = None,
        hub_ratio: Number | None = None,
        gear_ratios: Numbers | None = None,
        transfer_ratios: Numbers | None = None,
        speed_sensor: SpeedSensor | None = None,
        original_overreading_percent: Number | None = None,
        indicated_speeds: Numbers | None = None,
        idle_speed: Number | None = None,
        redline_speed: Number | None = None,
        cruise_speed: Number | None = None,
        engine_speeds: Numbers | None = None,
        road_speeds: Numbers | None = None,
        vehicle_mass: Number | None = None,
        torque_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        power_curve: Sequence[Sequence[float | str] | str] | str | None = None,
        peak_power: Number | None = None,
        peak_power_speed: Number | None = None,
        peak_torque: Number | None = None,
        peak_torque_speed: Number | None = None,
        peak_torque_to_speed: Number | None = None,
        idle_torque: Number | None = None,
        engine_kind: EngineKind | None = None,
        critical_altitude: Number | None = None,
        driveline_efficiency: Number | None = None,
        gearbox_kind: GearboxKind | None = None,
        converter_stall_speed: Number | None = None,
        converter_stall_ratio: Number | None = None,
        converter_locked: ConverterLocked | None = None,
        grade_percent: Number | None = None,
        altitude: Number | None = None,
        hold_grade_percent: Number | None = None,
        front_axle_share: Number | None = None,
        wheelbase: Number | None = None,
        hitch_overhang: Number | None = None,
        road_load: Numbers | None = None,
        drag_area: Number | None = None,
        rolling_resistance: Number | None = None,
        tread: Tread | None = None,
        loads: Sequence[Sequence[float | str] | str] | str | None = None,
        trailer_mass: Number | None = None,
        tongue_mass: Number | None = None,
        trailer_drag_area: Number | None = None,
        cruise_reserve_percent: Number | None = None,
        reverse_ratio: Number | None = None,
        driven_axles: DrivenAxles | None = None,
        centre_differential: CentreDifferential | None = None,
        hitch_height: Number | None = None,
        mass_centre_height: Number | None = None,
        roof_height: Number | None = None,
        lift_height: Number | None = None,
        differential: Differential | None = None,
        surface: Surface | None = None,
        adhesion: Number | None = None,
        target_crawl_ratio: Number | None = None,
        target_crawl_speed: Number | None = None,
        cruise_engine_speed_range: Numbers | None = None,
        target_overtaking_time: Number | None = None,
        target_fuel_change_percent: Number | None = None,
        available_ratios: Numbers | None = None,
        ring_gear_load_limit: Number | None = None,
        engine_displacement: Number | None = None,
        shift_time: Number | None = None,
        overtaken_speed: Number | None = None,
        overtaken_length: Number | None = None,
        front_hub_ratio: Number | None = None,
        rear_hub_ratio: Number | None = None,
        axle_position: AxlePosition | None = None,
        pinion_height: PinionHeight | None = None,
        ring_gear_diameter: Number | None = None,
        original_ring_gear_diameter: Number | None = None,
        front_axle_ratio: Number | None = None,
        rear_axle_ratio: Number | None = None,
        front_tyre: str | None = None,
        rear_tyre: str | None = None,
        spare_tyre: str | None = None,
        spare_position: SparePosition | None = None,
        front_differential: FrontDifferential | None = None,
        rear_differential: RearDifferential | None = None,
        face_width: Number | None = None,
        spiral_angle: Number | None = None,
        pressure_angle: Number | None = None,
        overload_factor: Number | None = None,
        load_distribution_factor: Number | None = None,
        bending_geometry_factor: Number | None = None,
        contact_geometry_factor: Number | None = None,
        bias_ratio: Number | None = None,
        inner_splines: Count | None = None,
        inner_pitch: Number | None = None,
        inner_diameter: Number | None = None,
        inner_steel: InnerSteel | None = None,
        inner_length: Number | None = None,
        stub_splines: Count | None = None,
        stub_pitch: Number | None = None,
        stub_diameter: Number | None = None,
        stub_steel: StubSteel | None = None,
        joint: Joint | None = None,
        joint_rating: Number | None = None,
        steer_angle: Number | None = None,
        tube_diameter: Number | None = None,
        tube_wall: Number | None = None,
        tube_yield: Number | None = None,
        truss_diameter: Number | None = None,
        truss_wall: Number | None = None,
        truss_height: Number | None = None,
        truss_end: Number | None = None,
        truss_panel: Number | None = None,
        truss_web_wall: Number | None = None,
        truss_weld_leg: Number | None = None,
        truss_weld_share: Number | None = None,
        axle_kind: AxleKind | None = None,
        bearing_arm: Number | None = None,
        half_shaft_end_diameter: Number | None = None,
        bearing_span: Number | None = None,
        scrub_radius: Number | None = None,
        kingpin_inclination: Number | None = None,
        caster: Number | None = None,
        hub_reverses: HubReverses | None = None,
        track: Number | None = None,
        hub_box_width: Number | None = None,
        mounting_width: Number | None = None,
        original_mounting_width: Number | None = None,
        wheel_offset: Number | None = None,
        original_wheel_offset: Number | None = None,
        spring_seat_spacing: Number | None = None,
        impact_factor: Number | None = None,
        housing_drop: Number | None = None,
        original_housing_drop: Number | None = None,
        hub_offset: Number | None = None,
        axle_mass: Number | None = None,
        original_axle_mass: Number | None = None,
        side_slope_percent: Number | None = None,
        descent_grade_percent: Number | None = None,
        battery_full: BatteryFull | None = None,
        descent_height: Number | None = None,
        descent_speed: Number | None = None,
        descent_engine_speed: Number | None = None,
        trailer_brakes: TrailerBrakes | None = None,
        brake_disc_mass: Number | None = None,
        brake_front_share: Number | None = None,
        from_speed: Number | None = None,
        to_speed: Number | None = None,
        fuel_mix: Sequence[Sequence[float | str] | str] | str | None = None,
        measured_fuel_economy: Number | None = None,
        measured_fuel_per_distance: Number | None = None,
        measured_at_speed: Number | None = None,
        tank_volume: Number | None = None,
        battery_energy: Number | None = None,
        propshaft_run: Number | None = None,
        propshaft_drop: Number | None = None,
        propshaft_side: Number | None = None,
        output_slope: Number | None = None,
        pinion_slope: Number | None = None,
        propshaft_joints: PropshaftJoints | None = None,
        propshaft_phase: PropshaftPhase | None = None,
        propshaft_tube_diameter: Number | None = None,
        propshaft_tube_wall: Number | None = None,
        propshaft_joint_rating: Number | None = None,
        link_length: Number | None = None,
        link_drop: Number | None = None,
        bump_travel: Number | None = None,
        droop_travel: Number | None = None,
    ) -> BuildSheetAnswer:
        """What does this build answer to every question it has fields for, and what do the rest need?

        Needs tyre.

        Parameters
        ----------
        tyre
            Tyre fitted: a size, or a measured diameter with its unit
        rolling_factor
            Rolling circumference / free diameter; 3.05 for radial and 2.94 for bias tyres if not given
        tyre_pressure [psi, kPa]
            Inflation pressure, cold [psi; kPa]
        tyre_load [lb, kg]
            Mass carried by one tyre [lb; kg]
        rated_pressure [psi, kPa]
            Pressure at which the tyre carries its load index; from a printed load range if not given [psi;
            kPa]
        wheel_width [in, mm]
            Width of the rim between its flanges [in; mm]
        axle_ratio
            Axle ratio fitted: ring teeth / pinion teeth
        original_tyre
            Tyre before the change
        original_axle_ratio
            Axle ratio before the change
        ring_teeth
            Ring gear teeth; with pinion_teeth the exact axle ratio
        pinion_teeth
            Pinion teeth
        hub_ratio
            Reduction at the wheel Default 1.
        gear_ratios
            Gearbox ratios, first gear to top
        transfer_ratios
            Every selectable reduction of transfer case and auxiliary boxes, high range first Default 1.
        speed_sensor
            Where the speedometer takes its signal Default gearbox.
        original_overreading_percent [%]
            How much too high the speedometer read before the change, in percent of true speed [%] Default 0
            %.
        indicated_speeds [mph, km/h]
            Speedometer readings to calculate true speeds for [mph; km/h] Default 20 mph,30 mph,40 mph,50
            mph,60 mph,70 mph,80 mph.
        idle_speed [rpm]
            Engine speed at idle [rpm] Default 700 rpm.
        redline_speed [rpm]
            Highest engine speed allowed [rpm] Default 5000 rpm.
        cruise_speed [mph, km/h]
            Road speed to hold [mph; km/h] Default 65 mph.
        engine_speeds [rpm]
            Engine speeds of the road-speed table: a list or first:last:step; idle to redline if not given
            [rpm]
        road_speeds [mph, km/h]
            Road speeds to calculate engine speeds for [mph; km/h]
        vehicle_mass [lb, kg]
            Mass of the vehicle as driven [lb; kg]
        torque_curve [rpm and lb-ft, rpm and N m]
            Full-load torque by engine speed, straight lines between points [rpm, lb-ft; rpm, N m]
        power_curve [rpm and hp, rpm and kW]
            Full-load power by engine speed, straight lines between points [rpm, hp; rpm, kW]
        peak_power [hp, kW]
            Highest engine power [hp; kW]
        peak_power_speed [rpm]
            Engine speed of the highest power [rpm]
        peak_torque [lb-ft, N m]
            Highest engine torque [lb-ft; N m]
        peak_torque_speed [rpm]
            Engine speed of the highest torque [rpm]
        peak_torque_to_speed [rpm]
            Engine speed at which a torque plateau ends [rpm]
        idle_torque [lb-ft, N m]
            Full-load torque at idle; by engine_kind if not given [lb-ft; N m]
        engine_kind
            Kind of engine, with or without a turbocharger Default petrol.
        critical_altitude [ft, m]
            Height up to which a turbocharger keeps full power; 5000 ft (1524 m) for the turbo kinds if not
            given [ft; m]
        driveline_efficiency
            Crankshaft to ground, the same in every gear; by gear, range, torque and speed if not given
        gearbox_kind
            Kind of gearbox: manual if not given, automatic if a converter field is given; of cvt, the first
            and last of gear_ratios are its range
        converter_stall_speed [rpm]
            Engine speed at full load with the converter's output held [rpm]
        converter_stall_ratio
            Torque multiplication of the converter at stall; 1.9 for an automatic gearbox if not given
        converter_locked
            Whether the converter is locked up while cruising Default yes.
        grade_percent [%]
            Slope of the road: rise / run. To compare with: the desert climb on which SAE J2807 rates towing
            vehicles averages 6 %, at 40 mph or more (second hand) [%] Default 0 %.
        altitude [ft, m]
            Height above sea level [ft; m] Default 0 ft.
        hold_grade_percent [%]
            Grade that top gear should hold at cruise speed [%] Default 3 %.
        front_axle_share
            Share of the vehicle mass on the front axle, level Default 0.55.
        wheelbase [in, mm]
            Front axle to rear axle [in; mm] Default 114 in.
        hitch_overhang [ft, m]
            Hitch behind the rear axle [ft; m] Default 4 ft.
        road_load [lbf and lbf/mph and lbf/mph2, N and N/(km/h) and N/(km/h)2]
            Coast-down A,B,C: force = A + B v + C v^2; replaces drag area and rolling resistance [lbf,
            lbf/mph, lbf/mph2; N, N/(km/h), N/(km/h)2]
        drag_area [ft2, m2]
            Drag coefficient x frontal area [ft2; m2] Default 1.2 m2.
        rolling_resistance
            Rolling resistance force / weight; by tread, in crawl by ground too, if not given
        tread
            Tread of the tyres, for rolling resistance on hard ground Default all-terrain.
        loads [lb and in and in, kg and mm and mm]
            Things carried: mass, position behind the front axle and, if known, height above ground;
            vehicle_mass is without them [lb, in, in; kg, mm, mm]
        trailer_mass [lb, kg]
            Mass of the trailer, loaded [lb; kg]
        tongue_mass [lb, kg]
            Part of the trailer's mass on the hitch; 10 % of it if not given [lb; kg]
        trailer_drag_area [ft2, m2]
            Drag area that the trailer adds to the vehicle's [ft2; m2] Default 0 m2.
        cruise_reserve_percent [%]
            Power reserve that a gear needs to count as holding the grade [%] Default 5 %.
        reverse_ratio
            Gearbox ratio in reverse
        driven_axles
            Which axles pull Default both.
        centre_differential
            Whether a differential between front and rear axle lets them turn at different speeds Default no.
        hitch_height [in, mm]
            Hitch above ground [in; mm] Default 20 in.
        mass_centre_height [in, mm]
            Height of the centre of mass above the ground [in; mm] Default 27 in.
        roof_height [in, mm]
            Roof above ground as built; for mass_centre_height where that is not given [in; mm]
        lift_height [in, mm]
            Lift of body and springs, without that of larger tyres [in; mm] Default 0 in.
        differential
            Differential of the axle, which decides how much torque one shaft can get Default open.
        surface
            Ground under the tyres; the table of surfaces has its adhesion Default dry-earth.
        adhesion
            Friction coefficient of tyre on ground; overrides the surface
        target_crawl_ratio
            Crawl ratio to reach at least
        target_crawl_speed [mph, km/h]
            Highest speed wanted at idle in the lowest gear [mph; km/h]
        cruise_engine_speed_range [rpm]
            Lowest and highest engine speed wanted at cruise; the original's +-10 % if not given [rpm]
        target_overtaking_time [s]
            Longest overtaking time wanted [s]
        target_fuel_change_percent [%]
            Highest rise wanted in fuel over distance [%]
        available_ratios
            Ratios or tooth pairs on sale for this axle; the common pairs if not given
        ring_gear_load_limit
            Highest ring-gear load index accepted in a regear Default 1.
        engine_displacement [L]
            Swept volume of all cylinders [L]
        shift_time [s]
            Time without drive in a shift; 0.95 s manual, 0.4 s automatic if not given [s]
        overtaken_speed [mph, km/h]
            Road speed of the vehicle overtaken [mph; km/h] Default 50 mph.
        overtaken_length [ft, m]
            Distance to gain when overtaking: both vehicles and both gaps [ft; m] Default 84 ft.
        front_hub_ratio
            Reduction at the front wheels
        rear_hub_ratio
            Reduction at the rear wheels
        axle_position
            Axle to judge Default front.
        pinion_height
            high: reverse-spiral set, pinion above the ring centreline; low: standard set Default low.
        ring_gear_diameter [in, mm]
            Outer diameter of the ring gear [in; mm]
        original_ring_gear_diameter [in, mm]
            Ring gear before the change [in; mm]
        front_axle_ratio
            Front axle ratio
        rear_axle_ratio
            Rear axle ratio
        front_tyre
            Front tyre
        rear_tyre
            Rear tyre
        spare_tyre
            Spare tyre, on one wheel of an axle
        spare_position
            Axle that the spare is on Default rear.
        front_differential
            Differential of the front axle
        rear_differential
            Differential of the rear axle
        face_width [in, mm]
            Face width of the ring gear; 0.155 x its diameter if not given [in; mm]
        spiral_angle [deg]
            Mean spiral angle [deg] Default 35 deg.
        pressure_angle [deg]
            Normal pressure angle of the loaded flank [deg] Default 20 deg.
        overload_factor
            Shock factor on the tooth stresses of the ring gear Default 1.
        load_distribution_factor
            Uneven load along the teeth: 1.0 to 1.1 with bearings on both sides of the pinion, to 1.25
            overhung Default 1.1.
        bending_geometry_factor
            Geometry factor of the bending stress, J Default 0.24.
        contact_geometry_factor
            Geometry factor of the contact stress, J; from the curvature of the teeth if not given
        bias_ratio
            Torque of the slower wheel / torque of the faster, for limited-slip Default 2.5.
        inner_splines
            Spline teeth of the inner shaft
        inner_pitch
            Diametral pitch of the inner spline, per inch
        inner_diameter [in, mm]
            Smallest measured diameter of the inner shaft [in; mm]
        inner_steel
            Steel of the inner shaft Default carbon-case-hardened.
        inner_length [in, mm]
            Length of the inner shaft [in; mm]
        stub_splines
            Spline teeth of the stub (outer) shaft
        stub_pitch
            Diametral pitch of the stub spline, per inch
        stub_diameter [in, mm]
            Smallest measured diameter of the stub shaft [in; mm]
        stub_steel
            Steel of the stub shaft Default carbon-case-hardened.
        joint
            Steering joint Default cross.
        joint_rating [lb-ft, N m]
            Torque that the joint's maker allows without steering angle [lb-ft; N m]
        steer_angle [deg]
            Angle of the steering joint [deg] Default 0 deg.
        tube_diameter [in, mm]
            Outer diameter of the housing tube [in; mm]
        tube_wall [in, mm]
            Wall of the housing tube [in; mm]
        tube_yield [ksi, MPa]
            Yield of the housing tube and of its truss [ksi; MPa] Default 60 ksi.
        truss_diameter [in, mm]
            Outer diameter of the truss tube [in; mm]
        truss_wall [in, mm]
            Wall of the truss tube [in; mm]
        truss_height [in, mm]
            Centre of the truss tube above the centre of the housing tube [in; mm]
        truss_end [in, mm]
            Wheel plane to the end of the truss [in; mm]
        truss_panel [in, mm]
            Distance between webs of the truss [in; mm]
        truss_web_wall [in, mm]
            Thickness of the web plates of the truss [in; mm]
        truss_weld_leg [in, mm]
            Leg of the welds along the truss [in; mm]
        truss_weld_share
            Share of the truss's length that is welded Default 1.
        axle_kind
            Whether the shaft also carries the wheel (semi-floating) Default full-floating.
        bearing_arm [in, mm]
            Wheel bearing to wheel plane [in; mm]
        half_shaft_end_diameter [in, mm]
            Diameter of the shaft at its wheel bearing [in; mm]
        bearing_span [in, mm]
            Inner to outer wheel bearing [in; mm]
        scrub_radius [in, mm]
            Steering axis to wheel centre plane on the ground, + where the wheel is outboard [in; mm]
        kingpin_inclination [deg]
            Lean of the steering axis inward, seen from the front [deg]
        caster [deg]
            Lean of the steering axis to the rear, seen from the side [deg]
        hub_reverses
            Whether the hub boxes turn the wheels backwards, as those with two gears do Default no.
        track [in, mm]
            Wheel centre to wheel centre; from mounting_width and wheel_offset if not given [in; mm]
        hub_box_width [in, mm]
            Width of a portal box [in; mm]
        mounting_width [in, mm]
            Wheel mounting face to wheel mounting face [in; mm]
        original_mounting_width [in, mm]
            Mounting width before the change [in; mm]
        wheel_offset [in, mm]
            Wheel centre to mounting face, positive inboard [in; mm]
        original_wheel_offset [in, mm]
            Wheel offset before the change [in; mm]
        spring_seat_spacing [in, mm]
            Spring seat to spring seat [in; mm]
        impact_factor
            Dynamic / static load on the housing Default 2.5.
        housing_drop [in, mm]
            Axle centreline to the lowest point of the housing [in; mm]
        original_housing_drop [in, mm]
            Housing drop before the change [in; mm]
        hub_offset [in, mm]
            Axle above the wheel centre with portal boxes; below is negative [in; mm]
        axle_mass [lb, kg]
            Mass of the complete axle [lb; kg]
        original_axle_mass [lb, kg]
            Axle mass before the change [lb; kg]
        side_slope_percent [%]
            Slope of the ground across the vehicle: rise / run [%] Default 0 %.
        descent_grade_percent [%]
            Slope of the hill to go down, as a positive number; if not given, a negative grade_percent without
            its sign [%]
        battery_full
            Whether the battery is full, so that braking cannot charge it Default no.
        descent_height [ft, m]
            Height lost on the way down [ft; m]
        descent_speed [mph, km/h]
            Road speed wanted downhill [mph; km/h] Default 20 mph.
        descent_engine_speed [rpm]
            Highest engine speed to hold downhill; 0.8 x redline_speed if not given [rpm]
        trailer_brakes
            Whether the trailer has brakes; without them the vehicle's brakes do all the work Default no.
        brake_disc_mass [lb, kg]
            Mass of all brake discs together, half of it on each axle [lb; kg] Default 40 kg.
        brake_front_share
            Share of the braking force at the front axle Default 0.65.
        from_speed [mph, km/h]
            Road speed at which acceleration starts [mph; km/h] Default 0 mph.
        to_speed [mph, km/h]
            Road speed to accelerate to [mph; km/h] Default 60 mph.
        fuel_mix [mph and , km/h and ]
            A week's driving: road speeds, each with its share of the distance [mph, ; km/h, ]
        measured_fuel_economy [mpg, km/L]
            Owner's reading of fuel economy at measured_at_speed, in US gallons; scales the estimate [mpg;
            km/L]
        measured_fuel_per_distance [gal/100 mi, L/100 km]
            Owner's reading of fuel over distance, in US gallons; instead of measured_fuel_economy [gal/100
            mi; L/100 km]
        measured_at_speed [mph, km/h]
            Road speed of the reading of fuel [mph; km/h]
        tank_volume [gal, L]
            Fuel that can be used of a full tank, in US gallons [gal; L]
        battery_energy [kWh]
            Energy that can be used of a full battery [kWh]
        propshaft_run [in, mm]
            Level distance between the joint centres of the propeller shaft, as planned after the lift [in;
            mm]
        propshaft_drop [in, mm]
            Height of the transfer case output above the pinion, joint centres, as planned after the lift;
            where only that before is given, lift_height is added [in; mm]
        propshaft_side [in, mm]
            Side offset between the joint centres [in; mm] Default 0 in.
        output_slope [deg]
            Slope of the transfer case output, + falling to the rear [deg] Default 0 deg.
        pinion_slope [deg]
            Slope of the pinion, + falling to the rear [deg]
        propshaft_joints
            Joints of the propeller shaft; the double joint is at the transfer case Default two-cross.
        propshaft_phase
            Whether the yokes at both ends of the shaft stand in line Default in-phase.
        propshaft_tube_diameter [in, mm]
            Outer diameter of the propeller shaft's tube [in; mm]
        propshaft_tube_wall [in, mm]
            Wall of the propeller shaft's tube [in; mm]
        propshaft_joint_rating [lb-ft, N m]
            Torque that the maker of the propeller shaft's joints allows; for their life, that for 5,000 hours
            at 3 degrees and 100 rpm [lb-ft; N m]
        link_length [in, mm]
            Length of the axle's suspension link [in; mm]
        link_drop [in, mm]
            Height of the link's frame end above its axle end [in; mm]
        bump_travel [in, mm]
            Upward travel of the axle from ride height [in; mm]
        droop_travel [in, mm]
            Downward travel of the axle from ride height [in; mm]
        """
        return self._answer(
            BuildSheetAnswer,
            "build-sheet",
            {
                "tyre": tyre,
                "rolling_factor": rolling_factor,
                "tyre_pressure": tyre_pressure,
                "tyre_load": tyre_load,
                "rated_pressure": rated_pressure,
                "wheel_width": wheel_width,
                "axle_ratio": axle_ratio,
                "original_tyre": original_tyre,
                "original_axle_ratio": original_axle_ratio,
                "ring_teeth": ring_teeth,
                "pinion_teeth": pinion_teeth,
                "hub_ratio": hub_ratio,
                "gear_ratios": gear_ratios,
                "transfer_ratios": transfer_ratios,
                "speed_sensor": speed_sensor,
                "original_overreading_percent": original_overreading_percent,
                "indicated_speeds": indicated_speeds,
                "idle_speed": idle_speed,
                "redline_speed": redline_speed,
                "cruise_speed": cruise_speed,
                "engine_speeds": engine_speeds,
                "road_speeds": road_speeds,
                "vehicle_mass": vehicle_mass,
                "torque_curve": torque_curve,
                "power_curve": power_curve,
                "peak_power": peak_power,
                "peak_power_speed": peak_power_speed,
                "peak_torque": peak_torque,
                "peak_torque_speed": peak_torque_speed,
                "peak_torque_to_speed": peak_torque_to_speed,
                "idle_torque": idle_torque,
                "engine_kind": engine_kind,
                "critical_altitude": critical_altitude,
                "driveline_efficiency": driveline_efficiency,
                "gearbox_kind": gearbox_kind,
                "converter_stall_speed": converter_stall_speed,
                "converter_stall_ratio": converter_stall_ratio,
                "converter_locked": converter_locked,
                "grade_percent": grade_percent,
                "altitude": altitude,
                "hold_grade_percent": hold_grade_percent,
                "front_axle_share": front_axle_share,
                "wheelbase": wheelbase,
                "hitch_overhang": hitch_overhang,
                "road_load": road_load,
                "drag_area": drag_area,
                "rolling_resistance": rolling_resistance,
                "tread": tread,
                "loads": loads,
                "trailer_mass": trailer_mass,
                "tongue_mass": tongue_mass,
                "trailer_drag_area": trailer_drag_area,
                "cruise_reserve_percent": cruise_reserve_percent,
                "reverse_ratio": reverse_ratio,
                "driven_axles": driven_axles,
                "centre_differential": centre_differential,
                "hitch_height": hitch_height,
                "mass_centre_height": mass_centre_height,
                "roof_height": roof_height,
                "lift_height": lift_height,
                "differential": differential,
                "surface": surface,
                "adhesion": adhesion,
                "target_crawl_ratio": target_crawl_ratio,
                "target_crawl_speed": target_crawl_speed,
                "cruise_engine_speed_range": cruise_engine_speed_range,
                "target_overtaking_time": target_overtaking_time,
                "target_fuel_change_percent": target_fuel_change_percent,
                "available_ratios": available_ratios,
                "ring_gear_load_limit": ring_gear_load_limit,
                "engine_displacement": engine_displacement,
                "shift_time": shift_time,
                "overtaken_speed": overtaken_speed,
                "overtaken_length": overtaken_length,
                "front_hub_ratio": front_hub_ratio,
                "rear_hub_ratio": rear_hub_ratio,
                "axle_position": axle_position,
                "pinion_height": pinion_height,
                "ring_gear_diameter": ring_gear_diameter,
                "original_ring_gear_diameter": original_ring_gear_diameter,
                "front_axle_ratio": front_axle_ratio,
                "rear_axle_ratio": rear_axle_ratio,
                "front_tyre": front_tyre,
                "rear_tyre": rear_tyre,
                "spare_tyre": spare_tyre,
                "spare_position": spare_position,
                "front_differential": front_differential,
                "rear_differential": rear_differential,
                "face_width": face_width,
                "spiral_angle": spiral_angle,
                "pressure_angle": pressure_angle,
                "overload_factor": overload_factor,
                "load_distribution_factor": load_distribution_factor,
                "bending_geometry_factor": bending_geometry_factor,
                "contact_geometry_factor": contact_geometry_factor,
                "bias_ratio": bias_ratio,
                "inner_splines": inner_splines,
                "inner_pitch": inner_pitch,
                "inner_diameter": inner_diameter,
                "inner_steel": inner_steel,
                "inner_length": inner_length,
                "stub_splines": stub_splines,
                "stub_pitch": stub_pitch,
                "stub_diameter": stub_diameter,
                "stub_steel": stub_steel,
                "joint": joint,
                "joint_rating": joint_rating,
                "steer_angle": steer_angle,
                "tube_diameter": tube_diameter,
                "tube_wall": tube_wall,
                "tube_yield": tube_yield,
                "truss_diameter": truss_diameter,
                "truss_wall": truss_wall,
                "truss_height": truss_height,
                "truss_end": truss_end,
                "truss_panel": truss_panel,
                "truss_web_wall": truss_web_wall,
                "truss_weld_leg": truss_weld_leg,
                "truss_weld_share": truss_weld_share,
                "axle_kind": axle_kind,
                "bearing_arm": bearing_arm,
                "half_shaft_end_diameter": half_shaft_end_diameter,
                "bearing_span": bearing_span,
                "scrub_radius": scrub_radius,
                "kingpin_inclination": kingpin_inclination,
                "caster": caster,
                "hub_reverses": hub_reverses,
                "track": track,
                "hub_box_width": hub_box_width,
                "mounting_width": mounting_width,
                "original_mounting_width": original_mounting_width,
                "wheel_offset": wheel_offset,
                "original_wheel_offset": original_wheel_offset,
                "spring_seat_spacing": spring_seat_spacing,
                "impact_factor": impact_factor,
                "housing_drop": housing_drop,
                "original_housing_drop": original_housing_drop,
                "hub_offset": hub_offset,
                "axle_mass": axle_mass,
                "original_axle_mass": original_axle_mass,
                "side_slope_percent": side_slope_percent,
                "descent_grade_percent": descent_grade_percent,
                "battery_full": battery_full,
                "descent_height": descent_height,
                "descent_speed": descent_speed,
                "descent_engine_speed": descent_engine_speed,
                "trailer_brakes": trailer_brakes,
                "brake_disc_mass": brake_disc_mass,
                "brake_front_share": brake_front_share,
                "from_speed": from_speed,
                "to_speed": to_speed,
                "fuel_mix": fuel_mix,
                "measured_fuel_economy": measured_fuel_economy,
                "measured_fuel_per_distance": measured_fuel_per_distance,
                "measured_at_speed": measured_at_speed,
                "tank_volume": tank_volume,
                "battery_energy": battery_energy,
                "propshaft_run": propshaft_run,
                "propshaft_drop": propshaft_drop,
                "propshaft_side": propshaft_side,
                "output_slope": output_slope,
                "pinion_slope": pinion_slope,
                "propshaft_joints": propshaft_joints,
                "propshaft_phase": propshaft_phase,
                "propshaft_tube_diameter": propshaft_tube_diameter,
                "propshaft_tube_wall": propshaft_tube_wall,
                "propshaft_joint_rating": propshaft_joint_rating,
                "link_length": link_length,
                "link_drop": link_drop,
                "bump_travel": bump_travel,
                "droop_travel": droop_travel,
            },
        )

    def from_text(
        self,
        *,
        q: str | None = None,
    ) -> FromTextAnswer:
        """What build does this forum sentence describe: what was understood, assumed, left unused?

        Needs q.

        Parameters
        ----------
        q
            One sentence of a vehicle forum, at most 500 characters
        """
        return self._answer(
            FromTextAnswer,
            "from-text",
            {
                "q": q,
            },
        )
