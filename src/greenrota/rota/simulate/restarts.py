"""Restarts: what an emptied vessel can be given on a day of the simulation, in the order of `state.donors`."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from greenrota.culture.bench import inoculum
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.state import donors, seeding
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.donors import Source, Turn
from greenrota.rota.state.state import Culture, FridgeBottle, State


class Day(NamedTuple):
    """What a search for donors looks at: benches and cycles by vessel, the state, the day, and who may not give.

    `promised_ml` is what is set aside in each bottle for other vessels; `kept_l` what a vessel that is harvested today
    keeps, by vessel; `wait_until` the last open day within `donors.WAIT_DAYS`, today if there is none. `known` holds
    the givers that were worked out already, by vessel; `harvested` the vessels that are harvested today in the order in
    which they are asked, by strain.
    """

    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    state: State
    on: date
    suspect: frozenset[str]
    promised_ml: Mapping[str, float]
    kept_l: Mapping[str, float]
    wait_until: date
    known: "dict[str, tuple[Culture, Giver]]"
    harvested: dict[str, list[str]]


class Inoculum(NamedTuple):
    """Culture that restarts a vessel; `source` None: the vessel waits for a ripening one."""

    source: str | None
    volume_ml: float


class Giver(NamedTuple):
    """A living vessel of a strain that is not suspect, on a day.

    `z` is ceiling / density - 1, `z_then` that on the last open day worth waiting for; `spare_ml` is what it has above
    what it keeps for its own re-seed.
    """

    culture: Culture
    bench: Bench
    z: float
    z_then: float
    harvested: bool
    spare_ml: float


class Restart(NamedTuple):
    """Where the inoculum of an emptied vessel comes from, and what else there was on that day, before it was taken.

    `first`: it was never filled before; `lost` is what its culture died of, "" where it did not. `bottled` is the day
    on which a bottle was filled, None for a living source. `givers` are the vessels of the strain that are not
    suspect, where the source is a harvest or a ripe vessel that one alone; `kin` is whether any lives at all, `bottles`
    whether a bottle that may give is there.
    """

    on: date
    strain: str
    source: str
    turn: Turn
    first: bool
    lost: str
    bottled: date | None
    givers: tuple[Giver, ...]
    kin: bool
    bottles: bool


def facts(day: Day, taker: str, turn: Turn, source: str, lost: str) -> Restart:
    """What is known of a restart; `taker` is the vessel. To be asked before the inoculum is taken."""
    strain, benches = day.benches[taker].strain.name, day.benches
    bottle = day.state.bottles.get(source)
    alone = turn.source in (Source.HARVEST, Source.RIPE)
    found = [_giver(day, day.state.batches[source].vessel)] if alone else givers(day, strain)
    return Restart(
        on=day.on,
        strain=strain,
        source=source,
        turn=turn,
        first=taker not in day.state.numbers,
        lost=lost,
        bottled=None if bottle is None else bottle.filled,
        givers=tuple(found),
        kin=any(name in benches and benches[name].strain.name == strain for name in day.state.cultures),
        bottles=any(living_bottles(day, strain, kind) for kind in donors.BOTTLES),
    )


def givers(day: Day, strain: str, harvested: bool = False) -> Iterator[Giver]:
    """Living vessels of a strain that are not suspect, in the order in which they are asked within a turn.

    With `harvested` only those that are harvested today. Each is worked out when it is asked for.
    """
    if not harvested:
        names = _in_turn(day, strain, day.state.cultures)
    else:
        if strain not in day.harvested:  # a restart changes neither who they are nor their order
            day.harvested[strain] = _in_turn(day, strain, day.kept_l)
        names = day.harvested[strain]
    for name in names:
        yield _giver(day, name)


def _in_turn(day: Day, strain: str, names: Iterable[str]) -> list[str]:
    """Those of some vessels in which the strain lives and is not suspect, in the order in which they are asked."""
    living, benches = day.state.cultures, day.benches
    own = [
        name
        for name in names
        if name in living
        and name in benches
        and benches[name].strain.name == strain
        and living[name].batch.id not in day.suspect
    ]
    return sorted(own, key=lambda name: _seniority(living[name], day.on))


def _giver(day: Day, name: str) -> Giver:
    """A living vessel as it may give, worked out once for a culture."""
    living, bench = day.state.cultures[name], day.benches[name]
    culture, giver = day.known.get(name, (None, None))
    if giver is not None and culture is living:
        return giver
    culture = _at(day.state, bench, day.on)
    kept_l = day.kept_l.get(name, day.cycles[name].keep_share * bench.vessel.fill_l)
    if culture.filling:  # all of it is wanted for its own top-ups
        kept_l = culture.broth.volume_l
    giver = Giver(
        culture,
        bench,
        _z(bench, culture),
        _z(bench, _at(day.state, bench, day.wait_until)),
        name in day.kept_l,
        max(0.0, culture.broth.volume_l - kept_l) * ML_PER_L,
    )
    day.known[name] = living, giver
    return giver


def offer(day: Day, taker: Bench, turn: Turn) -> Inoculum | None:
    """What a turn gives to a vessel; None if nothing of it starts the vessel well enough.

    The amount is what brings the vessel to the density of its own re-seeds, or what the source can spare.
    """
    if turn.source in donors.BOTTLES:
        return next(_from_bottles(day, taker, turn), None)
    for giver in givers(day, taker.strain.name, turn.source is Source.HARVEST):
        age_days = (day.on - giver.culture.batch.started).days
        if not donors.may_give(turn.source, giver.z, giver.z_then, age_days, giver.harvested):
            continue
        waits = turn.source is Source.RIPENING
        density = _density_then(giver) if waits else giver.culture.broth.density_per_ml
        volume_ml = _portion_ml(day, taker, density, giver.spare_ml)
        if donors.suffices(turn, volume_ml * density, taker.least_cells):
            return Inoculum(None if waits else giver.culture.batch.id, volume_ml)
    return None


def living_bottles(day: Day, strain: str, source: Source) -> list[FridgeBottle]:
    """Bottles of the strain that are on hand, not too old and not suspect, the youngest first."""
    bottles = [
        bottle
        for bottle in day.state.bottles.values()
        if bottle.strain == strain
        and (bottle.parent is None) == (source is Source.STARTER)
        and bottle.id not in day.suspect
        and bottle.filled <= day.on
        and not inoculum.too_old(float((day.on - bottle.filled).days), _fridge_days(day, strain))
    ]
    return sorted(bottles, key=lambda bottle: ((day.on - bottle.filled).days, bottle.id))


def harvest_gift_ml(day_cycles: Mapping[str, Cycle], giver: Bench, taker: Bench, culture: Culture) -> float:
    """What a harvest can give to the first filling of another vessel; 0 if that would start it too thin."""
    density = culture.broth.density_per_ml
    cycle = day_cycles[taker.vessel.name]
    kept_l = day_cycles[giver.vessel.name].keep_share * giver.vessel.fill_l
    spare_ml = max(0.0, culture.broth.volume_l - kept_l) * ML_PER_L
    goal = seeding.reseed_density_per_ml(taker, cycle)
    volume_ml = min(seeding.inoculum_ml(taker, cycle, density, goal), spare_ml)
    return volume_ml if volume_ml >= seeding.least_inoculum_ml(taker, density) else 0.0


def _from_bottles(day: Day, taker: Bench, turn: Turn) -> Iterator[Inoculum]:
    for bottle in living_bottles(day, taker.strain.name, turn.source):
        age_days = float((day.on - bottle.filled).days)
        density = bottle.density_per_ml * inoculum.fridge_share_alive(age_days, taker.strain.fridge_days)
        free_ml = bottle.volume_ml - day.promised_ml.get(bottle.id, 0.0)
        volume_ml = _portion_ml(day, taker, density, free_ml)
        if volume_ml > 0.0 and donors.suffices(turn, volume_ml * density, taker.least_cells):
            yield Inoculum(bottle.id, volume_ml)


def _portion_ml(day: Day, taker: Bench, density_per_ml: float, spare_ml: float) -> float:
    cycle = day.cycles[taker.vessel.name]
    goal = seeding.reseed_density_per_ml(taker, cycle)
    return min(spare_ml, seeding.inoculum_ml(taker, cycle, density_per_ml, goal))


def _density_then(giver: Giver) -> float:
    return giver.bench.ceiling_per_ml(giver.culture.broth) / (1.0 + giver.z_then)


def _seniority(culture: Culture, on: date) -> tuple[int, str]:
    batch = culture.batch
    return donors.seniority(batch.reseeds, (on - batch.started).days), batch.id


def _at(state: State, bench: Bench, on: date) -> Culture:
    culture = state.at(bench, on)
    assert culture is not None  # the caller has seen it stand
    return culture


def _z(bench: Bench, culture: Culture) -> float:
    density, top = culture.broth.density_per_ml, bench.ceiling_per_ml(culture.broth)
    return top / density - 1.0 if min(density, top) > 0.0 else float("inf")


def _fridge_days(day: Day, strain: str) -> float:
    return next(b.strain.fridge_days for b in day.benches.values() if b.strain.name == strain)
