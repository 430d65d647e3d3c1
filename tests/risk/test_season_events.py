"""The same model in a general-purpose discrete-event library gives the same results, within sampling error."""

import math

import numpy as np
from made_plans import example_plan, example_vessel
from season_events import Events

from greenrota.risk.hazard import danger_for, scaled
from greenrota.risk.season import play
from greenrota.risk.size import rough_rota
from greenrota.risk.timetable import timetable
from greenrota.rota.plan import Tank

SIGMAS = 4.0  # of the difference of two independent samples: wrong once in 16,000 by chance


def agree(ours: np.ndarray, theirs: np.ndarray) -> bool:
    spread = math.sqrt(ours.var() / ours.size + theirs.var(ddof=1) / theirs.size)
    return abs(ours.mean() - theirs.mean()) <= SIGMAS * spread


def test_the_library_agrees() -> None:
    vessels = tuple(example_vessel(name) for name in ("north", "south", "east"))
    table = timetable(rough_rota(example_plan(vessels=vessels, days=60, tank=Tank(300.0, 600.0, 5))))
    danger = scaled(danger_for(None), 12.0)  # often enough that a few hundred seasons tell a difference
    played = play(table, danger, 8000, seed=11)
    seasons = [Events(table, danger, seed) for seed in range(250)]
    for season in seasons:
        season.run()
    assert agree(played.lost.astype(float), np.array([float(bool(s.lost_on)) for s in seasons]))
    assert agree(played.short_days.astype(float), np.array([float(s.short_days) for s in seasons]))
    assert agree((played.short_days > 5).astype(float), np.array([float(s.short_days > 5) for s in seasons]))
    for cause in range(6):
        assert agree(played.losses[cause].astype(float), np.array([float(s.losses[cause]) for s in seasons]))
