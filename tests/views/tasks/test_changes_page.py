"""The page of changes: a sentence for everything that changes alike at one vessel, each with its day and reason.

Truth: the changes of the rota, and sentences written by hand.
"""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

from greenrota.cli.system.rota_at import load_plan
from greenrota.rota.answers.changes import Change, Changes
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks.changes import changes_page
from greenrota.views.tasks.pour import done
from greenrota.views.text.day import short_day
from greenrota.views.text.lettering import display_width

FOLDER = Path(__file__).parents[3] / "examples"
SINCE = date(2027, 2, 14)


@cache
def rota() -> Rota:
    return schedule(load_plan(FOLDER / "shelf.toml"))


DAYS = {"harvest": date(2027, 2, 20), "reseed": date(2027, 2, 20)}


def task(name: str) -> Task:
    """A task of the rota, on a day and with amounts of ours: which ones a search finds does not matter here."""
    batch, kind = name.rsplit("/", 1)
    found = next(task for task in rota().tasks if task.kind == kind)
    if kind == "prepare":  # what it mixes is for the tasks of the rota
        return found
    found = replace(found, id=name, batch=batch, vessel=batch.split("/")[0])
    taken = Amounts(harvest_ml=2400.0, keep_ml=1600.0) if found.kind == "harvest" else found.measured
    return replace(found, on=DAYS[found.kind], measured=taken)


def page(*changes: Change, kept: int = 24, width: int | None = None) -> list[str]:
    return changes_page(rota(), Changes(SINCE, kept, changes), ["2027-02-14 note - n=1"], width).splitlines()


def moved(name: str, days: int, reason: str) -> Change:
    was = task(name)
    return Change(was.id, "moved", was, replace(was, on=was.on + timedelta(days=days)), reason)


def test_what_moves_together_is_one_sentence() -> None:
    told = page(moved("south/2/harvest", 4, "at 97% of its ceiling"), moved("south/3/reseed", 4, "topped up"))
    was = task("south/2/harvest").on
    assert told[-2:] == [
        "24 tasks stay as planned.",
        f"south/2 is harvested and re-seeded on {short_day(was + timedelta(days=4))} instead of {short_day(was)}, "
        "because it is then at 97% of its ceiling.",
    ]


def test_dropped_new_and_other_amounts() -> None:
    was = task("south/2/harvest")
    assert was.measured is not None
    less = replace(was, measured=replace(was.measured, harvest_ml=1000.0))
    told = page(
        Change(was.id, "dropped", was, None, "south/2 crashed on 2027-02-14 (overheating)"),
        Change(was.id, "new", None, was, "at 97% of its ceiling"),
        Change(was.id, "amounts", was, less, "spare/1 took inoculum from south/2"),
    )[-3:]
    day = short_day(was.on)
    taken, other = (done(each).removeprefix("harvest ") for each in (was, less))
    assert told == [
        f"south/2 is not harvested on {day} any more, because south/2 crashed on 2027-02-14 (overheating).",
        f"south/2 is harvested on {day}, which is new: {taken}, because it is then at 97% of its ceiling.",
        f"south/2 is harvested on {day} as before, but with other amounts: {other}; until now "
        f"{taken} (spare/1 took inoculum from south/2).",
    ]


def test_what_is_made_ready_needs_no_reason() -> None:
    [told] = page(moved("north/3/prepare", 1, "mix the seawater for 2027-02-20"))[-1:]
    # the test moves one task only: the rota still has it on its day
    bucket = task("north/3/prepare")
    assert told.startswith(f"Salt water is mixed on {short_day(bucket.on + timedelta(days=1))} (")
    assert told.endswith(f" for {', '.join(bucket.batches)}).")


def test_nothing_changes() -> None:
    assert page(kept=1)[-1] == "1 task stays as planned; nothing changes."


def test_it_is_wrapped_to_the_screen_and_holds_no_signs() -> None:
    told = page(moved("south/2/harvest", 4, "at 97% of its ceiling"), width=80)
    assert max(map(display_width, told)) <= 80
    assert "->" not in " ".join(told)
