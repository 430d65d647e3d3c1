"""Comparison: two rotas side by side in a few figures, to see what a change of the shelf buys."""

from __future__ import annotations

from dataclasses import dataclass

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.feed.shortage import coming_days, short_days
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.cost import cost
from greenrota.rota.tasks.supplies import supplies


@dataclass(frozen=True, slots=True)
class RotaFigures:
    """What a rota comes to over its horizon of `days`. Volumes in L.

    `short_days` of `feeding_days` are days on which anybody goes short, from the first harvest on; of the litres
    `made`, some are `eaten`, some `spoiled`, the rest is `left`. `working_days` have a task, `visits` are a vessel on a
    day. `one_home_days` are days on which a strain lives in fewer than two places. `cost` is None where nothing is
    priced.
    """

    days: int
    vessels: int
    feeding_days: int
    short_days: int
    made_l: float
    eaten_l: float
    spoiled_l: float
    left_l: float
    working_days: int
    visits: int
    one_home_days: int
    cost: float | None
    currency: str
    score: float


def rota_figures(rota: Rota) -> RotaFigures:
    """The figures of one rota, from the day it is planned on to the end of its horizon."""
    rations = [day for day in rota.rations().days if day.on >= rota.as_of]
    coming = coming_days(rations, rota.as_of)
    spent = cost(rota.plan, supplies(rota.plan, rota.tasks))
    return RotaFigures(
        days=max(0, (rota.through - rota.as_of).days + 1),
        vessels=len(rota.plan.vessels),
        feeding_days=len(coming),
        short_days=short_days(coming),
        made_l=sum(day.in_ml for day in rations) / ML_PER_L,
        eaten_l=sum(day.fed_ml for day in rations) / ML_PER_L,
        spoiled_l=sum(day.spoiled_ml for day in rations) / ML_PER_L,
        left_l=rations[-1].on_hand_ml / ML_PER_L if rations else 0.0,
        working_days=len({task.on for task in rota.tasks}),
        visits=len({(task.on, task.vessel) for task in rota.tasks}),
        one_home_days=round(rota.found.score.amounts["home"]),
        cost=spent.total if spent.items else None,
        currency=spent.currency,
        score=rota.found.score.total,
    )
