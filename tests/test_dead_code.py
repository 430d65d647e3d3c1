"""No name of the package is defined and never used: what only tests use is no part of the program.

A name counts as used wherever it is read in `src`, so one that shares its name with another may be passed over.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path

from parsed import parsed

from greenrota import __all__ as front_door

PACKAGE = Path(__file__).parent.parent / "src" / "greenrota"

# Names that are called or read by others than our own code, and by whom.
USED_ELSEWHERE = {
    "format_commands": "typer, when it prints the commands by section",
    "a5": "typer, as a choice of --size",
    "photo": "typer, as a choice of --size",
    "model_config": "pydantic",
    "default_schema": "pydantic, for the JSON Schema",
    "field_title_should_be_set": "pydantic, for the JSON Schema",
    "json_schema_text": "tests/docs/refresh.py, which writes docs/plan.schema.json",
    "popitem": "nobody: it closes a way in which a dict is changed",
    "formula": "the tests, which work molar masses out of it atom by atom",
    "STATUSES": "the tests, which hold every figure that ships against it",
    "to_day": "unpacked with the rest of its tuple",
    "ceiling_by": "notebooks, from `culture_of`",
    "read_book": "the tests, for a book without archives",
}
_OWN_DECORATORS = (
    "property",
    "staticmethod",
    "classmethod",
    "contextmanager",
    "cache",
    "dataclass",
    "override",
)


def trees() -> list[ast.Module]:
    """All modules of the package."""
    return [parsed(path) for path in sorted(PACKAGE.rglob("*.py"))]


def defined(trees: Iterable[ast.Module]) -> Iterator[str]:
    """Functions, classes, constants and fields; not what a library collects by its decorator."""
    for tree in trees:
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.ClassDef):
                named = [ast.unparse(each).split("(")[0] for each in node.decorator_list]
                if all(name in _OWN_DECORATORS for name in named):
                    yield node.name
            elif isinstance(node, ast.Assign | ast.AnnAssign):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                for target in targets:
                    yield from (each.id for each in ast.walk(target) if isinstance(each, ast.Name))


def used(trees: Iterable[ast.Module]) -> set[str]:
    """Names that are read, and attributes; commands by their line in a table (`Listed`), which names them in texts."""
    found = set()
    for tree in trees:
        for node in ast.walk(tree):
            if isinstance(node, ast.Name | ast.Attribute) and isinstance(node.ctx, ast.Load):
                found.add(node.id if isinstance(node, ast.Name) else node.attr)
            elif isinstance(node, ast.Call) and ast.unparse(node.func) == "Listed":
                found |= {each.value for each in node.args if isinstance(each, ast.Constant)}
    return found


def unused(trees: Iterable[ast.Module], known: Iterable[str]) -> set[str]:
    trees = list(trees)
    names = {name for name in defined(trees) if not name.startswith("__") and name != "_"}
    return names - used(trees) - set(known)


def test_no_name_is_defined_and_never_used() -> None:
    assert unused(trees(), {*USED_ELSEWHERE, *front_door}) == set()


def test_no_exception_is_left_over() -> None:
    assert set(USED_ELSEWHERE) <= unused(trees(), front_door)


def test_a_function_a_field_and_a_constant_that_nobody_reads_are_found() -> None:
    source = "LEFT = 1\nKEPT = 2\nclass Jar:\n    lid: str\n    fill: float\ndef pour(jar): return jar.fill * KEPT\n"
    assert unused([ast.parse(source)], ()) == {"LEFT", "Jar", "lid", "pour"}
