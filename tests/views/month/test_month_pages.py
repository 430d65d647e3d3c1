"""How a month goes on paper: one page in type that reads well, with less said of ripe vessels, or two pages.

Truth: the record of the month; sizes of paper from `PAPERS`; the least sizes of type are our choice.
"""

import re
from dataclasses import replace
from datetime import date
from functools import cache
from html import unescape
from pathlib import Path

import pytest
from made_papers import rota_of
from pinned import pinned

from greenrota.cli.system.rota_at import load_plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.month.month import Entry, Month, MonthDay, month
from greenrota.views.month.month_fit import LARGEST_PT, READABLE_PT, month_pages
from greenrota.views.month.month_page import month_html
from greenrota.views.month.month_sheet import month_sheet
from greenrota.views.paper.page import PAPERS

FOLDER = Path(__file__).parents[3] / "examples"
NAMES = ("shelf", "us-pair", "corner")


@cache
def rota(name: str = "shelf") -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


def flat(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", unescape(page)).replace("\u00a0", " ").split())


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("brief", [False, True])
def test_a_sheet_names_every_vessel_that_is_worked_on(name: str, brief: bool) -> None:
    found = month(rota(name))
    for week, shown in zip(found.weeks, month_sheet(found, brief).weeks, strict=True):
        for day, cell in zip(week, shown, strict=True):
            worked = [n for line in cell.lines if line.name != "clean" for n in line.name.split(", ")]
            assert worked == [entry.vessel for entry in day.entries]


def test_vessels_one_after_the_other_that_are_alike_share_a_line() -> None:
    day = MonthDay(date(2027, 2, 3), "open", (), {}, ("v1",), "", "", "")
    done = [("v1", "1.60 L"), ("v2", "1.60 L"), ("v3", "1.60 L"), ("v4", "900 mL"), ("v5", "1.60 L")]
    day = replace(day, entries=tuple(Entry(name, ("harvest",), amount) for name, amount in done))
    (week,) = month_sheet(Month(rota(), ((day,),))).weeks
    assert [(line.name, flat(line.text)) for line in week[0].lines] == [
        ("v1", "clean, harvest 1.60 L"),
        ("v2, v3", "harvest 1.60 L"),
        ("v4", "harvest 900 mL"),
        ("v5", "harvest 1.60 L"),
    ]


def test_in_brief_a_ripe_vessel_is_named_on_the_first_of_its_days() -> None:
    found = month(pinned())
    whole, brief = ([day for week in month_sheet(found, b).weeks for day in week] for b in (False, True))
    days = [day for week in found.weeks for day in week]
    for n, day in enumerate(days):
        before = days[n - 1].ripe if n else {}
        new = [name for name, state in day.ripe.items() if before.get(name) != state]
        assert [name for text in brief[n].ripe for name in text.split(": ")[1].split(", ")] == new
    assert sum(len(day.ripe) for day in brief) < sum(len(day.ripe) for day in whole)
    assert any(text.startswith("ripe from now: ") for day in brief for text in day.ripe)
    assert "ripe from now" in month_sheet(found, True).legend


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("vessels", [1, 6, 12])
def test_fewer_vessels_get_larger_type_on_one_page(vessels: int, paper: str) -> None:
    pages = month_pages(month(rota_of(vessels)), PAPERS[paper].turned())
    assert len(pages.sheets) == 1
    assert {1: 11.0, 6: 9.5, 12: READABLE_PT}[vessels] <= pages.pt <= LARGEST_PT


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_month_that_one_page_can_not_hold_goes_on_two(paper: str) -> None:
    """Twelve vessels with long names and a harvest of several on most days."""
    whole = month(rota("corner"))
    pages = month_pages(whole, PAPERS[paper].turned())
    assert len(pages.sheets) == 2
    assert pages.pt >= 8.0  # our choice: what is still read at arm's length
    dates = [day.date.split()[0] for sheet in pages.sheets for week in sheet.weeks for day in week]
    assert dates == [str(day.on.day) for week in whole.weeks for day in week]
    assert [sheet.note.split("; ")[1] for sheet in pages.sheets] == ["page 1 of 2", "page 2 of 2"]
    assert all(any("Always" in text for text in sheet.cautions) for sheet in pages.sheets)
    assert month_html(whole, PAPERS[paper].turned()).count("<section") == 2


@pytest.mark.parametrize("name", ["shelf", "us-pair"])
def test_a_usual_shelf_has_one_page_with_everything(name: str) -> None:
    pages = month_pages(month(rota(name)), PAPERS["letter"].turned())
    assert pages.sheets == (month_sheet(month(rota(name))),)
    assert pages.pt >= READABLE_PT
