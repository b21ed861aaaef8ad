"""The contract of docs/json.md: the documents of the examples are what the schema says."""

from __future__ import annotations

import json

import jsonschema
import pytest

from docs.build import run
from psucheck.report import document


@pytest.mark.parametrize("name", ["two-el34-head", "transformer-swap"])
def test_the_documents_of_the_examples_fit_the_schema(name: str) -> None:
    text = run(("check", f"netlists/{name}.toml", "--json"))
    text.encode("ascii")
    jsonschema.Draft202012Validator(document.schema()).validate(json.loads(text))
