"""Parts of one kind, found by name or alias."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches
from typing import Generic, TypeVar

from psucheck.parts.errors import BadPartsData, UnknownPart
from psucheck.parts.sourced import Part

P_co = TypeVar("P_co", bound=Part, covariant=True)
_IDLE = re.compile(r"[\s_/-]+")


def plain(name: str) -> str:
    """A part's name without case, spaces, hyphens and strokes: "6CA4", "6ca4" and "6-CA4" are one name."""
    return _IDLE.sub("", name).casefold()


def _agreement(asked: str, held: str) -> int:
    """Characters in the same place plus characters in common: a swap or one wrong digit costs least."""
    same_place = sum(one == other for one, other in zip(asked, held, strict=False))
    return same_place + (Counter(asked) & Counter(held)).total()


def nearest_names(name: str, spelt: Mapping[str, str], most: int = 3) -> list[str]:
    """Of ``spelt`` (plain name -> as it is spelt) those nearest to ``name``, best first.

    First those that it begins, then those that look like it.
    """
    asked = plain(name)
    begun = [key for key in spelt if asked and key.startswith(asked)]
    alike = get_close_matches(asked, spelt, n=3 * most, cutoff=0.5)
    alike.sort(key=lambda key: _agreement(asked, key), reverse=True)
    return [spelt[key] for key in dict.fromkeys([*begun, *alike])][:most]


class Catalogue(Generic[P_co]):
    """Parts of one kind.

    Parameters
    ----------
    kind : str
        What they are, for errors, e.g. "rectifier valve".
    parts : iterable of Part
        The parts.
    file : str
        Name of the data file they come from, for errors.
    before : iterable of iterables of Part
        The user's own parts, a file each: what stands in the first is found before what stands in the second,
        and both before ``parts``. They are known to be sound.

    Raises
    ------
    BadPartsData
        Two of ``parts`` share a name or an alias.
    """

    def __init__(
        self, kind: str, parts: Iterable[P_co], file: str, before: Iterable[Iterable[P_co]] = ()
    ) -> None:
        self.kind = kind
        self._by_name: dict[str, P_co] = {}
        self._spelt: dict[str, str] = {}
        faults = []
        for part in parts:
            for name in (part.name, *part.aliases):
                if plain(name) in self._by_name:
                    faults.append(f"{part.name}: the name {name!r} is used twice")
                self._by_name[plain(name)] = part
                self._spelt[plain(name)] = name
        if faults:
            raise BadPartsData(file, faults)
        for own in reversed([list(layer) for layer in before]):
            for part in own:
                for name in (part.name, *part.aliases):
                    self._by_name[plain(name)] = part
                    self._spelt[plain(name)] = name

    def __iter__(self) -> Iterator[P_co]:
        """The parts, each once, in the file's order."""
        return iter({id(part): part for part in self._by_name.values()}.values())

    def __contains__(self, name: str) -> bool:
        return plain(name) in self._by_name

    def names(self) -> list[str]:
        """Every name and alias as it is spelt."""
        return list(self._spelt.values())

    def __getitem__(self, name: str) -> P_co:
        """The part of that name or alias.

        Raises
        ------
        UnknownPart
            There is none.
        """
        try:
            return self._by_name[plain(name)]
        except KeyError:
            raise UnknownPart(name, self.kind, self.nearest(name)) from None

    def nearest(self, name: str, most: int = 3) -> list[str]:
        """Names that come nearest to ``name``, best first: those it begins, then those that look like it."""
        return nearest_names(name, self._spelt, most)
