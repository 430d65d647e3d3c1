"""Several programs at once, and programs that are killed: no acknowledged entry is lost, none is doubled.

Truth: every number a writer has acknowledged must be in the book, once, with the text it was given.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

from greenrota.logbook.store import load

# Appends notes by its name and says each number as soon as it is recorded; `rounds` 0 goes on until killed.
WRITER = """
import datetime, os, sys
from pathlib import Path
from greenrota.logbook.entry import Entry
from greenrota.logbook.store import append

path, name, rounds, size = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
turn = 0
while rounds == 0 or turn < rounds:
    text = f"{name}-{turn}-" + "x" * size
    entry = Entry(datetime.date(2027, 2, 1), "note", "-", (("text", text),))
    (number,) = append(path, [entry])
    os.write(1, f"{number} {name}-{turn}-\\n".encode())
    turn += 1
"""


def _writer(path: Path, name: str, rounds: int, size: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", WRITER, str(path), name, str(rounds), str(size)]
    paths = os.pathsep.join(part for part in sys.path if part)
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": paths}
    )


def _acknowledged(said: str) -> dict[int, str]:
    whole = [line.split(" ") for line in said.splitlines() if line.endswith("-")]
    return {int(number): start for number, start in whole}


def test_two_programs_append_200_entries_each_and_none_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "plan.log"
    writers = [_writer(path, name, 200, 0) for name in ("a", "b")]
    said = [writer.communicate(timeout=60)[0] for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    book = load(path)
    assert book.problems == book.notices == ()
    assert [entry.number for entry in book.entries] == list(range(1, 401))
    texts = {entry.number: entry.text("text") for entry in book.entries}
    assert texts == _acknowledged(said[0]) | _acknowledged(said[1])
    for name in ("a", "b"):
        own = [text for text in texts.values() if text and text.startswith(name)]
        assert own == [f"{name}-{turn}-" for turn in range(200)]


def test_no_acknowledged_entry_is_lost_to_a_kill(tmp_path: Path) -> None:
    path = tmp_path / "plan.log"
    acknowledged: dict[int, str] = {}
    for turn in range(10):
        writer = _writer(path, f"w{turn}", 0, 30_000)
        assert writer.stdout is not None
        said = "".join(writer.stdout.readline() for _ in range(3 + turn))
        writer.send_signal(signal.SIGKILL)
        rest, _ = writer.communicate(timeout=60)
        new = _acknowledged(said + rest)
        assert len(new) >= 3 + turn
        assert not acknowledged.keys() & new.keys()
        acknowledged |= new
    book = load(path)
    texts = {entry.number: entry.text("text") or "" for entry in book.entries}
    assert len(texts) == len(book.entries)
    for number, start in acknowledged.items():
        assert texts[number] == start + "x" * 30_000
    # At most one line a kill is torn, and it is said; one may be whole and not yet acknowledged.
    assert {problem.code for problem in book.problems} <= {"log-quotes", "log-torn", "log-line"}
    assert len(book.problems) <= 10
    assert len(texts) - len(acknowledged) <= 10
