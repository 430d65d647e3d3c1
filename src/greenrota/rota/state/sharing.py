"""Sharing: how the free part of a starter is shared out over vessels that were never filled.

The order of the vessels in the plan does not matter: the least needy comes first, and of vessels that are alike the
first by name.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import accumulate, groupby, islice, product
from typing import NamedTuple

from greenrota.culture.bench import inoculum
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.donors import THIN_START
from greenrota.rota.state.seeding import least_inoculum_ml, most_inoculum_ml
from greenrota.rota.state.state import FridgeBottle, State

SPILT_SHARE = 0.002  # of a bottle by which a share may fall short of what was promised; our choice
LEAST_LEVEL = 0.4  # times the least inoculum: the vessel is then filled in steps; our choice
SPARING_LEVEL = 1.2  # times the least inoculum, where the rest of a starter is held back; our choice
MOST_WAYS = 40  # of sharing out one starter that are offered to the search; our choice


class Sharing(NamedTuple):
    """How a starter is shared out: who is started from it in which order, and with how much each, in mL."""

    source: str
    vessels: tuple[str, ...]
    volumes_ml: tuple[float, ...]


class StarterShare(NamedTuple):
    """A part of a bottle set aside to start a vessel.

    It can be used from `least_on` to `last_on`, when the bottle is too old; `first_on` spreads the harvests of the
    strain over the cycle.
    """

    vessel: str
    source: str
    volume_ml: float
    least_on: date
    first_on: date
    last_on: date


class Allotment(NamedTuple):
    """One starter shared out: the way taken, all the ways there are, and the share of each vessel."""

    taken: Sharing
    ways: tuple[Sharing, ...]
    shares: tuple[StarterShare, ...]


def allot(
    state: State,
    benches: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    empty: Sequence[str],
    on: date,
    opened: date,
    decided: Mapping[str, Sharing] | None = None,
) -> list[Allotment]:
    """Share the starters' free part out over empty vessels, the oldest starter first.

    `decided` by starter: that way is taken if its vessels are still empty, else the usual one, the first of `ways`:
    as many vessels as start above the least share of the ceiling, one at least, all of them at the same share of their
    ceilings. Once all its vessels are started, what is left of a starter is held back. How far a starter reaches is
    judged by its age on the day the rota `opened`, so that a share once promised is not given to another vessel because
    the bottle has aged since. A bottle that has gone too old seeds nothing, and no vessel gets more than it can take in
    as a seeding.
    """
    found: list[Allotment] = []
    waiting = sorted(empty, key=lambda name: (benches[name].least_cells, name))
    for bottle in _starters(state, on):
        takers = [name for name in waiting if benches[name].strain.name == bottle.strain]
        known = None if decided is None else decided.get(bottle.id)
        ways = tuple(islice(_ways(bottle, benches, cycles, takers, on, opened), MOST_WAYS))
        if not ways or (known is not None and not any(name in takers for name in known.vessels)):
            continue
        taken = ways[0] if known is None else _still_possible(known, bottle, takers) or ways[0]
        found.append(Allotment(taken, ways, tuple(_shares(taken, bottle, benches, cycles, on))))
        waiting = [name for name in waiting if name not in taken.vessels]
    return found


def _shares(
    sharing: Sharing,
    bottle: FridgeBottle,
    benches: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    on: date,
) -> Iterator[StarterShare]:
    family = sum(bench.strain.name == bottle.strain for bench in benches.values())
    for place, (name, volume_ml) in enumerate(zip(sharing.vessels, sharing.volumes_ml, strict=True)):
        least_on = max(on, bottle.filled)
        wait = timedelta(days=round(place * cycles[name].days / family))
        last_on = bottle.filled + timedelta(days=int(benches[name].strain.fridge_days))
        yield StarterShare(name, bottle.id, volume_ml, least_on, least_on + wait, last_on)


def _still_possible(sharing: Sharing, bottle: FridgeBottle, takers: Sequence[str]) -> Sharing | None:
    """A way decided before, for the vessels that are still empty; None if none is, or the bottle holds too little."""
    left = [each for each in zip(sharing.vessels, sharing.volumes_ml, strict=True) if each[0] in takers]
    spilt_ml = SPILT_SHARE * bottle.volume_ml
    free_ml, asked_ml = bottle.volume_ml - bottle.held_ml, sum(volume_ml for _, volume_ml in left)
    if not left or asked_ml > free_ml + spilt_ml:
        return None
    part = min(1.0, free_ml / asked_ml)
    return Sharing(
        sharing.source, tuple(name for name, _ in left), tuple(part * volume for _, volume in left)
    )


def _starters(state: State, on: date) -> list[FridgeBottle]:
    """Starters with something free in them, oldest first."""
    bottles = [b for b in state.bottles.values() if b.parent is None and b.volume_ml - b.held_ml > 0.0]
    return sorted(bottles, key=lambda bottle: (bottle.filled, bottle.id))


def _ways(
    bottle: FridgeBottle,
    benches: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    takers: Sequence[str],
    on: date,
    opened: date,
) -> Iterator[Sharing]:
    """The usual way first, then every other set of vessels that differs in kind; each gets all that is free.

    After these, for a starter of which the plan holds back too little to restart anything, the sparing ways: each
    vessel gets little more than its least inoculum, and the rest stays in the bottle.
    """
    least_ml = _least_ml(bottle, benches, takers, on, opened)
    if not least_ml:
        return
    most_ml = {name: most_inoculum_ml(benches[name], cycles[name]) for name in takers}
    free_ml = bottle.volume_ml - bottle.held_ml
    in_all_ml = free_ml + SPILT_SHARE * bottle.volume_ml
    sums_ml = list(accumulate(least_ml.values()))
    reach = max(1, sum(whole_ml <= in_all_ml for whole_ml in sums_ml))
    most = max(1, sum(LEAST_LEVEL * whole_ml <= in_all_ml for whole_ml in sums_ml))

    def sharing(names: Sequence[str], level: float) -> Sharing:
        volumes_ml = (min(level * least_ml[name], most_ml[name]) for name in names)
        return Sharing(bottle.id, tuple(names), tuple(volumes_ml))

    sets = dict.fromkeys(map(tuple, (takers[:reach], *_sets(benches, cycles, takers, most))))
    whole_ml = {names: sum(least_ml[name] for name in names) for names in sets}
    found = [names for names in sets if len(names) == 1 or LEAST_LEVEL * whole_ml[names] <= in_all_ml]
    yield from (sharing(names, free_ml / whole_ml[names]) for names in found)
    if bottle.held_ml < THIN_START * min(least_ml.values()):
        yield from (
            sharing(names, SPARING_LEVEL) for names in found if SPARING_LEVEL * whole_ml[names] <= free_ml
        )


def _least_ml(
    bottle: FridgeBottle, benches: Mapping[str, Bench], takers: Sequence[str], on: date, opened: date
) -> dict[str, float]:
    """The least inoculum of each vessel from a bottle, in mL; none where the bottle has gone too old on a day."""
    if not takers:
        return {}
    fridge_days = benches[takers[0]].strain.fridge_days
    if inoculum.too_old(float(max(0, (on - bottle.filled).days)), fridge_days):
        return {}
    age_days = float(max(0, (min(on, opened) - bottle.filled).days))
    alive_per_ml = bottle.density_per_ml * inoculum.fridge_share_alive(age_days, fridge_days)
    return {name: least_inoculum_ml(benches[name], alive_per_ml) for name in takers}


def _sets(
    benches: Mapping[str, Bench], cycles: Mapping[str, Cycle], takers: Sequence[str], most: int
) -> Iterator[list[str]]:
    """Sets of vessels that are not alike: so many of each kind, the first by name; small sets first, up to `most`."""

    def kind(name: str) -> tuple[object, ...]:
        bench, cycle = benches[name], cycles[name]
        vessel = bench.vessel
        return (
            bench.least_cells,
            bench.rate_per_day,
            vessel.fill_l,
            vessel.role,
            vessel.nutrient,
            cycle.days,
        )

    places = {name: place for place, name in enumerate(takers)}
    kinds = [sorted(names) for _, names in groupby(sorted(takers, key=lambda n: (kind(n), n)), key=kind)]
    counts = sorted(
        product(*(range(min(len(names), most) + 1) for names in kinds)), key=lambda each: (sum(each), each)
    )
    for numbers in counts[1:]:
        if sum(numbers) > most:
            return
        chosen = [name for names, number in zip(kinds, numbers, strict=True) for name in names[:number]]
        yield sorted(chosen, key=places.__getitem__)
