"""Other capacitors: a higher voltage class, two in series, less or more capacitance, more ripple current."""

from __future__ import annotations

from collections.abc import Iterator

from psucheck.checks import capacitor_sharing, capacitor_voltage
from psucheck.checks.described import first_capacitance
from psucheck.parts import library
from psucheck.parts.preferred import at_least, at_most, downwards, upwards
from psucheck.parts.series import mantissas
from psucheck.studies.cures.sizes import for_volts
from psucheck.studies.cures.ways import Candidate, Trouble
from psucheck.supply import writing
from psucheck.supply.model import Capacitor

_BALANCING = 220e3
"""Largest balancing resistor that is put forward [ohm]; common practice, no source."""
_SHARED = 0.6
"""Worst share of two parts in series that differ by 20 % either way: 1.2/(1.2 + 0.8) (derived)."""
_LARGEST_STEP = 4.0


def higher_class(trouble: Trouble) -> Iterator[Candidate]:
    """The same capacitance in the next voltage classes, those with practice's headroom first."""
    found = trouble.capacitor()
    if found is None or found[1].voltage is None or trouble.finding.unit != "V":
        return
    path, part = found
    assert part.voltage is not None
    share = trouble.limits.value(f"{capacitor_voltage.ID}.practice")
    each = trouble.figure / (part.in_series if trouble.finding.rule == capacitor_voltage.ID else 1)
    held = [volts for volts in library().preferred.electrolytics.volts.value if volts > part.voltage]
    if each <= share * part.voltage:
        return  # its poles are the wrong way round: no class mends that
    enough = at_least(held, each / share)
    scarce = [volts for volts in at_least(held, each) if volts not in enough]
    for volts in (*enough[:2], *scarce[:1]):
        yield Candidate({path: _written(part, voltage=volts)})


def two_in_series(trouble: Trouble) -> Iterator[Candidate]:
    """Two of twice the capacitance in series, with balancing resistors."""
    found = trouble.capacitor()
    if found is None or found[1].in_series > 1 or trouble.finding.unit != "V":
        return
    path, part = found
    volts = trouble.figure
    share = trouble.limits.value(f"{capacitor_voltage.ID}.practice")
    if part.voltage is None or volts <= share * part.voltage:
        return
    values = at_least(library().preferred.electrolytics.farads.value, 2 * part.value)
    classes = at_least(library().preferred.electrolytics.volts.value, _SHARED * volts)
    for rated in classes[:2]:
        string = Capacitor(
            value=values[0] if values else 2 * part.value,
            voltage=rated,
            in_series=2,
            ripple_current=part.ripple_current,
            temperature=part.temperature,
            life=part.life,
        )
        balanced = _balanced(string, volts, trouble)
        if balanced is not None:
            yield Candidate({path: writing.capacitor(balanced)})


def balancing(trouble: Trouble) -> Iterator[Candidate]:
    """Balancing resistors across the parts of a string, or smaller ones."""
    found = trouble.capacitor()
    if found is None or found[1].in_series < 2:
        return
    path, part = found
    bare = part.model_copy(update={"balancing": None})
    most = _BALANCING if part.balancing is None else min(_BALANCING, part.balancing.value * 0.99)
    volts = trouble.figure * part.in_series  # at most: the figure is that of the worst part
    balanced = _balanced(bare, volts, trouble, most)
    if balanced is not None:
        yield Candidate({path: writing.capacitor(balanced)})


def smaller_first(trouble: Trouble) -> Iterator[Candidate]:
    """A smaller capacitor where the rectifier charges it directly, in preferred values."""
    subject = trouble.finding.subject
    on_it = [name for name, one in trouble.supply.rectifiers.items() if subject in (name, one.winding)]
    rectifier = on_it[0] if on_it else ""
    node = trouble.first_node(rectifier) if on_it else None
    part = trouble.supply.filter[node].capacitor if node is not None else None
    total = first_capacitance(trouble.supply, rectifier) if node is not None else None
    if part is None or total is None or part.in_series > 1:
        return
    held = library().preferred.electrolytics.farads.value
    most = part.value * 0.99
    if trouble.finding.unit == "F":
        most = min(most, trouble.limit - (total - part.value))
    values = at_most(held, most)
    if trouble.finding.unit != "F":
        # What hangs on the capacitance moves less than in proportion: every other value, down to a quarter.
        values = tuple(value for value in values[::2] if value * _LARGEST_STEP >= part.value)
    for value in values:
        yield Candidate({f"filter.{node}": _written(part, value=value)})


def larger(trouble: Trouble) -> Iterator[Candidate]:
    """More capacitance on the node, in steps of some half as much again."""
    found = trouble.capacitor()
    if found is None or found[1].in_series > 1:
        return
    path, part = found
    held = library().preferred.electrolytics.farads.value
    wanted = [1.2, 1.6, 2.2, 3.3]
    if trouble.limit and trouble.finding.unit in ("V", "%") and not trouble.finding.lower_limit:
        # Ripple goes down with the capacitance.
        wanted = [max(1.2, trouble.figure / trouble.limit * factor) for factor in (1.0, 1.3, 2.0)]
    values = [at_least(held, factor * part.value)[:1] for factor in wanted]
    for value in dict.fromkeys(value for first in values for value in first):
        yield Candidate({path: _written(part, value=value)})


def larger_first(trouble: Trouble) -> Iterator[Candidate]:
    """More capacitance on the first node of the supply's main rail."""
    for rectifier in trouble.supply.rectifiers:
        node = trouble.first_node(rectifier)
        part = trouble.supply.filter[node].capacitor if node is not None else None
        if part is None or part.in_series > 1:
            continue
        held = library().preferred.electrolytics.farads.value
        for value in at_least(held, 1.2 * part.value)[:4:2]:
            yield Candidate({f"filter.{node}": _written(part, value=value)})
        return


def more_ripple_current(trouble: Trouble) -> Iterator[Candidate]:
    """A part of the same value with a higher ripple rating."""
    found = trouble.capacitor()
    if found is None or found[1].ripple_current is None or trouble.finding.unit != "A" or not trouble.limit:
        return
    path, part = found
    assert part.ripple_current is not None
    # The limit is the rating at the ripple's frequencies: it goes with the rating.
    least = part.ripple_current * trouble.figure / trouble.limit
    rising = upwards(mantissas(12), least * 1.01)
    for _ in range(2):
        yield Candidate({path: _written(part, ripple_current=next(rising))})


def bleeder(trouble: Trouble) -> Iterator[Candidate]:
    """A resistor from the node to chassis that pulls a rail down which is a little over without load."""
    node = trouble.supply.filter.get(trouble.finding.subject)
    if node is None or node.bleeder is not None or trouble.finding.unit != "V":
        return
    if not trouble.limit < trouble.figure <= 1.03 * trouble.limit:
        return
    for ohms in (100e3, 47e3):
        part = for_volts(ohms, trouble.figure)
        if part is not None:
            yield Candidate({f"filter.{trouble.finding.subject}.bleeder": writing.resistor(part)})


def _balanced(
    string: Capacitor, volts: float, trouble: Trouble, most: float = _BALANCING
) -> Capacitor | None:
    """The string with the largest balancing resistors that keep its worst part inside its rating."""
    assert string.voltage is not None
    for ohms in downwards(mantissas(12), most):
        if ohms < most / 10:
            return None
        part = for_volts(ohms, _SHARED * volts)
        if part is None:
            return None
        made = string.model_copy(update={"balancing": part})
        if capacitor_sharing.balanced_volts(made, volts, trouble.limits) <= string.voltage:
            return made
    return None


def _written(part: Capacitor, **new: float) -> str:
    """The part with something new; what was measured on the old one is left out."""
    gone: dict[str, object] = {"esr": None, "sections": None}
    if "voltage" in new:
        gone["surge_voltage"] = None
    return writing.capacitor(part.model_copy(update={**gone, **new}))
