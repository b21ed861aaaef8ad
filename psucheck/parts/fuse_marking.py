"""What is marked on a fuse: letters and figures on its cap, or four coloured bands (IEC 60127-1, annex A)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from psucheck.parts.fuses import Fuses
from psucheck.quantity import show

_OTHER_WORDS = {"gray": "grey", "purple": "violet"}


def marking(
    standard: Literal["IEC", "UL"], speed: str, amps: float, breaking: str | None, volts: float | None
) -> str:
    """The marking as a cap bears it: ``T2AL250V``, ``T315mAH250V``; of UL ``UL slow 2 A 250 V``.

    Parameters
    ----------
    amps, volts
        Rated current [A] and voltage [V]; a voltage that is not known is left out.
    """
    current = show(amps, "A", digits=4)
    if standard == "UL":
        word = "slow" if speed in ("T", "TT") else "fast"
        return f"UL {word} {current}" + (f" {volts:g} V" if volts else "")
    return f"{speed}{current.replace(' ', '')}{breaking or ''}" + (f"{volts:g}V" if volts else "")


def bands(fuses: Fuses, speed: str, amps: float) -> tuple[str, str, str, str]:
    """The four bands of a fuse of ``amps`` [A], the last of them the wide one.

    Raises
    ------
    ValueError
        For a current below 10 mA, which two digits of milliamperes cannot tell.
    """
    held = fuses.colour_bands.value
    milliamps = round(amps * 1e3, 6)
    if milliamps < 10:
        raise ValueError(f"{show(amps, 'A')} has no two digits in mA")
    power = len(str(int(milliamps))) - 2
    first, second = divmod(int(milliamps / 10**power + 1e-9), 10)
    return held.digits[first], held.digits[second], held.digits[power], held.speeds[speed]


def read_bands(fuses: Fuses, colours: Sequence[str]) -> tuple[str, float]:
    """Speed and rated current [A] by four bands: the rating, of those in use, that bears these digits.

    Raises
    ------
    ValueError
        For a colour that no band has, bands that are not four, or digits that no rating in use has.
    """
    held = fuses.colour_bands.value
    said = [_OTHER_WORDS.get(colour.lower(), colour.lower()) for colour in colours]
    if len(said) != 4:
        raise ValueError(f"four bands are wanted, the wide one last; these are {len(said)}")
    for colour in said[:3]:
        if colour not in held.digits:
            raise ValueError(f"{colour!r} is no colour of a digit: {', '.join(held.digits)}")
    speeds = {colour: speed for speed, colour in held.speeds.items()}
    if said[3] not in speeds:
        colours_known = ", ".join(f"{colour} {speed}" for colour, speed in speeds.items())
        raise ValueError(f"{said[3]!r} is no colour of the wide band: {colours_known}")
    for amps in _ratings(fuses):
        if bands(fuses, speeds[said[3]], amps)[:3] == tuple(said[:3]):
            return speeds[said[3]], amps
    first, second, power = (held.digits.index(colour) for colour in said[:3])
    raise ValueError(f"no fuse is made for {show((10 * first + second) * 10**power / 1e3, 'A')}")


def _ratings(fuses: Fuses) -> Iterator[float]:
    yield from fuses.preferred_ratings.value.amps
    yield from fuses.intermediate_ratings.value.amps
