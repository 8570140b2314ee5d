"""One further line of figures for each question, beside its summary."""

from collections.abc import Callable, Mapping

from forum_bot.service import Document


def facts(answer: Document) -> str:
    """Return the line of figures that goes with the answer's summary; empty if there is none."""
    make = _LINES.get(answer["question"])
    return make(answer) if make else ""


def _final_drive(answer: Document) -> str:
    change = answer["result"]["engine_speed_change_percent"]
    if abs(change) < 0.05:
        return "At the same road speed the engine turns as fast as before."
    way = "faster" if change > 0 else "slower"
    return f"At the same road speed the engine turns {abs(change):.1f} % {way} than before."


def _speedometer(answer: Document) -> str:
    counted = 1.0 / answer["result"]["distance_per_indicated"]
    unit = "mile" if answer["units"] == "us" else "km"
    return f"For each {unit} driven the odometer counts {counted:.3f}."


def _crawl(answer: Document) -> str:
    idle = _said(answer, "idle_speed", "rpm")
    return f"Idle is {'' if 'idle_speed' in answer['given'] else 'taken as '}{idle}."


def _road_speed(answer: Document) -> str:
    per_1000 = _number(answer, "speed_per_1000", 1)
    return f"{per_1000} {_speed_unit(answer)} per 1,000 rpm in top gear."


def _cruise(answer: Document) -> str:
    result = answer["result"]
    if result["power_needed"] is None or result["cruise_gear"] is None:
        return ""
    has = (
        "" if result["power_available"] is None else f" of {_number(answer, 'power_available', 0, unit=True)}"
    )
    speed = at_speed(answer)
    return f"It takes about {_number(answer, 'power_needed', 0, unit=True)}{has} at {speed}."


def _regear(answer: Document) -> str:
    """Name the engine speed with each ratio, in the order of the ranking."""
    rows = _rows(answer)[:5]
    if any(row["cruise_engine_speed"] is None for row in rows):
        return ""
    speed = at_speed(answer)
    return f"In top gear at {speed}: {engine_speeds({row['axle_ratio']: row['cruise_engine_speed'] for row in rows})}."


def engine_speeds(by_ratio: Mapping[float, float]) -> str:
    """Name the engine speed with each axle ratio."""
    return ", ".join(f"{speed:,.0f} rpm with {ratio:.2f}" for ratio, speed in by_ratio.items())


def _axle_match(answer: Document) -> str:
    wound = answer["result"]["windup_per_distance"]
    if not wound:
        return ""
    unit = "mile" if answer["units"] == "us" else "km"
    return f"On ground that grips, the driveline winds up {wound:.0f} turns a {unit}."


def _tyre(answer: Document) -> str:
    turns = _number(answer, "tyre_turns_per_distance", 0)
    return f"It turns {turns} times in a {'mile' if answer['units'] == 'us' else 'km'}."


def _ring_gear_load(answer: Document) -> str:
    return f"The torque is limited by {answer['result']['ring_gear_limited_by']}."


def _clearance(answer: Document) -> str:
    return _changes(
        answer,
        {
            "housing_clearance_change": "clearance",
            "track_change": "track",
            "unsprung_mass_change": "unsprung mass",
        },
    )


def _axle_loads(answer: Document) -> str:
    result = answer["result"]
    pressures = [f"{side} {_number(answer, f'{side}_pressure_needed', 0, unit=True)}"
                 for side in ("front", "rear") if result[f"{side}_pressure_needed"] is not None]  # fmt: skip
    if pressures:
        return f"The tyres need at least {', '.join(pressures)} for this load."
    return "For a pressure I need a size with its load index, or the rated pressure."


def _descent(answer: Document) -> str:
    if answer["result"]["grade_held_back_percent"] is None:
        return ""
    held = _number(answer, "grade_held_back_percent", 0)
    share = answer["result"]["brake_share_percent"]
    brakes = "" if share is None else f"; the brakes take about {share:.0f} % at the speed wanted"
    return f"In that gear the engine holds back a grade of about {held} %{brakes}."


def _braking(answer: Document) -> str:
    change = answer["result"]["brake_force_change_percent"]
    if change is None or abs(change) < 0.5:
        return ""
    less = "more" if change > 0 else "less"
    return f"At the same pedal force the brakes pull {abs(change):.0f} % {less} than before."


def _acceleration(answer: Document) -> str:
    grade = answer["result"]["launch_grade_percent"]
    return "" if grade is None else f"It starts on a hill of up to about {grade:.0f} %."


def _fuel(answer: Document) -> str:
    if answer["result"]["fuel_per_distance"] is None:
        return ""
    return f"About {_number(answer, 'fuel_per_distance', 1, unit=True)} at that speed."


def _driveline(answer: Document) -> str:
    front, rear = (_number(answer, name, 1) for name in ("output_joint_angle", "pinion_joint_angle"))
    return f"Joint angles: {front} deg at the transfer case, {rear} deg at the pinion."


_LINES: Mapping[str, Callable[[Document], str]] = {
    "final-drive": _final_drive,
    "speedometer": _speedometer,
    "crawl": _crawl,
    "road-speed": _road_speed,
    "cruise": _cruise,
    "regear": _regear,
    "axle-match": _axle_match,
    "tyre": _tyre,
    "ring-gear-load": _ring_gear_load,
    "clearance": _clearance,
    "axle-loads": _axle_loads,
    "descent": _descent,
    "braking": _braking,
    "acceleration": _acceleration,
    "fuel": _fuel,
    "driveline": _driveline,
}


def _changes(answer: Document, names: Mapping[str, str]) -> str:
    known = {name: words for name, words in names.items() if answer["result"][name] is not None}
    said = [f"{words} {_number(answer, name, 1, '+', unit=True)}" for name, words in known.items()]
    return f"Change: {', '.join(said)}." if said else ""


def _rows(answer: Document) -> list[Mapping[str, float]]:
    table = answer["table"]
    return [dict(zip(table["columns"], row, strict=True)) for row in table["rows"]]


def _number(answer: Document, name: str, digits: int, sign: str = "", *, unit: bool = False) -> str:
    number = f"{answer['result'][name]:{sign},.{digits}f}"
    return f"{number} {answer['result_units'][name]}" if unit else number


def _said(answer: Document, name: str, unit: str) -> str:
    """Return a field as it was given or assumed; a bare number with the unit."""
    value = answer["given"].get(name, answer["assumed"].get(name))
    return value if isinstance(value, str) else f"{value:.4g} {unit}"


def at_speed(answer: Document) -> str:
    """Return the road speed that the answer is for."""
    return _said(answer, "cruise_speed", _speed_unit(answer))


def _speed_unit(answer: Document) -> str:
    """Return the unit of bare road speeds in the answer."""
    return "mph" if answer["units"] == "us" else "km/h"
