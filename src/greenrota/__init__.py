"""greenrota: a batch planner for a home microalgae culture rotation.

From Python: `load` a plan, `load_log` its logbook, and `schedule` the rota; then ask the rota (`rota.tasks`,
`rota.warnings`, `rota.bottles`, `rota.rations()`), `culture_of` it what stands in a vessel on a day, and `risk_of` it
what mishaps may do. `entry` makes an entry of the logbook. Nothing is imported before it is asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import os
    from collections.abc import Mapping, Sequence
    from datetime import date

    from greenrota.logbook.entry import Entry, Value
    from greenrota.risk.outcome import Outcome
    from greenrota.rota.answers.contents import Contents
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota

__all__ = ["__version__", "culture_of", "entry", "load", "load_log", "risk_of", "schedule"]
__version__ = "0.1.0"


def load(plan: str | os.PathLike[str]) -> Plan:
    """The plan of a file. Raises ProblemsFound with every problem in it, and OSError where it can not be read."""
    from pathlib import Path

    from greenrota.planfile.read.load import read_plan_bytes

    try:
        data = Path(plan).read_bytes()
    except OSError as error:
        error.filename = str(plan)  # a disk that fails while it is read names no file
        raise
    return read_plan_bytes(data, str(plan))


def load_log(book: str | os.PathLike[str]) -> tuple[Entry, ...]:
    """The entries of a logbook that stand, by day; none where there is no file.

    Lines that can not be read are left out; `greenrota check` tells of them. Raises ProblemsFound where the file as a
    whole can not be read.
    """
    from pathlib import Path

    from greenrota.logbook.book import culture
    from greenrota.logbook.store import load as load_book

    return culture(load_book(Path(book)).entries)


def entry(
    on: date, kind: str, subject: str = "-", values: Mapping[str, Value] | None = None, remark: str = ""
) -> Entry:
    """An entry of the logbook, to try out what it would change; nothing is written.

    `subject` is a vessel or bottle, `-` for none. `values` by key: numbers in mL, cells per mL and degrees Celsius, or
    text as the logbook spells it. Raises ProblemsFound with everything that is wrong with it, TypeError for a day that
    is no `datetime.date`, ValueError for a remark of two lines.

    >>> from datetime import date
    >>> entry(date(2027, 2, 8), "counted", "north", {"density": "9.1e5/mL"}).density_per_ml("density")
    910000.0
    """
    from greenrota.logbook.entry import entry_of

    return entry_of(on, kind, subject, values or {}, remark)


def schedule(plan: Plan, log: Sequence[Entry] = (), today: date | None = None) -> Rota:
    """The rota of a plan and its logbook as it stands on a day; see `greenrota.rota.schedule` for every detail.

    Without entries it is planned from the plan's first day, whatever `today` is. Raises TypeError for a plan, an entry
    or a day of another type.
    """
    from greenrota.errors import checked_day
    from greenrota.logbook.entry import Entry
    from greenrota.rota.plan import Plan
    from greenrota.rota.schedule import schedule as planned

    if not isinstance(plan, Plan):
        raise TypeError(f"plan must be what load gives, not {plan!r}")
    for each in log:
        if not isinstance(each, Entry):
            raise TypeError(f"log must be entries, as load_log and entry give them, not {each!r}")
    if today is not None:
        checked_day("today", today)
    return planned(plan, sorted(log, key=lambda each: each.on), today)


def culture_of(rota: Rota, vessel: str, on: date, worked: bool = False) -> Contents | None:
    """What stands in a vessel on a day: batch, age, volume, density, ceiling; None if it is empty then.

    Before the day's work or, with `worked`, after it. On the day the rota stands at, what was logged for that day has
    been done already. Raises KeyError for a vessel that is not in the plan, ValueError for a day after the last one of
    the rota, TypeError for what is no `datetime.date`.
    """
    from greenrota.rota.answers.contents import contents_of

    return contents_of(rota, vessel, on, worked)


def risk_of(
    rota: Rota, seasons: int = 10_000, seed: int = 1, hazard: float = 1.0, backup: bool = True
) -> Outcome:
    """What chance mishaps make of a rota: chances 0..1 and mean days, each with its 95 % interval.

    The rest of the horizon is played `seasons` times (1 or more); the same seed (0 or more) gives the same luck. The
    chances are those of the plan's `[risk]` table, else our choice. `hazard` (0 or more) makes all mishaps so
    many times as frequent; `backup` False leaves the fridge bottles out. Raises ValueError for another number.
    """
    from greenrota.risk.hazard import danger_for, scaled
    from greenrota.risk.outcome import outcome
    from greenrota.risk.season import play
    from greenrota.risk.timetable import timetable

    if seasons < 1 or seed < 0 or not 0.0 <= hazard < float("inf"):
        raise ValueError("seasons must be 1 or more, seed and hazard 0 or more")
    danger = scaled(danger_for(rota.plan.hazards), hazard)
    return outcome(play(timetable(rota, backup=backup), danger, seasons, seed))
