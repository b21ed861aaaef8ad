"""What moves the volts: another tap of the primary, a resistor in a heater's lead, chokes, elevation."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from psucheck import quantity
from psucheck.parts import library
from psucheck.parts.preferred import downwards, upwards
from psucheck.parts.series import mantissas
from psucheck.studies.cures.sizes import for_current, for_volts
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply import writing
from psucheck.supply.model import Choke

_STOOD_OFF = 45.0
"""Volts on which heaters are raised where their cathodes stand high [V]; common practice, no source."""


def other_tap(trouble: Trouble) -> Iterator[Candidate]:
    """Another tap of the primary: the next higher one where something has too much, else the next lower."""
    transformer = trouble.supply.transformer
    used = transformer.primary.voltage
    taps = {name: quantity.read(name, "V") for name in transformer.taps}
    too_much = not trouble.finding.lower_limit
    ahead = [name for name, volts in taps.items() if (volts > used) is too_much and volts != used]
    for name in sorted(ahead, key=lambda name: abs(taps[name] - used)):
        tap = writing.show(taps[name], "V")
        ohms = quantity.show(transformer.taps[name], "ohm", 6)
        changes: dict[str, str | None] = {"transformer.primary": f"{tap}, {ohms}"}
        for winding, part in trouble.supply.windings.items():
            if part.off_load_at is not None:
                # What it read stands; on the other tap it would read the same at so many volts.
                volts = part.off_load_at * taps[name] / used
                changes[f"windings.{winding}.off_load_at"] = writing.show(volts, "V")
        yield Candidate(changes, f"use the {tap} tap of the primary")


def heater_resistor(trouble: Trouble) -> Iterator[Candidate]:
    """A resistor in the lead of a heater winding that reads too high."""
    name = trouble.finding.subject
    figures = trouble.at()
    if name not in trouble.supply.windings or trouble.finding.lower_limit or figures is None:
        return
    place = f"winding {name}"
    amps = max(figures.windings[name].rms_current, default=0.0) if name in figures.windings else 0.0
    if place in trouble.supply.series or amps <= 0:
        return
    volts = figures.windings[name].volts
    nominal = min((2.5, 4.0, 5.0, 6.3, 12.6, 25.0), key=lambda one: abs(one - volts))
    if volts <= nominal:
        return
    for ohms in islice(upwards(mantissas(12), 0.6 * (volts - nominal) / amps), 0, 3):
        part = for_current(ohms, amps)
        if part is not None:
            yield Candidate({f"series.{place}": writing.resistor(part)})


def other_choke(trouble: Trouble) -> Iterator[Candidate]:
    """A choke of the library that carries the current, the nearest in henries first."""
    subject = trouble.finding.subject
    node = trouble.supply.filter.get(subject)
    if node is None or node.choke is None:
        return
    wanted = node.choke.inductance or 10.0
    able = [choke for choke in library().chokes if choke.rated_current.value >= trouble.figure]
    for choke in sorted(able, key=lambda choke: abs(choke.inductance.value - wanted)):
        part = Choke(
            resistance=choke.resistance.value,
            inductance=choke.inductance.value,
            current=choke.rated_current.value,
        )
        path = f"filter.{subject}.choke"
        yield Candidate(
            {path: writing.choke(part)}, f'change {path} to "{writing.choke(part)}" ({choke.name})'
        )


def bleeder_current(trouble: Trouble) -> Iterator[Candidate]:
    """A bleeder behind a choke input that draws the current which keeps it continuous."""
    node = trouble.supply.filter.get(trouble.finding.subject)
    figures = trouble.at("valves out") or trouble.at("idle")
    if node is None or figures is None or trouble.finding.subject not in figures.nodes:
        return
    volts = abs(figures.nodes[trouble.finding.subject].dc)
    missing = trouble.limit - trouble.figure if trouble.finding.unit == "A" else 0.0
    if missing <= 0:
        return
    for ohms in islice(downwards(mantissas(12), volts / missing), 3):
        part = for_volts(ohms, volts)
        if part is not None:
            yield Candidate({f"filter.{trouble.finding.subject}.bleeder": writing.resistor(part)})


def elevated_heaters(trouble: Trouble) -> Iterator[Candidate]:
    """Heaters raised to some tens of volts."""
    rectified = {rectifier.winding for rectifier in trouble.supply.rectifiers.values()}
    for winding in trouble.supply.windings:
        if winding in rectified or winding in trouble.supply.elevation:
            continue
        if winding == trouble.finding.subject:
            yield Candidate(
                {f"elevation.{winding}": writing.show(_STOOD_OFF, "V")},
                f"raise the {winding} winding to {_STOOD_OFF:g} V",
            )
