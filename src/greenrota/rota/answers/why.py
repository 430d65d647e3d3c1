"""Why: which days a task could have been put on, what each would make of the rota, and why the others fell out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import date, timedelta
from functools import partial
from itertools import groupby
from typing import NamedTuple, assert_never

from greenrota.rota.answers.contents import choice_of
from greenrota.rota.answers.weighed import Possible, PossibleAmounts, carry_overs, ways_to_share, weighed_days
from greenrota.rota.kinds import TASK_KINDS, TaskKind
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.decisions import Decisions, with_harvest, with_start
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.simulate.projection import FEED_AT_SHARE, READY_SHARE, SETTLE_DAYS
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.scale_up import GOOD_START_SHARE, LEAST_STEP
from greenrota.rota.tasks.mixing_reasons import day_rule
from greenrota.rota.tasks.task import Task


class Impossible(NamedTuple):
    """Days in a row a task could not be on, both included, and the reason."""

    first: date
    last: date
    because: str


class Why(NamedTuple):
    """What set the day of a task, and what other days would mean.

    `rule` is what sets its day; `sees` the id of the task whose day it follows ("" if its own was chosen). `possible`
    are all days, the taken one among them, on which that choice could fall; empty where a rule leaves no choice.
    `held`: the day stood on the rota before, and is kept as long as it is possible. `amounts` are all ways to share out
    the starter that a start is poured from, or all carry-overs of a harvest; empty where a rule leaves no choice.
    """

    task: Task
    rule: str
    sees: str = ""
    possible: tuple[Possible, ...] = ()
    impossible: tuple[Impossible, ...] = ()
    held: bool = False
    amounts: tuple[PossibleAmounts, ...] = ()


def why(rota: Rota, task: Task) -> Why:
    """What set the day and the amounts of a task of the rota.

    Each other day or amount is weighed with all other decisions as they are; the later ones of the vessel once kept
    and once left open, and the better of the two counts.
    """
    set_by = TASK_KINDS[task.kind].day
    match set_by:
        case "mixing":
            return Why(task, day_rule(task.fills[0], task.on, _work_days(rota)), task.serves[0])
        case "start":
            return _of_start(rota, task)
        case "harvest":
            return _of_harvest(rota, task)
        case "end":
            return Why(task, f"on the day of the harvest: {task.reason}", f"{task.batch}/harvest")
        case "rule":
            rule = _RULES.get(task.kind)
            return Why(task, task.reason if rule is None else rule(rota, task))
        case _:
            assert_never(set_by)


def _topup_rule(rota: Rota, task: Task) -> str:
    fill_l = rota.benches[task.vessel].vessel.fill_l
    return (
        f"the first working day on which it can be brought to at least {LEAST_STEP:g} times its volume, or to the "
        f"{fill_l:g} L of the vessel, and is still at {GOOD_START_SHARE:.0%} of its ceiling"
    )


def _work_days(rota: Rota) -> frozenset[date]:
    """The days on which something is done besides mixing salt water."""
    return frozenset(event.on for event in rota.simulation.events)


def _feed_rule(rota: Rota, task: Task) -> str:
    feed_day = rota.cycles[task.vessel].feed_day
    if feed_day is not None:
        return (
            f"the plan sets the second dose on day {feed_day} of a batch; the first working day from then on"
        )
    return (
        f"growth is fastest at {FEED_AT_SHARE:.0%} of the ceiling: the last working day up to then, "
        f"{SETTLE_DAYS} days after the filling at the earliest"
    )


# What sets the day of a kind where its reason does not say so.
_RULES: Mapping[TaskKind, Callable[[Rota, Task], str]] = {"topup": _topup_rule, "feed": _feed_rule}


def _of_harvest(rota: Rota, task: Task) -> Why:
    """A harvest, or the re-seed or back-up of the same day."""
    batch = task.parent if task.kind == "reseed" else task.batch
    choice = choice_of(rota, batch)
    if choice is None or choice.taken is None:
        return Why(task, task.reason)
    follows = "" if task.kind == "harvest" else f"{batch}/harvest"
    rule = f"the best day for the harvest of {batch}" + (", which it goes with" if follows else "")
    options = sorted({*choice.options, choice.taken})  # a previous day may be kept that is no option any more
    possible = weighed_days(rota, options, choice.taken, partial(with_harvest, rota.found.decisions, batch))
    first = max(rota.as_of, choice.batch.started + DAY)
    impossible = _ruled_out(rota, first, options, partial(_not_harvested, rota, choice))
    held = rota.previous.harvests.get(batch) == choice.taken
    return Why(task, rule, follows, possible, impossible, held, carry_overs(rota, choice.batch))


def _of_start(rota: Rota, task: Task) -> Why:
    options = rota.simulation.start_options.get(task.vessel, ())
    if task.on not in options or task.parent not in rota.state.bottles:
        giver = rota.state.batches.get(task.parent) or rota.simulation.state.batches.get(task.parent)
        given = any(
            v.kind == "harvest" and v.on == task.on and v.batch == giver for v in rota.simulation.events
        )
        if given and task.batch.endswith("/1"):
            rule = f"the first harvest of its strain that has enough to give is that of {task.parent}"
            return Why(task, rule, f"{task.parent}/harvest")
        return Why(task, "the first working day after it was emptied on which a source gives it a start")
    rule = f"the best day to pour from {task.parent}"

    def moved(on: date) -> list[Decisions]:
        return [with_start(rota.found.decisions, task.vessel, on)]

    possible = weighed_days(rota, options, task.on, moved)
    first = max(rota.as_of, rota.plan.start)
    impossible = _ruled_out(rota, first, options, partial(_not_started, rota, task, options[-1]))
    held = rota.previous.starts.get(task.vessel) == task.on
    return Why(task, rule, "", possible, impossible, held, ways_to_share(rota, task))


def _ruled_out(
    rota: Rota, first: date, options: Iterable[date], because: Callable[[date], str]
) -> tuple[Impossible, ...]:
    """The days from first to the horizon that are no options, those in a row with one reason together."""
    whole = [first + timedelta(days=n) for n in range((rota.through - first).days + 1)]
    open_to_it = set(options)
    reasons = [(on, "" if on in open_to_it else because(on)) for on in whole]
    found = []
    for reason, run in groupby(reasons, key=lambda each: each[1]):
        days = [on for on, _ in run]
        if reason:
            found.append(Impossible(days[0], days[-1], reason))
    return tuple(found)


def _closed(rota: Rota, vessel: str, on: date) -> str:
    """Why nothing is done on a day; "" if it is open."""
    put_off = rota.start_state.put_off.get(vessel)
    if put_off is not None and on <= put_off:
        return "put off when it was skipped"
    if rota.context.open_days.is_away(on):
        return "away"
    return "" if rota.context.open_days.is_open(on) else "no working day"


def _not_harvested(rota: Rota, choice: HarvestChoice, on: date) -> str:
    projection = choice.projection
    if f"{choice.batch.id}/harvest" in rota.start_state.done:
        return _closed(rota, choice.batch.vessel, on) or "harvested already, so re-seeded as soon as may be"
    if projection.pinned_on is not None:
        return _closed(rota, choice.batch.vessel, on) or f"the plan sets it for {projection.pinned_on}"
    if projection.ready_on is not None and on < projection.ready_on:
        return f"before it is at {READY_SHARE:.0%} of its ceiling"
    if projection.over_on is not None and on >= projection.over_on:
        return "over-ripe"
    return _closed(rota, choice.batch.vessel, on) or "it is ripe only after the horizon"


def _not_started(rota: Rota, task: Task, last: date, on: date) -> str:
    bottle = rota.state.bottles[task.parent]
    if on < bottle.filled:
        return f"{bottle.id} is there from {bottle.filled} on"
    if on > bottle.filled + timedelta(days=int(rota.benches[task.vessel].strain.fridge_days)):
        return f"{bottle.id} is too old by then"
    if on > last:
        return f"more than a cycle of {rota.cycles[task.vessel].days} days after it could first be poured"
    return _closed(rota, task.vessel, on)
