"""Other resistors: more watts, two in series, more or fewer ohms."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, takewhile

from psucheck.checks import described
from psucheck.parts import library
from psucheck.parts.errors import NotTabulated
from psucheck.parts.preferred import at_least, downwards, upwards
from psucheck.parts.series import mantissas
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply import writing
from psucheck.supply.model import Resistor, Supply

_ROLES = {
    "dropper": "filter.{}.resistor",
    "bleeder": "filter.{}.bleeder",
    "upper balancing": "rectifiers.{}.capacitors[0].balancing",
    "lower balancing": "rectifiers.{}.capacitors[1].balancing",
    "balancing": "filter.{}.capacitor.balancing",
    "screen resistor": "loads.{}.screen_resistors",
    "cathode resistor": "loads.{}.cathode_resistor",
    "anode resistor": "rectifiers.{}.anode_resistors",
    "feed": "rectifiers.{}.feed",
    "bypass": "switches.{}.bypass",
}
_MOST_OHMS = 2.5
"""A dropper is not made more than so many times what it was."""


def path_of(supply: Supply, key: str) -> str | None:
    """The path of the resistor behind a key of the figures; None for one that the description lacks."""
    if described.resistor(supply, key) is None:
        return None
    if key in supply.series:
        return f"series.{key}"
    role = next(role for role in _ROLES if key.endswith(f" {role}"))
    return _ROLES[role].format(key.removesuffix(f" {role}").removeprefix("rectifiers."))


def _part(trouble: Trouble) -> tuple[str, Resistor] | None:
    key = trouble.finding.subject
    path, part = path_of(trouble.supply, key), described.resistor(trouble.supply, key)
    return (path, part) if path is not None and part is not None else None


def more_watts(trouble: Trouble) -> Iterator[Candidate]:
    """The same ohms in a larger size: one with twice the watts in it first."""
    found = _part(trouble)
    if found is None or found[1].power is None:
        return
    path, part = found
    assert part.power is not None
    practice = trouble.limits.value("resistor-power.practice")
    least = trouble.figure / practice if trouble.finding.unit == "W" else 1.01 * part.power
    for watts in at_least(library().preferred.resistors.watts.value, max(least, 1.01 * part.power))[:3]:
        yield Candidate({path: writing.resistor(Resistor(value=part.value, power=watts))})


def two_in_series(trouble: Trouble) -> Iterator[Candidate]:
    """Two of half the ohms in series, which share volts, watts and a pulse."""
    found = _part(trouble)
    if found is None or found[1].power is None:
        return
    path, part = found
    assert part.power is not None
    held = upwards(mantissas(24), part.value / 2)
    for watts in at_least(library().preferred.resistors.watts.value, part.power)[:2]:
        try:
            rating = library().resistor_family().voltage_rating(watts)
        except NotTabulated:
            continue
        half = Resistor(value=next(held), power=watts, voltage=None if rating is None else rating.value)
        held = upwards(mantissas(24), part.value / 2)
        yield Candidate({path: f"2 x {writing.resistor(half)} in series"})


def more_dropper(trouble: Trouble) -> Iterator[Candidate]:
    """A larger resistor before the node: less ripple, fewer volts."""
    yield from _dropper(trouble, up=True)


def less_dropper(trouble: Trouble) -> Iterator[Candidate]:
    """A smaller resistor before the node: more volts."""
    yield from _dropper(trouble, up=False)


def _dropper(trouble: Trouble, *, up: bool) -> Iterator[Candidate]:
    node = trouble.supply.filter.get(trouble.finding.subject)
    part = node.resistor if node is not None else None
    if part is None:
        return
    e12 = mantissas(12)
    values = upwards(e12, 1.01 * part.value) if up else downwards(e12, part.value / 1.01)
    for ohms in islice(
        takewhile(lambda v: part.value / _MOST_OHMS <= v <= _MOST_OHMS * part.value, values), 4
    ):
        made = part.model_copy(update={"value": ohms})
        yield Candidate({f"filter.{trouble.finding.subject}": writing.resistor(made)})


def screens_dropper(trouble: Trouble) -> Iterator[Candidate]:
    """A resistor before the screens' node, in place of a choke of the same drop or a smaller resistor."""
    load = trouble.supply.loads.get(trouble.finding.subject)
    if load is None or load.screens is None or load.screens == load.anodes:
        return
    node = trouble.supply.filter.get(load.screens)
    if node is None or node.resistor is None:
        return
    part = node.resistor
    for ohms in islice(upwards(mantissas(12), 1.5 * part.value), 0, 6, 2):
        made = part.model_copy(update={"value": ohms})
        yield Candidate({f"filter.{load.screens}": writing.resistor(made)})


def bypass(trouble: Trouble) -> Iterator[Candidate]:
    """A resistor across the contacts of a standby switch, which lessens the volts and the pulse."""
    switch = trouble.supply.switches.get(trouble.finding.subject)
    if switch is None or switch.bypass is not None:
        return
    for text in ("100k 3 W", "47k 5 W"):
        yield Candidate({f"switches.{trouble.finding.subject}.bypass": text})
