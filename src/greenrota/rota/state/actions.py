"""Actions: the effect on a state of what is done to a vessel, by mass balance.

Each function moves a `State` forward and gives back the broth before and after. They are the only code that changes
a state, for the logbook and the simulation alike. An action that asks for more than there is raises `Shortfall`.
"""

from datetime import date
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L, Broth, draw, mix, seawater
from greenrota.rota.state import scale_up
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import (
    Batch,
    Culture,
    FridgeBottle,
    HarvestBottle,
    State,
    back_up_id,
    batch_id,
    harvest_id,
)

FORGIVEN_ML = 1e-6  # rounding of the arithmetic, not of a person; our choice


class Shortfall(Exception):
    """More was asked of a source than it holds; the message names both amounts."""


class Effect(NamedTuple):
    """The broth in the vessel before and after an action, and what was poured in.

    Seawater in L. `label_doses_l` is the nutrient: litres of fill times the strength it brings, 1 for the label dose.
    """

    batch: Batch
    before: Broth | None
    after: Broth | None
    seawater_l: float = 0.0
    label_doses_l: float = 0.0


def start(
    state: State, bench: Bench, parent: str, inoculum_ml: float, on: date, filled_l: float | None = None
) -> Effect:
    """Fill an empty vessel from a parent and dose the whole fill at label strength.

    `filled_l` is a first fill that is topped up later, None for the working volume.
    Raises Shortfall if the parent does not hold the inoculum or the inoculum does not fit the vessel's fill.
    """
    fill_l = bench.vessel.fill_l
    if inoculum_ml > fill_l * ML_PER_L + FORGIVEN_ML:
        raise Shortfall(f"{inoculum_ml:.0f} mL of inoculum is more than the fill of {fill_l:g} L")
    return fill(state, bench, parent, take(state, bench, parent, inoculum_ml, on), on, filled_l)


def fill(
    state: State, bench: Bench, parent: str, seed: Broth, on: date, filled_l: float | None = None
) -> Effect:
    """Open a batch from an inoculum already in hand: top up with seawater, dose the whole fill at label strength.

    `filled_l` where the vessel was not filled to its working volume. One that is not nearly full is still to be filled.
    """
    fill_l = bench.vessel.fill_l if filled_l is None else max(filled_l, seed.volume_l)
    seawater_l = max(0.0, fill_l - seed.volume_l)
    broth = bench.dosed(mix(seed, seawater(seawater_l, bench.salinity_psu)), fill_l)
    batch = _open_batch(state, bench, parent, on, reseeds=0)
    filling = scale_up.is_filling(bench, fill_l)
    state.cultures[bench.vessel.name] = Culture(batch, broth, on, filling=filling)
    return Effect(batch, None, broth, seawater_l, fill_l)


def take(state: State, bench: Bench, source: str, volume_ml: float, on: date) -> Broth:
    """Take culture out of a bottle, a living batch or its harvest of the day; `bench` is where it will grow.

    A living batch, which must have been brought up to the day, gives from its vessel; one that has been harvested
    gives from its harvest bottle.
    Raises Shortfall if there is less than asked.
    """
    bottle = state.bottles.get(source)
    if bottle is not None:
        if volume_ml > bottle.volume_ml + FORGIVEN_ML:
            raise Shortfall(f"{source} holds {bottle.volume_ml:.0f} mL, {volume_ml:.0f} mL are asked")
        left_ml = max(0.0, bottle.volume_ml - volume_ml)
        if left_ml <= FORGIVEN_ML:
            del state.bottles[source]
        else:
            state.bottles[source] = bottle._replace(volume_ml=left_ml, held_ml=min(bottle.held_ml, left_ml))
        return bench.bottled(volume_ml / ML_PER_L, bottle.density_per_ml, bottle.filled, on)
    batch = state.batches.get(source)
    culture = state.cultures.get(batch.vessel) if batch is not None else None
    if culture is not None and culture.batch.id == source:
        return _take_living(state, culture, volume_ml)
    return _take_harvested(state, source, volume_ml)


def _take_living(state: State, culture: Culture, volume_ml: float) -> Broth:
    held = culture.broth
    if volume_ml / ML_PER_L > held.volume_l + FORGIVEN_ML / ML_PER_L:
        raise Shortfall(
            f"{culture.batch.id} holds {held.volume_l * ML_PER_L:.0f} mL, {volume_ml:.0f} mL are asked"
        )
    left = draw(held, min(volume_ml / ML_PER_L, held.volume_l))
    state.cultures[culture.batch.vessel] = culture._replace(broth=left)
    return held._replace(volume_l=volume_ml / ML_PER_L)


def _take_harvested(state: State, source: str, volume_ml: float) -> Broth:
    for index in range(len(state.harvests) - 1, -1, -1):
        harvest = state.harvests[index]
        if (
            harvest.batch == source
            and not harvest.is_back_up
            and harvest.volume_ml + FORGIVEN_ML >= volume_ml
        ):
            state.harvests[index] = harvest._replace(volume_ml=max(0.0, harvest.volume_ml - volume_ml))
            return harvest.broth._replace(volume_l=volume_ml / ML_PER_L)
    raise Shortfall(f"{source} has no {volume_ml:.0f} mL left to give")


def feed(state: State, bench: Bench, strength: float, on: date) -> Effect:
    """Add a second dose of so many label doses to the culture as it stands."""
    before = _living(state, bench, on)
    if before.broth.volume_l <= 0.0:
        raise Shortfall(f"{before.batch.id} has been drawn empty")
    label_doses_l = before.broth.volume_l * strength
    after = bench.dosed(before.broth, label_doses_l)
    state.cultures[bench.vessel.name] = before._replace(broth=after, fed_on=on)
    return Effect(before.batch, before.broth, after, label_doses_l=label_doses_l)


def harvest(state: State, bench: Bench, volume_ml: float, on: date, barred: bool = False) -> Effect:
    """Take culture out of the vessel into a harvest bottle. Raises Shortfall if the vessel holds less.

    `barred`: the culture is suspect, so the bottle may not be given to anybody.
    """
    before = _living(state, bench, on)
    if volume_ml / ML_PER_L > before.broth.volume_l + FORGIVEN_ML / ML_PER_L:
        raise Shortfall(
            f"{before.batch.id} holds {before.broth.volume_l * ML_PER_L:.0f} mL, {volume_ml:.0f} mL are asked"
        )
    after = draw(before.broth, min(volume_ml / ML_PER_L, before.broth.volume_l))
    state.cultures[bench.vessel.name] = before._replace(broth=after, harvests=before.harvests + 1)
    batch, barred_on = before.batch.id, on if barred else None
    name = harvest_id(batch, before.harvests)
    state.harvests.append(
        HarvestBottle(name, batch, bench.strain.name, on, volume_ml, before.broth, barred_on)
    )
    return Effect(before.batch, before.broth, after)


def retire(state: State, bench: Bench, bottle: str, on: date) -> None:
    """Turn a replaced back-up into a harvest bottle: it starts no vessel any more.

    `bench` is one that grows its strain. A bottle without a living cell, or one that is not there, is left out.
    """
    old = state.bottles.pop(bottle, None)
    if old is not None and old.parent is not None:
        broth = bench.bottled(old.volume_ml / ML_PER_L, old.density_per_ml, old.filled, on)
        state.harvests.append(
            HarvestBottle(old.id, old.parent, old.strain, old.filled, old.volume_ml, broth, replaced_on=on)
        )


def bank(state: State, bench: Bench, volume_ml: float, on: date) -> Effect:
    """Fill a fridge back-up from the batch (or from its harvest of the day)."""
    before = _living(state, bench, on)
    state.cultures[bench.vessel.name] = before
    taken = take(state, bench, before.batch.id, volume_ml, on)
    bottle = FridgeBottle(
        id=back_up_id(before.batch.id),
        strain=bench.strain.name,
        volume_ml=volume_ml,
        density_per_ml=taken.density_per_ml,
        filled=on,
        parent=before.batch.id,
    )
    state.put(bottle)
    return Effect(before.batch, before.broth, state.cultures[bench.vessel.name].broth)


def reseed(
    state: State, bench: Bench, on: date, light_h: float | None = None, filled_l: float | None = None
) -> Effect:
    """Top the kept-back culture up to the working volume; the nutrient dose is for the new water only.

    The new batch stands under the vessel's usual light, or under `light_h` hours of it. `filled_l` where the vessel
    was not filled to its working volume.
    """
    before = _living(state, bench, on)
    kept = before.broth
    fill_l = bench.vessel.fill_l if filled_l is None else filled_l
    seawater_l = max(0.0, fill_l - kept.volume_l)
    broth = bench.topped_up(kept, seawater_l)
    batch = _open_batch(state, bench, before.batch.id, on, reseeds=before.batch.reseeds + 1)
    state.cultures[bench.vessel.name] = Culture(batch, broth, on, light_h=light_h)
    return Effect(batch, kept, broth, seawater_l, seawater_l)


def topup(state: State, bench: Bench, to_l: float, on: date) -> Effect:
    """Pour seawater on a culture up to so many litres; the nutrient dose is for the new water only.

    The batch stays the same. Below nearly the working volume it is still to be filled.
    """
    before = _living(state, bench, on)
    seawater_l = max(0.0, to_l - before.broth.volume_l)
    broth = bench.topped_up(before.broth, seawater_l)
    filling = scale_up.is_filling(bench, broth.volume_l)
    state.cultures[bench.vessel.name] = before._replace(
        broth=broth, topups=before.topups + 1, filling=filling
    )
    return Effect(before.batch, before.broth, broth, seawater_l, seawater_l)


def count(state: State, bench: Bench, density_per_ml: float, on: date) -> Effect:
    """A count replaces the projected density from this moment on."""
    before = _living(state, bench, on)
    after = before.broth._replace(density_per_ml=density_per_ml)
    state.cultures[bench.vessel.name] = before._replace(broth=after)
    return Effect(before.batch, before.broth, after)


def empty(state: State, bench: Bench, on: date) -> Effect:
    """Pour a vessel away: after a crash, at a renewal, or because somebody did."""
    before = _living(state, bench, on)
    del state.cultures[bench.vessel.name]
    return Effect(before.batch, before.broth, None)


def _living(state: State, bench: Bench, on: date) -> Culture:
    culture = state.at(bench, on)
    if culture is None:
        raise Shortfall(f"nothing lives in vessel {bench.vessel.name}")
    return culture


def _open_batch(state: State, bench: Bench, parent: str, on: date, reseeds: int) -> Batch:
    name = bench.vessel.name
    number = state.numbers.get(name, 0) + 1
    batch = Batch(batch_id(name, number), name, bench.strain.name, number, parent, on, reseeds)
    state.numbers[name] = number
    state.batches[batch.id] = batch
    return batch
