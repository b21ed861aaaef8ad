"""Pulses and fuses, as fuse makers work them out.

Sources: Littelfuse's pages on fuse selection (read) and its Fuseology (worked example, from memory); the
data sheet of Matsuo's JHC (read).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from psucheck.checks import fuse_inrush
from psucheck.checks.fuse_gates import gates, hold
from psucheck.figures.model import PlaceFigures
from psucheck.figures.trace import i2t
from psucheck.parts import library
from psucheck.supply import notation
from psucheck.supply.model import Fuse
from tests.accuracy import Accuracy
from tests.checks import cases
from tests.checks.rules import judged, with_place

SELECTION = "Littelfuse, fuse selection (pulses)"
FUSEOLOGY = "Littelfuse, Fuseology, worked example"
PEAK, SECONDS = 8.0, 4e-3

SHAPES: dict[str, tuple[Callable[[np.ndarray], np.ndarray], float]] = {
    "square": (lambda x: np.ones_like(x), 1.0),
    "half sine": (lambda x: np.sin(np.pi * x), 1 / 2),
    "triangle": (lambda x: 1 - np.abs(2 * x - 1), 1 / 3),
    "parabola": (lambda x: x**2, 1 / 5),
}
"""Pulse of height and length one, and its I2t."""


@pytest.mark.parametrize("shape", SHAPES)
def test_i2t_of_a_pulse(shape: str, accuracy: Accuracy) -> None:
    law, factor = SHAPES[shape]
    time = np.linspace(0.0, SECONDS, 41)
    accuracy(
        SELECTION, f"{shape}, {PEAK:g} A, {1e3 * SECONDS:g} ms", "I2t", factor * PEAK**2 * SECONDS,
        i2t(time, PEAK * law(time / SECONDS)), "A2s", "sampling", "read", "sampled at 100 us",
    )  # fmt: skip


def test_i2t_of_an_exponential_pulse(accuracy: Accuracy) -> None:
    """I^2 tau/2, tau the time in which the current falls to 1/e."""
    time = np.linspace(0.0, 10 * SECONDS, 401)
    accuracy(
        SELECTION, f"exponential, {PEAK:g} A, tau {1e3 * SECONDS:g} ms", "I2t", PEAK**2 * SECONDS / 2,
        i2t(time, PEAK * np.exp(-time / SECONDS)), "A2s", "sampling", "read", "sampled at 100 us",
    )  # fmt: skip


@pytest.mark.parametrize(("pulses", "percent"), [(1e5, 22), (1e4, 29), (1e3, 38), (1e2, 48)])
def test_pulse_life(pulses: float, percent: float, accuracy: Accuracy) -> None:
    share = 100 * library().fuses.pulse_share(pulses)
    accuracy(
        SELECTION, f"{pulses:.0f} pulses", "share of the melting I2t", percent, share, "%", "closed-form",
        "read", "psucheck holds this table",
    )  # fmt: skip


def test_worked_example(accuracy: Accuracy) -> None:
    """0.75 A running, a pulse of 8 A and 4 ms (shape E, the parabola), 100 000 pulses: 1 A, of 0.281 A2s."""
    fuses = library().fuses
    time = np.linspace(0.0, SECONDS, 41)
    pulse = i2t(time, PEAK * SHAPES["parabola"][0](time / SECONDS))
    case = "0.75 A, pulse of 8 A and 4 ms, 100 000 times"
    accuracy(FUSEOLOGY, case, "I2t of the pulse", 0.0512, pulse, "A2s", "sampling", "from memory")
    accuracy(
        FUSEOLOGY, case, "least melting I2t", 0.2327, pulse / fuses.pulse_share(1e5), "A2s", "sampling",
        "from memory",
    )  # fmt: skip
    accuracy(
        FUSEOLOGY, case, "least rating for the running current", 1.0,
        0.75 / fuses.loading.ul_continuous.value, "A", "sampling", "from memory",
    )  # fmt: skip
    # The chosen fuse, judged: RMS over the pulse's own 4 ms.
    known = {"rating": "UL fast 1 A 250 V", "melting_i2t": "0.281 A^2 s"}
    window = (SECONDS, (pulse / SECONDS) ** 0.5)
    found = PlaceFigures(0.75, 9.0, 450.0, False, i2t=pulse, window_rms=(window,))
    figures = with_place(cases.figures("switch-on", "high"), "before reservoir", found)
    case_of = cases.case(figures, fuses={"mains": None, "before reservoir": known})
    assert judged(fuse_inrush, case_of, "before reservoir").verdict == "ok"


def test_another_maker_allows_more(accuracy: Accuracy) -> None:
    """A pulse of 60 A2s at a load ratio of 35 %: 171.4 A2s."""
    accuracy(
        "Matsuo JHC data sheet, page 8", "60 A2s, 100 000 times", "least melting I2t", 171.4,
        60.0 / library().fuses.pulse_share(1e5), "A2s", None, "read",
        "that maker allows 35 % of that series; psucheck uses Littelfuse's 22 % of any, which is stricter",
        differs=(0.5, 0.65),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("marking", "seconds", "multiple"),
    [("T1AL250V", 0.02, 10.0), ("T1AL250V", 0.15, 4.0), ("T1AH250V", 0.01, 10.0), ("F1AL250V", 0.01, 4.0)],
)
def test_the_gates_own_points(marking: str, seconds: float, multiple: float, accuracy: Accuracy) -> None:
    """At a point of the gate the fuse carries just what the standard says."""
    (gate,) = gates(Fuse.model_validate(notation.fuse(marking)))
    accuracy(
        "IEC 60127-2, as makers' sheets quote it", f"{marking} for {1e3 * seconds:g} ms",
        "current that it surely carries", multiple, hold(gate, seconds).step, "A", "sampling", "second-hand",
        "psucheck holds this table",
    )  # fmt: skip


def test_no_maker_prints_less_than_the_gate_warrants(accuracy: Accuracy) -> None:
    """Melting I2t of time-lag and fast IEC fuses, over (n In)^2 t of the gate's last point."""
    fuses = library().fuses
    ratios = {}
    for series in fuses.series.values():
        if series.speed in ("F", "T") and series.breaking is not None:
            table = series.melting.value
            for amps, printed in zip(table.amps, table.melting_i2t, strict=True):
                warranted = fuses.guaranteed_melting_i2t(series.speed, series.breaking, amps)
                if warranted is not None:
                    ratios[f"{series.name} {amps:g} A"] = printed / warranted
    worst = min(ratios, key=lambda name: ratios[name])
    accuracy(
        "makers' tables of melting I2t", f"{len(ratios)} ratings of IEC fuses",
        "least printed over what the gate warrants", (1.0, None), ratios[worst], "", None, "second-hand",
        f"the least is {worst}",
    )  # fmt: skip
