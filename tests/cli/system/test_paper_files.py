"""Files for wall, bottle and phone from the outside: what is written, what is never written over, what is told."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
import vobject
from made_papers import HARMFUL
from plan_texts import FULL
from typed import typed

from greenrota.errors import ProblemsFound

ON = ("--on", "2027-02-01")


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    tmp_path.joinpath("plan.toml").write_text(FULL, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str) -> tuple[str, str]:
    """Data and remarks of a command that must end well."""
    result = typed(*arguments, *ON)
    assert result.exit_code == 0, (result.output, result.exception)
    return result.stdout, result.stderr


def refused(*arguments: str) -> tuple[int, str]:
    """Status and code of the one problem a command ends with."""
    result = typed(*arguments, *ON)
    assert isinstance(result.exception, ProblemsFound), result.output
    (problem,) = result.exception.problems
    return result.exception.status, problem.code


WRITERS = {
    "page.html": ("card", "--html", "page.html"),
    "card.pdf": ("card", "--pdf", "card.pdf"),
    "month.html": ("month", "--html", "month.html"),
    "month.pdf": ("month", "--pdf", "month.pdf"),
    "sheet.html": ("sheet", "sheet.html"),
    "labels.html": ("labels", "labels.html"),
    "shelf.ics": ("calendar", "shelf.ics"),
    "north.svg": ("growth", "north", "--svg", "north.svg"),
    "feed.svg": ("bottles", "--svg", "feed.svg"),
    "strip.svg": ("tasks", "--svg", "strip.svg"),
}


@pytest.mark.parametrize("name", WRITERS)
def test_a_file_is_written_told_and_written_again(shelf: Path, name: str) -> None:
    stdout, stderr = run(*WRITERS[name])
    assert stdout == "" and f"wrote {name}" in stderr
    first = shelf.joinpath(name).read_bytes()
    run(*WRITERS[name])
    assert shelf.joinpath(name).read_bytes() == first


@pytest.mark.parametrize("name", WRITERS)
def test_what_is_not_ours_is_replaced_only_with_force(shelf: Path, name: str) -> None:
    shelf.joinpath(name).write_text("somebody's own", encoding="utf-8")
    assert refused(*WRITERS[name]) == (2, "file-exists")
    assert shelf.joinpath(name).read_text(encoding="utf-8") == "somebody's own"
    run(*WRITERS[name], "--force")
    assert shelf.joinpath(name).read_bytes() != b"somebody's own"


@pytest.mark.parametrize("name", ["plan.toml", "plan.log", "plan.calendar.json", "link.html"])
@pytest.mark.parametrize("command", ["sheet", "labels", "calendar"])
def test_plan_logbook_and_memory_are_never_replaced(shelf: Path, command: str, name: str) -> None:
    run("calendar", "first.ics")
    shelf.joinpath("plan.log").write_text("", encoding="utf-8")
    os.link(shelf / "plan.toml", shelf / "link.html")
    before = shelf.joinpath(name).read_bytes()
    assert refused(command, name, "--force") == (2, "file-exists")
    assert shelf.joinpath(name).read_bytes() == before


def test_a_folder_that_is_not_there_is_told(shelf: Path) -> None:
    assert refused("sheet", "nowhere/sheet.html") == (2, "file-not-written")


def test_a_month_as_text_and_from_another_day(shelf: Path) -> None:
    assert "Mon" in run("month")[0].splitlines()[1]
    assert "Mon 8 Feb" in run("month", "--from", "2027-02-10")[0].splitlines()[0]


def test_cautions_need_no_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = typed("cautions")
    assert result.exit_code == 0
    assert result.stdout.startswith("Always\n")


def test_cards_as_text(shelf: Path) -> None:
    everything = run("card")[0]
    assert "f2\n" in everything and "north\n" in everything
    assert "north\n" not in run("card", "--nutrient", "f2")[0].split("vessel")[0]
    assert (
        "0.80 mL (about 16 drops)" in run("card", "--nutrient", "f2")[0]
    )  # derived by hand: 4 L x 0.20 mL/L
    assert refused("card", "--nutrient", "f3") == (2, "unknown-nutrient")
    assert refused("card", "--vessel", "noth") == (2, "unknown-vessel")


def test_without_the_extra_a_pdf_says_how_to_get_it(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)  # as if it were not installed
    assert refused("card", "--pdf", "card.pdf") == (2, "pdf-extra-missing")
    assert refused("month", "--pdf", "month.pdf") == (2, "pdf-extra-missing")
    assert not shelf.joinpath("card.pdf").exists()


def test_without_the_extra_labels_come_without_codes(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    run("labels", "with.html")
    monkeypatch.setitem(sys.modules, "segno", None)
    assert "greenrota[qr]" in run("labels", "without.html")[1]
    assert "<svg" in shelf.joinpath("with.html").read_text(encoding="utf-8")
    assert "<svg" not in shelf.joinpath("without.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "size", ["63", "63x", "63 x 38", "10x38", "187x38", "-62x38", "62,5x38", "\u0666\u0662x38"]
)
def test_a_label_that_can_not_be(shelf: Path, size: str) -> None:
    assert refused("labels", "labels.html", f"--label={size}") == (2, "label-size")
    assert not shelf.joinpath("labels.html").exists()


def test_json_goes_with_a_picture(shelf: Path) -> None:
    stdout, stderr = run("growth", "north", "--json", "--svg", "north.svg")
    assert stdout.startswith("{") and "wrote north.svg" in stderr
    ElementTree.fromstring(shelf.joinpath("north.svg").read_bytes())


def test_a_plan_that_changes_moves_and_cancels_what_was_exported(shelf: Path) -> None:
    assert "0 changed, 0 withdrawn" in run("calendar", "a.ics")[1]
    shelf.joinpath("plan.toml").write_text(FULL.replace("days  = 31", "days  = 17"), encoding="utf-8")
    assert ", 0 withdrawn" not in run("calendar", "b.ics")[1]
    (old,), (new,) = (
        vobject.readComponents(shelf.joinpath(name).read_bytes().decode()) for name in ("a.ics", "b.ics")
    )
    before = {event.uid.value: event for event in old.vevent_list}
    after = {event.uid.value: event for event in new.vevent_list}
    assert before.keys() <= after.keys()  # nothing is dropped without a word
    for uid, event in before.items():
        same = event.serialize() == after[uid].serialize()
        assert int(after[uid].sequence.value) == int(event.sequence.value) + (0 if same else 1)
    assert "CANCELLED" in {event.status.value for event in after.values()}


def test_a_spoiled_memory_is_told_and_kept(shelf: Path) -> None:
    cache = shelf / "plan.calendar.json"
    cache.write_text("{", encoding="utf-8")
    assert refused("calendar", "a.ics") == (1, "calendar-memory")
    assert cache.read_text(encoding="utf-8") == "{"
    assert not shelf.joinpath("a.ics").exists()


def test_a_refused_file_leaves_no_memory(shelf: Path) -> None:
    shelf.joinpath("a.ics").write_text("somebody's own", encoding="utf-8")
    assert refused("calendar", "a.ics") == (2, "file-exists")
    assert not shelf.joinpath("plan.calendar.json").exists()


def test_the_hour_of_the_plan_is_used(shelf: Path) -> None:
    shelf.joinpath("plan.toml").write_text(FULL + '[output]\nhour = "18:00"\n', encoding="utf-8")
    run("calendar", "a.ics")
    assert b"T180000\r\n" in shelf.joinpath("a.ics").read_bytes()


def test_harmful_names_do_not_pass_the_plan_in_the_first_place(shelf: Path) -> None:
    for name in HARMFUL[:4]:
        text = FULL.replace('"north"', f"'''{name}'''")
        shelf.joinpath("plan.toml").write_text(text, encoding="utf-8")
        assert refused("sheet", "a.html")[0] == 1


@pytest.mark.parametrize(
    "words",
    [
        ("labels", "x.pdf"),
        ("sheet", "foo.txt"),
        ("sheet", "plan"),
        ("sheet", "other.toml"),
        ("growth", "north", "--svg", "g.png"),
        ("calendar", "c.html"),
        ("card", "--html", "c.pdf"),
        ("card", "--pdf", "c.html"),
        ("sheet", "plan.log"),
        ("sheet", "plan.LOG"),
        ("new", "fresh.log"),
        ("new", "fresh.html"),
    ],
)
def test_a_name_that_says_something_else_is_refused(shelf: Path, words: tuple[str, ...]) -> None:
    assert refused(*words, *([] if words[0] == "new" else ["--force"])) == (2, "file-suffix")
    assert {path.name for path in shelf.iterdir()} == {"plan.toml"}


@pytest.mark.parametrize("name", ["sheet.html", "shelf.ics", "north.svg", "card.pdf"])
def test_an_edited_file_and_that_of_another_plan_are_replaced_only_with_force(shelf: Path, name: str) -> None:
    run(*WRITERS[name])
    file, plan = shelf / name, shelf / "plan.toml"
    made = file.read_bytes()
    file.write_bytes(made + b" ")
    assert refused(*WRITERS[name]) == (2, "file-exists")
    file.write_bytes(made)
    plan.write_text(FULL.replace('name  = "', 'name  = "x', 1), encoding="utf-8")
    assert refused(*WRITERS[name]) == (2, "file-exists")
    assert file.read_bytes() == made
    run(*WRITERS[name], "--force")
