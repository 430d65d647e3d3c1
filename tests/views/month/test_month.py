"""The month: every visit on its day, days away and off and ripe days marked, one screen and one page or two.

Truth: tasks, days away and working days of the plan, and the outlook of each batch; sizes of paper from `PAPERS`.
"""

import json
import re
from dataclasses import asdict
from datetime import date, timedelta
from functools import cache
from html import unescape
from pathlib import Path

import pytest
from made_papers import HARMFUL, rota_named
from pinned import pinned

from greenrota.cli.system.rota_at import load_plan
from greenrota.rota.answers.contents import choice_of
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.month.month import WEEKS, Month, month
from greenrota.views.month.month_fit import month_pages
from greenrota.views.month.month_page import month_html
from greenrota.views.month.month_pdf import month_pdf
from greenrota.views.month.month_sheet import month_sheet
from greenrota.views.month.month_text import month_text
from greenrota.views.paper.page import PAPERS
from greenrota.views.paper.typeset import PDF_MARK
from greenrota.views.text import amount
from greenrota.views.text.lettering import display_width

FOLDER = Path(__file__).parents[3] / "examples"
NAMES = ("shelf", "us-pair", "corner")
A4 = PAPERS["a4"].turned()


@cache
def rota(name: str = "shelf") -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


def days_of(found: Month) -> dict[date, object]:
    return {day.on: day for week in found.weeks for day in week}


@pytest.mark.parametrize("name", NAMES)
def test_weeks_are_whole_and_every_visit_is_on_its_day(name: str) -> None:
    found = month(rota(name))
    whole = (rota(name).through - found.first).days // 7 + 1  # weeks of which a day lies in the horizon
    assert len(found.weeks) == min(WEEKS, whole)
    days = [day for week in found.weeks for day in week]
    assert [day.on for day in days] == [found.first + timedelta(days=n) for n in range(7 * len(found.weeks))]
    assert found.first.weekday() == 0
    for day in days:
        tasks = [task for task in rota(name).tasks if task.on == day.on]
        assert {entry.vessel for entry in day.entries} == {t.vessel for t in tasks if t.kind != "prepare"}
        assert bool(day.mix) == any(task.kind == "prepare" for task in tasks)


def test_days_are_open_off_away_or_outside() -> None:
    # by hand from the plan: away from 4 to 9 March 2027; work on Wednesday, Saturday and Sunday; begins on 1 February
    days = {day.on: day.kind for week in month(rota(), date(2027, 2, 25)).weeks for day in week}
    assert [days[date(2027, 3, n)] for n in (3, 4, 6, 9, 10, 11, 13)] == [
        "open", "away", "away", "away", "open", "off", "open",
    ]  # fmt: skip
    before = month(rota("us-pair")).weeks[0]
    assert [day.kind for day in before[:5]] == ["outside"] * 5  # begins on Saturday 6 February


def test_a_vessel_is_ripe_from_its_day_to_its_harvest() -> None:
    days = {day.on: day for week in month(pinned()).weeks for day in week}
    choice = choice_of(pinned(), "north/2")
    assert choice is not None and choice.projection.ripe_on is not None
    ripe_on = choice.projection.ripe_on
    harvest_on = next(task.on for task in pinned().tasks if task.id == "north/2/harvest")
    waits = (harvest_on - ripe_on).days
    assert 0 < waits < 7
    seen = [days[ripe_on + timedelta(days=n)].ripe.get("north") for n in range(-1, waits + 1)]
    assert seen == [None, *["ripe"] * waits, None]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [80, 120])
def test_it_fits_the_screen(name: str, width: int) -> None:
    lines = month_text(month(rota(name)), width).splitlines()
    assert max(map(display_width, lines)) <= width


@pytest.mark.usefixtures("whole_search")
def test_three_jars_fit_a_screen_of_80_by_24() -> None:
    """The rota that a person gets."""
    whole = schedule(load_plan(FOLDER / "shelf.toml"))
    assert month_text(month(whole), 80, 24).count("\n") + 1 < 24


def test_a_higher_screen_shows_more() -> None:
    small, large = (month_text(month(rota()), 80, height).count("\n") for height in (24, 60))
    assert small < large
    assert month_text(month(rota()), 80, 500) == month_text(month(rota()), 80)


def test_what_is_done_stands_under_its_day() -> None:
    """A column begins where the head of its weekday does."""
    found = month(pinned())
    _, heads, *lines = month_text(found, 80).splitlines()
    starts = [at.start() for at in re.finditer(r"\S+", heads)]
    blocks = "\n".join(lines).split("\n\n")[: len(found.weeks)]
    for week, block in zip(found.weeks, blocks, strict=True):
        for day, start, end in zip(week, starts, [*starts[1:], 80], strict=True):
            number, *cell = (line[start:end].strip() for line in block.splitlines())
            assert number.split()[0] == str(day.on.day)
            for entry in day.entries:
                assert " ".join(cell).startswith(", ".join(entry.words)), day.on
    assert sum(task.kind == "harvest" for task in pinned().tasks) > 2


def flat(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", unescape(page)).replace("\u00a0", " ").split())


@pytest.mark.parametrize("name", NAMES)
def test_the_page_holds_all_that_the_record_holds(name: str) -> None:
    page = flat(month_html(month(rota(name)), A4))
    for sheet in month_pages(month(rota(name)), A4).sheets:
        for day in (day for week in sheet.weeks for day in week):
            for line in day.lines:
                assert flat(f"{line.name} {line.text}") in page
            assert all(text in page for text in day.ripe)
        assert all(flat(cell) in page for row in sheet.corner.rows for cell in row)
        assert flat(sheet.corner.rule) in page


def test_the_corner_holds_the_doses_and_the_salt_water() -> None:
    found = month_sheet(month(rota())).corner
    # by hand: 0.20 mL of f2 to each litre of new water, whatever a harvest draws; fills of 4 L and 2.5 L
    assert found.title == "Salt water of 26 psu"
    assert [flat(row[0]) for row in found.rows] == ["1.00 L", "2.00 L", "2.50 L", "3.00 L", "4.00 L"]
    assert [flat(row[2]).split(" mL")[0] for row in found.rows] == ["0.20", "0.40", "0.50", "0.60", "0.80"]
    assert flat(found.rule).endswith("by the whole fill: 4.00 L north, south; 2.50 L spare.")


def test_the_corner_says_the_salt_that_the_tasks_weigh_out() -> None:
    """The tasks weigh out what their water takes at its warmth; the two figures come by different ways."""
    mixed = next(task for task in rota().tasks if task.kind == "prepare")
    g_per_l = (mixed.amounts.salt_g or 0.0) / (mixed.amounts.seawater_ml or 0.0) * 1000.0
    for row in month_sheet(month(rota())).corner.rows:
        litres, grams = (float(flat(cell).split(" ")[0]) for cell in row[:2])
        assert grams == pytest.approx(litres * g_per_l, abs=0.51)  # the scale shows whole grams


def test_a_us_corner_speaks_in_quarts() -> None:
    found = month_sheet(month(rota("us-pair"))).corner
    assert [flat(row[0]) for row in found.rows] == ["1.00 US qt", "2.00 US qt", "3.00 US qt", "1.00 US gal"]
    assert flat(found.rows[-1][2]).startswith("0.75 mL")  # the label: 0.75 mL to a gallon
    assert found.title == "Salt water of 1.019 SG"


def test_every_bottle_has_a_column() -> None:
    found = month_sheet(month(rota("corner"))).corner
    assert found.heads == ("water", "dry salt", "plain", "with-silicate")
    assert {len(row) for row in found.rows} == {4}


@pytest.mark.parametrize("name", NAMES)
def test_a_day_says_the_new_water_of_its_tasks(name: str) -> None:
    found = month(rota(name))
    for day in (day for week in found.weeks for day in week):
        for entry in day.entries:
            of_day = [task for task in rota(name).tasks if task.on == day.on and task.vessel == entry.vessel]
            poured_ml = [task.measured.seawater_ml for task in of_day if task.kind in ("start", "reseed")]
            assert bool(entry.seawater) == bool(sum(filter(None, poured_ml)))
            if len(poured_ml) == 1 and poured_ml[0]:
                assert entry.seawater == amount.volume(poured_ml[0], rota(name).plan.units)


def test_harmful_names_stay_text() -> None:
    page = month_html(month(rota_named()), A4)
    assert "<script>" not in page
    assert "<img" not in page
    shown = flat(page)
    assert "alert(1)" in shown
    assert HARMFUL[5] in shown


def test_equal_months_give_equal_pdfs_and_ours_are_known() -> None:
    pytest.importorskip("typst")
    first, second = (month_pdf(month(rota()), A4) for _ in range(2))
    assert first == second
    assert first.startswith(b"%PDF")
    assert PDF_MARK.encode() in first


def test_the_record_is_plain_data() -> None:
    assert json.loads(json.dumps(asdict(month_sheet(month(rota())))))
