"""The page of checks lists every file that a test compares with, once, and nothing else.

Truth: the tree itself. Found are files beside code, pages that hold output of the program, and tests with figures that
were published.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import pytest

TREE = Path(__file__).parents[2]
JUDGES = ("published", "certified", "snapshot only", "remade", "input")
_ROW = re.compile(r"^- (?P<files>`[^:]+`): (?P<holds>[^;]+); (?P<judge>[^;]+); (?P<where>[^;]+)$", re.M)
_MADE = re.compile(r"^(?:<!-- ?(?:made|table)|```console|>>> )", re.MULTILINE)
_PUBLISHED = re.compile(r"# (?:published|certified)\b")


def rows() -> list[dict[str, str]]:
    page = (TREE / "docs" / "checks.md").read_text(encoding="utf-8")
    part = page.partition("## Golden files\n")[2].partition("\n## ")[0]
    lines = re.sub(r"\n +", " ", part)  # a line may be wrapped
    found = [row.groupdict() for row in _ROW.finditer(lines)]
    assert len(found) == len(re.findall(r"^- ", lines, re.M))  # no line is passed over
    return found


def is_golden(file: Path) -> bool:
    """Whether a test compares with what stands in a file."""
    if "__pycache__" in file.parts or not file.is_file():
        return False
    if file.suffix == ".py":
        return bool(_PUBLISHED.search(file.read_text(encoding="utf-8")))
    return file.suffix != ".md" or bool(_MADE.search(file.read_text(encoding="utf-8")))


def golden() -> set[str]:
    """Every golden file of the tree."""
    files = [
        *TREE.glob("*.md"),
        *(f for name in ("docs", "examples", "tests") for f in (TREE / name).rglob("*")),
    ]
    return {file.relative_to(TREE).as_posix() for file in files if is_golden(file)}


def listed(row: dict[str, str]) -> list[str]:
    """The golden files of a row."""
    found = [file for name in re.findall(r"`([^`]+)`", row["files"]) for file in TREE.glob(name)]
    return [file.relative_to(TREE).as_posix() for file in found if is_golden(file)]


def test_every_golden_file_stands_in_one_row() -> None:
    counts = Counter(name for row in rows() for name in listed(row))
    assert golden() - counts.keys() == set()
    assert [name for name, times in counts.items() if times > 1] == []


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["files"])
def test_a_row_has_its_files_its_judge_and_its_test(row: dict[str, str]) -> None:
    for name in re.findall(r"`([^`]+)`", row["files"]):
        assert any(is_golden(file) for file in TREE.glob(name)), name
    assert row["judge"].startswith(JUDGES)
    tests = re.findall(r"`(tests/[\w/]+\.py)`", row["where"])
    assert tests or row["where"] in ("itself", "themselves")
    assert all((TREE / test).is_file() for test in tests)


def test_a_file_that_nobody_lists_would_be_found(tmp_path: Path) -> None:
    made, plain, figures = (tmp_path / name for name in ("made.md", "plain.md", "test_it.py"))
    made.write_text("text\n```console\n$ greenrota\n```\n", encoding="utf-8")
    plain.write_text("text\n", encoding="utf-8")
    figures.write_text(f"LIGHT = 3  {'#'} published: somebody\n", encoding="utf-8")
    assert [is_golden(file) for file in (made, plain, figures)] == [True, False, True]
