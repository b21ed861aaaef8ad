"""What can go wrong in the parts room: a name that is not held, or a data file that breaks its own rules."""

from __future__ import annotations

from collections.abc import Sequence


class UnknownPart(LookupError):
    """A part's name is not in the library.

    Attributes
    ----------
    name : str
        What was asked for.
    kind : str
        What it was asked for as, e.g. "rectifier valve".
    nearest : list[str]
        Names of that kind that come nearest, best first; may be empty.
    """

    def __init__(self, name: str, kind: str, nearest: Sequence[str]) -> None:
        self.name = name
        self.kind = kind
        self.nearest = list(nearest)
        hint = f"; nearest: {', '.join(self.nearest)}" if self.nearest else ""
        super().__init__(f"no {kind} named {name!r} is held{hint}")


class NotTabulated(LookupError):
    """A standard or a sheet has no row for what was asked, e.g. a fuse rating outside every gate."""


class BadPartsData(ValueError):
    """A data file has an unknown key, a value without source or status, or a name used twice.

    Attributes
    ----------
    file : str
        Name of the data file.
    faults : tuple[str, ...]
        One line a fault, each beginning with the dotted key.
    """

    def __init__(self, file: str, faults: Sequence[str]) -> None:
        self.file = file
        self.faults = tuple(faults)
        super().__init__("\n".join(f"{file}: {fault}" for fault in self.faults))
