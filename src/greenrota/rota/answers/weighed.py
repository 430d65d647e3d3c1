"""Weighed: what other days and other amounts would change in the score of a rota."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.frozen import FrozenDict
from greenrota.rota.rota import Rota
from greenrota.rota.search.score import WEIGHTS, Scorer
from greenrota.rota.simulate.decisions import Decisions, with_keep, with_sharing
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.state.state import Batch
from greenrota.rota.tasks.task import Task

NO_CHANGE = 1e-9  # less is rounding


class Possible(NamedTuple):
    """A day a task could be on, and whether it was taken.

    `terms` is how far each amount of the score would move, in its own unit; those that stay are left out.
    """

    on: date
    terms: Mapping[str, float]
    taken: bool = False

    @property
    def change(self) -> float:
        """How much the rota's score would rise (get worse)."""
        return _change(self.terms)


class PossibleAmounts(NamedTuple):
    """Amounts that could be poured instead, and whether they were taken.

    `ml` by vessel: its share of a starter for a start, what stays in it for a harvest. `terms` as of `Possible`.
    """

    ml: Mapping[str, float]
    terms: Mapping[str, float]
    taken: bool = False

    @property
    def change(self) -> float:
        """How much the rota's score would rise (get worse)."""
        return _change(self.terms)


def _change(terms: Mapping[str, float]) -> float:
    return sum(WEIGHTS[name] * amount for name, amount in terms.items())


def weighed_days(
    rota: Rota, options: Iterable[date], taken: date, moved: Callable[[date], Iterable[Decisions]]
) -> tuple[Possible, ...]:
    """Every possible day with what it would change; days in their order."""
    scorer = _scorer(rota)
    return tuple(
        Possible(on, FrozenDict(), taken=True)
        if on == taken
        else Possible(on, _terms(rota, scorer, moved(on)))
        for on in options
    )


def _scorer(rota: Rota) -> Scorer:
    return Scorer(rota.context, rota.start_state, rota.previous)


def _terms(rota: Rota, scorer: Scorer, others: Iterable[Decisions]) -> Mapping[str, float]:
    """How far the best of other decisions would move each amount of the score."""
    scores = (scorer.score(simulate(rota.context, rota.start_state, each)) for each in others)
    best, ours = min(scores, key=lambda score: score.total), rota.found.score
    moved = {name: best.amounts[name] - ours.amounts[name] for name in WEIGHTS}
    return FrozenDict({name: by for name, by in moved.items() if abs(by) > NO_CHANGE})


def carry_overs(rota: Rota, batch: Batch) -> tuple[PossibleAmounts, ...]:
    """What could stay in the vessel at the harvest of a batch, where the plan leaves it open; least first."""
    taken = rota.simulation.keeps.get(batch.id)
    if taken is None:
        return ()
    fill_ml = rota.benches[batch.vessel].vessel.fill_l * ML_PER_L
    shares, scorer = sorted({*rota.cycles[batch.vessel].carry_overs, taken}), _scorer(rota)
    return tuple(
        PossibleAmounts(
            FrozenDict({batch.vessel: share * fill_ml}),
            FrozenDict()
            if share == taken
            else _terms(rota, scorer, with_keep(rota.found.decisions, batch.id, share)),
            share == taken,
        )
        for share in shares
    )


def ways_to_share(rota: Rota, task: Task) -> tuple[PossibleAmounts, ...]:
    """How the starter that a vessel is started from could be shared out."""
    shared = next((each for each in rota.simulation.allotments if each.taken.source == task.parent), None)
    if shared is None:
        return ()
    scorer, found = _scorer(rota), rota.found.decisions
    return tuple(
        PossibleAmounts(
            FrozenDict(zip(way.vessels, way.volumes_ml, strict=True)),
            FrozenDict() if way == shared.taken else _terms(rota, scorer, [with_sharing(found, way)]),
            way == shared.taken,
        )
        for way in dict.fromkeys((shared.taken, *shared.ways))
    )
