"""The layers: which folder may import which, and no module needs itself; imports inside functions count."""

import ast
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent / "src"
PACKAGE = SOURCE / "greenrota"

# what each layer may import of the package besides itself; a layer may be a single module
MAY_IMPORT = {
    "errors": set(),
    "culture": set(),
    "logbook": {"errors"},
    "rota": {"culture", "logbook.entry", "logbook.vocabulary", "errors"},
    "risk": {"rota", "culture", "logbook.entry", "logbook.vocabulary", "errors"},
    "planfile": {"rota.plan", "culture", "errors"},
    "views": {"rota", "risk", "culture", "errors"},
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


def imported(path: Path, known: frozenset[str] = frozenset(MODULES)) -> set[str]:
    """Every module a file names in an import, at any depth; relative imports are refused outright."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
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
        ("greenrota.culture.growth", "greenrota.errors", False),
        ("greenrota.rota.plan", "greenrota.logbook.entry", True),
        ("greenrota.rota.plan", "greenrota.logbook.store", False),
        ("greenrota.planfile.units", "greenrota.rota.plan", True),
        ("greenrota.planfile.units", "greenrota.rota.tasks.task", False),
        ("greenrota.views.table", "greenrota.planfile.units", False),
        ("greenrota.views.table", "greenrota.cli.out", False),
        ("greenrota.cli.out", "greenrota.views.table", True),
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
