"""``[new]``: what changes, laid over the supply as found.

Tables that describe an object as a whole (the transformer, its windings, a capacitor, a rectifying device, a
fuse) are replaced whole, since a new one has nothing from the old. The mains, rectifiers, filter nodes and
loads are merged key by key. ``"none"`` takes out what stood there.
"""

from __future__ import annotations

from typing import Any

from psucheck.parts import UnknownPart, library
from psucheck.parts.rectifiers import Diode
from psucheck.supply import notation
from psucheck.supply.canonical import Canonical
from psucheck.supply.errors import Fault
from psucheck.supply.model import Device
from psucheck.supply.shape import of_description
from psucheck.supply.toml_positions import Path

_WHOLE = ("title", "valves", "transformer", "windings")
_BY_KEY = ("rectifiers", "filter", "loads")
_OF_THE_OLD_MAINS = ("system", "low", "high", "wall", "impedance")
NONE = "none"
"""Takes out what stood there."""
_NODE = of_description().under("filter").under("any node")


def proposed(found: Canonical) -> tuple[Canonical, list[Fault]]:
    """Lay ``[new]`` over the rest of a description.

    Parameters
    ----------
    found
        The whole description, with ``new`` in its tree.

    Returns
    -------
    tuple[Canonical, list[Fault]]
        The supply as proposed, and what is wrong with ``[new]`` itself.
    """
    merge = _Merge(found)
    new = found.tree["new"]
    if not isinstance(new, dict):
        return merge.made, [Fault(found.where(("new",)), "a table is wanted here: [new] with what changes")]
    if not new and not any(path[:1] == ("new",) for path in found.lost):
        merge.faults.append(Fault(found.where(("new",)), "[new] is empty: it holds what changes"))
    for section in new:
        merge.section(section)
    return merge.made, merge.faults


class _Merge:
    def __init__(self, found: Canonical) -> None:
        self.found = found
        self.faults: list[Fault] = []
        self.made = found.copy()
        self.made.faults.clear()
        self.made.remove(("new",))
        self.made.lost = {path for path in found.lost if path[:1] != ("new",)}
        self.made.lost |= {path[1:] for path in found.lost if path[:1] == ("new",)}

    def section(self, name: str) -> None:
        new, old = self.found.tree["new"][name], self.made.tree.get(name)
        if name in ("parts", "limits"):
            said = f"one {name} file holds for the supply as found and as proposed: {name} stands at the top"
            self.faults.append(Fault(self.found.where(("new", name)), said, at_key=True))
            return
        if name in _WHOLE or not isinstance(new, dict) or not isinstance(old, dict):
            self.put((name,), new)
        elif name == "mains":
            self.mains(new)
        elif name in _BY_KEY:
            for key, table in new.items():
                self.entry(name, key, table)
        else:
            for key, value in new.items():
                self.put((name, key), value)

    def mains(self, new: dict[str, Any]) -> None:
        if "voltage" in new:
            # Another mains: its range, its impedance and what the wall read do not carry over.
            for key in _OF_THE_OLD_MAINS:
                self.made.remove(("mains", key))
        for key, value in new.items():
            self.put(("mains", key), value)

    def entry(self, section: str, name: str, new: Any) -> None:
        old = self.made.tree[section].get(name)
        if section == "filter":
            new, old = _expanded(new), _expanded(old)
            self.no_reading(name, new)
        if not isinstance(new, dict) or not isinstance(old, dict):
            self.put((section, name), new)
            return
        self.made.tree[section][name] = old
        if section == "filter" and ("choke" in new or "resistor" in new):
            # What leads to the node is one thing: a resistor put in takes the place of the choke.
            for key in ("choke", "resistor"):
                self.made.remove((section, name, key))
        if section == "rectifiers" and "heater" not in new and is_silicon(new.get("device")):
            self.made.remove((section, name, "heater"))
        for key, value in new.items():
            self.put((section, name, key), value)

    def no_reading(self, node: str, new: Any) -> None:
        if isinstance(new, dict) and "was" in new:
            said = '"was" belongs to the supply as found; what the new one should hold is its target'
            self.faults.append(Fault(self.found.where(("new", "filter", node, "was")), said))
            new.pop("was")

    def put(self, path: Path, value: Any) -> None:
        if value == NONE and path != ("transformer",):
            self.made.remove(path)
            return
        self.made.put(path, value)
        beyond = ("new", *path)
        for before, spelled in self.found.origin.items():
            if before[: len(beyond)] == beyond:
                self.made.origin[before[1:]] = spelled
        self.made.origin.setdefault(path, self.found.where(beyond))
        self.made.bare |= {before[1:] for before in self.found.bare if before[: len(beyond)] == beyond}


def _expanded(node: Any) -> Any:
    """A node's table form; a short form that cannot be read stays, and is refused when it is validated."""
    if node == NONE:
        return node
    return dict(node) if isinstance(node, dict) else _NODE.expanded(node)


def is_silicon(device: Any) -> bool:
    """Whether a device, in its short or table form, is silicon; False where that cannot be told."""
    try:
        described = Device.model_validate(notation.device(device) if isinstance(device, str) else device)
        if described.kind is not None:
            return described.kind == "silicon"
        return isinstance(library().rectifier(described.type or ""), Diode)
    except (ValueError, UnknownPart):
        return False
