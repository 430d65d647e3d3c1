"""A whole life through the command line: start, harvest, crash, correction, and what each made of the rota."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from shelf_life import State, shelf_with

from greenrota.cli.system.rota_at import read_papers
from greenrota.errors import ProblemsFound
from greenrota.rota.state.donors import WAIT_DAYS
from greenrota.views.text.lettering import display_width
from greenrota.views.today.today import today_page

CRASH_DAY = "2027-02-17"


@pytest.fixture
def two_weeks(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The logbook of three vessels after two weeks done as planned."""
    shelf = shelf_with(tmp_path_factory.mktemp("two-weeks"), "north", "south", "west")
    shelf.log("done", "--through", "2027-02-16", "--on", "2027-02-16")
    return shelf.book.read_bytes()


@pytest.fixture
def lived(tmp_path: Path, two_weeks: bytes) -> State:
    """Three vessels, two weeks done as planned."""
    shelf = shelf_with(tmp_path, "north", "south", "west")
    shelf.book.write_bytes(two_weeks)
    return shelf


def crash(shelf: State, *more: str, vessel: str = "south", on: str = CRASH_DAY) -> None:
    shelf.log("crashed", vessel, "--on", on, *more)


def test_after_a_crash_the_vessel_is_cleaned_and_restarted(lived: State) -> None:
    crash(lived, "--cause", "overheating")
    south = [t for t in lived.tasks(CRASH_DAY)["tasks"] if t["vessel"] == "south"]
    start = next(t for t in south if t["kind"] == "start")
    [prepare] = [t for t in lived.tasks(CRASH_DAY)["tasks"] if start["id"] in t["serves"]] or [start]
    assert any("ammonia" in caution for caution in (*prepare["cautions"], *start["cautions"]))
    latest = date.fromisoformat(CRASH_DAY) + timedelta(
        days=1 + WAIT_DAYS
    )  # cleaned first, then a better donor
    assert CRASH_DAY < start["date"] <= latest.isoformat()
    assert start["parent"].split("/")[0] in (
        "north",
        "west",
        "fridge:north",
        "fridge:south",
        "fridge:west",
        "starter:bought",
    )
    assert "overheating" in start["reason"]


def test_a_crash_touches_nobody_who_is_neither_suspect_nor_donor(lived: State) -> None:
    before = {t["id"]: t for t in lived.tasks(CRASH_DAY)["tasks"]}
    crash(lived, "--cause", "overheating")
    answer = lived.json("changes", lived.plan, "--on", CRASH_DAY)
    donors = {c["after"]["parent"] for c in answer["changes"] if c["after"] and c["after"]["kind"] == "start"}
    touched = {"south", *(donor.removeprefix("fridge:").split("/")[0] for donor in donors)}
    # a bucket of salt water is for several vessels
    changed = {c["id"] for c in answer["changes"] if "/prepare" not in c["id"]}
    # a back-up that south fills now need not come out of another vessel's harvest
    banks = {name for name in changed if name.endswith("/bank")}
    spared = banks | {name.removesuffix("bank") + "harvest" for name in banks}
    assert {name.split("/")[0] for name in changed - spared} <= touched
    after = {t["id"]: t for t in lived.tasks(CRASH_DAY)["tasks"]}
    for name, task in before.items():
        if task["vessel"] not in touched and name not in spared and task["kind"] != "prepare":
            assert after[name] == task


def test_changes_have_the_promised_shape_and_add_up(lived: State) -> None:
    before = {t["id"] for t in lived.tasks(CRASH_DAY)["tasks"]}
    crash(lived, "--cause", "air-failure")
    answer = lived.json("changes", lived.plan, "--on", CRASH_DAY)
    assert list(answer) == ["format", "since", "entries", "kept", "changes"]
    assert answer["format"] == "greenrota/changes/1"
    assert answer["since"] == CRASH_DAY
    after = {t["id"]: t for t in lived.tasks(CRASH_DAY)["tasks"]}
    by_kind: dict[str, set[str]] = {"moved": set(), "new": set(), "dropped": set(), "amounts": set()}
    for change in answer["changes"]:
        assert list(change) == ["id", "change", "before", "after", "reason"]
        assert change["reason"]
        assert (change["before"] is None) == (change["change"] == "new")
        assert (change["after"] is None) == (change["change"] == "dropped")
        if change["after"]:
            assert change["after"] == after[change["id"]]
        by_kind[change["change"]].add(change["id"])
    assert by_kind["new"] == set(after) - before
    assert by_kind["dropped"] == before - set(after)
    assert answer["kept"] == len(after) - sum(len(by_kind[word]) for word in ("moved", "new", "amounts"))


def test_a_void_restores_the_state_exactly(lived: State) -> None:
    before = lived.tasks(CRASH_DAY)
    growth = lived.json("growth", "south", lived.plan, "--on", CRASH_DAY)
    crash(lived, "--cause", "contamination", "--since", "2027-02-10")
    assert lived.tasks(CRASH_DAY) != before
    number = lived.lines()[-1].rpartition("n=")[2]
    lived.log("void", "--entry", number, "--reason", "wrong vessel", "--on", CRASH_DAY)
    assert lived.tasks(CRASH_DAY) == before
    assert lived.json("growth", "south", lived.plan, "--on", CRASH_DAY) == growth
    answer = lived.json("changes", lived.plan, "--since", number, "--on", CRASH_DAY)
    assert answer["changes"] == []  # the crash and its void together changed nothing
    undone = lived.json("changes", lived.plan, "--since", str(int(number) + 1), "--on", CRASH_DAY)
    assert {c["change"] for c in undone["changes"]} >= {"dropped"}  # the restart is gone again


@pytest.mark.parametrize(("since", "status"), [("999", 2), ("0", 2), ("2027-13-01", 2), ("2027-02-17", 0)])
def test_since_is_an_entry_or_a_day(lived: State, since: str, status: int) -> None:
    result = lived.run("changes", lived.plan, "--since", since, "--on", CRASH_DAY)
    got = result.exception.status if result.exception is not None else result.exit_code  # type: ignore[attr-defined]
    assert got == status


def test_contamination_marks_the_line_and_asks_for_a_look(lived: State) -> None:
    """Everything that took culture from the suspect is looked at, gives nothing, and is released by an entry."""
    members = {m["id"]: m for m in lived.json("lineage", lived.plan, "--on", CRASH_DAY)["members"]}
    bottle = next(m for m in members.values() if m["state"] == "fridge" and m["id"].startswith("fridge:"))
    giver = bottle["parent"].split("/")[0]
    crash(lived, "--cause", "contamination", "--since", bottle["date"], vessel=giver)
    tasks = lived.tasks(CRASH_DAY)
    assert bottle["id"] in {look["subject"] for look in tasks["looks"]}
    assert bottle["id"] not in {task["parent"] for task in tasks["tasks"] if task["kind"] == "start"}
    for command in ("today", "tasks"):
        page = lived.run(command, lived.plan, "--on", CRASH_DAY).stdout
        assert "Look at it under magnification" in page
        assert f"  {bottle['id']}  suspect since" in page
    lived.log("cleared", bottle["id"], "--on", CRASH_DAY)
    assert bottle["id"] not in {look["subject"] for look in lived.tasks(CRASH_DAY)["looks"]}


def test_lineage_tells_what_a_contamination_would_touch(lived: State) -> None:
    answer = lived.json(
        "lineage", lived.plan, "--on", CRASH_DAY, "--from", "starter:bought", "--since", "2027-02-01"
    )
    assert answer["format"] == "greenrota/lineage/1"
    assert {touched["id"] for touched in answer["touched"] if not touched["id"].startswith("harvest:")} == {
        m["id"] for m in answer["members"]
    }
    assert "harvest:south/1" in {touched["id"] for touched in answer["touched"]}
    known = {m["id"]: m for m in answer["members"]}
    for member in answer["members"]:
        assert member["parent"] is None or known[member["parent"]]["date"] <= member["date"]
    alive = [m["vessel"] for m in answer["members"] if m["state"] == "alive"]
    assert sorted(alive) == ["north", "south", "west"]


def test_the_tree_names_everybody_once_and_marks_the_crashed(lived: State) -> None:
    crash(lived, "--cause", "overheating")
    text = lived.run("lineage", lived.plan, "--on", CRASH_DAY).stdout
    for member in lived.json("lineage", lived.plan, "--on", CRASH_DAY)["members"]:
        rows = [line for line in text.splitlines() if line.lstrip("│├└─ ").split()[0] == member["id"]]
        assert len(rows) == 1
        assert {"crashed": "CRASHED", "alive": "ALIVE", "fridge": "IN FRIDGE", "gone": "gone"}[
            member["state"]
        ] in rows[0]


def test_without_a_logbook_lineage_is_as_planned(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north", "south")
    states = {m["state"] for m in shelf.json("lineage", shelf.plan, "--on", "2027-02-01")["members"]}
    assert states == {"fridge", "planned"}
    refused = shelf.run("lineage", shelf.plan, "--since", "2027-02-01").exception
    assert refused.status == 2  # type: ignore[union-attr]


def test_what_was_not_logged_is_overdue(lived: State) -> None:
    due = next(t for t in lived.tasks("2027-02-16")["tasks"] if t["kind"] == "harvest")
    later = date.fromisoformat(due["date"]).replace(day=date.fromisoformat(due["date"]).day + 3).isoformat()
    tasks = lived.tasks(later)
    assert tasks["overdue"][due["id"]] == due["date"]
    assert next(t for t in tasks["tasks"] if t["id"] == due["id"])["date"] >= later
    assert "Overdue since" in lived.run("today", lived.plan, "--on", later).stdout
    assert "OVERDUE since" in lived.run("tasks", lived.plan, "--on", later).stdout


def test_growth_shows_what_was_and_what_is_projected(lived: State) -> None:
    crash(lived, "--cause", "overheating")
    answer = lived.json("growth", "south", lived.plan, "--on", CRASH_DAY)
    assert answer["batches"][0]["batch"] == "south/1"
    daily = {day["date"]: day for day in answer["daily"]}
    assert daily["2027-02-16"]["density_per_ml"] > 0.0
    assert daily[CRASH_DAY]["density_per_ml"] == 0.0  # emptied on that day
    assert max(daily) == "2027-03-16"  # 28 days from CRASH_DAY


def test_the_evening_of_a_crash_fits_one_screen(lived: State) -> None:
    crash(lived, "--cause", "contamination", "--since", "2027-02-15")
    papers = read_papers(Path(lived.plan))
    for day in (date(2027, 2, 17), date(2027, 2, 18), date(2027, 2, 19)):
        page = today_page(papers.rota(day), day, 80, 24)
        # what is overdue comes on top: its heading and two lines of its own
        assert len(page.splitlines()) <= 24 + 3 * page.count("Overdue"), page
        assert all(display_width(line) <= 80 for line in page.splitlines())
        assert "The next 3 days" in page
        assert "Watch every vessel" in page or "Look at every vessel" in page


def test_one_home_left_is_warned_of_with_the_day_of_the_next(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north", "south", starter="200 mL")
    shelf.log("started", "north", "--inoculum", "200 mL", "--on", "2027-02-01")
    result = shelf.log("counted", "north", "--density", "3e5/mL", "--on", "2027-02-04")
    assert "[one-home]" in result.stderr
    (warning_object,) = [w for w in shelf.tasks("2027-02-04")["warnings"] if w["code"] == "one-home"]
    first = next(t for t in shelf.tasks("2027-02-04")["tasks"] if t["kind"] in ("bank", "start"))
    assert first["date"] in warning_object["text"]
    assert "[one-home]" in shelf.run("today", shelf.plan, "--on", "2027-02-04").stdout


def test_a_lost_strain_is_said_plainly(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north", starter="200 mL")
    shelf.log("started", "north", "--inoculum", "200 mL", "--on", "2027-02-01")
    result = shelf.log("crashed", "north", "--on", "2027-02-05")
    assert "get a new starter" in result.stderr
    assert "get a new starter" in shelf.run("today", shelf.plan, "--on", "2027-02-05").stdout


def test_a_vessel_that_never_held_a_batch_can_touch_nothing(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north", "south")
    shelf.log("started", "north", "--on", "2027-02-01")
    refused = shelf.run("lineage", shelf.plan, "--on", "2027-02-02", "--from", "south").exception
    assert isinstance(refused, ProblemsFound)
    assert [problem.code for problem in refused.problems] == ["no-batch"]
    assert (
        shelf.run("lineage", shelf.plan, "--on", "2027-02-02", "--from", "south", "--planned").exit_code == 0
    )


def test_today_and_growth_tell_the_same_ripe_days(lived: State) -> None:
    lived.log("counted", "north", "--density", "9e5 /mL", "--on", "2027-02-16")
    vessels = lived.json("today", lived.plan, "--on", CRASH_DAY)["vessels"]
    assert vessels
    for vessel in vessels:
        batches = lived.json("growth", vessel["vessel"], lived.plan, "--on", CRASH_DAY)["batches"]
        (grown,) = [each for each in batches if each["batch"] == vessel["batch"]]
        keys = ("ripe_on", "ripe_from", "ripe_to")
        assert [vessel[key] for key in keys] == [grown[key] for key in keys]
        assert vessel["ripe_from"] <= vessel["ripe_on"] <= vessel["ripe_to"]
