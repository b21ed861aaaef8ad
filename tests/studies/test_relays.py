"""A supply with two HT rails, DC heaters and a relay rail, checked from its description to its report."""

from __future__ import annotations

from functools import cache

import jsonschema
import pytest

from psucheck.circuit.condition import Condition
from psucheck.conditions.run import run_conditions
from psucheck.engine.here import Here
from psucheck.figures.measure import measure
from psucheck.report.document import document, schema
from psucheck.report.view import Report
from tests.conditions.supplies import SUPPLIES
from tests.engine_runs import described, readings_of
from tests.studies.in_process import checked

_RAIL = """
[rectifiers.low]
circuit = "bridge"
winding = "low"
device = "1N5408"
[filter.low]
from = "rectifiers.low"
capacitor = "4700 uF 25 V"
[filter."dc heaters"]
from = "low"
resistor = "2.2 ohm 5 W"
capacitor = "4700 uF 25 V"
[loads.heaters]
node = "dc heaters"
heaters = "2 x ECC83"
at = "12.6 V"
[loads.relay]
node = "low"
relay = {{ pull_in = "{pull_in}", resistance = "360 ohm" }}
"""


def _text(pull_in: str = "8.4 V") -> str:
    winding = 'low = "12.5 V off load at 236 V, 0.3 ohm, 2 A"\n[rectifiers.ht]'
    return SUPPLIES["two rails"].replace("[rectifiers.ht]", winding, 1) + _RAIL.format(pull_in=pull_in)


@cache
def _report() -> Report:
    return checked(_text())


def test_each_rail_stands_on_its_own_winding() -> None:
    nodes = _report().figures["valves out, wall mains"].nodes
    assert nodes["reservoir"].dc == pytest.approx(300 * 2**0.5, rel=0.02)
    assert nodes["screens"].dc == pytest.approx(250 * 2**0.5, rel=0.02)
    # Two diodes of a low-voltage bridge take 1 to 2 V, the relay's 40 mA next to nothing.
    assert nodes["low"].dc == pytest.approx(12.5 * 2**0.5 - 1.5, abs=0.5)


def test_the_heaters_pull_their_rail_down_and_go_with_the_valves() -> None:
    idle, out = (_report().figures[f"{state}, wall mains"] for state in ("idle", "valves out"))
    drop = idle.nodes["low"].dc - idle.nodes["dc heaters"].dc
    assert drop / 2.2 == pytest.approx(idle.nodes["dc heaters"].dc / (12.6 / 0.3), rel=0.01)
    assert out.nodes["low"].dc == pytest.approx(out.nodes["dc heaters"].dc, abs=0.02)


def test_the_mains_at_which_the_relay_pulls_in_is_a_steady_state_of_its_own() -> None:
    (relay,) = _report().relays
    filled = described(_text())
    for state, mains in (("idle", relay.pull_in_mains), ("valves out", relay.pull_in_mains_valves_out)):
        assert mains is not None
        (outcome,) = run_conditions(
            filled,
            [Condition(state, "low", mains)],  # type: ignore[arg-type]
            readings_of(filled),
            Here(),
        )
        assert measure(outcome).nodes["low"].dc == pytest.approx(8.4, rel=3e-3)
    assert relay.pull_in_mains is not None
    assert relay.pull_in_mains > (relay.pull_in_mains_valves_out or 0.0)


def test_it_is_told_in_the_document_with_its_verdict() -> None:
    content = document(_report())
    jsonschema.validate(content, schema())
    (relay,) = content["relays"]
    assert (relay["name"], relay["node"], relay["verdict"]) == ("relay", "low", "ok")
    low = _report().figures["idle, low mains"].nodes["low"].dc
    assert relay["at_low_mains"] == pytest.approx(low, rel=1e-5)


def test_a_relay_that_no_mains_pulls_in_has_no_figure() -> None:
    report = checked(_text("60 V"))
    (relay,) = report.relays
    assert (relay.pull_in_mains, relay.pull_in_mains_valves_out) == (None, None)
    (finding,) = [one for one in report.findings if one.rule == "relay-pull-in"]
    assert finding.verdict == "over"
