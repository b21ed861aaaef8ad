"""Options that are quantities in the trade's notation."""

from __future__ import annotations

from psucheck.quantity import QuantityError, read


class BadOption(ValueError):
    """An option's text is not the quantity it should be; the message names both."""


def amount(option: str, text: str | None, unit: str) -> float | None:
    """An option's quantity [SI]; None where it is not given.

    Raises
    ------
    BadOption
        If it is anything but one believable quantity in ``unit``.
    """
    if text is None:
        return None
    try:
        return read(text, unit)
    except QuantityError as error:
        raise BadOption(f"{option} {text}: {error}") from None
