"""Mains, primary, ideal core and windings, with the heaters on them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from psucheck.circuit.network import GROUND, Choke, ColdHeater, Core, Mains, Section
from psucheck.circuit.wiring import OPEN_OHMS, Wiring
from psucheck.supply.filled import FilledTap
from psucheck.supply.leads import PLACES, Lead, centre_tap_used, outwards


@dataclass(frozen=True)
class Ends:
    """The terminals of a winding: end a, centre tap (end b of a plain winding), end b, and the taps."""

    a: str
    inner: str
    b: str
    taps: dict[str, str]


def flat_topped(volts: float, share: float) -> tuple[float, float | None]:
    """A sine cut off at a crest that is ``share`` below a sine's of the same RMS.

    With p = A sin(phi) the crest, the RMS of the cut sine of amplitude A is given by
    V^2 = (2/pi) (A^2 (phi/2 - sin(2 phi)/4) + p^2 (pi/2 - phi)); A is found by bisection.

    Returns
    -------
    tuple
        The sine's amplitude A [V] and the crest p at which it is cut [V]; None for no cut.
    """
    if not share or not volts:
        return math.sqrt(2) * volts, None
    crest = (1 - share) * math.sqrt(2) * volts
    low, high = crest, 4 * crest
    for _ in range(80):
        amplitude = (low + high) / 2
        phi = math.asin(crest / amplitude)
        square = amplitude**2 * (phi / 2 - math.sin(2 * phi) / 4) + crest**2 * (math.pi / 2 - phi)
        low, high = (amplitude, high) if 2 / math.pi * square < volts**2 else (low, amplitude)
    return (low + high) / 2, crest


def add_mains(wiring: Wiring, phase_degrees: float) -> None:
    """The wall, what stands in the mains lead, the primary's copper, and the core's loss."""
    filled = wiring.filled
    wall, inlet = wiring.node(), wiring.node()
    volts = wiring.condition.volts if wiring.condition.mains_on else 0.0
    peak, flat = flat_topped(volts, filled.mains.flat_top)
    wiring.add(
        Mains,
        "g",
        wall,
        GROUND,
        "mains",
        peak_volts=peak,
        hertz=filled.mains.hertz,
        phase_degrees=phase_degrees,
        flat_volts=flat,
    )
    wiring.resistor(wall, inlet, filled.mains.ohms, "wiring of the house")
    inlet = wiring.through("mains", "", inlet, "in the mains lead", dc=False, volts=(inlet, GROUND))
    core = filled.core
    if core is None:
        wiring.resistor(inlet, "core", filled.primary_ohms, "primary copper")
        return
    behind = wiring.node()
    wiring.resistor(inlet, behind, filled.primary_ohms, "primary copper")
    # Its flux is forgotten within a cycle: measured by the core's, it never holds up the search.
    wiring.add(
        Choke,
        "l",
        behind,
        "core",
        "leakage inductance",
        henries=core.leakage_henries,
        scale_flux=core.rated_flux,
    )
    wiring.layout.core_loss = wiring.resistor("core", GROUND, core.loss_ohms, "core loss")
    wiring.layout.core = wiring.add(
        Core,
        "k",
        "core",
        GROUND,
        "magnetising",
        rated_flux=core.rated_flux,
        rated_amps=core.rated_amps,
        linear_share=core.linear_share,
        exponent=core.exponent,
        residual=core.residual,
    )


def add_winding(wiring: Wiring, name: str) -> Ends:
    """A winding's sections with their copper; end a is positive against end b with the core."""
    winding = wiring.filled.windings[name]
    inner = wiring.node()
    taps: dict[str, str] = {}
    sections: list[str] = []
    # The first section, from its inner end outwards, in pieces from tap to tap.
    stops = sorted(winding.taps.items(), key=lambda item: item[1].ratio)
    stops.append(("", FilledTap(winding.ratios[0], winding.ohms[0])))
    at, ratio, ohms = inner, 0.0, 0.0
    for tap, stop in stops:
        emf, outer = wiring.node(), wiring.node()
        says = f"{name} winding" + (f" to tap {tap}" if tap else " to end a")
        piece = wiring.add(Section, "s", emf, at, says, ratio=stop.ratio - ratio)
        wiring.resistor(emf, outer, max(stop.ohms - ohms, 0.0), f"copper, {says}")
        if not sections:
            # The innermost piece carries the tap's current too.
            sections.append(piece)
        if tap:
            taps[tap] = outer
        at, ratio, ohms = outer, stop.ratio, stop.ohms
    a, b = at, inner
    if len(winding.ratios) == 2:
        emf, b = wiring.node(), wiring.node()
        says = f"{name} winding to end b"
        sections.append(wiring.add(Section, "s", inner, emf, says, ratio=winding.ratios[1]))
        wiring.resistor(emf, b, winding.ohms[1], f"copper, {says}")
        wiring.layout.winding_ends[name] = ((a, inner), (inner, b))
    else:
        wiring.layout.winding_ends[name] = ((a, inner),)
    wiring.layout.windings[name] = tuple(sections)
    # At both ends: between the blocking arms of a bridge the simulator loses a winding that floats at one.
    for end in (a, inner):
        wiring.resistor(end, GROUND, OPEN_OHMS, f"{name} winding's insulation to chassis")
    return Ends(a, inner, b, taps)


def lead_out(wiring: Wiring, name: str, bare: Ends) -> Ends:
    """The ends of a winding behind what stands in their leads: one part each, whatever draws there.

    A tap's lead holds nothing; that of the centre tap is led where the centre tap goes.
    """
    supply = wiring.supply
    plain = bare.b == bare.inner
    halved = not plain and centre_tap_used(supply, name)
    across: dict[Lead, tuple[str, str]] = {
        "a": (bare.a, bare.inner if halved else bare.b),
        "b": (bare.inner if halved else bare.a, bare.b),
    }
    leads: tuple[tuple[Lead, str], ...] = (("a", bare.a), ("b", bare.b))
    led = {}
    for lead, end in leads:
        node = end
        for kind in PLACES[lead]:
            node = wiring.through(
                kind,
                name,
                node,
                f"lead {lead}",
                dc=False,
                volts=across[lead],
                outwards=outwards(supply, name, lead),
            )
        led[lead] = node
    return Ends(led["a"], led["b"] if plain else bare.inner, led["b"], bare.taps)


def add_heaters(wiring: Wiring, ends: dict[str, Ends]) -> None:
    """The heaters that are on, as resistances across their winding's leads, cold at a switch-on from cold."""
    for load in wiring.filled.heaters:
        if load.winding not in ends:
            continue
        wiring.layout.heater_ends[load.winding] = (ends[load.winding].a, ends[load.winding].b)
        if load.group not in wiring.condition.heaters:
            continue
        pulled = 0.0 if wiring.condition.drawing == "as read" else load.pulled_amps
        if pulled >= load.amps:
            continue
        terminals, ohms = ends[load.winding], load.volts / (load.amps - pulled)
        says = f"heaters of the {load.group} on {load.winding}"
        if wiring.condition.heaters_cold:
            wiring.add(
                ColdHeater,
                "h",
                terminals.a,
                terminals.b,
                f"{says}, cold at first",
                hot_ohms=ohms,
                cold_share=wiring.filled.cold_heaters.share,
                time_constant=wiring.filled.cold_heaters.seconds,
            )
        else:
            wiring.resistor(terminals.a, terminals.b, ohms, says)
