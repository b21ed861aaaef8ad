"""A filament lamp in series: what it lets through, found together with the supply."""

from __future__ import annotations

import math
from dataclasses import replace

from psucheck.bench.limit import loads_of
from psucheck.bench.practice import rule
from psucheck.bench.runs import Setting, figures_at
from psucheck.checks.judging import shown
from psucheck.circuit.condition import Readings, State
from psucheck.engine.pool import Runner
from psucheck.figures.model import Figures
from psucheck.report.sheet_view import LampLine, LampView
from psucheck.supply.filled import FilledSupply

_STEPS = 12
_CLOSE = 0.01
"""How well the filament's ohms and its volts must agree, as a share."""


def filament_ohms(watts: float, rated_volts: float, volts: float) -> float:
    """Resistance of a filament at ``volts`` over it [ohm].

    R = V0^2/P (V/V0)^x, not below the cold one: with x = 0.45 the current goes as volts to the power 0.55, as
    a tungsten lamp's does (from memory).
    """
    hot = rated_volts**2 / watts
    warm = float((volts / rated_volts) ** rule("lamp.exponent"))
    return hot * max(warm, rule("lamp.cold"))


def behind_lamp(
    filled: FilledSupply, readings: Readings, state: State, wall: float, watts: float, pool: Runner
) -> tuple[Figures, float, float]:
    """A steady state behind a lamp: its figures, volts at the amplifier and over the lamp [V RMS].

    The filament is slow against the mains, so within a cycle it is a resistance; that is sought at which its
    own volts put it there. Mains, lamp and amplifier are in series, hence at the amplifier
    V^2 = Vwall^2 - 2 R P + R^2 I^2, P the watts from the wall.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    rated = filled.mains.nominal
    low, high = (math.log(each) for each in _bounds(watts, rated, wall))
    figures, left, over = None, wall, 0.0
    for _ in range(_STEPS):
        ohms = math.exp((low + high) / 2)
        loaded = _with_cool_heaters(filled, left / filled.mains.nominal)
        loaded = replace(loaded, mains=replace(filled.mains, ohms=filled.mains.ohms + ohms))
        setting = Setting(state, wall)
        figures = figures_at(loaded, readings, [setting], pool)[setting]
        drawn = figures.mains_supply
        assert drawn is not None  # the mains are on in every steady state
        over = ohms * drawn.rms_current
        left = math.sqrt(max(wall**2 - 2 * ohms * drawn.watts + over**2, 0.0))
        wanted = filament_ohms(watts, rated, over)
        if abs(wanted - ohms) <= _CLOSE * ohms:
            break
        # The more ohms, the more volts over them: what it would be at those volts tells the side.
        low, high = (math.log(ohms), high) if wanted > ohms else (low, math.log(ohms))
    assert figures is not None  # there is one step at least
    return figures, left, over


def _with_cool_heaters(filled: FilledSupply, share: float) -> FilledSupply:
    """Heaters at a share of their volts: like lamps they draw more than a resistance would."""
    more = max(share, rule("lamp.cold")) ** (rule("lamp.heater-exponent") - 1.0)
    heaters = tuple(
        replace(each, amps=each.amps * more, pulled_amps=each.pulled_amps * more) for each in filled.heaters
    )
    return replace(filled, heaters=heaters)


def _bounds(watts: float, rated: float, wall: float) -> tuple[float, float]:
    return filament_ohms(watts, rated, 0.0), 1.02 * filament_ohms(watts, rated, wall)


def lamp_view(filled: FilledSupply, readings: Readings, wall: float, watts: float, pool: Runner) -> LampView:
    """What a lamp of ``watts`` does on ``filled``, valves out and in, and what that proves.

    Raises
    ------
    SimulationError
        If a run fails.
    """
    hot = filled.mains.nominal**2 / watts
    out, volts_out, lamp_out = behind_lamp(filled, readings, "valves out", wall, watts, pool)
    found = loads_of(filled, out)
    capacitors = tuple(
        LampLine(name, figures.max_volts, found[name][1] if name in found else None)
        if name not in found
        else LampLine(name, *found[name])
        for name, figures in out.capacitors.items()
    )
    volts_in = lamp_in = None
    if filled.outputs or filled.currents:
        _, volts_in, lamp_in = behind_lamp(filled, readings, "idle", wall, watts, pool)
    return LampView(
        watts,
        rule("lamp.cold") * hot,
        hot,
        volts_out,
        lamp_out,
        volts_in,
        lamp_in,
        capacitors,
        tuple(_said(volts_out, volts_in, wall, capacitors)),
    )


def _said(
    volts_out: float, volts_in: float | None, wall: float, capacitors: tuple[LampLine, ...]
) -> list[str]:
    said = [
        "A filament or halogen lamp; one with LEDs limits nothing.",
        (
            f"Valves out: dark after the flash, and {shown(volts_out, 'V')} of {shown(wall, 'V')} at the "
            f"amplifier within "
            "a second. That is no gentle start: the variac's tenth is."
        ),
    ]
    over = [line for line in capacitors if line.rating is not None and line.volts > line.rating]
    for line in over:
        said.append(
            f"{line.capacitor} stands at {shown(line.volts, 'V')}, over its "
            f"{shown(line.rating or 0.0, 'V')}: "
            "not with the valves out, lamp or no lamp."
        )
    if volts_in is not None:
        share = volts_in / wall
        said.append(
            f"Valves in, warm and drawing: about {shown(volts_in, 'V')} at the amplifier; higher "
            f"while they are cold, "
            "lower while their heaters are. Good for direction."
        )
        if share < rule("valves.emission"):
            said.append(
                f"At {100 * share:.0f} % of the mains the heaters are too cold for the valves to work."
            )
    said.append(
        f"A short: the lamp fully lit, < {shown(rule('lamp.short'), 'V')} left. A dark lamp proves "
        f"no short and "
        "nothing else."
    )
    return said
