"""Together: all harvest days of one vessel, and what stays at each harvest, chosen at once by the cheapest path.

What comes of it is near enough to propose a rota, which is then simulated like any other.
"""

import random
from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.rota.search.others import Others, others_of
from greenrota.rota.search.path import Harvest, Paths
from greenrota.rota.search.trials import Trial, Trials, better
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.state.state import Batch, batch_id

MOST_NOISE = 3.0  # in score, by which a day may be dearer at random; our choice, by trial


class Stretch(NamedTuple):
    """The batches of a vessel from one on until it stands empty. `emptied`: it is so within the horizon.

    `most` is how many harvests there may be before the one at which it is broken down for its age.
    """

    choices: Sequence[HarvestChoice]
    emptied: bool
    most: int


def with_days_chosen(
    trials: Trials, at: Trial, vessel: str, first: int, dice: random.Random | None = None
) -> Decisions | None:
    """The decisions with the harvests of a vessel chosen together, from the batch with the number `first` on.

    With `dice` by a path that is nearly the cheapest. None if there is nothing to choose, or it is decided so already.
    """
    stretch = _stretch(trials, at, vessel, first)
    if stretch is None:
        return None
    names = {choice.batch.id for choice in stretch.choices}
    others = others_of(trials.context, trials.scorer, at.simulated, vessel, names)
    if dice is not None:
        noise = MOST_NOISE * dice.random()
        others = others._replace(costs=[cost + noise * dice.random() for cost in others.costs])
    found = _path(trials, stretch, others, at.simulated.as_of)
    taken = {batch_id(vessel, first + n): each for n, each in enumerate(found)}
    return _decided(at.decisions, names, taken, at.simulated.as_of) if taken else None


def swept(trials: Trials, at: Trial, times: int) -> Trial:
    """The rota with the days of each vessel chosen together, one vessel after the other, as long as that helps.

    At most so many times each. Raises BudgetSpent.
    """
    for _ in range(times):
        before = at
        at = chosen_in_turn(trials, at, followers(at), trials.limit)
        if at is before:
            break
    return at


def followers(at: Trial, held: str | None = None) -> list[Batch]:
    """The batches from each of which on a vessel has its days chosen: all of every filling, but for one that is held.

    The days of its vessel are chosen from the next one on.
    """
    batches = [choice.batch for choice in at.simulated.choices if choice.batch.id != held]
    return [batch for batch in batches if batch.reseeds == 0 or batch.parent == held]


def chosen_in_turn(trials: Trials, at: Trial, batches: Sequence[Batch], until: int) -> Trial:
    """The rota with all days from each of some batches on chosen together where that is better, one after the other.

    Ends once so many simulated batches are spent. Raises BudgetSpent.
    """
    for batch in batches:
        if trials.spent >= until:
            break
        chosen = with_days_chosen(trials, at, batch.vessel, batch.number)
        if chosen is not None:
            at = better(trials, at, chosen)
    return at


def _stretch(trials: Trials, at: Trial, vessel: str, first: int) -> Stretch | None:
    """The stretch from a batch on; None if a previous decision holds any of it, or only the emptying is left."""
    held, simulated = trials.previous, at.simulated
    choices: list[HarvestChoice] = []
    for choice in simulated.choices:
        batch = choice.batch
        if batch.vessel != vessel or batch.number < first:
            continue
        if choices and batch.reseeds == 0:
            break
        if batch.id in held.harvests or batch.id in held.keeps:
            return None
        choices.append(choice)
    if not choices or not choices[0].options:
        return None
    last = choices[-1].batch.id
    emptied = any(event.kind == "renew" and event.batch.id == last for event in simulated.events)
    most = trials.context.cycles[vessel].renew_after - choices[0].batch.reseeds
    return None if most < 1 or (emptied and len(choices) == 1) else Stretch(choices, emptied, most)


def _path(trials: Trials, stretch: Stretch, others: Others, as_of: date) -> list[Harvest]:
    """The cheapest path of a vessel, with the day of its last harvest as before where it is emptied.

    How many harvests come before it is left open. A path that is too long for one filling is cut off where the vessel
    is to be broken down for its age.
    """
    first, last = stretch.choices[0], stretch.choices[-1]
    stand = trials.stands.of(first)
    usual = [trials.stands.usual(first.batch.vessel, early) for early in (False, True)]
    if stand is None or not all(each.ways for each in usual):
        return []
    opened, options = (first.batch.started - as_of).days, [(day - as_of).days for day in first.options]

    paths = Paths(usual, others)
    paths.begin(stand, opened, options)
    if stretch.emptied:
        return [] if last.taken is None else paths.to_a_last((last.taken - as_of).days)
    if opened + stand.ripe >= len(others.is_open):
        return []
    return paths.to_the_end()[: stretch.most + 1]


def _decided(
    decisions: Decisions, names: Collection[str], taken: Mapping[str, Harvest], as_of: date
) -> Decisions | None:
    """The decisions with those about some batches made anew; None if they are the same."""
    harvests = {name: day for name, day in decisions.harvests.items() if name not in names}
    keeps = {name: share for name, share in decisions.keeps.items() if name not in names}
    harvests.update({name: as_of + timedelta(days=each.day) for name, each in taken.items()})
    keeps.update({name: each.share for name, each in taken.items() if each.share is not None})
    if harvests == decisions.harvests and keeps == decisions.keeps:
        return None
    return decisions._replace(harvests=harvests, keeps=keeps)
