"""A vessel taken out of the plan while something lives in it, through the command line."""

from __future__ import annotations

from pathlib import Path

from shelf_life import State, shelf_with


def gone(folder: Path) -> State:
    shelf = shelf_with(folder, "north", "south")
    shelf.log("started", "north", "south", "--on", "2027-02-01", "--from", "starter:bought")
    return shelf_with(folder, "south")


def test_it_is_said_until_it_is_poured_away(tmp_path: Path) -> None:
    shelf = gone(tmp_path)
    before = shelf.book.read_bytes()
    for command in ("today", "tasks", "check"):
        assert "[vessel-gone]" in shelf.run(command, shelf.plan, "--on", "2027-02-02").output, command
    assert shelf.book.read_bytes() == before
    shelf.log("discarded", "north", "--on", "2027-02-02")
    assert "[vessel-gone]" not in shelf.run("today", shelf.plan, "--on", "2027-02-02").output
    assert shelf.book.read_bytes().startswith(before)


def test_its_batch_may_be_named_too(tmp_path: Path) -> None:
    shelf = gone(tmp_path)
    shelf.log("discarded", "north/1", "--on", "2027-02-02")
    assert "[vessel-gone]" not in shelf.run("today", shelf.plan, "--on", "2027-02-02").output
