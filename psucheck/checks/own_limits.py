"""The user's own limits: a file that tightens or loosens entries of the house's table, each with its reason.

A table a rule, an entry a line, as in the house's own file::

    [capacitor-voltage]
    practice = { value = "95 %", why = "new cans by a maker that states its own derating" }

``value`` is text with its unit, or a bare number in the entry's own (SI, shares of one); ``why`` or
``source`` says why. The cautions may be tightened alone: what can kill is told to everybody.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from psucheck import quantity
from psucheck.checks.finding import Finding
from psucheck.checks.limits import Limit, Limits, default_limits, disordered
from psucheck.parts.own import DataFault, Place
from psucheck.supply.errors import quoted
from psucheck.supply.model import Supply
from psucheck.supply.own_file import OwnFile, read_own_file


@dataclass(frozen=True, slots=True)
class UsedLimit:
    """A limit of the user's own, and the findings (by name) and other outputs that it entered."""

    limit: Limit
    used_in: tuple[str, ...]


def used_limits(
    limits: Limits, findings: Iterable[Finding], others: Mapping[str, Iterable[str]]
) -> tuple[UsedLimit, ...]:
    """Every own limit with what it was read for.

    Parameters
    ----------
    others
        What else read limits, by its name as outputs show it: names of the own ones that it read.
    """
    users: dict[str, dict[str, None]] = {limit.name: {} for limit in limits.own}
    for finding in findings:
        for name in finding.own_limits:
            users[name][f"{finding.rule} {finding.subject}"] = None
    for other, names in others.items():
        for name in names:
            users[name][other] = None
    return tuple(UsedLimit(limit, tuple(users[limit.name])) for limit in limits.own)


_KEYS = ("value", "unit", "why", "source")
_LONGEST_REASON = 300


def limits_of(supply: Supply) -> Limits:
    """The limits by which a supply is judged: the house's, with the user's own in their place.

    Raises
    ------
    DescriptionError
        If one of the files cannot be used.
    """
    return with_files(default_limits(), supply.limits_files)


def with_files(limits: Limits, files: Sequence[tuple[Path, str]]) -> Limits:
    """A table of limits with the entries of several files, each with its name; the first wins.

    Raises
    ------
    DescriptionError
        If one of the files cannot be used.
    """
    for path, shown in reversed(files):
        limits = with_own(limits, path, shown)
    return limits


def with_own(limits: Limits, path: Path, shown: str) -> Limits:
    """A table of limits with the entries of a user's file in their place.

    Parameters
    ----------
    shown
        The file's name, as outputs are to show it.

    Raises
    ------
    DescriptionError
        If the file cannot be used, with everything that is wrong with it.
    """
    file = read_own_file(path, "a limits file")
    faults: list[DataFault] = []
    entries = dict(limits.entries)
    places: dict[str, Place] = {}
    for place, content in _contents(file, limits, faults):
        house = limits[f"{place[0]}.{place[1]}"]
        own, wrong = _entry(place, content, house, shown)
        faults += wrong
        if own is not None:
            entries[own.name] = own
            places[own.name] = place
    if not faults:
        faults += _order(entries, places)
    if not places and not faults:
        faults.append(DataFault((), "no limit stands in this file", tuple(_rules(limits))))
    if faults:
        raise file.refused(faults)
    return Limits(entries)


def _rules(limits: Limits) -> dict[str, list[str]]:
    """The entries of every table."""
    rules: dict[str, list[str]] = {}
    for name in limits.entries:
        rule, entry = name.split(".")
        rules.setdefault(rule, []).append(entry)
    return rules


def _contents(file: OwnFile, limits: Limits, faults: list[DataFault]) -> Iterator[tuple[Place, Any]]:
    """Every entry that the table knows, with its place in the file; a fault for whatever else is there."""
    rules = _rules(limits)
    for rule, table in file.tables.items():
        if rule not in rules:
            said = f"no rule or table of limits is named {quoted(rule)}"
            faults.append(DataFault((rule,), said, tuple(rules), at_key=True))
        elif not isinstance(table, Mapping):
            faults.append(DataFault((rule,), f"a table of entries is wanted here: [{rule}]"))
        else:
            for entry, content in table.items():
                if entry in rules[rule]:
                    yield (rule, entry), content
                else:
                    said = f"[{rule}] has no limit {quoted(entry)}"
                    faults.append(DataFault((rule, entry), said, tuple(rules[rule]), at_key=True))


def _entry(place: Place, content: Any, house: Limit, shown: str) -> tuple[Limit | None, list[DataFault]]:
    """One entry as it stands in the file, or all that is wrong with it."""
    if not isinstance(content, Mapping):
        said = f'a value with its reason is wanted here: {{ value = "{house.written}", why = "..." }}'
        return None, [DataFault(place, said)]
    faults = [
        DataFault((*place, key), f"{quoted(key)} is not a key of a limit", _KEYS, at_key=True)
        for key in content
        if key not in _KEYS
    ]
    if "unit" in content and content["unit"] != house.unit:
        said = f"read {quoted(content['unit'])}; {house.name} is in {_unit(house)}"
        faults.append(DataFault((*place, "unit"), said, (house.unit,)))
    value = None
    if "value" not in content:
        faults.append(DataFault(place, f"{house.name} lacks its value", missing="value"))
    else:
        value = _value(place, content["value"], house, faults)
    why = _reason(place, content, house, faults)
    if value is None or faults:
        return None, faults
    return house.set_to(value, why, shown), []


def _unit(limit: Limit) -> str:
    return 'shares of one (unit "1")' if limit.unit == "1" else limit.unit


def _reason(place: Place, content: Mapping[str, Any], house: Limit, faults: list[DataFault]) -> str:
    """What the user says of an entry; ``source`` goes behind ``why``."""
    said = []
    for key in ("why", "source"):
        text = content.get(key)
        if text is None:
            continue
        if not isinstance(text, str) or not text.strip() or not text.isprintable():
            faults.append(DataFault((*place, key), "a line of text in quotes is wanted here"))
        elif len(text) > _LONGEST_REASON:
            faults.append(DataFault((*place, key), f"at most {_LONGEST_REASON} characters"))
        else:
            said.append(text.strip())
    if "why" not in content and "source" not in content:
        faults.append(DataFault(place, f"{house.name} lacks its reason (why, or source)", missing="why"))
    return "; ".join(said)


def _value(place: Place, written: Any, house: Limit, faults: list[DataFault]) -> float | None:
    """The value in the entry's own unit; None, and a fault, where it cannot be had or nobody believes it."""
    at = (*place, "value")
    unit = "%" if house.unit == "1" else house.unit
    if isinstance(written, str):
        if unit not in quantity.UNITS:
            faults.append(DataFault(at, f"a number without quotes is wanted here, in {house.unit}"))
            return None
        try:
            value = quantity.read(written, unit, allow_negative=True, allow_zero=True)
        except quantity.QuantityError as error:
            faults.append(DataFault(at, str(error)))
            return None
    elif isinstance(written, int | float) and not isinstance(written, bool):
        value = float(written)
    else:
        faults.append(DataFault(at, f'a number or text is wanted here: "{house.written}"'))
        return None
    if not math.isfinite(value) or value <= 0:
        faults.append(DataFault(at, f"read {quoted(written)}; a limit is a number above 0"))
        return None
    return value if _believed(at, written, value, house, faults) else None


def _believed(at: Place, written: Any, value: float, house: Limit, faults: list[DataFault]) -> bool:
    low, high = house.between
    if low == high:
        said = f"{house.name} is {house.written} for everybody: the times of discharge are measured to it"
        faults.append(DataFault(at, said))
        return False
    if low <= value <= high:
        return True
    if house.name.startswith("cautions.") and value > high:
        said = f"read {quoted(written)}; a caution may only be tightened: it tells what can kill"
        faults.append(DataFault(at, said, (f"{house.write(low)} to {house.write(high)}",)))
        return False
    said = (
        f"read {quoted(written)}, which is not believed beside the house's {(house.house or house).written}"
    )
    if house.unit == "1" and value > 1 and low <= value / 100 <= high:
        said += f'; a bare number is a share of one: write {value / 100:g}, or "{value:g} %"'
    faults.append(DataFault(at, said, (f"{house.write(low)} to {house.write(high)}",)))
    return False


def _order(entries: Mapping[str, Limit], places: Mapping[str, Place]) -> Iterator[DataFault]:
    """Entries of this file that no longer stand below the one that they must stand below, or the reverse."""
    for limit, other in disordered(entries):
        name = limit.name if limit.name in places else other.name
        if name in places:
            said = f"{limit.name} ({limit.written}) must stay below {other.name} ({other.written})"
            yield DataFault((*places[name], "value"), said)
