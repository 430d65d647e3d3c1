"""The words page: in order, each once, and each name it gives stands in the code or in a plan."""

import re

from console import TREE

SOURCE = "\n".join(path.read_text(encoding="utf-8") for path in sorted((TREE / "src").rglob("*.py")))


def _rows() -> list[list[str]]:
    page = (TREE / "docs" / "words.md").read_text(encoding="utf-8").split("## Units")[0]
    rows = [line.strip("|").split("|") for line in page.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in row] for row in rows][1:]


def test_the_terms_stand_in_order_and_each_once() -> None:
    terms = [row[0].lower().replace("-", " ") for row in _rows()]
    assert len(terms) > 50
    assert terms == sorted(set(terms))


def test_every_name_is_one_of_the_code() -> None:
    named = [name for row in _rows() for name in re.findall(r"`([^`]+)`", row[3])]
    assert len(named) > 50
    for name in named:
        for word in re.findall(r"\w+", re.sub(r":[A-Z]+", "", name)):
            assert re.search(rf"\b{word}\b" if word[0] != "_" else word, SOURCE), name
