"""What entries do to the salt water on hand: what was mixed, and what fillings and top-ups poured of it."""

from __future__ import annotations

from datetime import date

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.rota.ids import prepare_id, task_id
from greenrota.rota.kinds import TaskKind
from greenrota.rota.replay.accumulator import Replay
from greenrota.rota.state.actions import Effect
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.salt_water import Fill, MixedWater, poured
from greenrota.rota.state.state import batch_id


def prepared(run: Replay, entry: Entry, bench: Bench) -> None:
    """Count a preparation as done, and note its seawater: that of the next top-up of a vessel that is being filled,
    else of the next batch, else of the one after it.

    Where the entry says how much was mixed, all that is over is on hand for other fillings.
    """
    vessel, culture = bench.vessel.name, run.state.cultures.get(bench.vessel.name)
    following = batch_id(vessel, run.state.numbers.get(vessel, 0) + 2)
    names = [prepare_id(run.state.next_batch_id(vessel), "start"), prepare_id(following, "start")]
    if culture is not None and culture.filling:
        names.insert(0, prepare_id(culture.batch.id, "topup", culture.topups + 1))
    name = next((each for each in names if each not in run.logged.done), names[-1])
    run.logged.done.add(name)
    mixed = MixedWater(name, entry.on, entry.volume_ml("volume"))
    run.logged.salt_water = (*run.logged.salt_water, mixed)


def pour_salt_water(run: Replay, done: Effect, kind: TaskKind, on: date, number: int = 1) -> None:
    """Take the seawater of a filling or a top-up from what is on hand."""
    batch = done.batch.id
    name = prepare_id(batch, kind, number)
    run.watered.add(name)
    if not run.logged.salt_water:
        return
    needed = Fill(on, task_id(batch, kind, number), name, batch, done.seawater_l * ML_PER_L)
    _, there = poured(run.logged.salt_water, needed)
    run.logged.salt_water = tuple(
        water for water in there if water.prepare not in run.watered or (water.left_ml and water.keeps(on))
    )
