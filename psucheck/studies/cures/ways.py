"""What a way of mending something is given, and what it puts forward."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limits
from psucheck.figures.model import Figures
from psucheck.report import view
from psucheck.report.view import Report
from psucheck.supply import topology
from psucheck.supply.model import Capacitor, Supply


@dataclass(frozen=True)
class Trouble:
    """A finding that is over or marginal, and the report that it stands in."""

    finding: Finding
    report: Report
    limits: Limits

    @property
    def supply(self) -> Supply:
        """The supply that was checked, the proposed one where there is one."""
        return self.report.supply

    @property
    def figure(self) -> float:
        """The finding's figure, SI; 0 where it has none, so that nothing is put forward for it."""
        return self.finding.figure or 0.0

    @property
    def limit(self) -> float:
        """The finding's limit, SI; 0 where it has none."""
        return self.finding.limit or 0.0

    def at(self, state: str = "idle") -> Figures | None:
        """The figures of a state at the level of the report's tables."""
        return next(
            (
                figures
                for figures in self.report.figures.values()
                if figures.state == state and figures.level == view.table_level(self.report)
            ),
            None,
        )

    def capacitor(self) -> tuple[str, Capacitor] | None:
        """Path and part of the capacitor that the finding is about; None for the film part of a bias."""
        subject = self.finding.subject
        node = self.supply.filter.get(subject)
        if node is not None and node.capacitor is not None:
            return f"filter.{subject}", node.capacitor
        for name, rectifier in self.supply.rectifiers.items():
            for index, end in enumerate(("upper", "lower")):
                if subject == f"rectifiers.{name} {end}" and rectifier.capacitors is not None:
                    return f"rectifiers.{name}.capacitors[{index}]", rectifier.capacitors[index]
        return None

    def first_node(self, rectifier: str) -> str | None:
        """The node with the capacitor that a rectifier charges directly."""
        for name in topology.first_nodes(self.supply, rectifier):
            node = self.supply.filter[name]
            if node.capacitor is not None and node.choke is None:
                return name
        return None


@dataclass(frozen=True, slots=True)
class Candidate:
    """A change that may mend something.

    Attributes
    ----------
    changes
        By path, as :func:`psucheck.supply.changes.changed` takes them; None takes something out.
    says
        The change in words, where its paths and values do not speak for themselves.
    """

    changes: Mapping[str, str | None]
    says: str = ""

    @property
    def words(self) -> str:
        """The change for a technician: ``change filter.reservoir to "50 uF 550 V"``."""
        if self.says:
            return self.says
        said = [f'change {path} to "{value}"' for path, value in self.changes.items()]
        return " and ".join(said)


Make = Callable[[Trouble], Iterator[Candidate]]


@dataclass(frozen=True, slots=True)
class Way:
    """One way of mending: what it changes, in the trade's words, and what it puts forward, smallest first."""

    what: str
    make: Make
    most: int = 3
    """Candidates of it that are tried at most."""
