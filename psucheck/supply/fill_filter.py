"""Capacitors, chokes and the resistances of the filter, with defaults for what is not on the can."""

from __future__ import annotations

import math

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.filled import FilledCapacitor, FilledChoke
from psucheck.supply.model import Capacitor, Choke


def fill_capacitor(key: str, capacitor: Capacitor, notes: list[Assumption]) -> FilledCapacitor:
    """A capacitor with its ESR (from the loss factor at 120 Hz) and leakage (0.002 C U) where not given."""
    esr = capacitor.esr
    if esr is None:
        usual = guesses.DISSIPATION_FACTOR.value / (2 * math.pi * 120 * capacitor.value)
        esr = take(
            notes, guesses.DISSIPATION_FACTOR.assume(f"{key}.esr", "a healthy part of its size", usual)
        )
    # I[uA] = k C[uF] U[V] at any U: a resistance of 1e6/(k C[uF]) ohm = 1/(k C[F]).
    leakage = 1.0 / (guesses.LEAKAGE.value * capacitor.value)
    leakage = take(
        notes, guesses.LEAKAGE.assume(f"{key}.leakage", "a healthy, formed part of its size", leakage)
    )
    balancing = capacitor.balancing.value if capacitor.balancing else None
    return FilledCapacitor(capacitor.value, esr, leakage, capacitor.in_series, balancing)


def fill_choke(key: str, choke: Choke, load_amps: float, notes: list[Assumption]) -> FilledChoke:
    """A choke with inductance and knee; ``load_amps`` is what flows through it at full output."""
    henries = choke.inductance
    if henries is None:
        henries = take(notes, guesses.CHOKE_HENRIES.assume(f"{key}.inductance", "not given"))
    rated = choke.current
    if rated is None:
        usual = max(1.5 * load_amps, 0.02)
        why = "one and a half times what flows through it"
        rated = take(
            notes,
            Assumption(
                f"{key}.current", usual, "A", "guess", why, guesses.PRACTICE, low=load_amps, high=3 * usual
            ),
        )
    why = "it saturates at twice its rated current, a twentieth of its inductance beyond"
    knee = take(
        notes,
        Assumption(
            f"{key}.knee",
            guesses.CHOKE_KNEE * rated,
            "A",
            "guess",
            why,
            guesses.PRACTICE,
            low=1.3 * rated,
            high=4 * rated,
        ),
    )
    return FilledChoke(henries, choke.resistance, knee)
