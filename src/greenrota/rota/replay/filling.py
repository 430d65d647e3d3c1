"""Filling: what entries about living culture do: prepared, started, fed, harvested, reseeded, counted, banked."""

from __future__ import annotations

from greenrota.culture.broth import ML_PER_L
from greenrota.logbook.entry import Entry
from greenrota.rota.replay import guess
from greenrota.rota.replay.page import MEASURED_ML, Replay, as_measured
from greenrota.rota.state import actions
from greenrota.rota.state.actions import Shortfall
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import batch_id

_HARVEST_SHARE = 0.5  # of what a harvest takes: less is a cup for the tank, not the harvest; our choice


def prepared(run: Replay, entry: Entry, bench: Bench) -> None:
    name = f"{run.state.next_batch_id(bench.vessel.name)}/prepare"
    if name in run.logged.done:  # that is done already: the one after it, on a shelf with few working days
        name = f"{batch_id(bench.vessel.name, run.state.numbers.get(bench.vessel.name, 0) + 2)}/prepare"
    run.logged.done.add(name)


def started(run: Replay, entry: Entry, bench: Bench) -> None:
    name = bench.vessel.name
    if name in run.state.cultures:
        what = f"{name} was started while {run.state.cultures[name].batch.id} still stood in it"
        run.problem(entry, "log-vessel-occupied", what, "log the old batch as discarded first")
        run.recorder.empty(bench, entry.on)
    source = entry.text("from") or guess.source(run.state, bench, entry.on)
    if source in run.state.cultures:
        source = run.state.cultures[source].batch.id
    volume_ml = entry.volume_ml("inoculum") or guess.inoculum_ml(bench)
    filled_l = run.filled_l(entry, bench)
    volume_ml = min(volume_ml, filled_l * ML_PER_L)
    giver = run.state.batches.get(source)
    given = giver or run.state.filled.get(source)
    if given is not None and given.strain != bench.strain.name:
        what = f"{source} is {given.strain}, {name} grows {bench.strain.name}"
        run.problem(entry, "log-source", what, "the start is kept; correct it with a void if it is a slip")
    if giver is not None and giver.vessel in run.context.benches:
        run.recorder.bring_up_to(run.context.benches[giver.vessel], entry.on)
    volume_ml = as_measured(volume_ml, run.held_ml(source))
    try:
        seed = actions.take(run.state, bench, source, volume_ml, entry.on)
    except Shortfall as short:
        run.problem(
            entry, "log-source", str(short), "the start is kept, its density is a guess; a count helps"
        )
        seed = guess.seed(bench, volume_ml, entry.on)
        if not (source in run.state.batches or source in run.state.filled or source.startswith("starter:")):
            source = guess.UNKNOWN_SOURCE  # a batch that is yet to come must not become its own forebear
    done = actions.fill(run.state, bench, source, seed, entry.on, filled_l)
    run.count_if_told(entry, bench)
    run.pour(entry, bench, done.label_doses_l)
    run.logged.done |= {f"{done.batch.id}/start", f"{done.batch.id}/prepare"}


def fed(run: Replay, entry: Entry, bench: Bench) -> None:
    culture = run.living(entry, bench)
    if culture is None:
        return
    poured_ml, strength = entry.volume_ml("nutrient"), entry.figure("dose")
    if strength is None:
        label_ml = bench.nutrient.dose_ml_per_l * culture.broth.volume_l
        strength = poured_ml / label_ml if poured_ml is not None and label_ml > 0.0 else 1.0
    done = actions.feed(run.state, bench, strength, entry.on)
    run.pour(entry, bench, done.label_doses_l)
    run.logged.done.add(f"{culture.batch.id}/feed")


def harvested(run: Replay, entry: Entry, bench: Bench) -> None:
    if run.living(entry, bench) is None:
        return
    run.count_if_told(entry, bench)
    culture = run.state.cultures[bench.vessel.name]
    held_ml = culture.broth.volume_l * ML_PER_L
    keep_ml = entry.volume_ml("keep")
    if keep_ml is None:
        keep_ml = run.context.cycles[bench.vessel.name].keep_share * bench.vessel.fill_l * ML_PER_L
    wanted_ml = entry.volume_ml("volume")
    volume_ml = max(0.0, held_ml - keep_ml) if wanted_ml is None else wanted_ml
    if volume_ml > held_ml + MEASURED_ML:
        what = f"{volume_ml:.0f} mL harvested from {culture.batch.id}, which held {held_ml:.0f} mL"
        run.problem(entry, "log-not-enough", what, "taken as all of it; correct with a void if it is a slip")
    actions.harvest(run.state, bench, min(volume_ml, held_ml), entry.on)
    if volume_ml >= _HARVEST_SHARE * (held_ml - keep_ml):
        run.logged.done.add(f"{culture.batch.id}/harvest")


def reseeded(run: Replay, entry: Entry, bench: Bench) -> None:
    culture = run.living(entry, bench)
    if culture is None:
        return
    kept_ml = entry.volume_ml("inoculum")
    poured_ml = 0.0 if kept_ml is None else culture.broth.volume_l * ML_PER_L - kept_ml
    if poured_ml > MEASURED_ML:  # the harvest was not written down, but it went into the feed bottle
        actions.harvest(run.state, bench, poured_ml, entry.on)
    filled_l = run.filled_l(entry, bench)
    done = actions.reseed(run.state, bench, entry.on, entry.figure("light"), filled_l)
    run.pour(entry, bench, done.label_doses_l)
    run.logged.done |= {
        f"{done.batch.id}/reseed",
        f"{done.batch.id}/prepare",
        f"{done.batch.parent}/harvest",
    }


def counted(run: Replay, entry: Entry, bench: Bench) -> None:
    if run.living(entry, bench) is not None:
        run.count_if_told(entry, bench)


def banked(run: Replay, entry: Entry, bench: Bench) -> None:
    culture = run.living(entry, bench)
    if culture is None:
        return
    run.count_if_told(entry, bench)
    volume_ml = entry.volume_ml("volume") or guess.bank_ml(bench)
    held_ml = run.state.cultures[bench.vessel.name].broth.volume_l * ML_PER_L
    if volume_ml > held_ml + MEASURED_ML:
        raise Shortfall(f"{culture.batch.id} holds {held_ml:.0f} mL, {volume_ml:.0f} mL are asked")
    own = [b for b in run.state.bottles.values() if b.parent is not None]
    for old in [b.id for b in own if b.strain == bench.strain.name]:
        del run.state.bottles[old]
    actions.bank(run.state, bench, min(volume_ml, held_ml), entry.on)
    run.logged.done.add(f"{culture.batch.id}/bank")
