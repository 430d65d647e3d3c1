"""The reference tells what there is: keys, commands, codes, fields and words, no more and no less."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from codes import codes_in, problem_codes, warning_codes
from json_fields import pattern, printed, told
from make_reference import MADE, PAGES, ROOT, parts_of, renewed
from plan_keys import tables
from shelf_life import PLAN, VESSEL
from typer.testing import CliRunner

from greenrota.cli.main import COMMANDS, build
from greenrota.cli.reckon import RECKONINGS
from greenrota.logbook.vocabulary import KINDS

REFERENCE = ROOT / "docs" / "reference"
_CODE = re.compile(r"^\| `([a-z-]+)` \|", re.MULTILINE)


def page(name: str) -> str:
    return (REFERENCE / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_the_made_parts_are_as_the_program_has_them(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert renewed(text) == text, "run: python tests/docs/make_reference.py"


def test_every_made_part_stands_on_one_page() -> None:
    parts = [part for path in PAGES for part in parts_of(path.read_text(encoding="utf-8"))]
    assert sorted(parts) == sorted(MADE)


def test_a_stale_part_is_seen() -> None:
    stale = "<!-- made: causes -->\nold\n<!-- end -->"
    assert renewed(stale) != stale
    assert renewed(renewed(stale)) == renewed(stale)


def test_every_key_is_told_with_its_meaning() -> None:
    for name, model in tables().items():
        assert all(field.description for field in model.model_fields.values()), name


def test_every_problem_and_warning_has_an_entry_and_no_entry_is_of_none() -> None:
    problems, warnings = page("problems.md").split("\n## Warnings\n")
    assert sorted(_CODE.findall(problems)) == sorted(problem_codes())
    assert sorted(_CODE.findall(warnings)) == sorted(warning_codes())


@pytest.mark.parametrize(
    ("source", "codes"),
    [
        ('Problem("new-code", where, "what")', {"new-code"}),
        ('found = Problem(code="new-code")', {"new-code"}),
        ('Caveat("brim", "text")', {"brim"}),
        ('yield "carbon", "text"', {"carbon"}),
        ('refusal(f"unknown-{to}", "what")', {"unknown-strain", "unknown-medium", "unknown-nutrient"}),
        ('"""a doc-string"""\ncause = "air-failure"', set()),
    ],
)
def test_codes_are_found_where_they_are_made(source: str, codes: set[str]) -> None:
    assert codes_in(source, yields_warnings=True) == codes


def test_every_option_of_the_help_is_on_the_page() -> None:
    """The help is what typer makes of the signatures; the page reads them itself."""
    text = page("commands.md")
    names = [command.__name__ for _, command, _ in COMMANDS]
    names += [f"reckon {command.__name__}" for _, command, _ in RECKONINGS]
    for name in names:
        section = text.split(f"\n### {name}\n")[1].split("\n##")[0]
        shown = CliRunner().invoke(build(), [*name.split(), "--help"], env={"COLUMNS": "200"}).stdout
        options = set(re.findall(r"^ +(?:-h, )?(--[a-z-]+)", shown, re.MULTILINE)) - {"--help"}
        assert options == set(re.findall(r"^\| `(--[a-z-]+)", section, re.MULTILINE)), name


def test_every_kind_of_entry_is_explained() -> None:
    explained = page("logbook.md").split("| kind | what happened")[1].split("## Keys")[0]
    assert _CODE.findall(explained) == list(KINDS)


def test_every_field_of_every_json_format_is_told_and_every_one_told_is_there(tmp_path: Path) -> None:
    plan = PLAN.format(starter="1 L") + "".join(VESSEL.format(name=name) for name in ("north", "south"))
    plan = plan.replace("days = 28", "days = 24").replace('"16 h"', '"14 h"')
    there, on_page = printed(tmp_path, plan), told()
    assert there.keys() == on_page.keys()
    for name, fields in there.items():
        patterns = [pattern(field) for field in on_page[name]]
        lacking = {field for field in fields if not any(each.fullmatch(field) for each in patterns)}
        empty = {field for field in lacking if any(each.startswith(f"{field}.") for each in on_page[name])}
        assert not lacking - empty, name
        idle = {each.pattern for each in patterns if not any(each.fullmatch(field) for field in fields)}
        assert not idle, name


def test_the_example_in_python_runs() -> None:
    text = (ROOT / "docs" / "reference.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"^```python\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    done = subprocess.run(
        [sys.executable, "-c", example], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("/") >= 3
