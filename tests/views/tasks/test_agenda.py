"""The agenda: everything a task says, within the screen or on one line."""

import re
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest
from pinned import pinned

from greenrota.cli.system.rota_at import load_plan
from greenrota.planfile.read.load import read_plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.check.warning import warnings_text
from greenrota.views.tasks import visit
from greenrota.views.tasks.agenda import agenda, chosen
from greenrota.views.text.lettering import display_width
from greenrota.views.today.today import today_page
from greenrota.views.vessel.growth import growth_page

FOLDER = Path(__file__).parents[3] / "examples"
NAMES = ("shelf", "us-pair", "corner")
LONGEST = "\u5317" * 40  # the longest name a plan may hold, every character two columns wide


@cache
def rota(name: str) -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


@cache
def long_named() -> Rota:
    text = (FOLDER / "shelf.toml").read_text(encoding="utf-8")
    return schedule(read_plan(text.replace('"north"', f'"{LONGEST}"'), "plan.toml"))


def pages(shown: Rota, width: int | None) -> str:
    """Every text page of a rota."""
    days = [shown.as_of + timedelta(days=n) for n in range(0, 30, 3)]
    late = replace(shown, overdue={task.id: shown.as_of for task in shown.tasks[:3]})
    return "\n".join(
        [
            agenda(shown, shown.tasks, width),
            *(today_page(late, day, width) for day in days),
            *(growth_page(shown, name, width) for name in shown.benches),
            warnings_text(shown.warnings, width),
        ]
    )


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [80, 100, 110, 120, 200])
def test_every_page_fits_the_screen(name: str, width: int) -> None:
    assert max(map(display_width, pages(rota(name), width).splitlines())) <= width


def test_the_longest_name_fits_80_columns_too() -> None:
    page = (
        agenda(long_named(), long_named().tasks, 80) + "\n" + today_page(long_named(), date(2027, 2, 13), 80)
    )
    assert max(map(display_width, page.splitlines())) <= 80
    assert LONGEST in "".join(page.split())  # broken over lines, but whole


def flat(text: str) -> str:
    """The text without line ends and indents."""
    return " ".join(text.split())


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [None, 50, 80])
def test_reasons_are_whole_where_they_are_asked_for_and_nowhere_else(name: str, width: int | None) -> None:
    shown = rota(name)
    asked = flat(agenda(shown, shown.tasks, width, reasons=True))
    assert all(flat(task.reason) in asked for task in shown.tasks)
    assert all(cycle.why in asked for cycle in shown.cycles.values())
    assert "of its ceiling" not in agenda(shown, shown.tasks, width)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [None, 80])
def test_every_task_is_on_one_line_of_its_day(name: str, width: int | None) -> None:
    found = visit.days(rota(name), rota(name).tasks)
    assert [day.on for day in found] == sorted({task.on for task in rota(name).tasks})
    told = {task.id for day in found for line in day.lines for task in line.tasks}
    assert told == {task.id for task in rota(name).tasks}
    page = flat(agenda(rota(name), rota(name).tasks, width))
    for day in found:
        for line in day.lines:
            assert flat(line.text).split(" ")[0] in page


@pytest.mark.parametrize("name", NAMES)
def test_without_a_screen_every_line_begins_with_its_date(name: str) -> None:
    lines = agenda(rota(name), rota(name).tasks).split("\n\n")[1].splitlines()[1:]
    days = visit.days(rota(name), rota(name).tasks)
    assert [line.split()[1] for line in lines] == [day.on.isoformat() for day in days for _ in day.lines]


@pytest.mark.usefixtures("whole_search")
def test_a_month_of_three_jars_is_45_lines_at_80_columns() -> None:
    """Our choice: what a tall terminal shows at once, of the rota that a person gets."""
    whole = schedule(load_plan(FOLDER / "shelf.toml"))
    assert agenda(whole, chosen(whole, last=date(2027, 2, 28)), 80).count("\n") + 1 <= 45


def test_densities_are_in_millions_with_two_figures() -> None:
    page = agenda(rota("shelf"), rota("shelf").tasks, 80)
    assert "million cells/mL, batch" in page.splitlines()[0]
    assert not re.search(r"\d\.\de\d", page)
    starts = [
        line for day in visit.days(rota("shelf"), rota("shelf").tasks) for line in day.lines if line.batch
    ]
    assert all(line.density_per_ml is not None for line in starts)
    # by hand: 150 mL of 2e6 cells/mL in 4 L are 75,000 cells/mL, some of them lost in the fridge; two figures
    assert re.search(r"0\.07[345] 1$", agenda(pinned(), pinned().tasks, 80), re.MULTILINE)


def test_the_title_names_the_days_and_says_when_nothing_is_to_do() -> None:
    head = agenda(rota("shelf"), ()).splitlines()
    assert head[0] == "shelf: Mon 1 Feb to Sun 28 Mar 2027, as of Mon 1 Feb"
    assert head[-1].startswith("No tasks in this time; the rota is planned through ")


def test_us_units_stand_beside_metric_ones_only_where_wanted() -> None:
    # by hand: a gallon, 3785 mL, less the 950 mL that are kept is 2835 mL; a jug shows 2830 mL, 2.99 x 946.353 mL
    assert "2.83 L (2.99 US qt)" in agenda(rota("us-pair"), rota("us-pair").tasks)
    assert " US " not in agenda(rota("shelf"), rota("shelf").tasks)


def test_drops_never_stand_alone() -> None:
    dosed = [task for task in rota("shelf").tasks if task.amounts.nutrient_ml]
    lines = agenda(rota("shelf"), dosed).splitlines()
    counted = [line for line in lines if re.search(r" drops?\)", line)]
    assert len(counted) == len(dosed)
    assert all(" mL f2 (~" in line for line in counted)
    # derived by hand: 4 L x 0.20 mL/L = 0.80 mL, 16 drops of 0.05 mL
    assert any("0.80 mL f2 (~16 drops)" in line for line in counted)


def test_what_is_shown_can_be_narrowed_on_both_ends_and_by_vessel() -> None:
    days = [task.on for task in rota("shelf").tasks if "north" in task.vessels]
    first, last = days[2], days[-3]
    shown = chosen(rota("shelf"), first, last, "north")
    assert shown == tuple(
        task for task in rota("shelf").tasks if first <= task.on <= last and "north" in task.vessels
    )
    assert (shown[0].on, shown[-1].on) == (first, last)
    assert chosen(rota("shelf")) == rota("shelf").tasks


def test_a_pipe_gets_the_words_of_the_screen_and_the_date_on_every_line() -> None:
    shown = chosen(pinned(), date(2027, 2, 21), date(2027, 2, 21))
    screen = agenda(pinned(), shown, 80).split("\n\n")[0].splitlines()[1:]
    pipe = agenda(pinned(), shown).split("\n\n")[1].splitlines()
    # by hand: a day that harvests and re-seeds one jar, each with its density and its batch
    assert [line.split()[-2:] for line in screen] == [["1.1", "2"], ["0.42", "3"]]
    bare = [line.replace("Sun 21 Feb", " " * 10).replace("north", " " * 5, 1).split() for line in screen]
    dated = [line.split() for line in pipe[1:]]
    assert [line[:3] for line in dated] == [["Sun", "2027-02-21", "north"]] * 2
    assert [line[3:] for line in dated] == bare
