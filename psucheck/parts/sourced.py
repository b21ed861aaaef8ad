"""A value with its source: the unit of which every data file is made.

In a data file a value is one table. Its quantities stand under the name of their SI unit, and beside them
stands where they come from and how they were come by::

    drop = { volts = 17.0, amps = 0.225, source = "ge-5ar4", status = "recalled", confidence = "high" }

``source`` names an entry of the file's ``[sources]`` table, or a list of such names. ``also`` holds other
published values that were not chosen, in the same form.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Generic, Literal, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo

Status = Literal["read", "second-hand", "recalled", "derived", "practice"]
Confidence = Literal["high", "medium", "low"]

T = TypeVar("T")

_MEANING: dict[Status, str] = {
    "read": "read in the source",
    "second-hand": "second-hand, the original not opened",
    "recalled": "recalled, data sheet or standard not opened",
    "derived": "derived",
    "practice": "common practice, no source",
}
ABOUT = ("source", "status", "confidence", "note", "also")
"""Keys of a value that are not its quantities."""

Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0)]
NotNegative = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0)]


class Frozen(BaseModel):
    """A model that cannot be changed and takes no unknown key."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Sourced(Frozen, Generic[T]):
    """A value, where it comes from and how far it can be trusted."""

    value: T
    source: Annotated[str, Field(min_length=1)]
    """The source in full, for people to read."""
    status: Status
    confidence: Confidence | None = None
    note: str | None = None
    also: tuple[Sourced[T], ...] = ()
    """Other published values, not chosen."""

    @property
    def citation(self) -> str:
        """The source with its status and confidence, as one line for a report."""
        trust = _MEANING[self.status]
        if self.confidence is not None:
            trust += f"; confidence {self.confidence}"
        return f"{self.source} ({trust})"

    @property
    def opened(self) -> bool:
        """Whether the value was read in the source that is named."""
        return self.status == "read"

    @property
    def published(self) -> tuple[T, ...]:
        """The chosen value first, then every other published one."""
        return (self.value, *(other.value for other in self.also))


def weakest(*values: Sourced[Any]) -> tuple[Status, Confidence | None]:
    """Status and confidence of a result computed from ``values``: derived, as sure as the least sure."""
    order: tuple[Confidence, ...] = ("low", "medium", "high")
    given = [value.confidence for value in values if value.confidence is not None]
    return "derived", min(given, key=order.index) if given else None


def _full_source(key: Any, sources: Mapping[str, str]) -> Any:
    """The title, or the joined titles, behind a source key or list of keys.

    Raises
    ------
    ValueError
        A key is not in the file's sources.
    """
    keys = key if isinstance(key, list) else [key]
    for one in keys:
        if not isinstance(one, str) or one not in sources:
            raise ValueError(f"source {one!r} is not in [sources]")
    return "; ".join(str(sources[one]) for one in keys)


def _expand(raw: Any, unit: str | None, sources: Mapping[str, str]) -> Any:
    """Turn a data file's table into the fields of ``Sourced``."""
    if not isinstance(raw, Mapping):
        raise ValueError("a value is a table with its quantity, source and status")
    quantities = {key: item for key, item in raw.items() if key not in ABOUT}
    about = {key: item for key, item in raw.items() if key in ABOUT}
    if unit is None:
        value: Any = quantities
    elif set(quantities) == {unit}:
        value = quantities[unit]
    else:
        raise ValueError(f"expected the key {unit!r} and no other quantity, found {sorted(quantities)}")
    if "source" in about:
        about["source"] = _full_source(about["source"], sources)
    if isinstance(about.get("also"), list):
        about["also"] = [_expand(other, unit, sources) for other in about["also"]]
    return {"value": value, **about}


def entry(unit: str | None = None) -> BeforeValidator:
    """Validator that reads a data file's table into a ``Sourced``.

    Parameters
    ----------
    unit : str, optional
        Key under which a single quantity stands. Without it all quantities together are the value.

    Outside the reading of a data file (no sources in the validation context) what comes is taken as it is.
    """

    def read(raw: Any, info: ValidationInfo) -> Any:
        if info.context is None:
            return raw
        return _expand(raw, unit, info.context["sources"])

    return BeforeValidator(read)


Volts = Annotated[Sourced[Positive], entry("volts")]
Amps = Annotated[Sourced[Positive], entry("amps")]
Ohms = Annotated[Sourced[NotNegative], entry("ohms")]
Farads = Annotated[Sourced[Positive], entry("farads")]
Henries = Annotated[Sourced[Positive], entry("henries")]
Watts = Annotated[Sourced[Positive], entry("watts")]
Joules = Annotated[Sourced[Positive], entry("joules")]
Seconds = Annotated[Sourced[Positive], entry("seconds")]
Ratio = Annotated[Sourced[Positive], entry("ratio")]
Flag = Annotated[Sourced[bool], entry("value")]
Text = Annotated[Sourced[str], entry("value")]


class Part(Frozen):
    """Anything that is looked up by name."""

    name: str
    aliases: tuple[str, ...] = ()
    """Other names of the same part, not of parts like it."""
    note: str | None = None


def _with_names(raw: Any) -> Any:
    """Give each table of a table of parts its key as ``name``."""
    if not isinstance(raw, Mapping):
        return raw
    for key, body in raw.items():
        if isinstance(body, Mapping) and "name" in body:
            raise ValueError(f"{key}: a part is named by its key, not by name")
    return {key: {"name": key, **body} if isinstance(body, Mapping) else body for key, body in raw.items()}


by_name = BeforeValidator(_with_names)
"""Validator for a table of parts: the key is the part's name."""
