from __future__ import annotations

from typing import Any

import pytest

from psucheck.supply.notation import NotationError, fuse


def iec(speed: str, current: float, breaking: str = "", **volts: float) -> dict[str, Any]:
    rest = {"breaking": breaking} if breaking else {}
    return {"standard": "IEC", "speed": speed, "current": current} | rest | volts


@pytest.mark.parametrize(
    ("text", "table"),
    [
        ("T2AL250V", iec("T", 2.0, "L", voltage=250.0)),
        ("bands red black red blue", iec("T", 2.0)),
        ("bands orange-brown-brown-blue", iec("T", 0.315)),
        ("colors brown, black, red, gray", iec("TT", 1.0)),
        ("T2AH250V", iec("T", 2.0, "H", voltage=250.0)),
        ("T2AE250V", iec("T", 2.0, "E", voltage=250.0)),
        ("t2al250v", iec("T", 2.0, "L", voltage=250.0)),
        ("T500mAL250V", iec("T", 0.5, "L", voltage=250.0)),
        ("T 500 mA L 250 V", iec("T", 0.5, "L", voltage=250.0)),
        ("F1AH250V", iec("F", 1.0, "H", voltage=250.0)),
        ("T1.6AH250V", iec("T", 1.6, "H", voltage=250.0)),
        ("T3,15A", iec("T", 3.15)),
        ("T 2 A 250 V", iec("T", 2.0, voltage=250.0)),
        ("FF500mA", iec("FF", 0.5)),
        ("M2A", iec("M", 2.0)),
        ("TT4AL250V", iec("TT", 4.0, "L", voltage=250.0)),
        ("T2AH 400 VDC", iec("T", 2.0, "H", dc_voltage=400.0)),
        ("T2AH250VAC/300VDC", iec("T", 2.0, "H", voltage=250.0, dc_voltage=300.0)),
        ("UL slow 2 A 250 V", {"standard": "UL", "speed": "T", "current": 2.0, "voltage": 250.0}),
        ("UL time-delay 2 A", {"standard": "UL", "speed": "T", "current": 2.0}),
        ("UL fast 1 A 250 V", {"standard": "UL", "speed": "F", "current": 1.0, "voltage": 250.0}),
    ],
)
def test_markings(text: str, table: dict[str, Any]) -> None:
    assert fuse(text) == table


@pytest.mark.parametrize(
    ("text", "reason", "column"),
    [
        ("", "nothing is written here", 0),
        ("2 A", "begins with its speed: FF, F, M, T or TT", 0),
        ("S2A", "begins with its speed", 0),
        ("T2", "the rated current is wanted here, with its unit", 1),
        ("T2L250V", "the rated current is wanted here, with its unit", 1),
        ("T", "begins with its speed", 0),
        ("T0A", "must be more than zero", 1),
        ("T200AL250V", "not believable as the current of a fuse", 1),
        ("T2AX250V", "'X250V' is not understood", 3),
        ("T2A slow", "'slow' is not understood", 4),
        ("T2AL250V 250V", "voltage is given twice", 9),
        ("bands red black red", "four bands are wanted, the wide one last; these are 3", 6),
        ("bands red black red pink", "'pink' is no colour of the wide band", 6),
        ("bands red black 3 blue", "'3' is no colour", 16),
        ("T2AL9000V", "not believable as a voltage", 4),
        ("slow 2 A 250 V", "IEC or UL?", 0),
        ("UL 2 A 250 V", "slow or fast?", 3),
        ("UL slow 2 A H", "'H' is not understood", 12),
    ],
)
def test_refusals(text: str, reason: str, column: int) -> None:
    with pytest.raises(NotationError) as caught:
        fuse(text)
    assert reason in caught.value.reason
    assert caught.value.column == column
