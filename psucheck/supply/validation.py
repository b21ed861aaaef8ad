"""From the tree to the model: every value that cannot be read becomes a fault, the rest a draft."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from psucheck.quantity import QuantityError
from psucheck.supply.canonical import Canonical
from psucheck.supply.draft import Draft, draft
from psucheck.supply.errors import Fault, dotted, listed
from psucheck.supply.model import RectifierCircuit, Supply
from psucheck.supply.shape import Shape, of_description
from psucheck.supply.synonyms import LIVE_CHASSIS, LIVE_CHASSIS_WORDS, NOT_MODELLED
from psucheck.supply.toml_positions import Path

#: What a key that must be there looks like.
EXAMPLES = {
    "title": 'title = "Two-EL34 head, filter capacitors replaced"',
    "mains": '[mains] with voltage = "230 V" and frequency = "50 Hz"',
    "windings": '[windings] with ht = "365-0-365 V off load at 243 V, 33 + 35 ohm"',
    "rectifiers": "[rectifiers.ht] with circuit, winding and device",
    "filter": '[filter] with reservoir = "50 uF 500 V"',
    "primary": 'primary = "230 V, 6.2 ohm"',
    "frequency": 'frequency = "50 Hz"',
    "circuit": f"circuit = {listed(get_args(RectifierCircuit))}",
    "winding": "winding = the name of one in [windings]",
    "device": 'device = "GZ34", or a table of its ratings',
    "place": 'place = "before reservoir"',
    "current": 'current = "2 A"',
    "speed": 'speed = "T", or rating = "T2AL250V" for all of it',
    "resistance": 'resistance = "110 ohm"',
    "count": "count = 2",
    "type": 'type = "EL34"',
    "amps": 'amps = "1.9 A"',
    "volts": 'volts = "5 V"',
    "cold": 'cold = "60 ohm"',
    "hot": 'hot = "2 ohm"',
}

_TEXT = {
    "model_type": "a table is wanted here",
    "dict_type": "a table is wanted here",
    "tuple_type": "a list is wanted here",
    "string_type": "text in quotes is wanted here",
    "float_type": "a number is wanted here",
    "float_parsing": "a number is wanted here",
    "int_type": "a whole number is wanted here",
    "missing": "a value is missing here",
    "extra_forbidden": "this does not belong to what else stands here",
}


def validate(made: Canonical) -> tuple[Draft, list[Fault]]:
    """Read a tree in the model's words into a supply.

    Returns
    -------
    tuple[Draft, list[Fault]]
        The draft, sound throughout if there is no fault, here or from the walk before.
    """
    tree = {key: value for key, value in made.tree.items() if key != "new"}
    try:
        Supply.model_validate(tree)
    except ValidationError as error:
        found = list(_faults(made, tree, error.errors()))
    else:
        found = []
    read = draft(tree, (path for path, _ in found), made.lost, made.where)
    faults = [fault for _, fault in found if fault.message]
    return read, faults + _unsaid(made, [path for path, _ in found])


def _unsaid(made: Canonical, said: Iterable[Path]) -> list[Fault]:
    """Numbers without quotes that the model took as text: they are faults all the same."""
    refused = set(said)
    faults = []
    for path in sorted(made.bare - refused, key=str):
        if path[0] == "new":
            continue  # looked at in the supply as proposed
        spelled = made.where(path)
        source = str(_at(made.tree, path))
        faults.append(
            Fault(spelled, f'{source} stands without quotes: {dotted(spelled[-1:])} = "{source}"', source)
        )
    return faults


def _at(tree: Any, path: Path) -> Any:
    for part in path:
        tree = tree[part]
    return tree


def _resolved(tree: Any, loc: tuple[str | int, ...]) -> tuple[Path, Any, tuple[str | int, ...]]:
    """Path of the deepest value that ``loc`` means, that value, and what of ``loc`` is left below it.

    Of a union pydantic names the member that it tried; that is no part of the path.
    """
    path: Path = ()
    for index, part in enumerate(loc):
        in_list = isinstance(tree, list) and isinstance(part, int) and part < len(tree)
        if in_list or (isinstance(tree, dict) and part in tree):
            tree = tree[part]
            path = (*path, part)
        elif isinstance(part, str) and (part[:1].isupper() or "[" in part or part in ("str", "float")):
            continue
        else:
            return path, tree, loc[index:]
    return path, tree, ()


def _faults(
    made: Canonical, tree: dict[str, Any], errors: Iterable[ErrorDetails]
) -> Iterable[tuple[Path, Fault]]:
    """Each error with the path of what is wrong; what follows from another fault has no message."""
    best: dict[tuple[Path, str], tuple[int, Fault]] = {}
    for error in errors:
        path, value, rest = _resolved(tree, error["loc"])
        missing = str(rest[0]) if error["type"] == "missing" and rest else ""
        below = not missing and any(lost[: len(path)] == path and path for lost in made.lost)
        if below or (*path, missing) in made.lost:
            best.setdefault((path, missing), (0, Fault(made.where(path), "")))
            continue
        fault = _fault(made, path, value, missing, error)
        weight = fault.column or 0
        if (path, missing) not in best or best[path, missing][0] < weight:
            best[path, missing] = weight, fault  # of a union, the member that could read furthest
    unions = {path for path, _ in best if path[-1:] == ("feed",)}
    for (path, missing), (_, fault) in best.items():
        if path in unions and fault.message:
            fault = replace(fault, message=f'{fault.message}; a feed is "47k 2 W" or "47 nF 1000 V"')
        yield (*path, missing) if missing else path, fault


def _fault(made: Canonical, path: Path, value: Any, missing: str, error: ErrorDetails) -> Fault:
    spelled = made.where(path)
    if missing:
        return _missing(spelled, missing)
    if path == ("transformer",) and isinstance(value, str) and value.lower() in LIVE_CHASSIS_WORDS:
        return Fault(spelled, LIVE_CHASSIS, value)
    cause = error.get("ctx", {}).get("error")
    column = None
    if isinstance(cause, QuantityError):
        if isinstance(value, dict) and isinstance(value.get("rating"), str):
            spelled, value = made.where((*path, "rating")), value["rating"]
        column = cause.column if isinstance(value, str) and path not in made.bare else None
        message = of_notation(cause, bare=path in made.bare)
    elif cause is not None:
        message = str(cause)
    else:
        message = _of_pydantic(error, spelled)
    return Fault(spelled, message, value if isinstance(value, str) else "", column=column)


def of_notation(cause: QuantityError, *, bare: bool = False) -> str:
    """What is wrong with a short form or a quantity; ``bare`` if it stood without quotes."""
    if bare and "needs a unit" in cause.reason:
        return f'{cause.text.strip()} needs a unit, in quotes: "{cause.allowed}"'
    if bare:
        return f'{cause.text.strip()} stands without quotes: {cause.reason}; for example "{cause.allowed}"'
    if cause.allowed in cause.reason:
        return cause.reason
    if "regulator is not modelled" in cause.reason:
        return NOT_MODELLED["regulator"]
    example = ", as in" if "needs a unit" in cause.reason else "; for example"
    example = " For example" if cause.reason.endswith("?") else example
    return f'{cause.reason}{example} "{cause.allowed}"'


def _of_pydantic(error: ErrorDetails, spelled: Path) -> str:
    kind, context, key = error["type"], error.get("ctx", {}), dotted(spelled[-1:])
    if kind in ("greater_than_equal", "less_than_equal"):
        bound = f"at least {context['ge']}" if "ge" in context else f"at most {context['le']}"
        return f"{key} is {bound}, not {error['input']}"
    if kind in ("too_short", "too_long"):
        wanted = context.get("min_length", context.get("max_length"))
        are = "value is" if wanted == 1 else "values are"
        return f"{wanted} {are} wanted here, not {context['actual_length']}"
    return _TEXT.get(kind, error["msg"])


def _missing(spelled: Path, key: str) -> Fault:
    if not spelled and key == "transformer":
        return Fault(spelled, f"[transformer] is missing; {LIVE_CHASSIS}", missing=key)
    if key.isdigit():
        return Fault(spelled, "a value is missing in this list")
    table = f"[{dotted(spelled)}]" if spelled else "the description"
    shape = _shape_at(spelled)
    example = EXAMPLES.get(key, "") if key != "voltage" or shape.table == "Mains" else 'voltage = "230 V"'
    if key == "value":
        example = 'value = "50 uF"' if "esr" in shape.keys else 'value = "10k"'
    if key == "voltage" and not example:
        example = 'voltage = "230 V"'
    return Fault(spelled, f'{table} lacks "{key}"' + (f": {example}" if example else ""), missing=key)


def _shape_at(path: Path) -> Shape:
    shape = of_description()
    for part in path:
        shape = shape.under(part)
    return shape
