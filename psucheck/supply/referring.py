"""What the looks at references share: noting a fault by its path, and looking a name up."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from typing import Any

from psucheck.parts import UnknownPart
from psucheck.supply.draft import UNREAD, Draft, table_of
from psucheck.supply.errors import Fault, listed, nearest, quoted
from psucheck.supply.model import Supply
from psucheck.supply.toml_positions import Path

_WHAT = {"windings": "winding", "rectifiers": "rectifier", "filter": "node of the filter", "loads": "load"}


@dataclass(slots=True)
class Referring:
    """A draft under examination and the faults found in it.

    Attributes
    ----------
    draft
        What could be read.
    faults
        What refers to nothing, or to what does not fit.
    """

    draft: Draft
    faults: list[Fault] = field(default_factory=list)

    @property
    def supply(self) -> Supply:
        """The supply of the draft."""
        return self.draft.supply

    def fault(self, path: Path, message: str, **more: Any) -> None:
        """Note a fault at a path in the model's words; ``more`` are further fields of :class:`Fault`.

        In a table of which only a part could be read, nothing is said but that a name is unknown: all
        else may follow from what is left out.
        """
        if table_of(path) in self.draft.faulty and not more.get("read"):
            return
        if more.get("read") == UNREAD and table_of(path) in self.draft.faulty:
            return
        self.faults.append(Fault(self.draft.where(path), message, **more))

    def named(self, section: str, name: str, path: Path, *, column: int | None = None) -> bool:
        """Whether a section holds a name that the value at ``path`` refers to; a fault if it does not."""
        if not self.draft.readable(section):
            return False  # the section itself is missing or unreadable, which has been said
        names: Collection[str] = getattr(self.supply, section)
        if name in names:
            return self.draft.sound(section, name)
        self.fault(
            path,
            f"no {_WHAT[section]} is called {quoted(name)}",
            read=name,
            allowed=listed(names),
            nearest=nearest(name, names),
            about=section,
            column=column,
        )
        return False

    def part(
        self, look_up: Callable[[str], object], name: str, path: Path, what: str, else_: str = ""
    ) -> None:
        """Look a part up in the library; a fault if it is not held."""
        try:
            look_up(name)
        except UnknownPart as unknown:
            hint = f"; {else_}" if else_ else ""
            near = unknown.nearest[0] if unknown.nearest else ""
            said = f"{what} {quoted(name)} is not in the part library{hint}"
            self.fault(path, said, read=name, nearest=near)
