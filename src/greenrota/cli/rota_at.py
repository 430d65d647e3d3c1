"""From a plan file to its rota on a day: the one place where the commands read what they plan from."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota


def load_plan(path: Path) -> Plan:
    """The plan of a file; ProblemsFound with every problem in it."""
    from greenrota.planfile.load import read_plan_bytes

    return read_plan_bytes(path.read_bytes(), str(path))


def rota_at(path: Path, on: date) -> Rota:
    """The rota of a plan file as it stands on a day. Without a logbook it is planned from its first day."""
    from greenrota.rota.schedule import schedule

    return schedule(load_plan(path))
