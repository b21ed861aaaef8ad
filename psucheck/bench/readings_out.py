"""Writing readings to a file that can be read back."""

from __future__ import annotations

import math
from collections.abc import Sequence

from psucheck.bench.names import PLUG_IN
from psucheck.bench.reading import Reading

_DIGITS = 6


def readings_toml(readings: Sequence[Reading], title: str) -> str:
    """Readings in their TOML form, a table a step, each with its own wall volts."""
    lines = [f"# Readings of: {' '.join(title.split())}"]
    steps: dict[str, list[Reading]] = {}
    for reading in readings:
        steps.setdefault(reading.step + (PLUG_IN if reading.plug_in else ""), []).append(reading)
    for step, taken in steps.items():
        lines += ["", f'["{step}"]']
        walls = [reading.wall for reading in taken if reading.wall is not None]
        usual = max(set(walls), key=walls.count) if walls else None
        if usual is not None:
            lines.append(f'wall = "{usual:g} V"')
        for reading in taken:
            own = "" if reading.wall in (usual, None) else f', wall = "{reading.wall:g} V"'
            value = f'"{_words(reading)}"'
            lines.append(f'"{reading.point}" = ' + (f"{{ value = {value}{own} }}" if own else value))
    return "\n".join(lines) + "\n"


def _words(reading: Reading) -> str:
    """A value in plain digits: exponents are no notation of the trade."""
    if math.isinf(reading.value):
        return "open"
    value = float(f"{reading.value:.{_DIGITS}g}")
    decimals = max(_DIGITS - 1 - math.floor(math.log10(abs(value))), 0) if value else 0
    digits = f"{value:.{decimals}f}"
    return f"{digits.rstrip('0').rstrip('.') if '.' in digits else digits} {reading.unit}"
