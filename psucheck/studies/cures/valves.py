"""What an output valve's current hangs on: its cathode and screen resistors, and the bias."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

from psucheck.parts.preferred import upwards
from psucheck.parts.series import mantissas
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply import writing
from psucheck.supply.model import Load, Resistor
from psucheck.supply.valve_types import load_valve

_SCREENS = "each screen"


def _load(trouble: Trouble) -> tuple[str, Load] | None:
    found = trouble.supply.loads.get(trouble.finding.subject)
    return None if found is None or not found.valves else (trouble.finding.subject, found)


def cathode_resistor(trouble: Trouble) -> Iterator[Candidate]:
    """A larger cathode resistor, with its watts in proportion."""
    found = _load(trouble)
    if found is None or found[1].cathode_resistor is None or _SCREENS in trouble.finding.why:
        return
    name, load = found
    part = load.cathode_resistor
    assert part is not None
    # The current falls less than the resistance rises, so that the ratio of the watts is a lower bound.
    least = part.value * max(1.02, trouble.figure / trouble.limit if trouble.limit else 1.02)
    for ohms in islice(upwards(mantissas(24), least), 6):
        made = Resistor(value=ohms, power=part.power, voltage=part.voltage)
        yield Candidate({f"loads.{name}.cathode_resistor": writing.resistor(made)})


def screen_resistors(trouble: Trouble) -> Iterator[Candidate]:
    """A larger resistor at each screen."""
    found = _load(trouble)
    if found is None or found[1].screens is None or _SCREENS not in trouble.finding.why:
        return
    name, load = found
    part = load.screen_resistors
    least = 1.3 * part.value if part is not None else 470.0
    watts = part.power if part is not None and part.power is not None else 5.0
    for ohms in islice(upwards(mantissas(12), least), 0, 6, 2):
        made = Resistor(value=ohms, power=watts)
        yield Candidate({f"loads.{name}.screen_resistors": writing.resistor(made)})


def colder_bias(trouble: Trouble) -> Iterator[Candidate]:
    """A lower idle current by a more negative bias, from the valve's law."""
    found = _load(trouble)
    figures = trouble.at()
    if found is None or _SCREENS in trouble.finding.why or figures is None or trouble.finding.unit != "W":
        return
    name, load = found
    valves = figures.valves.get(name)
    node = trouble.supply.filter.get(load.bias) if isinstance(load.bias, str) else None
    if load.bias == "cathode" or valves is None or load.idle is None or not trouble.limit:
        return
    now = valves.anode_current + valves.screen_current
    mu = _mu(load)
    if now <= 0 or mu is None:
        return
    practice = trouble.limits.value("valve-dissipation.fixed-bias-idle")
    for share in (practice, practice * 0.95):
        amps = round(now * share * trouble.limit / trouble.figure * 0.99, 4)
        rail = figures.nodes.get(load.screens or load.anodes or "")
        at_screens = rail.dc if rail is not None else valves.anode_volts
        drive = at_screens / mu + valves.bias
        grid = valves.bias - max(drive, 0.0) * (1.0 - (amps / now) ** (2.0 / 3.0))
        volts = f"{grid:.1f} V"
        path = f"filter.{load.bias}.set" if node is not None else f"loads.{name}.bias"
        idle = f"{writing.show(amps, 'A')} each at the cathode"
        yield Candidate(
            {f"loads.{name}.idle": idle, path: volts},
            f"set the bias to {idle}, about {volts} at the grids",
        )


def _mu(load: Load) -> float | None:
    """Amplification of the screen of the type, where its law is held."""
    valve = load_valve(load.valves[0].type) if load.valves else None
    return None if valve is None or valve.mu is None else valve.mu.value
