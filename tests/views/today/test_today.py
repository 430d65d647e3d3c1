"""The page of a day: what is due, what to set out, what comes next, what to look at."""

import json
import re
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest

from greenrota.cli.system.rota_at import load_plan
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.tasks import visit
from greenrota.views.tasks.agenda import chosen
from greenrota.views.tasks.watch import SIGNS
from greenrota.views.text.lettering import display_width
from greenrota.views.today.today import today_page
from greenrota.views.today.today_json import today_json

FOLDER = Path(__file__).parents[3] / "examples"


@cache
def rota(name: str = "shelf") -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


def lines_of(day: date) -> list[visit.Line]:
    """What is done on a day."""
    found = map(visit.cleaned_together, visit.days(rota(), chosen(rota(), day, day)))
    return [line for each in found for line in each.lines]


def flat(lines: list[str]) -> str:
    """Lines as one, without indents and without the figures on the right of a line's beginning."""
    return re.sub(r"  +[\d.]+ \d+(?= |$)", "", " ".join(line.rstrip() for line in lines)).replace("\n", " ")


def sections(page: str) -> dict[str, list[str]]:
    """The lines of every block by its first line."""
    blocks = [block.splitlines() for block in page.split("\n\n")]
    return {block[0]: block[1:] for block in blocks}


def days_of_work() -> list[date]:
    """Every day on which something is due."""
    return sorted({task.on for task in rota().tasks})


def test_every_task_of_the_day_is_due() -> None:
    for day in days_of_work():
        due = flat(sections(today_page(rota(), day))["Due today"])
        lines = lines_of(day)
        assert lines, day
        for line in lines:
            assert due.count(flat([line.whole])) >= 1, day


def test_a_day_without_tasks_says_so() -> None:
    page = sections(today_page(rota(), date(2027, 1, 1)))  # a month before the rota begins
    assert page["Due today"] == ["  nothing"]
    assert page["The next 3 days"] == ["  nothing"]
    assert "Overdue" not in page
    assert not any(title.startswith("In all") for title in page)


def test_what_is_set_out_adds_up() -> None:
    # derived by hand: two starts of 4 L at 0.20 mL/L
    start = next(task for task in rota().tasks if task.kind == "start")
    second = replace(start, id="south/1/start", vessel="south", batch="south/1")
    both = replace(rota(), tasks=(start, second))  # whoever is started first does not matter here
    (line,) = [line for line in today_page(both, start.on).splitlines() if "In all: " in line]
    assert line.endswith("1.60 mL f2 (about 32 drops)")


def test_the_next_days_name_every_task() -> None:
    day = next(task.on for task in rota().tasks if task.kind == "harvest") - timedelta(days=1)
    lines = sections(today_page(rota(), day))["The next 3 days"]
    wanted = [task for task in rota().tasks if timedelta(0) < task.on - day <= timedelta(days=3)]
    assert wanted
    for task in wanted:
        assert any(task.batch in line and TASK_KINDS[task.kind].verb in line for line in lines), task.id


def test_what_is_overdue_comes_first_with_its_day() -> None:
    first = rota().tasks[0]
    late = replace(rota(), overdue={first.id: date(2027, 1, 31)})
    page = today_page(late, first.on)
    block = sections(page)["Overdue since Sun 2027-01-31"]
    assert f"clean {first.vessel}" in block[0]
    assert page.index("Overdue") < page.index("Due today")
    assert "ammonia" in page  # its cautions come with it
    assert page.count(f"clean {first.vessel}") == 1  # not under "Due today" once more


def test_an_overdue_task_that_waits_for_an_open_day_says_so() -> None:
    first = rota().tasks[0]
    late = replace(rota(), overdue={first.id: date(2027, 1, 31)})
    page = today_page(late, first.on - timedelta(days=1))
    assert "Overdue since Sun 2027-01-31, planned for Wed 2027-02-03 now" in page


def test_a_small_screen_loses_words_but_no_task() -> None:
    for day in days_of_work():
        page = today_page(rota(), day, 80, 24)
        for line in lines_of(day):
            assert line.text.split()[0] in page, day
        assert all(display_width(line) <= 80 for line in page.splitlines()), day


def test_a_screen_high_enough_holds_the_whole_page() -> None:
    day = rota().tasks[0].on
    assert today_page(rota(), day, 80, 500) == today_page(rota(), day, 80)


def test_vessels_are_told_as_they_stand_before_the_work() -> None:
    heading = "How they should stand before today's work"
    assert heading not in sections(today_page(rota(), date(2027, 2, 3)))  # nothing stands yet
    harvest = next(task for task in rota().tasks if task.kind == "harvest")
    rows = sections(today_page(rota(), harvest.on))[heading]
    assert any(row.split()[0] == harvest.batch for row in rows)


def test_what_to_look_at_is_marked_as_common_practice() -> None:
    page = sections(today_page(rota(), date(2027, 2, 5)))
    block = page["Look at every vessel (common practice, no source)"]
    assert [line.split()[0] for line in block] == [what for what, _ in SIGNS]
    assert {"colour", "foam", "clumping", "smell", "clearing"} == {what for what, _ in SIGNS}


@pytest.mark.parametrize(
    ("day", "said"),
    [(date(2027, 1, 1), "begins on Mon 2027-02-01"), (date(2028, 1, 1), "ended on Sun 2027-03-28")],
)
def test_a_day_outside_the_rota_is_told(day: date, said: str) -> None:
    assert said in today_page(rota(), day).splitlines()[0]


def test_the_figures_of_the_page_stand_in_the_json() -> None:
    """Vessels in millions of cells per mL and percent, doses in mL, tasks by what is poured."""
    for day in days_of_work():
        hold_figures(day)


def hold_figures(day: date) -> None:
    page, told = today_page(rota(), day), json.loads(today_json(rota(), day))
    shown = sections(page).get("How they should stand before today's work", [])
    assert len(shown) == (len(told["vessels"]) + 1 if told["vessels"] else 0)  # with the heads
    for line, vessel in zip(shown[1:], told["vessels"], strict=True):
        batch, millions, percent, *_ = line.split()
        assert batch == vessel["batch"]
        assert float(millions) == pytest.approx(vessel["density_per_ml"] / 1e6, rel=0.05)  # two digits
        # half a percent, and half of the fourth digit of the JSON
        assert int(percent.rstrip("%")) == pytest.approx(100.0 * vessel["share_of_ceiling"], abs=0.505)
        assert vessel["density_per_ml"] / vessel["ceiling_per_ml"] == pytest.approx(
            vessel["share_of_ceiling"], rel=1e-3
        )  # figures are rounded to four digits
    doses = next((title for title in sections(page) if title.startswith("In all: ")), "")
    assert bool(doses) == bool(told["doses_ml"])
    for name, ml in told["doses_ml"].items():
        found = re.search(rf"([\d.]+) mL {re.escape(name)}\b", doses)
        assert found is not None
        assert float(found[1]) == pytest.approx(ml, abs=0.0251)  # half a step of a syringe of 0.05 mL
    assert sum(sum(task["amounts"].get("nutrient_ml", {}).values()) for task in told["due"]) == pytest.approx(
        sum(told["doses_ml"].values()), rel=0.1
    )  # doses are rounded to what a syringe shows
