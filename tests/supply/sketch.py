"""Small descriptions for the tests of what is filled in: an amplifier, section by section."""

from __future__ import annotations

from psucheck.supply.assumptions import Assumption
from psucheck.supply.fill import fill
from psucheck.supply.filled import FilledSupply
from psucheck.supply.model import Supply
from psucheck.supply.reader import parse_description

SECTIONS = {
    "top": 'title = "A sketch"\nvalves = "2 x EL34, 3 x ECC83"',
    "mains": '[mains]\nvoltage = "230 V"\nfrequency = "50 Hz"\nsystem = "UK"\nwall = "240 V"',
    "transformer": '[transformer]\nprimary = "230 V, 8 ohm"',
    "windings": (
        "[windings]\n"
        'ht = "300-0-300 V off load at 240 V, 36 + 38 ohm, 320 mA"\n'
        'heaters = "6.9 V off load at 240 V, 5 A"'
    ),
    "rectifiers": '[rectifiers.ht]\ncircuit = "centre-tapped"\nwinding = "ht"\ndevice = "1N4007"',
    "filter": (
        "[filter]\n"
        'reservoir = "50 uF 500 V, was 400 V"\n'
        'screens = "choke 10 H 100 ohm 180 mA, 50 uF 500 V, was 396 V"\n'
        'preamp = "10k 1 W, 22 uF 450 V, was 330 V"'
    ),
    "output": (
        "[loads.output]\n"
        'valves = "2 x EL34"\n'
        'anodes = "reservoir"\n'
        'screens = "screens"\n'
        'bias = "-36 V"\n'
        'idle = "38 mA each at the cathode"\n'
        'output_transformer = "38 + 42 ohm"\n'
        'screen_resistors = "1k 5 W"'
    ),
}
"""A section is replaced by naming it, left out by an empty text, and added under a name of its own."""


def text(**sections: str) -> str:
    """The description with ``sections`` in place of its own."""
    return "\n".join((SECTIONS | sections).values())


def read(**sections: str) -> Supply:
    """That description, read."""
    return parse_description(text(**sections), "sketch").found


def filled(**sections: str) -> FilledSupply:
    """That description, completed."""
    return fill(read(**sections))


def notes(supply: FilledSupply) -> dict[str, Assumption]:
    """Key -> what was assumed for it; a key that was assumed twice fails."""
    found = {note.key: note for note in supply.assumptions}
    assert len(found) == len(supply.assumptions)
    return found
