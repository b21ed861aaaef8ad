"""What a winding is rated for: RMS current, also where its label means DC, and volt-amperes of the core."""

from __future__ import annotations

import math
from collections.abc import Sequence

from psucheck.parts import library
from psucheck.supply import guesses
from psucheck.supply.model import Rectifier, Supply
from psucheck.supply.topology import choke_input


def rated_rms(supply: Supply, name: str) -> float | None:
    """Rated RMS current of a winding [A], of each half of a centre-tapped one; None where none is given."""
    winding = supply.windings[name]
    if winding.current is None or winding.current_is == "AC":
        return winding.current
    return winding.current * rms_over_dc(supply, name)


def rms_over_dc(supply: Supply, name: str) -> float:
    """RMS current of a winding, of each half of a centre-tapped one, over the DC drawn through it [1].

    By a maker's guide (Hammond) for the circuit and the kind of filter; 1.6, common practice without a
    source, where the guide has none. Of the rectifiers on a winding the positive ones count first.
    """
    standing = [one for one in supply.rectifiers.items() if one[1].winding == name]
    fed = [one for one in standing if one[1].polarity == "positive"] or standing
    ratios = [ratio for key, one in fed if (ratio := _guide(supply, key, one)) is not None]
    return 1.0 / ratios[0] if ratios else guesses.HT_LOAD_FACTOR


def _guide(supply: Supply, name: str, rectifier: Rectifier) -> float | None:
    """DC over RMS of the winding as the guide has it.

    Of the centre-tapped circuit with choke input it prints more than can be: each half carries its current
    for half the time, which is an RMS of 0.707 of the DC at the least.
    """
    kind = "choke" if choke_input(supply, name) else "capacitor"
    held, entry = library().rectifier_guide, f"{rectifier.circuit}, {kind} input"
    return min(held[entry].idc_over_iac.value, math.sqrt(2.0)) if entry in held else None


def volt_amperes(supply: Supply, name: str, amps: float) -> float:
    """What a winding takes from the core at ``amps`` [A RMS] in each of its sections [VA]."""
    return seen_by_core(supply, name, supply.windings[name].volts) * amps


def seen_by_core(supply: Supply, name: str, sections: Sequence[float]) -> float:
    """Volts, or turns, of a winding's sections together, for the RMS current of each of them.

    Halves between which a centre-tapped rectifier shares the current take turns, so that together they take
    the root of two, not twice, what one of them takes.
    """
    in_turns = any(
        one.winding == name and one.circuit == "centre-tapped" for one in supply.rectifiers.values()
    )
    return sum(sections) / (math.sqrt(len(sections)) if in_turns else 1.0)
