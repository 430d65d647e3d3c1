"""Mutants of the core drawn by chance: one spot of the code changed, and whether a near test notices.

Run by hand, some minutes for ten: python tests/bench/sampled_mutants.py SEED COUNT [FOLDER ...]
Folders are those of `src/greenrota`. A copy of the tree is changed, never the tree. Prints every survivor as a
difference; docs/mutation.md says what came of them. Prose (texts with a space, f-strings) and `raise` are left alone.
"""

from __future__ import annotations

import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

TREE = Path(__file__).parents[2]
CORE = [f"rota/{name}" for name in ("search", "state", "simulate", "replay", "earlier", "answers", "feed")]
FOLDERS = [*CORE, "logbook/archive"]
SECONDS = 600  # our choice: a mutant that takes longer never ends
# Laws that take seconds each: a mutant that only they see counts as a survivor.
SLOW = (
    "test_never_worse_than_a_calendar or test_no_way_to_decide_is_better or test_no_day_is_better or "
    "test_every_kind_of_claim or test_a_lived_rota_is_the_same or test_whatever_stands or "
    "test_a_crash_moves_no_task or test_looking_further_changes or test_what_is_remembered_changes_no_fact or "
    "test_laws_of_bottles or test_a_life_with or test_a_rota_kept_to or test_later_days_are_kept"
)
LAST = ("test_search.py", "test_lived_laws.py", "test_cache.py", "test_restart_reasons.py", "test_further.py")
COMPARED = {
    ast.Lt: ("<", "<="),
    ast.LtE: ("<=", "<"),
    ast.Gt: (">", ">="),
    ast.GtE: (">=", ">"),
    ast.Eq: ("==", "!="),
    ast.NotEq: ("!=", "=="),
    ast.In: ("in", "not in"),
    ast.NotIn: ("not in", "in"),
    ast.Is: ("is", "is not"),
    ast.IsNot: ("is not", "is"),
}
RECKONED = {
    ast.Add: ("+", "-"),
    ast.Sub: ("-", "+"),
    ast.Mult: ("*", "/"),
    ast.Div: ("/", "*"),
    ast.FloorDiv: ("//", "/"),
    ast.Mod: ("%", "/"),
    ast.Pow: ("**", "*"),
    ast.BitOr: ("|", "&"),
    ast.BitAnd: ("&", "|"),
}


class Spot(NamedTuple):
    """A stretch of a file, in bytes, and what is put in its place."""

    path: Path
    start: int
    end: int
    text: str


def spots(path: Path) -> Iterator[Spot]:
    """Every change of a file that can still be read as Python."""
    data = path.read_bytes()
    tree = ast.parse(data)
    begins = [0]
    for line in data.splitlines(keepends=True):
        begins.append(begins[-1] + len(line))
    left_alone = {
        id(inner) for node in ast.walk(tree) for part in _left_alone(node) for inner in ast.walk(part)
    }
    for node in ast.walk(tree):
        if id(node) in left_alone:
            continue
        for first, last, old, new in _changes(node):
            start, end = begins[first[0] - 1] + first[1], begins[last[0] - 1] + last[1]
            if old is not None:
                at = data[start:end].find(old.encode())
                if at < 0 or b"#" in data[start:end]:
                    continue
                start, end = start + at, start + at + len(old)
            try:
                ast.parse(data[:start] + new.encode() + data[end:])
            except SyntaxError:
                continue
            yield Spot(path, start, end, new)


def _left_alone(node: ast.AST) -> list[ast.AST]:
    """What is no behaviour, or told in words only."""
    if isinstance(node, ast.Raise | ast.Import | ast.ImportFrom | ast.Assert | ast.JoinedStr):
        return [node]
    if isinstance(node, ast.FunctionDef):
        return [*node.decorator_list, *([node.returns] if node.returns else [])]
    if isinstance(node, ast.ClassDef):
        return [*node.decorator_list, *node.bases]
    if isinstance(node, ast.arg | ast.AnnAssign):
        return [node.annotation] if node.annotation else []
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return [node.value]
    if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
        return [node]
    return []


Place = tuple[int, int]


def _first(node: ast.expr | ast.stmt) -> Place:
    return node.lineno, node.col_offset


def _last(node: ast.expr | ast.stmt) -> Place:
    return node.end_lineno or node.lineno, node.end_col_offset or node.col_offset


def _changes(node: ast.AST) -> Iterator[tuple[Place, Place, str | None, str]]:
    """From where to where, which word of it (None: all), and what comes in its place."""
    match node:
        case ast.Compare():
            for left, op, right in zip(
                [node.left, *node.comparators], node.ops, node.comparators, strict=False
            ):
                yield _last(left), _first(right), *COMPARED[type(op)]
        case ast.BinOp() if type(node.op) in RECKONED:
            yield _last(node.left), _first(node.right), *RECKONED[type(node.op)]
        case ast.AugAssign() if type(node.op) in RECKONED:
            old, new = RECKONED[type(node.op)]
            yield _last(node.target), _first(node.value), f"{old}=", f"{new}="
        case ast.BoolOp():
            old, new = ("and", "or") if isinstance(node.op, ast.And) else ("or", "and")
            for left, right in zip(node.values, node.values[1:], strict=False):
                yield _last(left), _first(right), old, new
        case ast.UnaryOp(op=ast.Not()):
            yield _first(node), _first(node.operand), None, ""
        case ast.UnaryOp(op=ast.USub()):
            yield _first(node), _first(node.operand), None, "+"
        case ast.Constant(value=bool()):
            yield _first(node), _last(node), None, str(not node.value)
        case ast.Constant(value=int() | float()):
            yield _first(node), _last(node), None, repr(node.value + 1)
        case ast.Constant(value=str()) if node.value and " " not in node.value:
            yield _first(node), _last(node), None, repr(f"XX{node.value}XX")
        case ast.Assign() | ast.AnnAssign() if node.value is not None:
            yield _first(node.value), _last(node.value), None, "None"
        case ast.Call():
            for each in node.args:
                if not isinstance(each, ast.Starred | ast.GeneratorExp):
                    yield _first(each), _last(each), None, "None"
        case ast.Break() | ast.Continue():
            yield _first(node), _last(node), None, "continue" if isinstance(node, ast.Break) else "break"


def near_tests(copy: Path, module: Path) -> list[Path]:
    """The module's own examples, then the tests, those first that name it."""
    if "logbook" in module.parts:
        names = (
            "logbook/test_archive",
            "logbook/test_log_swap",
            "cli/log/test_log_archive",
            "logbook/test_archive_survival",
        )
        return [module, *(copy / "tests" / f"{name}.py" for name in names)]
    dotted = ".".join(module.relative_to(copy / "src").with_suffix("").parts)

    def rank(path: Path) -> tuple[bool, bool, str]:
        named = dotted in path.read_text(encoding="utf-8") or module.stem in path.name
        return not named, path.name in LAST, path.name

    return [module, *sorted((copy / "tests" / "rota").glob("test_*.py"), key=rank)]


def is_killed(copy: Path, module: Path) -> bool:
    """Whether a test fails, or never ends."""
    words = ["-m", "pytest", "-n", "0", "-x", "-q", "-p", "no:cacheprovider", "-k", f"not ({SLOW})"]
    try:
        done = subprocess.run(
            [sys.executable, *words, *map(str, near_tests(copy, module))],
            cwd=copy,
            env={
                **os.environ,
                "HYPOTHESIS_PROFILE": "few",
                "PYTHONPATH": str(copy / "src"),
                "PYTHONDONTWRITEBYTECODE": "1",
            },
            capture_output=True,
            timeout=SECONDS,
        )
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


def main() -> None:
    """Draw, try and count."""
    seed, count, folders = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3:] or FOLDERS
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "tree"
        shutil.copytree(TREE, copy, ignore=shutil.ignore_patterns(".*", "__pycache__"))
        source = copy / "src" / "greenrota"
        found = [
            spot for each in folders for path in sorted((source / each).rglob("*.py")) for spot in spots(path)
        ]
        if is_killed(copy, source / "rota" / "search" / "score.py"):
            sys.exit("a test fails before anything is changed")
        killed = 0
        for spot in random.Random(seed).sample(found, count):
            data = spot.path.read_bytes()
            spot.path.write_bytes(data[: spot.start] + spot.text.encode() + data[spot.end :])
            if is_killed(copy, spot.path):
                killed += 1
            else:
                line, old = data[: spot.start].count(b"\n") + 1, data[spot.start : spot.end].decode()
                print(f"{spot.path.relative_to(copy)}:{line}: {old!r} -> {spot.text!r}", flush=True)
            spot.path.write_bytes(data)
    print(f"{killed} of {count} killed, of {len(found)} spots")


if __name__ == "__main__":
    main()
