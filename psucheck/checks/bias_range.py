"""Bias range: whether the bias pot reaches what this supply needs.

What it checks
--------------
Every bias node that feeds the grids of output valves. The bias wanted is that which brings the idle current
back to what the description states, or, where that would exceed the anode rating, to 70 % of the rating. It
is held against the pot's two ends, moved in proportion with the bias supply of this transformer.

Why it matters
--------------
Another transformer moves the B+, the screens and the bias supply at once. If the pot ends before the valves
are cold enough, there is no safe setting, and the fault shows only with the valves in.

Limit
-----
The wanted bias lies between the ends of the pot; less than 5 % from an end is marginal, since valves
differ. A pot that cannot go negative enough is over; one that cannot go positive enough leaves the valves
cold, which harms nothing, and is marginal.

Source
------
The pot's range as given. The bias wanted: the three-halves law of the screen grid's and control grid's
volts, through the point that was simulated, with the amplification factor from the valve's data sheet. The
5 % and the 70 %: common practice, no source.

What to change
--------------
The resistor in the earthy leg of the bias pot, or the one that feeds the bias rectifier. Check the bias
with the valves out before putting them in.

A passing example
-----------------
``range = ["-30 V", "-45 V"]``, and -37.4 V wanted.

A failing example
-----------------
``range = ["-30 V", "-45 V"]``, and -46.3 V wanted, since the screens have risen by 120 V.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from psucheck.checks import ratings
from psucheck.checks.case import Case
from psucheck.checks.finding import Finding
from psucheck.checks.judging import against_lower, against_upper, not_checked, share, shown, worst
from psucheck.checks.limits import Limits
from psucheck.checks.output_valves import outputs
from psucheck.figures.model import Figures, ValveFigures
from psucheck.parts.valves import LoadValve
from psucheck.supply import topology
from psucheck.supply.model import Idle, Node

ID = "bias-range"
TITLE = "Bias range"

_RANGE = "range of the pot, as given in the description"
RESET = "bias reset"
"""The remark of a run in which the pot was turned until the idle current was again what was read."""

# Least drive, as a share of Vg2/mu, where the law's own zero is not known.
_LEAST_DRIVE = 0.1
# Idle currents this near to the wanted one need no law to tell the bias.
_SAME = 0.02


@dataclass(frozen=True, slots=True)
class Wanted:
    """The grid volts wanted (negative), and how they came about.

    ``held_back``: the anode rating, not the stated current, decided. ``law``: the source of the amplification
    factor, where one was needed.
    """

    volts: float
    held_back: bool
    law: str | None = None


def judge(case: Case, limits: Limits) -> Iterator[Finding]:
    """One finding a load that is biased from a node."""
    for name, type_ in outputs(case.supply):
        bias = case.supply.loads[name].bias
        if isinstance(bias, str) and bias in case.supply.filter and not _without_a_pot(case, bias):
            yield _judged(case, limits, name, bias, ratings.load_valve(type_))


def _without_a_pot(case: Case, bias: str) -> bool:
    """A back bias of which no range is given: its resistor makes it, there is nothing to turn."""
    back_bias = topology.root_of(case.supply, bias).kind == "place"
    return back_bias and case.supply.filter[bias].range is None


def _judged(case: Case, limits: Limits, load: str, bias: str, valve: LoadValve | None) -> Finding:
    node = case.supply.filter[bias]
    figures = next(case.select(("idle",), ("wall",)), None) or next(
        case.select(("idle",), ("nominal",)), None
    )
    if figures is None or load not in figures.valves:
        return not_checked(
            ID, bias, why="No run gave the bias at idle.", measure="the idle current of the valves"
        )
    if node.range is None:
        return not_checked(
            ID,
            bias,
            why=f"The grids get {shown(figures.valves[load].bias, 'V')}; the pot's range is not given.",
            measure="bias volts with the pot at each end, valves out (range = [...])",
            condition=figures.name,
            figure=figures.valves[load].bias,
            unit="V",
        )
    wanted = _wanted(case, limits, load, figures, valve)
    if wanted is None:
        return not_checked(
            ID,
            bias,
            why="How the valves' current follows their bias is not known, so the bias wanted is not either.",
            measure="the bias that gives the wanted idle current, with the pot",
            condition=figures.name,
        )
    return _held(limits, bias, node, figures, figures.valves[load], wanted)


def _wanted(
    case: Case, limits: Limits, load: str, figures: Figures, valve: LoadValve | None
) -> Wanted | None:
    """The bias that restores the idle current, or what the anode rating leaves of it.

    The current follows E^1.5, where the drive E = Vg2/mu + Vg1; so E' = E (I'/I)^(2/3), and the bias moves by
    E' - E at unchanged screen volts.
    """
    idle, valves = case.supply.loads[load].idle, figures.valves[load]
    if idle is None:
        return None
    if valves.anode_current <= 0:
        return None
    described = sum(entry.count for entry in case.supply.loads[load].valves or ()) or valves.count
    screened = case.supply.loads[load].screens is not None
    ratio = _stated_share(idle, valves, described, screened=screened)
    held_back = valve is not None and valves.anode_watts * ratio > valve.anode_watts.value
    if valve is not None and held_back:
        ratio = limits.value("valve-dissipation.usual-idle") * valve.anode_watts.value / valves.anode_watts
    if abs(ratio - 1) <= _SAME:
        return Wanted(valves.bias, held_back)
    if valve is None or valve.mu is None:
        return None
    drive = _drive(case, load, figures, valve.mu.value)
    volts = valves.bias + drive * (math.pow(ratio, 2 / 3) - 1)
    return Wanted(min(volts, 0.0), held_back, valve.mu.citation)


def _stated_share(idle: Idle, valves: ValveFigures, described: int, *, screened: bool) -> float:
    """The idle current that the description states, as a multiple of the one that flows.

    What was read together was read with all the ``described`` valves in, though some may be missing now. Of
    valves whose screens have no node of their own, the anode's figure holds their current too.
    """
    each = 1 if idle.each else described
    if idle.anode is not None:
        read = idle.anode if screened else idle.anode + (idle.screen or 0.0)
        return read / each / valves.anode_current
    assert idle.cathode is not None  # one of the two is given
    return idle.cathode / each / (valves.anode_current + valves.screen_current)


def _drive(case: Case, load: str, figures: Figures, mu: float) -> float:
    """The drive E behind the simulated current [V].

    The law is laid through the point that was read, so that E is Vg2/mu + Vg1 and a constant. That comes
    from the idle current at another mains voltage: I1/I2 = ((b1 + c)/(b2 + c))^1.5, b = Vg2/mu + Vg1. Without
    a second voltage it is taken as zero, and E as a tenth of Vg2/mu at least.
    """
    here = figures.valves[load]
    base = here.screen_volts / mu + here.bias
    for other in case.select(("idle",), ("high", "low")):
        if other is figures or load not in other.valves:
            continue
        there = other.valves[load]
        ratio = math.pow(_cathode(here) / _cathode(there), 2 / 3)
        drive = ratio * (base - there.screen_volts / mu - there.bias) / (ratio - 1) if ratio != 1 else 0.0
        if drive > 0:
            return drive
    return max(base, _LEAST_DRIVE * here.screen_volts / mu)


def _cathode(valves: ValveFigures) -> float:
    return valves.anode_current + valves.screen_current


def _reach(node: Node, figures: Figures, bias: str, grid_volts: float) -> tuple[float, float]:
    """Least and most negative bias that the pot gives on this supply, as magnitudes [V].

    The ends move with the grid volts that the pot, left where it stands, gives now; where the pot was turned,
    with the volts of its node against those read there.
    """
    assert node.range is not None  # asked before
    ends = sorted(abs(volts) for volts in node.range)
    if RESET in figures.remarks and bias in figures.nodes:
        moved = abs(figures.nodes[bias].dc) / (abs(node.was) if node.was else ends[1])
    else:
        stated = node.set if node.set is not None else node.was
        moved = abs(grid_volts) / (abs(stated) if stated else sum(ends) / 2)
    return ends[0] * moved, ends[1] * moved


def _held(
    limits: Limits, bias: str, node: Node, figures: Figures, valves: ValveFigures, wanted: Wanted
) -> Finding:
    least, most = _reach(node, figures, bias, valves.bias)
    volts = abs(wanted.volts)
    spread = limits.value(f"{ID}.spread")
    usual = share(limits.value("valve-dissipation.usual-idle"))
    goal = f"{usual} of the anode rating" if wanted.held_back else "the idle current given"
    why = (
        f"{shown(-volts, 'V')} wanted for {goal}; here the pot reaches "
        f"{shown(-least, 'V')} to {shown(-most, 'V')}."
    )
    source = _RANGE if wanted.law is None else f"{_RANGE}; {wanted.law}"
    cold = against_upper(
        ID,
        bias,
        figures.name,
        volts,
        most,
        "V",
        why=why,
        source=source,
        practice=1 - spread,
        guessed=wanted.law is not None,
        hopeful=volts,
        change="Raise the resistor in the earthy leg of the pot, so that it goes more negative.",
    )
    hot = against_lower(
        ID,
        bias,
        figures.name,
        volts,
        least,
        "V",
        why=why,
        source=source,
        practice=1 + spread,
        guessed=wanted.law is not None,
        hopeful=volts,
        change="Lower the resistor in the earthy leg of the pot, so that it goes less negative.",
    )
    if hot.verdict == "over":
        hot = ratings.softened(hot, "the valves then idle cold, which harms nothing")
    return worst([cold, hot])
