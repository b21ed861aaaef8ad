"""A supply that is checked in a second: a bridge, two nodes, a current that is drawn."""

from __future__ import annotations

from psucheck.supply.model import Description
from psucheck.supply.reader import parse_description

TEXT = """
title = "small"

[mains]
voltage = "230 V"
frequency = "50 Hz"
system = "EU"

[transformer]
primary = "230 V, 12 ohm"

[windings]
ht = "250 V 120 mA, 60 ohm"

[rectifiers.ht]
circuit = "bridge"
winding = "ht"
device = "1N4007"

[filter]
reservoir = "47 uF 450 V"
preamp = "10k 2 W, 22 uF 450 V"

[loads.preamp]
node = "preamp"
current = "5 mA"

[fuses]
mains = "T630mAH250V"
"""


def small(**changes: str) -> Description:
    """It, with texts replaced: ``small(reservoir="100 uF 400 V")``."""
    lines = TEXT.splitlines()
    for name, value in changes.items():
        lines = [f'{name} = "{value}"' if line.startswith(f"{name} = ") else line for line in lines]
    return parse_description("\n".join(lines), "small.toml")
