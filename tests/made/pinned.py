"""One vessel of the example shelf whose dates follow from its plan alone: nothing is left for the search to decide."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from greenrota import load
from greenrota.rota.plan import CyclePlan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule

SHELF = Path(__file__).parents[2] / "examples" / "shelf.toml"


@cache
def pinned() -> Rota:
    """A cycle of ten days that carries 40 % over, from a starter with nothing left to share out."""
    plan = load(SHELF)
    starters = (replace(plan.starters[0], volume_ml=200.0),)
    cycle = CyclePlan(inoculum=0.4, days=10)
    return schedule(
        replace(plan, vessels=plan.vessels[:1], starters=starters, cycle=cycle, tank=None, away=())
    )
