"""The vehicle before the change."""

from gearing_api.build import Build
from gearing_api.vocabulary import FIELDS

_PREFIX = "original_"

_GROUPS = (
    frozenset({"axle_ratio", "ring_teeth", "pinion_teeth", "front_axle_ratio", "rear_axle_ratio"}),
    frozenset({"tyre", "front_tyre", "rear_tyre", "rated_pressure"}),
    frozenset({"inner_diameter", "inner_splines", "inner_pitch"}),
    frozenset({"stub_diameter", "stub_splines", "stub_pitch"}),
)
_NOT_THERE = ("hub_ratio", "lift_height", "hub_offset")


def original_of(build: Build) -> Build | None:
    """Return the vehicle before the change, None where nothing of it is given.

    An original replaces its whole group of fields; all else is as it is now, but hub boxes and lift were not there.
    """
    given = {
        name.removeprefix(_PREFIX): value
        for name, value in build._values.items()
        if name.startswith(_PREFIX) and name.removeprefix(_PREFIX) in FIELDS
    }
    if not given:
        return None
    replaced = {name for group in _GROUPS if not group.isdisjoint(given) for name in group}
    kept = {
        name: value
        for name, value in build._values.items()
        if name not in replaced and name not in _NOT_THERE and not name.startswith(_PREFIX)
    }
    return Build(kept | given, {}, build.system)


def note_original(build: Build, original: Build) -> None:
    """Note as used the originals that were read of the vehicle before."""
    build._used |= {_PREFIX + name for name in original._used if build.given(_PREFIX + name)}
