"""The words page: in order, each once, each name stands in the code, and the words no page shows are shown by none."""

import ast
import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from console import TREE
from parsed import parsed
from run_here import run_here

from greenrota.cli.system.rota_at import load_plan
from greenrota.cli.table import COMMANDS
from greenrota.rota.answers.away import departures
from greenrota.rota.schedule import schedule
from greenrota.views.away.away import away_page
from greenrota.views.check.warning import warnings_text
from greenrota.views.month.month import month
from greenrota.views.month.month_text import month_text
from greenrota.views.tasks.agenda import agenda
from greenrota.views.tasks.care import cautions_page
from greenrota.views.today.today import today_page
from greenrota.views.vessel.growth import growth_page

SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in sorted((TREE / "src").rglob("*.py")))


def _rows() -> list[tuple[str, str]]:
    """Every term of the page with its names in the code."""
    page = (TREE / "docs" / "words.md").read_text(encoding="utf-8").split("## Units")[0]
    lines = re.sub(r"\n +", " ", page)
    rows = re.findall(r"^- \*\*([^*]+)\*\*.*\((`[^()]+`)\)$", lines, re.MULTILINE)
    assert len(rows) == len(re.findall(r"^- ", lines, re.MULTILINE))  # no line is passed over
    return rows


def test_the_terms_stand_in_order_and_each_once() -> None:
    terms = [row[0].lower().replace("-", " ") for row in _rows()]
    assert len(terms) > 50
    assert terms == sorted(set(terms))


def test_every_name_is_one_of_the_code() -> None:
    named = [name for row in _rows() for name in re.findall(r"`([^`]+)`", row[1])]
    assert len(named) > 50
    for name in named:
        for word in re.findall(r"\w+", re.sub(r":[A-Z]+", "", name)):
            assert re.search(rf"\b{word}\b" if word[0] != "_" else word, SOURCE), name


def _unshown() -> list[str]:
    page = (TREE / "DEVELOPERS.md").read_text(encoding="utf-8").split("\n### Words no page shows\n")[1]
    page = page.split("\n##")[0]
    return re.findall(r"^- ([^:]+):", page, re.MULTILINE)


def _shows(text: str) -> list[str]:
    """The words in a text that no page shows, but for kinds of the logbook behind "log" and keys in quotes."""
    bare = re.sub(r"\blog \w+|`[^`]*`|[\w-]*-home\b", "", text)
    return [word for word in _unshown() if re.search(rf"\b{word}s?\b", bare, re.IGNORECASE)]


def _prose(tree: ast.Module) -> Iterator[str]:
    """The texts of a module that hold a space and are no docstring: what may come to a page or into a message."""
    owners = (ast.Module, ast.ClassDef, ast.FunctionDef)
    docs = {
        id(node.body[0].value) for node in ast.walk(tree) if isinstance(node, owners) and _documented(node)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield from [node.value] if " " in node.value else []


def _documented(node: ast.Module | ast.ClassDef | ast.FunctionDef) -> bool:
    return (
        bool(node.body)
        and isinstance(node.body[0], ast.Expr)
        and isinstance(node.body[0].value, ast.Constant)
    )


def test_the_list_is_not_empty_and_the_search_finds() -> None:
    assert {"home", "bench", "pinned", "condemned", "open day"} <= set(_unshown())
    assert _shows("no second living home") == ["home"]
    assert _shows("the last open days") == ["open day"]
    assert not _shows("then: greenrota log condemned NAME [one-home]")


@pytest.mark.parametrize("path", sorted((TREE / "src").rglob("*.py")), ids=lambda path: path.name)
def test_no_message_uses_a_word_that_is_not_shown(path: Path) -> None:
    for text in _prose(parsed(path)):
        assert not _shows(text), text


@pytest.mark.parametrize("name", ["shelf", "us-pair"])
def test_no_page_shows_one(name: str) -> None:
    rota = schedule(load_plan(TREE / "examples" / f"{name}.toml"))
    pages = [
        agenda(rota, rota.tasks, 80, reasons=True),
        month_text(month(rota), 80),
        away_page(rota, departures(rota), 80),
        warnings_text(rota.warnings, 80),
        cautions_page(80),
        *(today_page(rota, rota.as_of + timedelta(days=n), 80) for n in (2, 9, 12)),
        *(growth_page(rota, vessel, 80) for vessel in rota.benches),
    ]
    for page in pages:
        assert not _shows(page), _shows(page)


# A shelf after a crash and with a bottle that was found bad; every way out of it that a keeper reads.
_LIVED = """\
2027-02-03 started north from=starter:bought inoculum=375mL n=1
2027-02-10 started south from=north/1 inoculum=1500mL n=2
2027-02-10 harvested north volume=900mL keep=1600mL n=3
2027-02-10 reseeded north inoculum=1600mL n=4
2027-02-12 condemned harvest:north/1 n=5
2027-02-21 crashed north cause=contamination since=2027-02-17 n=6
"""
_PAGES = (
    *(
        "check",
        "month",
        "tasks",
        "today",
        "away",
        "bottles",
        "changes",
        "lineage",
        "supplies",
        "card",
        "cautions",
    ),
    *(
        "tasks --why all",
        "growth south",
        "calibrate south",
        "log list",
        "risk --seasons 5",
        "card --html c.html",
    ),
    *("month --html m.html", "sheet s.html", "labels l.html", "calendar t.ics"),
)


def test_no_page_of_a_shelf_that_was_lived_with_shows_one(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_bytes((TREE / "examples" / "shelf.toml").read_bytes())
    (tmp_path / "plan.log").write_text(_LIVED, encoding="utf-8")
    told = []
    for words in _PAGES:
        takes_day = words not in ("log list", "cautions")
        told.append(run_here(tmp_path, *words.split(), *(("--on", "2027-02-21") if takes_day else ())))
    assert [done.returncode for done in told] == [0] * len(told)
    files = sorted(path for path in tmp_path.iterdir() if path.suffix in (".html", ".ics"))
    assert len(files) == 5
    texts = [done.stdout + done.stderr for done in told] + [
        path.read_text(encoding="utf-8") for path in files
    ]
    assert any("bad, looked at and found bad" in text for text in texts)
    for text in texts:
        said = re.sub(r"\b20\d\d-\d\d-\d\d condemned ", "", text)  # a line of the logbook as it stands there
        assert not _shows(said), [line for line in said.splitlines() if _shows(line)]


def test_no_help_shows_one(tmp_path: Path) -> None:
    names = [each.name for each in COMMANDS]
    helps = [run_here(tmp_path, *words, "--help").stdout for words in ([], *([name] for name in names))]
    assert len(helps) > 20
    for text in helps:
        said = text.replace("cleared, condemned", "")  # kinds of the logbook, as they are typed
        assert not _shows(said), [line for line in said.splitlines() if _shows(line)]


_TOLD = [TREE / "README.md", *sorted((TREE / "docs").rglob("*.md"))]


@pytest.mark.parametrize("page", _TOLD, ids=lambda page: page.name)
def test_no_page_of_the_docs_uses_one(page: Path) -> None:
    """But for kinds of the logbook, keys and names of the code as they are typed."""
    text = page.read_text(encoding="utf-8").replace("/home/you", "")
    typed = re.sub(r"(?s)^```python\n.*?^```$", "", text, flags=re.MULTILINE)
    said = typed.replace("cleared, condemned", "")
    assert not _shows(said), (page.name, _shows(said))


# Folders whose names are held free of the retired words; the others still hold some.
PLAIN_FOLDERS = ("rota", "risk")
PLAIN_PLURALS = ("visits",)  # those that a keeper pays to a vessel, as pages count them


def _retired() -> set[str]:
    page = (TREE / "DEVELOPERS.md").read_text(encoding="utf-8").split("\n### Retired words\n")[1]
    page = page.split("\n##")[0]
    rows = re.findall(r"^- ([^:]+):", page, re.MULTILINE)
    return {word.strip() for row in rows for word in row.split(",")}


def _defined(tree: ast.Module) -> Iterator[str]:
    """Every name that a module gives to something: functions, classes, parameters, variables, fields, attributes."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.arg):
            yield node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            yield node.attr


def _retired_in(name: str) -> set[str]:
    """The retired words a name is made of, in the plural too: `told_ml` and `RiskTold` both hold one."""
    words = re.sub(r"(?<=[a-z])(?=[A-Z])", "_", name).lower().split("_")
    singular = [word.removesuffix("s") for word in words if word not in PLAIN_PLURALS]
    return _retired().intersection([*words, *singular])


def test_no_name_is_made_of_a_retired_word() -> None:
    found = [
        f"{path.relative_to(TREE)}: {name}"
        for folder in PLAIN_FOLDERS
        for path in sorted((TREE / "src" / "greenrota" / folder).rglob("*.py"))
        for name in [path.stem, *_defined(parsed(path))]
        if _retired_in(name)
    ]
    assert found == []


def test_a_retired_word_inside_a_name_is_found() -> None:
    source = "class RiskTold:\n    def walk(self, told_ml, standings): self.shelf = told_ml\n"
    assert [name for name in _defined(ast.parse(source)) if _retired_in(name)] == [
        "RiskTold",
        "walk",
        "told_ml",
        "standings",
        "shelf",
    ]


def test_no_retired_word_is_a_term_of_the_page() -> None:
    terms = {row[0].lower() for row in _rows()}
    assert len(_retired()) > 10 and not terms & _retired()
