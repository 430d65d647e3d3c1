"""The layers: which folder may import which, and no module needs itself; imports inside functions count.

Also how large folders, files and functions may grow, with every exception named.
"""

import ast
from functools import cache
from pathlib import Path

import pytest
from parsed import parsed

SOURCE = Path(__file__).parent.parent / "src"
PACKAGE = SOURCE / "greenrota"

# what each layer may import of the package besides itself; a layer may be a single module
MAY_IMPORT = {
    "errors": set(),
    "frozen": set(),
    "culture": {"frozen"},
    "logbook": {"errors"},
    "rota": {"culture", "logbook.entry", "logbook.vocabulary", "errors", "frozen"},
    "risk": {"rota", "culture", "logbook.entry", "logbook.vocabulary", "errors"},
    "planfile": {"rota.plan", "culture", "errors", "frozen"},
    "views": {"rota", "risk", "culture", "errors", "frozen"},
}
# third-party packages, by the only layers that may name them
ONLY_IN = {
    "numpy": {"culture", "risk"},
    "pint": {"planfile"},
    "pydantic": {"planfile"},
    "typer": {"cli"},
    "icalendar": {"views"},
    "segno": {"views"},
    "typst": {"views"},
}
TOP = {"__init__", "__main__"}  # the package's own front: may import everything


def module_name(path: Path) -> str:
    parts = path.relative_to(SOURCE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {module_name(path): path for path in sorted(PACKAGE.rglob("*.py"))}


@cache
def imported(path: Path, known: frozenset[str] = frozenset(MODULES)) -> set[str]:
    """Every module a file names in an import, at any depth; relative imports are refused outright."""
    found: set[str] = set()
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: relative import"
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                found.add(whole if whole in known else str(node.module))
    return found


def layer(module: str) -> str:
    return [*module.split("."), "__init__"][1]


def allowed(module: str, target: str) -> bool:
    """Whether `module` may import `target`, both of this package."""
    own, inner = layer(module), target.removeprefix("greenrota").removeprefix(".")
    if own in TOP or own == "cli" or inner.split(".")[0] == own or inner == "":
        return True
    return any(inner == free or inner.startswith(free + ".") for free in MAY_IMPORT[own])


@pytest.mark.parametrize("name", MODULES)
def test_imports_never_point_back(name: str) -> None:
    wrong = [t for t in imported(MODULES[name]) if t.split(".")[0] == "greenrota" and not allowed(name, t)]
    assert wrong == []


@pytest.mark.parametrize("name", MODULES)
def test_third_party_packages_stay_in_their_layers(name: str) -> None:
    named = {target.split(".")[0] for target in imported(MODULES[name])}
    assert [p for p, layers in ONLY_IN.items() if p in named and layer(name) not in layers] == []


def test_no_module_needs_itself() -> None:
    graph = {
        name: {t for t in imported(path) if t in MODULES and t != "greenrota"}
        for name, path in MODULES.items()
    }
    assert cycle(graph) == []


def cycle(graph: dict[str, set[str]]) -> list[str]:
    """The modules left when every module that imports none of the others is taken away, again and again."""
    left = dict(graph)
    while free := [name for name, targets in left.items() if not targets & left.keys()]:
        for name in free:
            del left[name]
    return sorted(left)


@pytest.mark.parametrize(
    ("module", "target", "may"),
    [
        ("greenrota.culture.growth.logistic", "greenrota.errors", False),
        ("greenrota.rota.plan", "greenrota.logbook.entry", True),
        ("greenrota.rota.plan", "greenrota.logbook.store", False),
        ("greenrota.planfile.text.units", "greenrota.rota.plan", True),
        ("greenrota.planfile.text.units", "greenrota.rota.tasks.task", False),
        ("greenrota.views.text.table", "greenrota.planfile.text.units", False),
        ("greenrota.views.text.table", "greenrota.cli.system.out", False),
        ("greenrota.cli.system.out", "greenrota.views.text.table", True),
    ],
)
def test_the_table_is_read_as_it_stands(module: str, target: str, may: bool) -> None:
    assert allowed(module, target) is may


def test_a_cycle_inside_a_function_is_found(tmp_path: Path) -> None:
    hidden = tmp_path / "hidden.py"
    hidden.write_text(
        "def late():\n    from greenrota import errors\n    import pint.util\n", encoding="utf-8"
    )
    assert imported(hidden) == {"greenrota.errors", "pint.util"}
    assert cycle({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": set()}) == ["a", "b", "c"]


def test_every_layer_of_the_table_is_there() -> None:
    assert {layer(name) for name in MODULES} - TOP == {*MAY_IMPORT, "cli"}


# The folders and modules of each layer in their order: each may import itself, those before it, and the base. The base
# is every other module beside the folders (in the rota: plan records, kinds, the warning record, wording).
ORDER = {
    "culture": ("numeric", "data", "water", "growth", "bench", "bounds", "fit"),
    "rota": (
        "state",
        "feed",
        "simulate",
        "replay",
        "search",
        "tasks",
        "rota",
        "earlier",
        "warnings",
        "answers",
        "schedule",
    ),
    "planfile": ("text", "fields", "tables", "read"),
    "views": (
        "text",
        "paper",
        "tasks",
        "check",
        "feed",
        "vessel",
        "today",
        "away",
        "risk",
        "card",
        "month",
        "sheet",
        "labels",
        "calendar",
        "reckon",
    ),
    "cli": ("system", "options", "log", "planning", "living", "printing", "reckon", "main"),
}


def stage(module: str) -> str | None:
    """The part of its layer that a module belongs to; None for the base, and where a layer has no parts."""
    parts = module.split(".")
    return parts[2] if len(parts) > 2 and parts[2] in ORDER.get(parts[1], ()) else None


def is_base(module: str) -> bool:
    parts = module.split(".")
    return len(parts) > 2 and parts[1] in ORDER and stage(module) is None


def keeps_the_order(module: str, target: str) -> bool:
    """Whether a part of a layer imports no later one of the same layer, and the base no part at all."""
    later, order = stage(target), ORDER.get(layer(module), ())
    if later is None or layer(module) != layer(target):
        return True
    own = stage(module)
    return own is not None and order.index(later) <= order.index(own)


@pytest.mark.parametrize("name", [name for name in MODULES if stage(name) is not None or is_base(name)])
def test_a_part_of_a_layer_imports_no_later_one(name: str) -> None:
    assert [t for t in imported(MODULES[name]) if not keeps_the_order(name, t)] == []


@pytest.mark.parametrize(
    ("module", "target", "may"),
    [
        ("greenrota.rota.state.actions", "greenrota.rota.plan", True),
        ("greenrota.rota.plan", "greenrota.rota.state.state", False),
        ("greenrota.rota.state.actions", "greenrota.rota.feed.tally", False),
        ("greenrota.rota.replay.replay", "greenrota.rota.simulate.start", True),
        ("greenrota.rota.rota", "greenrota.rota.warnings.place", False),
        ("greenrota.rota.warnings.simulated", "greenrota.rota.rota", True),
        ("greenrota.culture.growth.broth", "greenrota.culture.data.strain", True),
        ("greenrota.culture.data.strain", "greenrota.culture.growth.broth", False),
        ("greenrota.views.tasks.agenda", "greenrota.culture.fit.update", True),
        ("greenrota.cli.main", "greenrota.cli.reckon.reckon", True),
        ("greenrota.cli.log.log", "greenrota.cli.main", False),
    ],
)
def test_the_order_in_a_layer_is_read_as_it_stands(module: str, target: str, may: bool) -> None:
    assert keeps_the_order(module, target) is may


@pytest.mark.parametrize("name", ORDER)
def test_every_part_is_there_and_every_folder_is_a_part(name: str) -> None:
    assert {stage(module) for module in MODULES if layer(module) == name} - {None} == set(ORDER[name])
    assert {path.parent.name for path in (PACKAGE / name).glob("*/__init__.py")} <= set(ORDER[name])


# Sizes that a reader can hold in mind; our choice. An exception that is no longer needed fails.
MOST_FILES, MOST_LINES, MOST_FUNCTION_LINES = 13, 260, 43
LARGE_FILES: dict[str, int] = {}
LONG_FUNCTIONS: dict[str, int] = {}


def sizes_over(found: dict[str, int], most: int, exceptions: dict[str, int]) -> list[str]:
    """What is larger than allowed, and exceptions that are not needed any more."""
    over = [f"{name}: {size}" for name, size in found.items() if size > exceptions.get(name, most)]
    return over + [f"{name} needs no exception" for name in exceptions if found.get(name, 0) <= most]


def test_no_folder_has_too_many_files() -> None:
    folders = {path.parent for path in MODULES.values()} - {PACKAGE}
    files = {
        str(folder.relative_to(PACKAGE)): sum(p.name != "__init__.py" for p in folder.glob("*.py"))
        for folder in folders
    }
    assert sizes_over(files, MOST_FILES, {}) == []


def test_no_file_is_too_long() -> None:
    lines = {
        str(path.relative_to(PACKAGE)): len(path.read_text(encoding="utf-8").splitlines())
        for path in MODULES.values()
    }
    assert sizes_over(lines, MOST_LINES, LARGE_FILES) == []


def test_no_function_is_too_long() -> None:
    lines: dict[str, int] = {}
    for path in MODULES.values():
        for node in ast.walk(parsed(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                name = f"{path.relative_to(PACKAGE)} {node.name}"
                lines[name] = max(lines.get(name, 0), (node.end_lineno or node.lineno) - node.lineno + 1)
    assert sizes_over(lines, MOST_FUNCTION_LINES, LONG_FUNCTIONS) == []


def test_a_size_over_and_an_exception_too_many_are_found() -> None:
    assert sizes_over({"a": 3, "b": 9, "c": 12}, 10, {"a": 11}) == ["c: 12", "a needs no exception"]
