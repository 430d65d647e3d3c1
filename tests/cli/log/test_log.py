"""`log`: defaults, refusals, several vessels at once, and that nothing typed is lost."""

import errno
import json
import os
from pathlib import Path
from typing import Any

import pytest
from shelf_life import State, shelf_with

from greenrota.cli.log.key_options import KEY_HELP
from greenrota.errors import ProblemsFound
from greenrota.logbook.vocabulary import KEYS, KINDS, is_kind


@pytest.fixture
def shelf(tmp_path: Path) -> State:
    return shelf_with(tmp_path, "north", "south")


def begun(shelf: State) -> State:
    shelf.log("started", "north", "south", "--on", "2027-02-01")
    return shelf


def test_amounts_come_from_the_task_and_are_told_back(shelf: State) -> None:
    (task,) = [t for t in shelf.tasks("2027-02-01")["tasks"] if t["id"] == "north/1/start"]
    result = shelf.log("started", "north", "--on", "2027-02-01")
    assert "as planned for north/1/start" in result.stderr
    (line,) = shelf.lines()
    assert result.stdout.splitlines()[0] == f"recorded: {line}"
    assert line.startswith("2027-02-01 started north from=starter:bought inoculum=")
    written = float(line.split("inoculum=")[1].split("mL")[0])
    assert written == pytest.approx(task["amounts"]["inoculum_ml"], abs=0.05)  # written to a tenth of a mL
    assert "next: " in result.stdout


def test_what_is_given_stands_before_what_was_planned(shelf: State) -> None:
    shelf.log("started", "north", "--on", "2027-02-01", "--inoculum", "150 mL")
    assert shelf.lines() == ["2027-02-01 started north from=starter:bought inoculum=150mL n=1"]


def test_a_bucket_for_several_vessels_is_said_to_be_one(shelf: State) -> None:
    bucket = next(task for task in shelf.tasks("2027-02-01")["tasks"] if task["kind"] == "prepare")
    served = sorted({name.split("/")[0] for name in bucket["serves"]})
    assert served == ["north", "south"]
    alone = shelf.log("prepared", "south", "--on", bucket["date"], "--yes")
    assert "the whole bucket" in alone.stderr and "on hand for north as well" in alone.stderr
    written = float(shelf.lines()[-1].split("volume=")[1].split("mL")[0])
    assert written == pytest.approx(bucket["amounts"]["seawater_ml"], abs=0.1)
    shelf.log("undo", "--on", bucket["date"])
    both = shelf.log("prepared", "south", "north", "--on", bucket["date"], "--yes")
    assert "whole bucket" not in both.stderr
    parts = [float(line.split("volume=")[1].split("mL")[0]) for line in shelf.lines()[-2:]]
    assert sum(parts) == pytest.approx(bucket["amounts"]["seawater_ml"], abs=0.2)


def test_several_vessels_are_one_append(shelf: State) -> None:
    result = shelf.log("started", "south", "north", "south", "--on", "2027-02-01")
    assert [line.split()[2] for line in shelf.lines()] == ["south", "north"]
    assert result.stdout.count("recorded: ") == 2


def test_the_plan_may_stand_behind_the_vessels(shelf: State) -> None:
    result = shelf.run(
        "log", "note", "north", shelf.plan, "--text", "a thin ring of foam", "--on", "2027-02-03"
    )
    assert result.exit_code == 0
    assert shelf.lines() == ['2027-02-03 note north text="a thin ring of foam" n=1']


def test_other_units_are_converted(shelf: State) -> None:
    begun(shelf).log("harvested", "north", "--volume", "1 qt", "--on", "2027-02-08")
    assert "volume=946.4mL" in shelf.lines()[-1]  # exact: a US quart is 946.352946 mL, NIST Handbook 44


def test_cells_and_squares_become_a_density(shelf: State) -> None:
    begun(shelf).log(
        "counted", "north", "--cells", "180", "--squares", "4", "--dilution", "2", "--on", "2027-02-05"
    )
    # by hand: 180 cells / (4 squares x 1e-4 mL) x 2 = 9e5 per mL
    assert shelf.lines()[-1] == "2027-02-05 counted north density=9e5/mL cells=180 squares=4 dilution=2 n=3"


def test_a_light_other_than_the_usual_is_written_down(shelf: State) -> None:
    shelf.log("started", "north", "--on", "2027-02-01")
    shelf.log("reseeded", "north", "--inoculum", "1 L", "--light", "10", "--on", "2027-02-09")
    assert "light=10" in shelf.lines()[-1].split()
    segments = shelf.json("growth", "north", shelf.plan, "--on", "2027-02-09")["batches"]
    usual, dimmed = (segments[n]["segments"][0]["rate_per_day"] for n in (0, 1))
    # by hand: 10 of the 16 hours that count
    assert dimmed / usual == pytest.approx(10.0 / 16.0, rel=1e-3)  # the page rounds to four digits


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("fedd", "north"), "log-kind"),
        (("fed", "nort"), "unknown-vessel"),
        (("fed",), "log-subject"),
        (("cleared", "fridge:x"), "unknown-subject"),
        (("counted", "north"), "count-missing"),
        (("counted", "north", "--cells", "1.5", "--squares", "1"), "out-of-range"),
        (("counted", "north", "--cells", "many", "--squares", "1"), "log-value"),
        (("harvested", "north", "--volume", "1,5 L"), "bad-quantity"),
        (("harvested", "north", "--cause", "unknown"), "log-key"),
        (("crashed", "north", "--cause", "heat"), "log-cause"),
        (("crashed", "north", "--since", "2027-03-01"), "log-since"),
        (("void",), "log-key-missing"),
        (("note",), "log-key-missing"),
        (("skipped", "north"), "skip-which"),
        (("done", "--volume", "1L"), "log-key"),
        (("reseeded", "north", "--light", "25"), "log-value"),
        (("fed", "north", "--light", "10"), "log-key"),
    ],
)
def test_a_wrong_command_line_is_refused_and_writes_nothing(
    shelf: State, arguments: tuple[str, ...], code: str
) -> None:
    before = begun(shelf).lines()
    status, codes = shelf.refused(*arguments, "--on", "2027-02-02")
    assert status == 2
    assert code in codes
    assert shelf.lines() == before


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("harvested", "north", "--volume", "9 L"), "log-not-enough"),
        (("started", "north"), "log-vessel-occupied"),
        (("started", "spare", "--from", "north/1", "--inoculum", "3.9 L"), "log-not-enough"),
        (("void", "--entry", "7"), "log-void-missing"),
    ],
)
def test_what_makes_no_sense_is_refused_without_a_yes(
    tmp_path: Path, arguments: tuple[str, ...], code: str
) -> None:
    shelf = begun(shelf_with(tmp_path, "north", "south", "spare"))
    if code == "log-not-enough" and arguments[0] == "started":
        shelf.log("harvested", "north", "--volume", "2 L", "--on", "2027-02-02")
        code = "log-source"  # what is left can not give 3.9 L
    before = shelf.lines()
    status, codes = shelf.refused(*arguments, "--on", "2027-02-02")
    assert status == 1
    assert code in codes
    assert shelf.lines() == before
    forced = shelf.log(*arguments, "--on", "2027-02-02", "--yes")
    assert f"[{code}]" in forced.stderr
    assert shelf.lines()[:-1] == before
    assert shelf.run("check", shelf.plan, "--on", "2027-02-02").exit_code == 1
    assert shelf.tasks("2027-02-02")["tasks"]  # an entry that does not fit stops nobody


def test_a_full_disk_gives_the_line_back_and_leaves_the_book(
    shelf: State, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = begun(shelf).lines()

    def full(fd: int, data: bytes) -> None:
        os.write(fd, data[:9])
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("greenrota.logbook.store.write_all", full)
    result = shelf.run("log", "note", "--text", "keep me", "--on", "2027-02-01", "--plan", shelf.plan)
    assert isinstance(result.exception, ProblemsFound)
    (problem,) = result.exception.problems
    assert problem.code == "log-not-written"
    assert problem.hint.endswith('2027-02-01 note - text="keep me"')
    assert "recorded" not in result.stdout
    assert shelf.lines() == before


def test_a_copy_beside_the_book_is_told(shelf: State) -> None:
    (shelf.folder / "plan (conflicted copy).log").write_text("", encoding="utf-8")
    assert "[log-copy]" in shelf.log("started", "north", "--on", "2027-02-01").stderr
    assert shelf.run("check", shelf.plan, "--on", "2027-02-01").exit_code == 1


def test_a_day_long_ago_is_told_and_recorded(shelf: State) -> None:
    assert "[log-odd-day]" in shelf.log("note", "--text", "x", "--on", "2019-01-05").stderr
    assert shelf.lines()[0].startswith("2019-01-05")


def vessels_of(task: dict[str, Any]) -> list[str]:
    """A bucket of salt water is written down for every vessel it serves."""
    return list(dict.fromkeys(each.rsplit("/", 2)[0] for each in task["serves"])) or [task["vessel"]]


def test_done_records_everything_due_in_the_order_of_the_calendar(shelf: State) -> None:
    planned = [t for t in shelf.tasks("2027-02-01")["tasks"] if t["date"] <= "2027-02-16"]
    assert {t["kind"] for t in planned} >= {"prepare", "start", "harvest", "reseed", "bank"}
    shelf.log("done", "--through", "2027-02-16", "--on", "2027-02-16")
    kinds = dict(zip(("prepare", "start", "feed", "harvest", "reseed", "renew", "bank"),
                     ("prepared", "started", "fed", "harvested", "reseeded", "discarded", "banked"),
                     strict=True))  # fmt: skip
    assert [line.split()[:3] for line in shelf.lines()] == [
        [t["date"], kinds[t["kind"]], vessel] for t in planned for vessel in vessels_of(t)
    ]
    after = shelf.tasks("2027-02-16")
    assert after["overdue"] == {}
    assert not {t["id"] for t in after["tasks"]} & {t["id"] for t in planned}
    assert shelf.run("check", shelf.plan, "--on", "2027-02-16").exit_code == 0


def test_done_twice_records_nothing_twice(shelf: State) -> None:
    shelf.log("done", "--through", "2027-02-10", "--on", "2027-02-10")
    before = shelf.lines()
    assert "nothing to record" in shelf.log("done", "--through", "2027-02-10", "--on", "2027-02-10").stderr
    assert shelf.lines() == before


def test_done_for_one_vessel_leaves_the_others_open(shelf: State) -> None:
    planned = {task["id"]: task["date"] for task in shelf.tasks("2027-02-01")["tasks"]}
    day = planned["south/1/start"]
    shelf.log("done", "south", "--through", day, "--on", day)
    assert {line.split()[2] for line in shelf.lines()} == {"south"}
    left = {task["id"] for task in shelf.tasks(day)["tasks"]}
    assert "south/1/start" not in left and "north/1/start" in left


def test_a_life_as_planned_keeps_the_plan(shelf: State) -> None:
    """Doing everything as planned and logging it moves no task."""
    planned = {t["id"]: t["date"] for t in shelf.tasks("2027-02-01")["tasks"]}
    shelf.log("done", "--through", "2027-02-20", "--on", "2027-02-20")
    later = {t["id"]: t["date"] for t in shelf.tasks("2027-02-20")["tasks"]}
    assert {name: on for name, on in later.items() if name in planned} == {
        name: on for name, on in planned.items() if name in later
    }
    beyond = [on for name, on in later.items() if name not in planned]
    assert min(beyond) >= max(planned.values())  # the horizon has moved on


def test_without_a_day_it_is_the_day_of_the_newest_entry(shelf: State) -> None:
    """The entries lie after the clock of the machine the tests run on, or the clock has passed the horizon."""
    begun(shelf)
    assert shelf.json("tasks", shelf.plan)["as_of"] >= "2027-02-01"


def test_every_kind_can_be_logged(shelf: State) -> None:
    Path(shelf.plan).write_text(
        Path(shelf.plan).read_text(encoding="utf-8") + '\n[tank]\nvolume = "300 L"\nration = "120 mL/day"\n',
        encoding="utf-8",
    )
    begun(shelf)
    needs = {
        "counted": ("--density", "5e5/mL"),
        "skipped": ("--task", "north/1/feed"),
        "note": ("--text", "foam"),
        "void": ("--entry", "1"),
        "started": ("--yes",),
        "harvested": ("--volume", "1 L"),
        "measured": ("--volume", "300 mL"),
    }
    shelf.log("harvested", "north", "--volume", "500 mL", "--on", "2027-02-04", "--yes")
    subjects = dict.fromkeys(("given-away", "measured"), "harvest:north/1") | {"given": "tank"}
    for kind in KINDS:
        if kind != "void":
            name = subjects.get(kind, "north")
            shelf.log(kind, name, "--on", "2027-02-05", "--yes", *needs.get(kind, ()))
    shelf.log("void", "--entry", "1", "--on", "2027-02-05", "--yes")
    assert {line.split()[1] for line in shelf.lines()} == set(KINDS)


def test_a_skip_may_name_any_open_task_and_its_vessel_is_told_by_it(shelf: State) -> None:
    begun(shelf)
    task = next(
        t["id"]
        for t in shelf.tasks("2027-02-02")["tasks"]
        if t["vessel"] == "north" and t["date"] > "2027-02-02"
    )
    shelf.log("skipped", "--task", task, "--on", "2027-02-02")
    assert shelf.lines()[-1] == f"2027-02-02 skipped north task={task} n=3"


def test_json_stays_json_when_the_logbook_is_wrong(shelf: State) -> None:
    shelf.book.write_text("2027-02-01 startd north\n", encoding="utf-8")
    result = shelf.run("tasks", shelf.plan, "--on", "2027-02-01", "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout)["tasks"]
    assert "[log-kind]" in result.stderr


def test_every_key_has_an_option_whose_help_names_kinds_that_take_it() -> None:
    assert set(KEY_HELP) == set(KEYS)
    for key, told in KEY_HELP.items():
        for part in told.split("; ") if ": " in told else ():
            for kind in part.split(": ")[0].split(", "):
                assert is_kind(kind) and key in KINDS[kind].keys, (key, kind)
