"""Putting entries away while the program is killed at any step, and while others write.

Truth: every entry that stood in the book, and every number that a writer has acknowledged, once.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from datetime import date
from pathlib import Path

from greenrota.errors import ProblemsFound
from greenrota.logbook.archive.moving import move
from greenrota.logbook.store import load

# Kills itself at the n-th call that changes something on the disk, before or after it; says how many there were.
KILLED = """
import os, signal, sys
from datetime import date
from pathlib import Path

path, stop, after, calls = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3] == "after", 0

def watched(name):
    inner = getattr(os, name)
    def called(*args, **named):
        global calls
        calls += 1
        if calls == stop and not after:
            os.kill(os.getpid(), signal.SIGKILL)
        done = inner(*args, **named)
        if calls == stop and after:
            os.kill(os.getpid(), signal.SIGKILL)
        return done
    setattr(os, name, called)

from greenrota.logbook.archive.moving import move
for name in ("open", "write", "fsync", "replace", "chmod", "ftruncate", "unlink"):
    watched(name)
move(path, date(2027, 12, 31))
print(calls)
"""
# Appends notes, thirty for each line it is sent, and says each number as soon as it is recorded.
WRITER = """
import datetime, os, sys
from pathlib import Path
from greenrota.logbook.entry import Entry
from greenrota.logbook.store import append

for turn in range(300):
    if turn % 30 == 0:
        sys.stdin.readline()
    day = datetime.date(2027 + turn // 60, 1, 1)
    (number,) = append(Path(sys.argv[1]), [Entry(day, "note", "-", (("text", f"turn-{turn}"),))])
    os.write(1, f"{number}\\n".encode())
"""
MOVER = """
import sys, time
from datetime import date
from pathlib import Path
from greenrota.errors import ProblemsFound
from greenrota.logbook.archive.moving import move

print("ready", flush=True)
while True:
    for year in range(2027, 2032):
        try:
            move(Path(sys.argv[1]), date(year, 6, 1))
        except ProblemsFound as found:
            assert {problem.code for problem in found.problems} <= {"archive-nothing", "archive-exists"}, found
        time.sleep(0.002)
"""


def program(code: str, *words: str) -> subprocess.Popen[str]:
    paths = os.pathsep.join(part for part in sys.path if part)
    return subprocess.Popen(
        [sys.executable, "-c", code, *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": paths},
    )


def test_killed_at_any_step_no_entry_is_lost_or_doubled(tmp_path: Path) -> None:
    data = b"".join(b"%d-06-15 fed north n=%d\n" % (2027 + n // 5, n + 1) for n in range(10))
    steps = range(1, 100)
    ended = 0
    for stop in steps:
        for when in ("before", "after"):
            folder = tmp_path / f"{when}-{stop}"
            folder.mkdir()
            book = folder / "plan.log"
            book.write_bytes(data)
            run = program(KILLED, str(book), str(stop), when)
            said, _ = run.communicate(timeout=60)
            assert run.returncode in (0, -signal.SIGKILL)
            ended += run.returncode == 0
            found = load(book)
            assert [entry.number for entry in found.entries] == list(range(1, 11)), (stop, when)
            assert found.problems == ()
            if run.returncode:  # tried again, it goes through, or was through already
                try:
                    assert move(book, date(2027, 12, 31)).archive.entries == 5
                except ProblemsFound as problems:
                    assert [problem.code for problem in problems.problems] == ["archive-nothing"]
            else:
                assert int(said) < stop
            after = load(book)
            assert after.entries == found.entries and after.problems == ()
            assert [archive.entries for archive in after.archives] == [5]
        if ended >= 2:
            break
    assert 6 < stop < 40  # each of the steps was one at which it was killed


def test_while_one_writes_another_puts_away_and_is_killed(tmp_path: Path) -> None:
    book = tmp_path / "plan.log"
    writer = program(WRITER, str(book))
    assert writer.stdout is not None and writer.stdin is not None
    said = ""
    for _ in range(10):
        mover = program(MOVER, str(book))
        assert mover.stdout is not None and mover.stdout.readline() == "ready\n"
        writer.stdin.write("\n")
        writer.stdin.flush()
        said += "".join(writer.stdout.readline() for _ in range(30))
        mover.send_signal(signal.SIGKILL)
        mover.communicate(timeout=60)
    writer.communicate(timeout=120)
    assert writer.returncode == 0
    assert [int(line) for line in said.split()] == list(range(1, 301))
    found = load(book)
    assert [entry.number for entry in found.entries] == list(range(1, 301))
    assert [entry.text("text") for entry in found.entries] == [f"turn-{turn}" for turn in range(300)]
    assert found.problems == ()
    assert found.archives  # so that something was put away on the way
