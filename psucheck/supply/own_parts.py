"""The user's own parts file: read with the place of every fault, and named wherever a part of it is used."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path as FilePath

from psucheck.parts import shipped
from psucheck.parts.catalogue import Catalogue
from psucheck.parts.own import BadOwnParts, OwnParts, read_own
from psucheck.parts.shelves import Library
from psucheck.parts.sourced import Part
from psucheck.supply.model import Device, Supply
from psucheck.supply.own_file import read_own_file, shown_of_home

Used = tuple[Catalogue[Part], Catalogue[Part], str]
"""Where a name is looked up, where it would be without own parts, and the name."""


def read_own_parts(path: FilePath, behind: Library, shown: str | None = None) -> OwnParts:
    """Read a parts file.

    Parameters
    ----------
    path
        The file.
    behind
        The library that is asked after it.
    shown
        Its name as outputs are to show it; the path if not given.

    Raises
    ------
    DescriptionError
        If it cannot be used, with everything that is wrong with it.
    """
    file = read_own_file(path, "a parts file")
    try:
        return read_own(file.tables, shown or str(path), behind)
    except BadOwnParts as bad:
        raise file.refused(bad.faults) from None


def library_with(file: FilePath | None, user_parts: FilePath | None, shown: str | None = None) -> Library:
    """The library with own parts before it: those of ``file`` first, then those of ``user_parts``.

    Parameters
    ----------
    file
        A parts file that a description names.
    user_parts
        A parts file that holds for every description.
    shown
        Name of ``file`` as outputs are to show it; the path if not given.

    Raises
    ------
    DescriptionError
        If one of them cannot be used.
    """
    library = shipped()
    if user_parts is not None:
        library = Library((read_own_parts(user_parts, library, shown_of_home(user_parts)),))
    if file is not None:
        library = Library((read_own_parts(file, library, shown), *library.own))
    return library


# --- what of it is used -----------------------------------------------------------------------------------


def own_parts_used(supply: Supply) -> tuple[str, ...]:
    """A sentence for each own part that a supply names: ``GZ34 from my-parts.toml, in place of ...``."""
    held = supply.library
    if held is None:
        return ()
    said: dict[str, None] = {}
    for catalogue, without, name in _named(supply, held, shipped()):
        file = held.file_of(catalogue[name]) if name in catalogue else None
        if file is not None:
            instead = ", in place of the library's own" if name in without else ""
            said[f"{catalogue[name].name} from {file}{instead}"] = None
    return tuple(said)


def _named(supply: Supply, held: Library, without: Library) -> Iterator[Used]:
    """Every part that a supply names by its type."""
    if supply.mains.system is not None:
        yield held.mains_systems, without.mains_systems, supply.mains.system
    counted = [*supply.valves, *(one for load in supply.loads.values() for one in load.valves or ())]
    for one in counted:
        yield held.load_valves, without.load_valves, one.type
    for rectifier in supply.rectifiers.values():
        for device in (rectifier.device, rectifier.clamp):
            for name in _types(device):
                yield held.rectifier_valves, without.rectifier_valves, name
                yield held.diodes, without.diodes, name
    for limiter in supply.limiters.values():
        if limiter.type is not None:
            yield held.ntcs, without.ntcs, limiter.type


def _types(device: Device | None) -> Iterator[str]:
    if device is None:
        return
    if device.type is not None:
        yield device.type
    if device.backup is not None and device.backup.type is not None:
        yield device.backup.type
