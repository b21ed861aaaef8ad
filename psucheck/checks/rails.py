"""The drawing as the rules need it: what feeds a node, which nodes are reservoirs, where capacitors are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from psucheck.checks.case import Case
from psucheck.figures.model import Figures
from psucheck.supply import topology
from psucheck.supply.model import Capacitor, Supply


def path(supply: Supply, node: str) -> list[str]:
    """The nodes from the one at the rectifier down to ``node``, both included."""
    fed, way = topology.parents(supply), [node]
    while fed[way[-1]].kind in ("node", "node middle"):
        way.append(fed[way[-1]].name)
    return way[::-1]


def is_bias(supply: Supply, node: str) -> bool:
    """Whether a node carries a negative bias rather than HT."""
    return topology.is_negative(supply, node) or any(load.bias == node for load in supply.loads.values())


def is_reservoir(supply: Supply, node: str) -> bool:
    """Whether a node is the first capacitor of an HT rectifier, with no choke before it."""
    source, part = topology.parents(supply)[node], supply.filter[node]
    if source.kind != "rectifier" or is_bias(supply, node) or topology.is_low_voltage(supply, node):
        return False
    pair = supply.rectifiers[source.name].capacitors
    return part.choke is None and (part.capacitor is not None or pair is not None)


@dataclass(frozen=True, slots=True)
class Placed:
    """A capacitor where it stands.

    ``subject`` is its name in the description and in the figures; ``coupling`` marks the series capacitor
    that feeds a bias rectifier: a film part, not an electrolytic. ``joint_held`` marks a string whose joint
    is tied to the winding's centre tap. ``rectifier`` feeds it.
    """

    subject: str
    capacitor: Capacitor
    rectifier: str
    coupling: bool = False
    joint_held: bool = False

    def volts(self, figures: Figures) -> float | None:
        """Highest volts over the whole string in a condition, or None where it has no figures."""
        found = figures.capacitors.get(self.subject)
        return None if found is None else found.max_volts


def capacitors(supply: Supply) -> Iterator[Placed]:
    """Every capacitor of the supply: in doublers, in front of bias rectifiers, on nodes."""
    held = {(part.centre_tap or "").removesuffix(" middle") for part in supply.rectifiers.values()}
    for name, rectifier in supply.rectifiers.items():
        for end, capacitor in zip(("upper", "lower"), rectifier.capacitors or (), strict=False):
            yield Placed(f"rectifiers.{name} {end}", capacitor, name)
        if isinstance(rectifier.feed, Capacitor):
            yield Placed(f"{name} feed", rectifier.feed, name, coupling=True)
    for name, node in supply.filter.items():
        if node.capacitor is not None:
            behind = topology.rectifier_of(supply, name)
            yield Placed(name, node.capacitor, behind, joint_held=name in held)


def off_load_guessed(case: Case, rectifier: str) -> bool:
    """Whether the off-load volts behind a rectifier rest on a guess.

    They do where the winding is rated under load and the regulation or copper that leads from there to its
    off-load volts was not given.
    """
    winding = case.supply.rectifiers[rectifier].winding
    if case.supply.windings[winding].off_load_at is not None:
        return False
    return case.guessed(f"windings.{winding}.", "transformer.primary.resistance", "transformer.regulation")


def least_off_load_share(case: Case, rectifier: str, figures: Figures) -> float:
    """The least that a voltage can be, as a share [1] of the one simulated: with no regulation at all.

    1 where no guess is involved. A winding rated under load reads at least its rated volts without load,
    whatever its copper.
    """
    if not off_load_guessed(case, rectifier):
        return 1.0
    name = case.supply.rectifiers[rectifier].winding
    rated = sum(case.supply.windings[name].volts) * figures.mains / case.supply.transformer.primary.voltage
    simulated = figures.windings[name].volts if name in figures.windings else 0.0
    return min(1.0, rated / simulated) if simulated > 0 else 0.0
