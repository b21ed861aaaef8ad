"""Names that the user gives, and references to them."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from psucheck.supply import synonyms
from psucheck.supply.errors import Fault, quoted
from psucheck.supply.toml_positions import Path

LONGEST_NAME = 40

_SECTIONS = ("windings", "rectifiers", "filter", "loads")
_REFERENCES = frozenset(
    {"winding", "heater", "end", "centre_tap", "from", "anodes", "screens", "bias", "node", "place"}
)
_VOLTS = re.compile(r"[+-]?[0-9.]+ ?m?v")


@dataclass(slots=True)
class Names:
    """All names of a description, those in ``[new]`` included."""

    of_section: dict[str, set[str]] = field(default_factory=dict)

    @classmethod
    def of(cls, raw: dict[str, Any]) -> Names:
        """The names in a tree as it was read, in lower case."""
        made = cls({section: set() for section in _SECTIONS})
        new = raw.get("new")
        for tree in (raw, new if isinstance(new, dict) else {}):
            for spelled, table in tree.items():
                section = synonyms.key("Supply", spelled)
                if section in _SECTIONS and isinstance(table, dict):
                    made.of_section[section] |= {name.lower() for name in table}
        return made

    def every(self) -> set[str]:
        """The names of all sections."""
        return set().union(*self.of_section.values())

    def place(self, spelled: str) -> str:
        """A place ("before B+") with the names in it as the description spells them."""
        return synonyms.reference(spelled, self.every())

    def reference(self, text: str, path: Path) -> str:
        """The text at a path; a reference comes back with the name as the description spells it."""
        refers = path[-1] in _REFERENCES and "device" not in path
        sections = (*_SECTIONS, "switches", "elevation", "new")
        if not (refers and path[0] in sections) and path[-2:-1] != ("switches",):
            return text
        meant = synonyms.reference(text, self.every())
        known = meant in ("cathode", "a", "b") or any(_holds(meant, name) for name in self.every())
        return meant if known else text


def _holds(text: str, name: str) -> bool:
    return re.search(rf"(?<![^\s.]){re.escape(name)}(?!\S)", text) is not None


def name_fault(name: str, path: Path, here: Path) -> Fault | None:
    """What is wrong with a name.

    Parameters
    ----------
    name
        The name as the file spells it.
    path
        Path of the table in which it stands, in the model's words.
    here
        The name's own path in the file.

    Returns
    -------
    Fault | None
        With ``nearest`` set where the name serves once it is spelled so.
    """
    section = path[-1] if path else ""
    if any(not sign.isprintable() for sign in name) or not name.strip():
        return Fault(here, "a name is one line of visible signs", name, at_key=True)
    if len(name) > 2 * LONGEST_NAME or (len(name) > LONGEST_NAME and section in _SECTIONS):
        return Fault(here, f"a name has at most {LONGEST_NAME} characters", name, at_key=True)
    if section not in (*_SECTIONS, "switches") and "windings" not in path:
        return None  # places, mains taps and accepted findings are no names; others look at them
    if name != name.strip():
        return Fault(here, f"the name {quoted(name)} begins or ends with a space", name, at_key=True)
    if name != name.lower():
        return Fault(
            here, f"the name {quoted(name)}: names are lower case", name, "", name.lower(), at_key=True
        )
    taken = synonyms.RESERVED_NAMES.get(name)
    if taken:
        return Fault(here, f"the name {quoted(name)} is taken: it means {taken}", name, at_key=True)
    if (
        name.endswith(" middle")
        or name.startswith("rectifiers.")
        or (section == "filter" and _VOLTS.fullmatch(name))
    ):
        return Fault(here, f"the name {quoted(name)} could be read as something else", name, at_key=True)
    return None
