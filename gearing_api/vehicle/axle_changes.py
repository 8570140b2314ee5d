"""What could be changed in an axle, one thing at a time. For one build."""

from collections.abc import Mapping
from typing import NamedTuple, TypeVar

import numpy as np

from gearing_api import tables, units
from gearing_api.answer import Source
from gearing_api.build import Build
from gearing_api.mechanics import axle_torques, splines
from gearing_api.vehicle.axle_basis import said
from gearing_api.vehicle.axle_housing import Truss
from gearing_api.vehicle.axle_parts import (
    END,
    INNER,
    JOINT,
    RING,
    STUB,
    TUBE,
    YIELDS,
    Axle,
    Shaft,
    on_both_wheels,
)
from gearing_api.vehicle.axle_wheel_end import ShaftEnd

_ALLOY = "alloy-4340"
_SPLINES = (27, 30, 35, 40)
_PITCH = 24
_ROOTS = {teeth: splines.external_minor_diameter(teeth, _PITCH) for teeth in _SPLINES}
_TRADE = tables.table("trade-figures").keyed("name", "value")
_RINGS = [
    units.number(float(str(_TRADE[f"ring-gear-{size}"])), units.LENGTH, "us")
    for size in ("small", "middle", "large")
]
_TRUSS_DIAMETER, _TRUSS_WALL, _TRUSS_ROOM, _TRUSS_PLATE = (
    units.number(text, units.LENGTH, "us") for text in ("1.5 in", "0.12 in", "3 in", "0.1875 in")
)
_TRUSS_END = 0.5
"""Of the distance from spring seat to wheel. [-]"""

_GROWTH = 1.005
"""A size counts as larger from here on. [-]"""

TRIED = Source(
    "changes tried one at a time: spline sizes 27, 30, 35 and 40 of 24/48, ring gears of 7 1/8, 8 1/2 and "
    "10 in, 4340 steel, a truss of 1.5 x 0.12 in (38 x 3 mm) tube 3 in (76 mm) above the housing tube, ending half "
    "way from spring seat to wheel, on a plate of 3/16 in (4.8 mm) welded along both sides with 3/16 in legs",
    "common practice",
    "Common practice, no published source; the truss and the 40 teeth are this service's choice",
)

_OfSteel = TypeVar("_OfSteel", Shaft, ShaftEnd)


class Change(NamedTuple):
    """What is changed, the axle after it, the parts that differ, and the fields that make it, None for left out."""

    name: str
    axle: Axle
    parts: tuple[str, ...]
    fields: Mapping[str, object] = {}


def changes(build: Build, axle: Axle) -> list[Change]:
    """Every change that applies to the axle."""
    return [*_shafts(axle), *_differential(build, axle), *_housing(build, axle), *_ring_gear(build, axle)]


def _shafts(axle: Axle) -> list[Change]:
    made: list[Change] = []
    of_steel = (axle.inner, axle.stub, axle.end)
    if any(shaft is not None and shaft.strength < YIELDS[_ALLOY] for shaft in of_steel):
        alloy = axle._replace(inner=_alloy(axle.inner), stub=_alloy(axle.stub), end=_alloy(axle.end))
        steels = {
            f"{place}_steel": _ALLOY
            for place, shaft in (("inner", axle.inner or axle.end), ("stub", axle.stub))
            if shaft is not None and shaft.strength < YIELDS[_ALLOY]
        }
        made.append(Change(f"{_ALLOY} shafts", alloy, (INNER, STUB, END), steels))
    if axle.inner is not None:
        made += [
            Change(f"inner {teeth} splines", axle._replace(inner=shaft), (INNER,), _splines("inner", teeth))
            for teeth, shaft in _larger(axle.inner)
        ]
    if axle.stub is not None:
        made += [
            Change(f"stub {teeth} splines", axle._replace(stub=shaft), (STUB,), _splines("stub", teeth))
            for teeth, shaft in _larger(axle.stub)
        ]
    return made


def _splines(place: str, teeth: int) -> dict[str, object]:
    return {f"{place}_splines": teeth, f"{place}_pitch": _PITCH, f"{place}_diameter": None}


def _alloy(shaft: _OfSteel | None) -> _OfSteel | None:
    return None if shaft is None else shaft._replace(strength=np.maximum(shaft.strength, YIELDS[_ALLOY]))


def _larger(shaft: Shaft) -> list[tuple[int, Shaft]]:
    """The next spline size up, in the same steel."""
    sizes = [teeth for teeth, root in _ROOTS.items() if root > shaft.diameter * _GROWTH]
    return [(teeth, shaft._replace(diameter=_ROOTS[teeth])) for teeth in sizes[:1]]


def _differential(build: Build, axle: Axle) -> list[Change]:
    half = axle_torques.shaft_torque(1.0, False)
    opened = axle._replace(shaft_share=half, usual_share=half, end=on_both_wheels(axle.end))
    own = f"{build.word('axle_position')}_differential"
    fields = {own if build.given(own) else "differential": "open"}
    return [Change("open differential", opened, (INNER, STUB, JOINT, END), fields)] * bool(
        axle.shaft_share > opened.shaft_share
    )


def _housing(build: Build, axle: Axle) -> list[Change]:
    housing = axle.housing
    if housing is None or housing.truss is not None:
        return []
    truss = Truss(
        diameter=_TRUSS_DIAMETER,
        wall=_TRUSS_WALL,
        height=(housing.tube_diameter + _TRUSS_DIAMETER) / 2.0 + _TRUSS_ROOM,
        end=_TRUSS_END * housing.lever,
        web_wall=_TRUSS_PLATE,
        weld_leg=_TRUSS_PLATE,
    )
    name = f"truss {said(_TRUSS_DIAMETER, units.LENGTH, build)}"
    fields = {f"truss_{part}": build.say(value, units.LENGTH, 6) for part, value in truss._asdict().items()
              if part in _TRUSS_LENGTHS}  # fmt: skip
    return [Change(name, axle._replace(housing=housing._replace(truss=truss)), (TUBE,), fields)]


_TRUSS_LENGTHS = ("diameter", "wall", "height", "end", "web_wall", "weld_leg")


def _ring_gear(build: Build, axle: Axle) -> list[Change]:
    diameter = axle.ring_gear_diameter
    if diameter is None:
        return []
    made: list[Change] = []
    if axle.flank < 0.0:
        other = "high" if build.word("pinion_height") == "low" else "low"
        fields = {"pinion_height": other}
        made.append(Change(f"{other} pinion", axle._replace(flank=1.0), (RING,), fields))
    for size in [size for size in _RINGS if size > diameter * _GROWTH][:1]:
        name = f"ring gear {said(size, units.LENGTH, build)}"
        bigger = axle._replace(ring_gear_diameter=size)
        made.append(Change(name, bigger, (RING,), {"ring_gear_diameter": build.say(size, units.LENGTH, 6)}))
    return made
