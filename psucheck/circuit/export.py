"""A deck as a netlist for anybody's ngspice: commented line by line, with its analysis and its figures."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np

from psucheck.circuit.deck import Deck, check_deck, options_line
from psucheck.circuit.network import Network

_PLAIN = re.compile(r"[^A-Za-z0-9 .,:;()+%/=<>_-]")
"""What may not stand in a comment: it may hold the user's names, and those stay inert text."""


def plain(text: str) -> str:
    """``text`` with everything that could mean something to a simulator taken out."""
    return " ".join(_PLAIN.sub(" ", text).split())[:120]


def export(
    title: str,
    condition: str,
    network: Network,
    deck: Deck,
    states: np.ndarray,
    seconds: float,
    max_step: float,
    notes: Sequence[str] = (),
) -> str:
    """The netlist as text.

    Parameters
    ----------
    states
        Where the run starts [SI], in the deck's order: for a steady condition the periodic steady state.
    seconds, max_step
        Length of the run and its longest step [s].
    notes
        What a reader has to know besides, a line each.
    """
    start = dict(zip((state.capacitor for state in deck.states), states, strict=True))
    lines = [f"* {plain(title)}", f"* {plain(condition)}", "* Node 0 is the chassis. Values are SI."]
    lines += [f"* {plain(note)}" for note in notes]
    for name, node in network.layout.nodes.items():
        lines.append(f"* {node} is {plain(name)}")
    for line, says in zip(deck.lines, deck.says, strict=True):
        lines += [f"* {plain(says)}", _started(line, start)]
    lines += ["* accuracy as psucheck runs it", options_line()]
    lines += ["* from the states given above, no operating point is sought"]
    lines += [f".tran {max_step!r} {seconds!r} 0 {max_step!r} uic"]
    lines += _measures(network, seconds)
    lines.append(".end")
    check_deck(lines)
    return "\n".join(lines) + "\n"


def _started(line: str, start: Mapping[str, float]) -> str:
    name = line.split(" ", 1)[0].lower()
    if name not in start:
        return line
    return re.sub(r"ic=\S+", f"ic={float(start[name])!r}", line)


def _measures(network: Network, seconds: float) -> list[str]:
    """What ngspice prints at the end of a batch run: mean, peak-to-peak and extremes of each node."""
    lines = ["* figures that ngspice prints: mean, ripple peak to peak, highest"]
    span = f"from=0 to={seconds!r}"
    for name, node in network.layout.nodes.items():
        lines.append(f"* of {plain(name)}")
        lines += [f".meas tran {node}_{what} {kind} v({node}) {span}" for what, kind in
                  (("mean", "avg"), ("ripple", "pp"), ("highest", "max"))]  # fmt: skip
    return lines
