"""The agenda: everything a task says, within the screen or on one line."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest

from greenrota.cli.rota_at import load_plan
from greenrota.culture.sanitation import CAUTIONS
from greenrota.planfile.load import read_plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.agenda import agenda, chosen
from greenrota.views.growth import growth_page
from greenrota.views.lettering import display_width
from greenrota.views.today import today_page
from greenrota.views.warning import warnings_text

FOLDER = Path(__file__).parents[2] / "examples"
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
@pytest.mark.parametrize("width", [50, 80])
def test_wrapping_loses_no_word(name: str, width: int) -> None:
    page = flat(agenda(rota(name), rota(name).tasks, width))
    assert all(flat(task.reason) in page for task in rota(name).tasks)


@pytest.mark.parametrize("name", NAMES)
def test_without_a_screen_every_task_is_one_line(name: str) -> None:
    lines = agenda(rota(name), rota(name).tasks).splitlines()
    head = next(n for n, line in enumerate(lines) if line.startswith("date "))
    for task, line in zip(rota(name).tasks, lines[head + 1 :], strict=False):
        assert line.split()[1:4] == [task.on.isoformat(), task.kind, task.batch]
        assert line.endswith(task.reason)
    assert lines[head + 1 + len(rota(name).tasks)] == ""


@pytest.mark.parametrize("width", [None, 80])
def test_every_caution_stands_once_and_whole(width: int | None) -> None:
    page = flat(agenda(rota("shelf"), rota("shelf").tasks, width))
    keys = {key for task in rota("shelf").tasks for key in task.cautions}
    assert len(keys) > 5
    for key in keys:
        assert page.count(CAUTIONS[key].text) == 1


def test_the_letters_lead_from_the_task_to_its_cautions() -> None:
    shown = rota("shelf").tasks
    lines = agenda(rota("shelf"), shown).splitlines()
    texts = {line[0]: line[3:] for line in lines if line[1:3] == "  " and line[:1].isalpha()}
    for task, line in zip(shown, [line for line in lines if line[4:6] == "20"], strict=True):
        letters = line.split()[4]
        assert {texts[letter].split(" [")[0] for letter in letters} == {
            CAUTIONS[key].text for key in task.cautions
        }


def test_heading_says_what_was_chosen_and_why() -> None:
    head = agenda(rota("shelf"), ()).splitlines()
    cycles = rota("shelf").cycles
    assert head[0] == "shelf: as of Mon 2027-02-01, through Sun 2027-03-28"
    assert head[1].startswith("north, south: harvest when ripe")
    assert cycles["north"].why in head[1]
    assert cycles["spare"].why in head[2]
    assert head[-1] == "No tasks in this time."


def test_us_units_stand_beside_metric_ones_only_where_wanted() -> None:
    # by hand: a gallon, 3785 mL, less the 950 mL that are kept is 2835 mL; a jug shows 2830 mL, 2.99 x 946.353 mL
    assert "2.83 L (2.99 US qt)" in agenda(rota("us-pair"), rota("us-pair").tasks)
    assert " US " not in agenda(rota("shelf"), rota("shelf").tasks)


def test_drops_never_stand_alone() -> None:
    dosed = [task for task in rota("shelf").tasks if task.amounts.nutrient_ml]
    lines = agenda(rota("shelf"), dosed).splitlines()
    counted = [line for line in lines if "drops" in line]
    assert len(counted) == len(dosed)
    assert all(" mL f2 (about " in line for line in counted)
    # derived by hand: 4 L x 0.20 mL/L = 0.80 mL, 16 drops of 0.05 mL
    assert any("0.80 mL f2 (about 16 drops)" in line for line in counted)


def test_what_is_shown_can_be_narrowed_on_both_ends_and_by_vessel() -> None:
    days = [task.on for task in rota("shelf").tasks if task.vessel == "north"]
    first, last = days[2], days[-3]
    shown = chosen(rota("shelf"), first, last, "north")
    assert shown == tuple(
        task for task in rota("shelf").tasks if first <= task.on <= last and task.vessel == "north"
    )
    assert (shown[0].on, shown[-1].on) == (first, last)
    assert chosen(rota("shelf")) == rota("shelf").tasks


def test_every_task_stands_under_its_own_day() -> None:
    day = ""
    seen = []
    for line in agenda(rota("corner"), rota("corner").tasks, 80).split("\n\nTake care")[0].splitlines():
        if line[3:6] == " 20":
            day = line[4:]
        elif line.startswith("  ") and line[2:3].isalpha() and line.split()[0] in ("harvest", "start"):
            seen.append((day, *line.split()[:2]))
    wanted = [
        (task.on.isoformat(), task.kind, task.batch)
        for task in rota("corner").tasks
        if task.kind in ("harvest", "start")
    ]
    assert seen == wanted
