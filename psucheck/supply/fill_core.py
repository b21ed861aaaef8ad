"""The core: magnetising current, loss, leakage and residual flux, as given or usual for its kind."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from psucheck.supply import guesses
from psucheck.supply.assumptions import Assumption, take
from psucheck.supply.fill_transformer import rated_power
from psucheck.supply.filled import FilledCore
from psucheck.supply.model import Supply


def crest_factor(linear_share: float, exponent: int) -> float:
    """Peak over RMS of the magnetising current s sin + (1 - s) sin^n at rated flux."""
    sine = np.sin(np.linspace(0.0, 2 * np.pi, 20001)[:-1])
    return float(1.0 / np.sqrt(np.mean((linear_share * sine + (1 - linear_share) * sine**exponent) ** 2)))


def fill_core(supply: Supply, amps: Mapping[str, float], notes: list[Assumption]) -> FilledCore | None:
    """The core on the primary tap in use; None for an ideal one.

    Rated flux linkage is sqrt(2) V/(2 pi f) at the tap's rated volts and the design frequency. The no-load
    current is split into loss (in phase) and magnetising (in quadrature): Im^2 = I0^2 - (P0/V)^2.
    """
    transformer = supply.transformer
    kind = transformer.core
    if kind == "ideal":
        return None
    volts = transformer.primary.voltage
    power = rated_power(supply, amps)
    rated = power / volts
    watts = transformer.no_load_power
    if watts is None:
        guess = guesses.CORE_LOSS_SHARE[kind]
        usual = guess.value * power
        watts = take(
            notes, guess.assume("transformer.no_load_power", f"a {kind} core of {power:.0f} VA", usual)
        )
    current = transformer.no_load_current
    if current is None:
        guess = guesses.NO_LOAD_SHARE[kind]
        usual = max(guess.value * rated, 1.2 * watts / volts)
        current = take(
            notes, guess.assume("transformer.no_load_current", f"a {kind} core of {power:.0f} VA", usual)
        )
    magnetising = math.sqrt(max(current**2 - (watts / volts) ** 2, (0.1 * current) ** 2))
    leakage = transformer.leakage
    if leakage is None:
        guess = guesses.LEAKAGE_SHARE[kind]
        usual = guess.value * volts / rated / (2 * math.pi * supply.mains.frequency)
        leakage = take(notes, guess.assume("transformer.leakage", f"a {kind} core of {power:.0f} VA", usual))
    left = guesses.RESIDUAL_FLUX[kind].assume(
        "transformer.residual_flux", f"a {kind} core, at the worst switch-off"
    )
    share, exponent = guesses.CORE_LINEAR_SHARE[kind], guesses.CORE_EXPONENT[kind]
    frequency = transformer.design_frequency or supply.mains.frequency
    return FilledCore(
        rated_flux=math.sqrt(2) * volts / (2 * math.pi * frequency),
        rated_amps=magnetising * crest_factor(share, exponent),
        linear_share=share,
        exponent=exponent,
        # The copper's own no-load loss is thousandths of it.
        loss_ohms=volts**2 / watts,
        leakage_henries=leakage,
        residual=take(notes, left),
    )
