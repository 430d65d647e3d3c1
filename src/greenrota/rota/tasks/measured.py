"""Measured amounts: those of tasks as instruments show them, so that pours fit and rounding does not add up.

Tasks keep their exact amounts. The measured ones are worked out task after task from what a vessel or bottle then
really holds. A source gives no more than is in it, and what it holds is never further from the exact amount than one
step of the last pour. Seawater fills up to the working volume, and with the nutrient never past the brim.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from greenrota.culture.bench.instrument import FINEST_ML, below_ml, measured_g, measured_ml, step_ml
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.frozen import FrozenDict
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.plan import Plan, Vessel
from greenrota.rota.state.salt_water import Fill
from greenrota.rota.state.state import State, back_up_id
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.task import Draft, Task


class _Level(NamedTuple):
    """What a vessel or bottle holds, in mL: by the measured amounts, and by the exact ones."""

    poured_ml: float
    exact_ml: float

    def give(self, asked_ml: float) -> float:
        """The measured amount of a pour: the nearest step, or another if what is left would be a whole step off."""
        given_ml, after_ml = measured_ml(asked_ml), self.exact_ml - asked_ml
        if abs(self.poured_ml - given_ml - after_ml) > step_ml(given_ml):
            given_ml = measured_ml(max(0.0, self.poured_ml - after_ml))
        return min(given_ml, below_ml(self.poured_ml))

    def without(self, given_ml: float, asked_ml: float) -> "_Level":
        """What is left after a pour, in both ways of counting."""
        return _Level(max(0.0, self.poured_ml - given_ml), max(0.0, self.exact_ml - asked_ml))


def measured_amounts(tasks: Sequence[Draft], state: State, plan: Plan) -> list[Amounts]:
    """What instruments show of the tasks of a rota, which stand in their order.

    `state` is the one the rota was planned from. A prepare mixes what the tasks it serves pour.
    """
    hands = _Hands(plan, state)
    found = {task.id: (task.amounts, hands.measure(task)) for task in tasks if task.kind != "prepare"}
    return [_mixed(task, found) if task.kind == "prepare" else found[task.id][1] for task in tasks]


def _mixed(task: Draft, found: Mapping[str, tuple[Amounts, Amounts]]) -> Amounts:
    """The measured pours of the fillings that a bucket serves, added up; of one that it serves in part, that part.

    `found` are the exact and the measured amounts of each filling.
    """
    parts = []
    for fill in task.fills:
        exact, read = found.get(fill.task, (None, None))
        whole = exact is not None and fill.seawater_ml == exact.seawater_ml
        parts.append(read if whole and read is not None else _share(task, fill))
    if not parts:
        return alone(task.amounts)
    return Amounts(
        seawater_ml=sum(part.seawater_ml or 0.0 for part in parts),
        salt_g=sum(part.salt_g or 0.0 for part in parts),
    )


def _share(task: Draft, fill: Fill) -> Amounts:
    """A part of a bucket by its exact amount."""
    whole_ml, salt_g = task.amounts.seawater_ml or 0.0, task.amounts.salt_g or 0.0
    salt_g = salt_g * fill.seawater_ml / whole_ml if whole_ml else 0.0
    return alone(Amounts(seawater_ml=fill.seawater_ml, salt_g=salt_g))


def poured(task: Task) -> Amounts:
    """What is poured or taken in a task, as the instruments show it."""
    return task.measured or alone(task.amounts)


def is_kept_first(read: Amounts) -> bool:
    """Whether what stays at a harvest is measured out before the rest is taken; `read` are measured amounts.

    So it is where the part that stays needs a finer instrument: by the coarser one it would be far off.

    >>> [is_kept_first(Amounts(harvest_ml=470.0, keep_ml=keep_ml)) for keep_ml in (25.0, 160.0)]
    [True, False]
    """
    return bool(read.keep_ml) and step_ml(read.keep_ml or 0.0) < step_ml(read.harvest_ml or 0.0)


def as_poured(tasks: Iterable[Task]) -> tuple[Task, ...]:
    """The tasks with measured amounts in place of the exact ones: what bottles really lose."""
    return tuple(replace(task, amounts=poured(task)) for task in tasks)


def alone(given: Amounts) -> Amounts:
    """Amounts as instruments show them, where it is not known what vessels and bottles hold.

    >>> alone(Amounts(inoculum_ml=187.5, seawater_ml=3812.5)).seawater_ml
    3810.0
    """
    beside_ml = given.keep_ml if given.inoculum_ml is None else given.inoculum_ml
    read_ml = None if beside_ml is None else measured_ml(beside_ml)

    def rest(volume_ml: float | None) -> float | None:
        if volume_ml is None:
            return None
        return (
            measured_ml(volume_ml)
            if beside_ml is None
            else below_ml(volume_ml + beside_ml - (read_ml or 0.0))
        )

    seawater_ml = rest(given.seawater_ml)
    return Amounts(
        inoculum_ml=None if given.inoculum_ml is None else read_ml,
        seawater_ml=seawater_ml,
        salt_g=_salt_g(given, seawater_ml),
        nutrient_ml=_nutrients(given),
        harvest_ml=rest(given.harvest_ml),
        keep_ml=None if given.keep_ml is None else read_ml,
        bank_ml=None if given.bank_ml is None else measured_ml(given.bank_ml),
    )


def _nutrients(given: Amounts) -> Mapping[str, float]:
    """Each dose to the nearest step; one that no instrument shows stays as it is, for it is not nothing."""
    return _measured_doses(tuple(given.nutrient_ml.items())) if given.nutrient_ml else given.nutrient_ml


@lru_cache(maxsize=4096)
def _measured_doses(given_ml: tuple[tuple[str, float], ...]) -> Mapping[str, float]:
    return FrozenDict({name: measured_ml(ml) or ml for name, ml in given_ml})


def _salt_g(given: Amounts, seawater_ml: float | None) -> float | None:
    """The dry salt of the seawater that is really mixed; what no scale shows stays as it is."""
    if given.salt_g is None or not given.seawater_ml or seawater_ml is None:
        return given.salt_g
    mass_g = given.salt_g * seawater_ml / given.seawater_ml
    return measured_g(mass_g) or mass_g


def _whole_ml(fill_l: float, filled_ml: float) -> float:
    """What stands in a vessel after a filling: the working volume, or the planned volume of a partial one."""
    fill_ml = fill_l * ML_PER_L
    return filled_ml if filled_ml < fill_ml - FINEST_ML else fill_ml


class _Hands:
    """The levels of vessels (by batch) and bottles while the tasks are done one after the other."""

    def __init__(self, plan: Plan, state: State) -> None:
        self._vessels = {vessel.name: vessel for vessel in plan.vessels}
        held = {name: bottle.volume_ml for name, bottle in state.bottles.items()}
        held |= {each.batch.id: each.broth.volume_l * ML_PER_L for each in state.cultures.values()}
        self._levels = {name: _Level(ml, ml) for name, ml in held.items()}

    def measure(self, task: Draft) -> Amounts:
        """By what its kind pours or takes; what comes from no level and changes none is measured alone."""
        has = TASK_KINDS[task.kind].amounts
        if "inoculum" in has:
            return self._reseed(task) if "keep" in has else self._start(task)
        if "harvest" in has:
            return self._harvest(task)
        if "bank" in has:
            return self._bank(task)
        return self._top_up(task) if "seawater" in has else alone(task.amounts)

    def _draw(self, source: str, asked_ml: float, most_ml: float = math.inf) -> float:
        """Take from a source, at most what fits where it is poured; that is a whole step."""
        asked_ml, level = min(asked_ml, most_ml), self._levels.get(source)
        if level is None:  # the harvest bottle of the day, whose rest nobody measures
            return min(measured_ml(asked_ml), most_ml)
        given_ml = min(level.give(asked_ml), most_ml)
        self._levels[source] = level.without(given_ml, asked_ml)
        return given_ml

    def _start(self, task: Draft) -> Amounts:
        vessel, asked_ml = self._vessels[task.vessel], task.amounts.inoculum_ml or 0.0
        room_ml = min(vessel.fill_l, vessel.brim_l - sum(_nutrients(task.amounts).values()) / ML_PER_L)
        seed_ml = self._draw(task.parent, asked_ml, below_ml(room_ml * ML_PER_L))
        return self._filled(task, vessel, seed_ml, seed_ml)

    def _reseed(self, task: Draft) -> Amounts:
        vessel, kept_ml = self._vessels[task.vessel], task.amounts.inoculum_ml or 0.0
        level = self._levels.pop(task.parent, None)
        if level is None:
            return self._filled(task, vessel, measured_ml(kept_ml), kept_ml)
        return self._filled(task, vessel, below_ml(level.poured_ml), level.poured_ml)

    def _filled(self, task: Draft, vessel: Vessel, read_ml: float, there_ml: float) -> Amounts:
        read, self._levels[task.batch] = _filled(
            task.amounts, vessel.fill_l, vessel.brim_l, read_ml, there_ml
        )
        return read

    def _top_up(self, task: Draft) -> Amounts:
        """Fill up to the planned volume, from what is really there."""
        vessel, given, nutrients = self._vessels[task.vessel], task.amounts, _nutrients(task.amounts)
        level = self._levels[task.batch]
        exact_ml = _whole_ml(vessel.fill_l, level.exact_ml + (given.seawater_ml or 0.0))
        whole_ml = min(exact_ml, vessel.brim_l * ML_PER_L - sum(nutrients.values()))
        seawater_ml = below_ml(whole_ml - level.poured_ml)
        self._levels[task.batch] = _Level(level.poured_ml + seawater_ml, exact_ml)
        return Amounts(seawater_ml=seawater_ml, salt_g=_salt_g(given, seawater_ml), nutrient_ml=nutrients)

    def _bank(self, task: Draft) -> Amounts:
        asked_ml = task.amounts.bank_ml or 0.0
        given_ml = self._draw(task.batch, asked_ml)
        self._levels[back_up_id(task.batch)] = _Level(given_ml, asked_ml)
        return Amounts(bank_ml=given_ml)

    def _harvest(self, task: Draft) -> Amounts:
        asked_ml, keep_ml = task.amounts.harvest_ml or 0.0, task.amounts.keep_ml or 0.0
        level = self._levels.get(task.batch) or _Level(asked_ml + keep_ml, asked_ml + keep_ml)
        read, self._levels[task.batch] = _harvested(asked_ml, keep_ml, level)
        return read


@lru_cache(maxsize=4096)
def _harvested(asked_ml: float, keep_ml: float, level: _Level) -> tuple[Amounts, _Level]:
    """What is taken, never so much that less stays than is to be kept; what is read of that, and what stays then.

    What needs a finer instrument to be kept is measured out first, and all the rest is taken: `harvest_ml`, to
    the last whole step that the coarser instrument shows.
    """
    kept_ml = min(measured_ml(keep_ml), level.poured_ml)
    rest_ml = level.poured_ml - kept_ml
    taken_ml = below_ml(rest_ml)
    read = Amounts(harvest_ml=taken_ml, keep_ml=kept_ml)
    if is_kept_first(read):
        return read, level.without(rest_ml, asked_ml)
    left = level.without(taken_ml, asked_ml)
    return Amounts(harvest_ml=taken_ml, keep_ml=below_ml(left.poured_ml) if keep_ml else 0.0), left


@lru_cache(maxsize=4096)
def _filled(
    given: Amounts, fill_l: float, brim_l: float, read_ml: float, there_ml: float
) -> tuple[Amounts, _Level]:
    """Seawater on what was poured in by its measured volume, or on what is really there if that is more."""
    nutrients = _nutrients(given)
    exact_ml = _whole_ml(fill_l, (given.inoculum_ml or 0.0) + (given.seawater_ml or 0.0))
    whole_ml = min(exact_ml, brim_l * ML_PER_L - sum(nutrients.values()))
    seawater_ml = below_ml(whole_ml - max(read_ml, there_ml))
    read = Amounts(
        inoculum_ml=read_ml,
        seawater_ml=seawater_ml,
        salt_g=_salt_g(given, seawater_ml),
        nutrient_ml=nutrients,
        keep_ml=None if given.keep_ml is None else read_ml,
    )
    return read, _Level(there_ml + seawater_ml, exact_ml)
