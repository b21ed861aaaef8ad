"""Rectifying devices: a valve's perveance from its drop point, a diode's constants from its."""

from __future__ import annotations

import math

from psucheck.parts import library
from psucheck.parts.rectifiers import Drop
from psucheck.supply import guesses
from psucheck.supply.filled import FilledDevice
from psucheck.supply.model import Backup, Device, DropPoint

BOLTZMANN_VOLTS = 1.380649e-23 * 300.15 / 1.602176634e-19
"""Thermal voltage kT/q at 27 degC [V]."""


def silicon(drop_volts: float, drop_amps: float) -> tuple[float, float, float]:
    """Diode constants whose law meets a drop point.

    v = N Vt ln(1 + i/Is) + i Rs, with N and the ohmic share of the drop fixed and Is from the point.

    Parameters
    ----------
    drop_volts, drop_amps
        The sheet's forward drop [V] and the current it is stated at [A].

    Returns
    -------
    tuple
        Saturation current [A], emission coefficient, series resistance [ohm].
    """
    series = guesses.SILICON_SERIES_SHARE * drop_volts / drop_amps
    junction = drop_volts - series * drop_amps
    emission = guesses.SILICON_EMISSION
    return drop_amps / math.expm1(junction / (emission * BOLTZMANN_VOLTS)), emission, series


def fill_device(device: Device) -> FilledDevice:
    """The device of one arm, from its written-out ratings or the part library.

    Raises
    ------
    UnknownPart
        If its type is in neither.
    """
    kind, volts, amps, perveance = _law(device)
    if kind == "valve":
        backup = fill_backup(device.backup) if device.backup is not None else None
        return FilledDevice(
            "valve",
            perveance=perveance,
            in_series=device.in_series,
            in_parallel=device.in_parallel,
            backup=backup,
            unequal=device.unequal or 0.0,
        )
    return _silicon(volts, amps, device.in_series, device.in_parallel)


def fill_backup(backup: Backup) -> FilledDevice:
    """The silicon behind one anode of a valve.

    Raises
    ------
    UnknownPart
        If its type is not in the library and no drop is given.
    """
    drop: DropPoint | Drop | None = backup.drop
    if drop is None:
        drop = library().diode(backup.type or "").drop.value
    return _silicon(drop.volts, drop.amps, backup.in_series, backup.in_parallel)


def _silicon(volts: float, amps: float, in_series: int, in_parallel: int) -> FilledDevice:
    saturation, emission, series = silicon(volts, amps)
    return FilledDevice(
        "silicon",
        saturation_amps=saturation,
        emission=emission,
        series_ohms=series,
        in_series=in_series,
        in_parallel=in_parallel,
    )


def _law(device: Device) -> tuple[str, float, float, float]:
    """Kind, drop point [V, A] and perveance [A/V^1.5] (valves)."""
    if device.drop is not None and device.kind is not None:
        return device.kind, device.drop.volts, device.drop.amps, device.drop.amps / device.drop.volts**1.5
    assert device.type is not None  # the model asks for one or the other
    if is_valve(device):
        return "valve", 0.0, 0.0, library().rectifier_valve(device.type).perveance.value
    drop = library().diode(device.type).drop.value
    return "silicon", drop.volts, drop.amps, 0.0


def is_valve(device: Device) -> bool:
    """Whether the device is a valve.

    Raises
    ------
    UnknownPart
        If its type is in no list.
    """
    if device.kind is not None:
        return device.kind == "valve"
    return library().rectifier(device.type or "").kind == "valve"


def heater_of(device: Device) -> tuple[float, float] | None:
    """Heater volts and amps of a rectifier valve, all parallel ones together; None if not known."""
    if device.heater is not None:
        return device.heater.volts, device.heater.amps * device.in_parallel
    if device.type is None or not is_valve(device):
        return None
    heater = library().rectifier_valve(device.type).heater.value
    return heater.volts, heater.amps * device.in_parallel
