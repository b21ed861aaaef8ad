import json
import math
from dataclasses import replace

import jsonschema
import pytest
from syrupy.assertion import SnapshotAssertion

from psucheck.figures.model import Figures
from psucheck.report import document
from psucheck.report.view import Report


def with_node(report: Report, dc: float) -> Report:
    def changed(run: Figures) -> Figures:
        return replace(run, nodes={"reservoir": replace(run.nodes["reservoir"], dc=dc)})

    return replace(report, figures={name: changed(run) for name, run in report.figures.items()})


def test_the_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(document.schema())


@pytest.mark.parametrize("name", ["report", "swapped"])
def test_the_document_keeps_to_the_schema(name: str, request: pytest.FixtureRequest) -> None:
    report: Report = request.getfixturevalue(name)
    read = json.loads(document.dump(document.document(report)))
    jsonschema.Draft202012Validator(document.schema()).validate(read)


@pytest.mark.parametrize("part", ["findings", "conditions"])
def test_the_schema_refuses_what_it_does_not_know(report: Report, part: str) -> None:
    content = document.document(report)
    content[part][0]["surprise"] = 1
    with pytest.raises(jsonschema.ValidationError, match="surprise"):
        jsonschema.Draft202012Validator(document.schema()).validate(content)


def test_one_condition_and_the_findings_in_full(report: Report, snapshot: SnapshotAssertion) -> None:
    few = replace(
        report,
        figures={name: report.figures[name] for name in ("switch-on, high mains",)},
        findings=report.findings[:2],
    )
    assert document.dump(document.document(few)) == snapshot


def test_the_contract_of_the_outputs(report: Report) -> None:
    content = document.document(report)
    assert list(content)[:6] == ["schema", "title", "supply", "conditions", "findings", "cautions"]
    assert content["schema"] == "psucheck/1"
    idle = next(c for c in content["conditions"] if c["name"] == "idle, nominal mains")
    assert idle["mains"] == 230.0
    assert idle["nodes"]["reservoir"]["dc"] == pytest.approx(431.0)
    assert idle["windings"]["ht"]["rms_current"] == pytest.approx(
        max(idle["windings"]["ht"]["sections"]["rms_current"])
    )
    assert idle["rectifiers"]["ht"]["mean_current"] == pytest.approx(0.089)
    first = content["findings"][0]
    assert (first["verdict"], first["figure"], first["limit"], first["margin"]) == (
        "over",
        532.4,
        500.0,
        -0.065,
    )


def test_the_supply_marks_what_was_assumed(report: Report) -> None:
    supply = document.document(report)["supply"]
    assert supply["assumed"]["windings.heaters.resistance"] == "guess"
    assert supply["filter"]["bias"]["from"] == "rectifiers.bias"
    assert supply["filter"]["reservoir"]["capacitor"]["value"] == 5e-05
    assert "wall" in supply["mains"]
    assert "impedance" not in supply["mains"]


def test_the_same_report_gives_the_same_bytes(swapped: Report) -> None:
    once, again = (document.dump(document.document(swapped)) for _ in range(2))
    assert once == again
    assert once.isascii()
    assert once.endswith("}\n")


def test_figures_are_given_to_six_digits(report: Report) -> None:
    content = document.document(with_node(report, 441.23456789))
    assert content["conditions"][0]["nodes"]["reservoir"]["dc"] == 441.235


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_figure_that_is_none_is_refused_by_its_place(report: Report, value: float) -> None:
    with pytest.raises(document.DocumentError, match=r"conditions\[0\]\.nodes\.reservoir\.dc is"):
        document.document(with_node(report, value))


def test_dump_has_no_nan() -> None:
    with pytest.raises(document.DocumentError):
        document.dump({"figure": math.nan})


def test_the_supply_as_found_is_nested_whole(swapped: Report) -> None:
    content = document.document(replace(swapped, reset=swapped.found))
    assert content["reset"] == content["found"]
    jsonschema.Draft202012Validator(document.schema()).validate(content)
    assert [tap["name"] for tap in content["taps"]] == ["220 V", "230 V", "245 V"]
    assert "schema" not in content["found"]
    assert content["found"]["conditions"][0]["name"] == "valves out, nominal mains"
    assert "found" not in document.document(replace(swapped, found=None))
