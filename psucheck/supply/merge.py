"""``[new]``: what changes, laid over the supply as found.

Tables that describe an object as a whole (the transformer, its windings, a capacitor, a rectifying device, a
fuse) are replaced whole, since a new one has nothing from the old. The mains, rectifiers, filter nodes and
loads are merged key by key. ``"none"`` takes out what stood there.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from psucheck.supply import notation
from psucheck.supply.canonical import Canonical
from psucheck.supply.errors import Fault
from psucheck.supply.notation import NotationError
from psucheck.supply.toml_positions import Path

_WHOLE = ("title", "valves", "transformer", "windings")
_BY_KEY = ("rectifiers", "filter", "loads")
_OF_THE_OLD_MAINS = ("system", "low", "high", "wall", "impedance")
_NONE = "none"


def proposed(found: Canonical, is_silicon: Callable[[Any], bool]) -> tuple[Canonical, list[Fault]]:
    """Lay ``[new]`` over the rest of a description.

    Parameters
    ----------
    found
        The whole description, with ``new`` in its tree.
    is_silicon
        Tells whether a device, as the tree holds it, is silicon: its old heater winding is then unused.

    Returns
    -------
    tuple[Canonical, list[Fault]]
        The supply as proposed, and what is wrong with ``[new]`` itself.
    """
    merge = _Merge(found, is_silicon)
    new = found.tree["new"]
    if not isinstance(new, dict):
        return merge.made, [Fault(found.where(("new",)), "a table is wanted here: [new] with what changes")]
    if not new and not any(path[:1] == ("new",) for path in found.lost):
        merge.faults.append(Fault(found.where(("new",)), "[new] is empty: it holds what changes"))
    for section in new:
        merge.section(section)
    return merge.made, merge.faults


class _Merge:
    def __init__(self, found: Canonical, is_silicon: Callable[[Any], bool]) -> None:
        self.found = found
        self.is_silicon = is_silicon
        self.faults: list[Fault] = []
        self.made = Canonical(
            tree={key: _copy(value) for key, value in found.tree.items() if key != "new"},
            origin={path: spelled for path, spelled in found.origin.items() if path[:1] != ("new",)},
            lost={path for path in found.lost if path[:1] != ("new",)},
            bare={path for path in found.bare if path[:1] != ("new",)},
        )
        self.made.lost |= {path[1:] for path in found.lost if path[:1] == ("new",)}

    def section(self, name: str) -> None:
        new, old = self.found.tree["new"][name], self.made.tree.get(name)
        if name == "parts":
            said = "one parts file holds for the supply as found and as proposed: parts stands at the top"
            self.faults.append(Fault(self.found.where(("new", "parts")), said, at_key=True))
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
                self.remove(("mains", key))
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
                self.remove((section, name, key))
        if section == "rectifiers" and "heater" not in new and self.is_silicon(new.get("device")):
            self.remove((section, name, "heater"))
        for key, value in new.items():
            self.put((section, name, key), value)

    def no_reading(self, node: str, new: Any) -> None:
        if isinstance(new, dict) and "was" in new:
            said = '"was" belongs to the supply as found; what the new one should hold is its target'
            self.faults.append(Fault(self.found.where(("new", "filter", node, "was")), said))
            new.pop("was")

    def put(self, path: Path, value: Any) -> None:
        self.remove(path)
        if value == _NONE and path != ("transformer",):
            return
        tree: Any = self.made.tree
        for part in path[:-1]:
            tree = tree[part]
        tree[path[-1]] = value
        beyond = ("new", *path)
        for before, spelled in self.found.origin.items():
            if before[: len(beyond)] == beyond:
                self.made.origin[before[1:]] = spelled
        self.made.origin.setdefault(path, self.found.where(beyond))
        self.made.bare |= {before[1:] for before in self.found.bare if before[: len(beyond)] == beyond}

    def remove(self, path: Path) -> None:
        tree: Any = self.made.tree
        for part in path[:-1]:
            tree = tree.get(part, {})
        tree.pop(path[-1], None)
        under = len(path)
        self.made.origin = {p: spelled for p, spelled in self.made.origin.items() if p[:under] != path}
        self.made.bare = {p for p in self.made.bare if p[:under] != path}


def _copy(value: Any) -> Any:
    return {key: _copy(inner) for key, inner in value.items()} if isinstance(value, dict) else value


def _expanded(node: Any) -> Any:
    """A node's table form; a short form that cannot be read stays, and is refused when it is validated."""
    if not isinstance(node, str) or node == _NONE:
        return _copy(node)
    try:
        return notation.node(node)
    except NotationError:
        return node
