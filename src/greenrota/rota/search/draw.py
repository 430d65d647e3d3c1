"""Draw: which decision of a rota is made otherwise next, and how, at random.

What is drawn more often is what more often led to a better rota in trials: days near the one taken, with all that
follows in the vessel kept; the first weeks, in which feed is short. All shares are our choice.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date, timedelta

from greenrota.rota.search.moves import Kind, Value, Variable, batch_of, decided, other_values
from greenrota.rota.search.together import with_days_chosen
from greenrota.rota.search.trials import Trial, Trials
from greenrota.rota.simulate.decisions import (
    HARVEST,
    OPENING,
    TOPUPS,
    Decisions,
    with_days_moved,
)
from greenrota.rota.state.opendays import DAY, OpenDays
from greenrota.rota.state.state import vessel_and_number

# How often a decision is drawn, against one of the first days about a batch; late is after so many days.
RARE = {Kind.SHARING: 0.1, Kind.START: 0.3}
LATE_DAYS, LATE = 11, 0.5
NEAR = 1.5  # a harvest day d days from the one taken is drawn as often as 1 / d to this power
KEPT = 0.75  # the chance that what follows in the vessel is kept, and not left open
PATH = (
    0.2  # the chance that all days of the vessel from there on are chosen together, where a harvest was drawn
)
MOVED = 0.2  # the chance that a row of days is moved by one, where a day was drawn
ROWS = (1, 2, 3, None)  # the batches whose days are moved then; None: all that follow
WEEK = timedelta(days=7)

POINTS = {Kind.START: OPENING, Kind.RESTART: OPENING, Kind.TOPUP: TOPUPS, Kind.HARVEST: HARVEST}


def drawn(trials: Trials, at: Trial, dice: random.Random, variables: Sequence[Variable]) -> Decisions | None:
    """The decisions of a rota with one of them, a row of days or all harvests of one vessel made otherwise.

    None if the draw is in vain.
    """
    kind, name = dice.choices(variables, _weights(trials, at, variables))[0]
    if kind is Kind.HARVEST and dice.random() < PATH:
        decisions = with_days_chosen(trials, at, *vessel_and_number(name), dice)
        if decisions is not None:
            return decisions
    if kind in POINTS and dice.random() < MOVED:
        return _row_moved(trials, at, dice, kind, name)
    values = other_values(trials, at, kind, name)
    if not values:
        return None
    ways = decided(at, kind, name, _near(at, dice, kind, name, values))
    return ways[0] if dice.random() < KEPT else ways[-1]


def _weights(trials: Trials, at: Trial, variables: Sequence[Variable]) -> list[float]:
    since = trials.start_state.as_of + timedelta(days=LATE_DAYS)
    late = {choice.batch.id for choice in at.simulated.choices if choice.batch.started > since}
    return [RARE.get(kind) or (LATE if batch_of(kind, name) in late else 1.0) for kind, name in variables]


def _near(at: Trial, dice: random.Random, kind: Kind, name: str, values: Sequence[Value]) -> Value:
    """One of the values; of harvest days rather one near the day taken."""
    taken = at.decisions.harvests.get(name) if kind is Kind.HARVEST else None
    if taken is None:
        return dice.choice(values)
    far = [abs((day - taken).days) for day in values if isinstance(day, date)]
    return dice.choices(values, [days**-NEAR for days in far])[0]


def _row_moved(trials: Trials, at: Trial, dice: random.Random, kind: Kind, name: str) -> Decisions:
    """The decisions with the days of a vessel from one on, for some batches, an open day earlier or later."""
    vessel, number = (name, 1) if kind is Kind.START else vessel_and_number(batch_of(kind, name))
    batches, later = dice.choice(ROWS), dice.random() < 0.5
    last = len(at.simulated.choices) if batches is None else number + batches - 1
    open_days = trials.context.open_days

    def moved(on: date) -> date:
        return _next_open(open_days, on, later)

    return with_days_moved(at.decisions, vessel, (number, POINTS[kind]), last, moved)


def _next_open(open_days: OpenDays, on: date, later: bool) -> date:
    """The open day after or before a day, the day itself if there is none within a week."""
    found = (
        open_days.on_or_after(on + DAY, on + WEEK) if later else open_days.on_or_before(on - DAY, on - WEEK)
    )
    return found or on
