"""How long cathodes take to warm up: the rectifier valves' and those of the valves that they feed."""

from __future__ import annotations

from psucheck.parts import library
from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.fill_rectifiers import is_valve
from psucheck.supply.filled import FilledColdHeaters, FilledWarmUp
from psucheck.supply.model import Device, Supply

VALVES = "valves"
"""Key of what draws from the rails."""


def fill_warm_ups(supply: Supply, notes: list[Assumption]) -> dict[str, FilledWarmUp]:
    """Warm-up of each rectifier valve (``"rectifiers.NAME"``) and of the valves (``"valves"``)."""
    found = {
        rectifier_key(name): _rectifier(f"{rectifier_key(name)}.warm_up", rectifier.device, notes)
        for name, rectifier in supply.rectifiers.items()
        if is_valve(rectifier.device)
    }
    if any(load.resistance is None for load in supply.loads.values()):
        full = take(notes, guesses.WARM_UP_VALVES.assume(f"{VALVES}.warm_up", "not known of the types"))
        found[VALVES] = FilledWarmUp(guesses.WARM_UP_STARTS["indirect"] * full, full)
    return found


def fill_cold_heaters(notes: list[Assumption], *, any_heaters: bool) -> FilledColdHeaters:
    """The resistance of all heaters at a switch-on from cold; noted only if there are any."""
    if not any_heaters:
        return FilledColdHeaters(guesses.HEATER_COLD_SHARE.value, guesses.HEATER_SECONDS.value)
    why = "not known of the types"
    share = guesses.HEATER_COLD_SHARE.assume(f"{VALVES}.heater_cold_share", why)
    seconds = guesses.HEATER_SECONDS.assume(f"{VALVES}.heater_time_constant", why)
    return FilledColdHeaters(take(notes, share), take(notes, seconds))


def rectifier_key(name: str) -> str:
    """Key of a rectifier in the mapping of warm-ups."""
    return f"rectifiers.{name}"


def _rectifier(key: str, device: Device, notes: list[Assumption]) -> FilledWarmUp:
    part = library().rectifier_valve(device.type) if device.type is not None else None
    if part is not None and part.warm_up is not None:
        return FilledWarmUp(part.warm_up.value.starts_seconds, part.warm_up.value.full_seconds)
    if part is None:
        # The quick kind sends B+ up before anything draws, which is the case that matters.
        kind, why = "direct", "cathode not told; taken as directly heated, the quicker kind"
    else:
        kind, why = part.cathode.value, f"its cathode is {part.cathode.value}ly heated"
    guess = guesses.WARM_UP_DIRECT if kind == "direct" else guesses.WARM_UP_INDIRECT
    full = take(notes, guess.assume(key, why))
    return FilledWarmUp(guesses.WARM_UP_STARTS[kind] * full, full)
