"""The file of remembered dates beside the logbook: it may be lost, spoiled or written by two at a time."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from shelf_life import State, shelf_with

from greenrota.logbook.beside import dates_path, read_beside, write_beside
from greenrota.rota.earlier.text import MOST_BYTES, read_earlier

DAY = "2027-02-11"


@pytest.fixture
def ten_days(tmp_path_factory: pytest.TempPathFactory) -> tuple[bytes, bytes]:
    """Book and remembered dates of two vessels after ten days done as planned."""
    shelf = shelf_with(tmp_path_factory.mktemp("ten-days"), "north", "south")
    shelf.log("done", "--through", "2027-02-10", "--on", "2027-02-10")
    return shelf.book.read_bytes(), dates_path(shelf.book).read_bytes()


@pytest.fixture
def shelf(tmp_path: Path, ten_days: tuple[bytes, bytes]) -> State:
    shelf = shelf_with(tmp_path, "north", "south")
    shelf.book.write_bytes(ten_days[0])
    dates_path(shelf.book).write_bytes(ten_days[1])
    return shelf


def tasks(shelf: State) -> object:
    return shelf.tasks(DAY)["tasks"]


def test_nothing_is_remembered_without_a_logbook(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north")
    shelf.tasks("2027-02-03")
    assert {path.name for path in tmp_path.iterdir()} == {"plan.toml"}


def test_the_same_tasks_with_and_without(shelf: State) -> None:
    told = tasks(shelf)
    dates_path(shelf.book).unlink()
    assert tasks(shelf) == told
    assert dates_path(shelf.book).exists()


@pytest.mark.parametrize(
    "spoiled", [b"", b"{", b"\x00" * 100, b'{"format": "greenrota/earlier/9"}', b"[1, 2]"]
)
def test_a_spoiled_file_is_replaced_without_a_word(shelf: State, spoiled: bytes) -> None:
    told = tasks(shelf)
    dates_path(shelf.book).write_bytes(spoiled)
    result = shelf.run("tasks", shelf.plan, "--on", DAY, "--json")
    assert json.loads(result.stdout)["tasks"] == told
    assert "dates" not in result.stderr
    assert read_earlier(dates_path(shelf.book).read_bytes())


def test_half_a_file_is_none(shelf: State) -> None:
    told, whole = tasks(shelf), dates_path(shelf.book).read_bytes()
    dates_path(shelf.book).write_bytes(whole[: len(whole) // 2])
    assert tasks(shelf) == told


def test_the_file_of_another_shelf_is_none(shelf: State, tmp_path_factory: pytest.TempPathFactory) -> None:
    other = shelf_with(tmp_path_factory.mktemp("other"), "east", "west")
    other.log("done", "--through", "2027-02-09", "--on", "2027-02-09")
    told = tasks(shelf)
    dates_path(shelf.book).write_bytes(dates_path(other.book).read_bytes())
    assert tasks(shelf) == told


def test_a_disk_that_takes_nothing_is_no_fault(shelf: State, monkeypatch: pytest.MonkeyPatch) -> None:
    told = tasks(shelf)
    dates_path(shelf.book).unlink()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("greenrota.logbook.swap.write_all", full)
    assert tasks(shelf) == told
    assert {path.name for path in shelf.folder.iterdir()} == {"plan.toml", "plan.log", "plan.log.last"} & {
        path.name for path in shelf.folder.iterdir()
    }


def test_a_folder_in_its_place_is_no_fault(shelf: State) -> None:
    told = tasks(shelf)
    dates_path(shelf.book).unlink()
    dates_path(shelf.book).mkdir()
    assert tasks(shelf) == told


def test_what_is_too_long_is_not_read(tmp_path: Path) -> None:
    file = tmp_path / "plan.log.dates"
    file.write_bytes(b"x" * 11)
    assert (read_beside(file, 10), read_beside(file, 11)) == (b"", b"x" * 11)
    assert read_beside(tmp_path / "none", 10) == b""


WRITER = """
import sys
from pathlib import Path
from greenrota.logbook.beside import write_beside
path, letter = Path(sys.argv[1]), sys.argv[2].encode()
for _ in range(200):
    write_beside(path, letter * 20_000)
"""


def test_two_writers_at_a_time_leave_a_whole_file(tmp_path: Path) -> None:
    file = tmp_path / "plan.log.dates"
    write_beside(file, b"a" * 20_000)
    both = [subprocess.Popen([sys.executable, "-c", WRITER, str(file), letter]) for letter in "ab"]
    while any(each.poll() is None for each in both):
        assert file.read_bytes() in (b"a" * 20_000, b"b" * 20_000)
    assert [each.returncode for each in both] == [0, 0]
    assert [path.name for path in tmp_path.iterdir()] == [file.name]


def test_changes_are_told_the_same_with_and_without(shelf: State) -> None:
    shelf.log("crashed", "south", "--on", DAY, "--cause", "overheating")
    told = shelf.json("changes", shelf.plan, "--on", DAY)
    dates_path(shelf.book).unlink()
    assert shelf.json("changes", shelf.plan, "--on", DAY) == told


def test_it_is_never_larger_than_it_may_be(shelf: State) -> None:
    assert 0 < dates_path(shelf.book).stat().st_size < MOST_BYTES
