"""What a search found for a plan without a logbook: found again, and never in place of a search that is needed."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from shelf_life import State, shelf_with

import greenrota
from greenrota.cli.system import searched
from greenrota.rota.earlier import way


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "a" / "cache"
    monkeypatch.setenv(searched.VARIABLE, str(place))
    return place


@pytest.fixture
def shelf(tmp_path: Path, place: Path) -> State:
    (tmp_path / "shelf").mkdir()
    return shelf_with(tmp_path / "shelf", "north", "south")


@pytest.fixture
def searches(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Grows by one with every search."""
    made: list[object] = []
    real = way.search

    def counted(*about: object, **more: object) -> object:
        made.append(about[0])
        return real(*about, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(way, "search", counted)
    return made


def answer(shelf: State) -> tuple[str, str]:
    """What `tasks` says of a shelf, and what it says beside."""
    result = shelf.run("tasks", shelf.plan, "--json")
    assert result.exit_code == 0
    return result.stdout, result.stderr


def test_a_plan_is_searched_for_once(shelf: State, searches: list[object], place: Path) -> None:
    told = answer(shelf)
    assert len(searches) == 1
    assert answer(shelf) == told
    assert shelf.run("today", shelf.plan, "--on", "2027-02-01").exit_code == 0
    assert len(searches) == 1
    assert [path.name for path in Path(shelf.plan).parent.iterdir()] == ["plan.toml"]
    assert len(list(place.iterdir())) == 1


def test_another_plan_is_searched_for(shelf: State, searches: list[object]) -> None:
    answer(shelf)
    plan = Path(shelf.plan)
    plan.write_text(plan.read_text(encoding="utf-8").replace("22 degC", "23 degC"), encoding="utf-8")
    answer(shelf)
    assert len(searches) == 2


def test_another_program_searches_anew(
    shelf: State, searches: list[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    answer(shelf)
    monkeypatch.setattr(greenrota, "__version__", "0.0.0")
    answer(shelf)
    assert len(searches) == 2


@pytest.mark.parametrize("spoiled", [b"", b"{", b"\x00" * 50, b"[]"])
def test_a_spoiled_file_is_replaced_without_a_word(
    shelf: State, searches: list[object], place: Path, spoiled: bytes
) -> None:
    told = answer(shelf)
    (file,) = place.iterdir()
    whole = file.read_bytes()
    file.write_bytes(spoiled)
    assert answer(shelf) == told
    assert (len(searches), file.read_bytes()) == (2, whole)


def test_an_empty_variable_remembers_nothing(
    shelf: State, searches: list[object], monkeypatch: pytest.MonkeyPatch, place: Path
) -> None:
    monkeypatch.setenv(searched.VARIABLE, "")
    assert answer(shelf) == answer(shelf)
    assert len(searches) == 2
    assert not place.exists()


def test_a_folder_that_can_not_be_is_no_fault(shelf: State, searches: list[object], place: Path) -> None:
    place.parent.write_text("a file", encoding="utf-8")
    assert answer(shelf) == answer(shelf)
    assert len(searches) == 2


def test_the_oldest_are_forgotten(shelf: State, place: Path) -> None:
    place.mkdir(parents=True)
    for number in range(searched.MOST_FILES + 3):
        (place / f"{number}.dates").write_bytes(b"")
    (place / "of another kind").write_bytes(b"")
    answer(shelf)
    assert len(list(place.glob("*.dates"))) == searched.MOST_FILES
    assert (place / "of another kind").exists()


@pytest.fixture
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    monkeypatch.delenv(searched.VARIABLE)
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    return tmp_path / "home"


def test_the_usual_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, home: Path) -> None:
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert searched.folder() == tmp_path / "greenrota"
    monkeypatch.setenv("XDG_CACHE_HOME", "not/absolute")
    assert searched.folder() == home / ".cache" / "greenrota"


def test_two_systems_have_folders_of_their_own(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, home: Path
) -> None:
    monkeypatch.setattr(sys, "platform", "darwin")
    assert searched.folder() == home / "Library" / "Caches" / "greenrota"
    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path))
    assert searched.folder() == tmp_path / "greenrota"
    monkeypatch.delenv("LOCALAPPDATA")
    assert searched.folder() == home / "AppData" / "Local" / "greenrota"
