"""Short days by one definition: what `bottles`, `check`, `risk` and `size` say of one plan agrees."""

from __future__ import annotations

import json
import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from made_logs import fulfils, numbered
from made_plans import START, example_plan, example_vessel
from shelf_life import PLAN, VESSEL
from typed import typed

from greenrota.logbook.entry import Entry, parse_line
from greenrota.risk.hazard import danger_for, scaled
from greenrota.risk.season import play
from greenrota.risk.timetable import timetable
from greenrota.rota.feed.daily import RationDay, Serving
from greenrota.rota.feed.shortage import coming_days, short_days
from greenrota.rota.plan import Consumer, Tank
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule


def day(number: int, in_ml: float = 0.0, *short_ml: float) -> RationDay:
    servings = tuple(Serving(f"tank {n}", 0.0, 0.0, ml) for n, ml in enumerate(short_ml))
    return RationDay(START + timedelta(days=number), in_ml, 0.0, 0.0, 0.0, sum(short_ml), None, servings, ())


def test_days_count_from_the_first_harvest_and_from_today() -> None:
    """By hand: nothing counts before the harvest of day 2, nor before today."""
    days = [day(0, 0.0, 90.0), day(1, 0.0, 90.0), day(2, 500.0, 0.0), day(3, 0.0, 90.0), day(4, 0.0, 1e-9)]
    assert [each.on.day for each in coming_days(days, START)] == [3, 4, 5]
    assert short_days(coming_days(days, START)) == 1
    assert short_days(coming_days(days, START + timedelta(days=4))) == 0
    assert coming_days(days[:2], START) == []


def test_a_day_on_which_two_go_short_is_one_day() -> None:
    assert short_days([day(0, 1.0, 5.0, 7.0), day(1, 0.0, 0.0, 3.0), day(2, 0.0, 0.0, 0.0)]) == 2


@pytest.mark.parametrize("ration_ml", [100.0, 400.0, 900.0])
def test_a_season_without_mishaps_is_short_on_the_days_of_the_plan(ration_ml: float) -> None:
    """Two routes: the bottles walked one by one, and the running sums of the seasons."""
    vessels = tuple(example_vessel(name) for name in ("a", "b"))
    rota = schedule(example_plan(vessels=vessels, days=40, tank=Tank(300.0, ration_ml, 14)))
    table = timetable(rota)
    counted = coming_days(rota.rations().days, rota.as_of)
    calm = play(table, scaled(danger_for(None), 0.0), 1, seed=1)
    assert table.days - table.first_feed == len(counted)
    assert calm.short_days.tolist() == [short_days(counted)]


def lived(on: int, *more: str, ration_ml: float = 520.0) -> Rota:
    """A rota kept to up to a day, with more lines of the logbook."""
    plan = example_plan(days=40, tank=Tank(300.0, ration_ml, 9, ramp=True))
    tasks = [task for task in schedule(plan).tasks if task.on < START + timedelta(days=on)]
    told = [fulfils(task, task.on) for task in tasks]
    told += [entry for line in more if isinstance(entry := parse_line(line), Entry)]
    return schedule(plan, numbered(told), START + timedelta(days=on))


BOTTLE_LINES = (
    (),
    ("2027-02-20 given tank volume=900mL",),
    ("2027-02-21 given-away harvest:north/1 volume=2L", "2027-02-22 measured harvest:south/1 volume=50mL"),
    ("2027-02-24 given tank",),
    ("2027-02-24 given tank volume=10mL",),
    ("2027-02-23 discarded harvest:north/1", "2027-02-24 harvested south volume=800mL"),
    ("2027-02-23 suspected harvest:south/1",),
)


@pytest.mark.parametrize("on", [14, 23, 27])
@pytest.mark.parametrize("lines", BOTTLE_LINES)
def test_seasons_begin_with_the_bottles_as_they_stand(on: int, lines: tuple[str, ...]) -> None:
    """Two routes: the bottles walked one by one from the first day of the plan, and the seasons from today on."""
    until = (START + timedelta(days=on)).isoformat()
    rota = lived(on, *(line for line in lines if line[:10] <= until))
    assert not rota.problems
    counted = coming_days(rota.rations().days, rota.as_of)
    table = timetable(rota)
    calm = play(table, scaled(danger_for(None), 0.0), 1, seed=1)
    assert calm.short_days.tolist() == [short_days(counted)]
    if all(line[:10] != until for line in lines):
        last_night, today = [day for day in rota.rations().days if 0 <= (rota.as_of - day.on).days <= 1]
        stands_ml = sum(ml for _, _, ml in table.feeding.on_hand_ml)
        assert stands_ml == pytest.approx(last_night.on_hand_ml - today.spoiled_ml)


def test_what_was_given_out_of_a_bottle_is_gone() -> None:
    """By hand: of the first harvest, 500 mL stand on the day after it was measured, less the ration of the day."""
    whole = lived(14, ration_ml=120.0)
    first = min(whole.state.harvests, key=lambda harvest: harvest.on)
    day = (first.on - START).days
    assert (first.on - whole.as_of).days >= -9
    line = f"{first.on} measured {first.id} volume=500mL"
    table = timetable(lived(day + 1, line, ration_ml=120.0))
    (left,) = table.feeding.on_hand_ml
    assert left == (0, -1, pytest.approx(500.0 - 0.25 * 120.0))  # a ramp begins with a quarter of the ration


def test_a_ration_that_nothing_is_harvested_for_is_named() -> None:
    plan = example_plan(starters=(), tank=Tank(300.0, 100.0), consumers=(Consumer("copepods", 40.0),))
    told = [each.text for each in schedule(plan).warnings if each.code == "ration-short"]
    assert [text.split(" gets nothing")[0] for text in told] == ["tank", "copepods"]


def test_four_commands_tell_the_same_days(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    text = PLAN.format(starter="1 L") + VESSEL.format(name="north") + '[tank]\nvolume = "300 L"\n'
    plan.write_text(text + 'ration = "900 mL/day"\n', encoding="utf-8")
    risk = json.loads(typed("risk", str(plan), "--on", "2027-02-01", "--seasons", "100", "--json").stdout)
    size = json.loads(typed("size", str(plan), "--seasons", "100", "--most", "1", "--json").stdout)
    check = typed("check", str(plan), "--on", "2027-02-01").stdout
    bottles = typed("bottles", str(plan), "--on", "2027-02-01").stdout
    page = typed("risk", str(plan), "--on", "2027-02-01", "--seasons", "100").stdout
    assert risk["planned_short_days"] > 0
    said = f"{risk['planned_short_days']} of {risk['feeding_days']} days"
    flat = " ".join(check.split())
    assert f"goes short on {said} from {risk['counted_from']}" in flat
    assert f"short on {said}" in " ".join(bottles.split())
    found = re.search(r"Counted on (\d+) days from \w{3} ([\d-]+)", page)
    assert found is not None
    assert (int(found[1]), found[2]) == (risk["feeding_days"], risk["counted_from"])
    first = date.fromisoformat(risk["counted_from"])
    assert (date(2027, 2, 1) + timedelta(days=risk["days"] - risk["feeding_days"])) == first
    (only,) = size["frontier"]
    assert (
        only["feeding_days"] + (date.fromisoformat(only["counted_from"]) - date(2027, 2, 1)).days
        == size["days"]
    )
    assert "The order of a day" in page
