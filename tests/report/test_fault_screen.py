"""The screen and the document of a fault hunt, from a report made by hand."""

from __future__ import annotations

import io
from dataclasses import replace

import jsonschema
import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.report import words
from psucheck.report.document import dump, schema
from psucheck.report.fault_document import fault_document
from psucheck.report.fault_screen import fault_screen
from psucheck.report.fault_view import CauseLine, FaultReport, GroupLine, ReadingLine, StepLine

_DRIED = CauseLine(
    "dried capacitor", "reservoir", "the reservoir capacitor has dried up", "30 % of its value left", 0.05
)
_ESR = CauseLine("high ESR", "reservoir", "the reservoir capacitor has a high ESR", "40 ohm more", 0.02)
_WEAK = CauseLine("valve weak", "output 1", "output valve 1 is weak", "40 % of its current left", 0.03)
_RIPPLE = ReadingLine("full wall", "reservoir AC", "V", 14.2, 4.5, 13.9, 9.1, wrong=False)
_OHMS = ReadingLine("cold", "ht a ohms", "ohm", 20e6, 33.0, 33.0, 30.0, wrong=True)

REPORT = FaultReport(
    title="Two-EL34 head",
    groups=(GroupLine(0.9, (_DRIED, _ESR)), GroupLine(0.06, (_WEAK,)), GroupLine(0.04, ())),
    two=None,
    unexplained=(_OHMS,),
    off=(_OHMS, _RIPPLE),
    steps=(
        StepLine(
            "bridge a good capacitor of the same value across reservoir", "nothing else is cured by it",
            6.0, 0.4, "power off, drained",
            (("the reservoir capacitor has dried up", "cured"), ("nothing wrong", "no change")),
        ),
    ),
    silent=3,
    considered=76,
    readings=12,
    left_out=("mains watts at a tenth: read in VA, where W is wanted",),
    cautions=(
        "Highest voltage: 512 V DC at reservoir; valves out, high mains.", "A variac does not isolate.",
    ),
)  # fmt: skip


def _shown(report: FaultReport, width: int) -> str:
    file = io.StringIO()
    words.console(file, width=width, colour=False).print(fault_screen(report))
    return "\n".join(line.rstrip() for line in file.getvalue().splitlines())


@pytest.mark.parametrize("width", [80, 120])
def test_the_screen(width: int, snapshot: SnapshotAssertion) -> None:
    assert _shown(REPORT, width) == snapshot


def test_nothing_wrong_and_two_faults_are_said_first(snapshot: SnapshotAssertion) -> None:
    sound = replace(
        REPORT, groups=(GroupLine(0.8, ()), GroupLine(0.2, (_WEAK,))), unexplained=(), off=(), steps=()
    )
    assert sound.sound
    assert _shown(sound, 80) == snapshot
    two = replace(REPORT, two=(_DRIED, _WEAK))
    assert not replace(two, groups=sound.groups).sound
    assert _shown(two, 80) == snapshot


@pytest.mark.parametrize("report", [REPORT, replace(REPORT, two=(_DRIED, _WEAK))])
def test_the_document_keeps_to_the_schema(report: FaultReport) -> None:
    whole = schema()
    wanted = {"$schema": whole["$schema"], "$ref": "#/$defs/faultfind", "$defs": whole["$defs"]}
    document = fault_document(report)
    jsonschema.Draft202012Validator(wanted).validate(document)
    dump(document)
    document["faultfind"]["surprise"] = 1
    with pytest.raises(jsonschema.ValidationError, match="surprise"):
        jsonschema.Draft202012Validator(wanted).validate(document)
