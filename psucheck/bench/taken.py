"""From readings as a file has them to readings as the fault finder takes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from psucheck.bench.faultfind import Taken
from psucheck.bench.further_points import further_points
from psucheck.bench.names import STEPS
from psucheck.bench.points import Point, points
from psucheck.bench.reading import Reading
from psucheck.bench.runs import Setting
from psucheck.supply.filled import FilledSupply

_MAINS = "mains volts"
_VALVE_CONDUCTS = 0.7
"""Share of the nominal mains below which nothing is promised of a rectifier valve; common practice, no
source."""
_MOST_UNLOADED = 3
"""Steps with the valves out that are simulated, at most; more tell nothing new and take time."""
_MAINS_FREQUENCY = 1.5
"""A ripple's frequency below so many times the mains' is the mains'."""


@dataclass(frozen=True)
class Intake:
    """The readings to use, and those left out, each with its reason."""

    taken: tuple[Taken, ...]
    left_out: tuple[str, ...]


def intake(filled: FilledSupply, readings: Sequence[Reading]) -> Intake:
    """Put every reading at its setting.

    The volts at the amplifier are those read at its plug, else the step's share of what the wall had.
    """
    known = {point.name: point for point in (*points(filled), *further_points(filled))}
    settings = _settings(readings)
    kept = _kept(list(settings.values()))
    taken: list[Taken] = []
    left: list[str] = []
    for one in readings:
        if one.point == _MAINS:
            continue
        reason = _unfit(filled, one, known[one.point], settings.get(one.step), kept)
        if reason:
            left.append(f"{one.point} at {one.step}: {reason}")
            continue
        setting = settings.get(one.step)
        value = _as_taken(filled, one)
        volts = _volts(one, setting, readings) if setting is not None else None
        taken.append(Taken(setting, one.point, value, volts, one.step))
    return Intake(tuple(taken), tuple(left))


def _settings(readings: Sequence[Reading]) -> dict[str, Setting]:
    """Step -> its setting, for the steps that have one."""
    found: dict[str, Setting] = {}
    for one in readings:
        kind = STEPS[one.step]
        if kind.state is None or one.step in found:
            continue
        plug = next((r.value for r in readings if r.step == one.step and r.point == _MAINS), None)
        if plug is None and (kind.share is None or one.wall is None):
            continue
        volts = plug if plug is not None else (kind.share or 1.0) * (one.wall or 0.0)
        if volts > 0:
            found[one.step] = Setting(kind.state, round(volts, 2))
    return found


def _kept(settings: Sequence[Setting]) -> set[Setting]:
    """The settings that are simulated: of those with the valves out the lowest, the middle, the highest."""
    unloaded = sorted({s for s in settings if s.state == "valves out"}, key=lambda s: s.volts)
    if len(unloaded) > _MOST_UNLOADED:
        unloaded = [unloaded[0], unloaded[len(unloaded) // 2], unloaded[-1]]
    return {*unloaded, *(s for s in settings if s.state != "valves out")}


def _volts(one: Reading, setting: Setting, readings: Sequence[Reading]) -> float:
    """Volts at the amplifier's plug when a reading was taken."""
    walls = [r.wall for r in readings if r.step == one.step and r.wall]
    return setting.volts * one.wall / walls[0] if one.wall and walls else setting.volts


def _unfit(
    filled: FilledSupply, one: Reading, point: Point, setting: Setting | None, kept: set[Setting]
) -> str:
    """Why a reading cannot be used; empty if it can."""
    if one.unit != point.unit:
        return f"read in {one.unit}, where {point.unit} is wanted"
    if point.cold:
        return ""
    if setting is None:
        return "the volts at the amplifier are not known; read mains volts there too"
    if one.plug_in:
        return "silicon stood in for the rectifier valve, which is another supply"
    if setting not in kept:
        return f"{_MOST_UNLOADED} steps with the valves out are used, and it is none of them"
    valve = any(device.kind == "valve" for device in filled.devices.values())
    if valve and setting.volts < _VALVE_CONDUCTS * filled.mains.nominal:
        return "nothing is promised of a rectifier valve at that mains"
    return ""


def _as_taken(filled: FilledSupply, one: Reading) -> float:
    """A frequency as the share of the mains' own, anything else as it stands."""
    if one.point.endswith(" hum"):
        return float(one.value < _MAINS_FREQUENCY * filled.mains.hertz)
    return one.value
