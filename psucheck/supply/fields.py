"""Field types of the description: SI floats read strictly from text in the trade's notation.

A TOML value such as ``"50 uF"`` becomes ``5e-05``. A bare TOML number is refused, since ``50`` could mean
anything; so is a quantity of another dimension. The model itself (:mod:`psucheck.supply.model`) then holds
plain SI numbers and knows nothing of text.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator

from psucheck import quantity
from psucheck.supply.notation import NotationError


def _reader(unit: str, *, negative: bool = False, zero: bool = False) -> Callable[[Any], Any]:
    def read(raw: Any) -> Any:
        if isinstance(raw, float) or (isinstance(raw, int) and not isinstance(raw, bool)):
            # Short forms have been expanded to SI floats already; the reader refuses bare numbers that
            # stand in the file itself (it alone knows what the file said).
            return float(raw)
        if not isinstance(raw, str):
            raise NotationError(str(raw), f"a quantity in {unit}, in quotes, is wanted here", f'"1 {unit}"')
        return quantity.read(raw, unit, allow_negative=negative, allow_zero=zero)

    return read


Volts = Annotated[float, BeforeValidator(_reader("V"))]
BiasVolts = Annotated[float, BeforeValidator(_reader("V", negative=True))]
BiasVoltsOrNone = Annotated[float, BeforeValidator(_reader("V", negative=True, zero=True))]
Amps = Annotated[float, BeforeValidator(_reader("A"))]
Watts = Annotated[float, BeforeValidator(_reader("W"))]
VoltAmperes = Annotated[float, BeforeValidator(_reader("VA"))]
Ohms = Annotated[float, BeforeValidator(_reader("ohm", zero=True))]
Farads = Annotated[float, BeforeValidator(_reader("F"))]
Henries = Annotated[float, BeforeValidator(_reader("H"))]
Hertz = Annotated[float, BeforeValidator(_reader("Hz"))]
Seconds = Annotated[float, BeforeValidator(_reader("s"))]
AmpsSquaredSeconds = Annotated[float, BeforeValidator(_reader("A^2 s"))]
Celsius = Annotated[float, BeforeValidator(_reader("degC", negative=True, zero=True))]
Fraction = Annotated[float, BeforeValidator(_reader("%"))]
"""A share of one: ``"8 %"`` is read as 0.08."""
