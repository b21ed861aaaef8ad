"""Open-circuit ratios and copper of the transformer, from what was read or what is rated."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.filled import FilledSupply, FilledTap, FilledWinding, HeaterLoad
from psucheck.supply.model import Supply, Winding
from psucheck.supply.winding_ratings import rated_rms, rms_over_dc, seen_by_core, volt_amperes


def expected_amps(
    supply: Supply, heaters: tuple[HeaterLoad, ...], dc_amps: Mapping[str, float]
) -> dict[str, float]:
    """RMS current that each winding is meant for [A]: its rating, else what the description puts on it."""
    amps = {}
    for name in supply.windings:
        rated = rated_rms(supply, name)
        if rated is None:
            heater = sum(load.amps for load in heaters if load.winding == name)
            rated = heater + dc_amps.get(name, 0.0) * rms_over_dc(supply, name)
        amps[name] = rated
    return amps


def rated_power(supply: Supply, amps: Mapping[str, float]) -> float:
    """Volt-amperes that the transformer is meant for: as given, else the sum over its windings."""
    windings = sum(volt_amperes(supply, name, amps[name]) for name in supply.windings)
    return supply.transformer.power or max(windings, 1.0)


def fill_copper(
    supply: Supply, amps: Mapping[str, float], notes: list[Assumption]
) -> tuple[float, dict[str, tuple[float, ...]]]:
    """Primary resistance [ohm] and the sections' resistances of each winding [ohm]."""
    windings = {
        name: winding.resistance
        or _guess_copper(name, winding, amps[name], supply.transformer.regulation, notes)
        for name, winding in supply.windings.items()
    }
    primary = supply.transformer.primary
    if primary.resistance is not None:
        return primary.resistance, windings
    power = rated_power(supply, amps)
    regulation = supply.transformer.regulation
    share = guesses.PRIMARY_SHARE.value if regulation is None else primary_share(regulation)
    ohms = share * primary.voltage**2 / power
    why = f"{share:.1%} of the volts at {power:.0f} VA"
    return take(notes, guesses.PRIMARY_SHARE.assume("transformer.primary.resistance", why, ohms)), windings


def secondary_share(regulation: float) -> float:
    """Share of its loaded volts that a winding's copper drops.

    Off load over loaded volts is 1 + r = (1 + s)/(1 - p), s the secondary's drop and p the primary's as
    shares of their volts; both halves are taken to count alike: 1 + s = 1/(1 - p) = sqrt(1 + r).
    """
    return math.sqrt(1 + regulation) - 1


def primary_share(regulation: float) -> float:
    """Primary resistance over V^2/P that drops the other half of ``regulation`` (see secondary_share).

    The primary carries (1 + r) P/V, since the turns make up for the drop.
    """
    return (1 - 1 / math.sqrt(1 + regulation)) / (1 + regulation)


def _guess_copper(
    name: str, winding: Winding, amps: float, regulation: float | None, notes: list[Assumption]
) -> tuple[float, ...]:
    low_voltage = max(winding.volts) < 30
    guess = guesses.HEATER_WINDING_SHARE if low_voltage else guesses.WINDING_SHARE
    share = guess.value if regulation is None else secondary_share(regulation)
    ohms = tuple(share * volts / max(amps, 1e-3) for volts in winding.volts)
    why = f"{share:.1%} of its volts at {amps:.3g} A"
    first = take(notes, guess.assume(f"windings.{name}.resistance", why, ohms[0]))
    return tuple(ohm * first / ohms[0] for ohm in ohms)


def fill_ratios(
    supply: Supply,
    primary_ohms: float,
    copper: Mapping[str, tuple[float, ...]],
    amps: Mapping[str, float],
    notes: list[Assumption],
) -> dict[str, FilledWinding]:
    """Off-load volts per volt on the primary tap, for every winding.

    A winding read off load gives its ratio directly. For rated ones all are taken to be loaded with their
    rated currents at once, resistively, halves that take turns as such: with core volts e = V - Rp sum(n_k
    i_k), each section obeys v = n e - i R, which is solved for all n together by fixed-point iteration.
    """
    volts = supply.transformer.primary.voltage
    known = {
        name: tuple(v / winding.off_load_at for v in winding.volts)
        for name, winding in supply.windings.items()
        if winding.off_load_at is not None
    }
    ratios = dict(known)
    rated = [name for name in supply.windings if name not in known]
    core = volts
    for _ in range(50):
        for name in rated:
            winding = supply.windings[name]
            # An unrated winding's label is taken for its off-load volts' neighbourhood: no current, no drop.
            drop = amps[name] if winding.current is not None else 0.0
            ratios[name] = tuple(
                (v + drop * ohm) / core for v, ohm in zip(winding.volts, copper[name], strict=True)
            )
        drawn = sum(
            seen_by_core(supply, name, ratios[name]) * amps[name]
            for name in ratios
            if supply.windings[name].current is not None
        )
        before, core = core, volts - primary_ohms * drawn
        if abs(core - before) < 1e-9 * volts:
            break
        if core < 0.5 * volts or not np.isfinite(core):
            core = 0.8 * volts
            break
    for name in rated:
        off_load = ratios[name][0] * volts
        taken = take(notes, _off_load(name, supply.windings[name], off_load))
        ratios[name] = tuple(ratio * taken / off_load for ratio in ratios[name])
    return {
        name: FilledWinding(
            ratios[name], copper[name], _taps(name, winding, ratios[name][0], copper[name][0], notes)
        )
        for name, winding in supply.windings.items()
    }


def _off_load(name: str, winding: Winding, volts: float) -> Assumption:
    """How the off-load volts of a winding came about that were not read."""
    key = f"windings.{name}.off_load_volts"
    if winding.current is not None:
        why = f"its rated volts at {winding.current:.3g} A, with the copper's drop added"
        return Assumption(key, volts, "V", "derived", why)
    why = "its volts, taken as read off load, since no current is given"
    return Assumption(key, volts, "V", "guess", why, guesses.PRACTICE, low=volts, high=volts * 1.1)


def _taps(
    name: str, winding: Winding, ratio: float, ohms: float, notes: list[Assumption]
) -> dict[str, FilledTap]:
    taps = {}
    for tap_name, tap in winding.taps.items():
        share = tap.volts / winding.volts[0]
        if tap.resistance is None:
            # Equal wire throughout: copper goes with turns.
            notes.append(
                Assumption(
                    f"windings.{name}.taps.{tap_name}.resistance",
                    ohms * share,
                    "ohm",
                    "derived",
                    "its share of the section's copper, wire taken as equal throughout",
                )
            )
        taps[tap_name] = FilledTap(
            ratio * share, tap.resistance if tap.resistance is not None else ohms * share
        )
    return taps


def on_tap(filled: FilledSupply, volts: float, ohms: float) -> FilledSupply:
    """The supply with the mains on another primary tap: turns, and so ratios, go with the tap's rated volts.

    Parameters
    ----------
    volts, ohms
        The tap's rated voltage [V] and the primary's resistance up to it [ohm].
    """
    scale = filled.supply.transformer.primary.voltage / volts
    windings = {
        name: FilledWinding(
            tuple(ratio * scale for ratio in winding.ratios),
            winding.ohms,
            {tap: FilledTap(at.ratio * scale, at.ohms) for tap, at in winding.taps.items()},
        )
        for name, winding in filled.windings.items()
    }
    core = filled.core
    if core is not None:
        # Ampere-turns and volts per turn stay: current goes with 1/turns, flux linkage with turns, ohms and
        # henries with their square.
        core = replace(
            core,
            rated_flux=core.rated_flux / scale,
            rated_amps=core.rated_amps * scale,
            loss_ohms=core.loss_ohms / scale**2,
            leakage_henries=core.leakage_henries / scale**2,
        )
    return replace(filled, primary_ohms=ohms, windings=windings, core=core)
