"""Faults around the program: killed, no room, the folder gone, the clock set back, the logbook merged by others.

Truth: by hand from the promise that what was acknowledged is on the disk, and that nothing is dropped in silence.
"""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest
from shelf_life import State, shelf_with

from greenrota.cli.system import clock
from greenrota.logbook.store import load

PROGRAM = [sys.executable, "-m", "greenrota"]
# A child that may write no file beyond so many bytes: a disk that is full, as the system itself tells it.
_FULL = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
del sys.argv[1]
from greenrota.cli.main import main
main()
"""


@pytest.fixture
def shelf(tmp_path: Path) -> State:
    made = shelf_with(tmp_path, "north")
    made.log("started", "north", "--on", "2027-02-01", "--from", "starter:bought")
    return made


def full(shelf: State, room_bytes: int, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", _FULL, str(room_bytes), *words],
        cwd=shelf.folder,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
    )


def killed(shelf: State, after_s: float, *words: str) -> str:
    """What a run said that was killed after so many seconds."""
    with (shelf.folder / "said.txt").open("wb") as said:
        run = subprocess.Popen([*PROGRAM, *words], cwd=shelf.folder, stdout=said, stderr=subprocess.DEVNULL)
        time.sleep(after_s)
        run.send_signal(signal.SIGKILL)
        run.wait()
    return (shelf.folder / "said.txt").read_text(encoding="utf-8")


def test_what_was_acknowledged_before_a_kill_is_in_the_book(shelf: State) -> None:
    before = shelf.book.read_bytes()
    told = 1
    for turn in range(8):
        said = killed(shelf, 0.1 + 0.06 * turn, "log", "note", "--text", f"turn {turn}", "--on", "2027-02-01")
        told += said.count("recorded: ")
    book = load(shelf.book)
    assert shelf.book.read_bytes().startswith(before)
    assert not book.problems
    assert len(book.entries) >= told


def test_an_export_that_is_killed_leaves_the_old_file_or_the_new_one(shelf: State) -> None:
    for turn in range(6):
        (shelf.folder / "sheet.html").write_text("<!-- greenrota -->old", encoding="utf-8")
        killed(shelf, 0.15 + 0.07 * turn, "sheet", "sheet.html", "--on", "2027-02-02", "--force")
        found = (shelf.folder / "sheet.html").read_text(encoding="utf-8")
        assert found == "<!-- greenrota -->old" or found.rstrip().endswith("</html>")


def test_a_full_disk_keeps_the_book_and_gives_the_line_back(shelf: State) -> None:
    before = shelf.book.read_bytes()
    for room in (len(before), len(before) + 5):
        done = full(shelf, room, "log", "note", "--text", "all well", "--on", "2027-02-01")
        assert done.returncode == 1
        assert "[log-not-written]" in done.stderr
        assert '2027-02-01 note - text="all well"' in done.stderr
        assert "recorded" not in done.stdout
        assert shelf.book.read_bytes() == before


@pytest.mark.parametrize("words", [("calendar", "out.ics"), ("sheet", "out.html"), ("new", "out.toml")])
def test_a_full_disk_keeps_the_old_export(shelf: State, words: tuple[str, str]) -> None:
    done = full(shelf, 100, *words)
    assert done.returncode in (1, 2)
    assert "Traceback" not in done.stderr
    assert "hint: " in done.stderr
    assert not (shelf.folder / words[1]).exists()
    assert not list(shelf.folder.glob(".greenrota-*"))


def test_a_folder_that_is_gone_is_said(tmp_path: Path) -> None:
    script = 'mkdir gone && cd gone && rmdir ../gone && exec "$0" "$@"'
    for words in (["tasks"], ["log", "note", "--text", "x"], ["new", "plan.toml"]):
        done = subprocess.run(
            ["sh", "-c", script, *PROGRAM, *words],
            cwd=tmp_path,
            capture_output=True,
            encoding="utf-8",
            timeout=60,
        )
        assert done.returncode in (1, 2), words
        assert "Traceback" not in done.stderr
        first = done.stderr.splitlines()[0]
        assert not first.startswith(":") and "[" in first and "hint: " in done.stderr, done.stderr


def test_a_clock_that_was_set_back_takes_no_day_back(shelf: State, monkeypatch: pytest.MonkeyPatch) -> None:
    shelf.log("counted", "north", "--density", "2e5/mL", "--on", "2027-02-05")
    monkeypatch.setattr(clock, "today", lambda: date(2027, 2, 2))
    assert shelf.json("tasks", shelf.plan)["as_of"] == "2027-02-05"
    shelf.log("note", "--text", "after the clock was set back")
    assert shelf.lines()[-1].startswith("2027-02-05 note")
    assert not load(shelf.book).problems


MERGED = """2027-02-01 started north from=starter:bought inoculum=187.5mL n=1
<<<<<<< HEAD
2027-02-03 counted north density=1e5/mL n=2
=======
2027-02-03 counted north density=2e5/mL n=2
>>>>>>> other
2027-02-04 note - text=both n=3
"""


def test_a_merged_book_is_read_whole_and_every_doubt_is_told(shelf: State) -> None:
    shelf.book.write_text(MERGED, encoding="utf-8")
    result = shelf.run("today", shelf.plan, "--on", "2027-02-04")
    assert result.exit_code == 0
    assert result.stderr.count("[log-number-twice]") == 1
    assert result.stderr.count("[log-line]") + result.stderr.count("[log-date]") == 3
    shelf.log("note", "--text", "more", "--on", "2027-02-04")
    assert shelf.book.read_text(encoding="utf-8").startswith(MERGED)
    assert shelf.lines()[-1].endswith("n=4")


@pytest.mark.parametrize(
    "name",
    [
        "plan (1).log",
        "plan (conflicted copy 2027-02-03).log",
        "plan.sync-conflict-20270203-101010-ABCDEFG.log",
        "plan.log.conflict",
        "plan - Copy.log",
        "plan copy.log",
        "plan_conflict-20270203.log",
    ],
)
def test_a_copy_made_by_a_sync_service_is_told_and_left_alone(shelf: State, name: str) -> None:
    copy = shelf.folder / name
    copy.write_text(MERGED, encoding="utf-8")
    for words in (("today", shelf.plan), ("check", shelf.plan), ("tasks", shelf.plan)):
        result = shelf.run(*words, "--on", "2027-02-04")
        assert "[log-copy]" in result.stderr + str(result.exception)
    assert copy.read_text(encoding="utf-8") == MERGED
