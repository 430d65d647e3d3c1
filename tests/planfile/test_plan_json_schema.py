"""The JSON Schema: the committed file is the generated one, and it tells right plans from wrong ones."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator, FormatChecker
from plan_texts import FULL, SHORT, changed

from greenrota.planfile.read.blank import blank_plan
from greenrota.planfile.read.load import read_plan
from greenrota.planfile.tables.jsonschema import json_schema, json_schema_text
from greenrota.planfile.tables.schema import PlanTable

ROOT = Path(__file__).parents[2]
RENEW = "from greenrota.planfile.tables.jsonschema import json_schema_text as t; print(t(), end='')"


def as_editors_see(value: Any) -> Any:
    """A TOML document as JSON: dates become text."""
    if isinstance(value, dict):
        return {key: as_editors_see(item) for key, item in value.items()}
    if isinstance(value, list):
        return [as_editors_see(item) for item in value]
    return value.isoformat() if isinstance(value, date) else value


def faults(text: str) -> list[str]:
    validator = Draft202012Validator(json_schema(), format_checker=FormatChecker())
    return [error.message for error in validator.iter_errors(as_editors_see(tomllib.loads(text)))]


def test_the_committed_file_is_the_generated_one() -> None:
    committed = ROOT.joinpath("docs", "plan.schema.json").read_text(encoding="utf-8")
    assert committed == json_schema_text(), f'renew: python -c "{RENEW}" > docs/plan.schema.json'


def test_it_is_a_schema() -> None:
    Draft202012Validator.check_schema(json_schema())


def test_right_plans_pass() -> None:
    examples = [path.read_text(encoding="utf-8") for path in ROOT.joinpath("examples").glob("*.toml")]
    for text in [FULL, SHORT, blank_plan(date(2027, 1, 31)), *examples]:
        read_plan(text, "plan.toml")
        assert faults(text) == []


@pytest.mark.parametrize(
    "text",
    [
        changed('fill = "4 L"', 'fil = "4 L"'),
        changed('fill = "4 L"', "fill = 4"),
        changed('fill = "4 L"', 'fill = "4 ML"'),
        changed('fill = "4 L"', 'fill = "4,5 L"'),
        changed('fill = "4 L"', 'fill = "35 ppt"'),
        changed("days = 31", "days = 500"),
        changed("start = 2027-02-01", 'start = "soon"'),
        SHORT + "[cycle]\ninoculum = 20\n",
        SHORT + '[output]\nunits = "US"\n',
        SHORT.replace("[rota]", "[rotas]"),
    ],
)
def test_wrong_plans_fail(text: str) -> None:
    assert len(faults(text)) >= 1


def test_every_key_is_described() -> None:
    tables = json_schema()["$defs"]
    assert len(tables) == len(PlanTable.model_fields)
    assert [
        k
        for t in tables.values()
        for k, v in t["properties"].items()
        if k not in v and "description" not in v and k != "name"
    ] == []
