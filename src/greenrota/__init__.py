"""greenrota: a batch planner for a home microalgae culture rotation.

From Python: `load` a plan, `load_log` its logbook, and `schedule` the rota. Nothing is imported before it is asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import os
    from collections.abc import Sequence
    from datetime import date

    from greenrota.logbook.entry import Entry
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota

__all__ = ["__version__", "load", "load_log", "schedule"]
__version__ = "0.1.0"


def load(plan: str | os.PathLike[str]) -> Plan:
    """The plan of a file. Raises ProblemsFound with every problem in it, and OSError where it can not be read."""
    from pathlib import Path

    from greenrota.planfile.load import read_plan_bytes

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


def schedule(plan: Plan, log: Sequence[Entry] = (), today: date | None = None) -> Rota:
    """The rota of a plan and its logbook as it stands on a day; see `greenrota.rota.schedule` for every detail.

    Without entries it is planned from the plan's first day, whatever `today` is.
    """
    from greenrota.rota.schedule import schedule as planned

    return planned(plan, log, today)
