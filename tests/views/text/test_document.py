"""JSON by one mechanism: every command that answers in JSON writes through one function."""

import ast
import json
from pathlib import Path

import pytest
from parsed import parsed

from greenrota.views.text.document import json_document

PACKAGE = Path(__file__).parents[3] / "src" / "greenrota"
# what writes JSON and is no answer of a command: a schema file, the record of earlier calendars, data for a typeset
# page, and a name in the quotes of TOML
OTHERS = {
    "planfile/tables/jsonschema.py",
    "views/calendar/exported.py",
    "rota/earlier/text.py",
    "views/paper/typeset.py",
    "views/vessel/calibrate.py",
}


def _dumps(path: Path) -> bool:
    return any(
        (isinstance(node, ast.Attribute) and node.attr in ("dumps", "dump"))
        or (isinstance(node, ast.alias) and node.name in ("dumps", "dump"))
        for node in ast.walk(parsed(path))
    )


def test_one_module_writes_the_answers() -> None:
    writing = {path.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py") if _dumps(path)}
    assert writing == {"views/text/document.py", *OTHERS}


def test_the_format_comes_first_and_letters_stay_as_they_are() -> None:
    text = json_document("greenrota/test/1", {"name": "Grünalge", "left_ml": 1.5})
    assert list(json.loads(text)) == ["format", "name", "left_ml"]
    assert "Grünalge" in text


def test_a_number_that_json_does_not_know_is_refused() -> None:
    with pytest.raises(ValueError, match="JSON compliant"):
        json_document("greenrota/test/1", {"left_ml": float("nan")})
